"""The closest valid word."""

from shared.words import closest, did_you_mean, listed


def test_the_closest_word() -> None:
    """A slip of one or two letters, other case, other joints between the words."""
    words = ["diameter", "species", "strap_lowest", "kN"]

    assert closest("diamter", words) == "diameter"
    assert closest("strap-lowest", words) == "strap_lowest"
    assert closest("kn", words) == "kN"
    assert closest("zzz", words) is None
    assert closest("", words) is None


def test_the_order_of_the_words_makes_no_difference() -> None:
    """Messages are the same from run to run."""
    assert closest("sling-60", ["sling-60-2m", "sling-60-3m"]) == closest(
        "sling-60", ["sling-60-3m", "sling-60-2m"]
    )


def test_words_in_a_sentence() -> None:
    """Ends of messages."""
    assert did_you_mean("wieght", ["weight"]) == "; did you mean 'weight'?"
    assert did_you_mean("zzz", ["weight"]) == ""
    assert listed(["a"]) == "'a'"
    assert listed(["a", "b", "c"]) == "'a', 'b' or 'c'"
