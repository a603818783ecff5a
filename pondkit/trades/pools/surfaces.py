"""The surfaces of a pool (finished, under the gravel, liner, dig), and where the dig meets the existing ground."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Trouble
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH, RATIO
from pondkit.geometry.footprint import goes_beyond
from pondkit.geometry.outline import Placed, Shape
from pondkit.geometry.pool_surface import Basin, PoolSurface, shared_level
from pondkit.geometry.profile import Profile, Step, profile
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import FAR_BANK, DaylightBand, Patch, Plane, Terrain, TooSteep, band_on, patch
from pondkit.trades.pools.inputs import Pit, Pool, Tier
from pondkit.trades.pools.results import Surfaces

CLOSE = 1e-6  # m: outlines nearer than this touch
LEAST_SHARED = 1e-4  # m²: level parts that share less than this only touch
FIRST_REACH = 2.0  # m beyond the rim in which the ground is sampled first; a greater reach takes a second pass


@dataclass(frozen=True)
class PitOutline:
    """Outline of a pit, placed in the pool's axes.

    Attributes:
        shape: Outline in the pit's own axes.
        placed: Placement of those in the pool's axes.
        clear: Least distance inward from the pool's outline [m]; negative, and then how far it leaves its pool.
    """

    shape: Shape
    placed: Placed
    clear: float


@remembered
def lay_out(
    pool: Pool,
    index: int,
    shape: Shape,
    pits: tuple[PitOutline, ...],
    seat: tuple[float, float] | None,
    thickness: float,
) -> Surfaces:
    """Surfaces of one pool.

    Args:
        pool: Inputs of the pool.
        index: Its index in the option, for problems.
        shape: Its outline.
        pits: Outlines of its pits.
        seat: Edging outside the waterline: its width, and the site level of its base [m]; None if there is none.
        thickness: Thickness of underlay, liner and overlay together [m].
    Raises: Trouble if tiers are out of order, a pit does not fit, or gravel reaches under another outline's shelf.
    """
    pool_path: Path = ("pools", index)
    problems = [*_order(pool.tiers, (*pool_path, "tiers"), 0.0)]
    for number, pit in enumerate(pool.pits):
        problems += _order(pit.tiers, (*pool_path, "pits", number, "tiers"), pit.top or 0.0)
    if problems:
        raise Trouble(*problems)
    steps = _steps(pool.tiers)
    tops = _tops(pool, pool_path, profile(steps, bank_batter=pool.bank_batter), shape, pits)
    edging_depth = None if seat is None else (seat[0], pool.level - seat[1])  # width, and depth of its base
    placed = Placed(pool.at[0], pool.at[1], pool.turn_deg)

    def lay(gravel: bool = False, edging: tuple[float, float] | None = None, offset: float = 0.0) -> SiteSurface:
        pool_profile = profile(steps, bank_batter=pool.bank_batter, seat=edging, gravel=gravel, normal=offset)
        parts = tuple(
            Basin(
                edge.shape, edge.placed, profile(_steps(pit.tiers), top=top, gravel=gravel, normal=offset), edge.clear
            )
            for pit, edge, top in zip(pool.pits, pits, tops, strict=True)
        )
        rim = -float(pool_profile.inward(np.array(-pool.freeboard)))
        surface = PoolSurface(Basin(shape, Placed(0.0, 0.0, 0.0), pool_profile), parts)
        return SiteSurface(surface, placed, pool.level, rim, pool.level + pool.freeboard)

    finished = lay()
    gravel = any(tier.gravel for tiers in (pool.tiers, *(pit.tiers for pit in pool.pits)) for tier in tiers)
    under = lay(gravel=True) if gravel else finished
    if gravel and pool.pits and (problems := list(_gravel_under_others(pool, pool_path, under.surface))):
        raise Trouble(*problems)
    liner = lay(gravel=True, edging=edging_depth) if edging_depth else under
    dig = lay(gravel=True, edging=edging_depth, offset=thickness) if thickness else liner
    return Surfaces(finished, under.surface, liner, dig, placed)


def _tops(pool: Pool, pool_path: Path, plain: Profile, shape: Shape, pits: tuple[PitOutline, ...]) -> list[float]:
    """Depth of each pit's edge below the waterline [m].

    Raises: Trouble if a pit leaves its pool, its edge is on no shelf or floor, or its tiers are out of order.
    """
    tops: list[float] = []
    problems: list[Problem] = []
    for number, (pit, edge) in enumerate(zip(pool.pits, pits, strict=True)):
        path = (*pool_path, "pits", number)
        if edge.clear < 0:
            problems.append(_leaves(path, -edge.clear))
            continue
        top = _top(pit, path, plain, shape, edge)
        if isinstance(top, Problem):
            problems.append(top)
            continue
        problems += _order(pit.tiers, (*path, "tiers"), top)
        tops.append(top)
    if problems:
        raise Trouble(*problems)
    return tops


def _steps(tiers: Sequence[Tier]) -> tuple[Step, ...]:
    return tuple(Step(tier.depth, tier.shelf, tier.batter, tier.gravel) for tier in tiers)


def _order(tiers: Sequence[Tier], path: Path, top: float) -> list[Problem]:
    """Problems of tiers no deeper than the one before."""
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
        above = tier.depth
    return problems


def _gravel_under_others(pool: Pool, pool_path: Path, under: PoolSurface) -> Iterator[Problem]:
    """Problems of gravel on a shelf that would reach below a deeper shelf of another outline (of a pit or the pool)."""
    shelves = []  # of the pool, then of its pits: (outline, from and to inward of it, depth, depth of bed, path)
    for number, (tiers, part) in enumerate(
        zip((pool.tiers, *(pit.tiers for pit in pool.pits)), under.parts, strict=True)
    ):
        path = (*pool_path, "pits", number - 1, "tiers") if number else (*pool_path, "tiers")
        for start, end, line in part.profile.levels:
            shelves.append((part, (start, end), tiers[line.owner].depth, float(line.level or 0.0), (*path, line.owner)))
    for part, reach, depth, bed, path in shelves:
        for other, other_reach, other_depth, other_bed, _ in shelves:
            if other is part or depth > other_depth - CLOSE or bed <= other_bed + CLOSE:
                continue
            if shared_level(part, reach, other, other_reach) > LEAST_SHARED:
                yield Problem(
                    (*path, "gravel"),
                    words("{gravel} of gravel reaches below a deeper level part", gravel=(bed - depth, LENGTH)),
                    words(
                        "at most {most} where a pit and its pool lie over each other",
                        most=(max(other_bed - depth, 0.0), LENGTH),
                    ),
                    words("lay less gravel, or make the deeper part deeper or move it away"),
                )
                break


def _leaves(path: Path, by: float) -> Problem:
    return Problem(
        (*path, "at"),
        words("the pit's outline leaves its pool by {by}", by=(by, LENGTH)),
        words("all of the pit inside its pool's waterline"),
        words("move it inward, or make it smaller"),
    )


def _top(pit: Pit, path: Path, host: Profile, shape: Shape, edge: PitOutline) -> float | Problem:
    """Depth of the pit's edge [m]: as entered, or that of the shelf or floor of the pool that all of it lies on."""
    if pit.top is not None:
        return pit.top
    for start, end, line in host.levels:
        if line.level is None or not start - CLOSE <= edge.clear <= end:
            continue
        if end >= shape.inradius or not goes_beyond(edge.shape, edge.placed, shape, end + CLOSE):
            return line.level
    return Problem(
        (*path, "top"),
        words("no top is entered, and the pool is not level under the whole pit"),
        words("a depth at which the outline is drawn"),
        words("enter its top, the depth of the pit's edge below the waterline, or move the pit onto a level part"),
    )


