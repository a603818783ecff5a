"""What lies in water, free and in the ground; mouths; penetrations; what pipe displaces and what floods."""

import dataclasses
import math

import numpy as np
import pytest

from pondkit.geometry.line_intersection import LineIntersection
from pondkit.geometry.terrain import Plane
from pondkit.trades.tunnels.joints import pipe
from pondkit.trades.tunnels.network import NetworkRun
from pondkit.trades.tunnels.runs import PoolLevels, mouth_place, run_alignment
from tests.trades.tunnels.sketch import LINED, POOL, Node, cautions, figures, said, sketch, value

FOUR = pipe("sch40 4 in")
HALF = math.pi / 4
UNDER: list[Node] = [("m", "mouth", (3.7, 0, -0.6)), ("den", "chamber", (9, 0, 0.6))]


def test_a_pipe_across_the_pool_is_parted_by_face_water_and_rim() -> None:
    # Closed form. Level at z = -0.6: the faces of batter 0.5 are that deep 0.3 m inside each edge (x = ±3.7).
    found = sketch([("a", "junction", (-6, 0, -0.6)), ("b", "junction", (6, 0, -0.6))], [("a", "b")])
    assert value(found, "run_in_water", "a – b") == pytest.approx(7.4, abs=1e-6)
    assert value(found, "run_in_ground", "a – b") == pytest.approx(12 - 7.4, abs=1e-6)
    assert value(found, "run_free", "a – b") == pytest.approx(0, abs=1e-6)


def test_a_pipe_above_the_water_inside_the_rim_is_free() -> None:
    # 5 cm above the water, the bank of batter 0.5 stands 2.5 cm outside each edge; the rim (default 4 in) lies higher.
    found = sketch([("a", "junction", (-6, 0, 0.05)), ("b", "junction", (6, 0, 0.05))], [("a", "b")])
    assert value(found, "run_free", "a – b") == pytest.approx(8.05, abs=1e-6)
    assert value(found, "run_in_water", "a – b") == 0


def test_a_slanting_pipe_changes_at_the_water_level() -> None:
    # From the middle of the floor's water up and out over the rim: level 0 is passed at half of the way.
    found = sketch([("a", "junction", (0, 0, -0.5)), ("b", "junction", (3, 0, 0.5))], [("a", "b")])
    long = math.hypot(3, 1)
    assert value(found, "run_in_water", "a – b") == pytest.approx(long / 2)
    assert value(found, "run_free", "a – b") == pytest.approx(long / 2)


def test_an_upright_pipe_has_length_and_place_but_no_slope() -> None:
    found = sketch([("a", "junction", (0, 0, -2)), ("b", "junction", (0, 0, 0.5))], [("a", "b")])
    assert value(found, "run_length", "a – b") == pytest.approx(2.5)
    assert value(found, "run_in_ground", "a – b") == pytest.approx(0.8)  # below the floor at -1.2
    assert value(found, "run_in_water", "a – b") == pytest.approx(1.2)
    assert not figures(found, "run_slope")


def test_parts_of_a_run_add_up_on_a_curved_pool_against_many_points() -> None:
    # The slow second way: the surface asked at 20001 places on the line.
    pool = POOL | {
        "outline": {"shape": "ellipse", "length": 7, "width": 4},
        "tiers": [{"zone": "a", "depth": 0.3, "shelf": 0.5, "batter": 0.4}, {"zone": "b", "depth": 0.9, "batter": 1.0}],
    }
    start, end = np.array([-5.0, -1.2, -0.5]), np.array([4.5, 1.0, 0.15])
    found = sketch([("a", "junction", tuple(start)), ("b", "junction", tuple(end))], [("a", "b")], [pool])
    laid = found.pools[0].surfaces.finished
    line = start + np.linspace(0, 1, 20001)[:, None] * (end - start)
    own = laid.placed.to_own(line[:, :2])
    inside = laid.surface.pool.shape.inward(own) >= -laid.rim
    above = inside & (line[:, 2] > laid.level - laid.surface.depth_at(own))
    long = float(np.linalg.norm(end - start))
    assert value(found, "run_in_water", "a – b") == pytest.approx(long * np.mean(above & (line[:, 2] < 0)), abs=2e-3)
    assert value(found, "run_free", "a – b") == pytest.approx(long * np.mean(above & (line[:, 2] >= 0)), abs=2e-3)


