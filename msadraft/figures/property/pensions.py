"""Plan shares: the time rule by months, days, years or points; benefit formulas; accounts by tracing.

The time rule fits only where the benefit follows length of service (In re Marriage of Poppe (1979) 97 Cal.App.3d 1).
Accounts are traced instead: what was put in from marriage to separation, with its growth. Monthly amounts in dollars,
rounded once to the cent, half up; fractions stay unrounded unless places are asked for.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from msadraft.facts.model import Facts
from msadraft.facts.scalars import PartyRole
from msadraft.figures.figure import Figure, Step
from msadraft.figures.property.characterisation import marriage_days
from msadraft.figures.property.working import (
    HUNDRED,
    NOTHING,
    ONE,
    cents,
    days,
    money,
    months_and_days,
    not_negative,
    number,
    other,
    percent,
    percent_of,
    places,
    require,
    rounded_fraction,
    whole_months,
)
from msadraft.law.parameters import law

Convention = Literal["whole_months", "months_and_days", "days"]
COUNTS: dict[Convention, Callable[[date, date], int | Decimal]] = {
    "whole_months": whole_months,
    "months_and_days": months_and_days,
    "days": days,
}
JUDD = "In re Marriage of Judd (1977) 68 Cal.App.3d 515"
HENKLE = "In re Marriage of Henkle (1987) 189 Cal.App.3d 97"
POPPE = "In re Marriage of Poppe (1979) 97 Cal.App.3d 1"


@dataclass(frozen=True, slots=True)
class Service:
    """Service that earns the benefit, in one unit throughout (months, days, years, points).

    `maximum`: service beyond which the benefit does not grow; what comes after it does not count (Henkle).
    """

    before_marriage: Decimal
    in_marriage: Decimal
    after_separation: Decimal
    unit: str = "months"
    maximum: Decimal | None = None

    @property
    def numerator(self) -> Decimal:
        """Service in marriage that counts."""
        if self.maximum is None:
            return self.in_marriage
        return max(Decimal(0), min(self.in_marriage, self.maximum - self.before_marriage))

    @property
    def denominator(self) -> Decimal:
        """All service that counts."""
        total = self.before_marriage + self.in_marriage + self.after_separation
        return total if self.maximum is None else min(total, self.maximum)


def service_by_dates(
    start: date, married_on: date, separated_on: date, end: date, convention: Convention = "months_and_days"
) -> Service:
    """Divide service from `start` to `end` at marriage and separation. The plan's own service credit goes first.

    Raises:
        InputError: the days are out of order.
    """
    require(start <= end, f"service ends ({end}) before it begins ({start}); correct one of the two days")
    require(married_on <= separated_on, f"the separation ({separated_on}) lies before the marriage ({married_on})")
    count = COUNTS[convention]
    first, last = min(max(start, married_on), end), max(start, min(separated_on, end))
    in_marriage = Decimal(count(first, last))
    before = Decimal(count(start, first)) if first > start else Decimal(0)
    total = Decimal(count(start, end))
    unit = "days" if convention == "days" else "months"
    # The three stretches may leave parts of months at their seams; the total is counted straight through.
    return Service(before, in_marriage, max(Decimal(0), total - before - in_marriage), unit)


@dataclass(frozen=True, slots=True)
class PlanShare:
    """A monthly benefit (or a balance) and how it divides. `to_member + to_other == benefit` to the cent."""

    benefit: Decimal
    fraction: Decimal
    community: Decimal
    to_other: Decimal
    to_member: Decimal
    figure: Figure


def time_rule(
    benefit: Decimal,
    service: Service,
    *,
    other_percent: Decimal = Decimal(50),
    percent_places: int | None = None,
    by_length_of_service: bool = True,
) -> PlanShare:
    """Divide a benefit by service in marriage over all service.

    Args:
        other_percent: the nonmember's percentage of the community part.
        percent_places: decimals to which the community percentage is rounded first.
        by_length_of_service: False gives a caution that the rule does not fit.

    Raises:
        InputError: no service, more service in marriage than in all, a negative amount.
    """
    not_negative(
        benefit=benefit, service_before_marriage=service.before_marriage, service_in_marriage=service.in_marriage,
        service_after_separation=service.after_separation, maximum=service.maximum, other_percent=other_percent,
    )  # fmt: skip
    require(other_percent <= HUNDRED, "a percentage is above one hundred")
    require(service.denominator > 0, "there is no service to divide by")
    exact = service.numerator / service.denominator
    fraction = rounded_fraction(exact, percent_places)
    community = cents(benefit * fraction)
    to_other = cents(benefit * fraction * other_percent / HUNDRED)
    steps = (
        Step(
            "Community fraction",
            f"{number(places(service.numerator, 4))} ÷ {number(places(service.denominator, 4))} {service.unit}",
            percent(fraction),
            HENKLE if service.maximum else JUDD,
        ),
        Step("Community part of the benefit", f"{money(benefit)} × {percent(fraction)}", money(community), JUDD),
        Step(
            "Nonmember's share",
            f"{money(benefit)} × {percent(fraction)} × {number(other_percent)}%",
            money(to_other),
            "Fam. Code § 2610",
        ),
        Step(
            "Member keeps",
            f"{money(benefit)} − {money(to_other)} (the remainder)",
            money(benefit - to_other),
            "Fam. Code § 2610",
        ),
    )
    cautions = (
        ()
        if by_length_of_service
        else (f"The benefit does not follow length of service; use points or tracing instead ({POPPE}).",)
    )
    figure = Figure("plan share by the time rule", to_other, "dollars a month", steps, (), cautions)
    return PlanShare(benefit, fraction, community, to_other, benefit - to_other, figure)


def plan_share(benefit: Decimal, percentage: Decimal) -> Decimal:
    """A stated percentage of a benefit."""
    not_negative(benefit=benefit, percentage=percentage)
    require(percentage <= HUNDRED, "a percentage is above one hundred")
    return cents(benefit * percentage / HUNDRED)


def formula_benefit(
    final_pay: Decimal, multiplier: Decimal, years: Decimal, early_cut: Decimal = Decimal(0)
) -> Decimal:
    """A benefit by formula: pay × multiplier × years, less a cut for early retirement (all as fractions, monthly)."""
    not_negative(final_pay=final_pay, multiplier=multiplier, years=years, early_cut=early_cut)
    require(early_cut <= ONE, "the cut for early retirement is above one hundred percent")
    return cents(cents(final_pay * multiplier * years) * (ONE - early_cut))


@dataclass(frozen=True, slots=True)
class FrozenMilitaryPay:
    """Hypothetical retired pay at the decree, and the former spouse's share, both with later cost-of-living raises."""

    base: Decimal
    base_now: Decimal
    fraction: Decimal
    share: Decimal
    share_now: Decimal
    figure: Figure


