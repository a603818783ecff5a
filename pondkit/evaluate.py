"""Works a project out, in the order of the trades. The one memory of the package stands here."""

import math
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Any, TypeVar

from pondkit import (
    animals,
    basin,
    between,
    daylight,
    digging,
    earth,
    heavy,
    land,
    lining,
    price,
    stone,
    totals,
    tunnels,
    water,
)
from pondkit.animals import AnimalsResult
from pondkit.basin import PoolResult
from pondkit.digging import DigResult
from pondkit.document.pool import Pool
from pondkit.document.project import Option, Project, Site
from pondkit.earth import EarthResult, TrenchesResult
from pondkit.heavy import HeavyResult
from pondkit.land import KeptResult, LandResult
from pondkit.lining import LiningResult
from pondkit.price import Price
from pondkit.result import Path, Problem, Result, Trouble
from pondkit.stone import SlingsResult, StoneResult
from pondkit.surface.apart import Gap, close_pairs, gap, inside, outside
from pondkit.surface.cover import cover
from pondkit.surface.outline import NoOutline, Placed, Shape, shape_of
from pondkit.surface.path import rays
from pondkit.surface.sheet import reach, rims_of
from pondkit.surface.strip import strip
from pondkit.surface.thread import threads
from pondkit.surface.uneven import Terrain, shared_on
from pondkit.totals import Totals
from pondkit.tunnels import TunnelsResult
from pondkit.water import WaterResult

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
LINES, SAMPLES = 25, 96  # of a liner's surface, each way: its length is then good to 5 mm
MARGIN = 0.25  # m: step of the margin that lines reach beyond the outlines


