"""Levels with the pumps on and off: what comes back when they stop, and how low the pool they draw from runs."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from pondkit.core.entry import USER, entry, total, with_cautions
from pondkit.core.units import LENGTH, VOLUME
from pondkit.trades.water.cautions import EMPTIES_AT_STOP, FILL_NO_HIGHER, RUNS_OVER_RIM, STOP_OVER_RIM
from pondkit.trades.water.course import CourseState, WaterCourse
from pondkit.trades.water.formulas.levels import (
    drains_back,
    drawdown,
    level_after_stop,
    lowest_running_level,
    pipe_drains,
    running_level,
    water_in_transit,
)
from pondkit.trades.water.pumping import PumpSystem
from pondkit.trades.water.results import LevelsResult, PoolWater


@dataclass(frozen=True)
class Vessel:
    """Water above the open end of a branch that nothing stops from running back."""

    name: str
    area: float
    level: float
    port: float


def open_back(
    system: PumpSystem, bodies: Mapping[str, PoolWater], source: float
) -> tuple[list[Vessel], list[tuple[str, float, float]]]:
    """What runs back as the pumps stop: vessels above open ends, and (name, bore, length) of lines.

    Args:
        system: The lines.
        bodies: Pools by name.
        source: Level that the pumps draw from [m]: nothing runs back from below it.
    """
    drawn = system.drawn
    if all(pump.check_valve for pump in drawn.pumps):
        return [], []
    vessels, lines = [], []
    for index, branch in enumerate(drawn.branches):
        if branch.check_valve or branch.opening == 0:
            continue
        lines.append(system.branches[index])
        port = branch.outlet_level
        if port is None or system.free(index):
            continue
        end = system.ends[index]
        area = bodies[end].area if end else float(drawn.filter.area) if drawn.filter else 0.0
        depth_to = max(float(port), source)
        if system.at_rest[index] > depth_to:
            vessels.append(Vessel(branch.name, area, system.at_rest[index], depth_to))
    if system.main:
        lines.append(system.main)
    lines += [line for pump, line in zip(drawn.pumps, system.pumps, strict=True) if not pump.check_valve]
    return vessels, [(line.name, line.conduit.bore, line.conduit.length) for line in lines]


def held_up(system: PumpSystem, through: float) -> tuple[float, float]:
    """(area [m²], rise [m]) of the filter's first body, which stands higher while a flow goes through it [m³/s]."""
    drawn = system.drawn.filter
    area = float(drawn.settling_area or 0.0) if drawn else 0.0
    return area, system.bodies.loss(through)[0] if area and through > 0 else 0.0


def return_volume(system: PumpSystem, course: WaterCourse, state: CourseState, through: float) -> float:
    """All water that comes back to the pool that the pumps draw from when they stop [m³]; ``through``: the filter
    [m³/s].
    """
    area, rise = held_up(system, through)
    source = course.bodies[course.source].level
    vessels, lines = open_back(system, course.bodies, source)
    return (
        sum(course.bodies[name].area * rise for name, rise in rises(course, state).items())
        + area * rise
        + sum(v.area * (v.level - v.port) for v in vessels)
        + sum(math.pi / 4 * bore**2 * length for _, bore, length in lines)
    )


def rises(course: WaterCourse, state: CourseState) -> dict[str, float]:
    """How high each pool runs above its lowest crest [m]; only pools that the water runs through."""
    found = {}
    for name in course.order:
        own = [lip.level for lip in course.lips if lip.above == name]
        if name != course.source and own and state.through[name] > 0:
            found[name] = state.levels[name] - min(own)
    return found


def levels(system: PumpSystem, course: WaterCourse, state: CourseState, through: float) -> LevelsResult:
    """Figures of the levels, once all is in balance; ``through``: flow through the filter [m³/s]."""
    source = course.bodies[course.source]
    vessels, lines = open_back(system, course.bodies, source.level)
    risen = rises(course, state)
    transit = [
        entry(water_in_transit, name, surface_area=course.bodies[name].area, rise=rise) for name, rise in risen.items()
    ]
    area, rise = held_up(system, through)
    if rise > 0:
        transit.append(entry(water_in_transit, "filter", surface_area=area, rise=rise))
    back = [
        entry(
            drains_back,
            v.name,
            source=USER,
            surface_area=v.area,
            water_level=v.level,
            port_level=v.port,
            cautions=[EMPTIES_AT_STOP()],
        )
        for v in vessels
    ]
    pipes = [entry(pipe_drains, name, bore=bore, length=length) for name, bore, length in lines]
    whole = total(source.name, [*transit, *back, *pipes], VOLUME)
    fall = entry(drawdown, source.name, return_volume=whole, surface_area=source.area)
    stop = entry(level_after_stop, source.name, source=USER, level=source.level, drawdown=fall)
    if stop.value > source.rim_level:
        stop = with_cautions(stop, STOP_OVER_RIM(over=(stop.value - source.rim_level, LENGTH)))
    low = entry(
        lowest_running_level,
        source.name,
        source=USER,
        level=source.level,
        drawdown=fall,
        cautions=[FILL_NO_HIGHER()],
    )
    rising = []
    for name, rise in risen.items():
        body = course.bodies[name]
        crest = min(lip.level for lip in course.lips if lip.above == name)
        figure = entry(running_level, name, source=USER, level=crest, rise=rise)
        if figure.value > body.rim_level:
            figure = with_cautions(figure, RUNS_OVER_RIM(over=(figure.value - body.rim_level, LENGTH)))
        rising.append(figure)
    return LevelsResult((*rising, low), tuple(transit), tuple(back), tuple(pipes), whole, fall, stop)
