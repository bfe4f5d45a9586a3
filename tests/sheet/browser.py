"""A headless browser that opens pages, measures them and prints them."""

import html
import re
import shutil
import subprocess
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--no-first-run",
    "--enable-logging=stderr",
    "--no-pdf-header-footer",
    "--virtual-time-budget=4000",
)
PAPERS = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}

# The page stands in a frame as wide as a phone; its script is not the page's own.
_FRAME = """<!doctype html><html><body style="margin:0">
<iframe id="f" style="width:{width}px;height:4000px;border:0" srcdoc="{page}"></iframe>
<script>
const f = document.getElementById("f");
f.onload = () => {{
  const d = f.contentDocument, w = f.contentWindow.innerWidth;
  const wide = [...d.querySelectorAll("*")].filter(
    (e) => e.getBoundingClientRect().right > w + 0.5 && !e.closest("defs, clipPath, symbol"));
  const out = wide.filter((e) => !e.closest("svg") || e.tagName === "svg").map((e) => e.tagName);
  document.title = [d.documentElement.scrollWidth, w, out.join("+") || "none",
    d.querySelectorAll("svg").length].join(" ");
}};
</script></body></html>"""


def found() -> str | None:
    """The browser's program, or None where there is none."""
    return next((path for name in NAMES if (path := shutil.which(name))), None)


def run(browser: str, folder: Path, *arguments: str) -> tuple[str, list[str]]:
    """What it printed, and what the console said."""
    done = subprocess.run(
        [browser, *FLAGS, f"--user-data-dir={folder / 'profile'}", *arguments],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    return done.stdout, [line for line in done.stderr.splitlines() if "CONSOLE" in line]


def measured(browser: str, folder: Path, page: str, width: int) -> tuple[list[str], list[str]]:
    """Of a page in a frame of so many px: its width, the frame's, what sticks out, its drawings; and
    what the console said."""
    target = folder / "framed.html"
    target.write_text(_FRAME.format(width=width, page=html.escape(page)), encoding="utf-8")
    result, console = run(browser, folder, "--dump-dom", target.as_uri())
    title = re.search(r"<title>(.*?)</title>", result)
    assert title is not None, "the page did not load"
    return title[1].split(), console


def printed(
    browser: str, folder: Path, page: str, paper: str
) -> tuple[list[tuple[float, float]], str]:
    """Sizes of the pages, mm, as they come out of the printer."""
    source, target = folder / "printed.html", folder / "printed.pdf"
    size = "{} {}".format(*(f"{v}mm" for v in PAPERS[paper]))
    style = f"<style>@page {{ size: {size}; }}</style></head>"
    source.write_text(page.replace("</head>", style, 1), encoding="utf-8")
    _, console = run(browser, folder, f"--print-to-pdf={target}", source.as_uri())
    data = target.read_bytes().decode("latin-1")
    boxes = re.findall(r"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", data)
    return [(float(w) / 72 * 25.4, float(h) / 72 * 25.4) for w, h in boxes], "\n".join(console)


_PHONE = """<!doctype html><html><body style="margin:0">
<iframe id="f" style="width:360px;height:740px;border:0" srcdoc="{page}"></iframe>
<script>
const f = document.getElementById("f");
f.onload = () => {{
  const d = f.contentDocument, w = f.contentWindow;
  const of = (q) => d.querySelector(q).getBoundingClientRect();
  const texts = [...d.body.querySelectorAll("*")].filter((e) => !e.closest("svg")
    && [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()));
  const sizes = texts.map((e) => parseFloat(w.getComputedStyle(e).fontSize));
  const wide = [...d.querySelectorAll("svg")].map((e) => e.getBoundingClientRect().width);
  document.title = [of(".keep").bottom, of(".steps").top, of(".steps").bottom,
    Math.min(...sizes), Math.min(...wide)].join(" ");
}};
</script></body></html>"""


def on_a_phone(browser: str, folder: Path, page: str) -> tuple[float, float, float, float, float]:
    """px of a page on a phone: where the keep-out ends, where the steps begin and end, the smallest print
    outside drawings, the narrowest drawing."""
    target = folder / "phone.html"
    target.write_text(_PHONE.format(page=html.escape(page)), encoding="utf-8")
    result, _ = run(browser, folder, "--hide-scrollbars", "--dump-dom", target.as_uri())
    title = re.search(r"<title>(.*?)</title>", result)
    assert title is not None, "the page did not load"
    keep, begin, end, least, wide = map(float, title[1].split())
    return keep, begin, end, least, wide
