"""Groundwater under the liners of empty pools, and what holds them down."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Range, entry, within
from pondkit.core.remembered import remembered
from pondkit.core.tables import densest_water
from pondkit.core.units import COUNT, LENGTH
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.liner import cautions as rules
from pondkit.trades.liner.formulas import edge as rel
from pondkit.trades.liner.inputs import Lining, lined_pools
from pondkit.trades.liner.results import Uplift
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs import Boulder
from pondkit.trades.stone.results import StoneResult


@dataclass(frozen=True)
class LevelParts:
    """Level parts of a pool's liner: the pool, and (level, gravel on it) of each [m]."""

    name: str
    parts: tuple[tuple[float, float], ...]

    def worst(self, gravel_weight: float) -> tuple[float, float]:
        """The part that groundwater lifts first; ``gravel_weight`` is gravel's density over water's."""
        return min(self.parts, key=lambda part: part[0] + part[1] * gravel_weight)

    @property
    def foot(self) -> float:
        """Level at which the lowest face comes out of the gravel [m]."""
        return min(level + gravel for level, gravel in self.parts)


@dataclass(frozen=True)
class Ballast:
    """Stone that stands on a pool's liner where groundwater pushes: the pool, low masses, dry [kg], and how many
    stones have no place on the plan.
    """

    name: str
    masses: tuple[float, ...]
    unplaced: int


def level_parts(lining: Lining, pools: Sequence[PoolResult]) -> tuple[LevelParts, ...]:
    """The level parts of each lined pool's liner, its lowest place among them, and the gravel on each."""
    lined = lined_pools(lining)
    return tuple(
        LevelParts(pool.name, tuple(_level_parts(pool.surfaces.liner, pool.surfaces.finished)))
        for pool in pools
        if pool.name in lined
    )


def _level_parts(liner: SiteSurface, finished: SiteSurface) -> Iterator[tuple[float, float]]:
    yield liner.level - liner.surface.deepest, liner.surface.deepest - finished.surface.deepest
    for part, over in zip(liner.surface.parts, finished.surface.parts, strict=True):
        tops = {line.owner: line.level for _, _, line in over.profile.levels}
        for start, _, line in part.profile.levels:
            if line.owner >= 0 and line.level is not None and start < part.shape.inradius:
                top = tops.get(line.owner)
                yield liner.level - line.level, 0.0 if top is None else line.level - top


def ballast_of(
    lining: Lining,
    pools: Sequence[PoolResult],
    stones: StoneResult | None,
    groundwater: float | None,
) -> tuple[Ballast, ...]:
    """Stone that stands on a pool's liner under the groundwater: boulders that name the pool, what rests on them,
    edging set inside.

    One that is placed where the liner lies above the groundwater holds nothing down, and is left out. Of a pool whose
    stone is in doubt there is none.
    """
    if stones is None or groundwater is None:
        return ()
    lined, ballast = lined_pools(lining), []
    for pool in pools:
        surface = pool.surfaces.liner
        dry = groundwater <= surface.level - surface.surface.deepest
        if dry or pool.name not in lined or pool.name in stones.in_doubt:
            continue
        masses, unplaced = _boulder_masses(pool.name, surface, stones, groundwater)
        masses += [
            row.mass.least
            for row in stones.rows
            if (row.edging.pool, row.edging.seat) == (pool.name, "inside") and row.edging.base_level < groundwater
        ]
        if masses:
            ballast.append(Ballast(pool.name, tuple(masses), unplaced))
    return tuple(ballast)


def _boulder_masses(
    pool: str, surface: SiteSurface, stones: StoneResult, groundwater: float
) -> tuple[list[float], int]:
    """Low mass of each kind of boulder on a pool's liner under the groundwater [kg], and how many have no place."""
    named = {kind.boulder.name: kind.boulder for kind in stones.kinds}
    masses, unplaced = [], 0
    for kind in stones.kinds:
        if _lowest(kind.boulder, named).pool != pool:
            continue
        places = np.array(kind.boulder.places, dtype=float).reshape(-1, 2)
        bare, count = kind.boulder.count - len(places), kind.boulder.count
        if len(places):
            depths = surface.surface.depth_at(surface.placed.to_own(places))
            count = int(np.sum(surface.level - depths < groundwater)) + bare
        if count:
            masses.append(count * kind.mass.least)
            unplaced += bare
    return masses, unplaced


def _lowest(boulder: Boulder, named: dict[str, Boulder]) -> Boulder:
    """The boulder on the ground under one that rests on others; itself where the stack leads nowhere or round."""
    met, at = {boulder.name}, boulder
    while at.rests_on is not None and at.rests_on in named and at.rests_on not in met:
        at = named[at.rests_on]
        met.add(at.name)
    return at


@remembered
def uplift(
    lining: Lining, pools: tuple[LevelParts, ...], ballast: tuple[Ballast, ...], groundwater: float | None
) -> Uplift:
    """Groundwater under each empty pool, against the gravel on the part that it lifts first, and the stone as a weight
    of its own.

    Args:
        lining: As entered.
        pools: Level parts of each lined pool.
        ballast: Stone that stands on them where groundwater pushes.
        groundwater: Highest known level [m]; None where unknown.
    """
    density, source = densest_water()
    water = Range(density, density, density, source)
    typical, share = float(lining.gravel_density), float(lining.gravel_density_within)
    bulk = within(typical, share, source="density of the gravel: user input")
    left, pushed, held = [], [], []
    for pool in pools:
        level, gravel = pool.worst(float(lining.gravel_density) / density)
        if groundwater is None or groundwater <= min(level for level, _ in pool.parts):
            continue
        below: dict[str, Any] = {"groundwater": groundwater, "floor_level": level, "water_density": water}
        above: dict[str, Any] = {"gravel": gravel, "gravel_density": bulk}
        bare = groundwater - pool.foot
        faces = [rules.FACES_WITHOUT_GRAVEL(head=(bare, LENGTH))] if bare > 0 else []
        left.append(entry(rel.liner_uplift, pool.name, source=USER, cautions=faces, **below, **above))
        pushed.append(entry(rel.uplift_pressure, pool.name, source=USER, gravity=GRAVITY, **below))
        held.append(entry(rel.gravel_holds, pool.name, source=USER, gravity=GRAVITY, **above))
    stones = []
    for stone in ballast:
        notes = [rules.LIFTS_BETWEEN_STONES(), *_unplaced(stone)]
        stones.append(entry(rel.stone_holds, stone.name, cautions=notes, masses=stone.masses, gravity=GRAVITY))
    return Uplift(tuple(left), tuple(pushed), tuple(held), tuple(stones))


def _unplaced(ballast: Ballast) -> tuple[Caution, ...]:
    return (rules.STONES_WITHOUT_PLACE(count=(ballast.unplaced, COUNT)),) if ballast.unplaced else ()
