"""Results of the animals' brief: all of it that pictures and papers read."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result
from pondkit.core.sentence import Words

Site = tuple[float, float]


@dataclass(frozen=True)
class RequirementMark:
    """A requirement at its place: name, place on the site [m], and whether it passes."""

    text: Words
    at: Site
    passes: bool


@dataclass(frozen=True, eq=False)
class AnimalsResult(Result):
    """The brief, checked. Subjects are "kind" or "kind / place"; each figure passes at 0 or more.

    Attributes:
        marks: Requirements that have a place.
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
