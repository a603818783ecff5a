"""Dry-stacked walls of an option, joint by joint, wet and drained, the worse kept; and the stone to order for them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from pondkit.core.caution import ACT, CHECK, Caution, Rank
from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Entry, Range, entry, limit, total, with_cautions, within
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem
from pondkit.core.sentence import words
from pondkit.core.tables import bears_as_listed, densest_water
from pondkit.core.units import ANGLE, COUNT, LENGTH, MASS
from pondkit.geometry.hole import strip_beside
from pondkit.trades.walls import cautions as rules
from pondkit.trades.walls import formulas as rel
from pondkit.trades.walls.formulas import wall_stone_order, wall_volume
from pondkit.trades.walls.inputs import Wall, Walls
from pondkit.trades.walls.joints import FAILS, SAME, Backfill, Check, joint, joint_figures
from pondkit.trades.walls.results import CourseBox, WallSection, WallsResult, WallStone


def compute(drawn: Walls | None, soil: str) -> WallsResult | None:
    """Every joint of every wall; None without walls. ``soil`` is the site's, a name in the table of soils."""
    return check(drawn, soil) if drawn else None


@remembered
def check(drawn: Walls, soil: str) -> WallsResult:
    """Every joint of every wall in two cases, water behind it with the pool empty, and drained; the worse one counts.

    Args:
        drawn: As entered.
        soil: The site's, a name in the table of soils.
    """
    unsound = list(_soil_fault(drawn, soil))
    problems = [*unsound]
    found: dict[str, list[Entry]] = {}
    sections: list[WallSection] = []
    failing: list[Caution] = []
    for index, wall in enumerate(drawn.walls):
        faults = list(_faults(drawn, wall, ("walls", "walls", index)))
        problems += faults
        if faults or unsound:
            continue
        figures, section, failed = _wall(drawn, wall)
        sections.append(section)
        for key, entries in figures.items():
            found.setdefault(key, []).extend(entries)
        if failed:
            course, rank = failed
            failing.append(rules.WALL_UNSAFE(rank, wall=wall.name, course=str(course)))
    count = None
    if sections:
        sound = len(sections) - sum(each.rank == ACT for each in failing)
        count = entry(
            rel.walls_unsafe,
            "",
            cautions=[*failing, rules.WALL_OVERALL(), rules.WALL_BACKFILLED_FIRST()],
            walls=len(sections),
            held=Range(len(sections) - len(failing), sound, sound, USER),
        )
    keys = (
        "wall_height",
        "wall_pressure_share",
        "wall_thrust",
        "wall_overturning",
        "wall_sliding",
        "wall_eccentricity",
        "toe_pressure",
        "heel_pressure",
    )
    return WallsResult(
        walls_unsafe=count,
        drawn=tuple(sections),
        problems=tuple(problems),
        **{key: tuple(found.get(key, ())) for key in keys},
    )


@dataclass(frozen=True)
class Assumed:
    """What of soil and stone is not known exactly, at one corner of its ranges: friction of the backfill [deg],
    densities of moist and saturated soil [kg/m³], voids of the wall, friction between courses.
    """

    friction: float
    moist: float
    saturated: float
    porosity: float
    joint_friction: float


def assumed(drawn: Walls) -> tuple[Assumed, ...]:
    """Soil and stone as entered first, then at every corner of their ranges."""
    ranges = (
        within(drawn.friction_deg, drawn.friction_within),
        within(drawn.moist, drawn.moist_within),
        within(drawn.saturated, drawn.saturated_within),
        within(drawn.porosity, drawn.porosity_within),
        within(drawn.joint_friction, drawn.joint_friction_within),
    )
    ends = (dict.fromkeys((each.low, each.high)) for each in ranges)
    return (Assumed(*(each.typical for each in ranges)), *(Assumed(*corner) for corner in product(*ends)))


def boxes_of(drawn: Walls, wall: Wall, porosity: float) -> tuple[CourseBox, ...]:
    """The courses of a wall in their places, at voids over bulk volume."""
    made: list[CourseBox] = []
    front = low = 0.0
    for number, course in enumerate(wall.courses):
        front += float(course.set_back) if number else 0.0
        bulk = drawn.stone * (1 - porosity) * GRAVITY
        made.append(
            CourseBox(front, front + course.width, low, low + course.height, float(bulk * course.width * course.height))
        )
        low += float(course.height)
    return tuple(made)


