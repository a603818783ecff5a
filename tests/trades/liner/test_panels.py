"""The liner's cutting plan: never dearer than an exhaustive search, covers with its laps, and what is said of it."""

import itertools
import json
import math
import random
from functools import cache
from typing import Any

import pytest

from pondkit import load
from pondkit.project.files import put
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.liner import pictures as view
from pondkit.trades.liner.panels import (
    Stock,
    StripCut,
    StripPlan,
    _strips_side_by_side,
    cheapest,
    cut_strips,
    fewest_seams,
    joins_apart,
)


def patterns(run: int, length: int, lap: int) -> list[tuple[int, ...]]:
    """Every way to join a strip from pieces of whole lengths, two laps long at the least and no
    longer than a roll, in falling order.
    """
    found: list[tuple[int, ...]] = []

    def more(pieces: tuple[int, ...], covered: int) -> None:
        for piece in range(min(length, pieces[-1] if pieces else length), 2 * lap - 1, -1):
            now = covered + piece - (lap if pieces else 0)
            if now == run:
                found.append((*pieces, piece))
            elif now < run:
                more((*pieces, piece), now)

    more((), 0)
    return found


def fits(pieces: tuple[int, ...], bins: tuple[int, ...]) -> bool:
    """Whether pieces can be cut from what is left of rolls, by trying every roll for each."""
    if not pieces:
        return True
    tried = {left for left in bins if left >= pieces[0]}
    return any(
        fits(pieces[1:], tuple(sorted((*bins[:at], left - pieces[0], *bins[at + 1 :]))))
        for left in tried
        for at in [bins.index(left)]
    )


def parted(strips: tuple[tuple[int, ...], ...], lap: int) -> bool:
    """Whether the strips can lie side by side, in some order and with their pieces in
    some order, no two joins in one line.
    """

    def joins(strip: tuple[int, ...]) -> set[float]:
        return {sum(strip[: k + 1]) - k * lap - lap / 2 for k in range(len(strip) - 1)}

    def rest(before: set[float], left: tuple[tuple[int, ...], ...]) -> bool:
        return not left or any(
            rest(own, (*left[:at], *left[at + 1 :]))
            for at, strip in enumerate(left)
            for order in set(itertools.permutations(strip))
            for own in [joins(order)]
            if all(abs(a - b) >= lap for a in before for b in own)
        )

    return rest(set(), strips)


@cache
def fewest(count: int, run: int, length: int, lap: int) -> int:
    """Fewest rolls by trying every set of joined strips."""
    for rolls in itertools.count(max(math.ceil(count * run / length), 1)):
        for strips in itertools.combinations_with_replacement(patterns(run, length, lap), count):
            pieces = tuple(sorted((piece for strip in strips for piece in strip), reverse=True))
            if sum(pieces) <= rolls * length and fits(pieces, (length,) * rolls) and parted(strips, lap):
                return rolls
    raise AssertionError


def exhaustive(length: int, width: int, stock: list[Stock], lap: int) -> float:
    """Least cost over both directions and all numbers of strips."""
    best = math.inf
    for run, across in ((length, width), (width, length)):
        most = [math.ceil((across - lap) / (one.width - lap)) for one in stock]
        for counts in itertools.product(*(range(m + 1) for m in most)):
            covered = sum(one.width * n for one, n in zip(stock, counts, strict=True)) - lap * (sum(counts) - 1)
            if any(counts) and covered >= across:
                rolls = [fewest(n, run, int(one.length), lap) if n else 0 for one, n in zip(stock, counts, strict=True)]
                best = min(best, sum(one.price * n for one, n in zip(stock, rolls, strict=True)))
    return best


@pytest.mark.parametrize("count", [1, 2, 3, 4])
@pytest.mark.parametrize("length", [4, 5, 7, 9])
@pytest.mark.parametrize("run", [3, 5, 6, 8, 9, 11])
def test_strips_take_no_more_rolls_than_the_best_of_all_joined_ones(count: int, run: int, length: int) -> None:
    made = cut_strips(count, run, length, 1.0)
    assert made.rolls == fewest(count, run, length, 1)
    assert all(sum(strip) - (len(strip) - 1) == pytest.approx(run) for strip in made.strips)
    assert sum(map(sum, made.strips)) + sum(made.offcuts) == pytest.approx(made.rolls * length)
    assert all(joins_apart(a, b, 1.0) for a, b in itertools.pairwise(made.strips))


