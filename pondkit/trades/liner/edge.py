"""The liner beyond the water: its edge round the rims, laid flat, turned up or in an anchor trench; its folds along the
rims; and the strips under falls and channels, which are lapped onto the liners.
"""

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry, with_cautions
from pondkit.core.units import LENGTH
from pondkit.geometry.site_line import highest_along, length_of
from pondkit.geometry.site_surface import SiteSurface, ring_outside
from pondkit.geometry.terrain import Terrain
from pondkit.trades.liner import cautions as rules
from pondkit.trades.liner import formulas as rel
from pondkit.trades.liner.inputs import TRENCH, UP, Lining, lined_pools
from pondkit.trades.liner.results import LinerFootprint, LiningResult
from pondkit.trades.pools.inputs import Link

STRETCHES = 8  # equal lengths of a rim, for which folds are given


# --- the edge round the rims ---


def edge_of(lining: Lining | None) -> float:
    """Width of liner beyond the rim, measured along the liner [m]; 0 if the option has no liners."""
    if lining is None:
        return 0.0
    if lining.edge_kind != TRENCH:
        return float(lining.edge)
    return float(rel.trench_edge(lining.edge, lining.edge_back, lining.trench_depth, lining.trench_width))


def reach_of(lining: Lining | None) -> float:
    """How far the liner or its anchor trench reaches beyond the rim, in plan [m]; what hangs down in the trench takes
    no ground.
    """
    if lining is None:
        return 0.0
    return edge_of(lining) - (2 * float(lining.trench_depth) if lining.edge_kind == TRENCH else 0.0)


def trench_centre_out(lining: Lining) -> float | None:
    """Distance of the anchor trench's centre line from the rim [m]; None without a trench."""
    return float(lining.edge_back) + float(lining.trench_width) / 2 if lining.edge_kind == TRENCH else None


def anchor_soil(lining: Lining | None, result: LiningResult | None) -> float | None:
    """Soil out of all anchor trenches, in place [m³]; 0 without any, None if a liner has a problem.

    Args:
        lining, result: Inputs and result of the liners; None if the option has none.
    """
    if lining is None or lining.edge_kind != TRENCH:
        return 0.0
    if result is None or result.problems or len(result.extras.trench_volume) < len(lining.liners):
        return None
    return sum(trench.value for trench in result.extras.trench_volume)


@dataclass(frozen=True)
class GroundBeside:
    """The highest ground beside a pool's turned-up liner.

    Attributes:
        subject: "liner / pool".
        rim_level: Site level of the pool's rim [m].
        level: Site level of the ground [m].
        at: Where the ground is that high, on the site [m].
    """

    subject: str
    rim_level: float
    level: float
    at: tuple[float, float]


def ground_beside(
    lining: Lining, footprints: Sequence[LinerFootprint], ground: Terrain | None
) -> tuple[GroundBeside, ...]:
    """The highest ground along the turned-up edge of each pool; empty if the liners end otherwise.

    Args:
        lining: Inputs of the liners.
        footprints: The liners with their pools.
        ground: Existing ground in site axes; None, for which this is empty, if it has a problem.
    """
    if ground is None or lining.edge_kind != UP:
        return ()
    highest = []
    for footprint in footprints:
        for name, pool in zip(footprint.names, footprint.surfaces, strict=True):
            others = (other for other in footprint.surfaces if other is not pool)
            neighbours = tuple((other.surface.pool.shape, other.placed, other.rim) for other in others)
            line = (pool.surface.pool.shape, pool.placed, pool.rim + float(lining.edge_back))
            top = highest_along(line, neighbours, ground)
            if top.at is not None:
                highest.append(GroundBeside(f"{footprint.liner.name} / {name}", pool.rim_level, top.level, top.at))
    return tuple(highest)


def edges_above_soil(lining: Lining, grounds: tuple[GroundBeside, ...]) -> Iterator[Entry]:
    """Height of each turned-up edge above the ground beside it."""
    for ground in grounds if lining.edge_kind == UP else ():
        figure = entry(
            rel.edge_above_soil,
            ground.subject,
            source=USER,
            rim_level=ground.rim_level,
            rise=lining.edge_rise,
            soil=ground.level,
        )
        soil_over_edge = ground.level - ground.rim_level - float(lining.edge_rise)
        east, north = ground.at
        caution = rules.SOIL_OVER_EDGE.where(
            figure.least,
            figure.value,
            figure.most,
            under=(soil_over_edge, LENGTH),
            east=(east, LENGTH),
            north=(north, LENGTH),
        )
        yield with_cautions(figure, *caution)


def trench_edges(lining: Lining, footprints: tuple[LinerFootprint, ...]) -> Iterator[Entry]:
    """Width of each liner beyond the rim that an anchor trench takes."""
    for footprint in footprints if lining.edge_kind == TRENCH else ():
        yield entry(rel.trench_edge, footprint.liner.name, source=USER, edge=lining.edge, **_trench_sizes(lining))


