"""What events of the plan do to the page: drawn, tapped, dragged, removed, given up, undone."""

from typing import Any

import pytest

from pondkit.page.plan_edit import act
from pondkit.page.state import Desk, History
from tests.designs import option, read
from tests.page.sketch import Sketch

KIDNEY = [[-9, -4], [0, -5], [9, -4], [10, 3], [3, 2], [-3, 2], [-10, 3]]
EIGHT = [[-6, -4], [6, 4], [6, -4], [-6, 4]]


class Plan:
    """The page on a blank plan, in feet; events as the browser sends them."""

    def __init__(self) -> None:
        self.page = Sketch()
        self.page.app.session_state["desk"] = Desk(History(read(options=[option(pools=[])])), "us")
        self.number = 0
        self.page.run()

    @property
    def desk(self) -> Desk:
        return self.page.desk

    @property
    def edit(self) -> dict[str, Any]:
        edit = self.page.picture("picture Plan")["edit"]
        assert isinstance(edit, dict)
        return edit

    def do(self, kind: str, **event: Any) -> "Plan":
        self.number += 1
        act(self.desk, {"kind": kind, "n": self.number, "drag": self.number, **event}, None)  # type: ignore[typeddict-item]
        self.page.run()
        return self

    def draw(self, tool: str, *points: list[float], stroke: bool = False) -> "Plan":
        return self.do("draw", tool=tool, points=list(points), stroke=stroke, number=self.number + 1)

    def tap(self, x: float, y: float, *, twice: bool = False) -> "Plan":
        return self.do("tap", x=x, y=y, reach=0.5, twice=twice)

    @property
    def option(self) -> Any:
        return self.desk.project.options[0]

    @property
    def shown(self) -> tuple[str, str]:
        """Whose controls are on show, and what is chosen on the plan."""
        chosen = self.edit["chosen"]
        return str(self.desk.chosen.get("trade")), chosen["label"] if chosen else ""


@pytest.fixture
def plan() -> Plan:
    return Plan()


def test_a_pond_is_drawn_from_a_blank_plan_and_all_of_it_can_be_taken_back(plan: Plan) -> None:
    before = plan.page.saved
    plan.draw("outline", *KIDNEY)
    assert plan.shown == ("Pools", "pool pool")
    plan.draw("oval", [16, 6], [24, 12])
    second = plan.option.pools[1].name
    assert plan.shown == ("Pools", f"pool {second}")
    plan.draw("fall", [20, 9], [0, -2])
    assert plan.shown[0] == "Links"
    for place in ([-12, 6], [-13, -5], [12, -6]):
        plan.draw("stone", place)
    assert plan.shown == ("Stone", "boulder boulder")
    assert plan.option.stone.boulders[0].count == 3
    plan.draw("pipe", [-8, -2], [-16, -2], [-22, 3])
    assert plan.shown[0] == "Tunnels"
    plan.draw("wall", [-10, -16], [0, -16]).draw("keep", [30, 20]).draw("machine", [-30, -20])
    assert plan.shown[0] == "Lifting"
    steps = len(plan.desk.history.past)
    assert steps == 10  # one drawing is one step
    for _ in range(steps):
        plan.page.press("step back")
        assert not plan.desk.fault
        assert plan.edit["tools"]
    assert plan.option.pools == ()
    assert not plan.page.problems
    assert plan.page.saved.replace("\n", "") == before.replace("\n", "")
    for _ in range(steps):
        plan.page.press("step on")
    assert len(plan.option.pools) == 2
    assert plan.option.lifting.positions


def test_a_stroke_that_crosses_itself_is_said_kept_in_sight_and_left_without_a_trace(plan: Plan) -> None:
    saved = plan.page.saved
    plan.draw("outline", *EIGHT, stroke=True)
    assert plan.edit["drawn"] == {"number": 1, "refused": True}
    (said,) = plan.page.problems
    assert "crosses itself near 0 in east, 0 in north" in said.replace("0 ft", "0 in")
    assert plan.page.saved == saved
    assert not plan.desk.history.past
    plan.do("leave")
    assert not plan.page.problems
    assert plan.edit["drawn"]["refused"] is False
    plan.draw("outline", *KIDNEY)
    assert plan.edit["drawn"] == {"number": 3, "refused": False}


