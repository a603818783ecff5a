"""The design in three dimensions, for the client: beds in the colours of the plan, water, banks and ground, stones,
falls, dens and pipe, and plants as simple marks by zone.

``model`` makes it for the page, where it can be turned; ``projection`` is the view from the south and above in
parallel projection, as a drawing for paper that needs no browser.
"""

import html
import itertools
import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.blocks import Picture, Room
from pondkit.drawing.frame import Array, Figure, round_length
from pondkit.drawing.labels import Label, Labels
from pondkit.geometry import relief
from pondkit.geometry.relief import ModelMesh, Spot
from pondkit.geometry.site_surface import rim_rings, rings_at
from pondkit.report.plan import Span, deepest, depth_bands, extent, works_of
from pondkit.study.evaluate import OptionResult
from pondkit.trades.earthwork.pictures.excavation import BODY
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs import sorted_axes

WATER = "#5ca4b3"
FALL = "#7fc0cd"
GRASS = "#c9c79a"
DEN = "#8a4a26"
LEAVES = ("#7d9b4e", "#557f3f", "#8fa86b", "#466b45", "#a3ad55", "#6f8f6a")
# For the marks only, common practice, no source: plants in shallow water rise out of it, those in deeper water float.
STANDS, FLOATS = 0.35, 1.0  # m of water
APART = {"stands": 0.4, "floats": 0.7}  # m between two marks
MOST_MARKS = 160  # of one zone
STALK, LEAF = 0.45, 0.16  # m: height above the water, and size of a leaf
FILM = 0.03  # m: depth of running water
ROOM = 0.8  # m: margin of ground
UNDER = 0.15  # share of its height that a stone is bedded
DEN_SIZE = (0.45, 0.45, 0.4)  # m: a den whose size is not entered


FREE = 1 / 40  # share of its length that each axis extends beyond what is drawn
LOOKS = np.array([-0.19, 0.76, -0.62]) / np.linalg.norm([0.19, 0.76, 0.62])  # direction: from the south, down
OPENS = math.tan(math.radians(45) / 2)  # half of the height in plotly's view, at a distance of one
SHAPE = 4 / 3  # width over height of a view, see picture.css


def model(result: OptionResult, scale_to: float, system: System) -> Figure | None:
    """One option in three dimensions, heights to scale; None if it has no pool. See ``models``."""
    return models([result], scale_to, system)[0]


def models(results: Sequence[OptionResult], scale_to: float, system: System) -> list[Figure | None]:
    """Options in three dimensions, heights to scale, all in the same frame, so that sizes can be compared by eye. None
    for an option without a pool.

    Args:
        results: The evaluated options.
        scale_to: Depth [m] at the dark end of the colour scale.
        system: Unit system displayed.
    """
    span = extent([result for result in results if result.pools], crew=False)
    figures = [_model(result, span, scale_to, system) if result.pools else None for result in results]
    shown = [figure for figure in figures if figure]
    if not shown:
        return figures
    ends = []
    for axis in "xyz":
        places = np.concatenate([trace[axis] for figure in shown for trace in figure["data"]])
        room = FREE * float(np.ptp(places))
        ends.append((float(places.min()) - room, float(places.max()) + room))
    sizes = np.array([high - low for low, high in ends])
    sizes = sizes / sizes.max()
    for figure in shown:
        figure["layout"]["scene"] |= {
            "aspectratio": dict(zip("xyz", sizes.tolist(), strict=True)),
            "camera": _camera(sizes),
            **{f"{axis}axis": {"visible": False, "range": list(end)} for axis, end in zip("xyz", ends, strict=True)},
        }
    return figures


