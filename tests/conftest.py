"""In which order the tests run, and how often garbage is collected."""

import gc

import pytest

gc.set_threshold(50_000, 10, 10)  # as the page does: a tenth of the tests' time goes into it otherwise


@pytest.hookimpl(trylast=True)  # by then those that ask for a browser's page are marked too
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Browser tests stand together, in the middle of all.

    Each worker begins with a run of tests that lie side by side, and takes from the end of another's run when it has
    done its own. So one of two workers begins with the browser tests, which mostly wait, while the other one reckons;
    and one browser, with one server for each design, does for all of them.
    """
    browser = [item for item in items if item.get_closest_marker("browser")]
    others = [item for item in items if not item.get_closest_marker("browser")]
    middle = len(items) // 2
    items[:] = [*others[:middle], *browser, *others[middle:]]
