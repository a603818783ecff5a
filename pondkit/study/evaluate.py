"""Works a project out, in the order of the trades. The one memory of the package stands here."""

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, cast

from pondkit.core.result import Path, Problem, R, Result, Trouble
from pondkit.geometry.uneven import shared_on
from pondkit.project.project import Option, Project, Site
from pondkit.study import steps, totals
from pondkit.study.totals import Totals
from pondkit.trades.animals.work import AnimalsResult
from pondkit.trades.clearances import daylight
from pondkit.trades.clearances.keep import KeptResult
from pondkit.trades.cost.work import Price
from pondkit.trades.earthwork import digging, ditches, floating, holes
from pondkit.trades.earthwork.digging import DigResult
from pondkit.trades.earthwork.ditches import LinkCut
from pondkit.trades.earthwork.haul_stone import HaulResult
from pondkit.trades.earthwork.holes import Standing
from pondkit.trades.earthwork.trenches import TrenchesResult
from pondkit.trades.earthwork.work import EarthResult
from pondkit.trades.ground.work import LandResult
from pondkit.trades.ground.work import work_out as land_work_out
from pondkit.trades.lifting import lifts
from pondkit.trades.liner import between
from pondkit.trades.liner.work import LiningResult
from pondkit.trades.pools.work import PoolResult
from pondkit.trades.stone import heavy
from pondkit.trades.stone.heavy import HeavyResult
from pondkit.trades.stone.slinging import SlingsResult
from pondkit.trades.stone.standing import seat
from pondkit.trades.stone.work import StoneResult
from pondkit.trades.tunnels import flushing
from pondkit.trades.tunnels.flushing import FlushingResult
from pondkit.trades.tunnels.work import TunnelsResult
from pondkit.trades.water.afloat import AfloatResult
from pondkit.trades.water.work import WaterResult

MOST = 4000  # steps kept: a project of six options with thirty pools each fits several times


class Memory:
    """Remembers what steps gave: parts of the document by value, results by identity, failures too.

    Bounded, and safe where several sessions ask at once; two of them may work the same step out twice.
    """

    def __init__(self, most: int = MOST) -> None:
        self._remembered = lru_cache(maxsize=most)(self._work)
        self.worked: deque[str] = deque(maxlen=1000)

    def step(self, work: Callable[..., R], *args: Any) -> R:
        """``work(*args)``, from memory where the same arguments were met before.

        Raises: Trouble as ``work`` did.
        """
        value, trouble = self._remembered(work, *args)
        if trouble is not None:
            raise trouble
        return cast(R, value)

    def _work(self, work: Callable[..., R], *args: Any) -> tuple[R | None, Trouble | None]:
        self.worked.append(work.__name__)
        try:
            return work(*args), None
        except Trouble as raised:
            return None, raised


MEMORY = Memory()


