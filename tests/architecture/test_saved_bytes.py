"""Looking changes nothing: rerun, switch of units, undo then redo leave the saved bytes as they were."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "page"))  # where the page's test runner stands

from sketch import Sketch

from pondkit import Project, load, save
from pondkit.core.part import get, kind_in, walk
from pondkit.page import edits
from pondkit.page.state import History
from pondkit.project.files import put
from pondkit.study.evaluate import evaluate
from tests.designs import DEMO_NAMES, demo, full_project

PROJECTS = {name: demo(name) for name in DEMO_NAMES} | {"every part": full_project()}


@pytest.fixture(scope="module")
def page() -> Sketch:
    """One session for all projects."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "argv", ["app.py"])
        return Sketch()


@pytest.mark.parametrize("name", PROJECTS)
def test_looking_at_everything_changes_no_byte(page: Sketch, name: str) -> None:
    page.desk.open(PROJECTS[name])
    page.run()
    before, history = page.saved, page.desk.history
    assert before == save(PROJECTS[name])
    for system in ("si", "us", "si"):
        page.choose("units", system)
        for view in ("Side by side", "Figures", "Sketch"):
            page.choose("view", view)
    for trade in ("Links", "Liner", "Stone", "Tunnels", "Rates", "Site", "Pools"):
        page.choose("trade", trade).unfold()
    page.run()
    assert page.saved == before
    assert page.desk.history is history


@pytest.mark.parametrize("name", PROJECTS)
def test_undo_then_redo_changes_no_byte(page: Sketch, name: str) -> None:
    page.desk.open(PROJECTS[name])
    page.run()
    page.slide(("options", 0, "pools", 0, "tiers", 0, "depth"), "1 ft 1 in")
    page.choose("units", "si").slide(("options", 0, "pools", 0, "level"), "-7.5 cm")
    page.press(":options/0/pools:plus")
    after = page.saved
    page.press("↶").press("↶").press("↶")
    assert page.saved == save(PROJECTS[name])
    page.press("↷").press("↷").press("↷")
    assert page.saved == after


@pytest.mark.parametrize("name", PROJECTS)
def test_loading_what_was_saved_changes_no_byte(name: str) -> None:
    text = save(PROJECTS[name])
    assert save(load(text.encode())) == text


@pytest.mark.parametrize("name", PROJECTS)
def test_working_out_changes_no_byte(name: str) -> None:
    project = PROJECTS[name]
    before = save(project)
    evaluate(project)
    assert save(project) == before


def changed(project: Project) -> dict[str, Project]:
    """The project after one edit of each kind."""
    pools = ("options", 0, "pools")
    return {
        "copy": edits.copy_item(project, (*pools, 0))[0],
        "add": edits.add_item(project, ("options",))[0] if len(project.options) < 6 else project,
        "rename": edits.rename(project, (*pools, 0), "quite another"),
        "tier": edits.add_item(project, (*pools, 0, "tiers"))[0],
    }


@pytest.mark.parametrize("name", PROJECTS)
def test_an_edit_and_its_undo_change_no_byte(name: str) -> None:
    start = History(PROJECTS[name])
    for project in changed(start.now).values():
        stepped = start.changed(project)
        assert save(stepped.undo().now) == save(start.now)
        assert save(stepped.undo().redo().now) == save(project)


@pytest.mark.parametrize("name", PROJECTS)
def test_an_edit_changes_the_lines_of_its_own_field_alone(name: str) -> None:
    """Every number of the project is put again as its own text: nothing of the file may move."""
    project = PROJECTS[name]
    before = save(project)
    for path, part, field in walk(project):
        value = get(project, path)
        if kind_in(type(part), field) is not None and value is not None:
            assert save(put(project, path, value)) == before, path
