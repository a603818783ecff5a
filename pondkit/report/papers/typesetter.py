"""Sets a paper as a PDF: its blocks and its head go to the template as data, and nothing is fetched."""

import json
import math
from collections.abc import Iterable
from dataclasses import asdict, dataclass, field
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any, Literal, get_args

import typst

from pondkit.core.units import System
from pondkit.drawing.blocks import BLANK, Beside, Block, Room, Table, widths
from pondkit.drawing.labels import FOLDER, FONT, POINT, width_of

Size = Literal["letter", "a4"]
SIZES: tuple[Size, ...] = get_args(Size)
SHEETS: dict[Size, tuple[str, float, float]] = {  # as typst calls it, wide, high [mm]
    "letter": ("us-letter", 215.9, 279.4),
    "a4": ("a4", 210.0, 297.0),
}
USUAL: dict[System, Size] = {"us": "letter", "si": "a4"}  # the paper where none is asked for
TOP, BOTTOM, SIDE = 24.0, 12.0, 14.0  # mm: margins; the head stands in that at the top
GUTTER = 6.0  # mm between columns, as the template has it
CAPTION = 10.0  # mm that a picture's caption may take
LETTERS, LINE = 7.5 * POINT, 3.3  # mm: size of the head's letters, and from line to line
SHORT, MOST_KEPT = 6, 36  # rows of a table that is not broken over pages: of any, and of one that is wanted whole
LABEL = 17.0  # mm that the labels of a card may take
_TEMPLATE = Path(__file__).with_name("paper.typ")
_LOCK = Lock()  # one compiler sets one paper at a time


@dataclass(frozen=True)
class Head:
    """What stands at the head of every page.

    Attributes:
        firm: The firm's name; "" where none is entered.
        under: Lines under it.
        cards: Columns of (label, text); the page's number is added to the last.
        logo: The firm's mark as SVG; "" where there is none.
        job: What stands in the firm's place where there is none.
    """

    firm: str = ""
    under: tuple[str, ...] = ()
    cards: tuple[tuple[tuple[str, str], ...], ...] = field(default=((), ()))
    logo: str = ""
    job: str = ""


def room_of(size: Size, head: Head) -> Room:
    """What a page leaves between its head and its margins, with a picture's caption taken off its height."""
    _, wide, high = SHEETS[size]
    return Room(wide - 2 * SIDE, high - _top(head, wide) - BOTTOM - CAPTION)


def _top(head: Head, wide: float) -> float:
    """The upper margin [mm]: higher than usual where the head has long texts."""
    column = (wide - 2 * SIDE - GUTTER * len(head.cards)) / (len(head.cards) + 1)
    lines = [sum(_lines(text, column) for text in (head.firm or head.job, *head.under)) + (4 if head.logo else 0)]
    lines += [sum(_lines(text, column - LABEL) for _, text in card) + 1 for card in head.cards]
    return max(TOP, 14.0 + LINE * max(lines))


def _lines(text: str, wide: float) -> int:
    """How many lines a text takes at the most; letters that ours do not have count as a full square."""
    long = max(width_of(text, LETTERS, bold=True), LETTERS * sum(letter > "\u2fff" for letter in text))
    return max(1, math.ceil(1.15 * long / wide))


def typeset(title: str, head: Head, blocks: Iterable[Block], size: Size) -> bytes:
    """A paper as a PDF, tagged for screen readers, its letters and pictures within it."""
    name, wide, _ = SHEETS[size]
    paper = {
        "title": title,
        "author": head.firm,
        "head": asdict(head) | {"logo_alt": f"Logo of {head.firm or 'the firm'}"},
        "size": name,
        "margins": {"top": _top(head, wide), "bottom": BOTTOM, "side": SIDE},
        "font": FONT,
        "blocks": [_data(block, wide - 2 * SIDE) for block in blocks],
    }
    with _LOCK:
        set_ = _compiler().compile(
            str(_TEMPLATE), format="pdf", sys_inputs={"paper": json.dumps(paper, ensure_ascii=False)}
        )
    assert isinstance(set_, bytes)
    return set_


def _data(block: Block, wide: float) -> dict[str, Any]:
    """A block as the template takes it."""
    kind = type(block).__name__.lower()
    if isinstance(block, Beside):
        free = wide - GUTTER * (len(block.columns) - 1)
        columns = [
            [_data(inner, free * share / sum(block.shares)) for inner in column]
            for column, share in zip(block.columns, block.shares, strict=True)
        ]
        return {"kind": kind, "shares": block.shares, "columns": columns}
    held = asdict(block) | {"kind": kind}
    if isinstance(block, Table):
        held["widths"] = widths(block, wide)
        held["whole"] = len(block.rows) + block.spare <= (MOST_KEPT if block.whole else SHORT)
        held["pen"] = bool(block.spare) or any(BLANK in row for row in block.rows)
    return held


@cache
def _compiler() -> typst.Compiler:
    """The compiler with the letters it has found; those of the system serve only for scripts that ours lack."""
    return typst.Compiler(root=str(_TEMPLATE.parent), font_paths=[str(FOLDER)])
