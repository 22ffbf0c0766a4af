"""How long the figures take: eighteen years of calendar, all figures of the largest case, a workbook, and how each grows.

Run it as `python tests/benchmarks/bench_figures.py`. Aims: eighteen years under 250 ms, the figures of the largest
scenario under 50 ms once warm, a workbook of 500 assets under 1,000 ms. The ratios mean more than the milliseconds,
which depend on the machine: doubling the years or the assets should double the time. Exit code 1 if an aim is missed.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "benchmarks")]

from bench_parenting import facts as calendar_facts  # noqa: E402
from figures.parenting_case import CHILDREN  # noqa: E402
from support.scenarios import ROUNDS, facts_file  # noqa: E402
from writers.workbook_cases import many_accounts  # noqa: E402

from msadraft.facts.load import read_case  # noqa: E402
from msadraft.facts.model import Facts  # noqa: E402
from msadraft.figures.compute import compute  # noqa: E402
from msadraft.figures.everything import all_figures  # noqa: E402
from msadraft.figures.parenting.from_facts import read_plans  # noqa: E402
from msadraft.figures.parenting.measures import measure  # noqa: E402
from msadraft.figures.parenting.plan import Plan, lay_out_days  # noqa: E402
from msadraft.writers.figures import screen_lines  # noqa: E402
from msadraft.writers.workbook import write_workbook  # noqa: E402

ROUNDS_TIMED = 7
FIRST = 2027
CALENDAR_AIM, FIGURES_AIM, WORKBOOK_AIM = 250, 50, 1000


def milliseconds(work: Callable[[], object]) -> float:
    """Median of some rounds, after one that warms up."""
    work()
    taken = []
    for _ in range(ROUNDS_TIMED):
        begin = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begin)
    return 1000 * statistics.median(taken)


def calendar(plan: Plan, years: int) -> None:
    """Lay out and measure whole years."""
    measure(lay_out_days(plan, date(FIRST, 1, 1), date(FIRST + years - 1, 12, 31)), plan)


def everything(facts: Facts) -> int:
    """Work out every figure; gives the number of lines of the working."""
    return len(screen_lines(all_figures(facts, compute(facts))))


def growth(title: str, sizes: tuple[int, ...], work: Callable[[int], object]) -> float:
    """Print the time of each size and its ratio to the one before; gives the last time."""
    print(f"{title}\n{'size':>8} {'ms':>9} {'ms for one':>11} {'times the last':>15}")
    before, taken = 0.0, 0.0
    for size in sizes:
        taken = milliseconds(lambda size=size: work(size))  # type: ignore[misc]
        ratio = f"{taken / before:.2f}" if before else ""
        print(f"{size:>8} {taken:>9.1f} {taken / size:>11.3f} {ratio:>15}")
        before = taken
    return taken


def main() -> int:
    """Print the times and ratios. Exit code 0 if all aims are met."""
    plan = read_plans(calendar_facts(), CHILDREN).plans[0].plan
    assert plan is not None
    years = growth("years of calendar, with 22 holidays and breaks", (1, 2, 4, 9, 18), lambda n: calendar(plan, n))

    cases = {f"{name} {n}": read_case(facts_file(name, n)).facts for name, n in ROUNDS}
    largest = max(cases, key=lambda name: everything(cases[name]))
    warm = milliseconds(lambda: everything(cases[largest]))
    print(f"\nall figures of {largest}, {everything(cases[largest])} lines of working, warm: {warm:.1f} ms")

    books = {n: many_accounts(n) for n in (62, 125, 250, 500)}
    print()
    growth("assets: figures", tuple(books), lambda n: compute(books[n]).ledger)
    known = {n: compute(facts) for n, facts in books.items()}
    print()
    book = growth("assets: workbook", tuple(books), lambda n: write_workbook(books[n], known[n]))

    print()
    missed = 0
    for what, taken, aim in (
        ("18 years of calendar", years, CALENDAR_AIM),
        ("figures of the largest scenario", warm, FIGURES_AIM),
        ("workbook of 500 assets", book, WORKBOOK_AIM),
    ):
        missed += taken > aim
        print(f"{what}: {taken:.0f} ms, aim {aim} ms: {'met' if taken <= aim else 'MISSED'}")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
