"""What stone asks of ground and machine, gathered from all trades: bearing."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pondkit import stone
from pondkit.basin import PoolResult
from pondkit.document.project import Option
from pondkit.result import Problem, Result
from pondkit.stone import BearingResult, SlingsResult, StoneResult
from pondkit.surface.standing import stands
from pondkit.surface.uneven import Terrain

Step = Callable[..., Any]


@dataclass(frozen=True, eq=False)
class HeavyResult(Result):
    """What stone asks of ground and machine; each None where the option has none of it.

    Attributes:
        problems: What could not be worked out, and how to mend it.
    """

    bearing: BearingResult | None
    problems: tuple[Problem, ...]

    @property
    def beds(self) -> float | None:
        """What is dug for beds under boulders [m³]; None where that is in trouble."""
        if self.bearing is None:
            return 0.0
        return self.bearing.bedding_order.value if self.bearing.bedding_order else None


def work_out(
    step: Step,
    option: Option,
    pools: tuple[PoolResult, ...],
    stones: StoneResult | None,
    ground: Terrain | None,
    soil: str,
) -> HeavyResult:
    """What stone asks of ground and machine.

    Args:
        step: Remembers what was worked out, see ``evaluate.Memory``.
        option: As drawn.
        pools: Those that could be worked out.
        stones: The stone; None where the option has none.
        ground: As it is, in site axes; None where it is in trouble.
        soil: The site's, a name in the table of soils.
    """
    borne = _bearing(step, option, pools, stones, ground, soil)
    return HeavyResult(borne, tuple(problem for part in (borne,) if part for problem in part.problems))


def slings(step: Step, option: Option, stones: StoneResult | None) -> SlingsResult | None:
    """The slings with every boulder; None where the option has none. By value, so that a stone that stands otherwise in its
    pool hangs in its slings as before."""
    if option.stone is None or stones is None or not option.stone.slings:
        return None
    high = tuple((kind.boulder, kind.mass.most) for kind in stones.kinds)
    return step(stone.slings, option.stone.slings, option.stone.rigging, high)  # type: ignore[no-any-return]


def _bearing(
    step: Step,
    option: Option,
    pools: tuple[PoolResult, ...],
    stones: StoneResult | None,
    ground: Terrain | None,
    soil: str,
) -> BearingResult | None:
    if option.stone is None or stones is None or option.stone.bearing is None:
        return None
    digs = {pool.name: pool.surfaces.dig for pool in pools} if ground else {}
    resting = tuple(
        stone.Resting(
            kind.index,
            kind.boulder,
            kind.mass.most,
            step(stands, digs[kind.boulder.pool], ground, kind.boulder.places) if kind.boulder.pool in digs else (),
        )
        for kind in stones.kinds
    )
    return step(stone.bearing, option.stone.bearing, resting, soil)  # type: ignore[no-any-return]
