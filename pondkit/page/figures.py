"""Figures as the page shows them: key figures with the change of the last step, figures that open to their working, and
the messages beside them: problems, what is still to be filled in, reminders.
"""

import html

import streamlit as st

from pondkit.core import tables
from pondkit.core.caution import ACT, CHECK, RANKS, REMINDER
from pondkit.core.refusal import writable
from pondkit.core.units import System, grouped
from pondkit.drawing.rows import FigureRow, label, meaning, rank_of, say, say_problem, say_to_fill, signed, with_unit
from pondkit.page.state import Desk, guarded, unmarked, widget
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
    """Markup of a handful of figures, each with what the last step changed; a dash where it cannot be worked out.

    Args:
        results, before: The project now and before the last step.
        option: Which option.
        system: Units on show.
        later: Keys that are not worked out now but are said to be on their way.
    """
    keys = tuple(key for key in KEY_FIGURES if key not in later)
    now = {row.key: row for row in table.summary_rows(_alone(results, option), system, keys=keys)}
    then = (
        {row.key: row for row in table.summary_rows(_alone(before, option), system, keys=keys)}
        if before and option < len(before.options)
        else {}
    )
    cells = []
    for key in KEY_FIGURES:
        said = html.escape(label(key))
        help_text = html.escape(meaning(key), quote=True)
        row = now.get(key)
        none = "<span class='pk-coming' title='on its way'>…</span>" if key in later else "–"
        text = html.escape(row.texts[0]) if row and row.texts[0] else none
        change = _change(row.cells[0], then[key].cells[0], system) if row and key in then else ""
        cell = row.cells[0] if row else None
        warned = _mark(rank_of(cell.cautions)) if cell else ""
        cells.append(
            f"<div class='pk-figure' role='listitem' title=\"{help_text}\"><span "
            f"class='pk-label'>{said}{warned}</span><b>{text}</b><i>{html.escape(change) or '&nbsp;'}</i></div>"
        )
    return "<div class='pk-figures' role='list' aria-label='Key figures'>" + "".join(cells) + "</div>"


def plain_figures(rows: list[table.SummaryRow], option: int, against: str) -> None:
    """The key figures of one option as a plain list, each with how it differs from the first, in words.

    Args:
        rows: Summary of the options on show, differences from the first.
        option: Which of them.
        against: Name of the first.
    """
    lines = []
    for row in rows:
        said = html.escape(difference(row.differences[option], row.cells[option], against))
        value = html.escape(row.texts[option]) or "–"
        lines.append(
            f"<div role='listitem'><span>{html.escape(row.label)}</span><b>{value}<i>{said or '&nbsp;'}</i></b></div>"
        )
    st.html("<div class='pk-plain' role='list'>" + "".join(lines) + "</div>")


def difference(signed: str, cell: FigureRow | None, against: str) -> str:
    """A difference in words: "310 gal more than A"; nothing where there is none to tell."""
    if not signed or cell is None:
        return ""
    if signed == "0":
        return f"as {against}"
    return f"{with_unit(signed.lstrip('+-'), cell)} {'less' if signed.startswith('-') else 'more'} than {against}"


def _alone(results: Results, option: int) -> Results:
    return Results(results.project, (results.options[option],))


def _change(now: FigureRow | None, then: FigureRow | None, system: System) -> str:
    if now is None or then is None:
        return ""
    change = signed(now.si_value - then.si_value, now, system)
    return "" if change == "0" else f"{'▲' if change.startswith('+') else '▼'} {grouped(change[1:])}"


def problems(project: Project, results: Results, option: int, system: System, *, early: bool = False) -> list[str]:
    """Problems of one option, in words; ``early`` only those of the site, the pools and the ground, which a drag
    waits for."""
    if early:
        found = [
            (problem.path if problem.path[0] in SHARED else ("options", option, *problem.path), problem)
            for problem in results.options[option].early_problems
        ]
    else:
        found = [(path, problem) for path, problem in results.problems if path[0] != "options" or path[1] == option]
    return [say_problem(project, path, problem, system) for path, problem in found]


def to_fill(project: Project, results: Results, option: int, system: System) -> list[str]:
    """What of one option, and of the site, is still to be filled in, in words."""
    found = [(path, item) for path, item in results.to_fill if path[0] != "options" or path[1] == option]
    return [say_to_fill(project, path, item, system) for path, item in found]


def wanting(here: Desk, results: Results, *, elsewhere: bool = True) -> None:
    """Calmly, under one line each: what is still to be filled in, and how many reminders are still to be read where
    these stand ``elsewhere``."""
    items = to_fill(here.project, results, here.option, here.units)
    unread = _unread(here.project, results) if elsewhere else 0
    lines = "".join(f"<li>{html.escape(item)}</li>" for item in items)
    said = f"<details class='pk-fill'><summary>To be filled in: {len(items)}</summary><ul>{lines}</ul></details>"
    read = f"<p class='pk-fill'>Reminders to read: {unread}, under Figures.</p>"
    st.html((said if items else "") + (read if unread else "") or "&nbsp;")


def _unread(project: Project, results: Results) -> int:
    every = reminders(results.options).values()
    return sum(each.key not in project.reminders_read for told in every for each in told)


