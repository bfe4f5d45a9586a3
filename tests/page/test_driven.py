"""A person at the page: in a real browser, by clicks and keys, with the command line's answer."""

import json
import re
import tomllib
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner

from optimiser.cli import cli, main
from tests.long import long
from tests.page.conftest import PHONE, Visit
from tests.page.sites import CREST, POST, STRAIGHT

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

PATIENCE = 40_000
"""ms."""
ROOT = Path(__file__).parents[2]


def until(locator: "Locator", words: str) -> None:
    """Wait for words in something on the page."""
    from playwright.sync_api import expect

    expect(locator).to_contain_text(re.compile(words), timeout=PATIENCE)


def answered(page: "Page", words: str = r"\d setups?, proven\.$") -> None:
    until(page.locator("#status"), words)


def by_command(path: Path) -> Any:
    done = CliRunner().invoke(cli, ["rank", str(path), "--format", "json"])
    return json.loads(done.stdout)


def field(page: "Page", key: str, value: str) -> None:
    """Type a value into the field of a key, and leave the field."""
    there = page.locator(f'[data-at="{key}"]')
    there.fill(value)
    there.press("Tab")


def open_part(page: "Page", *names: str) -> None:
    for name in names:
        part = page.locator(f'details[data-part="{name}"]')
        part.wait_for(state="attached")
        if part.get_attribute("open") is None:
            part.locator("> summary").click()


def at(page: "Page", label: str) -> list[str]:
    """The coordinates of a thing as its handle is labelled."""
    words = page.locator(f'[aria-label^="{label}"]').get_attribute("aria-label")
    assert words is not None
    return words.removeprefix(f"{label}, ").partition(". ")[0].split(", ")


def comes_to(page: "Page", label: str, place: str) -> None:
    """Wait until the handle of a thing is labelled with a place."""
    from playwright.sync_api import expect

    there = page.locator(f'[aria-label^="{label}, {place}"]')
    expect(there).to_have_count(1, timeout=PATIENCE)


def test_the_list_is_that_of_the_command_line(visit: Visit) -> None:
    here = visit(STRAIGHT)
    page = here.page
    answered(page)
    (first,) = by_command(here.file)["setups"]
    shown = page.locator(".setup").inner_text()

    assert f"margin {int(first['margin'] * 100) / 100:.2f}" in shown
    assert "Standing end made fast to the load; hauling end to four of us" in shown
    until(page.locator("#caution-list"), "Local codes decide")
    until(page.locator("#caution-list"), "In line with any part of the rope")
    until(page.locator("#always"), "no certificate")


def test_arrow_keys_move_a_thing_and_the_answer_follows(visit: Visit) -> None:
    """By 0.1 m, with Shift by 1 m; until it is saved the file stays as it was; undo takes it back at once."""
    here = visit(STRAIGHT + POST.replace('"0 m"', '"3.1 m"'))
    page = here.page
    answered(page)
    post = page.locator('[aria-label^="in the way gate post"]')
    post.focus()
    page.keyboard.press("ArrowRight")  # away from the line: y is to the left of the path
    until(page.locator("#card"), "gate post")
    page.wait_for_timeout(100)
    for _ in range(3):
        page.keyboard.press("Shift+ArrowRight")
    answered(page, "0 setups|NO SETUP WORKS")  # it stands in the line now
    assert at(page, "in the way gate post")[:2] == ["10.5 m", "0 m"]
    assert '"3.1 m"' in (here.file).read_text()
    assert page.evaluate("document.activeElement.getAttribute('aria-label')").startswith(
        "in the way"
    )

    page.keyboard.press("Control+z")
    comes_to(page, "in the way gate post", "10.5 m, 3.1 m")
    answered(page)


