"""Cutting plans against an integer program of a general library, the length bound, and hand-made cases."""

import itertools
import math
import random
import time
from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, milp

from pondkit.solvers import cutting_stock
from pondkit.solvers.cutting_stock import _Search, least_plan, plan
from pondkit.solvers.cutting_stock import fewest as bound

pieces_of = st.lists(st.floats(0.15, 3.0).map(lambda v: round(v, 3)), min_size=1, max_size=9)


def fewest(lengths: list[float], stock: float, kerf: float) -> int:
    """Fewest stock lengths by an integer program over assignments: the slow second way (scipy, HiGHS)."""
    n = len(lengths)
    cost = np.concatenate([np.ones(n), np.zeros(n * n)])
    placed = np.zeros((n, n + n * n))
    held = np.zeros((n, n + n * n))
    for piece in range(n):
        placed[piece, n + piece * n : n + piece * n + n] = 1.0
    for length in range(n):
        held[length, length] = -(stock + kerf)
        for piece in range(n):
            held[length, n + piece * n + length] = lengths[piece] + kerf
    found = milp(
        cost,
        integrality=np.ones(n + n * n),
        bounds=(0, 1),
        constraints=[LinearConstraint(placed, 1, 1), LinearConstraint(held, -np.inf, 1e-9)],
    )
    assert found.success
    return round(found.fun)


@settings(max_examples=25, deadline=None)
@given(pieces_of)
def test_a_plan_is_as_good_as_an_integer_program(lengths: list[float]) -> None:
    made = plan(lengths, 3.0, 0.003)
    least = fewest(lengths, 3.0, 0.003)
    assert made.least <= least <= len(made.stock)
    assert len(made.stock) == least and made.proven  # the search comes to its end for so few pieces


@given(pieces_of)
def test_every_piece_is_cut_once_and_fits_with_its_kerf(lengths: list[float]) -> None:
    made = plan(lengths, 3.0, 0.003)
    assert sorted(at for stock in made.stock for at in stock) == list(range(len(lengths)))
    for stock in made.stock:
        assert sum(lengths[at] for at in stock) + 0.003 * (len(stock) - 1) <= 3.0 + 1e-6
    assert len(made.stock) >= math.ceil(sum(lengths) / 3.0 - 1e-9)


def test_first_fit_alone_would_buy_one_too_many() -> None:
    # By hand: 1.8 + 1.2 and twice 1.2 + 0.9 + 0.9 fill three lengths of 3.0; longest first puts 1.2 + 1.2 together.
    made = plan([1.8, 1.2, 1.2, 1.2, 0.9, 0.9, 0.9, 0.9], 3.0, 0.0)
    assert len(made.stock) == 3 and made.proven


def test_a_whole_length_needs_no_cut_and_two_halves_need_room_for_one() -> None:
    assert len(plan([3.0, 3.0], 3.0, 0.003).stock) == 2
    assert len(plan([1.5, 1.5], 3.0, 0.003).stock) == 2
    assert len(plan([1.5, 1.497], 3.0, 0.003).stock) == 1


def test_a_hundred_long_pieces_are_planned_at_once() -> None:
    # Bad input must not hang (300 runs are allowed): more pieces than any search could try.
    lengths = [round(0.9 + 0.013 * (n * 37 % 101), 4) for n in range(300)]
    made = plan(lengths, 3.0, 0.003)
    assert made.least <= len(made.stock) <= 11 / 9 * made.least + 1  # the bound known for first-fit-decreasing


@pytest.mark.parametrize("seed", range(12))
def test_the_proven_plan_is_that_of_brute_force_on_small_cases(seed: int) -> None:
    rng = random.Random(seed)
    lengths = [rng.uniform(0.5, 2.2) for _ in range(8)]
    made = least_plan(lengths, 3.0, 0.003)
    assert made.proven and len(made.stock) == by_force(lengths, 3.0, 0.003)


