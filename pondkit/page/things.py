"""What lies on the plan: which of it is at a place, what it is called, and how it is chosen and removed. No streamlit.

A thing is named by its path as in the document: in the option (``stone/boulders/0/places/2``), or in the site
(``keep_outs/1``).
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import numpy as np

from pondkit.core.part import get
from pondkit.core.result import Path
from pondkit.page import edits
from pondkit.page.on_plan import Spot
from pondkit.page.tools import pool_at
from pondkit.project.files import put
from pondkit.project.project import Option, Project
from pondkit.study.evaluate import evaluate
from pondkit.trades.clearances.inputs import CLOSED
from pondkit.trades.earthwork.results import StreamBed
from pondkit.trades.water.inputs.water import bodies_of

Found = tuple[int, float, Path]  # rank, distance beyond it [m], path: the least of all is what is meant
SITE = ("keep_outs", "way_in")
TRADES = {
    "pools": "Pools",
    "links": "Links",
    "stone": "Stone",
    "lifting": "Lifting",
    "walls": "Walls",
    "tunnels": "Tunnels",
    "water": "Water",
    "earth": "Earth",
    "keep_outs": "Site",
    "way_in": "Site",
}


def thing_at(project: Project, option: int, place: Spot, reach: float) -> Path:
    """What is at a place: things set at places first, then lines, then pools; () where there is nothing.

    Args:
        project: The document.
        option: Index of the option.
        place: East and north [m].
        reach: How near counts as there [m].
    """
    here = get(project, ("options", option))
    beds = evaluate(project).options[option].stream_beds.each
    every = [*_places(here, place), *_lines(here, place), *_beds(beds, place), *_kept(project, place)]
    near = [(rank, away, path) for rank, away, path in every if away <= reach]
    if near:
        return min(near, key=lambda each: each[:2])[2]
    pool = pool_at(project, ("options", option), place, reach)
    return ("pools", here.pools.index(pool)) if pool is not None else ()


def _places(here: Option, place: Spot) -> Iterator[Found]:
    for i, row in enumerate(here.stone.boulders if here.stone else ()):
        half = (float(row.axes[0]) + float(row.axes[1])) / 4
        for k, at in enumerate(row.places):
            yield 0, _apart(at, place) - half, ("stone", "boulders", i, "places", k)
    for i, node in enumerate(here.tunnels.nodes if here.tunnels else ()):
        yield 0, _apart(node.at, place), ("tunnels", "nodes", i)
    for i, link in enumerate(here.links):
        yield 0, _apart(link.at, place) - float(link.crest_width) / 2, ("links", i)
    for i, stand in enumerate(here.lifting.positions if here.lifting else ()):
        yield 0, min(_apart(stand.at, place), _apart(stand.pick_up, place)), ("lifting", "positions", i)
    for body in bodies_of(here.water) if here.water else ():
        yield 0, _apart(body.at, place) - min(float(side) for side in body.size) / 2, body.path


def _lines(here: Option, place: Spot) -> Iterator[Found]:
    for i, wall in enumerate(here.walls.walls if here.walls else ()):
        yield 1, _beside(wall.points, place), ("walls", "walls", i)
    for i, link in enumerate(here.links):
        yield 1, _beside((link.at, *link.points), place), ("links", i)
    nodes = {node.name: node.at for node in here.tunnels.nodes} if here.tunnels else {}
    for i, run in enumerate(here.tunnels.runs if here.tunnels else ()):
        if run.from_ in nodes and run.to in nodes:
            yield 1, _beside((nodes[run.from_], nodes[run.to]), place), ("tunnels", "runs", i)


def _beds(beds: Iterable[StreamBed], place: Spot) -> Iterator[Found]:
    """Falls and streams from one waterline to the other, as wide as they are drawn."""
    for bed in beds:
        yield 1, max(_beside(bed.line, place) - bed.half, 0.0), ("links", bed.index)


def _kept(project: Project, place: Spot) -> Iterator[Found]:
    for i, keep in enumerate(project.site.keep_outs):
        closed = keep.kind in CLOSED and len(keep.points) > 2
        yield 1, _beside((*keep.points, keep.points[0]) if closed else keep.points, place), ("keep_outs", i)


def _apart(one: Sequence[float], other: Spot) -> float:
    return math.hypot(float(one[0]) - other[0], float(one[1]) - other[1])


def _beside(points: Sequence[Sequence[float]], place: Spot) -> float:
    """Distance of a place from a line through points [m]; infinite from none."""
    if not points:
        return math.inf
    line = np.array([[float(point[0]), float(point[1])] for point in points])
    if len(line) == 1:
        return _apart(line[0], place)
    start, way = line[:-1], np.diff(line, axis=0)
    square = np.maximum(np.einsum("ij,ij->i", way, way), 1e-12)
    share = np.clip(np.einsum("ij,ij->i", np.array(place) - start, way) / square, 0.0, 1.0)
    return float(np.hypot(*(start + share[:, None] * way - np.array(place)).T).min())


def absolute(option: int, path: Path) -> Path:
    """A thing's path in the project."""
    return ("site", *path) if path and path[0] in SITE else ("options", option, *path)


