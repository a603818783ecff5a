"""Stone of the walls as it is ordered: bulk volume by courses and length, mass by the rock's density and the wall's voids."""

from collections.abc import Sequence
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, Range, entry, total, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Result
from pondkit.core.units import MASS, Area, Density, Length, Mass, Ratio, Volume
from pondkit.trades.walls import cautions as rules
from pondkit.trades.walls.inputs import Wall, Walls


@dataclass(frozen=True, eq=False)
class WallStone(Result):
    """Stone of the walls of which a line or a length is entered; subject is the wall.

    Attributes:
        unknown: Names of walls with courses and neither.
    """

    wall_volume: tuple[Entry, ...]
    wall_stone_order: tuple[Entry, ...]
    total_wall_stone_order: Entry | None
    unknown: tuple[str, ...]


def wall_volume(heights: tuple[Length, ...], plans: tuple[Area, ...]) -> Volume:
    """Bulk volume of a wall, voids too.

    Working: height of each course times its plan, its width behind its front along the line
    Source: geometry; courses, line and length: user input
    """
    return sum(height * plan for height, plan in zip(heights, plans, strict=True))


def wall_stone_order(volume: Volume, porosity: Ratio, density: Density) -> Mass:
    """Mass of the stone of a wall, dry.

    Source: bulk density = density of the rock × (1 − porosity), definition of porosity as voids over bulk volume
    """
    return volume * (1 - porosity) * density


@remembered
def stone_of(drawn: Walls, plans: tuple[tuple[float, ...] | None, ...], rock: Range | None) -> WallStone:
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
    porosity = about(drawn.porosity, drawn.porosity_within)
    volumes, orders = [], []
    for wall, plan in zip(drawn.walls, plans, strict=True):
        if plan is None or not plan:
            continue
        bulk = entry(wall_volume, wall.name, heights=[course.height for course in wall.courses], plans=list(plan))
        volumes.append(bulk)
        orders.append(
            entry(wall_stone_order, wall.name, source=USER, cautions=notes, volume=bulk.value, porosity=porosity, density=density)
        )  # fmt: skip
    unknown = tuple(wall.name for wall, plan in zip(drawn.walls, plans, strict=True) if plan is None and wall.courses)
    whole = total("", orders, MASS) if orders else None
    if whole is not None and unknown:
        whole = with_cautions(whole, rules.WALL_STONE_LACKS(walls=", ".join(unknown)))
    return WallStone(tuple(volumes), tuple(orders), whole, unknown)


def about(value: float, share: float) -> Range:
    """An input and the share of itself by which it may be more or less."""
    return Range(float(value * (1 - share)), float(value), float(value * (1 + share)), USER)


def fronts(wall: Wall) -> Sequence[tuple[float, float]]:
    """(how far its front lies behind that of the lowest course, its width) of each course [m]."""
    found, front = [], 0.0
    for number, course in enumerate(wall.courses):
        front += float(course.set_back) if number else 0.0
        found.append((front, float(course.width)))
    return found
