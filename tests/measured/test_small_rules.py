"""What readings leave open, piece by piece and by hand: on rigs made of numbers."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from optimiser.jobs.ranges.before_pulls import before_pulls
from optimiser.jobs.ranges.elsewhere import Elsewhere
from optimiser.jobs.ranges.kept_to import Figure, FigureKind
from optimiser.jobs.ranges.readings_off import _Bench, _beyond, along, of_rig
from optimiser.rig.refit import Stopped
from tests.geometry.plain import leg
from tests.proof.rigs import plain


@pytest.mark.parametrize(
    ("at", "there"), [(0.0, 0.0), (4.0, 4.8), (10.0, 12.0), (12.5, 17.0), (15.0, 22.0)]
)
def test_a_place_of_the_path_is_as_far_along_its_leg(at: float, there: float) -> None:
    """Legs of 10 and 5 m here, of 12 and 10 m there."""
    here: Any = SimpleNamespace(legs=[leg((0, 0, 0), (10, 0, 0)), leg((10, 0, 0), (10, 5, 0))])
    other: Any = SimpleNamespace(legs=[leg((0, 0, 0), (12, 0, 0)), leg((12, 0, 0), (12, 10, 0))])
    assert along(here, other, at) == pytest.approx(there)


@pytest.mark.parametrize(
    ("more", "less", "worse"),
    [
        ({"k": 0.3}, {"k": -0.3}, (0.3, 1.0)),
        ({"k": -0.3}, {"k": 0.3}, (0.3, -1.0)),
        ({"k": 0.3}, {}, (0.3, 1.0)),
        ({"k": -0.3}, {}, (0.3, -1.0)),
        ({}, {"k": 0.2}, (0.2, -1.0)),
        ({}, {"k": -0.2}, (0.2, 1.0)),
        ({"k": 0.1}, {"k": 0.4}, (0.4, -1.0)),
    ],
)
def test_which_way_a_reading_makes_a_figure_worse(
    more: dict[str, float], less: dict[str, float], worse: tuple[float, float]
) -> None:
    """With it one standard deviation more, or less; what is known one way only moves evenly."""
    bench: Any = SimpleNamespace(
        planned={"k": None}, _change=lambda _, size: more if size > 0.0 else less
    )
    (found,) = _Bench._changes(bench, 0).values()
    assert found == worse


def test_what_stops_a_rig_is_stated_in_words() -> None:
    def figure(kind: FigureKind, value: float) -> Figure:
        return Figure(kind=kind, what="rope", value=value, limit=10.0)

    spare = -1.0 if figure(FigureKind.ROPE, 0.0).spare > 0.0 else 1.0
    assert _beyond([figure(FigureKind.ROPE, 10.0 + 0.1 * spare)]) == ""
    assert _beyond([figure(FigureKind.ROPE, 10.0 - 0.1 * spare)]) == "rope is too short"


def test_a_rig_that_does_not_work_as_it_was_read_leaves_all_open() -> None:
    there = SimpleNamespace(site=object(), why="")
    elsewhere: Any = SimpleNamespace(movements=[], there=lambda _: there)
    found = of_rig(elsewhere, lambda *_, **__: Stopped("rope is too short"), set())
    assert found is not None
    assert found.unknown == "rope is too short"


def test_of_a_reading_with_which_nothing_can_stand_it_is_not_known_what_it_moves() -> None:
    lost: Any = SimpleNamespace(there=lambda _: SimpleNamespace(site=None))
    assert Elsewhere.moved_by(lost, 0) is None


def test_a_setup_that_did_not_work_before_the_pulls_were_read() -> None:
    """Its rope is too short on the site as it was taken to be."""
    site, setup = plain()
    gear = tuple(
        replace(piece, length=9.0) if piece.name == setup.rope.name else piece
        for piece in site.gear
    )
    for taken, margin in ((replace(site, gear=gear), 0.0), (site, setup.margin)):
        read: Any = SimpleNamespace(origin=SimpleNamespace(before_pulls=lambda one=taken: one))
        found = before_pulls(read, setup)
        assert found is not None
        assert found.margin == pytest.approx(margin)
        assert ("too short" in found.why) == (margin == 0.0)
