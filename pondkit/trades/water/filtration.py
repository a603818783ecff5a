"""Figures of the filter, of the animals' waste and of the pond's oxygen."""

from typing import Any

from pondkit.core.constants import fluid
from pondkit.core.entry import USER, Entry, Range, entry, limit, with_cautions, within
from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import AREAL_RATE, CONCENTRATION, DENSITY, MASS_RATE, RATIO, TEMPERATURE, Kind
from pondkit.trades.water.body_losses import at_end, voids_of
from pondkit.trades.water.cautions import (
    FREE_AMMONIA_HIGH,
    NITRIFICATION_COLD,
    NO_FEED,
    OXYGEN_LOW,
    OXYGEN_OVER,
    TEST_FOR_LIFE,
    judged,
)
from pondkit.trades.water.formulas import filters
from pondkit.trades.water.inputs.bodies import Filter
from pondkit.trades.water.inputs.season import WaterLoad
from pondkit.trades.water.inputs.water import Water
from pondkit.trades.water.lines import TYPICAL, End
from pondkit.trades.water.results import FilterResult


def _bounded(low: str, high: str, kind: Kind) -> Range:
    least, source = limit(low, kind)
    most = limit(high, kind)[0]
    return Range(least, (least + most) / 2, most, source)


def _per_degree() -> Range:
    """Factor of nitrification for each degree, with the range in print."""
    low, typical, high = (limit(f"nitrification per degree{end}", RATIO) for end in (" low", "", " high"))
    return Range(low[0], typical[0], high[0], f"{low[1]}; {typical[1]}; {high[1]}")


def filtration(
    drawn: Water,
    flow: float | None,
    saturation: float,
    falls: tuple[float, float, float] | None,
    area: float,
    end: End = TYPICAL,
) -> FilterResult:
    """Figures of the filter, of waste and of oxygen.

    Args:
        drawn: The water side as drawn.
        flow: Through the filter [m³/s]; None where it is not known or nothing runs there.
        saturation: Oxygen at saturation [kg/m³].
        falls: Flow that all falls together bring to saturation, low, typical, high [m³/s]; None where it is not known.
        area: Water surface of all pools [m²].
        end: As the network was solved.
    """
    body, load = drawn.filter, drawn.load
    figures: dict[str, Entry | None] = dict.fromkeys(FilterResult.__dataclass_fields__)
    del figures["problems"]
    problems: list[Problem] = []
    running = flow if flow and flow > 0 else None
    if body and running:
        figures |= _bodies(body, load, running, drawn.temperature, end)
    if load:
        media = figures["media_surface"]
        share, share_source = limit("ammonia from feed", RATIO)
        made = entry(
            filters.ammonia_made,
            "",
            source=share_source,
            feed=within(load.feed, load.within),
            protein=load.protein,
            ammonia_share=share,
            waste=within(load.waste, load.within),
        )
        figures["ammonia_made"] = made
        problems += _feed_faults(drawn, load)
        if made.value > 0:
            figures |= _oxygen_of(made)
        if media and running and not problems:
            problems += _overloaded(made, media, drawn.temperature)
            if not problems:
                figures |= _ammonia(drawn, load, made, media, running, share)
        figures |= _oxygen(load, figures["nitrification_oxygen"], saturation, falls, area)
    return FilterResult(**figures, problems=tuple(problems))


def _bodies(body: Filter, load: WaterLoad | None, flow: float, temperature: float, end: End) -> dict[str, Entry | None]:
    figures: dict[str, Entry | None] = {}
    if body.settling_area is not None:
        water = fluid(temperature)
        rate = entry(filters.overflow_rate, "", source=USER, flow=flow, area=body.settling_area)
        figures["overflow_rate"] = rate
        figures["smallest_kept"] = entry(
            filters.smallest_kept,
            "",
            overflow_rate=rate,
            working_share=_working(body),
            solids_density=_bounded("solids density low", "solids density high", DENSITY),
            water_density=water.density,
            viscosity=water.viscosity,
        )
        if load and load.feed > 0 and load.solids > 0:
            # A dry part in kg on each litre is a thousand times one in kg on each m³.
            sediment = entry(
                filters.sediment_a_day,
                "",
                source=USER,
                feed=within(load.feed, load.within),
                solids=within(load.solids, load.solids_within),
                dry_part=within(load.sludge_dry * 1000, load.sludge_dry_within),
            )
            figures["time_to_clean_out"] = entry(
                filters.time_to_clean_out,
                "",
                source=USER,
                area=body.settling_area,
                room=body.sediment_room,
                sediment=sediment,
            )
    if body.media_area is not None:
        bulk = entry(filters.media_volume, "", source=USER, area=body.media_area, depth=body.media_depth)
        surface = entry(filters.media_surface, "", source=USER, media_volume=bulk, specific_surface=body.media_surface)
        figures |= {
            "rise_rate": entry(filters.rise_rate, "", source=USER, flow=flow, area=body.media_area),
            "media_volume": bulk,
            "contact_time": entry(
                filters.contact_time, "", source=USER, media_volume=bulk, voids=at_end(voids_of(body), end), flow=flow
            ),
            "media_surface": surface,
            "ammonia_removed": entry(
                filters.ammonia_removed,
                "",
                media_surface=surface,
                removal_rate=_removal(),
                temperature=temperature,
                per_degree=_per_degree(),
            ),
        }
    return figures


