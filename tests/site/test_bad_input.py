"""Every kind of bad input gives one clear message: the file, the line, what was expected."""

import os
import re
from pathlib import Path

import pytest

from optimiser.site.reading import read_site, starter_text
from shared.errors import InputError
from tests.site.small import SMALL, line_with

# old text, what stands in its place, words on the line that is named, words of the message
FAULTS = [
    # keys
    ('weight = "260 kg"', 'wieght = "260 kg"', "wieght", "unknown key; did you mean 'weight'"),
    ('weight = "260 kg"', "", "[load]", 'missing (such as weight = "260 kg")'),
    ("[load]", "[laod]", "[laod]", "unknown key; did you mean 'load'"),
    ('diameter = "0.4 m"\n', "", "[[tree]]", "missing: give the diameter"),
    (
        'girth = "1.2 m"',
        'girth = "1.2 m"\ndiameter = "0.4 m"',
        'diameter = "0.4 m"\nspecies = "unknown"',
        "either",
    ),
    # units
    ('"260 kg"', "260", "weight", "number '260' alone"),
    ('"260 kg"', '"260"', "weight", "which has no unit"),
    ('"260 kg"', '"260 m"', "weight", "which is a length"),
    ('"260 kg"', '"260 kgs"', "weight", "no unit 'kgs'; did you mean 'kg'"),
    ('"260 kg"', '"nan kg"', "weight", "not a number"),
    ('"260 kg"', '"inf kg"', "weight", "not a number"),
    ('"260 kg"', '"-260 kg"', "weight", "must be more than 0"),
    ('"260 kg"', '"1 000 kg"', "weight", "without spaces"),
    ('"260 kg"', '"300..220 kg"', "weight", "smaller end first"),
    ('"260 kg"', '"1e300 kg"', "weight", "too big"),
    ('length = "60 m"', 'length = "-60 m"', '"-60 m"', "must be more than 0"),
    ('length = "60 m"', 'length = "100 ft 6"', "100 ft 6", 'or "100 ft 6 in"'),
    ('length = "60 m"', 'length = "100\'6""', "100'6", "inches within quotes"),
    ('length = "60 m"', "length = 100 ft 6 in", "100 ft", "stand in quotes"),
    ('"260 kg"', '"about 260 kg"', "weight", '"234..286 kg" or "260 kg +- 10 %"'),
    ('at = ["10 m", ', 'at = ["about 10 m", ', "about", 'plan with, "10 m"'),
    ('at = ["10 m", ', 'at = ["9 to 10 m", ', "9 to 10 m", 'as in "9'),
    ("breakout = 1.3", "breakout = nan", "breakout", "expected a plain number"),
    ("breakout = 1.3", "breakout = 0.5", "breakout", "must be 1 or more"),
    ("breakout = 1.3", "breakout = 1979-05-27", "breakout", "got a date or time"),
    ("driven_share = 0.6", 'driven_share = "160 %"', "driven_share", "must be 1 or less"),
    ('wheel_radius = "0.25 m"', 'wheel_radius = "0.2..0.3 m"', "wheel_radius", "not a range"),
    ('"20 m", "3 m", "1 m"', '"20 m", 3, "1 m"', '"20 m", 3', "number '3' alone"),
    ('"20 m", "3 m", "1 m"', '"20 m", "3 m"', '"20 m", "3 m"', "at least 3, got 2"),
    # types
    ("count = 3\nper_head", 'count = "3"\nper_head', 'count = "3"', "whole number without quotes"),
    ("count = 3\nper_head", "count = 0\nper_head", "count = 0", "1 or more"),
    ('title = "a small job"', "title = 3", "title", "a text in quotes"),
    ('name = "oak"', "name = 3", "name = 3", "a text in quotes"),
    ("margin_wanted = 1.2", "most_sheaves = 2.5", "most_sheaves", "whole number"),
    ('strap_heights = ["0.1 m"]', 'strap_heights = "0.1 m"', "strap_heights", "a list"),
    # words of the catalogue and of the program
    ("polyester-14", "polyster-14", "polyster-14", "did you mean 'polyester-14'"),
    ("oak-european", "oak", 'species = "oak"', "oak-bur, oak-european"),
    ("oak-european", "oak-europaen", "oak-europaen", "did you mean 'oak-european'"),
    ('surface = "grass"', 'surface = "gras"', "gras", "did you mean 'grass'"),
    ('surface = "grass"', 'surface = "grass-sliding"', "grass-sliding", "did you mean 'grass'?"),
    ('surface = "grass"', 'surface = "gravel-sliding"', "gravel-sliding", "'firm-gravel'"),
    ('surface = "grass"', 'surface = "lawn"', "lawn", "did you mean 'grass'?"),
    ('surface = "grass"', 'surface = "gravel"', '"gravel"', "firm-gravel, loose-gravel"),
    ("polyester-14", "rope-14", "rope-14", "there are polyester-14, "),
    ("snatch-100-bronze", "block-90", "block-90", "snatch-75-bronze"),
    ("snatch-100-bronze", "1/2 in shackle", "1/2 in shackle", "shackle-13-unmarked, shackle-13"),
    ("polyester-14", "9/16 in polyester rope", "9/16 in", "did you mean 'polyester-14'"),
    ('footing = "grass"', 'footing = "tarmac"', "tarmac", "there are paved-dry, paved-wet"),
    ('footing = "grass"', 'footing = "gras"', 'footing = "gras"', "did you mean 'grass'"),
    ('"eye-splice", "bare"', '"eye-splise", "bare"', "eye-splise", "did you mean 'eye-splice'"),
    ('condition = "worn"', 'condition = "wron"', "wron", "did you mean 'worn'"),
    ('knots = ["bowline"]', 'knots = ["bowlin"]', "bowlin", "did you mean 'bowline'"),
    ('knots = ["bowline"]', 'knots = ["eye-splice"]', "knots", "not tied on the spot"),
    ('knots = ["bowline"]', 'rules_off = ["no-backword-part"]', "rules_off", "no-backward-part"),
    ('knots = ["bowline"]', 'units = "metrik"', "units", "did you mean 'metric'"),
    ('knots = ["bowline"]', 'order = ["rope", "rope"]', "order", "at most once"),
    ('kind = "vehicle"', 'kind = "vehical"', "vehical", "did you mean 'vehicle'"),
    ('kind = "vehicle"\n', "", "[[puller]]", "what kind is it"),
    ('kind = "strap"', 'kind = "strop"', "strop", "did you mean 'strap'"),
    ('kind = "ring"', 'kind = "rink"', "rink", "did you mean 'ring'"),
    ('rests_on = "wheels"', 'rests_on = "weels"', "rests_on", "did you mean 'wheels'"),
    ('id = "lever-hoist-750"', 'id = "lever-hoist-75"', "lever-hoist-75", "lever-hoist-750"),
    # names
    ('name = "ash"', 'name = "oak"', 'name = "oak"\nat = ["20 m", "-3', "already used by tree[1]"),
    ('name = "tractor"', 'name = "oak"', 'name = "oak"\nat = ["10 m"', "already used by tree[1]"),
    ('name = "ash"', 'name = "a > b"', "a > b", "must not contain '>'"),
    ('name = "ash"', 'name = "a@b"', "a@b", "must not contain '@'"),
    ('name = "ash"', 'name = "a, b"', "a, b", "must not contain ','"),
    ('name = "ash"', 'name = "a\\u0007b"', "a\\u0007b", "must not contain"),
    ('name = "ash"', 'name = "load"', 'name = "load"', "the load itself"),
    ('name = "ash"', 'name = "12"', 'name = "12"', "bare number"),
    ('name = "ash"', 'name = ""', 'name = ""', "must not be empty"),
    ('name = "old strap"', 'name = "long rope"', 'name = "long rope"\nlength = "3', "gear[1]"),
    # places
    (
        '["6 m", "0 m", "1 m"]',
        '["0 m", "0 m", "0 m"]',
        '["0 m", "0 m", "0 m"]\nsurf',
        "0.00 m long",
    ),
    ('["6 m", "0 m", "1 m"]', '["0.1 m", "0 m", "5 m"]', '"5 m"', "that is a lift"),
    ('["12 m", "0 m", "1 m"]', '["5 km", "0 m", "1 m"]', "[[path.leg]]", "is not planned"),
    ('["20 m", "3 m", "1 m"]', '["9 m", "0.2 m", "1 m"]', '"0.2 m"', "stands on the path"),
    ('["16 m", "6 m", "1 m"]', '["9 m", "0.1 m", "1 m"]', '"0.1 m"', "stands on the path"),
    ('["8 m", "3 m", "1 m"]', '["8 m", "0.1 m", "1 m"]', '"8 m", "0.1 m"', "stands on the path"),
    ('["20 m", "-3 m", "1 m"]', '["20 m", "3.1 m", "1 m"]', '"3.1 m"', "stands where 'oak'"),
    ('["2 m", "12 m", "1 m"]', '["10 m", "8 m", "1 m"]', "towards", "where it stands already"),
    # what contradicts itself
    ('strap_highest = "1.5 m"', 'strap_highest = "0.2 m"', "strap_highest", "below strap_lowest"),
    ('strap_lowest = "0.3 m"\n', "", "[[tree]]", "lowest place for a strap"),
    ('tree_height = "15 m"', 'tree_height = "1.0 m"', 'strap_highest = "1.2 m"', "above the top"),
    ('eye = "40 mm"', 'eye = "40 mm"\ngirth = "1 m"', "eye", "not both"),
    ('rests_on = "wheels"', 'rests_on = "skids"', "wheel_radius", "has no wheels"),
    ('wheel_radius = "0.25 m"\n', "", "[load]", "a load on wheels needs it"),
    ('wheel_radius = "0.25 m"', 'wheel_radius = "0.1 m"', 'surface = "grass"', "grass-hard-wheel"),
    ('surface = "grass"', 'surface = "soil-sliding"', "soil-sliding", "that is sliding"),
    ('surface = "grass"\n', "", "[[path.leg]]", "name a surface"),
    ('overhang = "1 m"', 'overhang = "3 m"', "overhang", "further ahead than it is long"),
    ('overhang = "1 m"', 'overhang = "1 m"\nbridle = true', "bridle", "needs two hitch points"),
    ('anchor = "oak"', 'anchor = "oka"', "oka", "did you mean 'oak'"),
    ('height = "0.4 m"\n\n[[puller', 'height = "4 m"\n\n[[puller', '"4 m"', "highest strap"),
    ("driven_share = 0.6\n", "", "[[puller]]", "no pull is given"),
    ('per_head = "200 N"\n', "", '[[puller]]\nkind = "people"', "per_head"),
    ('heading = "-120 deg"\n', "", '[[puller]]\nkind = "people"', "a point"),
    ('length = "60 m"\n', "", "[[gear]]", "how long is the rope"),
    ('ends = ["eye-splice", "bare"]\n', "", "[[gear]]", "two ends"),
    (
        "count = 3\ncondition",
        'count = 3\nlength = "3 m"\ncondition',
        'length = "3 m"',
        "comes as it",
    ),
    ('length = "60 m"', 'length = "60 m"\nefficiency = 0.9', "efficiency", "only a block has it"),
    ('length = "60 m"', 'length = "60 m"\ncount = 2', "count = 2", "its own [[gear]] entry"),
    ("basket = 2", "basket = 3", "basket", "at most twice"),
    ('condition = "worn"\n', "", '[[gear]]\nkind = "strap"', "how worn it is"),
    # trees that are no anchors
    ('diameter = "0.4 m"', 'diameter = "0.4 m"\nsound = false', "sound", "cannot be computed"),
    ('diameter = "0.4 m"', 'diameter = "0.4 m"\nfork = true', "fork", "cannot be computed"),
    ('diameter = "0.4 m"', 'diameter = "0.4 m"\nlimb = true', "limb", "cannot be computed"),
    ('diameter = "0.4 m"', 'diameter = "9 m"', "[[tree]]", "at most 4 m"),
    ('diameter = "0.4 m"', 'diameter = "0.4 m"\nhollow = "0.5 m"', "[[tree]]", "hollow 0.5 m"),
    # not TOML
    ("[load]", "[load", "[load", "not TOML"),
    ('weight = "260 kg"', "weight = 260 kg", "260 kg", "not TOML"),
    ('name = "oak"', 'name = "oak"\nname = "elm"', 'name = "elm"', "stands there twice"),
]


