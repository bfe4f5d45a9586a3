"""Keeps changes that are not saved yet as a draft beside the site file, and finds drafts that others left.

Every program that has the file open keeps a draft of its own, under a name that no other has, so that none
overwrites another's. One that is dropped while its program still runs is written there again.
"""

import re
import secrets
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from optimiser.site.reading import LARGEST
from shared.files import write_atomically

_OF_ONE = re.compile("[0-9a-f]{8}")
MOST = 20
"""Drafts of others that are offered one after the other, the newest first."""


@dataclass(frozen=True, slots=True)
class Left:
    """A draft of another program. `since` [s of the clock]: when it was written."""

    path: Path
    text: str
    since: float


@dataclass
class Drafts:
    """The drafts of one site file. `own`: the name of this program's."""

    file: Path
    own: Path = field(init=False)

    def __post_init__(self) -> None:
        self.own = self.file.with_name(f".{self.file.name}.{secrets.token_hex(4)}.draft")

    def keep(self, text: str) -> None:
        """Write this program's draft. Raises OSError."""
        write_atomically(self.own, text)

    def forget(self) -> None:
        """Take this program's draft away: all of it is saved. Raises OSError."""
        self.own.unlink(missing_ok=True)

    def others(self, but: str) -> list[Left]:
        """What others have left or keep, the newest first; not what says the same as `but`."""
        out: list[Left] = []
        with suppress(OSError):
            for path in self.file.parent.iterdir():
                if path == self.own or not self._is_draft(path.name):
                    continue
                with suppress(OSError, ValueError):
                    text = path.read_text(encoding="utf-8")
                    if text != but and len(text) <= LARGEST:
                        out.append(Left(path, text, path.stat().st_mtime))
        return sorted(out, key=lambda left: left.since, reverse=True)[:MOST]

    def _is_draft(self, name: str) -> bool:
        begins = f".{self.file.name}."
        of_one = name.removeprefix(begins).removesuffix("draft").removesuffix(".")
        return name == f"{begins}draft" or (
            name == f"{begins}{of_one}.draft" and _OF_ONE.fullmatch(of_one) is not None
        )
