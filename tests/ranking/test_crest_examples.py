"""The two examples with a crest: where a low strap over a log beats a high one in the air, and where not."""

from dataclasses import replace
from math import ceil, hypot
from pathlib import Path
from typing import Any

import pytest

from optimiser import rank, read_site
from optimiser.jobs.question import RankQuestion
from optimiser.rig.setup import Role, Setup
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Site
from tests.piped import answered

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


DOUBLED = ["slim oak@0.4 m", "load", "slim oak@0.4 m", "farm car"]


@pytest.mark.parametrize(("length", "logs"), [("52 cm", 1), ("48 cm", 2), ("25 cm", 3)])
def test_logs_lie_side_by_side_where_one_does_not_reach(length: str, logs: int) -> None:
    """In plan both parts run straight from the eye, 0.8 m ahead of a load that climbs 7.3 m on 7 m of
    plan, to the oak at (16, 0.6). Where they cross the crest (x = 7) they lie to its left by similar
    triangles; what lies there reaches 0.3 m further in all (choice)."""
    setup = _doubled(length, logs)
    assert setup is not None
    touches = setup["contacts"]
    plan = 7.0 / hypot(7.0, 2.1)
    eyes = [(touches[0][end] + 0.8) * plan for end in ("load_from_m", "load_to_m")]
    first, last = (0.6 * (7.0 - eye) / (16.0 - eye) for eye in eyes)

    for touch in touches:
        assert touch["left_to_m"] == pytest.approx(first, rel=0.01)
        assert touch["left_from_m"] == pytest.approx(last, abs=0.01)
    assert logs == ceil((first - last + 0.3) / (0.01 * float(length.split()[0])))
    assert sum(piece["role"] == "edge protector" for piece in setup["gear"]) == logs
    assert _doubled(length, logs - 1) is None


def _doubled(length: str, count: int) -> dict[str, Any] | None:
    """The doubled line to the oak over so many logs of a length; None where it is not listed."""
    text = (EXAMPLES / "crest-log.toml").read_text(encoding="utf-8")
    log = 'id = "log-peeled-20"\ncount = 2'
    assert log in text
    some = f'id = "log-peeled-20"\nlength = "{length}"\ncount = {count}'
    gear = f"[[gear]]\n{some}" if count else ""
    site = text.replace(f"[[gear]]\n{log}", gear)
    setups = answered(site, "rank", "--all", "--top", "50", "--whole-ropes")[1]["setups"]
    return next((s for s in setups if s["reeving"] == DOUBLED and s["contacts"]), None)
