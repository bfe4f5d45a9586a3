"""Past finds, each a site file whose first line says what was run on it."""

import json
from pathlib import Path

from tests.fuzz.cases import Case

ROOT = Path(__file__).parents[2]
CORPUS = Path(__file__).with_name("corpus")
FIRST = b"# arguments: "


def saved(one: Case, found: list[str], folder: Path) -> Path:
    """Keep a find. What was wrong stands in the second line."""
    path = folder / f"case-{one.number}.toml"
    head = FIRST + json.dumps(one.arguments).encode()
    result = (
        " | ".join(found).replace(f"{ROOT}/", "").replace("\n", " ")
    )  # places within the program
    why = f"# {result}".encode("ascii", "backslashreplace")[:300]
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(head + b"\n" + why + b"\n" + one.text)
    return path


def read(path: Path) -> tuple[tuple[str, ...], bytes]:
    """The arguments of a find, and its site file."""
    whole = path.read_bytes()
    head, _, _ = whole.partition(b"\n")
    if not head.startswith(FIRST):
        raise ValueError(f"{path}: the first line does not say what to run")
    return tuple(json.loads(head.removeprefix(FIRST))), whole
