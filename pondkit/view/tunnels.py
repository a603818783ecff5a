"""The tunnels from the side, each way laid out straight from its mouth to the den, and from above."""

from typing import Any

import numpy as np

from pondkit.evaluate import OptionResult
from pondkit.tunnels.work import TunnelsResult
from pondkit.units import LENGTH, System, show
from pondkit.view import frame
from pondkit.view.frame import Figure
from pondkit.view.plan import extent, plan

TIMES = (1, 2, 3, 4, 5)
SHAPE = 3.0  # width over height of the picture that the exaggeration is chosen for
LOOKS = ("solid", "dash", "dot", "dashdot")


def long_section(result: OptionResult, system: System) -> Figure | None:
    """Every way from a mouth to a den, developed along its runs: pipe, water of the pool, ground; None without a way.

    Args:
        result: The option worked out.
        system: Units on show.
    """
    tunnels = result.tunnels
    if tunnels is None or not tunnels.ways:
        return None
    unit = frame.PLAN_UNIT[system]
    data: list[dict[str, Any]] = []
    notes: list[dict[str, Any]] = []
    furthest, levels = 0.0, list[float]()
    for number, way in enumerate(tunnels.ways):
        spots = np.array([spot for _, _, spot in way.nodes])
        station = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(spots[:, :2], axis=0), axis=1))])
        furthest, levels = max(furthest, float(station[-1])), [*levels, *spots[:, 2].tolist()]
        for side, name in ((-0.5, "invert"), (0.5, "crown")):
            x = np.repeat(station, 2)[1:-1]
            z = np.array(
                [
                    level
                    for i, bore in enumerate(way.bores)
                    for level in (spots[i, 2] + side * bore, spots[i + 1, 2] + side * bore)
                ]
            )
            data.append(_line(x, z, unit, frame.PIPE, LOOKS[number % len(LOOKS)], f"{way.name}: {name}"))
        data.append(
            _line(
                station,
                tunnels.ground.at(spots[:, :2]),
                unit,
                frame.GROUND,
                LOOKS[number % len(LOOKS)],
                f"{way.name}: ground as it is",
            )
        )
        levels += tunnels.ground.at(spots[:, :2]).tolist()
        for (name, kind, spot), at in zip(way.nodes, station, strict=True):
            if number == 0 or kind == "mouth":
                notes.append({"x": float(frame.in_unit(float(at), unit)), "y": float(frame.in_unit(spot[2], unit)), "text": f"{frame.plain(name)}<br>{show(spot[2], LENGTH, system, frame.DEPTH_UNIT[system])}",
                              "showarrow": True, "arrowhead": 0, "arrowwidth": 1, "ax": 0, "ay": -30 if kind != "mouth" else 30 + 34 * number, "font": {"size": 11}})  # fmt: skip
    for name, water in _waters(result, tunnels).items():
        levels.append(water)
        data.append(
            _line(
                np.array([0.0, furthest]), np.array([water, water]), unit, "#37829b", "dash", f"{name}: water at rest"
            )
        )
    low, high = min(levels), max(levels)
    room = 0.25 * (high - low) + 0.15
    height = high - low + 2 * room
    fits = [times for times in TIMES if furthest / (height * times) >= SHAPE]
    times = fits[-1] if fits else 1
    notes.append({"xref": "paper", "yref": "paper", "x": 1, "y": 0, "xanchor": "right", "yanchor": "bottom", "showarrow": False,
                  "text": f"heights drawn {times} times" if times > 1 else "heights to scale", "font": {"size": 12, "color": frame.FAINT}})  # fmt: skip
    margin = 0.05 * furthest
    x_axis = {
        "title": frame.title("along the pipe in plan, from the mouth", unit),
        "range": frame.in_unit([-margin, furthest + margin], unit).tolist(),
        "constrain": "domain",
    }
    y_axis = {
        "title": frame.title("level", unit),
        "scaleanchor": "x",
        "scaleratio": times,
        "range": frame.in_unit([low - room, high + room], unit).tolist(),
        "constrain": "domain",
    }
    return frame.figure(data, x=x_axis, y=y_axis, annotations=notes, dragmode="pan")


def from_above(result: OptionResult, system: System) -> Figure | None:
    """The plan, drawn round the tunnels only; None without a run."""
    tunnels = result.tunnels
    if tunnels is None or not tunnels.lines:
        return None
    places = np.array([spot[:2] for _, start, end, _ in tunnels.lines for spot in (start, end)])
    low, high = places.min(axis=0), places.max(axis=0)
    room = 0.12 * float((high - low).max()) + 0.5
    west, south, east, north = extent([result])
    span = (max(low[0] - room, west), max(low[1] - room, south), min(high[0] + room, east), min(high[1] + room, north))
    return plan(result, system, span=span)


def alt_long_section(result: OptionResult, system: System) -> str:
    """The long section in words."""
    tunnels = result.tunnels
    if tunnels is None or not tunnels.ways:
        return "No tunnels."
    parts = [
        ", ".join(f"{name} at {show(spot[2], LENGTH, system)}" for name, _, spot in way.nodes) for way in tunnels.ways
    ]
    return "Tunnels from the side: " + "; ".join(parts) + "."


def _waters(result: OptionResult, tunnels: TunnelsResult) -> dict[str, float]:
    """Water level of the pools that a mouth opens into [m]."""
    mouths = [spot for way in tunnels.ways for _, kind, spot in way.nodes if kind == "mouth"]
    found = {}
    for pool in result.pools:
        laid = pool.surfaces.finished
        own = laid.placed.to_own(np.array([spot[:2] for spot in mouths])) if mouths else np.zeros((0, 2))
        if len(own) and bool((laid.bowl.pool.shape.inward(own) > -laid.rim).any()):
            found[pool.name] = laid.level
    return found


def _line(x: Any, z: Any, unit: str, colour: str, dash: str, name: str) -> dict[str, Any]:
    return {"type": "scatter", "mode": "lines", "x": frame.in_unit(x, unit), "y": frame.in_unit(z, unit), "name": name, "hoverinfo": "name+x+y",
            "line": {"color": colour, "width": 2, "dash": dash}}  # fmt: skip
