"""The hole as it was dug: volumes, liner and every difference from the drawing, before the liner is cut."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, Range, entry, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Result
from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH
from pondkit.geometry.changed import Changed
from pondkit.geometry.found import Way
from pondkit.trades.earthwork import finding as rel
from pondkit.trades.earthwork.cautions import (
    DUG_FAR_FROM_LEVELS,
    DUG_FEW_LEVELS,
    DUG_INTO_SPARE,
    DUG_NOT_COVERED,
    DUG_OUTSIDE_TOLERANCE,
    DUG_POOLS_AS_DRAWN,
    DUG_RIMS_AS_DRAWN,
    DUG_RUNS_OUT,
    DUG_TAPE_LONGER,
    DUG_TAPE_NOT_SURVEYED,
    DUG_TAPE_PAST,
)
from pondkit.trades.earthwork.found_levels import ONE_LEVEL, ONE_PLACE, Spot, Spots
from pondkit.trades.earthwork.inputs.dig import Dig, Tape

FAR_PAST = 0.1  # m beyond the liner's edge
HAIR = 1e-9  # m: what is at its tolerance is within it
BY_LEVELS = "how far the mean of the levels may be off: Student's distribution of the levels found, eight times in ten"


@dataclass(frozen=True, eq=False)
class PoolDug:
    """One pool as found.

    Attributes:
        gross, wetted: Gross volume [m³] and wetted area [m²] as drawn.
        area, outline: Area of its surface [m²], and length of its outline [m].
        changed: What was found.
        within: How far the mean of its levels may be off.
        count: How many levels were found inside its waterline.
    """

    name: str
    gross: float
    wetted: float
    area: float
    outline: float
    changed: Changed
    within: Entry
    count: int


@dataclass(frozen=True, eq=False)
class LinerDug:
    """One liner over the hole as found, lengths in metres.

    Attributes:
        name: The liner.
        drawn, ordered, found: Net as drawn, as ordered, and net over the hole as found: length and width each.
        pools: Indexes of the pools under it.
        as_drawn: Names of those of which no level was found.
        off: Sum of how far the means of their levels may be off [m].
    """

    name: str
    drawn: tuple[float, float]
    ordered: tuple[float, float]
    found: tuple[float, float]
    pools: tuple[int, ...]
    as_drawn: tuple[str, ...]
    off: float


@dataclass(frozen=True, eq=False)
class LineDug:
    """One tape line: the way over dig and ground as drawn and as found, over the liner's surface from rim to rim as found, and the edge [m].

    ``off`` is the sum of how far the means of its pools' levels may be off [m]; 0 where it was taped.
    """

    tape: Tape
    drawn: Way
    found: Way
    liner: Way
    edge: float
    off: float


make_line_dug = remembered(LineDug)


@dataclass(frozen=True, eq=False)
class AsDug(Result):
    """The hole as it was dug.

    Attributes:
        dug_difference: Every length and level that differs from the drawing, the largest first.
        spots: Levels found, for pictures.
        lines: Tape lines, for pictures.
        problems: What could not be worked out, and how to mend it.
    """

    liner_spare_as_dug: tuple[Entry, ...]
    dug_difference: tuple[Entry, ...]
    liner_length_as_dug: tuple[Entry, ...]
    liner_width_as_dug: tuple[Entry, ...]
    line_as_dug: tuple[Entry, ...]
    volume_as_dug: tuple[Entry, ...]
    wetted_as_dug: tuple[Entry, ...]
    dug_mean_within: tuple[Entry, ...]
    spots: tuple[Spot, ...]
    lines: tuple[LineDug, ...]
    problems: tuple[Problem, ...]


def tape_problem(index: int, tape: Tape, way: Way | None) -> Problem | None:
    """What keeps a tape line from being worked out; ``way`` is None where its ends are in one place."""
    path: Path = ("dig", "tapes", index)
    if way is None:
        return Problem((*path, "end"), words(f"'{tape.name}' ends where it starts"), words("two places"), words("move its end to the other side of the hole"))  # fmt: skip
    if not way.pools:
        return Problem((*path, "end"), words(f"'{tape.name}' crosses no pool"), words("a line over the hole"), words("move an end, so that the line runs over a pool"))  # fmt: skip
    if min(way.beyond) <= 0:
        end = "start" if way.beyond[0] <= 0 else "end"
        return Problem((*path, end), words(f"'{tape.name}' has its {end} inside the hole"), words("ends outside the rims"), words("move it out beyond the rim, and lay the tape from there"))  # fmt: skip
    straight = float(np.hypot(tape.end[0] - tape.start[0], tape.end[1] - tape.start[1]))
    if tape.taped is not None and tape.taped < straight - ONE_PLACE:
        return Problem(
            (*path, "taped"),
            words(f"'{tape.name}' has {{taped}} of tape over the hole", taped=(tape.taped, LENGTH)),
            words("no less than {straight}, the level distance from its start to its end", straight=(straight, LENGTH)),
            words("tape it again, lying on the dig from end to end, or correct its start and end"),
        )
    return None


def work_out(
    dig: Dig,
    found: Spots,
    pools: Sequence[PoolDug],
    liners: Sequence[LinerDug],
    lines: Sequence[LineDug],
    problems: Sequence[Problem],
) -> AsDug:
    """The hole as it was dug.

    Args:
        dig: As entered.
        found: Levels that were found.
        pools: Those of which levels were found.
        liners: Those under which a pool has levels found, or a tape line lies.
        lines: Tape lines that cross the hole.
        problems: Of the tape lines.
    """
    differs = [
        entry(rel.difference, f"{spot.measured.pool}, level {spot.number}", source=USER, cautions=_deep(spot, dig), found=spot.measured.level, drawn=spot.drawn)
        for spot in found.spots
    ]  # fmt: skip
    longer: dict[int, float] = {}
    along = []
    for line in lines:
        over = line.found.length
        if line.tape.taped is not None:
            taped = float(line.tape.taped)
            differs.append(
                entry(
                    rel.difference,
                    f"{line.tape.name}, tape over the hole",
                    source=USER,
                    cautions=_outside_of(line),
                    found=taped,
                    drawn=line.drawn.length,
                )
            )
            for pool in line.found.pools:
                longer[pool] = max(longer.get(pool, 0.0), taped - over)
        more = max(float(line.tape.taped) - over, 0.0) if line.tape.taped is not None else 0.0
        before, behind = line.liner.beyond
        notes = [*_longer(more), *_outside_of(line)]
        along.append(
            entry(
                rel.line_liner, line.tape.name, cautions=notes, way=line.liner.length + more, before=before, behind=behind, edge=line.edge,
                off=_off(line.off),
            )
        )  # fmt: skip
    sizes: tuple[list[Entry], list[Entry]] = ([], [])
    spare = []
    for liner in liners:
        more = max([0.0, *(longer.get(pool, 0.0) for pool in liner.pools)])
        notes = [DUG_RIMS_AS_DRAWN(), *_longer(more)]
        if liner.as_drawn:
            notes.append(DUG_POOLS_AS_DRAWN(pools=", ".join(liner.as_drawn)))
        for side, what in enumerate(("length", "width")):
            size = entry(
                rel.liner_found, liner.name, cautions=notes, over=liner.found[side], longer=more, off=_off(liner.off)
            )
            sizes[side].append(size)
            subject = f"{liner.name}, {what}"
            spread = Range(size.least, size.value, size.most, BY_LEVELS)
            differs.append(entry(rel.difference, subject, found=spread, drawn=liner.drawn[side]))
            left = entry(rel.liner_spare, subject, ordered=liner.ordered[side], found=size)
            spare.append(with_cautions(left, *_spare(left, liner.ordered[side] - liner.drawn[side])))
    notes_of = {pool.name: _known(pool) for pool in pools}
    return AsDug(
        liner_spare_as_dug=tuple(spare),
        dug_difference=tuple(sorted(differs, key=lambda figure: -abs(figure.value))),
        liner_length_as_dug=tuple(sizes[0]),
        liner_width_as_dug=tuple(sizes[1]),
        line_as_dug=tuple(along),
        volume_as_dug=tuple(
            entry(
                rel.volume_found, p.name, cautions=notes_of[p.name], drawn=p.gross, more=p.changed.volume, area=p.area,
                off=_off(p.within.value),
            )
            for p in pools
        ),
        wetted_as_dug=tuple(
            entry(
                rel.wetted_found, p.name, cautions=notes_of[p.name], drawn=p.wetted, more=p.changed.wetted, outline=p.outline,
                off=_off(p.within.value),
            )
            for p in pools
        ),
        dug_mean_within=tuple(p.within for p in pools),
        spots=found.spots,
        lines=tuple(lines),
        problems=(*found.problems, *problems),
    )  # fmt: skip


def _off(by: float) -> Range:
    return Range(-by, 0.0, by, BY_LEVELS)


def _deep(spot: Spot, dig: Dig) -> tuple[Caution, ...]:
    over, what, by = spot.over, "floors", float(dig.floor_within)
    way = "deep" if over < 0 else "high"
    if spot.water is not None:
        low = spot.water - float(spot.measured.level)
        if spot.drawn >= spot.water and low > 0:
            return DUG_RUNS_OUT.where(low, low, low, under=(low, LENGTH))
        what, by = ("rims", float(dig.rim_within)) if spot.drawn >= spot.water else ("seats", float(dig.seat_within))
        way = "low" if over < 0 else "high"
    do = "Fill and compact, or" if over < 0 else "Cut, or"
    return DUG_OUTSIDE_TOLERANCE.where(
        over, over, over, least=-by - HAIR, most=by + HAIR, off=(abs(over), LENGTH), way=way, what=what, by=(by, LENGTH), do=do
    )  # fmt: skip


def _outside_of(line: LineDug) -> list[Words]:
    """What a tape says besides the hole."""
    notes: list[Words] = [DUG_TAPE_NOT_SURVEYED()] if line.found.unknown else []
    if line.tape.taped is not None:
        past = max(line.found.beyond) - line.edge
        notes += DUG_TAPE_PAST.where(past, past, past, most=FAR_PAST, past=(past, LENGTH))
    return notes


def _longer(more: float) -> tuple[Words, ...]:
    return DUG_TAPE_LONGER.where(more, more, more, most=ONE_LEVEL, longer=(more, LENGTH))


def _spare(over: Entry, drawn: float) -> list[Words]:
    found: list[Words] = [*DUG_NOT_COVERED.where(over.least, over.value, over.most, short=(-over.least, LENGTH))]
    used = drawn - over.value
    if over.value >= 0:
        found += DUG_INTO_SPARE.where(used, used, used, most=ONE_LEVEL, used=(used, LENGTH))
    return found


def _known(pool: PoolDug) -> list[Words]:
    count = f"{pool.count} {'level' if pool.count == 1 else 'levels'}"
    notes: list[Words] = [DUG_FAR_FROM_LEVELS(far=(pool.changed.far, LENGTH))]
    return [*notes, *DUG_FEW_LEVELS.where(pool.count, pool.count, pool.count, count=count)]
