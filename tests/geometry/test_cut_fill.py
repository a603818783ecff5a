"""Cut, fill and rim on existing ground: closed forms on circles, the grid of ``tests/by_grid.py`` on sloping ground."""

import math
from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry import MultiPolygon, Point, Polygon, box

from pondkit.geometry.outline import Placed
from pondkit.geometry.terrain import Plane, TooSteep, band, length_above, shared_cut
from pondkit.trades.ground.compute import compute
from pondkit.trades.pools.inputs import Pool
from tests.by_grid import cut_and_fill, option_of, pit_of, pool_of, project_of, surfaces_of

ELLIPSE = {"shape": "ellipse", "length": 8, "width": 5}
CIRCLE = {"shape": "circle", "diameter": 6}
TIERS = [(0.3, 0.5, 0.5), (0.8, 0.0, 0.6)]


def level(height: float) -> dict[str, Any]:
    return {"kind": "level", "level": height}


def plane(height: float, fall: float, toward: float) -> dict[str, Any]:
    return {"kind": "plane", "level": height, "fall": fall, "toward_deg": toward}


def ground_of(ground: dict[str, Any]) -> Plane:
    made = compute(project_of(pool_of(CIRCLE, TIERS), ground=ground).site.ground).terrain
    assert isinstance(made, Plane)
    return made


def cone(radius: float, batter: float, height: float) -> float:
    """Volume between a circle and the same circle moved outward by batter times height."""
    far = radius + batter * height
    return math.pi * height / 3 * (radius**2 + radius * far + far**2)


def bowl_volume(radius: float = 3.0) -> float:
    """Of a circle with the two tiers: a frustum, the shelf, a frustum."""
    return cone(radius - 0.15, 0.5, 0.3) + cone(radius - 0.95, 0.6, 0.5)


def dug(pool: Pool, ground: dict[str, Any], **option: Any) -> tuple[float, float]:
    """Cut and fill of one pool [m³]."""
    earthwork = option_of(pool, ground=ground, **option).earthwork
    assert earthwork.dig_volume is not None
    assert earthwork.fill_volume is not None
    return earthwork.dig_volume.value, earthwork.fill_volume.value


@pytest.mark.parametrize(
    ("toward", "east", "north"), [(0, 0, -0.1), (90, -0.1, 0), (180, 0, 0.1), (225, 0.0707107, 0.0707107)]
)
def test_a_plane_falls_toward_its_bearing(toward: float, east: float, north: float) -> None:
    made = ground_of(plane(2, 0.1, toward))
    assert (made.level, made.east, made.north) == pytest.approx((2, east, north), abs=1e-7)
    assert made.at(np.array([[10.0, 0.0], [0.0, 10.0]])) == pytest.approx([2 + 10 * east, 2 + 10 * north])


def test_the_same_ground_seen_from_a_turned_pool() -> None:
    made, placed = Plane(1.0, 0.03, -0.05), Placed(4.0, -3.0, 35.0)
    own = np.array([[1.0, 2.0], [-3.0, 0.5]])
    assert made.seen_from(placed).at(own) == pytest.approx(made.at(placed.to_site(own)))


@pytest.mark.parametrize("fall", [0.2, 1e-3, 1e-6])
def test_what_stands_above_a_level_is_the_region_cut_by_a_half_plane(fall: float) -> None:
    """Against the library's own intersection with half of a wide square."""
    made = ground_of(plane(1, fall, 50))
    uphill = np.array([made.east, made.north]) / made.slope
    side = np.array([-uphill[1], uphill[0]])
    ring = Point(3, -2).buffer(9).difference(Point(4, -1).buffer(5))
    regions = [ring, Point(-2, 1).buffer(4), MultiPolygon([box(-9, -9, -4, 2), box(1, 1, 7, 3)])]
    for high in (1 - 3 * fall, 1.0, 1 + 4 * fall, 0.0, 2.0):
        start = np.clip((high - made.level) / fall, -5e3, 5e3) * uphill
        half = Polygon(
            [start - 1e4 * side, start + 1e4 * side, start + 1e4 * (side + uphill), start + 1e4 * (uphill - side)]
        )
        wanted = [region.intersection(half).area for region in regions]
        found = made.area_above(np.array(regions, dtype=object), np.full(len(regions), high))
        assert found == pytest.approx(wanted, rel=1e-7, abs=1e-7)


def test_level_ground_at_the_waterline_cuts_the_bowl_and_fills_the_bank() -> None:
    cut, fill = dug(pool_of(CIRCLE, TIERS, bank_batter=1.5, freeboard=0.2), level(0))
    assert cut == pytest.approx(bowl_volume(), rel=1e-5)
    assert fill == pytest.approx(math.pi * 3.3**2 * 0.2 - cone(3, 1.5, 0.2), rel=1e-3)


