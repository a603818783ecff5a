"""Cells of a CSV."""

from collections.abc import Iterable

from pondkit.core.characters import FORMULA_STARTS


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
