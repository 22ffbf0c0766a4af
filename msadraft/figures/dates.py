"""Lengths of time: the marriage, ages, and the first day on which status can end."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from msadraft.facts.case import Case
from msadraft.facts.people import Child
from msadraft.figures import procedure
from msadraft.figures.counting import STATEWIDE, CourtCalendar, add_months, whole_months
from msadraft.law.parameters import LawNotKnownError


@dataclass(frozen=True, slots=True)
class Span:
    """Whole months, and the days left over, between two dates."""

    months: int
    days: int

    @property
    def years(self) -> int:
        """Whole years."""
        return self.months // 12

    @property
    def months_over(self) -> int:
        """Months beyond the whole years."""
        return self.months % 12


def span(start: date, end: date) -> Span:
    """Count whole calendar months from `start` to `end`, and the days left over. Negative spans count as nothing.

    A month that is too short for the day ends on its last day (Civ. Code § 14; common practice).
    """
    if end < start:
        return Span(0, 0)
    months = whole_months(start, end)
    return Span(months, (end - add_months(start, months)).days)


def age(born_on: date, day: date) -> int:
    """Age in whole years on `day`; a child born on 29 February grows older on 1 March in common years."""
    if day < born_on:
        return 0
    years = day.year - born_on.year
    return years if birthday(born_on, years) <= day else years - 1


def birthday(born_on: date, years: int) -> date:
    """The day on which somebody turns `years`; 29 February turns on 1 March in common years (Fam. Code § 6500; common practice)."""
    try:
        return born_on.replace(year=born_on.year + years)
    except ValueError:
        return date(born_on.year + years, 3, 1)


def jurisdiction_day(case: Case) -> date | None:
    """The day on which the six months begin: service or appearance, whichever is first; filing of a joint petition.

    Source: Fam. Code §§ 2339, 2342.5.
    """
    if case.path == "joint_petition":
        return case.petition_filed_on
    days = [day for day in (case.served_on, case.response_filed_on, case.appearance_on) if day]
    return min(days) if days else None


def earliest_status(case: Case) -> date | None:
    """The first day on which status may end: the day after six months from `jurisdiction_day`.

    Source: Fam. Code § 2339(a). A month without that day counts to its last day (Civ. Code § 14, common practice). The
    day does not move off a weekend or holiday. The counting is shown by `procedure.status_from`.
    """
    start = jurisdiction_day(case)
    if start is None:
        return None
    try:
        return _day(procedure.status_from(served_on=start).value)
    except LawNotKnownError:
        return None


def earliest_default(case: Case, calendar: CourtCalendar = STATEWIDE) -> date | None:
    """The first court day on which default may be requested, after the last day to respond.

    The respondent has 30 days from completed service (Fam. Code § 2020); a last day on a weekend or court holiday moves
    to the next court day (Code Civ. Proc. §§ 12, 12a, 135). The counting is shown by `procedure.default_from`.
    """
    if case.served_on is None:
        return None
    try:
        return _day(procedure.default_from(case.served_on, calendar).value)
    except LawNotKnownError:
        return None


def _day(value: object) -> date | None:
    return value if isinstance(value, date) else None


def support_end(child: Child) -> date | None:
    """The day on which the duty to support a child ends by law.

    At 18; or, for a full-time high-school student who is not married, when 12th grade ends or at 19, whichever is
    first (Fam. Code § 3901). An unknown end of 12th grade is taken as 15 June (common practice) of the year that
    follows from entering school at five by 1 September (Educ. Code § 48000(a), from memory): a child who turns 18 by
    1 September finishes in June of that year, a later one in June of the next. The facts can correct it.
    """
    if child.born_on is None:
        return None
    adult, last = birthday(child.born_on, 18), birthday(child.born_on, 19)
    if not child.full_time_student:
        return adult
    young = (adult.month, adult.day) <= (9, 1)
    school_ends = child.graduates_on or date(adult.year if young else adult.year + 1, 6, 15)
    return adult if school_ends <= adult else min(school_ends, last)
