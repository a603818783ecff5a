"""A chart (axes of different kinds, not to scale) as SVG for print: axes with ticks, traces, notes with their arrows,
legend.
"""

import html
import math
import re
from collections.abc import Iterator
from typing import Any

from pondkit.drawing.blocks import Picture
from pondkit.drawing.frame import Figure
from pondkit.drawing.labels import FONT, Box, Label, Labels, width_of
from pondkit.drawing.to_scale import PX, Pen, Span

WIDE, HIGH = 174.0, 84.0  # mm of paper
# mm round the axes, for ticks, titles and legend; the left margin may be wider
LEFT, RIGHT, TOP, FOOT = 16.0, 14.0, 8.0, 13.0
SMALL = 2.8  # mm: size of letters of ticks and legend
LINE = 1.25  # line spacing over the height of letters
TICKS = 6  # number of ticks on an axis, roughly
HEAD = 1.6  # mm: of an arrow
Axis = dict[str, Any]


def charted(figure: Figure, alt: str, *, mono: bool = True) -> Picture:
    """A chart as a drawing.

    Args:
        figure: A picture whose axes have ranges; ``yaxis2`` is drawn at the right.
        alt: The picture in words.
        mono: True for black and white, where dashes distinguish the lines.
    """
    layout = figure["layout"]
    across, up, second = layout["xaxis"], layout["yaxis"], layout.get("yaxis2")
    wide = [width_of(_bare(text), SMALL) for text in up.get("ticktext") or ()]
    left = max(LEFT, max(wide, default=0.0) + 3.0)
    labels = Labels((0.5, TOP - 1.0, WIDE - 0.5, HIGH - 0.5))
    pens = {"y": _pen(across, up, mono, left, labels)}
    if second:
        pens["y2"] = _pen(across, second, mono, left, labels)
    parts = [
        *_axes(pens, across, up, second, left),
        *(_line(pens["y"], shape, _span(across, up)) for shape in layout.get("shapes", ()) if shape["type"] == "line"),
        *(part for trace in figure["data"] for part in pens[trace.get("yaxis", "y")].trace(trace)),
        *(part for note in layout.get("annotations", ()) for part in _note_on_axis(pens, note, across, up, second)),
        *(_legend(figure, mono, left) if layout.get("showlegend") else ()),
    ]
    words, key = labels.written()
    markup = (
        f"<svg xmlns='http://www.w3.org/2000/svg' width='{WIDE:g}mm' height='{HIGH:g}mm' "
        f"viewBox='0 0 {WIDE:g} {HIGH:g}'>{''.join(parts)}{words}</svg>"
    )
    return Picture(markup, WIDE, HIGH, alt, " ".join(key))


def _pen(across: Axis, up: Axis, mono: bool, left: float, labels: Labels) -> Pen:
    span = _span(across, up)
    per_unit = (WIDE - left - RIGHT) / (span[2] - span[0]), (HIGH - TOP - FOOT) / (span[3] - span[1])
    return Pen(span, per_unit, mono, labels, (left, TOP))


def _position(mark: dict[str, Any], name: str, span: Span) -> float:
    """A position on an axis, which may be given as a share of the axis's length."""
    value, axis = float(mark[name]), name[0]
    if mark.get(f"{axis}ref") != "paper":
        return value
    low, high = (span[0], span[2]) if axis == "x" else (span[1], span[3])
    return low + value * (high - low)


def _line(pen: Pen, shape: dict[str, Any], span: Span) -> str:
    (a, b), (c, d) = (pen.at(_position(shape, f"x{end}", span), _position(shape, f"y{end}", span)) for end in (0, 1))
    dash = " stroke-dasharray='2 1.2'" if shape.get("line", {}).get("dash") else ""
    return f"<path d='M{a:.2f} {b:.2f}L{c:.2f} {d:.2f}' stroke='#000' stroke-width='0.3'{dash}/>"


def _span(across: Axis, up: Axis) -> Span:
    (west, east), (south, north) = across["range"], up["range"]
    return float(west), float(south), float(east), float(north)


def _axes(pens: dict[str, Pen], across: Axis, up: Axis, second: Axis | None, left: float) -> Iterator[str]:
    right, foot = WIDE - RIGHT, HIGH - FOOT
    if across.get("visible", True):
        yield (
            f"<rect x='{left}' y='{TOP}' width='{right - left}' height='{foot - TOP}' fill='none' stroke='#777' "
            "stroke-width='0.2'/>"
        )
        for value, text in _ticks(across):
            x = pens["y"].at(value, 0.0)[0]
            yield f"<path d='M{x:.2f} {foot}v1' stroke='#777' stroke-width='0.2'/>" + _word(x, foot + 4.2, text)
        yield _word((left + right) / 2, HIGH - 2, _title(across))
    for name, axis, side, out in (("y", up, left, -1), ("y2", second, right, 1)):
        if axis is None or not axis.get("visible", True):
            continue
        for value, text in _ticks(axis):
            y = pens[name].at(0.0, value)[1]
            yield f"<path d='M{side} {y:.2f}h{out}' stroke='#777' stroke-width='0.2'/>"
            yield _word(side + 1.6 * out, y + 1, text, "end" if out < 0 else "start")
        x = side + out * 11
        if not _title(axis):
            continue
        yield f"<g transform='rotate(-90 {x} {(TOP + foot) / 2})'>{_word(x, (TOP + foot) / 2 + 1, _title(axis))}</g>"


