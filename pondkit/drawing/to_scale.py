"""Drawings at a true scale: a picture in plan or section in millimetres of paper, in colour or black and white, with
the picture of the site under it.
"""

import base64
import html
import io
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any, Protocol

from pondkit.core.units import LENGTH, System, magnitude, show
from pondkit.drawing import frame
from pondkit.drawing.blocks import Picture, Room
from pondkit.drawing.frame import Figure
from pondkit.drawing.labels import FONT, Box, Label, Labels, width_of

HEAD = 80_000  # base64 letters that hold the size of a JPEG


class SitePicture(Protocol):
    """The fields of the site picture that a drawing needs: JPEG in base64, centre and width on the site [m], rotation
    and strength.
    """

    @property
    def data(self) -> str: ...
    @property
    def at(self) -> Sequence[float]: ...
    @property
    def width(self) -> float: ...
    @property
    def turn_deg(self) -> float: ...
    @property
    def strength(self) -> float: ...


def aspect(picture: SitePicture) -> float:
    """Height over width of a site picture; 0 if its data are no picture."""
    return aspect_of(picture.data)


def aspect_of(data: str) -> float:
    """Height over width of a JPEG in base64; 0 if the text is something else."""
    from PIL import Image

    try:
        head = base64.b64decode(data[:HEAD])
        with Image.open(io.BytesIO(head), formats=["JPEG"]) as image:
            return image.height / image.width
    except (OSError, SyntaxError, ValueError):
        return 0.0


def image(picture: SitePicture, middle: tuple[float, float], width: float, *, mono: bool) -> str:
    """A site picture as SVG; "" if its data are no picture.

    Args:
        picture: The site picture.
        middle, width: Centre and width of the picture in the drawing, in the drawing's unit, y downward.
        mono: True for shades of grey.
    """
    high = width * aspect(picture)
    if not high:
        return ""
    x, y = middle
    grey = " style='filter:grayscale(1)'" if mono else ""
    return (
        f"<image href='data:image/jpeg;base64,{picture.data}' x='{x - width / 2:.2f}' y='{y - high / 2:.2f}' "
        f"width='{width:.2f}' height='{high:.2f}' "
        f"preserveAspectRatio='none' opacity='{float(picture.strength):g}' "
        f"transform='rotate({-float(picture.turn_deg):g} {x:.2f} {y:.2f})'{grey}/>"
    )


def alone(data: str) -> str:
    """A logo or photo, a JPEG in base64, as SVG 100 units wide; "" if the text is no picture."""
    high = aspect_of(data) if data else 0.0
    if not high:
        return ""
    return (
        f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 100 {100 * high:.2f}'>"
        f"<image href='data:image/jpeg;base64,{data}' x='0' y='0' width='100' height='{100 * high:.2f}'/></svg>"
    )


@dataclass(frozen=True)
class Scale:
    """A scale. ``over``: length on the site over length on paper; ``text``: how it is written."""

    over: int
    text: str


# Scales of the trade: architects' quarter and eighth of an inch, then engineers' feet to the inch; metric by ISO 5455.
SCALES: dict[System, tuple[Scale, ...]] = {
    "us": (
        Scale(48, "1/4 in = 1 ft"),
        Scale(96, "1/8 in = 1 ft"),
        Scale(120, "1 in = 10 ft"),
        Scale(240, "1 in = 20 ft"),
        Scale(360, "1 in = 30 ft"),
    ),
    "si": (Scale(50, "1:50"), Scale(100, "1:100"), Scale(200, "1:200"), Scale(500, "1:500")),
}
DETAILS: dict[System, tuple[Scale, ...]] = {  # for small items, such as a wall in section
    "us": (Scale(12, "1 in = 1 ft"), Scale(24, "1/2 in = 1 ft")),
    "si": (Scale(10, "1:10"), Scale(20, "1:20")),
}
# length on paper, by which the print is checked
BAR: dict[System, tuple[float, str]] = {"us": (101.6, "4 in"), "si": (100.0, "100 mm")}
TALL = 1.0  # mm: of the bar
EDGE, FOOT = 6.0, 8.0  # mm: margin round the picture, for names at its edge, and strip below it, for the bar
PX = 0.26  # mm of paper per pixel of the screen, for lines and marks
BESIDE = 1.0  # mm: width of the band along the section line that words should keep clear of
LETTER_PX = 0.2  # mm of paper per pixel for letters: 12 pixels become 7 points
LIGHT = 0.55  # share by which fills are lightened, so that black lines and letters stand out on them
LAP = 12.0  # mm: overlap of sheets to be joined
Span = tuple[float, float, float, float]
_PATH = r"([ML])\s*(-?[\d.e+-]+),(-?[\d.e+-]+)"  # one place of a path


