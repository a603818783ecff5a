"""Figures of the filter, of the animals' waste and of the pond's oxygen; head lost at the intake and in the filter."""

from collections.abc import Iterator
from typing import Any

from pondkit.core.caution import Caution
from pondkit.core.constants import GRAVITY, Fluid, fluid
from pondkit.core.entry import USER, Entry, Range, entry, input_entry, limit, total, with_cautions, within
from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import AREAL_RATE, CONCENTRATION, DENSITY, LENGTH, MASS_RATE, RATIO, SPEED, TEMPERATURE, Kind
from pondkit.solvers.friction import Resistance
from pondkit.trades.water.cautions import (
    APPROACH_FAST,
    APPROACH_NOT_PASSIVE,
    CHAMBER_FAST,
    FREE_AMMONIA_HIGH,
    MEDIA_CLOG,
    NITRIFICATION_COLD,
    NO_FEED,
    OPENINGS_FAST,
    OPENINGS_WIDE,
    OXYGEN_LOW,
    OXYGEN_OVER,
    PASSAGE_FAST,
    SCREEN_BARE,
    SCREEN_OUT,
    SCREEN_SMALL,
    SUCTION_ENTRAPMENT,
    TEST_FOR_LIFE,
    WIRE_WIDE,
    judged,
)
from pondkit.trades.water.formulas import filters
from pondkit.trades.water.formulas.filters import (
    EDGE,
    ergun,
    filter_running_level,
    maker_loss,
    media_loss,
    media_size,
    passage_loss,
    passage_velocity,
)
from pondkit.trades.water.formulas.pumping import (
    SCREEN_K,
    approach_velocity,
    intake_cover,
    level_behind_screen,
    screen_area_needed,
    screen_k,
    screen_loss,
    velocity_through_openings,
)
from pondkit.trades.water.inputs.pumping import WaterLoad
from pondkit.trades.water.inputs.water import Filter, Intake, Water
from pondkit.trades.water.lines import HIGH, LOW, TYPICAL, End
from pondkit.trades.water.results import FilterLossResult, FilterResult, IntakeResult

NEARLY = 1e-9  # relative: a value typed in the other system may differ from a limit by rounding


def screen_resistance(basin: Intake) -> Resistance:
    """Head loss of the intake screen over the flow. Where the screen's area is sized for the flow, the loss is the
    same at any flow.
    """
    k = screen_k(basin.open_share) / (2 * GRAVITY * (1 - basin.clogged) ** 2)
    if basin.screen_area is None:
        return Resistance(always=k * basin.approach**2)
    return Resistance(square=k / (basin.screen_area * (1 - basin.blocked)) ** 2)


def intake(basin: Intake, pool: str, flow: Entry | None, running_level: float | None) -> IntakeResult:
    """Figures of the intake: screen area, velocities, submergence and head loss.

    Args:
        basin: Its inputs.
        pool: The pool it draws from.
        flow: Pump discharge; None if unknown.
        running_level: Level of that pool while the pumps run [m]; None if unknown.
    """
    needed = built = through = fresh = clean = dirty = behind = None
    if flow is not None and flow.value > 0:
        inputs: dict[str, Any] = {"flow": flow.value, "blocked": basin.blocked}
        needed = entry(
            screen_area_needed,
            pool,
            source=USER,
            cautions=[SUCTION_ENTRAPMENT(), *_of_screen(basin)],
            approach_velocity=basin.approach,
            **inputs,
        )
        if basin.screen_area is not None:
            built = entry(approach_velocity, pool, source=USER, screen_area=basin.screen_area, **inputs)
            limit: dict[str, Any] = {"most": float(basin.approach) * (1 + NEARLY), "chosen": (basin.approach, SPEED)}
            built = with_cautions(built, *SCREEN_SMALL.where(built.least, built.value, built.most, **limit))
        area = needed.value if basin.screen_area is None else float(basin.screen_area)
        fresh, through = (
            entry(
                velocity_through_openings,
                pool,
                source=USER,
                screen_area=area,
                open_share=basin.open_share,
                clogged=share,
                **inputs,
            )
            for share in (0.0, basin.clogged)
        )
        through = judged(through, OPENINGS_FAST)
        comes = built.value if built else float(basin.approach)
        coefficients: dict[str, Any] = {
            "screen_k": screen_k(basin.open_share),
            "gravity": GRAVITY,
            "approach_velocity": comes,
        }
        clean, dirty = (
            entry(screen_loss, pool, source=f"{USER}; {SCREEN_K}", clogged=share, **coefficients)
            for share in (0.0, basin.clogged)
        )
        if running_level is not None:
            behind = entry(level_behind_screen, pool, running_level=running_level, screen_loss=dirty)
            if basin.screen_top is not None and behind.value <= basin.screen_top:
                behind = with_cautions(behind, SCREEN_BARE())
    cover = None
    if basin.screen_top is not None and running_level is not None:
        cover = entry(intake_cover, pool, source=USER, running_level=running_level, screen_top=basin.screen_top)
        if cover.value <= 0:
            cover = with_cautions(cover, SCREEN_OUT())
    return IntakeResult(needed, built, through, fresh, cover, clean, dirty, behind)


