"""Rolls of fabric: every piece once, none over another, nothing lost; by hand, and against plans known to be whole."""

import itertools
import json
import math
import random
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from pondkit import load
from pondkit.project.files import put
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.cost.inputs import ITEMS_OF_RATE
from pondkit.trades.liner import pictures as view
from pondkit.trades.liner.fabrics import fabric_rolls, pieces_of_strip, pieces_of_strips
from pondkit.trades.liner.formulas import strip_count, strips_area
from pondkit.trades.liner.results import FabricStrips, Pad

WIDE, LONG, LAP = 4.0, 20.0, 0.3
strips_of = st.lists(
    st.tuples(st.integers(1, 4), st.floats(1.0, 30.0), st.floats(0.0, 3.0)).map(
        lambda row: FabricStrips("liner", row[0], round(row[1], 3), round(row[2], 3))
    ),
    min_size=0,
    max_size=3,
)
pads_of = st.lists(
    st.tuples(st.integers(1, 9), st.floats(0.3, 3.9), st.floats(0.3, 3.9)).map(
        lambda row: Pad("under stone", row[0], max(row[1:]), min(row[1:]))
    ),
    min_size=0,
    max_size=4,
)


@settings(max_examples=80, deadline=None)
@given(strips_of, pads_of)
def test_every_piece_is_cut_once_none_over_another_and_nothing_is_lost(
    strips: list[FabricStrips], pads: list[Pad]
) -> None:
    found = fabric_rolls(strips, pads, WIDE, LONG, LAP)
    for roll in found.rolls:
        boxes = [shapely.box(p.x, p.y, p.x + p.along, p.y + p.across) for p in (*roll.pieces, *roll.offcuts)]
        assert all(shapely.box(-1e-6, -1e-6, LONG + 1e-6, WIDE + 1e-6).contains(box) for box in boxes)
        assert shapely.area(shapely.union_all(boxes)) == pytest.approx(sum(box.area for box in boxes), abs=1e-5)
        # What is narrower than a millimetre is nothing: one along each strip and one behind each pad at most.
        assert sum(box.area for box in boxes) == pytest.approx(WIDE * LONG, abs=2e-3 * (LONG + WIDE * len(boxes)))
    cut = [piece for roll in found.rolls for piece in roll.pieces]
    wanted = sorted((pad.long, pad.wide) for pad in pads for _ in range(pad.count))
    assert sorted((max(p.along, p.across), min(p.along, p.across)) for p in cut if p.pad) == wanted
    assert found.from_offcuts + found.off_rolls == len(wanted)
    strip_run = sum(sum(piece) for own in strips for piece in pieces_of_strips(own.count, own.length, LONG, LAP))
    assert sum(p.along for p in cut if not p.pad) == pytest.approx(strip_run)
    assert sum(sum(roll.runs) for roll in found.rolls) == pytest.approx(strip_run + found.pad_run)
    assert found.least <= len(found.rolls)


@pytest.mark.parametrize("seed", range(12))
def test_no_bound_is_over_a_plan_that_wastes_nothing(seed: int) -> None:
    """Rolls cut up whole into strips and pads: so many rolls will do, whatever the plan finds."""
    rng = random.Random(seed)
    count, strips, pads = rng.randint(1, 3), [], []
    for roll in range(count):
        x = 0.0
        while LONG - x > 6:
            run = rng.uniform(2, 5)
            x += run
            if rng.random() < 0.5:
                strips.append(FabricStrips(f"liner {roll}", 1, run, 0.0))
                continue
            at = rng.uniform(1, 3)
            pads += [Pad("under stone", 1, max(run, wide), min(run, wide)) for wide in (at, WIDE - at)]
        strips.append(FabricStrips("last", 1, LONG - x, 0.0))
    found = fabric_rolls(strips, pads, WIDE, LONG, LAP)
    assert found.least <= count <= len(found.rolls)


def test_strips_of_two_liners_share_rolls_as_few_as_trying_every_deal() -> None:
    """Five strips of 8 m and three of 11 m on rolls of 20 m: no two of 11 m share a roll, one of each does."""
    runs = [8.0] * 5 + [11.0] * 3
    found = fabric_rolls([FabricStrips("a", 5, 8.0, 0.0), FabricStrips("b", 3, 11.0, 0.0)], [], WIDE, LONG, LAP)
    fewest = next(
        n
        for n in range(1, 9)
        if any(
            all(sum(r for r, at in zip(runs, deal, strict=True) if at == roll) <= LONG for roll in range(n))
            for deal in itertools.product(range(n), repeat=8)
        )
    )
    assert len(found.rolls) == found.least == fewest == 4