@pytest.mark.parametrize(("old", "new", "on_line", "words"), FAULTS)
def test_one_fault_names_its_line_and_what_was_expected(
    tmp_path: Path, old: str, new: str, on_line: str, words: str
) -> None:
    """One change to a sound file gives one message that begins with FILE:LINE."""
    assert old in SMALL
    text = SMALL.replace(old, new, 1)
    file = tmp_path / "site.toml"
    file.write_text(text, encoding="utf-8")

    with pytest.raises(InputError) as error:
        read_site(file)

    found = str(error.value).splitlines()
    about = next((line for line in found if words in line), "")
    assert about.startswith(f"{file}:{line_with(text, on_line)}: "), found
    assert "pydantic" not in str(error.value)


@pytest.mark.parametrize(
    ("section", "words"),
    [("path", "path.leg"), ("gear", "at least one [[gear]]"), ("puller", "[[puller]]")],
)
def test_empty_lists_state_what_is_wanted(section: str, words: str) -> None:
    """A path of one point, no gear and nothing that pulls are each refused."""
    blocks = re.split(r"(?m)^(?=\[)", SMALL)
    headers = {"path": "[[path.leg]]", "gear": "[[gear]]", "puller": "[[puller]]"}
    kept = [block for block in blocks if not block.startswith(headers[section])]
    empty = "".join(kept)

    with pytest.raises(InputError, match=re.escape(words)):
        read_site(empty)

    explicit = (
        f"{section} = []\n" + empty
        if section != "path"
        else empty.replace("[path]\n", "[path]\nleg = []\n")
    )
    with pytest.raises(InputError, match=re.escape(words)):
        read_site(explicit)


