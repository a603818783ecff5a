"""New works beside the pools as they are first drawn: bodies of the water side, walls, machines, stakes, keep-outs; and
what their fields may choose from.
"""

import math
from collections.abc import Iterator
from typing import Any

from pondkit.core.part import Part, get
from pondkit.core.refusal import Refused
from pondkit.geometry.room import Spot, nearest_on
from pondkit.project.files import put
from pondkit.project.project import Option, Project
from pondkit.study.site_room import APART, SiteRoom, fresh_name, soundest
from pondkit.trades.animals.inputs import AnimalWayOut
from pondkit.trades.clearances.inputs import KeepOut
from pondkit.trades.earthwork import new_parts as crew
from pondkit.trades.earthwork.compute import level_rows, structures
from pondkit.trades.earthwork.inputs.dig import Reading
from pondkit.trades.earthwork.inputs.earth import Berm, straight_as_outline
from pondkit.trades.lifting.inputs import Lifting, Position
from pondkit.trades.liner.inputs import TRENCH, lined_pools
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.walls.new_parts import new_wall
from pondkit.trades.water import new_parts as water

Made = Part | Project  # a new part for the end of its list, or the whole design where more is drawn with it


def new_intake(site: SiteRoom) -> Part:
    """An intake beside the lowest pool, or where one is wanted."""
    lowest = min(site.result.pools, key=lambda pool: pool.surfaces.finished.level, default=None)
    start = site.beside
    if lowest:
        start = nearest_on(lowest.surfaces.finished, (-1e3, 0.0), 0.0)[0]
    return water.new_intake(site.free(APART, start), None, site.typed)


def new_pump_pit(site: SiteRoom) -> Part:
    """A pump pit at a free place, its base in the ground."""
    at = site.free(APART + 0.5)
    return water.new_pit(get(site.project, site.held[:-1]), at, site.ground(at), site.typed)


def new_filter(site: SiteRoom) -> Part:
    """A filter at a free place, over the highest pool."""
    return water.new_filter(site.free(APART + 0.5), water.levels_of(site.drawn.pools), site.typed)


def new_passage(site: SiteRoom) -> Part:
    """The pipe between the filter's two bodies."""
    return water.new_passage(get(site.project, site.held[:-1]))


# --- walls, lifting, earth ---


def new_drawn_wall(site: SiteRoom) -> Part:
    """A low wall at a free place, as wide as it must be to hold."""
    at = site.free(APART + 0.8)
    trade = get(site.project, site.held[:-1])
    return new_wall(trade, site.name("wall"), at, site.ground(at), site.project.site.soil, site.typed)


def new_position(site: SiteRoom) -> Made:
    """A position off every edge, as near to the place wanted as the soil allows; stones wait behind the machine."""
    return soundest(site.project, site.option, _positions(site, get(site.project, site.held[:-1])))


def _positions(site: SiteRoom, trade: Lifting) -> Iterator[Project]:
    held, size = trade.positions, float(trade.size)
    wanted = site.place or site.beside
    for more in (1.4, 2.0, 3.0, 4.5, 6.0, 9.0):
        at = site.room.near(wanted, size + more)
        if at is None:
            continue
        pick = site.room.near(at, 1.6, lambda spot, at=at: math.dist(spot, at) >= size + 1.5)  # type: ignore[misc]
        if pick is None:
            continue
        values = {
            "name": fresh_name("position", [one.name for one in held]),
            "at": site.typed.place(at),
            "pick_up": site.typed.place(pick),
        }
        position = Position.model_validate(values, context={"units": site.project.units})
        own = (*site.held[:-1], "positions")
        yield put(site.project, own, (*held, position))


def new_berm_outline(site: SiteRoom) -> Made:
    """The outline of a berm, as large as it was straight, so far from all that stands that its sides come down."""
    berm: Berm = get(site.project, site.held[:-1])
    box = straight_as_outline(berm)
    half = math.hypot(float(box.length), float(box.width)) / 2
    tried = []
    for far in (half + 2.0, half + 4.0, half + 8.0):
        at = site.place or site.room.near(site.beside, far)
        if at is not None:
            moved = put(site.project, (*site.held[:-1], "at"), site.typed.place(at))
            tried.append(put(moved, site.held, box))
    return soundest(site.project, site.option, tried)


