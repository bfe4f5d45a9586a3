"""The two examples with a crest: where a low strap over a log beats a high one in the air, and where not."""

from dataclasses import replace
from pathlib import Path

import pytest

from optimiser import rank, read_site
from optimiser.jobs.question import RankQuestion
from optimiser.rig.setup import Role, Setup
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Site

EXAMPLES = Path(__file__).parents[2] / "examples"
LOW, HIGH = 0.4, 2.4


def straps(setup: Setup) -> set[float]:
    """Heights of the setup's straps, m."""
    return {place.height for place in setup.walk if place.kind is PlaceKind.ANCHOR}


def only(site: Site, height: float) -> Setup:
    """The best setup with every strap at that height."""
    return rank(strapped(site, height), RankQuestion(top=1))[0]


def strapped(site: Site, height: float) -> Site:
    """The site with straps at that height only."""
    anchors = tuple(replace(a, heights=(height,)) for a in site.anchors)  # type: ignore[type-var]
    return replace(site, anchors=anchors, origin=None)


@pytest.mark.parametrize(("name", "best"), [("crest-log", LOW), ("crest-air", HIGH)])
def test_the_best_strap_is_low_over_a_log_or_high_in_the_air(name: str, best: float) -> None:
    site = read_site(str(EXAMPLES / f"{name}.toml"))
    first = rank(site, RankQuestion(top=1))[0]
    low, high = only(site, LOW), only(site, HIGH)
    assert low.contacts
    assert not high.contacts
    assert straps(first) == {best}
    assert first.margin == pytest.approx((low if best == LOW else high).margin)
    assert first.margin > (high if best == LOW else low).margin + 0.3
    laid = [h for h in first.gear if h.role is Role.PROTECTOR]
    assert bool(laid) == bool(first.contacts) == (best == LOW)


def test_without_its_log_the_line_is_blocked_at_the_crest() -> None:
    site = read_site(str(EXAMPLES / "crest-log.toml"))
    bare = replace(site, gear=tuple(p for p in site.gear if "log" not in p.name))
    ranking = rank(strapped(bare, LOW), RankQuestion(top=1))
    assert not ranking.setups
    assert ranking.proven
