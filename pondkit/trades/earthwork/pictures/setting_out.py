"""Setting out: plan of lines and points, tables for the crew's paper, and CSV."""

import csv
import io
import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from pondkit.core.caution import of_every_job
from pondkit.core.units import ANGLE, LENGTH, System, pretty, show
from pondkit.drawing import frame
from pondkit.drawing.blocks import Beside, Block, Heading, Items, Room, Table, Text
from pondkit.drawing.frame import Array, Figure, plan_layout
from pondkit.drawing.rows import TAPE_PLACES, fixed, safe, say
from pondkit.drawing.to_scale import scaled
from pondkit.drawing.traces import HALO, line_trace, points_trace
from pondkit.trades.earthwork.results import DAYLIGHT, DUG, WATERLINE, SettingOut, StakedPoint

ROOM = 0.06  # margin, as a share of the picture's width
FOOT = 0.12  # margin below for the scale bar, as a share of the height, as the baseline may be lowest
FINE = 4  # decimals in the CSV, enough for tape lengths to give back the points
NUMBERED = 5  # every fifth point of a line is numbered on the drawing, or the next with room
LABEL = 0.045  # clear space round a number, as a share of the picture's longer side
COLUMNS = 3  # of tables of points on paper
NO_TAPES = "not by tapes"
COLOURS = {
    DAYLIGHT: (frame.MARK, "solid", 2.5),
    WATERLINE: (frame.DEPTHS[4], "dash", 2.0),
    DUG: (frame.GROUND, "dot", 1.6),
}
HEADS = (
    "No.",
    "Line",
    "Tape from A",
    "Tape from B",
    "Side of A to B",
    "Crossing angle",
    "Along A to B",
    "Offset, left +",
    "East",
    "North",
    "Set out by",
)


def plan(setting_out: SettingOut | None, system: System) -> Figure | None:
    """Plan of stakes, baseline, lines and numbered points; points that tapes do not fix are hollow. None if nothing is
    set out.

    Args:
        setting_out: The setting out; None without stakes.
        system: Unit system displayed.
    """
    if setting_out is None or not setting_out.points:
        return None
    unit = frame.PLAN_UNIT[system]
    data: list[dict[str, Any]] = []
    for kind, (colour, dash, width) in COLOURS.items():
        rings = [line.ring for line in setting_out.lines if line.kind == kind]
        points = [point for point in setting_out.points if setting_out.lines[point.line].kind == kind]
        if rings:
            data.append(
                line_trace(rings, unit, colour, width, name=kind, dash=dash) | {"showlegend": True, "legendgroup": kind}
            )
            data.append(_marks(points, setting_out, kind, colour, unit, system))
    data.append(_numbers(setting_out, unit))
    ends = frame.in_unit(np.array([setting_out.stakes.a, setting_out.stakes.b], dtype=float), unit, 2)
    data.append(
        {
            "type": "scatter",
            "mode": "lines+markers+text",
            "x": ends[:, 0].tolist(),
            "y": ends[:, 1].tolist(),
            "name": "stakes A and B",
            "text": ["<b>A</b>", "<b>B</b>"],
            "textposition": "top center",
            "textfont": {"size": 15, "color": frame.INK},
            "hoverinfo": "skip",
            "line": {"color": frame.INK, "width": 1.2, "dash": "dash"},
            "marker": {"size": 11, "symbol": "square", "color": frame.INK},
            "showlegend": False,
        }
    )
    layout = plan_layout(_span(setting_out), unit, None)
    legend = frame.legend_above()
    return frame.figure(data, **layout, showlegend=True, legend=legend)


def _numbered(setting_out: SettingOut) -> list[StakedPoint]:
    """Points whose numbers are written on the drawing, chosen so that none overlap."""
    west, south, east, north = _span(setting_out)
    room = LABEL * max(east - west, north - south)
    numbered: list[StakedPoint] = []
    for line in range(len(setting_out.lines)):
        last = 0
        for point in (point for point in setting_out.points if point.line == line):
            free = all(
                math.hypot(point.east - point_before.east, point.north - point_before.north) >= room
                for point_before in numbered
            )
            if free and (not last or point.number >= last + NUMBERED):
                numbered.append(point)
                last = point.number
    return numbered


