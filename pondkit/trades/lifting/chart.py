"""The lift chart: entered by rows, and looked up without interpolation or extrapolation."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Entry, entry
from pondkit.core.result import Path, Problem
from pondkit.core.sentence import words
from pondkit.core.tables import gathered
from pondkit.core.units import LENGTH, MASS
from pondkit.trades.lifting import formulas as rel
from pondkit.trades.lifting.inputs import ChartRow

SAME = 1e-6  # m, kg: values nearer than this are equal
Rated = tuple[float | None, float | None]


@dataclass(frozen=True)
class Chart:
    """Rated loads by height and radius.

    Attributes:
        heights: Heights of the load point, ascending [m].
        radii: Radii at each height, ascending [m].
        front, side: Rated load at each height and radius [kg]; None if the plate prints none.
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
    def lifts_most(self) -> float:
        """Greatest rated load at the least radius of the chart [kg]."""
        return max(
            load
            for row, front, side in self._rows
            for radius, *both in zip(row, front, side, strict=True)
            if radius <= self.nearest + SAME
            for load in both
            if load is not None
        )

    @property
    def tips_most(self) -> float:
        """Greatest moment of any rated load about the centre of slewing [N m]."""
        return GRAVITY * max(
            radius * load
            for row, front, side in self._rows
            for radius, *both in zip(row, front, side, strict=True)
            for load in both
            if load is not None
        )

    @property
    def _rows(self) -> Iterator[tuple[tuple[float, ...], tuple[float | None, ...], tuple[float | None, ...]]]:
        return zip(self.radii, self.front, self.side, strict=True)

    def rated(self, radius: float, low: float, high: float, over_front: bool) -> float | None:
        """Least rated load of the rows adjacent to a radius and to heights from low to high [kg]; None outside the
        chart.

        Args:
            radius: Radius of the load [m].
            low, high: Least and greatest height of the load point [m].
            over_front: True if the load is over the front; otherwise the lesser of front and side counts.
        """
        first, last = bisect_right(self.heights, low + SAME) - 1, bisect_left(self.heights, high - SAME)
        if first < 0 or last >= len(self.heights):
            return None
        least: float | None = None
        for level in range(first, last + 1):
            radii = self.radii[level]
            near, far = bisect_right(radii, radius + SAME) - 1, bisect_left(radii, radius - SAME)
            if near < 0 or far >= len(radii):
                return None
            for row_radius in {near, far}:
                for printed in (self.front,) if over_front else (self.front, self.side):
                    value = printed[level][row_radius]
                    if value is None:
                        return None
                    least = value if least is None else min(least, value)
        return least


def chart_of(rows: Sequence[ChartRow]) -> tuple[Chart | None, tuple[Entry, ...], tuple[Problem, ...]]:
    """(chart, ratings derived from raw values, problems); no chart if there is a problem, or no row has a load."""
    problems: list[Problem] = []
    worked: list[Entry] = []
    read: dict[tuple[float, float], tuple[int, Rated]] = {}
    for index, row in enumerate(rows):
        if not has_load(row):
            continue  # to be filled in
        faults = list(_row_faults(row, index))
        problems += faults
        if faults:
            continue
        rated: list[float | None] = []
        for name, printed, tipping in (("front", row.front, row.tipping_front), ("side", row.side, row.tipping_side)):
            if tipping is None or row.hydraulic is None:
                rated.append(None if printed is None else float(printed))
                continue
            raw = _raw(f"row {index + 1} / over {name}", tipping, row.hydraulic)
            worked.append(raw)
            rated.append(raw.value)
        place = round(float(row.height), 6), round(float(row.radius), 6)
        if place in read:
            first = read[place][0] + 1
            problems.append(
                _problem(
                    ("lifting", "chart", index, "radius"),
                    f"row {first} has this radius and height already",
                    "one row each",
                    "change one of the two, or remove it",
                )
            )
        read[place] = index, (rated[0], rated[1])
    problems += _rising(read)
    if problems or not read:
        return None, tuple(worked), tuple(problems)
    heights = sorted({height for height, _ in read})
    radii = [sorted(radius for height, radius in read if height == level) for level in heights]
    front, side = (
        tuple(
            tuple(read[level, radius][1][column] for radius in row) for level, row in zip(heights, radii, strict=True)
        )
        for column in (0, 1)
    )
    return Chart(tuple(heights), tuple(map(tuple, radii)), front, side), tuple(worked), ()


def _raw(subject: str, tipping: float, hydraulic: float) -> Entry:
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
    """True for a row with any load in it."""
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
            "a raw load stands without the other that it is compared with",
            "tipping loads and the hydraulic one",
            "enter both, or the rated loads instead",
        )


def _rising(read: dict[tuple[float, float], tuple[int, Rated]]) -> Iterator[Problem]:
    """Problems of a rating greater than one at a smaller radius and the same height."""
    for column, side in enumerate(("front", "side")):
        before: dict[float, tuple[float, float]] = {}
        for (height, radius), (index, rated) in sorted(read.items()):
            load = rated[column]
            if load is None:
                continue
            lower = before.get(height)
            if lower and load > lower[1] + SAME:
                yield Problem(
                    ("lifting", "chart", index, "radius"),
                    words(
                        f"{{load}} over {side} at {{radius}}, more than at {{nearer}}",
                        load=(load, MASS),
                        radius=(radius, LENGTH),
                        nearer=(lower[0], LENGTH),
                    ),
                    words("at most {most}: a chart does not rise with the radius", most=(lower[1], MASS)),
                    words("read the plate again"),
                )
            before[height] = radius, load
