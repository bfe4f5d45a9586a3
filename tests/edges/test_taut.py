"""The enumeration's own taut string: closed forms, shortest paths by general libraries, limits."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, pairwise
from math import atan2, cos, dist, exp, hypot, pi, sin

import networkx as nx
import numpy as np
import pytest
from scipy.optimize import minimize

from catalogue.gear import Protector
from catalogue.pullers import PulledBy
from optimiser.mechanics.values import Vec
from optimiser.rig.ground.strings import edges_of
from optimiser.rig.walk import LOAD, Place, PlaceKind
from optimiser.site.model import Obstacle, Owned, Site
from tests.edges.sites import kind
from tests.generated import NEW
from tests.geometry.plain import SITE, leg, tree
from tests.oracle.ground import dot, grips, stations
from tests.oracle.mechanics import Rubs, Scene
from tests.oracle.taut import Spot, Taut, ground, line, straight, taut

CLEAR = SITE.preferences.clearance
LOG = Owned(name="log", gear=kind("log", "bark", 0.1), count=9, condition=NEW)


def bank(*points: tuple[float, float], laid: Sequence[int] = ()) -> Site:
    """A site whose path goes through points (x, z); `laid`: numbers of the legs that are protected."""
    at = [(x, 0.0, z) for x, z in points]
    legs = [leg(a, b) for a, b in pairwise(at)]
    legs = [replace(one, edge_protected=i in laid) for i, one in enumerate(legs)]
    return replace(SITE, legs=tuple(legs), anchors=(), obstacles=())


def over(site: Site, a: Vec, b: Vec, *, owned: Owned | None = LOG, loose: bool = False) -> Taut:
    found = taut(site, ground(site, owned), a, b, loose=loose)
    assert found is not None
    return found


# ---- closed forms -------------------------------------------------------------------------------


def test_one_crest() -> None:
    """A rope over one edge: two straight pieces; the angle it turns by is the sum of their slopes."""
    site = bank((0.0, 0.0), (4.0, 4.0), (9.0, 4.0))
    a, b = (1.0, 0.0, 1.4), (8.5, 0.0, 4.3)
    found = over(site, a, b)
    top = (4.0, 0.0, 4.1)
    (touch,) = found.touches
    assert touch.at == pytest.approx(top)
    assert touch.along == pytest.approx(4.0 * 2.0**0.5)
    assert found.length == pytest.approx(dist(a, top) + dist(top, b), rel=1e-12)
    assert touch.turn == pytest.approx(atan2(2.7, 3.0) - atan2(0.2, 4.5), abs=1e-12)
    assert found.begin == pytest.approx((3.0 / hypot(3.0, 2.7), 0.0, 2.7 / hypot(3.0, 2.7)))
    assert found.end == pytest.approx((4.5 / hypot(4.5, 0.2), 0.0, 0.2 / hypot(4.5, 0.2)))
    assert found.back().begin == pytest.approx([-x for x in found.end])
    assert found.back().touches == (touch,)


def test_two_crests_and_one_between_that_is_too_low() -> None:
    site = bank((0.0, 0.0), (2.0, 2.0), (4.0, 2.9), (6.0, 3.7), (10.0, 3.7))
    found = over(site, (0.0, 0.0, 0.4), (9.8, 0.0, 3.8))
    assert [round(touch.at[0], 9) for touch in found.touches] == [2.0, 4.0, 6.0]
    sloped = [atan2(1.7, 2.0), atan2(0.9, 2.0), atan2(0.8, 2.0), atan2(0.0, 3.8)]
    assert [t.turn for t in found.touches] == pytest.approx([a - b for a, b in pairwise(sloped)])
    flat = bank((0.0, 0.0), (2.0, 2.0), (4.0, 2.7), (6.0, 3.7), (10.0, 3.7))
    found = over(flat, (0.0, 0.0, 0.4), (9.8, 0.0, 3.8))
    assert [round(touch.at[0], 9) for touch in found.touches] == [2.0, 6.0]


@pytest.mark.parametrize("aside", [0.0, 0.7, -1.9])
def test_across_the_path(aside: float) -> None:
    """A chord at an angle to the path: the string stays upright over it, and bends where it crosses the
    crest."""
    site = bank((0.0, 0.0), (4.0, 2.0), (8.0, 2.0))
    a, b = (1.0, aside, 0.9), (7.4, -aside, 2.2)
    (touch,) = over(site, a, b).touches
    flat, way = hypot(6.4, 2.0 * aside), (6.4, -2.0 * aside)
    share = 3.0 / 6.4
    assert touch.at == pytest.approx((1.0 + share * way[0], aside + share * way[1], 2.1))
    assert touch.left == pytest.approx(aside + share * way[1])
    slopes = atan2(1.2, share * flat) - atan2(0.1, (1.0 - share) * flat)
    assert touch.turn == pytest.approx(slopes, abs=1e-12)


def test_a_crest_that_just_touches() -> None:
    """Below the chord by a hair: the chord, to the last digit. Above it by a hair: hardly any turn, and
    nearly the chord."""
    site = bank((0.0, 0.0), (4.0, 2.0), (8.0, 2.0))
    begin, end = (0.0, 0.0), (7.9, 2.4)
    for hair, many in ((-1e-6, 0), (-1e-13, 0), (1e-6, 1), (1e-4, 1)):
        # The crest with its log is at 2.1; the chord passes there at 2.1 - hair.
        low = (2.1 - hair - 2.4 * 4.0 / 7.9) / (1.0 - 4.0 / 7.9)
        a, b = (begin[0], 0.0, low), (end[0], 0.0, end[1])
        found = over(site, a, b)
        assert len(found.touches) == many
        if not many:
            assert found == straight(a, b)
        else:
            assert 0.0 < found.touches[0].turn < 2.0 * hair
            assert found.length == pytest.approx(dist(a, b), rel=hair**2)
            assert found.begin == pytest.approx(straight(a, b).begin, abs=hair)


# ---- what lies where ----------------------------------------------------------------------------


def test_a_log_lifts_the_line_at_a_crest_alone() -> None:
    spots = ground(bank((0.0, 0.0), (2.0, 0.5), (4.0, 2.5), (6.0, 2.5)), LOG)
    lifted = {round(s.at[0], 6): round(s.least - s.at[2], 6) for s in spots}
    assert lifted == {x: 0.1 if x == 4.0 else CLEAR for x in lifted}
    assert {2.0, 4.0, 5.0} <= set(lifted)


def test_a_vertex_is_protected_where_both_legs_are() -> None:
    points = (0.0, 0.0), (2.0, 2.0), (4.0, 3.0), (6.0, 3.0)
    names = {
        round(s.at[0], 6): s.laid.id if s.laid else None for s in ground(bank(*points, laid=(0, 1)))
    }
    assert names[2.0] == "laid"
    assert names[4.0] is None
    assert names[0.0] == "laid"
    owned = ground(bank(*points, laid=(0, 1)), LOG)
    assert [s.owned for s in owned if s.at[0] < 3.9] == [None] * 6
    assert {s.owned for s in owned if s.at[0] > 3.9} == {LOG}
    site = bank(*points, laid=(0, 1, 2))
    legs = list(site.legs)
    legs[1] = replace(legs[1], protector=kind("mat", "bark", 0.07))
    spots = ground(replace(site, legs=tuple(legs)))
    (crest,) = (s for s in spots if s.at[0] == pytest.approx(4.0))
    assert crest.laid is not None
    assert crest.laid.id == "mat"
    assert crest.least == pytest.approx(3.07)


def test_bare_ground_is_in_the_way_unless_the_string_passes_over_it() -> None:
    points = (0.0, 0.0), (3.0, 3.0), (5.0, 4.0), (9.0, 4.0)
    a, b = (0.5, 0.0, 0.9), (8.8, 0.0, 4.6)
    assert taut(bank(*points), ground(bank(*points)), a, b, loose=False) is None
    assert len(over(bank(*points), a, b).touches) == 2
    partly = bank(*points, laid=(0, 1))  # the last vertex is bare: 4 m, too high for the string
    assert taut(partly, ground(partly), a, b, loose=False) is None
    low = bank((0.0, 0.0), (3.0, 3.0), (5.0, 3.1), (9.0, 3.1), laid=(0, 1))
    assert len(over(low, a, b, owned=None).touches) == 1


def test_posts_meet_the_string_and_not_the_chord() -> None:
    """A post on the slope behind the crest is passed over by the string alone, by the 5 cm it keeps off."""
    site = bank((0.0, 0.0), (4.0, 3.0), (8.0, 3.0))
    a, b = (0.0, 0.0, 0.6), (7.5, 0.0, 3.2)
    found = over(site, a, b)
    at = found.height(5.0 / 7.5)
    assert at > 0.6 + 2.6 * 5.0 / 7.5 + 0.3
    for top, free in ((at - 3.0 - 0.1, True), (at - 3.0, False)):
        post = Obstacle(name="post", position=(5.0, 0.0, 3.0), radius=0.1, top=top)
        posted = replace(site, obstacles=(post,))
        assert (line(posted, ground(posted, LOG), a, b, set(), loose=False) is not None) == free


# ---- other algorithms ---------------------------------------------------------------------------


def _random_bank(number: int) -> tuple[Site, Vec, Vec]:
    rng = np.random.default_rng((number, 3))
    many = int(rng.integers(2, 7))
    x = np.concatenate([[0.0], np.cumsum(rng.uniform(0.8, 4.0, many))])
    slopes = np.sort(rng.uniform(-0.3, 1.2, many))[::-1] + rng.uniform(-0.1, 0.1, many)
    z = np.concatenate([[0.0], np.cumsum(slopes * np.diff(x))])
    site = bank(*zip(x.tolist(), z.tolist(), strict=True))
    a = (0.2, float(rng.uniform(-1.5, 1.5)), float(rng.uniform(0.1, 1.0)))
    b = (float(x[-1]) - 0.1, float(rng.uniform(-1.5, 1.5)), float(z[-1] + rng.uniform(0.1, 1.5)))
    return site, a, b


def _profile(site: Site, a: Vec, b: Vec) -> list[tuple[float, float, Spot | None]]:
    """(m along the chord, least height, ground point) from A to B, where the chord passes the point."""
    flat = hypot(b[0] - a[0], b[1] - a[1])
    u = ((b[0] - a[0]) / flat, (b[1] - a[1]) / flat)
    out: list[tuple[float, float, Spot | None]] = []
    for spot in ground(site, LOG):
        along = (spot.at[0] - a[0]) / u[0]
        aside = a[1] + along * u[1]
        if 0.5 < along < flat - 0.5 and abs(aside) <= site.preferences.ground_known_within:
            out.append((along, spot.least, spot))
    return [(0.0, a[2], None), *sorted(out, key=lambda one: one[0]), (flat, b[2], None)]


def test_it_is_the_shortest_way_through_points_that_see_each_other() -> None:
    """Dijkstra's algorithm (networkx) on the ends and ground points, each joined to those it sees."""
    bent = 0
    for number in range(300):
        site, a, b = _random_bank(number)
        found, points = over(site, a, b), _profile(site, a, b)
        sees = nx.Graph()
        for i, j in combinations(range(len(points)), 2):
            (u, z, _), (v, w, _) = points[i], points[j]
            if all(h <= z + (w - z) * (x - u) / (v - u) + 1e-12 for x, h, _ in points[i + 1 : j]):
                sees.add_edge(i, j, weight=hypot(v - u, w - z))
        long, way = nx.single_source_dijkstra(sees, 0, len(points) - 1)
        assert found.length == pytest.approx(long, rel=1e-12)
        met = [points[i][2] for i in way[1:-1]]
        assert [t.spot for t in found.touches] == met
        slopes = [
            atan2(points[j][1] - points[i][1], points[j][0] - points[i][0])
            for i, j in pairwise(way)
        ]
        assert [t.turn for t in found.touches] == pytest.approx(
            [p - q for p, q in pairwise(slopes)]
        )
        assert all(t.turn > 0.0 for t in found.touches)
        bent += len(met) > 1
    assert bent >= 60


