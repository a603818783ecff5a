"""Prices of the job and of an option alone, the price list as a file, and what a quotation states beside the prices."""

import html
from functools import partial

import streamlit as st

from pondkit.core.part import get
from pondkit.core.refusal import Refused
from pondkit.core.result import Path
from pondkit.core.units import System
from pondkit.page import edits
from pondkit.page.controls import fold, ident, item_bar, part_controls
from pondkit.page.form import Form
from pondkit.page.state import Desk, guarded, widget
from pondkit.project.files import put
from pondkit.project.project import Project
from pondkit.report.price_list import price_csv
from pondkit.study.evaluate import evaluate
from pondkit.trades.cost.inputs import price_list

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


KEY = "price list"


def prices_of(form: Form) -> Path:
    """Where the prices of the option on show stand: its own, which is said, else those of the job."""
    own: Path = ("options", form.desk.option, "rates")
    if get(form.desk.project, own) is None:
        return ("prices",)
    form.words("This option has prices of its own; those of the job do not count for it.")
    return own


def own_prices(form: Form) -> None:
    """The step to prices of the option's own, and what a quotation states beside the prices."""
    desk = form.desk
    own: Path = ("options", desk.option, "rates")
    if desk.project.prices is not None and len(desk.project.options) > 1 and get(desk.project, own) is None:
        form.buttons(
            form.button(
                f"{ident(own)}:add",
                "Give this option prices of its own",
                lambda: desk.edit(lambda: edits.set_part(desk.project, own, True)),
                "It begins with those of the job; from then on they stand apart.",
            )
        )
    quotation_form(form)


def price_file(desk: Desk, path: Path) -> None:
    """A fold with the list to download and to load; ``path`` is where its prices stand."""
    with fold("Price list as a file", "fold:price list", expanded=not get(desk.project, path).lines) as file:
        if not file.open:
            return
        st.download_button(
            "Download the list (CSV)",
            data=partial(_given, desk.project, desk.option, desk.units),
            file_name="prices.csv",
            mime="text/csv",
            on_click="ignore",
            width="stretch",
            key="prices",
            help="Every quantity of this option with its net figure and unit, and the prices that are there.",
        )
        st.file_uploader(
            "Load a price list",
            type=["csv", "txt"],
            key=KEY,
            max_upload_size=1,
            on_change=guarded(lambda: _take(desk, path)),
            help="Takes the place of the lines there are; undo brings them back. Rows without a price are passed over.",
        )
        if KEY in desk.refused:
            name, said = desk.refused[KEY]
            rows = "".join(f"<li>{html.escape(reason)}</li>" for reason in said.splitlines())
            head = f"{html.escape(name)} was not taken, and the list is as it was."
            st.html(f"<div class='pk-problem' role='alert'>{head}<ul>{rows}</ul></div>")


def _given(project: Project, option: int, system: System) -> bytes:
    return price_csv(evaluate(project).options[option], system).encode("utf-8")


def _take(desk: Desk, path: Path) -> None:
    given = widget(KEY)
    if given is None:
        desk.refused.pop(KEY, None)
        return
    try:
        lines = price_list(given.getvalue(), desk.units)
    except Refused as refused:
        desk.refused[KEY] = given.name, "\n".join(refused.reasons)
        return
    desk.refused.pop(KEY, None)
    desk.edit(lambda: put(desk.project, (*path, "lines"), lines))
