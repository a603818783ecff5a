"""Setting out: tape lengths that solve back to their points, lines where they
should lie, and what is refused by name.
"""

import csv
import io
import math
from typing import Any

import numpy as np
import pytest
import shapely

from pondkit.core.units import SYSTEMS, System
from pondkit.drawing import frame
from pondkit.study.evaluate import OptionResult
from pondkit.trades.earthwork.pictures.setting_out import NO_TAPES, setting_out_csv
from pondkit.trades.earthwork.results import DAYLIGHT, DUG, WATERLINE, SettingOut, StakedPoint
from tests.trades.tunnels.sketch import POOL, cautions, figures, said, sketch, value

STAKES = {"a": [-7, -6], "b": [8, -7], "spacing": "60 cm", "within": "2 cm"}
ROUND = {"outline": {"shape": "circle", "diameter": 6}, "bank_batter": 0.8}


def out(*pools: dict[str, Any], ground: dict[str, Any] | None = None, **stakes: Any) -> OptionResult:
    made = [POOL | {"freeboard": 0.1} | pool for pool in pools or ({},)]
    return sketch(
        (),
        (),
        pools=made,
        site={"ground": ground or {"kind": "level", "level": 0.4}},
        option={"dig": {"stakes": STAKES | stakes}},
    )


def found(result: OptionResult) -> SettingOut:
    assert result.dig and result.dig.setting_out
    return result.dig.setting_out


def points(result: OptionResult, kind: str) -> np.ndarray[Any, Any]:
    lines = found(result).lines
    return np.concatenate([line.points for line in lines if line.kind == kind])


def crossing(
    a: tuple[float, float], b: tuple[float, float], reach_a: float, reach_b: float, left: bool
) -> tuple[float, float]:
    """Where two circles meet, on one side of the line from a to b: by similar
    triangles, as a crew's two tapes find it.
    """
    base = math.dist(a, b)
    along = (reach_a**2 - reach_b**2 + base**2) / (2 * base)
    square = math.sqrt(reach_a**2 - along**2) * (1 if left else -1)
    ahead = ((b[0] - a[0]) / base, (b[1] - a[1]) / base)
    return a[0] + along * ahead[0] - square * ahead[1], a[1] + along * ahead[1] + square * ahead[0]


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_tapes_of_the_csv_solve_back_to_its_points_within_a_millimetre(system: System) -> None:
    result = out(
        {"outline": {"shape": "ellipse", "length": 9, "width": 5}}, ground={"kind": "plane", "level": 0.4, "fall": 0.04}
    )
    metre = frame.magnitude_of(frame.PLAN_UNIT[system])
    lines = list(csv.reader(io.StringIO(setting_out_csv(found(result), system).removeprefix("\ufeff"))))
    head, stakes, rows = lines[0], lines[1:3], lines[3:]
    at = {name.partition(" [")[0]: index for index, name in enumerate(head)}
    ends = [(float(row[at["East"]]) * metre, float(row[at["North"]]) * metre) for row in stakes]
    assert ends == [pytest.approx(tuple(STAKES[name]), abs=1e-4) for name in "ab"]
    assert len(rows) == len(found(result).points) > 60
    solved = 0
    for row in rows:
        place = float(row[at["East"]]) * metre, float(row[at["North"]]) * metre
        if row[at["Tape from A"]] != NO_TAPES:
            tapes = [float(row[at[f"Tape from {name}"]]) * metre for name in "AB"]
            again = crossing(ends[0], ends[1], *tapes, row[at["Side of A to B"]] == "left")
            assert math.dist(again, place) < 1e-3
            solved += 1
        # Baseline and offset find every point, those that tapes do not find too.
        along, offset = (float(row[at[name]]) * metre for name in ("Along A to B", "Offset, left +"))
        base = math.dist(*ends)
        ahead = ((ends[1][0] - ends[0][0]) / base, (ends[1][1] - ends[0][1]) / base)
        again = ends[0][0] + along * ahead[0] - offset * ahead[1], ends[0][1] + along * ahead[1] + offset * ahead[0]
        assert math.dist(again, place) < 1e-3
    assert solved > 50


def angle(point: StakedPoint) -> float:
    """Angle between the tapes by the law of cosines."""
    base = math.dist(STAKES["a"], STAKES["b"])  # type: ignore[arg-type]
    return math.degrees(math.acos((point.tape_a**2 + point.tape_b**2 - base**2) / (2 * point.tape_a * point.tape_b)))


def test_points_whose_tapes_cross_too_flat_are_named_and_not_given_by_tapes() -> None:
    result = out({"at": [1, -3.2]}, {"name": "far", "at": [3, 40]})
    points_ = found(result).points
    for point in points_:
        assert point.crossing == pytest.approx(angle(point), abs=1e-6)
        assert point.by_tapes == (30 <= angle(point) <= 150)
    flat = [point for point in points_ if not point.by_tapes]
    assert any(point.crossing < 30 for point in flat) and any(point.crossing > 150 for point in flat)
    counted = figures(result, "not_by_tapes")
    assert sum(figure.value for figure in counted.values()) == len(flat)
    for figure in counted.values():
        assert "Not by tapes from these stakes" in cautions(figure) and "move the stakes" in cautions(figure)
    rows = list(csv.reader(io.StringIO(setting_out_csv(found(result), "si"))))[3:]
    assert [row[2] == NO_TAPES for row in rows] == [not point.by_tapes for point in points_]


