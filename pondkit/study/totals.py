"""Figures that need more than one trade: net volume, open water, dig, and their totals."""

from collections.abc import Sequence
from dataclasses import dataclass

from pondkit.core.entry import Entry, Range, entry, keeps, total, with_cautions, within
from pondkit.core.remembered import remembered
from pondkit.core.result import Result
from pondkit.core.units import AREA, VOLUME, Area, Ratio, Volume, nothing
from pondkit.geometry.footprint import Gap
from pondkit.geometry.terrain import Dug
from pondkit.study.problems import ELECTRICITY_NEAR_WATER, FILL_SETTLES
from pondkit.trades.earthwork.cautions import SERVICES_BEFORE_DIG
from pondkit.trades.earthwork.results import ExcavationResult
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.results import StoneResult
from pondkit.trades.tunnels.results import TunnelsResult

UPPER = 1.0  # m below the waterline: from here down, changes of a profile do not compute the shared cut again


def net_volume(
    gross_volume: Volume, stone: Volume, pipes: Volume, gravel_volume: Volume, gravel_porosity: Ratio
) -> Volume:
    """Volume of water to fill a pool: gross volume less solids standing in it, plus the water in the voids of the
    gravel.

    Source: conservation of volume
    """
    return gross_volume - stone - pipes + gravel_volume * gravel_porosity


def open_water_area(surface_area: Area, stone_cover: Area) -> Area:
    """Water surface less the area in which edging and boulders stand.

    Source: geometry; a boulder's plan as an ellipse
    """
    return surface_area - stone_cover


def dig_volume(cuts: tuple[Volume, ...], shared: Volume, beds: Volume, trenches: Volume, anchor: Volume) -> Volume:
    """Bank volume of the whole cut between existing ground and dig surface, with cut that several digs share counted
    once. Beds under boulders, trenches, holes, links and the liner's anchor trench are dug in addition.

    Source: slices at level, geometry
    """
    return sum(cuts) - shared + beds + trenches + anchor


def pool_cut(below_ground: Volume, near_ground: Volume) -> Volume:
    """Bank volume of one pool's cut: below the lowest level at which the ground meets the dig, where all of the dig is
    cut, and above it, where part of it is.

    Source: slices at level, geometry
    """
    return below_ground + near_ground


@keeps(FILL_SETTLES)
def fill_volume(fill: tuple[Volume, ...], links: Volume) -> Volume:
    """Fill between the ground and the bank inside the rim line where the ground is lower, and below links. Fill
    outside the rim line is counted by the earth part.

    Source: slices at level, geometry
    """
    return sum(fill) + links


def spoil_volume(dig: Volume, fill: Volume, backfill: Volume) -> Volume:
    """Bank volume left of the cut after the bank inside the rim line is built and trenches and holes are backfilled;
    it takes more space when loose.

    Source: conservation of volume; swell and shrink are not counted
    """
    return dig - fill - backfill


@dataclass(frozen=True, eq=False)
class Totals(Result):
    """Water and surface of the option as a whole, and figures of a pool that need more than one trade. A figure is None
    if a part has a problem.
    """

    net_volume: tuple[Entry, ...]
    open_water_area: tuple[Entry, ...]
    total_surface_area: Entry | None
    total_gross_volume: Entry | None
    total_net_volume: Entry | None
    total_gravel_volume: Entry | None


@dataclass(frozen=True, eq=False)
class Earthwork(Result):
    """Cut of each pool in known ground; total dig, fill and spoil. A figure is None if a part has a problem."""

    pool_dig_volume: tuple[Entry, ...]
    dig_volume: Entry | None
    fill_volume: Entry | None
    spoil_volume: Entry | None


@dataclass(frozen=True)
class OtherDigs:
    """Dig and fill besides the pools.

    Attributes:
        shared: Cut that several digs of pools share [m³].
        beds: Dig for beds under boulders [m³]; None if it has a problem.
        trenches: Trenches, holes and links; None if there are none, or if they cannot be known.
        known: False if there are trenches, holes or links that cannot be known.
        anchor: Soil out of anchor trenches, which is backfilled [m³]; None if a liner has a problem.
    """

    shared: float
    beds: float | None
    trenches: ExcavationResult | None
    known: bool
    anchor: float | None


@remembered
def compute(
    pools: tuple[PoolResult, ...],
    voids: float | Range,
    stone: StoneResult | None,
    tunnels: TunnelsResult | None,
    whole: bool,
) -> Totals:
    """Totals of an option, except its earthwork.

    Args:
        pools: Pools without problems.
        voids: Voids of the gravel over its bulk volume.
        stone: Result of the stone; a pool whose stone is in doubt has no net volume and no open water.
        tunnels: Result of the pipe; a pool whose pipe is in doubt has no net volume.
        whole: False if a part has a problem, or if there is no pool yet: then the option has no totals, so that no
            total silently lacks a part.
    """
    nets = _net_volumes(pools, voids, stone, tunnels)
    lacking = stone.problems if stone else ()  # a boulder whose pool is missing would be left out
    return Totals(
        net_volume=nets,
        open_water_area=_open_waters(pools, stone),
        total_surface_area=total("", [pool.surface_area for pool in pools], AREA) if whole else None,
        total_gross_volume=total("", [pool.gross_volume for pool in pools], VOLUME) if whole else None,
        total_net_volume=with_cautions(total("", nets, VOLUME), ELECTRICITY_NEAR_WATER())
        if whole and len(nets) == len(pools) and not lacking
        else None,
        total_gravel_volume=total("", [pool.gravel_volume for pool in pools], VOLUME) if whole else None,
    )


