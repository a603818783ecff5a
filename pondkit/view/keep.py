"""What is kept clear of on a plan: keep-outs with their clearances, and the way in; a trace a kind."""

from typing import Any

from pondkit.evaluate import OptionResult
from pondkit.surface.kept import area_within, within
from pondkit.units import LENGTH, System, show
from pondkit.view import frame
from pondkit.view.frame import Array
from pondkit.view.traces import Label, fill_trace, outlined

ZONE = "rgba(163,59,32,0.10)"
WAY = "rgba(90,90,80,0.18)"
SWEPT = "rgba(180,140,40,0.12)"
EDGE = 0.01  # m inside the picture's edge that lines end
LOW = 0.2  # share of the picture's height in which the scale bar stands
BAR = 0.1  # share of it up to the bar's own letters
NEAR = 0.25  # share of its width at which a name is written away from the edge
Span = tuple[float, float, float, float]


def kept_traces(result: OptionResult, unit: str, system: System, span: Span) -> list[dict[str, Any]]:
    """What is kept clear of with its clearances, and the way in, as far as they lie in the picture: a trace each for all of a kind."""
    known = result.kept
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
        for thing, lines, _ in shown for line in lines
    ]  # fmt: skip
    if lines:
        marks = {"mode": "lines+markers", "marker": {"size": 5, "color": frame.INK}}
        data.append(outlined(lines, unit, "keep-outs", {"width": 2.0, "color": frame.INK}) | marks)
    return data


def machine_traces(result: OptionResult, unit: str, span: Span) -> list[dict[str, Any]]:
    """What machines take up and their booms sweep, as far as it lies in the picture: one trace."""
    machines = result.kept.machines if result.kept else ()
    swept = [ring for one in machines for ring in area_within(one, _inner(span))]
    edge = {"line": {"width": 1.0, "color": frame.FAINT, "dash": "dash"}}
    return [fill_trace(swept, unit, SWEPT, "machines and booms") | edge] if swept else []


def kept_labels(result: OptionResult, unit: str, span: Span) -> list[Label]:
    """Names of what is kept clear: at the first place of each in the picture, else where its clearance reaches into it."""
    labels = []
    for thing in result.kept.things if result.kept else ():
        lines, zones = within(thing, _inner(span))
        if lines or zones:
            x, y = lines[0][0] if lines else _in_zone(zones[0], span)
            y = max(y, _over_bar(span))
            at = frame.in_unit([x, y], unit, 2)
            labels.append((float(at[0]), float(at[1]), frame.plain(thing.name), 12, _reading(x, y, span)))
    return labels


def _in_zone(zone: Array, span: Span) -> tuple[float, float]:
    """The middle of a zone; low in the picture its upper edge, since the scale bar stands at the foot."""
    x, y = zone.mean(axis=0)
    return (x, y) if _share(y, span[1], span[3]) > LOW else (x, zone[:, 1].max())


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
