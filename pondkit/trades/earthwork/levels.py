"""Levels to dig by: what the rod reads at every level of the dig, and whether what was read calls for cut or fill."""

from collections.abc import Sequence
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, Range, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Result, no_such
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.geometry.path import Laid
from pondkit.geometry.profile import SEAT, Profile
from pondkit.trades.earthwork import levelling as rel
from pondkit.trades.earthwork.cautions import (
    BED_DUG_LAST,
    CREST_ON_FIRM_GROUND,
    CREST_STONE_MISSING,
    CUT_OR_FILL,
    DIG_ORDER,
    READ_BENCHMARK_AGAIN,
    SIDES_MAY_FALL,
)
from pondkit.trades.earthwork.inputs.dig import Dig, Reading

SAME = 1e-3  # m: a height of instrument and a backsight that differ by no more agree
REACHED = 1e-6  # m
HAIR = 1e-9  # m: what is at its tolerance is within it
TOLERANCE = "tolerance: user input, its default common practice, no source"
CAUTIONS = {
    ("crest", "dig"): CREST_ON_FIRM_GROUND,
    ("bed", "dig"): BED_DUG_LAST,
    ("trench", "dig"): SIDES_MAY_FALL,
    ("hole", "dig"): SIDES_MAY_FALL,
}


@dataclass(frozen=True)
class Level:
    """One level to dig by.

    Attributes:
        row: Its name: that of its pool or node, a colon, and what it is.
        kind: "rim", "seat", "floor", "hole", "trench", "bed" or "crest".
        finished, dig: Site levels [m]; None where there is none.
    """

    row: str
    kind: str
    finished: float | None
    dig: float | None


@dataclass(frozen=True, eq=False)
class LevelRows(Result):
    """Levels of one pool, or of all holes, trenches, beds or crests, with rod readings where the height of instrument is known.

    Low and high are the tolerance.
    """

    levels: tuple[Level, ...]
    finished_level: tuple[Entry, ...]
    dig_level: tuple[Entry, ...]
    rod_dig: tuple[Entry, ...]
    rod_finished: tuple[Entry, ...]


@dataclass(frozen=True, eq=False)
class Levels(Result):
    """Levels to dig by, in the order in which they are dug.

    Attributes:
        cut_to_level: For every reading, what is still to cut there; negative to fill.
        tolerances: Of each of those [m].
        problems: What could not be worked out, and how to mend it.
    """

    height_of_instrument: Entry | None
    cut_to_level: tuple[Entry, ...]
    groups: tuple[LevelRows, ...]
    tolerances: tuple[float, ...]
    problems: tuple[Problem, ...]

    @property
    def levels(self) -> tuple[Level, ...]:
        return tuple(level for group in self.groups for level in group.levels)


@remembered
def pool_levels(pool: str, finished: Laid, liner: Laid, dig: Laid) -> tuple[Level, ...]:
    """Rim, seat and the floors of every tier of a pool and its pits, from the rim inward; tiers that are nowhere reached left out.

    A seat's finished level is the liner's, on which the edging stands.
    """
    found = [Level(f"{pool}: rim", "rim", finished.rim_level, dig.rim_level)]
    seat, cut = _depth(liner.bowl.pool.profile, SEAT), _depth(dig.bowl.pool.profile, SEAT)
    if seat is not None:
        found.append(Level(f"{pool}: seat", "seat", liner.level - seat, None if cut is None else dig.level - cut))
    for number, (top, hole) in enumerate(zip(finished.bowl.parts, dig.bowl.parts, strict=True)):
        where = f"{pool}: " + (f"pit {number} " if number else "")
        for tier in sorted({line.owner for line in top.profile.lines if line.owner >= 0}):
            high, low = _depth(top.profile, tier), _depth(hole.profile, tier)
            if high is not None and high <= top.reached + REACHED:
                level = dig.level - low if low is not None and low <= hole.reached + REACHED else None
                found.append(Level(f"{where}tier {tier + 1} floor", "floor", finished.level - high, level))
    return tuple(found)


def _depth(profile: Profile, owner: int) -> float | None:
    """Depth at which a tier's level part lies; where it has none, at which its face ends. None where it has no line."""
    levels = [line.level for line in profile.lines if line.owner == owner and line.level is not None]
    faces = [lower for _, lower, line in profile.faces if line.owner == owner]
    return levels[-1] if levels else faces[-1] if faces else None


