"""The stone of an option: what it takes of the water, what is ordered, what keeps it from being worked out."""

import json
import math
from typing import Any

import pytest

from pondkit import load
from pondkit.core.entry import Entry
from pondkit.core.remembered import Memory
from pondkit.drawing.rows import say_problem
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.stone.results import StoneResult
from tests.designs import DEMO_NAMES, demo, option, pool, small
from tests.memory import asked

INCH, GALLON = 0.0254, 231 * 0.0254**3
SEAT = {"name": "seat", "count": 4, "axes": ["40 in", "30 in", "20 in"], "pool": "pool", "under_water": 0.5}


def worked(
    stone: dict[str, Any], *, units: str = "us", soil: str = "clay", pools: list[dict[str, Any]] | None = None
) -> OptionResult:
    data = small(units=units, site={"soil": soil}, options=[option(stone=stone, pools=pools or [pool()])])
    return evaluate(load(json.dumps(data).encode())).options[0]


def stone_of(result: OptionResult) -> StoneResult:
    assert result.stone is not None
    return result.stone


def figure(result: OptionResult, key: str, subject: str = "") -> Entry:
    found = [entry for name, entry in result.entries() if (name, entry.subject) == (key, subject)]
    assert len(found) == 1, f"{key} of '{subject}' stands {len(found)} times"
    return found[0]


def problems(stone: dict[str, Any], **more: Any) -> list[str]:
    data = small(options=[option(stone=stone, **more)])
    project = load(json.dumps(data).encode())
    results = evaluate(project)
    return [say_problem(project, path, problem, "us") for path, problem in results.problems]


# ---------------------------------------------------------------- what it takes of the water


def test_net_volume_and_open_water_are_what_stone_leaves_of_gross_volume_and_surface() -> None:
    bare = worked({})
    stony = worked({"boulders": [SEAT], "edging": [{"pool": "pool", "seat": "inside", "base_level": "-9 in"}]})
    for key in ("gross_volume", "surface_area"):
        assert figure(stony, key, "pool").value == figure(bare, key, "pool").value
    displaced = sum(e.value for e in (*stone_of(stony).boulder_displaced, *stone_of(stony).edging_displaced))
    cover = sum(e.value for e in (*stone_of(stony).boulder_cover, *stone_of(stony).edging_cover))
    assert figure(stony, "stone_displaced", "pool").value == pytest.approx(displaced)
    assert figure(bare, "net_volume", "pool").value - figure(stony, "net_volume", "pool").value == pytest.approx(
        displaced
    )
    assert figure(bare, "open_water_area", "pool").value - figure(
        stony, "open_water_area", "pool"
    ).value == pytest.approx(cover)


def test_four_boulders_half_under_water_by_hand() -> None:
    # ellipsoid: pi / 6 x 40 x 30 x 20 in = 12,566.4 in³ = 54.40 US gal; four of them, half of each
    result = worked({"boulders": [SEAT]})
    assert figure(result, "boulder_volume", "seat").value / GALLON == pytest.approx(12566.37 / 231, rel=1e-6)
    assert figure(result, "stone_displaced", "pool").value / GALLON == pytest.approx(2 * 12566.37 / 231, rel=1e-6)
    # four ellipses of 40 x 30 in in plan
    assert figure(result, "stone_cover", "pool").value == pytest.approx(math.pi * 40 * 30 * INCH**2, rel=1e-9)


def test_every_one_of_the_count_displaces_placed_or_not() -> None:
    none = worked({"boulders": [SEAT]})
    two = worked({"boulders": [SEAT | {"places": [["5 ft", "1 ft"], ["-5 ft", "1 ft"]]}]})
    one = figure(none, "boulder_volume", "seat").value
    assert figure(none, "stone_displaced", "pool").value == pytest.approx(4 * one / 2)
    # two lie wholly under 30 in of water, of two without a place half is entered as under it
    assert figure(two, "stone_displaced", "pool").value == pytest.approx(3 * one)
    assert [len(rings) for _, rings in stone_of(two).boulder_rings] == [2]
    assert stone_of(none).boulder_rings == ()


def test_net_volume_is_least_where_stone_is_most() -> None:
    net = figure(worked({"boulders": [SEAT]}), "net_volume", "pool")
    stone = next(term for term in net.terms if term.name == "stone")
    assert net.low is not None
    assert net.high is not None
    assert net.low < net.value < net.high
    displaced = figure(worked({"boulders": [SEAT]}), "stone_displaced", "pool")
    assert stone.value == displaced.value
    assert net.value - net.low == pytest.approx(displaced.most - displaced.value)


