"""Flushing: from one node to one mouth at a time, by the pumps of the water side, and to several open mouths at once.

Mouth by mouth the whole flow takes the shortest route to the open mouth. With several mouths open it divides as the
friction in the pipe makes it (pipe network); the passages are then taken as full of water.
"""

import itertools
from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from pondkit.core.constants import fluid
from pondkit.core.entry import USER, Entry, entry, limit, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Result, no_such
from pondkit.core.sentence import Words, words
from pondkit.core.tables import table
from pondkit.core.units import COUNT, SPEED
from pondkit.solvers.friction import Conduit
from pondkit.solvers.pipe_network import GridPipe, Network, balance, solve_pipe_grid
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import formulas as relations
from pondkit.trades.tunnels.alignment import Alignment
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.water.inputs.water import Water

if TYPE_CHECKING:
    import networkx as nx

# ---------------------------------------------------------------- mouth by mouth


@dataclass(frozen=True, eq=False)
class FlushByMouth(Result):
    """Flushing with one mouth open and the others stopped, and rodding. Subjects are a run, a mouth, or two rod access
    points ("mouth – den").

    Attributes:
        problems: Figures that could not be computed, why, and the remedy.
    """

    flush_velocity: tuple[Entry, ...]
    flush_time: tuple[Entry, ...]
    flush_flow_needed: tuple[Entry, ...]
    unswept_length: tuple[Entry, ...]
    rod_bends: tuple[Entry, ...]
    problems: tuple[Problem, ...]


def flush_by_mouth(
    tunnels: Tunnels, alignment: Alignment, volumes: Sequence[Entry], branch_flow: float | None
) -> FlushByMouth:
    """Velocity, time and flow required with one mouth open, and the bends that a drain rod has to pass.

    Args:
        tunnels: Inputs of the tunnels.
        alignment: Their alignment.
        volumes: Inner volume of each of its runs.
        branch_flow: Flow of the flush branch [m³/s]; None if there is no branch: then the flow entered counts.
    """
    import networkx as nx

    flow = tunnels.flush_flow if branch_flow is None else branch_flow
    rods = tuple(_rod_bends(tunnels, alignment))
    index_of = {node.name: index for index, node in enumerate(tunnels.nodes)}
    if tunnels.flush_from is None or flow is None:
        return FlushByMouth((), (), (), (), rods, ())
    if tunnels.flush_from not in index_of:
        unknown = no_such(("tunnels", "flush_from"), "node", tunnels.flush_from, index_of)
        return FlushByMouth((), (), (), (), rods, (unknown,))
    graph, start = alignment.graph, index_of[tunnels.flush_from]
    _, paths = nx.single_source_dijkstra(graph, start, weight="length")
    routes = {mouth: paths[mouth] for mouth in sorted(alignment.mouths) if mouth in paths and mouth != start}
    if not routes:
        return FlushByMouth((), (), (), (), rods, (_no_mouth_connected(start, tunnels.flush_from),))
    ring = [warn.FLUSH_RING()] if nx.cycle_basis(graph, start) else []
    times = tuple(_flush_times(tunnels, alignment, volumes, routes, float(flow), ring))
    swept = dict.fromkeys(graph[a][b]["run"] for route in routes.values() for a, b in itertools.pairwise(route))
    required_speed, velocity = tunnels.flush_speed, relations.flush_velocity
    runs = [alignment.runs[number] for number in swept]
    widest = max((run.pipe.bores for run in runs), key=lambda bore: bore.typical)
    return FlushByMouth(
        flush_velocity=tuple(
            entry(
                velocity,
                run.name,
                source=USER,
                cautions=ring,
                flush_flow=flow,
                bore=run.pipe.bores,
                velocity_required=required_speed,
            )
            for run in runs
        ),
        flush_time=times,
        flush_flow_needed=(
            entry(relations.flush_flow_needed, "", source=USER, velocity_required=required_speed, widest_bore=widest),
        ),
        unswept_length=tuple(
            entry(relations.unswept_length, run.name, source=USER, run_length=run.length)
            for number, run in enumerate(alignment.runs)
            if number not in swept
        ),
        rod_bends=rods,
        problems=(),
    )


def _flush_times(
    tunnels: Tunnels,
    alignment: Alignment,
    volumes: Sequence[Entry],
    routes: Mapping[int, Sequence[int]],
    flow: float,
    ring: Sequence[Words],
) -> Iterator[Entry]:
    """Flushing time to each mouth; ``routes``: nodes on the way to each, ``ring``: caution of a ring of runs."""
    notes = [warn.ANIMALS_OUT(), *([] if tunnels.flush_check else [warn.FLUSH_SIPHON()]), *ring]
    for mouth, route in routes.items():
        gates = [tunnels.nodes[node].name for node in route if tunnels.nodes[node].is_shut]
        cautions = [*(warn.GATE_SHUT_ON_FLUSH(gate=gate) for gate in gates), *notes]
        run_volumes = [volumes[alignment.graph[a][b]["run"]] for a, b in itertools.pairwise(route)]
        name, time = tunnels.nodes[mouth].name, relations.flush_time
        yield entry(time, name, source=USER, cautions=cautions, run_volumes=run_volumes, flush_flow=flow)


