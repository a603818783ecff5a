"""Excavation besides the pools: trenches of pipe, pits of dens, excavations for structures in the ground (bodies of the
water side, walls) and stream beds; their bedding and backfill.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pondkit.core.caution import CHECK, Caution
from pondkit.core.entry import USER, Entry, entry, limit, total, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Trouble
from pondkit.core.sentence import Words, words
from pondkit.core.units import BULK, LENGTH, RATIO
from pondkit.geometry.hole import Hole, box_at, reach_of, strip_beside
from pondkit.geometry.terrain import FAR_BANK, Terrain, TooSteep
from pondkit.geometry.trench import CutMeasure, Ditch, DugFrom, Sampled, TrenchCut, Trenches, lowest, take_out, tops
from pondkit.trades.earthwork import formulas as rel
from pondkit.trades.earthwork.cautions import (
    BED_BANK_HIGH,
    BED_IN_GROUNDWATER,
    COMES_LOOSE,
    EXCAVATION_NOT_SURVEYED,
    HOLE_IN_GROUNDWATER,
    HOLE_IN_POOL_DIG,
    SERVICES_BEFORE_DIG,
    TRENCH_ENGINEERED,
    TRENCH_IN_GROUNDWATER,
    TRENCH_PROTECTION,
    TRENCH_WAY_OUT,
    UPRIGHT_SIDES,
)
from pondkit.trades.earthwork.compute.stream_beds import banks
from pondkit.trades.earthwork.results import (
    ExcavationResult,
    PipeTrenches,
    StreamBed,
    StreamBeds,
    Structure,
    Structures,
)
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.results import Alignment, DenBox, TunnelsResult
from pondkit.trades.walls.inputs import Wall, Walls
from pondkit.trades.water.inputs.water import Water, bodies_of

VERTICAL = 0.01  # m: a run with a shorter level length goes straight up and down, and has no trench
LEAST_VOLUME = 1e-9  # m³: less than this is rounding
HAIR = 1e-6  # m: a depth this near to a limit is at the limit


@dataclass(frozen=True)
class _Samples:
    """All excavations besides the pools in small parts, and the fills under stream beds. Each part comes with the level
    that it is dug from, ground or a pool's dig.

    Attributes:
        cuts: Trenches of pipe, pits of dens, excavations for structures, stream beds, in this order.
        bottoms, bodies: Bottom of the excavation and plan of the body of each structure, with upright sides.
        fills: Fills under stream beds; None if there are none.
    """

    cuts: tuple[tuple[Sampled, DugFrom], ...]
    bottoms: tuple[tuple[Sampled, DugFrom], ...]
    bodies: tuple[tuple[Sampled, DugFrom], ...]
    fills: Trenches | None


def needs_excavation(pipes: PipeTrenches | None, structures: Structures, beds: StreamBeds) -> bool:
    """Whether anything is dug besides the pools."""
    return pipes is not None or bool(structures.each) or bool(structures.problems) or beds.any_link


def compute(
    pipes: PipeTrenches | None,
    structures: Structures,
    beds: StreamBeds,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    groundwater: float | None,
    complete: bool,
) -> ExcavationResult | None:
    """Excavation besides the pools; None if there is none, or if the ground is not known.

    Args:
        pipes: Trenches of pipe and pits of dens; None if no room beside the pipe is entered.
        structures: Structures in the ground.
        beds: Stream beds.
        pools: Those without problems.
        ground: Existing ground in site axes; None if it has a problem.
        groundwater: Highest known groundwater level [m]; None if unknown.
        complete: False if a pool has a problem; then there are no totals.
    """
    if ground is None or not needs_excavation(pipes, structures, beds):
        return None
    trenches = pipes or _NO_PIPES
    has_total = complete and not structures.problems and beds.whole and trenches.whole
    digs = [
        (pool.surfaces.dig, max(pool.ground.reach if pool.ground else 0.0, pool.surfaces.dig.rim)) for pool in pools
    ]
    every: list[TrenchCut | Hole | Ditch] = [
        *trenches.cuts,
        *(structure.hole for structure in structures.each),
        *(bed.cut for bed in beds.each),
    ]
    samples = _Samples(
        tops(every, digs, ground),
        tops([replace(structure.hole, batter=0.0, reach=0.0) for structure in structures.each], digs, ground),
        tops([structure.body for structure in structures.each], digs, ground),
        banks(beds, ground) if beds.each else None,
    )
    names = tuple(pool.name for pool in pools)
    return _excavation_figures(trenches, structures, beds, samples, names, groundwater, has_total)


def pipe_trenches(tunnels: Tunnels | None, passages: TunnelsResult | None, bedding: float) -> PipeTrenches | None:
    """Trenches of runs and pits of dens; None if no room beside the pipe is entered.

    Args:
        tunnels, passages: Inputs and result of the tunnels; None if the option has none.
        bedding: Thickness of bedding under pipe and dens [m].
    """
    if tunnels is None or tunnels.trench_room is None:
        return None
    if passages is None or passages.problems:
        return _NONE_KNOWN
    return _pipe_cuts(tunnels, passages.alignment, passages.dens, bedding)


# Equal objects are the same object, so that results derived from them are remembered.
_NO_PIPES = PipeTrenches((), ())
_NONE_KNOWN = PipeTrenches((), (), whole=False)


@remembered
def _pipe_cuts(tunnels: Tunnels, alignment: Alignment, dens: tuple[DenBox, ...], bedding: float) -> PipeTrenches:
    """Trenches and pits, with the room entered on both sides; runs that go straight up have none."""
    trenches, room = [], 2 * float(tunnels.trench_room or 0.0)
    for run in alignment.runs:
        outside, down = run.pipe.outside, run.pipe.outside / 2 + bedding
        if math.hypot(run.end[0] - run.start[0], run.end[1] - run.start[1]) > VERTICAL:
            ends = [(x, y, z - down) for x, y, z in (run.start, run.end)]
            trenches.append((outside, TrenchCut(run.name, ends[0], ends[1], outside + room)))
    return PipeTrenches(tuple(trenches), tuple((box, _den_pit(box, room, bedding)) for box in dens), bedding)


def trenches_and_pits(tunnels: Tunnels | None, passages: TunnelsResult | None, bedding: float) -> tuple[TrenchCut, ...]:
    """Trenches of runs and pits of dens for whoever must keep clear of them, each named as what it is. They are as wide
    as pipe and box if no room beside the pipe is entered.

    Args:
        tunnels, passages: Inputs and result of the tunnels; None if the option has none.
        bedding: Thickness of bedding under pipe and dens [m].
    """
    return _named_cuts(tunnels, passages.alignment, passages.dens, bedding) if tunnels and passages else ()


@remembered
def _named_cuts(
    tunnels: Tunnels, alignment: Alignment, dens: tuple[DenBox, ...], bedding: float
) -> tuple[TrenchCut, ...]:
    cuts = _pipe_cuts(tunnels, alignment, dens, bedding)
    trenches = (replace(cut, name=f"trench of {cut.name}") for _, cut in cuts.runs)
    return (*trenches, *(replace(cut, name=f"pit of {cut.name}") for _, cut in cuts.pits))


def _pipe_bedding(thickness: float, trenches: Sequence[CutMeasure], volumes: Sequence[float]) -> tuple[Entry, ...]:
    """Bedding under each run and den that has some: its thickness [m], and its volumes [m³]."""
    return tuple(
        entry(
            rel.pipe_bedding_volume,
            trench.name,
            source=USER,
            dug=trench,
            bedding=thickness,
            laid_volume=volume,
        )
        for trench, volume in zip(trenches, volumes, strict=True)
        if volume > 0
    )


@remembered
def _excavation_figures(
    pipes: PipeTrenches,
    structures: Structures,
    beds: StreamBeds,
    samples: _Samples,
    pools: tuple[str, ...],
    groundwater: float | None,
    has_total: bool,
) -> ExcavationResult:
    """Figures of all excavation besides the pools. ``pools``: their names; ``has_total``: no part is missing."""
    dug = take_out(samples.cuts)
    # Runs, dens, structures and stream beds follow each other in the samples; each of these is where one kind ends.
    runs, dens = len(pipes.runs), len(pipes.cuts)
    structures_end = dens + len(structures.each)
    of_structures, of_beds = slice(dens, structures_end), slice(structures_end, None)
    notes = [tuple(_sample_cautions(sample, groundwater)) for sample, _ in samples.cuts]
    trenches = [
        _trench(measure, index < runs, remarks)
        for index, (measure, remarks) in enumerate(zip(dug.each[:dens], notes[:dens], strict=True))
    ]
    holes = []
    for structure, measure, (_, top), remarks in zip(
        structures.each, dug.each[of_structures], samples.cuts[of_structures], notes[of_structures], strict=True
    ):
        above = [pools[index] for index in top.under]
        holes.append(_hole(structure, measure, [*_structure_cautions(structure, above, groundwater), *remarks]))
    bed_digs = [
        _bed(bed, measure, remarks)
        for bed, measure, remarks in zip(beds.each, dug.each[of_beds], notes[of_beds], strict=True)
    ]
    seats = tuple(_seat(structure) for structure in structures.each if structure.seat > 0)
    bedding_volumes = [lowest(cut, pipes.bedding) if pipes.bedding > 0 else 0.0 for cut in samples.cuts[:dens]]
    bedding = _pipe_bedding(pipes.bedding, dug.each[:dens], bedding_volumes)
    bed_fills = _bed_fills(beds, samples.fills)
    body_holes, wall_trenches = (_select(holes, structures, wall) for wall in (False, True))
    every = (*trenches, *body_holes, *wall_trenches, *bed_digs)
    total_dug = backfill = None
    if has_total:
        shared = sum(figure.value for figure in every) - dug.together
        total_dug = entry(rel.trench_dig_volume, "", each=every, shared=shared)
        backfill = _backfill(total_dug, pipes, structures, samples, sum(bedding_volumes))
    return ExcavationResult(
        pipe_trench_volume=tuple(trenches[:runs]),
        den_pit_volume=tuple(trenches[runs:]),
        body_hole_volume=body_holes,
        footing_volume=wall_trenches,
        seat_volume=seats,
        seat_order=_bedding_order(seats),
        pipe_bedding_volume=bedding,
        pipe_bedding_order=_bedding_order(bedding),
        link_dig_volume=tuple(bed_digs),
        link_bank_volume=bed_fills,
        link_line_length=tuple(entry(rel.link_line_length, bed.name, length=bed.length) for bed in beds.each),
        total_link_bank=_total_bed_fill(bed_fills, samples.fills) if has_total else None,
        trench_dig_volume=total_dug,
        backfill_volume=backfill,
        cuts=pipes.cuts,
        problems=(*structures.problems, *beds.problems),
    )


def _trench(dug: CutMeasure, pipe: bool, notes: Sequence[Words]) -> Entry:
    """Volume of the trench of a run (``pipe``), or of the pit of a den."""
    cautions = [UPRIGHT_SIDES(), *depth_cautions(dug.deepest, True), *notes]
    return entry(rel.pipe_trench_volume if pipe else rel.den_pit_volume, dug.name, cautions=cautions, dug=dug)


def _select(holes: Sequence[Entry], structures: Structures, wall: bool) -> tuple[Entry, ...]:
    """Of the volumes of all structures' excavations those for walls (``wall``), or those for bodies."""
    return tuple(hole for hole, structure in zip(holes, structures.each, strict=True) if structure.wall == wall)


