"""Relations of rolls of fabric."""

from pondkit.core.units import Area, Count, Length


def rolls(rolls: Count) -> Count:
    """Rolls to buy.

    Working: rolls that all strips of all liners take, longest first, each in one piece where a roll is long enough, else joined with laps; pads
    are cut from what is trimmed off strips and from the ends of rolls, then from a further roll. No plan has fewer, by the lengths of the strips and
    by the area of strips and pads, unless a caution says so.
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
