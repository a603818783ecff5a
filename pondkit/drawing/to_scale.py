"""A picture in plan or section as SVG at a true scale, in millimetres of paper; in black and white where asked."""

import html
import re
from collections.abc import Iterator
from typing import Any

from pondkit.core.units import LENGTH, System, magnitude, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure
from pondkit.drawing.site_image import SitePicture, image

# Denominators: ISO 5455 recommends 1, 2 and 5 with their tens; 25 and 250 lie between them on a scale rule.
SCALES = (5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10000)
WIDE, HIGH = (
    174.0,
    160.0,
)  # mm of paper that a picture may take, its edge apart: fits A4 and Letter with margins of 12 mm
BAR, TALL = 100.0, 1.0  # mm of paper: the bar by which the print is checked
EDGE, FOOT = 5.0, 9.0  # mm round the picture, for names at its edge; mm under it, for the bar
PX = 0.26  # mm of paper for one pixel of the picture on the screen, for letters and lines
LETTER = 0.55  # of its size: how wide a letter is, about
LIGHT = 0.55  # of a fill's darkness is taken away, so that black lines and letters stand out on it
Span = tuple[float, float, float, float]


def drawn(figure: Figure, system: System, alt: str, *, mono: bool = True, under: SitePicture | None = None) -> str:
    """A picture as an SVG figure with its scale and its bar.

    Args:
        figure: A picture whose two axes are both in the system's unit of plan lengths, with ranges.
        system: Units on show.
        alt: The picture in words.
        mono: True for black and white: fills as light greys, lines black.
        under: Picture of the site that lies under a plan.
    """
    span = _span(figure)
    scale = scale_of(span, system)
    per_unit = magnitude(frame.magnitude_of(frame.PLAN_UNIT[system]), LENGTH, "mm") / scale
    wide, high = (span[2] - span[0]) * per_unit + 2 * EDGE, (span[3] - span[1]) * per_unit + 2 * EDGE
    pen = Pen(span, (per_unit, per_unit), mono)
    layout = figure["layout"]
    inner = "".join(
        [
            pen.image(under, frame.PLAN_UNIT[system]) if under else "",
            *(part for trace in figure["data"] for part in pen.trace(trace)),
            *(part for shape in layout.get("shapes", ()) for part in pen.shape(shape)),
            *(pen.note(note) for note in layout.get("annotations", ()) if note.get("xref") != "paper"),
        ]
    )
    width = max(wide, BAR + 70)
    real = show(BAR * scale / magnitude(1.0, LENGTH, "mm"), LENGTH, system)
    bar = (
        f"<rect class='bar' x='1' y='{high + 4:.2f}' width='{BAR:g}' height='{TALL:g}' fill='#000'/>"
        f"<text x='{BAR + 3:g}' y='{high + 5.4:.2f}' font-size='3'>{BAR:g} mm on paper = {real} at 1:{scale}</text>"
    )
    return (
        f"<figure><svg xmlns='http://www.w3.org/2000/svg' role='img' aria-label='{html.escape(alt, quote=True)}' "
        f"width='{width:.2f}mm' height='{high + FOOT:.2f}mm' viewBox='0 0 {width:.2f} {high + FOOT:.2f}'><svg x='0' "
        f"y='0' width='{wide:.2f}' height='{high:.2f}'>{inner}</svg>{bar}</svg><figcaption>Scale 1:{scale}. Print at "
        f"100 %: the black bar then measures {BAR:g} mm.</figcaption></figure>"
    )


def scale_of(span: Span, system: System) -> int:
    """Denominator of the largest scale at which a span (west, south, east, north in the plan's unit) fits the paper."""
    mm = magnitude(frame.magnitude_of(frame.PLAN_UNIT[system]), LENGTH, "mm")
    wide, high = (span[2] - span[0]) * mm, (span[3] - span[1]) * mm
    return next((s for s in SCALES if wide / s <= WIDE and high / s <= HIGH), SCALES[-1])


def _span(figure: Figure) -> Span:
    (west, east), (south, north) = figure["layout"]["xaxis"]["range"], figure["layout"]["yaxis"]["range"]
    return float(west), float(south), float(east), float(north)


