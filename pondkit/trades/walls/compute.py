"""All walls of an option: their joints, wet and drained, of which the worse governs; and the stone to order."""

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
from pondkit.trades.walls.joints import FAILURES, SAME, Backfill, JointCases, joint, joint_figures
from pondkit.trades.walls.results import CourseBox, WallSection, WallsResult, WallStone


def compute(walls: Walls | None, soil: str) -> WallsResult | None:
    """All joints of all walls; None if the option has no walls.

    Args:
        walls: Inputs of the walls.
        soil: Soil of the site, a name in the table of soils.
    """
    return check_walls(walls, soil) if walls else None


@remembered
def check_walls(walls: Walls, soil: str) -> WallsResult:
    """All joints of all walls in two cases: water behind the wall with the pool empty, and drained. The worse one
    governs.

    Args:
        walls: Inputs of the walls.
        soil: Soil of the site, a name in the table of soils.
    """
    soil_problems = list(_soil_problems(walls, soil))
    problems = [*soil_problems]
    figure_entries: dict[str, list[Entry]] = {}
    sections: list[WallSection] = []
    failing: list[Caution] = []
    for index, wall in enumerate(walls.walls):
        wall_problems = list(_wall_problems(walls, wall, ("walls", "walls", index)))
        problems += wall_problems
        if wall_problems or soil_problems:
            continue
        figures, section, failed = _wall(walls, wall)
        sections.append(section)
        for key, entries in figures.items():
            figure_entries.setdefault(key, []).extend(entries)
        if failed:
            course, rank = failed
            failing.append(rules.WALL_UNSAFE(rank, wall=wall.name, course=str(course)))
    count = None
    if sections:
        sound = len(sections) - sum(caution.rank == ACT for caution in failing)
        count = entry(
            rel.walls_unsafe,
            "",
            cautions=[*failing, rules.WALL_OVERALL(), rules.WALL_BACKFILLED_FIRST()],
            walls=len(sections),
            sound=Range(len(sections) - len(failing), sound, sound, USER),
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
        **{key: tuple(figure_entries.get(key, ())) for key in keys},
    )


@dataclass(frozen=True)
class AssumedProperties:
    """Properties of soil and stone that have a range, at one corner of all their ranges.

    Attributes:
        friction: Angle of friction of the backfill [deg].
        moist, saturated: Densities of moist and saturated soil [kg/m³].
        porosity: Voids over bulk volume of the wall.
        joint_friction: Coefficient of friction between courses.
    """

    friction: float
    moist: float
    saturated: float
    porosity: float
    joint_friction: float


def _corners(walls: Walls) -> tuple[AssumedProperties, ...]:
    """Properties of soil and stone as entered, then at every corner of their ranges."""
    ranges = (
        within(walls.friction_deg, walls.friction_within),
        within(walls.moist, walls.moist_within),
        within(walls.saturated, walls.saturated_within),
        within(walls.porosity, walls.porosity_within),
        within(walls.joint_friction, walls.joint_friction_within),
    )
    typical = AssumedProperties(*(value_range.typical for value_range in ranges))
    ends = (dict.fromkeys((value_range.low, value_range.high)) for value_range in ranges)
    return (typical, *(AssumedProperties(*corner) for corner in product(*ends)))


def _boxes(walls: Walls, wall: Wall, porosity: float) -> tuple[CourseBox, ...]:
    """The courses of a wall in section, for a porosity (voids over bulk volume) from which their weight follows."""
    boxes: list[CourseBox] = []
    front = low = 0.0
    for number, course in enumerate(wall.courses):
        front += float(course.set_back) if number else 0.0
        bulk = walls.stone * (1 - porosity) * GRAVITY
        boxes.append(
            CourseBox(front, front + course.width, low, low + course.height, float(bulk * course.width * course.height))
        )
        low += float(course.height)
    return tuple(boxes)


