"""Head that screen and filter take: against a general library, the orifice's
closed form, and the pumps' own balance.
"""

from typing import Any

import pytest
from fluids.packed_bed import Ergun
from scipy.optimize import brentq

from pondkit.drawing.rows import say
from pondkit.solvers.curves import PumpPath, curve_through
from pondkit.solvers.friction import Conduit, Resistance, Series
from pondkit.solvers.pipe_network import BranchPath, Network, balance
from pondkit.trades.water.formulas import filters, pumping
from pondkit.trades.water.formulas.open_water import SHARP_EDGE
from pondkit.trades.water.results import RunResult
from tests.trades.water.test_levels import outcome, worked
from tests.trades.water.test_pumping import pump, value

G, NU, FOOT = 9.80665, 1.0034e-6, 0.3048
BODIES = {
    "level": "90 cm",
    "area": "1.5 m^2",
    "settling_area": "0.7 m^2",
    "media_area": "0.7 m^2",
    "media_depth": "60 cm",
    "media_voids": 0.4,
    "media_size": "8 mm",
    "passage_area": "60 cm^2",
}


@pytest.mark.parametrize(("size", "voids", "rate"), [(0.01, 0.4, 0.005), (0.002, 0.36, 0.001), (0.05, 0.45, 0.02)])
def test_the_media_take_what_the_library_says(size: float, voids: float, rate: float) -> None:
    """fluids.packed_bed.Ergun (library), a pressure, over density and gravity."""
    rho = 998.2
    by_library = Ergun(dp=size, voidage=voids, vs=rate, rho=rho, mu=NU * rho, L=0.6) / rho / G
    assert filters.media_loss(rate, 0.6, voids, size, NU, G) == pytest.approx(by_library, rel=1e-9)


def test_media_by_their_surface_are_spheres_of_that_surface() -> None:
    """A bed of 10 mm spheres with 40 % voids has 6 · 0.6 / 0.01 = 360 m² in each m³ (geometry)."""
    assert filters.media_size(0.4, 360.0) == pytest.approx(0.010)


def test_an_opening_takes_what_an_orifice_does() -> None:
    """Minnesota design sheet: a 1/2 in hole passes 2.95 gal/min under 1 ft; as printed to 0.5 %."""
    flow, area = 2.95 * 6.30902e-5, 3.141592653589793 / 4 * (0.5 * 0.0254) ** 2
    head = filters.passage_loss(filters.passage_velocity(flow, area), SHARP_EDGE, G)
    assert head / FOOT == pytest.approx(1.0, rel=0.01)


def test_a_screen_takes_the_more_the_less_of_it_is_open() -> None:
    """Blevins's table, by the fluids library: nothing where all is open; 0.06 m/s has a velocity head of 0.1835 mm."""
    row = [pumping.screen_k(share) for share in (0.3, 0.4, 0.5, 0.7, 0.9)]
    assert row == sorted(row, reverse=True)
    assert pumping.screen_k(1.0) == pytest.approx(0.0, abs=1e-9)
    assert pumping.screen_loss(0.06, 0.0, 4.0, G) == pytest.approx(4 * 0.0036 / 2 / G)
    assert pumping.screen_loss(0.06, 0.5, 4.0, G) == pytest.approx(4 * pumping.screen_loss(0.06, 0.0, 4.0, G))


def figures(**more: Any) -> RunResult:
    return worked(filter=BODIES, intake={"screen_area": "0.02 m^2", "clogged": 0.8, "screen_top": "-30 cm"} | more)


def test_screen_lines_and_filter_together_take_the_pumps_head() -> None:
    found = figures()
    lost = sum(e.value for e in (*found.pumping.line_friction, *found.pumping.line_fittings))
    level, taken = found.filter_loss.filter_running_level, found.filter_loss.filter_loss
    assert level is not None and taken is not None and found.intake.screen_loss is not None
    assert taken.value > 0.01
    assert level.value == pytest.approx(0.90 + taken.value)
    low = value(found.levels.running_level, "low")
    lift = level.value - (low - found.intake.screen_loss.value)
    assert value(found.pumping.pump_head, "one") == pytest.approx(lift + lost, abs=1e-6)
    assert value(found.pumping.static_head, "filter") == pytest.approx(level.value - low, abs=1e-9)
    behind = found.intake.level_behind_screen
    assert behind is not None
    assert behind.value == pytest.approx(low - found.intake.screen_loss.value)


def test_the_figures_are_what_the_lines_were_balanced_with() -> None:
    found = figures()
    network, now = found.pumping.network, found.pumping.balanced
    assert network is not None and now is not None and found.filter_loss.filter_loss is not None
    assert network.bodies.loss(sum(now.branch_flows))[0] == pytest.approx(found.filter_loss.filter_loss.value, rel=1e-9)
    assert found.intake.screen_loss is not None
    assert network.screen.loss(now.flow)[0] == pytest.approx(found.intake.screen_loss.value, rel=1e-9)


