"""Levels that the crew digs by, row by row: of pools, structures, anchor trenches, passages, stream beds and crests."""

import math
from collections import Counter
from collections.abc import Collection, Iterator

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.geometry.line_intersection import Spot
from pondkit.geometry.profile import SEAT, Profile
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import Terrain
from pondkit.trades.earthwork.results.crew import Level
from pondkit.trades.earthwork.results.excavation import StreamBeds, Structures, bed_rows
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.results import LiningResult
from pondkit.trades.pools.inputs import Link, Pool
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs import Stone
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.results import DenBox, TunnelsResult

REACHED = 1e-6  # m
AT_LINER = "trench at the liner"


def groups(
    pools: tuple[PoolResult, ...],
    structures: Structures,
    anchors: tuple[Level, ...],
    passages: tuple[tuple[Level, ...], ...],
    beds: StreamBeds,
    crests: tuple[Level, ...],
) -> tuple[tuple[Level, ...], ...]:
    """All rows in the order in which they are dug: pools from the highest rim down, then all else.

    Args:
        pools: Those that could be worked out.
        structures, beds: What stands in the ground, and stream beds.
        anchors, passages, crests: Rows of anchor trenches, of dens and trenches of pipe, and of crests.
    """
    down = sorted(pools, key=lambda pool: -pool.surfaces.finished.rim_level)
    return (
        *(pool_levels(pool.name, of.finished, of.liner, of.dig) for pool in down for of in [pool.surfaces]),
        tuple(hole_level(each.name, each.wall, each.body.bottom, each.hole.bottom) for each in structures.each),
        anchors,
        *passages,
        tuple(level for bed in beds.each for level in bed.levels(bed.link.from_)),
        crests,
    )


@remembered
def pool_levels(pool: str, finished: SiteSurface, liner: SiteSurface, dig: SiteSurface) -> tuple[Level, ...]:
    """Rim, seat and the floors of every tier of a pool and its pits, from the rim inward; tiers that are nowhere
    reached left out.

    A seat's finished level is the liner's, on which the edging stands.
    """
    rows = [Level(f"{pool}: rim", "rim", finished.rim_level, dig.rim_level)]
    seat, cut = _depth(liner.surface.pool.profile, SEAT), _depth(dig.surface.pool.profile, SEAT)
    if seat is not None:
        rows.append(Level(f"{pool}: seat", "seat", liner.level - seat, None if cut is None else dig.level - cut))
    for number, (top, hole) in enumerate(zip(finished.surface.parts, dig.surface.parts, strict=True)):
        where = f"{pool}: " + (f"pit {number} " if number else "")
        for tier in sorted({line.owner for line in top.profile.lines if line.owner >= 0}):
            high, low = _depth(top.profile, tier), _depth(hole.profile, tier)
            if high is not None and high <= top.reached + REACHED:
                level = dig.level - low if low is not None and low <= hole.reached + REACHED else None
                rows.append(Level(f"{where}tier {tier + 1} floor", "floor", finished.level - high, level))
    return tuple(rows)


def _depth(profile: Profile, owner: int) -> float | None:
    """Depth at which a tier's level part lies; where it has none, at which its face ends. None where it has no line."""
    levels = [line.level for line in profile.lines if line.owner == owner and line.level is not None]
    faces = [lower for _, lower, line in profile.faces if line.owner == owner]
    return levels[-1] if levels else faces[-1] if faces else None


def hole_level(name: str, wall: bool, underside: float, bottom: float) -> Level:
    """Underside of a body or wall, and the bottom of its hole [m]."""
    return Level(f"{name}: {'footing' if wall else 'seat'}", "hole", underside, bottom)


def anchor_levels(
    lining: Lining | None, liners: LiningResult | None, pools: tuple[PoolResult, ...]
) -> tuple[Level, ...]:
    """Bottom of the liner's anchor trench beside each pool that has one; none without a lining."""
    if lining is None or liners is None:
        return ()
    anchored = {name for under in liners.extras.anchored for name in under.names}
    return tuple(
        Level(f"{pool.name}: anchor trench", "trench", None, pool.surfaces.dig.rim_level - float(lining.trench_depth))
        for pool in pools
        if pool.name in anchored
    )


def crest_levels(links: tuple[Link, ...], pools: tuple[PoolResult, ...], thickness: float) -> tuple[Level, ...]:
    """Crests of the links between pools that could be worked out, numbered by the pool that they leave.

    The dig lies under the crest stone, its bed and what is laid under them; None where their thickness is not entered.

    Args:
        links: As drawn.
        pools: Those that could be worked out.
        thickness: Thickness of underlay, liner and overlay [m].
    """
    waters = {pool.name: pool.surfaces.finished.level for pool in pools}
    crests, count = [], dict.fromkeys(waters, 0)
    for link in links:
        if link.from_ in waters:
            count[link.from_] += 1
        if link.from_ in waters and link.to in waters:
            level = waters[link.from_] if link.crest_level is None else float(link.crest_level)
            dig = None if link.crest_stone is None else level - float(link.crest_stone) - thickness
            crests.append(Level(f"{link.from_}: crest {count[link.from_]}", "crest", level, dig))
    return tuple(crests)


