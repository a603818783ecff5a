"""Figures as the page shows them: key figures with the change of the last step, and figures that open to their working;
with them the messages of the page: problems, inputs to be filled in, reminders.
"""

import html

import streamlit as st

from pondkit.core import tables
from pondkit.core.caution import ACT, CHECK, RANKS, REMINDER
from pondkit.core.refusal import writable
from pondkit.core.remembered import remembered
from pondkit.core.units import System, grouped
from pondkit.drawing.rows import FigureRow, label, meaning, rank_of, say, say_problem, say_to_fill, signed, with_unit
from pondkit.page.state import Desk, escape_markdown, guarded, widget_value
from pondkit.project.files import put
from pondkit.project.project import Project
from pondkit.report import table
from pondkit.study.evaluate import OptionResult, Results
from pondkit.study.problems import SHARED, reminders

RANK_LABELS = {"": "All", ACT: "To act on", CHECK: "To check"}
MARKS = {ACT: ("!", "to act on: it will not work, or is not safe, as drawn"), CHECK: ("?", "to check on site")}
KEY_FIGURES = ("total_net_volume", "max_depth", "dig_volume", "liner_area_order", "stone_order", "total_price")


def key_figures(
    results: Results, before: Results | None, option: int, system: System, later: tuple[str, ...] = ()
) -> str:
    """Markup of the key figures, each with its change by the last step; a dash for one that could not be worked out.

    Args:
        results, before: The project now, and before the last step; None if there was none.
        option: Index of the option.
        system: Unit system displayed.
        later: Keys that are not worked out now, and are shown as on their way.
    """
    keys = tuple(key for key in KEY_FIGURES if key not in later)
    now = _rows_by_key(results.options[option], system, keys)
    is_there = before is not None and option < len(before.options)
    then = _rows_by_key(before.options[option], system, keys) if before and is_there else {}
    cells = []
    for key in KEY_FIGURES:
        name = html.escape(label(key))
        help_text = html.escape(meaning(key), quote=True)
        row = now.get(key)
        placeholder = "<span class='pk-coming' title='on its way'>…</span>" if key in later else "–"
        text = html.escape(row.texts[0]) if row and row.texts[0] else placeholder
        change = _change(row.cells[0], then[key].cells[0], system) if row and key in then else ""
        cell = row.cells[0] if row else None
        mark = _mark(rank_of(cell.cautions)) if cell else ""
        cells.append(
            f"<div class='pk-figure' role='listitem' title=\"{help_text}\"><span "
            f"class='pk-label'>{name}{mark}</span><b>{text}</b><i>{html.escape(change) or '&nbsp;'}</i></div>"
        )
    return "<div class='pk-figures' role='list' aria-label='Key figures'>" + "".join(cells) + "</div>"


def plain_figures(rows: list[table.SummaryRow], option: int, base_name: str) -> None:
    """Shows the key figures of one option as a plain list, each with its difference from the first option in words.

    Args:
        rows: Summary of the options on show, with differences from the first.
        option: Index of the option among those.
        base_name: Name of the first.
    """
    lines = []
    for row in rows:
        name, value = html.escape(row.label), html.escape(row.texts[option]) or "–"
        change = html.escape(difference(row.differences[option], row.cells[option], base_name)) or "&nbsp;"
        lines.append(f"<div role='listitem'><span>{name}</span><b>{value}<i>{change}</i></b></div>")
    st.html("<div class='pk-plain' role='list'>" + "".join(lines) + "</div>")


def difference(signed_text: str, cell: FigureRow | None, base_name: str) -> str:
    """A difference in words, such as "310 gal more than A"; "" if there is none to tell.

    Args:
        signed_text: The difference as the summary gives it, with its sign.
        cell: The figure; None if it could not be worked out.
        base_name: Name of the option that it is compared with.
    """
    if not signed_text or cell is None:
        return ""
    if signed_text == "0":
        return f"as {base_name}"
    word = "less" if signed_text.startswith("-") else "more"
    return f"{with_unit(signed_text.lstrip('+-'), cell)} {word} than {base_name}"


