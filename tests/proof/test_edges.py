"""The re-check's own taut string and friction against closed forms: lines over one crest, over two, over
none, over one that they just touch."""

from dataclasses import replace
from math import atan, atan2, cos, exp, hypot, pi, radians, sin

import pytest

from catalogue.book import load_catalogue
from catalogue.edges import rubbing
from catalogue.gear import Protector, Rope
from optimiser.mechanics.values import Vec
from optimiser.proof.loads.taut_line import Look, tensions, toward
from optimiser.proof.place.ground import Ground, meets
from optimiser.proof.place.string import String
from optimiser.site.model import Site
from tests.holding.ground import gear, path

ABOVE = 0.05
"""m that a line stays above plain ground: the preference left out."""
LOG = load_catalogue().protectors["log-peeled-20"]


def bank(*legs: tuple[float, float], protector: Protector | None = LOG) -> Site:
    """Legs of so many m in plan, rising by so many m, straight on; covered from end to end, or bare."""
    site, at, out = path(0.0), (0.0, 0.0, 0.0), []
    for along, rise in legs:
        end: Vec = (at[0] + along, 0.0, at[2] + rise)
        covered = protector is not None
        leg = replace(site.legs[0], start=at, end=end, edge_protected=covered, protector=protector)
        out.append(leg)
        at = end
    return replace(site, legs=tuple(out), anchors=())


def angles(string: String) -> list[float]:
    return [touch.turn for touch in string.touches]


def test_one_crest() -> None:
    """10 m up at 30 degrees, then level: from 1 m above the foot to a strap 0.3 m high, 5 m behind."""
    rise = 10.0 * sin(radians(30.0))
    level = 10.0 * cos(radians(30.0))
    string = Ground(bank((level, rise), (8.0, 0.0))).string(
        (0.0, 0.0, 1.0), (level + 5.0, 0.0, rise + 0.3), from_load=True
    )
    up = rise + LOG.clearance - 1.0
    down = 0.3 - LOG.clearance
    assert [touch.spot.at for touch in string.touches] == pytest.approx([10.0])
    assert angles(string) == pytest.approx([atan2(up, level) - atan2(down, 5.0)])
    assert string.length == pytest.approx(hypot(up, level) + hypot(down, 5.0))


def test_two_crests() -> None:
    """Of a bank in two steps the string touches both brows, and turns in all by what its ends do."""
    ground = Ground(bank((2.0, 2.0), (2.0, 1.0), (6.0, 0.0)))
    string = ground.string((-1.0, 0.0, 0.2), (8.0, 0.0, 3.3), from_load=True)
    first, second = 2.0 + LOG.clearance, 3.0 + LOG.clearance
    slopes = [(first - 0.2) / 3.0, (second - first) / 2.0, (3.3 - second) / 4.0]
    assert [touch.at[2] for touch in string.touches] == pytest.approx([first, second])
    turns = [atan(slopes[0]) - atan(slopes[1]), atan(slopes[1]) - atan(slopes[2])]
    assert angles(string) == pytest.approx(turns)
    assert sum(angles(string)) == pytest.approx(atan(slopes[0]) - atan(slopes[2]))


@pytest.mark.parametrize("above", [1e-6, 0.0, -1e-6])
def test_just_touching(above: float) -> None:
    """A line over the log's top by a micrometre, on it, and into it by as much."""
    crest = 1.0 + LOG.clearance
    ground = Ground(bank((4.0, 1.0), (8.0, 0.0)))
    begin, end = (0.0, 0.0, crest - 0.2 + above), (8.0, 0.0, crest + 0.2 + above)
    string = ground.string(begin, end, from_load=True)
    if above < 0.0:
        assert angles(string) == pytest.approx([2e-6 / 4.0], rel=1e-2)
    else:
        assert string.touches == ()
        assert string.length == hypot(8.0, 0.4)


def test_what_lies_behind_the_load_and_near_a_strap_is_left_out() -> None:
    ground = Ground(bank((4.0, 1.0), (8.0, 0.0)))
    assert not ground.string((4.0, 0.0, 1.06), (9.0, 0.0, 1.3), from_load=True).touches
    assert ground.string((3.7, 0.0, 1.0), (9.0, 0.0, 1.3), from_load=True).touches
    fixed = ground.string((3.7, 0.0, 1.06), (9.0, 0.0, 1.3))
    assert not fixed.touches  # 0.3 m from a fixed end


