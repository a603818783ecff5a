"""Cut and fill from above: how deep the ground is cut for the pools, and how high their banks are built."""

from typing import Any

import numpy as np

from pondkit.core.entry import Entry
from pondkit.core.units import LENGTH, VOLUME, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure
from pondkit.drawing.plan_layout import plan_layout
from pondkit.drawing.traces import Label, line_trace, outlined, written
from pondkit.geometry.footprint import rings
from pondkit.geometry.site_surface import rim_rings, rings_at
from pondkit.geometry.terrain import Terrain
from pondkit.geometry.trench import CutMap, TrenchCut, cut_map
from pondkit.trades.earthwork.pictures.structures import Works, works_traces
from pondkit.trades.earthwork.results.excavation import ExcavationResult
from pondkit.trades.pools.results import PoolResult

# Fill dark brown to pale, level ground white, cut pale to dark blue: lightness falls both ways, and the hues
# can be told apart by every eye.
COLOURS = ("#5e3c08", "#a6712c", "#dcb981", "#f6f1e7", "#b9d7e0", "#5c9db6", "#163f5f")


def cut_fill(
    pools: tuple[PoolResult, ...],
    works: Works,
    cuts: tuple[TrenchCut, ...] | None,
    ground: Terrain | None,
    span: tuple[float, float, float, float],
    system: System,
) -> Figure | None:
    """Cut and fill by colour, waterlines and rims over it; None where the ground is in trouble or nothing is drawn.

    Args:
        pools: Those that could be worked out.
        works: What is dug besides them, and what is heaped.
        cuts: Trenches of pipe and pits of dens; None where nothing is dug.
        ground: As it is.
        span: West, south, east, north of all that is drawn [m].
        system: Units on show.
    """
    cuts = cuts or ()
    known = [(pool, pool.ground.reach) for pool in pools if pool.ground]
    if ground is None or not known:
        return None
    unit, small = frame.PLAN_UNIT[system], frame.DEPTH_UNIT[system]
    met = [pool for pool, _ in known]
    made = cut_map(
        [pool.surfaces.dig for pool in met],
        [reach for _, reach in known],
        ground,
        [*(one.hole for one in works.structures), *(one.cut for one in works.beds), *cuts],
        [one.bank for one in works.beds],
    )
    data: list[dict[str, Any]] = [_heat(made, unit, small)]
    rims = [ring for pool in met for ring in rim_rings(pool.surfaces.liner)]
    waterlines = [ring for pool in met for ring in rings_at(pool.surfaces.finished, 0.0)]
    data.append(line_trace(rims, unit, frame.INK, 1.0, dash="dot", name="rim"))
    data.append(line_trace(waterlines, unit, frame.INK, 1.4, name="waterline"))
    data += works_traces(works, unit, system)
    if cuts:
        dug = [(ring, f"trench or pit, {frame.plain(cut.name)}") for cut in cuts for ring in rings(cut.area)]
        data.append(
            outlined(dug, unit, "pipe trenches and den pits", {"width": 1.0, "color": frame.GROUND, "dash": "dot"})
        )
    labels: list[Label] = []
    for pool in met:
        x, y = frame.in_unit(
            pool.surfaces.placed.to_site(np.array([pool.surfaces.dig.surface.pool.shape.pole]))[0], unit, 2
        )
        labels.append((float(x), float(y), f"<b>{frame.plain(pool.name)}</b>", 12, "middle center"))
    data.append(written(labels))
    west, south, east, north = span
    half = (made.east[1] - made.east[0]) / 2 if len(made.east) > 1 else 0.0
    shown_span = (
        min(west, float(made.east[0] - half)),
        min(south, float(made.north[0] - half)),
        max(east, float(made.east[-1] + half)),
        max(north, float(made.north[-1] + half)),
    )
    return frame.figure(data, **plan_layout(shown_span, unit, None))


def alt_cut_fill(
    option: str,
    pools: tuple[PoolResult, ...],
    dug: ExcavationResult | None,
    dig: Entry | None,
    fill: Entry | None,
    system: System,
) -> str:
    """Cut and fill in words.

    Args:
        option: Its name.
        pools: Those that could be worked out.
        dug: What is dug besides them.
        dig, fill: In all; None where a part is in trouble.
        system: Units on show.
    """
    parts = [
        f"{pool.name} is cut {show(max(pool.dig_depth.value, 0.0), LENGTH, system)} deep at most"
        for pool in pools
        if pool.dig_depth
    ]
    parts += [
        f"the bed of {figure.subject} takes {show(figure.value, VOLUME, system)}"
        for figure in (dug.link_dig_volume if dug else ())
    ]
    parts += (
        [
            f"a hole for {figure.subject} takes {show(figure.value, VOLUME, system)}"
            for figure in (*dug.body_hole_volume, *dug.footing_volume)
        ]
        if dug
        else []
    )
    if dug and dug.cuts:
        named = ", ".join(cut.name for cut in dug.cuts)
        parts.append(f"trenches of pipe and pits of dens: {named}")
    if dig and fill:
        parts.append(f"{show(dig.value, VOLUME, system)} dug in all, {show(fill.value, VOLUME, system)} of bank built")
    return f"Cut and fill of option {option}: {'; '.join(parts) or 'not known'}."


def _heat(made: CutMap, unit: str, small: str) -> dict[str, Any]:
    """Depth of cut and fill by colour."""
    shown = frame.in_unit(np.nan_to_num(made.depth), small, 1)
    most = float(np.abs(shown).max()) or 1.0
    # White fades into no change: a map of both has one scale, as much of it each way as the deeper of the two.
    return {
        "type": "heatmap",
        "x": frame.in_unit(made.east, unit, 3),
        "y": frame.in_unit(made.north, unit, 3),
        "zmin": -most,
        "zmax": most,
        "z": [
            [None if np.isnan(d) else float(v) for d, v in zip(deep, row, strict=True)]
            for deep, row in zip(made.depth, shown, strict=True)
        ],
        "colorscale": [[i / (len(COLOURS) - 1), colour] for i, colour in enumerate(COLOURS)],
        "name": "cut and fill",
        "hoverongaps": False,
        "hovertemplate": f"%{{z:.1f}} {small}, cut above 0, fill below<extra></extra>",
        "colorbar": {
            "title": {"text": f"cut + / fill − [{small}]", "side": "right"},
            "thickness": 12,
            "len": 0.9,
            "outlinewidth": 0,
        },
    }
