"""Cells of a CSV, and tables of a paper."""

import html
from collections.abc import Iterable, Sequence

from pondkit.core.characters import FORMULA_STARTS
from pondkit.drawing.blocks import BLANK, Picture


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


def figured(pictures: Iterable[Picture]) -> str:
    """Drawings of a paper, with what stands under each."""
    return "".join(
        f"<figure role='img' aria-label='{html.escape(one.alt, quote=True)}'>{one.svg}"
        f"<figcaption>{html.escape(one.caption)}</figcaption></figure>"
        for one in pictures
    )
