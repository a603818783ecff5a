"""Relations of the earthwork: excavation, banks and berms; soil in bank, loose and compacted volumes, loads and machine
time; setting out, levelling and the as-built survey.
"""

import math
from statistics import stdev

from pondkit.core.entry import holds, keeps, rounded_up
from pondkit.core.units import Area, Bulk, Count, Density, Length, Mass, Ratio, Time, Volume
from pondkit.geometry.mound import Heap
from pondkit.geometry.trench import CutMeasure
from pondkit.trades.earthwork.cautions import OVER_LINE_OF_SIGHT, ROD_UPSIDE_DOWN


def pipe_trench_volume(dug: CutMeasure) -> Volume:
    """Bank volume of the trench of one run, below the existing ground and below the pools' dig.

    Working: pipe's outside and room on both sides, from ground or pool's dig down to the bottom of the bedding, over
    its length
    Source: geometry; room and bedding: user input
    """
    return dug.volume


def den_pit_volume(dug: CutMeasure) -> Volume:
    """Bank volume of the pit of one den chamber, in line with its run.

    Working: outside of the box and room on both sides, from ground or pool's dig down to the bottom of the bedding
    Source: geometry; room and bedding: user input
    """
    return dug.volume


def body_hole_volume(dug: CutMeasure) -> Volume:
    """Bank volume of the excavation for one body of the water side, below the existing ground and below the pools' dig.

    Working: plan of the body and room all round, from ground or pool's dig down to the bottom of its seat, with its
    sides sloped
    Source: geometry; room, sides and seat: user input
    """
    return dug.volume


def footing_volume(dug: CutMeasure) -> Volume:
    """Bank volume of the foundation trench of a wall, below the existing ground and below the pools' dig.

    Working: the lowest course and room before and behind it, from ground or pool's dig down to the bottom of its
    footing, over the line of its front
    Source: geometry; room and footing: user input
    """
    return dug.volume


def link_dig_volume(dug: CutMeasure) -> Volume:
    """Bank volume of the stream bed of one link, below the existing ground and below the pools' dig.

    Working: bed and sides as dug, under all that is laid on them, from the upper waterline through the crest along its
    line to the lower waterline, from ground or pool's dig down
    Source: geometry; line, crest, fall, bed and sides: user input
    """
    return dug.volume


def link_bank_volume(built: CutMeasure) -> Volume:
    """Compacted fill under one link where it runs above the ground, with the banks beside it.

    Working: from the ground up to the bed as dug, the inner sides up to the bank height, and the crest and outer slope
    of banks where they are entered; none of it within the rim lines of the pools
    Source: geometry; line, crest, fall, bed, sides and banks: user input
    """
    return built.volume


def link_line_length(length: Length) -> Length:
    """Level length of a link's line, from waterline to waterline.

    Working: along the middle of its bed
    Source: geometry; crest and places of the line: user input
    """
    return length


def total_link_bank(each: tuple[Volume, ...], shared: Volume) -> Volume:
    """Compacted fill for all links; where two overlap it is counted once.

    Source: geometry
    """
    return sum(each) - shared


def seat_volume(area: Area, thickness: Length) -> Volume:
    """Bedding under a body, or crushed stone under a wall: a layer over the bottom of its excavation, compacted.

    Source: geometry; thickness: user input
    """
    return area * thickness


def pipe_bedding_volume(dug: CutMeasure, bedding: Length, laid_volume: Volume) -> Volume:
    """Bedding under one run or den, compacted.

    ``laid_volume`` comes from the samples of the trench; ``dug`` and ``bedding`` are shown beside it.

    Working: bottom of the trench or pit times the thickness of the bedding, where it lies below the ground and below
    the pools' dig
    Source: geometry; bedding: user input
    """
    return laid_volume


def trench_dig_volume(each: tuple[Volume, ...], shared: Volume) -> Volume:
    """Bank volume of all trenches, den pits, excavations for bodies, foundation trenches of walls and stream beds;
    where two overlap, the ground is counted once, down to the deeper bottom.

    Source: geometry
    """
    return sum(each) - shared


