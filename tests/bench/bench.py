"""The benchmark: how long a project takes to be worked out, and how live the page is.

    .venv/bin/python -m tests.bench.bench [--browser]

It prints tables; nothing is asserted. Run it on a quiet machine: the ratios inside one row hold, absolute times move.
"""

import argparse
import json
import logging
import platform
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from pondkit import Project, save
from pondkit.core.remembered import Memory
from pondkit.page.components.picture import _plain
from pondkit.page.panels import PLAN, SECTION, Scene
from pondkit.project.files import put
from pondkit.report.plan import shown_section
from pondkit.solvers.pipe_network import balance
from pondkit.study.evaluate import evaluate
from pondkit.trades.water.bodies import Body
from pondkit.trades.water.work import running_water
from pondkit.trades.water.work import work_out as water_work_out
from tests.bench import designs
from tests.memory import asked

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests" / "page"))  # the browser tests' helper modules

PRESSES = 30
DRAG = 3.0  # s


def milliseconds(work: Callable[[], object], times: int) -> float:
    """Median time of some work."""
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        taken.append(time.perf_counter() - began)
    return statistics.median(taken) * 1e3


def moved(project: Project, memory: Memory, times: int) -> float:
    """Median time of one tier moved with a warm memory, each time to a depth not met before."""
    asked(project, memory)
    texts = iter(f"{20 + 0.01 * (number + 1):.2f} in" for number in range(times))
    taken = []
    for text in texts:
        changed = put(project, designs.DEPTH, text)
        began = time.perf_counter()
        asked(changed, memory)
        taken.append(time.perf_counter() - began)
    return statistics.median(taken) * 1e3


def evaluation() -> None:
    print("| evaluate | cold, ms | one tier moved, ms |\n|---|---|---|")
    cases = {f"{count} pool{'s' * (count > 1)}": designs.project(count) for count in (1, 3, 10, 30)}
    for name, project in (cases | {"3 pools, lining, stone, ten-run tunnel, rates": designs.whole()}).items():
        assert not evaluate(project).problems  # and tables of units are made
        times = 7 if len(project.options[0].pools) > 9 else 21
        cold = milliseconds(lambda at=project: asked(at, Memory()), times)  # type: ignore[misc]
        print(f"| {name} | {cold:.1f} | {moved(project, Memory(), 25):.1f} |")


def water_side() -> None:
    """Four pumps and eight branches: the network alone, and all figures of the water side."""
    result = evaluate(designs.water())
    assert not result.problems
    option = result.options[0]
    drawn, links = option.option.water, option.option.links
    assert drawn is not None and option.water is not None
    network = option.water.run.pumping.network
    assert network is not None
    bodies = tuple(
        Body(pool.name, pool.surfaces.finished.level, pool.surfaces.finished.rim_level, pool.surface_area.value)
        for pool in option.pools
    )

    def all_of_it() -> None:
        run = running_water.__wrapped__(drawn, links, bodies)
        water_work_out.__wrapped__(
            drawn, run, bodies, (0.1, 0.1), option.totals.net_volume, option.totals.total_net_volume
        )

    print("\n| water side, four pumps and eight branches | ms |\n|---|---|")
    print(f"| network in balance | {milliseconds(lambda: balance(network), 51):.2f} |")
    print(f"| all figures | {milliseconds(all_of_it, 31):.1f} |")


Moves = dict[str, tuple[tuple[str | int, ...], Callable[[float], Any]]]


def one_by_one(what: str, project: Project, moves: Moves) -> None:
    """A project worked out cold, and with one input moved and a warm memory, each time to a value not met before."""
    memory = Memory()
    assert not asked(project, memory).problems
    print(f"\n| {what} | ms |\n|---|---|")
    print(f"| cold | {milliseconds(lambda: asked(project, Memory()), 9):.0f} |")
    for name, (path, value) in moves.items():
        taken = []
        for number in range(1, 16):
            changed = put(project, path, value(0.01 * number))
            taken.append(milliseconds(lambda at=changed: asked(at, memory), 1))  # type: ignore[misc]
        print(f"| {name} moved | {statistics.median(taken):.0f} |")