def _camera(sizes: Array) -> dict[str, dict[str, float]]:
    """Plotly's camera, both places from the middle of a box of these sizes, so that the box just fills the view.

    A corner is in the view if its distance from the view's middle, across and up, is at most the opening times its
    distance ahead of the eye.
    """
    corners = np.array(list(itertools.product((-0.5, 0.5), repeat=3))) * sizes
    right = np.cross(LOOKS, (0.0, 0.0, 1.0))
    right = right / np.linalg.norm(right)
    up = np.cross(right, LOOKS)
    middle, distance = np.zeros(3), 0.0
    for direction, opening in ((right, OPENS * SHAPE), (up, OPENS)):
        offsets = np.linspace(-0.5, 0.5, 201)  # of the longest side
        needed = np.max(np.abs(corners @ direction - offsets[:, None]) / opening - corners @ LOOKS, axis=1)
        middle = middle + direction * offsets[np.argmin(needed)]
        distance = max(distance, float(needed.min()))
    places = {"eye": middle - LOOKS * distance, "center": middle}
    return {name: dict(zip("xyz", place.tolist(), strict=True)) for name, place in places.items()}


def _model(result: OptionResult, span: Span, scale_to: float, system: System) -> Figure:
    unit = frame.PLAN_UNIT[system]
    data = [
        *_land(result, span, unit),
        *_beds(result, scale_to, unit),
        *_built(result, unit),
        *_plants(result, unit, system),
        *_water(result, unit),
        _names(result, span, unit),
        _scale(result, span, unit),
    ]
    picture = frame.figure(data, x={}, y={})
    picture["layout"] |= {
        "scene": {"aspectmode": "manual", "dragmode": "turntable", "uirevision": "keep"},
        "margin": {"l": 0, "r": 0, "t": 0, "b": 0},
    }
    return picture


def alt_model(result: OptionResult, system: System) -> str:
    """Description of the view in words."""
    if not result.pools:
        return "In three dimensions: no pool yet."
    pools = ", ".join(
        f"{pool.name}, {show(pool.max_depth.value, LENGTH, system, frame.DEPTH_UNIT[system])} deep at most"
        for pool in result.pools
    )
    planted = sorted({zone for pool in result.pools for zone, _ in _zones(pool, result)})
    plants = f" Marks of plants stand for the zones {', '.join(planted)}." if planted else ""
    return f"Option {result.option.name} in three dimensions, to be turned by hand: {pools}.{plants}"


def _mesh(surface: ModelMesh, unit: str, name: str, **look: Any) -> dict[str, Any]:
    x, y, z = frame.in_unit(surface.points, unit, 3).T
    i, j, k = surface.faces.T
    return {
        "type": "mesh3d",
        "x": x,
        "y": y,
        "z": z,
        "i": i,
        "j": j,
        "k": k,
        "name": name,
        "hoverinfo": "name",
        "lighting": {"ambient": 0.75, "diffuse": 0.5, "specular": 0.04, "roughness": 0.9},
        "lightposition": {"x": -2000, "y": -4000, "z": 8000},
        **look,
    }


def _land(result: OptionResult, around: Span, unit: str) -> list[dict[str, Any]]:
    """The banks, and the existing ground up to the rims; the ground is transparent if there is pipe below it."""
    banks = relief.joined([relief.bank_of(pool.surfaces.finished) for pool in result.pools])
    if result.ground is None:
        return [_mesh(banks, unit, "banks", color=frame.GROUND)]
    west, south, east, north = around
    span = west - ROOM, south - ROOM, east + ROOM, north + ROOM
    beds = [(bed.line, float(bed.link.crest_width)) for bed in result.stream_beds.each if _level_long(bed.line)]
    land = relief.ground_round([pool.surfaces.finished for pool in result.pools], result.ground, span, beds)
    ground = _mesh(land, unit, "ground", color=GRASS, opacity=0.6 if result.tunnels else 1.0)
    return [ground, _mesh(banks, unit, "banks", color=frame.GROUND)]


def _level_long(line: Sequence[Spot]) -> bool:
    """Whether a line has any length on the plan."""
    return any(math.dist(line[0][:2], spot[:2]) > 0.01 for spot in line)


