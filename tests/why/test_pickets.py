"""Where an anchor of a reeving is too weak, `why` says which pickets would do in its place."""

from pathlib import Path

from optimiser import explain_reeving, read_site
from optimiser.jobs.proposed import pickets, with_pickets
from optimiser.jobs.why.why import Explained

MEADOW = (Path(__file__).parents[2] / "examples" / "meadow.toml").read_text()
BIRCH = """
[[tree]]
name = "thin birch"
at = ["13 m", "0.5 m", "2.2 m"]
diameter = "16 cm"
species = "birch-yellow"
strap_lowest = "0.3 m"
strap_highest = "0.5 m"

"""
SITE = MEADOW[: MEADOW.index("[[made]]")] + BIRCH + MEADOW[MEADOW.index("[[puller]]") :]


def test_pickets_are_proposed_in_place_of_an_anchor_that_is_too_weak_and_do() -> None:
    site = read_site(SITE)
    found = explain_reeving(site, "load > thin birch@0.3 m > load > thin birch@0.3 m > five of us")
    assert isinstance(found, Explained)
    (weak,) = [check for check in found.failed if "thin birch" in check.where]
    assert weak.change is not None
    assert "in place of thin birch drive 2 wooden pickets as a 1-1 holdfast" in weak.change.text

    (nearest,) = [
        some for some in pickets(site, "1-1") if ", ".join(f'"{x}"' for x in some.spot) in weak.change.text
    ]  # fmt: skip
    other = with_pickets(site, [nearest])
    name = nearest.name
    again = explain_reeving(other, f"load > {name}@0.1 m > load > {name}@0.1 m > five of us")
    assert isinstance(again, Explained)
    assert again.works
