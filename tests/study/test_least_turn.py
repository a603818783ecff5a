"""The turn of a liner that is solved for: as good as turns tried one by one, by area and by cost."""

import math

import pytest

from pondkit.geometry.sheet import sheets
from pondkit.project.files import put
from pondkit.project.project import Project
from pondkit.study.aim import least_area_turn, least_liner_turn
from pondkit.study.evaluate import evaluate
from tests.trades.liner.test_liners import design, pool
from tests.trades.liner.test_panels import figures, lined

FACE = [{"zone": "deep", "depth": 0.5, "batter": 0.5}]


@pytest.mark.parametrize(
    "drawn",
    [
        [pool(outline={"shape": "ellipse", "length": 7, "width": 4}, turn_deg=45)],
        [pool(outline={"shape": "points", "points": [[-4, -2], [0, -0.8], [4, -2], [5, 1], [0, 2.5], [-5, 1]]})],
        [
            pool("low", outline={"shape": "rectangle", "length": 4, "width": 3}, tiers=FACE),
            pool("high", level="40 cm", at=[5, 3], outline={"shape": "rectangle", "length": 3, "width": 2}, tiers=FACE),
        ],
    ],
    ids=["turned ellipse", "kidney", "two pools"],
)
def test_the_turn_of_least_area_is_as_good_as_every_eighteenth_degree(drawn: list[dict]) -> None:
    project = design(drawn)
    found = least_liner_turn(project, 0, 0)
    assert found is not None
    pools = [p.surfaces.liner for p in evaluate(project).options[0].pools]

    def area(turn: float) -> float:
        along, across = sheets(tuple(pools), float(turn), 0.3)
        return along.length * across.length

    finest = min(area(turn) for turn in range(0, 90, 18))
    assert found.area <= finest * (1 + 2e-3)


def test_least_area_of_a_known_hollow() -> None:
    """Closed form; the rough one has its hollow two thirds of a degree aside."""

    def area(turn: float, hollow: float = 33.0) -> float:
        return 2 - math.cos(math.radians(4 * (turn - hollow)))

    found = least_area_turn(area, lambda turn: area(turn, 33.7))
    assert found.turn_deg % 90 == pytest.approx(33, abs=0.2)
    assert found.area == area(found.turn_deg)


def test_the_turn_that_is_solved_costs_no_more_than_turns_tried_one_by_one() -> None:
    rolls = [
        {"name": "narrow", "width": 3, "length": 12, "price": 250},
        {"name": "wide", "width": 5, "length": 14, "price": 520},
    ]
    project = Project(options=(lined(rolls).option,))
    made = least_liner_turn(project, 0, 0)
    assert made is not None

    def cost(turn: float) -> float:
        turned = put(project, ("options", 0, "lining", "liners", 0, "turn_deg"), turn)
        return float(figures(evaluate(turned).options[0], "plan_cost")["main"].value)

    assert cost(made.turn_deg) <= min(cost(turn) for turn in range(0, 90, 18))
