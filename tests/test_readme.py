"""The readme's transcript is what the program prints, and every command is in it."""

from pathlib import Path

from click.testing import CliRunner

from optimiser.cli import cli

README = Path(__file__).parent.parent.joinpath("README.md").read_text(encoding="utf-8")


def test_the_transcript_is_real() -> None:
    """Each indented block that begins with a command line shows that command's whole answer."""
    lines = README.splitlines()
    start = lines.index("    $ bankhaul rank --top 3")
    block = []
    for line in lines[start + 1 :]:
        if line and not line.startswith("    "):
            break
        block.append(line[4:])
    shown = "\n".join(block).strip()

    answer = CliRunner().invoke(cli, ["rank", "--top", "3"])

    assert answer.exit_code == 0
    assert shown == answer.stdout.strip()


def test_every_command_is_described() -> None:
    """A command that the readme does not name is a command nobody finds."""
    from optimiser.commands import COMMANDS

    missing = [
        name for name in COMMANDS if f"`{name}`" not in README and f"bankhaul {name}" not in README
    ]
    assert missing == []
