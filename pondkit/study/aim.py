"""Aims: reach a target by moving one input, or by scaling a pool; the inputs that drive a figure; and the turn of a
liner that needs the least liner. These are searches, which run only on request and never in a drag.
"""

import math
from bisect import bisect
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Any, Literal

import numpy as np

from pondkit.core.entry import Entry
from pondkit.core.part import Part, ask_of, get, kind_in, walk
from pondkit.core.refusal import Refused
from pondkit.core.remembered import Memory
from pondkit.core.result import Path
from pondkit.core.units import ANGLE, LENGTH, MONEY, RATIO, TEMPERATURE, Kind, System, brief, factor, magnitude, nothing
from pondkit.geometry.sheet import rough_extents, sheets
from pondkit.project.files import put
from pondkit.project.project import Project
from pondkit.study.evaluate import evaluate
from pondkit.trades.liner.compute import LEAST_GAIN
from pondkit.trades.liner.edge import edge_of
from pondkit.trades.liner.formulas import order_length
from pondkit.trades.liner.panels import Stock, cheapest
from pondkit.trades.pools.inputs import Pool

SCALE = (0.25, 4.0)  # least and greatest factor on a pool's outline
POOL_STEPS = 4  # length of the path of a pool: options, index, pools, index
TRIED = 33  # values tried over the whole range of the input, and as many near its present value
FINE_TURN = 1e-5  # share of a bracket to which the input is found at which a figure turns round
BELOW_TARGET = 0.01  # share of the target by which a design of round sizes may be below it
# Fractions of an input's step (1/1, 1/2 …) to which a crew can still build.
FRACTIONS_OF_STEP: dict[System, tuple[int, ...]] = {"us": (1, 2, 4), "si": (1, 2, 5, 10)}
FEET_FROM = 24.0  # inches: a length from here on is written in feet and inches
REACHED = 1e-6  # share of the target within which it counts as reached
PRICE_REACHED = 1e-3  # the same for a price, which is a sum of lines in whole cents
# Changes of inputs whose zero is a convention, so that a share of them means nothing: a level depends on the site's
# datum, a temperature on its scale, a bearing on north; pH is a logarithm. In SI; common practice, no source.
LEVEL_STEP = 0.0254  # m, an inch
TEMPERATURE_STEP = 1.0  # °C
ANGLE_STEP = 5.0  # degrees
PH_STEP = 0.2

Why = Literal["none", "jump", "gap", "range"]


@dataclass(frozen=True)
class AimFailure:
    """Why a target is not reached, in SI.

    Attributes:
        why: "none": the option has the figure at no value of the input; "jump": the figure changes by whole pieces and
            skips the target; "gap": the target is where the figure cannot be computed; "range": it is outside the
            range of the figure.
        kind: Kind of the input.
        low, high: Least and greatest value of the input at which there is a figure.
        least, most: Least and greatest value of the figure.
        at: Value of the input at which the figure jumps.
    """

    why: Why
    kind: Kind
    low: float = 0.0
    high: float = 0.0
    least: float = 0.0
    most: float = 0.0
    at: float = 0.0


@dataclass(frozen=True)
class AimResult:
    """Result of an aim: the design that reaches the target, or why none was found.

    Attributes:
        project: Design that reaches the target; None if none was found.
        moved: Value of the input in that design [SI], or the factor on the outline.
        figure: Value of the figure in that design [SI].
        missed: Why the target is not reached; None if it is.
    """

    project: Project | None
    moved: float | None
    figure: float | None
    missed: AimFailure | None


@dataclass(frozen=True)
class Drive:
    """Effect of a change of one input on a figure.

    Attributes:
        path: Path of the input in the project; that of a pool stands for scaling its outline.
        value: Value of the input [SI].
        kind: Kind of the input.
        step: Change of the input [SI]; less than asked for if its bounds leave no more room on either side.
        stated: True if the step is fixed, not a share of the input.
        change: Change of the figure for that step [SI]; None if there is no figure after a change in either direction.
    """

    path: Path
    value: float
    kind: Kind
    step: float
    stated: bool
    change: float | None


