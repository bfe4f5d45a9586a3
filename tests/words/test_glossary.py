"""`bankhaul words`: every word of the answers is explained once, and a misspelt one is found."""

import json

import pytest

from catalogue.glossary import explained, named, nearest, words
from optimiser import cli


def test_a_word_is_explained_by_any_of_its_forms(capsys: pytest.CaptureFixture[str]) -> None:
    for form in ("margin", "MARGIN", "two-blocked", "two blocked", "working load limit", "slings"):
        assert cli.main(["words", *form.split()]) == 0
        assert len(capsys.readouterr().out.splitlines()) > 2


def test_a_miss_has_the_closest_word(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["words", "margn"]) == 2
    assert capsys.readouterr().err == "words: 'margn' is not explained; did you mean 'margin'?\n"
    assert cli.main(["words", "zzzz"]) == 2
    assert "`bankhaul words` lists them" in capsys.readouterr().err


def test_the_words_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["words", "reset", "--format", "json"]) == 0
    (record,) = json.loads(capsys.readouterr().out)
    assert set(record) == {"word", "text", "also", "see"}
    assert record["see"] == ["stroke", "chock"]


def test_what_a_newcomer_stumbles_over_is_there() -> None:
    for word in (
        "margin", "part of line", "reset", "two-blocked", "choker", "basket", "walk", "WLL", "hitch",
        "bridle", "strap", "stage", "band", "advantage", "standing end", "UNRATED",
    ):  # fmt: skip
        assert [found.name for found in named(word)][:1] == [word]


def test_words_point_to_words_and_no_form_stands_for_two() -> None:
    names = {word.name for word in words()}
    forms = [form.casefold() for word in words() for form in (word.name, *word.also)]
    assert len(forms) == len(set(forms))
    assert {other for word in words() for other in word.see} <= names
    assert all(word.text.endswith(".") and word.short.endswith(".") for word in words())


def test_words_among_an_answer() -> None:
    assert explained(("reset",)) == (
        "Reset: the load is chocked while the puller goes back to pull again."
    )
    assert nearest("shakle") == "shackle"