def test_mirrored_passages_have_the_same_figures() -> None:
    pool = POOL | {"outline": {"shape": "ellipse", "length": 8, "width": 5}}
    nodes: list[Node] = [("m", "mouth", (3, 1, -0.5)), ("j", "junction", (6, 2, -0.1)), ("d", "chamber", (7, 4, 0.4))]
    turned: list[Node] = [(name, kind, (x, -y, z)) for name, kind, (x, y, z) in nodes]
    one, other = (sketch(drawn, [("m", "j"), ("j", "d")], [pool]) for drawn in (nodes, turned))
    for key in ("run_length", "cut_length", "run_in_water", "mouth_depth", "flooded_pipe_volume"):
        for subject, figure in figures(one, key).items():
            assert value(other, key, subject) == pytest.approx(figure.value, rel=1e-6), key


@pytest.mark.parametrize("off", [-0.0254, 0.0254])
def test_a_mouth_within_an_inch_of_the_face_stays(off: float) -> None:
    # Measured along the run, here a level one.
    found = sketch([("m", "mouth", (3.7 + off * 0.99, 0, -0.6)), ("den", "chamber", (9, 0, -0.6))], [("m", "den")])
    assert value(found, "run_length", "m – den") == pytest.approx(5.3 - off * 0.99)
    assert not figures(found, "mouth_depth")["m"].cautions


def test_a_mouth_a_little_in_the_ground_is_carried_on_and_says_how_far() -> None:
    found = sketch([("m", "mouth", (3.9, 0, -0.6)), ("den", "chamber", (9, 0, -0.6))], [("m", "den")])
    assert value(found, "run_length", "m – den") == pytest.approx(5.3, abs=1e-6)
    assert "Extended by {moved}" in cautions(figures(found, "mouth_depth")["m"])
    assert figures(found, "mouth_depth")["m"].cautions[0].terms[0].value == pytest.approx(0.2, abs=1e-6)


def test_a_mouth_further_in_the_ground_is_a_problem_and_leaves_the_pools_net_volume_out() -> None:
    near = sketch([("m", "mouth", (4.3, 0, -0.6)), ("den", "chamber", (9, 0, -0.6))], [("m", "den")])
    assert "mouth 'm' lies in the ground" in said(near)
    assert not figures(near, "net_volume") and not figures(near, "tunnel_volume") and figures(near, "gross_volume")
    far = sketch([("m", "mouth", (12, 0, -0.6)), ("den", "chamber", (15, 0, -0.6))], [("m", "den")])
    assert "lies in the ground" in said(far) and figures(far, "net_volume")  # that pipe comes near no pool


def test_a_mouth_may_come_out_on_land_and_the_run_from_the_end_snaps_as_well() -> None:
    found = sketch([("m", "mouth", (3.7, 0, -0.6)), ("land", "mouth", (9, 0, 0.0))], [("land", "m")])
    assert not found.problems  # both stand at one level: nothing runs out
    assert set(figures(found, "mouth_depth")) == {"m"}
    dry = sketch([("a", "mouth", (3.98, 0, 0.1)), ("b", "mouth", (9, 0, 0.2))], [("b", "a")])
    assert not dry.problems and value(dry, "run_length", "b – a") > 4.9


def test_a_mouth_out_of_a_level_part_says_so() -> None:
    found = sketch([("m", "mouth", (0, 0, -1.0)), ("den", "junction", (0.2, 0, -2.2))], [("m", "den")])
    assert "shelf or floor" in cautions(figures(found, "cut_length")["m – den"])
    assert value(found, "mouth_depth", "m") == pytest.approx(1.2, abs=1e-6)


