"""How long a parenting calendar takes: eighteen years with twenty holidays, and how it grows with the years.

Run it as `python tests/benchmarks/bench_parenting.py`. The aim is 250 ms for eighteen years; the ratios between spans
mean more than the milliseconds, which depend on the machine.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from figures.parenting_case import CHILDREN, case, holiday  # noqa: E402

from msadraft.figures.parenting.from_facts import read_plans  # noqa: E402
from msadraft.figures.parenting.measures import measure  # noqa: E402
from msadraft.figures.parenting.plan import Plan, lay_out_days  # noqa: E402
from msadraft.figures.parenting.summary import parenting_time  # noqa: E402
from msadraft.writers.calendar import Names, write_ics, write_year_svg  # noqa: E402

ROUNDS = 7
AIM_MILLISECONDS = 250
FIRST = 2027
NAMED = (
    "new_years_eve", "martin_luther_king_day", "presidents_day", "cesar_chavez_day", "easter", "passover", "mothers_day",
    "memorial_day", "juneteenth", "fathers_day", "independence_day", "labor_day", "rosh_hashanah", "yom_kippur", "halloween",
    "veterans_day", "thanksgiving", "lunar_new_year", "eid_al_fitr",
)  # fmt: skip


def facts() -> Any:
    """A 2-2-5-5 rotation with twenty holidays, two breaks with their dates, vacations and free Mondays for eighteen years."""
    rules = ("petitioner_even", "petitioner_odd", "petitioner_always", "respondent_always")
    holidays: dict[str, Any] = {
        name: holiday(rules[n % 4], named_day=name, starts_days_before="1", ends_days_after="1")
        for n, name in enumerate(NAMED)
    }
    years = range(FIRST, FIRST + 18)
    winter = [{"starts_on": date(year, 12, 18), "ends_on": date(year + 1, 1, 4)} for year in years]
    spring = [{"starts_on": date(year, 3, 26), "ends_on": date(year, 4, 5)} for year in years]
    holidays["winter"] = {
        "rule": "halves",
        "first_half_even": "petitioner",
        "window": {"dates": winter, "halves_meet": {"at": "middle_day"}},
    }
    holidays["spring"] = {"rule": "petitioner_even", "window": {"dates": spring}}
    chosen = [
        {"parent": parent, "starts_on": date(year, 7, day), "ends_on": date(year, 7, day) + timedelta(days=14)}
        for year in years
        for parent, day in (("petitioner", 1), ("respondent", 16))
    ]
    blocks = [
        {"week": "1", "from_day": "monday", "to_day": "wednesday", "parent": "petitioner"},
        {"week": "1", "from_day": "wednesday", "to_day": "friday", "parent": "respondent"},
        {"week": "1", "from_day": "friday", "to_week": "2", "to_day": "wednesday", "parent": "petitioner"},
        {"week": "2", "from_day": "wednesday", "to_week": "1", "to_day": "monday", "parent": "respondent"},
    ]
    return case(
        blocks=blocks, holidays=holidays, vacation={"chosen": chosen},
        days_without_school=["indigenous_peoples_day", "native_american_day", "lincoln_day"],
    )  # fmt: skip


def milliseconds(work: Callable[[], object]) -> float:
    """Median of some rounds."""
    taken = []
    for _ in range(ROUNDS):
        begin = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begin)
    return 1000 * statistics.median(taken)


def years(plan: Plan, count: int) -> Any:
    """A span of whole years, laid out and measured."""
    timeline = lay_out_days(plan, date(FIRST, 1, 1), date(FIRST + count - 1, 12, 31))
    return timeline, measure(timeline, plan)


def main() -> int:
    """Print the times and ratios. Exit code 0."""
    given = facts()
    plan = read_plans(given, CHILDREN).plans[0].plan
    assert plan is not None
    print(f"{'years':>6} {'stays':>7} {'ms':>8} {'ms a year':>10}")
    for count in (1, 2, 6, 18):
        taken = milliseconds(lambda count=count: years(plan, count))  # type: ignore[misc]
        timeline, found = years(plan, count)
        print(f"{count:>6} {len(timeline.stays):>7} {taken:>8.1f} {taken / count:>10.2f}")
    print(f"18 years: {taken:.0f} ms of {AIM_MILLISECONDS}; respondent {found.respondent.percent()}%")
    summary = milliseconds(lambda: parenting_time(given, CHILDREN, date(2026, 11, 20)))
    print(f"figures of the case, two years, facts to percentages: {summary:.1f} ms")
    names = Names("Ada", "Ben", "Wren and Robin")
    timeline, _ = years(plan, 2)
    print(f"picture of a year: {milliseconds(lambda: write_year_svg(timeline, FIRST, names)):.1f} ms")
    written = milliseconds(lambda: write_ics(timeline, "petitioner", names, case="mark", stamp=date(2026, 11, 20)))
    print(f"calendar file of two years: {written:.1f} ms")
    return 0


if __name__ == "__main__":
    sys.exit(main())