def _of_screen(basin: Intake) -> Iterator[Caution]:
    """Cautions on the screen inputs: approach velocity and widest opening."""
    for value, kind, rules in (
        (basin.approach, SPEED, (APPROACH_FAST, APPROACH_NOT_PASSIVE)),
        (basin.opening, LENGTH, (OPENINGS_WIDE, WIRE_WIDE)),
    ):
        for rule in rules:
            assert rule.most is not None
            if value > rule.most * (1 + NEARLY):
                yield rule(limit=(rule.most, kind))
                break


def voids_of(body: Filter) -> Range:
    """Porosity of the filter media, with its range; always less than 1."""
    typical, share = float(body.media_voids), float(body.media_voids_within)
    return within(typical, share, (1 + typical) / 2)


def at_end(voids: Range, end: End) -> float:
    """Porosity at one end of its range. The highest porosity gives the least head loss."""
    return {LOW: voids.high, TYPICAL: voids.typical, HIGH: voids.low}[end]


def media_size_at(body: Filter, voids: float) -> float:
    """Grain size of the media [m]: as entered, or from its specific surface."""
    return media_size(voids, body.media_surface) if body.media_size is None else float(body.media_size)


def resistances_of(body: Filter, water: Fluid, end: End = TYPICAL) -> tuple[Resistance, ...]:
    """Head losses of the opening and of the media, over the flow through the filter. ``end``: end of the ranges; the
    highest porosity gives the least head loss.
    """
    resistances = []
    open_part = at_end(voids_of(body), end)
    if body.passage_area is not None:
        resistances.append(Resistance(square=1 / (2 * GRAVITY * (EDGE * body.passage_area) ** 2)))
    if body.media_area is not None:
        area = float(body.media_area)
        bed = (
            ergun(body.media_depth, open_part, media_size_at(body, open_part), water.viscosity, GRAVITY)
            if body.maker_loss is None
            else Resistance(square=body.maker_loss / body.maker_rate**2)
        )
        resistances.append(Resistance(0.0, bed.linear / area, bed.square / area**2))
    return tuple(resistances)


def filter_loss(
    body: Filter, flow: float, water: Fluid, piped: tuple[Entry, ...], end: End = TYPICAL
) -> FilterLossResult:
    """Figures of the head loss through the filter.

    Args:
        body: Inputs of the filter.
        flow: Flow through it [m³/s], above zero.
        water: Its viscosity.
        piped: Head losses of the pipe between its two bodies.
        end: End of the ranges for which the network was solved.
    """
    figures: dict[str, Any] = {}
    losses = [*piped]
    if body.passage_area is not None:
        velocity = entry(passage_velocity, "", source=USER, flow=flow, passage_area=body.passage_area)
        velocity = judged(velocity, PASSAGE_FAST)
        opening_loss = entry(passage_loss, "", passage_velocity=velocity, discharge_coefficient=EDGE, gravity=GRAVITY)
        figures |= {"passage_velocity": velocity, "passage_loss": opening_loss}
        losses.append(opening_loss)
    if body.media_area is not None:
        figures |= _media(body, flow / body.media_area, water, end)
        losses.append(figures["media_loss"])
    if losses:
        total_loss = total("", losses, LENGTH)
        figures["filter_loss"] = total_loss
        figures["filter_running_level"] = entry(
            filter_running_level, "", source=USER, cautions=[MEDIA_CLOG()], level=body.level, filter_loss=total_loss
        )
    return FilterLossResult(**figures)


