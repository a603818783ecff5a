"""The options beside each other: compared for whoever designs (``side_by_side``), and large, without controls, for the
client (``present``).

Side by side: plans at one scale and one colour scale, sections, zone bars, and the summary with its differences. Show:
up to four options as plan with section, or in three dimensions to be turned by hand, with their key figures beside or
below.
"""

import html

import streamlit as st

from pondkit.drawing.rows import meaning
from pondkit.page import figures
from pondkit.page.components import Takes, picture
from pondkit.page.state import Desk, guarded, unmarked, widget
from pondkit.project.files import put
from pondkit.report import model, plan, section, table
from pondkit.study.evaluate import OptionResult, Results
from pondkit.trades.pools import pictures as pools

WIDE = 900  # px that the plans share at 1280


def _choice(here: Desk, names: list[str], against: int) -> None:
    """From which option differences are taken, and which one is to be built."""
    key = f"against{here.history.revision}"
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        st.segmented_control(
            "Differences from",
            range(len(names)),
            default=against,
            format_func=lambda i: unmarked(names[i]),
            key=key,
            required=True,
            on_change=guarded(lambda: setattr(here, "against", int(widget(key)))),
        )
        marked = here.project.chosen == names[against]
        st.button(
            f"{unmarked(names[against])} is chosen: take that back"
            if marked
            else f"Mark {unmarked(names[against])} as chosen",
            key=f"choose{here.history.revision}",
            help="The option that is to be built: papers and the summary take it.",
            on_click=guarded(
                lambda: here.edit(lambda: put(here.project, ("chosen",), "" if marked else names[against]))
            ),
        )


def side_by_side(here: Desk, results: Results) -> None:
    """All options beside each other."""
    options = list(results.options)
    if len(options) < 2:
        st.info("There is one option so far. 'Edit this option' copies it; then change the copy.")
        return
    names = [option.option.name for option in options]
    against = min(here.against, len(options) - 1)
    _choice(here, names, against)
    scale, span = plan.deepest(options), plan.extent(options, crew=False)
    limit = results.project.site.depth_limit
    lines = [plan.shown_section(option, results.project.site.section) for option in options]
    reaches = [section.reach(option, line) for option, line in zip(options, lines, strict=True) if line]
    shared = section.joined(reaches) if reaches else None
    columns = st.columns(len(options), gap="small")
    beside = "pk-title pk-beside" if any(option.option.note for option in options) else "pk-title"
    # As high as the plans need at the width that they get, so that they stand close together.
    height = int(min(WIDE / len(options) * (span[3] - span[1]) / (span[2] - span[0]), 420)) + 40
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
            drawn = plan.plan(option, here.units, limit=limit, scale_to=scale, span=span, look="bare")
            picture(f"side plan {index}", drawn, height=height, alt=plan.alt_plan(option, here.units))
            if line := lines[index]:
                cut = section.section(option, line, here.units, shared, bare=True)
                picture(f"side section {index}", cut, height=120, alt=section.alt_section(option, here.units))
    _zones(here, options, scale)
    st.html(summary_table(results, here, against, names))
    others = [index for index in range(len(options)) if index != against]
    for index, column in zip(others, st.columns(len(others), gap="medium"), strict=True):
        with column:
            st.html(ranked_table(results, here, index, against))


def _zones(here: Desk, options: list[OptionResult], scale: float) -> None:
    """Zones of all options, by area and by water."""
    left, right = st.columns(2, gap="small")
    with left:
        named = [(each.option.name, each.pools) for each in options]
        st.caption("Zones by plan area, one colour scale for all options")
        picture(
            "side zones",
            pools.zones(named, here.units, scale),
            height=70 + 50 * len(options),
            alt=pools.alt_zones(named, here.units),
        )
    with right:
        st.caption("Zones by water above them")
        picture(
            "side water",
            pools.zones(named, here.units, scale, by="volume"),
            height=70 + 50 * len(options),
            alt=pools.alt_zones(named, here.units),
        )


def summary_table(results: Results, here: Desk, against: int, names: list[str]) -> str:
    """The summary as a table; what is over the depth limit is marked in words and colour."""
    head = "".join(f"<th scope='col'>{html.escape(name)}</th>" for name in names)
    lines = []
    for row in table.summary_rows(results, here.units, against):
        cells = []
        subject = f" <span class='pk-subject'>{html.escape(row.subject)}</span>" if row.subject else ""
        differ = any(difference not in ("", "0") for difference in row.differences)
        for text, difference, note in zip(row.texts, row.differences, row.notes, strict=True):
            over = row.key == "area_over_limit" and note
            mark = " over the limit" if over else ""
            # Where all options are alike there is nothing to read under the figures.
            apart = f"<i>{html.escape(difference) or '&nbsp;'}</i>" if differ else ""
            cells.append(f"<td class='{'pk-over' if over else ''}'>{html.escape(text) or '–'}{mark}{apart}</td>")
        lines.append(
            "<tr><th scope='row' "
            f'title="{html.escape(meaning(row.key), quote=True)}">{html.escape(row.label)}'
            f"{subject}</th>{''.join(cells)}</tr>"
        )
    return (
        "<table class='pk-table'><thead><tr>"
        f"<th scope='col'>Figure</th>{head}</tr></thead><tbody>{''.join(lines)}</tbody></table>"
    )


