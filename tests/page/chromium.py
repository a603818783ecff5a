"""The browser of the page tests: where it is, and how it is started."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, Page, sync_playwright

MISSING = "No Chromium found: apt-get install chromium, or set CHROMIUM to the path of one."

_PLACES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
_ARGUMENTS = (
    "--no-sandbox",  # the tests run as root in a container
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",  # asks for nothing outside by itself
    "--disable-component-update",
    "--disable-sync",
)


def path() -> str | None:
    """The CHROMIUM of the environment, else the first one that the system has; None where there is none."""
    return os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, _PLACES)), None)


@contextmanager
def started(executable: str) -> Iterator[Browser]:
    """A headless browser, closed at the end."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=executable, args=list(_ARGUMENTS))
        try:
            yield browser
        finally:
            browser.close()


@contextmanager
def watched(browser: Browser) -> Iterator[Page]:
    """A fresh page of 1280 x 800. At the end no script on it may have failed, the console may hold no error, and
    nothing may have been asked for outside this computer.
    """
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(20_000)
    page = context.new_page()
    errors: list[str] = []
    outside: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
    page.on("request", lambda request: None if _at_home(request.url) else outside.append(request.url))
    try:
        yield page
    finally:
        context.close()
    assert not errors
    assert not outside


def _at_home(url: str) -> bool:
    return url.startswith(("http://localhost:", "ws://localhost:", "data:", "blob:", "about:"))
