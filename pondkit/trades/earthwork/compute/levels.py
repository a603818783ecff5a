"""Levels to dig by, row by row: of pools, structures, anchor trenches, passages, stream beds and crests; what the rod
reads at each, whether a reading calls for cut or fill, and the levels found in the hole against the drawing.
"""

import math
from collections import Counter
from collections.abc import Collection, Iterator, Sequence

import numpy as np

from pondkit.core.entry import USER, Entry, Range, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, ToFill, no_such
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.geometry.as_built import Way
from pondkit.geometry.line_intersection import Spot
from pondkit.geometry.profile import SEAT, Profile
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import Terrain
from pondkit.trades.earthwork import formulas as rel
from pondkit.trades.earthwork.cautions import (
    BED_DUG_LAST,
    CREST_ON_FIRM_GROUND,
    CREST_STONE_MISSING,
    CUT_OR_FILL,
    DIG_ORDER,
    READ_BENCHMARK_AGAIN,
    SIDES_MAY_FALL,
)
from pondkit.trades.earthwork.inputs import Dig, Measured, Reading, Tape
from pondkit.trades.earthwork.results import (
    Level,
    LevelRows,
    Levels,
    StreamBeds,
    Structures,
    SurveyedLevel,
    SurveyedLevels,
    bed_rows,
)
from pondkit.trades.ground.inputs import RANGE
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.results import LiningResult
from pondkit.trades.pools.inputs import Link, Pool
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs import Stone
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.results import DenBox, TunnelsResult

ONE_PLACE, ONE_LEVEL = 0.01, 1e-3  # m: places and levels nearer than this are the same
OVER_RIM = 0.3  # m: a level higher than this above its pool's rim is not in the excavation


def mean_within(survey: SurveyedLevels, pool: str, tolerance: float) -> Entry:
    """Tolerance of the mean of a pool's levels, from those surveyed inside its waterline (at least one).

    Args:
        survey: Usable levels.
        pool: Its name.
        tolerance: Tolerance of floors, up and down [m].
    """
    differences = [level.over for level in survey.inside(pool)]
    return entry(rel.dug_mean_within, pool, source=USER, differences=differences, tolerance=tolerance)


@remembered
def surveyed(
    measured: tuple[Measured, ...], digs: tuple[tuple[str, SiteSurface], ...], pools: tuple[str, ...], datum: float
) -> SurveyedLevels:
    """Surveyed levels against the design dig.

    Args:
        measured: Inputs of the surveyed levels.
        digs: (name, dig surface) of every pool without problems.
        pools: Names of all pools.
        datum: Level of the site datum in the system of the readings [m].
    """
    surfaces = dict(digs)
    lying = _lying(measured, surfaces)
    levels: list[SurveyedLevel] = []
    problems: list[Problem] = []
    for index, place in enumerate(measured):
        path: Path = ("dig", "measured", index)
        if place.pool not in pools:
            problems.append(no_such((*path, "pool"), "pool", place.pool, pools))
            continue
        if place.pool not in surfaces:
            continue  # reported as the pool's own problem
        if place.level is None:
            continue  # still to be read
        dig, level = surfaces[place.pool], float(place.level) - datum
        inward, depth = lying[index]
        beyond = -inward - dig.rim
        twin = next(
            (s for s in levels if s.measured.pool == place.pool and _apart(s.measured, place) < ONE_PLACE), None
        )
        if beyond > ONE_PLACE:
            problems.append(_outside(path, place, beyond))
        elif far := far_from_datum((*path, "level"), level, "the level found"):
            problems.append(far)
        elif level > dig.rim_level + OVER_RIM:
            problems.append(_over_rim(path, place, level - dig.rim_level))
        elif twin is not None:
            if abs(twin.level - level) > ONE_LEVEL:
                problems.append(_twice(path, place, twin))
        else:
            water = dig.level if inward < -ONE_PLACE else None
            levels.append(SurveyedLevel(index + 1, place, level, dig.level - depth, water))
    return SurveyedLevels(tuple(levels), tuple(problems))


