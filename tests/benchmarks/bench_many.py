"""Many cases in one go: agreements a second with two processes against one, and memory from the first to the last.

Usage: bench_many.py [CASES]   (240 unless said otherwise; 10,000 take about ten minutes)

The cases are copies of the rounds of all scenarios in turn, each drafted as a round of its own: in full, with all papers
in every format, or the essentials (`--essentials`: one paper of each kind). The papers are then removed, so that the disk
does not fill. Memory is that of all processes together.
"""

from __future__ import annotations

import multiprocessing
import os
import shutil
import sys
import tempfile
import time
from pathlib import Path

from msadraft.rounds.many import cases_in, draft_many

ROOT = Path(__file__).resolve().parents[2]
ROUNDS = sorted((ROOT / "scenarios").glob("*/round-*.yaml"))


def _megabytes() -> float:
    """Memory held by this process and its children now (Linux)."""
    ids = [os.getpid(), *(child.pid for child in multiprocessing.active_children())]
    pages = 0
    for pid in ids:
        try:
            pages += int(Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1])
        except FileNotFoundError:
            continue
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def _drafting(count: int, jobs: int, *, essentials: bool) -> tuple[float, list[float]]:
    """Cases a second, and memory after each twelfth of the cases."""
    with tempfile.TemporaryDirectory() as name:
        for n in range(count):
            folder = Path(name) / f"{n:06}"
            folder.mkdir()
            shutil.copy(ROUNDS[n % len(ROUNDS)], folder / "case.yaml")
        held: list[float] = []
        began = time.perf_counter()
        for done, outcome in enumerate(draft_many(cases_in(Path(name)), jobs, essentials=essentials), 1):
            assert outcome.state == "drafted", outcome
            shutil.rmtree(outcome.case / "rounds")
            if done % max(count // 12, 1) == 0:
                held.append(_megabytes())
        return count / (time.perf_counter() - began), held


def main() -> None:
    """Print the rates and the memory."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 240
    few = min(count, 240)
    for essentials, said in ((False, "in full"), (True, "the essentials")):
        one, _ = _drafting(few, 1, essentials=essentials)
        two, _ = _drafting(few, 2, essentials=essentials)
        print(f"{few} cases {said}: {two:.1f} a second with two processes, {one:.1f} with one ({two / one:.2f} times)")
    rate, held = _drafting(count, 2, essentials=True)
    print(f"{count} cases, the essentials: {rate:.1f} a second; memory in MB: " + " ".join(f"{m:.0f}" for m in held))


if __name__ == "__main__":
    main()
