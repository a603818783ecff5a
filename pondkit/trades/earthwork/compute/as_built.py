"""As-built survey of the dig, before the liner is cut: the levels and tapes measured in it, how far they are off the
drawing, and the volumes and liner that follow.
"""

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, Range, entry, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, ToFill, no_such
from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH
from pondkit.geometry.as_built import (
    Changed,
    Correction,
    Rings,
    Surroundings,
    Way,
    changed,
    margin_round,
    rings_of,
    surroundings_of,
    way_over,
)
from pondkit.geometry.sheet import sheets_found
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import Terrain
from pondkit.trades.earthwork import formulas as rel
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
from pondkit.trades.earthwork.compute.levels import far_from_datum
from pondkit.trades.earthwork.inputs import Dig, Earth, Measured, Tape
from pondkit.trades.earthwork.results import AsBuilt, SurveyedLevel, SurveyedLevels, TapedLine
from pondkit.trades.liner.results import LinerResult, LiningResult
from pondkit.trades.pools.results import PoolResult

SAME_PLACE, SAME_LEVEL = 0.01, 1e-3  # m: places and levels nearer than this are the same
OVER_RIM = 0.3  # m: a level higher than this above its pool's rim is not in the dig
PAST_EDGE = 0.1  # m: a tape that ends further outside the liner's edge measures ground that no liner covers
HAIR = 1e-9  # m: a value at its tolerance is within it
BY_LEVELS = (
    "how far the mean of the levels may be off: Student's distribution of the levels measured, eight times in ten"
)


@dataclass(frozen=True, eq=False)
class PoolAsBuilt:
    """One pool with levels surveyed inside its waterline.

    Attributes:
        name: Its name.
        gross_volume, wetted_area: By design [m³, m²].
        surface_area, outline_length: Of its waterline [m², m].
        changed: What the survey changes of volume and wetted area.
        mean_within: Tolerance of the mean of its levels.
        count: Number of levels surveyed inside its waterline.
    """

    name: str
    gross_volume: float
    wetted_area: float
    surface_area: float
    outline_length: float
    changed: Changed
    mean_within: Entry
    count: int


@dataclass(frozen=True, eq=False)
class LinerAsBuilt:
    """One liner over the dig as built; each size is (length, width) [m].

    Attributes:
        name: Its name.
        design, ordered, as_built: Net size by the drawing, size ordered, and net size over the dig as built.
        pools: Indexes of the pools under it.
        not_surveyed: Names of those without a surveyed level, which are taken as drawn.
        mean_error: Sum of the tolerances of the pools' mean levels [m].
    """

    name: str
    design: tuple[float, float]
    ordered: tuple[float, float]
    as_built: tuple[float, float]
    pools: tuple[int, ...]
    not_surveyed: tuple[str, ...]
    mean_error: float


make_taped_line = remembered(TapedLine)


def compute(
    dig: Dig,
    pools: tuple[PoolResult, ...],
    names: tuple[str, ...],
    lining: LiningResult | None,
    edge: float,
    earth: Earth | None,
    ground: Terrain | None,
) -> AsBuilt | None:
    """As-built survey of the dig; None if no level or tape line is entered.

    Args:
        dig: Inputs of dig and survey.
        pools: Those without problems.
        names: Names of all pools.
        lining: The liners; None if the option has none.
        edge: Width of liner beyond the rim [m].
        earth: Inputs of the earthwork, for the banks outside the rims; None if the option has none.
        ground: Existing ground in site axes; None if it has a problem.
    """
    if not (dig.measured or dig.tapes):
        return None
    survey = surveyed_levels(dig.measured, tuple((pool.name, pool.surfaces.dig) for pool in pools), names, dig.datum)
    corrections = {pool.name: survey.correction(pool.name) for pool in pools}
    means = {
        name: _mean_within(survey, name, float(dig.floor_within))
        for name, correction in corrections.items()
        if correction is not None
    }
    mean_errors = [means[pool.name].value if pool.name in means else 0.0 for pool in pools]
    pools_built = [
        _pool_as_built(pool, correction, survey, means[pool.name])
        for pool in pools
        if (correction := corrections[pool.name])
    ]
    surroundings = _surroundings(earth, ground)
    lines, problems = _taped_lines(dig.tapes, pools, tuple(corrections.values()), mean_errors, edge, surroundings)
    crossed = {index for line in lines for index in line.as_built.pools}
    indexes = {pool.name: index for index, pool in enumerate(pools)}
    liners = []
    for liner in lining.liners if lining else ():
        result = _liner_as_built(liner, indexes, corrections, crossed, edge, mean_errors)
        if result is not None:
            liners.append(result)
    return _figures(dig, survey, pools_built, liners, lines, problems)


