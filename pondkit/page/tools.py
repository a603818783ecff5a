"""The drawing tools of the plan: what each takes, and the part that it adds to the design. No streamlit.

What cannot be drawn, such as levels, sizes and names, begins as in any new part (``edits.add_item``).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Literal

import numpy as np

from pondkit.core.part import get
from pondkit.core.refusal import Refused
from pondkit.core.result import Path, Trouble
from pondkit.core.units import LENGTH, System, show
from pondkit.drawing.rows import say
from pondkit.geometry.outline import Array, NoOutline, Placed, Shape, entered_shape
from pondkit.geometry.stroke import smoothed, thinned, uncrossed
from pondkit.page import edits
from pondkit.page.handles import Spot, placement, writer
from pondkit.project.files import put
from pondkit.project.project import Project

FURTHEST = 304.8  # m: 1,000 ft, the bound of every place in the document
MANY = 40  # most places of one line
ROUND = 0.1  # an oval whose length and width differ by no more than this share is a circle


@dataclass(frozen=True)
class Tool:
    """A drawing tool.

    Attributes:
        id, label, help: Its name in events, on its button, and what to do with it.
        least, most: Least and most places that it takes.
        closed: Whether the places go round something.
        stroke: Whether the places may come from a line drawn by hand.
        shape: What two corners span: "oval" or "box"; "" if they span nothing.
        again: Whether it stays in use for the next thing.
        keeps: Whether what it draws becomes part of the design.
    """

    id: str
    label: str
    help: str
    least: int
    most: int
    closed: bool = False
    stroke: bool = False
    shape: Literal["", "oval", "box"] = ""
    again: bool = False
    keeps: bool = True


ENDS = "the last one twice, or Enter, ends it"
TOOLS = (
    Tool(
        "outline",
        "Outline",
        f"A pool: draw round it in one stroke, which is smoothed; or tap its points, {ENDS}",
        3,
        MANY,
        closed=True,
        stroke=True,
    ),
    Tool("oval", "Oval", "A round pool: drag from corner to corner, or tap both", 2, 2, shape="oval"),
    Tool("box", "Box", "A straight-sided pool: drag from corner to corner, or tap both", 2, 2, shape="box"),
    Tool("stone", "Stone", "Boulders: tap where each lies", 1, 1, again=True),
    Tool("fall", "Fall", "Drag from the upper pool to the lower, or tap both", 2, 2),
    Tool("stream", "Stream", f"Tap from the upper pool along its bed to the lower; {ENDS}", 2, MANY),
    Tool("pipe", "Pipe", f"Tap along it, from the water to the den; {ENDS}", 2, MANY),
    Tool("wall", "Wall", f"Tap along the front of a dry-stacked wall; {ENDS}", 2, MANY),
    Tool(
        "keep",
        "Keep-out",
        f"Tap a tree, along a service, or round an area, or draw round it; {ENDS}",
        1,
        MANY,
        closed=True,
        stroke=True,
    ),
    Tool("machine", "Machine", "Tap where the machine stands while it lifts", 1, 1),
    Tool("section", "Section", "Drag the line that the section is cut along, or tap both ends", 2, 2),
    Tool("tape", "Tape", "Measure: tap along what is to be measured", 2, MANY, keeps=False),
)


@dataclass(frozen=True)
class Drawing:
    """Something drawn with a tool.

    Attributes:
        tool: Id of the tool.
        places: Places on the site in order, east and north [m].
        stroke: Whether they come from a line drawn by hand.
        reach: Distance up to which a place counts as at a thing [m].
        chosen: Path of the chosen thing within the option; () for none.
    """

    tool: str
    places: tuple[Spot, ...]
    stroke: bool = False
    reach: float = 0.3
    chosen: Path = ()


def draw(project: Project, option: int, drawing: Drawing, system: System) -> tuple[Project, Path]:
    """The design with what was drawn, and the path of the new part.

    Args:
        project: The document.
        option: Index of the option.
        drawing: What was drawn.
        system: Unit system in which new numbers are written.
    Raises: Refused if the design cannot have it as drawn.
    """
    make = MAKERS.get(drawing.tool)
    tool = next((tool for tool in TOOLS if tool.id == drawing.tool), None)
    if make is None or tool is None or len(drawing.places) < tool.least:
        raise Refused("What was drawn has too few places, or no tool draws it: draw it again.")
    far = max(abs(side) for place in drawing.places for side in place)
    if far > FURTHEST:
        raise Refused(
            f"A place of it lies {show(far, LENGTH, system)} from the site's origin: places go as far as "
            f"{show(FURTHEST, LENGTH, system)} from it; draw it nearer."
        )
    return make(project, ("options", option), drawing, system)


# --- pools ---


def _outline(project: Project, option_path: Path, drawing: Drawing, system: System) -> tuple[Project, Path]:
    places = np.array(drawing.places, dtype=float)
    points = _checked(smoothed, places, system) if drawing.stroke else _checked(uncrossed, places, system)
    middle = _middle(points)
    outline = {"shape": "points", "points": [place_text(point, system) for point in points - middle]}
    return _pool(project, option_path, middle, outline, system)


def _oval(project: Project, option_path: Path, drawing: Drawing, system: System) -> tuple[Project, Path]:
    middle, size = _span(drawing)
    if abs(size[0] - size[1]) <= ROUND * max(size):
        outline = {"shape": "circle", "diameter": place_text((sum(size) / 2, 0.0), system)[0]}
    else:
        outline = {"shape": "ellipse", **_sides(size, system)}
    return _pool(project, option_path, middle, outline, system)


def _box(project: Project, option_path: Path, drawing: Drawing, system: System) -> tuple[Project, Path]:
    middle, size = _span(drawing)
    return _pool(project, option_path, middle, {"shape": "rectangle", **_sides(size, system)}, system)


def _span(drawing: Drawing) -> tuple[Array, tuple[float, float]]:
    """Middle and size of the rectangle that two corners span [m]."""
    (ax, ay), (bx, by) = drawing.places[:2]
    return np.array([(ax + bx) / 2, (ay + by) / 2]), (abs(bx - ax), abs(by - ay))


def _sides(size: tuple[float, float], system: System) -> dict[str, str]:
    length, width = place_text(size, system)
    return {"length": length, "width": width}


def _pool(
    project: Project, option_path: Path, middle: Array, outline: dict[str, Any], system: System
) -> tuple[Project, Path]:
    spot = float(middle[0]), float(middle[1])
    list_path = (*option_path, "pools")
    try:
        project, path = edits.add_item(project, list_path, spot)
    except Refused:  # no room for a new pool of the usual size; this one has the size that is drawn
        project, path = edits.add_item(project, list_path)
    project = put(project, (*path, "at"), place_text(spot, system), system)
    project = put(project, (*path, "turn_deg"), 0, system)
    project = put(project, (*path, "pits"), (), system)
    return put(project, (*path, "outline"), outline, system), path


def _checked(shape: Callable[[Array], Array], places: Array, system: System) -> Array:
    """The line made by ``shape``, such as smoothed or thinned. Raises Refused if it does not go round something."""
    try:
        return shape(places)
    except NoOutline as fault:
        reason, mend = (say(words, system) for words in (fault.given, fault.mend))
        raise Refused(f"{reason[:1].upper()}{reason[1:]}: {mend}. It stays in sight until then.") from None


def _middle(points: Array) -> Array:
    """Middle of the extent of points [m]."""
    return np.asarray((points.min(axis=0) + points.max(axis=0)) / 2)


# --- what lies in and between pools ---


def _waterlines(project: Project, option_path: Path) -> list[tuple[Any, Shape, Placed]]:
    """(pool, outline, placement) of each pool whose outline is sound."""
    waterlines = []
    for index, pool in enumerate(get(project, (*option_path, "pools"))):
        try:
            shape = entered_shape(pool.outline, ("pools", index, "outline"))
        except Trouble:
            continue
        waterlines.append((pool, shape, placement(pool)))
    return waterlines


def pool_at(project: Project, option_path: Path, place: Spot, reach: float = 0.0) -> Any:
    """The pool whose water is at a place, or else the nearest within reach [m]; None if there is none."""
    inward = [
        (float(shape.inward(placed.to_own(np.array([place])))[0]), pool)
        for pool, shape, placed in _waterlines(project, option_path)
    ]
    inside, pool = max(inward, key=lambda candidate: candidate[0], default=(-np.inf, None))
    return pool if inside >= -reach else None


def _link(project: Project, option_path: Path, drawing: Drawing, system: System) -> tuple[Project, Path]:
    """A fall or stream from the higher pool to the lower. Its crest is where the line leaves the upper water."""
    places = list(drawing.places)
    ends = [pool_at(project, option_path, place, 3 * drawing.reach) for place in (places[0], places[-1])]
    noun = "A fall" if drawing.tool == "fall" else "A stream"
    if None in ends or ends[0] is ends[1]:
        raise Refused(f"{noun} goes from one pool to another: begin it in one pool and end it in the other.")
    if ends[0].level < ends[1].level:
        places, ends = places[::-1], ends[::-1]
    upper, lower = ends
    crest, bends = _crest(project, option_path, upper.name, places)
    list_path = (*option_path, "links")
    try:
        project, path = edits.add_item(project, list_path, crest)
    except Refused:  # no free place is found for a new link; this one goes where it is drawn
        links = get(project, list_path)
        link = {"from": upper.name, "to": lower.name, "at": place_text(crest, system)}
        project, path = put(project, list_path, (*links, link), system), (*list_path, len(links))
    changes: dict[str, Any] = {
        "kind": "fall" if drawing.tool == "fall" else "channel",
        "from_": upper.name,
        "to": lower.name,
        "at": place_text(crest, system),
        "points": [place_text(place, system) for place in bends],
    }
    for name, value in changes.items():
        project = put(project, (*path, name), value, system)
    return project, path


def _crest(project: Project, option_path: Path, name: str, places: Sequence[Spot]) -> tuple[Spot, list[Spot]]:
    """Where a line leaves a pool's water for good, and the bends of the line after that, without its end."""
    _, shape, placed = next(waterline for waterline in _waterlines(project, option_path) if waterline[0].name == name)
    line = np.array(places, dtype=float)
    steps = np.linspace(0.0, len(line) - 1.0, 400 * (len(line) - 1) + 1)
    along = np.stack([np.interp(steps, np.arange(len(line)), side) for side in line.T], axis=1)
    wet = np.flatnonzero(shape.inward(placed.to_own(along)) >= 0)
    last = int(wet[-1]) if len(wet) else 0
    crest = float(along[last, 0]), float(along[last, 1])
    return crest, [place for index, place in enumerate(places[:-1]) if index > steps[last]]


