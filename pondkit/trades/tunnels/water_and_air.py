"""Water and air in the passages: full, part full and dry pipe, air pockets and trapped water, dens; the water that pipe
and dens displace or hold; and the pipe and joints outside the liner that must be watertight.

Water passes a node once it stands above the pipe's invert there. ``highest`` is the level of the highest water while
the pond runs; at rest is the level entered for each pool.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, entry, total
from pondkit.core.result import Problem, Result
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH, VOLUME
from pondkit.geometry.line_intersection import Spot, at
from pondkit.geometry.terrain import Terrain
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import formulas as relations
from pondkit.trades.tunnels.alignment import Alignment
from pondkit.trades.tunnels.cuts import RunCut
from pondkit.trades.tunnels.inputs import Node, Tunnels
from pondkit.trades.tunnels.network import mouths_by_water, reached
from pondkit.trades.tunnels.runs import UPRIGHT, PoolLevels, RunAlignment

CAUGHT = 1e-3  # m: high and low places that differ by less catch nothing


@dataclass(frozen=True, eq=False)
class WaterAndAir(Result):
    """Water and air in the passages. Subjects are a run and a water level ("mouth – den, at rest"), a run, or a node.

    Attributes:
        states: (name, height above the level at rest [m]) of the three water levels: lowest, at rest, highest.
        flooded: Problems of dens with water in them at rest; they change no quantity.
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
    tunnels: Tunnels, alignment: Alignment, inverts: Mapping[int, float], ground: Terrain, fall: float, rise: float
) -> WaterAndAir:
    """Water and air in the passages at the lowest water, at rest, and at the highest.

    Args:
        tunnels: Inputs of the tunnels.
        alignment: Their alignment.
        inverts: Invert level at each node [m].
        ground: Existing ground in site axes.
        fall, rise: Greatest fall of all pools below, and rise above, their level at rest [m].
    """
    states = (("lowest", -fall), ("at rest", 0.0), ("highest", rise))
    highest = highest_waters(alignment, rise)
    return WaterAndAir(
        run_filled=tuple(figure for state in states for figure in _filled_shares(alignment, inverts, *state)),
        fall_to_pool=tuple(_falls_to_pool(tunnels, alignment)),
        air_pocket=tuple(_air_pockets(tunnels, alignment, highest)),
        water_trap=tuple(_water_traps(tunnels, alignment, inverts)),
        **_den_figures(tunnels, alignment, inverts, highest, ground),
        states=states,
        flooded=tuple(_flooded_dens(tunnels, water_levels(alignment, inverts, 0.0), inverts)),
    )


def water_levels(alignment: Alignment, sills: Mapping[int, float], above_rest: float) -> dict[int, float]:
    """Level of the water that reaches each node [m]; of several pools the highest. Dry nodes are left out.

    Args:
        alignment: Alignment of the passages.
        sills: Level above which water passes each node [m].
        above_rest: Height of the water in all pools above their level at rest [m].
    """
    levels: dict[int, float] = {}
    for at_rest, mouths in sorted(mouths_by_water(alignment.outlets).items()):
        water = at_rest + above_rest
        levels |= dict.fromkeys(reached(alignment.graph, mouths, sills, water), water)
    return levels


def highest_waters(alignment: Alignment, above_rest: float) -> dict[int, float]:
    """Highest water of the pools that each node is connected to, however high the passage rises on the way [m]. Nodes
    connected to no pool are left out.
    """
    import networkx as nx

    waters, highest = mouths_by_water(alignment.outlets), dict[int, float]()
    for part in nx.connected_components(alignment.graph) if waters else ():
        levels = [at_rest for at_rest, mouths in waters.items() if not part.isdisjoint(mouths)]
        if levels:
            highest |= dict.fromkeys(part, max(levels) + above_rest)
    return highest


def _filled_shares(alignment: Alignment, inverts: Mapping[int, float], name: str, above_rest: float) -> Iterator[Entry]:
    """Share of each run that is full of water, at one water level with its name."""
    water = water_levels(alignment, inverts, above_rest)
    for run in alignment.runs:
        subject = f"{run.name}, {name}"
        levels = [water[node] for node in run.nodes if node in water]
        if not levels:
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
            water_level=max(levels),
        )


