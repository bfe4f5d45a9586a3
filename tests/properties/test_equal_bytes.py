"""Equal inputs give byte-equal output, whatever order the interpreter's hashes put sets in."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.long import long, rare

ROOT = Path(__file__).parents[2]
RUNS = (
    ("rank", "--format", "json"),
    ("rank", "examples/sledge.toml", "--all"),
    ("rank", "examples/short-rope.toml", "--format", "markdown"),
    ("show", "examples/workboat.toml", "2"),
    ("stages", "examples/bend.toml", "--format", "json"),
    ("lower", "examples/sledge.toml"),
    ("check", "examples/log.toml", "--format", "csv"),
    ("gear", "--format", "json"),
)
QUICK = (RUNS[0], *RUNS[5:])
SELDOM = (RUNS[4],)


def run(words: tuple[str, ...], hashes: str) -> tuple[int, bytes]:
    """Exit code and output of a run in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "optimiser", *words],
        cwd=ROOT,
        env={**os.environ, "PYTHONHASHSEED": hashes},
        capture_output=True,
        check=False,
    )
    return done.returncode, done.stdout


@pytest.mark.parametrize(
    "words",
    [
        pytest.param(
            words,
            id=" ".join(words[:2]),
            marks=() if words in QUICK else rare if words in SELDOM else long,
        )
        for words in RUNS
    ],
)
def test_twice_the_same_bytes(words: tuple[str, ...]) -> None:
    code, found = run(words, "1")
    assert code in (0, 3)
    assert found
    assert run(words, "4242") == (code, found)
