"""`bankhaul new --ask`: a site file from answers on the bank, one after the other."""

import io
import os
import signal
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from optimiser import cli

ROOT = Path(__file__).parents[2]

WAY = ["Cart out of a ditch", "10 m", "8 deg", "wet grass", ""]
LOAD = ["garden cart", "130..150 kg", "wheels", "0.25 m", "1.6 m", ""]
HITCH = ["drawbar eye", "", "", "0.4 m", "8 kN", "", "25 mm", ""]
ASH = ["ash", "1.1 m", "", "", "", "15.6 m", "6 m", "right", ""]
PEOPLE = [
    "people",
    "two of us",
    "2",
    "grass",
    "",
    "8 m",
    "6 m",
    "right",
    "",
    "10 m",
    "12 m",
    "right",
    "",
]
WINCH = ["hand winch", "", "lever hoist 1500", "ash", ""]
GEAR = [
    *("polyester-12", "50 m", "eye-splice, bare", "", "good"),
    *("snatch-100-bronze", "3", "1500 kg", "good"),
    *("shackle 13", "4", "", ""),
    *("sling 60 3m", "2", "unknown", "used"),
    "",
]
UNITS = [""]
JOB = [*WAY, *LOAD, *HITCH, *ASH, "", *WINCH, *GEAR, *UNITS]


