"""Which fittings join the pipes at a node, by their number, sizes and the angles between them in space.

An angle in space is made from listed fittings: the fewest first, then the least move of the line. Socket joints take
no angle. One fitting makes its own angle; then the line beyond is turned about the node until it fits. Two fittings
turned against each other make every angle from their difference to their sum; then the line beyond is shifted at
right angles to the bend, by as much of their spacing as leaves the plane of the bend. In the plane nothing moves.

Sizes of pipe and fittings, from the shipped tables or as measured by the person.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

from pondkit.core.entry import USER, Range, within
from pondkit.core.sentence import Words, words
from pondkit.core.tables import Row, rows_by_name, table
from pondkit.core.units import ANGLE, LENGTH, factor
from pondkit.geometry.line_intersection import Spot
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels.inputs import Fitting, Run, Tunnels
from pondkit.trades.water.inputs.pumping import OwnPipe, pipe_size

BRANCHES = ("wye", "tee")
THICKER = (
    1.12  # greatest wall over the least: ASTM D1785, data sheet (4 in: 6.73 over 6.02 mm); of sewer pipe from memory
)
LEAST_THICKER = 0.51e-3  # m: at least so much (1 1/2 in: 4.19 over 3.68 mm), same sheet
WALLS = "bore between the least and the greatest wall, which is at least 12 % over it (ASTM D1785, data sheet)"
SCALED = "sch40 6 in"  # fittings of a pipe that has no rows are estimated from those of this one


@dataclass(frozen=True)
class PassagePipe:
    """A pipe of the passages, with its sizes.

    Attributes:
        name: Its name in the table, or in the person's own list.
        outside: Outside diameter [m].
        bores: Inside diameter with its range; ``bore`` is the typical one [m].
        mass: Mass per length [kg/m]; 0 if unknown.
        source: Where its sizes come from.
        stock: Its stock length [m]; None if the default of the tunnels applies.
    """

    name: str
    outside: float
    bores: Range
    mass: float
    source: str
    stock: float | None = None

    @property
    def bore(self) -> float:
        return self.bores.typical


@dataclass(frozen=True)
class CentreToStop:
    """Centre-to-stop distance of a fitting, with a caution if it was not measured.

    Attributes:
        fitting: Pipe and fitting, as counted in the order.
        size: Distance with its range [m].
        caution: None if it was measured, or is fixed by the kind of node.
    """

    fitting: str
    size: Range
    caution: Words | None


@cache
def pipe(name: str) -> PassagePipe:
    """A pipe of the table of pipes, by name."""
    size, row = pipe_size(name), rows_by_name("trades/water/pipes")[name]
    wall = float(row["min_wall"]) * factor(row["unit"], LENGTH)
    thick = max(size.outside - size.bore - wall, THICKER * wall, wall + LEAST_THICKER)
    bores = Range(size.outside - 2 * thick, size.bore, max(size.outside - 2 * wall, size.bore), WALLS)
    return PassagePipe(name, size.outside, bores, size.mass or 0.0, size.source)


def own_pipe(own_pipe: OwnPipe, stock_length: float) -> PassagePipe:
    """A pipe measured by the person; ``stock_length``: default stock length of the tunnels [m]."""
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
    """Centre-to-stop distance of a fitting on a pipe: as measured, else from the table, else estimated from the pipe's
    size.
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
    return _shipped(fitting, pipe.name, pipe.outside)


@cache
def _shipped(fitting: str, pipe_name: str, outside: float) -> CentreToStop:
    row, inch, subject = _row(pipe_name, fitting), factor("in", LENGTH), f"{pipe_name} {fitting}"
    larger = 1.0
    if row is None:
        row = _row(SCALED, fitting)
        larger = outside / pipe(SCALED).outside
    assert row is not None, f"no row for {fitting}"
    size, within = float(row["centre_to_stop_in"]) * inch * larger, float(row["within_in"]) * inch * larger
    source = f"{subject}: {row['source']}"
    caution = warn.CENTRE_TO_STOP_UNMEASURED(fitting=subject, source=row["source"]) if within else None
    return CentreToStop(subject, Range(size - within, size, size + within, source), caution)