def backfill_volume(
    trenches: Volume, links: Volume, pipes: Volume, boxes: Volume, bodies: Volume, seats: Volume, bedding: Volume
) -> Volume:
    """Backfill over pipe and dens and round bodies and walls, compacted. Stream beds stay open.

    Source: conservation of volume; bodies and walls are taken to fill their plan up to the ground
    """
    return trenches - links - pipes - boxes - bodies - seats - bedding


def straight_berm_volume(
    length: Length, top_width: Length, side_slope: Ratio, end_slope: Ratio, height: Length, body: Volume
) -> Volume:
    """Compacted soil of a straight berm on level ground, less the body in it.

    Source: geometry: the plan area (length + 2 end slope z) (top width + 2 side slope z) at a depth z below its top,
    integrated over its height
    """
    return (
        length * top_width * height
        + (length * side_slope + top_width * end_slope) * height**2
        + 4 / 3 * side_slope * end_slope * height**3
        - body
    )


def berm_height(
    spoil: Volume, length: Length, top_width: Length, side_slope: Ratio, end_slope: Ratio, body: Volume
) -> Length:
    """Height of a straight berm on level ground that uses all the spoil, compacted; 0 if there is none.

    Working: the height at which length x top width x height + (length x side slope + top width x end slope) x height²
    + 4/3 x side slope x end slope x height³ is the volume of the spoil and the body together
    Source: geometry, the berm's volume solved for its height
    """
    from scipy.optimize import brentq

    total_volume = spoil + body
    if total_volume <= 0:
        return 0.0

    def over(height: float) -> float:
        return straight_berm_volume(length, top_width, side_slope, end_slope, height, total_volume)

    high = 1.0
    while over(high) < 0:
        high *= 2
    return float(brentq(over, 0.0, high, xtol=1e-12))


def berm_height_allowed(hidden_rim: Length, rim_margin: Length) -> Length:
    """Height of the berm at which the body it hides still shows the margin above it.

    Source: geometry; the margin: user input
    """
    return hidden_rim - rim_margin


def berm_base(top_width: Length, side_slope: Ratio, height: Length) -> Length:
    """Width of the berm from toe to toe.

    Source: geometry
    """
    return top_width + 2 * side_slope * height


def outer_bank_volume(volume: Volume) -> Volume:
    """Compacted soil of the bank outside the rim line of one pool. Low: built narrower and steeper by the share
    entered; high: wider and flatter.

    Working: between the existing ground and a bank level with the rim for the width of the crest, then falling at the
    outer slope
    Source: geometry, by samples; crest and slope: user input
    """
    return volume


def total_outer_bank(volume: Volume) -> Volume:
    """Compacted soil of all banks outside the rim lines; where two overlap, the higher counts.

    Working: sum of the banks less their overlaps
    Source: geometry, by samples; crest and slope: user input
    """
    return volume


def berm_top(spoil: Volume, heap: Heap, body: Volume) -> Length:
    """Level of the top of a berm with an outline that uses all the spoil, compacted; the lowest ground under it if
    there is none.

    Working: the level at which the soil between ground and berm, its sides falling at the side slope all round, less
    the plan of each body in it, is the volume of the spoil
    Source: geometry, the berm's volume solved for its top
    """
    from scipy.optimize import brentq

    if spoil + body <= 0:
        return heap.lowest
    return float(brentq(lambda top: heap.volume(top) - body - spoil, heap.lowest, heap.most, xtol=1e-12))


def outlined_berm_volume(heap: Heap, top: Length, body: Volume) -> Volume:
    """Compacted soil of a berm with an outline, less the bodies in it.

    Working: between the existing ground and the berm, level within its outline and falling at the side slope all
    round, over the plan less that of each body of the water side that stands there
    Source: geometry, by samples
    """
    return heap.volume(top) - body


