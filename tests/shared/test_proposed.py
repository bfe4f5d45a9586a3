"""Anchors that are not there yet, proposed where nothing works with those that are."""

from pathlib import Path

from optimiser.jobs.rank import rank
from optimiser.site.reading import read_site
from tests.piped import answered

EXAMPLES = Path(__file__).parents[2] / "examples"


def _cures(text: str) -> list[str]:
    code, found = answered(text, "rank")
    assert code == 3
    return [miss["change"]["text"] for miss in found["misses"]]


def test_a_sling_between_the_birches() -> None:
    """Without the pair nothing works; what is proposed is what the file had."""
    pair = '[[pair]]\ntrees = ["left birch", "right birch"]\n'
    text = (EXAMPLES / "two-birches.toml").read_text()
    cures = " ".join(_cures(text.replace(pair, "")))
    assert "tie short rope as a sling between left birch and right birch" in cures
    assert '[[pair]] trees = ["left birch", "right birch"]' in cures


def test_pickets_beyond_the_end_of_the_path() -> None:
    """What is proposed does when it is written into the file."""
    text = (EXAMPLES / "meadow.toml").read_text()
    begin, end = text.index("[[made]]"), text.index("[[puller]]")
    (cure,) = [c for c in _cures(text[:begin] + text[end:]) if "pickets" in c]
    assert "ask first where cables, pipes and drains lie" in cure
    entry = cure[cure.index("[[made]] with ") :].removesuffix(")")
    made = (
        entry.replace(" with ", "\n")
        .replace(", spots", "\nspots")
        .replace(", holdfast", "\nholdfast")
    )
    made += "\n\n"
    assert rank(read_site(text[:begin] + made + text[end:])).setups
