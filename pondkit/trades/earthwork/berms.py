"""The berm: straight on level ground, or with the outline of its top on the ground as it is."""

import contextlib
from dataclasses import dataclass
from typing import Any

from pondkit.core.entry import USER, Entry, Range, entry, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import AREA, LENGTH, RATIO, VOLUME
from pondkit.geometry.ground import FAR_BANK, TooSteep
from pondkit.geometry.kept import Footprint, Plan
from pondkit.geometry.mound import Heap, Heaped, Mound, heaped, over_what, spread, toe
from pondkit.geometry.trench import Trenches
from pondkit.geometry.uneven import Terrain
from pondkit.trades.earthwork import relations as rel
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
from pondkit.trades.earthwork.inputs.earth import Berm

TOUCH = 1e-4  # m²: a toe that shares less with the liner's edge lies beside it


@dataclass(frozen=True, eq=False)
class Banks:
    """Banks outside the rim lines: what each takes, and all together; how long each is, its pool's ``rim_above_ground`` says.

    ``drawn`` are those that lie anywhere. ``low`` and ``high`` are built narrower and steeper, wider and flatter, by the share entered; ``high`` is
    None where those do not meet the ground.
    """

    built: Trenches
    low: Trenches
    high: Trenches | None
    drawn: tuple[Heaped, ...]

    def entries(self) -> dict[str, Any]:
        """Their entries by key; of pools that need none outside their rim there are none."""
        high = self.high or self.built
        some = [ends for ends in zip(self.low.each, self.built.each, high.each, strict=True) if ends[1].volume > 0]
        each = tuple(
            entry(
                rel.outer_bank_volume, one.name, cautions=[BANK_HOLDS_WATER()], built=_range(low.volume, one.volume, most.volume)
            )
            for low, one, most in some
        )  # fmt: skip
        whole = _range(self.low.together, self.built.together, high.together)
        notes = () if self.high else (BANK_MAY_SPREAD(),)
        return {
            "outer_bank_volume": each,
            "total_outer_bank": entry(rel.total_outer_bank, "", cautions=notes, together=whole),
        }


def _range(low: float, typical: float, high: float) -> Range:
    return Range(low, typical, high, USER)


make_banks = remembered(Banks)


@dataclass(frozen=True, eq=False)
class Hidden:
    """A body that the berm may hide: its name, its plan, and the level of its rim [m], None where not entered."""

    name: str
    plan: Plan
    rim: float | None


make_hidden = remembered(Hidden)


@dataclass(frozen=True, eq=False)
class BermDrawn:
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
    hides: tuple[Hidden, ...]
    liners: tuple[Footprint, ...]


make_berm_drawn = remembered(BermDrawn)


@dataclass(frozen=True, eq=False)
class Made:
    """A berm's entries by key, what is wrong with it, whether it uses all the spoil, and it as drawn."""

    entries: dict[str, Any]
    problem: Problem | None = None
    uses_all: bool = False
    drawn: Heaped | None = None


