"""The Sketch view. Key figures, plan, section, zones and controls follow the hand; everything else comes when it rests.

A slider's step runs one fragment alone (``_follow``), which holds nothing but ``Live``: what has changed of all that
follows the hand goes through that. Any other change, and the end of a drag (``run_done``), runs the whole page. Figures
that need more trades than a drag waits for (the dig, the liner's order, the price) are worked out in that run; until
then they are shown as on their way.
"""

import html
import logging
from collections.abc import Hashable
from contextlib import nullcontext
from dataclasses import dataclass
from typing import Any

import streamlit as st

from pondkit.drawing.frame import Panel
from pondkit.page import figures
from pondkit.page.components import Live, PictureState, live_entries, live_event, picture
from pondkit.page.contents import BESIDE, PANELS, PLAN, SECTION, ZONES
from pondkit.page.form import take_entries
from pondkit.page.plan_edit import act, chosen_pool, edit_layer, picture_under_plan
from pondkit.page.sidebar import sidebar
from pondkit.page.state import Desk, guarded, plan_frame
from pondkit.project.project import Project
from pondkit.report import section
from pondkit.report.plan import extent, shown_section
from pondkit.report.scene import Line, Scene
from pondkit.study.evaluate import OptionResult, Results, evaluate, with_earth

FIGURES_HEIGHT = 400  # px
BEGIN = "Take Outline and draw round the water in one stroke, or Oval and drag it out."
MOST_MESSAGES = 4  # problems over the plan
LATER = ("dig_volume", "liner_area_order", "total_price")  # key figures that need more trades than a drag waits for


@dataclass(frozen=True)
class Places:
    """Containers of the page in which the things that follow the hand are drawn."""

    figures: Any
    plan: Any
    messages: Any
    zones: Any
    controls: Any


# For a partial run, which sends only what has changed: everything stands in its place already.
STANDING = Places(*[nullcontext()] * 5)


def sketch(desk: Desk, results: Results, controls: Any) -> None:
    """Shows the whole view.

    Args:
        desk: The person's work.
        results: The project's results.
        controls: Container of the sidebar's controls.
    """
    top = st.container()
    messages = st.container(key="said over the plan")
    left, right = st.columns([2.6, 1], gap="small")
    with right:
        zones, below = st.container(), st.container()
    desk.sketch.whole_page = True  # while the whole page runs
    try:
        line = _draw_live(desk, Places(top, left, messages, zones, controls), partial_run=False)
        desk.sketch.page_state = _page_state(desk)
        _follow(desk, line)
    finally:
        desk.sketch.whole_page = False
    scene, _, _ = _scene(desk, results)
    with below:
        figures.show_to_fill(desk, results)
    with below, st.container(height=FIGURES_HEIGHT, border=False, key="figures beside"):
        figures.takeoff(scene.result, desk.units, BESIDE[desk.trade])
    _further_pictures(desk, scene)


def _page_state(desk: Desk) -> Hashable:
    """All that the page depends on except the values of sliders. If it has changed, the whole page must run."""
    return desk.history.revision, desk.units, str(desk.chosen), desk.message, desk.fault


@st.fragment
def _follow(desk: Desk, line: Line | None) -> None:
    """Sends what follows the hand to the browser, and takes what the hand does. If a run of the fragment fails, the
    whole page runs, and reports the fault.

    Args:
        desk: The person's work.
        line: The section line as the whole page drew it; None without one.
    """
    if not desk.sketch.whole_page:
        if desk.sketch.page_state != _page_state(desk):
            st.rerun()
        try:
            line = _draw_live(desk, STANDING, partial_run=True)
        except Exception:
            logging.getLogger(__name__).exception("what follows the hand could not be drawn")
            st.rerun()
    desk.sketch.live.show(guarded(_take_live_entries, desk), guarded(_take_plan_event, desk, line))


def _take_live_entries(desk: Desk) -> None:
    take_entries(desk, *live_entries())


def _draw_live(desk: Desk, places: Places, *, partial_run: bool) -> Line | None:
    """Draws everything that follows the hand; in a partial run only what has changed. Returns the section line as
    drawn.
    """
    option, live = desk.option, desk.sketch.live
    live.begin(partial_run=partial_run)
    results = evaluate(desk.project)
    before = evaluate(desk.history.before) if desk.history.past else None
    scene, stale, note = _scene(desk, results)
    if not stale:  # figures and pictures from one result, so that nothing is computed twice
        results = results.given(option, scene.result)
    later = tuple(key for key in LATER if partial_run and not results.options[option].ready(key))
    with places.plan:  # first, as figures take longer
        state = PictureState(stale, note, edit=edit_layer(desk, scene.line), under=picture_under_plan(desk))
        _show_panel(PLAN, scene, state, live)
        if scene.line:
            _show_panel(SECTION, scene, PictureState(stale), live)
    with places.figures:
        live.text("figures", figures.key_figures(results, before, option, desk.units, later))
    with places.messages:
        problems = figures.problems(desk.project, results, option, desk.units, early=partial_run)
        live.text("said", figures.messages_markup([desk.message, *problems[:MOST_MESSAGES]], desk.notice))
    with places.zones:
        live.text("note", f"<p class='pk-note'>{html.escape(scene.result.option.note) or '&nbsp;'}</p>")
        if scene.result.pools:
            _show_panel(ZONES, scene, PictureState(stale, may_lag=True), live)
    with places.controls:
        sidebar(desk, follows=True)
    return scene.line


