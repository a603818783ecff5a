"""Finished, liner and dig surfaces of a pool against closed forms, and what keeps a pool from being laid out."""

import math

import numpy as np
import pytest

from pondkit.core.result import Path, Problem, Trouble
from pondkit.trades.pools.inputs import Pool
from tests.by_grid import pit_of, pool_of, surfaces_of
from tests.geometry.test_profile import beds_deepen, slabs

CIRCLE = {"shape": "circle", "diameter": 8}
RECTANGLE = {"shape": "rectangle", "length": 8, "width": 5}
TIERS = [(0.3, 0.5, 0.5), (0.8, 0.0, 0.6)]


def cone(radius: float, batter: float, top: float, bottom: float) -> float:
    """Volume of a round hole between two depths, ``radius`` where its face meets the waterline's depth."""
    ends = [radius - batter * z for z in (top, bottom)]
    return math.pi * (bottom - top) / 3 * (ends[0] ** 2 + ends[0] * ends[1] + ends[1] ** 2)


def round_pit(at: tuple[float, float], across: float, deep: float, **more: object) -> dict[str, object]:
    return pit_of(at, {"shape": "circle", "diameter": across}, [(deep, 0, 0.4)], **more)


def problems(pool: Pool) -> dict[Path, Problem]:
    with pytest.raises(Trouble) as raised:
        surfaces_of(pool)
    found = {problem.path: problem for problem in raised.value.problems}
    for problem in found.values():
        assert problem.given.text
        assert problem.allowed.text
        assert problem.mend.text
    return found


def figures(problem: Problem) -> dict[str, float]:
    return {term.name: float(term.value) for words in (problem.given, problem.allowed) for term in words.terms}  # type: ignore[arg-type]


# Gravel.


def test_gravel_lies_between_finished_surface_and_liner_without_a_curb() -> None:
    """Radius 4 m; 5 cm on the shelf, which then starts 0.05 x 0.5 and ends 0.05 x
    0.6 further in, 10 cm on the floor.
    """
    laid = surfaces_of(pool_of(CIRCLE, [(0.3, 0.5, 0.5, 0.05), (0.8, 0.0, 0.6, 0.1)]))
    # The faces' planes meet the waterline at 4 m and, for the lower one, at 3.35 + 0.6 x 0.3.
    finished = cone(4, 0.5, 0, 0.3) + cone(3.53, 0.6, 0.3, 0.8)
    under = cone(4, 0.5, 0, 0.35) + cone(3.53, 0.6, 0.35, 0.9)
    assert laid.finished.surface.volume(0.0) == pytest.approx(finished, rel=1e-5)
    assert laid.under_gravel.volume(0.0) == pytest.approx(under, rel=1e-5)


INCH, YARD = 0.0254, 0.9144


def test_gravel_of_a_tier_without_a_level_part_bears_no_gravel_of_another() -> None:
    """12 ft circle, 6 in (shelf 24 in), 7 in (no shelf, 12 in of gravel that lies nowhere), 8 in, batters
    0.5. The floor's bed is at 8 in, so that the shelf holds 2 in at most; of them, by rings of 24 in
    between radii 69 and 45 in: 0.365 yd³.
    """

    def circle(gravel: float) -> Pool:
        rows = [(6, 24, 0.5, gravel), (7, 0, 0.5, 12), (8, 0, 0.5, 0)]
        tiers = [(depth * INCH, shelf * INCH, batter, bed * INCH) for depth, shelf, batter, bed in rows]
        return pool_of({"shape": "circle", "diameter": 144 * INCH}, tiers)

    found = problems(circle(6))
    assert figures(found["pools", 0, "tiers", 0, "gravel"]) == pytest.approx({"gravel": 6 * INCH, "most": 2 * INCH})
    laid = surfaces_of(circle(2))
    gravel = laid.under_gravel.volume(0.0) - laid.finished.surface.volume(0.0)
    by_hand = (cone(72, 0.5, 6, 8) - cone(48, 0.5, 6, 8)) * INCH**3
    assert gravel == pytest.approx(by_hand, rel=1e-4)
    assert gravel / YARD**3 == pytest.approx(0.365, abs=5e-4)
    assert laid.dig.surface.deepest == pytest.approx(8 * INCH)