def frozen_military_pay(
    high_three: Decimal,
    years: int,
    months: int,
    months_in_marriage: Decimal,
    *,
    system: Literal["high_three", "blended"] = "high_three",
    raises: Decimal = Decimal(0),
    decree_on: date,
) -> FrozenMilitaryPay:
    """Retired pay frozen at the decree for a member who has not retired (10 U.S.C. § 1408(a)(4)(B)).

    The denominator is service to the decree (common practice). `raises` are all later cost-of-living raises together,
    as a fraction. A reserve member's points are not months; use `time_rule` with points.

    Raises:
        InputError: a negative value, twelve or more odd months, more months in marriage than in all.
    """
    not_negative(
        high_three=high_three, years=years, months=months, months_in_marriage=months_in_marriage, raises=raises
    )
    require(months < 12, "the odd months are twelve or more; count them as a year")
    total = Decimal(years * 12 + months)
    require(total > 0, "there is no service to divide by")
    require(
        months_in_marriage <= total,
        f"{number(months_in_marriage)} months in marriage are more than the {number(total)} served",
    )
    parameter = law("property/military_multiplier", decree_on)
    rate = next(row["percent"] for row in parameter.rows if row["system"] == system) / HUNDRED
    service_years = total / 12
    exact = high_three * rate * service_years
    fraction = months_in_marriage / total
    base, share = cents(exact), cents(exact * fraction / 2)
    base_now, share_now = cents(exact * (ONE + raises)), cents(exact * (ONE + raises) * fraction / 2)
    rule = law("property/title_rules", date.max).rows
    since: date = next(row["day"] for row in rule if row["rule"] == "frozen_military_benefit")
    steps = (
        Step(
            "Hypothetical retired pay",
            f"{percent(rate, 1)} × {number(places(service_years, 4))} years × {money(high_three)}",
            money(base),
            parameter.source,
        ),
        Step(
            "Community fraction",
            f"{number(months_in_marriage)} ÷ {number(total)} months to the decree",
            percent(fraction),
            "common practice",
        ),
        Step(
            "One half of the community part",
            f"{money(base)} × {percent(fraction)} ÷ 2",
            money(share),
            "10 U.S.C. § 1408(a)(4)(B)",
        ),
        Step("With cost-of-living raises", f"× {number(ONE + raises)}", money(share_now), "10 U.S.C. § 1408(a)(4)(B)"),
    )
    cautions = ["Disability pay that replaces retired pay cannot be divided (Mansell; Howell, from memory)."]
    if decree_on < since:
        cautions.insert(0, f"The decree is earlier than {since}; the pay was not yet frozen.")
    figure = Figure(
        "military retired pay, frozen at the decree", share_now, "dollars a month", steps, (), tuple(cautions)
    )
    return FrozenMilitaryPay(base, base_now, fraction, share, share_now, figure)


