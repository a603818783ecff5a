"""The liners of an option with their fabrics, what belongs to them besides their size, and their uplift by groundwater
when the pools are empty.
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
from pondkit.trades.liner.fabrics import (
    FABRICS,
    BouldersOnLiner,
    BurrowZone,
    boulder_pads,
    boulders_on_liner,
    burrow_pads,
    burrow_zones,
    fabrics,
    pad_fabric,
    too_large,
)
from pondkit.trades.liner.inputs import Lining, lined_pools
from pondkit.trades.liner.liners import SeamChecks, footprints_of, liner_result, seam_obstacles
from pondkit.trades.liner.results import Extras, LinerFootprint, LiningResult, Uplift
from pondkit.trades.pools.inputs import Link, Pool
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs import Boulder
from pondkit.trades.stone.results import StoneResult

LEAST_GAIN = 0.0254  # m: a roll is wider and longer than the lap by this at least


@dataclass(frozen=True)
class LinerContacts:
    """Stones on the liners, and pipes through them.

    Attributes:
        boulders: Inputs of the boulders.
        stones: Result of boulders and edging; None if there is none.
        penetrations: (name, place on the site [m]) of each pipe.
    """

    boulders: tuple[Boulder, ...]
    stones: StoneResult | None
    penetrations: tuple[tuple[str, tuple[float, float, float]], ...]


@dataclass(frozen=True)
class LinerSurroundings:
    """Ground and water round the liners.

    Attributes:
        ground: Existing ground in site axes; None if it has a problem.
        groundwater: Site level of the highest known groundwater [m]; None if unknown.
        water_rise: Height of the highest water above the level at rest [m].
        channel_depths: Depth of the water that runs in each channel, where it is known [m].
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
    pools_complete: bool,
) -> LiningResult | None:
    """Liners of an option with their fabrics; None if it has none.

    Args:
        lining: Inputs of the liners.
        pool_inputs: Inputs of all pools.
        pools: Results of those without problems.
        links: Inputs of the links.
        contacts: Stones on the liners, and pipes through them.
        around: Ground and water round the liners.
        pools_complete: False if a pool has a problem; there are no totals then.
    """
    if lining is None:
        return None
    surfaces = {pool.name: pool.surfaces.liner for pool in pools}
    footprints = footprints_of(lining, surfaces)
    uplift_of_pools = uplift(
        lining,
        level_parts(lining, pools),
        ballast_of(lining, pools, contacts.stones, around.groundwater),
        around.groundwater,
    )
    extras = _extras(
        lining,
        footprints,
        edge.link_beds(lining, links, surfaces, around.channel_depths),
        boulders_on_liner(lining, contacts.boulders),
        burrow_zones(lining, pool_inputs, pools),
        edge.ground_beside(lining, footprints, around.ground),
        uplift_of_pools,
    )
    checks = SeamChecks(seam_obstacles(contacts.boulders, contacts.penetrations), around.water_rise)
    names = tuple(pool.name for pool in pool_inputs)
    links_on_one = edge.links_on_one(lining, links)
    return _lining(lining, footprints, names, links_on_one, checks, extras, pools_complete)


@remembered
def _extras(
    lining: Lining,
    footprints: tuple[LinerFootprint, ...],
    beds: tuple[edge.LinkBed, ...],
    boulders: tuple[BouldersOnLiner, ...],
    burrows: tuple[BurrowZone | Problem, ...],
    grounds: tuple[edge.GroundBeside, ...],
    uplift_of_pools: Uplift,
) -> Extras:
    """What belongs to the liners besides their size.

    Args:
        lining: Inputs of the liners.
        footprints: The liners with their pools.
        beds: Links that need a strip of liner.
        boulders: Boulders on a liner.
        burrows: Zones in which burrowing is expected, or their problems.
        grounds: Highest ground beside each turned-up edge.
        uplift_of_pools: Uplift of the liners by groundwater.
    """
    strips = tuple(edge.link_strips(lining, beds))
    without_fabric = [] if pad_fabric(lining) else [rules.PADS_WITHOUT_FABRIC()]
    zones = [zone for zone in burrows if isinstance(zone, BurrowZone)]
    return Extras(
        link_strip_length=tuple(length for length, _, _ in strips),
        link_strip_width=tuple(width for _, width, _ in strips),
        link_strip_area=tuple(area for _, _, area in strips),
        pad_area=tuple(_pad_area(lining, kind, without_fabric) for kind in boulders),
        burrow_pad_area=tuple(
            entry(
                rel.burrow_pad_area,
                zone.name,
                source=USER,
                cautions=[rules.FABRIC_SLOWS_CLAWS(), *without_fabric],
                surface=zone.surface,
                stretch=zone.stretch,
            )
            for zone in zones
        ),
        rim_fold=tuple(fold for footprint in footprints for fold in edge.folds(footprint)),
        trench_edge=tuple(edge.trench_edges(lining, footprints)),
        edge_spare=tuple(edge.edge_spare(lining, footprint) for footprint in footprints),
        edge_above_soil=tuple(edge.edges_above_soil(lining, grounds)),
        trench_volume=tuple(edge.trench_volumes(lining, footprints)),
        uplift=uplift_of_pools,
        pads=(
            *boulder_pads(lining, boulders),
            *(pad for zone in zones for pad in burrow_pads(lining, zone)),
        ),
        anchored=tuple(footprint for footprint in footprints if footprint.trench is not None),
        problems=tuple(problem for problem in burrows if isinstance(problem, Problem)),
    )


