"""Checks each requirement of the animals' brief; begins at ``compute``. First come the checks of the passages, by
the tunnels' result (clear way, swims, entrances, dens, ice at the mouths), then those of water, banks and fence.
"""

from collections.abc import Iterator
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
    """Collects the requirements checked, of all kinds.

    Attributes:
        found: Figures by their key.
        marks: Requirements that have a place.
        fails: 1 for each requirement of the kind at hand that is not met, 0 for each that is.
        unchecked: (requirement, why it cannot be checked) of the kind at hand.
    """

    def __init__(self) -> None:
        self.found: dict[str, list[Entry]] = {}
        self.marks: list[RequirementMark] = []
        self.fails: list[float] = []
        self.unchecked: list[tuple[str, str]] = []

    def begin_kind(self) -> None:
        """Begin to count for the next kind."""
        self.fails, self.unchecked = [], []

    def cannot(self, requirement: str, why: str) -> None:
        """Record a requirement that is entered but cannot be checked."""
        self.unchecked.append((requirement, why))

    def add(self, key: str, requirement: str, figure: Entry, place: Site | None = None) -> None:
        """Record a requirement with its figure, met at 0 or more, and its place if it has one [m]."""
        passes = figure.value >= -1e-9
        self.found.setdefault(key, []).append(figure)
        self.fails.append(0.0 if passes else 1.0)
        if place is not None:
            text = words(
                f"{figure.subject}: {requirement}, {'passes' if passes else 'fails'} by {{by}}",
                by=(abs(figure.value), figure.kind),
            )
            self.marks.append(RequirementMark(text, place, passes))


@dataclass(frozen=True, eq=False)
class Passages:
    """The passages as far as the requirements depend on them; figures come with their place on the site [m].

    Attributes:
        bore: Narrowest clear bore; None if it is unknown.
        swims: The longest swim, and that with each mouth blocked and each gate shut.
        mouths: Mouths in the pools.
        exits: Dens with the number of mouths that they are connected to.
        den_floors: Floor of each den above the highest water.
    """

    bore: tuple[Entry, Site] | None
    swims: tuple[tuple[Entry, Site], ...]
    mouths: tuple[MouthLevels, ...]
    exits: tuple[DenExits, ...]
    den_floors: tuple[tuple[Entry, Site], ...]


@remembered
def passages_of(tunnels: TunnelsResult) -> Passages:
    """What the requirements depend on, from the tunnels' result."""
    places = {name: (place[0], place[1]) for name, _, place in tunnels.places}
    swims, narrowest = tunnels.swims, tunnels.narrowest
    ends = {subject: (place[0], place[1]) for subject, place in swims.places}
    every = [*([swims.longest_swim] if swims.longest_swim else []), *swims.blocked_swim]
    return Passages(
        bore=(tunnels.clear_bore, narrowest[:2]) if tunnels.clear_bore and narrowest else None,
        swims=tuple((figure, ends[figure.subject]) for figure in every),
        mouths=tunnels.mouths,
        exits=tunnels.exits,
        den_floors=tuple((figure, places[figure.subject]) for figure in tunnels.filling.den_above_highest),
    )


def ice_at_mouths(animals: Animals, passages: Passages | None, rise: float, fall: float) -> dict[str, Entry]:
    """Height of each mouth in a pool left open by ice; empty if no ice is entered."""
    clear: dict[str, Entry] = {}
    for mouth in passages.mouths if passages is not None and animals.ice else ():
        figure = entry(
            formulas.mouth_clear_of_ice,
            mouth.name,
            source=USER,
            mouth_level=mouth.level,
            bore=mouth.bore,
            ice=animals.ice,
            lowest=mouth.water_level - fall,
            highest=mouth.water_level + rise,
        )
        reached = warn.ICE_IN_MOUTH.where(figure.least, figure.value, figure.most, least=mouth.bore)
        clear[mouth.name] = with_cautions(figure, *reached)
    return clear


def check_under_ice(
    check: RequirementCheck, kind: AnimalKind, animals: Animals, passages: Passages | None, ice: dict[str, Entry]
) -> None:
    """Check the clear way that ice leaves at each mouth in a pool, for a kind; ``ice``: height left open by mouth."""
    if kind.body_width is None or not animals.ice:
        return
    if passages is None or not passages.mouths:
        check.cannot("clear way under ice", "there are no mouths in a pool")
        return
    for mouth in passages.mouths:
        subject = f"{kind.name} / {mouth.name}"
        open_height = replace(ice[mouth.name], cautions=())  # its caution stands at the mouth, once for all kinds
        figure = entry(
            formulas.ice_margin, subject, source=USER, clear_of_ice=open_height, clear_way_wanted=kind.body_width
        )
        check.add("demand_ice", "clear way under ice", figure, mouth.at)