def test_a_tap_chooses_what_is_there_and_plan_and_controls_agree(plan: Plan) -> None:
    plan.draw("outline", *KIDNEY).draw("oval", [16, 6], [24, 12]).draw("stone", [-14, 9]).draw("stone", [-14, 14])
    plan.tap(0, -2)
    assert plan.shown == ("Pools", "pool pool")
    plan.tap(20, 9)
    assert plan.shown == ("Pools", f"pool {plan.option.pools[1].name}")
    assert plan.desk.chosen[str(("options", 0, "pools"))] == 1
    plan.tap(-14, 14)
    assert plan.shown[0] == "Stone"
    (chosen,) = [handle for handle in plan.edit["handles"] if handle["chosen"]]
    assert (chosen["x"], chosen["y"]) == (-14, 14)
    # A tap on nothing, or far outside, changes nothing.
    before = dict(plan.desk.chosen)
    plan.tap(70, 70).tap(9000, -9000)
    assert plan.desk.chosen == before
    # Where the controls show something else, the plan follows.
    plan.desk.chosen["trade"] = "Pools"
    plan.page.run()
    assert plan.shown == ("Pools", f"pool {plan.option.pools[1].name}")


def test_a_boulder_that_is_dragged_is_chosen_whatever_was_on_show(plan: Plan) -> None:
    plan.draw("outline", *KIDNEY).draw("stone", [-14, 9]).tap(0, -2)
    (quiet,) = [handle for handle in plan.edit["handles"] if handle["quiet"] and handle["id"].startswith("stone")]
    plan.do("handle", id=quiet["id"], x=-15.0, y=8.0)
    assert plan.shown == ("Stone", "boulder boulder")
    assert [handle["quiet"] for handle in plan.edit["handles"] if handle["id"] == quiet["id"]] == [False]


@pytest.mark.parametrize("way", ["two taps", "the button"])
def test_what_is_removed_is_said_and_comes_back(plan: Plan, way: str) -> None:
    plan.draw("outline", *KIDNEY).draw("oval", [16, 6], [24, 12]).draw("fall", [20, 9], [0, -2])
    saved = plan.page.saved
    if way == "two taps":
        plan.tap(20, 11).tap(20, 11, twice=True)
    else:
        plan.tap(20, 11).do("remove", id=plan.edit["chosen"]["id"])
    assert len(plan.option.pools) == 1
    assert plan.option.links == ()  # it cannot be without the pool
    (said,) = plan.page.html("pk-notice")
    assert "was removed" in said
    plan.page.press("step back")
    assert plan.page.saved == saved
    assert not plan.page.html("pk-notice")


def test_what_an_older_picture_asks_for_is_said_and_nothing_is_lost(plan: Plan) -> None:
    plan.draw("outline", *KIDNEY)
    saved = plan.page.saved
    for event in ({"kind": "remove", "id": "stone/boulders/3/places/1"}, {"kind": "remove", "id": "pools/9/at"}):
        plan.do(**event)
        (said,) = plan.page.problems
        assert "no longer there" in said
    plan.draw("lasso", [1, 1], [2, 2])
    assert plan.edit["drawn"]["refused"]
    assert plan.page.saved == saved


def test_the_frame_grows_for_what_is_drawn_outside_and_fit_brings_all_back(plan: Plan) -> None:
    plan.draw("outline", *KIDNEY)
    first = plan.desk.sketch.frame
    assert first
    plan.draw("keep", [200, 150])
    assert plan.desk.sketch.frame.number == first.number + 1
    assert plan.desk.sketch.frame.span[2] > 200 * 0.3048
    plan.page.press("step back")  # all lies within: it stays
    assert plan.desk.sketch.frame.number == first.number + 1
    plan.do("fit")
    assert plan.desk.sketch.frame.span[2] < 50 * 0.3048
    assert plan.desk.sketch.frame.number == first.number + 2
