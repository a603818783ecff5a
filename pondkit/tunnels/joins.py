"""Which fitting joins the pipes at a node, by their number, sizes and the angles between them in space."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pondkit.surface.thread import Spot
from pondkit.takeoff import Words, words
from pondkit.tunnels.sizes import BRANCHES, ELBOWS, Pipe, angle
from pondkit.units import ANGLE

STRAIGHT = 2.0  # degrees: a bend that a coupling takes
WITHIN = 3.0  # degrees: how far a bend may lie from a listed fitting
MOST_RUNS = 3

Part = tuple[str, str]  # fitting, pipe


@dataclass(frozen=True)
class Join:
    """The fittings at one node.

    Attributes:
        counted: Subjects of ``fitting_count``, one for each fitting.
        stops: For each pipe end the (fitting, pipe) whose centre-to-stop distances it is shortened by.
        cautions: Bends that no listed fitting makes.
    """

    counted: tuple[str, ...]
    stops: tuple[tuple[Part, ...], ...]
    cautions: tuple[Words, ...] = ()


def join(name: str, kind: str, pipes: Sequence[Pipe], away: Sequence[Spot]) -> Join:
    """What joins up to three pipes.

    Args:
        name, kind: Of the node.
        pipes: Of each run that ends here.
        away: Unit vector along each run, away from the node.
    """
    if kind == "mouth" or not pipes:
        return Join((), ((),) * len(pipes))
    if kind == "chamber":
        return Join(
            tuple(f"{pipe.name} chamber entry" for pipe in pipes),
            tuple((("chamber entry", pipe.name),) for pipe in pipes),
        )
    if len(pipes) == 1:
        fitting = "gate" if kind == "gate" else "cap"
        note = () if kind == "gate" else (words(f"Node '{name}' is a blind end: counted with a cap."),)
        return Join((f"{pipes[0].name} {fitting}",), (((fitting, pipes[0].name),),), note)
    return _pair(name, kind, pipes, away) if len(pipes) == 2 else _branch(name, pipes, away)


def _pair(name: str, kind: str, pipes: Sequence[Pipe], away: Sequence[Spot]) -> Join:
    bend = _bend(away[0], away[1])
    if kind == "gate":
        notes = (
            [
                words(
                    f"A gate is straight, but at '{name}' the pipe bends {{bend}}: set the bend at a node beside it.",
                    bend=(bend, ANGLE),
                )
            ]
            if bend > WITHIN
            else []
        )
        return _sized(pipes, ["gate", "gate"], notes)
    near = sorted(ELBOWS, key=lambda fitting: abs(angle(fitting) - bend))
    fitting = "coupling" if bend < STRAIGHT else near[0]
    off = abs(angle(fitting) - bend)
    notes = [_no_fitting(name, bend, near)] if off > WITHIN else []
    return _sized(pipes, [fitting, fitting], notes)


def _branch(name: str, pipes: Sequence[Pipe], away: Sequence[Spot]) -> Join:
    """Tee or wye: the straightest two of three pipes run through, the third branches off."""
    through = min(((0, 1), (0, 2), (1, 2)), key=lambda pair: _bend(away[pair[0]], away[pair[1]]))
    side = 3 - sum(through)
    beside = max(
        through, key=lambda at: _bend(away[at], away[side])
    )  # the leg that makes the lesser angle with the branch
    bend, lean = _bend(away[through[0]], away[through[1]]), 180.0 - _bend(away[beside], away[side])
    near = sorted(BRANCHES, key=lambda fitting: abs(angle(fitting) - lean))
    fittings = [near[0]] * 3
    if near[0] == "wye":
        fittings[sum(through) - beside] = "wye stem"
    notes = []
    if bend > WITHIN:
        notes.append(words(f"At '{name}' the two pipes that run through bend {{bend}}: no single listed fitting makes this; nearest are {near[0]} and {near[1]}, which are straight.",
                           bend=(bend, ANGLE)))  # fmt: skip
    if abs(angle(near[0]) - lean) > WITHIN:
        notes.append(_no_fitting(name, lean, near, "branches off at"))
    return _sized(pipes, fittings, notes)


def _sized(pipes: Sequence[Pipe], fittings: Sequence[str], notes: Sequence[Words]) -> Join:
    """The fitting is of the largest pipe's size; each smaller pipe comes in through a reducer."""
    large = max(pipes, key=lambda pipe: pipe.outside)
    counted, stops = [], []
    straight = fittings[0] == "coupling" and any(
        pipe != large for pipe in pipes
    )  # then the reducer joins the two by itself
    if not straight:
        counted.append(f"{large.name} {fittings[0].removesuffix(' stem')}")
    for pipe, fitting in zip(pipes, fittings, strict=True):
        own: tuple[Part, ...] = () if straight else ((fitting, large.name),)
        if pipe != large:
            counted.append(f"{large.name} to {pipe.name} reducer")
            own = (*own, ("reducer", pipe.name))
        stops.append(own)
    return Join(tuple(counted), tuple(stops), tuple(notes))


def _bend(a: Spot, b: Spot) -> float:
    """How far a pipe that comes in along one run turns to go out along the other [degrees]; 0 where it runs straight on."""
    # By both sine and cosine: the cosine alone loses half its digits near straight.
    cross = a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]
    return math.degrees(math.atan2(math.hypot(*cross), -sum(p * q for p, q in zip(a, b, strict=True))))


def _no_fitting(name: str, bend: float, near: Sequence[str], verb: str = "bends") -> Words:
    return words(
        f"At '{name}' the pipe {verb} {{bend}}: no single listed fitting makes this bend; nearest are {near[0]} and {near[1]}.",
        bend=(bend, ANGLE),
    )
