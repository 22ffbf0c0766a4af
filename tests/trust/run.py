"""The random-case trial: draw many cases, take each through the whole program, and look at each by every check.

    python tests/trust/run.py --cases 2000 --jobs 2           the trial; exit code 1 if anything failed
    python tests/trust/run.py --case 137                      one case again; its facts are written to case.yaml
    python tests/trust/run.py --case 137 --shrink             the same, with as few facts as still fail
    python tests/trust/run.py --cases 20000 --write-docs      and write docs/trust.md
    python tests/trust/run.py --cases 2000 --office 40        and ask LibreOffice for the numbers of 40 of the cases
    python tests/trust/run.py --find 5000                     write recipes for branches that few drawn cases reach

A case is made from its number, so a failure is known by its number. The first numbers are recipes (tests/trust/recipes.yaml),
made for what random cases seldom reach; the rest are drawn.
"""

from __future__ import annotations

import argparse
import gc
import multiprocessing
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

sys.path[0] = str(
    Path(__file__).resolve().parents[1]
)  # the tests; not this folder, which holds modules of common names

from facts.made_up import as_yaml  # noqa: E402

from trust import page, recipes  # noqa: E402
from trust.draw import Drawn, drawn_case  # noqa: E402
from trust.worked import Failure, Reached, Trial, counting, work  # noqa: E402

BATCH = 40
ECHO_EVERY = 50
"""One case in so many is also made in another process, and its files are compared."""
RECYCLE = 25
"""A process is ended after so many batches, so that memory stays flat."""


@dataclass
class Result:
    """What a run came to."""

    cases: int
    seed: int
    reached: Reached = field(default_factory=Reached)
    failures: list[Failure] = field(default_factory=list)
    digests: dict[int, dict[str, str]] = field(default_factory=dict)
    echoed: int = 0
    seconds: float = 0.0
    jobs: int = 1
    office: str = ""


def the_case(number: int, seed: int) -> Drawn:
    """The case of a number: a recipe, or a drawn case."""
    made = recipes.read()
    return recipes.case(number, made[number]) if number < len(made) else drawn_case(number, seed)


_trial: Trial | None = None


def _begin() -> None:
    """Make one process ready: clauses read, bodies compiled with their marks, garbage of that set aside."""
    global _trial
    _trial = Trial()
    gc.disable()
    _sweep()


def _sweep() -> None:
    """Take the garbage out, and set aside what is left: it stays, so that the next sweep need not look at it again."""
    gc.collect()
    gc.freeze()


def _batch(
    task: tuple[tuple[int, ...], tuple[int, ...], int],
) -> tuple[Reached, list[Failure], dict[int, dict[str, str]], dict[int, dict[str, str]]]:
    """Check some cases, and make some of another batch again without checking them."""
    numbers, echoes, seed = task
    assert _trial is not None
    _trial.reached, _trial.failures = Reached(), []
    digests = {}
    for count, number in enumerate(numbers):
        with _trial.watched("draw"):
            _trial.number = number
            drawn = the_case(number, seed)
            digests[number] = _trial.case(drawn)
        if count % 20 == 19:
            _sweep()
    kept = {n: d for n, d in digests.items() if n % ECHO_EVERY == 0 and d}
    echoed = {n: work(the_case(n, seed).facts).digests() for n in echoes}
    _sweep()
    return _trial.reached, _trial.failures, kept, echoed


def _tasks(cases: int, seed: int) -> Iterator[tuple[tuple[int, ...], tuple[int, ...], int]]:
    """Batches; each echoes the cases of the batch before it that are made twice, which another process may have had."""
    for first in range(0, cases, BATCH):
        before = range(max(0, first - BATCH), first)
        yield tuple(range(first, min(first + BATCH, cases))), tuple(n for n in before if n % ECHO_EVERY == 0), seed


