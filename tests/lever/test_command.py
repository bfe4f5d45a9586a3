"""`bankhaul lever` on the command line, and the table of a site file it reads."""

import json
from pathlib import Path

import pytest

from optimiser import cli, read_site
from optimiser.site.reading import demonstration_text
from shared.errors import InputError
from tests.piped import replaced

ROOT = Path(__file__).parents[2]


def site_with(*changes: tuple[str, str]) -> str:
    """The demonstration site with lines of its [lever] table changed."""
    before, table = demonstration_text().split("[lever]", 1)
    return f"{before}[lever]{replaced(table, *changes, count=1)}"


def test_demonstration_site_is_answered(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["lever"]) == 0
    found = " ".join(capsys.readouterr().out.split())
    for word in (
        "step by step",
        "Proven: no order of corners",
        "Hands and feet never under",
        "UNRATED",
    ):
        assert word in found


def test_json_has_what_the_table_prints(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["lever", "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)

    assert found["feasible"] is True
    assert len(found["steps"]) == found["blocks"] == 16
    assert found["hand_N"] == max(step["hand_N"] or 0.0 for step in found["steps"])
    assert sum(corner["even_N"] for corner in found["corners"]) == pytest.approx(found["weight_N"])


@pytest.mark.parametrize("form", ["csv", "markdown"])
def test_other_forms(form: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["lever", "--format", form]) == 0
    assert "front left" in capsys.readouterr().out


def test_no_order_ends_with_3(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["lever", "--hand", "50 N"]) == 3
    found = capsys.readouterr().out

    assert "NO ORDER WORKS" in found
    assert "the hand would need" in found


def test_site_without_the_table_ends_with_2(capsys: pytest.CaptureFixture[str]) -> None:
    path = str(ROOT / "examples" / "log.toml")

    assert cli.main(["lever", path]) == 2
    found = capsys.readouterr()
    assert found.err.startswith(f"{path}: lever: missing")
    assert found.out == ""


def test_force_without_unit_ends_with_2(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["lever", "--hand", "250"]) == 2
    assert "no unit" in capsys.readouterr().err


def test_imperial_units(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "feet.toml"
    text = demonstration_text().replace("[preferences]", '[preferences]\nunits = "imperial"')
    path.write_text(text, encoding="utf-8")

    assert cli.main(["lever", str(path)]) == 0
    assert "lbf" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("old", "new", "place", "hint"),
    [
        ('length = "1.6 m"', "", "lever.length", "missing"),
        ('width = "0.9 m"', 'width = "0.9"', "lever.width", "no unit"),
        ('centre_left = "0.42 m"', "", "lever.centre_left", "centre of gravity"),
        ('fulcrum = "11 cm"', 'fulcrum = "2 m"', "lever.fulcrum", "ends before its fulcrum"),
        ('raise_by = "20 cm"', 'raise_by = "2 m"', "lever.raise_by", "40 layers"),
        ('"2 deg"', '"40 deg"', "lever.ground_rises_ahead", "30 degrees"),
        ('bite = "4 cm"', 'bight = "4 cm"', "lever.bight", "did you mean 'bite'?"),
        ('hand = "250 N"', 'hand = "25 cm"', "lever.hand", "force"),
    ],
)
def test_faults_of_the_table(old: str, new: str, place: str, hint: str) -> None:
    with pytest.raises(InputError) as caught:
        read_site(site_with((old, new)))

    fault = next(fault for fault in caught.value.faults if fault.place == place)
    assert hint in fault.message
    assert fault.line is not None


CORNERS = """corner = [
  {{ name = "a", ahead = "0 m", left = "0 m"{0} }},
  {{ name = "b", ahead = "1.6 m", left = "0 m"{0} }},
  {{ name = "c", ahead = "{1} m", left = "{2} m"{3} }},
]
"""


def with_corners(weighed: str, c: tuple[float, float], last: str) -> str:
    corners = CORNERS.format(weighed, *c, last)
    return site_with(('length = "1.6 m"', corners), ('width = "0.9 m"', ""))


def test_three_corners_one_by_one() -> None:
    lever = read_site(with_corners("", (0.8, 0.9), "")).lever

    assert lever is not None
    assert [(c.ahead, c.left) for c in lever.corners] == [(0.0, 0.0), (1.6, 0.0), (0.8, 0.9)]


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        (with_corners("", (0.8, 0.0), ""), "in order round the load"),
        (with_corners(', weighed = "200 kg"', (0.8, 0.9), ""), "weigh every corner"),
        (
            with_corners(', weighed = "200 kg"', (0.8, 0.9), ', weighed = "250 kg"'),
            "follows from the weighed corners",
        ),
    ],
)
def test_corners_that_do_not_go_together(text: str, hint: str) -> None:
    with pytest.raises(InputError) as caught:
        read_site(text)

    assert any(hint in fault.message for fault in caught.value.faults)


def test_worse_end_of_the_centre_height_is_the_high_one() -> None:
    text = demonstration_text()
    worst, best = read_site(text).lever, read_site(text, corner="best").lever

    assert worst is not None
    assert best is not None
    assert (worst.height, best.height) == (0.55, 0.4)
