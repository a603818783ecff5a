"""What a slider shows of a quantity: its ends, its step, and the text in its box."""

import math

from pondkit.core import units
from pondkit.core.part import Ask
from pondkit.core.units import Entered, Kind, System
from pondkit.page.components import Row

FINE = 120  # steps of a slider, at two pixels each; a wider range is shown as a window round the value


def quantity(id_: str, said: Ask, kind: Kind, value: float, label: str, system: System) -> Row:
    """A form's row of a quantity: thumb, ends and step in the unit of the field's step, text as typed where it fits.

    The slider is as long as what is common: where a range has more steps than can be told apart by hand, it is a window
    round the value, and the box takes the rest.
    """
    step, unit = said.stride(kind, system)
    shown = units.magnitude(value, kind, unit, system)
    low = _end(said.bound("low", kind), kind, unit, system)
    high = _end(said.bound("high", kind), kind, unit, system)
    if low is None or high is None or (high - low) / step > FINE:
        low, high = _window(shown, step, low, high)
    return Row(
        kind="quantity",
        id=id_,
        label=label,
        help=said.help,
        text=box_text(value, kind, unit, system),
        unit=units.pretty(unit),
        value=shown,
        min=low,
        max=high,
        step=step,
        message="",
    )


def _end(bound: float | None, kind: Kind, unit: str, system: System) -> float | None:
    return None if bound is None else units.magnitude(bound, kind, unit, system)


def _window(value: float, step: float, low: float | None, high: float | None) -> tuple[float, float]:
    """A range of ``FINE`` steps round a value, on a grid coarse enough that it stays put for small moves."""
    leap = step * FINE / 4
    middle = round(value / leap) * leap
    start, end = middle - 2 * leap, middle + 2 * leap
    if low is not None and start < low:
        start, end = low, low + 4 * leap
    if high is not None and end > high:
        start, end = max(high - 4 * leap, low if low is not None else -math.inf), high
    return start, end


def box_text(value: float, kind: Kind, unit: str, system: System) -> str:
    """Text for the box: as typed where it was typed in the units on show, else in the slider's unit."""
    if isinstance(value, Entered) and units.system_of(value.text) in (system, ""):
        return value.text
    return units.figures(units.magnitude(value, kind, unit, system), 5) + (f" {units.pretty(unit)}" if unit else "")


def with_unit(text: str, kind: Kind, unit: str) -> str:
    """What was typed; a bare number means the unit that the box shows."""
    bare = text[-1:].isnumeric() and not units.system_of(text)
    return f"{text} {unit}" if bare and unit and not kind.plain else text