def aim(project: Project, option: int, key: str, subject: str, target: float, path: Path) -> AimResult:
    """Move one input so that a figure of an option reaches a target; of the solutions found between the values tried,
    take the one nearest to the present value.

    Only nodes of the option that the figure depends on are computed.

    Args:
        project: The design, which is not changed itself.
        option: Index of the option.
        key, subject: The figure.
        target: Value to reach [SI].
        path: Path of the input, which is moved within its bounds; the path of a pool scales its outline but not its
            depths, shelves and pits.
    Raises: Refused if the path names no quantity.
    """
    with Memory():  # a separate memory, so that the page's results stay remembered
        return _Search(project, option, key, subject, target, path).solved()


def rounded(
    project: Project, option: int, of: tuple[str, str], target: float, path: Path, aimed: AimResult, system: System
) -> AimResult:
    """A solved aim with the input rounded to a size that can be built: a multiple of its step, or of a part of it.

    The figure is then at most the share ``BELOW_TARGET`` below the target and never above it, as a target may be a
    budget, or a width in stock. If no such size is found, or if an outline is scaled, the aim is returned as it was
    solved.

    Args:
        project, option, target, path: As for ``aim``.
        of: Key and subject of the figure.
        aimed: Result of ``aim``.
        system: Unit system of the steps.
    """
    if aimed.project is None or aimed.moved is None or scales(path):
        return aimed
    part, name = type(get(project, path[:-1])), str(path[-1])
    declaration, kind = ask_of(part, name), kind_in(part, name)
    if declaration is None or kind is None:
        return aimed
    step, unit = declaration.stride(kind, system)
    solved = magnitude(aimed.moved, kind, unit, system)
    with Memory():
        for increment in (step / parts for parts in FRACTIONS_OF_STEP[system]):
            met = []
            for steps in {math.floor(solved / increment), math.ceil(solved / increment)}:
                try:
                    design = put(project, path, _size_text(steps * increment, unit), system)
                except Refused:
                    continue
                figure = _figure(design, option, *of)
                if figure is not None and -BELOW_TARGET * abs(target) <= figure.value - target <= REACHED * abs(target):
                    met.append((abs(figure.value - target), design, figure.value))
            if met:
                _, design, reached = min(met, key=lambda each: each[0])
                return AimResult(design, float(get(design, path)), reached, None)
    return aimed


def _size_text(value: float, unit: str) -> str | float:
    """A size as a person writes it: 4 ft 8 in."""
    if not unit:
        return float(f"{value:.10g}")
    if unit != "in" or value < FEET_FROM:
        return f"{value:.10g} {unit}"
    feet, inches = divmod(value, 12)
    return f"{feet:.0f} ft" + (f" {inches:.10g} in" if inches else "")


