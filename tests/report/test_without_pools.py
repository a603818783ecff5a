"""An option without pools, with each other part of a job in it: what shows a design shows it."""

from collections.abc import Iterator
from typing import Any

from pondkit import evaluate
from pondkit.report import plan
from pondkit.report.papers import PAPERS
from pondkit.report.table import takeoff_csv
from pondkit.study.compare import differences, summary
from tests.designs import full, read
from tests.loops import for_each
from tests.report.papers import reading

WHOLE = full()["options"][0]
PARTS = ("lining", "stone", "lifting", "walls", "tunnels", "water", "animals", "dig", "earth", "rates")


def bare() -> Iterator[tuple[str, dict[str, Any]]]:
    yield "nothing else", {"pools": []}
    for part in PARTS:
        yield f"{part} as in a whole job", {"pools": [], part: WHOLE[part]}
        yield f"{part} by its defaults", {"pools": [], part: {}}
    yield "all others", {**WHOLE, "pools": []}


@for_each(case=list(bare()))
def test_everything_that_shows_it_shows_it(case: tuple[str, dict[str, Any]]) -> None:
    results = evaluate(read(options=[{**case[1], "name": "bare"}, {**WHOLE, "name": "whole"}]))
    option = results.options[0]
    keys = {key for key, _ in option.entries()}
    assert not keys & {"total_net_volume", "total_gross_volume", "total_surface_area", "net_volume", "total_price"}
    assert plan.shown_section(option, None) is None
    assert plan.alt_plan(option, "us").startswith("Plan of option bare: no pool")
    assert plan.plan(option, "us")["data"]
    assert "bare" in takeoff_csv(results, "us")
    assert summary(results) and not differences(results, 0, 1)[0]
    for one in PAPERS:
        assert reading.blocks(one.key, results, 0, "us"), one.key
