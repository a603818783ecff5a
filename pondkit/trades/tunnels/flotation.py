"""Flotation check of den boxes and pipe, both taken as empty: uplift by groundwater or by a pool's water, against their
own mass, the soil over them and ballast.

Where the groundwater is not known, it is taken to stand at ground level, with a caution.
"""

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

Covers = list[tuple[float, Spot]]  # (ground over the crown, place) [m] along one run


@dataclass(frozen=True, eq=False)
class FlotationCheck(Result):
    """Flotation check. Subjects are a den, a pipe, a run in the ground, or "run / pool" for dry pipe in a pool."""

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
    """Uplift, resisting weight and ballast required of each den box, and of each stretch of pipe.

    Args:
        tunnels: Inputs of the tunnels.
        alignment: Their alignment.
        pools: Pools without problems.
        inverts: Invert level at each node [m].
        ground: Existing ground in site axes.
        groundwater: Highest known level of the groundwater [m]; None if unknown.
        rise: Rise of the highest pool water above the level at rest [m].
    """
    covers = [run.covers(ground) for run in alignment.runs]
    dens = []
    pool_at = {
        node: pool
        for run in alignment.runs
        for node, pool in zip(run.nodes, run.end_pools, strict=True)
        if pool is not None
    }
    for index, node in enumerate(tunnels.nodes):
        if node.kind == "chamber" and node.size and index in inverts and alignment.graph.degree(index):
            surface, water = ground.level_at(alignment.places[index]), groundwater
            if index in pool_at:  # surrounded by the pool's water, with no soil above
                surface, water = inverts[index], pools[pool_at[index]].level + rise
            dens.append(_den_check(tunnels, node, inverts[index], surface, water))
    pipes = dict.fromkeys(run.pipe for run in alignment.runs)
    needed = {pipe: _cover_needed(tunnels, pipe) for pipe in pipes}
    stretches = list(_pipe_checks(tunnels, alignment, pools, covers, groundwater))
    return FlotationCheck(
        den_uplift=tuple(uplift for uplift, _, _ in dens),
        den_held_down=tuple(held_down for _, held_down, _ in dens),
        den_ballast=tuple(ballast for _, _, ballast in dens),
        pipe_cover_needed=tuple(needed.values()),
        pipe_cover_spare=tuple(_covers_to_spare(alignment, needed, covers, groundwater)),
        pipe_uplift=tuple(uplift for uplift, _, _ in stretches),
        pipe_held_down=tuple(held_down for _, held_down, _ in stretches),
        pipe_ballast=tuple(ballast for _, _, ballast in stretches),
    )


def _den_check(
    tunnels: Tunnels, node: Node, floor: float, surface: float, water_level: float | None
) -> tuple[Entry, Entry, Entry]:
    """(uplift, resisting weight, ballast required) of a den box.

    Args:
        tunnels: Inputs of the tunnels.
        node: The den; it has a size.
        floor: Level of its floor [m].
        surface: Level of the ground over it; in a pool, where no soil lies over it, that of its floor [m].
        water_level: Level of the groundwater or of the pool's water [m]; None if the groundwater is not known.
    """
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
        water_level=surface if water_level is None else water_level,
        cover=max(surface - (underside + height), 0.0),
        collar=0.0,
        mass=float(node.mass or 0.0),
        ballast=float(node.ballast or 0.0),
        notes=() if water_level is not None else (buoyancy.NOT_KNOWN,),
    )
    return buoyancy.check_body(body, _cover_density(tunnels), float(tunnels.uplift_safety), warn.NEVER_RELY_ON_WATER())


def _cover_needed(tunnels: Tunnels, pipe: PassagePipe) -> Entry:
    return entry(
        relations.pipe_cover_needed,
        pipe.name,
        source=f"{pipe.source}; {USER}",
        outside_diameter=pipe.outside,
        pipe_mass=pipe.mass,
        length=1.0,
        safety=tunnels.uplift_safety,
        soil_density=_cover_density(tunnels),
        water_density=buoyancy.water_density(),
    )


def _covers_to_spare(
    alignment: Alignment, needed: Mapping[PassagePipe, Entry], covers: Sequence[Covers], groundwater: float | None
) -> Iterator[Entry]:
    """Least cover over each run, less the cover required, where groundwater may surround it."""
    for run, covers_of_run in zip(alignment.runs, covers, strict=True):
        half = run.pipe.outside / 2
        wet = [(cover, spot) for cover, spot in covers_of_run if groundwater is None or groundwater > spot[2] - half]
        if wet:
            cover, spot = min(wet)
            notes = [] if groundwater is not None else [buoyancy.NOT_KNOWN]
            to_spare = entry(
                relations.pipe_cover_spare,
                run.name,
                source=USER,
                cautions=notes,
                ground_level=cover + spot[2] + half,
                pipe_level=spot[2],
                outside_diameter=run.pipe.outside,
                needed=needed[run.pipe],
            )
            yield buoyancy.by_groundwater(to_spare, notes)


def _pipe_checks(
    tunnels: Tunnels,
    alignment: Alignment,
    pools: Sequence[PoolLevels],
    covers: Sequence[Covers],
    groundwater: float | None,
) -> Iterator[tuple[Entry, Entry, Entry]]:
    """(uplift, resisting weight, ballast required) of each run in wet ground, and of dry pipe in each pool.

    Each stretch is checked by itself, as the soil over one does not hold down the next; in the ground with the least
    cover along it, in a pool over its length under water at rest.
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
            yield _pipe_check(tunnels, run, run.name, length, cover, [*notes, *unknown])
        if sealed:
            for pool, in_water in run.wet:
                yield _pipe_check(tunnels, run, f"{run.name} / {pools[pool].name}", in_water, 0.0, notes)


def _pipe_check(
    tunnels: Tunnels, run: RunAlignment, subject: str, length: float, cover: float, notes: Sequence[Words]
) -> tuple[Entry, Entry, Entry]:
    """(uplift, resisting weight, ballast required) of a length of a run under one cover [m]."""
    pipe, water = run.pipe, buoyancy.water_density()
    uplift = entry(
        relations.pipe_uplift,
        subject,
        source=pipe.source,
        cautions=notes,
        outside_diameter=pipe.outside,
        wet_length=length,
        water_density=water,
    )
    held_down = entry(
        relations.pipe_held_down,
        subject,
        source=f"{pipe.source}; {USER}",
        pipe_mass=pipe.mass,
        length=1.0,
        wet_length=length,
        outside_diameter=pipe.outside,
        cover=cover,
        soil_density=_cover_density(tunnels),
        water_density=water,
    )
    caution = warn.NEVER_RELY_ON_WATER()
    safety = float(tunnels.uplift_safety)
    return uplift, held_down, buoyancy.ballast_required(subject, uplift, held_down, safety, caution, notes)


def _cover_density(tunnels: Tunnels) -> Range:
    return within(float(tunnels.cover_density), float(tunnels.cover_density_within))
