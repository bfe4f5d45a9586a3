"""Reports remarks on the site as it is written, as a block of an answer."""

from collections.abc import Collection, Iterable, Sequence

from optimiser.rig.walk import PlaceKind, Walk
from optimiser.site.doubts.data_ends import data_ends
from optimiser.site.doubts.unlikely import Remark, unlikely
from optimiser.site.model import Puller, Site
from shared.report import Block

MEANT_SO = "MEANT SO?"
"""Title of what hardly can be meant so."""
DATA_END = "Where the data on trees end"
"""Title of what the data do not cover."""


def unlikely_blocks(remarks: Sequence[Remark]) -> list[Block]:
    """Returns what hardly can be meant so, as the block on top of an answer; none where all is usual."""
    return _blocks(MEANT_SO, remarks)


def data_end_blocks(site: Site, names: Collection[str] | None = None) -> list[Block]:
    """What the data on trees do not cover, of all trees or of those named; none where they cover all."""
    return _blocks(DATA_END, data_ends(site, names))


def unlikely_of_all(sites: Iterable[Site]) -> tuple[Remark, ...]:
    """What hardly can be meant so on any of some sites, each remark once."""
    return tuple(dict.fromkeys(remark for site in sites for remark in unlikely(site)))


def used(walks: Iterable[Walk], puller: Puller | None = None) -> frozenset[str]:
    """The names of the anchors that some ropes go to, and of the one a hand winch is made fast to."""
    names = {place.name for walk in walks for place in walk if place.kind is PlaceKind.ANCHOR}
    return frozenset(names | ({puller.anchor} if puller is not None and puller.anchor else set()))


def line(remark: Remark) -> str:
    """A remark with where it stands in the site file: "load weight: ... (load.weight, line 33)"."""
    where = [remark.place] if remark.place else []
    where += [f"line {remark.line}"] if remark.line is not None else []
    return f"{remark.text} ({', '.join(where)})" if where else remark.text


def _blocks(title: str, remarks: Sequence[Remark]) -> list[Block]:
    if not remarks:
        return []
    points = []
    reasons: set[str] = set()
    for remark in remarks:
        why = "" if remark.reason in reasons else f" {remark.reason}"
        reasons.add(remark.reason)
        points.append(f"- {line(remark)}{why}")
    return [(title, "\n".join(points))]
