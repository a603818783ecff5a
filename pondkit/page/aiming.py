"""Aims on the page: reach a target by moving one input, and what drives a figure. Worked out only when asked."""

import html

import streamlit as st

from pondkit.core.refusal import Refused, place, writable
from pondkit.core.result import Path
from pondkit.page.controls import with_unit
from pondkit.page.state import Aims, Desk, guarded, unmarked
from pondkit.project.project import Project
from pondkit.report import aims
from pondkit.study.aim import scales
from pondkit.study.evaluate import OptionResult

MOST_BARS = 8
FIRST = "total_net_volume|"  # figure that is chosen first


def aim_panel(desk: Desk, result: OptionResult) -> None:
    """Figure, target and input to move; then what was found, and the drivers of the figure.

    Args:
        desk: The person's work.
        result: The option on show, as it is.
    """
    st.html("<span class='pk-aiming'></span>")  # by which the style sheet knows this popover
    figures = {figure.id: figure for figure in aims.aimable(result, desk.units)}
    moves = {aims.move_id(path): path for path in aims.movable(desk.project, desk.option)}
    if not figures:
        st.caption("Nothing of this option can be worked out: mend what stands beside the plan first.")
        return
    chosen = figures[
        _choice(
            desk, "Figure", "aim figure", {key: one.name for key, one in figures.items()}, "Which figure is aimed at."
        )
    ]
    target = st.text_input(
        "Target",
        key="aim target",
        placeholder=chosen.text.replace(",", ""),
        help=f"What it shall be; it is {unmarked(chosen.text)} now.",
    )
    if chosen.hint:
        st.caption(chosen.hint)
    said = {key: _said(desk.project, path) for key, path in moves.items()}
    move = moves[
        _choice(desk, "Input to move", "aim move", said, "The one input that is moved until the target is reached.")
    ]
    left, right = st.columns([1, 1.4])
    if left.button("Solve", type="primary", width="stretch", disabled=not target.strip()):
        with st.spinner("Solving …"):
            desk.aims = _solved(desk, chosen, target, move)
    if right.button("What drives it", width="stretch", help="What a tenth more of each input does to the figure."):
        with st.spinner("Changing each input …"):
            desk.aims = _driven(desk, chosen)
    if desk.aims and desk.aims.project is desk.project and desk.aims.option == desk.option:
        _found(desk, desk.aims)


def _choice(desk: Desk, label: str, key: str, said: dict[str, str], help_text: str) -> str:
    """One of a list that may be another at the next run; what was chosen stays as long as it is there."""
    names = list(said)
    held = desk.chosen.get(key)
    own = f"{key}{hash(tuple(said.items()))}"
    found = st.selectbox(
        label,
        names,
        index=names.index(held) if held in names else names.index(FIRST) if FIRST in names else 0,
        format_func=said.__getitem__,
        key=own,
        help=help_text,
    )
    desk.chosen[key] = found
    return str(found)


def _said(project: Project, path: Path) -> str:
    """An input without the option's name: "pool 'lower', tier 2 'deep', depth"."""
    words = place(project, path).partition(", ")[2]
    return f"{words}, outline scaled" if scales(path) else words


def _solved(desk: Desk, figure: aims.Aimable, target: str, move: Path) -> Aims:
    asked = with_unit(
        target.strip(), figure.kind, figure.unit
    )  # a bare number is in the unit that the figure is shown in
    try:
        found, said = aims.aim_text(desk.project, desk.option, figure.key, figure.subject, asked, move, desk.units)
    except Refused as refused:
        found, said = None, refused.reasons[0]
    return Aims(desk.project, desk.option, said, found)


def _driven(desk: Desk, figure: aims.Aimable) -> Aims:
    rows = aims.drive_rows(desk.project, desk.option, figure.key, figure.subject, aims.TENTH, desk.units)
    head = f"{figure.name}, {figure.text}: what a tenth more of each input, or the step named with it, does to it."
    bars = tuple((row.what.partition(", ")[2], row.text, row.length) for row in rows[:MOST_BARS])
    return Aims(desk.project, desk.option, head if bars else f"{figure.name}: no input moves it.", None, bars)


def _found(desk: Desk, found: Aims) -> None:
    st.html(f"<p class='pk-aimed' role='status'>{html.escape(writable(found.said))}</p>")
    if found.bars:
        bars = "".join(
            f"<li><span>{html.escape(what)}</span><b>{html.escape(text)}</b><i style='width:{length:.0%}' "
            f"class='{'pk-less' if text.startswith('-') else ''}'></i></li>"
            for what, text, length in found.bars
        )
        st.html(f"<ol class='pk-bars'>{bars}</ol>")
    if (aimed := found.found) is not None:
        st.button("Take it", width="stretch", key="aim take", on_click=guarded(lambda: desk.edit(lambda: aimed)))
