"""Figures of the filter and its head loss, of the ammonia that feed and waste bring, and of the pond's oxygen."""

from typing import Any

from pondkit.core.constants import GRAVITY, Fluid, fluid
from pondkit.core.entry import USER, Entry, Range, entry, input_entry, limit, total, with_cautions, within
from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import AREAL_RATE, CONCENTRATION, DENSITY, LENGTH, MASS_RATE, RATIO, TEMPERATURE, Kind
from pondkit.solvers.friction import Resistance
from pondkit.trades.water.cautions import (
    CHAMBER_FAST,
    FREE_AMMONIA_HIGH,
    MEDIA_CLOG,
    NITRIFICATION_COLD,
    NO_FEED,
    OXYGEN_LOW,
    OXYGEN_OVER,
    PASSAGE_FAST,
    TEST_FOR_LIFE,
    judged,
)
from pondkit.trades.water.formulas import filters
from pondkit.trades.water.formulas.filters import (
    ergun,
    filter_running_level,
    maker_loss,
    media_loss,
    media_size,
    passage_loss,
    passage_velocity,
)
from pondkit.trades.water.formulas.open_water import SHARP_EDGE
from pondkit.trades.water.inputs.water import Filter, Water, WaterLoad
from pondkit.trades.water.lines import TYPICAL, Case, opposite
from pondkit.trades.water.results import FilterLossResult, FilterResult


def voids_of(body: Filter) -> Range:
    """Voids of the filter media as a share of the bed, with their range; always less than 1."""
    typical, share = float(body.media_voids), float(body.media_voids_within)
    return within(typical, share, (1 + typical) / 2)


def voids_in(body: Filter, case: Case) -> float:
    """Voids of the filter media at one end of the head-loss ranges: the most voids take the least head."""
    return float(getattr(voids_of(body), opposite(case)))


def media_size_of(body: Filter, voids: float) -> float:
    """Size of the media [m]: as entered, or from its surface and voids."""
    return media_size(voids, body.media_surface) if body.media_size is None else float(body.media_size)


def resistances_of(body: Filter, water: Fluid, case: Case = TYPICAL) -> tuple[Resistance, ...]:
    """Head losses of the opening between the bodies and of the media, over the flow through the filter.

    Args:
        body: Inputs of the filter.
        water: Its viscosity.
        case: For which of the media's voids.
    """
    resistances = []
    voids = voids_in(body, case)
    if body.passage_area is not None:
        resistances.append(Resistance(square=1 / (2 * GRAVITY * (SHARP_EDGE * body.passage_area) ** 2)))
    if body.media_area is not None:
        area = float(body.media_area)
        bed = (
            ergun(body.media_depth, voids, media_size_of(body, voids), water.viscosity, GRAVITY)
            if body.maker_loss is None
            else Resistance(square=body.maker_loss / body.maker_rate**2)
        )
        resistances.append(Resistance(0.0, bed.linear / area, bed.square / area**2))
    return tuple(resistances)


def filter_loss(
    body: Filter, flow: float, water: Fluid, of_passage: tuple[Entry, ...], case: Case = TYPICAL
) -> FilterLossResult:
    """Figures of the head loss through the filter.

    Args:
        body: Inputs of the filter.
        flow: Flow through it [m³/s], above zero.
        water: Its viscosity.
        of_passage: Head losses of the pipe between its two bodies.
        case: For which of the coefficients the network was solved.
    """
    figures: dict[str, Any] = {}
    losses = [*of_passage]
    if body.passage_area is not None:
        velocity = entry(passage_velocity, "", source=USER, flow=flow, passage_area=body.passage_area)
        velocity = judged(velocity, PASSAGE_FAST)
        opening_loss = entry(
            passage_loss, "", passage_velocity=velocity, discharge_coefficient=SHARP_EDGE, gravity=GRAVITY
        )
        figures |= {"passage_velocity": velocity, "passage_loss": opening_loss}
        losses.append(opening_loss)
    if body.media_area is not None:
        figures |= _media_figures(body, flow / body.media_area, water, case)
        losses.append(figures["media_loss"])
    if losses:
        total_loss = total("", losses, LENGTH)
        figures["filter_loss"] = total_loss
        figures["filter_running_level"] = entry(
            filter_running_level, "", source=USER, cautions=[MEDIA_CLOG()], level=body.level, filter_loss=total_loss
        )
    return FilterLossResult(**figures)


