"""Papers to print: which there are, and how they are written into a folder."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from pondkit.core.units import System
from pondkit.drawing.blocks import Block
from pondkit.report import orders, prints, visit
from pondkit.report.papers.figures import figures
from pondkit.report.papers.quotation import builder, quotation
from pondkit.report.papers.sheet import Sheet
from pondkit.report.papers.typesetter import USUAL, Size, typeset
from pondkit.study.evaluate import Results


@dataclass(frozen=True)
class Paper:
    """One kind of paper: key (end of its file's name), what it is called, whether each option has one, and who makes
    its blocks.
    """

    key: str
    title: str
    each_option: bool
    make: Callable[[Sheet], Iterable[Block]]


@dataclass(frozen=True)
class Print:
    """One kind of drawing: key (end of its file's name), what it is called, whether each option has one, and who makes
    it.
    """

    key: str
    title: str
    each_option: bool
    make: Callable[[Results, int, System], str]


PAPERS = (
    Paper("quotation", "Quotation", True, quotation),
    Paper("builder", "For the builder: cost and margin", True, builder),
    Paper("figures", "All figures with their working", True, figures),
)
PRINTS = (
    Print("client", "For the client", True, prints.client),
    Print("crew", "For the crew", True, prints.crew),
    Print("order", "Order list", True, orders.order),
    Print("hand_over", "Hand-over record", True, prints.hand_over),
    Print("figures", "All figures with their working", True, prints.takeoff),
    Print("first_visit", "First-visit checklist", False, visit.checklist),
)


def paper(kind: Paper, results: Results, option: int, units: System, size: Size | None = None) -> bytes:
    """A paper as a PDF.

    Args:
        kind: A row of ``PAPERS``.
        results: Of all options.
        option: Index of the one that it is about.
        units: Units on show.
        size: Of the paper; that usual with the units if left out.
    """
    sheet = Sheet(results, option, units, size or USUAL[units])
    blocks = [*(sheet.faults() if kind.each_option else ()), *kind.make(sheet)]
    return typeset(kind.title, sheet.head(of_option=kind.each_option), blocks, sheet.size)


def write_drawings(results: Results, out: Path, system: System) -> list[Path]:
    """Write every print into a folder, made if it is not there: each option's, then those of the project; returns the
    files.
    """
    out.mkdir(parents=True, exist_ok=True)
    written = []
    for index, result in enumerate(results.options):
        stem = "".join(c if c.isalnum() else "_" for c in result.option.name).strip("_") or "option"
        for one in PRINTS:
            if one.each_option or index == 0:
                path = out / (f"{index + 1}_{stem}_{one.key}.html" if one.each_option else f"{one.key}.html")
                path.write_text(one.make(results, index, system), encoding="utf-8")
                written.append(path)
    return written
