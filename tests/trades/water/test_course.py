"""Weirs, oxygen and the course of the water against print and closed forms."""

import pytest

from pondkit.core.tables import rows_by_name
from pondkit.trades.pools.inputs import Link
from pondkit.trades.water.formulas import open_water
from pondkit.trades.water.levels import course_of, dead_ends, steady_state
from pondkit.trades.water.results import PoolWater

GPM, FOOT, INCH = 6.30902e-5, 0.3048, 0.0254
SHARP = float(rows_by_name("trades/pools/crests")["sharp"]["typical"])

# Hawkins, Pumps and Hydraulics part 2, weir table: inches of head, cubic feet a minute for each inch of width
HAWKINS = [
    (0.5, 0.14),
    (1, 0.40),
    (1.5, 0.73),
    (2, 1.13),
    (3, 2.07),
    (4, 3.20),
    (5, 4.47),
    (6, 5.87),
    (8, 9.05),
    (10, 12.64),
    (12, 16.62),
]


@pytest.mark.parametrize(("inches", "cfm"), HAWKINS)
def test_a_sharp_crest_passes_what_the_weir_table_prints(inches: float, cfm: float) -> None:
    flow = cfm * FOOT**3 / 60
    within = 0.02 if inches == 0.5 else 0.01
    assert open_water.crest_flow(inches * INCH, INCH, SHARP) == pytest.approx(flow, rel=within)
    assert open_water.head_over_crest(flow, INCH, SHARP, 0.0) == pytest.approx(inches * INCH, rel=within)


# Low heads by Francis in SI, 1.838 h^1.5: m, L/s for each metre
@pytest.mark.parametrize(("head", "litres"), [(0.02, 5.20), (0.03, 9.55), (0.05, 20.55), (0.10, 58.14)])
def test_a_sharp_crest_at_low_heads(head: float, litres: float) -> None:
    assert open_water.crest_flow(head, 1.0, SHARP) * 1000 == pytest.approx(litres, rel=1.5e-3)


def test_overflow_lips_of_a_downpour() -> None:
    """150 m² at 100 mm/h over 0.30 m: 38.5 mm over a sharp lip (1.84), by arithmetic on S61's weir formula."""
    assert open_water.head_over_crest(150 * 0.1 / 3600, 0.30, SHARP, 0.0) * 1000 == pytest.approx(38.5, rel=0.005)


# Oregon State College, Extension Circular 550, Table 1: feet of head, gal/min over crests
# of 1 and 2 ft with contracted ends
OREGON = [(0.10, 46, 95), (0.15, 86, 173), (0.20, 131, 265), (0.25, 182, 368), (0.30, 237, 482), (0.40, 362, 734)]


@pytest.mark.parametrize(("head", "one", "two"), OREGON)
def test_a_narrow_crest_with_contracted_ends_passes_what_is_printed(head: float, one: float, two: float) -> None:
    contracted = float(rows_by_name("trades/pools/crest_ends")["contracted"]["typical"])
    for width, gpm, within in ((1, one, 0.045), (2, two, 0.015)):
        assert open_water.crest_flow(head * FOOT, width * FOOT, SHARP, contracted) / GPM == pytest.approx(
            gpm, rel=within
        )
        assert open_water.head_over_crest(gpm * GPM, width * FOOT, SHARP, contracted) == pytest.approx(
            head * FOOT, rel=within
        )


def test_ends_are_those_printed_and_what_is_not_known_spans_both() -> None:
    ends = {
        name: tuple(float(row[side]) for side in ("low", "typical", "high"))
        for name, row in rows_by_name("trades/pools/crest_ends").items()
    }
    assert ends == {
        "contracted": (0.2, 0.2, 0.2),
        "run on": (0, 0, 0),
        "not known": (0, 0.1, 0.2),
        "one contracted": (0.1, 0.1, 0.1),
    }


def test_a_broad_crest_lies_between_the_coefficients_printed() -> None:
    row = rows_by_name("trades/pools/crests")["broad"]
    for side, cd in (("low", 0.85), ("high", 0.99)):
        assert float(row[side]) == pytest.approx(0.544 * cd, rel=1e-4)
    # The ideal broad crest, 3.087 in feet (San Diego State University), is the most that any can pass.
    assert float(row["high"]) * 32.174**0.5 < 3.087


