"""In which order the stones are set, and what the machine leaves standing in its own way."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from pondkit.geometry.hole import crosses, off_line
from pondkit.trades.lifting.inputs import Lifting
from pondkit.trades.lifting.positions import OpenDig
from pondkit.trades.lifting.results import Lift, Spot


@dataclass(frozen=True)
class ExitWay:
    """The straight way from a position to the next one, or out: stones set by then and pools that lie in it.

    ``visit`` counts how often the machine has come to the position, from 1.
    """

    position: int
    visit: int
    to: str
    stones: tuple[str, ...]
    pools: tuple[str, ...]


def in_turn(drawn: Lifting, way_in: Spot | None, lifts: Sequence[Lift]) -> list[Lift]:
    """Lifts in the order of setting: stones in the basin before those on its rim and beyond, over all positions; of
    either the position furthest from the way in first, and its furthest stones first.

    A stone that rests on others comes after all stones of their kind that are lifted at all. Where no way in is drawn
    the positions come as they are entered.
    """

    def turn(lift: Lift) -> tuple[bool, float, int, float]:
        far = math.dist(_spot(drawn.positions[lift.position].at), way_in) if way_in else 0.0
        return (not lift.load.in_basin, -far, lift.position, -lift.phases[2].radius)

    waiting, done = sorted(lifts, key=turn), []
    while waiting:
        left = {lift.load.name for lift in waiting}
        # Where stacks go round in a ring the first is taken: the ring itself is a problem of the stone.
        at = next((k for k, lift in enumerate(waiting) if lift.load.rests_on not in left - {lift.load.name}), 0)
        done.append(waiting.pop(at))
    return done


def ways_out(drawn: Lifting, way_in: Spot | None, turns: Sequence[Lift], holes: Sequence[OpenDig]) -> list[ExitWay]:
    """The way from each position that is used, in turn, with what lies in it; from the
    last only where the way in is drawn.
    """
    stays = [(index, len(list(own))) for index, own in groupby(lift.position for lift in turns)]
    found: list[ExitWay] = []
    done = 0
    for at, (index, count) in enumerate(stays):
        done += count
        start = _spot(drawn.positions[index].at)
        on = drawn.positions[stays[at + 1][0]] if at + 1 < len(stays) else None
        end = _spot(on.at) if on else way_in
        if end is None:
            break
        stones = tuple(
            lift.load.subject
            for lift in turns[:done]
            if off_line(lift.load.at, start, end) < drawn.size + lift.load.half
        )
        met = (hole.name for hole in holes if crosses(hole.dig, start, end, float(drawn.size)))
        pools = tuple(dict.fromkeys(met))  # a trench is several holes
        visit = 1 + sum(way.position == index for way in found)
        found.append(ExitWay(index, visit, f"'{on.name}'" if on else "the way in", stones, pools))
    return found


def _spot(place: Sequence[float]) -> Spot:
    return float(place[0]), float(place[1])
