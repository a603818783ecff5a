"""Stone of walls as ordered: bulk volume by courses and length, mass by the rock's density and the wall's voids."""

from collections.abc import Sequence

from pondkit.core.entry import USER, Range, entry, total, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.units import MASS
from pondkit.geometry.hole import strip_beside
from pondkit.trades.walls import cautions as rules
from pondkit.trades.walls.formulas import wall_stone_order, wall_volume
from pondkit.trades.walls.inputs import Wall, Walls, about
from pondkit.trades.walls.results import WallStone


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
    porosity = about(drawn.porosity, drawn.porosity_within)
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
                volume=bulk.value,
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


def compute(drawn: Walls | None, rock: Range | None) -> WallStone | None:
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
    found = []
    for front, wide in places:
        whole = strip_beside(wall.points, 0.0, front + wide, 0.0)
        before = strip_beside(wall.points, 0.0, front, 0.0) if front > 0 else None
        if whole is None or (front > 0 and before is None):
            return None
        found.append(float(whole.area) - (float(before.area) if before is not None else 0.0))
    return tuple(found)