def test_a_boulder_takes_only_of_the_pool_that_it_names() -> None:
    pools = [pool("a"), pool("b", at=["40 ft", "0 ft"])]
    result = worked({"boulders": [SEAT | {"pool": "b"}]}, pools=pools)
    assert [e.subject for e in stone_of(result).stone_displaced] == ["b"]
    assert figure(result, "net_volume", "a").value == pytest.approx(figure(result, "gross_volume", "a").value)
    loose = worked({"boulders": [{k: v for k, v in SEAT.items() if k != "pool"}]})
    assert stone_of(loose).stone_displaced == ()
    assert figure(loose, "stone_mass").value == pytest.approx(figure(result, "stone_mass").value)


def test_a_place_outside_the_waterline_is_said() -> None:
    said = figure(
        worked({"boulders": [SEAT | {"places": [["5 ft", "0 ft"], ["20 ft", "0 ft"]]}]}), "boulder_displaced", "seat"
    ).cautions
    assert "lie outside the waterline of 'pool'" in said[0].text
    assert [term.value for term in said[0].terms] == [1, 2]
    dry = worked({"boulders": [SEAT | {"places": [["20 ft", "0 ft"]], "under_water": 0}]})
    assert not figure(dry, "boulder_displaced", "seat").cautions


def test_a_row_outside_widens_liner_and_dig_and_leaves_the_water_as_it_was() -> None:
    bare, edged = worked({}), worked({"edging": [{"pool": "pool", "base_level": "-6 in", "across": "14 in"}]})
    for key in ("gross_volume", "net_volume", "open_water_area"):
        assert figure(edged, key, "pool").value == pytest.approx(figure(bare, key, "pool").value)
    assert edged.pools[0].surfaces.liner.rim > bare.pools[0].surfaces.liner.rim + 13 * INCH
    assert edged.pools[0].surfaces.dig.surface.volume(0.0) > bare.pools[0].surfaces.dig.surface.volume(0.0)
    assert edged.pools[0].surfaces.finished.surface.volume(0.0) == pytest.approx(
        bare.pools[0].surfaces.finished.surface.volume(0.0)
    )


def test_zones_levels_and_gravel_do_not_touch_what_stone_gives() -> None:
    # symmetry: a pool moved, turned and raised with its stone has the same stone
    stone = {"boulders": [SEAT], "edging": [{"pool": "pool", "seat": "inside", "base_level": "-9 in"}]}
    raised = {"boulders": [SEAT], "edging": [{"pool": "pool", "seat": "inside", "base_level": "15 in"}]}
    here = stone_of(worked(stone))
    there = stone_of(worked(raised, pools=[pool(level="24 in", at=["30 ft", "-9 ft"], turn_deg=40)]))
    for (key, a), (other, b) in zip(here.entries(), there.entries(), strict=True):
        assert key == other
        assert a.value == pytest.approx(b.value, rel=1e-9)


def test_us_and_si_files_agree() -> None:
    us = stone_of(worked({"boulders": [SEAT], "edging": [{"pool": "pool", "base_level": "-6 in"}]}))
    boulder = SEAT | {"axes": ["1016 mm", "762 mm", "508 mm"]}
    edging = {
        "pool": "pool",
        "base_level": "-152.4 mm",
        "along": "457.2 mm",
        "across": "355.6 mm",
        "height": "304.8 mm",
    }
    si = stone_of(worked({"boulders": [boulder], "edging": [edging]}, units="si"))
    for (_, a), (_, b) in zip(us.entries(), si.entries(), strict=True):
        assert a.value == pytest.approx(b.value, rel=1e-9)


FLAT = pool(
    outline={"shape": "rectangle", "length": "20 ft", "width": "20 ft"},
    tiers=[{"zone": "deep", "depth": "40 in", "batter": 0}],
)


