"""Relations of a liner, of underlay and overlay and of what is bought for them: sizes, mass, rolls, panels, seams; then
of the liner beyond its rims: edge, anchor trench, folds, strips under falls and channels, groundwater.
"""

import math

from pondkit.core.entry import holds, keeps, rounded_up
from pondkit.core.units import (
    Acceleration,
    Angle,
    Area,
    ArealMass,
    Count,
    Density,
    Force,
    Length,
    Mass,
    Money,
    Pressure,
    PriceEach,
    Ratio,
    Share,
    Volume,
)
from pondkit.trades.liner.cautions import (
    CHANNEL_TOO_SHORT,
    EDGE_TOO_SHORT,
    FOLDS,
    LINER_LIFTS,
    LINER_TOO_HEAVY,
    PANEL_TOO_HEAVY,
    SEAM_UNDER_WATER,
)


def liner_length(left: Length, right: Length) -> Length:
    """Net length of the liner: the longest path over its surface from a straight reference line to either end.

    Source: geometry of a sheet that folds and does not stretch; the reference line where the sum is least
    """
    return left + right


def liner_area(length: Length, width: Length) -> Area:
    """Area of the rectangle.

    Source: geometry
    """
    return length * width


def ordered(net: Length, allowance: Length, sale_unit: Length) -> Length:
    """Length to order: net length plus allowance, rounded up to the unit of sale.

    Source: allowance and unit of sale: user input
    """
    return rounded_up((net + allowance) / sale_unit) * sale_unit


def waste(order: Area, net: Area) -> Area:
    """Waste: area ordered beyond the net area, by allowance and rounding.

    Source: geometry
    """
    return order - net


def liner_made_area(order: Area, laps: Area) -> Area:
    """Area of liner in the rectangle as ordered: its panels, seam overlaps included.

    Source: geometry
    """
    return order + laps


def sheet_mass(thickness: Length, density: Density, area: Area) -> Mass:
    """Mass of a panel, or of the liner as made, seam overlaps included.

    Source: geometry; thickness as printed: ASTM D4637 admits 10 % less than nominal (UFGS 07530 text); its range and
    density's: user input
    """
    return thickness * density * area


@holds(lambda mass, carry: mass <= 4 * carry, LINER_TOO_HEAVY)
def carriers(mass: Mass, carry: Mass) -> Count:
    """Number of people to carry the liner, at the load set for each.

    Source: load per person: user input
    """
    return rounded_up(mass / carry)


def rule_size(rim_length: Length, depth: Length, freeboard: Length, edge: Length) -> Length:
    """Rule-of-thumb size, for comparison: overall length of the rims, twice the depth from the rim, twice the edge.

    Source: common practice, no source
    """
    return rim_length + 2 * (depth + freeboard) + 2 * edge


def rule_shortfall(length: Length, rule: Length) -> Length:
    """Rule-of-thumb deficit: how much the rule falls short of the liner's net length; 0 if it does not.

    Source: geometry
    """
    return max(length - rule, 0 * length)


def seam_lap_area(seam_length: Length, lap: Length) -> Area:
    """Area of seam overlaps.

    Source: geometry
    """
    return seam_length * lap


def turned(turn: Angle) -> Angle:
    """Orientation of the liner's length, anticlockwise from east.

    Working: as entered, else the long side of the narrowest rectangle round the rims
    Source: geometry
    """
    return turn


def panel_count(panels: Count) -> Count:
    """Number of panels of the liner.

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
    """Greatest depth of a seam below the highest water; negative above it.

    Source: geometry of the sheet over the liner's surface; highest water over rest: user input
    """
    return max(at_rest) + water_rise


def true_area(surfaces: tuple[Area, ...]) -> Area:
    """True area of all surfaces and strips under the fabric, faces measured along their slope.

    Source: slices at depth, geometry
    """
    return sum(surfaces)


def strip_count(across: Length, roll_width: Length, lap: Length) -> Count:
    """Number of strips side by side, with laps.

    Source: geometry

    10 m across in rolls of 4 m that lap by 0.5 m: 4 m, then 3.5 m for each further roll.

    >>> strip_count(10.0, 4.0, 0.5)
    3
    """
    return max(rounded_up((across - lap) / (roll_width - lap)), 1)


def strips_area(strips: Count, roll_width: Length, along: Length, joins: Count, lap: Length) -> Area:
    """Area of fabric in the strips; a strip longer than a roll is joined end to end, with a lap at each join.

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
    """Length cut from a roll: its strips, and rows of pads beyond them.

    Source: the cutting plan of the fabric
    """
    return sum(runs)


