"""Strips of liner under falls and channels."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.liner.cautions import (
    CHANNEL_WITHOUT_BANK,
    CHANNEL_WITHOUT_LENGTH,
    CHANNEL_WITHOUT_SIDES,
    LAP_OVER_LOWER,
)
from pondkit.trades.liner.formulas import edge as rel
from pondkit.trades.liner.inputs import Lining, lined_pools
from pondkit.trades.pools.inputs import Link


@dataclass(frozen=True)
class ChannelBed:
    """A channel as its strip sees it.

    Attributes:
        length: Along its bed [m]; None where not entered.
        slope: Fall of the bed over its length; None where it takes the whole drop.
        bed_width: [m].
        side_batter: Of both sides, horizontal per vertical.
        bank_height: Over the bed [m]; None where not entered.
        depth: Of the water that runs in it [m]; None where not known.
    """

    length: float | None
    slope: float | None
    bed_width: float
    side_batter: float
    bank_height: float | None
    depth: float | None


@dataclass(frozen=True)
class Fall:
    """A link as the liner sees it: name, crest's place on the site, width and level, the levels of its two waters [m];
    its channel.
    """

    name: str
    at: tuple[float, float]
    width: float
    crest: float
    upper: SiteSurface
    lower: SiteSurface
    channel: ChannelBed | None = None


def liner_under(lining: Lining, link: Link) -> str | None:
    """The one liner on which both pools of a link lie: no strip is wanted there. None where there is none."""
    return next((liner.name for liner in lining.liners if {link.from_, link.to} <= set(liner.covers)), None)


def links_on_one(lining: Lining, links: Sequence[Link]) -> tuple[tuple[str, str], ...]:
    """(liner, link) of each link both of whose pools lie on one liner."""
    return tuple(
        (liner, f"{link.from_} – {link.to}") for link in links if (liner := liner_under(lining, link)) is not None
    )


def falls_of(
    lining: Lining, links: Sequence[Link], surfaces: Mapping[str, SiteSurface], channel_depths: Sequence[Entry]
) -> tuple[Fall, ...]:
    """Links of which both pools could be worked out and one at least is lined.

    Args:
        lining: As entered.
        links: As drawn.
        surfaces: Liner surface of each pool that could be worked out.
        channel_depths: Of the water that runs in channels, as far as it is known.
    """
    depths = {depth.subject: depth.most for depth in channel_depths}
    falls = []
    for link in links:
        lined = lined_pools(lining) & {link.from_, link.to} and not liner_under(lining, link)
        if link.from_ in surfaces and link.to in surfaces and lined:
            name = f"{link.from_} – {link.to}"
            upper, lower = surfaces[link.from_], surfaces[link.to]
            crest = upper.level if link.crest_level is None else float(link.crest_level)
            bed = _channel(link, depths.get(name)) if link.kind == "channel" else None
            at = (float(link.at[0]), float(link.at[1]))
            falls.append(Fall(name, at, float(link.crest_width), crest, upper, lower, bed))
    return tuple(falls)


def _channel(link: Link, depth: float | None) -> ChannelBed:
    length, slope, bank = (None if v is None else float(v) for v in (link.length, link.slope, link.bank_height))
    wide = float(link.crest_width if link.bed_width is None else link.bed_width)
    return ChannelBed(length, slope, wide, float(link.side_batter), bank, depth)


def link_strips(lining: Lining, falls: tuple[Fall, ...]) -> Iterator[tuple[Entry, Entry, Entry]]:
    """Length, width and area of the strip under each link."""
    for fall in falls:
        length = _length(lining, fall)
        width = _width(lining, fall)
        yield length, width, entry(rel.strip_area, fall.name, length=length, width=width)


def _length(lining: Lining, fall: Fall) -> Entry:
    upper, lower = _gap(fall.upper, fall.at), _gap(fall.lower, fall.at)
    drop = max(fall.crest - fall.lower.level, 0.0)
    bed = fall.channel
    if bed is None or bed.length is None:
        notes = [LAP_OVER_LOWER(), *([CHANNEL_WITHOUT_LENGTH()] if bed else [])]
        return entry(
            rel.strip_length,
            fall.name,
            source=USER,
            cautions=notes,
            upper_gap=upper,
            drop=drop,
            lower_gap=lower,
            lap=lining.link_lap,
        )
    along = drop if bed.slope is None else min(bed.slope * bed.length, drop)
    return entry(
        rel.channel_strip_length,
        fall.name,
        source=USER,
        cautions=[LAP_OVER_LOWER()],
        upper_gap=upper,
        bed=bed.length,
        straight=math.hypot(lower, along),
        end_drop=drop - along,
        lap=lining.link_lap,
    )


def _width(lining: Lining, fall: Fall) -> Entry:
    bed = fall.channel
    if bed is None:
        return entry(rel.strip_width, fall.name, source=USER, crest_width=fall.width, beside=lining.link_beside)
    notes: list[Caution] = []
    if bed.bank_height is None:
        notes = [CHANNEL_WITHOUT_SIDES() if bed.depth is None else CHANNEL_WITHOUT_BANK()]
    high = bed.bank_height if bed.bank_height is not None else bed.depth or 0.0
    return entry(
        rel.channel_strip_width,
        fall.name,
        source=USER,
        cautions=notes,
        bed_width=bed.bed_width,
        bank_height=high,
        side_batter=bed.side_batter,
        beside=lining.link_beside,
    )


def _gap(laid: SiteSurface, at: tuple[float, float]) -> float:
    """Level distance from a place to a pool's waterline [m]; 0 inside it."""
    own = laid.placed.to_own(np.array([at]))
    return max(-float(laid.surface.pool.shape.inward(own)[0]), 0.0)
