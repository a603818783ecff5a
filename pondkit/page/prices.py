"""Controls of prices: those of the job, those of one option alone, the price list as a file, and the quotation."""

import html
from functools import partial

import streamlit as st

from pondkit.core.part import get
from pondkit.core.refusal import Refused
from pondkit.core.result import Path
from pondkit.core.units import System
from pondkit.page import edits
from pondkit.page.controls import ident, item_bar, part_controls, stock_fold
from pondkit.page.form import Form
from pondkit.page.state import Desk, guarded, widget_value
from pondkit.project.files import put
from pondkit.project.project import Project
from pondkit.report.table import price_csv
from pondkit.study.evaluate import evaluate
from pondkit.trades.cost.inputs import price_list

QUOTATION: Path = ("quotation",)
LISTS = (("lines", "Lines of its own", "line"), ("steps", "Payment steps", "payment step"))


def quotation_form(form: Form) -> None:
    """A fold with the fields and lists of the quotation."""
    desk = form.desk
    with form.fold("fold:quotation", "Quotation") as is_unfolded:
        if not is_unfolded:
            return
        present = desk.project.quotation is not None
        if present:
            part_controls(form, QUOTATION)
            for field, heading, noun in LISTS:
                _quotation_list(form, (*QUOTATION, field), heading, noun)
        form.buttons(
            form.button(
                f"{ident(QUOTATION)}:{'drop' if present else 'add'}",
                "Remove the quotation" if present else "Add a quotation",
                lambda: desk.edit(lambda: edits.set_part(desk.project, QUOTATION, not present)),
                "Margin, tax, discount, lines of its own, payment steps and terms; papers print it.",
                strong=not present,
            )
        )


def _quotation_list(form: Form, list_path: Path, heading: str, noun: str) -> None:
    desk = form.desk
    form.head(ident(list_path), heading)
    for number in range(len(get(desk.project, list_path))):
        part_controls(form, (*list_path, number))
        item_bar(form, (*list_path, number), lambda index: None, noun=noun)
    form.buttons(
        form.button(
            f"{ident(list_path)}:plus",
            f"Add a {noun}",
            lambda: desk.edit(lambda: edits.add_item(desk.project, list_path)[0]),
        )
    )


PRICE_LIST = "price list"  # key of its chooser, and of one that was refused


def prices_of(form: Form) -> Path:
    """Path of the prices that count for the option on show: its own, with a line that says so, or else those of the
    job.
    """
    option_prices: Path = ("options", form.desk.option, "rates")
    if get(form.desk.project, option_prices) is None:
        return ("prices",)
    form.words("This option has prices of its own; those of the job do not count for it.")
    return option_prices


def own_prices(form: Form) -> None:
    """A button to give the option prices of its own, and the quotation."""
    desk = form.desk
    option_prices: Path = ("options", desk.option, "rates")
    if desk.project.prices is not None and len(desk.project.options) > 1 and get(desk.project, option_prices) is None:
        form.buttons(
            form.button(
                f"{ident(option_prices)}:add",
                "Give this option prices of its own",
                lambda: desk.edit(lambda: edits.set_part(desk.project, option_prices, True)),
                "It begins with those of the job; from then on they stand apart.",
            )
        )
    quotation_form(form)


def price_file(desk: Desk, path: Path) -> None:
    """A fold to download the price list and to load one.

    Args:
        desk: The person's work.
        path: Path of the prices that the list belongs to.
    """
    with stock_fold("Price list as a file", "fold:price list", expanded=not get(desk.project, path).lines) as file:
        if not file.open:
            return
        st.download_button(
            "Download the list (CSV)",
            data=partial(_list_csv, desk.project, desk.option, desk.units),
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
            key=PRICE_LIST,
            max_upload_size=1,
            on_change=guarded(lambda: _load_list(desk, path)),
            help="Takes the place of the lines there are; undo brings them back. Rows without a price are passed over.",
        )
        if PRICE_LIST in desk.refusals:
            name, reasons = desk.refusals[PRICE_LIST]
            rows = "".join(f"<li>{html.escape(reason)}</li>" for reason in reasons.splitlines())
            head = f"{html.escape(name)} was not taken, and the list is as it was."
            st.html(f"<div class='pk-problem' role='alert'>{head}<ul>{rows}</ul></div>")


def _list_csv(project: Project, option: int, system: System) -> bytes:
    return price_csv(evaluate(project).options[option], system).encode("utf-8")


def _load_list(desk: Desk, path: Path) -> None:
    upload = widget_value(PRICE_LIST)
    if upload is None:
        desk.refusals.pop(PRICE_LIST, None)
        return
    try:
        lines = price_list(upload.getvalue(), desk.units)
    except Refused as refused:
        desk.refusals[PRICE_LIST] = upload.name, "\n".join(refused.reasons)
        return
    desk.refusals.pop(PRICE_LIST, None)
    desk.edit(lambda: put(desk.project, (*path, "lines"), lines))
