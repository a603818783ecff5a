"""The evaluation of an option: one class with one node for each result, in the order of the trades.

A node is computed when it is first read, and reads the nodes that it needs by their names, so that the order of
computation follows by itself.
"""

from collections.abc import Callable, Iterator
from copy import copy
from dataclasses import dataclass, replace
from typing import Any, ClassVar, Generic, Self, TypeVar, get_type_hints

from pondkit.core.entry import Entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Result, ToFill, keys_in
from pondkit.drawing.frame import keys
from pondkit.geometry.footprint import Gap
from pondkit.geometry.terrain import Terrain, shared_on
from pondkit.project.project import Option, Project, Site
from pondkit.study import problems as faults
from pondkit.study import totals
from pondkit.study.totals import Earthwork, OtherDigs, Totals
from pondkit.trades.animals import compute as animals
from pondkit.trades.animals.results import AnimalsResult
from pondkit.trades.clearances import compute as clearances_trade
from pondkit.trades.clearances.results import ClearancesResult, StoneOnWorks
from pondkit.trades.cost import compute as cost
from pondkit.trades.cost.inputs import Rates
from pondkit.trades.cost.results import Price
from pondkit.trades.earthwork import compute as earthwork_trade
from pondkit.trades.earthwork import results as dug
from pondkit.trades.earthwork.results import DigResult, Level
from pondkit.trades.ground import compute as ground_trade
from pondkit.trades.ground.results import LandResult
from pondkit.trades.lifting import compute as lifting
from pondkit.trades.lifting.results import LiftingResult, LiftSite
from pondkit.trades.liner import compute as liner
from pondkit.trades.liner.edge import anchor_soil, edge_of, reach_of
from pondkit.trades.liner.inputs import TRENCH, layers_thickness, lined_pools
from pondkit.trades.liner.results import LiningResult
from pondkit.trades.pools import compute as pools_trade
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone import bearing as bearing_stone
from pondkit.trades.stone import compute as stone
from pondkit.trades.stone import slings
from pondkit.trades.stone.inputs import rock_density
from pondkit.trades.stone.results import BearingResult, SeatingResult, SlingsResult, StoneResult
from pondkit.trades.tunnels import compute as tunnels
from pondkit.trades.tunnels.flushing import FlushBranch, FlushingResult, compute_flushing, flush_branch
from pondkit.trades.tunnels.results import TunnelsResult
from pondkit.trades.walls import compute as walls
from pondkit.trades.walls.results import WallsResult, WallStone
from pondkit.trades.water import compute as water_trade
from pondkit.trades.water import flotation
from pondkit.trades.water.results import FlotationResult, PoolWater, RunResult, WaterResult

T = TypeVar("T")


class node(Generic[T]):  # noqa: N801 - a decorator
    """A property that is computed when it is first read, and then kept in the instance.

    It has no lock, in contrast to ``functools.cached_property`` of Python 3.11, with which sessions would wait for
    each other.
    """

    def __init__(self, work: Callable[[Any], T]) -> None:
        self.work = work
        self.__doc__ = work.__doc__

    def __set_name__(self, owner: type, name: str) -> None:
        self.name = name

    def __get__(self, holder: Any, owner: type | None = None) -> T:
        value = holder.__dict__[self.name] = self.work(holder)
        return value


