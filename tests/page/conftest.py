"""A real browser, and the page served for it."""

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import chromium
import pytest
import serving
from playwright.sync_api import Browser, Page, expect
from sketch import Sketch

from tests.designs import full_project, small

ROOT = Path(__file__).parents[2]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if "browser_page" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests. Without one they are skipped, and fail where CI is set in the environment."""
    executable = chromium.path()
    if executable is None:
        (pytest.fail if os.environ.get("CI") else pytest.skip)(chromium.MISSING)
    expect.set_options(timeout=20_000)  # ms: a server's first run works out every option, and the machine may be shared
    with chromium.started(executable) as started:
        yield started


@pytest.fixture
def browser_page(browser: Browser) -> Iterator[Page]:
    """A page of its own for one test, see ``chromium.watched``."""
    with chromium.watched(browser) as page:
        yield page


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[Path | str], str]]:
    """``server("demo_data/x.json")`` serves the page on that project file and gives its address; ``server("")`` serves
    it as it starts by itself. A file is served once for all tests: the server keeps nothing of a session. At the end
    the log of each holds no traceback."""
    running: dict[Path, tuple[subprocess.Popen[bytes], str, Path]] = {}

    def serve(demo: Path | str) -> str:
        file = (ROOT / demo).resolve()
        if file not in running:
            log = tmp_path_factory.mktemp("server") / "log"
            running[file] = *serving.start("app.py", [str(file)] if demo else [], log), log
        return running[file][1]

    yield serve
    serving.stop(*(process for process, _, _ in running.values()))
    for _, _, log in running.values():
        text = log.read_text(encoding="utf-8")
        assert "Traceback" not in text, text[-3000:]


@pytest.fixture(scope="session")
def mine(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of a small design, of the job "mine"."""
    file = tmp_path_factory.mktemp("mine") / "mine.json"
    file.write_text(json.dumps(small(job_id="mine")), encoding="utf-8")
    return file


@pytest.fixture
def start(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Callable[..., Sketch]:
    """``start(data)`` starts the page on a project file, which has a job's id already, as any that the page saved;
    without one on what it starts with by itself.
    """

    def begin(data: dict[str, Any] | None = None) -> Sketch:
        monkeypatch.setattr(sys, "argv", ["app.py"])
        if data is not None:
            path = tmp_path / "mine.json"
            path.write_text(json.dumps(data | {"job_id": data.get("job_id", "mine")}), encoding="utf-8")
            monkeypatch.setattr(sys, "argv", ["app.py", str(path)])
        return Sketch()

    return begin


@pytest.fixture(scope="module")
def worked() -> Sketch:
    """One session for all tests of a module that leave the work as it was; after a first step."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "argv", ["app.py"])
        page = Sketch()
    page.desk.open(full_project())
    return page.slide(("options", 0, "pools", 0, "tiers", 1, "depth"), "33 in", 0)