def ranked_table(results: Results, here: Desk, option: int, against: int) -> str:
    """What makes an option differ from the chosen one, largest first, in words and as a table."""
    name, base = (html.escape(results.options[index].option.name) for index in (option, against))
    said = html.escape(table.sentence(results, option, against, here.units))
    lines = "".join(
        f"<tr><th scope='row'>{html.escape(row.what)}</th><td>{html.escape(row.here)}</td>"
        f"<td>{html.escape(row.there)}</td><td>{html.escape(row.difference)}</td></tr>"
        for row in table.told(results, option, against, here.units)
    )
    head = (
        f"<tr><th scope='col'>Largest first</th><th scope='col'>{name}</th><th scope='col'>{base}</th>"
        "<th scope='col'>Difference</th></tr>"
    )
    table_of = (
        f"<table class='pk-table pk-ranking'><thead>{head}</thead><tbody>{lines}</tbody></table>" if lines else ""
    )
    return f"<div class='pk-ranked'><h2>{name} beside {base}</h2><p>{said}</p>{table_of}</div>"


MOST_SHOWN = 4  # options at a time
LOOKS = ("Plan", "3-D")
NARROW = 1.65  # how much further off the eye stands where several views share the width


def present(desk: Desk, results: Results) -> None:
    """Up to four options: plan and section or a view in three dimensions, key figures, and what each has more or less
    than the one compared with."""
    options = _shown(results)
    drawn = [results.options[index] for index in options]
    look = st.segmented_control(
        "Look", LOOKS, default=LOOKS[0], key="show as", required=True, label_visibility="collapsed"
    )
    scale, span = plan.deepest(drawn), plan.extent(drawn, crew=False)
    lines = [plan.shown_section(option, results.project.site.section) for option in drawn]
    reaches = [section.reach(option, line) for option, line in zip(drawn, lines, strict=True) if line]
    shared = section.joined(reaches) if reaches else None
    rows = table.summary_rows(Results(results.project, tuple(drawn)), desk.units, 0, figures.KEY_FIGURES)
    # One option has its figures beside it, several below.
    alone = len(drawn) == 1
    columns = st.columns([2.6, 1] if alone else len(drawn), gap="medium")
    for place, option in enumerate(drawn):
        with columns[place]:
            _headed(option, any(each.option.note for each in drawn))
            if look == "3-D":
                _turned(desk, option, place, scale, alone)
            else:
                _drawn(desk, option, place, scale, span, alone)
                if line := lines[place]:
                    cut = section.section(option, line, desk.units, shared, bare=True)
                    picture(f"present section {place}", cut, height=100, alt=section.alt_section(option, desk.units))
        with columns[-1] if alone else columns[place]:
            figures.plain_figures(rows, place, drawn[0].option.name)
            said = table.sentence(results, options[place], options[0], desk.units) if place else ""
            st.html(f"<p class='pk-differs'>{html.escape(said)}</p>" if said else "<span></span>")


def _shown(results: Results) -> list[int]:
    names = [option.option.name for option in results.options]
    if len(names) <= MOST_SHOWN:
        return list(range(len(names)))
    chosen = st.pills(
        "Options on show",
        range(len(names)),
        selection_mode="multi",
        default=list(range(MOST_SHOWN)),
        format_func=lambda i: unmarked(names[i]),
        key="on show",
    )
    return sorted(chosen)[:MOST_SHOWN] or [0]


def _headed(option: OptionResult, noted: bool) -> None:
    """An option's name, with room for its note where any option on show has one."""
    name, note = html.escape(option.option.name), html.escape(option.option.note)
    said = f"<p title='{note}'>{note or '&nbsp;'}</p>" if noted else ""
    st.html(f"<div class='pk-present'><h2>{name}</h2>{said}</div>")
    if option.problems:
        st.html("<div class='pk-problem' role='alert'>Not all of this option could be worked out: see Figures.</div>")


def _drawn(desk: Desk, option: OptionResult, place: int, scale: float, span: plan.Span, alone: bool) -> None:
    drawn = plan.plan(option, desk.units, limit=option.site.depth_limit, scale_to=scale, span=span, look="client")
    picture(
        f"present {place}",
        drawn,
        height=0,
        takes="client alone" if alone else "client",
        alt=plan.alt_plan(option, desk.units),
    )


def _turned(desk: Desk, option: OptionResult, place: int, scale: float, alone: bool) -> None:
    drawn = model.model(option, scale, desk.units, away=1.0 if alone else NARROW)
    if drawn is None:
        st.caption("Nothing to draw yet.")
        return
    takes: Takes = "model alone" if alone else "model"
    picture(f"present model {place}", drawn, height=0, takes=takes, alt=model.alt_model(option, desk.units))
