"""Results of the animals, as pictures and papers read them."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result
from pondkit.core.sentence import Words

Site = tuple[float, float]


@dataclass(frozen=True)
class RequirementMark:
    """A requirement, or a way out, at its place.

    Attributes:
        text: What is required and by how much it is met or missed; of a way out its name, slope and surface.
        at: Its place on the site [m].
        passes: False if the requirement is not met, or if the way out counts for none of the kinds that need one.
    """

    text: Words
    at: Site
    passes: bool


@dataclass(frozen=True, eq=False)
class AnimalsResult(Result):
    """The brief, checked. Subjects are "kind" or "kind / place"; each ``demand`` is met at 0 or more.

    Attributes:
        marks: Requirements that have a place, and the ways out.
        problems: Requirements that could not be checked, why, and the remedy.
    """

    demand_bore: tuple[Entry, ...]
    demand_swim: tuple[Entry, ...]
    demand_area: tuple[Entry, ...]
    demand_depth: tuple[Entry, ...]
    demand_bank: tuple[Entry, ...]
    demand_ways_out: tuple[Entry, ...]
    demand_entrance: tuple[Entry, ...]
    demand_ice: tuple[Entry, ...]
    demand_exits: tuple[Entry, ...]
    demand_dry: tuple[Entry, ...]
    demand_fence: tuple[Entry, ...]
    mouth_clear_of_ice: tuple[Entry, ...]
    demands_failed: tuple[Entry, ...]
    demands_not_checked: tuple[Entry, ...]
    total_demands_failed: Entry | None
    total_demands_not_checked: Entry | None
    marks: tuple[RequirementMark, ...]
    problems: tuple[Problem, ...]
