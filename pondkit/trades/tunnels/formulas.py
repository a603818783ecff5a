"""Relations of the tunnels, each with its source: pieces, couplings and stock lengths of long runs; water and air in
the passages, watertight pipe, flushing, flotation.
"""

import math
from collections.abc import Callable, Mapping, Sequence

from pondkit.core.entry import holds, keeps
from pondkit.core.units import Angle, Count, Density, Flow, Length, Mass, Ratio, Speed, Time, Volume
from pondkit.solvers.cutting_stock import CLOSE, Plan, full_plan, plan
from pondkit.solvers.pipe_network import Balance
from pondkit.trades.tunnels import cautions as warn


def pieces(cut_length: float, stock_length: float) -> tuple[float, ...]:
    """Pieces of one run [m]: whole stock lengths and a remainder, joined by couplings; a single piece if one length is
    enough.
    """
    full_lengths = max(math.ceil(cut_length / stock_length - CLOSE) - 1, 0)
    return (stock_length,) * full_lengths + (cut_length - full_lengths * stock_length,)


def couplings(stop_to_stop: float, stock_length: float, coupling_stop: float) -> int:
    """Number of couplings inside a run, from the length between the stops at its ends [m]; each keeps its two pipes
    apart by twice its centre-to-stop distance.
    """
    return max(math.ceil((stop_to_stop + 2 * coupling_stop) / (stock_length + 2 * coupling_stop) - CLOSE) - 1, 0)


def lengths_needed(
    cut_lengths: Sequence[float],
    stock_length: float,
    kerf: float,
    make: "Callable[[Sequence[float], float, float], Plan] | None" = None,
) -> int:
    """Number of stock lengths for runs of these cut lengths [m], by ``plan`` or another planning
    function (``make``).
    """
    split = [pieces(length, stock_length) for length in cut_lengths]
    return sum(len(length_pieces) - 1 for length_pieces in split) + len(
        (make or plan)([length_pieces[-1] for length_pieces in split], stock_length, kerf).stock
    )


def run_length(east: Length, north: Length, rise: Length) -> Length:
    """True length of a run, node to node, along the pipe's centre line.

    Source: geometry
    """
    return math.sqrt(east**2 + north**2 + rise**2)


def run_slope(rise: Length, level_distance: Length) -> Ratio:
    """Slope of a run: rise per horizontal distance from its first node to its second; negative if it falls.

    Source: geometry
    """
    return rise / level_distance


def cut_length(
    run_length: Length,
    from_stop: Length,
    to_stop: Length,
    setback: Length,
    mouth_reach: Length,
    couplings: Count,
    coupling_stop: Length,
) -> Length:
    """Cut length of pipe for a run; pipe ends rest on the stops of the fittings, kerf excluded.

    Source: node to node less centre-to-stop of the fitting at each end (common practice, no source); at a mouth the
    pipe reaches on by half its outside diameter times the batter of the face; set back where two fittings make a bend
    beside the node

    3 m from node to node, an elbow of 0.10 m at one end and a tee of 0.15 m at the other:

    >>> cut_length(3.0, 0.10, 0.15, 0, 0, 0, 0)
    2.75
    """
    return run_length - from_stop - to_stop - setback + mouth_reach - 2 * couplings * coupling_stop


def stub_length(socket: Length) -> Length:
    """Length of the short piece between two fittings in series, which fills both sockets.

    Source: common practice, no source
    """
    return 2 * socket


def turn_move(far: Length, bend: Angle, fitting_angle: Angle) -> Length:
    """Displacement of the furthest place when the line beyond a node is rotated to the angle of one fitting.

    Working: chord of the circle at distance far, over the angle between bend, as designed, and the fitting angle
    Source: geometry
    """
    return 2 * far * math.sin(math.radians(abs(fitting_angle - bend)) / 2)


def shift_move(spacing: Length, out_of_plane: Ratio) -> Length:
    """Displacement of the line beyond a node by two fittings rotated against each other.

    Source: geometry: their spacing centre to centre, times the share of it that leaves the plane of the bend
    """
    return spacing * out_of_plane


def sharpest_bend(bends: tuple[Angle, ...]) -> Angle:
    """The sharpest single bend that an animal or a drain rod must pass.

    Working: greatest of bends
    Source: angles of the fittings
    """
    return max(bends)


def node_moved(east: Length, north: Length, up: Length) -> Length:
    """Displacement of a node from its design place by fitting adjustment.

    Source: geometry
    """
    return math.sqrt(east**2 + north**2 + up**2)


def mouth_reach(outside_diameter: Length, batter: Ratio) -> Length:
    """Extension of a pipe past its mouth's node, so that its whole end can be cut to the face.

    Source: geometry
    """
    return outside_diameter / 2 * batter


