"""A site file, changed, piped to a command, and what the command prints."""

import json
from typing import Any

from click.testing import CliRunner

from optimiser.cli import cli


def replaced(text: str, *changes: tuple[str, str], count: int = -1) -> str:
    """A site file with pieces of its text replaced, each everywhere or in its first `count` places. Every one
    has to be there."""
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, count)
    return text


def printed(text: str, command: str, *options: str) -> tuple[int, str]:
    """The exit code, and what is printed."""
    done = CliRunner().invoke(cli, [command, "-", *options], input=text, standalone_mode=False)
    assert done.exception is None, done.exception
    assert done.stdout, done.output
    return done.return_value or 0, done.stdout


def answered(text: str, command: str, *options: str) -> tuple[int, Any]:
    """The exit code, and the answer from JSON."""
    code, answer = printed(text, command, "--format", "json", *options)
    return code, json.loads(answer)
