"""All figures of an option, each with its working, range and cautions."""

from collections.abc import Iterator

from pondkit.core.tables import GROUPS
from pondkit.drawing.blocks import Block, titled
from pondkit.drawing.blocks import table as tabled
from pondkit.drawing.charts import charted
from pondkit.drawing.rows import FigureRow
from pondkit.report.papers.sheet import Sheet
from pondkit.trades.water.pictures import curves


def figures(sheet: Sheet) -> Iterator[Block]:
    """Every figure under the heading of its group."""
    for group, title in GROUPS.items():
        own = [row for row in sheet.rows if row.group == group]
        lines = [(row.label, row.subject, row.text, row.range_text, _working(row)) for row in own]
        head = ("Figure", "Of", "Likely", "From, to", "Working")
        held = [column for column in range(len(head)) if any(line[column] for line in lines)]
        shown = [tuple(line[column] for column in held) for line in lines]
        chart = _pumps(sheet) if group == "water" else ()
        yield from titled(
            title, chart, tabled([head[column] for column in held], shown, (held.index(2),) if held else ())
        )


def _pumps(sheet: Sheet) -> Iterator[Block]:
    """Pumps against lines."""
    if curve := curves.curves(sheet.result.water, sheet.units):
        yield charted(curve, curves.alt_curves(sheet.result.water, sheet.units))


def _working(row: FigureRow) -> str:
    cautions = (f"{each.rank.capitalize()}: {each}" for each in row.cautions)
    return "\n".join((row.working, *cautions))
