"""Shows answers as HTML, for a notebook."""

from html import escape

from optimiser.rig.setup import Ranking, Setup
from optimiser.telling import words
from optimiser.telling.detail import components, path, places, summary
from optimiser.telling.tables import misses_listing, ranking_listing


def ranking_html(ranking: Ranking) -> str:
    """The ranking as a table, and what it proves."""
    listing = ranking_listing(ranking) if ranking.setups else misses_listing(ranking.misses)
    notes = (
        words.proof(ranking),
        words.counting_note(ranking.setups),
        words.mark_note(ranking.setups),
    )
    return listing.html() + "".join(f"<p>{escape(note)}</p>" for note in notes if note)


def setup_html(setup: Setup) -> str:
    """A setup in sentences, its cautions and its tables, in metric units."""
    text = "".join(f"<p>{escape(line)}</p>" for line in summary(setup, "metric").split("\n"))
    points = "".join(f"<li>{escape(caution.text)}</li>" for caution in setup.cautions)
    listings = (places(setup, "metric"), components(setup, "metric"), path(setup, "metric"))
    tables = "".join(listing.html() for listing in listings)
    return f"{text}<ul>{points}</ul>{tables}"