def scaled(
    figure: Figure,
    system: System,
    alt: str,
    room: Room,
    *,
    mono: bool = True,
    under: SitePicture | None = None,
    details: bool = False,
) -> tuple[Picture, ...]:
    """A picture at the largest of the usual scales at which it fits, with its scale bar; if it fits at none, at the
    smallest on several sheets to be joined.

    Args:
        figure: A picture whose two axes are both in the system's unit of plan lengths, with ranges.
        system: Unit system displayed.
        alt: The picture in words.
        room: Space for it on the paper.
        mono: True for black and white: fills in light grey, lines in black.
        under: Site picture under a plan.
        details: True to allow the larger scales of details too.
    """
    span = _span(figure, under)
    scale = scale_of(span, system, room, details=details)
    per_unit = magnitude(frame.magnitude_of(frame.PLAN_UNIT[system]), LENGTH, "mm") / scale.over
    wide, high = (span[2] - span[0]) * per_unit + 2 * EDGE, (span[3] - span[1]) * per_unit + 2 * EDGE
    inner, key, reach = _contents(figure, system, per_unit, mono=mono, under=under)
    stated = f"Scale {scale.text}. Print at 100 %: the black bar then measures {BAR[system][1]}."
    caption = " ".join([stated, *key])
    whole = (0.0, max(reach[0] - EDGE, 0.0), wide, min(reach[1] + EDGE, high))
    if wide <= room.wide and high + FOOT <= room.high:
        return (_sheet(inner, whole, scale, system, alt, caption),)
    boxes = list(_sheets(wide, high, room))
    return tuple(
        _sheet(
            inner + _join_marks(boxes),
            box,
            scale,
            system,
            f"{alt} Sheet {number} of {len(boxes)}.",
            f"Sheet {number} of {len(boxes)}: join the sheets at the crosses. {caption}",
        )
        for number, box in enumerate(boxes, 1)
    )


def scale_of(span: Span, system: System, room: Room, *, details: bool = False) -> Scale:
    """The largest usual scale at which a span fits (west, south, east, north in the plan's unit); the smallest if none
    fits.
    """
    mm = magnitude(frame.magnitude_of(frame.PLAN_UNIT[system]), LENGTH, "mm")
    wide, high = (span[2] - span[0]) * mm, (span[3] - span[1]) * mm
    every = (*(DETAILS[system] if details else ()), *SCALES[system])
    fits = (s for s in every if wide / s.over + 2 * EDGE <= room.wide and high / s.over + 2 * EDGE + FOOT <= room.high)
    return next(fits, every[-1])


