"""Rules about a case that straddles a change of the law: two of its days fall under different versions of one parameter.

The figures take the law of one day, `figures.as_of`. Whatever else has a day of its own (the recorded run, the first
payment, the signatures) may fall on the other side of a change, and then a person has to say which version governs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal

from msadraft.attachments.items import catalogue
from msadraft.figures.spousal_rules import CLOSE
from msadraft.figures.spousal_support import executed_on
from msadraft.law.listing import authority, value_lines
from msadraft.law.parameters import LawNotKnownError, Version, law, versions
from msadraft.review.base import Hit, Review, rule
from msadraft.review.common import ROLES, child_support_decided, party, support_to, topics
from msadraft.review.spousal_support import runs

SUPPORT = (
    "child_support/income_share",
    "child_support/low_income_threshold",
    "child_support/add_on_division",
)
WAGE = "child_support/minimum_wage"
SPOUSAL_TAX = "spousal_support/tax"
TAXES = (
    "tax/federal_income_tax",
    "tax/federal_deductions",
    "tax/federal_child_credits",
    "tax/federal_earned_income_credit",
    "tax/payroll_taxes",
    "tax/california_income_tax",
    "tax/california_deductions",
    "tax/disability_insurance",
)
WATCHED = (*SUPPORT, WAGE, SPOUSAL_TAX, *TAXES)
"""Every parameter whose change in the course of a case is looked for here."""

DAY_BY_DAY = ("dates/judicial_holidays",)
"""Parameters that change and need no watch: each day is counted by the version of its own year."""

MOST_WAGE_RISE, HALF_OF_TEN_CENTS = Decimal("1.035"), Decimal("0.05")
"""The wage rises by 3.5 percent a year at most, then to the nearest ten cents (Lab. Code § 1182.12(c)(1))."""


def _version(name: str, day: date) -> Version | None:
    try:
        return law(name, day)
    except LawNotKnownError:
        return None


def _said(version: Version | None, day: date) -> str:
    """A version in a few words: its value if that is short, else since when and by what it stands."""
    if version is None:
        return "not in the data"
    shown = value_lines(version.value, version.unit, day)
    words = shown[0] if len(shown) == 1 else f"the version in force from {version.in_force_from}"
    return f"{words} ({authority(version)})"


def _differs(name: str, first: date, second: date) -> bool:
    one, other = _version(name, first), _version(name, second)
    if one is None or other is None:
        return one is not other
    return bool(one.value != other.value)


def _label(name: str) -> str:
    return versions(name)[-1].label


def _compared(names: Iterable[str], base: date, day: date) -> list[str]:
    """For each parameter that differs between two days: its name, and both values with their sources."""
    return [
        f"{_label(name)}: on {base} {_said(_version(name, base), base)}; on {day} {_said(_version(name, day), day)}."
        for name in names
        if _differs(name, base, day)
    ]


@rule(
    "law.support_rule",
    "warn",
    message="The law of child support changed between two days of this case.",
    why="The figures take the law of one day, and each month of support falls under the law then in force",
    source="Fam. Code § 4; running each month under its own version is common practice",
    mend="Run the guideline for each side of the change and say in a special term which amount is due for which months, or move the day.",
)
def support_rule(review: Review) -> Iterator[Hit]:
    if not child_support_decided(review):
        return
    support, base = review.facts.child_support, review.figures.as_of
    for path, day in (
        ("child_support.guideline_on", support.guideline_on),
        ("child_support.starts_on", support.starts_on),
        ("child_support.retroactive_from", support.retroactive_from),
    ):
        found = _compared(SUPPORT, base, day) if day else []
        if found:
            yield Hit(path, " ".join(found))


@rule(
    "law.minimum_wage",
    "note",
    message="The minimum wage, and with it the low-income threshold, changes between two days of this case.",
    why="Whether the payer is presumed entitled to the low-income adjustment, and its range, follow the wage in force",
    source="Fam. Code § 4055(b)(7); Lab. Code § 1182.12",
    mend="Look up the wage for that day and run the guideline with it, or let support begin before the change.",
)
def minimum_wage(review: Review) -> Iterator[Hit]:
    low = review.figures.child_support.low_income if child_support_decided(review) else None
    if low is None:
        return
    support, base = review.facts.child_support, review.figures.as_of
    here = _version(WAGE, base)
    for path, day in (
        ("child_support.starts_on", support.starts_on),
        ("child_support.retroactive_from", support.retroactive_from),
    ):
        if day is None or here is None or not (_by_wage(base) and _by_wage(day)) or not _differs(WAGE, base, day):
            continue
        there = _version(WAGE, day)
        wage = there.number if there else _most_wage(here.number, day.year - base.year)
        if low.payer_net < low.threshold * max(wage / here.number, Decimal(1)):
            yield Hit(path, _compared((WAGE,), base, day)[0])


def _by_wage(day: date) -> bool:
    """Whether the low-income threshold of a day follows the minimum wage."""
    threshold = _version("child_support/low_income_threshold", day)
    return threshold is not None and threshold.value == "minimum_wage"


def _most_wage(wage: Decimal, years: int) -> Decimal:
    """The most that the wage can be after some years, dollars an hour."""
    for _ in range(max(years, 1)):
        wage = wage * MOST_WAGE_RISE + HALF_OF_TEN_CENTS
    return wage


@rule(
    "law.tax_year",
    "note",
    message="The net incomes are estimated with the taxes of one year, and support begins in another.",
    why="Brackets, deductions and rates change every year, and with them net income and guideline support",
    source="Fam. Code § 4059(a)",
    mend="Estimate again once the figures of that year are known, or give net_monthly_income from a worksheet for that year.",
)
def tax_year(review: Review) -> Iterator[Hit]:
    starts = review.facts.child_support.starts_on
    if starts is None or not child_support_decided(review):
        return
    found = review.figures.child_support
    if found.petitioner_estimate is None and found.respondent_estimate is None:
        return
    base = review.figures.as_of
    changed = [name for name in TAXES if _taxed_otherwise(name, base, starts)]
    if not changed or starts.year == base.year:
        return
    unknown = [_label(name) for name in changed if _version(name, starts) is None]
    other = [_label(name) for name in changed if _version(name, starts) is not None]
    sources = "; ".join(dict.fromkeys(versions(name)[-1].source for name in changed))
    parts = [f"The figures take {base.year}; support begins on {starts}."]
    parts += [f"Other values on that day: {'; '.join(other)}."] if other else []
    parts += [f"Not in the data for that day: {'; '.join(unknown)}."] if unknown else []
    yield Hit("child_support.starts_on", f"{' '.join(parts)} Sources: {sources}.")


def _taxed_otherwise(name: str, base: date, day: date) -> bool:
    """Whether the estimate would be another on `day`; for a year that the data lack it takes the last one that they have."""
    used, there = _version(name, base) or versions(name)[-1], _version(name, day)
    if there is None:
        return _version(name, base) is not None
    return bool(used.value != there.value)


@rule(
    "law.spousal_tax",
    "warn",
    message="The income-tax rule for spousal support changes between days of this case.",
    why="The rule goes by the day on which the instrument was executed, and whether that is the signing or the entry of judgment is open to argument",
    source="Pub. L. 115-97, § 11051(c); Stats. 2025, ch. 231 (SB 711)",
    mend="Sign and enter on one side of the change if that can be done; otherwise ask a tax adviser and state the rule in the agreement.",
)
def spousal_tax(review: Review) -> Iterator[Hit]:
    facts = review.facts
    payable = [one for role in ROLES if runs(one := support_to(facts, role)) and one.tax_rule == "current"]
    if review.figures.true_default or not payable:
        return
    base = executed_on(facts, review.figures.as_of)
    signed = [(f"{role}.signed_on", party(facts, role).signed_on) for role in ROLES]
    days = [*signed, ("case.signing_on", facts.case.signing_on), ("case.effective_on", facts.case.effective_on)]
    crossed = [(path, day) for path, day in days if day and _differs(SPOUSAL_TAX, base, day)]
    for path, day in crossed:
        yield Hit(path, _compared((SPOUSAL_TAX,), base, day)[0])
    after = base + CLOSE
    if not crossed and _differs(SPOUSAL_TAX, base, after):
        at = next((path for path, day in days if day == base), "case.signing_on")
        change = next(v for v in versions(SPOUSAL_TAX) if base < v.in_force_from <= after).in_force_from
        yield Hit(at, f"Judgment may be entered after the change. {_compared((SPOUSAL_TAX,), base, change)[0]}")


@rule(
    "law.form_printing",
    "warn",
    message="A court form has another printing on a later day of this case.",
    why="The clerk takes the printing in force on the day of filing, and item numbers move between printings",
    source="common practice; the printings known stand in the form data",
    mend="Look at the footer of the form in hand, and name its printing in case.form_revisions if it is not the latest.",
)
def form_printing(review: Review) -> Iterator[Hit]:
    case, base = review.facts.case, review.figures.as_of
    days = [
        (path, day)
        for path, day in (("case.effective_on", case.effective_on), ("case.status_on", case.status_on))
        if day and day > base
    ]
    if case.packaging == "agreement_only" or not days:
        return
    answered, data = topics(review), catalogue()
    named = {choice.form for choice in case.form_revisions}
    for form in dict.fromkeys(edition.form for edition in data.editions):
        if form in named or not answered.intersection(t for i in data.edition(form).items for t in i.topics):
            continue
        for path, day in days:
            before, after = data.edition(form, on=base), data.edition(form, on=day)
            if before is not after:
                yield Hit(
                    path,
                    f"{form}: the printing of {before.revision} on {base}, that of {after.revision} on {day}; "
                    f"the packet uses that of {data.edition(form).revision}. {after.source}.",
                )
