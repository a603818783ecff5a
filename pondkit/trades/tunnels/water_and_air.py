"""Water and air in the passages: full, part full and dry pipe, air pockets and trapped water; and the watertight
length outside the liner, with its joints.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.result import Problem, Result
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.geometry.line_intersection import Spot, at
from pondkit.geometry.terrain import Terrain
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import formulas as pipe_formulas
from pondkit.trades.tunnels import formulas as relations
from pondkit.trades.tunnels.alignment import Alignment
from pondkit.trades.tunnels.cuts import RunCut
from pondkit.trades.tunnels.inputs import Node, Tunnels
from pondkit.trades.tunnels.network import by_water, reached
from pondkit.trades.tunnels.runs import RunAlignment

UPRIGHT = 1e-6  # m of level distance, below which a run has no slope
Running = tuple[float, float]
CAUGHT = 1e-3  # m: smaller high or low points are ignored


@dataclass(frozen=True, eq=False)
class WaterAndAir(Result):
    """Water and air in the passages. Subjects are "run, at rest", a run, or a node.

    Attributes:
        states: (name, height of the water above the level at rest [m]) of the three levels examined.
        flooded: Problems of dens with water in them at rest, which change no quantity.
    """

    run_filled: tuple[Entry, ...]
    fall_to_pool: tuple[Entry, ...]
    air_pocket: tuple[Entry, ...]
    water_trap: tuple[Entry, ...]
    den_above_highest: tuple[Entry, ...]
    den_air: tuple[Entry, ...]
    den_lid_cover: tuple[Entry, ...]
    den_ports: tuple[Entry, ...]
    states: tuple[tuple[str, float], ...]
    flooded: tuple[Problem, ...]


def water_and_air(
    tunnels: Tunnels, alignment: Alignment, inverts: Mapping[int, float], ground: Terrain, running: Running
) -> WaterAndAir:
    """Water and air in the passages at three water levels.

    Args:
        tunnels: Inputs of the tunnels.
        alignment: Their alignment.
        inverts: Invert level at each node [m].
        ground: Existing ground in site axes.
        running: Greatest fall below and rise above the level at rest [m].
    """
    fall, rise = running
    states = (("lowest", -fall), ("at rest", 0.0), ("highest", rise))
    highest = highest_waters(alignment, rise)
    return WaterAndAir(
        run_filled=tuple(figure for state in states for figure in _filled(alignment, inverts, *state)),
        fall_to_pool=tuple(_falls(tunnels, alignment)),
        air_pocket=tuple(_pockets(tunnels, alignment, highest)),
        water_trap=tuple(_traps(tunnels, alignment, inverts)),
        **_dens(tunnels, alignment, inverts, highest, ground),
        states=states,
        flooded=tuple(_flooded(tunnels, water_levels(alignment, inverts, 0.0), inverts)),
    )


def water_levels(alignment: Alignment, levels: Mapping[int, float], over: float) -> dict[int, float]:
    """Level of the water that reaches each node with all pools ``over`` their level at rest; dry nodes are left out.

    Args:
        alignment: Alignment of the passages.
        levels: Level of each node that water must stand above to pass it [m].
        over: Height of the pools above their level at rest [m].
    """
    levels_at: dict[int, float] = {}
    for at_rest, mouths in sorted(by_water(alignment.outlets).items()):
        levels_at |= dict.fromkeys(reached(alignment.graph, mouths, levels, at_rest + over), at_rest + over)
    return levels_at


def highest_waters(alignment: Alignment, over: float) -> dict[int, float]:
    """Highest water of the pools that each node is connected to, regardless of how high the route rises. Nodes
    connected to no pool are left out.
    """
    import networkx as nx

    waters, highest = by_water(alignment.outlets), dict[int, float]()
    for part in nx.connected_components(alignment.graph) if waters else ():
        levels = [at_rest for at_rest, mouths in waters.items() if not part.isdisjoint(mouths)]
        if levels:
            highest |= dict.fromkeys(part, max(levels) + over)
    return highest


def _filled(alignment: Alignment, inverts: Mapping[int, float], name: str, over: float) -> Iterator[Entry]:
    water = water_levels(alignment, inverts, over)
    for run in alignment.runs:
        subject = f"{run.name}, {name}"
        stands = [water[end] for end in run.ends if end in water]
        if not stands:
            yield entry(relations.unreached, subject, reached_length=0.0, run_length=run.length)
            continue
        yield entry(
            relations.filled_share,
            subject,
            source=run.pipe.source,
            start_level=run.start[2],
            end_level=run.end[2],
            run_length=run.length,
            bore=run.pipe.bores,
            water_level=max(stands),
        )


def _falls(tunnels: Tunnels, alignment: Alignment) -> Iterator[Entry]:
    """Fall of each run towards the nearest mouth in a pool, along the runs."""
    import networkx as nx

    mouths = {outlet.node for outlet in alignment.outlets if outlet.pool is not None}
    if not mouths:
        return
    far = nx.multi_source_dijkstra_path_length(alignment.graph, mouths, weight="length")
    for run in alignment.runs:
        first, last = run.ends
        level = math.dist(run.start[:2], run.end[:2])
        if first not in far or level < UPRIGHT:
            continue
        near_z, far_z = run.start[2], run.end[2]
        if far[first] > far[last]:
            near_z, far_z = far_z, near_z
        fall = (far_z - near_z) / level
        notes = warn.RUN_FALLS_AWAY.where(*[fall + 1e-9] * 3)
        notes = notes or warn.RUN_TOO_FLAT.where(*[fall + 1e-9] * 3, least=float(tunnels.least_fall))
        yield entry(
            relations.fall_to_pool,
            run.name,
            source=USER,
            cautions=notes,
            far_level=far_z,
            near_level=near_z,
            level_distance=level,
        )


def _pockets(tunnels: Tunnels, alignment: Alignment, highest: Mapping[int, float]) -> Iterator[Entry]:
    """Air pockets: high points that air cannot leave once water closes the pipe below them."""
    levels = {end: place[2] for end, place in enumerate(alignment.places)}
    open_air = [end for end in alignment.graph if tunnels.nodes[end].kind == "mouth" or tunnels.nodes[end].vent]
    bores = alignment.bores()
    escapes = best_way(alignment, open_air, levels, up=False)
    for end in _extremes(alignment, levels, 1.0):
        escape_level = escapes.get(end)
        if end in open_air or end not in highest or escape_level is None:
            continue
        if levels[end] - escape_level > CAUGHT and escape_level + bores[end] / 2 < highest[end]:
            yield entry(
                relations.air_pocket,
                tunnels.nodes[end].name,
                source=USER,
                node_level=levels[end],
                escape_level=escape_level,
            )


def _traps(tunnels: Tunnels, alignment: Alignment, inverts: Mapping[int, float]) -> Iterator[Entry]:
    """Water traps: low points from which water and dirt do not drain."""
    mouths = [end for end in alignment.graph if tunnels.nodes[end].kind == "mouth"]
    overs = best_way(alignment, mouths, inverts, up=True)
    for end in _extremes(alignment, inverts, -1.0):
        over = overs.get(end)
        if end not in mouths and over is not None and over - inverts[end] > CAUGHT:
            yield entry(
                relations.water_trap,
                tunnels.nodes[end].name,
                source=USER,
                spill_level=over,
                invert_level=inverts[end],
            )


def best_way(alignment: Alignment, ends: Iterable[int], levels: Mapping[int, float], *, up: bool) -> dict[int, float]:
    """Controlling level [m] of the best route from each node to any of the end nodes.

    With ``up`` (for water) the best route climbs least, and its highest place controls. Without it (for air) the best
    route dips least, and its lowest place controls. Nodes are visited in order of that level, as in a shortest-path
    search.
    """
    sign = 1.0 if up else -1.0
    deciding: dict[int, float] = {}
    waiting = {end: sign * levels[end] for end in ends}
    while waiting:
        node = min(waiting, key=lambda end: waiting[end])
        height = waiting.pop(node)
        deciding[node] = sign * height
        for neighbour in alignment.graph[node]:
            if neighbour not in deciding:
                passed = max(height, sign * levels[neighbour])
                waiting[neighbour] = min(waiting.get(neighbour, passed), passed)
    return deciding


def _extremes(alignment: Alignment, levels: Mapping[int, float], sign: float) -> Iterator[int]:
    """Nodes no lower (``sign`` 1) or no higher (-1) than all their neighbours; of adjacent nodes at equal level only
    the first.
    """
    for end in alignment.graph:
        level = sign * levels[end]
        neighbours = list(alignment.graph[end])
        if neighbours and all(
            level > sign * levels[neighbour] + 1e-9 or (level >= sign * levels[neighbour] - 1e-9 and end < neighbour)
            for neighbour in neighbours
        ):
            yield end


def _dens(
    tunnels: Tunnels, alignment: Alignment, inverts: Mapping[int, float], highest: Mapping[int, float], ground: Terrain
) -> dict[str, tuple[Entry, ...]]:
    above, air, cover, ports = [], [], [], []
    for index, node in enumerate(tunnels.nodes):
        runs = [run for run in alignment.runs if index in run.ends]
        if node.kind != "chamber" or not runs:
            continue
        floor = inverts[index]
        ports.append(entry(pipe_formulas.counted, node.name, places=[1.0] * len(runs)))
        if index in highest:
            above.append(
                entry(
                    relations.den_above_highest,
                    node.name,
                    source=USER,
                    floor_level=floor,
                    highest_water=highest[index],
                )
            )
        if node.size:
            air.append(_air(node, floor, highest.get(index, floor)))
            ground_level = ground.level_at(alignment.places[index])
            cover.append(
                entry(
                    relations.den_lid_cover,
                    node.name,
                    source=USER,
                    ground_level=ground_level,
                    floor_level=floor,
                    height=node.size[2],
                )
            )
    return {
        "den_above_highest": tuple(above),
        "den_air": tuple(air),
        "den_lid_cover": tuple(cover),
        "den_ports": tuple(ports),
    }


def _flooded(tunnels: Tunnels, water: Mapping[int, float], inverts: Mapping[int, float]) -> Iterator[Problem]:
    for index, node in enumerate(tunnels.nodes):
        if node.kind == "chamber" and index in water and (deep := water[index] - inverts[index]) > CAUGHT:
            yield Problem(
                ("tunnels", "nodes", index, "at"),
                words(
                    f"the floor of den '{node.name}' lies {{deep}} under the water at rest, which comes in",
                    deep=(deep, LENGTH),
                ),
                words("a floor above the highest water, or a passage that rises above it on its way"),
                words("raise the den, or lead the passage over a place above the water"),
            )


def _air(node: Node, floor: float, water: float) -> Entry:
    assert node.size is not None
    length, width, height = node.size
    notes = [] if node.vent else [warn.DEN_WITHOUT_VENT()]
    return entry(
        relations.den_air,
        node.name,
        source=USER,
        cautions=notes,
        length=length,
        width=width,
        height=height,
        floor_level=floor,
        water_level=max(water, floor),
    )


@dataclass(frozen=True, eq=False)
class WatertightJoints(Result):
    """Watertight pipe and joints outside the liner. Subjects are a run, a node, or "run, coupling 2".

    Attributes:
        seal_line: Watertight line: level up to which joints are sealed, at each node that water may reach [m].
        marks: (subject, place on the site [m]) of each joint that must be watertight.
    """

    vessel_length: tuple[Entry, ...]
    joint_below_seal_line: tuple[Entry, ...]
    sealed_joint_count: Entry | None
    seal_line: dict[int, float]
    marks: tuple[tuple[str, Spot], ...]


def watertight_joints(
    tunnels: Tunnels, alignment: Alignment, cuts: Sequence[RunCut], rise: float, sound: bool
) -> WatertightJoints:
    """Pipe and joints that must be watertight.

    Args:
        tunnels: Inputs of the tunnels.
        alignment: Their alignment.
        cuts: Cuts of the runs, for the couplings inside long ones.
        rise: Height of the highest water above the level at rest [m].
        sound: False if some run has a problem; nothing is counted then.
    """
    waters = highest_waters(alignment, 0.0)
    extra = rise + tunnels.seal_margin
    vessel, joints, marks = [], [], []
    for run in alignment.runs:
        water = waters.get(run.ends[0])
        if water is not None and (outside := run.outside()):
            half = run.pipe.outside / 2
            if (below := run.below(water + extra + half, outside)) > 0:
                vessel.append(entry(relations.vessel_length, run.name, source=USER, length_below=below))
    for subject, place, outside_diameter, water in _joints(tunnels, alignment, cuts, waters):
        figure = entry(
            relations.joint_below_seal_line,
            subject,
            source=USER,
            water_level=water,
            water_rise=rise,
            seal_margin=tunnels.seal_margin,
            joint_level=place[2],
            outside_diameter=outside_diameter,
        )
        joints.append(figure)
        if figure.value > 0:
            marks.append((subject, place))
    return WatertightJoints(
        vessel_length=tuple(vessel),
        joint_below_seal_line=tuple(joints),
        sealed_joint_count=entry(pipe_formulas.counted, "", places=[1.0] * len(marks)) if sound else None,
        seal_line={node: water + extra for node, water in waters.items()},
        marks=tuple(marks),
    )


def _joints(
    tunnels: Tunnels, alignment: Alignment, cuts: Sequence[RunCut], waters: dict[int, float]
) -> Iterator[tuple[str, Spot, float, float]]:
    """(subject, place, outside diameter, water level at rest) of every joint outside the liner that water may reach."""
    ending: dict[int, list[tuple[RunAlignment, int]]] = {}
    for run in alignment.runs:
        for side, node in enumerate(run.ends):
            ending.setdefault(node, []).append((run, side))
    for node, runs in sorted(ending.items()):
        drawn_node = tunnels.nodes[node]
        if drawn_node.kind != "mouth" and node in waters and not any(run.holds(side) for run, side in runs):
            wide = max(run.pipe.outside for run, _ in runs)
            yield drawn_node.name, alignment.places[node], wide, waters[node]
    couplings = {cut.length.subject: cut.joints for cut in cuts}
    for run in alignment.runs:
        count = couplings.get(run.name, 0)
        if not count or run.ends[0] not in waters:
            continue
        for number in range(1, count + 1):
            along = min(number * (run.pipe.stock or float(tunnels.stock_length)), run.length)
            if any(low <= along <= high for low, high in run.outside()):
                name = f"{run.name}, coupling {number}"
                yield name, at(run.line, along), run.pipe.outside, waters[run.ends[0]]
