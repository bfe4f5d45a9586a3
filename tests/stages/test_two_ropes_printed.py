"""A plan with tackle on tackle in the middle: a short rope, two people, and a steep end."""

from functools import cache
from pathlib import Path

from optimiser.jobs.question import StagesQuestion
from optimiser.jobs.stages.plan import plan_stages
from optimiser.jobs.stages.results import Plan
from optimiser.jobs.stages.words import between
from optimiser.site.model import Site
from optimiser.site.reading import read_site
from optimiser.telling.stages import listing, plan_json, proof, report
from shared.report import printed
from tests.long import long
from tests.piped import replaced

EXAMPLE = Path(__file__).parents[2] / "examples" / "short-rope.toml"
SECOND = """[[gear]]
id = "polyester-12"
name = "24 m rope"
length = "24 m"
ends = ["bare", "bare"]
condition = "good"

"""


@cache
def planned() -> tuple[Site, Plan]:
    """The example with one person less, a second rope, more blocks and a friction hitch."""
    text = EXAMPLE.read_text(encoding="utf-8")
    gear = text.index("[[gear]]")
    text = replaced(
        text[:gear] + SECOND + text[gear:],
        ('name = "three of us"\ncount = 3', 'name = "two of us"\ncount = 2'),
        ('knots = ["bowline"]', 'knots = ["bowline", "friction-hitch"]'),
        ('name = "roller block"\ncount = 3', 'name = "roller block"\ncount = 5'),
        ('id = "shackle-11"\ncount = 6', 'id = "shackle-11"\ncount = 8'),
    )
    site = read_site(text)
    return site, plan_stages(site, StagesQuestion(by=("resets",)))


@long
def test_two_people_manage_with_the_second_rope() -> None:
    site, plan = planned()

    assert plan.proven
    assert plan.compounds
    assert [setup.second is not None for setup in plan] == [False, True, False]
    assert not plan_stages(site, StagesQuestion(compound=False, explain=False)).stages
    assert "of one rope or of tackle on tackle, under the rules" in proof(plan, site)


@long
def test_what_changes_hands() -> None:
    """The grip is tied and taken off; of each rope both ends are known apart."""
    _, plan = planned()
    here, away = (between(plan, i, "metric") for i in (0, 1))
    hitch = "(wrapped friction hitch of thinner cord on the rope)"

    assert f"- Add grip on 24 m rope at its hauling part {hitch}." in here
    assert "- Add standing end of 24 m rope at pear" in here
    assert "- Move standing end of 30 m rope from the load (bowline) to plum" in here
    assert "hauling end of 30 m rope at two of us (held by hand)" in here
    assert "roller block at the grip on the main rope" in here
    assert "Then run main rope (24 m rope): standing end made fast to pear" in here
    assert f"- Take off grip on 24 m rope at its hauling part {hitch}." in away


def test_how_far_the_rig_could_work() -> None:
    _, plan = planned()
    middle = plan.reaches[1]

    assert middle.from_m < plan[1].from_m
    assert middle.to_m > plan[1].to_m
    assert "24 m rope is too short" in middle.before
    assert middle.beyond.startswith("the grip comes too near to the blocks of the second rope")


def test_grip_moves_are_counted() -> None:
    site, plan = planned()
    rows = listing(plan).rows

    assert [row["grip_moved"] for row in rows] == [0, len(plan[1].moved), 0, len(plan[1].moved)]
    assert rows[0]["grip_moves"] is None
    assert "the grip on the main rope" in rows[1]["grip_moves"]
    assert plan_json(plan)["stages"][1]["grip_moved_at_m"] == list(plan[1].moved)
    assert "held by the second rope's tackle" in printed(report(site, plan), "table")
