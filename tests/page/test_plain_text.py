"""All of a person's text is shown as it was typed, on every screen and every print."""

import csv
import html
import io
import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from PIL import Image
from sketch import Sketch

from pondkit import Project, save
from pondkit.core.part import ask_of
from pondkit.page import contents, header
from pondkit.page.images import with_photo
from pondkit.page.state import escape_markdown
from pondkit.report.aims import aimable
from pondkit.report.papers import PAPERS
from pondkit.report.table import summary_csv, takeoff_csv
from pondkit.study.evaluate import evaluate
from tests import markup
from tests.designs import demo, part_classes, read
from tests.report.papers import reading

PLAIN = (
    "options",
    "value",
    "placeholder",
    "id",
    "url",
    "key",
    "default",
    "raw_values",
    "format",
    "code_text",
)  # shown as text


@pytest.fixture(scope="module")
def project() -> Project:
    """The full design, of several options, and a photo of its site, with such texts."""
    file = io.BytesIO()
    Image.new("RGB", (4, 3)).save(file, "JPEG")
    return markup.marked(with_photo(demo("turtle_yard"), "gate", file.getvalue(), keep_time_and_place=False))


def test_every_text_field_of_the_document_is_written_to(project: Project) -> None:
    written = markup.text_fields(project)
    every = {f"{part.__name__}.{name}" for part in part_classes() for name in part.model_fields if ask_of(part, name)}
    plain = {field: text for field, text in written.items() if not any(mark in text for mark in "<[=&:")}
    assert not plain and set(written) <= every | {"Photo.name", "Photo.taken"}  # those of a file are no inputs


def fields(message: Any, name: str = "") -> Iterator[tuple[str, str]]:
    """(field, text) of all texts of an element as it goes to the browser."""
    for field, value in message.ListFields():
        values = value if isinstance(value, list) or hasattr(value, "append") else [value]
        for item in values:
            if isinstance(item, str):
                yield field.name, item
            elif hasattr(item, "ListFields"):
                yield from fields(item, field.name)


def obeyed(page: Sketch) -> list[str]:
    """What of the project's texts is obeyed on the page as it is."""
    found: list[str] = []

    def walk(block: Any) -> None:
        for element in block.children.values():
            if hasattr(element, "children"):
                walk(element)
            proto = getattr(element, "proto", None)
            if element.type == "bidi_component":
                data = (
                    json.loads(proto.bytes or proto.json or "null") if element.key != "pondkit_plotly_loader" else None
                )
                figure = data.get("figure") if isinstance(data, dict) else None
                found.extend(f"{element.key}: {tag}" for tag in markup.obeyed_by_plotly(figure))
            elif element.type == "html":
                found.extend(f"html: {tag}" for tag in markup.obeyed_as_html(proto.body))
            elif hasattr(proto, "ListFields"):
                for name, text in fields(proto):
                    if name not in PLAIN:
                        found.extend(
                            f"{element.type}, {name}: {mark} in {text}" for mark in markup.obeyed_as_markdown(text)
                        )

    walk(page.app._tree)
    return found


def test_no_screen_obeys_it(start: Callable[..., Sketch], project: Project) -> None:
    page = start(json.loads(save(project)))
    assert page.project.title == project.title
    found = obeyed(page)
    for trade in contents.TRADES:
        page.desk.chosen["trade"] = trade
        page.run().unfold()
        found += obeyed(page)
        for lists in [row for id_, row in page.rows.items() if id_.startswith("list:")]:
            for at, *_ in lists["options"]:
                page.choose(lists["id"], at)
                found += obeyed(page)
    for part in page.parts_with_pictures:
        page.pictures_of(part)
        more = [group for group in page.app.get("button_group") if (group.key or "").startswith("more ")]
        for title in [option.content for option in more[0].proto.options]:
            page.choose("more ", title)
            found += obeyed(page)
    for view in header.VIEWS:
        page.choose("view", view)
        found += obeyed(page)
    page.choose("view", header.VIEWS[0])
    found += obeyed(page.unfold("job card"))
    page.desk.at_start = True  # the start, from which one may go back to the work
    found += obeyed(page.run())
    assert not found, "\n".join(dict.fromkeys(found))


def test_what_an_aim_finds_and_what_drives_a_figure_obey_none_of_it(start: Callable[..., Sketch]) -> None:
    """A figure and an input that are named by the person's own words, reached, out of reach, and driven."""
    page = start(json.loads(save(markup.marked(read())))).unfold("aim")
    named = [one.id for one in aimable(evaluate(page.project).options[0], "us") if one.id.startswith("zone_area|")]
    for begins, wanted in (("aim figure", named[0]), ("aim move", "pools.0.tiers.0.shelf")):
        (box,) = [box for box in page.app.selectbox if (box.key or "").startswith(begins)]
        box.set_value(wanted)
        page.run()
    for target in ("60 ft^2", "9000 ft^2", markup.TEXTS[0]):
        page.app.text_input(key="aim target").set_value(target)
        page.run().press("Solve")
        assert markup.FAR in html.unescape(" ".join(page.html("pk-aimed"))), target
        assert not obeyed(page)
    page.press("What drives it")
    assert markup.FAR in html.unescape(" ".join(page.html("pk-bars")))
    assert not obeyed(page)


@pytest.mark.parametrize("one", PAPERS, ids=lambda one: one.key)
def test_no_paper_obeys_it(project: Project, one: Any) -> None:
    """What is typed is printed as it stands: see tests/report/papers/test_typesetter.py for the typesetter's marks."""
    said = " ".join(reading.texts(reading.blocks(one.key, evaluate(project), 0, "us")))
    assert markup.FAR in said or one.key == "first_visit"


def test_no_cell_for_a_spreadsheet_is_a_formula(project: Project) -> None:
    results = evaluate(project)
    for row in csv.reader(io.StringIO(takeoff_csv(results, "us") + summary_csv(results, "us"))):
        for cell in row:
            assert not cell.startswith("=HYPERLINK"), row


@pytest.mark.parametrize("text", ["A", "a - b", "1.5 m", *markup.TEXTS])
def test_a_label_is_the_text_as_it_was_typed(text: str) -> None:
    shown = escape_markdown(text)
    assert shown.replace("\u2060", "").replace("\\", "") == text.replace("\\", "")
    assert not markup.obeyed_as_markdown(shown)
