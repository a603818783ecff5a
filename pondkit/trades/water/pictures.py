"""Pictures of the water side, and the panels that page and papers show: pump and system curves with the operating
points, the flow diagram, levels and oxygen from pool to pool.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.units import CONCENTRATION, FLOW, LENGTH, System, magnitude, pretty, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure, Panel, keys
from pondkit.drawing.rows import by_rod
from pondkit.solvers.pipe_network import Network, balance
from pondkit.trades.water.results import PoolWater, RunResult, Stream, WaterResult

FLOW_UNIT = {"us": "gal/min", "si": "L/min"}
DASHES = ("solid", "dash", "dot", "dashdot")
BLUE = "#22607f"


@dataclass(frozen=True)
class HeadCurve:
    """A pump or system curve: flows [m³/s], and heads above the water drawn from [m]."""

    name: str
    flows: tuple[float, ...]
    heads: tuple[float, ...]


@dataclass(frozen=True)
class PumpCurves:
    """Data of the pump curve diagram.

    Attributes:
        system: System curve of main and branches, at the point where the pumps' lines meet.
        pumps: Combined curve there of the first, the first two … running pumps, less the losses of their own lines.
        points: Operating point (flow [m³/s], head [m]) of each combined curve.
    """

    system: HeadCurve
    pumps: tuple[HeadCurve, ...]
    points: tuple[tuple[float, float], ...]


def _curves_of(water: WaterResult | None) -> PumpCurves | None:
    """Curves of the water side; None if nothing is pumped."""
    network = water.run.pumping.network if water else None
    return pump_curves(network) if network else None


def curves(water: WaterResult | None, system: System) -> Figure | None:
    """Diagram of head over flow: combined pump curves, the system curve, and their operating points. None if nothing
    is pumped.

    Args:
        water: The water side; None if the option has none.
        system: Unit system displayed.
    """
    pump_data = _curves_of(water)
    if pump_data is None:
        return None
    flow, length = FLOW_UNIT[system], frame.PLAN_UNIT[system]

    def line(curve: HeadCurve, name: str, look: dict[str, Any]) -> dict[str, Any]:
        return {
            "type": "scatter",
            "mode": "lines",
            "x": [round(magnitude(q, FLOW, flow, system), 3) for q in curve.flows],
            "y": [round(magnitude(h, LENGTH, length, system), 3) for h in curve.heads],
            "name": name,
            "line": look,
            "hoverinfo": "name+x+y",
        }

    data = [line(pump_data.system, "lines: head they need", {"color": frame.MARK, "width": 2.5})]
    notes = []
    furthest = max(*(q for curve in pump_data.pumps for q in curve.flows), *pump_data.system.flows, 1e-9)
    for index, (curve, point) in enumerate(zip(pump_data.pumps, pump_data.points, strict=True)):
        data.append(line(curve, f"{curve.name}: head given", {"color": BLUE, "width": 2, "dash": DASHES[index]}))
        mark, note = _operating_point(curve.name, point, index, point[0] < 0.5 * furthest, system)
        data.append(mark)
        notes.append(note)
    most = max(*(h for curve in pump_data.pumps for h in curve.heads), *(h for _, h in pump_data.points))
    return frame.figure(
        data,
        x={
            "title": frame.title("flow", pretty(flow)),
            "range": [0, magnitude(1.05 * furthest, FLOW, flow, system)],
        },
        y={
            "title": frame.title("head where the pumps' lines meet", length),
            "range": [
                min(0.0, magnitude(min(pump_data.system.heads, default=0.0), LENGTH, length, system)),
                magnitude(1.1 * most, LENGTH, length, system),
            ],
        },
        annotations=notes,
        showlegend=True,
        legend=frame.legend_above(font={"size": 12}),
    )


def _operating_point(
    name: str, point: tuple[float, float], number: int, right: bool, system: System
) -> tuple[dict[str, Any], dict[str, Any]]:
    """(marker, label) of an operating point.

    Args:
        name: How many pumps run.
        point: (flow [m³/s], head [m]).
        number: Which of the points, so that their labels stand one above the other.
        right: True if the label stands to its right.
        system: Unit system displayed.
    """
    flow, length = FLOW_UNIT[system], frame.PLAN_UNIT[system]
    x, y = magnitude(point[0], FLOW, flow, system), magnitude(point[1], LENGTH, length, system)
    mark = {
        "type": "scatter",
        "mode": "markers",
        "x": [round(x, 3)],
        "y": [round(y, 3)],
        "name": f"{name}: operating point",
        "showlegend": False,
        "marker": {"size": 11, "color": frame.INK, "symbol": "circle"},
        "hoverinfo": "name+x+y",
    }
    note = {
        "x": x,
        "y": y,
        "text": f"{name}: {show(point[0], FLOW, system, flow)} at {show(point[1], LENGTH, system, length)}",
        "showarrow": True,
        "arrowwidth": 1,
        "arrowcolor": frame.FAINT,
        "ax": 26 if right else -30,
        "ay": -44 - 24 * number,
        "xanchor": "left" if right else "right",
        "bgcolor": "rgba(255,255,255,0.8)",
        "font": {"size": 12},
    }
    return mark, note


def alt_curves(water: WaterResult | None, system: System) -> str:
    """The curves in words."""
    pump_data = _curves_of(water)
    if pump_data is None:
        return "No pumps in balance."
    text = "; ".join(
        f"{curve.name} {show(q, FLOW, system, FLOW_UNIT[system])} at {show(h, LENGTH, system, frame.PLAN_UNIT[system])}"
        for curve, (q, h) in zip(pump_data.pumps, pump_data.points, strict=True)
    )
    return f"Pump and system curves, head over flow. Operating points: {text}."


POINTS = 25


def pump_curves(network: Network) -> PumpCurves:
    """Curves and operating points of a network, for each number of running pumps."""
    states = []
    order = [index for index, pump in enumerate(network.pumps) if pump.running]
    for number in range(1, len(order) + 1):
        states.append(network.with_running([i in order[:number] for i in range(len(network.pumps))]))
    best = max(network.pumps[i].curve.shutoff for i in order)
    heads = np.linspace(0.0, best, POINTS)
    balanced = [balance(state) for state in states]
    pumps = tuple(
        _combined_curve(state, heads, f"{number} pump{'s' if number > 1 else ''}")
        for number, state in enumerate(states, 1)
    )
    return PumpCurves(
        _system_curve(network, max(b.branch_head for b in balanced)),
        pumps,
        tuple((b.flow, b.pump_head - network.source) for b in balanced),
    )


def _combined_curve(state: Network, heads: "np.ndarray[tuple[int], np.dtype[np.float64]]", name: str) -> HeadCurve:
    """Combined curve of the running pumps of a network, where their lines meet, at heads over the screen [m]."""
    flows = [state.pump_discharge(float(lift)) for lift in heads]
    points = [(q, float(h) - state.screen.loss(q)[0]) for q, h in zip(flows, heads, strict=True) if q >= 0]
    return HeadCurve(name, tuple(q for q, _ in points), tuple(h for _, h in points))


def _system_curve(network: Network, reached: float) -> HeadCurve:
    """System curve of main and branches, from no flow to a little above the level reached at the main's end [m]."""
    lowest = min(branch.end(0.0) for branch in network.branches if not branch.shut)
    ends = lowest + 1.35 * (reached - lowest) * np.linspace(0.0, 1.0, POINTS) ** 2
    rows = [(network.branch_discharge(float(end)), float(end)) for end in ends]
    mains = [(flow, end, network.main.loss(flow)[0] if network.main else 0.0) for flow, end in rows if flow >= 0]
    points = [(flow, end + loss - network.source) for flow, end, loss in mains]
    return HeadCurve("lines", tuple(q for q, _ in points), tuple(h for _, h in points))


