"""Tables that are pasted: cells, units, headings, and what is refused with its line."""

from collections.abc import Callable

import pytest
from sketch import Sketch

from pondkit.core.part import get
from pondkit.core.refusal import Refused
from pondkit.page.edits import change_kind
from pondkit.page.tables import items_of, text_of
from pondkit.project.files import put
from tests.designs import full_project, small

GROUND = ("site", "ground")
POINTS = (*GROUND, "points")
ROWS = (*GROUND, "rows")


@pytest.mark.parametrize(
    "text",
    ["east,north,level\n1,2,0.5\n3, 4, -0.25", "1\t2\t0.5\n\n3\t4\t-0.25\n", "Ost;Nord;Höhe\n1;2;0.5\n3;4;-0.25"],
)
def test_points_are_read_with_commas_tabs_and_semicolons(text: str) -> None:
    project = put(full_project(), GROUND, {"kind": "points"})
    found = get(put(project, POINTS, items_of("points", text, (), "si"), "si"), POINTS)
    assert [tuple(map(float, row)) for row in found] == [(1, 2, 0.5), (3, 4, -0.25)]


def test_a_cell_may_carry_its_own_unit_and_a_line_left_alone_keeps_what_was_typed() -> None:
    project = put(full_project(), GROUND, {"kind": "points"})
    project = put(project, POINTS, items_of("points", "10 ft, 2 m, 5 1/2 in\n1, 2, 3", (), "us"), "us")
    held = get(project, POINTS)
    assert [value.text for value in held[0]] == ["10 ft", "2 m", "5 1/2 in"]
    shown = text_of("points", held, "si")
    assert shown.splitlines()[0] == "3.048, 2, 0.1397"
    again = items_of("points", shown + "\n9, 9, 9", held, "si")
    assert again[:2] == list(held)
    assert again[2] == ["9 m", "9 m", "9 m"]


def test_a_level_book_is_read_row_by_row_and_written_back() -> None:
    text = (
        "place, east, north, BS, IS, FS\nbenchmark,,,4.32\nfence corner, 10, 20, , 3.1\nturning stone,12,24,2.5,,6.05"
    )
    project = put(full_project(), GROUND, {"kind": "level book"})
    project = put(project, ROWS, items_of("rows", text, (), "us"), "us")
    rows = get(project, ROWS)
    assert [row.name for row in rows] == ["benchmark", "fence corner", "turning stone"]
    assert rows[0].at is None
    assert rows[1].at == pytest.approx((3.048, 6.096))
    assert (rows[2].foresight.text, rows[2].backsight.text) == ("6.05 ft", "2.5 ft")
    assert items_of("rows", text_of("rows", rows, "us"), rows, "us") == list(rows)


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("points", "1,2,3\n1,2", ("line 2 has 2 values", "east, north, level")),
        ("points", "4,1,2,3,tree", ("line 1 has 5 values",)),
        ("rows", "a,5,,1", ("line 1", "east and north belong together")),
    ],
)
def test_a_line_that_cannot_be_read_is_named(field: str, text: str, words: tuple[str, ...]) -> None:
    with pytest.raises(Refused) as caught:
        items_of(field, text, (), "us")
    assert all(part in str(caught.value) for part in words)


def test_a_cell_that_is_no_length_is_refused_with_its_place() -> None:
    project = put(full_project(), GROUND, {"kind": "points"})
    with pytest.raises(Refused) as caught:
        put(project, POINTS, items_of("points", "1,2,3\n1,2,deep", (), "us"), "us")
    assert "number 2" in str(caught.value)
    assert "deep" in str(caught.value)


def test_ground_changes_its_kind_and_stays_about_where_it_is() -> None:
    from pondkit.trades.ground.inputs import LevelBook, LevelGround, PlaneGround, PointsGround

    project = put(full_project(), GROUND, {"kind": "plane", "level": "1 ft", "fall": 0.1, "toward_deg": 90})
    points = change_kind(project, GROUND, PointsGround)
    levels = {(float(x) > 0): float(z) for x, _, z in get(points, POINTS)}
    assert levels == pytest.approx({True: (1 - 5) * 0.3048, False: (1 + 5) * 0.3048})
    book = change_kind(project, GROUND, LevelBook)
    assert book.site.ground.benchmark.text == "1 ft"
    assert change_kind(book, GROUND, LevelGround).site.ground.level.text == "1 ft"
    assert change_kind(points, GROUND, PlaneGround).site.ground.fall == 0


def test_a_file_of_points_is_taken_and_one_that_is_no_text_is_named(start: Callable[..., Sketch]) -> None:
    page = start(small(site={"ground": {"kind": "points", "points": [["0 ft", "0 ft", "1 ft"]]}}))
    page.choose("trade", "Site")

    def given(data: bytes) -> None:
        (chooser,) = [file for file in page.app.get("file_uploader") if (file.key or "").endswith("points:file")]
        chooser.upload("levels.csv", data, "text/csv")
        page.run()

    given(b"east,north,level\n0,0,1\n10,0,2\n0,10,caf\xe9")
    assert any("levels.csv is not UTF-8 text (byte 39 is not)" in problem for problem in page.problems)
    assert len(page.project.site.ground.points) == 1
    given(b"PK\x03\x04")
    assert any("levels.csv is a workbook" in problem for problem in page.problems)
    given(b"\xef\xbb\xbfeast,north,level\n0,0,1\n10,0,2\n0,10,3")
    assert [float(point[2]) for point in page.project.site.ground.points] == pytest.approx([0.3048, 0.6096, 0.9144])
