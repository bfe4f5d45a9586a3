"""Spots where an anchor may be made that were taped: two pegs behind the crest of the meadow."""

from math import dist
from pathlib import Path

import pytest

from optimiser import RankQuestion, left_open, rank, read_site
from optimiser.rig.setup import Setup
from optimiser.site.model import Site
from optimiser.site.survey.adjusted import Located
from shared.errors import InputError
from tests.made.test_area import MEADOW, ROW
from tests.piped import printed

START, END = (0.0, 0.0, 0.0), (10.0, 0.0, 2.15)
PEGS = {"near peg": (14.0, -1.5, 2.2), "far peg": (14.0, 1.5, 2.2)}

CORNER = {"back peg": (17.0, 1.5, 2.5)}


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
    return _where(f"spots = [{spots}]")


def _where(keys: str) -> str:
    marks = "\n".join(_taped(name, at) for name, at in (PEGS | CORNER).items())
    return MEADOW.replace(ROW, keys) + "\n" + marks


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


BY_NAMES = {
    "row": ('row = ["near peg", "far peg"]\nevery = "0.9 m"', 4),
    "area": ('area = ["near peg", "far peg", "back peg"]\nevery = "0.9 m"', 6),
}


@pytest.mark.parametrize("kind", BY_NAMES)
def test_a_row_and_an_area_from_mark_to_mark(kind: str) -> None:
    """The same spots as with the marks' coordinates in place of their names, and the same answer as near as
    the tapes are written."""
    keys, many = BY_NAMES[kind]
    named = read_site(_where(keys))
    stated = keys
    for name, at in (PEGS | CORNER).items():
        stated = stated.replace(f'"{name}"', str([f"{v} m" for v in at]).replace("'", '"'))
    given = read_site(_where(stated))

    def spots(site: Site) -> list[tuple[float, ...]]:
        return sorted({a.position for a in site.anchors if a.uses})

    assert len(spots(named)) == many
    for one, other in zip(spots(named), spots(given), strict=True):
        assert one == pytest.approx(other, abs=0.02)
    question = RankQuestion(top=1, explain=False, compound=False)
    mine, theirs = rank(named, question)[0], rank(given, question)[0]
    assert mine.reeving == theirs.reeving
    assert mine.margin == pytest.approx(theirs.margin, rel=0.02)
    found = left_open(named, mine)
    assert found is not None
    assert not found.unknown
    assert max(moved.rope for moved in found.readings) > 0.01


@pytest.mark.parametrize("kind", BY_NAMES)
def test_spots_stay_as_many_wherever_the_readings_put_the_marks(kind: str) -> None:
    """The last spot lies 1 cm before the far peg: 3 cm nearer, a row or an area laid out anew would have
    fewer spots, and others by the same names. They keep those that they have, each gone along with the marks
    near it."""
    keys, _ = BY_NAMES[kind]
    first = {p.name: p.at for p in _surveyed(read_site(_where(keys)))}
    every = (dist(first["near peg"], first["far peg"]) - 0.01) / 3.0
    site = read_site(_where(keys.replace('"0.9 m"', f'"{every:.5f} m"')))
    assert site.origin is not None
    places = {p.name: p.at for p in _surveyed(site)}
    for way in (-0.03, 0.03):
        x, y, z = places["far peg"]
        moved = site.origin.moved({**places, "far peg": (x, y + way, z)})
        names = [a.name for a in site.anchors if a.uses]
        assert [a.name for a in moved.anchors if a.uses] == names
        gone = sorted(
            dist(moved.anchor(name).position, site.anchor(name).position) for name in names
        )
        assert gone[0] < 0.01  # by the near peg
        assert 0.02 < gone[-1] < 0.0301  # by the far one
        assert any(gone[0] + 0.002 < each < gone[-1] - 0.002 for each in gone)


def _surveyed(site: Site) -> tuple[Located, ...]:
    assert site.surveyed is not None
    return site.surveyed.places


WRONG = {
    "no such mark": ('row = ["near peg", "far pek"]\nevery = "1 m"', "no place is named 'far pek'"),
    "too many": ('row = ["near peg", "far peg"]\nevery = "1 cm"', "40 at most"),
    "no ground": (
        'area = ["near peg", "far peg", "near peg"]\nevery = "1 m"', "are the same, seen from above"
    ),
    "one end": ('row = ["near peg"]\nevery = "1 m"', "row"),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_wrong_rows_and_areas_by_names(name: str) -> None:
    keys, message = WRONG[name]
    with pytest.raises(InputError) as error:
        read_site(_where(keys))
    assert message in str(error.value)
