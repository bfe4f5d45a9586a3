"""A ranking whose setups hold at every end of the site's ranges, not only at the planned ones.

The search plans for one end of each range. That is the worst one for most inputs; for the others (see
`corners`) a setup's margin can only be less than the search says. So what the search lists is a list of
upper bounds: setups are taken from it until no further one could still come into the list.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

from optimiser.keys import Key, Order
from optimiser.ranking import rank
from optimiser.results import Ranking, Setup
from optimiser.site.model import Site

MOST = 160
"""Setups asked of the search at most before the list is called not proven."""


def rank_at_worst(
    site: Site,
    *,
    top: int = 10,
    order: Sequence[str] | None = None,
    everything: bool = False,
    time_limit: float | None = None,
    rules: frozenset[str] | None = None,
    progress: Callable[[str], None] | None = None,
    explain: bool = True,
    rank: Callable[..., Ranking] = rank,
) -> Ranking:
    """As `optimiser.ranking.rank`, with the margins at worst and at best of every setup.

    Setups of a site planned at its worst end are listed by their margin at the worst, and those below
    the margin wanted there are left out (`Ranking.left_out` counts them). A site planned at another end
    is listed as it was planned. `rank`: what ranks, if it is not the plain search.
    """
    asked = top

    def ranked() -> Ranking:
        return rank(
            site, top=asked, order=order, everything=everything, time_limit=time_limit, rules=rules,
            progress=progress, explain=explain,
        )  # fmt: skip

    found = ranked()
    if not site.uncertain:
        return found
    wanted = Order.of(site.preferences, order)
    assert site.origin is not None
    if site.origin.corner != "worst":
        return replace(found, setups=tuple(_told(site, setup) for setup in found.setups))
    known: dict[str, Setup] = {}
    while True:
        for setup in found.setups:
            mark = f"{setup.reeving} | {setup.attachment}"
            if mark not in known:
                known[mark] = _told(site, setup)
        looked = [known[f"{setup.reeving} | {setup.attachment}"] for setup in found.setups]
        hold = [s for s in looked if _at_worst(s) >= site.preferences.margin_wanted - 1e-9]
        hold.sort(key=lambda s: _sort(s, wanted, s.margin_worst))
        complete = len(found.setups) < asked
        settled = len(hold) >= top and _sort(
            hold[top - 1], wanted, hold[top - 1].margin_worst
        ) <= _sort(found.setups[-1], wanted, found.setups[-1].margin)
        if complete or settled or not found.proven or asked >= MOST:
            break
        asked *= 2
        found = ranked()
    listed = tuple(replace(setup, rank=i + 1) for i, setup in enumerate(hold[:top]))
    return replace(
        found,
        setups=listed,
        proven=found.proven and (complete or settled),
        left_out=len(looked) - len(hold),
    )


def _told(site: Site, setup: Setup) -> Setup:
    from optimiser.uncertainty.corners import extremes  # not asked for where all is certain

    ends = extremes(site, setup)
    return replace(setup, margin_worst=ends.worst, margin_best=ends.best)


def _at_worst(setup: Setup) -> float:
    return setup.margin if setup.margin_worst is None else setup.margin_worst


def _sort(setup: Setup, order: Order, margin: float | None) -> tuple[bool, tuple[float, ...]]:
    """Fully rated setups first, then by the order, with a margin of its own."""
    counted = setup.margin if margin is None else min(margin, setup.margin)
    return bool(setup.unrated), order.sortable(Key.of(setup, counted))
