"""Underlay and overlay: strips of each liner, pads under boulders and over burrows, cutting plan of the rolls, and
offcuts.
"""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, no_such
from pondkit.core.sentence import Words, words
from pondkit.core.units import COUNT, LENGTH, Kind
from pondkit.geometry.pool_surface import TierBand, bands
from pondkit.geometry.site_surface import SiteSurface
from pondkit.solvers.cutting_stock import CLOSE
from pondkit.trades.liner import cautions as rules
from pondkit.trades.liner import formulas as rel
from pondkit.trades.liner.formulas import waste
from pondkit.trades.liner.inputs import Fabric, Lining, lined_pools
from pondkit.trades.liner.plan import fabric_rolls, pieces_of
from pondkit.trades.liner.results import FabricRolls, Fabrics, LinerFootprint, Pad, RollCut, Strips
from pondkit.trades.pools.inputs import Pool
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs import Boulder


@dataclass(frozen=True)
class StoneFootprint:
    """Boulders of one kind on a liner: name, count, and their two longer axes [m]."""

    name: str
    count: int
    long: float
    wide: float


@dataclass(frozen=True)
class BurrowZone:
    """A zone in which burrowing is expected: pool and zone, true area of the liner there [m²], share covered by pads,
    and its tiers.
    """

    name: str
    surface: float
    stretch: float
    bands: tuple[TierBand, ...] = ()


def stone_footprints(lining: Lining, boulders: Sequence[Boulder]) -> tuple[StoneFootprint, ...]:
    """Boulders that stand on a liner rather than on another stone."""
    lined = lined_pools(lining)
    return tuple(
        StoneFootprint(boulder.name, boulder.count, *(float(axis) for axis in sorted(boulder.axes, reverse=True)[:2]))
        for boulder in boulders
        if boulder.pool in lined and boulder.rests_on is None
    )


@dataclass(frozen=True, eq=False)
class LinerZones:
    """A pool's liner below the waterline by zone: its true area [m²], and the bands of its tiers."""

    areas: dict[str, float]
    bands: dict[str, tuple[TierBand, ...]]


@remembered
def zones_of(placed: SiteSurface, pool: Pool) -> LinerZones:
    """Areas of floors and the faces above them, of pool and pits, each in the zone of its tier; bank and seat belong
    to none.
    """
    tiers = (pool.tiers, *(pit.tiers for pit in pool.pits))
    areas: dict[str, float] = {}
    lying: dict[str, tuple[TierBand, ...]] = {}
    for (part, tier), band in bands(placed.surface).items():
        zone = tiers[part][tier].zone
        lying[zone] = (*lying.get(zone, ()), band)
    for (part, tier), share in placed.surface.shares().items():
        if tier >= 0:
            zone = tiers[part][tier].zone
            areas[zone] = areas.get(zone, 0.0) + share.true_area
    return LinerZones(areas, lying)


def burrow_zones(
    lining: Lining, pool_inputs: Sequence[Pool], pools: Sequence[PoolResult]
) -> tuple[BurrowZone | Problem, ...]:
    """Zones of pools without problems in which burrowing is expected, or their problems.

    Args:
        lining: Inputs of the liners.
        pool_inputs: Inputs of all pools.
        pools: Those without problems.
    """
    by_name, names = {pool.name: pool for pool in pools}, [pool.name for pool in pool_inputs]
    zones: list[BurrowZone | Problem] = []
    for index, burrow in enumerate(lining.burrows):
        path: Path = ("lining", "burrows", index)
        if burrow.pool not in names:
            zones.append(no_such((*path, "pool"), "pool", burrow.pool, names))
        elif burrow.pool in by_name:
            pool = by_name[burrow.pool]
            lies = zones_of(pool.surfaces.liner, pool_inputs[pool.index])
            if burrow.zone in lies.areas:
                name, tiers = f"{burrow.pool} / {burrow.zone}", lies.bands.get(burrow.zone, ())
                zones.append(BurrowZone(name, lies.areas[burrow.zone], float(burrow.stretch), tiers))
            else:
                zones.append(no_such((*path, "zone"), "zone", burrow.zone, lies.areas))
    return tuple(zones)


def pad_side(lining: Lining) -> str | None:
    """The fabric that pads are cut from: overlay or, without one, underlay; None if there is neither."""
    return "overlay" if lining.overlay else "underlay" if lining.underlay else None


def boulder_pads(lining: Lining, kinds: Sequence[tuple[str, int, float, float]]) -> tuple[Pad, ...]:
    """Pads under boulders: (name, count, longer and shorter side of the footprint [m])."""
    more = 2 * float(lining.pad_margin)
    return tuple(Pad(f"under {name}", count, long + more, wide + more) for name, count, long, wide in kinds)


