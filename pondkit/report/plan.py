"""The plan: depth shading, contours, stone, links, pipe, section line, north and scale; the site plan with ground,
survey points, keep-outs and the way in; and marks where something must be acted on.
"""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any, Literal, NamedTuple

import numpy as np

from pondkit.core.caution import ACT, Caution
from pondkit.core.remembered import remembered
from pondkit.core.result import Result
from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Array, Figure, plan_layout
from pondkit.drawing.labels import width_of
from pondkit.drawing.rows import by_rule, say
from pondkit.drawing.traces import (
    Label,
    Lines,
    aside_trace,
    fill_trace,
    joined,
    line_trace,
    node_marks,
    outlined,
    pipe_trace,
    ring_trace,
    together,
    written,
)
from pondkit.geometry.footprint import rings
from pondkit.geometry.site_surface import Rings, level_depths, rim_rings, rings_at, section_line
from pondkit.geometry.terrain import Mesh
from pondkit.geometry.trench import bed_of
from pondkit.study.evaluate import OptionResult
from pondkit.trades.clearances.pictures import constraint_labels, constraint_traces, machine_traces
from pondkit.trades.clearances.results import ClearancesResult
from pondkit.trades.earthwork.pictures.excavation import (
    Works,
    all_works,
    alt_works,
    works_labels,
    works_points,
    works_traces,
)
from pondkit.trades.earthwork.results import StreamBeds
from pondkit.trades.ground.pictures import ground_traces
from pondkit.trades.lifting import pictures as lifting
from pondkit.trades.pools.inputs import Link
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.results import StoneResult
from pondkit.trades.tunnels.results import TunnelsResult

Spot = tuple[float, float]
MOST_TOLD = 3  # most cautions written out in the text of a mark


def faults_at(result: OptionResult) -> dict[Spot, list[Caution]]:
    """Cautions of rank 'act' by their place on the site [m], each once at a place.

    Only of parts that the plan shows anyway, so that a drag computes nothing more: pools, stone, passages, walls and
    keep-outs.
    """
    stones = result.stone, result.bearing, result.seating, result.stone_on_works
    parts = (*result.pools, *stones, result.tunnels, result.walls, result.clearances)
    return _marks(tuple(part for part in parts if part), result.clearances, tuple(_places(result)))


@remembered
def _marks(
    parts: tuple[Result, ...], clearances: ClearancesResult | None, subject_places: tuple[tuple[str, Spot], ...]
) -> dict[Spot, list[Caution]]:
    places = dict(subject_places)
    marks: dict[Spot, list[Caution]] = {}
    for part in parts:
        for subject, each in _to_act_on(part):
            spot = places.get(subject) or _beside(clearances, subject, places)
            if spot and each not in marks.get(spot, ()):
                marks.setdefault(spot, []).append(each)
    return marks


@remembered
def _to_act_on(part: Result) -> tuple[tuple[str, Caution], ...]:
    """(subject, caution) of rank 'act' of all figures, for every subject that a caution concerns."""
    return tuple(
        (subject, each)
        for _, figure in part.entries()
        for each in figure.cautions
        if isinstance(each, Caution) and each.rank == ACT
        for subject in each.about or (figure.subject,)
    )


def _beside(clearances: ClearancesResult | None, subject: str, places: dict[str, Spot]) -> Spot | None:
    """Place of a figure whose subject has two parts, "dig / keep-out": the point of the keep-out nearest to the other
    part, else the place of the first part.
    """
    first, _, second = subject.partition(" / ")
    keep_outs = [each for each in (clearances.keep_outs if clearances else ()) if each.name == second]
    place = places.get(first.removeprefix("outer bank of "))
    if not keep_outs:
        return place
    return keep_outs[0].nearest(place or next(iter(places.values()), (0.0, 0.0)))


