"""Relations of excavation, banks and berms."""

from pondkit.core.units import Area, Length, Ratio, Volume
from pondkit.geometry.mound import Heap
from pondkit.geometry.trench import Taken


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