def _marks(
    points: list[StakedPoint], setting_out: SettingOut, kind: str, colour: str, unit: str, system: System
) -> dict[str, Any]:
    symbols = ["circle" if point.by_tapes else "circle-open" for point in points]
    return points_trace(
        [(point.east, point.north) for point in points],
        [frame.plain(_point_text(point, setting_out, system)) for point in points],
        unit,
        name=f"points: {kind}",
        showlegend=False,
        marker={"size": 6, "color": colour, "symbol": symbols},
    )


def _numbers(setting_out: SettingOut, unit: str) -> dict[str, Any]:
    """Numbers of points, above the markers and clear of each other."""
    numbered = _numbered(setting_out)
    places = frame.in_unit(np.array([(point.east, point.north) for point in numbered]), unit)
    return {
        "type": "scatter",
        "mode": "text",
        "x": places[:, 0].tolist(),
        "y": places[:, 1].tolist(),
        "name": "numbers",
        "text": [str(point.number) for point in numbered],
        "textposition": "top center",
        "textfont": {"size": 11, "color": frame.INK, "shadow": HALO},
        "hoverinfo": "skip",
        "showlegend": False,
    }


def _span(setting_out: SettingOut) -> tuple[float, float, float, float]:
    every: Array = np.concatenate(
        [np.array([setting_out.stakes.a, setting_out.stakes.b]), *(line.ring for line in setting_out.lines)]
    )
    low, high = every.min(axis=0), every.max(axis=0)
    room = ROOM * float((high - low).max())
    return (
        float(low[0] - room),
        float(low[1] - room - FOOT * (high - low)[1]),
        float(high[0] + room),
        float(high[1] + room),
    )


def _cells(point: StakedPoint, setting_out: SettingOut, unit: str, places: int) -> tuple[str, ...]:
    """Cells of one point, in the columns of ``HEADS``."""

    def text(value: float) -> str:
        return fixed(value, unit, places)

    tapes = (text(point.tape_a), text(point.tape_b)) if point.by_tapes else (NO_TAPES, NO_TAPES)
    how = "tapes" if point.by_tapes else "baseline and offset, or coordinates"
    return (
        str(point.number),
        setting_out.lines[point.line].name,
        *tapes,
        point.side,
        f"{point.crossing:.0f}",
        text(point.along),
        text(point.offset),
        text(point.east),
        text(point.north),
        how,
    )


def _point_text(point: StakedPoint, setting_out: SettingOut, system: System) -> str:
    unit = frame.PLAN_UNIT[system]
    cells = _cells(point, setting_out, unit, TAPE_PLACES[system])
    tapes = f"A {cells[2]} {unit}, B {cells[3]} {unit}" if point.by_tapes else NO_TAPES + " from these stakes"
    angle = show(point.crossing, ANGLE, system)
    return (
        f"{cells[0]}, {cells[1]}: {tapes}, {_side(point.side)}, crossing {angle}; along {cells[6]}, offset "
        f"{cells[7]} {unit}"
    )


def _side(side: str) -> str:
    return "on the baseline" if side == "on" else f"{side} of the baseline"


def alt_plan(setting_out: SettingOut | None, system: System) -> str:
    """The setting out in words."""
    if setting_out is None or not setting_out.points:
        return "Nothing is set out: enter two stakes."
    lines = "; ".join(f"{line.name}, {len(line.points)} points" for line in setting_out.lines)
    flat = sum(not point.by_tapes for point in setting_out.points)
    base = setting_out.baseline_length
    apart = f" {show(base.value, LENGTH, system)} apart" if base else ""
    return (
        f"Setting out from stakes A and B{apart}: {lines}. {flat} of {len(setting_out.points)} points not by tapes "
        "from these stakes."
    )


def setting_out_csv(setting_out: SettingOut | None, system: System) -> str:
    """Stakes and points as CSV, one per row, all lengths in the plan's unit, starting with a UTF-8 byte order mark as
    the takeoff does.
    """
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\r\n")
    unit = frame.PLAN_UNIT[system]
    plain = ("No.", "Line", "Side of A to B", "Set out by")
    writer.writerow(
        safe(head if head in plain else f"{head} [{'°' if 'angle' in head else pretty(unit)}]" for head in HEADS)
    )
    if setting_out is not None and setting_out.points:
        for name, (east, north) in (("A", setting_out.stakes.a), ("B", setting_out.stakes.b)):
            writer.writerow(
                safe(
                    (
                        name,
                        "stake",
                        "",
                        "",
                        "",
                        "",
                        "",
                        "",
                        fixed(east, unit, FINE),
                        fixed(north, unit, FINE),
                        "coordinates",
                    )
                )
            )
        for point in setting_out.points:
            writer.writerow(safe(_cells(point, setting_out, unit, FINE)))
    return "\ufeff" + buffer.getvalue()


