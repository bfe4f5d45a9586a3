"""Picks the options of a purchase that are worth printing, and puts them in order."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from optimiser.jobs.buy.goals import FEWEST_PIECES, PLAINER, PLAINEST
from optimiser.jobs.buy.results import Option
from optimiser.search.buying.worth import worth


def worth_printing(options: Iterable[Option]) -> Iterator[Option]:
    """Options by cost, equal purchases as one, those of several stages with the fewest of them; without
    those that a no dearer and no less plain one beats or equals in margin, resets, stages and pieces alike.
    """
    named = {FEWEST_PIECES, PLAINEST, PLAINER}
    merged: dict[tuple[object, ...], Option] = {}
    for option in options:
        mark = (option.counts, option.setup.reeving if option.plan is None else None)
        if mark in merged:
            known = merged[mark]
            shorter = min(known, option, key=lambda o: o.stages)
            both = known.proven and option.proven
            option = replace(shorter, goals=(*known.goals, *option.goals), proven=both)
        merged[mark] = option
    kept: list[Option] = []
    for option in sorted(merged.values(), key=lambda o: (o.cost, o.pieces, o.stages)):
        better = any(
            other.margin >= option.margin
            and other.resets <= option.resets
            and other.stages <= option.stages
            and other.pieces <= option.pieces
            and len(other.unusual) <= len(option.unusual)
            for other in kept
        )
        if not better or named & set(option.goals):
            kept.append(option)
    yield from kept


def plainest_first(options: Iterable[Option]) -> list[Option]:
    """The plainest first among the options for not much more than the least money, then the others, cheapest
    first."""
    listed = sorted(options, key=lambda option: option.cost)
    if not listed:
        return listed
    limit = worth().limit(listed[0].cost)
    near = [option for option in listed if option.cost <= limit + 1e-9]

    def place(option: Option) -> tuple[object, ...]:
        # What else the same pieces can do stands behind what they are bought for.
        same = [other for other in near if other.items == option.items and _is_goal(other)]
        head = min((other.plainness for other in same), default=option.plainness)
        return head, not _is_goal(option), option.plainness

    return sorted(near, key=place) + listed[len(near) :]


def _is_goal(option: Option) -> bool:
    """Whether an option is more than a further step."""
    steps = tuple(goal.startswith(("margin", *"0123456789")) for goal in option.goals)
    return not all(steps)