@remembered
def _rows_by_key(result: OptionResult, system: System, keys: tuple[str, ...]) -> dict[str, table.SummaryRow]:
    """Figures of one option, written out, by key: those of before the step stay while the hand moves."""
    alone = Results(Project(site=result.site, options=(result.option,)), (result,))
    return {row.key: row for row in table.summary_rows(alone, system, keys=keys)}


def _change(now: FigureRow | None, then: FigureRow | None, system: System) -> str:
    if now is None or then is None:
        return ""
    change = signed(now.si_value - then.si_value, now, system)
    return "" if change == "0" else f"{'▲' if change.startswith('+') else '▼'} {grouped(change[1:])}"


def problems(project: Project, results: Results, option: int, system: System, *, early: bool = False) -> list[str]:
    """Problems of one option in words. ``early`` gives only those of site, ground and pools, which a drag waits for."""
    if early:
        problems_by_path = [
            (problem.path if problem.path[0] in SHARED else ("options", option, *problem.path), problem)
            for problem in results.options[option].early_problems
        ]
    else:
        problems_by_path = [
            (path, problem) for path, problem in results.problems if path[0] != "options" or path[1] == option
        ]
    return [say_problem(project, path, problem, system) for path, problem in problems_by_path]


def to_fill(project: Project, results: Results, option: int, system: System) -> list[str]:
    """Inputs of one option and of the site that are still to be filled in, in words."""
    items = [(path, item) for path, item in results.to_fill if path[0] != "options" or path[1] == option]
    return [say_to_fill(project, path, item, system) for path, item in items]


def show_to_fill(desk: Desk, results: Results, *, elsewhere: bool = True) -> None:
    """Shows, without alarm, what is still to be filled in.

    Args:
        desk: The person's work.
        results: The project's results.
        elsewhere: Whether the reminders are on another view: then their number is given too.
    """
    items = to_fill(desk.project, results, desk.option, desk.units)
    unread = _unread(desk.project, results) if elsewhere else 0
    lines = "".join(f"<li>{html.escape(item)}</li>" for item in items)
    to_fill_markup = (
        f"<details class='pk-fill'><summary>To be filled in: {len(items)}</summary><ul>{lines}</ul></details>"
    )
    reminders_markup = f"<p class='pk-fill'>Reminders to read: {unread}, under Figures.</p>"
    st.html((to_fill_markup if items else "") + (reminders_markup if unread else "") or "&nbsp;")


def _unread(project: Project, results: Results) -> int:
    """Number of reminders that are not ticked as read."""
    groups = reminders(results.options).values()
    return sum(reminder.key not in project.reminders_read for group in groups for reminder in group)


def reminders_panel(desk: Desk, results: Results) -> None:
    """Shows each reminder once, under its group of figures, with a box to tick when it is read."""
    by_group = reminders(results.options)
    if not by_group:
        return
    heading = f"Reminders: {_unread(desk.project, results)} of {sum(map(len, by_group.values()))} to read"
    with st.expander(heading, key="reminders", on_change="rerun") as panel:
        if not panel.open:
            return
        st.caption("True of every job of this kind: said here once, and not at each figure. Tick what you have read.")
        for group, group_reminders in by_group.items():
            st.html(f"<h2 class='pk-group'>{html.escape(tables.GROUPS[group])}</h2>")
            for reminder in group_reminders:
                key = f"{desk.history.revision}:read {reminder.key}"
                st.checkbox(
                    escape_markdown(say(reminder, desk.units)),
                    value=reminder.key in desk.project.reminders_read,
                    key=key,
                    on_change=guarded(_tick, desk, reminder.key, key),
                )


def _tick(desk: Desk, reminder: str, key: str) -> None:
    """Tick a reminder as read, or no longer, as a step that can be undone."""
    others = [other for other in desk.project.reminders_read if other != reminder]
    desk.edit(lambda: put(desk.project, ("reminders_read",), (*others, *([reminder] if widget_value(key) else []))))


def _mark(rank: str) -> str:
    """Markup of a figure's mark by the rank of its cautions; "" if it has none."""
    if rank not in MARKS:
        return ""
    sign, words = MARKS[rank]
    return f"<span class='pk-mark pk-mark-{rank}' role='img' aria-label='{words}' title='{words}'>{sign}</span>"


