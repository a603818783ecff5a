"""Machines and booms held against what is kept clear: distances and areas by hand."""

import math
from typing import Any

import pytest

from pondkit.geometry.footprint import body_footprint, swept_footprint
from pondkit.report.plan import alt_site_plan, site_plan
from pondkit.study.evaluate import OptionResult, evaluate
from tests.designs import option, pool, read
from tests.report.pictures import as_json, named
from tests.trades.tunnels.sketch import cautions, figures

FT = 0.3048
CHART = [
    {"radius": f"{out} ft", "height": f"{high} ft", "front": "30000 lb", "side": "25000 lb"}
    for out in (2, 60)
    for high in (-10, 30)
]
SEAT = {"name": "seat", "axes": ["40 in", "30 in", "20 in"], "axes_within": 0}
LINE = {"name": "line", "kind": "overhead service", "clearance": "10 ft"}


def worked(keep_outs: list[dict[str, Any]], stone: dict[str, Any] | None = None) -> OptionResult:
    """A machine at (-30, 0) ft with its stones 10 ft south of it, and a seat set 20 ft east of it."""
    placed = SEAT | {"places": [["-10 ft", "0 ft"]]} | (stone or {})
    lifting = {
        "size": "5 ft",
        "positions": [{"name": "west", "at": ["-30 ft", "0 ft"], "pick_up": ["-30 ft", "-10 ft"]}],
        "chart": CHART,
    }
    one = option(pools=[pool(at=["40 ft", "40 ft"])], stone={"boulders": [placed]}, lifting=lifting)
    return evaluate(read(site={"keep_outs": keep_outs}, options=[one])).options[0]


def test_a_quarter_swing_sweeps_a_quarter_of_the_circle() -> None:
    swept = swept_footprint("boom", (1.0, 2.0), (((1.0, -1.0), (5.0, 2.0), 6.0),)).area
    assert swept.area == pytest.approx(math.pi * 36 / 4, rel=2e-3)
    assert swept.area >= math.pi * 36 / 4  # nothing that is swept is left out
    assert swept.bounds == pytest.approx((1.0, -4.0, 7.0, 2.0), abs=0.02)


def test_the_shorter_way_round_is_swept_and_several_swings_once() -> None:
    west = ((-1.0, 0.2), (-1.0, -0.2), 2.0)
    swept = swept_footprint("boom", (0.0, 0.0), (west, west)).area
    assert swept.area == pytest.approx(2.0**2 * math.atan2(0.2, 1.0), rel=2e-3)
    assert swept.bounds[2] == pytest.approx(0.0, abs=1e-9)


def test_a_machine_is_as_wide_as_its_furthest_corner_all_round() -> None:
    assert body_footprint("m", (3.0, 4.0), 2.0).area.bounds == pytest.approx((1.0, 2.0, 5.0, 6.0))


def test_distances_of_body_and_boom_to_an_overhead_line_by_hand() -> None:
    """The line runs north to south, 12 ft west of the machine: 7 ft from its tracks, and 12 ft from the boom's foot."""
    result = worked([LINE | {"points": [["-42 ft", "-90 ft"], ["-42 ft", "90 ft"]]}])
    far = figures(result, "keep_out_distance")
    assert far["machine at west / line"].value == pytest.approx(7 * FT, abs=1e-3)
    assert "Nearer" in cautions(far["machine at west / line"])
    assert far["boom at west / line"].value == pytest.approx(12 * FT, abs=1e-3)
    assert not far["boom at west / line"].cautions
    entered = figures(result, "keep_outs_entered")[""]
    assert entered.value == 1
    assert "machine at west / line" in cautions(entered)


def test_the_stone_itself_hangs_half_its_length_beyond_the_radius() -> None:
    """The seat is set 20 ft out, and 40 in long: it sweeps to 21.67 ft."""
    result = worked([LINE | {"points": [["0 ft", "-90 ft"], ["0 ft", "90 ft"]]}])
    boom = figures(result, "keep_out_distance")["boom at west / line"]
    assert boom.value == pytest.approx((30 - 20 - 20 / 12) * FT, abs=0.02)
    assert boom.value <= (30 - 20 - 20 / 12) * FT + 1e-6
    assert "no machine, boom or load" in cautions(boom)


def test_what_the_boom_swings_over_is_named_and_what_lies_in_the_ground_is_not() -> None:
    things = [
        {"name": "shed", "kind": "building", "points": [["-24 ft", "-8 ft"], ["-20 ft", "-8 ft"], ["-20 ft", "-4 ft"]]},
        {"name": "main", "kind": "buried service", "points": [["-24 ft", "-8 ft"], ["-20 ft", "-4 ft"]]},
    ]
    far = figures(worked(things), "keep_out_distance")
    assert far["boom at west / shed"].value == 0
    assert "Boom or load swings at a building" in cautions(far["boom at west / shed"])
    assert "boom at west / main" not in far
    assert far["machine at west / main"].value > 0


def test_beyond_a_boundary_the_distance_is_negative() -> None:
    yard = {
        "name": "yard",
        "kind": "boundary",
        "points": [["-33 ft", "-90 ft"], ["90 ft", "-90 ft"], ["90 ft", "90 ft"], ["-33 ft", "90 ft"]],
    }
    far = figures(worked([yard]), "keep_out_distance")
    assert far["machine at west / yard"].value == pytest.approx(-2 * FT, abs=0.01)
    assert far["boom at west / yard"].value > 0


def test_a_position_that_lifts_nothing_has_a_body_and_no_boom() -> None:
    far = figures(worked([LINE | {"points": [["0 ft", "0 ft"]]}], {"places": []}), "keep_out_distance")
    assert "machine at west / line" in far
    assert "boom at west / line" not in far


def test_the_site_plan_shows_what_machines_take_up_and_sweep() -> None:
    result = worked([LINE | {"points": [["-42 ft", "-90 ft"], ["-42 ft", "90 ft"]]}])
    figure = site_plan(result, "us")
    assert figure is not None
    as_json(figure)
    drawn = named(figure, "machines and booms")
    assert min(x for x in drawn["x"] if x is not None) == pytest.approx(-35, abs=0.1)
    assert max(x for x in drawn["x"] if x is not None) == pytest.approx(-30 + 20 + 20 / 12, abs=0.1)
    assert "machine at west" in alt_site_plan(result, "us")