def test_several_faults_are_reported_together_in_the_order_of_the_file() -> None:
    """Four faults of four kinds, four lines, from the top of the file down."""
    text = (
        SMALL.replace('weight = "260 kg"', 'weight = "260"')
        .replace("oak-european", "oka-european")
        .replace('name = "ash"', 'name = "oak"')
        .replace('eye = "40 mm"', 'eey = "40 mm"')
    )

    with pytest.raises(InputError) as error:
        read_site(text)

    places = [fault.place for fault in error.value.faults]
    assert places == ["load.weight", "tree[1].species", "tree[2].name", "anchor[1].eey"]
    lines = [fault.line for fault in error.value.faults]
    assert lines == sorted(lines, key=lambda line: line or 0)


def test_missing_file_names_the_closest(tmp_path: Path) -> None:
    """A slip in a file's name is answered with the file that was meant."""
    (tmp_path / "quarry.toml").write_text(SMALL, encoding="utf-8")

    with pytest.raises(InputError, match=r"no such file; did you mean '.*quarry\.toml'"):
        read_site(tmp_path / "quary.toml")


def test_folder_is_no_site_file(tmp_path: Path) -> None:
    """A folder in place of a file."""
    with pytest.raises(InputError, match="is a folder"):
        read_site(tmp_path)


