"""Panels are drawn from the results that they name, whatever an option holds."""

import pytest

from pondkit.page.contents import BESIDE, PANELS
from pondkit.report.plan import shown_section
from pondkit.report.scene import Scene
from pondkit.study.evaluate import Results, evaluate
from tests.designs import full_project, option, read
from tests.report.pictures import as_json


def scene(results: Results) -> Scene:
    result = results.options[0]
    return Scene(result, "si", results, 0, shown_section(result, None))


def test_every_panel_of_the_full_design_is_drawn_and_said_in_words() -> None:
    whole = scene(evaluate(full_project()))
    for panel in PANELS:
        figure = whole.draw(panel)
        assert figure and figure["data"], panel.title
        as_json(figure)
        assert len(whole.alt(panel)) > 10, panel.title


def test_a_panel_of_what_an_option_does_not_have_is_not_drawn() -> None:
    bare = scene(evaluate(read(options=[option()])))
    drawn = {panel.title for panel in PANELS if bare.draw(panel)}
    assert drawn == {"Plan", "Section A–B", "Zones", "Water by level", "3-D", "Cut and fill"}
    assert all(isinstance(bare.alt(panel), str) for panel in PANELS)


def test_every_panel_goes_with_controls_that_the_page_has() -> None:
    assert {panel.part for panel in PANELS} - {""} <= set(BESIDE)


@pytest.mark.parametrize("number", [0, 1, 7])
def test_the_sheet_is_the_chosen_liner_or_the_last(number: int) -> None:
    results = evaluate(full_project())
    liners = results.options[0].lining.liners  # type: ignore[union-attr]
    assert Scene(results.options[0], "si", liner=number).sheet is liners[min(number, len(liners) - 1)]
