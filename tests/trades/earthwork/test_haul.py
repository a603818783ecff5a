"""Stone by class as it is ordered and carried: masses and volumes against print, loads against plain arithmetic."""

import math
from typing import Any

import pytest

from pondkit.core.remembered import Memory
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.earthwork import formulas as hauling
from pondkit.trades.earthwork.results import HaulResult
from tests.designs import option, pool, read

POUND, CUBIC_YARD = 0.45359237, 0.9144**3
TIERS = [
    {"zone": "shelf", "depth": "9 in", "shelf": "3 ft", "batter": 0.5, "gravel": "3 in"},
    {"zone": "deep", "depth": "30 in"},
]
SEAT = {"name": "seat", "count": 7, "axes": ["40 in", "30 in", "20 in"], "pool": "pool"}
LEDGE = {"name": "ledge", "count": 2, "axes": ["50 in", "34 in", "22 in"], "pool": "pool"}


def worked(stone: dict[str, Any], **more: Any) -> OptionResult:
    more = {"earth": {}, "pools": [pool(tiers=TIERS)]} | more
    return evaluate(read(options=[option(stone={"haul": {}} | stone, **more)])).options[0]


def haul_of(result: OptionResult) -> HaulResult:
    assert result.haul is not None
    return result.haul


def names(result: OptionResult) -> list[str]:
    return [each.class_mass.subject for each in haul_of(result).classes]


def test_bulk_mass_as_the_reference_notes_have_it_for_rock_of_2650() -> None:
    """Reference notes, 5.3: 2,650 kg/m³ at n .30/.35/.40 gives 1,855 / 1,722 / 1,590 kg/m³."""
    for porosity, mass in ((0.30, 1855), (0.35, 1722), (0.40, 1590)):
        assert hauling.bulk_mass(1.0, porosity, 2650) == pytest.approx(mass, abs=0.6)


def test_rock_is_kept_when_it_is_tipped() -> None:
    loose = hauling.loose_volume(3.0, 0.25, 0.4)
    assert hauling.bulk_mass(loose, 0.4, 2650) == pytest.approx(hauling.bulk_mass(3.0, 0.25, 2650))
    assert loose > 3.0
    assert hauling.loose_edging(0.02, 55) == pytest.approx(1.1)  # 55 stones of 20 l as tipped


@pytest.mark.parametrize(
    ("payload", "mass", "takes"), [(1000, 251, 3), (1000, 250, 4), (1000, 0.1, 10000), (200, 250, 0)]
)
def test_a_load_takes_whole_stones_only(payload: float, mass: float, takes: int) -> None:
    assert hauling.pieces_by_mass(payload, mass) == takes
    assert takes * mass <= payload + 1e-6 < (takes + 1) * mass + 1e-5


def test_edging_fills_a_truck_by_mass_or_by_volume_whichever_is_first() -> None:
    assert hauling.pieces_by_mass_and_volume(1000, 100, 8.0, 0.1) == 10
    assert hauling.pieces_by_mass_and_volume(1000, 10, 8.0, 0.1) == 80


def test_classes_come_in_the_order_of_setting_with_low_and_high_mass() -> None:
    result = worked(
        {
            "boulders": [SEAT | {"bedding": "6 in"}, LEDGE],
            "bearing": {},
            "edging": [{"pool": "pool", "base_level": "-8 in"}],
        },
        pools=[pool(tiers=TIERS)],
    )
    assert names(result) == ["bedding", "seat", "ledge", "pool / outside", "gravel"]
    assert [each.delivery_turn.value for each in haul_of(result).classes] == [1, 2, 3, 4, 5]
    for each in haul_of(result).classes:
        assert each.class_mass.least < each.class_mass.value < each.class_mass.most
    assert result.stone is not None
    of_all = {figure.subject: figure for figure in (*result.stone.boulder_mass_all, *result.stone.edging_mass)}
    for each in haul_of(result).classes[1:4]:
        there = of_all[each.class_mass.subject]
        assert each.class_mass.value == pytest.approx(there.value)
        assert (each.class_mass.least, each.class_mass.most) == pytest.approx((there.least, there.most))


