"""Runs the program on one case, in process, and judges what comes back."""

import io
import json
import re
import signal
import time
import traceback
import unicodedata
import warnings
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import Any

from optimiser import cli

PATIENCE = 20.0
"""s of work after which a case counts as hung: processor time, so that a busy machine is no find."""
STANDSTILL = 9.0
"""Times as long by the clock, after which it counts as hung though it does nothing."""
ANSWERED, BAD_INPUT, NOTHING_FEASIBLE = 0, 2, 3
NO_NUMBER = re.compile(r"(?<![\w.'-])[+-]?(?:nan|inf|infinity)(?![\w'-])", re.IGNORECASE)
LONGEST_MESSAGE = 1000
"""Signs in one line of a message: more is no clear error any more."""


@dataclass(frozen=True)
class Answer:
    """What a run gave: exit code (None where it was broken off), texts, and what work it took, s."""

    code: object
    out: str
    err: str
    took: float
    broken: str = ""  # the traceback, if there was one
    hung: bool = False
    warned: tuple[str, ...] = ()


class Hung(BaseException):
    """The time is up. Not an Exception, so that nothing on the way up takes it for one."""


@contextmanager
def alarm(seconds: float) -> Iterator[None]:
    """Raises `Hung` in what runs inside, after so much work, or much longer by the clock."""

    def ring(_signal: int, _frame: FrameType | None) -> None:
        raise Hung

    timers = (
        (signal.SIGPROF, signal.ITIMER_PROF, seconds),
        (signal.SIGALRM, signal.ITIMER_REAL, STANDSTILL * seconds),
    )
    before = [signal.signal(sign, ring) for sign, _, _ in timers]
    for _, timer, after in timers:
        signal.setitimer(timer, after)
    try:
        yield
    finally:
        for (sign, timer, _), handler in zip(timers, before, strict=True):
            signal.setitimer(timer, 0.0)
            signal.signal(sign, handler)


def run(arguments: tuple[str, ...], site: bytes, folder: Path) -> Answer:
    """Run the command line on a site file; "SITE" among the arguments stands for it, "OUT." and an
    ending for a file to be written."""
    path = folder / "site.toml"
    path.write_bytes(site)
    words = [str(path) if word == "SITE" else word for word in arguments]
    words = [str(folder / word) if word.startswith("OUT.") else word for word in words]
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    code: object = None
    broken, hung = "", False
    began = time.process_time()
    with warnings.catch_warnings(record=True) as warned, redirect_stdout(out), redirect_stderr(err):
        warnings.simplefilter("always")
        try:
            with alarm(PATIENCE):
                code = cli.main(words)
        except Hung:
            hung = True
            broken = "".join(traceback.format_exc(limit=-6))
        except SystemExit as left:
            code = left.code
        except BaseException:
            broken = traceback.format_exc()
    took = time.process_time() - began
    texts = []
    for stream in (out, err):
        stream.flush()
        texts.append(stream.buffer.getvalue().decode("utf-8", errors="replace"))
    for written in sorted(folder.glob("OUT.*")):
        texts[0] += written.read_text(encoding="utf-8")
        written.unlink()
    found = (f"{w.category.__name__}: {w.message} ({w.filename}:{w.lineno})" for w in warned)
    return Answer(code, texts[0], texts[1], took, broken, hung, tuple(dict.fromkeys(found)))


def faults(arguments: tuple[str, ...], site: bytes, answer: Answer) -> list[str]:
    """What is wrong with an answer; empty where it is an answer or a clear error."""
    found = []
    if answer.hung or answer.took > PATIENCE:
        found.append(f"hangs: {answer.took:.1f} s; {_last(answer.broken)}")
    elif answer.broken:
        found.append(f"traceback: {_last(answer.broken)}")
    elif answer.code not in (ANSWERED, BAD_INPUT, NOTHING_FEASIBLE):
        found.append(f"exit code {answer.code!r}")
    if "Traceback (most recent call last)" in answer.out + answer.err:
        found.append("a traceback is printed")
    found += [f"warning: {text}" for text in answer.warned]
    if answer.broken:
        return found
    if answer.code == BAD_INPUT:
        found += _message(answer.err)
    else:
        found += _printed(arguments, site.decode("utf-8", errors="replace"), answer.out)
    return found


def _message(err: str) -> Iterator[str]:
    if not err.strip():
        yield "bad input without a message"
    if max((len(line) for line in err.splitlines()), default=0) > LONGEST_MESSAGE:
        yield "a message that nobody reads to its end"
    yield from _signs(err)


def _printed(arguments: tuple[str, ...], site: str, out: str) -> Iterator[str]:
    if not out.strip():
        yield "nothing is told"
    lost = NO_NUMBER.search(out)
    if lost is not None and not NO_NUMBER.search(site):  # a name may be such a word
        yield f"no number: {out[max(lost.start() - 60, 0) : lost.end() + 20]!r}"
    yield from _signs(out)
    if "json" in arguments:
        try:
            json.loads(out, parse_constant=_refused)
        except ValueError as error:
            yield f"not JSON: {error}"


def _refused(word: str) -> Any:
    raise ValueError(f"{word} is no JSON")


def _signs(text: str) -> Iterator[str]:
    """Signs that could make a terminal show something else than what is meant."""
    bad = {c for c in text if unicodedata.category(c) in ("Cc", "Cf", "Cs") and c not in "\n\r\t"}
    bad |= {"\r"} if "\r" in text.replace("\r\n", "") else set()
    if bad:
        yield f"signs that steer a terminal: {sorted(bad)}"


def _last(trace: str) -> str:
    lines = [line.strip() for line in trace.strip().splitlines()]
    places = [line for line in lines if line.startswith("File ")]
    return f"{lines[-1][:300] if lines else ''} at {places[-1] if places else '?'}"


__all__ = ["Answer", "Hung", "alarm", "faults", "run"]