def test_dirt_on_the_screen_costs_flow() -> None:
    flows = [figures(clogged=share).pumping.total_flow for share in (0.0, 0.5, 0.9)]
    values = [flow.value for flow in flows if flow]
    assert values == sorted(values, reverse=True)
    assert values[0] > 1.01 * values[-1]
    clean, dirty = (figures(clogged=share).intake for share in (0.0, 0.9))
    assert clean.screen_loss is not None and clean.screen_loss_clean is not None
    assert clean.screen_loss.value == clean.screen_loss_clean.value
    assert any("draw air" in say(c, "si") for c in dirty.level_behind_screen.cautions)  # type: ignore[union-attr]


def test_water_held_up_in_the_first_body_is_missing_in_the_pool_and_comes_back() -> None:
    found, pools = figures(), outcome().pools
    levels = found.levels
    area = {p.name: p.surface_area.value for p in pools}
    gone = area["low"] * (-0.10 - value(levels.running_level, "low"))
    assert found.filter_loss.filter_loss is not None
    held = 0.7 * found.filter_loss.filter_loss.value
    assert value(levels.water_in_transit, "filter") == pytest.approx(held, rel=1e-6)
    assert gone == pytest.approx(held + area["high"] * (value(levels.running_level, "high") - 0.5), rel=1e-4)


def test_a_pipe_between_bodies_that_stand_apart_has_a_velocity_and_a_loss() -> None:
    apart = {name: given for name, given in BODIES.items() if name != "passage_area"}
    found = worked(filter=apart, passage={"pipe": "sch40 1 1/2 in", "length": "1 m"})
    own = sum(value(e, "passage") for e in (found.pumping.line_friction, found.pumping.line_fittings))
    assert found.filter_loss.filter_loss is not None and found.filter_loss.media_loss is not None
    assert found.filter_loss.filter_loss.value == pytest.approx(own + found.filter_loss.media_loss.value, rel=1e-9)
    assert value(found.pumping.line_velocity, "passage") == pytest.approx(
        value(found.pumping.line_velocity, "filter"), rel=1e-9
    )


def test_an_opening_and_a_pipe_at_once_are_told() -> None:
    (problem,) = outcome(filter=BODIES, passage={}).problems
    assert problem.path == ("water", "filter", "passage_area")


def test_the_makers_figure_stands_in_place_of_the_formula() -> None:
    found = worked(filter=BODIES | {"maker_loss": "5 cm", "maker_rate": "2 mm/s"}).filter_loss
    rate = worked(filter=BODIES | {"maker_loss": "5 cm", "maker_rate": "2 mm/s"}).filter.rise_rate
    assert found.media_loss is not None and rate is not None
    assert found.media_size is None
    assert found.media_loss.value == pytest.approx(0.05 * (rate.value / 0.002) ** 2)


def test_a_pond_without_these_inputs_loses_nothing_in_its_filter() -> None:
    found = worked()
    assert found.filter_loss.filter_loss is None
    assert value(found.pumping.static_head, "filter") == pytest.approx(0.9 - value(found.levels.running_level, "low"))


# --- the network with screen and filter, against a search over one flow ---


@pytest.mark.parametrize("outlet", [None, 1.25])
def test_one_loop_with_screen_and_filter_by_a_search_over_the_flow(outlet: float | None) -> None:
    pipe, suction = Conduit(0.052, 9.0, 5.0, 1.5e-6, NU), Conduit(0.052, 3.0, 3.0, 1.5e-6, NU)
    curve = curve_through((0.0, 1e-3, 2e-3, 3e-3), (6.0, 5.2, 3.5, 1.0))
    grid, bed = Resistance(square=2e4), Resistance(0.0, 60.0, 9e4)
    more = {} if outlet is None else {"outlet": outlet}
    branch = BranchPath("b", pipe, 1.0, False, outlet is not None, True, **more)
    network = Network(
        0.0, (PumpPath("p", suction, curve, True, True, 10.0),), None, (branch,), Series((grid,)), Series((bed,))
    )

    def left(q: float) -> float:
        top = max(1.0 + bed.loss(q)[0], outlet or 0.0)
        return float(curve.head(q)[0] - suction.loss(q)[0] - pipe.loss(q)[0] - grid.loss(q)[0] - top)

    found = balance(network)
    assert found.flow == pytest.approx(brentq(left, 1e-6, 3e-3, xtol=1e-13), rel=1e-7)
    assert found.ends[0] == pytest.approx(max(1.0 + bed.loss(found.flow)[0], outlet or 0.0), abs=1e-9)


def test_branches_to_one_filter_lift_to_one_level() -> None:
    count = 3
    found = worked(
        filter=BODIES,
        pumps=[pump(), pump("two")],
        branches=[{"name": f"b{i}", "to": "filter", "length": f"{3 + 4 * i} m"} for i in range(count)],
    )
    now = found.pumping.balanced
    assert now is not None and found.filter_loss.filter_running_level is not None
    assert now.ends == pytest.approx([found.filter_loss.filter_running_level.value] * count, abs=1e-8)
    assert sum(now.branch_flows) == pytest.approx(now.flow, rel=1e-6)
