"""Levels to dig by: what the rod reads at every level of the dig, and whether what was read calls for cut or fill."""

from collections.abc import Sequence

from pondkit.core.entry import USER, Entry, Range, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, ToFill, no_such
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.trades.earthwork.cautions import (
    BED_DUG_LAST,
    CREST_ON_FIRM_GROUND,
    CREST_STONE_MISSING,
    CUT_OR_FILL,
    DIG_ORDER,
    READ_BENCHMARK_AGAIN,
    SIDES_MAY_FALL,
)
from pondkit.trades.earthwork.compute.survey import far_from_datum
from pondkit.trades.earthwork.formulas import survey as rel
from pondkit.trades.earthwork.inputs.dig import Dig, Reading
from pondkit.trades.earthwork.results.crew import Level, LevelRows, Levels

SAME = 1e-3  # m: a height of instrument and a backsight that differ by no more agree
HAIR = 1e-9  # m: what is at its tolerance is within it
TOLERANCE = "tolerance: user input, its default common practice, no source"
CAUTIONS = {
    ("crest", "dig"): CREST_ON_FIRM_GROUND,
    ("bed", "dig"): BED_DUG_LAST,
    ("trench", "dig"): SIDES_MAY_FALL,
    ("hole", "dig"): SIDES_MAY_FALL,
}


def compute(dig: Dig, groups: Sequence[tuple[Level, ...]]) -> Levels:
    """Levels and readings of an option.

    Args:
        dig: As entered.
        groups: Rows in the order in which they are dug, see ``level_rows.groups``.
    """
    height = instrument(dig)
    known = height.value if isinstance(height, Entry) else None
    within = (float(dig.rim_within), float(dig.seat_within), float(dig.floor_within))
    return _readings(dig, height, tuple(level_rows(levels, within, known) for levels in groups), within)


@remembered
def instrument(dig: Dig) -> Entry | Problem | None:
    """Height of instrument: as entered, or by backsight; None where neither is known."""
    if far := benchmark_far(dig):
        return far
    by_sight = (
        entry(
            rel.height_of_instrument,
            "",
            source=USER,
            cautions=[READ_BENCHMARK_AGAIN(), DIG_ORDER()],
            benchmark=dig.benchmark,
            backsight=dig.backsight,
            datum=dig.datum,
        )
        if dig.backsight is not None
        else None
    )
    if dig.instrument is None:
        return by_sight
    if by_sight is not None and abs(by_sight.value + dig.datum - dig.instrument) > SAME:
        return Problem(
            ("dig", "instrument"),
            words("the height of instrument is {given}", given=(dig.instrument, LENGTH)),
            words("benchmark and backsight give {sight}", sight=(by_sight.value + dig.datum, LENGTH)),
            words("leave one of the two out, or read the benchmark again"),
        )
    return far_from_datum(("dig", "instrument"), dig.instrument - dig.datum, "the line of sight") or entry(
        rel.height_as_entered,
        "",
        source=USER,
        cautions=[READ_BENCHMARK_AGAIN(), DIG_ORDER()],
        height=dig.instrument,
        datum=dig.datum,
    )


def benchmark_far(dig: Dig) -> Problem | None:
    """The problem of a benchmark that is counted from elsewhere than the datum that is entered beside it."""
    return far_from_datum(("dig", "benchmark"), dig.benchmark - dig.datum, "the benchmark")


