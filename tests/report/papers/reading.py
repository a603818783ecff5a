"""Reads a paper back: its pages, words with their boxes, fonts, and drawn shapes in millimetres."""

import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields, is_dataclass
from functools import lru_cache
from typing import Any

import pdfplumber
import pypdf
import pypdfium2

from pondkit.core.units import System
from pondkit.drawing.blocks import BLANK, Block, Picture
from pondkit.report.papers import PAPERS, Paper
from pondkit.report.papers.sheet import USUAL, Sheet
from pondkit.study.evaluate import Results

MM = 25.4 / 72  # of a point of PDF


@dataclass(frozen=True)
class Shape:
    """A drawn rectangle or line: page, left, top, width, height [mm]."""

    page: int
    left: float
    top: float
    wide: float
    high: float


def kind_of(key: str) -> Paper:
    """A paper by its key."""
    return next(one for one in PAPERS if one.key == key)


def blocks(key: str, results: Results, option: int, units: System) -> list[Block]:
    """What a paper is made of, before it is set."""
    sheet = Sheet(results, option, units, USUAL[units])
    return [*sheet.faults(), *kind_of(key).make(sheet)]


def texts(held: Iterable[object]) -> list[str]:
    """All words of blocks, cell by cell, in the order in which they stand."""
    found: list[str] = []
    for one in held:
        if isinstance(one, str):
            found += [one] if one not in ("", BLANK) else []
        elif isinstance(one, Picture):
            found += [one.alt, one.caption]
        elif is_dataclass(one):
            found += texts(getattr(one, field.name) for field in fields(one))
        elif isinstance(one, tuple | list):
            found += texts(one)
    return found


def pages(pdf: bytes) -> list[str]:
    """The text of each page, with single spaces."""
    with pypdfium2.PdfDocument(pdf) as read:
        return [" ".join(page.get_textpage().get_text_range().split()) for page in read]


def text(pdf: bytes) -> str:
    """The text of all pages, with single spaces."""
    return " ".join(pages(pdf))


def heading(pdf: bytes) -> str:
    """What the document itself is called, as a viewer shows it."""
    about = pypdf.PdfReader(io.BytesIO(pdf)).metadata
    return str(about.title) if about else ""


def size(pdf: bytes) -> tuple[float, float]:
    """Width and height of the first page [mm]."""
    box = pypdf.PdfReader(io.BytesIO(pdf)).pages[0].mediabox
    return float(box.width) * MM, float(box.height) * MM


def fonts_not_embedded(pdf: bytes) -> set[str]:
    """Names of fonts that the file does not bring along."""
    missing = set()
    for page in pypdf.PdfReader(io.BytesIO(pdf)).pages:
        for font in page.get("/Resources", {}).get("/Font", {}).values():
            held = font.get_object()
            for one in held.get("/DescendantFonts", [held]):
                about = one.get_object()["/FontDescriptor"].get_object()
                if not {"/FontFile", "/FontFile2", "/FontFile3"} & set(about):
                    missing.add(str(held["/BaseFont"]))
    return missing


@lru_cache(maxsize=2)
def _opened(pdf: bytes) -> pdfplumber.PDF:
    """A paper with its shapes and letters, read once for all that looks at them."""
    return pdfplumber.open(io.BytesIO(pdf))


def words(pdf: bytes) -> list[dict[str, Any]]:
    """Words of the first page with their boxes [points, from its upper left]."""
    return _opened(pdf).pages[0].extract_words(x_tolerance=1.5, y_tolerance=1)


def rectangles(pdf: bytes) -> list[Shape]:
    """Every rectangle on every page."""
    read = _opened(pdf)
    return [
        Shape(number, r["x0"] * MM, r["top"] * MM, r["width"] * MM, r["height"] * MM)
        for number, page in enumerate(read.pages)
        for r in page.rects
    ]


def images(pdf: bytes) -> list[Shape]:
    """The box of every pixel image on every page."""
    read = _opened(pdf)
    return [
        Shape(number, i["x0"] * MM, i["top"] * MM, i["width"] * MM, i["height"] * MM)
        for number, page in enumerate(read.pages)
        for i in page.images
    ]


def colours(pdf: bytes) -> set[tuple[str, ...]]:
    """Every colour that strokes, fills and letters are set to that is no grey, as the pages' own operators say it."""
    found = set()
    for page in pypdf.PdfReader(io.BytesIO(pdf)).pages:
        contents = page.get_contents()
        for drawn in (contents.get_data() if contents is not None else b"", *_forms(page.get("/Resources"))):
            for one in re.finditer(rb"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG|scn|SCN)\b", drawn):
                parts = tuple(part.decode() for part in one.groups())
                if len(set(parts)) > 1:
                    found.add(parts)
    return found


def _forms(resources: Any) -> Iterator[bytes]:
    """What the forms and tilings that some resources hold draw, and theirs in turn."""
    held = resources.get_object() if resources else {}
    for kind in ("/XObject", "/Pattern"):
        for name in held[kind].get_object() if kind in held else ():
            form = held[kind].get_object()[name].get_object()
            if form.get("/Subtype") == "/Form" or form.get("/PatternType") == 1:
                yield form.get_data()
                yield from _forms(form.get("/Resources"))


def is_tagged(pdf: bytes) -> bool:
    """Whether the document has a structure that a screen reader follows."""
    root = pypdf.PdfReader(io.BytesIO(pdf)).trailer["/Root"]
    return "/StructTreeRoot" in root and bool(root.get("/MarkInfo", {}).get("/Marked"))


def curves(pdf: bytes) -> list[Shape]:
    """The box of every other drawn path on every page."""
    read = _opened(pdf)
    return [
        Shape(number, c["x0"] * MM, c["top"] * MM, c["width"] * MM, c["height"] * MM)
        for number, page in enumerate(read.pages)
        for c in page.curves
    ]


def overprinted(pdf: bytes, by: float = 0.8) -> list[tuple[int, str, str]]:
    """Pairs of words of which one lies over another, by more than so many points in both directions."""
    found = []
    read = _opened(pdf)
    for number, page in enumerate(read.pages, 1):
        words = sorted(page.extract_words(x_tolerance=1.5, y_tolerance=1), key=lambda word: word["top"])
        for index, one in enumerate(words):
            for other in words[index + 1 :]:
                if other["top"] > one["bottom"]:
                    break
                across = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
                # Letters fill the middle of their line's height.
                down = min(one["bottom"], other["bottom"]) - other["top"] - 0.35 * (one["bottom"] - one["top"])
                if across > by and down > by:
                    found.append((number, one["text"], other["text"]))
    return found
