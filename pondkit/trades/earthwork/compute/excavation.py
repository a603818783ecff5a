"""What is dug besides the pools: trenches of pipe, pits of dens, excavations for structures that stand in the ground,
stream beds.
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

UPRIGHT = 0.01  # m: a run with a shorter level length is vertical


@dataclass(frozen=True)
class _Sampled:
    """All excavations besides the pools, sampled, and the fills under stream beds.

    Attributes:
        cuts: Trenches of pipe, pits of dens, excavations for structures, stream beds.
        feet, bodies: Bottom of the excavation and footprint of each structure.
        built: Fills under stream beds; None if there are none.
    """

    cuts: tuple[tuple[Sampled, DugFrom], ...]
    feet: tuple[tuple[Sampled, DugFrom], ...]
    bodies: tuple[tuple[Sampled, DugFrom], ...]
    built: Trenches | None


def needs_excavation(pipes: PipeTrenches | None, structures: Structures, beds: StreamBeds) -> bool:
    """Whether anything is dug besides the pools."""
    return pipes is not None or bool(structures.each) or bool(structures.problems) or beds.asked


def compute(
    pipes: PipeTrenches | None,
    structures: Structures,
    beds: StreamBeds,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    groundwater: float | None,
    complete: bool,
) -> ExcavationResult | None:
    """Excavation besides the pools; None if there is none, or if nothing about it can be known.

    Args:
        pipes: Trenches of pipe and pits of dens; None if not required.
        structures: Structures in the ground.
        beds: Stream beds.
        pools: Those without problems.
        ground: Existing ground in site axes; None if it has a problem.
        groundwater: Highest known groundwater level [m]; None if unknown.
        complete: False if a pool has a problem; there is no total then.
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
    samples = _Sampled(
        tops(every, digs, ground),
        tops([replace(structure.hole, batter=0.0, reach=0.0) for structure in structures.each], digs, ground),
        tops([structure.body for structure in structures.each], digs, ground),
        banks(beds, ground) if beds.each else None,
    )
    names = tuple(pool.name for pool in pools)
    return _excavated(trenches, structures, beds, samples, names, groundwater, has_total)


def pipe_trenches(tunnels: Tunnels | None, pipes: TunnelsResult | None, bedding: float) -> PipeTrenches | None:
    """Trenches of runs and pits of dens; None if no working space beside the pipe is entered.

    Args:
        tunnels, pipes: Inputs and result of the tunnels; None if the option has none.
        bedding: Thickness of bedding under pipe and dens [m].
    """
    if tunnels is None or tunnels.trench_room is None:
        return None
    if pipes is None or pipes.problems:
        return _NONE_KNOWN
    return _pipe_cuts(tunnels, pipes.alignment, pipes.dens, bedding)


# Equal objects are the same object, so that results derived from them are remembered.
_NO_PIPES = PipeTrenches((), ())
_NONE_KNOWN = PipeTrenches((), (), whole=False)


@remembered
def _pipe_cuts(tunnels: Tunnels, alignment: Alignment, dens: tuple[DenBox, ...], bedding: float) -> PipeTrenches:
    trenches, room = [], 2 * float(tunnels.trench_room or 0.0)
    for run in alignment.runs:
        outside, down = run.pipe.outside, run.pipe.outside / 2 + bedding
        if math.hypot(run.end[0] - run.start[0], run.end[1] - run.start[1]) > UPRIGHT:
            ends = [(x, y, z - down) for x, y, z in (run.start, run.end)]
            trenches.append((outside, TrenchCut(run.name, ends[0], ends[1], outside + room)))
    return PipeTrenches(tuple(trenches), tuple((box, _den_pit(box, room, bedding)) for box in dens), bedding)


def buried(tunnels: Tunnels | None, pipes: TunnelsResult | None, bedding: float) -> tuple[TrenchCut, ...]:
    """Trenches of runs and pits of dens, with their names; as wide as pipe and box if no working space is entered."""
    return _buried(tunnels, pipes.alignment, pipes.dens, bedding) if tunnels and pipes else ()


@remembered
def _buried(tunnels: Tunnels, alignment: Alignment, dens: tuple[DenBox, ...], bedding: float) -> tuple[TrenchCut, ...]:
    cuts = _pipe_cuts(tunnels, alignment, dens, bedding)
    trenches = (replace(cut, name=f"trench of {cut.name}") for _, cut in cuts.ways)
    return (*trenches, *(replace(cut, name=f"pit of {cut.name}") for _, cut in cuts.pits))


