"""What is built of the spoil: the berm, straight on level ground or with the outline of its top on the existing ground,
and the banks outside the rim lines of the pools.
"""

import contextlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pondkit.core.entry import USER, Entry, Range, entry, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Trouble
from pondkit.core.sentence import words
from pondkit.core.units import AREA, LENGTH, RATIO, VOLUME
from pondkit.geometry.footprint import Footprint, Plan, dig_footprint
from pondkit.geometry.mound import (
    CELLS,
    Bank,
    Heap,
    Heaped,
    Mound,
    drawn_bank,
    heap,
    heaped,
    mound,
    outer_banks,
    over_what,
    spread,
    toe,
)
from pondkit.geometry.outline import Placed, entered_shape
from pondkit.geometry.terrain import FAR_BANK, Terrain, TooSteep
from pondkit.geometry.trench import Trenches
from pondkit.trades.earthwork import formulas as rel
from pondkit.trades.earthwork.cautions import (
    BANK_HOLDS_WATER,
    BANK_MAY_SPREAD,
    BERM_IN_REACH,
    BERM_MAY_LACK,
    BERM_MAY_SPREAD,
    BERM_RIM_UNKNOWN,
    BERM_SETTLES,
    BERM_UPRIGHT_ENDS,
)
from pondkit.trades.earthwork.inputs import Berm, Earth
from pondkit.trades.earthwork.results import Structures
from pondkit.trades.pools.results import PoolResult

LEAST_OVERLAP = 1e-4  # m²: a toe that shares less with the liner's edge lies beside it
FIRST_HEIGHT = 0.5  # m: of a heap above the ground, tried first; doubled until the heap holds the volume
DOUBLINGS = 8
ROUGH_CELLS = 1000  # for choosing that height, and share by which its volume is to exceed the one required
SPARE_VOLUME = 0.1


def _too_flat(side_slope: float) -> Problem:
    """Problem of sides so flat that they do not meet the ground."""
    return Problem(
        ("earth", "berm", "side_slope"),
        words(
            "sides of {slope} horizontal to 1 vertical do not bring the berm down to the ground",
            slope=(side_slope, RATIO),
        ),
        words("sides that meet the ground within {far} of its top", far=(FAR_BANK, LENGTH)),
        words(
            "make the sides steeper or the outline larger, set the berm where the ground falls less, or enter a lower "
            "top"
        ),
    )