def _falls_to_pool(tunnels: Tunnels, alignment: Alignment) -> Iterator[Entry]:
    """Fall of each run towards the mouth in a pool that is nearest along the runs."""
    import networkx as nx

    mouths = {outlet.node for outlet in alignment.outlets if outlet.pool is not None}
    if not mouths:
        return
    distance = nx.multi_source_dijkstra_path_length(alignment.graph, mouths, weight="length")
    for run in alignment.runs:
        first, last = run.nodes
        level_distance = math.dist(run.start[:2], run.end[:2])
        if first not in distance or level_distance < UPRIGHT:
            continue
        near_level, far_level = run.start[2], run.end[2]
        if distance[first] > distance[last]:
            near_level, far_level = far_level, near_level
        fall = (far_level - near_level) / level_distance + 1e-9  # a run just at the limit passes
        yield entry(
            relations.fall_to_pool,
            run.name,
            source=USER,
            cautions=warn.RUN_FALLS_AWAY.where(fall, fall, fall)
            or warn.RUN_TOO_FLAT.where(fall, fall, fall, least=float(tunnels.least_fall)),
            far_level=far_level,
            near_level=near_level,
            level_distance=level_distance,
        )


def _air_pockets(tunnels: Tunnels, alignment: Alignment, highest: Mapping[int, float]) -> Iterator[Entry]:
    """Height of each high place from which air cannot escape once the highest water closes the pipe below it."""
    levels = {node: place[2] for node, place in enumerate(alignment.places)}
    open_air = [node for node in alignment.graph if tunnels.nodes[node].kind == "mouth" or tunnels.nodes[node].vent]
    bores = alignment.bores()
    escapes = controlling_levels(alignment, open_air, levels, up=False)
    for node in _extremes(alignment, levels, 1.0):
        escape_level = escapes.get(node)
        if node in open_air or node not in highest or escape_level is None:
            continue
        if levels[node] - escape_level > CAUGHT and escape_level + bores[node] / 2 < highest[node]:
            yield entry(
                relations.air_pocket,
                tunnels.nodes[node].name,
                source=USER,
                node_level=levels[node],
                escape_level=escape_level,
            )


def _water_traps(tunnels: Tunnels, alignment: Alignment, inverts: Mapping[int, float]) -> Iterator[Entry]:
    """Depth of each low place from which water and dirt do not drain to a mouth."""
    mouths = [node for node in alignment.graph if tunnels.nodes[node].kind == "mouth"]
    spills = controlling_levels(alignment, mouths, inverts, up=True)
    for node in _extremes(alignment, inverts, -1.0):
        spill_level = spills.get(node)
        if node not in mouths and spill_level is not None and spill_level - inverts[node] > CAUGHT:
            yield entry(
                relations.water_trap,
                tunnels.nodes[node].name,
                source=USER,
                spill_level=spill_level,
                invert_level=inverts[node],
            )


def controlling_levels(
    alignment: Alignment, outlets: Iterable[int], levels: Mapping[int, float], *, up: bool
) -> dict[int, float]:
    """Controlling level of the best route from each node to any of the outlets [m].

    With ``up`` (for water) the best route is that which climbs least, and its highest place controls. Without it (for
    air) it is that which dips least, and its lowest place controls. Nodes are taken in the order of that level, as a
    shortest-path search takes them in the order of distance; networkx would add the levels up instead.

    Args:
        alignment: Alignment of the passages.
        outlets: Nodes where water or air leaves the passages.
        levels: Level of each node [m].
        up: True for water, False for air.
    """
    sign = 1.0 if up else -1.0
    controlling: dict[int, float] = {}
    waiting = {node: sign * levels[node] for node in outlets}
    while waiting:
        node = min(waiting, key=lambda each: waiting[each])
        height = waiting.pop(node)
        controlling[node] = sign * height
        for neighbour in alignment.graph[node]:
            if neighbour not in controlling:
                passed = max(height, sign * levels[neighbour])
                waiting[neighbour] = min(waiting.get(neighbour, passed), passed)
    return controlling


