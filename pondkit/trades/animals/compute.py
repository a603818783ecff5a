"""Checks each requirement of the animals' brief with the figure that passes or fails it."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, entry, total, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import no_such
from pondkit.core.sentence import words
from pondkit.core.units import COUNT, LENGTH, RATIO
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.animals import cautions as warn
from pondkit.trades.animals import formulas
from pondkit.trades.animals.inputs import AnimalKind, Animals, AnimalWayOut
from pondkit.trades.animals.passages import (
    Passages,
    RequirementCheck,
    check_passages,
    check_under_ice,
    ice_at_mouths,
    passages_of,
)
from pondkit.trades.animals.results import AnimalsResult, RequirementMark, Site
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.tunnels.results import TunnelsResult

BARE = "bare liner"


@dataclass(frozen=True)
class PoolHabitat:
    """A pool as its animals see it: its name, place on the site [m], and finished surface."""

    name: str
    at: Site
    finished: SiteSurface


def compute(
    animals: Animals | None,
    pools: tuple[PoolResult, ...],
    names: tuple[str, ...],
    tunnels: TunnelsResult | None,
    running: tuple[float, float],
) -> AnimalsResult | None:
    """The brief, checked; None where there is none.

    Args:
        animals: The brief.
        pools: Pools that could be worked out.
        names: Names of all pools of the option.
        tunnels: The passages; None where the option has none.
        running: How far water falls under, and rises over, the level at rest [m].
    """
    if animals is None:
        return None
    waters = tuple(_habitat(pool.surfaces.finished, pool.name) for pool in pools)
    return _brief(animals, waters, passages_of(tunnels) if tunnels else None, running[1], running[0], names)


@remembered
def _habitat(finished: SiteSurface, name: str) -> PoolHabitat:
    return PoolHabitat(name, (float(finished.placed.x), float(finished.placed.y)), finished)


@remembered
def _brief(
    animals: Animals,
    waters: tuple[PoolHabitat, ...],
    passages: Passages | None,
    rise: float,
    fall: float,
    pools: tuple[str, ...],
) -> AnimalsResult:
    """Every demand with its figure.

    Args:
        animals: The brief.
        waters: Pools that could be worked out.
        passages: What the passages give; None where the option has none.
        rise, fall: Highest water over, and lowest under, the level at rest [m].
        pools: Names of all pools of the option.
    """
    problems = [
        no_such(("animals", "ways_out", index, "pool"), "pool", way.pool, pools)
        for index, way in enumerate(animals.ways_out)
        if way.pool not in pools
    ]
    check, failed, unchecked = RequirementCheck(), [], []
    ice = ice_at_mouths(animals, passages, rise, fall)
    for kind in animals.kinds:
        check.fails, check.unchecked = [], []
        _in_water(check, animals, kind, waters, (fall, rise))
        _ways_out(check, animals, kind, waters, fall)
        check_passages(check, kind, passages, rise, fall)
        check_under_ice(check, kind, animals, passages, ice)
        _fence(check, animals, kind)
        notes = [*([warn.PROTECTED_KINDS()] if kind.protected else []), warn.DEMANDS_ARE_YOURS()]
        failed.append(entry(formulas.failed, kind.name, cautions=notes, fails=check.fails))
        left = [warn.NOT_CHECKED(what=what, why=why) for what, why in check.unchecked]
        unchecked.append(entry(formulas.not_checked, kind.name, cautions=left, demands=[1.0] * len(left)))
    for way in animals.ways_out:
        text = words(
            f"way out '{way.name}' of {way.pool}: {{slope}} to 1, {way.surface}", slope=(float(way.slope), RATIO)
        )
        check.marks.append(RequirementMark(text, (float(way.at[0]), float(way.at[1])), True))
    whole = len(waters) == len(pools) and not problems
    every: dict[str, Any] = {
        name: tuple(check.found.get(name, ()))
        for name in AnimalsResult.__dataclass_fields__
        if name.startswith("demand_")
    }
    not_checked = total("", unchecked, COUNT)
    some = [warn.SOME_NOT_CHECKED(count=(not_checked.value, COUNT))] if not_checked.value else []
    return AnimalsResult(
        **every,
        mouth_clear_of_ice=tuple(ice.values()),
        demands_failed=tuple(failed),
        demands_not_checked=tuple(unchecked),
        total_demands_failed=with_cautions(total("", failed, COUNT), *some) if whole and failed else None,
        total_demands_not_checked=not_checked if unchecked else None,
        marks=tuple(check.marks),
        problems=tuple(problems),
    )


def _in_water(
    check: RequirementCheck,
    animals: Animals,
    kind: AnimalKind,
    waters: tuple[PoolHabitat, ...],
    running: tuple[float, float],
) -> None:
    fall, no_pool = running[0], "no pool could be worked out"
    if kind.water_area is not None:
        if kind.water_depth is None and kind.most_depth is None:
            check.leave("area so deep", "no depth is entered with it")
        elif not waters:
            check.leave("area so deep", no_pool)
        else:
            deep, over = (_areas(kind, waters, running, side) for side in (0, 1))
            figure = entry(
                formulas.area_margin,
                kind.name,
                source=USER,
                deep_areas=deep,
                too_deep_areas=over,
                area_wanted=kind.water_area,
            )
            largest = max(range(len(waters)), key=lambda at: deep[at] - over[at])
            check.add("demand_area", "area of the depth wanted", figure, waters[largest].at)
    elif kind.most_depth is not None:
        check.leave("water no deeper than", "no area is entered with it")
    for what, wanted, ice in (
        ("depth of water", kind.water_depth, 0.0),
        ("water under ice", kind.under_ice, float(animals.ice)),
    ):
        if wanted is None:
            continue
        if not waters:
            check.leave(what, no_pool)
            continue
        deepest = max(waters, key=lambda water: water.finished.surface.deepest)
        figure = entry(
            formulas.depth_margin,
            f"{kind.name} / {what}",
            source=USER,
            greatest_depth=deepest.finished.surface.deepest,
            water_fall=fall,
            ice=ice,
            depth_wanted=wanted,
        )
        check.add("demand_depth", what, figure, deepest.at)


def _areas(kind: AnimalKind, waters: tuple[PoolHabitat, ...], running: tuple[float, float], side: int) -> list[float]:
    """Of each pool the plan area that is deep enough at the lowest water (side 0), or too deep at the highest (side
    1)."""
    fall, rise = running
    least = np.array([float(kind.water_depth or 0.0) + fall])
    deep = [float(water.finished.surface.area(least)[0]) for water in waters]
    if side == 0:
        return deep
    if kind.most_depth is None:
        return [0.0] * len(waters)
    over = np.array([max(float(kind.most_depth) - rise, 0.0)])
    every = [float(water.finished.surface.area(over, True)[0]) for water in waters]
    return [min(pair) for pair in zip(deep, every, strict=True)]


def _ways_out(
    check: RequirementCheck, animals: Animals, kind: AnimalKind, waters: tuple[PoolHabitat, ...], fall: float
) -> None:
    if kind.steepest_way_out is None:
        if kind.ways_out > 1:
            check.leave("ways out of each pool", "no steepest way out is entered")
        return
    if not kind.ways_out or not waters:
        check.leave("steepest way out", "no pool could be worked out" if kind.ways_out else "no ways out are asked for")
        return
    for water in waters:
        subject = f"{kind.name} / {water.name}"
        bank = entry(
            formulas.bank_margin,
            subject,
            source=USER,
            least_slope=_steepest(water.finished, fall),
            slope_wanted=_wanted(animals, kind, animals.bank_surface),
        )
        check.found.setdefault("demand_bank", []).append(bank)  # a bank may fail where ramps do
        ramps = [way for way in animals.ways_out if way.pool == water.name]
        faults = {way: _fault(animals, kind, water, way) for way in ramps}
        good = [way for way in ramps if faults[way] is None]
        notes = [fault for fault in faults.values() if fault is not None]
        figure = entry(
            formulas.ways_margin,
            subject,
            source=USER,
            cautions=notes,
            ways=float(len(good)),
            all_round=float(bank.value >= -1e-9),
            ways_wanted=float(kind.ways_out),
        )
        check.add("demand_ways_out", "ways out", figure, water.at)


def _wanted(animals: Animals, kind: AnimalKind, surface: str) -> float:
    """Steepest slope that counts for a kind on a surface, horizontal to 1 vertical."""
    slope = float(kind.steepest_way_out or 0.0)
    return max(slope, float(animals.bare_slope)) if surface == BARE else slope


def _fault(animals: Animals, kind: AnimalKind, water: PoolHabitat, way: AnimalWayOut) -> Caution | None:
    """Why a way out does not count for a kind; None where it does."""
    place = water.finished.placed.to_own(np.array([[float(way.at[0]), float(way.at[1])]]))
    off = abs(float(water.finished.surface.pool.shape.inward(place)[0]))
    if off > animals.way_out_reach + 1e-9:
        most = (float(animals.way_out_reach), LENGTH)
        return warn.WAY_OUT_TOO_FAR(name=way.name, pool=water.name, off=(off, LENGTH), most_allowed=most)
    if way.slope < _wanted(animals, kind, way.surface) - 1e-9:
        return warn.WAY_OUT_TOO_STEEP(name=way.name, slope=(float(way.slope), RATIO), surface=way.surface)
    return None


def _steepest(surface: SiteSurface, fall: float) -> float:
    """Least batter of the pool's faces between the lowest water and the rim."""
    top = surface.level - surface.rim_level
    faces = surface.surface.pool.profile.faces
    return min((line.batter for upper, lower, line in faces if upper < fall - 1e-9 and lower > top + 1e-9), default=0.0)


def _fence(check: RequirementCheck, animals: Animals, kind: AnimalKind) -> None:
    for what in ("fence_height", "fence_dig_in", "fence_overhang"):
        wanted = getattr(kind, what)
        if wanted is not None:
            subject = f"{kind.name} / {what.removeprefix('fence_').replace('_', '-')}"
            planned = getattr(animals, what)
            check.add(
                "demand_fence",
                "fence",
                entry(formulas.fence_margin, subject, source=USER, planned=planned or 0.0, wanted=wanted),
            )
