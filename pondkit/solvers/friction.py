"""Head loss of a pipe with its fittings at a flow, and the flow that a head drives through it."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from pondkit.core.constants import GRAVITY

LAMINAR, TURBULENT = 2000.0, 4000.0  # Reynolds numbers between which the flow may be laminar or turbulent
SMALLEST_F = 0.004  # below the friction factor of any pipe: gives an upper bound of the flow
LIKELY_F = 0.024  # a usual friction factor: from there Newton's method needs few steps
# Last step over the larger end of the bracket. It is this small because a wide pipe turns a millimetre of head into
# litres a second: at 1e-9 the flows of a branch about to shut missed the flow that comes in by up to a fifth.
CLOSE = 1e-12


@dataclass(frozen=True)
class Conduit:
    """One line of pipe.

    Attributes:
        bore, length: Inside diameter and length [m], both above 0.
        k: Sum of the loss coefficients of its fittings.
        roughness: Roughness of its wall [m].
        viscosity: Kinematic viscosity of the water [m²/s].
        over_smooth: Friction over that of a smooth pipe of its bore and roughness: more than 1 for a corrugated hose.
    """

    bore: float
    length: float
    k: float
    roughness: float
    viscosity: float
    over_smooth: float = 1.0

    @cached_property
    def area(self) -> float:
        """Cross-section of the bore [m²]."""
        return math.pi / 4 * self.bore**2

    def loss(self, flow: float) -> tuple[float, float]:
        """(head loss [m], its slope over the flow [s/m²]) at a flow [m³/s] of either sign.

        Source: Darcy-Weisbach, with K v²/2g for the fittings
        """
        speed = abs(flow) / self.area
        reynolds = speed * self.bore / self.viscosity
        slender = self.over_smooth * self.length / self.bore
        if reynolds < LAMINAR:
            linear = 32 * self.viscosity * slender / (GRAVITY * self.bore)
            head = linear * speed + self.k * speed**2 / (2 * GRAVITY)
            slope = (linear + self.k * speed / GRAVITY) / self.area
        else:
            f, power = friction(reynolds, self.roughness / self.bore)
            head = (f * slender + self.k) * speed**2 / (2 * GRAVITY)
            slope = ((2 + power) * f * slender + 2 * self.k) * speed / (2 * GRAVITY * self.area)
        return math.copysign(head, flow), slope

    def flow(self, head: float, near: float | None = None) -> tuple[float, float]:
        """(flow that a head difference drives [m³/s], its slope over the head [m²/s]); either sign.

        Args:
            head: Head difference between the two ends [m].
            near: An estimate of the flow; affects speed only.
        """
        if head == 0:
            return 0.0, 1 / self.loss(0.0)[1]
        target_head = abs(head)
        slender, speed = self.over_smooth * self.length / self.bore, math.sqrt(2 * GRAVITY * target_head)
        most = self.area * speed / math.sqrt(SMALLEST_F * slender + self.k)
        start = near * math.copysign(1.0, head) if near else 0.0
        if not 0 < start < most:
            start = self.area * speed / math.sqrt(LIKELY_F * slender + self.k)

        def excess(q: float) -> tuple[float, float]:
            loss, slope = self.loss(q)
            return loss - target_head, slope

        flow, slope = rising_root(excess, 0.0, most, start)
        return math.copysign(flow, head), 1 / slope


@dataclass(frozen=True)
class Resistance:
    """Head loss of something other than pipe, such as a screen or a bed of media.

    Attributes:
        always: Part that does not depend on the flow, and does not change sign with it [m].
        linear: Factor of the flow [s/m²].
        square: Factor of the square of the flow [s²/m⁵].
    """

    always: float = 0.0
    linear: float = 0.0
    square: float = 0.0

    def loss(self, flow: float) -> tuple[float, float]:
        """(head loss [m], its slope over the flow [s/m²]) at a flow [m³/s] of either sign."""
        return (
            self.always + self.linear * flow + self.square * flow * abs(flow),
            self.linear + 2 * self.square * abs(flow),
        )


@dataclass(frozen=True)
class Series:
    """Losses in series, all with the same flow; zero if there are none."""

    parts: tuple["Conduit | Resistance", ...] = ()

    def loss(self, flow: float) -> tuple[float, float]:
        """(head loss [m], its slope over the flow [s/m²]) at a flow [m³/s] of either sign."""
        part_losses = [part.loss(flow) for part in self.parts]
        return sum(head for head, _ in part_losses), sum(slope for _, slope in part_losses)


NO_LOSS = Series()


def friction(reynolds: float, relative_roughness: float) -> tuple[float, float]:
    """(Darcy friction factor f, its exponent in the Reynolds number: d ln f / d ln Re).

    Laminar 64/Re up to 2000, Colebrook from 4000 on, and a straight line between, so that the head loss has no jump.

    Source: Colebrook, solved by the fluids library (Clamond's method); laminar 64/Re (Hagen-Poiseuille)
    """
    from fluids.friction import Clamond

    if reynolds < LAMINAR:
        return 64 / reynolds, -1.0
    if reynolds < TURBULENT:
        first, last = 64 / LAMINAR, Clamond(TURBULENT, relative_roughness)
        slope = (last - first) / (TURBULENT - LAMINAR)
        f = first + slope * (reynolds - LAMINAR)
        return f, slope * reynolds / f
    f = Clamond(reynolds, relative_roughness)
    x = 1 / math.sqrt(f)
    smooth = 2.51 * x / reynolds
    s = 2 / math.log(10) * smooth / (relative_roughness / 3.7 + smooth)
    return f, -2 * s / (x + s)


def rising_root(
    f: Callable[[float], tuple[float, float]], low: float, high: float, start: float
) -> tuple[float, float]:
    """(root of a rising function, its slope there), from a bracket of the root.

    Takes Newton's step if it stays within the bracket and is at most half of the step before the last, else bisects.

    Args:
        f: Gives (value, slope).
        low, high: Bracket of the root: f is at most 0 at low and at least 0 at high.
        start: First value to try.
    """
    x, slope = start, 0.0
    last, before = high - low, high - low
    for _ in range(200):
        value, slope = f(x)
        if value == 0:
            return x, slope
        if value > 0:
            high = x
        else:
            low = x
        nxt = x - value / slope if slope > 0 else low
        step = abs(nxt - x)
        if slope > 0 and step <= CLOSE * max(abs(low), abs(high)):
            return nxt, slope
        if not low < nxt < high or step > before / 2:
            nxt = (low + high) / 2
            step = abs(nxt - x)
            if step <= CLOSE * max(abs(low), abs(high)):
                return nxt, slope
        x, before, last = nxt, last, step
    return x, slope