def berm_top_allowed(rim: Length, rim_margin: Length, beside: Length, side_slope: Ratio) -> Length:
    """Level of the berm's top at which the body it hides still shows the margin above it.

    Source: geometry: beside the level top the berm falls by distance / side slope; the margin: user input
    """
    return rim - rim_margin + beside / side_slope


def berm_area(area: Area) -> Area:
    """Plan area of the berm, including the bodies in it.

    Working: within the line at which its sides meet the ground
    Source: geometry
    """
    return area


def berm_toe_clearance(distance: Length) -> Length:
    """Least level distance from the berm's toe to the liner's edge, or the rim of a pool without a liner.

    Working: least distance on the plan; 0 where the toe lies on it
    Source: geometry
    """
    return distance


def topsoil_bank(strip_area: Area, topsoil: Length) -> Volume:
    """Bank volume of the topsoil over the dig.

    Source: geometry
    """
    return strip_area * topsoil


def subsoil_bank(dig: Volume, topsoil: Volume) -> Volume:
    """Bank volume of the soil below the topsoil.

    Source: conservation of volume
    """
    return dig - topsoil


def left_bank(subsoil: Volume, fill: Volume, outer_bank: Volume, shrink: Ratio) -> Volume:
    """Bank volume of the subsoil left over when all fills are built; negative if soil must be brought in.

    Source: conservation of mass
    """
    return subsoil - (fill + outer_bank) / (1 - shrink)


def loose(bank: Volume, swell: Ratio) -> Volume:
    """Loose volume of dug soil, in a heap or a truck.

    Source: loose = bank x (1 + swell), the definition of swell
    """
    return bank * (1 + swell)


def left_compacted(subsoil: Volume, fill: Volume, outer_bank: Volume, shrink: Ratio) -> Volume:
    """Compacted volume of the subsoil left over when all fills are built.

    Source: conservation of mass; compacted = bank x (1 - shrink), the definition of shrink

    100 m³ dug, 20 m³ and 10 m³ of banks built, a tenth lost in compaction:

    >>> left_compacted(100, 20, 10, 0.1)
    60.0
    """
    return subsoil * (1 - shrink) - fill - outer_bank


def dug_loose(subsoil: Volume, swell: Ratio, topsoil: Volume, topsoil_swell: Ratio) -> Volume:
    """Loose volume of all that the machine digs: subsoil and topsoil.

    Source: loose = bank x (1 + swell), the definition of swell
    """
    return subsoil * (1 + swell) + topsoil * (1 + topsoil_swell)


def haul_bank(subsoil: Volume, fill: Volume, outer_bank: Volume, berm: Volume, shrink: Ratio) -> Volume:
    """Bank volume of the spoil that neither banks nor berm use, to be hauled away; 0 if there is none.

    Source: conservation of mass
    """
    return max(subsoil - (fill + outer_bank + berm) / (1 - shrink), 0 * subsoil)


def haul_mass(haul_bank: Volume, bank_density: Density) -> Mass:
    """Mass of the soil to haul, from its bank volume.

    Source: mass = volume x density
    """
    return haul_bank * bank_density


def machine_time(dug: Bulk, bucket: Bulk, fill_factor: Ratio, cycle: Time, efficiency: Ratio, trimming: Ratio) -> Time:
    """Time of the machine for all that is dug (loose volume), each bucket handled once; the high end includes trimming
    of shelves and faces.

    Source: output = bucket x fill factor / cycle x job efficiency, the usual form of excavator output
    """
    return dug * cycle / (bucket * fill_factor * efficiency) * (1 + trimming)


def truck_loads(haul: Bulk, truck_volume: Bulk, mass: Mass, truck_payload: Mass) -> Count:
    """Truck loads, by loose volume or by mass, whichever is more.

    Working: the larger of haul / truck volume and mass / truck payload, each rounded up
    Source: geometry and the truck's plate: user input
    """
    return float(max(rounded_up(haul / truck_volume), rounded_up(mass / truck_payload)))