def _places(result: OptionResult) -> Iterator[tuple[str, Spot]]:
    """(subject, place on the site [m]) of the parts that figures belong to."""
    for pool in result.pools:
        yield pool.name, pool.surfaces.finished.pole
    for kind in result.stone.kinds if result.stone else ():
        for number, place in enumerate(kind.boulder.places, 1):
            centre = float(place[0]), float(place[1])
            if number == 1:
                yield kind.boulder.name, centre
            yield f"{kind.boulder.name} {number}", centre
    for wall in result.option.walls.walls if result.option.walls else ():
        if wall.points:
            yield wall.name, (float(wall.points[0][0]), float(wall.points[0][1]))
    if result.option.earth and result.option.earth.berm:
        east, north = result.option.earth.berm.at
        yield "berm", (float(east), float(north))
    if result.tunnels:
        for name, start, end, _ in result.tunnels.lines:
            yield name, ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        for node in result.tunnels.places:
            yield node[0], (node[-1][0], node[-1][1])
        for subject, spot in result.tunnels.penetration_places:
            yield subject, (spot[0], spot[1])


def act_marks(
    result: OptionResult, unit: str, system: System, span: tuple[float, float, float, float]
) -> list[dict[str, object]]:
    """One trace of the marks within west, south, east and north limits [m]; empty if there is nothing to act on."""
    west, south, east, north = span
    marks = {
        (x, y): cautions for (x, y), cautions in faults_at(result).items() if west < x < east and south < y < north
    }
    if not marks:
        return []
    metres = frame.magnitude_of(unit)
    texts = [_mark_text(cautions, system) for cautions in marks.values()]
    return [
        {
            "type": "scatter",
            "mode": "markers+text",
            "name": "to act on",
            "x": [x / metres for x, _ in marks],
            "y": [y / metres for _, y in marks],
            "text": ["!"] * len(marks),
            "textposition": "middle center",
            "textfont": {"color": "#ffffff", "size": 13},
            "marker": {"symbol": "circle", "size": 18, "color": frame.MARK, "line": {"color": "#ffffff", "width": 1.5}},
            "hovertext": texts,
            "hoverinfo": "text",
            "cliponaxis": False,
        }
    ]


def _mark_text(cautions: Sequence[Caution], system: System) -> str:
    """Text of a mark: its first cautions, and how many more there are."""
    sentences = [frame.plain(say(each, system)) for each in cautions[:MOST_TOLD]]
    further = len(cautions) - len(sentences)
    return "<br>".join([*sentences, *([f"and {further} more to act on, in the table of figures"] if further else [])])


Span = tuple[float, float, float, float]  # west, south, east, north [m]
Look = Literal["crew", "client", "bare", "screen"]
BLANK: Span = (-7.0, -5.0, 7.0, 5.0)  # limits of an empty plan
ROOM = 0.06  # margin round the pond, as a share of the picture's width
LEVEL_EDGE = "rgba(255,255,255,0.8)"
MOST_BANDS = 7  # of shading
STEPS: dict[System, tuple[float, ...]] = {"us": (1, 2, 3, 4, 6, 12, 24, 36), "si": (2, 5, 10, 20, 25, 50, 100)}


def works_of(result: OptionResult) -> Works:
    """Excavations besides the pools, and heaped soil."""
    return all_works(result.structures, result.stream_beds, result.earth)


def deepest(results: list[OptionResult]) -> float:
    """Greatest depth in all options [m], at which the colour scale ends."""
    return max((pool.max_depth.value for result in results for pool in result.pools), default=1.0)


