"""The options beside each other: compared, while designing (``side_by_side``), and large, without controls, for the
client (``present``).

Side by side shows plans at one scale and one colour scale, sections, zone bars, and the summary with its differences.
Show has up to four options as plan and section, or in three dimensions to be turned by hand, with their key figures.
"""

import html

import streamlit as st

from pondkit.drawing.frame import Figure
from pondkit.drawing.rows import meaning
from pondkit.page import figures
from pondkit.page.components import Takes, picture
from pondkit.page.state import Desk, escape_markdown, guarded, widget_value
from pondkit.project.files import put
from pondkit.report import model, plan, section, table
from pondkit.study.evaluate import OptionResult, Results
from pondkit.trades.pools import pictures as pools

PLANS_WIDTH = 900  # px that the plans share in a window 1280 px wide


def _base_and_choice(desk: Desk, names: list[str], base: int) -> None:
    """Choice of the option that differences are taken from, and of the one that is to be built."""
    key = f"against{desk.history.revision}"
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        st.segmented_control(
            "Differences from",
            range(len(names)),
            default=base,
            format_func=lambda i: escape_markdown(names[i]),
            key=key,
            required=True,
            on_change=guarded(lambda: setattr(desk, "base_option", int(widget_value(key)))),
        )
        marked = desk.project.chosen == names[base]
        st.button(
            f"{escape_markdown(names[base])} is chosen: take that back"
            if marked
            else f"Mark {escape_markdown(names[base])} as chosen",
            key=f"choose{desk.history.revision}",
            help="The option that is to be built: papers and the summary take it.",
            on_click=guarded(lambda: desk.edit(lambda: put(desk.project, ("chosen",), "" if marked else names[base]))),
        )


def side_by_side(desk: Desk, results: Results) -> None:
    """The view "Side by side": all options, with their differences from a base option."""
    options = list(results.options)
    if len(options) < 2:
        st.info("There is one option so far. The + beside its name adds a copy; then change the copy.")
        return
    names = [option.option.name for option in options]
    base = min(desk.base_option, len(options) - 1)
    _base_and_choice(desk, names, base)
    scale, span = plan.deepest(options), plan.extent(options, crew=False)
    lines = [plan.shown_section(option, results.project.site.section) for option in options]
    reaches = [section.reach(option, line) for option, line in zip(options, lines, strict=True) if line]
    shared = section.joined(reaches) if reaches else None
    columns = st.columns(len(options), gap="small")
    beside = "pk-title pk-beside" if any(option.option.note for option in options) else "pk-title"
    # As high as the plans need to be at their width, so that the pictures stand close together.
    height = int(min(PLANS_WIDTH / len(options) * (span[3] - span[1]) / (span[2] - span[0]), 420)) + 40
    for index, (column, option) in enumerate(zip(columns, options, strict=True)):
        with column:
            note = html.escape(option.option.note)
            st.html(
                f"<div class='{beside}'><h2>{html.escape(option.option.name)}</h2>"
                f"<span title='{note}'>{note}</span></div>"
            )
            if option.problems:
                st.html(
                    f"<div class='pk-problem' role='alert'>{len(option.problems)} not worked out: see Figures.</div>"
                )
            figure = plan.plan(option, desk.units, scale_to=scale, span=span, look="bare")
            picture(f"side plan {index}", figure, height=height, alt=plan.alt_plan(option, desk.units))
            if line := lines[index]:
                cut = section.section(option, line, desk.units, shared, bare=True)
                picture(f"side section {index}", cut, height=120, alt=section.alt_section(option, desk.units))
    _zone_bars(desk, options, scale)
    st.html(summary_table(results, desk, base, names))
    others = [index for index in range(len(options)) if index != base]
    for index, column in zip(others, st.columns(len(others), gap="medium"), strict=True):
        with column:
            st.html(ranked_table(results, desk, index, base))


def _zone_bars(desk: Desk, options: list[OptionResult], scale: float) -> None:
    """Bars of the zones of all options, by plan area and by water volume."""
    left, right = st.columns(2, gap="small")
    with left:
        pools_by_option = [(option.option.name, option.pools) for option in options]
        st.caption("Zones by plan area, one colour scale for all options")
        picture(
            "side zones",
            pools.zones(pools_by_option, desk.units, scale),
            height=70 + 50 * len(options),
            alt=pools.alt_zones(pools_by_option, desk.units),
        )
    with right:
        st.caption("Zones by water above them")
        picture(
            "side water",
            pools.zones(pools_by_option, desk.units, scale, by="volume"),
            height=70 + 50 * len(options),
            alt=pools.alt_zones(pools_by_option, desk.units),
        )


def summary_table(results: Results, desk: Desk, base: int, names: list[str]) -> str:
    """Markup of the summary: a row for each figure, a column for each option. An area over the depth limit is marked in
    words and colour.

    Args:
        results: The project's results.
        desk: The person's work.
        base: Index of the option that differences are taken from.
        names: Names of the options.
    """
    head = "".join(f"<th scope='col'>{html.escape(name)}</th>" for name in names)
    lines = []
    for row in table.summary_rows(results, desk.units, base):
        cells = []
        subject = f" <span class='pk-subject'>{html.escape(row.subject)}</span>" if row.subject else ""
        differ = any(difference not in ("", "0") for difference in row.differences)
        for text, difference, note in zip(row.texts, row.differences, row.notes, strict=True):
            over = row.key == "area_over_limit" and note
            mark = " over the limit" if over else ""
            # If all options are alike, no line for differences stands under the figures.
            difference_markup = f"<i>{html.escape(difference) or '&nbsp;'}</i>" if differ else ""
            cells.append(
                f"<td class='{'pk-over' if over else ''}'>{html.escape(text) or '–'}{mark}{difference_markup}</td>"
            )
        lines.append(
            "<tr><th scope='row' "
            f'title="{html.escape(meaning(row.key), quote=True)}">{html.escape(row.label)}'
            f"{subject}</th>{''.join(cells)}</tr>"
        )
    return (
        "<table class='pk-table'><thead><tr>"
        f"<th scope='col'>Figure</th>{head}</tr></thead><tbody>{''.join(lines)}</tbody></table>"
    )