def test_gravel_on_a_shelf_may_reach_past_a_tier_without_a_level_part() -> None:
    surfaces_of(pool_of(CIRCLE, [(0.3, 0.5, 0.5, 0.2), (0.35, 0.0, 0.5), (0.8, 0.0, 0.5)]))
    found = problems(pool_of(CIRCLE, [(0.3, 0.5, 0.5, 0.31), (0.35, 0.0, 0.5), (0.6, 0.0, 0.5)]))
    assert figures(found["pools", 0, "tiers", 0, "gravel"]) == pytest.approx({"gravel": 0.31, "most": 0.3})


def test_gravel_volume_of_random_round_pools_by_rings() -> None:
    """Volume between the two surfaces as rings of a circle, from the slabs laid by hand; never negative."""
    chance = np.random.default_rng(3)
    radius = 4.0
    at = np.linspace(0, radius, 8001)
    tried = 0
    while tried < 60:
        depth, rows = 0.0, []
        for _ in range(chance.integers(1, 5)):
            depth += chance.uniform(0.05, 0.4)
            shelf, batter = chance.choice([0, 0, 0.2, 0.6]), chance.choice([0.2, 0.5, 1.2])
            rows.append((depth, float(shelf), float(batter), float(chance.choice([0, chance.uniform(0, 0.4)]))))
        if not beds_deepen(rows):
            continue
        tried += 1
        laid = surfaces_of(pool_of({"shape": "circle", "diameter": 2 * radius}, rows))
        gravel = laid.under_gravel.volume(0.0) - laid.finished.surface.volume(0.0)
        finished, liner = slabs(rows, at)
        rings = float(np.trapezoid((liner - finished) * 2 * np.pi * (radius - at), at))
        assert gravel >= -1e-9, rows
        assert gravel == pytest.approx(rings, rel=2e-3, abs=2e-3), rows


def test_gravel_of_a_floor_does_not_fill_a_pit_that_has_none() -> None:
    """Floor at 0.8 m with 30 cm of gravel, a pit to 0.95 m without: its bed would
    lie 15 cm under the pit's own floor.
    """
    tiers = [(0.3, 0.5, 0.5), (0.8, 0.0, 0.6, 0.3)]
    found = problems(pool_of(CIRCLE, tiers, pits=[round_pit((0, 0), 2, 0.95)]))
    assert figures(found["pools", 0, "tiers", 1, "gravel"]) == pytest.approx({"gravel": 0.3, "most": 0.15})
    surfaces_of(pool_of(CIRCLE, tiers, pits=[round_pit((0, 0), 2, 1.2)]))  # deeper than that gravel
    shelf = [(0.3, 0.5, 0.5, 0.4), (0.8, 0.0, 0.6)]
    surfaces_of(pool_of(CIRCLE, shelf, pits=[round_pit((0, 0), 2, 0.85)]))  # the shelf's gravel lies elsewhere


def test_gravel_of_a_pit_does_not_lie_under_the_floor_that_hides_its_tier() -> None:
    pit = pit_of((0, 0), {"shape": "circle", "diameter": 3}, [(0.6, 0.5, 0.2, 0.4), (1.2, 0, 0.2)], top=0.5)
    found = problems(pool_of(CIRCLE, TIERS, pits=[pit]))
    assert figures(found["pools", 0, "pits", 0, "tiers", 0, "gravel"]) == pytest.approx({"gravel": 0.4, "most": 0.2})


def test_gravel_in_a_pit() -> None:
    pit = pit_of((0, 0), {"shape": "circle", "diameter": 2}, [(1.4, 0, 0.5, 0.2)], top=0.8)
    laid = surfaces_of(pool_of(CIRCLE, TIERS, pits=[pit]))
    more = laid.under_gravel.volume(0.0) - laid.finished.surface.volume(0.0)
    assert more == pytest.approx(cone(1, 0.5, 0.6, 0.8), rel=1e-3)  # a small part of the whole


def test_a_pool_without_gravel_and_seat_has_one_surface_for_all_three() -> None:
    laid = surfaces_of(pool_of(CIRCLE, TIERS))
    assert laid.liner is laid.finished
    assert laid.dig is laid.finished


# Dig.