def run_in_water(pieces: tuple[Length, ...]) -> Length:
    """Run submerged: length of the centre line in a pool, below its level.

    Source: geometry: stretches between the places where the run passes a pool's surface or level
    """
    return sum(pieces)


def run_free(pieces: tuple[Length, ...]) -> Length:
    """Run exposed: length of the centre line inside a rim, above the finished surface and above the water.

    Source: geometry: stretches between the places where the run passes a pool's surface or level
    """
    return sum(pieces)


def run_in_ground(run_length: Length, run_in_water: Length, run_free: Length) -> Length:
    """Run buried: length of the centre line below the finished surface, or outside every rim.

    Source: geometry
    """
    return run_length - run_in_water - run_free


def run_volume(bore: Length, run_length: Length) -> Volume:
    """Inner volume of a run, node to node.

    Source: geometry: area of the bore times length
    """
    return math.pi / 4 * bore**2 * run_length


def wall_volume(outside_diameter: Length, bore: Length, length_in_water: Length) -> Volume:
    """Volume displaced in the basin by a pipe open to it: its walls.

    Source: geometry: area of the ring of wall times length
    """
    return math.pi / 4 * (outside_diameter**2 - bore**2) * length_in_water


def sealed_volume(outside_diameter: Length, length_in_water: Length) -> Volume:
    """Volume displaced by a sealed dry pipe: its whole outer volume.

    Source: geometry: area of the outside diameter times length
    """
    return math.pi / 4 * outside_diameter**2 * length_in_water


def flooded_volume(bore: Length, flooded_length: Length) -> Volume:
    """Volume of water standing in a pipe outside the basins.

    Source: geometry: area of the bore times the length below the level of the water that reaches it
    """
    return math.pi / 4 * bore**2 * flooded_length


@holds(lambda water_level, node_level: node_level < water_level, warn.MOUTH_NOT_UNDER_WATER)
def mouth_depth(water_level: Length, node_level: Length) -> Length:
    """Submergence of a mouth's centre below the water at rest; negative above it.

    Source: geometry
    """
    return water_level - node_level


@keeps(warn.DEN_FLOODS)
def den_floor_above_water(node_level: Length, bore: Length, water_level: Length) -> Length:
    """Height of a den's floor above the highest water that its passages are open to; the floor lies at the pipe's
    invert.

    Source: geometry; floor at the invert: common practice, no source
    """
    return node_level - bore / 2 - water_level


def swim(stretches: tuple[Length, ...]) -> Length:
    """Length of a swim under water from one place with open air to the next, including the way down to a mouth and up
    from it.

    Source: geometry: true lengths of the pipe's centre line below the highest water
    """
    return sum(stretches)


def swim_back(stretches: tuple[Length, ...]) -> Length:
    """Length of a swim under water to a blocked place and back.

    Source: geometry: true lengths of the pipe's centre line below the highest water, there and back
    """
    return 2 * sum(stretches)


def pipe_bore(bore: Length) -> Length:
    """Inside diameter of a pipe, or the clear bore of a fitting.

    Source: the pipe's table, or as measured
    """
    return bore


def clear_bore(bores: tuple[Length, ...]) -> Length:
    """Narrowest clear bore of pipe and fittings between mouths and dens.

    Source: bores of the pipe; fittings as measured, else taken as wide as their pipe (common practice, no source)
    """
    return min(bores)


def chamber_volume(length: Length, width: Length, height: Length) -> Volume:
    """Inside volume of a chamber as a box.

    Source: geometry
    """
    return length * width * height


def chamber_displaced(
    length: Length, width: Length, height: Length, wall: Length, water_level: Length, floor_level: Length
) -> Volume:
    """Volume displaced by a dry chamber in a pool's water, with its walls, floor and lid.

    Source: geometry: outside length and width times the height below the water

    A chamber of 0.6 m by 0.4 m by 0.3 m inside, its walls 0.05 m thick, wholly under water:

    >>> round(chamber_displaced(0.6, 0.4, 0.3, 0.05, 1.0, 0.0), 3)
    0.14
    """
    return (length + 2 * wall) * (width + 2 * wall) * min(water_level - floor_level + wall, height + 2 * wall)


@holds(
    lambda water_level, penetration_level: penetration_level >= water_level,
    warn.PENETRATION_UNDER_WATER,
)
def penetration_depth(water_level: Length, penetration_level: Length) -> Length:
    """Depth of a liner penetration below the water at rest; negative above the water.

    Source: geometry; the caution: common practice, no source
    """
    return water_level - penetration_level


def penetration_below_rim(rim_level: Length, penetration_level: Length) -> Length:
    """Depth of a liner penetration below the rim.

    Source: geometry
    """
    return rim_level - penetration_level


