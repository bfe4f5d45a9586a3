"""Tampers with answers, one thing at a time, and counts what the re-check notices."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, fields, is_dataclass
from typing import Any

from optimiser.proof.notes import VerificationError
from tests.tampering import spoiling
from tests.tampering.answers import KINDS, Answer


def difference(old: Any, new: Any) -> str:
    """In which values two things differ, in words."""
    if old == new:
        return ""
    if is_dataclass(old) and type(old) is type(new):
        pairs = [
            (f.name, getattr(old, f.name), getattr(new, f.name)) for f in fields(old) if f.compare
        ]
        found = [f".{name}{difference(a, b)}" for name, a, b in pairs if a != b]
        return "; ".join(found)
    if isinstance(old, tuple) and isinstance(new, tuple) and len(old) == len(new):
        found = [
            f"[{i}]{difference(a, b)}"
            for i, (a, b) in enumerate(zip(old, new, strict=True))
            if a != b
        ]
        return "; ".join(found)
    return f": {str(old)[:60]} -> {str(new)[:60]}"


@dataclass
class Table:
    """Tried and noticed, by kind of tampering and kind of answer; and what passed, in words."""

    tried: Counter[tuple[str, str]] = field(default_factory=Counter)
    noticed: Counter[tuple[str, str]] = field(default_factory=Counter)
    answers: Counter[str] = field(default_factory=Counter)
    passed: list[str] = field(default_factory=list)

    def add(self, answers: Iterable[Answer]) -> None:
        """Tamper with each answer in every way."""
        for answer in answers:
            answer.check(answer.site, answer.rig)  # a right answer passes
            self.answers[answer.kind] += 1
            for name, spoil in spoiling.KINDS:
                for site, rig in spoil(answer):
                    if (site, rig) == (answer.site, answer.rig):
                        continue
                    self.tried[name, answer.kind] += 1
                    try:
                        answer.check(site, rig)
                    except VerificationError:
                        self.noticed[name, answer.kind] += 1
                    else:
                        what = difference((answer.site, answer.rig), (site, rig))
                        self.passed.append(f"{answer.kind}, {answer.title}: {name}: {what}")

    def text(self) -> str:
        """The table: noticed of tried."""
        wide = max(len(name) for name, _ in spoiling.KINDS)
        head = [f"{'noticed / tried':{wide}}", *(f"{kind:>13}" for kind in KINDS)]
        out = ["".join(head)]
        out.append(f"{'answers':{wide}}" + "".join(f"{self.answers[k]:>13}" for k in KINDS))
        for name, _ in spoiling.KINDS:
            cells = [self._cell(name, kind) for kind in KINDS]
            out.append(f"{name:{wide}}" + "".join(f"{cell:>13}" for cell in cells))
        return "\n".join(out)

    def _cell(self, name: str, kind: str) -> str:
        tried = self.tried[name, kind]
        return f"{self.noticed[name, kind]}/{tried}" if tried else "-"
