"""Channels from pool to pool: depth and velocity of uniform flow by Manning's formula, and the height of bank left."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pondkit.core.caution import Caution
from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Entry, Range, entry, input_entry, with_cautions
from pondkit.core.tables import rows_by_name
from pondkit.core.units import LENGTH, RATIO
from pondkit.trades.pools.inputs.links import Link
from pondkit.trades.water.cautions import (
    CHANNEL_BACKS_UP,
    CHANNEL_DROWNED,
    CHANNEL_OVERTOPS,
    CHANNEL_SHOOTS,
    UNIFORM_FLOW,
    judged,
)
from pondkit.trades.water.formulas.channels import (
    channel_depth,
    channel_freeboard,
    channel_froude,
    channel_slope,
    channel_velocity,
)
from pondkit.trades.water.results import ChannelResult


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
