"""Shows answers as HTML, for a notebook."""

from html import escape

from optimiser.rig.setup import Ranking, Setup
from optimiser.telling import words
from optimiser.telling.detail import components, path, places, summary
from optimiser.telling.tables import misses_listing, ranking_listing


def ranking_html(ranking: Ranking) -> str:
    """The ranking as a table, what it proves, and the drawings of the best."""
    listing = ranking_listing(ranking) if ranking.setups else misses_listing(ranking.misses)
    notes = (
        words.proof(ranking),
        words.counting_note(ranking.setups),
        words.mark_note(ranking.setups),
    )
    text = "".join(f"<p>{escape(note)}</p>" for note in notes if note)
    return listing.html() + text + "".join(map(_drawn, ranking.setups[:1]))


def setup_html(setup: Setup) -> str:
    """A setup in sentences, its cautions, its tables and its drawings; tables in metric units."""
    text = "".join(f"<p>{escape(line)}</p>" for line in summary(setup, "metric").split("\n"))
    points = "".join(f"<li>{escape(caution.text)}</li>" for caution in setup.cautions)
    listings = (places(setup, "metric"), components(setup, "metric"), path(setup, "metric"))
    tables = "".join(listing.html() for listing in listings)
    return f"{text}<ul>{points}</ul>{tables}{_drawn(setup)}"


def _drawn(setup: Setup) -> str:
    """The drawings of a setup that knows its site."""
    if setup.site is None:
        return ""
    from optimiser.sheet.inline import draw  # the drawing library takes long to import

    return draw(setup.site, setup).html()
