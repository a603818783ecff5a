"""The berm: straight on level ground, or with the outline of its top on the ground as it is; and what is wrong with
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
    """Sides so flat that they nowhere meet the ground."""
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
    """A top entered higher [m] than the spoil fills; ``most`` is what it fills."""
    return Problem(
        ("earth", "berm", "top_level"),
        words("the spoil does not fill a berm with its top at {top}", top=(top, LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower its top, make its outline smaller or its sides steeper, or leave its top out to have it solved"),
    )


def over_rim(top: float, most: float, name: str) -> Problem:
    """A top entered over the rim [m] of a body that the berm hides."""
    return Problem(
        ("earth", "berm", "top_level"),
        words(f"a berm with its top at {{top}} buries the rim of the {name}", top=(top, LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower the berm, raise what it hides, or leave its top out to have it solved up to there"),
    )


def no_soil(top: float, lowest: float, body: float) -> Problem:
    """A berm that takes no soil: its top [m] lies under the ground, or the body inside [m³] fills it."""
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
    """A toe that comes onto a liner's edge, by so much plan area [m²]."""
    return Problem(
        ("earth", "berm", "at"),
        words(f"its toe comes onto the liner's edge of '{name}' by {{shared}}", shared=(shared, AREA)),
        words("a toe outside the liner's edge: soil over the edge draws water out of the pool"),
        words("move the berm away, make its outline smaller, its sides steeper or its top lower"),
    )


def buries(berm: Berm, height: float, allowed: float) -> Problem:
    """A berm on level ground that is higher [m] than the rim of what it hides allows."""
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


def no_room(berm: Berm, whole: float) -> Problem:
    """A body inside that is no smaller than the berm itself, ``whole`` [m³]."""
    return Problem(
        ("earth", "berm", "body"),
        words("the body inside takes {body}", body=(float(berm.body), VOLUME)),
        words("less than the berm itself, {whole}", whole=(whole, VOLUME)),
        words("make the berm longer, wider or higher, or the body smaller"),
    )


