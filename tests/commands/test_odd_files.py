"""What can go wrong around a command: full disk, closed streams, odd names of files, Ctrl-C."""

import os
import shlex
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from optimiser import cli

ROOT = Path(__file__).parents[2]
COMMAND = f"{shlex.quote(sys.executable)} -m optimiser"


def shell(line: str, folder: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """A line of a shell, `bankhaul` in it."""
    return subprocess.run(
        ["bash", "-c", f'bankhaul() {{ {COMMAND} "$@"; }}; {line}'],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        encoding="utf-8",
        errors="surrogateescape",
        timeout=120,
    )


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (
            "bankhaul gear shackle >/dev/full",
            "the answer cannot be printed: No space left on device",
        ),
        (
            "bankhaul rank --help >/dev/full",
            "the answer cannot be printed: No space left on device",
        ),
        ("bankhaul new - >&-", "standard output is closed: an answer could not be printed"),
        ("bankhaul check - <&-", "standard input: is closed; expected a site file"),
        ("bankhaul check ''", "'': no such file"),
        ("bankhaul new ''", "'': an empty name; expected that of a file"),
        ("bankhaul new --force /dev/full", "/dev/full: is no plain file and was left alone"),
        ("bankhaul check gone.toml 2>&-", ""),
        ("bankhaul check gone.toml 2>/dev/full", ""),
    ],
)
def test_streams_that_fail_are_one_line(line: str, words: str) -> None:
    done = shell(line)

    assert done.stderr == (f"{words}\n" if words else "")
    assert done.stdout == ""
    assert done.returncode == 2


@pytest.mark.parametrize("option", ["", "--force "])
def test_a_disk_that_is_full_leaves_the_old_file_or_none(option: str, tmp_path: Path) -> None:
    old = "title = 'old'\n" if option else None
    if old is not None:
        (tmp_path / "site.toml").write_text(old, encoding="utf-8")

    done = shell(f"ulimit -f 0; bankhaul new {option}site.toml", tmp_path)

    assert done.stderr == "site.toml: cannot be written: File too large\n"
    assert done.returncode == 2
    assert [path.read_text(encoding="utf-8") for path in tmp_path.iterdir()] == [old] * bool(old)


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("a bank's.toml", "'a bank'\"'\"'s.toml'"),
        ("-x.toml", "./-x.toml"),
        ("Böschung 岸.toml", "'Böschung 岸.toml'"),
        ("l" * 240 + ".toml", "l" * 240 + ".toml"),
        ("\udcff.toml", "'\udcff.toml'"),
    ],
)
def test_the_next_command_can_be_typed_whatever_the_file_is_called(
    name: str, typed: str, tmp_path: Path
) -> None:
    done = shell(f"bankhaul new -- {shlex.quote(name)}", tmp_path)

    assert done.stderr == ""
    assert done.stdout == f"{name} written. Put your own figures in, then: bankhaul check {typed}\n"
    assert [path.name for path in tmp_path.iterdir()] == [name]
    if name != "\udcff.toml":
        assert shlex.split(done.stdout.rpartition("then: ")[2])[2] in {name, f"./{name}"}


def test_a_name_that_is_too_long_is_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for words in (["new"], ["check"], ["sheet", "-o"]):
        long = str(tmp_path / ("l" * 300 + ".svg"))
        assert cli.main([*words, long]) == 2
        found = capsys.readouterr().err
        assert found.endswith(": File name too long\n")
        assert found.count("\n") == 1


OUTPUTS = (["sheet", "-o"], ["lower", "-o"], ["sweep", "load.weight=100..200 kg", "-o"])


@pytest.fixture
def _nothing_is_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    def work(*_: object, **__: object) -> None:
        raise AssertionError("where to write is looked at before anything is worked out")

    for name in ("sheet.load_site", "lower.load_site"):
        monkeypatch.setattr(f"optimiser.commands.{name}", work)
    monkeypatch.setattr("optimiser.site.reading.read_document", work)