def test_it_is_the_least_length_of_all_lines_above_the_ground() -> None:
    """scipy's bounded minimiser over the heights at every ground point, a convex problem."""
    for number in range(8):
        site, a, b = _random_bank(number)
        found, points = over(site, a, b), _profile(site, a, b)
        u = np.array([p[0] for p in points])
        least = np.array([p[1] for p in points[1:-1]])
        ends = a[2], b[2]

        def long(
            heights: np.ndarray, u: np.ndarray = u, ends: tuple[float, float] = ends
        ) -> tuple[float, np.ndarray]:
            z = np.concatenate([ends[:1], heights, ends[1:]])
            pieces = np.hypot(np.diff(u), np.diff(z))
            slope = np.diff(z) / pieces
            return float(pieces.sum()), slope[:-1] - slope[1:]

        high = np.maximum(least, max(ends)) + 1.0
        best = minimize(
            long, high, jac=True, method="L-BFGS-B", bounds=[(h, None) for h in least],
            options={"maxiter": 5000, "ftol": 1e-15, "gtol": 1e-10},
        )  # fmt: skip
        assert found.length == pytest.approx(best.fun, rel=1e-7)
        assert found.length <= best.fun + 1e-9


# ---- friction -----------------------------------------------------------------------------------


def _crest_scene() -> Scene:
    """Steep, then level; a winch on a tree behind the crest at 0.3 m, a second tree beside."""
    site = bank((0.0, 0.0), (5.0, 2.5), (9.0, 2.5))
    hitch = replace(site.load.hitches[0], left=0.0)
    winch = replace(
        site.pullers[0], kind=PulledBy.HAND_WINCH, position=(11.0, 0.0, 2.5), height=0.3, run=0.0,
        purchase=3.0, anchor="oak", limit=1e6, dynamic=1.0,
    )  # fmt: skip
    site = replace(
        site,
        load=replace(site.load, hitches=(hitch,)),
        anchors=(
            tree("oak", (11.0, 0.0, 2.5), heights=(0.3,)),
            tree("ash", (12.5, 1.0, 2.5), heights=(0.25,)),
        ),
        pullers=(winch,),
    )
    (grip,) = grips(site)
    return Scene(site, stations(site), grip, winch, LOG)


