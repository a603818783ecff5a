"""What is kept clear of on a plan: keep-outs with their clearances, and the way in; a trace a kind."""

from typing import Any

import numpy as np

from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Array, Panel, keys
from pondkit.drawing.traces import Label, fill_trace, outlined
from pondkit.geometry.footprint import area_within, within
from pondkit.trades.clearances.results import KeptResult

ZONE = "rgba(163,59,32,0.10)"
WAY = "rgba(90,90,80,0.18)"
SWEPT = "rgba(180,140,40,0.12)"
EDGE = 0.01  # m inside the picture's edge that lines end
LOW = 0.2  # share of the picture's height in which the scale bar stands
BAR_ENDS = 0.26  # share of its width at which it ends
PLACES = 12  # along each side of a line at which its name may stand
BAR = 0.1  # share of it up to the bar's own letters
WIDE, HIGH = 0.0135, 0.05  # a letter, and a line, in shares of the picture's width and height
CLEAR = 1e-6  # m: less of two names lies over each other by rounding
NEAR = 0.25  # share of its width at which a name is written away from the edge
Span = tuple[float, float, float, float]


def kept_traces(known: KeptResult | None, unit: str, system: System, span: Span) -> list[dict[str, Any]]:
    """What is kept clear of with its clearances, and the way in, as far as they lie in the
    picture: a trace each for all of a kind.
    """
    if known is None:
        return []
    # No hover on areas: they lie over pools, which a click chooses.
    data = []
    box = _inner(span)
    if known.way and (way := area_within(known.way, box)):
        data.append(fill_trace(way, unit, WAY, "way in"))
    shown = [(thing, *within(thing, box)) for thing in known.things]
    zones = [zone for _, _, zones in shown for zone in zones]
    if zones:
        edge = {"line": {"width": 1.0, "color": frame.MARK, "dash": "dot"}}
        data.append(fill_trace(zones, unit, ZONE, "clearances") | edge)
    lines = [
        (line, f"{thing.kind} {frame.plain(thing.name)}, {show(thing.clearance, LENGTH, system)} to keep clear")
        for thing, lines, _ in shown
        for line in lines
    ]
    if lines:
        marks = {"mode": "lines+markers", "marker": {"size": 5, "color": frame.INK}}
        data.append(outlined(lines, unit, "keep-outs", {"width": 2.0, "color": frame.INK}) | marks)
    return data


def machine_traces(known: KeptResult | None, unit: str, span: Span) -> list[dict[str, Any]]:
    """What machines take up and their booms sweep, as far as it lies in the picture: one trace."""
    machines = known.machines if known else ()
    swept = [ring for machine in machines for ring in area_within(machine, _inner(span))]
    edge = {"line": {"width": 1.0, "color": frame.FAINT, "dash": "dash"}}
    return [fill_trace(swept, unit, SWEPT, "machines and booms") | edge] if swept else []


def kept_labels(known: KeptResult | None, unit: str, span: Span) -> list[Label]:
    """Names of what is kept clear: at its first place in the picture, else where its clearance reaches into it."""
    labels: list[Label] = []
    taken: list[Span] = []
    for thing in known.things if known else ():
        lines, zones = within(thing, _inner(span))
        if lines or zones:
            x, y = _on_line(lines, BAR_ENDS + WIDE * len(thing.name) / 2, span) if lines else _in_zone(zones[0], span)
            side = _reading(x, y, span)
            while any(_over(box, _letters(thing.name, x, y, side, span)) for box in taken):
                y += HIGH * (span[3] - span[1])
            taken.append(_letters(thing.name, x, y, side, span))
            at = frame.in_unit([x, y], unit, 2)
            labels.append((float(at[0]), float(at[1]), frame.plain(thing.name), 12, side))
    return labels


def _letters(text: str, x: float, y: float, side: str, span: Span) -> Span:
    """About what a name covers in the picture, written on a side of its place."""
    wide, high = WIDE * len(text) * (span[2] - span[0]), HIGH * (span[3] - span[1])
    west = {"left": x - wide, "right": x}.get(side.split()[1], x - wide / 2)
    south = y if side.startswith("top") else y - high
    return west, south, west + wide, south + high


def _over(one: Span, other: Span) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] - CLEAR and other[1] < one[3] - CLEAR


def _on_line(lines: list[Array], beside: float, span: Span) -> tuple[float, float]:
    """The first place of a line's that is over the scale bar or beside it, so that the name
    stands at its line; else over the bar.

    ``beside`` is the share of the picture's width from which on a name is.
    """
    for line in lines:
        shares = np.linspace(0.0, len(line) - 1.0, PLACES * len(line) if len(line) > 1 else 1)
        places = np.stack([np.interp(shares, np.arange(len(line)), side) for side in line.T], axis=1)
        for x, y in places:
            if _share(y, span[1], span[3]) > BAR or _share(x, span[0], span[2]) > beside:
                return float(x), float(y)
    x, y = lines[0][0]
    return float(x), max(float(y), _over_bar(span))


def _in_zone(zone: Array, span: Span) -> tuple[float, float]:
    """The middle of a zone; low in the picture its upper edge, since the scale bar stands at the foot."""
    x, y = zone.mean(axis=0)
    return (x, y) if _share(y, span[1], span[3]) > LOW else (x, max(zone[:, 1].max(), _over_bar(span)))


def _over_bar(span: Span) -> float:
    return span[1] + BAR * (span[3] - span[1])


def _reading(x: float, y: float, span: Span) -> str:
    """On which side of its place a name is written, so that it stays within the picture."""
    across = _share(x, span[0], span[2])
    side = "right" if across < NEAR else "left" if across > 1 - NEAR else "center"
    return f"{'top' if _share(y, span[1], span[3]) < 1 - LOW else 'bottom'} {side}"


def _share(value: float, low: float, high: float) -> float:
    return (value - low) / (high - low)


def _inner(span: Span) -> Span:
    west, south, east, north = span
    return west + EDGE, south + EDGE, east - EDGE, north - EDGE


PANELS: tuple[Panel, ...] = ()
BESIDE = {
    "Site": keys(
        "dig_volume fill_volume spoil_volume dig_depth steepest_dig_face edge_set_back rim_above_ground "
        "outside_survey misclosure keep_outs_entered way_spare way_stone_width area_over_limit"
    ),
}