def test_the_dig_of_a_circle_is_moved_at_right_angles() -> None:
    n = 0.02
    dig = surfaces_of(pool_of(CIRCLE, TIERS), normal=n).dig
    out, deep = n * math.hypot(1, 0.5), n * math.hypot(1, 0.6)
    assert dig.surface.volume(0.0) == pytest.approx(
        cone(4 + out, 0.5, 0, 0.3 + n) + cone(3.53 + deep, 0.6, 0.3 + n, 0.8 + n), rel=1e-5
    )
    assert dig.surface.deepest == pytest.approx(0.8 + n)


def test_the_dig_of_a_rectangle_is_moved_at_right_angles() -> None:
    n, batter, depth = 0.03, 0.75, 1.0
    dig = surfaces_of(pool_of(RECTANGLE, [(depth, 0, batter)], bank_batter=batter), normal=n).dig
    out = n * math.hypot(1, batter)
    top, low = (
        (8 + 2 * out, 5 + 2 * out),
        (8 + 2 * out - 2 * batter * (depth + n), 5 + 2 * out - 2 * batter * (depth + n)),
    )
    middle = ((top[0] + low[0]) / 2, (top[1] + low[1]) / 2)
    prismoid = (depth + n) / 6 * (top[0] * top[1] + 4 * middle[0] * middle[1] + low[0] * low[1])
    # Outward the corners of an offset are round: less than (4 - pi)·out² over the first centimetres.
    assert dig.surface.volume(0.0) == pytest.approx(prismoid, abs=(4 - math.pi) * out**2 * out / batter)


def test_the_rim_lies_up_the_bank_on_every_surface() -> None:
    laid = surfaces_of(pool_of(CIRCLE, TIERS, bank_batter=0.7, freeboard=0.2, level=1.5), normal=0.02)
    assert laid.finished.rim == pytest.approx(0.14)
    assert laid.dig.rim == pytest.approx(0.14 + 0.02 * math.hypot(1, 0.7))
    assert laid.dig.rim_level == pytest.approx(1.7)


# Edging outside.


def test_a_seat_below_the_waterline_widens_dig_and_liner_but_not_the_water() -> None:
    """A ring 0.4 m wide round a circle of 4 m, its base 0.1 m under the water; the bank goes up behind it."""
    laid = surfaces_of(pool_of(CIRCLE, TIERS, bank_batter=0.7, freeboard=0.2, level=2.0), seat=(0.4, 1.9))
    water = laid.finished.surface.volume(0.0)
    more = laid.liner.surface.volume(0.0) - water
    # The bank's face stands at 4.4 m at the base and is 0.07 m further out at the
    # waterline; inside, the pool's own face.
    assert more == pytest.approx(cone(4.47, 0.7, 0, 0.1) - cone(4, 0.5, 0, 0.1), rel=1e-4)
    assert laid.liner.rim == pytest.approx(0.4 + 0.7 * 0.3)
    assert laid.finished.rim == pytest.approx(0.14)
    assert water == pytest.approx(cone(4, 0.5, 0, 0.3) + cone(3.53, 0.6, 0.3, 0.8), rel=1e-5)


def test_a_seat_above_the_waterline() -> None:
    laid = surfaces_of(pool_of(CIRCLE, TIERS, bank_batter=0.7, freeboard=0.3, level=0), seat=(0.4, 0.1))
    assert laid.liner.surface.volume(0.0) == pytest.approx(laid.finished.surface.volume(0.0), rel=1e-9)
    # From the seat's base up: the ring from the bank, 0.07 m out, to 0.4 m, then the bank behind it.
    above = laid.liner.surface.volume(-0.3) - laid.liner.surface.volume(0.0)
    assert above == pytest.approx(cone(4, 0.7, -0.1, 0) + cone(4.4, 0.7, -0.2, 0), rel=1e-4)
    assert laid.liner.rim == pytest.approx(0.4 + 0.7 * 0.2)


def test_a_seat_narrower_than_the_bank_there_leaves_the_dig_as_it_is() -> None:
    plain = surfaces_of(pool_of(CIRCLE, TIERS, bank_batter=2, freeboard=0.4))
    laid = surfaces_of(pool_of(CIRCLE, TIERS, bank_batter=2, freeboard=0.4), seat=(0.3, 0.3))
    assert laid.liner.surface.volume(-0.4) == pytest.approx(plain.liner.surface.volume(-0.4), rel=1e-9)
    assert laid.liner.rim == pytest.approx(plain.liner.rim)


# Pits.


