"""Checks each demand of the animals' brief with the figure that passes or fails it."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.entry import USER, Entry, entry, total
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Result, no_such
from pondkit.core.sentence import Words, words
from pondkit.core.units import COUNT, RATIO
from pondkit.geometry.path import Laid
from pondkit.trades.animals import relations as rel
from pondkit.trades.animals.inputs import Animals, Kind, WayOut

Site = tuple[float, float]
BARE = "bare liner"
PROTECTED = Words(
    "Protected kinds: to disturb, catch or keep them, or to build, open or close their burrows and holts, can be an offence. Ask the "
    "wildlife authority and someone who knows the species before you build."
)
NO_STANDARD = Words("The demands are your own: no standard gives them, and none is shipped here.")


@dataclass(frozen=True)
class Water:
    """A pool as its animals see it: its name, place on the site [m], and finished surface."""

    name: str
    at: Site
    finished: Laid


@dataclass(frozen=True)
class Mouth:
    """A mouth that opens to a pool: name, place, level of its centre, bore, and that pool's level at rest [m]."""

    name: str
    at: Site
    level: float
    bore: float
    water: float


@dataclass(frozen=True, eq=False)
class Passages:
    """What the passages give, each with its place on the site [m].

    Attributes:
        bore: Narrowest clear bore; None where it is not known.
        swims: Longest swims, open and with each mouth blocked and each gate shut.
        mouths: Mouths in the pools.
        exits: (den, mouths that it is joined to).
        dens: Floor of each den above the highest water.
    """

    bore: tuple[Entry, Site] | None
    swims: tuple[tuple[Entry, Site], ...]
    mouths: tuple[Mouth, ...]
    exits: tuple[tuple[str, int, Site], ...]
    dens: tuple[tuple[Entry, Site], ...]


@dataclass(frozen=True)
class Mark:
    """A demand at its place: what it is, where on the site [m], and whether it passes."""

    text: Words
    at: Site
    passes: bool


@dataclass(frozen=True, eq=False)
class AnimalsResult(Result):
    """The brief, checked. Subjects are "kind" or "kind / place"; each figure passes at 0 or more.

    Attributes:
        marks: Demands that have a place.
        problems: What could not be checked, and how to mend it.
    """

    demand_bore: tuple[Entry, ...]
    demand_swim: tuple[Entry, ...]
    demand_area: tuple[Entry, ...]
    demand_depth: tuple[Entry, ...]
    demand_bank: tuple[Entry, ...]
    demand_ways_out: tuple[Entry, ...]
    demand_entrance: tuple[Entry, ...]
    demand_exits: tuple[Entry, ...]
    demand_dry: tuple[Entry, ...]
    demand_fence: tuple[Entry, ...]
    demands_failed: tuple[Entry, ...]
    total_demands_failed: Entry | None
    marks: tuple[Mark, ...]
    problems: tuple[Problem, ...]


class _Check:
    """Collects the demands of all kinds by key, with their places."""

    def __init__(self) -> None:
        self.found: dict[str, list[Entry]] = {}
        self.marks: list[Mark] = []
        self.fails: list[float] = []

    def add(self, key: str, what: str, figure: Entry, at: Site | None = None) -> None:
        passes = figure.value >= -1e-9
        self.found.setdefault(key, []).append(figure)
        self.fails.append(0.0 if passes else 1.0)
        if at is not None:
            said = words(
                f"{figure.subject}: {what}, {'passes' if passes else 'fails'} by {{by}}",
                by=(abs(figure.value), figure.kind),
            )
            self.marks.append(Mark(said, at, passes))


