"""Depth profiles: corners against hand geometry, moved at right angles, under gravel, with a seat for edging."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pondkit.geometry.profile import BANK, SEAT, Profile, Step, profile
from tests.by_grid import dig_track, pool_of

SHELF = (Step(0.3, 0.5, 0.5, 0.0), Step(0.8, 0.0, 0.6, 0.0))
SLANT = math.hypot(1, 0.5)


def corners(made: Profile) -> np.ndarray:
    return np.array(made.corners)


def test_corners_of_a_shelf_and_a_floor() -> None:
    assert corners(profile(SHELF, bank_batter=0.7)) == pytest.approx(
        np.array([(0, 0), (0.15, 0.3), (0.65, 0.3), (0.95, 0.8)])
    )


def test_depth_and_distance_inward_undo_each_other() -> None:
    made = profile(SHELF, bank_batter=0.7)
    depth = np.array([-0.4, 0.1, 0.3, 0.5, 0.8])
    assert made.inward(depth) == pytest.approx([-0.28, 0.05, 0.15, 0.77, 0.95])
    assert made.depth(made.inward(depth)) == pytest.approx(depth)
    assert made.depth(np.array([0.4, 0.65, 3.0])) == pytest.approx([0.3, 0.3, 0.8])


def test_deeper_than_a_level_begins_behind_it() -> None:
    made = profile(SHELF, bank_batter=0.7)
    assert made.inward(np.array([0.3, 0.8]), beyond=True) == pytest.approx([0.65, 1e4])
    assert made.inward(np.array([0.81])) == pytest.approx([1e4])  # deeper than the floor is nowhere


def test_upright_faces_read_deep_at_their_foot_and_shallow_at_their_top() -> None:
    made = profile((Step(0.3, 0.5, 0.0, 0.0), Step(0.8, 0.0, 0.0, 0.0)), bank_batter=0.0)
    assert made.inward(np.array([0.1, 0.3, 0.5])) == pytest.approx([0, 0, 0.5])
    assert made.depth(np.array([0.001, 0.499, 0.501])) == pytest.approx([0.3, 0.3, 0.8])


def test_equal_batters_without_a_shelf_are_one_face_with_two_owners() -> None:
    made = profile((Step(0.3, 0.0, 0.5, 0.0), Step(0.8, 0.0, 0.5, 0.0)), bank_batter=0.5)
    assert corners(made) == pytest.approx(np.array([(0, 0), (0.15, 0.3), (0.4, 0.8)]))
    assert [face.owner for _, _, face in made.faces] == [BANK, 0, 1]


def test_moved_at_right_angles_faces_go_outward_along_the_slant_and_levels_down() -> None:
    """A face of batter b goes outward by n·sqrt(1 + b²), a level down by n: plane geometry."""
    n = 0.02
    here, moved = profile(SHELF, bank_batter=0.5), profile(SHELF, bank_batter=0.5, normal=n)
    z = np.array([0.05, 0.2])
    assert moved.inward(z) == pytest.approx(here.inward(z) - n * SLANT)
    assert moved.inward(np.array([0.5])) == pytest.approx(here.inward(np.array([0.5])) - n * math.hypot(1, 0.6))
    assert [line.level for _, _, line in moved.levels] == pytest.approx([0.3 + n, 0.8 + n])


def test_under_gravel_a_shelf_starts_and_ends_gravel_times_batter_further_in() -> None:
    steps = (Step(0.3, 0.5, 0.5, 0.05), Step(0.8, 0.0, 0.6, 0.1))
    under = profile(steps, bank_batter=0.7, gravel=True)
    wanted = [(0, 0), (0.15 + 0.05 * 0.5, 0.35), (0.65 + 0.05 * 0.6, 0.35), (0.95 + 0.1 * 0.6, 0.9)]
    assert corners(under) == pytest.approx(np.array(wanted))


def test_gravel_on_a_tier_without_a_level_part_changes_nothing() -> None:
    steps = (Step(0.3, 0.0, 0.5, 0.05), Step(0.8, 0.0, 0.6, 0.0))
    assert profile(steps, bank_batter=0.7, gravel=True) == profile(steps, bank_batter=0.7)


@pytest.mark.parametrize("base", [0.0, 0.1, 0.3])
def test_a_seat_at_or_below_the_waterline(base: float) -> None:
    made = profile(SHELF, bank_batter=0.7, seat=(0.4, base))
    assert corners(made)[:2] == pytest.approx(np.array([(-0.4, base), (0.5 * base, base)]))
    assert made.inward(np.array([-0.2])) == pytest.approx([-0.4 - 0.7 * (base + 0.2)])
    assert made.depth(np.array([0.9])) == pytest.approx(profile(SHELF, bank_batter=0.7).depth(np.array([0.9])))


def test_a_seat_above_the_waterline_leaves_the_bank_below_it() -> None:
    made = profile(SHELF, bank_batter=0.7, seat=(0.4, -0.2))
    assert corners(made)[:3] == pytest.approx(np.array([(-0.4, -0.2), (-0.14, -0.2), (0, 0)]))
    assert [line.owner for line in made.lines[:4]] == [BANK, SEAT, BANK, 0]


@pytest.mark.parametrize(("width", "batter"), [(0.3, 2.0), (0.1, 0.5), (0.3, 1.0)])
def test_a_seat_narrower_than_the_bank_there_changes_nothing(width: float, batter: float) -> None:
    """At 0.3 m above the water a bank of batter 1 is 0.3 m out already."""
    assert profile(SHELF, bank_batter=batter, seat=(width, -0.3)) == profile(SHELF, bank_batter=batter)


def test_a_pit_goes_straight_up_from_its_top() -> None:
    made = profile((Step(1.2, 0.0, 0.4, 0.0),), top=0.8)
    assert made.inward(np.array([0.1, 0.8, 1.0, 1.2])) == pytest.approx([0, 0, 0.08, 0.16])


def test_the_upper_part_is_equal_where_only_deeper_tiers_differ() -> None:
    made = profile(SHELF, bank_batter=0.7)
    other = profile((SHELF[0], Step(1.1, 0.0, 0.9, 0.0)), bank_batter=0.7)
    assert made.upper(0.2) == other.upper(0.2)
    assert made.upper(0.5) != other.upper(0.5)
    assert made.upper(0.2).inward(np.array([-0.3, 0.1])) == pytest.approx(made.inward(np.array([-0.3, 0.1])))


tiers = st.lists(
    st.tuples(
        st.floats(0.05, 0.8),
        st.sampled_from([0.0, 0.0, 0.05, 0.6]),
        st.sampled_from([0.0, 0.5, 0.5, 2.0]),
        st.floats(0, 0.04),
    ),
    min_size=1,
    max_size=4,
)


def made_of(
    drawn: list[tuple[float, float, float, float]],
) -> tuple[list[tuple[float, float, float, float]], tuple[Step, ...]]:
    depth, rows = 0.0, []
    for drop, shelf, batter, gravel in drawn:
        depth += drop
        rows.append((depth, shelf, batter, gravel))
    return rows, tuple(Step(*row) for row in rows)


@settings(max_examples=40, deadline=None)
@given(drawn=tiers, bank=st.sampled_from([0.0, 0.5, 1.5]), normal=st.sampled_from([0.0, 0.004, 0.012]))
def test_every_profile_agrees_with_lines_moved_and_cut_by_plain_vectors(
    drawn: list[tuple[float, float, float, float]], bank: float, normal: float
) -> None:
    rows, steps = made_of(drawn)
    made = profile(steps, bank_batter=bank, gravel=True, normal=normal)
    t, z = dig_track(pool_of({"shape": "circle", "diameter": 30}, rows, bank_batter=bank), normal)
    # A level that its neighbours leave no room is for the test below.
    assume((np.diff(t) > 0).all() and (np.diff(z) > -1e-12).all())
    at = np.linspace(t[1] - 0.2, 8, 400)
    assert made.depth(at).clip(-20) == pytest.approx(np.interp(at, t, z).clip(-20), abs=1e-4)


@settings(max_examples=40, deadline=None)
@given(drawn=tiers, normal=st.floats(0, 0.1))
def test_a_surface_deepens_inward_and_a_moved_one_lies_nowhere_above(
    drawn: list[tuple[float, float, float, float]], normal: float
) -> None:
    _, steps = made_of(drawn)
    at = np.linspace(-0.5, 8, 300)

    def depth(made: Profile) -> np.ndarray:
        return made.depth(at)

    finished, under = (depth(profile(steps, bank_batter=0.5, gravel=gravel)) for gravel in (False, True))
    dig = depth(profile(steps, bank_batter=0.5, gravel=True, normal=normal))
    for surface in (finished, under, dig):
        assert (np.diff(surface) >= -1e-9).all()
    assert (under >= finished - 1e-6).all()
    assert (dig >= under - 1e-6).all()


def slabs(rows: list[tuple[float, float, float, float]], at: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Finished and liner depth by hand: on each level part a slab of gravel, down along the plane of the face in front
    of it to its thickness, then level until it first meets the finished surface again; where a level part further in
    begins, no deeper than that part's own slab.
    """
    t, z = [0.0], [0.0]
    parts = []
    for index, (depth, shelf, batter, gravel) in enumerate(rows):
        t.append(t[-1] + batter * (depth - z[-1]))
        z.append(depth)
        last = index == len(rows) - 1
        if last or shelf > 0:
            parts.append((t[-1], depth, batter, depth + gravel))
            t.append(t[-1] + (1e3 if last else shelf))
            z.append(depth)
    finished = np.interp(at, np.array(t) + 1e-10 * np.arange(len(t)), z)
    liner = finished.copy()
    for number, (begins, depth, batter, bed) in enumerate(parts):
        plane = depth + (at - begins) / batter if batter > 0 else np.full(at.shape, bed)
        slab = np.where(at >= begins, np.minimum(plane, bed), 0.0)
        for further, _, _, own in parts[number + 1 :]:
            slab = np.where(at >= further, np.minimum(slab, own), slab)
        met = np.flatnonzero((at > begins) & (slab < finished - 1e-9))
        if len(met):
            slab[met[0] :] = 0.0
        liner = np.maximum(liner, slab)
    return finished, liner