def _rod_bends(tunnels: Tunnels, alignment: Alignment) -> Iterator[Entry]:
    """Sum of bends between each two neighbouring rod access points: mouths, chambers and capped ends."""
    graph = alignment.graph
    access = {node for node in graph if graph.degree(node) == 1 or tunnels.nodes[node].kind == "chamber"}
    for start in (node for node in graph if node in access):
        for path in _paths_to_neighbours(graph, start, access):
            if start < path[-1]:  # each pair once
                steps = zip(path, path[1:], path[2:], strict=False)
                bends = [bend for step in steps for bend in _turns_at(alignment, *step)]
                subject = f"{tunnels.nodes[start].name} – {tunnels.nodes[path[-1]].name}"
                yield entry(relations.rod_bends, subject, bends=bends)


def _turns_at(alignment: Alignment, before: int, node: int, after: int) -> Sequence[float]:
    """Angles of the fittings at a node, passed on the way from the node before it to the node after it [degrees]."""
    if node not in alignment.joints:
        return ()
    runs_there = [number for number, run in enumerate(alignment.runs) if node in run.nodes]
    first, second = (runs_there.index(alignment.graph[node][other]["run"]) for other in (before, after))
    return alignment.joints[node].turns_between(first, second)


def _paths_to_neighbours(graph: "nx.Graph[int]", start: int, access: set[int]) -> list[list[int]]:
    """Shortest paths, by number of runs, from one rod access point to those reached without passing another."""
    paths, visited, waiting = [], {start}, deque([[start]])
    while waiting:
        path = waiting.popleft()
        for neighbour in graph[path[-1]]:
            if neighbour in visited:
                continue
            visited.add(neighbour)
            if neighbour in access:
                paths.append([*path, neighbour])
            else:
                waiting.append([*path, neighbour])
    return paths


def _no_mouth_connected(index: int, name: str) -> Problem:
    return Problem(
        ("tunnels", "nodes", index),
        words(
            f"no mouth is joined to '{name}', from which the passages are flushed ({{mouths}} mouths)",
            mouths=(0, COUNT),
        ),
        words("a node with a way to a mouth"),
        words("choose another node, or draw the run that is missing"),
    )


# ---------------------------------------------------------------- by the pumps, with several mouths open


@dataclass(frozen=True, eq=False)
class FlushingResult(Result):
    """Flushing by the pumps, and with several mouths open. Subjects are the branch, a mouth, or a run.

    Attributes:
        problems: Figures that could not be computed, why, and the remedy.
    """

    flush_branch_flow: Entry | None = None
    flush_branch_velocity: Entry | None = None
    open_mouth_flow: tuple[Entry, ...] = ()
    open_velocity: tuple[Entry, ...] = ()
    problems: tuple[Problem, ...] = ()


make_flushing_result = remembered(FlushingResult)


@dataclass(frozen=True, eq=False)
class FlushBranch:
    """The flush branch of the water side while it flushes, all other branches shut: its discharge and velocity."""

    flow: Entry
    velocity: Entry


def flush_branch(water: Water, network: Callable[[], Network | None]) -> FlushBranch | None:
    """Discharge of the flush branch with all other branches shut; None if there is no such branch, or if no pump lifts
    water to it.

    Args:
        water: Inputs of the water side.
        network: Gives its pumps and lines; None if they do not run. Called only if there is a flush branch.
    """
    index = next((number for number, branch in enumerate(water.branches) if branch.to == "flush"), None)
    pumps_and_lines = network() if index is not None else None
    return None if index is None or pumps_and_lines is None else _flush_branch(pumps_and_lines, index)


@remembered
def _flush_branch(network: Network, index: int) -> FlushBranch | None:
    branches = tuple(replace(branch, shut=number != index) for number, branch in enumerate(network.branches))
    balanced = balance(replace(network, branches=branches))
    if balanced.branch_flows[index] <= 0:
        return None
    name, bore = network.branches[index].name, network.branches[index].conduit.bore
    flow = entry(
        relations.flush_branch_flow,
        name,
        source=USER,
        balanced=balanced,
        index=index,
        level_where_branches_part=balanced.branch_head,
        level_it_ends_at=balanced.ends[index],
    )
    velocity = entry(relations.flush_branch_velocity, name, flow=flow, bore=bore)
    most, _ = limit("pipe velocity at most", SPEED)
    too_fast = warn.FLUSH_BRANCH_FAST.where(
        velocity.least, velocity.value, velocity.most, most=most, most_wanted=(most, SPEED)
    )
    return FlushBranch(flow, with_cautions(velocity, *too_fast))


