"""The animals' brief, by hand on a pool of 8 x 6 m with faces of batter 0.5, 1.2 m deep, and passages out of it."""

from typing import Any

import numpy as np
import pytest

from pondkit.drawing.rows import say
from pondkit.trades.animals import formulas
from pondkit.trades.animals import pictures as view
from tests.cautions import told
from tests.trades.tunnels.sketch import LINED, POOL, Node, cautions, figures, said, sketch, value

BORE = 3.998 * 0.0254  # m: ASTM D1785, 4 in, average inside diameter
NODES: list[Node] = [("m", "mouth", (3.7, 0, -0.6)), ("g", "gate", (6.0, 0, -0.3)), ("den", "chamber", (9.0, 0, 0.3))]
RUNS = [("m", "g"), ("g", "den")]


def brief(kind: dict[str, Any], animals: dict[str, Any] | None = None, **option: Any) -> Any:
    told = {"kinds": [{"name": "newt"} | kind]} | (animals or {})
    own = {"water_rise": "10 cm", "water_fall": "20 cm", "animals": told} | option
    return sketch(NODES, RUNS, lining=LINED, option=own)


def margin(found: Any, key: str) -> dict[str, float]:
    return {subject: figure.value for subject, figure in figures(found, key).items()}


def test_nothing_is_asked_where_nothing_is_stated() -> None:
    found = brief({})
    assert value(found, "demands_failed", "newt") == 0
    assert not [key for key, _ in found.entries() if key.startswith("demand_")]
    assert "none is shipped" in cautions(figures(found, "demands_failed")["newt"])


@pytest.mark.parametrize(("protected", "said_so"), [(True, True), (False, False)])
def test_protected_kinds_get_their_caution(protected: bool, said_so: bool) -> None:
    found = brief({"protected": protected})
    assert ("offence" in cautions(figures(found, "demands_failed")["newt"])) == said_so


@pytest.mark.parametrize(("wanted", "fails"), [("10 cm", 0), ("11 cm", 1)])
def test_clear_way(wanted: str, fails: int) -> None:
    found = brief({"body_width": wanted})
    (by,) = margin(found, "demand_bore").values()
    assert by == pytest.approx(BORE - float(wanted.split()[0]) / 100)
    assert value(found, "demands_failed", "newt") == fails


def test_every_swim_is_checked_open_blocked_and_shut() -> None:
    found = brief({"longest_swim": "1 m"})
    swims = {figure.subject: figure.value for key, figure in found.entries() if key in ("longest_swim", "blocked_swim")}
    assert set(swims) == {"m to den", "g shut"}
    assert margin(found, "demand_swim") == pytest.approx({f"newt / {at}": 1 - swim for at, swim in swims.items()})
    assert value(found, "demands_failed", "newt") == 2


def test_depth_and_area_at_the_lowest_water_by_closed_form() -> None:
    found = brief({"water_depth": "50 cm", "water_area": "20 m^2"})
    # 0.7 m below the waterline the rectangle is 0.35 m smaller on each side.
    assert margin(found, "demand_area")["newt"] == pytest.approx((8 - 0.7) * (6 - 0.7) - 20)
    assert margin(found, "demand_depth")["newt / depth of water"] == pytest.approx(1.2 - 0.2 - 0.5)


def test_the_area_is_marked_in_the_pool_that_has_the_most_of_it_and_not_where_it_is_too_deep() -> None:
    """Two pools of one depth wanted: the larger is nearly all too deep, the smaller counts whole."""
    deep = POOL | {"name": "deep", "at": ["0 m", "12 m"]}
    flat = POOL | {"name": "flat", "at": ["0 m", "-12 m"], "tiers": [{"zone": "a", "depth": "60 cm", "batter": 0.5}]}
    flat["outline"] = {"shape": "rectangle", "length": "7 m", "width": "5 m"}
    found = brief({"water_depth": "10 cm", "most_depth": "80 cm", "water_area": "60 m^2"}, pools=[POOL, deep, flat])
    assert found.animals is not None
    (at,) = [mark.at for mark in found.animals.marks if "area of the depth wanted" in say(mark.text, "si")]
    assert at == (0.0, -12.0)