def _surroundings(earth: Earth | None, ground: Terrain | None) -> Surroundings | None:
    """Ground and banks outside the rims, which a tape runs over; None if the ground has a problem."""
    inputs = earth or Earth()
    return (
        None if ground is None else surroundings_of(ground, float(inputs.bank_crest or 0.0), float(inputs.bank_slope))
    )


def _pool_as_built(pool: PoolResult, correction: Correction, survey: SurveyedLevels, mean_within: Entry) -> PoolAsBuilt:
    finished = pool.surfaces.finished
    return PoolAsBuilt(
        pool.name,
        pool.gross_volume.value,
        pool.wetted_area.value,
        pool.surface_area.value,
        pool.perimeter.value,
        changed(finished, correction, _rings(finished)),
        mean_within,
        len(survey.inside(pool.name)),
    )


def _taped_lines(
    tapes: Sequence[Tape],
    pools: tuple[PoolResult, ...],
    corrections: tuple[Correction | None, ...],
    mean_errors: Sequence[float],
    edge: float,
    surroundings: Surroundings | None,
) -> tuple[list[TapedLine], list[Problem]]:
    """(tape lines over the dig, problems of the others).

    Args:
        tapes: Inputs of the tape lines.
        pools: Those without problems.
        corrections, mean_errors: Correction of each, None without a survey, and tolerance of its mean level [m].
        edge: Width of liner beyond the rim [m].
        surroundings: Ground and banks outside the rims; None if the ground has a problem.
    """
    digs, liners = (tuple(getattr(pool.surfaces, name) for pool in pools) for name in ("dig", "liner"))
    lines, problems = [], []
    for index, tape in enumerate(tapes):
        start, end = ((float(place[0]), float(place[1])) for place in (tape.start, tape.end))
        design = way_over(digs, start, end, (None,) * len(digs), surroundings) if start != end else None
        problem = _tape_problem(index, tape, design)
        if problem is not None:
            problems.append(problem)
        if design is None or problem is not None:
            continue
        as_built = way_over(digs, start, end, corrections, surroundings)
        over_liner = way_over(liners, start, end, corrections)
        mean_error = 0.0 if tape.taped is not None else sum(mean_errors[pool] for pool in as_built.pools)
        lines.append(make_taped_line(tape, design, as_built, over_liner, edge, mean_error))
    return lines, problems


def _liner_as_built(
    liner: LinerResult,
    indexes: Mapping[str, int],
    corrections: Mapping[str, Correction | None],
    crossed: Set[int],
    edge: float,
    mean_errors: Sequence[float],
) -> LinerAsBuilt | None:
    """A liner over the dig as built; None if no level was surveyed under it and no tape line crosses it.

    Args:
        liner: The liner by design.
        indexes: Index of each pool, by name.
        corrections: Correction of each pool, by name.
        crossed: Indexes of the pools crossed by tape lines.
        edge: Width of liner beyond the rim [m].
        mean_errors: Tolerance of each pool's mean level, by index [m].
    """
    under = liner.footprint
    if not any(corrections[name] is not None or indexes[name] in crossed for name in under.names):
        return None
    changes = tuple(corrections[name] for name in under.names)
    return LinerAsBuilt(
        liner.name,
        (under.along.length, under.across.length),
        (liner.liner_length_order.value, liner.liner_width_order.value),
        sheets_found(under.surfaces, under.turn_deg, edge, changes),
        tuple(indexes[name] for name in under.names),
        tuple(name for name in under.names if corrections[name] is None),
        sum(mean_errors[indexes[name]] for name in under.names),
    )