NO_PASSAGES = "there are no passages"


def check_passages(
    check: RequirementCheck, kind: AnimalKind, passages: Passages | None, rise: float, fall: float
) -> None:
    """Check the requirements of a kind on bore, swims, entrances, exits and dry dens."""
    _unchecked_passages(check, kind, passages)
    if passages is None:
        return
    if kind.body_width is not None and passages.bore is not None:
        bore, place = passages.bore
        subject = f"{kind.name} / {bore.subject}"
        figure = entry(formulas.bore_margin, subject, source=USER, clear_bore=bore, clear_way_wanted=kind.body_width)
        check.add("demand_bore", "clear bore", figure, place)
    for swim, place in passages.swims if kind.longest_swim is not None else ():
        subject = f"{kind.name} / {swim.subject}"
        figure = entry(formulas.swim_margin, subject, source=USER, longest_wanted=kind.longest_swim, swim=swim)
        check.add("demand_swim", "longest swim", figure, place)
    for mouth in passages.mouths if kind.entrance != "either" else ():
        subject = f"{kind.name} / {mouth.name}"
        if kind.entrance == "below water":
            figure = entry(
                formulas.entrance_margin_below,
                subject,
                source=USER,
                level=mouth.water_level,
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
                level=mouth.water_level,
                water_rise=rise,
            )
        check.add("demand_entrance", f"entrance {kind.entrance}", figure, mouth.at)
    for den in passages.exits if kind.exits else ():
        mouths, required = float(den.mouths), float(kind.exits)
        subject = f"{kind.name} / {den.name}"
        figure = entry(formulas.exits_margin, subject, source=USER, mouths=mouths, mouths_wanted=required)
        check.add("demand_exits", "mouths to the den", figure, den.at)
    for floor, place in passages.den_floors if kind.den_dryness is not None else ():
        figure = entry(
            formulas.dry_margin,
            f"{kind.name} / {floor.subject}",
            source=USER,
            floor_above_water=floor,
            dryness_wanted=kind.den_dryness,
        )
        check.add("demand_dry", "den floor over water", figure, place)


def _unchecked_passages(check: RequirementCheck, kind: AnimalKind, passages: Passages | None) -> None:
    """Record requirements on passages that cannot be checked."""
    mouths, dens = "there are no mouths in a pool", "no run leads to a den"
    requirements = (
        ("clear way", kind.body_width is not None, "a run has a problem", passages and passages.bore),
        ("longest swim", kind.longest_swim is not None, "no swim was found", passages and passages.swims),
        (f"entrance {kind.entrance}", kind.entrance != "either", mouths, passages and passages.mouths),
        ("mouths to each den", kind.exits > 0, dens, passages and passages.exits),
        (
            "den floor over water",
            kind.den_dryness is not None,
            "no den is connected to a pool",
            passages and passages.den_floors,
        ),
    )
    for requirement, required, why, result in requirements:
        if required and not result:
            check.cannot(requirement, NO_PASSAGES if passages is None else why)
    if kind.entrance_depth > 0 and kind.entrance != "below water":
        check.cannot("entrance under water", "entrances are not asked to be below water")


BARE = "bare liner"


@dataclass(frozen=True)
class PoolHabitat:
    """A pool as the animals find it: its name, its place on the site [m], and its finished surface."""

    name: str
    at: Site
    finished: SiteSurface


def compute(
    animals: Animals | None,
    pools: tuple[PoolResult, ...],
    names: tuple[str, ...],
    tunnels: TunnelsResult | None,
    fall: float,
    rise: float,
) -> AnimalsResult | None:
    """The brief, checked; None if there is none.

    Args:
        animals: The brief.
        pools: Pools without problems.
        names: Names of all pools of the option.
        tunnels: The passages; None if the option has none.
        fall, rise: Greatest fall of all pools below, and rise above, their level at rest [m].
    """
    if animals is None:
        return None
    habitats = tuple(_habitat(pool.surfaces.finished, pool.name) for pool in pools)
    return _brief(animals, habitats, passages_of(tunnels) if tunnels else None, fall, rise, names)


@remembered
def _habitat(finished: SiteSurface, name: str) -> PoolHabitat:
    return PoolHabitat(name, (float(finished.placed.x), float(finished.placed.y)), finished)