def test_sides_are_as_seen_from_a_to_b() -> None:
    """A west of B: what lies north is on the left."""
    result = out(a=[-9, 0], b=[9, 0])
    for point in found(result).points:
        assert point.side == ("on" if abs(point.north) < 5e-4 else "left" if point.north > 0 else "right")
        assert point.offset == pytest.approx(point.north) and point.along == pytest.approx(point.east + 9)


# --- where the lines lie ---


def test_on_level_ground_a_round_dig_has_a_round_edge() -> None:
    """Radius 3 m, ground 0.4 m over the water, 0.8 horizontal to 1 vertical: 3.32 m all round."""
    edge = points(out(ROUND), DAYLIGHT)
    assert np.linalg.norm(edge, axis=1) == pytest.approx(3 + 0.8 * 0.4, abs=2e-3)
    assert np.linalg.norm(points(out(ROUND), WATERLINE), axis=1) == pytest.approx(3, abs=1e-3)


def test_on_sloping_ground_each_point_of_the_edge_is_as_far_out_as_the_ground_there_is_high() -> None:
    result = out(ROUND, ground={"kind": "plane", "level": 0.4, "fall": 0.06, "toward_deg": 90})
    edge = points(result, DAYLIGHT)
    ground = 0.4 - 0.06 * edge[:, 0]
    assert np.ptp(ground) > 0.3
    assert np.linalg.norm(edge, axis=1) - 3 == pytest.approx(0.8 * ground, abs=2e-3)


def test_the_edge_of_a_hollow_outline_lies_right_too() -> None:
    corners = [[0, 0], [8, 0], [8, 3], [3, 3], [3, 8], [0, 8]]
    result = out(
        {"outline": {"shape": "points", "smooth": False, "points": corners}, "bank_batter": 1},
        ground={"kind": "plane", "level": 0.6, "fall": 0.05, "toward_deg": 30},
        a=[-4, -4],
        b=[14, -4],
    )
    bearing = math.radians(30)
    edge = points(result, DAYLIGHT)
    ground = 0.6 - 0.05 * (edge[:, 0] * math.sin(bearing) + edge[:, 1] * math.cos(bearing))
    away = shapely.distance(shapely.points(edge), shapely.Polygon(corners))
    assert away == pytest.approx(ground, abs=2e-3)


def test_ground_under_the_waterline_meets_the_dig_inside_it() -> None:
    """Ground 0.2 under the water: faces of batter 0.5 meet it 0.1 m inside an outline of 3 m."""
    edge = points(out(ROUND, ground={"kind": "level", "level": -0.2}), DAYLIGHT)
    assert np.linalg.norm(edge, axis=1) == pytest.approx(3 - 0.1, abs=2e-3)


def test_tier_edges_lie_where_the_dig_falls_to_the_next_tier() -> None:
    """Shelf at 0.3 deep, batter 0.5, 0.5 wide: its inner edge is 0.15 + 0.5 m inside the waterline."""
    tiers = [
        {"zone": "marsh", "depth": 0.3, "shelf": 0.5, "batter": 0.5},
        {"zone": "deep", "depth": 1.2, "batter": 0.5},
    ]
    pit = {"at": [0.5, 0], "outline": {"shape": "circle", "diameter": 1}, "tiers": [{"zone": "pit", "depth": 1.6}]}
    result = out(ROUND | {"tiers": tiers, "pits": [pit]})
    lines = {line.name: line.points for line in found(result).lines}
    assert np.linalg.norm(lines["tier 2, edge: pool"], axis=1) == pytest.approx(3 - 0.65, abs=1e-3)
    assert np.linalg.norm(lines["pit 1, edge: pool"] - [0.5, 0], axis=1) == pytest.approx(0.5, abs=1e-3)
    assert [line.kind for line in found(result).lines] == [DAYLIGHT, WATERLINE, DUG, DUG]
    for line in found(result).lines:  # numbered anticlockwise
        assert shapely.LinearRing(line.points).is_ccw


def test_digs_that_run_into_one_another_have_one_edge() -> None:
    """Two circles of 3.32 m, 6.4 m apart: the length of the union's edge is that of two circles less two arcs."""
    result = out(ROUND, ROUND | {"name": "other", "at": [6.4, 0]})
    (edge,) = [line for line in found(result).lines if line.kind == DAYLIGHT]
    assert edge.name == "dig meets the ground: pool, other"
    radius = 3.32
    lost = 2 * math.acos(3.2 / radius) * radius
    assert value(result, "mark_length", edge.name) == pytest.approx(2 * (2 * math.pi * radius - lost), rel=1e-3)


