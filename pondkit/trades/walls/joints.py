"""One joint of a wall: the forces on it per length of wall, its safety and pressures, wet and drained, at every corner
of the ranges of soil and stone.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from pondkit.core.caution import ACT, CHECK, Caution
from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Entry, entry, with_cautions
from pondkit.core.tables import densest_water, rows_by_name
from pondkit.core.units import LENGTH, PRESSURE, RATIO, factor
from pondkit.trades.walls import cautions as rules
from pondkit.trades.walls import formulas as rel
from pondkit.trades.walls.inputs import Walls
from pondkit.trades.walls.results import CourseBox


@dataclass(frozen=True)
class Backfill:
    """Backfill of a wall, and the water in it.

    Attributes:
        pressure_coefficient: Active earth pressure coefficient [-].
        slope: Slope of its surface, rising from the wall [deg].
        moist, saturated, water: Densities of the soil above and below water, and of water [kg/m³].
        surcharge: Even pressure on its surface [Pa].
    """

    pressure_coefficient: float
    slope: float
    moist: float
    saturated: float
    water: float
    surcharge: float


@dataclass(frozen=True)
class Joint:
    """Forces on a joint [N/m] and moments about its toe [N], for one water level, per length of wall.

    Attributes:
        toe, width: Distance of its front edge behind the wall's toe, and width in contact [m].
        level: Height above the base [m].
        soil, surcharge, water: Horizontal thrusts.
        vertical: Weight and the downward part of the pressure of a sloping backfill, less uplift.
        resisting, overturning: Moments.
    """

    toe: float
    width: float
    level: float
    soil: float
    surcharge: float
    water: float
    vertical: float
    resisting: float
    overturning: float

    @property
    def thrust(self) -> float:
        """Total horizontal thrust [N/m]."""
        return self.soil + self.surcharge + self.water


def joint(boxes: tuple[CourseBox, ...], index: int, fill: Backfill, wet: float) -> Joint:
    """Forces on the joint under one course.

    The soil acts on a vertical plane through the rearmost edge above the joint; soil on steps at the back is not
    counted as weight. Water behind the wall lifts the joint by its pressure, which falls evenly from the heel to zero
    at the toe. Uplift and water count as overturning.

    Args:
        boxes: The courses from the base up.
        index: Index of the course on the joint.
        fill: Backfill of the wall.
        wet: Height of water in the backfill above the base [m]; there is none in front.
    """
    above = boxes[index:]
    level, toe = above[0].low, above[0].front
    width = min(above[0].back, boxes[index - 1].back if index else math.inf) - toe
    plane = max(box.back for box in above)
    lean = math.radians(fill.slope)
    height = above[-1].high - level + max(plane - above[-1].back, 0.0) * math.tan(lean)
    deep = min(max(wet - level, 0.0), height)
    dry = height - deep
    k, g = fill.pressure_coefficient, GRAVITY
    # (resultant of a part of the pressure, parallel to the slope of the backfill; its height over the joint)
    pressed = (
        (k * fill.moist * g * dry**2 / 2, deep + dry / 3),
        (k * fill.moist * g * dry * deep, deep / 2),
        (k * (fill.saturated - fill.water) * g * deep**2 / 2, deep / 3),
    )
    soil = sum(force for force, _ in pressed) * math.cos(lean)
    loaded = k * fill.surcharge * height * math.cos(lean)
    water = fill.water * g * deep**2 / 2
    drag = (sum(force for force, _ in pressed) + k * fill.surcharge * height) * math.sin(lean)
    lift = fill.water * g * deep * width / 2
    weight = sum(box.weight for box in above)
    return Joint(
        toe=toe,
        width=width,
        level=level,
        soil=soil,
        surcharge=loaded,
        water=water,
        vertical=weight + drag - lift,
        resisting=sum(box.weight * ((box.front + box.back) / 2 - toe) for box in above) + drag * (plane - toe),
        overturning=sum(force * arm for force, arm in pressed) * math.cos(lean)
        + loaded * height / 2
        + water * deep / 3
        + lift * width * 2 / 3,
    )


LEAST_GROUND = "clay, silt"  # row with the least of the presumptive pressures
SAME = 1e-9
FAILURES = frozenset(
    rule.key
    for rule in (
        rules.WALL_TIPS,
        rules.WALL_SLIDES,
        rules.WALL_LIFTED,
        rules.WALL_JOINT_OPENS,
        rules.WALL_FALLS,
        rules.WALL_PRESSES,
    )
)


@dataclass(frozen=True)
class JointCases:
    """One joint at one corner of the ranges of soil and stone.

    Attributes:
        cases: Its forces with water behind the wall, and drained.
        friction, adhesion: Its coefficient of friction [-], and its adhesion [Pa].
    """

    cases: tuple[Joint, ...]
    friction: float
    adhesion: float

    @property
    def worst_overturning(self) -> Joint:
        """The case with the least safety against overturning."""
        return min(self.cases, key=lambda case: case.resisting / case.overturning if case.overturning > 0 else 1e9)

    @property
    def worst_sliding(self) -> Joint:
        """The case with the least safety against sliding."""
        return min(self.cases, key=self.sliding_safety)

    @property
    def lifted(self) -> bool:
        """True if water lifts more than the wall above the joint weighs, in any case."""
        return any(case.vertical <= SAME for case in self.cases)

    @property
    def worst_eccentricity(self) -> Joint:
        """The case in which the resultant lies furthest from the middle; of no meaning if the joint is lifted."""
        return max(self.cases, key=lambda case: abs(self.eccentricity(case)))

    def eccentricity(self, case: Joint) -> float:
        """Eccentricity of the resultant [m], see ``formulas``."""
        return rel.wall_eccentricity(case.width, case.resisting, case.overturning, case.vertical)

    def sliding_safety(self, case: Joint) -> float:
        """Factor of safety against sliding."""
        return rel.wall_sliding(case.vertical, self.friction, self.adhesion, case.width, case.thrust)

    @property
    def worst_pressure(self) -> Joint | None:
        """The case with the greatest pressure on the joint; None if the resultant leaves it, or it is lifted."""
        if self.lifted or abs(self.eccentricity(self.worst_eccentricity)) >= self.worst_eccentricity.width / 2 - SAME:
            return None
        return max(self.cases, key=lambda case: rel.toe_pressure(case.vertical, case.width, self.eccentricity(case)))


def _with_range(figure: Entry, values: Iterable[float]) -> Entry:
    """A figure with its range, from its values at every corner of the inputs' ranges."""
    every = [figure.value, *values]
    low, high = min(every), max(every)
    return replace(figure, low=low, high=high) if low < high else figure