@pytest.mark.parametrize(
    ("across", "strips"), [(3.9, 1), (4.0, 1), (4.01, 2), (7.7, 2), (7.71, 3), (11.4, 3), (11.41, 4)]
)
def test_strips_side_by_side_lose_a_lap_each(across: float, strips: int) -> None:
    """By hand: 4 m wide with laps of 0.3 m, one strip covers 4, two 7.7, three 11.4 m."""
    assert strip_count(across, 4.0, 0.3) == strips


def test_the_area_of_strips_holds_the_laps_of_their_joins() -> None:
    """By hand: three strips of 45 m off rolls of 20 m have two joins each: 3 x 45 + 6 x 0.3 = 136.8 m of 4 m."""
    assert strips_area(3, 4.0, 45.0, 6.0, 0.3) == pytest.approx(4 * 136.8)
    long = design(underlay=ROLL | {"roll_length": 5})
    # 8 and 10 m off rolls of 5 m: two strips each, joined once and twice: 0.3 and 0.6 m of 4 m more for each.
    order = values(worked(long), "underlay_area_order")
    assert order == pytest.approx({"one": 2 * 4 * 8.3, "two": 2 * 4 * 10.6}, rel=1e-5)


def test_a_strip_longer_than_a_roll_is_joined_with_laps() -> None:
    # 45 m of 20 m rolls: 20 + 19.7 + 5.9 laid end to end with 0.3 m over each: 45.6 m of fabric.
    assert pieces_of_strip(45.0, 20.0, 0.3) == pytest.approx((20.0, 20.0, 5.6))
    assert pieces_of_strip(39.7, 20.0, 0.3) == pytest.approx((20.0, 20.0))
    assert pieces_of_strip(20.0, 20.0, 0.3) == (20.0,)


def test_pads_come_from_trimmings_then_from_the_end_of_a_roll_then_from_a_further_one() -> None:
    # One strip of 15 m trimmed by 1.2 m: twelve pads of 1.2 m square; the end, 5 x 4 m, gives 4
    # x 3 = 12; the rest a further roll.
    by_count = {
        n: fabric_rolls([FabricStrips("a", 1, 15.0, 1.2)], [Pad("p", n, 1.2, 1.2)], WIDE, LONG, LAP)
        for n in (12, 24, 25)
    }
    assert [(f.from_offcuts, f.off_rolls, len(f.rolls)) for f in by_count.values()] == [
        (12, 0, 1),
        (24, 0, 1),
        (24, 1, 2),
    ]
    assert [round(f.pad_run, 6) for f in by_count.values()] == [0.0, 4.8, 6.0]


# ---------------------------------------------------------------- on a design

ROLL = {"mass": "300 g/m^2", "thickness": "0 mm", "roll_width": 4, "roll_length": 30, "lap": "30 cm"}


def design(boulders: list[dict[str, Any]] | None = None, rates: dict[str, Any] | None = None, **lining: Any) -> Any:
    """Two boxes 1 m deep with upright sides and no bank, each under its own liner without an edge."""
    pools = [
        {
            "name": name,
            "level": 0,
            "freeboard": 0,
            "bank_batter": 0,
            "at": [20 * at, 0],
            "outline": {"shape": "rectangle", "length": long, "width": 5},
            "tiers": [{"zone": "deep", "depth": 1, "batter": 0}],
        }
        for at, (name, long) in enumerate((("one", 6), ("two", 8)))
    ]
    own: dict[str, Any] = {
        "liners": [{"name": name, "covers": [name], "turn_deg": 0} for name in ("one", "two")],
        "edge": 0,
        "underlay": ROLL,
    }
    option = {"name": "A", "pools": pools, "lining": own | lining, "rates": rates}
    if boulders:
        option["stone"] = {"boulders": boulders}
    return load(json.dumps({"pondkit": 1, "units": "si", "options": [option]}).encode())


def worked(project: Any) -> OptionResult:
    return evaluate(project).options[0]


def values(found: OptionResult, key: str) -> dict[str, float]:
    return {figure.subject: figure.value for name, figure in found.entries() if name == key}


SEAT = {"name": "seat", "axes": ["120 cm", "80 cm", "60 cm"], "count": 3, "pool": "two"}


