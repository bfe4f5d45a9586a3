"""Ranges: which end is the worse for the haul, at every corner, and values changed by key."""

import random
import re

import pytest

from catalogue.gear import Block, Rope
from optimiser.site.document.anchors import spread
from optimiser.site.document.quantity import Corner
from optimiser.site.model import Site
from optimiser.site.reading import read_document, read_site, site_from_document
from shared.errors import InputError
from tests.site.small import SMALL

KILOGRAM = 9.80665
CORNERS: tuple[Corner, ...] = ("worst", "best", "stated")

# old text, text with a range, key of the guess, worse end and better end in SI
RANGES = [
    ('"260 kg"', '"220..300 kg"', "load.weight", 300 * KILOGRAM, 220 * KILOGRAM),
    ('rating = "10 kN"', 'rating = "8..10 kN"', "load.hitch[drawbar].rating", 8e3, 1e4),
    ("breakout = 1.3", 'breakout = "1.2..1.5"', "path.leg[1].breakout", 1.5, 1.2),
    ('step = "5 cm"', 'step = "4..6 cm"', "path.leg[1].step", 0.06, 0.04),
    ('diameter = "0.4 m"', 'diameter = "0.36..0.44 m"', "tree[oak].diameter", 0.36, 0.44),
    ('girth = "1.2 m"', 'girth = "1.1..1.3 m"', "tree[ash].girth", 1.1, 1.3),
    ('rating = "20 kN"', 'rating = "20 kN +- 10 %"', "anchor[quay ring].rating", 18e3, 22e3),
    ('"1400 kg"', '"1300..1500 kg"', "puller[tractor].weight", 1300 * KILOGRAM, 1500 * KILOGRAM),
    ("driven_share = 0.6", 'driven_share = "55..65 %"', "puller[tractor].driven_share", 0.55, 0.65),
    ('per_head = "200 N"', 'per_head = "150..250 N"', "puller[three of us].per_head", 150, 250),
    ('length = "60 m"', 'length = "55..60 m"', "gear[long rope].length", 55, 60),
    ('run = "6 m"', 'run = "5..7 m"', "puller[three of us].run", 5, 7),
]


@pytest.mark.parametrize(("old", "new", "key", "worst", "best"), RANGES)
def test_each_quantity_knows_its_worse_end(
    old: str, new: str, key: str, worst: float, best: float
) -> None:
    """Heavier, rougher, weaker, shorter is worse; the guess carries both ends and the middle."""
    site = read_site(SMALL.replace(old, new, 1))
    guess = next(guess for guess in site.guesses if guess.key == key)

    assert (guess.worst, guess.best) == pytest.approx((worst, best))
    assert guess.stated == pytest.approx((worst + best) / 2)


@pytest.mark.parametrize("corner", CORNERS)
def test_a_value_without_a_range_is_the_same_at_every_corner(corner: Corner) -> None:
    """Only what was given as a range moves."""
    text = SMALL.replace('"0.03..0.06"', "0.05").replace('"0.88..0.94"', "0.9")
    plain = read_site(text)

    assert read_site(text, corner) == plain
    assert plain.guesses == ()


def test_the_corners_of_the_site() -> None:
    """All quantities move to the same corner together."""
    document = read_document(SMALL)
    worst, best, stated = (
        site_from_document(document, "worst"),
        site_from_document(document, "best"),
        site_from_document(document, "stated"),
    )

    assert [site.legs[1].resistance for site in (worst, stated, best)] == pytest.approx(
        [0.06, 0.045, 0.03]
    )
    assert [_block(site).eta for site in (worst, stated, best)] == pytest.approx([0.88, 0.91, 0.94])


def test_roll_back_goes_by_the_least_resistance_at_every_corner() -> None:
    """What holds the load by itself is never counted on beyond the lower end."""
    document = read_document(SMALL)
    for corner in CORNERS:
        leg = site_from_document(document, corner).legs[1]
        assert leg.resistance_low == pytest.approx(min(0.03, 0.012))


@pytest.mark.parametrize(
    ("key", "value", "read"),
    [
        ("load.weight", "300 kg", lambda site: site.load.weight / KILOGRAM),
        ("tree[1].diameter", "300 mm", lambda site: 1000 * site.anchors[0].radius * 2),
        ("tree[oak].diameter", "300 mm", lambda site: 1000 * site.anchors[0].radius * 2),
        ("gear[long rope].length", "300 m", lambda site: site.gear[0].length),
        ("gear[snatch-100-bronze].count", "300", None),
        ("gear[snatch-100-bronze].count", "30", lambda site: 10 * site.gear[1].count),
        ("path.leg[2].resistance", "3", lambda site: 100 * site.legs[1].resistance),
        ("path.leg[1].to[1]", "5 m", lambda site: 60 * site.legs[0].end[0]),
        ("path.leg[1].apparent_weight", "50 %", lambda site: 600 * site.legs[0].apparent),
        ("preferences.enough", "3", lambda site: 100 * site.preferences.enough),
        ("puller[1].traction", "0.3", None),
        ("puller[lever hoist].pull", "3 kN", lambda site: site.pullers[1].limit / 10),
    ],
)
def test_any_value_can_be_changed_by_its_key(key: str, value: str, read: object) -> None:
    """By place in the list or by name, present or left out so far; what is wrong is refused."""
    document = read_document(SMALL)
    if not callable(read):
        with pytest.raises(InputError, match=re.escape(key.split("[")[0])):
            site_from_document(document, "worst", {key: value})
        return

    assert read(site_from_document(document, "worst", {key: value})) == pytest.approx(300)


