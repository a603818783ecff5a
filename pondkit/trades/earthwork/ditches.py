"""What is dug and built for links: beds of channels and falls, from the upper pool's waterline through the crest to the lower one's."""

import contextlib
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Trouble
from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH, RATIO
from pondkit.geometry.ditch import Ditch, Spot, line_between, meets_within, sides_up
from pondkit.geometry.ground import FAR_BANK, TooSteep
from pondkit.geometry.hole import Hole
from pondkit.geometry.kept import Plan
from pondkit.geometry.mound import Bank, Under, bank_along, bank_holes, rim_of
from pondkit.geometry.outline import Placed, Shape
from pondkit.geometry.trench import Sampled, Top, Trenches, over_each_other, sampled, take_out
from pondkit.geometry.uneven import Terrain
from pondkit.project.project import Option
from pondkit.study import totals
from pondkit.trades.earthwork.cautions import (
    BED_EVEN_SLOPE,
    BED_LENGTH_DIFFERS,
    BED_LINE_STRAIGHT,
    BED_ON_FILL,
    BED_WITHOUT_BANKS,
    BED_WITHOUT_CREST,
)
from pondkit.trades.earthwork.levels import Level
from pondkit.trades.liner import between
from pondkit.trades.pools.inputs.links import Link
from pondkit.trades.pools.results import PoolResult

SAME = 1e-6  # m: a bed that falls by this little less than nothing is level


@dataclass(frozen=True)
class LinkCut:
    """One link as it is dug.

    Attributes:
        index, number: Its place in the option, and among the links that leave its upper pool, from 1.
        name: "from – to".
        link: As drawn.
        line: Middle of its bed as finished, from the upper waterline down.
        crest: Index in that of the crest.
        half, batter, down: Half the width of the bed as dug, its sides, and how far that bed lies under the finished one [m].
        cut: What is dug.
        bank: What is built, upside down.
        notes, bank_notes: What to heed with each.
    """

    index: int
    number: int
    name: str
    link: Link
    line: tuple[Spot, ...]
    crest: int
    half: float
    batter: float
    down: float
    cut: Ditch
    bank: Ditch
    notes: tuple[Words, ...]
    bank_notes: tuple[Words, ...]

    @property
    def length(self) -> float:
        """Level length of its line [m]."""
        return _level_length(self.line)

    def levels(self, upper: str) -> tuple[Level, ...]:
        """Its bed at crest, places of its line, and the lower waterline."""
        names = bed_rows(upper, self.number, len(self.line) - self.crest - 2)
        return tuple(
            Level(name, "bed", place[2], place[2] - self.down)
            for name, place in zip(names, self.line[self.crest :], strict=True)
        )


def bed_rows(upper: str, number: int, places: int) -> list[str]:
    """Names of the levels of a bed that leaves a pool, with so many places between crest and lower pool."""
    return [
        f"{upper}: bed {number}, crest",
        *(f"{upper}: bed {number}, place {at}" for at in range(1, places + 1)),
        f"{upper}: bed {number}, lower end",
    ]


@dataclass(frozen=True, eq=False)
class Links:
    """Links as they are dug, and what is wrong with the others. A link whose pools meet at its crest takes no ground.

    Attributes:
        outer: Banks round the pools that those along the links run into.
    """

    cuts: tuple[LinkCut, ...]
    problems: tuple[Problem, ...]
    whole: bool
    outer: tuple[Hole, ...] = ()


make_links = remembered(Links)


NONE = Links((), (), True)


def drawn(option: Option, pools: tuple[PoolResult, ...], ground: Terrain | None) -> Links:
    """Links as they are dug. None of it hangs on a depth, so that a moved tier leaves them as they were.

    Args:
        option: As drawn.
        pools: Those that could be worked out.
        ground: As it is; None where it is in trouble.
    """
    if not option.links:
        return NONE
    if ground is None:
        return Links((), (), False)
    digs = {pool.name: pool.surfaces.dig for pool in pools}
    banks = tuple(Bank(name, dig.bowl.pool.shape, dig.placed, dig.rim, dig.rim_level) for name, dig in digs.items())
    rims = tuple(rim_of(bank) for bank in banks)
    outer = None
    holes: tuple[Hole, ...] = ()
    if option.earth is not None and option.earth.bank_crest is not None:
        outer = float(option.earth.bank_crest), float(option.earth.bank_slope)
        with contextlib.suppress(TooSteep):  # told with the pools' own banks
            holes = bank_holes(banks, *outer, ground)
    lined = between.lined_of(option)
    count: dict[str, int] = {}
    cuts: list[LinkCut] = []
    problems: list[Problem] = []
    whole = True
    for index, link in enumerate(option.links):
        number = count[link.from_] = count.get(link.from_, 0) + 1
        if link.from_ not in digs or link.to not in digs or link.from_ == link.to:
            whole = False
            continue
        upper, lower = digs[link.from_], digs[link.to]
        if upper.level < lower.level:  # told with the links
            whole = False
            continue
        laid = totals.laid_thickness(option) if lined & {link.from_, link.to} else 0.0
        top, foot = ((one.bowl.pool.shape, one.placed, one.level) for one in (upper, lower))
        try:
            cut = _cut(link, index, number, top, foot, laid, outer, rims, ground)
        except Trouble as trouble:
            problems += trouble.problems
            whole = False
            continue
        if cut is not None:
            cuts.append(cut)
    return make_links(tuple(cuts), tuple(problems), whole, holes)


