"""Computes clearances: ``compute`` the distance of each footprint to each keep-out, and what the way in lets through;
``compute_stones`` the boulders over mouths, pipes, dens, edges of pits, bodies and walls.

The advice in a caution depends on the kind of keep-out and on what comes too near to it: a dig, a heap, a machine's
body, or its boom.
"""

from collections.abc import Sequence
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
from pondkit.trades.clearances import formulas as relations
from pondkit.trades.clearances.inputs import CLOSED, KeepOut, WayIn
from pondkit.trades.clearances.results import ClearancesResult, StoneOnWorks
from pondkit.trades.earthwork.results import StreamBed, Structure
from pondkit.trades.lifting.results import LiftingResult, LiftSite
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs import Boulder
from pondkit.trades.stone.results import StoneResult
from pondkit.trades.tunnels.results import TunnelsResult

DIG_ADVICE = {
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
MACHINE_ADVICE = {
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
    "overhead service": DIG_ADVICE["overhead service"],
}
BOOM_ADVICE = {
    "boundary": (
        "Boom or load swings out of the boundary, or nearer to it than the clearance: agree it with the neighbour "
        "and keep people out"
    ),
    "building": "Boom or load swings at a building: lift from another position, or have the swing limited and watched",
    "tree": (
        "Boom or load swings within the tree's clearance: keep clear of crown and trunk, or lift from another position"
    ),
    "overhead service": DIG_ADVICE["overhead service"],
}
HEAP_ADVICE = {
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
ADVICE = {
    "dig": (rules.DIG_NEAR, DIG_ADVICE),
    "heap": (rules.HEAP_NEAR, HEAP_ADVICE),
    "machine": (rules.MACHINE_NEAR, MACHINE_ADVICE),
    "boom": (rules.BOOM_NEAR, BOOM_ADVICE),
}
NEARER = "Nearer to '{name}' than its clearance"
INTO = "Runs into '{name}'"
BEYOND = "Goes beyond '{name}'"


@dataclass(frozen=True)
class WayLoad:
    """A stone that must come in by the way in.

    Attributes:
        name: Its name.
        width: Width that it takes, carried with its longest side along the way and its shortest upright [m].
    """

    name: str
    width: float


@remembered
def site_constraints(keep_outs: tuple[KeepOut, ...]) -> tuple[tuple[SiteConstraint, ...], tuple[Problem, ...]]:
    """(keep-outs that can be drawn, problems of the others)."""
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
def clearances_of(footprint: Footprint, keep_outs: tuple[SiteConstraint, ...], work: str = "dig") -> tuple[Entry, ...]:
    """Clearance of one footprint to each keep-out, with a caution where it is too small.

    Args:
        footprint: Plan of a dig, fill, wall, machine, boom or way in.
        keep_outs: The keep-outs.
        work: What comes near them: "dig", "heap" of soil, "machine" or "boom". It selects the advice.
    """
    figures = []
    for keep_out in keep_outs:
        away = distance(footprint, keep_out)
        cautions: list[Caution] = []
        if away < keep_out.clearance - 1e-9 or away <= 0:
            nearness = NEARER if away > 0 else INTO if away == 0 else BEYOND
            cautions.append(rules.KEEP_OUT_NEAR(nearness=nearness.format(name=keep_out.name)))
            rule, advice = ADVICE[work]
            if keep_out.kind in advice:
                cautions.append(rule(advice=advice[keep_out.kind]))
        figures.append(
            entry(
                relations.keep_out_distance,
                f"{footprint.name} / {keep_out.name}",
                cautions=cautions,
                distance=away,
                clearance=keep_out.clearance,
            )
        )
    return tuple(figures)


@remembered
def clearances_result(
    keep_outs: tuple[SiteConstraint, ...],
    problems: tuple[Problem, ...],
    clearances: tuple[Entry, ...],
    way_in: WayIn | None,
    way: Footprint | None,
    loads: Sequence[WayLoad],
    machines: tuple[Footprint, ...],
) -> ClearancesResult:
    """Clearances and the way in, gathered into one result.

    Args:
        keep_outs, problems: The keep-outs that can be drawn, and the problems of the others.
        clearances: Clearance of each footprint to each keep-out.
        way_in: The machine's way in; None if the site has none.
        way: Its footprint; None if fewer than two places of it are entered.
        loads: Stones that must come in by it.
        machines: Footprints of machines, and areas swept by their booms.
    """
    too_near = [figure for figure in clearances if figure.cautions]
    entered = None
    if keep_outs:
        notes = [rules.CLEARANCE_NOT_KEPT(pair=figure.subject, away=(figure.value, LENGTH)) for figure in too_near]
        names = {_keep_out_name(figure.subject, keep_outs) for figure in too_near}
        entered = entry(relations.keep_outs_entered, "", cautions=notes, entered=float(len(names)))
    return ClearancesResult(
        entered,
        entry(
            relations.way_spare,
            "",
            source=USER,
            cautions=_way_in_cautions(way_in),
            clear_width=way_in.clear_width,
            machine_width=way_in.machine_width,
            room=way_in.room,
        )
        if way_in
        else None,
        entry(
            relations.way_stone_width,
            "",
            source=USER,
            cautions=_too_wide_cautions(way_in, loads),
            clear_width=way_in.clear_width,
            room=way_in.room,
        )
        if way_in
        else None,
        clearances,
        keep_outs,
        way,
        machines,
        problems,
    )


def _keep_out_name(subject: str, keep_outs: tuple[SiteConstraint, ...]) -> str:
    """Name of the keep-out of a pair; the longest that fits, as one name may end like another."""
    return max((each.name for each in keep_outs if subject.endswith(f" / {each.name}")), key=len)


def _way_in_cautions(way_in: WayIn) -> list[Caution]:
    notes = [rules.WAY_OF_ONE_PLACE()] if len(way_in.points) == 1 else []
    if way_in.machine_slope is None:
        return [*notes, rules.CLIMB_NOT_ENTERED()]
    return [*notes, *([rules.WAY_TOO_STEEP()] if way_in.slope > way_in.machine_slope else [])]


def _too_wide_cautions(way_in: WayIn, loads: Sequence[WayLoad]) -> list[Caution]:
    width = relations.way_stone_width(way_in.clear_width, way_in.room)
    return [
        rules.STONE_TOO_WIDE(boulder=load.name, width=(load.width, LENGTH))
        for load in loads
        if load.width > width + 1e-9
    ]


UNDER_BOOMS = ("buried service", "overflow outfall")  # kinds of keep-out in the ground, which no boom comes near


def compute(
    keep_outs: tuple[KeepOut, ...],
    way_in: WayIn | None,
    pools: tuple[PoolResult, ...],
    beds: tuple[StreamBed, ...],
    works: LiftSite,
    lifts: LiftingResult | None,
    boulders: tuple[Boulder, ...],
) -> ClearancesResult | None:
    """Clearances of digs, fills, machines and the way in; None if the site has neither keep-outs nor a way in.

    Args:
        keep_outs, way_in: Inputs of the site.
        pools: Pools without problems.
        beds: Stream beds.
        works: The excavations, structures and fills beside the pools.
        lifts: The lift plan; None if the option has none.
        boulders: Boulders that must come in by the way in.
    """
    if not keep_outs and way_in is None:
        return None
    constraints, problems = site_constraints(keep_outs)
    digs = [pool.surfaces.dig for pool in pools]
    excavations: list[Footprint] = [
        dig_footprint(
            pool.name, dig.surface.pool.shape, dig.placed, max(pool.ground.reach if pool.ground else 0.0, dig.rim)
        )
        for pool, dig in zip(pools, digs, strict=True)
    ]
    excavations += [hole_footprint(structure.hole) for structure in works.structures]
    excavations += [ditch_footprint(bed.cut) for bed in beds]
    clearances = [clearances_of(footprint, constraints) for footprint in excavations]
    trenches = tuple(clearances_of(cut_footprint(cut), constraints) for cut in works.buried)
    clearances.append(_nearest_trenches(trenches))
    clearances += [clearances_of(heap.footprint, constraints, "heap") for heap in works.heaped]
    bodies, booms = _machine_footprints(lifts) if keep_outs else ((), ())
    clearances += [clearances_of(body, constraints, "machine") for body in bodies]
    clearances += [clearances_of(boom, _above_ground(constraints), "boom") for boom in booms]
    way = way_footprint("way in", way_in.points, float(way_in.machine_width + 2 * way_in.room)) if way_in else None
    if way:
        clearances.append(clearances_of(way, _but_boundaries(constraints)))
    # Carried with its longest side along the way and its shortest upright, a stone is as wide as its middle side.
    loads = tuple(WayLoad(b.name, float(sorted(b.axes)[1] * (1 + b.axes_within))) for b in boulders)
    figures = tuple(figure for row in clearances for figure in row)
    return clearances_result(constraints, problems, figures, way_in, way, loads, (*bodies, *booms))


@remembered
def _nearest_trenches(rows: tuple[tuple[Entry, ...], ...]) -> tuple[Entry, ...]:
    """Of many trenches, for each keep-out those that are too near, or else the nearest; ``rows``: one per trench."""
    figures: list[Entry] = []
    for of_one in zip(*rows, strict=True):
        figures += [figure for figure in of_one if figure.cautions] or [min(of_one, key=lambda figure: figure.value)]
    return tuple(figures)


def _machine_footprints(lifts: LiftingResult | None) -> tuple[tuple[Footprint, ...], tuple[Footprint, ...]]:
    """(footprints of the machine at its positions, areas that its boom sweeps with the stones set from there)."""
    if lifts is None:
        return (), ()
    bodies, booms = [], []
    for index, (name, place, _, pick_up) in enumerate(lifts.positions):
        bodies.append(body_footprint(f"machine at {name}", place, lifts.size))
        swings = tuple(
            (pick_up, single_lift.load.at, single_lift.phases.swing.radius + single_lift.load.half_length)
            for single_lift in lifts.lifts
            if single_lift.position == index
        )
        if swings:
            booms.append(swept_footprint(f"boom at {name}", place, tuple(sorted(swings))))
    return tuple(bodies), tuple(booms)


@remembered
def _above_ground(keep_outs: tuple[SiteConstraint, ...]) -> tuple[SiteConstraint, ...]:
    """Keep-outs of a boom: all except those in the ground."""
    return tuple(keep_out for keep_out in keep_outs if keep_out.kind not in UNDER_BOOMS)


@remembered
def _but_boundaries(keep_outs: tuple[SiteConstraint, ...]) -> tuple[SiteConstraint, ...]:
    """Keep-outs of the way in, which crosses the boundary."""
    return tuple(keep_out for keep_out in keep_outs if not keep_out.within)


Spot = tuple[float, float, float]
LISTED = 12  # pairs named by a caution


def compute_stones(
    stones: StoneResult | None,
    pipes: TunnelsResult | None,
    buried: tuple[TrenchCut, ...],
    structures: tuple[Structure, ...],
    pools: tuple[PoolResult, ...],
) -> StoneOnWorks | None:
    """Placed boulders that overlap other works in plan, and mouths unless the boulder lies wholly below; None if no
    boulder is placed.

    Args:
        stones: Result of the stone; None if the option has none.
        pipes: Result of the tunnels; None if the option has none.
        buried: Trenches of pipe and pits of dens; a pit is named "pit of …".
        structures: Bodies of the water side, and walls.
        pools: Pools without problems, for the edges of their pits.
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
        boulders: ("boulder number", plan on the site, level of its top) [m] of each that is placed.
        runs: (run, start, end, outside diameter) [m] of each pipe.
        mouths: (name, place [m]) of each mouth; each is taken as wide as the widest pipe.
        dens, bodies: Footprints of dens, bodies and walls.
        edges: Outline of each pit of a pool: a stone inside it stands on its floor, one across its edge does not.
    """
    stones = tuple(ring_footprint(name, plan_ring(plan)) for name, plan, _ in boulders)
    widest = max((outside for *_, outside in runs), default=0.0)
    pipes = tuple(line_footprint(name, (start[:2], end[:2]), outside) for name, start, end, outside in runs)
    ends = tuple(line_footprint(name, (place[:2],), widest) for name, place in mouths)
    undersides = [place[2] - widest / 2 for _, place in mouths]
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
            (i, j)
            for i, j in met_by(stones, works_of_kind)
            if works_of_kind is not ends or boulders[i][2] > undersides[j]
        ]
        pairs = [f"{stones[i].name} on {works_of_kind[j].name}" for i, j in met]
        count += len(pairs)
        notes += [rule(pairs=_listed(pairs)).of(stones[i].name for i, _ in met)] if pairs else []
    return StoneOnWorks(entry(relations.boulders_on_works, "", cautions=notes, pairs=float(count)))


def _listed(pairs: Sequence[str]) -> str:
    more = f"; and {len(pairs) - LISTED} more" if len(pairs) > LISTED else ""
    return "; ".join(pairs[:LISTED]) + more
