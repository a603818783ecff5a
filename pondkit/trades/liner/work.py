"""Works out every liner of an option with its fabrics."""

from dataclasses import dataclass

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import Entry, entry, total
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Result
from pondkit.core.sentence import words
from pondkit.core.units import AREA, COUNT, LENGTH
from pondkit.trades.liner import cautions as rules
from pondkit.trades.liner import relations as rel
from pondkit.trades.liner.buying import Bought, Mark, buying, stuff_of
from pondkit.trades.liner.extras import Extras
from pondkit.trades.liner.fabrics import SIDES, Fabrics, fabrics, pad_side, too_large
from pondkit.trades.liner.inputs import Fabric, Lining
from pondkit.trades.liner.panels import Panels, panels
from pondkit.trades.liner.rolling import Strips, pieces_of
from pondkit.trades.liner.under import Under

GAIN = 0.0254  # m: least that a roll must be wider and longer than its lap


@dataclass(frozen=True, eq=False)
class _FabricFigures:
    """Figures of one fabric of one liner; the liner's result holds them under the keys of underlay or overlay."""

    area: Entry
    strips: Entry
    order: Entry
    waste: Entry
    mass: Entry
    strips_of: Strips


@dataclass(frozen=True, eq=False)
class LinerResult(Result):
    """One liner worked out.

    Attributes:
        name: The liner.
        panels: How it is made up.
        under: What it covers, for pictures.
        strips: Of each fabric, as they are cut off rolls.
    """

    name: str
    liner_length: Entry
    liner_width: Entry
    liner_area: Entry
    liner_turn: Entry
    liner_length_order: Entry
    liner_width_order: Entry
    liner_area_order: Entry
    liner_waste: Entry
    liner_mass: Entry
    carriers: Entry
    rule_length: Entry
    rule_width: Entry
    rule_shortfall: tuple[Entry, ...]
    panel_count: Entry
    seam_length: Entry
    seam_lap_area: Entry
    liner_made_area: Entry
    seam_depth: Entry | None
    underlay_area: Entry | None
    underlay_strips: Entry | None
    underlay_area_order: Entry | None
    underlay_waste: Entry | None
    underlay_mass: Entry | None
    overlay_area: Entry | None
    overlay_strips: Entry | None
    overlay_area_order: Entry | None
    overlay_waste: Entry | None
    overlay_mass: Entry | None
    bought: Bought | None
    panels: Panels
    under: Under
    strips: dict[str, Strips]


@dataclass(frozen=True, eq=False)
class LiningResult(Result):
    """All liners of an option; totals None where one is in trouble."""

    liners: tuple[LinerResult, ...]
    total_liner_order: Entry | None
    total_underlay_order: Entry | None
    total_overlay_order: Entry | None
    fabrics: Fabrics | None
    extras: Extras
    problems: tuple[Problem, ...]


@remembered
def work_out(
    lining: Lining,
    unders: tuple[Under, ...],
    pools: tuple[str, ...],
    marks: tuple[Mark, ...],
    round_about: Extras,
    rise: float,
    whole: bool,
    on_one: tuple[tuple[str, str], ...] = (),
) -> LiningResult:
    """Every figure of an option's liners.

    Args:
        lining: As entered.
        unders: The liners that cover a pool that could be worked out.
        pools: Names of all pools of the option.
        marks: What a seam had better not meet.
        round_about: What lies round the liners.
        rise: Of the highest water over the level at rest [m].
        whole: False where a pool is in trouble: then there are no totals.
        on_one: (liner, link) where both pools of a link lie on that liner.
    """
    problems = _problems(lining, pools)
    bare = [name for name in pools if not any(name in liner.covers for liner in lining.liners)]
    notes = [rules.POOLS_WITHOUT_LINER(names=", ".join(bare))] if bare else []
    faulty = {problem.path[2] for problem in problems if problem.path[:2] == ("lining", "liners")}
    sized = not any(problem.path[:2] != ("lining", "liners") for problem in problems)
    worked = tuple(
        _liner(lining, under, [*notes, *_links(under, on_one)], marks, rise)
        for under in unders
        if sized and lining.liners.index(under.liner) not in faulty
    )
    complete = whole and not problems and len(worked) == len(lining.liners)
    strips = {side: tuple(one.strips[side] for one in worked if side in one.strips) for side in SIDES}
    cut = fabrics(lining, strips, round_about.pads) if complete else None
    trouble = cut.problems if cut else tuple(too_large(lining, round_about.pads)) if sized else ()
    padded = pad_side(lining) if trouble else None

    def summed(name: str, pads: Entry | None = None) -> Entry | None:
        figures = [figure for result in worked if (figure := getattr(result, name)) is not None]
        if not complete or not figures or (padded and name.startswith(padded)):
            return None
        return total("", [*figures, *([pads] if pads else [])], AREA)

    return LiningResult(
        worked,
        summed("liner_made_area"),
        summed("underlay_area_order", cut.underlay_pad_order if cut else None),
        summed("overlay_area_order", cut.overlay_pad_order if cut else None),
        cut,
        round_about,
        (*problems, *trouble, *round_about.problems),
    )