def _rubs(low: float, high: float) -> Rubs:
    assert isinstance(LOG.gear, Protector)
    return {LOG.gear: (low, high)}


@pytest.mark.parametrize("mu", [0.0, 0.2, 0.5])
def test_the_winch_pulls_e_to_the_mu_beta_times_what_the_load_feels(mu: float) -> None:
    scene = _crest_scene()
    rig = scene.work((LOAD, scene.me), (), _rubs(mu, mu))
    assert rig is not None
    s, turned, most = scene.site.load, 0.0, 0.0
    for station, part in zip(scene.line, scene.segment(LOAD, scene.me), strict=True):
        beta = sum(t.turn for t in part.touches)
        gives = dot(part.begin, station.t) + 0.1 * dot(part.begin, station.n)
        needed = s.weight * (station.t[2] + 0.1 * station.n[2]) / gives
        most, turned = max(most, needed * exp(mu * beta)), max(turned, beta)
    assert turned > 0.3
    assert rig.pull == pytest.approx(most, rel=1e-12)
    # What presses on the log: both tensions together, and half of the turn on either side.
    heaviest = max(bend.force for bend in rig.bends.values())
    turn = max(bend.turn for bend in rig.bends.values())
    assert heaviest <= 2.0 * most * sin(turn / 2.0) + 1e-9


