"""How live the page is: redraws a second in a drag, and what a redraw costs, always beside a bare page in the same run.

A drag moves to and fro inside the range in which the design stays sound, and passes more values than are
counted: where it runs into a problem nothing is redrawn, and the figure is wrong. Absolute times move with
the machine; ratios of one run hold.
"""

import logging
import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Collection
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pondkit import Project, evaluate, load, save
from pondkit.page.components import as_json
from pondkit.page.contents import PLAN, SECTION
from pondkit.project.files import put
from pondkit.report.plan import shown_section
from pondkit.report.scene import Scene
from tests.bench import designs

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests" / "page"))  # the browser tests' helper modules

PRESSES = 30
DRAG = 6.0  # s
TURN = 0.6  # s for one way of a drag
FIRST_WAY = "redraws a second, first way"  # of the first round: no value was met before, so none is remembered
# Widgets of the page on the full design when it was first measured; they stay, so that ratios mean the same later.
BARE = {"slider": 12, "selectbox": 2, "text_input": 0, "toggle": 0, "button_group": 5, "button": 4}
FULL = ROOT / "tests" / "full_design.json"


@dataclass(frozen=True)
class Drag:
    """A thing that is dragged to and fro: a slider, or a handle on the plan.

    Attributes:
        row: Name of the row.
        name: Of the slider, or how the handle's name begins.
        low, high: Ends of the drag: values of the slider, or how far the handle goes to the right and up [px]. The
            design stays sound between them.
        number: Which slider of that name, from the top.
        part: Part of the design that is chosen first; "" for none.
        option: Option that is chosen first; "" for none.
        chosen: What is chosen in lists first, by the list's name.
    """

    row: str
    name: str
    low: float
    high: float
    number: int = 0
    part: str = ""
    option: str = ""
    chosen: tuple[tuple[str, str], ...] = ()
    handle: bool = False


TIER = Drag("tier depth", "Depth", 12, 30, 1)
BASKING, SPRING = (("Pool", "basking pool"),), (("Pool", "spring pool"),)
DRAGS = (
    TIER,
    Drag("shelf", "Shelf", 6, 16, 1),
    Drag("batter", "Batter", 0.3, 0.9, 1),
    Drag("level", "Level", -12, -1),
    Drag("pool place", "all of spring pool", 40, 30, part="Pools", chosen=SPRING, handle=True),
    Drag("pool turn", "Turn", 0, 60, part="Pools", chosen=SPRING),
    Drag("boulder", "boulder basking slab: -2", 40, 10, part="Stone", handle=True),
    Drag("node", "chamber den", -40, 20, part="Tunnels", handle=True),
    Drag("crest", "fall from spring pool", 12, 12, part="Links", handle=True),
    Drag("section line", "end A of the section line", 40, 60, part="Pools", handle=True),
    Drag("machine place", "machine of west bank", 60, 30, part="Lifting", option="B", handle=True),
    Drag("outline's point", "point 1 of basking pool", -20, -20, part="Pools", chosen=BASKING, handle=True),
    Drag("size", "Length", 96, 144, part="Pools", chosen=SPRING),
    Drag("pit", "Length", 42, 78, part="Pools", chosen=BASKING),
)


def prepared(folder: Path, project: Project) -> Path:
    """What the bare page is made of: as many widgets as the page had when it was first
    measured, and two pictures at two depths.
    """
    pictures: dict[str, list[Any]] = {PLAN.title: [], SECTION.title: []}
    for depth in (20, 22):
        results = evaluate(put(project, designs.DEPTH, f"{depth} in"))
        line = shown_section(results.options[0], None)
        scene = Scene(results.options[0], "us", results, 0, line)
        for panel in (PLAN, SECTION):
            pictures[panel.title].append(scene.draw(panel))
    target = folder / "bare.json"
    target.write_bytes(as_json({"counts": BARE, "pictures": pictures}))
    return target