@remembered
def level_rows(levels: tuple[Level, ...], within: tuple[float, float, float], height: float | None) -> LevelRows:
    """Levels with their tolerance, and rod readings where the height of instrument is known.

    Args:
        levels: In the order in which they are dug.
        within: Tolerance of rims and crests, of seats, holes and trenches, of floors [m].
        height: Height of instrument above the site datum [m]; None where it is not known.
    """
    held: dict[str, list[Entry]] = {"finished": [], "dig": []}
    rods: dict[str, list[Entry]] = {"finished": [], "dig": []}
    for level in levels:
        for surface in held:
            value = getattr(level, surface)
            notes = [CAUTIONS[level.kind, surface]()] if (level.kind, surface) in CAUTIONS else []
            if level.kind == "crest" and level.dig is None:
                notes = [CREST_STONE_MISSING()]
            if value is not None:
                by = _within(level.kind, within)
                spread = Range(value - by, value, value + by, TOLERANCE)
                held[surface].append(entry(rel.level_drawn, level.row, cautions=notes, level=spread))
                if height is not None:
                    rods[surface].append(
                        entry(rel.rod_reading, level.row, cautions=notes, height_of_instrument=height, level=spread)
                    )
    return LevelRows(levels, tuple(held["finished"]), tuple(held["dig"]), tuple(rods["dig"]), tuple(rods["finished"]))


def _within(kind: str, within: tuple[float, float, float]) -> float:
    return within[{"rim": 0, "crest": 0, "seat": 1, "hole": 1, "trench": 1}.get(kind, 2)]


@remembered
def _readings(
    dig: Dig, height: Entry | Problem | None, groups: tuple[LevelRows, ...], within: tuple[float, float, float]
) -> Levels:
    """Levels, and what was read on them.

    Args:
        dig: As entered.
        height: Height of instrument, see ``instrument``.
        groups: In the order in which they are dug.
        within: Tolerances, see ``level_rows``.
    """
    problems = [height] if isinstance(height, Problem) else []
    known = height if isinstance(height, Entry) else None
    levels = {level.row: level for group in groups for level in group.levels}
    found, tolerances, unread = [], [], []
    for index, reading in enumerate(dig.readings):
        path: Path = ("dig", "readings", index)
        level = levels.get(reading.row)
        drawn = getattr(level, reading.surface) if level else None
        if level is None:
            problems.append(no_such((*path, "row"), "level to dig by", reading.row, levels))
        elif drawn is None:
            problems.append(_no_surface((*path, "surface"), reading, level))
        elif known is None or reading.rod is None:
            unread += [_no_rod(path, reading)] if reading.rod is None else []
            unread += [NO_HEIGHT] if known is None and NO_HEIGHT not in unread else []
        else:
            by = _within(level.kind, within)
            found.append(_cut(index, reading, known.value, drawn, by))
            tolerances.append(by)
    return Levels(known, tuple(found), groups, tuple(tolerances), tuple(problems), tuple(unread))


def _cut(index: int, reading: Reading, height: float, drawn: float, by: float) -> Entry:
    subject = f"{reading.row}, {reading.surface}, reading {index + 1}"
    assert reading.rod is not None
    off = float(rel.cut_to_level(height, reading.rod, drawn))
    do = "Cut {off} more" if off > 0 else "Fill {off}, compacted"
    said = CUT_OR_FILL.where(
        off, off, off, least=-by - HAIR, most=by + HAIR, do=do, off=(abs(off), LENGTH), by=(by, LENGTH)
    )
    return entry(
        rel.cut_to_level,
        subject,
        cautions=said,
        source=USER,
        height_of_instrument=height,
        rod=reading.rod,
        level=drawn,
    )


def _no_surface(path: Path, reading: Reading, level: Level) -> Problem:
    other = "finished" if reading.surface == "dig" else "dig"
    return Problem(
        path,
        words(f"'{reading.row}' has no level of its {reading.surface}"),
        words(f"a reading on its {other}"),
        words(f"choose '{other}', or another level"),
    )


def _no_rod(path: Path, reading: Reading) -> ToFill:
    return ToFill(
        (*path, "rod"),
        words("the rod reading, as read on the day"),
        words(f"what is still to cut at '{reading.row}'"),
    )


NO_HEIGHT = ToFill(
    ("dig", "backsight"),
    words("the backsight on the benchmark, as read on the day, or the height of instrument"),
    words("rod readings, and what is still to cut at each"),
)
