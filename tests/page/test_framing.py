"""What the plan shows, and when that changes."""

import numpy as np

from pondkit.page import edits
from pondkit.page.state import PlanFrame, plan_frame
from pondkit.project.files import put
from pondkit.report.plan import extent
from pondkit.study.evaluate import evaluate
from tests.designs import demo, option, pool, read

AROUND = (-5.0, -4.0, 5.0, 4.0)
HELD = PlanFrame(AROUND, 3, "job")


def test_it_grows_where_something_lies_outside() -> None:
    beyond = (-5.0, -4.0, 6.2, 4.0)  # 4 ft outside
    assert plan_frame(HELD, beyond, "job") == PlanFrame(beyond, 4, "job")


def test_all_is_fitted_in_where_that_is_asked_for() -> None:
    small = (-1.0, -1.0, 1.0, 1.0)
    assert plan_frame(HELD, small, "job", fit=True) == PlanFrame(small, 4, "job")


def test_it_stays_where_all_lies_within_so_that_a_zoom_holds() -> None:
    for drawn in (AROUND, (-1.0, -1.0, 1.0, 1.0)):
        assert plan_frame(HELD, drawn, "job") == HELD


def test_another_job_has_a_frame_of_its_own_and_the_first_step_of_one_has_not() -> None:
    small = (-1.0, -1.0, 1.0, 1.0)
    assert plan_frame(HELD, small, "another") == PlanFrame(small, 4, "another")
    assert plan_frame(PlanFrame(AROUND, 1, ""), small, "job") == PlanFrame(AROUND, 1, "job")
    assert plan_frame(None, small, "job").span == small


def test_all_that_is_drawn_lies_within() -> None:
    project = demo("turtle_yard")
    far = ("90 ft", "-80 ft", "0 ft")
    node = put(project, ("options", 0, "tunnels", "nodes", 2, "at"), far)
    kept = put(project, ("site", "keep_outs", 0, "points"), [far[:2]])
    walls = ("options", 0, "walls")
    one, path = edits.add_item(edits.set_part(project, walls, True), (*walls, "walls"))
    wall = put(one, (*path, "points"), [far[:2], ["0 ft", "0 ft"]])
    link = put(project, ("options", 0, "links", 0, "points"), [far[:2]])
    for drawn in (node, kept, wall, link):
        west, south, east, north = extent([evaluate(drawn).options[0]], site=True)
        assert west < 90 * 0.3048 < east
        assert south < -80 * 0.3048 < north


def test_a_blank_plan_shows_a_piece_of_ground() -> None:
    span = extent([evaluate(read(options=[option(pools=[])])).options[0]], site=True)
    assert np.all(np.isfinite(span))
    one = extent([evaluate(read(options=[option(pools=[pool()])])).options[0]], site=True)
    assert span[0] < span[2]
    assert span != one