class OnDemand:
    """Base of a class whose figures are computed on demand: each result is a node, computed when it is first read.

    Attributes:
        RESULTS: Names of the nodes and properties that hold entries, in the order of the takeoff.
    """

    RESULTS: ClassVar[tuple[str, ...]]
    _known: ClassVar[dict[str, frozenset[str]]]

    def entries(self) -> Iterator[tuple[str, Entry]]:
        """Every (key, entry), in the order of the takeoff."""
        for name in self.RESULTS:
            yield from self._entries_of(name)

    def figure(self, key: str, subject: str) -> Entry | None:
        """One figure, for which only its own node and the nodes it depends on are computed; None if it
        does not exist.
        """
        return next((entry for entry in self._of(key) if entry.subject == subject), None)

    def figures(self, key: str) -> list[Entry]:
        """All figures of a key, for which only their own nodes and the nodes they depend on are computed."""
        return list(self._of(key))

    def given(self, **nodes: Any) -> Self:
        """A copy in which some nodes have the values given, and are not computed."""
        view = copy(self)
        view.__dict__.update(nodes)
        return view

    def ready(self, key: str) -> bool:
        """True if the figures of a key are computed already."""
        return all(name in self.__dict__ for name in self.RESULTS if key in self._keys()[name])

    def in_trouble(self, key: str) -> bool:
        """True if a result that may hold figures of a key has problems, so that some of its figures may be missing."""
        names = (name for name in self.RESULTS if key in self._keys()[name])
        return any(getattr(part, "problems", ()) for name in names for part in self._parts(name))

    def _of(self, key: str) -> Iterator[Entry]:
        for name in self.RESULTS:
            if key in self._keys()[name]:
                for part in self._parts(name):
                    yield from part.figures(key)

    def _entries_of(self, name: str) -> Iterator[tuple[str, Entry]]:
        for part in self._parts(name):
            yield from part.entries()

    def _parts(self, name: str) -> Iterator[Result]:
        value = getattr(self, name)
        for part in value if isinstance(value, tuple) else (value,):
            if isinstance(part, Result):
                yield part

    @classmethod
    def _keys(cls) -> dict[str, frozenset[str]]:
        """Keys that each node with entries may hold, from the type that it declares."""
        if "_known" not in cls.__dict__:
            declared = {name: cls.__dict__[name] for name in cls.RESULTS}
            work = {name: each.work if isinstance(each, node) else each.fget for name, each in declared.items()}
            cls._known = {name: frozenset(keys_in(get_type_hints(each)["return"])) for name, each in work.items()}
        return cls._known


Pools = tuple[PoolResult, ...]