def test_a_changed_value_is_the_same_as_a_changed_file() -> None:
    """An override gives the very site that the edited file gives."""
    changed = site_from_document(read_document(SMALL), "worst", {"load.weight": "311 kg"})

    assert changed == read_site(SMALL.replace('"260 kg"', '"311 kg"'))


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("load.wieght", "did you mean 'weight'"),
        ("laod.weight", "did you mean 'load'"),
        ("tree[oka].diameter", "did you mean 'oak'"),
        ("tree[9].diameter", "there is no number 9"),
        ("tree[0].diameter", "there is no number 0"),
        ("load.weight.high", "has nothing inside"),
        ("load..weight", "not a key"),
        ("", "not a key"),
        ("tree", "a list"),
    ],
)
def test_a_key_that_leads_nowhere_is_refused(key: str, words: str) -> None:
    """With the closest one there is."""
    with pytest.raises(InputError, match=re.escape(words)):
        site_from_document(read_document(SMALL), "worst", {key: "3 m"})


def test_units_make_no_difference() -> None:
    """The same lengths and weights in feet and pounds give the same site."""
    metric = read_site(SMALL)

    def feet(match: re.Match[str]) -> str:
        return f'"{float(match[1]) / 0.3048!r} ft"'

    text = re.sub(r'"(-?[\d.]+) m"', feet, SMALL)
    imperial = read_site(text.replace('"260 kg"', f'"{260 / 0.45359237!r} lb"'))

    assert imperial.load.weight == pytest.approx(metric.load.weight)
    for ours, theirs in zip(metric.anchors, imperial.anchors, strict=True):
        assert theirs.position == pytest.approx(ours.position)
        assert theirs.heights == pytest.approx(ours.heights)
        assert theirs.strength.capacity == pytest.approx(ours.strength.capacity)


def test_the_order_of_the_tables_makes_no_difference() -> None:
    """Tables of different kinds may stand in any order in the file."""
    blocks = re.split(r"(?m)^(?=\[)", SMALL)
    head = blocks[0]
    groups: dict[str, list[str]] = {}
    for block in blocks[1:]:
        groups.setdefault(block.split("]")[0].strip("["), []).append(block)
    groups["path"] += groups.pop("path.leg")
    groups["load"] += groups.pop("load.hitch")
    names = list(groups)
    random.Random(7).shuffle(names)
    shuffled = head + "\n".join("\n".join(groups[name]) for name in names)

    assert shuffled != SMALL
    assert read_site(shuffled) == read_site(SMALL)


@pytest.mark.parametrize(
    ("lowest", "highest", "count", "heights"),
    [
        (0.3, 1.5, 3, (0.3, 0.9, 1.5)),
        (0.3, 1.5, 4, (0.3, 0.7, 1.1, 1.5)),
        (0.3, 1.2, 3, (0.3, 0.75, 1.2)),
        (0.3, 1.0, 4, (0.3, 0.53, 0.77, 1.0)),
        (0.3, 0.3, 3, (0.3,)),
        (0.3, 0.305, 4, (0.3,)),
        (0.3, 0.32, 4, (0.3, 0.31, 0.32)),
        (0.3, 1.5, 1, (0.3,)),
    ],
)
def test_strap_heights_are_spread_evenly(
    lowest: float, highest: float, count: int, heights: tuple[float, ...]
) -> None:
    """Both ends are in, the rest to the centimetre, none twice."""
    assert spread(lowest, highest, count) == heights


def test_the_catalogue_is_overridden_by_what_is_marked() -> None:
    """A stamped rating wins; "unknown" leaves nothing to go by."""
    stamped = read_site(SMALL.replace('length = "60 m"', 'length = "60 m"\nrating = "5 kN"'))
    unknown = read_site(SMALL.replace('length = "60 m"', 'length = "60 m"\nrating = "unknown"'))
    rope = stamped.gear[0].gear
    bare = unknown.gear[0]

    assert isinstance(rope, Rope)
    assert rope.wll == 5000.0
    assert isinstance(bare.gear, Rope)
    assert (bare.gear.wll, bare.gear.mbs, bare.unrated) == (None, None, True)
    assert stamped.gear[0].ends[1] is None
    assert stamped.gear[0].ends[0] is not None


def _block(site: Site) -> Block:
    block = site.gear[1].gear
    assert isinstance(block, Block)
    return block
