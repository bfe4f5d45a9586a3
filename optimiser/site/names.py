"""The names that a site file gives to things: nobody but its owner words them."""

from collections.abc import Iterator

from optimiser.site.model import Site


def own_names(site: Site) -> tuple[str, ...]:
    """Every name in the site file, and its title; gear that goes by the catalogue's name has none."""
    return tuple(dict.fromkeys(_names(site)))


def _names(site: Site) -> Iterator[str]:
    yield site.title
    yield site.load.name
    for things in (site.load.hitches, site.anchors, site.obstacles, site.pullers):
        yield from (thing.name for thing in things)
    yield from (piece.name for piece in site.gear if piece.name != piece.gear.name)