class Desk:
    """A terminal to which answers are piped."""

    def __init__(
        self, folder: Path, patch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        self.file = folder / "site.toml"
        self._patch, self._capsys = patch, capsys
        self.printed = self.prompted = ""

    def answers(self, lines: list[str], *options: str) -> int:
        """The exit code of the command with these answers."""
        self._patch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        code = cli.main(["new", "--ask", *(options or [str(self.file)])])
        self.printed, self.prompted = self._capsys.readouterr()
        return code

    def written(self) -> dict[str, Any]:
        """The site file, which must read without a fault."""
        assert cli.main(["check", str(self.file)]) == 0, self._capsys.readouterr().err
        assert "no fault found" in self._capsys.readouterr().out
        return tomllib.loads(self.file.read_text(encoding="utf-8"))


@pytest.fixture
def desk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Desk:
    return Desk(tmp_path, monkeypatch, capsys)


def test_answers_become_a_site_file_without_a_coordinate(desk: Desk) -> None:
    assert desk.answers(JOB) == 0
    assert desk.printed == f"{desk.file} written. Next: `bankhaul check {desk.file}`\n"
    site = desk.written()

    assert site["path"]["leg"] == [{"length": "10 m", "slope": "8 deg", "surface": "wet-grass"}]
    assert site["load"]["weight"] == "130..150 kg"
    assert site["load"]["overhang"] == "0.8 m"  # half of its length, since it was skipped
    assert site["load"]["hitch"][0]["ahead"] == "0.8 m"  # so at the very front
    assert site["tree"][0]["species"] == "unknown"
    assert site["reading"] == [
        {"from": "start", "to": "ash", "tape": "15.6 m"},
        {"from": "end", "to": "ash", "tape": "6 m", "side": "right"},
        {"from": "end", "to": "ash", "rise": "0 m", "accuracy": "0.5 m"},
    ]
    assert site["puller"][0]["id"] == "lever-hoist-1500"
    assert site["puller"][0]["height"] == "0.3 m"  # the lowest strap of the tree
    assert [piece["id"] for piece in site["gear"]][2:] == ["shackle-13", "sling-60-3m"]
    assert site["gear"][2]["condition"] == "unknown"
    assert [piece.get("rating") for piece in site["gear"]] == [None, "1500 kg", None, "unknown"]
    assert "at" not in site["tree"][0]


def test_every_question_has_its_unit_or_its_choices_and_what_a_skip_means(desk: Desk) -> None:
    assert desk.answers(JOB) == 0
    for line in (
        'Its weight with all that is in it (such as "260 kg", or "220..300 kg" if you guess): ',
        "What it rests on: wheels, skids or belly: ",
        'ash: lowest place for a strap (such as "0.3 m"; Enter: 0.3 m): ',
        "ash: how much higher than the end of the way (such as "
        '"0.4 m" or "0.4 m down"; Enter: level with it, within 0.5 m): ',
        "A further tree, by a name of yours (such as split oak; Enter: no further tree): ",
        'shackle-13: working load limit marked on yours (such as "1000 kg" or "10 kN"; unknown if its mark '
        "cannot be read; Enter: as the catalogue has it, ",
        "the pull that a stamp, a label or a paper allows on the piece. What has",
        "is unrated: setups with it are listed last, with how much it",
    ):
        assert line in desk.prompted


def test_a_wrong_answer_is_requested_again_with_the_message_of_the_reader(desk: Desk) -> None:
    wrong = [
        (WAY, "10 m", "10", 'got \'10\', which has no unit: write "10 m" or "10 ft"'),
        (WAY, "8 deg", "80 kg", "got '80 kg', which is a mass"),
        (WAY, "wet grass", "gras", "there are grass, wet-grass: give the id of one, or more words"),
        (LOAD, "130..150 kg", "", "this one is needed"),
        (LOAD, "wheels", "wheel", "did you mean 'wheels'?"),
        (ASH, "1.1 m", "1.1 kg", "which is a mass"),
        (GEAR, "polyester-12", "polyester 15", "did you mean 'polyester-16' or 'polyester-14'?"),
        (GEAR, "3", "three", "expected a whole number, such as 2, got 'three'"),
        (GEAR, "eye-splice, bare", "eye-splce, bare", "did you mean 'eye-splice'?"),
    ]
    lines = list(JOB)
    for _, right, mistake, _ in wrong:
        lines.insert(lines.index(right), mistake)

    assert desk.answers(lines) == 0
    for *_, message in wrong:
        assert message in desk.prompted, message
    assert desk.written()["gear"][0]["id"] == "polyester-12"


def test_what_does_not_fit_together_is_requested_again(desk: Desk) -> None:
    load = [
        *LOAD[:3],
        "0.1 m",
        "1.6 m",
        "2 m",
    ]  # wheels of a toy; it reaches further than it is long
    again = ["0.8 m", "wet grass hard wheel"]
    # two trees of one name; lengths that do not meet; the strap above the highest
    oak = ["ash", "oak", "1.1 m", "oak european", "1.5 m", "1.2 m", "3 m", "4 m", "left", ""]
    corrected = ["1.8 m", "13 m", "6 m", "left", ""]
    lines = [*WAY, *load, *again, *HITCH, *ASH, *oak, *corrected, "", *WINCH, *GEAR, *UNITS]

    assert desk.answers(lines) == 0, desk.prompted
    for message in (
        "the load cannot reach further ahead than it is long",
        "these are far smaller; take 'wet-grass-hard-wheel'",
        "the name 'ash' is already used by tree[1]",
        "lies below strap_lowest, '1.5 m'",
        "do not meet by",
    ):
        assert message in desk.prompted, message
    assert desk.written()["tree"][1]["strap_highest"] == "1.8 m"


def test_people_walk_between_two_spots_and_a_second_rope_has_its_own_name(desk: Desk) -> None:
    way = ["", "12 m", "1.5 m", "0.2..0.3", "20 ft", "", "15 deg left", "mud", ""]
    sledge = ["stone on a sledge", "400 kg", "skids", "1.4 m", "0.7 m"]
    gear = [*GEAR[:5], "polyester 12", "20 m", "", "", "", *GEAR[5:]]
    ash = [*ASH[:5], "21 m", *ASH[6:]]
    place = [*PEOPLE[:5], "16 m", "6 m", "right", "", "19 m", "12 m", "right", ""]
    lines = [*way, *sledge, *HITCH, *ash, "", *place, *gear, "imperial"]

    assert desk.answers(lines) == 0, desk.prompted
    site = desk.written()
    assert "title" not in site
    assert site["path"]["leg"][0]["rise"] == "1.5 m"
    assert site["path"]["leg"][0]["resistance"] == "0.2..0.3"
    assert site["path"]["leg"][1]["turn"] == "15 deg left"
    assert site["puller"][0]["towards"] == site["mark"][0]["name"] == "goal of two of us"
    assert [piece.get("name") for piece in site["gear"]][:2] == [None, "polyester-12 no. 2"]
    assert site["preferences"] == {"units": "imperial"}


def test_a_rope_by_its_inches_is_none_but_the_one_that_is_named(desk: Desk) -> None:
    """Only wire rope has 1/2 in in its name; who says rope may have any fibre, and has to say which."""
    gear = [
        "1/2 in rope",
        "1-3/4 in nylon rope",
        "1/2 in nylon rope",
        "20 m",
        "",
        "",
        "",
        *GEAR[5:],
    ]
    lines = [*WAY, *LOAD, *HITCH, *ASH, "", *PEOPLE, *gear, ""]

    desk.answers(lines)
    assert "there are sisal-12, manila-12, polypropylene-12, nylon-12" in desk.prompted
    assert "the catalogue has no rope of that size; the next are nylon-36" in desk.prompted
    assert desk.written()["gear"][0]["id"] == "nylon-12"


VAN = ["vehicle", "van", "1600 kg", "60 %", "grass", "0.4 m", "14 kN"]


def test_a_van_may_stand_anywhere_along_a_track_that_is_taped_point_by_point(desk: Desk) -> None:
    points = [
        *("15 m", "5.5 m", "right", "0.1 m"),
        *("30 m", "21 m", "right", ""),
        "",
    ]
    sizes = ["3 m", "4 m", "", "9 m", ""]
    lines = [
        *WAY,
        *LOAD,
        *HITCH,
        *ASH,
        "",
        *VAN,
        "a lane",
        "along a track",
        *points,
        *sizes,
        *GEAR,
        *UNITS,
    ]

    assert desk.answers(lines) == 0, desk.prompted
    assert "got 'a lane'" in desk.prompted
    site = desk.written()
    (van,) = site["puller"]
    assert van["track"] == [mark["name"] for mark in site["mark"]]
    assert van["track"] == ["point 1 of van", "point 2 of van"]
    assert (van["track_width"], van["body_length"], van["run"]) == ("3 m", "4 m", "9 m")
    assert not {"at", "towards", "headings", "body_width"} & van.keys()


def test_an_area_that_crosses_itself_is_requested_again(desk: Desk) -> None:
    """Corners beside the end of the way in the wrong order: the second and the third are given again."""
    one, two, three, four = (
        ["15 m", "5.1 m", "right", ""],
        ["17.7 m", "8.7 m", "left", ""],
        ["23.8 m", "14 m", "left", ""],
        ["22.7 m", "12.8 m", "right", ""],
    )
    crossed = [*one, *three, *two, *four]
    sizes = ["3 m", "", "", ""]
    lines = [*VAN, "area", *crossed, "", *sizes, *one, *two, *three, *four, *GEAR, *UNITS]

    assert desk.answers([*WAY, *LOAD, *HITCH, *ASH, "", *lines]) == 0, desk.prompted
    assert "crosses itself" in desk.prompted
    (van,) = desk.written()["puller"]
    assert van["area"] == [f"corner {n} of van" for n in (1, 2, 3, 4)]


def test_nothing_is_written_before_the_last_answer(desk: Desk) -> None:
    assert desk.answers(JOB[:20]) == 2
    assert desk.prompted.splitlines()[-1].startswith("standard input: the answers ended at")
    assert not desk.file.exists()


def test_what_is_there_is_left_alone_before_the_first_question(desk: Desk) -> None:
    desk.file.write_text("mine", encoding="utf-8")

    assert desk.answers(JOB) == 2
    assert "is there already and was left alone; --force" in desk.prompted
    assert "What is the job" not in desk.prompted
    assert desk.file.read_text(encoding="utf-8") == "mine"
    assert desk.answers([], "--ask", "--measured", "x.toml") == 2
    assert "give one of --measured, --ask and --demonstration" in desk.prompted


def test_to_standard_output_goes_the_file_alone(desk: Desk) -> None:
    assert desk.answers(JOB, "-") == 0
    assert tomllib.loads(desk.printed)["title"] == "Cart out of a ditch"


def test_control_c_at_a_question_ends_with_one_word(tmp_path: Path) -> None:
    started = subprocess.Popen(
        [sys.executable, "-m", "optimiser", "new", "--ask", str(tmp_path / "site.toml")],
        cwd=ROOT,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
        stdin=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )
    assert started.stderr is not None
    assert "Answer with the unit" in started.stderr.readline()
    started.send_signal(signal.SIGINT)
    _, rest = started.communicate(timeout=60)

    assert rest.splitlines()[-1] == "stopped"
    assert "Traceback" not in rest
    assert started.returncode == 130
    assert not list(tmp_path.iterdir())


def test_a_vehicle(desk: Desk) -> None:
    """Its hitch, and where it drives to, by the tape; skipped, its hitch has no rating."""
    car = [
        *("vehicle", "small van", "1500 kg", "0.5", "grass", "0.5 m", "", "spot"),
        *("16 m", "7 m", "right", "", "20 m", "12 m", "right", ""),
    ]
    assert desk.answers([*WAY, *LOAD, *HITCH, *ASH, "", *car, *GEAR, *UNITS]) == 0

    (van,) = desk.written()["puller"]
    assert van["kind"] == "vehicle"
    assert (van["name"], van["hitch_rating"]) == ("small van", "unknown")
