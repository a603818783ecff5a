"""Computed quantities as a person would write them: in the file's units, and rounded."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from pondkit.core.units import LENGTH, MASS, Kind, System, magnitude


@dataclass(frozen=True)
class Typed:
    """Writes quantities for a file in the units of a system."""

    system: System

    def far(self, value: float, step: float = 0.1, whole: Callable[[float], int] = round) -> str:
        """A distance on the site [m] as text in feet or metres, rounded to a step of that unit; ``whole`` gives the
        direction of rounding.
        """
        return self._text(value, LENGTH, "ft" if self.system == "us" else "m", step, whole)

    def small(self, value: float, step: float = 1.0, whole: Callable[[float], int] = round) -> str:
        """A size, depth or level [m] as text in inches or centimetres, rounded to a step of that unit."""
        return self._text(value, LENGTH, "in" if self.system == "us" else "cm", step, whole)

    def mass(self, value: float) -> str:
        """A mass [kg] as text in pounds or kilograms, rounded up to tens."""
        return self._text(value, MASS, "lb" if self.system == "us" else "kg", 10.0, math.ceil)

    def place(self, place: tuple[float, float], step: float = 0.1) -> list[str]:
        """A place on the site [m] as two texts."""
        return [self.far(place[0], step), self.far(place[1], step)]

    def either(self, us: str, si: str) -> str:
        """The one of two round values that belongs to the system."""
        return us if self.system == "us" else si

    def _text(self, value: float, kind: Kind, unit: str, step: float, whole: Callable[[float], int]) -> str:
        # A value that is on a step already stays there, whichever way others are rounded.
        steps = round(magnitude(value, kind, unit, self.system) / step, 6)
        return f"{whole(steps) * step + 0.0:.6g} {unit}"
