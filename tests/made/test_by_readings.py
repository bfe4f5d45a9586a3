"""Spots where an anchor may be made that were taped: two pegs behind the crest of the meadow."""

from math import dist
from pathlib import Path

import pytest

from optimiser import RankQuestion, left_open, rank, read_site
from optimiser.rig.setup import Setup
from optimiser.site.model import Site
from shared.errors import InputError
from tests.made.test_area import MEADOW, ROW
from tests.piped import printed

START, END = (0.0, 0.0, 0.0), (10.0, 0.0, 2.15)
PEGS = {"near peg": (14.0, -1.5, 2.2), "far peg": (14.0, 1.5, 2.2)}


def _taped(name: str, at: tuple[float, float, float]) -> str:
    """A mark, by tape from both ends of the path, its side and its height."""
    side = "left" if at[1] > 0.0 else "right"
    rise = at[2] - END[2]
    return (
        f'[[mark]]\nname = "{name}"\n'
        f'[[reading]]\nfrom = "start"\nto = "{name}"\ntape = "{dist(START, at):.2f} m"\n'
        f'[[reading]]\nfrom = "end"\nto = "{name}"\ntape = "{dist(END, at):.2f} m"\nside = "{side}"\n'
        f'[[reading]]\nfrom = "end"\nto = "{name}"\nrise = "{rise:.2f} m up"\n'
    )


def _text(spots: str = '"near peg", "far peg"') -> str:
    marks = "\n".join(_taped(name, at) for name, at in PEGS.items())
    return MEADOW.replace(ROW, f"spots = [{spots}]") + "\n" + marks


@pytest.fixture(scope="module")
def answer() -> tuple[Site, Setup]:
    site = read_site(_text())
    return site, rank(site, RankQuestion(top=1, explain=False, compound=False))[0]


def test_the_pickets_stand_where_the_tapes_lead(answer: tuple[Site, Setup]) -> None:
    site, setup = answer
    spots = sorted({a.position[:2] for a in site.anchors if a.uses}, key=lambda at: at[1])
    for spot, peg in zip(spots, PEGS.values(), strict=True):
        assert spot == pytest.approx(peg[:2], abs=0.02)
    assert setup.made


def test_what_the_tapes_leave_open_moves_them_too(answer: tuple[Site, Setup]) -> None:
    found = left_open(*answer)
    assert found is not None
    assert not found.unknown
    assert max(moved.rope for moved in found.readings) > 0.01


def test_their_sheet_has_them(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    printed(_text(), "sheet", "1", "-o", str(page))
    assert "Drive" in page.read_text() or "Bury" in page.read_text()


def test_a_peg_that_nothing_is_known_of_is_refused() -> None:
    with pytest.raises(InputError, match="no place is named 'near pek'"):
        read_site(_text('"near pek"'))
