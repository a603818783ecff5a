"""Relations of the earthwork: excavation, banks and berms; soil in bank, loose and compacted volumes, loads and machine
time; setting out, levelling and the as-built survey.
"""

import math
from statistics import stdev

from pondkit.core.entry import holds, keeps, rounded_up
from pondkit.core.units import Area, Bulk, Count, Density, Length, Mass, Ratio, Time, Volume
from pondkit.geometry.mound import Heap
from pondkit.geometry.trench import Taken
from pondkit.trades.earthwork.cautions import OVER_LINE_OF_SIGHT, ROD_UPSIDE_DOWN


def pipe_trench_volume(dug: Taken) -> Volume:
    """Bank measure of the trench of one run, under the ground as it is and under what is dug for the pools.

    Working: pipe's outside and room on both sides, from ground or pool's dig down to the bottom of the bedding, over
    its length
    Source: geometry; room and bedding: user input
    """
    return dug.volume


def den_pit_volume(dug: Taken) -> Volume:
    """Bank measure of the pit for one den chamber, in line with its run.

    Working: outside of the box and room on both sides, from ground or pool's dig down to the bottom of the bedding
    Source: geometry; room and bedding: user input
    """
    return dug.volume


def body_hole_volume(dug: Taken) -> Volume:
    """Bank measure of the hole for one body of the water side, under the ground as it is and under what is dug for
    the pools.

    Working: plan of the body and room all round, from ground or pool's dig down to the bottom of its seat, with its
    sides sloped
    Source: geometry; room, sides and seat: user input
    """
    return dug.volume


def footing_volume(dug: Taken) -> Volume:
    """Bank measure of the trench in which a wall stands, under the ground as it is and under what is dug for the pools.

    Working: the lowest course and room before and behind it, from ground or pool's dig down to the bottom of its
    footing, over the line
    of its front
    Source: geometry; room and footing: user input
    """
    return dug.volume


def link_dig_volume(dug: Taken) -> Volume:
    """Bank measure of the bed of one link, under the ground as it is and under what is dug for the pools.

    Working: bed and sides as dug, under all that is laid on them, from the upper waterline through the crest along
    its line to the lower
    waterline, from ground or pool's dig down
    Source: geometry; line, crest, fall, bed and sides: user input
    """
    return dug.volume


def link_bank_volume(built: Taken) -> Volume:
    """What one link stands on where it runs over the ground, with the banks beside it, as built in.

    Working: from the ground up to its bed as dug and the inner sides up to the bank height, and the crest and outer
    slope of banks
    where they are entered, outside the rim lines of the pools
    Source: geometry; line, crest, fall, bed, sides and banks: user input
    """
    return built.volume


def link_line_length(line: Length) -> Length:
    """Level length of its line, from waterline to waterline.

    Source: geometry; crest and places of the line: user input
    """
    return line


def total_link_bank(each: tuple[Volume, ...], shared: Volume) -> Volume:
    """What is built for all links, soil that several share once.

    Source: geometry
    """
    return sum(each) - shared


def seat_volume(area: Area, seat: Length) -> Volume:
    """Bedding on the bottom of a hole, or crushed stone on that of a wall's trench.

    Source: geometry; thickness: user input
    """
    return area * seat


def pipe_bedding_volume(dug: Taken, bedding: Length, laid: Volume) -> Volume:
    """Bedding under one run or den, compacted.

    Working: bottom of the trench or pit times the bedding, where that lies under the ground and under what is dug for
    the pools
    Source: geometry; bedding: user input
    """
    return laid


def trench_dig_volume(each: tuple[Volume, ...], shared: Volume) -> Volume:
    """Bank measure of all trenches, den pits, holes of bodies, footings of walls and beds of links, shared ground
    once at the deepest.

    Source: geometry
    """
    return sum(each) - shared


def backfill_volume(
    trenches: Volume, links: Volume, pipes: Volume, boxes: Volume, bodies: Volume, seats: Volume, bedding: Volume
) -> Volume:
    """What is filled in again over pipe and dens and round bodies and walls, built in and compacted.

    Beds of links stay open.

    Source: conservation of volume; what is filled in round a body or wall is counted as if that reached up to the
    ground
    """
    return trenches - links - pipes - boxes - bodies - seats - bedding


def berm_volume(
    length: Length, top_width: Length, side_slope: Ratio, end_slope: Ratio, height: Length, body: Volume
) -> Volume:
    """Compacted soil of a berm on level ground, less the body that stands in it.

    Source: geometry: the area (length + 2 end slope z) (top width + 2 side slope z) from its top down
    """
    return (
        length * top_width * height
        + (length * side_slope + top_width * end_slope) * height**2
        + 4 / 3 * side_slope * end_slope * height**3
        - body
    )


