"""Joints: the sizes of pipe and fittings, and the fittings that join the pipes at each node.

A joint is all the fittings at one node. Pipes meet there at any angle in space, but fittings are sold in a few angles
and a socket cannot be deflected. So the bend drawn is made from listed fittings, and the line beyond the node (all
nodes and runs on the far side of it) is moved until it fits:

- One fitting has a fixed angle: the line beyond is rotated about the node by the difference from the angle drawn.
- Two fittings in series, rotated against each other, make any angle between the difference and the sum of theirs. The
  second leg then starts beside the node: the line beyond is shifted at right angles to the plane of the bend.

Of all possibilities the one with the fewest fittings is taken and, among those, the one that moves the line least.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from pondkit.core.entry import USER, Range, within
from pondkit.core.remembered import remembered
from pondkit.core.sentence import Words, words
from pondkit.core.tables import Row, rows_by_name, table
from pondkit.core.units import ANGLE, LENGTH, factor
from pondkit.geometry.line_intersection import Spot
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels.inputs import Fitting, Run, Tunnels
from pondkit.trades.water.inputs.pumping import OwnPipe, pipe_size

BRANCHES = ("wye", "tee")
# Greatest wall over the least, ASTM D1785, data sheet (4 in: 6.73 to 6.02 mm); for sewer pipe from memory.
MOST_WALL_RATIO = 1.12
LEAST_WALL_TOLERANCE = 0.51e-3  # m: the greatest wall is at least so much thicker (1 1/2 in: 4.19, 3.68 mm), same sheet
WALLS = "bore between the least and the greatest wall, which is at least 12 % over it (ASTM D1785, data sheet)"
SCALED_FROM = "sch40 6 in"  # fittings of a pipe without rows are estimated in proportion to those of this one


@dataclass(frozen=True)
class PassagePipe:
    """A kind of pipe used in the passages, with its sizes.

    Attributes:
        name: Its name in the table of pipes, or in the person's own list.
        outside: Outside diameter [m].
        bores: Inside diameter: low, typical and high [m].
        mass: Mass per length [kg/m]; 0 if unknown.
        source: Where its sizes come from.
        stock: Stock length it is sold in [m]; None for the stock length entered for all pipe.
    """

    name: str
    outside: float
    bores: Range
    mass: float
    source: str
    stock: float | None = None

    @property
    def bore(self) -> float:
        """Typical inside diameter [m]."""
        return self.bores.typical


@dataclass(frozen=True)
class CentreToStop:
    """Distance from a fitting's centre to the stop on which the pipe's end rests.

    Attributes:
        fitting: Pipe and fitting, as named in the order.
        size: Distance, with its range [m].
        caution: Caution that it was not measured; None if it was, or if the kind of fitting fixes it.
    """

    fitting: str
    size: Range
    caution: Words | None


@cache
def pipe(name: str) -> PassagePipe:
    """A pipe of the table, by its name there; its bore ranges from the thickest wall to the thinnest."""
    size, row = pipe_size(name), rows_by_name("trades/water/pipes")[name]
    wall = float(row["min_wall"]) * factor(row["unit"], LENGTH)
    thick = max(size.outside - size.bore - wall, MOST_WALL_RATIO * wall, wall + LEAST_WALL_TOLERANCE)
    bores = Range(size.outside - 2 * thick, size.bore, max(size.outside - 2 * wall, size.bore), WALLS)
    return PassagePipe(name, size.outside, bores, size.mass or 0.0, size.source)


def own_pipe(own_pipe: OwnPipe, stock_length: float) -> PassagePipe:
    """A pipe that the person measured; ``stock_length`` is used if it has none of its own [m]."""
    bore = float(own_pipe.bore)
    stock = stock_length if own_pipe.stock_length is None else float(own_pipe.stock_length)
    mass = float(own_pipe.mass or 0.0) / stock
    return PassagePipe(
        own_pipe.name, float(own_pipe.outside), within(bore, float(own_pipe.bore_within)), mass, USER, stock
    )


def pipe_of(tunnels: Tunnels, run: Run | None = None) -> PassagePipe | None:
    """Pipe of a run, by default that of the tunnels; None if it names an own pipe that is not defined."""
    name = tunnels.own_pipe
    if run is not None and (run.own_pipe or run.pipe):
        name = run.own_pipe
    if name is None:
        return pipe((run.pipe if run else None) or tunnels.pipe)
    measured = next((listed for listed in tunnels.own_pipes if listed.name == name), None)
    return None if measured is None else own_pipe(measured, float(tunnels.stock_length))


@cache
def angle(fitting: str) -> float:
    """Angle of an elbow, tee or wye [degrees], from the table."""
    return float(next(row["angle_deg"] for row in table("trades/tunnels/fittings") if row["fitting"] == fitting))


@cache
def _row(pipe_name: str, fitting: str) -> Row | None:
    rows = table("trades/tunnels/fittings")
    return next((row for row in rows if row["pipe"] == pipe_name and row["fitting"] == fitting), None)


def centre_to_stop(fitting: str, pipe: PassagePipe, measured: Iterable[Fitting]) -> CentreToStop:
    """Centre-to-stop distance of a fitting on a pipe: as measured, else from the table, else estimated in proportion to
    the outside diameter.
    """
    subject = f"{pipe.name} {fitting}"
    distance = next(
        (
            float(size.centre_to_stop)
            for size in measured
            if size.name == fitting and (size.own_pipe or size.pipe) == pipe.name
        ),
        None,
    )
    if distance is not None:
        return CentreToStop(subject, Range(distance, distance, distance, USER), None)
    return _unmeasured(fitting, pipe.name, pipe.outside)


@cache
def _unmeasured(fitting: str, pipe_name: str, outside: float) -> CentreToStop:
    row, inch, subject = _row(pipe_name, fitting), factor("in", LENGTH), f"{pipe_name} {fitting}"
    scale = 1.0
    if row is None:
        row = _row(SCALED_FROM, fitting)
        scale = outside / pipe(SCALED_FROM).outside
    assert row is not None, f"no row for {fitting}"
    size, within = float(row["centre_to_stop_in"]) * inch * scale, float(row["within_in"]) * inch * scale
    source = f"{subject}: {row['source']}"
    caution = warn.CENTRE_TO_STOP_UNMEASURED(fitting=subject, source=row["source"]) if within else None
    return CentreToStop(subject, Range(size - within, size, size + within, source), caution)


def added(stops: Iterable[CentreToStop]) -> Range:
    """Sum of the centre-to-stop distances of fittings in series at a pipe's end."""
    sizes = [stop.size for stop in stops]
    sources = "; ".join(dict.fromkeys(size.source for size in sizes))
    return Range(sum(s.low for s in sizes), sum(s.typical for s in sizes), sum(s.high for s in sizes), sources)