def ranked_table(results: Results, desk: Desk, option: int, base: int) -> str:
    """Markup of what makes an option differ from the base option, in a sentence and as a table, largest difference
    first.
    """
    name, base_name = (html.escape(results.options[index].option.name) for index in (option, base))
    sentence = html.escape(table.sentence(results, option, base, desk.units))
    rows = "".join(
        f"<tr><th scope='row'>{html.escape(row.what)}</th><td>{html.escape(row.here)}</td>"
        f"<td>{html.escape(row.there)}</td><td>{html.escape(row.difference)}</td></tr>"
        for row in table.difference_rows(results, option, base, desk.units)
    )
    head = (
        f"<tr><th scope='col'>Largest first</th><th scope='col'>{name}</th><th scope='col'>{base_name}</th>"
        "<th scope='col'>Difference</th></tr>"
    )
    table_markup = (
        f"<table class='pk-table pk-ranking'><thead>{head}</thead><tbody>{rows}</tbody></table>" if rows else ""
    )
    return f"<div class='pk-ranked'><h2>{name} beside {base_name}</h2><p>{sentence}</p>{table_markup}</div>"


MOST_SHOWN = 4  # options on show at a time
LOOKS = ("Plan", "3-D")


def present(desk: Desk, results: Results) -> None:
    """The view "Show": up to four options as plan and section or in three dimensions, with key figures and the
    differences from the first.
    """
    options = _options_on_show(results)
    results_on_show = [results.options[index] for index in options]
    look = st.segmented_control(
        "Look", LOOKS, default=LOOKS[0], key="show as", required=True, label_visibility="collapsed"
    )
    scale, span = plan.deepest(results_on_show), plan.extent(results_on_show, crew=False)
    lines = [plan.shown_section(option, results.project.site.section) for option in results_on_show]
    reaches = [section.reach(option, line) for option, line in zip(results_on_show, lines, strict=True) if line]
    shared = section.joined(reaches) if reaches else None
    rows = table.summary_rows(Results(results.project, tuple(results_on_show)), desk.units, 0, figures.KEY_FIGURES)
    # The figures of a single option stand beside it, those of several below them.
    alone = len(results_on_show) == 1
    with_notes = any(option.option.note for option in results_on_show)
    turned = model.models(results_on_show, scale, desk.units) if look == "3-D" else []
    columns = st.columns([2.6, 1] if alone else len(results_on_show), gap="medium")
    for place, option in enumerate(results_on_show):
        with columns[place]:
            _heading(option, with_notes)
            if look == "3-D":
                _model_picture(desk, option, place, turned[place], alone)
            else:
                _plan_picture(desk, option, place, scale, span, alone)
                if line := lines[place]:
                    cut = section.section(option, line, desk.units, shared, bare=True)
                    picture(f"present section {place}", cut, height=100, alt=section.alt_section(option, desk.units))
        with columns[-1] if alone else columns[place]:
            figures.plain_figures(rows, place, results_on_show[0].option.name)
            sentence = table.sentence(results, options[place], options[0], desk.units) if place else ""
            st.html(f"<p class='pk-differs'>{html.escape(sentence)}</p>" if sentence else "<span></span>")


def _options_on_show(results: Results) -> list[int]:
    """Indices of the options on show; with more than four the client chooses."""
    names = [option.option.name for option in results.options]
    if len(names) <= MOST_SHOWN:
        return list(range(len(names)))
    chosen = st.pills(
        "Options on show",
        range(len(names)),
        selection_mode="multi",
        default=list(range(MOST_SHOWN)),
        format_func=lambda i: escape_markdown(names[i]),
        key="on show",
    )
    return sorted(chosen)[:MOST_SHOWN] or [0]


def _heading(option: OptionResult, with_notes: bool) -> None:
    """An option's name. If any option on show has a note, all have room for one, so that the plans stand level."""
    name, note = html.escape(option.option.name), html.escape(option.option.note)
    note_markup = f"<p title='{note}'>{note or '&nbsp;'}</p>" if with_notes else ""
    st.html(f"<div class='pk-present'><h2>{name}</h2>{note_markup}</div>")
    if option.problems:
        st.html("<div class='pk-problem' role='alert'>Not all of this option could be worked out: see Figures.</div>")


def _plan_picture(desk: Desk, option: OptionResult, place: int, scale: float, span: plan.Span, alone: bool) -> None:
    figure = plan.plan(option, desk.units, scale_to=scale, span=span, look="client")
    picture(
        f"present {place}",
        figure,
        height=0,
        takes="client alone" if alone else "client",
        alt=plan.alt_plan(option, desk.units),
    )


def _model_picture(desk: Desk, option: OptionResult, place: int, figure: Figure | None, alone: bool) -> None:
    if figure is None:
        st.caption("Nothing to draw yet.")
        return
    takes: Takes = "model alone" if alone else "model"
    picture(f"present model {place}", figure, height=0, takes=takes, alt=model.alt_model(option, desk.units))