@dataclass(frozen=True)
class _Search:
    """The search of ``aim``: its arguments and method."""

    project: Project
    option: int
    key: str
    subject: str
    target: float
    path: Path

    def met(self, figure: Entry) -> bool:
        """True if a figure is near enough to the target to count as reached."""
        share = PRICE_REACHED if figure.kind is MONEY else REACHED
        return abs(figure.value - self.target) <= (share * abs(self.target) if self.target else share)

    def solved(self) -> AimResult:
        """Result of the aim."""
        now, low, high, kind = _range(self.project, self.path)
        met: dict[float, Entry | None] = {}

        def moved(value: float) -> Project:
            return _with_value(self.project, self.path, value, now, kind)

        def figure(value: float) -> Entry | None:
            if value not in met:
                try:
                    met[value] = _figure(moved(value), self.option, self.key, self.subject)
                except Refused:  # refused by a check across two fields of one part
                    met[value] = None
            return met[value]

        near = np.clip(now * np.geomspace(*SCALE, TRIED), low, high)
        tried = sorted({float(v) for v in [*np.linspace(low, high, TRIED), *near, now]})
        root, jumps = self._nearest(figure, list(pairwise(tried)), now)
        samples = [(v, entry.value) for v in tried if root is None and (entry := figure(v)) is not None]
        if samples and not jumps and (turn := self._turning_point(figure, samples)) is not None:
            place = bisect(samples, turn)
            root, jumps = self._nearest(figure, [(samples[place - 1][0], turn[0]), (turn[0], samples[place][0])], now)
            samples.insert(place, turn)
        if root is not None:
            reached = figure(root)
            assert reached is not None
            return AimResult(moved(root), root, reached.value, None)
        if not samples:
            return AimResult(None, None, None, AimFailure("none", kind))
        values = [value for _, value in samples]
        least, most = min(values), max(values)
        why: Why = "jump" if jumps else "gap" if least <= self.target <= most else "range"
        return AimResult(
            None, None, None, AimFailure(why, kind, samples[0][0], samples[-1][0], least, most, *jumps[:1])
        )

    def _nearest(
        self, figure: Callable[[float], Entry | None], brackets: Sequence[tuple[float, float]], now: float
    ) -> tuple[float | None, list[float]]:
        """(value of the input nearest to the present one at which the target is reached, or None; values at which the
        figure jumps over the target).

        Args:
            figure: The figure at a value of the input; None if there is none.
            brackets: Neighbouring values of the input, at most one solution being looked for between the two.
            now: Present value of the input.
        """

        def distance(bracket: tuple[float, float]) -> float:
            return min(abs(end - now) for end in bracket)

        best: float | None = None
        jumps: list[float] = []
        # From the present value outwards, so that nothing beyond the nearest solution is computed.
        for low, high in sorted(brackets, key=distance):
            if best is not None and distance((low, high)) >= abs(best - now):
                break
            start, end = figure(low), figure(high)
            if start is None or end is None or (start.value - self.target) * (end.value - self.target) > 0:
                continue
            try:
                root = _root(figure, self.target, low, high)
            except _NoFigure:
                continue
            reached = figure(root)
            if reached is None or not self.met(reached):
                jumps.append(root)
            elif best is None or abs(root - now) < abs(best - now):
                best = root
        return best, jumps

    def _turning_point(
        self, figure: Callable[[float], Entry | None], samples: Sequence[tuple[float, float]]
    ) -> tuple[float, float] | None:
        """(input, figure) where the figure turns round on its way to a target beyond all samples; None if the target
        is not beyond them, or if the figure goes on to an end of the range.
        """
        from scipy.optimize import minimize_scalar

        values = [value for _, value in samples]
        if min(values) <= self.target <= max(values):
            return None
        upwards = 1.0 if self.target > max(values) else -1.0
        top = max(range(len(samples)), key=lambda place: upwards * values[place])
        if not 0 < top < len(samples) - 1:
            return None

        def short(value: float) -> float:
            entry = figure(value)
            return math.inf if entry is None else -upwards * entry.value

        low, high = samples[top - 1][0], samples[top + 1][0]
        turn = float(
            minimize_scalar(short, bounds=(low, high), method="bounded", options={"xatol": FINE_TURN * (high - low)}).x
        )
        entry = figure(turn)
        return None if entry is None else (turn, entry.value)


def drives(project: Project, option: int, key: str, subject: str, share: float) -> tuple[Drive, ...]:
    """Effect of a change of each input of an option on a figure, the greatest first; inputs without effect are left
    out.

    Args:
        project: The design.
        option: Index of the option.
        key, subject: The figure.
        share: Change of each input as a share of itself, such as 0.1 for a tenth more. Levels, temperatures, angles,
            pH and inputs at 0 change by a fixed step with the sign of the share. If an input's bounds refuse the
            change, it is made in the other direction.
    """
    with Memory():
        effects = _drives(project, option, key, subject, share)
        return tuple(sorted(effects, key=lambda drive: (drive.change is None, -abs(drive.change or 0.0))))


def _drives(project: Project, option: int, key: str, subject: str, share: float) -> Iterator[Drive]:
    base = _figure(project, option, key, subject)
    if base is None:
        return
    for path, value, kind in quantities(project, option):
        step, stated = _step(project, path, value, kind, share)
        change: float | None = None
        for way, changed in _changed_designs(project, path, value, kind, step):
            figure = _figure(changed, option, key, subject)
            if figure is not None:
                change, step = (figure.value - base.value) * math.copysign(1.0, way * step), math.copysign(way, step)
                break
        if change is None or not (nothing(change, base.kind) or abs(change) <= 1e-9 * abs(base.value)):
            yield Drive(path, value, kind, step, stated, change)