CLOSE = 1e-9  # degrees: angles nearer than this are equal
IN_ONE_LINE = 1e-9  # squared sine of a bend, below which its two legs define no plane
IN_PLANE = 1e-6  # share of the spacing, below which two fittings stay in the plane of the bend

FittingAngle = tuple[str, float]  # name of a fitting, and its angle [degrees]


@dataclass(frozen=True)
class Bend:
    """One way of making a bend from listed fittings.

    Attributes:
        fittings: Names, in order from the first leg.
        move: Displacement of the furthest place of the line beyond [m].
        rotation: Rotation of the line beyond, about the node [degrees]; 0 if it is shifted or stays.
        spacing: Distance between the centres of two fittings [m]; 0 for a single one.
        out_of_plane: Part of the spacing that is at right angles to the plane of the bend, as a share of it.
        setback: Distance from the node to the centre of the fitting along the first leg, and along the second [m].
    """

    fittings: tuple[str, ...]
    move: float
    rotation: float = 0.0
    spacing: float = 0.0
    out_of_plane: float = 0.0
    setback: tuple[float, float] = (0.0, 0.0)


def bend_of_one(drawn_angle: float, fitting: FittingAngle, far: float) -> Bend:
    """A bend of one fitting, with the line beyond rotated about the node to the fitting's angle.

    Args:
        drawn_angle: Angle of the bend as drawn [degrees].
        fitting: The fitting.
        far: Distance from the node to the furthest place that is rotated [m].
    """
    name, angle_of_fitting = fitting
    rotation = angle_of_fitting - drawn_angle
    return Bend((name,), 2 * far * math.sin(math.radians(abs(rotation)) / 2), rotation)