def _seat(structure: Structure) -> Entry:
    """Volume of the bedding under a structure, over the bottom of its excavation."""
    return entry(rel.seat_volume, structure.name, area=float(structure.hole.foot.area), thickness=structure.seat)


def _hole(structure: Structure, dug: CutMeasure, notes: Sequence[Words]) -> Entry:
    """Volume of the excavation for a body, or of the foundation trench of a wall."""
    relation = rel.footing_volume if structure.wall else rel.body_hole_volume
    deep = depth_cautions(dug.deepest, structure.hole.batter == 0)
    return entry(relation, dug.name, cautions=[*notes, *deep], dug=dug)


def _bed(bed: StreamBed, dug: CutMeasure, notes: Sequence[Words]) -> Entry:
    """Volume of the excavation of a stream bed."""
    upright = bed.batter == 0
    cautions = [SERVICES_BEFORE_DIG(), *([UPRIGHT_SIDES()] if upright else []), *bed.notes]
    return entry(
        rel.link_dig_volume, dug.name, cautions=[*cautions, *depth_cautions(dug.deepest, upright), *notes], dug=dug
    )


def _bed_fills(beds: StreamBeds, fills: Trenches | None) -> tuple[Entry, ...]:
    """Fill under each stream bed that has some."""
    return tuple(
        entry(rel.link_bank_volume, fill.name, cautions=[*bed.bank_notes, *bank_cautions(fill.deepest)], built=fill)
        for fill, bed in zip(fills.each if fills else (), beds.each, strict=True)
        if fill.volume > LEAST_VOLUME
    )