def heavy() -> None:
    """Stone and pipe in plenty."""
    pools, places, ends = (*designs.OPTION, "pools", 0, "tiers"), designs.POSITIONS, designs.NODES
    moves: Moves = {
        "tier": ((*pools, 1, "depth"), lambda more: f"{20 + more:.2f} in"),
        "shelf that the mouths lie behind": ((*pools, 0, "shelf"), lambda more: f"{18 + more:.2f} in"),
        "machine position": ((*places, 0, "at"), lambda more: [f"{-28 + more:.2f} ft", "30 ft"]),
        "node": ((*ends, 0, "at"), lambda more: ["-38 ft", "-7.5 ft", f"{-14 + more:.2f} in"]),
        "boulder": ((*designs.BOULDERS, 1, "axes"), lambda more: [f"{29 + more:.2f} in", "22 in", "16 in"]),
    }
    one_by_one("60 runs with 20 mouths, 80 boulders, 3 positions", designs.heavy(), moves)


def surveyed() -> None:
    """Ground, liners and setting out in plenty."""
    pool = (*designs.OPTION, "pools", 1)
    moves: Moves = {
        "tier below the ground": ((*pool, "tiers", 2, "depth"), lambda more: f"{32 + more:.2f} in"),
        "tier that the ground meets": ((*pool, "tiers", 0, "depth"), lambda more: f"{8 + more:.2f} in"),
        "level of a pool": ((*pool, "level"), lambda more: f"{0.2 + more:.2f} ft"),
        "place of a pool": ((*pool, "at"), lambda more: [f"{26 + more:.2f} ft", "0 ft"]),
        "liner's edge": ((*designs.OPTION, "lining", "edge"), lambda more: f"{12 + more:.2f} in"),
        "level read as dug": ((*designs.OPTION, "dig", "measured", 0, "level"), lambda more: f"{-2.4 + more:.2f} ft"),
    }
    one_by_one("500 survey points, ten pools", designs.surveyed(), moves)


def prepared(folder: Path, project: Project) -> Path:
    """What the bare page is made of: the real page's count of widgets by kind, and its plan and section at two depths."""
    from sketch import Sketch

    logging.disable(logging.WARNING)
    file = folder / "whole.json"
    file.write_text(save(project), encoding="utf-8")
    sys.argv = ["app.py", str(file)]
    app = Sketch().app
    sliders = [element for element in app.get("bidi_component") if ":" in str(element.key)]
    stock = ("selectbox", "text_input", "toggle", "button_group", "button")
    counts = {"slider": len(sliders)} | {kind: len(app.get(kind)) for kind in stock}
    pictures: dict[str, list[Any]] = {PLAN.title: [], SECTION.title: []}
    for inches in (20, 22):
        results = evaluate(put(project, designs.DEPTH, f"{inches} in"))
        line = shown_section(results.options[0], None)
        scene = Scene(results.options[0], results, "us", 0, line)
        for panel in (PLAN, SECTION):
            pictures[panel.title].append(panel.draw(scene))
    target = folder / "bare.json"
    target.write_text(json.dumps({"counts": counts, "pictures": pictures}, default=_plain), encoding="utf-8")
    print(f"\nWidgets on both pages: {', '.join(f'{count} {kind}' for kind, count in counts.items())}.")
    return target


def until(page: Any, ready: str) -> None:
    page.wait_for_function(ready, timeout=20_000)


def steps(page: Any, slide: Any) -> dict[str, float]:
    """Median times from a key press to the key figure and to both pictures, ms."""
    slide.focus()
    taken: dict[str, list[float]] = {"key figures": [], "pictures": []}
    for number in range(PRESSES + 3):
        page.evaluate("() => { seen.figures = []; seen.drawn[0] = []; seen.drawn[1] = []; }")
        page.keyboard.press("ArrowRight" if number % 2 == 0 else "ArrowLeft")
        until(page, "() => seen.figures.length && seen.drawn[0].length && seen.drawn[1].length")
        page.wait_for_timeout(150)  # a burst of keys would be joined
        seen = page.evaluate("() => seen")
        if number >= 3:
            taken["key figures"].append(seen["figures"][-1] - seen["input"])
            taken["pictures"].append(max(drawn[-1] for drawn in seen["drawn"]) - seen["input"])
    return {name: statistics.median(times) for name, times in taken.items()}


