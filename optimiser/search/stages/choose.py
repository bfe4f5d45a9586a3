"""Finds the best chain by an order of counts: each count in turn is made as good as it can be, and is
then a limit for those after it.

The number of stages decides between plans of different numbers of them; within one number the order is
that of a ranking of the same site, so that a plan of one stage is the setup that the ranking has first.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import ceil, inf
from typing import assert_never

from optimiser.rig.order import Order
from optimiser.search.stages.finder import Caps, Finder, at_band
from optimiser.search.stages.shortest_chain import Chain, Link, fewest_resets, fewest_stages
from optimiser.site.counts import Count, OfPlan, PlanCount, plan_counts_of
from optimiser.site.model import Preferences

WITHIN_A_STAGE = (Count.PARTS, Count.PULL)
"""Counts that choose between the setups of one stage only, not between chains of stages."""
ROPE_STEP = 0.01
"""m: two plans whose rope differs by less are equal in it."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a whole plan keeps within."""

    caps: Caps
    stages: int
    resets: float = inf  # in all, one for every change of stage among them


@dataclass(frozen=True, slots=True)
class Choice:
    """A chain, and the limits it is the best within."""

    chain: Chain
    limits: Limits


def order_of(names: Sequence[str], preferences: Preferences) -> tuple[PlanCount, ...]:
    """Returns a whole order of counts: fewest stages first unless `names` puts them elsewhere, the others
    as a ranking of the site would count them by `names`. Raises ValueError for a name that is no count."""
    counts = plan_counts_of(names)
    ranked = Order.of(preferences, without_stages(counts)).names
    if OfPlan.STAGES not in counts:
        return (OfPlan.STAGES, *ranked)
    place = counts.index(OfPlan.STAGES)
    return (*ranked[:place], OfPlan.STAGES, *ranked[place:])


def without_stages(names: Sequence[PlanCount]) -> tuple[Count, ...]:
    """Returns the counts by which the setups of one stage are ordered."""
    return tuple(name for name in names if isinstance(name, Count))


def choose(
    finder: Finder[Caps],
    order: tuple[PlanCount, ...],
    limits: Limits,
    note: Callable[[Choice], None],
) -> Choice | None:
    """The best chain; None where none covers the path. `note` gets every better one on the way.
    Raises TimeUp."""
    first = chain_within(finder, limits)
    if first is None:
        return None
    choice = Choice(first, limits)
    note(choice)
    for name in order:
        if len(choice.chain.links) == choice.limits.stages == 1:
            return choice  # one setup: the order itself chooses it
        better = _bettered(finder, choice, name)
        if better is not None:
            choice = better
            note(choice)
    return choice


def _bettered(finder: Finder[Caps], choice: Choice, count: PlanCount) -> Choice | None:
    """The choice with one count as good as it can be; None where that does not choose between chains."""
    match count:
        case OfPlan.STAGES:
            return _stages(finder, choice)
        case Count.RESETS:
            return _resets(finder, choice)
        case Count.MARGIN:
            return _margin(finder, choice)
        case Count.ROPE:
            return _rope(finder, choice)
        case Count.PARTS | Count.PULL:
            return None
        case _:
            assert_never(count)


def chain_within(finder: Finder[Caps], limits: Limits) -> Chain | None:
    """A chain within limits; its number of resets is the least where they are limited."""
    if limits.resets == inf:
        return fewest_stages(finder, limits.caps, limits.stages)
    return fewest_resets(finder, limits.caps, limits.stages, limits.resets)


def _stages(finder: Finder[Caps], choice: Choice) -> Choice:
    """Fewest stages."""
    chain = choice.chain
    while len(chain.links) > 1:
        fewer = replace(choice.limits, stages=len(chain.links) - 1)
        found = chain_within(finder, fewer)
        if found is None:
            break
        chain = found
    return Choice(chain, replace(choice.limits, stages=len(chain.links)))


def _resets(finder: Finder[Caps], choice: Choice) -> Choice:
    """Fewest resets."""
    limits = choice.limits
    known = _counted(finder, choice)
    found = fewest_resets(finder, limits.caps, limits.stages, min(limits.resets, known.resets))
    best = known if found is None else found
    return Choice(best, replace(limits, resets=best.resets))


def _counted(finder: Finder[Caps], choice: Choice) -> Chain:
    """The chain with its resets counted, where they were free so far."""
    links = []
    for link in choice.chain.links:
        many = link.resets
        if many == inf:
            least = finder.least_resets(link.begin, link.end, choice.limits.caps)
            assert least is not None
            many = least
        links.append(Link(link.begin, link.end, many))
    return Chain(tuple(links))


def _margin(finder: Finder[Caps], choice: Choice) -> Choice:
    """The highest band of the least margin, by halving from the band that the chain at hand has."""
    best, low = choice, _band_of(finder, choice)
    beyond = Order((Count.MARGIN,), finder.task.enough).bands + 1
    next_one = True  # most often there is none above
    while low + 1 < beyond:
        probe = low + 1 if next_one else (low + beyond) // 2
        limits = replace(choice.limits, caps=at_band(choice.limits.caps, probe))
        found = chain_within(finder, limits)
        next_one = found is None
        if found is None:
            beyond = probe
        else:
            best = Choice(found, limits)
            low = _band_of(finder, best)
    caps = at_band(choice.limits.caps, low)
    return Choice(best.chain, replace(best.limits, caps=caps))


def _band_of(finder: Finder[Caps], choice: Choice) -> int:
    """The band that the stretches of this chain reach."""
    bands = []
    for link in choice.chain.links:
        caps = replace(choice.limits.caps, resets=link.resets)
        band = finder.top_band(link.begin, link.end, caps)
        assert band is not None
        bands.append(band)
    return min(bands)


def _rope(finder: Finder[Caps], choice: Choice) -> Choice:
    """The least rope, to a centimetre."""
    best, high = choice, _rope_of(finder, choice)
    low = 0.0  # with so little there is no chain
    drop = ROPE_STEP
    while high - low > ROPE_STEP * 1.001:
        probe = high - drop if drop < high - low else (low + high) / 2
        limits = replace(choice.limits, caps=replace(choice.limits.caps, rope=probe))
        found = chain_within(finder, limits)
        if found is None:
            low = probe
            drop = (high - low) / 2
        else:
            best = Choice(found, limits)
            high = min(probe, _rope_of(finder, best))
            drop *= 8
    cap = ceil(high / ROPE_STEP - 1e-6) * ROPE_STEP
    return Choice(best.chain, replace(best.limits, caps=replace(best.limits.caps, rope=cap)))


def _rope_of(finder: Finder[Caps], choice: Choice) -> float:
    """The rope that the stretches of this chain need at least."""
    most = 0.0
    for link in choice.chain.links:
        caps = replace(choice.limits.caps, resets=link.resets)
        entry = finder.best(link.begin, link.end, caps, (Count.ROPE,))
        assert entry is not None
        most = max(most, entry.key.rope)
    return most
