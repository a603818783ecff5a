"""One liner: the pools that it covers, its size, panels, mass and fabrics, and the rolls to buy for it."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry, within
from pondkit.core.remembered import remembered
from pondkit.core.sentence import Words, words
from pondkit.core.units import COUNT, LENGTH
from pondkit.geometry.outline import Placed
from pondkit.geometry.sheet import cover, rims_of, sheets
from pondkit.geometry.site_line import ring_round
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.liner import cautions as rules
from pondkit.trades.liner import formulas as rel
from pondkit.trades.liner.edge import edge_of, trench_centre_out
from pondkit.trades.liner.fabrics import FABRICS, fabric_figures
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.panels import (
    Stock,
    StripPlan,
    cheapest,
    fewest_seams,
    offcuts_of,
    panels_of,
    stock_panels,
)
from pondkit.trades.liner.results import LinerFootprint, LinerResult, Panels, Purchase, Seam
from pondkit.trades.stone.inputs import Boulder

FOR_PADS = Words("It may serve under falls, or for pads under boulders.")
Entries = tuple[Entry, ...]
# Figures of a fabric, whose keys in the liner's result have the name of the fabric before them.
_FABRIC_KEYS = ("area", "strips", "area_order", "waste", "mass")

# Equal parts give the same object, so that nothing that depends on it is computed again.
_footprint = remembered(LinerFootprint)


def footprints_of(lining: Lining, pools: Mapping[str, SiteSurface]) -> tuple[LinerFootprint, ...]:
    """The liners, each with the pools without problems that it covers; none for a liner that covers none.

    Args:
        lining: Inputs of the liners.
        pools: Liner surface of each pool without problems.
    """
    liners = []
    edge, trench_out = edge_of(lining), trench_centre_out(lining)
    for liner in lining.liners:
        names = tuple(name for name in dict.fromkeys(liner.covers) if name in pools)
        if not names:
            continue
        surfaces = tuple(pools[name] for name in names)
        rims = rims_of(tuple((pool.surface.pool.shape, pool.placed, pool.rim) for pool in surfaces))
        turn = rims.turn_deg if liner.turn_deg is None else float(liner.turn_deg)
        along, across = sheets(surfaces, turn, edge)
        areas = tuple(cover(pool, edge) for pool in surfaces)
        trench = None
        if trench_out is not None:
            trench = ring_round(
                tuple((pool.surface.pool.shape, pool.placed, pool.rim + trench_out) for pool in surfaces)
            )
        liners.append(_footprint(liner, names, surfaces, areas, rims, turn, along, across, edge, trench))
    return tuple(liners)


@dataclass(frozen=True)
class SeamObstacle:
    """Something that a seam should avoid: what it is, its place on the site, and its radius [m]."""

    name: str
    at: tuple[float, float]
    radius: float


@dataclass(frozen=True)
class SeamChecks:
    """What seams are checked against.

    Attributes:
        obstacles: Boulders and penetrations that seams should avoid.
        rise: Height of the highest water above the level at rest [m].
    """

    obstacles: tuple[SeamObstacle, ...]
    rise: float


def seam_obstacles(
    boulders: Sequence[Boulder], penetrations: Sequence[tuple[str, tuple[float, float, float]]]
) -> tuple[SeamObstacle, ...]:
    """Boulders with a place, and penetrations.

    Args:
        boulders: Inputs of the boulders.
        penetrations: (name, place on the site [m]) of each pipe through a liner.
    """
    obstacles = [
        SeamObstacle(f"boulder {boulder.name}", (float(x), float(y)), float(max(boulder.axes)) / 2)
        for boulder in boulders
        for x, y in boulder.places
    ]
    pipes = (SeamObstacle(f"penetration {name}", (place[0], place[1]), 0.0) for name, place in penetrations)
    return (*obstacles, *pipes)


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
    lining: Lining, footprint: LinerFootprint, area_cautions: Sequence[Caution], checks: SeamChecks
) -> LinerResult:
    """All figures of one liner.

    Args:
        lining: Inputs of the liners.
        footprint: The liner with its pools.
        area_cautions: Cautions to stand at its area.
        checks: What its seams are checked against.
    """
    name, size = footprint.liner.name, _size(lining, footprint, area_cautions)
    sides = size.length_order.value, size.width_order.value
    bought = purchase(lining, footprint, *sides, checks) if lining.rolls else None
    stock, net = (lining.stock_width, lining.stock_length), (footprint.along, footprint.across)
    panels = bought.panels if bought else stock_panels(*sides, net, stock, lining.seam_lap, checks.rise)
    seams, cautions = [seam.length for seam in panels.seams], _seam_cautions(panels)
    laps = entry(rel.seam_lap_area, name, seam_length=sum(seams), lap=lining.seam_lap)
    made_area = entry(rel.liner_made_area, name, order=size.area_order, laps=laps)
    mass = entry(rel.sheet_mass, name, **material_of(lining), area=made_area)
    rule_length, rule_width, shortfall = _by_rule(footprint, size)
    depth = None
    if panels.seams:
        at_rest = [seam.depth - checks.rise for seam in panels.seams]
        depth = entry(rel.seam_depth, name, at_rest=at_rest, water_rise=checks.rise, cautions=cautions)
    fabrics = {fabric: fabric_figures(lining, fabric, footprint, size.length, size.width) for fabric in FABRICS}
    return LinerResult(
        name=name,
        liner_length=size.length,
        liner_width=size.width,
        liner_area=size.area,
        liner_turn=entry(rel.liner_turn, name, turn=footprint.turn_deg),
        liner_length_order=size.length_order,
        liner_width_order=size.width_order,
        liner_area_order=size.area_order,
        liner_waste=entry(rel.waste, name, order=size.area_order, net=size.area),
        liner_mass=mass,
        carriers=entry(rel.carriers, name, mass=mass, carry=lining.carry, cautions=[rules.LIFT_LINER_TOGETHER()]),
        rule_length=rule_length,
        rule_width=rule_width,
        rule_shortfall=shortfall,
        panel_count=entry(rel.panel_count, name, panels=panels.count, cautions=cautions),
        seam_length=entry(rel.seam_length, name, seams=seams),
        seam_lap_area=laps,
        liner_made_area=made_area,
        seam_depth=depth,
        **{f"{fabric}_{key}": getattr(fabrics[fabric], key, None) for fabric in FABRICS for key in _FABRIC_KEYS},
        purchase=bought,
        panels=panels,
        footprint=footprint,
        strips={fabric: figures.cut for fabric, figures in fabrics.items() if figures},
    )


def _size(lining: Lining, footprint: LinerFootprint, area_cautions: Sequence[Caution]) -> _Size:
    name, along, across = footprint.liner.name, footprint.along, footprint.across
    length, width = (entry(rel.liner_length, name, left=side.left, right=side.right) for side in (along, across))
    length_order, width_order = (
        entry(rel.order_length, name, net=net, allowance=lining.allowance, sale_unit=lining.sale_unit)
        for net in (length, width)
    )
    measure = [rules.MEASURE_BEFORE_CUT()]
    return _Size(
        length,
        width,
        entry(rel.liner_area, name, length=length, width=width, cautions=area_cautions),
        length_order,
        width_order,
        entry(rel.liner_area, name, length=length_order, width=width_order, cautions=measure),
    )


def _seam_cautions(panels: Panels) -> list[Caution]:
    under_water = [rules.SEAM_UNDER_WATER()] if panels.depth > 1e-9 else []
    return [*under_water, *([rules.SEAM_AT_LOWEST()] if any(seam.lowest for seam in panels.seams) else [])]


def _by_rule(footprint: LinerFootprint, size: _Size) -> tuple[Entry, Entry, tuple[Entry, ...]]:
    """(length, width, how much each falls short) by the rule of thumb."""
    name, turn = footprint.liner.name, footprint.turn_deg
    depth = max(pool.surface.deepest for pool in footprint.surfaces)
    freeboard = max(pool.rim_level - pool.level for pool in footprint.surfaces)
    sizes, shortfalls = [], []
    for side, sheet, net, direction in (
        ("length", footprint.along, size.length, turn),
        ("width", footprint.across, size.width, turn + 90.0),
    ):
        rims, edge = footprint.rims.extent(direction), footprint.edge
        rule = entry(rel.rule_size, name, rim_length=rims, depth=depth, freeboard=freeboard, edge=edge)
        sizes.append(rule)
        if net.value > rule.value + 1e-6:
            longer_lines = int(np.sum(sheet.lefts + sheet.rights > rule.value))
            caution = rules.RULE_FALLS_SHORT(
                short=(net.value - rule.value, LENGTH),
                lines=(longer_lines, COUNT),
                looked_at=(len(sheet.offsets), COUNT),
            )
            shortfalls.append(entry(rel.rule_shortfall, f"{name}, {side}", length=net, rule=rule, cautions=[caution]))
    return sizes[0], sizes[1], tuple(shortfalls)


# --- the rolls to buy ---


def purchase(lining: Lining, footprint: LinerFootprint, length: float, width: float, checks: SeamChecks) -> Purchase:
    """The cheapest rolls for a liner, and the panels that are cut from them.

    Args:
        lining: Inputs of the liners; each roll is wider and longer than the seam lap.
        footprint: The liner with its pools.
        length, width: Sides of the liner as ordered [m].
        checks: What its seams are checked against.
    """
    name, lap = footprint.liner.name, float(lining.seam_lap)
    stock = [Stock(roll.name, float(roll.width), float(roll.length), float(roll.price)) for roll in lining.rolls]
    plan = cheapest(length, width, stock, lap)
    upstream_last = _far_side_is_upstream(footprint, plan.along), _far_side_is_upstream(footprint, not plan.along)
    net = footprint.along, footprint.across
    panels = panels_of(plan, (length, width), net, stock, lap, upstream_last, checks.rise)
    rolls = [(roll, count) for roll, count in zip(stock, plan.rolls, strict=True) if count]
    areas, masses, carriers = _panel_figures(lining, name, panels)
    order = words(
        "Panels go down in the order of their numbers, each over the one before it, as the later lies upstream. "
        "{panels} in all.",
        panels=(len(panels.pieces), COUNT),
    )
    cost = entry(
        rel.plan_cost,
        name,
        source=USER,
        cautions=[order, *([rules.JOINS_IN_ONE_LINE()] if panels.joins_line_up else [])],
        rolls=[float(count) for _, count in rolls],
        prices=[roll.price for roll, _ in rolls],
    )
    runs, depths = [], []
    for number, seam in enumerate(panels.seams, 1):
        subject = f"{name} / seam {number}"
        cautions = _crossing_cautions(seam, footprint, (length, width), lap, checks.obstacles)
        at_rest = seam.depth - checks.rise
        runs.append(entry(rel.seam_run, subject, run=seam.length))
        depths.append(entry(rel.seam_under_water, subject, cautions=cautions, at_rest=at_rest, water_rise=checks.rise))
    return Purchase(
        plan_cost=cost,
        **_fewest_seams_figures(name, stock, plan, fewest_seams(length, width, stock, lap)),
        rolls_to_buy=tuple(
            entry(rel.rolls_to_buy, f"{name} / {roll.name}", source=USER, rolls=float(count)) for roll, count in rolls
        ),
        panel_area=areas,
        panel_mass=masses,
        panel_carriers=carriers,
        panel_seam_length=tuple(runs),
        panel_seam_depth=tuple(depths),
        offcut_area=tuple(_offcut_areas(name, offcuts_of(plan, length, width, stock, lap))),
        panels=panels,
    )


def _offcut_areas(name: str, offcuts: Iterable[tuple[str, float, float]]) -> Iterator[Entry]:
    """Area of each offcut of a liner's rolls, given as (name of the roll, its length, its width [m])."""
    for number, (roll, along, across) in enumerate(offcuts, 1):
        cautions = [_size_text(roll, along, across), FOR_PADS]
        yield entry(rel.offcut_area, f"{name} / {roll}, offcut {number}", cautions=cautions, along=along, across=across)


