"""Finds the steering lines that keep a haul on line at the least cost, and how they are rigged.

Where the hauling rope pulls too far to the side, a second line from the load to a trunk at the other
side takes the rest; the haul is then worked out again against what that line holds back. The line
itself is a hold as in letting down: turns round the trunk and a hand behind them.
"""

import heapq
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from optimiser.jobs.hold.spare import spare_site, stations_of
from optimiser.jobs.lower.build import build
from optimiser.jobs.lower.hold_job import ORDER
from optimiser.jobs.lower.results import LoweringSetup
from optimiser.mechanics.resting import Rest
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.forces.holders import HandLimit, hand, hand_limit
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.turns import let_down_variants
from optimiser.rig.gear.variants import eta_patterns, variants
from optimiser.rig.ground.attachments import Attachment, attachments
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stretches import Stretch
from optimiser.rig.order import Key, Order
from optimiser.rig.refit import Stopped, scene_of
from optimiser.rig.setup import Setup, Way
from optimiser.rig.walk import Guide, Place, PlaceKind
from optimiser.site.model import Site


def guides(site: Site) -> tuple[Guide, ...]:
    """Every steering line there may be: each hitch to each rated trunk, with its strap's place as low
    as it may be: higher up a pull bends the trunk more, and nothing is gained."""
    return tuple(
        Guide(place=Place(PlaceKind.ANCHOR, anchor.name, min(anchor.heights)), hitch=hitch)
        for anchor in site.anchors
        if anchor.ties_round and anchor.heights and anchor.strength.capacity is not None
        for hitch in site.load.hitches
    )


def slews(setup: Setup) -> bool:
    """Whether the haul alone would slew the load somewhere."""
    return any(row.steer > 0.0 for row in setup.profile)


def kept_on_line(site: Site, setup: Setup, order: Order, *, kit: Kit) -> Iterator[Filled]:
    """The setup's walk kept on line in every way: at each hitch or bridle, by itself where it does not
    slew, and with each steering line; each filled at its best, the best first. The lines themselves
    are not rigged yet."""
    ahead: list[tuple[tuple[float, ...], int, Filled]] = []
    lines: list[tuple[Guide, ...]] = [(), *((guide,) for guide in guides(site))]
    for attachment in attachments(site):
        base = scene_of(site, replace(setup, attachment=attachment.name, steered=None))
        if isinstance(base, Stopped):
            continue
        for led in lines:
            filled = _filled(replace(base, guides=led), setup, order, kit)
            if filled is not None:
                sort = order.sortable(Key.of(filled.variant, filled.margin))
                heapq.heappush(ahead, (sort, len(ahead), filled))
                if not led:
                    break  # it needs no line
    while ahead:
        _, _, filled = heapq.heappop(ahead)
        yield filled


def _filled(scene: Scene, setup: Setup, order: Order, kit: Kit) -> Filled | None:
    """The best filling of the setup's walk in a scene; None where it does not work."""
    numbers = np.array([[scene.number[place] for place in setup.walk]])
    floor = scene.site.preferences.margin_wanted
    walks = [
        evaluate(scene, numbers, np.array([pattern], dtype=float).reshape(1, -1))
        for pattern in eta_patterns(kit, numbers.shape[1] - 2)
    ]
    rows = [RigRow(ev, 0) for ev in walks if ev.works[0].all()]
    able = (variant for row in rows if row.works_throughout for variant in variants(row, kit))
    return Filler(order, floor).best(able)


# ---- the line itself -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Steering:
    """Where a setup's steering line pulls, and with what: `kit` of it that the haul leaves; `tended`: the
    line, whose tension is known."""

    tended: Evaluation
    stretch: Stretch
    kit: Kit
    limit: HandLimit

    def variants(self, turns: int | None = None) -> Iterator[Variant]:
        """Every rope and way to make fast its ends, with so many turns or the fewest for comfort."""
        return let_down_variants(RigRow(self.tended, 0), self.kit, self.limit, turns=turns)


def steering(site: Site, setup: Setup) -> Steering | None:
    """The setup's steering line, its pieces still open; None where the gear that the haul leaves, the trunk
    or its way does not do."""
    assert setup.steered is not None
    guide, pulls = setup.steered, [row for row in setup.profile if row.steer > 0.0]
    begin, end = pulls[0].at, pulls[-1].at
    spare = spare_site(site, setup)
    kit, limit = kit_of(spare).rated_only, hand_limit(spare.preferences, None)
    hitch = next(h for h in spare.load.hitches if h.name == guide.hitch.name)
    if not kit.ropes or hitch.rating is None:
        return None
    whole = stations_of(site, setup)
    here = whole.between(begin, end)
    held = Attachment(
        name=hitch.name, hitches=(hitch,), ahead=hitch.ahead, left=hitch.left, height=hitch.height
    )
    scene = Scene(spare, whole.pick(here), held, hand(spare))
    given = np.array([row.steer for row in setup.profile])[here]
    straight = evaluate(scene, np.array([[0, scene.number[guide.place]]]), np.zeros((1, 0)))
    tended = replace(straight, duty=Duty.LOWER, given=given)
    if not tended.clear.all() or tended.rubs(0):
        return None
    rest = Rest(int(whole.rest[here].max()))
    stretch = Stretch(way=Way.ASIDE, from_m=begin, to_m=end, force=_across(tended), rest=rest)
    return Steering(tended, stretch, kit, limit)


def rigged(site: Site, setup: Setup) -> tuple[LoweringSetup, Stretch] | None:
    """The setup's steering line from the gear that its haul leaves, and where it pulls; None where
    that gear, the trunk or the hand does not do."""
    found = steering(site, setup)
    if found is None:
        return None
    preferences = found.tended.scene.site.preferences
    order = Order(ORDER, preferences.enough, comfort=found.limit.comfort)
    filled = Filler(order, preferences.margin_wanted).best(found.variants())
    if filled is None:
        return None
    return build(filled, rank=1, hand_source=found.limit.source), found.stretch


def _across(ev: Evaluation) -> float:
    """N across the path, worst."""
    return float((np.abs(ev.sideways) * ev.pull).max())