def straight_berm(berm: Berm, packed: Entry) -> Made:
    """A berm without an outline, on level ground: as entered, or as high as the spoil and what it hides allow."""
    shape = {
        "length": berm.length, "top_width": berm.top_width, "side_slope": berm.side_slope,
        "end_slope": 0.0 if berm.end_slope is None else berm.end_slope, "body": berm.body,
    }  # fmt: skip
    notes = [BERM_SETTLES(), *([BERM_UPRIGHT_ENDS()] if berm.end_slope is None else [])]
    found: dict[str, Any] = {}
    most = entry(rel.berm_height, "", source=USER, cautions=notes, berm=packed, **shape)
    height: Entry | float = most if berm.height is None else float(berm.height)
    high = most.value if berm.height is None else float(berm.height)
    if high > most.value + 1e-9:
        return Made(found, _too_high(berm, most.value))
    if berm.height is None:
        found["berm_height"] = most
    if berm.hidden_rim is not None:
        allowed = entry(
            rel.berm_height_allowed,
            "",
            cautions=[BERM_IN_REACH()],
            hidden_rim=berm.hidden_rim,
            rim_margin=berm.rim_margin,
        )
        if allowed.value <= 0 or (berm.height is not None and high > allowed.value + 1e-9):
            return Made(found, _buries(berm, high, allowed.value))
        if berm.height is not None or most.most > allowed.value:
            found["berm_height_allowed"] = allowed  # what it cannot take is hauled
        if high > allowed.value:
            height = high = allowed.value
    volume = entry(rel.berm_volume, "", source=USER, cautions=notes, height=height, **shape)
    if volume.value <= 0:
        return Made(found, _no_room(berm, volume.value + berm.body))
    found["berm_volume"] = volume if isinstance(height, Entry) else _enough(volume, packed)
    found["berm_base"] = entry(
        rel.berm_base, "", source=USER, top_width=berm.top_width, side_slope=berm.side_slope, height=height
    )
    return Made(found, uses_all=isinstance(height, Entry))


def _enough(volume: Entry, packed: Entry) -> Entry:
    """The volume of a berm whose height is fixed, with what is to be said where the spoil may not be enough for it."""
    over = packed.least - volume.value
    return with_cautions(
        volume,
        *BERM_MAY_LACK.where(over, packed.value - volume.value, packed.most - volume.value, short=(-over, VOLUME)),
    )


def _buries(berm: Berm, height: float, allowed: float) -> Problem:
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


def _no_room(berm: Berm, whole: float) -> Problem:
    return Problem(
        ("earth", "berm", "body"),
        words("the body inside takes {body}", body=(float(berm.body), VOLUME)),
        words("less than the berm itself, {whole}", whole=(whole, VOLUME)),
        words("make the berm longer, wider or higher, or the body smaller"),
    )