def test_level_ground_above_the_rim_is_cut_at_the_bank_batter() -> None:
    """Above the rim the cut goes on up at the bank's batter to the ground."""
    cut, fill = dug(pool_of(CIRCLE, TIERS, bank_batter=1.5, freeboard=0.2), level(1.0))
    assert cut == pytest.approx(bowl_volume() + cone(3, 1.5, 1.0), rel=1e-4)
    assert fill == 0


def test_ground_between_waterline_and_rim() -> None:
    cut, fill = dug(pool_of(CIRCLE, TIERS, bank_batter=1.5, freeboard=0.2), level(0.05))
    assert cut == pytest.approx(bowl_volume() + cone(3, 1.5, 0.05), rel=1e-4)
    assert fill == pytest.approx(math.pi * 3.3**2 * 0.15 - (cone(3, 1.5, 0.2) - cone(3, 1.5, 0.05)), rel=1e-3)


def test_ground_lower_than_the_whole_pool_is_fill_only() -> None:
    cut, fill = dug(pool_of(CIRCLE, TIERS, bank_batter=1.5, freeboard=0.2), level(-3))
    assert cut == 0
    assert fill == pytest.approx(math.pi * 3.3**2 * 3.2 - bowl_volume() - cone(3, 1.5, 0.2), rel=1e-3)


@pytest.mark.parametrize("height", [10, 20, 36])
def test_ground_far_above_is_cut_as_far_as_it_goes(height: float) -> None:
    cut, _ = dug(pool_of(CIRCLE, TIERS, bank_batter=0.5, level=-18), level(height - 18))
    assert cut == pytest.approx(bowl_volume() + cone(3, 0.5, height), rel=2e-4)


def test_an_upright_bank_needs_no_fill() -> None:
    cut, fill = dug(pool_of(CIRCLE, TIERS, bank_batter=0, freeboard=0.2), level(0.1))
    assert cut == pytest.approx(bowl_volume() + math.pi * 9 * 0.1, rel=1e-4)
    assert fill == pytest.approx(0, abs=1e-3)


def test_fabrics_and_liner_widen_the_dig() -> None:
    """3 cm in all: faces outward by n·sqrt(1 + b²), levels down by n."""
    laid = {"thickness": 0.005, "underlay": {"thickness": 0.015}, "overlay": {"thickness": 0.010}}
    cut, _ = dug(
        pool_of({"shape": "rectangle", "length": 6, "width": 4}, [(1.0, 0, 0)], bank_batter=0, freeboard=0),
        level(0),
        lining=laid,
    )
    # An offset outward is round at its corners.
    assert cut == pytest.approx((6.06 * 4.06 - (4 - math.pi) * 0.03**2) * 1.03, rel=1e-5)


GROUNDS = {
    "gentle": plane(0.1, 0.05, 30),
    "through the rim": plane(0.0, 0.2, 250),
    "through the floor": plane(-0.6, 0.1, 110),
    "above": plane(1.2, 0.1, 70),
    "steep": plane(0.1, 0.4, 10),
}


@pytest.mark.parametrize("batter", [0.0, 0.5, 1.5])
@pytest.mark.parametrize("ground", GROUNDS.values(), ids=GROUNDS)
def test_cut_and_fill_on_a_slope_agree_with_the_grid(ground: dict[str, Any], batter: float) -> None:
    pool = pool_of(ELLIPSE, TIERS, bank_batter=batter, freeboard=0.15, at=(1.0, -2.0), turn_deg=25)
    found = option_of(pool, ground=ground, lining={"thickness": 0.005, "underlay": {"thickness": 0.015}})
    assert found.earthwork.dig_volume is not None
    assert found.earthwork.fill_volume is not None
    assert found.pools[0].ground
    rim, reach = found.pools[0].surfaces.dig.rim, found.pools[0].ground.reach
    _, cut, fill = cut_and_fill(
        [pool], ground_of(ground).at, [rim], 0.02, max(reach, rim) + 0.1, 200 if reach < 2 else 300
    )
    assert found.earthwork.dig_volume.value == pytest.approx(cut, rel=1e-3)
    assert found.earthwork.fill_volume.value == pytest.approx(fill, rel=2e-3, abs=2e-3)  # the grid is no nearer


def test_ground_that_runs_through_a_pit() -> None:
    """Level or sloping, through the middle of an upright pit under a floor that stands clear of the ground."""
    pit = pit_of((0, 0), {"shape": "circle", "diameter": 2}, [(2.0, 0, 0)], top=0.5)
    pool = pool_of(
        {"shape": "rectangle", "length": 6, "width": 4}, [(0.5, 0, 0)], bank_batter=0, freeboard=0, pits=[pit]
    )
    for ground in (level(-1.2), plane(-1.2, 0.1, 60)):
        cut, fill = dug(pool, ground)
        assert cut == pytest.approx(math.pi * 0.8, rel=2e-4)
        assert fill == pytest.approx(24 * 0.7 - math.pi * 0.7, rel=1e-3)


