"""The process beside the server that works out what the page shows.

It reads one question a line (JSON) and writes every part of its answer as a line. A newer question ends the
one that is being worked out: whatever searches reads the same note that Ctrl-C leaves.
"""

import json
import os
import queue
import signal
import sys
import threading
import traceback
from contextlib import suppress
from typing import IO, Any

from shared.collecting import collect_seldom
from shared.interrupt import forget, note

Message = dict[str, Any]


class _Newest:
    """The newest question; one that is put in while another is being answered ends that."""

    def __init__(self) -> None:
        self._waiting: queue.SimpleQueue[Message | None] = queue.SimpleQueue()

    def put(self, message: Message | None) -> None:
        note()
        self._waiting.put(message)

    def get(self) -> Message | None:
        message = self._waiting.get()
        while not self._waiting.empty():
            message = self._waiting.get()
        forget()
        if not self._waiting.empty():  # it came in between
            note()
        return message


def work(source: IO[str], target: IO[str]) -> None:
    """Answer questions until `source` ends."""
    newest = _Newest()
    threading.Thread(target=_listen, args=(source, newest), daemon=True).start()
    from optimiser.telling.page.answering import Answers, Wanted  # after the first line may come in

    answers = Answers()
    collect_seldom()
    _write(target, {"id": 0, "part": "ready"})
    while (message := newest.get()) is not None:
        number = message.pop("id")
        try:
            for part in answers.of(Wanted(**message)):
                _write(target, {"id": number, **part})
        except Exception:
            # A fault of the program: the page says so, and the next change is answered again.
            traceback.print_exc()
            answers = Answers()
            _write(target, {"id": number, "part": "failed"})
        _write(target, {"id": number, "part": "done"})


def _listen(source: IO[str], newest: _Newest) -> None:
    with suppress(OSError, ValueError):
        for line in source:
            newest.put(json.loads(line))
    newest.put(None)


def _write(target: IO[str], message: Message) -> None:
    target.write(json.dumps(message, allow_nan=False, default=str) + "\n")
    target.flush()


def main() -> None:
    """Answer on standard output; what libraries print goes to standard error."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which ends this too
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    with suppress(BrokenPipeError):
        work(os.fdopen(sys.stdin.fileno(), encoding="utf-8"), answers)
    os._exit(0)


if __name__ == "__main__":
    main()
