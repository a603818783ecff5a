"""A design moved up as a whole, with all levels that it is entered by, keeps every figure but levels."""

import pytest

from pondkit import Project
from pondkit.core.caution import Caution
from pondkit.core.entry import Entry
from pondkit.core.part import put, walk
from pondkit.study.evaluate import evaluate
from tests.designs import DEMO_NAMES, demo

UP = 2.0
LEVELS = {
    ("Berm", "top_level"),
    ("Branch", "outlet_level"),
    ("Dig", "benchmark"),
    ("Dig", "instrument"),
    ("Edging", "base_level"),
    ("Filter", "level"),
    ("Filter", "rim"),
    ("Filter", "underside"),
    ("Intake", "rim"),
    ("Intake", "screen_top"),
    ("Intake", "underside"),
    ("LevelGround", "level"),
    ("Link", "crest_level"),
    ("Measured", "level"),
    ("PlaneGround", "level"),
    ("Pool", "level"),
    ("Site", "groundwater"),
    ("Storm", "overflow_level"),
    ("Wall", "base_level"),
}


def moved_up(project: Project) -> Project:
    """The design with all its levels moved up."""
    for path, holder, name in walk(project):
        value, of = getattr(holder, name), (type(holder).__name__, name)
        if of in LEVELS and value is not None:
            project = put(project, path, f"{value + UP} m")
        elif of == ("Node", "at"):
            project = put(project, path, [f"{value[0]} m", f"{value[1]} m", f"{value[2] + UP} m"])
        elif of[1] == "datum" and of[0] != "Dig":  # a survey counts on from where it did
            project = put(project, path, f"{value - UP} m")
    return project


def figures(project: Project) -> dict[tuple[int, str, str], Entry]:
    return {
        (index, key, figure.subject): figure
        for index, option in enumerate(evaluate(project).options)
        for key, figure in option.entries()
    }


def heeded(figure: Entry) -> list[str]:
    """Keys of its cautions; of plain words how they begin."""
    return [each.key if isinstance(each, Caution) else each.text[:20] for each in figure.cautions]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_figures_do_not_depend_on_where_levels_are_counted_from(name: str) -> None:
    before, after = figures(demo(name)), figures(moved_up(demo(name)))
    assert before.keys() == after.keys()
    wrong = []
    for where, figure in before.items():
        other = after[where]
        same = other.value == pytest.approx(figure.value, rel=1e-6, abs=1e-6)
        level = "level" in where[1] or where[1] in ("berm_top", "berm_top_allowed", "height_of_instrument")
        same |= level and other.value == pytest.approx(figure.value + UP, abs=1e-6)
        if not same:
            wrong.append(f"{where}: {figure.value} and {other.value}")
        if heeded(figure) != heeded(other):
            wrong.append(f"cautions of {where}")
    assert not wrong, "\n".join(wrong)