def bend_of_two(drawn_angle: float, first: FittingAngle, second: FittingAngle, spacing: float) -> Bend | None:
    """A bend of two fittings rotated against each other; None if they cannot make the angle.

    Args:
        drawn_angle: Angle of the bend as drawn [degrees].
        first, second: The fittings; the first may be the branch of a tee or wye.
        spacing: Distance between their centres [m].
    """
    (first_name, a), (second_name, b) = first, second
    if not abs(a - b) - CLOSE <= drawn_angle <= a + b + CLOSE:
        return None
    cos_a, cos_b, cos_bend = (math.cos(math.radians(degrees)) for degrees in (a, b, drawn_angle))
    sin_squared = 1 - cos_bend**2
    if sin_squared < IN_ONE_LINE:
        return None
    # Direction of the piece between the fittings: its parts along the two legs, from its angles to them, and the rest.
    on_first, on_second = (cos_a - cos_bend * cos_b) / sin_squared, (cos_b - cos_bend * cos_a) / sin_squared
    in_plane = on_first**2 + on_second**2 + 2 * on_first * on_second * cos_bend
    out_of_plane = math.sqrt(max(1 - in_plane, 0.0))
    out_of_plane = 0.0 if out_of_plane < IN_PLANE else out_of_plane
    return Bend(
        (first_name, second_name),
        move=spacing * out_of_plane,
        spacing=spacing,
        out_of_plane=out_of_plane,
        setback=(spacing * on_first, spacing * on_second),
    )


def possible_bends(
    drawn_angle: float,
    firsts: Sequence[FittingAngle],
    elbows: Sequence[FittingAngle],
    spacings: Mapping[tuple[str, str], float],
    far: float,
) -> Iterator[Bend]:
    """All ways of making a bend from one or two fittings.

    Args:
        drawn_angle: Angle of the bend as drawn [degrees].
        firsts: Fittings that may be used alone, or first of two.
        elbows: Fittings that may be used second.
        spacings: Distance between the centres of each pair [m].
        far: Distance from the node to the furthest place that is moved [m].
    """
    for fitting in firsts:
        yield bend_of_one(drawn_angle, fitting, far)
    for first in firsts:
        for second in elbows:
            # A straight coupling makes no bend together with an elbow that the elbow does not make alone.
            if first[1] > 0 and (bend := bend_of_two(drawn_angle, first, second, spacings[first[0], second[0]])):
                yield bend


def best_bend(bends: Iterable[Bend], most_move: float) -> Bend | None:
    """The bend with the fewest fittings and, among those, the least move; None if each moves the line by more than
    ``most_move`` [m].
    """
    allowed = [bend for bend in bends if bend.move <= most_move]
    return min(allowed, key=lambda bend: (len(bend.fittings), bend.move), default=None)


MOST_RUNS = 3  # at one joint: a tee or wye joins three

JointPart = tuple[str, PassagePipe]  # a fitting, and the pipe whose size it has
FarDistance = float | None  # from a node to the furthest place beyond one of its runs [m]; None if that side is fixed


@dataclass(frozen=True, eq=False)
class AvailableFittings:
    """Fittings that bends may be made from, and how far the line may move for one.

    Attributes:
        elbows: Names of the elbows that the person can get.
        stops: Centre-to-stop distance by (fitting, name of its pipe) [m].
        socket: Depth of a socket [m].
        most_move: Greatest move of the line for one bend [m].
        take_up: Deviation of a bend, 1 m from it, that sockets and setting out take up where nothing may move [m].
    """

    elbows: tuple[str, ...]
    stops: dict[tuple[str, str], float]
    socket: float
    most_move: float
    take_up: float

    @property
    def elbow_angles(self) -> list[FittingAngle]:
        """The elbows with their angles."""
        return [(elbow, angle(elbow)) for elbow in self.elbows]

    @property
    def slack(self) -> float:
        """Deviation of a bend, 1 m from it, that is allowed where both sides are fixed [m]."""
        return min(self.take_up, self.most_move)

    def spacing(self, first: str, second: str, pipe: str) -> float:
        """Distance between the centres of two fittings in series, joined by the shortest piece that fills both sockets
        [m].
        """
        return self.stops[first, pipe] + self.stops[second, pipe] + 2 * self.socket


