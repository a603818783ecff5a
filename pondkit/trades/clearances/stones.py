"""Placed boulders held against what they must not stand on: mouths, pipes, dens, pits' edges, bodies and walls."""

from collections.abc import Sequence

from pondkit.core.caution import CautionRule
from pondkit.core.entry import entry
from pondkit.core.remembered import remembered
from pondkit.geometry.footprint import (
    Footprint,
    StonePlan,
    edge_footprint,
    line_footprint,
    met_by,
    plan_ring,
    ring_footprint,
)
from pondkit.geometry.hole import hole_footprint
from pondkit.geometry.trench import TrenchCut, cut_footprint
from pondkit.trades.clearances import cautions as rules
from pondkit.trades.clearances import formulas as rel
from pondkit.trades.clearances.results import StoneOnWorks
from pondkit.trades.earthwork.results.excavation import Structure
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.results import StoneResult
from pondkit.trades.tunnels.results import TunnelsResult

Spot = tuple[float, float, float]
LISTED = 12  # pairs that a caution names


def compute(
    stones: StoneResult | None,
    pipes: TunnelsResult | None,
    buried: tuple[TrenchCut, ...],
    structures: tuple[Structure, ...],
    pools: tuple[PoolResult, ...],
) -> StoneOnWorks | None:
    """Which placed boulder lies over what on the plan, of mouths which one does not stand wholly below; None without
    one that is placed.

    Args:
        stones: The stone.
        pipes: The passages.
        buried: Trenches of pipe and pits of dens.
        structures: Bodies of the water side, and walls.
        pools: With their pits.
    """
    if stones is None or not stones.boulder_plans:
        return None
    return stones_on_works(
        tuple((*named, top) for named, top in zip(stones.boulder_plans, stones.boulder_tops, strict=True)),
        pipes.lines if pipes else (),
        tuple((name, place) for name, kind, place in pipes.places if kind == "mouth") if pipes else (),
        tuple(cut_footprint(cut) for cut in buried if cut.name.startswith("pit of ")),
        tuple(hole_footprint(each.body) for each in structures),
        tuple(
            edge_footprint(f"pit {number} of {pool.name}", pit.shape, pit.placed, pool.surfaces.placed)
            for pool in pools
            for number, pit in enumerate(pool.surfaces.finished.surface.pits, 1)
        ),
    )


@remembered
def stones_on_works(
    boulders: tuple[tuple[str, StonePlan, float], ...],
    runs: tuple[tuple[str, Spot, Spot, float], ...],
    mouths: tuple[tuple[str, Spot], ...],
    dens: tuple[Footprint, ...],
    bodies: tuple[Footprint, ...],
    edges: tuple[Footprint, ...],
) -> StoneOnWorks:
    """Which placed boulder lies over what on the plan.

    Args:
        boulders: ("boulder number", plan on the site, level of its top) of each that is placed [m].
        runs: (run, start, end, outside diameter) of each pipe [m].
        mouths: (name, place) of each mouth [m].
        dens, bodies: What dens, bodies and walls take up.
        edges: The outline of each pit of a pool: a stone within it stands on its floor, one over its edge does not.
    """
    stones = tuple(ring_footprint(name, plan_ring(plan)) for name, plan, _ in boulders)
    widest = max((outside for *_, outside in runs), default=0.0)
    pipes = tuple(line_footprint(name, (start[:2], end[:2]), outside) for name, start, end, outside in runs)
    ends = tuple(line_footprint(name, (place[:2],), widest) for name, place in mouths)
    lowest = [place[2] - widest / 2 for _, place in mouths]  # of each mouth, at the outside of its pipe
    works: tuple[tuple[CautionRule, tuple[Footprint, ...]], ...] = (
        (rules.STONE_ON_MOUTH, ends),
        (rules.STONE_ON_DEN, dens),
        (rules.STONE_ON_BODY, bodies),
        (rules.STONE_ON_PIPE, pipes),
        (rules.STONE_OVER_PIT_EDGE, edges),
    )
    if not stones or not any(things for _, things in works):
        return StoneOnWorks(None)
    notes, count = [], 0
    for rule, things in works:
        met = [(i, j) for i, j in met_by(stones, things) if things is not ends or boulders[i][2] > lowest[j]]
        pairs = [f"{stones[i].name} on {things[j].name}" for i, j in met]
        count += len(pairs)
        notes += [rule(pairs=_listed(pairs)).of(stones[i].name for i, _ in met)] if pairs else []
    return StoneOnWorks(entry(rel.boulders_on_works, "", cautions=notes, pairs=float(count)))


def _listed(pairs: Sequence[str]) -> str:
    more = f"; and {len(pairs) - LISTED} more" if len(pairs) > LISTED else ""
    return "; ".join(pairs[:LISTED]) + more
