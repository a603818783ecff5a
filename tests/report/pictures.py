"""Looking at pictures as data: what their strings and numbers are."""

import json
from collections.abc import Iterator
from typing import Any

import numpy as np


def as_json(figure: dict[str, Any]) -> str:
    """The picture's JSON.

    Raises: ValueError where a number is not finite, which JSON has no form for.
    """
    return json.dumps(figure, default=lambda item: np.asarray(item).tolist(), allow_nan=False)


def strings(value: Any) -> Iterator[str]:
    """Every text in a picture."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for item in value.values():
            yield from strings(item)
    elif isinstance(value, list | tuple):
        for item in value:
            yield from strings(item)


def numbers(values: Any) -> list[float]:
    """The numbers of a list of coordinates, gaps left out."""
    return [float(value) for value in np.asarray(values, dtype=object).ravel() if value is not None]


def lightness(colour: str) -> float:
    """CIE L* of a colour such as #8ac2c7: sRGB by IEC 61966-2-1, L* by CIE 15 (1976)."""
    shares = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
    luminance = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    return 116 * luminance ** (1 / 3) - 16 if luminance > (6 / 29) ** 3 else luminance * (29 / 3) ** 3


def area(x: Any, y: Any) -> float:
    """Area of a closed ring (shoelace formula)."""
    a, b = np.array(numbers(x)), np.array(numbers(y))
    return abs(float(np.sum(a * np.roll(b, -1) - b * np.roll(a, -1)))) / 2


def named(figure: dict[str, Any], name: str) -> dict[str, Any]:
    """The one trace of a name."""
    (found,) = [trace for trace in figure["data"] if trace.get("name") == name]
    return dict(found)
