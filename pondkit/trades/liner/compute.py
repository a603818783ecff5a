"""Computes the liners of an option with their fabrics, what lies round them, and what holds them down against
groundwater when the pools are empty.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Entry, Range, entry, total, within
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem
from pondkit.core.sentence import words
from pondkit.core.tables import densest_water
from pondkit.core.units import AREA, COUNT, LENGTH
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import Terrain
from pondkit.trades.liner import cautions as rules
from pondkit.trades.liner import edge
from pondkit.trades.liner import formulas as rel
from pondkit.trades.liner.edge import folds, footprints
from pondkit.trades.liner.fabrics import (
    SIDES,
    BurrowZone,
    StoneFootprint,
    boulder_pads,
    burrow_pads,
    burrow_zones,
    fabrics,
    pad_side,
    stone_footprints,
    too_large,
)
from pondkit.trades.liner.inputs import Lining, lined_pools
from pondkit.trades.liner.liners import SeamChecks, liner_result, seam_marks
from pondkit.trades.liner.panels import Fall, falls_of, link_strips, links_on_one
from pondkit.trades.liner.results import Extras, LinerFootprint, LiningResult, Uplift
from pondkit.trades.pools.inputs import Link, Pool
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs import Boulder
from pondkit.trades.stone.results import StoneResult


@dataclass(frozen=True)
class LevelParts:
    """Shelves and floors of a pool's liner: name of the pool, and (level, gravel on it) of each [m]."""

    name: str
    parts: tuple[tuple[float, float], ...]

    def worst(self, gravel_weight: float) -> tuple[float, float]:
        """Shelf or floor that groundwater lifts first; ``gravel_weight``: density of gravel over that of water."""
        return min(self.parts, key=lambda part: part[0] + part[1] * gravel_weight)

    @property
    def foot(self) -> float:
        """Level at which the lowest face emerges from the gravel [m]."""
        return min(level + gravel for level, gravel in self.parts)


@dataclass(frozen=True)
class Ballast:
    """Stone on a pool's liner above groundwater: name of the pool, low dry masses [kg], and number of stones without a
    place on the plan.
    """

    name: str
    masses: tuple[float, ...]
    unplaced: int


def level_parts(lining: Lining, pools: Sequence[PoolResult]) -> tuple[LevelParts, ...]:
    """Shelves and floors of each lined pool's liner, its lowest place included, with the gravel on each."""
    lined = lined_pools(lining)
    return tuple(
        LevelParts(pool.name, tuple(_level_parts(pool.surfaces.liner, pool.surfaces.finished)))
        for pool in pools
        if pool.name in lined
    )


def _level_parts(liner: SiteSurface, finished: SiteSurface) -> Iterator[tuple[float, float]]:
    yield liner.level - liner.surface.deepest, liner.surface.deepest - finished.surface.deepest
    for part, over in zip(liner.surface.parts, finished.surface.parts, strict=True):
        tops = {line.owner: line.level for _, _, line in over.profile.levels}
        for start, _, line in part.profile.levels:
            if line.owner >= 0 and line.level is not None and start < part.shape.inradius:
                top = tops.get(line.owner)
                yield liner.level - line.level, 0.0 if top is None else line.level - top


def ballast_of(
    lining: Lining,
    pools: Sequence[PoolResult],
    stones: StoneResult | None,
    groundwater: float | None,
) -> tuple[Ballast, ...]:
    """Stone on a pool's liner below the groundwater level: boulders that name the pool, stones that rest on them,
    edging set inside.

    A stone placed where the liner is above the groundwater holds nothing down, and is left out. Pools with uncertain
    stone have no ballast.
    """
    if stones is None or groundwater is None:
        return ()
    lined, ballast = lined_pools(lining), []
    for pool in pools:
        surface = pool.surfaces.liner
        dry = groundwater <= surface.level - surface.surface.deepest
        if dry or pool.name not in lined or pool.name in stones.in_doubt:
            continue
        masses, unplaced = _boulder_masses(pool.name, surface, stones, groundwater)
        masses += [
            row.mass.least
            for row in stones.rows
            if (row.edging.pool, row.edging.seat) == (pool.name, "inside") and row.edging.base_level < groundwater
        ]
        if masses:
            ballast.append(Ballast(pool.name, tuple(masses), unplaced))
    return tuple(ballast)


