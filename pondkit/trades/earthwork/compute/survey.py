"""Levels found of a hole as it was dug, held against the drawing."""

from collections.abc import Iterator

import numpy as np

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, ToFill, no_such
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.geometry.as_built import Way
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.earthwork.formulas import survey as rel
from pondkit.trades.earthwork.inputs.dig import Dig, Measured, Tape
from pondkit.trades.earthwork.results.crew import SurveyedLevel, SurveyedLevels
from pondkit.trades.ground.inputs import RANGE

ONE_PLACE, ONE_LEVEL = 0.01, 1e-3  # m: measured nearer than this is in one place, and alike
OVER_RIM = 0.3  # m: a level that stands higher over its pool's rim is in no hole


def mean_within(found: SurveyedLevels, pool: str, tolerance: float) -> Entry:
    """How far the mean of a pool's levels may be off, by those found inside its waterline: one at least.

    Args:
        found: Levels that can be used.
        pool: Its name.
        tolerance: Of floors, up and down [m].
    """
    differences = [level.over for level in found.inside(pool)]
    return entry(rel.dug_mean_within, pool, source=USER, differences=differences, tolerance=tolerance)


@remembered
def surveyed(
    measured: tuple[Measured, ...], digs: tuple[tuple[str, SiteSurface], ...], pools: tuple[str, ...], datum: float
) -> SurveyedLevels:
    """Levels found against the dig as drawn.

    Args:
        measured: As entered.
        digs: (name, dig surface) of every pool that could be worked out.
        pools: Names of all pools.
        datum: Level that the site counts as 0, as they were counted [m].
    """
    laid = dict(digs)
    lying = _lying(measured, laid)
    found: list[SurveyedLevel] = []
    problems: list[Problem] = []
    for index, one in enumerate(measured):
        path: Path = ("dig", "measured", index)
        if one.pool not in pools:
            problems.append(no_such((*path, "pool"), "pool", one.pool, pools))
            continue
        if one.pool not in laid:
            continue  # the pool's own problem says why
        if one.level is None:
            continue  # still to be read
        dig, level = laid[one.pool], float(one.level) - datum
        inward, depth = lying[index]
        beyond = -inward - dig.rim
        twin = next((s for s in found if s.measured.pool == one.pool and _apart(s.measured, one) < ONE_PLACE), None)
        if beyond > ONE_PLACE:
            problems.append(_outside(path, one, beyond))
        elif far := far_from_datum((*path, "level"), level, "the level found"):
            problems.append(far)
        elif level > dig.rim_level + OVER_RIM:
            problems.append(_over_rim(path, one, level - dig.rim_level))
        elif twin is not None:
            if abs(twin.level - level) > ONE_LEVEL:
                problems.append(_twice(path, one, twin))
        else:
            water = dig.level if inward < -ONE_PLACE else None
            found.append(SurveyedLevel(index + 1, one, level, dig.level - depth, water))
    return SurveyedLevels(tuple(found), tuple(problems))


def far_from_datum(path: Path, above: float, what: str) -> Problem | None:
    """The problem of a level further from the site's datum than any of the site's may be, as one is that is counted
    from another benchmark.

    Args:
        path: Where it was entered.
        above: How far it stands above the site datum [m].
        what: What lies there.
    """
    if abs(above) <= RANGE:
        return None
    return Problem(
        path,
        words(f"{what} lies {{away}} {'above' if above > 0 else 'below'} the site datum", away=(abs(above), LENGTH)),
        words("within {most} of the site datum, from which pools count", most=(RANGE, LENGTH)),
        words("enter as the site datum of the dig the level that the site counts as 0, or correct this one"),
    )


