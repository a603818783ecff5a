"""Rolls of underlay and overlay: how many, what is cut off each, what is left, and the pads."""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.result import Problem, Result
from pondkit.core.sentence import Words, words
from pondkit.core.units import COUNT, LENGTH, Kind
from pondkit.geometry.band import TierBand
from pondkit.trades.liner import cloth
from pondkit.trades.liner.cautions import FABRIC_NOT_LEAST
from pondkit.trades.liner.inputs import Fabric, Lining
from pondkit.trades.liner.rolling import Pad, RollCut, Rolled, Strips, fits, rolled

SIDES = ("underlay", "overlay")


@dataclass(frozen=True, eq=False)
class Fabrics(Result):
    """Rolls of both fabrics. Subjects are a fabric, or "underlay / roll 1".

    Attributes:
        cuts: (fabric, as entered, how its rolls are cut), for pictures.
        problems: Pads that no roll gives.
    """

    underlay_rolls: Entry | None
    overlay_rolls: Entry | None
    underlay_pad_order: Entry | None
    overlay_pad_order: Entry | None
    fabric_roll_run: tuple[Entry, ...]
    fabric_offcut: tuple[Entry, ...]
    fabric_offcut_area: tuple[Entry, ...]
    pads_from_offcuts: tuple[Entry, ...]
    pads_off_roll: tuple[Entry, ...]
    cuts: tuple[tuple[str, Fabric, Rolled], ...]
    problems: tuple[Problem, ...]


def pad_side(lining: Lining) -> str | None:
    """The fabric that pads are cut from: what lies over the liner, else what lies under it; None where there is neither."""
    return "overlay" if lining.overlay else "underlay" if lining.underlay else None


def boulder_pads(lining: Lining, kinds: Sequence[tuple[str, int, float, float]]) -> tuple[Pad, ...]:
    """Pads under boulders: (name, count, longer and shorter axis of the footprint [m])."""
    more = 2 * float(lining.pad_margin)
    return tuple(Pad(f"under {name}", count, long + more, wide + more) for name, count, long, wide in kinds)


def burrow_pads(lining: Lining, name: str, bands: Sequence[TierBand], stretch: float) -> tuple[Pad, ...]:
    """Pads over a zone in which burrowing is expected, as pieces of fabric with laps between and a margin up and down the face.

    They lie side by side down the face; on an innermost floor side by side over the box round it where that takes less.
    """
    side = pad_side(lining)
    if side is None:
        return ()
    fabric = getattr(lining, side)
    width, lap, more = float(fabric.roll_width), float(fabric.lap), 2 * float(lining.pad_margin)
    found = []
    for band in bands:
        closed = stretch >= 1.0
        run = band.edge * stretch
        count = max(math.ceil((run if closed else run - lap) / (width - lap) - 1e-9), 1)
        ways = [Pad(name, count, *_sides((run + (count if closed else count - 1) * lap) / count, band.way + more))]
        for along, across in (band.box, band.box[::-1]) if band.box else ():
            number = max(math.ceil((across + more - lap) / (width - lap) - 1e-9), 1)
            size = _sides(along + more, (across + more + (number - 1) * lap) / number)
            ways.append(Pad(name, math.ceil(number * stretch - 1e-9), *size))
        found.append(min(ways, key=lambda pad: pad.count * pad.long * pad.wide))
    return tuple(found)


def _sides(a: float, b: float) -> tuple[float, float]:
    return max(a, b), min(a, b)


def fabrics(lining: Lining, strips: dict[str, tuple[Strips, ...]], pads: tuple[Pad, ...]) -> Fabrics:
    """Rolls of both fabrics.

    Args:
        lining: As entered.
        strips: Of every liner, by fabric.
        pads: Of boulders and against burrowing.
    """
    problems = tuple(too_large(lining, pads))
    worked: dict[str, tuple[Entry, Rolled]] = {}
    for side in SIDES:
        fabric: Fabric | None = getattr(lining, side)
        own = pads if side == pad_side(lining) else ()
        if fabric is None or (problems and own) or not (strips[side] or own):
            continue
        found = rolled(strips[side], own, float(fabric.roll_width), float(fabric.roll_length), float(fabric.lap))
        fewer = [FABRIC_NOT_LEAST(least=(found.least, COUNT))] if found.least < len(found.rolls) else []
        count = entry(cloth.rolls, "", source=USER, cautions=fewer, rolls=float(len(found.rolls)))
        worked[side] = count, found
    padded = pad_side(lining) if pads else None

    def ordered(side: str) -> Entry | None:
        found = worked.get(side)
        if found is None or side != padded:
            return None
        width = getattr(lining, side).roll_width
        return entry(cloth.pad_order, "", source=USER, run=found[1].pad_run, roll_width=width)

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
            entry(cloth.roll_run, f"{side} / roll {number}", cautions=[_listing(roll)], runs=roll.runs)
            for side, found in every
            for number, roll in enumerate(found.rolls, 1)
        ),
        fabric_offcut=tuple(figure for side, _ in every for figure in left[side]),
        fabric_offcut_area=tuple(
            entry(cloth.offcuts_area, side, offcuts=[one.value for one in left[side]]) for side, _ in every
        ),
        pads_from_offcuts=tuple(
            entry(cloth.pads, side, pads=float(found.from_offcuts)) for side, found in every if side == padded
        ),
        pads_off_roll=tuple(
            entry(cloth.pads, side, pads=float(found.off_rolls)) for side, found in every if side == padded
        ),
        cuts=tuple((side, getattr(lining, side), found) for side, found in every),
        problems=problems,
    )


def too_large(lining: Lining, pads: Sequence[Pad]) -> Iterator[Problem]:
    """Pads that no roll of their fabric gives in one piece."""
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


def _left(side: str, found: Rolled) -> Iterator[Entry]:
    """What is left of each roll, with the size of every offcut."""
    for number, roll in enumerate(found.rolls, 1):
        if roll.offcuts:
            terms: dict[str, tuple[float, Kind]] = {}
            for at, piece in enumerate(roll.offcuts):
                terms |= {f"a{at}": (piece.along, LENGTH), f"b{at}": (piece.across, LENGTH)}
            sizes = "; ".join(f"{piece.what} {{a{at}}} by {{b{at}}}" for at, piece in enumerate(roll.offcuts))
            yield entry(
                cloth.offcuts_area,
                f"{side} / roll {number}",
                cautions=[words(f"Left of it, along the roll by across: {sizes}.", **terms)],
                offcuts=[piece.area for piece in roll.offcuts],
            )