def test_rolls_are_counted_over_all_liners_and_hold_strips_pads_and_offcuts() -> None:
    """8 x 7 m and 10 x 7 m, in two strips each of a 4 m roll with 0.3 m laps: 16 + 20 m on two
    rolls of 30 m, not one each twice over.
    """
    found = worked(design([SEAT], pad_margin="15 cm"))
    assert found.lining and not found.problems
    assert values(found, "underlay_area_order") == pytest.approx({"one": 2 * 4 * 8, "two": 2 * 4 * 10}, rel=1e-5)
    assert values(found, "underlay_rolls") == {"": 2}
    # 4 + 4 - 0.3 - 7 = 0.7 m is trimmed off: too narrow for pads of 1.5 x 1.1 m, three of which
    # take 1.5 m off the end of a roll.
    assert values(found, "pads_from_offcuts") == {"underlay": 3} and values(found, "pads_off_roll") == {"underlay": 0}
    assert values(found, "underlay_pad_order") == {"": pytest.approx(1.5 * 4)}
    assert values(found, "total_underlay_order")[""] == pytest.approx(64 + 80 + 6, rel=1e-5)
    left = 2 * 30 * 4 - 64 - 80 + 0.7 * (8 + 10) - 3 * 1.5 * 1.1
    assert values(found, "fabric_offcut_area") == {"underlay": pytest.approx(left, rel=1e-4)}
    assert sum(values(found, "fabric_offcut").values()) == pytest.approx(left, rel=1e-4)
    assert sum(values(found, "fabric_roll_run").values()) == pytest.approx(36 + 1.5, rel=1e-5)


def test_the_price_of_fabric_is_on_what_strips_and_pads_take_off_the_rolls() -> None:
    found = worked(design([SEAT], {"underlay": "2 per m^2"}, pad_margin="15 cm"))
    order = values(found, "total_underlay_order")[""]
    assert values(found, "price")["Underlay"] == pytest.approx(2 * order)
    assert "underlay_rolls" in ITEMS_OF_RATE["underlay"]  # a price by the roll replaces it: nothing is paid twice


def test_pads_are_cut_from_the_overlay_where_there_is_one() -> None:
    found = worked(design([SEAT], overlay=ROLL))
    assert values(found, "pads_from_offcuts").keys() == {"overlay"} and "underlay_pad_order" not in dict(
        found.entries()
    )


def test_a_pad_larger_than_the_roll_is_named_and_liner_and_strips_stand() -> None:
    huge = SEAT | {"axes": ["4.5 m", "4.2 m", "1 m"], "count": 1}
    found = worked(design([huge]))
    (problem,) = [p for p in found.problems if p.path[0] == "lining"]
    assert problem.path == ("lining", "underlay", "roll_width") and "under seat" in problem.given.text
    assert "margin" in problem.mend.text and found.lining and len(found.lining.liners) == 2
    assert values(found, "underlay_strips") and not values(found, "underlay_rolls")
    assert not values(found, "total_underlay_order") and values(found, "total_liner_order")


def test_a_fabric_no_wider_than_its_lap_is_named() -> None:
    project = put(design(), ("options", 0, "lining", "underlay", "roll_width"), "30.5 cm")
    found = worked(put(project, ("options", 0, "lining", "underlay", "lap"), "31 cm"))
    (problem,) = found.problems
    assert problem.path == ("lining", "underlay", "roll_width") and "gains only" in problem.given.text


def test_pads_against_burrowing_cover_the_zone_with_laps_between() -> None:
    """A circle of 6 m with a face of 45 degrees, 0.5 m deep: its edge is 6 pi m long, the way
    down 0.5 sqrt 2 m and a shelf of 0.4 m.
    """
    pool: dict[str, Any] = {
        "name": "one",
        "freeboard": 0,
        "bank_batter": 0,
        "outline": {"shape": "circle", "diameter": 6},
        "tiers": [
            {"zone": "shelf", "depth": 0.5, "batter": 1, "shelf": 0.4},
            {"zone": "deep", "depth": 1, "batter": 0},
        ],
    }

    def pads(stretch: str, zone: str, across: float = 6) -> tuple[Pad, ...]:
        pool["outline"]["diameter"] = across
        lining = {
            "liners": [{"name": "main", "covers": ["one"]}],
            "underlay": ROLL,
            "pad_margin": "10 cm",
            "burrows": [{"pool": "one", "zone": zone, "stretch": stretch}],
        }
        file = {"pondkit": 1, "units": "si", "options": [{"name": "A", "pools": [pool], "lining": lining}]}
        found = worked(load(json.dumps(file).encode())).lining
        assert found
        return found.extras.pads

    (whole,) = pads("100 %", "shelf")
    way = 0.5 * math.sqrt(2) + 0.4 + 2 * 0.1
    assert whole.count == math.ceil(6 * math.pi / 3.7) and whole.wide == pytest.approx(way, rel=1e-6)
    assert whole.count * (whole.long - 0.3) == pytest.approx(6 * math.pi, rel=1e-4)
    (half,) = pads("50 %", "shelf")
    assert half.count * half.long - (half.count - 1) * 0.3 == pytest.approx(3 * math.pi, rel=1e-4)
    # The floor begins 0.9 m inward: a circle of 2.1 m with a wall of 0.5 m, laid flat 4.2 + 2 x 0.5 m square.
    (floor,) = pads("100 %", "deep")
    assert floor.count * floor.long * floor.wide >= math.pi * 2.1**2 + 2 * math.pi * 2.1 * 0.5
    # With margins 5.4 m square, in two pads that lap by 0.3 m; round its edge it would take 40 m².
    assert (floor.count, floor.long, floor.wide) == (2, pytest.approx(5.4, rel=1e-4), pytest.approx(2.85, rel=1e-4))
    # A floor of 3 m across is laid flat 4.2 m square: 20 cm over the roll, so that it takes two pads too.
    (floor,) = pads("100 %", "deep", across=4.8)
    assert (floor.count, floor.long, floor.wide) == (2, pytest.approx(4.2, rel=1e-4), pytest.approx(2.25, rel=1e-4))
    # 1.6 m across with a wall of 1 m: laid flat 3.8 m square, 14.4 m²; round its edge two pads take 11.3 m².
    pool["tiers"][1]["depth"] = 1.5
    (narrow,) = pads("100 %", "deep", across=3.4)
    around = (2 * math.pi * 0.8 + 2 * 0.3) / 2
    assert (narrow.count, narrow.long, narrow.wide) == (
        2,
        pytest.approx(around, rel=1e-3),
        pytest.approx(2.0, rel=1e-3),
    )


