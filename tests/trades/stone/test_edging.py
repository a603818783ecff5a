"""Edging: count, mass and what it takes of the water, against closed forms and the arithmetic of voids."""

import json
from typing import Any

import pytest

from pondkit import load
from pondkit.core.entry import Range
from pondkit.core.result import Trouble
from pondkit.core.tables import rows_by_name
from pondkit.core.units import Typed
from pondkit.geometry.footprint import strip
from pondkit.geometry.outline import Placed, shape_of
from pondkit.geometry.shapes import Circle, Rectangle
from pondkit.study.evaluate import evaluate
from pondkit.trades.pools.inputs import Pool
from pondkit.trades.stone import formulas as rel
from pondkit.trades.stone.boulders import StonePool, stone_pool
from pondkit.trades.stone.compute import edging_seat, inside_row_faults, inward_width, row_figures, row_fits
from pondkit.trades.stone.inputs import Edging
from pondkit.trades.stone.inputs import table_range as span
from pondkit.trades.stone.new_parts import boulder_half, new_edgings
from pondkit.trades.stone.results import EdgingRow
from tests.designs import option, pool, read, small

POUND, FOOT, YARD = 0.45359237, 0.3048, 0.9144  # exact, NIST SP 811
GRANITE = span(rows_by_name("trades/stone/rocks")["granite"], "low_kg_m3", "typical_kg_m3", "high_kg_m3")
HERE = Placed(0.0, 0.0, 0.0)


def drawn(**changes: Any) -> Edging:
    data = {"pool": "p", "base_level": "-0.3 m", "along": "0.5 m", "across": "0.4 m", "height": "0.5 m"} | changes
    return Edging.model_validate_json(json.dumps(data), context={"units": "si"})


def pooled(**changes: Any) -> Pool:
    tiers = [{"zone": "shelf", "depth": "0.4 m", "shelf": "0.6 m", "batter": 0.5}, {"zone": "deep", "depth": "1 m"}]
    data = {"name": "p", "level": "0 m", "freeboard": "0.1 m", "tiers": tiers} | changes
    return Pool.model_validate_json(json.dumps(data), context={"units": "si"})


def by(pool: Pool, outline: Circle | Rectangle | None = None) -> StonePool:
    return stone_pool(pool, shape_of(outline or Rectangle(length="10 m", width="5 m")), HERE)  # type: ignore[arg-type]


def laid(porosity: float = 0.35, outline: Circle | Rectangle | None = None, **changes: Any) -> EdgingRow:
    edging, at = drawn(**changes), by(pooled(), outline)
    return row_figures(
        edging,
        strip(at.shape, HERE, inward_width(edging)),
        at,
        Range(porosity, porosity, porosity, "as entered"),
        GRANITE,
    )


# Bulk density = density x (1 - porosity), worked by hand from that definition at 2,650 kg/m³
@pytest.mark.parametrize(("porosity", "bulk"), [(0.30, 1855.0), (0.35, 1722.5), (0.40, 1590.0)])
def test_bulk_density_by_porosity(porosity: float, bulk: float) -> None:
    assert rel.edging_mass(1, 1.0, 1.0, 1.0, porosity, 2650.0) == pytest.approx(bulk)


def test_165_pcf_at_a_porosity_of_035_is_1_448_short_tons_a_cubic_yard() -> None:
    yard = rel.edging_mass(1, YARD, YARD, YARD, 0.35, 165 * POUND / FOOT**3)
    assert yard / (2000 * POUND) == pytest.approx(1.448, abs=5e-4)
    assert yard / YARD**3 * FOOT**3 / POUND == pytest.approx(107.25)


def test_count_round_a_rectangle_is_its_middle_line_over_a_stone() -> None:
    # inside a 10 x 5 m rectangle, half of 0.4 m in: 2 (9.6 + 4.6) = 28.4 m, stones of 0.5 m: 56.8, so 57
    assert laid(seat="inside").count.value == 57
    # outside, corners round: 30 + 2 pi 0.2 = 31.257 m: 62.5, so 63
    assert laid().count.value == 63


@pytest.mark.parametrize(("length", "count"), [("10.4 m", 20), ("10.401 m", 21), ("10.399 m", 20)])
def test_a_row_that_comes_out_even_has_no_stone_more(length: str, count: int) -> None:
    # middle line 2 (10.4 - 0.4 + 5 - 0.4) = 29.2 m: twenty stones of 1.46 m to a hair
    assert laid(seat="inside", along="1.46 m", outline=Rectangle(length=length, width="5 m")).count.value == count  # type: ignore[arg-type]


