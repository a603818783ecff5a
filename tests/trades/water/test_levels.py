"""Pumps on and off: levels agree with the flows, and no water is lost between."""

from dataclasses import replace
from typing import Any

import pytest

from pondkit.drawing.rows import say
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.water.compute import spanned
from pondkit.trades.water.formulas import pumping
from pondkit.trades.water.results import RunResult
from tests.designs import option, pool, read
from tests.trades.water.test_pumping import pump, value

GPM, FOOT = 6.30902e-5, 0.3048


def outcome(links: Any = None, **more: Any) -> OptionResult:
    water = {
        "pumps": [pump()],
        "branches": [{"name": "filter", "to": "filter", "length": "6 m"}],
        "filter": {"level": "90 cm", "area": "1.5 m^2"},
        "intake": {"screen_top": "-30 cm"},
    } | more
    pools = [pool("low", level="-10 cm"), pool("high", level="50 cm", at=["9 m", "0 m"])]
    links = [{"from": "high", "to": "low", "at": ["6 m", "0 m"], "crest_width": "60 cm"}] if links is None else links
    return evaluate(read(units="si", options=[option(pools=pools, links=links, water=water)])).options[0]


def worked(links: Any = None, **more: Any) -> RunResult:
    found = outcome(links, **more)
    assert found.problems == ()
    assert found.water is not None
    return found.water.run


def test_the_static_head_is_from_the_running_level_of_the_pool_drawn_from() -> None:
    found = worked()
    low = value(found.levels.running_level, "low")
    assert low < -0.10
    assert value(found.pumping.static_head, "filter") == pytest.approx(0.9 - low, abs=1e-9)
    assert value(found.links.link_drop, "high – low") == pytest.approx(
        value(found.levels.running_level, "high") - low, abs=1e-9
    )


def test_what_the_pumps_lift_runs_over_the_crest() -> None:
    found = worked()
    assert found.pumping.total_flow is not None
    assert value(found.links.link_flow, "high – low") == pytest.approx(found.pumping.total_flow.value, rel=1e-5)
    head = value(found.levels.running_level, "high") - 0.5
    assert value(found.links.head_over_crest, "high – low") == pytest.approx(head, rel=1e-5)


@pytest.mark.parametrize("check", [True, False])
@pytest.mark.parametrize("open_end", [None, "20 cm", "95 cm"])
def test_no_water_is_lost_over_stop_and_start(check: bool, open_end: str | None) -> None:
    branch = {"name": "filter", "to": "filter", "length": "6 m"} | ({"outlet_level": open_end} if open_end else {})
    found = worked(pumps=[pump(check_valve=check)], branches=[branch])
    levels, areas = found.levels, {"low": 0.0, "high": 0.0}
    result = outcome(pumps=[pump(check_valve=check)], branches=[branch])
    areas |= {p.name: p.surface_area.value for p in result.pools}
    gone = areas["low"] * (-0.10 - value(levels.running_level, "low"))
    held = areas["high"] * (value(levels.running_level, "high") - 0.50)
    emptied = 1.5 * (0.9 - 0.2) if not check and open_end == "20 cm" else 0.0
    pipes = sum(e.value for e in levels.pipe_drains)
    assert (pipes > 0) == (not check)
    assert gone == pytest.approx(held + emptied + pipes, rel=1e-4)
    assert levels.return_volume is not None
    assert levels.return_volume.value == pytest.approx(gone, rel=1e-4)
    assert [e.value for e in levels.drains_back] == ([pytest.approx(1.05)] if emptied else [])


def test_water_that_comes_back_over_the_rim_is_said() -> None:
    found = worked(
        pumps=[pump(check_valve=False)],
        branches=[{"name": "filter", "to": "filter", "outlet_level": "0 cm"}],
        filter={"level": "90 cm", "area": "30 m^2"},
    )
    assert found.levels.level_after_stop is not None
    assert any("over the rim" in say(c, "si") for c in found.levels.level_after_stop.cautions)


def test_a_screen_that_comes_out_of_the_water_is_said() -> None:
    assert worked().intake.intake_cover is not None
    dry = worked(intake={"screen_top": "-10 cm"}).intake.intake_cover
    assert dry is not None
    assert dry.value < 0
    assert any("draw air" in say(c, "si") for c in dry.cautions)


