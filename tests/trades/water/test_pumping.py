"""Pumps and pipes as a person draws them: figures, problems in words, cautions at their figure."""

from typing import Any

import pytest

from pondkit.drawing.rows import say
from pondkit.project.files import put
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.water.results import RunResult
from tests.designs import option, pool, read

CURVE = [
    {"flow": "0 L/min", "head": "6 m"},
    {"flow": "80 L/min", "head": "4.5 m"},
    {"flow": "150 L/min", "head": "1 m"},
]

LINK = {"from": "high", "to": "low", "at": ["6 m", "0 m"]}


def pump(name: str = "one", **more: Any) -> dict[str, Any]:
    return {"name": name, "length": "3 m", "elbows_90": 1, "curve": CURVE} | more


def design(**more: Any) -> Any:
    water = {
        "pumps": [pump()],
        "branches": [
            {"name": "filter", "to": "filter", "length": "6 m"},
            {"name": "flush", "to": "flush", "length": "9 m", "opening": 0.3},
        ],
        "filter": {"level": "80 cm"},
    } | more
    pools = [pool("low", level="-10 cm"), pool("high", level="50 cm", at=["9 m", "0 m"])]
    return read(units="si", options=[option(pools=pools, links=[LINK], water=water)])


def outcome(**more: Any) -> OptionResult:
    return evaluate(design(**more)).options[0]


def worked(**more: Any) -> RunResult:
    found = outcome(**more)
    assert found.problems == ()
    assert found.water is not None
    return found.water.run


def value(entries: Any, subject: str) -> float:
    (found,) = [e.value for e in entries if e.subject == subject]
    return float(found)


def test_a_pump_stands_still_until_its_curve_is_read_and_the_others_run() -> None:
    for curve in ([], CURVE[:1], [CURVE[0], {"flow": "80 L/min"}]):  # at no flow one point says nothing of the rest
        alone, beside = outcome(pumps=[pump(curve=curve)]), outcome(pumps=[pump("new", curve=curve), pump()])
        for found in (alone, beside):
            assert found.problems == ()
            assert [item.path for item in found.running_water.to_fill] == [("water", "pumps", 0, "curve")]
        assert alone.running_water.pumping.total_flow is None
        assert [figure.subject for figure in beside.running_water.pumping.pump_flow] == ["one"]
        assert beside.running_water.pumping.total_flow.value == worked().pumping.total_flow.value


def test_a_point_that_is_half_read_is_left_out_of_its_curve() -> None:
    found = outcome(pumps=[pump(curve=[*CURVE, {"flow": "200 L/min"}])])
    assert found.problems == ()
    assert [item.path for item in found.running_water.to_fill] == [("water", "pumps", 0, "curve", 3, "head")]
    assert found.running_water.pumping.total_flow.value == worked().pumping.total_flow.value


def test_static_head_is_from_the_lowest_pool_to_the_filter_or_the_pool() -> None:
    found = worked()
    low = value(found.levels.running_level, "low")
    assert value(found.pumping.static_head, "filter") == pytest.approx(0.8 - low)
    assert value(found.pumping.static_head, "flush") == pytest.approx(0.0, abs=1e-9)


def test_the_losses_along_each_way_take_the_pumps_head() -> None:
    found = worked().pumping
    head = value(found.pump_head, "one")
    for branch in ("filter", "flush"):
        lost = sum(
            value(entries, line) for entries in (found.line_friction, found.line_fittings) for line in ("one", branch)
        )
        assert head == pytest.approx(value(found.static_head, branch) + lost, abs=1e-6)


def test_branches_share_what_is_pumped() -> None:
    found = worked().pumping
    assert found.total_flow is not None
    assert found.total_flow.value == pytest.approx(sum(e.value for e in found.branch_flow), rel=1e-6)


def test_shutting_the_flush_moves_the_operating_point() -> None:
    before = worked().pumping
    shut = put(design(), ("options", 0, "water", "branches", 1, "opening"), 0)
    after = evaluate(shut).options[0].water
    assert after is not None
    assert value(after.run.pumping.branch_flow, "flush") == 0
    assert value(after.run.pumping.branch_flow, "filter") > value(before.branch_flow, "filter")
    assert after.run.pumping.total_flow.value < before.total_flow.value  # type: ignore[union-attr]
    assert value(after.run.pumping.pump_head, "one") > value(before.pump_head, "one")


def test_energy_of_a_year_and_its_cost() -> None:
    found = worked(pumps=[pump(power="200 W")], runs_a_day="12 h", energy_price="0.25 per kWh").pumping
    assert found.energy_year is not None
    assert found.energy_year.value / 3.6e6 == pytest.approx(0.2 * 12 * 365)
    assert found.energy_cost is not None
    assert found.energy_cost.value == pytest.approx(0.2 * 12 * 365 * 0.25)
    assert any("residual-current" in say(c, "si") for c in found.pump_power[0].cautions)


def test_a_stopped_pump_without_its_check_valve_is_said() -> None:
    for check in (True, False):
        found = worked(pumps=[pump(), pump("two", running=False, check_valve=check)]).pumping
        assert (value(found.pump_flow, "two") < 0) == (not check)
        assert any("runs back" in say(c, "si") for e in found.pump_flow for c in e.cautions) == (not check)
    both = worked(pumps=[pump(), pump("two", check_valve=False)]).pumping
    assert value(both.back_flow, "two") > 0
    assert value(both.flow_without, "two") < value(worked().pumping.pump_flow, "one")
    assert [e.subject for e in both.flow_by_pumps] == ["1 pump", "2 pumps"]


