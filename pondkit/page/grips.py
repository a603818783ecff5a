"""What stands in a hole, and what is heaped, taken hold of on the plan: their handles, and what each puts. No
streamlit."""

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any, Literal

from pondkit.core.part import get
from pondkit.core.result import Path
from pondkit.project.project import Project
from pondkit.trades.clearances.inputs import KeepOut
from pondkit.trades.pools.inputs import Link
from pondkit.trades.walls.inputs import Walls
from pondkit.trades.water.inputs.water import Water, bodies_of

Spot = tuple[float, float]
Kind = Literal["point", "move", "turn"]
Grip = tuple[str, Kind, Spot, str, int | None, bool]  # the fields of a handle
AHEAD = 1.4  # of half a body's length: how far out its turn is taken hold of


def water_grips(water: Water) -> Iterator[Grip]:
    """Place and turn of every body that has a plan size."""
    for path, name, body, size, at in bodies_of(water):
        here = "/".join(str(step) for step in path)
        field = "at" if at is body.at else "second_at"
        yield f"{here}/{field}", "move", _spot(at), name, None, False
        if field == "at":
            away, turn = AHEAD * float(size[0]) / 2, math.radians(body.turn_deg)
            tip = float(at[0]) + away * math.cos(turn), float(at[1]) + away * math.sin(turn)
            yield f"{here}/turn_deg", "turn", tip, f"turn of the {name}", None, False


def wall_grips(walls: Walls) -> Iterator[Grip]:
    """Every place of the line of each wall's front."""
    for index, wall in enumerate(walls.walls):
        for number, place in enumerate(wall.points):
            said = f"place {number + 1} of wall {wall.name}"
            yield f"walls/walls/{index}/points/{number}", "point", _spot(place), said, None, len(wall.points) > 2


def link_grips(links: Sequence[Link]) -> Iterator[Grip]:
    """Every place of the line of each link."""
    for index, link in enumerate(links):
        for number, place in enumerate(link.points):
            said = f"place {number + 1} of the {link.kind} from {link.from_} to {link.to}"
            yield f"links/{index}/points/{number}", "point", _spot(place), said, None, True


def keep_grips(kept: Sequence[KeepOut]) -> Iterator[Grip]:
    """Every place of what is to be kept clear of."""
    for index, keep in enumerate(kept):
        for number, place in enumerate(keep.points):
            said = (
                f"place {number + 1} of {keep.kind} {keep.name}" if len(keep.points) > 1 else f"{keep.kind} {keep.name}"
            )
            yield f"keep_outs/{index}/points/{number}", "point", _spot(place), said, None, len(keep.points) > 1


def _spot(place: Any) -> Spot:
    return float(place[0]), float(place[1])


def moved(project: Project, path: Path, to: Spot, write: Callable[[Spot], Any]) -> tuple[Path, Any]:
    """What dragging one of these handles to a place puts where; ``path`` is what its id names.

    Raises: LookupError where the handle is no longer there.
    """
    match path[-1]:
        case "turn_deg":
            x, y = get(project, (*path[:-1], "at"))
            return path, round(math.degrees(math.atan2(to[1] - y, to[0] - x)), 1)
        case int(index):
            places = get(project, path[:-1])
            if index >= len(places):
                raise LookupError(f"place {index + 1} of {len(places)}")
            return path[:-1], (*places[:index], write(to), *places[index + 1 :])
        case _:
            return path, write(to)
