"""Has Python look for cycles of dead objects seldom: an answer leaves few of them behind, and looking as
often as usual only goes over the libraries again and again."""

import gc

SELDOM = 200_000
"""Objects more than before that are looked at together; Python's own is 700."""


def collect_seldom() -> None:
    """From now on, in this process."""
    gc.set_threshold(SELDOM)
