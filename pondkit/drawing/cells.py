"""Cells of a CSV, and tables of a paper."""

import html
from collections.abc import Iterable, Sequence

from pondkit.core.characters import FORMULA_STARTS

BLANK = "\x00"  # a cell that is filled in by hand


def safe(cells: Iterable[object]) -> list[str]:
    """Cells that a spreadsheet program takes as they are: a text that looks like a formula gets an apostrophe before
    it.
    """
    return [
        f"'{text}" if text.startswith(FORMULA_STARTS) and not _is_number(text) else text for text in map(str, cells)
    ]


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def listed(head: Sequence[str], lines: Iterable[Sequence[str]], numbers: Sequence[int] = ()) -> str:
    """A table of text; ``BLANK`` cells are left for the pen, columns in ``numbers`` stand to the right. Nothing
    without lines.
    """

    def cell(index: int, text: str) -> str:
        kind = " class='blank'" if text == BLANK else " class='n'" if index in numbers else ""
        return f"<td{kind}>{'' if text == BLANK else html.escape(text)}</td>"

    body = "".join(f"<tr>{''.join(cell(i, text) for i, text in enumerate(line))}</tr>" for line in lines)
    above = "".join(f"<th{' class=n' if i in numbers else ''}>{html.escape(text)}</th>" for i, text in enumerate(head))
    return f"<table><tr>{above}</tr>{body}</table>" if body else ""
