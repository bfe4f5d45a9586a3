"""Looks whether ropes that are put together bring more margin than those of one piece, which come first."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from catalogue.gear import Rope
from optimiser.rig.gear.joined import may_be_joined, with_joined
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene
from optimiser.rig.order import BAND, Order
from optimiser.rig.setup import PutTogether
from optimiser.search.clock import Clock
from optimiser.search.prove import Stop, search
from optimiser.search.rules import Rules
from optimiser.site.model import Owned, Site, is_of

EFFORT = 1.0
"""Units of effort that it may take: mostly a tenth of that is enough."""


def may_bring_more(
    site: Site, kit: Kit, ropes: Iterable[Owned[Rope]], margin: float, join_ropes: bool | None
) -> PutTogether | None:
    """What is known without looking of ropes that are joined or lengthened, beside an answer with some ropes
    and a margin: None where it has such ropes, or none at all, where there are none to put together, where
    the margin is enough, or where the question says whether they count (`join_ropes`)."""
    joins = [rope.joined for rope in ropes]
    whole = join_ropes is None and bool(joins) and not any(joins)
    left_out = whole and margin < site.preferences.enough and may_be_joined(kit.rated_only)
    return PutTogether(margin=None) if left_out else None


def more_margin(
    site: Site, scenes: Sequence[Scene], kit: Kit, rules: Rules, margin: float, clock: Clock
) -> PutTogether | None:
    """What ropes that are joined or lengthened bring on a stretch where those of one piece bring a margin
    and they may bring more (`may_bring_more`): None where that is no band more."""
    enough, strong = site.preferences.enough, kit.rated_only
    clock = clock.patient(EFFORT)
    outcome = search(
        [scene for scene in scenes if scene.rated],
        _put_together_only(strong),
        Order.of(site.preferences),
        replace(rules, compound=False),
        top=1,
        floor=min(margin + BAND, enough),
        everything=True,
        clock=clock,
        stop=Stop.FIRST,
    )
    found = [entry.filled.margin for _, entry in outcome.board.leaders()]
    if found:
        return PutTogether(margin=found[0])
    return None if outcome.proven else PutTogether(margin=None)


def _put_together_only(kit: Kit) -> Kit:
    longer = with_joined(kit)
    pieces = (p for p in longer.pieces if not is_of(p, Rope) or p.joined is not None)
    return Kit(tuple(pieces), longer.knots, also=longer.also)
