"""Pictures of the liners, each with its text in words, and the panels that show them: a liner lying flat, with its
panels, seams and the pools seen from above; the rolls of underlay and overlay, with what is cut from each and what is
left.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np

from pondkit.core.entry import Entry
from pondkit.core.kinds import nothing
from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Array, Figure, Panel, keys
from pondkit.drawing.rows import by_tape
from pondkit.drawing.traces import points_trace, ring_trace
from pondkit.geometry.site_surface import ring_outside
from pondkit.trades.liner.edge import STRETCHES
from pondkit.trades.liner.results import Fabrics, LinerResult, Panels, RollPiece, Seam
from pondkit.trades.stone.inputs import Boulder

SEAM_LABEL_UP = 11  # px that the label of a seam stands above its band
MOST_LABELLED = 3  # seams labelled with place and depth; if there are more, only with the number used in the figures
LABEL_ROOM = 0.1  # of the liner's length: shorter stretches of rim have no room for a label
Place = tuple[float, float]
NamedPlaces = Sequence[tuple[str, Place]]
Box = tuple[float, float, float, float]  # x and y of a corner, width, height [m]


def layout(
    result: LinerResult,
    system: System,
    *,
    lap: float,
    folds: Sequence[Entry] = (),
    passes: NamedPlaces = (),
    stones: NamedPlaces = (),
) -> Figure:
    """One liner as ordered, lying flat, measured from its lower left corner.

    Args:
        result: The liner.
        system: Unit system displayed.
        lap: Lap of panels at a seam [m].
        folds: Excess liner in folds, by stretches of the rims.
        passes, stones: (name, place on the site [m]) of each penetration and each boulder.
    """
    unit = frame.PLAN_UNIT[system]
    length, width = result.liner_length_order.value, result.liner_width_order.value
    net_corner = np.array([(length - result.liner_length.value) / 2, (width - result.liner_width.value) / 2])
    bands, seam_labels = _seam_bands(result.panels, lap, unit, system)
    data = [
        *_sizes(result, net_corner, unit, system),
        *_pools(result, net_corner, unit),
        _fold_markers(result, net_corner, folds, unit, system),
        *_places_on_it(result, net_corner, passes, stones, unit),
        *bands,
    ]
    labels = [
        _label((length / 2, 0.0), unit, show(length, LENGTH, system, unit), shift=-13),
        _label((0.0, width / 2), unit, show(width, LENGTH, system, unit), turn=-90, left=-13),
        *_panel_labels(result.panels, unit, system),
        *seam_labels,
    ]
    room = 0.06 * max(length, width)
    x = {
        "title": frame.title("along the liner, from its corner; pools seen from above", unit),
        "range": frame.in_unit([-room, length + room], unit).tolist(),
        "constrain": "domain",
    }
    y = {
        "title": frame.title("across", unit),
        "range": frame.in_unit([-room, width + room], unit).tolist(),
        "scaleanchor": "x",
        "scaleratio": 1,
        "constrain": "domain",
    }
    return frame.figure(data, x=x, y=y, annotations=labels, dragmode="pan")


def sheet(
    liner: LinerResult | None,
    lap: float | None,
    folds: Sequence[Entry],
    passes: Sequence[tuple[str, tuple[float, float, float]]] | None,
    boulders: Sequence[Boulder] | None,
    system: System,
) -> Figure | None:
    """One liner of an option, lying flat, with the folds at its rims and the pipe and stone on it; None without a
    liner.

    Args:
        liner: The liner.
        lap: Lap of panels at a seam [m]; None only without a liner.
        folds: Excess liner in folds, by stretches of the rims.
        passes: (name, place on the site [m]) of each penetration by pipe.
        boulders: Inputs of the boulders.
        system: Unit system displayed.
    """
    if liner is None or lap is None:
        return None
    stones = [
        (boulder.name, (float(x), float(y)))
        for boulder in boulders or ()
        if boulder.pool in liner.footprint.names
        for x, y in boulder.places
    ]
    through = [(name, (place[0], place[1])) for name, place in passes or ()]
    return layout(liner, system, lap=lap, folds=folds, passes=through, stones=stones)


# Beginning of a trace's name in the layout, and what its lines or marks are, in words for the legend under it.
LEGEND = (
    ("net: ", "dashed within it: the size that is needed"),
    ("anchor trench", "dots: centre line of the anchor trench"),
    ("seam ", "bands across the sheet: laps of seams"),
    ("penetrations", "rings: penetrations by pipe"),
    ("boulders", "black dots: boulders that stand on it"),
)
FOLDED = "triangles: excess liner in folds along this stretch of the rim (with a minus: drawn tight)"


def legend(figure: Figure) -> str:
    """What the lines and marks of a layout are, in words for under it."""
    names = [str(trace.get("name", "")) for trace in figure["data"]]
    folded = any(trace.get("name") == "liner in folds" and any(trace["text"]) for trace in figure["data"])
    parts = [words for start, words in LEGEND if any(name.startswith(start) for name in names)]
    return "; ".join(["Outer line: the sheet as ordered, its pools seen from above", *parts, *[FOLDED] * folded]) + "."


def alt_sheet(liner: LinerResult | None, system: System) -> str:
    """The layout in words; "" without a liner."""
    return alt_layout(liner, system) if liner else ""


def alt_layout(result: LinerResult, system: System) -> str:
    """The layout in words."""
    count = round(result.panel_count.value)
    length, width = (show(side.value, LENGTH, system) for side in (result.liner_length_order, result.liner_width_order))
    size = f"{length} by {width}"
    panels = "; ".join(
        f"panel {panel.name} from {panel.stock}, "
        f"{show(panel.along, LENGTH, system)} by {show(panel.across, LENGTH, system)}"
        for panel in result.panels.pieces
    )
    text = f" In the order in which they go down: {panels}." if panels else ""
    text += " The anchor trench goes round all of its pools." if result.footprint.trench is not None else ""
    return f"Liner {result.name} as ordered, {size}, in {count} panel{'s' if count > 1 else ''}.{text}"


def _sizes(result: LinerResult, net_corner: Array, unit: str, system: System) -> list[dict[str, Any]]:
    """The rectangle as ordered, with the net one in its middle."""
    ordered = result.liner_length_order.value, result.liner_width_order.value
    net = result.liner_length.value, result.liner_width.value
    names = (
        f"{kind}: {show(along, LENGTH, system, unit)} × {show(across, LENGTH, system, unit)}"
        for kind, (along, across) in (("as ordered", ordered), ("net", net))
    )
    x, y = net_corner.tolist()
    return [
        _box((0.0, 0.0, *ordered), unit, next(names), fill="#e9e4d8"),
        _box((x, y, *net), unit, next(names), dash="dash"),
    ]


def _pools(result: LinerResult, net_corner: Array, unit: str) -> list[dict[str, Any]]:
    """Rims and waterlines, and the anchor trench."""
    data = []
    for name, ring, rim in _pool_rings(result):
        title, colour = ("rim", frame.GROUND) if rim else ("waterline", "#37829b")
        data.append(_ring(ring + net_corner, unit, f"{frame.plain(name)}: {title}", colour, fill=not rim))
    if result.footprint.trench is not None:
        ring = result.footprint.axes.to_own(result.footprint.trench.points) - _net_corner_on_axes(result) + net_corner
        data.append(_ring(ring, unit, "anchor trench, centre line", frame.INK, fill=False, dash="dot"))
    return data


def _panel_labels(panels: Panels, unit: str, system: System) -> list[dict[str, Any]]:
    """Label of each panel: its number and size."""
    labels = []
    for panel in panels.pieces:
        size = f"{show(panel.along, LENGTH, system, unit)} × {show(panel.across, LENGTH, system, unit)}"
        text = f"<b>{frame.plain(panel.name)}: {size}</b>"
        labels.append(_label((panel.x + panel.along * 0.7, panel.y + panel.across / 2), unit, text))
    return labels


def _seam_bands(
    panels: Panels, lap: float, unit: str, system: System
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """(a band as wide as its lap, label) of each seam."""
    bands, labels = [], []
    crowded = len(panels.seams) > MOST_LABELLED
    for number, seam in enumerate(panels.seams, 1):
        along_seam = seam.start + seam.length * 0.3
        place = (along_seam, seam.place) if seam.along else (seam.place, along_seam)
        depth = "above the highest water"
        if seam.depth > 0:
            depth = f"{by_tape(seam.depth, system)} below the highest water"
        text = f"at {by_tape(seam.place, system)}, {depth}"
        bands.append(_seam_band(seam, f"seam {number} {text}, lap {show(lap, LENGTH, system)}", lap, unit))
        label, colour = f"{number}" if crowded else f"seam {text}", frame.MARK if seam.depth > 0 else frame.INK
        labels.append(_label(place, unit, label, colour=colour, shift=SEAM_LABEL_UP if seam.along else 0))
    return bands, labels


def _fold_markers(
    result: LinerResult, net_corner: Array, folds: Sequence[Entry], unit: str, system: System
) -> dict[str, Any]:
    """A marker at the middle of each stretch of a rim, its size in proportion to the excess liner in folds there."""
    by_subject = {fold.subject: fold for fold in folds}
    rims: dict[str, Array] = {}
    for name, ring, _ in _pool_rings(result):
        rims.setdefault(name, ring + net_corner)  # a pool's rim comes before its waterline
    places, texts, sizes, labels = [], [], [], []
    for name, ring in rims.items():
        rim_folds = [
            fold
            for number in range(1, STRETCHES + 1)
            if (fold := by_subject.get(f"{result.name} / {name}, stretch {number}"))
        ]
        along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(ring, axis=0), axis=1)))
        roomy = (
            along[-1] / STRETCHES >= LABEL_ROOM * result.liner_length_order.value
        )  # else only the greatest are labelled with their amount
        for number, fold in enumerate(rim_folds):
            distance = (number + 0.5) / STRETCHES * along[-1]
            places.append(
                (float(np.interp(distance, along, ring[:, 0])), float(np.interp(distance, along, ring[:, 1])))
            )
            kind = "in folds" if fold.value >= 0 else "drawn tight"
            amount = by_tape(abs(fold.value), system)
            texts.append(f"{frame.plain(name)}: {amount} {kind} along this stretch of the rim")
            sizes.append(5 + 12 * min(abs(fold.value), 1.0))
            labelled = not nothing(fold.value, LENGTH) and (
                roomy or abs(fold.value) >= max(abs(of_stretch.value) for of_stretch in rim_folds) * 0.75
            )
            labels.append(f"{'' if fold.value >= 0 else '−'}{amount}" if labelled else "")
    return points_trace(
        places,
        texts,
        unit,
        mode="markers+text",
        name="liner in folds",
        text=labels,
        textposition="top center",
        textfont={"size": 11, "color": frame.INK},
        marker={"symbol": "triangle-up-open", "size": sizes, "color": frame.INK, "line": {"width": 1.5}},
    )


def _places_on_it(
    result: LinerResult, net_corner: Array, passes: NamedPlaces, stones: NamedPlaces, unit: str
) -> list[dict[str, Any]]:
    """Penetrations and boulders at their places in plan."""
    looks = (("penetrations", passes, "circle-open", frame.MARK), ("boulders", stones, "circle", frame.STONE))
    traces = []
    for kind, named_places, symbol, colour in looks:
        if not named_places:
            continue
        on_site = np.array([place for _, place in named_places], dtype=float)
        places = result.footprint.axes.to_own(on_site) - _net_corner_on_axes(result)
        on = np.all((places >= 0) & (places <= [result.liner_length.value, result.liner_width.value]), axis=1).tolist()
        names = [frame.plain(name) for (name, _), is_here in zip(named_places, on, strict=True) if is_here]
        traces.append(
            points_trace(
                places[on] + net_corner,
                [f"{kind[:-1]} {name}" for name in names],
                unit,
                mode="markers+text",
                name=kind,
                text=names,
                textposition="top center",
                textfont={"size": 11, "color": frame.INK},
                marker={"symbol": symbol, "size": 9, "color": colour, "line": {"width": 2}},
            )
        )
    return traces


def _pool_rings(result: LinerResult) -> list[tuple[str, Array, bool]]:
    """(pool, line of shape (n, 2) from the net liner's corner [m], True for its rim) of the rim and the waterline of
    every pool in plan.
    """
    footprint, corner = result.footprint, _net_corner_on_axes(result)
    return [
        (name, footprint.axes.to_own(ring_outside(surface, outside)) - corner, outside > 0)
        for name, surface in zip(footprint.names, footprint.surfaces, strict=True)
        for outside in (surface.rim, 0.0)
    ]


def _net_corner_on_axes(result: LinerResult) -> Array:
    """Lower left corner of the net liner in its own axes, if it is centred over the rims: (x, y) [m]."""
    footprint = result.footprint
    rims = np.concatenate([footprint.axes.to_own(ring_outside(surface, surface.rim)) for surface in footprint.surfaces])
    size = np.array([result.liner_length.value, result.liner_width.value])
    return np.asarray((rims.min(axis=0) + rims.max(axis=0)) / 2 - size / 2)


def _box(box: Box, unit: str, name: str, *, fill: str = "", dash: str = "solid") -> dict[str, Any]:
    x, y, wide, high = box
    ring = np.array([[x, y], [x + wide, y], [x + wide, y + high], [x, y + high], [x, y]])
    look: dict[str, Any] = {"fill": "toself", "fillcolor": fill} if fill else {}
    line = {"color": frame.LINER, "width": 1.5, "dash": dash}
    return ring_trace([ring], unit, name, hoverinfo="name", line=line, **look)


def _ring(ring: Array, unit: str, name: str, colour: str, *, fill: bool, dash: str = "solid") -> dict[str, Any]:
    look: dict[str, Any] = {"fill": "toself", "fillcolor": "rgba(138,194,199,0.35)"} if fill else {}
    line = {"color": colour, "width": 1.5, "dash": dash}
    return ring_trace([np.concatenate([ring[::4], ring[:1]])], unit, name, hoverinfo="name", line=line, **look)


def _seam_band(seam: Seam, text: str, lap: float, unit: str) -> dict[str, Any]:
    """A band as wide as the seam's lap."""
    low, high = seam.place - lap / 2, seam.place + lap / 2
    box = (seam.start, low, seam.length, high - low) if seam.along else (low, seam.start, high - low, seam.length)
    return _box(
        box,
        unit,
        text,
        fill="rgba(163,59,32,0.35)" if seam.depth > 0 else "rgba(60,63,69,0.35)",
    )


def _label(
    place: Place, unit: str, text: str, *, shift: int = 0, left: int = 0, turn: int = 0, colour: str = frame.INK
) -> dict[str, Any]:
    return {
        "x": float(frame.in_unit(place[0], unit)),
        "y": float(frame.in_unit(place[1], unit)),
        "text": text,
        "showarrow": False,
        "yshift": shift,
        "xshift": left,
        "textangle": turn,
        "font": {"size": 12, "color": colour},
        "bgcolor": "rgba(255,255,255,0.75)",
    }


ROLL_HEIGHT = 0.72  # of a row: the width of a roll as it is drawn
FEW_ROLLS = 3  # up to this number there is room for several lines of text on a piece
LETTERS = 80  # that fit side by side along the longest roll
LOOKS = (
    ("strip", frame.FABRIC, {"color": "#ffffff", "width": 1.5}),
    ("pad", frame.PIPE, {"color": "#ffffff", "width": 1}),
    ("left over", frame.PAPER, {"color": frame.FAINT, "width": 1, "dash": "dot"}),
)


def cuts(fabrics: Fabrics | None, system: System) -> Figure | None:
    """Rolls of fabric one below the other, unrolled, with what is cut from each; None if there are none.

    Args:
        fabrics: Rolls of both fabrics; None if there are none.
        system: Unit system displayed.
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
            "y": row - ROLL_HEIGHT / 2 + ROLL_HEIGHT * (piece.y + piece.across / 2) / width,
            "text": ("<br>" if len(rows) <= FEW_ROLLS else " ").join(lines),
            "showarrow": False,
            "font": {"size": 11, "color": "#000000" if kind == "strip" else frame.INK},
        }
        for kind in ("strip", "left over")
        for row, width, piece in boxes[kind]
        for lines in [_piece_lines(piece, system, unit)]
        if piece.across >= width / 2
        and LETTERS * piece.along / longest
        >= (max(map(len, lines)) if len(rows) <= FEW_ROLLS else sum(map(len, lines)) + 2)
    ]
    return frame.figure(
        data,
        x={
            "title": frame.title("along the roll, from its free end", unit),
            "range": [0, float(frame.in_unit(longest, unit)) * 1.02],
        },
        y=frame.row_axis([name for name, *_ in rows]),
        annotations=notes,
        showlegend=True,
        legend=frame.legend_above(),
        margin={"l": 48, "r": 10, "t": 28, "b": 36},
    )


def alt_cuts(fabrics: Fabrics | None, system: System) -> str:
    """The rolls in words."""

    def piece_text(piece: RollPiece) -> str:
        return f"{piece.name} {show(piece.along, LENGTH, system)} by {show(piece.across, LENGTH, system)}"

    lines = [
        f"{name}: {', '.join(piece_text(piece) for kind, piece in pieces if kind != 'left over')}; left over: "
        + (", ".join(piece_text(piece) for kind, piece in pieces if kind == "left over") or "nothing")
        for name, _, _, pieces in _rows(fabrics)
    ]
    return "Rolls of fabric and what is cut from each. " + ". ".join(lines) + "."


def _rows(fabrics: Fabrics | None) -> list[tuple[str, float, float, list[tuple[str, RollPiece]]]]:
    """(name, width, length [m], pieces) of each roll."""
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
        for side, fabric, plan in (fabrics.cuts if fabrics else ())
        for number, roll in enumerate(plan.rolls, 1)
    ]


def _piece_lines(piece: RollPiece, system: System, unit: str) -> list[str]:
    """Lines of text on a piece: its liner, its number, its length."""
    name, strip, number = piece.name.rpartition(" strip ")
    size = show(piece.along, LENGTH, system, unit)
    return [frame.plain(name), f"strip {number}, {size}"] if strip else [frame.plain(piece.name), size]


def _boxes(
    kind: str, colour: str, line: dict[str, Any], boxes: list[tuple[int, float, RollPiece]], unit: str, system: System
) -> dict[str, Any]:
    x: list[float | None] = []
    y: list[float | None] = []
    hover: list[str] = []
    for row, width, piece in boxes:
        left, right = (float(frame.in_unit(x_end, unit)) for x_end in (piece.x, piece.x + piece.along))
        top, foot = (row - ROLL_HEIGHT / 2 + ROLL_HEIGHT * y_end / width for y_end in (piece.y, piece.y + piece.across))
        x += [left, right, right, left, left, None]
        y += [top, top, foot, foot, top, None]
        text = f"{frame.plain(piece.name)}: {show(piece.along, LENGTH, system)} × {show(piece.across, LENGTH, system)}"
        hover += [text] * 6
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
        "hovertext": hover,
        "hoverinfo": "text",
    }


LAYOUT = Panel(
    "Liner layout",
    "Liner",
    sheet,
    alt_sheet,
    (
        "sheet",
        "option.lining.seam_lap",
        "lining.extras.rim_fold",
        "tunnels.penetration_places",
        "option.stone.boulders",
    ),
    ("sheet",),
    keys(
        "liner_length liner_width liner_area liner_length_order liner_width_order liner_area_order liner_waste "
        "liner_mass carriers rule_length rule_width rule_shortfall panel_count seam_length seam_depth plan_cost "
        "rolls_to_buy panel_mass panel_carriers panel_seam_length panel_seam_depth offcut_area "
        "link_strip_length link_strip_width rim_fold trench_edge edge_spare edge_above_soil trench_volume "
        "liner_uplift uplift_pressure gravel_holds stone_holds"
    ),
)
FABRIC = Panel(
    "Fabric by the roll",
    "Liner",
    cuts,
    alt_cuts,
    ("lining.fabrics",),
    ("lining.fabrics",),
    keys(
        "underlay_area_order underlay_pad_order underlay_rolls overlay_area_order overlay_pad_order "
        "overlay_rolls fabric_roll_run pads_from_offcuts pads_off_roll fabric_offcut_area fabric_offcut "
        "pad_area burrow_pad_area"
    ),
    320,
)
PANELS = (LAYOUT, FABRIC)
BESIDE = {
    "Liner": keys(
        "liner_length liner_width liner_area_order liner_mass carriers panel_count seam_length seam_depth "
        "rule_shortfall underlay_area_order overlay_area_order"
    ),
}
