"""Downpour, filling, evaporation, leaks, turnover and doses against print and closed forms."""

import math
from typing import Any

import pytest

from pondkit.core.remembered import Memory
from pondkit.drawing.rows import say
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.water.formulas import open_water
from pondkit.trades.water.results import YearResult
from tests.designs import option, pool, read
from tests.memory import asked
from tests.trades.water.test_pumping import LINK, pump, value

GPM, INCH, FOOT, DAY = 6.30902e-5, 0.0254, 0.3048, 86400.0
KM_A_DAY = 1000 / DAY


@pytest.mark.parametrize(
    ("celsius", "humidity", "run", "mm"),
    # San Diego State University CIVE 445: 15 °C, 70 %, 150 km a day: 0.189 cm; and the
    # formula at 20 and 10 °C with iapws
    [(15, 0.70, 150, 1.89), (20, 0.60, 100, 2.71), (10, 0.80, 50, 0.52)],
)
def test_evaporation_by_mass_transfer(celsius: float, humidity: float, run: float, mm: float) -> None:
    assert open_water.evaporation(celsius, humidity, run * KM_A_DAY, 1.0) * DAY * 1000 == pytest.approx(mm, rel=0.01)


# iapws 1.5.5: kPa; and MWH's Water Treatment, 3rd ed. 2012, Table C-1, to its last digit
@pytest.mark.parametrize(
    ("celsius", "kpa", "printed"),
    [
        (0, 0.6117, 0.61),
        (5, 0.8726, 0.87),
        (10, 1.2282, 1.23),
        (15, 1.7057, 1.70),
        (20, 2.3392, 2.34),
        (25, 3.1697, 3.17),
        (30, 4.2467, 4.24),
        (40, 7.3849, None),
        (50, 12.352, None),
    ],
)
def test_vapour_pressure_is_that_of_iapws_and_of_print(celsius: float, kpa: float, printed: float | None) -> None:
    found = open_water.vapour_pressure(celsius) / 1000
    assert found == pytest.approx(kpa, rel=0.002)
    assert printed is None or found == pytest.approx(printed, abs=0.0062)


def test_hot_air_is_taken() -> None:
    """By arithmetic: 40 °C, 40 %, 100 km a day: (0.013 + 0.016) × 73.8 mbar × 0.6 = 1.285 cm a day."""
    figure = year(season={"air_temperature": "40 °C", "humidity": 0.4, "wind": f"{100 * KM_A_DAY} m/s"}).evaporation
    assert figure is not None
    assert figure.value * DAY * 100 == pytest.approx(1.285, rel=0.003)


def test_a_downpour_and_its_outfall_by_arithmetic() -> None:
    """150 m² at 100 mm/h: 4.167 L/s; orifice under 50 mm with C 0.6: 94.5 mm (Ontario LID guide's formula)."""
    flow = open_water.storm_flow(0.1 / 3600, 100.0, 50.0, 0.0, 0.0)
    assert flow * 1000 == pytest.approx(4.167, rel=1e-3)
    assert open_water.outfall_bore(flow, 0.050) * 1000 == pytest.approx(94.5, rel=0.005)


# Minnesota design sheet and Nevada 444.8396: hole (in), head (ft), gal/min
@pytest.mark.parametrize(
    ("hole", "head", "gpm", "within"),
    [
        (0.1875, 1, 0.42, 0.02),
        (0.25, 1, 0.74, 0.005),
        (0.25, 2, 1.04, 0.005),
        (0.25, 5, 1.65, 0.005),
        (0.375, 3, 2.87, 0.005),
        (0.5, 4, 5.89, 0.005),
    ],
)
def test_an_orifice_passes_what_is_printed(hole: float, head: float, gpm: float, within: float) -> None:
    assert open_water.outfall_bore(gpm * GPM, head * FOOT) == pytest.approx(hole * INCH, rel=within)


# Journal of Water and Health 16(3): 63, 86, 95 % by 1, 2, 3 turnovers; 99.9 % needs 6.908 (Geist)
@pytest.mark.parametrize(("share", "turnovers"), [(0.632, 1), (0.865, 2), (0.950, 3), (0.999, 6.908)])
def test_mixing_by_turnovers(share: float, turnovers: float) -> None:
    assert open_water.time_to_replace(share, 1.0) == pytest.approx(turnovers, rel=0.005)


def test_turnover_of_printed_tanks() -> None:
    """150 m³ at 4500 to 4800 L/min: 31 to 33 min (Davidson and Summerfelt); 100 000 gal at 50 000 gal/h: 2 h."""
    assert 31 <= open_water.time_of_volume(150, 4.8 / 60) / 60 <= open_water.time_of_volume(150, 4.5 / 60) / 60 <= 33.4
    assert open_water.time_of_volume(100_000, 50_000 / 3600) == pytest.approx(7200)


# --- as a person draws it ---


