"""What lies on an edge, or can be laid there, through a site file: read, refused with a reason, written."""

import json
from dataclasses import replace
from typing import Any

import pytest
from click.testing import CliRunner

from catalogue.book import load_catalogue
from catalogue.gear import Protector
from optimiser import read_site
from optimiser.cli import cli
from optimiser.site.document import site_schema
from optimiser.site.model import Leg, Site
from optimiser.site.reading import read_document, site_from_document, starter_text
from shared.errors import InputError
from tests.benchmark.as_file import site_file
from tests.generated import HOME, made_up
from tests.site.small import SMALL

BOOK = load_catalogue()
LOG = BOOK.protectors["log-bark-20"]
OWN_LOG = """
[[gear]]
kind = "protector"
name = "birch trunk"
surface = "bark"
clearance = "8 cm"
bend_radius = "8 cm"
length = "1.2..1.5 m"
covers = "0.4 m"
made_on_the_spot = true
fixing = "two stakes at each end"
"""


def with_leg(words: str) -> str:
    return SMALL.replace('step = "5 cm"\n', f'step = "5 cm"\n{words}\n')


def with_gear(words: str) -> str:
    return SMALL.replace("[preferences]", f"{words}\n[preferences]")


def refused(text: str) -> str:
    with pytest.raises(InputError) as error:
        read_site(text)
    return str(error.value)


@pytest.mark.parametrize(
    ("words", "protected", "laid"),
    [
        ("", False, None),
        ("edge_protected = false", False, None),
        ("edge_protected = true", True, BOOK.laid_already),
        ('edge_protected = "log-bark-20"', True, LOG),
        ('edge_protected = "roller-frame"', True, BOOK.protectors["roller-frame"]),
    ],
)
def test_what_lies_on_a_leg(words: str, protected: bool, laid: Protector | None) -> None:
    first, second = read_site(with_leg(words)).legs

    assert (first.edge_protected, first.laid) == (protected, laid)
    assert (second.edge_protected, second.laid) == (False, None)


def test_what_lies_on_a_leg_is_changed_from_the_command_line() -> None:
    """A sweep or an override gives texts: true and false mean what they say."""
    document = read_document(with_leg('edge_protected = "log-bark-20"'))

    def laid(value: str) -> Protector | None:
        site = site_from_document(document, overrides={"path.leg[1].edge_protected": value})
        return site.legs[0].laid

    assert laid("mat-canvas") == BOOK.protectors["mat-canvas"]
    assert laid("true") == BOOK.laid_already
    assert laid("false") is None


def test_gear_that_can_be_laid_there() -> None:
    site = read_site(
        with_gear(
            '[[gear]]\nid = "log-bark-20"\ncount = 2\nlength = "1.4 m"\n'
            '[[gear]]\nid = "mat-carpet"\ncondition = "worn"\n' + OWN_LOG
        )
    )
    log, mat, own = site.gear[-3:]

    assert (log.name, log.count, log.gear) == ("log-bark-20", 2, replace(LOG, length=1.4))
    assert (mat.name, mat.count, mat.gear) == ("mat-carpet", 1, BOOK.protectors["mat-carpet"])
    assert own.gear == Protector(
        id="birch trunk", name="birch trunk", source="site", surface="bark", clearance=0.08,
        bend_radius=0.08, length=1.2, covers=0.4, made=True, fixing="two stakes at each end",
    )  # fmt: skip
    assert [guess.key for guess in site.guesses if "birch" in guess.key] == [
        "gear[birch trunk].length"
    ]


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        (
            with_leg('edge_protected = "log-bark-21"'),
            "edge_protected",
            "did you mean 'log-bark-20'",
        ),
        (with_leg('edge_protected = "log-bark"'), "edge_protected", "there are log-bark-15, log-"),
        (with_leg('edge_protected = "laid"'), "edge_protected", "write edge_protected = true"),
        (with_leg("edge_protected = 1"), "edge_protected", "expected true, false, or the id of"),
        (with_leg('edge_protected = "polyester-12"'), "edge_protected", "among the protectors"),
        (with_gear('[[gear]]\nid = "laid"'), 'id = "laid"', "no gear: write edge_protected = true"),
        (with_gear('[[gear]]\nid = "log-brak-20"'), "log-brak", "did you mean 'log-bark-20'"),
        (
            with_gear('[[gear]]\nid = "log-bark-20"\nrating = "3 kN"'),
            'rating = "3 kN"',
            "nothing hangs on 'log-bark-20': it has no rating",
        ),
        (
            with_gear('[[gear]]\nid = "log-bark-20"\nlength = "0 m"'),
            'length = "0 m"',
            "must be more than 0",
        ),
        (
            with_gear('[[gear]]\nid = "log-bark-20"\nends = ["bare", "bare"]'),
            'ends = ["bare", "bare"]',
            "only a rope has ends",
        ),
        (with_gear('[[gear]]\nid = "shackle-13"'), '[[gear]]\nid = "shackle', "how worn is it"),
        (with_gear(OWN_LOG.replace('"bark"', '"brak"')), "surface = \"brak", "did you mean 'bark'"),
        (with_gear(OWN_LOG.replace('"bark"', '"soil"')), "surface = \"soil", "there are aluminium"),
        (with_gear(OWN_LOG.replace("protector", "protecter")), '"protecter"', "'protector'"),
        (with_gear(OWN_LOG.replace('clearance = "8 cm"\n', "")), "[[gear]]\nkind = \"prot", "missing"),
        (with_gear(OWN_LOG.replace("8 cm", "5..8 cm", 1)), "5..8 cm", "not a range"),
        (with_gear(OWN_LOG + 'rating = "unknown"'), 'rating = "unknown"', "unknown key"),
    ],
)  # fmt: skip
def test_what_cannot_lie_there_is_refused_with_its_line(text: str, line: str, message: str) -> None:
    found = refused(text)

    assert message in found
    assert f":{text[: text.rindex(line)].count(chr(10)) + 1}:" in found


