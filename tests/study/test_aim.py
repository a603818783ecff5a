"""Aims solve back to a millionth, by closed forms and by working the design out
anew; what cannot be reached is told.
"""

import math
from collections.abc import Callable

import pytest

from pondkit import Project
from pondkit.core.part import ask_of, get
from pondkit.core.refusal import Refused
from pondkit.core.units import KINDS, RATIO, Kind
from pondkit.core.units import read as read_quantity
from pondkit.project.files import load, put, save
from pondkit.report.aims import drive_rows, movable
from pondkit.study import aim as aiming
from pondkit.study.aim import AimResult, _changed_designs, _full_text, aim, drives, quantities, rounded, scales
from pondkit.study.evaluate import evaluate
from pondkit.trades.pools.inputs import Pool as PoolPart
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


@pytest.mark.parametrize(
    "outline",
    [
        {"shape": "ellipse", "length": "18 ft", "width": "12 ft"},
        {"shape": "rectangle", "length": "18 ft", "width": "12 ft", "corner_radius": "1 ft"},
        {"shape": "points", "points": [["0 ft", "0 ft"], ["14 ft", "0 ft"], ["12 ft", "9 ft"], ["1 ft", "10 ft"]]},
    ],
)
def test_four_times_the_area_is_twice_the_outline(outline: dict[str, object]) -> None:
    project = read(options=[option(pools=[pool(outline=outline)])])
    before = anew(project, "surface_area", "pool")
    result = aim(project, 0, "surface_area", "pool", 4 * before, POOL)
    assert result.moved == pytest.approx(2, rel=1e-5)
    assert anew(result.project, "surface_area", "pool") == pytest.approx(4 * before, rel=1e-6)
    assert get(result.project, (*POOL, "tiers")) == get(project, (*POOL, "tiers"))


@pytest.mark.parametrize(
    ("key", "subject", "target", "path"),
    [
        ("total_net_volume", "", 2500 * GAL, POOL),
        ("total_net_volume", "", 1500 * GAL, (*POOL, "tiers", 1, "depth")),
        ("zone_area", "pool / deep", 40 * FT**2, (*POOL, "tiers", 0, "shelf")),
        ("total_price", "", 600.0, POOL),
        ("liner_width", "main", 20 * FT, POOL),
    ],
)
def test_an_aim_solves_back_to_a_millionth(key: str, subject: str, target: float, path: tuple[str | int, ...]) -> None:
    """Gallons, the area of one zone, a budget, and the widest liner in stock."""
    lining = {"liners": [{"name": "main", "covers": ["pool"]}]}
    project = read(options=[option(rates={"dig": "45 per yd^3"}, lining=lining)])
    result = aim(project, 0, key, subject, target, path)
    assert result.missed is None
    sure = 1e-3 if key == "total_price" else 1e-6  # a price goes by cents of quantities as they are printed
    assert anew(result.project, key, subject) == pytest.approx(target, rel=sure)


def test_a_solved_size_is_rounded_to_what_can_be_built_and_never_past_the_target() -> None:
    """A circle of 100 ft² is 11.284 ft across, by πd²/4; one of 11 ft 3 in has 99.40 ft², one of 11 ft 4 in 100.88."""
    project = read(options=[ROUND])
    target = 100 * FT**2
    solved = aim(project, 0, "surface_area", "pool", target, DIAMETER)
    built = rounded(project, 0, ("surface_area", "pool"), target, DIAMETER, solved, "us")
    assert built.project is not None
    assert get(built.project, DIAMETER).text == "11 ft 3 in"
    assert built.figure == pytest.approx(math.pi * (11.25 * FT) ** 2 / 4, rel=1e-4)
    si = rounded(project, 0, ("surface_area", "pool"), target, DIAMETER, solved, "si")
    assert si.project is not None
    millimetres = get(si.project, DIAMETER) * 1000
    assert millimetres == pytest.approx(round(millimetres), abs=1e-6)
    assert 0.99 * target <= si.figure <= target


def test_of_several_ways_the_nearest_is_taken_and_a_target_that_holds_moves_nothing() -> None:
    project = read(options=[ROUND])
    area = anew(project, "surface_area", "pool")
    assert aim(project, 0, "surface_area", "pool", area, DIAMETER).moved == pytest.approx(12 * FT, rel=1e-9)


class Plain:
    """A figure that is nothing but a number."""

    kind = RATIO

    def __init__(self, value: float) -> None:
        self.value = value


def solved(monkeypatch: pytest.MonkeyPatch, figure: Callable[[float], float], now: float, target: float) -> AimResult:
    """An aim at a function of one input from 0 to 10."""
    monkeypatch.setattr(aiming, "_range", lambda project, path: (now, 0.0, 10.0, RATIO))
    monkeypatch.setattr(aiming, "_with_value", lambda project, path, value, now, kind: value)
    monkeypatch.setattr(aiming, "_figure", lambda value, option, key, subject: Plain(figure(value)))
    return aim(read(), 0, "", "", target, ("x",))