@dataclass(frozen=True)
class LineMove:
    """Move of the line beyond a node, so that listed fittings make the bend there.

    Attributes:
        bend: The bend as its fittings make it.
        drawn_angle: Angle of the bend as drawn [degrees].
        legs: Indexes, among the pipes of the joint, of the two that make the bend; the line beyond the second moves.
        far: Distance from the node to the furthest place moved [m].
    """

    bend: Bend
    drawn_angle: float
    legs: tuple[int, int]
    far: float


@dataclass(frozen=True)
class PipeJoint:
    """The fittings at one node, for the pipes of the runs that end there, in the order of the runs.

    Attributes:
        counted: Each fitting, as named in the order ("sch40 6 in elbow 45").
        stops: For each pipe, the fittings whose centre-to-stop distances shorten it.
        cautions: Cautions on the joint.
        setbacks: Further shortening of each pipe, as its fitting is centred beside the node [m]; empty if none is.
        stubs: Pipe of each short piece between two fittings in series.
        moves: Moves of the line beyond; of a branch first that of the two pipes in line, then that of the side.
        turns: Angles that an animal or a drain rod has to pass here [degrees]; of a branch first the sharper way into
            it, then the elbow on it.
        fault: Why no listed fittings make the joint; None if some do.
    """

    counted: tuple[str, ...]
    stops: tuple[tuple[JointPart, ...], ...]
    cautions: tuple[Words, ...] = ()
    setbacks: tuple[float, ...] = ()
    stubs: tuple[PassagePipe, ...] = ()
    moves: tuple[LineMove, ...] = ()
    turns: tuple[float, ...] = ()
    fault: Words | None = None

    def turns_between(self, first: int, second: int) -> tuple[float, ...]:
        """Angles to be passed from one pipe of the joint to another, by their indexes [degrees].

        Straight through a tee or wye there is none. Into the branch it is the branch's angle from the stem, the rest
        of 180 degrees from the pipe in line with it, and then the elbow on the branch.
        """
        if len(self.stops) < 3 or not self.turns:
            return self.turns
        stem, side = self.moves[1].legs
        if side not in (first, second):
            return ()
        sharper, *elbows = self.turns
        return (180.0 - sharper if stem in (first, second) else sharper, *elbows)


@remembered
def joint(
    name: str,
    kind: str,
    pipes: tuple[PassagePipe, ...],
    directions: tuple[Spot, ...],
    far_distances: tuple[FarDistance, ...],
    fittings: AvailableFittings,
) -> PipeJoint:
    """Select the fittings for the pipes at a node, up to three at a junction.

    Args:
        name, kind: Name and kind of the node; "flush inlet" where the flush enters at the end of a single pipe.
        pipes: Pipe of each run that ends there.
        directions: Unit vector along each run, away from the node.
        far_distances: Distance to the furthest place beyond each run [m]; None if that side is fixed.
        fittings: Fittings available for bends.
    """
    if kind == "mouth" or not pipes:
        return PipeJoint((), ((),) * len(pipes))
    if kind == "chamber":
        return PipeJoint(
            tuple(f"{pipe.name} chamber entry" for pipe in pipes),
            tuple((("chamber entry", pipe),) for pipe in pipes),
        )
    if kind == "flush inlet":
        return PipeJoint((f"{pipes[0].name} flush inlet",), ((("flush inlet", pipes[0]),),))
    if len(pipes) == 1:
        return PipeJoint((f"{pipes[0].name} cap",), ((("cap", pipes[0]),),), (warn.BLIND_END(node=name),))
    if kind == "gate":
        return _gate_joint(name, pipes, directions)
    select = _bend_joint if len(pipes) == 2 else _branch_joint
    return select(name, pipes, directions, far_distances, fittings)


def _gate_joint(name: str, pipes: Sequence[PassagePipe], directions: Sequence[Spot]) -> PipeJoint:
    angle_at_gate = deflection(directions[0], directions[1])
    notes = warn.GATE_BENT.where(angle_at_gate, angle_at_gate, angle_at_gate, node=name, bend=(angle_at_gate, ANGLE))
    return _sized(pipes, ["gate", "gate"], notes)


