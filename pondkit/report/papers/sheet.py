"""The subject of a paper (an option of a project, in a unit system, on a size of paper), its head, and typesetting as a
PDF: the template gets blocks and head as data, and nothing is fetched.
"""

import json
import math
import re
import unicodedata
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import asdict, dataclass, field
from functools import cache, cached_property, partial
from pathlib import Path
from threading import Lock
from typing import Any, Literal, get_args

import typst

from pondkit.core.caution import REMINDER
from pondkit.core.kinds import LENGTH
from pondkit.core.units import System, show
from pondkit.drawing.blocks import BLANK, Beside, Block, Room, Table, Text, widths
from pondkit.drawing.frame import magnitude_of
from pondkit.drawing.labels import FOLDER, FONT, POINT, width_of
from pondkit.drawing.rows import TAPE_PLACES, FigureRow, by_rod, by_tape, say, say_problem
from pondkit.drawing.to_scale import alone, aspect_of
from pondkit.project.project import Site
from pondkit.report import table
from pondkit.study.evaluate import OptionResult, Results

Size = Literal["letter", "a4"]
SIZES: tuple[Size, ...] = get_args(Size)
SHEETS: dict[Size, tuple[str, float, float]] = {  # name in typst, width, height [mm]
    "letter": ("us-letter", 215.9, 279.4),
    "a4": ("a4", 210.0, 297.0),
}
USUAL: dict[System, Size] = {"us": "letter", "si": "a4"}  # size of paper if none is asked for
TOP, BOTTOM, SIDE = 24.0, 12.0, 14.0  # mm: margins; the head is in the upper one
GUTTER = 6.0  # mm between columns, as in the template
CAPTION = 10.0  # mm: height of a picture's caption
LETTERS, LINE = 7.5 * POINT, 3.3  # mm: size of letters in the head, and line spacing
# most rows of a table that is kept on one page: of any table, and of one that is to be kept whole
SHORT, MOST_KEPT = 6, 36
LOGO_WIDE, LOGO_HIGH = 26.0, 11.0  # mm: most that a logo takes, beside the firm's name
LABEL = 17.0  # mm: width of the labels of a card
LONG_WORD, BREAK = re.compile(r"\S{36}"), "\u200b"  # letters after which a word may be broken, and the mark for that
UNTOUCHED = ("svg", "logo", "alt", "logo_alt", "font")  # what of a paper's data is not read as words on paper
MISSING = "?"  # printed for a letter that no font has
LATIN = "\u024f"  # the last letter that the papers' own font has for certain
_TEMPLATE = Path(__file__).with_name("paper.typ")
# Text by which it is tested whether there is a font for some letters.
_PROBE = f'#set text(font: ("{FONT}", "Libertinus Serif")); #sys.inputs.letters'.encode()
_LOCK = Lock()  # the compiler sets one paper at a time


@dataclass(frozen=True)
class Head:
    """Contents of the head of every page.

    Attributes:
        firm: Name of the firm; "" if none is entered.
        under: Lines below it.
        cards: Columns of (label, text); the page's number is added to the last.
        logo: Logo of the firm as SVG; "" if there is none.
        logo_wide: Width of the logo [mm].
        job: Text in place of the firm if there is none.
    """

    firm: str = ""
    under: tuple[str, ...] = ()
    cards: tuple[tuple[tuple[str, str], ...], ...] = field(default=((), ()))
    logo: str = ""
    logo_wide: float = 0.0
    job: str = ""


def room_of(size: Size, head: Head) -> Room:
    """Space between a page's head and margins, with a picture's caption taken off its height."""
    _, wide, high = SHEETS[size]
    return Room(wide - 2 * SIDE, high - _top(head, wide) - BOTTOM - CAPTION)