def thing_of(option: int, path: Path) -> Path:
    """A thing's path as it is named here, from its path in the project; () of what is no thing on the plan."""
    if path[:1] == ("site",):
        return path[1:]
    return path[2:] if path[:2] == ("options", option) else ()


def trade_of(path: Path) -> str:
    """Whose controls show a thing; "" for none."""
    return TRADES.get(str(path[0]), "") if path else ""


def lists_of(path: Path) -> Iterator[tuple[Path, int]]:
    """(path of a list, index in it) of every choice by which the controls show a thing."""
    for depth, step in enumerate(path):
        if isinstance(step, int) and path[depth - 1] not in ("places", "points", "left", "right"):
            yield path[:depth], step


def called(project: Project, option: int, path: Path) -> str:
    """A thing in words; "" where it is no longer there, or is nothing that can be removed."""
    try:
        part = get(project, absolute(option, path))
    except (LookupError, AttributeError, TypeError):
        return ""
    match path:
        case ("pools", int()):
            return f"pool {part.name}"
        case ("links", int()):
            return f"the {part.kind} from {part.from_} to {part.to}"
        case ("stone", "boulders", int(index), "places", int()):
            return f"boulder {get(project, absolute(option, ('stone', 'boulders', index))).name}"
        case ("tunnels", "nodes", int()):
            return f"{part.kind} {part.name}"
        case ("tunnels", "runs", int()):
            return f"run {part.from_} to {part.to}"
        case ("lifting", "positions", int()) | ("walls", "walls", int()) | ("stone", "boulders", int()):
            return f"{part.title_of_part} {part.name}"
        case ("keep_outs", int()):
            return f"{part.kind} {part.name}"
        case ("water", ("intake" | "pit" | "filter") as name):
            return {"intake": "intake basin", "pit": "pump pit", "filter": "filter"}[name]
    return ""


def removed(project: Project, option: int, path: Path) -> Project:
    """Without a thing, and without what cannot be without it; one boulder of its kind, whose count goes down with it.

    Raises: LookupError where it is no longer there; Refused where it cannot be left out.
    """
    whole = absolute(option, path)
    match path:
        case ("stone", "boulders", int(), "places", int(index)):
            return _without_boulder(project, whole[:-2], index)
        case (*_, int(index)) if path[-2] in ("places", "points", "left", "right"):
            return edits.remove_place(project, whole[:-1], index)
        case (*_, int()):
            _held(get(project, whole[:-1]), int(str(path[-1])))
            return edits.remove_item(project, whole)
        case ("water", "intake" | "pit" | "filter"):
            return edits.set_part(project, whole, False)
    raise LookupError("/".join(map(str, path)))


def _without_boulder(project: Project, row: Path, index: int) -> Project:
    boulder = get(project, row)
    _held(boulder.places, index)
    if boulder.count <= 1:
        return edits.remove_item(project, row)
    project = put(project, (*row, "count"), boulder.count - 1)
    return edits.remove_place(project, (*row, "places"), index)


def _held(items: Sequence[Any], index: int) -> None:
    if index >= len(items):
        raise LookupError(f"place {index + 1} of {len(items)}")
