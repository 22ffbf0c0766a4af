"""What one case costs, and how it came out."""

from __future__ import annotations

import re
import signal
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

_STATUS, _CLEAR = Path("/proc/self/status"), Path("/proc/self/clear_refs")


class TooLongError(Exception):
    """A case took longer than the bound."""


class WrongError(AssertionError):
    """A case came out in a way that it may not."""


def _memory(name: str) -> float:
    """A line of the process status in MB; 0 where there is no such file."""
    try:
        found = re.search(rf"{name}:\s+(\d+) kB", _STATUS.read_text(encoding="ascii"))
    except OSError:
        return 0.0
    return int(found[1]) / 1024 if found else 0.0


def _forget_peak() -> None:
    try:
        _CLEAR.write_text("5", encoding="ascii")
    except OSError:
        return


@contextmanager
def time_limit(seconds: float) -> Iterator[None]:
    """Raise TooLongError inside if it takes longer; main thread of POSIX systems only, elsewhere no limit."""
    if not hasattr(signal, "SIGALRM"):
        yield
        return

    def ring(*_: object) -> None:
        raise TooLongError(f"took longer than {seconds} s")

    before = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


@dataclass
class Count:
    """The outcome of many cases of one kind."""

    kind: str
    most_seconds: float
    most_mb: float
    tried: int = 0
    accepted: int = 0
    refused: int = 0
    drafted: int = 0
    slowest_ms: float = 0.0
    slowest_case: int = -1
    peak_mb: float = 0.0
    peak_case: int = -1
    untimed: bool = False
    checked: dict[str, int] = field(default_factory=dict)
    failures: list[dict[str, Any]] = field(default_factory=list)

    def also(self, what: str, times: int = 1) -> None:
        """Count something that was looked at on the way."""
        self.checked[what] = self.checked.get(what, 0) + times

    def run(self, number: int, judge: Callable[[int, Count], str]) -> str:
        """Judge one case within the bounds. `judge` gives "accepted" or "refused", or raises."""
        self.tried += 1
        self.untimed = False
        before = _memory("VmRSS")
        _forget_peak()
        start = time.perf_counter()
        try:
            with time_limit(self.most_seconds):
                outcome = judge(number, self)
        except (KeyboardInterrupt, SystemExit):
            raise
        except BaseException as error:
            self.fail(number, error)
            outcome = "failed"
        spent = (time.perf_counter() - start) * 1000
        grown = max(0.0, _memory("VmHWM") - before)
        if spent > self.slowest_ms and not self.untimed:
            self.slowest_ms, self.slowest_case = round(spent, 1), number
        if grown > self.peak_mb:
            self.peak_mb, self.peak_case = round(grown, 1), number
        if grown > self.most_mb:
            self.failures.append({"case": number, "what": f"needed {grown:.0f} MB", "where": ""})
        if outcome in ("accepted", "refused"):
            setattr(self, outcome, getattr(self, outcome) + 1)
        return outcome

    def fail(self, number: int, error: BaseException) -> None:
        """Note a failure with its place."""
        frames = traceback.extract_tb(error.__traceback__)
        ours = [f"{Path(f.filename).name}:{f.lineno} {f.name}" for f in frames if "msadraft" in f.filename][-4:]
        self.failures.append(
            {"case": number, "what": f"{type(error).__name__}: {str(error)[:400]}", "where": " < ".join(reversed(ours))}
        )

    def data(self) -> dict[str, Any]:
        """The outcome as plain data."""
        return {
            "kind": self.kind, "tried": self.tried, "accepted": self.accepted, "refused_clearly": self.refused,
            "failures": len(self.failures), "drafted": self.drafted, "slowest_ms": self.slowest_ms, "slowest_case": self.slowest_case,
            "peak_mb": self.peak_mb, "peak_case": self.peak_case, "bound_seconds": self.most_seconds, "bound_mb": self.most_mb,
            "checked": dict(sorted(self.checked.items())), "failed": self.failures[:50],
        }  # fmt: skip


def expect(holds: object, what: str) -> None:
    """Raise WrongError unless something holds."""
    if not holds:
        raise WrongError(what)