def _pipe_beds(bedding: float, trenches: Sequence[CutMeasure], under: Sequence[float]) -> tuple[Entry, ...]:
    """Bedding of each trench that has some. ``bedding``: its thickness [m]; ``under``: its volume beneath the pipe
    [m³].
    """
    return tuple(
        entry(
            rel.pipe_bedding_volume,
            trench.name,
            source=USER,
            dug=trench,
            bedding=bedding,
            laid_volume=beneath,
        )
        for trench, beneath in zip(trenches, under, strict=True)
        if beneath > 0
    )


@remembered
def _excavated(
    pipes: PipeTrenches,
    structures: Structures,
    beds: StreamBeds,
    samples: _Sampled,
    pools: tuple[str, ...],
    groundwater: float | None,
    has_total: bool,
) -> ExcavationResult:
    """Figures of all excavation besides the pools. ``pools``: their names; ``has_total``: False if
    there is no total.
    """
    dug = take_out(samples.cuts)
    runs, dens = len(pipes.ways), len(pipes.cuts)
    last = dens + len(structures.each)
    notes = [tuple(_notes(sample, groundwater)) for sample, _ in samples.cuts]
    trenches = [
        _trench(excavated, index < runs, more)
        for index, (excavated, more) in enumerate(zip(dug.each[:dens], notes[:dens], strict=True))
    ]
    holes = []
    for structure, excavated, (_, top), more in zip(
        structures.each, dug.each[dens:last], samples.cuts[dens:last], notes[dens:last], strict=True
    ):
        cautions = [*_cautions(structure, [pools[index] for index in top.under], groundwater), *more]
        holes.append(_hole(structure, excavated, cautions))
    links = [
        _bed(bed, excavated, more)
        for bed, excavated, more in zip(beds.each, dug.each[last:], notes[last:], strict=True)
    ]
    seats = tuple(_seat(structure) for structure in structures.each if structure.seat > 0)
    under = [lowest(cut, pipes.bedding) if pipes.bedding > 0 else 0.0 for cut in samples.cuts[:dens]]
    bedding = _pipe_beds(pipes.bedding, dug.each[:dens], under)
    built = _banks(beds, samples.built)
    every = (*trenches, *_of(holes, structures, False), *_of(holes, structures, True), *links)
    dug_out = back = None
    if has_total:
        shared = sum(figure.value for figure in every) - dug.together
        dug_out = entry(rel.trench_dig_volume, "", each=every, shared=shared)
        back = _backfill(dug_out, pipes, structures, samples, sum(under))
    return ExcavationResult(
        pipe_trench_volume=tuple(trenches[:runs]),
        den_pit_volume=tuple(trenches[runs:]),
        body_hole_volume=_of(holes, structures, False),
        footing_volume=_of(holes, structures, True),
        seat_volume=seats,
        seat_order=_ordered(seats),
        pipe_bedding_volume=bedding,
        pipe_bedding_order=_ordered(bedding),
        link_dig_volume=tuple(links),
        link_bank_volume=built,
        link_line_length=tuple(entry(rel.link_line_length, bed.name, line=bed.length) for bed in beds.each),
        total_link_bank=_all_banks(built, samples.built) if has_total else None,
        trench_dig_volume=dug_out,
        backfill_volume=back,
        cuts=pipes.cuts,
        problems=(*structures.problems, *beds.problems),
    )


def _trench(dug: CutMeasure, pipe: bool, notes: Sequence[Words]) -> Entry:
    """Volume of the trench of a run, or of the pit of a den."""
    cautions = [UPRIGHT_SIDES(), *deep_cautions(dug.deepest, True), *notes]
    return entry(rel.pipe_trench_volume if pipe else rel.den_pit_volume, dug.name, cautions=cautions, dug=dug)


def _of(holes: Sequence[Entry], structures: Structures, wall: bool) -> tuple[Entry, ...]:
    """Volumes of the excavations for walls (``wall``), or for bodies."""
    return tuple(hole for hole, structure in zip(holes, structures.each, strict=True) if structure.wall == wall)


def _seat(structure: Structure) -> Entry:
    return entry(rel.seat_volume, structure.name, area=float(structure.hole.foot.area), seat=structure.seat)


