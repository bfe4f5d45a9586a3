"""A site file that gives no title: its answers are headed by what is hauled."""

from pathlib import Path

from optimiser import read_site
from tests.piped import printed

SLEDGE = (Path(__file__).parents[2] / "examples" / "sledge.toml").read_text()
TITLE = 'title = "Stone on a sledge, three people"\n'
NAME = 'name = "gate stone on its sledge"\n'


def test_an_answer_is_headed_by_what_is_hauled() -> None:
    assert TITLE in SLEDGE
    text = SLEDGE.replace(TITLE, "")
    assert "Understood: gate stone on its sledge\n" in printed(text, "check")[1]
    assert NAME in text
    assert read_site(text.replace(NAME, "")).title == "load"