def test_a_pit_without_a_top_is_drawn_on_the_level_part_that_holds_it() -> None:
    floor = surfaces_of(pool_of(CIRCLE, TIERS, pits=[round_pit((0.5, 0), 2, 1.2)])).finished.surface
    assert floor.pits[0].profile.inward(0.8 + 1e-6) < 1e-5  # type: ignore[arg-type]
    wide = [(0.3, 1.5, 0.5), (0.8, 0.0, 0.5)]
    shelf = surfaces_of(pool_of(CIRCLE, wide, pits=[round_pit((3.1, 0), 1, 1.2)])).finished.surface
    assert shelf.volume(0.0) - surfaces_of(pool_of(CIRCLE, wide)).finished.surface.volume(0.0) == pytest.approx(
        cone(0.5, 0.4, 0, 0.9), rel=1e-3
    )


@pytest.mark.parametrize(
    ("at", "across"), [(2.9, 1.0), (3.3, 1.2), (2.0, 2.0)], ids=["on the face", "off the shelf", "over its edge"]
)
def test_a_pit_without_a_top_that_is_not_on_level_ground_is_asked_for_one(at: float, across: float) -> None:
    found = problems(pool_of(CIRCLE, [(0.3, 0.7, 0.5), (0.8, 0.0, 0.5)], pits=[round_pit((at, 0), across, 1.2)]))
    assert list(found) == [("pools", 0, "pits", 0, "top")]
    assert "no top is given" in next(iter(found.values())).given.text


def test_a_pit_that_covers_a_lobe_deeper_than_the_shelf_it_stands_on_is_asked_for_a_top() -> None:
    """Its outline lies on the shelf all round, the deeper floor wholly inside it."""
    found = problems(pool_of(CIRCLE, [(0.3, 3.0, 0.5), (0.8, 0.0, 0.5)], pits=[round_pit((0, 0), 4, 1.2)]))
    assert list(found) == [("pools", 0, "pits", 0, "top")]


def test_a_pit_that_leaves_its_pool_says_by_how_far() -> None:
    found = problems(pool_of(CIRCLE, TIERS, pits=[round_pit((0, 0), 1, 1.2), round_pit((3.5, 0), 2, 1.2)]))
    assert list(found) == [("pools", 0, "pits", 1, "at")]
    assert figures(found["pools", 0, "pits", 1, "at"])["by"] == pytest.approx(0.5, abs=1e-3)


# Order.


def test_tiers_out_of_order_name_the_tier_and_what_is_above_it() -> None:
    found = problems(pool_of(CIRCLE, [(0.8, 0.5, 0.5), (0.3, 0.0, 0.6), (0.3, 0.0, 0.6)]))
    assert set(found) == {("pools", 0, "tiers", 1, "depth"), ("pools", 0, "tiers", 2, "depth")}
    assert figures(found["pools", 0, "tiers", 1, "depth"]) == pytest.approx({"depth": 0.3, "above": 0.8})
    assert "deeper than tier 1" in found["pools", 0, "tiers", 1, "depth"].allowed.text


def test_a_pit_shallower_than_its_edge() -> None:
    given = problems(pool_of(CIRCLE, TIERS, pits=[round_pit((0, 0), 2, 0.9, top=1.0)]))
    assert figures(given["pools", 0, "pits", 0, "tiers", 0, "depth"]) == pytest.approx({"depth": 0.9, "above": 1.0})
    floor = problems(pool_of(CIRCLE, TIERS, pits=[round_pit((0, 0), 2, 0.7)]))
    assert figures(floor["pools", 0, "pits", 0, "tiers", 0, "depth"]) == pytest.approx({"depth": 0.7, "above": 0.8})


def test_gravel_thicker_than_the_drop_to_the_next_tier() -> None:
    found = problems(pool_of(CIRCLE, [(0.3, 0.5, 0.5, 0.35), (0.6, 0.0, 0.5, 0.02)]))
    assert figures(found["pools", 0, "tiers", 0, "gravel"]) == pytest.approx({"gravel": 0.35, "most": 0.32})
    surfaces_of(pool_of(CIRCLE, [(0.3, 0.5, 0.5, 0.32), (0.6, 0.0, 0.5, 0.02)]))
    surfaces_of(pool_of(CIRCLE, [(0.3, 0.0, 0.5, 0.35), (0.6, 0.0, 0.5)]))  # no level part: no gravel on it