def too_high(berm: Berm, most: float) -> Problem:
    """A height entered that the spoil does not fill; ``most`` is what it fills [m]."""
    return Problem(
        ("earth", "berm", "height"),
        words("the spoil does not fill a berm {high} high", high=(float(berm.height or 0.0), LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower, shorten or narrow the berm, or leave its height out to have it solved"),
    )


TOUCH = 1e-4  # m²: a toe that shares less with the liner's edge lies beside it


@dataclass(frozen=True, eq=False)
class HiddenBody:
    """A body that the berm may hide: its name, its plan, and the level of its rim [m], None where not entered."""

    name: str
    plan: Plan
    rim: float | None


make_hidden = remembered(HiddenBody)


@dataclass(frozen=True, eq=False)
class BermOnGround:
    """A berm on its ground.

    Attributes:
        mound: Before its top is known.
        heap: Its parts, for tops as high as are asked for.
        ground: As it is.
        hides: Bodies of the water side that have a place.
        liners: The liner with its edge round each lined pool, the rim of each other; named by the pool.
    """

    mound: Mound
    heap: Heap
    ground: Terrain
    hides: tuple[HiddenBody, ...]
    liners: tuple[Footprint, ...]


make_berm_on_ground = remembered(BermOnGround)


@dataclass(frozen=True, eq=False)
class BermFigures:
    """A berm's entries by key, what is wrong with it, whether it uses all the spoil, and it as drawn."""

    entries: dict[str, Any]
    problem: Problem | None = None
    uses_all: bool = False
    drawn: Heaped | None = None


def straight_berm(berm: Berm, packed: Entry) -> BermFigures:
    """A berm without an outline, on level ground: as entered, or as high as the spoil and what it hides allow."""
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
            figures["berm_height_allowed"] = allowed  # what it cannot take is hauled
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
    """The volume of a berm whose height is fixed, with what is to be said where the spoil may not be enough for it."""
    over = packed.least - volume.value
    return with_cautions(
        volume,
        *BERM_MAY_LACK.where(over, packed.value - volume.value, packed.most - volume.value, short=(-over, VOLUME)),
    )


def drawn_berm(berm: Berm, packed: Entry, drawn: BermOnGround) -> BermFigures:
    """A berm with an outline, on the ground as it is: its top as entered, or as high as the spoil and what it hides
    allow.

    Args:
        berm: As entered.
        packed: The spoil, compacted.
        drawn: The berm on its ground.
    """
    figures: dict[str, Any] = {}
    heap, body = drawn.heap, float(berm.body)
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
        lines = toe(drawn.mound, top, drawn.ground)
        near = [hidden for hidden in drawn.hides if lines and spread(lines).intersects(hidden.plan)]
        allowed = _allowed_top(berm, drawn, near)
        if allowed is not None:
            if solved is None and top > allowed.value + 1e-9:
                return BermFigures(figures, over_rim(top, allowed.value, allowed.subject))
            if solved is None or solved.most > allowed.value:
                figures["berm_top_allowed"] = allowed
            if top > allowed.value:
                top, solved = allowed.value, None
                lines = toe(drawn.mound, top, drawn.ground)
    except TooSteep:
        return BermFigures(figures, spreads(berm))
    notes = [BERM_SETTLES(), *(BERM_RIM_UNKNOWN(name=hidden.name) for hidden in near if hidden.rim is None)]
    volume = entry(rel.berm_volume_drawn, "", source=USER, cautions=notes, heap=heap, top=solved or top, body=body)
    if volume.value <= 0:
        return BermFigures(figures, no_soil(top, heap.lowest, body))
    figures["berm_volume"] = volume if solved else _enough(volume, packed)
    plans = [spread(lines), *_ends(drawn, solved)]
    areas = [float(plan.area) for plan in plans]
    figures["berm_area"] = entry(rel.berm_area, "", area=Range(min(areas), areas[0], max(areas), USER))
    figures["berm_toe_clearance"], problem = _clearances(drawn, plans)
    return BermFigures(figures, problem, solved is not None, heaped("berm", drawn.mound, top, drawn.ground, lines))


def _solved_top(berm: Berm, packed: Entry, heap: Heap) -> Entry:
    """Level of the top that uses all the spoil; as high as the sides come down to the ground at the high end."""
    body = float(berm.body)
    most = heap.volume(heap.most) - body
    notes = [BERM_SETTLES(), *([BERM_MAY_SPREAD(top=(heap.most, LENGTH))] if most < packed.most else [])]
    taken = Range(packed.least, packed.value, min(packed.most, most), packed.source)
    return entry(rel.berm_top, "", source=USER, cautions=notes, berm=taken, heap=heap, body=body)


def _allowed_top(berm: Berm, drawn: BermOnGround, near: Sequence[HiddenBody]) -> Entry | None:
    """Highest level of the top at which the rims of what it hides stand out; None where none of them is entered."""
    caps = [
        entry(
            rel.berm_top_allowed,
            hidden.name,
            source=USER,
            cautions=[BERM_IN_REACH()],
            rim=hidden.rim,
            rim_margin=berm.rim_margin,
            beside=drawn.mound.beyond_crest(hidden.plan),
            side_slope=berm.side_slope,
        )
        for hidden in near
        if hidden.rim is not None
    ]
    return min(caps, key=lambda cap: cap.value, default=None)


def _clearances(drawn: BermOnGround, plans: Sequence[Plan]) -> tuple[tuple[Entry, ...], Problem | None]:
    """From the toe to each liner, and the first liner that it comes onto; ``plans`` are the berm's, first as drawn,
    then at its ends."""
    aparts = [over_what(plan, drawn.liners) for plan in plans]
    clear = []
    problem = None
    for liner, ways in zip(drawn.liners, zip(*aparts, strict=True), strict=True):
        away = [way for way, _ in ways]
        distance = Range(min(away), away[0], max(away), USER)
        clear.append(entry(rel.berm_toe_clearance, f"berm / {liner.name}", distance=distance))
        shared = ways[0][1]
        if shared > TOUCH and problem is None:
            problem = on_liner(liner.name, shared)
    return tuple(clear), problem


def _ends(drawn: BermOnGround, solved: Entry | None) -> list[Plan]:
    """What the berm covers with its top at the ends of the level that is solved for; where it does not come down
    there, nothing."""
    if solved is None or solved.low is None:
        return []
    found = []
    for top in (solved.least, solved.most):
        with contextlib.suppress(TooSteep):
            lines = toe(drawn.mound, top, drawn.ground)
            if lines:
                found.append(spread(lines))
    return found


RUNG = 0.5  # m: tops for which a heap is looked at stand so far over the ground, or twice, four times as far
RUNGS = 8
ROUGH = 1000  # cells by which a rung is found, and by how much its volume has to be over what is wanted there
SPARE = 0.1


def on_ground(
    berm: Berm | None,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    structures: Structures,
    dig: float,
    edges: Mapping[str, float],
) -> BermOnGround | Problem | None:
    """The berm on its ground, or what is wrong with it; None where none is drawn with an outline.

    Args:
        berm: As drawn; None where the option has none.
        pools: Those that could be worked out.
        ground: As it is, in site axes; None where it is in trouble.
        structures: What stands in the ground.
        dig: Bank measure of the cut, which no berm can outgrow [m³].
        edges: By name of each lined pool, how far the liner reaches beyond its rim [m].
    """
    if berm is None or berm.outline is None or ground is None:
        return None
    try:
        shape = entered_shape(berm.outline, ("earth", "berm", "outline"))
        bodies = tuple(structure for structure in structures.each if not structure.wall)
        placed = Placed(float(berm.at[0]), float(berm.at[1]), float(berm.turn_deg))
        made = mound(shape, placed, float(berm.side_slope), tuple(body.body.foot for body in bodies))
        top = None if berm.top_level is None else float(berm.top_level)
        high = _heap(made, ground, dig + float(berm.body), top)
    except Trouble as trouble:
        return trouble.problems[0]
    liners = tuple(
        dig_footprint(pool.name, liner.surface.pool.shape, liner.placed, liner.rim + edges.get(pool.name, 0.0))
        for pool in pools
        for liner in [pool.surfaces.liner]
    )
    hides = tuple(make_hidden(body.name, body.body.foot, body.rim) for body in bodies)
    return make_berm_on_ground(made, high, ground, hides, liners)


def _heap(made: Mound, ground: Terrain, volume: float, top: float | None) -> Heap:
    """A heap high enough for a top, or for a volume: the same one as long as a volume changes little.

    Raises: Trouble where its sides do not come down to the ground.
    """
    if top is not None:
        return _heaped(made, top, ground)
    base = math.floor(float(ground.at(made.line).min()))
    tried = base
    for rung in range(RUNGS):
        most = base + 1.0 + RUNG * 2**rung
        try:
            rough = _heaped(made, most, ground, ROUGH)
        except Trouble:
            if tried == base:
                raise
            break  # as high as it goes
        tried = most
        if rough.volume(most) >= (1 + SPARE) * volume:
            break
    return _heaped(made, tried, ground)


@remembered
def _heaped(made: Mound, most: float, ground: Terrain, cells: int = CELLS) -> Heap:
    try:
        return heap(made, most, ground, cells)
    except TooSteep:
        raise Trouble(
            Problem(
                ("earth", "berm", "side_slope"),
                words(
                    "sides of {slope} horizontal to 1 vertical do not bring the berm down to the ground",
                    slope=(made.slope, RATIO),
                ),
                words("sides that meet the ground within {far} of its top", far=(FAR_BANK, LENGTH)),
                words("make the sides steeper, set it where the ground falls less, or enter a lower top"),
            )
        ) from None