def test_loads_of_boulders_are_counted_at_the_high_mass() -> None:
    result = worked({"boulders": [SEAT]}, earth={"truck_payload": "5000 lb"}, pools=[pool()])
    (one,) = haul_of(result).classes
    assert result.stone is not None
    high = result.stone.boulder_mass[0].most
    takes = int(5000 * POUND // high)
    assert takes >= 1
    assert one.pieces_per_load is not None and one.stone_loads is not None
    assert one.pieces_per_load.value == takes
    assert one.stone_loads.value == math.ceil(7 / takes)
    assert haul_of(result).total_stone_loads is not None


def test_gravel_goes_by_the_larger_of_volume_and_mass() -> None:
    light = worked({}, earth={"truck_volume": "0.5 yd^3", "truck_payload": "80000 lb"})
    heavy = worked({}, earth={"truck_volume": "40 yd^3", "truck_payload": "1000 lb"})
    (by_volume,), (by_mass,) = haul_of(light).classes, haul_of(heavy).classes
    assert by_volume.stone_loads and by_volume.loose_volume and by_mass.stone_loads
    assert by_volume.stone_loads.value == math.ceil(by_volume.loose_volume.value / (0.5 * CUBIC_YARD))
    assert by_mass.stone_loads.value == math.ceil(by_mass.class_mass.value / (1000 * POUND))
    assert by_mass.stone_loads.most == math.ceil(by_mass.class_mass.most / (1000 * POUND))
    assert by_volume.volume_per_load and by_mass.volume_per_load
    assert by_volume.volume_per_load.value == pytest.approx(0.5 * CUBIC_YARD)
    assert by_mass.volume_per_load.value < by_volume.volume_per_load.value


def test_a_boulder_over_the_payload_has_no_loads_a_caution_and_no_sum() -> None:
    result = worked({"boulders": [SEAT]}, earth={"truck_payload": "500 lb"})
    one = haul_of(result).classes[0]
    assert one.pieces_per_load is not None
    assert one.pieces_per_load.value == 0
    assert any("more than the truck's payload" in caution.text for caution in one.pieces_per_load.cautions)
    assert one.stone_loads is None
    assert haul_of(result).total_stone_loads is None
    fits = worked({"boulders": [SEAT]})
    calm = haul_of(fits).classes[0].pieces_per_load
    assert calm is not None
    assert not any("more than the truck's payload" in caution.text for caution in calm.cautions)


def test_without_a_truck_masses_stand_and_say_that_loads_are_lacking() -> None:
    result = worked({"boulders": [SEAT]}, earth=None)
    for each in haul_of(result).classes:
        assert each.stone_loads is None
        assert any("No truck is entered" in caution.text for caution in each.class_mass.cautions)
    assert haul_of(result).total_stone_loads is None


def test_without_the_part_nothing_is_hauled() -> None:
    assert worked({"boulders": [SEAT], "haul": None}).haul is None


def test_a_stone_in_trouble_leaves_no_sum_of_loads() -> None:
    result = worked({"boulders": [SEAT, LEDGE | {"pool": "nowhere"}]})
    assert names(result) == ["seat", "gravel"]
    assert haul_of(result).total_stone_loads is None


def test_a_stone_that_others_rest_on_comes_before_them() -> None:
    assert names(worked({"boulders": [SEAT | {"rests_on": "ledge"}, LEDGE]}, pools=[pool()])) == ["ledge", "seat"]
    ring = [SEAT | {"rests_on": "ledge"}, LEDGE | {"rests_on": "seat"}]
    assert set(names(worked({"boulders": ring}, pools=[pool()]))) == {"ledge", "seat"}


def test_the_lift_plans_order_comes_before_the_lists() -> None:
    near = SEAT | {"count": 1, "places": [["-16 ft", "0 ft"]], "pool": None}
    far = LEDGE | {"count": 1, "places": [["-16 ft", "12 ft"]], "pool": None}
    loose = LEDGE | {"name": "spare", "pool": None}
    chart = [
        {"radius": f"{out} ft", "height": f"{high} ft", "front": "30000 lb", "side": "25000 lb"}
        for out in (2, 60)
        for high in (-10, 30)
    ]
    lifting = {"positions": [{"name": "west", "at": ["-26 ft", "0 ft"], "pick_up": ["-34 ft", "0 ft"]}], "chart": chart}
    result = worked({"boulders": [loose, near, far]}, lifting=lifting, pools=[pool()])
    assert result.lifting is not None
    assert [lift.load.name for lift in result.lifting.lifts] == ["ledge", "seat"]
    assert names(result) == ["ledge", "seat", "spare"]


def test_a_moved_tier_works_out_no_boulder_again() -> None:
    memory = Memory()

    def turn(depth: str) -> OptionResult:
        tiers = [TIERS[0], {"zone": "deep", "depth": depth}]
        stone = {"haul": {}, "boulders": [SEAT, LEDGE]}
        return evaluate(read(options=[option(stone=stone, earth={}, pools=[pool(tiers=tiers)])])).options[0]

    with memory:
        before = haul_of(turn("30 in")).classes
        after = haul_of(turn("31 in")).classes
    assert [a is b for a, b in zip(before, after, strict=True)][:2] == [True, True]


def test_a_stone_of_edging_as_tipped_is_its_box_with_the_voids_of_the_truck() -> None:
    """18 x 14 x 12 in as laid without voids; 40 % of voids as tipped make 1 / 0.6 of it."""
    row = {"pool": "pool", "base_level": "-8 in", "along": "18 in", "across": "14 in", "height": "12 in"}
    haul = {"loose_porosity": 0.4, "loose_porosity_within": 0}
    result = worked({"edging": [row], "porosity": 0, "haul": haul}, earth={"truck_volume": "40 yd^3"})
    (edging,) = [each for each in haul_of(result).classes if each.class_mass.subject == "pool / outside"]
    assert edging.loose_volume is not None and result.stone is not None
    count = result.stone.edging_count[0].value
    assert edging.loose_volume.value == pytest.approx(count * 18 * 14 * 12 * 0.0254**3 / 0.6)
