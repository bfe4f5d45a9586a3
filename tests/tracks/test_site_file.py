"""A puller with a track or an area, through the site file: what it may say, and what it may not."""

import pytest

from optimiser import RankQuestion, rank, read_site
from optimiser.site.roaming.rooms import Area, Track
from optimiser.site.roaming.stands import stands
from shared.errors import InputError
from tests.tracks.lane import LANE, SPOT, YARD, site_text

TRACK = 'track = [["12 m", "4 m", "1 m"], ["12.5 m", "26 m", "1.2 m"]]'
AT = 'at = ["12 m", "4 m", "1 m"]'
AREA = 'area = [["10 m", "6 m", "1 m"], ["16 m", "6 m", "1 m"], ["17 m", "20 m", "1.1 m"]]'


def test_a_track_has_a_spot_every_two_metres_either_way() -> None:
    """22.007 m of lane: 12 spots at 0, 2 ... 22 m and one at its end. The van, 4 m long, goes 1 m at least:
    the last spot for who faces the end is at 16 m, the first for who faces the start at 6 m."""
    site = read_site(site_text(LANE))
    (van,) = site.pullers
    assert isinstance(van.room, Track)
    found = [(p.stand.along, p.stand.turn, p.run) for p in stands(site, van) if p.stand]
    ahead = [(along, run) for along, turn, run in found if turn == 0.0]
    back = [(along, run) for along, turn, run in found if turn != 0.0]
    assert [along for along, _ in ahead] == pytest.approx([2.0 * i for i in range(9)])
    assert [run for _, run in ahead] == pytest.approx([9.0, 9.0, 9.0, 9.0, 9.0, 8.0, 6.0, 4.0, 2.0])
    assert back[0] == pytest.approx((6.0, 2.0))
    assert back[-1][0] == pytest.approx(22.0066, abs=1e-3)


def test_an_area_is_a_plane_on_which_the_van_keeps_off_the_edges() -> None:
    site = read_site(site_text(YARD))
    (van,) = site.pullers
    assert isinstance(van.room, Area)
    for stood in stands(site, van):
        x, y, z = stood.position if site.frame is None else site.frame.in_file(stood.position)
        assert 11.0 - 1e-6 <= x <= 16.0
        assert 7.0 - 1e-6 <= y <= 19.0
        assert z == pytest.approx(1.0 + 0.1 * (y - 6.0) / 14.0, abs=1e-6)
        assert stood.heading[2] == pytest.approx(stood.heading[1] * 0.1 / 14.0, abs=1e-4)


def test_with_one_spot_it_is_the_answer_of_that_spot() -> None:
    """A lane just as long as the van and its run leaves one spot either way; the other way no line reaches
    it."""
    narrow = LANE.replace('spacing = "2 m"', 'spacing = "80 m"').replace(
        'track = [["12 m", "4 m", "1 m"], ["12.5 m", "26 m", "1.2 m"]]',
        'track = [["12 m", "4 m", "1 m"], ["12.5 m", "17 m", "1.2 m"]]',
    )
    spot = SPOT.replace('"26 m"', '"17 m"')
    question = RankQuestion(explain=False)
    there = rank(read_site(site_text(spot)), question)
    lane = rank(read_site(site_text(narrow)), question)
    assert len(there) == len(lane) > 0
    for one, other in zip(there, lane, strict=True):
        if other.standing is not None and not other.standing.refined:
            assert one.reeving == other.reeving
            assert (one.resets, one.strokes) == (other.resets, other.strokes)
            for figure in ("margin", "pull", "rope_needed", "hauled"):
                assert getattr(one, figure) == pytest.approx(getattr(other, figure), rel=1e-7)


def test_a_better_spot_is_found_than_the_one_that_was_given() -> None:
    """By the order of the ranking, and with the spot moved to a decimetre off the candidates."""
    spot, lane = (
        rank(read_site(site_text(where)), RankQuestion(explain=False)) for where in (SPOT, LANE)
    )
    assert lane[0].margin >= 2.0
    assert (lane[0].resets, lane[0].rope_needed) < (spot[0].resets, spot[0].rope_needed)
    assert lane[0].standing is not None
    assert lane[0].standing.refined
    assert lane[0].standing.along == pytest.approx(round(lane[0].standing.along, 1))