def takeoff(result: OptionResult, system: System, keys: tuple[str, ...] = ()) -> None:
    """Shows figures of an option, each opening to its working, source, range and cautions.

    Args:
        result: The option's results.
        system: Unit system displayed.
        keys: Only the figures of these keys; empty for all, under headings.
    """
    _figure_list(table.rows(result, system, keys), headed=not keys)


def figure_search(result: OptionResult, system: System) -> None:
    """Shows all figures of an option, with boxes to narrow them down by words and by the rank of their cautions."""
    left, right = st.columns([2, 1.4], vertical_alignment="center")
    search = left.text_input(
        "Find a figure", key="find figure", placeholder="such as gravel, or basking pool", label_visibility="collapsed"
    )
    all_rows = table.rows(result, system)
    ranks = [rank_of(row.cautions) for row in all_rows]
    rank = right.segmented_control(
        "Which figures",
        ("", ACT, CHECK),
        default="",
        format_func=lambda choice: f"{RANK_LABELS[choice]} ({ranks.count(choice) if choice else len(ranks)})",
        key="find cautions",
        label_visibility="collapsed",
        required=True,
    )
    words = search.lower().split()
    rows = [
        row
        for row, row_rank in zip(all_rows, ranks, strict=True)
        if rank in ("", row_rank) and all(word in _search_text(row) for word in words)
    ]
    if len(rows) < len(all_rows):
        st.caption(
            f"{len(rows)} of {len(all_rows)} figures." if rows else "No figure is called that; try a shorter word."
        )
    _figure_list(rows, headed=True)


def _search_text(row: FigureRow) -> str:
    return f"{tables.GROUPS[row.group]} {row.label} {row.subject}".lower()


def _figure_list(rows: list[FigureRow], *, headed: bool) -> None:
    group = ""
    parts: list[str] = []
    for row in rows:
        if row.group != group and headed:
            group = row.group
            parts.append(f"<h2>{html.escape(tables.GROUPS[group])}</h2>")
        parts.append(_figure_fold(row))
    st.html("<div class='pk-takeoff'>" + "".join(parts) + "</div>")


def _figure_fold(row: FigureRow) -> str:
    """Markup of one figure: label and value, opening to meaning, working, source, range and cautions."""
    escape = html.escape
    mark = _mark(rank_of(row.cautions))
    lines = [
        f"<p>{escape(meaning(row.key))}</p>",
        f"<p><b>Working</b> {escape(row.working)} = <b>{escape(row.full_text)}</b></p>",
        f"<p><b>Source</b> {escape(row.source)}</p>",
    ]
    if row.range_text:
        lines.append(f"<p><b>Range</b> {escape(row.range_text)}</p>")
    lines += [
        f"<p class='pk-caution pk-{caution.rank}'><b>{RANK_LABELS[caution.rank]}</b> {escape(caution)}</p>"
        for caution in sorted(row.cautions, key=lambda caution: RANKS.index(caution.rank))
        if caution.rank != REMINDER
    ]
    subject = f"<span class='pk-subject'>{escape(row.subject)}</span>" if row.subject else ""
    range_markup = f"<span class='pk-range'>{escape(row.range_text)}</span>" if row.range_text else ""
    name, value = f"{escape(row.label)} {subject}{mark}", f"{range_markup}<b>{escape(row.text)}</b>"
    return f"<details><summary><span>{name}</span><span>{value}</span></summary>{''.join(lines)}</details>"


def show_messages(messages: list[str], notice: str = "") -> None:
    """Shows messages, and a notice of what was done last. Without any an empty element is shown all the same, so that
    what follows on the page keeps its place.
    """
    st.html(messages_markup(messages, notice))


def messages_markup(messages: list[str], notice: str = "") -> str:
    """Markup of messages and a notice; empty ones are left out."""
    markup = "".join(
        f"<div class='pk-problem' role='alert'>{html.escape(writable(message))}</div>"
        for message in messages
        if message
    )
    markup += f"<div class='pk-notice' role='status'>{html.escape(writable(notice))}</div>" if notice else ""
    return f"<div class='pk-said'>{markup}</div>"