def test_no_read_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that may not be read (the system's refusal is played: tests may run as root)."""
    file = tmp_path / "site.toml"
    file.write_text(SMALL, encoding="utf-8")

    def refuse(*args: object, **kwargs: object) -> None:
        raise PermissionError(13, os.strerror(13))

    monkeypatch.setattr("builtins.open", refuse)
    with pytest.raises(InputError, match="no permission"):
        read_site(file)


def test_ten_megabytes_give_one_message(tmp_path: Path) -> None:
    """A file of 10 MB is refused before it is parsed."""
    file = tmp_path / "site.toml"
    file.write_text(SMALL + "# filling\n" * 1_000_000, encoding="utf-8")

    with pytest.raises(InputError, match="larger than 1 MB") as error:
        read_site(file)

    assert len(error.value.faults) == 1


def test_text_that_is_not_utf8_names_the_line(tmp_path: Path) -> None:
    """A file in another encoding: the line of the first byte that does not fit."""
    file = tmp_path / "site.toml"
    file.write_bytes(SMALL.replace("oak", "H\u00fctte").encode("latin-1"))

    with pytest.raises(InputError, match=rf":{line_with(SMALL, 'oak')}: not UTF-8"):
        read_site(file)


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 5000 + "]" * 5000 + "\n",
        "a = " + "9" * 5000 + "\n",
        "[" + "a." * 200_000 + "a]\n",
        "a." * 200_000 + "a = 1\n",
        "\x00\n",
        "load = 3\npath = 4\ngear = 5\n",
        "[load.hitch]\nname = 'x'\n",
        "\n",
    ],
)
def test_odd_documents_are_refused_in_words(text: str) -> None:
    """Deep nesting, huge numbers, control characters, wrong kinds of table, nothing at all."""
    with pytest.raises(InputError):
        read_site(text)


