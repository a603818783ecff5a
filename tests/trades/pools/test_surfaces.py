"""Finished, liner and dig surfaces of a pool against closed forms, and what keeps a pool from being laid out."""

import math

import numpy as np
import pytest

from pondkit.core.result import Path, Problem, Trouble
from pondkit.geometry.line_intersection import line_intersections
from pondkit.geometry.sheet import sheets
from pondkit.geometry.site_surface import stands
from pondkit.geometry.terrain import Plane
from pondkit.trades.earthwork.compute.setting_out import pool_lines
from pondkit.trades.pools.compute import temporary_slopes
from pondkit.trades.pools.inputs import Pool
from pondkit.trades.pools.results import Surfaces
from pondkit.trades.pools.surfaces import cut_and_fill
from tests.by_grid import cells, pit_of, pool_of, surfaces_of
from tests.geometry.test_profile import slabs

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


def shelf_and_floor(gravel: float, floor: float = 8.0) -> Pool:
    """12 ft circle in inches: 6 (shelf 24), 7 (no shelf, 12 of gravel that lies nowhere), a floor without; batters
    0.5."""
    rows = [(6, 24, 0.5, gravel), (7, 0, 0.5, 12), (floor, 0, 0.5, 0)]
    tiers = [(depth * INCH, shelf * INCH, batter, bed * INCH) for depth, shelf, batter, bed in rows]
    return pool_of({"shape": "circle", "diameter": 144 * INCH}, tiers)


def gravel_in(laid: Surfaces) -> float:
    """Cubic yards between the two surfaces."""
    return (laid.under_gravel.volume(0.0) - laid.finished.surface.volume(0.0)) / YARD**3


def test_gravel_of_a_tier_without_a_level_part_lies_nowhere() -> None:
    """6 in on a shelf at 6 in over a floor at 8 in: down in the face's plane from radius 69 to 66 in, level at 12 in to
    the edge of the floor at radius 44 in, upright there; under the face before the floor from radius 45 in.

    The ring of 24 by 6 in from radius 69 in would hold 1.105 yd³; the wedge along the face takes 0.082 of it, what
    lies under the inner face gives back 0.030. The floor is dug at 8 in.
    """
    laid = surfaces_of(shelf_and_floor(6), normal=0.01)
    wedge = math.pi * 69**2 * 6 - cone(72, 0.5, 6, 12)
    under_face = math.pi * 45**2 * 6 - (cone(48, 0.5, 6, 8) + math.pi * 44**2 * 4)
    ring = math.pi * (69**2 - 45**2) * 6
    assert ring * INCH**3 / YARD**3 == pytest.approx(1.105, abs=5e-4)
    by_hand = (ring - wedge + under_face) * INCH**3 / YARD**3
    assert gravel_in(laid) == pytest.approx(by_hand, rel=1e-4)
    assert by_hand == pytest.approx(1.053, abs=5e-4)
    places = np.array([[radius * INCH, 0.0] for radius in (68, 60, 44.1, 43.9, 0)])
    assert laid.under_gravel.depth_at(places) / INCH == pytest.approx([8, 12, 12, 8, 8], abs=2e-3)
    assert laid.dig.surface.depth_at(places[[1, 4]]) == pytest.approx([12 * INCH + 0.01, 8 * INCH + 0.01])
    assert laid.dig.surface.deepest == pytest.approx(12 * INCH + 0.01)


@pytest.mark.parametrize(
    ("gravel", "floor", "yards"),
    [(2, 8, 0.3654), (1.999, 8, 0.3652), (2.001, 8, 0.3655), (6, 12, 1.0763), (6, 12.001, 1.0763), (0.5, 8, 0.0920)],
)
def test_gravel_beside_the_depth_of_the_floor_changes_by_no_jump(gravel: float, floor: float, yards: float) -> None:
    """A shelf whose bed meets the floor's: rings of 24 in whose outer radius shrinks from 69 in by half the depth."""
    assert gravel_in(surfaces_of(shelf_and_floor(gravel, floor))) == pytest.approx(yards, abs=2e-4)


def test_the_liner_over_a_lip_by_hand() -> None:
    """True areas: cones of bank-side faces, level rings, and the upright lip, 4 in high round radius 44 in."""
    shares = surfaces_of(shelf_and_floor(6)).under_gravel.shares()
    slope = math.hypot(1, 0.5)
    first = math.pi * (72 + 66) * 12 * slope + math.pi * (66**2 - 44**2) + 2 * math.pi * 44 * 4
    found = {owner: share.true_area / INCH**2 for owner, share in shares.items() if share.true_area > 1e-9}
    assert found == pytest.approx({(0, 0): first, (0, 2): math.pi * 44**2}, rel=1e-4)
    assert shares[0, 0].level_area / INCH**2 == pytest.approx(math.pi * (66**2 - 44**2), rel=1e-4)
    assert shares[0, 0].upright / INCH**2 == pytest.approx(2 * math.pi * 44 * 4, rel=1e-4)


def test_a_liner_lies_down_and_up_over_a_lip() -> None:
    """Through the middle of the round pool, from the end of the strip: strip, bank of 4 in, face of 12 in, level to
    radius 44 in, lip of 4 in, and half the floor."""
    under = surfaces_of(shelf_and_floor(6)).liner
    half = 12 + (4 + 12) * math.hypot(1, 0.5) + 22 + 4 + 44
    for sheet in sheets((under,), 0.0, 12 * INCH):
        assert sheet.length / INCH == pytest.approx(2 * half, abs=0.15)


