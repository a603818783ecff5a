"""What pump is needed: flows and heads held against print, by the turnover and by the sheets wanted."""

from typing import Any

import pytest

from pondkit.drawing.rows import say
from pondkit.study.evaluate import evaluate
from pondkit.trades.water.cautions import CIRCLES, CURVE_ASSUMED, LIFT_ALONE
from pondkit.trades.water.results import PumpWantedResult
from tests.cautions import cases
from tests.designs import option, pool, read

GPM = 6.30902e-5  # m³/s
FOOT = 0.3048  # m


def wanted(link: dict[str, Any] | None = None, **water: Any) -> PumpWantedResult:
    """Two pools, 3 ft apart in level, a fall between them, and a line to the upper one."""
    pools = [pool("low", level="-1 ft"), pool("high", level="2 ft", at=["30 ft", "0 ft"])]
    fall = {"from": "high", "to": "low", "at": ["15 ft", "0 ft"], "crest_width": "2 ft", "crest": "sharp"}
    side = {"branches": [{"name": "up", "pool": "high", "length": "100 ft", "valve": "none"}]} | water
    drawn = option(pools=pools, links=[fall | (link or {})], water=side)
    found = evaluate(read(site={}, options=[drawn])).options[0]
    assert found.problems == ()
    assert found.water is not None
    return found.water.wanted


@pytest.mark.parametrize(
    ("head_ft", "feet", "gpm"), [(0.20, 2, 265), (0.25, 2, 368), (0.30, 2, 482), (0.40, 2, 734), (0.30, 1, 237)]
)
def test_the_flow_for_a_sheet_is_that_of_a_printed_weir_table(head_ft: float, feet: int, gpm: float) -> None:
    """Oregon State College, Extension Circular 550 (Aug 1952), Table 1: rectangular weirs with contracted ends; within
    1.5 % of Francis' formula for a crest of 2 ft, 4.5 % for one of 1 ft.
    """
    link = {"crest_width": f"{feet} ft", "crest_ends": "contracted"}
    (flow,) = wanted(link, sheet=f"{head_ft} ft").sheet_flow
    assert flow.subject == "high – low"
    assert flow.value / GPM == pytest.approx(gpm, rel=0.015 if feet == 2 else 0.045)
    assert flow.least <= flow.value <= flow.most


def test_the_flow_for_a_turnover_is_volume_over_time() -> None:
    """100,000 gal in 2 h are 50,000 gal an hour (marine animal welfare page on filters)."""
    found = wanted(turnover="2 h")
    assert found.turnover_flow is not None and found.flow_wanted is not None
    volume = found.turnover_flow.terms[0].value
    assert found.turnover_flow.value == pytest.approx(volume / 7200)
    assert found.flow_wanted.value == found.turnover_flow.value
    assert found.sheet_flow == ()


def test_the_greater_of_what_is_asked_is_wanted_and_falls_of_one_pool_add_up() -> None:
    alone = wanted(sheet="1 in")
    assert alone.flow_wanted is not None
    both = wanted(sheet="1 in", turnover="100 h")
    assert both.flow_wanted is not None and both.turnover_flow is not None
    assert both.flow_wanted.value == alone.flow_wanted.value > both.turnover_flow.value
    pools = [pool("low", level="-1 ft"), pool("high", level="2 ft", at=["30 ft", "0 ft"])]
    falls = [{"from": "high", "to": "low", "at": ["15 ft", f"{y} ft"], "crest_width": "1 ft"} for y in (-2, 2)]
    two = evaluate(read(site={}, options=[option(pools=pools, links=falls, water={"sheet": "1 in"})])).options[0].water
    assert two is not None and two.wanted.flow_wanted is not None
    assert two.wanted.flow_wanted.value == pytest.approx(2 * two.wanted.sheet_flow[0].value)