def _wall(drawn: Walls, wall: Wall) -> tuple[dict[str, list[Entry]], WallSection, tuple[int, Rank] | None]:
    """Figures of a wall, its section, and the first course under which it does not hold
    with its rank; None where it holds.
    """
    corners = assumed(drawn)
    stacks = [boxes_of(drawn, wall, each.porosity) for each in corners]
    boxes = stacks[0]
    top = boxes[-1].high
    wet = top if wall.water is None else float(wall.water)
    friction = within(drawn.friction_deg, drawn.friction_within)
    share = entry(rel.wall_pressure_share, wall.name, source=USER, friction=friction, slope=wall.slope_deg)
    water, _ = densest_water()
    fills = [
        Backfill(
            rel.wall_pressure_share(each.friction, wall.slope_deg),
            float(wall.slope_deg),
            each.moist,
            each.saturated,
            water,
            float(wall.surcharge),
        )
        for each in corners
    ]
    height = entry(
        rel.wall_height,
        wall.name,
        source=USER,
        cautions=[*_permits(top, wall), rules.WALL_OVERALL(), *_no_length(wall)],
        courses=[course.height for course in wall.courses],
    )
    figures: dict[str, list[Entry]] = {"wall_height": [height], "wall_pressure_share": [share]}
    through: list[tuple[float, float] | None] = []
    pull = (0.0, 0.0)
    failed: tuple[int, Rank] | None = None
    for at in range(len(boxes)):
        checks = [
            Check(
                tuple(joint(stack, at, fill, level) for level in (wet, 0.0)),
                float(drawn.base_friction) if at == 0 else each.joint_friction,
                float(drawn.adhesion) if at == 0 else 0.0,
            )
            for each, stack, fill in zip(corners, stacks, fills, strict=True)
        ]
        own = joint_figures(drawn, f"{wall.name} / {at + 1}", at == 0, checks)
        for key, figure in own.items():
            figures.setdefault(key, []).append(figure)
        notes = (note for figure in own.values() for note in figure.cautions)
        ranks = {note.rank for note in notes if isinstance(note, Caution) and note.key in FAILS}
        if ranks and (failed is None or (failed[1] != ACT and ACT in ranks)):
            failed = at + 1, ACT if ACT in ranks else CHECK
        worse = checks[0].worse
        lifted = worse.vertical <= SAME
        through.append(
            None if lifted else (worse.toe + (worse.resisting - worse.overturning) / worse.vertical, worse.level)
        )
        pull = pull if at else (worse.thrust, worse.vertical)
    return figures, WallSection(wall.name, boxes, float(wall.slope_deg), wet, tuple(through), pull), failed


def _no_length(wall: Wall) -> tuple[Caution, ...]:
    return () if wall.points or wall.length is not None else (rules.WALL_WITHOUT_LENGTH(),)


def _soil_fault(drawn: Walls, soil: str) -> Iterator[Problem]:
    if drawn.walls and drawn.allowed is None and not bears_as_listed(soil):
        yield Problem(
            ("walls", "allowed"),
            words(f"the walls would stand on {soil}, the site's soil"),
            words("not on this: no presumptive pressure holds for it"),
            words("dig down to firm ground, or have it tested, and enter the allowable pressure"),
        )


def _permits(top: float, wall: Wall) -> Iterator[Caution]:
    """Heights at which codes ask for a design or a permit."""
    for rule, name in (
        (rules.WALL_DESIGN_ASKED, "wall designed above"),
        (rules.WALL_PERMIT_ASKED, "wall permit above"),
    ):
        most, source = limit(name, LENGTH)
        height = top - SAME
        if height > most:
            yield rule(None, source=source, limit=(most, LENGTH))
    if wall.surcharge > 0 or wall.slope_deg > 0:
        yield rules.WALL_NOT_EXEMPT()