Place = tuple[float, float]
Chain = tuple[tuple[str, float, float | None], ...]
THICK = 14.0  # px of the thickest stream
PUMPS = "pumps"


def _flow(value: float, system: System) -> str:
    return show(value, FLOW, system, FLOW_UNIT[system])


def _places(run: RunResult, names_of_pools: Sequence[str]) -> dict[str, Place]:
    """Position of each box in the flow diagram, by its name: the pool drawn from on the left, as "", the pumps in the
    middle, filter and pools on the right in downhill order.
    """
    names = [stream.end for stream in run.streams if stream.start == PUMPS] + [
        name for stream in run.streams if stream.start not in (PUMPS, run.source) for name in (stream.start, stream.end)
    ]
    down = [name for name, _, _ in run.links.chain] or [*names_of_pools]
    order = [name for name in ("filter", *down) if name in names]
    rows = {name: (3.0, float(len(order) - 1 - row)) for row, name in enumerate(order)}
    high = max(len(order) - 1.0, 1.0)
    return rows | {PUMPS: (1.5, high / 2), "": (0.0, high / 2)}  # the pool drawn from may stand on the right too


def _stream(stream: Stream, start: Place, end: Place, bent: float, most: float, system: System) -> list[dict[str, Any]]:
    """Arrow and label of a stream.

    Args:
        stream: The stream.
        start, end: Positions of its boxes.
        bent: How far the arrow stands aside, for several between the same boxes.
        most: Greatest flow of all streams [m³/s].
        system: Unit system displayed.
    """
    back = stream.flow < 0
    tail, head = (end, start) if back else (start, end)
    arrow = _arrow(tail, head, bent, abs(stream.flow) / most, frame.MARK if back else BLUE)
    upright = start[0] == end[0]
    aside = 0.0 if upright else -0.2 if bent < 0 else 0.2 if bent > 0 else 0.13
    middle = ((start[0] + end[0]) / 2 + (0.42 if upright else 0.0), (start[1] + end[1]) / 2 + 0.7 * bent + aside)
    flow = _flow(stream.flow, system)
    label = f"{frame.plain(stream.name)}: {flow}" if stream.name else flow
    return [arrow, _text(middle, label, 12, "rgba(255,255,255,0.85)")]