def test_bare_ground_is_never_touched() -> None:
    """It is in the way; a rig that lays something runs over it; where only one leg is covered, the brow
    between is bare."""
    begin, end = (0.0, 0.0, 0.3), (8.0, 0.0, 1.3)
    bare = bank((4.0, 1.0), (8.0, 0.0), protector=None)
    assert Ground(bare).string(begin, end, from_load=True).blocked
    laid = Ground(bare, LOG).string(begin, end, from_load=True)
    assert not laid.blocked
    assert laid.touches[0].spot.ours
    half = replace(bare, legs=(bank((4.0, 1.0)).legs[0], bare.legs[1]))
    assert Ground(half).string(begin, end, from_load=True).blocked
    assert not Ground(half, LOG).string(begin, end, from_load=True).blocked
    whole = bank((4.0, 1.0), (8.0, 0.0))
    assert Ground(whole, may_touch=False).string(begin, end, from_load=True).blocked


def test_the_way_back_is_the_same_string() -> None:
    ground = Ground(bank((2.0, 2.0), (2.0, 1.0), (6.0, 0.0)))
    begin, end = (-1.0, 0.2, 0.2), (8.0, -0.4, 3.3)
    there = ground.string(begin, end, from_load=True)
    back = ground.string(end, begin, to_load=True)
    assert back.touches == there.touches[::-1]
    assert back.length == pytest.approx(there.length)


def test_a_post_under_the_bent_string() -> None:
    """The straight line would meet the post; the string passes over it."""
    ground = Ground(bank((4.0, 1.0), (8.0, 0.0)))
    begin, end = (0.0, 0.0, 0.3), (8.0, 0.0, 1.2)
    string = ground.string(begin, end, from_load=True)
    assert meets(String(begin, end), ("", 4.0, 0.0, 0.1, 0.9))
    assert not meets(string, ("", 4.0, 0.0, 0.1, 0.9))
    assert meets(string, ("", 4.0, 0.0, 0.1, 1.1))


def _rope() -> Rope:
    rope = gear()[0].gear
    assert isinstance(rope, Rope)
    return rope


def _line() -> list[String]:
    """From an anchor over the brow to the load, and over it again to a puller."""
    ground = Ground(bank((4.0, 1.0), (8.0, 0.0)))
    load = (0.0, 0.0, 0.3)
    first = ground.string((8.0, 0.0, 1.3), load, to_load=True)
    return [first, ground.string(load, (9.0, 0.0, 1.4), from_load=True)]


@pytest.mark.parametrize("grips", [True, False])
@pytest.mark.parametrize("slips", [False, True])
def test_capstan(grips: bool, slips: bool) -> None:
    """e^(mu beta) between the two sides, the tighter one ahead of the motion; nothing is lost or gained in
    the first part from an anchor."""
    line, rope, eta = _line(), _rope(), 0.9
    mu = rubbing(LOG, rope)
    held = exp((mu.high if grips else mu.low) * line[1].touches[0].turn)
    first, second = tensions(line, Look((eta,), grips, slips), rope, still=True)
    assert second.end == 1.0
    assert second.begin == pytest.approx(held if slips else 1.0 / held)
    assert first.begin == first.end == pytest.approx(eta * second.begin)
    running, _ = tensions(line, Look((eta,), grips, slips), rope, still=False)
    turn = line[0].touches[0].turn
    over = exp((mu.high if grips else mu.low) * turn)
    assert running.begin == pytest.approx(running.end * (over if slips else 1.0 / over))


def test_without_friction_the_forces_balance() -> None:
    """mu = 0: what the nodes get, and 2 T sin(beta / 2) on each edge, come to nothing together."""
    smooth = replace(LOG, friction=(0.0, 0.0))
    ground = Ground(bank((4.0, 1.0), (8.0, 0.0), protector=smooth))
    string = ground.string((0.0, 0.0, 0.3), (9.0, 0.0, 1.2), from_load=True)
    (part,) = tensions([string], Look(()), _rope(), still=False)
    assert (part.begin, part.end) == (1.0, 1.0)
    ends = toward(string.begin, string.next)[0], toward(string.end, string.before)[0]
    x, z = (sum(force[axis] for force in ends) for axis in (0, 2))
    turn = string.touches[0].turn
    assert hypot(x, z) == pytest.approx(2.0 * sin(turn / 2.0))


def test_a_quarter_turn() -> None:
    """90 degrees over an edge: e^(mu pi / 2)."""
    string = _line()[1]
    quarter = string._replace(touches=(string.touches[0]._replace(turn=pi / 2.0),))
    mu = rubbing(LOG, _rope()).high
    (part,) = tensions([quarter], Look(()), _rope(), still=False)
    assert part.end / part.begin == pytest.approx(exp(mu * pi / 2.0))