def added(stops: Iterable[CentreToStop]) -> Range:
    """Sum of the centre-to-stop distances of fittings in series at a pipe's end."""
    sizes = [stop.size for stop in stops]
    sources = "; ".join(dict.fromkeys(size.source for size in sizes))
    return Range(sum(s.low for s in sizes), sum(s.typical for s in sizes), sum(s.high for s in sizes), sources)


CLOSE = 1e-9
UPON_EACH_OTHER = 1e-9  # squared sine of a bend, below which its legs lie in one line and define no plane


@dataclass(frozen=True)
class Bend:
    """One way of making a bend from listed fittings.

    Attributes:
        fittings: Names, in order from the first leg.
        move: Displacement of the furthest place beyond [m].
        turned: Rotation of the line beyond [degrees]; 0 if it is shifted or unchanged.
        spacing: Centre to centre of two fittings [m]; 0 for a single one.
        aside: Share of the spacing that leaves the plane of the bend.
        setback: Shortening of the first and second leg, from the node to the fitting's centre [m].
    """

    fittings: tuple[str, ...]
    move: float
    turned: float = 0.0
    spacing: float = 0.0
    aside: float = 0.0
    setback: tuple[float, float] = (0.0, 0.0)


def single(bend: float, fitting: str, own_angle: float, far: float) -> Bend:
    """A bend of one fitting, with the line beyond rotated about the node to the fitting's angle.

    Args:
        bend: Design angle [degrees].
        fitting, own_angle: The fitting and its angle [degrees].
        far: Distance from the node to the furthest place rotated [m].
    """
    deviation = own_angle - bend
    return Bend((fitting,), 2 * far * math.sin(math.radians(abs(deviation)) / 2), deviation)


def double(bend: float, first: tuple[str, float], second: tuple[str, float], spacing: float) -> Bend | None:
    """A bend of two fittings rotated against each other; None if they cannot make the bend.

    Args:
        bend: Design angle [degrees].
        first, second: (fitting, its angle [degrees]); the first may be the branch of a tee or wye.
        spacing: Centre to centre [m].
    """
    (name_a, a), (name_b, b) = first, second
    if not abs(a - b) - CLOSE <= bend <= a + b + CLOSE or bend < CLOSE:
        return None
    cos_a, cos_b, cos_bend = (math.cos(math.radians(angle)) for angle in (a, b, bend))
    # The piece between them, a unit vector, along the first leg, along the second, and out of their plane.
    flat = 1 - cos_bend**2
    if flat < UPON_EACH_OTHER:
        return None
    along, on = (cos_a - cos_bend * cos_b) / flat, (cos_b - cos_bend * cos_a) / flat
    aside = math.sqrt(max(1 - (along**2 + on**2 + 2 * along * on * cos_bend), 0.0))
    aside = 0.0 if aside < 1e-6 else aside
    return Bend((name_a, name_b), spacing * aside, 0.0, spacing, aside, (spacing * along, spacing * on))


def ways(
    bend: float,
    firsts: Sequence[tuple[str, float]],
    elbows: Sequence[tuple[str, float]],
    spacing: "dict[tuple[str, str], float]",
    far: float,
) -> Iterator[Bend]:
    """All ways of making a bend by one or two fittings.

    Args:
        bend: Design angle [degrees].
        firsts: Fittings that may be used alone or first: (fitting, angle [degrees]).
        elbows: Fittings that may be used second.
        spacing: Centre to centre of each pair [m].
        far: Distance from the node to the furthest place rotated [m].
    """
    for fitting, own_angle in firsts:
        yield single(bend, fitting, own_angle, far)
    for first in firsts:
        for second in elbows:
            if first[1] > 0 and (turn := double(bend, first, second, spacing[first[0], second[0]])):
                yield turn


