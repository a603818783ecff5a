"""Pump curves through points read off a maker's chart, and a pump together with its own line of pipe."""

import math
from bisect import bisect_right
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from pondkit.core.constants import GRAVITY
from pondkit.solvers.friction import Conduit, rising_root

TINY = 1e-12  # m³/s: keeps the two ends of a bracket apart
AT_THE_END = 0.999  # share of a bracket's upper end from which the root may lie beyond it


@dataclass(frozen=True)
class Curve:
    """A falling pump curve: flow [m³/s], head [m] and slope of the head over the flow [s/m²] at its points, in order of
    rising flow; continued straight beyond its first and last point.
    """

    flows: tuple[float, ...]
    heads: tuple[float, ...]
    slopes: tuple[float, ...]

    def head(self, flow: float) -> tuple[float, float]:
        """(head [m], slope [s/m²]) at a flow of zero or more."""
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
        """Head at zero flow [m]."""
        return self.head(0.0)[0]


def curve_through(flows: tuple[float, ...], heads: tuple[float, ...]) -> Curve:
    """The curve through points in order of rising flow and falling head; it falls between them as well.

    Source: monotone cubic interpolation (SIAM J. Numer. Anal. 17, 1980, 238), by the scipy library
    """
    from scipy.interpolate import PchipInterpolator

    flow_values = np.array(flows)
    slopes = [float(v) for v in PchipInterpolator(flow_values, np.array(heads)).derivative()(flow_values)]
    # An end may be level: it is then continued as steeply as the chord beside it, so that each head has one flow.
    chord = (heads[-1] - heads[-2]) / (flows[-1] - flows[-2])
    return Curve(flows, heads, (*slopes[:-1], min(slopes[-1], chord)))


@dataclass(frozen=True)
class PumpPath:
    """A pump in its own line, from the intake to the point where the pumps' lines meet.

    Attributes:
        name: The pump.
        conduit: Pipe and fittings of its line.
        curve: Its pump curve.
        running: False if it is switched off.
        check_valve: True if its line has one, so that no water flows back.
        idle_k: Loss coefficient of the pump that is switched off, on the velocity head of its line.
    """

    name: str
    conduit: Conduit
    curve: Curve
    running: bool
    check_valve: bool
    idle_k: float

    def flow(self, lift: float, near: float | None = None) -> tuple[float, float]:
        """(flow [m³/s] against a lift [m] between the two ends of its line, its derivative with respect to the lift
        [m²/s], never positive).

        Args:
            lift: Hydraulic head at the end of its line less the water level that it draws from [m].
            near: An estimate of the flow; affects speed only.
        """
        if not self.running:
            if self.check_valve and lift >= 0:
                return 0.0, 0.0
            flow, slope = self._idle.flow(-lift, near)
            return flow, -slope
        if lift >= self.curve.shutoff and self.check_valve:
            return 0.0, 0.0

        def excess(q: float) -> tuple[float, float]:
            loss, slope = self.conduit.loss(q)
            gain, fall = self.gain(q)
            return loss - gain + lift, slope - fall

        last, drop = self._last
        # estimate: head falls with the square of the flow
        likely = last * math.sqrt(abs(self.curve.shutoff - lift) / drop)
        if lift > self.curve.shutoff:
            low, high = -4 * likely, 0.0
            while excess(low)[0] > 0:
                low *= 2
        else:
            low, high = 0.0, 4 * likely + TINY
        start = math.copysign(likely, low + high) if near is None or not low < near < high else near
        flow, slope = rising_root(excess, low, high, start)
        while high and flow > AT_THE_END * high:
            high *= 2
            flow, slope = rising_root(excess, low, high, flow)
        return flow, -1 / slope

    def lift(self, flow: float) -> tuple[float, float]:
        """(lift [m] between the two ends of its line at a flow of either sign, its derivative with respect to the flow
        [s/m²], always negative).
        """
        if not self.running:
            loss, slope = self._idle.loss(flow)
            return -loss, -slope
        gain, fall = self.gain(flow)
        loss, slope = self.conduit.loss(flow)
        return gain - loss, fall - slope

    @cached_property
    def _idle(self) -> Conduit:
        """Pipe and fittings of its line with the loss of the stopped pump."""
        return replace(self.conduit, k=self.conduit.k + self.idle_k)

    @cached_property
    def _last(self) -> tuple[float, float]:
        """(flow at the last point of the curve [m³/s], shutoff head less the lift at that flow [m])."""
        flow = self.curve.flows[-1]
        return flow, self.curve.shutoff - self.curve.heads[-1] + self.conduit.loss(flow)[0]

    def gain(self, flow: float) -> tuple[float, float]:
        """(head that the running pump adds at a flow [m³/s] of either sign [m], its slope [s/m²]); water forced back
        through it meets the loss of a stopped pump as well.
        """
        if flow >= 0:
            return self.curve.head(flow)
        shutoff, slope = self.curve.head(0.0)
        square = self.idle_k / (2 * GRAVITY * self.conduit.area**2)
        return shutoff + slope * flow + square * flow**2, slope + 2 * square * flow
