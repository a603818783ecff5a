"""Liner and fabric: closed forms, the design's rule against the trade's, panels and seams, masses of the notes."""

import json
import math

import numpy as np
import pytest

from pondkit import load
from pondkit.core.units import AREAL_MASS, read
from pondkit.project.files import put
from pondkit.study.evaluate import evaluate
from pondkit.trades.liner import formulas as rel
from pondkit.trades.liner.panels import seam_depths, stock_panels
from pondkit.trades.liner.results import LinerResult

FT, IN = 0.3048, 0.0254


def design(pools: list[dict], lining: dict | None = None, units: str = "si") -> object:
    names = [pool["name"] for pool in pools]
    own = {
        "thickness": "1 mm",
        "edge": "30 cm",
        "stock_width": "50 m",
        "stock_length": "100 m",
        "underlay": None,
        "liners": [{"name": "liner", "covers": names, "turn_deg": 0}],
    } | (lining or {})
    return load(
        json.dumps({"pondkit": 1, "units": units, "options": [{"name": "A", "pools": pools, "lining": own}]}).encode()
    )


def pool(name: str = "pool", **changes: object) -> dict:
    return {
        "name": name,
        "level": 0,
        "freeboard": "10 cm",
        "bank_batter": 0.5,
        "outline": {"shape": "rectangle", "length": 6, "width": 4},
        "tiers": [{"zone": "deep", "depth": 1, "batter": 0}],
    } | changes


def liner(project: object) -> LinerResult:
    result = evaluate(project).options[0]
    assert not result.problems
    return result.lining.liners[0]


BANK = math.hypot(0.05, 0.1)  # m of liner on a bank of 10 cm freeboard and batter 0.5


def test_a_box_takes_floor_walls_banks_and_edges_each_way() -> None:
    found = liner(design([pool()]))
    assert found.liner_length.value == pytest.approx(
        6 + 2 * (1 + BANK + 0.3), abs=2e-3
    )  # closed form: unfolded rectangle
    assert found.liner_width.value == pytest.approx(4 + 2 * (1 + BANK + 0.3), abs=2e-3)
    assert found.liner_area.value == pytest.approx(found.liner_length.value * found.liner_width.value)


def test_a_round_pool_with_a_shelf_unfolds_through_its_middle() -> None:
    tiers = [
        {"zone": "shelf", "depth": "30 cm", "shelf": "60 cm", "batter": 0.5},
        {"zone": "deep", "depth": "80 cm", "batter": 0.5},
    ]
    found = liner(design([pool(outline={"shape": "circle", "diameter": 10}, tiers=tiers)]))
    half = 0.3 + BANK + math.hypot(0.15, 0.3) + 0.6 + math.hypot(0.25, 0.5) + (5 - 0.15 - 0.6 - 0.25)  # closed form
    assert found.liner_length.value == pytest.approx(2 * half, rel=1e-3)
    assert found.liner_width.value == pytest.approx(2 * half, rel=1e-3)


def test_between_two_pools_the_way_is_level_and_drops_at_the_higher_rim() -> None:
    low, high = pool("low"), pool("high", level="50 cm", at=[9, 0])
    found = liner(design([low, high]))
    floors = 6 + 6 + 4 * 1 + 4 * BANK
    between = 9 - 6 - 2 * 0.05  # horizontal, from rim to rim
    assert found.liner_length.value == pytest.approx(
        floors + between + 0.5 + 2 * 0.3, abs=5e-3
    )  # design rule: plus the difference of rims
    swapped = liner(design([pool("low", at=[9, 0]), pool("high", level="50 cm")]))
    assert swapped.liner_length.value == pytest.approx(found.liner_length.value, abs=2e-3)


def test_an_ellipse_turned_needs_more_than_its_longest_line() -> None:
    # Closed form, flat: across 18 x 12 ft turned 45 degrees the longest line is 2 / sqrt(cos²/a² + sin²/b²), while a
    # sheet with straight ends must span 2 sqrt(a² cos² + b² sin²): more than a foot apart each way.
    a, b = 9 * FT, 6 * FT
    span, longest = 2 * math.sqrt((a**2 + b**2) / 2), 2 / math.sqrt((1 / a**2 + 1 / b**2) / 2)
    shallow = [{"zone": "film", "depth": "3 cm", "batter": 0}]
    ellipse = pool(
        outline={"shape": "ellipse", "length": 2 * a, "width": 2 * b}, turn_deg=45, tiers=shallow, freeboard=0
    )
    found = liner(design([ellipse], {"edge": 0}))
    for size in (found.liner_length.value, found.liner_width.value):
        assert span - 0.005 <= size <= span + 2 * 0.03 + 1e-3  # a wall of 3 cm at either end at the most
        assert size - (longest + 2 * 0.03) > 0.98 * FT