def _too_high(berm: Berm, most: float) -> Problem:
    return Problem(
        ("earth", "berm", "height"),
        words("the spoil does not fill a berm {high} high", high=(float(berm.height or 0.0), LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower, shorten or narrow the berm, or leave its height out to have it solved"),
    )


def drawn_berm(berm: Berm, packed: Entry, drawn: BermDrawn) -> Made:
    """A berm with an outline, on the ground as it is: its top as entered, or as high as the spoil and what it hides allow.

    Args:
        berm: As entered.
        packed: The spoil, compacted.
        drawn: The berm on its ground.
    """
    found: dict[str, Any] = {}
    heap, body = drawn.heap, float(berm.body)
    solved: Entry | None = None
    if berm.top_level is None:
        most = heap.volume(heap.most) - body
        if most < packed.value:
            return Made(found, _spreads(berm))
        notes = [BERM_SETTLES(), *([BERM_MAY_SPREAD(top=(heap.most, LENGTH))] if most < packed.most else [])]
        taken = Range(packed.least, packed.value, min(packed.most, most), packed.source)
        solved = entry(rel.berm_top, "", source=USER, cautions=notes, berm=taken, heap=heap, body=body)
        top = solved.value
        found["berm_top"] = solved
    else:
        top = float(berm.top_level)
        if heap.volume(top) - body > packed.value * (1 + 1e-9):
            return Made(found, _over_spoil(top, rel.berm_top(packed.value, heap, body)))
    try:
        lines = toe(drawn.mound, top, drawn.ground)
        near = [one for one in drawn.hides if lines and spread(lines).intersects(one.plan)]
        caps = [
            (one, one.rim - berm.rim_margin + drawn.mound.beyond_crest(one.plan) / berm.side_slope)
            for one in near
            if one.rim is not None
        ]
        if caps:
            lowest, cap = min(caps, key=lambda one: one[1])
            allowed = entry(
                rel.berm_top_allowed, lowest.name, source=USER, cautions=[BERM_IN_REACH()], rim=lowest.rim, rim_margin=berm.rim_margin,
                beside=drawn.mound.beyond_crest(lowest.plan), side_slope=berm.side_slope,
            )  # fmt: skip
            if solved is None and top > cap + 1e-9:
                return Made(found, _over_rim(top, cap, lowest.name))
            if solved is None or solved.most > cap:
                found["berm_top_allowed"] = allowed
            if top > cap:
                top, solved = cap, None
                lines = toe(drawn.mound, top, drawn.ground)
    except TooSteep:
        return Made(found, _spreads(berm))
    notes = [BERM_SETTLES(), *(BERM_RIM_UNKNOWN(name=one.name) for one in near if one.rim is None)]
    volume = entry(rel.berm_volume_drawn, "", source=USER, cautions=notes, heap=heap, top=solved or top, body=body)
    if volume.value <= 0:
        return Made(found, _no_soil(top, heap.lowest, body))
    found["berm_volume"] = volume if solved else _enough(volume, packed)
    plans = [spread(lines), *_ends(drawn, solved)]
    areas = [float(plan.area) for plan in plans]
    found["berm_area"] = entry(rel.berm_area, "", area=_range(min(areas), areas[0], max(areas)))
    aparts = [over_what(plan, drawn.liners) for plan in plans]
    clear = []
    problem = None
    for liner, ways in zip(drawn.liners, zip(*aparts, strict=True), strict=True):
        away = [way for way, _ in ways]
        clear.append(
            entry(rel.berm_toe_clearance, f"berm / {liner.name}", distance=_range(min(away), away[0], max(away)))
        )
        shared = ways[0][1]
        if shared > TOUCH and problem is None:
            problem = _on_liner(liner.name, shared)
    found["berm_toe_clearance"] = tuple(clear)
    return Made(found, problem, solved is not None, heaped("berm", drawn.mound, top, drawn.ground, lines))


def _ends(drawn: BermDrawn, solved: Entry | None) -> list[Plan]:
    """What the berm covers with its top at the ends of the level that is solved for; where it does not come down there, nothing."""
    if solved is None or solved.low is None:
        return []
    found = []
    for top in (solved.least, solved.most):
        with contextlib.suppress(TooSteep):
            lines = toe(drawn.mound, top, drawn.ground)
            if lines:
                found.append(spread(lines))
    return found


def _spreads(berm: Berm) -> Problem:
    return Problem(
        ("earth", "berm", "side_slope"),
        words("sides of {slope} horizontal to 1 vertical do not bring the berm down to the ground", slope=(berm.side_slope, RATIO)),
        words("sides that meet the ground within {far} of its top", far=(FAR_BANK, LENGTH)),
        words("make the sides steeper or the outline larger, set the berm where the ground falls less, or enter a lower top"),
    )  # fmt: skip


def _over_spoil(top: float, most: float) -> Problem:
    return Problem(
        ("earth", "berm", "top_level"),
        words("the spoil does not fill a berm with its top at {top}", top=(top, LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower its top, make its outline smaller or its sides steeper, or leave its top out to have it solved"),
    )


def _over_rim(top: float, most: float, name: str) -> Problem:
    return Problem(
        ("earth", "berm", "top_level"),
        words(f"a berm with its top at {{top}} buries the rim of the {name}", top=(top, LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower the berm, raise what it hides, or leave its top out to have it solved up to there"),
    )


def _no_soil(top: float, lowest: float, body: float) -> Problem:
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


def _on_liner(name: str, shared: float) -> Problem:
    return Problem(
        ("earth", "berm", "at"),
        words(f"its toe comes onto the liner's edge of '{name}' by {{shared}}", shared=(shared, AREA)),
        words("a toe outside the liner's edge: soil over the edge draws water out of the pool"),
        words("move the berm away, make its outline smaller, its sides steeper or its top lower"),
    )