PAIR = [
    pool_of(ELLIPSE, TIERS, bank_batter=1.0, freeboard=0.1, name="a"),
    pool_of(
        {"shape": "rectangle", "length": 4, "width": 3, "corner_radius": 0.5},
        TIERS,
        bank_batter=1.5,
        freeboard=0.2,
        level=-0.1,
        at=(6.4, 0.4),
        turn_deg=20,
        name="b",
    ),
]


@pytest.mark.parametrize("ground", [level(0.35), level(1.5), plane(0.6, 0.15, 250)], ids=["level", "high", "slope"])
def test_ground_that_two_digs_share_is_counted_once(ground: dict[str, Any]) -> None:
    found = option_of(*PAIR, ground=ground)
    reach = max(pool.ground.reach for pool in found.pools if pool.ground) + 0.1
    alone, together, _ = cut_and_fill(PAIR, ground_of(ground).at, [0, 0], 0.0, reach, 250)
    assert sum(alone) - together > 0.1  # they do run into each other
    assert [figure.value for figure in found.earthwork.pool_dig_volume] == pytest.approx(alone, rel=1e-3)
    assert found.earthwork.dig_volume is not None
    assert found.earthwork.dig_volume.value == pytest.approx(together, rel=1e-3)


def test_digs_that_do_not_meet_share_nothing() -> None:
    digs = tuple((surfaces_of(pool).dig, at) for pool, at in ((PAIR[0], 0.0), (PAIR[0], 30.0)))
    far = tuple((dig.surface.pool.shape, Placed(at, 0, 0), dig.surface.pool.profile, 0.0, 0.5) for dig, at in digs)
    assert shared_cut(far, Plane(0.5, 0, 0)) == 0


def test_a_bank_that_meets_the_ground_nowhere_or_too_far_out() -> None:
    dig = surfaces_of(pool_of(CIRCLE, TIERS, bank_batter=2)).dig
    shape, profile = dig.surface.pool.shape, dig.surface.pool.profile
    with pytest.raises(TooSteep) as nowhere:
        band(shape, profile, dig.rim, dig.rim_level, 0.0, Plane(1.0, 0.5, 0.0), ())
    assert nowhere.value.reach == math.inf
    with pytest.raises(TooSteep) as far:
        band(shape, profile, dig.rim, dig.rim_level, 0.0, Plane(1.0, 0.495, 0.0), ())
    # Uphill, level h at distance h x 2 from an edge 3 m from the middle: 1 + 0.495·(3 + 2h) = h.
    assert far.value.reach == pytest.approx(2 * (1 + 0.495 * 3) / (1 - 0.99), rel=1e-3)


SQUARE = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0], [0.0, 0.0]])


@pytest.mark.parametrize(
    ("height", "above"),
    [(1.0, 16.0), (0.3, 4 + 2 * 2.0), (0.5, 4 + 2 * 4.0), (0.1, 0.0), (0.0999, 0.0), (0.50001, 16.0)],
)
def test_length_above_ground_on_a_square(height: float, above: float) -> None:
    """Ground rises westward from 0.1 at x = 4 to 0.5 at x = 0."""
    assert length_above(SQUARE, height, Plane(0.5, -0.1, 0.0)) == pytest.approx(above, abs=1e-6)


def test_length_above_ground_on_a_circle() -> None:
    angle = np.linspace(0, 2 * np.pi, 721)
    ring = np.column_stack([3 * np.cos(angle), 3 * np.sin(angle)])
    # The ground stands at the rim's level along x = 1: above it is the arc of half-angle acos(1/3).
    assert length_above(ring, 0.1, Plane(0.2, -0.1, 0.0)) == pytest.approx(2 * 3 * math.acos(1 / 3), rel=1e-4)


def test_rim_above_ground_of_a_pool_against_a_fine_line() -> None:
    ground = plane(0.1, 0.06, 200)
    found = option_of(
        pool_of(ELLIPSE, TIERS, bank_batter=0.8, freeboard=0.2, at=(1, 1), turn_deg=40), ground=ground
    ).pools[0]
    outline = shapely.transform(found.surfaces.finished.surface.pool.shape.polygon, found.surfaces.placed.to_site)
    fine = np.asarray(outline.buffer(0.16, quad_segs=400).exterior.segmentize(0.002).coords)
    middles = (fine[1:] + fine[:-1]) / 2
    steps = np.linalg.norm(np.diff(fine, axis=0), axis=1)
    assert found.rim_above_ground
    assert found.rim_above_ground.value == pytest.approx(
        float(steps[ground_of(ground).at(middles) < 0.2].sum()), rel=1e-3
    )
    assert "filled ground settles" in found.rim_above_ground.cautions[0].text