def burrow_pads(lining: Lining, name: str, bands: Sequence[TierBand], stretch: float) -> tuple[Pad, ...]:
    """Pads over a zone in which burrowing is expected, as pieces of fabric with laps between them and a margin up and
    down the face.

    They lie side by side down the face. On an innermost floor they may cover its bounding rectangle instead, if that
    takes less.
    """
    side = pad_side(lining)
    if side is None:
        return ()
    fabric = getattr(lining, side)
    width, lap, more = float(fabric.roll_width), float(fabric.lap), 2 * float(lining.pad_margin)
    pads = []
    for band in bands:
        closed = stretch >= 1.0
        run = band.edge * stretch
        count = max(math.ceil((run if closed else run - lap) / (width - lap) - 1e-9), 1)
        options = [Pad(name, count, *_sides((run + (count if closed else count - 1) * lap) / count, band.way + more))]
        for along, across in (band.box, band.box[::-1]) if band.box else ():
            number = max(math.ceil((across + more - lap) / (width - lap) - 1e-9), 1)
            size = _sides(along + more, (across + more + (number - 1) * lap) / number)
            options.append(Pad(name, math.ceil(number * stretch - 1e-9), *size))
        pads.append(min(options, key=lambda pad: pad.count * pad.long * pad.wide))
    return tuple(pads)


def _sides(a: float, b: float) -> tuple[float, float]:
    return max(a, b), min(a, b)


def too_large(lining: Lining, pads: Sequence[Pad]) -> Iterator[Problem]:
    """Problems of pads too large for any roll of their fabric in one piece."""
    side = pad_side(lining)
    if side is None:
        return
    fabric: Fabric = getattr(lining, side)
    for pad in pads:
        if not fits(pad, float(fabric.roll_width), float(fabric.roll_length)):
            yield Problem(
                ("lining", side, "roll_width" if pad.wide > fabric.roll_width else "roll_length"),
                words(f"a pad {pad.name} is {{long}} by {{wide}}", long=(pad.long, LENGTH), wide=(pad.wide, LENGTH)),
                words(
                    "pads that one roll gives in one piece: {width} wide, {length} long",
                    width=(fabric.roll_width, LENGTH),
                    length=(fabric.roll_length, LENGTH),
                ),
                words("take a wider or longer roll, or a smaller margin of a pad"),
            )


def fits(pad: Pad, width: float, length: float) -> bool:
    """True if a pad can be cut from a roll in one piece."""
    return any(a <= length + CLOSE and b <= width + CLOSE for a, b in ((pad.long, pad.wide), (pad.wide, pad.long)))


SIDES = ("underlay", "overlay")


@dataclass(frozen=True, eq=False)
class FabricFigures:
    """Figures of one fabric of one liner, which the liner's result holds under the keys of underlay or overlay."""

    area: Entry
    strips: Entry
    area_order: Entry
    waste: Entry
    mass: Entry
    cut: Strips


def liner_fabric(
    lining: Lining, side: str, footprint: LinerFootprint, length: Entry, width: Entry
) -> FabricFigures | None:
    """One fabric: underlay under the whole liner, overlay up to the rim. None if it is not entered.

    Args:
        lining: Inputs of the liners.
        side: "underlay" or "overlay".
        footprint: The liner with its pools.
        length, width: Net sides of the liner [m].
    """
    name, fabric = footprint.liner.name, getattr(lining, side)
    if fabric is None:
        return None
    surfaces = [value for rim, strip in footprint.areas for value in ((rim, strip) if side == "underlay" else (rim,))]
    area = entry(rel.true_area, name, surfaces=surfaces)
    less = 0.0 if side == "underlay" else 2 * footprint.edge
    along, across = length.value - less, width.value - less
    roll_width, lap = float(fabric.roll_width), float(fabric.lap)
    strips = entry(rel.strip_count, name, across=across, roll_width=roll_width, lap=lap)
    joins = sum(len(strip) - 1 for strip in pieces_of(round(strips.value), along, float(fabric.roll_length), lap))
    order = entry(
        rel.strips_area,
        name,
        cautions=[rules.FABRIC_JOINED()] if joins else [],
        strips=strips,
        roll_width=roll_width,
        along=along,
        joins=float(joins),
        lap=lap,
    )
    trimmed = strips.value * (roll_width - lap) + lap - across
    return FabricFigures(
        area=area,
        strips=strips,
        area_order=order,
        waste=entry(waste, name, order=order, net=area),
        mass=entry(rel.fabric_mass, name, mass=fabric.mass, area=order),
        cut=Strips(name, round(strips.value), along, trimmed),
    )


