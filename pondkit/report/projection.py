"""The pond from above and from the south as a drawing in parallel projection, made without a browser."""

import html
import math
from collections.abc import Iterator

import numpy as np

from pondkit.core.units import System
from pondkit.drawing import frame
from pondkit.drawing.blocks import Picture, Room
from pondkit.drawing.frame import Array
from pondkit.drawing.labels import Label, Labels
from pondkit.geometry.site_surface import rim_rings, rings_at
from pondkit.report.plan import deepest, depth_bands, works_of
from pondkit.study.evaluate import OptionResult
from pondkit.trades.earthwork.pictures.excavation import BODY
from pondkit.trades.pools.results import PoolResult

VIEW = math.radians(40)  # how far from the level the eye looks down; common practice, no source
EDGE = 3.0  # mm round the drawing
BANK, WATER, HEAP = "#c9b896", "rgba(60,140,170,0.28)", "#d8ccb2"
LETTERS = 2.6  # mm
Solid = tuple[float, str]  # how far north it stands, and its drawing


def projection(result: OptionResult, system: System, room: Room) -> Picture | None:
    """Basins, water, stone and bodies as they are seen from the south, looking down; None without a pool.

    Args:
        result: The option worked out.
        system: Units on show, by which the depth bands are chosen.
        room: What the paper has for it.
    """
    if not result.pools:
        return None
    solids = [*_stones(result), *_bodies(result)]
    flat = [_flat(ring, pool.surfaces.finished.rim_level) for pool in result.pools for ring in _rims(pool)]
    flat += [_flat(heap.crest, heap.top) for heap in (result.earth.heaped if result.earth else ())]
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
        parts.append(to.area(_solid(heap.crest, heap.top), "#e4dbc6", frame.GROUND))
    for pool in sorted(result.pools, key=lambda one: -_north(one)):
        parts += _basin(pool, to, system, deepest([result]))
    for _, top, bottom, fill in sorted(solids, key=lambda one: -float(one[1][:, 1].max())):
        parts.append(to.hull(np.concatenate([top, bottom]), fill))
        parts.append(to.flat_area(top, _lighter(fill)))
    wide, tall = to.size
    labels = Labels((0.5, 0.5, wide - 0.5, tall - 0.5))
    for pool in result.pools:
        middle = to.points(_flat(np.concatenate(_rims(pool)), pool.surfaces.finished.level)).mean(axis=0)
        labels.words.append(Label(float(middle[0]), float(middle[1]), pool.name, LETTERS, bold=True))
    words, _ = labels.written()
    svg = (
        f"<svg xmlns='http://www.w3.org/2000/svg' width='{wide:.3f}mm' height='{tall:.3f}mm' "
        f"viewBox='0 0 {wide:.3f} {tall:.3f}'>{''.join(parts)}{words}</svg>"
    )
    return Picture(svg, wide, tall, alt_projection(result), "Seen from the south, looking down; not to measure from.")


def alt_projection(result: OptionResult) -> str:
    """The view in words."""
    names = ", ".join(pool.name for pool in result.pools)
    return f"View of option {result.option.name} from the south and above: {names}, with stone and what stands beside."


class _Paper:
    """From places in projection [m] to millimetres of the drawing."""

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
        """Places (east, north, level) as an area."""
        flat = _seen(places)
        return f"<path d='{self.path(flat)}' fill='{fill}' stroke='{line}' stroke-width='{width}'/>"

    def flat_area(self, flat: Array, fill: str) -> str:
        return f"<path d='{self.path(flat)}' fill='{fill}' stroke='{frame.INK}' stroke-width='0.15'/>"

    def hull(self, flat: Array, fill: str) -> str:
        return self.flat_area(flat[_hull(flat)], fill)


