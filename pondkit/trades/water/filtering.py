"""Figures of the filter, of the animals' waste and of the pond's oxygen."""

from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, Range, entry, limit, with_cautions
from pondkit.core.result import Problem, Result
from pondkit.core.sentence import Words, words
from pondkit.core.units import AREAL_RATE, CONCENTRATION, DENSITY, MASS_RATE, RATIO, Kind
from pondkit.core.water_properties import fluid
from pondkit.trades.water import ammonia, settling
from pondkit.trades.water.inputs.season import Load
from pondkit.trades.water.inputs.water import Filter, Water

FOR_LIFE = Words(
    "An estimate of the filter alone: plants, sediment and cold change it. Test the water, start with few animals, and have a "
    "vet or keeper of the species agree to the numbers."
)


@dataclass(frozen=True, eq=False)
class FilterResult(Result):
    """Figures of the filter and of the waste it is given; None where a part is not drawn."""

    overflow_rate: Entry | None
    smallest_kept: Entry | None
    time_to_clean_out: Entry | None
    rise_rate: Entry | None
    media_volume: Entry | None
    contact_time: Entry | None
    media_surface: Entry | None
    ammonia_removed: Entry | None
    ammonia_made: Entry | None
    ammonia_level: Entry | None
    free_ammonia: Entry | None
    ammonia_carried: Entry | None
    feed_carried: Entry | None
    nitrification_oxygen: Entry | None
    alkalinity_used: Entry | None
    oxygen_used: Entry | None
    oxygen_by_night: Entry | None
    oxygen_by_day: Entry | None
    problems: tuple[Problem, ...]


def _bounded(low: str, high: str, kind: Kind) -> Range:
    least, source = limit(low, kind)
    most = limit(high, kind)[0]
    return Range(least, (least + most) / 2, most, source)


def _within(value: float, share: float) -> Range:
    return Range(value * (1 - share), value, value * (1 + share), USER)


def filtering(
    drawn: Water, flow: float | None, saturation: float, falls: tuple[float, float, float] | None, area: float
) -> FilterResult:
    """Figures of the filter, of waste and of oxygen.

    Args:
        drawn: The water side as drawn.
        flow: Through the filter [m³/s]; None where it is not known or nothing runs there.
        saturation: Oxygen at saturation [kg/m³].
        falls: Flow that all falls together bring to saturation, low, typical, high [m³/s]; None where it is not known.
        area: Water surface of all pools [m²].
    """
    body, load = drawn.filter, drawn.load
    found: dict[str, Entry | None] = dict.fromkeys(FilterResult.__dataclass_fields__)
    del found["problems"]
    problems: list[Problem] = []
    running = flow if flow and flow > 0 else None
    if body and running:
        found |= _bodies(body, load, running, drawn.temperature)
    if load:
        media = found["media_surface"]
        share, share_source = limit("ammonia from feed", RATIO)
        made = entry(
            ammonia.ammonia_made, "", source=share_source, feed=_within(load.feed, load.within), protein=load.protein,
            ammonia_share=share, waste=_within(load.waste, load.within),
        )  # fmt: skip
        found["ammonia_made"] = made
        problems += _feed_faults(drawn, load)
        if made.value > 0:
            found |= _oxygen_of(made)
        if media and running and not problems:
            problems += _overloaded(made, media)
            if not problems:
                found |= _ammonia(drawn, load, made, media, found["ammonia_removed"], running, share)
        found |= _oxygen(load, found["nitrification_oxygen"], saturation, falls, area)
    return FilterResult(**found, problems=tuple(problems))


def _bodies(body: Filter, load: Load | None, flow: float, temperature: float) -> dict[str, Entry | None]:
    found: dict[str, Entry | None] = {}
    if body.settling_area is not None:
        water = fluid(temperature)
        rate = entry(settling.overflow_rate, "", source=USER, flow=flow, area=body.settling_area)
        found["overflow_rate"] = rate
        found["smallest_kept"] = entry(
            settling.smallest_kept, "", overflow_rate=rate, solids_density=_bounded("solids density low", "solids density high", DENSITY),
            water_density=water.density, viscosity=water.viscosity,
        )  # fmt: skip
        if load and load.feed > 0 and load.solids > 0:
            # A dry part in kg on each litre is a thousand times one in kg on each m³.
            sediment = entry(
                settling.sediment_a_day,
                "",
                source=USER,
                feed=_within(load.feed, load.within),
                solids=load.solids,
                dry_part=load.sludge_dry * 1000,
            )
            found["time_to_clean_out"] = entry(
                settling.time_to_clean_out,
                "",
                source=USER,
                area=body.settling_area,
                room=body.sediment_room,
                sediment=sediment,
            )
    if body.media_area is not None:
        bulk = entry(settling.media_volume, "", source=USER, area=body.media_area, depth=body.media_depth)
        surface = entry(settling.media_surface, "", source=USER, media_volume=bulk, specific_surface=body.media_surface)
        found |= {
            "rise_rate": entry(settling.rise_rate, "", source=USER, flow=flow, area=body.media_area),
            "media_volume": bulk,
            "contact_time": entry(settling.contact_time, "", source=USER, media_volume=bulk, voids=body.media_voids, flow=flow),
            "media_surface": surface,
            "ammonia_removed": entry(
                ammonia.ammonia_removed, "", media_surface=surface,
                removal_rate=_bounded("ammonia removal low", "ammonia removal high", AREAL_RATE),
            ),
        }  # fmt: skip
    return found


