"""Works the tunnels of an option out: runs, fittings, cut list, what lies where, penetrations, what water reaches."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import networkx as nx

from pondkit.core.entry import USER, Entry, entry, input_entry, total, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Result
from pondkit.core.sentence import Words
from pondkit.core.units import COUNT, LENGTH, VOLUME
from pondkit.geometry.thread import Spot
from pondkit.geometry.uneven import Terrain
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import relations as rel
from pondkit.trades.tunnels.clear import clear_bore
from pondkit.trades.tunnels.cuts import Bought, Cut, Stock, cut_of
from pondkit.trades.tunnels.displaced import displaced
from pondkit.trades.tunnels.filling import Filling, Running, filling
from pondkit.trades.tunnels.flush import Flush, flush
from pondkit.trades.tunnels.inputs import Fitting, Tunnels
from pondkit.trades.tunnels.laying import Ends, Laying, barred, standing
from pondkit.trades.tunnels.lying import Lying, Side
from pondkit.trades.tunnels.moves import Bends, bends
from pondkit.trades.tunnels.net import by_water, draining, no_drain, reached_from
from pondkit.trades.tunnels.notes import about_all, den_notes, over_ground
from pondkit.trades.tunnels.sealing import Sealing, sealing
from pondkit.trades.tunnels.sizes import Pipe
from pondkit.trades.tunnels.swims import Swims, swims
from pondkit.trades.tunnels.uplift import Uplift, uplift

UPRIGHT = 1e-6  # m of level distance, below which a run has no slope


@dataclass(frozen=True, eq=False)
class TunnelsResult(Result):
    """The tunnels of an option. Entries are its keys in the takeoff; sums are None where a part is in trouble.

    Subjects are a run ("from – to"), a node, "run / pool" for a penetration, the pipe, pipe and fitting, or the pool.

    Attributes:
        in_doubt: Pools of which it is not known what pipe stands in their water.
        lines: (run, start, end on the site, outside diameter) of each run, mouths settled and bends made [m].
        places: (name, kind as ``standing`` says it, place on the site [m]) of each node, mouths settled and bends made.
        passes: ("run / pool", place on the site [m]) of each penetration.
        laid: The passages as they lie; ``ways`` finds the ways through them.
        stock: (pipe, its stock length [m], pieces cut from each) of each pipe.
        narrowest: Where ``clear_bore`` lies on the site [m].
        doors: (name, level of its centre, bore, that pool's level at rest [m]) of each mouth in a pool.
        exits: (den, how many mouths it is joined to).
        ground: The ground as it is, site axes.
        problems: What could not be worked out, and how to mend it.
    """

    run_length: tuple[Entry, ...]
    run_slope: tuple[Entry, ...]
    cut_length: tuple[Entry, ...]
    run_in_water: tuple[Entry, ...]
    run_in_ground: tuple[Entry, ...]
    run_free: tuple[Entry, ...]
    run_volume: tuple[Entry, ...]
    mouth_depth: tuple[Entry, ...]
    den_floor_above_water: tuple[Entry, ...]
    chamber_volume: tuple[Entry, ...]
    den_order: tuple[Entry, ...]
    den_lid_order: tuple[Entry, ...]
    penetration_depth: tuple[Entry, ...]
    penetration_below_rim: tuple[Entry, ...]
    penetration_size: tuple[Entry, ...]
    penetration_count: Entry | None
    fitting_count: tuple[Entry, ...]
    total_fitting_count: Entry | None
    pipe_length: tuple[Entry, ...]
    pipe_lengths_to_buy: tuple[Entry, ...]
    pipe_length_order: tuple[Entry, ...]
    total_pipe_order: Entry | None
    offcut_length: tuple[Entry, ...]
    pipe_displaced: tuple[Entry, ...]
    bends: Bends
    clear_bore: Entry | None
    swims: Swims
    filling: Filling
    sealing: Sealing
    uplift: Uplift
    flush: Flush
    tunnel_volume: Entry | None
    flooded_pipe_volume: Entry | None
    in_doubt: frozenset[str]
    lines: tuple[tuple[str, Spot, Spot, float], ...]
    places: tuple[tuple[str, str, Spot], ...]
    passes: tuple[tuple[str, Spot], ...]
    laid: Laying
    stock: tuple[tuple[str, float, tuple[Stock, ...]], ...]
    narrowest: Spot | None
    doors: tuple[tuple[str, float, float, float], ...]
    exits: tuple[tuple[str, int], ...]
    ground: Terrain
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class RunFigures:
    """Figures of one run; its cut is None where a fitting is not known or leaves no pipe between, as ``problem`` says."""

    pipe: Pipe
    length: Entry
    slope: Entry | None
    in_water: Entry
    free: Entry
    in_ground: Entry
    volume: Entry
    cut: Cut | None
    problem: Problem | None


@remembered
def run_figures(
    lying: Lying,
    ends: Ends | None,
    ground: Terrain,
    stock_length: float,
    measured: tuple[Fitting, ...],
    socket: float,
) -> RunFigures:
    """Figures of one run.

    Args:
        lying, ends: From ``laying``.
        ground: The ground as it is, site axes.
        stock_length: Length that the pipe is sold in [m].
        measured: Sizes of fittings that the person measured.
        socket: Depth of a fitting's socket [m].
    """
    name, pipe = lying.leg.name, lying.leg.pipe
    east, north, rise = (b - a for a, b in zip(lying.start, lying.end, strict=True))
    length = entry(rel.run_length, name, source=USER, east=east, north=north, rise=rise)
    level = math.hypot(east, north)
    water = entry(rel.run_in_water, name, pieces=lying.in_water())
    free = entry(rel.run_free, name, pieces=lying.free())
    made = cut_of(lying, ends, stock_length, measured, socket) if ends else None
    return RunFigures(
        pipe=pipe,
        length=length,
        slope=entry(rel.run_slope, name, source=USER, rise=rise, level_distance=level) if level > UPRIGHT else None,
        in_water=water,
        free=free,
        in_ground=entry(
            rel.run_in_ground,
            name,
            cautions=over_ground(lying, ground),
            run_length=length,
            run_in_water=water,
            run_free=free,
        ),
        volume=entry(rel.run_volume, name, source=pipe.source, bore=pipe.bores, run_length=length),
        cut=made if isinstance(made, Cut) else None,
        problem=made if isinstance(made, Problem) else None,
    )


@remembered
def work_out(
    tunnels: Tunnels,
    laid: Laying,
    runs: tuple[RunFigures, ...],
    sides: tuple[Side, ...],
    ground: Terrain,
    groundwater: float | None,
    running: Running,
    short: tuple[Cut, ...],
    bought: tuple[tuple[str, Bought], ...],
    flush_flow: float | None,
    whole: bool,
) -> TunnelsResult:
    """Every figure of the tunnels of an option.

    Args:
        tunnels: As drawn.
        laid: The passages as they lie.
        runs: Figures of each of its runs.
        sides: The pools that could be worked out.
        ground: The ground as it is, site axes.
        groundwater: Highest known level of the groundwater [m]; None where unknown.
        running: How far water falls under, and rises over, the level at rest [m].
        short: The short pieces between fittings.
        bought: What is bought of each pipe for the pieces that are known.
        flush_flow: What the water side's flush branch gives [m³/s]; None where there is none.
        whole: False where some pool is in trouble.
    """
    inverts = _inverts(laid)
    drains = [no_drain(*pair) for pair in draining(laid.made, laid.outlets, inverts)]
    flushed = flush(tunnels, laid, tuple(run.volume for run in runs), flush_flow)
    problems = [*laid.problems, *flushed.problems, *drains, *(run.problem for run in runs if run.problem)]
    cuts = [*(run.cut for run in runs if run.cut), *short]
    passes = _passes(laid, sides)
    fittings = list(_fittings(laid, cuts))
    pipes = list(dict.fromkeys(lying.leg.pipe for lying in laid.runs))
    sound = whole and not problems and len(laid.runs) == len(tunnels.runs)
    buys = [of for _, of in bought] if sound else []
    floods = _floods(laid)
    flooded = [
        entry(rel.flooded_volume, lying.leg.name, source=lying.leg.pipe.source, bore=lying.leg.pipe.bores, flooded_length=length)
        for number, lying in enumerate(laid.runs) if number in floods and (length := lying.flooded_outside(floods[number])) > 0
    ]  # fmt: skip
    volumes = [run.volume for run in runs]
    narrow = clear_bore(tunnels, laid)
    return TunnelsResult(
        run_length=tuple(run.length for run in runs),
        run_slope=tuple(run.slope for run in runs if run.slope),
        cut_length=tuple(cut.length for cut in cuts),
        run_in_water=tuple(run.in_water for run in runs),
        run_in_ground=tuple(run.in_ground for run in runs),
        run_free=tuple(run.free for run in runs),
        run_volume=tuple(volumes),
        mouth_depth=tuple(_mouths(tunnels, laid, sides)),
        den_floor_above_water=tuple(_dens(tunnels, laid, inverts, groundwater)),
        den_order=(dens := tuple(input_entry(node.name, 1, COUNT) for node in tunnels.nodes if node.kind == "chamber")),
        den_lid_order=dens,
        chamber_volume=tuple(
            entry(
                rel.chamber_volume, node.name, source=USER, length=node.size[0], width=node.size[1], height=node.size[2]
            )
            for node in tunnels.nodes
            if node.kind == "chamber" and node.size
        ),
        penetration_depth=tuple(depth for _, _, depth, _, _ in passes),
        penetration_below_rim=tuple(below for _, _, _, below, _ in passes),
        penetration_size=tuple(size for *_, size in passes),
        penetration_count=entry(
            rel.counted,
            "",
            places=[1.0] * len(passes),
            cautions=[c for _, _, depth, _, _ in passes for c in depth.cautions],
        )
        if sound
        else None,
        fitting_count=tuple(fittings),
        total_fitting_count=total("", fittings, COUNT) if sound else None,
        pipe_length=tuple(total(pipe.name, [run.length for run in runs if run.pipe == pipe], LENGTH) for pipe in pipes)
        if sound
        else (),
        pipe_lengths_to_buy=tuple(of.lengths for of in buys),
        pipe_length_order=tuple(of.order for of in buys),
        total_pipe_order=total("", [of.order for of in buys], LENGTH) if buys else None,
        offcut_length=tuple(of.offcut for of in buys),
        pipe_displaced=tuple(displaced(tunnels, laid, sides, inverts)),
        bends=bends(tunnels, laid),
        clear_bore=narrow[0] if narrow and sound else None,
        swims=swims(tunnels, laid, running[1]),
        filling=filling(tunnels, laid, inverts, ground, running),
        flush=flushed,
        uplift=uplift(tunnels, laid, sides, inverts, ground, groundwater),
        sealing=sealing(tunnels, laid, cuts, running[1], sound),
        tunnel_volume=with_cautions(
            total("", volumes, VOLUME), *about_all(tunnels, {end for lying in laid.runs for end in lying.leg.ends})
        )
        if sound
        else None,
        flooded_pipe_volume=total("", flooded, VOLUME) if sound else None,
        in_doubt=laid.doubt,
        lines=tuple((lying.leg.name, lying.start, lying.end, lying.leg.pipe.outside) for lying in laid.runs),
        places=tuple(
            (node.name, standing(node), place) for node, place in zip(tunnels.nodes, laid.places, strict=True)
        ),
        passes=tuple((name, place) for name, place, *_ in passes),
        laid=laid,
        stock=tuple((name, of.size, of.stock) for name, of in bought) if sound else (),
        narrowest=narrow[1] if narrow else None,
        doors=tuple(
            (tunnels.nodes[at.node].name, at.level, 2 * (at.level - inverts[at.node]), at.water)
            for at in laid.outlets
            if at.pool is not None
        ),
        exits=tuple(_exits(tunnels, laid)),
        ground=ground,
        problems=tuple(problems),
    )


def _fittings(laid: Laying, cuts: Sequence[Cut]) -> Iterator[Entry]:
    """Each fitting, counted over nodes, joints in long runs, and crossings of a liner."""
    counts: dict[str, list[float]] = {}
    notes: dict[str, list[Words]] = {}
    for join in laid.joins.values():
        for subject in join.counted:
            counts.setdefault(subject, []).append(1.0)
            notes.setdefault(subject, []).extend(join.cautions)
    for cut in cuts:
        if cut.joints:
            counts.setdefault(f"{cut.pipe.name} coupling", []).append(float(cut.joints))
    for lying in laid.runs:
        if lying.passes:
            counts.setdefault(f"{lying.leg.pipe.name} penetration", []).append(float(len(lying.passes)))
    for subject in sorted(counts):
        yield entry(rel.counted, subject, cautions=notes.get(subject, ()), places=counts[subject])


def _passes(laid: Laying, sides: Sequence[Side]) -> list[tuple[str, Spot, Entry, Entry, Entry]]:
    """(subject, place, depth below water, depth below rim, outside of the pipe) of each penetration."""
    found: list[tuple[str, Spot, Entry, Entry, Entry]] = []
    met: dict[str, int] = {}
    for number, lying in enumerate(laid.runs):
        for pool, place in lying.passes:
            side = sides[pool]
            subject = f"{lying.leg.name} / {side.name}"
            met[subject] = met.get(subject, 0) + 1
            subject += f" ({met[subject]})" if met[subject] > 1 else ""
            notes = (
                [warn.PENETRATION_BY_FITTINGS()] if number in laid.moved else []
            )  # what passes a liner as drawn never moves
            depth = entry(
                rel.penetration_depth, subject, cautions=notes, water_level=side.level, crossing_level=place[2]
            )
            found.append(
                (
                    subject,
                    place,
                    depth,
                    entry(rel.penetration_below_rim, subject, rim_level=side.rim_level, crossing_level=place[2]),
                    entry(
                        rel.penetration_size,
                        subject,
                        source=lying.leg.pipe.source,
                        outside_diameter=lying.leg.pipe.outside,
                    ),
                )
            )
    return found


def _mouths(tunnels: Tunnels, laid: Laying, sides: Sequence[Side]) -> Iterator[Entry]:
    for end, mouth in laid.mouths.items():
        if mouth.pool is not None:
            notes = [mouth.note] if mouth.note else []
            yield entry(
                rel.mouth_depth,
                tunnels.nodes[end].name,
                cautions=notes,
                source=USER,
                water_level=sides[mouth.pool].level,
                node_level=laid.places[end][2],
            )


def _inverts(laid: Laying) -> dict[int, float]:
    """Level of the pipe's invert at each node, by the widest pipe there [m]."""
    bores: dict[int, float] = {}
    for lying in laid.runs:
        for end in lying.leg.ends:
            bores[end] = max(bores.get(end, 0.0), lying.leg.pipe.bore)
    return {end: place[2] - bores.get(end, 0.0) / 2 for end, place in enumerate(laid.places)}


def _dens(tunnels: Tunnels, laid: Laying, inverts: dict[int, float], groundwater: float | None) -> Iterator[Entry]:
    """Floor of each chamber over the highest water that its passages open to."""
    for index, node in enumerate(tunnels.nodes):
        if node.kind == "chamber":
            joined = nx.node_connected_component(laid.made, index)
            waters = [outlet.water for outlet in laid.outlets if outlet.pool and outlet.node in joined]
            if waters:
                level, floor = laid.places[index][2], inverts[index]
                yield entry(rel.den_floor_above_water, node.name, cautions=den_notes(node, floor, groundwater), source=USER,
                            node_level=level, bore=2 * (level - floor), water_level=max(waters))  # fmt: skip


def _exits(tunnels: Tunnels, laid: Laying) -> Iterator[tuple[str, int]]:
    """How many mouths each den that a run reaches is joined to, past no shut gate."""
    passed = laid.made.subgraph([end for end in laid.made if not barred(tunnels.nodes[end])])
    for index, node in enumerate(tunnels.nodes):
        if node.kind == "chamber" and laid.made.degree(index):
            joined = nx.node_connected_component(passed, index)
            yield node.name, sum(tunnels.nodes[end].kind == "mouth" for end in joined)


def _floods(laid: Laying) -> dict[int, float]:
    """Highest level of water that reaches each run, by its number; runs that none reaches are left out."""
    levels = {end: place[2] for end, place in enumerate(laid.places)}
    found: dict[int, float] = {}
    for water, mouths in sorted(by_water(laid.outlets).items()):
        reach = reached_from(laid.made, mouths, levels, water)
        found |= {number: water for number, lying in enumerate(laid.runs) if not reach.isdisjoint(lying.leg.ends)}
    return found