def _beds(result: OptionResult, scale_to: float, unit: str) -> Iterator[dict[str, Any]]:
    scale = [[i / (len(frame.DEPTHS) - 1), colour] for i, colour in enumerate(frame.DEPTHS)]
    for pool in result.pools:
        bed = relief.bed_of(pool.surfaces.finished)
        look = {"intensity": np.round(bed.depth, 3), "cmin": 0.0, "cmax": scale_to, "colorscale": scale}
        yield _mesh(bed, unit, frame.plain(pool.name), showscale=False, flatshading=False, **look)


def _water(result: OptionResult, unit: str) -> list[dict[str, Any]]:
    water = relief.joined([relief.water_of(pool.surfaces.finished) for pool in result.pools])
    return [_mesh(water, unit, "water", color=WATER, opacity=0.3)]


def _built(result: OptionResult, unit: str) -> Iterator[dict[str, Any]]:
    """Stones, falls and streams, pipe and dens, one trace for each kind."""
    kinds = (
        ("stones", frame.STONE, True, _stones(result)),
        ("edging", frame.STONE, True, _edging(result)),
        ("falls and streams", FALL, False, _falls(result)),
        ("pipe", frame.PIPE, False, _pipes(result)),
        ("dens", DEN, True, _dens(result)),
    )
    for name, colour, flat, parts in kinds:
        if meshes := list(parts):
            yield _mesh(relief.joined(meshes), unit, name, color=colour, flatshading=flat)


def _stones(result: OptionResult) -> Iterator[ModelMesh]:
    """Every placed boulder on the bed or ground below it, with its longest axis east as on the plan."""
    heights = {kind.boulder.name: sorted_axes(kind.boulder)[2] for kind in result.stone.kinds} if result.stone else {}
    for kind in result.stone.kinds if result.stone else ():
        high = heights[kind.boulder.name]
        stacked = heights.get(kind.boulder.rests_on or "", 0.0)
        for plan in kind.plans:
            foot = _level_under(result, plan.x, plan.y) + stacked
            middle = plan.x, plan.y, foot + high * (0.5 - UNDER)
            size = plan.length, plan.width, high
            yield relief.rounded(middle, size) if plan.ellipse else relief.box(middle, size)


def _edging(result: OptionResult) -> Iterator[ModelMesh]:
    """Every row of edging, stone by stone."""
    surfaces = {pool.name: pool.surfaces.finished for pool in result.pools}
    for row in result.stone.rows if result.stone else ():
        edging = row.edging
        if edging.pool in surfaces:
            size = float(edging.along), float(edging.across), float(edging.height)
            yield relief.course(surfaces[edging.pool], size, float(edging.base_level), within=edging.seat == "inside")


def _level_under(result: OptionResult, x: float, y: float) -> float:
    """Site level at a place [m]: of the bed, else of the ground, else of the rim."""
    place = np.array([[x, y]])
    for pool in result.pools:
        finished = pool.surfaces.finished
        local = finished.placed.to_own(place)
        if finished.surface.pool.shape.inward(local)[0] >= -finished.rim:
            return min(finished.level - float(finished.surface.depth_at(local)[0]), finished.rim_level)
    return result.ground.level_at((x, y)) if result.ground else result.pools[0].surfaces.finished.rim_level


def _falls(result: OptionResult) -> Iterator[ModelMesh]:
    """Water of each link as a band along its bed down to the lower waterline; vertical if the pools
    meet at the crest.
    """
    ends = {pool.name: pool.surfaces.finished for pool in result.pools}
    beds = {bed.index: bed.line for bed in result.stream_beds.each}
    for index, link in enumerate(result.option.links):
        upper, lower = ends.get(link.from_), ends.get(link.to)
        if upper is None or lower is None:
            continue
        crest: Spot = (float(link.at[0]), float(link.at[1]), upper.level)
        line = beds.get(index, (crest, crest))
        pole = lower.placed.to_site(np.array([lower.surface.pool.shape.pole]))[0]
        start = np.array(line[0][:2])
        away = (pole - start) / (np.linalg.norm(pole - start) or 1.0)
        foot = np.array(line[-1][:2]) + away * 0.05
        falls = [(x, y, max(z, lower.level) + FILM) for x, y, z in line]
        wide = float(link.crest_width)
        lip: Spot = (float(foot[0]), float(foot[1]), falls[-1][2])
        yield relief.ribbon([*falls, lip, (lip[0] + away[0] * 0.03, lip[1] + away[1] * 0.03, lower.level)], wide)


