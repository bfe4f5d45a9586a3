"""`rank` and `show` on answers made by hand: what is printed, and with which exit code."""

import csv
import io
import json
from dataclasses import replace
from typing import Any

import pytest

from optimiser import cli
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.cautions.hauling import cautions
from optimiser.rig.setup import Ranking
from optimiser.site.reading import read_site
from tests.piped import printed
from tests.words.hand_made import NOTHING, RANKING, SETUP, SITE

FOUND = replace(
    RANKING, setups=(replace(SETUP, cautions=cautions(SITE, SETUP)), *RANKING.setups[1:])
)


class Bench:
    """Runs the commands on an answer that is set beforehand."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self._capsys = capsys
        self.answer: Ranking = FOUND
        self.question = RankQuestion()
        self.site: tuple[Any, ...] = ()
        for name in ("rank", "show"):
            monkeypatch.setattr(f"optimiser.commands.{name}.load_site", self._load)
            monkeypatch.setattr(f"optimiser.commands.{name}.find_setups", self._find)

    def _load(self, *words: Any) -> Any:
        self.site = words
        return SITE

    def _find(self, _site: Any, question: RankQuestion, *, only: int | None = None) -> Ranking:
        self.question = question
        return self.answer

    def run(self, *arguments: str) -> tuple[int, str]:
        code = cli.main(list(arguments))
        return code, self._capsys.readouterr().out


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Bench:
    return Bench(monkeypatch, capsys)


def test_rank_lists_the_setups_and_what_is_proven(bench: Bench) -> None:
    code, found = bench.run("rank")

    assert code == 0
    assert "Standing end made fast to the load; round a block on ash (strap 0.40 m up);" in found
    assert "43.22 m  50.00 m" in found
    assert "Proven: no better setup exists among 1,234 walks" in found
    assert "made fast to the load (setup 1)" in found
    assert "never lifting" not in found
    assert "Never lift people" in found
    assert max(len(line) for line in found.split("\n")) <= 100


@pytest.mark.parametrize(
    ("word", "compound"), [("--compound", True), ("--no-compound", False), ("--top=3", None)]
)
def test_rank_requests_tackle_on_tackle(bench: Bench, word: str, compound: bool | None) -> None:
    bench.run("rank", word)

    assert bench.question.compound is compound


def test_rank_requests_holding_lines(bench: Bench) -> None:
    bench.run("rank", "--hold")

    assert bench.question.hold is True


def test_rank_hands_its_options_on(bench: Bench) -> None:
    words = "rank my.toml --top 3 --all --by resets,rope --time-limit 2.5 --guesses best"
    code, _ = bench.run(*words.split(), "--without-rule", "no-backward-part")

    assert code == 0
    assert bench.site == ("my.toml", "best")
    assert not bench.question.hold
    assert bench.question == RankQuestion(
        top=3,
        by=("resets", "rope"),
        everything=True,
        without=("no-backward-part",),
        compound=None,
        time_limit=2.5,
    )


def test_rank_not_finished_states_not_proven(bench: Bench) -> None:
    bench.answer = replace(FOUND, proven=False)
    _, found = bench.run("rank", "--time-limit", "2")
    _, unlimited = bench.run("rank")

    assert "NOT proven (time limit)" in found
    assert "Proven:" not in found
    assert "NOT proven (too much to look at all of it)" in unlimited
    assert "time limit" not in unlimited


def test_rank_shouts_unrated(bench: Bench) -> None:
    bench.answer = replace(FOUND, setups=(replace(SETUP, unrated=("old hook",)),))
    _, found = bench.run("rank")

    assert "UNRATED, so unproven: old hook" in found


def test_rank_as_json_is_one_object_with_setups(bench: Bench) -> None:
    code, found = bench.run("rank", "--format", "json")
    answer = json.loads(found)

    assert code == 0
    assert [setup["rank"] for setup in answer["setups"]] == [1, 2]
    assert answer["setups"][0]["pull_N"] == SETUP.pull
    assert answer["proven"] is True


def test_rank_as_csv_is_one_clean_table(bench: Bench) -> None:
    _, found = bench.run("rank", "--format", "csv")
    head, *rows = csv.reader(io.StringIO(found))

    assert head[:6] == [
        "rank",
        "parts",
        "ideal_advantage",
        "actual_advantage",
        "pull_N",
        "pull_at_m",
    ]
    assert len(rows) == 2


def test_rank_as_markdown(bench: Bench) -> None:
    _, found = bench.run("rank", "--format", "markdown")

    assert "\n|   rank |" in found


@pytest.mark.parametrize("command", ["rank", "show"])
def test_nothing_feasible_reports_the_nearest_misses_and_ends_with_3(
    bench: Bench, command: str
) -> None:
    bench.answer = NOTHING
    code, found = bench.run(command)

    assert code == 3
    assert found.startswith("NO SETUP WORKS for trailer up the bank.")
    assert "the winch pulls 8.00 kN, it would take 9.60 kN" in found
    assert "a puller of 9.60 kN" in found


def test_nothing_feasible_as_json(bench: Bench) -> None:
    bench.answer = NOTHING
    code, found = bench.run("rank", "--format", "json")
    answer = json.loads(found)

    assert code == 3
    assert answer["setups"] == []
    assert answer["misses"][0]["reeving"] == ["load", "winch"]
    assert answer["misses"][0]["short_by"] == 1.2


def test_show_spells_a_setup_out(bench: Bench) -> None:
    code, found = bench.run("show")

    assert code == 0
    for part in (
        "Setup 1\n=======",
        "back by itself when the line goes slack",
        "end of long rope: bowline",
        "breaking strength 25.00 kN [ci-1308]; design factor 5 [ci-1401]",
        "reset 2 at 6.90 m",
        "Proven: no better setup exists",
    ):
        assert part in found


@pytest.mark.parametrize(
    ("words", "path", "rank"),
    [
        ((), None, 1),
        (("2",), None, 2),
        (("my.toml",), "my.toml", 1),
        (("my.toml", "2"), "my.toml", 2),
        (("./7",), "./7", 1),
        (("-", "2"), "-", 2),
    ],
)
def test_show_takes_a_site_and_a_number_or_either(
    bench: Bench, words: tuple[str, ...], path: str | None, rank: int
) -> None:
    code, found = bench.run("show", *words, "--format", "json")

    assert code == 0
    assert bench.site[0] == path
    assert json.loads(found)["rank"] == rank


def test_show_as_json_has_everything(bench: Bench) -> None:
    _, found = bench.run("show", "1", "--format", "json")
    answer = json.loads(found)

    assert answer["components"][0]["name"] == "block at ash"
    assert len(answer["path"]) == len(SETUP.profile)
    assert {"runs_back", "inspect"} <= {caution["key"] for caution in answer["cautions"]}


def test_show_of_a_setup_that_is_not_there(bench: Bench) -> None:
    code, found = bench.run("show", "9")

    assert code == 2
    assert found == ""


def test_rules_of_the_search_are_listed(bench: Bench) -> None:
    code, found = bench.run("rank", "--rules", "--format", "json")

    assert code == 0
    assert "no-backward-part" in {rule["name"] for rule in json.loads(found)}


WINCHED = """
title = "Roller out of the silt"

