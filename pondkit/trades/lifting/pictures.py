"""Chart of every lift against radius, and the machine in plan."""

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
    ("place", "circle", frame.INK),
)
PER_CENT = "%"
ROOM = 1.12
ROUND = 180  # corners of a circle
HEAD = 1.2  # m: length of the marker of the tracks' direction


def uses(lifting: LiftingResult | None, system: System) -> Figure | None:
    """Chart of lift load, percent of chart, against radius in each phase of every lift; None if there is none.

    Args:
        lifting: The lift plan; None without any.
        system: Unit system displayed.
    """
    if lifting is None or not lifting.lifts or lifting.reach is None:
        return None
    unit = frame.PLAN_UNIT[system]
    phases = (lifting.pick_use, lifting.swing_use, lifting.place_use)
    data = [_phase(lifting, index, figures, system) for index, figures in enumerate(phases)]
    limit, full = (magnitude(value, SHARE, PER_CENT, system) for value in (lifting.limit, 1.0))
    near, far = (float(frame.in_unit(value, unit, 2)) for value in lifting.reach)
    right, top = far * ROOM, max(full, *(use for trace in data for use in trace["y"])) * ROOM
    return frame.figure(
        data,
        x={"title": frame.title("radius", unit), "range": [0, right]},
        y={"title": frame.title("use of the chart", PER_CENT), "range": [0, top]},
        shapes=[
            frame.straight((0, right), (limit, limit), frame.FAINT, 1.5, dash="dash"),
            frame.straight((0, right), (full, full), frame.MARK, 1.5, dash="solid"),
            *(frame.straight((index, index), (0, top), frame.GROUND, 1.5, dash="dot") for index in (near, far)),
        ],
        annotations=[
            frame.note(0, limit, " own limit", 11, frame.INK, xanchor="left", yanchor="bottom"),
            frame.note(0, full, " rating", 11, frame.MARK, xanchor="left", yanchor="bottom"),
            frame.note(far, 0, "end of the chart ", 11, frame.INK, xanchor="right", yanchor="bottom"),
        ],
        showlegend=True,
        legend=frame.legend_above(),
    )


def _phase(lifting: LiftingResult, phase_index: int, figures: tuple[Entry, ...], system: System) -> dict[str, Any]:
    """Loads in one phase of all lifts, by its index in ``PHASES``, against radius."""
    name, symbol, colour = PHASES[phase_index]
    unit = frame.PLAN_UNIT[system]
    return {
        "type": "scatter",
        "mode": "markers",
        "name": name,
        "hoverinfo": "text",
        "x": [float(frame.in_unit(lift.phases[phase_index].radius, unit, 2)) for lift in lifting.lifts],
        "y": [round(magnitude(figure.value, SHARE, PER_CENT, system), 2) for figure in figures],
        "hovertext": [
            frame.plain(
                f"{lift.load.subject} from {lifting.spots[lift.position][0]}, {name}: "
                f"{show(figure.value, SHARE, system)} at {show(lift.phases[phase_index].radius, LENGTH, system)}"
            )
            for lift, figure in zip(lifting.lifts, figures, strict=True)
        ],
        "marker": {"size": 11 - phase_index, "color": colour, "symbol": symbol, "line": {"width": 1.5}},
    }


def alt_uses(lifting: LiftingResult | None, system: System) -> str:
    """The lifts in words, in the order of setting."""
    if lifting is None or not lifting.lifts:
        return "No lifts worked out."
    text = "; ".join(
        f"{lift.load.subject} from {lifting.spots[lift.position][0]}, {show(lift.phases[2].radius, LENGTH, system)} "
        f"out: {show(lift.use, SHARE, system)} of the chart at most"
        for lift in lifting.lifts
    )
    return f"Lifts in the order of setting, against a limit of {show(lifting.limit, SHARE, system)}: {text}."


@remembered
def on_plan(
    lifting: LiftingResult | None, unit: str, system: System, span: tuple[float, float, float, float]
) -> list[dict[str, Any]]:
    """The machine in plan: its reach as circles, its direction, and staging areas; empty without a lift plan.

    Args:
        lifting: The lift plan; None without any.
        unit, system: Unit and unit system of the plan.
        span: West, south, east, north of the plan [m]: the circles end there.
    """
    if lifting is None or not lifting.spots:
        return []
    rings = []
    for name, place, facing, pick in lifting.spots:
        name_text = frame.plain(name)
        if lifting.reach:
            turn = np.linspace(0.0, 2 * np.pi, ROUND + 1)
            for radius, kind in zip(lifting.reach, ("least radius", "reach"), strict=True):
                ring = np.stack([place[0] + radius * np.cos(turn), place[1] + radius * np.sin(turn)], axis=1)
                label = f"{name_text}: {kind} {show(radius, LENGTH, system)}"
                rings += [(piece, label) for piece in _within(ring, span)]
        ahead = np.array([np.sin(np.radians(facing)), np.cos(np.radians(facing))]) * HEAD
        rings.append((np.array([place, np.array(place) + ahead]), f"{name_text}: tracks face this way"))
        rings.append((np.array([pick, place]), f"{name_text}: stones wait here"))
    data = [outlined(rings, unit, "machine reach", {"color": frame.MARK, "width": 1.2, "dash": "dot"})]
    spots = frame.in_unit(np.array([spot for _, place, _, pick in lifting.spots for spot in (place, pick)]), unit, 2)
    count = len(lifting.spots)
    data.append(
        {
            "type": "scatter",
            "mode": "markers+text",
            "x": spots[:, 0],
            "y": spots[:, 1],
            "name": "machine",
            "text": [text for name, _, _, _ in lifting.spots for text in (frame.plain(name), "")],
            "textposition": "bottom center",
            "textfont": {"size": 12, "color": frame.MARK, "shadow": HALO},
            "hoverinfo": "text",
            "hovertext": [
                text
                for name, _, _, _ in lifting.spots
                for text in (f"machine at {frame.plain(name)}", f"stones wait for {frame.plain(name)}")
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


def _within(ring: Array, span: tuple[float, float, float, float]) -> list[Array]:
    """The pieces of a line that lie within a plan."""
    west, south, east, north = span
    inside = (ring[:, 0] >= west) & (ring[:, 0] <= east) & (ring[:, 1] >= south) & (ring[:, 1] <= north)
    cuts = np.flatnonzero(np.diff(inside.astype(int))) + 1
    return [
        piece
        for piece, is_inside in zip(np.split(ring, cuts), np.split(inside, cuts), strict=True)
        if is_inside[0] and len(piece) > 1
    ]


PANELS = (
    Panel(
        "Lifts",
        "Lifting",
        uses,
        alt_uses,
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
