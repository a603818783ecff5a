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
    Kept,
    StonePlan,
    body_footprint,
    dig_footprint,
    distance,
    edge_footprint,
    kept,
    line_footprint,
    met_by,
    plan_ring,
    ring_footprint,
    swept_footprint,
    way_footprint,
)
from pondkit.geometry.hole import hole_footprint
from pondkit.geometry.trench import TrenchCut, cut_footprint, ditch_footprint
from pondkit.trades.clearances import cautions as rules
from pondkit.trades.clearances import formulas as rel
from pondkit.trades.clearances.inputs import CLOSED, KeepOut, WayIn
from pondkit.trades.clearances.results import KeptResult, StoneOnWorks
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
def kept_things(drawn: tuple[KeepOut, ...]) -> tuple[tuple[Kept, ...], tuple[Problem, ...]]:
    """What is kept clear of, and problems of what could not be drawn."""
    things, problems = [], []
    for index, one in enumerate(drawn):
        thing = kept(one.name, one.kind, float(one.clearance), one.points, one.kind in CLOSED, one.kind == "boundary")
        if thing:
            things.append(thing)
        else:
            problems.append(_not_drawn(index, one))
    return tuple(things), tuple(problems)


def _not_drawn(index: int, thing: KeepOut) -> Problem:
    closed = thing.kind in CLOSED
    count = len(thing.points)
    given = (
        f"{count} place{'' if count == 1 else 's'} given" if count < (3 if closed else 1) else "its line crosses itself"
    )
    return Problem(
        ("site", "keep_outs", index, "points"),
        words(f"'{thing.name}' cannot be drawn: {given}"),
        words(
            f"a {thing.kind} is a closed line round some area, of three places or more"
            if closed
            else "one place or more"
        ),
        words("add or move places, choose another kind, or remove it"),
    )