def joint_figures(walls: Walls, subject: str, base: bool, corners: list[JointCases]) -> dict[str, Entry]:
    """Figures of one joint by key, each for the worse water level, with ranges over all corners.

    Args:
        walls: Inputs of the walls.
        subject: "wall / course".
        base: True for the joint under the lowest course, which stands on the ground.
        corners: The joint as entered, then at every corner of the ranges.
    """
    source = f"{USER}; {densest_water()[1]}"
    figures = _safeties(subject, source, corners) | _pressures(subject, source, corners)
    notes = _joint_cautions(walls, base, corners, figures)
    return {key: with_cautions(figure, *notes.get(key, ())) for key, figure in figures.items()}


def _safeties(subject: str, source: str, corners: list[JointCases]) -> dict[str, Entry]:
    """Thrust on the joint, and factors of safety against overturning and sliding."""
    as_entered = corners[0]
    tipping, sliding_case = as_entered.worst_overturning, as_entered.worst_sliding
    thrust = entry(
        rel.wall_thrust, subject, source=source, soil=tipping.soil, surcharge=tipping.surcharge, water=tipping.water
    )
    overturning = entry(
        rel.wall_overturning, subject, source=source, resisting=tipping.resisting, overturning=tipping.overturning
    )
    sliding = entry(
        rel.wall_sliding,
        subject,
        source=source,
        vertical=sliding_case.vertical,
        friction=as_entered.friction,
        adhesion=as_entered.adhesion,
        width=sliding_case.width,
        thrust=sliding_case.thrust,
    )
    tipping_cases = [corner.worst_overturning for corner in corners]
    overturning_safeties = [rel.wall_overturning(case.resisting, case.overturning) for case in tipping_cases]
    sliding_safeties = [corner.sliding_safety(corner.worst_sliding) for corner in corners]
    return {
        "wall_thrust": _with_range(thrust, [case.thrust for case in tipping_cases]),
        "wall_overturning": _with_range(overturning, overturning_safeties),
        "wall_sliding": _with_range(sliding, sliding_safeties),
    }