def _media(body: Filter, rate: float, water: Fluid, end: End) -> dict[str, Entry]:
    if body.maker_loss is not None:
        return {
            "media_loss": entry(
                maker_loss, "", source=USER, rise_rate=rate, maker_loss=body.maker_loss, maker_rate=body.maker_rate
            )
        }
    voids = at_end(voids_of(body), end)
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


def passage_problem(body: Filter | None, piped: bool) -> list[Problem]:
    """Problem of a filter whose two bodies are joined by an opening and by a pipe at once."""
    if body is None or body.passage_area is None or not piped:
        return []
    return [
        Problem(
            ("water", "filter", "passage_area"),
            words("the filter's bodies have both an opening between them and a pipe"),
            words("an opening where they are joined, or a pipe where they stand apart"),
            words("take the opening or the passage out"),
        )
    ]


def _bounded(low: str, high: str, kind: Kind) -> Range:
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
    falls: tuple[float, float, float] | None,
    area: float,
    end: End = TYPICAL,
) -> FilterResult:
    """Figures of the filter, of waste and of oxygen.

    Args:
        water: Inputs of the water side.
        flow: Flow through the filter [m³/s]; None if unknown or zero.
        saturation: Oxygen at saturation [kg/m³].
        falls: Equivalent flow aerated to saturation by all falls together: low, typical, high [m³/s]; None if unknown.
        area: Water surface of all pools [m²].
        end: End of the ranges for which the network was solved.
    """
    body, load = water.filter, water.load
    figures: dict[str, Entry | None] = dict.fromkeys(FilterResult.__dataclass_fields__)
    del figures["problems"]
    problems: list[Problem] = []
    running = flow if flow and flow > 0 else None
    if body and running:
        figures |= _bodies(body, load, running, water.temperature, end)
    if load:
        media = figures["media_surface"]
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
            figures |= _oxygen_of(ammonia)
        if media and running and not problems:
            problems += _overloaded(ammonia, media, water.temperature)
            if not problems:
                figures |= _ammonia(water, load, ammonia, media, running, share)
        figures |= _oxygen(load, figures["nitrification_oxygen"], saturation, falls, area)
    return FilterResult(**figures, problems=tuple(problems))


def _bodies(body: Filter, load: WaterLoad | None, flow: float, temperature: float, end: End) -> dict[str, Entry | None]:
    figures: dict[str, Entry | None] = {}
    if body.settling_area is not None:
        water = fluid(temperature)
        rate = entry(filters.overflow_rate, "", source=USER, flow=flow, area=body.settling_area)
        share, solids = _working(body), _bounded("solids density low", "solids density high", DENSITY)
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


def _feed_faults(water: Water, load: WaterLoad) -> list[Problem]:
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
    ends = _per_degree()
    slowest = min(filters.pace(temperature, rate) for rate in (ends.low, ends.high))
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


def _oxygen_of(ammonia: Entry) -> dict[str, Entry | None]:
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
) -> dict[str, Entry | None]:
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
    return {"ammonia_level": level, "free_ammonia": free_level, "ammonia_carried": carried, "feed_carried": feed}


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
    for name, production in (("oxygen_by_night", 0.0), ("oxygen_by_day", float(load.plants))):
        figure = entry(
            filters.oxygen_at_balance,
            "",
            source=USER,
            cautions=[TEST_FOR_LIFE()],
            saturation=saturation,
            used=used,
            production=production,
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
    """Equivalent flow aerated to saturation by all falls together: low, typical, high [m³/s]."""
    return Range(*falls, source="oxygen that each fall gives")
