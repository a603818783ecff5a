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
    """Level parts of a pool's liner: the pool, and (level, gravel on it) of each [m]."""

    name: str
    parts: tuple[tuple[float, float], ...]

    def worst(self, gravel_weight: float) -> tuple[float, float]:
        """The part that groundwater lifts first; ``gravel_weight`` is gravel's density over water's."""
        return min(self.parts, key=lambda part: part[0] + part[1] * gravel_weight)

    @property
    def foot(self) -> float:
        """Level at which the lowest face comes out of the gravel [m]."""
        return min(level + gravel for level, gravel in self.parts)


@dataclass(frozen=True)
class Ballast:
    """Stone that stands on a pool's liner where groundwater pushes: the pool, low masses, dry [kg], and how many
    stones have no place on the plan.
    """

    name: str
    masses: tuple[float, ...]
    unplaced: int


def level_parts(lining: Lining, pools: Sequence[PoolResult]) -> tuple[LevelParts, ...]:
    """The level parts of each lined pool's liner, its lowest place among them, and the gravel on each."""
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
    """Stone that stands on a pool's liner under the groundwater: boulders that name the pool, what rests on them,
    edging set inside.

    One that is placed where the liner lies above the groundwater holds nothing down, and is left out. Of a pool whose
    stone is in doubt there is none.
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
    """Low mass of each kind of boulder on a pool's liner under the groundwater [kg], and how many have no place."""
    named = {kind.boulder.name: kind.boulder for kind in stones.kinds}
    masses, unplaced = [], 0
    for kind in stones.kinds:
        if _lowest(kind.boulder, named).pool != pool:
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


def _lowest(boulder: Boulder, named: dict[str, Boulder]) -> Boulder:
    """The boulder on the ground under one that rests on others; itself where the stack leads nowhere or round."""
    met, at = {boulder.name}, boulder
    while at.rests_on is not None and at.rests_on in named and at.rests_on not in met:
        at = named[at.rests_on]
        met.add(at.name)
    return at


@remembered
def uplift(
    lining: Lining, pools: tuple[LevelParts, ...], ballast: tuple[Ballast, ...], groundwater: float | None
) -> Uplift:
    """Groundwater under each empty pool, against the gravel on the part that it lifts first, and the stone as a weight
    of its own.

    Args:
        lining: As entered.
        pools: Level parts of each lined pool.
        ballast: Stone that stands on them where groundwater pushes.
        groundwater: Highest known level [m]; None where unknown.
    """
    density, source = densest_water()
    water = Range(density, density, density, source)
    typical, share = float(lining.gravel_density), float(lining.gravel_density_within)
    bulk = within(typical, share, source="density of the gravel: user input")
    left, pushed, held = [], [], []
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
        held.append(entry(rel.gravel_holds, pool.name, source=USER, gravity=GRAVITY, **above))
    stones = []
    for stone in ballast:
        notes = [rules.LIFTS_BETWEEN_STONES(), *_unplaced(stone)]
        stones.append(entry(rel.stone_holds, stone.name, cautions=notes, masses=stone.masses, gravity=GRAVITY))
    return Uplift(tuple(left), tuple(pushed), tuple(held), tuple(stones))


def _unplaced(ballast: Ballast) -> tuple[Caution, ...]:
    return (rules.STONES_WITHOUT_PLACE(count=(ballast.unplaced, COUNT)),) if ballast.unplaced else ()


GAIN = 0.0254  # m: least that a roll must be wider and longer than its lap


@dataclass(frozen=True)
class LinerContacts:
    """What stands on the liners or goes through them.

    Attributes:
        boulders: As entered.
        stones: As worked out; None without any.
        penetrations: (name, place on the site [m]) of each.
    """

    boulders: tuple[Boulder, ...]
    stones: StoneResult | None
    penetrations: tuple[tuple[str, tuple[float, float, float]], ...]


@dataclass(frozen=True)
class LinerSurroundings:
    """Ground and water round the liners.

    Attributes:
        ground: As it is, site axes; None where it is in trouble.
        groundwater: Highest known level [m]; None where unknown.
        water_rise: Of the highest water over the level at rest [m].
        channel_depths: Of the water that runs in channels, as far as it is known.
    """

    ground: Terrain | None
    groundwater: float | None
    water_rise: float
    channel_depths: tuple[Entry, ...]


def compute(
    lining: Lining | None,
    drawn: tuple[Pool, ...],
    pools: tuple[PoolResult, ...],
    links: tuple[Link, ...],
    contacts: LinerContacts,
    around: LinerSurroundings,
    whole: bool,
) -> LiningResult | None:
    """Liners with their fabrics; None where the option has none.

    Args:
        lining: As entered.
        drawn: All pools, as drawn.
        pools: Those that could be worked out.
        links: As drawn.
        contacts: What stands on the liners or goes through them.
        around: Ground and water round them.
        whole: False where a pool is in trouble: then there are no totals.
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
        burrow_zones(lining, drawn, pools),
        edge.soils_beside(lining, covering, around.ground),
        lifted,
    )
    checks = SeamChecks(seam_marks(contacts.boulders, contacts.penetrations), around.water_rise)
    names = tuple(pool.name for pool in drawn)
    return _lining(lining, covering, names, links_on_one(lining, links), checks, extras, whole)


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
    """Every figure round the liners.

    Args:
        lining: As entered.
        covering: The liners with their pools.
        falls: Links between pools that could be worked out.
        stones: Boulders that stand on a liner.
        burrows: Zones in which burrowing is expected, or what is wrong with them.
        soils: The ground beside each rim at which a liner is turned up.
        lifted: Groundwater under the liners.
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
    whole: bool,
) -> LiningResult:
    """Every figure of an option's liners.

    Args:
        lining: As entered.
        covering: The liners with their pools.
        pools: Names of all pools of the option.
        on_one: (liner, link) where both pools of a link lie on that liner.
        checks: What seams are held against.
        extras: What lies round the liners.
        whole: False where a pool is in trouble: then there are no totals.
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
    complete = whole and not problems and len(liners) == len(lining.liners)
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
    """Liners that cover no pool or one twice, and rolls that hardly gain on their lap."""
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


def _narrow(path: Path, size: float, lap: float, what: str) -> Problem:
    return Problem(
        path,
        words("{size} gains only {gain} a piece over the lap", size=(size, LENGTH), gain=(size - lap, LENGTH)),
        words(f"at least {{gain}} more than the {what} of {{lap}}", gain=(GAIN, LENGTH), lap=(lap, LENGTH)),
        words("choose a wider or longer one, or a smaller lap"),
    )