def test_a_velocity_outside_the_limits_is_said_at_the_line() -> None:
    found = worked(branches=[{"name": "thin", "to": "filter", "pipe": "sch40 1 1/2 in", "length": "1 m"}]).pumping
    notes = {e.subject: [say(c, "us") for c in e.cautions] for e in found.line_velocity}
    assert any("Over 5 ft/s" in note for note in notes["thin"])
    slow = worked(branches=[{"name": "wide", "to": "filter", "pipe": "sch40 6 in", "length": "1 m"}]).pumping
    assert any("Under 2 ft/s" in say(c, "us") for e in slow.line_velocity for c in e.cautions)


def test_the_pumps_flow_spans_what_each_table_of_losses_gives() -> None:
    """EPANET 2.2, Table 3.3, and Munson et al., Table 8.2, flanged and threaded,
    differ by a factor of up to 5 for a bend.
    """
    bends = {"elbows_90": 4, "tees_branch": 2}
    runs = {
        name: worked(losses=name, pumps=[pump(**bends)]).pumping.total_flow
        for name in ("EPANET 2.2", "Munson flanged", "Munson threaded")
    }
    flows = [run.value for run in runs.values() if run]
    assert max(flows) > 1.04 * min(flows)
    for run in runs.values():
        assert run is not None
        assert run.least < min(flows) * (1 + 1e-9) and max(flows) * (1 - 1e-9) < run.most
        # Each fitting's least and greatest lie no further out than by the check valve and
        # the entrance, which differ least.
        assert run.least > 0.9 * min(flows) and run.most < 1.1 * max(flows)
        assert run.low is not None and run.high is not None


def test_what_follows_from_the_flow_has_its_range() -> None:
    found = outcome(filter={"level": "80 cm", "settling_area": "1 m^2", "media_area": "1 m^2"}).water
    assert found is not None
    keys = {
        key: figure
        for key, figure in found.entries()
        if figure.subject in ("", "high", "high – low", "one", "filter", "low")
    }
    for key in (
        "total_flow",
        "turnover",
        "pump_head",
        "pump_power",
        "energy_year",
        "line_velocity",
        "overflow_rate",
        "rise_rate",
        "contact_time",
        "running_level",
        "return_volume",
        "drawdown",
        "link_flow",
        "head_over_crest",
        "pool_turnover",
    ):
        assert keys[key].low is not None and keys[key].least < keys[key].value < keys[key].most, key


RISING = [*CURVE[:2], {"flow": "150 L/min", "head": "5 m"}]
BACKWARD = [*CURVE[:2], {"flow": "70 L/min", "head": "1 m"}]
BAD: dict[str, tuple[dict[str, Any], tuple[Any, ...], str]] = {
    "a curve that rises": ({"pumps": [pump(curve=RISING)]}, ("pumps", 0, "curve", 2, "head"), "rises"),
    "a curve out of order": ({"pumps": [pump(curve=BACKWARD)]}, ("pumps", 0, "curve", 2, "flow"), "70 L/min"),
    "no pump runs": ({"pumps": [pump(running=False)]}, ("pumps", 0, "running"), "no pump runs"),
    "cannot lift": (
        {"filter": {"level": "9 m"}, "branches": [{"name": "f", "to": "filter"}]},
        ("pumps", 0, "curve"),
        "at most 6 m",
    ),
    "cannot lift to the filter, though another branch runs": (
        {"filter": {"level": "9 m"}, "branches": [{"name": "f", "to": "filter"}, {"name": "p", "pool": "low"}]},
        ("pumps", 0, "curve"),
        "the filter stands",
    ),
    "every valve shut": (
        {"branches": [{"name": "a", "opening": 0}, {"name": "b", "opening": 0}]},
        ("branches", 0, "opening"),
        "shut",
    ),
    "nowhere to go": ({"branches": []}, ("branches",), "nowhere"),
    "no filter": ({"filter": None}, ("branches", 0, "to"), "none"),
    "no such pool": ({"branches": [{"name": "a", "pool": "hig"}]}, ("branches", 0, "pool"), "'hig'"),
    "no such pool for the intake": ({"intake": {"pool": "lo"}}, ("intake", "pool"), "'lo'"),
    "no such pool for the filter": ({"filter": {"to": "lo"}}, ("filter", "to"), "'lo'"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_input_is_named_placed_and_mended_and_the_rest_stands(name: str) -> None:
    change, path, given = BAD[name]
    found = outcome(**change)
    problems = {p.path: p for p in found.problems}
    problem = problems[("water", *path)]
    assert given in say(problem.given, "si")
    assert say(problem.allowed, "si")
    assert say(problem.mend, "si")
    assert found.water is not None
    assert found.water.run.pumping.total_flow is None
    assert found.totals.total_net_volume is not None


def test_past_the_last_point_of_the_curve_is_said() -> None:
    short = [{"flow": "0 L/min", "head": "6 m"}, {"flow": "20 L/min", "head": "5.5 m"}]
    found = worked(pumps=[pump(curve=short)]).pumping
    assert any("past the last point" in say(c, "si") for c in found.pump_flow[0].cautions)


def test_an_option_without_water_shows_nothing_of_it() -> None:
    found = evaluate(read()).options[0]
    assert found.water is None
    assert not [key for key, _ in found.entries() if key in ("total_flow", "pump_flow")]
