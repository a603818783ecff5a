"""Edge of the liner beyond the rim: flat, turned up, or in an anchor trench, with its folds; and the liner footprints
with the pools under them.
"""

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.units import LENGTH
from pondkit.geometry.sheet import cover, rims_of, sheets
from pondkit.geometry.site_line import highest_along, length_of, ring_round
from pondkit.geometry.site_surface import SiteSurface, ring_outside
from pondkit.geometry.terrain import Terrain
from pondkit.trades.liner import formulas as rel
from pondkit.trades.liner.cautions import (
    ANCHOR_NARROW,
    ANCHOR_NEAR_RIM,
    ANCHOR_SHALLOW,
    ONE_ANCHOR_TRENCH,
    SERVICES_AT_ANCHOR,
    SOIL_OVER_EDGE,
    TRENCH_BACK,
    TRENCH_DEPTH,
    TRENCH_WIDTH,
)
from pondkit.trades.liner.inputs import TRENCH, UP, Lining
from pondkit.trades.liner.results import LinerFootprint, LiningResult


def edge_of(lining: Lining | None) -> float:
    """Width of liner beyond the rim, measured along the liner [m]; 0 without a liner."""
    if lining is None:
        return 0.0
    if lining.edge_kind != TRENCH:
        return float(lining.edge)
    return float(rel.trench_edge(lining.edge, lining.edge_back, lining.trench_depth, lining.trench_width))


def reach_of(lining: Lining | None) -> float:
    """Reach of the liner or its trench beyond the rim in plan [m]; the part inside the trench needs no
    ground of its own.
    """
    if lining is None:
        return 0.0
    return edge_of(lining) - (2 * float(lining.trench_depth) if lining.edge_kind == TRENCH else 0.0)


def trench_out(lining: Lining) -> float | None:
    """Distance of the anchor trench's centre line from the rim [m]; None without a trench."""
    return float(lining.edge_back) + float(lining.trench_width) / 2 if lining.edge_kind == TRENCH else None


def anchor_soil(lining: Lining | None, result: LiningResult | None) -> float | None:
    """Soil excavated from all anchor trenches [m³]; None if a liner with a trench has a problem."""
    if lining is None or lining.edge_kind != TRENCH:
        return 0.0
    if result is None or result.problems or len(result.extras.trench_volume) < len(lining.liners):
        return None
    return sum(trench.value for trench in result.extras.trench_volume)


@dataclass(frozen=True)
class Soil:
    """Highest ground beside a pool's turned-up liner: "liner / pool", level of the rim, level of the ground, and the
    place of that [m].
    """

    name: str
    rim_level: float
    level: float
    at: tuple[float, float]


def soils_beside(lining: Lining, footprints: Sequence[LinerFootprint], ground: Terrain | None) -> tuple[Soil, ...]:
    """Highest ground along each turned-up edge; empty if liners end otherwise, or the ground has a problem."""
    if ground is None or lining.edge_kind != UP:
        return ()
    soils = []
    for footprint in footprints:
        for name, pool in zip(footprint.names, footprint.surfaces, strict=True):
            beside = (neighbour for neighbour in footprint.surfaces if neighbour is not pool)
            neighbours = tuple((neighbour.surface.pool.shape, neighbour.placed, neighbour.rim) for neighbour in beside)
            line = (pool.surface.pool.shape, pool.placed, pool.rim + float(lining.edge_back))
            top = highest_along(line, neighbours, ground)
            if top.at is not None:
                soils.append(Soil(f"{footprint.liner.name} / {name}", pool.rim_level, top.level, top.at))
    return tuple(soils)


def edges_above_soil(lining: Lining, soils: tuple[Soil, ...]) -> Iterator[Entry]:
    """Height of each turned-up edge above the ground beside it."""
    for soil in soils if lining.edge_kind == UP else ():
        figure = entry(
            rel.edge_above_soil,
            soil.name,
            source=USER,
            rim_level=soil.rim_level,
            rise=lining.edge_rise,
            soil=soil.level,
        )
        low = soil.level - soil.rim_level - float(lining.edge_rise)
        east, north = soil.at
        yield with_cautions(
            figure,
            *SOIL_OVER_EDGE.where(
                figure.least, figure.value, figure.most, under=(low, LENGTH), east=(east, LENGTH), north=(north, LENGTH)
            ),
        )


def trench_edges(lining: Lining, footprints: tuple[LinerFootprint, ...]) -> Iterator[Entry]:
    """Width of liner required for the anchor trench, one figure per liner."""
    for footprint in footprints if lining.edge_kind == TRENCH else ():
        yield entry(rel.trench_edge, footprint.liner.name, source=USER, edge=lining.edge, **_trench(lining))


