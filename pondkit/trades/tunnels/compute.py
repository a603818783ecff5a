"""Computes the tunnels: begins at ``compute``, aligns the passages, then works out each group of figures from them."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry, input_entry, total, with_cautions, within
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem
from pondkit.core.sentence import Words
from pondkit.core.units import COUNT, LENGTH, VOLUME
from pondkit.geometry.line_intersection import Spot, line_intersections
from pondkit.geometry.terrain import Terrain
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import formulas as relations
from pondkit.trades.tunnels.alignment import (
    Alignment,
    EndAllowances,
    adjusted_alignment,
    adjusted_line,
    adjustment_figures,
    alignment_of,
    drawn_alignment,
)
from pondkit.trades.tunnels.cuts import RunCut, StockOrder, cut_of, stock_order, stubs
from pondkit.trades.tunnels.flotation import flotation_check
from pondkit.trades.tunnels.flushing import FlushBranch, flush_by_mouth
from pondkit.trades.tunnels.inputs import Fitting, Node, Tunnels
from pondkit.trades.tunnels.joints import PassagePipe
from pondkit.trades.tunnels.network import draining_mouths, pool_would_drain, read_network
from pondkit.trades.tunnels.results import (
    DenBox,
    DenExits,
    MouthLevels,
    NodesResult,
    Penetrations,
    PipeOrder,
    RunsResult,
    TunnelsResult,
)
from pondkit.trades.tunnels.runs import STRETCH, TOUCH, UPRIGHT, PoolLevels, RunAlignment, needless_penetrations
from pondkit.trades.tunnels.swims import clear_bore, swims
from pondkit.trades.tunnels.water_and_air import displaced_water, water_and_air, water_in_buried_runs, watertight_joints


@dataclass(frozen=True)
class PassageSurroundings:
    """Ground and water round the passages.

    Attributes:
        ground: Existing ground in site axes; None if it has a problem.
        groundwater: Highest known groundwater level [m]; None if unknown.
        fall, rise: Greatest fall of all pools below, and rise above, their level at rest [m].
    """

    ground: Terrain | None
    groundwater: float | None
    fall: float
    rise: float


def compute(
    tunnels: Tunnels | None,
    pools: tuple[PoolResult, ...],
    lined: frozenset[str],
    surroundings: PassageSurroundings,
    branch: FlushBranch | None,
    complete: bool,
) -> TunnelsResult | None:
    """The tunnels of an option; None if it has none, or if the ground is unknown.

    Args:
        tunnels: Inputs of the tunnels.
        pools: Pools without problems.
        lined: Names of the pools with a liner.
        surroundings: Ground and water round the passages.
        branch: The flush branch of the water side; None if there is none.
        complete: False if some pool has a problem.
    """
    ground, branch_flow = surroundings.ground, branch.flow.value if branch else None
    if tunnels is None or ground is None:
        return None
    alignment = _alignment(tunnels, pools, lined, ground, complete)
    levels = _pool_levels(pools, lined)
    stock, socket = float(tunnels.stock_length), float(tunnels.socket)
    runs = tuple(
        run_figures(run, allowances, ground, stock, tunnels.fittings, socket)
        for run, allowances in zip(alignment.runs, alignment.allowances, strict=True)
    )
    return _tunnels_result(tunnels, alignment, runs, levels, surroundings, branch_flow, complete)


def _pool_levels(pools: Sequence[PoolResult], lined: frozenset[str]) -> tuple[PoolLevels, ...]:
    surfaces = [(pool.name, pool.surfaces.finished) for pool in pools]
    return tuple(PoolLevels(name, pool.level, pool.rim_level, name in lined) for name, pool in surfaces)


def _alignment(
    tunnels: Tunnels, pools: Sequence[PoolResult], lined: frozenset[str], ground: Terrain, complete: bool
) -> Alignment:
    """The alignment after fitting adjustment: only the runs that moved are crossed with the pools again."""
    surfaces = [(pool.surfaces.finished, pool.surfaces.liner) for pool in pools]
    network, levels = read_network(tunnels), _pool_levels(pools, lined)
    crossings = tuple(line_intersections(network.lines, *crossed, STRETCH) for crossed in surfaces)
    values = drawn_alignment(tunnels, network, levels, crossings, ground, complete)
    line = adjusted_line(tunnels.nodes, values)
    if line.moved_runs:
        again = tuple(line_intersections(line.lines, *crossed, STRETCH) for crossed in surfaces)
        values = adjusted_alignment(values, line, again, levels)
    return alignment_of(values)


@dataclass(frozen=True, eq=False)
class RunFigures:
    """Figures of one run, by their keys.

    Attributes:
        pipe: Its pipe.
        run_slope: None for an upright run.
        cut: None if a fitting at its ends is unknown, or if too little pipe is left between its fittings.
        problem: Why too little is left; None otherwise.
    """

    pipe: PassagePipe
    run_length: Entry
    run_slope: Entry | None
    run_in_water: Entry
    run_free: Entry
    run_in_ground: Entry
    run_volume: Entry
    cut: RunCut | None
    problem: Problem | None


@remembered
def run_figures(
    run: RunAlignment,
    allowances: EndAllowances | None,
    ground: Terrain,
    stock_length: float,
    measured: tuple[Fitting, ...],
    socket: float,
) -> RunFigures:
    """Figures of one run.

    Args:
        run: The run after fitting adjustment.
        allowances: Its end allowances; None if the fittings at one of its ends are unknown.
        ground: Existing ground in site axes.
        stock_length: Stock length of pipe that has none of its own [m].
        measured: Fittings that the person measured.
        socket: Socket depth of a fitting [m].
    """
    name, pipe = run.name, run.pipe
    east, north, rise = (b - a for a, b in zip(run.start, run.end, strict=True))
    length = entry(relations.run_length, name, source=USER, east=east, north=north, rise=rise)
    level_distance = math.hypot(east, north)
    slope = None
    if level_distance > UPRIGHT:
        slope = entry(relations.run_slope, name, source=USER, rise=rise, level_distance=level_distance)
    in_water = entry(relations.run_in_water, name, pieces=run.lengths_in_water())
    free = entry(relations.run_free, name, pieces=run.lengths_exposed())
    notes = _uncovered(run, ground)
    in_ground = entry(
        relations.run_in_ground, name, cautions=notes, run_length=length, run_in_water=in_water, run_free=free
    )
    cut = cut_of(run, allowances, stock_length, measured, socket) if allowances else None
    return RunFigures(
        pipe=pipe,
        run_length=length,
        run_slope=slope,
        run_in_water=in_water,
        run_free=free,
        run_in_ground=in_ground,
        run_volume=entry(relations.run_volume, name, source=pipe.source, bore=pipe.bores, run_length=length),
        cut=cut if isinstance(cut, RunCut) else None,
        problem=cut if isinstance(cut, Problem) else None,
    )


def _uncovered(run: RunAlignment, ground: Terrain) -> list[Caution]:
    """A caution if the crown of a buried stretch stands above the existing ground."""
    return [warn.RUN_UNCOVERED()] if any(cover < -TOUCH for cover, _ in run.covers(ground)) else []


@remembered
def _tunnels_result(
    tunnels: Tunnels,
    alignment: Alignment,
    runs: tuple[RunFigures, ...],
    pools: tuple[PoolLevels, ...],
    surroundings: PassageSurroundings,
    branch_flow: float | None,
    complete: bool,
) -> TunnelsResult:
    inverts, ground, groundwater = alignment.inverts(), surroundings.ground, surroundings.groundwater
    assert ground is not None
    rise, volumes = surroundings.rise, tuple(run.run_volume for run in runs)
    flush = flush_by_mouth(tunnels, alignment, volumes, branch_flow)
    drains = [pool_would_drain(*pair) for pair in draining_mouths(alignment.graph, alignment.outlets, inverts)]
    problems = [*alignment.problems, *flush.problems, *drains, *(run.problem for run in runs if run.problem)]
    sound = complete and not problems and len(alignment.runs) == len(tunnels.runs)
    socket = within(float(tunnels.socket), float(tunnels.socket_within))
    cuts = [*(run.cut for run in runs if run.cut), *stubs(alignment, tunnels.nodes, socket)]
    narrowest = clear_bore(tunnels, alignment)
    dens = tuple(input_entry(node.name, 1, COUNT) for node in tunnels.nodes if node.kind == "chamber")
    return TunnelsResult(
        runs=_runs_result(runs, cuts),
        nodes=NodesResult(
            mouth_depth=tuple(_mouth_depths(tunnels, alignment, pools)),
            den_floor_above_water=tuple(_den_floors(tunnels, alignment, inverts, groundwater)),
            chamber_volume=tuple(_chamber_volumes(tunnels.nodes)),
            den_order=dens,
            den_lid_order=dens,
        ),
        penetrations=_penetrations(alignment, pools, sound),
        order=_pipe_order(tunnels, alignment, runs, cuts, sound),
        pipe_displaced=tuple(displaced_water(tunnels, alignment, pools, inverts)),
        adjustment=adjustment_figures(tunnels, alignment),
        clear_bore=narrowest[0] if narrowest and sound else None,
        swims=swims(tunnels, alignment, rise),
        filling=water_and_air(tunnels, alignment, inverts, ground, surroundings.fall, rise),
        sealing=watertight_joints(tunnels, alignment, cuts, rise, sound),
        uplift=flotation_check(tunnels, alignment, pools, inverts, ground, groundwater, rise),
        flush=flush,
        tunnel_volume=with_cautions(total("", volumes, VOLUME), *_general_cautions(tunnels, alignment))
        if sound
        else None,
        flooded_pipe_volume=total("", water_in_buried_runs(alignment), VOLUME) if sound else None,
        in_doubt=alignment.in_doubt,
        lines=tuple((run.name, run.start, run.end, run.pipe.outside) for run in alignment.runs),
        places=_node_places(tunnels, alignment),
        alignment=alignment,
        narrowest=narrowest[1] if narrowest else None,
        mouths=tuple(_mouth_levels(tunnels, alignment, inverts)),
        exits=tuple(_den_exits(tunnels, alignment)),
        dens=tuple(_den_boxes(tunnels.nodes, alignment)),
        ground=ground,
        problems=tuple(problems),
    )


def _runs_result(runs: Sequence[RunFigures], cuts: Sequence[RunCut]) -> RunsResult:
    return RunsResult(
        run_length=tuple(run.run_length for run in runs),
        run_slope=tuple(run.run_slope for run in runs if run.run_slope),
        cut_length=tuple(cut.length for cut in cuts),
        run_in_water=tuple(run.run_in_water for run in runs),
        run_in_ground=tuple(run.run_in_ground for run in runs),
        run_free=tuple(run.run_free for run in runs),
        run_volume=tuple(run.run_volume for run in runs),
    )


def _pipe_order(
    tunnels: Tunnels, alignment: Alignment, runs: Sequence[RunFigures], cuts: Sequence[RunCut], sound: bool
) -> PipeOrder:
    """Fittings and pipe to order; pipe and totals only if no run has a problem (``sound``)."""
    stock_length, kerf, proven = float(tunnels.stock_length), float(tunnels.kerf), tunnels.cutting == "proven"
    fittings = tuple(_fitting_counts(alignment, cuts))
    orders: list[StockOrder] = []
    if sound:
        for pipe in dict.fromkeys(cut.pipe for cut in cuts):
            cuts_of_pipe = tuple(cut for cut in cuts if cut.pipe == pipe)
            orders.append(stock_order(pipe, cuts_of_pipe, stock_length, kerf, proven))
    pipes = list(dict.fromkeys(run.pipe for run in alignment.runs)) if sound else []
    return PipeOrder(
        fitting_count=fittings,
        total_fitting_count=total("", fittings, COUNT) if sound else None,
        pipe_length=tuple(
            total(pipe.name, [run.run_length for run in runs if run.pipe == pipe], LENGTH) for pipe in pipes
        ),
        pipe_lengths_to_buy=tuple(order.lengths for order in orders),
        pipe_length_order=tuple(order.order for order in orders),
        total_pipe_order=total("", [order.order for order in orders], LENGTH) if orders else None,
        offcut_length=tuple(order.offcut for order in orders),
        cutting_plan=tuple((order.lengths.subject, order.stock_length, order.cutting_plan) for order in orders),
    )


def _fitting_counts(alignment: Alignment, cuts: Sequence[RunCut]) -> Iterator[Entry]:
    """Count of each fitting over nodes, couplings in long runs, and liner penetrations."""
    counts: dict[str, list[float]] = {}
    notes: dict[str, list[Words]] = {}
    for joint in alignment.joints.values():
        for subject in joint.counted:
            counts.setdefault(subject, []).append(1.0)
            notes.setdefault(subject, []).extend(joint.cautions)
    for cut in cuts:
        if cut.couplings:
            counts.setdefault(f"{cut.pipe.name} coupling", []).append(float(cut.couplings))
    for run in alignment.runs:
        if run.penetrations:
            counts.setdefault(f"{run.pipe.name} penetration", []).append(float(len(run.penetrations)))
    for subject in sorted(counts):
        yield entry(relations.counted, subject, cautions=notes.get(subject, ()), places=counts[subject])


def _penetrations(alignment: Alignment, pools: Sequence[PoolLevels], sound: bool) -> Penetrations:
    depths, below, sizes, places = [], [], [], []
    same_subject: dict[str, int] = {}
    needless = needless_penetrations(alignment.runs, alignment.mouths, alignment.connected, pools)
    for number, run in enumerate(alignment.runs):
        is_moved = number in alignment.moved_runs  # a run that passes a liner as drawn is never moved
        for index, place in run.penetrations:
            pool = pools[index]
            notes = [warn.PENETRATION_BY_FITTINGS()] if is_moved else []
            if (number, index) in needless and place[2] < pool.level:
                notes.append(warn.PENETRATION_WITHOUT_MOUTH(pool=pool.name))
            subject = f"{run.name} / {pool.name}"
            count = same_subject[subject] = same_subject.get(subject, 0) + 1
            subject += f" ({count})" if count > 1 else ""
            level, source, outside = place[2], run.pipe.source, run.pipe.outside
            depth, below_rim = relations.penetration_depth, relations.penetration_below_rim
            depths.append(entry(depth, subject, cautions=notes, water_level=pool.level, penetration_level=level))
            below.append(entry(below_rim, subject, rim_level=pool.rim_level, penetration_level=level))
            sizes.append(entry(relations.penetration_size, subject, source=source, outside_diameter=outside))
            places.append((subject, place))
    cautions = [caution for depth in depths for caution in depth.cautions]
    total_count = entry(relations.counted, "", places=[1.0] * len(places), cautions=cautions) if sound else None
    return Penetrations(tuple(depths), tuple(below), tuple(sizes), total_count, tuple(places))


def _mouth_depths(tunnels: Tunnels, alignment: Alignment, pools: Sequence[PoolLevels]) -> Iterator[Entry]:
    for node, mouth in alignment.mouths.items():
        if mouth.pool is not None:
            notes, name = [mouth.note] if mouth.note else [], tunnels.nodes[node].name
            water, level = pools[mouth.pool].level, alignment.places[node][2]
            depth = relations.mouth_depth
            yield entry(depth, name, cautions=notes, source=USER, water_level=water, node_level=level)


def _den_floors(
    tunnels: Tunnels, alignment: Alignment, inverts: Mapping[int, float], groundwater: float | None
) -> Iterator[Entry]:
    """Height of each den's floor above the water at rest of the highest pool that its passages open to."""
    for index, node in enumerate(tunnels.nodes):
        connected = alignment.connected(index) if node.kind == "chamber" else set()
        waters = [
            outlet.water_level for outlet in alignment.outlets if outlet.pool is not None and outlet.node in connected
        ]
        if waters:
            level, floor = alignment.places[index][2], inverts[index]
            notes = []
            if groundwater is not None and floor < groundwater:
                notes.append(warn.DEN_BELOW_GROUNDWATER(node=node.name, below=(groundwater - floor, LENGTH)))
            yield entry(
                relations.den_floor_above_water,
                node.name,
                cautions=notes,
                source=USER,
                node_level=level,
                bore=2 * (level - floor),
                water_level=max(waters),
            )