def _bend_joint(
    name: str,
    pipes: Sequence[PassagePipe],
    directions: Sequence[Spot],
    far_distances: Sequence[FarDistance],
    fittings: AvailableFittings,
) -> PipeJoint:
    """A coupling, an elbow, or two elbows in series, for two pipes."""
    large, elbows = _largest(pipes).name, fittings.elbow_angles
    legs, far, most_move = _moving_leg((0, 1), far_distances, fittings)
    drawn_angle = deflection(directions[0], directions[1])
    spacings = {(a, b): fittings.spacing(a, b, large) for a, _ in elbows for b, _ in elbows}
    bend = best_bend(possible_bends(drawn_angle, [("coupling", 0.0), *elbows], elbows, spacings, far), most_move)
    if bend is None:
        return PipeJoint((), ((),) * 2, fault=_no_bend_possible(name, drawn_angle, most_move))
    # The fittings are listed from the leg that stays; turn them round where that is the second pipe.
    as_listed = legs == (0, 1)
    first, last = (bend.fittings[0], bend.fittings[-1]) if as_listed else (bend.fittings[-1], bend.fittings[0])
    pipe_joint = _sized(
        pipes,
        [first, last],
        _bend_instructions(name, drawn_angle, bend),
        extra=bend.fittings[1:],
        setbacks=bend.setback if as_listed else bend.setback[::-1],
    )
    turns = tuple(angle(fitting) for fitting in bend.fittings)
    return replace(pipe_joint, moves=(LineMove(bend, drawn_angle, legs, far),), turns=turns)


def _largest(pipes: Sequence[PassagePipe]) -> PassagePipe:
    return max(pipes, key=lambda pipe: pipe.outside)


def _moving_leg(
    legs: tuple[int, int], far_distances: Sequence[FarDistance], fittings: AvailableFittings
) -> tuple[tuple[int, int], float, float]:
    """(the legs, the one that moves last; distance to the furthest place beyond it [m]; greatest move allowed [m]).

    The side that reaches less far moves, and a fixed one never. If both are fixed, the deviation 1 m from the node
    counts instead.
    """
    reaching = [(far, leg) for leg in legs if (far := far_distances[leg]) is not None]
    if not reaching:
        return legs, 1.0, fittings.slack
    far, moved_leg = min(reaching)
    return (legs if moved_leg == legs[1] else legs[::-1]), far, fittings.most_move


PAIRS = (0, 1), (0, 2), (1, 2)  # of three pipes, which two may run in line


def _branch_joint(
    name: str,
    pipes: Sequence[PassagePipe],
    directions: Sequence[Spot],
    far_distances: Sequence[FarDistance],
    fittings: AvailableFittings,
) -> PipeJoint:
    """A tee or wye: two of three pipes run in line and the third branches off, with an elbow on it where needed."""
    options = [
        pipe_joint
        for in_line in PAIRS
        for pipe_joint in _branch_options(name, in_line, pipes, directions, far_distances, fittings)
    ]
    if not options:
        return PipeJoint(
            (),
            ((),) * 3,
            fault=_no_branch_possible(name, min(deflection(directions[a], directions[b]) for a, b in PAIRS)),
        )
    return min(options, key=lambda option: (len(option.counted), sum(move.bend.move for move in option.moves)))


def _branch_options(
    name: str,
    in_line: tuple[int, int],
    pipes: Sequence[PassagePipe],
    directions: Sequence[Spot],
    far_distances: Sequence[FarDistance],
    fittings: AvailableFittings,
) -> list[PipeJoint]:
    """Options with two given pipes in line: a tee, and a wye in either direction."""
    side = 3 - sum(in_line)
    large, elbows = _largest(pipes).name, fittings.elbow_angles
    legs, far, most_move = _moving_leg(in_line, far_distances, fittings)
    straight = bend_of_one(deflection(directions[legs[0]], directions[legs[1]]), ("coupling", 0.0), far)
    if straight.move > most_move:
        return []
    side_far, side_most = far_distances[side], fittings.most_move
    if side_far is None:
        side_far, side_most = 1.0, fittings.slack
    options: list[PipeJoint] = []
    into_side = deflection(directions[legs[0]], directions[side])
    for stem, other in (legs, legs[::-1]):
        # From the stem into the side pipe. The leg that moves lies in line with the other by then, so its own angle
        # into the side is the rest of 180 degrees.
        drawn_angle = into_side if stem == legs[0] else 180.0 - into_side
        for fitting in BRANCHES:
            branch_angle = angle(fitting)
            spacings = {(fitting, elbow): fittings.spacing(fitting, elbow, large) for elbow, _ in elbows}
            bend = best_bend(
                possible_bends(drawn_angle, [(fitting, branch_angle)], elbows, spacings, side_far), side_most
            )
            if bend is None:
                continue
            ends, setbacks = [""] * 3, [0.0] * 3
            ends[other] = fitting
            ends[stem] = "wye stem" if fitting == "wye" else fitting
            ends[side] = bend.fittings[-1]
            setbacks[stem], setbacks[other], setbacks[side] = bend.setback[0], -bend.setback[0], bend.setback[1]
            elbow = bend.fittings[1:]
            notes = _bend_instructions(name, drawn_angle, bend)
            option = _sized(pipes, ends, notes, extra=elbow, setbacks=tuple(setbacks), body=fitting)
            moves = (
                LineMove(straight, -straight.rotation, legs, far),
                LineMove(bend, drawn_angle, (stem, side), side_far),
            )
            turns = (max(branch_angle, 180.0 - branch_angle), *(angle(each) for each in elbow))
            options.append(replace(option, moves=moves, turns=turns))
    return options


