"""Every way in which the two ends of a rope can be made fast."""

from collections.abc import Iterator
from dataclasses import dataclass

from optimiser.gear import joined
from optimiser.gear.kit import Kit, RopeEnd
from optimiser.site.model import Owned


@dataclass(frozen=True, slots=True)
class Fastened:
    """A rope with one way to make fast both its ends, and the kit beside it."""

    rope: Owned
    standing: RopeEnd
    hauling: RopeEnd
    beside: Kit


def fastenings(kit: Kit, *, hands: bool) -> tuple[Fastened, ...]:
    """Of every rope of the kit, worked out once. `hands`: people hold the hauling end."""
    return kit.once(("fastened", hands), lambda: tuple(_fastenings(kit, hands=hands)))


def _fastenings(kit: Kit, *, hands: bool) -> Iterator[Fastened]:
    for rope in kit.ropes:
        beside = joined.kit_beside(kit, rope)
        for tied in kit.ends(rope, hands=False):
            standing = joined.standing_end(rope, tied)
            if standing is None:
                continue
            for hauling in kit.ends(rope, hands=hands):
                if not hauling.round_trunk and both_ends(rope, standing, hauling):
                    yield Fastened(rope, standing, hauling, beside)


def both_ends(rope: Owned, standing: RopeEnd, hauling: RopeEnd) -> bool:
    """Whether the rope's two ends can be made fast like this: each is there once."""
    ends = list(rope.ends)
    for end in (standing, hauling):
        if end.spliced:
            if end.termination not in ends:
                return False
            ends.remove(end.termination)
    return True