def plan(
    result: OptionResult,
    system: System,
    *,
    chosen: int | None = None,
    section: tuple[tuple[float, float], tuple[float, float]] | None = None,
    scale_to: float | None = None,
    span: Span | None = None,
    look: Look = "crew",
) -> Figure:
    """The plan of one option. Water deeper than the site's depth limit has a dashed line round it.

    Args:
        result: The evaluated option.
        system: Unit system displayed.
        chosen: Index of the chosen pool, which has a heavier waterline.
        section: Section line on the site [m]; None to draw none.
        scale_to: Depth [m] at the dark end of the colour scale; the option's greatest depth if left out.
        span: West, south, east and north limits to show [m]; round the pools if left out.
        look: "crew" includes the machine's positions and reach; "client" leaves them out; "bare", for a small plan
            beside others, leaves out labels too; "screen" is "crew" filling the place on the page.
    """
    unit, scale, limit = frame.PLAN_UNIT[system], scale_to or deepest([result]), result.site.depth_limit
    bands = tuple(depth_bands(scale, system))
    pools = [_pool(pool, system, bands, limit, chosen == pool.index) for pool in result.pools]
    rims = together(pool.rim for pool in pools)
    data = [line_trace((), unit, frame.GROUND, 1.2, dash="dot", name="rim") | rims]
    data += _depths(pools, bands, unit, system, scale)
    edges = {"hovertext": [text for pool in pools for text in pool.hover], **together(pool.edges for pool in pools)}
    data.append(outlined([], unit, "level parts", {"color": LEVEL_EDGE, "width": 1.2}) | edges)
    data += [pool.waterline for pool in pools]
    bare, crew = look == "bare", look in ("crew", "screen")
    span = span or extent([result], crew=crew)
    labels = [label for pool in pools for label in _clear(pool.words, section, span, unit)]
    if limit is not None and any(pool.max_depth.value > limit for pool in result.pools):
        name = f"deeper than {by_rule((limit,), system)}"
        beyond = together(pool.beyond for pool in pools)
        data.append(line_trace((), unit, frame.MARK, 1.6, dash="dash", name=name) | beyond)
    reach = _widened(span) if look == "screen" else span
    data += _objects(result, unit, system, bare)
    if crew:
        data += lifting.on_plan(result.lifting, unit, system, reach)
    data += constraint_traces(result.clearances, unit, system, reach)
    labels += works_labels(works_of(result), result.pools, unit)
    labels += constraint_labels(result.clearances, unit, span)
    if labels and not bare:
        data.append(written(labels))
    if crew:
        data += act_marks(result, unit, system, reach)
    layout = plan_layout(span, unit, section, fills=look == "screen")
    if bare:
        layout["x"]["title"] = layout["y"]["title"] = {"text": ""}
        layout["margin"] = {"l": 30, "r": 4, "t": 4, "b": 22}
    return frame.figure(data, **layout)


# Legend below a printed plan, by the beginnings of its traces' names.
LEGEND = (
    ("to act on", "!: to settle before the work, as listed"),
    ("rim", "fine dots: rim of the bank"),
    ("deeper than ", "dashes in the water: {}"),
    ("edging", "grey band: edging stones"),
    ("boulders", "grey shapes in or by the water: boulders"),
    ("links", "light strip with an arrow: fall or stream"),
    ("bodies and walls", "grey boxes: basin, pit, filter, walls"),
    ("holes of ", "dots round them: what is dug for them"),
    ("berm and outer bank", "areas within a plain line beside or round the pools: berm, and bank outside a rim"),
    ("way in", "pale strip: way in"),
    ("clearances", "dotted areas: to be kept clear"),
)


def legend(figure: Figure) -> str:
    """Legend of a plan in words, for below it: its lines and shapes."""
    names = [str(trace.get("name", "")) for trace in figure["data"]]
    entries = ["Numbers in the water: its depth there"]
    for start, words in LEGEND:
        entries += [words.format(name) for name in names if name.startswith(start)][:1]
    return "; ".join(entries) + "."


class PoolDrawing(NamedTuple):
    """The drawing of one pool on the plan: rim, areas of each depth band and below, edges of level parts with the text
    of each of their points, area deeper than the limit, waterline, and its words: for each depth and for its name the
    labels at the places where it may stand, the best one first.
    """

    rim: Lines
    bands: tuple[Lines, ...]
    edges: Lines
    hover: tuple[str, ...]
    beyond: Lines
    waterline: dict[str, Any]
    words: tuple[tuple[Label, ...], ...]


@remembered
def _pool(pool: PoolResult, system: System, bands: tuple[float, ...], limit: float | None, chosen: bool) -> PoolDrawing:
    """A pool as drawn; remembered, so that in a drag only the pool that moves is drawn again."""
    unit, finished, called = frame.PLAN_UNIT[system], pool.surfaces.finished, frame.plain(pool.name)
    edges: list[Array] = []
    hover: list[str] = []
    words: list[tuple[Label, ...]] = []
    for number, depth in enumerate(level_depths(finished)):
        rings = rings_at(finished, depth)
        text = show(depth, LENGTH, system, frame.DEPTH_UNIT[system])
        edges += rings
        hover += [f"{called}: level at {text} deep"] * sum(len(ring) + 1 for ring in rings)
        if rings:
            words.append(_depth_labels(rings, by_rule((depth,), system), unit, number))
    waterline = rings_at(finished, 0.0)
    return PoolDrawing(
        rim=joined(rim_rings(pool.surfaces.liner), unit),
        bands=tuple(joined(rings_at(finished, depth), unit) for depth in bands),
        edges=joined(edges, unit),
        hover=tuple(hover),
        beyond=joined(() if limit is None else rings_at(finished, limit), unit),
        waterline=_waterline(pool, waterline, unit, system, chosen),
        words=(*words, _names(called, waterline, unit)),
    )


