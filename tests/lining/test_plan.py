"""The liner's cutting plan: never dearer than an exhaustive search, covers with its laps, and what is said of it."""

import itertools
import json
import math
import random
from typing import Any

import pytest

from pondkit import evaluate, load
from pondkit.document import Project, put
from pondkit.evaluate import Memory, OptionResult
from pondkit.lining.plan import Stock, cheapest
from pondkit.solve import least_liner_turn
from pondkit.view import lining as view


def exhaustive(length: float, width: float, stock: list[Stock], lap: float) -> float:
    """Least cost over both directions and all numbers of strips, each roll cut by hand."""
    best = math.inf
    for run, across in ((length, width), (width, length)):
        most = [math.ceil(across / (one.width - lap)) + 1 for one in stock]
        for counts in itertools.product(*(range(m + 1) for m in most)):
            if not any(counts):
                continue
            covered = sum(one.width * n for one, n in zip(stock, counts, strict=True)) - lap * (sum(counts) - 1)
            if covered < across - 1e-9:
                continue
            cost = 0.0
            for one, n in zip(stock, counts, strict=True):
                if one.length >= run:
                    left, rolls = 0.0, 0
                    for _ in range(n):
                        if left < run - 1e-9:
                            left, rolls = one.length, rolls + 1
                        left -= run
                    cost += one.price * rolls
                else:
                    pieces = 1
                    while one.length * pieces - lap * (pieces - 1) < run - 1e-9:
                        pieces += 1
                    cost += one.price * pieces * n
            best = min(best, cost)
    return best


@pytest.mark.parametrize("seed", range(30))
def test_never_dearer_than_exhaustive_search(seed: int) -> None:
    rng = random.Random(seed)
    stock = [
        Stock(f"roll {i}", rng.choice([2.0, 3.0, 4.0, 6.0]), rng.choice([5.0, 10.0, 20.0]), float(rng.randint(50, 900)))
        for i in range(rng.randint(1, 3))
    ]
    length, width = rng.uniform(3, 14), rng.uniform(3, 10)
    made = cheapest(length, width, stock, 0.15)
    assert made.cost == pytest.approx(exhaustive(length, width, stock, 0.15))
    across = width if made.along else length
    covered = sum(one.width * n for one, n in zip(stock, made.counts, strict=True)) - 0.15 * (sum(made.counts) - 1)
    assert covered >= across - 1e-9


def lined(rolls: list[dict[str, Any]], **more: Any) -> OptionResult:
    """A pool of 8 x 6 m, 1 m deep, upright, one liner made up from rolls."""
    pools = [
        {
            "name": "pool",
            "outline": {"shape": "rectangle", "length": 8, "width": 6},
            "tiers": [{"zone": "deep", "depth": 1, "batter": 0.5}],
        }
    ]
    lining = {"liners": [{"name": "main", "covers": ["pool"]}], "rolls": rolls, "seam_lap": "15 cm"}
    file = {"pondkit": 1, "units": "si", "options": [{"name": "A", "pools": pools, "lining": lining} | more]}
    return evaluate(load(json.dumps(file).encode()), Memory()).options[0]


def figures(found: OptionResult, key: str) -> dict[str, Any]:
    return {figure.subject: figure for name, figure in found.entries() if name == key}


ROLLS = [
    {"name": "wide", "width": 6, "length": 30, "price": 700},
    {"name": "narrow", "width": 3, "length": 20, "price": 250},
]


def test_panels_cover_the_ordered_rectangle_and_lap_by_the_seam_lap() -> None:
    found = lined(ROLLS)
    liner = found.lining.liners[0]  # type: ignore[union-attr]
    length, width = liner.liner_length_order.value, liner.liner_width_order.value
    pieces = liner.panels.pieces
    double = sum(seam.length for seam in liner.panels.seams) * 0.15
    assert sum(piece.along * piece.across for piece in pieces) == pytest.approx(length * width + double)
    assert sum(area.value for area in figures(found, "panel_area").values()) == pytest.approx(length * width + double)
    assert {piece.name for piece in pieces} == {str(n) for n in range(1, len(pieces) + 1)}
    assert all(0 < piece.across <= 6 + 1e-9 or 0 < piece.along <= 6 + 1e-9 for piece in pieces)