def compute_flushing(
    tunnels: Tunnels | None, alignment: Alignment | None, branch: FlushBranch | None, water: Water | None
) -> FlushingResult | None:
    """Figures of the flush branch, and of several mouths open at once; None if neither is entered.

    Args:
        tunnels: Inputs of the tunnels.
        alignment: Their alignment; None if the ground is unknown.
        branch: The flush branch; None if there is none.
        water: Inputs of the water side, for temperature and loss coefficients; None for their defaults.
    """
    if tunnels is None or alignment is None or (branch is None and not tunnels.flush_open):
        return None
    flow = branch.flow.value if branch else tunnels.flush_flow
    discharge, velocity = (branch.flow, branch.velocity) if branch else (None, None)
    if not tunnels.flush_open or flow is None or tunnels.flush_from is None:
        return make_flushing_result(discharge, velocity)
    water = water or Water()
    temperature, losses = float(water.temperature), str(water.losses)
    outflows, velocities, problems = _several_open(tunnels, alignment, float(flow), temperature, losses)
    return make_flushing_result(discharge, velocity, outflows, velocities, problems)


@remembered
def _several_open(
    tunnels: Tunnels, alignment: Alignment, flow: float, temperature: float, losses: str
) -> tuple[tuple[Entry, ...], tuple[Entry, ...], tuple[Problem, ...]]:
    """(flow out of each open mouth, velocity in each run, problems).

    Args:
        tunnels: Inputs of the tunnels.
        alignment: Their alignment.
        flow: Flow that comes in where the passages are flushed from [m³/s].
        temperature: Temperature of the water [°C].
        losses: Name of the table of loss coefficients.
    """
    index_of = {node.name: index for index, node in enumerate(tunnels.nodes)}
    start = index_of.get(tunnels.flush_from or "")
    if start is None:
        return (), (), ()  # reported where the mouths are flushed one by one
    connected = alignment.connected(start)
    heads = {
        outlet.node: max(outlet.level, outlet.water_level) for outlet in alignment.outlets if outlet.node in connected
    }
    if problems := _open_mouth_problems(tunnels, index_of, heads, start):
        return (), (), tuple(problems)
    open_nodes = {index_of[name] for name in tunnels.flush_open}
    runs = [run for run in alignment.runs if run.nodes[0] in connected]
    roughness, viscosity = float(table("trades/water/surfaces")[0]["roughness_m"]), fluid(temperature).viscosity
    exit_loss = _exit_loss(losses)
    pipes = []
    for run in runs:
        loss = exit_loss if open_nodes.intersection(run.nodes) else 0.0
        pipes.append(GridPipe(*run.nodes, Conduit(run.pipe.bore, run.length, loss, roughness, viscosity)))
    flows = solve_pipe_grid(pipes, {start: flow}, {node: heads[node] for node in open_nodes})
    if flows is None:
        return (), (), (_no_balance(),)
    outflows = dict.fromkeys(sorted(open_nodes), 0.0)
    for pipe, flow_in_pipe in zip(pipes, flows, strict=True):
        for node, sign in ((pipe.end, 1.0), (pipe.start, -1.0)):
            if node in outflows:
                outflows[node] += sign * flow_in_pipe
    mouth_flows = tuple(_open_mouth(tunnels.nodes[node].name, out, heads[node]) for node, out in outflows.items())
    velocities = tuple(
        entry(
            relations.open_velocity,
            run.name,
            source=USER,
            flow=abs(flow_in_pipe),
            bore=run.pipe.bores,
            velocity_required=tunnels.flush_speed,
        )
        for run, flow_in_pipe in zip(runs, flows, strict=True)
    )
    return mouth_flows, velocities, ()


def _open_mouth(name: str, flow: float, level: float) -> Entry:
    notes = [warn.ANIMALS_OUT(), *warn.OPEN_MOUTH_DRAWS_IN.where(flow, flow, flow)]
    return entry(relations.open_mouth_flow, name, source=USER, cautions=notes, flow=flow, level=level)


def _exit_loss(losses: str) -> float:
    """Exit loss coefficient, from a table of the water side."""
    rows = table("trades/water/losses")
    return next(float(row["k"]) for row in rows if (row["table"], row["fitting"]) == (losses, "exit"))


def _no_balance() -> Problem:
    return Problem(
        ("tunnels", "flush_open"),
        words("no balance of flows was found for the mouths that are open at once"),
        words("mouths of like level"),
        words("open fewer at once"),
    )


def _open_mouth_problems(
    tunnels: Tunnels, index_of: Mapping[str, int], heads: Mapping[int, float], start: int
) -> list[Problem]:
    """Problems of the mouths listed as open at once; ``heads``: level at each mouth that the flush reaches [m]."""
    path: Path = ("tunnels", "flush_open")
    problems = []
    for name in dict.fromkeys(tunnels.flush_open):
        if name not in index_of:
            problems.append(no_such(path, "node", name, [tunnels.nodes[node].name for node in heads]))
        elif index_of[name] not in heads or index_of[name] == start:
            problems.append(
                Problem(
                    path,
                    words(f"'{name}' is no mouth that the flush from '{tunnels.flush_from}' reaches"),
                    words("mouths that are joined to it"),
                    words("take it off the list, or draw the run that is missing"),
                )
            )
    return problems