def _total_bed_fill(each: Sequence[Entry], fills: Trenches | None) -> Entry | None:
    """Fill under all stream beds; None if there is none."""
    if not fills or not each:
        return None
    shared = max(sum(figure.value for figure in each) - fills.together, 0.0)
    return entry(rel.total_link_bank, "", each=each, shared=shared)


def _backfill(dug: Entry, pipes: PipeTrenches, structures: Structures, samples: _Samples, bedding: float) -> Entry:
    """Backfill: all excavation except stream beds, less the pipes, boxes and structures in it and their bedding.

    Args:
        dug: All that is dug besides the pools.
        pipes, structures: Trenches of pipe and pits of dens, and structures.
        samples: All of them in small parts.
        bedding: Volume of the bedding under pipe and dens [m³].
    """
    measures = take_out(samples.cuts).each
    runs, dens = len(pipes.runs), len(pipes.cuts)
    structures_end = dens + len(structures.each)
    # Plan area over width is the length of trench that is dug: where a run lies above the ground no pipe is deducted.
    pipe_volume = sum(
        math.pi / 4 * outside**2 * measure.area / cut.width
        for (outside, cut), measure in zip(pipes.runs, measures[:runs], strict=True)
    )
    boxes = zip(pipes.pits, measures[runs:dens], strict=True)
    box_volume = sum(_box_volume(box, measure.deepest - pipes.bedding) for (box, _), measure in boxes)
    bottoms = zip(samples.bottoms, structures.each, strict=True)
    seat_volume = sum(lowest(bottom, structure.seat) for bottom, structure in bottoms)
    links = take_out(tuple((_among_beds(sample), top) for sample, top in samples.cuts[structures_end:])).together
    return entry(
        rel.backfill_volume,
        "",
        trenches=dug.bare,
        links=links,
        pipes=float(pipe_volume),
        boxes=float(box_volume),
        bodies=take_out(samples.bodies).together,
        seats=float(seat_volume),
        bedding=bedding,
    )


