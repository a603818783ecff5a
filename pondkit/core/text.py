"""Texts of the document: which characters they may hold, and names of parts."""

import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import StringConstraints

# Control characters (C0, DEL, C1), separators of lines and paragraphs, and those that change the direction of writing
# (Bidi_Control of Unicode), by which a text can be made to look like another.
_DIRECTION = r"\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
_CONTROLS = rf"\x00-\x1f\x7f-\x9f\u2028\u2029{_DIRECTION}"
_NO_BREAK = rf"\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029{_DIRECTION}"  # as above, except the line feed
ONE_LINE = f"^[^{_CONTROLS}]*$"
LINES = f"^[^{_NO_BREAK}]*$"
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")  # a text that begins so is a formula to a spreadsheet program
_BREAKS = "\n\r\x0b\x0c\x85\u2028\u2029"


def control_in(text: str, *, lines: bool = False) -> str:
    """Name of the first character that no text may hold; "" if there is none.

    Args:
        text: Any text.
        lines: Whether it may have several lines.
    """
    match = re.search(f"[{_NO_BREAK if lines else _CONTROLS}]", text)
    if not match:
        return ""
    character = match[0]
    if character in _BREAKS:
        return "a line break"
    code = f"U+{ord(character):04X}"
    if re.match(f"[{_DIRECTION}]", character):
        return f"a character that turns the direction of writing ({code})"
    return f"a control character ({code})"


@dataclass(frozen=True)
class Refers:
    """Marks a name as a reference: to one of the option's pools, of the boulders, of the tunnels' nodes, of the
    person's own pipes in its trade, or of the project's options; or to a "row" of the levels to dig by, which begins
    with the name of a pool, node, body or wall and a colon.
    """

    to: str


def text(most: int, least: int = 0) -> StringConstraints:
    """Constraints of a text on one line: its least and greatest length, and no control characters."""
    return StringConstraints(min_length=least, max_length=most, pattern=ONE_LINE)


def lines(most: int) -> StringConstraints:
    """Constraints of a text that may have several lines: its greatest length, and no control but a line break."""
    return StringConstraints(max_length=most, pattern=LINES)


Name = Annotated[str, text(60, 1)]
Note = Annotated[str, lines(2000)]
PoolName = Annotated[str, text(60, 1), Refers("pools")]
BoulderName = Annotated[str, text(60, 1), Refers("boulders")]
NodeName = Annotated[str, text(60, 1), Refers("nodes")]
OwnPipeName = Annotated[str, text(60, 1), Refers("own_pipes")]
RowName = Annotated[str, text(120, 1), Refers("rows")]
