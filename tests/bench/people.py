"""Many people at the page at once: how long a slider step of one of them takes, and what
memory is left when they have gone.

    .venv/bin/python -m tests.bench.people [--people 20]

One person moves a slider in a real browser. The others hold sessions of their own over the page's web socket and have
their page run anew every few seconds; they change nothing, so that what each run costs is the page, not the sums.
"""

import argparse
import asyncio
import itertools
import statistics
import sys
import tempfile
import threading
import time
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.asyncio.client import connect

from pondkit import save
from tests.bench import designs
from tests.bench.live import ROOT, steps

sys.path.insert(0, str(ROOT / "tests" / "page"))

THINK = 4.0  # s between two changes of one person, as a mean
GONE = 150.0  # s: Streamlit holds a session for two minutes after its browser has gone
CROWDS = 2  # one after the other: what each leaves behind shows whether memory grows
PATIENCE = 120.0  # s for a first run of all


async def _session(url: str, number: int, ready: list[int], leave: threading.Event) -> None:
    address = url.replace("http", "ws") + "/_stcore/stream"
    async with connect(address, subprotocols=["streamlit"], max_size=None, origin=url) as socket:  # type: ignore[arg-type]
        for run in itertools.count():
            message = BackMsg()
            message.rerun_script.query_string = ""
            await socket.send(message.SerializeToString())
            while True:
                answer = ForwardMsg()
                answer.ParseFromString(await socket.recv())  # type: ignore[arg-type]
                if answer.WhichOneof("type") == "script_finished":
                    break
            if run == 0:
                ready.append(number)
            pause = time.monotonic() + THINK * (0.5 + (number * 0.37 + run * 0.61) % 1.0)
            while time.monotonic() < pause:
                if leave.is_set():
                    return
                await asyncio.sleep(0.1)


def crowd(url: str, people: int, ready: list[int], leave: threading.Event) -> None:
    """Holds the sessions until they are asked to leave."""

    async def all_of_them() -> None:
        await asyncio.gather(*(_session(url, number, ready, leave) for number in range(people)))

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
    people = parser.parse_args().people
    executable = chromium.path()
    if executable is None:
        sys.exit(chromium.MISSING)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        (folder / "whole.json").write_text(save(designs.whole()), encoding="utf-8")
        process, url = serving.start("app.py", [str(folder / "whole.json")], folder / "page.log")
        stack.callback(serving.stop, process)
        page = stack.enter_context(chromium.started(executable)).new_page(viewport={"width": 1280, "height": 800})
        page.goto(url)
        page.locator(".pondkit-plot:has(.main-svg)").nth(1).wait_for(timeout=60_000)
        page.wait_for_timeout(2500)
        page.evaluate(Path(__file__).with_name("timing.js").read_text(encoding="utf-8"))
        slide = page.get_by_role("slider", name="Depth", exact=True).nth(1)
        steps(page, slide)
        start = memory(process)
        alone, among = [steps(page, slide)], []
        full, left = [], []
        for _ in range(CROWDS):
            ready: list[int] = []
            leave = threading.Event()
            others = threading.Thread(target=crowd, args=(url, people - 1, ready, leave))
            others.start()
            until = time.monotonic() + PATIENCE
            while len(ready) < people - 1 and time.monotonic() < until and others.is_alive():
                page.wait_for_timeout(200)
            if len(ready) < people - 1:
                sys.exit(f"Only {len(ready)} of {people - 1} others came to the page.")
            full.append(memory(process))
            among.append(steps(page, slide))
            leave.set()
            others.join()
            alone.append(steps(page, slide))
            page.wait_for_timeout(GONE * 1e3)
            steps(page, slide)  # the last sessions are let go at the next run
            left.append(memory(process))
    print(f"\n| slider step, ms | alone | among {people} | ratio | most wanted |\n|---|---|---|---|---|")
    for what in ("key figures", "pictures"):
        one, many = (statistics.median(step[what] for step in each) for each in (alone, among))
        print(f"| {what} | {one:.0f} | {many:.0f} | {many / one:.2f} | 2 |")
    crowds = "; ".join(f"{a:.0f} MB with {people}, {b:.0f} MB after they left" for a, b in zip(full, left, strict=True))
    print(f"\nMemory of the server: {start:.0f} MB with one person; {crowds}.")


if __name__ == "__main__":
    main()
