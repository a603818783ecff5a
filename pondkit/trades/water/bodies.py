"""What the water side needs to know of a pool."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Body:
    """One pool's water.

    Attributes:
        name: The pool.
        level, rim_level: Site levels of the water at rest and of the rim [m].
        area: Water surface inside the waterline [m²].
    """

    name: str
    level: float
    rim_level: float
    area: float
