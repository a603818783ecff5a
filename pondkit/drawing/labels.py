"""Words on drawings: their width, and their places, so that none covers another: beside the place that they belong to,
else further off with a leader, else as a number whose words are listed below the drawing.
"""

import html
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import font_source_sans_pro
import numpy as np
from numpy.typing import NDArray
from PIL import ImageFont

from pondkit.drawing.frame import Array

FONT = "Source Sans Pro"
FOLDER = Path(font_source_sans_pro.font_directory)
EM = 1000  # size at which letters are measured; widths are proportional to the size
POINT = 25.4 / 72  # mm


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """Width of a line of text, in the unit of its ``size``."""
    return float(_font(bold).getlength(text)) * size / EM


@cache
def _font(bold: bool) -> ImageFont.FreeTypeFont:
    # Basic layout: the same result on every machine, with or without a library for complex scripts.
    file = FOLDER / f"SourceSansPro-{'Bold' if bold else 'Regular'}.ttf"
    return ImageFont.truetype(str(file), EM, layout_engine=ImageFont.Layout.BASIC)


GAP = 0.35  # mm between words
NEAR, FAR = 1.0, 26.0  # mm: distances from its place at which a word is tried
TURNS = 16  # number of directions that are tried
LEADER = 3.5  # mm: from this distance on, a line leads from the words to their place
HIGH, BASE = 1.0, 0.75  # of the size: height of a line of words, and of its part above the baseline
Box = tuple[float, float, float, float]  # left, top, right, bottom [mm]


@dataclass(frozen=True)
class Label:
    """Words at a place of a drawing.

    Attributes:
        x, y: Place on the paper [mm].
        text: The words.
        size: Size of the letters [mm].
        across, down: Preferred centre of the words, from the place [mm].
        turn: Rotation [degrees], clockwise; 0, 90 or -90.
        bold: Whether they are bold.
        colour: Colour of the letters.
        fixed: Whether they stay at the preferred centre, whatever they cover.
    """

    x: float
    y: float
    text: str
    size: float
    across: float = 0.0
    down: float = 0.0
    turn: float = 0.0
    bold: bool = False
    colour: str = "#000"
    fixed: bool = False

    @property
    def half(self) -> tuple[float, float]:
        """Half of the width and half of the height of the words [mm]."""
        wide = width_of(self.text, self.size, bold=self.bold) / 2
        high = self.size * HIGH / 2
        return (high, wide) if self.turn else (wide, high)


@dataclass
class Labels:
    """The words of a drawing: gathered first, then placed and written.

    Attributes:
        edges: Limits of the drawing [mm].
        marks: Boxes of markers, which words should not cover.
        reach: Upper and lower limit of the words written [mm].
    """

    edges: Box
    words: list[Label] = field(default_factory=list)
    marks: list[Box] = field(default_factory=list)
    reach: tuple[float, float] = (math.inf, -math.inf)

    def written(self) -> tuple[str, tuple[str, ...]]:
        """(the words as SVG, lines below the drawing for numbers that replace words)."""
        placed: list[Box] = []
        parts: list[str] = []
        key: list[str] = []
        for words in sorted(self.words, key=lambda label: not label.fixed):
            middle = self._middle(words, placed)
            if middle is None:
                number = Label(words.x, words.y, f"({len(key) + 1})", words.size, bold=True)
                key.append(f"{number.text} {words.text}")
                middle, words = self._middle(number, placed) or (number.x, number.y), number
            placed.append(_box(words, middle))
            parts.append(_leader(words, middle) + _svg(words, middle))
        if placed:
            self.reach = min(box[1] for box in placed), max(box[3] for box in placed)
        return "".join(parts), tuple(key)

    def _middle(self, words: Label, placed: Sequence[Box]) -> tuple[float, float] | None:
        """Centre at which words have room, preferably clear of markers too; None if there is no room."""
        wished = words.x + words.across, words.y + words.down
        if words.fixed:
            return wished
        tried = np.array(list(_candidates(words, wished)))
        half = np.array(words.half)
        low = np.array(self.edges[:2]) + half
        tried = np.clip(tried, low, np.maximum(low, np.array(self.edges[2:]) - half))
        free = _clear(tried, half, placed)
        best = free & _clear(tried, half, self.marks)
        for good in (best, free):
            if good.any():
                x, y = tried[int(np.argmax(good))]
                return float(x), float(y)
        return None


def _candidates(words: Label, wished: tuple[float, float]) -> Iterator[tuple[float, float]]:
    """Centres to try: the preferred one, then round the place at growing distances."""
    yield wished
    half_wide, half_high = words.half
    for out in np.arange(NEAR, FAR, 1.5):
        for turn in range(TURNS):
            angle = 2 * math.pi * turn / TURNS - math.pi / 2
            across, down = math.cos(angle), math.sin(angle)
            yield words.x + across * (half_wide + out), words.y + down * (half_high + out)


def _clear(middles: Array, half: Array, boxes: Sequence[Box]) -> NDArray[np.bool_]:
    """For each centre, whether the words are clear of all boxes there."""
    if not boxes:
        return np.ones(len(middles), dtype=bool)
    obstacles = np.array(boxes)
    first, last = middles.min(axis=0) - half - GAP, middles.max(axis=0) + half + GAP
    obstacles = obstacles[np.logical_and(obstacles[:, :2] < last, obstacles[:, 2:] > first).all(axis=1)]
    low, high = (middles - half - GAP)[:, None, :], (middles + half + GAP)[:, None, :]
    over = np.logical_and(low < obstacles[None, :, 2:], high > obstacles[None, :, :2])
    return ~np.any(np.all(over, axis=2), axis=1)  # type: ignore[no-any-return]


def _box(words: Label, middle: tuple[float, float]) -> Box:
    wide, high = words.half
    return middle[0] - wide, middle[1] - high, middle[0] + wide, middle[1] + high


def _leader(words: Label, middle: tuple[float, float]) -> str:
    """A thin line from the place to the nearest edge of the words, if they are far from it."""
    left, top, right, bottom = _box(words, middle)
    x, y = min(max(words.x, left), right), min(max(words.y, top), bottom)
    if words.fixed or math.hypot(x - words.x, y - words.y) <= LEADER:
        return ""
    return f"<path d='M{words.x:.2f} {words.y:.2f}L{x:.2f} {y:.2f}' stroke='#555' stroke-width='0.15' fill='none'/>"


def _svg(words: Label, middle: tuple[float, float]) -> str:
    x, y = middle
    foot = y + (BASE - HIGH / 2) * words.size
    turned = f" transform='rotate({words.turn:g} {x:.2f} {y:.2f})'" if words.turn else ""
    weight = " font-weight='bold'" if words.bold else ""
    return (
        f"<text x='{x:.2f}' y='{foot:.2f}' font-size='{words.size:.2f}' text-anchor='middle' "
        f"font-family='{FONT}' fill='{words.colour}' paint-order='stroke' stroke='#fff' stroke-width='0.7' "
        f"stroke-linejoin='round'{weight}{turned}>{html.escape(words.text)}</text>"
    )