def test_the_schema_knows_what_may_lie_there() -> None:
    defs = site_schema()["$defs"]
    flag, kinds = defs["PathLeg"]["properties"]["edge_protected"]["anyOf"]

    assert flag == {"type": "boolean"}
    assert kinds["enum"] == sorted(BOOK.protectors)
    assert "condition" not in defs["CatalogueItem"]["required"]
    assert "condition" in defs["ShackleItem"]["required"]
    own = defs["ProtectorItem"]["properties"]
    assert "bark" in own["surface"]["enum"]
    assert not {"soil", "stone", "concrete"} & set(own["surface"]["enum"])
    assert all(own[key].get("description") for key in own if key != "kind")


def test_sizes_that_can_hardly_be_meant_are_doubted() -> None:
    odd = OWN_LOG.replace('"8 cm"', '"2 m"').replace('"1.2..1.5 m"', '"20 m"')
    done = CliRunner().invoke(cli, ["check", "-", "--format", "json"], input=with_gear(odd))
    found: dict[str, Any] = {
        remark["place"]: remark["text"] for remark in json.loads(done.stdout)["unlikely"]
    }

    assert "would run 2 m above the ground" in found["gear[birch trunk].clearance"].replace(
        "2.00 m", "2 m"
    )
    assert "20 m: meant so?" in found["gear[birch trunk].length"]
    assert "gear[birch trunk].bend_radius" in found
    assert "gear[birch trunk].covers" not in found


def test_every_kind_of_the_catalogue_is_likely_enough() -> None:
    items = "\n".join(f'[[gear]]\nid = "{id}"' for id in BOOK.protectors)
    done = CliRunner().invoke(cli, ["check", "-", "--format", "json"], input=with_gear(items))

    assert done.exit_code == 0, done.output
    doubted = [remark["place"] for remark in json.loads(done.stdout)["unlikely"]]
    assert not [place for place in doubted if any(id in place for id in BOOK.protectors)]


def test_the_starter_shows_how_to_give_it() -> None:
    """Its commented lines read once they are uncommented."""
    text = starter_text()
    text = text.replace('# edge_protected = "', 'edge_protected = "')
    commented = '# [[gear]]\n# id = "log-bark-20"\n# count = 1\n# length'
    assert commented in text
    site = read_site(text.replace(commented, commented.replace("# ", "")))

    assert site.legs[0].laid == LOG
    assert site.gear[-1].gear == replace(LOG, length=1.5)


def test_a_site_that_is_written_back_keeps_it() -> None:
    """`tests.benchmark.as_file` writes what a person could have written."""
    site = made_up(HOME, 3)
    own = read_site(with_gear(OWN_LOG)).gear[-1]

    def lying(leg: Leg, number: int) -> Leg:
        protector = (None, LOG)[number % 2]
        return replace(leg, edge_protected=True, protector=protector)

    legs = tuple(lying(leg, number) for number, leg in enumerate(site.legs))
    back: Site = read_site(site_file(replace(site, legs=legs, gear=(*site.gear, own))))

    assert [leg.laid for leg in back.legs] == [leg.laid for leg in legs]
    assert back.gear[-1] == own


def test_check_shows_what_lies_there_and_what_can_be_laid() -> None:
    text = with_gear('[[gear]]\nid = "mat-canvas"\nlength = "0.8 m"').replace(
        'step = "5 cm"\n', 'step = "5 cm"\nedge_protected = "log-peeled-15"\n'
    )
    done = CliRunner().invoke(cli, ["check", "-", "--format", "csv"], input=text)

    assert "what lies there: peeled log of 15 cm, cut on the spot" in done.stdout
    assert "0.80 m across the rope, covers 1.00 m along it, the rope 15 mm above" in done.stdout


def test_gear_lists_the_kind_with_what_it_rubs() -> None:
    run = CliRunner().invoke
    listed = run(cli, ["gear", "log-bark-20", "--format", "json"])
    (log,) = json.loads(listed.stdout)

    assert (log["kind"], log["surface"], log["made_on_the_spot"]) == (
        "edge protector",
        "bark",
        True,
    )
    friction = {word: row for row in log["friction"] for word in row["materials"]}
    assert (friction["polyester"]["low"], friction["polyester"]["high"]) == (0.2, 0.6)
    table = run(cli, ["gear", "steel", "tube"]).stdout
    assert "the rope runs on: steel tube" in table
    assert "roping-friction" in table
    assert isinstance(run(cli, ["gear", "laid", "already"]).exception, InputError)