def far_from_datum(path: Path, above: float, thing: str) -> Problem | None:
    """Problem of a level further from the site datum than a site may reach, such as one taken from another benchmark.

    Args:
        path: Path of the field.
        above: Height above the site datum [m].
        thing: Name of the thing at that level.
    """
    if abs(above) <= RANGE:
        return None
    return Problem(
        path,
        words(f"{thing} lies {{away}} {'above' if above > 0 else 'below'} the site datum", away=(abs(above), LENGTH)),
        words("within {most} of the site datum, from which pools count", most=(RANGE, LENGTH)),
        words("enter as the site datum of the dig the level that the site counts as 0, or correct this one"),
    )


def _lying(measured: tuple[Measured, ...], surfaces: dict[str, SiteSurface]) -> dict[int, tuple[float, float]]:
    """By index of the surveyed level: (distance inward from its pool's outline, design depth of the dig there) [m]."""
    depths: dict[int, tuple[float, float]] = {}
    for name, dig in surfaces.items():
        indexes = [index for index, place in enumerate(measured) if place.pool == name]
        places = dig.placed.to_own(np.array([measured[index].at for index in indexes], dtype=float).reshape(-1, 2))
        if indexes:
            lies = zip(
                dig.surface.pool.shape.inward(places).tolist(), dig.surface.depth_at(places).tolist(), strict=True
            )
            depths |= dict(zip(indexes, lies, strict=True))
    return depths


def _apart(first: Measured, second: Measured) -> float:
    return float(np.hypot(first.at[0] - second.at[0], first.at[1] - second.at[1]))


def _outside(path: Path, place: Measured, beyond: float) -> Problem:
    return Problem(
        (*path, "at"),
        words(f"it lies {{beyond}} outside the rim of '{place.pool}'", beyond=(beyond, LENGTH)),
        words("a place inside the rim of its pool"),
        words("correct the place, or choose the pool that it belongs to"),
    )


def _over_rim(path: Path, place: Measured, over: float) -> Problem:
    return Problem(
        (*path, "level"),
        words(f"it stands {{over}} over the rim of '{place.pool}'", over=(over, LENGTH)),
        words("a level in the hole: what lies below the site datum is less than it"),
        words("look at its sign and at the site datum of the dig, or choose the pool that it belongs to"),
    )


def _twice(path: Path, place: Measured, twin: SurveyedLevel) -> Problem:
    return Problem(
        (*path, "level"),
        words(
            f"{{level}} stands where level {twin.number} is {{other}}",
            level=(float(place.level or 0.0), LENGTH),
            other=(float(twin.measured.level or 0.0), LENGTH),
        ),
        words("one level in one place"),
        words("measure it again, and remove one of the two"),
    )


def tape_problem(index: int, tape: Tape, way: Way | None) -> Problem | None:
    """Problem of a tape line; ``way`` is None if its ends coincide."""
    path: Path = ("dig", "tapes", index)
    if way is None:
        return Problem(
            (*path, "end"),
            words(f"'{tape.name}' ends where it starts"),
            words("two places"),
            words("move its end to the other side of the hole"),
        )
    if not way.pools:
        return Problem(
            (*path, "end"),
            words(f"'{tape.name}' crosses no pool"),
            words("a line over the hole"),
            words("move an end, so that the line runs over a pool"),
        )
    if min(way.beyond) <= 0:
        end = "start" if way.beyond[0] <= 0 else "end"
        return Problem(
            (*path, end),
            words(f"'{tape.name}' has its {end} inside the hole"),
            words("ends outside the rims"),
            words("move it out beyond the rim, and lay the tape from there"),
        )
    straight = float(np.hypot(tape.end[0] - tape.start[0], tape.end[1] - tape.start[1]))
    if tape.taped is not None and tape.taped < straight - ONE_PLACE:
        return Problem(
            (*path, "taped"),
            words(f"'{tape.name}' has {{taped}} of tape over the hole", taped=(tape.taped, LENGTH)),
            words("no less than {straight}, the level distance from its start to its end", straight=(straight, LENGTH)),
            words("tape it again, lying on the dig from end to end, or correct its start and end"),
        )
    return None