def _wall(walls: Walls, wall: Wall) -> tuple[dict[str, list[Entry]], WallSection, tuple[int, Rank] | None]:
    """(figures of a wall by key, its section, (first course whose joint fails, rank of the caution) or None)."""
    corners = _corners(walls)
    stacks = [_boxes(walls, wall, assumed.porosity) for assumed in corners]
    boxes = stacks[0]
    top = boxes[-1].high
    water_height = top if wall.water is None else float(wall.water)
    friction = within(walls.friction_deg, walls.friction_within)
    pressure_coefficient = entry(
        rel.wall_pressure_share, wall.name, source=USER, friction=friction, slope=wall.slope_deg
    )
    water_density, _ = densest_water()
    fills = [
        Backfill(
            rel.wall_pressure_share(assumed.friction, wall.slope_deg),
            float(wall.slope_deg),
            assumed.moist,
            assumed.saturated,
            water_density,
            float(wall.surcharge),
        )
        for assumed in corners
    ]
    height = entry(
        rel.wall_height,
        wall.name,
        source=USER,
        cautions=[*_permits(walls, wall, top), rules.WALL_OVERALL(), *_no_length(wall)],
        courses=[course.height for course in wall.courses],
    )
    figures: dict[str, list[Entry]] = {"wall_height": [height], "wall_pressure_share": [pressure_coefficient]}
    resultants: list[tuple[float, float] | None] = []
    base_force = (0.0, 0.0)
    failed: tuple[int, Rank] | None = None
    for index in range(len(boxes)):
        joints = [
            JointCases(
                tuple(joint(stack, index, fill, level) for level in (water_height, 0.0)),
                float(walls.base_friction) if index == 0 else assumed.joint_friction,
                float(walls.adhesion) if index == 0 else 0.0,
            )
            for assumed, stack, fill in zip(corners, stacks, fills, strict=True)
        ]
        joint_entries = joint_figures(walls, f"{wall.name} / {index + 1}", index == 0, joints)
        for key, figure in joint_entries.items():
            figures.setdefault(key, []).append(figure)
        notes = (note for figure in joint_entries.values() for note in figure.cautions)
        ranks = {note.rank for note in notes if isinstance(note, Caution) and note.key in FAILURES}
        if ranks and (failed is None or (failed[1] != ACT and ACT in ranks)):
            failed = index + 1, ACT if ACT in ranks else CHECK
        worst = joints[0].worst_overturning
        lifted = worst.vertical <= SAME
        resultants.append(
            None if lifted else (worst.toe + (worst.resisting - worst.overturning) / worst.vertical, worst.level)
        )
        base_force = base_force if index else (worst.thrust, worst.vertical)
    section = WallSection(wall.name, boxes, float(wall.slope_deg), water_height, tuple(resultants), base_force)
    return figures, section, failed


def _no_length(wall: Wall) -> tuple[Caution, ...]:
    """Caution for a wall with neither line nor length."""
    return () if wall.points or wall.length is not None else (rules.WALL_WITHOUT_LENGTH(),)


def _soil_problems(walls: Walls, soil: str) -> Iterator[Problem]:
    if walls.walls and walls.allowed is None and not bears_as_listed(soil):
        yield Problem(
            ("walls", "allowed"),
            words(f"the walls would stand on {soil}, the site's soil"),
            words("ground for which a presumptive pressure holds; none does for this"),
            words("dig down to firm ground, or have it tested, and enter the allowable pressure"),
        )


def _permits(walls: Walls, wall: Wall, top: float) -> Iterator[Caution]:
    """Cautions for heights at which codes require a design or a permit. ``top``: height of its courses [m]."""
    for rule, name, height in (
        (rules.WALL_DESIGN_ASKED, "wall designed above", top),
        # The code measures from the bottom of the footing.
        (rules.WALL_PERMIT_ASKED, "wall permit above", top + float(walls.footing)),
    ):
        most, source = limit(name, LENGTH)
        if height - SAME > most:
            yield rule(None, source=source, limit=(most, LENGTH))
    if wall.surcharge > 0 or wall.slope_deg > 0:
        yield rules.WALL_NOT_EXEMPT()