def penetration_size(outside_diameter: Length) -> Length:
    """Outside diameter of the pipe at a liner penetration, for ordering its boot or flange.

    Source: the pipe's table
    """
    return outside_diameter


def counted(places: tuple[Count, ...]) -> Count:
    """Number of one item, over all places where it is used.

    Source: counted over nodes, joints and crossings
    """
    return sum(places)


def lengths_proven(cut_lengths: tuple[Length, ...], stock_length: Length, kerf: Length) -> Count:
    """Stock lengths to buy; proven minimum.

    Working: pieces longest first, each into the first length with room for it and its kerf, then a search for a plan
    with fewer lengths; proven least, by the length of all pieces or by the search
    Source: first-fit-decreasing with the length bound and an exhaustive search
    """
    return lengths_needed(cut_lengths, stock_length, kerf)


def lengths_found(cut_lengths: tuple[Length, ...], stock_length: Length, kerf: Length) -> Count:
    """Stock lengths to buy, from a search for fewer that was stopped at its limit.

    Working: pieces longest first, each into the first length with room for it and its kerf, then a search for a plan
    with fewer lengths, broken off at its limit
    Source: first-fit-decreasing with the length bound and a limited search
    """
    return lengths_needed(cut_lengths, stock_length, kerf)


def lengths_searched(
    cut_lengths: tuple[Length, ...], stock_length: Length, kerf: Length, known_plans: Mapping[tuple[float, ...], int]
) -> Count:
    """Stock lengths to buy, from an extended search; ``known_plans`` holds known results by cut lengths [m].

    Working: the best of the quick plan, of fills of one length after the other, and of patterns of a linear program,
    against dual feasible functions and the bound of that program; low and high by the fills alone
    Source: minimum bin slack (Gupta and Ho 1999); bounds of Fekete and Schepers (2001); column generation (Gilmore and
    Gomory 1961) with Farley's bound
    """
    return known_plans.get(cut_lengths) or lengths_needed(cut_lengths, stock_length, kerf, full_plan)


def pipe_length_order(pipe_lengths_to_buy: Count, stock_length: Length) -> Length:
    """Length of pipe bought.

    Source: stock lengths times their length
    """
    return pipe_lengths_to_buy * stock_length


def offcut_length(pipe_length_order: Length, cut_lengths: tuple[Length, ...]) -> Length:
    """Offcut: remainder of the lengths bought, saw kerfs included.

    Source: conservation of length
    """
    return pipe_length_order - sum(cut_lengths)


FLAT = 1e-9
UPRIGHT = 1e-6  # level distance over length, below which a pipe is upright


def segment(share: float) -> float:
    """Share of a circle's area below a chord at a share of its diameter, 0 to 1."""
    half = math.acos(1 - 2 * min(max(share, 0.0), 1.0))
    return (half - math.sin(half) * math.cos(half)) / math.pi


def _summed(share: float) -> float:
    """Integral of ``segment`` from an empty circle to a share of its diameter; grows by one per diameter beyond a full
    circle.
    """
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
    """Share of a run's volume filled where no water arrives: every route from a pool rises above the water.

    Source: geometry
    """
    return reached_length / run_length


def fall_to_pool(far_level: Length, near_level: Length, level_distance: Length) -> Ratio:
    """Fall per level distance of a run towards its nearest mouth in a pool; negative if it falls away from it.

    Source: geometry
    """
    return (far_level - near_level) / level_distance


@holds(
    lambda node_level, escape_level: node_level <= escape_level,
    warn.AIR_POCKET,
)
def air_pocket(node_level: Length, escape_level: Length) -> Length:
    """Height of an air pocket: high point above the lowest place on the best escape route for air.

    Source: geometry
    """
    return node_level - escape_level


@holds(
    lambda spill_level, invert_level: spill_level <= invert_level,
    warn.TRAPPED_WATER,
)
def water_trap(spill_level: Length, invert_level: Length) -> Length:
    """Depth of trapped water: low point below the highest place on the best drainage route, by inverts.

    Source: geometry
    """
    return spill_level - invert_level


