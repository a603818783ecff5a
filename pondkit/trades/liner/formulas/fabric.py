"""Relations of underlay and overlay: strips, rolls and pads."""

from pondkit.core.entry import rounded_up
from pondkit.core.units import Area, ArealMass, Count, Length, Mass, Share


def true_area(surfaces: tuple[Area, ...]) -> Area:
    """True area, faces along their slope, of all surfaces and strips that it lies on.

    Source: slices at depth, geometry
    """
    return sum(surfaces)


def strip_count(across: Length, roll_width: Length, lap: Length) -> Count:
    """Strips from the roll side by side with laps.

    Source: geometry
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
