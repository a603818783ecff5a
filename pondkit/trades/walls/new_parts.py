"""Starting values of a new wall: one low course, as wide as it must be to hold."""

from pondkit.core.caution import ACT, Caution
from pondkit.core.units import Typed
from pondkit.trades.walls.compute import check_walls
from pondkit.trades.walls.inputs import Wall, Walls

WIDTHS_TRIED = tuple(range(20, 65, 4))  # in: tried in turn
HALF_LENGTH = 0.8  # m: of its line, to either side of its place
BASE_DEPTH = 0.15  # m: base under the ground


def new_wall(walls: Walls, name: str, place: tuple[float, float], ground: float, soil: str, typed: Typed) -> Wall:
    """A new wall of one course from west to east, with its backfill to the north: of the widths tried the least at
    which no figure calls for action, or the greatest.

    Args:
        walls: Inputs of the walls.
        name: Its name.
        place: Its centre [m].
        ground: Level of the ground there [m].
        soil: Soil of the site, a name in the table of soils.
        typed: Writes a quantity as text.
    """
    x, y = place
    for wide in WIDTHS_TRIED:
        course = {
            "height": typed.either("10 in", "25 cm"),
            "width": typed.small(wide * 0.0254),
        }
        values = {
            "name": name,
            "base_level": typed.small(ground - BASE_DEPTH),
            "points": [typed.place((x + side * HALF_LENGTH, y - wide * 0.0254 / 2)) for side in (-1, 1)],
            "courses": [course],
        }
        wall = Wall.model_validate(values, context={"units": typed.system})
        figures = check_walls(walls.changed(walls=(wall,)), soil)
        if not any(
            isinstance(c, Caution) and c.rank == ACT for _, figure in figures.entries() for c in figure.cautions
        ):
            break
    return wall
