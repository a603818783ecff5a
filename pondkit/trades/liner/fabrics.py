"""Underlay and overlay, the two fabrics: their strips for each liner, the pads under boulders and against burrowing,
and what is cut from which roll.

Strips go by the cutting plan that pipe has too. Pads are put in rows across the roll: first into what is trimmed off
strips, then into the ends of rolls, the smaller first, and only then onto a further roll.
"""

import itertools
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, no_such
from pondkit.core.sentence import Words, words
from pondkit.core.units import COUNT, LENGTH, Kind
from pondkit.geometry.pool_surface import TierBand, bands
from pondkit.geometry.site_surface import SiteSurface
from pondkit.solvers.cutting_stock import CLOSE, full_plan, plan
from pondkit.trades.liner import cautions as rules
from pondkit.trades.liner import formulas as rel
from pondkit.trades.liner.inputs import Fabric, Lining, lined_pools
from pondkit.trades.liner.panels import cut_strips
from pondkit.trades.liner.results import FabricRolls, Fabrics, FabricStrips, LinerFootprint, Pad, RollCut, RollPiece
from pondkit.trades.pools.inputs import Pool
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs import Boulder

FABRICS = ("underlay", "overlay")
SLIVER = 1e-3  # m: trimmings and offcuts narrower than this are not counted


# --- pads ---


@dataclass(frozen=True)
class BouldersOnLiner:
    """Boulders of one kind that stand on a liner: name, number, longest and middle axis [m]."""

    name: str
    count: int
    long: float
    wide: float


@dataclass(frozen=True)
class BurrowZone:
    """A zone in which burrowing is expected.

    Attributes:
        name: "pool / zone".
        surface: True area of the liner there, below the waterline [m²].
        stretch: Share of the way round that gets pads.
        bands: Its tiers: the face of each with its floor.
    """

    name: str
    surface: float
    stretch: float
    bands: tuple[TierBand, ...] = ()


def boulders_on_liner(lining: Lining, boulders: Sequence[Boulder]) -> tuple[BouldersOnLiner, ...]:
    """Boulders that stand on a liner rather than on another stone."""
    lined = lined_pools(lining)
    return tuple(
        BouldersOnLiner(boulder.name, boulder.count, *(float(axis) for axis in sorted(boulder.axes, reverse=True)[:2]))
        for boulder in boulders
        if boulder.pool in lined and boulder.rests_on is None
    )


@dataclass(frozen=True, eq=False)
class LinerZones:
    """A pool's liner below the waterline, by zone: its true area [m²], and its tiers."""

    areas: dict[str, float]
    bands: dict[str, tuple[TierBand, ...]]


@remembered
def liner_zones(liner: SiteSurface, pool: Pool) -> LinerZones:
    """Floors of a pool and its pits and the faces above them, each in the zone of its tier; bank and seat belong to
    none.

    Args:
        liner: The pool's liner surface.
        pool: Inputs of the pool.
    """
    tiers = (pool.tiers, *(pit.tiers for pit in pool.pits))
    areas: dict[str, float] = {}
    bands_of: dict[str, tuple[TierBand, ...]] = {}
    for (part, tier), band in bands(liner.surface).items():
        zone = tiers[part][tier].zone
        bands_of[zone] = (*bands_of.get(zone, ()), band)
    for (part, tier), share in liner.surface.shares().items():
        if tier >= 0:
            zone = tiers[part][tier].zone
            areas[zone] = areas.get(zone, 0.0) + share.true_area
    return LinerZones(areas, bands_of)


