"""Stages on a bank with a crest, through the command: what is laid there is laid, taken up, bought or made
for the stage that needs it."""

from tests.long import long
from tests.piped import answered, printed
from tests.why.test_something_laid import CREST, bank, piece

CREW = """
[[puller]]
kind = "people"
name = "others"
count = 6
footing = "grass"
at = ["24 m", "3 m", "4 m"]
towards = ["24 m", "13 m", "4 m"]
run = "10 m"
"""
ASH = """
[[tree]]
name = "ash"
at = ["25 m", "0.5 m", "4 m"]
diameter = "45 cm"
species = "oak-bur"
strap_lowest = "0.2 m"
strap_highest = "1.2 m"
"""


def long_bank(more: str = "") -> str:
    """A crest and a long level beyond it, an oak beside the way and an ash at its end; the rope reaches
    either, not both."""
    text = bank(((6, 4), (20, 4)), weight=120, more=more)
    text = text.replace('length = "70 m"', 'length = "40 m"')
    text = text.replace('at = ["16 m", "0.5 m", "4 m"]', 'at = ["14 m", "2.5 m", "4 m"]')
    text = text.replace('at = ["15 m", "3 m", "4 m"]', 'at = ["13 m", "5 m", "4 m"]')
    return text.replace("[[puller]]", f"{ASH}{CREW}[[puller]]", 1)


def test_a_log_is_laid_for_the_first_stage_and_taken_up_for_the_second() -> None:
    text = long_bank(piece("log-bark-20"))
    code, answer = answered(text, "stages")
    first, second = answer["stages"]
    assert code == 0
    assert {round(c["from_m"], 2) for c in first["contacts"]} == {round(CREST, 2)}
    assert second["contacts"] == []

    words = " ".join(printed(text, "stages")[1].split())
    assert f"Take up log-bark-20 from the edge at {CREST:.2f} m of the path." in words


@long
def test_for_stages_a_log_is_made_on_the_spot() -> None:
    code, answer = answered(long_bank(), "buy")
    first = answer["options"][0]
    assert code == 0
    assert (first["cost"], first["stages"]) == (0, 2)
    assert [(m["item"], m["count"]) for m in first["made"]] == [("log-bark-20", 1)]
