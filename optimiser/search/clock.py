"""Decides when a search has to stop: at a time limit where somebody set one, else after so much effort.

Seconds count only where somebody set a limit. Every budget of the program's own is one of effort
(`shared.effort`), so that the answer is the same on any machine, however busy.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from shared.effort import spent
from shared.interrupt import requested

Progress = Callable[[str], None]


@dataclass(eq=False)
class Clock:
    """`limit` [s from now]: what somebody set; `progress`: a sign of life for whoever waits;
    `heedless`: it goes on though somebody has requested the answer so far."""

    limit: float | None
    progress: Progress | None
    heedless: bool = False
    stopped: bool = field(default=False, init=False)
    interrupted: bool = field(default=False, init=False)  # somebody wants the answer now
    until: Callable[[], bool] | None = field(default=None, init=False)
    _end: float | None = field(default=None, init=False)  # s, of the monotonic clock
    _most: float | None = field(default=None, init=False)  # effort spent in all

    def __post_init__(self) -> None:
        self._end = None if self.limit is None else time.monotonic() + self.limit

    def runs(self) -> bool:
        """False once the time or the effort is up, or what is looked for is found."""
        if self.until is not None and self.until():
            self.stopped = True
        if self._end is not None and time.monotonic() > self._end:
            self.stopped = True
        if self._most is not None and spent() > self._most:
            self.stopped = True
        if not self.heedless and requested():
            self.stopped = self.interrupted = True
        return not self.stopped

    @property
    def limited(self) -> bool:
        """Whether somebody set a time limit."""
        return self._end is not None

    @property
    def left(self) -> float | None:
        """s until the time limit; None where nobody set one."""
        return None if self._end is None else max(self._end - time.monotonic(), 0.01)

    def report(self, text: str) -> None:
        if self.progress is not None:
            self.progress(text)

    # ---- clocks of parts of the work ----------------------------------------------------------------

    def anew(self, progress: Progress | None = None) -> "Clock":
        """One that ends with this one, for a search of its own."""
        out = Clock(None, progress or self.progress, self.heedless)
        out._end, out._most = self._end, self._most
        return out

    def within(self, effort: float) -> "Clock":
        """One that also ends after so much effort."""
        out = self.anew()
        most = spent() + effort
        out._most = most if out._most is None else min(out._most, most)
        return out

    def patient(self, effort: float) -> "Clock":
        """One that ends after so much effort, or where somebody set a time limit with that alone."""
        return self.anew() if self.limited else self.within(effort)

    def share(self, part: float, *, least: float = 0.0) -> "Clock":
        """One that has a part of what is left of this one's time and effort, `least` [s, units of
        effort] if there is so much."""
        out = self.anew()
        if self._end is not None:
            now = time.monotonic()
            left = max(self._end - now, 0.0)
            out._end = now + max(left * part, min(left, least))
        if self._most is not None:
            now = spent()
            left = max(self._most - now, 0.0)
            out._most = now + max(left * part, min(left, least))
        return out

    def allow(self, effort: float) -> None:
        """From now on it ends after so much effort, unless somebody set a time limit."""
        if not self.limited:
            self._most = spent() + effort
            self.stopped = self.interrupted