def burrow_zones(
    lining: Lining, pool_inputs: Sequence[Pool], pools: Sequence[PoolResult]
) -> tuple[BurrowZone | Problem, ...]:
    """Zones of pools without problems in which burrowing is expected, or their problems.

    Args:
        lining: Inputs of the liners.
        pool_inputs: Inputs of all pools.
        pools: Results of those without problems.
    """
    by_name, names = {pool.name: pool for pool in pools}, [pool.name for pool in pool_inputs]
    zones: list[BurrowZone | Problem] = []
    for index, burrow in enumerate(lining.burrows):
        path: Path = ("lining", "burrows", index)
        if burrow.pool not in names:
            zones.append(no_such((*path, "pool"), "pool", burrow.pool, names))
        elif burrow.pool in by_name:
            pool = by_name[burrow.pool]
            of_pool = liner_zones(pool.surfaces.liner, pool_inputs[pool.index])
            if burrow.zone in of_pool.areas:
                name, tiers = f"{burrow.pool} / {burrow.zone}", of_pool.bands.get(burrow.zone, ())
                zones.append(BurrowZone(name, of_pool.areas[burrow.zone], float(burrow.stretch), tiers))
            else:
                zones.append(no_such((*path, "zone"), "zone", burrow.zone, of_pool.areas))
    return tuple(zones)


def pad_fabric(lining: Lining) -> str | None:
    """Name of the fabric that pads are cut from: overlay or, without one, underlay; None if there is neither."""
    return "overlay" if lining.overlay else "underlay" if lining.underlay else None


def boulder_pads(lining: Lining, kinds: Sequence[BouldersOnLiner]) -> tuple[Pad, ...]:
    """Pads under boulders: the rectangle of longest and middle axis, with the margin all round."""
    margins = 2 * float(lining.pad_margin)
    return tuple(Pad(f"under {kind.name}", kind.count, kind.long + margins, kind.wide + margins) for kind in kinds)


def burrow_pads(lining: Lining, zone: BurrowZone) -> tuple[Pad, ...]:
    """Pads over a zone in which burrowing is expected, as pieces of fabric with laps between them and a margin up and
    down the face; empty if there is no fabric.

    They lie side by side down the face. On an innermost floor they may cover its bounding rectangle instead, if that
    takes less.
    """
    fabric_name = pad_fabric(lining)
    if fabric_name is None:
        return ()
    fabric, stretch = getattr(lining, fabric_name), zone.stretch
    width, lap, margins = float(fabric.roll_width), float(fabric.lap), 2 * float(lining.pad_margin)
    pads = []
    for band in zone.bands:
        all_round = stretch >= 1.0  # the last pad laps the first one too
        run = band.edge * stretch
        count = max(math.ceil((run if all_round else run - lap) / (width - lap) - 1e-9), 1)
        laps = count if all_round else count - 1
        options = [Pad(zone.name, count, *_longer_first((run + laps * lap) / count, band.way + margins))]
        for along, across in (band.box, band.box[::-1]) if band.box else ():
            strips = max(math.ceil((across + margins - lap) / (width - lap) - 1e-9), 1)
            sides = _longer_first(along + margins, (across + margins + (strips - 1) * lap) / strips)
            options.append(Pad(zone.name, math.ceil(strips * stretch - 1e-9), *sides))
        pads.append(min(options, key=lambda pad: pad.count * pad.long * pad.wide))
    return tuple(pads)


def _longer_first(a: float, b: float) -> tuple[float, float]:
    return max(a, b), min(a, b)


def too_large(lining: Lining, pads: Sequence[Pad]) -> Iterator[Problem]:
    """Problems of pads too large for any roll of their fabric in one piece."""
    fabric_name = pad_fabric(lining)
    if fabric_name is None:
        return
    fabric: Fabric = getattr(lining, fabric_name)
    for pad in pads:
        if not fits_on_roll(pad, float(fabric.roll_width), float(fabric.roll_length)):
            yield Problem(
                ("lining", fabric_name, "roll_width" if pad.wide > fabric.roll_width else "roll_length"),
                words(f"a pad {pad.name} is {{long}} by {{wide}}", long=(pad.long, LENGTH), wide=(pad.wide, LENGTH)),
                words(
                    "pads that one roll gives in one piece: {width} wide, {length} long",
                    width=(fabric.roll_width, LENGTH),
                    length=(fabric.roll_length, LENGTH),
                ),
                words("take a wider or longer roll, or a smaller margin of the pads"),
            )


def fits_on_roll(pad: Pad, width: float, length: float) -> bool:
    """True if a pad can be cut from a roll in one piece."""
    return any(a <= length + CLOSE and b <= width + CLOSE for a, b in ((pad.long, pad.wide), (pad.wide, pad.long)))