@pytest.mark.parametrize("seed", range(30))
def test_never_dearer_than_exhaustive_search(seed: int) -> None:
    rng = random.Random(seed)
    stock = [
        Stock(f"roll {i}", rng.choice([3.0, 4.0, 6.0]), rng.choice([5.0, 7.0, 12.0]), float(rng.randint(50, 900)))
        for i in range(rng.randint(1, 2))
    ]
    length, width = rng.randint(4, 11), rng.randint(3, 8)
    made = cheapest(length, width, stock, 1.0)
    assert made.cost == pytest.approx(exhaustive(length, width, stock, 1))
    across = width if made.along else length
    covered = sum(one.width * n for one, n in zip(stock, made.counts, strict=True)) - (sum(made.counts) - 1)
    assert covered >= across - 1e-9


def test_strips_share_rolls_by_hand() -> None:
    # Two strips of 29.5 m: 20 + 9.65 each, both ends of 9.65 off the third roll.
    made = cheapest(29.5, 9.85, [Stock("roll", 5.0, 20.0, 500.0)], 0.15)
    assert made.rolls == (3,) and made.cost == 1500
    # Three strips of 16 m: one off each roll, and one joined from the 9 m that each leaves.
    made = cheapest(16.0, 8.7, [Stock("roll", 3.0, 25.0, 100.0)], 0.15)
    assert made.rolls == (2,) and made.cuts[0].joins == 1


@pytest.mark.parametrize(
    ("run", "pieces"),
    [(20.0, (20.0,)), (20.1, (19.8, 0.6)), (20.3, (20.0, 0.6)), (20.5, (20.0, 0.8)), (39.8, (20.0, 19.8, 0.6))],
)
def test_no_piece_of_a_strip_is_shorter_than_two_laps(run: float, pieces: tuple[float, ...]) -> None:
    """By hand, rolls of 20 m and laps of 0.3 m: what is left of a strip is made two laps long off the piece before."""
    (strip,) = cut_strips(1, run, 20.0, 0.3).strips
    assert sum(strip) - 0.3 * (len(strip) - 1) == pytest.approx(run)
    assert min(strip) >= 0.6 - 1e-9 or len(strip) == 1
    assert sorted(strip) == pytest.approx(sorted(pieces))


def test_neighbours_joins_are_a_lap_apart() -> None:
    """By hand: joins in the middle of laps that end 5 and 5.3 m from the strip's end; nearer is in one line."""
    one = (5.0, 5.0)
    assert (
        joins_apart(one, (5.3, 4.7), 0.3) and not joins_apart(one, (5.29, 4.71), 0.3) and not joins_apart(one, one, 0.3)
    )


def test_long_rows_keep_their_joins_apart() -> None:
    # Each strip is just two rolls long: joined in the middle they would all lie in one line.
    made = cut_strips(60, 39.85, 20.0, 0.15)
    assert all(joins_apart(a, b, 0.15) for a, b in itertools.pairwise(made.strips)) and made.rolls == 121


def lined(rolls: list[dict[str, Any]], seam_lap: str = "15 cm", **more: Any) -> OptionResult:
    """A pool of 8 x 6 m, 1 m deep, upright, one liner made up from rolls."""
    pools = [
        {
            "name": "pool",
            "outline": {"shape": "rectangle", "length": 8, "width": 6},
            "tiers": [{"zone": "deep", "depth": 1, "batter": 0.5}],
        }
    ]
    lining = {"liners": [{"name": "main", "covers": ["pool"]}], "rolls": rolls, "seam_lap": seam_lap}
    file = {"pondkit": 1, "units": "si", "options": [{"name": "A", "pools": pools, "lining": lining} | more]}
    return evaluate(load(json.dumps(file).encode())).options[0]


def figures(found: OptionResult, key: str) -> dict[str, Any]:
    return {figure.subject: figure for name, figure in found.entries() if name == key}


ROLLS = [
    {"name": "wide", "width": 6, "length": 30, "price": 700},
    {"name": "narrow", "width": 3, "length": 20, "price": 250},
]


def test_panels_cover_the_ordered_rectangle_and_lap_by_the_seam_lap() -> None:
    found = lined(ROLLS)
    liner = found.lining.liners[0]  # type: ignore[union-attr]
    length, width = liner.liner_length_order.value, liner.liner_width_order.value
    pieces = liner.panels.pieces
    double = sum(seam.length for seam in liner.panels.seams) * 0.15
    assert sum(piece.along * piece.across for piece in pieces) == pytest.approx(length * width + double)
    assert sum(area.value for area in figures(found, "panel_area").values()) == pytest.approx(length * width + double)
    parts: dict[int, list[int]] = {}
    for piece in pieces:
        strip, _, part = piece.name.partition(".")
        parts.setdefault(int(strip), []).append(int(part or 1))
    assert sorted(parts) == list(range(1, len(parts) + 1))
    assert all(sorted(own) == list(range(1, len(own) + 1)) for own in parts.values())
    assert all(0 < piece.across <= 6 + 1e-9 or 0 < piece.along <= 6 + 1e-9 for piece in pieces)


