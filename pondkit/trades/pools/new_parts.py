"""New pools, tiers, pits and links as they are first drawn: sizes that fit, levels that the ground gives."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pondkit.core.entry import limit
from pondkit.core.refusal import Refused
from pondkit.core.tables import soil_row
from pondkit.core.typed import Typed
from pondkit.core.units import LENGTH
from pondkit.geometry.room import Spot, facing, gap_between, widest_spot
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.pools.compute import SiteConditions
from pondkit.trades.pools.inputs import Link, Pit, Pool, Tier
from pondkit.trades.pools.results import PoolResult

INCH = 0.0254
FREEBOARD = 4 * INCH
FIRST, NEXT = (2.1, 1.5), (1.1, 0.85)  # m: half length and half width of a first pool, and of one beside others
LEAST = 0.3  # m: half length of the smallest pool that is drawn unasked
CLEAR = 0.15  # m: what stays free between its dig and what stands there
DIRECTIONS = 32  # in which the ground is looked at round a place
PROTECTED, _ = limit("protective system from", LENGTH)
SHALLOW, SHELF, DEEP = 10 * INCH, 15 * INCH, 22 * INCH
BESIDE = 0.9  # m: how far a second fall between two pools lies from the first


@dataclass(frozen=True)
class PoolRoom:
    """What a new pool finds at its place.

    Attributes:
        slope: Of the ground there.
        batter: Of faces that the soil bears, and that an animal climbs.
        most: Half length that leaves the dig clear of what stands there [m].
    """

    slope: float
    batter: float
    most: float


def pool_room(at: Spot, clear: float, site: SiteConditions) -> PoolRoom:
    """What a new pool finds at a place that is so far from all that stands [m]."""
    levels = _ring(at, 1.0, site)
    slope = (max(levels) - min(levels)) / 2
    batter = max(1.0, float(soil_row(site.soil, False)["steepest_h_per_v"]))
    # Uphill the bank goes on up to the ground: it meets it so much further out.
    steep = min(slope * batter, 0.8)
    reach = FREEBOARD * batter / (1 - steep)
    return PoolRoom(slope, batter, (clear - CLEAR - reach) / (1 + 2 * steep / (1 - steep)))


def room_wanted(first: bool, site: SiteConditions, at: Spot) -> float:
    """How far from all that stands the middle of a new pool of the plain size lies [m]."""
    plain = (FIRST if first else NEXT)[0]
    spare = pool_room(at, 0.0, site)
    steep = min(spare.slope * spare.batter, 0.8)
    return plain * (1 + 2 * steep / (1 - steep)) + CLEAR + FREEBOARD * spare.batter / (1 - steep) + 0.3


def new_pool(pools: Sequence[Pool], name: str, at: Spot, clear: float, site: SiteConditions, typed: Typed) -> Pool:
    """A plain first pool, or a small one beside others, with its rim at the lowest ground round it.

    Args:
        pools: Those that are drawn.
        name: What it is called.
        at: Its middle [m].
        clear: Distance from there to all that stands [m].
        site: Its ground and soil.
        typed: Writes its sizes.
    Raises: Refused where there is no room for one.
    """
    room = pool_room(at, clear, site)
    plain = NEXT if pools else FIRST
    half = min(plain[0], room.most)
    if half < LEAST:
        raise Refused("There is no room for a pool at this place: draw it further from what stands there.")
    wide = half * plain[1] / plain[0]
    low = min(*_ring(at, half + FREEBOARD * room.batter, site), *_ring(at, half, site))
    level = low - FREEBOARD
    deepest = 0.75 * wide / room.batter
    if site.groundwater is not None:
        deepest = min(deepest, max(level - site.groundwater - 2 * INCH, 4 * INCH))
    if site.depth_limit is not None:
        deepest = min(deepest, max(site.depth_limit, 4 * INCH))
    tiers: list[dict[str, Any]] = [{"zone": "shallow", "depth": typed.small(min(SHALLOW, deepest), whole=math.floor)}]
    if not pools and deepest >= DEEP and wide > DEEP * room.batter + SHELF + 0.1:
        tiers[0]["shelf"] = typed.either("15 in", "40 cm")
        tiers.append({"zone": "deep", "depth": typed.small(DEEP, whole=math.floor)})
    values = {
        "name": name,
        "level": typed.small(level, whole=math.floor),
        "freeboard": typed.either("4 in", "10 cm"),
        "bank_batter": room.batter,
        "at": typed.place(at),
        "outline": {"shape": "ellipse", "length": typed.far(2 * half), "width": typed.far(2 * wide)},
        "tiers": [tier | {"batter": room.batter} for tier in tiers],
    }
    return Pool.model_validate(values, by_name=True, context={"units": typed.system})


def _ring(at: Spot, radius: float, site: SiteConditions) -> list[float]:
    """Levels of the ground round a place [m]; those of the datum where the ground is not known."""
    if site.ground is None:
        return [0.0]
    turns = [2 * math.pi * number / DIRECTIONS for number in range(DIRECTIONS)]
    return [site.ground.level_at((at[0] + radius * math.cos(turn), at[1] + radius * math.sin(turn))) for turn in turns]


def new_tier(tiers: Sequence[Tier], name: str, most: float | None, typed: Typed) -> tuple[Tier, Tier]:
    """The last tier with a shelf, and a further one, half as deep again; where that would make a cut that calls for
    shoring, the last tier is parted instead: its shelf half way up, and the new one as deep as it was.

    Args:
        tiers: Of the pool or pit.
        name: Of its zone.
        most: Depth at which the dig stays under the depth that calls for shoring [m]; None where that is not known.
        typed: Writes its sizes.
    """
    last = tiers[-1]
    above = float(tiers[-2].depth) if len(tiers) > 1 else 0.0
    held: dict[str, Any] = {} if last.shelf else {"shelf": typed.either("15 in", "40 cm")}
    depth = typed.small(min(float(last.depth) * 1.5, 3.6, most or math.inf), whole=math.floor)
    further = _tier(last, {"zone": name, "depth": depth, "shelf": typed.either("0 in", "0 cm")})
    if further.depth < last.depth + INCH:
        if last.depth - above > 4 * INCH:
            held["depth"] = typed.small((above + float(last.depth)) / 2)
            further = _tier(further, {"depth": last.depth})
        else:
            further = _tier(further, {"depth": typed.small(float(last.depth) + 2 * INCH)})
    return _tier(last, held), further


def _tier(tier: Tier, values: dict[str, Any]) -> Tier:
    return Tier.model_validate(_fields(tier) | values, by_name=True)


def _fields(part: Tier) -> dict[str, Any]:
    return {name: getattr(part, name) for name in type(part).model_fields}


def most_depth(pool: PoolResult) -> float | None:
    """Depth under the waterline at which the dig stays just under the depth that calls for shoring [m]."""
    if pool.dig_depth is None:
        return None
    laid = pool.surfaces.finished.surface.deepest
    return laid + PROTECTED - pool.dig_depth.value - 2 * INCH


def new_pit(pool: PoolResult, soil: str, wanted: Spot | None, typed: Typed) -> Pit:
    """A round pit in the widest part of the floor, or at a place on it.

    Raises: Refused where no level part of the floor is wide enough for one.
    """
    laid = pool.surfaces.finished
    own = laid.surface.pool.profile
    start, _, floor = own.levels[-1]
    found = widest_spot(laid, start, wanted)
    if found is None or found[1] < 0.25 or floor.level is None:
        raise Refused("No level part of the floor is wide enough for a pit: make the pool wider, or a shelf narrower.")
    (x, y), free = found
    batter = max(0.5, min(1.0, float(soil_row(soil, False)["steepest_h_per_v"])))
    radius = min(0.8 * free, 0.6)
    deepest, most = laid.surface.deepest, most_depth(pool)
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


def new_link(pools: Sequence[PoolResult], links: Sequence[Link], wanted: Spot | None, typed: Typed) -> Link:
    """A fall from the higher to the lower of two pools, its crest at the rim that faces the lower one.

    Two pools that no link joins come first: the pair nearest to the place wanted, or else to each other.

    Raises: Refused where there are no two pools, or no place for a further link.
    """
    if not pools:
        raise Refused("A link runs from one pool to another: draw a pool first, and then a second one.")
    if len(pools) < 2:
        raise Refused("A link runs from one pool to another: draw a second pool first.")
    joined = {frozenset((link.from_, link.to)) for link in links}
    pairs = [(one, other) for at, one in enumerate(pools) for other in pools[at + 1 :]]
    free = [pair for pair in pairs if frozenset((pair[0].name, pair[1].name)) not in joined]
    taken = [(float(link.at[0]), float(link.at[1])) for link in links]
    if free and not wanted:  # the newest pool first: it is what was just drawn
        newest = max(pair[1].index for pair in free)
        free = [pair for pair in free if pair[1].index == newest]
    for one, other in sorted(free or pairs, key=lambda pair: _away(pair, wanted)):
        upper, lower = (one, other) if one.surfaces.finished.level >= other.surfaces.finished.level else (other, one)
        met = facing(upper.surfaces.finished, lower.surfaces.finished, taken, BESIDE)
        if met is not None:
            crest, foot = met
            apart = math.dist(crest, foot)
            out = min(upper.surfaces.finished.rim, apart / 3) / apart if apart else 0.0
            at = crest[0] + out * (foot[0] - crest[0]), crest[1] + out * (foot[1] - crest[1])
            wide = min(18 * INCH, _width(upper.surfaces.finished), _width(lower.surfaces.finished))
            values = {
                "from_": upper.name,
                "to": lower.name,
                "at": typed.place(at, 0.01),
                "crest_width": typed.small(wide, whole=math.floor),
            }
            return Link.model_validate(values, by_name=True, context={"units": typed.system})
    raise Refused("Between these pools there is no place left for a further link.")


def _width(laid: SiteSurface) -> float:
    return laid.surface.pool.shape.inradius


def _away(pair: tuple[PoolResult, PoolResult], wanted: Spot | None) -> float:
    one, other = pair[0].surfaces.finished, pair[1].surfaces.finished
    if wanted is None:
        return gap_between(one, other)
    met = facing(one, other)
    assert met is not None
    return math.dist(wanted, ((met[0][0] + met[1][0]) / 2, (met[0][1] + met[1][1]) / 2))
