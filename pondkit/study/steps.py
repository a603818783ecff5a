"""How each trade's work is cut into steps, so that what does not hang on a change is not worked out again."""

from pondkit.geometry.beside import highest_along
from pondkit.geometry.cover import cover
from pondkit.geometry.round import ring_round
from pondkit.geometry.sheet import rims_of, sheets
from pondkit.geometry.standing import depths_at
from pondkit.geometry.strip import strip
from pondkit.geometry.thread import threads
from pondkit.geometry.uneven import Terrain
from pondkit.project.project import Option
from pondkit.trades.animals.work import AnimalsResult
from pondkit.trades.animals.work import work_out as animals_work_out
from pondkit.trades.liner import between
from pondkit.trades.liner.buying import Mark
from pondkit.trades.liner.ending import UP, Soil, edge_of, trench_out
from pondkit.trades.liner.extras import extras
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.under import Under, make_under
from pondkit.trades.liner.work import LiningResult
from pondkit.trades.liner.work import work_out as lining_work_out
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.rows import fits, inward
from pondkit.trades.stone.standing import water as stone_water
from pondkit.trades.stone.work import StoneResult
from pondkit.trades.stone.work import work_out as stone_work_out
from pondkit.trades.tunnels.cuts import buy, stubs
from pondkit.trades.tunnels.fitted import fitted, refitted
from pondkit.trades.tunnels.laying import laid_as, laying
from pondkit.trades.tunnels.lying import Side
from pondkit.trades.tunnels.mouths import STRETCH
from pondkit.trades.tunnels.net import net
from pondkit.trades.tunnels.sizes import within
from pondkit.trades.tunnels.work import TunnelsResult, run_figures
from pondkit.trades.tunnels.work import work_out as tunnels_work_out
from pondkit.trades.water.results import RunResult


def lining_of(
    option: Option,
    pools: tuple[PoolResult, ...],
    marks: tuple[Mark, ...],
    stones: StoneResult | None,
    groundwater: float | None,
    ground: Terrain | None,
    running: RunResult | None,
    whole: bool,
) -> LiningResult | None:
    """Liners with their fabrics; None where the option has none."""
    drawn = option.lining
    if drawn is None:
        return None
    found = {pool.name: pool.surfaces.liner for pool in pools}
    unders = []
    edge, out = edge_of(drawn), trench_out(drawn)
    for liner in drawn.liners:
        names = tuple(name for name in dict.fromkeys(liner.covers) if name in found)
        if not names:
            continue
        laid = tuple(found[name] for name in names)
        rims = rims_of(tuple((pool.bowl.pool.shape, pool.placed, pool.rim) for pool in laid))
        turn = rims.turn_deg if liner.turn_deg is None else float(liner.turn_deg)
        along, across = sheets(laid, turn, edge)
        areas = tuple(cover(pool, edge) for pool in laid)
        trench = None
        if out is not None:
            trench = ring_round(tuple((pool.bowl.pool.shape, pool.placed, pool.rim + out) for pool in laid))
        unders.append(make_under(liner, names, laid, areas, rims, turn, along, across, edge, trench))
    names = tuple(pool.name for pool in option.pools)
    about = extras(
        drawn,
        tuple(unders),
        between.falls_of(option, found, running),
        between.footings_of(option),
        between.floors_of(option, pools),
        between.ballast_of(option, pools, stones, groundwater),
        between.burrows_of(option, pools),
        _soils(drawn, tuple(unders), ground),
        groundwater,
    )
    return lining_work_out(drawn, tuple(unders), names, marks, about, float(option.water_rise), whole)


def _soils(drawn: Lining, unders: tuple[Under, ...], ground: Terrain | None) -> tuple[Soil, ...]:
    """The highest ground along each line at which a liner is turned up; nothing where none is, or the ground is in trouble."""
    if ground is None or drawn.edge_kind != UP:
        return ()
    found = []
    for under in unders:
        for name, laid in zip(under.names, under.laid, strict=True):
            others = tuple((pool.bowl.pool.shape, pool.placed, pool.rim) for pool in under.laid if pool is not laid)
            line = (laid.bowl.pool.shape, laid.placed, laid.rim + float(drawn.edge_back))
            top = highest_along(line, others, ground)
            if top.at is not None:
                found.append(Soil(f"{under.liner.name} / {name}", laid.rim_level, top.level, top.at))
    return tuple(found)


