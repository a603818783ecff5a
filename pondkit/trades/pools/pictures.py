"""Zones of the pools as bars, and water volume against level."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.core.units import AREA, LENGTH, VOLUME, System, magnitude, pretty, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure, Panel, keys
from pondkit.trades.pools.results import PoolResult

NamedPools = tuple[str, Sequence[PoolResult]]  # name of an option, and its pools
VOLUME_UNIT = {"us": "gal", "si": "m^3"}
AREA_UNIT = {"us": "ft^2", "si": "m^2"}
CURVE_LEVELS = 25


def zones(options: Sequence[NamedPools], system: System, scale_to: float, *, by: str = "area") -> Figure:
    """Zones of each option as stacked bars, shaded by their depth.

    Args:
        options: (name, its pools) of each option, one bar each; with one option, one bar a pool.
        system: Unit system displayed.
        scale_to: Depth at the dark end of the colour scale [m].
        by: "area" (plan area) or "volume" (water above it).
    """
    unit = AREA_UNIT[system] if by == "area" else VOLUME_UNIT[system]
    single = len(options) == 1
    data = [
        bar
        for option, pools in options
        for pool in pools
        for bar in _bars(pool, pool.name if single else option, system, scale_to, by)
    ]
    words = "zone area" if by == "area" else "water in the zone"
    names = [
        frame.plain(name)
        for name in ([pool.name for pool in options[0][1]] if single else [option for option, _ in options])
    ]
    y = {"automargin": True, "ticks": "", "categoryorder": "array", "categoryarray": names[::-1]}
    return frame.figure(
        data,
        x={"title": frame.title(words, pretty(unit))},
        y=y,
        barmode="stack",
        uniformtext={"minsize": 10, "mode": "hide"},
        bargap=0.25,
    )


@remembered
def _bars(pool: PoolResult, label: str, system: System, scale_to: float, by: str) -> tuple[dict[str, Any], ...]:
    """The bar of each zone of a pool."""
    kind, unit = (AREA, AREA_UNIT[system]) if by == "area" else (VOLUME, VOLUME_UNIT[system])
    bars = []
    for zone, depth, area, water in pool.zones:
        amount, colour = area if by == "area" else water, frame.shade(depth, scale_to)
        drawn_to = show(depth, LENGTH, system, frame.DEPTH_UNIT[system])
        text = f"{frame.plain(zone)}: {show(amount, kind, system, unit)}, drawn to {drawn_to}"
        bars.append(
            {
                "type": "bar",
                "orientation": "h",
                "y": [frame.plain(label)],
                "x": [round(magnitude(amount, kind, unit), 3)],
                "marker": {"color": colour, "line": {"color": "#ffffff", "width": 1}},
                "text": [frame.plain(zone)],
                "textposition": "inside",
                "insidetextanchor": "middle",
                "textangle": 0,
                "textfont": {"size": 12, "color": frame.text_on(colour)},
                "hovertext": [f"{frame.plain(pool.name)}, {text}"],
                "hoverinfo": "text",
            }
        )
    return tuple(bars)


def storage(pools: Sequence[PoolResult], system: System) -> Figure:
    """Diagram of water volume in each pool against drawdown of its level."""
    unit, depth_unit = VOLUME_UNIT[system], frame.DEPTH_UNIT[system]
    data = []
    for number, pool in enumerate(pools):
        surface = pool.surfaces.finished.surface
        down = np.linspace(0.0, surface.deepest, CURVE_LEVELS)
        volumes = surface.volumes(down)
        data.append(
            {
                "type": "scatter",
                "mode": "lines",
                "x": np.round(magnitude(1.0, VOLUME, unit) * volumes, 3),
                "y": frame.in_unit(down, depth_unit),
                "name": frame.plain(pool.name),
                "line": {
                    "width": 2.5,
                    "color": frame.DEPTHS[-2 - 2 * (number % 3)],
                    "dash": ("solid", "dash", "dot")[number % 3],
                },
                "hoverinfo": "name+x+y",
            }
        )
    return frame.figure(
        data,
        x={"title": frame.title("water held, before stone and gravel", pretty(unit)), "rangemode": "tozero"},
        y={"title": frame.title("level below full", depth_unit), "autorange": "reversed"},
        showlegend=len(pools) > 1,
        legend={"x": 1, "y": 0, "xanchor": "right", "yanchor": "bottom"},
    )


def alt_zones(options: Sequence[NamedPools], system: System) -> str:
    """The zone bars in words."""
    parts = [words for _, pools in options for pool in pools for words in _zone_words(pool, system)]
    return "Zones: " + "; ".join(parts) + "."


@remembered
def _zone_words(pool: PoolResult, system: System) -> tuple[str, ...]:
    return tuple(f"{pool.name} {zone} {show(area, AREA, system, AREA_UNIT[system])}" for zone, _, area, _ in pool.zones)


def alt_storage(pools: Sequence[PoolResult], system: System) -> str:
    """Water against level in words."""
    parts = [
        f"{pool.name} holds {show(pool.gross_volume.value, VOLUME, system, VOLUME_UNIT[system])} when full"
        for pool in pools
    ]
    return "Water held against level: " + "; ".join(parts) + "."


PANELS = (
    Panel(
        "Water by level",
        "Pools",
        storage,
        alt_storage,
        ("pools",),
        ("pools",),
        keys(
            "gross_volume net_volume surface_area open_water_area zone_volume wetted_area area_over_limit "
            "rim_above_ground dig_depth"
        ),
    ),
)
BESIDE = {
    "Pools": keys(
        "total_net_volume total_surface_area surface_area max_depth net_volume zone_area zone_volume "
        "area_over_limit dig_depth"
    ),
    "Links": keys(
        "link_flow head_over_crest flow_per_width link_drop step_drop channel_depth channel_velocity "
        "channel_freeboard oxygen_below running_level total_net_volume total_surface_area max_depth "
        "rim_above_ground"
    ),
}
