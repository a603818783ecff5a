"""Relations of a pool and its dig. Those that integrate take an outline or surface of ``pondkit.geometry``."""

import numpy as np

from pondkit.core.entry import keeps, least_to_keep
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
    """Gross volume of water, from the level down to the finished surface.

    Working: plan area at each depth, from the waterline to the deepest place, integrated (Gauss-Legendre, 6 nodes a
    piece)
    Source: slices at depth, geometry
    """
    return surface.volume(0.0)


def mean_depth(gross_volume: Volume, surface_area: Area) -> Length:
    """Mean depth: gross volume over water surface.

    Source: geometry
    """
    return gross_volume / surface_area


def zone_area(face_area: Area, level_area: Area) -> Area:
    """Plan area of a zone: faces and shelves of its tiers.

    Source: geometry
    """
    return face_area + level_area


def zone_volume(zone_area: Area, zone_mean_depth: Length) -> Volume:
    """Volume of water above a zone.

    Source: geometry; the mean depth by slices at depth
    """
    return zone_area * zone_mean_depth


def zone_share(zone_area: Area, surface_area: Area) -> Share:
    """Share of the pool's water surface above a zone.

    Source: geometry
    """
    return zone_area / surface_area


def zone_depth(depths: tuple[Length, ...]) -> Length:
    """Greatest depth of a zone: that of its deepest tier, as drawn or as far as it is reached.

    Source: the tiers as drawn, geometry
    """
    return max(depths)


def gravel_volume(volume_to_liner: Volume, gross_volume: Volume) -> Volume:
    """Bulk volume of gravel, between the finished surface and the liner.

    Source: geometry
    """
    return volume_to_liner - gross_volume


def narrowest_shelf(shelves: tuple[Length, ...]) -> Length:
    """Least width of a shelf.

    Source: geometry
    """
    return min(shelves)


@keeps(STEEP_BANK)
def steepest_batter(batters: tuple[Ratio, ...]) -> Ratio:
    """Batter of the steepest face under water, 0 for the upright edge of a pit: horizontal run per unit of drop.

    Source: geometry; the caution: common practice, no source
    """
    return min(batters)


def area_over_limit(surface: PoolSurface, depth_limit: Length) -> Area:
    """Plan area deeper than the depth limit entered for the site.

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
    """Depth of cut, from the highest ground along the edge of the dig to its lowest part.

    Source: geometry
    """
    return ground_level - dig_floor


def wetted_area(true_areas: tuple[Area, ...]) -> Area:
    """Wetted area: true area of the finished surface under water, faces measured along their slope.

    Source: geometry: a face with batter b has sqrt(1 + b²) / b of its plan area
    """
    return sum(true_areas)


def shelf_area(levels: tuple[Area, ...]) -> Area:
    """Shelf area of a zone: plan area of the level parts of its tiers.

    Source: geometry
    """
    return sum(levels)


@keeps(BANK_ON_FILL)
def rim_above_ground(ring: Array, rim_level: Length, ground: Terrain) -> Length:
    """Rim length above the existing ground.

    Working: length of the rim line along which the existing ground is lower than the rim
    Source: geometry
    """
    return length_above(ring, rim_level, ground)


def outside_survey(band: DaylightBand) -> Area:
    """Plan area of a dig outside the survey.

    Working: plan area of the dig outside the outermost survey points
    Source: geometry
    """
    return band.unknown


def steepest_dig_face(batters: tuple[Ratio, ...]) -> Ratio:
    """Batter of the steepest face of the dig, including bank and pits: horizontal run per unit of drop.

    Source: geometry
    """
    return min(batters)


@least_to_keep
def edge_set_back(depths: tuple[Length, ...], runs: tuple[Length, ...], allowed: Ratio, least: Length) -> Length:
    """Setback of machine and spoil from the edge of the cut, so that they stand behind the slope that the soil allows.

    Working: from the foot of each face a line rises at the slope that the soil allows, and meets the ground allowed x
    depth - run behind the edge; the furthest of these, and no less than the least
    Source: geometry of the soil's temporary slope (common practice, no source)
    """
    return max(least, *(allowed * depth - run for depth, run in zip(depths, runs, strict=True)))
