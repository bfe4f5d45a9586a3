"""The sound site files that are changed."""

from functools import cache
from pathlib import Path
from tomllib import loads
from typing import Any

from optimiser.site.reading import demonstration_text, measured_starter_text, starter_text
from tests.site.small import SMALL

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def texts() -> dict[str, str]:
    """Every site file that ships, a small one of the tests, and one that says all there is to say."""
    out = {path.stem: path.read_text(encoding="utf-8") for path in sorted(EXAMPLES.glob("*.toml"))}
    rich = Path(__file__).with_name("rich.toml").read_text(encoding="utf-8")
    shipped = {
        "demonstration": demonstration_text(),
        "starter": starter_text(),
        "measured": measured_starter_text(),
    }
    return {**out, **shipped, "rich": rich, "small": SMALL}


def document(name: str) -> dict[str, Any]:
    """A base as a document of its own, that may be changed."""
    return loads(texts()[name])