@pytest.mark.parametrize("side", [-1, 1])
def test_joins_of_neighbours_lie_apart_and_each_lap_upstream_over_downstream(side: int) -> None:
    tiers = [{"zone": "deep", "depth": 1, "batter": 0.5}]
    pools = [
        {"name": "low", "level": 0, "outline": {"shape": "rectangle", "length": 8, "width": 6}, "tiers": tiers},
        {
            "name": "high",
            "level": 0.3,
            "at": [11 * side, 0],
            "outline": {"shape": "rectangle", "length": 8, "width": 6},
            "tiers": tiers,
        },
    ]
    rolls = [{"name": "short", "width": 5, "length": 13, "price": 250}]
    lining = {
        "liners": [{"name": "main", "covers": ["low", "high"], "turn_deg": 0}],
        "rolls": rolls,
        "seam_lap": "15 cm",
    }
    found = lined(rolls, pools=pools, lining=lining)
    panels = found.lining.liners[0].panels  # type: ignore[union-attr]
    cross = [seam for seam in panels.seams if not seam.along]
    assert len(cross) >= 2 and not panels.joins_line_up
    # Panels lie double along every seam, joins across a strip too: nothing else is laid twice.
    liner = found.lining.liners[0]  # type: ignore[union-attr]
    ordered = liner.liner_length_order.value * liner.liner_width_order.value
    double = 0.15 * sum(seam.length for seam in panels.seams)
    assert sum(piece.along * piece.across for piece in panels.pieces) == pytest.approx(ordered + double)
    for one, other in itertools.combinations(cross, 2):
        beside = min(one.start + one.length, other.start + other.length) - max(one.start, other.start)
        assert beside < 0 or one.start == other.start or abs(one.place - other.place) >= 0.15 - 1e-9
    strips: dict[str, list[tuple[int, float]]] = {}
    for piece in panels.pieces:
        strip, _, part = piece.name.partition(".")
        strips.setdefault(strip, []).append((int(part or 1), piece.x))
    # The pieces that go down later lie on the side of the upper pool.
    for own in strips.values():
        along = [x for _, x in sorted(own)]
        assert along == sorted(along, reverse=side < 0)


def test_what_is_bought_is_cut_or_left_over() -> None:
    found = lined(ROLLS)
    sizes = {roll["name"]: roll["width"] * roll["length"] for roll in ROLLS}
    bought = sum(
        sizes[subject.split(" / ")[1]] * figure.value for subject, figure in figures(found, "rolls_to_buy").items()
    )
    used = sum(area.value for area in figures(found, "panel_area").values())
    left = sum(area.value for area in figures(found, "offcut_area").values())
    assert used + left == pytest.approx(bought)


def test_cost_mass_and_people() -> None:
    found = lined(ROLLS)
    prices = {"main / wide": 700, "main / narrow": 250}
    assert figures(found, "plan_cost")["main"].value == sum(
        prices[name] * rolls.value for name, rolls in figures(found, "rolls_to_buy").items()
    )
    for name, mass in figures(found, "panel_mass").items():
        assert mass.value == pytest.approx(figures(found, "panel_area")[name].value * 1150 * 45 * 0.0000254)
        assert figures(found, "panel_carriers")[name].value == math.ceil(mass.value / (50 * 0.45359237))


def test_a_boulder_on_a_seam_is_said() -> None:
    plain = lined([ROLLS[1]])
    seam = plain.lining.liners[0].panels.seams[0]  # type: ignore[union-attr]
    assert not any("meets" in c.text for figure in figures(plain, "panel_seam_depth").values() for c in figure.cautions)
    spots = [[x / 2, y / 2] for x in range(-8, 9) for y in range(-6, 7)]
    boulder = {
        "name": "seat",
        "axes": ["40 cm", "40 cm", "40 cm"],
        "count": len(spots),
        "places": spots,
        "pool": "pool",
    }
    found = lined([ROLLS[1]], stone={"boulders": [boulder]})
    assert any("meets boulder seat" in c.text for c in figures(found, "panel_seam_depth")["main / seam 1"].cautions)
    assert seam.length > 0