def _media_figures(body: Filter, rate: float, water: Fluid, case: Case) -> dict[str, Entry]:
    """Size and head loss of the media at a rise rate [m/s], by key."""
    if body.maker_loss is not None:
        return {
            "media_loss": entry(
                maker_loss, "", source=USER, rise_rate=rate, maker_loss=body.maker_loss, maker_rate=body.maker_rate
            )
        }
    voids = voids_in(body, case)
    size = (
        entry(media_size, "", source=USER, voids=voids, media_surface=body.media_surface)
        if body.media_size is None
        else input_entry("", body.media_size, LENGTH)
    )
    loss = entry(
        media_loss,
        "",
        source=USER,
        rise_rate=rate,
        media_depth=body.media_depth,
        voids=voids,
        media_size=size,
        viscosity=water.viscosity,
        gravity=GRAVITY,
    )
    return {"media_size": size, "media_loss": loss}


def _range_of_limits(low: str, high: str, kind: Kind) -> Range:
    """Range between two rows of the table of limits, typical in the middle; source of the first."""
    least, source = limit(low, kind)
    most = limit(high, kind)[0]
    return Range(least, (least + most) / 2, most, source)


def _per_degree() -> Range:
    """Temperature factor of nitrification per degree, with its printed range."""
    low, typical, high = (limit(f"nitrification per degree{end}", RATIO) for end in (" low", "", " high"))
    return Range(low[0], typical[0], high[0], f"{low[1]}; {typical[1]}; {high[1]}")


def filtration(
    water: Water,
    flow: float | None,
    saturation: float,
    aeration: tuple[float, float, float] | None,
    area: float,
    case: Case = TYPICAL,
) -> FilterResult:
    """Figures of the filter, of waste and of oxygen.

    Args:
        water: Inputs of the water side.
        flow: Flow through the filter [m³/s]; None if unknown or zero.
        saturation: Oxygen at saturation [kg/m³].
        aeration: Flow that all falls together aerate, see ``LinksResult``: low, typical, high [m³/s]; None if unknown.
        area: Water surface of all pools [m²].
        case: For which of the coefficients the network was solved.
    """
    load = water.load
    figures: dict[str, Entry] = {}
    problems: list[Problem] = []
    running = flow if flow and flow > 0 else None
    if water.filter and running:
        figures |= _filter_bodies(water.filter, load, running, water.temperature, case)
    if load:
        media = figures.get("media_surface")
        share, share_source = limit("ammonia from feed", RATIO)
        ammonia = entry(
            filters.ammonia_made,
            "",
            source=share_source,
            feed=within(load.feed, load.within),
            protein=load.protein,
            ammonia_share=share,
            waste=within(load.waste, load.within),
        )
        figures["ammonia_made"] = ammonia
        problems += _feed_faults(water, load)
        if ammonia.value > 0:
            figures |= _nitrification(ammonia)
        if media and running and not problems:
            problems += _overloaded(ammonia, media, water.temperature)
            if not problems:
                figures |= _ammonia(water, load, ammonia, media, running, share)
        figures |= _oxygen(load, figures.get("nitrification_oxygen"), saturation, aeration, area)
    return FilterResult(**figures, problems=tuple(problems))


