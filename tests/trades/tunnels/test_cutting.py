"""Pieces of runs longer than a stock length, and what the working says of the cutting plan."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pondkit.core.entry import entry
from pondkit.trades.tunnels import formulas as pipe_formulas
from tests.trades.tunnels.sketch import figures, sketch


@given(st.floats(0.1, 40.0), st.floats(0.5, 6.0))
def test_a_run_longer_than_the_stock_is_cut_into_whole_lengths_and_a_rest(long: float, stock: float) -> None:
    own = pipe_formulas.pieces(long, stock)
    assert sum(own) == pytest.approx(long) and all(piece == stock for piece in own[:-1])
    assert 0 <= own[-1] <= stock * (1 + 1e-8)
    assert len(own) == pipe_formulas.couplings(long, stock, 0.0) + 1


def test_couplings_inside_a_run_take_their_share() -> None:
    # 7 m between stops, lengths of 3 m, 5 cm from a coupling's middle to each stop: 7 -
    # 2 x 10 cm = 6.8 m in three pieces.
    assert pipe_formulas.couplings(7.0, 3.0, 0.05) == 2
    assert pipe_formulas.cut_length(7.0, 0.0, 0.0, 0.0, 0.0, 2.0, 0.05) == pytest.approx(6.8)
    # 6.05 m would be three pieces, but 5.95 m of pipe and one coupling bridge it.
    assert pipe_formulas.couplings(6.05, 3.0, 0.05) == 1


def test_the_working_says_whether_the_plan_is_proven_least() -> None:
    proven = entry(pipe_formulas.lengths_proven, "", cut_lengths=[1.0, 2.0], stock_length=3.0, kerf=0.0)
    assert "proven least" in proven.working and proven.value == 1
    found = entry(pipe_formulas.lengths_found, "", cut_lengths=[1.0, 2.0], stock_length=3.0, kerf=0.0)
    assert "broken off" in found.working


def test_the_person_chooses_the_proven_plan() -> None:
    nodes = [("m", "mouth", (3.7, 0, -0.6)), ("den", "chamber", (9.0, 0, 0.4))]
    plain, proven = (
        figures(sketch(nodes, [("m", "den")], cutting=how), "pipe_lengths_to_buy") for how in ("quick", "proven")
    )
    assert plain["sch40 4 in"].value == proven["sch40 4 in"].value
    assert "linear program" in proven["sch40 4 in"].working


def test_what_was_found_for_the_typical_lengths_stands_and_is_not_looked_for_again() -> None:
    figure = entry(
        pipe_formulas.lengths_searched,
        "",
        cut_lengths=[1.0, 2.0],
        stock_length=3.0,
        kerf=0.0,
        known_plans={(1.0, 2.0): 1},
    )
    assert figure.value == 1
    assert pipe_formulas.lengths_searched((1.0, 2.0, 2.5), 3.0, 0.0, {}) == 2