def reminders_panel(here: Desk, results: Results) -> None:
    """What is true of every job of this kind, once, by what it is of; each to be ticked when it was read."""
    every = reminders(results.options)
    if not every:
        return
    heading = f"Reminders: {_unread(here.project, results)} of {sum(map(len, every.values()))} to read"
    with st.expander(heading, key="reminders", on_change="rerun") as panel:
        if not panel.open:
            return
        st.caption("True of every job of this kind: said here once, and not at each figure. Tick what you have read.")
        for group, told in every.items():
            st.html(f"<h2 class='pk-group'>{html.escape(tables.GROUPS[group])}</h2>")
            for each in told:
                key = f"{here.history.revision}:read {each.key}"
                st.checkbox(
                    unmarked(say(each, here.units)),
                    value=each.key in here.project.reminders_read,
                    key=key,
                    on_change=guarded(_tick, here, each.key, key),
                )


def _tick(here: Desk, reminder: str, key: str) -> None:
    """A reminder ticked as read, or no longer: a step that can be undone."""
    others = [held for held in here.project.reminders_read if held != reminder]
    here.edit(lambda: put(here.project, ("reminders_read",), (*others, *([reminder] if widget(key) else []))))


def _mark(rank: str) -> str:
    """The mark of a figure: of its own rank, and none where it has no cause for one."""
    if rank not in MARKS:
        return ""
    sign, said = MARKS[rank]
    return f"<span class='pk-mark pk-mark-{rank}' role='img' aria-label='{said}' title='{said}'>{sign}</span>"


def takeoff(result: OptionResult, system: System, keys: tuple[str, ...] = ()) -> None:
    """Figures of an option, each opening to its working, source, range and cautions."""
    _list(table.rows(result, system, keys), headed=not keys)


def searched(result: OptionResult, system: System) -> None:
    """Every figure of an option, under boxes by which some are found: by words, or by the rank of their cautions."""
    left, right = st.columns([2, 1.4], vertical_alignment="center")
    wanted = left.text_input(
        "Find a figure", key="find figure", placeholder="such as gravel, or basking pool", label_visibility="collapsed"
    )
    every = table.rows(result, system)
    ranks = [rank_of(row.cautions) for row in every]
    rank = right.segmented_control(
        "Which figures",
        ("", ACT, CHECK),
        default="",
        format_func=lambda one: f"{RANK_LABELS[one]} ({ranks.count(one) if one else len(ranks)})",
        key="find cautions",
        label_visibility="collapsed",
        required=True,
    )
    words = wanted.lower().split()
    rows = [
        row
        for row, own in zip(every, ranks, strict=True)
        if rank in ("", own) and all(word in _sought(row) for word in words)
    ]
    if len(rows) < len(every):
        st.caption(f"{len(rows)} of {len(every)} figures." if rows else "No figure is called that; try a shorter word.")
    _list(rows, headed=True)


def _sought(row: FigureRow) -> str:
    return f"{tables.GROUPS[row.group]} {row.label} {row.subject}".lower()


def _list(rows: list[FigureRow], *, headed: bool) -> None:
    group = ""
    parts: list[str] = []
    for row in rows:
        if row.group != group and headed:
            group = row.group
            parts.append(f"<h2>{html.escape(tables.GROUPS[group])}</h2>")
        parts.append(_opened(row))
    st.html("<div class='pk-takeoff'>" + "".join(parts) + "</div>")


def _opened(row: FigureRow) -> str:
    """One figure as a fold: closed, its label and value; opened, all that stands behind it."""
    e = html.escape
    mark = _mark(rank_of(row.cautions))
    lines = [
        f"<p>{e(meaning(row.key))}</p>",
        f"<p><b>Working</b> {e(row.working)} = <b>{e(row.full_text)}</b></p>",
        f"<p><b>Source</b> {e(row.source)}</p>",
    ]
    if row.range_text:
        lines.append(f"<p><b>Range</b> {e(row.range_text)}</p>")
    lines += [
        f"<p class='pk-caution pk-{caution.rank}'><b>{RANK_LABELS[caution.rank]}</b> {e(caution)}</p>"
        for caution in sorted(row.cautions, key=lambda one: RANKS.index(one.rank))
        if caution.rank != REMINDER
    ]
    subject = f"<span class='pk-subject'>{e(row.subject)}</span>" if row.subject else ""
    spread = f"<span class='pk-range'>{e(row.range_text)}</span>" if row.range_text else ""
    return (
        f"<details><summary><span>{e(row.label)} "
        f"{subject}{mark}</span><span>{spread}<b>{e(row.text)}</b></span></summary>{''.join(lines)}</details>"
    )


def told(messages: list[str], notice: str = "") -> None:
    """Messages and problems, and what was done that may not have been meant; in a place that is there without any too:
    what stands behind keeps its node in the page."""
    st.html(told_markup(messages, notice))


def told_markup(messages: list[str], notice: str = "") -> str:
    told = "".join(
        f"<div class='pk-problem' role='alert'>{html.escape(writable(said))}</div>" for said in messages if said
    )
    told += f"<div class='pk-notice' role='status'>{html.escape(writable(notice))}</div>" if notice else ""
    return f"<div class='pk-said'>{told}</div>"
