"""Levels to dig by: picture of every level with its tolerance and readings, and the tables of the papers."""

from collections.abc import Iterator
from typing import Any

from pondkit.core.caution import of_every_job
from pondkit.core.entry import Entry
from pondkit.core.units import System
from pondkit.drawing import frame
from pondkit.drawing.blocks import BLANK, Block, Items, Text, table
from pondkit.drawing.frame import Figure
from pondkit.drawing.rows import TAPE_PLACES, by_rod, fixed, say
from pondkit.trades.earthwork.compute.levels import pool_levels
from pondkit.trades.earthwork.inputs import Dig
from pondkit.trades.earthwork.results import Levels
from pondkit.trades.pools.results import PoolResult

ROOM = 0.06  # margin on either side, as a share of the picture's width
SURFACE_MARKS = (("finished", frame.FAINT, "circle-open"), ("dig", frame.INK, "circle"))


def levels(dig_levels: Levels | None, system: System) -> Figure | None:
    """Finished and dig level of every row in digging order, with tolerance and rod reading; None without levels.

    Args:
        dig_levels: The levels; None if there are none.
        system: Unit system displayed.
    """
    if dig_levels is None or not dig_levels.levels:
        return None
    unit = frame.PLAN_UNIT[system]
    rows = [level.row for level in dig_levels.levels]
    data: list[dict[str, Any]] = []
    for surface, colour, symbol in SURFACE_MARKS:
        by_row, rods = _by_row(dig_levels, f"{surface}_level"), _by_row(dig_levels, f"rod_{surface}")
        read_rows = [(index, by_row[row]) for index, row in enumerate(rows) if row in by_row]
        data.append(
            {
                "type": "scatter",
                "mode": "markers",
                "name": surface,
                "hoverinfo": "text",
                "x": [float(frame.in_unit(figure.value, unit)) for _, figure in read_rows],
                "y": [index for index, _ in read_rows],
                "error_x": {
                    "type": "data",
                    "array": [float(frame.in_unit(figure.most - figure.value, unit)) for _, figure in read_rows],
                    "color": colour,
                    "thickness": 1.5,
                    "width": 4,
                },
                "hovertext": [
                    f"{frame.plain(figure.subject)}, {surface}: {_level_text(figure, rods, system)}"
                    for _, figure in read_rows
                ],
                "marker": {"size": 9, "color": colour, "symbol": symbol, "line": {"width": 1.5, "color": colour}},
            }
        )
    data += _readings(dig_levels, rows, unit, system)
    values = [x for trace in data for x in trace["x"]]
    room = ROOM * (max(values) - min(values)) + float(frame.in_unit(0.1, unit))
    return frame.figure(
        data,
        x={"title": frame.title("level above the site datum", unit), "range": [min(values) - room, max(values) + room]},
        y=frame.row_axis([_tick(dig_levels, row, system) for row in rows], above=0.6, grid=True)
        | {"title": frame.title("in the order of digging; rod on the dig in bold")},
        showlegend=True,
        legend=frame.legend_above(),
    )


def _by_row(dig_levels: Levels, key: str) -> dict[str, Entry]:
    return {figure.subject: figure for group in dig_levels.groups for figure in getattr(group, key)}


def _level_text(figure: Entry, rods: dict[str, Entry], system: System) -> str:
    rod = rods.get(figure.subject)
    return by_rod(figure.value, system) + (f", rod {by_rod(rod.value, system)}" if rod else "")


def _tick(dig_levels: Levels, row: str, system: System) -> str:
    on_finished, on_dig = _by_row(dig_levels, "rod_finished").get(row), _by_row(dig_levels, "rod_dig").get(row)
    if on_dig:
        return f"{frame.plain(row)}  <b>{by_rod(on_dig.value, system)}</b>"
    return frame.plain(row) + (f", finished  <b>{by_rod(on_finished.value, system)}</b>" if on_finished else "")


def _readings(dig_levels: Levels, rows: list[str], unit: str, system: System) -> Iterator[dict[str, Any]]:
    """Rod readings, as crosses at the levels read; in the colour of a warning outside their tolerance."""
    if not dig_levels.cut_to_level:
        return
    read = list(zip(dig_levels.cut_to_level, dig_levels.tolerances, strict=True))
    yield {
        "type": "scatter",
        "mode": "markers",
        "name": "read",
        "hoverinfo": "text",
        "x": [float(frame.in_unit(_term(figure, "level") + figure.value, unit)) for figure, _ in read],
        "y": [rows.index(_row(figure)) for figure, _ in read],
        "hovertext": [f"{frame.plain(figure.subject)}: {call(figure, by, system)}" for figure, by in read],
        "marker": {
            "size": 11,
            "symbol": "x",
            "color": [frame.INK if abs(f.value) <= by else frame.MARK for f, by in read],
        },
    }