@remembered
def _brief(
    animals: Animals,
    habitats: tuple[PoolHabitat, ...],
    passages: Passages | None,
    fall: float,
    rise: float,
    pools: tuple[str, ...],
) -> AnimalsResult:
    """The brief, checked kind by kind.

    Args:
        animals: The brief.
        habitats: Pools without problems.
        passages: The passages; None if the option has none.
        fall, rise: Greatest fall of all pools below, and rise above, their level at rest [m].
        pools: Names of all pools of the option.
    """
    problems = [
        no_such(("animals", "ways_out", index, "pool"), "pool", way_out.pool, pools)
        for index, way_out in enumerate(animals.ways_out)
        if way_out.pool not in pools
    ]
    check, failed, unchecked = RequirementCheck(), [], []
    ice = ice_at_mouths(animals, passages, rise, fall)
    for kind in animals.kinds:
        check.begin_kind()
        _check_water(check, animals, kind, habitats, fall, rise)
        _check_ways_out(check, animals, kind, habitats, fall)
        check_passages(check, kind, passages, rise, fall)
        check_under_ice(check, kind, animals, passages, ice)
        _check_fence(check, animals, kind)
        notes = [*([warn.PROTECTED_KINDS()] if kind.protected else []), warn.DEMANDS_ARE_YOURS()]
        failed.append(entry(formulas.failed, kind.name, cautions=notes, fails=check.fails))
        why_not = [warn.NOT_CHECKED(what=requirement, why=why) for requirement, why in check.unchecked]
        unchecked.append(entry(formulas.not_checked, kind.name, cautions=why_not, demands=[1.0] * len(why_not)))
    complete = len(habitats) == len(pools) and not problems
    demands: dict[str, Any] = {
        name: tuple(check.found.get(name, ()))
        for name in AnimalsResult.__dataclass_fields__
        if name.startswith("demand_")
    }
    not_checked = total("", unchecked, COUNT)
    some = [warn.SOME_NOT_CHECKED(count=(not_checked.value, COUNT))] if not_checked.value else []
    return AnimalsResult(
        **demands,
        mouth_clear_of_ice=tuple(ice.values()),
        demands_failed=tuple(failed),
        demands_not_checked=tuple(unchecked),
        total_demands_failed=with_cautions(total("", failed, COUNT), *some) if complete and failed else None,
        total_demands_not_checked=not_checked if unchecked else None,
        marks=(*check.marks, *_way_out_marks(animals, habitats)),
        problems=tuple(problems),
    )


def _way_out_marks(animals: Animals, habitats: tuple[PoolHabitat, ...]) -> Iterator[RequirementMark]:
    """A mark at each way out; it fails if it counts for none of the kinds that need one."""
    habitat_of = {habitat.name: habitat for habitat in habitats}
    kinds = [kind for kind in animals.kinds if kind.steepest_way_out is not None and kind.ways_out]
    for way_out in animals.ways_out:
        habitat = habitat_of.get(way_out.pool)
        counts = habitat is None or not kinds or any(_fault(animals, kind, habitat, way_out) is None for kind in kinds)
        text = words(
            f"way out '{way_out.name}' of {way_out.pool}: {{slope}} to 1, {way_out.surface}"
            + ("" if counts else "; it counts for no kind"),
            slope=(float(way_out.slope), RATIO),
        )
        yield RequirementMark(text, (float(way_out.at[0]), float(way_out.at[1])), counts)


def _check_water(
    check: RequirementCheck,
    animals: Animals,
    kind: AnimalKind,
    habitats: tuple[PoolHabitat, ...],
    fall: float,
    rise: float,
) -> None:
    """Check the requirements of a kind on area and depth of water."""
    no_pool = "no pool could be worked out"
    if kind.water_area is not None:
        if kind.water_depth is None and kind.most_depth is None:
            check.cannot("area of that depth", "no depth is entered with it")
        elif not habitats:
            check.cannot("area of that depth", no_pool)
        else:
            deep, too_deep = _deep_areas(kind, habitats, fall), _too_deep_areas(kind, habitats, fall, rise)
            figure = entry(
                formulas.area_margin,
                kind.name,
                source=USER,
                deep_areas=deep,
                too_deep_areas=too_deep,
                area_wanted=kind.water_area,
            )
            largest = max(range(len(habitats)), key=lambda index: deep[index] - too_deep[index])
            check.add("demand_area", "area of the depth wanted", figure, habitats[largest].at)
    elif kind.most_depth is not None:
        check.cannot("water no deeper than", "no area is entered with it")
    for requirement, required, ice in (
        ("depth of water", kind.water_depth, 0.0),
        ("water under ice", kind.under_ice, float(animals.ice)),
    ):
        if required is None:
            continue
        if not habitats:
            check.cannot(requirement, no_pool)
            continue
        deepest = max(habitats, key=lambda habitat: habitat.finished.surface.deepest)
        figure = entry(
            formulas.depth_margin,
            f"{kind.name} / {requirement}",
            source=USER,
            greatest_depth=deepest.finished.surface.deepest,
            water_fall=fall,
            ice=ice,
            depth_wanted=required,
        )
        check.add("demand_depth", requirement, figure, deepest.at)