@pytest.mark.parametrize(("now", "nearest"), [(4.7, 4.9), (4.98, 4.9), (5.02, 5.1), (5.6, 5.1)])
def test_of_a_solution_on_either_side_the_nearer_is_taken(
    monkeypatch: pytest.MonkeyPatch, now: float, nearest: float
) -> None:
    """(x - 5)² is 0.01 at 4.9 and at 5.1."""
    assert solved(monkeypatch, lambda x: (x - 5) ** 2, now, 0.01).moved == pytest.approx(nearest, rel=1e-6)


def test_a_solution_is_taken_that_is_nearer_on_the_side_looked_at_last(monkeypatch: pytest.MonkeyPatch) -> None:
    """By hand: from 5.0 down, the figure is 1 at 4.70, and up, at 5.05; both next to the present value."""
    result = solved(monkeypatch, lambda x: (5.0 - x) / 0.3 if x < 5 else (x - 5.0) / 0.05, 5.0, 1.0)
    assert result.moved == pytest.approx(5.05, rel=1e-6)


@pytest.mark.parametrize("sign", [1, -1])
def test_a_figure_that_turns_between_the_values_tried_reaches_its_peak(
    monkeypatch: pytest.MonkeyPatch, sign: int
) -> None:
    """-(x - 3.3)² comes to -0.0001 at 3.29 and 3.31, and never above 0; and so upside down."""
    result = solved(monkeypatch, lambda x: -sign * (x - 3.3) ** 2, 9.0, -sign * 1e-4)
    assert result.moved == pytest.approx(3.31, rel=1e-6)
    missed = solved(monkeypatch, lambda x: -sign * (x - 3.3) ** 2, 9.0, sign * 1e-4).missed
    assert missed is not None and missed.why == "range"
    assert (missed.most if sign > 0 else missed.least) == pytest.approx(0.0, abs=1e-6)


def test_a_target_out_of_reach_is_told_with_what_is_reached() -> None:
    result = aim(read(), 0, "total_gross_volume", "", 9e6 * GAL, (*POOL, "tiers", 1, "depth"))
    assert result.project is None
    assert (result.missed.why, result.missed.high) == ("range", pytest.approx(12 * FT))
    assert result.missed.least < result.missed.most < 9e6 * GAL


def test_a_figure_in_whole_steps_is_told_where_it_jumps() -> None:
    """Edging stones round a pool, of which there are only whole ones."""
    edging = [{"pool": "pool", "base_level": "-4 in", "along": "10 in", "across": "6 in", "height": "4 in"}]
    result = aim(read(options=[option(stone={"edging": edging})]), 0, "edging_count", "pool / outside", 40.5, POOL)
    assert result.project is None
    assert result.missed.why == "jump"


def test_a_figure_that_is_not_there_is_told() -> None:
    result = aim(read(), 0, "liner_width", "main", 1.0, POOL)
    assert result.missed.why == "none"


def test_a_target_where_the_option_cannot_be_worked_out_is_told_as_that() -> None:
    """The turtles' water door lies in the ground while the pool is 0.65 to 0.83 times
    as large; 2,500 gal fall in between.
    """
    project = demo("turtle_yard")
    for trade in ("lining", "stone", "lifting", "walls", "water", "animals", "dig", "earth"):  # what costs time alone
        project = put(project, ("options", 0, trade), None)
    result = aim(project, 0, "total_net_volume", "", 2500 * GAL, POOL)
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


@pytest.mark.parametrize("kind", [kind for kind in KINDS if not kind.plain], ids=lambda kind: kind.name)
def test_a_quantity_that_is_moved_is_read_back_whole(kind: Kind) -> None:
    for value in (1.0, 0.1 + 0.2, 1234.5678901234567, 3e-7):
        assert float(read_quantity(_full_text(value, kind), kind, "si")) == pytest.approx(value, rel=1e-12)


WATERY = {
    "pools": [pool("upper", level="2 ft", at=["30 ft", "0 ft"]), pool("lower")],
    "links": [{"from": "upper", "to": "lower", "at": ["15 ft", "0 ft"]}],
    "water": {
        "temperature": "64 °F",
        "filter": {"to": "upper", "level": "4 ft", "media_area": "6 ft^2"},
        "load": {"feed": "0.1 lb/day", "ph": 7.5},
        "pumps": [
            {
                "name": "one",
                "power": "150 W",
                "curve": [{"flow": "0 L/min", "head": "18 ft"}, {"flow": "170 L/min", "head": "5 ft"}],
            }
        ],
        "branches": [{"name": "filter", "to": "filter", "length": "8 ft"}],
    },
}


def test_an_aim_moves_a_temperature() -> None:
    """Back to the temperature at which the figure was worked out before."""
    project = read(options=[option(**WATERY)])
    path = ("options", 0, "water", "temperature")
    warm = put(project, path, "75 °F")
    key, subject = (
        "free_ammonia",
        next(e.subject for k, e in evaluate(warm).options[0].entries() if k == "free_ammonia"),
    )
    result = aim(project, 0, key, subject, anew(warm, key, subject), path)
    assert result.missed is None
    assert anew(result.project, key, subject) == pytest.approx(anew(warm, key, subject), rel=1e-5)