def _figures(
    dig: Dig,
    survey: SurveyedLevels,
    pools: Sequence[PoolAsBuilt],
    liners: Sequence[LinerAsBuilt],
    lines: Sequence[TapedLine],
    problems: Sequence[Problem],
) -> AsBuilt:
    """Figures of the as-built survey.

    Args:
        dig: Inputs of dig and survey.
        survey: Levels surveyed.
        pools: Pools with surveyed levels.
        liners: Liners over such a pool, or crossed by a tape line.
        lines: Tape lines over the dig.
        problems: Problems of the tape lines.
    """
    deviations = [_level_deviation(level, dig) for level in survey.levels]
    deviations += [_tape_deviation(line, float(line.tape.taped)) for line in lines if line.tape.taped is not None]
    excess_by_pool = _tape_excess(lines)
    sizes: tuple[list[Entry], list[Entry]] = ([], [])
    spares = []
    for liner in liners:
        excess = max([0.0, *(excess_by_pool.get(pool, 0.0) for pool in liner.pools)])
        for side, dimension in enumerate(("length", "width")):
            size = _liner_size(liner, side, excess)
            sizes[side].append(size)
            subject = f"{liner.name}, {dimension}"
            as_built = Range(size.least, size.value, size.most, BY_LEVELS)
            deviations.append(entry(rel.dug_difference, subject, as_built=as_built, design=liner.design[side]))
            spare = entry(rel.liner_spare_as_dug, subject, ordered=liner.ordered[side], as_built=size)
            spares.append(with_cautions(spare, *_spare_cautions(spare, liner.ordered[side] - liner.design[side])))
    return AsBuilt(
        liner_spare_as_dug=tuple(spares),
        dug_difference=tuple(sorted(deviations, key=lambda figure: -abs(figure.value))),
        liner_length_as_dug=tuple(sizes[0]),
        liner_width_as_dug=tuple(sizes[1]),
        line_as_dug=tuple(_liner_along(line) for line in lines),
        volume_as_dug=tuple(_volume(pool) for pool in pools),
        wetted_as_dug=tuple(_wetted_area(pool) for pool in pools),
        dug_mean_within=tuple(pool.mean_within for pool in pools),
        levels=survey.levels,
        lines=tuple(lines),
        problems=(*survey.problems, *problems),
        to_fill=tuple(_still_to_read(dig)),
    )


def _level_deviation(level: SurveyedLevel, dig: Dig) -> Entry:
    return entry(
        rel.dug_difference,
        f"{level.measured.pool}, level {level.number}",
        source=USER,
        cautions=_level_cautions(level, dig),
        as_built=level.level,
        design=level.design,
    )


def _tape_deviation(line: TapedLine, taped: float) -> Entry:
    return entry(
        rel.dug_difference,
        f"{line.tape.name}, tape over the hole",
        source=USER,
        cautions=_tape_cautions(line),
        as_built=taped,
        design=line.design.length,
    )


def _tape_excess(lines: Sequence[TapedLine]) -> dict[int, float]:
    """By index of each taped pool: the most by which a tape is longer than the surveyed levels give [m]."""
    excess: dict[int, float] = {}
    for line in lines:
        for pool in line.as_built.pools if line.tape.taped is not None else ():
            excess[pool] = max(excess.get(pool, 0.0), line.tape_excess)
    return excess


def _liner_size(liner: LinerAsBuilt, side: int, excess: float) -> Entry:
    """Length (side 0) or width (side 1) of a liner over the dig as built. ``excess``: of the longest tape [m]."""
    notes = [DUG_RIMS_AS_DRAWN(), *_longer_tape(excess)]
    if liner.not_surveyed:
        notes.append(DUG_POOLS_AS_DRAWN(pools=", ".join(liner.not_surveyed)))
    return entry(
        rel.liner_as_dug,
        liner.name,
        cautions=notes,
        by_levels=liner.as_built[side],
        tape_excess=excess,
        mean_level_error=_plus_minus(liner.mean_error),
    )


def _liner_along(line: TapedLine) -> Entry:
    """Length of liner required along a tape line."""
    excess = max(line.tape_excess, 0.0)
    before_rim, past_rim = line.over_liner.beyond
    return entry(
        rel.line_as_dug,
        line.tape.name,
        cautions=[*_longer_tape(excess), *_tape_cautions(line)],
        end_to_end=line.over_liner.length + excess,
        before_rim=before_rim,
        past_rim=past_rim,
        edge=line.edge,
        mean_level_error=_plus_minus(line.mean_error),
    )


