"""Channels from pool to pool: depth and velocity of uniform flow by Manning's formula, and the height of bank left."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pondkit.core.caution import Caution
from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Entry, Range, entry, holds, input_entry, with_cautions
from pondkit.core.result import Result
from pondkit.core.tables import rows_by_name
from pondkit.core.units import LENGTH, RATIO, Acceleration, Flow, Length, Ratio, Speed
from pondkit.trades.pools.inputs.links import Link
from pondkit.trades.water.cautions import (
    CHANNEL_BACKS_UP,
    CHANNEL_DROWNED,
    CHANNEL_OVERTOPS,
    CHANNEL_SHOOTS,
    CHANNEL_STEEP,
    UNIFORM_FLOW,
    judged,
)


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

    Working: depth at which area^(5/3) / wetted perimeter^(2/3) × √slope / n is the flow, in metres and seconds; area = depth ×
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


@dataclass(frozen=True, eq=False)
class ChannelResult(Result):
    """Figures of the channels; subject "from – to"."""

    channel_slope: tuple[Entry, ...] = ()
    channel_depth: tuple[Entry, ...] = ()
    channel_velocity: tuple[Entry, ...] = ()
    channel_froude: tuple[Entry, ...] = ()
    channel_freeboard: tuple[Entry, ...] = ()


@dataclass(frozen=True)
class Carried:
    """What a channel carries.

    Attributes:
        name: "from – to".
        link: As drawn.
        flow: [m³/s].
        drop: From the running water above to that below [m].
        head: Of the upper pool over the crest [m].
    """

    name: str
    link: Link
    flow: float
    drop: float
    head: float


def channels(carried: Sequence[Carried]) -> ChannelResult:
    """Figures of every channel with a length and a fall."""
    found: dict[str, list[Entry]] = {name: [] for name in ChannelResult.__dataclass_fields__}
    for course in carried:
        link = course.link
        if link.length is None or (course.drop <= 0 and link.slope is None):
            continue
        slope = (
            entry(channel_slope, course.name, source=USER, link_drop=course.drop, channel_length=link.length)
            if link.slope is None
            else _given(course, float(link.slope), float(link.length))
        )
        row = rows_by_name("trades/pools/channels")[link.bed]
        rough = Range(float(row["low"]), float(row["typical"]), float(row["high"]), row["source"])
        shape: dict[str, Any] = {
            "bed_width": link.crest_width if link.bed_width is None else link.bed_width,
            "side_batter": link.side_batter,
        }
        depth = entry(
            channel_depth,
            course.name,
            source=USER,
            flow=course.flow,
            channel_slope=slope.value,
            roughness=rough,
            **shape,
        )
        speed = entry(channel_velocity, course.name, source=USER, flow=course.flow, channel_depth=depth, **shape)
        waves = entry(
            channel_froude, course.name, source=USER, flow=course.flow, channel_depth=depth, gravity=GRAVITY, **shape
        )
        found["channel_slope"].append(slope)
        found["channel_depth"].append(with_cautions(depth, *_backs_up(course, depth, speed, waves)))
        found["channel_velocity"].append(speed)
        found["channel_froude"].append(judged(waves, CHANNEL_SHOOTS))
        if link.bank_height is not None:
            found["channel_freeboard"].append(_freeboard(course, float(link.bank_height), depth))
    return ChannelResult(**{name: tuple(entries) for name, entries in found.items()})


def _given(course: Carried, slope: float, length: float) -> Entry:
    figure = input_entry(course.name, slope, RATIO)
    under = slope * length - course.drop
    if under > 1e-6:
        return with_cautions(
            figure,
            CHANNEL_DROWNED(under=(under, LENGTH)),
        )
    return figure


def _backs_up(course: Carried, depth: Entry, speed: Entry, waves: Entry) -> list[Caution]:
    """Where slow water in the channel, not its crest, holds the upper pool up."""
    notes = [UNIFORM_FLOW()]
    up = depth.most + speed.least**2 / (2 * GRAVITY) - course.head
    if waves.least < 1 and up > 0.001:
        notes.append(CHANNEL_BACKS_UP(up=(up, LENGTH)))
    return notes


def _freeboard(course: Carried, bank: float, depth: Entry) -> Entry:
    figure = entry(channel_freeboard, course.name, source=USER, bank_height=bank, channel_depth=depth)
    ends, over = (figure.least, figure.value, figure.most), (-figure.least, LENGTH)
    return with_cautions(figure, *CHANNEL_OVERTOPS.where(*ends, over=over))
