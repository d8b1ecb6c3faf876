"""One browser that opens run sheets from the file system; what it complains of or fetches fails the test."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, sync_playwright

from knownlight.sheet.model import SheetModel
from knownlight.sheet.page import page
from tests.knownlight.sheet.harbour import harbour

TIMEOUT = 5000.0  # ms; an answer takes less than a hundredth of it
LAPTOP = ViewportSize(width=1366, height=900)
LOCAL = ("file:", "data:", "blob:")


def watch(tab: Page) -> list[str]:
    """What a page will complain of, and what it will ask for that is not in its file."""
    faults: list[str] = []
    tab.on("console", lambda message: faults.append(message.text))
    tab.on("pageerror", lambda error: faults.append(str(error)))
    tab.on("request", lambda asked: faults.extend([] if asked.url.startswith(LOCAL) else [asked.url]))
    return faults


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium of the system, without a window."""
    chromium = shutil.which("chromium")
    if chromium is None:
        pytest.skip("chromium is absent; Debian's chromium has it")
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--disable-background-networking"]
        )
        yield started
        started.close()


@pytest.fixture
def open_sheet(browser: Browser, tmp_path: Path) -> Iterator[Callable[..., Page]]:
    """A function that opens a run sheet in a profile of its own; options are those of a browser context.

    before: a script that runs ahead of the page's.
    """
    opened: list[tuple[BrowserContext, list[str]]] = []

    def open_one(model: SheetModel | None = None, *, before: str = "", **options: Any) -> Page:
        path = tmp_path / "START-HERE.html"
        path.write_text(page(model or harbour()), encoding="utf-8")
        context = browser.new_context(**options)
        context.set_default_timeout(TIMEOUT)
        context.add_init_script(before)
        tab = context.new_page()
        opened.append((context, watch(tab)))
        tab.goto(path.as_uri())
        return tab

    yield open_one
    for context, faults in opened:
        context.close()
        assert not faults


@pytest.fixture(scope="session")
def tab(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Page, list[str]]]:
    """The harbour's run sheet on a laptop, and its faults: a page costs more than a test of it."""
    path = tmp_path_factory.mktemp("sheet") / "START-HERE.html"
    path.write_text(page(harbour()), encoding="utf-8")
    context = browser.new_context()
    context.set_default_timeout(TIMEOUT)
    shown = context.new_page()
    faults = watch(shown)
    shown.goto(path.as_uri())
    yield shown, faults
    context.close()


@pytest.fixture
def sheet(tab: tuple[Page, list[str]]) -> Iterator[Page]:
    """The harbour's run sheet on a laptop, with nothing kept of the tests before."""
    shown, faults = tab
    shown.reload()  # what is typed and not kept yet is kept now
    shown.evaluate("localStorage.clear()")
    shown.set_viewport_size(LAPTOP)
    shown.reload()
    faults.clear()
    yield shown
    assert not faults


@pytest.fixture
def quiet(tab: tuple[Page, list[str]]) -> Page:
    """The harbour's run sheet for tests that only ask its script for figures, and change nothing."""
    return tab[0]
