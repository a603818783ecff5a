"""Every caution of walls, just inside and just outside: heights from codes, safety by the
reference notes' block, widths by hand.
"""

from typing import Any

import pytest

from pondkit.trades.walls import cautions as rules
from pondkit.trades.walls.results import WallsResult
from tests.cautions import cases, edge, told
from tests.trades.walls.test_compute import BLOCK, wall, worked
from tests.trades.walls.test_stone_order import WALL, stone_of
from tests.trades.walls.test_stone_order import worked as ordered

SURE = {
    "friction_within": 0,
    "moist_within": 0,
    "saturated_within": 0,
    "porosity_within": 0,
    "joint_friction_within": 0,
}


def block(wide: float = 0.8, high: float = 1.2, **changes: Any) -> WallsResult:
    """The block of the reference notes: safety of 3.889 and 1.497, 37.2 kPa under its toe."""
    course = {"height": f"{high} m", "width": f"{wide} m", "set_back": "0 m"}
    return worked(**SURE | {"walls": wall(courses=[course])} | changes)


def test_safety_required_against_what_there_is() -> None:
    edge(rules.WALL_TIPS, lambda least: block(least_overturning=least), inside=3.88, outside=3.90)
    edge(rules.WALL_SLIDES, lambda least: block(least_sliding=least), inside=1.485, outside=1.505)
    edge(rules.WALL_UNSAFE, lambda least: block(least_sliding=least), inside=1.485, outside=1.505)
    edge(rules.WALL_PRESSES, lambda most: block(allowed=f"{most} kPa"), inside=37.5, outside=36.9)


def test_where_the_resultant_passes() -> None:
    """4.32 kN/m at 0.4 m tip it, 21 kN/m³ of plan weigh it down: off the middle by 1.728 / (21 B), a
    sixth of B at 0.703 m, half at 0.406 m.
    """
    edge(rules.WALL_JOINT_OPENS, block, inside=0.707, outside=0.698)
    (third,) = told(block(0.6))["wall_joint_opens"].terms
    assert third.value == pytest.approx(0.1)
    edge(rules.WALL_FALLS, block, inside=0.409, outside=0.402)
    assert len(block(0.409).toe_pressure) == 1 and block(0.402).toe_pressure == ()  # what falls presses on nothing


def test_a_wall_that_water_lifts() -> None:
    """1.2 m of water behind 1 m of base lift 0.6 m³ of water; the stones are 0.9 m³ with
    voids of a half: 1,333 kg/m³ balance.
    """
    courses = [{"height": "60 cm", "width": wide, "set_back": "0 m"} for wide in ("1 m", "50 cm")]

    def lifted(stone: float) -> WallsResult:
        soaked = wall(courses=courses, water="1.2 m")
        return worked(**SURE | {"walls": soaked, "porosity": 0.5, "stone": f"{stone} kg/m^3"})

    edge(rules.WALL_LIFTED, lifted, inside=1340, outside=1326)


def test_heights_at_which_codes_ask() -> None:
    """IRC R404.4: 24 in; IBC 105.2(4), IRC R105.2(3): 4 ft; with a surcharge or a slope no height is exempt."""
    edge(rules.WALL_DESIGN_ASKED, lambda high: block(high=high), inside=0.6095, outside=0.6097)
    edge(rules.WALL_PERMIT_ASKED, lambda high: block(high=high, footing="0 m"), inside=1.2191, outside=1.2193)
    # The 4 ft are measured from the bottom of the footing: 48 in less 6 in are 1.0668 m of stone.
    edge(rules.WALL_PERMIT_ASKED, lambda high: block(high=high, footing="15.24 cm"), inside=1.0667, outside=1.0669)

    def behind(**changes: Any) -> WallsResult:
        return worked(**SURE | {"walls": [BLOCK["walls"][0] | changes]})

    cases(rules.WALL_NOT_EXEMPT, without=behind(), with_it=behind(surcharge="0.1 kPa"))
    cases(rules.WALL_NOT_EXEMPT, without=behind(), with_it=behind(slope_deg=1))
    cases(rules.WALL_WITHOUT_LENGTH, without=behind(length="3 m"), with_it=behind())


def test_what_is_said_of_every_wall() -> None:
    found = block()
    cases(rules.WALL_OVERALL, without=found.wall_pressure_share, with_it=found.wall_height)
    cases(rules.WALL_BACKFILLED_FIRST, without=found.wall_height, with_it=found.walls_unsafe)
    steps = [{"height": "40 cm", "width": "90 cm", "set_back": "0 m"}] * 2
    pressures = {figure.subject: figure for figure in worked(walls=wall(courses=steps)).toe_pressure}
    cases(rules.WALL_GROUND, without=pressures["block / 2"], with_it=pressures["block / 1"])
    cases(
        rules.WALL_FRICTION_AND_ADHESION,
        without=block(adhesion="0 kPa").wall_sliding,
        with_it=block(adhesion="6.2 kPa").wall_sliding,
    )


def test_what_is_said_of_its_stone() -> None:
    plain = {key: value for key, value in WALL.items() if key != "points"}
    one, both = stone_of(ordered([WALL])), stone_of(ordered([WALL, plain | {"name": "other"}]))
    cases(rules.WALL_STONE_LACKS, without=one, with_it=both)
    cases(rules.WALL_STONE_FITS, without=one.wall_volume, with_it=one.wall_stone_order)
    named = stone_of(ordered([WALL], stone={"rock": "granite"}))
    cases(rules.WALL_ROCK_NOT_NAMED, without=named, with_it=one)
    assert told(one)["wall_rock_not_named"].rank == "check"