@dataclass(frozen=True, slots=True)
class AccountHistory:
    """A plan account traced: what stood there at marriage, what was added when, and the growth of each part."""

    opening: Decimal
    opening_growth: Decimal
    contributions_in_marriage: Decimal
    growth_in_marriage: Decimal
    contributions_after: Decimal = NOTHING
    growth_after: Decimal = NOTHING


@dataclass(frozen=True, slots=True)
class AccountShare:
    """The two parts of an account, and how they divide. `to_member + to_other == community + separate`."""

    community: Decimal
    separate: Decimal
    to_other: Decimal
    to_member: Decimal
    figure: Figure


def account_share(account: AccountHistory, other_percent: Decimal = Decimal(50)) -> AccountShare:
    """Divide an account by tracing; growth follows the money that grew and may be negative (Fam. Code §§ 760, 770, 771)."""
    not_negative(
        opening=account.opening, contributions_in_marriage=account.contributions_in_marriage, contributions_after=account.contributions_after,
        other_percent=other_percent,
    )  # fmt: skip
    require(other_percent <= HUNDRED, "a percentage is above one hundred")
    community = cents(account.contributions_in_marriage + account.growth_in_marriage)
    separate = cents(account.opening + account.opening_growth + account.contributions_after + account.growth_after)
    require(community >= 0 and separate >= 0, "a part of the account comes out negative; check the growth")
    to_other = cents(community * other_percent / HUNDRED)
    steps = (
        Step(
            "Community part",
            f"{money(account.contributions_in_marriage)} + {money(account.growth_in_marriage)}",
            money(community),
            "Fam. Code § 760",
        ),
        Step(
            "Separate part",
            f"{money(account.opening)} + {money(account.opening_growth)} + {money(account.contributions_after)} + {money(account.growth_after)}",
            money(separate),
            "Fam. Code §§ 770, 771",
        ),
        Step(
            "Nonmember's share", f"{money(community)} × {number(other_percent)}%", money(to_other), "Fam. Code § 2610"
        ),
    )
    return AccountShare(
        community,
        separate,
        to_other,
        community + separate - to_other,
        Figure("account share", to_other, "dollars", steps),
    )


DEFINED_BENEFIT = ("pension_private", "calpers", "calstrs", "county_1937", "uc", "federal_civil", "judges", "military")


@dataclass(frozen=True, slots=True)
class PlanDivision:
    """What the facts of one plan give: fraction or balance shares, and whether the stated service agrees with the dates.

    Attributes:
        fraction: community fraction of a benefit by the time rule; None for an account or if it is not known.
        other_fraction: the nonmember's part of each payment, as a fraction of it.
        by_dates: months of service in marriage by the dates; None without a first day of service.
        stated: months as stated in the facts.
        other_amount: the nonmember's share of an account balance; None for a benefit.
    """

    key: str
    member: PartyRole | None
    other: PartyRole | None
    fraction: Decimal | None
    other_fraction: Decimal | None
    by_dates: Decimal | None
    stated: Decimal | None
    other_amount: Decimal | None
    figure: Figure

    @property
    def community_percent(self) -> Decimal | None:
        """The community fraction as a percentage with four decimals."""
        return None if self.fraction is None else percent_of(self.fraction)

    @property
    def other_percent(self) -> Decimal | None:
        """The nonmember's part of each payment as a percentage with four decimals."""
        return None if self.other_fraction is None else percent_of(self.other_fraction)

    @property
    def months_by_dates(self) -> Decimal | None:
        """Months of service in marriage by the dates, with four decimals."""
        return None if self.by_dates is None else places(self.by_dates, 4)

    @property
    def service_differs(self) -> bool:
        """Whether the stated months are more than a month from those by the dates."""
        return self.stated is not None and self.by_dates is not None and abs(self.stated - self.by_dates) > 1


