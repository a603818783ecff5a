"""Twenty people at the page at once, each dragging: what the slowest of them gets, and what memory is left when they
have gone.

    .venv/bin/python -m tests.bench.people [--people 20] [--at-once]

One person drags in a real browser. The others hold sessions of their own over the page's web socket and drag a tier's
depth to and fro, as a browser would: the next value goes out when the answer to the one before has come.

It takes some six minutes and writes its table at the end: the server holds a session for two minutes after its browser
has gone, and what memory is left is read after that. With ``--at-once`` it waits for neither, and takes a minute and a
half.
"""

import argparse
import asyncio
import itertools
import json
import statistics
import sys
import tempfile
import threading
import time
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.asyncio.client import connect

from pondkit import save
from tests.bench import designs
from tests.bench.live import ROOT, TIER, Opened, drag

sys.path.insert(0, str(ROOT / "tests" / "page"))

PACE = 0.03  # s between an answer and the next value
GOOD = (ForwardMsg.FINISHED_SUCCESSFULLY, ForwardMsg.FINISHED_FRAGMENT_RUN_SUCCESSFULLY)
GONE = 150.0  # s: Streamlit holds a session for two minutes after its browser has gone
CROWDS = 2  # one after the other: what each leaves behind shows whether memory grows
PATIENCE = 120.0  # s for a first run of all


@dataclass
class Person:
    """What one of the others gets.

    Attributes:
        there: Whether the page was shown.
        answered: Times [s] of the answers to the values of the drag, since it began.
        waits: How long each took [s].
        lost: Runs that ended otherwise than well.
    """

    there: bool = False
    answered: list[float] = field(default_factory=list)
    waits: list[float] = field(default_factory=list)
    lost: int = 0


async def _run(socket: Any, widgets: dict[str, Any] | None = None, fragment: str = "") -> tuple[list[Any], bool]:
    """One run of the page, or of its part: the deltas that came, and whether it ended well."""
    message = BackMsg()
    message.rerun_script.query_string = ""
    message.rerun_script.fragment_id = fragment
    for id_, value in (widgets or {}).items():
        state = message.rerun_script.widget_states.widgets.add()
        state.id, state.json_value = id_, json.dumps(value)
    await socket.send(message.SerializeToString())
    deltas = []
    while True:
        answer = ForwardMsg()
        answer.ParseFromString(await socket.recv())
        kind = answer.WhichOneof("type")
        if kind == "delta":
            deltas.append(answer.delta)
        elif kind == "script_finished":
            return deltas, answer.script_finished in GOOD


ROW = "options/0/pools/0/tiers/1/depth"  # of the second tier's depth


def _ways(deltas: list[Any]) -> tuple[str, str, str]:
    """Id of the widget that takes what is entered, of its part of the page, and the key of the form with that row."""
    every = [(delta, delta.new_element.bidi_component) for delta in deltas]
    form = next(
        (each for _, each in every if each.component_name.endswith("pondkit_form") and ROW in str(each.bytes)), None
    )
    if form is None:
        raise LookupError("The page has no slider of the second tier's depth.")
    id_, fragment = next((each.id, delta.fragment_id) for delta, each in every if each.component_name.endswith("live"))
    return id_, fragment, json.loads(form.bytes)["key"]


async def _session(url: str, number: int, person: Person, go: threading.Event, leave: threading.Event) -> None:
    address = url.replace("http", "ws") + "/_stcore/stream"
    async with connect(address, subprotocols=["streamlit"], max_size=None, origin=url) as socket:  # type: ignore[arg-type]
        deltas, _ = await _run(socket)
        live, fragment, form = _ways(deltas)
        person.there = True
        while not go.is_set():
            await asyncio.sleep(0.1)
        began = time.monotonic()
        for step in itertools.count():
            if leave.is_set():
                return
            inches = 20 + (step + number) % 10
            entry = {"id": ROW, "value": f"{inches} in", "drag": 1, "n": step + 1}
            sent = time.monotonic()
            _, well = await _run(socket, {live: {"entries": {form: [entry]}}}, fragment)
            person.lost += not well
            person.waits.append(time.monotonic() - sent)
            person.answered.append(time.monotonic() - began)
            await asyncio.sleep(PACE)