class OptionResult(OnDemand):
    """One option; each node below is computed when it is first read.

    ``option`` holds the option's inputs, ``site`` those that all options share. A node is None if the option does not
    have that part, or if a part that it depends on has a problem. ``rates`` are the option's own prices, else those of
    the job; ``priced_at`` is their path, and ``alone`` is True if no other option uses them.
    """

    RESULTS = keys(
        "land excavation clearances stone_on_works pools totals earthwork lining stone slings bearing seating lifting "
        "walls wall_stone bulk_stone haul tunnels flushing flotation water animals earth dig price"
    )

    def __init__(self, option: Option, site: Site, prices: Rates | None = None, alone: bool = True) -> None:
        self.option, self.site, self.rates = option, site, option.rates or prices
        self.priced_at: Path = ("rates",) if option.rates else ("prices",)
        self.alone = alone or option.rates is not None

    @node
    def land(self) -> LandResult:
        """The existing ground."""
        return ground_trade.compute(self.site.ground)

    @property
    def ground(self) -> Terrain | None:
        """Surface of the existing ground; None if it has a problem."""
        return self.land.terrain

    @node
    def _pools(self) -> tuple[Pools, tuple[Problem, ...]]:
        option, site = self.option, self.site
        conditions = pools_trade.SiteConditions(self.ground, site.soil, site.groundwater, site.depth_limit)
        edging = option.stone.edging if option.stone else ()
        thickness = layers_thickness(option.lining)
        return pools_trade.compute_each(
            option.pools, lambda pool: stone.edging_seat(edging, pool), thickness, conditions
        )

    @property
    def pools(self) -> Pools:
        """Pools without problems of their own."""
        return self._pools[0]

    @property
    def complete(self) -> bool:
        """True if every pool could be computed."""
        return len(self.pools) == len(self.option.pools)

    @property
    def _lined(self) -> frozenset[str]:
        return lined_pools(self.option.lining)

    @node
    def structures(self) -> dug.Structures:
        """Structures in the ground: bodies of the water side, and walls."""
        return earthwork_trade.excavation.compute_structures(self.option.water, self.option.walls, self.ground)

    @node
    def stream_beds(self) -> dug.StreamBeds:
        """Excavated beds of the links."""
        option, lining = self.option, (layers_thickness(self.option.lining), self._lined)
        outer = option.earth.outer_bank if option.earth else None
        return earthwork_trade.stream_beds.compute(option.links, self.pools, self.ground, lining, outer)

    @node
    def _gaps(self) -> list[tuple[int, int, Gap]]:
        return pools_trade.gaps(self.pools)

    @node
    def _overlaps(self) -> tuple[Problem, ...]:
        return tuple(faults.overlaps(self.pools, self._gaps))

    @node
    def early_problems(self) -> tuple[Problem, ...]:
        """Problems of names, ground, pools, structures and links, on which the whole option depends."""
        problems = [*faults.names_twice(self.option), *faults.link_problems(self.option), *self.land.problems]
        return (*problems, *self._pools[1], *self.structures.problems, *self.stream_beds.problems, *self._overlaps)

    @node
    def whole(self) -> bool:
        """True if every pool is sound by itself and beside the others: only then are there totals."""
        sound = not any(problem.path[0] == "pools" for problem in self.early_problems)
        return sound and self.complete

    @node
    def stone(self) -> StoneResult | None:
        """Boulders and edging."""
        return stone.compute(self.option.stone, self.option.pools, self.pools, self.site.soil)

    @node
    def slings(self) -> SlingsResult | None:
        """Slings with every boulder."""
        return slings.compute(self.option.stone, self.stone)

    @node
    def bearing(self) -> BearingResult | None:
        """Bearing of the ground under the boulders."""
        return bearing_stone.compute(self.option.stone, self.stone, self.pools, self.ground, self.site.soil)

    @node
    def seating(self) -> SeatingResult | None:
        """How placed boulders sit, if no bearing is computed."""
        return bearing_stone.compute_seating(self.stone, self.pools, self.ground, self.bearing)

    @node
    def walls(self) -> WallsResult | None:
        """Dry-stacked walls, joint by joint."""
        return walls.compute(self.option.walls, self.site.soil)

    @node
    def wall_stone(self) -> WallStone | None:
        """Stone order of the walls, of the rock that the stone part names."""
        rock = rock_density(self.option.stone) if self.option.stone else None
        return walls.stone_order(self.option.walls, rock)

    @node
    def waters(self) -> tuple[PoolWater, ...]:
        """The water of each pool at rest; empty if a pool is missing."""
        return water_trade.pool_waters(self.pools) if self.complete else ()

    @node
    def running_water(self) -> RunResult | None:
        """The water side in operation; None if the option has none, or if a pool is missing."""
        water = self.option.water
        return water_trade.running_water(water, self.option.links, self.waters) if water and self.waters else None

    @node
    def _flush_branch(self) -> FlushBranch | None:
        water = self.option.water
        if water is None or not self.waters:
            return None
        return flush_branch(water, lambda: water_trade.typical_network(water, self.option.links, self.waters))

    @node
    def tunnels(self) -> TunnelsResult | None:
        """Pipe passages; None if there are none, or if the ground is unknown."""
        option = self.option
        around = tunnels.PassageSurroundings(self.ground, self.site.groundwater, option.water_fall, option.water_rise)
        return tunnels.compute(option.tunnels, self.pools, self._lined, around, self._flush_branch, self.complete)

    @node
    def flushing(self) -> FlushingResult | None:
        """Flushing by the pumps, and with several mouths open at once."""
        alignment = self.tunnels.alignment if self.tunnels else None
        return compute_flushing(self.option.tunnels, alignment, self._flush_branch, self.option.water)

    @node
    def lining(self) -> LiningResult | None:
        """Liners with their fabrics."""
        option, run = self.option, self.running_water
        passes = self.tunnels.penetration_places if self.tunnels else ()
        contacts = liner.LinerContacts(option.stone.boulders if option.stone else (), self.stone, passes)
        depths = run.links.channels.channel_depth if run else ()
        around = liner.LinerSurroundings(self.ground, self.site.groundwater, float(option.water_rise), depths)
        return liner.compute(option.lining, option.pools, self.pools, option.links, contacts, around, self.whole)

    @node
    def animals(self) -> AnimalsResult | None:
        """Check of the animals' brief."""
        option, names = self.option, tuple(pool.name for pool in self.option.pools)
        levels = float(option.water_fall), float(option.water_rise)
        return animals.compute(option.animals, self.pools, names, self.tunnels, *levels)

    @property
    def _bedding(self) -> float:
        return float(self.option.dig.bedding) if self.option.dig else 0.0

    @node
    def _pipe_trenches(self) -> dug.PipeTrenches | None:
        return earthwork_trade.excavation.pipe_trenches(self.option.tunnels, self.tunnels, self._bedding)

    @node
    def excavation(self) -> dug.ExcavationResult | None:
        """Excavations besides the pools."""
        cuts, wet = (self._pipe_trenches, self.structures, self.stream_beds), self.site.groundwater
        return earthwork_trade.excavation.compute(*cuts, self.pools, self.ground, wet, self.complete)

    @node
    def _anchor(self) -> float | None:
        """Soil out of anchor trenches [m³]; None if it cannot be known. The dig depends on the liner only if there are
        such trenches.
        """
        lining = self.option.lining
        if lining is None or lining.edge_kind != TRENCH:
            return 0.0
        return anchor_soil(lining, self.lining)

    @property
    def _totalled(self) -> bool:
        return self.whole and bool(self.pools)  # an option without pools has no totals

    @node
    def totals(self) -> Totals:
        """Figures that need more than one trade, except the earthwork."""
        voids = totals.gravel_voids(float(self.option.gravel_porosity), float(self.option.gravel_porosity_within))
        return totals.compute(self.pools, voids, self.stone, self.tunnels, self._totalled)

    @node
    def earthwork(self) -> Earthwork:
        """Total dig, fill and spoil. They depend on far more trades than the other totals."""
        meeting = totals.meeting(self.pools, self._gaps)
        shared = shared_on(meeting, self.ground) if meeting and self.ground else 0.0
        digs_entered = earthwork_trade.excavation.needs_excavation(
            self._pipe_trenches, self.structures, self.stream_beds
        )
        known = not digs_entered or (self.excavation is not None and self.excavation.trench_dig_volume is not None)
        beds = self.bearing.bed_excavation if self.bearing else 0.0
        digs = OtherDigs(shared, beds, self.excavation, known, self._anchor)
        return totals.compute_earthwork(self.pools, digs, self._totalled)

    @node
    def water(self) -> WaterResult | None:
        """The water side."""
        if self.option.water is None or (run := self.running_water) is None:
            return None
        planned = (float(self.option.water_rise), float(self.option.water_fall))
        volumes, whole = self.totals.net_volume, self.totals.total_net_volume
        return water_trade.compute(self.option.water, self.option.links, run, self.waters, planned, volumes, whole)

    @node
    def earth(self) -> dug.EarthResult | None:
        """Use of the excavated soil: berm, banks, spoil."""
        earth = self.option.earth
        if earth is None:  # asked first: the dig takes longer than all that a plan needs otherwise
            return None
        dig, fill = self.earthwork.dig_volume, self.earthwork.fill_volume
        if dig is None or fill is None:
            return None
        back = self.excavation.backfill_volume if self.excavation else None
        built = fill.value + (back.value if back else 0.0) + (self._anchor or 0.0)
        edges = dict.fromkeys(self._lined, reach_of(self.option.lining))
        berm = earthwork_trade.berms.place_on_ground(
            earth.berm, self.pools, self.ground, self.structures, dig.value, edges
        )
        banks = earthwork_trade.berms.outer_banks_of(earth, self.pools, self.ground)
        return earthwork_trade.soil.compute(earth, self.site.soil, dig.value, built, banks, berm)

    @node
    def _around(self) -> LiftSite:
        option, way = self.option, self.site.way_in
        heaped = self.earth.heaped if self.earth else ()
        buried = earthwork_trade.excavation.trenches_and_pits(option.tunnels, self.tunnels, self._bedding)
        end = (float(way.points[-1][0]), float(way.points[-1][1])) if way and way.points else None
        edge, wet, soil = reach_of(option.lining), self.site.groundwater, self.site.soil
        return LiftSite(self.structures.each, buried, heaped, option.walls, self._lined, edge, wet, soil, end)

    @node
    def lifting(self) -> LiftingResult | None:
        """The lift plan."""
        known = self.pools if self.complete else None
        return lifting.compute(self.option.lifting, known, self.stone, self.slings, self._around, self.ground)

    @node
    def _bulk_orders(self) -> earthwork_trade.soil.BulkOrders:
        """Stone that is ordered by volume."""
        gravel = self.totals.total_gravel_volume, float(self.option.gravel_porosity)
        return earthwork_trade.soil.bulk_orders(
            self.option.walls, self.wall_stone, self.bearing, self.excavation, gravel
        )

    @node
    def bulk_stone(self) -> dug.BulkStone | None:
        """Mass of gravel, crushed stone and bedding, if no delivery of stone is entered."""
        return earthwork_trade.soil.compute_bulk(
            self.option.stone, self._bulk_orders, float(self.option.gravel_porosity_within)
        )

    @node
    def haul(self) -> dug.HaulResult | None:
        """Stone by size class, for order and delivery."""
        option, truck = self.option, self.option.earth.truck if self.option.earth else None
        lifted = tuple(lift.load.index for lift in self.lifting.lifts) if self.lifting else ()
        return earthwork_trade.soil.compute_haul(option.stone, truck, self.stone, lifted, self._bulk_orders)

    @node
    def clearances(self) -> ClearancesResult | None:
        """Clearance of the works from keep-outs, and the way in."""
        works, lifts = (self.pools, self.stream_beds.each, self._around), self.lifting
        boulders = self.option.stone.boulders if self.option.stone else ()
        return clearances_trade.compute(self.site.keep_outs, self.site.way_in, *works, lifts, boulders)

    @node
    def stone_on_works(self) -> StoneOnWorks | None:
        """Placed boulders on mouths, pipes, dens, edges of pits, bodies and walls; None if there are no boulders."""
        return clearances_trade.compute_stones(
            self.stone, self.tunnels, self._around.buried, self.structures.each, self.pools
        )

    @node
    def price(self) -> Price | None:
        """Price by the rates entered."""
        if self.rates is None:
            return None
        bulk = self.totals, self.earthwork, self.earth, self.lining, self.stone
        stonework = self.bearing, self.walls, self.wall_stone, self.lifting, self.seating
        works = self.excavation, self.haul, self.tunnels, self.water
        there = tuple(part for part in (*self.pools, *bulk, *stonework, *works) if part is not None)
        takes_high, whole, shared = self.option.order_takes == "high", not self._unpriced, not self.alone
        return cost.compute(self.rates, there, takes_high, whole, self.priced_at, shared)

    @node
    def dig(self) -> DigResult | None:
        """Levels, stakes and as-built survey for the crew."""
        dig, option, pools = self.option.dig, self.option, self.pools
        if dig is None:
            return None
        rods = earthwork_trade.levels.compute(dig, self._level_groups)
        anchored = self.lining.extras.anchored if self.lining else ()
        works = self.structures, self.stream_beds
        marks = earthwork_trade.setting_out.compute(dig.stakes, pools, *works, anchored, self.ground)
        names, edge = tuple(pool.name for pool in option.pools), edge_of(option.lining)
        built = earthwork_trade.as_built.compute(dig, pools, names, self.lining, edge, option.earth, self.ground)
        return DigResult(rods, marks, built)

    @node
    def _level_groups(self) -> tuple[tuple[Level, ...], ...]:
        option, pools, rows = self.option, self.pools, earthwork_trade.levels
        return rows.groups(
            pools,
            self.structures,
            rows.anchor_levels(option.lining, self.lining, pools),
            rows.passage_levels(option.tunnels, self.tunnels, pools, self.ground, self._bedding),
            self.stream_beds,
            rows.crest_levels(option.links, pools, layers_thickness(option.lining)),
        )

    @node
    def flotation(self) -> FlotationResult | None:
        """Flotation of empty bodies in the ground."""
        return flotation.compute(self.option.water, self.pools, self.ground, self.site.groundwater)

    @node
    def _unpriced(self) -> tuple[Problem, ...]:
        """Problems because of which something with a price is missing from the option."""
        problems = [*self.early_problems]
        problems += [*self.stone.problems, *faults.overfull(self.pools, self.stone)] if self.stone else []
        parts = (self.bearing, self.walls, self.tunnels, self.lining, self.water, self.earth)
        return (*problems, *faults.of_parts(parts))

    @node
    def problems(self) -> tuple[Problem, ...]:
        """Problems of the option: parts that could not be computed, with the remedy."""
        problems = [*self._unpriced, *faults.of_parts((self.price,))]
        problems += faults.over_ground(self.pools)  # from here on, problems that change no quantity, and so no price
        problems += self.tunnels.filling.flooded if self.tunnels else ()
        return (
            *problems,
            *faults.of_parts((self.slings, self.flushing, self.animals, self.lifting, self.clearances, self.dig)),
        )

    @node
    def to_fill(self) -> tuple[ToFill, ...]:
        """Inputs that only the person can find out and has not entered yet, with the figures that wait for them."""
        parts = (self.slings, self.lifting, self.running_water, self.dig, self.price)
        return (*faults.to_fill(self.site, self.pools), *(item for part in parts if part for item in part.to_fill))


