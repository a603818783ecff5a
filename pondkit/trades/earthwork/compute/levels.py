"""Levels to dig by, row by row: of pools, structures, anchor trenches, passages, stream beds and crests; what the rod
is to read on each, and whether a reading calls for cut or fill.
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
from pondkit.trades.earthwork.inputs import Dig, Reading
from pondkit.trades.earthwork.results import (
    Level,
    LevelRows,
    Levels,
    StreamBeds,
    Structures,
    bed_rows,
)
from pondkit.trades.ground.inputs import SITE_RANGE
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.results import LiningResult
from pondkit.trades.pools.inputs import Link, Pool
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs import Stone
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.results import DenBox, TunnelsResult

SAME = 1e-3  # m: a height of instrument and a backsight that differ by no more agree
HAIR = 1e-9  # m: a value at its tolerance is within it
REACHED = 1e-6  # m: a tier this near to what its pool reaches is reached
AT_LINER = "trench at the liner"
TOLERANCE = "tolerance: user input, its default common practice, no source"
CAUTIONS = {
    ("crest", "dig"): CREST_ON_FIRM_GROUND,
    ("bed", "dig"): BED_DUG_LAST,
    ("trench", "dig"): SIDES_MAY_FALL,
    ("hole", "dig"): SIDES_MAY_FALL,
}  # by kind of level, and surface
Tolerances = tuple[float, float, float]  # of rims and crests; of seats, holes and trenches; of floors and beds [m]


def far_from_datum(path: Path, above: float, thing: str) -> Problem | None:
    """Problem of a level further from the site datum than a site may reach, such as one taken from another benchmark.

    Args:
        path: Path of the field.
        above: Height above the site datum [m].
        thing: Name of the thing at that level.
    """
    if abs(above) <= SITE_RANGE:
        return None
    return Problem(
        path,
        words(f"{thing} lies {{away}} {'above' if above > 0 else 'below'} the site datum", away=(abs(above), LENGTH)),
        words("within {most} of the site datum, from which pools count", most=(SITE_RANGE, LENGTH)),
        words("enter as the site datum of the dig the level that the site counts as 0, or correct this one"),
    )


def compute(dig: Dig, groups: Sequence[tuple[Level, ...]]) -> Levels:
    """Levels and rod readings of an option.

    Args:
        dig: Inputs of dig and survey.
        groups: Rows in digging order, see ``groups``.
    """
    height = height_of_instrument(dig)
    height_value = height.value if isinstance(height, Entry) else None
    tolerances = (float(dig.rim_within), float(dig.seat_within), float(dig.floor_within))
    rows = tuple(_level_rows(levels, tolerances, height_value) for levels in groups)
    return _with_readings(dig, height, rows, tolerances)


@remembered
def height_of_instrument(dig: Dig) -> Entry | Problem | None:
    """Height of instrument, as entered or by backsight, or its problem; None if neither is known."""
    if problem := _benchmark_problem(dig):
        return problem
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


def _benchmark_problem(dig: Dig) -> Problem | None:
    """Problem of a benchmark whose level does not fit the site datum entered beside it."""
    return far_from_datum(("dig", "benchmark"), dig.benchmark - dig.datum, "the benchmark")


@remembered
def _level_rows(levels: tuple[Level, ...], tolerances: Tolerances, height: float | None) -> LevelRows:
    """Levels with their tolerances, and rod readings if the height of instrument is known.

    Args:
        levels: Levels in digging order.
        tolerances: See ``Tolerances``.
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
                tolerance = _tolerance(level.kind, tolerances)
                spread = Range(value - tolerance, value, value + tolerance, TOLERANCE)
                by_surface[surface].append(entry(rel.design_level, level.row, cautions=notes, level=spread))
                if height is not None:
                    rods[surface].append(
                        entry(rel.rod_reading, level.row, cautions=notes, height_of_instrument=height, level=spread)
                    )
    return LevelRows(
        levels, tuple(by_surface["finished"]), tuple(by_surface["dig"]), tuple(rods["dig"]), tuple(rods["finished"])
    )


def _tolerance(kind: str, tolerances: Tolerances) -> float:
    """Tolerance of a kind of level [m], see ``Tolerances``."""
    return tolerances[{"rim": 0, "crest": 0, "seat": 1, "hole": 1, "trench": 1}.get(kind, 2)]


@remembered
def _with_readings(
    dig: Dig, height: Entry | Problem | None, groups: tuple[LevelRows, ...], tolerances: Tolerances
) -> Levels:
    """Levels with the rod readings taken on them.

    Args:
        dig: Inputs of dig and survey.
        height: Height of instrument, its problem, or None if unknown.
        groups: Levels in digging order.
        tolerances: See ``Tolerances``.
    """
    problems = [height] if isinstance(height, Problem) else []
    height_entry = height if isinstance(height, Entry) else None
    levels = {level.row: level for group in groups for level in group.levels}
    cuts: list[Entry] = []
    tolerances_read: list[float] = []
    to_fill: list[ToFill] = []
    for index, reading in enumerate(dig.readings):
        path: Path = ("dig", "readings", index)
        level = levels.get(reading.row)
        design = getattr(level, reading.surface) if level else None
        if level is None:
            problems.append(no_such((*path, "row"), "level to dig by", reading.row, levels))
        elif design is None:
            problems.append(_no_surface((*path, "surface"), reading, level))
        elif height_entry is None or reading.rod is None:
            to_fill += [_no_rod(path, reading)] if reading.rod is None else []
            to_fill += [NO_HEIGHT] if height_entry is None and NO_HEIGHT not in to_fill else []
        else:
            tolerance = _tolerance(level.kind, tolerances)
            cuts.append(_cut_remaining(index, reading, height_entry.value, design, tolerance))
            tolerances_read.append(tolerance)
    return Levels(height_entry, tuple(cuts), groups, tuple(tolerances_read), tuple(problems), tuple(to_fill))