def pad_order(run: Length, roll_width: Length) -> Area:
    """Area of fabric that pads take from the rolls beyond the strips; pads cut from trimmings take none.

    Source: the cutting plan of the fabric
    """
    return run * roll_width


def pads(pads: Count) -> Count:
    """Number of pads cut that way.

    Source: the cutting plan of the fabric
    """
    return pads


def offcuts_area(offcuts: tuple[Area, ...]) -> Area:
    """Area left of a roll, or of all rolls of a fabric.

    Source: the cutting plan of the fabric
    """
    return sum(offcuts)


def pad_area(count: Count, long: Length, wide: Length, margin: Length) -> Area:
    """Fabric in pads under boulders, one layer: bounding box of the footprint with a margin all round.

    Source: the two longer axes of the stone; margin: user input
    """
    return count * (long + 2 * margin) * (wide + 2 * margin)


def burrow_pad_area(surface: Area, stretch: Share) -> Area:
    """Net fabric in one layer of pads over a zone in which burrowing is expected.

    Source: true area of the liner in the zone, under the waterline; which zone and how much of it: user input
    """
    return surface * stretch


def plan_cost(rolls: tuple[Count, ...], prices: tuple[PriceEach, ...]) -> Money:
    """Cost of the cheapest rolls for the liner, over both directions and every mix of them.

    Working: sum of rolls times their prices
    Source: search over every mix of strips, each kind's joined end to end from what its rolls leave, neighbours' joins
    apart; prices: user input
    """
    return sum(count * price for count, price in zip(rolls, prices, strict=True))


