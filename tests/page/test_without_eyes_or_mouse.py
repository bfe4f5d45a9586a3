"""Keys alone suffice, and a screen reader has a role, a name and a state for everything."""

import re
import tomllib
from typing import TYPE_CHECKING

from tests.page.conftest import Visit
from tests.page.sites import STRAIGHT
from tests.page.test_driven import answered, by_command, until

if TYPE_CHECKING:
    from playwright.sync_api import Page

FURTHEST = 90
"""Steps of the Tab key from one end of the page to the other, and some more."""
NAME = """(() => { const e = document.activeElement;
  const names = [e.getAttribute('aria-label'), e.labels?.[0]?.textContent, e.textContent];
  return names.find(Boolean) ?? e.id; })()"""


def tab_to(page: "Page", name: str) -> None:
    """Press Tab until something of that name has the keyboard."""
    for _ in range(FURTHEST):
        if re.match(name, str(page.evaluate(NAME)).strip()):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"no {name} is reached")


def test_one_walk_by_keys_alone(visit: Visit) -> None:
    """Move a thing, put a post there, finish it in the form, read the answer, put a question, save."""
    here = visit(STRAIGHT)
    page = here.page
    answered(page)
    page.keyboard.press("Tab")
    tab_to(page, "puller four of us")
    page.keyboard.press("Shift+ArrowUp")
    until(page.locator("#plan"), "four of us")
    page.locator('[aria-label^="puller four of us, 13 m, 0 m"]').wait_for(state="attached")
    page.wait_for_timeout(800)
    answered(page)

    tab_to(page, "Add")
    page.keyboard.type("something")
    tab_to(page, "Place it")
    page.keyboard.press("Enter")
    answered(page, "1 fault in the site file")
    tab_to(page, "diameter")  # the form is open there already
    page.keyboard.type("20 cm")
    page.keyboard.press("Tab")
    answered(page, r"(setups?, proven|Proven)\.$")
    tab_to(page, "in the way obstacle 1")
    page.keyboard.press("Shift+ArrowLeft")
    page.keyboard.press("Shift+ArrowLeft")
    page.wait_for_timeout(800)
    answered(page)

    tab_to(page, "What was understood")
    page.keyboard.press("Enter")
    until(page.locator("#answer"), "obstacle 1")
    page.keyboard.press("Control+s")
    until(page.locator("#file"), "as saved")
    saved = tomllib.loads(here.file.read_text())
    assert saved["obstacle"][0]["diameter"] == "20 cm"
    assert saved["puller"][0]["at"] == ["13 m", "0 m", "1 m"]
    assert len(by_command(here.file)["setups"]) == page.locator(".setup").count()


def test_a_screen_reader_has_roles_names_and_states(visit: Visit) -> None:
    """What the browser hands to it: headings, regions, a status that is read out, things by kind, name and
    place, which setup is the chosen one."""
    here = visit(STRAIGHT)
    page = here.page
    answered(page)
    tree = page.locator("body").aria_snapshot()

    for wanted in (
        r'- heading "Stone up a meadow" \[level=1\]',
        r'- region "(The bank|What works|Before every haul|Setup 1, spelt out|More about this site)"',
        r'- group "Plan: what can be moved"',
        r'- button "puller four of us, 12 m, 0 m, 1 m\. Arrow keys move it\."',
        r'- button "height of the end of leg 1, 0\.8 m\. Arrow keys up and down move it\."',
        r"- status: 1 setup, proven\.",
        r'- button "1 margin [\d.]+ parts 1 .*" \[pressed\]',
        r'- slider "Load at.*"',
        r'- img "Pull along the path: at most .* kN with the load at .* m"',
        r'- heading "STOP WHEN" \[level=3\]',
        r'- textbox "weight needed"',
        r'- button "Save" \[disabled\]',
    ):
        assert re.search(wanted, tree.replace("'", "")), wanted
    assert len(re.findall(r'- region "', tree)) == 6
    nameless = re.findall(
        r"- (?:button|textbox|combobox|checkbox|slider|spinbutton|link)(?: \[|:?$)", tree, re.M
    )
    assert nameless == []
    page.locator('[aria-label^="puller four of us"]').focus()
    pressed = page.locator("#plan").aria_snapshot()
    assert re.search(r'"puller four of us.*" \[pressed\]', pressed)