def test_the_head_is_the_lift_and_what_the_lines_take() -> None:
    """2 in schedule 40 pipe at 40 gpm: 2.62 ft in 100 ft (Illinois Adm. Code 77-906, App. A, Exhibit I, C 150); by
    Colebrook 2.654 ft (fluids 1.3.1), within 1.5 % and 0.5 %.
    """
    nominal = {"name": "nominal", "outside": "2.375 in", "bore": "2.067 in", "bore_within": "0 %"}
    up = {"name": "up", "pool": "high", "length": "100 ft", "valve": "none", "own_pipe": "nominal"}
    volume = wanted(turnover="1 h").turnover_flow
    assert volume is not None
    hours = volume.value / (40 * GPM)
    found = wanted(turnover=f"{hours:.6f} h", branches=[up], own_pipes=[nominal])
    assert found.flow_wanted is not None and found.head_wanted is not None and found.wanted_lift is not None
    assert found.flow_wanted.value / GPM == pytest.approx(40, rel=1e-4)
    line = next(each for each in found.wanted_line_head if each.subject == "up")
    velocity = 40 * GPM / (3.14159265 / 4 * (2.067 * 0.0254) ** 2)
    fittings = 1.0 * velocity**2 / (2 * 9.80665)  # the exit, K 1.0
    assert (line.value - fittings) / FOOT == pytest.approx(2.654, rel=0.005)
    assert (line.value - fittings) / FOOT == pytest.approx(2.62, rel=0.02)
    assert found.wanted_lift.value / FOOT == pytest.approx(3.0)
    heads = sum(each.value for each in found.wanted_line_head)
    assert found.head_wanted.value == pytest.approx(found.wanted_lift.value + heads)


def test_a_lift_without_lines_is_said() -> None:
    cases(LIFT_ALONE, without=wanted(turnover="2 h"), with_it=wanted(turnover="2 h", branches=[]))


def test_nothing_is_worked_out_that_nobody_wants() -> None:
    found = wanted()
    assert (found.flow_wanted, found.head_wanted, found.sheet_flow) == (None, None, ())


# --- a curve from one point, and water that only circles ---


def run(curve: list[dict[str, str]], pool_of_branch: str = "high", pumps: Any = None, **pump: Any) -> Any:
    """The running water of ``wanted``'s design with a pump, or with several."""
    side = {
        "pumps": pumps or [{"name": "p", "curve": curve, "length": "1 ft"} | pump],
        "branches": [{"name": "up", "pool": pool_of_branch, "length": "20 ft", "valve": "none"}],
    }
    pools = [pool("low", level="-1 ft"), pool("high", level="2 ft", at=["30 ft", "0 ft"])]
    fall = {"from": "high", "to": "low", "at": ["15 ft", "0 ft"], "crest_width": "2 ft"}
    found = evaluate(read(site={}, options=[option(pools=pools, links=[fall], water=side)])).options[0]
    assert found.problems == ()
    return found.running_water


ONE = [{"flow": "30 US gal/min", "head": "9 ft"}]
WHOLE = [{"flow": f"{q:g} US gal/min", "head": f"{12 - 3 * (q / 30) ** 2:.6f} ft"} for q in range(0, 59, 2)]


def test_one_point_makes_the_parabola_through_it_and_says_that_it_is_assumed() -> None:
    """With a third more head at no flow the closed form is H = 12 - 3 (Q / 30)^2 ft, Q in gal/min."""
    alone, whole = run(ONE, shutoff=4 / 3, shutoff_within=0), run(WHOLE)
    assert alone.pumping.total_flow.value == pytest.approx(whole.pumping.total_flow.value, rel=2e-3)
    cases(CURVE_ASSUMED, without=whole.pumping.total_flow, with_it=alone.pumping.total_flow)
    two = [{"name": name, "curve": ONE, "length": "1 ft", "shutoff": factor} for name, factor in (("a", 1.3), ("b", 2))]
    texts = [say(caution, "us") for caution in run(ONE, pumps=two).pumping.total_flow.cautions]
    assert any("'a' is assumed" in text and "1.3 times" in text for text in texts)
    assert any("'b' is assumed" in text and "2 times" in text for text in texts)
    wide = run(ONE, shutoff=4 / 3, shutoff_within=0.5).pumping.total_flow
    assert wide.most - wide.least > alone.pumping.total_flow.most - alone.pumping.total_flow.least


def test_water_that_only_circles_in_its_own_pool_is_told() -> None:
    cases(CIRCLES, without=run(WHOLE).pumping.total_flow, with_it=run(WHOLE, "low").pumping.total_flow)
