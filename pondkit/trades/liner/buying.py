"""What is bought for a liner from the rolls that there are, panel by panel and seam by seam."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, Range, entry
from pondkit.core.result import Result
from pondkit.core.sentence import Words, words
from pondkit.core.units import COUNT, LENGTH
from pondkit.geometry.outline import Placed
from pondkit.trades.liner import orders
from pondkit.trades.liner.cautions import JOINS_IN_ONE_LINE, SEAM_AT_LOWEST, SEAM_MEETS
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.panels import Panels, Seam
from pondkit.trades.liner.plan import Choice, Stock, cheapest, fewest_seams, offcuts, placed
from pondkit.trades.liner.under import Under

FOR_PADS = Words("Good for falls, and for pads under boulders.")


@dataclass(frozen=True)
class Mark:
    """What a seam had better not meet: what it is, its place on the site, and how far it reaches round it [m]."""

    name: str
    at: tuple[float, float]
    reach: float


@dataclass(frozen=True, eq=False)
class Bought(Result):
    """The cutting plan of one liner. Subjects are the liner, "liner / roll", "liner / panel 2", "liner / seam 1"."""

    plan_cost: Entry
    fewest_seams_cost: Entry | None
    fewest_seams_pieces: Entry | None
    fewest_seams_length: Entry | None
    rolls_to_buy: tuple[Entry, ...]
    panel_area: tuple[Entry, ...]
    panel_mass: tuple[Entry, ...]
    panel_carriers: tuple[Entry, ...]
    panel_seam_length: tuple[Entry, ...]
    panel_seam_depth: tuple[Entry, ...]
    offcut_area: tuple[Entry, ...]
    panels: Panels


def buying(lining: Lining, under: Under, length: float, width: float, marks: Sequence[Mark], rise: float) -> Bought:
    """The cheapest rolls for a liner, and how they are cut and laid.

    Args:
        lining: As entered; each roll is wider and longer than the seam lap.
        under: The liner with its pools.
        length, width: Its sides as ordered [m].
        marks: What a seam had better not meet.
        rise: Of the highest water over the level at rest [m].
    """
    name, lap = under.liner.name, float(lining.seam_lap)
    stock = [Stock(roll.name, float(roll.width), float(roll.length), float(roll.price)) for roll in lining.rolls]
    choice = cheapest(length, width, stock, lap)
    made = placed(
        choice,
        length,
        width,
        (under.along, under.across),
        stock,
        lap,
        (_far_upstream(under, choice.along), _far_upstream(under, not choice.along)),
        rise,
    )
    bought = [
        (one, count, strips) for one, count, strips in zip(stock, choice.rolls, choice.counts, strict=True) if count
    ]
    areas = [
        entry(orders.panel_area, f"{name} / panel {piece.name}", cautions=[_cut(piece.stock, piece.along, piece.across)],
              along=piece.along, across=piece.across)
        for piece in made.pieces
    ]  # fmt: skip
    masses = [
        entry(orders.panel_mass, area.subject, source=USER, **stuff_of(lining), area=area.value) for area in areas
    ]
    order = words(
        "Panels go down in the order of their numbers, each later one over the one before it: the later lies upstream. {panels} in all.",
        panels=(len(made.pieces), COUNT),
    )
    return Bought(
        plan_cost=entry(
            orders.plan_cost, name, source=USER, cautions=[order, *([JOINS_IN_ONE_LINE()] if made.stacked else [])], rolls=[float(count) for _, count, _ in bought], prices=[one.price for one, _, _ in bought]
        ),
        **_other_plan(name, stock, choice, fewest_seams(length, width, stock, lap)),
        rolls_to_buy=tuple(
            entry(orders.rolls_to_buy, f"{name} / {one.name}", source=USER, rolls=float(count)) for one, count, _ in bought
        ),
        panel_area=tuple(areas),
        panel_mass=tuple(masses),
        panel_carriers=tuple(
            entry(orders.panel_carriers, mass.subject, source=USER, mass=mass, carry=lining.carry) for mass in masses
        ),
        panel_seam_length=tuple(
            entry(orders.seam_run, f"{name} / seam {number}", run=seam.length) for number, seam in enumerate(made.seams, 1)
        ),
        panel_seam_depth=tuple(
            entry(orders.seam_under_water, f"{name} / seam {number}", cautions=_met(seam, under, length, width, lap, marks), at_rest=seam.depth - rise, water_rise=rise)
            for number, seam in enumerate(made.seams, 1)
        ),
        offcut_area=tuple(
            entry(orders.offcut_area, f"{name} / {what}, offcut {number}", cautions=[_cut(what, long, wide), FOR_PADS], along=long, across=wide)
            for number, (what, long, wide) in enumerate(offcuts(choice, length, width, stock, lap), 1)
        ),
        panels=made,
    )  # fmt: skip


def stuff_of(lining: Lining) -> dict[str, Any]:
    """Thickness and density of the liner, with what they may be off."""
    return {
        name: Range(value * (1 - share), value, value * (1 + share), f"{name}: user input")
        for name, value, share in (
            ("thickness", float(lining.thickness), float(lining.thickness_within)),
            ("density", float(lining.density), float(lining.density_within)),
        )
    }


def _other_plan(name: str, stock: Sequence[Stock], choice: Choice, other: Choice) -> dict[str, Entry | None]:
    """The plan with the least seam beside the cheapest; nothing where that has as little."""
    keys = ("fewest_seams_cost", "fewest_seams_pieces", "fewest_seams_length")
    if other.seams >= choice.seams - 1e-6:
        return dict.fromkeys(keys)
    bought = [(one.price, count) for one, count in zip(stock, other.rolls, strict=True) if count]
    cost, pieces, seams = (getattr(orders, key) for key in keys)
    return {
        keys[0]: entry(cost, name, source=USER, rolls=[float(n) for _, n in bought], prices=[p for p, _ in bought]),
        keys[1]: entry(pieces, name, pieces=float(other.pieces)),
        keys[2]: entry(seams, name, seams=other.seams),
    }


def _cut(what: str, along: float, across: float) -> Words:
    return words(f"{what}: {{along}} by {{across}}.", along=(along, LENGTH), across=(across, LENGTH))


def _far_upstream(under: Under, along: bool) -> bool:
    """True where, across the strips, the highest pool lies further from the liner's corner than the lowest."""
    places = under.axes.to_own(np.array([[pool.placed.x, pool.placed.y] for pool in under.laid]))[:, 1 if along else 0]
    levels = [pool.level for pool in under.laid]
    high, low = places[int(np.argmax(levels))], places[int(np.argmin(levels))]
    return bool(high >= low)


def _met(seam: Seam, under: Under, length: float, width: float, lap: float, marks: Sequence[Mark]) -> list[Caution]:
    """What a seam crosses that it had better not."""
    notes = [SEAM_AT_LOWEST()] if seam.lowest else []
    sheet, size, turn = (
        (under.across, width, under.turn_deg + 90.0) if seam.along else (under.along, length, under.turn_deg)
    )
    for mark in marks:
        own = Placed(0.0, 0.0, turn).to_own(np.array([mark.at]))
        if not sheet.all_offsets[0] <= own[0, 1] <= sheet.all_offsets[-1]:
            continue
        at = float(sheet.from_left(own[:, 0], own[:, 1])[0]) + (size - sheet.length) / 2
        if abs(at - seam.place) <= lap / 2 + mark.reach:
            notes.append(SEAM_MEETS(what=mark.name))
    return notes