def _sized(
    pipes: Sequence[PassagePipe],
    fittings: Sequence[str],
    notes: Sequence[Words],
    extra: Sequence[str] = (),
    setbacks: tuple[float, ...] = (),
    body: str = "",
) -> PipeJoint:
    """A joint with fittings of the largest pipe's size, each smaller pipe joined by a reducer; its moves and turns are
    left empty.

    Args:
        pipes: Pipes at the node.
        fittings: Fitting at the end of each pipe.
        notes: Cautions.
        extra: Second fitting of a bend; a short piece of pipe joins it to the first.
        setbacks: Further shortening of each pipe, for a fitting centred beside the node [m].
        body: The fitting in which all pipes meet; if empty, that at the end of the first pipe.
    """
    large = _largest(pipes)
    counted, stops = [], []
    # Two pipes of different size in line: the reducer joins them by itself.
    only_reducer = not extra and fittings[0] == "coupling" and any(pipe != large for pipe in pipes)
    if not only_reducer:
        counted.append(f"{large.name} {(body or fittings[0]).removesuffix(' stem')}")
        last = fittings[-1] if not body else None
        counted += [f"{large.name} {last or fitting}" for fitting in extra]
    for pipe, fitting in zip(pipes, fittings, strict=True):
        parts: tuple[JointPart, ...] = () if only_reducer else ((fitting, large),)
        if pipe != large:
            counted.append(f"{large.name} to {pipe.name} reducer")
            parts = (*parts, ("reducer", pipe))
        stops.append(parts)
    return PipeJoint(tuple(counted), tuple(stops), tuple(notes), setbacks, (large,) * len(extra))


def _bend_instructions(name: str, drawn_angle: float, bend: Bend) -> list[Words]:
    """Instructions to the crew for a bend of two fittings."""
    if len(bend.fittings) < 2:
        return []
    first, second = bend.fittings
    bend_drawn, spacing = (drawn_angle, ANGLE), (bend.spacing, LENGTH)
    return [warn.TWO_FITTINGS(node=name, first=first, second=second, bend=bend_drawn, spacing=spacing)]


def deflection(first: Spot, second: Spot) -> float:
    """Deflection angle from one run to the next [degrees], 0 if they are in line; from their directions away from the
    node.
    """
    (x, y, z), (u, v, w) = first, second
    # From sine and cosine: near 0 degrees the cosine alone loses half its digits.
    sine = math.hypot(y * w - z * v, z * u - x * w, x * v - y * u)
    return math.degrees(math.atan2(sine, -(x * u + y * v + z * w)))


def _no_bend_possible(name: str, drawn_angle: float, most_move: float) -> Words:
    return words(
        f"the pipe bends {{bend}} at '{name}': no listed fitting, and no two turned against each other, make this "
        f"without moving the line "
        "further than {most}",
        bend=(drawn_angle, ANGLE),
        most=(most_move, LENGTH),
    )


def _no_branch_possible(name: str, least_angle: float) -> Words:
    return words(
        f"three pipes meet at '{name}', of which the straightest two bend {{bend}}: no listed tee or wye joins them, "
        f"alone or with an elbow",
        bend=(least_angle, ANGLE),
    )
