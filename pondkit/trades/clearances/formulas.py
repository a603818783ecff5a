"""Relations of clearances, of the way in, and of boulders over other works."""

from pondkit.core.entry import keeps
from pondkit.core.units import Count, Length
from pondkit.trades.clearances import cautions as rules


def keep_out_distance(distance: Length, clearance: Length) -> Length:
    """Clearance to a keep-out: least level distance from a dig, heap, wall, machine, boom or the way in; 0 where they
    overlap, negative beyond a boundary.

    Working: least distance on the plan, to be compared with the clearance entered; a dig reaches as far out as it meets
    the ground anywhere, a machine as far as its furthest corner in any direction, a boom and its load over the sectors
    from where stones wait to where they are set
    Source: geometry; the clearance: user input
    """
    return distance


@keeps(rules.KEEP_OUT_ENTERED)
def keep_outs_entered(entered: Count) -> Count:
    """Number of keep-outs to which a dig, heap, wall, machine, boom or the way in is nearer than their clearance.

    Working: keep-outs to which at least one of these is nearer than the clearance
    Source: geometry; the clearances: user input
    """
    return entered


@keeps(rules.MACHINE_TOO_WIDE)
def way_spare(clear_width: Length, machine_width: Length, room: Length) -> Length:
    """Clear width of the way in, less the machine and the room on both sides.

    Source: geometry
    """
    return clear_width - machine_width - 2 * room


@keeps(rules.WAY_SHUT)
def way_stone_width(clear_width: Length, room: Length) -> Length:
    """Width of the widest stone that can come in, carried with its longest side along the way.

    Source: geometry
    """
    return clear_width - 2 * room


def boulders_on_works(pairs: Count) -> Count:
    """Number of pairs of a placed boulder and a mouth, pipe, den, pit's edge, body or wall that it overlaps in plan.

    Source: geometry: plans of the stones by their longest and middle axis, the longest eastward, and plans of the works
    """
    return pairs