def _top(head: Head, wide: float) -> float:
    """The upper margin [mm], which is higher if the head has long texts."""
    column = (wide - 2 * SIDE - GUTTER * len(head.cards)) / (len(head.cards) + 1)
    beside = column - (head.logo_wide + 3.0 if head.logo else 0.0)
    firm = (head.firm if head.logo else head.firm or head.job, *head.under)
    lines = [max(sum(_lines(text, beside) for text in firm), math.ceil(LOGO_HIGH / LINE) if head.logo else 0)]
    lines += [sum(_lines(text, column - LABEL) for _, text in card) + 1 for card in head.cards]
    return max(TOP, 14.0 + LINE * max(lines))


def _lines(text: str, wide: float) -> int:
    """Upper bound of the number of lines of a text; letters that the papers' own font lacks count as a full square."""
    long = max(width_of(text, LETTERS, bold=True), LETTERS * sum(letter > "\u2fff" for letter in text))
    return max(1, math.ceil(1.15 * long / wide))


def typeset(title: str, head: Head, blocks: Iterable[Block], size: Size) -> bytes:
    """A paper as a PDF, tagged for screen readers, with fonts and pictures embedded."""
    name, wide, _ = SHEETS[size]
    paper: dict[str, Any] = {
        "title": title,
        "head": asdict(head) | {"logo_alt": f"Logo of {head.firm or 'the firm'}"},
        "size": name,
        "margins": {"top": _top(head, wide), "bottom": BOTTOM, "side": SIDE},
        "font": FONT,
        "blocks": [_data(block, wide - 2 * SIDE) for block in blocks],
    }
    paper = _breakable(paper)
    with _LOCK:
        text = json.dumps(paper, ensure_ascii=False)
        if lacking := _without_font(text):
            notice = _data(_font_notice(lacking), wide - 2 * SIDE)
            text = json.dumps(paper | {"blocks": [notice, *paper["blocks"]]}, ensure_ascii=False)
            text = text.translate(dict.fromkeys(map(ord, lacking), MISSING))
        # A single input: the typesetter's memory depends on the order of inputs, which is not constant.
        whole = json.dumps({"title": title, "author": head.firm}, ensure_ascii=False)[:-1] + f', "paper": {text}}}'
        set_ = _compiler().compile(str(_TEMPLATE), format="pdf", sys_inputs={"whole": whole})
    assert isinstance(set_, bytes)
    return set_


def _breakable(value: Any) -> Any:
    """The same data, with places in very long words of its texts at which they may be broken. Done here, as it takes
    the typesetter half of its time.
    """
    if isinstance(value, str):
        return LONG_WORD.sub(lambda match: match[0] + BREAK, value)
    if isinstance(value, dict):
        return {key: item if key in UNTOUCHED else _breakable(item) for key, item in value.items()}
    return [_breakable(item) for item in value] if isinstance(value, list | tuple) else value


def _data(block: Block, wide: float) -> dict[str, Any]:
    """A block in the form that the template takes."""
    kind = type(block).__name__.lower()
    if isinstance(block, Beside):
        free = wide - GUTTER * (len(block.columns) - 1)
        columns = [
            [_data(inner, free * share / sum(block.shares)) for inner in column]
            for column, share in zip(block.columns, block.shares, strict=True)
        ]
        return {"kind": kind, "shares": block.shares, "columns": columns}
    data = asdict(block) | {"kind": kind}
    if isinstance(block, Table):
        data["widths"] = widths(block, wide)
        data["whole"] = len(block.rows) + block.spare <= (MOST_KEPT if block.whole else SHORT)
        data["pen"] = bool(block.spare) or any(BLANK in row for row in block.rows)
    return data


@cache
def _compiler() -> typst.Compiler:
    """The typesetter with its fonts; fonts of the system are used only for scripts that the papers' own font lacks."""
    return typst.Compiler(root=str(_TEMPLATE.parent), font_paths=[str(FOLDER)])


def _font_notice(lacking: str) -> Text:
    """Notice that some letters could not be printed, and the remedy."""
    scripts = sorted({_script(letter) for letter in lacking})
    many = "1 letter" if len(lacking) == 1 else f"{len(lacking)} letters"
    return Text(
        f"This computer has no font for {many} of this paper ({', '.join(scripts)}): {MISSING} is printed for each. "
        "The words themselves are kept in the job: install a font of that script, start pondkit again, and make the "
        "paper anew.",
        lead="Not all letters could be printed.",
        look="box",
    )