def _stone(project: Project, option_path: Path, drawing: Drawing, system: System) -> tuple[Project, Path]:
    """One more boulder of the chosen kind, if that lies in the same water; otherwise a kind of its own."""
    project = _with_trade(project, (*option_path, "stone"))
    place, list_path = drawing.places[0], (*option_path, "stone", "boulders")
    pool = pool_at(project, option_path, place)
    pool_name = pool.name if pool else None
    rows = get(project, list_path)
    chosen = drawing.chosen[:3]
    if chosen[:2] == ("stone", "boulders") and len(chosen) == 3 and int(chosen[2]) < len(rows):
        path = (*option_path, *chosen)
        row = get(project, path)
        if row.pool == pool_name or not row.places:
            if len(row.places) >= row.count:
                project = put(project, (*path, "count"), len(row.places) + 1, system)
            project = put(project, (*path, "pool"), pool_name, system)
            project = put(project, (*path, "places"), (*row.places, place_text(place, system)), system)
            return project, (*path, "places", len(row.places))
    project, path = edits.add_item(project, list_path, place)
    for field, value in (("places", [place_text(place, system)]), ("count", 1), ("pool", pool_name)):
        project = put(project, (*path, field), value, system)
    return project, (*path, "places", 0)


def _pipe(project: Project, option_path: Path, drawing: Drawing, system: System) -> tuple[Project, Path]:
    """Nodes and the runs between them. A place at an existing node joins that node."""
    project = _with_trade(project, (*option_path, "tunnels"))
    trade, last = (*option_path, "tunnels"), len(drawing.places) - 1
    names: list[str] = []
    path: Path = ()
    for number, place in enumerate(drawing.places):
        nodes = get(project, (*trade, "nodes"))
        distances = [(distance(node.at, place), index) for index, node in enumerate(nodes)]
        nearest, index = min(distances, default=(np.inf, 0))
        if nearest <= drawing.reach:
            path = (*trade, "nodes", index)
        else:
            pool = pool_at(project, option_path, place)
            kind = "junction" if 0 < number < last else "mouth" if pool else "chamber"
            spot = place
            if kind == "mouth":  # in the face of the bank that the pipe goes through
                outward = drawing.places if number == 0 else drawing.places[::-1]
                spot = _crest(project, option_path, pool.name, outward)[0]
            project, path = edits.add_item(project, (*trade, "nodes"), spot, kind)
            if kind != "mouth":
                level = get(project, (*path, "at"))[2]
                project = put(project, (*path, "at"), (*place_text(place, system), level), system)
        name = get(project, (*path, "name"))
        if name not in names[-1:]:
            names.append(name)
    runs = get(project, (*trade, "runs"))
    joined = {frozenset((run.from_, run.to)) for run in runs}
    new = [pair for pair in pairwise(names) if frozenset(pair) not in joined]
    if not new:
        raise Refused("That pipe is there already, or both its ends are at one node.")
    return put(project, (*trade, "runs"), (*runs, *({"from": a, "to": b} for a, b in new)), system), path


