"""One reeving with its second line: what the ranking gives it, or what keeps there from being one, and a cure
that does while a little less does not."""

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from catalogue.gear import Rope
from optimiser import cli
from optimiser.jobs.question import RankQuestion, WhyQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.why.why import Explained, explain_reeving
from optimiser.site.model import Site
from tests.holding.ground import DOWN, UP, path

STRAIGHT = "load > tractor"
HELD = WhyQuestion(hold=True)
EXAMPLE = Path(__file__).parents[2] / "examples" / "side-tree.toml"


def bank(spare: float | None, *slopes: float) -> Site:
    """A path with one long rope, and one of a length (None: none)."""
    site = path(*(slopes or (UP,)))
    gear = tuple(replace(p, length=spare) if p.name == "rope 2" else p for p in site.gear)
    return replace(
        site, gear=tuple(p for p in gear if p.length is not None or not _is_rope(p.gear))
    )


def _is_rope(gear: object) -> bool:
    return isinstance(gear, Rope)


def far(site: Site) -> Site:
    """The site with the tractor further off."""
    (puller,) = site.pullers
    x, y, z = puller.position
    return replace(site, pullers=(replace(puller, position=(x + 15.0, y, z)),))


def why(site: Site) -> Explained:
    found = explain_reeving(site, STRAIGHT, HELD)
    assert isinstance(found, Explained)
    return found


@pytest.mark.parametrize("slopes", [(UP,), (DOWN, UP)])
def test_it_gets_the_lines_that_the_ranking_gives_it(slopes: tuple[float, ...]) -> None:
    site = bank(60.0, *slopes)
    found = why(site)
    ranked = {s.reeving: s for s in rank(site, RankQuestion(hold=True, top=50, explain=False))}
    assert found.works
    assert found.setup is not None
    assert found.setup.holding == ranked[STRAIGHT].holding
    assert [line.way for line in found.setup.holding] == (
        ["back"] if len(slopes) == 1 else ["on", "back"]
    )
    kept = [check for check in found.checks if check.name == "kept in hand"]
    assert [check.value for check in kept] == [line.hand for line in found.setup.holding]


def test_so_much_more_rope_would_hold_it() -> None:
    """The haul needs more than the line, so that the short rope cannot take its place."""
    found = why(far(bank(9.0)))
    assert not found.works
    (bare,) = found.not_held
    more = next(m for cure in bare.cures if (m := re.search(r"([\d.]+) m more rope", cure)))
    length = 9.0 + float(more[1])
    assert why(far(bank(length))).works
    assert not why(far(bank(length * 0.98))).works


def test_so_long_a_second_rope_would_hold_it() -> None:
    """The haul takes the only rope: how long another one has to be is what the line takes."""
    found = why(bank(None))
    (bare,) = found.not_held
    assert bare.reasons == ("the haul leaves no rope to hold it with",)
    (cure,) = bare.cures
    length = float(re.findall(r"([\d.]+) m of it", cure)[0])
    assert why(bank(length)).works
    assert not why(bank(length - 0.02)).works
    (failed,) = (check for check in found.failed)
    assert failed.change is not None
    assert failed.change.text == cure


def test_the_command_in_every_form(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["why", str(EXAMPLE), "ash@0.9 m > load > ash@0.6 m > small tractor", "--hold"]
    assert cli.main(words) == 0
    assert "Second line on the load" in capsys.readouterr().out
    assert cli.main([*words, "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["works"] is True
    assert data["not_held"] == []
    assert data["setup"]["holding"]
    assert cli.main(words[:-1]) == 3  # by itself it slews the load