def _feed_faults(drawn: Water, load: Load) -> list[Problem]:
    if load.feed <= 0 or (drawn.filter and drawn.filter.media_area is not None):
        return []
    return [
        Problem(
            ("water", "load", "feed"),
            words("{feed} of feed is given and there is no media bed to take the ammonia", feed=(load.feed, MASS_RATE)),
            words("feed with a filter that has a media bed, or none"),
            words("add a filter with a media bed, or set the feed to nothing"),
        )
    ]


def _overloaded(made: Entry, media: Entry) -> list[Problem]:
    most = ammonia.MOST_RATE * ammonia.MG_A_DAY * media.value
    if made.most < most:
        return []
    return [
        Problem(
            ("water", "load", "feed"),
            words("up to {made} of ammonia nitrogen is made", made=(made.most, MASS_RATE)),
            words("less than {most}, the most that the media can take at any level", most=(most, MASS_RATE)),
            words("enlarge the media bed, feed less, or keep fewer animals"),
        )
    ]


def _oxygen_of(made: Entry) -> dict[str, Entry | None]:
    oxygen, oxygen_source = limit("oxygen for nitrification", RATIO)
    alkalinity, alkalinity_source = limit("alkalinity for nitrification", RATIO)
    return {
        "nitrification_oxygen": entry(
            ammonia.nitrification_oxygen, "", source=oxygen_source, ammonia_made=made, oxygen_share=oxygen
        ),
        "alkalinity_used": entry(
            ammonia.alkalinity_used, "", source=alkalinity_source, ammonia_made=made, alkalinity_share=alkalinity
        ),
    }


def _ammonia(
    drawn: Water, load: Load, made: Entry, media: Entry, removed: Entry | None, flow: float, share: float
) -> dict[str, Entry | None]:
    free = ammonia.free_share(load.ph, drawn.temperature)
    level = entry(
        ammonia.ammonia_level,
        "",
        cautions=[ammonia_note(drawn.temperature)],
        ammonia_made=made,
        media_surface=media.value,
        flow=flow,
    )
    held = entry(
        ammonia.free_ammonia,
        "",
        source="Emerson et al. 1975",
        cautions=[FOR_LIFE],
        ammonia_level=level,
        free_share=free,
    )
    if held.most > load.free_ammonia_limit:
        held = with_cautions(
            held,
            words(
                "It may pass {most}, the limit entered: more media, less feed, or fewer animals.",
                most=(load.free_ammonia_limit, CONCENTRATION),
            ),
        )
    carried = entry(
        ammonia.ammonia_carried,
        "",
        cautions=[FOR_LIFE],
        free_limit=load.free_ammonia_limit,
        free_share=free,
        media_surface=media.value,
        flow=flow,
        ammonia_removed=removed,
    )
    feed = entry(
        ammonia.feed_carried, "", source=USER, ammonia_carried=carried, waste=_within(load.waste, load.within), protein=load.protein,
        ammonia_share=share,
    )  # fmt: skip
    return {"ammonia_level": level, "free_ammonia": held, "ammonia_carried": carried, "feed_carried": feed}


def ammonia_note(temperature: float) -> Words:
    """What to heed of the kinetics at a temperature."""
    colder = "Colder water takes less, so that more ammonia stays. " if temperature < 27.2 else ""
    return Words(f"The kinetics were measured at 27.2 °C. {colder}Confirm by test.")


def _oxygen(
    load: Load, nitrification: Entry | None, saturation: float, falls: tuple[float, float, float] | None, area: float
) -> dict[str, Entry | None]:
    used = entry(
        ammonia.oxygen_used,
        "",
        source=USER,
        respiration=_within(load.respiration, load.within),
        nitrification=nitrification or 0.0,
    )
    surface = load.exchange * area
    if falls is None or falls[1] + surface <= 0:
        return {"oxygen_used": used}
    least, source = limit("oxygen for a biofilter", CONCENTRATION)
    found: dict[str, Entry | None] = {"oxygen_used": used}
    for name, made in (("oxygen_by_night", 0.0), ("oxygen_by_day", float(load.plants))):
        figure = entry(
            ammonia.oxygen_at_balance, "", source=USER, cautions=[FOR_LIFE], saturation=saturation, used=used, made=made,
            falls=Range(*falls, source="oxygen that each fall gives"), surface=surface,
        )  # fmt: skip
        if figure.least < least:
            figure = with_cautions(
                figure,
                words(
                    f"It may fall under {{least}} ({source}): more falls, more surface, fewer animals.",
                    least=(least, CONCENTRATION),
                ),
            )
        found[name] = figure
    return found
