"""The four surfaces of one pool: finished, liner and dig here; the existing ground is the site's."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.document.pool import Pit, Pool, Tier
from pondkit.result import Path, Problem, Trouble
from pondkit.surface.bowl import Bowl, Part
from pondkit.surface.outline import Placed, Shape
from pondkit.surface.path import Laid, holds_point, inside
from pondkit.surface.profile import Profile, Step, profile
from pondkit.takeoff import words
from pondkit.units import LENGTH

CLOSE = 1e-6  # m: outlines nearer than this touch


@dataclass(frozen=True, eq=False)
class Surfaces:
    """Finished, liner and dig surface of one pool, laid on the site.

    Attributes:
        finished: What the tiers draw: top of the gravel.
        under_gravel: The finished surface less the gravel.
        liner: The same with the edging's seat.
        dig: The liner surface moved at right angles to itself by all that is laid on the dig.
        placed: Where the pool's own axes lie.
    """

    finished: Laid
    under_gravel: Bowl
    liner: Laid
    dig: Laid
    placed: Placed


def surfaces(pool: Pool, index: int, shape: Shape, pits: tuple[Shape, ...], seat: tuple[float, float] | None, normal: float) -> Surfaces:
    """Lay out the surfaces of one pool.

    Args:
        pool: As drawn.
        index: Its place in the option, for problems.
        shape: Its outline.
        pits: Outlines of its pits, in their own axes.
        seat: Edging outside: width, and site level of the base [m].
        normal: Thickness of underlay, liner and overlay together [m].
    Raises: Trouble where tiers are out of order.
    """
    here: Path = ("pools", index)
    problems = [*_order(pool.tiers, (*here, "tiers"), 0.0)]
    for number, pit in enumerate(pool.pits):
        problems += _order(pit.tiers, (*here, "pits", number, "tiers"), pit.top or 0.0)
    if problems:
        raise Trouble(*problems)
    laid = []
    tops = []
    steps = _steps(pool.tiers)
    plain = profile(steps, bank_batter=pool.bank_batter)
    kept: list[tuple[int, Pit, Shape, Placed, float]] = []
    for number, (pit, pit_shape) in enumerate(zip(pool.pits, pits, strict=True)):
        placed = Placed(pit.at[0], pit.at[1], pit.turn_deg)
        clear = inside(pit_shape, placed, shape)
        path = (*here, "pits", number)
        if clear < CLOSE:
            problems.append(_leaves(path))
            continue
        top = _top(pit, path, plain, shape, placed, pit_shape, clear)
        if isinstance(top, Problem):
            problems.append(top)
            continue
        problems += _order(pit.tiers, (*path, "tiers"), top)
        kept.append((number, pit, pit_shape, placed, clear))
        tops.append(top)
    if problems:
        raise Trouble(*problems)
    base = None if seat is None else (seat[0], pool.level - seat[1])
    for gravel, thickness, edging in ((False, 0.0, None), (True, 0.0, None), (True, 0.0, base), (True, normal, base)):
        own = profile(steps, bank_batter=pool.bank_batter, seat=edging, gravel=gravel, normal=thickness)
        parts = tuple(
            Part(pit_shape, placed, profile(_steps(pit.tiers), top=top, gravel=gravel, normal=thickness), clear)
            for (_, pit, pit_shape, placed, clear), top in zip(kept, tops, strict=True)
        )
        rim = -float(own.inward(np.array([-pool.freeboard]))[0])
        bowl = Bowl(Part(shape, Placed(0.0, 0.0, 0.0), own), parts)
        laid.append(Laid(bowl, Placed(pool.at[0], pool.at[1], pool.turn_deg), pool.level, rim, pool.level + pool.freeboard))
    return Surfaces(laid[0], laid[1].bowl, laid[2], laid[3], laid[0].placed)


def _steps(tiers: Sequence[Tier]) -> tuple[Step, ...]:
    return tuple(Step(tier.depth, tier.shelf, tier.batter, tier.gravel) for tier in tiers)


def _order(tiers: Sequence[Tier], path: Path, top: float) -> list[Problem]:
    """Each tier deeper than the one before; gravel no thicker than the drop to the next."""
    problems = []
    above = top
    for index, tier in enumerate(tiers):
        if tier.depth <= above + 1e-9:
            before = "the top of the pit" if index == 0 else f"tier {index}"
            problems.append(
                Problem(
                    (*path, index, "depth"),
                    words("it is {depth} deep", depth=(tier.depth, LENGTH)),
                    words(f"deeper than {before}, {{above}}", above=(above, LENGTH)),
                    words("make it deeper, make the one before shallower, or remove one of the two"),
                )
            )
        if index + 1 < len(tiers) and tier.shelf > 0 and tier.depth + tier.gravel > tiers[index + 1].depth + tiers[index + 1].gravel:
            problems.append(
                Problem(
                    (*path, index, "gravel"),
                    words("{gravel} of gravel reaches below the next tier", gravel=(tier.gravel, LENGTH)),
                    words("at most {most}", most=(tiers[index + 1].depth + tiers[index + 1].gravel - tier.depth, LENGTH)),
                    words("lay less gravel, or make the next tier deeper"),
                )
            )
        above = tier.depth
    return problems


def _leaves(path: Path) -> Problem:
    return Problem(
        (*path, "at"),
        words("the pit's outline leaves its pool"),
        words("a pit lies inside its pool's waterline as a whole"),
        words("move it inward, or make it smaller"),
    )


def _top(pit: Pit, path: Path, host: Profile, shape: Shape, placed: Placed, pit_shape: Shape, clear: float) -> float | Problem:
    """Depth at which the pit's outline is drawn: as entered, else the level part of the pool that holds all of it."""
    if pit.top is not None:
        return pit.top
    farthest = float(shape.inward(placed.to_site(pit_shape.coords)).max())
    inner = max(farthest, clear)
    # Between its corners a pit may reach further inward than they do, up to the pool's own middle.
    if holds_point(pit_shape, tuple(placed.to_own(np.array([shape.pole]))[0])):
        inner = shape.inradius
    for start, end, line in host.levels:
        if line.level is not None and start <= clear + CLOSE and inner <= end + CLOSE:
            return line.level
    return Problem(
        (*path, "top"),
        words("no top is given, and the pool is not level under the whole pit"),
        words("a depth at which the outline is drawn"),
        words("write 'top', the depth of the pit's edge below the waterline, or move the pit onto a level part"),
    )

