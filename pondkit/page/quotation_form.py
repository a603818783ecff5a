"""What a quotation states beside the prices, below the job's rates: its own fields, lines of its own, payment steps."""

from pondkit.core.part import get
from pondkit.core.result import Path
from pondkit.page import edits
from pondkit.page.controls import item_bar, part_controls
from pondkit.page.fields import ident
from pondkit.page.form import Form

HERE: Path = ("quotation",)
LISTS = (("lines", "Lines of its own", "line"), ("steps", "Payment steps", "payment step"))


def quotation_form(form: Form) -> None:
    """A fold with the quotation's fields and lists, each part of a list below the other."""
    desk = form.desk
    with form.fold("fold:quotation", "Quotation") as opened:
        if not opened:
            return
        there = desk.project.quotation is not None
        if there:
            part_controls(form, HERE)
            for field, heading, what in LISTS:
                _list(form, (*HERE, field), heading, what)
        form.buttons(
            form.button(
                f"{ident(HERE)}:{'drop' if there else 'add'}",
                "Remove the quotation" if there else "Add a quotation",
                lambda: desk.edit(lambda: edits.set_part(desk.project, HERE, not there)),
                "Margin, tax, discount, lines of its own, payment steps and terms; papers print it.",
                strong=not there,
            )
        )


def _list(form: Form, held: Path, heading: str, what: str) -> None:
    desk = form.desk
    form.head(ident(held), heading)
    for number in range(len(get(desk.project, held))):
        part_controls(form, (*held, number))
        item_bar(form, (*held, number), lambda index: None, what=what)
    form.buttons(
        form.button(
            f"{ident(held)}:plus", f"Add a {what}", lambda: desk.edit(lambda: edits.add_item(desk.project, held)[0])
        )
    )