def _faults(drawn: Walls, wall: Wall, path: Path) -> Iterator[Problem]:
    if not wall.courses:
        yield Problem(
            (*path, "courses"),
            words("the wall has no course"),
            words("one at least"),
            words("add its courses from the base up"),
        )
        return
    friction = within(drawn.friction_deg, drawn.friction_within).low
    if wall.slope_deg >= friction - SAME:
        yield Problem(
            (*path, "slope_deg"),
            words("the backfill rises at {slope}", slope=(wall.slope_deg, ANGLE)),
            words("less than its angle of friction at the least, {friction}", friction=(friction, ANGLE)),
            words("flatten the slope, or enter the friction of the soil that is there"),
        )
    top = sum(float(course.height) for course in wall.courses)
    if wall.water is not None and wall.water > top + SAME:
        yield Problem(
            (*path, "water"),
            words("water stands {water} high behind the wall", water=(wall.water, LENGTH)),
            words("at most {top}, its top", top=(top, LENGTH)),
            words("lower it, or leave it out: then it stands to the top"),
        )
    water = densest_water()[0]
    if within(drawn.saturated, drawn.saturated_within).low <= water or drawn.saturated < drawn.moist:
        yield Problem(
            ("walls", "saturated"),
            words("saturated backfill is lighter than water or than the moist soil"),
            words("heavier than both"),
            words("exchange the two densities, or measure again"),
        )
    boxes = boxes_of(drawn, wall, drawn.porosity)
    for at in range(1, len(boxes)):
        if boxes[at - 1].back - boxes[at].front <= SAME:
            yield Problem(
                (*path, "courses", at, "set_back"),
                words("course {number} does not stand on the one below", number=(at + 1, COUNT)),
                words("less than {width}", width=(boxes[at - 1].back - boxes[at - 1].front, LENGTH)),
                words("set it back less, or make the course below wider"),
            )


@remembered
def wall_stone(drawn: Walls, plans: tuple[tuple[float, ...] | None, ...], rock: Range | None) -> WallStone:
    """Stone of every wall.

    Args:
        drawn: As entered.
        plans: Of each wall the plan area of each of its courses [m²]; None where it has neither line nor length.
        rock: Density of the rock that is ordered [kg/m³]; None where none is named.
    """
    least = float(drawn.stone)
    # The walls stand safely by the density entered with them, which is the least; what is hauled may be heavier.
    density = Range(least, least, least, USER)
    if rock is not None:
        source = f"low: {USER}; {rock.source}"
        density = Range(least, max(least, rock.typical), max(least, rock.high), source)
    notes = [rules.WALL_STONE_FITS(), *([rules.WALL_ROCK_NOT_NAMED()] if rock is None else [])]
    porosity = within(drawn.porosity, drawn.porosity_within)
    volumes, orders = [], []
    for wall, plan in zip(drawn.walls, plans, strict=True):
        if plan is None or not plan:
            continue
        bulk = entry(wall_volume, wall.name, heights=[course.height for course in wall.courses], plans=list(plan))
        volumes.append(bulk)
        orders.append(
            entry(
                wall_stone_order,
                wall.name,
                source=USER,
                cautions=notes,
                volume=bulk,
                porosity=porosity,
                density=density,
            )
        )
    unknown = tuple(wall.name for wall, plan in zip(drawn.walls, plans, strict=True) if plan is None and wall.courses)
    whole = total("", orders, MASS) if orders else None
    if whole is not None and unknown:
        whole = with_cautions(whole, rules.WALL_STONE_LACKS(walls=", ".join(unknown)))
    return WallStone(tuple(volumes), tuple(orders), whole, unknown)


def fronts(wall: Wall) -> Sequence[tuple[float, float]]:
    """(how far its front lies behind that of the lowest course, its width) of each course [m]."""
    found, front = [], 0.0
    for number, course in enumerate(wall.courses):
        front += float(course.set_back) if number else 0.0
        found.append((front, float(course.width)))
    return found


def stone_order(drawn: Walls | None, rock: Range | None) -> WallStone | None:
    """Stone of the walls; None where no wall has courses.

    Args:
        drawn: As entered.
        rock: Density of the rock that is ordered [kg/m³]; None where none is named.
    """
    if drawn is None or not any(wall.courses for wall in drawn.walls):
        return None
    return wall_stone(drawn, tuple(_plans(wall) for wall in drawn.walls), rock)


@remembered
def _plans(wall: Wall) -> tuple[float, ...] | None:
    """Plan area of each course of a wall [m²]; None where neither line nor length is entered, or the line is none."""
    places = fronts(wall)
    if not wall.points:
        return None if wall.length is None else tuple(float(wall.length) * wide for _, wide in places)
    plans = []
    for front, wide in places:
        whole = strip_beside(wall.points, 0.0, front + wide, 0.0)
        before = strip_beside(wall.points, 0.0, front, 0.0) if front > 0 else None
        if whole is None or (front > 0 and before is None):
            return None
        plans.append(float(whole.area) - (float(before.area) if before is not None else 0.0))
    return tuple(plans)
