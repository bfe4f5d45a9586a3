"""What the sheet gives somebody with a tape, by hand, and on every kind of page."""

import re
from math import atan2, degrees, hypot, pi
from pathlib import Path

from click.testing import CliRunner

from optimiser.cli import cli
from optimiser.sheet.page import lowering_page, page
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.lowered import Lowered
from optimiser.sheet.shown.rigged import Rigged
from optimiser.sheet.wording.tape import SAME, with_a_tape
from tests.sheet.layouts import kept_in_hand, let_down, with_two_ropes
from tests.words.hand_made import SETUP, SITE

TAPE = {row[0]: row[1:] for row in page(Rigged(SITE, SETUP)).tape}

_LONG = hypot(10.0, 3.0)
AHEAD, UP = 0.5 * 10.0 / _LONG, 0.4 + 0.5 * 3.0 / _LONG
"""m from where the trailer stands to its drawbar: 0.5 m ahead along a slope of 3 in 10, 0.4 m up."""
FIRST, LAST = (14.0 - AHEAD, 3.4 - UP), (4.0 - AHEAD, 0.4 - UP)
"""m along and up from the drawbar to the strap at the ash, 14 m along, 3 + 0.4 m up: at start and end."""


def metres(value: float) -> str:
    return f"{value:.2f} m"


def test_lengths_at_the_start_and_at_the_end() -> None:
    """Two parts lead to the ash, one to the winch: 6 m to the left of the ash, as high."""
    assert TAPE["A trailer – B ash (parts 1, 2)"] == (metres(hypot(*FIRST)), metres(hypot(*LAST)))
    assert TAPE["A trailer – C winch (part 3)"] == (
        metres(hypot(*FIRST, 6.0)),
        metres(hypot(*LAST, 6.0)),
    )


def test_from_a_tree_to_the_puller() -> None:
    assert TAPE["B ash – C winch"] == ("6.00 m", SAME)


def test_girths_and_heights_of_straps() -> None:
    """A trunk of 0.4 m; the winch hangs on the oak."""
    assert TAPE["B ash: girth (⌀ 400 mm)"] == (metres(0.4 * pi), SAME)
    assert TAPE["B ash: strap above the ground"] == ("0.40 m", SAME)
    assert TAPE["oak: girth (⌀ 400 mm)"] == (metres(0.4 * pi), SAME)


def test_angles_to_keep() -> None:
    """The line to the winch is the long side of a right triangle with 6 m across from the drawbar."""
    apart = [f"{round(degrees(atan2(6.0, hypot(*at))))}°" for at in (FIRST, LAST)]
    aside = [f"{round(degrees(atan2(6.0, at[0])))}° left" for at in (FIRST, LAST)]

    assert TAPE["at B ash: part 1 to part 2"] == ("0°", SAME)
    assert TAPE["at A trailer: part 2 to part 3"] == tuple(apart)
    assert TAPE["A trailer – C winch: to the path"] == tuple(aside)
    assert TAPE["A trailer – B ash: to the path"] == ("0°", SAME)


def of_every_kind() -> list[Drawn]:
    return [
        Rigged(*with_two_ropes()),
        Rigged(*kept_in_hand("dip")),
        Lowered(*let_down()),
    ]


def test_every_part_of_every_rope_has_its_length() -> None:
    for drawn in of_every_kind():
        rows = with_a_tape(drawn)
        parts = [n for row in rows for n in re.findall(r"\(parts? ([\d, ]+)\)", row[0])]
        numbers = sorted(int(n) for text in parts for n in text.split(", "))
        assert numbers == list(range(1, drawn.ropes[-1].last + 1))
        assert len({row[0] for row in rows}) == len(rows)


def test_a_line_that_is_not_rigged_yet_has_no_length_yet() -> None:
    drawn = Rigged(*kept_in_hand("dip"))
    rows = with_a_tape(drawn)
    late = [rope for rope in drawn.holding if rope.station(drawn.begin) != drawn.begin]

    for rope in late:
        row = next(row for row in rows if f"(part {rope.first})" in row[0])
        assert row[1] == "–"


def test_a_way_down_begins_at_the_top() -> None:
    site, setup = let_down()
    found = lowering_page(Lowered(site, setup)).tape

    first, last = (float(text.split()[0]) for text in found[0][1:])
    assert first < last


def test_the_table_stands_before_the_steps(tmp_path: Path) -> None:
    file = tmp_path / "sheet.html"
    done = CliRunner().invoke(cli, ["sheet", "-o", str(file), "--compare", "0"])

    assert done.exit_code == 0, done.output
    text = file.read_text(encoding="utf-8")
    places = [text.index(f"<h2>{t}") for t in ("Gear to lay out", "With a tape", "Steps, in")]
    assert places == sorted(places)
