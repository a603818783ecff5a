"""Relations of a liner and its fabrics: size, mass, panels, seams and rolls; then of its edge, anchor trench and folds,
of the strips under falls and channels, and of uplift by groundwater.
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
    """Net length of the liner, or width: the longest ways over its surface from a straight line across it to both ends.

    Source: geometry of a sheet that folds and does not stretch; the line where the sum is least
    """
    return left + right


def liner_area(length: Length, width: Length) -> Area:
    """Area of the liner's rectangle.

    Source: geometry
    """
    return length * width


def order_length(net: Length, allowance: Length, sale_unit: Length) -> Length:
    """Length to order: net length plus allowance, rounded up to the unit of sale.

    Source: allowance and unit of sale: user input
    """
    return rounded_up((net + allowance) / sale_unit) * sale_unit


def waste(order: Area, net: Area) -> Area:
    """Area ordered beyond the net area, by allowance and rounding.

    Source: geometry
    """
    return order - net


def liner_made_area(order: Area, laps: Area) -> Area:
    """Area of liner in the rectangle as ordered: its panels, laps of seams included.

    Source: geometry
    """
    return order + laps


def sheet_mass(thickness: Length, density: Density, area: Area) -> Mass:
    """Mass of a panel, or of the whole liner, laps of seams included.

    Source: geometry; thickness as printed: ASTM D4637 admits 10 % less than nominal (UFGS 07530 text); its range and
    density's: user input
    """
    return thickness * density * area


@holds(lambda mass, carry: mass <= 4 * carry, LINER_TOO_HEAVY)
def carriers(mass: Mass, carry: Mass) -> Count:
    """Number of people to carry the liner, at the load entered for each.

    Source: load per person: user input
    """
    return rounded_up(mass / carry)


def rule_size(rim_length: Length, depth: Length, freeboard: Length, edge: Length) -> Length:
    """Size by the rule of thumb, for comparison: overall length of the rims, twice the depth under the rim, twice the
    edge.

    Source: common practice, no source
    """
    return rim_length + 2 * (depth + freeboard) + 2 * edge


def rule_shortfall(length: Length, rule: Length) -> Length:
    """How much the rule of thumb falls short of the liner's net length; 0 if it does not.

    Source: geometry
    """
    return max(length - rule, 0 * length)


def seam_lap_area(seam_length: Length, lap: Length) -> Area:
    """Area of liner that lies double in seams.

    Source: geometry
    """
    return seam_length * lap


def liner_turn(turn: Angle) -> Angle:
    """Direction of the liner's length, anticlockwise from east.

    Working: as entered, else the long side of the narrowest rectangle round the rims
    Source: geometry
    """
    return turn


def panel_count(panels: Count) -> Count:
    """Number of panels of the liner.

    Working: pieces of the stock that make up the rectangle as ordered, the way round that needs no seam, else the one
    with the shallowest seams
    Source: geometry; stock width and length: user input
    """
    return panels


def seam_length(seams: tuple[Length, ...]) -> Length:
    """Length of all seams.

    Source: geometry
    """
    return sum(seams)


def seam_depth(at_rest: tuple[Length, ...], water_rise: Length) -> Length:
    """Greatest depth of any seam below the highest water; negative above it.

    ``at_rest`` are the depths below the water at rest.

    Source: geometry of the sheet over the liner's surface; highest water over rest: user input
    """
    return max(at_rest) + water_rise


def true_area(surfaces: tuple[Area, ...]) -> Area:
    """True area of what the fabric covers: faces measured along their slope, and the strips beyond the rims.

    Source: slices at depth, geometry
    """
    return sum(surfaces)


def strip_count(across: Length, roll_width: Length, lap: Length) -> Count:
    """Number of strips of fabric side by side, with laps.

    Source: geometry

    10 m across in rolls of 4 m that lap by 0.5 m: 4 m, then 3.5 m for each further roll.

    >>> strip_count(10.0, 4.0, 0.5)
    3
    """
    return max(rounded_up((across - lap) / (roll_width - lap)), 1)


def strips_area(strips: Count, roll_width: Length, along: Length, joins: Count, lap: Length) -> Area:
    """Area of fabric in the strips. A strip longer than a roll is joined end to end, with a lap at each join.

    Source: geometry
    """
    return roll_width * (strips * along + joins * lap)


def fabric_mass(mass: ArealMass, area: Area) -> Mass:
    """Mass of the fabric as ordered.

    Source: mass per area as printed on the roll
    """
    return mass * area


def roll_count(rolls: Count) -> Count:
    """Rolls of fabric to buy.

    Working: rolls that all strips of all liners take, longest first, each in one piece where a roll is long enough,
    else joined with laps; pads are cut from what is trimmed off strips and from the ends of rolls, then from a further
    roll. Unless a caution says so, the lengths of the strips, or the area of strips and pads, allow no fewer.
    Source: strips by first fit, longest first, against the bound of their lengths, with a limited search
    """
    return rolls


def roll_run(runs: tuple[Length, ...]) -> Length:
    """Length cut from a roll: its strips, and the rows of pads beyond them.

    Source: the cutting plan of the fabric
    """
    return sum(runs)


def pad_order(run: Length, roll_width: Length) -> Area:
    """Area of fabric that pads take from the rolls beyond the strips; pads cut from trimmings take none.

    Source: the cutting plan of the fabric
    """
    return run * roll_width


def pad_count(pads: Count) -> Count:
    """Number of pads cut from what the strips leave, or from a further roll.

    Source: the cutting plan of the fabric
    """
    return pads


def offcuts_area(offcuts: tuple[Area, ...]) -> Area:
    """Area of the offcuts of a roll, or of all rolls of a fabric.

    Source: the cutting plan of the fabric
    """
    return sum(offcuts)


def pad_area(count: Count, long: Length, wide: Length, margin: Length) -> Area:
    """Fabric in one layer of pads under boulders: the rectangle round each, with a margin all round.

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
    Source: search over every mix of strips, those of each kind joined end to end from what its rolls leave, joins of
    neighbours apart; prices: user input
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
    """Number of panels of the plan with the least length of seams.

    Source: the plan with the least length of seams
    """
    return pieces


