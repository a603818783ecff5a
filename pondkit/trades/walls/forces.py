"""Forces on the part of a wall above one joint, per length of wall; nothing of the document."""

import math
from dataclasses import dataclass

from pondkit.core.constants import GRAVITY
from pondkit.trades.walls.results import CourseBox


@dataclass(frozen=True)
class Backfill:
    """What stands behind a wall: coefficient of active pressure [-], slope [deg], densities of moist and saturated soil
    and of water [kg/m³], surcharge [Pa].
    """

    share: float
    slope: float
    moist: float
    saturated: float
    water: float
    surcharge: float


@dataclass(frozen=True)
class Joint:
    """Forces on a joint [N/m] and moments about its toe [N], in one case of water.

    Attributes:
        toe, width: Front edge behind the wall's toe, and width that bears [m].
        level: Over the base [m].
        soil, surcharge, water: Level thrusts.
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


def joint(boxes: tuple[CourseBox, ...], at: int, fill: Backfill, wet: float) -> Joint:
    """The joint under one course.

    The soil presses on an upright plane through the rearmost edge above the joint; soil on steps at the back is not
    counted as weight. Under water the joint is lifted by the pressure behind the wall, falling off evenly to nothing at
    the toe. What of uplift and water moments acts against the wall counts as overturning.

    Args:
        boxes: The courses from the base up.
        at: Which course stands on the joint.
        fill: What stands behind the wall.
        wet: Height of water in the backfill over the base [m]; none stands in front.
    """
    above = boxes[at:]
    level, toe = above[0].low, above[0].front
    width = min(above[0].back, boxes[at - 1].back if at else math.inf) - toe
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