def delivery_turn(set_before: Count) -> Count:
    """Delivery order of a class of stone.

    Source: order of setting
    """
    return set_before + 1


def class_mass(unit_mass: Mass, count: Count) -> Mass:
    """Dry mass of all stones of a class.

    Source: mass of one times the count
    """
    return unit_mass * count


def bulk_mass(laid_volume: Volume, porosity: Ratio, density: Density) -> Mass:
    """Dry mass of gravel or bedding, from its volume as laid.

    Source: bulk density = density of the rock × (1 − porosity), definition of porosity as voids over bulk volume
    """
    return laid_volume * (1 - porosity) * density


def loose_volume(laid_volume: Volume, porosity: Ratio, loose_porosity: Ratio) -> Volume:
    """Loose volume in the truck of a material laid with another porosity.

    Source: conservation of rock; definition of porosity as voids over bulk volume
    """
    return laid_volume * (1 - porosity) / (1 - loose_porosity)


def loose_edging(one_loose: Volume, count: Count) -> Volume:
    """Loose volume in the truck of a row of edging.

    Source: loose volume of one stone times the count
    """
    return one_loose * count


def pieces_by_mass(truck_payload: Mass, high_mass: Mass) -> Count:
    """Load limit by mass: number of stones per load.

    Working: truck payload / high mass of one, rounded down
    Source: the truck's plate: user input
    """
    return math.floor(truck_payload / high_mass + 1e-9)


def pieces_by_mass_and_volume(truck_payload: Mass, high_mass: Mass, truck_volume: Bulk, one_loose: Volume) -> Count:
    """Load limit by mass and volume: number of stones per load that are tipped, not set down one by one.

    Working: the lesser of truck payload / high mass of one and truck volume / loose volume of one, rounded down
    Source: the truck's plate: user input
    """
    return math.floor(min(truck_payload / high_mass, truck_volume / one_loose) + 1e-9)


def volume_per_load(truck_volume: Bulk, truck_payload: Mass, loose_porosity: Ratio, density: Density) -> Volume:
    """Loose volume per load, at the least porosity and the highest density.

    Working: the lesser of the truck's volume and truck payload / ((1 − loose porosity) × density)
    Source: the truck's plate: user input; bulk density by the definition of porosity
    """
    return min(truck_volume, truck_payload / ((1 - loose_porosity) * density))


def piece_loads(count: Count, per_load: Count) -> Count:
    """Number of loads, for stones delivered by number.

    Working: count / how many a load takes, rounded up
    Source: arithmetic
    """
    return rounded_up(count / per_load)


def baseline_length(a_east: Length, a_north: Length, b_east: Length, b_north: Length) -> Length:
    """Length of the baseline: level distance from stake A to stake B.

    Source: geometry
    """
    return math.sqrt((b_east - a_east) ** 2 + (b_north - a_north) ** 2)


def mark_length(length: Length) -> Length:
    """Length of a line that is staked out, all round.

    Working: along the line in plan
    Source: geometry
    """
    return length


def mark_count(points: Count) -> Count:
    """Number of points staked along a line.

    Working: at corners and bends, and between them no further apart than the spacing
    Source: spacing and bends: user input
    """
    return points


def not_by_tapes(points: Count) -> Count:
    """Number of points of a line that two tapes do not fix, as they cross at under 30 or over 150 degrees.

    Working: points at which the angle between the two tapes is under 30 or over 150 degrees
    Source: common practice, no source: flatter tapes turn small errors of length into large ones of place
    """
    return points


@holds(lambda backsight: backsight >= 0, ROD_UPSIDE_DOWN)
def height_of_instrument(benchmark: Length, backsight: Length, datum: Length) -> Length:
    """Height of instrument above the site datum, by backsight on a benchmark.

    Source: level book, height of instrument = reduced level + backsight (N. N. Basak, Surveying and Levelling, ch. 5)
    """
    return benchmark + backsight - datum


