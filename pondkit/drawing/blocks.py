"""Blocks of a paper, in the order in which they are read: headings, text, tables, pictures, fields to fill in,
signatures.

All text is plain text: the typesetter gets it as data, so that nothing in it is read as markup.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pondkit.drawing.labels import POINT, width_of

BLANK = "\x00"  # text of a cell that is filled in by hand
SMALL = 8.5  # points: size of letters in a table
CLEAR = 2.0  # mm between words and a column of numbers before them, as in the template
PAD = 2.0  # mm: padding of a cell on both sides, with some slack
PEN = 20.0  # mm: least width of a cell to write in
NARROWEST = 9.0  # mm
ROOMIER = 4.0  # times the share of other columns that one to write in has of what is over


@dataclass(frozen=True)
class Heading:
    """A heading; it never stands alone at the foot of a page.

    Attributes:
        text: Its words.
        level: 1 for a section of the paper, 2 for a subsection.
    """

    text: str
    level: int = 1


@dataclass(frozen=True)
class Text:
    """A paragraph.

    Attributes:
        text: Its words; line breaks are kept.
        lead: Bold words before it.
        look: "plain"; "kept" on one page with the next block, as a statement with its signature; "small", also kept
            with the next block; or "box" for something that must not be overlooked.
    """

    text: str
    lead: str = ""
    look: str = "plain"


@dataclass(frozen=True)
class Items:
    """Short texts below each other, with a bullet or with a box to tick. ``kept``: the last of them is kept on one page
    with what follows, so that no signature stands alone.
    """

    texts: tuple[str, ...]
    tick: bool = False
    kept: bool = False


@dataclass(frozen=True)
class Table:
    """A table; its head is repeated on every page.

    Attributes:
        head: One text for each column.
        rows: Cells of each row; a ``BLANK`` cell is left to write in.
        numbers: Indices of right-aligned columns.
        strong: Indices of bold rows, as for a total.
        high: Least height of a row [mm]; 0 for the height of its text.
        spare: Number of empty rows below, to write in.
        whole: Whether it is kept on one page if it fits on one; a short table always is.
        kept: Whether it is kept on one page with what follows; for a short table.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()
    strong: tuple[int, ...] = ()
    high: float = 0.0
    spare: int = 0
    whole: bool = False
    kept: bool = False


@dataclass(frozen=True)
class Picture:
    """A drawing at its own size on the paper.

    Attributes:
        svg: The drawing, in millimetres of paper.
        wide, high: Width and height [mm].
        alt: The drawing in words.
        caption: Text below it.
    """

    svg: str
    wide: float
    high: float
    alt: str
    caption: str = ""


@dataclass(frozen=True)
class Fields:
    """Labels, each followed by a line to write on; a known value is printed on the line.

    Attributes:
        lines: (label, known value or "").
        columns: Number of fields beside each other.
    """

    lines: tuple[tuple[str, str], ...]
    columns: int = 2


@dataclass(frozen=True)
class Signature:
    """Lines for signatures, each with a place for the date; ``who``: the signatories."""

    who: tuple[str, ...]


@dataclass(frozen=True)
class Grid:
    """Squared paper to sketch on, with lines every 5 mm. ``high``: its height [mm]."""

    high: float
    caption: str = ""


@dataclass(frozen=True)
class Beside:
    """Blocks in columns beside each other. ``shares``: share of the width for each column."""

    columns: tuple[tuple["Block", ...], ...]
    shares: tuple[float, ...]


@dataclass(frozen=True)
class NewPage:
    """The next block begins on a new page."""


Block = Heading | Text | Items | Table | Picture | Fields | Signature | Grid | Beside | NewPage


@dataclass(frozen=True)
class Room:
    """Width and height of a page that are free for blocks [mm]."""

    wide: float
    high: float


def table(
    head: Sequence[str], rows: Iterable[Sequence[str]], numbers: Sequence[int] = (), **more: object
) -> tuple[Block, ...]:
    """A table of text, without columns that are empty in all rows; nothing if there are no rows. ``more``: further
    fields of ``Table``.
    """
    lines = [tuple(row) for row in rows]
    filled = [column for column in range(len(head)) if any(row[column] for row in lines)]
    if not filled:
        return ()
    cells = tuple(tuple(row[column] for column in filled) for row in lines)
    right = tuple(filled.index(column) for column in numbers if column in filled)
    return (Table(tuple(head[column] for column in filled), cells, right, **more),)  # type: ignore[arg-type]


def titled(title: str, *parts: Block | Iterable[Block], level: int = 1) -> tuple[Block, ...]:
    """Blocks below a heading; nothing if there are no blocks."""
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
    pen: bool = False


def widths(table: Table, room: float) -> list[float]:
    """Widths of a table's columns [mm], whose sum is ``room``: as wide as their longest text if all fit, with most of
    what is over for those to write in; else the widest are narrowed, at most to their longest word.
    """
    columns = [_column(table, index) for index in range(len(table.head))]
    least = sum(column.least for column in columns)
    if least >= room:  # words in the widest columns are broken
        return [column.least * room / least for column in columns]
    wanted = sum(column.wanted for column in columns)
    if wanted <= room:
        parts = [ROOMIER if column.pen else 1.0 for column in columns]
        return [
            column.wanted + (room - wanted) * part / sum(parts) for column, part in zip(columns, parts, strict=True)
        ]
    low, high = 0.0, max(column.wanted for column in columns)
    for _ in range(40):  # by bisection, the width to which the wider columns are narrowed
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
            column.pen = True
            column.wanted = max(column.wanted, PEN)
            column.least = max(column.least, PEN)
            continue
        words = text.split() or [""]
        column.least = max(column.least, max(width_of(word, size, bold=bold) for word in words) + room)
        whole = index in table.numbers and number > 0  # a number is not broken over lines
        wanted = max(width_of(line, size, bold=bold) for line in text.split("\n")) + room
        if number == 0:  # a head may take two lines
            wanted = max(column.least, wanted / 2 + room)
        column.wanted = max(column.wanted, wanted)
        column.least = max(column.least, wanted if whole else 0.0)
    return column
