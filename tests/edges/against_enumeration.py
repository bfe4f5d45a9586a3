"""`python -m tests.edges.against_enumeration --sites 300`: banks with crests, against the enumeration.

The whole list is compared: walk, rope, what is laid and how many, margin, pull, rope needed, resets, and
where each part of the rope bends over what: by how much, pressing how hard. Ends with 1 where anything
differs.
"""

import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from math import isclose

from catalogue.gear import Rope
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.setup import Role, Setup
from optimiser.search.rules import same_setup
from optimiser.site.model import Site
from tests.edges.sites import site
from tests.many import compare_many
from tests.oracle.enumeration import Found, Rig, enumerate_setups

NEAR = 1e-9


def differences(bank: Site, met: Counter[str]) -> Iterator[str]:
    """What the search and the enumeration disagree on; counts in `met` what there was to compare."""
    ranking, answer = (
        rank(bank, RankQuestion(explain=False, compound=False)),
        enumerate_setups(bank),
    )
    met.update(["sites"] + ["lists"] * bool(answer.setups))
    met.update(_kinds(answer.setups))
    if answer.setups:
        met.update(_recipes(bank))
    if not ranking.proven:
        yield "not proven"
    if ranking.space != answer.space:
        yield f"{ranking.space} walks in the space, the enumeration has {answer.space}"
    if len(ranking) != len(answer.setups):
        yield f"{len(ranking)} setups, the enumeration has {len(answer.setups)}"
    for place, (setup, found) in enumerate(zip(ranking, answer.setups, strict=False), start=1):
        for text in _differ(setup, found):
            yield f"setup {place}: {text}"


def _recipes(bank: Site) -> Iterator[str]:
    yield f"lists, {bank.pullers[0].kind}"
    if bank.load.may_bridle:
        yield "lists, bridle"
    if len({p.gear.material for p in bank.gear if isinstance(p.gear, Rope)}) > 1:
        yield "lists, ropes of two materials"
    if any(leg.resistance_least is not None for leg in bank.legs):
        yield "lists, ranges"
    if bank.obstacles:
        yield "lists, post"


def _kinds(setups: tuple[Found, ...]) -> Iterator[str]:
    if setups and not setups[0].rigs[0].bends:
        yield "lists that nothing bent leads"
    for found in setups:
        rig = found.rigs[0]
        spots = {bend.spot.number for _, bend in rig.bends}
        yield from ("setups", "bent") if spots else ("setups",)
        if len(spots) > 1:
            yield "over several points"
        if any(bend.spot.owned is None for _, bend in rig.bends):
            yield "over what lay there"
        if rig.pieces:
            yield f"laid {min(rig.pieces, 3)}{' or more' * (rig.pieces > 2)}"
        if any(part == 1 for part, _ in rig.bends) and not found.identity[1]:
            yield "standing end at the load, bent"
        if len({(other.laid, other.rope) for other in found.rigs}) > 1:
            yield "as good with something else"


def _differ(setup: Setup, found: Found) -> Iterator[str]:
    if same_setup(setup.walk) != found.identity:
        yield f"{setup.reeving}, the enumeration has {found.identity}"
        return
    if setup.resets != found.resets:
        yield f"{setup.resets} resets, not {found.resets}"
    if bool(setup.unrated) != found.unrated:
        yield f"unrated {setup.unrated}"
    if not any(_is(setup, rig) for rig in found.rigs):
        yield f"has {_shown(setup)}, not {[_read(rig) for rig in _unlike(found.rigs)]}"


def _is(setup: Setup, rig: Rig) -> bool:
    laid, pieces = _laid(setup)
    return (
        setup.walk == rig.walk
        and setup.rope.name == rig.rope
        and (laid, pieces) == (rig.laid, rig.pieces)
        and isclose(setup.rope_needed, rig.length, rel_tol=NEAR)
        and isclose(setup.margin, rig.margin, rel_tol=NEAR)
        and isclose(setup.pull, rig.pull, rel_tol=NEAR)
        and _same_bends(setup, rig)
    )


def _same_bends(setup: Setup, rig: Rig) -> bool:
    contacts = sorted(setup.contacts, key=lambda c: (c.part, c.from_m))
    return len(contacts) == len(rig.bends) and all(
        c.part == part
        and isclose(c.angle, bend.turn, rel_tol=1e-7, abs_tol=1e-9)
        and isclose(c.force, bend.force, rel_tol=1e-7, abs_tol=1e-6)
        and isclose(c.left_from, bend.left[0], abs_tol=1e-9)
        and isclose(c.left_to, bend.left[1], abs_tol=1e-9)
        and (c.owned is None) == (bend.spot.owned is None)
        for c, (part, bend) in zip(contacts, rig.bends, strict=True)
    )


def _laid(setup: Setup) -> tuple[str | None, int]:
    """Name and number of what the setup lays."""
    laid = [hung for hung in setup.gear if hung.role is Role.PROTECTOR]
    names = {hung.item for hung in laid}
    assert len(names) <= 1, names
    return next(iter(names), None), len(laid)


def _shown(setup: Setup) -> tuple[object, ...]:
    contacts = sorted(setup.contacts, key=lambda c: (c.part, c.from_m))
    bends = [(c.part, c.angle, c.force, c.left_from, c.left_to) for c in contacts]
    return (
        setup.reeving,
        setup.margin,
        setup.pull,
        setup.rope_needed,
        setup.rope.name,
        *_laid(setup),
        bends,
    )


def _read(rig: Rig) -> tuple[object, ...]:
    bends = [(part, bend.turn, bend.force, *bend.left) for part, bend in rig.bends]
    return (rig.walk, rig.margin, rig.pull, rig.length, rig.rope, rig.laid, rig.pieces, bends)


def _unlike(rigs: Iterable[Rig]) -> list[Rig]:
    return list(
        {(rig.walk, rig.margin, rig.pull, rig.rope, rig.laid): rig for rig in rigs}.values()
    )


if __name__ == "__main__":
    sys.exit(compare_many(__doc__, site, differences, sites=300))
