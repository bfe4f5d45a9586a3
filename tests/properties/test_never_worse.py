"""More gear, rope, anchors or pull never makes the best worse; harder ground never makes it better.

Compared are the sort keys of the best fully rated setup, as the ranking itself orders them (margin in
bands up to "enough", resets, rope; no setup is worse than any). What is precise about each claim
stands beside it.
"""

from dataclasses import replace
from math import cos, sin

from hypothesis import assume, given
from hypothesis import strategies as st

from catalogue.gear import Block, Rope, Shackle, Strap
from catalogue.pullers import PulledBy
from optimiser.mechanics.ground import moving, step
from optimiser.mechanics.values import AnchorStrength, Vec
from optimiser.rig.ground.scene import scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.site.anchors import RatedAnchor, Tree
from optimiser.site.model import AnchorKind, Owned, Site
from optimiser.site.rules import RULES
from tests.generated import NEW, on_unknown_ground
from tests.properties.jobs import RECIPES, MadeUp, best_key, made_ups, ranked

# ---- more to work with --------------------------------------------------------------------------

eyes = st.sampled_from([None, 0.02, 0.026])
ratings = st.floats(2_000.0, 60_000.0)

blocks = st.builds(
    lambda eta, wll, sheaves, eye: Block(
        id="further", name="further", source="made up", sheaves=sheaves, opens=True,
        rope_least=0.008, rope_most=0.016, sheave_diameter=0.1, wll=wll, bearing="plain", eta=eta,
        length=0.2, eye=eye,
    ),
    st.floats(0.8, 0.99), ratings, st.integers(1, 2), eyes,
)  # fmt: skip
shackles = st.builds(
    lambda wll, pin: Shackle(
        id="further", name="further", source="made up", bow_diameter=0.014, pin_diameter=pin,
        jaw=0.03, length=0.05, wll=wll,
    ),
    ratings, st.floats(0.01, 0.03),
)  # fmt: skip
straps = st.builds(
    lambda wll, length: Strap(
        id="further", name="further", source="made up", length=length, width=0.05, wll=wll,
        choker_factor=0.8, basket_factor=2.0,
    ),
    ratings, st.floats(0.5, 6.0),
)  # fmt: skip


@given(job=made_ups(), gear=st.one_of(blocks, shackles, straps), count=st.integers(1, 2))
def test_a_further_piece(job: MadeUp, gear: Block | Shackle | Strap, count: int) -> None:
    """The most sheaves in a setup (a preference) stay as they are."""
    piece = Owned(name="further", gear=gear, count=count, condition=NEW)
    assert best_key(_owning(job.site, piece)) <= best_key(job.site)


@given(job=made_ups(), more=st.integers(1, 3), which=st.integers(0, 20))
def test_one_more_of_a_kind(job: MadeUp, more: int, which: int) -> None:
    gear = list(job.site.gear)
    able = [i for i, piece in enumerate(gear) if not isinstance(piece.gear, Rope)]
    at = able[which % len(able)]
    gear[at] = replace(gear[at], count=gear[at].count + more)
    assert best_key(replace(job.site, gear=tuple(gear))) <= best_key(job.site)


@given(job=made_ups(), length=st.floats(5.0, 150.0), mbs=st.floats(10_000.0, 60_000.0))
def test_a_further_rope(job: MadeUp, length: float, mbs: float) -> None:
    ropes = [piece for piece in job.site.gear if isinstance(piece.gear, Rope)]
    one = ropes[0].gear
    assert isinstance(one, Rope)
    further = replace(ropes[0], name="further", gear=replace(one, mbs=mbs), length=length)
    assert best_key(_owning(job.site, further)) <= best_key(job.site)


@given(job=made_ups(), more=st.floats(0.1, 80.0))
def test_a_longer_rope(job: MadeUp, more: float) -> None:
    gear = tuple(
        replace(piece, length=piece.length + more) if piece.length is not None else piece
        for piece in job.site.gear
    )
    assert best_key(replace(job.site, gear=gear)) <= best_key(job.site)


def _owning(site: Site, piece: Owned) -> Site:
    return replace(site, gear=(*site.gear, piece))


@given(
    job=made_ups(),
    beyond=st.floats(0.0, 12.0),
    side=st.floats(-10.0, 10.0),
    diameter=st.floats(0.2, 0.6),
    capacity=st.floats(5e3, 1e5),
)
def test_a_further_tree_where_no_line_passes(
    job: MadeUp, beyond: float, side: float, diameter: float, capacity: float
) -> None:
    """A tree that is not used is an obstacle, and one close to the path makes the stations lie
    closer: so it stands beyond everything on the site (no line between other places comes near it)
    and far from the path (an eighth of the distance is more than the spacing)."""
    site = job.site
    far = max(x for x, _, _ in _corners(site)) + diameter + 0.1
    end = site.legs[-1].end
    x = max(far, end[0] + 8.0 * site.preferences.station_spacing + 0.1) + beyond
    further = Tree(
        name="further", position=(x, side, end[2]), diameter=diameter, species="made up",
        heights=(0.5, 1.0), top=15.0,
        strength=AnchorStrength(capacity=capacity, unit="N·m", factors=(), governs="made up"),
    )  # fmt: skip
    assert best_key(replace(site, anchors=(*site.anchors, further))) <= best_key(site)


