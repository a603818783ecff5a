"""One liner: size, panels, mass and fabrics, and the rolls to buy for it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry, within
from pondkit.core.sentence import Words, words
from pondkit.core.units import COUNT, LENGTH
from pondkit.geometry.outline import Placed
from pondkit.trades.liner import cautions as rules
from pondkit.trades.liner import formulas as rel
from pondkit.trades.liner.cautions import JOINS_IN_ONE_LINE, SEAM_AT_LOWEST, SEAM_MEETS
from pondkit.trades.liner.fabrics import SIDES, liner_fabric
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.panels import panels
from pondkit.trades.liner.plan import Stock, StripPlan, cheapest, fewest_seams, offcuts, placed
from pondkit.trades.liner.results import LinerFootprint, LinerResult, Panels, Purchase, Seam
from pondkit.trades.stone.inputs import Boulder

FOR_PADS = Words("Good for falls, and for pads under boulders.")


@dataclass(frozen=True)
class Mark:
    """A place that a seam should avoid: what is there, its place on the site, and its radius [m]."""

    name: str
    at: tuple[float, float]
    reach: float


@dataclass(frozen=True)
class SeamChecks:
    """Places that seams should avoid, and the highest water.

    Attributes:
        marks: Places that seams should avoid.
        rise: Height of the highest water above the level at rest [m].
    """

    marks: tuple[Mark, ...]
    rise: float


def seam_marks(
    boulders: Sequence[Boulder], penetrations: Sequence[tuple[str, tuple[float, float, float]]]
) -> tuple[Mark, ...]:
    """Boulders with a place, and penetrations, which a seam should avoid."""
    marks = [
        Mark(f"boulder {boulder.name}", (float(x), float(y)), float(max(boulder.axes)) / 2)
        for boulder in boulders
        for x, y in boulder.places
    ]
    return (*marks, *(Mark(f"penetration {name}", (place[0], place[1]), 0.0) for name, place in penetrations))


def purchase(lining: Lining, footprint: LinerFootprint, length: float, width: float, checks: SeamChecks) -> Purchase:
    """The cheapest rolls for a liner, with their cutting and laying plan.

    Args:
        lining: Inputs of the liners; each roll is wider and longer than the seam lap.
        footprint: The liner with its pools.
        length, width: Sides of the liner as ordered [m].
        checks: Places that seams should avoid, and the highest water.
    """
    name, lap = footprint.liner.name, float(lining.seam_lap)
    stock = [Stock(roll.name, float(roll.width), float(roll.length), float(roll.price)) for roll in lining.rolls]
    plan, alternative = (search(length, width, stock, lap) for search in (cheapest, fewest_seams))
    upstream = _far_upstream(footprint, plan.along), _far_upstream(footprint, not plan.along)
    net = footprint.along, footprint.across
    panels = placed(plan, (length, width), net, stock, lap, upstream, checks.rise)
    rolls = [(roll, count) for roll, count in zip(stock, plan.rolls, strict=True) if count]
    areas, masses, carriers = _panel_figures(lining, name, panels)
    order = words(
        "Panels go down in the order of their numbers, each later one over the one before it: the later lies upstream. "
        "{panels} in all.",
        panels=(len(panels.pieces), COUNT),
    )
    cost = entry(
        rel.plan_cost,
        name,
        source=USER,
        cautions=[order, *([JOINS_IN_ONE_LINE()] if panels.stacked else [])],
        rolls=[float(count) for _, count in rolls],
        prices=[roll.price for roll, _ in rolls],
    )
    runs, depths = [], []
    for number, seam in enumerate(panels.seams, 1):
        subject, met = f"{name} / seam {number}", _met(seam, footprint, (length, width), lap, checks.marks)
        at_rest = seam.depth - checks.rise
        runs.append(entry(rel.seam_run, subject, run=seam.length))
        depths.append(entry(rel.seam_under_water, subject, cautions=met, at_rest=at_rest, water_rise=checks.rise))
    left = [
        entry(
            rel.offcut_area,
            f"{name} / {stock_name}, offcut {number}",
            cautions=[_cut(stock_name, long, wide), FOR_PADS],
            along=long,
            across=wide,
        )
        for number, (stock_name, long, wide) in enumerate(offcuts(plan, length, width, stock, lap), 1)
    ]
    return Purchase(
        plan_cost=cost,
        **_other_plan(name, stock, plan, alternative),
        rolls_to_buy=tuple(
            entry(rel.rolls_to_buy, f"{name} / {roll.name}", source=USER, rolls=float(count)) for roll, count in rolls
        ),
        panel_area=areas,
        panel_mass=masses,
        panel_carriers=carriers,
        panel_seam_length=tuple(runs),
        panel_seam_depth=tuple(depths),
        offcut_area=tuple(left),
        panels=panels,
    )


Entries = tuple[Entry, ...]


def _panel_figures(lining: Lining, name: str, panels: Panels) -> tuple[Entries, Entries, Entries]:
    """(area, mass, number of carriers) of each panel."""
    areas, masses, carriers = [], [], []
    for panel in panels.pieces:
        subject, cut = f"{name} / panel {panel.name}", [_cut(panel.stock, panel.along, panel.across)]
        area = entry(rel.panel_area, subject, cautions=cut, along=panel.along, across=panel.across)
        mass = entry(rel.sheet_mass, subject, source=USER, **material_of(lining), area=area.bare)
        areas.append(area)
        masses.append(mass)
        carriers.append(entry(rel.panel_carriers, subject, source=USER, mass=mass, carry=lining.carry))
    return tuple(areas), tuple(masses), tuple(carriers)


def material_of(lining: Lining) -> dict[str, Any]:
    """Thickness and density of the liner, with their tolerances."""
    return {
        name: within(value, share, source=f"{name}: user input")
        for name, value, share in (
            ("thickness", float(lining.thickness), float(lining.thickness_within)),
            ("density", float(lining.density), float(lining.density_within)),
        )
    }


def _other_plan(
    name: str, stock: Sequence[Stock], choice: StripPlan, alternative: StripPlan
) -> dict[str, Entry | None]:
    """The plan with the least length of seams, for comparison with the cheapest; empty if that has as little."""
    keys = ("fewest_seams_cost", "fewest_seams_pieces", "fewest_seams_length")
    if alternative.seams >= choice.seams - 1e-6:
        return dict.fromkeys(keys)
    bought = [(roll.price, count) for roll, count in zip(stock, alternative.rolls, strict=True) if count]
    cost, pieces, seams = (getattr(rel, key) for key in keys)
    return {
        keys[0]: entry(cost, name, source=USER, rolls=[float(n) for _, n in bought], prices=[p for p, _ in bought]),
        keys[1]: entry(pieces, name, pieces=float(alternative.pieces)),
        keys[2]: entry(seams, name, seams=alternative.seams),
    }


def _cut(stock_name: str, along: float, across: float) -> Words:
    return words(f"{stock_name}: {{along}} by {{across}}.", along=(along, LENGTH), across=(across, LENGTH))


def _far_upstream(footprint: LinerFootprint, along: bool) -> bool:
    """True if, across the strips, the highest pool lies further from the liner's corner than the lowest."""
    places = footprint.axes.to_own(np.array([[pool.placed.x, pool.placed.y] for pool in footprint.surfaces]))[
        :, 1 if along else 0
    ]
    levels = [pool.level for pool in footprint.surfaces]
    high, low = places[int(np.argmax(levels))], places[int(np.argmin(levels))]
    return bool(high >= low)