def _step(project: Project, path: Path, value: float, kind: Kind, share: float) -> tuple[float, bool]:
    """(change of an input [SI], whether it is a fixed step)."""
    if scales(path):
        return share, False
    part, name = type(get(project, path[:-1])), str(path[-1])
    declaration = ask_of(part, name)
    assert declaration is not None
    low = declaration.bound("low", kind)
    stride, unit = declaration.stride(kind, "us")
    stride *= factor(unit, kind) if unit else 1.0
    if kind is LENGTH and (low is None or low < 0):  # measured from the datum, or from an instrument's height
        stated = max(stride, LEVEL_STEP)
    elif kind is TEMPERATURE:
        stated = TEMPERATURE_STEP
    elif kind is ANGLE:
        stated = ANGLE_STEP
    elif name == "ph":
        stated = PH_STEP
    elif value == 0:
        stated = stride
    else:
        return share * abs(value), False
    return math.copysign(stated, share), True


def _changed_designs(
    project: Project, path: Path, value: float, kind: Kind, step: float
) -> Iterator[tuple[float, Project]]:
    """(change, design with it): by the step, then by as much in the other direction; if the bounds refuse both, to the
    farther bound.
    """
    met = False
    for way in (step, -step):
        try:
            yield way, _with_value(project, path, value + way, value, kind)
            met = True
        except Refused:
            continue
    if not met:
        _, low, high, _ = _range(project, path)
        room = max(high - value, low - value, key=abs)
        yield room, _with_value(project, path, value + room, value, kind)


class _NoFigure(Exception):
    """The figure could not be computed inside a bracket."""


def _root(figure: Callable[[float], Entry | None], target: float, low: float, high: float) -> float:
    from scipy.optimize import brentq

    def miss(value: float) -> float:
        entry = figure(value)
        if entry is None:
            raise _NoFigure
        return entry.value - target

    return float(brentq(miss, low, high, xtol=1e-13, rtol=1e-14, maxiter=200))


def _figure(project: Project, option: int, key: str, subject: str) -> Entry | None:
    """A figure, for which only nodes that it depends on are computed; None if the option does not have it."""
    return evaluate(project).options[option].figure(key, subject)


def _range(project: Project, path: Path) -> tuple[float, float, float, Kind]:
    """(present value, least, greatest, kind) of an input; for a pool those of the factor on its outline."""
    value = _value_at(project, path)
    if isinstance(value, Pool):
        return 1.0, *SCALE, RATIO
    part, name = get(project, path[:-1]), path[-1]
    declaration = ask_of(type(part), name) if isinstance(part, Part) and isinstance(name, str) else None
    kind = kind_in(type(part), str(name)) if declaration else None
    low, high = (
        (declaration.bound("low", kind), declaration.bound("high", kind)) if declaration and kind else (None, None)
    )
    if kind is None or low is None or high is None or isinstance(value, bool | int) or not isinstance(value, float):
        raise Refused(
            f"{'.'.join(map(str, path))}: it is no single quantity with bounds that is filled in; choose a "
            "length, a ratio or a pool."
        )
    return float(value), low, high, kind


def _value_at(project: Project, path: Path) -> Any:
    """The value at a path. Raises: Refused if the document has no such field or part."""
    value: Any = project
    for step in path:
        named = isinstance(step, str) and isinstance(value, Part) and step in type(value).model_fields
        counted = isinstance(step, int) and isinstance(value, tuple) and 0 <= step < len(value)
        if not (named or counted):
            raise Refused(f"{brief('.'.join(map(str, path)))}: there is no such input in this design.")
        value = getattr(value, step) if isinstance(step, str) else value[step]
    return value


def scales(path: Path) -> bool:
    """True for the path of a pool, which stands for scaling its outline."""
    return len(path) == POOL_STEPS and path[2] == "pools"


def _with_value(project: Project, path: Path, value: float, now: float, kind: Kind) -> Project:
    part = get(project, path)
    if isinstance(part, Pool):
        outline = part.outline
        fields = {name: getattr(outline, name) for name in type(outline).model_fields}
        scaled = {
            name: _scaled(field, value) if kind_in(type(outline), name) is LENGTH else field
            for name, field in fields.items()
        }
        return put(project, (*path, "outline"), scaled)
    return project if value == now else put(project, path, _full_text(value, kind))


