"""What fitting the bends does to the line: how far it moves, where its nodes come to lie, what must pass which bend."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pondkit.document.tunnels import Tunnels
from pondkit.result import Result
from pondkit.surface.thread import Spot
from pondkit.takeoff import USER, Entry, entry, words
from pondkit.tunnels import relations as rel
from pondkit.tunnels.joins import Move
from pondkit.tunnels.laying import Laying, hanging
from pondkit.units import LENGTH

Array = NDArray[np.float64]
SEEN = 1e-3  # m: a move of less is none


@dataclass(frozen=True, eq=False)
class Bends(Result):
    """The bends as fittings make them. Subjects are nodes.

    Attributes:
        fitted: Place of every node once listed fittings make all bends; mouths and penetrations have not moved [m].
    """

    line_move: tuple[Entry, ...]
    node_moved: tuple[Entry, ...]
    sharpest_bend: Entry | None
    tightest_branch: Entry | None
    fitted: tuple[Spot, ...]


def bends(tunnels: Tunnels, laid: Laying) -> Bends:
    """How far each bend moves the line, and where every node comes to lie."""
    moved = []
    elbows: dict[str, float] = {}
    branches: dict[str, float] = {}
    for node, made in laid.joins.items():
        name = tunnels.nodes[node].name
        for move in made.moves:
            if move.turn.move > SEEN:
                moved.append(_figure(name if len(made.moves) < 2 else f"{name}, leg {move.legs[1] + 1}", move))
        if made.turns and len(made.stops) == 3:
            branches[name] = made.turns[0]
            if made.turns[1:]:
                elbows[name] = max(made.turns[1:])
        elif made.turns:
            elbows[name] = max(made.turns)
    fitted = _fitted(laid)
    return Bends(
        line_move=tuple(moved),
        node_moved=tuple(
            _moved(node.name, old, new)
            for node, old, new in zip(tunnels.nodes, laid.places, fitted, strict=True)
            if math.dist(old, new) > SEEN
        ),
        sharpest_bend=_sharpest(elbows),
        tightest_branch=_sharpest(branches),
        fitted=fitted,
    )


def _figure(name: str, move: Move) -> Entry:
    turn = move.turn
    if turn.turned:
        return entry(rel.turn_move, name, source=USER, far=move.far, bend=move.bend, made=move.bend + turn.turned)
    return entry(rel.shift_move, name, source=USER, spacing=turn.spacing, aside=turn.aside)


def _moved(name: str, old: Spot, new: Spot) -> Entry:
    east, north, up = (b - a for a, b in zip(old, new, strict=True))
    note = words("Set '" + name + "' at {x} east, {y} north, {z} above the datum.", x=(new[0], LENGTH), y=(new[1], LENGTH), z=(new[2], LENGTH))  # fmt: skip
    return entry(rel.node_moved, name, source=USER, cautions=[note], east=east, north=north, up=up)


def _sharpest(found: dict[str, float]) -> Entry | None:
    if not found:
        return None
    return entry(rel.sharpest_bend, max(found, key=lambda name: found[name]), bends=list(found.values()))


def _fitted(laid: Laying) -> tuple[Spot, ...]:
    """Places of all nodes with every bend made: what hangs on a bend is turned or shifted as one, one bend after the other."""
    places: list[Array] = [np.array(place) for place in laid.places]
    along = [np.subtract(run.end, run.start) / run.length for run in laid.runs]
    joined: dict[int, list[int]] = {}
    for number, run in enumerate(laid.runs):
        for end in run.leg.ends:
            joined.setdefault(end, []).append(number)
    for node, made in laid.joins.items():
        for move in made.moves:
            if move.turn.move > 0:
                fixed, led = (joined[node][leg] for leg in move.legs)
                _apply(laid, node, fixed, led, move, places, along, joined)
    return tuple((float(x), float(y), float(z)) for x, y, z in places)


def _apply(
    laid: Laying,
    node: int,
    fixed: int,
    led: int,
    move: Move,
    places: list[Array],
    along: list[Array],
    joined: dict[int, list[int]],
) -> None:
    side = hanging(node, laid.runs[led], joined, laid.runs)
    into = along[fixed] * (1.0 if laid.runs[fixed].leg.ends[1] == node else -1.0)
    out = along[led] * (1.0 if laid.runs[led].leg.ends[0] == node else -1.0)
    normal = np.cross(into, out)
    size = float(np.linalg.norm(normal))
    if side is None or size < 1e-9:
        return
    normal = normal / size
    if not move.turn.turned:
        shift = normal * move.turn.move * (1.0 if normal[2] >= 0 else -1.0)  # rather up than down
        for other in side:
            places[other] = places[other] + shift
        return
    turn = _turning(normal, math.radians(move.turn.turned))
    for other in side:
        places[other] = places[node] + turn @ (places[other] - places[node])
    for number, run in enumerate(laid.runs):
        if number == led or (set(run.leg.ends) & side):
            along[number] = turn @ along[number]


def _turning(axis: Array, by: float) -> Array:
    """Matrix of a turn about a unit vector [radians]: Rodrigues' formula."""
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.asarray(np.eye(3) + math.sin(by) * cross + (1 - math.cos(by)) * cross @ cross)