def _lying(measured: tuple[Measured, ...], laid: dict[str, SiteSurface]) -> dict[int, tuple[float, float]]:
    """By index: how far inward of its pool's outline each place lies, and how deep the dig is drawn there [m]."""
    found: dict[int, tuple[float, float]] = {}
    for name, dig in laid.items():
        own = [index for index, one in enumerate(measured) if one.pool == name]
        places = dig.placed.to_own(np.array([measured[index].at for index in own], dtype=float).reshape(-1, 2))
        if own:
            lies = zip(
                dig.surface.pool.shape.inward(places).tolist(), dig.surface.depth_at(places).tolist(), strict=True
            )
            found |= dict(zip(own, lies, strict=True))
    return found


def _apart(one: Measured, other: Measured) -> float:
    return float(np.hypot(one.at[0] - other.at[0], one.at[1] - other.at[1]))


def _outside(path: Path, one: Measured, beyond: float) -> Problem:
    return Problem(
        (*path, "at"),
        words(f"it lies {{beyond}} outside the rim of '{one.pool}'", beyond=(beyond, LENGTH)),
        words("a place inside the rim of its pool"),
        words("correct the place, or choose the pool that it belongs to"),
    )


def _over_rim(path: Path, one: Measured, over: float) -> Problem:
    return Problem(
        (*path, "level"),
        words(f"it stands {{over}} over the rim of '{one.pool}'", over=(over, LENGTH)),
        words("a level in the hole: what lies below the site datum is less than it"),
        words("look at its sign and at the site datum of the dig, or choose the pool that it belongs to"),
    )


def _twice(path: Path, one: Measured, twin: SurveyedLevel) -> Problem:
    return Problem(
        (*path, "level"),
        words(
            f"{{level}} stands where level {twin.number} is {{other}}",
            level=(float(one.level or 0.0), LENGTH),
            other=(float(twin.measured.level or 0.0), LENGTH),
        ),
        words("one level in one place"),
        words("measure it again, and remove one of the two"),
    )


def tape_problem(index: int, tape: Tape, way: Way | None) -> Problem | None:
    """What keeps a tape line from being worked out; ``way`` is None where its ends are in one place."""
    path: Path = ("dig", "tapes", index)
    if way is None:
        return Problem(
            (*path, "end"),
            words(f"'{tape.name}' ends where it starts"),
            words("two places"),
            words("move its end to the other side of the hole"),
        )
    if not way.pools:
        return Problem(
            (*path, "end"),
            words(f"'{tape.name}' crosses no pool"),
            words("a line over the hole"),
            words("move an end, so that the line runs over a pool"),
        )
    if min(way.beyond) <= 0:
        end = "start" if way.beyond[0] <= 0 else "end"
        return Problem(
            (*path, end),
            words(f"'{tape.name}' has its {end} inside the hole"),
            words("ends outside the rims"),
            words("move it out beyond the rim, and lay the tape from there"),
        )
    straight = float(np.hypot(tape.end[0] - tape.start[0], tape.end[1] - tape.start[1]))
    if tape.taped is not None and tape.taped < straight - ONE_PLACE:
        return Problem(
            (*path, "taped"),
            words(f"'{tape.name}' has {{taped}} of tape over the hole", taped=(tape.taped, LENGTH)),
            words("no less than {straight}, the level distance from its start to its end", straight=(straight, LENGTH)),
            words("tape it again, lying on the dig from end to end, or correct its start and end"),
        )
    return None


def unread(dig: Dig) -> Iterator[ToFill]:
    """Levels and tapes that are still to be read on site."""
    for index, one in enumerate(dig.measured):
        if one.level is None:
            path: Path = ("dig", "measured", index, "level")
            wanted = words("the level of the dig at this place, as read on site")
            yield ToFill(path, wanted, words(f"what the hole of '{one.pool}' differs there from the drawing"))
    for index, tape in enumerate(dig.tapes):
        if tape.taped is None:
            path = ("dig", "tapes", index, "taped")
            wanted = words("the length of the tape over the hole, as read on site")
            yield ToFill(path, wanted, words(f"what line '{tape.name}' differs from the drawing"))