def test_many_faults_end_with_how_many_more_there_are() -> None:
    """Hundreds of unknown keys are not hundreds of lines."""
    text = "".join(f"key{number} = 1\n" for number in range(300)) + SMALL

    with pytest.raises(InputError, match="and 260 faults more"):
        read_site(text)


def test_mistakes_of_all_kinds_are_listed_in_one_round() -> None:
    """Unknown and missing keys, units, misspelt words, and what does not fit another part."""
    text = starter_text()
    for right, wrong in (
        ('weight = "130..150 kg"', 'wieght = "130..150 kg"'),
        ('diameter = "32 cm"', 'diameter = "32"'),
        ('id = "polyester-12"', 'id = "polyester-15"'),
        ('surface = "grass"', 'surface = "grass-sliding"'),
        ('footing = "grass"', 'footing = "gras"'),
        ('name = "ash"', 'name = "alder"'),
    ):
        assert right in text
        text = text.replace(right, wrong, 1)
    text += """
[[puller]]
kind = "hand winch"
name = "hoist"
id = "lever-hoist-750"
anchor = "aldr"
height = "0.5 m"
"""
    with pytest.raises(InputError) as caught:
        read_site(text)

    found = {fault.place: fault.message for fault in caught.value.faults}
    assert set(found) == {
        "load.weight",
        "load.wieght",
        "tree[1].diameter",
        "tree[2].name",
        "gear[1].id",
        "path.leg[2].surface",
        "puller[1].footing",
        "puller[2].anchor",
    }
    assert "is sliding; on wheels it is rolling" in found["path.leg[2].surface"]
    assert "did you mean 'alder'?" in found["puller[2].anchor"]


def both(first: tuple[str, str], second: tuple[str, str]) -> str | None:
    """The small site with two faults; None where they are in each other's way."""
    (at, old, new), (then, later, other) = sorted(
        (SMALL.index(was), was, becomes) for was, becomes in (first, second)
    )
    if at + len(old) > then:
        return None
    return SMALL[:at] + new + SMALL[at + len(old) : then] + other + SMALL[then + len(later) :]


def found_in(text: str) -> set[tuple[str, str]]:
    with pytest.raises(InputError) as caught:
        read_site(text)
    return {(fault.place, fault.message) for fault in caught.value.faults}


