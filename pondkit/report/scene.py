"""The data from which a panel is drawn: an option's results by name, and what is chosen on the page."""

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
    """An option with the other options' results, unit system, chosen pool and liner, section line, limits of the plan
    on the page with the number of that frame, and the reach of the section if it is to be larger than needed.

    A panel names the results that it is made from: attributes of the scene, or else of the option's result ("pools",
    "dig.levels"). If a part of such a name is None, the whole is None.
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
        """Itself, for a picture that takes the whole scene."""
        return self

    @property
    def deepest(self) -> float:
        """Depth at the dark end of the colour scale [m], the same for all options."""
        fellows = self.results.options if self.results else ()
        return plan.deepest([*fellows, self.result])  # the result may be of an earlier state of the design

    @property
    def span(self) -> tuple[float, float, float, float]:
        """West, south, east and north limits of the plan [m]."""
        return plan.extent([self.result])

    @property
    def works(self) -> Works:
        """Excavations besides the pools, and heaped soil."""
        return plan.works_of(self.result)

    @property
    def sheet(self) -> LinerResult | None:
        """The chosen liner; None if there is none."""
        liners = self.result.lining.liners if self.result.lining else ()
        return liners[min(self.liner, len(liners) - 1)] if liners else None

    def draw(self, panel: Panel) -> Figure | None:
        """The picture of a panel; None if the option has nothing to draw."""
        return panel.draw(*self._values(panel.of), self.system)

    def alt(self, panel: Panel) -> str:
        """Description of a panel's picture in words."""
        return panel.alt(*self._values(panel.alt_of), self.system)

    def csv(self, panel: Panel) -> str:
        """The CSV table of a panel that has one."""
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