class Pen:
    """Writes traces, shapes and notes of one picture in millimetres of paper.

    Args:
        span: West, south, east, north of the picture, in the units of its axes.
        per_unit: Millimetres of paper for one unit, across and up.
        mono: True for black and white.
        corner: Where its upper left corner lies on the paper [mm].
    """

    def __init__(
        self, span: Span, per_unit: tuple[float, float], mono: bool, corner: tuple[float, float] = (EDGE, EDGE)
    ) -> None:
        self._span, self._per_unit, self._mono, self._corner = span, per_unit, mono, corner

    def at(self, x: float, y: float) -> tuple[float, float]:
        return (
            (x - self._span[0]) * self._per_unit[0] + self._corner[0],
            (self._span[3] - y) * self._per_unit[1] + self._corner[1],
        )

    def image(self, picture: SitePicture, unit: str) -> str:
        one = frame.magnitude_of(unit)
        east, north = (float(value) / one for value in picture.at)
        return image(picture, self.at(east, north), float(picture.width) / one * self._per_unit[0], mono=self._mono)

    def trace(self, trace: dict[str, Any]) -> Iterator[str]:
        mode = trace.get("mode", "lines")
        if "lines" in mode:
            yield from self._line(trace)
        for index, (x, y) in enumerate(zip(trace["x"], trace["y"], strict=True)):
            if x is None or y is None or mode == "lines":
                continue
            if "markers" in mode:
                yield self._marker(float(x), float(y), trace.get("marker", {}), index)
            if "text" in mode and (text := _nth(trace.get("text", ""), index)):
                size = float(_nth(trace.get("textfont", {}).get("size", 12), index))
                side = str(_nth(trace.get("textposition", ""), index))
                lift = -2.0 if "top" in side else size * PX + 0.5 if "bottom" in side else 1.0
                yield self.text(float(x), float(y), text, size, lift, anchor=_anchor(side))

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
        # Areas of one trace are one path: where one lies within another it is a hole, as on the screen.
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

    def _marker(self, x: float, y: float, marker: dict[str, Any], index: int) -> str:
        across, up = self.at(x, y)
        radius = float(_nth(marker.get("size", 8), index)) * PX / 2
        symbol = str(_nth(marker.get("symbol", "circle"), index))
        ink = self.line(str(_nth(marker.get("color", frame.INK), index)))
        look = f"fill='{'#fff' if 'open' in symbol else ink}' stroke='{ink}' stroke-width='0.4'"
        if symbol.startswith("square"):
            return (
                f"<rect x='{across - radius:.2f}' y='{up - radius:.2f}' width='{2 * radius:.2f}' "
                f"height='{2 * radius:.2f}' {look}/>"
            )
        if symbol.startswith("bowtie"):
            a, b, c, d = across - radius, across + radius, up - radius, up + radius
            return f"<path d='M{a:.2f} {c:.2f}L{b:.2f} {d:.2f}L{b:.2f} {c:.2f}L{a:.2f} {d:.2f}Z' {look}/>"
        if symbol.startswith("triangle"):
            low = up + radius * 0.7
            return (
                f"<path d='M{across:.2f} {up - radius:.2f}L{across + radius:.2f} {low:.2f}L{across - radius:.2f} "
                f"{low:.2f}Z' {look}/>"
            )
        if symbol.startswith("x"):
            a, b, c, d = across - radius, across + radius, up - radius, up + radius
            return f"<path d='M{a:.2f} {c:.2f}L{b:.2f} {d:.2f}M{a:.2f} {d:.2f}L{b:.2f} {c:.2f}' {look}/>"
        return f"<circle cx='{across:.2f}' cy='{up:.2f}' r='{radius:.2f}' {look}/>"

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        lift: float,
        aside: float = 0.0,
        turn: float = 0,
        anchor: str = "middle",
    ) -> str:
        across, up = self.at(x, y)
        bare = html.unescape(re.sub(r"</?\w+>", " ", str(text))).strip()
        if (
            not turn and anchor == "middle" and self._span[0] <= x <= self._span[2]
        ):  # a name at the edge is moved in, not cut off
            half = LETTER * float(size) * PX * len(bare) / 2
            west, east = self.at(self._span[0], y)[0], self.at(self._span[2], y)[0]
            across = min(max(across + aside, west + half), max(east - half, west + half)) - aside
        plain = html.escape(bare)
        place = f"x='{across + aside:.2f}' y='{up + lift:.2f}'"
        turned = f" transform='rotate({turn:g} {across + aside:.2f} {up + lift:.2f})'" if turn else ""
        return (
            f"<text class='on' {place} font-size='{float(size) * PX:.2f}' text-anchor='{anchor}'{turned}>{plain}</text>"
        )

    def shape(self, shape: dict[str, Any]) -> Iterator[str]:
        look = shape.get("line", {})
        stroke = (
            f"fill='none' stroke='{self.line(str(look.get('color', frame.INK)))}' "
            f"stroke-width='{float(look.get('width', 1)) * PX:.2f}'"
        )
        if shape["type"] == "path":
            places = re.findall(r"([ML])\s*(-?[\d.e+-]+),(-?[\d.e+-]+)", shape["path"])
            path = "".join(f"{c}{'{:.2f} {:.2f}'.format(*self.at(float(x), float(y)))}" for c, x, y in places)
            yield f"<path d='{path}' {stroke}/>"
        elif shape["type"] == "line":
            (a, b), (c, d) = self.at(shape["x0"], shape["y0"]), self.at(shape["x1"], shape["y1"])
            yield f"<path d='M{a:.2f} {b:.2f}L{c:.2f} {d:.2f}' {stroke} stroke-dasharray='6 1.5 1 1.5'/>"

    def note(self, note: dict[str, Any]) -> str:
        size = note.get("font", {}).get("size", 12)
        lift, aside = 1.0 - float(note.get("yshift", 0)) * PX, float(note.get("xshift", 0)) * PX
        return self.text(note["x"], note["y"], note["text"], size, lift, aside, float(note.get("textangle", 0)))

    def line(self, colour: str) -> str:
        return "#000" if self._mono and colour != frame.PAPER else colour

    def fill(self, colour: str) -> str:
        if not self._mono or colour == frame.PAPER:
            return "none" if colour == frame.PAPER else colour
        light = grey(colour) + (255 - grey(colour)) * LIGHT
        if colour.startswith("rgba"):  # what lies under it still shows
            return f"rgba(0,0,0,{1 - light / 255:.3f})"
        return "#" + f"{round(light):02x}" * 3


def grey(colour: str) -> float:
    """Lightness of a colour on white paper, 0 to 255, by the luma weights of ITU-R BT.709."""
    hexes = [float(int(colour[i : i + 2], 16)) for i in (1, 3, 5)] if colour.startswith("#") else []
    parts = hexes or [float(number) for number in re.findall(r"[\d.]+", colour)]
    red, green, blue, alpha = [*parts, 1.0][:4]
    return 255 - alpha * (255 - (0.2126 * red + 0.7152 * green + 0.0722 * blue))


def _anchor(side: str) -> str:
    """Which end of a text stands at its place, by the side of the place that it is written on."""
    return "end" if "left" in side else "start" if "right" in side else "middle"


def _nth(value: Any, index: int) -> Any:
    return value[index] if isinstance(value, list) else value
