"""What needs more than one trade: net volume, open water, dig, price, totals, and faults between parts."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from pondkit.core.entry import Entry, Range, entry, holds, total, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Result, no_such
from pondkit.core.sentence import words
from pondkit.core.units import AREA, LENGTH, VOLUME, Area, Ratio, Volume, nothing
from pondkit.geometry.apart import Gap
from pondkit.geometry.ground import Dug
from pondkit.project.project import Option
from pondkit.study.cautions import ELECTRICITY_NEAR_WATER, FILL_SETTLES, SERVICES_BEFORE_DIG
from pondkit.trades.earthwork.results.excavation import ExcavationResult
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.work import StoneResult
from pondkit.trades.tunnels.results import TunnelsResult

UPPER = 1.0  # m below the waterline: digs that meet deeper than this are one pool


def net_volume(
    gross_volume: Volume, stone: Volume, pipes: Volume, gravel_volume: Volume, gravel_porosity: Ratio
) -> Volume:
    """Water that it takes to fill a pool: gross, less solids standing in it, plus the water in the gravel's voids.

    Source: conservation of volume
    """
    return gross_volume - stone - pipes + gravel_volume * gravel_porosity


def open_water_area(surface_area: Area, stone_cover: Area) -> Area:
    """Water surface that neither edging nor boulders stand in.

    Source: geometry; a boulder's plan as an ellipse
    """
    return surface_area - stone_cover


def dig_volume(cuts: tuple[Volume, ...], shared: Volume, beds: Volume, trenches: Volume, anchor: Volume) -> Volume:
    """Bank measure of cut, existing ground to dig surface, shared ground once; beds under boulders, trenches, holes and links, and the liner's anchor trench are dug beyond it.

    Source: slices at level, geometry
    """
    return sum(cuts) - shared + beds + trenches + anchor


def pool_cut(below_ground: Volume, near_ground: Volume) -> Volume:
    """Bank measure of one pool's cut: all below the level where the ground cuts the dig, and what is cut above it.

    Source: slices at level, geometry
    """
    return below_ground + near_ground


@holds(lambda fill, links: sum(fill) + links <= (FILL_SETTLES.most or 0.0), FILL_SETTLES)
def fill_volume(fill: tuple[Volume, ...], links: Volume) -> Volume:
    """Between the ground and the bank inside the rim line, where the ground is lower, and what links stand on; what else is built outside
    the rim line the earth part counts.

    Source: slices at level, geometry
    """
    return sum(fill) + links


def spoil_volume(dig: Volume, fill: Volume, backfill: Volume) -> Volume:
    """Bank measure of what is left of the cut when the bank inside the rim line is built and trenches and holes are filled in again; it takes more room when loose.

    Source: conservation of volume; swell and shrink are not counted
    """
    return dig - fill - backfill


@dataclass(frozen=True, eq=False)
class Totals(Result):
    """Figures of the option as a whole, and those of a pool that need more than one trade. None where a part is in trouble."""

    net_volume: tuple[Entry, ...]
    open_water_area: tuple[Entry, ...]
    pool_dig_volume: tuple[Entry, ...]
    total_surface_area: Entry | None
    total_gross_volume: Entry | None
    total_net_volume: Entry | None
    total_gravel_volume: Entry | None
    dig_volume: Entry | None
    fill_volume: Entry | None
    spoil_volume: Entry | None


@remembered
def work_out(
    option: Option,
    pools: tuple[PoolResult, ...],
    shared: float,
    beds: float | None,
    trenches: ExcavationResult | None,
    more: bool,
    stone: StoneResult | None,
    tunnels: TunnelsResult | None,
    anchor: float | None,
    whole: bool,
) -> Totals:
    """Totals of an option.

    Args:
        option: As drawn.
        pools: The pools that could be worked out.
        shared: Cut that several digs share [m³].
        beds: What is dug for beds under boulders [m³]; None where that is in trouble.
        trenches: What is dug besides the pools; None where nothing is, or where it cannot be known.
        more: Whether anything is.
        stone: The stone; a pool whose stone is in doubt has no net volume and no open water.
        tunnels: The pipe; a pool whose pipe is in doubt has no net volume.
        anchor: Soil out of anchor trenches, which goes back in [m³]; None where a liner is in trouble.
        whole: False where a part is in trouble: then the option has no totals, so that none silently lacks a part.
    """
    nets, opens, cuts, fills = [], [], [], []
    faults = stone.problems if stone else ()  # a boulder in no pool that is there would be lacking
    displaced = {figure.subject: figure for figure in stone.stone_displaced} if stone else {}
    cover = {figure.subject: figure for figure in stone.stone_cover} if stone else {}
    pipes = {figure.subject: figure for figure in tunnels.pipe_displaced} if tunnels else {}
    for pool in pools:
        stone_known = not stone or pool.name not in stone.in_doubt
        full = pool.name in displaced and displaced[pool.name].value >= pool.gross_volume.value
        if stone_known and not full and (not tunnels or pool.name not in tunnels.in_doubt):
            nets.append(
                entry(net_volume, pool.name, gross_volume=pool.gross_volume, stone=displaced.get(pool.name, 0.0), pipes=pipes.get(pool.name, 0.0),
                      gravel_volume=pool.gravel_volume, gravel_porosity=_voids(option, pool))
            )  # fmt: skip
        if stone_known:
            opens.append(
                entry(open_water_area, pool.name, surface_area=pool.surface_area, stone_cover=cover.get(pool.name, 0.0))
            )
        if pool.ground:
            notes = [SERVICES_BEFORE_DIG(), *(pool.outside_survey.cautions if pool.outside_survey else ())]
            cuts.append(
                entry(pool_cut, pool.name, cautions=notes, below_ground=pool.cut_below, near_ground=pool.ground.cut)
            )
            fills.append(pool.ground.fill)
    beside = trenches.trench_dig_volume if trenches else None
    known = whole and len(cuts) == len(pools) and (beside is not None or not more)
    filled = trenches.backfill_volume.value if trenches and trenches.backfill_volume else 0.0
    dug = (
        entry(
            dig_volume, "", cuts=cuts, shared=shared, beds=beds, trenches=beside.bare if beside else 0.0, anchor=anchor
        )
        if known and beds is not None and anchor is not None
        else None
    )
    links = trenches.total_link_bank.value if trenches and trenches.total_link_bank else 0.0
    built = entry(fill_volume, "", fill=fills, links=links) if known else None
    return Totals(
        net_volume=tuple(nets),
        open_water_area=tuple(opens),
        pool_dig_volume=tuple(cuts),
        total_surface_area=total("", [pool.surface_area for pool in pools], AREA) if whole else None,
        total_gross_volume=total("", [pool.gross_volume for pool in pools], VOLUME) if whole else None,
        total_net_volume=with_cautions(total("", nets, VOLUME), ELECTRICITY_NEAR_WATER())
        if whole and len(nets) == len(pools) and not faults
        else None,
        total_gravel_volume=total("", [pool.gravel_volume for pool in pools], VOLUME) if whole else None,
        dig_volume=dug,
        fill_volume=built,
        spoil_volume=entry(spoil_volume, "", dig=dug.bare, fill=built.bare, backfill=filled + (anchor or 0.0))
        if dug and built
        else None,
    )


def _voids(option: Option, pool: PoolResult) -> float | Range:
    """Voids of the gravel, with their range where a pool holds any."""
    typical, within = float(option.gravel_porosity), float(option.gravel_porosity_within)
    if nothing(pool.gravel_volume.value, VOLUME) or not within:
        return typical
    return Range(typical * (1 - within), typical, min(typical * (1 + within), 1.0), "voids of gravel: user input")


def meeting(pools: Sequence[PoolResult], gaps: Sequence[tuple[int, int, Gap]]) -> tuple[Dug, ...]:
    """Digs that run into another one, as ``shared_cut`` takes them; ``gaps`` are those of pools that may be so near."""
    reach = [pool.ground.reach if pool.ground else 0.0 for pool in pools]
    met = {k for i, j, gap in gaps if gap.distance < reach[i] + reach[j] for k in (i, j)}
    digs = [(pools[k].surfaces.dig, reach[k]) for k in sorted(met)]
    return tuple(
        (dig.bowl.pool.shape, dig.placed, dig.bowl.pool.profile.upper(UPPER), dig.level, reach) for dig, reach in digs
    )


def laid_thickness(option: Option) -> float:
    """Underlay, liner and overlay together [m]."""
    lining = option.lining
    if lining is None:
        return 0.0
    return lining.thickness + sum(fabric.thickness for fabric in (lining.underlay, lining.overlay) if fabric)


def overfull(pools: Sequence[PoolResult], stone: StoneResult) -> Iterator[Problem]:
    """Stone that displaces all the water that its pool has."""
    gross = {pool.name: pool.gross_volume.value for pool in pools}
    for figure in stone.stone_displaced:
        if figure.value >= gross[figure.subject]:
            yield Problem(
                ("stone",),
                words(f"the stone in '{figure.subject}' displaces {{stone}}", stone=(figure.value, VOLUME)),
                words("less than its gross volume, {gross}", gross=(gross[figure.subject], VOLUME)),
                words("set fewer or smaller stones there, less of each under water, or deepen the pool"),
            )


def names_twice(option: Option) -> Iterator[Problem]:
    """A name that two pools, liners, boulders or nodes share."""
    groups: dict[Path, Sequence[Any]] = {
        ("pools",): option.pools,
        ("lining", "liners"): option.lining.liners if option.lining else (),
        ("stone", "boulders"): option.stone.boulders if option.stone else (),
        ("lifting", "positions"): option.lifting.positions if option.lifting else (),
        ("walls", "walls"): option.walls.walls if option.walls else (),
        ("stone", "slings"): option.stone.slings if option.stone else (),
        ("tunnels", "nodes"): option.tunnels.nodes if option.tunnels else (),
        ("tunnels", "own_pipes"): option.tunnels.own_pipes if option.tunnels else (),
        ("dig", "tapes"): option.dig.tapes if option.dig else (),
        ("water", "pumps"): option.water.pumps if option.water else (),
        ("water", "branches"): option.water.branches if option.water else (),
    }
    for path, parts in groups.items():
        yield from twice(path, parts)


def twice(path: Path, parts: Sequence[Any]) -> Iterator[Problem]:
    """A name that two parts of the list at a path share."""
    met: set[str] = set()
    for index, part in enumerate(parts):
        if part.name in met:
            yield Problem(
                (*path, index, "name"),
                words(f"'{part.name}' stands twice"),
                words("each has a name of its own"),
                words("rename one of the two"),
            )
        met.add(part.name)


def link_problems(option: Option) -> Iterator[Problem]:
    """Links to nowhere, from a pool to itself, and links that run uphill."""
    levels = {pool.name: pool.level for pool in option.pools}
    for index, link in enumerate(option.links):
        path = ("links", index)
        for field, name in (("from_", link.from_), ("to", link.to)):
            if name not in levels:
                yield no_such((*path, field), "pool", name, levels)
        if link.from_ == link.to:
            yield Problem(
                (*path, "to"),
                words("the link runs from a pool to itself"),
                words("two pools"),
                words("choose another pool, or remove the link"),
            )
        elif link.from_ in levels and link.to in levels and levels[link.from_] < levels[link.to]:
            given = words(
                "it runs uphill, from {upper} to {lower}",
                upper=(levels[link.from_], LENGTH),
                lower=(levels[link.to], LENGTH),
            )
            yield Problem(
                (*path, "from_"),
                given,
                words("from the higher level to the lower"),
                words("exchange the two pools, or change a level"),
            )


def over_ground(pools: Sequence[PoolResult]) -> Iterator[Problem]:
    """Pools whose whole dig lies over the ground, and so is built up and not dug."""
    for pool in pools:
        if pool.dig_depth is not None and pool.dig_depth.value <= 0:
            yield Problem(
                ("pools", pool.index, "level"),
                words("the floor of its dig stands {over} over the highest ground round it", over=(-pool.dig_depth.value, LENGTH)),
                words("a level at which it is dug into the ground"),
                words("lower its level, or check the levels of the ground and the datum; what is built up needs an engineer's design"),
            )  # fmt: skip


def overlaps(pools: Sequence[PoolResult], gaps: Sequence[tuple[int, int, Gap]]) -> Iterator[Problem]:
    """Pools whose waterlines overlap; ``gaps`` are those of pools that may be so near."""
    for i, j, gap in gaps:
        if gap.shared > 1e-4:
            yield Problem(
                ("pools", pools[j].index, "at"),
                words(f"it overlaps '{pools[i].name}' by {{area}}", area=(gap.shared, AREA)),
                words("waterlines that lie apart"),
                words("move one of the two, or make it smaller"),
            )