def test_mu_zero_leaves_length_and_direction_alone() -> None:
    """The load on the slope is pulled towards the crest, with whatever the puller pulls."""
    scene = _crest_scene()
    rig = scene.work((LOAD, scene.me), (), _rubs(0.0, 0.0))
    assert rig is not None
    first = scene.segment(LOAD, scene.me)[0]
    top, begin = (5.0, 0.0, 2.6), scene.hitch[0]
    assert first.begin == pytest.approx(
        [(q - p) / dist(begin, top) for p, q in zip(begin, top, strict=True)]
    )
    assert rig.longest == pytest.approx(dist(begin, top) + dist(top, scene.spots[0]))
    assert hypot(*rig.forces[0][0]) == pytest.approx(hypot(*rig.forces[0][1]))


def test_a_standing_part_on_an_anchor_has_one_tension() -> None:
    """Anchor, load, winch: only the hauling line loses by friction; its both ends are looked at."""
    scene = _crest_scene()
    walk = (Place(PlaceKind.ANCHOR, "ash", 0.25), LOAD, scene.me)
    rig = scene.work(walk, ((0.9, 0.9),), _rubs(0.1, 0.4))
    assert rig is not None
    assert len(rig.forces) == 2 * len(scene.line)
    parts = [scene.segment(a, b)[0] for a, b in pairwise(walk)]
    low, high = (scene._tensions(walk, parts, (0.9,), {LOG.gear: mu}) for mu in (0.1, 0.4))
    beta = [sum(t.turn for t in part.touches) for part in parts]
    assert min(beta) > 0.2
    for tau, mu in ((low, 0.1), (high, 0.4)):
        assert tau[1] == pytest.approx([exp(-mu * beta[1]), 1.0])
        assert tau[0] == pytest.approx([0.9 * tau[1][0]] * 2)
    alone = scene.work((LOAD, scene.me), (), _rubs(0.4, 0.4))
    assert alone is not None
    assert rig.pull < alone.pull