option_result = remembered(OptionResult)


@remembered
def with_earth(result: OptionResult, earth: dug.EarthResult | None) -> OptionResult:
    """The option with another use of its soil: that depends on all trades, and a drag does not wait for it."""
    return result.given(earth=earth)


@dataclass(frozen=True, eq=False)
class Results:
    """Results of a project, one for each option, in the order of the document."""

    project: Project
    options: tuple[OptionResult, ...]

    def given(self, option: int, result: OptionResult) -> "Results":
        """A copy with the result given for one option."""
        return replace(self, options=(*self.options[:option], result, *self.options[option + 1 :]))

    @property
    def problems(self) -> tuple[tuple[Path, Problem], ...]:
        """Every problem with its path in the project."""
        priced = [option.price for option in self.options if option.price and not option.option.rates]
        return tuple(faults.of_project(self.project, [option.problems for option in self.options], priced))

    def problems_of(self, option: int) -> tuple[tuple[Path, Problem], ...]:
        """The problems of one option, and of the parts that all options share; nothing of other options is computed for
        it.
        """
        result = self.options[option]
        # A line of the job's prices that names a part which this option lacks may be for another option.
        price_users = self.options if result.price and result.price.absent else ()
        priced = [option.price for option in price_users if option.price and not option.option.rates]
        every = faults.of_project(
            self.project, [result.problems if other is result else () for other in self.options], priced
        )
        return tuple((path, problem) for path, problem in every if path[0] != "options" or path[1] == option)

    @property
    def to_fill(self) -> tuple[tuple[Path, ToFill], ...]:
        """All inputs that are still missing, each with its path in the project."""
        return tuple(faults.placed([option.to_fill for option in self.options]))


def evaluate(project: Project) -> Results:
    """Evaluate every option of a project; each result is computed when it is first read. A pure function: its memory
    changes no result.
    """
    site, prices, alone = project.site, project.prices, len(project.options) == 1
    return Results(project, tuple(option_result(option, site, prices, alone) for option in project.options))