# --- what stands on the site ---


def _wall(project: Project, option_path: Path, drawing: Drawing, system: System) -> tuple[Project, Path]:
    project = _with_trade(project, (*option_path, "walls"))
    project, path = edits.add_item(project, (*option_path, "walls", "walls"), drawing.places[0])
    return put(project, (*path, "points"), [place_text(place, system) for place in drawing.places], system), path


def _keep_out(project: Project, option_path: Path, drawing: Drawing, system: System) -> tuple[Project, Path]:
    """A tree at one place, a service along two, an area round more."""
    places = np.array(drawing.places, dtype=float)
    if drawing.stroke:
        places = _checked(thinned, places, system)
    kind = {1: "tree", 2: "buried service"}.get(len(places), "keep-out area")
    spot = float(places[0][0]), float(places[0][1])
    project, path = edits.add_item(project, ("site", "keep_outs"), spot, kind)
    project = put(project, (*path, "kind"), kind, system)
    return put(project, (*path, "points"), [place_text(place, system) for place in places], system), path


def _machine(project: Project, option_path: Path, drawing: Drawing, system: System) -> tuple[Project, Path]:
    """A position of the machine. The stones wait in the same direction and distance from it as in any new position."""
    place, trade = drawing.places[0], (*option_path, "lifting")
    if get(project, trade) is None:  # which has a position from the start
        project, path = edits.set_part(project, trade, True, place), (*trade, "positions", 0)
    else:
        project, path = edits.add_item(project, (*trade, "positions"), place)
    position = get(project, path)
    offset = np.array(position.pick_up, dtype=float) - np.array(position.at, dtype=float)
    project = put(project, (*path, "at"), place_text(place, system), system)
    return put(project, (*path, "pick_up"), place_text(np.array(place) + offset, system), system), path