def diagram(water: WaterResult | None, waters: Sequence[PoolWater], system: System) -> Figure | None:
    """Flow diagram of the water side, arrow widths in proportion to flow. None if nothing is pumped.

    Args:
        water: The water side; None if the option has none.
        waters: The pools at rest.
        system: Unit system displayed.
    """
    if water is None or not water.run.streams:
        return None
    run = water.run
    places = _places(run, [pool.name for pool in waters])
    most = max(max(abs(stream.flow) for stream in run.streams), 1e-12)
    notes: list[dict[str, Any]] = []
    pumps = [stream for stream in run.streams if stream.end == PUMPS]
    for stream in run.streams:
        bent = 0.5 * (pumps.index(stream) - (len(pumps) - 1) / 2) if stream.end == PUMPS else 0.0
        ends = ("", PUMPS) if stream.end == PUMPS else (stream.start, stream.end)
        if ends[0] in places and ends[1] in places:
            notes += _stream(stream, places[ends[0]], places[ends[1]], bent, most, system)
    levels = {name: level for name, level, _ in run.links.chain}
    for name, (x, y) in places.items():
        label = run.source if name == "" else name
        level = levels.get(label)
        text = "pumps" if name == PUMPS else f"<b>{frame.plain(label)}</b>"
        if level is not None and name != PUMPS:
            text += f"<br>at {by_rod(level, system)}"
        notes.append(_text((x, y), text, 13, "#e3f1ee"))
    high = max(y for _, y in places.values())
    hidden = {"visible": False, "fixedrange": True}
    marks = {
        "type": "scatter",
        "mode": "markers",
        "x": [p[0] for p in places.values()],
        "y": [p[1] for p in places.values()],
        "marker": {"size": 1, "color": frame.PAPER},
        "hoverinfo": "skip",
    }
    return frame.figure(
        [marks],
        x=hidden | {"range": [-0.5, 3.9]},
        y=hidden | {"range": [-0.5, high + 0.5]},
        annotations=notes,
        margin={"l": 8, "r": 8, "t": 8, "b": 8},
    )