def height_as_entered(height: Length, datum: Length) -> Length:
    """Height of instrument above the site datum, where it is known without a backsight.

    Source: user input
    """
    return height - datum


def design_level(level: Length) -> Length:
    """Design level above the site datum; low and high are the ends of its tolerance.

    Working: the pool's level less the depth of the surface, or as drawn
    Source: the drawing
    """
    return level


@keeps(OVER_LINE_OF_SIGHT)
def rod_reading(height_of_instrument: Length, level: Length) -> Length:
    """Rod reading to be had on a level.

    Source: level book, reduced level = height of instrument - foresight (N. N. Basak, Surveying and Levelling, ch. 5)
    """
    return height_of_instrument - level


@holds(lambda rod: rod >= 0, ROD_UPSIDE_DOWN)
def cut_to_level(height_of_instrument: Length, rod: Length, level: Length) -> Length:
    """Cut remaining: ground under the rod less the design level; negative for fill.

    Source: level book, reduced level = height of instrument - foresight (N. N. Basak, Surveying and Levelling, ch. 5)
    """
    return height_of_instrument - rod - level


def dug_difference(as_built: Length, design: Length) -> Length:
    """Deviation from design: as built less design. A level with a negative one was dug too deep.

    Source: user input against the drawing
    """
    return as_built - design


def dug_mean_within(differences: tuple[Length, ...], tolerance: Length) -> Length:
    """How far the mean level of a dig may be off what its surveyed levels say, at 80 % confidence.

    Working: Student's t for 80 % × s / √n. The n values are the differences from the drawing and one more of 0, for
    the drawing itself; s is their standard deviation, or the tolerance of floors if that is more
    Source: confidence interval of a mean, Student's distribution; that the drawing counts as one level: common
    practice, no source
    """
    from scipy.special import stdtrit

    values = (*differences, 0.0)
    spread = max(stdev(values), tolerance)
    return float(stdtrit(len(values) - 1, 0.9)) * spread / math.sqrt(len(values))


def volume_as_dug(design: Volume, change: Volume, surface_area: Area, mean_level_error: Length) -> Volume:
    """Gross volume as built; low and high by how far the mean level may be off.

    Source: the drawing, and the change that the levels measured make, integrated along rings at distances inward from
    the outline; between those levels the hole is taken as drawn and moved by the mean of their differences, nearer
    ones counting more (inverse square of the distance)
    """
    return design + change + surface_area * mean_level_error


def wetted_as_dug(design: Area, change: Area, outline: Length, mean_level_error: Length) -> Area:
    """Wetted area as built; low and high by how far the mean level may be off.

    Source: the drawing, and the change that the levels measured make, integrated along rings at distances inward from
    the outline; between those levels the hole is taken as drawn and moved by the mean of their differences, nearer
    ones counting more (inverse square of the distance)
    """
    return design + change + outline * mean_level_error


def liner_as_dug(by_levels: Length, tape_excess: Length, mean_level_error: Length) -> Length:
    """Net length or width of the liner as built: what the levels give, and what a tape is longer than that. Low and
    high: both faces of a hole longer or shorter by how far its mean level may be off.

    Source: geometry of a sheet that folds and does not stretch; levels and tape: user input
    """
    return by_levels + tape_excess + 2 * mean_level_error


def line_as_dug(
    end_to_end: Length, before_rim: Length, past_rim: Length, edge: Length, mean_level_error: Length
) -> Length:
    """Length of liner along a tape line: from rim to rim over the hole as built, with the edge beyond both. Low and
    high as for the liner's length.

    Source: geometry; the length taped, where a tape was longer than the levels say
    """
    return end_to_end - before_rim - past_rim + 2 * edge + 2 * mean_level_error


def liner_spare_as_dug(ordered: Length, as_built: Length) -> Length:
    """Liner to spare: ordered less required as built; negative if it does not cover the hole.

    Source: conservation of length
    """
    return ordered - as_built