def test_water_under_ice() -> None:
    found = brief({"under_ice": "60 cm"}, {"ice": "45 cm"})
    assert margin(found, "demand_depth")["newt / water under ice"] == pytest.approx(1.2 - 0.2 - 0.45 - 0.6)
    assert value(found, "demands_failed", "newt") == 1


def test_a_bare_liner_steeper_than_allowed_is_no_way_out_and_a_rough_ramp_is() -> None:
    ramps = [
        {"name": "log", "pool": "pool", "at": [3, 0], "slope": 2, "surface": "wood"},
        {"name": "fold", "pool": "pool", "at": [-3, 0], "slope": 2, "surface": "bare liner"},
    ]
    one = brief({"steepest_way_out": 1.5, "ways_out": 1}, {"ways_out": ramps})
    assert margin(one, "demand_ways_out") == {"newt / pool": 0} and margin(one, "demand_bank")["newt / pool"] == 0.5 - 3
    two = brief({"steepest_way_out": 1.5, "ways_out": 2}, {"ways_out": ramps})
    assert margin(two, "demand_ways_out") == {"newt / pool": -1}
    assert "'fold' does not count" in cautions(figures(two, "demand_ways_out")["newt / pool"])


def test_a_flat_enough_rough_bank_is_a_way_out_all_round() -> None:
    flat = {**POOL, "bank_batter": 3, "tiers": [{"zone": "beach", "depth": 0.3, "batter": 4}]}
    found = brief({"steepest_way_out": 3, "ways_out": 4}, {"bank_surface": "gravel"}, pools=[flat])
    assert margin(found, "demand_bank") == {"newt / pool": 0} and margin(found, "demand_ways_out") == {"newt / pool": 0}
    assert "too_few_ways_out" not in told(figures(found, "demand_ways_out").values())


@pytest.mark.parametrize(
    ("entrance", "by"), [("below water", 0.6 - BORE / 2 - 0.2 - 0.25), ("above water", -0.6 - BORE / 2 - 0.1)]
)
def test_entrance_at_the_lowest_and_highest_water(entrance: str, by: float) -> None:
    found = brief({"entrance": entrance, "entrance_depth": "25 cm"})
    assert margin(found, "demand_entrance") == pytest.approx({"newt / m": by})


def test_dens_mouths_dryness_and_fence() -> None:
    found = brief(
        {"exits": 2, "den_dryness": "10 cm", "fence_height": "60 cm", "fence_dig_in": "20 cm"},
        {"fence_height": "70 cm"},
    )
    assert margin(found, "demand_exits") == {"newt / den": -1}
    assert margin(found, "demand_dry")["newt / den"] == pytest.approx(0.3 - BORE / 2 - 0.1 - 0.1)
    assert margin(found, "demand_fence") == pytest.approx({"newt / height": 0.1, "newt / dig-in": -0.2})


def test_demands_on_passages_that_are_not_there_are_said_to_be_unchecked() -> None:
    found = brief({"body_width": "10 cm"}, tunnels=None)
    assert value(found, "demands_not_checked", "newt") == 1
    assert told(figures(found, "demands_not_checked")["newt"])["not_checked"]


def test_a_way_out_of_no_pool_is_named_and_the_rest_stands() -> None:
    found = brief({"steepest_way_out": 1}, {"ways_out": [{"pool": "pol", "at": [0, 0]}]})
    assert "no pool is called 'pol'" in said(found) and "write 'pool'" in said(found)
    assert figures(found, "demand_ways_out") and value(found, "total_net_volume") > 0


