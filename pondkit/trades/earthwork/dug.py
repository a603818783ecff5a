"""The hole as it was dug: volumes, liner and every difference from the drawing, before the liner is cut."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Result, no_such
from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH
from pondkit.geometry.changed import Changed
from pondkit.geometry.found import Correction, Way
from pondkit.geometry.path import Laid
from pondkit.trades.earthwork import finding as rel
from pondkit.trades.earthwork.inputs.dig import Dig, Measured, Tape

ONE_PLACE, ONE_LEVEL = 0.01, 1e-3  # m: measured nearer than this is in one place, and alike
OVER_RIM = 0.3  # m: a level that stands higher over its pool's rim is in no hole
FEW = 3  # levels of a pool, under which little is known of its hole
AS_DRAWN = Words("Rims are taken as drawn: measure them too.")
DO_NOT_CUT = "The liner ordered does not cover the hole as found: short by {short}. Do not cut it: mend the hole, or order a larger one."
INTO_SPARE = "The hole as found takes {used} of what was ordered beyond the drawing's need."
RUNS_OUT = (
    "This place of the bank lies {low} under the water at rest: the pool would run out here. Build the bank up and compact it before the liner goes in; "
    "volumes and liner are worked out with rims as drawn."
)
LONGER = "A tape over the hole was {longer} longer than the levels found say; it is added. Measure more places there before cutting."


PAST = (
    "It ends {past} outside the liner's edge. The ground there is counted as it was surveyed: where it is rougher the tape is longer, and that "
    "is no liner. Tape from edge to edge of the liner."
)
NOT_SURVEYED = Words(
    "Part of it lies outside the survey, where the ground is only taken to go on level: survey it, or tape from nearer to the hole."
)
FAR_PAST = 0.1  # m


@dataclass(frozen=True, eq=False)
class PoolDug:
    """One pool as found: gross volume [m³] and wetted area [m²] as drawn, and what was found."""

    name: str
    gross: float
    wetted: float
    changed: Changed
    count: int


@dataclass(frozen=True, eq=False)
class LinerDug:
    """One liner over the hole as found, lengths in metres.

    Attributes:
        name: The liner.
        drawn, ordered, found: Net as drawn, as ordered, and net over the hole as found: length and width each.
        pools: Indexes of the pools under it.
        as_drawn: Names of those of which no level was found.
    """

    name: str
    drawn: tuple[float, float]
    ordered: tuple[float, float]
    found: tuple[float, float]
    pools: tuple[int, ...]
    as_drawn: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class LineDug:
    """One tape line: the way over dig and ground as drawn and as found, over the liner's surface from rim to rim as found, and the edge [m]."""

    tape: Tape
    drawn: Way
    found: Way
    liner: Way
    edge: float


make_line_dug = remembered(LineDug)


@dataclass(frozen=True, eq=False)
class Spot:
    """A level found, with the level drawn there [m].

    Attributes:
        water: Level of its pool's water at rest [m] where it lies on the bank, outside the waterline; None inside it.
    """

    number: int
    measured: Measured
    drawn: float
    water: float | None = None

    @property
    def over(self) -> float:
        return float(self.measured.level) - self.drawn


@dataclass(frozen=True, eq=False)
class Spots:
    """Levels found that can be used, and what is wrong with the others."""

    spots: tuple[Spot, ...]
    problems: tuple[Problem, ...]

    def inside(self, pool: str) -> list[Spot]:
        """Those of a pool that lie inside its waterline."""
        return [spot for spot in self.spots if spot.measured.pool == pool and spot.water is None]

    def correction(self, pool: str) -> Correction | None:
        """How far a pool's hole stands over the drawing inside its waterline; None where nothing was measured there."""
        own = self.inside(pool)
        places = tuple((float(s.measured.at[0]), float(s.measured.at[1])) for s in own)
        return Correction(places, tuple(s.over for s in own)) if own else None


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
    spots: tuple[Spot, ...]
    lines: tuple[LineDug, ...]
    problems: tuple[Problem, ...]