def _filter_bodies(
    body: Filter, load: WaterLoad | None, flow: float, temperature: float, case: Case
) -> dict[str, Entry]:
    """Figures of settling chamber and media bed, by key."""
    figures: dict[str, Entry] = {}
    if body.settling_area is not None:
        water = fluid(temperature)
        rate = entry(filters.overflow_rate, "", source=USER, flow=flow, area=body.settling_area)
        share, solids = _effective_share(body), _range_of_limits("solids density low", "solids density high", DENSITY)
        coarse = filters.settling_velocity(filters.LARGEST, solids.low, water.density, water.viscosity)
        too_fast = CHAMBER_FAST.where(
            rate.least, rate.value, rate.most, most=share.low * coarse, particle=(filters.LARGEST, LENGTH)
        )
        figures["overflow_rate"] = with_cautions(rate, *too_fast)
        if not too_fast:
            figures["smallest_kept"] = entry(
                filters.smallest_kept,
                "",
                overflow_rate=rate,
                working_share=share,
                solids_density=solids,
                water_density=water.density,
                viscosity=water.viscosity,
            )
        if load and load.feed > 0 and load.solids > 0:
            sediment = entry(
                filters.sediment_a_day,
                "",
                source=USER,
                feed=within(load.feed, load.within),
                solids=within(load.solids, load.solids_within),
                dry_part=within(load.sludge_dry * 1000, load.sludge_dry_within),  # kg/L as kg/m³
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
        figures |= _media_bed(body, flow, temperature, case)
    return figures


def _media_bed(body: Filter, flow: float, temperature: float, case: Case) -> dict[str, Entry]:
    """Figures of the media bed without its head loss, by key."""
    bulk = entry(filters.media_volume, "", source=USER, area=body.media_area, depth=body.media_depth)
    surface = entry(filters.media_surface, "", source=USER, media_volume=bulk, specific_surface=body.media_surface)
    contact = entry(filters.contact_time, "", source=USER, media_volume=bulk, voids=voids_in(body, case), flow=flow)
    removed = entry(
        filters.ammonia_removed,
        "",
        media_surface=surface,
        removal_rate=_removal_rate(),
        temperature=temperature,
        per_degree=_per_degree(),
    )
    return {
        "rise_rate": entry(filters.rise_rate, "", source=USER, flow=flow, area=body.media_area),
        "media_volume": bulk,
        "contact_time": contact,
        "media_surface": surface,
        "ammonia_removed": removed,
    }


def _effective_share(body: Filter) -> Range:
    """Share of the settling chamber's plan area that works, at most all of it."""
    share = within(body.settling_share, body.settling_share_within)
    return Range(share.low, share.typical, min(share.high, 1.0), share.source)


def _removal_rate() -> Range:
    """Ammonia nitrogen that media remove for each area of their surface."""
    return _range_of_limits("ammonia removal low", "ammonia removal high", AREAL_RATE)


def _feed_faults(water: Water, load: WaterLoad) -> list[Problem]:
    """Problem of feed without media to take its ammonia."""
    if load.feed <= 0 or (water.filter and water.filter.media_area is not None):
        return []
    return [
        Problem(
            ("water", "load", "feed"),
            words("{feed} of feed is given and there is no media bed to take the ammonia", feed=(load.feed, MASS_RATE)),
            words("feed with a filter that has a media bed, or none"),
            words("add a filter with a media bed, or set the feed to nothing"),
        )
    ]


def _overloaded(ammonia: Entry, media: Entry, temperature: float) -> list[Problem]:
    """Problem of more ammonia than the media can remove at any concentration."""
    per_degree = _per_degree()
    slowest = min(filters.temperature_factor(temperature, factor) for factor in (per_degree.low, per_degree.high))
    most = filters.MOST_RATE * filters.MG_A_DAY * media.value * slowest
    if ammonia.most < most:
        return []
    return [
        Problem(
            ("water", "load", "feed"),
            words("up to {made} of ammonia nitrogen is made", made=(ammonia.most, MASS_RATE)),
            words(
                "less than {most}, the most that the media can be counted on to take in water of {temperature}",
                most=(most, MASS_RATE),
                temperature=(temperature, TEMPERATURE),
            ),
            words("enlarge the media bed, feed less, or keep fewer animals"),
        )
    ]


def _nitrification(ammonia: Entry) -> dict[str, Entry]:
    """Oxygen and alkalinity that nitrification uses, by key."""
    oxygen, oxygen_source = limit("oxygen for nitrification", RATIO)
    alkalinity, alkalinity_source = limit("alkalinity for nitrification", RATIO)
    return {
        "nitrification_oxygen": entry(
            filters.nitrification_oxygen, "", source=oxygen_source, ammonia_made=ammonia, oxygen_share=oxygen
        ),
        "alkalinity_used": entry(
            filters.alkalinity_used, "", source=alkalinity_source, ammonia_made=ammonia, alkalinity_share=alkalinity
        ),
    }


def _ammonia(
    water: Water, load: WaterLoad, ammonia: Entry, media: Entry, flow: float, share: float
) -> dict[str, Entry]:
    """Ammonia of the pond, and what the filter can treat, by key; ``share``: ammonia nitrogen over protein fed."""
    free = filters.free_share(load.ph, water.temperature)
    kinetics: dict[str, Any] = {
        "media_surface": media,
        "flow": flow,
        "temperature": water.temperature,
        "per_degree": _per_degree(),
    }
    level = entry(filters.ammonia_level, "", source=USER, ammonia_made=ammonia, **kinetics)
    if water.temperature < NITRIFICATION_COLD.least - 1e-9:  # type: ignore[operator]
        level = with_cautions(level, NITRIFICATION_COLD(limit=(NITRIFICATION_COLD.least or 0.0, TEMPERATURE)))
    free_level = entry(
        filters.free_ammonia,
        "",
        source="Emerson et al. 1975",
        cautions=[TEST_FOR_LIFE()],
        ammonia_level=level,
        free_share=free,
    )
    free_level = judged(free_level, FREE_AMMONIA_HIGH, limit=float(load.free_ammonia_limit))
    carried = entry(
        filters.ammonia_carried,
        "",
        source=USER,
        cautions=[TEST_FOR_LIFE()],
        free_limit=load.free_ammonia_limit,
        free_share=free,
        removal_rate=_removal_rate(),
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
    return {"ammonia_level": level, "free_ammonia": free_level, "ammonia_carried": carried, "feed_carried": feed}


def _oxygen(
    load: WaterLoad,
    nitrification: Entry | None,
    saturation: float,
    aeration: tuple[float, float, float] | None,
    area: float,
) -> dict[str, Entry]:
    """Oxygen used, and the pond's oxygen by night and by day, by key."""
    used = entry(
        filters.oxygen_used,
        "",
        source=USER,
        respiration=within(load.respiration, load.within),
        nitrification=nitrification or 0.0,
    )
    by_surface = within(load.exchange * area, load.exchange_within)
    figures: dict[str, Entry] = {"oxygen_used": used}
    if aeration is None or aeration[1] + by_surface.typical <= 0:
        return figures
    for name, production in (("oxygen_by_night", 0.0), ("oxygen_by_day", float(load.plants))):
        figure = entry(
            filters.oxygen_at_balance,
            "",
            source=USER,
            cautions=[TEST_FOR_LIFE()],
            saturation=saturation,
            used=used,
            production=production,
            aerated_by_falls=aeration_range(aeration),
            aerated_by_surface=by_surface,
        )
        figures[name] = judged(figure, OXYGEN_LOW)
    day = figures["oxygen_by_day"]
    over = OXYGEN_OVER.where(day.least, day.value, day.most, most=saturation, saturation=(saturation, CONCENTRATION))
    figures["oxygen_by_day"] = with_cautions(day, *over)
    return figures


def aeration_range(aeration: tuple[float, float, float]) -> Range:
    """Flow that all falls together aerate, see ``LinksResult``, as a range [m³/s]."""
    return Range(*aeration, source="oxygen that each fall gives")