def unread(dig: Dig) -> Iterator[ToFill]:
    """Levels and tape lengths still to be read on site."""
    for index, place in enumerate(dig.measured):
        if place.level is None:
            path: Path = ("dig", "measured", index, "level")
            missing_text = words("the level of the dig at this place, as read on site")
            yield ToFill(path, missing_text, words(f"what the hole of '{place.pool}' differs there from the drawing"))
    for index, tape in enumerate(dig.tapes):
        if tape.taped is None:
            path = ("dig", "tapes", index, "taped")
            missing_text = words("the length of the tape over the hole, as read on site")
            yield ToFill(path, missing_text, words(f"what line '{tape.name}' differs from the drawing"))


SAME = 1e-3  # m: a height of instrument and a backsight that differ by no more agree
HAIR = 1e-9  # m: a value at its tolerance is within it
TOLERANCE = "tolerance: user input, its default common practice, no source"
CAUTIONS = {
    ("crest", "dig"): CREST_ON_FIRM_GROUND,
    ("bed", "dig"): BED_DUG_LAST,
    ("trench", "dig"): SIDES_MAY_FALL,
    ("hole", "dig"): SIDES_MAY_FALL,
}


def compute(dig: Dig, groups: Sequence[tuple[Level, ...]]) -> Levels:
    """Levels and rod readings of an option.

    Args:
        dig: Inputs of dig and survey.
        groups: Rows in digging order, see ``level_rows.groups``.
    """
    height = instrument(dig)
    height_value = height.value if isinstance(height, Entry) else None
    within = (float(dig.rim_within), float(dig.seat_within), float(dig.floor_within))
    return _readings(dig, height, tuple(level_rows(levels, within, height_value) for levels in groups), within)


@remembered
def instrument(dig: Dig) -> Entry | Problem | None:
    """Height of instrument, as entered or by backsight; None if neither is known."""
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
    """Problem of a benchmark whose level does not fit the datum entered beside it."""
    return far_from_datum(("dig", "benchmark"), dig.benchmark - dig.datum, "the benchmark")


@remembered
def level_rows(levels: tuple[Level, ...], within: tuple[float, float, float], height: float | None) -> LevelRows:
    """Levels with their tolerances, and rod readings if the height of instrument is known.

    Args:
        levels: Levels in digging order.
        within: Tolerances of rims and crests; of seats, excavations and trenches; of floors [m].
        height: Height of instrument above the site datum [m]; None if it is unknown.
    """
    by_surface: dict[str, list[Entry]] = {"finished": [], "dig": []}
    rods: dict[str, list[Entry]] = {"finished": [], "dig": []}
    for level in levels:
        for surface in by_surface:
            value = getattr(level, surface)
            notes = [CAUTIONS[level.kind, surface]()] if (level.kind, surface) in CAUTIONS else []
            if level.kind == "crest" and level.dig is None:
                notes = [CREST_STONE_MISSING()]
            if value is not None:
                by = _within(level.kind, within)
                spread = Range(value - by, value, value + by, TOLERANCE)
                by_surface[surface].append(entry(rel.level_drawn, level.row, cautions=notes, level=spread))
                if height is not None:
                    rods[surface].append(
                        entry(rel.rod_reading, level.row, cautions=notes, height_of_instrument=height, level=spread)
                    )
    return LevelRows(
        levels, tuple(by_surface["finished"]), tuple(by_surface["dig"]), tuple(rods["dig"]), tuple(rods["finished"])
    )


def _within(kind: str, within: tuple[float, float, float]) -> float:
    return within[{"rim": 0, "crest": 0, "seat": 1, "hole": 1, "trench": 1}.get(kind, 2)]