def _hole(structure: Structure, dug: CutMeasure, notes: Sequence[Words]) -> Entry:
    relation = rel.footing_volume if structure.wall else rel.body_hole_volume
    deep = deep_cautions(dug.deepest, structure.hole.batter == 0)
    return entry(relation, dug.name, cautions=[*notes, *deep], dug=dug)


def _bed(bed: StreamBed, dug: CutMeasure, notes: Sequence[Words]) -> Entry:
    upright = bed.batter == 0
    cautions = [SERVICES_BEFORE_DIG(), *([UPRIGHT_SIDES()] if upright else []), *bed.notes]
    return entry(
        rel.link_dig_volume, dug.name, cautions=[*cautions, *deep_cautions(dug.deepest, upright), *notes], dug=dug
    )


def _banks(beds: StreamBeds, built: Trenches | None) -> tuple[Entry, ...]:
    return tuple(
        entry(rel.link_bank_volume, bank.name, cautions=[*bed.bank_notes, *bank_cautions(bank.deepest)], built=bank)
        for bank, bed in zip(built.each if built else (), beds.each, strict=True)
        if bank.volume > NOTHING
    )


def _all_banks(banks: Sequence[Entry], built: Trenches | None) -> Entry | None:
    if not built or not banks:
        return None
    shared = max(sum(figure.value for figure in banks) - built.together, 0.0)
    return entry(rel.total_link_bank, "", each=banks, shared=shared)


def _backfill(dug: Entry, pipes: PipeTrenches, structures: Structures, samples: _Sampled, bedding: float) -> Entry:
    """Backfill: all excavation except stream beds, less the pipes, boxes and structures in it and their bedding."""
    excavated_each = take_out(samples.cuts).each
    runs, dens = len(pipes.ways), len(pipes.cuts)
    last = dens + len(structures.each)
    solid = sum(
        math.pi / 4 * outside**2 * excavated.area / cut.width
        for (outside, cut), excavated in zip(pipes.ways, excavated_each[:runs], strict=True)
    )
    boxed = zip(pipes.pits, excavated_each[runs:dens], strict=True)
    boxes_in = sum(_boxed(box, excavated.deepest - pipes.bedding) for (box, _), excavated in boxed)
    seats = sum(lowest(foot, structure.seat) for foot, structure in zip(samples.feet, structures.each, strict=True))
    links = take_out(tuple((_among_beds(sample), top) for sample, top in samples.cuts[last:])).together
    return entry(
        rel.backfill_volume,
        "",
        trenches=dug.bare,
        links=links,
        pipes=float(solid),
        boxes=float(boxes_in),
        bodies=take_out(samples.bodies).together,
        seats=float(seats),
        bedding=bedding,
    )


@remembered
def _among_beds(sample: Sampled) -> Sampled:
    """A stream bed that shares ground only with other beds."""
    return replace(sample, beside=tuple(neighbour for neighbour in sample.beside if isinstance(neighbour, Ditch)))


def _cautions(structure: Structure, pools: Sequence[str], groundwater: float | None) -> Iterator[Words]:
    yield SERVICES_BEFORE_DIG()
    if structure.hole.batter == 0:
        yield UPRIGHT_SIDES()
    if pools and not structure.wall:
        yield HOLE_IN_POOL_DIG(pools=", ".join(f"'{name}'" for name in pools))
    if groundwater is not None:
        over = groundwater - structure.hole.bottom
        yield from HOLE_IN_GROUNDWATER.where(over, over, over, over=(over, LENGTH))


def _notes(sample: Sampled, groundwater: float | None) -> Iterator[Words]:
    """Remarks on survey and groundwater for one trench, pit or bed; groundwater at a structure is reported with the
    structure.
    """
    cut = sample.cut
    if sample.unknown:
        yield EXCAVATION_NOT_SURVEYED()
    if groundwater is not None:
        over = groundwater - _low(cut)
        rule = BED_IN_GROUNDWATER if isinstance(cut, Ditch) else TRENCH_IN_GROUNDWATER
        yield from rule.where(over, over, over, over=(over, LENGTH))


def _low(cut: TrenchCut | Hole | Ditch) -> float:
    """Lowest bottom level [m]; infinite for a structure, whose groundwater is reported with it."""
    if isinstance(cut, TrenchCut):
        return min(cut.start[2], cut.end[2])
    return min(z for *_, z in cut.line) + cut.sides[0][1] if isinstance(cut, Ditch) else math.inf


