"""What a paper is made for: an option of a project, in a system of units, on a size of paper; and its head."""

from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property, partial

from pondkit.core.caution import REMINDER
from pondkit.core.units import System
from pondkit.drawing.blocks import Block, Room, Text
from pondkit.drawing.rows import FigureRow, by_rod
from pondkit.drawing.say import say, say_problem
from pondkit.drawing.site_image import alone
from pondkit.project.project import Site
from pondkit.report import table
from pondkit.report.papers.typesetter import Head, Size, room_of
from pondkit.study.evaluate import OptionResult, Results

NAMES: dict[System, str] = {"us": "US customary", "si": "metric (SI)"}
NOT_WHOLE = "This paper is not whole."
NOT_CHECKED = (
    "Not checked here: whether bank, wall and slope stand together as a whole, settlement, frost, the machine's "
    "own state and the ground under it on the day, and local rules on barriers, water, electricity and protected "
    "animals. These need local code and a qualified person."
)


@dataclass(frozen=True)
class Sheet:
    """One paper's subject.

    Attributes:
        results: Of all options.
        option: Index of the one that it is about.
        units: Units on show.
        size: Of the paper.
        paper: What kind of paper it is, as its head names it.
    """

    results: Results
    option: int
    units: System
    size: Size
    paper: str = ""

    @property
    def result(self) -> OptionResult:
        return self.results.options[self.option]

    @property
    def site(self) -> Site:
        return self.results.project.site

    @property
    def room(self) -> Room:
        return room_of(self.size, self.head(of_option=True))

    @cached_property
    def rows(self) -> list[FigureRow]:
        """Every figure of the option, written out."""
        return table.rows(self.result, self.units)

    def of(self, *keys: str) -> list[FigureRow]:
        """The figures of some keys, in the order of the keys."""
        return sorted((row for row in self.rows if row.key in keys), key=lambda row: keys.index(row.key))

    def shown(self, key: str, subject: str | None = None) -> str:
        """One figure as text; "" where there is none."""
        return next((row.text for row in self.rows if row.key == key and subject in (None, row.subject)), "")

    def level(self, key: str) -> str:
        """One figure that is a level, written as a rod is read; "" where there is none."""
        return next((by_rod(row.si_value, self.units) for row in self.of(key)), "")

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

    def heeded(self, groups: Collection[str], *ranks: str, machine: bool = True) -> list[str]:
        """What to heed of some groups of figures: each caution once, with the figures that call for it; without
        ``machine`` none of where the machine stands, reaches and goes.
        """
        told: dict[str, list[str]] = {}
        for row in self.rows:
            # The count of keep-outs entered only says again what each of them says.
            own = row.group in groups and row.key != "keep_outs_entered" and (machine or not _of_machine(row))
            for caution, words in zip(row.cautions, row.entry.cautions, strict=True) if own else ():
                if caution.rank in ranks and caution.key:
                    # What tells of a level has its lengths as a rod is read, as all levels of papers.
                    rod = partial(by_rod, system=self.units) if " datum" in words.text else None
                    text = say(words, self.units, rod)
                    told.setdefault(text, []).append(f"{row.label} {row.subject}".strip())
        return [f"{text} ({_few(of)})" if REMINDER not in ranks else text for text, of in told.items()]

    def head(self, *, of_option: bool) -> Head:
        """The head of every page."""
        project, job = self.results.project, self.site.job
        firm = job.firm
        marked = bool(firm.name or firm.logo)  # else the job stands in the firm's place
        where = (
            ("Job", (project.title or "not named") if marked else ""),
            ("Client", job.client),
            ("Site", _line(job.address)),
            ("Contacts", _line(job.contacts)),
            ("Paper", self.paper),
        )
        made = (
            ("Date", job.date),
            ("Revision", job.revision),
            ("Drawn by", job.drawn_by),
            ("Option", self.result.option.name if of_option else ""),
            ("Units", NAMES[self.units]),
        )
        licence = f"Licence {firm.licence}" if firm.licence else ""
        under = tuple(text for text in (licence, _line(firm.address), _line(firm.contacts)) if text)
        cards = tuple(tuple((label, text) for label, text in card if text) for card in (where, made))
        return Head(firm.name, under, cards, alone(firm.logo), project.title or self.paper)


def _of_machine(row: FigureRow) -> bool:
    """Whether a figure is of where the machine stands or reaches, or of the way that it comes by."""
    return row.key.startswith("way_") or row.subject.startswith(("machine at ", "boom at "))


def _line(text: str) -> str:
    """Several lines as one."""
    return ", ".join(line.strip() for line in text.splitlines() if line.strip())


def _few(names: list[str]) -> str:
    own = list(dict.fromkeys(names))
    return "; ".join(own[:3]) + (f" and {len(own) - 3} more" if len(own) > 3 else "")