@keeps(warn.DEN_FLOODS_AT_HIGHEST)
def den_above_highest(floor_level: Length, highest_water: Length) -> Length:
    """Height of a den's floor, at the pipe's invert, above the highest water of the pools it is connected to.

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


@keeps(warn.LID_ABOVE_GROUND)
def den_lid_cover(ground_level: Length, floor_level: Length, height: Length) -> Length:
    """Existing ground above the underside of a den's lid; negative if the lid stands proud of it.

    Source: geometry; the caution: common practice, no source
    """
    return ground_level - (floor_level + height)


@holds(lambda length_below: length_below <= 0, warn.VESSEL_TESTED)
def vessel_length(length_below: Length) -> Length:
    """Watertight length of a run outside the liner: where the pipe's underside lies below the seal line, so that it
    holds the pool's water.

    Source: geometry: outside every liner, the pipe's underside below the highest water and the margin (your own rule)
    """
    return length_below


@keeps(warn.WATERTIGHT_JOINT)
def joint_below_seal_line(
    water_level: Length, water_rise: Length, seal_margin: Length, joint_level: Length, outside_diameter: Length
) -> Length:
    """Depth of the underside of a joint, gate or chamber below the watertight line (highest water plus margin);
    negative above.

    Source: geometry; the margin: your own rule
    """
    return water_level + water_rise + seal_margin - (joint_level - outside_diameter / 2)


@holds(
    lambda flush_flow, bore, velocity_required: flush_flow >= velocity_required * math.pi / 4 * bore**2,
    warn.FLUSH_SLOW,
)
def flush_velocity(flush_flow: Flow, bore: Length, velocity_required: Speed) -> Speed:
    """Mean velocity in a run with the whole flush through it, to be compared with the velocity required.

    Working: flush flow over the area of the bore; the velocity wanted stands beside it
    Source: conservation of volume; cleansing 3 ft/s in force mains with constant-speed pumps: New Hampshire Env-Wq
    704.07
    """
    return flush_flow / (math.pi / 4 * bore**2)


def flush_time(run_volumes: tuple[Volume, ...], flush_flow: Flow) -> Time:
    """Time to change the water three times along the route from the flush to a mouth.

    Source: conservation of volume; three times: your own rule
    """
    return 3 * sum(run_volumes) / flush_flow


def flush_flow_needed(velocity_required: Speed, widest_bore: Length) -> Flow:
    """Flow for the required velocity in the widest pipe on any route.

    Source: conservation of volume
    """
    return velocity_required * math.pi / 4 * widest_bore**2


@holds(
    lambda run_length: run_length <= 0,
    warn.UNSWEPT,
)
def unswept_length(run_length: Length) -> Length:
    """Length of a run that is on no route from the flush to a mouth.

    Source: counted over the ways
    """
    return run_length


@keeps(warn.ROD_BENDS)
def rod_bends(bends: tuple[Angle, ...]) -> Angle:
    """Sum of bends between two neighbouring rod access points: mouths, chambers, capped ends.

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
    """Flow out of a mouth with several open at once; negative if water enters.

    Working: the flow at which heads agree round every ring and at every mouth; all pipe is taken as full of water,
    bends and branches as taking no head, and a den on a way as filled to its mouths' level
    Source: global gradient algorithm (Todini and Pilati 1988), Darcy-Weisbach with Colebrook
    """
    return flow


@holds(
    lambda flow, bore, velocity_required: flow >= velocity_required * math.pi / 4 * bore**2,
    warn.OPEN_FLUSH_SLOW,
)
def open_velocity(flow: Flow, bore: Length, velocity_required: Speed) -> Speed:
    """Mean velocity in a run with several mouths open, in either direction, to be compared with the velocity required.

    Working: flow over the area of the bore; the velocity wanted stands beside it
    Source: conservation of volume; cleansing 3 ft/s in force mains with constant-speed pumps: New Hampshire Env-Wq
    704.07
    """
    return flow / (math.pi / 4 * bore**2)


def flush_branch_velocity(flow: Flow, bore: Length) -> Speed:
    """Mean velocity in the flush branch while it flushes, all other branches shut.

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
    """Depth of soil over the crown required to hold down empty pipe in groundwater.

    Source: H = (FS U - W) / ((soil - water) OD), U = pi/4 OD^2 water: HDPE flotation technical note TN 5.05 (2007);
    pipe taken as empty
    """
    return max(
        (safety * water_density * math.pi / 4 * outside_diameter**2 - pipe_mass / length)
        / ((soil_density - water_density) * outside_diameter),
        0 * length,
    )


@keeps(warn.COVER_TOO_THIN)
def pipe_cover_spare(ground_level: Length, pipe_level: Length, outside_diameter: Length, needed: Length) -> Length:
    """Least cover over the crown of a run, less the cover required to hold it down when empty.

    Source: geometry
    """
    return ground_level - pipe_level - outside_diameter / 2 - needed


def pipe_uplift(outside_diameter: Length, wet_length: Length, water_density: Density) -> Mass:
    """Uplift of a stretch of empty pipe, as mass of water displaced.

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
    """Resisting weight of a stretch of empty pipe, as mass: its own, and the submerged soil prism over its crown.

    Source: prism of soil over the outside diameter, as H = (FS U - W) / ((soil - water) OD) has it: HDPE flotation
    technical note TN 5.05 (2007)
    """
    return (pipe_mass / length + (soil_density - water_density) * outside_diameter * cover) * wet_length