def from_facts(facts: Facts, key: str) -> PlanDivision | None:
    """Read one plan from the facts. None if the asset is not a plan."""
    asset = facts.assets[key]
    plan = asset.retirement
    if plan is None:
        return None
    paths: list[str] = []
    steps: list[Step] = []
    cautions: list[str] = []

    def used(name: str) -> None:
        paths.append(f"assets.{key}.retirement.{name}")

    by_dates = None
    period = marriage_days(facts)
    if plan.service_from and period and period.separated_on:
        used("service_from")
        first = max(plan.service_from, period.married_on)
        by_dates = months_and_days(first, period.separated_on)
        steps.append(
            Step(
                "Service in marriage by the dates",
                f"{first} to {period.separated_on}",
                f"{places(by_dates, 4)} months",
                "Fam. Code §§ 760, 771",
            )
        )
    stated, total = plan.community_service_months, plan.total_service_months
    fraction = other_fraction = None
    percentage = Decimal(50) if plan.share_percent is None else plan.share_percent
    if plan.method == "time_rule" and stated is not None and total:
        for name in ("community_service_months", "total_service_months"):
            used(name)
        if stated > total:
            cautions.append("More months of service in marriage than in all; correct one of the two.")
        else:
            fraction = stated / total
            other_fraction = fraction * percentage / HUNDRED
            steps.append(
                Step("Community fraction", f"{number(stated)} ÷ {number(total)} months", percent(fraction), JUDD)
            )
            steps.append(
                Step(
                    "Other party's part of each payment",
                    f"{percent(fraction)} × {number(percentage)}%",
                    percent(other_fraction),
                    "Fam. Code § 2610",
                )
            )
            if plan.pay_status != "in_pay":
                cautions.append(
                    "Service goes on; the order should state the formula, with the last total filled in when benefits begin."
                )
    if plan.method == "time_rule" and plan.type is not None and plan.type not in DEFINED_BENEFIT:
        cautions.append("An account is traced, not divided by time, unless both agree.")
    if stated is not None and by_dates is not None and abs(stated - by_dates) > 1:
        cautions.append(
            f"The stated {number(stated)} months in marriage differ from {places(by_dates, 2)} by the dates; ask the plan for its service credit."
        )
    amount = _balance_share(facts, key, percentage, steps)
    if amount is not None:
        paths.append(f"assets.{key}.value")
    member = plan.member
    figure = Figure(
        f"share of {asset.label}",
        other_fraction * HUNDRED if other_fraction is not None else amount,
        "percent" if other_fraction is not None else "dollars",
        tuple(steps),
        tuple(paths),
        tuple(cautions),
    )
    return PlanDivision(
        key, member, other(member) if member else None, fraction, other_fraction, by_dates, stated, amount, figure
    )


def _balance_share(facts: Facts, key: str, percentage: Decimal, steps: list[Step]) -> Decimal | None:
    """The nonmember's share of an account: a stated sum, or the percentage of its community part."""
    asset = facts.assets[key]
    plan = asset.retirement
    if plan is None or plan.method not in ("split_percent", "split_sum"):
        return None
    if plan.method == "split_sum":
        return plan.share_sum
    if asset.value is None:
        return None
    loan = plan.loan or NOTHING
    # A loan that is added back counts as money still in the account; one that is not lowers what is shared.
    balance = asset.value - (NOTHING if plan.loan_added_back else loan)
    community = max(NOTHING, balance - (plan.premarital_balance or NOTHING))
    share = cents(community * percentage / HUNDRED)
    steps.append(
        Step(
            "Community part of the balance",
            f"{money(balance)} − {money(plan.premarital_balance or NOTHING)}",
            money(community),
            "Fam. Code §§ 760, 770",
        )
    )
    steps.append(
        Step("Other party's share", f"{money(community)} × {number(percentage)}%", money(share), "Fam. Code § 2610")
    )
    return share
