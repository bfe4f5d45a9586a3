"""The command line as a whole: help, errors, exit codes, colour, pipes."""

import json
import os
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

import optimiser
from optimiser import cli
from optimiser.commands import COMMANDS
from shared.errors import Fault, InputError

ROOT = Path(__file__).parents[2]
HEAVY = [
    "numpy",
    "pint",
    "pydantic",
    "ortools",
    "networkx",
    "matplotlib",
    "tabulate",
    "pandas",
    "jinja2",
    "scipy",
    "optimiser.site.reading",
    "optimiser.search",
]


def bankhaul(*arguments: str, **more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "optimiser", *arguments],
        cwd=ROOT,
        env={**os.environ, **more},
        capture_output=True,
        encoding="utf-8",
        timeout=120,
    )


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["rank", "--help"]])
def test_help_imports_nothing_heavy(arguments: list[str]) -> None:
    code = (
        "import json, sys\n"
        "from optimiser.cli import main\n"
        f"main({arguments!r})\n"
        f"print(json.dumps([name for name in {HEAVY!r} if name in sys.modules]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )

    assert json.loads(done.stdout.splitlines()[-1]) == []


def test_a_bad_file_waits_for_no_library_that_only_a_search_needs(tmp_path: Path) -> None:
    site = tmp_path / "site.toml"
    shipped = (ROOT / "examples" / "log.toml").read_text(encoding="utf-8")
    site.write_text(shipped.replace("weight =", "wieght =", 1), encoding="utf-8")
    seldom = ["numpy", "pint", "ortools", "networkx", "matplotlib", "tabulate", "pandas"]
    code = (
        "import json, sys\n"
        "from optimiser.cli import main\n"
        f"code = main(['rank', {str(site)!r}])\n"
        f"print(json.dumps([code, *(name for name in {seldom!r} if name in sys.modules)]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )

    assert "did you mean 'weight'?" in done.stderr
    assert json.loads(done.stdout.splitlines()[-1]) == [cli.EXIT_BAD_INPUT]


def test_importing_the_package_imports_nothing_heavy() -> None:
    code = f"import json, sys, optimiser; print([n for n in {HEAVY!r} if n in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )

    assert done.stdout == "[]\n"


def test_help_lists_every_command() -> None:
    found = CliRunner().invoke(cli.cli, ["--help"]).output

    assert all(f"\n  {name} " in found for name in COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_an_example(name: str) -> None:
    found = CliRunner().invoke(cli.cli, [name, "--help"])

    assert found.exit_code == 0
    assert f"Example: bankhaul {name}" in found.output


def test_version_is_that_of_the_package(capsys: pytest.CaptureFixture[str]) -> None:
    declared = (ROOT / "pyproject.toml").read_text(encoding="utf-8")

    assert cli.main(["--version"]) == 0
    assert capsys.readouterr().out == f"bankhaul, version {optimiser.__version__}\n"
    assert f'\nversion = "{optimiser.__version__}"\n' in declared


@pytest.mark.parametrize(
    ("arguments", "hint"),
    [
        (["ranck"], "did you mean 'rank'?"),
        (["xyz"], "the commands are rank, show"),
        (["rank", "--tpo", "3"], "--top"),
        (["rank", "--format", "cvs"], "'csv'"),
        (["rank", "--by", "margin,rseets"], "did you mean 'resets'?"),
        (["rank", "--by", "rope,rope"], "named twice"),
        (["rank", "--without-rule", "no-backward-prat"], "did you mean 'no-backward-part'?"),
        (["rank", "--top", "0"], "0"),
        (["rank", "--time-limit", "0"], "0"),
        (["show", "a", "b", "c"], "got 3 arguments"),
        (["show", "0"], "numbered from 1"),
        (["show", "-", "two"], "expected the number of a setup, got 'two'"),
        (["completion", "tcsh"], "zsh"),
    ],
)
def test_misuse_is_reported_in_one_message_with_exit_2(
    arguments: list[str], hint: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(arguments) == 2
    found = capsys.readouterr()
    assert hint in found.err
    assert found.out == ""
    assert "Traceback" not in found.err


def test_all_faults_of_an_input_go_to_standard_error(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object, **__: object) -> None:
        faults = [Fault("tree[2].diamter", "unknown key", 21), Fault("load", "is missing")]
        raise InputError("site.toml", faults)

    monkeypatch.setattr("optimiser.commands.check.load_site", fail)

    assert cli.main(["check", "site.toml"]) == 2
    assert capsys.readouterr().err.splitlines() == [
        "site.toml:21: tree[2].diamter: unknown key",
        "site.toml: load: is missing",
    ]


def test_missing_file_is_one_line(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    gone = str(tmp_path / "gone.toml")

    assert cli.main(["check", gone]) == 2
    assert capsys.readouterr().err == f"{gone}: no such file\n"


def test_control_c_ends_with_130(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("optimiser.commands.check.load_site", interrupt)

    assert cli.main(["check"]) == 130
    assert "Traceback" not in capsys.readouterr().err


def test_fault_of_the_program_itself_is_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    def break_down(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("optimiser.commands.check.load_site", break_down)

    with pytest.raises(ZeroDivisionError):
        cli.main(["check"])


def test_reader_that_goes_away_is_no_error() -> None:
    command = f"'{sys.executable}' -m optimiser gear --format json | head -n 1"
    done = subprocess.run(
        ["bash", "-c", f"set -o pipefail; {command}"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120,
    )

    assert done.stdout == "[\n"
    assert done.stderr == ""
    assert done.returncode == 0


def test_answers_are_utf8_wherever_they_are_printed() -> None:
    done = bankhaul("check", LC_ALL="C", PYTHONIOENCODING="ascii", PYTHONUTF8="0")

    assert done.returncode == 0, done.stderr
    assert "kN·m" in done.stdout


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_script(shell: str) -> None:
    found = CliRunner().invoke(cli.cli, ["completion", shell])

    assert found.exit_code == 0
    assert f"_BANKHAUL_COMPLETE={shell}_complete" in found.output


def test_completion_completes() -> None:
    done = bankhaul(_BANKHAUL_COMPLETE="bash_complete", COMP_WORDS="bankhaul ra", COMP_CWORD="1")

    assert done.stdout == "plain,rank\n"


def test_colour_only_on_a_terminal_and_never_with_no_color(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from optimiser.commands.options import print_report

    @click.command()
    def loud() -> None:
        print_report([("", "UNRATED: hook")], "table")

    monkeypatch.setitem(cli.cli.commands, "loud", loud)
    monkeypatch.setattr(cli.LazyGroup, "get_command", lambda *_: loud)
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")

    def found(*, terminal: bool) -> str:
        return CliRunner().invoke(cli.cli, ["loud"], color=terminal).output

    assert found(terminal=False) == "UNRATED: hook\n"
    assert "\x1b[" in found(terminal=True)
    monkeypatch.setenv("NO_COLOR", "1")
    assert found(terminal=True) == "UNRATED: hook\n"