def passage_levels(
    tunnels: Tunnels | None,
    pipes: TunnelsResult | None,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    bedding: float,
) -> tuple[tuple[Level, ...], ...]:
    """Rows of dens and of trenches of pipe; none where the option has no passages, or the ground is in trouble.

    Args:
        tunnels, pipes: As drawn, and as worked out.
        pools: Those that could be worked out.
        ground: As it is.
        bedding: Thickness under pipe and dens [m].
    """
    if pipes is None or ground is None:
        return ()
    digs = tuple(pool.surfaces.dig for pool in pools)
    return den_levels(pipes.dens, digs, ground, bedding), trench_levels(pipes, digs, ground, bedding)


@remembered
def trench_levels(
    pipes: TunnelsResult, digs: tuple[SiteSurface, ...], ground: Terrain, bedding: float
) -> tuple[Level, ...]:
    """Underside of the pipe and bottom of the trench: at each penetration, and at each node but the mouths where it
    lies under ground and dig.

    The underside at a node is the lowest of the pipes that end there.
    """
    unders: dict[int, float] = {}
    for run in pipes.alignment.runs:
        for end, place in zip(run.ends, run.line, strict=True):
            under = place[2] - run.pipe.outside / 2
            unders[end] = min(unders.get(end, under), under)
    rows = [
        (f"{name}: trench", place, unders[at])
        for at, (name, kind, place) in enumerate(pipes.places)
        if kind != "mouth" and at in unders
    ]
    ends = [Level(row, "trench", under, under - bedding) for row, under in _at_liners(pipes)]
    return (*ends, *_under("trench", rows, digs, ground, bedding))


def _at_liners(pipes: TunnelsResult) -> Iterator[tuple[str, float]]:
    """(row, level of the pipe's underside [m]) at each penetration, by the nearer mouth of its run; without one by
    the nearer node."""
    met: Counter[str] = Counter()
    for run in pipes.alignment.runs:
        ends = [(pipes.places[end], at) for end, at in zip(run.ends, run.line, strict=True)]
        mouths = [each for each in ends if each[0][1] == "mouth"]
        for _, place in run.passes:
            (name, _, _), _ = min(mouths or ends, key=lambda each: math.dist(each[1], place))
            row = f"{name}: {AT_LINER}"
            met[row] += 1
            yield row + (f" {met[row]}" if met[row] > 1 else ""), place[2] - run.pipe.outside / 2


@remembered
def den_levels(
    dens: tuple[DenBox, ...], digs: tuple[SiteSurface, ...], ground: Terrain, bedding: float
) -> tuple[Level, ...]:
    """Underside of each den's box and bottom of its pit, where that lies under ground and dig."""
    rows = [(f"{box.name}: pit", box.here, box.underside) for box in dens]
    return _under("hole", rows, digs, ground, bedding)


def _under(
    kind: str, rows: list[tuple[str, Spot, float]], digs: tuple[SiteSurface, ...], ground: Terrain, bedding: float
) -> tuple[Level, ...]:
    """Those rows (name, place, level of the underside) that lie under ground and dig, each with its bedding under
    it."""
    if not rows:
        return ()
    spots = np.array([place[:2] for _, place, _ in rows])
    low = np.minimum.reduce(
        [ground.at(spots), *(dig.level - dig.surface.depth_at(dig.placed.to_own(spots)) for dig in digs)]
    )
    return tuple(
        Level(name, kind, under, under - bedding)
        for (name, _, under), open_to in zip(rows, low, strict=True)
        if under < open_to
    )


def row_names(
    pools: tuple[Pool, ...],
    links: tuple[Link, ...],
    stone: Stone | None,
    anchored: Collection[str],
    tunnels: Tunnels | None,
    structures: Structures,
) -> list[str]:
    """Names that rows can have, for choosing one before anything is worked out.

    Args:
        pools, links, stone, tunnels: As drawn.
        anchored: Names of pools whose liner has an anchor trench.
        structures: What stands in the ground, as drawn.
    """
    seats = {row.pool for row in stone.edging if row.seat == "outside"} if stone else set()
    names = []
    for pool in pools:
        parts = [("", pool.tiers), *((f"pit {number} ", pit.tiers) for number, pit in enumerate(pool.pits, 1))]
        leaving = sum(link.from_ == pool.name for link in links)
        names += [f"{pool.name}: rim", *([f"{pool.name}: seat"] if pool.name in seats else [])]
        names += [f"{pool.name}: {part}tier {tier} floor" for part, tiers in parts for tier in range(1, len(tiers) + 1)]
        names += [f"{pool.name}: crest {number}" for number in range(1, leaving + 1)]
        names += [f"{pool.name}: anchor trench"] if pool.name in anchored else []
    names += [hole_level(each.name, each.wall, 0.0, 0.0).row for each in structures.each]
    count: Counter[str] = Counter()
    for link in links:
        count[link.from_] += 1
        names += bed_rows(link.from_, count[link.from_], len(link.points))
    nodes = tunnels.nodes if tunnels else ()
    names += [f"{node.name}: pit" for node in nodes if node.kind == "chamber" and node.size]
    return [*names, *(_pipe_rows(tunnels) if tunnels else ())]


def _pipe_rows(drawn: Tunnels) -> Iterator[str]:
    mouths = {node.name for node in drawn.nodes if node.kind == "mouth"}
    # A penetration has the name of its run's mouth; only where a run has none, that of a node.
    others = {end for run in drawn.runs if not {run.from_, run.to} & mouths for end in (run.from_, run.to)}
    yield from (f"{node.name}: {AT_LINER}" for node in drawn.nodes if node.name in mouths | others)
    yield from (f"{node.name}: trench" for node in drawn.nodes if node.name not in mouths)
