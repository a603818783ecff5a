"""What fitting the bends does to the line, as figures: how far it moves, where its nodes come to lie, what must pass which bend."""

import math
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.result import Result
from pondkit.core.units import LENGTH
from pondkit.geometry.thread import Spot
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import relations as rel
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.joins import Move
from pondkit.trades.tunnels.laying import Laying

SEEN = 1e-3  # m: a move of less is none


@dataclass(frozen=True, eq=False)
class Bends(Result):
    """The bends as fittings make them. Subjects are nodes.

    Attributes:
        set_aside: (name, place as drawn, place as it is set [m]) of each node that fittings move.
    """

    line_move: tuple[Entry, ...]
    node_moved: tuple[Entry, ...]
    sharpest_bend: Entry | None
    tightest_branch: Entry | None
    set_aside: tuple[tuple[str, Spot, Spot], ...]


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
    aside = tuple(
        (node.name, old, new)
        for node, old, new in zip(tunnels.nodes, laid.drawn, laid.places, strict=True)
        if math.dist(old, new) > SEEN
    )
    return Bends(
        line_move=tuple(moved),
        node_moved=tuple(_moved(*each) for each in aside),
        sharpest_bend=_sharpest(elbows),
        tightest_branch=_sharpest(branches),
        set_aside=aside,
    )


def _figure(name: str, move: Move) -> Entry:
    turn = move.turn
    if turn.turned:
        return entry(rel.turn_move, name, source=USER, far=move.far, bend=move.bend, made=move.bend + turn.turned)
    return entry(rel.shift_move, name, source=USER, spacing=turn.spacing, aside=turn.aside)


def _moved(name: str, old: Spot, new: Spot) -> Entry:
    east, north, up = (b - a for a, b in zip(old, new, strict=True))
    note = warn.NODE_SET_ASIDE(node=name, x=(new[0], LENGTH), y=(new[1], LENGTH), z=(new[2], LENGTH))  # fmt: skip
    return entry(rel.node_moved, name, source=USER, cautions=[note], east=east, north=north, up=up)


def _sharpest(found: dict[str, float]) -> Entry | None:
    if not found:
        return None
    return entry(rel.sharpest_bend, max(found, key=lambda name: found[name]), bends=list(found.values()))
