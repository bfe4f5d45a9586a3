"""Gives the drawings of a sheet by themselves, for a notebook."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import singledispatch
from html import escape

from optimiser.jobs.lower.results import Lowering
from optimiser.jobs.stages.results import Plan
from optimiser.rig.setup import Ranking, Setup
from optimiser.sheet.booklet import Shown, drawings_of
from optimiser.sheet.page import Sheet, lowering_sheet, plan_sheet, sheet
from optimiser.sheet.write import booklet
from optimiser.site.model import Site


@dataclass(frozen=True)
class Drawings:
    """Plan, side view, reeving and chart of each page of a sheet; a notebook shows them."""

    headings: tuple[str, ...]
    pages: tuple[Sequence[Shown], ...]

    def _repr_html_(self) -> str:
        """For notebooks."""
        return self.html()

    def html(self) -> str:
        """A part of a page, black on white whatever the colours around it are."""
        parts = []
        for heading, pictures in zip(self.headings, self.pages, strict=True):
            parts.append(f"<h3>{escape(heading)}</h3>")
            for picture in pictures:
                note = f"<p>{escape(picture.note)}</p>" if picture.note else ""
                title = f"<figcaption><b>{escape(picture.title)}</b></figcaption>"
                parts.append(f"<figure>{title}{picture.svg}{note}</figure>")
        style = "background:#fff;color:#000;padding:1em;max-width:50em"
        return f'<div style="{style}">{"".join(parts)}</div>'


def draw(site: Site, answer: Ranking | Setup | Plan | Lowering) -> Drawings:
    """The drawings of an answer on the site it was found for: of a setup, of the best of a ranking, of every
    stage of a plan, of the best way down. ValueError where nothing in it works."""
    made = _sheet_of(answer, site)
    bound = booklet(made)
    return Drawings(
        tuple(f"{page.title}. {page.heading}" for page in made.pages),
        tuple(drawings_of(bound, number) for number in range(len(made.pages))),
    )


@singledispatch
def _sheet_of(answer: object, _site: Site) -> Sheet:
    raise TypeError(f"a {type(answer).__name__} cannot be drawn")


@_sheet_of.register
def _setup(answer: Setup, site: Site) -> Sheet:
    return sheet(site, [answer])


@_sheet_of.register
def _ranking(answer: Ranking, site: Site) -> Sheet:
    return sheet(site, answer.setups[:1], answer.setups[1:3])


@_sheet_of.register
def _plan(answer: Plan, site: Site) -> Sheet:
    return plan_sheet(site, answer)


@_sheet_of.register
def _lowering(answer: Lowering, site: Site) -> Sheet:
    return lowering_sheet(site, answer)
