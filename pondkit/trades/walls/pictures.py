"""Walls in section: courses, backfill, water behind, and where the resultant passes each joint."""

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from pondkit.core.units import LENGTH, RATIO, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure, Panel, keys
from pondkit.drawing.traces import Label, outlined, written
from pondkit.trades.walls.results import WallSection, WallsResult

ROOM = 0.35  # of a wall's height: soil shown behind it, and air round it
ARROW = 0.4  # of a wall's height: length of the resultant's arrow
SOIL = "rgba(185,163,126,0.35)"
WATER = "rgba(92,164,179,0.45)"


@dataclass
class _Parts:
    """Parts of the section of several walls: closed lines with texts, markers of resultants, and names."""

    stones: list[Any] = field(default_factory=list)
    soils: list[Any] = field(default_factory=list)
    waters: list[Any] = field(default_factory=list)
    arrows: list[Any] = field(default_factory=list)
    marks: list[tuple[float, float, str]] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)


def sections(walls: WallsResult | None, system: System) -> Figure | None:
    """Section of all walls side by side, their fronts to the left; None if none is worked out.

    Args:
        walls: The walls; None without any.
        system: Unit system displayed.
    """
    if walls is None or not walls.drawn:
        return None
    unit = frame.PLAN_UNIT[system]
    parts = _Parts()
    start, highest = 0.0, 0.0
    for wall in walls.drawn:
        end, high = _add(wall, start, parts, system)
        highest = max(highest, high)
        start += end + wall.boxes[-1].high * ROOM
    room = highest * ROOM
    low, high = (frame.in_unit(list(pair), unit, 2) for pair in ((-room, -room), (start, highest + room)))
    return frame.figure(
        _traces(parts, unit),
        x={
            "title": frame.title("back from the toe", unit),
            "range": [float(low[0]), float(high[0])],
            "constrain": "domain",
        },
        y={
            "title": frame.title("over the base", unit),
            "range": [float(low[1]), float(high[1])],
            "scaleanchor": "x",
            "scaleratio": 1,
            "constrain": "domain",
        },
    )


def _add(wall: WallSection, start: float, parts: _Parts, system: System) -> tuple[float, float]:
    """Add a wall to the picture, its toe at ``start`` [m]. Returns (its width with backfill, its height) [m]."""
    label, top = frame.plain(wall.name), wall.boxes[-1].high
    wide = max(box.back for box in wall.boxes)
    end = wide + top * (1 + ROOM)
    shift = np.array([start, 0.0])
    back = _back(wall, start, end)
    parts.soils.append((back, f"{label}: backfill"))
    if wall.water > 0:
        level = [[wide, 0.0], [end, 0.0], [end, wall.water], [wide, wall.water]]
        text = f"{label}: water {show(wall.water, LENGTH, system)} high behind it, pool empty"
        parts.waters.append((np.array(level) + shift, text))
    for number, box in enumerate(wall.boxes):
        ring = [
            [box.front, box.low],
            [box.back, box.low],
            [box.back, box.high],
            [box.front, box.high],
            [box.front, box.low],
        ]
        parts.stones.append((np.array(ring) + shift, f"{label}: course {number + 1}"))
    parts.marks += [
        (start + point[0], point[1], f"{label}: the resultant passes here at course {number + 1}")
        for number, point in enumerate(wall.resultants)
        if point
    ]
    if base := wall.resultants[0]:
        parts.arrows.append((_arrow(wall, base, start, top), f"{label}: resultant on the base"))
    x, y = frame.in_unit([start, top * (1 + ROOM / 2)], frame.PLAN_UNIT[system], 2)
    parts.labels.append((float(x), float(y), f"<b>{label}</b>", 13, "top right"))
    return end, max(top, float(back[:, 1].max()))


def _traces(parts: _Parts, unit: str) -> list[dict[str, Any]]:
    """The parts of all walls, one trace per kind, from the soil at the back to the names in front."""
    points = frame.in_unit(np.array([mark[:2] for mark in parts.marks]).reshape(-1, 2), unit, 3)
    thin, water = {"width": 0.0, "color": frame.GROUND}, {"width": 0.0, "color": "#37829b"}
    ink = {"width": 1.2, "color": frame.INK}
    data = [outlined(parts.soils, unit, "backfill", thin, fill="toself", fillcolor=SOIL)]
    if parts.waters:
        data.append(outlined(parts.waters, unit, "water behind", water, fill="toself", fillcolor=WATER))
    return [
        *data,
        outlined(parts.stones, unit, "courses", ink, fill="toself", fillcolor=frame.STONE),
        outlined(parts.arrows, unit, "resultant on the base", {"width": 2.5, "color": frame.MARK}),
        {
            "type": "scatter",
            "mode": "markers",
            "name": "resultant at each joint",
            "x": points[:, 0],
            "y": points[:, 1],
            "hoverinfo": "text",
            "hovertext": [text for _, _, text in parts.marks],
            "marker": {"size": 9, "color": frame.MARK, "line": {"width": 1.5, "color": "#ffffff"}},
        },
        written(parts.labels),
    ]


def _back(wall: WallSection, start: float, end: float) -> frame.Array:
    """Outline of the backfill: behind the courses, below its slope."""
    top = wall.boxes[-1]
    corners = [[end, 0.0]]
    for box in wall.boxes:
        corners += [[box.back, box.low], [box.back, box.high]]
    corners.append([end, top.high + (end - top.back) * math.tan(math.radians(wall.slope))])
    return np.asarray(np.array([*corners, corners[0]]) + np.array([start, 0.0]))


def _arrow(wall: WallSection, base: tuple[float, float], start: float, top: float) -> frame.Array:
    """An arrow that ends where the resultant meets the base, with a head."""
    back, up = base
    force = np.array(wall.base_force)
    along = -force / float(np.hypot(*force))
    tip = np.array([start + back, up])
    side = np.array([-along[1], along[0]])
    head = [tip - along * top * 0.1 + sign * side * top * 0.05 for sign in (1, -1)]
    return np.array([tip - along * top * ARROW, tip, head[0], tip, head[1]])


def alt_sections(walls: WallsResult | None, system: System) -> str:
    """The walls in words."""
    if walls is None or not walls.drawn:
        return "No walls worked out."
    lines = []
    for wall in walls.drawn:
        over = min(figure.value for figure in walls.wall_overturning if figure.subject.startswith(f"{wall.name} / "))
        slide = min(figure.value for figure in walls.wall_sliding if figure.subject.startswith(f"{wall.name} / "))
        lines.append(
            f"{wall.name}, {show(wall.boxes[-1].high, LENGTH, system)} high in {len(wall.boxes)} courses: least "
            f"safety {show(over, RATIO, system)} against overturning, {show(slide, RATIO, system)} against sliding"
        )
    return (
        "Walls in section, water behind and the pool empty: " + "; ".join(lines) + ". Overall stability is not checked."
    )


PANELS = (
    Panel(
        "Walls in section",
        "Walls",
        sections,
        alt_sections,
        ("walls",),
        ("walls",),
        keys(
            "walls_unsafe wall_height wall_volume wall_stone_order total_wall_stone_order wall_overturning "
            "wall_sliding wall_eccentricity toe_pressure heel_pressure wall_thrust wall_pressure_share"
        ),
        360,
    ),
)
BESIDE = {
    "Walls": keys("walls_unsafe wall_height wall_overturning wall_sliding wall_eccentricity toe_pressure"),
}
