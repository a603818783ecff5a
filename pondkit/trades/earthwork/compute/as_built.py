"""As-built survey of the excavation: volumes, liner and all deviations from design, before the liner is cut."""

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, Range, entry, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem
from pondkit.core.sentence import Words
from pondkit.core.units import LENGTH
from pondkit.geometry.as_built import (
    Changed,
    Correction,
    Rings,
    Surroundings,
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
from pondkit.trades.earthwork.compute.levels import ONE_LEVEL, mean_within, surveyed, tape_problem, unread
from pondkit.trades.earthwork.inputs import Dig, Earth, Tape
from pondkit.trades.earthwork.results import AsBuilt, SurveyedLevel, SurveyedLevels, TapedLine
from pondkit.trades.liner.results import LinerResult, LiningResult
from pondkit.trades.pools.results import PoolResult

FAR_PAST = 0.1  # m beyond the liner's edge
HAIR = 1e-9  # m: a value at its tolerance is within it
BY_LEVELS = "how far the mean of the levels may be off: Student's distribution of the levels found, eight times in ten"


@dataclass(frozen=True, eq=False)
class PoolAsBuilt:
    """As-built data of one pool.

    Attributes:
        gross, wetted: Gross volume [m³] and wetted area [m²] by design.
        area, outline: Area of its surface [m²], and length of its outline [m].
        changed: Its deviation from design.
        within: Tolerance of the mean of its levels.
        count: Number of levels surveyed inside its waterline.
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
class LinerAsBuilt:
    """One liner on the as-built excavation; lengths in metres.

    Attributes:
        name: The liner.
        drawn, ordered, found: Net size by design, size ordered, and net size as built: length and width of each.
        pools: Indexes of the pools under it.
        as_drawn: Names of those without a surveyed level, taken as designed.
        off: Sum of the tolerances of their mean levels [m].
    """

    name: str
    drawn: tuple[float, float]
    ordered: tuple[float, float]
    found: tuple[float, float]
    pools: tuple[int, ...]
    as_drawn: tuple[str, ...]
    off: float


make_taped_line = remembered(TapedLine)


def compute(
    dig: Dig,
    pools: tuple[PoolResult, ...],
    names: tuple[str, ...],
    lined: LiningResult | None,
    edge: float,
    earth: Earth | None,
    ground: Terrain | None,
) -> AsBuilt | None:
    """As-built survey of the excavation; None if nothing was measured.

    Args:
        dig: Inputs of dig and survey.
        pools: Those without problems.
        names: Names of all pools.
        lined: The liners; None if the option has none.
        edge: Width of liner beyond the rim [m].
        earth: Inputs of the earthwork, for the banks outside the rims; None if the option has none.
        ground: Existing ground in site axes; None if it has a problem.
    """
    if not (dig.measured or dig.tapes):
        return None
    survey = surveyed(dig.measured, tuple((pool.name, pool.surfaces.dig) for pool in pools), names, dig.datum)
    corrections = {pool.name: survey.correction(pool.name) for pool in pools}
    within = {
        name: mean_within(survey, name, float(dig.floor_within))
        for name, correction in corrections.items()
        if correction is not None
    }
    tolerances = [within[pool.name].value if pool.name in within else 0.0 for pool in pools]
    holes = [
        _hole(pool, correction, survey, within[pool.name]) for pool in pools if (correction := corrections[pool.name])
    ]
    lines, problems = _tapes(
        dig.tapes, pools, tuple(corrections.values()), tolerances, (edge, _surroundings(earth, ground))
    )
    crossed = {index for line in lines for index in line.found.pools}
    liners = []
    for liner in lined.liners if lined else ():
        result = _liner(
            liner, {pool.name: index for index, pool in enumerate(pools)}, corrections, crossed, (edge, tolerances)
        )
        if result is not None:
            liners.append(result)
    return _as_built(dig, survey, holes, liners, lines, problems)


def _surroundings(earth: Earth | None, ground: Terrain | None) -> Surroundings | None:
    inputs = earth or Earth()
    return (
        None if ground is None else surroundings_of(ground, float(inputs.bank_crest or 0.0), float(inputs.bank_slope))
    )


def _hole(pool: PoolResult, correction: Correction, survey: SurveyedLevels, within: Entry) -> PoolAsBuilt:
    finished = pool.surfaces.finished
    return PoolAsBuilt(
        pool.name,
        pool.gross_volume.value,
        pool.wetted_area.value,
        pool.surface_area.value,
        pool.perimeter.value,
        changed(finished, correction, _rings(finished)),
        within,
        len(survey.inside(pool.name)),
    )


def _tapes(
    tapes: Sequence[Tape],
    pools: tuple[PoolResult, ...],
    corrections: tuple[Correction | None, ...],
    tolerances: Sequence[float],
    beyond: tuple[float, Surroundings | None],
) -> tuple[list[TapedLine], list[Problem]]:
    """(tape lines over the excavation, problems of the others); ``beyond``: the liner's edge and the banks outside the
    rims.
    """
    edge, surroundings = beyond
    digs, liners = (tuple(getattr(pool.surfaces, name) for pool in pools) for name in ("dig", "liner"))
    lines, problems = [], []
    for index, tape in enumerate(tapes):
        start, end = ((float(place[0]), float(place[1])) for place in (tape.start, tape.end))
        design = way_over(digs, start, end, (None,) * len(digs), surroundings) if start != end else None
        problem = tape_problem(index, tape, design)
        if problem is not None:
            problems.append(problem)
        if design is None or problem is not None:
            continue
        over = way_over(digs, start, end, corrections, surroundings)
        lies = way_over(liners, start, end, corrections)
        loose = 0.0 if tape.taped is not None else sum(tolerances[pool] for pool in over.pools)
        lines.append(make_taped_line(tape, design, over, lies, edge, loose))
    return lines, problems


def _liner(
    liner: LinerResult,
    numbers: Mapping[str, int],
    corrections: Mapping[str, Correction | None],
    crossed: Set[int],
    edges: tuple[float, Sequence[float]],
) -> LinerAsBuilt | None:
    """A liner on the as-built excavation; None if no level was surveyed under it and no tape line crosses it.

    Args:
        liner: The liner by design.
        numbers: Indexes of the pools by name.
        corrections: Correction of each pool, by name.
        crossed: Indexes of the pools crossed by tape lines.
        edges: Width of the liner's edge, and tolerance of each pool's mean level [m].
    """
    under, (edge, tolerances) = liner.footprint, edges
    if not any(corrections[name] is not None or numbers[name] in crossed for name in under.names):
        return None
    changes = tuple(corrections[name] for name in under.names)
    return LinerAsBuilt(
        liner.name,
        (under.along.length, under.across.length),
        (liner.liner_length_order.value, liner.liner_width_order.value),
        sheets_found(under.surfaces, under.turn_deg, edge, changes),
        tuple(numbers[name] for name in under.names),
        tuple(name for name in under.names if corrections[name] is None),
        sum(tolerances[numbers[name]] for name in under.names),
    )


def _as_built(
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
        liners: Liners over such a pool or a tape line.
        lines: Tape lines across the excavation.
        problems: Problems of the tape lines.
    """
    differs = [_level_differs(level, dig) for level in survey.levels]
    differs += [_tape_differs(line, float(line.tape.taped)) for line in lines if line.tape.taped is not None]
    longer = _longer_in(lines)
    sizes: tuple[list[Entry], list[Entry]] = ([], [])
    spare = []
    for liner in liners:
        more = max([0.0, *(longer.get(pool, 0.0) for pool in liner.pools)])
        for side, dimension in enumerate(("length", "width")):
            size = _size(liner, side, more)
            sizes[side].append(size)
            subject = f"{liner.name}, {dimension}"
            spread = Range(size.least, size.value, size.most, BY_LEVELS)
            differs.append(entry(rel.difference, subject, as_built=spread, design=liner.drawn[side]))
            left = entry(rel.liner_spare, subject, ordered=liner.ordered[side], as_built=size)
            spare.append(with_cautions(left, *_spare(left, liner.ordered[side] - liner.drawn[side])))
    return AsBuilt(
        liner_spare_as_dug=tuple(spare),
        dug_difference=tuple(sorted(differs, key=lambda figure: -abs(figure.value))),
        liner_length_as_dug=tuple(sizes[0]),
        liner_width_as_dug=tuple(sizes[1]),
        line_as_dug=tuple(_along(line) for line in lines),
        volume_as_dug=tuple(_volume(pool) for pool in pools),
        wetted_as_dug=tuple(_wetted(pool) for pool in pools),
        dug_mean_within=tuple(pool.within for pool in pools),
        levels=survey.levels,
        lines=tuple(lines),
        problems=(*survey.problems, *problems),
        to_fill=tuple(unread(dig)),
    )


def _level_differs(level: SurveyedLevel, dig: Dig) -> Entry:
    subject, measured_level = f"{level.measured.pool}, level {level.number}", level.level
    return entry(
        rel.difference, subject, source=USER, cautions=_deep(level, dig), as_built=measured_level, design=level.drawn
    )


def _tape_differs(line: TapedLine, taped: float) -> Entry:
    subject, design_length = f"{line.tape.name}, tape over the hole", line.drawn.length
    return entry(rel.difference, subject, source=USER, cautions=_outside_of(line), as_built=taped, design=design_length)


def _longer_in(lines: Sequence[TapedLine]) -> dict[int, float]:
    """By index of each taped pool, the greatest excess of a tape length over the length that its surveyed levels give
    [m].
    """
    longer: dict[int, float] = {}
    for line in lines:
        for pool in line.found.pools if line.tape.taped is not None else ():
            longer[pool] = max(longer.get(pool, 0.0), line.more)
    return longer


def _size(liner: LinerAsBuilt, side: int, more: float) -> Entry:
    """Length (side 0) or width (side 1) of a liner on the as-built excavation."""
    notes = [DUG_RIMS_AS_DRAWN(), *_longer(more)]
    if liner.as_drawn:
        notes.append(DUG_POOLS_AS_DRAWN(pools=", ".join(liner.as_drawn)))
    return entry(rel.liner_found, liner.name, cautions=notes, over=liner.found[side], longer=more, off=_off(liner.off))


def _along(line: TapedLine) -> Entry:
    """Length of liner required along a tape line."""
    more = max(line.more, 0.0)
    before, behind = line.liner.beyond
    return entry(
        rel.line_liner,
        line.tape.name,
        cautions=[*_longer(more), *_outside_of(line)],
        way=line.liner.length + more,
        before=before,
        behind=behind,
        edge=line.edge,
        off=_off(line.off),
    )


def _volume(pool: PoolAsBuilt) -> Entry:
    return entry(
        rel.volume_found,
        pool.name,
        cautions=_known(pool),
        design=pool.gross,
        more=pool.changed.volume,
        area=pool.area,
        off=_off(pool.within.value),
    )


def _wetted(pool: PoolAsBuilt) -> Entry:
    return entry(
        rel.wetted_found,
        pool.name,
        cautions=_known(pool),
        design=pool.wetted,
        more=pool.changed.wetted,
        outline=pool.outline,
        off=_off(pool.within.value),
    )


def _off(by: float) -> Range:
    return Range(-by, 0.0, by, BY_LEVELS)


def _deep(level: SurveyedLevel, dig: Dig) -> tuple[Caution, ...]:
    over, tolerance_field, by = level.over, "floors", float(dig.floor_within)
    direction = "deep" if over < 0 else "high"
    if level.water is not None:
        low = level.water - level.level
        if level.drawn >= level.water and low > 0:
            return DUG_RUNS_OUT.where(low, low, low, under=(low, LENGTH))
        tolerance_field, by = (
            ("rims", float(dig.rim_within)) if level.drawn >= level.water else ("seats", float(dig.seat_within))
        )
        direction = "low" if over < 0 else "high"
    do = "Fill and compact, or" if over < 0 else "Cut, or"
    return DUG_OUTSIDE_TOLERANCE.where(
        over,
        over,
        over,
        least=-by - HAIR,
        most=by + HAIR,
        off=(abs(over), LENGTH),
        way=direction,
        what=tolerance_field,
        by=(by, LENGTH),
        do=do,
    )


def _outside_of(line: TapedLine) -> list[Words]:
    """Remarks on a tape line: unsurveyed ground, a tape that ends far past the liner's edge."""
    notes: list[Words] = [DUG_TAPE_NOT_SURVEYED()] if line.found.unknown else []
    if line.tape.taped is not None:
        past = max(line.found.beyond) - line.edge
        notes += DUG_TAPE_PAST.where(past, past, past, most=FAR_PAST, past=(past, LENGTH))
    return notes


def _longer(more: float) -> tuple[Words, ...]:
    return DUG_TAPE_LONGER.where(more, more, more, most=ONE_LEVEL, longer=(more, LENGTH))


def _spare(over: Entry, net_size: float) -> list[Words]:
    notes: list[Words] = [*DUG_NOT_COVERED.where(over.least, over.value, over.most, short=(-over.least, LENGTH))]
    used = net_size - over.value
    if over.value >= 0:
        notes += DUG_INTO_SPARE.where(used, used, used, most=ONE_LEVEL, used=(used, LENGTH))
    return notes


def _known(pool: PoolAsBuilt) -> list[Words]:
    count = f"{pool.count} {'level' if pool.count == 1 else 'levels'}"
    notes: list[Words] = [DUG_FAR_FROM_LEVELS(far=(pool.changed.far, LENGTH))]
    return [*notes, *DUG_FEW_LEVELS.where(pool.count, pool.count, pool.count, count=count)]


def _rings(surface: SiteSurface) -> tuple[Rings, ...]:
    """Rings of the outlines of a pool and its pits, which depend on no depth."""
    outlines = surface.outlines()
    margins = (margin_round(surface.rim), *(0.0 for _ in surface.surface.pits))
    return tuple(rings_of(outlines, index, margin) for index, margin in enumerate(margins))