def new_lifting(site: SiteRoom) -> Made:
    """The lift plan with a first position."""
    after = put(site.project, site.held, Lifting())
    inner = SiteRoom(after, site.option, (*site.held, "positions"), site.place)
    return soundest(site.project, site.option, _positions(inner, Lifting()))


# --- animals, dig, site, prices ---


def new_way_out(site: SiteRoom) -> Part:
    """A way out at the waterline: of the pool nearest to the place wanted, or of the first that has none."""
    found = site.result.pools
    if not found:
        raise Refused("A way out leads out of a pool: draw a pool first.")
    held = get(site.project, site.held)
    bare = [pool for pool in found if pool.name not in {one.pool for one in held}] or list(found)
    wanted = site.place
    pool = bare[0] if wanted is None else min(found, key=lambda one: _off(one, wanted))
    at = nearest_on(pool.surfaces.finished, wanted or (1e3, 0.0), 0.0)[0]
    values = {"name": site.name("ramp"), "pool": pool.name, "at": site.typed.place(at, 0.01)}
    return AnimalWayOut.model_validate(values, context={"units": site.project.units})


def _off(pool: PoolResult, at: Spot) -> float:
    return math.dist(nearest_on(pool.surfaces.finished, at, 0.0)[0], at)


def new_reading(site: SiteRoom) -> Part:
    """A rod reading on the first level to dig by that has none. Raises: Refused where there is no such level."""
    rows = row_names(site.drawn)
    if not rows:
        raise Refused("There is no level to dig by yet: draw a pool first.")
    held = {one.row for one in get(site.project, site.held)}
    return Reading(row=next((row for row in rows if row not in held), rows[0]))


def new_measured(site: SiteRoom) -> Part:
    """A level to be found in the pool that the place lies in, else in the first that has none."""
    found, held = site.result.pools, {one.pool for one in get(site.project, site.held)}
    if not found:
        raise Refused("Levels are found in the hole of a pool: draw a pool first.")
    at = site.place
    pool = next((one for one in found if one.name not in held), found[0])
    if at is not None:
        pool = next((one for one in found if one.surfaces.finished.holds(at)), pool)
    return crew.new_measured(pool, at, site.typed)


def new_tape(site: SiteRoom) -> Made:
    """A tape line across the next pool, in the soundest of several directions. Raises: Refused without a pool."""
    if not site.result.pools:
        raise Refused("A tape line goes over a pool: draw a pool first.")
    held = get(site.project, site.held)
    pool = site.result.pools[min(len(held), len(site.result.pools) - 1)]
    turns = [crew.new_tape(pool, site.name("line"), turn, site.typed) for turn in range(0, 180, 15)]
    return soundest(site.project, site.option, [put(site.project, site.held, (*held, tape)) for tape in turns])


def new_stakes(site: SiteRoom) -> Part:
    """Two stakes outside every dig."""
    return crew.new_stakes(site.result.pools, site.typed)


def new_keep_out(site: SiteRoom) -> Part:
    """A thing to keep clear of, where it stands; how far it is kept clear is the person's to say."""
    kind = site.kind or "tree"
    at = site.free(APART + 1.0)
    values: dict[str, Any] = {"name": site.name(kind), "kind": kind, "points": [site.typed.place(at)]}
    return KeepOut.model_validate(values, context={"units": site.project.units})


def row_names(option: Option) -> list[str]:
    """Names of the levels to dig by."""
    held = option.lining is not None and option.lining.edge_kind == TRENCH
    anchored = lined_pools(option.lining) if held else frozenset()
    standing = structures.drawn(option.water, option.walls)
    return level_rows.row_names(option.pools, option.links, option.stone, anchored, option.tunnels, standing)
