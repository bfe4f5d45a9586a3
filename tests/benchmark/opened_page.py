"""The page in the browser: how soon it is there, and how soon the list follows a tree that is dragged."""

import re
import statistics
import time
import tomllib
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from optimiser.site.text.edited import Put, edited
from optimiser.telling.page.answering import Answers, Wanted
from tests.benchmark.as_file import site_file
from tests.benchmark.cases import REGIMES, Case
from tests.benchmark.goals import Reached
from tests.benchmark.page import Page
from tests.page.opened import opened
from tests.sheet import browser as installed

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SEED = 2
SOON = 1.0
"""s after the command until the page's own document is there; its answer follows."""
FOLLOWS = {"home": 0.15, "mid": 0.5}
"""s until a tree that is dragged has its new list, up to the setup that is drawn; all follow when it is
dropped."""
DESK = (1280, 800)
REST = 600
"""ms between two places on the way of a drag."""
_WATCH = """() => {
  window.moves = [];
  const status = document.getElementById("status");
  addEventListener("pointermove", (event) => {
    if (event.buttons) window.moves.push({ at: performance.now(), worked: false, list: null });
  }, true);
  new MutationObserver(() => {
    const last = window.moves[window.moves.length - 1];
    if (!last) return;
    if (/Working out/.test(status.textContent)) last.worked = true;
    else if (last.worked && last.list === null) last.list = performance.now() - last.at;
  }).observe(status, { childList: true, characterData: true, subtree: true });
}"""


def measure(page: Page, reached: Reached, *, quick: bool) -> None:
    """Wall-clock: from the hand's move in the browser to the list for that place; beside it what of that the
    program works for, which holds on a busy machine too."""
    soon = min(_first_paint() for _ in range(1 if quick else 3))
    reached.add("page, its document after the command", SOON, soon)
    note = f"The page's document is there {soon:.2f} s after the command. Wall clock; least of several times."
    program = installed.found()
    if program is None:
        page.table("The page", ("dragged tree",), [["no headless browser here"]], note)
        return
    from playwright.sync_api import sync_playwright

    rows: list[list[object]] = []
    with sync_playwright() as driver:
        browser = driver.chromium.launch(
            executable_path=program, args=["--no-sandbox", "--disable-gpu"]
        )
        for size, limit in FOLLOWS.items():
            took = [_dragged(browser, size, regime, 4 if quick else 8) for regime in REGIMES]
            works = [_worked(size, regime, 4 if quick else 8) for regime in REGIMES]
            rows.append(
                [
                    size,
                    *(
                        f"{min(each):.2f} / {statistics.median(each):.2f}, {work:.3f}"
                        for each, work in zip(took, works, strict=True)
                    ),
                ]
            )
            reached.add(f"page, list after a dragged tree, {size}", limit, max(map(min, took)))
        browser.close()
    page.table("The page", ("dragged tree: least / median, s; processor s", *REGIMES), rows, note)


def _first_paint() -> float:
    with TemporaryDirectory() as folder:
        began = time.monotonic()
        with opened(folder=Path(folder)) as found:
            assert found.get().status == 200
            return time.monotonic() - began


def _dragged(browser: "Browser", size: str, regime: str, many: int) -> list[float]:
    """s from each move of a dragged tree to its list, one place after the other."""
    from playwright.sync_api import expect

    with TemporaryDirectory() as folder:
        file = Path(folder) / "site.toml"
        file.write_text(site_file(Case(size=size, regime=regime, seed=SEED).site()))
        with opened(file.name, folder=file.parent) as served:
            page = browser.new_page(viewport={"width": DESK[0], "height": DESK[1]})
            page.goto(served.address)
            expect(page.locator("#status")).to_contain_text(re.compile(r"roven\.$"), timeout=90_000)
            box = page.locator('#plan [aria-label^="tree "]').first.bounding_box()
            assert box is not None
            x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
            page.evaluate(_WATCH)
            page.mouse.move(x, y)
            page.mouse.down()
            for step in range(many + 1):
                page.mouse.move(x + 6 + step, y)
                page.wait_for_timeout(REST)
            page.mouse.up()
            moves = page.evaluate("window.moves")
            page.close()
    return [move["list"] / 1000.0 for move in moves[1:] if move["list"] is not None]


def _worked(size: str, regime: str, many: int) -> float:
    """s of one processor from the edit to the list, the program having answered the place before."""
    text = site_file(Case(size=size, regime=regime, seed=SEED).site())
    x = float(str(tomllib.loads(text)["tree"][0]["at"][0]).split()[0])
    answers, best = Answers(), float("inf")
    for step in range(many + 1):
        began = time.process_time()
        moved = edited(text, [Put(key=("tree", 0, "at", 0), value=f"{x + 0.1 * step:.2f} m")])
        for part in answers.of(Wanted(text=moved, name="site.toml", top=1, moving=True)):
            if part["part"] == "list":
                break
        if step:
            best = min(best, time.process_time() - began)
    return best
