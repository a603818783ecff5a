"""Joints of a wall: forces on each per length of wall and its resistance, wet and drained, at every corner of the
ranges of soil and stone.
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
    """Backfill of a wall: active pressure coefficient [-], slope [deg], densities of moist and saturated soil and of
    water [kg/m³], surcharge [Pa].
    """

    share: float
    slope: float
    moist: float
    saturated: float
    water: float
    surcharge: float


@dataclass(frozen=True)
class Joint:
    """Forces on a joint [N/m] and moments about its toe [N], for one water level.

    Attributes:
        toe, width: Distance of its front edge behind the wall's toe, and width in contact [m].
        level: Height above the base [m].
        soil, surcharge, water: Horizontal thrusts.
        vertical: Weight and down-drag of a sloping backfill, less uplift.
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
        return self.soil + self.surcharge + self.water


def joint(boxes: tuple[CourseBox, ...], index: int, fill: Backfill, wet: float) -> Joint:
    """Forces on the joint under one course.

    The soil acts on a vertical plane through the rearmost edge above the joint; soil on steps at the back is not
    counted as weight. Under water the joint has uplift from the pressure behind the wall, falling linearly to zero at
    the toe. Uplift and water moments count as overturning.

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
    k, g = fill.share, GRAVITY
    # (pressure resultant along the slope of the backfill, its height over the joint)
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


LEAST_GROUND = "clay, silt"  # row of the table of presumptive pressures with the least
SAME = 1e-9
FAILS = frozenset(
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
class Check:
    """One joint at one corner of the ranges: wet and drained, with its resistance to sliding."""

    cases: tuple[Joint, ...]
    friction: float
    adhesion: float

    @property
    def worse(self) -> Joint:
        """The case with the lower safety against overturning, in which the resultant is also furthest out."""
        return min(self.cases, key=lambda case: case.resisting / case.overturning if case.overturning > 0 else 1e9)

    @property
    def slides(self) -> Joint:
        return min(self.cases, key=self.against_sliding)

    @property
    def lifted(self) -> bool:
        return any(case.vertical <= SAME for case in self.cases)

    @property
    def aside(self) -> Joint:
        """Greatest eccentricity of the resultant over the cases without net uplift of the joint."""
        return max(self.cases, key=lambda case: abs(self.off(case)))

    def off(self, case: Joint) -> float:
        return rel.wall_eccentricity(case.width, case.resisting, case.overturning, case.vertical)

    def against_sliding(self, case: Joint) -> float:
        return rel.wall_sliding(case.vertical, self.friction, self.adhesion, case.width, case.thrust)

    @property
    def presses(self) -> Joint | None:
        """The case with the greatest pressure on the ground; None if the resultant leaves the joint, or the joint is
        lifted.
        """
        if self.lifted or abs(self.off(self.aside)) >= self.aside.width / 2 - SAME:
            return None
        return max(self.cases, key=lambda case: rel.toe_pressure(case.vertical, case.width, self.off(case)))


def _ranged(figure: Entry, values: Iterable[float]) -> Entry:
    """A figure with its range, from its values at every corner of the inputs' ranges."""
    low, high = min(every := [figure.value, *values]), max(every)
    return replace(figure, low=low, high=high) if low < high else figure


def joint_figures(walls: Walls, subject: str, base: bool, checks: list[Check]) -> dict[str, Entry]:
    """Figures of one joint, each for the worse water level, with ranges over all corners."""
    source = f"{USER}; {densest_water()[1]}"
    figures = _safeties(subject, source, checks) | _pressures(subject, source, checks)
    notes = _notes(walls, base, checks, figures)
    return {key: with_cautions(figure, *notes.get(key, ())) for key, figure in figures.items()}


def _safeties(subject: str, source: str, checks: list[Check]) -> dict[str, Entry]:
    """Thrust on the joint, and factors of safety against overturning and sliding."""
    first = checks[0]
    worse, slides = first.worse, first.slides
    thrust = entry(
        rel.wall_thrust, subject, source=source, soil=worse.soil, surcharge=worse.surcharge, water=worse.water
    )
    overturning = entry(
        rel.wall_overturning, subject, source=source, resisting=worse.resisting, overturning=worse.overturning
    )
    sliding = entry(
        rel.wall_sliding,
        subject,
        source=source,
        vertical=slides.vertical,
        friction=first.friction,
        adhesion=first.adhesion,
        width=slides.width,
        thrust=slides.thrust,
    )
    overturning_safety = [rel.wall_overturning(check.worse.resisting, check.worse.overturning) for check in checks]
    return {
        "wall_thrust": _ranged(thrust, [check.worse.thrust for check in checks]),
        "wall_overturning": _ranged(overturning, overturning_safety),
        "wall_sliding": _ranged(sliding, [check.against_sliding(check.slides) for check in checks]),
    }


