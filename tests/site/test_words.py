"""The closest valid word."""

from shared.words import closest, did_you_mean, listed, nearest


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


def test_sizes_are_near_by_size() -> None:
    ropes = [f"polyester-{size}" for size in (8, 10, 12, 14, 16, 20)]
    shackles = [f"shackle-{size}" for size in (8, 13, 16, 19, 22, 25, 32)]
    blocks = [f"snatch-{size}-{of}" for size in (75, 100, 150) for of in ("bronze", "plain")]
    known = [*ropes, *shackles, *blocks, "nylon-15", "hook-15t"]

    for word, near in (
        ("polyester-15", ("polyester-16", "polyester-14")),
        ("polyestr 12", ("polyester-12",)),
        ("polyester-100", ("polyester-20",)),
        ("polyester-12mm", ("polyester-12",)),
        ("shackle-bow-20", ("shackle-19", "shackle-22")),
        ("shackle-1/2", ("shackle-13",)),
        ("shackle-5/8in", ("shackle-16",)),
        ("snatch-90", ("snatch-100-bronze", "snatch-75-bronze")),
        ("snatch-90-plain", ("snatch-100-plain", "snatch-75-plain")),
        ("rope-12", ()),
    ):
        assert nearest(word, known) == near, word
    assert did_you_mean("polyester-15", known) == "; did you mean 'polyester-16' or 'polyester-14'?"


def test_a_word_that_means_something_else_is_no_misspelling() -> None:
    """A car is a vehicle, or what somebody calls their car; it is no cedar, and a truck no trunk."""
    known = ["cedar", "trunk", "block", "vehicle", "our car", "wire-13"]

    assert nearest("car", known) == ("our car",)
    assert nearest("truck", known) == nearest("old trucks", known) == ("vehicle",)
    assert nearest("car", ["cedar", "oak"]) == ()
    assert nearest("pulleys", known) == ("block",)
    assert nearest("cable", [*known, "double-wire-110"]) == ("wire-13", "double-wire-110")
    assert nearest("vehcle", known) == ("vehicle",)
