"""Second lines on anchors that have to be made: each is listed like the haul's, and faces one line."""

from dataclasses import replace
from math import radians

import pytest

from optimiser.jobs.hold.find import find
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.mechanics.values import AnchorStrength, Vec
from optimiser.proof.loads.haul import verify
from optimiser.proof.notes import VerificationError
from optimiser.rig.setup import Setup, Way
from optimiser.site.anchors import RatedAnchor
from optimiser.site.model import Anchor, AnchorKind, Directions, Making, Site
from tests.holding.ground import DOWN, UP, path, tree


def log(name: str, at: Vec) -> Anchor:
    """A log that two people would bury there."""
    return RatedAnchor(
        name=name, position=at, kind=AnchorKind.BURIED_LOG, heights=(0.1,), girth=None, eye=0.05,
        radius=0.1, top=0.3,
        strength=AnchorStrength(capacity=30_000.0, unit="N", factors=(), governs="made up"),
        directions=Directions(up=radians(25.0), aside=radians(60.0)),
        making=Making(pieces=((1, "log"),), minutes=120.0, steps=("dig a trench",)),
        uses=(("log", 1),),
    )  # fmt: skip


def with_logs(site: Site, *anchors: Anchor, logs: int) -> Site:
    return replace(site, anchors=anchors, stock=(("log", logs),))


def only(site: Site) -> Setup | None:
    """The first setup by the order; None where nothing works."""
    ranking = rank(site, RankQuestion(hold=True, explain=False, top=1))
    assert ranking.proven
    return ranking.setups[0] if ranking.setups else None


def bank(logs: int = 1) -> Site:
    """The trunk for the turns stands far to the side of a bank: a line straight from there would slew the
    load, so it is led over a log beyond the top."""
    return with_logs(
        path(UP), tree("side", 2.0, 9.0, 0.5), log("log", (13.0, -0.8, 1.9)), logs=logs
    )


def test_a_log_for_the_holding_line_is_made_first() -> None:
    setup = only(bank())
    assert setup is not None
    (line,) = setup.holding

    assert "log" not in {place.name for place in setup.walk}
    assert [place.name for place in line.walk] == ["", "log", "side"]
    (make,) = setup.made
    assert make.anchor == "log"
    assert make.rise <= radians(25.0)
    assert any(c.key == "made_anchor" and "log" in c.text for c in setup.cautions)


def test_without_a_log_nothing_holds_it() -> None:
    assert only(bank(logs=0)) is None


def dip(logs: int) -> Site:
    """Down and up again: one line holds on the way down, from behind, one on the way up, from ahead."""
    return with_logs(
        path(DOWN, UP),
        tree("left", 0.0, 9.0, 0.5), tree("right", 14.0, 9.0, 0.5),
        log("log behind", (-6.0, 0.4, 0.5)), log("log ahead", (20.5, -0.8, 0.0)),
        logs=logs,
    )  # fmt: skip


def test_two_lines_take_a_log_each() -> None:
    """One log serves one of them: what is buried for the way down is not dug out for the way up."""
    setup = only(dip(2))
    assert setup is not None
    assert [line.way for line in setup.holding] == [Way.ON, Way.BACK]
    assert {one.anchor for one in setup.made} == {"log behind", "log ahead"}
    assert only(dip(1)) is None

    few = dip(1)
    found = find(few, replace(setup, holding=(), made=()))
    assert [stretch.way for stretch in found.missing] == [Way.BACK]
    with pytest.raises(VerificationError, match="2 of log where 1 are there"):
        verify(few, setup)