# --- figures of the fabrics ---


@dataclass(frozen=True, eq=False)
class FabricFigures:
    """Figures of one fabric of one liner: the liner's result has them with the name of the fabric before their keys."""

    area: Entry
    strips: Entry
    area_order: Entry
    waste: Entry
    mass: Entry
    cut: FabricStrips


def fabric_figures(
    lining: Lining, fabric_name: str, footprint: LinerFootprint, length: Entry, width: Entry
) -> FabricFigures | None:
    """Figures of one fabric of one liner: the underlay goes out to the liner's edge, the overlay to the rim. None if
    the fabric is not entered.

    Args:
        lining: Inputs of the liners.
        fabric_name: "underlay" or "overlay".
        footprint: The liner with its pools.
        length, width: Net sides of the liner [m].
    """
    name, fabric = footprint.liner.name, getattr(lining, fabric_name)
    if fabric is None:
        return None
    to_edge = fabric_name == "underlay"
    surfaces = [area for to_rim, edge in footprint.areas for area in ((to_rim, edge) if to_edge else (to_rim,))]
    area = entry(rel.true_area, name, surfaces=surfaces)
    both_edges = 0.0 if to_edge else 2 * footprint.edge
    along, across = length.value - both_edges, width.value - both_edges
    roll_width, lap = float(fabric.roll_width), float(fabric.lap)
    strips = entry(rel.strip_count, name, across=across, roll_width=roll_width, lap=lap)
    joins = sum(
        len(strip) - 1 for strip in pieces_of_strips(round(strips.value), along, float(fabric.roll_length), lap)
    )
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
        waste=entry(rel.waste, name, order=order, net=area),
        mass=entry(rel.fabric_mass, name, mass=fabric.mass, area=order),
        cut=FabricStrips(name, round(strips.value), along, trimmed),
    )


def fabrics(lining: Lining, strips: dict[str, tuple[FabricStrips, ...]], pads: tuple[Pad, ...]) -> Fabrics:
    """Rolls of both fabrics over all liners, with their cutting plans.

    Args:
        lining: Inputs of the liners.
        strips: Strips of all liners, by the name of the fabric.
        pads: Pads under boulders and against burrowing.
    """
    problems = tuple(too_large(lining, pads))
    plans: dict[str, FabricRolls] = {}
    for name in FABRICS:
        fabric: Fabric | None = getattr(lining, name)
        pads_of_fabric = pads if name == pad_fabric(lining) else ()
        if fabric is None or (problems and pads_of_fabric) or not (strips[name] or pads_of_fabric):
            continue
        plans[name] = fabric_rolls(
            strips[name], pads_of_fabric, float(fabric.roll_width), float(fabric.roll_length), float(fabric.lap)
        )
    with_pads = {name: plan for name, plan in plans.items() if pads and name == pad_fabric(lining)}
    counts = {name: _roll_count(plan) for name, plan in plans.items()}
    orders = {
        name: entry(rel.pad_order, "", source=USER, run=plan.pad_run, roll_width=getattr(lining, name).roll_width)
        for name, plan in with_pads.items()
    }
    offcuts = {name: tuple(_offcut_figures(name, plan)) for name, plan in plans.items()}
    return Fabrics(
        underlay_rolls=counts.get("underlay"),
        overlay_rolls=counts.get("overlay"),
        underlay_pad_order=orders.get("underlay"),
        overlay_pad_order=orders.get("overlay"),
        fabric_roll_run=tuple(
            entry(rel.roll_run, f"{name} / roll {number}", cautions=[_listing(roll)], runs=roll.runs)
            for name, plan in plans.items()
            for number, roll in enumerate(plan.rolls, 1)
        ),
        fabric_offcut=tuple(figure for figures in offcuts.values() for figure in figures),
        fabric_offcut_area=tuple(
            entry(rel.offcuts_area, name, offcuts=[figure.bare for figure in figures])
            for name, figures in offcuts.items()
        ),
        pads_from_offcuts=tuple(
            entry(rel.pad_count, name, pads=float(plan.from_offcuts)) for name, plan in with_pads.items()
        ),
        pads_off_roll=tuple(entry(rel.pad_count, name, pads=float(plan.off_rolls)) for name, plan in with_pads.items()),
        cuts=tuple((name, getattr(lining, name), plan) for name, plan in plans.items()),
        problems=problems,
    )