def test_what_is_dragged_lands_where_it_is_dropped(visit: Visit) -> None:
    here = visit(STRAIGHT + POST.replace('"0 m"', '"3 m"'))
    page = here.page
    answered(page)
    box = page.locator('[aria-label^="in the way gate post"]').bounding_box()
    start = page.locator('[aria-label^="path start of the path"]').bounding_box()
    end = page.locator('[aria-label^="path end of leg 1"]').bounding_box()
    assert box is not None
    assert start is not None
    assert end is not None
    px = (start["y"] - end["y"]) / 8.0  # in a metre: the path goes 8 m up the page
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, 6):
        page.mouse.move(x - step * px / 5, y + 2 * step * px / 5)
    page.mouse.up()
    answered(page)

    east, left, up = (float(text.removesuffix(" m")) for text in at(page, "in the way gate post"))
    assert east == pytest.approx(8.5, abs=0.06)
    assert left == pytest.approx(4.0, abs=0.06)
    assert up == pytest.approx(
        0.9, abs=0.06
    )  # beside the end of the path, which is as high as there


def test_a_fault_stands_beside_its_field_in_the_words_of_the_file(
    visit: Visit, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    here = visit(STRAIGHT)
    page = here.page
    answered(page)
    field(page, "load.weight", "heavy")
    answered(page, "1 fault in the site file")
    (tmp_path / "other.toml").write_text(STRAIGHT.replace("60 kg", "heavy"))
    assert main(["rank", str(tmp_path / "other.toml")]) == 2
    printed = capsys.readouterr().err
    shown = page.locator('.field[data-place="load.weight"] .fault').inner_text()

    assert shown
    assert shown in printed
    assert page.locator(".setup").count() == 0  # an answer to another site is no answer
    field(page, "load.weight", "70 kg")
    answered(page)


@pytest.mark.parametrize(
    ("text", "met", "after"),
    [(STRAIGHT + POST, "gate post", "gate post"), (CREST, "the ground", "log-bark-20")],
    ids=["post", "crest"],
)
def test_a_cure_that_is_a_change_of_the_file_is_one_click(
    visit: Visit, text: str, met: str, after: str
) -> None:
    """What the line meets is drawn in red where it does; the button puts the cure into the file."""
    here = visit(text)
    page = here.page
    answered(page, "NO SETUP WORKS.*Proven")
    assert page.locator('#plan circle[fill="url(#plan-bad)"]').count() == 1
    until(page.locator("#plan .badtext"), met)
    page.get_by_role("button", name="Put this cure into the file").click()
    answered(page)
    page.click("#save")
    until(page.locator("#file"), "as saved")

    saved = (here.file).read_text()
    assert (after in saved) == (after not in text)
    assert by_command(here.file)["setups"]


def test_the_slider_moves_the_load_along_the_path(visit: Visit) -> None:
    here = visit(STRAIGHT)
    page = here.page
    answered(page)
    slider = page.locator("#place")
    until(page.locator("#place-at"), "^0.00 m")
    slider.press("End")
    until(page.locator("#place-at"), "^8.0")
    assert "kN" in page.locator("#place-pull").inner_text()


def test_names_do_nothing_but_stand_there(visit: Visit) -> None:
    """A name that would be run elsewhere is text: in the list, the drawings, the form, the answers."""
    hostile = "<img src=x onerror='document.title=1'><b>stone</b>"
    text = STRAIGHT.replace('name = "stone"', "name = 'q'").replace("Stone up a meadow", hostile)
    text = text.replace("name = 'q'", 'name = "<i>boo</i> & <u>"').replace(
        "yellow rope", "<s>rope</s>"
    )
    here = visit(text)
    page = here.page
    until(page.locator("#status"), "fault|proven")
    page.wait_for_timeout(200)

    assert page.locator("main img, main i, main u, main s:not([class]), h1 b").count() == 0
    assert page.locator("h1").inner_text() == hostile
    assert page.title().endswith("bankhaul")


def test_a_page_of_another_origin_gets_nothing(visit: Visit, tmp_path: Path) -> None:
    """It knows the port, and even the token: it can neither read, change, frame nor listen."""
    here = visit(STRAIGHT)
    page, served = here.page, here.served
    answered(page)
    evil = tmp_path / "evil.html"
    evil.write_text(
        f"""<!doctype html><title>waiting</title><iframe src="{served.address}"></iframe>
        <form id="f" method="post" enctype="text/plain" action="{served.address}undo" target="g">
        <input name='{{"a":"' value='"}}'></form><iframe name="g"></iframe><script>
        const a = "{served.address}", got = [];
        const tries = [
          fetch(a + "text").then((r) => r.text()),
          fetch(a + "edit", {{method: "POST", headers: {{"Content-Type": "application/json"}}, body:
            JSON.stringify({{base: 1, edits: [{{put: ["title"], value: "taken"}}]}})}}).then((r) => r.text()),
          fetch(a + "save", {{method: "POST", mode: "no-cors", body: "{{}}"}}).then((r) => r.text()),
          new Promise((yes, no) => {{ const e = new EventSource(a + "events"); e.onmessage = () => yes("x");
            e.onerror = () => no(); }}),
        ];
        document.getElementById("f").submit();
        Promise.allSettled(tries).then((all) => {{
          document.title = "done " + all.filter((t) => t.status === "fulfilled" && t.value).length;
        }});
        </script>"""
    )
    before = served.get("text").data
    other = page.context.browser.new_context() if page.context.browser else None
    assert other is not None
    stranger = other.new_page()
    stranger.goto(evil.as_uri())
    for _ in range(100):
        if stranger.title().startswith("done"):
            break
        stranger.wait_for_timeout(50)

    assert stranger.title() == "done 0"
    assert served.get("text").data == before
    assert all(frame.locator("#plan").count() == 0 for frame in stranger.frames[1:])
    other.close()


def test_a_site_is_built_from_nothing_by_keys_and_clicks(visit: Visit) -> None:
    """From an empty text to a setup, saved, opened again, and the same as on the command line."""
    here = visit('title = "new"\n')
    page = here.page
    answered(page, "faults? in the site file")
    open_part(page, "path")
    page.get_by_role("button", name="State path").click()
    for axis in "123":
        field(page, f"path.start[{axis}]", "0 m")
    page.get_by_role("button", name="One more leg").click()
    for axis, value in zip("123", ("8 m", "0 m", "0.8 m"), strict=True):
        field(page, f"path.leg[1].to[{axis}]", value)
    field(page, "path.leg[1].surface", "grass")
    page.get_by_role("button", name="State load").click()
    field(page, "load.weight", "60 kg")
    page.locator('[data-at="load.rests_on"]').select_option("skids")
    field(page, "load.length", "1 m")
    field(page, "load.overhang", "0.5 m")
    open_part(page, "load.hitch")
    page.get_by_role("button", name="One more hitch").click()
    open_part(page, "load.hitch[1] more")
    for key, value in {
        "name": "ring", "ahead": "0.5 m", "left": "0 m", "height": "0.3 m", "rating": "20 kN", "eye": "60 mm",
    }.items():  # fmt: skip
        field(page, f"load.hitch[1].{key}", value)
    open_part(page, "puller")
    page.get_by_role("button", name="One more people").click()
    field(page, "puller[1].name", "four of us")
    field(page, "puller[1].count", "4")
    open_part(page, "puller[1] more")
    field(page, "puller[1].footing", "grass")
    for axis, value in zip("123", ("12 m", "0 m", "1 m"), strict=True):
        field(page, f"puller[1].at[{axis}]", value)
    for axis, value in zip("123", ("30 m", "0 m", "1 m"), strict=True):
        field(page, f"puller[1].towards[{axis}]", value)
    field(page, "puller[1].run", "10 m")
    open_part(page, "gear")
    field(page, "gear search", "polyester 12")
    page.get_by_role("button", name="Own polyester rope, three-strand, 12 mm").click()
    open_part(page, "gear[1]")
    field(page, "gear[1].length", "40 m")
    field(page, "gear[1].ends", "bare, bare")
    page.locator('[data-at="gear[1].condition"]').select_option("good")
    open_part(page, "preferences")
    page.get_by_role("button", name="State preferences").click()
    open_part(page, "preferences more")
    field(page, "preferences.knots", "bowline")
    answered(page)
    page.keyboard.press("Escape")
    page.click("#save")
    until(page.locator("#file"), "as saved")

    path = here.file
    assert tomllib.loads(path.read_text())["title"] == "new"
    setups = by_command(path)["setups"]
    assert len(setups) == page.locator(".setup").count() >= 1
    page.reload()
    answered(page)
    assert f"{setups[0]['margin']:.1f}"[:3] in page.locator(".setup").first.inner_text()


@pytest.mark.parametrize("size", [PHONE, (1280, 800)], ids=["phone", "desk"])
def test_nothing_sticks_out_and_all_of_it_is_reached(visit: Visit, size: tuple[int, int]) -> None:
    here = visit(STRAIGHT + POST.replace('"0 m"', '"3 m"'), size=size)
    page = here.page
    answered(page)
    open_part(page, "puller", "puller[1]")
    page.locator('#plan [aria-label^="puller"]').focus()  # the card has most in it then
    wide = page.evaluate("document.documentElement.scrollWidth")
    out = page.evaluate(
        """() => [...document.querySelectorAll('button, input, select, a, summary, h2')]
        .filter((e) => e.offsetParent && !e.closest('.scroll') && !e.classList.contains('skip'))
        .filter((e) => { const b = e.getBoundingClientRect();
          return b.right > innerWidth + 1 || b.left < -1; })
        .map((e) => e.outerHTML.slice(0, 80))"""
    )
    small = page.evaluate(
        """() => [...document.querySelectorAll('main *')].filter((e) => e.offsetParent)
        .filter((e) => [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()))
        .filter((e) => parseFloat(getComputedStyle(e).fontSize) < 11.5)
        .map((e) => e.outerHTML.slice(0, 60))"""
    )

    assert wide == size[0]
    assert out == []
    assert small == []


@pytest.mark.parametrize(
    "site", ["sledge", *(pytest.param(name, marks=long) for name in ("workboat", "meadow", "lane"))]
)
def test_no_label_lies_on_another(visit: Visit, site: str) -> None:
    here = visit((ROOT / "examples" / f"{site}.toml").read_text())
    page = here.page
    answered(page)
    over = page.evaluate(
        """() => ['plan', 'side'].flatMap((id) => {
          const all = [...document.querySelectorAll(`#${id} text`)].map((t) => [t.textContent, t.getBBox()]);
          const out = [];
          all.forEach(([a, p], i) => all.slice(i + 1).forEach(([b, q]) => {
            const wide = Math.min(p.x + p.width, q.x + q.width) - Math.max(p.x, q.x);
            const high = Math.min(p.y + p.height, q.y + q.height) - Math.max(p.y, q.y);
            if (wide > 3 && high > 4) out.push(`${id}: ${a} / ${b}`);
          }));
          return out;
        })"""
    )
    assert over == []


def test_every_control_has_a_name_for_those_who_do_not_see_it(visit: Visit) -> None:
    here = visit(STRAIGHT)
    page = here.page
    answered(page)
    nameless = page.evaluate(
        """() => [...document.querySelectorAll('button, input, select, textarea, [role=button]')]
        .filter((e) => !(e.labels?.length || e.getAttribute('aria-label') || e.textContent.trim()))
        .map((e) => e.outerHTML.slice(0, 90))"""
    )
    assert nameless == []
    assert page.locator("#status").get_attribute("aria-live") == "polite"


def test_the_file_changed_outside_is_a_choice(visit: Visit) -> None:
    here = visit(STRAIGHT)
    page = here.page
    answered(page)
    (here.file).write_text(STRAIGHT.replace("60 kg", "61 kg"))
    page.get_by_role("button", name="Take what it has").click()
    weight = """document.querySelector('[data-at="load.weight"]').value"""
    page.wait_for_function(f"{weight} === '61 kg'")
    until(page.locator("#file"), "as saved")


@long
def test_a_curve_states_that_ropes_of_one_piece_are_compared(visit: Visit) -> None:
    """Of the demonstration, whose ropes may be joined."""
    demonstration = files("optimiser.site").joinpath("demonstration.toml")
    page = visit(demonstration.read_text(encoding="utf-8")).page
    answered(page)
    page.fill("#sweep", "load.weight=600..700 kg")
    page.get_by_role("button", name="Draw the curve").click()
    until(page.locator("#answer tbody"), "700 kg")
    until(page.locator("#answer"), "Where ropes of one piece do, only those are compared")


def test_longer_questions_are_answered_as_on_the_command_line(visit: Visit) -> None:
    here = visit(STRAIGHT)
    page = here.page
    answered(page)
    page.fill("#sweep", "load.weight=60..120 kg")
    page.get_by_role("button", name="Draw the curve").click()
    until(page.locator("#answer tbody"), "120 kg")
    assert page.locator("#answer tbody tr").count() == 9
    assert page.locator("#answer polyline").count() >= 3