def _chamber_volumes(nodes: Sequence[Node]) -> Iterator[Entry]:
    """Inside volume of each den with a size."""
    for node in nodes:
        if node.kind == "chamber" and node.size:
            length, width, height = node.size
            yield entry(relations.chamber_volume, node.name, source=USER, length=length, width=width, height=height)


def _general_cautions(tunnels: Tunnels, alignment: Alignment) -> Iterator[Caution]:
    """Cautions on the passages as a whole, on nodes without a run, and on dens without a size."""
    yield warn.PROTECTED_BURROWS()
    yield warn.CLEAR_SIZE_IS_YOURS()
    for index, node in enumerate(tunnels.nodes):
        if not alignment.graph.degree(index):
            yield warn.NODE_WITHOUT_RUN(node=node.name)
        elif node.kind == "chamber" and node.size is None:
            yield warn.DEN_WITHOUT_SIZE(node=node.name)


def _node_places(tunnels: Tunnels, alignment: Alignment) -> tuple[tuple[str, str, Spot], ...]:
    pairs = zip(tunnels.nodes, alignment.places, strict=True)
    return tuple((node.name, node.kind_shown, place) for node, place in pairs)


def _mouth_levels(tunnels: Tunnels, alignment: Alignment, inverts: Mapping[int, float]) -> Iterator[MouthLevels]:
    for outlet in alignment.outlets:
        if outlet.pool is not None:
            place, level = alignment.places[outlet.node], outlet.level
            bore = 2 * (level - inverts[outlet.node])
            yield MouthLevels(tunnels.nodes[outlet.node].name, (place[0], place[1]), level, bore, outlet.water_level)


def _den_exits(tunnels: Tunnels, alignment: Alignment) -> Iterator[DenExits]:
    import networkx as nx

    passable = alignment.graph.subgraph([node for node in alignment.graph if not tunnels.nodes[node].is_shut])
    for index, node in enumerate(tunnels.nodes):
        if node.kind == "chamber" and alignment.graph.degree(index):
            connected, place = nx.node_connected_component(passable, index), alignment.places[index]
            mouths = sum(tunnels.nodes[other].kind == "mouth" for other in connected)
            yield DenExits(node.name, (place[0], place[1]), mouths)


def _den_boxes(nodes: Sequence[Node], alignment: Alignment) -> Iterator[DenBox]:
    for index, node in enumerate(nodes):
        run = next((run for run in alignment.runs if index in run.nodes), None)
        if node.kind == "chamber" and node.size is not None and run is not None:
            near_end, far_end = (run.start, run.end) if run.nodes[0] == index else (run.end, run.start)
            long, wide, high = map(float, node.size)
            yield DenBox(node.name, (long, wide, high), float(node.wall), run.pipe.outside, near_end, far_end)