def test_one_sheet_that_is_large_enough_has_no_seam() -> None:
    found = lined([*ROLLS, {"name": "sheet", "width": 14, "length": 16, "price": 400}])
    assert figures(found, "rolls_to_buy").keys() == {"main / sheet"} and not figures(found, "panel_seam_length")
    assert "under water" not in view.alt_layout(found.lining.liners[0], "si")  # type: ignore[union-attr]


def test_a_roll_that_gains_less_than_an_inch_is_named_and_the_pools_stand() -> None:
    pools = [
        {
            "name": "pool",
            "outline": {"shape": "rectangle", "length": 8, "width": 6},
            "tiers": [{"zone": "deep", "depth": 1}],
        }
    ]
    lining = {
        "liners": [{"name": "main", "covers": ["pool"]}],
        "rolls": [{"name": "tape", "width": 0.636, "length": 20}],
        "seam_lap": "60.96 cm",
    }
    file = {"pondkit": 1, "units": "si", "options": [{"name": "A", "pools": pools, "lining": lining}]}
    narrow = load(json.dumps(file).encode())
    assert not evaluate(narrow).options[0].problems
    same = put(narrow, ("options", 0, "lining", "rolls", 0, "width"), "61.06 cm")
    found = evaluate(same).options[0]  # a millimetre over the lap took 14 s to plan
    assert "gains only" in found.problems[0].given.text and found.problems[0].path[1] == "rolls"
    assert found.pools and found.lining is not None and not found.lining.liners


def test_the_layout_names_each_panel_with_its_size() -> None:
    found = lined(ROLLS)
    figure = view.layout(found.lining.liners[0], "si", lap=0.15)  # type: ignore[union-attr]
    said = " ".join(note["text"] for note in figure["layout"]["annotations"])
    assert all(f"{piece.name}: " in said for piece in found.lining.liners[0].panels.pieces)  # type: ignore[union-attr]
    assert "In the order in which they go down" in view.alt_layout(found.lining.liners[0], "si")  # type: ignore[union-attr]


def test_rolls_hardly_longer_than_two_laps_are_still_planned() -> None:
    # Two strips of 11 m off rolls of 62 cm with a lap of 30: each piece gains 32 cm, 34 pieces and more a strip.
    made = cut_strips(2, 11.0, 0.62, 0.30)
    assert all(sum(strip) - 0.30 * (len(strip) - 1) == pytest.approx(11.0) for strip in made.strips)
    assert made.rolls >= math.ceil(2 * (11.0 - 0.3) / 0.32)


def test_the_plan_with_the_fewest_seams_stands_beside_the_cheapest() -> None:
    # By hand, 12 x 8 m with a lap of 0.2: narrow rolls of 3 m are cheap (7.8 / 2.8: three strips, two seams of 12 m, 3
    # x 100), one wide roll of 6 m and a narrow one make it up with one seam; two wide ones as well, and dearer.
    stock = [Stock("narrow", 3.0, 12.0, 100.0), Stock("wide", 6.0, 12.0, 450.0)]
    cheap, few = cheapest(12.0, 8.0, stock, 0.2), fewest_seams(12.0, 8.0, stock, 0.2)
    assert (cheap.cost, cheap.seams, cheap.pieces) == (300.0, 24.0, 3)
    assert (few.cost, few.seams, few.pieces) == (550.0, 12.0, 2)


def test_both_plans_are_shown_and_one_alone_where_they_are_one() -> None:
    rolls = [
        {"name": "narrow", "width": 2, "length": 20, "price": 100},
        {"name": "sheet", "width": 14, "length": 16, "price": 4000},
    ]
    found = lined(rolls)
    assert figures(found, "fewest_seams_cost")["main"].value == 4000 > figures(found, "plan_cost")["main"].value
    assert (
        figures(found, "fewest_seams_pieces")["main"].value == 1
        and figures(found, "fewest_seams_length")["main"].value == 0
    )
    assert not figures(lined(rolls[1:]), "fewest_seams_cost")


def test_a_strip_beside_one_of_another_width_is_turned_where_their_joins_would_meet() -> None:
    """Strips of 3 + 5 m on rolls of two widths: one of them the other way round, so that the joins are 2 m apart."""
    strip = (3.0, 5.0)
    one = StripCut(1, (strip,), ())
    choice = StripPlan(True, (one, one), 0.0, 8.0)
    stock = [Stock("a", 3.0, 20.0, 1.0), Stock("b", 2.0, 20.0, 1.0)]
    strips, stacked = _strips_side_by_side(choice, stock, 0.1)
    assert not stacked
    assert [kind for kind, _ in strips] == [0, 1]
    assert sorted(pieces for _, pieces in strips) == [(3.0, 5.0), (5.0, 3.0)]