def _volume(pool: PoolAsBuilt) -> Entry:
    return entry(
        rel.volume_as_dug,
        pool.name,
        cautions=_survey_cautions(pool),
        design=pool.gross_volume,
        change=pool.changed.volume,
        surface_area=pool.surface_area,
        mean_level_error=_plus_minus(pool.mean_within.value),
    )


def _wetted_area(pool: PoolAsBuilt) -> Entry:
    return entry(
        rel.wetted_as_dug,
        pool.name,
        cautions=_survey_cautions(pool),
        design=pool.wetted_area,
        change=pool.changed.wetted,
        outline=pool.outline_length,
        mean_level_error=_plus_minus(pool.mean_within.value),
    )


def _plus_minus(tolerance: float) -> Range:
    """How far a mean level may be off, either way."""
    return Range(-tolerance, 0.0, tolerance, BY_LEVELS)


def _level_cautions(level: SurveyedLevel, dig: Dig) -> tuple[Caution, ...]:
    """Cautions for one surveyed level: it lets the water out, or is outside its tolerance."""
    over, surface, tolerance = level.over, "floors", float(dig.floor_within)
    way = "deep" if over < 0 else "high"
    if level.water is not None:
        under = level.water - level.level
        holds_water = level.design >= level.water
        if holds_water and under > 0:
            return DUG_RUNS_OUT.where(under, under, under, under=(under, LENGTH))
        surface, tolerance = ("rims", float(dig.rim_within)) if holds_water else ("seats", float(dig.seat_within))
        way = "low" if over < 0 else "high"
    return DUG_OUTSIDE_TOLERANCE.where(
        over,
        over,
        over,
        least=-tolerance - HAIR,
        most=tolerance + HAIR,
        off=(abs(over), LENGTH),
        way=way,
        what=surface,
        by=(tolerance, LENGTH),
        do="Fill and compact, or" if over < 0 else "Cut, or",
    )


def _tape_cautions(line: TapedLine) -> list[Words]:
    """Remarks on a tape line: unsurveyed ground, an end far outside the liner's edge."""
    notes: list[Words] = [DUG_TAPE_NOT_SURVEYED()] if line.as_built.unknown else []
    if line.tape.taped is not None:
        past = max(line.as_built.beyond) - line.edge
        notes += DUG_TAPE_PAST.where(past, past, past, most=PAST_EDGE, past=(past, LENGTH))
    return notes


def _longer_tape(excess: float) -> tuple[Words, ...]:
    """Caution for a tape that is longer than the levels measured say, by ``excess`` [m]."""
    return DUG_TAPE_LONGER.where(excess, excess, excess, most=SAME_LEVEL, longer=(excess, LENGTH))


def _spare_cautions(spare: Entry, by_design: float) -> list[Words]:
    """Remarks on the liner to spare. ``by_design``: what is ordered beyond the need of the drawing [m]."""
    notes: list[Words] = [*DUG_NOT_COVERED.where(spare.least, spare.value, spare.most, short=(-spare.least, LENGTH))]
    used = by_design - spare.value
    if spare.value >= 0:
        notes += DUG_INTO_SPARE.where(used, used, used, most=SAME_LEVEL, used=(used, LENGTH))
    return notes


def _survey_cautions(pool: PoolAsBuilt) -> list[Words]:
    """Remarks on how well a pool is surveyed."""
    count = f"{pool.count} {'level' if pool.count == 1 else 'levels'}"
    notes: list[Words] = [DUG_FAR_FROM_LEVELS(far=(pool.changed.far, LENGTH))]
    return [*notes, *DUG_FEW_LEVELS.where(pool.count, pool.count, pool.count, count=count)]


def _rings(surface: SiteSurface) -> tuple[Rings, ...]:
    """Rings of the outlines of a pool and its pits, which depend on no depth."""
    outlines = surface.outlines()
    margins = (margin_round(surface.rim), *(0.0 for _ in surface.surface.pits))
    return tuple(rings_of(outlines, index, margin) for index, margin in enumerate(margins))


def _mean_within(survey: SurveyedLevels, pool: str, tolerance: float) -> Entry:
    """Tolerance of the mean of a pool's levels, from those surveyed inside its waterline (at least one).

    Args:
        survey: Usable levels.
        pool: Its name.
        tolerance: Tolerance of floors, up and down [m].
    """
    differences = [level.over for level in survey.inside(pool)]
    return entry(rel.dug_mean_within, pool, source=USER, differences=differences, tolerance=tolerance)