def _extremes(alignment: Alignment, levels: Mapping[int, float], sign: float) -> Iterator[int]:
    """Nodes no lower (``sign`` 1) or no higher (-1) than all their neighbours; of neighbours at one level the first."""
    for node in alignment.graph:
        level = sign * levels[node]
        neighbours = list(alignment.graph[node])
        if neighbours and all(
            level > sign * levels[neighbour] + 1e-9 or (level >= sign * levels[neighbour] - 1e-9 and node < neighbour)
            for neighbour in neighbours
        ):
            yield node


def _den_figures(
    tunnels: Tunnels, alignment: Alignment, inverts: Mapping[int, float], highest: Mapping[int, float], ground: Terrain
) -> dict[str, tuple[Entry, ...]]:
    """Figures of the dens with a run, by their key: floor above the highest water, air, cover of the lid, ports."""
    above_highest, den_air, lid_cover, ports = [], [], [], []
    for index, node in enumerate(tunnels.nodes):
        runs = [run for run in alignment.runs if index in run.nodes]
        if node.kind != "chamber" or not runs:
            continue
        floor = inverts[index]
        ports.append(entry(relations.counted, node.name, places=[1.0] * len(runs)))
        if index in highest:
            above_highest.append(
                entry(
                    relations.den_above_highest,
                    node.name,
                    source=USER,
                    floor_level=floor,
                    highest_water=highest[index],
                )
            )
        if node.size:
            den_air.append(_den_air(node, floor, highest.get(index, floor)))
            lid_cover.append(
                entry(
                    relations.den_lid_cover,
                    node.name,
                    source=USER,
                    ground_level=ground.level_at(alignment.places[index]),
                    floor_level=floor,
                    height=node.size[2],
                )
            )
    return {
        "den_above_highest": tuple(above_highest),
        "den_air": tuple(den_air),
        "den_lid_cover": tuple(lid_cover),
        "den_ports": tuple(ports),
    }


def _flooded_dens(tunnels: Tunnels, water: Mapping[int, float], inverts: Mapping[int, float]) -> Iterator[Problem]:
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


def _den_air(node: Node, floor: float, highest_water: float) -> Entry:
    assert node.size is not None
    length, width, height = node.size
    return entry(
        relations.den_air,
        node.name,
        source=USER,
        cautions=[] if node.vent else [warn.DEN_WITHOUT_VENT()],
        length=length,
        width=width,
        height=height,
        floor_level=floor,
        water_level=max(highest_water, floor),
    )


def displaced_water(
    tunnels: Tunnels, alignment: Alignment, pools: Sequence[PoolLevels], inverts: Mapping[int, float]
) -> Iterator[Entry]:
    """Volume that pipe and dens displace in each pool: the walls of pipe that water enters, the whole of pipe and dens
    that stay dry.
    """
    wet = alignment.wet_nodes()
    for index, pool in enumerate(pools):
        parts: list[Entry] = []
        dens: set[int] = set()
        for run in alignment.runs:
            dry = run.nodes[0] not in wet
            if in_water := dict(run.wet).get(index):
                parts.append(_pipe_displaced(run, in_water, dry))
            dens |= {
                end for end, pool_there in zip(run.nodes, run.end_pools, strict=True) if dry and pool_there == index
            }
        for end in sorted(dens):
            node = tunnels.nodes[end]
            if node.kind == "chamber" and node.size:
                length, width, height = node.size
                parts.append(
                    entry(
                        relations.chamber_displaced,
                        node.name,
                        source=USER,
                        length=length,
                        width=width,
                        height=height,
                        wall=node.wall,
                        water_level=pool.level,
                        floor_level=inverts[end],
                    )
                )
        if parts:
            yield total(pool.name, parts, VOLUME)


def _pipe_displaced(run: RunAlignment, length: float, dry: bool) -> Entry:
    pipe, outside = run.pipe, run.pipe.outside
    if dry:
        return entry(
            relations.sealed_volume, run.name, source=pipe.source, outside_diameter=outside, length_in_water=length
        )
    return entry(
        relations.wall_volume,
        run.name,
        source=pipe.source,
        outside_diameter=outside,
        bore=pipe.bores,
        length_in_water=length,
    )