def _corners(site: Site) -> list[Vec]:
    """Points whose hull every line between places of the site lies in."""
    found = [anchor.position for anchor in site.anchors]
    for puller in site.pullers:
        x, y, z = puller.position
        a, b, c = puller.heading
        found += [puller.position, (x + puller.run * a, y + puller.run * b, z + puller.run * c)]
    for scene in scenes(site, lay_stations(site)):
        found += [(float(x), float(y), float(z)) for x, y, z in scene.hitch]
    return found


@given(job=made_ups(), more=st.floats(1.0, 3.0))
def test_more_pull(job: MadeUp, more: float) -> None:
    pullers = tuple(replace(p, limit=p.limit * more) for p in job.site.pullers)
    assert best_key(replace(job.site, pullers=pullers)) <= best_key(job.site)


@given(job=made_ups(), side=st.floats(-12.0, 12.0), limit=st.floats(500.0, 6000.0))
def test_a_further_puller(job: MadeUp, side: float, limit: float) -> None:
    one = job.site.pullers[0]
    x, _, z = job.site.legs[-1].end
    further = replace(
        one, name="further", kind=PulledBy.PEOPLE, position=(x + 3.0, side, z), height=1.0, limit=limit,
        heading=(1.0, 0.0, 0.0), run=5.0, purchase=None, anchor=None, needs_termination=False,
    )  # fmt: skip
    assert best_key(replace(job.site, pullers=(*job.site.pullers, further))) <= best_key(job.site)


@given(job=made_ups(), off=st.sampled_from(sorted(RULES)))
def test_a_rule_switched_off(job: MadeUp, off: str) -> None:
    """Rules only leave rigs out."""
    assume(job.recipe.heights == 1)  # else there are many more walks
    rules = job.site.preferences.rules - {off}
    loose = replace(job.site, preferences=replace(job.site.preferences, rules=rules))
    assert best_key(loose) <= best_key(job.site)


# ---- a harder job -------------------------------------------------------------------------------


@given(job=made_ups(), factor=st.floats(1.0, 3.0))
def test_heavier(job: MadeUp, factor: float) -> None:
    load = replace(job.site.load, weight=job.site.load.weight * factor)
    assert best_key(replace(job.site, load=load)) >= best_key(job.site)


@given(job=made_ups(), which=st.integers(0, 2), factor=st.floats(1.0, 4.0))
def test_rougher(job: MadeUp, which: int, factor: float) -> None:
    """More resistance on a leg. The line must pull forward in plan, as every line here does."""
    legs = list(job.site.legs)
    legs[which] = replace(legs[which], resistance=legs[which].resistance * factor)
    assert best_key(replace(job.site, legs=tuple(legs))) >= best_key(job.site)


@given(job=made_ups(), which=st.integers(0, 2), stuck=st.floats(1.0, 3.0))
def test_stuck_in_the_ground(job: MadeUp, which: int, stuck: float) -> None:
    """A break-out factor lays two more stations, so it is compared with one of next to nothing."""
    legs = list(job.site.legs)
    loose, fast = list(legs), list(legs)
    loose[which] = replace(legs[which], breakout=1.0 + 1e-12)
    fast[which] = replace(legs[which], breakout=stuck)
    better, worse = (replace(job.site, legs=tuple(one)) for one in (loose, fast))
    assert best_key(worse) >= best_key(better)


@given(job=made_ups(), higher=st.floats(1.0, 3.0))
def test_a_higher_step(job: MadeUp, higher: float) -> None:
    first, *rest = job.site.legs
    low = replace(job.site, legs=(replace(first, step=0.02), *rest))
    high = replace(job.site, legs=(replace(first, step=0.02 * higher), *rest))
    assert best_key(high) >= best_key(low)


TILTABLE = tuple(
    r for r in RECIPES if r.puller == "hand winch" or (r.regime == "easy" and r.pullers == 1)
)


@given(job=made_ups(TILTABLE), by=st.floats(0.0, 0.35))
def test_steeper(job: MadeUp, by: float) -> None:
    """The whole site tilted up about the start of the path. Lines, lengths and directions against
    the path stay as they are, so only gravity changes; to keep all else out of it, anchors are held
    against the whole force, the line acts at the ground point of the load, and the puller stands.
    True while tan(slope) < 1 / resistance: here resistance is below 0.2 and no slope above 50°."""
    flat = _tiltable(job.site)
    assert best_key(_tilted(flat, by)) >= best_key(flat)