def _met(
    seam: Seam, footprint: LinerFootprint, sides: tuple[float, float], lap: float, marks: Sequence[Mark]
) -> list[Caution]:
    """Cautions of a seam that crosses places it should avoid."""
    notes = [SEAM_AT_LOWEST()] if seam.lowest else []
    sheet, size, turn = (
        (footprint.across, sides[1], footprint.turn_deg + 90.0)
        if seam.along
        else (footprint.along, sides[0], footprint.turn_deg)
    )
    for mark in marks:
        local = Placed(0.0, 0.0, turn).to_own(np.array([mark.at]))
        if not sheet.all_offsets[0] <= local[0, 1] <= sheet.all_offsets[-1]:
            continue
        station = float(sheet.from_left(local[:, 0], local[:, 1])[0]) + (size - sheet.length) / 2
        if abs(station - seam.place) <= lap / 2 + mark.reach:
            notes.append(SEAM_MEETS(what=mark.name))
    return notes


@dataclass(frozen=True, eq=False)
class _Size:
    """Sides and area of a liner, net and as ordered."""

    length: Entry
    width: Entry
    area: Entry
    length_order: Entry
    width_order: Entry
    area_order: Entry


def liner_result(
    lining: Lining, footprint: LinerFootprint, notes: Sequence[Caution], checks: SeamChecks
) -> LinerResult:
    """All figures of one liner.

    Args:
        lining: Inputs of the liners.
        footprint: The liner with its pools.
        notes: Cautions for its area.
        checks: Places that seams should avoid, and the highest water.
    """
    name, size = footprint.liner.name, _size(lining, footprint, notes)
    sides = size.length_order.value, size.width_order.value
    bought = purchase(lining, footprint, *sides, checks) if lining.rolls else None
    stock, net = (lining.stock_width, lining.stock_length), (footprint.along, footprint.across)
    layout = bought.panels if bought else panels(*sides, net, stock, lining.seam_lap, checks.rise)
    seams, cautions = [seam.length for seam in layout.seams], _seam_cautions(layout)
    laps = entry(rel.seam_lap_area, name, seam_length=sum(seams), lap=lining.seam_lap)
    made_area = entry(rel.liner_made_area, name, order=size.area_order, laps=laps)
    mass = entry(rel.sheet_mass, name, **material_of(lining), area=made_area)
    rule_length, rule_width, shortfall = _by_rule(footprint, size)
    depth = None
    if layout.seams:
        at_rest = [seam.depth - checks.rise for seam in layout.seams]
        depth = entry(rel.seam_depth, name, at_rest=at_rest, water_rise=checks.rise, cautions=cautions)
    fabrics = {side: liner_fabric(lining, side, footprint, size.length, size.width) for side in SIDES}
    return LinerResult(
        name=name,
        liner_length=size.length,
        liner_width=size.width,
        liner_area=size.area,
        liner_turn=entry(rel.turned, name, turn=footprint.turn_deg),
        liner_length_order=size.length_order,
        liner_width_order=size.width_order,
        liner_area_order=size.area_order,
        liner_waste=entry(rel.waste, name, order=size.area_order, net=size.area),
        liner_mass=mass,
        carriers=entry(rel.carriers, name, mass=mass, carry=lining.carry, cautions=[rules.LIFT_LINER_TOGETHER()]),
        rule_length=rule_length,
        rule_width=rule_width,
        rule_shortfall=shortfall,
        panel_count=entry(rel.panel_count, name, panels=layout.count, cautions=cautions),
        seam_length=entry(rel.seam_length, name, seams=seams),
        seam_lap_area=laps,
        liner_made_area=made_area,
        seam_depth=depth,
        **{f"{side}_{key}": getattr(fabrics[side], key, None) for side in SIDES for key in _FABRIC_KEYS},
        purchase=bought,
        panels=layout,
        footprint=footprint,
        strips={side: fabric.cut for side, fabric in fabrics.items() if fabric},
    )