def drag(page: Any, slide: Any) -> dict[str, float]:
    """Updates a second while a slider is dragged."""
    slide.scroll_into_view_if_needed()
    box = slide.bounding_box()
    y = box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + 0.15 * box["width"], y)
    page.mouse.down()
    page.evaluate("() => { seen.figures = []; seen.drawn[0] = []; seen.drawn[1] = []; }")
    began = time.perf_counter()
    while (passed := time.perf_counter() - began) < DRAG:
        page.mouse.move(box["x"] + (0.15 + 0.2 * passed / DRAG) * box["width"], y)
        page.wait_for_timeout(8)
    seen = page.evaluate("() => seen")
    page.mouse.up()
    page.wait_for_timeout(500)
    counts = {"key figures": seen["figures"], "plan": seen["drawn"][0], "section": seen["drawn"][1]}
    return {name: len(times) / DRAG for name, times in counts.items()}


def liveness() -> None:
    import chromium
    import serving

    executable = chromium.path()
    if executable is None:
        sys.exit(chromium.MISSING)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        target = prepared(folder, designs.whole())
        pages = {
            "bare": ("tests/bench/bare_app.py", str(target), "Depth 0"),
            "page": ("app.py", str(folder / "whole.json"), "Depth"),
        }
        browser = stack.enter_context(chromium.started(executable))
        slid: dict[str, dict[str, float]] = {}
        dragged: dict[str, dict[str, float]] = {}
        rounds: dict[str, list[dict[str, float]]] = {name: [] for name in pages}
        opened: dict[str, tuple[Any, Any]] = {}
        for name, (script, argument, label) in pages.items():
            process, url = serving.start(script, [argument], folder / f"{name}.log")
            stack.callback(serving.stop, process)
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            page.goto(url)
            page.locator(".pondkit-plot:has(.main-svg)").nth(1).wait_for(timeout=60_000)
            page.wait_for_timeout(2500)
            page.evaluate(Path(__file__).with_name("timing.js").read_text(encoding="utf-8"))
            sliders = page.get_by_role("slider", name=label, exact=True)
            opened[name] = page, sliders.nth(1) if name == "page" else sliders
        for _ in range(3):  # in turn, so that what else the machine does meets both
            for name, (page, slide) in opened.items():
                page.bring_to_front()
                rounds[name].append(steps(page, slide))
        for name, (page, slide) in opened.items():
            page.bring_to_front()
            slid[name] = {
                what: statistics.median(r[what] for r in rounds[name]) for what in ("key figures", "pictures")
            }
            dragged[name] = drag(page, slide)
    print("\n| slider step, ms | bare page | page | ratio | most wanted |\n|---|---|---|---|---|")
    for what, most in (("key figures", 1.25), ("pictures", 1.5)):
        bare, real = slid["bare"][what], slid["page"][what]
        print(f"| {what} | {bare:.0f} | {real:.0f} | {real / bare:.2f} | {most} |")
    print("\n| drag, updates a second | bare page | page | least wanted |\n|---|---|---|---|")
    for what in ("key figures", "plan", "section"):
        print(f"| {what} | {dragged['bare'][what]:.1f} | {dragged['page'][what]:.1f} | 8 |")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--browser", action="store_true", help="measure the page, too")
    asked = parser.parse_args()
    print(f"Python {platform.python_version()}, {platform.machine()}, {time.strftime('%Y-%m-%d')}\n")
    evaluation()
    water_side()
    heavy()
    surveyed()
    if asked.browser:
        liveness()


if __name__ == "__main__":
    main()
