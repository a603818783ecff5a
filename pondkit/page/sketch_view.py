"""The Sketch view: key figures, plan, section, zones and the controls follow the hand; the rest comes when it rests.

A slider's step runs one fragment alone, which holds nothing but ``Live``: what has changed of all that stands on the
page goes through it. Whatever else changes, and the hand at rest (``run_done``), runs the whole page. What needs
more trades than a drag waits for, as the dig, the liner's order and the price, is then worked out; until then it is on
its way.
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
from pondkit.page.components import Live, Worked, live_entries, live_event, picture
from pondkit.page.contents import BESIDE, PANELS, PLAN, SECTION, ZONES
from pondkit.page.form import take_entries
from pondkit.page.plan_edit import act, chosen_pool, graspable, under
from pondkit.page.sidebar import sidebar
from pondkit.page.state import Desk, guarded, plan_frame
from pondkit.project.project import Project
from pondkit.report import section
from pondkit.report.plan import extent, shown_section
from pondkit.report.scene import Line, Scene
from pondkit.study.evaluate import OptionResult, Results, evaluate

FIGURES_HEIGHT = 400
BEGIN = "Take Outline and draw round the water in one stroke, or Oval and drag it out."
MOST_SAID = 4  # problems beside the plan
LATER = ("dig_volume", "liner_area_order", "total_price")  # key figures that need more trades than a drag waits for


@dataclass(frozen=True)
class Places:
    """Where on the page what follows the hand stands."""

    figures: Any
    plan: Any
    said: Any
    zones: Any
    controls: Any


# Where what follows the hand stands already: only what has changed is sent.
STANDING = Places(*[nullcontext()] * 5)


def sketch(here: Desk, results: Results, controls: Any) -> None:
    """The whole view.

    Args:
        here: The person's work.
        results: The project worked out.
        controls: The container of the controls.
    """
    top = st.container()
    said = st.container(key="said over the plan")
    left, right = st.columns([2.6, 1], gap="small")
    with right:
        zones, below = st.container(), st.container()
    here.whole = True  # while the whole page runs
    try:
        line = _drawn(here, Places(top, left, said, zones, controls), part=False)
        here.seen = _turned(here)
        _follow(here, line)
    finally:
        here.whole = False
    scene, _, _ = _scene(here, results)
    with below:
        figures.wanting(here, results)
    with below, st.container(height=FIGURES_HEIGHT, border=False, key="figures beside"):
        figures.takeoff(scene.result, here.units, BESIDE[str(here.chosen.get("trade", "Pools"))])
    _more(here, scene)


def _turned(here: Desk) -> Hashable:
    """What the page depends on but for the value of the slider that moves; another asks for the whole page."""
    return here.history.revision, here.units, str(here.chosen), here.message, here.fault


@st.fragment
def _follow(here: Desk, line: Line | None) -> None:
    """Brings what follows the hand, and takes what the hand does. After a fault in a run of its own the whole page
    runs, and says it calmly.

    Args:
        here: The person's work.
        line: The section line as the whole page drew it.
    """
    if not here.whole:
        if here.seen != _turned(here):
            st.rerun()
        try:
            line = _drawn(here, STANDING, part=True)
        except Exception:
            logging.getLogger(__name__).exception("what follows the hand could not be drawn")
            st.rerun()
    here.live.show(guarded(_entered, here), guarded(_plan_event, here, line))


def _entered(here: Desk) -> None:
    take_entries(here, *live_entries())


def _drawn(here: Desk, places: Places, *, part: bool) -> Line | None:
    """Draws what follows the hand, or what of it has changed; gives the section line as drawn."""
    at = here.option
    here.live.begin(part=part)
    results = evaluate(here.project)
    before = evaluate(here.history.before) if here.history.past else None
    scene, stale, note = _scene(here, results)
    later = tuple(key for key in LATER if part and not results.options[at].ready(key))
    with places.plan:  # first, as the figures wait for more
        held = Worked(stale, note, edit=graspable(here, scene.line), under=under(here))
        _panel(PLAN, scene, held, here.live)
        if scene.line:
            _panel(SECTION, scene, Worked(stale), here.live)
    with places.figures:
        here.live.text("figures", figures.key_figures(results, before, at, here.units, later))
    with places.said:
        problems = figures.problems(here.project, results, at, here.units, early=part)
        here.live.text("said", figures.told_markup([here.message, *problems[:MOST_SAID]], here.notice))
    with places.zones:
        here.live.text("note", f"<p class='pk-note'>{html.escape(scene.result.option.note) or '&nbsp;'}</p>")
        if scene.result.pools:
            _panel(ZONES, scene, Worked(stale, may_lag=True), here.live)
    with places.controls:
        sidebar(here, follows=True)
    return scene.line


def _scene(here: Desk, results: Results) -> tuple[Scene, bool, str]:
    """What the pictures are made from, whether it is an older design, and words for that."""
    result, stale = _last_good(here, results)
    result = _without_earth(here, result)
    line = shown_section(result, here.project.site.section)
    liner = int(here.chosen.get(str(("options", here.option, "lining", "liners")), 0))
    if here.whole or here.fit or here.frame is None:
        here.frame = plan_frame(here.frame, extent([result], site=True), here.job_of(here.project), fit=here.fit)
        here.fit = False
    shown, frame = here.frame.span, here.frame.number
    reach = section.reach(result, line) if line else None
    if reach and here.reach and not here.whole:  # while the hand moves the section's frame grows at the most
        reach = section.joined([here.reach, reach])
    here.reach = reach
    scene = Scene(result, here.units, results, _chosen_pool(here), line, liner, shown, frame, reach)
    return scene, stale, "the last one that could be worked out" if stale else "" if result.option.pools else BEGIN


def _without_earth(here: Desk, result: OptionResult) -> OptionResult:
    """A result to draw. Where the soil goes needs all trades: while the hand moves it is as it last was, unless the
    hand moves just that."""
    wanted = result.option.earth
    if here.whole or here.earth is None or here.earth[0] != wanted or result.ready("haul_bank"):
        here.earth = wanted, result.earth
        return result
    return result.given(earth=here.earth[1])


def _last_good(here: Desk, results: Results) -> tuple[OptionResult, bool]:
    """The option as it is, or as it last could be drawn, and whether it is the latter."""
    at = here.option
    if results.options[at].whole:
        return results.options[at], False
    good = here.history.back(lambda project: at < len(project.options) and evaluate(project).options[at].whole)
    return (results.options[at], False) if good is None else (evaluate(good).options[at], True)


def _chosen_pool(here: Desk) -> int | None:
    return chosen_pool(here) if here.chosen.get("trade", "Pools") == "Pools" else None


def _panel(panel: Panel, scene: Scene, worked: Worked, live: Live | None = None) -> None:
    drawn, key = scene.draw(panel), f"picture {panel.title}"
    part = live is not None and live.part
    if live and part and (drawn is None) == (key in live.whole):
        st.rerun()  # it came or went: the whole page has its place
    if drawn is None:
        if not part:
            st.caption(f"{panel.title}: nothing to draw in this option.")
        return
    picture(key, drawn, height=panel.height, takes=panel.takes, alt=scene.alt(panel), worked=worked, live=live)


def _plan_event(here: Desk, line: Line | None) -> None:
    if event := live_event(f"picture {PLAN.title}"):
        act(here, event, line)


def _more(here: Desk, scene: Scene) -> None:
    """One further picture at a time, of those of a part that the option has figures of; computed only when it is
    open."""
    there = {key for key, _ in scene.result.entries()}
    further = [panel for panel in PANELS if panel.part and not there.isdisjoint(panel.keys)]
    parts = list(dict.fromkeys(panel.part for panel in further))
    if not parts:
        return
    trade = here.chosen.get("trade", "Pools")
    which, row = st.columns([1, 4.5], gap="small", vertical_alignment="bottom")
    at = parts.index(trade) if trade in parts else 0
    part = which.selectbox("Pictures of", parts, index=at, key=f"pictures of {trade}")
    of_part = {panel.title: panel for panel in further if panel.part == part}
    # The picture of a part opens with its controls; any other can be opened, and each closed again.
    own = next(iter(of_part), None) if part == trade and trade != "Pools" else None
    chosen = row.segmented_control(
        f"Pictures of {part}",
        list(of_part),
        default=own,
        key=f"more {part} {own}",
        selection_mode="single",
        label_visibility="collapsed",
    )
    if chosen:
        panel = of_part[str(chosen)]
        left, right = st.columns([1.75, 1], gap="small")
        with left:
            _panel(panel, scene, Worked(may_lag=True))
        with right:
            if panel.csv:
                called, _ = panel.csv
                st.download_button(
                    called,
                    data=lambda: scene.csv(panel).encode("utf-8"),
                    file_name=f"{file_stem(here.project)}_{panel.title.lower().replace(' ', '_')}.csv",
                    mime="text/csv",
                    on_click="ignore",
                    key=f"csv {panel.title}",
                )
            figures.takeoff(scene.result, here.units, panel.keys)


def file_stem(project: Project) -> str:
    """How files of a project begin."""
    return "".join(c if c.isalnum() else "_" for c in project.title.lower()).strip("_")[:40] or "pond"
