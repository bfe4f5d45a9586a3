"""Compares many made-up sites whose puller may choose where it stands: `python -m tests.tracks --sites
200`."""

import argparse
from collections import Counter

from optimiser.jobs.rank import rank
from optimiser.rig.order import Key, Order
from optimiser.site.roaming.stands import stands
from tests.tracks.against_oracle import QUESTION, compared
from tests.tracks.sites import site


def main() -> None:
    """Prints how many sites agree; stops at the first that does not."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sites", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    options = parser.parse_args()
    met: Counter[str] = Counter()
    for number in range(options.first, options.first + options.sites):
        ranking = compared(number)
        made = site(number)
        room = made.pullers[0].room
        met["setups"] += len(ranking)
        met[f"sites with {'one spot' if room is None else room.word}"] += 1
        met["candidates"] += len(stands(made, made.pullers[0]))
        met["sites without a setup"] += not len(ranking)
        met["spots in lists"] += len({setup.puller.stand for setup in ranking})
        refined = rank(made, QUESTION)
        met["refined"] += sum(s.standing is not None and s.standing.refined for s in refined)
        order = Order.of(made.preferences)
        firsts = [
            order.sortable(
                Key(s.margin, s.resets, s.rope_needed, s.parts, s.pull, 0.5 * s.marked_down)
            )
            for s in (*refined.setups[:1], *ranking.setups[:1])
        ]
        assert not firsts or firsts[0] <= firsts[1], number
    print(f"{options.sites} sites agree: {dict(met)}")


if __name__ == "__main__":
    main()
