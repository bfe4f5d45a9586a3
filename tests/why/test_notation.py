"""A reeving is read back as it is printed, and a slip gets one clear message."""

import json
from dataclasses import replace

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.notation import parse_reeving
from optimiser.rig.walk import LOAD, Place, PlaceKind, notation
from optimiser.site.model import Site
from shared.errors import InputError
from tests.generated import HOME, made_up


@pytest.fixture(scope="module")
def site() -> Site:
    return made_up(HOME, 2)


def message_of(text: str, site: Site) -> str:
    with pytest.raises(InputError) as error:
        parse_reeving(text, site)
    return str(error.value)


def test_what_a_ranking_prints_is_read_back(site: Site) -> None:
    for setup in rank(site, RankQuestion(top=3)).setups:
        assert parse_reeving(setup.reeving, site) == setup.walk
        assert parse_reeving(json.dumps([str(p) for p in setup.walk]), site) == setup.walk
        assert notation(parse_reeving(setup.reeving, site)) == setup.reeving


def test_spaces_case_and_units_do_not_matter(site: Site) -> None:
    walk = parse_reeving("  LOAD>  Tree00@30cm >load>puller0 ", site)
    assert walk == (
        LOAD,
        Place(PlaceKind.ANCHOR, "tree00", 0.3),
        LOAD,
        Place(PlaceKind.PULLER, "puller0"),
    )


def test_a_strap_may_hang_between_the_heights_that_are_tried(site: Site) -> None:
    assert parse_reeving("load > tree00@0.5 m > puller0", site)[1].height == 0.5


def test_the_height_may_be_left_out_where_there_is_one(site: Site) -> None:
    tree = replace(site.anchors[0], heights=(0.9,))  # type: ignore[type-var]
    one = replace(site, anchors=(tree, *site.anchors[1:]))
    assert parse_reeving("load > tree00 > puller0", one)[1].height == 0.9


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "load > tre00@0.3 m > puller0",
            "no place 'tre00@0.3 m' at this site; did you mean 'tree00'",
        ),
        (
            "load > tree00@0.3 m > pullr0",
            "place 3: no place 'pullr0' at this site; did you mean 'puller0'",
        ),
        ("load > tree00@3 m > puller0", "may hang from 0.30 m to 1.50 m up, not at 3 m"),
        ("load > tree00@0.3 > puller0", "with its unit"),
        ("load > tree00 > puller0", "say how high the strap is"),
        ("load > tree00@0.3 m", "the last place is the puller: 'puller0'"),
        ("load > puller0 > load > puller0", "puller0 pulls: it can only come last"),
        ("load > load > puller0", "comes twice in a row"),
        ("tree00@0.3 m > puller0", "the rope never comes to the load"),
        ("load", "write places from the standing end to the puller"),
        ("load > > puller0", "write places from the standing end to the puller"),
        ('["load", 3]', "holds texts only"),
        ('["load"', "is no JSON list"),
    ],
)
def test_a_slip_is_reported(site: Site, text: str, message: str) -> None:
    assert message in message_of(text, site)


def test_all_slips_are_reported_at_once(site: Site) -> None:
    assert len(message_of("loda > tre00@0.3 m > pullr0", site).splitlines()) == 3
