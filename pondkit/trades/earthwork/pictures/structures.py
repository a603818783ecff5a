"""What is dug besides the pools, from above: bodies of the water side and walls, edges of their holes and of beds of
links; and what is heaped."""

from typing import Any, NamedTuple

import numpy as np

from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Array
from pondkit.drawing.traces import Label, line_trace, outlined
from pondkit.geometry.footprint import rings
from pondkit.geometry.site_surface import rings_at
from pondkit.trades.earthwork.results.excavation import EarthResult, StreamBed, Structure
from pondkit.trades.pools.results import PoolResult

BERM = "rgba(150,112,56,0.28)"
BERM_NAME = "berm"  # as earth names it
BODY = "#8fa3ad"  # between water and stone, so that it reads on both


class Works(NamedTuple):
    """What is dug besides the pools, and what is heaped."""

    structures: tuple[Structure, ...]
    beds: tuple[StreamBed, ...]
    earth: EarthResult | None


def works_traces(works: Works, unit: str, system: System) -> list[dict[str, Any]]:
    """Bodies and walls as areas, dotted the edge of their holes and of links' beds at the most: two traces, none
    where there is nothing."""
    data = heap_traces(works.earth, unit, system)
    edges = [ring for one in works.structures for ring in rings(one.hole.area)]
    edges += [ring for one in works.beds for ring in rings(one.cut.area)]
    if not edges:
        return data
    plans = [
        (ring, f"{frame.plain(one.name)}: stands at {show(one.body.bottom, LENGTH, system)}")
        for one in works.structures
        for ring in rings(one.body.foot)
    ]
    line = {"width": 1.2, "color": frame.INK}
    return [
        *data,
        line_trace(edges, unit, frame.GROUND, 1.4, dash="dot", name="holes of bodies and walls, beds of links"),
        *(
            [outlined(plans, unit, "bodies and walls", line, fill="toself", fillcolor=BODY, opacity=0.85)]
            if plans
            else []
        ),
    ]


def heap_traces(earth: EarthResult | None, unit: str, system: System) -> list[dict[str, Any]]:
    """Berm and banks outside the rim lines within their toes, and the edge of the berm's top: two traces at most."""
    if earth is None or not earth.heaped:
        return []
    high = earth.berm_volume
    built = {figure.subject: show(figure.value, figure.kind, system) for figure in earth.outer_bank_volume}
    said, tops = [], []
    for one in earth.heaped:
        name = one.footprint.name
        if name == BERM_NAME:
            words = f"berm, {show(high.value, high.kind, system)} compacted" if high else "berm"
            tops.append(one.crest)
        else:
            words = f"{frame.plain(name)}, {built.get(one.turned.name, 'hardly any soil')} as built in"
        said += [(ring, f"{words}; its top at {show(one.top, LENGTH, system)}") for ring in one.edges]
    line = {"width": 1.2, "color": frame.GROUND}
    data = [outlined(said, unit, "berm and outer bank", line, fill="toself", fillcolor=BERM)]
    return [*data, line_trace(tops, unit, frame.GROUND, 1.2, name="top of the berm")] if tops else data


def works_labels(works: Works, pools: tuple[PoolResult, ...], unit: str) -> list[Label]:
    """Their names, each at the side of its hole that lies away from the nearest pool."""
    labels = []
    middles = [np.concatenate(rings_at(pool.surfaces.finished, 0.0)).mean(axis=0) for pool in pools]
    for one in works.structures:
        west, south, east, north = one.hole.area.bounds
        middle = np.array([(west + east) / 2, (south + north) / 2])
        nearest = min(middles, key=lambda at: float(np.hypot(*(at - middle))), default=middle)
        above = middle[1] > nearest[1]
        x, y = frame.in_unit(np.array([middle[0], north if above else south]), unit, 2)
        labels.append((float(x), float(y), frame.plain(one.name), 11, f"{'top' if above else 'bottom'} center"))
    for heap in works.earth.heaped if works.earth else ():
        if heap.footprint.name == BERM_NAME:
            line = heap.edges[0]
            x, y = frame.in_unit(line[int(np.argmin(line[:, 0]))], unit, 2)  # inside it, at its west end
            labels.append((float(x), float(y), BERM_NAME, 11, "middle right"))
    return labels


def works_points(works: Works) -> list[Array]:
    """Corners of what is dug for them, for how far a picture goes [m]."""
    heaped = works.earth.heaped if works.earth else ()
    areas = [*(one.hole.area for one in works.structures), *(one.cut.area for one in works.beds)]
    return [*(ring for area in areas for ring in rings(area)), *(edge for one in heaped for edge in one.edges)]


def alt_works(works: Works, system: System) -> str:
    """Them in words, as the end of a sentence; nothing where there are none."""
    said = [
        f"{one.name} (stands at {show(one.body.bottom, LENGTH, system)}, its hole goes to "
        f"{show(one.hole.bottom, LENGTH, system)})"
        for one in works.structures
    ]
    said += [
        f"bed of {one.name}, dug from {show(one.cut.line[one.crest][2], LENGTH, system)} at its crest to "
        f"{show(one.cut.line[-1][2], LENGTH, system)}"
        for one in works.beds
    ]
    berm = (
        works.earth.berm_volume
        if works.earth and any(one.footprint.name == BERM_NAME for one in works.earth.heaped)
        else None
    )
    if berm:
        said.append(f"a berm of {show(berm.value, berm.kind, system)}")
    if works.earth:
        said += [
            f"an outer bank of {figure.subject} of {show(figure.value, figure.kind, system)}"
            for figure in works.earth.outer_bank_volume
        ]
    return f"; beside them {', '.join(said)}" if said else ""
