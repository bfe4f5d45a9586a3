"""The page of a site on which nothing is rigged: its drawings, and tables of what is known of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from optimiser.jobs.remarks import line
from optimiser.sheet.booklet import Booklet, Leaf
from optimiser.sheet.drawing import paper, pictures
from optimiser.sheet.drawing.paper import Block
from optimiser.sheet.shown.bare import Bare
from optimiser.site.doubts.unlikely import unlikely
from optimiser.site.model import Site
from optimiser.site.names import own_names
from shared.listing import Listing
from shared.report import Report
from shared.reworded import reworded

HEADING = "the site as it was read"


@dataclass(frozen=True, slots=True, kw_only=True)
class SitePage:
    """Every text may contain words of the site file: escape it where it is shown."""

    seen: Bare
    title: str
    heading: str
    facts: tuple[tuple[str, str], ...]
    blocks: tuple[Block, ...]


def site_page(site: Site, report: Report) -> SitePage:
    """The page of a site. `report`: the tables and texts that stand below the drawings."""
    return SitePage(
        seen=Bare(site),
        title=site.title,
        heading=HEADING,
        facts=tuple(("MEANT SO?", line(remark)) for remark in unlikely(site)),
        blocks=tuple(_block(site, title, body) for title, body in report),
    )


def _block(site: Site, title: str, body: Listing | str) -> Block:
    system, own = site.preferences.units, own_names(site)

    def worded(text: str) -> str:
        return reworded(text, system, own)

    if isinstance(body, str):
        return Block(title=worded(title), text=worded(body))
    if not body.rows:
        return Block(title=worded(title), text=worded(body.empty))
    heads, *rows = body.printed(system)
    return Block(
        title=worded(title),
        heads=heads,
        right=body.right(),
        rows=tuple(tuple(worded(cell) for cell in row) for row in rows),
    )


def site_booklet(page: SitePage) -> Booklet:
    """A site's page as it is written."""
    blocks: Sequence[Block] = (
        *(Block(title="", text=f"{name}: {text}") for name, text in page.facts), *page.blocks
    )  # fmt: skip
    return Booklet(
        title=page.title,
        site=page.seen.site,
        leaves=(
            Leaf(
                title=page.title,
                heading=page.heading,
                pictures=pictures.of_site(page.seen),
                notes=pictures.site_notes(page.seen),
                words=partial(paper.of_blocks, page.title, page.heading, blocks),
            ),
        ),
        template="site.html",
        context={"page": page},
    )