@remembered
def _among_beds(sample: Sampled) -> Sampled:
    """A stream bed that shares ground only with other beds."""
    return replace(sample, beside=tuple(neighbour for neighbour in sample.beside if isinstance(neighbour, Ditch)))


def _structure_cautions(structure: Structure, pools: Sequence[str], groundwater: float | None) -> Iterator[Words]:
    """Cautions for the excavation of one structure. ``pools``: names of those whose dig it cuts into."""
    yield SERVICES_BEFORE_DIG()
    if structure.hole.batter == 0:
        yield UPRIGHT_SIDES()
    if pools and not structure.wall:
        yield HOLE_IN_POOL_DIG(pools=", ".join(f"'{name}'" for name in pools))
    if groundwater is not None:
        over = groundwater - structure.hole.bottom
        yield from HOLE_IN_GROUNDWATER.where(over, over, over, over=(over, LENGTH))


def _sample_cautions(sample: Sampled, groundwater: float | None) -> Iterator[Words]:
    """Cautions on survey and groundwater for one excavation; ``_structure_cautions`` has groundwater at a structure."""
    cut = sample.cut
    if sample.unknown:
        yield EXCAVATION_NOT_SURVEYED()
    if groundwater is not None:
        over = groundwater - _lowest_level(cut)
        rule = BED_IN_GROUNDWATER if isinstance(cut, Ditch) else TRENCH_IN_GROUNDWATER
        yield from rule.where(over, over, over, over=(over, LENGTH))