def _depths(
    pools: list[PoolDrawing], bands: tuple[float, ...], unit: str, system: System, scale: float
) -> list[dict[str, Any]]:
    """Depth shading: one trace per band for all pools, since every trace costs time in a drag."""
    data = []
    for number, (upper, lower) in enumerate(pairwise([*bands, max(scale, bands[-1])])):
        places = together(pool.bands[number] for pool in pools)
        if places["x"]:
            name = f"{show(upper, LENGTH, system, frame.DEPTH_UNIT[system])} deep and more"
            data.append(fill_trace((), unit, frame.shade((upper + lower) / 2, scale), name) | places)
    return data


def depth_bands(scale: float, system: System) -> list[float]:
    """Depths [m] at which the shading changes, from 0 on: round numbers in the unit of depths."""
    metres = frame.magnitude_of(frame.DEPTH_UNIT[system])
    step = next((size for size in STEPS[system] if scale / (size * metres) <= MOST_BANDS), STEPS[system][-1]) * metres
    return [step * number for number in range(max(1, math.ceil(scale / step - 1e-9)))]


def _waterline(pool: PoolResult, rings: Rings, unit: str, system: System, chosen: bool) -> dict[str, Any]:
    """A pool's waterline; a click inside it chooses the pool."""
    hover = (
        f"{frame.plain(pool.name)}: {show(pool.max_depth.value, LENGTH, system, frame.DEPTH_UNIT[system])} deep at most"
    )
    return ring_trace(
        rings,
        unit,
        f"{frame.plain(pool.name)}: waterline",
        fill="toself",
        fillcolor=frame.PAPER,
        hoveron="fills",
        text=hover,
        hoverinfo="text",
        line={"color": frame.INK, "width": 3.0 if chosen else 1.6},
        meta=["pools", pool.index],
    )


def _widened(span: Span) -> Span:
    """A span with twice its size added on every side, which covers whatever a wider or higher plan may show."""
    wide, high = span[2] - span[0], span[3] - span[1]
    return span[0] - 2 * wide, span[1] - 2 * high, span[2] + 2 * wide, span[3] + 2 * high


def extent(results: list[OptionResult], *, crew: bool = True, site: bool = False) -> Span:
    """West, south, east and north limits of all parts of the options, with a margin [m].

    Args:
        results: The evaluated options.
        crew: Whether machine positions are included.
        site: Whether keep-outs, the way in, lines of walls and the section line are included.
    """
    points = [ring for result in results for pool in result.pools for ring in rim_rings(pool.surfaces.liner)]
    points += [np.array([link.at, *link.points]) for result in results for link in result.option.links]
    points += [ring for result in results for ring in works_points(works_of(result))]
    for result in results:
        if result.option.tunnels:
            points += [np.array([node.at[:2]]) for node in result.option.tunnels.nodes]
        if crew and result.lifting:
            points += [np.array([place, pick_up]) for _, place, _, pick_up in result.lifting.positions]
        if result.option.stone:
            points += [np.array(b.places) for b in result.option.stone.boulders if b.places]
        if site:
            site_inputs = result.site
            lines = [
                *(keep.points for keep in site_inputs.keep_outs),
                site_inputs.way_in.points if site_inputs.way_in else (),
            ]
            lines += [wall.points for wall in result.option.walls.walls] if result.option.walls else []
            points += [np.array(line) for line in (*lines, site_inputs.section or ()) if line]
    if not points:
        return BLANK
    every = np.concatenate(points)
    low, high = every.min(axis=0), every.max(axis=0)
    room = ROOM * float((high - low).max()) + 0.3
    return float(low[0] - room), float(low[1] - room), float(high[0] + room), float(high[1] + room)