def by_force(lengths: list[float], stock: float, kerf: float) -> int:
    """Fewest lengths over all ways to deal the pieces, one after the other, to lengths begun or to a new one."""
    best = len(lengths)

    def deal(at: int, rooms: list[float]) -> None:
        nonlocal best
        if len(rooms) >= best:
            return
        if at == len(lengths):
            best = len(rooms)
            return
        for index in range(len(rooms)):
            if lengths[at] + kerf <= rooms[index] + 1e-9:
                deal(at + 1, [*rooms[:index], rooms[index] - lengths[at] - kerf, *rooms[index + 1 :]])
        deal(at + 1, [*rooms, stock - lengths[at]])

    deal(0, [])
    return best


@pytest.mark.parametrize("seed", [8, 16, 17, 30])
def test_the_proven_plan_deals_every_piece_once_fits_and_meets_the_length_bound(seed: int) -> None:
    rng = random.Random(seed)
    lengths = [rng.uniform(0.3, 2.9) if seed % 2 else rng.uniform(0.6, 1.7) for _ in range(40)]
    made = least_plan(lengths, 3.0, 0.003)
    assert sorted(i for own in made.stock for i in own) == list(range(40))
    assert all(sum(lengths[i] for i in own) + 0.003 * (len(own) - 1) <= 3.0 + 1e-6 for own in made.stock)
    assert math.ceil(sum(lengths) / 3.0) <= made.least <= len(made.stock) <= len(plan(lengths, 3.0, 0.003).stock)


shares_of = st.lists(st.floats(0.02, 1.0), min_size=1, max_size=12)


@given(shares_of)
def test_pieces_that_fit_into_one_length_are_never_worth_more(shares: list[float]) -> None:
    """What makes a function dual feasible: sets of a sum of 1 at most have a worth of 1 at most."""
    whole = np.array(shares) / max(1.0, sum(shares))
    assert bound(whole) == 1


@pytest.mark.parametrize(
    ("shares", "lengths"),
    [
        ([0.51] * 7, 7),
        ([0.34] * 8, 4),
        ([1 / 3] * 9, 3),
        ([0.26] * 9, 3),
        ([0.6, 0.6, 0.35, 0.35, 0.35], 3),
        ([0.7, 0.31], 2),
    ],
)
def test_bounds_by_hand(shares: list[float], lengths: int) -> None:
    """Over a half: one each. Over a third: two. A third: three. Over a quarter:
    three. Two long ones take one short each.
    """
    assert bound(np.array(shares)) == lengths


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(0.15, 3.0), min_size=1, max_size=8))
def test_no_bound_is_over_the_fewest_lengths(lengths: list[float]) -> None:
    shares = (np.array(lengths) + 0.003) / 3.003
    assert bound(shares - 1e-9) <= by_force(lengths, 3.0, 0.003)


@pytest.mark.parametrize("spare", [0, 300, 4000])
@pytest.mark.parametrize("seed", range(4))
def test_a_fill_holds_every_piece_once_and_no_length_takes_more_than_its_room(seed: int, spare: int) -> None:
    rng = random.Random(seed)
    cells = sorted((rng.randint(2000, 20000) for _ in range(60)), reverse=True)
    stock = cutting_stock.filled(cells, spare)
    assert sorted(at for own in stock for at in own) == list(range(60))
    assert all(sum(cells[at] for at in own) <= cutting_stock.SUM_STEPS for own in stock)


def test_a_fill_is_the_fullest_that_brute_force_finds() -> None:
    rng = random.Random(5)
    cells = sorted((rng.randint(3000, 15000) for _ in range(12)), reverse=True)
    first = cutting_stock.filled(cells, 0)[0]
    sums = [sum(cells[at + 1] for at in range(11) if mask >> at & 1) for mask in range(1 << 11)]
    assert sum(cells[at] for at in first) == cells[0] + max(s for s in sums if s <= cutting_stock.SUM_STEPS - cells[0])
    assert first[0] == 0


