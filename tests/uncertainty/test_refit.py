"""A setup on a changed site: the same where nothing has changed, and a reason where it no longer goes."""

from pathlib import Path

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.stages.plan import plan_stages
from optimiser.proof.loads.haul import verify
from optimiser.rig.refit import Stopped, reevaluate, refit
from optimiser.site.model import Site
from optimiser.site.reading import read_document, read_site, site_from_document
from tests.uncertainty import straight
from tests.uncertainty.sites import demonstration, ranked

EXAMPLES = Path(__file__).parents[2] / "examples"
DOCUMENT = read_document(demonstration())


def changed(key: str, value: str) -> Site:
    return site_from_document(DOCUMENT, "worst", {key: value})


def test_nothing_changed() -> None:
    """Every figure is the search's own."""
    site, setups = ranked(demonstration())
    for setup in setups:
        again = reevaluate(site, setup)
        assert again is not None
        assert again.components == setup.components
        assert again.profile == setup.profile
        assert again.gear == setup.gear
        assert (again.margin, again.rope_needed, again.resets) == (
            setup.margin, setup.rope_needed, setup.resets,
        )  # fmt: skip


def test_twice_the_weight_is_half_the_margin() -> None:
    """All forces are proportional to the weight."""
    _, setups = ranked(demonstration())
    light, heavy = (reevaluate(changed("load.weight", w), setups[0]) for w in ("200 kg", "400 kg"))

    assert light is not None
    assert heavy is not None
    assert heavy.margin == pytest.approx(light.margin / 2)
    verify(changed("load.weight", "400 kg"), heavy)


@pytest.mark.parametrize(
    ("key", "value", "why"),
    [
        ("gear[long rope].length", "40 m", "long rope is too short"),
        ("tree[young ash].diameter", "110 cm", "too short to go round"),
        ("path.leg[2].resistance", "9", "cannot move the load|lifts|slews"),
        ("tree[young ash].strap_lowest", "1.1 m", "no strap may go"),
    ],
)
def test_why_it_stops(key: str, value: str, why: str) -> None:
    """The reason is reported, and there is no setup."""
    _, setups = ranked(demonstration())
    on_ash = next(s for s in setups if any(p.name == "young ash" for p in s.walk))
    found = refit(changed(key, value), on_ash)
    if "cannot" in why and not isinstance(found, Stopped):
        assert found.margin < 1.0
        return

    assert isinstance(found, Stopped)
    assert any(part in found.why for part in why.split("|"))
    assert reevaluate(changed(key, value), on_ash) is None


def test_downhill_by_itself_is_no_haul() -> None:
    """A smoother ground on a falling leg lets the load run, and so does one that may be smoother."""
    site = read_site(straight.text(slope="-3", resistance='"0.2"'))
    found = straight.setup(site, straight.STRAIGHT)
    for resistance in ("0.03", "0.03..0.2"):
        smooth = read_site(straight.text(slope="-3", resistance=f'"{resistance}"'))
        stopped = refit(smooth, found)

        assert isinstance(stopped, Stopped)
        assert "runs downhill" in stopped.why
        assert not rank(smooth, RankQuestion(explain=False)).setups


def test_a_stage_between_bends_is_the_same_on_its_own_site() -> None:
    """At a bend two stations stand, one of each leg: only its own leg's is the stage's."""
    site = read_site(EXAMPLES / "bend.toml")
    plan = plan_stages(site)

    assert len(plan) == 3
    for stage in plan:
        again = reevaluate(site, stage)
        assert again is not None
        assert again.margin == pytest.approx(stage.margin, rel=1e-9)
        assert again.rope_needed == pytest.approx(stage.rope_needed, rel=1e-9)