def _roll_count(plan: FabricRolls) -> Entry:
    """Number of rolls of one fabric, with a caution if fewer may do."""
    fewer = [rules.FABRIC_NOT_LEAST(least=(plan.least, COUNT))] if plan.least < len(plan.rolls) else []
    return entry(rel.roll_count, "", source=USER, cautions=fewer, rolls=float(len(plan.rolls)))


def _listing(roll: RollCut) -> Words:
    """Pieces cut from a roll, from its free end on, equal pieces together."""
    counted = Counter(
        (piece.name.rsplit(" strip ", 1)[0] + " strip" * (not piece.pad), piece.pad, piece.along, piece.across)
        for piece in roll.pieces
    )
    parts = []
    terms: dict[str, tuple[float, Kind]] = {}
    for index, ((piece_name, pad, along, across), count) in enumerate(counted.items()):
        parts.append(f"{{n{index}}} {'pad ' * pad}{piece_name}, {{a{index}}} by {{b{index}}}")
        terms |= {f"n{index}": (count, COUNT), f"a{index}": (along, LENGTH), f"b{index}": (across, LENGTH)}
    return words(f"Cut off it: {'; '.join(parts)}.", **terms)


def _offcut_figures(fabric_name: str, plan: FabricRolls) -> Iterator[Entry]:
    """Area of the offcuts of each roll, with their sizes."""
    for number, roll in enumerate(plan.rolls, 1):
        if roll.offcuts:
            terms: dict[str, tuple[float, Kind]] = {}
            for index, piece in enumerate(roll.offcuts):
                terms |= {f"a{index}": (piece.along, LENGTH), f"b{index}": (piece.across, LENGTH)}
            sizes = "; ".join(f"{piece.name} {{a{index}}} by {{b{index}}}" for index, piece in enumerate(roll.offcuts))
            yield entry(
                rel.offcuts_area,
                f"{fabric_name} / roll {number}",
                cautions=[words(f"Left of it, along the roll by across: {sizes}.", **terms)],
                offcuts=[piece.area for piece in roll.offcuts],
            )


# --- which strips and pads are cut from which roll ---


@dataclass
class _PadRow:
    """Pads side by side across a region of a roll.

    Attributes:
        x: Where the row begins along the roll [m].
        length: Its length along the roll [m].
        width_used: Width of its pads together [m].
    """

    x: float
    length: float
    width_used: float = 0.0


@dataclass
class _Region:
    """A part of a roll that strips leave free.

    Attributes:
        roll: Index of the roll.
        x, y: Where it begins along the roll and across it [m].
        along, across: Its sides [m].
        trimming: True if it is trimmed off a strip; else it is the end of a roll.
        rows: Rows of pads cut from it.
        length_used: Length of these rows together [m].
    """

    roll: int
    x: float
    y: float
    along: float
    across: float
    trimming: bool = False
    rows: list[_PadRow] = field(default_factory=list)
    length_used: float = 0.0


def pieces_of_strip(run: float, roll_length: float, lap: float) -> tuple[float, ...]:
    """Lengths of the pieces of one strip [m]: whole rolls and a remainder, joined end to end with laps, or a single
    piece if one roll is long enough.

    Args:
        run: Length of the strip [m].
        roll_length: Length of a roll [m].
        lap: Lap of a piece with the next [m].
    """
    joins = max(math.ceil((run - lap) / (roll_length - lap) - CLOSE) - 1, 0)
    return (roll_length,) * joins + (run + joins * lap - joins * roll_length,)


