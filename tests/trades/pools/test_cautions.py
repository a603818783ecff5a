"""Every caution of the pools just inside and just outside its limit; limits from their print, in its own units."""

from typing import Any

import pytest

from pondkit.core.caution import ACT, CHECK
from pondkit.core.entry import Entry
from pondkit.trades.pools import cautions as rules
from pondkit.trades.pools.results import PoolResult
from tests.by_grid import pit_of, pool_of
from tests.cautions import cases, edge, told
from tests.trades.ground.test_compute import book, row
from tests.trades.pools.test_compute import worked

FT, INCH = 0.3048, 0.0254
CIRCLE = {"shape": "circle", "diameter": 8}
WIDE = {"shape": "circle", "diameter": 60}


def deep(depth: float, ground: float = 0.0, **site: Any) -> PoolResult:
    """A wide pool so deep [m] below level ground, its water at 0."""
    drawn = pool_of(WIDE, [(min(depth, 3.6), 0, 1.0)], level=min(0.0, 3.6 - depth))
    return worked(drawn, {"kind": "level", "level": ground}, **site)


# Published limits: 29 CFR 1926.651(c)(2) 4 ft, .652(a)(1)(ii) 5 ft, .652(b) and App. F over 20 ft (secondary sources).


def test_a_way_out_from_4_ft_on() -> None:
    edge(rules.CUT_WAY_OUT, deep, inside=3.99 * FT, outside=4 * FT)


def test_a_protective_system_from_5_ft_on() -> None:
    edge(rules.CUT_PROTECTION, deep, inside=4.99 * FT, outside=5 * FT)


def test_an_engineer_over_20_ft() -> None:
    edge(rules.CUT_ENGINEERED, deep, inside=19.99 * FT, outside=20.01 * FT)


def test_a_floor_above_the_ground() -> None:
    edge(rules.FLOOR_ABOVE_GROUND, lambda over: deep(1.0, -1.0 - over), inside=-0.001, outside=0.001, step=0.002)


def test_water_deeper_than_the_limit_entered() -> None:
    def at(limit: float) -> PoolResult:
        return worked(pool_of(CIRCLE, [(0.6, 0, 0.5)]), depth_limit=limit)

    edge(rules.OVER_DEPTH_LIMIT, at, inside=0.6, outside=0.599)
    assert rules.OVER_DEPTH_LIMIT.key in told(at(0.599).area_over_limit)
    assert rules.OVER_DEPTH_LIMIT.key not in told(worked(pool_of(CIRCLE, [(0.6, 0, 0.5)])))


def test_children_at_every_depth_of_water() -> None:
    figures = worked(pool_of(CIRCLE, [(0.3, 0, 0.5)]))
    cases(rules.CHILDREN, without=figures.surface_area, with_it=figures.max_depth)


def test_a_bank_steeper_than_1_in_1() -> None:
    edge(rules.STEEP_BANK, lambda batter: worked(pool_of(CIRCLE, [(0.6, 0, batter)])), inside=1.0, outside=0.99)


def test_tiers_that_are_reached_in_part_or_never() -> None:
    """Radius 4 m, batter 2: the middle is 2 m deep."""

    def at(drawn: float) -> PoolResult:
        return worked(pool_of(CIRCLE, [(0.3, 0, 2.0), (drawn, 0, 2.0)]))

    edge(rules.TIER_IN_PART, at, inside=1.99, outside=2.01)
    one = [(0.3, 0, 2.0), (1.9, 0, 2.0), (2.2, 0, 2.0)]
    two = [(0.3, 0, 2.0), (2.1, 0, 2.0), (2.2, 0, 2.0)]
    cases(rules.TIER_NEVER_REACHED, without=worked(pool_of(CIRCLE, one)), with_it=worked(pool_of(CIRCLE, two)))


def test_offsets_to_one_side_that_leave_the_baseline_out() -> None:
    """6 m of baseline, offsets of 2 m: without its ends the strip between baseline and first offsets is lost."""

    def at(left: list[list[float]], **more: Any) -> PoolResult:
        return worked(pool_of({"shape": "offsets", "left": left} | more, [(0.4, 0, 0.5)]))

    bare = [[0, 1], [2, 3], [4, 3], [6, 1]]
    ended = at([[0, 0], *bare, [6, 0]])
    cases(rules.ONE_SIDE_MEASURED, without=ended, with_it=at(bare))
    assert rules.ONE_SIDE_MEASURED.key not in told(at(bare, right=[[0, 1], [6, 1]]))
    assert ended.surface_area.value == pytest.approx(6 * 1 + 2 * (2 + 2))
    assert at(bare).surface_area.value == pytest.approx(2 * (2 + 2))


# The cut.


def test_groundwater_over_the_floor_of_the_cut() -> None:
    edge(
        rules.CUT_IN_GROUNDWATER, lambda over: deep(1.0, groundwater=-1.0 + over), inside=0.0, outside=0.001, step=0.001
    )
    dry = told(deep(1.0, ground=-1.1, groundwater=0.0))  # nothing is cut
    assert rules.CUT_IN_GROUNDWATER.key not in dry