def test_three_slabs_in_40_in_of_water_displace_all_of_themselves_whatever_share_is_entered() -> None:
    slab = {
        "name": "slab",
        "count": 3,
        "axes": ["60 in", "36 in", "20 in"],
        "form": "block",
        "axes_within": 0,
        "pool": "pool",
    }
    places = [["-6 ft", "0 ft"], ["0 ft", "0 ft"], ["6 ft", "0 ft"]]
    result = worked({"boulders": [slab | {"under_water": 0.35, "places": places}]}, pools=[FLAT])
    # 60 x 36 x 20 in = 25 ft³ each, 75 ft³ = 561.04 US gal
    assert figure(result, "stone_displaced", "pool").value / GALLON == pytest.approx(75 * 1728 / 231, rel=1e-9)
    net, gross = (figure(result, key, "pool").value for key in ("net_volume", "gross_volume"))
    assert (gross - net) / GALLON == pytest.approx(75 * 1728 / 231, rel=1e-9)
    assert not stone_of(result).stone_cover
    # 45 in high they would break the surface by 5 in: 40 / 45 of each is under water
    tall = slab | {"axes": ["60 in", "46 in", "45 in"], "places": places}
    high = worked({"boulders": [tall]}, pools=[FLAT])
    assert figure(high, "stone_displaced", "pool").value == pytest.approx(3 * 60 * 46 * 40 * INCH**3)
    # a block's plan is a rectangle
    assert figure(high, "stone_cover", "pool").value == pytest.approx(3 * 60 * 46 * INCH**2)


@pytest.mark.parametrize(("depth", "height"), [(9, 20), (15, 20), (19.9, 20), (25, 20)])
def test_a_stone_of_an_ellipsoid_on_a_shelf_displaces_its_segment_under_water(depth: float, height: float) -> None:
    """By 20,000 slices of an ellipsoid of 40 x 30 in, as high as its shortest axis, in water of a depth."""
    flat = FLAT | {"tiers": [{"zone": "shelf", "depth": f"{depth} in", "batter": 0}]}
    stone = SEAT | {
        "count": 1,
        "places": [["0 ft", "0 ft"]],
        "axes": ["40 in", "30 in", f"{height} in"],
        "under_water": 0,
    }
    found = figure(worked({"boulders": [stone]}, pools=[flat]), "boulder_displaced", "seat")
    n = 20000
    levels = [(at + 0.5) * height / n for at in range(n)]
    slices = (math.pi / 4 * 40 * 30 * (1 - (2 * z / height - 1) ** 2) * height / n for z in levels if z < depth)
    assert found.value == pytest.approx(sum(slices) * INCH**3, rel=1e-3)
    assert found.least < found.value < found.most
    cover = [e.value for e in stone_of(worked({"boulders": [stone]}, pools=[flat])).boulder_cover]
    assert cover == ([] if depth > 22 else [pytest.approx(math.pi / 4 * 40 * 30 * INCH**2)])


def test_a_stone_on_another_stands_higher_by_the_lower_one() -> None:
    """A block of 20 in on one of 20 in in 40 in of water: both under it; in 30 in the upper one by half."""
    low = {
        "name": "low",
        "axes": ["40 in", "30 in", "20 in"],
        "form": "block",
        "axes_within": 0,
        "pool": "pool",
        "places": [["0 ft", "0 ft"]],
    }
    top = low | {"name": "top", "rests_on": "low"}
    box = 40 * 30 * 20 * INCH**3
    for depth, share in ((40, 1.0), (30, 0.5), (20, 0.0)):
        deep = FLAT | {"tiers": [{"zone": "deep", "depth": f"{depth} in", "batter": 0}]}
        result = worked({"boulders": [low, top]}, pools=[deep])
        assert figure(result, "boulder_displaced", "low").value == pytest.approx(box)
        assert figure(result, "boulder_displaced", "top").value == pytest.approx(share * box)
        assert figure(result, "boulders_overlapping").value == 0


def test_two_stones_in_one_place_are_named() -> None:
    def pairs(gap: str, **changes: Any) -> Entry:
        one = SEAT | {"name": "one", "count": 1, "form": "block", "axes_within": 0, "places": [["0 ft", "0 ft"]]}
        other = one | {"name": "other", "places": [["0 ft", gap]]} | changes
        return figure(worked({"boulders": [one, other]}, pools=[FLAT]), "boulders_overlapping")

    assert pairs("29 in").value == 1  # 30 in wide each
    assert "one 1 and other 1" in pairs("29 in").cautions[0].text
    assert pairs("30 in").value == 0
    assert pairs("29 in", rests_on="one").value == 0
    assert pairs("29 in", pool=None).value == 1
    assert figure(worked({"boulders": [SEAT | {"places": [["0 ft", "0 ft"]] * 2}]}), "boulders_overlapping").value == 1