def _pad_area(lining: Lining, kind: BouldersOnLiner, cautions: Sequence[Caution]) -> Entry:
    """Area of the pads under the boulders of one kind."""
    return entry(
        rel.pad_area,
        kind.name,
        source=USER,
        cautions=cautions,
        count=float(kind.count),
        long=kind.long,
        wide=kind.wide,
        margin=lining.pad_margin,
    )


@remembered
def _lining(
    lining: Lining,
    footprints: tuple[LinerFootprint, ...],
    pools: tuple[str, ...],
    links_on_one: tuple[tuple[str, str], ...],
    checks: SeamChecks,
    extras: Extras,
    pools_complete: bool,
) -> LiningResult:
    """All figures of an option's liners.

    Args:
        lining: Inputs of the liners.
        footprints: The liners with their pools.
        pools: Names of all pools of the option.
        links_on_one: (liner, link) of each link between two pools that one liner covers.
        checks: What seams are checked against.
        extras: What belongs to the liners besides their size.
        pools_complete: False if a pool has a problem; there are no totals then.
    """
    problems = _problems(lining, pools)
    unlined = [name for name in pools if not any(name in liner.covers for liner in lining.liners)]
    unlined_caution = [rules.POOLS_WITHOUT_LINER(names=", ".join(unlined))] if unlined else []
    faulty_liners = {problem.path[2] for problem in problems if problem.path[:2] == ("lining", "liners")}
    sizes_are_sound = not any(problem.path[:2] != ("lining", "liners") for problem in problems)
    liners = tuple(
        liner_result(lining, footprint, [*unlined_caution, *_link_cautions(footprint, links_on_one)], checks)
        for footprint in footprints
        if sizes_are_sound and lining.liners.index(footprint.liner) not in faulty_liners
    )
    complete = pools_complete and not problems and len(liners) == len(lining.liners)
    strips = {name: tuple(liner.strips[name] for liner in liners if name in liner.strips) for name in FABRICS}
    rolls = fabrics(lining, strips, extras.pads) if complete else None
    pad_problems = rolls.problems if rolls else tuple(too_large(lining, extras.pads)) if sizes_are_sound else ()
    fabric_in_doubt = pad_fabric(lining) if pad_problems else None

    def total_of(key: str, pads: Entry | None = None) -> Entry | None:
        figures = [figure for liner in liners if (figure := getattr(liner, key)) is not None]
        if not complete or not figures or (fabric_in_doubt and key.startswith(fabric_in_doubt)):
            return None
        return total("", [*figures, *([pads] if pads else [])], AREA)

    return LiningResult(
        liners=liners,
        total_liner_order=total_of("liner_made_area"),
        total_underlay_order=total_of("underlay_area_order", rolls.underlay_pad_order if rolls else None),
        total_overlay_order=total_of("overlay_area_order", rolls.overlay_pad_order if rolls else None),
        fabrics=rolls,
        extras=extras,
        problems=(*problems, *pad_problems, *extras.problems),
    )


def _link_cautions(footprint: LinerFootprint, links_on_one: tuple[tuple[str, str], ...]) -> list[Caution]:
    """The caution of a liner that covers both pools of links."""
    links = [link for name, link in links_on_one if name == footprint.liner.name]
    return [rules.LINK_ON_ONE_LINER(links=", ".join(links))] if links else []


