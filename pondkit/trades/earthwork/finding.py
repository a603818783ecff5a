"""Relations of the hole as it was found."""

from pondkit.core.units import Area, Length, Volume


def difference(found: Length, drawn: Length) -> Length:
    """By how much what was found differs from the drawing; a level that is negative was dug too deep.

    Source: user input against the drawing
    """
    return found - drawn


def volume_found(drawn: Volume, more: Volume) -> Volume:
    """Gross volume of the hole as found.

    Source: the drawing, and the difference measured, integrated along rings at distances inward from the outline
    """
    return drawn + more


def wetted_found(drawn: Area, more: Area) -> Area:
    """True area under water of the hole as found.

    Source: the drawing, and the difference measured, integrated along rings at distances inward from the outline
    """
    return drawn + more


def liner_found(over: Length, longer: Length) -> Length:
    """Net length of the liner over the hole as found, and by how much a tape over the hole was longer than its levels say.

    Source: geometry of a sheet that folds and does not stretch; levels and tape: user input
    """
    return over + longer


def line_liner(way: Length, before: Length, behind: Length, edge: Length) -> Length:
    """Liner along a line over the hole: from rim to rim, and the edge beyond both.

    Source: geometry; the way taped where a tape was longer than the levels say
    """
    return way - before - behind + 2 * edge


def liner_spare(ordered: Length, found: Length) -> Length:
    """Liner ordered beyond what the hole as found needs; negative where it does not cover.

    Source: conservation of length
    """
    return ordered - found