def test_the_cut_reaches_half_a_diameter_times_the_batter_past_the_mouth() -> None:
    # Ruling of the design: a mouth's cut reaches OD/2 x batter past its node; a chamber entry takes nothing.
    found = sketch([("m", "mouth", (3.7, 0, -0.6)), ("den", "chamber", (6, 0, -0.6))], [("m", "den")])
    assert value(found, "cut_length", "m – den") == pytest.approx(2.3 + FOUR.outside / 2 * 0.5, abs=1e-6)


def test_a_penetration_has_its_place_its_depth_and_its_fitting() -> None:
    found = sketch(UNDER, [("m", "den")], lining=LINED)
    assert value(found, "penetration_count") == 1
    assert value(found, "penetration_depth", "m – den / pool") == pytest.approx(0.6, abs=0.01)
    rim = found.pools[0].surfaces.finished.rim_level
    assert value(found, "penetration_below_rim", "m – den / pool") == pytest.approx(rim + 0.6, abs=0.01)
    assert value(found, "fitting_count", "sch40 4 in penetration") == 1
    assert "under water" in cautions(figures(found, "penetration_depth")["m – den / pool"])
    assert found.tunnels is not None and found.tunnels.penetration_places[0][1][2] == pytest.approx(-0.6, abs=0.01)
    assert not figures(sketch(UNDER, [("m", "den")]), "penetration_depth")  # a pool without a liner


def test_a_pipe_through_a_lined_pool_passes_the_liner_twice_and_over_the_rim_not_at_all() -> None:
    through = sketch([("a", "junction", (-6, 0, -0.6)), ("b", "junction", (6, 0, -0.6))], [("a", "b")], lining=LINED)
    assert value(through, "penetration_count") == 2
    assert set(figures(through, "penetration_depth")) == {"a – b / pool", "a – b / pool (2)"}
    over = sketch([("a", "junction", (-6, 0, 0.3)), ("b", "junction", (6, 0, 0.3))], [("a", "b")], lining=LINED)
    assert value(over, "penetration_count") == 0
    above = sketch([("a", "junction", (-6, 0, 0.05)), ("b", "junction", (6, 0, 0.05))], [("a", "b")], lining=LINED)
    assert value(above, "penetration_count") == 2 and not figures(above, "penetration_depth")["a – b / pool"].cautions


def test_open_pipe_displaces_its_walls_and_sealed_pipe_all_of_itself() -> None:
    sealed = sketch([("a", "junction", (-6, 0, -0.6)), ("b", "junction", (6, 0, -0.6))], [("a", "b")])
    assert value(sealed, "pipe_displaced", "pool") == pytest.approx(HALF * FOUR.outside**2 * 7.4, rel=1e-6)
    gap = value(sealed, "gross_volume", "pool") - value(sealed, "net_volume", "pool")
    assert gap == pytest.approx(value(sealed, "pipe_displaced", "pool"))
    # The same pipe with a branch that opens under water.
    nodes: list[Node] = [
        ("a", "junction", (-6, 0, -0.6)),
        ("b", "junction", (6, 0, -0.6)),
        ("m", "mouth", (3.9, 1, -0.2)),
    ]
    opened = sketch(nodes, [("a", "b"), ("b", "m")])
    assert value(opened, "pipe_displaced", "pool") == pytest.approx(
        HALF * (FOUR.outside**2 - FOUR.bore**2) * 7.4, rel=1e-6
    )


def test_a_dry_chamber_in_the_water_displaces_what_of_it_is_under() -> None:
    found = sketch([("box", "chamber", (0, 0, -0.3)), ("b", "junction", (6, 0, 0.4))], [("box", "b")])
    floor = -0.3 - FOUR.bore / 2
    whole = value(found, "pipe_displaced", "pool")
    pipes = HALF * FOUR.outside**2 * value(found, "run_in_water", "box – b")
    wall = 0.0254  # m, as shipped: the box is 2 walls longer, wider and higher outside
    outside = (0.6 + 2 * wall) * (0.45 + 2 * wall) * min(-floor + wall, 0.4 + 2 * wall)
    assert whole - pipes == pytest.approx(outside, rel=1e-6)


