"""What stone asks of ground and machine, gathered from all trades: bearing, lift plan and walls."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Result
from pondkit.geometry.hole import strip_beside
from pondkit.geometry.standing import stands
from pondkit.geometry.uneven import Terrain
from pondkit.project.project import Option
from pondkit.trades.lifting.work import LiftingResult
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.bearing import BearingResult, Resting
from pondkit.trades.stone.bearing import bearing as stone_bearing
from pondkit.trades.stone.kinds import rock_of
from pondkit.trades.stone.seating import SeatingResult, make_seating_result
from pondkit.trades.stone.seating import seating as stone_seating
from pondkit.trades.stone.slinging import SlingsResult
from pondkit.trades.stone.slinging import slings as stone_slings
from pondkit.trades.stone.work import StoneResult
from pondkit.trades.walls.inputs import Wall
from pondkit.trades.walls.ordering import WallStone, fronts, stone_of
from pondkit.trades.walls.work import WallsResult
from pondkit.trades.walls.work import work_out as walls_work_out


@dataclass(frozen=True, eq=False)
class HeavyResult(Result):
    """What stone asks of ground and machine; each None where the option has none of it."""

    bearing: BearingResult | None
    seating: SeatingResult | None
    lifting: LiftingResult | None
    walls: WallsResult | None
    wall_stone: WallStone | None

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Of what is dug and ordered; those of the lifts change no quantity."""
        return tuple(problem for part in (self.bearing, self.walls) if part for problem in part.problems)

    @property
    def beds(self) -> float | None:
        """What is dug for beds under boulders [m³]; None where that is in trouble."""
        if self.bearing is None:
            return 0.0
        return self.bearing.bedding_order.value if self.bearing.bedding_order else None

    @property
    def bedding(self) -> Entry | None:
        """What is ordered for beds under boulders; None where there is none, or in trouble."""
        return self.bearing.bedding_order if self.bearing else None

    @property
    def ordered(self) -> Entry | None:
        """Stone of all walls; None without any."""
        return self.wall_stone.total_wall_stone_order if self.wall_stone else None


make_heavy_result = remembered(HeavyResult)


def work_out(
    option: Option,
    pools: tuple[PoolResult, ...],
    stones: StoneResult | None,
    ground: Terrain | None,
    soil: str,
) -> HeavyResult:
    """What stone asks of the ground; the lift plan hangs on all that is dug and heaped, and comes later.

    Args:
        option: As drawn.
        pools: Those that could be worked out.
        stones: The stone; None where the option has none.
        ground: As it is, in site axes; None where it is in trouble.
        soil: The site's, a name in the table of soils.
    """
    borne = _bearing(option, pools, stones, ground, soil)
    seated = _seating(pools, stones, ground, borne)
    walled = walls_work_out(option.walls, soil) if option.walls else None
    ordered = _wall_stone(option) if option.walls else None
    return make_heavy_result(borne, seated, None, walled, ordered)


def with_lifts(found: HeavyResult, lifted: LiftingResult | None) -> HeavyResult:
    """The same with the lift plan."""
    return make_heavy_result(found.bearing, found.seating, lifted, found.walls, found.wall_stone)


def _wall_stone(option: Option) -> WallStone | None:
    """Stone of the walls, of the rock that the stone part names; None where no wall has courses."""
    drawn = option.walls
    if drawn is None or not any(wall.courses for wall in drawn.walls):
        return None
    plans = tuple(_plans(wall) for wall in drawn.walls)
    rock = rock_of(option.stone) if option.stone else None
    return stone_of(drawn, plans, rock)


@remembered
def _plans(wall: Wall) -> tuple[float, ...] | None:
    """Plan area of each course of a wall [m²]; None where neither line nor length is entered, or the line is none."""
    places = fronts(wall)
    if not wall.points:
        return None if wall.length is None else tuple(float(wall.length) * wide for _, wide in places)
    found = []
    for front, wide in places:
        whole = strip_beside(wall.points, 0.0, front + wide, 0.0)
        before = strip_beside(wall.points, 0.0, front, 0.0) if front > 0 else None
        if whole is None or (front > 0 and before is None):
            return None
        found.append(float(whole.area) - (float(before.area) if before is not None else 0.0))
    return tuple(found)


def slings(option: Option, stones: StoneResult | None) -> SlingsResult | None:
    """The slings with every boulder; None where the option has none. By value, so that a stone that stands otherwise in its
    pool hangs in its slings as before."""
    if option.stone is None or stones is None or not option.stone.slings:
        return None
    high = tuple((kind.boulder, kind.mass.most) for kind in stones.kinds)
    return stone_slings(option.stone.slings, option.stone.rigging, high)


def _bearing(
    option: Option,
    pools: tuple[PoolResult, ...],
    stones: StoneResult | None,
    ground: Terrain | None,
    soil: str,
) -> BearingResult | None:
    if option.stone is None or stones is None or option.stone.bearing is None:
        return None
    digs = {pool.name: pool.surfaces.dig for pool in pools} if ground else {}
    resting = tuple(
        Resting(
            kind.index,
            kind.boulder,
            kind.mass.most,
            stands(digs[kind.boulder.pool], ground, kind.boulder.places)
            if ground and kind.boulder.pool in digs
            else (),
        )
        for kind in stones.kinds
    )
    return stone_bearing(option.stone.bearing, resting, soil)


def _seating(
    pools: tuple[PoolResult, ...],
    stones: StoneResult | None,
    ground: Terrain | None,
    borne: BearingResult | None,
) -> SeatingResult | None:
    """How placed stones lie that no bearing is worked out for, which refuses such places itself; None where there are none."""
    if stones is None or ground is None:
        return None
    digs = {pool.name: pool.surfaces.dig for pool in pools}
    able = borne is not None and borne.bearing_allowed is not None
    found: list[Entry] = []
    for kind in stones.kinds:
        drawn = kind.boulder
        if drawn.rests_on is not None or not drawn.places or (able and drawn.pool in digs):
            continue
        own = {drawn.pool: digs[drawn.pool]} if drawn.pool in digs else digs
        met = [(name, stands(dig, ground, drawn.places)) for name, dig in own.items()]
        lowest = tuple(
            min(((name, at[place]) for name, at in met), key=lambda one: one[1].level)
            for place in range(len(drawn.places) if met else 0)
        )
        found += stone_seating(drawn, lowest)
    return make_seating_result(tuple(found)) if found else None
