"""`bankhaul lower` on the command line."""

import json
from pathlib import Path

import pytest

from optimiser import cli
from optimiser.site.reading import demonstration_text

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def short(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The demonstration site with ropes of 20 m."""
    lines = []
    for line in demonstration_text().splitlines():
        long = line.startswith('length = "') and float(line.split('"')[1].split()[0]) > 20.0
        lines.append('length = "20 m"' if long else line)
    path = tmp_path_factory.mktemp("sites") / "short.toml"
    path.write_text("\n".join(lines), encoding="utf-8")
    return str(path)


def test_demonstration_site_is_answered(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["lower", "--top", "2"]) == 0
    found = capsys.readouterr().out
    for word in ("RUNS AWAY", "Proven:", "never take a turn off under load", "Gloves", "heat"):
        assert word in " ".join(found.split())


def test_stages_where_the_rope_is_too_short(short: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["lower", short, "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)

    assert found["setups"] == []
    assert len(found["stages"]) >= 2
    assert found["proven"] is True
    assert found["feasible"] is True


def test_one_of_them_spelt_out(short: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["lower", short, "--show", "1"]) == 0
    found = capsys.readouterr().out

    for title in ("Cautions", "What hangs where", "What every piece carries", "On the way down"):
        assert f"\n{title}\n" in found


def test_one_of_them_as_json(short: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["lower", short, "--show", "2", "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)

    assert found["rank"] == 2
    assert found["path"][0]["at_m"] == pytest.approx(found["from_m"])
    assert all(row["hand_N"] is not None for row in found["path"])
    assert found["components"]


@pytest.mark.parametrize("form", ["csv", "markdown"])
def test_other_forms(short: str, form: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["lower", short, "--format", form]) == 0
    assert "near pine" in capsys.readouterr().out or form == "csv"


def test_load_that_rests_is_an_answer(capsys: pytest.CaptureFixture[str]) -> None:
    """The log lies on forest floor: it has to be pushed all the way."""
    assert cli.main(["lower", str(ROOT / "examples" / "log.toml")]) == 0
    assert "no rope has to hold it" in " ".join(capsys.readouterr().out.split())


def test_nothing_that_holds_ends_with_3(short: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["lower", short, "--hold", "1 N"]) == 3
    found = capsys.readouterr().out

    assert "NO HOLD WORKS" in found
    assert "m more rope like" in " ".join(found.split())


@pytest.mark.parametrize(
    ("arguments", "hint"),
    [
        (["--hold", "150"], "no unit"),
        (["--hold", "3 m"], "length"),
        (["--hold", "0 N"], "above 0"),
        (["--hold", "100..200 N"], "one force"),
        (["--show", "0"], "0"),
        (["--show", "99"], "there are"),
        (["--without-rule", "no-backward-prat"], "did you mean"),
    ],
)
def test_misuse_ends_with_2(
    arguments: list[str], hint: str, short: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["lower", short, *arguments]) == 2
    assert hint in capsys.readouterr().err


def test_units_of_the_answer_change_nothing_but_units(
    short: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = Path(short).read_text(encoding="utf-8")
    feet = tmp_path / "feet.toml"
    feet.write_text(text.replace("[preferences]", '[preferences]\nunits = "imperial"'), "utf-8")
    assert cli.main(["lower", str(feet)]) == 0
    table = capsys.readouterr().out
    assert "lbf" in table
    assert " kN" not in table

    found = []
    for path in (short, str(feet)):
        assert cli.main(["lower", path, "--format", "json"]) == 0
        found.append(json.loads(capsys.readouterr().out)["stages"][0]["hand_N"])
    assert found[0] == found[1]
