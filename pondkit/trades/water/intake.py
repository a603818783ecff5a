"""The intake: screen area, velocities at it and through it, how far it stays covered."""

from collections.abc import Iterator
from typing import Any

from pondkit.core.caution import Caution
from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Entry, entry, with_cautions
from pondkit.core.units import LENGTH, SPEED
from pondkit.solvers.friction import Resistance
from pondkit.trades.water.cautions import (
    APPROACH_FAST,
    APPROACH_NOT_PASSIVE,
    OPENINGS_FAST,
    OPENINGS_WIDE,
    SCREEN_BARE,
    SCREEN_OUT,
    SCREEN_SMALL,
    SUCTION_ENTRAPMENT,
    WIRE_WIDE,
    judged,
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
from pondkit.trades.water.inputs.water import Intake
from pondkit.trades.water.results import IntakeResult

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
