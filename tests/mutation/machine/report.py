"""The report of a machine's run, as Markdown: how many were noticed, and every survivor with its reason."""

import tomllib
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.mutation.machine.areas import AREAS, every_edit
from tests.mutation.machine.bench import Verdict

HEADING = "# Faults made by the machine"
READ = Path(__file__).with_name("survivors.toml")
ALIKE = ("equivalent", "looser")
"""Verdicts on faults that change no answer."""
FOUND = ("test added", "slower test")
"""Verdicts on faults that a test notices all the same."""
CHOICE = "own choice"


@dataclass(frozen=True)
class Reason:
    """What reading a survivor came to. `line`: in the text that ran. `verdict`: "equivalent" (no answer can
    change), "looser" (the answer stays right, it costs time or a worse word), "own choice" (a figure of the
    project's own, with nothing outside to hold it to), "test added" (which notices it now), "slower test"
    (one that is there notices it, and was not run for it), or "open"."""

    file: str
    line: int
    what: str
    verdict: str
    why: str


def reasons() -> list[Reason]:
    """All survivors that somebody read."""
    return [
        Reason(**entry) for entry in tomllib.loads(READ.read_text(encoding="utf-8"))["survivor"]
    ]


def note() -> str:
    """What is to be known of the run that the report is of."""
    return str(tomllib.loads(READ.read_text(encoding="utf-8"))["note"])


def markdown(verdicts: Sequence[Verdict], seed: int) -> str:
    """The part of the report that is the machine's."""
    known = {(reason.file, reason.line, reason.what): reason for reason in reasons()}
    left = [
        (verdict, known.get((verdict.file, verdict.line, verdict.what)))
        for verdict in verdicts
        if not verdict.caught
    ]
    return "\n".join((*_counted(verdicts, left, seed), *_survivors(left), ""))


def _counted(
    verdicts: Sequence[Verdict], left: Sequence[tuple[Verdict, Reason | None]], seed: int
) -> Iterator[str]:
    count = Counter("not read" if reason is None else reason.verdict for _, reason in left)
    caught, alike = len(verdicts) - len(left), sum(count[word] for word in ALIKE)
    noticed = caught + sum(count[word] for word in FOUND)
    changing = max(len(verdicts) - alike, 1)
    yield HEADING
    yield ""
    command = f"python -m tests.mutation --machine --sample {len(verdicts)} --seed {seed}"
    yield f"Written by `{command}`. Each is one"
    yield "change of the text (`machine/edits.py`), the areas and the kinds by turns; the tests that run"
    yield "its statement do, those that run least besides first, for some seconds (`machine/choice.py`)."
    yield ""
    yield from (note(), "")
    yield (
        f"**Of {len(verdicts)} the tests noticed {caught}; {alike} of the others change no answer, "
        f"{count[FOUND[0]]} are noticed by tests that were added for them and {count[FOUND[1]]} by slower "
        f"ones: {noticed / changing:.1%} of those that change an answer, {count[CHOICE]} figures of the "
        "project's own choice among them.**"
    )
    yield ""
    yield (
        "| area | possible | tried | noticed | of these by running too long | no answer changed "
        "| noticed since, or by slower tests | own choice | open |"
    )
    yield "|---|---|---|---|---|---|---|---|---|"
    for area in AREAS:
        own = [v for v in verdicts if v.area == area]
        found = sum(v.caught for v in own)
        time = sum(v.how == "time" for v in own)
        words = [r.verdict if r else "open" for v, r in left if v.area == area]
        same, later = (sum(word in some for word in words) for some in (ALIKE, FOUND))
        chosen = words.count(CHOICE)
        rest = len(words) - same - later - chosen
        cells = (area, len(every_edit(area)), len(own), found, time, same, later, chosen, rest)
        yield f"| {' | '.join(map(str, cells))} |"
    yield ""


def _survivors(left: Sequence[tuple[Verdict, Reason | None]]) -> Iterator[str]:
    yield "## Not noticed at first"
    yield ""
    yield "| where | kind | change | what it comes to |"
    yield "|---|---|---|---|"
    for v, reason in left:
        comment = "**not read yet**" if reason is None else f"{reason.verdict}: {reason.why}"
        what = v.what.replace("|", "\\|")
        yield f"| {v.file}:{v.line} | {v.kind} | `{what}` | {comment} |"


def written(report: Path, part: str, *, of_machine: bool) -> None:
    """Put one of the report's two parts in place of the one that is there."""
    before = report.read_text(encoding="utf-8") if report.exists() else ""
    by_hand, _, by_machine = before.partition(HEADING)
    if of_machine:
        text = by_hand.rstrip() + "\n\n" + part
    else:
        text = part + ("\n" + HEADING + by_machine if by_machine else "")
    report.write_text(text, encoding="utf-8")
