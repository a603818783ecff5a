"""The lift chart, looked up without interpolation or extrapolation, and the lift of a stone by it.

Heights of the load point are over the ground that the machine stands on, radii level from the centre of slewing.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem
from pondkit.core.sentence import words
from pondkit.core.tables import gathered
from pondkit.core.units import LENGTH, MASS
from pondkit.trades.lifting import formulas as rel
from pondkit.trades.lifting.inputs import ChartRow, Lifting
from pondkit.trades.lifting.results import Lift, LiftLoad, Phase, Phases, Place

SAME = 1e-6  # m, kg: figures nearer than this are equal
Ratings = tuple[float | None, float | None]  # over front and over side [kg]; None if not printed


@dataclass(frozen=True)
class Chart:
    """Rated loads by height and radius.

    Attributes:
        heights: Heights of the load point, ascending [m].
        radii: Radii at each height, ascending [m].
        front, side: Rated load over front and over side at each height and radius [kg]; None if the plate prints none.
    """

    heights: tuple[float, ...]
    radii: tuple[tuple[float, ...], ...]
    front: tuple[tuple[float | None, ...], ...]
    side: tuple[tuple[float | None, ...], ...]

    @property
    def reach(self) -> float:
        """Greatest radius of any row [m]."""
        return max(row[-1] for row in self.radii)

    @property
    def nearest(self) -> float:
        """Least radius of any row [m]."""
        return min(row[0] for row in self.radii)

    @property
    def greatest_load(self) -> float:
        """Greatest rated load at the least radius of the chart [kg]."""
        return max(
            load
            for row, front, side in self._rows
            for radius, *ratings in zip(row, front, side, strict=True)
            if radius <= self.nearest + SAME
            for load in ratings
            if load is not None
        )

    @property
    def greatest_moment(self) -> float:
        """Greatest moment of any rated load about the centre of slewing [N m]."""
        return GRAVITY * max(
            radius * load
            for row, front, side in self._rows
            for radius, *ratings in zip(row, front, side, strict=True)
            for load in ratings
            if load is not None
        )

    @property
    def _rows(self) -> Iterator[tuple[tuple[float, ...], tuple[float | None, ...], tuple[float | None, ...]]]:
        return zip(self.radii, self.front, self.side, strict=True)

    def rated_load(self, radius: float, low: float, high: float, over_front: bool) -> float | None:
        """Least rated load of the rows next to a radius, at all heights of the chart that enclose the heights from low
        to high [kg]; None outside the chart, or if one of those loads is not printed.

        Args:
            radius: Radius of the load point [m].
            low, high: Least and greatest height of the load point [m].
            over_front: True if the load is over the front; otherwise the lesser of front and side counts.
        """
        first, last = bisect_right(self.heights, low + SAME) - 1, bisect_left(self.heights, high - SAME)
        if first < 0 or last >= len(self.heights):
            return None
        least: float | None = None
        for height_index in range(first, last + 1):
            radii = self.radii[height_index]
            near, far = bisect_right(radii, radius + SAME) - 1, bisect_left(radii, radius - SAME)
            if near < 0 or far >= len(radii):
                return None
            for radius_index in {near, far}:
                for ratings in (self.front,) if over_front else (self.front, self.side):
                    load = ratings[height_index][radius_index]
                    if load is None:
                        return None
                    least = load if least is None else min(least, load)
        return least


def chart_of(rows: Sequence[ChartRow]) -> tuple[Chart | None, tuple[Entry, ...], tuple[Problem, ...]]:
    """(chart, rated loads reduced from raw values, problems). The chart is None if there is a problem, or if no row has
    a load.
    """
    problems: list[Problem] = []
    reduced: list[Entry] = []
    ratings_at: dict[tuple[float, float], tuple[int, Ratings]] = {}  # by height and radius: index of the row, ratings
    for index, row in enumerate(rows):
        if not has_load(row):
            continue  # to be filled in
        faults = list(_row_faults(row, index))
        problems += faults
        if faults:
            continue
        ratings: list[float | None] = []
        for name, printed, tipping in (("front", row.front, row.tipping_front), ("side", row.side, row.tipping_side)):
            if tipping is None or row.hydraulic is None:
                ratings.append(None if printed is None else float(printed))
                continue
            rated = _reduced(f"row {index + 1} / over {name}", tipping, row.hydraulic)
            reduced.append(rated)
            ratings.append(rated.value)
        height_and_radius = round(float(row.height), 6), round(float(row.radius), 6)
        if height_and_radius in ratings_at:
            first = ratings_at[height_and_radius][0] + 1
            problems.append(
                _problem(
                    ("lifting", "chart", index, "radius"),
                    f"row {first} has this radius and height already",
                    "one row each",
                    "change one of the two, or remove it",
                )
            )
        ratings_at[height_and_radius] = index, (ratings[0], ratings[1])
    problems += _rising_faults(ratings_at)
    if problems or not ratings_at:
        return None, tuple(reduced), tuple(problems)
    heights = sorted({height for height, _ in ratings_at})
    radii = [sorted(radius for at_height, radius in ratings_at if at_height == height) for height in heights]
    front, side = (
        tuple(
            tuple(ratings_at[height, radius][1][over] for radius in radii_there)
            for height, radii_there in zip(heights, radii, strict=True)
        )
        for over in (0, 1)
    )
    return Chart(tuple(heights), tuple(map(tuple, radii)), front, side), tuple(reduced), ()


def _reduced(subject: str, tipping: float, hydraulic: float) -> Entry:
    """Rated load of a row with raw values."""
    shares = [gathered("limits")[name] for name in ("rated share of tipping", "rated share of hydraulic")]
    return entry(
        rel.chart_rated,
        subject,
        source=USER,
        tipping=tipping,
        tipping_share=float(shares[0]["value"]),
        hydraulic=hydraulic,
        hydraulic_share=float(shares[1]["value"]),
    )


def _problem(path: Path, entered: str, allowed: str, mend: str) -> Problem:
    return Problem(path, words(entered), words(allowed), words(mend))


def has_load(row: ChartRow) -> bool:
    """True if any load is entered in a row."""
    loads = (row.front, row.side, row.tipping_front, row.tipping_side, row.hydraulic)
    return any(load is not None for load in loads)


def _row_faults(row: ChartRow, index: int) -> Iterator[Problem]:
    """Problems of a row with rated and raw loads together, or an incomplete raw one."""
    path: Path = ("lifting", "chart", index)
    raw = [value for value in (row.tipping_front, row.tipping_side, row.hydraulic) if value is not None]
    if raw and (row.front is not None or row.side is not None):
        yield _problem(
            path,
            "rated and raw loads stand in one row",
            "one of the two: a rated load is not reduced again",
            "leave out the raw values where the plate prints rated ones",
        )
    elif raw and (row.hydraulic is None or len(raw) < 2):
        yield _problem(
            path,
            "a raw load is entered without the other that it is compared with",
            "tipping load and hydraulic capacity",
            "enter both, or the rated loads instead",
        )


def _rising_faults(ratings_at: dict[tuple[float, float], tuple[int, Ratings]]) -> Iterator[Problem]:
    """Problems of a rated load greater than one at a smaller radius and the same height.

    Args:
        ratings_at: By height and radius [m]: index of the row, ratings over front and side [kg].
    """
    for over, side in enumerate(("front", "side")):
        nearer_at: dict[float, tuple[float, float]] = {}  # by height: next smaller radius, and its load
        for (height, radius), (index, ratings) in sorted(ratings_at.items()):
            load = ratings[over]
            if load is None:
                continue
            nearer = nearer_at.get(height)
            if nearer and load > nearer[1] + SAME:
                yield Problem(
                    ("lifting", "chart", index, "radius"),
                    words(
                        f"{{load}} over {side} at {{radius}}, more than at {{nearer}}",
                        load=(load, MASS),
                        radius=(radius, LENGTH),
                        nearer=(nearer[0], LENGTH),
                    ),
                    words("at most {most}: a chart does not rise with the radius", most=(nearer[1], MASS)),
                    words("read the plate again"),
                )
            nearer_at[height] = radius, load


@dataclass(frozen=True)
class SoundPosition:
    """A position without problems.

    Attributes:
        index: Its index in the order entered.
        at, pick_up: Places of the machine and of its staging area on the site [m].
        facing_deg: Bearing of the front of its tracks, clockwise from north.
        level, pick_up_level: Site levels of the ground at both [m].
    """

    index: int
    at: Place
    pick_up: Place
    facing_deg: float
    level: float
    pick_up_level: float


@dataclass(frozen=True, eq=False)
class Machine:
    """The machine wherever it stands.

    Attributes:
        inputs: Inputs of the lift plan; of these its positions are not used.
        chart: Its chart; None if that has a problem, or no loads.
        reduced: Rated loads reduced from raw values.
        problems: Problems of the chart.
    """

    inputs: Lifting
    chart: Chart | None
    reduced: tuple[Entry, ...]
    problems: tuple[Problem, ...]


@remembered
def machine_of(lifting: Lifting) -> Machine:
    """The machine of a lift plan."""
    return Machine(lifting, *chart_of(lifting.chart))


@remembered
def best_lift(machine: Machine, load: LiftLoad, positions: tuple[SoundPosition, ...]) -> Lift:
    """Lift of a boulder from the position where it uses least of the chart.

    Args:
        machine: A machine with a chart.
        load: The boulder.
        positions: Positions without problems, at least one.
    """
    chart = machine.chart
    assert chart is not None
    return min((lift_from(machine.inputs, chart, load, position) for position in positions), key=lambda lift: lift.use)


def load_point_heights(inputs: Lifting, load: LiftLoad, position: SoundPosition) -> tuple[float, float, float]:
    """(at pick-up, at the set, in the swing): heights of the load point over the machine's ground [m]."""
    over_base = load.height + inputs.hook_over
    at_pick_up = position.pick_up_level - position.level + over_base
    at_set = load.level - position.level + over_base
    # The stone is swung clear of its staging area, of its place, and of the machine's ground between.
    return at_pick_up, at_set, max(at_pick_up, at_set, over_base) + inputs.carry