def test_the_drawing_and_its_words_show_every_piece() -> None:
    found = worked(design([SEAT]))
    assert found.lining and found.lining.fabrics
    figure, said = view.cuts(found.lining.fabrics, "si"), view.alt_cuts(found.lining.fabrics, "si")
    assert figure
    ((_, _, plan),) = found.lining.fabrics.cuts
    drawn = {trace["name"]: sum(value is None for value in trace["x"]) for trace in figure["data"]}
    pieces = [piece for roll in plan.rolls for piece in roll.pieces]
    offcuts = sum(len(roll.offcuts) for roll in plan.rolls)
    assert drawn == {"strip": sum(not p.pad for p in pieces), "pad": sum(p.pad for p in pieces), "left over": offcuts}
    assert {note["text"].split(",")[0] for note in figure["layout"]["annotations"]} >= {
        "two<br>strip 2",
        "one<br>strip 1",
    }
    assert "two strip 2" in said and "offcut 1.1" in said and "under seat" in said and "underlay roll 2" in said
    bare = worked(put(design(), ("options", 0, "lining", "underlay"), None))
    assert bare.lining and view.cuts(bare.lining.fabrics, "si") is None


def test_strips_longer_than_short_rolls_are_fed_on_from_what_is_left() -> None:
    # By hand: 5 strips of 29 m off rolls of 20 m, lap 0.3: 20 + 9.3 each, and two of 9.3 share a roll: 8.
    assert len(fabric_rolls([FabricStrips("a", 5, 29.0, 0.0)], [], WIDE, LONG, LAP).rolls) == 8
    # 5 strips of 31 m: 20 + 11.3, of which no two share a roll: 10; fed on, 155 m and four or more laps take 8.
    assert len(fabric_rolls([FabricStrips("a", 5, 31.0, 0.0)], [], WIDE, LONG, LAP).rolls) == 8


def test_of_pads_as_wide_as_each_other_the_longest_are_laid_first() -> None:
    """19 m on rolls of 10 m: two rolls, as 6 + 4 and 5 + 4; the shortest first take 4 + 4, 5, and a third for 6."""
    pads = [Pad(f"{long} m", count, long, 2.0) for count, long in ((2, 4.0), (1, 5.0), (1, 6.0))]
    found = fabric_rolls([], pads, 2.0, 10.0, LAP)
    assert len(found.rolls) == found.least == 2


def test_of_pads_of_unlike_widths_the_widest_are_laid_first() -> None:
    """The same by width: the narrow ones fit beside none, and the narrowest first would take a third roll."""
    pads = [Pad("narrow", 2, 4.0, 1.5), Pad("wide", 1, 5.0, 2.0), Pad("widest", 1, 6.0, 2.0)]
    found = fabric_rolls([], pads, 2.0, 10.0, LAP)
    assert len(found.rolls) == found.least == 2


def test_a_pad_takes_the_smallest_trimming_that_holds_it_so_that_the_larger_stays_whole() -> None:
    """Trimmings of 10 by 1.2 m and of 6 by 3 m: both hold a pad of 5 by 1.2."""
    strips = [FabricStrips("long", 1, 10.0, 1.2), FabricStrips("broad", 1, 6.0, 3.0)]
    (roll,) = fabric_rolls(strips, [Pad("pad", 1, 5.0, 1.2)], WIDE, LONG, LAP).rolls
    sizes = {(round(piece.along, 6), round(piece.across, 6)) for piece in roll.offcuts}
    assert (6.0, 3.0) in sizes and (5.0, 1.2) in sizes
