"""Puts straps where a walk has them: every question about one reeving allows its own heights."""

from dataclasses import replace
from typing import Any, cast

from optimiser.rig.walk import PlaceKind, Walk
from optimiser.site.model import Anchor, Site


def with_places(site: Site, walk: Walk) -> Site:
    """The site with straps allowed at the walk's heights too."""
    anchors = []
    for anchor in site.anchors:
        more = {p.height for p in walk if p.kind is PlaceKind.ANCHOR and p.name == anchor.name}
        heights = tuple(sorted(more | set(anchor.heights)))
        anchors.append(cast(Anchor, replace(cast(Any, anchor), heights=heights)))
    return replace(site, anchors=tuple(anchors))


def only_places(site: Site, walk: Walk) -> Site:
    """The site with straps at the walk's heights only: the rest stands in the way, no more."""
    return with_places(
        replace(
            site,
            anchors=tuple(cast(Anchor, replace(cast(Any, a), heights=())) for a in site.anchors),
        ),
        walk,
    )
