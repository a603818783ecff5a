"""Options large beside each other, without controls: the screen that is turned towards the client.

As a plan with its section, or in three dimensions, to be turned by hand; the key figures stay in sight beside or below.
"""

import html

import streamlit as st

from pondkit.page import figures
from pondkit.page.components import Takes, picture
from pondkit.page.state import Desk, unmarked
from pondkit.report import model, plan, section, table
from pondkit.study.evaluate import OptionResult, Results

MOST = 4  # options at a time
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
    if len(names) <= MOST:
        return list(range(len(names)))
    chosen = st.pills(
        "Options on show",
        range(len(names)),
        selection_mode="multi",
        default=list(range(MOST)),
        format_func=lambda i: unmarked(names[i]),
        key="on show",
    )
    return sorted(chosen)[:MOST] or [0]


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
