"""Child support figures of a case: reads the facts, runs the computations, and says what could not be worked out.

Net incomes: those of the recorded run, else those of the parties, else an estimate from gross income taken as wages.
Times: those handed in from a calendar, else those of the recorded run. The law is that of the day handed in. Whatever
is missing or cannot be used becomes a figure without a value whose caution says why.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from msadraft.facts.model import Facts
from msadraft.facts.people import Party
from msadraft.facts.scalars import PartyRole
from msadraft.figures.addons import (
    PARTIES,
    AddOnInput,
    AddOnShares,
    CostShare,
    Payment,
    add_on_shares,
    divide_cost,
    divide_cost_at,
)
from msadraft.figures.child_support import ChildTime, Guideline, Run, guideline
from msadraft.figures.dates import age, earliest_status, support_end
from msadraft.figures.deviation import Deviation, deviation
from msadraft.figures.figure import Figure, Step
from msadraft.figures.health_premium import PremiumTest, premium_test
from msadraft.figures.income_tax import Household, Status
from msadraft.figures.low_income import LowIncome, low_income
from msadraft.figures.net_income import NetIncome, net_income
from msadraft.figures.support_amounts import ESTIMATE, SupportInputError, dollars, other, percent
from msadraft.figures.support_arrears import DAYS_A_YEAR, daily_interest, interest_rate
from msadraft.figures.support_arrears import SOURCE as INTEREST_SOURCE
from msadraft.figures.support_duration import Duration, duration
from msadraft.law.parameters import LawNotKnownError

CALIFORNIA_ALIMONY_END = date(2026, 1, 1)
"""Spousal support of an agreement executed from this day has no California income tax effect (Stats. 2025, ch. 231)."""
PERCENT_SLACK = Decimal("0.01")
"""Two percentages that were each rounded to two decimals may miss 100 by this much."""
CREDIT_AGE, DEPENDENT_AGE = 17, 19
"""A child is under 17 for the child tax credit (I.R.C. § 24(c)), and under 19 for a qualifying child (§ 152(c)(3))."""


@dataclass(frozen=True, slots=True)
class AddOnCost:
    """One added cost of the facts that has a monthly amount, divided as agreed and by net income."""

    index: int
    kind: str
    cost: Decimal
    agreed: CostShare | None
    by_income: CostShare | None


@dataclass(frozen=True, slots=True)
class ChildSupportFigures:
    """Everything about child support that follows from the facts. A part is None where it does not arise or is not known.

    `figures` has the working of every part in order, and a figure without a value for each part that is missing something.
    """

    day: date
    petitioner_net: Decimal | None
    respondent_net: Decimal | None
    petitioner_estimate: NetIncome | None
    respondent_estimate: NetIncome | None
    guideline: Guideline | None
    low_income: LowIncome | None
    deviation: Deviation | None
    add_ons: AddOnShares | None
    add_on_costs: tuple[AddOnCost, ...]
    premium: PremiumTest | None
    duration: Duration | None
    arrears_a_day: Decimal | None
    figures: tuple[Figure, ...]


def child_support_figures(
    facts: Facts,
    *,
    day: date,
    children: tuple[str, ...],
    petitioner_time: Mapping[str, Decimal] | None = None,
) -> ChildSupportFigures:
    """Work out the child support of a case.

    Args:
        facts: the case.
        day: the day of the order, which chooses the law and the tax year.
        children: short names of the supported children, in any order.
        petitioner_time: percentage of time with the petitioner, by child, from a calendar of the parenting plan.
    """
    return _Working(facts, day, children, petitioner_time).result()


def filing_status(facts: Facts, party: PartyRole, year: int, percent_with_party: Decimal | None) -> Status | None:
    """The status in which a parent will file for a year; None for a joint return of the two parents.

    Status is judged on 31 December. Head of household: the parent so named in the facts, else the one with more than half of
    the time; somebody still married must have lived apart for the last six months of the year (I.R.C. § 7703(b), from memory).
    """
    case, last = facts.case, date(year, 12, 31)
    if any(entry.year == year and entry.status == "joint" for entry in facts.taxes.filing):
        return None
    if case.status_ended_on is not None:
        married = case.status_ended_on > last
    elif case.status_mode == "not_ended":
        married = True
    else:
        ends = case.status_on if case.status_mode == "on_date" and case.status_on else earliest_status(case)
        married = ends is not None and ends > last
    named = facts.taxes.head_of_household
    most_time = percent_with_party is not None and percent_with_party > 50
    head = named in (party, "both") if named else most_time
    if head and (not married or facts.marriage.separated_on <= date(year, 6, 30)):
        return "head_of_household"
    return "separate" if married else "single"


class _Working:
    """The working of one case, part by part; each part notes its figure or why there is none."""

    def __init__(
        self, facts: Facts, day: date, children: tuple[str, ...], petitioner_time: Mapping[str, Decimal] | None
    ) -> None:
        self.facts, self.day, self.given_time = facts, day, petitioner_time
        self.support, self.inputs = facts.child_support, facts.child_support.guideline_inputs
        # Youngest first, a child not yet born before all; twins by name.
        born = {key: facts.children[key].born_on or date.max for key in sorted(children)}
        self.children = tuple(sorted(born, key=lambda key: born[key], reverse=True))
        self.figures: list[Figure] = []
        self.run_facts: list[str] = []

    def result(self) -> ChildSupportFigures:
        nets: dict[PartyRole, Decimal | None] = {"petitioner": None, "respondent": None}
        estimates: dict[PartyRole, NetIncome | None] = {"petitioner": None, "respondent": None}
        found = low = compared = shares = stages = premium = None
        costs: tuple[AddOnCost, ...] = ()
        if self.children:
            for role in PARTIES:
                nets[role], estimates[role] = self.net(role)
            found = self.guideline(nets["petitioner"], nets["respondent"])
            low = self.low_income(found)
            compared = self.deviation(found, low)
            shares = self.add_ons(found, nets["petitioner"], nets["respondent"])
            costs = self.costs(shares)
            premium = self.premium(low)
            stages = self.duration(found)
        return ChildSupportFigures(
            self.day, nets["petitioner"], nets["respondent"], estimates["petitioner"], estimates["respondent"], found,
            low, compared, shares, costs, premium, stages, self.arrears(), tuple(self.figures),
        )  # fmt: skip

    def note(self, figure: Figure, *paths: str) -> None:
        """Keep a figure, with the facts that it rests on."""
        self.figures.append(replace(figure, facts=tuple(dict.fromkeys(paths))))

    def missing(self, name: str, unit: str, why: str, *paths: str) -> None:
        """Keep a figure without a value."""
        self.note(Figure(name, None, unit, cautions=(f"Not worked out: {why}.", ESTIMATE)), *paths)

    def party(self, role: PartyRole) -> Party:
        return self.facts.petitioner if role == "petitioner" else self.facts.respondent

    def gross(self, role: PartyRole) -> tuple[Decimal | None, str]:
        """Gross income a month and its path: of the recorded run, else of the party."""
        recorded = getattr(self.inputs, f"{role}_gross", None)
        if recorded is not None:
            return recorded, f"child_support.guideline_inputs.{role}_gross"
        return self.party(role).gross_monthly_income, f"{role}.gross_monthly_income"

    def net(self, role: PartyRole) -> tuple[Decimal | None, NetIncome | None]:
        recorded = getattr(self.inputs, f"{role}_net", None)
        stated = self.party(role).net_monthly_income
        name, unit, source = f"Net disposable income of the {role}", "dollars a month", "Fam. Code §§ 4059, 4060"
        for value, path in (
            (recorded, f"child_support.guideline_inputs.{role}_net"),
            (stated, f"{role}.net_monthly_income"),
        ):
            if value is not None:
                self.run_facts.append(path)
                self.note(
                    Figure(name, value, unit, (Step(name, "as given", dollars(value), source),), cautions=(ESTIMATE,)),
                    path,
                )
                return value, None
        gross, path = self.gross(role)
        if gross is None:
            self.missing(
                name, unit, f"neither net nor gross income of the {role} is given", f"{role}.net_monthly_income", path
            )
            return None, None
        try:
            estimate = self.estimate(role, gross)
        except (SupportInputError, LawNotKnownError) as error:
            self.missing(name, unit, str(error), path)
            return None, None
        self.run_facts.append(path)
        figure = replace(
            estimate.figure,
            name=f"{name}, estimated",
            cautions=(
                *estimate.figure.cautions,
                "All gross income is taken as wages, and filing status and dependents are assumed from the facts.",
            ),
        )
        self.note(figure, path, "taxes.head_of_household", "taxes.dependents", "taxes.filing")
        return estimate.monthly, estimate

    def estimate(self, role: PartyRole, gross: Decimal) -> NetIncome:
        year = self.day.year
        share = self.average_with(role)
        status = filing_status(self.facts, role, year, share)
        if status is None:
            raise SupportInputError(
                f"the parents file jointly for {year}, so the tax of one cannot be told apart; give net_monthly_income"
            )
        younger = older = 0
        for key in self.children:
            born = self.facts.children[key].born_on
            if born is None or not self.claims(role, key, year, share):
                continue
            years = age(born, date(year, 12, 31))
            younger, older = younger + (years < CREDIT_AGE), older + (CREDIT_AGE <= years < DEPENDENT_AGE)
        return net_income(Household(year, status, gross * 12, children_under_17=younger, older_children=older))

    def claims(self, role: PartyRole, key: str, year: int, share: Decimal | None) -> bool:
        """Whether a parent claims a child for a year: as agreed, else the one with more than half of the time."""
        agreed = [
            entry
            for entry in self.facts.taxes.dependents
            if entry.child == key
            and (entry.from_year is None or entry.from_year <= year)
            and entry.years in ("every", "even" if year % 2 == 0 else "odd")
            and entry.claimant is not None
        ]
        if agreed:
            return all(entry.claimant == role for entry in agreed)
        return share is not None and share > 50

    def times(self) -> tuple[ChildTime, ...]:
        """The time of each child with the petitioner.

        Raises:
            SupportInputError: it is not known, or the two percentages contradict each other.
        """
        if self.given_time is not None:
            left_out = [key for key in self.children if key not in self.given_time]
            if left_out:
                raise SupportInputError(f"the share of time is not known for {', '.join(left_out)}")
            return tuple(ChildTime(key, self.given_time[key]) for key in self.children)
        mine = self.inputs.petitioner_time_percent if self.inputs else None
        theirs = self.inputs.respondent_time_percent if self.inputs else None
        if mine is None and theirs is None:
            raise SupportInputError("the children's share of time with each parent is not given")
        if mine is not None and theirs is not None and abs(mine + theirs - 100) > PERCENT_SLACK:
            raise SupportInputError(f"the shares of time, {mine} and {theirs} percent, do not add up to 100")
        share = mine if mine is not None else 100 - (theirs or Decimal(0))
        return tuple(ChildTime(key, share) for key in self.children)

    def average_with(self, role: PartyRole) -> Decimal | None:
        try:
            times = self.times()
        except SupportInputError:
            return None
        mine = sum((entry.petitioner_percent for entry in times), Decimal(0)) / len(times)
        return mine if role == "petitioner" else 100 - mine

    def guideline(self, petitioner_net: Decimal | None, respondent_net: Decimal | None) -> Guideline | None:
        name, unit = "Guideline child support", "dollars a month"
        time_paths = (
            tuple(f"child_support.guideline_inputs.{role}_time_percent" for role in PARTIES)
            if self.given_time is None
            else ("parenting",)
        )
        paths = (*self.run_facts, *time_paths, *(f"children.{key}.born_on" for key in self.children))
        if petitioner_net is None or respondent_net is None:
            self.missing(name, unit, "the net income of a parent is not known", *paths)
            return None
        try:
            found = guideline(Run(self.day, petitioner_net, respondent_net, self.times()))
        except (SupportInputError, LawNotKnownError) as error:
            self.missing(name, unit, str(error), *paths)
            return None
        figure = found.figure
        if self.inputs and self.inputs.hardship:
            figure = replace(
                figure,
                cautions=(
                    *figure.cautions,
                    "The hardship deduction is taken to be already inside the net incomes given.",
                ),
            )
        self.note(figure, *paths)
        self.note(found.shares_figure, *paths)
        self.run_facts = list(paths)
        return found

    def low_income(self, found: Guideline | None) -> LowIncome | None:
        if found is None:
            return None
        try:
            low = low_income(found)
        except (SupportInputError, LawNotKnownError) as error:
            self.missing("Low-income adjustment", "dollars a month, lowest of the range", str(error), *self.run_facts)
            return None
        if low is not None:
            self.note(low.figure, *self.run_facts)
        return low

    def deviation(self, found: Guideline | None, low: LowIncome | None) -> Deviation | None:
        mode = self.support.mode
        amount = Decimal("0.00") if mode == "zero" else self.support.amount
        if found is None or mode in (None, "reserved") or amount is None:
            return None
        paths = ("child_support.mode", "child_support.amount", "child_support.payer", *self.run_facts)
        if amount and self.support.payer is None:
            self.missing("Difference from guideline", "dollars a month", "the facts do not say who pays", *paths)
            return None
        try:
            compared = deviation(found, amount, self.support.payer, low)
        except SupportInputError as error:
            self.missing("Difference from guideline", "dollars a month", str(error), *paths)
            return None
        self.note(compared.figure, *paths)
        return compared

    def basic_support(self, found: Guideline | None) -> Payment | None:
        """Basic support as ordered, else the guideline."""
        support = self.support
        if support.mode == "zero":
            return None
        if support.mode != "reserved" and support.amount is not None and support.payer:
            return Payment(support.payer, support.amount)
        return Payment(found.payer, found.amount) if found and found.payer else None

    def add_ons(self, found: Guideline | None, mine: Decimal | None, theirs: Decimal | None) -> AddOnShares | None:
        if mine is None or theirs is None:
            return None
        spousal = []
        paths = ["child_support.amount", "child_support.payer", *self.run_facts]
        for role in PARTIES:
            plan = getattr(self.facts.spousal_support, f"to_{role}")
            if plan.outcome in ("payable", "nominal") and plan.amount:
                spousal.append(Payment(other(role), plan.amount))
                paths.append(f"spousal_support.to_{role}.amount")
        given = AddOnInput(
            self.day, mine, theirs, self.basic_support(found), tuple(spousal),
            spousal_tax_effect=self.day < CALIFORNIA_ALIMONY_END,
        )  # fmt: skip
        try:
            shares = add_on_shares(given)
        except (SupportInputError, LawNotKnownError) as error:
            self.missing("Petitioner's share of added costs", "percent", str(error), *paths)
            return None
        self.note(shares.figure, *paths)
        return shares

    def costs(self, shares: AddOnShares | None) -> tuple[AddOnCost, ...]:
        found = []
        for n, entry in enumerate(self.support.add_ons):
            path, name = f"child_support.add_ons.{n}", f"Added cost: {entry.kind.replace('_', ' ')}"
            if entry.monthly_cost is None:
                continue
            if entry.monthly_cost < 0:
                self.missing(name, "dollars a month", "the cost is below zero", f"{path}.monthly_cost")
                continue
            agreed = (
                divide_cost_at(entry.monthly_cost, entry.petitioner_percent)
                if entry.petitioner_percent is not None
                else None
            )
            by_income = divide_cost(entry.monthly_cost, shares) if shares else None
            found.append(AddOnCost(n, entry.kind, entry.monthly_cost, agreed, by_income))
            steps = [
                Step(
                    what,
                    f"{dollars(entry.monthly_cost)}",
                    f"petitioner {dollars(part.petitioner)}, respondent {dollars(part.respondent)}",
                    "Fam. Code § 4061",
                )
                for what, part in (("Divided as agreed", agreed), ("Divided by adjusted net incomes", by_income))
                if part
            ]
            self.note(
                Figure(name, entry.monthly_cost, "dollars a month", tuple(steps), cautions=(ESTIMATE,)),
                f"{path}.monthly_cost", f"{path}.petitioner_percent",
            )  # fmt: skip
        return tuple(found)

    def premium(self, low: LowIncome | None) -> PremiumTest | None:
        plan = self.support.insurance
        if plan is None or plan.child_premium is None or plan.provider not in PARTIES:
            return None
        gross, path = self.gross(plan.provider)
        paths = ("child_support.insurance.child_premium", path)
        if gross is None:
            self.missing(
                "Children's health premium",
                "dollars a month, limit",
                f"gross income of the {plan.provider} is not given",
                *paths,
            )
            return None
        poor = bool(low and low.qualifies and low.payer == plan.provider)
        try:
            test = premium_test(self.day, gross, plan.child_premium, low_income=poor)
        except (SupportInputError, LawNotKnownError) as error:
            self.missing("Children's health premium", "dollars a month, limit", str(error), *paths)
            return None
        self.note(test.figure, *paths)
        return test

    def duration(self, found: Guideline | None) -> Duration:
        ends = {key: end for key in self.children if (end := support_end(self.facts.children[key]))}
        agreed = {entry.child: entry.amount for entry in self.support.per_child}
        starts_on = self.support.starts_on or self.day
        lasts = duration(starts_on, ends, self.children, found.run if found else None, agreed)
        figure = lasts.figure
        if self.support.end.kind == "extended":
            figure = replace(
                figure,
                cautions=(
                    *figure.cautions,
                    "The parents agreed on a longer term; the table shows the duty set by law.",
                ),
            )
        self.note(
            figure,
            *(
                f"children.{key}.{name}"
                for key in self.children
                for name in ("born_on", "full_time_student", "graduates_on")
            ),
            *(f"child_support.per_child.{n}.amount" for n in range(len(self.support.per_child))),
            "child_support.starts_on",
        )
        return lasts

    def arrears(self) -> Decimal | None:
        owed = self.support.arrears
        if owed is None or not owed.principal:
            return None
        name, path = "Interest on unpaid child support", "child_support.arrears.principal"
        if owed.principal < 0:
            self.missing(name, "dollars a day", "the principal is below zero", path)
            return None
        day = owed.as_of or self.day
        try:
            rate, a_day = interest_rate(day), daily_interest(owed.principal, day)
        except LawNotKnownError as error:
            self.missing(name, "dollars a day", str(error), path, "child_support.arrears.as_of")
            return None
        working = f"{dollars(owed.principal)} × {percent(100 * rate)} / {DAYS_A_YEAR}"
        step = Step("Interest a day", working, dollars(a_day), INTEREST_SOURCE)
        self.note(Figure(name, a_day, "dollars a day", (step,), cautions=(ESTIMATE,)), path)
        return a_day
