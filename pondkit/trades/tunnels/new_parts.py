"""Starting values of new nodes, runs and measured fittings: a mouth in the face, a dry den, pipe between them."""

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

SPARE = 0.03  # m: submergence of a mouth's crown at the lowest water
DRY = 0.15  # m: height of a new den's floor above the highest water
ALONG = 0.04  # rise per level distance of pipe away from the pool
NEXT = 1.8  # m: distance of a new node from the last one
DEN_AWAY = 2.4  # m: distance of a new den from the node it is connected to
OFF, SIDES = 0.4, 24  # m from mouth to mouth, and number of directions tried round a pool
DEN = (("26 in", "20 in", "16 in"), ("65 cm", "50 cm", "40 cm"))
FITTINGS = ("elbow 90", "elbow 45", "elbow 22.5", "wye", "tee", "coupling", "cap", "gate", "chamber entry")
MOST = {"mouth": 1, "gate": 2, "chamber": 1, "junction": MOST_RUNS}


def new_mouth(
    tunnels: Tunnels, pools: Sequence[PoolResult], name: str, target: Spot | None, fall: float, typed: Typed
) -> Node:
    """A new mouth in the face of the nearest pool, its crown below the lowest water.

    Args:
        tunnels: Inputs of the tunnels, with the pipe for the mouth.
        pools: Those without problems.
        name: Its name.
        target: Place to aim for [m]; None for the first pool.
        fall: Greatest fall of the water below the level at rest [m].
        typed: Writes a quantity as text.
    Raises: Refused if there is no pool.
    """
    if not pools:
        raise Refused("A mouth opens into a pool: draw a pool first.")
    pool = min(pools, key=lambda one_pool: _away(one_pool, target)) if target else pools[0]
    surface = pool.surfaces.finished
    outline = surface.surface.pool
    pipe = pipe_of(tunnels)
    outside = pipe.outside if pipe else 0.1
    deep = fall + outside / 2 + SPARE
    faces = [(max(upper, 0.0), min(lower, outline.reached)) for upper, lower, _ in outline.profile.faces if lower > 0]
    # In the first face that is deep enough; if none is, in the middle of the deepest.
    upper, lower = next(((up, low) for up, low in faces if low - outside / 2 > deep), max(faces, key=lambda f: f[1]))
    depth = max(deep, upper + outside / 4)
    depth = min(depth, max(lower - outside / 4, (upper + lower) / 2))
    place = _free_side(surface, target, surface.inward_at(depth), tunnels.nodes)
    values = {
        "name": name,
        "kind": "mouth",
        "at": [*typed.place(place, 0.01), typed.small(surface.level - depth, 0.25)],
    }
    return Node.model_validate(values, by_name=True, context={"units": typed.system})


def _away(pool: PoolResult, place: Spot) -> float:
    spot, _ = nearest_on(pool.surfaces.finished, place, 0.0)
    return math.dist(spot, place)


def _free_side(surface: SiteSurface, target: Spot | None, inward: float, nodes: Sequence[Node]) -> Spot:
    """The place at that distance inward which faces the place aimed for, or west; further round if a node is near."""
    x, y, radius = surface.circle
    toward = math.pi if target is None else math.atan2(target[1] - y, target[0] - x)
    far = radius + 1.0 if target is None else max(math.dist((x, y), target), 0.1)
    spot = x, y
    for number in range(SIDES):
        turn = toward + (number + 1) // 2 * (1 if number % 2 else -1) * 2 * math.pi / SIDES
        spot, _ = nearest_on(surface, (x + far * math.cos(turn), y + far * math.sin(turn)), inward)
        if all(math.dist(spot, node.at[:2]) >= OFF for node in nodes):
            break
    return spot


def way_out(pools: Sequence[PoolResult], place: Spot, far: float) -> Spot:
    """The place at a distance from another, directly away from the nearest pool [m]."""
    if not pools:
        return place[0] - far, place[1]
    surface = min(pools, key=lambda pool: _away(pool, place)).surfaces.finished
    spot, _ = nearest_on(surface, place, 0.0)
    from_, to = (place, spot) if surface.holds(place) else (spot, place)
    if math.dist(from_, to) < 1e-6:
        from_, to = surface.pole, place
    apart = math.dist(from_, to) or 1.0
    return place[0] + far * (to[0] - from_[0]) / apart, place[1] + far * (to[1] - from_[1]) / apart


def new_node(last: Node | None, name: str, place: Spot, typed: Typed) -> Node:
    """A new junction at a place, slightly above the node before it so that the pipe falls to the pool."""
    level = 0.0 if last is None else float(last.at[2]) + ALONG * math.dist(place, last.at[:2])
    values = {"name": name, "kind": "junction", "at": [*typed.place(place, 0.01), typed.small(level, 0.25)]}
    return Node.model_validate(values, by_name=True, context={"units": typed.system})


def den_level(tunnels: Tunnels, pools: Sequence[PoolResult], rise: float, groundwater: float | None) -> float:
    """Level of the pipe's centre at a new den, whose floor stays above the highest water and the groundwater."""
    pipe = pipe_of(tunnels)
    waters = [pool.surfaces.finished.level + rise for pool in pools] + ([] if groundwater is None else [groundwater])
    return max(waters, default=0.0) + DRY + (pipe.outside if pipe else 0.1) / 2


def new_den(tunnels: Tunnels, name: str, place: Spot, level: float, typed: Typed) -> Node:
    """A new vented den at a place, its pipe at a level [m], with ballast for saturated ground."""
    values = {
        "name": name,
        "kind": "chamber",
        "at": [*typed.place(place, 0.01), typed.small(level, 0.25, math.ceil)],
        "size": DEN[0 if typed.system == "us" else 1],
        "vent": True,
    }
    den = Node.model_validate(values, by_name=True, context={"units": typed.system})
    assert den.size is not None
    outside = math.prod(float(side) + 2 * float(den.wall) for side in den.size)
    values["ballast"] = typed.mass(float(tunnels.uplift_safety) * densest_water()[0] * outside)
    return Node.model_validate(values, by_name=True, context={"units": typed.system})


def open_runs(tunnels: Tunnels) -> list[Run]:
    """Runs that may be added next, the likeliest first: from the newest node with a free end to the nearest others."""
    count = {node.name: 0 for node in tunnels.nodes}
    for run in tunnels.runs:
        for end in (run.from_, run.to):
            count[end] = count.get(end, 0) + 1
    connected = {frozenset((run.from_, run.to)) for run in tunnels.runs}
    free = [node for node in tunnels.nodes if count[node.name] < MOST[node.kind]]
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
    """A fitting still to be measured, with the table's size as a starting value.

    Raises: Refused if all fittings are listed already.
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