def _basin(pool: PoolResult, to: _Paper, system: System, scale: float) -> Iterator[str]:
    """The hole of a pool: each deeper part is seen through the one above it alone."""
    finished = pool.surfaces.finished
    key = f"p{pool.index}"
    opened = 0
    rims = [_solid(ring, finished.rim_level) for ring in _rims(pool)]
    yield from (to.area(ring, BANK, frame.INK, 0.3) for ring in rims)
    yield _clip(f"{key}rim", to, rims)
    yield f"<g clip-path='url(#{key}rim)'>"
    opened += 1
    bands = depth_bands(scale, system)
    steps = sorted({*bands, *(band + (bands[1] - bands[0] if len(bands) > 1 else scale) / 2 for band in bands)})
    for number, depth in enumerate(steps):
        rings = [_solid(ring, finished.level - depth) for ring in rings_at(finished, depth)]
        if not rings:
            break
        yield from (to.area(ring, frame.shade(depth, scale), frame.FAINT, 0.1) for ring in rings)
        yield _clip(f"{key}d{number}", to, rings)
        yield f"<g clip-path='url(#{key}d{number})'>"
        opened += 1
    yield "</g>" * opened
    for ring in rings_at(finished, 0.0):
        yield to.area(_solid(ring, finished.level), WATER, "#1f6f8b", 0.35)


def _clip(name: str, to: _Paper, rings: list[Array]) -> str:
    paths = "".join(to.path(_seen(ring)) for ring in rings)
    return f"<clipPath id='{html.escape(name)}'><path d='{paths}'/></clipPath>"


def _stones(result: OptionResult) -> Iterator[tuple[str, Array, Array, str]]:
    """(what, its top, its foot in projection, colour) of each boulder that is placed and of each edging stone row."""
    levels = {pool.name: pool.surfaces.finished.level for pool in result.pools}
    for kind in result.stone.kinds if result.stone else ():
        boulder, high = kind.boulder, min(float(axis) for axis in kind.boulder.axes)
        for ring in kind.rings:
            if boulder.pool in levels:
                foot = levels[boulder.pool] - float(boulder.under_water) * high
            else:
                foot = float(result.ground.at(ring.mean(axis=0)[None, :])[0]) if result.ground is not None else 0.0
            inner = ring.mean(axis=0) + (ring - ring.mean(axis=0)) * 0.75
            yield boulder.name, _flat(inner, foot + high), _flat(ring, foot), frame.STONE


def _bodies(result: OptionResult) -> Iterator[tuple[str, Array, Array, str]]:
    """The same of the bodies of the water side that stand above the ground."""
    for one in works_of(result).structures:
        ring = np.asarray(one.body.foot.exterior.coords, dtype=float)
        stands = float(result.ground.at(ring.mean(axis=0)[None, :])[0]) if result.ground is not None else 0.0
        if one.rim is not None and one.rim > stands:
            yield one.name, _flat(ring, one.rim), _flat(ring, stands), BODY


def _rims(pool: PoolResult) -> tuple[Array, ...]:
    return tuple(rim_rings(pool.surfaces.finished))


def _north(pool: PoolResult) -> float:
    return float(np.concatenate(_rims(pool))[:, 1].mean())


def _solid(ring: Array, level: float) -> Array:
    return np.column_stack([ring, np.full(len(ring), level)])


def _flat(ring: Array, level: float) -> Array:
    return _seen(_solid(ring, level))


def _seen(places: Array) -> Array:
    """Places (east, north, level) as they are seen from the south: across and up [m]."""
    up = places[:, 1] * math.sin(VIEW) + places[:, 2] * math.cos(VIEW)
    return np.column_stack([places[:, 0], up])


def _hull(points: Array) -> list[int]:
    """Indices of the corners of the convex hull, in order (Andrew's monotone chain)."""
    order = sorted(range(len(points)), key=lambda i: (points[i, 0], points[i, 1]))

    def chain(indices: list[int]) -> list[int]:
        held: list[int] = []
        for index in indices:
            while len(held) > 1:
                a, b = points[held[-1]] - points[held[-2]], points[index] - points[held[-2]]
                if a[0] * b[1] - a[1] * b[0] > 0:
                    break
                held.pop()
            held.append(index)
        return held[:-1]

    return chain(order) + chain(order[::-1])


def _lighter(colour: str) -> str:
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return "#{:02x}{:02x}{:02x}".format(*(round(part + (255 - part) * 0.35) for part in (red, green, blue)))
