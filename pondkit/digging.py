"""What the crew digs by, gathered from all trades: levels, setting out, and the hole as it was dug."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit import earth
from pondkit.basin import PoolResult
from pondkit.document.project import Option
from pondkit.earth import Levels
from pondkit.result import Problem, Result
from pondkit.surface.path import Laid
from pondkit.surface.uneven import Terrain
from pondkit.tunnels import TunnelsResult

Step = Callable[..., Any]


@dataclass(frozen=True, eq=False)
class DigResult(Result):
    """What the crew digs by.

    Attributes:
        problems: What could not be worked out, and how to mend it.
    """

    levels: Levels
    problems: tuple[Problem, ...]


def work_out(
    step: Step, option: Option, pools: tuple[PoolResult, ...], pipes: TunnelsResult | None, ground: Terrain | None
) -> DigResult | None:
    """What the crew digs by; None where the option asks for none of it.

    Args:
        step: Remembers what was worked out, see ``evaluate.Memory``.
        option: As drawn.
        pools: Those that could be worked out.
        pipes: The tunnels; None where the option has none.
        ground: As it is, in site axes; None where it is in trouble.
    """
    if option.dig is None:
        return None
    levels = _levels(step, option, pools, pipes, ground)
    return DigResult(levels, levels.problems)


def _levels(
    step: Step, option: Option, pools: tuple[PoolResult, ...], pipes: TunnelsResult | None, ground: Terrain | None
) -> Levels:
    drawn = option.dig
    assert drawn is not None
    height = step(earth.instrument, drawn)
    known = None if height is None or isinstance(height, Problem) else height.value
    within = (float(drawn.rim_within), float(drawn.seat_within), float(drawn.floor_within))
    down = sorted(pools, key=lambda pool: -pool.surfaces.finished.rim_level)
    made = [
        step(earth.pool_levels, pool.name, own.finished, own.liner, own.dig) for pool in down for own in [pool.surfaces]
    ]
    if pipes and ground:
        digs = tuple(pool.surfaces.dig for pool in pools)
        made.append(step(trenches_of, pipes, digs, ground, float(drawn.bedding)))
    made.append(crests_of(option, {pool.name: pool.surfaces.finished for pool in pools}))
    rows = tuple(step(earth.level_rows, levels, within, known) for levels in made)
    result: Levels = step(earth.levels, drawn, height, rows, within)
    return result


def row_names(option: Option) -> list[str]:
    """Names that rows of the levels to dig by can have, before anything is worked out."""
    seats = {row.pool for row in option.stone.edging if row.seat == "outside"} if option.stone else set()
    pools = [
        (
            pool.name,
            pool.name in seats,
            len(pool.tiers),
            [len(pit.tiers) for pit in pool.pits],
            sum(link.from_ == pool.name for link in option.links),
        )
        for pool in option.pools
    ]
    nodes = [node.name for node in option.tunnels.nodes if node.kind != "mouth"] if option.tunnels else []
    return earth.row_names(pools, nodes)


def crests_of(option: Option, found: dict[str, Laid]) -> tuple[earth.Level, ...]:
    """Crests of the links between pools that could be worked out, numbered by the pool that they leave."""
    crests, count = [], dict.fromkeys(found, 0)
    for link in option.links:
        if link.from_ in found:
            count[link.from_] += 1
        if link.from_ in found and link.to in found:
            level = found[link.from_].level if link.crest_level is None else float(link.crest_level)
            crests.append(earth.Level(f"{link.from_}: crest {count[link.from_]}", "crest", level, None))
    return tuple(crests)


def trenches_of(
    pipes: TunnelsResult, digs: tuple[Laid, ...], ground: Terrain, bedding: float
) -> tuple[earth.Level, ...]:
    """Underside of the pipe and bottom of the trench at each node but the mouths, where that lies under ground and dig.

    The underside is that of the widest pipe that ends there.
    """
    widest: dict[int, float] = {}
    for run in pipes.laid.runs:
        for end in run.leg.ends:
            widest[end] = max(widest.get(end, 0.0), run.leg.pipe.outside)
    found = []
    for index, (name, kind, place) in enumerate(pipes.places):
        if kind == "mouth" or index not in widest:
            continue
        at = np.array([place[:2]])
        under = place[2] - widest[index] / 2
        open_to = [float(dig.level - dig.bowl.depth_at(dig.placed.to_own(at))[0]) for dig in digs]
        if under < min([float(ground.at(at)[0]), *open_to]):
            found.append(earth.Level(f"{name}: trench", "trench", under, under - bedding))
    return tuple(found)