def _contents(
    figure: Figure, system: System, per_unit: float, *, mono: bool, under: SitePicture | None
) -> tuple[str, tuple[str, ...], tuple[float, float]]:
    """(SVG of a picture in millimetres of paper, words for numbers on it, its upper and lower limit)."""
    span, layout = _span(figure, under), figure["layout"]
    wide, high = (span[2] - span[0]) * per_unit + 2 * EDGE, (span[3] - span[1]) * per_unit + 2 * EDGE
    pen = Pen(span, (per_unit, per_unit), mono, Labels((0.5, 0.5, wide - 0.5, high - 0.5)))
    parts = [
        pen.image(under, frame.PLAN_UNIT[system]) if under else "",
        *(part for trace in figure["data"] for part in pen.trace(trace)),
        *(part for shape in layout.get("shapes", ()) if shape.get("name") != frame.SCREEN for part in pen.shape(shape)),
    ]
    for note in layout.get("annotations", ()):
        if note.get("name") == frame.NORTH:
            parts.append(_north(wide - EDGE / 2, 2.0))  # in the margin
            pen.labels.marks.append((wide - EDGE, 0.0, wide, 14.0))
            pen.top = 0.0
        elif note.get("xref") != "paper" and note.get("name") != frame.SCREEN:
            pen.note(note)
    words, key = pen.labels.written()
    reach = pen.labels.reach
    return "".join(parts) + words, key, (min(pen.top, reach[0]), max(pen.bottom, reach[1]))


def _north(x: float, y: float) -> str:
    return (
        f"<path d='M{x:.2f} {y:.2f}l1.6 5h-1.1v4h-1v-4h-1.1Z' fill='#000'/><text x='{x:.2f}' y='{y + 12.2:.2f}' "
        f"font-size='3.2' font-weight='bold' font-family='{FONT}' text-anchor='middle'>N</text>"
    )


def _sheet(inner: str, box: Span, scale: Scale, system: System, alt: str, caption: str) -> Picture:
    """One sheet of a drawing at its size: the part inside a box [mm], with the scale bar below."""
    left, top, right, bottom = box
    wide, high = right - left, bottom - top
    bar, _ = BAR[system]
    real = show(bar * scale.over / magnitude(1.0, LENGTH, "mm"), LENGTH, system, frame.PLAN_UNIT[system])
    width = max(wide, bar + 4 + width_of(real, 3.0) + 2)
    ticks = "".join(f"M{1 + bar * share:.3f} {high + 2.4:.2f}v1.6" for share in (0.0, 0.25, 0.5, 0.75, 1.0))
    foot = (
        f"<rect x='1' y='{high + 4:.2f}' width='{bar:g}' height='{TALL:g}' fill='#000'/>"
        f"<path d='{ticks}' stroke='#000' stroke-width='0.2'/>"
        f"<text x='{bar + 3:g}' y='{high + 5.2:.2f}' font-size='3' font-family='{FONT}'>{html.escape(real)}</text>"
    )
    markup = (
        f"<svg xmlns='http://www.w3.org/2000/svg' width='{width:.3f}mm' height='{high + FOOT:.3f}mm' "
        f"viewBox='0 0 {width:.3f} {high + FOOT:.3f}'><svg x='0' y='0' width='{wide:.3f}' height='{high:.3f}' "
        f"viewBox='{left:.3f} {top:.3f} {wide:.3f} {high:.3f}'>{inner}</svg>{foot}</svg>"
    )
    return Picture(markup, width, high + FOOT, alt, caption)


def _sheets(wide: float, high: float, room: Room) -> Iterator[Span]:
    """Boxes [mm] that cover a drawing row by row, each overlapping the next by ``LAP``."""
    across, down = (list(_steps(*size)) for size in ((wide, room.wide), (high, room.high - FOOT)))
    for (top, bottom), (left, right) in product(down, across):
        yield left, top, right, bottom


def _steps(size: float, room: float) -> Iterator[tuple[float, float]]:
    count = 1 if size <= room else math.ceil((size - LAP) / (room - LAP))
    long = (size + (count - 1) * LAP) / count
    for number in range(count):
        start = number * (long - LAP)
        yield start, start + long


def _join_marks(boxes: list[Span]) -> str:
    """Crosses in the middle of every overlap, near both ends: two sheets are joined so that their crosses meet."""
    marks = set()
    for left, top, right, bottom in boxes:
        for other in boxes:
            if other[0] > left and other[1] == top and other[0] < right:
                marks |= {((other[0] + right) / 2, y) for y in (top + 15, bottom - 15)}
            if other[1] > top and other[0] == left and other[1] < bottom:
                marks |= {(x, (other[1] + bottom) / 2) for x in (left + 15, right - 15)}
    path = "".join(f"M{x - 4:.2f} {y:.2f}h8M{x:.2f} {y - 4:.2f}v8" for x, y in sorted(marks))
    return f"<path d='{path}' stroke='#000' stroke-width='0.3'/>" if path else ""


