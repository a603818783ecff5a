"""What the crew digs by, gathered from all trades: levels, setting out, and the hole as it was dug."""

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Result
from pondkit.geometry.changed import Rings, changed, margin_round, rings_of
from pondkit.geometry.ditch import bed_of, edge_along
from pondkit.geometry.found import make_round, sheets_found, way_over
from pondkit.geometry.hole import edge_of, foot_of
from pondkit.geometry.path import Laid
from pondkit.geometry.setting import Traced, dig_edge, joined_edges
from pondkit.geometry.thread import Spot
from pondkit.geometry.uneven import Terrain
from pondkit.project.project import Option
from pondkit.study import totals
from pondkit.trades.earthwork import holes
from pondkit.trades.earthwork.ditches import Links, bed_rows
from pondkit.trades.earthwork.dug import AsDug, LinerDug, PoolDug, make_line_dug, tape_problem
from pondkit.trades.earthwork.dug import work_out as earth_as_dug
from pondkit.trades.earthwork.found_levels import mean_within
from pondkit.trades.earthwork.found_levels import spots as earth_spots
from pondkit.trades.earthwork.inputs.earth import Earth
from pondkit.trades.earthwork.levels import Level, Levels, anchor_level, hole_level, instrument, level_rows, pool_levels
from pondkit.trades.earthwork.levels import row_names as earth_row_names
from pondkit.trades.earthwork.levels import work_out as earth_levels
from pondkit.trades.earthwork.setting_out import (
    KINDS,
    MarkLine,
    SetOut,
    anchor_lines,
    edge_lines,
    foot_lines,
    moved_lines,
    pool_lines,
)
from pondkit.trades.earthwork.setting_out import work_out as earth_set_out
from pondkit.trades.liner import between
from pondkit.trades.liner.ending import TRENCH
from pondkit.trades.liner.ending import edge_of as lining_edge_of
from pondkit.trades.liner.work import LiningResult
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.tunnels.boxes import boxes
from pondkit.trades.tunnels.inputs import Node, Tunnels
from pondkit.trades.tunnels.laying import Laying
from pondkit.trades.tunnels.work import TunnelsResult

AT_LINER = "trench at the liner"


@dataclass(frozen=True, eq=False)
class DigResult(Result):
    """What the crew digs by.

    Attributes:
        problems: What could not be worked out, and how to mend it.
    """

    levels: Levels
    set_out: SetOut | None
    as_dug: AsDug | None
    problems: tuple[Problem, ...]


def work_out(
    option: Option,
    pools: tuple[PoolResult, ...],
    pipes: TunnelsResult | None,
    lined: LiningResult | None,
    ground: Terrain | None,
    found: holes.Stood,
    links: Links,
) -> DigResult | None:
    """What the crew digs by; None where the option asks for none of it.

    Args:
        option: As drawn.
        pools: Those that could be worked out.
        pipes: The tunnels; None where the option has none.
        lined: The liners; None where the option has none.
        ground: As it is, in site axes; None where it is in trouble.
        found: What stands in a hole.
        links: As they are dug.
    """
    if option.dig is None:
        return None
    levels = _levels(option, pools, pipes, lined, ground, found, links)
    marks = _set_out(option, pools, lined, ground, found, links)
    dug = _as_dug(option, pools, lined, ground)
    problems = [p for part in (levels, marks, dug) if part is not None for p in part.problems]
    return DigResult(levels, marks, dug, tuple(problems))