@remembered
def spots(measured: tuple[Measured, ...], digs: tuple[tuple[str, Laid], ...], pools: tuple[str, ...]) -> Spots:
    """Levels found against the dig as drawn.

    Args:
        measured: As entered.
        digs: (name, dig surface) of every pool that could be worked out.
        pools: Names of all pools.
    """
    laid = dict(digs)
    lying = _lying(measured, laid)
    found: list[Spot] = []
    problems: list[Problem] = []
    for index, one in enumerate(measured):
        path: Path = ("dig", "measured", index)
        if one.pool not in pools:
            problems.append(no_such((*path, "pool"), "pool", one.pool, pools))
            continue
        if one.pool not in laid:
            continue  # the pool's own problem says why
        dig = laid[one.pool]
        inward, depth = lying[index]
        beyond = -inward - dig.rim
        twin = next((s for s in found if s.measured.pool == one.pool and _apart(s.measured, one) < ONE_PLACE), None)
        if beyond > ONE_PLACE:
            problems.append(_outside(path, one, beyond))
        elif one.level > dig.rim_level + OVER_RIM:
            problems.append(_over_rim(path, one, float(one.level) - dig.rim_level))
        elif twin is not None:
            if abs(twin.measured.level - one.level) > ONE_LEVEL:
                problems.append(_twice(path, one, twin))
        else:
            found.append(Spot(index + 1, one, dig.level - depth, dig.level if inward < -ONE_PLACE else None))
    return Spots(tuple(found), tuple(problems))


def _lying(measured: tuple[Measured, ...], laid: dict[str, Laid]) -> dict[int, tuple[float, float]]:
    """By index: how far inward of its pool's outline each place lies, and how deep the dig is drawn there [m]."""
    found: dict[int, tuple[float, float]] = {}
    for name, dig in laid.items():
        own = [index for index, one in enumerate(measured) if one.pool == name]
        places = dig.placed.to_own(np.array([measured[index].at for index in own], dtype=float).reshape(-1, 2))
        if own:
            lies = zip(dig.bowl.pool.shape.inward(places).tolist(), dig.bowl.depth_at(places).tolist(), strict=True)
            found |= dict(zip(own, lies, strict=True))
    return found


def _apart(one: Measured, other: Measured) -> float:
    return float(np.hypot(one.at[0] - other.at[0], one.at[1] - other.at[1]))


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
        notes = [_longer(more), *_outside_of(line)] if more > ONE_LEVEL else _outside_of(line)
        along.append(
            entry(rel.line_liner, line.tape.name, cautions=notes, way=line.liner.length + more, before=before, behind=behind, edge=line.edge)
        )  # fmt: skip
    sizes: tuple[list[Entry], list[Entry]] = ([], [])
    spare = []
    for liner in liners:
        more = max([0.0, *(longer.get(pool, 0.0) for pool in liner.pools)])
        notes = [AS_DRAWN, *([_longer(more)] if more > ONE_LEVEL else [])]
        if liner.as_drawn:
            notes.append(Words(f"No levels were found for {', '.join(liner.as_drawn)}: taken as drawn."))
        for side, what in enumerate(("length", "width")):
            size = entry(rel.liner_found, liner.name, cautions=notes, over=liner.found[side], longer=more)
            sizes[side].append(size)
            subject = f"{liner.name}, {what}"
            differs.append(entry(rel.difference, subject, found=size.value, drawn=liner.drawn[side]))
            over = liner.ordered[side] - size.value
            spare.append(
                entry(
                    rel.liner_spare, subject, cautions=_spare(over, liner.ordered[side] - liner.drawn[side]),
                    ordered=liner.ordered[side], found=size,
                )
            )  # fmt: skip
    notes_of = {pool.name: _known(pool) for pool in pools}
    return AsDug(
        liner_spare_as_dug=tuple(spare),
        dug_difference=tuple(sorted(differs, key=lambda figure: -abs(figure.value))),
        liner_length_as_dug=tuple(sizes[0]),
        liner_width_as_dug=tuple(sizes[1]),
        line_as_dug=tuple(along),
        volume_as_dug=tuple(
            entry(rel.volume_found, p.name, cautions=notes_of[p.name], drawn=p.gross, more=p.changed.volume) for p in pools
        ),
        wetted_as_dug=tuple(
            entry(rel.wetted_found, p.name, cautions=notes_of[p.name], drawn=p.wetted, more=p.changed.wetted) for p in pools
        ),
        spots=found.spots,
        lines=tuple(lines),
        problems=(*found.problems, *problems),
    )  # fmt: skip


