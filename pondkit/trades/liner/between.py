"""What one trade takes of another: its numbers as plain arguments, gathered for ``evaluate``."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, no_such
from pondkit.geometry.band import TierBand, bands
from pondkit.geometry.path import Laid
from pondkit.project.project import Option
from pondkit.trades.liner.buying import Mark
from pondkit.trades.liner.ending import TRENCH
from pondkit.trades.liner.extras import Ballast, Burrowed, Floor, Footing
from pondkit.trades.liner.strips import Channel, Fall
from pondkit.trades.liner.work import LiningResult
from pondkit.trades.pools.inputs.links import Link
from pondkit.trades.pools.inputs.pool import Pool
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs.stone import Boulder, Stone
from pondkit.trades.stone.results import StoneResult
from pondkit.trades.tunnels.results import TunnelsResult
from pondkit.trades.water.results import RunResult


def lined_of(option: Option) -> set[str]:
    """Names of the pools that lie on a liner."""
    return {name for liner in option.lining.liners for name in liner.covers} if option.lining else set()


def _liner_of(option: Option, link: Link) -> str | None:
    """The one liner on which both pools of a link lie; None where there is none."""
    liners = option.lining.liners if option.lining else ()
    return next((liner.name for liner in liners if {link.from_, link.to} <= set(liner.covers)), None)


def links_on_one(option: Option) -> tuple[tuple[str, str], ...]:
    """(liner, link) of each link both of whose pools lie on one liner: no strip is wanted there."""
    return tuple(
        (liner, f"{link.from_} – {link.to}") for link in option.links if (liner := _liner_of(option, link)) is not None
    )


def falls_of(option: Option, found: dict[str, Laid], run: RunResult | None) -> tuple[Fall, ...]:
    """Links of which both pools could be worked out and one at least is lined; channels with how deep they run, where that is known."""
    depths = {depth.subject: depth.most for depth in run.links.channels.channel_depth} if run else {}
    falls = []
    for link in option.links:
        lined = lined_of(option) & {link.from_, link.to} and not _liner_of(option, link)
        if link.from_ in found and link.to in found and lined:
            name = f"{link.from_} – {link.to}"
            crest = found[link.from_].level if link.crest_level is None else float(link.crest_level)
            bed = _channel(link, depths.get(name)) if link.kind == "channel" else None
            at = (float(link.at[0]), float(link.at[1]))
            falls.append(Fall(name, at, float(link.crest_width), crest, found[link.from_], found[link.to], bed))
    return tuple(falls)


def _channel(link: Link, depth: float | None) -> Channel:
    length, slope, bank = (None if v is None else float(v) for v in (link.length, link.slope, link.bank_height))
    wide = float(link.crest_width if link.bed_width is None else link.bed_width)
    return Channel(length, slope, wide, float(link.side_batter), bank, depth)


def anchor_of(option: Option, lined: LiningResult | None) -> float | None:
    """Soil out of all anchor trenches [m³]; None where a liner that has one is in trouble."""
    if option.lining is None or option.lining.edge_kind != TRENCH:
        return 0.0
    if lined is None or lined.problems or len(lined.extras.trench_volume) < len(option.lining.liners):
        return None
    return sum(trench.value for trench in lined.extras.trench_volume)


def footings_of(option: Option) -> tuple[Footing, ...]:
    """Boulders that stand on a liner, and on no other stone."""
    lined = lined_of(option)
    return tuple(
        Footing(boulder.name, boulder.count, *(float(axis) for axis in sorted(boulder.axes, reverse=True)[:2]))
        for boulder in (option.stone.boulders if option.stone else ())
        if boulder.pool in lined and boulder.rests_on is None
    )


def floors_of(option: Option, pools: tuple[PoolResult, ...]) -> tuple[Floor, ...]:
    """The level parts of each lined pool's liner, its lowest place among them, and the gravel on each."""
    lined = lined_of(option)
    return tuple(
        Floor(pool.name, tuple(_level_parts(pool.surfaces.liner, pool.surfaces.finished)))
        for pool in pools
        if pool.name in lined
    )


def _level_parts(liner: Laid, finished: Laid) -> Iterator[tuple[float, float]]:
    yield liner.level - liner.bowl.deepest, liner.bowl.deepest - finished.bowl.deepest
    for part, over in zip(liner.bowl.parts, finished.bowl.parts, strict=True):
        tops = {line.owner: line.level for _, _, line in over.profile.levels}
        for start, _, line in part.profile.levels:
            if line.owner >= 0 and line.level is not None and start < part.shape.inradius:
                top = tops.get(line.owner)
                yield liner.level - line.level, 0.0 if top is None else line.level - top


