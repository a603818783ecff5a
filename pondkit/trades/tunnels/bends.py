"""Makes an angle in space from listed fittings: the fewest first, then the least move of the line.

Socket joints take no angle. One fitting makes its own angle; then the line beyond is turned about the node until it
fits. Two fittings turned against each other make every angle from their difference to their sum; then the line beyond
is shifted at right angles to the bend, by as much of their spacing as leaves the plane of the bend. In the plane
nothing moves.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

LAYING = 0.00635  # m (1/4 in): what setting out and sockets take up where nothing may move (from memory, confirm)
CLOSE = 1e-9


@dataclass(frozen=True)
class Bend:
    """A way to make a bend.

    Attributes:
        fittings: Names, in the order from the first leg.
        move: How far the furthest place beyond is moved [m].
        turned: Degrees by which the line beyond is turned; 0 where it is shifted or stays.
        spacing: Centre to centre of two fittings [m]; 0 of one.
        aside: Share of the spacing that leaves the plane of the bend.
        setback: What the first and the second leg are shortened by, from the node to the fitting's centre [m].
    """

    fittings: tuple[str, ...]
    move: float
    turned: float = 0.0
    spacing: float = 0.0
    aside: float = 0.0
    setback: tuple[float, float] = (0.0, 0.0)


def single(bend: float, fitting: str, made: float, far: float) -> Bend:
    """One fitting, the line beyond turned about the node to its angle.

    Args:
        bend: Angle drawn [degrees].
        fitting, made: The fitting and its angle [degrees].
        far: Distance from the node to the furthest place that is turned [m].
    """
    turned = made - bend
    return Bend((fitting,), 2 * far * math.sin(math.radians(abs(turned)) / 2), turned)


def double(bend: float, first: tuple[str, float], second: tuple[str, float], spacing: float) -> Bend | None:
    """Two fittings turned against each other; None where they do not make the bend.

    Args:
        bend: Angle drawn [degrees].
        first, second: (fitting, its angle [degrees]); the first may be the branch of a tee or wye.
        spacing: Centre to centre [m].
    """
    (name_a, a), (name_b, b) = first, second
    if not abs(a - b) - CLOSE <= bend <= a + b + CLOSE or bend < CLOSE:
        return None
    cos_a, cos_b, cos_bend = (math.cos(math.radians(angle)) for angle in (a, b, bend))
    # The piece between them, a unit vector, along the first leg, along the second, and out of their plane.
    flat = 1 - cos_bend**2
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
    """Every way to make a bend by one fitting or by two.

    Args:
        bend: Angle drawn [degrees].
        firsts: What may stand alone or first: (fitting, angle [degrees]).
        elbows: What may stand second.
        spacing: Centre to centre of each two [m].
        far: Distance from the node to the furthest place that would be turned [m].
    """
    for fitting, made in firsts:
        yield single(bend, fitting, made, far)
    for first in firsts:
        for second in elbows:
            if first[1] > 0 and (turn := double(bend, first, second, spacing[first[0], second[0]])):
                yield turn


def best(found: Sequence[Bend], most_move: float) -> Bend | None:
    """The fewest fittings first, then the least move; None where every way moves the line further than it may."""
    kept = [turn for turn in found if turn.move <= most_move]
    return min(kept, key=lambda turn: (len(turn.fittings), turn.move), default=None)