@remembered
def _readings(
    dig: Dig, height: Entry | Problem | None, groups: tuple[LevelRows, ...], within: tuple[float, float, float]
) -> Levels:
    """Levels with the rod readings taken on them.

    Args:
        dig: Inputs of dig and survey.
        height: Height of instrument, see ``instrument``.
        groups: Levels in digging order.
        within: Tolerances, see ``level_rows``.
    """
    problems = [height] if isinstance(height, Problem) else []
    height_entry = height if isinstance(height, Entry) else None
    levels = {level.row: level for group in groups for level in group.levels}
    entries, tolerances, unread = [], [], []
    for index, reading in enumerate(dig.readings):
        path: Path = ("dig", "readings", index)
        level = levels.get(reading.row)
        design = getattr(level, reading.surface) if level else None
        if level is None:
            problems.append(no_such((*path, "row"), "level to dig by", reading.row, levels))
        elif design is None:
            problems.append(_no_surface((*path, "surface"), reading, level))
        elif height_entry is None or reading.rod is None:
            unread += [_no_rod(path, reading)] if reading.rod is None else []
            unread += [NO_HEIGHT] if height_entry is None and NO_HEIGHT not in unread else []
        else:
            by = _within(level.kind, within)
            entries.append(_cut(index, reading, height_entry.value, design, by))
            tolerances.append(by)
    return Levels(height_entry, tuple(entries), groups, tuple(tolerances), tuple(problems), tuple(unread))


def _cut(index: int, reading: Reading, height: float, design: float, by: float) -> Entry:
    subject = f"{reading.row}, {reading.surface}, reading {index + 1}"
    assert reading.rod is not None
    difference = float(rel.cut_to_level(height, reading.rod, design))
    do = "Cut {off} more" if difference > 0 else "Fill {off}, compacted"
    cautions = CUT_OR_FILL.where(
        difference,
        difference,
        difference,
        least=-by - HAIR,
        most=by + HAIR,
        do=do,
        off=(abs(difference), LENGTH),
        by=(by, LENGTH),
    )
    return entry(
        rel.cut_to_level,
        subject,
        cautions=cautions,
        source=USER,
        height_of_instrument=height,
        rod=reading.rod,
        level=design,
    )