def hole_level(name: str, wall: bool, underside: float, bottom: float) -> Level:
    """Underside of a body or wall, and the bottom of its hole [m]."""
    return Level(f"{name}: {'footing' if wall else 'seat'}", "hole", underside, bottom)


def anchor_level(pool: str, bottom: float) -> Level:
    """Bottom of the liner's anchor trench beside a pool [m]."""
    return Level(f"{pool}: anchor trench", "trench", None, bottom)


def row_names(
    pools: Sequence[tuple[str, bool, int, Sequence[int], int, bool]],
    holes: Sequence[str],
    dens: Sequence[str],
    nodes: Sequence[str],
) -> list[str]:
    """Names that rows can have, for choosing one before anything is worked out.

    Args:
        pools: (name, whether edging stands outside it, its tiers, tiers of each pit, links that leave it, whether its liner has an anchor trench) of each.
        holes: Names of the rows of bodies, walls and beds of links.
        dens: Names of dens that are boxes.
        nodes: Names of the rows of pipe trenches.
    """
    found = []
    for name, seat, tiers, pits, links, anchored in pools:
        parts = [("", tiers), *((f"pit {number} ", count) for number, count in enumerate(pits, 1))]
        found += [f"{name}: rim", *([f"{name}: seat"] if seat else [])]
        found += [f"{name}: {part}tier {tier} floor" for part, count in parts for tier in range(1, count + 1)]
        found += [f"{name}: crest {number}" for number in range(1, links + 1)]
        found += [f"{name}: anchor trench"] if anchored else []
    return [*found, *holes, *(f"{den}: pit" for den in dens), *nodes]


@remembered
def instrument(dig: Dig) -> Entry | Problem | None:
    """Height of instrument: as entered, or by backsight; None where neither is known."""
    by_sight = (
        entry(rel.height_of_instrument, "", source=USER, cautions=[READ_BENCHMARK_AGAIN(), DIG_ORDER()], benchmark=dig.benchmark, backsight=dig.backsight)
        if dig.backsight is not None
        else None
    )  # fmt: skip
    if dig.instrument is None:
        return by_sight
    if by_sight is not None and abs(by_sight.value - dig.instrument) > SAME:
        return Problem(
            ("dig", "instrument"),
            words("the height of instrument is {given}", given=(dig.instrument, LENGTH)),
            words("benchmark and backsight give {sight}", sight=(by_sight.value, LENGTH)),
            words("leave one of the two out, or read the benchmark again"),
        )
    return entry(
        rel.height_as_entered, "", source=USER, cautions=[READ_BENCHMARK_AGAIN(), DIG_ORDER()], height=dig.instrument
    )


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
def work_out(
    dig: Dig, height: Entry | Problem | None, groups: tuple[LevelRows, ...], within: tuple[float, float, float]
) -> Levels:
    """Levels and readings of an option.

    Args:
        dig: As entered.
        height: Height of instrument, see ``instrument``.
        groups: In the order in which they are dug.
        within: Tolerances, see ``level_rows``.
    """
    problems = [height] if isinstance(height, Problem) else []
    known = height if isinstance(height, Entry) else None
    levels = {level.row: level for group in groups for level in group.levels}
    found, tolerances = [], []
    for index, reading in enumerate(dig.readings):
        path: Path = ("dig", "readings", index)
        level = levels.get(reading.row)
        drawn = getattr(level, reading.surface) if level else None
        if level is None:
            problems.append(no_such((*path, "row"), "level to dig by", reading.row, levels))
        elif drawn is None:
            problems.append(_no_surface((*path, "surface"), reading, level))
        elif known is None:
            problems.append(_no_height(path, reading))
        else:
            by = _within(level.kind, within)
            found.append(_cut(index, reading, known.value, drawn, by))
            tolerances.append(by)
    return Levels(known, tuple(found), groups, tuple(tolerances), tuple(problems))


def _cut(index: int, reading: Reading, height: float, drawn: float, by: float) -> Entry:
    subject = f"{reading.row}, {reading.surface}, reading {index + 1}"
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


def _no_height(path: Path, reading: Reading) -> Problem:
    return Problem(
        (*path, "rod"),
        words("the rod reads {rod}, and the height of instrument is not known", rod=(reading.rod, LENGTH)),
        words("readings with a backsight on the benchmark, or a height of instrument"),
        words("enter the backsight of the day"),
    )
