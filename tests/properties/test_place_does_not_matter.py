"""Where the surveyor put the origin and which way the axes point changes no answer: byte by byte.

A site file is moved a kilometre, lifted 500 m or turned by any angle. Where two rigs tie, rounding of
coordinates would choose between them; every command has to print the same list, pieces included.
"""

import re
from math import pi
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser import cli, rank, read_site
from optimiser.site.model import Site
from optimiser.site.reading import demonstration_text
from tests.long import cases
from tests.properties.moved_files import Move

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
TEXTS = {"demonstration": demonstration_text()} | {
    path.stem: text
    for path in EXAMPLES
    if "start = [" in (text := path.read_text(encoding="utf-8"))  # else it has no coordinates
}
ALIKE = ("crest-log", "lane", "log", "meadow", "read-pull", "short-rope", "side-tree", "workboat")
"""What has an example of the same kind among the others."""
MOVES = (
    Move(shift=(1000.0, 0.0, 500.0)),
    Move(angle=0.6457, shift=(-812.3, 77.7, 0.1)),  # 37 degrees
)


_IN_THE_FILE = re.compile(r'"spot_m": \[[^\]]*\],|"heading_deg": [^,]*,|spots = \[\[[^\]]*\]\]')
"""Where a puller is to stand, the way it faces, and where an anchor might be made."""


class Desk:
    """Runs commands on a text as a file of always the same name."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.file, self._capsys = folder / "site.toml", capsys

    def run(self, text: str, command: str, *words: str) -> tuple[int, str]:
        """The exit code, and the answer without what it gives in the file's own coordinates."""
        self.file.write_text(text, encoding="utf-8")
        code = cli.main([command, str(self.file), *words, "--format", "json"])
        printed = self._capsys.readouterr().out
        return code, _IN_THE_FILE.sub("", printed)


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    return Desk(tmp_path, capsys)


@pytest.mark.parametrize("command", ["rank", "lower"])
@pytest.mark.parametrize("name", cases(TEXTS, quick=["demonstration", "crest-air"], seldom=ALIKE))
def test_every_example(name: str, command: str, desk: Desk) -> None:
    before = desk.run(TEXTS[name], command)
    for move in MOVES:
        assert desk.run(move.file(TEXTS[name]), command) == before, move


@pytest.mark.parametrize(
    ("command", "name"),
    cases(
        [("stages", "field-roller"), ("stages", "log")],
        quick=[("stages", "field-roller")],
    ),
)
def test_stages(command: str, name: str, desk: Desk) -> None:
    before = desk.run(TEXTS[name], command)
    assert desk.run(MOVES[1].file(TEXTS[name]), command) == before


@pytest.mark.parametrize(
    ("reeving", "code"),
    [
        ("gate beech@1.05 m > load > gate beech@1.05 m > big larch@1.05 m > forest tractor", 0),
        ("path oak@1.05 m > load > forest tractor", 3),
    ],
    ids=["works", "fails, with its cures"],
)
def test_why(reeving: str, code: int, desk: Desk) -> None:
    before = desk.run(TEXTS["log"], "why", reeving)
    assert before[0] == code
    assert desk.run(MOVES[1].file(TEXTS["log"]), "why", reeving) == before


def test_a_spot_that_is_chosen_is_the_same_ground() -> None:
    """In the coordinates of either file."""
    move = MOVES[1]
    here, there = (
        rank(read_site(text))[0].standing for text in (TEXTS["lane"], move.file(TEXTS["lane"]))
    )
    assert here is not None
    assert there is not None
    assert there.spot == pytest.approx(move.point(here.spot), abs=1e-6)
    assert there.along == here.along


shifts = st.floats(-2000.0, 2000.0)


@given(angle=st.floats(-pi, pi), shift=st.tuples(shifts, shifts, shifts))
@settings(max_examples=6)
def test_any_turn_and_any_shift(angle: float, shift: tuple[float, float, float]) -> None:
    """To the last bit, gear included."""
    text = TEXTS["log"]
    there = read_site(Move(angle, shift).file(text))
    here = read_site(text)
    assert _bare(there) == _bare(here)
    assert rank(there).setups == rank(here).setups


@given(angle=st.floats(-pi, pi), shift=st.tuples(shifts, shifts, shifts))
@settings(max_examples=50)
def test_the_file_s_coordinates_are_not_lost(
    angle: float, shift: tuple[float, float, float]
) -> None:
    """What is shown to people is what they wrote."""
    move = Move(angle, shift)
    site = read_site(move.file(TEXTS["bend"]))
    plain = read_site(TEXTS["bend"])
    assert site.frame is not None
    for anchor, as_written in zip(site.anchors, plain.anchors, strict=True):
        assert site.frame.in_file(anchor.position) == pytest.approx(
            move.point(as_written.position), abs=1e-7
        )


def _bare(site: Site) -> tuple[object, ...]:
    return site.legs, site.anchors, site.obstacles, site.pullers
