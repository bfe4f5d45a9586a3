"""How far an answer is settled."""

from enum import StrEnum


class Status(StrEnum):
    """How a search can end."""

    PROVEN = "proven"  # the best, and nothing better exists
    CUT_SHORT = "cut short"  # something does; better may exist
    NOTHING_WORKS = "nothing works"  # and that is proven
    UNDECIDED = "undecided"  # nothing found yet, and it is not proven that nothing works

    @staticmethod
    def of(*, found: bool, settled: bool) -> "Status":
        """`found`: there is something to show; `settled`: the search came to its end."""
        if found:
            return Status.PROVEN if settled else Status.CUT_SHORT
        return Status.NOTHING_WORKS if settled else Status.UNDECIDED
