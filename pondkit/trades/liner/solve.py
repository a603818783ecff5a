"""Searches that are run only on request, never on a slider's way."""

from pondkit.geometry.sheet import sheets
from pondkit.project.project import Project
from pondkit.study.evaluate import evaluate
from pondkit.trades.liner.ending import edge_of
from pondkit.trades.liner.least import Turn, least_area_turn
from pondkit.trades.liner.plan import Stock, cheapest
from pondkit.trades.liner.relations import ordered
from pondkit.trades.liner.work import GAIN

TIE = 1e-4  # money for 1 m²: decides between turns of one cost only


def least_liner_turn(project: Project, option: int, liner: int) -> Turn | None:
    """The turn at which one liner takes the least net area, or from given rolls costs least; None where no pool of it can be worked out.

    Args:
        project: The design.
        option, liner: Index of the option, and of the liner in it.
    """
    lining = project.options[option].lining
    if lining is None:
        return None
    covers = lining.liners[liner].covers
    laid = tuple(pool.surfaces.liner for pool in evaluate(project).options[option].pools if pool.name in covers)
    if not laid:
        return None
    edge = edge_of(lining)

    def area(turn: float) -> float:
        along, across = sheets(laid, turn, edge)
        if lining.rolls and not any(min(roll.width, roll.length) < lining.seam_lap + GAIN for roll in lining.rolls):
            length, width = (ordered(side.length, lining.allowance, lining.sale_unit) for side in (along, across))
            stock = [Stock(roll.name, roll.width, roll.length, roll.price) for roll in lining.rolls]
            # Of turns that cost the same the one of least area.
            return cheapest(length, width, stock, lining.seam_lap).cost + along.length * across.length * TIE
        return along.length * across.length

    return least_area_turn(area)
