"""The order of corners: against every order there is, and the laws it has to keep."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from math import floor, inf, radians

import pytest

from optimiser.jobs.lever.answer import lever, raise_load
from optimiser.jobs.lever.corner_order import BAND, ENOUGH, MOST_UNEVEN
from optimiser.jobs.lever.layers import Layers, Move, Yard
from optimiser.jobs.lever.results import Levering
from optimiser.site.lever import Corner, LeverJob
from shared.errors import InputError
from shared.sources import load_sources
from tests.lever.frame import frame
from tests.lower.bank import bank


def every_order(
    move_of: Callable[[Layers, int], Move | None], layers: int, state: Layers
) -> Iterator[tuple[Move, ...]]:
    """Every order in which the corners can be raised, one layer at a time."""
    if min(state) == layers:
        yield ()
        return
    for corner, height in enumerate(state):
        to = tuple(k + (i == corner) for i, k in enumerate(state))
        if height < layers and max(to) - min(to) <= MOST_UNEVEN:
            move = move_of(state, corner)
            if move is not None:
                for rest in every_order(move_of, layers, to):
                    yield (move, *rest)


def worth(job: LeverJob, moves: tuple[Move, ...]) -> tuple[float, int, float]:
    """What orders are compared by, less is better."""
    spare = min(floor(min(m.spare, ENOUGH * job.spare_tilt) / BAND + 1e-6) for m in moves)
    return (-spare, sum(m.bites for m in moves), round(max(m.force for m in moves), 3))


@pytest.mark.parametrize(
    "job",
    [
        frame(),
        frame(centre=(0.9, 0.6), height=0.7),
        frame(rise_ahead=radians(6.0), rise_left=radians(-5.0)),
        frame(height=1.6, centre=(0.6, 0.3), hand=600.0),
    ],
)
def test_order_is_the_best_of_all_orders(job: LeverJob) -> None:
    assert job.centre is not None
    yard = Yard(job, 6000.0, job.centre)
    limit = yard.weight_limit(job.hand or 0.0)
    best = min(
        worth(job, moves)
        for moves in every_order(cache(yard.move), 2, (0, 0, 0, 0))
        if all(m.spare >= job.spare_tilt and m.force <= limit for m in moves)
    )

    answer = raise_load(job, weight=6000.0)

    spare = floor(min(answer.spare_tilt, ENOUGH * job.spare_tilt) / BAND + 1e-6)
    assert (-spare, answer.bites, round(answer.force, 3)) == best


def test_first_lift_of_a_centred_load_is_half_its_weight() -> None:
    """By hand: a stiff frame comes up a whole side: 4000 N x 0.6 / 1.2 = 2000 N on the tip; the hand
    2000 x 0.12 / 1.68 = 143 N. Its share at rest, on even springs, is a quarter."""
    answer = raise_load(frame(centre=(0.6, 0.4)), weight=4000.0)

    assert answer.corners[0].raise_force == pytest.approx(2000.0, rel=1e-4)
    assert answer.corners[0].even == pytest.approx(1000.0)
    assert answer.corners[0].least == pytest.approx(0.0, abs=1e-6)
    assert answer.corners[0].most == pytest.approx(2000.0)
    assert answer.steps[0].hand == pytest.approx(143.0, abs=6.0)


def test_three_corners_carry_what_moments_say() -> None:
    job = frame(
        corners=(
            Corner(name="nose", ahead=1.2, left=0.0),
            Corner(name="left", ahead=0.0, left=0.5),
            Corner(name="right", ahead=0.0, left=-0.5),
        ),
        centre=(0.3, 0.0),
    )

    answer = raise_load(job, weight=4000.0)

    assert [c.most for c in answer.corners] == pytest.approx([1000.0, 1500.0, 1500.0])
    assert [c.least for c in answer.corners] == pytest.approx([1000.0, 1500.0, 1500.0])
    assert answer.feasible
    assert all(step.by_bar for step in answer.steps)


def test_weighed_corners_stand_for_weight_and_centre() -> None:
    weights = (900.0, 1100.0, 1200.0, 800.0)
    corners = tuple(
        replace(corner, weighed=force)
        for corner, force in zip(frame().corners, weights, strict=True)
    )

    answer = raise_load(frame(corners=corners, centre=None), weight=1.0)

    assert answer.weight == 4000.0
    assert answer.centre == pytest.approx((1.2 * 1700 / 4000, 0.8 * 2000 / 4000))
    for share in answer.corners:
        assert share.weighed is not None
        assert share.least - 1e-6 <= share.weighed <= share.most + 1e-6


def test_stacks_bites_and_blocks_add_up() -> None:
    """By hand: 12 cm on blocks of 5 cm are 3 layers; 6 cm a lift with 3 cm a bite are 2 bites."""
    answer = raise_load(frame(wanted=0.12), weight=4000.0)

    assert answer.layers == 3
    assert answer.raised == pytest.approx(0.15)
    assert answer.blocks == 12
    assert all(step.bites in (0, 2) for step in answer.steps)
    last = {step.corner: step.stack for step in answer.steps}
    assert last == pytest.approx(dict.fromkeys(last, 0.15))


def test_corner_that_hangs_is_blocked_without_the_bar() -> None:
    steps = raise_load(frame(), weight=4000.0).steps
    free = [step for step in steps if not step.by_bar]

    assert free
    assert all(step.force == step.hand == 0.0 for step in free)


def _mirrored(job: LeverJob) -> LeverJob:
    assert job.centre is not None
    return replace(
        job,
        corners=tuple(replace(c, left=-c.left) for c in job.corners),
        centre=(job.centre[0], -job.centre[1]),
        rise_left=-job.rise_left,
    )


def test_mirrored_load_is_raised_as_well() -> None:
    job = frame(rise_left=radians(4.0))
    one, other = raise_load(job, weight=6000.0), raise_load(_mirrored(job), weight=6000.0)

    assert other.hand == pytest.approx(one.hand)
    assert other.spare_tilt == pytest.approx(one.spare_tilt)
    assert other.bites == one.bites


@pytest.mark.parametrize("factor", [1.2, 2.0])
def test_heavier_requires_more_of_the_hand(factor: float) -> None:
    one = raise_load(frame(hand=5000.0), weight=4000.0)
    more = raise_load(frame(hand=5000.0), weight=4000.0 * factor)

    assert more.hand == pytest.approx(one.hand * factor)
    assert more.order == one.order


def test_higher_centre_is_never_further_from_tipping() -> None:
    spares = [raise_load(frame(height=h), weight=4000.0).spare_tilt for h in (0.3, 0.6, 0.9)]

    assert spares == sorted(spares, reverse=True)


def _why(answer: Levering) -> str:
    assert not answer.feasible
    assert answer.steps == ()
    return " ".join(answer.reasons)


def test_too_weak_a_hand_is_reported_with_the_bar_that_would_do() -> None:
    answer = raise_load(frame(hand=50.0), weight=6000.0)
    found = _why(answer)

    assert "the hand would need" in found
    length = float(found.split("a bar of ")[1].split(" m")[0])
    assert raise_load(frame(hand=50.0, bar=length + 0.01), weight=6000.0).feasible


def test_too_near_to_tipping_is_reported() -> None:
    job = frame(height=2.0, rise_left=radians(8.0), hand=inf)

    assert "from tipping over" in _why(raise_load(job, weight=6000.0))


def test_too_weak_a_bar_is_reported() -> None:
    assert "bar's tip" in _why(raise_load(frame(bar_rating=500.0), weight=6000.0))


def test_load_that_does_not_stand_is_bad_input() -> None:
    with pytest.raises(InputError, match="tips over as it stands"):
        raise_load(frame(centre=(1.3, 0.4)), weight=4000.0)


def test_site_without_the_table_is_bad_input() -> None:
    with pytest.raises(InputError, match="lever"):
        lever(bank())


def test_weight_of_the_site_counts_where_nothing_is_weighed() -> None:
    answer = lever(replace(bank(weight=5_000.0), lever=frame()))

    assert answer.weight == 5_000.0


def test_published_limit_of_a_hand_is_taken_where_none_is_stated() -> None:
    answer = raise_load(frame(hand=None), weight=3000.0)

    assert answer.hand_limit == 150.0
    assert answer.hand_source == "hse-push-pull"


def test_cautions_and_their_sources() -> None:
    answer = raise_load(frame(), weight=4000.0)

    assert {"hands_out", "unrated_bar", "tipping", "uneven", "rocks", "estimate"} <= {
        caution.key for caution in answer.cautions
    }
    assert "slope" not in {caution.key for caution in answer.cautions}
    assert {caution.source for caution in answer.cautions} <= set(load_sources())
