"""Drawings to print: self-contained pages that say what the takeoff says."""

import html
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from pondkit import evaluate
from pondkit.units import SYSTEMS, System
from pondkit.view import table
from pondkit.view.drawings import drawing, write_drawings
from pondkit.view.say import say_problem
from tests.designs import DEMO_NAMES, demo, option, pool, read

ODD = '</script><b>a & "b"</b>'


class Read(HTMLParser):
    """Text outside scripts and styles, tags with their attributes, and scripts."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.scripts: list[str] = []
        self._inside = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._inside = tag if tag in ("script", "style") else ""

    def handle_endtag(self, tag: str) -> None:
        self._inside = "" if tag == self._inside else self._inside

    def handle_data(self, data: str) -> None:
        if self._inside == "script":
            self.scripts.append(data)
        elif not self._inside:
            self.texts.append(data)


def parsed(page: str) -> Read:
    found = Read()
    found.feed(page)
    return found


@pytest.mark.parametrize("name", DEMO_NAMES)
@pytest.mark.parametrize("system", SYSTEMS)
def test_a_drawing_says_every_figure_as_the_rows_do(name: str, system: System) -> None:
    results = evaluate(demo(name))
    for index, result in enumerate(results.options):
        texts = {text.strip() for text in parsed(drawing(results, index, system)).texts}
        for row in table.rows(result, system):
            assert {row.label, row.text, row.working} <= texts, row.key
            assert set(row.cautions) <= texts, row.key


def test_a_drawing_fetches_nothing() -> None:
    found = parsed(drawing(evaluate(read()), 0, "us"))
    for tag, attributes in found.tags:
        assert tag not in ("link", "iframe", "img", "object", "embed")
        assert not {"src", "href"} & attributes.keys()
    assert "@import" not in drawing(evaluate(read()), 0, "us").split("<script>")[0]


def test_a_picture_s_place_is_in_millimetres_and_within_the_page() -> None:
    page = drawing(evaluate(read()), 0, "us")
    places = [attributes for tag, attributes in parsed(page).tags if attributes.get("class") == "picture"]
    assert len(places) >= 3
    assert all(re.fullmatch(r"height:\d+mm", str(place["style"])) for place in places)
    assert len({place["id"] for place in places}) == len(places)
    assert "width: 186mm" in page  # A4, 12 mm of margin at either side


def test_pictures_are_drawn_by_script_with_finite_numbers() -> None:
    _, draw = parsed(drawing(evaluate(read()), 0, "us")).scripts[-2:]
    assert draw.count("Plotly.newPlot('p") >= 3
    assert not re.search(r"\b(NaN|-?Infinity)\b", draw)


def test_a_name_cannot_break_out_of_the_page() -> None:
    odd = pool(ODD, tiers=[{"zone": ODD, "depth": "20 in"}])
    page = drawing(evaluate(read(title=ODD, options=[option(ODD, note=ODD, pools=[odd])])), 0, "us")
    found = parsed(page)
    assert [tag for tag, _ in found.tags].count("script") == page.count("<script>") == 2
    assert any(ODD in text for text in found.texts)  # shown as it is
    assert html.escape(ODD) in page
    assert found.scripts[-1].count("Plotly.newPlot('p") >= 3


def test_what_could_not_be_worked_out_is_said_on_its_drawing() -> None:
    results = evaluate(read(options=[option("A"), option("B", pools=[pool("one"), pool("two", at=["5 ft", "0 ft"])])]))
    ((path, problem),) = results.problems
    said = say_problem(results.project, path, problem, "us")
    assert said not in parsed(drawing(results, 0, "us")).texts
    assert said in parsed(drawing(results, 1, "us")).texts


def test_an_option_without_a_pool_that_holds_still_gives_a_page() -> None:
    corners = [["0 ft", "0 ft"], ["9 ft", "9 ft"], ["9 ft", "0 ft"], ["0 ft", "9 ft"]]
    crossing = pool(outline={"shape": "points", "smooth": False, "points": corners})
    assert "crosses itself" in drawing(evaluate(read(options=[option(pools=[crossing])])), 0, "us")


def test_each_option_gets_a_file_of_its_own(tmp_path: Path) -> None:
    results = evaluate(read(options=[option("A/../../b"), option("A b"), option("A_b"), option("…")]))
    out = tmp_path / "new" / "folder"
    written = write_drawings(results, out, "si")
    assert len(set(written)) == 4
    assert sorted(out.iterdir()) == sorted(written)
    for index, path in enumerate(written):
        assert path.read_text(encoding="utf-8") == drawing(results, index, "si")