def lift_from(inputs: Lifting, chart: Chart, load: LiftLoad, position: SoundPosition) -> Lift:
    """Lift of a boulder from a position: pick-up and set, each through all heights up to the swing, and the swing at
    the greater of both radii, where the lesser of front and side counts.
    """
    at_pick_up, at_set, in_swing = load_point_heights(inputs, load, position)
    pick_up_radius, set_radius = math.dist(position.at, position.pick_up), math.dist(position.at, load.at)
    swing_radius = max(pick_up_radius, set_radius)
    besides_stone = float(inputs.bucket + inputs.coupler + inputs.rigging)

    def phase(when: str, radius: float, rated_load: float | None) -> Phase:
        left_for_stone = 0.0 if rated_load is None else rated_load - besides_stone
        return Phase(when, radius, rated_load, load.mass / left_for_stone if left_for_stone > 0 else math.inf)

    pick_up_in_front, set_in_front = (_over_front(inputs, position, end) for end in (position.pick_up, load.at))
    pick_up_rated = chart.rated_load(pick_up_radius, at_pick_up, in_swing, pick_up_in_front)
    swing_rated = chart.rated_load(swing_radius, in_swing, in_swing, False)
    set_rated = chart.rated_load(set_radius, at_set, in_swing, set_in_front)
    return Lift(
        load,
        position.index,
        Phases(
            pick_up=phase("at pick-up", pick_up_radius, pick_up_rated),
            swing=phase("in the swing", swing_radius, swing_rated),
            at_set=phase("at its place", set_radius, set_rated),
        ),
    )


def _over_front(inputs: Lifting, position: SoundPosition, place: Place) -> bool:
    """True if a load at a place is over the front of a machine."""
    bearing = math.degrees(math.atan2(place[0] - position.at[0], place[1] - position.at[1]))
    deviation = (bearing - position.facing_deg + 180) % 360 - 180
    return abs(deviation) <= inputs.front_within_deg + 1e-9
