"""How a liner ends beyond the rim: laid flat, turned up, or in an anchor trench."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry, holds, with_cautions
from pondkit.core.units import LENGTH, Length, Volume
from pondkit.geometry.round import length_of
from pondkit.trades.liner.cautions import (
    ANCHOR_NARROW,
    ANCHOR_NEAR_RIM,
    ANCHOR_SHALLOW,
    EDGE_TOO_SHORT,
    ONE_ANCHOR_TRENCH,
    SERVICES_AT_ANCHOR,
    SOIL_OVER_EDGE,
    TRENCH_BACK,
    TRENCH_DEPTH,
    TRENCH_WIDTH,
)
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.under import Under

TRENCH, UP = "anchor trench", "turned up"


def trench_edge(edge: Length, back: Length, depth: Length, width: Length) -> Length:
    """Liner beyond the rim that ends in an anchor trench: back to it, down, across its floor and up its far side; the edge entered where more.

    Source: geometry; sizes: user input
    """
    return max(edge, back + 2 * depth + width)


def edge_needed_flat(edge: Length) -> Length:
    """Liner beyond the rim for an edge that is laid flat.

    Source: user input
    """
    return edge


@holds(lambda edge, back, rise: edge >= back + rise - 1e-9, EDGE_TOO_SHORT)
def edge_spare_up(edge: Length, back: Length, rise: Length) -> Length:
    """Edge that is left once the liner is turned up behind the edging, above the soil that could draw water over it.

    Source: turned up behind the edging to the rim or higher: common practice, no source; sizes: user input
    """
    return edge - back - rise


def edge_spare_trench(edge: Length, back: Length, depth: Length, width: Length) -> Length:
    """Edge that is left once the liner goes back to the anchor trench, down its side, across its floor and up its far side.

    Source: geometry; sizes: user input
    """
    return edge - back - 2 * depth - width


def edge_above_soil(rim_level: Length, rise: Length, soil: Length) -> Length:
    """Upper edge of the turned-up liner over the highest ground beside it, as it is before the dig; negative where the ground stands higher.

    Source: turned up above all soil that could draw water over it: common practice, no source; rise: user input
    """
    return rim_level + rise - soil


def trench_volume(middle: Length, depth: Length, width: Length) -> Volume:
    """Soil out of the anchor trench, bank measure, along its middle line; it is filled in again over the liner.

    Working: length of the line that runs round all pools of the liner, by how far back the trench lies and half its width outside their
    rims, times depth and width; depth is under the level of the rim
    Source: geometry; sizes: user input
    """
    return middle * depth * width


def edge_of(lining: Lining | None) -> float:
    """Liner beyond the rim, measured along it [m]; 0 without a lining."""
    if lining is None:
        return 0.0
    if lining.edge_kind != TRENCH:
        return float(lining.edge)
    return float(trench_edge(lining.edge, lining.edge_back, lining.trench_depth, lining.trench_width))


def reach_of(lining: Lining | None) -> float:
    """How far beyond the rim the liner or its trench reaches in plan [m]: what stands in the trench takes no ground."""
    if lining is None:
        return 0.0
    return edge_of(lining) - (2 * float(lining.trench_depth) if lining.edge_kind == TRENCH else 0.0)


def trench_out(lining: Lining) -> float | None:
    """How far outside the rim the middle line of the anchor trench runs [m]; None without one."""
    return float(lining.edge_back) + float(lining.trench_width) / 2 if lining.edge_kind == TRENCH else None


@dataclass(frozen=True)
class Soil:
    """The highest ground where a pool's liner is turned up: "liner / pool", the rim's level, the ground's, and the place of that [m]."""

    name: str
    rim_level: float
    level: float
    at: tuple[float, float]


def edges_above_soil(lining: Lining, soils: tuple[Soil, ...]) -> Iterator[Entry]:
    """How far each turned-up edge stands over the ground beside it."""
    for soil in soils if lining.edge_kind == UP else ():
        figure = entry(
            edge_above_soil, soil.name, source=USER, rim_level=soil.rim_level, rise=lining.edge_rise, soil=soil.level
        )
        low = soil.level - soil.rim_level - float(lining.edge_rise)
        east, north = soil.at
        yield with_cautions(
            figure,
            *SOIL_OVER_EDGE.where(
                figure.least, figure.value, figure.most, under=(low, LENGTH), east=(east, LENGTH), north=(north, LENGTH)
            ),
        )


def trench_edges(lining: Lining, unders: tuple[Under, ...]) -> Iterator[Entry]:
    """Liner that goes to the trench, one a liner."""
    for under in unders if lining.edge_kind == TRENCH else ():
        yield entry(trench_edge, under.liner.name, source=USER, edge=lining.edge, **_trench(lining))


def edge_spare(lining: Lining, under: Under) -> Entry:
    """What is left of the edge as it ends."""
    name = under.liner.name
    if lining.edge_kind == UP:
        return entry(edge_spare_up, name, source=USER, edge=lining.edge, back=lining.edge_back, rise=lining.edge_rise)
    if lining.edge_kind == TRENCH:
        return entry(edge_spare_trench, name, source=USER, edge=edge_of(lining), **_trench(lining))
    return entry(edge_needed_flat, name, source=USER, edge=lining.edge)


def trenches(lining: Lining, unders: tuple[Under, ...]) -> Iterator[Entry]:
    """The anchor trench of each liner."""
    notes = [SERVICES_AT_ANCHOR(), *_less(lining)]
    for under in unders:
        if under.trench is not None:
            yield entry(
                trench_volume, under.liner.name, source=USER, cautions=[*notes, *([ONE_ANCHOR_TRENCH()] if len(under.laid) > 1 else [])],
                middle=length_of(under.trench), depth=lining.trench_depth, width=lining.trench_width,
            )  # fmt: skip


def _trench(lining: Lining) -> dict[str, Any]:
    return {"back": lining.edge_back, "depth": lining.trench_depth, "width": lining.trench_width}


def _less(lining: Lining) -> Iterator[Caution]:
    """Where the trench is less than the published least."""
    for rule, least, has in (
        (ANCHOR_SHALLOW, TRENCH_DEPTH, lining.trench_depth),
        (ANCHOR_NARROW, TRENCH_WIDTH, lining.trench_width),
        (ANCHOR_NEAR_RIM, TRENCH_BACK, lining.edge_back),
    ):
        if has < least - 1e-9:
            yield rule(has=(has, LENGTH), least=(least, LENGTH))
