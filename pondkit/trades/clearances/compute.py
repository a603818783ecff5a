"""Clearances: how near digs, heaps, machines, booms and way in come to what they keep clear of, what the way in lets
through, and what boulders must not stand on: mouths, pipes, dens, pits' edges, bodies and walls.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pondkit.core.caution import Caution, CautionRule
from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.geometry.footprint import (
    Footprint,
    SiteConstraint,
    StonePlan,
    body_footprint,
    dig_footprint,
    distance,
    edge_footprint,
    line_footprint,
    met_by,
    plan_ring,
    ring_footprint,
    site_constraint,
    swept_footprint,
    way_footprint,
)
from pondkit.geometry.hole import hole_footprint
from pondkit.geometry.trench import TrenchCut, cut_footprint, ditch_footprint
from pondkit.trades.clearances import cautions as rules
from pondkit.trades.clearances import formulas as rel
from pondkit.trades.clearances.inputs import CLOSED, KeepOut, WayIn
from pondkit.trades.clearances.results import ClearancesResult, StoneOnWorks
from pondkit.trades.earthwork.results import StreamBed, Structure
from pondkit.trades.lifting.results import LiftingResult, LiftSite
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs import Boulder
from pondkit.trades.stone.results import StoneResult
from pondkit.trades.tunnels.results import TunnelsResult

ENTERED = {
    "boundary": (
        "It leaves the boundary, or comes nearer to it than the clearance: the neighbour's ground and local rules "
        "decide; have the line set out"
    ),
    "building": "Digging beside a building may undermine its footing: an engineer judges it before any dig",
    "tree": "Roots cut here may kill the tree or make it fall: ask an arborist; protected trees need a permit",
    "buried service": (
        "Buried service: have it located and marked before any dig (in the USA about two working days ahead), "
        "uncover it by hand, and keep to its owner's rules"
    ),
    "overhead service": (
        "Overhead line: no machine, boom or load within its owner's clearance; ask the owner before work begins"
    ),
    "overflow outfall": (
        "The outfall's water would run into the dig, or its ground be cut away: lead it elsewhere while the dig is open"
    ),
}
STANDS = {
    "boundary": (
        "The machine stands out of the boundary, or nearer to it than the clearance: agree it with the neighbour"
    ),
    "building": (
        "A machine beside a building presses on its footing and cellar walls: an engineer judges it before it "
        "stands there"
    ),
    "tree": (
        "A machine over roots crushes them: another place, or mats by an arborist's word; protected trees need a permit"
    ),
    "buried service": (
        "A machine over or beside a buried service: have it located and marked, and ask its owner what it bears"
    ),
    "overhead service": ENTERED["overhead service"],
}
SWINGS = {
    "boundary": (
        "Boom or load swings out of the boundary, or nearer to it than the clearance: agree it with the neighbour "
        "and keep people out"
    ),
    "building": "Boom or load swings at a building: lift from another position, or have the swing limited and watched",
    "tree": (
        "Boom or load swings within the tree's clearance: keep clear of crown and trunk, or lift from another position"
    ),
    "overhead service": ENTERED["overhead service"],
}
HEAPS = {
    "boundary": (
        "Soil heaped beyond the boundary, or nearer to it than the clearance: what slides or washes off it is the "
        "neighbour's; local rules decide"
    ),
    "building": "Soil heaped against a building presses on its wall and keeps it damp: an engineer judges it first",
    "tree": "Soil heaped over roots smothers them: ask an arborist; protected trees need a permit",
    "buried service": (
        "Soil heaped over a buried service loads it and keeps its owner from it: have it located, and ask its owner"
    ),
    "overhead service": (
        "A heap under an overhead line takes from its clearance, and so does who stands on it: ask its owner before "
        "work begins"
    ),
    "overflow outfall": "A heap here dams the outfall's water up, or is washed away by it: lead the water round it",
}
RULES = {
    "digs": (rules.DIG_NEAR, ENTERED),
    "heaps": (rules.HEAP_NEAR, HEAPS),
    "stands": (rules.MACHINE_NEAR, STANDS),
    "swings": (rules.BOOM_NEAR, SWINGS),
}
NEARER = "Nearer to '{name}' than the clearance entered for it"
INTO = "Runs into '{name}'"
BEYOND = "Goes beyond '{name}'"


@dataclass(frozen=True)
class WayLoad:
    """A thing that must come in by the way: its name, and the width that it takes when carried lengthwise [m]."""

    name: str
    width: float


@remembered
def site_constraints(keep_outs: tuple[KeepOut, ...]) -> tuple[tuple[SiteConstraint, ...], tuple[Problem, ...]]:
    """(things to keep clear of, problems of those that are not valid)."""
    shapes, problems = [], []
    for index, keep_out in enumerate(keep_outs):
        shape = site_constraint(
            keep_out.name,
            keep_out.kind,
            float(keep_out.clearance),
            keep_out.points,
            keep_out.kind in CLOSED,
            keep_out.kind == "boundary",
        )
        if shape:
            shapes.append(shape)
        else:
            problems.append(_not_drawn(index, keep_out))
    return tuple(shapes), tuple(problems)


def _not_drawn(index: int, keep_out: KeepOut) -> Problem:
    closed = keep_out.kind in CLOSED
    count = len(keep_out.points)
    entered = (
        f"{count} place{'' if count == 1 else 's'} given" if count < (3 if closed else 1) else "its line crosses itself"
    )
    return Problem(
        ("site", "keep_outs", index, "points"),
        words(f"'{keep_out.name}' cannot be drawn: {entered}"),
        words(
            f"a {keep_out.kind} is a closed line round some area, of three places or more"
            if closed
            else "one place or more"
        ),
        words("add or move places, choose another kind, or remove it"),
    )


@remembered
def clear_of(footprint: Footprint, things: tuple[SiteConstraint, ...], does: str = "digs") -> tuple[Entry, ...]:
    """Clearance of one dig, fill, wall or machine to every keep-out, with a caution if it is too small.

    Args:
        footprint: Its footprint.
        things: Things to keep clear of.
        does: "digs", "heaps" for soil, "stands" for a machine's body, or "swings" for its boom; selects the caution.
    """
    figures = []
    for thing in things:
        away = distance(footprint, thing)
        notes = (
            [
                rules.KEEP_OUT_NEAR(
                    nearness=(NEARER if away > 0 else INTO if away == 0 else BEYOND).format(name=thing.name)
                ),
                *_warned(thing, does),
            ]
            if away < thing.clearance - 1e-9 or away <= 0
            else []
        )
        figures.append(
            entry(
                rel.keep_out_distance,
                f"{footprint.name} / {thing.name}",
                cautions=notes,
                distance=away,
                clearance=thing.clearance,
            )
        )
    return tuple(figures)


def _warned(thing: SiteConstraint, does: str) -> Iterator[Caution]:
    rule, advice = RULES[does]
    if thing.kind in advice:
        yield rule(advice=advice[thing.kind])


@remembered
def clearances_result(
    shapes_problems: tuple[tuple[SiteConstraint, ...], tuple[Problem, ...]],
    distances: tuple[tuple[Entry, ...], ...],
    way_in: WayIn | None,
    way: Footprint | None,
    loads: Sequence[WayLoad],
    machines: tuple[Footprint, ...],
) -> ClearancesResult:
    """Clearances of digs, machines, booms and the way in, gathered into one result.

    Args:
        shapes_problems: Result of ``site_constraints``.
        distances: Results of ``clear_of``, one per footprint.
        way_in: The machine's way in; None if the site has none.
        way: Its footprint, as far as it is entered.
        loads: Loads that must come in by it.
        machines: Footprints of machines, and areas swept by their booms.
    """
    things, problems = shapes_problems
    every = tuple(figure for row in distances for figure in row)
    short = [figure for figure in every if figure.cautions]
    entered = None
    if things:
        notes = [rules.CLEARANCE_NOT_KEPT(pair=figure.subject, away=(figure.value, LENGTH)) for figure in short]
        met = {thing.name for thing in things for figure in short if figure.subject.endswith(f" / {thing.name}")}
        entered = entry(rel.keep_outs_entered, "", cautions=notes, entered=float(len(met)))
    return ClearancesResult(
        entered,
        entry(
            rel.way_spare,
            "",
            source=USER,
            cautions=_way_notes(way_in),
            clear_width=way_in.clear_width,
            machine_width=way_in.machine_width,
            room=way_in.room,
        )
        if way_in
        else None,
        entry(
            rel.way_stone_width,
            "",
            source=USER,
            cautions=_too_wide(way_in, loads),
            clear_width=way_in.clear_width,
            room=way_in.room,
        )
        if way_in
        else None,
        every,
        things,
        way,
        machines,
        problems,
    )


def _way_notes(way_in: WayIn) -> list[Caution]:
    notes = [rules.WAY_OF_ONE_PLACE()] if len(way_in.points) == 1 else []
    if way_in.machine_slope is None:
        return [*notes, rules.CLIMB_NOT_ENTERED()]
    return [*notes, *([rules.WAY_TOO_STEEP()] if way_in.slope > way_in.machine_slope else [])]


def _too_wide(way_in: WayIn, loads: Sequence[WayLoad]) -> list[Caution]:
    width = way_in.clear_width - 2 * way_in.room
    return [
        rules.STONE_TOO_WIDE(boulder=load.name, width=(load.width, LENGTH))
        for load in loads
        if load.width > width + 1e-9
    ]


BELOW = ("buried service", "overflow outfall")  # what no boom meets


def compute(
    keep_outs: tuple[KeepOut, ...],
    way_in: WayIn | None,
    pools: tuple[PoolResult, ...],
    beds: tuple[StreamBed, ...],
    around: LiftSite,
    lifts: LiftingResult | None,
    boulders: tuple[Boulder, ...],
) -> ClearancesResult | None:
    """Clearances of digs, fills, machines and the way in; None without keep-outs and way in.

    Args:
        keep_outs, way_in: Inputs of the site.
        pools: Those without problems.
        beds: Stream beds.
        around: Other excavations, structures and fills.
        lifts: The lift plan; None if the option has none.
        boulders: Boulders that must come in by the way in.
    """
    if not keep_outs and way_in is None:
        return None
    shapes_problems = site_constraints(keep_outs)
    digs = [pool.surfaces.dig for pool in pools]
    prints: list[Footprint] = [
        dig_footprint(
            pool.name, dig.surface.pool.shape, dig.placed, max(pool.ground.reach if pool.ground else 0.0, dig.rim)
        )
        for pool, dig in zip(pools, digs, strict=True)
    ]
    prints += [hole_footprint(structure.hole) for structure in around.structures]
    prints += [ditch_footprint(structure.cut) for structure in beds]
    distances = [clear_of(structure, shapes_problems[0]) for structure in prints]
    buried = tuple(clear_of(cut_footprint(cut), shapes_problems[0]) for cut in around.buried)
    distances.append(_nearest(buried))
    distances += [clear_of(structure.footprint, shapes_problems[0], "heaps") for structure in around.heaped]
    bodies, booms = _machines(lifts) if keep_outs else ((), ())
    distances += [clear_of(structure, shapes_problems[0], "stands") for structure in bodies]
    above = _above(shapes_problems[0])
    distances += [clear_of(structure, above, "swings") for structure in booms]
    way_area = way_footprint("way in", way_in.points, float(way_in.machine_width + 2 * way_in.room)) if way_in else None
    if way_area:
        crossed = _crossed(shapes_problems[0])
        distances.append(clear_of(way_area, crossed))
    # Carried with its longest side along the way and its shortest vertical: as wide as its middle side.
    loads = tuple(WayLoad(b.name, float(sorted(b.axes)[1] * (1 + b.axes_within))) for b in boulders)
    return clearances_result(shapes_problems, tuple(distances), way_in, way_area, loads, (*bodies, *booms))


@remembered
def _nearest(rows: tuple[tuple[Entry, ...], ...]) -> tuple[Entry, ...]:
    """Of many trenches, those too near to each keep-out, or else the nearest one."""
    figures: list[Entry] = []
    for column in zip(*rows, strict=True):
        figures += [figure for figure in column if figure.cautions] or [min(column, key=lambda figure: figure.value)]
    return tuple(figures)


def _machines(lifts: LiftingResult | None) -> tuple[tuple[Footprint, ...], tuple[Footprint, ...]]:
    """(footprints of the machine at its positions, areas swept by its boom with the stones set from there)."""
    if lifts is None:
        return (), ()
    bodies, booms = [], []
    for index, (name, place, _, pick_up) in enumerate(lifts.positions):
        bodies.append(body_footprint(f"machine at {name}", place, lifts.size))
        swings = tuple(
            (pick_up, single_lift.load.at, single_lift.phases[1].radius + single_lift.load.half_length)
            for single_lift in lifts.lifts
            if single_lift.position == index
        )
        if swings:
            booms.append(swept_footprint(f"boom at {name}", place, tuple(sorted(swings))))
    return tuple(bodies), tuple(booms)


@remembered
def _above(things: tuple[SiteConstraint, ...]) -> tuple[SiteConstraint, ...]:
    """Keep-outs of a boom: all except those in the ground."""
    return tuple(thing for thing in things if thing.kind not in BELOW)


@remembered
def _crossed(things: tuple[SiteConstraint, ...]) -> tuple[SiteConstraint, ...]:
    """Keep-outs of the way in, which crosses the boundary."""
    return tuple(thing for thing in things if not thing.within)


Spot = tuple[float, float, float]
LISTED = 12  # pairs named by a caution


def compute_stones(
    stones: StoneResult | None,
    pipes: TunnelsResult | None,
    buried: tuple[TrenchCut, ...],
    structures: tuple[Structure, ...],
    pools: tuple[PoolResult, ...],
) -> StoneOnWorks | None:
    """Placed boulders that overlap other works in plan; mouths only if the boulder is not entirely below them. None if
    no boulder is placed.

    Args:
        stones: The stone.
        pipes: The passages.
        buried: Trenches of pipe and pits of dens.
        structures: Bodies of the water side, and walls.
        pools: With their pits.
    """
    if stones is None or not stones.boulder_plans:
        return None
    return stones_on_works(
        tuple((*named, top) for named, top in zip(stones.boulder_plans, stones.boulder_tops, strict=True)),
        pipes.lines if pipes else (),
        tuple((name, place) for name, kind, place in pipes.places if kind == "mouth") if pipes else (),
        tuple(cut_footprint(cut) for cut in buried if cut.name.startswith("pit of ")),
        tuple(hole_footprint(each.body) for each in structures),
        tuple(
            edge_footprint(f"pit {number} of {pool.name}", pit.shape, pit.placed, pool.surfaces.placed)
            for pool in pools
            for number, pit in enumerate(pool.surfaces.finished.surface.pits, 1)
        ),
    )


@remembered
def stones_on_works(
    boulders: tuple[tuple[str, StonePlan, float], ...],
    runs: tuple[tuple[str, Spot, Spot, float], ...],
    mouths: tuple[tuple[str, Spot], ...],
    dens: tuple[Footprint, ...],
    bodies: tuple[Footprint, ...],
    edges: tuple[Footprint, ...],
) -> StoneOnWorks:
    """Placed boulders that overlap other works in plan.

    Args:
        boulders: ("boulder number", plan on the site, level of its top) of each that is placed [m].
        runs: (run, start, end, outside diameter) of each pipe [m].
        mouths: (name, place) of each mouth [m].
        dens, bodies: Footprints of dens, bodies and walls.
        edges: Outline of each pit of a pool: a stone inside it stands on its floor, one across its edge does not.
    """
    stones = tuple(ring_footprint(name, plan_ring(plan)) for name, plan, _ in boulders)
    widest = max((outside for *_, outside in runs), default=0.0)
    pipes = tuple(line_footprint(name, (start[:2], end[:2]), outside) for name, start, end, outside in runs)
    ends = tuple(line_footprint(name, (place[:2],), widest) for name, place in mouths)
    lowest = [place[2] - widest / 2 for _, place in mouths]  # of each mouth, at the outside of its pipe
    works: tuple[tuple[CautionRule, tuple[Footprint, ...]], ...] = (
        (rules.STONE_ON_MOUTH, ends),
        (rules.STONE_ON_DEN, dens),
        (rules.STONE_ON_BODY, bodies),
        (rules.STONE_ON_PIPE, pipes),
        (rules.STONE_OVER_PIT_EDGE, edges),
    )
    if not stones or not any(works_of_kind for _, works_of_kind in works):
        return StoneOnWorks(None)
    notes, count = [], 0
    for rule, works_of_kind in works:
        met = [
            (i, j) for i, j in met_by(stones, works_of_kind) if works_of_kind is not ends or boulders[i][2] > lowest[j]
        ]
        pairs = [f"{stones[i].name} on {works_of_kind[j].name}" for i, j in met]
        count += len(pairs)
        notes += [rule(pairs=_listed(pairs)).of(stones[i].name for i, _ in met)] if pairs else []
    return StoneOnWorks(entry(rel.boulders_on_works, "", cautions=notes, pairs=float(count)))


def _listed(pairs: Sequence[str]) -> str:
    more = f"; and {len(pairs) - LISTED} more" if len(pairs) > LISTED else ""
    return "; ".join(pairs[:LISTED]) + more
