"""Sentences that are put together read as English, whatever things are called."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from catalogue.book import load_catalogue
from optimiser.cli import cli
from shared.words import counted, does, which, with_article, with_the

EXAMPLES = Path(__file__).parents[2] / "examples"
WHOSE = "the|an?|our|my|your|their"
TWICE = re.compile(rf"\bthe (?:{WHOSE}) |\ban? (?:{WHOSE}|two|three|four|five) ", re.IGNORECASE)
"""Two words before a noun where one belongs."""
NOT_SPOKEN = re.compile(
    r"\ba (?:8|11 |18 |[aio]|e(?!u|we)|u(?!ni|s|ti))"
    r"|\ban (?!8|11 |18 |[aeio]|u(?!ni|s)|hour|[AFHLMNRSX][A-Z0-9-])"
)
"""The wrong one of "a" and "an"; spoken signs by a list of its own."""


def own_names() -> Iterator[str]:
    """Every name that an example gives to something."""

    def inside(value: Any) -> Iterator[str]:
        if isinstance(value, dict):
            if isinstance(value.get("name"), str):
                yield value["name"]
            value = list(value.values())
        if isinstance(value, list):
            for item in value:
                yield from inside(item)

    for path in sorted(EXAMPLES.glob("*.toml")):
        yield from inside(tomllib.loads(path.read_text(encoding="utf-8")))


def names() -> list[str]:
    """Catalogue and examples, and each as somebody may call it."""
    plain = [*(entry.name for entry in load_catalogue().find()), *own_names()]
    called = [
        form.format(name)
        for name in dict.fromkeys(plain)
        for form in ("{}", "our {}", "the {}", "my old {}", "8 m {}", "11 mm {}", "two {}s")
    ]
    assert len(called) > 1000
    return called


def test_every_name_has_one_article_and_the_right_one() -> None:
    for name in names():
        for sentence in (f"with {with_article(name)}.", f"with {with_the(name)}."):
            assert not TWICE.search(sentence), sentence
        assert not NOT_SPOKEN.search(f"with {with_article(name)}."), name


@pytest.mark.parametrize(
    ("name", "article", "the"),
    [
        ("block", "a block", "the block"),
        ("8 m line", "an 8 m line", "the 8 m line"),
        ("110 mm block", "a 110 mm block", "the 110 mm block"),
        ("HMPE rope", "an HMPE rope", "the HMPE rope"),
        ("U-bolt", "a U-bolt", "the U-bolt"),
        ("used strap", "a used strap", "the used strap"),
        ("our car", "our car", "our car"),
        ("two half hitches", "two half hitches", "the two half hitches"),
        ("round turn and two half hitches", "a round turn and two half hitches", None),
        ("bundle of five poles", "a bundle of five poles", None),
        ("old planks", "old planks", "the old planks"),
        ("Bessie", "Bessie", "Bessie"),
        ("Big Tom", "Big Tom", "Big Tom"),
        ("Öse am Bug", "Öse am Bug", "Öse am Bug"),
        ("HMPE winch line", "an HMPE winch line", "the HMPE winch line"),
        ("S-hook", "an S-hook", "the S-hook"),
    ],
)
def test_articles(name: str, article: str, the: str | None) -> None:
    assert with_article(name) == article
    assert the is None or with_the(name) == the


def test_who_pulls() -> None:
    """ "three of us, which pulls" was printed once."""
    for name, clause in {
        "winch": "which pulls",
        "our car": "which pulls",
        "three of us in the yard": "who pull",
        "four neighbours": "who pull",
        "six of the crew": "who pull",
        "people": "who pull",
        "two tractors": "which pull",
        "the neighbour": "who pulls",
        "hoist on the pickets": "which pulls",
    }.items():
        assert which(name, "pull") == clause
        assert does(name, "pull") == clause.split()[1]


def test_counts() -> None:
    assert [counted(n, "stage") for n in (0, 1, 2, 1200)] == [
        "0 stages", "1 stage", "2 stages", "1,200 stages",
    ]  # fmt: skip
    assert counted(2, "person", "people") == "2 people"


@pytest.mark.parametrize("car", ["our car", "Bessie"])
def test_an_answer_with_names_as_people_give_them(car: str, tmp_path: Path) -> None:
    """ "the our car" and "a two half hitches" were printed once, and "the hitch of the Bessie"."""
    text = (EXAMPLES / "crest-log.toml").read_text(encoding="utf-8")
    text = text.replace('name = "farm car"', f'name = "{car}"').replace(
        "hitch_rating", "#hitch_rating"
    )
    text = text.replace("#hitch_rating", 'hitch_rating = "unknown" #').replace(
        "slim oak", "the oak"
    )
    site = tmp_path / "site.toml"
    site.write_text(text, encoding="utf-8")

    for words in (["rank"], ["why"]):
        answer = CliRunner().invoke(cli, [*words, str(site)], env={"COLUMNS": "400"})
        printed = " ".join(answer.stdout.split())
        assert f"if the hitch of {car} stands" in printed
        assert not TWICE.search(printed), TWICE.findall(printed)
        assert not NOT_SPOKEN.search(printed), NOT_SPOKEN.findall(printed)