def test_flooded_pipe_outside_the_basin_is_what_lies_below_the_water_that_reaches_it() -> None:
    # The run rises from 0.6 m under water to 0.6 m above: half of it stands full.
    found = sketch(UNDER, [("m", "den")])
    half = math.hypot(5.3, 1.2) / 2
    assert value(found, "flooded_pipe_volume") == pytest.approx(HALF * FOUR.bore**2 * half, rel=1e-4)
    dry = sketch([("m", "mouth", (3.98, 0, 0.1)), ("low", "junction", (6, 0, -0.5))], [("m", "low")])
    assert value(dry, "flooded_pipe_volume") == 0  # its mouth has its invert above the water


def test_water_does_not_pass_a_high_point() -> None:
    nodes: list[Node] = [
        ("m", "mouth", (3.7, 0, -0.6)),
        ("top", "junction", (6, 0, 0.5)),
        ("end", "chamber", (8, 0, -0.5)),
    ]
    found = sketch(nodes, [("m", "top"), ("top", "end")])
    below = math.hypot(2.3, 1.1) * 0.6 / 1.1
    assert value(found, "flooded_pipe_volume") == pytest.approx(HALF * FOUR.bore**2 * below, rel=1e-3)
    assert "the den floods, unless" in cautions(figures(found, "den_floor_above_water")["end"])


def test_volume_is_bore_area_times_length_and_totals_are_sums() -> None:
    found = sketch(
        [*UNDER[:1], ("j", "junction", (6, 0, -0.3)), ("den", "chamber", (8, 1, 0.3))],
        [("m", "j"), ("j", "den", "sch40 6 in")],
    )
    for run, bore in (("m – j", FOUR.bore), ("j – den", pipe("sch40 6 in").bore)):
        assert value(found, "run_volume", run) == pytest.approx(HALF * bore**2 * value(found, "run_length", run))
    assert value(found, "tunnel_volume") == pytest.approx(sum(f.value for f in figures(found, "run_volume").values()))
    assert value(found, "total_pipe_order") == pytest.approx(
        sum(f.value for f in figures(found, "pipe_length_order").values())
    )
    assert set(figures(found, "pipe_length")) == {"sch40 4 in", "sch40 6 in"}
    for name in ("sch40 4 in", "sch40 6 in"):  # what is bought is cut or left over
        cut = [f.value for s, f in figures(found, "cut_length").items() if (s == "m – j") == (name == "sch40 4 in")]
        assert value(found, "pipe_length_order", name) == pytest.approx(sum(cut) + value(found, "offcut_length", name))


def test_pipe_above_the_ground_wants_cover_and_a_den_below_groundwater_is_said() -> None:
    assert "needs fill over it" in cautions(figures(sketch(UNDER, [("m", "den")]), "run_in_ground")["m – den"])
    deep: list[Node] = [("m", "mouth", (3.9, 0, -0.2)), ("den", "chamber", (9, 0, -0.25))]
    assert "needs fill" not in cautions(figures(sketch(deep, [("m", "den")]), "run_in_ground")["m – den"])
    wet = sketch(deep, [("m", "den")], site={"groundwater": -0.2})
    assert "groundwater" in cautions(figures(wet, "den_floor_above_water")["den"])


def test_protected_animals_are_named_once_at_the_tunnel_volume() -> None:
    found = sketch([*UNDER, ("lost", "junction", (12, 0, 0))], [("m", "den")])
    held = [key for key, figure in found.entries() if "protected by law" in cautions(figure)]
    assert held == ["tunnel_volume"]
    assert "No run reaches node 'lost'" in cautions(figures(found, "tunnel_volume")[""])


