"""Relations of the tunnels, each with its source: lengths, cuts and stock lengths, bends, volumes, levels, swims, water
and air, watertight pipe, flushing, flotation.
"""

import math
from collections.abc import Callable, Mapping, Sequence

from pondkit.core.entry import holds, keeps
from pondkit.core.units import Angle, Count, Density, Flow, Length, Mass, Ratio, Speed, Time, Volume
from pondkit.solvers.cutting_stock import CLOSE, Plan, full_plan, plan
from pondkit.solvers.pipe_network import Balance
from pondkit.trades.tunnels import cautions as warn


def pieces(cut_length: float, stock_length: float) -> tuple[float, ...]:
    """Lengths of the pieces of one run [m]: whole stock lengths, and last the remainder."""
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
    planner: "Callable[[Sequence[float], float, float], Plan]" = plan,
) -> int:
    """Number of stock lengths for runs of these cut lengths [m]; ``planner`` lays out the remainders of long runs."""
    pieces_of = [pieces(length, stock_length) for length in cut_lengths]
    remainders = [run_pieces[-1] for run_pieces in pieces_of]
    whole_lengths = sum(len(run_pieces) - 1 for run_pieces in pieces_of)
    return whole_lengths + len(planner(remainders, stock_length, kerf).stock)


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
    """Move of the furthest place when the line beyond a node is rotated to the angle of one fitting.

    Working: chord of the circle at distance far, over the angle between bend, as designed, and the fitting angle
    Source: geometry
    """
    return 2 * far * math.sin(math.radians(abs(fitting_angle - bend)) / 2)


def shift_move(spacing: Length, out_of_plane: Ratio) -> Length:
    """Move of the line beyond a node when two fittings, rotated against each other, make its bend.

    Source: geometry: their spacing centre to centre, times its part at right angles to the plane of the bend
    """
    return spacing * out_of_plane


def sharpest_bend(bends: tuple[Angle, ...]) -> Angle:
    """The sharpest single bend that an animal or a drain rod must pass.

    Working: greatest of bends
    Source: angles of the fittings
    """
    return max(bends)


def node_moved(east: Length, north: Length, up: Length) -> Length:
    """Distance from a node as drawn to where it is set out, once listed fittings make all bends.

    Source: geometry
    """
    return math.sqrt(east**2 + north**2 + up**2)


def mouth_reach(outside_diameter: Length, batter: Ratio) -> Length:
    """Extension of a pipe past its mouth's node, so that its whole end can be cut to the face.

    Source: geometry
    """
    return outside_diameter / 2 * batter


def run_in_water(pieces: tuple[Length, ...]) -> Length:
    """Run submerged: length of the centre line in a pool, below its water at rest.

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
    """Volume of pool water displaced by a pipe that the water enters: that of its wall.

    Source: geometry: area of the ring of wall times length
    """
    return math.pi / 4 * (outside_diameter**2 - bore**2) * length_in_water


def sealed_volume(outside_diameter: Length, length_in_water: Length) -> Volume:
    """Volume of pool water displaced by a pipe that stays dry: all of it.

    Source: geometry: area of the outside diameter times length
    """
    return math.pi / 4 * outside_diameter**2 * length_in_water


def flooded_volume(bore: Length, flooded_length: Length) -> Volume:
    """Volume of water that stands in a buried pipe.

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
    """Height of a den's floor above the water at rest; of several pools that its passages open to, above the highest.

    Source: geometry; floor at the invert: common practice, no source
    """
    return node_level - bore / 2 - water_level


def swim(stretches: tuple[Length, ...]) -> Length:
    """Length of a swim under water from one place with open air to the next, with the dive to a mouth and the way up.

    Source: geometry: true lengths of the pipe's centre line below the highest water
    """
    return sum(stretches)


def swim_back(stretches: tuple[Length, ...]) -> Length:
    """Length of a swim under water to a blocked or capped end, or a gate that is shut, and back.

    Source: geometry: true lengths of the pipe's centre line below the highest water, there and back
    """
    return 2 * sum(stretches)


def pipe_bore(bore: Length) -> Length:
    """Inside diameter of a pipe, or the clear bore of a fitting.

    Source: the table of pipes, or as measured
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

    Source: the table of pipes, or as measured
    """
    return outside_diameter


def counted(places: tuple[Count, ...]) -> Count:
    """Number of one item, over all places where it is used.

    Source: counted over nodes, joints and penetrations
    """
    return sum(places)


def lengths_proven(cut_lengths: tuple[Length, ...], stock_length: Length, kerf: Length) -> Count:
    """Stock lengths to buy: the least number possible.

    Working: pieces longest first, each into the first length with room for it and its kerf, then a search for a plan
    with fewer lengths; proven least, by the length of all pieces or by the search
    Source: first-fit-decreasing with the length bound and an exhaustive search
    """
    return lengths_needed(cut_lengths, stock_length, kerf)


def lengths_found(cut_lengths: tuple[Length, ...], stock_length: Length, kerf: Length) -> Count:
    """Stock lengths to buy, by a search that stopped at its limit: fewer may be possible.

    Working: pieces longest first, each into the first length with room for it and its kerf, then a search for a plan
    with fewer lengths, broken off at its limit
    Source: first-fit-decreasing with the length bound and a limited search
    """
    return lengths_needed(cut_lengths, stock_length, kerf)


