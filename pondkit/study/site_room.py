"""The site as a new part meets it: what stands there, where there is room, and whether the design stays sound."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from pondkit.core.caution import ACT, Caution
from pondkit.core.part import get
from pondkit.core.refusal import Refused
from pondkit.core.result import Path
from pondkit.core.typed import Typed
from pondkit.geometry.footprint import Footprint, dig_footprint, line_footprint, ring_footprint, way_footprint
from pondkit.geometry.hole import hole_footprint
from pondkit.geometry.room import OccupiedGround, Spot, room_of
from pondkit.geometry.trench import cut_footprint, ditch_footprint
from pondkit.project.project import Option, Project
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.clearances.compute import kept_things
from pondkit.trades.liner.edge import reach_of
from pondkit.trades.liner.inputs import lined_pools
from pondkit.trades.pools.compute import SiteConditions

APART = 1.0  # m: how far from all that stands a new thing is set where no place is given
STEM = 56  # characters of a name that leave room for a number
SET_BACK = 0.7  # m: what a dig keeps off a machine besides its own clearance
POST = 0.15  # m: what a node, a stake or a place takes up


def fresh_name(name: str, taken: Iterable[str]) -> str:
    """A name that is not taken: "seat" -> "seat 2"."""
    held = set(taken)
    if name not in held:
        return name
    stem, number = (re.sub(r"\s*\d+$", "", name) or name)[:STEM], 2
    while f"{stem} {number}" in held:
        number += 1
    return f"{stem} {number}"


@dataclass(frozen=True)
class SiteRoom:
    """What a new part meets: the option as it is drawn and worked out, and the place wanted for it.

    Attributes:
        project: The design.
        option: Index of the option; the first for what the site holds.
        held: Path of the list, or of the optional part.
        place: Where it is wanted [m]; None where that is left open.
        kind: Which kind of it is wanted; "" where that is left open.
    """

    project: Project
    option: int
    held: Path
    place: Spot | None
    kind: str = ""

    @property
    def drawn(self) -> Option:
        return self.project.options[self.option]

    @cached_property
    def result(self) -> OptionResult:
        return evaluate(self.project).options[self.option]

    @property
    def typed(self) -> Typed:
        return Typed(self.project.units)

    @property
    def conditions(self) -> SiteConditions:
        site = self.project.site
        return SiteConditions(self.result.ground, site.soil, site.groundwater, site.depth_limit)

    @cached_property
    def room(self) -> OccupiedGround:
        return room_of(_taken(self), kept_things(self.project.site.keep_outs)[0])

    @property
    def beside(self) -> Spot:
        """Where something new is looked for that has no place: the first pool, or the site's origin."""
        if not self.drawn.pools:
            return 0.0, 0.0
        x, y = self.drawn.pools[0].at
        return float(x), float(y)

    def ground(self, at: Spot) -> float:
        """Level of the ground at a place; 0 where it is not known [m]."""
        return self.result.ground.level_at(at) if self.result.ground else 0.0

    def free(self, clear: float, start: Spot | None = None) -> Spot:
        """The place wanted, or else the nearest to a start that is so far from all that stands [m].

        Raises: Refused where there is none.
        """
        if self.place is not None:
            return self.place
        found = self.room.near(start or self.beside, clear)
        if found is None:
            raise Refused("There is no free place left for it: move what stands there, or draw the boundary wider.")
        return found

    def name(self, wanted: str) -> str:
        """A name that no part of the list has."""
        return fresh_name(wanted, (getattr(part, "name", "") for part in get(self.project, self.held)))


def _taken(site: SiteRoom) -> list[Footprint]:
    """All that stands on the site, or is dug there."""
    result, drawn = site.result, site.drawn
    lined, edge = lined_pools(drawn.lining), reach_of(drawn.lining)
    found = []
    for pool in result.pools:
        dig = pool.surfaces.dig
        reach = max(pool.ground.reach if pool.ground else 0.0, dig.rim + (edge if pool.name in lined else 0.0))
        found.append(dig_footprint(pool.name, dig.surface.pool.shape, dig.placed, reach))
    found += [hole_footprint(one.hole) for one in result.structures.each]
    found += [ditch_footprint(one.cut) for one in result.stream_beds.each]
    if result.excavation:
        found += [cut_footprint(cut) for cut in result.excavation.cuts]
    found += [heap.footprint for heap in (result.earth.heaped if result.earth else ())]
    if result.stone:
        found += [ring_footprint(name, ring) for name, rings in result.stone.boulder_rings for ring in rings]
    for trade in (drawn.tunnels, drawn.lifting, drawn.water, drawn.dig):
        found += [] if trade is None else _posts(trade)
    way = site.project.site.way_in
    taken = way_footprint("way in", way.points, float(way.machine_width + 2 * way.room)) if way else None
    return [*found, taken] if taken else found


def _posts(trade: Any) -> list[Footprint]:
    """What takes up little: nodes and runs, machines and waiting stones, bodies without a size, stakes."""
    found: list[Footprint] = []
    places = {node.name: node.at for node in getattr(trade, "nodes", ())}
    found += [line_footprint(name, [at], 2 * POST) for name, at in places.items()]
    for run in getattr(trade, "runs", ()):
        if run.from_ in places and run.to in places:
            found.append(line_footprint("run", [places[run.from_], places[run.to]], 2 * POST))
    for position in getattr(trade, "positions", ()):
        found.append(line_footprint(position.name, [position.at], 2 * (float(trade.size) + SET_BACK)))
        found.append(line_footprint(position.name, [position.pick_up], 1.2))
    for body in (getattr(trade, "intake", None), getattr(trade, "filter", None)):
        if body is not None and body.plan_size is None:
            found.append(line_footprint("body", [body.at], 0.6))
    for tape in getattr(trade, "tapes", ()):
        found += [line_footprint(tape.name, [at], 2 * POST) for at in (tape.start, tape.end)]
    if stakes := getattr(trade, "stakes", None):
        found += [line_footprint("stake", [at], 2 * POST) for at in (stakes.a, stakes.b)]
    return found


# --- whether a design stays sound ---


def faults(project: Project, option: int) -> set[tuple[Any, ...]]:
    """Problems of an option, and its cautions that ask to act."""
    result = evaluate(project).options[option]
    found: set[tuple[Any, ...]] = {(problem.path, problem.given) for problem in result.problems}
    for key, figure in result.entries():
        found |= {(key, figure.subject, c.key) for c in figure.cautions if isinstance(c, Caution) and c.rank == ACT}
    return found


def soundest(before: Project, option: int, tried: Iterable[Project]) -> Project:
    """The first of some designs that has no fault which the one before had not; where each has one, the first of
    those with the fewest.

    Raises: Refused where there is none at all.
    """
    held = faults(before, option)
    best: tuple[tuple[int, int], Project] | None = None
    for after in tried:
        new = faults(after, option) - held
        if not new:
            return after
        worth = sum(isinstance(each[0], tuple) for each in new), len(new)  # problems weigh more than cautions
        if best is None or worth < best[0]:
            best = worth, after
    if best is None:
        raise Refused("There is no room left for it here: move what stands near, or draw it further out.")
    return best[1]