TWO_IN_ONE_PART = [
    # a value that cannot be read, and something that contradicts itself
    ('weight = "260 kg"', 'weight = "260"', 'rests_on = "wheels"', 'rests_on = "skids"'),
    ('wheel_radius = "0.25 m"', 'wheel_radius = "25"', 'overhang = "1 m"', 'overhang = "3 m"'),
    ('weight = "260 kg"', 'wieght = "260 kg"', 'wheel_radius = "0.25 m"\n', ""),
    (
        'girth = "1.2 m"',
        'girth = "1.2 m"\ndiameter = "38 cm"',
        'tree_height = "15 m"',
        'tree_height = "1 m"',
    ),
    ('rests_on = "wheels"', 'rests_on = "weels"', "bridle", ""),
    ("oak-european", "oak", 'strap_highest = "1.5 m"', 'strap_highest = "0.2 m"'),
    ('"20 m", "3 m", "1 m"', '"20 m", 3, "1 m"', 'diameter = "0.4 m"\n', ""),
    ("oak-european", "oka-european", 'diameter = "0.4 m"', 'diameter = "9 m"'),
    ('tree_height = "15 m"', "tree_height = 15", 'girth = "1.2 m"', 'girth = "1 m"\nlimb = true'),
    ("polyester-14", "polyster-14", 'length = "60 m"\n', ""),
    ("snatch-100-bronze", "snatch-100-bronce", 'efficiency = "0.88..0.94"', "wear = 1"),
    ('kind = "vehicle"\n', "", "driven_share = 0.6", 'driven_share = "160 %"'),
    ('kind = "vehicle"', 'kind = "vehical"', "driven_share = 0.6\n", ""),
    ('run = "8 m"', 'run = "8"', 'hitch_rating = "15 kN"', 'hitch_rating = "15 kg/m"'),
    ('rating = "20 kN"', "rating = 20", 'eye = "40 mm"', 'eye = "40 mm"\ngirth = "1 m"'),
    ("breakout = 1.3", "breakout = 0.5", 'surface = "grass"\n', ""),
    ('surface = "grass"', 'surface = "gras"', '["12 m", "0 m", "1 m"]', '["6.1 m", "0 m", "9 m"]'),
    # and between parts
    ('weight = "260 kg"', 'weight = "260"', '["20 m", "3 m", "1 m"]', '["9 m", "0.2 m", "1 m"]'),
    ('title = "a small job"', "title = 3", 'surface = "grass"', 'surface = "soil-sliding"'),
    ('name = "ash"', 'name = "oak"', 'surface = "grass"', 'surface = "soil-sliding"'),
    ("per_head", "per_haed", 'height = "0.4 m"\n\n[[puller', 'height = "4 m"\n\n[[puller'),
    (
        'anchor = "oak"',
        'anchor = "oka"',
        'height = "0.4 m"\n\n[[puller',
        'height = "4 m"\n\n[[puller',
    ),
]


@pytest.mark.parametrize(("old", "new", "second", "other"), TWO_IN_ONE_PART)
def test_the_second_fault_does_not_wait_for_the_first_to_be_mended(
    old: str, new: str, second: str, other: str
) -> None:
    """What each gives alone is what both give together."""
    if second not in SMALL:
        second, other = 'overhang = "1 m"', f'overhang = "1 m"\n{second} = true'
    text = both((old, new), (second, other))
    assert text is not None

    alone = found_in(SMALL.replace(old, new, 1)) | found_in(SMALL.replace(second, other, 1))

    assert len({place for place, _ in alone}) >= 2
    assert alone <= found_in(text)


def test_what_stands_below_a_misspelt_heading_is_looked_at_too() -> None:
    text = both(("[load]", "[laod]"), ('"260 kg"', '"260 m"'))
    assert text is not None

    found = dict(found_in(text))

    assert found["laod"] == "unknown key; did you mean 'load'?"
    assert found["laod.weight"].endswith("got '260 m', which is a length")


@pytest.mark.parametrize(
    ("old", "new", "only"),
    [
        ('diameter = "0.4 m"', 'diamter = "0.4 m"', {"tree[1].diamter"}),
        ('length = "2 m"', "length = 2", {"load.length"}),
        ('["6 m", "0 m", "1 m"]', '["6 m", "0 m", 1]', {"path.leg[1].to[3]"}),
        ('"20 m", "3 m", "1 m"', '"20 m", "3", "1 m"', {"tree[1].at[2]"}),
        ('name = "oak"', "name = 3", {"tree[1].name"}),
        ('id = "polyester-14"', 'id = "string"', {"gear[1].id"}),
        ('id = "lever-hoist-750"', "id = 750", {"puller[2].id"}),
        ('strap_lowest = "0.3 m"', 'strap_lowest = "0.3"', {"tree[1].strap_lowest"}),
    ],
)
def test_nothing_is_called_wrong_that_only_the_first_fault_hides(
    old: str, new: str, only: set[str]
) -> None:
    """Whether the rest is right depends on what was meant: it is not guessed."""
    assert {place for place, _ in found_in(SMALL.replace(old, new, 1))} == only


def test_a_tree_without_a_place_is_one_clear_message() -> None:
    """No two things are compared where one of them stands nowhere."""
    begin = SMALL.index("at = ", SMALL.index("[[tree]]"))
    text = SMALL[:begin] + SMALL[SMALL.index("\n", begin) + 1 :]
    with pytest.raises(InputError) as error:
        read_site(text)
    assert "tree[1].at: missing: where it stands" in str(error.value)