def test_groundwater_that_nobody_entered() -> None:
    cases(rules.GROUNDWATER_UNKNOWN, without=deep(1.0, groundwater=-5.0), with_it=deep(1.0))


@pytest.mark.parametrize(("soil", "allowed"), [("stiff clay", 0.75), ("clay", 1.0), ("sand", 1.5)])
def test_a_face_steeper_than_the_soil_allows(soil: str, allowed: float) -> None:
    """29 CFR 1926 Subpart P, App. B, table B-1: 3/4, 1 and 1 1/2 to 1 for types A, B, C; 1926.652(a)(1): under 5 ft a
    competent person may find that it stands.
    """

    def at(batter: float, depth: float) -> Entry:
        drawn = pool_of(WIDE, [(depth, 0, batter)], bank_batter=batter)
        found = worked(drawn, {"kind": "level", "level": 0.0}, soil=soil).steepest_dig_face
        assert found is not None
        return found

    edge(rules.STEEPER_THAN_SOIL, lambda b: at(b, 1.6), inside=allowed, outside=allowed - 0.01, rank=ACT)
    edge(rules.STEEPER_THAN_SOIL, lambda b: at(b, 1.5), inside=allowed, outside=allowed - 0.01, rank=CHECK)


def test_seeping_ground_counts_as_type_c() -> None:
    def at(over: float) -> PoolResult:
        drawn = pool_of(WIDE, [(1.0, 0, 1.2)], bank_batter=1.2)
        return worked(drawn, {"kind": "level", "level": 0.1}, soil="clay", groundwater=-1.0 + over)

    edge(rules.SEEPS_AS_TYPE_C, at, inside=0.0, outside=0.001, step=0.001)


def test_a_machine_keeps_further_back_where_there_is_a_cut() -> None:
    found = deep(1.0)
    cases(rules.MACHINE_FURTHER_BACK, without=found.dig_depth, with_it=found.edge_set_back)


# The ground.


def surveyed(half: float) -> PoolResult:
    """A pool of 8 m across with 10 cm of bank, in a survey so far each way from its middle [m]."""
    corners = [[-half, -half, 0.0], [half, -half, 0.0], [half, half, 0.0], [-half, half, 0.0]]
    return worked(pool_of(CIRCLE, [(0.6, 0, 0.5)], freeboard=0.1), {"kind": "points", "points": corners})


def test_a_dig_that_leaves_the_survey() -> None:
    """The survey as a square of 9 m and of 7 m round a dig of 8 m."""
    cases(rules.DIG_NOT_SURVEYED, without=surveyed(4.5), with_it=surveyed(3.5))


def test_a_bank_on_fill() -> None:
    """The rim stands 10 cm over the water."""

    def at(level: float) -> PoolResult:
        return worked(pool_of(CIRCLE, [(0.6, 0, 0.5)], freeboard=0.1), {"kind": "level", "level": level})

    edge(rules.BANK_ON_FILL, at, inside=0.1, outside=0.099)


# What is no caution, but was wrong.


def test_the_upright_edge_of_a_pit_on_a_slope_is_the_steepest_bank() -> None:
    """Its outline drawn at 0.8 m, partly over a face that is shallower: there its edge is upright. Where the pool is
    0.8 m deep all round it, it has none.
    """

    def at(where: float) -> PoolResult:
        pit = pit_of((where, 0), {"shape": "circle", "diameter": 1}, [(1.2, 0, 0.3)], top=0.8)
        return worked(pool_of(CIRCLE, [(0.8, 0, 1.5)], pits=[pit]))

    assert at(0).steepest_batter.value == pytest.approx(0.3)
    assert at(2.6).steepest_batter.value == 0.0
    # The pool's face is 1.5 x 0.8 = 1.2 m wide: a pit 0.9 m from the waterline reaches
    # into it, one 1.25 m from it does not.
    assert at(2.25).steepest_batter.value == pytest.approx(0.3)
    assert at(2.6).wetted_area.value > at(0).wetted_area.value


def test_a_level_book_with_a_benchmark_of_100_m() -> None:
    """The same readings from 0 and from 100 m give the same ground."""
    square = [
        row("benchmark", backsight=1.5),
        row("p", at=[-10, -10], intermediate=1.4),
        row("q", at=[10, -10], intermediate=1.2),
        row("r", at=[10, 10], intermediate=1.0),
        row("s", at=[-10, 10], foresight=1.6),
    ]
    drawn = pool_of(CIRCLE, [(0.6, 0, 0.5)])
    low, high = worked(drawn, book(square, benchmark=0)), worked(drawn, book(square, benchmark=100, datum=100))
    assert low.dig_depth and high.dig_depth
    assert high.dig_depth.value == pytest.approx(low.dig_depth.value, abs=1e-9)
