"""How wide words are on paper, in the letters of all papers."""

from functools import cache
from pathlib import Path

import font_source_sans_pro
from PIL import ImageFont

FONT = "Source Sans Pro"
FOLDER = Path(font_source_sans_pro.font_directory)
EM = 1000  # at which letters are measured; the width goes with the size
POINT = 25.4 / 72  # mm


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """Width of a line of text, in the unit of its ``size``."""
    return float(_font(bold).getlength(text)) * size / EM


@cache
def _font(bold: bool) -> ImageFont.FreeTypeFont:
    # The basic layout: the same on every machine, whether or not a library for complex scripts is there.
    file = FOLDER / f"SourceSansPro-{'Bold' if bold else 'Regular'}.ttf"
    return ImageFont.truetype(str(file), EM, layout_engine=ImageFont.Layout.BASIC)
