"""Bearing: presumptive pressures as printed, the 2:1 spread against books, beds against
bisection, shelves against geometry.
"""

import json
import math
from typing import Any

import pytest

from pondkit import Project, load
from pondkit.core.entry import Entry
from pondkit.core.remembered import Memory
from pondkit.core.tables import rows_by_name
from pondkit.core.units import PRESSURE, read
from pondkit.drawing.rows import say, say_problem
from pondkit.geometry.site_surface import stands
from pondkit.geometry.terrain import Plane
from pondkit.page import edits
from pondkit.project.files import put
from pondkit.study.evaluate import evaluate
from pondkit.trades.stone.formulas import bedding_needed, spread_pressure
from pondkit.trades.stone.results import BearingResult
from tests.designs import demo, option, pool, small
from tests.memory import asked

POUND, INCH, FOOT, PSF = 0.45359237, 0.0254, 0.3048, 47.88025898
BLOCK = {
    "name": "slab",
    "axes": ["40 in", "30 in", "20 in"],
    "axes_within": 0,
    "form": "block",
    "density": "165 lb/ft^3",
}
MASS = 40 * 30 * 20 / 1728 * 165  # lb
SHELF = [
    {"zone": "marsh", "depth": "9 in", "shelf": "5 ft", "batter": 0.5},
    {"zone": "deep", "depth": "30 in", "batter": 0.5},
]


def project(*stones: dict[str, Any], ground: dict[str, Any] | None = None, **changes: Any) -> Project:
    stone = {"boulders": list(stones or [BLOCK]), "bearing": ground or {}}
    pools = [pool(outline={"shape": "circle", "diameter": "30 ft"}, tiers=SHELF)]
    return load(json.dumps(small(options=[option(pools=pools, stone=stone)], **changes)).encode())


def borne(*stones: dict[str, Any], ground: dict[str, Any] | None = None) -> BearingResult:
    found = evaluate(project(*stones, ground=ground)).options[0].bearing
    assert found is not None
    return found


def faults(*stones: dict[str, Any], ground: dict[str, Any] | None = None, **changes: Any) -> list[str]:
    made = project(*stones, ground=ground, **changes)
    return [say_problem(made, path, problem, "us") for path, problem in evaluate(made).problems]


def one(figures: tuple[Entry, ...], subject: str = "slab") -> Entry:
    (found,) = [figure for figure in figures if figure.subject == subject]
    return found


# IBC table 1806.2, vertical foundation pressure (R. W. Day, Geotechnical Earthquake
# Engineering, table 14.6, of IBC 2012)
@pytest.mark.parametrize(
    ("ground", "psf"),
    [
        ("crystalline bedrock", 12000),
        ("sedimentary or foliated rock", 4000),
        ("sandy gravel, gravel", 3000),
        ("sand, silty or clayey sand or gravel", 2000),
        ("clay, silt", 1500),
    ],
)
def test_presumptive_pressures_are_those_printed(ground: str, psf: float) -> None:
    assert float(rows_by_name("trades/stone/bearing")[ground]["pressure_psf"]) == psf
    allowed = borne(ground={"ground": ground}).bearing_allowed
    assert allowed is not None
    assert allowed.value == pytest.approx(psf * PSF)
    assert "IBC table 1806.2" in allowed.source


def test_1500_psf_is_72_kilopascals() -> None:
    assert read("1500 psf", PRESSURE, "us") == pytest.approx(71_820, rel=1e-4)
    assert read("71.82 kPa", PRESSURE, "si") == pytest.approx(read("1500 psf", PRESSURE, "us"), rel=1e-4)


# 5 x 10 ft under 2,000 psf, spread 2:1 (worked with the inputs of Das, Principles of Foundation Engineering, ex. 5.1):
# 254.0 psf at 12.5 ft, 666.7 psf at 5 ft. A square as wide as it is deep leaves a quarter.
@pytest.mark.parametrize(
    ("length", "width", "deep", "psf"), [(10, 5, 12.5, 253.97), (10, 5, 5, 666.67), (4, 4, 4, 500.0)]
)
def test_two_to_one_spread(length: float, width: float, deep: float, psf: float) -> None:
    assert spread_pressure(2000 * length * width, 1.0, length, width, 1.0, deep) == pytest.approx(psf, abs=0.01)


@pytest.mark.parametrize("contact", [0.1, 0.35, 1.0])
@pytest.mark.parametrize("allowed", [300.0, 900.0, 20_000.0])
def test_the_bedding_solved_is_the_least_under_which_the_ground_holds(contact: float, allowed: float) -> None:
    """By bisection of the spread alone."""
    given = 1200.0, 9.80665, 1.1, 0.7, contact
    low, high = 0.0, 50.0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if spread_pressure(*given, middle) > allowed else (low, middle)
    assert bedding_needed(*given, allowed) == pytest.approx(high, abs=1e-9)