def _row(figure: Entry) -> str:
    """Row of a reading, whose subject is "row, surface, reading number"."""
    return figure.subject.rsplit(", ", 2)[0]


def _term(figure: Entry, name: str) -> float:
    """Value of an input that a figure was worked out from."""
    return next(float(term.value) for term in figure.terms if term.name == name and not isinstance(term.value, tuple))


def call(figure: Entry, within: float, system: System) -> str:
    """What a reading calls for, in words: cut or fill, by tape and by rod. ``within``: tolerance of the level [m]."""
    small = frame.DEPTH_UNIT[system]
    amount = f"{fixed(abs(figure.value), small, 1)} {small} ({by_rod(abs(figure.value), system)})"
    if abs(figure.value) <= within + 1e-9:
        return f"{amount} {'high' if figure.value > 0 else 'low'}, within tolerance"
    return f"cut {amount}" if figure.value > 0 else f"fill {amount}"


def alt_levels(dig_levels: Levels | None, system: System) -> str:
    """The levels in words."""
    if dig_levels is None or not dig_levels.levels:
        return "No levels to dig by."
    rods = _by_row(dig_levels, "rod_dig")
    lines = [
        f"{row}: dig {_level_text(figure, rods, system)}" for row, figure in _by_row(dig_levels, "dig_level").items()
    ]
    read = [
        f"{figure.subject}: {call(figure, by, system)}"
        for figure, by in zip(dig_levels.cut_to_level, dig_levels.tolerances, strict=True)
    ]
    height = dig_levels.height_of_instrument
    instrument = f"height of instrument {by_rod(height.value, system)}" if height else "no backsight entered yet"
    return f"Levels to dig by in the order of digging, {instrument}: {'; '.join(lines)}." + (
        f" Read: {'; '.join(read)}." if read else ""
    )


def tables(dig_levels: Levels | None, dig: Dig | None, system: System) -> tuple[Block, ...]:
    """Tables of levels for the crew's paper: in digging order with room to write, with readings, and cautions except
    those of every job.
    """
    if dig_levels is None:
        return ()
    unit, places = frame.PLAN_UNIT[system], TAPE_PLACES[system]
    by_key = {key: _by_row(dig_levels, key) for key in ("finished_level", "dig_level", "rod_finished", "rod_dig")}

    height = _printed_height(dig_levels, dig, system)

    def cells(surface: str, row: str) -> tuple[str, str]:
        """A level and the rod reading on it, which is the difference of height and level as they are printed."""
        level, rod = by_key[f"{surface}_level"].get(row), by_key[f"rod_{surface}"].get(row)
        reading = 0.0 if rod is None else rod.value
        if level is not None and height is not None:
            reading = height - _printed(level.value, system)
        return (
            "" if level is None else fixed(level.value, unit, places),
            "" if rod is None else fixed(reading, unit, places),
        )

    def lines() -> Iterator[tuple[str, ...]]:
        for level in dig_levels.levels:
            row = level.row
            figure = by_key["dig_level"].get(row) or by_key["finished_level"][row]
            by = f"± {fixed(figure.most - figure.value, unit, places)}"
            yield row, *cells("dig", row), *cells("finished", row), by, BLANK, BLANK

    head = (
        "Level of",
        f"Dig, {unit}",
        "Rod on dig",
        f"Finished, {unit}",
        "Rod on finished",
        f"Within, {unit}",
        "Read on dig",
        "Read on finished",
    )
    read = [
        (figure.subject, by_rod(_term(figure, "rod"), system), call(figure, by, system))
        for figure, by in zip(dig_levels.cut_to_level, dig_levels.tolerances, strict=True)
    ]
    every = [figure for _, figure in dig_levels.entries() if figure not in dig_levels.cut_to_level]
    cautions = [
        figure_caution for figure in every for figure_caution in figure.cautions if not of_every_job(figure_caution)
    ]
    heed = tuple(dict.fromkeys(say(caution, system) for caution in cautions))
    return (
        Text(" ".join(_instrument_text(dig_levels, dig, system)), look="small"),
        *table(head, lines(), (1, 2, 3, 4, 5)),
        *table(("Read on", "Rod", "Call"), read, (1,)),
        *((Items(heed),) if heed else ()),
    )


