"""What a panel is drawn from: an option's results by their names, and what is chosen on the page."""

from dataclasses import dataclass
from typing import Any

from pondkit.core.units import System
from pondkit.drawing.frame import Figure, Panel
from pondkit.report import plan
from pondkit.report.section import Reach
from pondkit.study.evaluate import OptionResult, Results
from pondkit.trades.earthwork.pictures.excavation import Works
from pondkit.trades.liner.results import LinerResult

Line = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class Scene:
    """An option, its fellows, units, the chosen pool and liner, the section line, and what the plan on the page shows,
    by the number of that frame; how far the section goes, where that is more than it needs.

    A panel names the results that it is made from: an attribute of the scene, or else of the option's result
    ("pools", "dig.levels"). Where a part of such a name is None, all of it is.
    """

    result: OptionResult
    system: System
    results: Results | None = None
    pool: int | None = None
    line: Line | None = None
    liner: int = 0
    shown: plan.Span | None = None
    frame: int = 0
    reach: Reach | None = None

    @property
    def scene(self) -> "Scene":
        """Itself, for a picture of the whole."""
        return self

    @property
    def deepest(self) -> float:
        """Depth at the dark end of the colour scale, the same for all options [m]."""
        fellows = self.results.options if self.results else ()
        return plan.deepest([*fellows, self.result])  # the result may be an older one

    @property
    def span(self) -> tuple[float, float, float, float]:
        """West, south, east, north of all that is drawn [m]."""
        return plan.extent([self.result])

    @property
    def works(self) -> Works:
        """What is dug besides the pools, and what is heaped."""
        return plan.works_of(self.result)

    @property
    def sheet(self) -> LinerResult | None:
        """The chosen liner; None where there is none."""
        liners = self.result.lining.liners if self.result.lining else ()
        return liners[min(self.liner, len(liners) - 1)] if liners else None

    def draw(self, panel: Panel) -> Figure | None:
        """The picture of a panel; None where the option has nothing to draw."""
        return panel.draw(*self._values(panel.of), self.system)

    def alt(self, panel: Panel) -> str:
        """The picture of a panel in words."""
        return panel.alt(*self._values(panel.alt_of), self.system)

    def csv(self, panel: Panel) -> str:
        """The table of a panel that has one."""
        assert panel.csv
        return panel.csv[1](*self._values(panel.of), self.system)

    def _values(self, names: tuple[str, ...]) -> list[Any]:
        return [self._value(name) for name in names]

    def _value(self, name: str) -> Any:
        first, *further = name.split(".")
        here = first in vars(self) or hasattr(type(self), first)
        value = getattr(self if here else self.result, first)
        for part in further:
            value = None if value is None else getattr(value, part)
        return value