def _title(axis: Axis) -> str:
    return str(axis.get("title", {}).get("text", ""))


def _ticks(axis: Axis) -> Iterator[tuple[float, str]]:
    """Positions and texts of an axis's ticks: those that it states, else round numbers."""
    if "tickvals" in axis:
        yield from zip(axis["tickvals"], axis.get("ticktext") or axis["tickvals"], strict=True)
        return
    low, high = (float(end) for end in axis["range"])
    raw = (high - low) / TICKS
    ten = 10.0 ** math.floor(math.log10(raw))
    step = next(ten * size for size in (1, 2, 5, 10) if ten * size >= raw * (1 - 1e-9))
    for number in range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1):
        yield number * step, f"{number * step:g}"


def _word(x: float, y: float, text: object, anchor: str = "middle") -> str:
    return (
        f"<text x='{x:.2f}' y='{y:.2f}' font-size='{SMALL}' font-family='{FONT}' "
        f"text-anchor='{anchor}'>{html.escape(_bare(text))}</text>"
    )


def _bare(text: object) -> str:
    """A text without its markup."""
    return html.unescape(re.sub(r"</?\w+>", "", str(text)))


def _written(pen: Pen, x: float, y: float, text: str, anchor: str) -> None:
    """Write words that begin, end or are centred at a place; they are moved if there is no room."""
    half = width_of(_bare(text), SMALL) / 2
    across = {"start": half, "end": -half}.get(anchor, 0.0)
    pen.labels.words.append(Label(x, y, _bare(text), SMALL, across=across))


def _note_on_axis(
    pens: dict[str, Pen], note: dict[str, Any], across: Axis, up: Axis, second: Axis | None
) -> Iterator[str]:
    """A note by the axis that it refers to: the one at the right if it says so."""
    if second and note.get("yref") == "y2":
        return _note(pens["y2"], note, _span(across, second))
    return _note(pens["y"], note, _span(across, up))


def _note(pen: Pen, note: dict[str, Any], span: Span) -> Iterator[str]:
    """A note. If it has an arrow, its text is at the arrow's tail, which is given in units of the axes or in pixels
    from its place.
    """
    x, y = pen.at(_position(note, "x", span), _position(note, "y", span))
    anchor = {"left": "start", "right": "end"}.get(str(note.get("xanchor")), "middle")
    if not note.get("showarrow"):
        lines = str(note["text"]).split("<br>")
        first = y - float(note.get("yshift", 0)) * PX - (len(lines) - 1) / 2 * SMALL * LINE
        for number, text in enumerate(lines):
            _written(pen, x + float(note.get("xshift", 0)) * PX, first + number * SMALL * LINE, text, anchor)
        return
    tail = pen.at(note["ax"], note["ay"]) if note.get("axref") == "x" else (x + note["ax"] * PX, y + note["ay"] * PX)
    long = math.hypot(x - tail[0], y - tail[1])
    if long > 0:
        from_, to = (float(note.get(name, 0)) * PX / long for name in ("startstandoff", "standoff"))
        (a, b), (c, d) = (
            (tail[0] + share * (x - tail[0]), tail[1] + share * (y - tail[1])) for share in (from_, 1 - to)
        )
        width = max(float(note.get("arrowwidth", 1)) * PX, 0.2)
        pen.labels.marks += _under((a, b), (c, d), width + HEAD / 2)
        yield f"<path d='M{a:.2f} {b:.2f}L{c:.2f} {d:.2f}' stroke='#000' stroke-width='{width:.2f}'/>"
        if note.get("axref") == "x":
            yield _arrow(c, d, (x - tail[0]) / long, (y - tail[1]) / long, HEAD + width)
    if note["text"]:
        _written(pen, tail[0], tail[1] - SMALL / 2, str(note["text"]), anchor)


def _under(tail: tuple[float, float], head: tuple[float, float], wide: float) -> Iterator[Box]:
    """Boxes along an arrow, from which words keep clear."""
    steps = max(1, math.ceil(math.dist(tail, head) / wide))
    for step in range(steps + 1):
        x, y = (a + step / steps * (b - a) for a, b in zip(tail, head, strict=True))
        yield x - wide / 2, y - wide / 2, x + wide / 2, y + wide / 2


def _arrow(x: float, y: float, right: float, down: float, size: float) -> str:
    points = [(x, y)] + [
        (x - size * right + side * size / 2 * down, y - size * down - side * size / 2 * right) for side in (1, -1)
    ]
    return f"<path d='M{'L'.join(f'{a:.2f} {b:.2f}' for a, b in points)}Z' fill='#000'/>"


def _legend(figure: Figure, mono: bool, left: float) -> Iterator[str]:
    x = left
    for trace in figure["data"]:
        if "name" not in trace or trace.get("showlegend") is False:
            continue
        pen = Pen((0.0, 0.0, 1.0, 1.0), (8.0, 1.0), mono, Labels((0.0, 0.0, WIDE, HIGH)), (x, TOP - 4.5))
        both = {"x": [0.0, 0.5, 1.0], "y": [0.5, 0.5, 0.5]}
        middle = {"x": [0.5], "y": [0.5]}
        yield from pen.trace(
            {key: trace[key] for key in ("mode", "line", "marker") if key in trace}
            | (both if trace.get("mode") == "lines" else middle)
        )
        yield _word(x + 10, TOP - 3, trace["name"], "start")
        x += 16 + width_of(_bare(trace["name"]), SMALL)
