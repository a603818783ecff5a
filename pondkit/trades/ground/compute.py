"""Works out the ground as it is from what was entered: a plane, or a survey's triangles."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.geometry.cut_fill import Plane
from pondkit.geometry.outline import Array
from pondkit.geometry.terrain import NoSurvey, mesh_of
from pondkit.trades.ground import cautions as rules
from pondkit.trades.ground import formulas
from pondkit.trades.ground.book import HERE, faults, read_below, reduced
from pondkit.trades.ground.inputs import RANGE, Ground, LevelBook, LevelGround, PlaneGround, PointsGround
from pondkit.trades.ground.results import Book, LandResult

READ_TWICE = words(
    "leave the place out of one of the two rows, or correct a reading; on a loop enter the closing level"
)
MORE_PLACES = words("enter east and north of more rows, on all sides of the dig")


@remembered
def compute(ground: Ground) -> LandResult:
    """The ground as entered."""
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
    """One even fall as a plane in site axes."""
    bearing = math.radians(ground.toward_deg)
    return Plane(ground.level, -ground.fall * math.sin(bearing), -ground.fall * math.cos(bearing))


def _levelled(ground: LevelBook) -> LandResult:
    wrong = tuple(faults(ground))
    if wrong:
        return LandResult(problems=wrong)
    book = reduced(ground)
    back = [row.backsight for row in ground.rows if row.backsight is not None]
    fore = [row.foresight for row in ground.rows if row.foresight is not None]
    closed = _closed(ground, book)
    notes = [] if closed else [rules.BOOK_NOT_CLOSED(), *([rules.NOTHING_SPREAD()] if ground.spread else [])]
    if low := read_below(ground):
        notes.append(rules.BOOK_ROD_NEGATIVE(names=", ".join(f"'{name}'" for name in low)))
    found = LandResult(
        backsights_less_foresights=entry(
            formulas.backsights_less_foresights, "", source=USER, cautions=notes, backsights=back, foresights=fore
        ),
        rises_less_falls=entry(formulas.rises_less_falls, "", source=USER, rises=book.rises, falls=book.falls),
        last_less_first=entry(formulas.last_less_first, "", source=USER, last=book.last, first=ground.benchmark),
        misclosure=closed,
        book=book,
    )
    if closed and ground.allowed is not None and abs(closed.value) > ground.allowed + 1e-9:
        return replace(found, problems=(_open(closed.value, float(ground.allowed)),))
    placed = [row for row in book.rows if ground.rows[row.row].at is not None]
    # The last place's own level is known where a closing level is; on a loop it is the first one's too.
    known = {len(book.rows) - 1: float(ground.closing)} if ground.closing is not None else {}
    points = [
        (*at, known.get(row.row, row.level) - ground.datum)
        for row in placed
        if (at := ground.rows[row.row].at) is not None
    ]
    return _surveyed(found, HERE, points, [row.row for row in placed])


def _closed(ground: LevelBook, book: Book) -> Entry | None:
    if ground.closing is None:
        return None
    if ground.allowed is None:
        return entry(
            formulas.misclosure, "", cautions=[rules.MISCLOSURE_NOT_JUDGED()], last=book.last, closing=ground.closing
        )
    return entry(formulas.misclosure_within, "", last=book.last, closing=ground.closing, allowed=ground.allowed)


def _open(missed: float, allowed: float) -> Problem:
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
    """The problem of a ground whose levels count from elsewhere: none of them within the range of the site's own
    levels."""
    nearest = float(levels[np.argmin(np.abs(levels))])
    if abs(nearest) <= RANGE:
        return None
    return Problem(
        ("site", "ground", "datum"),
        words(
            f"all of the ground lies {'above' if nearest > 0 else 'below'} the site datum, the nearest of it by "
            f"{{away}}",
            away=(abs(nearest), LENGTH),
        ),
        words("some of it within {most} of the site datum, from which pools count", most=(RANGE, LENGTH)),
        words("enter as the site datum the level of the benchmark, or another near the pools, as the survey counts"),
    )


def _surveyed(
    found: LandResult, here: Path, points: Sequence[tuple[float, float, float]], rows: Sequence[int]
) -> LandResult:
    """Triangles between points; ``rows`` are their places in the list at ``here``."""
    given = np.array(points, dtype=float).reshape(-1, 3)
    try:
        mesh = mesh_of(given[:, :2], given[:, 2], rows)
    except NoSurvey as fault:
        path = here if fault.row is None else (*here, fault.row)
        mend = fault.mend if here != HERE else READ_TWICE if fault.row is not None else MORE_PLACES
        return replace(found, problems=(Problem(path, fault.given, fault.allowed, mend),))
    if away := _far_from_datum(given[:, 2]):
        return replace(found, problems=(away,))
    return replace(
        found,
        terrain=mesh,
        survey_places=entry(formulas.survey_places, "", ground=mesh),
        survey_area=entry(formulas.survey_area, "", ground=mesh),
    )
