"""`bankhaul why`: which argument is the site and which the reeving, and what is printed of each."""

import json
from pathlib import Path

import pytest

from optimiser import cli
from optimiser.commands.why import is_site, sorted_out

LOG = "examples/log.toml"
BEND = "examples/bend.toml"


def test_an_argument_that_ends_in_toml_or_exists_is_a_site(tmp_path: Path) -> None:
    odd = tmp_path / "my > site"
    odd.write_text("", encoding="utf-8")
    assert is_site("not there.toml")
    assert is_site("-")
    assert is_site(str(odd))
    assert not is_site("load > ash@0.4 m > tractor")


@pytest.mark.parametrize(
    ("words", "site", "reeving"),
    [
        ((), None, None),
        ((LOG,), LOG, None),
        (("load > tractor",), None, "load > tractor"),
        (('["load", "tractor"]',), None, '["load", "tractor"]'),
        ((LOG, "load > tractor"), LOG, "load > tractor"),
    ],
)
def test_the_arguments_are_sorted_out(
    words: tuple[str, ...], site: str | None, reeving: str | None
) -> None:
    assert sorted_out(words) == (site, reeving)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("load",), "neither a SITE"),  # what is left where the shell took > for itself
        (("sites",), "in quotes"),
        (("load > tractor", LOG), "turn the two around"),
        ((LOG, "load", "tractor"), "in quotes"),
    ],
)
def test_what_is_neither_is_reported(
    words: tuple[str, ...], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["why", *words]) == 2
    assert message in " ".join(capsys.readouterr().err.split())


def test_a_site_that_is_not_there_is_reported_as_a_file(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["why", "not there.toml"]) == 2
    assert "not there.toml" in capsys.readouterr().err


def test_of_a_site_alone_the_best_setup_is_explained(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["why", LOG]) == 0
    out = capsys.readouterr().out
    assert "The best setup for Log up a wooded gully" in out
    assert "IT WORKS with margin" in out
    assert cli.main(["why", LOG, "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert cli.main(["rank", LOG, "--top", "1", "--format", "json"]) == 0
    best = json.loads(capsys.readouterr().out)["setups"][0]
    assert found["setup"]["reeving"] == best["reeving"]


def test_of_a_site_where_nothing_works_the_nearest_misses_are(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert cli.main(["why", BEND]) == 3
    assert "The nearest misses" in capsys.readouterr().out
    assert cli.main(["why", BEND, "--format", "json"]) == 3
    found = json.loads(capsys.readouterr().out)
    assert found["works"] is False
    assert found["misses"][0]["change"]["text"]


def test_strokes_and_resets_are_rows_for_information(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["why", LOG, "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    rows = {c["check"]: c for c in found["checks"] if c["for_information"]}
    assert set(rows) == {"strokes", "resets"}
    assert rows["strokes"]["value"] == found["setup"]["strokes"]
    assert rows["resets"]["value"] == found["setup"]["resets"] == rows["strokes"]["value"] - 1
    assert all(row["passed"] and row["limit"] is None for row in rows.values())
