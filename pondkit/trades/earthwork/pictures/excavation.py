"""Pictures of the excavation in plan: structures and their excavations, cut and fill by colour, the dig as built
against the drawing; and the stone to be delivered, by class in the order in which it is set, with its loads.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.entry import Entry
from pondkit.core.remembered import remembered
from pondkit.core.units import LENGTH, MASS, VOLUME, System, magnitude, show
from pondkit.drawing import frame
from pondkit.drawing.blocks import Block, table
from pondkit.drawing.frame import Array, Figure, plan_layout
from pondkit.drawing.rows import fixed, row_of, unit_of
from pondkit.drawing.traces import HALO, Label, joined, line_trace, outlined, points_trace, spread, written
from pondkit.geometry.footprint import rings
from pondkit.geometry.site_surface import level_depths, rim_rings, rings_at
from pondkit.geometry.terrain import Terrain
from pondkit.geometry.trench import CutMap, TrenchCut, cut_map
from pondkit.trades.earthwork.results import (
    AsBuilt,
    EarthResult,
    ExcavationResult,
    HaulResult,
    StoneClass,
    StreamBed,
    StreamBeds,
    Structure,
    Structures,
    SurveyedLevel,
    TapedLine,
)
from pondkit.trades.pools.results import PoolResult

BERM = "rgba(150,112,56,0.28)"
BERM_NAME = "berm"  # of its plan, see ``compute.berms``
BODY = "#8fa3ad"  # between water and stone, so that it reads on both


@dataclass(frozen=True, eq=False)
class Works:
    """Excavations besides the pools, and fills, of one option.

    Attributes:
        structures: Bodies and walls with their excavations.
        beds: Stream beds.
        earth: The soil balance, for berm and banks; None if there is none.
    """

    structures: tuple[Structure, ...]
    beds: tuple[StreamBed, ...]
    earth: EarthResult | None


@remembered
def all_works(structures: Structures, beds: StreamBeds, earth: EarthResult | None) -> Works:
    """Excavations and fills of an option; one object as long as they are unchanged, so that their traces are kept."""
    return Works(structures.each, beds.each, earth)


@remembered
def works_traces(works: Works, unit: str, system: System) -> list[dict[str, Any]]:
    """Traces of bodies and walls as areas, and dotted edges of their excavations and of stream beds: at
    most two traces.
    """
    data = heap_traces(works.earth, unit, system)
    edges = [ring for structure in works.structures for ring in rings(structure.hole.area)]
    edges += [ring for bed in works.beds for ring in rings(bed.cut.area)]
    if not edges:
        return data
    plans = [
        (ring, f"{frame.plain(structure.name)}: stands at {show(structure.body.bottom, LENGTH, system)}")
        for structure in works.structures
        for ring in rings(structure.body.foot)
    ]
    line = {"width": 1.2, "color": frame.INK}
    return [
        *data,
        line_trace(edges, unit, frame.GROUND, 1.4, dash="dot", name="excavations for bodies and walls, stream beds"),
        *(
            [outlined(plans, unit, "bodies and walls", line, fill="toself", fillcolor=BODY, opacity=0.85)]
            if plans
            else []
        ),
    ]


@remembered
def heap_traces(earth: EarthResult | None, unit: str, system: System) -> list[dict[str, Any]]:
    """Traces of the berm and of banks outside the rim lines within their toes, and the edge of the berm's top: at most
    two traces.
    """
    if earth is None or not earth.heaped:
        return []
    berm_volume = earth.berm_volume
    bank_volumes = {figure.subject: show(figure.value, figure.kind, system) for figure in earth.outer_bank_volume}
    outlines, tops = [], []
    for heap in earth.heaped:
        name = heap.footprint.name
        if name == BERM_NAME:
            volume = f", {show(berm_volume.value, berm_volume.kind, system)} compacted" if berm_volume else ""
            text = f"{BERM_NAME}{volume}"
            tops.append(heap.crest)
        else:
            bank_volume = bank_volumes.get(heap.turned.name)
            text = f"{frame.plain(name)}, {f'{bank_volume} compacted' if bank_volume else 'hardly any soil'}"
        outlines += [(ring, f"{text}; its top at {show(heap.top, LENGTH, system)}") for ring in heap.edges]
    line = {"width": 1.2, "color": frame.GROUND}
    data = [outlined(outlines, unit, "berm and outer bank", line, fill="toself", fillcolor=BERM)]
    return [*data, line_trace(tops, unit, frame.GROUND, 1.2, name="top of the berm")] if tops else data


@remembered
def works_labels(works: Works, pools: tuple[PoolResult, ...], unit: str) -> list[Label]:
    """Names of structures, each on the side of its excavation away from the nearest pool."""
    labels = []
    middles = [np.concatenate(rings_at(pool.surfaces.finished, 0.0)).mean(axis=0) for pool in pools]
    for structure in works.structures:
        west, south, east, north = structure.hole.area.bounds
        middle = np.array([(west + east) / 2, (south + north) / 2])
        nearest = min(middles, key=lambda pool_middle: float(np.hypot(*(pool_middle - middle))), default=middle)
        above = middle[1] > nearest[1]
        x, y = frame.in_unit(np.array([middle[0], north if above else south]), unit, 2)
        labels.append((float(x), float(y), frame.plain(structure.name), 11, f"{'top' if above else 'bottom'} center"))
    for heap in works.earth.heaped if works.earth else ():
        if heap.footprint.name == BERM_NAME:
            toe = heap.edges[0]
            x, y = frame.in_unit(toe[int(np.argmin(toe[:, 0]))], unit, 2)  # inside it, at its west end
            labels.append((float(x), float(y), BERM_NAME, 11, "middle right"))
    return labels


def works_points(works: Works) -> list[Array]:
    """Corners of their excavations, for the extent of a picture [m]."""
    heaped = works.earth.heaped if works.earth else ()
    areas = [*(structure.hole.area for structure in works.structures), *(bed.cut.area for bed in works.beds)]
    return [*(ring for area in areas for ring in rings(area)), *(edge for heap in heaped for edge in heap.edges)]


@remembered
def alt_works(works: Works, system: System) -> str:
    """Structures in words, as the end of a sentence; "" if there are none."""
    sentences = [
        f"{structure.name} (stands at {show(structure.body.bottom, LENGTH, system)}, its hole goes to "
        f"{show(structure.hole.bottom, LENGTH, system)})"
        for structure in works.structures
    ]
    sentences += [
        f"bed of {bed.name}, dug from {show(bed.dig_levels[bed.crest], LENGTH, system)} at its crest to "
        f"{show(bed.dig_levels[-1], LENGTH, system)}"
        for bed in works.beds
    ]
    berm = (
        works.earth.berm_volume
        if works.earth and any(heap.footprint.name == BERM_NAME for heap in works.earth.heaped)
        else None
    )
    if berm:
        sentences.append(f"a berm of {show(berm.value, berm.kind, system)}")
    if works.earth:
        sentences += [
            f"an outer bank of {figure.subject} of {show(figure.value, figure.kind, system)}"
            for figure in works.earth.outer_bank_volume
        ]
    return f"; beside them {', '.join(sentences)}" if sentences else ""


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
    """Map of cut and fill by colour, with waterlines and rims; None if the ground has a problem or there are no pools.

    Args:
        pools: Those without problems.
        works: Other excavations, and fills.
        cuts: Trenches of pipe and pits of dens; None if there are none.
        ground: Existing ground.
        span: West, south, east and north limits of the plan [m].
        system: Unit system displayed.
    """
    cuts = cuts or ()
    pools = tuple(pool for pool in pools if pool.ground)
    if ground is None or not pools:
        return None
    unit, small = frame.PLAN_UNIT[system], frame.DEPTH_UNIT[system]
    cut_depths = cut_map(
        [pool.surfaces.dig for pool in pools],
        [pool.ground.reach for pool in pools if pool.ground],
        ground,
        [*(structure.hole for structure in works.structures), *(bed.cut for bed in works.beds), *cuts],
        [bed.bank for bed in works.beds],
    )
    data: list[dict[str, Any]] = [_depth_map(cut_depths, unit, small)]
    rims = [ring for pool in pools for ring in rim_rings(pool.surfaces.liner)]
    waterlines = [ring for pool in pools for ring in rings_at(pool.surfaces.finished, 0.0)]
    data.append(line_trace(rims, unit, frame.INK, 1.0, dash="dot", name="rim"))
    data.append(line_trace(waterlines, unit, frame.INK, 1.4, name="waterline"))
    data += works_traces(works, unit, system)
    if cuts:
        dug = [(ring, f"trench or pit, {frame.plain(cut.name)}") for cut in cuts for ring in rings(cut.area)]
        data.append(
            outlined(dug, unit, "pipe trenches and den pits", {"width": 1.0, "color": frame.GROUND, "dash": "dot"})
        )
    labels: list[Label] = []
    for pool in pools:
        x, y = frame.in_unit(
            pool.surfaces.placed.to_site(np.array([pool.surfaces.dig.surface.pool.shape.pole]))[0], unit, 2
        )
        labels.append((float(x), float(y), f"<b>{frame.plain(pool.name)}</b>", 12, "middle center"))
    data.append(written(labels))
    west, south, east, north = span
    half = (cut_depths.east[1] - cut_depths.east[0]) / 2 if len(cut_depths.east) > 1 else 0.0
    shown_span = (
        min(west, float(cut_depths.east[0] - half)),
        min(south, float(cut_depths.north[0] - half)),
        max(east, float(cut_depths.east[-1] + half)),
        max(north, float(cut_depths.north[-1] + half)),
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
        pools: Those without problems.
        dug: Excavation besides the pools.
        dig, fill: All that is dug, and the fill for banks; None if a part has a problem.
        system: Unit system displayed.
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
        names = ", ".join(cut.name for cut in dug.cuts)
        parts.append(f"trenches of pipe and pits of dens: {names}")
    if dig and fill:
        parts.append(f"{show(dig.value, VOLUME, system)} dug in all, {show(fill.value, VOLUME, system)} of bank built")
    return f"Cut and fill of option {option}: {'; '.join(parts) or 'not known'}."


def _depth_map(cut_depths: CutMap, unit: str, small: str) -> dict[str, Any]:
    """Depth of cut and fill as a colour map."""
    depths = frame.in_unit(np.nan_to_num(cut_depths.depth), small, 1)
    most = float(np.abs(depths).max()) or 1.0
    # White fades into no change: a map of both has one scale, as much of it each way as the deeper of the two.
    return {
        "type": "heatmap",
        "x": frame.in_unit(cut_depths.east, unit, 3),
        "y": frame.in_unit(cut_depths.north, unit, 3),
        "zmin": -most,
        "zmax": most,
        "z": [
            [None if np.isnan(depth) else float(shown) for depth, shown in zip(row, shown_row, strict=True)]
            for row, shown_row in zip(cut_depths.depth, depths, strict=True)
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


def as_built_plan(
    as_built: AsBuilt | None,
    pools: tuple[PoolResult, ...],
    within: float | None,
    span: tuple[float, float, float, float],
    system: System,
) -> Figure | None:
    """Plan of the levels measured, each with how far it is off the drawing, and of tape lines. None if nothing was
    measured.

    Args:
        as_built: The as-built survey.
        pools: Those without problems.
        within: Tolerance of floors, up and down [m]; None without dig inputs.
        span: West, south, east and north limits of the plan [m].
        system: Unit system displayed.
    """
    if not _measured(as_built):
        return None
    assert as_built is not None
    assert within is not None
    unit, small = frame.system_units(system)
    finished = [pool.surfaces.finished for pool in pools]
    rims = [ring for pool in pools for ring in rim_rings(pool.surfaces.liner)]
    edges = [ring for surface in finished for depth in level_depths(surface) for ring in rings_at(surface, depth)]
    waters = [ring for surface in finished for ring in rings_at(surface, 0.0)]
    data: list[dict[str, Any]] = [
        line_trace(rims, unit, frame.GROUND, 1.2, dash="dot", name="rim"),
        line_trace(edges, unit, frame.FAINT, 1.0, name="level parts"),
        line_trace(waters, unit, frame.INK, 1.6, name="waterline"),
    ]
    if as_built.lines:
        data.append(_tape_lines(as_built.lines, unit))
    if as_built.levels:
        data.append(_levels(as_built.levels, within, unit, small))
    return frame.figure(data, **plan_layout(span, unit, None))


def _measured(as_built: AsBuilt | None) -> bool:
    return as_built is not None and bool(as_built.levels or as_built.lines)


def alt_as_built(as_built: AsBuilt | None, system: System) -> str:
    """The as-built survey in words."""
    if as_built is None or not _measured(as_built):
        return "Nothing has been measured of the hole yet."
    unit = frame.DEPTH_UNIT[system]
    differs = "; ".join(
        f"{figure.subject} {show(figure.value, LENGTH, system, unit)}" for figure in as_built.dug_difference
    )
    spare = "; ".join(
        f"{figure.subject} {show(figure.value, LENGTH, system, unit)}" for figure in as_built.liner_spare_as_dug
    )
    return f"As-built survey. Deviation from design: {differs or 'none'}. Liner to spare: {spare or 'not known'}."


def _tape_lines(lines: Sequence[TapedLine], unit: str) -> dict[str, Any]:
    """Tape lines with their names."""
    ends = [np.array([line.tape.start, line.tape.end], dtype=float) for line in lines]
    x, y = joined(ends, unit)
    names = [text for line in lines for text in (frame.plain(line.tape.name), "", "")]
    return {
        "type": "scatter",
        "mode": "lines+text",
        "x": x,
        "y": y,
        "name": "tape lines",
        "text": names,
        "textposition": "top center",
        "textfont": {"size": 12, "color": frame.PIPE, "shadow": HALO},
        "line": {"color": frame.PIPE, "width": 1.6, "dash": "dash"},
        "hoverinfo": "skip",
    }


def _levels(levels: Sequence[SurveyedLevel], within: float, unit: str, small: str) -> dict[str, Any]:
    """Markers of surveyed levels with their deviation; crosses outside the tolerance."""
    texts = [f"{fixed(abs(level.over), small, 1)} {small} {'high' if level.over > 0 else 'deep'}" for level in levels]
    outside = [abs(level.over) > within + 1e-9 for level in levels]
    return points_trace(
        [level.measured.at for level in levels],
        [
            f"{frame.plain(level.measured.pool)}, level {level.number}: dug {text}"
            for level, text in zip(levels, texts, strict=True)
        ],
        unit,
        mode="markers+text",
        name="levels measured",
        text=texts,
        textposition="top center",
        textfont={"size": 12, "color": frame.INK, "shadow": HALO},
        marker={
            "size": 9,
            "color": [frame.MARK if out else frame.INK for out in outside],
            "symbol": ["x" if out else "circle" for out in outside],
        },
    )


MASS_KEY = "class_mass"
ROOM = 1.5  # width of the picture relative to the longest bar, with room for the loads written after it
LOAD_COLUMNS = ("Order", "What", "How many", "Mass", "Low to high", "Load limit", "Loads")


def loads(haul: HaulResult | None, system: System) -> Figure | None:
    """Bar chart of the mass of each class in delivery order, with range and number of loads; None if there is none.

    Args:
        haul: Stone by class; None if not required.
        system: Unit system displayed.
    """
    classes = haul.classes if haul else ()
    if not classes:
        return None
    masses = [stone_class.class_mass for stone_class in classes]
    unit = _unit(masses, system)
    typical, low, high = (
        [magnitude(value, MASS, unit) for value in values]
        for values in ([m.value for m in masses], [m.least for m in masses], [m.most for m in masses])
    )
    rows = list(range(len(classes)))
    bars = {
        "type": "bar",
        "orientation": "h",
        "x": [round(value, 3) for value in typical],
        "y": rows,
        "width": 0.6,
        "marker": {"color": frame.STONE},
        "error_x": spread(low, typical, high),
        "hovertext": [frame.plain(_class_text(stone_class, system)) for stone_class in classes],
        "hoverinfo": "text",
    }
    notes = [
        {
            "x": end,
            "y": row,
            "text": frame.plain(_loads_text(stone_class, system)),
            "showarrow": False,
            "xanchor": "left",
            "xshift": 10,
            "font": {"size": 12, "color": frame.MARK if _too_heavy(stone_class) else frame.INK},
        }
        for row, end, stone_class in zip(rows, high, classes, strict=True)
    ]
    return frame.figure(
        [bars],
        x={"title": frame.title("mass of the class, dry", unit), "range": [0, max(high) * ROOM or 1]},
        y=frame.row_axis(
            [
                f"{row + 1} · {frame.plain(stone_class.class_mass.subject)}"
                for row, stone_class in zip(rows, classes, strict=True)
            ]
        ),
        annotations=notes,
    )


def alt_loads(haul: HaulResult | None, system: System) -> str:
    """The stone deliveries in words."""
    if haul is None or not haul.classes:
        return "No stone to haul."
    text = "; ".join(f"{turn}. {_class_text(stone_class, system)}" for turn, stone_class in enumerate(haul.classes, 1))
    return f"Stone in the order in which it is set: {text}."


def loads_table(haul: HaulResult | None, system: System) -> tuple[Block, ...]:
    """The classes in delivery order, as a table for a paper; empty if there are none."""
    return table(LOAD_COLUMNS, _load_rows(haul, system), (0, 2, 3, 4, 5, 6))


def _load_rows(haul: HaulResult | None, system: System) -> Iterator[tuple[str, ...]]:
    for stone_class in haul.classes if haul else ():
        mass = row_of("", "", MASS_KEY, stone_class.class_mass, system)
        yield (
            f"{stone_class.delivery_turn.value:g}",
            stone_class.class_mass.subject,
            "" if stone_class.count is None else f"{stone_class.count:g}",
            mass.text,
            mass.range_text,
            _load_limit(stone_class, system),
            _number_of_loads(stone_class, system),
        )


def _load_limit(stone_class: StoneClass, system: System) -> str:
    """Number of stones or loose volume that one load takes; "" if that is unknown."""
    if stone_class.pieces_per_load:
        return (
            f"{stone_class.pieces_per_load.value:g}"
            if stone_class.pieces_per_load.value
            else "none: too heavy or large"
        )
    return (
        row_of("", "", "volume_per_load", stone_class.volume_per_load, system).text
        if stone_class.volume_per_load
        else ""
    )


def _number_of_loads(stone_class: StoneClass, system: System) -> str:
    """Number of loads, with its range; "" if it is unknown."""
    if stone_class.stone_loads is None:
        return ""
    row = row_of("", "", "stone_loads", stone_class.stone_loads, system)
    return row.range_text or row.text


def _loads_text(stone_class: StoneClass, system: System) -> str:
    if _too_heavy(stone_class):
        return "more than this truck takes"
    many = _number_of_loads(stone_class, system)
    return f"{many} {'load' if many == '1' else 'loads'}, up to {_load_limit(stone_class, system)} each" if many else ""


def _too_heavy(stone_class: StoneClass) -> bool:
    return stone_class.pieces_per_load is not None and stone_class.pieces_per_load.value == 0


def _class_text(stone_class: StoneClass, system: System) -> str:
    """A class in words: count, range of its mass, loads."""
    mass = stone_class.class_mass
    unit = _unit([mass], system)
    low, high = (show(value, MASS, system, unit) for value in (mass.least, mass.most))
    loads_text = _loads_text(stone_class, system)
    count = "" if stone_class.count is None else f" ({stone_class.count:g})"
    return f"{mass.subject}{count}, {low} to {high}{f', {loads_text}' if loads_text else ''}"


def _unit(masses: list[Entry], system: System) -> str:
    return unit_of(MASS_KEY, masses[0].value, masses[0], system)
