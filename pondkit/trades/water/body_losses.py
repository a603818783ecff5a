"""Head lost in the bodies that the water runs through: at the intake and in the filter."""

from collections.abc import Iterator
from typing import Any

from pondkit.core.caution import Caution
from pondkit.core.constants import GRAVITY, Fluid
from pondkit.core.entry import USER, Entry, Range, entry, input_entry, total, with_cautions, within
from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH, SPEED
from pondkit.solvers.friction import Resistance
from pondkit.trades.water.cautions import (
    APPROACH_FAST,
    APPROACH_NOT_PASSIVE,
    MEDIA_CLOG,
    OPENINGS_FAST,
    OPENINGS_WIDE,
    PASSAGE_FAST,
    SCREEN_BARE,
    SCREEN_OUT,
    SCREEN_SMALL,
    SUCTION_ENTRAPMENT,
    WIRE_WIDE,
    judged,
)
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
from pondkit.trades.water.inputs.bodies import Filter, Intake
from pondkit.trades.water.lines import HIGH, LOW, TYPICAL, End
from pondkit.trades.water.results import FilterLossResult, IntakeResult

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