def _boulder_masses(
    pool: str, surface: SiteSurface, stones: StoneResult, groundwater: float
) -> tuple[list[float], int]:
    """(low mass of each kind of boulder on a pool's liner below the groundwater level [kg], number without a place)."""
    by_name = {kind.boulder.name: kind.boulder for kind in stones.kinds}
    masses, unplaced = [], 0
    for kind in stones.kinds:
        if _lowest(kind.boulder, by_name).pool != pool:
            continue
        places = np.array(kind.boulder.places, dtype=float).reshape(-1, 2)
        bare, count = kind.boulder.count - len(places), kind.boulder.count
        if len(places):
            depths = surface.surface.depth_at(surface.placed.to_own(places))
            count = int(np.sum(surface.level - depths < groundwater)) + bare
        if count:
            masses.append(count * kind.mass.least)
            unplaced += bare
    return masses, unplaced


def _lowest(boulder: Boulder, by_name: dict[str, Boulder]) -> Boulder:
    """The boulder on the ground at the bottom of a stack; the boulder itself if the stack is incomplete or circular."""
    met, lower = {boulder.name}, boulder
    while lower.rests_on is not None and lower.rests_on in by_name and lower.rests_on not in met:
        lower = by_name[lower.rests_on]
        met.add(lower.name)
    return lower


@remembered
def uplift(
    lining: Lining, pools: tuple[LevelParts, ...], ballast: tuple[Ballast, ...], groundwater: float | None
) -> Uplift:
    """Uplift of each empty pool's liner: groundwater against the gravel on the shelf or floor lifted first, and the
    weight of stone as a separate figure.

    Args:
        lining: Inputs of the liners.
        pools: Shelves and floors of each lined pool.
        ballast: Stone on their liners above groundwater.
        groundwater: Highest known groundwater level [m]; None if unknown.
    """
    density, source = densest_water()
    water = Range(density, density, density, source)
    typical, share = float(lining.gravel_density), float(lining.gravel_density_within)
    bulk = within(typical, share, source="density of the gravel: user input")
    left, pushed, ballasts = [], [], []
    for pool in pools:
        level, gravel = pool.worst(float(lining.gravel_density) / density)
        if groundwater is None or groundwater <= min(level for level, _ in pool.parts):
            continue
        below: dict[str, Any] = {"groundwater": groundwater, "floor_level": level, "water_density": water}
        above: dict[str, Any] = {"gravel": gravel, "gravel_density": bulk}
        bare = groundwater - pool.foot
        faces = [rules.FACES_WITHOUT_GRAVEL(head=(bare, LENGTH))] if bare > 0 else []
        left.append(entry(rel.liner_uplift, pool.name, source=USER, cautions=faces, **below, **above))
        pushed.append(entry(rel.uplift_pressure, pool.name, source=USER, gravity=GRAVITY, **below))
        ballasts.append(entry(rel.gravel_holds, pool.name, source=USER, gravity=GRAVITY, **above))
    stones = []
    for stone in ballast:
        notes = [rules.LIFTS_BETWEEN_STONES(), *_unplaced(stone)]
        stones.append(entry(rel.stone_holds, stone.name, cautions=notes, masses=stone.masses, gravity=GRAVITY))
    return Uplift(tuple(left), tuple(pushed), tuple(ballasts), tuple(stones))


def _unplaced(ballast: Ballast) -> tuple[Caution, ...]:
    return (rules.STONES_WITHOUT_PLACE(count=(ballast.unplaced, COUNT)),) if ballast.unplaced else ()


GAIN = 0.0254  # m: least excess of a roll's width and length over the lap


@dataclass(frozen=True)
class LinerContacts:
    """Stones on the liners, and pipes through them.

    Attributes:
        boulders: Inputs of the boulders.
        stones: Result of the stone; None if there is none.
        penetrations: (name, place on the site [m]) of each.
    """

    boulders: tuple[Boulder, ...]
    stones: StoneResult | None
    penetrations: tuple[tuple[str, tuple[float, float, float]], ...]


@dataclass(frozen=True)
class LinerSurroundings:
    """Ground and water round the liners.

    Attributes:
        ground: Existing ground in site axes; None if it has a problem.
        groundwater: Highest known groundwater level [m]; None if unknown.
        water_rise: Height of the highest water above the level at rest [m].
        channel_depths: Water depth in each channel where it is known [m].
    """

    ground: Terrain | None
    groundwater: float | None
    water_rise: float
    channel_depths: tuple[Entry, ...]


