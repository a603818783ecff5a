"""What is dug besides the pools: trenches of pipe, pits of dens, holes of the water side's bodies, footings of walls, beds of links."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Trouble
from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH, RATIO
from pondkit.geometry.ditch import Ditch
from pondkit.geometry.ground import FAR_BANK, TooSteep
from pondkit.geometry.hole import Hole, box_at, reach_of, strip_beside
from pondkit.geometry.trench import Cut, Sampled, Top, Trenches, lowest, take_out, tops
from pondkit.geometry.uneven import Terrain
from pondkit.project.project import Option
from pondkit.trades.earthwork import ditches
from pondkit.trades.earthwork.cautions import (
    BED_IN_GROUNDWATER,
    EXCAVATION_NOT_SURVEYED,
    HOLE_IN_GROUNDWATER,
    HOLE_IN_POOL_DIG,
    LOCATE_SERVICES,
    TRENCH_IN_GROUNDWATER,
    UPRIGHT_SIDES,
)
from pondkit.trades.earthwork.ditches import Links
from pondkit.trades.earthwork.trenches import Bed, Stands, TrenchesResult
from pondkit.trades.earthwork.trenches import trenches as earth_trenches
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.tunnels.boxes import Box, boxes
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.laying import Laying
from pondkit.trades.tunnels.work import TunnelsResult
from pondkit.trades.walls.inputs import Wall, Walls
from pondkit.trades.water.inputs.bodies import PumpPit
from pondkit.trades.water.inputs.water import Filter, Intake, Water

UPRIGHT = 0.01  # m: a run of less level length goes straight down


@dataclass(frozen=True)
class Standing:
    """What stands in a hole.

    Attributes:
        path: Its place in the option.
        hole: Its hole, as deep as the bottom of its seat.
        body: Its plan, as a hole as deep as its underside.
        seat: Thickness of what is laid under it [m].
        wall: True for a wall, False for a body of the water side.
        rim: Level of the top of its walls [m]; None where not entered, and of a wall.
    """

    path: Path
    hole: Hole
    body: Hole
    seat: float
    wall: bool
    rim: float | None = None

    @property
    def name(self) -> str:
        return self.hole.name


@dataclass(frozen=True, eq=False)
class Stood:
    """What stands in a hole, and what is wrong with the others."""

    standing: tuple[Standing, ...]
    problems: tuple[Problem, ...]


make_stood = remembered(Stood)


def stood(option: Option, ground: Terrain | None) -> Stood:
    """All that stands in a hole, each hole with how far out it meets the ground, where that is known."""
    own: Stood = drawn(option.water, option.walls)
    if ground is None:
        return own
    met, faults = [], list(own.problems)
    for one in own.standing:
        try:
            met.append(replace(one, hole=replace(one.hole, reach=_reach(one.hole, one.path, ground))))
        except Trouble as trouble:
            faults += trouble.problems
    return make_stood(tuple(met), tuple(faults))


@remembered
def drawn(water: Water | None, walls: Walls | None) -> Stood:
    """All that stands in a hole, before anything is known of the ground; nothing where no plan or line is entered."""
    found: list[Standing] = []
    problems: list[Problem] = []
    for path, name, body, size, at in bodies_of(water) if water else ():
        if body.underside is None:
            problems.append(_no_underside(path, name, size))
            continue
        assert water is not None
        room = float(water.hole_room)
        low, seat = float(body.underside), float(body.seat)
        plan = Hole(name, box_at(at, size, body.turn_deg, oval=body.round), low)
        foot = Hole(name, box_at(at, size, body.turn_deg, room), low - seat, float(water.hole_sides))
        found.append(Standing(path, foot, plan, seat, wall=False, rim=None if body.rim is None else float(body.rim)))
    for index, wall in enumerate(walls.walls if walls else ()):
        if wall.points and wall.courses:
            assert walls is not None
            one = _wall(walls, wall, ("walls", "walls", index))
            if isinstance(one, Problem):
                problems.append(one)
            else:
                found.append(one)
    return Stood(tuple(found), tuple(problems))


Body = Intake | Filter | PumpPit


def bodies_of(water: Water) -> Iterator[tuple[Path, str, Body, Sequence[float], Sequence[float]]]:
    """(path, name, part, plan size, place) of every body that has a plan size."""
    if water.intake and water.intake.plan_size:
        yield ("water", "intake"), "intake basin", water.intake, water.intake.plan_size, water.intake.at
    if water.pit:
        yield ("water", "pit"), "pump pit", water.pit, water.pit.plan_size, water.pit.at
    clean = water.filter
    if clean and clean.plan_size:
        yield ("water", "filter"), "filter", clean, clean.plan_size, clean.at
        if clean.second_size:
            yield ("water", "filter"), "filter, second body", clean, clean.second_size, clean.second_at


def _wall(drawn: Walls, wall: Wall, path: Path) -> Standing | Problem:
    if wall.base_level is None:
        return Problem(
            (*path, "base_level"),
            words(f"'{wall.name}' is drawn and its base is not entered"),
            words("a level above the site datum"),
            words("enter the level of its base, or take its line away"),
        )
    wide, room = float(wall.courses[0].width), float(drawn.footing_room)
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
    base, under = float(wall.base_level), float(drawn.footing)
    return Standing(path, Hole(wall.name, foot, base - under), Hole(wall.name, plan, base), under, wall=True)


def _no_underside(path: Path, name: str, size: Sequence[float]) -> Problem:
    return Problem(
        (*path, "underside"),
        words(f"the {name} is {{long}} by {{wide}} in plan, and its underside is not entered", long=(size[0], LENGTH), wide=(size[1], LENGTH)),
        words("a level above the site datum"),
        words("enter its underside, or leave its plan size out"),
    )  # fmt: skip


@remembered
def _reach(hole: Hole, path: Path, ground: Terrain) -> float:
    try:
        return reach_of(hole, ground)
    except TooSteep:
        raise Trouble(
            Problem(
                (*path[:1], "hole_sides"),
                words(f"sides of {{sides}} horizontal to 1 vertical round the {hole.name} do not meet the ground", sides=(hole.batter, RATIO)),
                words("sides that meet it within {far}", far=(FAR_BANK, LENGTH)),
                words("make the sides steeper, or set its underside nearer to the ground"),
            )
        ) from None  # fmt: skip


def asked(option: Option, found: Stood) -> bool:
    """Whether anything is dug besides the pools."""
    trenches = option.tunnels is not None and option.tunnels.trench_room is not None
    return trenches or bool(found.standing) or bool(found.problems) or bool(option.links)


def dug(
    option: Option,
    pools: tuple[PoolResult, ...],
    pipes: TunnelsResult | None,
    ground: Terrain | None,
    found: Stood,
    links: Links,
    groundwater: float | None,
) -> TrenchesResult | None:
    """What is dug besides the pools; None where nothing is asked for, or nothing can be known of it.

    Args:
        option: As drawn.
        pools: Those that could be worked out.
        pipes: The tunnels; None where the option has none.
        ground: As it is, in site axes; None where it is in trouble.
        found: What stands in a hole.
        links: As they are dug.
        groundwater: Highest known level [m]; None where unknown.
    """
    if ground is None or not asked(option, found):
        return None
    drawn = option.tunnels if option.tunnels and option.tunnels.trench_room is not None else None
    whole = not found.problems and links.whole and len(pools) == len(option.pools)
    laid = None
    if drawn is not None:
        lost = pipes is None or bool(pipes.problems)
        whole = whole and not lost
        laid = None if lost or pipes is None else pipes.laid
    bedding = float(option.dig.bedding) if option.dig else 0.0
    pipes_cut = _pipe_cuts(drawn, laid, bedding) if drawn is not None and laid is not None else _Pipes((), ())
    digs = [
        (pool.surfaces.dig, max(pool.ground.reach if pool.ground else 0.0, pool.surfaces.dig.rim)) for pool in pools
    ]
    stands = found.standing
    holes: list[Cut | Hole | Ditch] = [
        *(cut for _, cut in pipes_cut.pits),
        *(one.hole for one in stands),
        *(one.cut for one in links.cuts),
    ]
    cuts = tops([*(cut for _, cut in pipes_cut.ways), *holes], digs, ground)
    feet = tops([replace(one.hole, batter=0.0, reach=0.0) for one in stands], digs, ground)
    bodies = tops([one.body for one in stands], digs, ground)
    names = tuple(pool.name for pool in pools)
    built = ditches.banks(links, ground) if links.cuts else None
    return _taken(pipes_cut, bedding, found, links, built, cuts, feet, bodies, names, groundwater, whole)


@dataclass(frozen=True, eq=False)
class _Pipes:
    """Trenches of runs, each with the outside of its pipe [m], and pits of dens, each with its box."""

    ways: tuple[tuple[float, Cut], ...]
    pits: tuple[tuple[Box, Cut], ...]


@remembered
def _pipe_cuts(drawn: Tunnels, laid: Laying, bedding: float) -> _Pipes:
    ways, room = [], 2 * float(drawn.trench_room or 0.0)
    for run in laid.runs:
        outside, down = run.leg.pipe.outside, run.leg.pipe.outside / 2 + bedding
        if math.hypot(run.end[0] - run.start[0], run.end[1] - run.start[1]) > UPRIGHT:
            ends = [(x, y, z - down) for x, y, z in (run.start, run.end)]
            ways.append((outside, Cut(run.leg.name, ends[0], ends[1], outside + room)))
    dens = boxes(drawn.nodes, laid)
    return _Pipes(tuple(ways), tuple((box, _den_pit(box, room, bedding)) for box in dens))


def buried(option: Option, pipes: TunnelsResult | None) -> tuple[Cut, ...]:
    """Trenches of runs and pits of dens, named as such; no wider than pipe and box where no room beside them is entered."""
    if option.tunnels is None or pipes is None:
        return ()
    bedding = float(option.dig.bedding) if option.dig else 0.0
    return _buried(option.tunnels, pipes.laid, bedding)


@remembered
def _buried(drawn: Tunnels, laid: Laying, bedding: float) -> tuple[Cut, ...]:
    cuts = _pipe_cuts(drawn, laid, bedding)
    ways = (replace(cut, name=f"trench of {cut.name}") for _, cut in cuts.ways)
    return (*ways, *(replace(cut, name=f"pit of {cut.name}") for _, cut in cuts.pits))


@remembered
def _taken(
    pipes: _Pipes,
    bedding: float,
    found: Stood,
    links: Links,
    built: Trenches | None,
    cuts: tuple[tuple[Sampled, Top], ...],
    feet: tuple[tuple[Sampled, Top], ...],
    bodies: tuple[tuple[Sampled, Top], ...],
    names: tuple[str, ...],
    groundwater: float | None,
    whole: bool,
) -> TrenchesResult:
    taken = take_out(cuts)
    ways, pits = len(pipes.ways), len(pipes.pits)
    last = ways + pits + len(found.standing)
    solid = sum(
        math.pi / 4 * outside**2 * dug.area / cut.width
        for (outside, cut), dug in zip(pipes.ways, taken.each[:ways], strict=True)
    )
    filled_by = zip(pipes.pits, taken.each[ways : ways + pits], strict=True)
    dens = sum(_boxed(box, dug.deepest - bedding) for (box, _), dug in filled_by)
    seats = sum(lowest(foot, one.seat) for foot, one in zip(feet, found.standing, strict=True))
    stands = [
        Stands(one.wall, one.hole.batter == 0, float(one.hole.foot.area), one.seat, tuple(_cautions(one, [names[i] for i in top.under], groundwater)))
        for one, (_, top) in zip(found.standing, cuts[ways + pits : last], strict=True)
    ]  # fmt: skip
    open_beds = take_out(tuple((_among_links(sample), top) for sample, top in cuts[last:])).together
    filled = (open_beds, float(solid), float(dens), take_out(bodies).together, float(seats))
    under = [lowest(cut, bedding) if bedding > 0 else 0.0 for cut in cuts[: ways + pits]]
    beds = [Bed(one.length, one.batter == 0, one.notes, one.bank_notes) for one in links.cuts]
    notes = [tuple(_notes(sample, groundwater)) for sample, _ in cuts]
    problems = (*found.problems, *links.problems)
    trenches, dug = [cut for _, cut in pipes.ways], [cut for _, cut in pipes.pits]
    return earth_trenches(taken, trenches, dug, stands, beds, built, notes, filled, (bedding, under), problems, whole)


def _among_links(sample: Sampled) -> Sampled:
    """A bed as it shares ground with other beds alone."""
    return replace(sample, beside=tuple(other for other in sample.beside if isinstance(other, Ditch)))


def _cautions(one: Standing, pools: Sequence[str], groundwater: float | None) -> Iterator[Words]:
    yield LOCATE_SERVICES()
    if one.hole.batter == 0:
        yield UPRIGHT_SIDES()
    if pools and not one.wall:
        yield HOLE_IN_POOL_DIG(pools=", ".join(f"'{name}'" for name in pools))
    if groundwater is not None:
        over = groundwater - one.hole.bottom
        yield from HOLE_IN_GROUNDWATER.where(over, over, over, over=(over, LENGTH))


def _notes(sample: Sampled, groundwater: float | None) -> Iterator[Words]:
    """What survey and groundwater call for at one that is dug; groundwater in the hole of a body or wall is told with that."""
    one = sample.cut
    if sample.unknown:
        yield EXCAVATION_NOT_SURVEYED()
    if groundwater is not None:
        over = groundwater - _low(one)
        rule = BED_IN_GROUNDWATER if isinstance(one, Ditch) else TRENCH_IN_GROUNDWATER
        yield from rule.where(over, over, over, over=(over, LENGTH))


def _low(one: Cut | Hole | Ditch) -> float:
    """Level of the lowest bottom [m]; of a hole none, as that is told with what stands in it."""
    if isinstance(one, Cut):
        return min(one.start[2], one.end[2])
    return min(z for *_, z in one.line) if isinstance(one, Ditch) else math.inf


def _den_pit(box: Box, room: float, bedding: float) -> Cut:
    """The pit of a den, in line with the first run that ends there."""
    way = np.array([box.here[0] - box.there[0], box.here[1] - box.there[1]])
    away = float(np.hypot(*way))
    way = way / away if away > UPRIGHT else np.array([1.0, 0.0])
    start = np.array(box.here[:2]) - way * (box.wall + room / 2)
    end = np.array(box.here[:2]) + way * (box.size[0] + box.wall + room / 2)
    ends = [(float(x), float(y), box.underside - bedding) for x, y in (start, end)]
    return Cut(box.name, ends[0], ends[1], box.size[1] + 2 * box.wall + room)


def _boxed(box: Box, deep: float) -> float:
    """Outside volume of a box, as far as its pit is deep [m³]."""
    long, wide, high = (side + 2 * box.wall for side in box.size)
    return long * wide * min(high, max(deep, 0.0))
