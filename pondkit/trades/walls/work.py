"""Works the dry-stacked walls of an option out, joint by joint, wet and drained, and keeps the worse."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Entry, entry, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Result
from pondkit.core.sentence import Words, words
from pondkit.core.tables import bears_as_listed, densest_water, gathered, rows_by_name
from pondkit.core.units import ANGLE, COUNT, LENGTH, PRESSURE, RATIO, factor
from pondkit.trades.walls import relations as rel
from pondkit.trades.walls.forces import Backfill, Box, Joint, joint
from pondkit.trades.walls.inputs import Wall, Walls

OVERALL = Words(
    "Overall stability is not checked: the slope that wall, backfill and ground make together, settlement, frost, washing out between the stones. Tiers nearer than twice "
    "the height of the lower one count as one wall. Local code and an engineer decide."
)
FIRST = Words(
    "Never load the ground behind a wall before its backfill is in and drained; nobody in front of it while it is stacked."
)
GROUND = Words(
    "Held against the pressure that undisturbed ground may bear: not mud, organic soil or fresh fill. Settlement and frost are not checked; local code and a "
    "geotechnical engineer decide."
)
BOTH = Words(
    "Friction and adhesion are added: IBC table 1806.2 gives friction for sand and gravel, adhesion for clay; both at once only where both were tested."
)
LEAST_GROUND = "clay, silt"  # row of the table of presumptive pressures with the least
FLOATS = Words("Water under the joint lifts more than the wall above it weighs.")
NO_LENGTH = Words("Neither its line nor its length is entered: its stone is in no order.")
SAME = 1e-9


@dataclass(frozen=True)
class Drawn:
    """A wall as its section is drawn, measured back from its toe and up from its base [m].

    Attributes:
        name: The wall.
        boxes: Its courses.
        slope: Of the backfill [deg].
        water: Height of the water behind it.
        through: (back, up) where the resultant passes each joint, from the base up; None for one that the water lifts.
        pull: (level, down) of the resultant on the base [N/m].
    """

    name: str
    boxes: tuple[Box, ...]
    slope: float
    water: float
    through: tuple[tuple[float, float] | None, ...]
    pull: tuple[float, float]


@dataclass(frozen=True, eq=False)
class WallsResult(Result):
    """The walls of an option. Subjects are a wall, or "wall / course" for the joint under that course, from 1 at the base.

    Attributes:
        drawn: The walls that could be worked out, as they are drawn.
        problems: What could not be worked out, and how to mend it.
    """

    walls_unsafe: Entry | None
    wall_height: tuple[Entry, ...]
    wall_pressure_share: tuple[Entry, ...]
    wall_thrust: tuple[Entry, ...]
    wall_overturning: tuple[Entry, ...]
    wall_sliding: tuple[Entry, ...]
    wall_eccentricity: tuple[Entry, ...]
    toe_pressure: tuple[Entry, ...]
    heel_pressure: tuple[Entry, ...]
    drawn: tuple[Drawn, ...]
    problems: tuple[Problem, ...]


@remembered
def work_out(drawn: Walls, soil: str) -> WallsResult:
    """Every joint of every wall, with the water behind it and the pool empty, and drained; the worse counts.

    Args:
        drawn: As entered.
        soil: The site's, a name in the table of soils.
    """
    unsound = list(_soil_fault(drawn, soil))
    problems = [*unsound]
    found: dict[str, list[Entry]] = {}
    sections: list[Drawn] = []
    lacking: list[Words] = []
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
            lacking.append(Words(f"'{wall.name}' does not hold at the joint under course {failed}: see its figures."))
    count = None
    if sections:
        count = entry(
            rel.walls_unsafe,
            "",
            cautions=[*lacking, OVERALL, FIRST],
            walls=len(sections),
            held=len(sections) - len(lacking),
        )
    keys = ("wall_height", "wall_pressure_share", "wall_thrust", "wall_overturning", "wall_sliding", "wall_eccentricity",
            "toe_pressure", "heel_pressure")  # fmt: skip
    return WallsResult(
        walls_unsafe=count,
        drawn=tuple(sections),
        problems=tuple(problems),
        **{key: tuple(found.get(key, ())) for key in keys},
    )


def boxes_of(drawn: Walls, wall: Wall) -> tuple[Box, ...]:
    """The courses of a wall in their places."""
    made: list[Box] = []
    front = low = 0.0
    for number, course in enumerate(wall.courses):
        front += float(course.set_back) if number else 0.0
        bulk = drawn.stone * (1 - drawn.porosity) * GRAVITY
        made.append(
            Box(front, front + course.width, low, low + course.height, float(bulk * course.width * course.height))
        )
        low += float(course.height)
    return tuple(made)


def _no_length(wall: Wall) -> list[Words]:
    return [] if wall.points or wall.length is not None else [NO_LENGTH]


def _wall(drawn: Walls, wall: Wall) -> tuple[dict[str, list[Entry]], Drawn, int]:
    """Figures of a wall, its section, and the first course under which it does not hold; 0 where it holds."""
    boxes = boxes_of(drawn, wall)
    top = boxes[-1].high
    wet = top if wall.water is None else float(wall.water)
    share = entry(rel.wall_pressure_share, wall.name, source=USER, friction=drawn.friction_deg, slope=wall.slope_deg)
    water, _ = densest_water()
    fill = Backfill(
        share.value, float(wall.slope_deg), float(drawn.moist), float(drawn.saturated), water, float(wall.surcharge)
    )
    height = entry(
        rel.wall_height, wall.name, source=USER, cautions=[*_permits(top, wall), OVERALL, *_no_length(wall)],
        courses=[course.height for course in wall.courses],
    )  # fmt: skip
    figures: dict[str, list[Entry]] = {"wall_height": [height], "wall_pressure_share": [share]}
    through: list[tuple[float, float] | None] = []
    pull, failed = (0.0, 0.0), 0
    for at in range(len(boxes)):
        cases = [joint(boxes, at, fill, level) for level in (wet, 0.0)]
        # By safety against tipping: what tips furthest also presses furthest out.
        worse = min(cases, key=lambda case: case.resisting / case.overturning if case.overturning > 0 else 1e9)
        own, holds = _joint(drawn, f"{wall.name} / {at + 1}", at == 0, worse, cases)
        for key, figure in own.items():
            figures.setdefault(key, []).append(figure)
        failed = failed or (0 if holds else at + 1)
        lifted = worse.vertical <= SAME
        through.append(None if lifted else (worse.toe + (worse.resisting - worse.overturning) / worse.vertical, worse.level))  # fmt: skip
        pull = pull if at else (worse.thrust, worse.vertical)
    return figures, Drawn(wall.name, boxes, float(wall.slope_deg), wet, tuple(through), pull), failed


def _joint(drawn: Walls, subject: str, base: bool, worse: Joint, cases: list[Joint]) -> tuple[dict[str, Entry], bool]:
    """Figures of one joint, each by the case of water that is worse for it; True where all hold."""
    friction = float(drawn.base_friction if base else drawn.joint_friction)
    adhesion = float(drawn.adhesion) if base else 0.0
    source = f"{USER}; {densest_water()[1]}"
    thrust = entry(
        rel.wall_thrust, subject, source=source, soil=worse.soil, surcharge=worse.surcharge, water=worse.water
    )
    over = entry(rel.wall_overturning, subject, source=source, resisting=worse.resisting, overturning=worse.overturning)
    slides = [
        entry(rel.wall_sliding, subject, source=source, vertical=case.vertical, friction=friction, adhesion=adhesion, width=case.width, thrust=case.thrust)
        for case in cases
    ]  # fmt: skip
    slide = min(slides, key=lambda figure: figure.value)
    floats = any(case.vertical <= SAME for case in cases)
    if friction > 0 and adhesion > 0:
        slide = with_cautions(slide, BOTH)
    checks: list[tuple[str, Entry, Words | None]] = [
        ("wall_overturning", over, _short(over, float(drawn.least_overturning), "tip over its toe")),
        ("wall_sliding", slide, FLOATS if floats else _short(slide, float(drawn.least_sliding), "slide")),
    ]
    asides = [] if floats else [
        entry(rel.wall_eccentricity, subject, source=source, width=case.width, resisting=case.resisting, overturning=case.overturning, vertical=case.vertical)
        for case in cases
    ]  # fmt: skip
    if asides:
        aside = max(asides, key=lambda figure: abs(figure.value))
        checks.append(("wall_eccentricity", aside, _outside(aside, worse.width)))
    toes = []
    for case, figure in zip(cases, asides, strict=not floats):
        if abs(figure.value) < case.width / 2 - SAME:
            pressed: dict[str, Any] = {"vertical": case.vertical, "width": case.width, "eccentricity": figure.value}
            toes.append((entry(rel.toe_pressure, subject, source=source, **pressed), entry(rel.heel_pressure, subject, source=source, **pressed)))  # fmt: skip
    if len(toes) == len(cases):
        toe, heel = max(toes, key=lambda pair: pair[0].value)
        over_ground = None
        allowed, said = _allowed(drawn)
        if base:
            toe = with_cautions(toe, GROUND)
        if base and toe.value > allowed + SAME:
            over_ground = words(
                f"More than the {{allowed}} that the ground may bear ({said}): widen the base, or set it on bedding.",
                allowed=(allowed, PRESSURE),
            )
        checks += [("toe_pressure", toe, over_ground), ("heel_pressure", heel, None)]
    figures = {key: with_cautions(figure, note) if note else figure for key, figure, note in checks}
    return {"wall_thrust": thrust, **figures}, len(toes) == len(cases) and not any(note for _, _, note in checks)


def _allowed(drawn: Walls) -> tuple[float, str]:
    """What the ground under the base may bear [Pa], and by what."""
    if drawn.allowed is not None:
        return float(drawn.allowed), "as entered"
    row = rows_by_name("trades/stone/bearing")[LEAST_GROUND]
    return float(row["pressure_psf"]) * factor("psf", PRESSURE), str(row["source"])


def _soil_fault(drawn: Walls, soil: str) -> Iterator[Problem]:
    if drawn.walls and drawn.allowed is None and not bears_as_listed(soil):
        yield Problem(
            ("walls", "allowed"),
            words(f"the walls would stand on {soil}, the site's soil"),
            words("not on this: no presumptive pressure holds for it"),
            words("dig down to firm ground, or have it tested, and enter the allowable pressure"),
        )


def _short(figure: Entry, least: float, what: str) -> Words | None:
    if figure.value >= least - SAME:
        return None
    return words(f"Less than {{least}}: the wall above this joint may {what}.", least=(least, RATIO))


def _outside(aside: Entry, width: float) -> Words | None:
    if abs(aside.value) <= width / 6 + SAME:
        return None
    if abs(aside.value) >= width / 2:
        return Words("The resultant leaves the joint: the wall above it falls.")
    return words(
        "The resultant lies outside the middle third, {third} from the middle: the joint opens on the other side.",
        third=(width / 6, LENGTH),
    )


def _permits(top: float, wall: Wall) -> Iterator[Words]:
    """Heights at which codes ask for a design or a permit."""
    for name, said in (
        ("wall designed above", "a design is asked for"),
        ("wall permit above", "a permit is asked for"),
    ):
        row = gathered("limits")[name]
        limit = float(row["value"]) * factor(row["unit"], LENGTH)
        if top > limit + SAME:
            yield words(f"Over {{limit}} {said} ({row['source']}).", limit=(limit, LENGTH))
    if wall.surcharge > 0 or wall.slope_deg > 0:
        yield Words(
            "With a surcharge or a slope behind it no height is exempt from a permit (IBC 105.2, IRC R105.2, secondary source)."
        )


def _faults(drawn: Walls, wall: Wall, path: Path) -> Iterator[Problem]:
    if not wall.courses:
        yield Problem((*path, "courses"), words("the wall has no course"), words("one at least"), words("add its courses from the base up"))  # fmt: skip
        return
    if wall.slope_deg >= drawn.friction_deg - SAME:
        yield Problem(
            (*path, "slope_deg"),
            words("the backfill rises at {slope}", slope=(wall.slope_deg, ANGLE)),
            words("less than its angle of friction, {friction}", friction=(drawn.friction_deg, ANGLE)),
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
    if drawn.saturated <= water or drawn.saturated < drawn.moist:
        yield Problem(
            ("walls", "saturated"),
            words("saturated backfill is lighter than water or than the moist soil"),
            words("heavier than both"),
            words("exchange the two densities, or measure again"),
        )
    boxes = boxes_of(drawn, wall)
    for at in range(1, len(boxes)):
        if boxes[at - 1].back - boxes[at].front <= SAME:
            yield Problem(
                (*path, "courses", at, "set_back"),
                words("course {number} does not stand on the one below", number=(at + 1, COUNT)),
                words("less than {width}", width=(boxes[at - 1].back - boxes[at - 1].front, LENGTH)),
                words("set it back less, or make the course below wider"),
            )
