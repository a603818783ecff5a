"""The benchmark: how long a project takes to be worked out, and how live the page is.

    .venv/bin/python -m tests.bench.bench [--browser [--json FILE]]

It prints tables; nothing is asserted. Run it on a quiet machine: the ratios inside one row hold, absolute times move.
"""

import argparse
import json
import platform
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from pondkit import Project
from pondkit.core.remembered import Memory
from pondkit.page.contents import PLAN, SECTION, ZONES
from pondkit.page.figures import key_figures
from pondkit.page.sketch_view import LATER
from pondkit.project.files import put
from pondkit.report.plan import shown_section
from pondkit.report.scene import Scene
from pondkit.solvers.pipe_network import balance
from pondkit.study.evaluate import evaluate, node, with_earth
from pondkit.trades.earthwork.results import EarthResult
from pondkit.trades.water.compute import compute as compute_water
from pondkit.trades.water.compute import running_water
from pondkit.trades.water.results import PoolWater
from tests.bench import designs, live
from tests.designs import full_design
from tests.memory import asked

ROOT = Path(__file__).parents[2]
TIER_OF_FULL_DESIGN = ("options", 0, "pools", 0, "tiers", 1, "depth")
sys.path.insert(0, str(ROOT / "tests" / "page"))  # the browser tests' helper modules


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


def awaited() -> None:
    """What plan, section and key figures need of a tier moved to a depth not met before: the results that they are made
    from, and all with the pictures drawn.
    """
    work, spent = node.__get__, [0.0]
    depth = 0  # of nodes that are being computed

    def timed(self: node[Any], holder: Any, owner: type | None = None) -> Any:
        nonlocal depth
        began, depth = time.perf_counter(), depth + 1
        try:
            return work(self, holder, owner)
        finally:
            depth -= 1
            if not depth:
                spent[0] += time.perf_counter() - began

    def of(project: Project, earth: EarthResult | None) -> tuple[float, float]:
        """(results, all) of what one step of a drag waits for [ms]; the use of the soil stays as it was."""
        before, spent[0] = time.perf_counter(), 0.0
        results = evaluate(project)
        option = results.options[0]
        assert option.whole
        results = results.given(0, with_earth(option, earth))
        line = shown_section(results.options[0], project.site.section)
        scene = Scene(results.options[0], "us", results, None, line)
        for panel in (PLAN, SECTION, ZONES):
            scene.draw(panel)
        key_figures(results, None, 0, "us", LATER)
        return spent[0] * 1e3, (time.perf_counter() - before) * 1e3

    print(
        "\n| a tier moved: what plan, section and key figures need, ms | results | with the pictures |\n|---|---|---|"
    )
    node.__get__ = timed  # type: ignore[method-assign]
    try:
        for name, project, path, least in (
            ("full design", full_design(), TIER_OF_FULL_DESIGN, 15.0),
            ("3 pools, lining, stone, ten-run tunnel, rates", designs.whole(), designs.DEPTH, 20.0),
        ):
            earth = evaluate(project).options[0].earth
            moved_on = [put(project, path, f"{least + 0.01 * number:.2f} in") for number in range(1, 40)]
            steps = [of(step, earth) for step in moved_on][5:]
            results, everything = (statistics.median(column) for column in zip(*steps, strict=True))
            print(f"| {name} | {results:.1f} | {everything:.1f} |")
    finally:
        node.__get__ = work  # type: ignore[method-assign]


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
        PoolWater(pool.name, pool.surfaces.finished.level, pool.surfaces.finished.rim_level, pool.surface_area.value)
        for pool in option.pools
    )

    def all_of_it() -> None:
        run = running_water.__wrapped__(drawn, links, bodies)
        compute_water.__wrapped__(
            drawn, links, run, bodies, (0.1, 0.1), option.totals.net_volume, option.totals.total_net_volume
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


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--browser", action="store_true", help="measure the page, too")
    parser.add_argument("--rows", nargs="+", choices=live.ROWS, metavar="ROW", help="measure only these of the page")
    parser.add_argument("--json", metavar="FILE", help="write the rows of the page there too")
    asked = parser.parse_args()
    print(f"Python {platform.python_version()}, {platform.machine()}, {time.strftime('%Y-%m-%d')}\n")
    if not asked.rows:
        evaluation()
        awaited()
        water_side()
        heavy()
        surveyed()
    if asked.browser or asked.rows:
        rows = live.liveness(asked.rows or live.ROWS)
        print("\n" + live.table(rows))
        if asked.json:
            Path(asked.json).write_text(json.dumps(rows, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
