"""A reeving is put to every stand of the puller; what no stand cures is cured by something else than a
stand."""

from optimiser import explain_reeving, read_site
from optimiser.jobs.why.why import Explained
from optimiser.site.roaming.stands import pinned, puller_of, stands
from tests.tracks.lane import LANE, site_text


def _why(reeving: str, where: str = LANE, weight: str = "600 kg") -> Explained:
    found = explain_reeving(read_site(site_text(where, weight)), reeving)
    assert isinstance(found, Explained)
    return found


def test_a_reeving_works_where_some_stand_makes_it_work() -> None:
    found = _why("maple@1.2 m > load > lime@0.5 m > van")
    assert found.works
    assert found.standing is not None
    assert found.standing.refined


def test_no_cure_has_the_van_leave_its_lane() -> None:
    found = _why("lime@1.2 m > load > lime@0.5 m > van", weight="1500 kg")
    assert not found.works
    cures = [check.change.text for check in found.failed if check.change is not None]
    assert cures
    assert not any("stand van" in text or "turn the run" in text for text in cures)


def test_a_rig_finds_its_stand_again_on_a_changed_site() -> None:
    here, heavier = (read_site(site_text(LANE, weight)) for weight in ("600 kg", "700 kg"))
    third = stands(here, here.pullers[0])[2]
    again = puller_of(heavier, third)
    assert (again.position, again.heading, again.run) == (third.position, third.heading, third.run)
    (only,) = pinned(here, third).pullers
    assert stands(here, only) == (only,)
