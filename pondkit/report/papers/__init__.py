"""The papers: each a PDF, typeset from blocks of plain text, tables and drawings at a true scale. ``PAPERS`` lists
them, ``paper`` makes one, and ``write_drawings`` writes all of them into a folder.

To add a paper:

- Write a function that takes a ``Sheet`` (``sheet.py``: results, option, units, size of the paper) and yields blocks of
  ``drawing/blocks.py`` in the order in which they are read: ``Heading``, ``Text``, ``Items``, ``Table``, ``Picture``,
  ``Fields``, ``Signature``, ``Grid``, ``Beside``, ``NewPage``. Headings are those of its sections: title, job and page
  number are on every page by themselves. ``table(...)`` leaves out empty columns, and ``titled(...)`` what has nothing
  in it. A ``Signature`` follows a block that is ``kept`` with it, so that nobody signs a page that says nothing.
- All words are plain text. Nothing in them is markup, whoever typed it; a ``BLANK`` cell is left to write in.
- A drawing comes from ``drawing/to_scale.py: scaled`` or ``drawing/charts.py: charted``, with ``sheet.room``; plan,
  section and liners stand in ``drawings.py``.
- Give it a row in ``PAPERS``. Page, command line and the tests of all papers then have it.

Numbers come from ``report/table.py: rows`` or ``core/units.py: show``, as everywhere.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from pondkit.core.units import System
from pondkit.drawing.blocks import Block
from pondkit.report.papers.client import client, figures
from pondkit.report.papers.crew import crew
from pondkit.report.papers.first_visit import first_visit, visit_csv
from pondkit.report.papers.hand_over import hand_over
from pondkit.report.papers.order import order, order_csv, quote_request, quote_request_csv
from pondkit.report.papers.permit import permit
from pondkit.report.papers.quotation import builder, quotation, quotation_csv
from pondkit.report.papers.sheet import USUAL, Sheet, Size, typeset
from pondkit.study.evaluate import Results


@dataclass(frozen=True)
class Paper:
    """One kind of paper: key (the end of its file's name), title, whether each option has one, and the function that
    makes its blocks; ``of_job``: its title is that of the job.
    """

    key: str
    title: str
    each_option: bool
    make: Callable[[Sheet], Iterable[Block]]
    of_job: bool = False


PAPERS = (
    Paper("client", "For the client", True, client, of_job=True),
    Paper("quotation", "Quotation", True, quotation),
    Paper("order", "Order list", True, order),
    Paper("quote_request", "Request for quotes", True, quote_request),
    Paper("builder", "Cost and margin", True, builder),
    Paper("crew", "For the crew", True, crew),
    Paper("permit", "Permit and safety", True, permit),
    Paper("hand_over", "Hand-over and upkeep", True, hand_over),
    Paper("figures", "Figures and working", True, figures),
    Paper("first_visit", "First visit", False, first_visit),
)
# Tables of an option that are files of their own: (end of the file's name, title, function that makes it).
TABLES: tuple[tuple[str, str, Callable[[Sheet], str]], ...] = (
    ("quotation", "Quotation (CSV)", quotation_csv),
    ("order", "Order list (CSV)", order_csv),
    ("quote_request", "Request for quotes (CSV)", quote_request_csv),
)
# Tables of the project, each beside its paper of that name.
JOB_TABLES: tuple[tuple[str, str, Callable[[Sheet], str]], ...] = (("first_visit", "First visit (CSV)", visit_csv),)


def paper(kind: Paper, results: Results, option: int, units: System, size: Size | None = None) -> bytes:
    """A paper as a PDF.

    Args:
        kind: A row of ``PAPERS``.
        results: Results of all options.
        option: Index of the option that it is about.
        units: Unit system displayed.
        size: Size of the paper; if left out, the usual one with these units.
    """
    sheet = Sheet(results, option, units, size or USUAL[units], kind.title)
    blocks = [*(sheet.faults() if kind.each_option else ()), *kind.make(sheet)]
    title = (kind.of_job and results.project.title) or kind.title
    return typeset(title, sheet.head(of_option=kind.each_option), blocks, sheet.size)


def write_drawings(
    results: Results, out: Path, units: System, size: Size | None = None, only: str = ""
) -> Iterator[Path]:
    """Write every paper and table into a folder, which is made if it is missing: those of each option, then those of
    the project. Yields each file after it is written.

    Args:
        results: Results of all options.
        out: The folder.
        units: Unit system displayed.
        size: Size of the paper; if left out, the usual one with these units.
        only: Name of the one option whose papers are written; "" for all.
    """
    out.mkdir(parents=True, exist_ok=True)
    for index, result in enumerate(results.options):
        if only in ("", result.option.name):
            for kind in PAPERS:
                if kind.each_option:
                    path = out / f"{index + 1}_{file_name(result.option.name)}_{kind.key}.pdf"
                    path.write_bytes(paper(kind, results, index, units, size))
                    yield path
            for key, _, make in TABLES:
                path = out / f"{index + 1}_{file_name(result.option.name)}_{key}.csv"
                path.write_text(make(Sheet(results, index, units, size or USUAL[units])), encoding="utf-8", newline="")
                yield path
    for kind in PAPERS:
        if not kind.each_option:
            path = out / f"{kind.key}.pdf"
            path.write_bytes(paper(kind, results, 0, units, size))
            yield path
    for key, _, make in JOB_TABLES:
        path = out / f"{key}.csv"
        path.write_text(make(Sheet(results, 0, units, size or USUAL[units])), encoding="utf-8", newline="")
        yield path


def file_name(name: str) -> str:
    """A name in the form used within file names."""
    return "".join(c if c.isalnum() else "_" for c in name).strip("_") or "option"