def test_the_liner_under_gravel_is_the_slabs_laid_by_hand_on_2000_random_rows_of_tiers() -> None:
    chance = np.random.default_rng(7)
    at = np.linspace(0.001, 6, 1200)
    lips = 0
    for _ in range(2000):
        depth, rows = 0.0, []
        for _ in range(chance.integers(1, 6)):
            depth += chance.uniform(0.02, 0.5)
            shelf, batter = chance.choice([0, 0, 0.05, 0.3, 0.6]), chance.choice([0, 0.3, 0.5, 0.5, 2])
            rows.append((depth, float(shelf), float(batter), float(chance.choice([0, 0.1, chance.uniform(0, 0.45)]))))
        finished, liner = slabs(rows, at)
        steps = tuple(Step(*row) for row in rows)
        assert np.allclose(profile(steps, bank_batter=0.5).depth(at), finished, rtol=0, atol=1e-3), rows
        bed = profile(steps, bank_batter=0.5, gravel=True)
        under, lips = bed.depth(at), lips + bool(bed.lips)
        assert (under >= finished - 1e-4).all(), rows  # an upright face is a slit wide
        # An upright face is a step: between two places of the row the two may differ, over no more than that width.
        assert np.abs(np.trapezoid(under - liner, at)) < 2e-3, rows
    assert lips > 150


