"""Put small faults into the figures, the numbering and the review, one at a time, and see whether a test notices.

    python tests/mutation/run.py --room figures --count 150 --seed 1
    python tests/mutation/run.py --room review --count 50 --only msadraft/review/property.py
    python tests/mutation/run.py --room numbering --count 60 --json

Needs Cosmic Ray and coverage (`pip install -e ".[mutation]"`). The working tree is never touched: mutants live in a copy in
a temporary folder. Only tests that run the mutated line are asked. A mutant that no test can tell from the program, because
it does the same, stands in survivors.yaml with the reason; it counts apart. The score is the mutants that were killed or ran
out of time, of all tried without those. What is not covered counts against it. The exit code is 1 if the score is under 85
percent, or an entry of survivors.yaml is killed or names code that is no longer there.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

sys.path[0] = str(Path(__file__).resolve().parents[1])  # the tests; not this folder

from trust.page import refresh  # noqa: E402
from trust.results import MUTATION, keep  # noqa: E402

from mutation.mutants import Mutant, function_at, sample  # noqa: E402
from mutation.trial import ROOT, Copy  # noqa: E402

EXPLAINED = Path(__file__).with_name("survivors.yaml")
ENOUGH = 85.0
CONTROL = 20
"""Before one mutant in so many, its tests are run without it: a test that fails anyway has found nothing."""
RECORDED = ("tests/scenarios/test_scenarios.py", "tests/trust/test_recorded.py")
ROOMS: dict[str, tuple[str, tuple[str, ...]]] = {
    "figures": (
        "msadraft/figures",
        (
            "tests/figures", "tests/law", "tests/text/test_figures_in_text.py", "tests/text/test_property_figures_in_text.py",
            "tests/writers/test_calendar.py", "tests/writers/test_workbook.py", *RECORDED,
        ),
    ),
    "numbering": ("msadraft/agreement/numbering.py", ("tests/agreement", "tests/writers/test_docx.py", RECORDED[0])),
    "review": (
        "msadraft/review",
        ("tests/review", "tests/attachments/test_checks.py", "tests/attachments/test_true_default.py", *RECORDED),
    ),
}  # fmt: skip


@dataclass
class Result:
    """What became of the mutants of one room."""

    room: str
    seed: int
    found: list[tuple[Mutant, str]] = field(default_factory=list)
    seconds: float = 0.0
    tests: int = 0
    not_passed: list[str] = field(default_factory=list)

    def data(self) -> dict[str, Any]:
        """The counts, the score and the survivors, for programs."""
        count = Counter(outcome for _, outcome in self.found)
        tried = len(self.found)
        judged = tried - count["explained"]
        killed = count["killed"] + count["explained, but killed"]
        caught = killed + count["timed out"]
        return {
            "room": self.room, "seed": self.seed, "tests": self.tests, "tried": tried, "killed": killed, "timed_out": count["timed out"],
            "survived": count["survived"], "not_covered": count["not covered"], "explained": count["explained"],
            "score": round(100 * caught / judged, 1) if judged else None, "seconds": round(self.seconds),
            "survivors": [
                {"file": m.file, "line": m.line, "within": m.within, "before": m.before, "after": m.after, "outcome": outcome}
                for m, outcome in self.found if outcome in ("survived", "not covered")
            ],
            "tests_that_fail_without_a_fault": self.not_passed,
        }  # fmt: skip


def explained() -> dict[tuple[str, str, str, str], str]:
    """The reasons why some mutants do the same as the program, by file, function, and code before and after."""
    entries = yaml.safe_load(EXPLAINED.read_text(encoding="utf-8")) or []
    return {_key(e["file"], e["within"], e["before"], e["after"]): e["reason"] for e in entries}


def _key(file: str, within: str, before: str, after: str) -> tuple[str, str, str, str]:
    return file, within, "\n".join(before.split()), "\n".join(after.split())


def out_of_date(reasons: dict[tuple[str, str, str, str], str]) -> list[str]:
    """Entries whose code is no longer where they say."""
    gone = []
    for file, within, before, _ in reasons:
        path = ROOT / file
        source = path.read_text(encoding="utf-8") if path.is_file() else ""
        places = [n for n, _ in enumerate(source.splitlines(), 1) if function_at(source, n) == within]
        lines = source.splitlines()
        if before not in "\n".join("\n".join(lines[n - 1] for n in places).split()):
            gone.append(f"{file} {within}: {' '.join(before.split())}")
    return gone


def run(
    room: str, count: int, seed: int, only: list[str], cache: Path, reasons: dict[tuple[str, str, str, str], str]
) -> Result:
    """Try some mutants of one room."""
    target, folders = ROOMS[room]
    result, start = Result(room, seed), time.monotonic()
    copy = Copy(cache)
    try:
        place = copy.root / target
        files = [target] if place.is_file() else [str(f.relative_to(copy.root)) for f in place.rglob("*.py")]
        files = [file for file in files if not only or file in only]
        if not files:
            raise SystemExit(f"--only names no file of {target}: {', '.join(only)}")
        tests = copy.tests(folders)
        result.tests, result.not_passed = len(tests.seconds), tests.not_passed
        for n, mutant in enumerate(sample(copy.root, files, count, seed), 1):
            if n % CONTROL == 1 and not copy.unharmed(mutant, tests):
                raise SystemExit(f"tests of {mutant.file}:{mutant.line} fail in the copy without any fault")
            outcome = copy.outcome(mutant, tests)
            key = _key(mutant.file, mutant.within, mutant.before, mutant.after)
            if key in reasons:
                outcome = "explained" if outcome in ("survived", "not covered") else "explained, but killed"
            result.found.append((mutant, outcome))
            told = f"{n} {outcome} {mutant.file}:{mutant.line} {mutant.within} [{mutant.operator}]"
            print(told if outcome == "killed" else f"{told}\n{mutant.diff}", file=sys.stderr, flush=True)
    finally:
        copy.close()
    result.seconds = time.monotonic() - start
    return result


def show(result: Result) -> None:
    """Print the counts and each survivor."""
    data = result.data()
    print(f"{result.room}, seed {result.seed}, {data['tests']} tests, {data['seconds']} s")
    print(
        ", ".join(
            f"{name.replace('_', ' ')} {data[name]}"
            for name in ("tried", "killed", "survived", "timed_out", "not_covered", "explained")
        )
    )
    print(f"score {data['score']} percent of {data['tried'] - data['explained']}")
    for mutant, outcome in result.found:
        if outcome not in ("killed", "timed out", "explained"):
            print(f"\n{outcome}: {mutant.file}:{mutant.line} in {mutant.within or 'the module'}\n{mutant.diff}")
    for name in result.not_passed:
        print(f"fails without a fault, and was not asked: {name}")


def main() -> int:
    """Run as asked, print, give the exit code."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--room", choices=ROOMS, action="append", help="may be given again; all if left out")
    parser.add_argument("--count", type=int, default=150, help="how many mutants of each room")
    parser.add_argument("--seed", type=int, default=1, help="another seed draws other mutants")
    parser.add_argument(
        "--only",
        action="append",
        default=[],
        metavar="FILE",
        help="a file such as msadraft/figures/dates.py; may be given again",
    )
    parser.add_argument("--keep", action="store_true", help="keep the counts for docs/trust.md")
    parser.add_argument("--json", action="store_true", help="print the counts and the survivors as JSON")
    default = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "msadraft-mutation"
    parser.add_argument("--cache", type=Path, default=default, help="where to keep which tests run which lines")
    asked = parser.parse_args()
    reasons = explained()
    results = [run(room, asked.count, asked.seed, asked.only, asked.cache, reasons) for room in asked.room or ROOMS]
    gone = out_of_date(reasons)
    if asked.keep:
        keep(MUTATION, "room", (result.data() for result in results))
        refresh()
    if asked.json:
        print(json.dumps({"rooms": [result.data() for result in results], "out_of_date": gone}, indent=1))
    else:
        for result in results:
            show(result)
        for entry in gone:
            print(f"survivors.yaml names code that is no longer there: {entry}")
    good = all((result.data()["score"] or 0) >= ENOUGH for result in results)
    contradicted = any(outcome == "explained, but killed" for result in results for _, outcome in result.found)
    return 0 if good and not contradicted and not gone else 1


if __name__ == "__main__":
    sys.exit(main())