@pytest.mark.parametrize("turn", [0.0, 37.0, 90.0, 211.0])
def test_turning_pool_and_liner_together_changes_nothing(turn: float) -> None:
    shape = {"shape": "ellipse", "length": 7, "width": 4}
    plain = liner(design([pool(outline=shape)]))
    turned = liner(
        design(
            [pool(outline=shape, turn_deg=turn, at=[3, -2])],
            {"liners": [{"name": "liner", "covers": ["pool"], "turn_deg": turn}]},
        )
    )
    assert turned.liner_length.value == pytest.approx(plain.liner_length.value, rel=1e-3)
    assert turned.liner_width.value == pytest.approx(plain.liner_width.value, rel=1e-3)


def test_the_turn_left_out_follows_the_narrowest_rectangle() -> None:
    own = {"liners": [{"name": "liner", "covers": ["pool"]}]}
    found = liner(design([pool(turn_deg=30)], own))
    assert found.liner_turn.value == pytest.approx(30, abs=0.1)


def test_no_seam_where_the_stock_is_wide_enough_and_a_dry_one_before_a_wet_one() -> None:
    project = design([pool()], {"stock_width": 5, "stock_length": 30})
    found = liner(project)
    assert found.panel_count.value == 2 and found.seam_depth is not None
    assert found.seam_lap_area.value == pytest.approx(found.seam_length.value * 6 * IN)
    assert liner(put(project, ("options", 0, "lining", "stock_width"), "20 m")).seam_depth is None
    sheets = (found.footprint.along, found.footprint.across)
    two_pools = liner(design([pool("a"), pool("b", at=[12, 0])], {"stock_width": 15, "stock_length": 15}))
    assert two_pools.panel_count.value == 2 and two_pools.seam_depth.value <= 0  # between the pools, above water
    assert stock_panels(4.0, 3.0, sheets, (3.0, 4.0), 0.15, 0.0).count == 1


def test_a_seam_across_the_lowest_part_is_cautioned() -> None:
    found = liner(design([pool()], {"stock_width": 4, "stock_length": 6}))
    assert any("lowest part" in caution.text for caution in found.panel_count.cautions)


def test_order_is_net_and_allowance_rounded_up_to_the_unit_of_sale() -> None:
    assert rel.order_length(11.2 * FT, 1 * FT, 1 * FT) == pytest.approx(13 * FT)  # 12.2 -> 13 by hand
    assert rel.order_length(11 * FT, 1 * FT, 1 * FT) == pytest.approx(12 * FT)  # a whole number stays


def test_masses_of_the_notes() -> None:
    # EPDM 45 mil at 1,150 kg/m3: 1.314 kg/m2 = 0.269 lb/ft2; geotextile 1 oz/yd2 = 33.906 g/m2
    # (arithmetic, reference notes 8.1)
    assert rel.sheet_mass(45e-3 * IN, 1150.0, 1.0) == pytest.approx(1.314, abs=5e-4)
    assert rel.sheet_mass(45e-3 * IN, 1150.0, FT**2) / 0.45359237 == pytest.approx(0.269, abs=5e-4)
    assert rel.fabric_mass(read("1 oz/yd^2", AREAL_MASS, "us"), 1.0) == pytest.approx(0.033906, abs=1e-6)


def test_underlay_lies_on_the_true_area_out_to_the_edge_and_overlay_up_to_the_rim() -> None:
    fabric = {"mass": "300 g/m^2", "thickness": "0 mm", "roll_width": 2, "roll_length": 50, "lap": "20 cm"}
    tiers = [{"zone": "deep", "depth": 1, "batter": 1}]
    found = liner(
        design([pool(outline={"shape": "circle", "diameter": 8}, tiers=tiers)], {"underlay": fabric, "overlay": fabric})
    )
    cone = math.pi * (4 + 3) * math.hypot(1, 1)  # closed form: frustums and rings
    bank = math.pi * (4 + 4.05) * BANK
    assert found.overlay_area.value == pytest.approx(cone + math.pi * 9 + bank, rel=1e-5)
    assert found.underlay_area.value == pytest.approx(
        cone + math.pi * 9 + bank + math.pi * (4.35**2 - 4.05**2), rel=1e-5
    )
    across = found.liner_width.value
    assert found.underlay_strips.value == math.ceil((across - 0.2) / 1.8)
    assert found.underlay_area_order.value == pytest.approx(found.underlay_strips.value * 2 * found.liner_length.value)
    assert found.underlay_waste.value == pytest.approx(found.underlay_area_order.value - found.underlay_area.value)


