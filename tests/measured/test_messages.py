"""What is wrong with readings is said in the words of the file, at its line, each misuse in its own way."""

from pathlib import Path

import pytest

from optimiser.site.reading import measured_starter_text, read_site
from shared.errors import InputError
from tests.piped import replaced

STARTER = measured_starter_text()
MISREAD = (Path(__file__).parents[2] / "examples" / "misread-tape.toml").read_text(encoding="utf-8")
FROM_BEND = '[[reading]]\nfrom = "end of leg 1"\nto = "ash"\ntape = "10.5 m"\n'
BETWEEN = STARTER[STARTER.index("[[reading]]                     # not") :].split("\n\n")[0]

CASES = {
    "too few": ([(FROM_BEND, ""), (BETWEEN, "")], "tree[2]", "too few readings for ash"),
    "no reading at all": (
        [('to = "hedge"', 'to = "ash"')],
        "mark[1].at",
        "missing: where it stands",
    ),
    "mirror": (
        [('side = "left"\n\n', "\n"), ('side = "right"\n\n', "\n")],
        "tree[1]",
        'left or right of the line from start to end? Add side = "left"',
    ),
    "circles": (
        [('tape = "11.1 m"', 'tape = "12.2 m"'), (BETWEEN, "")],
        "tree[1]",
        "do not meet by",
    ),
    "far from meeting": (
        [('tape = "11.1 m"', 'tape = "18.0 m"'), (BETWEEN, "")],
        "tree[1]",
        "do not meet by",
    ),
    "heading left out": (
        [('[[path.leg]]\nlength = "4.1 m" ', 'length = "4.1 m" ')],
        "length",
        "unknown key outside a table: it stands under [[path.leg]]",
    ),
    "no height": (
        [('right = "7 m"\nrise = "1.4 m up"', 'right = "7 m"')],
        "mark[1]",
        'up or down (such as rise = "0.3 m up" or slope = "4 deg up" in a reading of it)',
    ),
    "closest name": (
        [('to = "ash"\ntape = "10.5 m"', 'to = "asch"\ntape = "10.5 m"')],
        "reading[4].to",
        "no place is named 'asch'; did you mean 'ash'?",
    ),
    "no such leg": (
        [('from = "end of leg 1"', 'from = "end of leg 3"')],
        "from",
        "has no leg 3: it has 2",
    ),
    "beyond the path": (
        [("8.1 m of the path", "11 m of the path")],
        "reading[6].from",
        "beyond the end",
    ),
    "no unit": ([("8.1 m of the path", "8.1 of the path")], "reading[6].from", "has no unit"),
    "towards nothing": (
        [('towards = "hedge"', 'towards = "hedges"')],
        "puller[1].towards",
        "mean 'hedge'?",
    ),
    "to itself": (
        [('from = "alder"', 'from = "ash"')],
        "reading[5].to",
        "leads from 'ash' to itself",
    ),
    "one place by two names": (
        [('from = "alder"\nto = "ash"', 'from = "end"\nto = "end of leg 2"')],
        "reading[5].to",
        "are one place",
    ),
    "nothing read": ([('tape = "11.1 m"\n', "")], "reading[2]", "nothing was read"),
    "left and right": (
        [('right = "5 m"', 'right = "5 m"\nleft = "1 m"')],
        "right",
        "either left or right",
    ),
    "facing what": (
        [('from = "alder"\n', 'from = "alder"\nturn = "3 deg left"\n')],
        "reading[5].facing",
        "what do you face at alder?",
    ),
    "which way": (
        [('# turn = "15 deg left"', 'turn = "15 deg"')],
        "turn",
        '"15 deg left" or "15 deg right"',
    ),
    "sign and word": (
        [('"0.2 m up"', '"-0.2 m up"')],
        "reading[6].rise",
        "a sign and the word 'up'",
    ),
    "range": ([('tape = "11.1 m"', 'tape = "11..12 m"')], "tape", "has to be one value"),
    "accuracy of what": (
        [('tape = "11.1 m"', 'tape = "11.1 m"\nrise = "1 m"\naccuracy = "1 cm"')],
        "reading[2].accuracy",
        "here are several (tape, rise)",
    ),
    "accuracy that does not fit": (
        [('tape = "11.1 m"', 'tape = "11.1 m"\naccuracy = "1 deg"')],
        "reading[2].accuracy",
        "does not fit tape",
    ),
    "instrument": (
        [('# tape = "5 cm"', 'tape = "steal tape"')],
        "accuracy.tape",
        "mean 'steel tape'?",
    ),
    "neither slope nor rise": (
        [('slope = "10 deg"', "#")],
        "path.leg[1].slope",
        "missing: how steep",
    ),
    "slope and rise": (
        [('slope = "10 deg"', 'rise = "1 m"\nslope = "10 deg"')],
        "slope",
        "not both",
    ),
    "a lift": ([('slope = "10 deg"', 'slope = "80 deg"')], "path.leg[1].slope", "out of scope"),
    "length and point": (
        [('length = "4.1 m"', 'length = "4.1 m"\nto = ["4 m", "0 m", "0 m"]')],
        "path.leg[1].length",
        "give either where the leg ends",
    ),
    "taken name": (
        [('name = "hedge"', 'name = "start"')],
        "mark[1].name",
        "is a place of the path",
    ),
    "two of a name": (
        [('name = "hedge"', 'name = "ash"')],
        "mark[1].name",
        "already used by tree[2]",
    ),
    "a name that is none": (
        [('[[mark]]\nname = "hedge"', "[[mark]]\nname = {}")],
        "mark[1].name",
        "expected a text in quotes",
    ),
    "no start": (
        [
            (
                'length = "4.1 m"                # the tape on the ground\nslope = "10 deg" ',
                'to = ["4 m", "0 m", "1 m"]#',
            ),
            ('length = "6.0 m"\nslope = "6.5 deg"', 'to = ["9 m", "0 m", "1 m"]'),
        ],
        "path.start",
        "missing: where the load's reference point lies",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_every_misuse_has_its_own_message(case: str) -> None:
    """The starter, broken in one place."""
    changes, where, message = CASES[case]
    text = replaced(STARTER, *changes)
    with pytest.raises(InputError) as refused:
        read_site(text)
    worded = [f for f in refused.value.faults if where in f.place and message in f.message]

    assert worded, str(refused.value)
    assert worded[0].line is not None or case == "no start"  # it has no table of its own


def test_what_cannot_stand_there_is_reported_beside_a_reading_that_was_misread() -> None:
    """The site with the planted misreading, and a stump by coordinates where the ash is."""
    stump = 'name = "stump"\ndiameter = "0.5 m"\nat = ["17 m", "-2.4 m", "1.5 m"]'
    with pytest.raises(InputError) as refused:
        read_site(MISREAD + f"\n[[obstacle]]\n{stump}\n")

    assert "'stump' stands where 'ash' stands" in str(refused.value)
    assert "12.00 m, by the other readings 12.99 m: was it misread?" in str(refused.value)
