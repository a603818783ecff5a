"""The ground as it is: the level book against print, surveys, and what is refused by name and place."""

from typing import Any

import numpy as np
import pytest

from pondkit import Project
from pondkit.drawing.rows import say_problem
from pondkit.geometry.terrain import Mesh, Plane
from pondkit.study.evaluate import evaluate
from pondkit.trades.ground.compute import compute
from pondkit.trades.ground.results import LandResult
from tests.by_grid import pool_of

CORNERS = [[-10, -10, 0.0], [10, -10, 0.2], [10, 10, 0.4], [-10, 10, 0.2]]


def project(ground: dict[str, Any]) -> Project:
    pool = pool_of({"shape": "circle", "diameter": 6}, [(0.8, 0, 0.5)])
    data = {"units": "si", "site": {"ground": ground}, "options": [{"name": "A", "pools": [pool]}]}
    return Project.model_validate(data, context={"units": "si"})


def land(ground: dict[str, Any]) -> LandResult:
    return compute(project(ground).site.ground)


def said(ground: dict[str, Any]) -> list[str]:
    """Problems in words, as a person reads them."""
    made = project(ground)
    return [say_problem(made, path, problem, "si") for path, problem in evaluate(made).problems]


def row(name: str, **readings: Any) -> dict[str, Any]:
    return {"name": name} | readings


# N. N. Basak, Surveying and Levelling, Tata McGraw-Hill 1994, ch. 5, p. 163, pb-1 (read in its companion notebook).
BASAK = [
    row("benchmark", backsight=2.375),
    row("a", intermediate=1.730),
    row("b", intermediate=0.615),
    row("change 1", foresight=3.450, backsight=2.835),
    row("c", intermediate=2.070),
    row("d", intermediate=1.835),
    row("change 2", foresight=0.985, backsight=0.435),
    row("e", intermediate=1.630),
    row("f", intermediate=2.255),
    row("last", foresight=3.630),
]