def _top_over_spoil(top: float, most: float) -> Problem:
    """Problem of a top entered higher than the spoil fills; ``most``: the highest that it fills [m]."""
    return Problem(
        ("earth", "berm", "top_level"),
        words("the spoil does not fill a berm with its top at {top}", top=(top, LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower its top, make its outline smaller or its sides steeper, or leave its top out to have it solved"),
    )


def _top_over_rim(top: float, most: float, name: str) -> Problem:
    """Problem of a top entered above the rim [m] of a body that the berm hides."""
    return Problem(
        ("earth", "berm", "top_level"),
        words(f"a berm with its top at {{top}} buries the rim of the {name}", top=(top, LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower the berm, raise what it hides, or leave its top out to have it solved up to there"),
    )


def _no_soil(top: float, lowest: float, body: float) -> Problem:
    """Problem of a berm without soil: its top [m] is below the ground, or the body inside [m³] fills it."""
    if top <= lowest:
        return Problem(
            ("earth", "berm", "top_level"),
            words("its top at {top} is not above the ground anywhere", top=(top, LENGTH)),
            words("above {lowest}, the lowest ground under it", lowest=(lowest, LENGTH)),
            words("raise its top, or move it to where the ground is lower"),
        )
    return Problem(
        ("earth", "berm", "body"),
        words("the body inside takes {body}", body=(body, VOLUME)),
        words("less than the berm itself"),
        words("make the berm larger or higher, or the body smaller"),
    )


def _toe_on_liner(name: str, shared: float) -> Problem:
    """Problem of a toe that covers a liner's edge, over a plan area ``shared`` [m²]."""
    return Problem(
        ("earth", "berm", "at"),
        words(f"its toe comes onto the liner's edge of '{name}' by {{shared}}", shared=(shared, AREA)),
        words("a toe outside the liner's edge: soil over the edge draws water out of the pool"),
        words("move the berm away, make its outline smaller, its sides steeper or its top lower"),
    )


def _height_over_rim(berm: Berm, height: float, allowed: float) -> Problem:
    """Problem of a berm on level ground that is higher [m] than the rim of the body it hides allows."""
    return Problem(
        ("earth", "berm", "hidden_rim" if berm.height is None else "height"),
        words("a berm {high} high buries the rim of what it hides", high=(height, LENGTH)),
        words("no higher than {allowed}", allowed=(max(allowed, 0.0), LENGTH)),
        words(
            "lower the berm, raise what it hides, or leave its height out to have it solved up to there"
            if allowed > 0
            else "enter a smaller margin, or raise the rim of what it hides"
        ),
    )


def _body_too_large(berm: Berm, berm_volume: float) -> Problem:
    """Problem of a body inside the berm that is no smaller than the berm itself, ``berm_volume`` [m³]."""
    return Problem(
        ("earth", "berm", "body"),
        words("the body inside takes {body}", body=(float(berm.body), VOLUME)),
        words("less than the berm itself, {whole}", whole=(berm_volume, VOLUME)),
        words("make the berm longer, wider or higher, or the body smaller"),
    )


def _height_over_spoil(berm: Berm, most: float) -> Problem:
    """Problem of a height entered that the spoil does not fill; ``most``: the greatest that it fills [m]."""
    return Problem(
        ("earth", "berm", "height"),
        words("the spoil does not fill a berm {high} high", high=(float(berm.height or 0.0), LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower, shorten or narrow the berm, or leave its height out to have it solved"),
    )


@dataclass(frozen=True, eq=False)
class HiddenBody:
    """A body that the berm may hide: its name, its plan, and the level of its rim [m] or None if not entered."""

    name: str
    plan: Plan
    rim: float | None


make_hidden = remembered(HiddenBody)


@dataclass(frozen=True, eq=False)
class BermOnGround:
    """A berm on the ground.

    Attributes:
        mound: Its shape, before the level of its top is known.
        heap: Its volume and plan by level of top.
        ground: Existing ground.
        hides: Bodies of the water side that have a place.
        liners: Plan of each pool out to the edge of its liner, or to its rim if it has none.
    """

    mound: Mound
    heap: Heap
    ground: Terrain
    hides: tuple[HiddenBody, ...]
    liners: tuple[Footprint, ...]


make_berm_on_ground = remembered(BermOnGround)


@dataclass(frozen=True, eq=False)
class BermFigures:
    """Figures of a berm.

    Attributes:
        entries: By key.
        problem: Why it cannot be built as entered.
        uses_all: True if it uses all the spoil, so that none is hauled.
        plan: Its plan; None for a straight berm.
    """

    entries: dict[str, Any]
    problem: Problem | None = None
    uses_all: bool = False
    plan: Heaped | None = None


def straight_berm(berm: Berm, spoil: Entry) -> BermFigures:
    """A berm without an outline, on level ground: as entered, or as high as the spoil and the hidden bodies allow.

    Args:
        berm: Its inputs.
        spoil: Compacted volume of the spoil.
    """
    shape = {
        "length": berm.length,
        "top_width": berm.top_width,
        "side_slope": berm.side_slope,
        "end_slope": 0.0 if berm.end_slope is None else berm.end_slope,
        "body": berm.body,
    }
    notes = [BERM_SETTLES(), *([BERM_UPRIGHT_ENDS()] if berm.end_slope is None else [])]
    figures: dict[str, Any] = {}
    of_all_spoil = entry(rel.berm_height, "", source=USER, cautions=notes, spoil=spoil, **shape)
    height: Entry | float = of_all_spoil if berm.height is None else float(berm.height)
    high = of_all_spoil.value if berm.height is None else float(berm.height)
    if high > of_all_spoil.value + 1e-9:
        return BermFigures(figures, _height_over_spoil(berm, of_all_spoil.value))
    if berm.height is None:
        figures["berm_height"] = of_all_spoil
    if berm.hidden_rim is not None:
        allowed = entry(
            rel.berm_height_allowed,
            "",
            cautions=[BERM_IN_REACH()],
            hidden_rim=berm.hidden_rim,
            rim_margin=berm.rim_margin,
        )
        if allowed.value <= 0 or (berm.height is not None and high > allowed.value + 1e-9):
            return BermFigures(figures, _height_over_rim(berm, high, allowed.value))
        if berm.height is not None or of_all_spoil.most > allowed.value:
            figures["berm_height_allowed"] = allowed  # the excess is hauled away
        if high > allowed.value:
            height = high = allowed.value
    volume = entry(rel.straight_berm_volume, "", source=USER, cautions=notes, height=height, **shape)
    if volume.value <= 0:
        return BermFigures(figures, _body_too_large(berm, volume.value + berm.body))
    figures["berm_volume"] = volume if isinstance(height, Entry) else _with_shortfall(volume, spoil)
    figures["berm_base"] = entry(
        rel.berm_base, "", source=USER, top_width=berm.top_width, side_slope=berm.side_slope, height=height
    )
    return BermFigures(figures, uses_all=isinstance(height, Entry))


def _with_shortfall(volume: Entry, spoil: Entry) -> Entry:
    """The volume of a berm of fixed height, with a caution if the spoil may not be enough."""
    over = spoil.least - volume.value
    return with_cautions(
        volume,
        *BERM_MAY_LACK.where(over, spoil.value - volume.value, spoil.most - volume.value, short=(-over, VOLUME)),
    )


def outlined_berm(berm: Berm, spoil: Entry, on_ground: BermOnGround) -> BermFigures:
    """A berm with an outline, on the existing ground: its top as entered, or as high as the spoil and the hidden
    bodies allow.

    Args:
        berm: Its inputs.
        spoil: Compacted volume of the spoil.
        on_ground: The berm on its ground.
    """
    figures: dict[str, Any] = {}
    heap, body = on_ground.heap, float(berm.body)
    solved: Entry | None = None
    if berm.top_level is None:
        if heap.volume(heap.most) - body < spoil.value:
            return BermFigures(figures, _too_flat(berm.side_slope))
        solved = figures["berm_top"] = _solved_top(berm, spoil, heap)
        top = solved.value
    else:
        top = float(berm.top_level)
        if heap.volume(top) - body > spoil.value * (1 + 1e-9):
            return BermFigures(figures, _top_over_spoil(top, rel.berm_top(spoil.value, heap, body)))
    try:
        lines = toe(on_ground.mound, top, on_ground.ground)
        hidden_bodies = [hidden for hidden in on_ground.hides if lines and spread(lines).intersects(hidden.plan)]
        allowed = _allowed_top(berm, on_ground.mound, hidden_bodies)
        if allowed is not None:
            if solved is None and top > allowed.value + 1e-9:
                return BermFigures(figures, _top_over_rim(top, allowed.value, allowed.subject))
            if solved is None or solved.most > allowed.value:
                figures["berm_top_allowed"] = allowed
            if top > allowed.value:
                top, solved = allowed.value, None
                lines = toe(on_ground.mound, top, on_ground.ground)
    except TooSteep:
        return BermFigures(figures, _too_flat(berm.side_slope))
    notes = [BERM_SETTLES(), *(BERM_RIM_UNKNOWN(name=hidden.name) for hidden in hidden_bodies if hidden.rim is None)]
    volume = entry(rel.outlined_berm_volume, "", source=USER, cautions=notes, heap=heap, top=solved or top, body=body)
    if volume.value <= 0:
        return BermFigures(figures, _no_soil(top, heap.lowest, body))
    figures["berm_volume"] = volume if solved else _with_shortfall(volume, spoil)
    plans = [spread(lines), *_plans_at_ends(on_ground, solved)]
    areas = [float(plan.area) for plan in plans]
    figures["berm_area"] = entry(rel.berm_area, "", area=Range(min(areas), areas[0], max(areas), USER))
    figures["berm_toe_clearance"], problem = _toe_clearances(on_ground.liners, plans)
    plan = heaped("berm", on_ground.mound, top, on_ground.ground, lines)
    return BermFigures(figures, problem, solved is not None, plan)


def _solved_top(berm: Berm, spoil: Entry, heap: Heap) -> Entry:
    """Level of the top that uses all the spoil, limited at the high end to the highest top whose sides still meet the
    ground.
    """
    body = float(berm.body)
    most = heap.volume(heap.most) - body
    notes = [BERM_SETTLES(), *([BERM_MAY_SPREAD(top=(heap.most, LENGTH))] if most < spoil.most else [])]
    volume = Range(spoil.least, spoil.value, min(spoil.most, most), spoil.source)
    return entry(rel.berm_top, "", source=USER, cautions=notes, spoil=volume, heap=heap, body=body)


def _allowed_top(berm: Berm, berm_mound: Mound, hidden_bodies: Sequence[HiddenBody]) -> Entry | None:
    """Highest level of the top that leaves the rims of the hidden bodies exposed; None if no rim is entered."""
    limits = [
        entry(
            rel.berm_top_allowed,
            hidden.name,
            source=USER,
            cautions=[BERM_IN_REACH()],
            rim=hidden.rim,
            rim_margin=berm.rim_margin,
            beside=berm_mound.beyond_crest(hidden.plan),
            side_slope=berm.side_slope,
        )
        for hidden in hidden_bodies
        if hidden.rim is not None
    ]
    return min(limits, key=lambda limit: limit.value, default=None)


def _toe_clearances(liners: tuple[Footprint, ...], plans: Sequence[Plan]) -> tuple[tuple[Entry, ...], Problem | None]:
    """(distance from the toe to each liner, problem of the first liner covered or None).

    Args:
        liners: Plan of each pool out to its liner's edge.
        plans: The berm's plan at its typical top, then at the ends of the range.
    """
    clearances = []
    problem = None
    # For each liner: its (distance, overlap) at each of the plans.
    by_liner = zip(*(over_what(plan, liners) for plan in plans), strict=True)
    for liner, at_plans in zip(liners, by_liner, strict=True):
        distances = [distance for distance, _ in at_plans]
        clearance = Range(min(distances), distances[0], max(distances), USER)
        clearances.append(entry(rel.berm_toe_clearance, f"berm / {liner.name}", distance=clearance))
        _, overlap = at_plans[0]
        if overlap > LEAST_OVERLAP and problem is None:
            problem = _toe_on_liner(liner.name, overlap)
    return tuple(clearances), problem


def _plans_at_ends(on_ground: BermOnGround, solved: Entry | None) -> list[Plan]:
    """Plan of the berm with its top at each end of its range, but for an end at which its sides do not meet the ground;
    empty if the top is entered, or has no range.
    """
    if solved is None or solved.low is None:
        return []
    plans = []
    for top in (solved.least, solved.most):
        with contextlib.suppress(TooSteep):
            lines = toe(on_ground.mound, top, on_ground.ground)
            if lines:
                plans.append(spread(lines))
    return plans


def place_on_ground(
    berm: Berm | None,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    structures: Structures,
    dig: float,
    edges: Mapping[str, float],
) -> BermOnGround | Problem | None:
    """The berm on the ground, or its problem; None if there is none with an outline, or no ground.

    Args:
        berm: Its inputs; None if the option has none.
        pools: Those without problems.
        ground: Existing ground in site axes; None if it has a problem.
        structures: Structures in the ground.
        dig: Bank volume of all that is dug, which the berm cannot exceed [m³].
        edges: Width of liner beyond the rim, by name of each lined pool [m].
    """
    if berm is None or berm.outline is None or ground is None:
        return None
    try:
        shape = entered_shape(berm.outline, ("earth", "berm", "outline"))
        bodies = tuple(structure for structure in structures.each if not structure.wall)
        placed = Placed(float(berm.at[0]), float(berm.at[1]), float(berm.turn_deg))
        berm_mound = mound(shape, placed, float(berm.side_slope), tuple(body.body.foot for body in bodies))
        top = None if berm.top_level is None else float(berm.top_level)
        berm_heap = _heap_for(berm_mound, ground, dig + float(berm.body), top)
    except Trouble as trouble:
        return trouble.problems[0]
    liners = tuple(
        dig_footprint(pool.name, liner.surface.pool.shape, liner.placed, liner.rim + edges.get(pool.name, 0.0))
        for pool in pools
        for liner in [pool.surfaces.liner]
    )
    hides = tuple(make_hidden(body.name, body.body.foot, body.rim) for body in bodies)
    return make_berm_on_ground(berm_mound, berm_heap, ground, hides, liners)


def _heap_for(berm_mound: Mound, ground: Terrain, volume: float, top: float | None) -> Heap:
    """A heap that reaches up to a top entered, or high enough to hold a volume [m³]. Its height goes in steps, so that
    small changes of volume meet the heap that is remembered.

    Raises: Trouble if its sides do not meet the ground.
    """
    if top is not None:
        return _heaped(berm_mound, top, ground)
    base = math.floor(float(ground.at(berm_mound.line).min()))  # up to 1 m below the ground
    top_tried = base
    for rung in range(DOUBLINGS):
        most = base + 1.0 + FIRST_HEIGHT * 2**rung
        try:
            rough = _heaped(berm_mound, most, ground, ROUGH_CELLS)
        except Trouble:
            if top_tried == base:
                raise
            break  # higher up its sides no longer meet the ground
        top_tried = most
        if rough.volume(most) >= (1 + SPARE_VOLUME) * volume:
            break
    return _heaped(berm_mound, top_tried, ground)


@remembered
def _heaped(berm_mound: Mound, most: float, ground: Terrain, cells: int = CELLS) -> Heap:
    try:
        return heap(berm_mound, most, ground, cells)
    except TooSteep:
        raise Trouble(_too_flat(berm_mound.slope)) from None


@dataclass(frozen=True, eq=False)
class OuterBanks:
    """Banks outside the rim lines of the pools: the soil of each, and of all together.

    Attributes:
        built: With crest and slope as entered.
        low, high: Narrower and steeper, and wider and flatter, by the share entered; ``high`` is None if it does not
            meet the ground.
        plans: Plans of those that have any soil.
    """

    built: Trenches
    low: Trenches
    high: Trenches | None
    plans: tuple[Heaped, ...]

    def entries(self) -> dict[str, Any]:
        """Their entries by key; a pool without a bank outside its rim has none."""
        high = self.high or self.built
        some = [ends for ends in zip(self.low.each, self.built.each, high.each, strict=True) if ends[1].volume > 0]
        bank_entries = tuple(
            entry(
                rel.outer_bank_volume,
                typical.name,
                cautions=[BANK_HOLDS_WATER()],
                volume=_user_range(low.volume, typical.volume, most.volume),
            )
            for low, typical, most in some
        )
        total_bank = _user_range(self.low.together, self.built.together, high.together)
        notes = () if self.high else (BANK_MAY_SPREAD(),)
        return {
            "outer_bank_volume": bank_entries,
            "total_outer_bank": entry(rel.total_outer_bank, "", cautions=notes, volume=total_bank),
        }


make_outer_banks = remembered(OuterBanks)


def _user_range(low: float, typical: float, high: float) -> Range:
    return Range(low, typical, high, USER)


def outer_banks_of(
    earth: Earth | None, pools: tuple[PoolResult, ...], ground: Terrain | None
) -> OuterBanks | Problem | None:
    """Banks outside the rim lines, or their problem; None if no crest of the bank is entered, or no ground.

    Args:
        earth: Inputs of the earthwork; None if the option has none.
        pools: Those without problems.
        ground: As it is; None if it has a problem.
    """
    if earth is None or earth.outer_bank is None or ground is None:
        return None
    (crest, slope), share = earth.outer_bank, float(earth.bank_within)
    banks = tuple(
        Bank(pool.name, dig.surface.pool.shape, dig.placed, dig.rim, dig.rim_level)
        for pool in pools
        for dig in [pool.surfaces.dig]
    )
    try:
        built = outer_banks(banks, crest, slope, ground)
        low = outer_banks(banks, crest * (1 - share), slope * (1 - share), ground) if share else built
        high: Trenches | None = built
        if share:
            try:
                high = outer_banks(banks, crest * (1 + share), slope * (1 + share), ground)
            except TooSteep:
                high = None
        plans = [drawn_bank(bank, crest, slope, ground) for bank in banks]
        return make_outer_banks(built, low, high, tuple(plan for plan in plans if plan))
    except TooSteep:
        return Problem(
            ("earth", "bank_slope"),
            words(
                "a bank that falls outward at {slope} horizontal to 1 vertical does not meet the ground",
                slope=(slope, RATIO),
            ),
            words("one that meets it within {far}", far=(FAR_BANK, LENGTH)),
            words("make its outer slope steeper, hold it by a wall, or lower the rim"),
        )
