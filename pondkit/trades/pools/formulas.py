"""Relations of a pool and its dig. Those that integrate over a surface take it as it is; ``pondkit.geometry`` does
the geometry."""

import numpy as np

from pondkit.core.entry import keeps
from pondkit.core.units import Area, Length, Ratio, Share, Volume
from pondkit.geometry.outline import Array, Shape
from pondkit.geometry.pool_surface import PoolSurface
from pondkit.geometry.terrain import DaylightBand, Terrain, length_above
from pondkit.trades.pools.cautions import (
    BANK_ON_FILL,
    CUT_ENGINEERED,
    CUT_PROTECTION,
    CUT_WAY_OUT,
    FLOOR_ABOVE_GROUND,
    STEEP_BANK,
)


def surface_area(shape: Shape) -> Area:
    """Plan area inside the waterline.

    Working: plan area inside the outline, by the coordinates of its corners (512 on a curve, with the curve's own area)
    Source: shoelace formula, geometry
    """
    return float(shape.polygon.area)


def perimeter(shape: Shape) -> Length:
    """Length of the waterline.

    Working: length of the outline, side by side
    Source: geometry
    """
    return float(shape.polygon.length)


def max_depth(surface: PoolSurface) -> Length:
    """Greatest depth of the finished surface below the waterline.

    Working: deepest place that the tiers and pits reach inside the outline
    Source: geometry
    """
    return surface.deepest


def gross_volume(surface: PoolSurface) -> Volume:
    """Water from the level down to the finished surface.

    Working: plan area at each depth, from the waterline to the deepest place, integrated (Gauss-Legendre, 6 nodes a
    piece)
    Source: slices at depth, geometry
    """
    return surface.volume(0.0)


def mean_depth(gross_volume: Volume, surface_area: Area) -> Length:
    """Depth of a box with the same water and the same surface.

    Source: geometry
    """
    return gross_volume / surface_area


def zone_area(face_area: Area, level_area: Area) -> Area:
    """Plan area of the places whose depth a zone's tiers give: faces and level parts.

    Source: geometry
    """
    return face_area + level_area


def zone_volume(zone_area: Area, zone_mean_depth: Length) -> Volume:
    """Water above a zone's places.

    Source: geometry; the mean depth by slices at depth
    """
    return zone_area * zone_mean_depth


def zone_share(zone_area: Area, surface_area: Area) -> Share:
    """Share of the pool's water surface that lies over a zone.

    Source: geometry
    """
    return zone_area / surface_area


def zone_depth(depths: tuple[Length, ...]) -> Length:
    """Depth to which a zone goes down: that of its deepest tier, as drawn or as far as it is reached.

    Source: the tiers as drawn, geometry
    """
    return max(depths)


def gravel_volume(volume_to_liner: Volume, gross_volume: Volume) -> Volume:
    """Bulk volume between the finished surface and the liner's.

    Source: geometry
    """
    return volume_to_liner - gross_volume


def narrowest_shelf(shelves: tuple[Length, ...]) -> Length:
    """Narrowest level width behind a tier that has one.

    Source: geometry
    """
    return min(shelves)


@keeps(STEEP_BANK)
def steepest_batter(batters: tuple[Ratio, ...]) -> Ratio:
    """Least batter of the faces under water, 0 for the upright edge of a pit: horizontal run per unit of drop.

    Source: geometry; the caution: common practice, no source
    """
    return min(batters)


def area_over_limit(surface: PoolSurface, depth_limit: Length) -> Area:
    """Plan area deeper than the limit that the person entered.

    Working: plan area of the finished surface deeper than the limit
    Source: geometry; the limit: user input
    """
    return float(surface.area(np.array(depth_limit), beyond=True))


def rim_length(shape: Shape, freeboard: Length, bank_batter: Ratio) -> Length:
    """Length of the rim line.

    Working: length of the outline moved outward by freeboard times bank batter
    Source: geometry
    """
    return (
        float(shape.perimeter(np.array(-freeboard * bank_batter)))
        if freeboard * bank_batter > 0
        else float(shape.polygon.length)
    )


@keeps(FLOOR_ABOVE_GROUND, CUT_WAY_OUT, CUT_PROTECTION, CUT_ENGINEERED)
def dig_depth(ground_level: Length, dig_floor: Length) -> Length:
    """Depth of cut, from the highest ground at the outline to the lowest part of the dig.

    Source: geometry
    """
    return ground_level - dig_floor


def slope_area(true_areas: tuple[Area, ...]) -> Area:
    """True area of the wetted finished surface, faces along their slope.

    Source: geometry: a face with batter b has sqrt(1 + b²) / b of its plan area
    """
    return sum(true_areas)


def shelf_area(levels: tuple[Area, ...]) -> Area:
    """Level part of a zone, in plan.

    Source: geometry
    """
    return sum(levels)


@keeps(BANK_ON_FILL)
def rim_above_ground(ring: Array, rim_level: Length, ground: Terrain) -> Length:
    """Length of rim that stands above the ground as it is.

    Working: length of the rim line along which the existing ground is lower than the rim
    Source: geometry
    """
    return length_above(ring, rim_level, ground)


def outside_survey(band: DaylightBand) -> Area:
    """Plan area of a dig that lies where nothing was measured.

    Working: plan area of the dig outside the outermost survey points
    Source: geometry
    """
    return band.unknown


def steepest_dig_face(batters: tuple[Ratio, ...]) -> Ratio:
    """Steepest face of the dig, bank and pits too: horizontal run per unit of drop.

    Source: geometry
    """
    return min(batters)


def edge_set_back(depths: tuple[Length, ...], runs: tuple[Length, ...], allowed: Ratio, least: Length) -> Length:
    """How far back from the edge of the cut machine and spoil keep, so that what they stand on lies behind the
    allowed slope.

    Working: from the foot of each face a line goes up at the slope that the soil allows; the furthest that one comes
    out behind the edge, allowed x depth - run, and no less than the least
    Source: geometry of the soil's temporary slope (common practice, no source)
    """
    return max(least, *(allowed * depth - run for depth, run in zip(depths, runs, strict=True)))
