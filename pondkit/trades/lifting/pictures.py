"""Chart of every lift against radius, with its text in words; the machine on the plan; and the panels of the trade."""

from typing import Any

import numpy as np

from pondkit.core.entry import Entry
from pondkit.core.remembered import remembered
from pondkit.core.units import LENGTH, SHARE, System, magnitude, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Array, Figure, Panel, keys
from pondkit.drawing.traces import HALO, outlined
from pondkit.trades.lifting.results import LiftingResult

PHASES = (
    ("pick-up", "triangle-up", frame.PIPE),
    ("swing", "diamond-open", frame.FAINT),
    ("set", "circle", frame.INK),
)
PER_CENT = "%"
ROOM = 1.12  # width and height of the chart over its greatest radius and use
CORNERS = 180  # of a circle as it is drawn
TRACKS_MARK = 1.2  # m: length of the line that shows which way the tracks face


def lift_loads(lifting: LiftingResult | None, system: System) -> Figure | None:
    """Chart of the load of every lift in each phase, in percent of the load chart, against radius; None if there is
    none.

    Args:
        lifting: Result of the lift plan; None if there is none.
        system: Unit system displayed.
    """
    if lifting is None or not lifting.lifts or lifting.reach is None:
        return None
    unit = frame.PLAN_UNIT[system]
    phases = (lifting.pick_use, lifting.swing_use, lifting.place_use)
    data = [_phase_markers(lifting, index, figures, system) for index, figures in enumerate(phases)]
    limit, full = (magnitude(value, SHARE, PER_CENT, system) for value in (lifting.limit, 1.0))
    near, far = (float(frame.in_unit(value, unit, 2)) for value in lifting.reach)
    right, top = far * ROOM, max(full, *(use for trace in data for use in trace["y"])) * ROOM
    return frame.figure(
        data,
        x={"title": frame.title("radius", unit), "range": [0, right]},
        y={"title": frame.title("lift load, of the chart", PER_CENT), "range": [0, top]},
        shapes=[
            frame.straight((0, right), (limit, limit), frame.FAINT, 1.5, dash="dash"),
            frame.straight((0, right), (full, full), frame.MARK, 1.5, dash="solid"),
            *(frame.straight((radius, radius), (0, top), frame.GROUND, 1.5, dash="dot") for radius in (near, far)),
        ],
        annotations=[
            frame.note(0, limit, " own limit", 11, frame.INK, xanchor="left", yanchor="bottom"),
            frame.note(0, full, " rating", 11, frame.MARK, xanchor="left", yanchor="bottom"),
            frame.note(far, 0, "end of the chart ", 11, frame.INK, xanchor="right", yanchor="bottom"),
        ],
        showlegend=True,
        legend=frame.legend_above(),
    )


def _phase_markers(lifting: LiftingResult, phase: int, figures: tuple[Entry, ...], system: System) -> dict[str, Any]:
    """Markers of one phase of all lifts, by its index in ``PHASES``."""
    name, symbol, colour = PHASES[phase]
    unit = frame.PLAN_UNIT[system]
    return {
        "type": "scatter",
        "mode": "markers",
        "name": name,
        "hoverinfo": "text",
        "x": [float(frame.in_unit(lift.phases[phase].radius, unit, 2)) for lift in lifting.lifts],
        "y": [round(magnitude(figure.value, SHARE, PER_CENT, system), 2) for figure in figures],
        "hovertext": [
            frame.plain(
                f"{lift.load.subject} from {lifting.positions[lift.position].name}, {name}: "
                f"{show(figure.value, SHARE, system)} at {show(lift.phases[phase].radius, LENGTH, system)}"
            )
            for lift, figure in zip(lifting.lifts, figures, strict=True)
        ],
        "marker": {"size": 11 - phase, "color": colour, "symbol": symbol, "line": {"width": 1.5}},
    }