def _wall_problems(walls: Walls, wall: Wall, path: Path) -> Iterator[Problem]:
    if not wall.courses:
        yield Problem(
            (*path, "courses"),
            words("the wall has no course"),
            words("one at least"),
            words("add its courses from the base up"),
        )
        return
    friction = within(walls.friction_deg, walls.friction_within).low
    if wall.slope_deg >= friction - SAME:
        yield Problem(
            (*path, "slope_deg"),
            words("the backfill rises at {slope}", slope=(wall.slope_deg, ANGLE)),
            words("less than the least that its angle of friction may be, {friction}", friction=(friction, ANGLE)),
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
    if within(walls.saturated, walls.saturated_within).low <= water or walls.saturated < walls.moist:
        yield Problem(
            ("walls", "saturated"),
            words("saturated backfill is lighter than water or than the moist soil"),
            words("heavier than both"),
            words("exchange the two densities, or measure again"),
        )
    boxes = _boxes(walls, wall, walls.porosity)
    for index in range(1, len(boxes)):
        if boxes[index - 1].back - boxes[index].front <= SAME:
            yield Problem(
                (*path, "courses", index, "set_back"),
                words("course {number} does not stand on the one below", number=(index + 1, COUNT)),
                words("less than {width}", width=(boxes[index - 1].back - boxes[index - 1].front, LENGTH)),
                words("set it back less, or make the course below wider"),
            )


@remembered
def wall_stone(walls: Walls, plans: tuple[tuple[float, ...] | None, ...], rock: Range | None) -> WallStone:
    """Stone to order for every wall.

    Args:
        walls: Inputs of the walls.
        plans: Plan area of each course of each wall [m²]; None if the wall has neither line nor length.
        rock: Density of the rock ordered [kg/m³]; None if no rock is named.
    """
    least = float(walls.stone)
    # Stability counts with the density entered, which is the least; the stone that is delivered may be heavier.
    density = Range(least, least, least, USER)
    if rock is not None:
        source = f"low: {USER}; {rock.source}"
        density = Range(least, max(least, rock.typical), max(least, rock.high), source)
    notes = [rules.WALL_STONE_FITS(), *([rules.WALL_ROCK_NOT_NAMED()] if rock is None else [])]
    porosity = within(walls.porosity, walls.porosity_within)
    volumes, orders = [], []
    for wall, plan in zip(walls.walls, plans, strict=True):
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
    unknown = tuple(wall.name for wall, plan in zip(walls.walls, plans, strict=True) if plan is None and wall.courses)
    total_order = total("", orders, MASS) if orders else None
    if total_order is not None and unknown:
        total_order = with_cautions(total_order, rules.WALL_STONE_LACKS(walls=", ".join(unknown)))
    return WallStone(tuple(volumes), tuple(orders), total_order, unknown)


def fronts(wall: Wall) -> Sequence[tuple[float, float]]:
    """(distance of its front behind that of the lowest course, its width) of each course [m]."""
    offsets, front = [], 0.0
    for number, course in enumerate(wall.courses):
        front += float(course.set_back) if number else 0.0
        offsets.append((front, float(course.width)))
    return offsets


def stone_order(walls: Walls | None, rock: Range | None) -> WallStone | None:
    """Stone to order for the walls; None if no wall has courses.

    Args:
        walls: Inputs of the walls.
        rock: Density of the rock ordered [kg/m³]; None if no rock is named.
    """
    if walls is None or not any(wall.courses for wall in walls.walls):
        return None
    return wall_stone(walls, tuple(_plans(wall) for wall in walls.walls), rock)


@remembered
def _plans(wall: Wall) -> tuple[float, ...] | None:
    """Plan area of each course of a wall [m²]; None if neither line nor length is entered, or the line is not valid."""
    places = fronts(wall)
    if not wall.points:
        return None if wall.length is None else tuple(float(wall.length) * wide for _, wide in places)
    plans = []
    for front, wide in places:
        plan = strip_beside(wall.points, 0.0, front + wide, 0.0)
        before = strip_beside(wall.points, 0.0, front, 0.0) if front > 0 else None
        if plan is None or (front > 0 and before is None):
            return None
        plans.append(float(plan.area) - (float(before.area) if before is not None else 0.0))
    return tuple(plans)