def book(rows: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    return {"kind": "level book", "benchmark": 100 * 0.1, "rows": rows} | more


def test_the_level_book_of_basak_p_163() -> None:
    found = land(book(BASAK))
    assert found.backsights_less_foresights and found.rises_less_falls and found.last_less_first
    assert found.backsights_less_foresights.value == pytest.approx(5.645 - 8.065, abs=1e-9)
    assert found.rises_less_falls.value == pytest.approx(3.610 - 6.030, abs=1e-9)
    assert found.last_less_first.value == pytest.approx(-2.420, abs=1e-9)
    assert found.book
    assert (sum(found.book.rises), sum(found.book.falls)) == pytest.approx((3.610, 6.030))


def test_heights_of_instrument_and_levels_of_that_book() -> None:
    """With its benchmark at 10 m: the levels of the notes' sheet, which has it at 100 m, less 90."""
    found = land(book(BASAK)).book
    assert found
    levels = [100.0, 100.645, 101.760, 98.925, 99.690, 99.925, 100.775, 99.580, 98.955, 97.580]
    assert [r.level + 90 for r in found.rows] == pytest.approx(levels, abs=1e-9)
    assert sorted({round(r.instrument + 90, 6) for r in found.rows}) == [101.210, 101.760, 102.375]


SQUARE = [
    row("benchmark", backsight=1.5),
    row("p", at=[-10, -10], intermediate=1.4),
    row("q", at=[10, -10], intermediate=1.2),
    row("change", at=[10, 10], foresight=1.0, backsight=1.1),
    row("r", at=[-10, 10], intermediate=1.6),
    row("home", foresight=1.592),
]


def test_a_book_that_closes_makes_the_ground() -> None:
    found = land(book(SQUARE, benchmark=0.0, closing=0.0, allowed=0.01))
    assert found.problems == ()
    assert found.misclosure and found.misclosure.value == pytest.approx(0.008)
    assert isinstance(found.terrain, Mesh)
    assert found.terrain.level_at((-10, -10)) == pytest.approx(0.1)
    assert found.terrain.level_at((-10, 10)) == pytest.approx(0.0)  # not spread: as read


def test_the_misclosure_is_spread_over_the_stands_where_asked_for() -> None:
    """Two stands, 8 mm too high at the end: 4 mm off what the first stand read, 8 mm off the second's."""
    found = land(book(SQUARE, benchmark=0.0, closing=0.0, allowed=0.01, spread=True))
    assert isinstance(found.terrain, Mesh)
    assert found.terrain.level_at((-10, -10)) == pytest.approx(0.1 - 0.004)
    assert found.terrain.level_at((-10, 10)) == pytest.approx(0.0 - 0.008)
    assert found.misclosure and found.misclosure.value == pytest.approx(0.008)


def test_a_book_that_does_not_close_is_not_used_and_the_rest_stands() -> None:
    given = book(SQUARE, benchmark=0.0, closing=0.0, allowed=0.005)
    (words,) = said(given)
    assert all(part in words for part in ("closing level", "8 mm too high", "5 mm", "read the change points again"))
    (low,) = said(book(SQUARE, benchmark=0.0, closing=0.02, allowed=0.005))
    assert "12 mm too low" in low or "1.2 cm too low" in low
    option = evaluate(project(given)).options[0]
    assert option.totals.total_gross_volume and option.totals.total_net_volume
    assert option.earthwork.dig_volume is None
    assert option.pools[0].dig_depth is None


@pytest.mark.parametrize(
    ("at", "changed", "words"),
    [
        (0, row("benchmark", intermediate=1.5), ("sight 'benchmark'", "an intermediate sight", "a backsight alone")),
        (5, row("home", intermediate=1.5), ("sight 'home'", "the last row has a foresight alone")),
        (1, row("p", at=[-10, -10]), ("sight 'p'", "no reading")),
        (1, row("p", intermediate=1.0, backsight=1.0), ("sight 'p'", "a backsight and an intermediate sight")),
        (3, row("change", foresight=1.0), ("sight 'change'", "foresight and backsight where the instrument was moved")),
    ],
)
def test_a_row_that_makes_no_level_book_is_named(at: int, changed: dict[str, Any], words: tuple[str, ...]) -> None:
    rows = [*SQUARE[:at], changed, *SQUARE[at + 1 :]]
    told = " ".join(said(book(rows, benchmark=0.0)))
    assert all(part in told for part in words), told


def test_an_empty_book_and_an_unjudged_one_are_told() -> None:
    assert "the level book has 0 rows" in said(book([]))[0]
    notes = land(book(SQUARE, benchmark=0.0, closing=0.0)).misclosure
    assert notes and "judge for yourself" in notes.cautions[0].text
    first = land(book(SQUARE, benchmark=0.0)).backsights_less_foresights
    assert first and "would not be noticed" in first.cautions[0].text


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([], ("the survey has 0 places", "three or more")),
        (CORNERS[:2], ("the survey has 2 places",)),
        ([[0, 0, 0], [5, 5, 1], [10, 10, 0], [-3, -3.004, 2]], ("lie in one line", "add points beside the line")),
        (
            [*CORNERS, [10, -10, 0.5]],
            ("rows 2 and 5 stand in one place, at 20 cm and 50 cm", "number 5", "remove the one that is wrong"),
        ),
    ],
)
def test_points_that_make_no_ground_are_named_and_the_rest_stands(
    points: list[list[float]], words: tuple[str, ...]
) -> None:
    given = {"kind": "points", "points": points}
    (told,) = said(given)
    assert all(part in told for part in words), told
    assert evaluate(project(given)).options[0].totals.total_gross_volume


def test_the_same_point_twice_counts_once() -> None:
    found = land({"kind": "points", "points": [*CORNERS, CORNERS[0]]})
    assert found.problems == ()
    assert found.survey_places and found.survey_places.value == 4
    assert found.survey_area and found.survey_area.value == pytest.approx(400)


def test_level_ground_and_a_plane_are_planes() -> None:
    assert land({"kind": "level", "level": 0.5}).terrain == Plane(0.5, 0, 0)
    assert isinstance(land({"kind": "plane", "fall": 0.1}).terrain, Plane)


@pytest.mark.parametrize("bearing", [0, 90, 225, 300])
def test_a_plane_falls_toward_its_bearing(bearing: float) -> None:
    """10 m downhill of the origin the ground lies 1 m lower, 10 m uphill so much higher, and level across."""
    terrain = land({"kind": "plane", "level": 0.5, "fall": 0.1, "toward_deg": bearing}).terrain
    assert isinstance(terrain, Plane)
    turned = np.radians(bearing)  # clockwise from north
    east, north = 10 * np.sin(turned), 10 * np.cos(turned)
    levels = [terrain.level_at(at) for at in ((east, north), (-east, -north), (north, -east))]
    assert levels == pytest.approx([-0.5, 1.5, 0.5])


LOOP = [
    row("peg", at=[-10, -10], backsight=1.5),
    row("a", at=[10, -10], intermediate=1.2),
    row("b", at=[10, 10], intermediate=1.4),
    row("c", at=[-10, 10], intermediate=1.6),
    row("peg", at=[-10, -10], foresight=1.503),
]