@pytest.mark.parametrize(("low", "high"), [(0.6, 1.7), (0.75, 1.5), (0.95, 1.06), (0.2, 1.2), (1.0, 2.0)])
def test_two_hundred_pieces_of_two_hundred_lengths_are_bounded_closely(low: float, high: float) -> None:
    rng = random.Random(1)
    lengths = [rng.uniform(low, high) for _ in range(200)]
    made = least_plan(lengths, 3.0, 0.003)
    assert sorted(at for own in made.stock for at in own) == list(range(200))
    assert all(sum(lengths[at] for at in own) + 0.003 * (len(own) - 1) <= 3.0 + 1e-6 for own in made.stock)
    assert math.ceil(sum(lengths) / 3.003) <= made.least <= len(made.stock)
    assert len(made.stock) <= made.least + max(1, 0.07 * made.least)  # the triples of near thirds are the hardest
    assert len(made.stock) <= len(plan(lengths, 3.0, 0.003).stock)


def test_a_plan_looked_for_twice_is_the_same() -> None:
    rng = random.Random(3)
    lengths = [rng.uniform(0.75, 1.5) for _ in range(90)]
    assert least_plan(lengths, 3.0, 0.003).stock == least_plan(lengths, 3.0, 0.003).stock


def drawn_from(count: int, sizes: int, low: float, high: float, seed: int) -> list[float]:
    """So many pieces of so few lengths, cut to a millimetre."""
    rng = random.Random(seed)
    have = [round(rng.uniform(low, high), 3) for _ in range(sizes)]
    return [rng.choice(have) for _ in range(count)]


@pytest.mark.parametrize("seed", range(6))
def test_every_pattern_is_that_of_brute_force(seed: int) -> None:
    """All multisets that fit and to which nothing can be added, capped at what is wanted."""
    rng = random.Random(seed)
    sizes = np.array(sorted((rng.uniform(0.5, 1.6) for _ in range(6)), reverse=True))
    wanted = np.array([rng.randint(1, 3) for _ in range(6)])
    expected = set()
    for counts in itertools.product(range(7), repeat=6):
        left = 3.0 - float(sizes @ np.array(counts))
        if 0 <= left < sizes[-1]:
            expected.add(tuple(np.minimum(counts, wanted)))
    found = cutting_stock.every_pattern(sizes, wanted, 3.0)
    assert found is not None
    assert {tuple(int(each) for each in row) for row in found} == expected


def test_too_many_patterns_are_not_listed() -> None:
    sizes = np.linspace(0.4, 0.1, 60)
    assert cutting_stock.every_pattern(sizes, np.full(60, 4), 3.0) is None


@pytest.mark.parametrize("seed", range(10))
def test_bound_and_plan_of_the_patterns_hold_the_integer_programs_number_between_them(seed: int) -> None:
    lengths = drawn_from(11, 4, 0.7, 1.6, seed)
    search = _Search(lengths, 3.0, 0.003)
    search.by_patterns()
    assert search.best.least <= fewest(lengths, 3.0, 0.003) <= len(search.best.stock)


def test_a_case_in_which_the_linear_program_is_a_whole_length_too_low() -> None:
    # Two of a third, three of a quarter, six of an eleventh: 1.96 lengths by the linear
    # program, and three by brute force.
    lengths = [44.0] * 2 + [33.0] * 3 + [12.0] * 6
    assert by_force(lengths, 132.0, 0.0) == len(least_plan(lengths, 132.0, 0.0).stock) == 3


@pytest.mark.parametrize("sizes", [8, 20, 40])
@pytest.mark.parametrize(("low", "high"), [(0.95, 1.06), (0.9, 1.1), (0.75, 1.5), (0.3, 1.2), (0.6, 1.7)])
def test_two_hundred_pieces_of_few_lengths_are_proven_least_within_a_second(
    low: float, high: float, sizes: int
) -> None:
    lengths = drawn_from(200, sizes, low, high, 7)
    start = time.process_time()
    made = least_plan(lengths, 3.0, 0.003)
    assert time.process_time() - start < 1.0
    assert made.proven
    assert Counter(lengths[at] for own in made.stock for at in own) == Counter(lengths)
    assert all(sum(lengths[i] for i in own) + 0.003 * (len(own) - 1) <= 3.0 + 1e-6 for own in made.stock)
    assert made.least >= math.ceil(sum(lengths) / 3.0 - 1e-9)