def _tiltable(site: Site) -> Site:
    anchors = tuple(
        RatedAnchor(
            name=a.name, position=a.position, kind=AnchorKind.POST, heights=(0.0,), girth=a.girth,
            radius=a.radius, top=0.0, eye=a.eye,
            strength=AnchorStrength(capacity=6000.0, unit="N", factors=(), governs="made up"),
        )
        for a in site.anchors
    )  # fmt: skip
    load = replace(
        site.load,
        weight=site.load.weight / 3.0,
        hitches=tuple(replace(h, height=0.0) for h in site.load.hitches),
    )
    pullers = tuple(
        replace(p, run=0.0, height=0.0, needs_termination=p.purchase is not None)
        for p in site.pullers
    )
    bare = replace(site, anchors=anchors, load=load, pullers=pullers, obstacles=())
    return on_unknown_ground(bare)  # lines run along the ground itself


def _tilted(site: Site, by: float) -> Site:
    def turned(point: Vec) -> Vec:
        x, y, z = point
        return (cos(by) * x - sin(by) * z, y, sin(by) * x + cos(by) * z)

    return replace(
        site,
        legs=tuple(replace(leg, start=turned(leg.start), end=turned(leg.end)) for leg in site.legs),
        anchors=tuple(_at(a, turned) for a in site.anchors),
        pullers=tuple(replace(p, position=turned(p.position)) for p in site.pullers),
    )


def _at(anchor: object, turned: object) -> RatedAnchor:
    assert isinstance(anchor, RatedAnchor)
    assert callable(turned)
    return replace(anchor, position=turned(anchor.position))


def test_the_tilted_sites_are_no_empty_claim() -> None:
    """Some of them can be hauled, and tilting makes a difference."""
    keys = [
        (best_key(flat), best_key(_tilted(flat, 0.3)))
        for flat in (_tiltable(MadeUp(TILTABLE[0], n).site) for n in range(6))
    ]
    assert any(one[0] != float("inf") for one, _ in keys)
    assert any(one != other for one, other in keys)


# ---- the formulas themselves --------------------------------------------------------------------

slopes = st.floats(0.0, 0.8)
grips = st.floats(0.02, 0.8)
advances = st.floats(0.5, 6.0)
lifts = st.floats(-0.4, 0.4)


@given(slope=slopes, by=st.floats(0.0, 0.1), c=grips, advance=advances, lift=lifts)
def test_pull_by_slope(slope: float, by: float, c: float, advance: float, lift: float) -> None:
    """With the rig fixed to the slope: steeper needs more, while tan(slope) < 1 / c."""
    flat, steep = (
        float(
            moving.pull_needed(
                weight=1000.0, slope_sin=sin(a), slope_cos=cos(a), resistance=c,
                advance=advance, lift=lift,
            )
        )
        for a in (slope, slope + by)
    )  # fmt: skip
    assert steep >= flat * (1.0 - 1e-12)


@given(slope=slopes, c=grips, more=st.floats(0.0, 0.5), advance=advances, lift=lifts)
def test_pull_by_resistance(
    slope: float, c: float, more: float, advance: float, lift: float
) -> None:
    """Rougher needs more where the rig pulls forward in plan."""
    assume(advance * cos(slope) - lift * sin(slope) > 0.0)
    smooth, rough = (
        float(
            moving.pull_needed(
                weight=1000.0, slope_sin=sin(slope), slope_cos=cos(slope), resistance=r,
                advance=advance, lift=lift,
            )
        )
        for r in (c, c + more)
    )  # fmt: skip
    assert rough >= smooth * (1.0 - 1e-12)


@given(low=st.floats(0.001, 0.1), by=st.floats(0.0, 0.09), slope=slopes, advance=advances)
def test_pull_by_height_of_a_step(low: float, by: float, slope: float, advance: float) -> None:
    """A higher step needs more of a pull along the ground."""
    less, more = (
        float(
            step.pull_over_step(
                wheel_radius=0.2, step=h, slope_sin=sin(slope), slope_cos=cos(slope),
                axle_weight=1000.0, advance=advance, lift=0.0,
            )
        )
        for h in (low, low + by)
    )  # fmt: skip
    assert more >= less * (1.0 - 1e-12)


def test_the_made_up_sites_are_no_empty_claim() -> None:
    """Half of them at least can be hauled, by setups of several kinds."""
    found = [ranked(MadeUp(recipe, n).site, top=2) for recipe in RECIPES for n in range(2)]
    walks = {setup.parts for ranking in found for setup in ranking}
    assert sum(bool(ranking.setups) for ranking in found) >= len(found) / 2
    assert {1, 2, 3} <= walks
