"""Every question is put to a site whose van may stand anywhere along a lane: each says where it stands, in
words and for programs."""

import csv
import sys
from collections.abc import Iterator, Mapping
from functools import cache
from io import StringIO
from math import copysign, cos, dist, hypot, radians, sin
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage
from subprocess import DEVNULL, run
from typing import Any

import numpy as np
import pytest
from jsonschema import Draft202012Validator

from optimiser import read_site
from optimiser.telling.fields.answers import answer_schema
from tests.piped import answered, printed
from tests.tracks.lane import LANE, SPOT, site_text

ALSO: Mapping[str, tuple[str, ...]] = {
    "show": ("1",),
    "sweep": ("load.weight=500..600 kg", "--steps", "2", "--processes", "1"),
    "why": ("lime@1.2 m > load > maple@0.5 m > van",),
    "lower": ("--top", "9"),
}
"""What each command is given beside the site."""
COMMANDS = ("rank", "show", "stages", "buy", "lower", "why", "sweep")


@cache
def answer(command: str) -> Any:
    """What a command prints as JSON."""
    return answered(site_text(), command, *ALSO.get(command, ()))[1]


def standings(found: Any) -> Iterator[Mapping[str, Any]]:
    """Every place of a puller in an answer."""
    if isinstance(found, dict):
        for key, value in found.items():
            if key == "standing":
                yield value
            yield from standings(value)
    elif isinstance(found, list):
        for value in found:
            yield from standings(value)


@pytest.mark.parametrize("command", COMMANDS)
def test_programs_get_the_spot_and_the_heading(command: str) -> None:
    """The spot lies on the lane: 22 m from (12, 4, 1) to (12.5, 26, 1.2), where `along_m` says."""
    found = list(standings(answer(command)))
    assert found
    for standing in found:
        assert standing["room"] == "track"
        assert standing["spots_searched"] == 19
        share = standing["along_m"] / dist((12.0, 4.0, 1.0), (12.5, 26.0, 1.2))
        there = (12.0 + 0.5 * share, 4.0 + 22.0 * share, 1.0 + 0.2 * share)
        assert standing["spot_m"] == pytest.approx(there, abs=1e-6)
        assert abs(standing["heading_deg"]) == pytest.approx(88.698, abs=2.7)
        lime = next(tape for tape in standing["taped"] if tape["name"] == "lime")
        assert lime["distance_m"] == pytest.approx(dist(there, (10.5, -1.4, 1.0)), abs=1e-6)
        flat = standing["run_m"] * hypot(0.5, 22.0) / hypot(0.5, 22.0, 0.2)
        way = radians(standing["heading_deg"])
        rise = copysign(0.2 / 22.0, sin(way)) * standing["run_m"]
        end = (there[0] + flat * cos(way), there[1] + flat * sin(way), there[2] + rise)
        assert lime["at_end_m"] == pytest.approx(dist(end, (10.5, -1.4, 1.0)), abs=1e-3)
        assert standing["along_m"] * 10.0 == pytest.approx(round(standing["along_m"] * 10.0))
    Draft202012Validator(answer_schema(command)).validate(answer(command))


@pytest.mark.parametrize("command", [c for c in COMMANDS if c not in ("buy", "show")])
def test_people_read_where_it_stands(command: str) -> None:
    _, text = printed(site_text(), command, *ALSO.get(command, ()))
    words = " ".join(text.split())
    assert "m along the" in words
    if command != "sweep":
        assert (
            "by tape, left of the line from" in words or "by tape, right of the line from" in words
        )
    if command in ("rank", "stages", "buy", "lower"):
        assert "over 19 candidate spots along the track, 2.00 m apart" in words


def test_a_table_for_programs_has_it_too() -> None:
    _, text = printed(site_text(), "rank", "--format", "csv")
    first = next(csv.DictReader(StringIO(text)))
    assert "Van stands 2.10 m along the track" in first["stands"]


def test_the_page_has_the_lane_the_spot_and_the_step(tmp_path: Path) -> None:
    page = tmp_path / "van.html"
    printed(site_text(), "sheet", "1", "-o", str(page))
    text = " ".join(page.read_text(encoding="utf-8").split())
    assert "Put it there, and mark both ends of its run." in text


def test_pictures_have_both_edges_of_the_lane() -> None:
    """3 m of lane: 1.5 m to either side of its line."""
    (van,) = read_site(site_text()).pullers
    assert van.room is not None
    left, right = (np.array(side) for side in van.room.sides)
    assert np.linalg.norm(left - right, axis=1) == pytest.approx(3.0)
    assert (left + right) / 2.0 == pytest.approx(np.array(van.room.points))


def test_a_lane_takes_less_than_four_times_as_long_as_one_spot(tmp_path: Path) -> None:
    """30 m of lane at the usual spacing; seconds of one processor of the whole command."""
    end = '["12.5 m", "26 m", "1.2 m"]'
    lane = LANE.replace('spacing = "2 m"\n', "").replace(end, '["12.7 m", "34 m", "1.3 m"]')
    took = []
    for number, where in enumerate((SPOT, lane)):
        file = tmp_path / f"site{number}.toml"
        file.write_text(site_text(where), encoding="utf-8")
        before = getrusage(RUSAGE_CHILDREN).ru_utime
        run([sys.executable, "-m", "optimiser", "rank", str(file)], check=True, stdout=DEVNULL)
        took.append(getrusage(RUSAGE_CHILDREN).ru_utime - before)
    assert took[1] < 4.0 * took[0]
