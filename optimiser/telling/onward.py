"""Names the one command to run next, where a command found nothing that works."""

import shlex
from collections.abc import Iterable
from typing import TYPE_CHECKING

from optimiser.rig.status import Status
from shared.interrupt import requested

if TYPE_CHECKING:
    from optimiser.jobs.buy.results import Purchases
    from optimiser.jobs.lower.results import Lowering
    from optimiser.jobs.stages.results import Plan
    from optimiser.rig.setup import Miss, Ranking

LONGER = 5.0
"""Times the time limit that was too short."""
LEAST = 30.0
"""s: no shorter time limit is proposed."""
LONG = 300.0
"""s: a time limit for what is too much to look at by itself."""
PATH = ("length of the path", "line to the anchors", "line on the ground", "obstacle", "nose")
"""Limits that another anchor on a part of the path may be free of."""


def sentence(command: str) -> str:
    """The last line of an answer: what to run next."""
    return f"Next: `{command}`"


def after_rank(path: str | None, found: "Ranking", time_limit: float | None = None) -> str:
    """What to run after a `rank` without a setup."""
    if found.status is Status.UNDECIDED:
        return unfinished("rank", path, time_limit)
    if found.not_held is not None:
        return command_line("rank", path)
    if found.compounds_left:
        return command_line("rank", path, "--compound")
    limits = [miss.limit for miss in found.misses]
    if any("side pull" in limit for limit in limits[:1]):
        return command_line("rank", path, "--hold")
    rule = _rule(found.misses)
    if rule:
        return command_line("rank", path, "--without-rule", rule)
    if any(name in limit for limit in limits for name in PATH):
        return command_line("stages", path)
    return command_line("buy", path)


def after_stages(path: str | None, plan: "Plan", time_limit: float | None) -> str:
    """What to run after a `stages` without a plan."""
    if plan.status is Status.UNDECIDED:
        return unfinished("stages", path, time_limit)
    if plan.needs_stages is not None:
        return command_line("stages", path, "--most-stages", str(plan.needs_stages))
    if plan.compounds_left:
        return command_line("stages", path, "--compound")
    return command_line("buy", path)


def after_buy(path: str | None, found: "Purchases", time_limit: float | None) -> str:
    """What to run after a `buy` without an option."""
    if found.status is Status.UNDECIDED:
        return unfinished("buy", path, time_limit)
    if found.most_stages == 1:
        return command_line("buy", path, "--stages", "4")
    return command_line("why", path)


def after_lower(path: str | None, found: "Lowering", time_limit: float | None) -> str:
    """What to run after a `lower` without a hold for the whole way."""
    if found.status is Status.UNDECIDED:
        return unfinished("lower", path, time_limit)
    for reason in found.reasons:
        _, given, rest = reason.partition('--hold "')
        if given:
            return command_line("lower", path, "--hold", rest.partition('"')[0])
    return command_line("buy", path, "--down")


def unfinished(command: str, path: str | None, time_limit: float | None) -> str:
    """The same command with more time, or to its end where somebody stopped it."""
    if requested():
        return command_line(command, path)
    seconds = LONG if time_limit is None else time_limit * LONGER
    return command_line(command, path, "--time-limit", f"{max(seconds, LEAST):.0f}")


def _rule(misses: "Iterable[Miss]") -> str:
    """The rule of the search that leaves out what is nearest; "" where that is something else."""
    first = next(iter(misses), None)
    if first is None or first.limit != "rule of the search":
        return ""
    return first.change.text.rpartition(" ")[2].rstrip(")")


def command_line(command: str, path: str | None, *options: str) -> str:
    """A command as one can type it, whatever signs the name of the file has."""
    if path is not None and path.startswith("-") and path != "-":
        path = f"./{path}"
    words = ["bankhaul", command, *([path] if path is not None else []), *options]
    return " ".join(shlex.quote(word) for word in words)