def _script(letter: str) -> str:
    """The script of a letter, by the first word of its name."""
    return unicodedata.name(letter, "unnamed").split()[0].capitalize()


def _without_font(text: str) -> str:
    """Letters of a text that neither the papers' own font nor any of the system has."""
    new = {letter for letter in text if letter > LATIN} - _KNOWN.keys() - {BREAK}
    if new and _prints("".join(sorted(new))):
        _KNOWN.update(dict.fromkeys(new, True))
    else:
        _KNOWN.update((letter, _prints(letter)) for letter in new)
    return "".join(sorted(letter for letter in set(text) if not _KNOWN.get(letter, True)))


_KNOWN: dict[str, bool] = {}  # for each letter tested so far: whether there is a font for it


def _prints(letters: str) -> bool:
    """Whether there is a font for every one of some letters: PDF/A is refused if one has none."""
    try:
        _compiler().compile(_PROBE, format="pdf", sys_inputs={"letters": letters}, pdf_standards="a-2b")
    except typst.TypstError:
        return False
    return True


NAMES: dict[System, str] = {"us": "US customary", "si": "metric (SI)"}
INCH, DECIMETRE = magnitude_of("in"), 0.1  # m
NOT_WHOLE = "This paper is not whole."
NOT_CHECKED = (
    "Not checked here: whether bank, wall and slope stand together as a whole, settlement, frost, the machine's "
    "own state and the ground under it on the day, and local rules on barriers, water, electricity and protected "
    "animals. These need local code and a qualified person."
)


@dataclass(frozen=True)
class Sheet:
    """The subject of one paper.

    Attributes:
        results: Results of all options.
        option: Index of the option that it is about.
        units: Unit system displayed.
        size: Size of the paper.
        paper: Kind of paper, for its head.
    """

    results: Results
    option: int
    units: System
    size: Size
    paper: str = ""

    @property
    def result(self) -> OptionResult:
        """Results of the option."""
        return self.results.options[self.option]

    @property
    def site(self) -> Site:
        """The site of the project."""
        return self.results.project.site

    @property
    def room(self) -> Room:
        """Space on a page for a picture with its caption."""
        return room_of(self.size, self.head(of_option=True))

    @cached_property
    def rows(self) -> list[FigureRow]:
        """Every figure of the option, written out."""
        return table.rows(self.result, self.units)

    def of(self, *keys: str) -> list[FigureRow]:
        """The figures of some keys, in the order of the keys."""
        return sorted((row for row in self.rows if row.key in keys), key=lambda row: keys.index(row.key))

    def shown(self, key: str, subject: str | None = None) -> str:
        """One figure as text; "" if there is none."""
        return next((row.text for row in self.rows if row.key == key and subject in (None, row.subject)), "")

    def level(self, key: str) -> str:
        """One figure that is a level, written as a rod is read; "" if there is none."""
        return next((by_rod(row.si_value, self.units) for row in self.of(key)), "")

    def faults(self) -> list[Block]:
        """Problems of the option with their remedies; a paper that has any is marked as not whole."""
        messages = [
            say_problem(self.results.project, path, problem, self.units)
            for path, problem in self.results.problems_of(self.option)
        ]
        if not self.result.option.pools:
            messages.append(f"Option {self.result.option.name} has no pool yet, so there is nothing to build from.")
        return [Text("\n".join(messages), lead=NOT_WHOLE, look="box")] if messages else []

    def heeded(
        self,
        groups: Collection[str],
        *ranks: str,
        machine: bool = True,
        named: Callable[[FigureRow], str] | None = None,
        less: Collection[str] = (),
    ) -> list[str]:
        """Cautions of some groups of figures, each once, with the figures that call for it in the words of ``named``;
        if that is left out, these are label and subject, and nothing for reminders. Without ``machine``, cautions of
        where the machine stands, reaches and travels are left out, and so are those
        whose key is in ``less``.
        """
        named = named or ((lambda _: "") if REMINDER in ranks else figure_of)
        few = _if_few if REMINDER in ranks else _few
        causes: dict[str, list[str]] = {}
        for row in self.rows:
            # The count of keep-outs repeats the cautions of each of them.
            applies = row.group in groups and row.key != "keep_outs_entered" and (machine or not _of_machine(row))
            for caution, words in zip(row.cautions, row.entry.cautions, strict=True) if applies else ():
                if caution.rank in ranks and caution.key and caution.key not in less:
                    # A caution about a level has its lengths as a rod is read, as all levels on papers.
                    level, asks = " datum" in words.text, caution.rank != REMINDER
                    length = partial(by_rod if level else _measured, system=self.units)
                    text = say(words, self.units, length if level or asks else None)
                    causes.setdefault(text, []).append(named(row))
        return [f"{text} ({names})" if (names := few(of)) else text for text, of in causes.items()]

    def head(self, *, of_option: bool) -> Head:
        """The head of every page."""
        project, job = self.results.project, self.site.job
        firm = job.firm
        marked = bool(firm.name or firm.logo)  # else the job takes the firm's place
        where = (
            ("Job", (project.title or "not named") if marked else ""),
            ("Client", job.client),
            ("Site", _line(job.address)),
            ("Contacts", _line(job.contacts)),
            ("Paper", self.paper),
        )
        issue = (
            ("Date", job.date),
            ("Revision", job.revision),
            ("Drawn by", job.drawn_by),
            ("Option", self.result.option.name if of_option else ""),
            ("Units", NAMES[self.units]),
        )
        licence = f"Licence {firm.licence}" if firm.licence else ""
        under = tuple(text for text in (licence, _line(firm.address), _line(firm.contacts)) if text)
        cards = tuple(tuple((label, text) for label, text in card if text) for card in (where, issue))
        aspect = aspect_of(firm.logo) if firm.logo else 0.0
        wide = min(LOGO_WIDE, LOGO_HIGH / aspect) if aspect else 0.0
        return Head(firm.name, under, cards, alone(firm.logo), wide, project.title or self.paper)


