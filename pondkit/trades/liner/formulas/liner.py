"""Relations of a liner, of underlay and overlay, and of what is bought for them: sizes, mass, rolls, panels, seams."""

from pondkit.core.entry import holds, rounded_up
from pondkit.core.units import Angle, Area, ArealMass, Count, Density, Length, Mass, Money, PriceEach, Share
from pondkit.trades.liner.cautions import LINER_TOO_HEAVY, PANEL_TOO_HEAVY, SEAM_UNDER_WATER


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


def true_area(surfaces: tuple[Area, ...]) -> Area:
    """True area, faces along their slope, of all surfaces and strips that it lies on.

    Source: slices at depth, geometry
    """
    return sum(surfaces)


def strip_count(across: Length, roll_width: Length, lap: Length) -> Count:
    """Strips from the roll side by side with laps.

    Source: geometry

    10 m across in rolls of 4 m that lap by 0.5 m: 4 m, then 3.5 m for each further roll.

    >>> strip_count(10.0, 4.0, 0.5)
    3
    """
    return max(rounded_up((across - lap) / (roll_width - lap)), 1)


def strips_area(strips: Count, roll_width: Length, along: Length, joins: Count, lap: Length) -> Area:
    """Fabric that the strips take off the roll; one longer than a roll is joined end to end, with a lap at each of all
    joins.

    Source: geometry
    """
    return roll_width * (strips * along + joins * lap)


def fabric_mass(mass: ArealMass, area: Area) -> Mass:
    """Mass of the fabric as ordered.

    Source: mass per area as printed on the roll
    """
    return mass * area


def rolls(rolls: Count) -> Count:
    """Rolls to buy.

    Working: rolls that all strips of all liners take, longest first, each in one piece where a roll is long enough,
    else joined with laps; pads are cut from what is trimmed off strips and from the ends of rolls, then from a further
    roll. No plan has fewer, by the lengths of the strips and by the area of strips and pads, unless a caution says so.
    Source: first-fit-decreasing with the length bound and a limited search
    """
    return rolls


def roll_run(runs: tuple[Length, ...]) -> Length:
    """Length that is cut off a roll: its strips, and rows of pads beyond them.

    Source: the cutting plan of the fabric
    """
    return sum(runs)


def pad_order(run: Length, roll_width: Length) -> Area:
    """Fabric that pads take off the rolls beyond the strips; those out of what is trimmed off strips take none.

    Source: the cutting plan of the fabric
    """
    return run * roll_width


def pads(pads: Count) -> Count:
    """Pads so cut.

    Source: the cutting plan of the fabric
    """
    return pads


def offcuts_area(offcuts: tuple[Area, ...]) -> Area:
    """All that is left of a roll, or of all of a fabric.

    Source: the cutting plan of the fabric
    """
    return sum(offcuts)


def pad_area(count: Count, long: Length, wide: Length, margin: Length) -> Area:
    """Fabric in pads under boulders, over and under the liner alike: one layer, the box round the footprint and a
    margin all round.

    Source: the two longer axes of the stone; margin: user input
    """
    return count * (long + 2 * margin) * (wide + 2 * margin)


def burrow_pad_area(surface: Area, stretch: Share) -> Area:
    """Fabric in one layer of pad over a zone in which burrowing is expected, net.

    Source: true area of the liner in the zone, under the waterline; which zone and how much of it: user input
    """
    return surface * stretch


def plan_cost(rolls: tuple[Count, ...], prices: tuple[PriceEach, ...]) -> Money:
    """Cost of the rolls that make the liner up, the least over both directions and every mix of them.

    Working: sum of rolls times their prices
    Source: search over every mix of strips, each kind's joined end to end from what its rolls leave, neighbours' joins
    apart; prices: user input
    """
    return sum(count * price for count, price in zip(rolls, prices, strict=True))


def fewest_seams_cost(rolls: tuple[Count, ...], prices: tuple[PriceEach, ...]) -> Money:
    """Cost of the rolls that make the liner up with the least length of seams.

    Working: sum of rolls times their prices
    Source: search over every mix of strips in both directions, the cheapest of those with as little seam; prices: user
    input
    """
    return sum(count * price for count, price in zip(rolls, prices, strict=True))


def fewest_seams_pieces(pieces: Count) -> Count:
    """Panels of that plan.

    Source: the plan with the least length of seams
    """
    return pieces


def fewest_seams_length(seams: Length) -> Length:
    """Length of all its seams.

    Source: the plan with the least length of seams
    """
    return seams


def rolls_to_buy(rolls: Count) -> Count:
    """Rolls or sheets of this kind to buy.

    Source: the cheapest cutting plan
    """
    return rolls


def panel_area(along: Length, across: Length) -> Area:
    """Area of a panel as it is cut, laps among it.

    Source: geometry
    """
    return along * across


def panel_mass(thickness: Length, density: Density, area: Area) -> Mass:
    """Mass of a panel.

    Source: geometry; thickness as printed: ASTM D4637 admits 10 % less than nominal (UFGS 07530 text); its range and
    density's: user input
    """
    return thickness * density * area


@holds(lambda mass, carry: mass <= 4 * carry, PANEL_TOO_HEAVY)
def panel_carriers(mass: Mass, carry: Mass) -> Count:
    """People who carry a panel at the load each is asked to carry.

    Source: load per person: user input
    """
    return rounded_up(mass / carry)


def seam_run(run: Length) -> Length:
    """Length of one seam.

    Source: geometry
    """
    return run


@holds(lambda at_rest, water_rise: at_rest + water_rise <= 1e-9, SEAM_UNDER_WATER)
def seam_under_water(at_rest: Length, water_rise: Length) -> Length:
    """Greatest depth of a seam under the highest water; negative above it.

    Source: geometry of the sheet over the liner's surface; highest water over rest: user input
    """
    return at_rest + water_rise


def offcut_area(along: Length, across: Length) -> Area:
    """Area of a piece that is left over.

    Source: geometry
    """
    return along * across
