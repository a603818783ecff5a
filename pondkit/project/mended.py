"""Texts of older files that hold control characters, which no text may hold now: a space takes the place of each, and
it is said.
"""

import re
from typing import Any

from pondkit.core.units import brief

# Older versions let these stand: all but bidirectional controls, which are refused; a line break stays in a note.
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")
_NOT_A_BREAK = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029]")
_HIGH = re.compile(r"[\x7f-\x9f\u2028\u2029]")
_REFUSED_BEFORE = ("name", "supplier", "of")  # in these, older versions refused what stands below a blank as well
_LINES = ("note", "address", "contacts", "terms", "notes")
MOST_TOLD = 5


def mended(data: Any) -> tuple[Any, tuple[str, ...]]:
    """(the data of a file with a space for each control character that an older version let stand, what was mended in
    words).
    """
    told: list[str] = []
    mend = _walk(data, (), told)
    more = len(told) - MOST_TOLD
    return mend, (*told[:MOST_TOLD], *((f"… and so in {more} more texts.",) if more > 0 else ()))


def _walk(data: Any, path: tuple[str, ...], told: list[str]) -> Any:
    if isinstance(data, dict):
        return {key: _walk(value, (*path, str(key)), told) for key, value in data.items()}
    if isinstance(data, list):
        return [_walk(value, (*path, str(index + 1)), told) for index, value in enumerate(data)]
    if not isinstance(data, str) or path[-1:] in (("data",), ("logo",)):
        return data
    key = next((step for step in reversed(path) if not step.isdigit()), "")
    bad = _NOT_A_BREAK if key in _LINES else _HIGH if key in _REFUSED_BEFORE else _CONTROL
    text = data.replace("\r\n", "\n") if key in _LINES else data
    clean = bad.sub(" ", text)
    if clean != text:
        told.append(
            f"{', '.join(path)}: {brief(data)} held control characters, which no text may hold; a space stands "
            "for each now."
        )
    return clean
