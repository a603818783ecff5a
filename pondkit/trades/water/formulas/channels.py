"""Relations of channels: normal depth of uniform flow by Manning's formula, velocity, Froude number, freeboard."""

from dataclasses import dataclass

from pondkit.core.entry import holds
from pondkit.core.units import Acceleration, Flow, Length, Ratio, Speed
from pondkit.trades.water.cautions import CHANNEL_STEEP


@dataclass(frozen=True)
class Wet:
    """Flow area [m²], wetted perimeter and width of the surface [m] of a trapezoid."""

    area: float
    perimeter: float
    top: float


def wet(depth: float, bed_width: float, side_batter: float) -> Wet:
    """The wetted part of a trapezoid filled to a depth [m]; ``side_batter``: horizontal per vertical of both sides."""
    return Wet(
        depth * (bed_width + side_batter * depth),
        bed_width + 2 * depth * (1 + side_batter**2) ** 0.5,
        bed_width + 2 * side_batter * depth,
    )


def channel_slope(link_drop: Length, channel_length: Length) -> Ratio:
    """Fall of the bed over its length: it takes the whole drop.

    Source: geometry
    """
    return link_drop / channel_length


@holds(lambda channel_slope: channel_slope <= 0.1, CHANNEL_STEEP)
def channel_depth(flow: Flow, bed_width: Length, side_batter: Ratio, channel_slope: Ratio, roughness: Ratio) -> Length:
    """Normal depth of uniform flow in the channel.

    Working: depth at which area^(5/3) / wetted perimeter^(2/3) × √slope / n is the flow, in metres and seconds;
    area = depth ×
    (bed width + side batter × depth), wetted perimeter = bed width + 2 depth √(1 + side batter²)
    Source: Manning's formula (Chow 1959, Open-Channel Hydraulics)
    """

    from scipy.optimize import brentq

    def over(depth: float) -> float:
        full = wet(depth, bed_width, side_batter)
        return float(full.area ** (5 / 3) / full.perimeter ** (2 / 3) * channel_slope**0.5 / roughness - flow)

    high = 0.05
    while over(high) < 0:
        high *= 2
    return float(brentq(over, 0.0, high, xtol=1e-12))


def channel_velocity(flow: Flow, channel_depth: Length, bed_width: Length, side_batter: Ratio) -> Speed:
    """Mean velocity in the channel.

    Source: conservation of mass
    """
    return flow / (channel_depth * (bed_width + side_batter * channel_depth))


def channel_froude(
    flow: Flow, channel_depth: Length, bed_width: Length, side_batter: Ratio, gravity: Acceleration
) -> Ratio:
    """Froude number: velocity over that of a small wave; over 1 the water shoots.

    Working: velocity / √(g area / width of the surface)
    Source: definition (Chow 1959, Open-Channel Hydraulics)
    """
    full = wet(channel_depth, bed_width, side_batter)
    return float(flow / full.area / (gravity * full.area / full.top) ** 0.5)


def channel_freeboard(bank_height: Length, channel_depth: Length) -> Length:
    """Height of bank over the water.

    Source: geometry
    """
    return bank_height - channel_depth
