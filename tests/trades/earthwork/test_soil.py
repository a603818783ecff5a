"""Volumes of soil against print and closed forms, and on a pool of 8 x 6 m with faces of batter 0.5, 1.2 m deep."""

from typing import Any

import pytest

from pondkit.drawing.rows import say
from pondkit.study.evaluate import OptionResult
from pondkit.trades.earthwork import formulas
from pondkit.trades.earthwork import formulas as rel
from tests.trades.tunnels.sketch import POOL, cautions, figures, said, sketch, value

YARD = 0.9144**3  # m³ in a cubic yard


def soil(site: dict[str, Any] | None = None, pool: dict[str, Any] | None = None, **earth: Any) -> OptionResult:
    return sketch((), (), pools=[POOL | (pool or {})], site={"soil": "clay"} | (site or {}), option={"earth": earth})


def found(result: OptionResult) -> dict[str, float]:
    return {key: figure.value for key, figure in result.earth.entries()} if result.earth else {}


def test_loose_volume_of_print() -> None:
    """8,000 m³ of bank at 40 % (compilation page of swell factors) and 10 yd³ at 30 % (Swell factors, B. Roseke)."""
    assert rel.loose(8000, 0.40) == pytest.approx(11200)
    assert rel.loose(10, 0.30) == pytest.approx(13)


def test_fourteen_loads_of_ten_yards() -> None:
    """100 yd³ of clay in the bank at 40 % are 140 loose and 14 loads of 10: arithmetic."""
    loose = rel.loose(100, 0.40)
    assert rel.truck_loads(loose, 10, 1, 1000) == 14
    assert rel.truck_loads(loose, 10, 3100 * 100, 20000) == 16  # 15.5 by mass


def test_excavator_of_print() -> None:
    """1.5 yd³, fill 0.90, 25 s, 50-minute hour: 162.0 loose yd³ an hour (inputs of a
    printed exercise; worked by arithmetic).
    """
    assert rel.machine_time(162 * YARD, 1.5 * YARD, 0.9, 25, 50 / 60, 0) == pytest.approx(3600)


@pytest.mark.parametrize(("width", "slope", "height"), [(0, 3, 0.5), (1.2, 0.5, 1.5), (3, 10, 0.1)])
def test_a_berm_solved_back_has_the_height_that_made_it(width: float, slope: float, height: float) -> None:
    # Prism on a trapezium: mean of top and base, times height, times length.
    volume = (width + width + 2 * slope * height) / 2 * height * 9
    assert formulas.straight_berm_volume(9, width, slope, 0, height, 0) == pytest.approx(volume)
    assert formulas.berm_height(volume, 9, width, slope, 0, 0) == pytest.approx(height)


@pytest.mark.parametrize(
    ("length", "width", "slope", "height", "volume"),
    [(100, 40, 2, 12, 97_536), (10, 5, 1, 1.5, 113.25)],
)
def test_a_berm_with_sloped_ends_is_a_pit_upside_down(
    length: float, width: float, slope: float, height: float, volume: float
) -> None:
    """Rectangular pits with one slope all round, the first 12 ft deep over a bottom of
    40 x 100 ft: volumes by convex hull.
    """
    assert formulas.straight_berm_volume(length, width, slope, slope, height, 0) == pytest.approx(volume)
    assert formulas.berm_height(volume - 20, length, width, slope, slope, 20) == pytest.approx(
        height
    )  # a body of 20 in it


def test_a_body_inside_takes_its_room_in_the_berm() -> None:
    plain, held = (
        found(soil(berm={"length": "12 m", "height": "40 cm", "body": body})) for body in ("0 m^3", "0.5 m^3")
    )
    assert held["berm_volume"] == pytest.approx(plain["berm_volume"] - 0.5)
    assert held["haul_bank"] == pytest.approx(plain["haul_bank"] + 0.5 / 0.9)


def test_a_solved_berm_stops_under_the_rim_of_what_it_hides_and_the_rest_is_hauled() -> None:
    """40 cm less a margin of 10 cm: 30 cm."""
    low = found(
        soil(berm={"length": "12 m", "top_width": "1 m", "side_slope": 2, "hidden_rim": "40 cm", "rim_margin": "10 cm"})
    )
    drawn = found(soil(berm={"length": "12 m", "top_width": "1 m", "side_slope": 2, "height": "30 cm"}))
    assert low["berm_height"] > low["berm_height_allowed"] == pytest.approx(0.3)
    assert low["berm_volume"] == pytest.approx(drawn["berm_volume"])
    assert low["haul_bank"] == pytest.approx(drawn["haul_bank"])
    high = found(soil(berm={"length": "12 m", "top_width": "1 m", "side_slope": 2, "hidden_rim": "4 m"}))
    assert "haul_bank" not in high


