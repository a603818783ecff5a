"""Pool surfaces against print, closed forms and the grid of ``tests/by_grid.py``; conservation, monotony."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pondkit.core.units import VOLUME, factor
from pondkit.geometry.outline import Placed
from pondkit.geometry.pool_surface import Basin, PoolSurface, Share
from pondkit.geometry.profile import Step, profile
from pondkit.trades.pools.inputs import Pool
from tests.by_grid import grid, pit_of, pool_of, surfaces_of

Row = tuple[float, ...]
ELLIPSE = {"shape": "ellipse", "length": 8, "width": 5}
KIDNEY = {
    "shape": "points",
    "points": [(-3, -1), (-1.5, -2), (0, -1), (1.5, -2), (3, -1), (3, 1), (1.5, 2.2), (0, 2), (-1.5, 2.2), (-3, 1)],
}
TWO_TIERS = [(0.3, 0.5, 0.5), (0.8, 0.0, 0.6)]


def neck(half: float) -> dict[str, Any]:
    """Two lobes, 3 x 3 m and 3 x 4 m, and a neck between them of twice ``half``."""
    corners = [
        (-4, -1.5),
        (-1, -1.5),
        (-1, -half),
        (1, -half),
        (1, -2),
        (4, -2),
        (4, 2),
        (1, 2),
        (1, half),
        (-1, half),
        (-1, 1.5),
        (-4, 1.5),
    ]
    turned = Placed(0, 0, 17).to_site(np.array(corners))  # askew: no side lies along a row of cells
    return {"shape": "points", "smooth": False, "points": turned.tolist()}


def surface_of(pool: Pool) -> PoolSurface:
    return surfaces_of(pool).finished.surface


def pits(*rows: tuple[tuple[float, float], float, float, list[Row]]) -> list[dict[str, object]]:
    """Round pits: place, diameter, top, tiers."""
    return [pit_of(at, {"shape": "circle", "diameter": across}, tiers, top=top) for at, across, top, tiers in rows]


def cone(radius: float, batter: float, top: float, bottom: float) -> float:
    """Volume of a round hole between two depths, ``radius`` at depth 0."""
    ends = [radius - batter * z for z in (top, bottom)]
    return math.pi * (bottom - top) / 3 * (ends[0] ** 2 + ends[0] * ends[1] + ends[1] ** 2)


def lateral(radius: float, batter: float, top: float, bottom: float) -> float:
    """True area of its face."""
    return math.pi * (2 * radius - batter * (top + bottom)) * (bottom - top) * math.hypot(1, batter)


# Print.


@pytest.mark.parametrize(
    ("length", "width", "printed"),
    [
        # Prismoid with a bottom of 40 x 100 ft: 3,612.4 yd³, by convex hull. From memory, confirm: that USDA
        # Agriculture Handbook 590 (1997), excavated ponds, prints 3,612 yd³.
        (148, 88, 97_536),
        # Math Central, University of Regina, Quandaries and Queries (2007): pond of 100 x 70 ft.
        (100, 70, 44_256),
    ],
)
def test_prismoid_of_12_ft_with_sides_of_2_to_1(length: float, width: float, printed: float) -> None:
    foot = 0.3048
    pool = pool_of({"shape": "rectangle", "length": length * foot, "width": width * foot}, [(12 * foot, 0, 2)])
    cubic_feet = surface_of(pool).volume(0.0) / foot**3
    assert cubic_feet == pytest.approx(printed, abs=1)
    assert cubic_feet == pytest.approx(printed, rel=1e-5)


def test_the_three_methods_of_earthwork_stay_apart() -> None:
    """The same prismoid by pyramid frustum 96,967 ft³ and by mean end area 102,144 ft³: close, and wrong."""
    top, bottom, depth = 148 * 88, 100 * 40, 12
    assert depth / 3 * (top + bottom + math.sqrt(top * bottom)) == pytest.approx(96_967, abs=1)
    assert depth * (top + bottom) / 2 == pytest.approx(102_144, abs=1)
    foot = 0.3048
    held = surface_of(
        pool_of({"shape": "rectangle", "length": 148 * foot, "width": 88 * foot}, [(depth * foot, 0, 2)])
    ).volume(0.0)
    assert abs(held / foot**3 - 96_967) > 500
    assert abs(held / foot**3 - 102_144) > 4000


def test_pit_of_10_by_5_m_at_the_bottom_with_sides_of_1_to_1() -> None:
    """L·W·D + (L + W)·z·D² + 4/3·z²·D³ = 113.25 m³: trapezoidal basin, FHWA
    HEC-22 4th ed. ch. 10 (secondary source).
    """
    assert surface_of(pool_of({"shape": "rectangle", "length": 13, "width": 8}, [(1.5, 0, 1)])).volume(
        0.0
    ) == pytest.approx(113.25, rel=1e-5)


def test_circular_frustum() -> None:
    """Radius 5 to 2 m over 1.5 m: 61.261 m³ by quadrature; mean end area would give 68.330."""
    held = surface_of(pool_of({"shape": "circle", "diameter": 10}, [(1.5, 0, 2)])).volume(0.0)
    assert held == pytest.approx(61.261, abs=1e-3)
    assert held == pytest.approx(cone(5, 2, 0, 1.5), rel=1e-5)


def test_ellipse_is_moved_inward_by_true_distance() -> None:
    """Semi-axes 6 x 4 m, batter 1.5, 1.2 m deep: 60.280 m³ by true offsets; shrunken axes would give 60.620."""
    assert surface_of(pool_of({"shape": "ellipse", "length": 12, "width": 8}, [(1.2, 0, 1.5)])).volume(
        0.0
    ) == pytest.approx(60.280, abs=1e-3)


def test_a_cone_holds_less_than_the_quick_rule() -> None:
    """Area 1,000 m², 2 m deep: a cone holds 666.7 m³, less than the quick rule of
    0.4 x area x depth (800; from memory).
    """
    size = math.sqrt(1000 / math.pi) / 10  # such a batter is out of bounds: a tenth as wide, a hundredth of the volume
    held = surface_of(pool_of({"shape": "circle", "diameter": 2 * size}, [(2, 0, size / 2)])).volume(0.0)
    assert held * 100 == pytest.approx(666.67, abs=0.01)
    assert held < 0.4 * 10 * 2


# Closed forms.


def test_cone_that_just_reaches_its_floor() -> None:
    surface = surface_of(pool_of({"shape": "circle", "diameter": 6}, [(1.0, 0, 3)]))
    assert surface.volume(0.0) == pytest.approx(math.pi * 9 / 3, rel=1e-5)
    assert surface.deepest == pytest.approx(1.0, rel=1e-5)


def test_circle_with_a_shelf_and_a_pit() -> None:
    pool = pool_of({"shape": "circle", "diameter": 8}, TWO_TIERS, pits=pits(((0.4, -0.3), 2, 0.8, [(1.4, 0.0, 0.5)])))
    surface = surface_of(pool)
    # Radius 4 at the water, 3.85 to 3.35 on the shelf, 3.05 at the floor; the pit from 1 to 0.7.
    face, deep, hole = cone(4, 0.5, 0, 0.3), cone(3.35, 0.6, 0, 0.5), cone(1, 0.5, 0, 0.6)
    assert surface.volume(0.0) == pytest.approx(face + deep + hole, rel=1e-5)
    shares = surface.shares()
    assert shares[(0, 0)].face_area == pytest.approx(math.pi * (4**2 - 3.85**2), rel=1e-5)
    assert shares[(0, 0)].level_area == pytest.approx(math.pi * (3.85**2 - 3.35**2), rel=1e-5)
    assert shares[(0, 1)].level_area == pytest.approx(math.pi * (3.05**2 - 1), rel=1e-5)
    assert shares[(1, 0)].level_area == pytest.approx(math.pi * 0.7**2, rel=1e-5)
    assert shares[(1, 0)].volume == pytest.approx(math.pi * 0.8 + hole, rel=1e-5)  # the water above the pit's outline
    faces = lateral(4, 0.5, 0, 0.3) + lateral(3.35, 0.6, 0, 0.5) + lateral(1, 0.5, 0, 0.6)
    levels = math.pi * (3.85**2 - 3.35**2 + 3.05**2 - 1 + 0.7**2)
    assert sum(share.true_area for share in shares.values()) == pytest.approx(faces + levels, rel=1e-5)


def test_upright_walls_count_in_full() -> None:
    pool = pool_of(
        {"shape": "rectangle", "length": 6, "width": 4},
        [(0.4, 0.5, 0), (1.0, 0, 0)],
        pits=pits(((0, 0), 2, 1.0, [(1.5, 0.0, 0.0)])),
    )
    surface = surface_of(pool)
    assert surface.volume(0.0) == pytest.approx(6 * 4 * 0.4 + 5 * 3 * 0.6 + math.pi * 0.5, rel=1e-5)
    shares = surface.shares()
    assert shares[(0, 0)].true_area == pytest.approx(20 * 0.4 + 24 - 15, rel=1e-5)
    assert shares[(0, 1)].true_area == pytest.approx(16 * 0.6 + 15 - math.pi, rel=1e-5)
    assert shares[(1, 0)].true_area == pytest.approx(2 * math.pi * 0.5 + math.pi, rel=2e-5)
    assert shares[(1, 0)].face_area == pytest.approx(0, abs=1e-9)


def test_tiers_of_one_batter_without_shelves_share_one_cone() -> None:
    surface = surface_of(pool_of({"shape": "circle", "diameter": 8}, [(0.3, 0, 0.5), (0.7, 0, 0.5), (1.2, 0, 0.5)]))
    assert surface.volume(0.0) == pytest.approx(cone(4, 0.5, 0, 1.2), rel=1e-5)
    faces = [surface.shares()[(0, k)].true_area for k in range(2)]
    assert faces == pytest.approx([lateral(4, 0.5, 0, 0.3), lateral(4, 0.5, 0.3, 0.7)], rel=1e-5)


def test_volume_below_a_level_and_above_the_waterline() -> None:
    surface = surface_of(pool_of({"shape": "circle", "diameter": 8}, TWO_TIERS, bank_batter=1.5))
    assert surface.volume(0.5) == pytest.approx(cone(3.35, 0.6, 0.2, 0.5), rel=1e-5)
    assert surface.volume(-0.4) - surface.volume(0.0) == pytest.approx(cone(4, 1.5, -0.4, 0), rel=2e-5)
    assert surface.volume(-40.0) - surface.volume(0.0) == pytest.approx(
        cone(4, 1.5, -40, 0), rel=1e-3
    )  # far up: many-cornered circle
    assert surface.volume(0.9) == 0


def test_volumes_at_many_levels_are_those_at_each() -> None:
    pool = pool_of(ELLIPSE, TWO_TIERS, pits=pits(((2.2, 0.3), 2, 0.3, [(0.6, 0.2, 0.3), (1.2, 0, 0.4)])))
    surface, levels = surface_of(pool), np.array([1.5, 0.0, 0.3, 0.55, 1.1, -0.1])
    assert surface.volumes(levels) == pytest.approx([surface.volume(float(z)) for z in levels], rel=1e-5, abs=1e-9)


def test_stage_and_storage_of_a_pool_surface_by_the_prismoidal_rule() -> None:
    """Basak, Surveying and Levelling, 1994, p. 245 (public companion): areas at 5 m
    intervals, Simpson's rule 330,250 m³.

    The rule itself, and that volumes between levels follow it on a face of one batter, where it is exact.
    """
    areas = [2050, 8400, 16300, 24600, 31500]
    assert 5 / 3 * (areas[0] + 4 * areas[1] + 2 * areas[2] + 4 * areas[3] + areas[4]) == pytest.approx(330_250, abs=1)
    surface = surface_of(pool_of({"shape": "rectangle", "length": 30, "width": 20}, [(2.0, 0, 3)]))
    top, middle, low = surface.area(np.array([0.4, 0.9, 1.4]))
    assert surface.volume(0.4) - surface.volume(1.4) == pytest.approx((top + 4 * middle + low) / 6, rel=1e-6)


# The grid.

HAND_DRAWN = [
    (-3.7, -0.9),
    (-2.1, -2.3),
    (0, -2),
    (2.1, -2.4),
    (4, -0.6),
    (3.4, 1.5),
    (0.9, 2.4),
    (-1.5, 1.8),
    (-3.4, 1.2),
]
CASES = {
    "hand-drawn, deep": pool_of(
        {"shape": "points", "points": HAND_DRAWN}, [(0.3, 0.3, 0.5), (1.2, 0.2, 1.0), (2.0, 0.3, 0.9), (2.4, 0, 0)]
    ),
    "kidney": pool_of(KIDNEY, [(0.2, 0.4, 0.5), (0.8, 0, 0.5)]),
    "kidney used up before its floor": pool_of(KIDNEY, [(0.2, 0.4, 0.5), (0.8, 0.5, 0.8), (3.0, 0, 1)]),
    "dumbbell whose floor splits in two": pool_of(neck(0.4), [(0.2, 0.2, 0.5), (0.5, 0.2, 0.6), (1.2, 0, 0.5)]),
    "thin neck": pool_of(neck(0.05), [(0.2, 0.2, 0.5), (0.5, 0.2, 0.6), (1.2, 0, 0.5)]),
    "tier reached in part, next one never": pool_of(
        ELLIPSE, [(0.3, 0.5, 0.5), (0.8, 1.2, 0.6), (1.5, 1, 1), (3.0, 0, 1)]
    ),
    "pit in the floor": pool_of(ELLIPSE, TWO_TIERS, pits=pits(((0.5, 0.3), 2, 0.8, [(1.2, 0, 0.4)]))),
    "pit with a top above its host": pool_of(
        ELLIPSE, TWO_TIERS, pits=pits(((0.5, 0.3), 2, 0.5, [(0.6, 0.1, 0.4), (1.2, 0, 0.4)]))
    ),
    "pit with a top below its host": pool_of(ELLIPSE, TWO_TIERS, pits=pits(((0.5, 0.3), 2, 1.1, [(1.5, 0, 0.4)]))),
    "pit on a slope": pool_of(ELLIPSE, [(1.0, 0, 2)], pits=pits(((2.0, 0.3), 2, 0.5, [(1.2, 0, 0.4)]))),
    "pit across the edge of a shelf": pool_of(
        ELLIPSE, [(0.3, 0.8, 0.5), (0.8, 0, 0.6)], pits=pits(((2.2, 0.3), 2, 0.3, [(0.6, 0.2, 0.3), (1.2, 0, 0.4)]))
    ),
    "pit as deep as the floor beside it": pool_of(ELLIPSE, TWO_TIERS, pits=pits(((2.6, 0), 1.6, 0.3, [(0.8, 0, 0.3)]))),
    "two pits apart": pool_of(
        ELLIPSE, TWO_TIERS, pits=pits(((1.2, 0), 1.6, 0.8, [(1.2, 0, 0.2)]), ((-0.9, 0), 1, 0.8, [(1.6, 0, 0.2)]))
    ),
    "overlapping pits of one floor": pool_of(
        ELLIPSE, TWO_TIERS, pits=pits(((-0.5, 0), 2, 0.8, [(1.2, 0, 0.4)]), ((0.5, 0), 2, 0.8, [(1.2, 0, 0.4)]))
    ),
    "overlapping pits": pool_of(
        ELLIPSE,
        TWO_TIERS,
        pits=pits(((-0.5, 0), 2, 0.8, [(1.2, 0, 0.4)]), ((0.5, 0), 2, 0.8, [(1.1, 0.3, 0.2), (1.5, 0, 0.4)])),
    ),
    "pit in a pit": pool_of(
        ELLIPSE, TWO_TIERS, pits=pits(((0.5, 0), 2, 0.8, [(1.2, 0, 0.4)]), ((0.5, 0), 1, 1.2, [(1.6, 0, 0.4)]))
    ),
    "two pits in one place": pool_of(
        ELLIPSE, TWO_TIERS, pits=pits(((0.5, 0), 2, 0.8, [(1.2, 0, 0.4)]), ((0.5, 0), 2, 0.8, [(1.2, 0, 0.4)]))
    ),
    "turned pit": pool_of(
        ELLIPSE,
        TWO_TIERS,
        pits=[
            pit_of((0.5, 0.2), {"shape": "rectangle", "length": 3, "width": 1}, [(1.3, 0, 0.2)], top=0.8, turn_deg=30)
        ],
    ),
}
FINE = {"pit with a top below its host": 500}  # an upright wall crosses cells


def total(shares: dict[tuple[int, int], Share], name: str) -> float:
    return sum(getattr(share, name) for share in shares.values())


@pytest.mark.parametrize("name", CASES)
def test_volume_and_every_tiers_share_agree_with_the_grid(name: str) -> None:
    pool = CASES[name]
    surface, slow = surface_of(pool), grid(pool, FINE.get(name, 200))
    held, area = surface.volume(0.0), float(surface.pool.shape.polygon.area)
    assert slow.volume() == pytest.approx(held, rel=2e-4)
    assert slow.volume(0.4) == pytest.approx(surface.volume(0.4), abs=4e-4 * held)
    shares = surface.shares()
    # A share ends at lines that cross cells: a cell's width along them is as near as the grid can tell.
    edge = slow.cell**0.5 * 2
    for owner, share in shares.items():
        assert slow.area(owner) == pytest.approx(share.face_area + share.level_area, abs=edge), owner
        assert slow.water(owner) == pytest.approx(share.volume, abs=edge), owner
    assert total(shares, "face_area") + total(shares, "level_area") == pytest.approx(area, rel=1e-6)
    assert total(shares, "volume") == pytest.approx(held, rel=1e-9)


@pytest.mark.parametrize("pool", CASES.values(), ids=CASES)
def test_depth_at_places_is_that_of_the_plain_walk(pool: Pool) -> None:
    slow = grid(pool, 40)
    assert surface_of(pool).depth_at(slow.points) == pytest.approx(slow.depth, abs=5e-3)


# Conservation and monotony.


@pytest.mark.parametrize("shape", [ELLIPSE, KIDNEY, neck(0.3)], ids=["ellipse", "kidney", "neck"])
@pytest.mark.parametrize("at", [0.1, 0.25, 0.5])
def test_a_tier_cut_in_two_holds_the_same(shape: dict[str, Any], at: float) -> None:
    whole = surface_of(pool_of(shape, [(0.2, 0.3, 0.6), (1.1, 0, 0.5)]))
    cut = surface_of(pool_of(shape, [(0.2, 0.3, 0.6), (0.2 + at, 0, 0.5), (1.1, 0, 0.5)]))
    assert cut.volume(0.0) == pytest.approx(whole.volume(0.0), rel=1e-7)
    assert total(cut.shares(), "true_area") == pytest.approx(total(whole.shares(), "true_area"), rel=1e-6)


sizes = st.fixed_dictionaries({"length": st.floats(2, 12), "width": st.floats(2, 12), "corner_radius": st.just(0.8)})


@settings(max_examples=12, deadline=None)
@given(
    size=sizes, depth=st.floats(0.3, 1.5), shelf=st.floats(0, 1.5), batter=st.floats(0, 2), more=st.floats(0.05, 0.6)
)
def test_deeper_holds_more_and_a_wider_shelf_less(
    size: dict[str, float], depth: float, shelf: float, batter: float, more: float
) -> None:
    shape = surface_of(pool_of({"shape": "rectangle"} | size, [(0.2,)])).pool.shape

    def held(deep: float, wide: float) -> float:
        steps = (Step(0.2, wide, batter, 0.0), Step(deep, 0.0, batter, 0.0))
        return PoolSurface(Basin(shape, Placed(0, 0, 0), profile(steps, bank_batter=0.5))).volume(0.0)

    here = held(depth, shelf)
    assert held(depth + more, shelf) >= here * (1 - 1e-7)
    assert held(depth, shelf + more) <= here * (1 + 1e-7)
    assert held(depth, shelf) > 0


def test_a_pool_in_gallons_is_as_printed() -> None:
    """1 m³ = 264.172 US gallons (NIST SP 811, Appendix B.8: 3.785412e-3 m³ each)."""
    held = surface_of(pool_of({"shape": "rectangle", "length": 4, "width": 2.5}, [(1.0, 0, 0)])).volume(0.0)
    assert held / factor("gal", VOLUME) == pytest.approx(10 / 3.785412e-3, rel=2e-6)