def compute(
    lining: Lining | None,
    pool_inputs: tuple[Pool, ...],
    pools: tuple[PoolResult, ...],
    links: tuple[Link, ...],
    contacts: LinerContacts,
    around: LinerSurroundings,
    complete: bool,
) -> LiningResult | None:
    """Liners of an option with their fabrics; None if it has none.

    Args:
        lining: Inputs of the liners.
        pool_inputs: Inputs of all pools.
        pools: Those without problems.
        links: Inputs of the links.
        contacts: Stones on the liners, and pipes through them.
        around: Ground and water round the liners.
        complete: False if a pool has a problem; there are no totals then.
    """
    if lining is None:
        return None
    surfaces = {pool.name: pool.surfaces.liner for pool in pools}
    covering = footprints(lining, surfaces)
    lifted = uplift(
        lining,
        level_parts(lining, pools),
        ballast_of(lining, pools, contacts.stones, around.groundwater),
        around.groundwater,
    )
    extras = _extras(
        lining,
        covering,
        falls_of(lining, links, surfaces, around.channel_depths),
        stone_footprints(lining, contacts.boulders),
        burrow_zones(lining, pool_inputs, pools),
        edge.soils_beside(lining, covering, around.ground),
        lifted,
    )
    checks = SeamChecks(seam_marks(contacts.boulders, contacts.penetrations), around.water_rise)
    names = tuple(pool.name for pool in pool_inputs)
    return _lining(lining, covering, names, links_on_one(lining, links), checks, extras, complete)


@remembered
def _extras(
    lining: Lining,
    covering: tuple[LinerFootprint, ...],
    falls: tuple[Fall, ...],
    stones: tuple[StoneFootprint, ...],
    burrows: tuple[BurrowZone | Problem, ...],
    soils: tuple[edge.Soil, ...],
    lifted: Uplift,
) -> Extras:
    """Figures of strips, pads, edges, trenches and groundwater.

    Args:
        lining: Inputs of the liners.
        covering: The liners with their pools.
        falls: Links between pools without problems.
        stones: Boulders on a liner.
        burrows: Zones in which burrowing is expected, or their problems.
        soils: Highest ground beside each rim where a liner is turned up.
        lifted: Uplift of the liners by groundwater.
    """
    strips = tuple(link_strips(lining, falls))
    bare = [] if pad_side(lining) else [rules.PADS_WITHOUT_FABRIC()]
    zones = [zone for zone in burrows if isinstance(zone, BurrowZone)]
    margin, claws = lining.pad_margin, [rules.FABRIC_SLOWS_CLAWS(), *bare]
    return Extras(
        link_strip_length=tuple(length for length, _, _ in strips),
        link_strip_width=tuple(width for _, width, _ in strips),
        link_strip_area=tuple(area for _, _, area in strips),
        pad_area=tuple(
            entry(
                rel.pad_area,
                stone.name,
                source=USER,
                cautions=bare,
                count=float(stone.count),
                long=stone.long,
                wide=stone.wide,
                margin=margin,
            )
            for stone in stones
        ),
        burrow_pad_area=tuple(
            entry(
                rel.burrow_pad_area, zone.name, source=USER, cautions=claws, surface=zone.surface, stretch=zone.stretch
            )
            for zone in zones
        ),
        rim_fold=tuple(fold for footprint in covering for fold in folds(footprint)),
        trench_edge=tuple(edge.trench_edges(lining, covering)),
        edge_spare=tuple(edge.edge_spare(lining, footprint) for footprint in covering),
        edge_above_soil=tuple(edge.edges_above_soil(lining, soils)),
        trench_volume=tuple(edge.trenches(lining, covering)),
        uplift=lifted,
        pads=(
            *boulder_pads(lining, [(stone.name, stone.count, stone.long, stone.wide) for stone in stones]),
            *(pad for zone in zones for pad in burrow_pads(lining, zone.name, zone.bands, zone.stretch)),
        ),
        anchored=tuple(footprint for footprint in covering if footprint.trench is not None),
        problems=tuple(problem for problem in burrows if isinstance(problem, Problem)),
    )