def _pipes(result: OptionResult) -> Iterator[ModelMesh]:
    for _, start, end, across in result.tunnels.lines if result.tunnels else ():
        yield relief.tube(start, end, across)


def _dens(result: OptionResult) -> Iterator[ModelMesh]:
    """The box of each den; its floor is level with the underside of the pipe."""
    tunnels, inputs = result.tunnels, result.option.tunnels
    if not tunnels or not inputs:
        return
    sizes = {node.name: node.size for node in inputs.nodes}
    across = max((width for *_, width in tunnels.lines), default=0.1)
    for name, kind, (x, y, z) in tunnels.places:
        if kind == "chamber":
            given = sizes.get(name)
            size = (float(given[0]), float(given[1]), float(given[2])) if given else DEN_SIZE
            yield relief.box((x, y, z - across / 2 + size[2] / 2), size)


def _zones(pool: PoolResult, result: OptionResult) -> Iterator[tuple[str, tuple[float, Any]]]:
    """(zone, (depth, level area in the pool's axes)) of every level area over which plants may grow or float."""
    inputs = result.option.pools[pool.index]
    named = {
        round(float(tier.depth), 6): tier.zone
        for tier in (*inputs.tiers, *(tier for pit in inputs.pits for tier in pit.tiers))
    }
    for depth, area in relief.levels_of(pool.surfaces.finished):
        if depth <= FLOATS and (zone := named.get(round(depth, 6))):
            yield zone, (depth, area)


def _plants(result: OptionResult, unit: str, system: System) -> Iterator[dict[str, Any]]:
    """Marks for plants, one trace for each zone: stalks in shallow water, floating leaves in deeper water."""
    every: dict[str, list[ModelMesh]] = {}
    for pool in result.pools:
        finished = pool.surfaces.finished
        for zone, (depth, area) in _zones(pool, result):
            stands = depth <= STANDS
            places = relief.spread(area.buffer(-LEAF / 2), APART["stands" if stands else "floats"], MOST_MARKS)
            for x, y in finished.placed.to_site(places) if len(places) else ():
                every.setdefault(zone, []).append(
                    _stalks(x, y, finished.level, depth) if stands else _leaf(x, y, finished.level)
                )
    for number, (zone, marks) in enumerate(every.items()):
        colour = LEAVES[number % len(LEAVES)]
        yield _mesh(relief.joined(marks), unit, f"plants: {frame.plain(zone)}", color=colour, flatshading=True)


def _stalks(x: float, y: float, level: float, depth: float) -> ModelMesh:
    """Three blades from the bed to above the water."""
    turns = np.radians([10.0, 130.0, 250.0]) + x * 7.0 + y * 3.0  # no two turned alike
    out = np.column_stack([np.cos(turns), np.sin(turns)])
    side = np.column_stack([-out[:, 1], out[:, 0]]) * LEAF / 8
    foot = np.array([x, y])
    low = level - depth
    tip = level + STALK * (0.75 + 0.25 * np.cos(turns * 3.0 + x))
    points = []
    for number in range(3):
        top = foot + out[number] * LEAF
        points += [
            (*(foot + side[number]), low),
            (*(foot - side[number]), low),
            (*top, float(tip[number])),
        ]
    return ModelMesh(np.array(points), np.arange(9).reshape(3, 3), np.zeros(9))


