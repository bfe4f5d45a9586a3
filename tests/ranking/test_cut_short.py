"""What an answer that was cut short says could still come is never too little."""

import json

import pytest

from optimiser import cli
from optimiser.rig.status import Unsearched
from optimiser.telling.words import could_reach
from tests.ranking.cut_short import sites, wrong


def test_no_better_setup_exists_than_what_may_still_come() -> None:
    bounded = 0
    for site, question in sites(6):
        some, _, faults = wrong(site, question)
        bounded += some
        assert not faults
    assert bounded >= 10


def test_it_is_printed_where_it_is_known(capsys: pytest.CaptureFixture[str]) -> None:
    """A demonstration with so little time that nothing is looked at."""
    assert cli.main(["rank", "--time-limit", "1e-9", "--whole-ropes"]) == 3
    out = " ".join(capsys.readouterr().out.split())
    assert "What may still be found reaches a margin of " in out

    cli.main(["rank", "--time-limit", "1e-9", "--whole-ropes", "--format", "json"])
    could = json.loads(capsys.readouterr().out)["could_reach"]
    assert could["margin"] >= 1.0
    assert could["rope"] > 0.0

    cli.main(["rank", "--format", "json"])
    assert json.loads(capsys.readouterr().out)["could_reach"] is None


def test_in_words() -> None:
    known = Unsearched(margin=1.8912, resets=1, rope=41.239)
    assert could_reach(known, "come into the list") == (
        " What may still come into the list reaches a margin of 1.90 at most and needs 1 reset and "
        "41.23 m of rope at least."
    )
    assert could_reach(Unsearched(first_stands=True), "be found") == ""
    assert could_reach(None, "be found") == ""