def best(bends: Sequence[Bend], most_move: float) -> Bend | None:
    """The bend with the fewest fittings and, among those, the least displacement; None if every one exceeds
    ``most_move``.
    """
    possible = [turn for turn in bends if turn.move <= most_move]
    return min(possible, key=lambda turn: (len(turn.fittings), turn.move), default=None)


MOST_RUNS = 3

JointPart = tuple[str, PassagePipe]  # fitting, and for which pipe
# Distance to the furthest place beyond a run [m]; None if any of that is fixed.
Reach = float | None


@dataclass(frozen=True)
class AvailableFittings:
    """What bends are made from.

    Attributes:
        elbows: Names of the elbows that the person can get.
        stops: Centre-to-stop distance of each (fitting, name of its pipe) [m].
        socket: Depth of a socket [m].
        most_move: How far the line may be moved for one bend [m].
        take_up: How far a bend may be off, a metre from it, where nothing may move [m].
    """

    elbows: tuple[str, ...]
    stops: dict[tuple[str, str], float]
    socket: float
    most_move: float
    take_up: float

    @property
    def slack(self) -> float:
        """How far a bend may be off where nothing may move [m]."""
        return min(self.take_up, self.most_move)

    def spacing(self, first: str, second: str, pipe: str) -> float:
        """Centre to centre of two fittings, with the shortest piece that fills both sockets between them [m]."""
        return self.stops[first, pipe] + self.stops[second, pipe] + 2 * self.socket


@dataclass(frozen=True)
class LineMove:
    """Displacement of the line beyond a node, so that listed fittings make its bend.

    Attributes:
        turn: The fittings of the bend.
        bend: Design angle of the bend [degrees].
        legs: Indexes of the two legs that bend, among the node's runs; the line beyond the second is moved.
        far: Distance of the furthest place moved [m].
    """

    turn: Bend
    bend: float
    legs: tuple[int, int]
    far: float


@dataclass(frozen=True)
class PipeJoint:
    """The fittings at one node.

    Attributes:
        counted: Subjects of ``fitting_count``, one for each fitting.
        stops: For each pipe end, the (fitting, pipe) whose centre-to-stop distances shorten it.
        cautions: Cautions on the joint.
        setbacks: Further shortening of each pipe end, for fittings beside the node [m].
        stubs: Pipe of each short piece between two fittings.
        moves: Displacements of the line.
        turns: Angles that an animal or a rod must pass here [degrees]; of a branch the sharper of its two.
        fault: Why no listed fittings make the bend; None if some do.
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
        """Angles of the fittings on the way from one pipe of the joint to another, by their indexes [degrees].

        Straight through a tee or wye there is none; into the branch it is the branch's angle from the stem, or the
        rest of 180 degrees from the other pipe, and the elbow on the branch comes on top.
        """
        if len(self.stops) < 3 or not self.turns:
            return self.turns
        stem, side = self.moves[1].legs
        if side not in (first, second):
            return ()
        sharper, *elbows = self.turns
        return (180.0 - sharper if stem in (first, second) else sharper, *elbows)


def joint(
    name: str,
    kind: str,
    pipes: Sequence[PassagePipe],
    away: Sequence[Spot],
    reaches: Sequence[Reach],
    fittings: AvailableFittings,
) -> PipeJoint:
    """Select fittings for up to three pipes at a node: the fewest, then the least displacement of the line.

    Args:
        name, kind: Name and kind of the node; "flush inlet" if the flush enters at the end of a single pipe.
        pipes: Pipe of each run that ends here.
        away: Unit vector along each run, away from the node.
        reaches: Distance to the furthest place beyond each run [m]; None if it is fixed.
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
        note = warn.BLIND_END(node=name)
        return PipeJoint((f"{pipes[0].name} cap",), ((("cap", pipes[0]),),), (note,))
    if kind == "gate":
        return _gate(name, pipes, away)
    return (
        _pair(name, pipes, away, reaches, fittings)
        if len(pipes) == 2
        else _branch(name, pipes, away, reaches, fittings)
    )