@remembered
def work_out(
    animals: Animals,
    waters: tuple[Water, ...],
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
    check, failed = _Check(), []
    for kind in animals.kinds:
        check.fails = []
        _in_water(check, animals, kind, waters, fall)
        _ways_out(check, animals, kind, waters, fall)
        if passages is not None:
            _passages(check, kind, passages, rise, fall)
        _fence(check, animals, kind)
        notes = [*([PROTECTED] if kind.protected else []), NO_STANDARD, *_unchecked(kind, passages)]
        failed.append(entry(rel.failed, kind.name, cautions=notes, fails=check.fails))
    for way in animals.ways_out:
        said = words(
            f"way out '{way.name}' of {way.pool}: {{slope}} to 1, {way.surface}", slope=(float(way.slope), RATIO)
        )
        check.marks.append(Mark(said, (float(way.at[0]), float(way.at[1])), True))
    whole = len(waters) == len(pools) and not problems
    every: dict[str, Any] = {
        name: tuple(check.found.get(name, ()))
        for name in AnimalsResult.__dataclass_fields__
        if name.startswith("demand_")
    }
    return AnimalsResult(
        **every,
        demands_failed=tuple(failed),
        total_demands_failed=total("", failed, COUNT) if whole and failed else None,
        marks=tuple(check.marks),
        problems=tuple(problems),
    )


def _unchecked(kind: Kind, passages: Passages | None) -> Iterator[Words]:
    asked = [
        what
        for what, wanted in (
            ("clear way", kind.body_width),
            ("longest swim", kind.longest_swim),
            ("den", kind.den_dryness),
        )
        if wanted is not None
    ]
    if passages is None and asked:
        yield Words(f"Not checked, for there are no passages: {', '.join(asked)}.")
    elif passages is not None and passages.bore is None and kind.body_width is not None:
        yield Words("The clear way is not checked, for a run is in trouble.")


def _in_water(check: _Check, animals: Animals, kind: Kind, waters: tuple[Water, ...], fall: float) -> None:
    if not waters:
        return
    deepest = max(waters, key=lambda water: water.finished.bowl.deepest)
    deep = deepest.finished.bowl.deepest
    if kind.water_depth is not None and kind.water_area is not None:
        at = np.array([float(kind.water_depth) + fall])
        areas = [float(water.finished.bowl.area(at)[0]) for water in waters]
        figure = entry(rel.area_margin, kind.name, source=USER, areas=areas, area_wanted=kind.water_area)
        check.add("demand_area", "area of deep water", figure, deepest.at)
    for what, wanted, ice in (
        ("depth of water", kind.water_depth, 0.0),
        ("water under ice", kind.under_ice, float(animals.ice)),
    ):
        if wanted is not None:
            figure = entry(
                rel.depth_margin, f"{kind.name} / {what}", source=USER, greatest_depth=deep, water_fall=fall, ice=ice, depth_wanted=wanted
            )  # fmt: skip
            check.add("demand_depth", what, figure, deepest.at)


def _ways_out(check: _Check, animals: Animals, kind: Kind, waters: tuple[Water, ...], fall: float) -> None:
    if kind.steepest_way_out is None or not kind.ways_out:
        return
    for water in waters:
        subject = f"{kind.name} / {water.name}"
        bank = entry(
            rel.bank_margin, subject, source=USER, least_slope=_steepest(water.finished, fall),
            slope_wanted=_wanted(animals, kind, animals.bank_surface),
        )  # fmt: skip
        check.found.setdefault("demand_bank", []).append(bank)  # a bank may fail where ramps do
        own = [way for way in animals.ways_out if way.pool == water.name]
        good = [way for way in own if way.slope >= _wanted(animals, kind, way.surface) - 1e-9]
        figure = entry(
            rel.ways_margin, subject, source=USER, cautions=_too_steep(own, good), ways=float(len(good)),
            all_round=float(bank.value >= -1e-9), ways_wanted=float(kind.ways_out),
        )  # fmt: skip
        check.add("demand_ways_out", "ways out", figure, water.at)


def _wanted(animals: Animals, kind: Kind, surface: str) -> float:
    """Steepest slope that counts for a kind on a surface, horizontal to 1 vertical."""
    own = float(kind.steepest_way_out or 0.0)
    return max(own, float(animals.bare_slope)) if surface == BARE else own


def _too_steep(own: Iterable[WayOut], good: list[WayOut]) -> Iterator[Words]:
    for way in own:
        if way not in good:
            yield words(
                f"'{way.name}' does not count: {{slope}} to 1 on {way.surface}.", slope=(float(way.slope), RATIO)
            )


def _steepest(laid: Laid, fall: float) -> float:
    """Least batter of the pool's faces between the lowest water and the rim."""
    top = laid.level - laid.rim_level
    faces = laid.bowl.pool.profile.faces
    return min((line.batter for upper, lower, line in faces if upper < fall - 1e-9 and lower > top + 1e-9), default=0.0)


def _passages(check: _Check, kind: Kind, passages: Passages, rise: float, fall: float) -> None:
    if kind.body_width is not None and passages.bore is not None:
        bore, at = passages.bore
        subject = f"{kind.name} / {bore.subject}"
        figure = entry(rel.bore_margin, subject, source=USER, clear_bore=bore, clear_way_wanted=kind.body_width)
        check.add("demand_bore", "clear bore", figure, at)
    for swim, at in passages.swims if kind.longest_swim is not None else ():
        subject = f"{kind.name} / {swim.subject}"
        figure = entry(rel.swim_margin, subject, source=USER, longest_wanted=kind.longest_swim, swim=swim)
        check.add("demand_swim", "longest swim", figure, at)
    for mouth in passages.mouths if kind.entrance != "either" else ():
        subject = f"{kind.name} / {mouth.name}"
        if kind.entrance == "below water":
            figure = entry(
                rel.entrance_margin_below, subject, source=USER, level=mouth.water, water_fall=fall,
                mouth_level=mouth.level, bore=mouth.bore, depth_wanted=kind.entrance_depth,
            )  # fmt: skip
        else:
            figure = entry(
                rel.entrance_margin_above, subject, source=USER, mouth_level=mouth.level, bore=mouth.bore,
                level=mouth.water, water_rise=rise,
            )  # fmt: skip
        check.add("demand_entrance", f"entrance {kind.entrance}", figure, mouth.at)
    for den, mouths, at in passages.exits if kind.exits else ():
        figure = entry(
            rel.exits_margin, f"{kind.name} / {den}", source=USER, mouths=float(mouths), mouths_wanted=float(kind.exits)
        )
        check.add("demand_exits", "mouths to the den", figure, at)
    for floor, at in passages.dens if kind.den_dryness is not None else ():
        figure = entry(
            rel.dry_margin,
            f"{kind.name} / {floor.subject}",
            source=USER,
            floor_above_water=floor,
            dryness_wanted=kind.den_dryness,
        )
        check.add("demand_dry", "den floor over water", figure, at)


def _fence(check: _Check, animals: Animals, kind: Kind) -> None:
    for what in ("fence_height", "fence_dig_in", "fence_overhang"):
        wanted = getattr(kind, what)
        if wanted is not None:
            subject = f"{kind.name} / {what.removeprefix('fence_').replace('_', '-')}"
            planned = getattr(animals, what)
            check.add(
                "demand_fence",
                "fence",
                entry(rel.fence_margin, subject, source=USER, planned=planned or 0.0, wanted=wanted),
            )