@pytest.mark.usefixtures("_nothing_is_worked_out")
@pytest.mark.parametrize("words", OUTPUTS, ids=lambda words: words[0])
def test_where_to_write_is_looked_at_first(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picture = tmp_path / "site.svg"
    picture.write_text("a site", encoding="utf-8")
    link = tmp_path / "link.svg"
    link.symlink_to(picture)
    (tmp_path / "folder.svg").mkdir()

    for target, message in (
        (tmp_path / "gone" / "x.svg", f"there is no folder '{tmp_path / 'gone'}'"),
        (tmp_path / "site.svg" / "x.svg", f"there is no folder '{picture}'"),
        (link, f"is a link to '{picture}' and was left alone; --force writes through it"),
    ):
        assert cli.main([*words, str(target)]) == 2
        assert capsys.readouterr().err == f"{target}: {message}\n"
    assert cli.main([*words, str(tmp_path / "folder.svg")]) == 2
    assert "folder.svg" in capsys.readouterr().err


@pytest.mark.usefixtures("_nothing_is_worked_out")
@pytest.mark.parametrize("words", OUTPUTS, ids=lambda words: words[0])
def test_a_command_never_writes_over_what_it_reads(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    site, link, twin = (tmp_path / name for name in ("site.svg", "link.svg", "twin.svg"))
    site.write_text("a site", encoding="utf-8")
    link.symlink_to(site)
    twin.hardlink_to(site)

    for target in (site, link, twin):
        arguments = [words[0], str(site), *words[1:], str(target), "--force"]
        assert cli.main(arguments) == 2
        assert (
            capsys.readouterr().err == f"{target}: is the file that is read, and was left alone\n"
        )


def test_a_further_page_is_not_drawn_through_a_link(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from optimiser.commands.drawing import put
    from optimiser.sheet.booklet import Booklet
    from shared.errors import InputError

    (tmp_path / "haul-2.svg").symlink_to(tmp_path / "else.svg")
    two = Booklet.__new__(Booklet)
    object.__setattr__(two, "leaves", (None, None))

    with pytest.raises(InputError, match=r"haul-2\.svg: is a link to"):
        put(two, tmp_path / "haul.svg", "a4", force=False)
    assert not (tmp_path / "haul.svg").exists()


def test_new_writes_through_a_link_only_by_force(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    link = tmp_path / "site.toml"
    link.symlink_to("mine.toml")  # which is not there: nothing would seem to be written over

    assert cli.main(["new", str(link)]) == 2
    assert "is a link to 'mine.toml' and was left alone" in capsys.readouterr().err
    assert cli.main(["new", "--force", str(link)]) == 0
    assert link.is_symlink()
    assert (tmp_path / "mine.toml").read_text(encoding="utf-8").startswith("# A site file")


@pytest.mark.parametrize("when", ["import click", "import pydantic_core", "import pydantic"])
def test_control_c_while_libraries_load_is_one_word(when: str, tmp_path: Path) -> None:
    """The signal comes right when a library is looked for."""
    library = when.split()[1]
    (tmp_path / "sitecustomize.py").write_text(
        "import os, signal, sys\n"
        "class Finder:\n"
        "    def find_spec(self, name, *_):\n"
        f"        if name == {library!r}: os.kill(os.getpid(), signal.SIGINT)\n"
        "sys.meta_path.insert(0, Finder())\n",
        encoding="utf-8",
    )
    done = subprocess.run(
        [sys.executable, "-m", "optimiser", "check"],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
        capture_output=True,
        text=True,
        timeout=60,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )

    # the empty line ends that in which the terminal shows ^C
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "\nstopped\n")


@pytest.mark.parametrize("command", ["rank", "lower", "buy", "sweep"])
@pytest.mark.parametrize("limit", ["nan", "inf"])
def test_what_is_no_time_is_no_time_limit(
    command: str, limit: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main([command, "--time-limit", limit]) == 2
    assert f"expected a number of seconds, such as 20, got {limit}" in capsys.readouterr().err
