"""Water and air in the passages: what is full, part full and dry, where air and water are caught, fall, dens."""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import networkx as nx

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.result import Problem, Result
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.geometry.uneven import Terrain
from pondkit.trades.tunnels import airs
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import relations as rel
from pondkit.trades.tunnels.inputs import Node, Tunnels
from pondkit.trades.tunnels.laying import Laying
from pondkit.trades.tunnels.net import by_water, reached_from

UPRIGHT = 1e-6  # m of level distance, below which a run has no slope
Running = tuple[float, float]
CAUGHT = 1e-3  # m: a high or low place of less is none


@dataclass(frozen=True, eq=False)
class Filling(Result):
    """Water and air. Subjects are "run, at rest", a run, or a node.

    Attributes:
        states: (name, how far the water stands over the level at rest [m]) of the three levels looked at.
        flooded: Dens in which water stands at rest: problems that change no quantity.
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


def filling(tunnels: Tunnels, laid: Laying, inverts: Mapping[int, float], ground: Terrain, running: Running) -> Filling:
    """Where water and air stand.

    Args:
        tunnels: As drawn.
        laid: The passages as they lie.
        inverts: Level of the pipe's invert at each node [m].
        ground: The ground as it is, site axes.
        running: How far water falls under, and rises over, the level at rest [m].
    """
    fall, rise = running
    states = (("lowest", -fall), ("at rest", 0.0), ("highest", rise))
    highest = joined_waters(laid, rise)
    return Filling(
        run_filled=tuple(figure for state in states for figure in _filled(laid, inverts, *state)),
        fall_to_pool=tuple(_falls(tunnels, laid)),
        air_pocket=tuple(_pockets(tunnels, laid, highest)),
        water_trap=tuple(_traps(tunnels, laid, inverts)),
        **_dens(tunnels, laid, inverts, highest, ground),
        states=states,
        flooded=tuple(_flooded(tunnels, waters(laid, inverts, 0.0), inverts)),
    )


def waters(laid: Laying, levels: Mapping[int, float], over: float) -> dict[int, float]:
    """Level of the water that reaches each node with all pools ``over`` their level at rest; dry nodes are left out.

    Args:
        laid: The passages as they lie.
        levels: Level of each node that water must stand above to pass it [m].
        over: How far the pools stand over their level at rest [m].
    """
    found: dict[int, float] = {}
    for at_rest, mouths in sorted(by_water(laid.outlets).items()):
        found |= dict.fromkeys(reached_from(laid.made, mouths, levels, at_rest + over), at_rest + over)
    return found


def joined_waters(laid: Laying, over: float) -> dict[int, float]:
    """Highest water of the pools that each node is joined to, over whatever rise; joined to none: left out."""
    waters, found = by_water(laid.outlets), dict[int, float]()
    for part in nx.connected_components(laid.made) if waters else ():
        joined = [at_rest for at_rest, mouths in waters.items() if not part.isdisjoint(mouths)]
        if joined:
            found |= dict.fromkeys(part, max(joined) + over)
    return found


def _filled(laid: Laying, inverts: Mapping[int, float], name: str, over: float) -> Iterator[Entry]:
    water = waters(laid, inverts, over)
    for lying in laid.runs:
        subject = f"{lying.leg.name}, {name}"
        stands = [water[end] for end in lying.leg.ends if end in water]
        if not stands:
            yield entry(airs.unreached, subject, reached_length=0.0, run_length=lying.length)
            continue
        yield entry(
            airs.filled_share, subject, source=lying.leg.pipe.source, start_level=lying.start[2], end_level=lying.end[2],
            run_length=lying.length, bore=lying.leg.pipe.bores, water_level=max(stands),
        )  # fmt: skip


def _falls(tunnels: Tunnels, laid: Laying) -> Iterator[Entry]:
    """Fall of each run towards the mouth in a pool that is nearest along the runs."""
    mouths = {outlet.node for outlet in laid.outlets if outlet.pool is not None}
    if not mouths:
        return
    far = nx.multi_source_dijkstra_path_length(laid.made, mouths, weight="length")
    for lying in laid.runs:
        first, last = lying.leg.ends
        level = math.dist(lying.start[:2], lying.end[:2])
        if first not in far or level < UPRIGHT:
            continue
        near_z, far_z = lying.start[2], lying.end[2]
        if far[first] > far[last]:
            near_z, far_z = far_z, near_z
        fall = (far_z - near_z) / level
        notes = warn.RUN_FALLS_AWAY.where(*[fall + 1e-9] * 3)
        notes = notes or warn.RUN_TOO_FLAT.where(*[fall + 1e-9] * 3, least=float(tunnels.least_fall))
        yield entry(
            airs.fall_to_pool,
            lying.leg.name,
            source=USER,
            cautions=notes,
            far_level=far_z,
            near_level=near_z,
            level_distance=level,
        )


def _pockets(tunnels: Tunnels, laid: Laying, highest: Mapping[int, float]) -> Iterator[Entry]:
    """High places that air cannot leave once water closes the pipe below them."""
    levels = {end: place[2] for end, place in enumerate(laid.places)}
    open_air = [end for end in laid.made if tunnels.nodes[end].kind == "mouth" or tunnels.nodes[end].vent]
    bores = _bores(laid)
    escapes = best_way(laid, open_air, levels, up=False)
    for end in _extremes(laid, levels, 1.0):
        out = escapes.get(end)
        if end in open_air or end not in highest or out is None:
            continue
        if levels[end] - out > CAUGHT and out + bores[end] / 2 < highest[end]:
            yield entry(airs.air_pocket, tunnels.nodes[end].name, source=USER, node_level=levels[end], escape_level=out)


def _traps(tunnels: Tunnels, laid: Laying, inverts: Mapping[int, float]) -> Iterator[Entry]:
    """Low places from which water and dirt do not run off."""
    mouths = [end for end in laid.made if tunnels.nodes[end].kind == "mouth"]
    overs = best_way(laid, mouths, inverts, up=True)
    for end in _extremes(laid, inverts, -1.0):
        over = overs.get(end)
        if end not in mouths and over is not None and over - inverts[end] > CAUGHT:
            yield entry(
                airs.water_trap, tunnels.nodes[end].name, source=USER, spill_level=over, invert_level=inverts[end]
            )


def best_way(laid: Laying, ends: Iterable[int], levels: Mapping[int, float], *, up: bool) -> dict[int, float]:
    """For each node the level of the place that decides on the best way to any of ``ends``.

    With ``up`` the least height that must be climbed over; else the least dip: the greatest low point. Each is found by
    taking nodes in the order of that level, as in a shortest-way search.
    """
    sign = 1.0 if up else -1.0
    found: dict[int, float] = {}
    waiting = {end: sign * levels[end] for end in ends}
    while waiting:
        node = min(waiting, key=lambda end: waiting[end])
        height = waiting.pop(node)
        found[node] = sign * height
        for other in laid.made[node]:
            if other not in found:
                passed = max(height, sign * levels[other])
                waiting[other] = min(waiting.get(other, passed), passed)
    return found


def _extremes(laid: Laying, levels: Mapping[int, float], sign: float) -> Iterator[int]:
    """Nodes no lower (``sign`` 1) or no higher (-1) than all they are joined to; of level neighbours only the first."""
    for end in laid.made:
        own = sign * levels[end]
        others = list(laid.made[end])
        if others and all(
            own > sign * levels[other] + 1e-9 or (own >= sign * levels[other] - 1e-9 and end < other)
            for other in others
        ):
            yield end


def _bores(laid: Laying) -> dict[int, float]:
    found: dict[int, float] = {}
    for lying in laid.runs:
        for end in lying.leg.ends:
            found[end] = max(found.get(end, 0.0), lying.leg.pipe.bore)
    return found


def _dens(
    tunnels: Tunnels, laid: Laying, inverts: Mapping[int, float], highest: Mapping[int, float], ground: Terrain
) -> dict[str, tuple[Entry, ...]]:
    above, air, cover, ports = [], [], [], []
    for index, node in enumerate(tunnels.nodes):
        runs = [lying for lying in laid.runs if index in lying.leg.ends]
        if node.kind != "chamber" or not runs:
            continue
        floor = inverts[index]
        ports.append(entry(rel.counted, node.name, places=[1.0] * len(runs)))
        if index in highest:
            above.append(
                entry(airs.den_above_highest, node.name, source=USER, floor_level=floor, highest_water=highest[index])
            )
        if node.size:
            air.append(_air(node, floor, highest.get(index, floor)))
            here = ground.level_at(laid.places[index])
            cover.append(
                entry(
                    airs.den_lid_cover,
                    node.name,
                    source=USER,
                    ground_level=here,
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
                words(f"the floor of den '{node.name}' lies {{deep}} under the water at rest, which comes in", deep=(deep, LENGTH)),
                words("a floor above the highest water, or a passage that rises above it on its way"),
                words("raise the den, or lead the passage over a place above the water"),
            )  # fmt: skip


def _air(node: Node, floor: float, water: float) -> Entry:
    assert node.size is not None
    length, width, height = node.size
    notes = [] if node.vent else [warn.DEN_WITHOUT_VENT()]
    return entry(
        airs.den_air, node.name, source=USER, cautions=notes, length=length, width=width, height=height, floor_level=floor,
        water_level=max(water, floor),
    )  # fmt: skip