# EN 25814 as a sensor manual prints it, and the formula's own column: °C, mg/L
@pytest.mark.parametrize(
    ("celsius", "table", "formula"),
    [
        (0, 14.6, 14.621),
        (5, 12.8, 12.771),
        (10, 11.3, 11.288),
        (15, 10.1, 10.084),
        (20, 9.09, 9.092),
        (25, 8.26, 8.263),
        (30, 7.56, 7.559),
    ],
)
def test_oxygen_saturation_at_sea_level(celsius: float, table: float, formula: float) -> None:
    found = open_water.oxygen_saturation(celsius, 0.0) * 1000
    assert found == pytest.approx(formula, abs=0.001)
    assert found == pytest.approx(table, abs=0.05 if table > 10 else 0.005)


# A DO-meter manual's altitude rows (0.1 mg/L)
@pytest.mark.parametrize(("celsius", "rows"), [(10, (11.3, 10.9, 10.5)), (20, (9.1, 8.8, 8.4)), (30, (7.6, 7.3, 7.0))])
def test_oxygen_saturation_at_altitude(celsius: float, rows: tuple[float, ...]) -> None:
    for metres, printed in zip((0, 300, 600), rows, strict=True):
        assert open_water.oxygen_saturation(celsius, metres) * 1000 == pytest.approx(printed, abs=0.06)


# WRL 1973 / Butts and Evans 1983 at 20 °C, by arithmetic on the formula seen
@pytest.mark.parametrize(
    ("a", "b", "drop", "ratio"),
    [(1.8, 0.8, 0.3, 1.3048), (1.8, 0.8, 0.5, 1.4964), (1.8, 1.05, 0.5, 1.6516), (1.8, 0.8, 1.0, 1.9351)],
)
def test_deficit_ratio_of_a_drop(a: float, b: float, drop: float, ratio: float) -> None:
    assert open_water.deficit_ratio(a, b, drop, 20.0) == pytest.approx(ratio, rel=1e-3)


@pytest.mark.parametrize(("drop", "below"), [(0.3, 5.608), (0.5, 6.054)])
def test_oxygen_below_a_drop_from_half_saturation(drop: float, below: float) -> None:
    found = open_water.oxygen_below(9.092e-3, 4.546e-3, open_water.deficit_ratio(1.8, 0.8, drop, 20.0), 1)
    assert found * 1000 == pytest.approx(below, rel=1e-3)


def test_four_small_drops_give_more_than_one_large_one() -> None:
    four, one = open_water.deficit_ratio(1.8, 0.8, 0.25, 20.0) ** 4, open_water.deficit_ratio(1.8, 0.8, 1.0, 20.0)
    assert (four, one) == (pytest.approx(2.484, rel=1e-3), pytest.approx(1.935, rel=1e-3))


def test_qualities_are_those_printed() -> None:
    assert {name: float(row["a"]) for name, row in rows_by_name("trades/water/qualities").items()} == {
        "clean": 1.8,
        "slightly polluted": 1.6,
        "moderately polluted": 1.0,
        "grossly polluted": 0.65,
    }


# --- the course of the water ---

BODIES = {
    "top": PoolWater("top", 1.0, 1.2, 4.0),
    "left": PoolWater("left", 0.6, 0.8, 3.0),
    "right": PoolWater("right", 0.5, 0.7, 3.0),
    "low": PoolWater("low", 0.0, 0.2, 20.0),
}


def link(a: str, b: str, width: float = 0.5, **more: object) -> Link:
    given = {"from": a, "to": b, "at": ["0 m", "0 m"], "crest_width": f"{width} m"} | more
    return Link.model_validate(given, by_alias=True, context={"units": "si"})


PLAIN = {"crest_ends": "run on"}
TREE = [link("top", "left", **PLAIN), link("top", "right", 1.0, **PLAIN), link("left", "low"), link("right", "low")]