def outcome(own: dict[str, Any] | None = None, /, **more: Any) -> OptionResult:
    water = {
        "pumps": [pump()],
        "branches": [{"name": "f", "to": "filter", "length": "6 m"}],
        "filter": {"level": "80 cm"},
        "storm": {"rain": "100 mm/h", "roof_area": "40 m^2", "ground_area": "100 m^2", "ground_share": 0.3},
        "season": {
            "air_temperature": "20 °C",
            "humidity": 0.6,
            "wind": f"{100 * KM_A_DAY} m/s",
            "fill_flow": "20 L/min",
            "fall_off": "4 mm",
            "fall_on": "6 mm",
        },
        "dosing": {"concentration": "2 mg/L", "added": "500 L"},
    } | more
    stones = {"boulders": [{"name": "b", "count": 2, "axes": ["60 cm", "50 cm", "40 cm"], "pool": "low"}]}
    pools = [pool("low", level="-10 cm"), pool("high", level="50 cm", at=["9 m", "0 m"])]
    drawn = {"pools": pools, "links": [LINK], "water": water, "stone": stones} | (own or {})
    return evaluate(read(units="si", options=[option(**drawn)])).options[0]


def year(**more: Any) -> YearResult:
    found = outcome(**more)
    assert found.problems == ()
    assert found.water is not None
    return found.water.year


def test_rain_falls_on_every_pool_roof_and_ground() -> None:
    area = sum(p.surface_area.value for p in outcome().pools)
    found = year()
    assert found.storm_flow is not None
    assert found.storm_flow.value == pytest.approx(0.1 / 3600 * (area + 40 + 30))
    assert found.highest_level is not None
    assert found.overflow_head is not None
    assert found.highest_level.value == pytest.approx(-0.10 + found.overflow_head.value)


def test_an_overflow_too_low_too_narrow_or_met_by_each_stop_is_said() -> None:
    def notes(**storm: Any) -> str:
        found = year(storm={"rain": "100 mm/h"} | storm).highest_level
        assert found is not None
        return " ".join(say(c, "si") for c in found.cautions)

    assert "over the rim" in notes(overflow_width="3 cm", roof_area="400 m^2")
    assert "under the level at rest" in notes(overflow_level="-12 cm")
    assert "Each time the pumps stop" in notes()
    assert notes(overflow_level="-5 cm", overflow_width="1 m") == ""


def test_more_rise_or_fall_than_the_option_is_planned_for_is_said() -> None:
    found = year()
    for margin in (found.fall_margin, found.rise_margin):
        assert margin is not None
        assert margin.value > 0
        assert margin.cautions == ()
    much = year(storm={"rain": "200 mm/h", "roof_area": "400 m^2", "overflow_width": "10 cm"}).rise_margin
    assert much is not None
    assert much.value < 0
    assert any("highest water over rest" in say(c, "si") for c in much.cautions)


def test_a_leak_is_what_evaporation_does_not_explain() -> None:
    found = year()
    off, on = value(found.leak, "pumps off"), value(found.leak, "pumps on")
    assert off * 1000 == pytest.approx(4 - 2.71, abs=0.03)
    # With the pumps on the pool drawn from falls by what evaporates from both: two pools of one size.
    assert on * 1000 == pytest.approx(6 - 2 * 2.71, abs=0.06)
    (volume,) = (e for e in found.leak_volume if e.subject == "pumps off")
    assert volume.value == pytest.approx(off * outcome().pools[0].surface_area.value)
    assert any("mark the water" in say(c, "si") for c in found.leak[0].cautions)


def test_two_pools_that_fall_by_evaporation_alone_lose_nothing() -> None:
    """Conservation of water: 39.01 and 7.55 m², 7.7347 mm evaporated from both: the
    lower falls 9.231 mm and nothing leaks.
    """
    fall, evaporation = 9.231e-3, 7.7347e-3 / DAY
    found = open_water.leak(fall, evaporation, DAY, 39.01 + 7.55, 39.01)
    assert found * 1000 == pytest.approx(0.0, abs=1e-3)
    assert open_water.leak_volume(found, 39.01) * 1000 == pytest.approx(0.0, abs=0.05)
    assert open_water.leak(fall, evaporation, DAY, 39.01, 39.01) * 1000 == pytest.approx(9.231 - 7.7347)


def test_the_pool_that_was_read_counts_with_the_pumps_off() -> None:
    season = {"air_temperature": "20 °C", "humidity": 0.6, "wind": f"{100 * KM_A_DAY} m/s", "fall_off": "9 mm"}
    small = {"shape": "circle", "diameter": "1.5 m"}
    pools = [
        pool("low", level="-10 cm"),
        pool("high", level="50 cm", at=["9 m", "0 m"], outline=small, tiers=[{"zone": "deep", "depth": "40 cm"}]),
    ]

    def lost(**more: Any) -> tuple[float, float]:
        found = outcome({"pools": pools}, season=season | more).water
        assert found is not None
        (volume,), (depth,) = found.year.leak_volume, found.year.leak
        assert depth.least < depth.value < depth.most
        return depth.value, volume.value

    depth, volume = lost(read_at="high")
    assert volume / depth == pytest.approx(math.pi / 4 * 1.5**2, rel=1e-3)
    assert lost()[1] / depth == pytest.approx(math.pi / 4 * (18 * 0.3048) * (12 * 0.3048), rel=1e-3)