def _deep_areas(kind: AnimalKind, habitats: tuple[PoolHabitat, ...], fall: float) -> list[float]:
    """Plan area of each pool that is deep enough at the lowest water [m²]."""
    depth = np.array([float(kind.water_depth or 0.0) + fall])
    return [float(habitat.finished.surface.area(depth)[0]) for habitat in habitats]


def _too_deep_areas(kind: AnimalKind, habitats: tuple[PoolHabitat, ...], fall: float, rise: float) -> list[float]:
    """Plan area of each pool that is deep enough at the lowest water, but too deep at the highest [m²]."""
    if kind.most_depth is None:
        return [0.0] * len(habitats)
    depth = np.array([max(float(kind.most_depth) - rise, 0.0)])
    deeper = [float(habitat.finished.surface.area(depth, True)[0]) for habitat in habitats]
    return [min(pair) for pair in zip(_deep_areas(kind, habitats, fall), deeper, strict=True)]


def _check_ways_out(
    check: RequirementCheck, animals: Animals, kind: AnimalKind, habitats: tuple[PoolHabitat, ...], fall: float
) -> None:
    """Check the number of ways out of each pool that a kind can climb, and the slope of the banks."""
    if kind.steepest_way_out is None:
        if kind.ways_out > 1:
            check.cannot("ways out of each pool", "no steepest way out is entered")
        return
    if not kind.ways_out or not habitats:
        check.cannot("steepest way out", "no pool could be worked out" if kind.ways_out else "no ways out are wanted")
        return
    for habitat in habitats:
        subject = f"{kind.name} / {habitat.name}"
        bank = entry(
            formulas.bank_margin,
            subject,
            source=USER,
            least_slope=_least_batter(habitat.finished, fall),
            slope_wanted=_steepest_allowed(animals, kind, animals.bank_surface),
        )
        check.found.setdefault("demand_bank", []).append(bank)  # not counted as failed: ramps may do instead
        ramps = [way_out for way_out in animals.ways_out if way_out.pool == habitat.name]
        faults = {way_out: _fault(animals, kind, habitat, way_out) for way_out in ramps}
        good = [way_out for way_out in ramps if faults[way_out] is None]
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
        check.add("demand_ways_out", "ways out", figure, habitat.at)


def _steepest_allowed(animals: Animals, kind: AnimalKind, surface: str) -> float:
    """Steepest slope that counts for a kind on a surface, horizontal to 1 vertical."""
    slope = float(kind.steepest_way_out or 0.0)
    return max(slope, float(animals.bare_slope)) if surface == BARE else slope


def _fault(animals: Animals, kind: AnimalKind, habitat: PoolHabitat, way_out: AnimalWayOut) -> Caution | None:
    """Caution of a way out that does not count for a kind; None if it does."""
    place = habitat.finished.placed.to_own(np.array([[float(way_out.at[0]), float(way_out.at[1])]]))
    distance = abs(float(habitat.finished.surface.pool.shape.inward(place)[0]))
    if distance > animals.way_out_reach + 1e-9:
        most = (float(animals.way_out_reach), LENGTH)
        return warn.WAY_OUT_TOO_FAR(name=way_out.name, pool=habitat.name, off=(distance, LENGTH), most_allowed=most)
    if way_out.slope < _steepest_allowed(animals, kind, way_out.surface) - 1e-9:
        return warn.WAY_OUT_TOO_STEEP(name=way_out.name, slope=(float(way_out.slope), RATIO), surface=way_out.surface)
    return None


def _least_batter(surface: SiteSurface, fall: float) -> float:
    """Least batter of a pool's faces between the lowest water and the rim; 0 (vertical) if it has none there."""
    top = surface.level - surface.rim_level  # depth of the rim below the level at rest: negative
    faces = surface.surface.pool.profile.faces
    return min((line.batter for upper, lower, line in faces if upper < fall - 1e-9 and lower > top + 1e-9), default=0.0)


def _check_fence(check: RequirementCheck, animals: Animals, kind: AnimalKind) -> None:
    """Check height, dig-in and overhang of the fence planned, for a kind."""
    for field in ("fence_height", "fence_dig_in", "fence_overhang"):
        required = getattr(kind, field)
        if required is not None:
            subject = f"{kind.name} / {field.removeprefix('fence_').replace('_', '-')}"
            planned = getattr(animals, field)
            check.add(
                "demand_fence",
                "fence",
                entry(formulas.fence_margin, subject, source=USER, planned=planned or 0.0, required=required),
            )