def test_the_range_of_the_soil_reaches_loose_volume_loads_and_hours() -> None:
    result = soil(shrink_within=0)
    dig = value(result, "dig_volume")
    fill = value(result, "fill_volume")
    (loose,) = figures(result, "left_loose").values()
    spoil = dig - fill / 0.9
    assert (loose.least, loose.value, loose.most) == pytest.approx((spoil * 1.3, spoil * 1.4, spoil * 1.5))
    for key in ("haul_loose", "truck_loads", "machine_time"):
        (figure,) = figures(result, key).values()
        assert figure.least <= figure.value <= figure.most and figure.least < figure.most
    assert "2 ft" in cautions(loose)


def test_topsoil_is_kept_apart_and_nothing_is_lost() -> None:
    result = soil(topsoil="15 cm", strip_area="20 m^2", berm={"length": "12 m", "height": "30 cm"})
    at = found(result)
    assert at["topsoil_bank"] == pytest.approx(3)
    assert at["topsoil_loose"] == pytest.approx(3 * 1.35)
    bank = at["topsoil_bank"] + value(result, "fill_volume") / 0.9 + at["berm_volume"] / 0.9 + at["haul_bank"]
    assert bank == pytest.approx(value(result, "dig_volume"))


def test_a_solved_berm_uses_all_the_spoil() -> None:
    result = soil(berm={"length": "12 m", "top_width": "1 m", "side_slope": 2})
    at = found(result)
    assert at["berm_volume"] == pytest.approx(at["left_compacted"])
    assert at["berm_base"] == pytest.approx(1 + 4 * at["berm_height"])
    assert "truck_loads" not in at


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"berm": {"length": "12 m", "height": "4 m"}}, "does not fill"),
        (
            {"berm": {"length": "12 m", "height": "40 cm", "hidden_rim": "45 cm", "rim_margin": "10 cm"}},
            "buries the rim of what it hides",
        ),
        ({"berm": {"length": "12 m", "hidden_rim": "5 cm", "rim_margin": "10 cm"}}, "enter a smaller margin"),
        ({"berm": {"length": "3 m", "height": "5 cm", "body": "40 m^3"}}, "less than the berm itself"),
        ({"topsoil": "90 cm", "strip_area": "900 m^2"}, "of topsoil"),
        ({"site": {"soil": "seeping or submerged ground"}}, "no swell is known"),
        ({"pool": {"level": 1.1}}, "more than is dug"),
    ],
)
def test_what_cannot_be_is_named(given: dict[str, Any], says: str) -> None:
    result = soil(**given)
    (problem,) = result.earth.problems if result.earth else ()
    assert problem.path[0] == "earth" and says in said(result)
    assert "truck_loads" not in found(result)
    assert value(result, "dig_volume") > 0


def test_an_own_swell_stands_for_the_table_and_has_no_range() -> None:
    result = soil(site={"soil": "seeping or submerged ground"}, swell=0.25)
    (loose,) = figures(result, "dug_loose").values()
    assert loose.least == loose.most == loose.value == pytest.approx(value(result, "dig_volume") * 1.25)
    (loose,) = figures(soil(swell=0.25, swell_within=0.2), "dug_loose").values()
    dig = value(result, "dig_volume")
    assert (loose.least, loose.most) == pytest.approx((dig * 1.2, dig * 1.3))


def test_a_body_larger_than_its_berm_is_told_what_the_berm_holds() -> None:
    """3 x 1 m on top, 5 cm high, all sides of 2, so that it stands on 3.2 x 1.2 m: a prismoid of 0.05 / 6 x (3 + 4 x
    3.1 x 1.1 + 3.84) = 0.1707 m³."""
    berm = {"length": "3 m", "height": "5 cm", "top_width": "1 m", "side_slope": 2, "end_slope": 2, "body": "40 m^3"}
    earth = soil(berm=berm).earth
    assert earth is not None
    assert say(earth.problems[0].allowed, "si") == "less than the berm itself, 170.7 L"