def edge_spare(lining: Lining, footprint: LinerFootprint) -> Entry:
    """Width of a liner beyond the rim, less what its end takes."""
    name = footprint.liner.name
    if lining.edge_kind == UP:
        return entry(
            rel.edge_spare_up, name, source=USER, edge=lining.edge, back=lining.edge_back, rise=lining.edge_rise
        )
    if lining.edge_kind == TRENCH:
        return entry(rel.edge_spare_trench, name, source=USER, edge=edge_of(lining), **_trench_sizes(lining))
    return entry(rel.edge_spare_flat, name, source=USER, edge=lining.edge)


def trench_volumes(lining: Lining, footprints: tuple[LinerFootprint, ...]) -> Iterator[Entry]:
    """Volume of the anchor trench of each liner."""
    cautions = [rules.SERVICES_AT_ANCHOR(), *_small_trench_cautions(lining)]
    for footprint in footprints:
        if footprint.trench is not None:
            round_several = [rules.ONE_ANCHOR_TRENCH()] if len(footprint.surfaces) > 1 else []
            yield entry(
                rel.trench_volume,
                footprint.liner.name,
                source=USER,
                cautions=[*cautions, *round_several],
                centre_line=length_of(footprint.trench),
                depth=lining.trench_depth,
                width=lining.trench_width,
            )


def _trench_sizes(lining: Lining) -> dict[str, Any]:
    return {"back": lining.edge_back, "depth": lining.trench_depth, "width": lining.trench_width}


def _small_trench_cautions(lining: Lining) -> Iterator[Caution]:
    """Cautions of a trench smaller than the published minimum."""
    for rule, least, has in (
        (rules.ANCHOR_SHALLOW, rules.TRENCH_DEPTH, lining.trench_depth),
        (rules.ANCHOR_NARROW, rules.TRENCH_WIDTH, lining.trench_width),
        (rules.ANCHOR_NEAR_RIM, rules.TRENCH_BACK, lining.edge_back),
    ):
        if has < least - 1e-9:
            yield rule(has=(has, LENGTH), least=(least, LENGTH))


def folds(footprint: LinerFootprint) -> Iterator[Entry]:
    """Excess liner in folds along each rim, by stretches of equal length from its first point on."""
    for name, surface in zip(footprint.names, footprint.surfaces, strict=True):
        ring = ring_outside(surface, surface.rim)
        sides = np.diff(ring, axis=0)
        bearing = np.arctan2(sides[:, 1], sides[:, 0])
        # Angle by which the rim turns at each corner, positive the way it goes round.
        turns = np.mod(np.diff(bearing, append=bearing[0]) + math.pi, 2 * math.pi) - math.pi
        turns *= math.copysign(1.0, float(turns.sum()))
        ends = np.cumsum(np.linalg.norm(sides, axis=1))
        stretch = np.minimum(ends / ends[-1] * STRETCHES, STRETCHES - 1).astype(int)
        way, run = _way_to_middle(surface)
        for number in range(STRETCHES):
            turn_angle = math.degrees(float(turns[stretch == number].sum()))
            subject = f"{footprint.liner.name} / {name}, stretch {number + 1}"
            yield entry(rel.fold, subject, way=way, run=run, turn_angle=turn_angle)


def _way_to_middle(surface: SiteSurface) -> tuple[float, float]:
    """(length along the surface, level distance) from a pool's rim to the middle of its outline [m]."""
    part = surface.surface.pool
    middle = part.shape.inradius
    rim_depth = surface.level - surface.rim_level
    profile = [  # (level distance inward from the waterline, depth below it)
        (-surface.rim, rim_depth),
        *((inward, depth) for inward, depth in part.profile.corners if depth > rim_depth and inward < middle),
        (middle, part.middle),
    ]
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in itertools.pairwise(profile)]
    return sum(math.hypot(*step) for step in steps), sum(abs(inward) for inward, _ in steps)


# --- strips under falls and channels ---


@dataclass(frozen=True)
class ChannelBed:
    """Bed and sides of a channel, for the strip of liner under it.

    Attributes:
        length: Length along its bed [m]; None if not entered.
        slope: Slope of the bed, drop per length; None if the bed takes up the whole drop.
        bed_width: Width of its bed [m].
        side_batter: Batter of both sides, horizontal per vertical.
        bank_height: Height of its banks above the bed [m]; None if not entered.
        depth: Depth of the water that runs in it [m]; None if unknown.
    """

    length: float | None
    slope: float | None
    bed_width: float
    side_batter: float
    bank_height: float | None
    depth: float | None


@dataclass(frozen=True)
class LinkBed:
    """What a fall or channel runs over, for the strip of liner under it.

    Attributes:
        name: "upper pool – lower pool".
        crest_place: Place of its crest on the site [m].
        crest_width: Width of the crest [m].
        crest_level: Site level of the crest [m].
        upper, lower: Liner surfaces of both pools.
        channel: Bed and sides of a channel; None for a fall.
    """

    name: str
    crest_place: tuple[float, float]
    crest_width: float
    crest_level: float
    upper: SiteSurface
    lower: SiteSurface
    channel: ChannelBed | None = None