def test_the_picture_tells_passed_and_failed_apart_and_says_them() -> None:
    found = brief({"body_width": "10 cm", "exits": 2})
    figure = view.brief(found.animals, found.pools, found.tunnels, "si")
    assert figure is not None
    marks = {trace["name"]: trace for trace in figure["data"] if trace.get("name") in ("passes", "fails")}
    assert marks["passes"]["marker"]["symbol"] != marks["fails"]["marker"]["symbol"]
    assert (
        "clear bore, passes" in marks["passes"]["hovertext"][0]
        and "mouths to the den, fails" in marks["fails"]["hovertext"][0]
    )
    assert "Fails: newt / den" in view.alt_brief(found.animals, "si")


@pytest.mark.parametrize(("slope", "counts"), [(2.0, True), (1.99, False)])
def test_a_way_out_that_counts_for_no_kind_is_drawn_as_failed(slope: float, counts: bool) -> None:
    ramp = {"name": "log", "pool": "pool", "at": [4, 0], "slope": slope, "surface": "wood"}
    found = brief({"steepest_way_out": 2}, {"ways_out": [ramp]})
    (mark,) = [mark for mark in found.animals.marks if "way out 'log'" in say(mark.text, "si")]
    assert mark.passes == counts and ("counts for no kind" in say(mark.text, "si")) != counts
    assert (value(found, "demand_ways_out", "newt / pool") >= 0) == counts


# ---------------------------------------------------------------- what is filled in and cannot be checked


@pytest.mark.parametrize(
    ("kind", "option", "what"),
    [
        ({"water_area": "5 m^2"}, {}, "area of that depth"),
        ({"most_depth": "50 cm"}, {}, "water no deeper than"),
        ({"entrance": "below water"}, {"tunnels": None}, "entrance below water"),
        ({"exits": 2}, {"tunnels": None}, "mouths to each den"),
        ({"den_dryness": "5 cm"}, {"tunnels": None}, "den floor over water"),
        ({"longest_swim": "3 m"}, {"tunnels": None}, "longest swim"),
        ({"body_width": "10 cm"}, {"tunnels": None}, "clear way"),
        ({"ways_out": 3}, {}, "ways out of each pool"),
        ({"steepest_way_out": 2, "ways_out": 0}, {}, "steepest way out"),
        ({"entrance_depth": "10 cm"}, {}, "entrance under water"),
    ],
)
def test_a_requirement_that_nobody_checked_is_counted_as_such(
    kind: dict[str, Any], option: dict[str, Any], what: str
) -> None:
    found = brief(kind, **option)
    assert (value(found, "demands_failed", "newt"), value(found, "demands_not_checked", "newt")) == (0, 1)
    note = told(figures(found, "demands_not_checked")["newt"])["not_checked"]
    assert f"Not checked: {what}, because" in note.text
    assert value(found, "total_demands_not_checked") == 1
    assert "some_not_checked" in told(figures(found, "total_demands_failed")[""])


def test_every_requirement_is_met_or_not_or_not_checked() -> None:
    """All requirements of a kind at once, without passages: eight need passages or ice, the others are checked."""
    kind = {
        "body_width": "10 cm",
        "longest_swim": "3 m",
        "water_depth": "50 cm",
        "water_area": "5 m^2",
        "under_ice": "40 cm",
        "most_depth": "2 m",
        "steepest_way_out": 2,
        "entrance": "below water",
        "exits": 1,
        "den_dryness": "5 cm",
        "fence_height": "50 cm",
        "fence_dig_in": "20 cm",
    }
    found = brief(kind, {"ice": "10 cm"}, tunnels=None)
    checked = sum(len(figures(found, f"demand_{key}")) for key in ("area", "depth", "ways_out", "fence"))
    assert checked == 1 + 2 + 1 + 2
    assert value(found, "demands_not_checked", "newt") == 6  # clear way, in and under ice; swim; entrance; mouths; den
    whole = brief(kind, {"ice": "10 cm"})
    assert value(whole, "demands_not_checked", "newt") == 0
    assert not told(figures(whole, "total_demands_failed")[""]).get("some_not_checked")


# ---------------------------------------------------------------- too deep, too far, under ice