def _gate(name: str, pipes: Sequence[PassagePipe], away: Sequence[Spot]) -> PipeJoint:
    bend = _bend(away[0], away[1])
    notes = warn.GATE_BENT.where(bend, bend, bend, node=name, bend=(bend, ANGLE))
    return _sized(pipes, ["gate", "gate"], notes)


def _pair(
    name: str, pipes: Sequence[PassagePipe], away: Sequence[Spot], reaches: Sequence[Reach], fittings: AvailableFittings
) -> PipeJoint:
    large = max(pipes, key=lambda pipe: pipe.outside).name
    elbows = [(fitting, angle(fitting)) for fitting in fittings.elbows]
    legs, far, most = _moved((0, 1), reaches, fittings)
    bend = _bend(away[0], away[1])
    spacing = {(a, b): fittings.spacing(a, b, large) for a, _ in elbows for b, _ in elbows}
    turn = best([*ways(bend, [("coupling", 0.0), *elbows], elbows, spacing, far)], most)
    if turn is None:
        return PipeJoint((), ((),) * 2, fault=_none_makes(name, bend, most))
    # If the legs are reversed, so are the fittings.
    first, last = (turn.fittings[0], turn.fittings[-1]) if legs == (0, 1) else (turn.fittings[-1], turn.fittings[0])
    setbacks = turn.setback if legs == (0, 1) else turn.setback[::-1]
    pipe_joint = _sized(
        pipes, [first, last], _bend_instructions(name, bend, turn), extra=turn.fittings[1:], setbacks=setbacks
    )
    turns = tuple(angle(fitting) for fitting in turn.fittings)
    return replace(pipe_joint, moves=(LineMove(turn, bend, legs, far),), turns=turns)


def _moved(
    legs: tuple[int, int], reaches: Sequence[Reach], fittings: AvailableFittings
) -> tuple[tuple[int, int], float, float]:
    """(legs with the moved one last, distance to its furthest place, displacement allowed); the shorter side moves, a
    fixed one stays.
    """
    reaching = [(far, leg) for leg in legs if (far := reaches[leg]) is not None]
    if not reaching:
        return legs, 1.0, fittings.slack
    far, moved_leg = min(reaching)
    return (legs if moved_leg == legs[1] else legs[::-1]), far, fittings.most_move


def _branch(
    name: str, pipes: Sequence[PassagePipe], away: Sequence[Spot], reaches: Sequence[Reach], fittings: AvailableFittings
) -> PipeJoint:
    """Tee or wye: two of three pipes run through and the third branches off, with an elbow on the
    branch if necessary.
    """
    candidates = [
        pipe_joint
        for through in ((0, 1), (0, 2), (1, 2))
        for pipe_joint in _branches(name, through, pipes, away, reaches, fittings)
    ]
    if not candidates:
        through = min(((0, 1), (0, 2), (1, 2)), key=lambda pair: _bend(away[pair[0]], away[pair[1]]))
        bend = _bend(away[through[0]], away[through[1]])
        return PipeJoint((), ((),) * 3, fault=_no_branch(name, bend))
    return min(candidates, key=lambda join: (len(join.counted), sum(move.turn.move for move in join.moves)))


