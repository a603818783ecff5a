"""Ranges of the earthwork by hand: what an input's share makes of every figure that depends on it."""

import math
from typing import Any

import pytest

from pondkit.core.entry import Entry
from pondkit.core.tables import table
from pondkit.trades.earthwork import formulas
from tests.by_grid import option_of, pool_of
from tests.trades.earthwork import test_as_built
from tests.trades.earthwork.test_haul import SEAT, haul_of, worked
from tests.trades.earthwork.test_soil import soil
from tests.trades.tunnels.sketch import figures, value

FT = 0.3048
# Student's t, one side 0.90, by degrees of freedom: any printed table of the distribution.
STUDENT = {1: 3.078, 2: 1.886, 3: 1.638, 4: 1.533, 5: 1.476}
# Swell in per cent as printed: (B. Roseke, Project Engineer's page; the compilation that cites
# Alaska DOT 1983, where it is another).
PRINTED = {
    "stable rock": (54, 65, 72),
    "stiff clay": (40, 40, 40),
    "clay": (40, 40, 40),
    "soft clay": (40, 40, 40),
    "silt": (35, 35, 35),
    "angular gravel": (12, 12, 12),
    "sand": (5, 12, 12),
    "gravel": (5, 12, 12),
}


def ends(figure: Entry) -> tuple[float, float, float]:
    return figure.least, figure.value, figure.most


def one(result: Any, key: str) -> Entry:
    (figure,) = figures(result, key).values()
    return figure


def test_swell_is_that_of_print_widened_by_ten_points() -> None:
    rows = {
        row["soil"]: tuple(float(row[name]) for name in ("low", "typical", "high"))
        for row in table("trades/earthwork/swell")
    }
    assert set(rows) == set(PRINTED)
    for name, (low, typical, high) in PRINTED.items():
        wanted = (max(low - 10, 0) / 100, typical / 100, (high + 10) / 100)
        assert rows[name] == pytest.approx(wanted), name


def test_topsoil_swells_by_its_own_share_in_all_that_is_dug_loose() -> None:
    """3 m³ of topsoil at 0.35 within 30 %, the rest clay at 0.3 to 0.5."""
    result = soil(topsoil="15 cm", strip_area="20 m^2")
    rest = value(result, "dig_volume") - 3
    assert ends(one(result, "dug_loose")) == pytest.approx(
        (rest * 1.3 + 3 * (1 + 0.35 * 0.7), rest * 1.4 + 3 * 1.35, rest * 1.5 + 3 * (1 + 0.35 * 1.3))
    )
    assert ends(one(result, "topsoil_loose")) == pytest.approx((3 * (1 + 0.35 * 0.7), 3 * 1.35, 3 * (1 + 0.35 * 1.3)))


def test_machine_time_goes_from_a_fast_bulk_dig_to_a_slow_one_with_trimming() -> None:
    """Bucket 0.2 yd³, fill 0.9 within 15 %, 25 s within 30 %, 0.83 within 20 %; trimming
    makes the high end three times as long.
    """
    result = soil()
    least, _, most = ends(one(result, "dug_loose"))
    bucket = 0.2 * 0.9144**3
    low = least * 25 * 0.7 / (bucket * 0.9 * 1.15 * 0.83 * 1.2)
    high = most * 25 * 1.3 / (bucket * 0.9 * 0.85 * 0.83 * 0.8) * 3
    typical = value(result, "dug_loose") * 25 / (bucket * 0.9 * 0.83)
    assert ends(one(result, "machine_time")) == pytest.approx((low, typical, high))
    # Printed rates of a bucket of 0.3 m³ in clay, small or deep digs, slow to fast: 3.3 to 5.2 m³/h (planning
    # engineers' wiki, ground excavation).
    small = soil(bucket="0.3 m^3")
    slowest = value(small, "dig_volume") / (one(small, "machine_time").most / 3600)
    assert 3.3 < slowest < 5.2