def _links(under: Under, on_one: tuple[tuple[str, str], ...]) -> list[Caution]:
    links = [link for liner, link in on_one if liner == under.liner.name]
    return [rules.LINK_ON_ONE_LINER(links=", ".join(links))] if links else []


def _liner(lining: Lining, under: Under, notes: list[Caution], marks: tuple[Mark, ...], rise: float) -> LinerResult:
    name = under.liner.name
    length = entry(rel.liner_length, name, left=under.along.left, right=under.along.right)
    width = entry(rel.liner_length, name, left=under.across.left, right=under.across.right)
    area = entry(rel.liner_area, name, length=length, width=width, cautions=notes)
    length_order, width_order = (
        entry(rel.ordered, name, net=net, allowance=lining.allowance, sale_unit=lining.sale_unit)
        for net in (length, width)
    )
    order = entry(rel.liner_area, name, length=length_order, width=width_order, cautions=[rules.MEASURE_BEFORE_CUT()])
    bought = buying(lining, under, length_order.value, width_order.value, marks, rise) if lining.rolls else None
    made = (
        bought.panels
        if bought
        else panels(
            length_order.value,
            width_order.value,
            (under.along, under.across),
            (lining.stock_width, lining.stock_length),
            lining.seam_lap,
            rise,
        )
    )
    seams = sum(seam.length for seam in made.seams)
    laps = entry(rel.seam_lap_area, name, seam_length=seams, lap=lining.seam_lap)
    made_area = entry(rel.liner_made_area, name, order=order, laps=laps)
    mass = entry(rel.liner_mass, name, **stuff_of(lining), made=made_area)
    seam_notes = [
        note
        for note, holds in (
            (rules.SEAM_UNDER_WATER(), made.depth > 1e-9),
            (rules.SEAM_AT_LOWEST(), any(seam.lowest for seam in made.seams)),
        )
        if holds
    ]
    depth = max(pool.bowl.deepest for pool in under.laid)
    freeboard = max(pool.rim_level - pool.level for pool in under.laid)
    by_rule, short = [], []
    for sheet, net, turn in ((under.along, length, under.turn_deg), (under.across, width, under.turn_deg + 90.0)):
        rule = entry(
            rel.rule_size, name, rim_length=under.rims.extent(turn), depth=depth, freeboard=freeboard, edge=under.edge
        )
        by_rule.append(rule)
        if net.value > rule.value + 1e-6:
            over = int(np.sum(sheet.lefts + sheet.rights > rule.value))
            note = rules.RULE_FALLS_SHORT(
                short=(net.value - rule.value, LENGTH), lines=(over, COUNT), looked_at=(len(sheet.offsets), COUNT)
            )
            short.append(
                entry(
                    rel.rule_shortfall,
                    f"{name}, {'length' if sheet is under.along else 'width'}",
                    length=net,
                    rule=rule,
                    cautions=[note],
                )
            )
    laid = {side: _fabric(name, getattr(lining, side), side, under, lining, length, width) for side in SIDES}

    def of(side: str, what: str) -> Entry | None:
        fabric = laid[side]
        return None if fabric is None else getattr(fabric, what)

    return LinerResult(
        name=name,
        liner_length=length,
        liner_width=width,
        liner_area=area,
        liner_turn=entry(rel.turned, name, turn=under.turn_deg),
        liner_length_order=length_order,
        liner_width_order=width_order,
        liner_area_order=order,
        liner_waste=entry(rel.waste, name, order=order, net=area),
        liner_mass=mass,
        carriers=entry(rel.carriers, name, mass=mass, carry=lining.carry, cautions=[rules.LIFT_LINER_TOGETHER()]),
        rule_length=by_rule[0],
        rule_width=by_rule[1],
        rule_shortfall=tuple(short),
        panel_count=entry(rel.panel_count, name, panels=made.count, cautions=seam_notes),
        seam_length=entry(rel.seam_length, name, seams=[seam.length for seam in made.seams]),
        seam_lap_area=laps,
        liner_made_area=made_area,
        seam_depth=entry(
            rel.seam_depth,
            name,
            at_rest=[seam.depth - rise for seam in made.seams],
            water_rise=rise,
            cautions=seam_notes,
        )
        if made.seams
        else None,
        **{f"{side}_{key}": of(side, what) for side in laid for key, what in _FABRIC_KEYS},
        bought=bought,
        panels=made,
        under=under,
        strips={side: fabric.strips_of for side, fabric in laid.items() if fabric},
    )


