"""The page on a blank plan: every part can be looked at, and what wants a pool says so."""

import pytest

from pondkit.page.contents import TRADES
from pondkit.page.state import Desk, History
from tests.designs import option, read
from tests.page.sketch import Sketch


@pytest.fixture
def blank() -> Sketch:
    sketch = Sketch()
    sketch.app.session_state["desk"] = Desk(History(read(options=[option(pools=[])])), "us")
    return sketch.run()


def test_a_blank_plan_shows_a_grid_and_no_problem_whatever_is_looked_at(blank: Sketch) -> None:
    for trade in TRADES:
        blank.desk.chosen["trade"] = trade
        assert not blank.run().problems, trade
    layout = blank.picture("picture Plan")["figure"]["layout"]
    assert layout["xaxis"]["showgrid"]
    assert any("N" in note["text"] for note in layout["annotations"])
    for view in ("Side by side", "Figures", "Show"):
        assert not blank.choose("view", view).problems, view


def test_what_wants_a_pool_says_so_and_the_first_pool_is_put_by_a_button(blank: Sketch) -> None:
    blank.desk.chosen["trade"] = "Links"
    (said,) = blank.run().press("Add a link").problems
    assert "draw a pool first" in said
    blank.desk.chosen["trade"] = "Pools"
    assert not blank.run().press("Add a pool").problems
    assert blank.figures["Net volume in all"][0] != "–"
