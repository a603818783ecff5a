"""The anchor trench: its length of liner, its soil, its level and line, and the published least; by hand."""

import math
from typing import Any

import pytest

from pondkit.project.files import put
from pondkit.project.project import Project
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.liner import pictures as view
from tests.trades.liner.test_extras import design, figures

SIZES = {"edge_back": "60 cm", "trench_depth": "30.48 cm", "trench_width": "40 cm"}
TRENCH = {"edge_kind": "anchor trench"} | SIZES
WAY = 0.6 + 2 * 0.3048 + 0.4


def value(found: OptionResult, key: str, subject: str = "") -> float:
    return float(figures(found, key)[subject].value)


def test_the_liner_is_as_long_as_the_way_into_the_trench() -> None:
    flat, trench = design({"edge": "30 cm"}), design({"edge": "30 cm"} | TRENCH)
    assert value(trench, "trench_edge", "a") == pytest.approx(WAY) and not figures(flat, "trench_edge")
    for key in ("liner_length", "liner_width"):
        # Across a circle straight through the middle: both edges longer by what the trench takes more.
        assert value(trench, key, "a") - value(flat, key, "a") == pytest.approx(2 * (WAY - 0.3), abs=2e-3)
        assert value(trench, f"{key}_order", "a") >= value(trench, key, "a")
    assert value(trench, "edge_spare", "a") == pytest.approx(0, abs=1e-9)


def test_an_edge_that_is_longer_stays() -> None:
    found = design({"edge": "2 m"} | TRENCH)
    assert value(found, "trench_edge", "a") == 2.0 and value(found, "edge_spare", "a") == pytest.approx(2 - WAY)
    assert value(found, "liner_length", "a") == pytest.approx(value(design({"edge": "2 m"}), "liner_length", "a"))


def test_its_soil_is_that_of_a_ring_and_counts_in_dig_and_backfill() -> None:
    flat, trench = design(), design(TRENCH)
    # The trench of a circle is the ring between two cylinders (the upright bank's rim is its waterline).
    ring = math.pi * ((3 + 0.6 + 0.4) ** 2 - (3 + 0.6) ** 2) * 0.3048
    assert value(trench, "trench_volume", "a") == pytest.approx(ring, rel=1e-4)
    every = sum(figure.value for figure in figures(trench, "trench_volume").values())
    assert value(trench, "dig_volume") - value(flat, "dig_volume") == pytest.approx(every)
    assert value(trench, "spoil_volume") == pytest.approx(value(flat, "spoil_volume"))


def test_pools_under_one_liner_have_one_trench_round_both() -> None:
    both = design({"liners": [{"name": "a", "covers": ["low", "high"]}]} | TRENCH)
    # A belt round two pulleys, 10 m apart: the rims moved out by 0.8 m.
    lined = both.lining
    assert lined is not None
    big, small = (laid.rim + r + 0.8 for laid, r in zip(lined.liners[0].footprint.surfaces, (3.0, 1.0), strict=True))
    lean = math.asin((big - small) / 10)
    belt = 2 * 10 * math.cos(lean) + big * (math.pi + 2 * lean) + small * (math.pi - 2 * lean)
    figure = figures(both, "trench_volume")["a"]
    assert figure.value == pytest.approx(belt * 0.3048 * 0.4, rel=1e-3)
    assert any("none between them" in c.text for c in figure.cautions)
    assert not any("none between" in c.text for c in figures(design(TRENCH), "trench_volume")["a"].cautions)


@pytest.mark.parametrize(
    ("field", "size", "said"),
    [("trench_depth", "30 cm", "deep"), ("trench_width", "29 cm", "wide"), ("edge_back", "50 cm", "back from the rim")],
)
def test_less_than_the_published_least_is_said(field: str, size: str, said: str) -> None:
    # NRCS 521(A), Arizona, Jan 2008: 12 in deep, 12 in wide, 24 in back from the edge.
    full = {"edge_kind": "anchor trench", "edge_back": "24 in", "trench_depth": "12 in", "trench_width": "12 in"}

    def asks(lining: dict[str, Any]) -> list[str]:
        return [c.text for c in figures(design(lining), "trench_volume")["a"].cautions if "NRCS" in c.text]

    assert not asks(full)
    (caution,) = asks(full | {field: size})
    assert said in caution


def test_it_has_a_level_to_dig_by_and_a_line_to_set_out() -> None:
    dig = {
        "benchmark": 1,
        "backsight": 0.5,
        "stakes": {"a": [-8, -8], "b": [8, -8]},
        "readings": [{"row": "low: anchor trench", "rod": "1.6 m"}],
    }
    found = design(TRENCH, dig=dig)
    made = found.dig
    assert made is not None and made.setting_out is not None and not made.levels.problems
    low = next(level for level in made.levels.levels if level.row == "low: anchor trench")
    dug = next(pool for pool in found.pools if pool.name == "low").surfaces.dig
    assert low.dig == pytest.approx(dug.rim_level - 0.3048) and low.finished is None
    (line,) = [line for line in made.setting_out.lines if line.name == "anchor trench, middle: a"]
    away = [math.hypot(*place) for place in line.points]
    assert max(away) == pytest.approx(3.8, abs=1e-3) and min(away) == pytest.approx(3.8, abs=1e-3)


def test_a_liner_in_trouble_leaves_the_dig_out() -> None:
    found = design(TRENCH)
    project = Project(options=(found.option,))
    wrong = put(project, ("options", 0, "lining", "liners", 1, "covers"), ["nowhere"])
    broken = evaluate(wrong).options[0]
    assert broken.problems and not figures(broken, "dig_volume")


def test_the_layout_shows_it() -> None:
    lined = design(TRENCH).lining
    assert lined is not None
    liner = lined.liners[0]
    names = [trace.get("name") for trace in view.layout(liner, "si", lap=0.15)["data"]]
    assert "anchor trench, centre line" in names and "anchor trench" in view.alt_layout(liner, "si")