def _span(figure: Figure, under: SitePicture | None) -> Span:
    """Limits of the contents of a picture, without its margin, as paper has ``EDGE`` for that; with it if a site
    picture fills it.
    """
    (west, east), (south, north) = figure["layout"]["xaxis"]["range"], figure["layout"]["yaxis"]["range"]
    places = list(_places(figure))
    xs, ys = ([place[axis] for place in places] for axis in (0, 1))
    within = (west, south, east, north)
    extent = within if under or not places else (min(xs), min(ys), max(xs), max(ys))
    ends = [max(a, b) for a, b in zip(within[:2], extent[:2], strict=True)]
    ends += [min(a, b) for a, b in zip(within[2:], extent[2:], strict=True)]
    west, south, east, north = map(float, ends if ends[0] < ends[2] and ends[1] < ends[3] else within)
    return west, south, east, north


def _places(figure: Figure) -> Iterator[tuple[float, float]]:
    """Places of traces, shapes and notes of a picture, in the units of its axes."""
    for trace in figure["data"]:
        yield from ((x, y) for x, y in zip(trace["x"], trace["y"], strict=True) if x is not None and y is not None)
    layout = figure["layout"]
    for shape in layout.get("shapes", ()):
        if shape.get("name") != frame.SCREEN:
            if shape["type"] == "path":
                yield from ((float(x), float(y)) for _, x, y in re.findall(_PATH, shape["path"]))
            else:
                yield from ((shape[f"x{end}"], shape[f"y{end}"]) for end in "01")
    for note in layout.get("annotations", ()):
        if note.get("xref") != "paper" and note.get("name") not in (frame.SCREEN, frame.NORTH):
            yield note["x"], note["y"]


