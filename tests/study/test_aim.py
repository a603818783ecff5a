"""Aims solve back to a millionth, by closed forms and by working the design out anew; what cannot be reached is told."""

import math

import pytest

from pondkit.core.part import get
from pondkit.core.refusal import Refused
from pondkit.project.files import load, save
from pondkit.study.aim import aim, drives
from pondkit.study.evaluate import evaluate
from tests.designs import demo, full_project, option, pool, read

FT, GAL = 0.3048, 3.785411784e-3  # m, and m³ of a US gallon: exact by definition
DIAMETER = ("options", 0, "pools", 0, "outline", "diameter")
POOL = ("options", 0, "pools", 0)
ROUND = option(pools=[pool(outline={"shape": "circle", "diameter": "12 ft"})])


def anew(project, key, subject=""):
    """A figure of a design saved, loaded and worked out without memory."""
    found = evaluate(load(save(project).encode())).options[0].entries()
    return next(entry.value for name, entry in found if (name, entry.subject) == (key, subject))


def test_a_circle_of_100_square_feet_has_the_diameter_of_the_closed_form() -> None:
    result = aim(read(options=[ROUND]), 0, "surface_area", "pool", 100 * FT**2, DIAMETER)
    assert result.missed is None
    assert result.moved == pytest.approx(2 * math.sqrt(100 / math.pi) * FT, rel=1e-6)
    assert get(result.project, DIAMETER) == pytest.approx(result.moved, rel=1e-12)


@pytest.mark.parametrize("outline", [
    {"shape": "ellipse", "length": "18 ft", "width": "12 ft"},
    {"shape": "rectangle", "length": "18 ft", "width": "12 ft", "corner_radius": "1 ft"},
    {"shape": "points", "points": [["0 ft", "0 ft"], ["14 ft", "0 ft"], ["12 ft", "9 ft"], ["1 ft", "10 ft"]]},
])  # fmt: skip
def test_four_times_the_area_is_twice_the_outline(outline: dict[str, object]) -> None:
    project = read(options=[option(pools=[pool(outline=outline)])])
    before = anew(project, "surface_area", "pool")
    result = aim(project, 0, "surface_area", "pool", 4 * before, POOL)
    assert result.moved == pytest.approx(2, rel=1e-5)
    assert anew(result.project, "surface_area", "pool") == pytest.approx(4 * before, rel=1e-6)
    assert get(result.project, (*POOL, "tiers")) == get(project, (*POOL, "tiers"))


@pytest.mark.parametrize(("key", "subject", "target", "path"), [
    ("total_net_volume", "", 2500 * GAL, POOL),
    ("total_net_volume", "", 1500 * GAL, (*POOL, "tiers", 1, "depth")),
    ("zone_area", "pool / deep", 40 * FT**2, (*POOL, "tiers", 0, "shelf")),
    ("total_price", "", 600.0, POOL),
    ("liner_width", "main", 20 * FT, POOL),
])  # fmt: skip
def test_an_aim_solves_back_to_a_millionth(key: str, subject: str, target: float, path: tuple[str | int, ...]) -> None:
    """Gallons, the area of one zone, a budget, and the widest liner in stock."""
    lining = {"liners": [{"name": "main", "covers": ["pool"]}]}
    project = read(options=[option(rates={"dig": "45 per yd^3"}, lining=lining)])
    result = aim(project, 0, key, subject, target, path)
    assert result.missed is None
    assert anew(result.project, key, subject) == pytest.approx(target, rel=1e-6)


def test_of_several_ways_the_nearest_is_taken_and_a_target_that_holds_moves_nothing() -> None:
    project = read(options=[ROUND])
    area = anew(project, "surface_area", "pool")
    assert aim(project, 0, "surface_area", "pool", area, DIAMETER).moved == pytest.approx(12 * FT, rel=1e-9)


def test_a_target_out_of_reach_is_told_with_what_is_reached() -> None:
    result = aim(read(), 0, "total_gross_volume", "", 9e6 * GAL, (*POOL, "tiers", 1, "depth"))
    assert result.project is None
    assert (result.missed.why, result.missed.high) == ("range", pytest.approx(12 * FT))
    assert result.missed.least < result.missed.most < 9e6 * GAL


def test_a_figure_in_whole_steps_is_told_where_it_jumps() -> None:
    lining = {"liners": [{"name": "main", "covers": ["pool"]}], "sale_unit": "1 ft"}
    result = aim(read(options=[option(lining=lining)]), 0, "liner_width_order", "main", 20.5 * FT, POOL)
    assert result.project is None
    assert result.missed.why == "jump"


def test_a_figure_that_is_not_there_is_told() -> None:
    result = aim(read(), 0, "liner_width", "main", 1.0, POOL)
    assert result.missed.why == "none"


def test_a_target_where_the_option_cannot_be_worked_out_is_told_as_that() -> None:
    """The turtles' water door lies in the ground while the pool is 0.65 to 0.83 times as large; 2,500 gal fall in between."""
    result = aim(demo("turtle_yard"), 0, "total_net_volume", "", 2500 * GAL, POOL)
    assert result.project is None
    assert result.missed.why == "gap"
    assert result.missed.least < 2500 * GAL < result.missed.most


@pytest.mark.parametrize(
    "path", [("options", 0, "pools", 7), (*POOL, "dept"), (*POOL, "name"), ("options", 0), (*POOL, "at", 0)]
)
def test_what_is_no_single_quantity_cannot_be_moved(path: tuple[str | int, ...]) -> None:
    with pytest.raises(Refused):
        aim(read(), 0, "total_gross_volume", "", 1.0, path)


def test_a_tenth_more_diameter_is_21_percent_more_area_and_drives_it_most() -> None:
    project = read(options=[ROUND])
    found = drives(project, 0, "surface_area", "pool", 0.1)
    assert {drive.path for drive in found} == {DIAMETER, POOL}  # the pool's own path scales its outline
    area = anew(project, "surface_area", "pool")
    assert [drive.change for drive in found] == [pytest.approx(0.21 * area, rel=1e-6)] * 2


def test_drives_are_ranked_and_each_is_what_the_change_does() -> None:
    found = drives(full_project(), 0, "total_net_volume", "", 0.05)
    assert len(found) > 5
    sizes = [abs(drive.change) for drive in found]
    assert sizes == sorted(sizes, reverse=True)
    assert not any("rates" in drive.path for drive in found)


def test_an_aim_at_a_demo_leaves_the_demo_as_it_was() -> None:
    project = demo("turtle_yard")
    before = save(project)
    first = project.options[0].pools[0].name
    assert aim(project, 0, "gross_volume", first, 4000 * GAL, POOL).missed is None
    assert save(project) == before