def cut_and_fill(dig: SiteSurface, ground: Terrain, index: int) -> DaylightBand:
    """Cut and fill in the band where the ground meets the dig of a pool. Uneven ground is sampled as far out as the dig
    reaches.

    Args:
        dig: The pool's dig surface on the site.
        ground: Existing ground.
        index: The pool's index in the option, for problems.
    Raises: Trouble if bank and ground meet too far out, or never.
    """
    pool = dig.surface.pool
    # Whole steps, so that the ground sampled is unchanged when a tier moves the rim a little.
    wide = math.ceil((dig.rim + FIRST_REACH) / FIRST_REACH) * FIRST_REACH
    while True:
        local_ground: Plane | Patch
        if isinstance(ground, Plane):
            local_ground = plane = ground.seen_from(dig.placed)
            lowest = float(plane.at(pool.shape.coords).min()) - plane.slope * (dig.rim + FIRST_REACH)
        else:
            local_ground = samples = patch(pool.shape, dig.placed, ground, wide)
            lowest = samples.lowest
        upper = pool.profile.upper(dig.level - lowest)
        met = tuple(pit for pit in dig.surface.pits if pool.profile.depth(np.array(pit.clear)) < dig.level - lowest)
        try:
            near = band_on(pool.shape, upper, dig.rim, dig.rim_level, dig.level, local_ground, met)
        except TooSteep as steep:
            raise Trouble(_too_steep(steep, upper, local_ground, index)) from None
        if isinstance(local_ground, Plane) or near.reach <= wide:
            return near
        wide = max(2 * wide, math.ceil(near.reach / FIRST_REACH) * FIRST_REACH)


def _too_steep(steep: TooSteep, upper: Profile, ground: Plane | Patch, index: int) -> Problem:
    """Problem of a bank that meets the ground too far from the outline, or never."""
    figures = {
        "batter": (upper.lines[0].batter, RATIO),
        "fall": (ground.slope, RATIO),
        "reach": (steep.reach, LENGTH),
    }
    where = "only {reach} from the outline" if math.isfinite(steep.reach) else "nowhere"
    return Problem(
        ("pools", index, "bank_batter"),
        words(f"a bank of {{batter}} horizontal to 1 vertical meets ground that falls {{fall}} {where}", **figures),
        words("a bank that meets the ground within {far}", far=(FAR_BANK, LENGTH)),
        words("make the bank batter smaller, or set the level nearer to the ground"),
    )