def ballast_of(
    option: Option, pools: tuple[PoolResult, ...], stones: StoneResult | None, groundwater: float | None
) -> tuple[Ballast, ...]:
    """Stone that stands on a pool's liner under the groundwater: boulders that name the pool, what rests on them, edging set inside.

    One that is placed where the liner lies above the groundwater holds nothing down, and is left out. Of a pool whose stone is in doubt there is none.
    """
    if stones is None or groundwater is None:
        return ()
    named = {kind.boulder.name: kind.boulder for kind in stones.kinds}
    found = []
    for pool in pools:
        laid = pool.surfaces.liner
        dry = groundwater <= laid.level - laid.bowl.deepest
        if dry or pool.name not in lined_of(option) or pool.name in stones.in_doubt:
            continue
        masses, unplaced = [], 0
        for kind in stones.kinds:
            if _lowest(kind.boulder, named).pool != pool.name:
                continue
            places = np.array(kind.boulder.places, dtype=float).reshape(-1, 2)
            bare, count = kind.boulder.count - len(places), kind.boulder.count
            if len(places):
                count = int(np.sum(laid.level - laid.bowl.depth_at(laid.placed.to_own(places)) < groundwater)) + bare
            if count:
                masses.append(count * kind.mass.least)
                unplaced += bare
        masses += [
            row.mass.least
            for row in stones.rows
            if (row.edging.pool, row.edging.seat) == (pool.name, "inside") and row.edging.base_level < groundwater
        ]
        if masses:
            found.append(Ballast(pool.name, tuple(masses), unplaced))
    return tuple(found)


def _lowest(boulder: Boulder, named: dict[str, Boulder]) -> Boulder:
    """The boulder on the ground under one that rests on others; itself where the stack leads nowhere or round."""
    met, at = {boulder.name}, boulder
    while at.rests_on is not None and at.rests_on in named and at.rests_on not in met:
        at = named[at.rests_on]
        met.add(at.name)
    return at


@remembered
def seam_marks_of(drawn: Stone | None, pipes: TunnelsResult | None) -> tuple[Mark, ...]:
    """Boulders and penetrations, which a seam had better not meet."""
    found = [
        Mark(f"boulder {boulder.name}", (float(x), float(y)), float(max(boulder.axes)) / 2)
        for boulder in (drawn.boulders if drawn else ())
        for x, y in boulder.places
    ]
    found += [Mark(f"penetration {name}", (place[0], place[1]), 0.0) for name, place in (pipes.passes if pipes else ())]
    return tuple(found)


@dataclass(frozen=True, eq=False)
class Zones:
    """A pool's liner under the waterline by zone: its true area [m²], and how its tiers lie."""

    areas: dict[str, float]
    bands: dict[str, tuple[TierBand, ...]]


@remembered
def zones_of(laid: Laid, drawn: Pool) -> Zones:
    """Floors and the faces above them, of pool and pits, each in the zone of its tier; bank and seat are in none."""
    tiers = (drawn.tiers, *(pit.tiers for pit in drawn.pits))
    areas: dict[str, float] = {}
    lying: dict[str, tuple[TierBand, ...]] = {}
    for (part, tier), band in bands(laid).items():
        zone = tiers[part][tier].zone
        lying[zone] = (*lying.get(zone, ()), band)
    for (part, tier), share in laid.bowl.shares().items():
        if tier >= 0:
            zone = tiers[part][tier].zone
            areas[zone] = areas.get(zone, 0.0) + share.true_area
    return Zones(areas, lying)


def burrows_of(option: Option, pools: tuple[PoolResult, ...]) -> tuple[Burrowed | Problem, ...]:
    """Zones in which burrowing is expected, of pools that could be worked out; or what is wrong with them."""
    known = {pool.name: pool for pool in pools}
    found: list[Burrowed | Problem] = []
    for index, one in enumerate(option.lining.burrows if option.lining else ()):
        path: Path = ("lining", "burrows", index)
        if one.pool not in {pool.name for pool in option.pools}:
            found.append(no_such((*path, "pool"), "pool", one.pool, [pool.name for pool in option.pools]))
        elif one.pool in known:
            pool = known[one.pool]
            zones = zones_of(pool.surfaces.liner, option.pools[pool.index])
            areas = zones.areas
            if one.zone in areas:
                found.append(
                    Burrowed(
                        f"{one.pool} / {one.zone}", areas[one.zone], float(one.stretch), zones.bands.get(one.zone, ())
                    )
                )
            else:
                found.append(no_such((*path, "zone"), "zone", one.zone, areas))
    return tuple(found)
