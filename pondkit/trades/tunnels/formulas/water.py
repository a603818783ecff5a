"""Relations of water and air in the passages, of watertight pipe, of flushing and of flotation."""

import math

from pondkit.core.entry import holds
from pondkit.core.units import Angle, Density, Flow, Length, Mass, Ratio, Speed, Time, Volume
from pondkit.solvers.pipe_network import Balance
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


@holds(lambda length_below: length_below <= 0, warn.VESSEL_TESTED)
def vessel_length(length_below: Length) -> Length:
    """Length of a run outside the liner of which some of the pipe lies below the seal line: it holds the pool's water.

    Source: geometry: outside every liner, the pipe's underside below the highest water and the margin (your own rule)
    """
    return length_below


@holds(
    lambda water_level, water_rise, seal_margin, joint_level, outside_diameter: (
        water_level + water_rise + seal_margin <= joint_level - outside_diameter / 2
    ),
    warn.WATERTIGHT_JOINT,
)
def joint_below_seal_line(
    water_level: Length, water_rise: Length, seal_margin: Length, joint_level: Length, outside_diameter: Length
) -> Length:
    """How far the underside of a joint, gate or chamber lies below the highest water and its margin; negative above.

    Source: geometry; the margin: your own rule
    """
    return water_level + water_rise + seal_margin - (joint_level - outside_diameter / 2)


@holds(
    lambda flush_flow, bore, wanted: flush_flow >= wanted * math.pi / 4 * bore**2,
    warn.FLUSH_SLOW,
)
def flush_velocity(flush_flow: Flow, bore: Length, wanted: Speed) -> Speed:
    """Mean velocity in a run with all of the flush going through it; it is to be the velocity wanted, or more.

    Working: flush flow over the area of the bore; the velocity wanted stands beside it
    Source: conservation of volume; cleansing 3 ft/s in force mains with constant-speed pumps: New Hampshire Env-Wq
    704.07
    """
    return flush_flow / (math.pi / 4 * bore**2)


def flush_time(run_volumes: tuple[Volume, ...], flush_flow: Flow) -> Time:
    """Time to change the water three times on the way from the flush to a mouth.

    Source: conservation of volume; three times: your own rule
    """
    return 3 * sum(run_volumes) / flush_flow


def flush_flow_needed(wanted: Speed, widest_bore: Length) -> Flow:
    """Flow that gives the velocity wanted in the widest pipe on any way.

    Source: conservation of volume
    """
    return wanted * math.pi / 4 * widest_bore**2


@holds(
    lambda run_length: run_length <= 0,
    warn.UNSWEPT,
)
def unswept_length(run_length: Length) -> Length:
    """Length of a run that lies on no way from the flush to a mouth.

    Source: counted over the ways
    """
    return run_length


@holds(
    lambda bends: sum(bends) <= (warn.ROD_BENDS.most or 0.0),
    warn.ROD_BENDS,
)
def rod_bends(bends: tuple[Angle, ...]) -> Angle:
    """Bends between two neighbouring ways in for a rod: mouths, chambers, capped ends.

    Working: sum of bends
    Source: angles of the fittings; no more than 90 degrees: common practice, no source
    """
    return sum(bends)


def flush_branch_flow(
    balanced: Balance, index: int, level_where_branches_part: Length, level_it_ends_at: Length
) -> Flow:
    """Flow of the flush branch.

    Working: the flow at which pumps, main and this branch are in balance, all other branches shut; its valve as set, or
    wide open where it is shut; what the passages themselves take of the head is not counted: less flows where they are
    long or narrow
    Source: Darcy-Weisbach with Colebrook; the pumps' curves: user input
    """
    return balanced.branch_flows[index]


def open_mouth_flow(flow: Flow, level: Length) -> Flow:
    """Flow out of a mouth with several open at once; less than 0 where water comes in.

    Working: the flow at which heads agree round every ring and at every mouth; all pipe is taken as full of water,
    bends and branches as taking no head, and a den on a way as filled to its mouths' level
    Source: global gradient algorithm (Todini and Pilati 1988), Darcy-Weisbach with Colebrook
    """
    return flow


@holds(
    lambda flow, bore, wanted: flow >= wanted * math.pi / 4 * bore**2,
    warn.OPEN_FLUSH_SLOW,
)
def open_velocity(flow: Flow, bore: Length, wanted: Speed) -> Speed:
    """Mean velocity in a run with several mouths open at once, either way; it is to be the velocity wanted, or more.

    Working: flow over the area of the bore; the velocity wanted stands beside it
    Source: conservation of volume; cleansing 3 ft/s in force mains with constant-speed pumps: New Hampshire Env-Wq
    704.07
    """
    return flow / (math.pi / 4 * bore**2)


def flush_branch_velocity(flow: Flow, bore: Length) -> Speed:
    """Mean velocity in the flush branch itself while it flushes, all other branches shut.

    Source: conservation of volume
    """
    return flow / (math.pi / 4 * bore**2)


def pipe_cover_needed(
    outside_diameter: Length,
    pipe_mass: Mass,
    length: Length,
    safety: Ratio,
    soil_density: Density,
    water_density: Density,
) -> Length:
    """Depth of soil over the crown that holds empty pipe down in groundwater.

    Source: H = (FS U - W) / ((soil - water) OD), U = pi/4 OD^2 water: HDPE flotation technical note TN 5.05 (2007);
    pipe taken as empty
    """
    return max(
        (safety * water_density * math.pi / 4 * outside_diameter**2 - pipe_mass / length)
        / ((soil_density - water_density) * outside_diameter),
        0 * length,
    )


@holds(
    lambda ground_level, pipe_level, outside_diameter, needed: (
        ground_level - pipe_level - outside_diameter / 2 >= needed
    ),
    warn.COVER_TOO_THIN,
)
def pipe_cover_spare(ground_level: Length, pipe_level: Length, outside_diameter: Length, needed: Length) -> Length:
    """Cover over the crown of a run where it has least, over the cover that holds it down empty.

    Source: geometry
    """
    return ground_level - pipe_level - outside_diameter / 2 - needed


def pipe_uplift(outside_diameter: Length, wet_length: Length, water_density: Density) -> Mass:
    """Mass of the water that a stretch of empty pipe pushes aside: what lifts it.

    Source: U = pi/4 OD^2 water: HDPE flotation technical note TN 5.05 (2007); pipe taken as empty (conservative: city
    guideline on buoyancy of pipelines)
    """
    return water_density * math.pi / 4 * outside_diameter**2 * wet_length


def pipe_held_down(
    pipe_mass: Mass,
    length: Length,
    wet_length: Length,
    outside_diameter: Length,
    cover: Length,
    soil_density: Density,
    water_density: Density,
) -> Mass:
    """What holds a stretch of empty pipe down: its own mass, and the soil straight over its crown, counted as under
    water.

    Source: prism of soil over the outside diameter, as H = (FS U - W) / ((soil - water) OD) has it: HDPE flotation
    technical note TN 5.05 (2007)
    """
    return (pipe_mass / length + (soil_density - water_density) * outside_diameter * cover) * wet_length