def test_turnover_and_doses_by_the_net_volume_with_its_range() -> None:
    result, found = outcome(), year()
    whole = result.totals.total_net_volume
    assert whole is not None
    assert whole.low is not None
    flow = result.water.run.pumping.total_flow.value  # type: ignore[union-attr]
    assert found.turnover is not None
    assert found.turnover.value == pytest.approx(whole.value / flow)
    assert sum(e.value for e in found.pool_turnover) == pytest.approx(found.turnover.value, rel=1e-4)
    assert found.time_to_replace is not None
    assert found.time_to_replace.value == pytest.approx(-math.log(0.05) * found.turnover.value)
    assert found.dose_pond is not None
    assert found.dose_pond.value == pytest.approx(2e-3 * whole.value)
    assert (found.dose_pond.low, found.dose_pond.high) == (
        pytest.approx(2e-3 * whole.least),
        pytest.approx(2e-3 * whole.most),
    )
    assert any("low figure for what harms" in say(c, "si") for c in found.dose_pond.cautions)
    assert found.dose_added is not None
    assert found.dose_added.value == pytest.approx(1e-3)
    assert found.fill_time is not None
    assert found.fill_time.value == pytest.approx(whole.value / (0.02 / 60))
    assert any("chlorine" in say(c, "si") for c in found.fill_time.cautions)
    assert found.make_up is not None
    assert found.make_up.value == pytest.approx(
        2.71e-3 / DAY * sum(p.surface_area.value for p in result.pools), rel=0.01
    )


def test_a_moved_tier_leaves_pumps_and_levels_as_they_were() -> None:
    from pondkit.project.files import put

    memory = Memory()
    water = {"pumps": [pump()], "branches": [{"name": "f", "length": "6 m"}], "season": {}}
    project = read(units="si", options=[option(pools=[pool("low")], water=water)])
    before = asked(project, memory).options[0].water
    memory.worked.clear()
    after = asked(put(project, ("options", 0, "pools", 0, "tiers", 1, "depth"), "31 in"), memory).options[0].water
    assert before is not None
    assert after is not None
    assert after.run is before.run
    assert "running_water" not in memory.worked
    assert after.year.fill_time.value > before.year.fill_time.value  # type: ignore[union-attr]


# --- Penman ---

CALORIE = 4.1868  # J, international table


def test_the_worked_example_of_penman() -> None:
    """San Diego State University, engineering hydrology: 15 °C, 550 cal/cm² a day, 150 km/day, 70 %, weight 1.66, 588.9
    cal/g: 0.189 by wind, 0.935 by sun, 0.65 cm a day by both.
    """
    wind = open_water.evaporation(15.0, 0.70, 150 * KM_A_DAY, 1.0)
    sun = open_water.evaporation_sun(550 * CALORIE * 1e4 / DAY, 1000.0, 588.9 * CALORIE * 1000)
    assert wind * DAY * 100 == pytest.approx(0.189, rel=0.01)
    assert sun * DAY * 100 == pytest.approx(0.935, rel=0.01)
    assert open_water.evaporation_penman(sun, wind, 1.66) * DAY * 100 == pytest.approx(0.65, rel=0.01)
    assert open_water.evaporation_penman(sun, wind, open_water.weight_of_sun(15.0, 0.0)) * DAY * 100 == pytest.approx(
        0.65, rel=0.01
    )


def test_latent_heat_and_weight_at_15_degrees_as_in_that_example() -> None:
    assert open_water.latent_heat(15.0) / 1000 / CALORIE == pytest.approx(588.9, rel=5e-4)
    assert open_water.weight_of_sun(15.0, 0.0) == pytest.approx(1.66, rel=0.02)


def test_the_weight_grows_with_altitude_as_the_psychrometric_constant_falls() -> None:
    """FAO Irrigation and Drainage Paper 56, example 2: 81.8 kPa and 0.054 kPa/°C at 1800 m,
    over 0.0674 at the sea with 2.45 MJ/kg.
    """
    warm = (2.501 - 2.45) / 2.361e-3  # where the latent heat is 2.45 MJ/kg
    assert open_water.weight_of_sun(warm, 1800) / open_water.weight_of_sun(warm, 0) == pytest.approx(
        0.0674 / 0.0544, rel=0.01
    )


def test_make_up_and_leak_follow_penman_where_the_sun_is_known() -> None:
    still = year(season={})
    sunny = year(season={"sun": "150 W/m^2"})
    assert still.evaporation_penman is None
    assert sunny.evaporation_penman is not None and sunny.evaporation_sun is not None and sunny.evaporation is not None
    assert sunny.make_up is not None and still.make_up is not None and still.evaporation is not None
    assert sunny.evaporation.value == still.evaporation.value
    low, high = sorted((sunny.evaporation.value, sunny.evaporation_sun.value))
    assert low < sunny.evaporation_penman.value < high
    ratio = sunny.make_up.value / still.make_up.value
    assert ratio == pytest.approx(sunny.evaporation_penman.value / still.evaporation.value)