def _measured(value: float, system: System) -> str:
    """A length as a person measures it on site: in feet and inches by the tape, or in metres to the millimetre; below
    an inch or a decimetre as usual.
    """
    if abs(value) < (INCH if system == "us" else DECIMETRE):
        return show(value, LENGTH, system)
    return by_tape(value, system) if system == "us" else show(round(value, TAPE_PLACES[system]), LENGTH, system, "m")


def _of_machine(row: FigureRow) -> bool:
    """Whether a figure concerns the machine's position, its reach or the way in."""
    return row.key.startswith("way_") or row.subject.startswith(("machine at ", "boom at "))


def _line(text: str) -> str:
    """Several lines joined into one."""
    return ", ".join(line.strip() for line in text.splitlines() if line.strip())


def node_called(name: str, kind: str) -> str:
    """Name of a passage node, with its kind if the name does not include it."""
    return name if kind in name else f"{name} ({kind})"


def figure_of(row: FigureRow) -> str:
    """Label and subject of a figure."""
    return f"{row.label}, {row.subject}" if row.subject else row.label


FEW = 3  # names in brackets after a caution


def _few(names: list[str]) -> str:
    distinct = list(filter(None, dict.fromkeys(names)))
    return "; ".join(distinct[:FEW]) + (f" and {len(distinct) - FEW} more" if len(distinct) > FEW else "")


def _if_few(names: list[str]) -> str:
    """The same for a reminder; nothing if more figures have it, as it is true of the pond as a whole."""
    return _few(names) if len(set(filter(None, names))) <= FEW else ""


def planned_mass(rows: Sequence[FigureRow], boulder: str) -> str:
    """The mass by which a boulder is lifted and carried, as papers write it: the high end of its range."""
    return next((row.high_text or row.text for row in rows if (row.key, row.subject) == ("boulder_mass", boulder)), "")
