"""The berm: straight on level ground, or with the outline of its top on the existing ground; and what is wrong with
one, in words.
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
from pondkit.geometry.mound import CELLS, Heap, Heaped, Mound, heap, heaped, mound, over_what, spread, toe
from pondkit.geometry.outline import Placed, entered_shape
from pondkit.geometry.terrain import FAR_BANK, Terrain, TooSteep
from pondkit.trades.earthwork import formulas as rel
from pondkit.trades.earthwork.cautions import (
    BERM_IN_REACH,
    BERM_MAY_LACK,
    BERM_MAY_SPREAD,
    BERM_RIM_UNKNOWN,
    BERM_SETTLES,
    BERM_UPRIGHT_ENDS,
)
from pondkit.trades.earthwork.inputs import Berm
from pondkit.trades.earthwork.results import Structures
from pondkit.trades.pools.results import PoolResult


def spreads(berm: Berm) -> Problem:
    """Problem of sides so flat that they never meet the ground."""
    return Problem(
        ("earth", "berm", "side_slope"),
        words(
            "sides of {slope} horizontal to 1 vertical do not bring the berm down to the ground",
            slope=(berm.side_slope, RATIO),
        ),
        words("sides that meet the ground within {far} of its top", far=(FAR_BANK, LENGTH)),
        words(
            "make the sides steeper or the outline larger, set the berm where the ground falls less, or enter a lower "
            "top"
        ),
    )


def over_spoil(top: float, most: float) -> Problem:
    """Problem of a top entered higher than the spoil suffices for; ``most``: highest top [m]."""
    return Problem(
        ("earth", "berm", "top_level"),
        words("the spoil does not fill a berm with its top at {top}", top=(top, LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower its top, make its outline smaller or its sides steeper, or leave its top out to have it solved"),
    )


def over_rim(top: float, most: float, name: str) -> Problem:
    """Problem of a top entered above the rim [m] of a body that the berm hides."""
    return Problem(
        ("earth", "berm", "top_level"),
        words(f"a berm with its top at {{top}} buries the rim of the {name}", top=(top, LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower the berm, raise what it hides, or leave its top out to have it solved up to there"),
    )


def no_soil(top: float, lowest: float, body: float) -> Problem:
    """Problem of a berm without soil: its top [m] is below the ground, or the body inside [m³] fills it."""
    if top <= lowest:
        return Problem(
            ("earth", "berm", "top_level"),
            words("its top at {top} stands over no ground", top=(top, LENGTH)),
            words("over {lowest}", lowest=(lowest, LENGTH)),
            words("raise its top, or move it to where the ground is lower"),
        )
    return Problem(
        ("earth", "berm", "body"),
        words("the body inside takes {body}", body=(body, VOLUME)),
        words("less than the berm itself"),
        words("make the berm larger or higher, or the body smaller"),
    )


def on_liner(name: str, shared: float) -> Problem:
    """Problem of a toe that covers a liner's edge, over a plan area ``shared`` [m²]."""
    return Problem(
        ("earth", "berm", "at"),
        words(f"its toe comes onto the liner's edge of '{name}' by {{shared}}", shared=(shared, AREA)),
        words("a toe outside the liner's edge: soil over the edge draws water out of the pool"),
        words("move the berm away, make its outline smaller, its sides steeper or its top lower"),
    )


def buries(berm: Berm, height: float, allowed: float) -> Problem:
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


def no_room(berm: Berm, berm_volume: float) -> Problem:
    """Problem of a body inside the berm that is no smaller than the berm itself, ``berm_volume`` [m³]."""
    return Problem(
        ("earth", "berm", "body"),
        words("the body inside takes {body}", body=(float(berm.body), VOLUME)),
        words("less than the berm itself, {whole}", whole=(berm_volume, VOLUME)),
        words("make the berm longer, wider or higher, or the body smaller"),
    )