def test_what_is_laid_is_counted() -> None:
    """The hauling line alone wanders little: one log; with a part to the side one long log, or two short
    ones; and a rig that takes more than there is does not work."""
    scene = _crest_scene()
    beside = (Place(PlaceKind.ANCHOR, "ash", 0.25), LOAD, scene.me)
    assert scene.pieces_to_lay((LOAD, scene.me)) == 1
    short = replace(LOG, gear=kind("log", "bark", 0.1, length=0.5))
    for log, count, pieces in ((LOG, 1, 1), (short, 2, 2), (short, 1, 2)):
        few = Scene(scene.site, scene.line, scene.grip, scene.puller, replace(log, count=count))
        assert few.pieces_to_lay(beside) == pieces
        assert isinstance(log.gear, Protector)
        works = few.work(beside, ((0.9, 0.9),), {log.gear: (0.1, 0.4)}) is not None
        assert works == (count >= pieces)


def test_the_turn_of_a_rope_over_an_edge_square_to_it() -> None:
    """Straight up a face and level behind it: a quarter turn, in the limit."""
    steep = bank((0.0, 0.0), (0.01, 6.0), (6.0, 6.0))
    found = over(steep, (-0.6, 0.0, -300.0), (5.9, 0.0, 6.1))
    (touch,) = found.touches
    assert touch.turn == pytest.approx(pi / 2, abs=0.003)
    assert cos(touch.turn) == pytest.approx(dot(found.begin, found.end))


@pytest.mark.parametrize("laid", [(), (0, 1), (1, 2), (0, 1, 2, 3, 4)])
@pytest.mark.parametrize("owned", [None, LOG])
def test_the_program_lays_the_same_ground(laid: Sequence[int], owned: Owned | None) -> None:
    """A foot, a crest, a hollow and a crest: heights over which a line must stay, and what lies there."""
    site = bank(
        (0.0, 0.0), (2.0, 0.5), (4.0, 2.5), (6.0, 2.5), (8.0, 2.0), (9.0, 0.5), laid=laid
    )  # fmt: skip
    found = edges_of(site, None if owned is None else LOG.gear)
    if found is None:
        assert not laid
        assert owned is None
        return
    here = {
        round(float(x), 6): (float(high), lies)
        for (x, _, _), high, lies in zip(found.points, found.high, found.laid, strict=True)
    }
    spots = {round(spot.at[0], 6): (spot.least, spot.laid) for spot in ground(site, owned)}
    assert here.keys() == spots.keys()
    for x, (high, lies) in here.items():
        assert high == pytest.approx(spots[x][0])
        assert lies == spots[x][1]