@remembered
def _lining(
    lining: Lining,
    covering: tuple[LinerFootprint, ...],
    pools: tuple[str, ...],
    on_one: tuple[tuple[str, str], ...],
    checks: SeamChecks,
    extras: Extras,
    all_sound: bool,
) -> LiningResult:
    """All figures of an option's liners.

    Args:
        lining: Inputs of the liners.
        covering: The liners with their pools.
        pools: Names of all pools of the option.
        on_one: (liner, link) where both pools of a link lie on that liner.
        checks: Places that seams should avoid, and the highest water.
        extras: Figures of strips, pads, edges and groundwater.
        all_sound: False if a pool has a problem; there are no totals then.
    """
    problems = _problems(lining, pools)
    bare = [name for name in pools if not any(name in liner.covers for liner in lining.liners)]
    notes = [rules.POOLS_WITHOUT_LINER(names=", ".join(bare))] if bare else []
    faulty = {problem.path[2] for problem in problems if problem.path[:2] == ("lining", "liners")}
    sized = not any(problem.path[:2] != ("lining", "liners") for problem in problems)
    liners = tuple(
        liner_result(lining, footprint, [*notes, *_links(footprint, on_one)], checks)
        for footprint in covering
        if sized and lining.liners.index(footprint.liner) not in faulty
    )
    complete = all_sound and not problems and len(liners) == len(lining.liners)
    strips = {side: tuple(liner.strips[side] for liner in liners if side in liner.strips) for side in SIDES}
    cut = fabrics(lining, strips, extras.pads) if complete else None
    trouble = cut.problems if cut else tuple(too_large(lining, extras.pads)) if sized else ()
    padded = pad_side(lining) if trouble else None

    def summed(name: str, pads: Entry | None = None) -> Entry | None:
        figures = [figure for liner in liners if (figure := getattr(liner, name)) is not None]
        if not complete or not figures or (padded and name.startswith(padded)):
            return None
        return total("", [*figures, *([pads] if pads else [])], AREA)

    return LiningResult(
        liners,
        summed("liner_made_area"),
        summed("underlay_area_order", cut.underlay_pad_order if cut else None),
        summed("overlay_area_order", cut.overlay_pad_order if cut else None),
        cut,
        extras,
        (*problems, *trouble, *extras.problems),
    )


def _links(footprint: LinerFootprint, on_one: tuple[tuple[str, str], ...]) -> list[Caution]:
    links = [link for liner, link in on_one if liner == footprint.liner.name]
    return [rules.LINK_ON_ONE_LINER(links=", ".join(links))] if links else []


def _problems(lining: Lining, pools: tuple[str, ...]) -> list[Problem]:
    """Problems of liners that cover no pool, or one twice, and of rolls hardly wider than their lap."""
    problems = list(_cover_problems(lining, pools))
    sides: list[tuple[Path, float]] = [
        (("lining", "stock_width"), lining.stock_width),
        (("lining", "stock_length"), lining.stock_length),
    ]
    sides += [
        (("lining", "rolls", index, field), getattr(roll, field))
        for index, roll in enumerate(lining.rolls)
        for field in ("width", "length")
    ]
    least = lining.seam_lap + GAIN
    problems += [_narrow(path, size, lining.seam_lap, "seam lap") for path, size in sides if size < least]
    for side in ("underlay", "overlay"):
        fabric = getattr(lining, side)
        for field in ("roll_width", "roll_length") if fabric is not None else ():
            if getattr(fabric, field) < fabric.lap + GAIN:
                problems.append(_narrow(("lining", side, field), getattr(fabric, field), fabric.lap, "lap"))
    return problems


def _cover_problems(lining: Lining, pools: tuple[str, ...]) -> Iterator[Problem]:
    covered: dict[str, str] = {}
    for index, liner in enumerate(lining.liners):
        path = ("lining", "liners", index, "covers")
        for number, name in enumerate(liner.covers):
            if name not in pools:
                yield Problem(
                    path,
                    words(f"no pool is called '{name}'"),
                    words(f"pools of this option: {', '.join(pools)}"),
                    words("choose one of these, or rename the pool"),
                )
            elif name in covered or name in liner.covers[:number]:
                yield Problem(
                    path,
                    words(f"'{name}' lies under '{covered.get(name, liner.name)}' already"),
                    words("each pool under one liner"),
                    words("take it out of one of the two"),
                )
            covered.setdefault(name, liner.name)


def _narrow(path: Path, size: float, lap: float, goods: str) -> Problem:
    return Problem(
        path,
        words("{size} gains only {gain} a piece over the lap", size=(size, LENGTH), gain=(size - lap, LENGTH)),
        words(f"at least {{gain}} more than the {goods} of {{lap}}", gain=(GAIN, LENGTH), lap=(lap, LENGTH)),
        words("choose a wider or longer one, or a smaller lap"),
    )
