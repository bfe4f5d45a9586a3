"""What the readmes print is what the program prints, and what they name is there."""

import re
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from optimiser.cli import cli
from optimiser.commands import COMMANDS

ROOT = Path(__file__).parent.parent
README = ROOT.joinpath("README.md").read_text(encoding="utf-8")
EXAMPLES = ROOT.joinpath("examples", "README.md").read_text(encoding="utf-8")
PROMPT = "    $ bankhaul "
SCREEN = 50
"""Lines of the first answer that fit on one screen."""


def transcripts(text: str) -> dict[str, str]:
    """By the words after `bankhaul`: what is printed below each command that stands after a prompt."""
    out: dict[str, list[str]] = {}
    block: list[str] | None = None
    for line in text.splitlines():
        if line.startswith(PROMPT):
            block = out.setdefault(line.removeprefix(PROMPT), [])
        elif line and not line.startswith("    "):
            block = None
        elif block is not None:
            block.append(line[4:])
    return {words: "\n".join(lines).strip() for words, lines in out.items()}


@pytest.mark.parametrize("text", [README, EXAMPLES], ids=["README", "examples"])
def test_a_transcript_is_what_the_program_prints(text: str) -> None:
    found = transcripts(text)
    assert found
    for words, shown in found.items():
        answer = CliRunner().invoke(cli, words.split())
        assert answer.exit_code == 0
        assert shown == answer.stdout.strip()


def test_the_first_answer_is_on_one_screen() -> None:
    (shown,) = transcripts(README).values()
    assert len(shown.splitlines()) <= SCREEN


def test_every_command_is_described() -> None:
    """A command that the readme does not name is a command nobody finds."""
    assert [name for name in COMMANDS if f"| `bankhaul {name}" not in README] == []


@pytest.mark.parametrize("text", [README, EXAMPLES], ids=["README", "examples"])
def test_commands_and_options_that_are_named_exist(text: str) -> None:
    for quoted in re.findall(r"`bankhaul ([^`]+)`", text):
        name, *words = quoted.split()
        assert name in COMMANDS, quoted
        command = cli.get_command(click.Context(cli), name)
        assert command is not None
        known = {option for parameter in command.params for option in parameter.opts}
        assert {word for word in words if word.startswith("-") and len(word) > 1} <= known, quoted


def test_both_commands_at_the_top_name_what_is_there() -> None:
    first, second = (line for line in README.splitlines() if line.startswith("    python3 -m venv"))
    assert first.endswith(".venv/bin/bankhaul rank")
    assert "-e '.[dev]' && .venv/bin/python -m pytest -q" in second
    assert ROOT.joinpath("constraints.txt").exists()
    assert "\ndev = [" in ROOT.joinpath("pyproject.toml").read_text(encoding="utf-8")


def test_the_lines_of_python_run() -> None:
    (lines,) = re.findall(r"```python\n(.*?)```", README, re.DOTALL)
    names: dict[str, object] = {}
    exec(lines.replace("site.toml", str(ROOT / "examples" / "field-roller.toml")), names)
    assert names["few"]
