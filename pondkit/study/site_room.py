"""The surroundings of a new part: existing parts and free places, and whether a design stays sound."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from pondkit.core.caution import ACT, Caution
from pondkit.core.part import get
from pondkit.core.refusal import Refused
from pondkit.core.result import Path
from pondkit.core.units import Typed
from pondkit.geometry.footprint import Footprint, dig_footprint, line_footprint, ring_footprint, way_footprint
from pondkit.geometry.hole import hole_footprint
from pondkit.geometry.room import OccupiedGround, Spot, room_of
from pondkit.geometry.trench import cut_footprint, ditch_footprint
from pondkit.project.project import Option, Project
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.clearances.compute import site_constraints
from pondkit.trades.liner.edge import reach_of
from pondkit.trades.liner.inputs import lined_pools
from pondkit.trades.pools.compute import SiteConditions

APART = 1.0  # m: clearance of a new part for which no place is given
STEM = 56  # characters of a name, with room left for a number
SET_BACK = 0.7  # m: setback of a dig from a machine besides the machine's own clearance
POST = 0.15  # m: radius of ground that a node, a stake or the end of a tape line takes


def fresh_name(name: str, names: Iterable[str]) -> str:
    """A name that is not among some names: "seat" -> "seat 2"."""
    used = set(names)
    if name not in used:
        return name
    stem, number = (re.sub(r"\s*\d+$", "", name) or name)[:STEM], 2
    while f"{stem} {number}" in used:
        number += 1
    return f"{stem} {number}"


@dataclass(frozen=True)
class SiteRoom:
    """Surroundings of a new part: the option's inputs and results, and the place wanted.

    Attributes:
        project: The design.
        option: Index of the option; 0 for a part of the site.
        path: Path of the list, or of the optional part.
        place: Place wanted [m]; None if any will do.
        kind: Kind wanted; "" if any will do.
    """

    project: Project
    option: int
    path: Path
    place: Spot | None
    kind: str = ""

    @property
    def inputs(self) -> Option:
        """The option's inputs."""
        return self.project.options[self.option]

    @cached_property
    def result(self) -> OptionResult:
        """The option's results."""
        return evaluate(self.project).options[self.option]

    @property
    def typed(self) -> Typed:
        """Writes quantities in the project's units."""
        return Typed(self.project.units)

    @property
    def conditions(self) -> SiteConditions:
        """Ground, soil, groundwater and depth limit for a new pool."""
        site = self.project.site
        return SiteConditions(self.result.ground, site.soil, site.groundwater, site.depth_limit)

    @cached_property
    def room(self) -> OccupiedGround:
        """Occupied ground, with the keep-outs."""
        return room_of(_footprints(self), site_constraints(self.project.site.keep_outs)[0])

    @property
    def beside(self) -> Spot:
        """Where the search for a place starts if none is given: at the first pool, or at the site's origin."""
        if not self.inputs.pools:
            return 0.0, 0.0
        x, y = self.inputs.pools[0].at
        return float(x), float(y)

    def ground(self, place: Spot) -> float:
        """Level of the ground at a place [m]; 0 if it is unknown."""
        return self.result.ground.level_at(place) if self.result.ground else 0.0

    def free(self, clear: float, start: Spot | None = None) -> Spot:
        """The place wanted, or else the place nearest to a start with a given clearance from all other parts [m].

        Raises: Refused if there is none.
        """
        if self.place is not None:
            return self.place
        spot = self.room.near(start or self.beside, clear)
        if spot is None:
            raise Refused("There is no free place left for it: move what stands there, or draw the boundary wider.")
        return spot

    def name(self, wanted: str) -> str:
        """A name that no part of the list has."""
        return fresh_name(wanted, (getattr(part, "name", "") for part in get(self.project, self.path)))


def _footprints(site: SiteRoom) -> list[Footprint]:
    """Footprints of everything that stands on the site or is dug there."""
    result, option = site.result, site.inputs
    lined, edge = lined_pools(option.lining), reach_of(option.lining)
    footprints = []
    for pool in result.pools:
        dig = pool.surfaces.dig
        reach = max(pool.ground.reach if pool.ground else 0.0, dig.rim + (edge if pool.name in lined else 0.0))
        footprints.append(dig_footprint(pool.name, dig.surface.pool.shape, dig.placed, reach))
    footprints += [hole_footprint(structure.hole) for structure in result.structures.each]
    footprints += [ditch_footprint(bed.cut) for bed in result.stream_beds.each]
    if result.excavation:
        footprints += [cut_footprint(cut) for cut in result.excavation.cuts]
    footprints += [heap.footprint for heap in (result.earth.heaped if result.earth else ())]
    if result.stone:
        footprints += [ring_footprint(name, ring) for name, rings in result.stone.boulder_rings for ring in rings]
    for trade in (option.tunnels, option.lifting, option.water, option.dig):
        footprints += [] if trade is None else _small_footprints(trade)
    way = site.project.site.way_in
    way_strip = way_footprint("way in", way.points, float(way.machine_width + 2 * way.room)) if way else None
    return [*footprints, way_strip] if way_strip else footprints


def _small_footprints(trade: Any) -> list[Footprint]:
    """Footprints of small parts: nodes and runs, machines and waiting stones, bodies without a size, stakes."""
    footprints: list[Footprint] = []
    places = {node.name: node.at for node in getattr(trade, "nodes", ())}
    footprints += [line_footprint(name, [place], 2 * POST) for name, place in places.items()]
    for run in getattr(trade, "runs", ()):
        if run.from_ in places and run.to in places:
            footprints.append(line_footprint("run", [places[run.from_], places[run.to]], 2 * POST))
    for position in getattr(trade, "positions", ()):
        footprints.append(line_footprint(position.name, [position.at], 2 * (float(trade.size) + SET_BACK)))
        footprints.append(line_footprint(position.name, [position.pick_up], 1.2))
    for body in (getattr(trade, "intake", None), getattr(trade, "filter", None)):
        if body is not None and body.plan_size is None:
            footprints.append(line_footprint("body", [body.at], 0.6))
    for tape in getattr(trade, "tapes", ()):
        footprints += [line_footprint(tape.name, [place], 2 * POST) for place in (tape.start, tape.end)]
    if stakes := getattr(trade, "stakes", None):
        footprints += [line_footprint("stake", [place], 2 * POST) for place in (stakes.a, stakes.b)]
    return footprints


# --- soundness of a design ---


def faults(project: Project, option: int) -> set[tuple[Any, ...]]:
    """Problems of an option, and its cautions of rank 'act'."""
    result = evaluate(project).options[option]
    marks: set[tuple[Any, ...]] = {(problem.path, problem.given) for problem in result.problems}
    for key, figure in result.entries():
        marks |= {(key, figure.subject, c.key) for c in figure.cautions if isinstance(c, Caution) and c.rank == ACT}
    return marks


def soundest(before: Project, option: int, tried: Iterable[Project]) -> Project:
    """The first of some designs that has no fault beyond those of the design before; if each has one, the first with
    the fewest.

    Raises: Refused if there is no design at all.
    """
    old_faults = faults(before, option)
    best: tuple[tuple[int, int], Project] | None = None
    for after in tried:
        new_faults = faults(after, option) - old_faults
        if not new_faults:
            return after
        worth = (
            sum(isinstance(each[0], tuple) for each in new_faults),
            len(new_faults),
        )  # problems weigh more than cautions
        if best is None or worth < best[0]:
            best = worth, after
    if best is None:
        raise Refused("There is no room left for it here: move what stands near, or draw it further out.")
    return best[1]