def _leaf(x: float, y: float, level: float) -> ModelMesh:
    """A round leaf just above the water."""
    turns = np.linspace(0.0, 2 * np.pi, 7)[:-1]
    ring = np.column_stack([x + LEAF * np.cos(turns), y + LEAF * np.sin(turns), np.full(6, level + 0.01)])
    faces = np.array([(0, number, number + 1) for number in range(1, 5)])
    return ModelMesh(ring, faces, np.zeros(6))


def _names(result: OptionResult, span: Span, unit: str) -> dict[str, Any]:
    """Names of the pools above their water, names of the dens, and a sign for north."""
    spots: list[Spot] = []
    names: list[str] = []
    for pool in result.pools:
        finished = pool.surfaces.finished
        x, y = finished.placed.to_site(np.array([finished.surface.pool.shape.pole]))[0]
        spots.append((float(x), float(y), finished.level + STALK))
        names.append(frame.plain(pool.name))
    for name, kind, spot in result.tunnels.places if result.tunnels else ():
        if kind == "chamber":
            spots.append((spot[0], spot[1], spot[2] + 2 * DEN_SIZE[2]))
            names.append(frame.plain(name))
    west, _, east, north = span
    spots.append(((west + east) / 2, north, _ground_level(result, (west + east) / 2, north) + 0.2))
    return _written(spots, [*names, "N ↑"], unit, "text", "names")


def _scale(result: OptionResult, span: Span, unit: str) -> dict[str, Any]:
    """A scale bar of a round length along the southern edge."""
    west, south, east, _ = span
    metres = frame.magnitude_of(unit)
    long = round_length((east - west) / 5 / metres) * metres
    middle = (west + east) / 2
    ends = [(middle - long / 2, south), (middle, south), (middle + long / 2, south)]
    spots: list[Spot] = [(x, y, _ground_level(result, x, y) + 0.05) for x, y in ends]
    return _written(spots, ["", f"{long / metres:g} {unit}", ""], unit, "lines+text", "scale")


def _ground_level(result: OptionResult, x: float, y: float) -> float:
    """Site level of the ground at a place [m]; if the ground has a problem, that of the highest rim."""
    if result.ground:
        return float(result.ground.level_at((x, y)))
    return max(pool.surfaces.finished.rim_level for pool in result.pools)


def _written(spots: list[Spot], texts: list[str], unit: str, mode: str, name: str) -> dict[str, Any]:
    x, y, z = frame.in_unit(np.array(spots), unit, 3).T
    text = {"text": texts, "textfont": {"size": 13, "color": frame.INK}, "hoverinfo": "skip"}
    line = {"line": {"color": frame.INK, "width": 4}} if "lines" in mode else {}
    return {"type": "scatter3d", "mode": mode, "name": name, "x": x, "y": y, "z": z, **text, **line}


VIEW = math.radians(40)  # angle of view below the horizontal; common practice, no source
EDGE = 3.0  # mm round the drawing
BANK, SIDE_WATER, HEAP = "#c9b896", "rgba(60,140,170,0.28)", "#d8ccb2"
LETTERS = 2.6  # mm
Solid = tuple[float, str]  # how far north it is, and its drawing