def printed(setting_out: SettingOut | None, system: System, room: Room) -> tuple[Block, ...]:
    """Lines to scale and the table of their points for the crew's paper, with cautions except those of every job;
    empty if nothing is set out.

    Args:
        setting_out: The setting out; None without stakes.
        system: Unit system displayed.
        room: Space on the paper for the drawing.
    """
    figure_plan = plan(setting_out, system)
    if setting_out is None or figure_plan is None:
        return ()
    figures = [figure for _, figure in setting_out.entries()]
    every = [
        figure_caution for figure in figures for figure_caution in figure.cautions if not of_every_job(figure_caution)
    ]
    heed = tuple(dict.fromkeys(say(caution, system) for caution in every))
    columns: list[list[Block]] = [[] for _ in range(COLUMNS)]
    counts = [0] * COLUMNS
    for index in range(len(setting_out.lines)):
        points = [point for point in setting_out.points if point.line == index]
        least = counts.index(min(counts))
        columns[least] += _line_table(points, setting_out, system)
        counts[least] += len(points) + 4
    return (
        *scaled(figure_plan, system, alt_plan(setting_out, system), room),
        Text(
            "Full line: where the dig meets the ground, marked first; dashed: waterline as finished; dotted: edges "
            "and trenches as dug, of a tier where the face down to it begins, of a pit as drawn at its top. Hollow "
            "points: not by tapes. Points run anticlockwise, about every fifth has its number. "
            + " ".join(_staked(setting_out, system)),
            look="small",
        ),
        *((Items(heed),) if heed else ()),
        Beside(tuple(tuple(column) for column in columns), (1.0,) * COLUMNS),
    )


def _line_table(points: list[StakedPoint], setting_out: SettingOut, system: System) -> Iterator[Block]:
    """Points of one line, given by two lengths each: tapes from both stakes if these fix every point and all lie on
    one side, else baseline and offset.
    """
    unit, places = frame.PLAN_UNIT[system], TAPE_PLACES[system]
    sides = {point.side for point in points}
    taped = all(point.by_tapes for point in points) and len(sides) == 1
    yield Heading(setting_out.lines[points[0].line].name, 2)
    if taped:
        head = ("No.", f"Tape A, {unit}", f"Tape B, {unit}")
        rows = [(str(p.number), fixed(p.tape_a, unit, places), fixed(p.tape_b, unit, places)) for p in points]
        yield Text(f"By tapes, all {_side(points[0].side)}.", look="small")
    else:
        head = ("No.", f"Along, {unit}", f"Offset, {unit}")
        rows = [(str(p.number), fixed(p.along, unit, places), fixed(p.offset, unit, places)) for p in points]
        yield Text("Along A to B, then square to it: left +, right -.", look="small")
    yield Table(head, tuple(rows), (0, 1, 2))


def _staked(setting_out: SettingOut, system: System) -> Iterator[str]:
    """Places of the stakes, and the meaning of tapes, sides and offsets."""
    unit, places = frame.PLAN_UNIT[system], TAPE_PLACES[system]
    for name, (east, north) in (("A", setting_out.stakes.a), ("B", setting_out.stakes.b)):
        yield (
            f"Stake {name} stands {fixed(east, unit, places)} {unit} east, {fixed(north, unit, places)} {unit} north "
            "of the site's origin."
        )
    if setting_out.baseline_length:
        yield f"Stake A to stake B: {fixed(setting_out.baseline_length.value, unit, places)} {unit}."
    yield (
        f"Lengths are decimals of {unit}, tapes held level. Left and right as seen from A towards B; a point left of "
        f"the baseline has its offset +, "
        "right of it -. East and north from the site's origin. Stakes A and B are not the ends A and B of the section."
    )
