"""Friction and losses against print, a general library and closed forms."""

import math

import pytest
from fluids.friction import Colebrook
from hypothesis import given
from hypothesis import strategies as st

from pondkit.core.constants import fluid
from pondkit.core.tables import rows_by_name, table
from pondkit.core.units import LENGTH, factor
from pondkit.solvers.friction import GRAVITY, Conduit, friction, rising_root
from pondkit.trades.water.formulas import pumping as rel
from pondkit.trades.water.lines import loss, valve_k

GPM, FOOT, INCH = 6.30902e-5, 0.3048, 0.0254
# IAPWS-95 through iapws 1.5.5: °C, kg/m³, mm²/s
IAPWS = [
    (0, 999.84, 1.7914),
    (5, 999.97, 1.5182),
    (10, 999.70, 1.3063),
    (15, 999.10, 1.1386),
    (20, 998.21, 1.0034),
    (25, 997.05, 0.8927),
    (30, 995.65, 0.8007),
]


@pytest.mark.parametrize(
    ("reynolds", "rough", "f"),
    [
        (1000, 0.0, 0.0640),
        (4000, 0.0, 0.039907),
        (1e4, 0.0, 0.030883),
        (5e4, 3e-5, 0.021000),
        (1e5, 0.0, 0.017990),
        (1e5, 1e-4, 0.018514),
        (1e5, 1e-3, 0.022175),
        (1e6, 1e-4, 0.013441),
        (1e6, 1e-3, 0.019943),
    ],
)
def test_friction_factor_at_points_of_colebrook(reynolds: float, rough: float, f: float) -> None:
    """Colebrook as fluids 1.3.1 solves it; laminar 64/Re: Moody diagram sheet, Metzger and Willard."""
    assert friction(reynolds, rough)[0] == pytest.approx(f, rel=5e-4)


@given(st.floats(4000, 1e7), st.floats(0, 0.02))
def test_friction_factor_satisfies_colebrooks_own_equation(reynolds: float, rough: float) -> None:
    f, power = friction(reynolds, rough)
    assert 1 / math.sqrt(f) == pytest.approx(-2 * math.log10(rough / 3.7 + 2.51 / (reynolds * math.sqrt(f))), rel=1e-9)
    step = 1e-5
    by_step = math.log(Colebrook(reynolds * (1 + step), rough) / f) / math.log(1 + step)
    assert power == pytest.approx(by_step, abs=2e-4)


# Illinois Adm. Code 77-906, Appendix A, Exhibit I: schedule 40 plastic, C 150: bore (in), gal/min, feet per 100 ft
ILLINOIS = [
    (1.610, 10, 0.70),
    (1.610, 20, 2.46),
    (1.610, 30, 5.22),
    (2.067, 10, 0.21),
    (2.067, 20, 0.74),
    (2.067, 40, 2.62),
    (2.067, 50, 3.98),
    (3.068, 30, 0.23),
    (3.068, 50, 0.58),
    (3.068, 100, 2.09),
    (4.026, 50, 0.16),
    (4.026, 100, 0.55),
]


@pytest.mark.parametrize(("bore", "gpm", "feet"), ILLINOIS)
def test_hazen_williams_gives_the_printed_rows(bore: float, gpm: float, feet: float) -> None:
    d = bore * INCH
    velocity = rel.line_velocity(gpm * GPM, d)
    found = rel.hazen_williams_head(velocity, d, 100 * FOOT, 150) / FOOT
    assert found == pytest.approx(feet, rel=0.015) if feet >= 1 else found == pytest.approx(feet, abs=0.02)


# The same rows by Darcy and Colebrook, roughness 1.52e-6 m, 20 °C (fluids 1.3.1): feet per 100 ft, ft/s
DARCY = [
    (1.610, 10, 0.751, 1.58),
    (1.610, 20, 2.554, 3.15),
    (1.610, 30, 5.258, 4.73),
    (2.067, 10, 0.229, 0.96),
    (2.067, 20, 0.774, 1.91),
    (2.067, 40, 2.654, 3.82),
    (2.067, 50, 3.956, 4.78),
    (3.068, 30, 0.241, 1.30),
    (3.068, 50, 0.596, 2.17),
    (3.068, 100, 2.060, 4.34),
    (4.026, 50, 0.163, 1.26),
    (4.026, 100, 0.559, 2.52),
]