@pytest.mark.parametrize(("stones", "more"), [(5, False), (6, True)])
def test_the_first_dozen_of_overlapping_pairs_are_named(stones: int, more: bool) -> None:
    """Five stones in one place make 10 pairs, six 15, of which 12 are named."""
    heap = SEAT | {"count": stones, "form": "block", "axes_within": 0, "places": [["0 ft", "0 ft"]] * stones}
    found = figure(worked({"boulders": [heap]}, pools=[FLAT]), "boulders_overlapping")
    assert found.value == stones * (stones - 1) / 2
    assert found.cautions[0].text.count(" and seat") == min(found.value, 12)
    assert ("; and 3 more pairs" in found.cautions[0].text) == more


def test_a_stone_under_another_that_is_set_higher_meets_nothing() -> None:
    """A shelf at 9 in over a floor at 30 in: a stone of 20 in on the floor ends 1 in under it."""
    tiers = [
        {"zone": "marsh", "depth": "9 in", "shelf": "2 ft", "batter": 0},
        {"zone": "deep", "depth": "30 in", "batter": 0},
    ]
    pools = [pool(outline={"shape": "rectangle", "length": "20 ft", "width": "20 ft"}, tiers=tiers)]
    low = SEAT | {"name": "low", "count": 1, "form": "block", "places": [["0 ft", "-7 ft"]]}
    high = low | {"name": "high", "places": [["0 ft", "-8.5 ft"]]}
    assert figure(worked({"boulders": [low, high]}, pools=pools), "boulders_overlapping").value == 0
    tall = low | {"axes": ["40 in", "30 in", "22 in"]}
    assert figure(worked({"boulders": [tall, high]}, pools=pools), "boulders_overlapping").value == 1


# ---------------------------------------------------------------- what is ordered


def test_the_order_is_all_boulders_and_edging_with_low_and_high() -> None:
    result = worked(
        {"boulders": [SEAT, SEAT | {"name": "step", "count": 2}], "edging": [{"pool": "pool", "base_level": "-6 in"}]}
    )
    stone = stone_of(result)
    parts = [*stone.boulder_mass_all, *stone.edging_mass]
    for whole in (stone.stone_mass, stone.stone_order):
        assert whole is not None
        assert whole.value == pytest.approx(sum(part.value for part in parts))
        assert whole.low == pytest.approx(sum(part.least for part in parts))
        assert whole.high == pytest.approx(sum(part.most for part in parts))
    assert stone.boulders_order is not None
    assert stone.edging_order is not None
    assert stone.boulders_order.value + stone.edging_order.value == pytest.approx(stone.stone_mass.value)  # type: ignore[union-attr]


def test_no_stone_no_order() -> None:
    empty = stone_of(worked({}))
    assert (empty.stone_mass, empty.stone_order, empty.boulders_order, empty.edging_order, empty.heaviest_boulder) == (
        None,
    ) * 5
    assert not list(empty.entries())
    assert stone_of(worked({"boulders": [SEAT]})).edging_order is None


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_demos_have_no_problem_in_their_stone_and_no_key_twice_for_one_subject(name: str) -> None:
    for result in evaluate(demo(name)).options:
        if result.stone is None:
            continue
        assert result.stone.problems == ()
        met = [(key, entry.subject) for key, entry in result.stone.entries()]
        assert len(met) == len(set(met))
        for _, entry in result.stone.entries():
            assert entry.source
            assert entry.formula or entry.working
            assert entry.least <= entry.value <= entry.most


# ---------------------------------------------------------------- what keeps it from being worked out


@pytest.mark.parametrize(
    ("stone", "said"),
    [
        (
            {"boulders": [SEAT | {"pool": "pol"}]},
            ["boulder 'seat', pool: no pool is called 'pol'", "one of pool", "write 'pool' if that is meant"],
        ),
        (
            {"edging": [{"pool": "brook", "base_level": 0}]},
            ["edging 1, pool: no pool is called 'brook'", "one of pool"],
        ),
        (
            {"boulders": [SEAT | {"count": 1, "places": [[0, 0], [1, 1]]}]},
            ["boulder 'seat', places: 2 places are given", "at most 1", "raise the count"],
        ),
        (
            {"edging": [{"pool": "pool", "base_level": "-10 in"}]},
            [
                "edging 1, base level: its base, -10 in, lies below the floor of the first tier of 'pool'",
                "-9 in",
                "4 in, the rim",
            ],
        ),
        (
            {"edging": [{"pool": "pool", "seat": "inside", "base_level": "5 in"}]},
            ["base level: its base, 5 in, lies above the rim of 'pool'", "lower it"],
        ),
        (
            {"edging": [{"pool": "pool", "seat": "inside", "base_level": "-9 in", "across": "7 ft"}]},
            ["edging 1, across: it is 7 ft wide", "less than 6 ft", "set the row outside"],
        ),
        (
            {"edging": [{"pool": "pool", "base_level": 0}, {"pool": "pool", "base_level": 0}]},
            ["edging 2, seat: a second row stands outside the outline of 'pool'", "the first outside is row 1"],
        ),
        (
            {"boulders": [SEAT | {"count": 30, "under_water": 0.01}]},
            [
                "boulder 'seat', count: all stone in 'pool' takes 196.3 ft²",
                "less than its water surface, 169.6 ft²",
                "fewer or smaller",
            ],
        ),
        (
            {"boulders": [SEAT | {"count": 40, "under_water": 1}]},
            ["stone: the stone in 'pool' displaces", "less than its gross volume", "deepen the pool"],
        ),
    ],
)
def test_a_fault_is_a_problem_that_names_place_value_what_is_allowed_and_the_mend(
    stone: dict[str, Any], said: list[str]
) -> None:
    found = problems(stone)
    assert len(found) == 1
    for words in said:
        assert words in found[0]