def berm_height(
    berm: Volume, length: Length, top_width: Length, side_slope: Ratio, end_slope: Ratio, body: Volume
) -> Length:
    """Height of the berm that holds a compacted volume beside its body, on level ground.

    Working: the height at which length x top width x height + (length x side slope + top width x end slope) x height²
    + 4/3 x side slope x
    end slope x height³ is the volume and the body's together
    Source: geometry, the berm's volume solved for its height
    """
    from scipy.optimize import brentq

    held = berm + body
    if held <= 0:
        return 0.0

    def over(height: float) -> float:
        return berm_volume(length, top_width, side_slope, end_slope, height, held)

    high = 1.0
    while over(high) < 0:
        high *= 2
    return float(brentq(over, 0.0, high, xtol=1e-12))


def berm_height_allowed(hidden_rim: Length, rim_margin: Length) -> Length:
    """Height that the berm may have, so that what it hides stands out of it by the margin.

    Source: geometry; the margin: user input
    """
    return hidden_rim - rim_margin


def berm_base(top_width: Length, side_slope: Ratio, height: Length) -> Length:
    """Width of the berm from toe to toe.

    Source: geometry
    """
    return top_width + 2 * side_slope * height


def outer_bank_volume(built: Volume) -> Volume:
    """Soil of the bank outside the rim line of one pool, compacted; low and high as built narrower and steeper, wider
    and flatter.

    Working: between the ground as it is and a bank level with the rim for the width of the crest, then falling at the
    outer slope
    Source: geometry, by samples; crest and slope: user input
    """
    return built


def total_outer_bank(together: Volume) -> Volume:
    """Soil of all banks outside the rim lines, compacted; where two lie over each other, the higher counts.

    Working: sum of the banks less what lies over what
    Source: geometry, by samples; crest and slope: user input
    """
    return together


def berm_top(berm: Volume, heap: Heap, body: Volume) -> Length:
    """Level of the berm's top that holds a compacted volume beside what stands in it, on the ground as it is.

    Working: the level at which the soil between ground and berm, its sides falling at the side slope all round, less
    the plan of each
    body in it, is the volume
    Source: geometry, the berm's volume solved for its top
    """
    from scipy.optimize import brentq

    if berm + body <= 0:
        return heap.lowest
    return float(brentq(lambda top: heap.volume(top) - body - berm, heap.lowest, heap.most, xtol=1e-12))


def berm_volume_drawn(heap: Heap, top: Length, body: Volume) -> Volume:
    """Compacted soil of a berm with an outline, less what stands in it.

    Working: between the ground as it is and the berm, level within its outline and falling at the side slope all
    round, over the plan
    less that of each body of the water side that stands there
    Source: geometry, by samples
    """
    return heap.volume(top) - body


def berm_top_allowed(rim: Length, rim_margin: Length, beside: Length, side_slope: Ratio) -> Length:
    """Level that the berm's top may have, so that what it hides stands out of it by the margin.

    Source: geometry: beside the level top the berm falls by distance / side slope; the margin: user input
    """
    return rim - rim_margin + beside / side_slope


