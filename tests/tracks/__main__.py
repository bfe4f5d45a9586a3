"""Compares many made-up sites whose puller may choose where it stands: `python -m tests.tracks --sites
200`."""

import sys

from optimiser.jobs.rank import rank
from optimiser.rig.order import Key, Order
from optimiser.rig.setup import Ranking
from optimiser.site.roaming.stands import stands
from tests.many import Counts, compare_rankings
from tests.tracks.against_oracle import QUESTION, compared
from tests.tracks.sites import site


def _met(number: int, ranking: Ranking) -> Counts:
    """Stands that were there and that are listed; a spot that was refined is never worse."""
    made = site(number)
    room = made.pullers[0].room
    refined = rank(made, QUESTION)
    order = Order.of(made.preferences)
    firsts = [
        order.sortable(Key(s.margin, s.resets, s.rope_needed, s.parts, s.pull, 0.5 * s.marked_down))
        for s in (*refined.setups[:1], *ranking.setups[:1])
    ]
    assert not firsts or firsts[0] <= firsts[1], number
    return {
        f"sites with {'one spot' if room is None else room.word}": 1,
        "candidates": len(stands(made, made.pullers[0])),
        "spots in lists": len({setup.puller.stand for setup in ranking}),
        "refined": sum(s.standing is not None and s.standing.refined for s in refined),
    }


if __name__ == "__main__":
    sys.exit(compare_rankings(__doc__, compared, _met))
