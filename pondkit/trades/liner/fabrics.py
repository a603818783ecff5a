"""Underlay and overlay: strips of each liner, rolls of both, what is cut off each and what is left."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.sentence import Words, words
from pondkit.core.units import COUNT, LENGTH, Kind
from pondkit.trades.liner import cautions as rules
from pondkit.trades.liner.formulas import fabric as rel
from pondkit.trades.liner.formulas.liner import waste
from pondkit.trades.liner.inputs import Fabric, Lining
from pondkit.trades.liner.pads import pad_side, too_large
from pondkit.trades.liner.results import FabricRolls, Fabrics, LinerFootprint, Pad, RollCut, Strips
from pondkit.trades.liner.rolls import fabric_rolls, pieces_of

SIDES = ("underlay", "overlay")


@dataclass(frozen=True, eq=False)
class FabricFigures:
    """Figures of one fabric of one liner; the liner's result holds them under the keys of underlay or overlay."""

    area: Entry
    strips: Entry
    area_order: Entry
    waste: Entry
    mass: Entry
    cut: Strips


def liner_fabric(
    lining: Lining, side: str, footprint: LinerFootprint, length: Entry, width: Entry
) -> FabricFigures | None:
    """One fabric: under the whole liner; over it up to the rim. None where it is not entered.

    Args:
        lining: As entered.
        side: "underlay" or "overlay".
        footprint: The liner with its pools.
        length, width: Its net sides.
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
    """Rolls of both fabrics.

    Args:
        lining: As entered.
        strips: Of every liner, by fabric.
        pads: Of boulders and against burrowing.
    """
    problems = tuple(too_large(lining, pads))
    worked: dict[str, tuple[Entry, FabricRolls]] = {}
    for side in SIDES:
        fabric: Fabric | None = getattr(lining, side)
        own = pads if side == pad_side(lining) else ()
        if fabric is None or (problems and own) or not (strips[side] or own):
            continue
        found = fabric_rolls(strips[side], own, float(fabric.roll_width), float(fabric.roll_length), float(fabric.lap))
        fewer = [rules.FABRIC_NOT_LEAST(least=(found.least, COUNT))] if found.least < len(found.rolls) else []
        count = entry(rel.rolls, "", source=USER, cautions=fewer, rolls=float(len(found.rolls)))
        worked[side] = count, found
    padded = pad_side(lining) if pads else None

    def ordered(side: str) -> Entry | None:
        found = worked.get(side)
        if found is None or side != padded:
            return None
        width = getattr(lining, side).roll_width
        return entry(rel.pad_order, "", source=USER, run=found[1].pad_run, roll_width=width)

    def of(side: str) -> Entry | None:
        return worked[side][0] if side in worked else None

    left = {side: tuple(_left(side, found)) for side, (_, found) in worked.items()}
    every = [(side, found) for side, (_, found) in worked.items()]
    return Fabrics(
        underlay_rolls=of("underlay"),
        overlay_rolls=of("overlay"),
        underlay_pad_order=ordered("underlay"),
        overlay_pad_order=ordered("overlay"),
        fabric_roll_run=tuple(
            entry(rel.roll_run, f"{side} / roll {number}", cautions=[_listing(roll)], runs=roll.runs)
            for side, found in every
            for number, roll in enumerate(found.rolls, 1)
        ),
        fabric_offcut=tuple(figure for side, _ in every for figure in left[side]),
        fabric_offcut_area=tuple(
            entry(rel.offcuts_area, side, offcuts=[one.value for one in left[side]]) for side, _ in every
        ),
        pads_from_offcuts=tuple(
            entry(rel.pads, side, pads=float(found.from_offcuts)) for side, found in every if side == padded
        ),
        pads_off_roll=tuple(
            entry(rel.pads, side, pads=float(found.off_rolls)) for side, found in every if side == padded
        ),
        cuts=tuple((side, getattr(lining, side), found) for side, found in every),
        problems=problems,
    )


def _listing(roll: RollCut) -> Words:
    """What is cut off a roll, from its free end on, alike pieces together."""
    counted = Counter(
        (piece.what.rsplit(" strip ", 1)[0] + " strip" * (not piece.pad), piece.pad, piece.along, piece.across)
        for piece in roll.pieces
    )
    parts = []
    terms: dict[str, tuple[float, Kind]] = {}
    for at, ((what, pad, along, across), count) in enumerate(counted.items()):
        parts.append(f"{{n{at}}} {'pad ' * pad}{what}, {{a{at}}} by {{b{at}}}")
        terms |= {f"n{at}": (count, COUNT), f"a{at}": (along, LENGTH), f"b{at}": (across, LENGTH)}
    return words(f"Cut off it: {'; '.join(parts)}.", **terms)


def _left(side: str, found: FabricRolls) -> Iterator[Entry]:
    """What is left of each roll, with the size of every offcut."""
    for number, roll in enumerate(found.rolls, 1):
        if roll.offcuts:
            terms: dict[str, tuple[float, Kind]] = {}
            for at, piece in enumerate(roll.offcuts):
                terms |= {f"a{at}": (piece.along, LENGTH), f"b{at}": (piece.across, LENGTH)}
            sizes = "; ".join(f"{piece.what} {{a{at}}} by {{b{at}}}" for at, piece in enumerate(roll.offcuts))
            yield entry(
                rel.offcuts_area,
                f"{side} / roll {number}",
                cautions=[words(f"Left of it, along the roll by across: {sizes}.", **terms)],
                offcuts=[piece.area for piece in roll.offcuts],
            )
