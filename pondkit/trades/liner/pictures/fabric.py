"""Rolls of underlay and overlay: what is cut off each, and what is left."""

from typing import Any

from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure
from pondkit.trades.liner.results import Fabrics, RollPiece

HIGH = 0.72  # of a row: a roll's width
TALL = 3  # so many rolls have room for lines of words one under the other
LETTERS = 80  # side by side along the longest roll
LOOKS = (
    ("strip", frame.FABRIC, {"color": "#ffffff", "width": 1.5}),
    ("pad", frame.PIPE, {"color": "#ffffff", "width": 1}),
    ("left over", frame.PAPER, {"color": frame.FAINT, "width": 1, "dash": "dot"}),
)


def cuts(fabrics: Fabrics | None, system: System) -> Figure | None:
    """Rolls one under the other, unrolled, each as high as it is wide; None where there are none.

    Args:
        fabrics: Rolls of both fabrics; None where there are none.
        system: Units on show.
    """
    rows = _rows(fabrics)
    if not rows:
        return None
    unit = frame.PLAN_UNIT[system]
    longest = max(length for _, _, length, _ in rows)
    boxes: dict[str, list[tuple[int, float, RollPiece]]] = {kind: [] for kind, _, _ in LOOKS}
    for row, (_, width, _, pieces) in enumerate(rows):
        for kind, piece in pieces:
            boxes[kind].append((row, width, piece))
    data = [_boxes(kind, colour, line, boxes[kind], unit, system) for kind, colour, line in LOOKS if boxes[kind]]
    notes = [
        {
            "x": float(frame.in_unit(piece.x + piece.along / 2, unit)),
            "y": row - HIGH / 2 + HIGH * (piece.y + piece.across / 2) / width,
            "text": ("<br>" if len(rows) <= TALL else " ").join(said),
            "showarrow": False,
            "font": {"size": 11, "color": "#000000" if kind == "strip" else frame.INK},
        }
        for kind in ("strip", "left over")
        for row, width, piece in boxes[kind]
        for said in [_said(piece, system, unit)]
        if piece.across >= width / 2
        and LETTERS * piece.along / longest >= (max(map(len, said)) if len(rows) <= TALL else sum(map(len, said)) + 2)
    ]
    return frame.figure(
        data,
        x={
            "title": frame.title("along the roll, from its free end", unit),
            "range": [0, float(frame.in_unit(longest, unit)) * 1.02],
        },
        y={
            "tickvals": list(range(len(rows))),
            "ticktext": [name for name, *_ in rows],
            "range": [len(rows) - 0.5, -0.5],
            "automargin": True,
            "ticks": "",
            "showgrid": False,
        },
        annotations=notes,
        showlegend=True,
        legend={"orientation": "h", "y": 1.02, "yanchor": "bottom"},
        margin={"l": 48, "r": 10, "t": 28, "b": 36},
    )


def alt_cuts(fabrics: Fabrics | None, system: System) -> str:
    """The rolls in words."""

    def one(piece: RollPiece) -> str:
        return f"{piece.what} {show(piece.along, LENGTH, system)} by {show(piece.across, LENGTH, system)}"

    lines = [
        f"{name}: {', '.join(one(piece) for kind, piece in pieces if kind != 'left over')}; left over: "
        + (", ".join(one(piece) for kind, piece in pieces if kind == "left over") or "nothing")
        for name, _, _, pieces in _rows(fabrics)
    ]
    return "Rolls of fabric and what is cut off each. " + ". ".join(lines) + "."


def _rows(fabrics: Fabrics | None) -> list[tuple[str, float, float, list[tuple[str, RollPiece]]]]:
    """(name, width, length [m], what it is cut into) of each roll."""
    return [
        (
            f"{side} roll {number}",
            float(fabric.roll_width),
            float(fabric.roll_length),
            [
                *(("pad" if piece.pad else "strip", piece) for piece in roll.pieces),
                *(("left over", piece) for piece in roll.offcuts),
            ],
        )
        for side, fabric, found in (fabrics.cuts if fabrics else ())
        for number, roll in enumerate(found.rolls, 1)
    ]


def _said(piece: RollPiece, system: System, unit: str) -> list[str]:
    """What stands on a piece, line by line: its liner, its number, its length."""
    name, strip, number = piece.what.rpartition(" strip ")
    size = show(piece.along, LENGTH, system, unit)
    return [frame.plain(name), f"strip {number}, {size}"] if strip else [frame.plain(piece.what), size]


def _boxes(
    kind: str, colour: str, line: dict[str, Any], boxes: list[tuple[int, float, RollPiece]], unit: str, system: System
) -> dict[str, Any]:
    x: list[float | None] = []
    y: list[float | None] = []
    said: list[str] = []
    for row, width, piece in boxes:
        left, right = (float(frame.in_unit(at, unit)) for at in (piece.x, piece.x + piece.along))
        top, foot = (row - HIGH / 2 + HIGH * at / width for at in (piece.y, piece.y + piece.across))
        x += [left, right, right, left, left, None]
        y += [top, top, foot, foot, top, None]
        text = f"{frame.plain(piece.what)}: {show(piece.along, LENGTH, system)} × {show(piece.across, LENGTH, system)}"
        said += [text] * 6
    return {
        "type": "scatter",
        "mode": "lines",
        "x": x,
        "y": y,
        "fill": "toself",
        "fillcolor": colour,
        "line": line,
        "name": kind,
        "hoveron": "points",
        "hovertext": said,
        "hoverinfo": "text",
    }
