"""A level book worked out: levels by heights of instrument, rises and falls by the readings alone."""

from collections.abc import Iterator

from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.trades.ground.inputs import LevelBook, Sight
from pondkit.trades.ground.results import Book, Reduced

HERE = ("site", "ground", "rows")


def faults(book: LevelBook) -> Iterator[Problem]:
    """Rows that do not make a level book: the first opens with a backsight, the last closes with a foresight."""
    if len(book.rows) < 2:
        yield Problem(
            HERE,
            words(f"the level book has {len(book.rows)} rows" if len(book.rows) != 1 else "the level book has 1 row"),
            words("two or more: the first with a backsight, the last with a foresight"),
            words("enter the rows as read, or describe the ground in another way"),
        )
        return
    for index, sight in enumerate(book.rows):
        if sight.at is not None and (low := _below(sight)):
            yield Problem(
                (*HERE, index, low[0]),
                words(f"the rod reads {{rod}} on the ground at '{sight.name}'", rod=(low[1], LENGTH)),
                words("0 or more: ground lies under the line of sight"),
                words(
                    "take the minus away, or leave the place out where the rod was held upside down against "
                    "something overhead"
                ),
            )
        if fault := _fault(sight, index == 0, index == len(book.rows) - 1):
            given, allowed = fault
            yield Problem(
                (*HERE, index),
                words(given),
                words(allowed),
                words("correct the row, or move the reading into its own column"),
            )


def read_below(book: LevelBook) -> list[str]:
    """Names of places that are no ground and at which the rod reads less than 0."""
    return [sight.name for sight in book.rows if sight.at is None and _below(sight)]


def _below(sight: Sight) -> tuple[str, float] | None:
    """The first reading of a row that is less than 0, with its column [m]."""
    readings = {name: getattr(sight, name) for name in ("backsight", "intermediate", "foresight")}
    return next(((name, float(rod)) for name, rod in readings.items() if rod is not None and rod < 0), None)


def _fault(sight: Sight, first: bool, last: bool) -> tuple[str, str] | None:
    """What a row has, and what it should; None where it is as it should be."""
    named = {
        "a backsight": sight.backsight,
        "an intermediate sight": sight.intermediate,
        "a foresight": sight.foresight,
    }
    given = [name for name, reading in named.items() if reading is not None]
    said = "it has " + (" and ".join(given) if given else "no reading")
    if first:
        return None if given == ["a backsight"] else (said, "the first row has a backsight alone")
    if last:
        return None if given == ["a foresight"] else (said, "the last row has a foresight alone")
    if given in (["an intermediate sight"], ["a backsight", "a foresight"]):
        return None
    return said, "an intermediate sight alone, or foresight and backsight where the instrument was moved"


def reduced(book: LevelBook) -> Book:
    """The levels of a book without faults; with its misclosure spread over the stands where that is asked for."""
    stand = 0
    instrument = before = 0.0
    height = float(book.benchmark)
    found: list[tuple[int, float, float, int]] = []
    changes: list[float] = []
    for index, sight in enumerate(book.rows):
        reading = sight.intermediate if sight.foresight is None else sight.foresight
        if reading is not None:
            changes.append(before - reading)
            height = instrument - reading
        found.append(
            (index, instrument if reading is not None else height + float(sight.backsight or 0.0), height, stand)
        )
        if sight.backsight is not None:
            instrument, before, stand = height + sight.backsight, float(sight.backsight), stand + 1
        elif reading is not None:
            before = float(reading)
    off = 0.0 if book.closing is None or not book.spread else height - book.closing
    rows = tuple(Reduced(row, hi, read, read - off * number / stand) for row, hi, read, number in found)
    return Book(rows, tuple(max(c, 0.0) for c in changes), tuple(max(-c, 0.0) for c in changes), stand)