def water_in_buried_runs(alignment: Alignment) -> list[Entry]:
    """Volume of water in the buried pipe of each run, at rest; of several pools that reach it, at the highest level."""
    inverts = alignment.inverts()
    floods: dict[int, float] = {}
    for water, mouths in sorted(mouths_by_water(alignment.outlets).items()):
        reach = reached(alignment.graph, mouths, inverts, water)
        floods |= {number: water for number, run in enumerate(alignment.runs) if not reach.isdisjoint(run.nodes)}
    volumes = []
    for number, run in enumerate(alignment.runs):
        if number in floods and (length := run.buried_below(floods[number])) > 0:
            source, bore = run.pipe.source, run.pipe.bores
            volumes.append(entry(relations.flooded_volume, run.name, source=source, bore=bore, flooded_length=length))
    return volumes


@dataclass(frozen=True, eq=False)
class WatertightJoints(Result):
    """Pipe and joints outside the liner that must be watertight. Subjects are a run, a node, or a coupling inside a run
    ("mouth – den, coupling 2").

    Attributes:
        watertight_line: Level up to which pipe and joints are sealed, at each node connected to a pool [m].
        marks: (subject, place on the site [m]) of each joint that must be watertight.
    """

    vessel_length: tuple[Entry, ...]
    joint_below_seal_line: tuple[Entry, ...]
    sealed_joint_count: Entry | None
    watertight_line: dict[int, float]
    marks: tuple[tuple[str, Spot], ...]


def watertight_joints(
    tunnels: Tunnels, alignment: Alignment, cuts: Sequence[RunCut], rise: float, sound: bool
) -> WatertightJoints:
    """Pipe and joints outside the liner that must be watertight: those below the highest water and the seal margin.

    Args:
        tunnels: Inputs of the tunnels.
        alignment: Their alignment.
        cuts: Cuts of the runs, for the couplings inside long ones.
        rise: Height of the highest water above the level at rest [m].
        sound: False if some run has a problem; then the joints are not counted.
    """
    waters = highest_waters(alignment, 0.0)
    above_rest = rise + tunnels.seal_margin
    lengths, joints, marks = [], [], []
    for run in alignment.runs:
        water = waters.get(run.nodes[0])
        if water is not None and (outside := run.outside_liners()):
            half = run.pipe.outside / 2  # the underside counts, the line is the centre's
            if (below := run.length_below(water + above_rest + half, outside)) > 0:
                lengths.append(entry(relations.vessel_length, run.name, source=USER, length_below=below))
    for subject, place, outside_diameter, water in _joints_outside(tunnels, alignment, cuts, waters):
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
        vessel_length=tuple(lengths),
        joint_below_seal_line=tuple(joints),
        sealed_joint_count=entry(relations.counted, "", places=[1.0] * len(marks)) if sound else None,
        watertight_line={node: water + above_rest for node, water in waters.items()},
        marks=tuple(marks),
    )


def _joints_outside(
    tunnels: Tunnels, alignment: Alignment, cuts: Sequence[RunCut], waters: Mapping[int, float]
) -> Iterator[tuple[str, Spot, float, float]]:
    """(subject, place, outside diameter, water level at rest) [m] of each joint outside the liner and connected to a
    pool.

    Couplings are taken to stand a stock length apart, counted from the start of the run: to a few centimetres.
    """
    runs_at: dict[int, list[tuple[RunAlignment, int]]] = {}
    for run in alignment.runs:
        for side, node in enumerate(run.nodes):
            runs_at.setdefault(node, []).append((run, side))
    for node, runs in sorted(runs_at.items()):
        input_node = tunnels.nodes[node]
        if input_node.kind != "mouth" and node in waters and not any(run.end_above_liner(side) for run, side in runs):
            widest = max(run.pipe.outside for run, _ in runs)
            yield input_node.name, alignment.places[node], widest, waters[node]
    couplings = {cut.length.subject: cut.couplings for cut in cuts}
    for run in alignment.runs:
        if run.nodes[0] not in waters:
            continue
        for number in range(1, couplings.get(run.name, 0) + 1):
            station = min(number * (run.pipe.stock or float(tunnels.stock_length)), run.length)
            if any(low <= station <= high for low, high in run.outside_liners()):
                name = f"{run.name}, coupling {number}"
                yield name, at(run.line, station), run.pipe.outside, waters[run.nodes[0]]