@pytest.mark.parametrize(
    "stone",
    [
        {"boulders": [SEAT, SEAT | {"name": "lost", "pool": "pol"}]},
        {"boulders": [SEAT, SEAT | {"name": "many", "places": [[0, 0]] * 5}]},
        {"boulders": [SEAT], "edging": [{"pool": "pool", "seat": "inside", "base_level": "-9 in", "across": "7 ft"}]},
        {"boulders": [SEAT], "edging": [{"pool": "pool", "base_level": "-10 in"}]},
        {"boulders": [SEAT, SEAT | {"name": "more", "count": 40, "under_water": 1}]},
        {"boulders": [SEAT, SEAT | {"name": "more", "count": 30, "under_water": 0.01}]},
    ],
)
def test_no_sum_silently_lacks_what_is_in_trouble(stone: dict[str, Any]) -> None:
    result = worked(stone)
    assert result.problems
    assert result.totals.total_net_volume is None
    if any("is called" in p.given.text for p in result.problems):
        return
    assert not result.totals.net_volume


def test_a_fault_leaves_other_boulders_and_other_pools_standing() -> None:
    pools = [pool("a"), pool("b", at=["40 ft", "0 ft"])]
    stone = {"boulders": [SEAT | {"pool": "a", "name": "bad", "places": [[0, 0]] * 5}, SEAT | {"pool": "b"}]}
    result = worked(stone, pools=pools)
    assert [e.subject for e in stone_of(result).boulder_mass] == ["seat"]
    assert [e.subject for e in result.totals.net_volume] == ["b"]
    assert stone_of(result).stone_order is None
    assert stone_of(result).in_doubt == ("a",)


def test_stone_in_a_pool_that_is_in_trouble_itself_brings_no_second_problem() -> None:
    crossed = pool("bad", outline={"shape": "points", "smooth": False, "points": [[0, 0], [9, 9], [9, 0], [0, 9]]})
    stone = {"boulders": [SEAT | {"pool": "bad"}], "edging": [{"pool": "bad", "base_level": "0 in"}]}
    result = worked(stone, pools=[pool(at=["40 ft", "0 ft"]), crossed])
    assert [problem.path[:2] for problem in result.problems] == [("pools", 1)]
    assert stone_of(result).stone_order is None
    assert figure(result, "boulder_mass", "seat").value > 0


# ---------------------------------------------------------------- what depends on what


def test_a_lower_tier_leaves_the_stone_as_it_was_and_a_boulder_the_pools() -> None:
    memory = Memory()
    stone = {"boulders": [SEAT], "edging": [{"pool": "pool", "base_level": "-6 in"}]}

    def run(depth: str, axis: str) -> OptionResult:
        tiers = [{"zone": "marsh", "depth": "9 in", "shelf": "2 ft"}, {"zone": "deep", "depth": depth}]
        boulder = SEAT | {"axes": [axis, "30 in", "20 in"]}
        data = small(options=[option(stone=stone | {"boulders": [boulder]}, pools=[pool(tiers=tiers)])])
        return asked(load(json.dumps(data).encode()), memory).options[0]

    first, deeper, longer = run("30 in", "40 in"), run("31 in", "40 in"), run("31 in", "41 in")
    assert deeper.stone is first.stone
    assert longer.stone is not first.stone
    assert longer.pools[0] is deeper.pools[0]