def _pressures(subject: str, source: str, checks: list[Check]) -> dict[str, Entry]:
    """Eccentricity of the resultant, and contact pressures at toe and heel; empty if the joint is lifted."""
    first, figures = checks[0], {}
    if not first.lifted:
        aside = first.aside
        eccentricity = entry(
            rel.wall_eccentricity,
            subject,
            source=source,
            width=aside.width,
            resisting=aside.resisting,
            overturning=aside.overturning,
            vertical=aside.vertical,
        )
        passed = [check.off(check.aside) for check in checks if not check.lifted]
        figures["wall_eccentricity"] = _ranged(eccentricity, passed)
    if pressing := first.presses:
        pressed = [(check, case) for check in checks if (case := check.presses) is not None]
        for key, relation in (("toe_pressure", rel.toe_pressure), ("heel_pressure", rel.heel_pressure)):
            typical = entry(
                relation,
                subject,
                source=source,
                vertical=pressing.vertical,
                width=pressing.width,
                eccentricity=first.off(pressing),
            )
            figures[key] = _ranged(
                typical, [relation(case.vertical, case.width, check.off(case)) for check, case in pressed]
            )
    return figures


def _notes(walls: Walls, base: bool, checks: list[Check], figures: dict[str, Entry]) -> dict[str, tuple[Caution, ...]]:
    """Cautions of each figure of a joint: 'act' if it fails as entered, 'check' if only an end of the ranges does."""
    first = checks[0]
    least_tip, least_slide = float(walls.least_overturning), float(walls.least_sliding)
    over, slide = figures["wall_overturning"], figures["wall_sliding"]
    notes: dict[str, tuple[Caution, ...]] = {
        "wall_overturning": rules.WALL_TIPS.where(*_safe(over), least=least_tip - SAME, required=(least_tip, RATIO))
    }
    lifted = any(check.lifted for check in checks)
    sliding = (
        (rules.WALL_LIFTED(ACT if first.lifted else CHECK),)
        if lifted
        else rules.WALL_SLIDES.where(*_safe(slide), least=least_slide - SAME, required=(least_slide, RATIO))
    )
    both = (rules.WALL_FRICTION_AND_ADHESION(),) if first.friction > 0 and first.adhesion > 0 else ()
    notes["wall_sliding"] = (*both, *sliding)
    if "wall_eccentricity" in figures:
        width = first.aside.width
        eccentricity = abs(figures["wall_eccentricity"].value)
        most = max(abs(check.off(check.aside)) for check in checks if not check.lifted)
        falls = rules.WALL_FALLS.where(eccentricity, eccentricity, most, most=width / 2 - SAME)
        opens = rules.WALL_JOINT_OPENS.where(
            eccentricity, eccentricity, most, most=width / 6 + SAME, third=(width / 6, LENGTH)
        )
        # If the wall overturns as entered, a caution that the joint opens adds nothing.
        notes["wall_eccentricity"] = falls if falls and falls[0].rank == ACT else (*falls, *opens)
    if base and "toe_pressure" in figures:
        allowed, source = _allowed(walls)
        pressure = _safe(figures["toe_pressure"])
        presses = rules.WALL_PRESSES.where(*pressure, most=allowed + SAME, allowed=(allowed, PRESSURE), source=source)
        notes["toe_pressure"] = (rules.WALL_GROUND(), *presses)
    return notes


def _safe(figure: Entry) -> tuple[float, float, float]:
    return figure.least, figure.value, figure.most


def _allowed(walls: Walls) -> tuple[float, str]:
    """(allowable bearing pressure of the ground under the base [Pa], its source)."""
    if walls.allowed is not None:
        return float(walls.allowed), "as entered"
    row = rows_by_name("trades/stone/bearing")[LEAST_GROUND]
    return float(row["pressure_psf"]) * factor("psf", PRESSURE), str(row["source"])
