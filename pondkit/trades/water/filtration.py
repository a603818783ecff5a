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


def screen_resistance(drawn: Intake) -> Resistance:
    """What the screen takes of the head over the flow; always the same where its area follows from the flow."""
    k = screen_k(drawn.open_share) / (2 * GRAVITY * (1 - drawn.clogged) ** 2)
    if drawn.screen_area is None:
        return Resistance(always=k * drawn.approach**2)
    return Resistance(square=k / (drawn.screen_area * (1 - drawn.blocked)) ** 2)


def intake(drawn: Intake, pool: str, flow: Entry | None, running_level: float | None) -> IntakeResult:
    """Figures of an intake.

    Args:
        drawn: As drawn.
        pool: The pool it draws from.
        flow: What the pumps take; None where that is not known.
        running_level: Of that pool while they run [m]; None where it is not known.
    """
    needed = built = through = fresh = clean = dirty = behind = None
    if flow is not None and flow.value > 0:
        given: dict[str, Any] = {"flow": flow.value, "blocked": drawn.blocked}
        needed = entry(
            screen_area_needed,
            pool,
            source=USER,
            cautions=[SUCTION_ENTRAPMENT(), *_of_screen(drawn)],
            approach_velocity=drawn.approach,
            **given,
        )
        if drawn.screen_area is not None:
            built = entry(approach_velocity, pool, source=USER, screen_area=drawn.screen_area, **given)
            chosen = (drawn.approach, SPEED)
            most = float(drawn.approach) * (1 + NEARLY)
            built = with_cautions(
                built, *SCREEN_SMALL.where(built.least, built.value, built.most, most=most, chosen=chosen)
            )
        area = needed.value if drawn.screen_area is None else float(drawn.screen_area)
        fresh, through = (
            entry(
                velocity_through_openings,
                pool,
                source=USER,
                screen_area=area,
                open_share=drawn.open_share,
                clogged=share,
                **given,
            )
            for share in (0.0, drawn.clogged)
        )
        through = judged(through, OPENINGS_FAST)
        comes = built.value if built else float(drawn.approach)
        known: dict[str, Any] = {"screen_k": screen_k(drawn.open_share), "gravity": GRAVITY, "approach_velocity": comes}
        clean, dirty = (
            entry(screen_loss, pool, source=f"{USER}; {SCREEN_K}", clogged=share, **known)
            for share in (0.0, drawn.clogged)
        )
        if running_level is not None:
            behind = entry(level_behind_screen, pool, running_level=running_level, screen_loss=dirty)
            if drawn.screen_top is not None and behind.value <= drawn.screen_top:
                behind = with_cautions(behind, SCREEN_BARE())
    cover = None
    if drawn.screen_top is not None and running_level is not None:
        cover = entry(intake_cover, pool, source=USER, running_level=running_level, screen_top=drawn.screen_top)
        if cover.value <= 0:
            cover = with_cautions(cover, SCREEN_OUT())
    return IntakeResult(needed, built, through, fresh, cover, clean, dirty, behind)


def _of_screen(drawn: Intake) -> Iterator[Caution]:
    """Cautions of what was chosen for the screen: the approach velocity, and its widest gap."""
    for value, kind, rules in (
        (drawn.approach, SPEED, (APPROACH_FAST, APPROACH_NOT_PASSIVE)),
        (drawn.opening, LENGTH, (OPENINGS_WIDE, WIRE_WIDE)),
    ):
        for rule in rules:
            assert rule.most is not None
            if value > rule.most * (1 + NEARLY):
                yield rule(limit=(rule.most, kind))
                break


def voids_of(drawn: Filter) -> Range:
    """Voids of the media with their range; never as far as nothing but voids."""
    typical, share = float(drawn.media_voids), float(drawn.media_voids_within)
    return within(typical, share, (1 + typical) / 2)


def at_end(voids: Range, end: End) -> float:
    """The voids at an end: where they are most, the bed takes least head."""
    return {LOW: voids.high, TYPICAL: voids.typical, HIGH: voids.low}[end]


def media_size_at(drawn: Filter, voids: float) -> float:
    """Size of the media as entered, or by their surface [m]."""
    return media_size(voids, drawn.media_surface) if drawn.media_size is None else float(drawn.media_size)


def resistances_of(drawn: Filter, water: Fluid, end: End = TYPICAL) -> tuple[Resistance, ...]:
    """What the opening and the media take, over the flow through the filter; ``end``: where the voids are most,
    they take least.
    """
    found = []
    open_part = at_end(voids_of(drawn), end)
    if drawn.passage_area is not None:
        found.append(Resistance(square=1 / (2 * GRAVITY * (EDGE * drawn.passage_area) ** 2)))
    if drawn.media_area is not None:
        area = float(drawn.media_area)
        bed = (
            ergun(drawn.media_depth, open_part, media_size_at(drawn, open_part), water.viscosity, GRAVITY)
            if drawn.maker_loss is None
            else Resistance(square=drawn.maker_loss / drawn.maker_rate**2)
        )
        found.append(Resistance(0.0, bed.linear / area, bed.square / area**2))
    return tuple(found)


def filter_loss(
    drawn: Filter, flow: float, water: Fluid, piped: tuple[Entry, ...], end: End = TYPICAL
) -> FilterLossResult:
    """Figures of the head that the filter takes.

    Args:
        drawn: As drawn.
        flow: Through it [m³/s], more than nothing.
        water: Its viscosity.
        piped: Losses of the pipe between its bodies.
        end: As the network was solved.
    """
    figures: dict[str, Any] = {}
    taken = [*piped]
    if drawn.passage_area is not None:
        velocity = entry(passage_velocity, "", source=USER, flow=flow, passage_area=drawn.passage_area)
        velocity = judged(velocity, PASSAGE_FAST)
        lost = entry(passage_loss, "", passage_velocity=velocity, discharge_coefficient=EDGE, gravity=GRAVITY)
        figures |= {"passage_velocity": velocity, "passage_loss": lost}
        taken.append(lost)
    if drawn.media_area is not None:
        figures |= _media(drawn, flow / drawn.media_area, water, end)
        taken.append(figures["media_loss"])
    if taken:
        whole = total("", taken, LENGTH)
        figures["filter_loss"] = whole
        figures["filter_running_level"] = entry(
            filter_running_level, "", source=USER, cautions=[MEDIA_CLOG()], level=drawn.level, filter_loss=whole
        )
    return FilterLossResult(**figures)


def _media(drawn: Filter, rate: float, water: Fluid, end: End) -> dict[str, Entry]:
    if drawn.maker_loss is not None:
        return {
            "media_loss": entry(
                maker_loss, "", source=USER, rise_rate=rate, maker_loss=drawn.maker_loss, maker_rate=drawn.maker_rate
            )
        }
    voids = at_end(voids_of(drawn), end)
    size = (
        entry(media_size, "", source=USER, voids=voids, media_surface=drawn.media_surface)
        if drawn.media_size is None
        else input_entry("", drawn.media_size, LENGTH)
    )
    lost = entry(
        media_loss,
        "",
        source=USER,
        rise_rate=rate,
        media_depth=drawn.media_depth,
        voids=voids,
        media_size=size,
        viscosity=water.viscosity,
        gravity=GRAVITY,
    )
    return {"media_size": size, "media_loss": lost}


def passage_problem(drawn: Filter | None, piped: bool) -> list[Problem]:
    """An opening between bodies that are joined, and a pipe between bodies that stand apart, both at once."""
    if drawn is None or drawn.passage_area is None or not piped:
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
