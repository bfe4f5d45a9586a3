"""Compares the ways down that `lower` lists on made-up sites with those of the enumeration.

`python -m tests.lower.against_oracle --sites 200` does it on so many. Ends with 1 where anything differs.
"""

import sys
from collections import Counter
from collections.abc import Iterator
from math import isclose

import pytest

from optimiser.jobs.lower.answer import lower
from optimiser.jobs.lower.results import LoweringSetup
from optimiser.jobs.question import LowerQuestion
from optimiser.rig.walk import PlaceKind
from optimiser.search.rules import same_setup
from optimiser.site.model import Site
from tests.lower.small_sites import coarse_site
from tests.many import compare_many
from tests.oracle.enumeration import Found
from tests.oracle.letting_down import to_hold, ways_down

NEAR = 1e-9
SHEAVES = 2
TOP = 6


def differences(site: Site, met: Counter[str], *, sheaves: int = SHEAVES) -> Iterator[str]:
    """What `lower` and the enumeration disagree on; counts in `met` what there was to compare."""
    question = LowerQuestion(top=TOP, most_sheaves=sheaves)
    answer, every = lower(site, question, staged=False), ways_down(site, top=TOP, sheaves=sheaves)
    met.update(["sites"] + ["lists"] * bool(every.setups))
    runs = to_hold(site)
    for setup in answer.setups:
        if [row.runs for row in setup.profile[::-1]] != pytest.approx(runs, rel=NEAR):
            yield f"{setup.reeving} does not hold {runs} N along the ground, from the lowest station on"
    if not answer.proven:
        yield "not proven"
    if answer.space != every.space:
        yield f"{answer.space} walks in the space, the enumeration has {every.space}"
    if len(answer.setups) != len(every.setups):
        yield f"{len(answer.setups)} ways down, the enumeration has {len(every.setups)}"
    for place, (setup, found) in enumerate(zip(answer.setups, every.setups, strict=False), 1):
        met.update(_kinds(setup))
        for text in _differ(setup, found, answer.hand_comfort):
            yield f"way {place}: {text}"


def _kinds(setup: LoweringSetup) -> Iterator[str]:
    yield "ways down"
    yield "by hand" if setup.holder is None else "by a puller"
    yield f"{len(setup.etas)} sheaves"
    if setup.contacts:
        yield "over edges"
    if setup.unrated:
        yield "unrated"
    if any(place.kind is PlaceKind.LOAD for place in setup.walk[1:-1]):
        yield "block on the load"


def _differ(setup: LoweringSetup, found: Found, comfort: float) -> Iterator[str]:
    name = "hand" if setup.holder is None else setup.holder.name
    mine = (*same_setup(setup.walk), name)
    if mine != found.identity:
        yield f"{mine}, the enumeration has {found.identity}"
        return
    if setup.resets != found.resets:
        yield f"{setup.resets} resets, not {found.resets}"
    if bool(setup.unrated) != found.unrated:
        yield f"unrated {setup.unrated}, not {found.unrated}"
    force = max(setup.hand, comfort)
    shown = (setup.margin, force, setup.rope_needed)
    if not any(
        setup.walk == rig.walk
        and setup.rope.name == rig.rope
        and all(
            isclose(a, b, rel_tol=NEAR)
            for a, b in zip(shown, (margin, other, rig.length), strict=True)
        )
        for rig, (margin, other) in zip(found.rigs, found.as_good, strict=True)
    ):
        read = [
            (*figures, rig.length) for rig, figures in zip(found.rigs, found.as_good, strict=True)
        ]
        yield f"margin, force and rope {shown} ({setup.weakest}), the enumeration has {read}"


if __name__ == "__main__":
    sys.exit(compare_many(__doc__, coarse_site, differences, sites=200))
