"""A pump's curve through the points that a person enters from print."""

import math
from bisect import bisect_right
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from pondkit.core.constants import GRAVITY
from pondkit.solvers.friction import Conduit, rising_root

TINY = 1e-12  # m³/s: keeps the ends between which a flow is looked for apart
NEARLY = 0.999


@dataclass(frozen=True)
class Curve:
    """A falling curve: flows [m³/s], heads [m] and slopes [s/m²] at its points; straight on beyond its ends."""

    flows: tuple[float, ...]
    heads: tuple[float, ...]
    slopes: tuple[float, ...]

    def head(self, flow: float) -> tuple[float, float]:
        """(head [m], slope [s/m²]) at a flow of 0 or more."""
        q, h, m = self.flows, self.heads, self.slopes
        if flow <= q[0]:
            return h[0] + m[0] * (flow - q[0]), m[0]
        if flow >= q[-1]:
            return h[-1] + m[-1] * (flow - q[-1]), m[-1]
        i = bisect_right(q, flow) - 1
        wide = q[i + 1] - q[i]
        t = (flow - q[i]) / wide
        a, b = h[i], h[i + 1]
        c, d = m[i] * wide, m[i + 1] * wide
        cubic, square = 2 * (a - b) + c + d, 3 * (b - a) - 2 * c - d
        return ((cubic * t + square) * t + c) * t + a, ((3 * cubic * t + 2 * square) * t + c) / wide

    @property
    def shutoff(self) -> float:
        """Head at no flow [m]."""
        return self.head(0.0)[0]


def curve_through(flows: tuple[float, ...], heads: tuple[float, ...]) -> Curve:
    """The curve through points in order of rising flow and falling head; it falls between them too.

    Source: monotone cubic interpolation (SIAM J. Numer. Anal. 17, 1980, 238), by the scipy library
    """
    from scipy.interpolate import PchipInterpolator

    flow_values = np.array(flows)
    slopes = [float(v) for v in PchipInterpolator(flow_values, np.array(heads)).derivative()(flow_values)]
    # An end may come out level: it then falls on as steeply as the chord beside it, so that each head has one flow.
    chord = (heads[-1] - heads[-2]) / (flows[-1] - flows[-2])
    return Curve(flows, heads, (*slopes[:-1], min(slopes[-1], chord)))


@dataclass(frozen=True)
class PumpPath:
    """A pump in its own line, from the intake to where the pumps' lines meet.

    Attributes:
        name: The pump.
        conduit: Its line.
        curve: Its curve.
        running: False for one that stands still.
        check_valve: True where nothing can run back.
        idle_k: Loss coefficient, on the line's velocity head, of water running through it while it stands still.
    """

    name: str
    conduit: Conduit
    curve: Curve
    running: bool
    check_valve: bool
    idle_k: float

    def flow(self, lift: float, near: float | None = None) -> tuple[float, float]:
        """(flow [m³/s] against a lift [m] between the two ends of its line, its slope over the lift [m²/s], never
        over 0).

        Args:
            lift: Height from the water that it draws from to where its line ends, as levels [m].
            near: A flow that it is likely near; only for speed.
        """
        if not self.running:
            if self.check_valve and lift >= 0:
                return 0.0, 0.0
            flow, slope = self._idle.flow(-lift, near)
            return flow, -slope
        if lift >= self.curve.shutoff and self.check_valve:
            return 0.0, 0.0

        def over(q: float) -> tuple[float, float]:
            loss, slope = self.conduit.loss(q)
            gain, fall = self.gain(q)
            return loss - gain + lift, slope - fall

        last, drop = self._last
        likely = last * math.sqrt(abs(self.curve.shutoff - lift) / drop)  # as if head fell with the square of the flow
        if lift > self.curve.shutoff:
            low, high = -4 * likely, 0.0
            while over(low)[0] > 0:
                low *= 2
        else:
            low, high = 0.0, 4 * likely + TINY
        start = math.copysign(likely, low + high) if near is None or not low < near < high else near
        flow, slope = rising_root(over, low, high, start)
        while high and flow > NEARLY * high:  # the root lies further out
            high *= 2
            flow, slope = rising_root(over, low, high, flow)
        return flow, -1 / slope

    def lift(self, flow: float) -> tuple[float, float]:
        """(lift [m] between the two ends of its line at a flow of any sign, its slope over the flow [s/m²], under
        0).
        """
        if not self.running:
            loss, slope = self._idle.loss(flow)
            return -loss, -slope
        gain, fall = self.gain(flow)
        loss, slope = self.conduit.loss(flow)
        return gain - loss, fall - slope

    @cached_property
    def _idle(self) -> Conduit:
        """Its line with the still pump in it."""
        return replace(self.conduit, k=self.conduit.k + self.idle_k)

    @cached_property
    def _last(self) -> tuple[float, float]:
        """(flow at the curve's last point [m³/s], how far the head behind the line has fallen by there [m])."""
        flow = self.curve.flows[-1]
        return flow, self.curve.shutoff - self.curve.heads[-1] + self.conduit.loss(flow)[0]

    def gain(self, flow: float) -> tuple[float, float]:
        """(head that the running pump gives [m], slope); water forced back through it meets the idle loss besides."""
        if flow >= 0:
            return self.curve.head(flow)
        shutoff, slope = self.curve.head(0.0)
        square = self.idle_k / (2 * GRAVITY * self.conduit.area**2)
        return shutoff + slope * flow + square * flow**2, slope + 2 * square * flow