def _lowest_level(cut: TrenchCut | Hole | Ditch) -> float:
    """Lowest level of a trench or bed [m]; infinite for the hole of a structure, so that no groundwater is over it."""
    if isinstance(cut, TrenchCut):
        return min(cut.start[2], cut.end[2])
    return min(z for *_, z in cut.line) + cut.sides[0][1] if isinstance(cut, Ditch) else math.inf


def _den_pit(box: DenBox, room: float, bedding: float) -> TrenchCut:
    """Pit of a den, in line with the first run that ends there."""
    direction = np.array([box.at_den[0] - box.far_end[0], box.at_den[1] - box.far_end[1]])
    away = float(np.hypot(*direction))
    direction = direction / away if away > VERTICAL else np.array([1.0, 0.0])
    start = np.array(box.at_den[:2]) - direction * (box.wall + room / 2)
    end = np.array(box.at_den[:2]) + direction * (box.size[0] + box.wall + room / 2)
    ends = [(float(x), float(y), box.underside - bedding) for x, y in (start, end)]
    return TrenchCut(box.name, ends[0], ends[1], box.size[1] + 2 * box.wall + room)


def _box_volume(box: DenBox, deep: float) -> float:
    """Outside volume of a den's box up to the ground [m³]. ``deep``: from the ground to its underside [m]."""
    long, wide, high = (side + 2 * box.wall for side in box.size)
    return long * wide * min(high, max(deep, 0.0))


def _bedding_order(parts: Sequence[Entry]) -> Entry | None:
    """Sum of volumes of bedding, to be ordered; None if there are none."""
    return with_cautions(total("", parts, BULK), COMES_LOOSE()) if parts else None


def depth_cautions(deep: float, upright: bool) -> Iterator[Caution]:
    """Cautions for the depth of a trench, pit or other excavation: means of exit, protection against collapse, an
    engineer's design.

    Args:
        deep: Greatest depth [m].
        upright: True for upright sides. Sloped sides may be protection enough, which is to be checked on site.
    """
    way_out, protected, engineered = (
        limit(row, LENGTH)[0] for row in ("way out of a trench from", "protective system from", "engineered cut above")
    )
    depth = (deep, LENGTH)
    yield from TRENCH_WAY_OUT.where(deep, deep, deep, most=way_out - HAIR, deep=depth)
    if deep > protected - HAIR:
        yield TRENCH_PROTECTION(None if upright else CHECK, deep=depth)
    yield from TRENCH_ENGINEERED.where(deep, deep, deep, most=engineered + HAIR, deep=depth)


def bank_cautions(high: float) -> Iterator[Caution]:
    """Cautions for the height of a bank [m]: a high one is for an engineer to judge."""
    from_, _ = limit("bank looked at from", LENGTH)
    yield from BED_BANK_HIGH.where(high, high, high, most=from_ - HAIR, tall=(high, LENGTH))