def _panel_figures(lining: Lining, name: str, panels: Panels) -> tuple[Entries, Entries, Entries]:
    """(areas, masses, numbers of people to carry it) of all panels."""
    areas, masses, carriers = [], [], []
    for panel in panels.pieces:
        subject, size = f"{name} / panel {panel.name}", _size_text(panel.stock, panel.along, panel.across)
        area = entry(rel.panel_area, subject, cautions=[size], along=panel.along, across=panel.across)
        mass = entry(rel.sheet_mass, subject, source=USER, **material_of(lining), area=area.bare)
        areas.append(area)
        masses.append(mass)
        carriers.append(entry(rel.panel_carriers, subject, source=USER, mass=mass, carry=lining.carry))
    return tuple(areas), tuple(masses), tuple(carriers)


def material_of(lining: Lining) -> dict[str, Any]:
    """Thickness and density of the liner, with their ranges."""
    return {
        name: within(value, share, source=f"{name}: user input")
        for name, value, share in (
            ("thickness", float(lining.thickness), float(lining.thickness_within)),
            ("density", float(lining.density), float(lining.density_within)),
        )
    }


def _fewest_seams_figures(
    name: str, stock: Sequence[Stock], plan: StripPlan, alternative: StripPlan
) -> dict[str, Entry | None]:
    """Figures, by their keys, of the plan with the least length of seams; None if the cheapest plan has no more.

    Args:
        name: Name of the liner.
        stock: Rolls on sale.
        plan: The cheapest plan.
        alternative: The plan with the least length of seams.
    """
    if alternative.seams >= plan.seams - 1e-6:
        return {"fewest_seams_cost": None, "fewest_seams_pieces": None, "fewest_seams_length": None}
    bought = [(roll.price, count) for roll, count in zip(stock, alternative.rolls, strict=True) if count]
    counts, prices = [float(count) for _, count in bought], [price for price, _ in bought]
    return {
        "fewest_seams_cost": entry(rel.fewest_seams_cost, name, source=USER, rolls=counts, prices=prices),
        "fewest_seams_pieces": entry(rel.fewest_seams_pieces, name, pieces=float(alternative.pieces)),
        "fewest_seams_length": entry(rel.fewest_seams_length, name, seams=alternative.seams),
    }