[path]
start = ["0 m", "0 m", "0 m"]
[[path.leg]]
to = ["6 m", "0 m", "0.9 m"]
resistance = 0.2
breakout = 1.5

[load]
name = "roller"
weight = "200 kg"
rests_on = "wheels"
wheel_radius = "0.3 m"
length = "1 m"
overhang = "0.5 m"
[[load.hitch]]
name = "bar"
ahead = "0.5 m"
left = "0 m"
height = "0.4 m"
rating = "15 kN"
eye = "40 mm"

[[tree]]
name = "oak"
at = ["11 m", "0 m", "1 m"]
diameter = "0.5 m"
species = "oak-european"
strap_heights = ["0.4 m"]

[[puller]]
kind = "hand winch"
name = "hoist"
id = "lever-hoist-750"
anchor = "oak"
height = "0.4 m"

[[gear]]
id = "polyester-14"
length = "20 m"
ends = ["eye-splice-thimble", "eye-splice-thimble"]
condition = "good"
[[gear]]
id = "shackle-13"
count = 3
condition = "good"
[[gear]]
id = "sling-60-2m"
condition = "good"
"""


def test_show_states_where_break_out_is_counted_and_what_the_rope_is_measured_to() -> None:
    code, out = printed(WINCHED, "show", "1")

    assert code == 0, out
    text = " ".join(out.split())
    assert "The rope is measured to oak; the length of hoist itself is not taken off" in text
    assert "Break-out is counted with the load at 0.00 m to 1.00 m of the path only." in text
    assert "Break-out" not in printed(WINCHED.replace("breakout = 1.5", ""), "show", "1")[1]


@pytest.mark.parametrize("number", [1, 3])
def test_show_works_out_the_one_setup_as_the_list_has_it(number: int) -> None:
    """The one of that number, with its margins at both ends of the ranges; the others are only counted."""
    site = read_site()
    question = RankQuestion(top=10, explain=False)
    whole, one = rank(site, question), rank(site, question, only=number)

    assert one.many == len(whole) > number
    assert one.setups == (whole[number - 1],)
    assert (one.status, one.space, one.looked_at) == (whole.status, whole.space, whole.looked_at)
    beyond = rank(site, question, only=99)
    assert (beyond.setups, beyond.many, beyond.status) == ((), len(whole), whole.status)