@pytest.mark.parametrize(("bore", "gpm", "feet", "speed"), DARCY)
def test_darcy_gives_the_head_and_velocity_of_the_library(bore: float, gpm: float, feet: float, speed: float) -> None:
    d, nu = bore * INCH, 1.0034e-6
    velocity = rel.line_velocity(gpm * GPM, d)
    assert velocity / FOOT == pytest.approx(speed, abs=0.006)
    f = rel.friction_factor(velocity, d, 1.52e-6, nu, 1.0)
    head = rel.friction_head(f, 100 * FOOT, d, velocity, GRAVITY)
    assert head / FOOT == pytest.approx(feet, abs=0.0015)
    lost, _ = Conduit(d, 100 * FOOT, 0.0, 1.52e-6, nu).loss(gpm * GPM)
    assert lost == pytest.approx(head, rel=1e-9)


# Flow at 2, 3, 5 ft/s by arithmetic: nominal bores of schedule 40
@pytest.mark.parametrize(
    ("bore", "gpm"),
    [(1.610, (12.7, 19.0, 31.7)), (2.067, (20.9, 31.4, 52.3)), (3.068, (46.1, 69.1, 115)), (4.026, (79.4, 119, 198))],
)
def test_velocity_of_a_flow(bore: float, gpm: tuple[float, ...]) -> None:
    for flow, feet in zip(gpm, (2, 3, 5), strict=True):
        assert rel.line_velocity(flow * GPM, bore * INCH) / FOOT == pytest.approx(feet, rel=0.005)


@given(st.floats(-0.02, 0.02), st.floats(0.02, 0.2), st.floats(0.1, 100), st.floats(0, 30))
def test_the_head_rises_with_the_flow_and_leads_back_to_it(flow: float, bore: float, length: float, k: float) -> None:
    pipe = Conduit(bore, length, k, 1.5e-6, 1e-6)
    head, slope = pipe.loss(flow)
    assert pipe.loss(flow + 1e-7)[0] > head or flow < -1e-7
    assert slope > 0
    assert pipe.flow(head)[0] == pytest.approx(flow, rel=1e-6, abs=1e-12)
    assert pipe.loss(-flow)[0] == -head


@pytest.mark.parametrize("reynolds", [2000.0, 4000.0])
def test_the_head_has_no_jump_where_the_flow_turns(reynolds: float) -> None:
    below, above = (friction(reynolds * (1 + s), 1e-5)[0] for s in (-1e-9, 1e-9))
    assert below == pytest.approx(above, rel=1e-6)


# K: EPANET 2.2 User Manual, Table 3.3; Munson et al., Table 8.2
PRINTED = {
    ("EPANET 2.2", "elbow 90"): 0.9,
    ("EPANET 2.2", "sweep 90"): 0.6,
    ("EPANET 2.2", "elbow 45"): 0.4,
    ("EPANET 2.2", "tee through"): 0.6,
    ("EPANET 2.2", "tee branch"): 1.8,
    ("EPANET 2.2", "gate valve"): 0.2,
    ("EPANET 2.2", "swing check"): 2.5,
    ("EPANET 2.2", "entrance"): 0.5,
    ("EPANET 2.2", "exit"): 1.0,
    ("Munson flanged", "elbow 90"): 0.3,
    ("Munson flanged", "sweep 90"): 0.2,
    ("Munson threaded", "elbow 90"): 1.5,
    ("Munson threaded", "sweep 90"): 0.7,
    ("Munson threaded", "elbow 45"): 0.4,
    ("Munson flanged", "tee through"): 0.2,
    ("Munson threaded", "tee through"): 0.9,
    ("Munson flanged", "tee branch"): 1.0,
    ("Munson threaded", "tee branch"): 2.0,
    ("EPANET 2.2", "ball valve"): 0.05,
    ("Munson flanged", "elbow 45"): 0.2,
    ("Munson threaded", "gate valve"): 0.15,
    ("Munson threaded", "ball valve"): 0.05,
    ("Munson threaded", "swing check"): 2.0,
    ("Munson flanged", "entrance"): 0.5,
    ("Munson flanged", "exit"): 1.0,
    ("Munson threaded", "entrance"): 0.5,
    ("Munson threaded", "exit"): 1.0,
    ("Munson flanged", "ball valve"): 0.05,
    ("Munson flanged", "gate valve"): 0.15,
    ("Munson flanged", "swing check"): 2.0,
}