def run(cases: int, jobs: int, seed: int) -> Result:
    """Check the cases 0 to `cases`."""
    result, began, told = Result(cases, seed, jobs=jobs), time.monotonic(), 0.0
    echoes: dict[int, dict[str, str]] = {}
    with multiprocessing.get_context("spawn").Pool(jobs, _begin, maxtasksperchild=RECYCLE) as pool:
        for reached, failures, digests, echoed in pool.imap_unordered(_batch, _tasks(cases, seed)):
            result.reached.add(reached)
            result.failures += failures
            for failure in failures[: max(0, 30 - len(result.failures) + len(failures))]:
                print(f"case {failure.case}: {failure.check}: {failure.says[:300]}", file=sys.stderr, flush=True)
            result.digests |= digests
            echoes |= echoed
            now = time.monotonic() - began
            if now - told > 15:
                told, done = now, result.reached.cases
                left = now / done * (cases - done)
                print(
                    f"{done} of {cases} cases, {len(result.failures)} failures, {left:.0f} s to go",
                    file=sys.stderr,
                    flush=True,
                )
    for number, again in sorted(echoes.items()):
        if number in result.digests:
            result.echoed += 1
            for name, digest in again.items():
                if digest != result.digests[number].get(name):
                    result.failures.append(Failure(number, "twice", f"{name} came out differently in another process"))
    result.failures.sort(key=lambda f: (f.case, f.check, f.says))
    result.seconds = time.monotonic() - began
    return result


def ask_office(result: Result, count: int) -> None:
    """Ask LibreOffice for the label of every bookmark of some cases, spread over the run."""
    from msadraft.writers import office

    if not office.available():
        result.office = "LibreOffice was not there, so it was not asked."
        return
    step = max(1, result.cases // count)
    numbers = list(range(0, result.cases, step))[:count]
    asked = wrong = 0
    with tempfile.TemporaryDirectory(prefix="msadraft-trust-") as folder:
        papers = []
        for number in numbers:
            made = work(the_case(number, result.seed).facts)
            path = Path(folder) / f"case-{number}.docx"
            path.write_bytes(made.docx)
            papers.append((number, path, {e.bookmark: e.label for e in made.draft.numbering.by_id.values()}))
        for first in range(0, len(papers), 20):
            some = papers[first : first + 20]
            for (number, _, wanted), shown in zip(
                some, office.labels_of_many([p for _, p, _ in some], 600.0), strict=True
            ):
                asked += len(wanted)
                for mark in sorted(wanted.keys() | shown.keys()):
                    if wanted.get(mark) != shown.get(mark):
                        wrong += 1
                        says = f"LibreOffice shows {shown.get(mark)!r} at {mark}, the program {wanted.get(mark)!r}"
                        result.failures.append(Failure(number, "office", says))
    result.office = f"LibreOffice was asked for {asked:,} labels of {len(numbers)} cases; {wrong} differ."


def one(number: int, seed: int, target: Path, shrink: bool) -> int:
    """Check one case again, and write its facts."""
    trial = Trial()
    drawn = the_case(number, seed)
    trial.case(drawn)
    for failure in trial.failures:
        print(f"{failure.check}: {failure.says}")
    tree = drawn.tree
    if shrink and trial.failures:
        tree = recipes.shrunk(drawn, {f.check for f in trial.failures})
    try:
        target.write_text(as_yaml(Drawn(number, drawn.base, [], tree).facts), encoding="utf-8")
    except ValueError as error:
        print(f"The facts cannot be read: {error}", file=sys.stderr)
        return 1
    print(f"Case {number} began from {drawn.base}; its facts stand in {target}. {len(trial.failures)} failures.")
    return 1 if trial.failures else 0


def main() -> int:
    """Run the trial."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=2000, help="how many cases (default 2000)")
    parser.add_argument("--jobs", type=int, default=2, help="how many processes (default 2)")
    parser.add_argument("--seed", type=int, default=0, help="another number draws other cases (default 0)")
    parser.add_argument("--office", type=int, default=0, metavar="N", help="ask LibreOffice for the numbers of N cases")
    parser.add_argument("--write-docs", action="store_true", help="write docs/trust.md")
    parser.add_argument("--case", type=int, help="check this case alone and write its facts")
    parser.add_argument("--out", type=Path, default=Path("case.yaml"), help="where --case writes the facts")
    parser.add_argument("--shrink", action="store_true", help="with --case: as few facts as still fail")
    parser.add_argument(
        "--find", type=int, metavar="N", help="draw N cases and write recipes for what few of them reach"
    )
    options = parser.parse_args()
    if options.case is not None:
        return one(options.case, options.seed, options.out, options.shrink)
    if options.find:
        recipes.find(options.find, options.seed)
        return 0
    result = run(options.cases, options.jobs, options.seed)
    if options.office:
        ask_office(result, options.office)
    found = page.coverage(result.reached, counting())
    print(page.summary(result, found))
    if options.write_docs:
        page.write(result, found)
    return 1 if result.failures or found.missed_wording else 0


__all__ = ["Counter", "Result", "run"]

if __name__ == "__main__":
    sys.exit(main())