def fewest_seams_cost(rolls: tuple[Count, ...], prices: tuple[PriceEach, ...]) -> Money:
    """Cost of the rolls for the liner with the least length of seams.

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
    """Area of a panel as cut, seam overlaps included.

    Source: geometry
    """
    return along * across


@holds(lambda mass, carry: mass <= 4 * carry, PANEL_TOO_HEAVY)
def panel_carriers(mass: Mass, carry: Mass) -> Count:
    """Number of people to carry a panel, at the load set for each.

    Source: load per person: user input
    """
    return rounded_up(mass / carry)


def seam_run(run: Length) -> Length:
    """Length of one seam.

    Source: geometry
    """
    return run


@keeps(SEAM_UNDER_WATER)
def seam_under_water(at_rest: Length, water_rise: Length) -> Length:
    """Greatest depth of a seam below the highest water; negative above it.

    Source: geometry of the sheet over the liner's surface; highest water over rest: user input
    """
    return at_rest + water_rise


def offcut_area(along: Length, across: Length) -> Area:
    """Area of an offcut.

    Source: geometry
    """
    return along * across


def trench_edge(edge: Length, back: Length, depth: Length, width: Length) -> Length:
    """Width of liner beyond the rim that ends in an anchor trench: to the trench, down, across its floor and up its
    far side; at least the edge entered.

    Source: geometry; sizes: user input
    """
    return max(edge, back + 2 * depth + width)


def edge_needed_flat(edge: Length) -> Length:
    """Width of liner beyond the rim for a flat edge.

    Source: user input
    """
    return edge


@holds(lambda edge, back, rise: edge >= back + rise - 1e-9, EDGE_TOO_SHORT)
def edge_spare_up(edge: Length, back: Length, rise: Length) -> Length:
    """Edge to spare with the liner turned up behind the edging, above the soil that could draw water over it.

    Source: turned up behind the edging to the rim or higher: common practice, no source; sizes: user input
    """
    return edge - back - rise


def edge_spare_trench(edge: Length, back: Length, depth: Length, width: Length) -> Length:
    """Edge to spare with the liner in the anchor trench: down its side, across its floor and up its far side.

    Source: geometry; sizes: user input
    """
    return edge - back - 2 * depth - width


def edge_above_soil(rim_level: Length, rise: Length, soil: Length) -> Length:
    """Upper edge of the turned-up liner above the highest existing ground beside it; negative if the ground is higher.

    Source: turned up above all soil that could draw water over it: common practice, no source; rise: user input
    """
    return rim_level + rise - soil


def trench_volume(middle: Length, depth: Length, width: Length) -> Volume:
    """Bank volume of soil from the anchor trench, along its centre line; it is backfilled over the liner.

    Working: length of the line that runs round all pools of the liner, by how far back the trench lies and half its
    width outside their rims, times depth and width; depth is under the level of the rim
    Source: geometry; sizes: user input
    """
    return middle * depth * width


@holds(lambda turned: turned <= 0, FOLDS)
def fold(way: Length, run: Length, turned: Angle) -> Length:
    """Excess of liner over rim along a stretch of the rim, which goes into folds; negative where it is drawn tight.

    Working: way over the surface from the rim to the floor less its level run, times the angle in radians by which the
    stretch turned
    Source: geometry: round a floor that lies flat the sheet's edge is a line at the way's distance, the rim one at the
    run's

    A face 2 m long over 1 m of level run, round half a circle:

    >>> round(fold(2.0, 1.0, 180), 4)
    3.1416
    """
    return (way - run) * math.radians(turned)


def strip_length(upper_gap: Length, drop: Length, lower_gap: Length, lap: Length) -> Length:
    """Length of the liner strip under a fall: over the crest, down the drop, and lapped onto both liners.

    Source: level way from the upper waterline to the crest and on to the lower one, plus the drop: never shorter than
    the way over any steps
    """
    return upper_gap + drop + lower_gap + 2 * lap


@holds(lambda bed, straight: bed >= straight - 1e-9, CHANNEL_TOO_SHORT)
def channel_strip_length(upper_gap: Length, bed: Length, straight: Length, end_drop: Length, lap: Length) -> Length:
    """Length of the liner strip under a channel: over the crest, along the bed, down the rest of the drop, lapped onto
    both liners.

    Source: length along the bed: user input; never less than the straight way from the crest to the lower waterline:
    geometry
    """
    return upper_gap + max(bed, straight) + end_drop + 2 * lap


def strip_width(crest_width: Length, beside: Length) -> Length:
    """Width of the strip under a fall.

    Source: crest and what is turned up beside it: user input
    """
    return crest_width + 2 * beside


def channel_strip_width(bed_width: Length, bank_height: Length, side_batter: Ratio, beside: Length) -> Length:
    """Width of the liner strip under a channel: its bed, both sides along their slope to the top of the bank, and the
    edge beyond on each side.

    Source: girth of a trapezoid: geometry; edge beside it: user input
    """
    return bed_width + 2 * bank_height * math.sqrt(1 + side_batter**2) + 2 * beside


def strip_area(length: Length, width: Length) -> Area:
    """Area of one strip; an offcut may serve.

    Source: geometry
    """
    return length * width


@holds(
    lambda groundwater, floor_level, gravel, gravel_density, water_density: (
        gravel * gravel_density >= (groundwater - floor_level) * water_density
    ),
    LINER_LIFTS,
)
def liner_uplift(
    groundwater: Length, floor_level: Length, gravel: Length, gravel_density: Density, water_density: Density
) -> Length:
    """Net uplift under the liner of an empty pool, as head: groundwater less the gravel on it, where most remains; 0
    or less is safe.

    Source: hydrostatics; gravel full of air (drained), its density: user input
    """
    return groundwater - floor_level - gravel * gravel_density / water_density


def uplift_pressure(
    groundwater: Length, floor_level: Length, water_density: Density, gravity: Acceleration
) -> Pressure:
    """Uplift pressure of groundwater under the liner of an empty pool, at its critical shelf or floor.

    Source: hydrostatics
    """
    return (groundwater - floor_level) * water_density * gravity


def gravel_holds(gravel: Length, gravel_density: Density, gravity: Acceleration) -> Pressure:
    """Ballast of the gravel alone on that shelf or floor, as pressure.

    Source: weight over area; gravel full of air (drained), its density: user input
    """
    return gravel * gravel_density * gravity


def stone_holds(masses: tuple[Mass, ...], gravity: Acceleration) -> Force:
    """Weight of all stone on the liner of a pool above groundwater, at its low mass, dry as the pool is empty.

    Source: weight = mass × gravity
    """
    return sum(masses) * gravity