def crowd(url: str, people: list[Person], go: threading.Event, leave: threading.Event) -> None:
    """Holds the sessions until they are asked to leave."""

    async def all_of_them() -> None:
        await asyncio.gather(*(_session(url, number, person, go, leave) for number, person in enumerate(people)))

    asyncio.run(all_of_them())


def memory(process: Any) -> float:
    """What a process holds of the machine's memory [MB]."""
    status = Path(f"/proc/{process.pid}/status").read_text(encoding="utf-8")
    return int(next(line for line in status.splitlines() if line.startswith("VmRSS")).split()[1]) / 1e3


def main() -> None:
    import chromium
    import serving

    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--people", type=int, default=20)
    parser.add_argument("--at-once", action="store_true", help="do not wait until the server has let their sessions go")
    given = parser.parse_args()
    count, waits = given.people, not given.at_once
    executable = chromium.path()
    if executable is None:
        sys.exit(chromium.MISSING)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        (folder / "whole.json").write_text(save(designs.whole()), encoding="utf-8")
        process, url = serving.start("app.py", [str(folder / "whole.json")], folder / "page.log")
        stack.callback(serving.stop, process)
        browser = stack.enter_context(chromium.started(executable))
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto(url)
        page.locator(".pondkit-plot:has(.main-svg)").nth(1).wait_for(timeout=60_000)
        page.wait_for_timeout(2500)
        page.evaluate(Path(__file__).with_name("timing.js").read_text(encoding="utf-8"))
        tools = page.context.new_cdp_session(page)
        tools.send("Performance.enable", {"timeDomain": "threadTicks"})
        one = Opened(page, process, tools)
        drag(one, TIER)
        start = memory(process)
        alone, among, others = [drag(one, TIER)], [], []
        full, left = [], []
        for _ in range(CROWDS):
            people = [Person() for _ in range(count - 1)]
            go, leave = threading.Event(), threading.Event()
            thread = threading.Thread(target=crowd, args=(url, people, go, leave))
            thread.start()
            until = time.monotonic() + PATIENCE
            while not all(person.there for person in people) and time.monotonic() < until and thread.is_alive():
                page.wait_for_timeout(200)
            if not all(person.there for person in people):
                leave.set()
                go.set()
                sys.exit(f"Only {sum(person.there for person in people)} of {count - 1} others came to the page.")
            full.append(memory(process))
            go.set()
            among.append(drag(one, TIER))
            leave.set()
            thread.join()
            others += people
            alone.append(drag(one, TIER))
            page.wait_for_timeout(1e3 * (GONE if waits else 1.0))
            drag(one, TIER)  # the last sessions are let go at the next run
            left.append(memory(process))
    print("\n| what | alone | among them | wanted |\n|---|---|---|---|")
    for what in ("redraws a second", "key figures a second"):
        here, there = (statistics.median(step[what] for step in each) for each in (alone, among))
        print(f"| in the browser, {what} | {here:.1f} | {there:.1f} | 1 |")
    rates = [len(person.answered) / max(person.answered[-1], 1e-9) if person.answered else 0.0 for person in others]
    print(f"| answers a second of the slowest of the others | | {min(rates):.2f} | 1 |")
    print(f"| longest wait for an answer, s | | {max(max(p.waits, default=0.0) for p in others):.2f} | 2 |")
    print(f"| runs lost | | {sum(person.lost for person in others)} | 0 |")
    crowds = "; ".join(f"{a:.0f} MB with {count}, {b:.0f} MB after they left" for a, b in zip(full, left, strict=True))
    print(f"\nMemory of the server: {start:.0f} MB with one person; {crowds}.")


if __name__ == "__main__":
    main()