def test_a_pit_that_cuts_a_lip_by_the_grid() -> None:
    """A pit of 1.2 m across the lip: areas at depth by cells, and of the lip what the pit leaves of its circle."""
    tiers = [(0.2, 0.8, 0.5, 0.4), (0.4, 0, 0.5, 0)]
    pit = pit_of((2.8, 0.0), {"shape": "circle", "diameter": 1.2}, [(0.9, 0, 0)], top=0.1)
    under = surfaces_of(pool_of(CIRCLE, tiers, pits=[pit])).under_gravel
    radius = 4 - 0.1 - 0.8 - 0.1  # of the lip
    points = cells(np.array([-4.0, -4.0]), np.array([4.0, 4.0]), 0.02)
    depth = under.depth_at(points)
    for level in (0.1, 0.3, 0.45, 0.55, 0.7):
        assert float(under.area(np.array(level))) == pytest.approx(float(np.sum(depth >= level)) * 4e-4, rel=2e-3)
    assert under.volume(0.0) == pytest.approx(float(np.sum(np.maximum(depth, 0))) * 4e-4, rel=1e-3)
    inside = 2 * math.acos((2.8**2 + radius**2 - 0.6**2) / (2 * 2.8 * radius))  # of the lip's circle, in the pit
    assert under.shares()[0, 0].upright == pytest.approx((2 * math.pi - inside) * radius * 0.2, rel=1e-3)
    slope = math.hypot(1, 0.5)
    ring = float(np.sum((depth > 0.599) & (depth < 0.601))) * 4e-4
    face = math.pi * (4**2 - 3.7**2) * slope / 0.5  # no pit reaches it
    lip = (2 * math.pi - inside) * radius * 0.2
    assert under.shares()[0, 0].true_area == pytest.approx(face + ring + lip, rel=2e-3)


def test_two_shelves_over_a_floor_each_hold_their_own() -> None:
    """Beds at 0.7, 0.6 and 0.5 m, all faces upright: rings of 0.5 m with their own gravel."""
    tiers = [(0.3, 0.5, 0, 0.4), (0.4, 0.5, 0, 0.2), (0.5, 0, 0, 0)]
    laid = surfaces_of(pool_of(CIRCLE, tiers))
    by_hand = math.pi * ((4**2 - 3.5**2) * 0.4 + (3.5**2 - 3**2) * 0.2)
    assert gravel_in(laid) * YARD**3 == pytest.approx(by_hand, rel=1e-4)


def test_ground_that_runs_through_a_lip() -> None:
    """Level ground at 0.5 m under the water: the cut is what lies deeper, rings of upright faces."""
    tiers = [(0.4, 0.5, 0, 0.4), (0.45, 0, 0, 0)]
    dig = surfaces_of(pool_of(CIRCLE, tiers)).dig
    band = cut_and_fill(dig, Plane(-0.5, 0.0, 0.0), 0)
    cut = band.cut + dig.surface.volume(band.below)
    assert cut == pytest.approx(math.pi * (4**2 - 3.5**2) * 0.3, rel=1e-4)
    sloping = cut_and_fill(dig, Plane(-0.5, 0.01, 0.0), 0)
    cut = sloping.cut + dig.surface.volume(sloping.below)
    assert cut == pytest.approx(math.pi * (4**2 - 3.5**2) * 0.3, rel=2e-3)  # as much more on one side as less


def test_a_lip_is_staked_is_an_upright_cut_and_is_met_by_a_pipe() -> None:
    """The floor begins 28 in inside the outline; a pipe 10 in down meets the face at radius 67 in, the lip at 44."""
    laid = surfaces_of(shelf_and_floor(6))
    staked = [(name, inward / INCH) for _, name, _, _, inward in pool_lines("pool", laid.dig) if "gravel" in name]
    assert staked == [("tier 1, inner edge of the gravel: pool", pytest.approx(28))]
    steepest, _ = temporary_slopes("pool", laid.dig.surface, 0.0, "clay", seeps=False)
    assert steepest.value == 0
    pipe = ((-2.0, 0.0, -10 * INCH), (2.0, 0.0, -10 * INCH))
    (met,) = line_intersections((pipe,), laid.finished, laid.liner, 0.0)
    assert met is not None
    assert [(station - 2) / INCH for station in met.liner] == pytest.approx([-67, -44, 44, 67], abs=0.02)


def test_a_stone_beside_a_lip_stands_against_it_and_over_it() -> None:
    """On the shelf's bed 0.2 m before the lip: a face behind and one in front; on the floor the ground falls away at
    the lip."""
    dig = surfaces_of(pool_of(CIRCLE, [(0.35, 0.5, 0, 0.4), (0.4, 1.0, 0, 0), (0.9, 0, 0, 0)])).dig
    low, high = stands(dig, Plane(0.0, 0.0, 0.0), ((3.7, 0.0), (3.2, 0.0)))
    assert (low.level, low.width, low.back) == pytest.approx((-0.75, 0.5, 0.2), abs=1e-4)
    assert low.front == math.inf
    assert (high.level, high.width, high.front) == pytest.approx((-0.4, 1.0, 0.3), abs=1e-4)
    assert high.back == math.inf


def test_gravel_volume_of_random_round_pools_by_rings() -> None:
    """Volume between the two surfaces as rings of a circle, from the slabs laid by hand; never negative."""
    chance = np.random.default_rng(3)
    radius = 4.0
    at = np.linspace(0, radius, 8001)
    for _ in range(60):
        depth, rows = 0.0, []
        for _ in range(chance.integers(1, 5)):
            depth += chance.uniform(0.05, 0.4)
            shelf, batter = chance.choice([0, 0, 0.2, 0.6]), chance.choice([0.2, 0.5, 1.2])
            rows.append((depth, float(shelf), float(batter), float(chance.choice([0, chance.uniform(0, 0.4)]))))
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
    assert "no top is entered" in next(iter(found.values())).given.text


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
