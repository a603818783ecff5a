"""Relations of water and air in the passages."""

import math

from pondkit.core.entry import holds
from pondkit.core.units import Length, Ratio, Volume
from pondkit.trades.tunnels import cautions as warn

FLAT = 1e-9
UPRIGHT = 1e-6  # level distance over length, below which a pipe is upright


def segment(share: float) -> float:
    """Share of a circle's area below a chord at a share of its diameter, 0 to 1."""
    half = math.acos(1 - 2 * min(max(share, 0.0), 1.0))
    return (half - math.sin(half) * math.cos(half)) / math.pi


def _summed(share: float) -> float:
    """Integral of ``segment`` from an empty circle up to a share of its diameter; beyond a full circle it grows by
    one."""
    if share <= 0:
        return 0.0
    within = min(share, 1.0)
    return (
        (within - 0.5) * segment(within)
        + 8 / (3 * math.pi) * math.sqrt(within - within**2) ** 3
        + max(share - 1.0, 0.0)
    )


def filled_share(
    start_level: Length, end_level: Length, run_length: Length, bore: Length, water_level: Length
) -> Ratio:
    """Share of a run's inner volume below the water: 1 is full, 0 dry, between them it is part full.

    Working: area of the circle's segment below the water over the bore's area, averaged along the run from start level
    to end level over its run length; the segment's height is measured at right angles to the pipe, from water level,
    bore
    Source: geometry: closed form of the cylindrical wedge
    """
    rise = (end_level - start_level) / run_length
    upright = math.sqrt(max(1 - rise**2, 0.0))
    if upright < UPRIGHT:
        low = min(start_level, end_level)
        return min(max((water_level - low) / run_length, 0.0), 1.0)
    first, last = ((water_level - level) / (bore * upright) + 0.5 for level in (start_level, end_level))
    if abs(last - first) < FLAT:
        return segment(first)
    return (_summed(last) - _summed(first)) / (last - first)


def unreached(reached_length: Length, run_length: Length) -> Ratio:
    """Share of a run that water fills where none comes to it: every way from a pool rises above the water.

    Source: geometry
    """
    return reached_length / run_length


def fall_to_pool(far_level: Length, near_level: Length, level_distance: Length) -> Ratio:
    """Drop per level distance of a run towards its nearest mouth in a pool; negative where it falls away from it.

    Source: geometry
    """
    return (far_level - near_level) / level_distance


@holds(
    lambda node_level, escape_level: node_level <= escape_level,
    warn.AIR_POCKET,
)
def air_pocket(node_level: Length, escape_level: Length) -> Length:
    """How far a high place lies above the lowest place on its best way out for air.

    Source: geometry
    """
    return node_level - escape_level


@holds(
    lambda spill_level, invert_level: spill_level <= invert_level,
    warn.TRAPPED_WATER,
)
def water_trap(spill_level: Length, invert_level: Length) -> Length:
    """How far a low place lies below the highest place on its best way out for water, by inverts.

    Source: geometry
    """
    return spill_level - invert_level


@holds(
    lambda floor_level, highest_water: floor_level >= highest_water,
    warn.DEN_FLOODS_AT_HIGHEST,
)
def den_above_highest(floor_level: Length, highest_water: Length) -> Length:
    """Den floor, at the pipe's invert, above the highest water of the pools that it is joined to.

    Source: geometry; floor at the invert: common practice, no source
    """
    return floor_level - highest_water


@holds(
    lambda height, floor_level, water_level: water_level < floor_level + height,
    warn.NO_AIR_UNDER_LID,
)
def den_air(length: Length, width: Length, height: Length, floor_level: Length, water_level: Length) -> Volume:
    """Air in a den at the highest water, as a box.

    Source: geometry
    """
    return length * width * max(floor_level + height - water_level, 0 * height)


@holds(
    lambda ground_level, floor_level, height: ground_level >= floor_level + height,
    warn.LID_ABOVE_GROUND,
)
def den_lid_cover(ground_level: Length, floor_level: Length, height: Length) -> Length:
    """Ground as it is above the underside of a den's lid; negative where the lid stands out.

    Source: geometry; the caution: common practice, no source
    """
    return ground_level - (floor_level + height)