def test_efficiency_is_no_more_than_one() -> None:
    fast, faster = (soil(efficiency=0.95, efficiency_within=share) for share in (0.06, 0.5))
    assert one(faster, "machine_time").least == pytest.approx(one(fast, "machine_time").least)


def test_shrink_reaches_what_is_left_the_berm_and_the_trucks() -> None:
    """Shrink 0.1 within a half: 0.05 to 0.15."""
    result = soil(pool={"level": 0.5}, berm={"length": "12 m", "height": "30 cm"})
    dig, fill, berm = (value(result, key) for key in ("dig_volume", "fill_volume", "berm_volume"))
    assert ends(one(result, "left_bank")) == pytest.approx(tuple(dig - fill / kept for kept in (0.85, 0.9, 0.95)))
    assert ends(one(result, "left_compacted")) == pytest.approx(tuple(dig * kept - fill for kept in (0.85, 0.9, 0.95)))
    over = tuple(dig - (fill + berm) / kept for kept in (0.85, 0.9, 0.95))
    assert ends(one(result, "haul_bank")) == pytest.approx(over)
    density = 115 * 0.45359237 / FT**3
    mass = tuple(bank * density * share for bank, share in zip(over, (0.9, 1, 1.1), strict=True))
    assert ends(one(result, "haul_mass")) == pytest.approx(mass)


def test_a_berm_that_takes_all_the_spoil_is_as_high_as_that_may_be() -> None:
    berm = {"length": "12 m", "top_width": "1 m", "side_slope": 2, "end_slope": 1}
    height, volume, base = (one(soil(berm=berm), key) for key in ("berm_height", "berm_volume", "berm_base"))
    assert ends(volume) == pytest.approx(ends(one(soil(berm=berm), "left_compacted")))
    for high, held, wide in zip(ends(height), ends(volume), ends(base), strict=True):
        assert wide == pytest.approx(1 + 4 * high)
        # Prismoidal formula, exact for it: ends 12 x 1 and (12 + 2h) (1 + 4h), middle (12 + h) (1 + 2h).
        assert held == pytest.approx(
            high / 6 * (12 + 4 * (12 + high) * (1 + 2 * high) + (12 + 2 * high) * (1 + 4 * high))
        )


def test_an_outer_bank_is_built_narrower_and_steeper_or_wider_and_flatter() -> None:
    """Smith's frustum, pi h (R² + R r + r²) / 3, less the cylinder within the rim; rim 0.6 m over level ground."""
    pool = pool_of({"shape": "circle", "diameter": 6}, [(1.4, 0, 0)], bank_batter=0, freeboard=0.2, level=0.4)
    earth = option_of(pool, earth={"bank_crest": "0.5 m", "bank_slope": 2, "bank_within": 0.2}).earth
    assert earth and earth.total_outer_bank and earth.left_bank

    def frustum(share: float) -> float:
        crest = 3 + 0.5 * share
        toe = crest + 2 * share * 0.6
        return math.pi * 0.6 * ((crest**2 + crest * toe + toe**2) / 3 - 9)

    for figure in (*earth.outer_bank_volume, earth.total_outer_bank):
        assert ends(figure) == pytest.approx((frustum(0.8), frustum(1), frustum(1.2)), rel=1e-3)
    bare = option_of(pool, earth={}).earth
    assert (
        bare
        and bare.left_bank
        and earth.left_bank.most - earth.left_bank.least > bare.left_bank.most - bare.left_bank.least
    )


def test_a_drawn_berms_area_and_toe_go_with_its_top() -> None:
    from tests.trades.earthwork.test_berms import berm, prismoid

    result = berm()
    top, volume, area, clear = (
        one(result, key) for key in ("berm_top", "berm_volume", "berm_area", "berm_toe_clearance")
    )
    for high, held, covered in zip(ends(top), ends(volume), ends(area), strict=True):
        assert held == pytest.approx(prismoid(8, 2, high, 2), rel=2e-3)
        assert covered == pytest.approx(16 + 20 * 2 * high + math.pi * (2 * high) ** 2, rel=2e-3)
    # The toe moves out by twice what the top rises.
    assert clear.most - clear.least == pytest.approx(2 * (top.most - top.least), abs=2e-3)