def test_temperature_and_ph_drive_ammonia_by_their_stated_steps() -> None:
    """Each change by working the design out anew, with the temperature 1 °C and the pH 0.2 higher."""
    project = read(options=[option(**WATERY)])
    key, subject = (
        "free_ammonia",
        next(e.subject for k, e in evaluate(project).options[0].entries() if k == "free_ammonia"),
    )
    found = {drive.path[2:]: drive for drive in drives(project, 0, key, subject, 0.1)}
    before = anew(project, key, subject)
    for path, text in ((("water", "temperature"), "65.8 °F"), (("water", "load", "ph"), 7.7)):
        after = anew(put(project, ("options", 0, *path), text), key, subject)
        assert found[path].change == pytest.approx(after - before, rel=1e-6)
        assert found[path].stated


def test_drivers_do_not_depend_on_the_datum() -> None:
    """All levels 3 m higher: the same inputs drive the same figure by as much."""
    tiers = [{"zone": "deep", "depth": "30 in", "batter": 0.5}]

    def project(up: float) -> Project:
        ground = {"kind": "level", "level": f"{up} m"}
        return read(site={"ground": ground}, options=[option(pools=[pool(level=f"{up - 0.1} m", tiers=tiers)])])

    low, high = (
        {drive.path: drive.change for drive in drives(project(up), 0, "dig_volume", "", 0.1)} for up in (0.0, 3.0)
    )
    assert ("options", 0, "pools", 0, "level") in low
    assert low == {path: pytest.approx(change, rel=1e-6) for path, change in high.items()}


def test_an_input_at_nothing_is_moved_by_its_own_step() -> None:
    """A bank that stands upright: a batter of 0 is moved by its slider's step."""
    ground = {"kind": "level", "level": "2 ft"}
    project = read(site={"ground": ground}, options=[option(pools=[pool(bank_batter=0, freeboard="6 in")])])
    found = {drive.path[-1]: drive for drive in drives(project, 0, "dig_volume", "", 0.1)}
    drive = found["bank_batter"]
    assert drive.value == 0
    step = ask_of(PoolPart, "bank_batter").step[0]
    assert drive.step == pytest.approx(step)
    after = anew(put(project, drive.path, step), "dig_volume")
    assert drive.change == pytest.approx(after - anew(project, "dig_volume"), rel=1e-6)


def test_a_driver_at_its_bound_goes_the_other_way_and_is_told_by_its_sign() -> None:
    """A pool as deep as is allowed, 12 ft: a tenth less depth holds less, so a tenth more would hold as much more."""
    tiers = [{"zone": "deep", "depth": "12 ft", "batter": 0}]
    project = read(options=[option(pools=[pool(outline={"shape": "circle", "diameter": "12 ft"}, tiers=tiers)])])
    found = {drive.path[-1]: drive for drive in drives(project, 0, "total_gross_volume", "", 0.1)}
    area = math.pi * (6 * FT) ** 2  # a cylinder with upright sides
    assert found["depth"].change == pytest.approx(area * 1.2 * FT, rel=1e-4)
    assert found["depth"].step == pytest.approx(1.2 * FT)


def test_where_bounds_leave_no_room_either_way_the_step_is_what_they_leave() -> None:
    """Depths from 1 in to 12 ft: of 6 ft by 0.99 of itself either way, up to 11.94; by more
    than there is, to the farther bound.
    """
    tiers = [{"zone": "deep", "depth": "11 ft", "batter": 0}]
    project = read(options=[option(pools=[pool(outline={"shape": "circle", "diameter": "12 ft"}, tiers=tiers)])])
    found = {drive.path[-1]: drive for drive in drives(project, 0, "total_gross_volume", "", 0.999)}
    assert abs(found["depth"].step) == pytest.approx(11 * FT - 0.0254)
    area = math.pi * (6 * FT) ** 2
    assert abs(found["depth"].change) == pytest.approx(area * (11 * FT - 0.0254), rel=1e-4)


def test_only_a_pool_s_own_path_scales_its_outline() -> None:
    lining = {"liners": [{"name": "main", "covers": ["pool"]}], "edge": "12 in"}
    project = read(options=[option(lining=lining)])
    rows = {row.path[2:]: row.what for row in drive_rows(project, 0, "liner_width", "main", 0.1, "us")}
    assert rows[("pools", 0)].endswith("outline scaled")
    assert not rows[("lining", "edge")].endswith("outline scaled")
    assert ("lining", "edge") in {path[2:] for path in movable(project, 0)}


def test_every_input_of_the_full_design_can_be_moved() -> None:
    """Written, read and put back: none is refused for how it is written."""
    project = full_project()
    for path, value, kind in quantities(project, 0):
        for _, changed in _changed_designs(project, path, value, kind, 0.0):
            assert scales(path) or float(get(changed, path)) == pytest.approx(value, rel=1e-12, abs=1e-12)
