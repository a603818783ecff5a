"""Starting values of nodes, runs and measured fittings that the person adds: a mouth in the face, a dry den, pipe."""

import math
from collections.abc import Sequence

from pondkit.core.refusal import Refused
from pondkit.core.tables import densest_water
from pondkit.core.units import Typed
from pondkit.geometry.room import Spot, nearest_on
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.tunnels.inputs import Fitting, Node, Run, Tunnels
from pondkit.trades.tunnels.joints import MOST_RUNS, centre_to_stop, pipe_of

# None of these is a standard: each is a starting value that the person changes.
MOUTH_CROWN_UNDER = 0.03  # m: submergence of a mouth's crown at the lowest water
DEN_FLOOR_ABOVE = 0.15  # m: height of a den's floor above the highest water
RISE_AWAY = 0.04  # rise per level distance of pipe away from the pool
NODE_DISTANCE = 1.8  # m: from the last node
DEN_DISTANCE = 2.4  # m: from the node that it is connected to
NODES_APART = 0.4  # m: least distance of a mouth from other nodes
DIRECTIONS = 24  # tried round a pool
OUTSIDE_UNKNOWN = 0.1  # m: outside diameter taken for an own pipe that is not listed
DEN_SIZE = {"us": ("26 in", "20 in", "16 in"), "si": ("65 cm", "50 cm", "40 cm")}  # inside length, width, height
FITTINGS = ("elbow 90", "elbow 45", "elbow 22.5", "wye", "tee", "coupling", "cap", "gate", "chamber entry")
# A node with so many runs is not offered another; a den may have more than one, where the person draws them.
OFFERED_RUNS = {"mouth": 1, "gate": 2, "chamber": 1, "junction": MOST_RUNS}


def new_mouth(
    tunnels: Tunnels, pools: Sequence[PoolResult], name: str, target: Spot | None, fall: float, typed: Typed
) -> Node:
    """A new mouth in the face of a pool, its crown below the lowest water.

    It lies in the first face deep enough for that; if none is, in the middle of the deepest.

    Args:
        tunnels: Inputs of the tunnels, with the pipe for the mouth.
        pools: Pools without problems.
        name: Its name.
        target: Place to aim for, in the nearest pool [m]; None for the west side of the first pool.
        fall: Greatest fall of the water below the level at rest [m].
        typed: Writes a quantity as text.
    Raises: Refused if there is no pool.
    """
    if not pools:
        raise Refused("A mouth opens into a pool: draw a pool first.")
    pool = min(pools, key=lambda one_pool: _distance(one_pool, target)) if target else pools[0]
    surface = pool.surfaces.finished
    outline = surface.surface.pool
    outside = _pipe_outside(tunnels)
    centre_depth = fall + outside / 2 + MOUTH_CROWN_UNDER
    faces = [(max(upper, 0.0), min(lower, outline.reached)) for upper, lower, _ in outline.profile.faces if lower > 0]
    deep_enough = ((top, bottom) for top, bottom in faces if bottom - outside / 2 > centre_depth)
    upper, lower = next(deep_enough, max(faces, key=lambda face: face[1]))
    depth = max(centre_depth, upper + outside / 4)
    depth = min(depth, max(lower - outside / 4, (upper + lower) / 2))
    place = _place_on_face(surface, target, surface.inward_at(depth), tunnels.nodes)
    values = {
        "name": name,
        "kind": "mouth",
        "at": [*typed.place(place, 0.01), typed.small(surface.level - depth, 0.25)],
    }
    return Node.model_validate(values, by_name=True, context={"units": typed.system})


def _pipe_outside(tunnels: Tunnels) -> float:
    """Outside diameter of the pipe for new nodes [m]."""
    pipe = pipe_of(tunnels)
    return pipe.outside if pipe else OUTSIDE_UNKNOWN


def _distance(pool: PoolResult, place: Spot) -> float:
    """Distance from a place to a pool's outline [m]."""
    spot, _ = nearest_on(pool.surfaces.finished, place, 0.0)
    return math.dist(spot, place)


def _place_on_face(surface: SiteSurface, target: Spot | None, inward: float, nodes: Sequence[Node]) -> Spot:
    """The place at a distance inward from the outline that faces the target, or west; the nearest further round if a
    node is too near [m].
    """
    x, y, radius = surface.circle
    towards = math.pi if target is None else math.atan2(target[1] - y, target[0] - x)
    distance = radius + 1.0 if target is None else max(math.dist((x, y), target), 0.1)
    spot = x, y
    for number in range(DIRECTIONS):
        # To either side in turn, further each time.
        direction = towards + (number + 1) // 2 * (1 if number % 2 else -1) * 2 * math.pi / DIRECTIONS
        spot, _ = nearest_on(surface, (x + distance * math.cos(direction), y + distance * math.sin(direction)), inward)
        if all(math.dist(spot, node.at[:2]) >= NODES_APART for node in nodes):
            break
    return spot


