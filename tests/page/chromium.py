"""The browser of the page tests: where it is, and how it is started."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, sync_playwright

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