def test_the_whole_high_mass_presses_whatever_is_under_water() -> None:
    deep = BLOCK | {"pool": "pool", "under_water": 1, "axes_within": 0.1}
    made = evaluate(project(deep)).options[0]
    assert made.stone is not None
    assert made.bearing is not None
    assert one(made.bearing.bearing_load).value == pytest.approx(made.stone.boulder_mass[0].most)
    assert one(made.bearing.bearing_load).value == pytest.approx(MASS * POUND * 1.1**3)


def test_contact_gives_the_range_and_the_least_contact_decides() -> None:
    touched = one(borne(ground={"contact_low": 0.25, "contact_high": 0.75}).contact_pressure)
    plan = 40 * 30 / 144
    assert touched.low == pytest.approx(MASS / (0.75 * plan) * PSF)
    assert touched.high == pytest.approx(MASS / (0.25 * plan) * PSF)


def test_bedding_left_out_is_solved_and_uses_the_ground_up() -> None:
    found = borne(ground={"contact_low": 0.1, "pressure": "800 psf"})
    assert one(found.bedding_needed).value > 0
    assert one(found.bearing_use).most == pytest.approx(1.0)
    assert one(found.bearing_use).cautions == one(found.bedding_needed).cautions


def test_bedding_too_thin_says_so_with_the_thickness_that_holds() -> None:
    found = borne(BLOCK | {"bedding": "1 in"}, ground={"contact_low": 0.1, "pressure": "800 psf"})
    use = one(found.bearing_use)
    assert use.most > 1
    assert any("Not to be set so" in say(caution, "us") for caution in use.cautions)


def test_a_stack_is_borne_by_its_lowest_stone() -> None:
    top = BLOCK | {"name": "top", "rests_on": "slab"}
    cap = BLOCK | {"name": "cap", "rests_on": "top", "count": 3}
    found = borne(BLOCK, top, cap)
    assert one(found.bearing_load).value == pytest.approx(5 * MASS * POUND)
    assert [figure.subject for figure in found.bearing_use] == ["slab"]
    two = borne(BLOCK | {"count": 2}, top | {"count": 3})
    assert one(two.bearing_load).value == pytest.approx(3 * MASS * POUND)  # one of the two bears two


def test_beds_are_dug_and_ordered() -> None:
    bedded = BLOCK | {"bedding": "6 in", "count": 4}
    plain, made = (evaluate(project(stone)).options[0] for stone in (BLOCK | {"bedding": "0 in", "count": 4}, bedded))
    volume = 4 * 46 * 36 * 6 * INCH**3
    assert made.bearing is not None
    assert made.bearing.bedding_order is not None
    assert made.bearing.bedding_order.value == pytest.approx(volume)
    assert made.earthwork.dig_volume is not None
    assert plain.earthwork.dig_volume is not None
    assert made.earthwork.dig_volume.value - plain.earthwork.dig_volume.value == pytest.approx(volume)


def at_radius(feet: float) -> dict[str, Any]:
    return BLOCK | {"pool": "pool", "places": [[f"{feet} ft", "0 ft"]]}


def test_room_to_the_front_and_the_bottom_of_the_bed() -> None:
    """A circle of 15 ft: the shelf is 9 in deep and ends 4.5 in + 5 ft inside it, so the front stands at 9.625 ft."""
    found = borne(at_radius(13) | {"bedding": "2 in"})
    assert one(found.shelf_spare, "slab 1").value == pytest.approx((13 - 9.625) * FOOT - (15 + 1 + 6) * INCH, abs=2e-3)
    assert one(found.bed_level, "slab 1").value == pytest.approx(-(9 + 2) * INCH)
    near = one(borne(at_radius(11)).shelf_spare, "slab 1")
    assert near.value < 0
    assert any("Too near the front" in say(caution, "us") for caution in near.cautions)
    floor = borne(at_radius(0))
    assert floor.shelf_spare == ()
    assert one(floor.bed_level, "slab 1").value == pytest.approx(-30 * INCH)


def test_outside_the_rim_the_front_is_the_rim() -> None:
    laid = evaluate(project()).options[0].pools[0].surfaces.dig
    (stand,) = stands(laid, Plane(0.1, 0.01, 0.0), ((17 * FOOT, 0.0),))
    assert stand.level == pytest.approx(0.1 + 0.17 * FOOT)
    assert stand.flat
    assert stand.front == pytest.approx(2 * FOOT - laid.rim, abs=2e-3)
    assert math.isinf(stand.width)


def test_a_place_on_a_face_and_a_shelf_too_narrow_are_refused() -> None:
    (said,) = faults(at_radius(14.9))
    assert "place 1 lies on a face of 'pool'" in said
    wide = at_radius(12) | {"axes": ["70 in", "62 in", "20 in"]}
    (said,) = faults(wide)
    assert "that the dig makes 5 ft wide" in said
    assert "widen it" in said
    made = evaluate(project(at_radius(14.9))).options[0]
    assert made.earthwork.dig_volume is None  # it would lack a bed
    assert made.totals.total_gross_volume is not None