def pieces_of_strips(count: int, run: float, roll_length: float, lap: float) -> tuple[tuple[float, ...], ...]:
    """Lengths of the pieces of each of several equal strips [m]: whole rolls and a remainder, or cut in sequence from
    roll after roll if that takes fewer rolls.

    Args:
        count: Number of strips.
        run: Length of each strip [m].
        roll_length: Length of a roll [m].
        lap: Lap of a piece with the next [m].
    """
    of_one = pieces_of_strip(run, roll_length, lap)
    each_alike = (of_one,) * count
    if len(of_one) == 1:
        return each_alike
    in_sequence = cut_strips(count, run, roll_length, lap)
    rolls_if_alike = len(plan([piece for strip in each_alike for piece in strip], roll_length, 0.0).stock)
    return in_sequence.strips if in_sequence.rolls < rolls_if_alike else each_alike


def fabric_rolls(
    strips: Sequence[FabricStrips], pads: Iterable[Pad], width: float, length: float, lap: float
) -> FabricRolls:
    """Rolls and cutting plan for all strips and pads of one fabric.

    Args:
        strips: Strips of each liner.
        pads: Pads, each of which fits on a roll.
        width, length: Width and length of a roll [m].
        lap: Lap of the pieces of a joined strip [m].
    """
    pads = sorted(pads, key=lambda pad: (-pad.wide, -pad.long))
    pieces, is_joined = _strip_pieces(strips, length, lap)
    runs = [piece.run for piece in pieces]
    cutting = full_plan(runs, length, 0.0) if is_joined else plan(runs, length, 0.0)
    cut_from, regions = _cut_strips(pieces, cutting.stock, width, length)
    regions.sort(key=lambda region: (not region.trimming, region.along * region.across))
    trimmings = sum(region.along * region.across for region in regions if region.trimming)
    area_needed = sum(runs) * width - trimmings + sum(pad.count * pad.long * pad.wide for pad in pads)
    least_for_strips = math.ceil(sum(runs) / length - CLOSE) if is_joined else cutting.least
    least = max(least_for_strips, math.ceil(area_needed / (width * length) - CLOSE))
    from_offcuts, strip_rolls = 0, len(cut_from)
    for pad in pads:
        left = pad.count
        for region in regions:
            before, left = left, _cut_pads(region, pad, left, cut_from[region.roll])
            from_offcuts += (before - left) * (region.roll < strip_rolls)
        while left:
            cut_from.append([])
            regions.append(_Region(len(cut_from) - 1, 0.0, 0.0, length, width))
            left = _cut_pads(regions[-1], pad, left, cut_from[-1])
    offcuts = [(region.roll, offcut) for region in regions for offcut in _offcuts_of(region, cut_from[region.roll])]
    runs_of = [[runs[number] for number in roll] for roll in cutting.stock] + [[] for _ in cut_from[strip_rolls:]]
    for region in regions:
        runs_of[region.roll] += [] if region.trimming else [row.length for row in region.rows]
    return FabricRolls(
        rolls=tuple(
            RollCut(
                tuple(pieces_of_roll),
                _named(roll, [offcut for of_roll, offcut in offcuts if of_roll == roll]),
                tuple(runs_of[roll]),
            )
            for roll, pieces_of_roll in enumerate(cut_from)
        ),
        least=least,
        from_offcuts=from_offcuts,
        off_rolls=sum(pad.count for pad in pads) - from_offcuts,
        pad_run=sum(region.length_used for region in regions if not region.trimming),
    )


@dataclass(frozen=True)
class _StripPiece:
    """A piece of a strip: name, length, and width trimmed off its side [m]."""

    name: str
    run: float
    trimmed: float


def _strip_pieces(strips: Sequence[FabricStrips], roll_length: float, lap: float) -> tuple[list[_StripPiece], bool]:
    """(pieces of all strips, whether any strip is joined of several)."""
    pieces, is_joined = [], False
    for of_liner in strips:
        for number, strip in enumerate(pieces_of_strips(of_liner.count, of_liner.length, roll_length, lap), 1):
            is_joined |= len(strip) > 1
            for part, run in enumerate(strip, 1):
                name = f"{of_liner.liner} strip {number}" + (f", part {part}" if len(strip) > 1 else "")
                pieces.append(_StripPiece(name, run, of_liner.trimmed if number == of_liner.count else 0.0))
    return pieces, is_joined


