"""What a paper is made of, one below the other: headings, text, tables, pictures, fields to fill, signatures.

All text is plain text: it is handed to the typesetter as data, so that no mark in it does anything.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from pondkit.drawing.labels import POINT, width_of

BLANK = "\x00"  # a cell that is filled in by hand
SMALL = 8.5  # points: letters of a table
CLEAR = 2.0  # mm that words keep clear of a column of numbers before them, as the template has it
PAD = 2.0  # mm: on either side of a cell, together with its slack
PEN = 20.0  # mm: a cell to write in is at least as wide
NARROWEST = 9.0  # mm


@dataclass(frozen=True)
class Heading:
    """A heading; it never stands alone at the foot of a page.

    Attributes:
        text: What it says.
        level: 1 for a part of the paper, 2 below it.
    """

    text: str
    level: int = 1


@dataclass(frozen=True)
class Text:
    """A paragraph.

    Attributes:
        text: What it says; its line breaks are kept.
        lead: Bold words before it.
        look: "plain"; "kept" on one page with what follows, as what is signed is with its signature; "small", which is
            kept so too; or "box" for what must not be overlooked.
    """

    text: str
    lead: str = ""
    look: str = "plain"


@dataclass(frozen=True)
class Items:
    """Short texts, one below the other with a bullet, or with a box to tick."""

    texts: tuple[str, ...]
    tick: bool = False


@dataclass(frozen=True)
class Table:
    """A table; its head is repeated on every page.

    Attributes:
        head: One text a column.
        rows: As many cells a row; ``BLANK`` is left for the pen.
        numbers: Columns that stand to the right.
        strong: Rows in bold, as of a total.
        high: Least height of a row [mm]; 0 for that of its text.
        spare: Empty rows below, to write in.
        whole: Whether it is kept on one page where it fits on one; a short table always is.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()
    strong: tuple[int, ...] = ()
    high: float = 0.0
    spare: int = 0
    whole: bool = False


@dataclass(frozen=True)
class Picture:
    """A drawing at its own size on the paper.

    Attributes:
        svg: The drawing, in millimetres of paper.
        wide, high: Its size [mm].
        alt: The drawing in words.
        caption: What stands under it.
    """

    svg: str
    wide: float
    high: float
    alt: str
    caption: str = ""


@dataclass(frozen=True)
class Fields:
    """Labels with a line behind each to write on; what is known stands on the line.

    Attributes:
        lines: (label, what is known or "").
        columns: How many stand beside each other.
    """

    lines: tuple[tuple[str, str], ...]
    columns: int = 2


@dataclass(frozen=True)
class Signature:
    """Lines to sign on: who signs, with the place of the date beside each."""

    who: tuple[str, ...]


@dataclass(frozen=True)
class Grid:
    """Squared paper to sketch on; ``high`` [mm], lines every 5 mm."""

    high: float
    caption: str = ""


@dataclass(frozen=True)
class Beside:
    """Blocks in columns beside each other, with the share of the width that each has."""

    columns: tuple[tuple["Block", ...], ...]
    shares: tuple[float, ...]


@dataclass(frozen=True)
class NewPage:
    """What follows begins on a new page."""


Block = Heading | Text | Items | Table | Picture | Fields | Signature | Grid | Beside | NewPage


@dataclass(frozen=True)
class Room:
    """What a page leaves for its blocks [mm]."""

    wide: float
    high: float


def table(
    head: Sequence[str], rows: Iterable[Sequence[str]], numbers: Sequence[int] = (), **more: object
) -> tuple[Block, ...]:
    """A table of text, or nothing where there are no rows. ``more`` as in ``Table``."""
    lines = tuple(tuple(row) for row in rows)
    return (Table(tuple(head), lines, tuple(numbers), **more),) if lines else ()  # type: ignore[arg-type]


def titled(title: str, *parts: Block | Iterable[Block], level: int = 1) -> tuple[Block, ...]:
    """Blocks under a heading; nothing where there are none."""
    inner: list[Block] = []
    for part in parts:
        if isinstance(part, Iterable):
            inner += part
        else:
            inner.append(part)
    return (Heading(title, level), *inner) if inner else ()


@dataclass
class _Column:
    least: float = NARROWEST
    wanted: float = NARROWEST
    wide: float = field(default=0.0)


def widths(table: Table, room: float) -> list[float]:
    """Widths of a table's columns [mm], which fill ``room``: as wide as their longest text where all fit; else the
    widest give way, down to their longest word.
    """
    columns = [_column(table, index) for index in range(len(table.head))]
    least = sum(column.least for column in columns)
    if least >= room:  # words of the widest are broken
        return [column.least * room / least for column in columns]
    wanted = sum(column.wanted for column in columns)
    if wanted <= room:
        spare = (room - wanted) / len(columns)
        return [column.wanted + spare for column in columns]
    low, high = 0.0, max(column.wanted for column in columns)
    for _ in range(40):  # the width at which the wider ones are held, by halving
        cap = (low + high) / 2
        total = sum(max(column.least, min(column.wanted, cap)) for column in columns)
        low, high = (cap, high) if total < room else (low, cap)
    capped = [max(column.least, min(column.wanted, low)) for column in columns]
    return [width * room / sum(capped) for width in capped]


def _column(table: Table, index: int) -> _Column:
    size = SMALL * POINT
    column = _Column()
    room = PAD + (CLEAR if index - 1 in table.numbers and index not in table.numbers else 0.0)
    for number, row in enumerate(((table.head), *table.rows)):
        text, bold = row[index], number == 0 or number - 1 in table.strong
        if text == BLANK:
            column.wanted = max(column.wanted, PEN)
            column.least = max(column.least, PEN)
            continue
        words = text.split() or [""]
        column.least = max(column.least, max(width_of(word, size, bold=bold) for word in words) + room)
        whole = index in table.numbers and number > 0  # a number stands on one line
        wanted = max(width_of(line, size, bold=bold) for line in text.split("\n")) + room
        if number == 0:  # a head may stand on two lines
            wanted = max(column.least, wanted / 2 + room)
        column.wanted = max(column.wanted, wanted)
        column.least = max(column.least, wanted if whole else 0.0)
    return column