def _as_dug(
    option: Option, pools: tuple[PoolResult, ...], lined: LiningResult | None, ground: Terrain | None
) -> AsDug | None:
    drawn = option.dig
    if drawn is None or not (drawn.measured or drawn.tapes):
        return None
    digs = tuple((pool.name, pool.surfaces.dig) for pool in pools)
    found = earth_spots(drawn.measured, digs, tuple(pool.name for pool in option.pools))
    held = {pool.name: found.correction(pool.name) for pool in pools}
    known = tuple(held.values())
    within = {
        name: mean_within(found, name, float(drawn.floor_within)) for name, own in held.items() if own is not None
    }
    off = [within[pool.name].value if pool.name in within else 0.0 for pool in pools]
    holes = [
        PoolDug(
            pool.name,
            pool.gross_volume.value,
            pool.wetted_area.value,
            pool.surface_area.value,
            pool.perimeter.value,
            changed(finished, own, rings),
            within[pool.name],
            len(found.inside(pool.name)),
        )
        for pool in pools
        if (own := held[pool.name]) is not None
        for finished in [pool.surfaces.finished]
        for rings in [_rings(finished)]
    ]
    edge = lining_edge_of(option.lining)
    soil = option.earth or Earth()
    banks = float(soil.bank_crest or 0.0), float(soil.bank_slope)
    round_it = None if ground is None else make_round(ground, *banks)
    lines, problems = [], []
    for index, tape in enumerate(drawn.tapes):
        start, end = ((float(place[0]), float(place[1])) for place in (tape.start, tape.end))
        way = None
        if start != end:
            way = way_over(tuple(dig for _, dig in digs), start, end, (None,) * len(digs), round_it)
        problem = tape_problem(index, tape, way)
        if problem is not None:
            problems.append(problem)
        if way is None or problem is not None:
            continue
        over = way_over(tuple(dig for _, dig in digs), start, end, known, round_it)
        lies = way_over(tuple(pool.surfaces.liner for pool in pools), start, end, known)
        loose = 0.0 if tape.taped is not None else sum(off[index] for index in over.pools)
        lines.append(make_line_dug(tape, way, over, lies, edge, loose))
    crossed = {index for line in lines for index in line.found.pools}
    numbers = {pool.name: index for index, pool in enumerate(pools)}
    liners = []
    for liner in lined.liners if lined else ():
        under = liner.under
        if not any(held[name] is not None or numbers[name] in crossed for name in under.names):
            continue
        corrections = tuple(held[name] for name in under.names)
        lengths = sheets_found(under.laid, under.turn_deg, edge, corrections)
        liners.append(
            LinerDug(
                liner.name,
                (under.along.length, under.across.length),
                (liner.liner_length_order.value, liner.liner_width_order.value),
                lengths,
                tuple(numbers[name] for name in under.names),
                tuple(name for name in under.names if held[name] is None),
                sum(off[numbers[name]] for name in under.names),
            )
        )
    return earth_as_dug(drawn, found, holes, liners, lines, problems)


def _rings(laid: Laid) -> tuple[Rings, ...]:
    """Rings of a pool's outline and of each pit's: they hang on no depth."""
    outlines = laid.outlines()
    margins = (margin_round(laid.rim), *(0.0 for _ in laid.bowl.pits))
    return tuple(rings_of(outlines, index, margin) for index, margin in enumerate(margins))


def _levels(
    option: Option,
    pools: tuple[PoolResult, ...],
    pipes: TunnelsResult | None,
    lined: LiningResult | None,
    ground: Terrain | None,
    found: holes.Stood,
    links: Links,
) -> Levels:
    drawn = option.dig
    assert drawn is not None
    height = instrument(drawn)
    known = None if height is None or isinstance(height, Problem) else height.value
    within = (float(drawn.rim_within), float(drawn.seat_within), float(drawn.floor_within))
    down = sorted(pools, key=lambda pool: -pool.surfaces.finished.rim_level)
    made = [pool_levels(pool.name, own.finished, own.liner, own.dig) for pool in down for own in [pool.surfaces]]
    made.append(tuple(hole_level(one.name, one.wall, one.body.bottom, one.hole.bottom) for one in found.standing))
    made.append(anchors_of(option, pools, lined))
    if pipes and ground:
        digs = tuple(pool.surfaces.dig for pool in pools)
        nodes = option.tunnels.nodes if option.tunnels else ()
        made.append(dens_of(nodes, pipes.laid, digs, ground, float(drawn.bedding)))
        made.append(trenches_of(pipes, digs, ground, float(drawn.bedding)))
    made.append(tuple(level for one in links.cuts for level in one.levels(one.link.from_)))
    made.append(crests_of(option, {pool.name: pool.surfaces.finished for pool in pools}))
    rows = tuple(level_rows(levels, within, known) for levels in made)
    return earth_levels(drawn, height, rows, within)