def edge_spare(lining: Lining, footprint: LinerFootprint) -> Entry:
    """Edge to spare: width of liner beyond the rim, less what its end takes."""
    name = footprint.liner.name
    if lining.edge_kind == UP:
        return entry(
            rel.edge_spare_up, name, source=USER, edge=lining.edge, back=lining.edge_back, rise=lining.edge_rise
        )
    if lining.edge_kind == TRENCH:
        return entry(rel.edge_spare_trench, name, source=USER, edge=edge_of(lining), **_trench(lining))
    return entry(rel.edge_needed_flat, name, source=USER, edge=lining.edge)


def trenches(lining: Lining, footprints: tuple[LinerFootprint, ...]) -> Iterator[Entry]:
    """Volume of the anchor trench of each liner."""
    notes = [SERVICES_AT_ANCHOR(), *_less(lining)]
    depth, width = lining.trench_depth, lining.trench_width
    for footprint in footprints:
        if footprint.trench is not None:
            middle, more = length_of(footprint.trench), [ONE_ANCHOR_TRENCH()] if len(footprint.surfaces) > 1 else []
            yield entry(
                rel.trench_volume,
                footprint.liner.name,
                source=USER,
                cautions=[*notes, *more],
                middle=middle,
                depth=depth,
                width=width,
            )


def _trench(lining: Lining) -> dict[str, Any]:
    return {"back": lining.edge_back, "depth": lining.trench_depth, "width": lining.trench_width}


def _less(lining: Lining) -> Iterator[Caution]:
    """Cautions of a trench smaller than the published minimum."""
    for rule, least, has in (
        (ANCHOR_SHALLOW, TRENCH_DEPTH, lining.trench_depth),
        (ANCHOR_NARROW, TRENCH_WIDTH, lining.trench_width),
        (ANCHOR_NEAR_RIM, TRENCH_BACK, lining.edge_back),
    ):
        if has < least - 1e-9:
            yield rule(has=(has, LENGTH), least=(least, LENGTH))


STRETCHES = 8  # of a rim, all of equal length


def folds(footprint: LinerFootprint) -> Iterator[Entry]:
    """Excess liner in folds, by stretches of equal length along each rim, from its first point on."""
    for name, surface in zip(footprint.names, footprint.surfaces, strict=True):
        ring = ring_outside(surface, surface.rim)
        sides = np.diff(ring, axis=0)
        bearing = np.arctan2(sides[:, 1], sides[:, 0])
        # Turning angle of the rim at each corner, positive in its sense of rotation.
        turn = np.mod(np.diff(bearing, append=bearing[0]) + math.pi, 2 * math.pi) - math.pi
        turn *= math.copysign(1.0, float(turn.sum()))
        ends = np.cumsum(np.linalg.norm(sides, axis=1))
        stretch = np.minimum(ends / ends[-1] * STRETCHES, STRETCHES - 1).astype(int)
        length, run = _face(surface)
        for number in range(STRETCHES):
            angle = math.degrees(float(turn[stretch == number].sum()))
            subject = f"{footprint.liner.name} / {name}, stretch {number + 1}"
            yield entry(rel.fold, subject, way=length, run=run, turned=angle)


def _face(surface: SiteSurface) -> tuple[float, float]:
    """(length along the surface, level distance) from the rim to the floor, or to the middle of the outline [m]."""
    part = surface.surface.pool
    inner = part.shape.inradius
    top = surface.level - surface.rim_level
    points = [
        (-surface.rim, top),
        *((t, z) for t, z in part.profile.corners if z > top and t < inner),
        (inner, part.middle),
    ]
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in itertools.pairwise(points)]
    return sum(math.hypot(*step) for step in steps), sum(abs(t) for t, _ in steps)


_footprint = remembered(LinerFootprint)


def footprints(lining: Lining, pools: Mapping[str, SiteSurface]) -> tuple[LinerFootprint, ...]:
    """Footprints of the liners that cover a pool without problems.

    Args:
        lining: Inputs of the liners.
        pools: Liner surface of each such pool.
    """
    footprints_made = []
    edge, trench_distance = edge_of(lining), trench_out(lining)
    for liner in lining.liners:
        names = tuple(name for name in dict.fromkeys(liner.covers) if name in pools)
        if not names:
            continue
        surfaces = tuple(pools[name] for name in names)
        rims = rims_of(tuple((pool.surface.pool.shape, pool.placed, pool.rim) for pool in surfaces))
        turn = rims.turn_deg if liner.turn_deg is None else float(liner.turn_deg)
        along, across = sheets(surfaces, turn, edge)
        areas = tuple(cover(pool, edge) for pool in surfaces)
        trench = None
        if trench_distance is not None:
            trench = ring_round(
                tuple((pool.surface.pool.shape, pool.placed, pool.rim + trench_distance) for pool in surfaces)
            )
        footprints_made.append(_footprint(liner, names, surfaces, areas, rims, turn, along, across, edge, trench))
    return tuple(footprints_made)