def loop() -> float:
    """Seconds that a fixed piece of work takes: how loaded the machine is."""
    began = time.perf_counter()
    total = 0
    for number in range(3_000_000):
        total += number
    return time.perf_counter() - began


def processor(process: Any) -> float:
    """Processor time [s] that a process has used, all its threads together."""
    fields = Path(f"/proc/{process.pid}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


@dataclass
class Opened:
    """A page in the browser, with its server."""

    page: Any
    process: Any
    tools: Any

    def slider(self, drag: Drag) -> Any:
        return self.page.get_by_role("slider", name=drag.name, exact=True).nth(drag.number)

    def main_thread(self) -> float:
        """Seconds that the browser's main thread has worked."""
        metrics = {each["name"]: each["value"] for each in self.tools.send("Performance.getMetrics")["metrics"]}
        return float(metrics["TaskDuration"])


def opened(stack: ExitStack, browser: Any, script: str, argument: str, log: Path) -> Opened:
    import serving

    process, url = serving.start(script, [argument], log)
    stack.callback(serving.stop, process)
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.goto(url)
    page.locator(".pondkit-plot:has(.main-svg)").nth(1).wait_for(timeout=60_000)
    page.wait_for_timeout(2500)
    page.evaluate(Path(__file__).with_name("timing.js").read_text(encoding="utf-8"))
    tools = page.context.new_cdp_session(page)
    tools.send("Performance.enable", {"timeDomain": "threadTicks"})
    return Opened(page, process, tools)


# Notes when plan and section stand on the screen, in ms since the address was opened. Asked from outside, a page that
# is busy answers late.
PICTURES_SHOWN = """addEventListener("pondkit:drawn", () => {
  const shown = ["plan", "section"].every((name) => document.querySelector(`.pondkit-${name} .main-svg`));
  if (shown) window.picturesShown ??= performance.now();
}, true)"""


def first_picture(stack: ExitStack, browser: Any, argument: str, log: Path) -> dict[str, float]:
    """Seconds from the address to plan and section: of a server that has answered nobody yet, then anew."""
    import serving

    process, url = serving.start("app.py", [argument], log)
    stack.callback(serving.stop, process)
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.add_init_script(PICTURES_SHOWN)
    found = {}
    for what, go in (("after the start, s", lambda: page.goto(url)), ("after a reload, s", page.reload)):
        worked = processor(process)
        go()
        page.wait_for_function("() => window.picturesShown", timeout=60_000)
        found[what] = page.evaluate("() => window.picturesShown") / 1e3
        found[what.replace(", s", ", server's processor, s")] = processor(process) - worked
        page.wait_for_timeout(3000)
    page.close()
    serving.stop(process)
    return found


RESTS = """() => !document.querySelector("[data-resting]") && !window.pondkitBeat?.due
  && document.querySelector("[data-testid=stApp]").dataset.testScriptState === "notRunning" """


def until(page: Any, ready: str) -> None:
    page.wait_for_function(ready, timeout=20_000)


def steps(page: Any, slide: Any) -> dict[str, float]:
    """Median times from a key press to the key figure and to both pictures, ms."""
    slide.focus()
    taken: dict[str, list[float]] = {"key figures": [], "pictures": []}
    for number in range(PRESSES + 3):
        until(page, RESTS)  # what still comes of the step before does not count
        page.evaluate("() => { seen.figures = []; seen.drawn[0] = []; seen.drawn[1] = []; }")
        page.keyboard.press("ArrowRight" if number % 2 == 0 else "ArrowLeft")
        until(page, "() => seen.figures.length && seen.drawn[0].length && seen.drawn[1].length")
        seen = page.evaluate("() => seen")
        page.wait_for_timeout(150)  # a burst of keys would be joined
        if number >= 3:
            taken["key figures"].append(seen["figures"][0] - seen["input"])
            # When lines and areas stand in their new places; labels that are set anew follow when the hand rests.
            taken["pictures"].append(max(drawn[0] for drawn in seen["drawn"]) - seen["input"])
    return {name: statistics.median(times) for name, times in taken.items()}


def ready(on: Opened, of: Drag) -> None:
    """Brings on show what is dragged."""
    import screen

    page = on.page
    screen.radio(page, of.option or "A").first.click()
    if of.part:
        screen.part(page, of.part)
    screen.settled(page)
    for name, what in of.chosen:
        screen.choose(page, name, what)
        screen.settled(page)
    for fold in ("More about this pool", "Pits"):
        button = page.get_by_role("button", name=fold, exact=True)
        if not of.handle and button.count() and button.get_attribute("aria-expanded") == "false":
            button.click()
            screen.settled(page)


def ends(on: Opened, of: Drag) -> tuple[tuple[float, float], tuple[float, float]]:
    """The two places on the screen between which the pointer goes; at the first it takes hold."""
    if of.handle:
        around = on.page.locator(f".handle[aria-label^='{of.name}'] .reach").bounding_box()
        x, y = around["x"] + around["width"] / 2, around["y"] + around["height"] / 2
        return (x, y), (x + of.low, y - of.high)
    slide = on.slider(of)
    slide.scroll_into_view_if_needed()
    box = slide.bounding_box()
    least, most = (float(slide.evaluate(f"node => node.{name}")) for name in ("min", "max"))
    thumb = 16.0

    def at(value: float) -> tuple[float, float]:
        share = (value - least) / (most - least)
        return box["x"] + thumb / 2 + share * (box["width"] - thumb), box["y"] + box["height"] / 2

    return at(of.low), at(of.high)


def drag(on: Opened, of: Drag) -> dict[str, float]:
    """Redraws a second, and processor time a redraw [ms], while something is dragged to and fro."""
    page = on.page
    start, end = ends(on, of)
    page.mouse.move(*start)
    page.mouse.down()
    page.wait_for_timeout(300)
    clear = (
        "() => { seen.figures = []; seen.drawn[0] = []; seen.drawn[1] = []; seen.stale = 0; return performance.now(); }"
    )
    zero = page.evaluate(clear)
    server, browser = processor(on.process), on.main_thread()
    began = time.perf_counter()
    while (passed := time.perf_counter() - began) < DRAG:
        way = passed / TURN % 2.0
        share = way if way < 1 else 2 - way
        page.mouse.move(*(a + share * (b - a) for a, b in zip(start, end, strict=True)))
        page.wait_for_timeout(8)
    seen = page.evaluate("() => seen")
    server, browser = processor(on.process) - server, on.main_thread() - browser
    page.mouse.up()
    page.wait_for_timeout(600)
    back = page.get_by_role("button", name="↶")  # the bare page has none
    if back.count():  # each drag begins with the design as it is
        back.click()
        page.wait_for_timeout(1000)
    drawn = min(len(seen["drawn"][0]), len(seen["drawn"][1]))
    once = min(sum(when - zero < 1e3 * TURN for when in of_one) for of_one in seen["drawn"])
    if seen["stale"]:
        print(f"{of.row}: the drag ran into a problem of the design, its figures are wrong.", file=sys.stderr)
    return {
        "redraws a second": drawn / DRAG,
        FIRST_WAY: once / TURN,
        "key figures a second": len(seen["figures"]) / DRAG,
        "server, ms a redraw": 1e3 * server / max(drawn, 1),
        "browser, ms a redraw": 1e3 * browser / max(drawn, 1),
    }


FIRST, STEP, SLOW = "first picture", "slider step, ms", "tier depth, processor four times slower"
LARGE = {"thirty pools": lambda: designs.project(30), "60 runs, 80 boulders": designs.heavy}
ROWS = (FIRST, STEP, *(of.row for of in DRAGS), SLOW, *LARGE)


def liveness(asked: Collection[str] = ROWS, rounds: int = 3) -> dict[str, dict[str, dict[str, float]]]:
    """Rows of figures of the page and of the bare page: name of the row, "page" or "bare", figure.

    Args:
        asked: Which rows.
        rounds: How often each is measured, of which the median counts.
    """
    import chromium

    executable = chromium.path()
    if executable is None:
        sys.exit(chromium.MISSING)
    logging.disable(logging.WARNING)
    rows: dict[str, dict[str, dict[str, float]]] = {"loop, s": {"before": {"loop": loop()}}}
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        browser = stack.enter_context(chromium.started(executable))
        if FIRST in asked:
            rows[FIRST] = {"page": first_picture(stack, browser, str(FULL), folder / "first.log")}
        if not {FIRST, *LARGE}.issuperset(asked):
            rows |= side_by_side(stack, browser, folder, asked, rounds)
        for name in LARGE.keys() & set(asked):
            file = folder / f"{name[:2]}.json"
            file.write_text(save(LARGE[name]()), encoding="utf-8")
            page = opened(stack, browser, "app.py", str(file), folder / f"{name[:2]}.log")
            rows[f"drag: {name}"] = {"page": drag(page, TIER)}
    rows["loop, s"]["after"] = {"loop": loop()}
    return rows


def side_by_side(
    stack: ExitStack, browser: Any, folder: Path, asked: Collection[str], rounds: int
) -> dict[str, dict[str, dict[str, float]]]:
    """Rows of the full design, with the bare page in turn, so that what else the machine does meets both."""
    bare = prepared(folder, load(FULL))
    pages = {
        "bare": opened(stack, browser, "tests/bench/bare_app.py", str(bare), folder / "bare.log"),
        "page": opened(stack, browser, "app.py", str(FULL), folder / "page.log"),
    }
    bare_tier = Drag("tier depth", "Depth 0", TIER.low, TIER.high)

    def in_turn(measure: Callable[[str, Opened], dict[str, float]]) -> dict[str, dict[str, float]]:
        taken: dict[str, list[dict[str, float]]] = {name: [] for name in pages}
        for _ in range(rounds):
            for name, page in pages.items():
                page.page.bring_to_front()
                taken[name].append(measure(name, page))
        first = {name: {key: each[0][key] for key in each[0] if key == FIRST_WAY} for name, each in taken.items()}
        return {name: median_of(each) | first[name] for name, each in taken.items()}

    rows = {}
    if STEP in asked:
        rows[STEP] = in_turn(
            lambda name, page: steps(page.page, page.slider(bare_tier if name == "bare" else TIER)),
        )
    for of in DRAGS:
        if of.row in asked:
            pages["page"].page.bring_to_front()
            ready(pages["page"], of)
            rows[f"drag: {of.row}"] = in_turn(
                lambda name, page, of=of: drag(page, bare_tier if name == "bare" else of)  # type: ignore[misc]
            )
    if SLOW in asked:
        pages["page"].page.bring_to_front()
        ready(pages["page"], TIER)
        pages["page"].tools.send("Emulation.setCPUThrottlingRate", {"rate": 4})
        rows[f"drag: {SLOW}"] = {"page": drag(pages["page"], TIER)}
    return rows


def median_of(taken: list[dict[str, float]]) -> dict[str, float]:
    return {name: statistics.median(each[name] for each in taken) for name in taken[0]}


def table(rows: dict[str, dict[str, dict[str, float]]]) -> str:
    lines = ["| what | figure | page | bare page | page / bare |", "|---|---|---|---|---|"]
    for row, by in rows.items():
        if "page" not in by:
            lines.append(f"| {row} | before, after | {by['before']['loop']:.2f}, {by['after']['loop']:.2f} | | |")
            continue
        for figure, value in by["page"].items():
            bare = by.get("bare", {}).get(figure)
            beside = f"{bare:.1f} | {value / bare:.2f}" if bare else " | "
            lines.append(f"| {row} | {figure} | {value:.1f} | {beside} |")
    return "\n".join(lines)