def test_what_is_bought_is_cut_or_left_over() -> None:
    found = lined(ROLLS)
    sizes = {roll["name"]: roll["width"] * roll["length"] for roll in ROLLS}
    bought = sum(
        sizes[subject.split(" / ")[1]] * figure.value for subject, figure in figures(found, "rolls_to_buy").items()
    )
    used = sum(area.value for area in figures(found, "panel_area").values())
    left = sum(area.value for area in figures(found, "offcut_area").values())
    assert used + left == pytest.approx(bought)


def test_cost_mass_and_people() -> None:
    found = lined(ROLLS)
    prices = {"main / wide": 700, "main / narrow": 250}
    assert figures(found, "plan_cost")["main"].value == sum(
        prices[name] * rolls.value for name, rolls in figures(found, "rolls_to_buy").items()
    )
    for name, mass in figures(found, "panel_mass").items():
        assert mass.value == pytest.approx(figures(found, "panel_area")[name].value * 1150 * 45 * 0.0000254)
        assert figures(found, "panel_carriers")[name].value == math.ceil(mass.value / (50 * 0.45359237))


def test_a_boulder_on_a_seam_is_said() -> None:
    plain = lined([ROLLS[1]])
    seam = plain.lining.liners[0].panels.seams[0]  # type: ignore[union-attr]
    assert not any("meets" in c.text for figure in figures(plain, "panel_seam_depth").values() for c in figure.cautions)
    spots = [[x / 2, y / 2] for x in range(-8, 9) for y in range(-6, 7)]
    boulder = {
        "name": "seat",
        "axes": ["40 cm", "40 cm", "40 cm"],
        "count": len(spots),
        "places": spots,
        "pool": "pool",
    }
    found = lined([ROLLS[1]], stone={"boulders": [boulder]})
    assert any("meets boulder seat" in c.text for c in figures(found, "panel_seam_depth")["main / seam 1"].cautions)
    assert seam.length > 0


def test_one_sheet_that_is_large_enough_has_no_seam() -> None:
    found = lined([*ROLLS, {"name": "sheet", "width": 14, "length": 16, "price": 400}])
    assert figures(found, "rolls_to_buy").keys() == {"main / sheet"} and not figures(found, "panel_seam_length")
    assert "under water" not in view.alt_layout(found.lining.liners[0], "si")  # type: ignore[union-attr]


def test_a_roll_no_wider_than_the_lap_is_named_and_the_pools_stand() -> None:
    pools = [
        {
            "name": "pool",
            "outline": {"shape": "rectangle", "length": 8, "width": 6},
            "tiers": [{"zone": "deep", "depth": 1}],
        }
    ]
    lining = {
        "liners": [{"name": "main", "covers": ["pool"]}],
        "rolls": [{"name": "tape", "width": 0.61, "length": 20}],
        "seam_lap": "60.96 cm",
    }
    file = {"pondkit": 1, "units": "si", "options": [{"name": "A", "pools": pools, "lining": lining}]}
    narrow = load(json.dumps(file).encode())
    assert not evaluate(narrow, Memory()).options[0].problems
    same = put(narrow, ("options", 0, "lining", "rolls", 0, "width"), "60.96 cm")
    found = evaluate(same, Memory()).options[0]
    assert "no wider than the lap" in found.problems[0].given.text and found.problems[0].path[1] == "rolls"
    assert found.pools and found.lining is not None and not found.lining.liners


def test_the_layout_names_each_panel_with_its_size() -> None:
    found = lined(ROLLS)
    figure = view.layout(found.lining.liners[0], "si", lap=0.15)  # type: ignore[union-attr]
    said = " ".join(note["text"] for note in figure["layout"]["annotations"])
    assert all(f"{piece.name}: " in said for piece in found.lining.liners[0].panels.pieces)  # type: ignore[union-attr]
    assert "In the order in which they go down" in view.alt_layout(found.lining.liners[0], "si")  # type: ignore[union-attr]


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
        return float(figures(evaluate(turned, Memory()).options[0], "plan_cost")["main"].value)

    assert cost(made.turn_deg) <= min(cost(turn) for turn in range(0, 90, 10))
