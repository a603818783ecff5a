"""What clearances draw on the plan: keep-outs with their clearances, the way in, machines and booms."""

from typing import Any

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Array, Panel, keys
from pondkit.drawing.traces import Label, fill_trace, outlined
from pondkit.geometry.footprint import area_within, within
from pondkit.trades.clearances.results import ClearancesResult

ZONE = "rgba(163,59,32,0.10)"
WAY = "rgba(90,90,80,0.18)"
SWEPT = "rgba(180,140,40,0.12)"
EDGE = 0.01  # m: lines end so far inside the picture's edge
# Shares of the picture's height or width, for names that keep off the scale bar at its foot on the left.
FOOT = 0.2  # height of the part in which the scale bar stands
BAR_HEIGHT = 0.1  # height up to which the bar's own letters reach
BAR_END = 0.26  # width at which the bar ends
LETTER_WIDTH, LINE_HEIGHT = 0.0135, 0.05  # of a letter, and of a line of text
SIDE = 0.25  # width of the strip at each side in which a name is written towards the middle
PLACES = 12  # along each side of a line at which its name may stand
OVERLAP = 1e-6  # m: two names that overlap by less do so by rounding
Span = tuple[float, float, float, float]  # west, south, east, north [m]


@remembered
def constraint_traces(result: ClearancesResult | None, unit: str, system: System, span: Span) -> list[dict[str, Any]]:
    """Traces of keep-outs, of their clearances and of the way in, within the picture: one of each sort."""
    if result is None:
        return []
    # Areas answer no pointer: a click on them is meant for the pool below.
    data = []
    box = _inner(span)
    if result.way and (area := area_within(result.way, box)):
        data.append(fill_trace(area, unit, WAY, "way in"))
    visible = [(keep_out, *within(keep_out, box)) for keep_out in result.keep_outs]
    zones = [zone for _, _, zones in visible for zone in zones]
    if zones:
        edge = {"line": {"width": 1.0, "color": frame.MARK, "dash": "dot"}}
        data.append(fill_trace(zones, unit, ZONE, "clearances") | edge)
    lines = [
        (
            line,
            f"{keep_out.kind} {frame.plain(keep_out.name)}, {show(keep_out.clearance, LENGTH, system)} to keep clear",
        )
        for keep_out, lines, _ in visible
        for line in lines
    ]
    if lines:
        marks = {"mode": "lines+markers", "marker": {"size": 5, "color": frame.INK}}
        data.append(outlined(lines, unit, "keep-outs", {"width": 2.0, "color": frame.INK}) | marks)
    return data


def machine_traces(result: ClearancesResult | None, unit: str, span: Span) -> list[dict[str, Any]]:
    """Footprints of machines and areas swept by booms within the picture, as one trace."""
    machines = result.machines if result else ()
    swept = [ring for machine in machines for ring in area_within(machine, _inner(span))]
    edge = {"line": {"width": 1.0, "color": frame.FAINT, "dash": "dash"}}
    return [fill_trace(swept, unit, SWEPT, "machines and booms") | edge] if swept else []


@remembered
def constraint_labels(result: ClearancesResult | None, unit: str, span: Span) -> list[Label]:
    """Names of keep-outs, at their first place in the picture or where their clearance enters it."""
    labels: list[Label] = []
    covered: list[Span] = []
    for keep_out in result.keep_outs if result else ():
        lines, zones = within(keep_out, _inner(span))
        if lines or zones:
            x, y = (
                _name_on_line(lines, BAR_END + LETTER_WIDTH * len(keep_out.name) / 2, span)
                if lines
                else _name_in_zone(zones[0], span)
            )
            side = _side_of_name(x, y, span)
            while any(_overlap(box, _extent_of_name(keep_out.name, x, y, side, span)) for box in covered):
                y += LINE_HEIGHT * (span[3] - span[1])
            covered.append(_extent_of_name(keep_out.name, x, y, side, span))
            point = frame.in_unit([x, y], unit, 2)
            labels.append((float(point[0]), float(point[1]), frame.plain(keep_out.name), 12, side))
    return labels


def _extent_of_name(text: str, x: float, y: float, side: str, span: Span) -> Span:
    """Approximate extent of a name in the picture, written on one side of its place."""
    wide, high = LETTER_WIDTH * len(text) * (span[2] - span[0]), LINE_HEIGHT * (span[3] - span[1])
    west = {"left": x - wide, "right": x}.get(side.split()[1], x - wide / 2)
    south = y if side.startswith("top") else y - high
    return west, south, west + wide, south + high


def _overlap(first: Span, second: Span) -> bool:
    return (
        first[0] < second[2]
        and second[0] < first[2]
        and first[1] < second[3] - OVERLAP
        and second[1] < first[3] - OVERLAP
    )


def _name_on_line(lines: list[Array], beside: float, span: Span) -> tuple[float, float]:
    """The first place on the lines that is above the scale bar or beside it; else one above the bar [m].

    ``beside``: share of the picture's width beyond which the name is beside the bar.
    """
    for line in lines:
        shares = np.linspace(0.0, len(line) - 1.0, PLACES * len(line) if len(line) > 1 else 1)
        places = np.stack([np.interp(shares, np.arange(len(line)), side) for side in line.T], axis=1)
        for x, y in places:
            if _share(y, span[1], span[3]) > BAR_HEIGHT or _share(x, span[0], span[2]) > beside:
                return float(x), float(y)
    x, y = lines[0][0]
    return float(x), max(float(y), _above_bar(span))


def _name_in_zone(zone: Array, span: Span) -> tuple[float, float]:
    """Centre of a zone, or its upper edge where the centre is near the scale bar [m]."""
    x, y = zone.mean(axis=0)
    return (x, y) if _share(y, span[1], span[3]) > FOOT else (x, max(zone[:, 1].max(), _above_bar(span)))


def _above_bar(span: Span) -> float:
    return span[1] + BAR_HEIGHT * (span[3] - span[1])


def _side_of_name(x: float, y: float, span: Span) -> str:
    """Side of its place on which a name is written, so that it stays in the picture."""
    across = _share(x, span[0], span[2])
    side = "right" if across < SIDE else "left" if across > 1 - SIDE else "center"
    return f"{'top' if _share(y, span[1], span[3]) < 1 - FOOT else 'bottom'} {side}"


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
