"""The hole as dug from above: every level found where it was measured, with the way in which it is off."""

import numpy as np
import pytest

from pondkit.core.units import LENGTH, SYSTEMS, System, magnitude
from pondkit.drawing import frame
from pondkit.project.files import put
from pondkit.report.scene import Scene
from pondkit.study.evaluate import evaluate
from pondkit.trades.earthwork.pictures import AS_BUILT
from tests.designs import demo, full_project
from tests.report.pictures import as_json, named


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_level_found_is_drawn_at_its_place_with_what_it_is_off(system: System) -> None:
    project = demo("turtle_yard")
    result = evaluate(project).options[2]
    figure = Scene(result, system).draw(AS_BUILT)
    assert figure
    as_json(figure)
    drawn, unit, small = named(figure, "levels found"), *frame.system_units(system)
    measured = project.options[2].dig.measured
    dig = next(pool for pool in result.pools if pool.name == "basking pool").surfaces.dig
    assert len(drawn["x"]) == len(measured)
    for x, y, text, one in zip(drawn["x"], drawn["y"], drawn["text"], measured, strict=True):
        assert (x, y) == pytest.approx(tuple(magnitude(v, LENGTH, unit) for v in one.at), abs=1e-3)
        own = dig.placed.to_own(np.array([one.at], dtype=float))
        over = magnitude(one.level - (dig.level - float(dig.surface.depth_at(own)[0])), LENGTH, small)
        amount, _, way = text.split()
        assert float(amount) == pytest.approx(abs(over), abs=0.05)  # no finer than a tape is read
        assert way == ("high" if over > 0 else "deep")
    assert named(figure, "tape lines")["text"][0] == "east to west"
    assert "Liner to spare: main liner, length" in Scene(result, system).alt(AS_BUILT)


def test_a_level_out_of_tolerance_is_marked() -> None:
    figure = Scene(evaluate(demo("turtle_yard")).options[2], "us").draw(AS_BUILT)
    assert figure
    marker = named(figure, "levels found")["marker"]
    assert set(marker["color"]) == {frame.MARK, frame.INK}
    assert [c == frame.MARK for c in marker["color"]] == [s == "x" for s in marker["symbol"]]


def test_nothing_measured_draws_nothing() -> None:
    project = full_project()
    for name in ("measured", "tapes"):
        project = put(project, ("options", 0, "dig", name), ())
    result = evaluate(project).options[0]
    assert Scene(result, "us").draw(AS_BUILT) is None
    assert "Nothing was measured" in Scene(result, "us").alt(AS_BUILT)