def berm_area(area: Area) -> Area:
    """Plan area that the berm covers, with what stands in it.

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
    """Topsoil over the dig, as it lies.

    Source: geometry
    """
    return strip_area * topsoil


def subsoil_bank(dig: Volume, topsoil: Volume) -> Volume:
    """What is dug under the topsoil, as it lies.

    Source: conservation of volume
    """
    return dig - topsoil


def left_bank(subsoil: Volume, fill: Volume, outer_bank: Volume, shrink: Ratio) -> Volume:
    """Subsoil left when what is built is filled and compacted, as it lay; negative where soil must be brought.

    Source: conservation of mass
    """
    return subsoil - (fill + outer_bank) / (1 - shrink)


def loose(bank: Volume, swell: Ratio) -> Volume:
    """Volume of dug soil in a heap or a truck.

    Source: loose = bank x (1 + swell), the definition of swell
    """
    return bank * (1 + swell)


def left_compacted(subsoil: Volume, fill: Volume, outer_bank: Volume, shrink: Ratio) -> Volume:
    """Subsoil left when what is built is filled and compacted, itself built in and compacted.

    Source: conservation of mass; compacted = bank x (1 - shrink), the definition of shrink

    100 m³ dug, 20 m³ and 10 m³ of banks built, a tenth lost in compaction:

    >>> left_compacted(100, 20, 10, 0.1)
    60.0
    """
    return subsoil * (1 - shrink) - fill - outer_bank


def dug_loose(subsoil: Volume, swell: Ratio, topsoil: Volume, topsoil_swell: Ratio) -> Volume:
    """All that the machine digs, loose: subsoil and topsoil.

    Source: loose = bank x (1 + swell), the definition of swell
    """
    return subsoil * (1 + swell) + topsoil * (1 + topsoil_swell)


def over_bank(subsoil: Volume, fill: Volume, outer_bank: Volume, berm: Volume, shrink: Ratio) -> Volume:
    """Spoil that neither bank nor berm uses, as it lay; nothing where there is less.

    Source: conservation of mass
    """
    return max(subsoil - (fill + outer_bank + berm) / (1 - shrink), 0 * subsoil)


def soil_mass(bank: Volume, bank_density: Density) -> Mass:
    """Mass of soil by its volume as it lay.

    Source: mass = volume x density
    """
    return bank * bank_density


def machine_time(dug: Bulk, bucket: Bulk, fill_factor: Ratio, cycle: Time, efficiency: Ratio, trimming: Ratio) -> Time:
    """Time on the machine for all that is dug, once handled; trimming of shelves and faces is in its high end.

    Source: output = bucket x fill factor / cycle x job efficiency, the usual form of excavator output
    """
    return dug * cycle / (bucket * fill_factor * efficiency) * (1 + trimming)


def truck_loads(haul: Bulk, truck_volume: Bulk, mass: Mass, truck_payload: Mass) -> Count:
    """Loads by the larger of loose volume and mass.

    Working: the larger of haul / truck volume and mass / truck payload, each rounded up
    Source: geometry and the truck's plate: user input
    """
    return float(max(rounded_up(haul / truck_volume), rounded_up(mass / truck_payload)))


def delivery_turn(set_before: Count) -> Count:
    """Turn in which a class comes.

    Source: order of setting
    """
    return set_before + 1


def class_mass(one: Mass, count: Count) -> Mass:
    """Mass of all stones of a class, dry.

    Source: mass of one times the count
    """
    return one * count


def bulk_mass(laid: Volume, porosity: Ratio, density: Density) -> Mass:
    """Mass of gravel or bedding by its volume as laid, dry.

    Source: bulk density = density of the rock × (1 − porosity), definition of porosity as voids over bulk volume
    """
    return laid * (1 - porosity) * density


def loose_volume(laid: Volume, porosity: Ratio, loose_porosity: Ratio) -> Volume:
    """Volume in the truck of what is laid with other voids.

    Source: conservation of rock; definition of porosity as voids over bulk volume
    """
    return laid * (1 - porosity) / (1 - loose_porosity)


def row_loose(one_loose: Volume, count: Count) -> Volume:
    """Volume in the truck of a row of edging.

    Source: volume of one as tipped times the count
    """
    return one_loose * count


def pieces_by_mass(truck_payload: Mass, high_mass: Mass) -> Count:
    """How many stones a load takes.

    Working: truck payload / high mass of one, rounded down
    Source: the truck's plate: user input
    """
    return math.floor(truck_payload / high_mass + 1e-9)


def pieces_by_both(truck_payload: Mass, high_mass: Mass, truck_volume: Bulk, one_loose: Volume) -> Count:
    """How many tipped stones a load takes.

    Working: the lesser of truck payload / high mass of one and truck volume / loose volume of one, rounded down
    Source: the truck's plate: user input
    """
    return math.floor(min(truck_payload / high_mass, truck_volume / one_loose) + 1e-9)


def volume_per_load(truck_volume: Bulk, truck_payload: Mass, loose_porosity: Ratio, density: Density) -> Volume:
    """Loose volume that a load takes, at the least voids and the highest density.

    Working: the lesser of the truck's volume and truck payload / ((1 − loose porosity) × density)
    Source: the truck's plate: user input; bulk density by the definition of porosity
    """
    return min(truck_volume, truck_payload / ((1 - loose_porosity) * density))


def piece_loads(count: Count, per_load: Count) -> Count:
    """Loads of stones that are counted.

    Working: count / how many a load takes, rounded up
    Source: arithmetic
    """
    return rounded_up(count / per_load)


def baseline_length(a_east: Length, a_north: Length, b_east: Length, b_north: Length) -> Length:
    """Level distance from stake A to stake B.

    Source: geometry
    """
    return math.sqrt((b_east - a_east) ** 2 + (b_north - a_north) ** 2)


def mark_length(length: Length) -> Length:
    """Length of a line that is marked, all round.

    Working: along the line on the site
    Source: geometry
    """
    return length


def mark_count(points: Count) -> Count:
    """Points along a line.

    Working: at corners and bends, and between them no further apart than the spacing
    Source: spacing and bends: user input
    """
    return points


def not_by_tapes(points: Count) -> Count:
    """Points whose tapes cross under 30 or over 150 degrees.

    Working: points at which the angle between the two tapes is under 30 or over 150 degrees
    Source: common practice, no source: flatter tapes turn small errors of length into large ones of place
    """
    return points


@holds(lambda backsight: backsight >= 0, ROD_UPSIDE_DOWN)
def height_of_instrument(benchmark: Length, backsight: Length, datum: Length) -> Length:
    """Level of the line of sight above the site datum, where the benchmark is counted from elsewhere.

    Source: level book, height of instrument = reduced level + backsight (N. N. Basak, Surveying and Levelling, ch. 5)
    """
    return benchmark + backsight - datum


def height_as_entered(height: Length, datum: Length) -> Length:
    """Level of the line of sight above the site datum, where it is known without a backsight.

    Source: user input
    """
    return height - datum


def level_drawn(level: Length) -> Length:
    """A level of the drawing above the site datum; low and high are its tolerance.

    Working: the pool's level less the depth of the surface, or as drawn
    Source: the drawing
    """
    return level


@keeps(OVER_LINE_OF_SIGHT)
def rod_reading(height_of_instrument: Length, level: Length) -> Length:
    """What the rod reads on a level.

    Source: level book, reduced level = height of instrument - foresight (N. N. Basak, Surveying and Levelling, ch. 5)
    """
    return height_of_instrument - level


@holds(lambda rod: rod >= 0, ROD_UPSIDE_DOWN)
def cut_to_level(height_of_instrument: Length, rod: Length, level: Length) -> Length:
    """How far the ground under the rod stands above the level drawn; negative where it lies below.

    Source: level book, reduced level = height of instrument - foresight (N. N. Basak, Surveying and Levelling, ch. 5)
    """
    return height_of_instrument - rod - level


def difference(found: Length, drawn: Length) -> Length:
    """By how much what was found differs from the drawing; a level that is negative was dug too deep.

    Source: user input against the drawing
    """
    return found - drawn


def dug_mean_within(differences: tuple[Length, ...], tolerance: Length) -> Length:
    """How far the mean of a hole's levels may be off what the levels found say, eight times in ten.

    Working: differences from the drawing, with the drawing itself as one more (0): Student's t for 80 % times their
    standard deviation,
    or the tolerance of floors where that is more, over the square root of their number
    Source: confidence interval of a mean, Student's distribution; that the drawing counts as one level: common
    practice, no source
    """
    from scipy.special import stdtrit

    every = (*differences, 0.0)
    spread = max(stdev(every), tolerance)
    return float(stdtrit(len(every) - 1, 0.9)) * spread / math.sqrt(len(every))


def volume_found(drawn: Volume, more: Volume, area: Area, off: Length) -> Volume:
    """Gross volume of the hole as found; low and high by how far the mean of its levels may be off.

    Source: the drawing, and the difference measured, integrated along rings at distances inward from the outline;
    between the levels found the
    hole is taken as drawn and moved by the mean of their differences, nearer ones counting more (inverse square of
    the distance)
    """
    return drawn + more + area * off


def wetted_found(drawn: Area, more: Area, outline: Length, off: Length) -> Area:
    """True area under water of the hole as found; low and high by how much higher its faces may be.

    Source: the drawing, and the difference measured, integrated along rings at distances inward from the outline;
    between the levels found the
    hole is taken as drawn and moved by the mean of their differences, nearer ones counting more (inverse square of
    the distance)
    """
    return drawn + more + outline * off


def liner_found(over: Length, longer: Length, off: Length) -> Length:
    """Net length of the liner over the hole as found, and by how much a tape over the hole was longer than its levels
    say; low and
    high by twice how far the mean of each hole's levels may be off, down and up again.

    Source: geometry of a sheet that folds and does not stretch; levels and tape: user input
    """
    return over + longer + 2 * off


def line_liner(way: Length, before: Length, behind: Length, edge: Length, off: Length) -> Length:
    """Liner along a line over the hole: from rim to rim, and the edge beyond both; low and high as of the liner's
    length.

    Source: geometry; the way taped where a tape was longer than the levels say
    """
    return way - before - behind + 2 * edge + 2 * off


def liner_spare(ordered: Length, found: Length) -> Length:
    """Liner ordered beyond what the hole as found needs; negative where it does not cover.

    Source: conservation of length
    """
    return ordered - found
