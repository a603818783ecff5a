"""A real browser, and the page served for it."""

import os
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import chromium
import pytest
import serving
from playwright.sync_api import Browser, Page

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
    with chromium.started(executable) as started:
        yield started


@pytest.fixture
def browser_page(browser: Browser) -> Iterator[Page]:
    """A fresh page of 1280 x 800. At the end no script on it may have failed, and nothing may have been asked for
    outside this computer."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(20_000)
    page = context.new_page()
    errors: list[str] = []
    outside: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("request", lambda request: outside.append(request.url) if not _at_home(request.url) else None)
    yield page
    context.close()
    assert not errors
    assert not outside


def _at_home(url: str) -> bool:
    return url.startswith(("http://localhost:", "ws://localhost:", "data:", "blob:", "about:"))


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[Path | str], str]]:
    """``server("demo_data/x.json")`` serves the page on that project file and gives its address. A file is served once
    for all tests: the server keeps nothing of a session. At the end the log of each holds no traceback."""
    running: dict[Path, tuple[subprocess.Popen[bytes], str, Path]] = {}

    def serve(demo: Path | str) -> str:
        file = (ROOT / demo).resolve()
        if file not in running:
            log = tmp_path_factory.mktemp("server") / "log"
            running[file] = *serving.start("app.py", [str(file)], log), log
        return running[file][1]

    yield serve
    logs = []
    for process, _, log in running.values():
        serving.stop(process)
        logs.append(log.read_text(encoding="utf-8"))
    for text in logs:
        assert "Traceback" not in text
