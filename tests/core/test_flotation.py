"""Uplift of what is empty: its cautions."""

from typing import Any

from pondkit.core import flotation
from pondkit.core.entry import Entry, entry
from pondkit.core.flotation import FLOATS_WHEN_EMPTY, GROUNDWATER_NOT_ENTERED
from pondkit.project.files import put
from pondkit.study.evaluate import evaluate
from tests.cautions import cases, edge
from tests.designs import full_project


def test_a_box_that_is_held_down_by_less_than_its_uplift_times_the_safety_is_told() -> None:
    """150 kg against an uplift of 100 kg at a safety of 1.5: the limit itself."""

    def ballast(uplift: float) -> Entry:
        return entry(flotation.ballast_wanted, "den", uplift=uplift, held_down=150.0, safety=1.5)

    edge(FLOATS_WHEN_EMPTY, ballast, inside=100.0, outside=100.5)


def test_groundwater_that_is_not_entered_is_told_at_the_uplift() -> None:
    def uplift(level: str | None) -> Any:
        return evaluate(put(full_project(), ("site", "groundwater"), level)).options[0].flotation

    cases(GROUNDWATER_NOT_ENTERED, without=uplift("-1 ft"), with_it=uplift(None))
