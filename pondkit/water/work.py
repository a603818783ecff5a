"""Works the water side of an option out."""

from dataclasses import dataclass

from pondkit.document.water import Water
from pondkit.result import Problem, Result
from pondkit.water.bodies import Body
from pondkit.water.pumping import PumpingResult, pumping


@dataclass(frozen=True, eq=False)
class WaterResult(Result):
    """The water side of an option.

    Attributes:
        pumping: Pumps and pipes in balance.
        problems: What could not be worked out, and how to mend it.
    """

    pumping: PumpingResult
    problems: tuple[Problem, ...]


def work_out(drawn: Water, bodies: tuple[Body, ...]) -> WaterResult:
    """Every figure of the water side.

    Args:
        drawn: As drawn.
        bodies: Every pool of the option.
    """
    levels = {body.name: body.level for body in bodies}
    source = (
        levels.get(drawn.intake.pool, min(levels.values()))
        if drawn.intake and drawn.intake.pool
        else min(levels.values())
    )
    pumped = pumping(drawn, source, levels)
    return WaterResult(pumped, pumped.problems)
