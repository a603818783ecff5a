"""Relations of keeping clear, and of the way in."""

from pondkit.core.entry import holds
from pondkit.core.units import Count, Length


def keep_out_distance(distance: Length, clearance: Length) -> Length:
    """Least level distance from a dig, wall, machine, boom or the way in to what it keeps clear of; 0 where it enters it, negative beyond a boundary.

    Working: least distance on the plan, to be held against the clearance entered; a dig counts as far out as it meets the ground anywhere,
    a machine as far as its furthest corner all round, a boom and its load over the sectors from where stones wait to where they are set
    Source: geometry; the clearance: user input
    """
    return distance


@holds(
    lambda entered: entered < 1,
    "Nearer than the clearances entered, as listed: change the design, or agree it with the owner.",
)
def keep_outs_entered(entered: Count) -> Count:
    """How many times a dig, wall, machine, boom or the way in comes nearer to something than its clearance.

    Working: pairs of these and a keep-out that are nearer than the clearance
    Source: geometry; the clearances: user input
    """
    return entered


@holds(
    lambda clear_width, machine_width, room: clear_width - machine_width - 2 * room >= 0,
    "The machine does not pass the way in with this room beside it: a narrower machine, a wider opening, or work by hand.",
)
def way_spare(clear_width: Length, machine_width: Length, room: Length) -> Length:
    """Width left over when the machine comes in, with room on both sides.

    Source: geometry
    """
    return clear_width - machine_width - 2 * room


@holds(
    lambda clear_width, room: clear_width - 2 * room > 0,
    "Nothing passes the way in with this room beside it: a wider opening, or less room.",
)
def way_stone_width(clear_width: Length, room: Length) -> Length:
    """Widest stone that comes in, carried with its longest side along the way.

    Source: geometry
    """
    return clear_width - 2 * room
