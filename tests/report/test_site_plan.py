"""The site plan, looked at as data: what is held against keep-outs is drawn in it."""

import pytest

from pondkit.core.units import SYSTEMS, System
from pondkit.report.plan import alt_site_plan, site_plan
from pondkit.study.evaluate import evaluate
from tests.designs import full_project
from tests.report.pictures import as_json, named


@pytest.mark.parametrize("system", SYSTEMS)
def test_what_stands_in_a_hole_and_the_pipe_are_on_it_and_in_its_words(system: System) -> None:
    result = evaluate(full_project()).options[0]
    figure = site_plan(result, system)
    assert figure is not None and result.tunnels is not None and result.structures.each
    as_json(figure)
    bodies = {str(text).split(":")[0] for text in named(figure, "bodies and walls")["hovertext"]}
    assert bodies == {one.name for one in result.structures.each}
    # Two ends and a gap for each run, in one trace.
    assert len(named(figure, "pipe")["x"]) == 3 * len(result.tunnels.lines)
    words = {text for trace in figure["data"] if trace["name"] == "labels" for text in trace["text"]}
    assert {one.name for one in result.structures.each} <= words
    said = alt_site_plan(result, system)
    assert (
        all(one.name in said for one in result.structures.each) and f"{len(result.tunnels.lines)} runs of pipe" in said
    )