def _cut_strips(
    pieces: Sequence[_StripPiece], rolls: Sequence[Sequence[int]], width: float, length: float
) -> tuple[list[list[RollPiece]], list[_Region]]:
    """(pieces of strips on each roll, what these leave free: trimmings beside them, and the ends of rolls).

    Args:
        pieces: All pieces.
        rolls: Indexes of the pieces on each roll.
        width, length: Width and length of a roll [m].
    """
    regions: list[_Region] = []
    cut_from: list[list[RollPiece]] = []
    for roll, numbers in enumerate(rolls):
        cut_from.append([])
        x = 0.0
        for piece in (pieces[number] for number in numbers):
            trimmed = piece.trimmed if piece.trimmed > SLIVER else 0.0
            cut_from[roll].append(RollPiece(piece.name, x, 0.0, piece.run, width - trimmed))
            if trimmed:
                regions.append(_Region(roll, x, width - trimmed, piece.run, trimmed, trimming=True))
            x += piece.run
        if length - x > SLIVER:
            regions.append(_Region(roll, x, 0.0, length - x, width))
    return cut_from, regions


def _cut_pads(region: _Region, pad: Pad, count: int, pieces: list[RollPiece]) -> int:
    """Cut as many pads as fit from a region, into the rows that it has first, and add them to the pieces of its roll.
    Returns the number left over.
    """

    def fill(row: _PadRow, along: float, across: float, left: int) -> int:
        """Number of pads left over once the row is full."""
        fitting = min(left, math.floor((region.across - row.width_used) / across + CLOSE))
        for _ in range(fitting):
            pieces.append(RollPiece(pad.name, row.x, region.y + row.width_used, along, across, pad=True))
            row.width_used += across
        return left - fitting

    both_ways = ((pad.long, pad.wide), (pad.wide, pad.long))
    for row in region.rows:
        for along, across in both_ways:
            if along <= row.length + CLOSE:
                count = fill(row, along, across, count)
    while count:
        options = [
            (along / min(math.floor(region.across / across + CLOSE), count), along, across)
            for along, across in both_ways
            if along <= region.along - region.length_used + CLOSE and across <= region.across + CLOSE
        ]
        if not options:
            break
        _, along, across = min(options)  # the one that takes least length per pad
        region.rows.append(_PadRow(region.x + region.length_used, along))
        region.length_used += along
        count = fill(region.rows[-1], along, across, count)
    return count


def _offcuts_of(region: _Region, pieces: Sequence[RollPiece]) -> list[RollPiece]:
    """Offcuts of a cut region: the end beyond the last row, the strip beside each row, the gap behind each pad shorter
    than its row.

    Args:
        region: The region.
        pieces: Pieces cut from its roll.
    """
    end = region.along - region.length_used
    offcuts = [RollPiece("", region.x + region.length_used, region.y, end, region.across)]
    # Adjacent rows of equal width leave one piece.
    for _, group in itertools.groupby(region.rows, key=lambda row: round(row.width_used, 6)):
        rows = list(group)
        run, used = sum(row.length for row in rows), rows[0].width_used
        offcuts.append(RollPiece("", rows[0].x, region.y + used, run, region.across - used))
    for row in region.rows:
        offcuts += [
            RollPiece("", row.x + piece.along, piece.y, row.length - piece.along, piece.across)
            for piece in pieces
            if piece.pad and piece.x == row.x and region.y - CLOSE <= piece.y <= region.y + region.across
        ]
    return [offcut for offcut in offcuts if min(offcut.along, offcut.across) > SLIVER]


def _named(roll: int, offcuts: Iterable[RollPiece]) -> tuple[RollPiece, ...]:
    """Offcuts of a roll, named by the roll's number and their own, the largest first."""
    by_size = sorted(offcuts, key=lambda piece: -piece.area)
    return tuple(replace(piece, name=f"offcut {roll + 1}.{index}") for index, piece in enumerate(by_size, 1))