def _scaled(value: Any, factor: float) -> Any:
    if isinstance(value, tuple):
        return tuple(_scaled(item, factor) for item in value)
    return value if value is None or factor == 1.0 else _full_text(value * factor, LENGTH)


def _full_text(value: float, kind: Kind) -> str | float:
    """A quantity as text for a file, with every digit."""
    if kind.plain:
        return float(value)
    unit = kind.bare["si"]
    return f"{magnitude(value, kind, unit, 'si'):.17g} {unit}"


def quantities(project: Project, option: int) -> Iterator[tuple[Path, float, Kind]]:
    """(path, SI value, kind) of every single quantity of an option; for each pool also its own path, with value 1 for
    the factor on its outline.
    """
    head: Path = ("options", option)
    for index in range(len(project.options[option].pools)):
        yield (*head, "pools", index), 1.0, RATIO
    for path, part, name in walk(get(project, head), head):
        value, declaration, kind = getattr(part, name), ask_of(type(part), name), kind_in(type(part), name)
        if declaration and kind and isinstance(value, float):
            yield path, float(value), kind


COARSE = 5.0  # degrees between the turns that are compared first
LOOKED_INTO = 3  # how many of these, the best ones, are searched more closely
# Degrees: accuracy of that search, then reach and accuracy of the last search, round the best of them.
ROUGH, NEAR, FINE = 0.5, 0.8, 0.2
TIE = 1e-4  # price of a square metre: decides only between turns of the same cost


@dataclass(frozen=True)
class LinerTurn:
    """Orientation of a liner [degrees] and the net area it then has [m²]."""

    turn_deg: float
    area: float


def least_area_turn(area_at: Callable[[float], float], rough_at: Callable[[float], float]) -> LinerTurn:
    """The orientation at which a liner's rectangle has the least area.

    First turns every few degrees are compared by approximate areas; as the area has several local minima, the
    neighbourhoods of the three best are searched. The exact areas then decide between them, and are minimised near the
    best.

    Args:
        area_at: Net area [m²] at a turn [degrees]; the same after 90 degrees, with length and width exchanged.
        rough_at: Approximation of ``area_at`` in a tenth of the time.
    """
    from scipy.optimize import minimize_scalar

    def narrowed(area: Callable[[float], float], start: float, wide: float, fine: float) -> float:
        bounds = (start - wide, start + wide)
        return float(minimize_scalar(area, bounds=bounds, method="bounded", options={"xatol": fine}).x)

    tries = np.arange(0.0, 90.0, COARSE)
    areas = np.array([rough_at(float(turn)) for turn in tries])
    starts = [float(turn) for turn in tries[np.argsort(areas)[:LOOKED_INTO]]]
    best = min([starts[0], *(narrowed(rough_at, start, COARSE, ROUGH) for start in starts)], key=area_at)
    best = min(best, narrowed(area_at, best, NEAR, FINE), key=area_at)
    return LinerTurn(best % 180.0, area_at(best))


def least_liner_turn(project: Project, option: int, liner: int) -> LinerTurn | None:
    """The orientation at which one liner has the least net area, or costs least from the rolls entered; None if one of
    its pools cannot be computed.

    Args:
        project: The design.
        option, liner: Index of the option, and of the liner in it.
    """
    lining = project.options[option].lining
    if lining is None:
        return None
    covers = lining.liners[liner].covers
    surfaces = tuple(pool.surfaces.liner for pool in evaluate(project).options[option].pools if pool.name in covers)
    if not surfaces or len(surfaces) < len(covers):
        return None
    edge = edge_of(lining)

    def worth(along: float, across: float) -> float:
        if lining.rolls and not any(
            min(roll.width, roll.length) < lining.seam_lap + LEAST_GAIN for roll in lining.rolls
        ):
            length, width = (order_length(side, lining.allowance, lining.sale_unit) for side in (along, across))
            stock = [Stock(roll.name, roll.width, roll.length, roll.price) for roll in lining.rolls]
            # Among turns of the same cost, the one of least area.
            return cheapest(length, width, stock, lining.seam_lap).cost + along * across * TIE
        return along * across

    @cache
    def area(turn: float) -> float:
        along, across = sheets(surfaces, turn, edge)
        return worth(along.length, across.length)

    return least_area_turn(area, lambda turn: worth(*rough_extents(surfaces, turn, edge)))