def test_water_shares_itself_by_crest_width_and_all_of_it_comes_down() -> None:
    course, problems = course_of(TREE, BODIES, "low")
    assert course is not None
    assert problems == []
    state = steady_state(course, {"top": 6e-3})
    assert state.over_crests[1] == pytest.approx(2 * state.over_crests[0], rel=1e-9)
    assert sum(state.over_crests[:2]) == pytest.approx(6e-3, rel=1e-9)
    assert sum(state.over_crests[2:]) == pytest.approx(6e-3, rel=1e-9)
    assert state.through["low"] == pytest.approx(6e-3, rel=1e-9)
    head = state.levels["top"] - 1.0
    assert open_water.crest_flow(head, 1.5, course.crests[0].coefficient) == pytest.approx(6e-3, rel=1e-9)


def test_a_higher_crest_waits_until_the_water_reaches_it() -> None:
    course, _ = course_of(
        [link("top", "left"), link("top", "right", 1.0, crest_level="1.15 m"), *TREE[2:]], BODIES, "low"
    )
    assert course is not None
    little = steady_state(course, {"top": 1e-3})
    assert little.over_crests[1] == 0
    assert little.over_crests[0] == pytest.approx(1e-3, rel=1e-9)
    much = steady_state(course, {"top": 60e-3})
    assert much.over_crests[1] > 0
    assert sum(much.over_crests[:2]) == pytest.approx(60e-3, rel=1e-9)


def test_crests_too_narrow_for_the_flow_have_a_level_all_the_same() -> None:
    """Two crests of an inch at 0.5 m³/s: the head that passes half of it over one of them, by hand."""
    course, _ = course_of([link("top", name, 0.0254, **PLAIN) for name in ("left", "right")], BODIES, "low")
    assert course is not None
    state = steady_state(course, {"top": 0.5})
    c = course.crests[0].coefficient
    assert state.levels["top"] - 1.0 == pytest.approx((0.25 / (c * 9.80665**0.5 * 0.0254)) ** (2 / 3), rel=1e-9)
    assert state.levels["top"] - 1.0 > 3.0


def test_a_loop_of_links_is_named() -> None:
    level = {name: PoolWater(name, 0.5, 0.7, 3.0) for name in ("a", "b", "c")}
    course, (problem,) = course_of([link("a", "b"), link("b", "c"), link("c", "a")], level, "c")
    assert course is None
    assert problem.path[0] == "links"
    assert "loop" in problem.given.text


@pytest.mark.parametrize(("crest", "words"), [("0.9 m", "below the level"), ("1.3 m", "at or above the rim")])
def test_a_crest_out_of_its_pools_bank_is_named(crest: str, words: str) -> None:
    course, (problem,) = course_of([link("top", "low", crest_level=crest)], BODIES, "low")
    assert course is None
    assert problem.path == ("links", 0, "crest_level")
    assert words in problem.given.text


def test_a_pool_without_a_way_out_is_named() -> None:
    course, _ = course_of(TREE[:3], BODIES, "low")
    assert course is not None
    (problem,) = dead_ends(course, {"top": ("water", "branches", 0, "pool")})
    assert problem.path == ("links", 1, "to")
    assert "'right'" in problem.given.text
    (problem,) = dead_ends(course, {"right": ("water", "branches", 2, "pool")})
    assert problem.path == ("water", "branches", 2, "pool")


@pytest.mark.parametrize(("celsius", "vapour"), [(10, 1228), (20, 2339), (30, 4246)])
def test_oxygen_saturation_falls_with_the_pressure_of_the_air_without_its_vapour(celsius: float, vapour: float) -> None:
    """Henry's law: oxygen in proportion to the pressure of dry air. Vapour pressures of water [Pa] by the steam tables
    (values from memory); pressure of the standard atmosphere at 2,000 m, 79,495 Pa, ISO 2533 (from memory)."""
    ratio = open_water.oxygen_saturation(celsius, 2000.0) / open_water.oxygen_saturation(celsius, 0.0)
    assert ratio == pytest.approx((79495 - vapour) / (101325 - vapour), rel=1e-3)