def away_from_pools(pools: Sequence[PoolResult], place: Spot, distance: float) -> Spot:
    """The place at a distance from another, straight away from the nearest pool [m]; west if there is no pool."""
    if not pools:
        return place[0] - distance, place[1]
    surface = min(pools, key=lambda pool: _distance(pool, place)).surfaces.finished
    spot, _ = nearest_on(surface, place, 0.0)
    from_, to = (place, spot) if surface.holds(place) else (spot, place)
    if math.dist(from_, to) < 1e-6:
        from_, to = surface.pole, place
    apart = math.dist(from_, to) or 1.0
    return place[0] + distance * (to[0] - from_[0]) / apart, place[1] + distance * (to[1] - from_[1]) / apart


def new_node(last: Node | None, name: str, place: Spot, typed: Typed) -> Node:
    """A new junction at a place, above the node before it (``last``) so that the pipe falls to the pool."""
    level = 0.0 if last is None else float(last.at[2]) + RISE_AWAY * math.dist(place, last.at[:2])
    values = {"name": name, "kind": "junction", "at": [*typed.place(place, 0.01), typed.small(level, 0.25)]}
    return Node.model_validate(values, by_name=True, context={"units": typed.system})


def den_level(tunnels: Tunnels, pools: Sequence[PoolResult], rise: float, groundwater: float | None) -> float:
    """Level of the pipe's centre at a new den, so that its floor stays above the highest water and the groundwater [m].

    Args:
        tunnels: Inputs of the tunnels.
        pools: Pools without problems.
        rise: Greatest rise of the water above the level at rest [m].
        groundwater: Highest known groundwater level [m]; None if unknown.
    """
    waters = [pool.surfaces.finished.level + rise for pool in pools] + ([] if groundwater is None else [groundwater])
    return max(waters, default=0.0) + DEN_FLOOR_ABOVE + _pipe_outside(tunnels) / 2


def new_den(tunnels: Tunnels, name: str, place: Spot, level: float, typed: Typed) -> Node:
    """A new vented den at a place, its pipe at a level [m], with ballast for the uplift of all of it under water."""
    values = {
        "name": name,
        "kind": "chamber",
        "at": [*typed.place(place, 0.01), typed.small(level, 0.25, math.ceil)],
        "size": DEN_SIZE[typed.system],
        "vent": True,
    }
    den = Node.model_validate(values, by_name=True, context={"units": typed.system})
    assert den.size is not None
    outside = math.prod(float(side) + 2 * float(den.wall) for side in den.size)
    values["ballast"] = typed.mass(float(tunnels.uplift_safety) * densest_water()[0] * outside)
    return Node.model_validate(values, by_name=True, context={"units": typed.system})


def open_runs(tunnels: Tunnels) -> list[Run]:
    """Runs that may be added next: those to a node without a run first, and of these the shortest."""
    count = {node.name: 0 for node in tunnels.nodes}
    for run in tunnels.runs:
        for end in (run.from_, run.to):
            count[end] = count.get(end, 0) + 1
    connected = {frozenset((run.from_, run.to)) for run in tunnels.runs}
    free = [node for node in tunnels.nodes if count[node.name] < OFFERED_RUNS[node.kind]]
    pairs = [
        (start_node, end_node)
        for index, end_node in enumerate(free)
        for start_node in free[:index]
        if frozenset((start_node.name, end_node.name)) not in connected
        and not start_node.kind == end_node.kind == "mouth"
    ]
    pairs.sort(key=lambda pair: (min(count[node.name] for node in pair), math.dist(pair[0].at, pair[1].at)))
    return [
        Run.model_validate({"from_": start_node.name, "to": end_node.name}, by_name=True)
        for start_node, end_node in pairs
    ]


def new_fitting(tunnels: Tunnels, typed: Typed) -> Fitting:
    """The next fitting to be measured, with the size from the table as a starting value.

    Raises: Refused if the pipe is not listed, or all its fittings are.
    """
    measured = {(size.name, size.own_pipe or size.pipe) for size in tunnels.fittings}
    pipe = pipe_of(tunnels)
    if pipe is None:
        raise Refused("The tunnels name an own pipe that is not there: choose another pipe first.")
    free = next((name for name in FITTINGS if (name, pipe.name) not in measured), None)
    if free is None:
        raise Refused("Every fitting of this pipe is listed already.")
    size = centre_to_stop(free, pipe, ()).size.typical
    values = {
        "name": free,
        "pipe": tunnels.pipe,
        "own_pipe": tunnels.own_pipe,
        "centre_to_stop": typed.small(size, 0.125 if typed.system == "us" else 0.1),
    }
    return Fitting.model_validate(values, context={"units": typed.system})
