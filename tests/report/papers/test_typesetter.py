"""The typesetter: what is handed to it as text is printed as text, what has a size is of that size."""

import io

import pypdf
import pytest
import typst

from pondkit.drawing.blocks import (
    BLANK,
    Beside,
    Fields,
    Grid,
    Heading,
    Items,
    NewPage,
    Picture,
    Signature,
    Table,
    Text,
    widths,
)
from pondkit.drawing.labels import FOLDER
from pondkit.report.papers import sheet
from pondkit.report.papers.sheet import SHEETS, SIZES, Head, Size, typeset
from tests.report.papers import reading

MARKUP = '#panic() *bold* _x_ $x$ = h @ref <label> \\u{41} // c /* <b>&amp; "quoted" `raw` #[x] ~ -- ...'
BAR = Picture(
    "<svg xmlns='http://www.w3.org/2000/svg' width='90mm' height='30mm' viewBox='0 0 90 30'>"
    "<rect x='5' y='5' width='80' height='1'/></svg>",
    90.0,
    30.0,
    "a bar",
)


@pytest.mark.parametrize("size", SIZES)
def test_a_picture_measures_what_it_says_on_both_papers(size: Size) -> None:
    made = typeset("Bar", Head(), [BAR], size)
    assert reading.size(made) == pytest.approx(SHEETS[size][1:], abs=0.1)  # ANSI/ASME Y14.1 size A; ISO 216
    (bar,) = [one for one in reading.rectangles(made) if one.high == pytest.approx(1.0, abs=0.01)]
    assert bar.wide == pytest.approx(80.0, abs=0.01)


def test_markup_in_every_text_is_printed_as_text() -> None:
    blocks = [
        Heading(MARKUP),
        Text(MARKUP, lead=MARKUP, look="box"),
        Items((MARKUP,), tick=True),
        Table((MARKUP, "b"), ((MARKUP, BLANK),), strong=(0,)),
        Fields(((MARKUP, MARKUP),), columns=1),
        Signature((MARKUP,)),
        Grid(20.0, MARKUP),
        Beside(((Text(MARKUP),), (Text("beside"),)), (1.0, 1.0)),
        Picture(BAR.svg, 90.0, 30.0, MARKUP, MARKUP),
    ]
    made = typeset(MARKUP, Head(MARKUP, (MARKUP,), (((MARKUP, MARKUP),), (("Option", MARKUP),))), blocks, "a4")
    said = reading.text(made).replace(" ", "").replace("-", "")  # lines may be broken at a hyphen
    # Title, heading, lead and text, item, head and cell, label and what is known, signature, words over the grid,
    # those beside, caption: 13; at the head of the page the firm, the line under it, label and text, option: 5.
    assert said.count(MARKUP.replace(" ", "").replace("-", "")) == 13 + 5


def test_the_head_of_a_table_is_repeated_and_no_heading_stands_alone_at_the_foot() -> None:
    for lines in range(30, 60):
        blocks = [*(Text(f"line {number}") for number in range(lines)), Heading("Table of things")]
        blocks += [Table(("Thing", "Length"), tuple((f"thing {n}", f"{n} ft") for n in range(70)), (1,))]
        pages = reading.pages(typeset("Paper", Head(), blocks, "letter"))
        (first,) = [page for page in pages if "Table of things" in page]
        assert "thing 3" in first, lines
        assert all("Thing Length" in page for page in pages if "thing " in page)


def test_a_signature_never_stands_alone_on_its_page() -> None:
    rows = tuple((f"row {number}", "x") for number in range(4))
    for last in (Items(("a thing", "last thing"), kept=True), Table(("b", "last thing"), rows, kept=True)):
        for lines in range(30, 60):
            blocks = [*(Text(f"line {number}") for number in range(lines)), last, Signature(("For the client",))]
            pages = reading.pages(typeset("Paper", Head(), blocks, "letter"))
            (signed,) = [page for page in pages if "For the client" in page]
            assert "last thing" in signed, lines


def test_squared_paper_is_on_the_page_of_its_heading_and_words() -> None:
    for lines in (5, 15, 20, 25):
        blocks = [*(Text(f"line {number}") for number in range(lines)), Heading("Sketch"), Grid(150.0, "One square")]
        made = typeset("Paper", Head(), blocks, "letter")
        (page,) = [number for number, page in enumerate(reading.pages(made)) if "One square" in page]
        squared = [one.page for one in (*reading.rectangles(made), *reading.curves(made)) if one.high > 140]
        assert set(squared) == {page} and "Sketch" in reading.pages(made)[page], lines


def test_a_column_to_write_in_gets_the_room_that_is_left() -> None:
    question, answer = widths(Table(("Question", "Answer"), (("Who?", BLANK), ("How many?", BLANK))), 180.0)
    assert question < 60 and question + answer == pytest.approx(180.0)


def test_every_page_has_its_number_and_the_job() -> None:
    head = Head("Firm", ("Licence 1",), ((("Job", "Frog bog"),), (("Option", "A"),)))
    pages = reading.pages(typeset("Paper", head, [Text("x"), NewPage(), Text("y"), NewPage(), Text("z")], "letter"))
    assert len(pages) == 3
    for number, page in enumerate(pages, 1):
        assert f"Page {number} of 3" in page
        assert "Frog bog" in page and "Licence 1" in page


def test_a_paper_brings_its_letters_and_is_tagged_with_the_words_of_its_pictures() -> None:
    made = typeset("Paper", Head(), [BAR, Text("plain"), Text("ιδιωτικός Пруд")], "letter")
    assert not reading.fonts_not_embedded(made)
    root = pypdf.PdfReader(io.BytesIO(made)).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "en"
    assert "a bar" in _alts(root["/StructTreeRoot"])


def _alts(node: object) -> list[str]:
    """All texts that stand for pictures in a tree of tags."""
    held = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(held, list):
        return [alt for inner in held for alt in _alts(inner)]
    if not isinstance(held, dict):
        return []
    own = [str(held["/Alt"])] if "/Alt" in held else []
    return own + (_alts(held["/K"]) if "/K" in held else [])


def test_letters_that_no_font_has_and_words_without_end_still_give_a_paper() -> None:
    made = typeset("池" * 300, Head("池" * 300), [Text("x" * 300), Table(("a",), (("y" * 900,),))], "a4")
    assert len(reading.pages(made)) >= 1
    assert reading.text(made).replace(" ", "").count("y") == 900


def test_letters_without_a_font_are_said_in_words_and_never_printed_as_boxes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the system's fonts none has a Chinese letter; ours has Greek and Cyrillic."""
    bare = typst.Compiler(root=str(sheet._TEMPLATE.parent), font_paths=[str(FOLDER)], ignore_system_fonts=True)
    monkeypatch.setattr(sheet, "_compiler", lambda: bare)
    monkeypatch.setattr(sheet, "_KNOWN", {})
    made = typeset("龟池 пруд Ω", Head("Ω"), [Text("池 is one, 池 the same")], "a4")
    said = reading.text(made)
    assert "no font for 2 letters of this paper (Cjk)" in said and "? is one, ? the same" in said
    assert "пруд Ω" in said and reading.heading(made) == "龟池 пруд Ω"
    assert "no font" not in reading.text(typeset("пруд", Head("Ω"), [Text("1 − 2 ≤ 3 → 4, 5 × 6")], "a4"))
