"""What keeps the pumps' side from being worked out."""

from collections.abc import Iterator, Mapping

from pondkit.core.result import Path, Problem, ToFill, no_such
from pondkit.core.sentence import words
from pondkit.core.units import FLOW, LENGTH
from pondkit.trades.water.filtration import passage_problem
from pondkit.trades.water.inputs.pumping import Pump, PumpLine, curve_points, has_curve, own_pipe_faults, read_points
from pondkit.trades.water.inputs.water import Water


def faults(drawn: Water, levels: Mapping[str, float]) -> Iterator[Problem]:
    """Everything that shows before the lines are put in balance.

    Args:
        drawn: As drawn.
        levels: Level of each pool of the option by its name [m].
    """
    intake = drawn.intake
    if intake and intake.pool is not None and intake.pool not in levels:
        yield no_such(("water", "intake", "pool"), "pool", intake.pool, levels)
    if drawn.filter and drawn.filter.to is not None and drawn.filter.to not in levels:
        yield no_such(("water", "filter", "to"), "pool", drawn.filter.to, levels)
    yield from passage_problem(drawn.filter, drawn.passage is not None)
    named = [((*path, "own_pipe"), line.own_pipe) for path, line in placed_lines(drawn)]
    yield from own_pipe_faults("water", drawn.own_pipes, named)
    for index, branch in enumerate(drawn.branches):
        if branch.to == "filter" and drawn.filter is None:
            yield Problem(
                ("water", "branches", index, "to"),
                words("it goes to a filter, and the option has none"),
                words("a filter that is there, a pool, or the flush"),
                words("add a filter, or let the branch go elsewhere"),
            )
        elif branch.to != "filter" and branch.pool is not None and branch.pool not in levels:
            yield no_such(("water", "branches", index, "pool"), "pool", branch.pool, levels)
    ready = [pump for pump in drawn.pumps if has_curve(pump)]
    if not ready:
        return
    for index, pump in enumerate(drawn.pumps):
        yield from _curve_faults(pump, index)
    if not any(pump.running for pump in ready):
        yield Problem(
            ("water", "pumps", 0, "running"),
            words("no pump runs"),
            words("one that runs, for a flow to work out"),
            words("switch one on"),
        )
    if not drawn.branches:
        yield Problem(
            ("water", "branches"),
            words("the pumps have nowhere to send their water"),
            words("one branch or more"),
            words("add a branch"),
        )
    elif all(branch.opening == 0 for branch in drawn.branches):
        yield Problem(
            ("water", "branches", 0, "opening"),
            words("every valve is shut"),
            words("one that is open: a pump that runs against shut valves overheats"),
            words("open a valve"),
        )


def placed_lines(drawn: Water) -> Iterator[tuple[Path, PumpLine]]:
    """Every line with its place in the document."""
    for field in ("pumps", "branches"):
        for index, line in enumerate(getattr(drawn, field)):
            yield ("water", field, index), line
    for field in ("main", "passage"):
        if (alone := getattr(drawn, field)) is not None:
            yield ("water", field), alone


def _curve_faults(pump: Pump, index: int) -> Iterator[Problem]:
    """A curve that does not go on, or that rises."""
    path = ("water", "pumps", index, "curve")
    read = [at for at, point in enumerate(pump.curve) if point.flow is not None and point.head is not None]
    points = read_points(pump)
    for at in range(1, len(points)):
        number, (before_flow, before_head), (flow, head) = read[at], points[at - 1], points[at]
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


def to_fill(drawn: Water) -> Iterator[ToFill]:
    """Curves, and points of them, that are still to be read off the makers' sheets."""
    for index, pump in enumerate(drawn.pumps):
        path: Path = ("water", "pumps", index, "curve")
        if not has_curve(pump):
            wanted = words("two points of its curve or more, or the one it is sold by, off the maker's sheet")
            yield ToFill(path, wanted, words(f"what '{pump.name}' gives: it stands still in all figures"))
            continue
        for number, point in enumerate(pump.curve):
            missing = [field for field in ("flow", "head") if getattr(point, field) is None]
            if missing:
                wanted = words(f"{' and '.join(missing)} of this point, off the maker's sheet")
                yield ToFill((*path, number, missing[0]), wanted, words(f"this point of the curve of '{pump.name}'"))


def cannot_lift(drawn: Water, intake_level: float, lowest: float, *, filtered: bool) -> Problem:
    """No running pump lifts to the lowest open branch, or to the filter, from which the water would run back."""
    end = "the filter stands" if filtered else "the lowest open branch ends"
    ready = [(at, pump) for at, pump in enumerate(drawn.pumps) if pump.running and has_curve(pump)]
    pumps = [(curve_points(pump, pump.shutoff)[0][1], at) for at, pump in ready]
    shutoff, index = max(pumps, key=lambda pair: pair[0])
    best = drawn.pumps[index]
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