def _section(project: Project, option_path: Path, drawing: Drawing, system: System) -> tuple[Project, Path]:
    if drawing.places[0] == drawing.places[1]:
        raise Refused("The line of the section has no length: drag it from end to end.")
    return put(project, ("site", "section"), [place_text(end, system) for end in drawing.places[:2]], system), ("site",)


def _with_trade(project: Project, path: Path) -> Project:
    """The project with an option's trade, added if it is not there yet."""
    return edits.set_part(project, path, True) if get(project, path) is None else project


def place_text(place: Sequence[float], system: System) -> tuple[str, str]:
    """Two lengths [m] as the document holds them."""
    return writer(system)((float(place[0]), float(place[1])))


def distance(place: Sequence[float], spot: Spot) -> float:
    """Distance between two places [m]."""
    return float(np.hypot(float(place[0]) - spot[0], float(place[1]) - spot[1]))


Maker = Callable[[Project, Path, Drawing, System], tuple[Project, Path]]
MAKERS: dict[str, Maker] = {
    "outline": _outline,
    "oval": _oval,
    "box": _box,
    "stone": _stone,
    "fall": _link,
    "stream": _link,
    "pipe": _pipe,
    "wall": _wall,
    "keep": _keep_out,
    "machine": _machine,
    "section": _section,
}