_FABRIC_KEYS = ("area", "strips", "area_order", "waste", "mass")


def _size(lining: Lining, footprint: LinerFootprint, notes: Sequence[Caution]) -> _Size:
    name, along, across = footprint.liner.name, footprint.along, footprint.across
    length, width = (entry(rel.liner_length, name, left=side.left, right=side.right) for side in (along, across))
    length_order, width_order = (
        entry(rel.ordered, name, net=net, allowance=lining.allowance, sale_unit=lining.sale_unit)
        for net in (length, width)
    )
    measure = [rules.MEASURE_BEFORE_CUT()]
    return _Size(
        length,
        width,
        entry(rel.liner_area, name, length=length, width=width, cautions=notes),
        length_order,
        width_order,
        entry(rel.liner_area, name, length=length_order, width=width_order, cautions=measure),
    )


def _seam_cautions(layout: Panels) -> list[Caution]:
    under_water = [rules.SEAM_UNDER_WATER()] if layout.depth > 1e-9 else []
    return [*under_water, *([rules.SEAM_AT_LOWEST()] if any(seam.lowest for seam in layout.seams) else [])]


def _by_rule(footprint: LinerFootprint, size: _Size) -> tuple[Entry, Entry, tuple[Entry, ...]]:
    """(length, width, deficits) by the rule of thumb."""
    name, turn = footprint.liner.name, footprint.turn_deg
    depth = max(pool.surface.deepest for pool in footprint.surfaces)
    freeboard = max(pool.rim_level - pool.level for pool in footprint.surfaces)
    by_rule, short = [], []
    for side, sheet, net, direction in (
        ("length", footprint.along, size.length, turn),
        ("width", footprint.across, size.width, turn + 90.0),
    ):
        rims, edge = footprint.rims.extent(direction), footprint.edge
        rule = entry(rel.rule_size, name, rim_length=rims, depth=depth, freeboard=freeboard, edge=edge)
        by_rule.append(rule)
        if net.value > rule.value + 1e-6:
            over = int(np.sum(sheet.lefts + sheet.rights > rule.value))
            note = rules.RULE_FALLS_SHORT(
                short=(net.value - rule.value, LENGTH), lines=(over, COUNT), looked_at=(len(sheet.offsets), COUNT)
            )
            short.append(entry(rel.rule_shortfall, f"{name}, {side}", length=net, rule=rule, cautions=[note]))
    return by_rule[0], by_rule[1], tuple(short)
