"""All figures of an option, each with its working, range and cautions."""

from collections.abc import Iterator

from pondkit.core.labels import GROUPS
from pondkit.drawing.blocks import Block, titled
from pondkit.drawing.blocks import table as tabled
from pondkit.drawing.rows import FigureRow
from pondkit.report import table
from pondkit.report.papers.sheet import Sheet


def figures(sheet: Sheet) -> Iterator[Block]:
    """Every figure under the heading of its group."""
    rows = table.rows(sheet.result, sheet.units)
    for group, title in GROUPS.items():
        own = [row for row in rows if row.group == group]
        lines = ((row.label, row.subject, row.text, row.range_text, _working(row)) for row in own)
        yield from titled(title, tabled(("Figure", "Of", "Likely", "From, to", "Working"), lines, (2,)))


def _working(row: FigureRow) -> str:
    cautions = (f"{each.rank.capitalize()}: {each}" for each in row.cautions)
    return "\n".join((row.working, *cautions))
