"""Many cases in one go, as a clinic drafts them: one process for each core, each case a unit of its own.

A case is held, drafted and written exactly as alone, so that other programs may work on the same folder meanwhile. One
that cannot be drafted is reported and stops nobody. What is done stays done: a second run passes over every case that
has not changed, and so takes up where a run ended that was broken off.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from functools import cache
from itertools import count
from pathlib import Path
from typing import Literal

from msadraft.agreement.negotiated import read_wording
from msadraft.draft import draft
from msadraft.facts.load import FILE_NAME, read_case
from msadraft.facts.problems import FactsError
from msadraft.library.environment import WordingError
from msadraft.library.load import Library, LibraryError, read_library
from msadraft.rounds.errors import RoundError
from msadraft.rounds.store import standing_round, write_round

State = Literal["drafted", "stands", "not ready", "unusable", "fault"]
"""A new round; the last one, since nothing changed; stops are open and only final papers were asked for; facts or
clauses that cannot be used; a fault of this program."""

_AHEAD = 4  # cases handed out for each process before answers are waited for
_RENEWED_AFTER = 1000  # cases, after which a process makes room for a fresh one
_SWEEP_EVERY = 20  # cases between two looks for garbage
_count = count(1)  # the cases of this process


@dataclass(frozen=True)
class Outcome:
    """What became of one case. `says` is the mark of its round or, where there is none, the reason.

    `ready`: no finding stops signing. The findings of a round that stands were counted when it was drafted, not again.
    """

    case: Path
    state: State
    says: str
    ready: bool = False
    stops: int = 0
    warns: int = 0
    notes: int = 0


def cases_in(folder: Path) -> tuple[Path, ...]:
    """Every case folder in `folder` or deeper, in order; a case folder is not searched for further cases.

    Raises:
        RoundError: there is no such folder, it cannot be read, or it holds no case.
    """
    if not folder.is_dir():
        raise RoundError(f"{folder}: there is no such folder; give the folder that holds the case folders")
    found: list[Path] = []

    def refuse(error: OSError) -> None:
        raise RoundError(f"{error.filename}: the folder cannot be read ({error.strerror})") from error

    for name, below, files in os.walk(folder, onerror=refuse):
        if FILE_NAME in files:
            found.append(Path(name))
            below.clear()
    if not found:
        raise RoundError(f"{folder}: no folder in it holds a {FILE_NAME}; make cases with `msadraft new`")
    return tuple(sorted(found))


def draft_many(
    cases: Sequence[Path],
    jobs: int = 0,
    firm_folders: Sequence[Path] = (),
    final: bool = False,
    essentials: bool = False,
) -> Iterator[Outcome]:
    """Draft the next round of each case and yield the outcomes as they come, in no fixed order.

    Args:
        cases: case folders.
        jobs: how many processes; 0 takes one for each core.
        firm_folders: the firm's own clauses, besides those that a case names itself.
        final: write no round for a case while a finding stops signing.
        essentials: one paper of each kind only, as in `files_of`; the same rounds, sooner.
    """
    processes, asked = jobs or os.cpu_count() or 1, _Asked(tuple(firm_folders), final, essentials)
    waiting = list(reversed(cases))
    suspects: list[Path] = []
    while waiting:
        pool = _Pool(processes, processes * _AHEAD, asked)
        yield from pool.work(waiting)
        suspects += pool.unanswered
    while suspects:  # one of them ended its process: one at a time, so that it cannot take others with it
        pool = _Pool(1, 1, asked)
        yield from pool.work(suspects)
        for case in pool.unanswered:
            yield Outcome(case, "fault", "its process was ended from outside, perhaps for want of memory")


@dataclass(frozen=True)
class _Asked:
    """What is the same for all cases of a run."""

    firm_folders: tuple[Path, ...]
    final: bool
    essentials: bool


class _Pool:
    """Some processes at work until all is done or one of them dies; then `unanswered` says what they had in hand."""

    def __init__(self, jobs: int, most: int, asked: _Asked) -> None:
        self.jobs, self.most, self.asked = jobs, most, asked
        self.unanswered: list[Path] = []

    def work(self, waiting: list[Path]) -> Iterator[Outcome]:
        """Take cases from the end of `waiting` until it is empty or a process dies."""
        fresh = multiprocessing.get_context("spawn")  # a fork would copy whatever the calling program holds
        handed: dict[Future[Outcome], Path] = {}
        with ProcessPoolExecutor(self.jobs, fresh, _begin, max_tasks_per_child=_RENEWED_AFTER) as pool:
            try:
                while waiting or handed:
                    while waiting and len(handed) < self.most:
                        case = waiting.pop()
                        handed[pool.submit(_outcome, case, self.asked)] = case
                    for done in wait(handed, return_when=FIRST_COMPLETED).done:
                        yield done.result()
                        del handed[done]
            except BrokenProcessPool:
                self.unanswered = list(handed.values())
            finally:
                pool.shutdown(wait=True, cancel_futures=True)


def _begin() -> None:
    """Set a process up: what it has loaded lives to its end, so garbage is looked for only now and then."""
    gc.disable()
    gc.freeze()


def _outcome(case: Path, asked: _Asked) -> Outcome:
    """What becomes of one case, in a process that does many."""
    if next(_count) % _SWEEP_EVERY == 0:
        gc.collect()
    try:
        return _drafted(case, asked)
    except (FactsError, LibraryError, WordingError, RoundError) as error:
        return Outcome(case, "unusable", str(error))
    except OSError as error:
        return Outcome(case, "unusable", f"{error.filename or case}: cannot be read or written ({error.strerror})")
    except Exception as error:
        return Outcome(case, "fault", f"a fault of this program, please report it: {type(error).__name__}: {error}")


def _drafted(case: Path, asked: _Asked) -> Outcome:
    file = read_case(case)
    library = _library(*(case / name for name in file.facts.clauses), *asked.firm_folders)
    wording = read_wording(case)
    if standing := standing_round(file, wording, library, case):
        mark, ready = standing
        if asked.final and not ready:
            return Outcome(case, "not ready", f"findings stop signing; the last round stands: {mark}", ready=False)
        return Outcome(case, "stands", mark, ready=ready)
    found = draft(file, negotiated=wording, library=library)
    stops, warns, notes = (sum(f.severity == s for f in found.findings) for s in ("stop", "warn", "note"))
    if asked.final and stops:
        return Outcome(case, "not ready", f"{stops} findings stop signing", False, stops, warns, notes)
    written = write_round(found, case, essentials=asked.essentials)
    return Outcome(case, "drafted", found.stamp(written.label).mark, not stops, stops, warns, notes)


def _library(*folders: Path) -> Library:
    """The clauses. Those of the program alone are read once; a firm's own may change while this runs."""
    return read_library(*folders) if folders else _shipped()


@cache
def _shipped() -> Library:
    return read_library()


__all__ = ["Outcome", "State", "cases_in", "draft_many"]