@pytest.mark.parametrize(("where", "k"), PRINTED.items())
def test_loss_coefficients_are_those_printed(where: tuple[str, str], k: float) -> None:
    assert loss(*where)[0] == k


def test_every_loss_table_has_every_fitting() -> None:
    names = {row["table"]: set() for row in table("trades/water/losses")}
    for row in table("trades/water/losses"):
        names[row["table"]].add(row["fitting"])
    assert len({frozenset(found) for found in names.values()}) == 1
    assert {(row["table"], row["fitting"]) for row in table("trades/water/losses")} == set(PRINTED)


def test_a_part_open_valve_takes_what_a_sharp_edged_plate_does() -> None:
    assert valve_k(1.0) == 0
    # A plate in a wide pipe: K on the pipe's velocity head tends to 1/(C a)².
    assert valve_k(0.01) == pytest.approx(1 / (0.6 * 0.01) ** 2, rel=0.02)
    # Against the library's ISO 5167 coefficient.
    from fluids.flow_meter import discharge_coefficient_to_K

    for share in (0.2, 0.5, 0.8):
        assert valve_k(share) == pytest.approx(discharge_coefficient_to_K(1.0, math.sqrt(share), 0.6), rel=1e-9)


@pytest.mark.parametrize(("celsius", "density", "viscosity"), IAPWS)
def test_water_is_that_of_iapws(celsius: float, density: float, viscosity: float) -> None:
    found = fluid(celsius)
    assert found.density == pytest.approx(density, rel=2e-4)
    assert found.viscosity == pytest.approx(viscosity * 1e-6, rel=0.007 if celsius == 0 else 0.003)


def test_roughness_and_c_of_plastic_are_those_printed() -> None:
    row = rows_by_name("trades/water/surfaces")["plastic"]
    assert float(row["roughness_m"]) == pytest.approx(
        0.005e-3 * factor("ft", LENGTH), rel=1e-9
    )  # EPANET 2.2, Table 3.2
    assert float(row["hazen_williams_c"]) == 150


# Utah State University lecture 11 and a course page: hp = gal/min x ft / 3956
@pytest.mark.parametrize(
    ("gpm", "feet", "hp", "within"), [(20, 20, 0.101, 0.01), (50, 40, 0.505, 0.01), (200, 100, 5.06, 0.002)]
)
def test_water_power_as_printed(gpm: float, feet: float, hp: float, within: float) -> None:
    watt = rel.water_power(1000, GRAVITY, gpm * GPM, feet * FOOT)
    assert watt / 745.7 == pytest.approx(hp, rel=within)


def test_wire_power() -> None:
    """Fair, Geyer and Okun, eqs 8.7 and 8.9, worked: 100 gal/min, 50 ft, pump 0.50, motor 0.80: 2.354 kW."""
    water = rel.water_power(1000, GRAVITY, 100 * GPM, 50 * FOOT)
    assert rel.electric_power(water, 0.5 * 0.8) == pytest.approx(2354, rel=0.003)


@given(st.floats(0.1, 10), st.floats(1, 3))
def test_a_rising_root_is_found(wanted: float, power: float) -> None:
    found = rising_root(lambda x: (x**power - wanted**power, power * x ** (power - 1)), 0.0, 20.0, 10.0)[0]
    assert found == pytest.approx(wanted, rel=1e-8)
