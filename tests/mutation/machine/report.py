"""The report of a machine's run, as Markdown: how many were noticed, and every survivor with its reason."""

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.mutation.machine.areas import AREAS, every_edit
from tests.mutation.machine.bench import Verdict

HEADING = "# Faults made by the machine"
READ = Path(__file__).with_name("survivors.toml")


@dataclass(frozen=True)
class Reason:
    """What reading a survivor came to. `verdict`: "equivalent" (no answer can change), "test added", "looser"
    (the answer stays right, it costs time or a worse word), or "open"."""

    file: str
    what: str
    verdict: str
    why: str


def reasons() -> list[Reason]:
    """All survivors that somebody read."""
    if not READ.exists():
        return []
    return [
        Reason(**entry) for entry in tomllib.loads(READ.read_text(encoding="utf-8"))["survivor"]
    ]


def note() -> list[str]:
    """What is to be known of the run that the report is of."""
    if not READ.exists():
        return []
    stated = tomllib.loads(READ.read_text(encoding="utf-8")).get("note")
    return [str(stated), ""] if stated else []


def markdown(verdicts: Sequence[Verdict], seed: int) -> str:
    """The part of the report that is the machine's."""
    return "\n".join((*_counted(verdicts, seed), *_survivors(verdicts), ""))


def _reason(verdict: Verdict, known: Sequence[Reason]) -> Reason | None:
    return next((r for r in known if (r.file, r.what) == (verdict.file, verdict.what)), None)


def _counted(verdicts: Sequence[Verdict], seed: int) -> Iterator[str]:
    known, caught = reasons(), sum(v.caught for v in verdicts)
    left = [_reason(v, known) for v in verdicts if not v.caught]
    equal = sum(r is not None and r.verdict in ("equivalent", "looser") for r in left)
    share = caught / max(len(verdicts) - equal, 1)
    yield HEADING
    yield ""
    command = f"python -m tests.mutation --machine --sample {len(verdicts)} --seed {seed}"
    yield f"Written by `{command}`. Each is one"
    yield "change of the text (`machine/edits.py`), the areas and the kinds by turns; the tests that enter"
    yield "the function it is in run, the quickest first, for 25 s of work at most (`machine/choice.py`)."
    yield ""
    yield from note()
    yield (
        f"**{caught} of {len(verdicts)} are noticed; {equal} of the others change no answer, so that is "
        f"{share:.1%} of the rest.**"
    )
    yield ""
    yield "| area | possible | tried | noticed | of these by running too long | not noticed |"
    yield "|---|---|---|---|---|---|"
    for area in AREAS:
        own = [v for v in verdicts if v.area == area]
        time, noticed = (
            sum(one) for one in ([v.how == "time" for v in own], [v.caught for v in own])
        )
        possible = len(every_edit(area))
        yield f"| {area} | {possible} | {len(own)} | {noticed} | {time} | {len(own) - noticed} |"
    yield ""


def _survivors(verdicts: Sequence[Verdict]) -> Iterator[str]:
    known = reasons()
    yield "## Not noticed"
    yield ""
    yield "| where | kind | change | what it comes to |"
    yield "|---|---|---|---|"
    for v in verdicts:
        if v.caught:
            continue
        reason = _reason(v, known)
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
