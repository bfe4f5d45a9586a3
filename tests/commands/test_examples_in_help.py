"""The example in the help of every command runs as it stands, whoever copies it."""

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from optimiser import cli
from optimiser.commands import COMMANDS

ROOT = Path(__file__).parents[2]

ELSEWHERE = {
    "": ("    $ bankhaul rank --top 3\n", "examples/README.md"),
    "rank": ("    $ bankhaul rank --top 3\n", "examples/README.md"),
    "show": ('["show", "1"]', "tests/commands/test_demonstration.py"),
    "sheet": ('["sheet", "2", "-o", str(target)]', "tests/sheet/test_sheet.py"),
    "buy": ('["buy"]', "tests/buy/test_plainest.py"),
}
"""Examples that take seconds and that another test runs already: with which words, and where (what the
readmes print is held to what the program prints)."""


SERVES = "page"
"""The command that goes on until Ctrl-C."""


def example(*command: str) -> str:
    """The example in the help of a command, on a narrow terminal: it must stand in one line there too."""
    text = CliRunner().invoke(cli.cli, [*command, "--help"], terminal_width=60).output
    (line,) = re.findall(r"^ *Example: (.*)$", text, re.MULTILINE)
    return str(line)


@pytest.mark.parametrize("name", [name for name in COMMANDS if name not in {*ELSEWHERE, SERVES}])
def test_an_example_runs_as_it_stands(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    line = example(name)
    program, *words = shlex.split(line)
    monkeypatch.chdir(tmp_path)

    assert program == "bankhaul"
    if ">" in words:  # printed into a file, which is for a shell to do
        function = f'bankhaul() {{ {shlex.quote(sys.executable)} -m optimiser "$@"; }}; {line}'
        environment = {**os.environ, "PYTHONPATH": str(ROOT)}
        subprocess.run(["bash", "-c", function], check=True, timeout=60, env=environment)
    else:
        assert cli.main(words) == 0
        assert capsys.readouterr().out
    for place, option in enumerate(words):
        if option in {"-o", ">"}:
            assert Path(words[place + 1]).stat().st_size > 100


def test_the_example_of_the_page_serves_it(tmp_path: Path) -> None:
    program, *words = shlex.split(example(SERVES))
    assert program == "bankhaul"
    with subprocess.Popen(
        [sys.executable, "-m", "optimiser", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT), "BROWSER": "true"},  # `true` opens nothing
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline().startswith("http://127.0.0.1:")
        process.terminate()
        _, complaints = process.communicate(timeout=60)
        assert "Traceback" not in complaints


@pytest.mark.parametrize("name", ELSEWHERE)
def test_an_example_that_takes_seconds_is_run_elsewhere(name: str) -> None:
    words, where = ELSEWHERE[name]
    _, *typed = shlex.split(example(*filter(None, [name])))

    assert words in (ROOT / where).read_text(encoding="utf-8")
    run = words.split()[2:] if "$" in words else re.findall(r'"(.*?)"', words)
    assert typed == run + ["haul.html"] * ("-o" in typed)