def alt_lift_loads(lifting: LiftingResult | None, system: System) -> str:
    """The lifts in words, in setting order."""
    if lifting is None or not lifting.lifts:
        return "No lifts computed."
    text = "; ".join(
        f"{lift.load.subject} from {lifting.positions[lift.position].name}, "
        f"{show(lift.phases.at_set.radius, LENGTH, system)} out: {show(lift.use, SHARE, system)} of the chart at most"
        for lift in lifting.lifts
    )
    return f"Lifts in setting order, against a limit of {show(lifting.limit, SHARE, system)}: {text}."


@remembered
def on_plan(
    lifting: LiftingResult | None, unit: str, system: System, span: tuple[float, float, float, float]
) -> list[dict[str, Any]]:
    """The machine on the plan at each position: the reach of its chart as circles, the way its tracks face, and its
    staging area; empty without a lift plan.

    Args:
        lifting: Result of the lift plan; None if there is none.
        unit, system: Unit and unit system of the plan.
        span: (west, south, east, north) edge of the plan [m], where the circles end.
    """
    if lifting is None or not lifting.positions:
        return []
    lines = []
    for name, place, facing_deg, pick_up in lifting.positions:
        name_text = frame.plain(name)
        if lifting.reach:
            angles = np.linspace(0.0, 2 * np.pi, CORNERS + 1)
            for radius, kind in zip(lifting.reach, ("least radius", "reach"), strict=True):
                circle = np.stack([place[0] + radius * np.cos(angles), place[1] + radius * np.sin(angles)], axis=1)
                label = f"{name_text}: {kind} {show(radius, LENGTH, system)}"
                lines += [(arc, label) for arc in _within(circle, span)]
        ahead = np.array([np.sin(np.radians(facing_deg)), np.cos(np.radians(facing_deg))]) * TRACKS_MARK
        lines.append((np.array([place, np.array(place) + ahead]), f"{name_text}: tracks face this way"))
        lines.append((np.array([pick_up, place]), f"{name_text}: to its staging area"))
    data = [outlined(lines, unit, "machine reach", {"color": frame.MARK, "width": 1.2, "dash": "dot"})]
    both = np.array([spot for _, place, _, pick_up in lifting.positions for spot in (place, pick_up)])
    places = frame.in_unit(both, unit, 2)
    count = len(lifting.positions)
    data.append(
        {
            "type": "scatter",
            "mode": "markers+text",
            "x": places[:, 0],
            "y": places[:, 1],
            "name": "machine",
            "text": [text for name, *_ in lifting.positions for text in (frame.plain(name), "")],
            "textposition": "bottom center",
            "textfont": {"size": 12, "color": frame.MARK, "shadow": HALO},
            "hoverinfo": "text",
            "hovertext": [
                text
                for name, *_ in lifting.positions
                for text in (f"machine at {frame.plain(name)}", f"staging area of {frame.plain(name)}")
            ],
            "marker": {
                "symbol": ["square-cross", "hexagon-open"] * count,
                "size": [15, 11] * count,
                "color": frame.MARK,
                "line": {"width": 2},
            },
        }
    )
    return data


def _within(line: Array, span: tuple[float, float, float, float]) -> list[Array]:
    """The pieces of a line, each of shape (n, 2) [m], that lie within the edges of a plan."""
    west, south, east, north = span
    inside = (line[:, 0] >= west) & (line[:, 0] <= east) & (line[:, 1] >= south) & (line[:, 1] <= north)
    cuts = np.flatnonzero(np.diff(inside.astype(int))) + 1
    return [
        piece
        for piece, is_inside in zip(np.split(line, cuts), np.split(inside, cuts), strict=True)
        if is_inside[0] and len(piece) > 1
    ]


PANELS = (
    Panel(
        "Lifts",
        "Lifting",
        lift_loads,
        alt_lift_loads,
        ("lifting",),
        ("lifting",),
        keys(
            "boulders_not_lifted lift_turn lift_radius pick_use swing_use place_use set_back_spare way_out_stones "
            "chart_rated"
        ),
        340,
    ),
)
BESIDE = {
    "Lifting": keys(
        "boulders_not_lifted heaviest_boulder lift_turn lift_radius pick_use swing_use place_use set_back_spare "
        "way_out_stones"
    ),
}