def _den_pit(box: DenBox, room: float, bedding: float) -> TrenchCut:
    """Pit of a den, in line with the first run that ends there."""
    direction = np.array([box.at_den[0] - box.far_end[0], box.at_den[1] - box.far_end[1]])
    away = float(np.hypot(*direction))
    direction = direction / away if away > UPRIGHT else np.array([1.0, 0.0])
    start = np.array(box.at_den[:2]) - direction * (box.wall + room / 2)
    end = np.array(box.at_den[:2]) + direction * (box.size[0] + box.wall + room / 2)
    ends = [(float(x), float(y), box.underside - bedding) for x, y in (start, end)]
    return TrenchCut(box.name, ends[0], ends[1], box.size[1] + 2 * box.wall + room)


def _boxed(box: DenBox, deep: float) -> float:
    """Outside volume of a box up to the depth of its pit [m³]."""
    long, wide, high = (side + 2 * box.wall for side in box.size)
    return long * wide * min(high, max(deep, 0.0))


NOTHING = 1e-9  # m³
HAIR = 1e-6  # m: a depth this near to a limit is at the limit


def _ordered(parts: Sequence[Entry]) -> Entry | None:
    return with_cautions(total("", parts, BULK), COMES_LOOSE()) if parts else None


def deep_cautions(deep: float, upright: bool) -> Iterator[Caution]:
    """Cautions for the depth of a trench, pit or other excavation: means of exit, protection against collapse, an
    engineer's design.

    Args:
        deep: Greatest depth [m].
        upright: True for vertical sides. Sloped sides may be sufficient protection, which is to be checked.
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
    """Cautions for the height of a bank [m]: a high one is to be assessed by an engineer."""
    from_, _ = limit("bank looked at from", LENGTH)
    yield from BED_BANK_HIGH.where(high, high, high, most=from_ - HAIR, tall=(high, LENGTH))


@remembered
def structures_entered(water: Water | None, walls: Walls | None) -> Structures:
    """Structures before the ground is known; empty if no plan or line is entered."""
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
        foot = Hole(name, box_at(place, size, body.turn_deg, room), low - seat, float(water.hole_sides))
        structures.append(
            Structure(path, foot, plan, seat, wall=False, rim=None if body.rim is None else float(body.rim))
        )
    for index, wall in enumerate(walls.walls if walls else ()):
        if wall.points and wall.courses:
            assert walls is not None
            structure = _wall(walls, wall, ("walls", "walls", index))
            if isinstance(structure, Problem):
                problems.append(structure)
            else:
                structures.append(structure)
    return Structures(tuple(structures), tuple(problems))


def compute_structures(water: Water | None, walls: Walls | None, ground: Terrain | None) -> Structures:
    """Structures in the ground, each with the reach of its excavation where that is known.

    Args:
        water, walls: Inputs of the water side and the walls; None if the option has none.
        ground: As it is; None if it has a problem.
    """
    structures: Structures = structures_entered(water, walls)
    if ground is None:
        return structures
    met, faults = [], list(structures.problems)
    for structure in structures.each:
        try:
            reach = _reach(structure.hole, structure.path, ground)
            met.append(replace(structure, hole=replace(structure.hole, reach=reach)))
        except Trouble as trouble:
            faults += trouble.problems
    return make_structures(tuple(met), tuple(faults))


make_structures = remembered(Structures)


def _wall(walls: Walls, wall: Wall, path: Path) -> Structure | Problem:
    if wall.base_level is None:
        return Problem(
            (*path, "base_level"),
            words(f"'{wall.name}' is drawn and its base is not entered"),
            words("a level above the site datum"),
            words("enter the level of its base, or take its line away"),
        )
    wide, room = float(wall.courses[0].width), float(walls.footing_room)
    plan = strip_beside(wall.points, 0.0, wide, 0.0)
    foot = strip_beside(wall.points, room, wide + room, room)
    if plan is None or foot is None:
        return Problem(
            (*path, "points"),
            words(
                f"the line of '{wall.name}' goes along no one strip of ground {{wide}} wide",
                wide=(wide + 2 * room, LENGTH),
            ),
            words("two places or more, apart from each other, in bends that are wider than the wall"),
            words("move its places apart, or draw the wall in two"),
        )
    base, under = float(wall.base_level), float(walls.footing)
    return Structure(path, Hole(wall.name, foot, base - under), Hole(wall.name, plan, base), under, wall=True)


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
