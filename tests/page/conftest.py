"""One browser for all tests that drive the page; skipped, with a reason, where there is none."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.page.opened import Opened, opened
from tests.page.sites import STRAIGHT
from tests.sheet import browser as installed

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

DESK, PHONE = (1280, 800), (360, 740)


@pytest.fixture(scope="session")
def browser() -> "Iterator[Browser]":
    program = installed.found()
    if program is None:
        pytest.skip("no headless browser here")
    api = pytest.importorskip("playwright.sync_api", reason="nothing to drive a browser with")
    with api.sync_playwright() as driver:
        found = driver.chromium.launch(
            executable_path=program, args=["--no-sandbox", "--disable-gpu"]
        )
        yield found
        found.close()


@dataclass(frozen=True)
class Visited:
    """A page in the browser, the site file it works on, and the program that serves it."""

    page: "Page"
    file: Path
    served: Opened


Visit = Callable[..., Visited]


@pytest.fixture(scope="session")
def one_page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Opened, Path]]:
    """One program that serves all tests; each puts a site of its own into the file."""
    folder = tmp_path_factory.mktemp("page")
    file = folder / "site.toml"
    file.write_text(STRAIGHT, encoding="utf-8")
    with opened("site.toml", folder=folder) as served:
        yield served, file


@pytest.fixture
def visit(browser: "Browser", one_page: tuple[Opened, Path]) -> Iterator[Visit]:
    """Opens the page of a site in the browser: `visit(text, size=DESK)`. What the console complains of fails
    the test."""
    served, file = one_page
    complaints: list[str] = []
    with ExitStack() as stack:

        def opens(text: str, size: tuple[int, int] = DESK) -> Visited:
            file.write_text(text, encoding="utf-8")
            served.post("reload", {})
            served.post("choose", {"chosen": 1, "hold": False})
            context = browser.new_context(viewport={"width": size[0], "height": size[1]})
            stack.callback(context.close)
            page = context.new_page()
            page.set_default_timeout(60_000)
            page.on("console", lambda m: complaints.append(m.text) if m.type == "error" else None)
            page.on("pageerror", lambda e: complaints.append(str(e)))
            page.goto(served.address)
            return Visited(page, file, served)

        yield opens
    assert complaints == []