def _working(body: Filter) -> Range:
    share = within(body.settling_share, body.settling_share_within)
    return Range(share.low, share.typical, min(share.high, 1.0), share.source)


def _removal() -> Range:
    return _bounded("ammonia removal low", "ammonia removal high", AREAL_RATE)


def _feed_faults(drawn: Water, load: WaterLoad) -> list[Problem]:
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


def _overloaded(made: Entry, media: Entry, temperature: float) -> list[Problem]:
    ends = _per_degree()
    slowest = min(filters.pace(temperature, each) for each in (ends.low, ends.high))
    most = filters.MOST_RATE * filters.MG_A_DAY * media.value * slowest
    if made.most < most:
        return []
    return [
        Problem(
            ("water", "load", "feed"),
            words("up to {made} of ammonia nitrogen is made", made=(made.most, MASS_RATE)),
            words(
                "less than {most}, the most that the media can be counted on to take in water of {temperature}",
                most=(most, MASS_RATE),
                temperature=(temperature, TEMPERATURE),
            ),
            words("enlarge the media bed, feed less, or keep fewer animals"),
        )
    ]


def _oxygen_of(made: Entry) -> dict[str, Entry | None]:
    oxygen, oxygen_source = limit("oxygen for nitrification", RATIO)
    alkalinity, alkalinity_source = limit("alkalinity for nitrification", RATIO)
    return {
        "nitrification_oxygen": entry(
            filters.nitrification_oxygen, "", source=oxygen_source, ammonia_made=made, oxygen_share=oxygen
        ),
        "alkalinity_used": entry(
            filters.alkalinity_used, "", source=alkalinity_source, ammonia_made=made, alkalinity_share=alkalinity
        ),
    }


def _ammonia(
    drawn: Water, load: WaterLoad, made: Entry, media: Entry, flow: float, share: float
) -> dict[str, Entry | None]:
    free = filters.free_share(load.ph, drawn.temperature)
    kinetics: dict[str, Any] = {
        "media_surface": media,
        "flow": flow,
        "temperature": drawn.temperature,
        "per_degree": _per_degree(),
    }
    level = entry(filters.ammonia_level, "", source=USER, ammonia_made=made, **kinetics)
    if drawn.temperature < NITRIFICATION_COLD.least - 1e-9:  # type: ignore[operator]
        level = with_cautions(level, NITRIFICATION_COLD(limit=(NITRIFICATION_COLD.least or 0.0, TEMPERATURE)))
    held = entry(
        filters.free_ammonia,
        "",
        source="Emerson et al. 1975",
        cautions=[TEST_FOR_LIFE()],
        ammonia_level=level,
        free_share=free,
    )
    held = judged(held, FREE_AMMONIA_HIGH, limit=float(load.free_ammonia_limit))
    carried = entry(
        filters.ammonia_carried,
        "",
        source=USER,
        cautions=[TEST_FOR_LIFE()],
        free_limit=load.free_ammonia_limit,
        free_share=free,
        removal_rate=_removal(),
        **kinetics,
    )
    feed = entry(
        filters.feed_carried,
        "",
        source=USER,
        ammonia_carried=carried,
        waste=within(load.waste, load.within),
        protein=load.protein,
        ammonia_share=share,
    )
    if feed.value <= 0:
        feed = with_cautions(feed, NO_FEED())
    return {"ammonia_level": level, "free_ammonia": held, "ammonia_carried": carried, "feed_carried": feed}


def _oxygen(
    load: WaterLoad,
    nitrification: Entry | None,
    saturation: float,
    falls: tuple[float, float, float] | None,
    area: float,
) -> dict[str, Entry | None]:
    used = entry(
        filters.oxygen_used,
        "",
        source=USER,
        respiration=within(load.respiration, load.within),
        nitrification=nitrification or 0.0,
    )
    exchange = within(load.exchange * area, load.exchange_within)
    if falls is None or falls[1] + exchange.typical <= 0:
        return {"oxygen_used": used}
    figures: dict[str, Entry | None] = {"oxygen_used": used}
    for name, made in (("oxygen_by_night", 0.0), ("oxygen_by_day", float(load.plants))):
        figure = entry(
            filters.oxygen_at_balance,
            "",
            source=USER,
            cautions=[TEST_FOR_LIFE()],
            saturation=saturation,
            used=used,
            made=made,
            falls=falls_of(falls),
            surface=exchange,
        )
        figures[name] = judged(figure, OXYGEN_LOW)
    day = figures["oxygen_by_day"]
    assert day is not None
    over = OXYGEN_OVER.where(day.least, day.value, day.most, most=saturation, saturation=(saturation, CONCENTRATION))
    figures["oxygen_by_day"] = with_cautions(day, *over)
    return figures


def falls_of(falls: tuple[float, float, float]) -> Range:
    """What all falls bring to saturation, low, typical, high [m³/s]."""
    return Range(*falls, source="oxygen that each fall gives")
