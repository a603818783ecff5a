"""The price list as a file: taken and given in the Rates section."""

import html
from functools import partial

import streamlit as st

from pondkit.core.refusal import Refused
from pondkit.core.units import System
from pondkit.page.controls import fold
from pondkit.page.state import Desk, guarded, widget
from pondkit.project.files import put
from pondkit.project.project import Project
from pondkit.report.price_list import price_csv
from pondkit.study.evaluate import evaluate
from pondkit.trades.cost.inputs.price_list import price_list

KEY = "price list"


def price_file(desk: Desk) -> None:
    """A fold with the list to download and to load."""
    rates = desk.project.options[desk.option].rates
    with fold("Price list as a file", "fold:price list", expanded=not (rates and rates.lines)) as file:
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
            on_change=guarded(lambda: _take(desk)),
            help="Takes the place of the lines there are; undo brings them back. Rows without a price are passed over.",
        )
        if KEY in desk.refused:
            name, said = desk.refused[KEY]
            rows = "".join(f"<li>{html.escape(reason)}</li>" for reason in said.splitlines())
            head = f"{html.escape(name)} was not taken, and the list is as it was."
            st.html(f"<div class='pk-problem' role='alert'>{head}<ul>{rows}</ul></div>")


def _given(project: Project, option: int, system: System) -> bytes:
    return price_csv(evaluate(project).options[option], system).encode("utf-8")


def _take(desk: Desk) -> None:
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
    desk.edit(lambda: put(desk.project, ("options", desk.option, "rates", "lines"), lines))