@remembered
def clear_of(footprint: Footprint, things: tuple[Kept, ...], does: str = "digs") -> tuple[Entry, ...]:
    """How near one dig, heap, wall or machine comes to everything that is kept clear,
    with a caution where it is too near.

    Args:
        footprint: What is taken up.
        things: What is kept clear of.
        does: "digs", "heaps" of soil, "stands" of a machine's body, or "swings" of its
            boom: says what the caution warns of.
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


def _warned(thing: Kept, does: str) -> Iterator[Caution]:
    rule, advice = RULES[does]
    if thing.kind in advice:
        yield rule(advice=advice[thing.kind])


@remembered
def kept_result(
    drawn: tuple[tuple[Kept, ...], tuple[Problem, ...]],
    distances: tuple[tuple[Entry, ...], ...],
    way_in: WayIn | None,
    way: Footprint | None,
    loads: Sequence[WayLoad],
    machines: tuple[Footprint, ...],
) -> KeptResult:
    """Clearances of digs, machines, booms and the way in, gathered into one result.

    Args:
        drawn: As ``kept_things`` gives it.
        distances: As ``clear_of`` gives them, one tuple a footprint.
        way_in: The machine's way in; None where the site has none.
        way: What it takes up, as far as it is drawn.
        loads: What must come in by it.
        machines: What machines take up, and what their booms sweep.
    """
    things, problems = drawn
    every = tuple(figure for row in distances for figure in row)
    short = [figure for figure in every if figure.cautions]
    entered = None
    if things:
        notes = [rules.CLEARANCE_NOT_KEPT(pair=figure.subject, away=(figure.value, LENGTH)) for figure in short]
        met = {thing.name for thing in things for figure in short if figure.subject.endswith(f" / {thing.name}")}
        entered = entry(rel.keep_outs_entered, "", cautions=notes, entered=float(len(met)))
    return KeptResult(
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


def _way_notes(way: WayIn) -> list[Caution]:
    notes = [rules.WAY_OF_ONE_PLACE()] if len(way.points) == 1 else []
    if way.machine_slope is None:
        return [*notes, rules.CLIMB_NOT_ENTERED()]
    return [*notes, *([rules.WAY_TOO_STEEP()] if way.slope > way.machine_slope else [])]


def _too_wide(way: WayIn, loads: Sequence[WayLoad]) -> list[Caution]:
    width = way.clear_width - 2 * way.room
    return [
        rules.STONE_TOO_WIDE(boulder=load.name, width=(load.width, LENGTH))
        for load in loads
        if load.width > width + 1e-9
    ]


BELOW = ("buried service", "overflow outfall")  # what no boom meets


def compute(
    keep_outs: tuple[KeepOut, ...],
    way: WayIn | None,
    pools: tuple[PoolResult, ...],
    beds: tuple[StreamBed, ...],
    around: LiftSite,
    lifts: LiftingResult | None,
    boulders: tuple[Boulder, ...],
) -> KeptResult | None:
    """How near digs, heaps, machines and way in come to what is kept clear; None with neither that nor a way in.

    Args:
        keep_outs, way: Of the site, as drawn.
        pools: Those that could be worked out.
        beds: Stream beds, as they are dug.
        around: What is dug, built and heaped besides.
        lifts: The lift plan; None where the option has none.
        boulders: Those that must come in by the way.
    """
    if not keep_outs and way is None:
        return None
    drawn = kept_things(keep_outs)
    digs = [pool.surfaces.dig for pool in pools]
    prints: list[Footprint] = [
        dig_footprint(
            pool.name, dig.surface.pool.shape, dig.placed, max(pool.ground.reach if pool.ground else 0.0, dig.rim)
        )
        for pool, dig in zip(pools, digs, strict=True)
    ]
    prints += [hole_footprint(structure.hole) for structure in around.structures]
    prints += [ditch_footprint(structure.cut) for structure in beds]
    distances = [clear_of(structure, drawn[0]) for structure in prints]
    buried = tuple(clear_of(cut_footprint(cut), drawn[0]) for cut in around.buried)
    distances.append(_nearest(buried))
    distances += [clear_of(structure.footprint, drawn[0], "heaps") for structure in around.heaped]
    bodies, booms = _machines(lifts) if keep_outs else ((), ())
    distances += [clear_of(structure, drawn[0], "stands") for structure in bodies]
    above = _above(drawn[0])
    distances += [clear_of(structure, above, "swings") for structure in booms]
    taken = way_footprint("way in", way.points, float(way.machine_width + 2 * way.room)) if way else None
    if taken:
        crossed = _crossed(drawn[0])
        distances.append(clear_of(taken, crossed))
    # Carried with its longest side along the way, upright on its shortest: as wide as its middle side.
    loads = tuple(WayLoad(b.name, float(sorted(b.axes)[1] * (1 + b.axes_within))) for b in boulders)
    return kept_result(drawn, tuple(distances), way, taken, loads, (*bodies, *booms))


@remembered
def _nearest(rows: tuple[tuple[Entry, ...], ...]) -> tuple[Entry, ...]:
    """Of many trenches those that come too near each thing that is kept clear, or
    else the one that comes nearest to it.
    """
    figures: list[Entry] = []
    for column in zip(*rows, strict=True):
        figures += [figure for figure in column if figure.cautions] or [min(column, key=lambda figure: figure.value)]
    return tuple(figures)


def _machines(lifts: LiftingResult | None) -> tuple[tuple[Footprint, ...], tuple[Footprint, ...]]:
    """Bodies of the machine at its positions, and what its boom sweeps with the stones that it sets from there."""
    if lifts is None:
        return (), ()
    bodies, booms = [], []
    for index, (name, at, _, pick_up) in enumerate(lifts.spots):
        bodies.append(body_footprint(f"machine at {name}", at, lifts.size))
        swings = tuple(
            (pick_up, each.load.at, each.phases[1].radius + each.load.half)
            for each in lifts.lifts
            if each.position == index
        )
        if swings:
            booms.append(swept_footprint(f"boom at {name}", at, tuple(sorted(swings))))
    return tuple(bodies), tuple(booms)


@remembered
def _above(things: tuple[Kept, ...]) -> tuple[Kept, ...]:
    """What a boom keeps clear of: all but what lies in the ground."""
    return tuple(thing for thing in things if thing.kind not in BELOW)


@remembered
def _crossed(things: tuple[Kept, ...]) -> tuple[Kept, ...]:
    """What the way in keeps clear of: it crosses the boundary to come in."""
    return tuple(thing for thing in things if not thing.within)


Spot = tuple[float, float, float]
LISTED = 12  # pairs that a caution names


def compute_stones(
    stones: StoneResult | None,
    pipes: TunnelsResult | None,
    buried: tuple[TrenchCut, ...],
    structures: tuple[Structure, ...],
    pools: tuple[PoolResult, ...],
) -> StoneOnWorks | None:
    """Which placed boulder lies over what on the plan, of mouths which one does not stand wholly below; None without
    one that is placed.

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
    """Which placed boulder lies over what on the plan.

    Args:
        boulders: ("boulder number", plan on the site, level of its top) of each that is placed [m].
        runs: (run, start, end, outside diameter) of each pipe [m].
        mouths: (name, place) of each mouth [m].
        dens, bodies: What dens, bodies and walls take up.
        edges: The outline of each pit of a pool: a stone within it stands on its floor, one over its edge does not.
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
    if not stones or not any(things for _, things in works):
        return StoneOnWorks(None)
    notes, count = [], 0
    for rule, things in works:
        met = [(i, j) for i, j in met_by(stones, things) if things is not ends or boulders[i][2] > lowest[j]]
        pairs = [f"{stones[i].name} on {things[j].name}" for i, j in met]
        count += len(pairs)
        notes += [rule(pairs=_listed(pairs)).of(stones[i].name for i, _ in met)] if pairs else []
    return StoneOnWorks(entry(rel.boulders_on_works, "", cautions=notes, pairs=float(count)))


def _listed(pairs: Sequence[str]) -> str:
    more = f"; and {len(pairs) - LISTED} more" if len(pairs) > LISTED else ""
    return "; ".join(pairs[:LISTED]) + more