def _problems(lining: Lining, pools: tuple[str, ...]) -> list[Problem]:
    """Problems of liners that cover pools that do not exist, or one twice, and of rolls hardly wider than their lap."""
    problems = list(_cover_faults(lining, pools))
    sides: list[tuple[Path, float]] = [
        (("lining", "stock_width"), lining.stock_width),
        (("lining", "stock_length"), lining.stock_length),
    ]
    sides += [
        (("lining", "rolls", index, field), getattr(roll, field))
        for index, roll in enumerate(lining.rolls)
        for field in ("width", "length")
    ]
    least = lining.seam_lap + LEAST_GAIN
    problems += [_narrow_fault(path, size, lining.seam_lap, "seam lap") for path, size in sides if size < least]
    for name in FABRICS:
        fabric = getattr(lining, name)
        for field in ("roll_width", "roll_length") if fabric is not None else ():
            if getattr(fabric, field) < fabric.lap + LEAST_GAIN:
                problems.append(_narrow_fault(("lining", name, field), getattr(fabric, field), fabric.lap, "lap"))
    return problems


def _cover_faults(lining: Lining, pools: tuple[str, ...]) -> Iterator[Problem]:
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
                    words(f"'{name}' is covered by '{covered.get(name, liner.name)}' already"),
                    words("each pool covered by one liner"),
                    words("take it out of one of the two"),
                )
            covered.setdefault(name, liner.name)


def _narrow_fault(path: Path, size: float, lap: float, name_of_lap: str) -> Problem:
    """Problem of a width or length [m] that is hardly more than its lap."""
    return Problem(
        path,
        words("{size} gains only {gain} a piece over the lap", size=(size, LENGTH), gain=(size - lap, LENGTH)),
        words(
            f"at least {{gain}} more than the {name_of_lap} of {{lap}}", gain=(LEAST_GAIN, LENGTH), lap=(lap, LENGTH)
        ),
        words("choose a wider or longer one, or a smaller lap"),
    )


# --- uplift by groundwater ---


@dataclass(frozen=True)
class LevelParts:
    """Shelves and floors of a pool's liner.

    Attributes:
        name: Name of the pool.
        parts: (site level of the liner, thickness of the gravel on it) of each [m].
    """

    name: str
    parts: tuple[tuple[float, float], ...]

    def lifted_first(self, gravel_to_water: float) -> tuple[float, float]:
        """(level, thickness of gravel) of the shelf or floor that groundwater lifts first [m].

        Args:
            gravel_to_water: Density of the gravel over that of water.
        """
        return min(self.parts, key=lambda part: part[0] + part[1] * gravel_to_water)

    @property
    def foot_of_faces(self) -> float:
        """Lowest site level at which a face comes out of the gravel [m]."""
        return min(level + gravel for level, gravel in self.parts)