def _set_out(
    option: Option,
    pools: tuple[PoolResult, ...],
    lined: LiningResult | None,
    ground: Terrain | None,
    stood: holes.Stood,
    links: Links,
) -> SetOut | None:
    stakes = option.dig.stakes if option.dig else None
    if stakes is None:
        return None
    steps = float(stakes.spacing), float(stakes.within)
    met: list[tuple[Traced, ...]] = []
    missing: list[tuple[int, str]] = []
    lines: list[MarkLine] = []
    names = (*(pool.name for pool in pools), *(one.name for one in stood.standing), *(one.name for one in links.cuts))
    for pool in pools:
        dig, band = pool.surfaces.dig, pool.ground
        found: tuple[Traced, ...] = ()
        if ground is not None and band is not None:  # else the ground's own problem says why
            upper = dig.bowl.pool.profile.upper(band.below)
            found = dig_edge(dig.bowl.pool.shape, dig.placed, upper, dig.level, band.reach, ground)
            if not found:
                missing.append((pool.index, pool.name))
        met.append(found)
        for wanted in pool_lines(pool.name, dig):
            lines += moved_lines(*wanted, *steps)
    for one in stood.standing:
        met.append(edge_of(one.hole, ground) if ground is not None else ())
        lines += foot_lines("footing, edge" if one.wall else "seat, edge", one.name, (foot_of(one.hole),), *steps)
    for bed in links.cuts:
        met.append(edge_along(bed.cut.line, bed.half, bed.batter, ground) if ground is not None else ())
        lines += foot_lines("bed, edge", bed.name, bed_of(bed.cut.line, bed.half), *steps)
    for under in lined.extras.anchored if lined else ():
        if under.trench is not None:
            lines += anchor_lines(under.liner.name, under.trench, *steps)
    edges = joined_edges(tuple(met))
    first = edge_lines(edges, names, ground, *steps)
    ordered = sorted((*first, *lines), key=lambda line: KINDS.index(line.kind))
    return earth_set_out(stakes, tuple(ordered), tuple(missing), edges)


def row_names(option: Option) -> list[str]:
    """Names that rows of the levels to dig by can have, before anything is worked out."""
    seats = {row.pool for row in option.stone.edging if row.seat == "outside"} if option.stone else set()
    held = option.lining is not None and option.lining.edge_kind == TRENCH
    anchored = between.lined_of(option) if held else set()
    pools = [
        (
            pool.name,
            pool.name in seats,
            len(pool.tiers),
            [len(pit.tiers) for pit in pool.pits],
            sum(link.from_ == pool.name for link in option.links),
            pool.name in anchored,
        )
        for pool in option.pools
    ]
    nodes = [*_pipe_rows(option.tunnels)] if option.tunnels else []
    drawn = option.tunnels.nodes if option.tunnels else ()
    dens = [node.name for node in drawn if node.kind == "chamber" and node.size]
    found = [hole_level(one.name, one.wall, 0.0, 0.0).row for one in holes.drawn(option.water, option.walls).standing]
    count: Counter[str] = Counter()
    for link in option.links:
        count[link.from_] += 1
        found += bed_rows(link.from_, count[link.from_], len(link.points))
    return earth_row_names(pools, found, dens, nodes)


def anchors_of(option: Option, pools: tuple[PoolResult, ...], lined: LiningResult | None) -> tuple[Level, ...]:
    """Bottom of the anchor trench beside each pool that has one."""
    held = {name for under in lined.extras.anchored for name in under.names} if lined and option.lining else set()
    return tuple(
        anchor_level(pool.name, pool.surfaces.dig.rim_level - float(option.lining.trench_depth))
        for pool in pools
        if pool.name in held and option.lining
    )


