"""Options large beside each other, without controls: the screen that is turned towards the client."""

import html

import streamlit as st

from pondkit.page import figures
from pondkit.page.components import picture
from pondkit.page.state import Desk
from pondkit.page.text import unmarked
from pondkit.report import differences, plan, section, table
from pondkit.study.evaluate import OptionResult, Results

MOST = 4  # options at a time
WIDE = 1180  # px that the plans share at 1280


def present(desk: Desk, results: Results) -> None:
    """Up to four options: plan, section, key figures, and what each has more or less than the one compared with."""
    options = _shown(results)
    drawn = [results.options[index] for index in options]
    scale, span = plan.deepest(drawn), plan.extent(drawn, crew=False)
    limit = results.project.site.depth_limit
    lines = [plan.shown_section(option, results.project.site.section) for option in drawn]
    reaches = [section.reach(option, line) for option, line in zip(drawn, lines, strict=True) if line]
    shared = section.joined(reaches) if reaches else None
    height = int(min(WIDE / len(drawn) * (span[3] - span[1]) / (span[2] - span[0]), 460)) + 46
    rows = table.summary_rows(Results(results.project, tuple(drawn)), desk.units, 0, figures.KEY_FIGURES)
    columns = st.columns(len(drawn), gap="medium")
    for place, (column, option) in enumerate(zip(columns, drawn, strict=True)):
        with column:
            _one(desk, option, f"present {place}", height, scale, span, limit)
            if line := lines[place]:
                cut = section.section(option, line, desk.units, shared, bare=True)
                picture(f"present section {place}", cut, height=130, alt=section.alt_section(option, desk.units))
            figures.plain_figures(rows, place, drawn[0].option.name)
            said = differences.sentence(results, options[place], options[0], desk.units) if place else ""
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


def _one(
    desk: Desk,
    option: OptionResult,
    key: str,
    height: int,
    scale: float,
    span: tuple[float, float, float, float],
    limit: float | None,
) -> None:
    name, note = html.escape(option.option.name), html.escape(option.option.note)
    st.html(f"<div class='pk-present'><h2>{name}</h2><p title='{note}'>{note or '&nbsp;'}</p></div>")
    if option.problems:
        st.html("<div class='pk-problem' role='alert'>Not all of this option could be worked out: see Figures.</div>")
    picture(
        key,
        plan.plan(option, desk.units, limit=limit, scale_to=scale, span=span, look="client"),
        height=height,
        alt=plan.alt_plan(option, desk.units),
    )
