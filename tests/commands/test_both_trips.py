"""A site whose load goes both ways says which of the two can be done."""

import json
from pathlib import Path
from typing import Any

import pytest

from optimiser import cli
from optimiser.site.model import Trip
from optimiser.site.reading import read_site
from shared.errors import InputError
from tests.lower.slope_site import site_text

BOTH = 'trips = ["down", "up"]'


def trips(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, command: str
) -> tuple[int, Any]:
    """Exit code and what the answer says of the trips."""
    (tmp_path / "slope.toml").write_text(text)
    code = cli.main([command, str(tmp_path / "slope.toml"), "--format", "json"])
    return code, json.loads(capsys.readouterr().out).get("trips")


@pytest.mark.parametrize(
    ("rise", "says", "code"), [(0.6, "Both trips", 0), (3.0, "ONLY THE WAY DOWN", 3)]
)
def test_rank_says_which_trips_can_be_done(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], rise: float, says: str, code: int
) -> None:
    """Two people haul the trolley up the gentle slope, and not up the steep one; the oak holds it on both."""
    found = trips(tmp_path, capsys, site_text(rise, "0.03", extra=BOTH), "rank")

    assert found[0] == code
    assert found[1].startswith(says)


def test_only_the_haul_can_be_done_where_nothing_holds(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a tree there is nothing to turn the rope round, and people's hands alone do not hold."""
    text = site_text(0.6, "0.03", extra=BOTH)
    begin, end = text.index("[[tree]]"), text.index("[[puller]]")

    code, stated = trips(tmp_path, capsys, text[:begin] + text[end:], "check")
    assert code == 0
    assert stated.startswith("ONLY THE HAUL")


def test_a_load_that_makes_one_trip_says_nothing_of_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert trips(tmp_path, capsys, site_text(0.6, "0.03"), "rank") == (0, None)


def test_the_order_of_the_trips_is_the_files() -> None:
    site = read_site(site_text(0.6, "0.03", extra=BOTH))
    assert site.preferences.trips == (Trip.DOWN, Trip.UP)
    with pytest.raises(InputError, match="each word at most once"):
        read_site(site_text(0.6, "0.03", extra='trips = ["up", "up"]'))