def test_mass_is_bulk_of_all_its_stones_less_the_voids() -> None:
    mass = laid(porosity=0.4).mass
    assert mass.value == pytest.approx(63 * 0.5 * 0.4 * 0.5 * 0.6 * 2650)
    assert (mass.low, mass.high) == (pytest.approx(mass.value * 2600 / 2650), pytest.approx(mass.value * 2700 / 2650))
    assert laid(porosity=0.0).mass.value == pytest.approx(mass.value / 0.6)


@pytest.mark.parametrize(
    ("base", "wet"),
    [("-0.4 m", 0.4), ("-0.3 m", 0.3), ("0 m", 0.0), ("0.1 m", 0.0)],
)
def test_a_row_inside_displaces_its_height_under_the_level_less_its_voids(base: str, wet: float) -> None:
    figure = laid(seat="inside", base_level=base).displaced
    assert figure is not None
    # strip inside 10 x 5 m: 30 x 0.4 - 4 x 0.4² = 11.36 m²
    assert figure.value == pytest.approx(11.36 * wet * 0.65)


def test_a_row_wholly_under_water_displaces_no_more_than_itself_and_takes_no_surface() -> None:
    low = laid(seat="inside", base_level="-0.4 m", height="0.2 m")
    assert low.displaced is not None
    assert low.displaced.value == pytest.approx(11.36 * 0.2 * 0.65)
    assert low.cover is None
    flush = laid(seat="inside", base_level="-0.4 m", height="0.4 m")
    assert flush.cover is None


def test_a_row_that_breaks_the_surface_takes_its_strip_of_it() -> None:
    figure = laid(seat="inside").cover
    assert figure is not None
    assert figure.value == pytest.approx(11.36)


def test_a_row_outside_has_a_seat_and_takes_no_water() -> None:
    figure = laid()
    assert figure.displaced is None
    assert figure.cover is None
    assert figure.seat_width is not None
    assert figure.seat_level is not None
    assert (figure.seat_width.value, figure.seat_level.value) == (0.4, -0.3)
    assert figure.count.subject == "p / outside"
    assert laid(seat="inside").seat_width is None


def test_the_voids_of_a_row_from_memory_give_it_a_range() -> None:
    """0.35 within 15 %: 0.2975 to 0.4025, so the rock is 8 % more or less, as fitted (0.25 to 0.35)
    and dumped (0.35 to 0.45) stone lie.
    """
    drawn = {"boulders": [], "edging": [{"pool": "pool", "base_level": "-6 in"}]}
    result = evaluate(load(json.dumps(small(options=[option(stone=drawn)])).encode())).options[0]
    assert result.stone is not None
    (mass,) = result.stone.edging_mass
    assert mass.least / mass.value == pytest.approx((1 - 0.4025) / 0.65 * 2600 / 2650)
    assert mass.most / mass.value == pytest.approx((1 - 0.2975) / 0.65 * 2700 / 2650)


def test_a_row_that_does_not_lie_on_the_first_tier_says_so() -> None:
    over = laid(seat="inside", across="0.9 m", base_level="-0.4 m").displaced
    assert over is not None
    assert "stands over the next face" in over.cautions[0].text
    # face 0.5 x 0.4 m and shelf 0.6 m
    assert over.cautions[0].terms[0].value == pytest.approx(0.8)
    high = laid(seat="inside").displaced
    assert high is not None
    assert "above the floor of the first tier" in high.cautions[0].text
    assert high.cautions[0].terms[0].value == pytest.approx(0.1)
    well = laid(seat="inside", base_level="-0.4 m").displaced
    assert well is not None
    assert not well.cautions


# ---------------------------------------------------------------- faults


def test_a_row_wider_than_its_pool_holds_is_a_problem() -> None:
    wide, at = drawn(seat="inside", across="2.5 m", base_level="-0.4 m"), by(pooled())
    assert not row_fits(wide, at)
    (fault,) = inside_row_faults([wide], 0, at)
    assert fault.path == ("stone", "edging", 0, "across")
    assert fault.allowed.terms[0].value == pytest.approx(2.5)
    assert row_fits(drawn(seat="inside", across="2.49 m"), at)
    assert row_fits(drawn(across="4 m"), at)