@pytest.mark.parametrize(("bedding", "refused"), [("3.9 in", False), ("4.1 in", True)])
def test_a_shelf_takes_the_stone_with_its_bedding_and_the_set_back(bedding: str, refused: bool) -> None:
    """Of 60 in: 50 for the stone, 6 for the set-back, and 4 for the spread of its bedding."""
    said = faults(at_radius(12) | {"axes": ["60 in", "50 in", "20 in"], "bedding": bedding})
    assert bool(said) == refused, said


def test_a_stone_that_reaches_into_the_face_behind_says_by_how_much() -> None:
    """The shelf begins 4.5 in inside the 15 ft: at 14 ft it is 7.5 in to the face,
    and stone and bed take (30 + 2) / 2.
    """
    found = one(borne(at_radius(14) | {"bedding": "2 in"}).bed_level, "slab 1")
    (caution,) = [c for c in found.cautions if "into the face behind" in c.text]
    assert caution.terms[0].value == pytest.approx((16 - 7.5) * INCH, abs=2e-3)
    free = one(borne(at_radius(13) | {"bedding": "2 in"}).bed_level, "slab 1")
    assert not any("into the face behind" in c.text for c in free.cautions)


def test_a_floor_is_as_wide_as_it_is_and_a_stone_wider_than_it_is_refused() -> None:
    """Faces of 1 in 2 to 30 in and a shelf of 5 ft leave a floor of twice 15 ft - 4.5 in - 5 ft - 10.5 in."""
    laid = evaluate(project()).options[0].pools[0].surfaces.dig
    (stand,) = stands(laid, Plane(0.1, 0.01, 0.0), ((0.0, 0.0),))
    assert stand.width == pytest.approx(2 * 8.75 * FOOT, abs=4e-3)
    assert math.isinf(stand.front)
    tight = put(project(at_radius(0)), ("options", 0, "pools", 0, "outline", "diameter"), "14.25 ft")
    results = evaluate(tight)
    said = [say_problem(tight, path, problem, "us") for path, problem in results.problems]
    assert any("place 1 lies on a floor of 'pool' that the dig makes" in text for text in said)


@pytest.mark.parametrize(
    ("ground", "soil", "words"),
    [
        ({"ground": "mud, organic soil, peat, fresh fill"}, "clay", "firm ground: no presumptive pressure"),
        ({}, "soft clay", "firm ground: no presumptive pressure"),
        ({}, "seeping or submerged ground", "firm ground: no presumptive pressure"),
        ({"contact_low": 0.9, "contact_high": 0.4}, "clay", "at most 0.4"),
    ],
)
def test_ground_without_a_pressure_is_answered_and_the_loads_stand(
    ground: dict[str, Any], soil: str, words: str
) -> None:
    (said,) = faults(ground=ground, site={"soil": soil})
    assert words in said
    found = evaluate(project(ground=ground, site={"soil": soil})).options[0].bearing
    assert found is not None
    assert found.bearing_use == ()
    assert one(found.bearing_load).value == pytest.approx(MASS * POUND)


def test_a_tested_pressure_holds_on_soft_ground() -> None:
    assert faults(ground={"pressure": "600 psf"}, site={"soil": "soft clay"}) == []


@pytest.mark.parametrize(("rests", "words"), [("slabb", "write 'slab'"), ("slab", "comes to rest on itself")])
def test_stacks_that_end_nowhere(rests: str, words: str) -> None:
    (said,) = (
        faults(BLOCK | {"rests_on": rests})
        if rests == "slab"
        else faults(BLOCK, BLOCK | {"name": "top", "rests_on": rests})
    )
    assert words in said


def test_a_ring_of_stacks_is_named_and_the_others_stand() -> None:
    a, b = BLOCK | {"name": "a", "rests_on": "b"}, BLOCK | {"name": "b", "rests_on": "a"}
    said = faults(BLOCK, a, b)
    assert len(said) == 2
    assert one(borne(BLOCK, a, b).bearing_load).value == pytest.approx(MASS * POUND)


def test_a_renamed_boulder_keeps_what_rests_on_it_and_a_removed_one_lets_it_down() -> None:
    made = project(BLOCK, BLOCK | {"name": "top", "rests_on": "slab"})
    here = ("options", 0, "stone", "boulders", 0)
    stone = edits.rename(made, here, "base").options[0].stone
    assert stone is not None
    assert stone.boulders[1].rests_on == "base"
    stone = edits.remove_item(made, here).options[0].stone
    assert stone is not None
    assert stone.boulders[0].rests_on is None


def test_what_the_stones_weigh_hangs_on_no_ground() -> None:
    memory, made = Memory(), demo("turtle_yard")
    before = asked(made, memory).options[1]
    after = asked(put(made, ("options", 1, "stone", "bearing", "contact_low"), 0.2), memory).options[1]
    assert before.bearing is not after.bearing
    assert before.stone is after.stone