def _size_text(stock_name: str, along: float, across: float) -> Words:
    return words(f"{stock_name}: {{along}} by {{across}}.", along=(along, LENGTH), across=(across, LENGTH))


def _far_side_is_upstream(footprint: LinerFootprint, strips_along: bool) -> bool:
    """True if, across strips that run along the liner or across it, the highest pool lies further from the liner's
    corner than the lowest.
    """
    places = footprint.axes.to_own(np.array([[pool.placed.x, pool.placed.y] for pool in footprint.surfaces]))[
        :, 1 if strips_along else 0
    ]
    levels = [pool.level for pool in footprint.surfaces]
    high, low = places[int(np.argmax(levels))], places[int(np.argmin(levels))]
    return bool(high >= low)


def _crossing_cautions(
    seam: Seam, footprint: LinerFootprint, sides: tuple[float, float], lap: float, obstacles: Sequence[SeamObstacle]
) -> list[Caution]:
    """Cautions of a seam that crosses what it should avoid.

    Args:
        seam: The seam.
        footprint: The liner with its pools.
        sides: Length and width of the liner as ordered [m].
        lap: Lap of a panel with the next [m].
        obstacles: Boulders and penetrations.
    """
    cautions = [rules.SEAM_AT_LOWEST()] if seam.lowest else []
    sheet, size, turn = (
        (footprint.across, sides[1], footprint.turn_deg + 90.0)
        if seam.along
        else (footprint.along, sides[0], footprint.turn_deg)
    )
    for obstacle in obstacles:
        local = Placed(0.0, 0.0, turn).to_own(np.array([obstacle.at]))
        if not sheet.all_offsets[0] <= local[0, 1] <= sheet.all_offsets[-1]:
            continue
        station = float(sheet.from_left(local[:, 0], local[:, 1])[0]) + (size - sheet.length) / 2
        if abs(station - seam.place) <= lap / 2 + obstacle.radius:
            cautions.append(rules.SEAM_MEETS(what=obstacle.name))
    return cautions
