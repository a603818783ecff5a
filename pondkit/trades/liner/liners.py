"""One liner: its size, order, panels, mass, and its fabrics."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import Entry, entry
from pondkit.core.units import COUNT, LENGTH
from pondkit.trades.liner import cautions as rules
from pondkit.trades.liner.fabrics import SIDES, liner_fabric
from pondkit.trades.liner.formulas import liner as rel
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.panels import panels
from pondkit.trades.liner.purchase import SeamChecks, material_of, purchase
from pondkit.trades.liner.results import LinerFootprint, LinerResult, Panels


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
    """Every figure of one liner.

    Args:
        lining: As entered.
        footprint: The liner with its pools.
        notes: Cautions at its area.
        checks: What its seams are held against.
    """
    name, size = footprint.liner.name, _size(lining, footprint, notes)
    sides = size.length_order.value, size.width_order.value
    bought = purchase(lining, footprint, *sides, checks) if lining.rolls else None
    stock, net = (lining.stock_width, lining.stock_length), (footprint.along, footprint.across)
    made = bought.panels if bought else panels(*sides, net, stock, lining.seam_lap, checks.rise)
    seams, cautions = [seam.length for seam in made.seams], _seam_cautions(made)
    laps = entry(rel.seam_lap_area, name, seam_length=sum(seams), lap=lining.seam_lap)
    made_area = entry(rel.liner_made_area, name, order=size.area_order, laps=laps)
    mass = entry(rel.liner_mass, name, **material_of(lining), made=made_area)
    rule_length, rule_width, shortfall = _by_rule(footprint, size)
    depth = None
    if made.seams:
        at_rest = [seam.depth - checks.rise for seam in made.seams]
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
        panel_count=entry(rel.panel_count, name, panels=made.count, cautions=cautions),
        seam_length=entry(rel.seam_length, name, seams=seams),
        seam_lap_area=laps,
        liner_made_area=made_area,
        seam_depth=depth,
        **{f"{side}_{key}": getattr(fabrics[side], key, None) for side in SIDES for key in _FABRIC_KEYS},
        purchase=bought,
        panels=made,
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


def _seam_cautions(made: Panels) -> list[Caution]:
    under_water = [rules.SEAM_UNDER_WATER()] if made.depth > 1e-9 else []
    return [*under_water, *([rules.SEAM_AT_LOWEST()] if any(seam.lowest for seam in made.seams) else [])]


def _by_rule(footprint: LinerFootprint, size: _Size) -> tuple[Entry, Entry, tuple[Entry, ...]]:
    """Length and width by the rule of thumb, and by how much it falls short."""
    name, turn = footprint.liner.name, footprint.turn_deg
    depth = max(pool.surface.deepest for pool in footprint.surfaces)
    freeboard = max(pool.rim_level - pool.level for pool in footprint.surfaces)
    by_rule, short = [], []
    for side, sheet, net, way in (
        ("length", footprint.along, size.length, turn),
        ("width", footprint.across, size.width, turn + 90.0),
    ):
        rims, edge = footprint.rims.extent(way), footprint.edge
        rule = entry(rel.rule_size, name, rim_length=rims, depth=depth, freeboard=freeboard, edge=edge)
        by_rule.append(rule)
        if net.value > rule.value + 1e-6:
            over = int(np.sum(sheet.lefts + sheet.rights > rule.value))
            note = rules.RULE_FALLS_SHORT(
                short=(net.value - rule.value, LENGTH), lines=(over, COUNT), looked_at=(len(sheet.offsets), COUNT)
            )
            short.append(entry(rel.rule_shortfall, f"{name}, {side}", length=net, rule=rule, cautions=[note]))
    return by_rule[0], by_rule[1], tuple(short)
