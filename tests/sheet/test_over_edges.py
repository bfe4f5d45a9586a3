"""The sheet of a rope that runs over an edge: where it is drawn, what its steps and lists say."""

from math import floor
from pathlib import Path

import numpy as np
import pytest

from catalogue.book import load_catalogue
from optimiser import rank, read_site
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import LowerQuestion, RankQuestion
from optimiser.sheet.page import Page, lowering_page, page
from optimiser.sheet.shown.lowered import Lowered
from optimiser.sheet.shown.rigged import Rigged

SITE = read_site(str(Path(__file__).parents[2] / "examples" / "crest-log.toml"))
HAUL = Rigged(SITE, rank(SITE, RankQuestion(top=1))[0])
DOWN = Lowered(SITE, lower(SITE, LowerQuestion(top=1))[0])
CREST = np.array(SITE.legs[0].end)
ALONG = np.subtract(SITE.legs[0].end, SITE.legs[0].start)[:2]
LOG = load_catalogue().protectors["log-peeled-20"]


def at(printed: Page, text: str) -> int:
    """The number of the first step with a text."""
    return next(i for i, step in enumerate(printed.steps) if text in step)


@pytest.mark.parametrize("drawn", [HAUL, DOWN], ids=["haul", "way down"])
def test_the_rope_is_drawn_over_the_log_and_nowhere_through_the_ground(
    drawn: Rigged | Lowered,
) -> None:
    """A bend lies over the crest at the height of the log, and the rope turns down there: it hangs on it."""
    (rope,) = drawn.ropes
    assert rope.bent
    for station, part in rope.bent:
        a, bend, b = rope.course(station, part)
        # Where the line crosses the edge, which leads square across the path.
        assert (bend - CREST)[:2] @ ALONG == pytest.approx(0.0, abs=1e-9)
        assert bend[2] == pytest.approx(CREST[2] + LOG.clearance)
        share = (bend[0] - a[0]) / (b[0] - a[0])
        assert bend[:2] == pytest.approx(a[:2] + share * (b - a)[:2])
        assert bend[2] > a[2] + share * (b[2] - a[2])
        before, after = bend - a, b - bend
        assert np.arccos(before @ after / np.linalg.norm(before) / np.linalg.norm(after)) <= max(
            c.angle for c in drawn.setup.contacts
        ) * (1 + 1e-9)
    straight = next(
        (s, k)
        for s in range(len(drawn.at))
        for k in range(len(rope.walk) - 1)
        if (s, k) not in rope.bent
    )
    assert len(rope.course(*straight)) == 2


def test_a_haul_lays_the_log_before_the_rope_and_stops_before_it() -> None:
    printed = page(HAUL)
    assert at(printed, "Lay a peeled log") < at(printed, "lead the rope over what lies on the edge")
    assert at(printed, "Haul slowly") < at(printed, "its front comes to what lies on the edge")
    (lying,) = HAUL.edges
    stop = lying.from_m - LOG.covers / 2 - SITE.load.overhang
    stop = floor(stop * 100.0) / 100.0  # never later
    assert f"Stop with the load at {stop:.2f} m" in printed.steps[at(printed, "its front comes")]


def test_a_way_down_lays_it_once_the_load_has_passed() -> None:
    printed = lowering_page(DOWN)
    laid = at(printed, "Lay a peeled log")
    assert laid > at(printed, "lead the rope")
    assert "past the edge, and chock it" in printed.steps[laid]
    assert "lift the rope onto it" in printed.steps[laid]


@pytest.mark.parametrize("printed", [page(HAUL), lowering_page(DOWN)], ids=["haul", "way down"])
def test_lists_have_the_log_its_stakes_and_when_to_stop(printed: Page) -> None:
    items = {item.name: item for item in printed.gear}
    assert "edge" in items["log-peeled-20"].where
    assert "edge" in items["stakes, a mallet and cord"].where
    assert any("what lies on an edge moves" in text for text in printed.stops)
    assert any("what lies there can jump out" in text for text in printed.keep_out)
    assert any(name == "Over the edge" for name, _ in printed.facts)
