"""Computed quantities as a person would type them: in the file's units, rounded to what one writes."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from pondkit.core.units import LENGTH, MASS, Kind, System, magnitude


@dataclass(frozen=True)
class Typed:
    """Writes quantities for a file in the units of a system."""

    system: System

    def far(self, value: float, step: float = 0.1, whole: Callable[[float], int] = round) -> str:
        """A distance on the site [m], in feet or metres, to a step of that unit; ``whole`` says which way."""
        return self._text(value, LENGTH, "ft" if self.system == "us" else "m", step, whole)

    def small(self, value: float, step: float = 1.0, whole: Callable[[float], int] = round) -> str:
        """A size, depth or level [m], in inches or centimetres, to a step of that unit."""
        return self._text(value, LENGTH, "in" if self.system == "us" else "cm", step, whole)

    def mass(self, value: float) -> str:
        """A mass [kg], in pounds or kilograms, rounded up to tens."""
        return self._text(value, MASS, "lb" if self.system == "us" else "kg", 10.0, math.ceil)

    def place(self, place: tuple[float, float], step: float = 0.1) -> list[str]:
        """A place on the site [m]."""
        return [self.far(place[0], step), self.far(place[1], step)]

    def either(self, us: str, si: str) -> str:
        """One of two round values."""
        return us if self.system == "us" else si

    def _text(self, value: float, kind: Kind, unit: str, step: float, whole: Callable[[float], int]) -> str:
        # What lies on a step already stays on it, whichever way the rest is rounded.
        steps = round(magnitude(value, kind, unit, self.system) / step, 6)
        return f"{whole(steps) * step + 0.0:.6g} {unit}"
