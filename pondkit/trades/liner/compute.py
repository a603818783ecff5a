"""Computes the liners of an option with their fabrics, and what lies round them."""

from collections.abc import Iterator
from dataclasses import dataclass

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry, total
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem
from pondkit.core.sentence import words
from pondkit.core.units import AREA, LENGTH
from pondkit.geometry.terrain import Terrain
from pondkit.trades.liner import cautions as rules
from pondkit.trades.liner import edge
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
from pondkit.trades.liner.formulas import liner as rel
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.liners import SeamChecks, liner_result, seam_marks
from pondkit.trades.liner.link_strips import Fall, falls_of, link_strips, links_on_one
from pondkit.trades.liner.results import Extras, LinerFootprint, LiningResult, Uplift
from pondkit.trades.liner.uplift import ballast_of, level_parts, uplift
from pondkit.trades.pools.inputs import Link, Pool
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs import Boulder
from pondkit.trades.stone.results import StoneResult

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
