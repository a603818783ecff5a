"""Relations of a liner: its size, order, mass and panels."""

from pondkit.core.entry import holds, rounded_up
from pondkit.core.units import (
    Angle,
    Area,
    Count,
    Density,
    Length,
    Mass,
)
from pondkit.trades.liner.cautions import LINER_TOO_HEAVY


def liner_length(left: Length, right: Length) -> Length:
    """Net length of the liner: the longest way over its surface from one straight reference line to either end.

    Source: geometry of a sheet that folds and does not stretch; the reference line where the sum is least
    """
    return left + right


def liner_area(length: Length, width: Length) -> Area:
    """Area of the rectangle.

    Source: geometry
    """
    return length * width


def ordered(net: Length, allowance: Length, sale_unit: Length) -> Length:
    """Length to order: net and allowance, rounded up to the unit of sale.

    Source: allowance and unit of sale: user input
    """
    return rounded_up((net + allowance) / sale_unit) * sale_unit


def waste(order: Area, net: Area) -> Area:
    """What is ordered beyond the net area: allowance and rounding.

    Source: geometry
    """
    return order - net


def liner_made_area(order: Area, laps: Area) -> Area:
    """Liner that goes into the rectangle as ordered: its panels, laps among them.

    Source: geometry
    """
    return order + laps


def liner_mass(thickness: Length, density: Density, made: Area) -> Mass:
    """Mass of the liner as ordered, laps of its panels among it.

    Source: geometry; thickness as printed: ASTM D4637 admits 10 % less than nominal (UFGS 07530 text); its range and
    density's: user input
    """
    return thickness * density * made


@holds(lambda mass, carry: mass <= 4 * carry, LINER_TOO_HEAVY)
def carriers(mass: Mass, carry: Mass) -> Count:
    """People who carry the liner at the load each is asked to carry.

    Source: load per person: user input
    """
    return rounded_up(mass / carry)


def rule_size(rim_length: Length, depth: Length, freeboard: Length, edge: Length) -> Length:
    """The trade's rule, as a comparison: overall length of the rims, twice the depth from the rim, twice the edge.

    Source: common practice, no source
    """
    return rim_length + 2 * (depth + freeboard) + 2 * edge


def rule_shortfall(length: Length, rule: Length) -> Length:
    """By how much the trade's rule falls short of the liner's own length; 0 where it does not.

    Source: geometry
    """
    return max(length - rule, 0 * length)


def seam_lap_area(seam_length: Length, lap: Length) -> Area:
    """Liner that lies double in seams.

    Source: geometry
    """
    return seam_length * lap


def turned(turn: Angle) -> Angle:
    """Direction of the liner's length, anticlockwise from east.

    Working: as entered, else the long side of the narrowest rectangle round the rims
    Source: geometry
    """
    return turn


def panel_count(panels: Count) -> Count:
    """Pieces that the liner is made up of.

    Working: pieces of the stock that make up the ordered rectangle, laid the way that needs no seam, else the
    shallowest
    Source: geometry; stock width and length: user input
    """
    return panels


def seam_length(seams: tuple[Length, ...]) -> Length:
    """Length of all seams.

    Source: geometry
    """
    return sum(seams)


def seam_depth(at_rest: tuple[Length, ...], water_rise: Length) -> Length:
    """Greatest depth of a seam under the highest water; negative above it.

    Source: geometry of the sheet over the liner's surface; highest water over rest: user input
    """
    return max(at_rest) + water_rise