def liner_under(lining: Lining, link: Link) -> str | None:
    """Name of the one liner that covers both pools of a link, which then needs no strip; None if there is none."""
    return next((liner.name for liner in lining.liners if {link.from_, link.to} <= set(liner.covers)), None)


def links_on_one(lining: Lining, links: Sequence[Link]) -> tuple[tuple[str, str], ...]:
    """(liner, link) of each link between two pools that one liner covers."""
    return tuple(
        (liner, f"{link.from_} – {link.to}") for link in links if (liner := liner_under(lining, link)) is not None
    )


def link_beds(
    lining: Lining, links: Sequence[Link], surfaces: Mapping[str, SiteSurface], channel_depths: Sequence[Entry]
) -> tuple[LinkBed, ...]:
    """The links that need a strip: between pools without problems, at least one of them lined, not both by one liner.

    Args:
        lining: Inputs of the liners.
        links: Inputs of the links.
        surfaces: Liner surface of each pool without problems.
        channel_depths: Depth of the water that runs in each channel, where it is known [m].
    """
    depths = {depth.subject: depth.most for depth in channel_depths}
    beds = []
    for link in links:
        lined = lined_pools(lining) & {link.from_, link.to} and not liner_under(lining, link)
        if link.from_ in surfaces and link.to in surfaces and lined:
            name = f"{link.from_} – {link.to}"
            upper, lower = surfaces[link.from_], surfaces[link.to]
            crest_level = upper.level if link.crest_level is None else float(link.crest_level)
            channel = _channel_bed(link, depths.get(name)) if link.kind == "channel" else None
            crest_place = (float(link.at[0]), float(link.at[1]))
            beds.append(LinkBed(name, crest_place, float(link.crest_width), crest_level, upper, lower, channel))
    return tuple(beds)


def _channel_bed(link: Link, depth: float | None) -> ChannelBed:
    length, slope, bank_height = (
        None if value is None else float(value) for value in (link.length, link.slope, link.bank_height)
    )
    bed_width = float(link.crest_width if link.bed_width is None else link.bed_width)
    return ChannelBed(length, slope, bed_width, float(link.side_batter), bank_height, depth)


def link_strips(lining: Lining, beds: tuple[LinkBed, ...]) -> Iterator[tuple[Entry, Entry, Entry]]:
    """(length, width, area) of the strip under each link."""
    for bed in beds:
        length = _strip_length(lining, bed)
        width = _strip_width(lining, bed)
        yield length, width, entry(rel.link_strip_area, bed.name, length=length, width=width)


def _strip_length(lining: Lining, bed: LinkBed) -> Entry:
    upper_gap, lower_gap = (_to_waterline(pool, bed.crest_place) for pool in (bed.upper, bed.lower))
    drop = max(bed.crest_level - bed.lower.level, 0.0)
    channel = bed.channel
    if channel is None or channel.length is None:
        return entry(
            rel.fall_strip_length,
            bed.name,
            source=USER,
            cautions=[rules.LAP_OVER_LOWER(), *([rules.CHANNEL_WITHOUT_LENGTH()] if channel else [])],
            upper_gap=upper_gap,
            drop=drop,
            lower_gap=lower_gap,
            lap=lining.link_lap,
        )
    bed_drop = drop if channel.slope is None else min(channel.slope * channel.length, drop)
    return entry(
        rel.channel_strip_length,
        bed.name,
        source=USER,
        cautions=[rules.LAP_OVER_LOWER()],
        upper_gap=upper_gap,
        bed=channel.length,
        straight=math.hypot(lower_gap, bed_drop),
        end_drop=drop - bed_drop,
        lap=lining.link_lap,
    )


def _strip_width(lining: Lining, bed: LinkBed) -> Entry:
    channel = bed.channel
    if channel is None:
        return entry(
            rel.fall_strip_width, bed.name, source=USER, crest_width=bed.crest_width, beside=lining.link_beside
        )
    cautions: list[Caution] = []
    if channel.bank_height is None:
        cautions = [rules.CHANNEL_WITHOUT_SIDES() if channel.depth is None else rules.CHANNEL_WITHOUT_BANK()]
    return entry(
        rel.channel_strip_width,
        bed.name,
        source=USER,
        cautions=cautions,
        bed_width=channel.bed_width,
        bank_height=channel.bank_height if channel.bank_height is not None else channel.depth or 0.0,
        side_batter=channel.side_batter,
        beside=lining.link_beside,
    )


def _to_waterline(pool: SiteSurface, place: tuple[float, float]) -> float:
    """Level distance from a place on the site to a pool's waterline [m]; 0 inside it."""
    local = pool.placed.to_own(np.array([place]))
    return max(-float(pool.surface.pool.shape.inward(local)[0]), 0.0)
