"""Works a project out, in the order of the trades. The one memory of the package stands here."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Any, TypeVar

from pondkit import basin, stone, totals
from pondkit.basin import PoolResult
from pondkit.document.pool import Pool
from pondkit.document.project import Option, Project, Site
from pondkit.result import Path, Problem, Result, Trouble
from pondkit.stone import StoneResult
from pondkit.surface.ground import Band, Plane, TooSteep, band, plane_of, shared_cut
from pondkit.surface.outline import NoOutline, Shape, shape_of
from pondkit.surface.strip import strip
from pondkit.takeoff import words
from pondkit.totals import Totals

R = TypeVar("R")
MOST = 4000  # steps kept: a project of six options with thirty pools each fits several times


class Memory:
    """Remembers what steps gave: parts of the document by value, results by identity, failures too; bounded."""

    def __init__(self, most: int = MOST) -> None:
        self._kept: OrderedDict[Hashable, tuple[Any, Trouble | None]] = OrderedDict()
        self._most = most
        self.worked: list[str] = []

    def step(self, work: Callable[..., R], *args: Any) -> R:
        """``work(*args)``, from memory where the same arguments were met before.

        Raises: Trouble as ``work`` did.
        """
        key = (work, *args)
        if key in self._kept:
            self._kept.move_to_end(key)
            value, trouble = self._kept[key]
        else:
            value, trouble = None, None
            self.worked.append(work.__name__)
            del self.worked[:-1000]
            try:
                value = work(*args)
            except Trouble as raised:
                trouble = raised
            self._kept[key] = value, trouble
            if len(self._kept) > self._most:
                self._kept.popitem(last=False)
        if trouble is not None:
            raise trouble
        return value  # type: ignore[no-any-return]


MEMORY = Memory()
NEAR = 2.0  # m beyond the rim within which the dig is taken to meet the ground; further out it is only slower


@dataclass(frozen=True, eq=False)
class OptionResult(Result):
    """One option worked out.

    Attributes:
        option: As drawn.
        pools: Pools that could be worked out.
        stone: Boulders and edging; None where the option has none.
        totals: What needs more than one trade.
        problems: What could not be worked out, and how to mend it.
    """

    option: Option
    pools: tuple[PoolResult, ...]
    stone: StoneResult | None
    totals: Totals
    problems: tuple[Problem, ...]

    @property
    def whole(self) -> bool:
        """True where every pool could be worked out, so that the option has totals."""
        return self.totals.total_gross_volume is not None


@dataclass(frozen=True, eq=False)
class Results:
    """A project worked out: one result an option, in the document's order."""

    project: Project
    options: tuple[OptionResult, ...]

    @property
    def problems(self) -> tuple[tuple[Path, Problem], ...]:
        """Every problem with its path in the project."""
        return tuple((("options", i, *p.path), p) for i, option in enumerate(self.options) for p in option.problems)


def evaluate(project: Project, memory: Memory = MEMORY) -> Results:
    """Work out every option of a project. Pure but for the memory, which changes no result."""
    return Results(project, tuple(memory.step(_Option(memory), option, project.site) for option in project.options))


@dataclass(frozen=True)
class _Option:
    """Works one option out with a memory."""

    memory: Memory
    __name__ = "option"

    def __call__(self, option: Option, site: Site) -> OptionResult:
        step = self.memory.step
        problems: list[Problem] = [*totals.names_twice(option), *totals.link_problems(option)]
        ground = plane_of(site.ground)
        pools: list[PoolResult] = []
        thickness = totals.laid_thickness(option)
        edging = option.stone.edging if option.stone else ()
        for index, pool in enumerate(option.pools):
            try:
                pools.append(self._pool(pool, index, stone.seat(edging, pool), thickness, ground, site))
            except Trouble as trouble:
                problems += trouble.problems
        whole = len(pools) == len(option.pools)
        worked = tuple(pools)
        problems += step(totals.overlaps, worked)
        meeting = totals.meeting(worked)
        shared = step(shared_cut, meeting, ground) if meeting else 0.0
        stones = self._stone(option, worked, site.soil)
        problems += [*stones.problems, *totals.overfull(worked, stones)] if stones else []
        sums = step(totals.work_out, option, worked, shared, stones, whole and not problems)
        return OptionResult(option, worked, stones, sums, tuple(problems))

    def _stone(self, option: Option, pools: tuple[PoolResult, ...], soil: str) -> StoneResult | None:
        if option.stone is None:
            return None
        step, drawn = self.memory.step, option.pools
        laid = [pool.surfaces.finished for pool in pools]
        waters = tuple(stone.water(drawn[p.index], at.bowl.pool.shape, at.placed) for p, at in zip(pools, laid, strict=True))
        found = {water.name: water for water in waters}
        holding = [(row, found.get(row.pool)) for row in option.stone.edging]
        strips = tuple(
            step(strip, water.shape, water.placed, stone.inward(row)) if water and stone.fits(row, water) else None
            for row, water in holding
        )
        return step(stone.work_out, option.stone, waters, strips, tuple(pool.name for pool in drawn), soil)

    def _pool(self, pool: Pool, index: int, seat: tuple[float, float] | None, thickness: float, ground: Plane, site: Site) -> PoolResult:
        step = self.memory.step
        shape = step(_shape, pool.outline, ("pools", index, "outline"))
        pits = tuple(step(_shape, pit.outline, ("pools", index, "pits", number, "outline")) for number, pit in enumerate(pool.pits))
        surfaces = step(basin.surfaces, pool, index, shape, pits, seat, thickness)
        dig = surfaces.dig
        own = ground.seen_from(dig.placed)
        lowest = float(own.at(shape.coords).min()) - own.slope * (dig.rim + NEAR)
        upper = dig.bowl.pool.profile.upper(dig.level - lowest)
        near = step(_band, shape, upper, dig.rim, dig.rim_level, dig.level, own, index)
        return step(basin.work_out, pool, index, surfaces, near, ground, site.depth_limit, site.soil)


def _shape(outline: Any, path: Path) -> Shape:
    try:
        return shape_of(outline)
    except NoOutline as fault:
        raise Trouble(
            Problem(path, words(f"the outline {fault}"), words("a closed line round some area, that crosses itself nowhere"),
                    words("move or remove points until it does not, or change its sizes"))
        ) from None  # fmt: skip


def _band(shape: Shape, upper: Any, rim: float, rim_level: float, level: float, ground: Plane, index: int) -> Band:
    try:
        return band(shape, upper, rim, rim_level, level, ground)
    except TooSteep:
        raise Trouble(
            Problem(("pools", index, "bank_batter"), words("the ground falls as steeply as the bank rises, or lies far below the pool"),
                    words("a bank that meets the ground"), words("steepen the bank batter, or set the level nearer to the ground"))
        ) from None  # fmt: skip