def test_water_that_is_too_deep_counts_for_nothing_of_the_area_of_shallow_water() -> None:
    """Faces of batter 0.5 to 1.2 m, water 0.1 m up and 0.2 m down: between depths of 0.1 +
    0.2 and 0.6 - 0.1 m at rest, by hand.
    """
    found = brief({"water_depth": "10 cm", "most_depth": "60 cm", "water_area": "1 m^2"})
    shallow, deep = ((8 - depth) * (6 - depth) for depth in (0.1 + 0.2, 0.6 - 0.1))
    assert margin(found, "demand_area")["newt"] == pytest.approx(shallow - deep - 1)
    # A floor of which all is deeper than the most: none of it counts, and the kind that wanted it does not pass.
    surface = {**POOL, "tiers": [{"zone": "deep", "depth": 1.2, "batter": 0}]}
    steep = brief({"water_depth": "10 cm", "most_depth": "60 cm", "water_area": "1 m^2"}, pools=[surface])
    assert margin(steep, "demand_area")["newt"] == pytest.approx(-1)
    assert value(steep, "demands_failed", "newt") == 1


def test_a_way_out_far_from_its_pool_does_not_count() -> None:
    """On the long side of 8 x 6 m, 100 m and 1 m off the waterline, where 2 m is allowed."""
    for off, counts in ((100.0, False), (1.0, True)):
        ramp = {"name": "log", "pool": "pool", "at": [0, 3 + off], "slope": 3, "surface": "wood"}
        found = brief({"steepest_way_out": 2}, {"ways_out": [ramp], "way_out_reach": "2 m"})
        assert margin(found, "demand_ways_out") == {"newt / pool": 0 if counts else -1}


@pytest.mark.parametrize(
    ("ice", "rise", "fall", "clear"),
    [
        ("30 cm", 0.0, 0.2, BORE),  # ice down to -0.5 m, over the crown at -0.6 + half the bore
        ("42 cm", 0.0, 0.2, BORE / 2 - 0.02),  # down to 2 cm below the middle, the invert half the bore below that
        ("60 cm", 0.0, 0.2, 0.0),
        ("42 cm", 0.3, 0.2, BORE / 2 - 0.02),  # higher water lifts the ice off the mouth: the lowest decides
    ],
)
def test_what_ice_leaves_open_of_a_mouth(ice: str, rise: float, fall: float, clear: float) -> None:
    found = brief({"body_width": "5 cm"}, {"ice": ice}, water_rise=rise, water_fall=fall)
    figure = figures(found, "mouth_clear_of_ice")["m"]
    assert figure.value == pytest.approx(clear, abs=1e-9)
    assert margin(found, "demand_ice")["newt / m"] == pytest.approx(clear - 0.05, abs=1e-9)


@pytest.mark.parametrize(
    ("level", "ice"), [(0.05, 0.02), (-0.1, 0.04), (-0.3, 0.2), (0.0, 0.08), (0.3, 0.1), (-0.02, 0.01)]
)
def test_the_least_that_ice_leaves_open_is_that_of_a_fine_search_over_all_water_levels(
    level: float, ice: float
) -> None:
    bore, lowest, highest = 0.1, -0.2, 0.1
    waters = np.linspace(lowest, highest, 30001)
    above, below = level + bore / 2 - waters, waters - ice - (level - bore / 2)
    searched = np.clip(np.maximum(above, below), 0, bore).min()
    assert formulas.mouth_clear_of_ice(level, bore, ice, lowest, highest) == pytest.approx(searched, abs=2e-5)


def test_of_a_mouth_mostly_above_the_water_ice_leaves_the_air_open() -> None:
    """A bore of 10 cm whose middle stands 2 cm over water that neither rises nor falls: 7 cm of it above the water,
    and 5 cm of ice, which reaches below its invert."""
    assert formulas.mouth_clear_of_ice(0.0, 0.1, 0.05, -0.02, -0.02) == pytest.approx(0.07)
