"""Checks each requirement of the animals' brief with the figure that passes or fails it: of water and land, then of the
passages (clear way, swims, entrances, ice at the mouths, dens).
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry, total, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import no_such
from pondkit.core.sentence import words
from pondkit.core.units import COUNT, LENGTH, RATIO
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.animals import cautions as warn
from pondkit.trades.animals import formulas
from pondkit.trades.animals.inputs import AnimalKind, Animals, AnimalWayOut
from pondkit.trades.animals.results import AnimalsResult, RequirementMark, Site
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.tunnels.results import DenExits, MouthLevels, TunnelsResult


class RequirementCheck:
    """Collects the demands of all kinds by key, with their places."""

    def __init__(self) -> None:
        self.found: dict[str, list[Entry]] = {}
        self.marks: list[RequirementMark] = []
        self.fails: list[float] = []
        self.unchecked: list[tuple[str, str]] = []

    def leave(self, what: str, why: str) -> None:
        """A demand that is filled in and cannot be checked."""
        self.unchecked.append((what, why))

    def add(self, key: str, what: str, figure: Entry, at: Site | None = None) -> None:
        passes = figure.value >= -1e-9
        self.found.setdefault(key, []).append(figure)
        self.fails.append(0.0 if passes else 1.0)
        if at is not None:
            text = words(
                f"{figure.subject}: {what}, {'passes' if passes else 'fails'} by {{by}}",
                by=(abs(figure.value), figure.kind),
            )
            self.marks.append(RequirementMark(text, at, passes))


@dataclass(frozen=True, eq=False)
class Passages:
    """What the passages give, each with its place on the site [m].

    Attributes:
        bore: Narrowest clear bore; None where it is not known.
        swims: Longest swims, open and with each mouth blocked and each gate shut.
        mouths: Mouths in the pools.
        exits: Dens with the mouths that they are joined to.
        dens: Floor of each den above the highest water.
    """

    bore: tuple[Entry, Site] | None
    swims: tuple[tuple[Entry, Site], ...]
    mouths: tuple[MouthLevels, ...]
    exits: tuple[DenExits, ...]
    dens: tuple[tuple[Entry, Site], ...]


@remembered
def passages_of(tunnels: TunnelsResult) -> Passages:
    """What the passages give to the brief: bore, swims, mouths, exits and dens, each with its place."""
    places = {name: (place[0], place[1]) for name, _, place in tunnels.places}
    swims, narrowest = tunnels.swims, tunnels.narrowest
    ends = {subject: (place[0], place[1]) for subject, place in swims.ways}
    every = [*([swims.longest_swim] if swims.longest_swim else []), *swims.blocked_swim]
    return Passages(
        bore=(tunnels.clear_bore, narrowest[:2]) if tunnels.clear_bore and narrowest else None,
        swims=tuple((figure, ends[figure.subject]) for figure in every),
        mouths=tunnels.mouths,
        exits=tunnels.exits,
        dens=tuple((figure, places[figure.subject]) for figure in tunnels.filling.den_above_highest),
    )


def ice_at_mouths(animals: Animals, passages: Passages | None, rise: float, fall: float) -> dict[str, Entry]:
    """What ice leaves open of each mouth in a pool; nothing where no ice is entered."""
    clear: dict[str, Entry] = {}
    for mouth in passages.mouths if passages is not None and animals.ice else ():
        figure = entry(
            formulas.mouth_clear_of_ice,
            mouth.name,
            source=USER,
            mouth_level=mouth.level,
            bore=mouth.bore,
            ice=animals.ice,
            lowest=mouth.water - fall,
            highest=mouth.water + rise,
        )
        ice = warn.ICE_IN_MOUTH.where(figure.least, figure.value, figure.most, least=mouth.bore)
        clear[mouth.name] = with_cautions(figure, *ice)
    return clear


def check_under_ice(
    check: RequirementCheck, kind: AnimalKind, animals: Animals, passages: Passages | None, ice: dict[str, Entry]
) -> None:
    """Check that ice leaves a kind its clear way at each mouth in a pool."""
    if kind.body_width is None or not animals.ice:
        return
    if passages is None or not passages.mouths:
        check.leave("clear way under ice", "there are no mouths in a pool")
        return
    for mouth in passages.mouths:
        subject = f"{kind.name} / {mouth.name}"
        bare = replace(ice[mouth.name], cautions=())
        figure = entry(formulas.ice_margin, subject, source=USER, clear_of_ice=bare, clear_way_wanted=kind.body_width)
        check.add("demand_ice", "clear way under ice", figure, mouth.at)


NO_PASSAGES = "there are no passages"


def check_passages(
    check: RequirementCheck, kind: AnimalKind, passages: Passages | None, rise: float, fall: float
) -> None:
    """Check the demands of a kind on bore, swims, entrances, exits and dry dens."""
    _unchecked_passages(check, kind, passages)
    if passages is None:
        return
    if kind.body_width is not None and passages.bore is not None:
        bore, at = passages.bore
        subject = f"{kind.name} / {bore.subject}"
        figure = entry(formulas.bore_margin, subject, source=USER, clear_bore=bore, clear_way_wanted=kind.body_width)
        check.add("demand_bore", "clear bore", figure, at)
    for swim, at in passages.swims if kind.longest_swim is not None else ():
        subject = f"{kind.name} / {swim.subject}"
        figure = entry(formulas.swim_margin, subject, source=USER, longest_wanted=kind.longest_swim, swim=swim)
        check.add("demand_swim", "longest swim", figure, at)
    for mouth in passages.mouths if kind.entrance != "either" else ():
        subject = f"{kind.name} / {mouth.name}"
        if kind.entrance == "below water":
            figure = entry(
                formulas.entrance_margin_below,
                subject,
                source=USER,
                level=mouth.water,
                water_fall=fall,
                mouth_level=mouth.level,
                bore=mouth.bore,
                depth_wanted=kind.entrance_depth,
            )
        else:
            figure = entry(
                formulas.entrance_margin_above,
                subject,
                source=USER,
                mouth_level=mouth.level,
                bore=mouth.bore,
                level=mouth.water,
                water_rise=rise,
            )
        check.add("demand_entrance", f"entrance {kind.entrance}", figure, mouth.at)
    for den in passages.exits if kind.exits else ():
        there, wanted = float(den.mouths), float(kind.exits)
        subject = f"{kind.name} / {den.name}"
        figure = entry(formulas.exits_margin, subject, source=USER, mouths=there, mouths_wanted=wanted)
        check.add("demand_exits", "mouths to the den", figure, den.at)
    for floor, at in passages.dens if kind.den_dryness is not None else ():
        figure = entry(
            formulas.dry_margin,
            f"{kind.name} / {floor.subject}",
            source=USER,
            floor_above_water=floor,
            dryness_wanted=kind.den_dryness,
        )
        check.add("demand_dry", "den floor over water", figure, at)


def _unchecked_passages(check: RequirementCheck, kind: AnimalKind, passages: Passages | None) -> None:
    """Demands on the passages that nothing is there to check by."""
    mouths, dens = "there are no mouths in a pool", "no run leads to a den"
    asked = (
        ("clear way", kind.body_width is not None, "a run is in trouble", passages and passages.bore),
        ("longest swim", kind.longest_swim is not None, "no way under water was found", passages and passages.swims),
        (f"entrance {kind.entrance}", kind.entrance != "either", mouths, passages and passages.mouths),
        ("mouths to each den", kind.exits > 0, dens, passages and passages.exits),
        (
            "den floor over water",
            kind.den_dryness is not None,
            "no den is joined to a pool",
            passages and passages.dens,
        ),
    )
    for what, wanted, why, found in asked:
        if wanted and not found:
            check.leave(what, NO_PASSAGES if passages is None else why)
    if kind.entrance_depth > 0 and kind.entrance != "below water":
        check.leave("entrance under water", "entrances are not asked to be below water")


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
