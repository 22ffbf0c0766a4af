"""How long the marriage lasted, the ten-year line, and half of its length: what spousal support looks at.

The length runs from the wedding (or an earlier registration of a partnership, Fam. Code § 297.5) to the date of separation
(Fam. Code §§ 70, 4336(b)), not to filing or judgment. Half of it is a general guide for a marriage that was not long, no rule
(§ 4320(l)); the statute gives it no first day, so the agreement has to.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from msadraft.facts.model import Facts
from msadraft.facts.people import Marriage
from msadraft.figures.counting import ONE_DAY, CountingError, add_months, counted, written
from msadraft.figures.dates import Span, span
from msadraft.figures.figure import Figure, Step
from msadraft.law.parameters import LawNotKnownError, law

SUMMARY_LONGEST_MONTHS = 60
"""Fam. Code § 2400(a)(4): not more than five years to the date of separation."""

NEAR_THE_LINE = timedelta(days=31)
DAYS_FOR_HALF_A_MONTH = 15
"""Half of a month left over when the months are an odd number (common practice)."""

STARTED, REGISTERED, SEPARATED = "marriage.married_on", "marriage.partnership_registered_on", "marriage.separated_on"


@dataclass(frozen=True, slots=True)
class MarriageLength:
    """The length of a marriage.

    `look_again` is True within 31 days of the ten-year line, where the date of separation decides much. `five_years` is the
    length that the summary process allows (Fam. Code § 2400(a)(4)).
    """

    started_on: date
    separated_on: date
    length: Span
    days: int
    ten_years_on: date
    long: bool
    look_again: bool
    five_years: bool
    figure: Figure


@dataclass(frozen=True, slots=True)
class HalfLength:
    """Half of a marriage's length, counted three ways, as terms that begin on the same day.

    Each `..._on` is the first day after the term; the day before it is the last of the term. By months: whole months
    halved, 15 days for half a month left over. By months and days: the odd days halved too, rounded down. By days: all
    days halved, rounded down.
    """

    starts_on: date
    half_months: int
    half_days: int
    by_months_on: date
    by_months_and_days_on: date
    by_days_on: date
    figure: Figure

    @property
    def last_day(self) -> date:
        """The last day of the term by months."""
        return self.by_months_on - ONE_DAY


def marriage_start(marriage: Marriage) -> date:
    """The day from which the marriage counts: an earlier registered partnership counts with it (Fam. Code § 297.5)."""
    registered = marriage.partnership_registered_on
    return min(marriage.married_on, registered) if registered else marriage.married_on


def marriage_length(
    started_on: date, separated_on: date, facts: tuple[str, ...] = (STARTED, SEPARATED)
) -> MarriageLength:
    """Count the marriage from its first day to the date of separation.

    Raises:
        CountingError: the separation lies before the wedding.
        LawNotKnownError: the separation is older than the law data.
    """
    if separated_on < started_on:
        raise CountingError(
            f"the separation ({separated_on}) lies before the marriage ({started_on}); correct one of the two"
        )
    line = law("spousal_support/long_marriage", separated_on)
    length, days = span(started_on, separated_on), (separated_on - started_on).days
    ten_years_on = add_months(started_on, int(line.number))
    long = separated_on >= ten_years_on
    look_again = abs(separated_on - ten_years_on) <= NEAR_THE_LINE
    steps = (
        Step(
            "Whole months", f"{written(started_on)} to {written(separated_on)}",
            f"{counted(length.months, 'month')} and {counted(length.days, 'day')} ({counted(length.years, 'year')}, {counted(length.months_over, 'month')}, "
            f"{counted(length.days, 'day')}; {counted(days, 'day')} in all)",
            "Fam. Code §§ 70, 4336(b)",
        ),
        Step("Ten-year line", f"{written(started_on)} + {line.number} months", written(ten_years_on), line.source),
        Step(
            "Long duration presumed", f"{written(separated_on)} is {'on or after' if long else 'before'} {written(ten_years_on)}",
            "yes" if long else "no", line.source,
        ),
    )  # fmt: skip
    cautions = []
    if look_again:
        gap = (separated_on - ten_years_on).days
        cautions.append(f"The separation is {_distance(gap)} the ten-year line; confirm the date of separation.")
    if ten_years_on.day != started_on.day:
        cautions.append(
            f"There is no {written(started_on).split(', ')[1]} in {ten_years_on.year}; the line was set on the last day of that month."
        )
    if not long:
        cautions.append("A court may find a shorter marriage to be of long duration (Fam. Code § 4336(b)).")
    return MarriageLength(
        started_on,
        separated_on,
        length,
        days,
        ten_years_on,
        long,
        look_again,
        separated_on <= add_months(started_on, SUMMARY_LONGEST_MONTHS),
        Figure("marriage_length", length.months, "months", steps, facts, tuple(cautions)),
    )


def _distance(days: int) -> str:
    if days == 0:
        return "on the day of"
    return f"{counted(abs(days), 'day')} {'after' if days > 0 else 'before'}"


def half_length(marriage: MarriageLength, starts_on: date, facts: tuple[str, ...] = ()) -> HalfLength:
    """Half of the marriage's length as a term from `starts_on`, counted three ways (Fam. Code § 4320(l))."""
    months, left = divmod(marriage.length.months, 2)
    half_month = DAYS_FOR_HALF_A_MONTH if left else 0
    odd_days = marriage.length.days // 2
    half_days = marriage.days // 2
    after_months = add_months(starts_on, months)
    by_months = after_months + timedelta(days=half_month)
    by_both = by_months + timedelta(days=odd_days)
    by_days = starts_on + timedelta(days=half_days)
    extra = f" and {half_month} days" if left else ""
    guide = "Fam. Code § 4320(l); the counting is common practice"
    steps = (
        Step(
            "By months",
            f"{marriage.length.months} / 2 = {counted(months, 'month')}{extra}, from {written(starts_on)}",
            f"through {written(by_months - ONE_DAY)}",
            guide,
        ),
        Step(
            "By months and days",
            f"{counted(months, 'month')} and {half_month} + {marriage.length.days} / 2 = {half_month + odd_days} days, from {written(starts_on)}",
            f"through {written(by_both - ONE_DAY)}",
            guide,
        ),
        Step(
            "By days",
            f"{marriage.days:,} / 2 = {half_days:,} days, from {written(starts_on)}",
            f"through {written(by_days - ONE_DAY)}",
            guide,
        ),
    )
    cautions = [
        "Half the length is a general guide, not a rule; a court may order a shorter or longer term (Fam. Code § 4320(l))."
    ]
    if marriage.long:
        cautions.append("The guide of half the length is for marriages that are not of long duration.")
    figure = Figure("half_length", by_months - ONE_DAY, "date", steps, facts, tuple(cautions))
    return HalfLength(starts_on, months, half_month + odd_days, by_months, by_both, by_days, figure)


def case_marriage_length(facts: Facts) -> MarriageLength | Figure:
    """The length of the case's marriage; or, if its dates do not fit, a figure without value whose caution says why."""
    marriage = facts.marriage
    paths = (STARTED, REGISTERED, SEPARATED) if marriage.partnership_registered_on else (STARTED, SEPARATED)
    try:
        return marriage_length(marriage_start(marriage), marriage.separated_on, paths)
    except (CountingError, LawNotKnownError) as error:
        return Figure("marriage_length", None, "months", (), paths, (f"{error}.",))
