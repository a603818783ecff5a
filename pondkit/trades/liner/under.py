"""A liner with the pools under it."""

from dataclasses import dataclass

from pondkit.core.remembered import remembered
from pondkit.geometry.outline import Placed
from pondkit.geometry.path import Laid
from pondkit.geometry.setting import Traced
from pondkit.geometry.sheet import Rims, Sheet
from pondkit.trades.liner.inputs import Liner


@dataclass(frozen=True, eq=False)
class Under:
    """A liner with the pools under it.

    Attributes:
        liner: As entered.
        names: Pools that it covers, known and worked out.
        laid: Liner surface of each.
        areas: Per pool: true area up to the rim, and plan area of the edge strip [m²].
        rims: The rims under it.
        turn_deg: Direction of its length.
        along, across: The sheet in both directions.
        edge: Liner beyond the rims, measured along it [m].
        trench: Middle line of the anchor trench; None without one.
    """

    liner: Liner
    names: tuple[str, ...]
    laid: tuple[Laid, ...]
    areas: tuple[tuple[float, float], ...]
    rims: Rims
    turn_deg: float
    along: Sheet
    across: Sheet
    edge: float
    trench: Traced | None

    @property
    def axes(self) -> Placed:
        """The liner's own axes: x along its length, from the site's origin."""
        return Placed(0.0, 0.0, self.turn_deg)


make_under = remembered(Under)
