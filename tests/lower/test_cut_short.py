"""A search for ways down that is cut short states what none of them betters, and never too little."""

import json
from pathlib import Path

import pytest

from optimiser import cli, read_site
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import LowerQuestion

EXAMPLES = Path(__file__).parents[2] / "examples"


def test_no_way_down_betters_what_is_stated(capsys: pytest.CaptureFixture[str]) -> None:
    stated = 0
    for path in sorted(EXAMPLES.glob("*.toml")):
        site = read_site(path)
        cut = lower(site, LowerQuestion(time_limit=0.0))
        if cut.unsearched is None:
            continue
        stated += 1
        assert not cut.proven
        assert cut.unsearched.margin is not None
        assert cut.unsearched.rope is not None
        whole = lower(site)
        assert whole.unsearched is None
        for setup in whole:
            assert setup.margin <= cut.unsearched.margin * (1.0 + 1e-6)
            assert setup.rope_needed >= cut.unsearched.rope - 1e-6
    assert stated >= 3

    cli.main(["lower", str(EXAMPLES / "workboat.toml"), "--time-limit", "1e-9", "--format", "json"])
    assert json.loads(capsys.readouterr().out)["could_reach"]["margin"] > 0.0