@remembered
def surveyed_levels(
    measured: tuple[Measured, ...], digs: tuple[tuple[str, SiteSurface], ...], pools: tuple[str, ...], datum: float
) -> SurveyedLevels:
    """Usable levels measured in the dig, each with its design level, and problems of the others.

    Args:
        measured: Inputs of the levels.
        digs: (name, dig surface) of every pool without problems.
        pools: Names of all pools.
        datum: Level of the site datum in the datum of the readings [m].
    """
    surfaces = dict(digs)
    depths = _inward_and_depth(measured, surfaces)
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
        inward, depth = depths[index]
        outside_rim = -inward - dig.rim
        twin = next(
            (s for s in levels if s.measured.pool == place.pool and _apart(s.measured, place) < SAME_PLACE), None
        )
        if outside_rim > SAME_PLACE:
            problems.append(_outside(path, place, outside_rim))
        elif far := far_from_datum((*path, "level"), level, "the level measured"):
            problems.append(far)
        elif level > dig.rim_level + OVER_RIM:
            problems.append(_over_rim(path, place, level - dig.rim_level))
        elif twin is not None:
            if abs(twin.level - level) > SAME_LEVEL:
                problems.append(_twice(path, place, twin))
        else:
            water = dig.level if inward < -SAME_PLACE else None
            levels.append(SurveyedLevel(index + 1, place, level, dig.level - depth, water))
    return SurveyedLevels(tuple(levels), tuple(problems))


def _inward_and_depth(
    measured: tuple[Measured, ...], surfaces: dict[str, SiteSurface]
) -> dict[int, tuple[float, float]]:
    """By index of the level: (distance inward from its pool's outline, design depth of the dig there) [m]."""
    depths: dict[int, tuple[float, float]] = {}
    for name, dig in surfaces.items():
        indexes = [index for index, place in enumerate(measured) if place.pool == name]
        places = dig.placed.to_own(np.array([measured[index].at for index in indexes], dtype=float).reshape(-1, 2))
        if indexes:
            inward, depth = dig.surface.pool.shape.inward(places), dig.surface.depth_at(places)
            depths |= dict(zip(indexes, zip(inward.tolist(), depth.tolist(), strict=True), strict=True))
    return depths


def _apart(first: Measured, second: Measured) -> float:
    return float(np.hypot(first.at[0] - second.at[0], first.at[1] - second.at[1]))


def _outside(path: Path, place: Measured, by: float) -> Problem:
    return Problem(
        (*path, "at"),
        words(f"it lies {{by}} outside the rim of '{place.pool}'", by=(by, LENGTH)),
        words("a place inside the rim of its pool"),
        words("correct the place, or choose the pool that it belongs to"),
    )


def _over_rim(path: Path, place: Measured, over: float) -> Problem:
    return Problem(
        (*path, "level"),
        words(f"it stands {{over}} over the rim of '{place.pool}'", over=(over, LENGTH)),
        words("a level inside the hole; one below the site datum is a smaller number than the datum"),
        words("check its sign and the site datum of the dig, or choose the pool that it belongs to"),
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


def _tape_problem(index: int, tape: Tape, way: Way | None) -> Problem | None:
    """Problem of a tape line, or None; ``way`` is None if its ends coincide."""
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
    if tape.taped is not None and tape.taped < straight - SAME_PLACE:
        return Problem(
            (*path, "taped"),
            words(f"'{tape.name}' has {{taped}} of tape over the hole", taped=(tape.taped, LENGTH)),
            words("no less than {straight}, the level distance from its start to its end", straight=(straight, LENGTH)),
            words("tape it again, lying on the dig from end to end, or correct its start and end"),
        )
    return None


def _still_to_read(dig: Dig) -> Iterator[ToFill]:
    """Levels and tape lengths still to be read on site."""
    for index, place in enumerate(dig.measured):
        if place.level is None:
            path: Path = ("dig", "measured", index, "level")
            missing = words("the level of the dig at this place, as read on site")
            yield ToFill(path, missing, words(f"how far the hole of '{place.pool}' is off the drawing there"))
    for index, tape in enumerate(dig.tapes):
        if tape.taped is None:
            path = ("dig", "tapes", index, "taped")
            missing = words("the length of the tape over the hole, as read on site")
            yield ToFill(path, missing, words(f"how far line '{tape.name}' is off the drawing"))