def test_both_ends_of_a_run_are_counted_from_where_it_is_cut() -> None:
    """A line of 10 m, cut at 1 and 9 m: its first and last 2 m lie in water, its last 3 above a liner."""
    met = LineIntersection(
        open=((0.0, 2.0, True), (8.0, 10.0, True)), faces=(), liner=(7.0,), held=((7.0, 10.0),), within=()
    )
    run = NetworkRun(0, "a – b", (0, 1), FOUR)
    line = ((0.0, 0.0, 0.0), (10.0, 0.0, 0.0))
    found = run_alignment(run, line, [met], (1.0, 9.0), (False, False), [PoolLevels("p", 0.0, 0.1, True)])
    assert found is not None
    assert (found.start, found.end, found.length) == ((1.0, 0.0, 0.0), (9.0, 0.0, 0.0), 8.0)
    assert found.open == ((0.0, 1.0, True), (7.0, 8.0, True))
    assert found.end_pools == (0, 0)
    assert found.held == ((6.0, 8.0),)
    assert [spot for _, spot in found.penetrations] == [(7.0, 0.0, 0.0)]
    assert (found.end_above_liner(0), found.end_above_liner(1)) == (False, True)
    assert found.buried() == [(1.0, 7.0)]


@pytest.mark.parametrize(("gap", "face"), [(0.0, 4.0), (0.5, 2.0)])
def test_a_mouth_in_the_water_goes_back_to_where_the_open_ends(gap: float, face: float) -> None:
    """Two pools whose open stretches meet count as one; the ground between them is where the run comes out."""
    near = LineIntersection(open=((-1.0, 2.0, True),), faces=((2.0, 0.5),), liner=(), held=(), within=())
    next_one = LineIntersection(open=((2.0 + gap, 4.0, True),), faces=((4.0, 0.5),), liner=(), held=(), within=())
    line = ((0.0, 0.0, -0.5), (10.0, 0.0, -0.5))
    if not gap:
        near = dataclasses.replace(near, faces=())  # no face where they meet
    place = mouth_place(line, [near, next_one], Plane(0.0, 0.0, 0.0), False)
    assert place is not None and place.face
    assert place.shift == pytest.approx(face)


@pytest.mark.parametrize(("mouths", "passed"), [((False, False), 0), ((True, False), 1), ((False, True), 1)])
def test_a_mouth_an_inch_off_the_face_passes_the_liner_just_beyond_it(mouths: tuple[bool, bool], passed: int) -> None:
    """A line cut at 1 and 9 m; the liner lies 1/2 in past either end, which counts where the pipe opens there."""
    half = 0.0127
    met = LineIntersection(open=(), faces=(), liner=(1.0 - half, 9.0 + half), held=(), within=())
    run, line = NetworkRun(0, "a – b", (0, 1), FOUR), ((0.0, 0.0, 0.0), (10.0, 0.0, 0.0))
    found = run_alignment(run, line, [met], (1.0, 9.0), mouths, [PoolLevels("p", 0.0, 0.1, True)])
    assert found is not None
    assert len(found.penetrations) == passed
    place = 1.0 - half if mouths[0] else 9.0 + half
    assert all(spot == pytest.approx((place, 0, 0)) for _, spot in found.penetrations)


def test_where_two_pools_share_a_bank_the_pipe_over_it_is_counted_once() -> None:
    """Stretches of 2 m in the open of the one and of 4 m in the water of the other overlap by 1 m: 5 m in all."""
    one = LineIntersection(open=((0.0, 2.0, False),), faces=(), liner=(), held=(), within=())
    other = LineIntersection(open=((1.0, 5.0, True),), faces=(), liner=(), held=(), within=())
    run, line = NetworkRun(0, "a – b", (0, 1), FOUR), ((0.0, 0.0, 0.0), (10.0, 0.0, 0.0))
    levels = [PoolLevels("one", -1.0, 0.1, False), PoolLevels("other", 0.0, 0.1, False)]
    found = run_alignment(run, line, [one, other], (0.0, 10.0), (False, False), levels)
    assert found is not None
    assert sum(high - low for low, high, _ in found.open) == pytest.approx(5.0)
    assert [(low, high) for low, high, wet in found.open if not wet] == [(0.0, 1.0)]
    assert found.buried() == [(5.0, 10.0)]
