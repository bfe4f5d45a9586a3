"""The commands for real, on the demonstration site."""

import csv
import io
import json
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from optimiser import cli, read_site

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def ranked() -> Any:
    """What `bankhaul rank --format json` says of the demonstration site."""
    done = subprocess.run(
        [sys.executable, "-m", "optimiser", "rank", "--top", "3", "--format", "json"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=600,
    )
    assert done.returncode == 0, done.stderr
    assert all(
        line.endswith(" s") for line in done.stderr.splitlines()
    )  # how long it took, at most
    return json.loads(done.stdout)


def test_ranking_is_proven_and_numbered(ranked: Any) -> None:
    assert ranked["proven"] is True
    assert [setup["rank"] for setup in ranked["setups"]] == [1, 2, 3]


def test_reeving_names_the_load_anchors_with_heights_and_the_puller(ranked: Any) -> None:
    site = read_site()
    anchors = {anchor.name for anchor in site.anchors}
    for setup in ranked["setups"]:
        *places, puller = setup["reeving"]
        assert puller in {p.name for p in site.pullers}
        for place in places:
            name = re.fullmatch(r"(.+)@[\d.]+ m", place)
            assert place == "load" or (name is not None and name[1] in anchors)


def test_every_setup_counts_its_parts_at_the_load(ranked: Any) -> None:
    """Each stretch of rope that has the load at either end is one part."""
    for setup in ranked["setups"]:
        reeving = setup["reeving"]
        stretches = pairwise(reeving)
        assert setup["parts"] == sum("load" in pair for pair in stretches)


def test_every_piece_named_is_owned(ranked: Any) -> None:
    owned = {owned.name for owned in read_site().gear}

    for setup in ranked["setups"]:
        assert setup["gear"]
        assert {hung["item"] for hung in setup["gear"]} <= owned


def test_every_setup_ends_with_what_always_applies(ranked: Any) -> None:
    for setup in ranked["setups"]:
        assert setup["cautions"][-1]["key"] == "who_decides"


def test_five_lines_of_python() -> None:
    code = """
from optimiser import RankQuestion, rank, read_site
site = read_site()
ranking = rank(site, RankQuestion(top=2))
best = ranking[0]
print(best.reeving, best.margin, len(ranking), ranking._repr_html_()[:6])
"""
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, timeout=600
    )

    assert done.returncode == 0, done.stderr
    assert " > " in done.stdout
    assert done.stdout.endswith(" 2 <table\n")


def test_show_for_real_fits_a_hundred_columns(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["show", "1"]) == 0
    found = capsys.readouterr().out

    assert max(len(line) for line in found.split("\n")) <= 100
    assert "worst pull" in found
    assert found.count("UNRATED") == 0


def test_check_as_csv(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check", "--format", "csv"]) == 0
    found = capsys.readouterr().out
    rows = list(csv.reader(io.StringIO(found)))

    assert ["what", "name", "figures"] in rows
    assert "load" in {row[0] for row in rows if row}