def lengths_searched(
    cut_lengths: tuple[Length, ...], stock_length: Length, kerf: Length, known_plans: Mapping[tuple[float, ...], int]
) -> Count:
    """Stock lengths to buy, by a long search; ``known_plans`` holds the number found before, by cut lengths [m].

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


ALIKE = 1e-9  # shares of the bore at a run's two ends that differ by less are one
UPRIGHT_COSINE = 1e-6  # level distance over length, below which a pipe is upright


def segment(share: float) -> float:
    """Share of a circle's area below a level chord, from the chord's height as a share of the diameter, 0 to 1."""
    half_angle = math.acos(1 - 2 * min(max(share, 0.0), 1.0))
    return (half_angle - math.sin(half_angle) * math.cos(half_angle)) / math.pi


def _segment_integral(share: float) -> float:
    """Integral of ``segment`` from an empty circle to a share of its diameter, which may exceed 1."""
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
    """Share of a run's inner volume that is full of water: 1 is full, 0 dry, between them it is part full.

    Working: area of the circle's segment below the water over the bore's area, averaged along the run from start level
    to end level over its run length; the segment's height is measured at right angles to the pipe, from water level,
    bore
    Source: geometry: closed form of the cylindrical wedge
    """
    sine = (end_level - start_level) / run_length
    cosine = math.sqrt(max(1 - sine**2, 0.0))
    if cosine < UPRIGHT_COSINE:
        low = min(start_level, end_level)
        return min(max((water_level - low) / run_length, 0.0), 1.0)
    # Height of the segment at each end as a share of the bore; it changes evenly between them.
    first, last = ((water_level - level) / (bore * cosine) + 0.5 for level in (start_level, end_level))
    if abs(last - first) < ALIKE:
        return segment(first)
    return (_segment_integral(last) - _segment_integral(first)) / (last - first)


def unreached(reached_length: Length, run_length: Length) -> Ratio:
    """Share of a run that is full of water where none arrives, as every route from a pool rises above the water: 0.

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
    """Height of an air pocket: of a high point above the lowest place on the best way out for air.

    Source: geometry
    """
    return node_level - escape_level


@holds(
    lambda spill_level, invert_level: spill_level <= invert_level,
    warn.TRAPPED_WATER,
)
def water_trap(spill_level: Length, invert_level: Length) -> Length:
    """Depth of trapped water: of a low point below the highest place on the best way out for water, by inverts.

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
    """Height of the existing ground above the underside of a den's lid; negative if that stands above the ground.

    Source: geometry; the caution: common practice, no source
    """
    return ground_level - (floor_level + height)


@holds(lambda length_below: length_below <= 0, warn.VESSEL_TESTED)
def vessel_length(length_below: Length) -> Length:
    """Watertight length of a run outside the liner: where the pipe's underside lies below the watertight line.

    Source: geometry: outside every liner, the pipe's underside below the highest water and the margin (your own rule)
    """
    return length_below


@keeps(warn.WATERTIGHT_JOINT)
def joint_below_seal_line(
    water_level: Length, water_rise: Length, seal_margin: Length, joint_level: Length, outside_diameter: Length
) -> Length:
    """Depth of the pipe's underside at a joint, gate or chamber below the watertight line; negative above. That line is
    the seal margin above the highest water.

    Source: geometry; the margin: your own rule
    """
    return water_level + water_rise + seal_margin - (joint_level - outside_diameter / 2)


@holds(
    lambda flush_flow, bore, velocity_required: flush_flow >= velocity_required * math.pi / 4 * bore**2,
    warn.FLUSH_SLOW,
)
def flush_velocity(flush_flow: Flow, bore: Length, velocity_required: Speed) -> Speed:
    """Mean velocity in a run with the whole flush flowing through it, to be compared with the velocity wanted.

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
    """Flow that gives the velocity wanted in the widest pipe on any route from the flush to a mouth.

    Source: conservation of volume
    """
    return velocity_required * math.pi / 4 * widest_bore**2


@holds(
    lambda run_length: run_length <= 0,
    warn.UNSWEPT,
)
def unswept_length(run_length: Length) -> Length:
    """Length of a run that is on no route from the flush to a mouth.

    Source: geometry: runs outside every route from the flush to a mouth
    """
    return run_length


@keeps(warn.ROD_BENDS)
def rod_bends(bends: tuple[Angle, ...]) -> Angle:
    """Sum of the bends that a drain rod passes between two neighbouring access points: mouths, chambers, capped ends.

    Working: sum of bends; straight through a tee or wye there is none
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
    """Mean velocity in a run with several mouths open, in either direction, to be compared with the velocity wanted.

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
    """Depth of soil over the crown that holds down empty pipe in groundwater, with the safety against uplift.

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
    """Least cover over the crown of a run, less the cover needed to hold it down when empty.

    Source: geometry
    """
    return ground_level - pipe_level - outside_diameter / 2 - needed


def pipe_uplift(outside_diameter: Length, wet_length: Length, water_density: Density) -> Mass:
    """Uplift of a stretch of empty pipe, as the mass of water that it displaces.

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
    """Resisting weight of a stretch of empty pipe, as mass: its own, and the soil over its crown as it weighs in water.

    Source: prism of soil over the outside diameter, as H = (FS U - W) / ((soil - water) OD) has it: HDPE flotation
    technical note TN 5.05 (2007)
    """
    return (pipe_mass / length + (soil_density - water_density) * outside_diameter * cover) * wet_length