@dataclass(frozen=True, eq=False)
class OptionResult(Result):
    """One option worked out.

    Attributes:
        option: As drawn.
        land: The ground as it is.
        standing: What stands in a hole: bodies of the water side, and walls.
        links: Links as they are dug.
        trenches: What is dug besides the pools; None where nothing is.
        kept: What the digs keep clear of, and the way in; None where the site has neither.
        pools: Pools that could be worked out.
        stone: Boulders and edging; None where the option has none.
        slings: Slings with every boulder; None where the option has none.
        heavy: What stone asks of ground and machine.
        haul: Stone by class, as it is ordered and carried; None where the option asks for none of it.
        tunnels: Pipe passages; None where the option has none.
        flushing: The flush where tunnels and pumps meet; None where there is none.
        totals: What needs more than one trade.
        lining: Liners with their fabrics; None where the option has none.
        afloat: Uplift of its empty bodies; None where none stands in the ground.
        water: The water side; None where the option has none.
        animals: The animals' brief, checked; None where the option has none.
        earth: Where the soil goes; None where the option has none.
        dig: What the crew digs by; None where the option asks for none of it.
        price: Price by the person's rates; None where the option has none.
        problems: What could not be worked out, and how to mend it.
    """

    option: Option
    land: LandResult
    standing: tuple[Standing, ...]
    links: tuple[LinkCut, ...]
    trenches: TrenchesResult | None
    kept: KeptResult | None
    pools: tuple[PoolResult, ...]
    totals: Totals
    lining: LiningResult | None
    stone: StoneResult | None
    slings: SlingsResult | None
    heavy: HeavyResult
    haul: HaulResult | None
    tunnels: TunnelsResult | None
    flushing: FlushingResult | None
    afloat: AfloatResult | None
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
        known = step(land_work_out, site.ground)
        problems += known.problems
        ground = known.terrain
        pools: list[PoolResult] = []
        thickness = totals.laid_thickness(option)
        edging = option.stone.edging if option.stone else ()
        for index, pool in enumerate(option.pools):
            try:
                pools.append(steps.pool_of(step, pool, index, seat(edging, pool), thickness, ground, site))
            except Trouble as trouble:
                problems += trouble.problems
        whole = len(pools) == len(option.pools)
        worked = tuple(pools)
        stood = holes.stood(step, option, ground)
        problems += stood.problems
        links = ditches.drawn(step, option, worked, ground)
        problems += links.problems
        gaps = steps.gaps_of(step, worked)
        problems += totals.overlaps(worked, gaps)
        sound = whole and not any(problem.path[0] == "pools" for problem in problems)
        meeting = totals.meeting(worked, gaps)
        shared = step(shared_on, meeting, ground) if meeting and ground else 0.0
        stones = steps.stone_of(step, option, worked, site.soil)
        problems += [*stones.problems, *totals.overfull(worked, stones)] if stones else []
        slung = heavy.slings(step, option, stones)
        weighty = heavy.work_out(step, option, worked, stones, ground, site.soil)
        problems += weighty.problems
        aside = [*totals.over_ground(worked)]  # what stands here changes no quantity, and so no price
        aside += slung.problems if slung else ()
        flow = flushing.branch_flow(step, option, steps.running_of(step, option, worked))
        pipes = steps.tunnels_of(step, option, worked, ground, site.groundwater, flow.value if flow else None)
        problems += pipes.problems if pipes else ()
        aside += pipes.filling.flooded if pipes else ()
        flushed = flushing.work_out(step, option, pipes, flow)
        aside += flushed.problems if flushed else ()
        marks = step(between.seam_marks_of, option.stone, pipes)
        lined = steps.lining_of(step, option, worked, marks, stones, site.groundwater, ground, sound)
        problems += lined.problems if lined else ()
        brief = steps.animals_of(step, option, worked, pipes)
        aside += brief.problems if brief else ()
        cut = holes.dug(step, option, worked, pipes, ground, stood, links, site.groundwater)
        anchor = between.anchor_of(option, lined)
        sums = step(
            totals.work_out,
            option,
            worked,
            shared,
            weighty.beds,
            cut,
            holes.asked(option, stood),
            stones,
            pipes,
            anchor,
            sound,
        )
        waters = steps.water_of(step, option, worked, sums)
        problems += waters.problems if waters else ()
        soil = steps.earth_of(step, option, worked, sums, cut, anchor or 0.0, site.soil, ground, stood)
        problems += soil.problems if soil else ()
        around = lifts.Around(stood.standing, holes.buried(step, option, pipes), soil.heaped if soil else ())
        lifted = lifts.work_out(step, option, site, worked, stones, ground, around)
        aside += lifted.problems if lifted else ()
        weighty = heavy.with_lifts(step, weighty, lifted)
        carried = steps.haul_of(step, option, stones, weighty, cut, sums)
        clear = daylight.keep_clear(step, option, site, worked, links, around, lifted)
        aside += clear.problems if clear else ()
        prices = steps.price_of(
            step,
            option,
            between.Parts(
                worked,
                sums,
                soil,
                lined,
                stones,
                weighty,
                cut,
                weighty.ordered,
                carried,
                pipes,
                waters,
            ),
            not problems,
        )
        problems += prices.problems if prices else ()
        dug = digging.work_out(step, option, worked, pipes, lined, ground, stood, links)
        aside += dug.problems if dug else ()
        return OptionResult(
            option,
            known,
            stood.standing,
            links.cuts,
            cut,
            clear,
            worked,
            sums,
            lined,
            stones,
            slung,
            weighty,
            carried,
            pipes,
            flushed,
            floating.work_out(step, option, worked, ground, site.groundwater),
            waters,
            brief,
            soil,
            dug,
            prices,
            (*problems, *aside),
        )