@pytest.mark.parametrize(
    ("where", "key", "message"),
    [
        ('track = [["12 m", "4 m", "1 m"]]', "track", "one point make no track: at least 2"),
        ('area = [["1 m", "4 m", "1 m"], ["2 m", "9 m", "1 m"]]', "area", "2 points make no area"),
        (TRACK + "\n" + AT, "at", "says where it stands and which way it goes, and so does track"),
        (TRACK + "\n" + AREA, "area", "give either a track or an area, not both"),
        (TRACK + '\nheading = "30 deg"', "heading", "give one of them"),
        (AREA + '\ntrack_width = "3 m"', "track_width", "belongs to a track"),
        (SPOT + 'spacing = "1 m"', "spacing", "belongs to a track or an area"),
        (TRACK + '\ntrack_width = "1.5 m"', "track_width", "narrower than what pulls there"),
        (TRACK + '\nspacing = "1 mm"', "spacing", "candidate spots and headings, 1,000 at most"),
        (
            'area = [["10 m", "6 m", "1 m"], ["16 m", "20 m", "1 m"], ["16 m", "6 m", "1 m"], '
            '["10 m", "20 m", "1 m"]]',
            "area",
            "crosses itself: the side from corner 1 meets that from corner 3",
        ),
        (
            'area = [["10 m", "6 m", "1 m"], ["16 m", "6 m", "1 m"], ["16 m", "20 m", "3 m"], '
            '["10 m", "20 m", "1 m"]]',
            "area",
            "is no plane: a corner is 0.50 m off",
        ),
        (
            'track = [["12 m", "4 m", "1 m"], ["12 m", "4 m", "1 m"], ["12 m", "9 m", "1 m"]]',
            "track",
            "point 2 lies on the one before it",
        ),
        (
            'track = [["12 m", "4 m", "1 m"], ["12 m", "8 m", "1 m"]]',
            "track",
            "'van' has no room there: nowhere on it can something 4.5 m long and 2 m wide go 1 m",
        ),
        ('track = [["-1 m", "0 m", "0 m"], ["8 m", "0 m", "1 m"]]', "track", "the way of the load"),
        ('track = ["lime", "nowhere"]', "track[2]", "no place is named 'nowhere'"),
    ],
)  # fmt: skip
def test_every_misuse_has_its_own_message(where: str, key: str, message: str) -> None:
    with pytest.raises(InputError) as error:
        read_site(site_text(where))
    (fault,) = error.value.faults
    assert fault.place == f"puller[1].{key}"
    assert message in fault.message


def test_a_track_leads_to_named_places_that_readings_found() -> None:
    """A mark 22 m further on, straight on from the path's end, is read by tape and bearing from the limes."""
    marks = """
[[mark]]
name = "gate"
at = ["12 m", "4 m", "1 m"]
[[mark]]
name = "bend"
[[reading]]
from = "gate"
to = "bend"
level = "22 m"
bearing = "90 deg"
rise = "0.2 m"
[[reading]]
from = "start"
to = "end"
bearing = "0 deg"
"""
    where = LANE.replace('["12 m", "4 m", "1 m"], ["12.5 m", "26 m", "1.2 m"]', '"gate", "bend"')
    site = read_site(site_text(where, more=marks))
    room = site.pullers[0].room
    assert isinstance(room, Track)
    assert room.length == pytest.approx(22.0, abs=0.02)
    found = rank(site, RankQuestion(top=1, explain=False))
    assert found[0].standing is not None
    assert site.origin is not None
    moved = site.origin.moved({"gate": (12.0, 4.5, 1.0), "bend": (12.5, 27.0, 1.2)})
    assert moved.pullers[0].room is not None
    assert moved.pullers[0].room.points != room.points


def test_a_van_without_a_weight_may_go_up_an_area_that_slopes_off_all_its_sides() -> None:
    """Sides 45 degrees off the fall line climb less than it does."""
    diamond = (
        'area = [["20 m", "0 m", "0 m"], ["30 m", "10 m", "{z} m"], ["20 m", "20 m", "{zz} m"], '
        '["10 m", "10 m", "{z} m"]]\n'
    )

    def refused(z: float) -> bool:
        text = site_text(diamond.format(z=z, zz=2.0 * z))
        text = text.replace('weight = "1600 kg"\ndriven_share = "60 %"', 'pull = "3 kN"')
        try:
            read_site(text.replace('footing = "gravel-road"\n', ""))
        except InputError as error:
            return "drives uphill" in str(error)
        return False

    # Along the sides it rises by z in 14.1 m, up the slope by z in 10.
    level = 0.01
    assert refused(10.0 * level * 1.2)
    assert not refused(10.0 * level * 0.5)
