"""The faults: text of the program that is replaced, one at a time."""

import tomllib
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
LIST = Path(__file__).with_name("faults.toml")


@dataclass(frozen=True)
class Fault:
    """One fault: in `file`, `old` (which stands there once) becomes `new`."""

    number: int
    what: str
    file: str
    old: str
    new: str
    suite: str

    def applied(self, root: Path = ROOT) -> str:
        """The file's text with the fault in it. ValueError where it does not apply."""
        text = (root / self.file).read_text(encoding="utf-8")
        if text.count(self.old) != 1:
            raise ValueError(
                f"fault {self.number} ({self.what}): {self.old!r} stands {text.count(self.old)} "
                f"times in {self.file}; it must stand there once"
            )
        return text.replace(self.old, self.new)


def faults() -> list[Fault]:
    """All of them, numbered from 1."""
    listed = tomllib.loads(LIST.read_text(encoding="utf-8"))["fault"]
    return [Fault(number=number, **entry) for number, entry in enumerate(listed, 1)]