def _arrow(tail: Place, head: Place, bent: float, share: float, colour: str) -> dict[str, Any]:
    """An arrow as thick as the share of its flow in the greatest one."""
    return {
        "x": head[0],
        "y": head[1] + bent * 0.5,
        "ax": tail[0],
        "ay": tail[1] + bent * 0.9,
        "axref": "x",
        "ayref": "y",
        "text": "",
        "showarrow": True,
        "arrowhead": 2,
        "arrowsize": 0.8 if share > 0.15 else 1.5,
        "arrowwidth": max(1.0, THICK * share / 2.5),
        "arrowcolor": colour,
        "standoff": 26,
        "startstandoff": 26,
        "opacity": 0.75 if share > 0 else 0.25,
    }


def _text(place: Place, text: str, size: int, background: str) -> dict[str, Any]:
    return {
        "x": place[0],
        "y": place[1],
        "text": text,
        "showarrow": False,
        "font": {"size": size},
        "bgcolor": background,
        "borderpad": 4,
    }


def alt_diagram(water: WaterResult | None, system: System) -> str:
    """The flow diagram in words."""
    if water is None or not water.run.streams:
        return "No water runs."
    text = "; ".join(
        f"{stream.start} to {stream.end}{f' by {stream.name}' if stream.name else ''}: {_flow(stream.flow, system)}"
        for stream in water.run.streams
    )
    return f"Flow diagram. {text}."


def _level_lines(values: Sequence[float]) -> tuple[list[float | None], list[float | None]]:
    """Coordinates of short horizontal lines, one for each value."""
    xs: list[float | None] = []
    ys: list[float | None] = []
    for index, value in enumerate(values):
        xs += [index - 0.38, index + 0.38, None]
        ys += [value, value, None]
    return xs, ys


def _oxygen_trace(places: Sequence[int], oxygen: Sequence[float | None]) -> dict[str, Any]:
    """Line of the oxygen [mg/L] along the pools, on its own axis."""
    return {
        "type": "scatter",
        "mode": "lines+markers",
        "x": places,
        "y": oxygen,
        "yaxis": "y2",
        "name": "oxygen",
        "connectgaps": False,
        "line": {"color": frame.PIPE, "width": 1.5, "dash": "dash"},
        "marker": {"size": 10, "color": frame.PIPE, "symbol": "diamond"},
        "hoverinfo": "name+y",
    }


def _oxygen_axis(most: float) -> dict[str, Any]:
    """Axis of the oxygen on the right, up to a little above a concentration [mg/L]."""
    return {
        "title": frame.title("oxygen", "mg/L"),
        "overlaying": "y",
        "side": "right",
        "range": [0, 1.15 * most],
        "showgrid": False,
        "tickmode": "linear",
        "dtick": 2,
        "tickfont": {"size": 11},
    }


def _chain_labels(
    chain: Chain, running: Sequence[float], oxygen: Sequence[float | None], system: System
) -> list[dict[str, Any]]:
    """Labels of the running level of each pool and, where known, its oxygen."""

    def label(index: int, y: float, text: str, colour: str, shift: int) -> dict[str, Any]:
        font = {"size": 12, "color": colour}
        return {"x": index, "y": y, "text": text, "showarrow": False, "yshift": shift, "font": font}

    levels = [
        label(index, y, by_rod(level, system), BLUE, 14)
        for index, (y, (_, level, _)) in enumerate(zip(running, chain, strict=True))
    ]
    oxygen_labels = [
        {"yref": "y2"} | label(index, c, f"{c:.3g} mg/L", frame.PIPE, 16)
        for index, c in enumerate(oxygen)
        if c is not None
    ]
    return [*levels, *oxygen_labels]