def shown_section(
    result: OptionResult, line: tuple[tuple[float, float], tuple[float, float]] | None
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The section line as entered, else along the longest way through the pools; None without pools."""
    if line is not None:
        return line
    return section_line([pool.surfaces.finished for pool in result.pools]) if result.pools else None


def alt_plan(result: OptionResult, system: System) -> str:
    """Description of the plan in words."""
    pools = ", ".join(_pool_words(pool, system) for pool in result.pools)
    holes = alt_works(works_of(result), system)
    marked = len(faults_at(result))
    act = f" Marked to act on: {marked} place{'' if marked == 1 else 's'}." if marked else ""
    return f"Plan of option {result.option.name}: {pools or 'no pool could be worked out'}{holes}.{act}"


@remembered
def _pool_words(pool: PoolResult, system: System) -> str:
    area, depth = pool.surface_area, show(pool.max_depth.value, LENGTH, system)
    return f"{pool.name} ({show(area.value, area.kind, system)}, {depth} deep)"


def _objects(result: OptionResult, unit: str, system: System, bare: bool) -> list[dict[str, Any]]:
    data = [*_stones(result.stone, unit), *_pipes(result.tunnels, unit, system, bare)]
    data += works_traces(works_of(result), unit, system)
    poles = tuple((pool.name, pool.surfaces.finished.pole) for pool in result.pools)
    return [*data, *_crests(result.stream_beds, result.option.links, poles, unit, system)]


@remembered
def _stones(stone: StoneResult | None, unit: str) -> list[dict[str, Any]]:
    """Traces of edging and of boulders; empty without any."""
    data: list[dict[str, Any]] = []
    if stone is None:
        return data
    edging = [(ring, f"edging, {frame.plain(name)}") for name, rings in stone.edging_rings for ring in rings]
    if edging:
        line = {"width": 0.0, "color": frame.STONE}
        data.append(outlined(edging, unit, "edging", line, fill="toself", fillcolor=frame.STONE, opacity=0.7))
    boulders = [(ring, f"boulder {frame.plain(name)}") for name, rings in stone.boulder_rings for ring in rings]
    if boulders:
        line = {"width": 1.0, "color": frame.INK}
        data.append(outlined(boulders, unit, "boulders", line, fill="toself", fillcolor=frame.STONE))
    return data


@remembered
def _pipes(tunnels: TunnelsResult | None, unit: str, system: System, bare: bool) -> list[dict[str, Any]]:
    """Traces of pipe passages with their nodes; empty without any."""
    if tunnels is None:
        return []
    hover = [f"run {frame.plain(name)}, {show(width, LENGTH, system)} outside" for name, _, _, width in tunnels.lines]
    return [
        pipe_trace([(start, end) for _, start, end, _ in tunnels.lines], hover, unit),
        *aside_trace(tunnels.adjustment.moved_nodes, unit, system),
        node_marks(tunnels.places, tunnels.penetration_places, unit, bare),
    ]


@remembered
def _crests(
    beds: StreamBeds, links: tuple[Link, ...], poles: tuple[tuple[str, Spot], ...], unit: str, system: System
) -> list[dict[str, Any]]:
    """One trace of stream beds and crests; empty without any. ``poles`` holds the pole of each pool [m] by its name."""
    crests = [
        (ring.points, f"bed of {frame.plain(bed.name)}")
        for bed in beds.each
        for ring in bed_of(bed.cut.line, bed.half_width)
    ]
    crests += [crest for link in links if (crest := _crest(dict(poles), link, system))]
    look = {"fill": "toself", "fillcolor": "#f4fbfb"}
    return [outlined(crests, unit, "links", {"color": frame.INK, "width": 1.5}, **look)] if crests else []


def _crest(poles: dict[str, Spot], link: Link, system: System) -> tuple[Array, str] | None:
    """A crest as a bar across the flow from the upper pool to the lower, with an arrow's head downstream."""
    if link.from_ not in poles or link.to not in poles:
        return None
    place = np.array(link.at, dtype=float)
    towards = np.array(poles[link.to]) - place
    towards = towards / (np.linalg.norm(towards) or 1.0)
    side = np.array([-towards[1], towards[0]]) * link.crest_width / 2
    tip = place + towards * max(link.crest_width, 0.4)
    hover = (
        f"{link.kind} from {frame.plain(link.from_)} to {frame.plain(link.to)}, crest "
        f"{show(link.crest_width, LENGTH, system)}"
    )
    return np.array([place + side, place - side, tip, place + side]), hover


AROUND = (0.0, 180.0, 90.0, -90.0, 60.0, -60.0, 120.0, -120.0)  # degrees: places of a depth, from its first one on


# Where words stand to their place, by the direction in steps of 45 degrees anticlockwise from east.
COMPASS = (
    *("middle right", "top right", "top center", "top left"),
    *("middle left", "bottom left", "bottom center", "bottom right"),
)


def _depth_labels(rings: Rings, text: str, unit: str, turn: int) -> tuple[Label, ...]:
    """The depth of a level part as a label on its contour, for each contour further round than on the last, so that
    labels do not collide; then at further places round it, and last of all beside it.
    """
    ring = max(rings, key=len)
    bearings = -100 + 34 * turn + np.array(AROUND)
    ways = np.array([np.cos(np.radians(bearings)), np.sin(np.radians(bearings))])
    away = (ring - ring.mean(axis=0)) @ ways
    places = frame.in_unit(ring[away.argmax(axis=0)], unit, 2).tolist()
    on = [(x, y, text, 12, "middle center") for x, y in places]
    beside = [(x, y, text, 12, COMPASS[round(way / 45) % 8]) for (x, y), way in zip(places, bearings, strict=True)]
    return (*on, *beside)


NAME = 13  # px of a pool's name
# Places of a pool's name: outside the northernmost, southernmost, easternmost and westernmost point of its waterline.
SIDES = (((0, 1), "top center"), ((0, -1), "bottom center"), ((1, 0), "middle right"), ((-1, 0), "middle left"))


def _names(name: str, rings: Rings, unit: str) -> tuple[Label, ...]:
    """A pool's name at each place where it may stand."""
    ring = max(rings, key=len)
    labels = []
    for direction, position in SIDES:
        x, y = frame.in_unit(ring[int(np.argmax(ring @ np.array(direction)))], unit, 2)
        labels.append((float(x), float(y), f"<b>{name}</b>", NAME, position))
    return tuple(labels)


ACROSS = 600  # px: width of a narrow plan, by which the extent of words is estimated
CLEAR = 8  # px between words and the section line, or the letters at its ends, where there is room
APART = 8  # px between the words of one pool on a line: nearer, they are read as one


@remembered
def _clear(
    words: tuple[tuple[Label, ...], ...], section: tuple[Spot, Spot] | None, span: Span, unit: str
) -> tuple[Label, ...]:
    """Of each of a pool's words the first label that neither the section line nor another label covers; the first one
    if each is covered. The name is placed first, then the depths from the floor up: a small floor has the least room.
    """
    line = None if section is None else frame.in_unit(np.array(section), unit).tolist()
    pixel = float(frame.in_unit(span[2] - span[0], unit)) / ACROSS
    chosen: list[Label] = []
    boxes: list[Span] = []
    for labels in reversed(words):
        width = _width(labels[0]) * pixel
        places = [(label, _box(label, width, pixel)) for label in labels]
        if line:
            away = ([place for place in places if not _crosses(line, place[1], room * pixel)] for room in (CLEAR, 0.0))
            places = next(filter(None, away), places)
        label, box = next((place for place in places if not _overlaps(place[1], boxes)), places[0])
        chosen.append(label)
        west, south, east, north = box
        boxes.append((west - APART * pixel, south, east + APART * pixel, north))
    return tuple(reversed(chosen))


def _width(label: Label) -> float:
    words = label[2].removeprefix("<b>").removesuffix("</b>")
    return width_of(words, label[3], bold=words != label[2])


def _box(label: Label, width: float, pixel: float) -> Span:
    """West, south, east and north limits of a label's words; in the unit displayed, as ``width`` and ``pixel`` are."""
    x, y, _, size, position = label
    height = size * pixel
    west = x + {"left": -width, "right": 0.0}.get(position.split()[1], -width / 2)
    south = y + {"bottom": -height, "top": 0.0}.get(position.split()[0], -height / 2)
    return west, south, west + width, south + height


def _overlaps(box: Span, others: Sequence[Span]) -> bool:
    west, south, east, north = box
    return any(west < e and w < east and south < n and s < north for w, s, e, n in others)


def _crosses(line: Sequence[Sequence[float]], box: Span, room: float) -> bool:
    """Whether a straight line comes into a box with that room round it."""
    first, last = 0.0, 1.0  # of the line, as shares of it, what is within the limits so far
    for a, b, low, high in zip(*line, box[:2], box[2:], strict=True):
        if a == b:
            if not low - room < a < high + room:
                return False
            continue
        shares = sorted(((low - room - a) / (b - a), (high + room - a) / (b - a)))
        first, last = max(first, shares[0]), min(last, shares[1])
    return first < last


SITE_ROOM = 0.05  # margin, as a share of the picture's width


def site_plan(result: OptionResult, system: System) -> Figure | None:
    """Plan of the whole site; None if only a plane of ground is known."""
    ground = result.land.terrain
    if not isinstance(ground, Mesh) and result.clearances is None:
        return None
    unit = frame.PLAN_UNIT[system]
    span = _span(result)
    data: list[dict[str, Any]] = []
    labels: list[Label] = []
    if isinstance(ground, Mesh):
        data, labels = ground_traces(ground, unit, system)
    waterlines = [ring for pool in result.pools for ring in rings_at(pool.surfaces.finished, 0.0)]
    rims = [ring for pool in result.pools for ring in rim_rings(pool.surfaces.liner)]
    data.append(fill_trace(waterlines, unit, frame.DEPTHS[2], "water"))
    data.append(line_trace(rims, unit, frame.GROUND, 1.5, name="rim"))
    if result.tunnels and result.tunnels.lines:
        lines = result.tunnels.lines
        hover = [f"run {frame.plain(name)}" for name, *_ in lines]
        data.append(pipe_trace([(start, end) for _, start, end, _ in lines], hover, unit))
    data += works_traces(works_of(result), unit, system)
    labels += works_labels(works_of(result), result.pools, unit)
    data += machine_traces(result.clearances, unit, span)
    data += constraint_traces(result.clearances, unit, system, span)
    for pool in result.pools:
        middle = frame.in_unit(
            pool.surfaces.placed.to_site(np.array([pool.surfaces.dig.surface.pool.shape.pole]))[0], unit, 2
        )
        labels.append((float(middle[0]), float(middle[1]), f"<b>{frame.plain(pool.name)}</b>", 12, "middle center"))
    labels += constraint_labels(result.clearances, unit, span)
    data.append(written(labels))
    return frame.figure(data, **plan_layout(span, unit, None))


def _span(result: OptionResult) -> Span:
    west, south, east, north = extent([result])
    every = [np.array([[west, south], [east, north]])]
    if isinstance(result.land.terrain, Mesh):
        every.append(result.land.terrain.places)
    if result.clearances:
        every += [line for each in result.clearances.keep_outs for line in (*each.lines, *each.zones)]
        every += list(rings(result.clearances.way.area)) if result.clearances.way else []
        every += [ring for machine in result.clearances.machines for ring in rings(machine.area)]
    points = np.concatenate(every)
    low, high = points.min(axis=0), points.max(axis=0)
    room = SITE_ROOM * float((high - low).max())
    return float(low[0] - room), float(low[1] - room), float(high[0] + room), float(high[1] + room)


def alt_site_plan(result: OptionResult, system: System) -> str:
    """Description of the site in words."""
    ground = result.land.terrain
    parts = []
    if isinstance(ground, Mesh):
        low, high = (
            show(float(level), LENGTH, system, frame.PLAN_UNIT[system])
            for level in (ground.levels.min(), ground.levels.max())
        )
        parts.append(f"ground from {len(ground.places)} survey points between {low} and {high}")
    if result.clearances:
        near = [figure.subject for figure in result.clearances.keep_out_distance if figure.cautions]
        parts.append(f"{len(result.clearances.keep_outs)} keep-outs")
        parts.append(f"too near: {', '.join(near)}" if near else "none entered")
        parts += ["a way in"] if result.clearances.way else []
    if result.tunnels and result.tunnels.lines:
        parts.append(f"{len(result.tunnels.lines)} runs of pipe")
    shown = "; ".join(parts) or "level or evenly sloping ground"
    return f"Site of option {result.option.name}: {shown}{alt_works(works_of(result), system)}."