_FABRIC_KEYS = (
    ("area", "area"),
    ("strips", "strips"),
    ("area_order", "order"),
    ("waste", "waste"),
    ("mass", "mass"),
)


def _fabric(
    name: str, fabric: Fabric | None, side: str, under: Under, lining: Lining, liner_length: Entry, liner_width: Entry
) -> _FabricFigures | None:
    """One fabric: under the whole liner; over it up to the rim."""
    if fabric is None:
        return None
    surfaces = [value for rim, strip in under.areas for value in ((rim, strip) if side == "underlay" else (rim,))]
    area = entry(rel.true_area, name, surfaces=surfaces)
    less = 0.0 if side == "underlay" else 2 * under.edge
    along, across = liner_length.value - less, liner_width.value - less
    width, lap = float(fabric.roll_width), float(fabric.lap)
    strips = entry(rel.strip_count, name, across=across, roll_width=width, lap=lap)
    joins = sum(len(strip) - 1 for strip in pieces_of(round(strips.value), along, float(fabric.roll_length), lap))
    joined = [rules.FABRIC_JOINED()] if joins else []
    order = entry(
        rel.strips_area,
        name,
        cautions=joined,
        strips=strips,
        roll_width=width,
        along=along,
        joins=float(joins),
        lap=lap,
    )
    over = strips.value * (width - lap) + lap - across
    return _FabricFigures(
        area=area,
        strips=strips,
        order=order,
        waste=entry(rel.waste, name, order=order, net=area),
        mass=entry(rel.fabric_mass, name, mass=fabric.mass, area=order),
        strips_of=Strips(name, round(strips.value), along, over),
    )


def _problems(lining: Lining, pools: tuple[str, ...]) -> list[Problem]:
    found = []
    covered: dict[str, str] = {}
    for index, liner in enumerate(lining.liners):
        for number, name in enumerate(liner.covers):
            path = ("lining", "liners", index, "covers")
            if name not in pools:
                found.append(Problem(path, words(f"no pool is called '{name}'"), words(f"pools of this option: {', '.join(pools)}"),
                                     words("choose one of these, or rename the pool")))  # fmt: skip
            elif name in covered or name in liner.covers[:number]:
                found.append(Problem(path, words(f"'{name}' lies under '{covered.get(name, liner.name)}' already"), words("each pool under one liner"),
                                     words("take it out of one of the two")))  # fmt: skip
            covered.setdefault(name, liner.name)
    sides: list[tuple[Path, float]] = [
        (("lining", "stock_width"), lining.stock_width),
        (("lining", "stock_length"), lining.stock_length),
    ]
    sides += [
        (("lining", "rolls", index, field), getattr(roll, field))
        for index, roll in enumerate(lining.rolls)
        for field in ("width", "length")
    ]
    found += [_narrow(path, size, lining.seam_lap, "seam lap") for path, size in sides if size < lining.seam_lap + GAIN]
    for side in ("underlay", "overlay"):
        fabric = getattr(lining, side)
        for field in ("roll_width", "roll_length") if fabric is not None else ():
            if getattr(fabric, field) < fabric.lap + GAIN:
                found.append(_narrow(("lining", side, field), getattr(fabric, field), fabric.lap, "lap"))
    return found


def _narrow(path: Path, size: float, lap: float, what: str) -> Problem:
    return Problem(
        path,
        words("{size} gains only {gain} a piece over the lap", size=(size, LENGTH), gain=(size - lap, LENGTH)),
        words(f"at least {{gain}} more than the {what} of {{lap}}", gain=(GAIN, LENGTH), lap=(lap, LENGTH)),
        words("choose a wider or longer one, or a smaller lap"),
    )