def _branches(
    name: str,
    through: tuple[int, int],
    pipes: Sequence[PassagePipe],
    away: Sequence[Spot],
    reaches: Sequence[Reach],
    fittings: AvailableFittings,
) -> list[PipeJoint]:
    """Options with two given pipes running through: a tee, and a wye in either direction."""
    side = 3 - sum(through)
    large = max(pipes, key=lambda pipe: pipe.outside).name
    legs, far, most = _moved(through, reaches, fittings)
    straight = single(_bend(away[legs[0]], away[legs[1]]), "coupling", 0.0, far)
    if straight.move > most:
        return []
    side_far, side_most = (1.0, fittings.slack) if (reach := reaches[side]) is None else (reach, fittings.most_move)
    elbows = [(fitting, angle(fitting)) for fitting in fittings.elbows]
    joints: list[PipeJoint] = []
    lean = _bend(away[legs[0]], away[side])
    for stem, other in (legs, legs[::-1]):
        # From straight on along the pipe that comes in by the stem; the leg that is moved lies in line with the other
        # by then.
        bend = lean if stem == legs[0] else 180.0 - lean
        for fitting in BRANCHES:
            spacing = {(fitting, elbow): fittings.spacing(fitting, elbow, large) for elbow, _ in elbows}
            turn = best([*ways(bend, [(fitting, angle(fitting))], elbows, spacing, side_far)], side_most)
            if turn is None:
                continue
            ends, setbacks = [""] * 3, [0.0] * 3
            ends[other], ends[stem], ends[side] = (
                fitting,
                "wye stem" if fitting == "wye" else fitting,
                turn.fittings[-1],
            )
            setbacks[stem], setbacks[other], setbacks[side] = turn.setback[0], -turn.setback[0], turn.setback[1]
            port = angle(fitting)
            moves = [LineMove(straight, -straight.turned, legs, far), LineMove(turn, bend, (stem, side), side_far)]
            extra, notes = turn.fittings[1:], _bend_instructions(name, bend, turn)
            branch = _sized(pipes, ends, notes, extra=extra, setbacks=tuple(setbacks), body=fitting)
            turns = (max(port, 180.0 - port), *(angle(each) for each in extra))
            joints.append(replace(branch, moves=tuple(moves), turns=turns))
    return joints


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
        extra: Second fittings of bends; a short piece of pipe joins each to the first.
        setbacks: Further shortening of each pipe end, for fittings beside the node [m].
        body: The fitting in which all pipes meet; if None, that at the end of the first pipe.
    """
    large = max(pipes, key=lambda pipe: pipe.outside)
    counted, stops = [], []
    # Two pipes of different size in line: the reducer joins them by itself.
    straight = not extra and fittings[0] == "coupling" and any(pipe != large for pipe in pipes)
    if not straight:
        counted.append(f"{large.name} {(body or fittings[0]).removesuffix(' stem')}")
        last = fittings[-1] if not body else None
        counted += [f"{large.name} {last or fitting}" for fitting in extra]
    for pipe, fitting in zip(pipes, fittings, strict=True):
        parts: tuple[JointPart, ...] = () if straight else ((fitting, large),)
        if pipe != large:
            counted.append(f"{large.name} to {pipe.name} reducer")
            parts = (*parts, ("reducer", pipe))
        stops.append(parts)
    return PipeJoint(tuple(counted), tuple(stops), tuple(notes), setbacks, (large,) * len(extra))


def _bend_instructions(name: str, bend: float, turn: Bend) -> list[Words]:
    """Instructions to the crew for a bend of two fittings."""
    if len(turn.fittings) < 2:
        return []
    first, second = turn.fittings
    return [
        warn.TWO_FITTINGS(node=name, first=first, second=second, bend=(bend, ANGLE), spacing=(turn.spacing, LENGTH))
    ]


def _bend(a: Spot, b: Spot) -> float:
    """Deflection from one run to the next [degrees]; 0 if they are in line."""
    # From sine and cosine: near 0 degrees the cosine alone loses half its digits.
    cross = a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]
    return math.degrees(math.atan2(math.hypot(*cross), -sum(p * q for p, q in zip(a, b, strict=True))))


def _none_makes(name: str, bend: float, most: float) -> Words:
    return words(
        f"the pipe bends {{bend}} at '{name}': no listed fitting, and no two turned against each other, make this "
        f"without moving the line "
        "further than {most}",
        bend=(bend, ANGLE),
        most=(most, LENGTH),
    )


def _no_branch(name: str, bend: float) -> Words:
    return words(
        f"three pipes meet at '{name}', of which the straightest two bend {{bend}}: no listed tee or wye joins them, "
        f"alone or with an elbow",
        bend=(bend, ANGLE),
    )