def _net_volumes(
    pools: tuple[PoolResult, ...], voids: float | Range, stone: StoneResult | None, tunnels: TunnelsResult | None
) -> tuple[Entry, ...]:
    solids = {figure.subject: figure for figure in stone.stone_displaced} if stone else {}
    pipes = {figure.subject: figure for figure in tunnels.pipe_displaced} if tunnels else {}
    doubtful = {*(stone.in_doubt if stone else ()), *(tunnels.in_doubt if tunnels else ())}
    nets = []
    for pool in pools:
        full = pool.name in solids and solids[pool.name].value >= pool.gross_volume.value
        if full or pool.name in doubtful:
            continue
        gravel = typical(voids) if nothing(pool.gravel_volume.value, VOLUME) else voids
        nets.append(
            entry(
                net_volume,
                pool.name,
                gross_volume=pool.gross_volume,
                stone=solids.get(pool.name, 0.0),
                pipes=pipes.get(pool.name, 0.0),
                gravel_volume=pool.gravel_volume,
                gravel_porosity=gravel,
            )
        )
    return tuple(nets)


def _open_waters(pools: tuple[PoolResult, ...], stone: StoneResult | None) -> tuple[Entry, ...]:
    cover = {figure.subject: figure for figure in stone.stone_cover} if stone else {}
    return tuple(
        entry(open_water_area, pool.name, surface_area=pool.surface_area, stone_cover=cover.get(pool.name, 0.0))
        for pool in pools
        if not stone or pool.name not in stone.in_doubt
    )


def _pool_cuts(pools: tuple[PoolResult, ...]) -> tuple[Entry, ...]:
    cuts = []
    for pool in pools:
        if pool.ground:
            notes = [SERVICES_BEFORE_DIG(), *(pool.outside_survey.cautions if pool.outside_survey else ())]
            cuts.append(
                entry(pool_cut, pool.name, cautions=notes, below_ground=pool.cut_below, near_ground=pool.ground.cut)
            )
    return tuple(cuts)


@remembered
def compute_earthwork(pools: tuple[PoolResult, ...], digs: OtherDigs, whole: bool) -> Earthwork:
    """Dig of each pool, and total dig, fill and spoil, each None if it cannot be known.

    Args:
        pools: Pools without problems.
        digs: Dig and fill besides the pools.
        whole: False if a part has a problem, or if there is no pool yet.
    """
    cuts = _pool_cuts(pools)
    if not whole or len(cuts) < len(pools) or not digs.known:
        return Earthwork(cuts, None, None, None)
    trenches, fills = digs.trenches, [pool.ground.fill for pool in pools if pool.ground]
    links = trenches.total_link_bank.value if trenches and trenches.total_link_bank else 0.0
    built = entry(fill_volume, "", fill=fills, links=links)
    if digs.beds is None or digs.anchor is None:
        return Earthwork(cuts, None, built, None)
    beside = trenches.trench_dig_volume.bare if trenches and trenches.trench_dig_volume else 0.0
    dug = entry(dig_volume, "", cuts=cuts, shared=digs.shared, beds=digs.beds, trenches=beside, anchor=digs.anchor)
    filled = trenches.backfill_volume.value if trenches and trenches.backfill_volume else 0.0
    return Earthwork(
        cuts, dug, built, entry(spoil_volume, "", dig=dug.bare, fill=built.bare, backfill=filled + digs.anchor)
    )


def gravel_voids(porosity: float, share: float) -> float | Range:
    """Voids of gravel, with a range if one is entered."""
    if not share:
        return porosity
    return within(porosity, share, 1.0, "voids of gravel: user input")


def typical(given: float | Range) -> float:
    """The typical value of an input that may have a range."""
    return given.typical if isinstance(given, Range) else given


def meeting(pools: Sequence[PoolResult], gaps: Sequence[tuple[int, int, Gap]]) -> tuple[Dug, ...]:
    """Digs of pools that run into another one, in the form that ``shared_cut`` takes. ``gaps``: those of pools that are
    near enough.
    """
    reach = [pool.ground.reach if pool.ground else 0.0 for pool in pools]
    met = {k for i, j, gap in gaps if gap.distance < reach[i] + reach[j] for k in (i, j)}
    digs = [(pools[k].surfaces.dig, reach[k]) for k in sorted(met)]
    return tuple(
        (dig.surface.pool.shape, dig.placed, dig.surface.pool.profile.upper(UPPER), dig.level, reach)
        for dig, reach in digs
    )
