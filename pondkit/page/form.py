"""The form of what is chosen: rows are gathered in order, each with what it does, and shown as one component."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from pondkit.page.components import Button, Row, entries, form
from pondkit.page.state import Desk, guarded

Act = Callable[[Any, int], None]  # what was entered, and the number of the drag


class Form:
    """Rows as they are gathered, and what each does.

    Args:
        desk: The person's work.
        name: Of the form, unique on the page.
        follows: Whether the form stands in the part of the page that follows the hand.
    """

    def __init__(self, desk: Desk, name: str, *, follows: bool) -> None:
        self.desk, self.name, self.follows = desk, name, follows
        self.rows: list[Row] = []
        self.acts: dict[str, Act] = {"folds": lambda opened, drag: desk.folds.update(opened)}

    def add(self, row: Row, act: Act | None = None) -> None:
        """A further row, and what is done when something is entered in it."""
        self.rows.append(row)
        if act is not None:
            self.acts[row["id"]] = act

    def words(self, text: str) -> None:
        """A line of text."""
        self.add({"kind": "words", "id": f"words:{len(self.rows)}:{text[:20]}", "label": text})

    def button(
        self, id_: str, label: str, act: Callable[[], None], help_: str = "", *, off: bool = False, strong: bool = False
    ) -> Button:
        """A button for a row's ``buttons``."""
        self.acts[id_] = lambda value, drag: act()
        return Button(id=id_, label=label, help=help_, disabled=off, strong=strong)

    def head(self, id_: str, label: str, *buttons: Button) -> None:
        """A heading, with buttons beside it."""
        self.add({"kind": "head", "id": f"head of {id_}", "label": label, "buttons": list(buttons)})

    def buttons(self, *buttons: Button) -> None:
        """A line of buttons."""
        self.add({"kind": "buttons", "id": f"line of {buttons[0]['id']}", "buttons": list(buttons)})

    def choice(
        self,
        id_: str,
        label: str,
        options: Sequence[tuple[str, str]],
        value: str,
        act: Callable[[str], None],
        help_: str = "",
        buttons: Sequence[Button] = (),
    ) -> None:
        """One of a list, with buttons beside it."""
        self.add(
            {
                "kind": "choice",
                "id": id_,
                "label": label,
                "help": help_,
                "options": list(options),
                "value": value,
                "buttons": list(buttons),
            },
            lambda chosen, drag: act(str(chosen)),
        )

    def pick(
        self, id_: str, label: str, options: Sequence[tuple[str, str, bool]], value: str, act: Callable[[str], None]
    ) -> None:
        """One of a few, all on show but for those under "More"."""
        row: Row = {"kind": "pick", "id": id_, "label": label, "options": list(options), "value": value}
        self.add(row, lambda chosen, drag: act(str(chosen)))

    @property
    def part(self) -> bool:
        """Whether only what follows the hand runs: then no stock widget may be asked for."""
        return self.follows and self.desk.live.part

    @contextmanager
    def fold(
        self, id_: str, label: str, *, opened: bool = False, help_: str = "", look: str = "fold"
    ) -> Iterator[bool]:
        """A fold: gives whether it is open, as what is in it is gathered only then. With the look of a "part" its
        label is the heading of what stands behind it."""
        outside, self.rows = self.rows, []
        is_open = self.desk.folds.get(id_, opened)
        try:
            yield is_open
        finally:
            inside, self.rows = self.rows, outside
        row: Row = {
            "kind": "fold",
            "id": id_,
            "label": label,
            "help": help_,
            "open": is_open,
            "rows": inside,
            "look": look,
        }
        self.add(row, lambda value, drag: self.desk.folds.__setitem__(id_, bool(value)))

    def show(self) -> None:
        """What was gathered, as one component; what follows comes into a further one."""
        if not self.rows:
            return
        rows, self.rows = self.rows, []
        key = f"form {self.name}: {rows[0]['id']}"
        desk = self.desk
        # In a run of the part what is not gathered anew stands as it was.
        desk.acts[self.name] = desk.acts.get(self.name, {}) | self.acts if self.part else self.acts
        form(
            key,
            rows,
            session=desk.session,
            revision=desk.history.revision,
            answered=desk.answered.get(key, 0),
            live=desk.live if self.follows else None,
            on_entry=guarded(take_entries, desk, key),
        )


def take_entries(desk: Desk, *keys: str) -> None:
    """Do what was entered in forms, in order, each once: an entry that was not answered yet comes again with the
    next."""
    for key in keys:
        name = key.removeprefix("form ").partition(": ")[0]
        for entry in entries(key):
            if entry["n"] > desk.answered.get(key, 0):
                desk.answered[key] = entry["n"]
                enter(desk, name, entry["id"], entry["value"], entry["drag"])


def enter(desk: Desk, name: str, id_: str, value: Any, drag: int) -> None:
    """Do what is entered in a row of a form; nothing where it is no longer there."""
    if act := desk.acts.get(name, {}).get(id_):
        act(value, drag)