def _pipe_rows(drawn: Tunnels) -> Iterator[str]:
    mouths = {node.name for node in drawn.nodes if node.kind == "mouth"}
    # A penetration has the name of its run's mouth; only where a run has none, that of a node.
    others = {end for run in drawn.runs if not {run.from_, run.to} & mouths for end in (run.from_, run.to)}
    yield from (f"{node.name}: {AT_LINER}" for node in drawn.nodes if node.name in mouths | others)
    yield from (f"{node.name}: trench" for node in drawn.nodes if node.name not in mouths)


def crests_of(option: Option, found: dict[str, Laid]) -> tuple[Level, ...]:
    """Crests of the links between pools that could be worked out, numbered by the pool that they leave.

    The dig lies under the crest stone, its bed and what is laid under them; None where their thickness is not entered.
    """
    laid = totals.laid_thickness(option)
    crests, count = [], dict.fromkeys(found, 0)
    for link in option.links:
        if link.from_ in found:
            count[link.from_] += 1
        if link.from_ in found and link.to in found:
            level = found[link.from_].level if link.crest_level is None else float(link.crest_level)
            dig = None if link.crest_stone is None else level - float(link.crest_stone) - laid
            crests.append(Level(f"{link.from_}: crest {count[link.from_]}", "crest", level, dig))
    return tuple(crests)


@remembered
def trenches_of(pipes: TunnelsResult, digs: tuple[Laid, ...], ground: Terrain, bedding: float) -> tuple[Level, ...]:
    """Underside of the pipe and bottom of the trench: at each penetration, and at each node but the mouths where it lies under ground and dig.

    The underside at a node is the lowest of the pipes that end there.
    """
    unders: dict[int, float] = {}
    for run in pipes.laid.runs:
        for end, place in zip(run.leg.ends, run.line, strict=True):
            under = place[2] - run.leg.pipe.outside / 2
            unders[end] = min(unders.get(end, under), under)
    rows = [
        (f"{name}: trench", place, unders[at])
        for at, (name, kind, place) in enumerate(pipes.places)
        if kind != "mouth" and at in unders
    ]
    ends = [Level(row, "trench", under, under - bedding) for row, under in _at_liners(pipes)]
    return (*ends, *_under("trench", rows, digs, ground, bedding))


def _at_liners(pipes: TunnelsResult) -> Iterator[tuple[str, float]]:
    """(row, level of the pipe's underside [m]) at each penetration, by the nearer mouth of its run; without one by the nearer node."""
    met: Counter[str] = Counter()
    for run in pipes.laid.runs:
        ends = [(pipes.places[end], at) for end, at in zip(run.leg.ends, run.line, strict=True)]
        mouths = [each for each in ends if each[0][1] == "mouth"]
        for _, place in run.passes:
            (name, _, _), _ = min(mouths or ends, key=lambda each: math.dist(each[1], place))
            row = f"{name}: {AT_LINER}"
            met[row] += 1
            yield row + (f" {met[row]}" if met[row] > 1 else ""), place[2] - run.leg.pipe.outside / 2


@remembered
def dens_of(
    nodes: tuple[Node, ...], laid: Laying, digs: tuple[Laid, ...], ground: Terrain, bedding: float
) -> tuple[Level, ...]:
    """Underside of each den's box and bottom of its pit, where that lies under ground and dig."""
    rows = [(f"{box.name}: pit", box.here, box.underside) for box in boxes(nodes, laid)]
    return _under("hole", rows, digs, ground, bedding)


def _under(
    kind: str, rows: list[tuple[str, Spot, float]], digs: tuple[Laid, ...], ground: Terrain, bedding: float
) -> tuple[Level, ...]:
    """Those rows (name, place, level of the underside) that lie under ground and dig, each with its bedding under it."""
    if not rows:
        return ()
    spots = np.array([place[:2] for _, place, _ in rows])
    low = np.minimum.reduce(
        [ground.at(spots), *(dig.level - dig.bowl.depth_at(dig.placed.to_own(spots)) for dig in digs)]
    )
    return tuple(
        Level(name, kind, under, under - bedding)
        for (name, _, under), open_to in zip(rows, low, strict=True)
        if under < open_to
    )