def _scene(desk: Desk, results: Results) -> tuple[Scene, bool, str]:
    """What the pictures are made from, whether that is an older design, and a note on the plan."""
    result, stale = _last_good(desk, results)
    result = _with_last_earth(desk, result)
    line = shown_section(result, desk.project.site.section)
    liner = int(desk.chosen.get(str(("options", desk.option, "lining", "liners")), 0))
    view = desk.sketch
    if view.whole_page or view.fit_plan or view.frame is None:
        view.frame = plan_frame(view.frame, extent([result], site=True), desk.job_of(desk.project), fit=view.fit_plan)
        view.fit_plan = False
    span, frame = view.frame.span, view.frame.number
    reach = section.reach(result, line) if line else None
    if reach and view.reach and not view.whole_page:  # during a drag the section's frame may grow, but not shrink
        reach = section.joined([view.reach, reach])
    view.reach = reach
    scene = Scene(result, desk.units, results, _chosen_pool(desk), line, liner, span, frame, reach)
    return scene, stale, "the last one that could be worked out" if stale else "" if result.option.pools else BEGIN


def _with_last_earth(desk: Desk, result: OptionResult) -> OptionResult:
    """The result to draw. Where the soil goes depends on all trades; during a drag it stays as last computed, unless
    the drag changes its own inputs.
    """
    view, earth = desk.sketch, result.option.earth
    if view.whole_page or view.earth is None or view.earth[0] != earth or result.ready("haul_bank"):
        view.earth = earth, result.earth
        return result
    return with_earth(result, view.earth[1])


def _last_good(desk: Desk, results: Results) -> tuple[OptionResult, bool]:
    """The option as it is, or as it last could be worked out; and whether it is the latter."""
    option = desk.option
    if results.options[option].whole:
        return results.options[option], False

    def good(project: Project) -> bool:
        return option < len(project.options) and evaluate(project).options[option].whole

    project = desk.history.back(good)
    return (results.options[option], False) if project is None else (evaluate(project).options[option], True)


def _chosen_pool(desk: Desk) -> int | None:
    return chosen_pool(desk) if desk.trade == "Pools" else None


def _show_panel(panel: Panel, scene: Scene, state: PictureState, live: Live | None = None) -> None:
    figure, key = scene.draw(panel), f"picture {panel.title}"
    partial_run = live is not None and live.partial_run
    if live and partial_run and (figure is None) == (key in live.whole):
        st.rerun()  # it has appeared or gone: only the whole page can make its place
    if figure is None:
        if not partial_run:
            st.caption(f"{panel.title}: nothing to draw in this option.")
        return
    picture(key, figure, height=panel.height, takes=panel.takes, alt=scene.alt(panel), state=state, live=live)


def _take_plan_event(desk: Desk, line: Line | None) -> None:
    if event := live_event(f"picture {PLAN.title}"):
        act(desk, event, line)


def _further_pictures(desk: Desk, scene: Scene) -> None:
    """One further picture at a time, with its figures. Offered are the pictures of trades of which the option has
    figures.
    """
    keys_of_option = {key for key, _ in scene.result.entries()}
    further = [panel for panel in PANELS if panel.part and not keys_of_option.isdisjoint(panel.keys)]
    parts = list(dict.fromkeys(panel.part for panel in further))
    if not parts:
        return
    trade = desk.trade
    trade_column, picture_column = st.columns([1, 4.5], gap="small", vertical_alignment="bottom")
    index = parts.index(trade) if trade in parts else 0
    part = trade_column.selectbox("Pictures of", parts, index=index, key=f"pictures of {trade}")
    of_part = {panel.title: panel for panel in further if panel.part == part}
    # The first picture of a trade opens with its controls; any can be opened and closed.
    first_panel = next(iter(of_part), None) if part == trade and trade != "Pools" else None
    chosen = picture_column.segmented_control(
        f"Pictures of {part}",
        list(of_part),
        default=first_panel,
        key=f"more {part} {first_panel}",
        selection_mode="single",
        label_visibility="collapsed",
    )
    if chosen:
        panel = of_part[str(chosen)]
        left, right = st.columns([1.75, 1], gap="small")
        with left:
            _show_panel(panel, scene, PictureState(may_lag=True))
        with right:
            if panel.csv:
                label, _ = panel.csv
                st.download_button(
                    label,
                    data=lambda: scene.csv(panel).encode("utf-8"),
                    file_name=f"{file_stem(desk.project)}_{panel.title.lower().replace(' ', '_')}.csv",
                    mime="text/csv",
                    on_click="ignore",
                    key=f"csv {panel.title}",
                )
            figures.takeoff(scene.result, desk.units, panel.keys)


def file_stem(project: Project) -> str:
    """Beginning of the names of a project's files."""
    return "".join(c if c.isalnum() else "_" for c in project.title.lower()).strip("_")[:40] or "pond"
