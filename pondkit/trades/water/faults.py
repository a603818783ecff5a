"""Faults of the inputs that keep pumps and lines from being computed, and pump curves that are still to be read."""

from collections.abc import Iterator, Mapping

from pondkit.core.result import Path, Problem, ToFill, no_such
from pondkit.core.sentence import words
from pondkit.core.units import FLOW, LENGTH
from pondkit.trades.water.inputs.pumping import Line, Pump, curve_points, has_curve, own_pipe_faults, read_points
from pondkit.trades.water.inputs.water import Filter, Water


def faults(water: Water, levels: Mapping[str, float]) -> Iterator[Problem]:
    """Problems of the inputs: names that nothing has, pump curves out of order, nowhere for the water to go.

    Args:
        water: Inputs of the water side.
        levels: Level of each pool of the option by its name [m].
    """
    intake = water.intake
    if intake and intake.pool is not None and intake.pool not in levels:
        yield no_such(("water", "intake", "pool"), "pool", intake.pool, levels)
    if water.filter and water.filter.to is not None and water.filter.to not in levels:
        yield no_such(("water", "filter", "to"), "pool", water.filter.to, levels)
    yield from _passage_faults(water.filter, water.passage is not None)
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


def _passage_faults(body: Filter | None, piped: bool) -> Iterator[Problem]:
    """Problem of a filter whose two bodies are joined by an opening and by a pipe at once."""
    if body is None or body.passage_area is None or not piped:
        return
    yield Problem(
        ("water", "filter", "passage_area"),
        words("the filter's bodies have both an opening between them and a pipe"),
        words("an opening where they are joined, or a pipe where they stand apart"),
        words("take the opening or the passage out"),
    )


def placed_lines(water: Water) -> Iterator[tuple[Path, Line]]:
    """Every line of the water side with its path in the document."""
    for field in ("pumps", "branches"):
        for index, line in enumerate(getattr(water, field)):
            yield ("water", field, index), line
    for field in ("main", "passage"):
        if (alone := getattr(water, field)) is not None:
            yield ("water", field), alone


def _curve_faults(pump: Pump, index: int) -> Iterator[Problem]:
    """Problems of a pump curve whose flows do not increase, or whose head rises with flow."""
    path = ("water", "pumps", index, "curve")
    complete = [number for number, point in enumerate(pump.curve) if None not in (point.flow, point.head)]
    points = read_points(pump)
    for number, (before_flow, before_head), (flow, head) in zip(complete[1:], points, points[1:], strict=False):
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
            yield ToFill(path, missing_text, words(f"the flow of '{pump.name}': until then no figure counts this pump"))
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
    """Problem: no running pump can lift water to the lowest open branch, or to the filter, so water would run back.

    Args:
        water: Inputs of the water side.
        intake_level: Level of the water that the pumps draw from [m].
        lowest: Level of the lowest open end of a branch, or of the filter [m].
        filtered: True if ``lowest`` is that of the filter.
    """
    end = "the filter stands" if filtered else "the lowest open branch ends"
    ready = [(pump_index, pump) for pump_index, pump in enumerate(water.pumps) if pump.running and has_curve(pump)]
    shutoffs = [(curve_points(pump, pump.shutoff)[0][1], pump_index) for pump_index, pump in ready]
    shutoff, index = max(shutoffs, key=lambda pair: pair[0])
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
