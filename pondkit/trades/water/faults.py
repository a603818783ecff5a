"""What keeps the pumps' side from being worked out."""

from collections.abc import Iterator, Mapping

from pondkit.core.result import Path, Problem, ToFill, no_such
from pondkit.core.sentence import words
from pondkit.core.units import FLOW, LENGTH
from pondkit.trades.water.filtration import passage_problem
from pondkit.trades.water.inputs.pumping import Pump, PumpLine, curve_points, has_curve, own_pipe_faults, read_points
from pondkit.trades.water.inputs.water import Water


def faults(water: Water, levels: Mapping[str, float]) -> Iterator[Problem]:
    """Problems of the water side found before its pipe network is solved.

    Args:
        water: Inputs of the water side.
        levels: Level of each pool of the option by its name [m].
    """
    intake = water.intake
    if intake and intake.pool is not None and intake.pool not in levels:
        yield no_such(("water", "intake", "pool"), "pool", intake.pool, levels)
    if water.filter and water.filter.to is not None and water.filter.to not in levels:
        yield no_such(("water", "filter", "to"), "pool", water.filter.to, levels)
    yield from passage_problem(water.filter, water.passage is not None)
    references = [((*path, "own_pipe"), line.own_pipe) for path, line in placed_lines(water)]
    yield from own_pipe_faults("water", water.own_pipes, references)
    for index, branch in enumerate(water.branches):
        if branch.to == "filter" and water.filter is None:
            yield Problem(
                ("water", "branches", index, "to"),
                words("it goes to a filter, and the option has none"),
                words("a filter that is there, a pool, or the flush"),
                words("add a filter, or let the branch go elsewhere"),
            )
        elif branch.to != "filter" and branch.pool is not None and branch.pool not in levels:
            yield no_such(("water", "branches", index, "pool"), "pool", branch.pool, levels)
    ready = [pump for pump in water.pumps if has_curve(pump)]
    if not ready:
        return
    for index, pump in enumerate(water.pumps):
        yield from _curve_faults(pump, index)
    if not any(pump.running for pump in ready):
        yield Problem(
            ("water", "pumps", 0, "running"),
            words("no pump runs"),
            words("one that runs, for a flow to work out"),
            words("switch one on"),
        )
    if not water.branches:
        yield Problem(
            ("water", "branches"),
            words("the pumps have nowhere to send their water"),
            words("one branch or more"),
            words("add a branch"),
        )
    elif all(branch.opening == 0 for branch in water.branches):
        yield Problem(
            ("water", "branches", 0, "opening"),
            words("every valve is shut"),
            words("one that is open: a pump that runs against shut valves overheats"),
            words("open a valve"),
        )


def placed_lines(water: Water) -> Iterator[tuple[Path, PumpLine]]:
    """Every line with its path in the document."""
    for field in ("pumps", "branches"):
        for index, line in enumerate(getattr(water, field)):
            yield ("water", field, index), line
    for field in ("main", "passage"):
        if (alone := getattr(water, field)) is not None:
            yield ("water", field), alone


def _curve_faults(pump: Pump, index: int) -> Iterator[Problem]:
    """Problems of a pump curve whose flows do not increase, or whose head rises with flow."""
    path = ("water", "pumps", index, "curve")
    read = [place for place, point in enumerate(pump.curve) if point.flow is not None and point.head is not None]
    points = read_points(pump)
    for place in range(1, len(points)):
        number, (before_flow, before_head), (flow, head) = read[place], points[place - 1], points[place]
        if flow <= before_flow:
            yield Problem(
                (*path, number, "flow"),
                words(
                    "its flow, {flow}, is no more than that of the point before, {before}",
                    flow=(flow, FLOW),
                    before=(before_flow, FLOW),
                ),
                words("points in order of rising flow"),
                words("put the points in order"),
            )
        elif head >= before_head:
            yield Problem(
                (*path, number, "head"),
                words(
                    "its head, {head}, is no less than that of the point before, {before}: the curve rises or "
                    "lies level",
                    head=(head, LENGTH),
                    before=(before_head, LENGTH),
                ),
                words("a head that falls from point to point: a rising curve has more than one flow at a head"),
                words("read the point again, or leave the rising start of the curve out"),
            )


def to_fill(water: Water) -> Iterator[ToFill]:
    """Pump curves, and points of them, still to be read from the manufacturers' sheets."""
    for index, pump in enumerate(water.pumps):
        path: Path = ("water", "pumps", index, "curve")
        if not has_curve(pump):
            missing_text = words("two points of its curve or more, or the one it is sold by, off the maker's sheet")
            yield ToFill(path, missing_text, words(f"what '{pump.name}' gives: it stands still in all figures"))
            continue
        for number, point in enumerate(pump.curve):
            missing = [field for field in ("flow", "head") if getattr(point, field) is None]
            if missing:
                missing_text = words(f"{' and '.join(missing)} of this point, off the maker's sheet")
                yield ToFill(
                    (*path, number, missing[0]), missing_text, words(f"this point of the curve of '{pump.name}'")
                )


def not_settled() -> Problem:
    """Problem: no levels are found at which pumps, lines and crests are in balance."""
    return Problem(
        ("water", "pumps"),
        words("the levels of the running water do not settle"),
        words("pools that hold the water in transit while the pumps run"),
        words("enlarge the pool that the pumps draw from, widen the crests, or take smaller pumps"),
    )


def cannot_lift(water: Water, intake_level: float, lowest: float, *, filtered: bool) -> Problem:
    """Problem: no running pump can lift water to the lowest open branch, or to the filter, so water would run back."""
    end = "the filter stands" if filtered else "the lowest open branch ends"
    ready = [(pump_index, pump) for pump_index, pump in enumerate(water.pumps) if pump.running and has_curve(pump)]
    pumps = [(curve_points(pump, pump.shutoff)[0][1], pump_index) for pump_index, pump in ready]
    shutoff, index = max(pumps, key=lambda pair: pair[0])
    best = water.pumps[index]
    return Problem(
        ("water", "pumps", index, "curve"),
        words(
            f"'{best.name}' lifts at most {{most}}, and {end} {{wanted}} above the water it draws from",
            most=(shutoff, LENGTH),
            wanted=(lowest - intake_level, LENGTH),
        ),
        words("a head at no flow above that height"),
        words("take a pump with more head, or lower the filter or the outlet"),
    )