def projection(result: OptionResult, system: System, room: Room) -> Picture | None:
    """View of basins, water, stone and bodies from the south, looking down; None if there is no pool.

    Args:
        result: The evaluated option.
        system: Unit system, which decides the depth bands.
        room: Space for it on the paper.
    """
    if not result.pools:
        return None
    solids = [*_side_stones(result), *_bodies(result)]
    flat = [_projected_ring(ring, pool.surfaces.finished.rim_level) for pool in result.pools for ring in _rims(pool)]
    flat += [_projected_ring(heap.crest, heap.top) for heap in (result.earth.heaped if result.earth else ())]
    flat += [points for _, top, bottom, _ in solids for points in (top, bottom)]
    every = np.concatenate(flat)
    low, high = every.min(axis=0), every.max(axis=0)
    size = np.maximum(high - low, 1e-3)
    per = min((room.wide - 2 * EDGE) / size[0], (room.high - 2 * EDGE) / size[1])
    to = _Paper(low, high, per)
    parts = []
    for heap in result.earth.heaped if result.earth else ():
        ground = result.ground
        stands = ground.at(heap.edges[0]) if ground is not None else np.zeros(len(heap.edges[0]))
        parts.append(to.area(np.column_stack([heap.edges[0], stands]), HEAP, frame.GROUND))
        parts.append(to.area(_ring_at_level(heap.crest, heap.top), "#e4dbc6", frame.GROUND))
    for pool in sorted(result.pools, key=lambda pool: -_north(pool)):
        parts += _basin(pool, to, system, deepest([result]))
    for _, top, bottom, fill in sorted(solids, key=lambda solid: -float(solid[1][:, 1].max())):
        parts.append(to.hull(np.concatenate([top, bottom]), fill))
        parts.append(to.flat_area(top, _lighter(fill)))
    wide, tall = to.size
    labels = Labels((0.5, 0.5, wide - 0.5, tall - 0.5))
    for pool in result.pools:
        middle = to.points(_projected_ring(np.concatenate(_rims(pool)), pool.surfaces.finished.level)).mean(axis=0)
        labels.words.append(Label(float(middle[0]), float(middle[1]), pool.name, LETTERS, bold=True))
    words, _ = labels.written()
    svg = (
        f"<svg xmlns='http://www.w3.org/2000/svg' width='{wide:.3f}mm' height='{tall:.3f}mm' "
        f"viewBox='0 0 {wide:.3f} {tall:.3f}'>{''.join(parts)}{words}</svg>"
    )
    return Picture(svg, wide, tall, alt_projection(result), "Seen from the south, looking down; not to measure from.")


def alt_projection(result: OptionResult) -> str:
    """Description of the view in words."""
    names = ", ".join(pool.name for pool in result.pools)
    return f"View of option {result.option.name} from the south and above: {names}, with stone and what stands beside."


class _Paper:
    """Transformation from the projection [m] to millimetres of the drawing."""

    def __init__(self, low: Array, high: Array, per: float) -> None:
        self._low, self._high, self._per = low, high, per

    @property
    def size(self) -> tuple[float, float]:
        wide, tall = (self._high - self._low) * self._per + 2 * EDGE
        return float(wide), float(tall)

    def points(self, flat: Array) -> Array:
        return np.column_stack(
            [
                (flat[:, 0] - self._low[0]) * self._per + EDGE,
                (self._high[1] - flat[:, 1]) * self._per + EDGE,
            ]
        )

    def path(self, flat: Array) -> str:
        return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in self.points(flat)) + "Z"

    def area(self, places: Array, fill: str, line: str = "none", width: float = 0.2) -> str:
        """An area by the places of its edge (east, north, level)."""
        flat = _projected(places)
        return f"<path d='{self.path(flat)}' fill='{fill}' stroke='{line}' stroke-width='{width}'/>"

    def flat_area(self, flat: Array, fill: str) -> str:
        return f"<path d='{self.path(flat)}' fill='{fill}' stroke='{frame.INK}' stroke-width='0.15'/>"

    def hull(self, flat: Array, fill: str) -> str:
        return self.flat_area(flat[_hull(flat)], fill)