def test_voids_reach_mass_volume_and_loads_of_bedding() -> None:
    """Voids of bedding 0.25 within 20 %, in the truck 0.4 within 10 %; granite."""
    result = worked(
        {"boulders": [SEAT | {"bedding": "6 in"}], "bearing": {}},
        earth={"truck_volume": "40 yd^3", "truck_payload": "1000 lb"},
    )
    bed = haul_of(result).classes[0]
    assert (
        bed.class_mass.subject == "bedding"
        and bed.loose_volume
        and bed.volume_per_load
        and result.bearing
        and result.bearing.bedding_order
    )
    laid = result.bearing.bedding_order.value
    wanted = (laid * 0.7 / (1 - 0.36), laid * 0.75 / 0.6, laid * 0.8 / (1 - 0.44))
    assert ends(bed.loose_volume) == pytest.approx(wanted)
    rock = bed.class_mass.value / (laid * 0.75)
    assert bed.class_mass.least <= laid * 0.7 * rock and bed.class_mass.most >= laid * 0.8 * rock
    densest = bed.class_mass.most / (laid * 0.8)  # of the rock
    assert bed.volume_per_load.value == pytest.approx(1000 * 0.45359237 / ((1 - 0.36) * densest))


@pytest.mark.parametrize("count", STUDENT)
def test_the_mean_of_few_levels_is_known_by_students_distribution(count: int) -> None:
    """All found a tenth too deep, and the drawing as one more: deviation 0.1 / root (n + 1), over root (n + 1)."""
    off = STUDENT[count] * 0.1 / (count + 1)
    assert formulas.dug_mean_within((-0.1,) * count, 0.0) == pytest.approx(off, rel=1e-3)
    floor = STUDENT[count] * 0.5 / math.sqrt(count + 1)
    assert formulas.dug_mean_within((-0.1,) * count, 0.5) == pytest.approx(floor, rel=1e-3)


def test_what_few_levels_leave_open_reaches_volume_surface_and_liner() -> None:
    few, many = (test_as_built.dug(test_as_built.UPRIGHT, spots=test_as_built.SPOTS[:count]) for count in (2, 5))
    off = [one(result, "dug_mean_within").value for result in (few, many)]
    assert off[0] == pytest.approx(STUDENT[2] * 0.1 / 3, rel=1e-3) and off[1] < off[0] / 2
    for result, by in zip((few, many), off, strict=True):
        gross, wetted = one(result, "volume_as_dug"), one(result, "wetted_as_dug")
        assert ends(gross) == pytest.approx(tuple(48 * (1.3 + step * by) for step in (-1, 0, 1)), rel=1e-6)
        assert ends(wetted) == pytest.approx(tuple(48 + 28 * (1.3 + step * by) for step in (-1, 0, 1)), rel=1e-6)
        for key in ("liner_length_as_dug", "liner_width_as_dug"):
            low, typical, high = ends(one(result, key))
            assert (typical - low, high - typical) == pytest.approx((2 * by, 2 * by))
        for figure in figures(result, "liner_spare_as_dug").values():
            assert figure.most - figure.least == pytest.approx(4 * by)


def test_a_line_that_was_taped_is_known_and_one_that_was_not_is_within_what_the_levels_say() -> None:
    bare, taped = (
        test_as_built.dug(test_as_built.UPRIGHT, tapes=[test_as_built.TAPE | more]) for more in ({}, {"taped": 12.9})
    )
    by = one(bare, "dug_mean_within").value
    low, typical, high = ends(one(bare, "line_as_dug"))
    assert (typical - low, high - typical) == pytest.approx((2 * by, 2 * by))
    assert one(taped, "line_as_dug").least == pytest.approx(one(taped, "line_as_dug").most)
