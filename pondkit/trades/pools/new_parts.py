"""Starting values of new pools, tiers, pits and links: sizes that fit where they are drawn, levels from the ground."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pondkit.core.entry import limit
from pondkit.core.refusal import Refused
from pondkit.core.tables import soil_row
from pondkit.core.units import LENGTH, Typed
from pondkit.geometry.room import Spot, facing, gap_between, widest_spot
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.pools.compute import SiteConditions
from pondkit.trades.pools.inputs import Link, Pit, Pool, Tier
from pondkit.trades.pools.results import PoolResult

INCH = 0.0254
FREEBOARD = 4 * INCH
FIRST_POOL, NEXT_POOL = (2.1, 1.5), (1.1, 0.85)  # m: half length and width of a first pool, and of one beside others
LEAST_POOL = 0.3  # m: half length of the smallest new pool
CLEARANCE = 0.15  # m: between its dig and what is there
DIRECTIONS = 32  # directions in which the ground is read round a place
PROTECTED_FROM, _ = limit("protective system from", LENGTH)
DEEPEST_TIER = 3.6  # m: within the bound of the depth that a tier may have
SHALLOW, SHELF, DEEP = 10 * INCH, 15 * INCH, 22 * INCH
ROOM_TO_SPARE = 0.3  # m: at the place chosen for a new pool
LINKS_APART = 0.9  # m: distance between two falls of the same pools


@dataclass(frozen=True)
class PoolRoom:
    """Conditions at the place of a new pool.

    Attributes:
        slope: Slope of the ground there.
        batter: Batter of faces at which the soil stands and an animal can climb out.
        half_length: Greatest half length at which the dig stays clear of what is there [m].
    """

    slope: float
    batter: float
    half_length: float


def pool_room(place: Spot, clear: float, site: SiteConditions) -> PoolRoom:
    """Conditions at a place for a new pool. ``clear``: distance from it to the nearest thing that is there [m]."""
    levels = _levels_round(place, 1.0, site)
    slope = (max(levels) - min(levels)) / 2
    batter = max(1.0, float(soil_row(site.soil, False)["steepest_h_per_v"]))
    beyond_waterline, per_length = _dig_reach(slope, batter)
    return PoolRoom(slope, batter, (clear - CLEARANCE - beyond_waterline) / per_length)


def _dig_reach(slope: float, batter: float) -> tuple[float, float]:
    """How far the dig of a pool reaches from its centre: (reach beyond its waterline by the freeboard alone [m], reach
    per half length of the pool [-]). Uphill the bank goes on rising and meets the ground further out.
    """
    rise = _rise(slope, batter)
    return FREEBOARD * batter / (1 - rise), 1 + 2 * rise / (1 - rise)


def _rise(slope: float, batter: float) -> float:
    """Rise of the ground over the run of one of rise of the bank [-], up to where they no longer meet nearby."""
    return min(slope * batter, 0.8)


def room_wanted(first: bool, site: SiteConditions, place: Spot) -> float:
    """Distance that the centre of a new pool of the usual size wants from everything that is there [m].

    Args:
        first: True for the first pool of an option, which is larger.
        site: Its ground and soil.
        place: Where the ground is looked at.
    """
    half_length, _ = FIRST_POOL if first else NEXT_POOL
    room = pool_room(place, 0.0, site)
    beyond_waterline, per_length = _dig_reach(room.slope, room.batter)
    return half_length * per_length + CLEARANCE + beyond_waterline + ROOM_TO_SPARE


def new_pool(pools: Sequence[Pool], name: str, place: Spot, clear: float, site: SiteConditions, typed: Typed) -> Pool:
    """A simple first pool, or a small one beside others, with its rim at the lowest ground round it.

    Args:
        pools: Existing pools.
        name: Its name.
        place: Its centre [m].
        clear: Distance from there to the nearest thing that is there [m].
        site: Its ground and soil.
        typed: Writes a quantity as text.
    Raises: Refused if there is no room for one.
    """
    room = pool_room(place, clear, site)
    usual = NEXT_POOL if pools else FIRST_POOL
    half = min(usual[0], room.half_length)
    if half < LEAST_POOL:
        raise Refused("There is no room for a pool at this place: draw it further from what stands there.")
    half_width = half * usual[1] / usual[0]
    low = min(*_levels_round(place, half + FREEBOARD * room.batter, site), *_levels_round(place, half, site))
    level = low - FREEBOARD
    uphill = max(_levels_round(place, half, site)) - level
    edge_of_cut = uphill / (1 - _rise(room.slope, room.batter))
    deepest = min(0.75 * half_width / room.batter, max(PROTECTED_FROM - edge_of_cut - 2 * INCH, 4 * INCH))
    if site.groundwater is not None:
        deepest = min(deepest, max(level - site.groundwater - 2 * INCH, 4 * INCH))
    if site.depth_limit is not None:
        deepest = min(deepest, max(site.depth_limit, 4 * INCH))
    tiers: list[dict[str, Any]] = [{"zone": "shallow", "depth": typed.small(min(SHALLOW, deepest), whole=math.floor)}]
    if not pools and deepest >= DEEP and half_width > DEEP * room.batter + SHELF + 0.1:
        tiers[0]["shelf"] = typed.either("15 in", "40 cm")
        tiers.append({"zone": "deep", "depth": typed.small(DEEP, whole=math.floor)})
    values = {
        "name": name,
        "level": typed.small(level, whole=math.floor),
        "freeboard": typed.either("4 in", "10 cm"),
        "bank_batter": room.batter,
        "at": typed.place(place),
        "outline": {"shape": "ellipse", "length": typed.far(2 * half), "width": typed.far(2 * half_width)},
        "tiers": [tier | {"batter": room.batter} for tier in tiers],
    }
    return Pool.model_validate(values, by_name=True, context={"units": typed.system})


def _levels_round(place: Spot, radius: float, site: SiteConditions) -> list[float]:
    """Levels of the ground round a place [m]; 0 if the ground is unknown."""
    if site.ground is None:
        return [0.0]
    turns = [2 * math.pi * number / DIRECTIONS for number in range(DIRECTIONS)]
    return [
        site.ground.level_at((place[0] + radius * math.cos(turn), place[1] + radius * math.sin(turn))) for turn in turns
    ]


def new_tier(tiers: Sequence[Tier], name: str, most: float | None, typed: Typed) -> tuple[Tier, Tier]:
    """(the last tier with a shelf, a new tier half as deep again). If that would require shoring of the cut, the last
    tier is divided instead: its shelf at half depth, and the new tier at its former depth.

    Args:
        tiers: Tiers of the pool or pit.
        name: Name of the zone.
        most: Greatest depth without shoring [m]; None if unknown.
        typed: Writes a quantity as text.
    """
    last = tiers[-1]
    above = float(tiers[-2].depth) if len(tiers) > 1 else 0.0
    last_values: dict[str, Any] = {} if last.shelf else {"shelf": typed.either("15 in", "40 cm")}
    depth = typed.small(min(float(last.depth) * 1.5, DEEPEST_TIER, most or math.inf), whole=math.floor)
    further = _tier(last, {"zone": name, "depth": depth, "shelf": typed.either("0 in", "0 cm")})
    if further.depth < last.depth + INCH:
        if last.depth - above > 4 * INCH:
            last_values["depth"] = typed.small((above + float(last.depth)) / 2)
            further = _tier(further, {"depth": last.depth})
        else:
            further = _tier(further, {"depth": typed.small(float(last.depth) + 2 * INCH)})
    return _tier(last, last_values), further


def _tier(tier: Tier, values: dict[str, Any]) -> Tier:
    """A tier with other values in some of its fields."""
    fields = {name: getattr(tier, name) for name in type(tier).model_fields}
    return Tier.model_validate(fields | values, by_name=True)


def most_depth(pool: PoolResult) -> float | None:
    """Greatest depth under the waterline at which the dig requires no shoring [m]."""
    if pool.dig_depth is None:
        return None
    deepest = pool.surfaces.finished.surface.deepest
    return deepest + PROTECTED_FROM - pool.dig_depth.value - 2 * INCH


def new_pit(pool: PoolResult, soil: str, target: Spot | None, typed: Typed) -> Pit:
    """A new round pit in the widest part of the floor, or at a place on it.

    Args:
        pool: The pool.
        soil: Soil of the site, a name in the table of soils.
        target: Place wanted on the site [m]; None for the widest part.
        typed: Writes a quantity as text.
    Raises: Refused if no level part of the floor is wide enough for one.
    """
    finished = pool.surfaces.finished
    profile = finished.surface.pool.profile
    start, _, floor = profile.levels[-1]
    spot = widest_spot(finished, start, target)
    if spot is None or spot[1] < 0.25 or floor.level is None:
        raise Refused("No level part of the floor is wide enough for a pit: make the pool wider, or a shelf narrower.")
    (x, y), free = spot
    batter = max(0.5, min(1.0, float(soil_row(soil, False)["steepest_h_per_v"])))
    radius = min(0.8 * free, 0.6)
    deepest, most = finished.surface.deepest, most_depth(pool)
    deeper = min(SHALLOW, 0.7 * radius / batter)
    if most is not None:
        deeper = min(deeper, most - deepest)
    if deeper < INCH:
        raise Refused("A pit in this floor would make a cut that calls for shoring: make the pool less deep first.")
    values = {
        "at": typed.place((x, y)),
        "top": typed.small(floor.level, 0.5),
        "outline": {"shape": "circle", "diameter": typed.far(2 * radius)},
        "tiers": [{"zone": "pit", "depth": typed.small(floor.level + deeper, 0.5, math.floor), "batter": batter}],
    }
    if abs(float(Pit.model_validate(values, context={"units": typed.system}).top or 0.0) - floor.level) > 1e-6:
        del values["top"]
    return Pit.model_validate(values, context={"units": typed.system})


def new_link(pools: Sequence[PoolResult], links: Sequence[Link], target: Spot | None, typed: Typed) -> Link:
    """A new fall from the higher to the lower of two pools, its crest at the rim that faces the lower one.

    Pools without a link between them come first: the pair nearest to ``target``; without it, of the pairs with the
    newest pool the one nearest to each other.

    Args:
        pools: Those without problems.
        links: Inputs of the links that there are.
        target: Place wanted on the site [m]; None for any.
        typed: Writes a quantity as text.
    Raises: Refused if there are no two pools, or no place for a further link.
    """
    if not pools:
        raise Refused("A link runs from one pool to another: draw a pool first, and then a second one.")
    if len(pools) < 2:
        raise Refused("A link runs from one pool to another: draw a second pool first.")
    connected = {frozenset((link.from_, link.to)) for link in links}
    pairs = [(first, second) for index, first in enumerate(pools) for second in pools[index + 1 :]]
    free = [pair for pair in pairs if frozenset((pair[0].name, pair[1].name)) not in connected]
    crests = [(float(link.at[0]), float(link.at[1])) for link in links]
    if free and not target:  # the newest pool first
        newest = max(pair[1].index for pair in free)
        free = [pair for pair in free if pair[1].index == newest]
    for first, second in sorted(free or pairs, key=lambda pair: _distance(pair, target)):
        upper, lower = (
            (first, second) if first.surfaces.finished.level >= second.surfaces.finished.level else (second, first)
        )
        met = facing(upper.surfaces.finished, lower.surfaces.finished, crests, LINKS_APART)
        if met is not None:
            crest, foot = met
            apart = math.dist(crest, foot)
            share = min(upper.surfaces.finished.rim, apart / 3) / apart if apart else 0.0
            crest_place = crest[0] + share * (foot[0] - crest[0]), crest[1] + share * (foot[1] - crest[1])
            wide = min(18 * INCH, _inradius(upper.surfaces.finished), _inradius(lower.surfaces.finished))
            values = {
                "from_": upper.name,
                "to": lower.name,
                "at": typed.place(crest_place, 0.01),
                "crest_width": typed.small(wide, whole=math.floor),
            }
            return Link.model_validate(values, by_name=True, context={"units": typed.system})
    raise Refused("Between these pools there is no place left for a further link.")


def _inradius(site_surface: SiteSurface) -> float:
    """Radius of the greatest circle inside a pool's outline [m]."""
    return site_surface.surface.pool.shape.inradius


def _distance(pair: tuple[PoolResult, PoolResult], target: Spot | None) -> float:
    """Distance of a pair of pools from each other, or of the middle between them from a place [m]."""
    first, second = pair[0].surfaces.finished, pair[1].surfaces.finished
    if target is None:
        return gap_between(first, second)
    met = facing(first, second)
    assert met is not None
    return math.dist(target, ((met[0][0] + met[1][0]) / 2, (met[0][1] + met[1][1]) / 2))
