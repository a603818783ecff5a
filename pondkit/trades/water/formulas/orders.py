"""Relations of what is ordered: pipe, fittings, valves, media."""

from pondkit.core.entry import rounded_up
from pondkit.core.units import Area, Bulk, Count, Length


def line_pipe(lengths: tuple[Length, ...]) -> Length:
    """Pipe of one size in all lines, as entered: fittings' own length is in it.

    Source: sum of the lines' lengths
    """
    return sum(lengths)


def line_pipe_order(line_pipe: Length, stock_length: Length) -> Length:
    """Pipe of one size to buy.

    Working: whole stock lengths that hold the pipe, joined with couplings, times the stock length
    Source: arithmetic; offcuts are used up in the next line
    """
    return rounded_up(line_pipe / stock_length) * stock_length


def line_fitting_order(counts: tuple[Count, ...]) -> Count:
    """How many of one fitting or valve all lines have.

    Source: counts as entered; couplings: one between each two stock lengths of a line
    """
    return sum(counts)


def media_order(area: Area, depth: Length, sale_unit: Bulk) -> Bulk:
    """Media to buy: the bulk volume of the bed, up to whole sacks, boxes or other units of sale.

    Working: area × depth, rounded up to a multiple of the unit of sale where one is entered
    Source: geometry
    """
    bulk = area * depth
    return bulk if sale_unit == 0 else rounded_up(bulk / sale_unit) * sale_unit