class Pen:
    """Writes traces, shapes and notes of one picture as SVG in millimetres of paper.

    Args:
        span: West, south, east and north limits of the picture, in the units of its axes.
        per_unit: Millimetres of paper for one unit, across and up.
        mono: True for black and white.
        labels: Gets the words, which are written on top.
        corner: Upper left corner of the picture on the paper [mm].
    """

    def __init__(
        self,
        span: Span,
        per_unit: tuple[float, float],
        mono: bool,
        labels: Labels,
        corner: tuple[float, float] = (EDGE, EDGE),
    ) -> None:
        self._span, self._per_unit, self._mono, self._corner = span, per_unit, mono, corner
        self.labels = labels
        self.top, self.bottom = math.inf, -math.inf  # upper and lower limit of what was drawn [mm]

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Position on the paper of a place of the picture [mm]."""
        down = (self._span[3] - y) * self._per_unit[1] + self._corner[1]
        if self._span[1] <= y <= self._span[3]:
            self.top, self.bottom = min(self.top, down), max(self.bottom, down)
        return (x - self._span[0]) * self._per_unit[0] + self._corner[0], down

    def image(self, picture: SitePicture, unit: str) -> str:
        """The site picture as SVG, at its place."""
        metres = frame.magnitude_of(unit)
        east, north = (float(value) / metres for value in picture.at)
        return image(picture, self.at(east, north), float(picture.width) / metres * self._per_unit[0], mono=self._mono)

    def trace(self, trace: dict[str, Any]) -> Iterator[str]:
        """A trace as SVG: its lines and areas, then its markers; its words go to the labels."""
        mode = trace.get("mode", "lines")
        if "lines" in mode:
            yield from self._line(trace)
        for index, (x, y) in enumerate(zip(trace["x"], trace["y"], strict=True)):
            if x is None or y is None or mode == "lines":
                continue
            side = str(_nth(trace.get("textposition", ""), index))
            inside = "markers+text" in mode and side == "middle center"  # a sign inside its mark: both must be legible
            if "markers" in mode:
                yield self._marker(float(x), float(y), trace.get("marker", {}), index, empty=inside)
            if "text" in mode and (text := _nth(trace.get("text", ""), index)):
                size = float(_nth(trace.get("textfont", {}).get("size", 12), index)) * LETTER_PX
                if inside:
                    across, up = self.at(float(x), float(y))
                    self.labels.words += (
                        replace(label, bold=True, fixed=True) for label in _lines(across, up, text, size)
                    )
                    continue
                off = float(_nth(trace.get("marker", {}).get("size", 0), index)) * PX / 2 if "markers" in mode else 0.6
                self._words(float(x), float(y), str(text), size, side, off)

    def _line(self, trace: dict[str, Any]) -> Iterator[str]:
        look = trace.get("line", {})
        filled = trace.get("fill") == "toself"
        fill = self.fill(str(trace.get("fillcolor", frame.FAINT))) if filled else "none"
        parts, path = [], ""
        for x, y in zip(trace["x"], trace["y"], strict=True):
            if x is None or y is None:
                parts.append(path)
                path = ""
            else:
                path += f"{'L' if path else 'M'}{'{:.2f} {:.2f}'.format(*self.at(float(x), float(y)))}"
        # The areas of a trace are one path, so that an area inside another is a hole, as on the screen.
        path = "".join(p + ("Z" if filled else "") for p in [*parts, path] if p)
        if path:
            width = float(look.get("width", 1)) * PX
            stroke = self.line(str(look.get("color", frame.INK))) if width else "none"
            dash = {"dash": "2 1.2", "dot": "0.5 1"}.get(str(look.get("dash", "")), "")
            yield (
                f"<path d='{path}' fill='{fill}' fill-rule='evenodd' stroke='{stroke}' stroke-width='{width:.2f}'"
                + (f" stroke-dasharray='{dash}'" if dash else "")
                + "/>"
            )

    def _marker(self, x: float, y: float, marker: dict[str, Any], index: int, *, empty: bool = False) -> str:
        across, up = self.at(x, y)
        radius = float(_nth(marker.get("size", 8), index)) * PX / 2
        self.labels.marks.append((across - radius, up - radius, across + radius, up + radius))
        symbol = str(_nth(marker.get("symbol", "circle"), index))
        ink = self.line(str(_nth(marker.get("color", frame.INK), index)))
        look = f"fill='{'#fff' if empty or 'open' in symbol else ink}' stroke='{ink}' stroke-width='0.4'"
        if symbol.startswith("square"):
            return (
                f"<rect x='{across - radius:.2f}' y='{up - radius:.2f}' width='{2 * radius:.2f}' "
                f"height='{2 * radius:.2f}' {look}/>"
            )
        a, b, c, d = across - radius, across + radius, up - radius, up + radius
        if symbol.startswith("bowtie"):
            return f"<path d='M{a:.2f} {c:.2f}L{b:.2f} {d:.2f}L{b:.2f} {c:.2f}L{a:.2f} {d:.2f}Z' {look}/>"
        if symbol.startswith("triangle"):
            low = up + radius * 0.7
            return (
                f"<path d='M{across:.2f} {up - radius:.2f}L{across + radius:.2f} {low:.2f}L{across - radius:.2f} "
                f"{low:.2f}Z' {look}/>"
            )
        if symbol.startswith("x"):
            return f"<path d='M{a:.2f} {c:.2f}L{b:.2f} {d:.2f}M{a:.2f} {d:.2f}L{b:.2f} {c:.2f}' {look}/>"
        return f"<circle cx='{across:.2f}' cy='{up:.2f}' r='{radius:.2f}' {look}/>"

    def _words(self, x: float, y: float, text: str, size: float, side: str, off: float) -> None:
        """Write words on a side of a place: "top center", "middle left" …"""
        across, up = self.at(x, y)
        for words in _lines(across, up, text, size):
            wide, high = words.half
            right = -(wide + off + 0.4) if "left" in side else wide + off + 0.4 if "right" in side else 0.0
            down = -(high + off + 0.2) if "top" in side else high + off + 0.2 if "bottom" in side else 0.0
            self.labels.words.append(replace(words, across=right, down=down))

    def shape(self, shape: dict[str, Any]) -> Iterator[str]:
        """A line or path over the picture as SVG."""
        look = shape.get("line", {})
        stroke = (
            f"fill='none' stroke='{self.line(str(look.get('color', frame.INK)))}' "
            f"stroke-width='{float(look.get('width', 1)) * PX:.2f}'"
        )
        if shape["type"] == "path":
            places = re.findall(_PATH, shape["path"])
            path = "".join(f"{c}{'{:.2f} {:.2f}'.format(*self.at(float(x), float(y)))}" for c, x, y in places)
            yield f"<path d='{path}' {stroke}/>"
        elif shape["type"] == "line":
            (a, b), (c, d) = self.at(shape["x0"], shape["y0"]), self.at(shape["x1"], shape["y1"])
            if shape.get("name") == frame.SECTION:
                self.labels.marks += _along(a, b, c, d)
            yield f"<path d='M{a:.2f} {b:.2f}L{c:.2f} {d:.2f}' {stroke} stroke-dasharray='6 1.5 1 1.5'/>"

    def note(self, note: dict[str, Any]) -> None:
        """Write the words of a note at its place."""
        size = float(note.get("font", {}).get("size", 12)) * LETTER_PX
        x, y = self.at(float(note["x"]), float(note["y"]))
        aside, down = float(note.get("xshift", 0)) * PX, -float(note.get("yshift", 0)) * PX
        for words in _lines(x, y, str(note["text"]), size):
            turned = replace(words, across=aside, down=down, turn=float(note.get("textangle", 0)))
            self.labels.words.append(turned)

    def line(self, colour: str) -> str:
        """Colour of a line: black in black and white."""
        return "#000" if self._mono and colour != frame.PAPER else colour

    def fill(self, colour: str) -> str:
        """Colour of an area: a light grey in black and white."""
        if not self._mono or colour == frame.PAPER:
            return "none" if colour == frame.PAPER else colour
        light = grey(colour) + (255 - grey(colour)) * LIGHT
        if colour.startswith("rgba"):  # keep it transparent
            return f"rgba(0,0,0,{1 - light / 255:.3f})"
        return "#" + f"{round(light):02x}" * 3


def _along(a: float, b: float, c: float, d: float) -> Iterator[Box]:
    """Boxes along a line from (a, b) to (c, d) [mm], which words should not cover."""
    steps = max(1, math.ceil(math.hypot(c - a, d - b) / BESIDE))
    for step in range(steps + 1):
        x, y = a + step / steps * (c - a), b + step / steps * (d - b)
        yield x - BESIDE / 2, y - BESIDE / 2, x + BESIDE / 2, y + BESIDE / 2


def grey(colour: str) -> float:
    """Lightness of a colour on white paper, 0 to 255, by the luma weights of ITU-R BT.709."""
    hexes = [float(int(colour[i : i + 2], 16)) for i in (1, 3, 5)] if colour.startswith("#") else []
    parts = hexes or [float(number) for number in re.findall(r"[\d.]+", colour)]
    red, green, blue, alpha = [*parts, 1.0][:4]
    return 255 - alpha * (255 - (0.2126 * red + 0.7152 * green + 0.0722 * blue))


def _lines(x: float, y: float, text: str, size: float) -> Iterator[Label]:
    """A text as labels at a place; bold if it is marked so."""
    bare = html.unescape(re.sub(r"</?\w+>", " ", text)).strip()
    if bare:
        yield Label(x, y, " ".join(bare.split()), size, bold="<b>" in text)


def _nth(value: Any, index: int) -> Any:
    return value[index] if isinstance(value, list) else value