def fewest_seams_length(seams: Length) -> Length:
    """Length of all seams of the plan with the least.

    Source: the plan with the least length of seams
    """
    return seams


def rolls_to_buy(rolls: Count) -> Count:
    """Rolls or sheets of this kind to buy.

    Source: the cheapest cutting plan
    """
    return rolls


def panel_area(along: Length, across: Length) -> Area:
    """Area of a panel as cut, laps of seams included.

    Source: geometry
    """
    return along * across


@holds(lambda mass, carry: mass <= 4 * carry, PANEL_TOO_HEAVY)
def panel_carriers(mass: Mass, carry: Mass) -> Count:
    """Number of people to carry a panel, at the load entered for each.

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
    """Greatest depth of any seam below the highest water; negative above it.

    ``at_rest`` are the depths below the water at rest.

    Source: geometry of the sheet over the liner's surface; highest water over rest: user input
    """
    return at_rest + water_rise


def offcut_area(along: Length, across: Length) -> Area:
    """Area of an offcut.

    Source: geometry
    """
    return along * across


def trench_edge(edge: Length, back: Length, depth: Length, width: Length) -> Length:
    """Width of liner beyond the rim that ends in an anchor trench: back to the trench, down, across its floor and up
    its far side; no less than the edge entered.

    Source: geometry; sizes: user input
    """
    return max(edge, back + 2 * depth + width)


def edge_spare_flat(edge: Length) -> Length:
    """Edge to spare with the liner laid flat: all of its width beyond the rim.

    Source: user input
    """
    return edge


@holds(lambda edge, back, rise: edge >= back + rise - 1e-9, EDGE_TOO_SHORT)
def edge_spare_up(edge: Length, back: Length, rise: Length) -> Length:
    """Edge to spare with the liner turned up behind the edging.

    Source: turned up behind the edging to the rim or higher: common practice, no source; sizes: user input
    """
    return edge - back - rise


def edge_spare_trench(edge: Length, back: Length, depth: Length, width: Length) -> Length:
    """Edge to spare with the liner in the anchor trench: back to it, down, across its floor and up its far side.

    Source: geometry; sizes: user input
    """
    return edge - back - 2 * depth - width


def edge_above_soil(rim_level: Length, rise: Length, soil: Length) -> Length:
    """Height of the turned-up liner's upper edge over the highest existing ground beside it; negative if that is
    higher.

    Source: turned up above all soil that could draw water over it: common practice, no source; rise: user input
    """
    return rim_level + rise - soil


def trench_volume(centre_line: Length, depth: Length, width: Length) -> Volume:
    """Soil out of the anchor trench, in place; it is filled back over the liner.

    Working: length of the trench's centre line, which runs round all pools of the liner as far outside their rims as
    the trench lies back and half its width, times depth and width; the depth is under the level of the rim
    Source: geometry; sizes: user input
    """
    return centre_line * depth * width


@holds(lambda turn_angle: turn_angle <= 0, FOLDS)
def fold(way: Length, run: Length, turn_angle: Angle) -> Length:
    """Excess of liner over rim along a stretch of the rim, which goes into folds; negative where it is drawn tight.

    ``turn_angle`` is the angle by which the rim turns along that stretch.

    Working: way over the surface from the rim to the floor less its level run, times the angle in radians by which the
    stretch turns
    Source: geometry: round a floor that lies flat the sheet's edge is a line at the way's distance, the rim one at the
    run's

    A face 2 m long over 1 m of level run, round half a circle:

    >>> round(fold(2.0, 1.0, 180), 4)
    3.1416
    """
    return (way - run) * math.radians(turn_angle)


def fall_strip_length(upper_gap: Length, drop: Length, lower_gap: Length, lap: Length) -> Length:
    """Length of the strip of liner under a fall: over the crest, down the drop, and lapped onto both liners.

    The gaps are the level distances from the crest to the waterlines of both pools.

    Source: level way from the upper waterline to the crest and on to the lower one, plus the drop: never shorter than
    the way over any steps
    """
    return upper_gap + drop + lower_gap + 2 * lap


@holds(lambda bed, straight: bed >= straight - 1e-9, CHANNEL_TOO_SHORT)
def channel_strip_length(upper_gap: Length, bed: Length, straight: Length, end_drop: Length, lap: Length) -> Length:
    """Length of the strip of liner under a channel: over the crest, along the bed, down the rest of the drop, lapped
    onto both liners.

    ``upper_gap`` is the level distance from the crest to the upper waterline, ``straight`` the straight way down the
    bed to the lower one, ``end_drop`` what the bed leaves of the drop.

    Source: length along the bed: user input; never less than the straight way from the crest to the lower waterline:
    geometry
    """
    return upper_gap + max(bed, straight) + end_drop + 2 * lap


def fall_strip_width(crest_width: Length, beside: Length) -> Length:
    """Width of the strip of liner under a fall.

    Source: crest and what is turned up beside it: user input
    """
    return crest_width + 2 * beside


def channel_strip_width(bed_width: Length, bank_height: Length, side_batter: Ratio, beside: Length) -> Length:
    """Width of the strip of liner under a channel: its bed, both sides along their slope to the top of the bank, and
    the edge beyond on each side.

    Source: girth of a trapezoid: geometry; edge beside it: user input
    """
    return bed_width + 2 * bank_height * math.sqrt(1 + side_batter**2) + 2 * beside


def link_strip_area(length: Length, width: Length) -> Area:
    """Area of the strip of liner under one link; an offcut may serve.

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
    """Net uplift under the liner of an empty pool, as head: that of the groundwater less the weight of the gravel on
    the liner, at the shelf or floor where most is left; the gravel holds it at 0 or less.

    Source: hydrostatics; gravel full of air (drained), its density: user input
    """
    return groundwater - floor_level - gravel * gravel_density / water_density


def uplift_pressure(
    groundwater: Length, floor_level: Length, water_density: Density, gravity: Acceleration
) -> Pressure:
    """Pressure of groundwater under the liner of an empty pool, at the shelf or floor where gravel holds least of it.

    Source: hydrostatics
    """
    return (groundwater - floor_level) * water_density * gravity


def gravel_holds(gravel: Length, gravel_density: Density, gravity: Acceleration) -> Pressure:
    """Weight of the gravel on that shelf or floor, as pressure.

    Source: weight over area; gravel full of air (drained), its density: user input
    """
    return gravel * gravel_density * gravity


def stone_holds(masses: tuple[Mass, ...], gravity: Acceleration) -> Force:
    """Weight of all stone that stands on the liner of a pool where groundwater pushes, at its low mass, dry as the pool
    is empty.

    Source: weight = mass × gravity
    """
    return sum(masses) * gravity