def _no_surface(path: Path, reading: Reading, level: Level) -> Problem:
    alternative = "finished" if reading.surface == "dig" else "dig"
    return Problem(
        path,
        words(f"'{reading.row}' has no level of its {reading.surface}"),
        words(f"a reading on its {alternative}"),
        words(f"choose '{alternative}', or another level"),
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


REACHED = 1e-6  # m
AT_LINER = "trench at the liner"


def groups(
    pools: tuple[PoolResult, ...],
    structures: Structures,
    anchors: tuple[Level, ...],
    passages: tuple[tuple[Level, ...], ...],
    beds: StreamBeds,
    crests: tuple[Level, ...],
) -> tuple[tuple[Level, ...], ...]:
    """All rows in digging order: pools from the highest rim down, then everything else.

    Args:
        pools: Those without problems.
        structures, beds: Structures in the ground, and stream beds.
        anchors, passages, crests: Rows of anchor trenches, of dens and trenches of pipe, and of crests.
    """
    down = sorted(pools, key=lambda pool: -pool.surfaces.finished.rim_level)
    return (
        *(pool_levels(pool.name, of.finished, of.liner, of.dig) for pool in down for of in [pool.surfaces]),
        tuple(
            hole_level(structure.name, structure.wall, structure.body.bottom, structure.hole.bottom)
            for structure in structures.each
        ),
        anchors,
        *passages,
        tuple(level for bed in beds.each for level in bed.levels(bed.link.from_)),
        crests,
    )


@remembered
def pool_levels(pool: str, finished: SiteSurface, liner: SiteSurface, dig: SiteSurface) -> tuple[Level, ...]:
    """Rows of a pool and its pits, from the rim inward: rim, seat and the floor of each tier that exists.

    The finished level of a seat is that of the liner, on which the edging stands.
    """
    rows = [Level(f"{pool}: rim", "rim", finished.rim_level, dig.rim_level)]
    seat, cut = _depth(liner.surface.pool.profile, SEAT), _depth(dig.surface.pool.profile, SEAT)
    if seat is not None:
        rows.append(Level(f"{pool}: seat", "seat", liner.level - seat, None if cut is None else dig.level - cut))
    for number, (top, hole) in enumerate(zip(finished.surface.parts, dig.surface.parts, strict=True)):
        where = f"{pool}: " + (f"pit {number} " if number else "")
        for tier in sorted({line.owner for line in top.profile.lines if line.owner >= 0}):
            high, low = _depth(top.profile, tier), _depth(hole.profile, tier)
            if high is not None and high <= top.reached + REACHED:
                level = dig.level - low if low is not None and low <= hole.reached + REACHED else None
                rows.append(Level(f"{where}tier {tier + 1} floor", "floor", finished.level - high, level))
    return tuple(rows)


def _depth(profile: Profile, owner: int) -> float | None:
    """Depth of a tier's shelf or, if it has none, of the foot of its face. None if it has no line."""
    levels = [line.level for line in profile.lines if line.owner == owner and line.level is not None]
    faces = [lower for _, lower, line in profile.faces if line.owner == owner]
    return levels[-1] if levels else faces[-1] if faces else None


def hole_level(name: str, wall: bool, underside: float, bottom: float) -> Level:
    """Row of the base of a body or wall and of the bottom of its excavation [m]."""
    return Level(f"{name}: {'footing' if wall else 'seat'}", "hole", underside, bottom)


def anchor_levels(
    lining: Lining | None, liners: LiningResult | None, pools: tuple[PoolResult, ...]
) -> tuple[Level, ...]:
    """Bottom of the liner's anchor trench beside each pool that has one; empty without a liner."""
    if lining is None or liners is None:
        return ()
    anchored = {name for under in liners.extras.anchored for name in under.names}
    return tuple(
        Level(f"{pool.name}: anchor trench", "trench", None, pool.surfaces.dig.rim_level - float(lining.trench_depth))
        for pool in pools
        if pool.name in anchored
    )


def crest_levels(links: tuple[Link, ...], pools: tuple[PoolResult, ...], thickness: float) -> tuple[Level, ...]:
    """Crests of the links between pools without problems, numbered by the pool they leave.

    The dig level lies below the crest stone, its bed and the liner with fabrics; None if their thickness is not
    entered.

    Args:
        links: Inputs of the links.
        pools: Those without problems.
        thickness: Thickness of underlay, liner and overlay [m].
    """
    waters = {pool.name: pool.surfaces.finished.level for pool in pools}
    crests, count = [], dict.fromkeys(waters, 0)
    for link in links:
        if link.from_ in waters:
            count[link.from_] += 1
        if link.from_ in waters and link.to in waters:
            level = waters[link.from_] if link.crest_level is None else float(link.crest_level)
            dig = None if link.crest_stone is None else level - float(link.crest_stone) - thickness
            crests.append(Level(f"{link.from_}: crest {count[link.from_]}", "crest", level, dig))
    return tuple(crests)


def passage_levels(
    tunnels: Tunnels | None,
    pipes: TunnelsResult | None,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    bedding: float,
) -> tuple[tuple[Level, ...], ...]:
    """Rows of dens and of pipe trenches; empty without passages, or if the ground has a problem.

    Args:
        tunnels, pipes: Inputs and result of the tunnels.
        pools: Those without problems.
        ground: Existing ground.
        bedding: Thickness of bedding under pipe and dens [m].
    """
    if pipes is None or ground is None:
        return ()
    digs = tuple(pool.surfaces.dig for pool in pools)
    return den_levels(pipes.dens, digs, ground, bedding), trench_levels(pipes, digs, ground, bedding)


@remembered
def trench_levels(
    pipes: TunnelsResult, digs: tuple[SiteSurface, ...], ground: Terrain, bedding: float
) -> tuple[Level, ...]:
    """Base of the pipe and bottom of its trench: at each penetration, and at each node except mouths, where it lies
    below ground and dig.

    At a node the lowest pipe counts.
    """
    unders: dict[int, float] = {}
    for run in pipes.alignment.runs:
        for end, place in zip(run.nodes, run.line, strict=True):
            under = place[2] - run.pipe.outside / 2
            unders[end] = min(unders.get(end, under), under)
    rows = [
        (f"{name}: trench", place, unders[index])
        for index, (name, kind, place) in enumerate(pipes.places)
        if kind != "mouth" and index in unders
    ]
    ends = [Level(row, "trench", under, under - bedding) for row, under in _at_liners(pipes)]
    return (*ends, *_under("trench", rows, digs, ground, bedding))


def _at_liners(pipes: TunnelsResult) -> Iterator[tuple[str, float]]:
    """(row, base level of the pipe [m]) at each penetration, named by the nearer mouth of its run or, without a mouth,
    the nearer node.
    """
    met: Counter[str] = Counter()
    for run in pipes.alignment.runs:
        ends = [(pipes.places[end], level) for end, level in zip(run.nodes, run.line, strict=True)]
        mouths = [end_level for end_level in ends if end_level[0][1] == "mouth"]
        for _, place in run.penetrations:
            (name, _, _), _ = min(mouths or ends, key=lambda end_level: math.dist(end_level[1], place))
            row = f"{name}: {AT_LINER}"
            met[row] += 1
            yield row + (f" {met[row]}" if met[row] > 1 else ""), place[2] - run.pipe.outside / 2


@remembered
def den_levels(
    dens: tuple[DenBox, ...], digs: tuple[SiteSurface, ...], ground: Terrain, bedding: float
) -> tuple[Level, ...]:
    """Base of each den's box and bottom of its pit, where that lies below ground and dig."""
    rows = [(f"{box.name}: pit", box.at_den, box.underside) for box in dens]
    return _under("hole", rows, digs, ground, bedding)


def _under(
    kind: str, rows: list[tuple[str, Spot, float]], digs: tuple[SiteSurface, ...], ground: Terrain, bedding: float
) -> tuple[Level, ...]:
    """Those rows (name, place, base level) that lie below ground and dig, each with its bedding."""
    if not rows:
        return ()
    spots = np.array([place[:2] for _, place, _ in rows])
    low = np.minimum.reduce(
        [ground.at(spots), *(dig.level - dig.surface.depth_at(dig.placed.to_own(spots)) for dig in digs)]
    )
    return tuple(
        Level(name, kind, under, under - bedding)
        for (name, _, under), open_to in zip(rows, low, strict=True)
        if under < open_to
    )


def row_names(
    pools: tuple[Pool, ...],
    links: tuple[Link, ...],
    stone: Stone | None,
    anchored: Collection[str],
    tunnels: Tunnels | None,
    structures: Structures,
) -> list[str]:
    """Names that rows can have, for choosing one before anything is computed.

    Args:
        pools, links, stone, tunnels: Inputs of those parts.
        anchored: Names of pools whose liner has an anchor trench.
        structures: Structures in the ground, before excavation.
    """
    seats = {row.pool for row in stone.edging if row.seat == "outside"} if stone else set()
    names = []
    for pool in pools:
        parts = [("", pool.tiers), *((f"pit {number} ", pit.tiers) for number, pit in enumerate(pool.pits, 1))]
        leaving = sum(link.from_ == pool.name for link in links)
        names += [f"{pool.name}: rim", *([f"{pool.name}: seat"] if pool.name in seats else [])]
        names += [f"{pool.name}: {part}tier {tier} floor" for part, tiers in parts for tier in range(1, len(tiers) + 1)]
        names += [f"{pool.name}: crest {number}" for number in range(1, leaving + 1)]
        names += [f"{pool.name}: anchor trench"] if pool.name in anchored else []
    names += [hole_level(structure.name, structure.wall, 0.0, 0.0).row for structure in structures.each]
    count: Counter[str] = Counter()
    for link in links:
        count[link.from_] += 1
        names += bed_rows(link.from_, count[link.from_], len(link.points))
    nodes = tunnels.nodes if tunnels else ()
    names += [f"{node.name}: pit" for node in nodes if node.kind == "chamber" and node.size]
    return [*names, *(_pipe_rows(tunnels) if tunnels else ())]


def _pipe_rows(tunnels: Tunnels) -> Iterator[str]:
    mouths = {node.name for node in tunnels.nodes if node.kind == "mouth"}
    # A penetration has the name of its run's mouth; only where a run has none, that of a node.
    inner_ends = {end for run in tunnels.runs if not {run.from_, run.to} & mouths for end in (run.from_, run.to)}
    yield from (f"{node.name}: {AT_LINER}" for node in tunnels.nodes if node.name in mouths | inner_ends)
    yield from (f"{node.name}: trench" for node in tunnels.nodes if node.name not in mouths)