def _cut_remaining(index: int, reading: Reading, height: float, design: float, tolerance: float) -> Entry:
    """Cut remaining where the rod was read: height of instrument, design level and its tolerance [m]."""
    subject = f"{reading.row}, {reading.surface}, reading {index + 1}"
    assert reading.rod is not None
    difference = float(rel.cut_to_level(height, reading.rod, design))
    do = "Cut {off} more" if difference > 0 else "Fill {off}, compacted"
    cautions = CUT_OR_FILL.where(
        difference,
        difference,
        difference,
        least=-tolerance - HAIR,
        most=tolerance + HAIR,
        do=do,
        off=(abs(difference), LENGTH),
        by=(tolerance, LENGTH),
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


def groups(
    pools: tuple[PoolResult, ...],
    structures: Structures,
    anchors: tuple[Level, ...],
    passages: tuple[tuple[Level, ...], ...],
    beds: StreamBeds,
    crests: tuple[Level, ...],
) -> tuple[tuple[Level, ...], ...]:
    """All levels in digging order, in groups: each pool from the highest rim down, then holes of bodies and walls,
    anchor trenches, dens, trenches of pipe, stream beds, crests.

    Args:
        pools: Those without problems.
        structures, beds: Structures in the ground, and stream beds.
        anchors, passages, crests: Levels of anchor trenches, of dens and trenches of pipe, and of crests.
    """
    highest_first = sorted(pools, key=lambda pool: -pool.surfaces.finished.rim_level)
    return (
        *(
            pool_levels(pool.name, surfaces.finished, surfaces.liner, surfaces.dig)
            for pool in highest_first
            for surfaces in [pool.surfaces]
        ),
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
    """Levels of a pool and its pits, from the rim inward: rim, seat of the edging, and floor of each tier that is
    reached.

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
    """Level of the base of a body or wall, and of the bottom of its excavation [m]."""
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
    """Levels of dens, and of pipe trenches; empty without passages, or if the ground has a problem.

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
    """Underside of the pipe and bottom of its trench: at each penetration, and at each node except mouths, where it
    lies below ground and dig. At a node the lowest pipe counts.
    """
    undersides: dict[int, float] = {}
    for run in pipes.alignment.runs:
        for end, place in zip(run.nodes, run.line, strict=True):
            underside = place[2] - run.pipe.outside / 2
            undersides[end] = min(undersides.get(end, underside), underside)
    rows = [
        (f"{name}: trench", place, undersides[index])
        for index, (name, kind, place) in enumerate(pipes.places)
        if kind != "mouth" and index in undersides
    ]
    ends = [Level(row, "trench", underside, underside - bedding) for row, underside in _at_liners(pipes)]
    return (*ends, *_below_ground("trench", rows, digs, ground, bedding))


def _at_liners(pipes: TunnelsResult) -> Iterator[tuple[str, float]]:
    """(row, level of the pipe's underside [m]) at each penetration, named by the nearer mouth of its run or, without a
    mouth, the nearer node.
    """
    passed: Counter[str] = Counter()
    for run in pipes.alignment.runs:
        ends = [(pipes.places[end], level) for end, level in zip(run.nodes, run.line, strict=True)]
        mouths = [end_level for end_level in ends if end_level[0][1] == "mouth"]
        for _, place in run.penetrations:
            (name, _, _), _ = min(mouths or ends, key=lambda end_level: math.dist(end_level[1], place))
            row = f"{name}: {AT_LINER}"
            passed[row] += 1
            yield row + (f" {passed[row]}" if passed[row] > 1 else ""), place[2] - run.pipe.outside / 2


@remembered
def den_levels(
    dens: tuple[DenBox, ...], digs: tuple[SiteSurface, ...], ground: Terrain, bedding: float
) -> tuple[Level, ...]:
    """Underside of each den's box and bottom of its pit, where that lies below ground and dig."""
    rows = [(f"{box.name}: pit", box.at_den, box.underside) for box in dens]
    return _below_ground("hole", rows, digs, ground, bedding)


def _below_ground(
    kind: str, rows: list[tuple[str, Spot, float]], digs: tuple[SiteSurface, ...], ground: Terrain, bedding: float
) -> tuple[Level, ...]:
    """Levels of those rows (name, place, base level [m]) whose base lies below ground and pools' digs, with the bottom
    of their bedding as dig.
    """
    if not rows:
        return ()
    spots = np.array([place[:2] for _, place, _ in rows])
    surface_levels = np.minimum.reduce(
        [ground.at(spots), *(dig.level - dig.surface.depth_at(dig.placed.to_own(spots)) for dig in digs)]
    )
    return tuple(
        Level(name, kind, base, base - bedding)
        for (name, _, base), surface_level in zip(rows, surface_levels, strict=True)
        if base < surface_level
    )


def row_names(
    pools: tuple[Pool, ...],
    links: tuple[Link, ...],
    stone: Stone | None,
    anchored: Collection[str],
    tunnels: Tunnels | None,
    structures: Structures,
) -> list[str]:
    """Rows that the levels can have, to choose one from before anything is worked out.

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
    """Rows that trenches of pipe can have."""
    mouths = {node.name for node in tunnels.nodes if node.kind == "mouth"}
    # A penetration has the name of its run's mouth; only where a run has none, that of a node.
    inner_ends = {end for run in tunnels.runs if not {run.from_, run.to} & mouths for end in (run.from_, run.to)}
    yield from (f"{node.name}: {AT_LINER}" for node in tunnels.nodes if node.name in mouths | inner_ends)
    yield from (f"{node.name}: trench" for node in tunnels.nodes if node.name not in mouths)
