"""Puts what an option buys, and what is made on the spot, into the text of a site file."""

from collections.abc import Sequence

from catalogue.book import load_catalogue
from optimiser.jobs.buy.results import AnyOption, Made
from optimiser.site.model import Owned
from optimiser.site.text.with_pieces import with_pieces


def put_in_file(text: str, option: AnyOption, *others: AnyOption) -> str:
    """The text of the site file with the pieces of an option among the gear owned, comments kept: every
    question on it then has what the option promises. `others`: what the same purchase makes of the other
    trips of the load. Raises EditError where the text cannot take them."""
    made: dict[str, Made] = {}
    for one in (one for some in (option, *others) for one in some.made):
        if one.id not in made or made[one.id].count < one.count:
            made[one.id] = one
    return with_pieces(text, (*option.pieces_bought, *_made(tuple(made.values()))))


def _made(made: Sequence[Made]) -> tuple[Owned, ...]:
    book = load_catalogue()
    return tuple(
        Owned(
            name=f"{piece.id} to make",
            gear=book.gear[piece.id],
            count=piece.count,
            condition=book.conditions["good"],
        )
        for piece in made
    )