@remembered
def structures_entered(water: Water | None, walls: Walls | None) -> Structures:
    """Structures as entered, before the ground and so the reach of their excavations is known; empty if no plan or line
    is entered.
    """
    structures: list[Structure] = []
    problems: list[Problem] = []
    for path, name, body, size, place in bodies_of(water) if water else ():
        if body.underside is None:
            problems.append(_no_underside(path, name, size))
            continue
        assert water is not None
        room = float(water.hole_room)
        low, seat = float(body.underside), float(body.seat)
        plan = Hole(name, box_at(place, size, body.turn_deg, oval=body.round), low)
        hole = Hole(name, box_at(place, size, body.turn_deg, room), low - seat, float(water.hole_sides))
        structures.append(
            Structure(path, hole, plan, seat, wall=False, rim=None if body.rim is None else float(body.rim))
        )
    for index, wall in enumerate(walls.walls if walls else ()):
        if wall.points and wall.courses:
            assert walls is not None
            structure = _wall_structure(walls, wall, ("walls", "walls", index))
            if isinstance(structure, Problem):
                problems.append(structure)
            else:
                structures.append(structure)
    return Structures(tuple(structures), tuple(problems))


def compute_structures(water: Water | None, walls: Walls | None, ground: Terrain | None) -> Structures:
    """Structures in the ground, each with the reach of its excavation; without ground, as entered.

    Args:
        water, walls: Inputs of the water side and the walls; None if the option has none.
        ground: As it is; None if it has a problem.
    """
    structures: Structures = structures_entered(water, walls)
    if ground is None:
        return structures
    placed, problems = [], list(structures.problems)
    for structure in structures.each:
        try:
            reach = _reach(structure.hole, structure.path, ground)
            placed.append(replace(structure, hole=replace(structure.hole, reach=reach)))
        except Trouble as trouble:
            problems += trouble.problems
    return make_structures(tuple(placed), tuple(problems))


make_structures = remembered(Structures)


def _wall_structure(walls: Walls, wall: Wall, path: Path) -> Structure | Problem:
    """A drawn wall as a structure, or why it is none."""
    if wall.base_level is None:
        return Problem(
            (*path, "base_level"),
            words(f"'{wall.name}' is drawn and its base is not entered"),
            words("a level above the site datum"),
            words("enter the level of its base, or remove its line"),
        )
    wide, room = float(wall.courses[0].width), float(walls.footing_room)
    plan = strip_beside(wall.points, 0.0, wide, 0.0)
    trench = strip_beside(wall.points, room, wide + room, room)
    if plan is None or trench is None:
        return Problem(
            (*path, "points"),
            words(
                f"the line of '{wall.name}' makes no single trench {{wide}} wide",
                wide=(wide + 2 * room, LENGTH),
            ),
            words("two places or more, apart from each other, in bends that are wider than the trench"),
            words("move its places apart, or draw the wall in two"),
        )
    base, under = float(wall.base_level), float(walls.footing)
    return Structure(path, Hole(wall.name, trench, base - under), Hole(wall.name, plan, base), under, wall=True)


def _no_underside(path: Path, name: str, size: Sequence[float]) -> Problem:
    return Problem(
        (*path, "underside"),
        words(
            f"the {name} is {{long}} by {{wide}} in plan, and its underside is not entered",
            long=(size[0], LENGTH),
            wide=(size[1], LENGTH),
        ),
        words("a level above the site datum"),
        words("enter its underside, or leave its plan size out"),
    )


@remembered
def _reach(hole: Hole, path: Path, ground: Terrain) -> float:
    """How far outside its bottom a structure's excavation meets the ground [m].

    Raises: Trouble if that is too far, or never.
    """
    try:
        return reach_of(hole, ground)
    except TooSteep:
        raise Trouble(
            Problem(
                (*path[:1], "hole_sides"),
                words(
                    f"sides of {{sides}} horizontal to 1 vertical round the {hole.name} do not meet the ground",
                    sides=(hole.batter, RATIO),
                ),
                words("sides that meet it within {far}", far=(FAR_BANK, LENGTH)),
                words("make the sides steeper, or set its underside nearer to the ground"),
            )
        ) from None
