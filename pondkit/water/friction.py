"""What a pipe with its fittings takes of the head at a flow, and the flow that a head drives through it."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from fluids.friction import Clamond

from pondkit.reference.constants import GRAVITY

LAMINAR, TURBULENT = 2000.0, 4000.0  # Reynolds numbers between which the flow is one or the other
SMALLEST_F = 0.004  # no friction factor of a pipe is smaller: gives a flow that is surely too large
LIKELY_F = 0.024  # a start from which Newton's steps are few
CLOSE = 1e-6  # last step of a root; as the steps shrink squared, what is left is far less


@dataclass(frozen=True)
class Conduit:
    """One line: bore and length [m], sum of its loss coefficients, roughness [m], kinematic viscosity in it [m²/s]."""

    bore: float
    length: float
    k: float
    roughness: float
    viscosity: float

    @cached_property
    def area(self) -> float:
        """Area of the bore [m²]."""
        return math.pi / 4 * self.bore**2

    def loss(self, flow: float) -> tuple[float, float]:
        """(head taken [m], its slope over the flow [s/m²]); both signs of flow.

        Source: Darcy-Weisbach, with K v²/2g for the fittings
        """
        speed = abs(flow) / self.area
        reynolds = speed * self.bore / self.viscosity
        slender = self.length / self.bore
        if reynolds < LAMINAR:
            linear = 32 * self.viscosity * self.length / (GRAVITY * self.bore**2)
            head = linear * speed + self.k * speed**2 / (2 * GRAVITY)
            slope = (linear + self.k * speed / GRAVITY) / self.area
        else:
            f, power = friction(reynolds, self.roughness / self.bore)
            head = (f * slender + self.k) * speed**2 / (2 * GRAVITY)
            slope = ((2 + power) * f * slender + 2 * self.k) * speed / (2 * GRAVITY * self.area)
        return math.copysign(head, flow), slope

    def flow(self, head: float) -> float:
        """Flow that a head drives [m³/s]; both signs."""
        if head == 0:
            return 0.0
        wanted = abs(head)
        slender, speed = self.length / self.bore, math.sqrt(2 * GRAVITY * wanted)
        most = self.area * speed / math.sqrt(SMALLEST_F * slender + self.k)
        start = self.area * speed / math.sqrt(LIKELY_F * slender + self.k)

        def over(q: float) -> tuple[float, float]:
            lost, slope = self.loss(q)
            return lost - wanted, slope

        return math.copysign(rising_root(over, 0.0, most, start), head)


def friction(reynolds: float, relative_roughness: float) -> tuple[float, float]:
    """(Darcy friction factor, its power in the Reynolds number: d ln f / d ln Re).

    Laminar 64/Re up to 2000, Colebrook from 4000 on, a straight line between, so that the head rises without a jump.

    Source: Colebrook, solved by the fluids library (Clamond's method); laminar 64/Re (Hagen-Poiseuille)
    """
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


def rising_root(f: Callable[[float], tuple[float, float]], low: float, high: float, start: float) -> float:
    """Where a rising function is 0, between a place where it is not above 0 and one where it is not below.

    Newton's step where it stays between the two, else the middle of them.

    Args:
        f: (value, slope) at a place.
        low, high: Ends between which the root lies.
        start: First place to look at.
    """
    x = start
    for _ in range(200):
        value, slope = f(x)
        if value == 0:
            return x
        if value > 0:
            high = x
        else:
            low = x
        nxt = x - value / slope if slope > 0 else (low + high) / 2
        if not low < nxt < high:
            nxt = (low + high) / 2
        if abs(nxt - x) <= CLOSE * max(abs(low), abs(high)):
            return nxt
        x = nxt
    return x