@dataclass(frozen=True)
class Ballast:
    """Stone that stands on a pool's liner where groundwater pushes.

    Attributes:
        name: Name of the pool.
        masses: Low dry mass of each kind of boulder, all together, and of the row of edging inside [kg].
        unplaced: Number of boulders among them that have no place on the plan.
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
    """(site level, thickness of gravel) of the lowest place of a liner, then of every shelf and floor [m]."""
    yield liner.level - liner.surface.deepest, liner.surface.deepest - finished.surface.deepest
    for part, finished_part in zip(liner.surface.parts, finished.surface.parts, strict=True):
        gravel_tops = {line.owner: line.level for _, _, line in finished_part.profile.levels}
        for start, _, line in part.profile.levels:
            if line.owner >= 0 and line.level is not None and start < part.shape.inradius:
                gravel_top = gravel_tops.get(line.owner)
                yield liner.level - line.level, 0.0 if gravel_top is None else line.level - gravel_top


def ballast_of(
    lining: Lining,
    pools: Sequence[PoolResult],
    stones: StoneResult | None,
    groundwater: float | None,
) -> tuple[Ballast, ...]:
    """Stone that stands on each pool's liner where groundwater pushes: boulders that name the pool, stones that rest on
    them, edging inside.

    A stone placed where the liner lies above the groundwater holds nothing down, and is left out. A pool whose stone is
    uncertain has no ballast.

    Args:
        lining: Inputs of the liners.
        pools: Results of the pools without problems.
        stones: Result of boulders and edging; None if there is none.
        groundwater: Site level of the highest known groundwater [m]; None if unknown.
    """
    if stones is None or groundwater is None:
        return ()
    lined, ballast = lined_pools(lining), []
    for pool in pools:
        surface = pool.surfaces.liner
        above_groundwater = groundwater <= surface.level - surface.surface.deepest
        if above_groundwater or pool.name not in lined or pool.name in stones.in_doubt:
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
    """(low mass of all boulders of each kind that stand where groundwater pushes [kg], number of them without a place).

    Args:
        pool: Name of the pool.
        surface: Its liner.
        stones: Result of boulders and edging.
        groundwater: Site level of the groundwater [m].
    """
    by_name = {kind.boulder.name: kind.boulder for kind in stones.kinds}
    masses, unplaced = [], 0
    for kind in stones.kinds:
        if _bottom_of_stack(kind.boulder, by_name).pool != pool:
            continue
        places = np.array(kind.boulder.places, dtype=float).reshape(-1, 2)
        without_place, count = kind.boulder.count - len(places), kind.boulder.count
        if len(places):
            depths = surface.surface.depth_at(surface.placed.to_own(places))
            count = int(np.sum(surface.level - depths < groundwater)) + without_place
        if count:
            masses.append(count * kind.mass.least)
            unplaced += without_place
    return masses, unplaced


def _bottom_of_stack(boulder: Boulder, by_name: dict[str, Boulder]) -> Boulder:
    """The boulder at the bottom of the stack that a boulder is in: itself, if it stands on the ground; the last that is
    known, if the one below that does not exist.
    """
    visited, lower = {boulder.name}, boulder
    while lower.rests_on is not None and lower.rests_on in by_name and lower.rests_on not in visited:
        lower = by_name[lower.rests_on]
        visited.add(lower.name)
    return lower


@remembered
def uplift(
    lining: Lining, pools: tuple[LevelParts, ...], ballast: tuple[Ballast, ...], groundwater: float | None
) -> Uplift:
    """Uplift of each empty pool's liner: groundwater against the gravel on the shelf or floor that is lifted first; the
    weight of stone is a figure of its own, taken off nothing.

    Args:
        lining: Inputs of the liners.
        pools: Shelves and floors of each lined pool.
        ballast: Stone that stands on their liners where groundwater pushes.
        groundwater: Site level of the highest known groundwater [m]; None if unknown.
    """
    density, source = densest_water()
    water = Range(density, density, density, source)
    typical, share = float(lining.gravel_density), float(lining.gravel_density_within)
    gravel_density = within(typical, share, source="density of the gravel: user input")
    net_uplifts, pressures, gravel_ballasts = [], [], []
    for pool in pools:
        level, gravel = pool.lifted_first(float(lining.gravel_density) / density)
        if groundwater is None or groundwater <= min(level for level, _ in pool.parts):
            continue
        below: dict[str, Any] = {"groundwater": groundwater, "floor_level": level, "water_density": water}
        above: dict[str, Any] = {"gravel": gravel, "gravel_density": gravel_density}
        head_on_faces = groundwater - pool.foot_of_faces
        faces = [rules.FACES_WITHOUT_GRAVEL(head=(head_on_faces, LENGTH))] if head_on_faces > 0 else []
        net_uplifts.append(entry(rel.liner_uplift, pool.name, source=USER, cautions=faces, **below, **above))
        pressures.append(entry(rel.uplift_pressure, pool.name, source=USER, gravity=GRAVITY, **below))
        gravel_ballasts.append(entry(rel.gravel_holds, pool.name, source=USER, gravity=GRAVITY, **above))
    stone_ballasts = []
    for stone in ballast:
        cautions = [rules.LIFTS_BETWEEN_STONES(), *_unplaced_caution(stone)]
        stone_ballasts.append(
            entry(rel.stone_holds, stone.name, cautions=cautions, masses=stone.masses, gravity=GRAVITY)
        )
    return Uplift(tuple(net_uplifts), tuple(pressures), tuple(gravel_ballasts), tuple(stone_ballasts))


def _unplaced_caution(ballast: Ballast) -> tuple[Caution, ...]:
    return (rules.STONES_WITHOUT_PLACE(count=(ballast.unplaced, COUNT)),) if ballast.unplaced else ()
