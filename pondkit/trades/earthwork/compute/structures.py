"""Structures that stand in the ground, each with the excavation for it."""

from collections.abc import Sequence
from dataclasses import replace

from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Trouble
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH, RATIO
from pondkit.geometry.cut_fill import FAR_BANK, TooSteep
from pondkit.geometry.hole import Hole, box_at, reach_of, strip_beside
from pondkit.geometry.terrain import Terrain
from pondkit.trades.earthwork.results.excavation import Structure, Structures
from pondkit.trades.walls.inputs import Wall, Walls
from pondkit.trades.water.inputs.water import Water, bodies_of


@remembered
def drawn(water: Water | None, walls: Walls | None) -> Structures:
    """Structures before anything is known of the ground; none where no plan or line is entered."""
    structures: list[Structure] = []
    problems: list[Problem] = []
    for path, name, body, size, at in bodies_of(water) if water else ():
        if body.underside is None:
            problems.append(_no_underside(path, name, size))
            continue
        assert water is not None
        room = float(water.hole_room)
        low, seat = float(body.underside), float(body.seat)
        plan = Hole(name, box_at(at, size, body.turn_deg, oval=body.round), low)
        foot = Hole(name, box_at(at, size, body.turn_deg, room), low - seat, float(water.hole_sides))
        structures.append(
            Structure(path, foot, plan, seat, wall=False, rim=None if body.rim is None else float(body.rim))
        )
    for index, wall in enumerate(walls.walls if walls else ()):
        if wall.points and wall.courses:
            assert walls is not None
            structure = _wall(walls, wall, ("walls", "walls", index))
            if isinstance(structure, Problem):
                problems.append(structure)
            else:
                structures.append(structure)
    return Structures(tuple(structures), tuple(problems))


def compute(water: Water | None, walls: Walls | None, ground: Terrain | None) -> Structures:
    """Structures that stand in the ground, each with how far out the excavation for it meets the ground, where that
    is known.

    Args:
        water, walls: As drawn; None where the option has none.
        ground: As it is; None where it is in trouble.
    """
    structures: Structures = drawn(water, walls)
    if ground is None:
        return structures
    met, faults = [], list(structures.problems)
    for structure in structures.each:
        try:
            reach = _reach(structure.hole, structure.path, ground)
            met.append(replace(structure, hole=replace(structure.hole, reach=reach)))
        except Trouble as trouble:
            faults += trouble.problems
    return make_structures(tuple(met), tuple(faults))


make_structures = remembered(Structures)


def _wall(drawn: Walls, wall: Wall, path: Path) -> Structure | Problem:
    if wall.base_level is None:
        return Problem(
            (*path, "base_level"),
            words(f"'{wall.name}' is drawn and its base is not entered"),
            words("a level above the site datum"),
            words("enter the level of its base, or take its line away"),
        )
    wide, room = float(wall.courses[0].width), float(drawn.footing_room)
    plan = strip_beside(wall.points, 0.0, wide, 0.0)
    foot = strip_beside(wall.points, room, wide + room, room)
    if plan is None or foot is None:
        return Problem(
            (*path, "points"),
            words(
                f"the line of '{wall.name}' goes along no one strip of ground {{wide}} wide",
                wide=(wide + 2 * room, LENGTH),
            ),
            words("two places or more, apart from each other, in bends that are wider than the wall"),
            words("move its places apart, or draw the wall in two"),
        )
    base, under = float(wall.base_level), float(drawn.footing)
    return Structure(path, Hole(wall.name, foot, base - under), Hole(wall.name, plan, base), under, wall=True)


def _no_underside(path: Path, name: str, size: Sequence[float]) -> Problem:
    return Problem(
        (*path, "underside"),
        words(
            f"the {name} is {{long}} by {{wide}} in plan, and its underside is not entered",
            long=(size[0], LENGTH),
            wide=(size[1], LENGTH),
        ),
        words("a level above the site datum"),
        words("enter its underside, or leave its plan size out"),
    )


@remembered
def _reach(hole: Hole, path: Path, ground: Terrain) -> float:
    try:
        return reach_of(hole, ground)
    except TooSteep:
        raise Trouble(
            Problem(
                (*path[:1], "hole_sides"),
                words(
                    f"sides of {{sides}} horizontal to 1 vertical round the {hole.name} do not meet the ground",
                    sides=(hole.batter, RATIO),
                ),
                words("sides that meet it within {far}", far=(FAR_BANK, LENGTH)),
                words("make the sides steeper, or set its underside nearer to the ground"),
            )
        ) from None