def _deep(spot: Spot, dig: Dig) -> list[Words]:
    off, what, by = abs(spot.over), "floors", float(dig.floor_within)
    way = "deep" if spot.over < 0 else "high"
    if spot.water is not None:
        level = float(spot.measured.level)
        if level < spot.water <= spot.drawn:
            return [words(RUNS_OUT, low=(spot.water - level, LENGTH))]
        what, by = ("rims", float(dig.rim_within)) if spot.drawn >= spot.water else ("seats", float(dig.seat_within))
        way = "low" if spot.over < 0 else "high"
    if off <= by + 1e-9:
        return [
            words(f"{{off}} too {way}: within the tolerance of {what}, {{by}}.", off=(off, LENGTH), by=(by, LENGTH))
        ]
    do = "Fill and compact, or" if spot.over < 0 else "Cut, or"
    text = f"{{off}} too {way}: outside the tolerance of {what}, {{by}}. {do} go by the hole as it is."
    return [words(text, off=(off, LENGTH), by=(by, LENGTH))]


def _outside_of(line: LineDug) -> list[Words]:
    """What a tape says besides the hole."""
    notes = [NOT_SURVEYED] if line.found.unknown else []
    past = max(line.found.beyond) - line.edge
    if line.tape.taped is not None and past > FAR_PAST:
        notes.append(words(PAST, past=(past, LENGTH)))
    return notes


def _longer(more: float) -> Words:
    return words(LONGER, longer=(more, LENGTH))


def _spare(over: float, drawn: float) -> list[Words]:
    if over < 0:
        return [words(DO_NOT_CUT, short=(-over, LENGTH))]
    return [words(INTO_SPARE, used=(drawn - over, LENGTH))] if over < drawn - ONE_LEVEL else []


def _known(pool: PoolDug) -> list[Words]:
    notes = [
        words(
            "Between the levels found the hole is taken as drawn and moved by the mean of their differences, nearer ones counting more "
            "(inverse square of the distance). Furthest from any of them: {far}. Measure there where it matters.",
            far=(pool.changed.far, LENGTH),
        )
    ]
    if pool.count < FEW:
        notes.append(
            Words(f"Only {pool.count} {'level' if pool.count == 1 else 'levels'} found: little is known of this hole.")
        )
    return notes


def _outside(path: Path, one: Measured, beyond: float) -> Problem:
    return Problem(
        (*path, "at"),
        words(f"it lies {{beyond}} outside the rim of '{one.pool}'", beyond=(beyond, LENGTH)),
        words("a place inside the rim of its pool"),
        words("correct the place, or choose the pool that it belongs to"),
    )


def _over_rim(path: Path, one: Measured, over: float) -> Problem:
    return Problem(
        (*path, "level"),
        words(f"it stands {{over}} over the rim of '{one.pool}'", over=(over, LENGTH)),
        words("a level in the hole, above the site datum: below the datum it has a minus"),
        words("look at its sign, or choose the pool that it belongs to"),
    )


def _twice(path: Path, one: Measured, twin: Spot) -> Problem:
    return Problem(
        (*path, "level"),
        words(f"{{level}} stands where level {twin.number} is {{other}}", level=(one.level, LENGTH), other=(twin.measured.level, LENGTH)),
        words("one level in one place"),
        words("measure it again, and remove one of the two"),
    )  # fmt: skip
