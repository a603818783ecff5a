"""The existing ground as entered: a plane, a triangulated survey, or a level book reduced by heights of instrument or
by rises and falls.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.geometry.outline import Array
from pondkit.geometry.terrain import NoSurvey, Plane, mesh_of
from pondkit.trades.ground import cautions as rules
from pondkit.trades.ground import formulas
from pondkit.trades.ground.inputs import SITE_RANGE, Ground, LevelBook, LevelGround, PlaneGround, PointsGround, Sight
from pondkit.trades.ground.results import Book, LandResult, ReducedRow

ROWS_PATH = ("site", "ground", "rows")


def _book_problems(book: LevelBook) -> Iterator[Problem]:
    """Problems of a level book: too few rows, a rod that reads below 0 on the ground, readings in the wrong columns."""
    if len(book.rows) < 2:
        yield Problem(
            ROWS_PATH,
            words(f"the level book has {len(book.rows)} rows" if len(book.rows) != 1 else "the level book has 1 row"),
            words("two or more: the first with a backsight, the last with a foresight"),
            words("enter the rows as read, or describe the ground in another way"),
        )
        return
    for index, sight in enumerate(book.rows):
        if sight.at is not None and (negative := _first_negative(sight)):
            column, rod = negative
            yield Problem(
                (*ROWS_PATH, index, column),
                words(f"the rod reads {{rod}} on the ground at '{sight.name}'", rod=(rod, LENGTH)),
                words("0 or more: ground lies under the line of sight"),
                words(
                    "take the minus away, or leave the place out where the rod was held upside down against "
                    "something overhead"
                ),
            )
        if misplaced := _misplaced(sight, index == 0, index == len(book.rows) - 1):
            entered, allowed = misplaced
            yield Problem(
                (*ROWS_PATH, index),
                words(entered),
                words(allowed),
                words("correct the row, or move the reading into its own column"),
            )


def _read_overhead(book: LevelBook) -> list[str]:
    """Names of points that are no part of the ground and have a negative rod reading."""
    return [sight.name for sight in book.rows if sight.at is None and _first_negative(sight)]


def _first_negative(sight: Sight) -> tuple[str, float] | None:
    """(column, reading) of the first negative reading in a row [m]."""
    readings = {name: getattr(sight, name) for name in ("backsight", "intermediate", "foresight")}
    return next(((name, float(rod)) for name, rod in readings.items() if rod is not None and rod < 0), None)


def _misplaced(sight: Sight, first: bool, last: bool) -> tuple[str, str] | None:
    """(readings given, readings allowed) of a row with readings in the wrong columns; None if the row is sound."""
    readings_by_name = {
        "a backsight": sight.backsight,
        "an intermediate sight": sight.intermediate,
        "a foresight": sight.foresight,
    }
    entered = [name for name, reading in readings_by_name.items() if reading is not None]
    readings = "it has " + (" and ".join(entered) if entered else "no reading")
    if first:
        return None if entered == ["a backsight"] else (readings, "the first row has a backsight alone")
    if last:
        return None if entered == ["a foresight"] else (readings, "the last row has a foresight alone")
    if entered in (["an intermediate sight"], ["a backsight", "a foresight"]):
        return None
    return readings, "an intermediate sight alone, or foresight and backsight where the instrument was moved"


def _reduced(book: LevelBook) -> Book:
    """Reduced levels of a book without problems, with the misclosure spread over the stands if that is wanted."""
    stand = 0  # of the instrument, from 1
    instrument = before = 0.0
    height = float(book.benchmark)
    levels: list[tuple[int, float, float, int]] = []  # row, height of instrument, level as read, stand
    changes: list[float] = []  # rises, or falls below 0
    for index, sight in enumerate(book.rows):
        reading = sight.intermediate if sight.foresight is None else sight.foresight
        if reading is not None:
            changes.append(before - reading)
            height = instrument - reading
        levels.append(
            (index, instrument if reading is not None else height + float(sight.backsight or 0.0), height, stand)
        )
        if sight.backsight is not None:
            instrument, before, stand = height + sight.backsight, float(sight.backsight), stand + 1
        elif reading is not None:
            before = float(reading)
    to_spread = 0.0 if book.closing is None or not book.spread else height - book.closing
    rows = tuple(
        ReducedRow(row, instrument, as_read, as_read - to_spread * number / stand)
        for row, instrument, as_read, number in levels
    )
    return Book(rows, tuple(max(change, 0.0) for change in changes), tuple(max(-change, 0.0) for change in changes))


READ_TWICE = words(
    "leave the place out of one of the two rows, or correct a reading; on a loop enter the closing level"
)
MORE_PLACES = words("enter east and north of more rows, on all sides of the dig")


@remembered
def compute(ground: Ground) -> LandResult:
    """The existing ground as entered."""
    match ground:
        case LevelGround():
            return LandResult(Plane(ground.level, 0.0, 0.0))
        case PlaneGround():
            return LandResult(plane_of(ground))
        case PointsGround():
            rows = range(len(ground.points))
            points = [(east, north, level - ground.datum) for east, north, level in ground.points]
            return _surveyed(LandResult(), ("site", "ground", "points"), points, rows)
        case _:
            return _levelled(ground)


def plane_of(ground: PlaneGround) -> Plane:
    """Ground with one even fall, as a plane in site axes."""
    bearing = math.radians(ground.toward_deg)
    return Plane(ground.level, -ground.fall * math.sin(bearing), -ground.fall * math.cos(bearing))


def _levelled(ground: LevelBook) -> LandResult:
    """Ground by a level book: its checks, and the survey that its points make."""
    problems = tuple(_book_problems(ground))
    if problems:
        return LandResult(problems=problems)
    book = _reduced(ground)
    back = [row.backsight for row in ground.rows if row.backsight is not None]
    fore = [row.foresight for row in ground.rows if row.foresight is not None]
    misclosure = _misclosure(ground, book)
    notes = [] if misclosure else [rules.BOOK_NOT_CLOSED(), *([rules.NOTHING_SPREAD()] if ground.spread else [])]
    if overhead := _read_overhead(ground):
        notes.append(rules.BOOK_ROD_NEGATIVE(names=", ".join(f"'{name}'" for name in overhead)))
    land = LandResult(
        backsights_less_foresights=entry(
            formulas.backsights_less_foresights, "", source=USER, cautions=notes, backsights=back, foresights=fore
        ),
        rises_less_falls=entry(formulas.rises_less_falls, "", source=USER, rises=book.rises, falls=book.falls),
        last_less_first=entry(formulas.last_less_first, "", source=USER, last=book.last, first=ground.benchmark),
        misclosure=misclosure,
        book=book,
    )
    if misclosure and ground.allowed is not None and abs(misclosure.value) > ground.allowed + 1e-9:
        return replace(land, problems=(_misclosed(misclosure.value, float(ground.allowed)),))
    placed = [row for row in book.rows if ground.rows[row.row].at is not None]
    # Where a closing level is entered, the level of the last point is known; on a loop that is the first point too.
    closing_levels = {len(book.rows) - 1: float(ground.closing)} if ground.closing is not None else {}
    points = [
        (*place, closing_levels.get(row.row, row.level) - ground.datum)
        for row in placed
        if (place := ground.rows[row.row].at) is not None
    ]
    return _surveyed(land, ROWS_PATH, points, [row.row for row in placed])


def _misclosure(ground: LevelBook, book: Book) -> Entry | None:
    """Misclosure of a level book; None without a closing level."""
    if ground.closing is None:
        return None
    if ground.allowed is None:
        return entry(
            formulas.misclosure, "", cautions=[rules.MISCLOSURE_NOT_JUDGED()], last=book.last, closing=ground.closing
        )
    return entry(formulas.misclosure_within, "", last=book.last, closing=ground.closing, allowed=ground.allowed)


def _misclosed(missed: float, allowed: float) -> Problem:
    return Problem(
        ("site", "ground", "closing"),
        words(
            f"the level book comes out {{missed}} too {'high' if missed > 0 else 'low'} at its closing level",
            missed=(abs(missed), LENGTH),
        ),
        words("no more than {allowed} either way", allowed=(allowed, LENGTH)),
        words("read the change points again, or allow more"),
    )


def _far_from_datum(levels: Array) -> Problem | None:
    """Problem of a site datum that is not that of the survey: no level of the ground lies within a site's range."""
    nearest = float(levels[np.argmin(np.abs(levels))])
    if abs(nearest) <= SITE_RANGE:
        return None
    return Problem(
        ("site", "ground", "datum"),
        words(
            f"all of the ground lies {'above' if nearest > 0 else 'below'} the site datum, the nearest of it by "
            f"{{away}}",
            away=(abs(nearest), LENGTH),
        ),
        words("some of it within {most} of the site datum, from which pools count", most=(SITE_RANGE, LENGTH)),
        words("enter as the site datum the level of the benchmark, or another near the pools, as the survey counts"),
    )


def _surveyed(
    land: LandResult, list_path: Path, points: Sequence[tuple[float, float, float]], rows: Sequence[int]
) -> LandResult:
    """Ground of triangles between points.

    Args:
        land: What is known of the ground otherwise.
        list_path: Path of the list that the points are entered in.
        points: (east, north, level above the site datum) of each [m].
        rows: Index of each in that list.
    """
    coordinates = np.array(points, dtype=float).reshape(-1, 3)
    try:
        mesh = mesh_of(coordinates[:, :2], coordinates[:, 2], rows)
    except NoSurvey as fault:
        path = list_path if fault.row is None else (*list_path, fault.row)
        mend = fault.mend if list_path != ROWS_PATH else READ_TWICE if fault.row is not None else MORE_PLACES
        return replace(land, problems=(Problem(path, fault.given, fault.allowed, mend),))
    if away := _far_from_datum(coordinates[:, 2]):
        return replace(land, problems=(away,))
    return replace(
        land,
        terrain=mesh,
        survey_places=entry(formulas.survey_places, "", ground=mesh),
        survey_area=entry(formulas.survey_area, "", ground=mesh),
    )
