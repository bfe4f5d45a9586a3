"""Setups whose ropes are made to touch an edge, for tests of what is said of that."""

from dataclasses import replace
from math import radians

from catalogue.book import load_catalogue
from optimiser import rank, read_site
from optimiser.jobs.question import RankQuestion
from optimiser.rig.naming import edge_at
from optimiser.rig.setup import Contact, Hung, Role, Setup
from optimiser.site.model import Owned, Site

AT = 6.2
"""m along the path of the made-up edge."""


def contact(**changes: object) -> Contact:
    """A rope over a log in its bark."""
    book = load_catalogue()
    log, good = book.protectors["log-bark-20"], book.conditions["good"]
    owned = Owned(gear=log, count=1, condition=good, name="log-bark-20")
    usual = Contact(
        part=1, from_m=AT, to_m=AT, left_from=-0.4, left_to=0.1, angle=radians(31.0), friction=0.6,
        force=1234.0, protector="log-bark-20", owned=owned, shift=456.0, load_from=0.0, load_to=3.0,
    )  # fmt: skip
    return replace(usual, **changes)  # type: ignore[arg-type]


def piece(at: float = AT, item: str = "log-bark-20") -> Hung:
    """What is laid on an edge."""
    return Hung(place=edge_at(at, at), role=Role.PROTECTOR, item=item, how="", nodes=())


def over_an_edge() -> tuple[Site, Setup]:
    """The demonstration's best setup, as if its first part ran over a log."""
    site = read_site(None)
    setup = rank(site, RankQuestion(top=1))[0]
    return site, replace(setup, contacts=(contact(),), gear=(piece(), *setup.gear))
