"""What a paper is made for: an option of a project, in a system of units, on a size of paper; and its head."""

from dataclasses import dataclass

from pondkit.core.units import System
from pondkit.drawing.blocks import Block, Room, Text
from pondkit.drawing.say import say_problem
from pondkit.project.project import Site
from pondkit.report.papers.typesetter import Head, Size, room_of
from pondkit.study.evaluate import OptionResult, Results

NAMES: dict[System, str] = {"us": "US customary", "si": "metric (SI)"}
NOT_WHOLE = "This paper is not whole."


@dataclass(frozen=True)
class Sheet:
    """One paper's subject.

    Attributes:
        results: Of all options.
        option: Index of the one that it is about.
        units: Units on show.
        size: Of the paper.
    """

    results: Results
    option: int
    units: System
    size: Size

    @property
    def result(self) -> OptionResult:
        return self.results.options[self.option]

    @property
    def site(self) -> Site:
        return self.results.project.site

    @property
    def room(self) -> Room:
        return room_of(self.size, self.head(of_option=True))

    def faults(self) -> list[Block]:
        """What of the option could not be worked out, with the mend; a paper that has any is marked as not whole."""
        said = [
            say_problem(self.results.project, path, problem, self.units)
            for path, problem in self.results.problems
            if path[0] != "options" or path[1] == self.option
        ]
        if not self.result.option.pools:
            said.append(f"Option {self.result.option.name} has no pool yet, so there is nothing to build from.")
        return [Text("\n".join(said), lead=NOT_WHOLE, look="box")] if said else []

    def head(self, *, of_option: bool) -> Head:
        """The head of every page."""
        job = (("Job", self.results.project.title or "not named"),)
        made = (("Option", self.result.option.name),) if of_option else ()
        return Head(cards=(job, (*made, ("Units", NAMES[self.units]))))