def too_high(berm: Berm, most: float) -> Problem:
    """Problem of a height entered that the spoil does not suffice for; ``most``: greatest height [m]."""
    return Problem(
        ("earth", "berm", "height"),
        words("the spoil does not fill a berm {high} high", high=(float(berm.height or 0.0), LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower, shorten or narrow the berm, or leave its height out to have it solved"),
    )


TOUCH = 1e-4  # m²: a toe that shares less with the liner's edge lies beside it


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
        liners: By pool: the liner with its edge if the pool is lined, its rim if not.
    """

    mound: Mound
    heap: Heap
    ground: Terrain
    hides: tuple[HiddenBody, ...]
    liners: tuple[Footprint, ...]


make_berm_on_ground = remembered(BermOnGround)


@dataclass(frozen=True, eq=False)
class BermFigures:
    """A berm's entries by key, its problems, whether it uses all the spoil, and its plan."""

    entries: dict[str, Any]
    problem: Problem | None = None
    uses_all: bool = False
    drawn: Heaped | None = None


def straight_berm(berm: Berm, packed: Entry) -> BermFigures:
    """A berm without an outline, on level ground: as entered, or as high as the spoil and the hidden bodies allow."""
    shape = {
        "length": berm.length,
        "top_width": berm.top_width,
        "side_slope": berm.side_slope,
        "end_slope": 0.0 if berm.end_slope is None else berm.end_slope,
        "body": berm.body,
    }
    notes = [BERM_SETTLES(), *([BERM_UPRIGHT_ENDS()] if berm.end_slope is None else [])]
    figures: dict[str, Any] = {}
    most = entry(rel.berm_height, "", source=USER, cautions=notes, berm=packed, **shape)
    height: Entry | float = most if berm.height is None else float(berm.height)
    high = most.value if berm.height is None else float(berm.height)
    if high > most.value + 1e-9:
        return BermFigures(figures, too_high(berm, most.value))
    if berm.height is None:
        figures["berm_height"] = most
    if berm.hidden_rim is not None:
        allowed = entry(
            rel.berm_height_allowed,
            "",
            cautions=[BERM_IN_REACH()],
            hidden_rim=berm.hidden_rim,
            rim_margin=berm.rim_margin,
        )
        if allowed.value <= 0 or (berm.height is not None and high > allowed.value + 1e-9):
            return BermFigures(figures, buries(berm, high, allowed.value))
        if berm.height is not None or most.most > allowed.value:
            figures["berm_height_allowed"] = allowed  # the excess is hauled away
        if high > allowed.value:
            height = high = allowed.value
    volume = entry(rel.berm_volume, "", source=USER, cautions=notes, height=height, **shape)
    if volume.value <= 0:
        return BermFigures(figures, no_room(berm, volume.value + berm.body))
    figures["berm_volume"] = volume if isinstance(height, Entry) else _enough(volume, packed)
    figures["berm_base"] = entry(
        rel.berm_base, "", source=USER, top_width=berm.top_width, side_slope=berm.side_slope, height=height
    )
    return BermFigures(figures, uses_all=isinstance(height, Entry))


def _enough(volume: Entry, packed: Entry) -> Entry:
    """The volume of a berm of fixed height, with a caution if the spoil may not suffice."""
    over = packed.least - volume.value
    return with_cautions(
        volume,
        *BERM_MAY_LACK.where(over, packed.value - volume.value, packed.most - volume.value, short=(-over, VOLUME)),
    )


def drawn_berm(berm: Berm, packed: Entry, placed: BermOnGround) -> BermFigures:
    """A berm with an outline, on the existing ground: its top as entered, or as high as the spoil and the hidden
    bodies allow.

    Args:
        berm: Its inputs.
        packed: Compacted volume of the spoil.
        placed: The berm on its ground.
    """
    figures: dict[str, Any] = {}
    heap, body = placed.heap, float(berm.body)
    solved: Entry | None = None
    if berm.top_level is None:
        if heap.volume(heap.most) - body < packed.value:
            return BermFigures(figures, spreads(berm))
        solved = figures["berm_top"] = _solved_top(berm, packed, heap)
        top = solved.value
    else:
        top = float(berm.top_level)
        if heap.volume(top) - body > packed.value * (1 + 1e-9):
            return BermFigures(figures, over_spoil(top, rel.berm_top(packed.value, heap, body)))
    try:
        lines = toe(placed.mound, top, placed.ground)
        near = [hidden for hidden in placed.hides if lines and spread(lines).intersects(hidden.plan)]
        allowed = _allowed_top(berm, placed, near)
        if allowed is not None:
            if solved is None and top > allowed.value + 1e-9:
                return BermFigures(figures, over_rim(top, allowed.value, allowed.subject))
            if solved is None or solved.most > allowed.value:
                figures["berm_top_allowed"] = allowed
            if top > allowed.value:
                top, solved = allowed.value, None
                lines = toe(placed.mound, top, placed.ground)
    except TooSteep:
        return BermFigures(figures, spreads(berm))
    notes = [BERM_SETTLES(), *(BERM_RIM_UNKNOWN(name=hidden.name) for hidden in near if hidden.rim is None)]
    volume = entry(rel.berm_volume_drawn, "", source=USER, cautions=notes, heap=heap, top=solved or top, body=body)
    if volume.value <= 0:
        return BermFigures(figures, no_soil(top, heap.lowest, body))
    figures["berm_volume"] = volume if solved else _enough(volume, packed)
    plans = [spread(lines), *_ends(placed, solved)]
    areas = [float(plan.area) for plan in plans]
    figures["berm_area"] = entry(rel.berm_area, "", area=Range(min(areas), areas[0], max(areas), USER))
    figures["berm_toe_clearance"], problem = _clearances(placed, plans)
    return BermFigures(figures, problem, solved is not None, heaped("berm", placed.mound, top, placed.ground, lines))


def _solved_top(berm: Berm, packed: Entry, heap: Heap) -> Entry:
    """Level of the top that uses all the spoil, limited at the high end to the highest top whose sides still meet the
    ground.
    """
    body = float(berm.body)
    most = heap.volume(heap.most) - body
    notes = [BERM_SETTLES(), *([BERM_MAY_SPREAD(top=(heap.most, LENGTH))] if most < packed.most else [])]
    volume = Range(packed.least, packed.value, min(packed.most, most), packed.source)
    return entry(rel.berm_top, "", source=USER, cautions=notes, berm=volume, heap=heap, body=body)


def _allowed_top(berm: Berm, placed: BermOnGround, near: Sequence[HiddenBody]) -> Entry | None:
    """Highest level of the top that leaves the rims of the hidden bodies exposed; None if no rim is entered."""
    caps = [
        entry(
            rel.berm_top_allowed,
            hidden.name,
            source=USER,
            cautions=[BERM_IN_REACH()],
            rim=hidden.rim,
            rim_margin=berm.rim_margin,
            beside=placed.mound.beyond_crest(hidden.plan),
            side_slope=berm.side_slope,
        )
        for hidden in near
        if hidden.rim is not None
    ]
    return min(caps, key=lambda cap: cap.value, default=None)


def _clearances(placed: BermOnGround, plans: Sequence[Plan]) -> tuple[tuple[Entry, ...], Problem | None]:
    """(distance from the toe to each liner, problem of the first liner covered or None). ``plans``: the berm's plan at
    its typical top, then at the ends of the range.
    """
    aparts = [over_what(plan, placed.liners) for plan in plans]
    clear = []
    problem = None
    for liner, distances_shared in zip(placed.liners, zip(*aparts, strict=True), strict=True):
        away = [distance_shared for distance_shared, _ in distances_shared]
        distance = Range(min(away), away[0], max(away), USER)
        clear.append(entry(rel.berm_toe_clearance, f"berm / {liner.name}", distance=distance))
        shared = distances_shared[0][1]
        if shared > TOUCH and problem is None:
            problem = on_liner(liner.name, shared)
    return tuple(clear), problem


def _ends(placed: BermOnGround, solved: Entry | None) -> list[Plan]:
    """Plan of the berm with its top at each end of the range solved for; empty where its sides do not
    meet the ground.
    """
    if solved is None or solved.low is None:
        return []
    plans = []
    for top in (solved.least, solved.most):
        with contextlib.suppress(TooSteep):
            lines = toe(placed.mound, top, placed.ground)
            if lines:
                plans.append(spread(lines))
    return plans


RUNG = 0.5  # m: first height of a heap above the ground; doubled until it suffices
RUNGS = 8
ROUGH = 1000  # cells for choosing that height, and margin of its volume over that required
SPARE = 0.1


def on_ground(
    berm: Berm | None,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    structures: Structures,
    dig: float,
    edges: Mapping[str, float],
) -> BermOnGround | Problem | None:
    """The berm on the ground, or its problem; None if no berm has an outline.

    Args:
        berm: Its inputs; None if the option has none.
        pools: Those without problems.
        ground: Existing ground in site axes; None if it has a problem.
        structures: Structures in the ground.
        dig: Bank volume of the cut, the upper limit for the berm [m³].
        edges: Width of liner beyond the rim, by name of each lined pool [m].
    """
    if berm is None or berm.outline is None or ground is None:
        return None
    try:
        shape = entered_shape(berm.outline, ("earth", "berm", "outline"))
        bodies = tuple(structure for structure in structures.each if not structure.wall)
        placed = Placed(float(berm.at[0]), float(berm.at[1]), float(berm.turn_deg))
        shape_of_berm = mound(shape, placed, float(berm.side_slope), tuple(body.body.foot for body in bodies))
        top = None if berm.top_level is None else float(berm.top_level)
        high = _heap(shape_of_berm, ground, dig + float(berm.body), top)
    except Trouble as trouble:
        return trouble.problems[0]
    liners = tuple(
        dig_footprint(pool.name, liner.surface.pool.shape, liner.placed, liner.rim + edges.get(pool.name, 0.0))
        for pool in pools
        for liner in [pool.surfaces.liner]
    )
    hides = tuple(make_hidden(body.name, body.body.foot, body.rim) for body in bodies)
    return make_berm_on_ground(shape_of_berm, high, ground, hides, liners)


def _heap(berm_mound: Mound, ground: Terrain, volume: float, top: float | None) -> Heap:
    """A heap high enough for a top or a volume, unchanged for small changes of volume so that it is remembered.

    Raises: Trouble if its sides do not meet the ground.
    """
    if top is not None:
        return _heaped(berm_mound, top, ground)
    base = math.floor(float(ground.at(berm_mound.line).min()))
    top_tried = base
    for rung in range(RUNGS):
        most = base + 1.0 + RUNG * 2**rung
        try:
            rough = _heaped(berm_mound, most, ground, ROUGH)
        except Trouble:
            if top_tried == base:
                raise
            break  # as high as it goes
        top_tried = most
        if rough.volume(most) >= (1 + SPARE) * volume:
            break
    return _heaped(berm_mound, top_tried, ground)


@remembered
def _heaped(berm_mound: Mound, most: float, ground: Terrain, cells: int = CELLS) -> Heap:
    try:
        return heap(berm_mound, most, ground, cells)
    except TooSteep:
        raise Trouble(
            Problem(
                ("earth", "berm", "side_slope"),
                words(
                    "sides of {slope} horizontal to 1 vertical do not bring the berm down to the ground",
                    slope=(berm_mound.slope, RATIO),
                ),
                words("sides that meet the ground within {far} of its top", far=(FAR_BANK, LENGTH)),
                words("make the sides steeper, set it where the ground falls less, or enter a lower top"),
            )
        ) from None