NOTCH = [[-4, 3], [-0.7, 3], [0, -1], [0.7, 3], [4, 3], [4, -3], [-4, -3]]  # four metres deep, and narrow


@pytest.mark.parametrize("level", [0.4, 1.2, -0.3])
@pytest.mark.parametrize("corners", [NOTCH, [[0, 0], [8, 0], [8, 3], [3, 3], [3, 8], [0, 8]]], ids=["notch", "angle"])
def test_the_edge_goes_all_the_way_into_hollow_corners(corners: list[list[float]], level: float) -> None:
    """On level ground it is the outline moved out at the bank's batter, 1, or in at the
    face's, 0.5, by an independent offset.
    """
    result = out(
        {"outline": {"shape": "points", "smooth": False, "points": corners}, "bank_batter": 1},
        ground={"kind": "level", "level": level},
        a=[-9, -9],
        b=[14, -9],
    )
    (line,) = (line for line in found(result).lines if line.kind == DAYLIGHT)
    wanted = shapely.Polygon(corners).buffer(level if level > 0 else level / 2, quad_segs=64).exterior
    assert shapely.hausdorff_distance(shapely.LineString(line.ring), wanted, densify=0.001) < 1.5e-3


# --- points along them ---


def test_the_edge_inside_a_hollow_outline_goes_round_its_corner() -> None:
    """Ground 0.2 under the water meets a face of batter 0.5 at 0.1 inward: the outline moved in by
    that, an arc round the hollow corner.
    """
    corners = [[0, 0], [8, 0], [8, 3], [3, 3], [3, 8], [0, 8]]
    result = out(
        {"outline": {"shape": "points", "smooth": False, "points": corners}}, ground={"kind": "level", "level": -0.2}
    )
    (line,) = (line for line in found(result).lines if line.kind == DAYLIGHT)
    wanted = shapely.Polygon(corners).buffer(-0.1, quad_segs=64).exterior
    assert shapely.hausdorff_distance(shapely.LineString(line.ring), wanted, densify=0.001) < 0.005


def test_points_lie_no_further_apart_than_the_spacing_at_corners_and_bends_too() -> None:
    result = out({"outline": {"shape": "rectangle", "length": 8, "width": 6}})
    (water,) = [line for line in found(result).lines if line.kind == WATERLINE]
    for corner in ((4, 3), (-4, 3), (-4, -3), (4, -3)):
        assert np.linalg.norm(water.points - corner, axis=1).min() < 1e-6
    for line in found(result).lines:
        steps = np.linalg.norm(np.diff(line.points, axis=0, append=line.points[:1]), axis=1)
        assert 0.3 < steps.max() <= 0.6 + 1e-6


def test_a_string_from_point_to_point_leaves_a_bend_by_no_more_than_asked() -> None:
    for within in (0.01, 0.05):
        (water,) = [line for line in found(out(ROUND, spacing=8, within=within)).lines if line.kind == WATERLINE]
        string = shapely.LinearRing(water.points)
        away = shapely.distance(shapely.points(water.ring), string)
        assert within / 4 < away.max() <= within + 1e-3


# --- faults ---


def test_stakes_in_one_place_are_named_and_nothing_is_set_out() -> None:
    result = out(b=[-7.1, -6])
    assert "move one of the two" in said(result)
    assert [problem.path for problem in result.problems] == [("dig", "stakes", "b")]
    assert not found(result).points and result.whole


def test_a_stake_inside_the_dig_is_named_and_the_rest_stands() -> None:
    result = out(a=[1, 1])
    assert [problem.path for problem in result.problems] == [("dig", "stakes", "a")]
    assert "clear of the dig" in said(result) and found(result).points


def test_a_pool_over_all_ground_is_named_and_its_other_lines_are_set_out() -> None:
    result = out(ROUND, ground={"kind": "level", "level": -3})
    assert "does not meet the ground" in said(result)
    assert {line.kind for line in found(result).lines} == {WATERLINE}


def test_without_stakes_nothing_is_set_out() -> None:
    result = sketch((), (), option={"dig": {}})
    assert result.dig and result.dig.setting_out is None
    assert not figures(result, "mark_count")


def test_an_edge_beyond_the_survey_says_so_and_no_other_line_does() -> None:
    """A survey that ends at x = 2 under a pool that reaches to 4; the waterline depends on no ground."""
    half = {"kind": "points", "points": [[-12, -12, 0.3], [2, -12, 0.3], [2, 12, 0.3], [-12, 12, 0.3]]}
    lengths = figures(out(ground=half), "mark_length")
    said = {name: "outside the survey" in cautions(figure) for name, figure in lengths.items()}
    assert said["dig meets the ground: pool"] and sum(said.values()) == 1
    wide = {"kind": "points", "points": [[-12, -12, 0.3], [12, -12, 0.3], [12, 12, 0.3], [-12, 12, 0.3]]}
    assert not any(
        "outside the survey" in cautions(figure) for figure in figures(out(ground=wide), "mark_length").values()
    )