def test_the_dig_under_a_lip_is_the_bed_moved_at_right_angles_by_the_library_on_300_random_rows() -> None:
    """The hole as a polygon of distance and depth, grown by the library with sharp corners. Where a shelf is so narrow
    that the bed's level comes out narrower than what is laid under it, the two may differ by some square centimetres.
    """
    chance = np.random.default_rng(11)
    normal, tried = 0.012, 0
    window = shapely.box(-1, -2, 15, 10)
    while tried < 300:
        depth, rows = 0.0, []
        for _ in range(chance.integers(2, 6)):
            depth += chance.uniform(0.02, 0.5)
            shelf, batter = chance.choice([0, 0.1, 0.3, 0.6]), chance.choice([0, 0.3, 0.5, 0.5, 2])
            rows.append((depth, float(shelf), float(batter), float(chance.uniform(0, 0.9))))
        steps = tuple(Step(*row) for row in rows)
        bed, dig = (profile(steps, bank_batter=0.5, gravel=True, normal=moved) for moved in (0.0, normal))
        if not bed.lips:
            continue
        tried += 1
        holes = [
            shapely.remove_repeated_points(
                shapely.Polygon([(-10, -20), *made.corners, (20, made.corners[-1][1]), (20, -20)]), 1e-9
            )
            for made in (bed, dig)
        ]
        grown = holes[0].buffer(normal, join_style="mitre", mitre_limit=20)
        apart = grown.intersection(window).symmetric_difference(holes[1].intersection(window)).area
        assert apart < 2e-3, rows