@dataclass(frozen=True, eq=False)
class OptionResult(Result):
    """One option worked out.

    Attributes:
        option: As drawn.
        land: The ground as it is.
        trenches: What is dug for pipe and dens; None where it is not asked for.
        kept: What the digs keep clear of, and the way in; None where the site has neither.
        pools: Pools that could be worked out.
        stone: Boulders and edging; None where the option has none.
        slings: Slings with every boulder; None where the option has none.
        heavy: What stone asks of ground and machine.
        tunnels: Pipe passages; None where the option has none.
        totals: What needs more than one trade.
        lining: Liners with their fabrics; None where the option has none.
        water: The water side; None where the option has none.
        animals: The animals' brief, checked; None where the option has none.
        earth: Where the soil goes; None where the option has none.
        dig: What the crew digs by; None where the option asks for none of it.
        price: Price by the person's rates; None where the option has none.
        problems: What could not be worked out, and how to mend it.
    """

    option: Option
    land: LandResult
    trenches: TrenchesResult | None
    kept: KeptResult | None
    pools: tuple[PoolResult, ...]
    totals: Totals
    lining: LiningResult | None
    stone: StoneResult | None
    slings: SlingsResult | None
    heavy: HeavyResult
    tunnels: TunnelsResult | None
    water: WaterResult | None
    animals: AnimalsResult | None
    earth: EarthResult | None
    dig: DigResult | None
    price: Price | None
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
        every = [(i, p) for i, option in enumerate(self.options) for p in option.problems]
        site = {p.path: (p.path, p) for _, p in every if p.path[0] == "site"}  # what the options share, once
        own = ((("options", i, *p.path), p) for i, p in every if p.path[0] != "site")
        return (*site.values(), *own, *((p.path, p) for p in totals.twice(("options",), self.project.options)))


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
        known = step(land.work_out, site.ground)
        problems += known.problems
        ground = known.terrain
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
        clear = daylight.keep_clear(step, option, site, worked)
        aside = [*clear.problems] if clear else []  # they change no quantity, and so no price
        gaps = self._gaps(worked)
        problems += totals.overlaps(worked, gaps)
        sound = whole and not any(problem.path[0] == "pools" for problem in problems)
        meeting = totals.meeting(worked, gaps)
        shared = step(shared_on, meeting, ground) if meeting and ground else 0.0
        stones = self._stone(option, worked, site.soil)
        problems += [*stones.problems, *totals.overfull(worked, stones)] if stones else []
        slung = heavy.slings(step, option, stones)
        aside += slung.problems if slung else ()
        weighty = heavy.work_out(step, option, worked, stones, ground, site.soil, site.groundwater)
        problems += weighty.problems
        aside += weighty.lifting.problems if weighty.lifting else ()
        pipes = self._tunnels(option, worked, ground, site.groundwater)
        problems += pipes.problems if pipes else ()
        marks = step(between.seam_marks_of, option.stone, pipes)
        lined = self._lining(option, worked, marks, site.groundwater, sound)
        problems += lined.problems if lined else ()
        brief = self._animals(option, worked, pipes)
        aside += brief.problems if brief else ()
        cut = daylight.trenches_dug(step, option, worked, pipes, ground)
        sums = step(totals.work_out, option, worked, shared, weighty.beds, cut, stones, pipes, sound)
        waters = self._water(option, worked, sums)
        problems += waters.problems if waters else ()
        soil = self._earth(option, sums, cut, site.soil)
        problems += soil.problems if soil else ()
        prices = self._price(
            option, between.Parts(worked, sums, soil, lined, stones, weighty, pipes, waters), not problems
        )
        problems += prices.problems if prices else ()
        dug = digging.work_out(step, option, worked, pipes, lined, ground)
        aside += dug.problems if dug else ()
        return OptionResult(
            option,
            known,
            cut,
            clear,
            worked,
            sums,
            lined,
            stones,
            slung,
            weighty,
            pipes,
            waters,
            brief,
            soil,
            dug,
            prices,
            (*problems, *aside),
        )

    def _lining(
        self,
        option: Option,
        pools: tuple[PoolResult, ...],
        marks: tuple[lining.Mark, ...],
        groundwater: float | None,
        whole: bool,
    ) -> LiningResult | None:
        drawn = option.lining
        if drawn is None:
            return None
        step = self.memory.step
        found = {pool.name: pool.surfaces.liner for pool in pools}
        unders = []
        for liner in drawn.liners:
            names = tuple(name for name in dict.fromkeys(liner.covers) if name in found)
            if not names:
                continue
            laid = tuple(found[name] for name in names)
            outlines = tuple(outline for pool in laid for outline in pool.outlines())
            rims = step(rims_of, tuple((pool.bowl.pool.shape, pool.placed, pool.rim) for pool in laid))
            turn = rims.turn_deg if liner.turn_deg is None else float(liner.turn_deg)
            # Whole steps, so that the lines stay the same when a tier moves the rim a little.
            margin = math.ceil((max(pool.rim for pool in laid) + drawn.edge) / MARGIN) * MARGIN
            along, across = (
                step(reach, step(rays, outlines, at, margin, LINES, SAMPLES), laid, drawn.edge)
                for at in (turn, turn + 90.0)
            )
            areas = tuple(step(cover, pool, drawn.edge) for pool in laid)
            unders.append(step(lining.Under, liner, names, laid, areas, rims, turn, along, across))
        names = tuple(pool.name for pool in option.pools)
        about = step(
            lining.extras,
            drawn,
            tuple(unders),
            between.falls_of(option, found),
            between.footings_of(option),
            between.floors_of(option, pools),
            groundwater,
        )
        return step(lining.work_out, drawn, tuple(unders), names, marks, about, whole)

    def _water(self, option: Option, pools: tuple[PoolResult, ...], sums: Totals) -> WaterResult | None:
        if option.water is None or len(pools) < len(option.pools):
            return None
        bodies = tuple(
            water.Body(pool.name, finished.level, finished.rim_level, pool.surface_area.value)
            for pool in pools
            for finished in [pool.surfaces.finished]
        )
        run = self.memory.step(water.running_water, option.water, option.links, bodies)
        planned = (float(option.water_rise), float(option.water_fall))
        return self.memory.step(
            water.work_out, option.water, run, bodies, planned, sums.net_volume, sums.total_net_volume
        )

    def _earth(self, option: Option, sums: Totals, cut: TrenchesResult | None, soil: str) -> EarthResult | None:
        if option.earth is None or sums.dig_volume is None or sums.fill_volume is None:
            return None
        built = sums.fill_volume.value + (cut.backfill_volume.value if cut else 0.0)
        return self.memory.step(earth.work_out, option.earth, soil, sums.dig_volume.value, built)

    def _price(self, option: Option, parts: between.Parts, whole: bool) -> Price | None:
        if option.rates is None:
            return None
        quantities, every = between.priced_of(parts), parts.every if option.rates.lines else ()
        return self.memory.step(price.work_out, option.rates, quantities, whole, every)

    def _tunnels(
        self, option: Option, pools: tuple[PoolResult, ...], ground: Terrain | None, groundwater: float | None
    ) -> TunnelsResult | None:
        if option.tunnels is None or ground is None:
            return None
        step = self.memory.step
        lined = between.lined_of(option)
        lines = step(tunnels.lines, option.tunnels)
        laid = [(pool.name, pool.surfaces.finished, pool.surfaces.liner) for pool in pools]
        sides = tuple(
            tunnels.Side(name, finished.level, finished.rim_level, name in lined) for name, finished, _ in laid
        )
        met = tuple(step(threads, lines, finished, liner, tunnels.STRETCH) for _, finished, liner in laid)
        whole = len(pools) == len(option.pools)
        drawn = option.tunnels
        as_laid = step(tunnels.laying, drawn, sides, met, ground, whole)
        runs = tuple(
            step(
                tunnels.run_figures, lying, ends, ground, float(drawn.stock_length), drawn.fittings, float(drawn.socket)
            )
            for lying, ends in zip(as_laid.runs, as_laid.ends, strict=True)
        )
        running = (float(option.water_fall), float(option.water_rise))
        short = step(tunnels.stubs, as_laid, drawn.nodes, float(drawn.socket))
        cuts = [*(run.cut for run in runs if run.cut), *short]
        stock = (float(drawn.stock_length), float(drawn.kerf), drawn.cutting == "proven")
        bought = tuple(
            (pipe.name, step(tunnels.buy, pipe, tuple(cut for cut in cuts if cut.pipe == pipe), *stock))
            for pipe in dict.fromkeys(cut.pipe for cut in cuts)
        )
        return step(tunnels.work_out, drawn, as_laid, runs, sides, ground, groundwater, running, short, bought, whole)

    def _animals(
        self, option: Option, pools: tuple[PoolResult, ...], pipes: TunnelsResult | None
    ) -> AnimalsResult | None:
        if option.animals is None:
            return None
        step = self.memory.step
        waters = tuple(step(between.water_of, pool.surfaces.finished, pool.name) for pool in pools)
        passages = step(between.passages_of, pipes) if pipes else None
        names = tuple(pool.name for pool in option.pools)
        rise, fall = float(option.water_rise), float(option.water_fall)
        return step(animals.work_out, option.animals, waters, passages, rise, fall, names)

    def _stone(self, option: Option, pools: tuple[PoolResult, ...], soil: str) -> StoneResult | None:
        if option.stone is None:
            return None
        step, drawn = self.memory.step, option.pools
        laid = [pool.surfaces.finished for pool in pools]
        waters = tuple(
            stone.water(drawn[p.index], at.bowl.pool.shape, at.placed) for p, at in zip(pools, laid, strict=True)
        )
        found = {water.name: water for water in waters}
        holding = [(row, found.get(row.pool)) for row in option.stone.edging]
        strips = tuple(
            step(strip, water.shape, water.placed, stone.inward(row)) if water and stone.fits(row, water) else None
            for row, water in holding
        )
        bare = option.stone.changed(slings=(), rigging=None, bearing=None)  # what hangs or lifts changes no stone
        return step(stone.work_out, bare, waters, strips, tuple(pool.name for pool in drawn), soil)

    def _pool(
        self,
        pool: Pool,
        index: int,
        seat: tuple[float, float] | None,
        thickness: float,
        ground: Terrain | None,
        site: Site,
    ) -> PoolResult:
        step = self.memory.step
        shape = step(_shape, pool.outline, ("pools", index, "outline"))
        pits = []
        for number, pit in enumerate(pool.pits):
            pit_shape = step(_shape, pit.outline, ("pools", index, "pits", number, "outline"))
            placed = Placed(pit.at[0], pit.at[1], pit.turn_deg)
            pits.append(basin.Hole(pit_shape, placed, step(inside, pit_shape, placed, shape)))
        surfaces = step(basin.surfaces, pool, index, shape, tuple(pits), seat, thickness)
        dig = surfaces.dig
        near = daylight.near_ground(step, dig, ground, index) if ground else None
        rim = step(outside, shape, dig.placed, surfaces.liner.rim)
        return step(
            basin.work_out, pool, index, surfaces, near, rim, ground, site.depth_limit, site.soil, site.groundwater
        )

    def _gaps(self, pools: tuple[PoolResult, ...]) -> list[tuple[int, int, Gap]]:
        """How pools that may meet, or whose digs may, lie to each other."""
        outlines = [(pool.surfaces.dig.bowl.pool.shape, pool.surfaces.placed) for pool in pools]
        pairs = close_pairs(outlines, [pool.ground.reach if pool.ground else 0.0 for pool in pools])
        return [(i, j, self.memory.step(gap, *outlines[i], *outlines[j])) for i, j in pairs]


def _shape(outline: Any, path: Path) -> Shape:
    try:
        return shape_of(outline)
    except NoOutline as fault:
        raise Trouble(Problem((*path, *fault.field), fault.given, fault.allowed, fault.mend)) from None