def fabrics(lining: Lining, strips: dict[str, tuple[Strips, ...]], pads: tuple[Pad, ...]) -> Fabrics:
    """Rolls of both fabrics, with their cutting plans.

    Args:
        lining: Inputs of the liners.
        strips: Strips of every liner, by fabric.
        pads: Pads under boulders and against burrowing.
    """
    problems = tuple(too_large(lining, pads))
    worked: dict[str, tuple[Entry, FabricRolls]] = {}
    for side in SIDES:
        fabric: Fabric | None = getattr(lining, side)
        side_pads = pads if side == pad_side(lining) else ()
        if fabric is None or (problems and side_pads) or not (strips[side] or side_pads):
            continue
        plan = fabric_rolls(
            strips[side], side_pads, float(fabric.roll_width), float(fabric.roll_length), float(fabric.lap)
        )
        fewer = [rules.FABRIC_NOT_LEAST(least=(plan.least, COUNT))] if plan.least < len(plan.rolls) else []
        count = entry(rel.rolls, "", source=USER, cautions=fewer, rolls=float(len(plan.rolls)))
        worked[side] = count, plan
    padded = pad_side(lining) if pads else None

    def ordered(side: str) -> Entry | None:
        plan = worked.get(side)
        if plan is None or side != padded:
            return None
        width = getattr(lining, side).roll_width
        return entry(rel.pad_order, "", source=USER, run=plan[1].pad_run, roll_width=width)

    def of(side: str) -> Entry | None:
        return worked[side][0] if side in worked else None

    left = {side: tuple(_left(side, plan)) for side, (_, plan) in worked.items()}
    every = [(side, plan) for side, (_, plan) in worked.items()]
    return Fabrics(
        underlay_rolls=of("underlay"),
        overlay_rolls=of("overlay"),
        underlay_pad_order=ordered("underlay"),
        overlay_pad_order=ordered("overlay"),
        fabric_roll_run=tuple(
            entry(rel.roll_run, f"{side} / roll {number}", cautions=[_listing(roll)], runs=roll.runs)
            for side, plan in every
            for number, roll in enumerate(plan.rolls, 1)
        ),
        fabric_offcut=tuple(figure for side, _ in every for figure in left[side]),
        fabric_offcut_area=tuple(
            entry(rel.offcuts_area, side, offcuts=[offcut.bare for offcut in left[side]]) for side, _ in every
        ),
        pads_from_offcuts=tuple(
            entry(rel.pads, side, pads=float(plan.from_offcuts)) for side, plan in every if side == padded
        ),
        pads_off_roll=tuple(
            entry(rel.pads, side, pads=float(plan.off_rolls)) for side, plan in every if side == padded
        ),
        cuts=tuple((side, getattr(lining, side), plan) for side, plan in every),
        problems=problems,
    )


def _listing(roll: RollCut) -> Words:
    """Pieces cut from a roll, from its free end on, equal pieces together."""
    counted = Counter(
        (piece.what.rsplit(" strip ", 1)[0] + " strip" * (not piece.pad), piece.pad, piece.along, piece.across)
        for piece in roll.pieces
    )
    parts = []
    terms: dict[str, tuple[float, Kind]] = {}
    for index, ((piece_name, pad, along, across), count) in enumerate(counted.items()):
        parts.append(f"{{n{index}}} {'pad ' * pad}{piece_name}, {{a{index}}} by {{b{index}}}")
        terms |= {f"n{index}": (count, COUNT), f"a{index}": (along, LENGTH), f"b{index}": (across, LENGTH)}
    return words(f"Cut off it: {'; '.join(parts)}.", **terms)


def _left(side: str, plan: FabricRolls) -> Iterator[Entry]:
    """Offcuts of each roll, with their sizes."""
    for number, roll in enumerate(plan.rolls, 1):
        if roll.offcuts:
            terms: dict[str, tuple[float, Kind]] = {}
            for index, piece in enumerate(roll.offcuts):
                terms |= {f"a{index}": (piece.along, LENGTH), f"b{index}": (piece.across, LENGTH)}
            sizes = "; ".join(f"{piece.what} {{a{index}}} by {{b{index}}}" for index, piece in enumerate(roll.offcuts))
            yield entry(
                rel.offcuts_area,
                f"{side} / roll {number}",
                cautions=[words(f"Left of it, along the roll by across: {sizes}.", **terms)],
                offcuts=[piece.area for piece in roll.offcuts],
            )