def test_the_trades_rule_falls_short_over_two_pools_and_says_so() -> None:
    found = liner(design([pool("low"), pool("high", level="50 cm", at=[9, 0])]))
    assert found.rule_shortfall and found.rule_shortfall[0].value == pytest.approx(
        found.liner_length.value - found.rule_length.value
    )
    (caution,) = found.rule_shortfall[0].cautions
    assert "lines" in caution.text
    (short,) = [term.value for term in caution.terms if term.name == "short"]
    assert short == pytest.approx(found.rule_shortfall[0].value)
    single = liner(design([pool(tiers=[{"zone": "deep", "depth": 1, "batter": 0.5}])]))
    assert single.rule_length.value == pytest.approx(6.1 + 2 * 1.1 + 0.6, abs=1e-3) and not single.rule_shortfall


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"liners": [{"name": "liner", "covers": ["pond"]}]}, "no pool is called 'pond'"),
        ({"liners": [{"name": "a", "covers": ["pool"]}, {"name": "b", "covers": ["pool"]}]}, "covered by 'a' already"),
        (
            {"stock_width": "65 cm", "seam_lap": "50 cm", "underlay": {"roll_width": "40 cm", "lap": "50 cm"}},
            "gains only",
        ),
    ],
)
def test_faults_are_named_and_the_water_still_stands(change: dict, said: str) -> None:
    result = evaluate(design([pool()], change)).options[0]
    assert any(said in problem.given.text for problem in result.problems)
    assert result.totals.total_gross_volume is not None and result.lining.total_liner_order is None


def test_a_pool_under_no_liner_is_said_at_the_area() -> None:
    found = liner(
        design([pool("a"), pool("b", at=[20, 0])], {"liners": [{"name": "liner", "covers": ["a"], "turn_deg": 0}]})
    )
    assert any("No liner covers: b" in caution.text for caution in found.liner_area.cautions)


def test_laps_are_bought_weighed_and_priced() -> None:
    # By hand: the order, and one seam of its whole width under a lap of 15 cm.
    plain = design([pool()], {"stock_width": 5, "stock_length": 30, "seam_lap": "15 cm"})
    found = liner(plain)
    assert found.panel_count.value == 2
    order = found.liner_length_order.value * found.liner_width_order.value
    made = order + 0.15 * found.seam_length.value
    assert found.liner_made_area.value == pytest.approx(made)
    assert found.liner_mass.value == pytest.approx(made * 1150e-3)
    assert evaluate(plain).options[0].lining.total_liner_order.value == pytest.approx(made)


def test_a_liners_mass_has_both_ends_of_thickness_and_density() -> None:
    # By hand: 10 % and 5 % off, either way.
    mass = liner(design([pool()])).liner_mass
    assert mass.low == pytest.approx(mass.value * 0.9 * 0.95) and mass.high == pytest.approx(mass.value * 1.1 * 1.05)


def test_a_seam_on_the_ground_lies_over_the_water_beside_it() -> None:
    # By hand: two boxes 12 m apart, one liner, its seam on level ground between them: over both waters by the freeboard
    # of 10 cm less the 2 in by which running water stands higher by default.
    found = liner(design([pool("a"), pool("b", at=[12, 0])], {"stock_width": 15, "stock_length": 15}))
    assert found.seam_depth.value == pytest.approx(-0.1 + 2 * IN, abs=1e-6)


def test_a_seam_is_as_deep_as_its_lower_edge() -> None:
    # By hand: a cone of 1 in 1, the seam's middle 0.5 m out from the floor's edge on the face, its
    # lower edge half a lap further down.
    tiers = [{"zone": "deep", "depth": 2, "batter": 1}]
    under = liner(design([pool(outline={"shape": "rectangle", "length": 30, "width": 10}, tiers=tiers)])).footprint
    at = 0.3 + BANK + math.hypot(1, 1)  # on the sheet, from its edge: 1 m down the face
    (narrow,), _ = seam_depths(under.across, np.array([at]), 0.0, 0.0)
    (wide,), _ = seam_depths(under.across, np.array([at]), 0.4, 0.0)
    assert narrow == pytest.approx(1.0, abs=2e-3) and wide - narrow == pytest.approx(0.2 * math.sqrt(0.5), abs=2e-3)