def test_a_low_sheet_may_cling_and_its_head_is_a_range() -> None:
    found = worked().links.head_over_crest[0]
    assert found.least < found.value < found.most
    assert any("cling" in say(c, "us") for c in found.cautions)


def test_a_channel_gives_no_oxygen_of_its_own() -> None:
    way = [{"kind": "channel", "from": "high", "to": "low", "at": ["6 m", "0 m"]}]
    assert worked(way).links.oxygen_below == ()
    fall = worked().links
    assert fall.oxygen_below[0].value > 0.6 * fall.oxygen_saturation.value  # type: ignore[union-attr]


def test_falls_in_a_row_each_take_off_what_oxygen_the_water_above_still_lacks() -> None:
    """From 60 % of saturation: 0.4 of it is missing, over the deficit ratio of each step that the water came down."""
    pools = [
        pool("low", level="-10 cm"),
        pool("mid", level="20 cm", at=["9 m", "0 m"]),
        pool("high", level="70 cm", at=["18 m", "0 m"]),
    ]
    links = [
        {"from": "high", "to": "mid", "at": ["15 m", "0 m"], "crest_width": "60 cm", "steps": 2},
        {"from": "mid", "to": "low", "at": ["6 m", "0 m"], "crest_width": "60 cm"},
    ]
    water = {
        "oxygen": 0.6,
        "pumps": [pump()],
        "branches": [{"name": "spout", "pool": "high", "length": "6 m"}],
        "intake": {"screen_top": "-30 cm"},
    }
    found = evaluate(read(units="si", options=[option(pools=pools, links=links, water=water)])).options[0].water
    assert found is not None and found.run.links.oxygen_saturation is not None
    run, full = found.run.links, found.run.links.oxygen_saturation.value
    first, second = (value(run.deficit_ratio, name) for name in ("high – mid", "mid – low"))
    assert value(run.oxygen_below, "high – mid") == pytest.approx(full - 0.4 * full / first**2)
    assert value(run.oxygen_below, "mid – low") == pytest.approx(full - 0.4 * full / first**2 / second)


def test_without_a_link_the_water_has_no_way_back_and_the_pumps_stand() -> None:
    found = outcome([])
    (problem,) = found.problems
    assert problem.path == ("water", "filter", "to")
    assert found.water is not None
    assert found.water.run.pumping.total_flow is not None
    assert found.water.run.levels.running_level == ()


# NMFS pump-intake addendum: 0.2 ft/s passive, 0.4 ft/s active; California title 14
# exhibit D: 1.0 cfs at 0.33 ft/s, 3.0 ft²
@pytest.mark.parametrize(
    ("flow", "speed", "feet2"),
    [(100 * GPM, 0.2 * FOOT, 1.114), (100 * GPM, 0.4 * FOOT, 0.557), (FOOT**3, 0.33 * FOOT, 3.0)],
)
def test_screen_area_for_an_approach_velocity(flow: float, speed: float, feet2: float) -> None:
    assert pumping.screen_area_needed(flow, speed, 0.0) / FOOT**2 == pytest.approx(feet2, rel=0.02)


def test_velocity_through_the_openings() -> None:
    """0.06 m/s with 40 % open: 0.15 m/s, just at the 0.5 ft/s of 40 CFR 125.84."""
    assert pumping.velocity_through_openings(0.06, 1.0, 0.0, 0.4, 0.0) == pytest.approx(0.15)
    assert pumping.approach_velocity(10 / 3600, 0.0463, 0.0) == pytest.approx(0.06, rel=0.005)


def test_a_range_names_the_ends_where_they_reach_further_and_only_there() -> None:
    found = worked().levels
    fall = found.drawdown
    assert fall is not None and fall.least < fall.value < fall.most
    same = spanned(found, [found], "words of the ends").drawdown
    assert same is not None and (same.least, same.most) == (fall.least, fall.most)
    assert "words of the ends" not in same.source
    for low, high in ((fall.least, 1.01 * fall.most), (0.99 * fall.least, fall.most)):
        end = replace(found, drawdown=replace(fall, low=low, high=high))
        further = spanned(found, [end], "words of the ends").drawdown
        assert further is not None and (further.least, further.most) == (low, high)
        assert further.source.endswith("; words of the ends")