def drawn_levels(
    pools: tuple[PoolResult, ...], dig_levels: Levels | None, system: System, blank: str
) -> tuple[Block, ...]:
    """Waterlines and levels by the names used in digging, with a column to write in.

    Args:
        pools: Those without problems.
        dig_levels: The levels to dig by; None for those of the pools alone.
        system: Unit system displayed.
        blank: Heading of the empty column.
    """
    rows: list[tuple[str, float | None, float | None]] = [
        (f"{pool.name}: waterline", None, pool.surfaces.finished.level) for pool in pools
    ]
    level_rows = dig_levels.levels if dig_levels else ()
    for pool in () if level_rows else pools:
        surfaces = pool.surfaces
        level_rows += pool_levels(pool.name, surfaces.finished, surfaces.liner, surfaces.dig)
    rows += [(level.row, level.dig, level.finished) for level in level_rows]
    cells = [
        (row, *("" if level is None else by_rod(level, system) for level in levels), BLANK) for row, *levels in rows
    ]
    if not cells:
        return ()
    return Text(_columns(system), look="small"), *table(("Level of", "Dig", "Finished", blank), cells, (1, 2))


def _instrument_text(dig_levels: Levels, entered: Dig | None, system: System) -> Iterator[str]:
    """Benchmark, height of instrument, and the meaning of the columns."""
    height = _printed_height(dig_levels, entered, system)
    if entered is not None:
        benchmark = (
            entered.benchmark_is.strip() or "not entered what and where: write it here ________________________________"
        )
        yield f"Benchmark, {_in_both_datums(float(entered.benchmark), float(entered.datum), system)}: {benchmark}."
    if height is None or entered is None:
        yield "No backsight is entered: rod reading = height of instrument - level."
    else:
        datum = f" - site datum {by_rod(float(entered.datum), system)}" if entered.datum else ""
        by = (
            f"benchmark {by_rod(float(entered.benchmark), system)} + "
            f"backsight {by_rod(float(entered.backsight), system)}"
            if entered.backsight is not None
            else "as entered"
        )
        yield (
            f"Height of instrument {by_rod(height, system)} above the site datum: {by}{datum}. The rod readings "
            "hold for this stand alone: once it has moved, and each new day, read the benchmark again; then rod "
            "reading = new height of instrument - level."
        )
    yield _columns(system)


def _printed(value: float, system: System) -> float:
    """A level rounded as it is printed [m], so that sums of what is printed agree with the sums printed."""
    unit = frame.PLAN_UNIT[system]
    return float(fixed(value, unit, TAPE_PLACES[system])) * frame.magnitude_of(unit)


def _printed_height(dig_levels: Levels, entered: Dig | None, system: System) -> float | None:
    """Height of instrument above the site datum [m], as the sum of benchmark and backsight as they are printed."""
    height = dig_levels.height_of_instrument
    if height is None or entered is None or entered.backsight is None:
        return None if height is None else _printed(height.value, system)
    benchmark, backsight, datum = (
        _printed(float(level), system) for level in (entered.benchmark, entered.backsight, entered.datum)
    )
    return benchmark + backsight - datum


def _in_both_datums(level: float, datum: float, system: System) -> str:
    """A level above the site datum, preceded by its level in the surveyor's own datum if that differs."""
    above = f"{by_rod(level - datum, system)} above the site datum"
    return above if datum == 0 else f"{by_rod(level, system)} where the site datum is {by_rod(datum, system)}: {above}"


def _columns(system: System) -> str:
    """Meaning and precision of the columns."""
    unit, small = frame.PLAN_UNIT[system], frame.DEPTH_UNIT[system]
    least = frame.magnitude_of(unit) / 10 ** TAPE_PLACES[system]
    return (
        f"All levels and rod readings are decimals of {unit}: {by_rod(least, system)} is {fixed(least, small, 2)} "
        f"{small}. "
        "Dig: before anything is laid on it. Finished: the top of the gravel; of a seat the liner that the edging "
        "stands on, of a hole, pit or "
        "trench the underside of what stands or lies in it, of a crest its lip."
    )