End = tuple[Shape, Placed, float]


@remembered
def _cut(
    link: Link,
    index: int,
    number: int,
    upper: End,
    lower: End,
    laid: float,
    outer: tuple[float, float] | None,
    rims: tuple[Plan, ...],
    ground: Terrain,
) -> LinkCut | None:
    """One link as it is dug; None where its pools meet at the crest.

    Args:
        link: As drawn.
        index, number: See ``LinkCut``.
        upper, lower: Outlines, where they lie, and levels of the waterlines.
        laid: Thickness of underlay, liner and overlay [m].
        outer: Crest and outer slope of banks; None where nothing outside is counted.
        rims: What lies within the rims of the pools.
        ground: As it is.
    Raises: Trouble where it runs uphill, or its sides do not meet the ground.
    """
    path: Path = ("links", index)
    crest = upper[2] if link.crest_level is None else float(link.crest_level)
    if crest < lower[2] - SAME:
        raise Trouble(_uphill(path, crest, lower[2]))
    places = [(float(x), float(y)) for x, y in (link.at, *link.points)]
    plan, at = line_between(upper[:2], lower[:2], places)
    if len(plan) - at < 2:
        return None
    steps = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(plan[at:], axis=0), axis=1)))
    channel = link.kind == "channel"
    fall = float(link.slope) if channel and link.slope is not None else (crest - lower[2]) / float(steps[-1])
    levels = [crest] * at + [crest - fall * float(station) for station in steps]
    line = tuple((float(x), float(y), float(z)) for (x, y), z in zip(plan, levels, strict=True))
    batter = float(link.side_batter) if channel else 0.0
    wide = float(link.bed_width) if channel and link.bed_width is not None else float(link.crest_width)
    layer = float(link.layer) if link.layer is not None else 0.0
    # The bed goes down by what lies on it, at right angles; the sides go outward by the liner and its fabrics alone.
    down = layer + laid * math.sqrt(1 + fall**2)
    half = wide / 2 + laid * math.sqrt(1 + batter**2) - batter * down
    name = f"{link.from_} – {link.to}"
    bed = tuple((x, y, z - down) for x, y, z in line)
    try:
        cut = Ditch(name, bed, sides_up(half, batter, meets_within(bed, half, batter, ground)))
        high = float(link.bank_height) + down if channel and link.bank_height is not None else 0.0
        bank = bank_along(name, bed, sides_up(half, batter, high * batter), high, outer, rims, ground)
    except TooSteep:
        raise Trouble(_too_steep(path, link, outer)) from None
    notes = tuple(_notes(link, line[at:], batter))
    return LinkCut(index, number, name, link, line, at, half, batter, down, cut, bank, notes, tuple(_on(link, outer)))


def banks(links: Links, ground: Terrain) -> Trenches:
    """What is built for links, each and all together, soil that several share once; less the banks round the pools."""
    under = Under(ground)
    found = []
    every = tuple(one.bank for one in links.cuts)
    for bank, beside in zip(every, over_each_other(every), strict=True):
        sample = sampled(bank, under, beside)
        found.append((sample, _beside(sample, links.outer)))
    return take_out(tuple(found))


@remembered
def _beside(sample: Sampled, outer: tuple[Hole, ...]) -> Top:
    levels = sample.stands
    for hole in outer:
        levels = np.minimum(levels, hole.level_at(sample.places))
    return Top(levels, ())


def _notes(link: Link, line: tuple[Spot, ...], batter: float) -> Iterator[Words]:
    if link.kind == "fall":
        yield BED_EVEN_SLOPE()
        return
    if not link.points:
        yield BED_LINE_STRAIGHT()
    own = _level_length(line)
    if link.length is not None:
        given = float(link.length)
        off = abs(own - given) / given
        yield from BED_LENGTH_DIFFERS.where(off, off, off, given=(given, LENGTH), drawn=(own, LENGTH))


def _on(link: Link, outer: tuple[float, float] | None) -> Iterator[Words]:
    yield BED_ON_FILL()
    if link.kind == "channel" and link.bank_height is None:
        yield BED_WITHOUT_BANKS()
    elif outer is None:
        yield BED_WITHOUT_CREST()


def _level_length(line: tuple[Spot, ...]) -> float:
    return float(np.sum(np.linalg.norm(np.diff(np.array(line)[:, :2], axis=0), axis=1)))


def _uphill(path: Path, crest: float, lower: float) -> Problem:
    return Problem(
        (*path, "crest_level"),
        words("its crest stands at {crest}, and the lower pool's water at {lower}", crest=(crest, LENGTH), lower=(lower, LENGTH)),
        words("a crest no lower than the lower pool's level"),
        words("raise its crest, or leave it out: it is then the upper pool's level"),
    )  # fmt: skip


def _too_steep(path: Path, link: Link, outer: tuple[float, float] | None) -> Problem:
    return Problem(
        (*path, "side_batter"),
        words("its sides of {sides} horizontal to 1 vertical, or the bank beside it, do not meet the ground", sides=(float(link.side_batter), RATIO)),
        words("sides that meet it within {far}", far=(FAR_BANK, LENGTH)),
        words("make them steeper, or lead its line where the ground falls less" + (", or make the outer slope of banks steeper" if outer else "")),
    )  # fmt: skip
