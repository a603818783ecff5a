"""A panel: one picture with its words and the figures beside it, as a trade declares it. Page and papers show it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from pondkit.drawing.frame import Figure


@dataclass(frozen=True)
class Panel:
    """One picture with the figures that belong to it.

    Attributes:
        title: Its heading.
        part: Whose controls it goes with, as the page calls them; "" for those that are always on show.
        draw: Makes the picture of the results in ``of`` and the units on show; None where there is nothing to draw.
        alt: The picture in words, of the results in ``said_of`` and the units on show.
        of: Names of the results that the picture is made from, see ``report.scene.Scene``.
        said_of: The same for its words.
        keys: Keys of the takeoff that stand beside it.
        height: Height of the picture [px].
        takes: "plan" or "section" where its height goes by the window's instead.
        csv: What its table is called and who writes it, of what the picture is made from, where it can be downloaded.
    """

    title: str
    part: str
    draw: Callable[..., Figure | None]
    alt: Callable[..., str]
    of: tuple[str, ...]
    said_of: tuple[str, ...]
    keys: tuple[str, ...] = ()
    height: int = 380
    csv: tuple[str, Callable[..., str]] | None = None
    takes: Literal["plan", "section"] | None = None


def keys(names: str) -> tuple[str, ...]:
    """Keys of the takeoff, written as one text with blanks between."""
    return tuple(names.split())