def _pressures(subject: str, source: str, corners: list[JointCases]) -> dict[str, Entry]:
    """Eccentricity of the resultant, and contact pressures at toe and heel; empty if the joint is lifted."""
    as_entered, figures = corners[0], {}
    if not as_entered.lifted:
        eccentric = as_entered.worst_eccentricity
        eccentricity = entry(
            rel.wall_eccentricity,
            subject,
            source=source,
            width=eccentric.width,
            resisting=eccentric.resisting,
            overturning=eccentric.overturning,
            vertical=eccentric.vertical,
        )
        eccentricities = [corner.eccentricity(corner.worst_eccentricity) for corner in corners if not corner.lifted]
        figures["wall_eccentricity"] = _with_range(eccentricity, eccentricities)
    if pressing := as_entered.worst_pressure:
        pressed = [(corner, case) for corner in corners if (case := corner.worst_pressure) is not None]
        for key, relation in (("toe_pressure", rel.toe_pressure), ("heel_pressure", rel.heel_pressure)):
            typical = entry(
                relation,
                subject,
                source=source,
                vertical=pressing.vertical,
                width=pressing.width,
                eccentricity=as_entered.eccentricity(pressing),
            )
            figures[key] = _with_range(
                typical, [relation(case.vertical, case.width, corner.eccentricity(case)) for corner, case in pressed]
            )
    return figures


def _joint_cautions(
    walls: Walls, base: bool, corners: list[JointCases], figures: dict[str, Entry]
) -> dict[str, tuple[Caution, ...]]:
    """Cautions of each figure of a joint: 'act' if it fails as entered, 'check' if only an end of the ranges does."""
    as_entered = corners[0]
    least_tip, least_slide = float(walls.least_overturning), float(walls.least_sliding)
    over, slide = figures["wall_overturning"], figures["wall_sliding"]
    notes: dict[str, tuple[Caution, ...]] = {
        "wall_overturning": rules.WALL_TIPS.where(*_ends(over), least=least_tip - SAME, required=(least_tip, RATIO))
    }
    lifted = any(corner.lifted for corner in corners)
    sliding = (
        (rules.WALL_LIFTED(ACT if as_entered.lifted else CHECK),)
        if lifted
        else rules.WALL_SLIDES.where(*_ends(slide), least=least_slide - SAME, required=(least_slide, RATIO))
    )
    both = (rules.WALL_FRICTION_AND_ADHESION(),) if as_entered.friction > 0 and as_entered.adhesion > 0 else ()
    notes["wall_sliding"] = (*both, *sliding)
    if "wall_eccentricity" in figures:
        width = as_entered.worst_eccentricity.width
        eccentricity = abs(figures["wall_eccentricity"].value)
        most = max(abs(corner.eccentricity(corner.worst_eccentricity)) for corner in corners if not corner.lifted)
        falls = rules.WALL_FALLS.where(eccentricity, eccentricity, most, most=width / 2 - SAME)
        opens = rules.WALL_JOINT_OPENS.where(
            eccentricity, eccentricity, most, most=width / 6 + SAME, third=(width / 6, LENGTH)
        )
        # Where the wall falls as entered, a caution that the joint opens adds nothing.
        notes["wall_eccentricity"] = falls if falls and falls[0].rank == ACT else (*falls, *opens)
    if base and "toe_pressure" in figures:
        allowed, source = _allowed(walls)
        pressure = _ends(figures["toe_pressure"])
        presses = rules.WALL_PRESSES.where(*pressure, most=allowed + SAME, allowed=(allowed, PRESSURE), source=source)
        notes["toe_pressure"] = (rules.WALL_GROUND(), *presses)
    return notes


def _ends(figure: Entry) -> tuple[float, float, float]:
    """(low, typical, high) of a figure."""
    return figure.least, figure.value, figure.most


def _allowed(walls: Walls) -> tuple[float, str]:
    """(allowable bearing pressure of the ground under the base [Pa], its source)."""
    if walls.allowed is not None:
        return float(walls.allowed), "as entered"
    row = rows_by_name("trades/stone/bearing")[LEAST_GROUND]
    return float(row["pressure_psf"]) * factor("psf", PRESSURE), str(row["source"])