def profile(water: WaterResult | None, waters: Sequence[PoolWater], system: System) -> Figure | None:
    """Profile along the pools: running level against level at rest, and dissolved oxygen. None if nothing is pumped.

    Args:
        water: The water side; None if the option has none.
        waters: The pools at rest.
        system: Unit system displayed.
    """
    chain = water.run.links.chain if water else ()
    if not chain:
        return None
    unit = frame.PLAN_UNIT[system]
    rest = {pool.name: pool.level for pool in waters}
    names = [frame.plain(name) for name, _, _ in chain]
    places = list(range(len(names)))

    def level(value: float) -> float:
        return round(magnitude(value, LENGTH, unit, system), 3)

    running = [level(value) for _, value, _ in chain]
    still = [level(rest[name]) for name, _, _ in chain]
    oxygen = [None if c is None else round(magnitude(c, CONCENTRATION, "mg/L", system), 3) for _, _, c in chain]

    data: list[dict[str, Any]] = []
    for values, name, look in (
        (still, "level at rest", {"color": frame.FAINT, "width": 2, "dash": "dot"}),
        (running, "running level", {"color": BLUE, "width": 4}),
    ):
        x, y = _level_lines(values)
        data.append(
            {"type": "scatter", "mode": "lines", "x": x, "y": y, "name": name, "line": look, "hoverinfo": "name+y"}
        )
    data.append(_oxygen_trace(places, oxygen))
    notes = _chain_labels(chain, running, oxygen, system)
    low, high = min(*running, *still), max(*running, *still)
    room = 0.18 * (high - low) + magnitude(0.05, LENGTH, unit, system)
    full = water.run.links.oxygen_saturation if water else None
    most = magnitude(full.value, CONCENTRATION, "mg/L", system) if full else 10.0
    concentrations = [c for c in oxygen if c is not None]
    axis = _oxygen_axis(max([most, *concentrations]))
    return frame.figure(
        data,
        x={"tickvals": places, "ticktext": names, "range": [-0.6, len(places) - 0.3], "showgrid": False},
        y={"title": frame.title("level above the site datum", pretty(unit)), "range": [low - room, high + room]},
        yaxis2=axis,
        annotations=notes,
        margin={"l": 52, "r": 56, "t": 8, "b": 36},
        showlegend=True,
        legend=frame.legend_above(font={"size": 12}),
    )


def alt_profile(water: WaterResult | None, system: System) -> str:
    """The profile in words."""
    chain = water.run.links.chain if water else ()
    if not chain:
        return "No water runs from pool to pool."
    text = "; ".join(
        f"{name} at {by_rod(level, system)}"
        + ("" if c is None else f" with {show(c, CONCENTRATION, system)} of oxygen")
        for name, level, c in chain
    )
    return f"Running levels and oxygen down the chain: {text}."


# Each picture with the figures that stand below it.
PANELS = (
    Panel(
        "Pump and lines",
        "Water",
        curves,
        alt_curves,
        of=("water",),
        alt_of=("water",),
        keys=keys(
            "flow_wanted head_wanted total_flow pump_flow pump_head branch_flow static_head line_velocity "
            "flow_by_pumps flow_without "
            "back_flow pump_power energy_year energy_cost screen_loss_clean screen_loss level_behind_screen "
            "media_loss line_pipe_order line_fitting_order line_valve_order pump_order passage_loss "
            "passage_velocity filter_loss filter_running_level"
        ),
        height=380,
    ),
    Panel(
        "Flow diagram",
        "Water",
        diagram,
        alt_diagram,
        of=("water", "waters"),
        alt_of=("water",),
        keys=keys("total_flow branch_flow link_flow turnover pool_turnover"),
        height=380,
    ),
    Panel(
        "Levels and oxygen",
        "Water",
        profile,
        alt_profile,
        of=("water", "waters"),
        alt_of=("water",),
        keys=keys(
            "running_level head_over_crest link_drop step_drop channel_slope channel_depth channel_velocity "
            "channel_froude channel_freeboard oxygen_below oxygen_saturation drawdown return_volume "
            "level_after_stop highest_level fall_margin rise_margin"
        ),
        height=340,
    ),
)
# Figures that stand beside the plan while the controls of a part are on show.
BESIDE = {
    "Water": keys(
        "flow_wanted head_wanted turnover_flow sheet_flow wanted_lift wanted_line_head "
        "total_flow pump_flow pump_head branch_flow line_velocity pump_power energy_year energy_cost flow_without "
        "back_flow screen_area_needed approach_velocity velocity_through_openings intake_cover body_ballast "
        "screen_loss filter_running_level running_level drawdown level_after_stop oxygen_below overflow_rate "
        "smallest_kept time_to_clean_out rise_rate contact_time ammonia_made ammonia_level free_ammonia "
        "feed_carried oxygen_by_night oxygen_by_day turnover pool_turnover storm_flow highest_level outfall_bore "
        "fill_time evaporation evaporation_penman make_up leak dose_pond dose_added line_pipe_order "
        "line_fitting_order"
    ),
}