def tunnels_of(
    option: Option,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    groundwater: float | None,
    flush_flow: float | None,
) -> TunnelsResult | None:
    """Pipe passages, flushed by what the water side gives; None where the option has none, or where the ground is not known."""
    if option.tunnels is None or ground is None:
        return None
    lined = between.lined_of(option)
    known = net(option.tunnels)
    laid = [(pool.name, pool.surfaces.finished, pool.surfaces.liner) for pool in pools]
    sides = tuple(Side(name, finished.level, finished.rim_level, name in lined) for name, finished, _ in laid)
    met = tuple(threads(known.lines, finished, liner, STRETCH) for _, finished, liner in laid)
    whole = len(pools) == len(option.pools)
    drawn = option.tunnels
    settled = laying(drawn, known, sides, met, ground, whole)
    line = fitted(drawn.nodes, settled)
    if line.moved:
        again = tuple(threads(line.lines, finished, liner, STRETCH) for _, finished, liner in laid)
        settled = refitted(settled, line, again, sides)
    as_laid = laid_as(settled)
    runs = tuple(
        run_figures(lying, ends, ground, float(drawn.stock_length), drawn.fittings, float(drawn.socket))
        for lying, ends in zip(as_laid.runs, as_laid.ends, strict=True)
    )
    running = (float(option.water_fall), float(option.water_rise))
    short = stubs(as_laid, drawn.nodes, within(float(drawn.socket), float(drawn.socket_within)))
    cuts = [*(run.cut for run in runs if run.cut), *short]
    stock = (float(drawn.stock_length), float(drawn.kerf), drawn.cutting == "proven")
    bought = tuple(
        (pipe.name, buy(pipe, tuple(cut for cut in cuts if cut.pipe == pipe), *stock))
        for pipe in dict.fromkeys(cut.pipe for cut in cuts)
    )
    return tunnels_work_out(drawn, as_laid, runs, sides, ground, groundwater, running, short, bought, flush_flow, whole)


def animals_of(option: Option, pools: tuple[PoolResult, ...], pipes: TunnelsResult | None) -> AnimalsResult | None:
    """The animals' brief, checked; None where the option has none."""
    if option.animals is None:
        return None
    waters = tuple(between.water_of(pool.surfaces.finished, pool.name) for pool in pools)
    passages = between.passages_of(pipes) if pipes else None
    names = tuple(pool.name for pool in option.pools)
    rise, fall = float(option.water_rise), float(option.water_fall)
    return animals_work_out(option.animals, waters, passages, rise, fall, names)


def stone_of(option: Option, pools: tuple[PoolResult, ...], soil: str) -> StoneResult | None:
    """Boulders and edging; None where the option has none."""
    if option.stone is None:
        return None
    drawn = option.pools
    laid = [pool.surfaces.finished for pool in pools]
    waters = tuple(
        stone_water(drawn[p.index], at.bowl.pool.shape, at.placed) for p, at in zip(pools, laid, strict=True)
    )
    found = {water.name: water for water in waters}
    holding = [(row, found.get(row.pool)) for row in option.stone.edging]
    strips = tuple(
        strip(water.shape, water.placed, inward(row)) if water and fits(row, water) else None for row, water in holding
    )
    bare = option.stone.changed(slings=(), rigging=None, bearing=None)  # what hangs or lifts changes no stone
    finished = {pool.name: pool.surfaces.finished for pool in pools}
    depths = tuple(
        depths_at(finished[boulder.pool], boulder.places) if boulder.pool in finished and boulder.places else ()
        for boulder in bare.boulders
    )
    return stone_work_out(bare, waters, strips, depths, tuple(pool.name for pool in drawn), soil)