def test_a_bed_rises_at_the_edge_of_a_level_part_with_less_under_it() -> None:
    """Shelf of 24 in at 6 in with 6 in of gravel, no shelf at 7 in, floor at 8 in without gravel, batters 0.5: the bed
    falls in the face's plane to 12 in, and rises to 8 in where the floor begins, 3 + 24 + 1 in inside the outline.
    """
    steps = (Step(6, 24, 0.5, 6), Step(7, 0, 0.5, 12), Step(8, 0, 0.5, 0))
    bed = profile(steps, bank_batter=0.5, gravel=True)
    assert np.array(bed.corners) == pytest.approx(np.array([(0, 0), (6, 12), (28, 12), (28, 8)]))
    assert [(upper, lower, lip.owner) for upper, lower, lip in bed.lips] == [(8, 12, 0)]
    assert bed.depth(np.array([5.0, 27.9, 28.1, 60.0])) == pytest.approx([10, 12, 8, 8], abs=1e-6)
    assert float(bed.inward(np.array(9.0))) == 4.5
    moved = profile(steps, bank_batter=0.5, gravel=True, normal=1)
    hand = [(6.5 - np.hypot(1, 0.5), 13), (29, 13), (29, 9)]
    assert np.array(moved.corners[1:]) == pytest.approx(np.array(hand))


def test_a_bed_that_is_as_deep_as_the_next_has_no_lip() -> None:
    """With 2 in on that shelf its bed lies at 8 in, as the floor; a hair more, and it rises."""
    for gravel, lips in ((2.0, 0), (2.001, 1)):
        steps = (Step(6, 24, 0.5, gravel), Step(7, 0, 0.5, 12), Step(8, 0, 0.5, 0))
        bed = profile(steps, bank_batter=0.5, gravel=True)
        assert len(bed.lips) == lips
        assert bed.depth(np.array([5.0, 27.0, 29.0])) == pytest.approx([8, 8, 8], abs=2e-3)


def test_what_lies_deeper_behind_a_lip_is_dug_as_drawn() -> None:
    """The upper part of a profile keeps what comes before its last line over a depth, with the lip in it."""
    steps = (Step(0.2, 0.5, 0.5, 0.4), Step(0.3, 0.5, 0.5, 0.0), Step(1.0, 0.0, 0.5, 0.0))
    bed = profile(steps, bank_batter=0.5, gravel=True)
    at = np.linspace(-1, 1.4, 200)
    assert bed.upper(0.35).depth(at) == pytest.approx(bed.depth(at), abs=1e-6)
    assert float(bed.inward(np.array(0.8))) == pytest.approx(1.15 + 0.5 * 0.5)