def _basin(pool: PoolResult, to: _Paper, system: System, scale: float) -> Iterator[str]:
    """The basin of a pool: each deeper part is seen only through the opening of the one above it."""
    finished = pool.surfaces.finished
    key = f"p{pool.index}"
    opened = 0
    rims = [_ring_at_level(ring, finished.rim_level) for ring in _rims(pool)]
    yield from (to.area(ring, BANK, frame.INK, 0.3) for ring in rims)
    yield _clip(f"{key}rim", to, rims)
    yield f"<g clip-path='url(#{key}rim)'>"
    opened += 1
    bands = depth_bands(scale, system)
    steps = sorted({*bands, *(band + (bands[1] - bands[0] if len(bands) > 1 else scale) / 2 for band in bands)})
    for number, depth in enumerate(steps):
        rings = [_ring_at_level(ring, finished.level - depth) for ring in rings_at(finished, depth)]
        if not rings:
            break
        yield from (to.area(ring, frame.shade(depth, scale), frame.FAINT, 0.1) for ring in rings)
        yield _clip(f"{key}d{number}", to, rings)
        yield f"<g clip-path='url(#{key}d{number})'>"
        opened += 1
    yield "</g>" * opened
    for ring in rings_at(finished, 0.0):
        yield to.area(_ring_at_level(ring, finished.level), SIDE_WATER, "#1f6f8b", 0.35)


def _clip(name: str, to: _Paper, rings: list[Array]) -> str:
    paths = "".join(to.path(_projected(ring)) for ring in rings)
    return f"<clipPath id='{html.escape(name)}'><path d='{paths}'/></clipPath>"


def _side_stones(result: OptionResult) -> Iterator[tuple[str, Array, Array, str]]:
    """(name, top, foot in projection, colour) of each placed boulder."""
    levels = {pool.name: pool.surfaces.finished.level for pool in result.pools}
    for kind in result.stone.kinds if result.stone else ():
        boulder, high = kind.boulder, min(float(axis) for axis in kind.boulder.axes)
        for ring in kind.rings:
            if boulder.pool in levels:
                foot = levels[boulder.pool] - float(boulder.under_water) * high
            else:
                foot = float(result.ground.at(ring.mean(axis=0)[None, :])[0]) if result.ground is not None else 0.0
            inner = ring.mean(axis=0) + (ring - ring.mean(axis=0)) * 0.75
            yield boulder.name, _projected_ring(inner, foot + high), _projected_ring(ring, foot), frame.STONE


def _bodies(result: OptionResult) -> Iterator[tuple[str, Array, Array, str]]:
    """(name, top, foot in projection, colour) of the bodies of the water side that rise above the ground."""
    for structure in works_of(result).structures:
        ring = np.asarray(structure.body.foot.exterior.coords, dtype=float)
        stands = float(result.ground.at(ring.mean(axis=0)[None, :])[0]) if result.ground is not None else 0.0
        if structure.rim is not None and structure.rim > stands:
            yield structure.name, _projected_ring(ring, structure.rim), _projected_ring(ring, stands), BODY


def _rims(pool: PoolResult) -> tuple[Array, ...]:
    return tuple(rim_rings(pool.surfaces.finished))


def _north(pool: PoolResult) -> float:
    return float(np.concatenate(_rims(pool))[:, 1].mean())


def _ring_at_level(ring: Array, level: float) -> Array:
    return np.column_stack([ring, np.full(len(ring), level)])


def _projected_ring(ring: Array, level: float) -> Array:
    return _projected(_ring_at_level(ring, level))


def _projected(places: Array) -> Array:
    """Places (east, north, level) in the projection from the south: across and up [m]."""
    up = places[:, 1] * math.sin(VIEW) + places[:, 2] * math.cos(VIEW)
    return np.column_stack([places[:, 0], up])


def _hull(points: Array) -> list[int]:
    """Indices of the corners of the convex hull, in order (Andrew's monotone chain)."""
    order = sorted(range(len(points)), key=lambda i: (points[i, 0], points[i, 1]))

    def chain(indices: list[int]) -> list[int]:
        corners: list[int] = []
        for index in indices:
            while len(corners) > 1:
                a, b = points[corners[-1]] - points[corners[-2]], points[index] - points[corners[-2]]
                if a[0] * b[1] - a[1] * b[0] > 0:
                    break
                corners.pop()
            corners.append(index)
        return corners[:-1]

    return chain(order) + chain(order[::-1])


def _lighter(colour: str) -> str:
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return "#{:02x}{:02x}{:02x}".format(*(round(part + (255 - part) * 0.35) for part in (red, green, blue)))