def test_how_far_it_runs_over_the_rim_is_said() -> None:
    """The rim stands 4 in, the freeboard that a pool has by itself, over a level of 50 cm."""
    found = worked([{"from": "high", "to": "low", "at": ["6 m", "0 m"], "crest_width": "3 cm"}])
    (high,) = [figure for figure in found.levels.running_level if figure.subject == "high"]
    (said,) = [say(caution, "si") for caution in high.cautions]
    over = float(said.partition("over the rim by ")[2].partition(" cm")[0])
    assert over == pytest.approx(100 * (high.value - 0.5 - 4 * 0.0254), abs=5e-3)


def test_two_branches_under_the_water_of_one_pool_drain_it_once() -> None:
    """At a stop the pool falls to the lower of the two open ends: its surface times that fall, by hand."""

    def back(*ends: str) -> Any:
        branches = [
            {"name": f"to {end}", "to": "pool", "pool": "high", "length": "6 m", "outlet_level": end} for end in ends
        ]
        return outcome(pumps=[pump(check_valve=False)], branches=branches, filter=None)

    high = next(pool for pool in back("30 cm").pools if pool.name == "high").surface_area.value
    for ends in (("30 cm",), ("30 cm", "40 cm"), ("40 cm", "30 cm"), ("30 cm", "30 cm")):
        (drained,) = back(*ends).running_water.levels.drains_back
        assert drained.value == pytest.approx(high * 0.2)
        assert drained.subject == "to 30 cm"
    other = [{"name": "filter", "to": "filter", "length": "6 m", "outlet_level": "20 cm"}]
    both = worked(
        pumps=[pump(check_valve=False)],
        branches=[*other, {"name": "pool", "to": "pool", "pool": "high", "length": "6 m", "outlet_level": "30 cm"}],
    )
    assert len(both.levels.drains_back) == 2  # of the filter and of the pool


SMALL, LARGE = ({"shape": "rectangle", "length": f"{side} m", "width": f"{side} m"} for side in (1.5, 8))


def over_a_small_pool(crest_width: str) -> OptionResult:
    """Much water in transit over a small pool: the levels swing if they are only put in anew round by round."""
    pools = [
        pool("low", level="-10 cm", outline=SMALL),
        pool("high", level="50 cm", at=["30 m", "0 m"], outline=LARGE),
    ]
    links = [{"from": "high", "to": "low", "at": ["6 m", "0 m"], "crest_width": crest_width}]
    branch = {"name": "up", "to": "pool", "pool": "high", "length": "6 m", "pipe": "sch40 4 in"}
    curve = [{"flow": "0 L/min", "head": "2 m"}, {"flow": "300 L/min", "head": "1.5 m"}]
    water = {"pumps": [pump(curve=curve, pipe="sch40 4 in")], "branches": [branch]}
    return evaluate(read(units="si", options=[option(pools=pools, links=links, water=water)])).options[0]


@pytest.mark.parametrize("crest_width", ["50 cm", "10 cm", "3 cm"])
def test_a_small_pool_under_much_water_in_transit_is_drawn_down_by_as_much(crest_width: str) -> None:
    """Conservation: what the small pool lacks stands over the large pool's crest, and the crest passes the flow."""
    found = over_a_small_pool(crest_width)
    assert found.problems == ()
    run, areas = found.running_water, {p.name: p.surface_area.value for p in found.pools}
    lacks = areas["low"] * (-0.10 - value(run.levels.running_level, "low"))
    stands = areas["high"] * (value(run.levels.running_level, "high") - 0.50)
    assert lacks == pytest.approx(stands, rel=1e-4)
    assert lacks > 0.5 * areas["low"]  # by more than half a metre, where 0 was said
    assert value(run.links.link_flow, "high – low") == pytest.approx(run.pumping.total_flow.value, rel=1e-4)


def test_levels_that_do_not_settle_are_a_problem(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pondkit.trades.water.compute.SETTLED", 0.0)
    (problem,) = over_a_small_pool("9 cm").problems
    assert "do not settle" in say(problem.given, "si")
