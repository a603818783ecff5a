"""Flotation check of empty den boxes and empty pipe in groundwater, against cover, own mass and ballast."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from pondkit.core import flotation as buoyancy
from pondkit.core.entry import USER, Entry, Range, entry, within
from pondkit.core.result import Result
from pondkit.core.sentence import Words
from pondkit.geometry.line_intersection import Spot
from pondkit.geometry.terrain import Terrain
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import formulas as relations
from pondkit.trades.tunnels.alignment import Alignment
from pondkit.trades.tunnels.inputs import Node, Tunnels
from pondkit.trades.tunnels.joints import PassagePipe
from pondkit.trades.tunnels.runs import PoolLevels, RunAlignment

Covers = list[tuple[float, Spot]]  # (ground over the crown [m], place) along one run


@dataclass(frozen=True, eq=False)
class FlotationCheck(Result):
    """Flotation check. Subjects are a den, a pipe size, a run in the ground, or "run / pool" for pipe sealed in a
    pool's water.
    """

    den_uplift: tuple[Entry, ...]
    den_held_down: tuple[Entry, ...]
    den_ballast: tuple[Entry, ...]
    pipe_cover_needed: tuple[Entry, ...]
    pipe_cover_spare: tuple[Entry, ...]
    pipe_uplift: tuple[Entry, ...]
    pipe_held_down: tuple[Entry, ...]
    pipe_ballast: tuple[Entry, ...]


def flotation_check(
    tunnels: Tunnels,
    alignment: Alignment,
    pools: Sequence[PoolLevels],
    inverts: Mapping[int, float],
    ground: Terrain,
    groundwater: float | None,
    rise: float,
) -> FlotationCheck:
    """Flotation check of empty den boxes and pipe: uplift and resisting weight.

    Args:
        tunnels: Inputs of the tunnels.
        alignment: Their alignment.
        pools: pools without problems.
        inverts: Invert level at each node [m].
        ground: Existing ground in site axes.
        groundwater: Highest known level of the groundwater [m]; None if unknown.
        rise: Rise of the highest pool water above the level at rest [m].
    """
    covers = [run.covers(ground) for run in alignment.runs]
    uplift, held_down, ballast = [], [], []
    in_pool = {
        end: pool
        for run in alignment.runs
        for end, pool in zip(run.nodes, run.end_pools, strict=True)
        if pool is not None
    }
    for index, node in enumerate(tunnels.nodes):
        if node.kind == "chamber" and node.size and index in inverts and alignment.graph.degree(index):
            surface, water = ground.level_at(alignment.places[index]), groundwater
            if index in in_pool:  # surrounded by the pool's water, with no soil above
                surface, water = inverts[index], pools[in_pool[index]].level + rise
            lift, hold, more = _box(tunnels, node, inverts[index], surface, water)
            uplift.append(lift)
            held_down.append(hold)
            ballast.append(more)
    pipes = dict.fromkeys(run.pipe for run in alignment.runs)
    needed = {pipe: _cover_needed(tunnels, pipe) for pipe in pipes}
    pulls = list(_stretches(tunnels, alignment, pools, covers, groundwater))
    return FlotationCheck(
        tuple(uplift),
        tuple(held_down),
        tuple(ballast),
        tuple(needed.values()),
        tuple(_spare(alignment, needed, covers, groundwater)),
        *(tuple(pull[column] for pull in pulls) for column in range(3)),
    )


def _box(
    tunnels: Tunnels, node: Node, floor: float, surface: float, groundwater: float | None
) -> tuple[Entry, Entry, Entry]:
    """(uplift, resisting weight, ballast still required) of a den box whose floor is at an invert level [m]."""
    assert node.size is not None
    length, width, height = (float(side + 2 * node.wall) for side in node.size)
    underside = floor - float(node.wall)
    body = buoyancy.EmptyBody(
        node.name,
        (length, width),
        plan_share=1.0,
        outstand=0.0,
        base=0.0,
        underside=underside,
        top=underside + height,
        water_level=surface if groundwater is None else groundwater,
        cover=max(surface - (underside + height), 0.0),
        collar=0.0,
        mass=float(node.mass or 0.0),
        ballast=float(node.ballast or 0.0),
        notes=() if groundwater is not None else (buoyancy.NOT_KNOWN,),
    )
    return buoyancy.check_body(body, _soil(tunnels), float(tunnels.uplift_safety), warn.NEVER_RELY_ON_WATER())


def _cover_needed(tunnels: Tunnels, pipe: PassagePipe) -> Entry:
    return entry(
        relations.pipe_cover_needed,
        pipe.name,
        source=f"{pipe.source}; {USER}",
        outside_diameter=pipe.outside,
        pipe_mass=pipe.mass,
        length=1.0,
        safety=tunnels.uplift_safety,
        soil_density=_soil(tunnels),
        water_density=buoyancy.water_density(),
    )


def _spare(
    alignment: Alignment, needed: Mapping[PassagePipe, Entry], covers: Sequence[Covers], groundwater: float | None
) -> Iterator[Entry]:
    """Least cover over each run, less the cover required, where groundwater may surround it."""
    for run, covers_of_run in zip(alignment.runs, covers, strict=True):
        half = run.pipe.outside / 2
        wet = [(cover, spot) for cover, spot in covers_of_run if groundwater is None or groundwater > spot[2] - half]
        if wet:
            cover, spot = min(wet)
            notes = [] if groundwater is not None else [buoyancy.NOT_KNOWN]
            spare = entry(
                relations.pipe_cover_spare,
                run.name,
                source=USER,
                cautions=notes,
                ground_level=cover + spot[2] + half,
                pipe_level=spot[2],
                outside_diameter=run.pipe.outside,
                needed=needed[run.pipe],
            )
            yield buoyancy.by_groundwater(spare, notes)


def _stretches(
    tunnels: Tunnels,
    alignment: Alignment,
    pools: Sequence[PoolLevels],
    covers: Sequence[Covers],
    groundwater: float | None,
) -> Iterator[tuple[Entry, Entry, Entry]]:
    """(uplift, resisting weight, ballast required) of each run in wet ground, and of each stretch of dry pipe in a
    pool.

    Each stretch is checked by itself, as the soil over one does not hold down the next.
    """
    wet = alignment.wet_nodes()
    for run, covers_of_run in zip(alignment.runs, covers, strict=True):
        half, sealed = run.pipe.outside / 2, run.nodes[0] not in wet
        notes: list[Words] = [warn.PIPE_STAYS_EMPTY()] if sealed else []
        wet_covers = [cover for cover, spot in covers_of_run if groundwater is None or groundwater > spot[2] - half]
        buried = run.buried()
        length = (
            sum(high - low for low, high in buried)
            if groundwater is None
            else run.length_below(
                groundwater + half, buried
            )  # up to the point where the water only reaches its underside
        )
        if wet_covers and length > 0:
            cover = max(min(wet_covers), 0.0)
            unknown = [] if groundwater is not None else [buoyancy.NOT_KNOWN]
            yield _pull(tunnels, run, run.name, length, cover, [*notes, *unknown])
        if sealed:
            for pool, in_water in run.wet:
                yield _pull(tunnels, run, f"{run.name} / {pools[pool].name}", in_water, 0.0, notes)


def _pull(
    tunnels: Tunnels, run: RunAlignment, subject: str, length: float, cover: float, notes: Sequence[Words]
) -> tuple[Entry, Entry, Entry]:
    pipe, water = run.pipe, buoyancy.water_density()
    lift = entry(
        relations.pipe_uplift,
        subject,
        source=pipe.source,
        cautions=notes,
        outside_diameter=pipe.outside,
        wet_length=length,
        water_density=water,
    )
    hold = entry(
        relations.pipe_held_down,
        subject,
        source=f"{pipe.source}; {USER}",
        pipe_mass=pipe.mass,
        length=1.0,
        wet_length=length,
        outside_diameter=pipe.outside,
        cover=cover,
        soil_density=_soil(tunnels),
        water_density=water,
    )
    caution = warn.NEVER_RELY_ON_WATER()
    return lift, hold, buoyancy.ballast_required(subject, lift, hold, float(tunnels.uplift_safety), caution, notes)


def _soil(tunnels: Tunnels) -> Range:
    return within(float(tunnels.cover_density), float(tunnels.cover_density_within))
