"""Guideline child support: CS = K × [HN - (H%)(TN)], Fam. Code § 4055.

CS is support for one child, a month; HN the net monthly disposable income of the parent with the higher net; TN
that of both; H% the share of time of the parent with the higher net; K the share of income that goes to support.
The law as it stood to 31 August 2024, and as it stands since, differ only in K and in the low-income adjustment
(see `low_income`). Everything is exact until the order is rounded to the cent.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from msadraft.facts.scalars import PartyRole
from msadraft.figures.counting import short
from msadraft.figures.figure import Figure, Step
from msadraft.figures.support_amounts import (
    ESTIMATE,
    SupportInputError,
    check_money,
    check_percent,
    dollars,
    number,
    other,
    percent,
    rounded,
    shared_out,
)
from msadraft.law.parameters import LawNotKnownError, Version, law

FORMULA = "Fam. Code § 4055(a)"
HALF = Fraction(1, 2)


class NoFormulaError(SupportInputError):
    """The guideline statute gives no figure for this case."""


@dataclass(frozen=True, slots=True)
class ChildTime:
    """One supported child, and the percentage of time with the petitioner (0 to 100)."""

    key: str
    petitioner_percent: Decimal


@dataclass(frozen=True, slots=True)
class Run:
    """What the formula is fed with.

    `day` is in the month for which support is due; it chooses the law. Nets are monthly net disposable incomes
    (Fam. Code § 4059) in dollars. `children` stand youngest first. `parents` is how many legal parents a child has.
    """

    day: date
    petitioner_net: Decimal
    respondent_net: Decimal
    children: tuple[ChildTime, ...]
    parents: int = 2

    def net(self, party: PartyRole) -> Decimal:
        """The net income of one parent."""
        return self.petitioner_net if party == "petitioner" else self.respondent_net


@dataclass(frozen=True, slots=True)
class ChildShare:
    """The part of the order that belongs to one child, dollars a month."""

    key: str
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Guideline:
    """What the formula gives.

    `exact_one_child` and `exact_total` are unrounded, and negative where the parent with the lower net pays;
    `one_child` and `signed_total` are the same in dollars and cents. `amount` is what `payer` owes a month; a payer
    of None means that nothing is due. `shares` is empty where § 4055(b)(8) does not apply.
    """

    run: Run
    version: Version
    high_earner: PartyRole
    high_earner_percent: Decimal
    total_net: Decimal
    income_share: Decimal
    k: Decimal
    exact_one_child: Fraction
    exact_total: Fraction
    one_child: Decimal
    signed_total: Decimal
    amount: Decimal
    payer: PartyRole | None
    shares: tuple[ChildShare, ...]
    figure: Figure
    shares_figure: Figure

    @property
    def from_petitioner(self) -> Decimal:
        """What the petitioner pays a month; negative if the respondent pays."""
        return -self.amount if self.payer == "respondent" else self.amount


def income_share(total_net: Fraction, day: date) -> Fraction:
    """The share of both nets that goes to support, before the factor for time (Fam. Code § 4055(b)(3)), unrounded."""
    for band in law("child_support/income_share", day).rows:
        if "up_to" not in band or total_net <= Fraction(band["up_to"]):
            constant = Fraction(band["constant"])
            if "divisor" in band:
                return constant + total_net / Fraction(band["divisor"])
            return constant + Fraction(band["dividend"]) / total_net if "dividend" in band else constant
    raise LawNotKnownError("child_support/income_share has no last band without an upper end")


def time_factor(share_of_time: Fraction) -> Fraction:
    """1 + H% up to half of the time, 2 - H% above it (Fam. Code § 4055(b)(3)); `share_of_time` is from 0 to 1."""
    return 1 + share_of_time if share_of_time <= HALF else 2 - share_of_time


def child_factor(children: int, day: date) -> Fraction:
    """The multiple of the one-child amount (Fam. Code § 4055(b)(4)).

    Raises:
        NoFormulaError: no child, or more than the table has.
    """
    table = law("child_support/child_factor", day).value
    if not 1 <= children <= len(table):
        raise NoFormulaError(
            f"the table of Fam. Code § 4055(b)(4) ends at {len(table)} children, so there is no formula amount for {children}"
            if children
            else "there is no supported child, so there is nothing to work out"
        )
    return Fraction(table[children - 1])


def guideline(run: Run) -> Guideline:
    """Work out guideline support (Fam. Code § 4055(a), (b)(1)-(5), (8)).

    The parent with the higher net is found from the nets; the sign then says who pays. With equal nets the petitioner
    counts as the higher, which changes neither payer nor amount.

    Raises:
        SupportInputError: a net below zero, a percentage outside 0 to 100, no child.
        NoFormulaError: more than ten children (§ 4055(b)(4)) or more than two parents (§ 4052.5).
        LawNotKnownError: a day before the data begin.
    """
    _check(run)
    multiple = child_factor(len(run.children), run.day)
    version = law("child_support/income_share", run.day)
    high: PartyRole = "petitioner" if run.petitioner_net >= run.respondent_net else "respondent"
    high_net, total = Fraction(run.net(high)), Fraction(run.petitioner_net) + Fraction(run.respondent_net)
    percents = [_percent_with(high, child) for child in run.children]
    average = sum(percents, Fraction(0)) / len(percents)
    time = average / 100
    share = income_share(total, run.day)
    k = share * time_factor(time)
    one = k * (high_net - time * total)
    whole = one * multiple
    amount = rounded(abs(whole))
    payer = None if amount == 0 else high if whole > 0 else other(high)
    shares = _shares(run, amount)
    steps = (
        Step(
            "Law in force",
            f"the law on {short(run.day)}",
            version.enacted_by,
            "Fam. Code §§ 4, 4055(d)",
        ),
        Step(
            "Net monthly income of both (TN)",
            f"{dollars(run.petitioner_net)} + {dollars(run.respondent_net)}",
            dollars(total),
            "Fam. Code § 4055(b)(1)(E)",
        ),
        Step(
            "Higher earner, by net income (HN)",
            f"the {high}: {dollars(high_net)}",
            dollars(high_net),
            "Fam. Code § 4055(b)(1)(C)",
        ),
        Step(
            "Higher earner's share of time (H%)", _time_words(percents), percent(average), "Fam. Code § 4055(b)(1)(D)"
        ),
        Step(
            "Share of income for support",
            _share_words(total, run.day),
            number(share, 6),
            "Fam. Code § 4055(b)(3)",
        ),
        Step("K", f"{_factor_words(average)} × {number(share, 6)}", number(k, 6), "Fam. Code § 4055(b)(3)"),
        Step(
            "Support for one child (CS)",
            f"{number(k, 6)} × [{dollars(high_net)} - {percent(average)} × {dollars(total)}]",
            dollars(one),
            FORMULA,
        ),
        Step(
            f"For {len(run.children)} {'child' if len(run.children) == 1 else 'children'}",
            f"{dollars(one)} × {multiple_words(multiple)}, from the unrounded amount",
            dollars(whole),
            "Fam. Code § 4055(b)(4)",
        ),
        Step(
            "Who pays",
            "above zero: the higher earner; below zero: the lower earner pays the amount without its sign",
            f"{payer}: {dollars(amount)}" if payer else "nothing is due",
            "Fam. Code § 4055(b)(5)",
        ),
    )
    cautions = [ESTIMATE]
    if _differ(run):
        cautions.append(
            "The children have different shares of time. The formula takes the plain average, and the difference is a "
            "named ground for another amount (Fam. Code § 4057(b)(6)(A))."
        )
    return Guideline(
        run, version, high, rounded(average, 4), rounded(total), rounded(share, 6), rounded(k, 6), one, whole,
        rounded(one), rounded(whole), amount, payer, shares,
        Figure("Guideline child support", amount, "dollars a month", steps, cautions=tuple(cautions)),
        _shares_figure(run, amount, shares),
    )  # fmt: skip


def presumed_time(*, custodial: PartyRole, moving: PartyRole, absent: PartyRole) -> Decimal:
    """The petitioner's percentage of time where no evidence shows it and a party did not appear (Fam. Code § 4055(b)(6)).

    The parent without custody is taken to have no time: H% is 0 if that parent has the higher net, and 100 if the
    custodial parent has. A statement by the party who is not in default displaces this.

    Raises:
        NoFormulaError: the custodial parent is the one who is absent, or the other parent is the one who moves.
    """
    if absent == custodial or moving == other(custodial):
        raise NoFormulaError(
            "the rule of Fam. Code § 4055(b)(6) is not for a custodial parent who did not appear, nor for a request by "
            "the other parent; give the percentage of time"
        )
    return Decimal(100) if custodial == "petitioner" else Decimal(0)


def multiple_words(multiple: Fraction) -> str:
    """A factor of § 4055(b)(4) as it is printed there."""
    return f"{rounded(multiple, 3):f}".rstrip("0").rstrip(".")


def _check(run: Run) -> None:
    check_money(run.petitioner_net, "the petitioner's net income")
    check_money(run.respondent_net, "the respondent's net income")
    for child in run.children:
        check_percent(child.petitioner_percent, f"the time of {child.key} with the petitioner")
    if run.parents != 2:
        raise NoFormulaError(
            f"a child with {run.parents} parents: Fam. Code § 4052.5 divides the guideline among them by income and time, "
            "but gives no formula; set the amount by agreement or order"
        )
    if len({child.key for child in run.children}) != len(run.children):
        raise SupportInputError("a child is named twice; name every child once")


def _percent_with(party: PartyRole, child: ChildTime) -> Fraction:
    mine = Fraction(child.petitioner_percent)
    return mine if party == "petitioner" else 100 - mine


def _differ(run: Run) -> bool:
    return len({child.petitioner_percent for child in run.children}) > 1


def _shares(run: Run, amount: Decimal) -> tuple[ChildShare, ...]:
    """Youngest child the one-child amount, each older one the increment (Fam. Code § 4055(b)(8)); parts add to the whole."""
    if amount == 0 or _differ(run):
        return ()
    factors = [child_factor(n, run.day) for n in range(1, len(run.children) + 1)]
    weights = [factor - before for before, factor in zip([Fraction(0), *factors], factors, strict=False)]
    parts = shared_out(amount, weights)
    return tuple(ChildShare(child.key, part) for child, part in zip(run.children, parts, strict=True))


def _shares_figure(run: Run, amount: Decimal, shares: tuple[ChildShare, ...]) -> Figure:
    name, unit, source = "Support of each child", "dollars a month", "Fam. Code § 4055(b)(8)"
    if not shares:
        why = (
            "nothing is due"
            if amount == 0
            else "the children have different shares of time, so the rule does not apply"
        )
        return Figure(name, None, unit, (Step(name, why, "no division", source),), cautions=(ESTIMATE,))
    steps = []
    for rank, share in enumerate(shares, 1):
        now = multiple_words(child_factor(rank, run.day))
        before = multiple_words(child_factor(rank - 1, run.day)) if rank > 1 else "0"
        steps.append(
            Step(
                share.key,
                f"one-child amount × ({now} - {before}), rank {rank} from the youngest",
                dollars(share.amount),
                source,
            )
        )
    table = tuple({"child": share.key, "amount": share.amount} for share in shares)
    return Figure(name, amount, unit, tuple(steps), cautions=(ESTIMATE,), table=table)


def _time_words(percents: list[Fraction]) -> str:
    if len(set(percents)) == 1:
        return f"{percent(percents[0])} with each child" if len(percents) > 1 else percent(percents[0])
    return f"({' + '.join(percent(p) for p in percents)}) / {len(percents)}"


def _factor_words(average: Fraction) -> str:
    return f"(1 + {percent(average)})" if average <= 50 else f"(2 - {percent(average)})"


def _share_words(total: Fraction, day: date) -> str:
    for band in law("child_support/income_share", day).rows:
        if "up_to" not in band or total <= Fraction(band["up_to"]):
            ends = f"TN up to {band['up_to']:,f}" if "up_to" in band else "TN above the last band"
            if "divisor" in band:
                return f"{ends}: {band['constant']} + {dollars(total)} / {band['divisor']:,f}"
            if "dividend" in band:
                return f"{ends}: {band['constant']} + {band['dividend']:,f} / {dollars(total)}"
            return f"{ends}: {band['constant']}"
    return ""
