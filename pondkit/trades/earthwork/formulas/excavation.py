"""Relations of what is dug besides the pools, what of it is filled in again, and what stream beds stand on."""

from pondkit.core.units import Area, Length, Volume
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