@pytest.mark.parametrize("side", ["outside", "inside"])
@pytest.mark.parametrize(
    ("base", "said"), [("0.101 m", "above the rim"), ("-0.401 m", "below the floor of the first tier")]
)
def test_a_base_above_the_rim_or_under_the_first_tier_is_a_problem(side: str, base: str, said: str) -> None:
    edging, pool = drawn(seat=side, base_level=base), pooled()
    if side == "outside":
        with pytest.raises(Trouble) as caught:
            edging_seat([edging], pool)
        (fault,) = caught.value.problems
    else:
        (fault,) = inside_row_faults([edging], 0, by(pool))
    assert fault.path == ("stone", "edging", 0, "base_level")
    assert said in fault.given.text
    assert [term.value for term in fault.allowed.terms] == pytest.approx([-0.4, 0.1])


@pytest.mark.parametrize("base", ["0.1 m", "-0.4 m", "0 m"])
def test_a_base_at_the_rim_at_the_floor_and_between_is_allowed(base: str) -> None:
    assert edging_seat([drawn(base_level=base)], pooled()) == (0.4, pytest.approx(float(base.split()[0])))
    assert not list(inside_row_faults([drawn(seat="inside", base_level=base)], 0, by(pooled())))


def test_a_second_row_on_one_side_is_a_problem_and_one_on_each_side_is_none() -> None:
    twice = [drawn(), drawn(seat="inside"), drawn()]
    with pytest.raises(Trouble) as caught:
        edging_seat(twice, pooled())
    assert [fault.path for fault in caught.value.problems] == [("stone", "edging", 2, "seat")]
    assert "the first outside is row 1" in caught.value.problems[0].allowed.text
    assert not list(inside_row_faults(twice, 1, by(pooled())))
    assert edging_seat(twice[:2], pooled()) == (0.4, -0.3)


def test_no_row_no_seat() -> None:
    assert edging_seat([], pooled()) is None
    assert edging_seat([drawn(pool="other")], pooled()) is None
    assert edging_seat([drawn(seat="inside")], pooled()) is None


def test_new_rows_begin_a_little_under_water_outside_and_on_the_first_floor_inside() -> None:
    """Outside 10 cm under the level, or 1 cm over the first tier's floor; inside on it, as wide as its face and shelf
    allow, with a fifth of its depth of water over it and no higher than 25 cm.
    """
    shelf = {"zone": "shelf", "depth": "30 cm", "shelf": "60 cm", "batter": 0.5}
    pools = [
        pool("wide", level="20 cm", tiers=[shelf, {"zone": "deep", "depth": "90 cm"}]),
        pool(
            "tight", level="20 cm", tiers=[shelf | {"depth": "40 cm", "shelf": "10 cm"}, {"zone": "d", "depth": "1 m"}]
        ),
        pool("flat", level="20 cm", tiers=[{"zone": "flat", "depth": "5 cm", "batter": 0.5}]),
    ]
    drawn = read(units="si", options=[option(pools=pools)]).options[0].pools
    rows = {(row.pool, row.seat): row for row in new_edgings((), drawn, Typed("si"))}
    base = {place: float(row.base_level) for place, row in rows.items()}
    assert base == pytest.approx(
        {
            ("wide", "outside"): 0.10,
            ("tight", "outside"): 0.10,
            ("flat", "outside"): 0.16,
            ("wide", "inside"): -0.10,
            ("tight", "inside"): -0.20,
            ("flat", "inside"): 0.15,
        },
        abs=1e-9,
    )
    sizes = {name: (float(rows[name, "inside"].across), float(rows[name, "inside"].height)) for name, _ in rows}
    # 0.9 x (0.5 x 0.4 + 0.1) = 0.27; 0.9 x (0.5 x 0.05 + 1), more than 0.3
    assert sizes == {"wide": (0.3, 0.24), "tight": (0.27, 0.25), "flat": (0.3, 0.05)}


def test_room_for_a_new_stone_is_that_of_the_last_kind_with_what_it_may_be_more() -> None:
    stones = [{"name": "a", "count": 1, "axes": ["1.2 m", "80 cm", "40 cm"], "axes_within": 0.2}]
    drawn = read(units="si", options=[option(stone={"boulders": stones})]).options[0].stone
    assert drawn is not None
    assert boulder_half(drawn.boulders) == pytest.approx(0.72)
