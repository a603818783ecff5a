"""Where things are on the page, for a real browser."""

from playwright.sync_api import Locator, Page, expect


def settled(page: Page) -> None:
    """Waits until no run is under way and the pictures stand."""
    page.wait_for_timeout(100)
    page.wait_for_function(
        "() => document.querySelector('[data-testid=stApp]').dataset.testScriptState === 'notRunning'"
    )
    page.wait_for_timeout(150)


def radio(page: Page, name: str) -> Locator:
    return page.get_by_role("radio", name=name, exact=True)


def slider(page: Page, name: str, number: int = 0) -> Locator:
    return page.get_by_role("slider", name=name, exact=True).nth(number)


def box(page: Page, name: str, number: int = 0) -> Locator:
    return page.get_by_label(f"{name}, exact").nth(number)


def enter(where: Locator, text: str) -> None:
    where.fill(text)
    where.press("Enter")


def figures(page: Page) -> list[str]:
    return page.locator(".pk-figures b").all_inner_texts()


def undo(page: Page) -> Locator:
    return page.get_by_role("button", name="↶")


def menu(page: Page) -> None:
    page.get_by_role("button", name="File", exact=False).first.click()
    expect(page.get_by_text("Open a project file")).to_be_visible()