def test_a_loop_back_to_a_benchmark_on_the_ground_has_one_level_there_that_is_known() -> None:
    """1.5 - 1.503: 3 mm low, within what is allowed. The peg's own level is the
    benchmark's, not what was read at the end.
    """
    found = land(book(LOOP, benchmark=0.2, closing=0.2, allowed=0.005))
    assert found.problems == ()
    assert found.misclosure and found.misclosure.value == pytest.approx(-0.003)
    free = land(book(LOOP, benchmark=0.2, closing=0.2)).misclosure  # nothing is said of what is allowed
    assert free and free.value == pytest.approx(-0.003)
    assert isinstance(found.terrain, Mesh)
    assert found.terrain.level_at((-10, -10)) == pytest.approx(0.2)
    assert found.terrain.level_at((10, -10)) == pytest.approx(0.2 + 1.5 - 1.2)


def test_a_place_that_a_book_reads_twice_is_mended_in_the_book() -> None:
    (told,) = said(book(LOOP, benchmark=0.2))
    assert "rows 1 and 5 stand in one place, at 20 cm and 19.7 cm" in told
    assert "leave the place out of one of the two rows" in told and "enter the closing level" in told


def test_a_minus_on_the_ground_is_refused_and_one_overhead_is_asked_about() -> None:
    """Ground that is read lies under the line of sight: no rod that stands on it reads less than 0."""
    wrong = [*LOOP[:1], row("a", at=[10, -10], intermediate=-1.2), *LOOP[2:]]
    (told,) = said(book(wrong, benchmark=0.2, closing=0.2))
    assert (
        "sight 'a', intermediate sight: the rod reads -1.2 m on the ground at 'a'" in told
        and "take the minus away" in told
    )
    beam = [*LOOP[:1], row("beam", intermediate=-1.2), *LOOP[1:]]
    found = land(book(beam, benchmark=0.2, closing=0.2))
    assert found.terrain and found.backsights_less_foresights
    assert "below 0 at 'beam'" in found.backsights_less_foresights.cautions[0].text
    assert not any(
        "below 0" in caution.text for caution in land(book(LOOP, closing=0.2)).backsights_less_foresights.cautions
    )


def test_spreading_a_misclosure_that_is_not_known_is_said() -> None:
    first = land(book(SQUARE, benchmark=0.0, spread=True)).backsights_less_foresights
    assert first and any("No misclosure is spread" in caution.text for caution in first.cautions)
    other = land(book(SQUARE, benchmark=0.0)).backsights_less_foresights
    assert other and not any("No misclosure is spread" in caution.text for caution in other.cautions)


def test_a_book_with_too_few_places_asks_for_them() -> None:
    (told,) = said(book(BASAK))
    assert "the survey has 0 places" in told and "enter east and north of more rows" in told


def test_levels_that_count_from_100_m_are_the_same_ground() -> None:
    low, high = land(book(SQUARE, benchmark=0.0)), land(book(SQUARE, benchmark=100.0, datum=100.0))
    assert isinstance(low.terrain, Mesh)
    assert isinstance(high.terrain, Mesh)
    assert high.terrain.places == pytest.approx(low.terrain.places, abs=1e-9)
    assert high.book
    assert low.book
    assert [r.as_read - 100 for r in high.book.rows] == pytest.approx([r.as_read for r in low.book.rows])
    points = land({"kind": "points", "points": [[x, y, z + 321.5] for x, y, z in CORNERS], "datum": 321.5})
    assert isinstance(points.terrain, Mesh)
    corners = np.array(CORNERS)
    assert points.terrain.at(corners[:, :2]) == pytest.approx(corners[:, 2])


def test_a_survey_far_from_the_site_datum_asks_for_it() -> None:
    """Pools lie within 60 ft (18.29 m) of the site datum, so that some of the ground does too."""
    for ground, side in (
        (book(SQUARE, benchmark=100.0), "above"),
        ({"kind": "points", "points": [[x, y, z - 18.8] for x, y, z in CORNERS]}, "below"),
    ):
        (text,) = said(ground)
        assert f"{side} the site datum" in text
        assert "18.29 m" in text
        assert land(ground).terrain is None
    assert land({"kind": "points", "points": [[x, y, z - 18.8 - 10 * (x > 0)] for x, y, z in CORNERS]}).problems
    assert not land({"kind": "points", "points": [[x, y, z - 18.8 + 10 * (x > 0)] for x, y, z in CORNERS]}).problems


def test_a_misclosure_counts_from_the_closing_level_wherever_the_benchmark_stands() -> None:
    """The same square from 100 m, known to end at 100.02 m: 12 mm too low, of which each stand takes 6."""
    found = land(book(SQUARE, benchmark=100.0, closing=100.02, allowed=0.02, spread=True, datum=100.0))
    assert isinstance(found.terrain, Mesh)
    assert found.terrain.level_at((-10, -10)) == pytest.approx(0.1 + 0.006)
    assert found.terrain.level_at((-10, 10)) == pytest.approx(0.0 + 0.012)
