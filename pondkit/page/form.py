"""The form: rows of controls are gathered in order, each with its action, and shown as one component."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from pondkit.page.components import Button, Row, entries, form
from pondkit.page.state import Desk, guarded

Action = Callable[[Any, int], None]  # what was entered, and the number of the drag


class Form:
    """Rows as they are gathered, and the action of each.

    Args:
        desk: The person's work.
        name: Name of the form, unique on the page.
        follows: Whether the form stands in the part of the page that follows the hand.
    """

    def __init__(self, desk: Desk, name: str, *, follows: bool) -> None:
        self.desk, self.name, self.follows = desk, name, follows
        self.rows: list[Row] = []
        self.actions: dict[str, Action] = {"folds": lambda folds, drag: desk.form.folds.update(folds)}

    def add(self, row: Row, action: Action | None = None) -> None:
        """Add a row, and the action for what is entered in it."""
        self.rows.append(row)
        if action is not None:
            self.actions[row["id"]] = action

    def words(self, text: str) -> None:
        """Add a line of text."""
        self.add({"kind": "words", "id": f"words:{len(self.rows)}:{text[:20]}", "label": text})

    def button(
        self,
        id_: str,
        label: str,
        action: Callable[[], None],
        help_: str = "",
        *,
        off: bool = False,
        strong: bool = False,
    ) -> Button:
        """A button for the ``buttons`` of a row."""
        self.actions[id_] = lambda value, drag: action()
        return Button(id=id_, label=label, help=help_, disabled=off, strong=strong)

    def head(self, id_: str, label: str, *buttons: Button) -> None:
        """Add a heading, with buttons beside it."""
        self.add({"kind": "head", "id": f"head of {id_}", "label": label, "buttons": list(buttons)})

    def buttons(self, *buttons: Button) -> None:
        """Add a line of buttons."""
        self.add({"kind": "buttons", "id": f"line of {buttons[0]['id']}", "buttons": list(buttons)})

    def choice(
        self,
        id_: str,
        label: str,
        options: Sequence[tuple[str, str]],
        value: str,
        action: Callable[[str], None],
        help_: str = "",
        buttons: Sequence[Button] = (),
    ) -> None:
        """Add a choice of one from a list, with buttons beside it."""
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
            lambda value, drag: action(str(value)),
        )

    def pick(
        self,
        id_: str,
        label: str,
        options: Sequence[tuple[str, str, bool]],
        value: str,
        action: Callable[[str], None],
        buttons: Sequence[Button] = (),
    ) -> None:
        """Add a choice of one from a few, all on show except those under "More".

        Args:
            id_, label: Id and name of the row.
            options: (value, name, whether it is under "More") of each.
            value: The present choice.
            action: Called with the value that is chosen.
            buttons: Buttons behind the choices.
        """
        row: Row = {
            "kind": "pick",
            "id": id_,
            "label": label,
            "options": list(options),
            "value": value,
            "buttons": list(buttons),
        }
        self.add(row, lambda value, drag: action(str(value)))

    @property
    def partial_run(self) -> bool:
        """Whether only the part that follows the hand runs. No stock widget may be shown then."""
        return self.follows and self.desk.sketch.live.partial_run

    @contextmanager
    def fold(
        self, id_: str, label: str, *, initially_open: bool = False, help_: str = "", look: str = "fold"
    ) -> Iterator[bool]:
        """A fold, for a ``with`` statement that gives whether it is open: its rows are gathered only then.

        Args:
            id_, label: Id and name of the fold.
            initially_open: Whether it is open until the person opens or closes it.
            help_: A line about it.
            look: "fold", or "part" for one whose label is the heading of the rows after it.
        """
        outside, self.rows = self.rows, []
        is_open = self.desk.form.folds.get(id_, initially_open)
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
        self.add(row, lambda value, drag: self.desk.form.folds.__setitem__(id_, bool(value)))

    def show(self) -> None:
        """Show the rows gathered so far as one component. Rows added later go into another one."""
        if not self.rows:
            return
        rows, self.rows = self.rows, []
        key = f"form {self.name}: {rows[0]['id']}"
        desk = self.desk
        # A partial run does not gather every row anew: the others keep their actions.
        earlier = desk.form.actions.get(self.name, {}) if self.partial_run else {}
        desk.form.actions[self.name] = earlier | self.actions
        form(
            key,
            rows,
            session=desk.session,
            revision=desk.history.revision,
            answered=desk.form.answered_numbers.get(key, 0),
            live=desk.sketch.live if self.follows else None,
            on_entry=guarded(take_entries, desk, key),
        )


def take_entries(desk: Desk, *keys: str) -> None:
    """Do what was entered in forms, in order and once each. An entry that was not answered yet comes again with the
    next one.

    Args:
        desk: The person's work.
        keys: Keys of the forms.
    """
    for key in keys:
        name = key.removeprefix("form ").partition(": ")[0]
        for entry in entries(key):
            if entry["n"] > desk.form.answered_numbers.get(key, 0):
                desk.form.answered_numbers[key] = entry["n"]
                enter(desk, name, entry["id"], entry["value"], entry["drag"])


def enter(desk: Desk, name: str, id_: str, value: Any, drag: int) -> None:
    """Do what is entered in a row of a form. Nothing happens if the row is no longer there."""
    if action := desk.form.actions.get(name, {}).get(id_):
        action(value, drag)
