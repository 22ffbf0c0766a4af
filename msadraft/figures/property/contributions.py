"""Separate money in property of the marriage: what is repaid first (Fam. Code § 2640), and tracing it by a ledger.

Repaid without interest and without a share of growth, never more than the property's net value at division. Where
the net value does not cover all credits, each is paid in proportion (In re Marriage of Walrath (1998) 17 Cal.4th
907). Parts are split by largest remainder, so that they add up to the net value to the cent.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from msadraft.facts.model import Facts
from msadraft.facts.scalars import PartyRole
from msadraft.figures.figure import Figure, Step
from msadraft.figures.property.working import (
    NOTHING,
    cents,
    divide,
    halves,
    money,
    not_negative,
    percent,
    require,
    rounded_fraction,
)
from msadraft.law.parameters import law

SECTION = "Fam. Code § 2640(a), (b)"
COUNTED = ("down_payment", "improvement", "principal")


@dataclass(frozen=True, slots=True)
class Contribution:
    """Separate money of one spouse that went into a property.

    Attributes:
        kind: only down payment, improvement and principal count; interest, maintenance, insurance and taxes do not.
        traced: whether records trace it to a separate source; what is not traced is not repaid.
        waived: whether its owner gave it up in a writing that says so, or that has this effect.
        into: community property, or the other spouse's separate property (since 2005, during marriage).
        paid_on: day of payment; needed for money put into the other's separate property.
    """

    by: PartyRole
    amount: Decimal
    kind: Literal["down_payment", "improvement", "principal", "interest", "maintenance", "insurance", "taxes"] = (
        "down_payment"
    )
    traced: bool = True
    waived: bool = False
    into: Literal["community", "other_separate"] = "community"
    paid_on: date | None = None


@dataclass(frozen=True, slots=True)
class Credits:
    """The result: what each contribution is repaid, in the order given, and what is left to divide.

    `sum(repaid) + left == net_value`, where the net value is never below zero.
    """

    net_value: Decimal
    repaid: tuple[Decimal, ...]
    to_petitioner: Decimal
    to_respondent: Decimal
    left: Decimal
    short: bool
    figure: Figure

    def to(self, party: PartyRole) -> Decimal:
        """What one party is repaid."""
        return self.to_petitioner if party == "petitioner" else self.to_respondent

    @property
    def shares(self) -> tuple[Decimal, Decimal]:
        """What each party takes in all: own credit and half of the rest (petitioner's, respondent's)."""
        first, second = halves(self.left)
        return self.to_petitioner + first, self.to_respondent + second


def credits_2640(
    contributions: Sequence[Contribution],
    value: Decimal,
    liens: Decimal,
    *,
    joint_title_on: date | None = None,
    percent_places: int | None = None,
) -> Credits:
    """Work out the credits in one property.

    Args:
        percent_places: decimals to which each share of a short net value is rounded first, as an opinion did.

    Raises:
        InputError: a negative amount; money in the other's separate property without its day.
    """
    not_negative(value=value, liens=liens, **{f"contribution_{i}": c.amount for i, c in enumerate(contributions, 1)})
    net = max(NOTHING, value - liens)
    cautions: list[str] = []
    steps = [
        Step(
            "Net value at division",
            f"{money(value)} − {money(liens)}, at least nothing",
            money(net),
            "Fam. Code § 2640(b)",
        )
    ]
    counted = [_counted(c, steps, cautions) for c in contributions]
    claimed = sum(counted, NOTHING)
    short = claimed > net
    if not short:
        repaid = tuple(counted)
    elif percent_places is None:
        repaid = divide(net, counted)
    else:
        rounded = [cents(net * rounded_fraction(amount / claimed, percent_places)) for amount in counted[:-1]]
        repaid = (*rounded, net - sum(rounded, NOTHING))
    if short:
        steps.append(
            Step(
                "The net value does not cover the credits",
                f"{money(claimed)} claimed, {money(net)} there",
                "in proportion",
                "In re Marriage of Walrath (1998) 17 Cal.4th 907",
            )
        )
        for contribution, amount, full in zip(contributions, repaid, counted, strict=True):
            if full:
                steps.append(
                    Step(
                        f"To the {contribution.by}",
                        f"{money(net)} × {money(full)} ÷ {money(claimed)} ({percent(full / claimed)})",
                        money(amount),
                        SECTION,
                    )
                )
    to_petitioner = sum((a for c, a in zip(contributions, repaid, strict=True) if c.by == "petitioner"), NOTHING)
    to_respondent = sum((a for c, a in zip(contributions, repaid, strict=True) if c.by == "respondent"), NOTHING)
    left = net - to_petitioner - to_respondent
    steps.append(
        Step("Left to divide", f"{money(net)} − {money(to_petitioner)} − {money(to_respondent)}", money(left), SECTION)
    )
    if value < liens:
        cautions.append("More is owed than the property is worth, so that nothing is repaid out of it.")
    if joint_title_on is not None and joint_title_on < _rule_day("joint_title"):
        cautions.append(
            "Joint title from before 1984: repayment may not reach back (Fabian (1986) 41 Cal.3d 440; Heikes, from memory)."
        )
    figure = Figure(
        "separate contributions repaid", to_petitioner + to_respondent, "dollars", tuple(steps), (), tuple(cautions)
    )
    return Credits(net, repaid, to_petitioner, to_respondent, left, short, figure)


def _counted(contribution: Contribution, steps: list[Step], cautions: list[str]) -> Decimal:
    what = f"{contribution.kind.replace('_', ' ')} by the {contribution.by}"
    if contribution.kind not in COUNTED:
        steps.append(Step(what, money(contribution.amount), "not counted", "Fam. Code § 2640(a)"))
        return NOTHING
    if contribution.waived:
        steps.append(Step(what, money(contribution.amount), "given up in writing", "Fam. Code § 2640(b)"))
        return NOTHING
    if not contribution.traced:
        steps.append(Step(what, money(contribution.amount), "not traced", "Fam. Code § 2640(b)"))
        cautions.append(
            f"The {what} ({money(contribution.amount)}) is not traced to a separate source and is not counted."
        )
        return NOTHING
    if contribution.into == "other_separate":
        require(
            contribution.paid_on is not None,
            "money put into the other spouse's separate property needs the day it was paid",
        )
        assert contribution.paid_on is not None
        if contribution.paid_on < _rule_day("separate_into_other_separate"):
            steps.append(Step(what, money(contribution.amount), "no right before 2005", "Fam. Code § 2640(c)"))
            return NOTHING
    steps.append(
        Step(
            what,
            money(contribution.amount),
            "counts",
            "Fam. Code § 2640(a)" if contribution.into == "community" else "Fam. Code § 2640(c)",
        )
    )
    return contribution.amount


def _rule_day(rule: str) -> date:
    day: date = next(row["day"] for row in law("property/title_rules", date.max).rows if row["rule"] == rule)
    return day


def follow_proceeds(credit: Decimal, proceeds: Decimal, uses: Sequence[Decimal]) -> tuple[Decimal, ...]:
    """Where a credit goes when the property is refinanced: it follows the proceeds into what they bought.

    Each use takes its part of the credit; a part of the proceeds that is not explained carries its part of the
    credit nowhere (it is lost for want of tracing). The right follows traced proceeds into other community property
    (In re Marriage of Walrath (1998) 17 Cal.4th 907); the proportion is this program's rule, the opinion gives none.

    Raises:
        InputError: the uses come to more than the proceeds, or an amount is negative.
    """
    not_negative(credit=credit, proceeds=proceeds, **{f"use_{i}": use for i, use in enumerate(uses, 1)})
    explained = sum(uses, NOTHING)
    require(explained <= proceeds, f"the uses ({money(explained)}) come to more than the proceeds ({money(proceeds)})")
    if proceeds == 0:
        return tuple(NOTHING for _ in uses)
    return divide(credit, (*uses, proceeds - explained))[:-1]


@dataclass(frozen=True, slots=True)
class Entry:
    """One movement of a mixed account.

    `deposit` adds to the pool named in `pool`; `family_expense` draws community money first, then separate (not
    repaid unless agreed); `purchase` draws from the pool that the evidence shows, else community money first.
    """

    on: date
    kind: Literal["deposit", "family_expense", "purchase"]
    amount: Decimal
    pool: Literal["community", "separate"] | None = None
    what: str = ""


@dataclass(frozen=True, slots=True)
class Drawn:
    """One purchase: how much of it came from which pool."""

    entry: Entry
    community: Decimal
    separate: Decimal


@dataclass(frozen=True, slots=True)
class Traced:
    """The result of tracing. `stopped` says why it could not go on, if it could not; what came before stands."""

    purchases: tuple[Drawn, ...]
    community_left: Decimal
    separate_left: Decimal
    separate_spent_on_family: Decimal
    stopped: str
    figure: Figure

    @property
    def separate_in_purchases(self) -> Decimal:
        """All separate money traced into purchases."""
        return sum((drawn.separate for drawn in self.purchases), NOTHING)


def trace(
    opening_community: Decimal,
    opening_separate: Decimal,
    entries: Sequence[Entry],
    months_seen: Collection[tuple[int, int]] | None = None,
) -> Traced:
    """Trace a mixed account entry by entry.

    Args:
        months_seen: (year, month) of every statement at hand; tracing stops at the first month without one.

    Raises:
        InputError: a negative amount, entries out of order, a deposit without its pool.
    """
    not_negative(
        opening_community=opening_community,
        opening_separate=opening_separate,
        **{f"entry_{i}": e.amount for i, e in enumerate(entries, 1)},
    )
    pools = {"community": opening_community, "separate": opening_separate}
    purchases: list[Drawn] = []
    steps = [
        Step(
            "Opening balance",
            f"community {money(opening_community)}, separate {money(opening_separate)}",
            money(opening_community + opening_separate),
        )
    ]
    spent, stopped = NOTHING, ""
    earlier: date | None = None
    for entry in entries:
        require(earlier is None or entry.on >= earlier, f"the entries are out of order at {entry.on}")
        gap = _missing_month(earlier, entry.on, months_seen)
        if gap:
            stopped = f"no statement for {gap}"
            break
        earlier = entry.on
        if entry.kind == "deposit":
            require(entry.pool is not None, f"the deposit of {entry.on} does not say whose money it was")
            pools[entry.pool or "community"] += entry.amount
            steps.append(Step(f"{entry.on} deposit", f"{entry.pool} + {money(entry.amount)}", _balances(pools)))
            continue
        if entry.amount > pools["community"] + pools["separate"] or (entry.pool and entry.amount > pools[entry.pool]):
            stopped = f"{entry.on}: {money(entry.amount)} is more than was there ({_balances(pools)})"
            break
        from_community = _from_community(entry, pools)
        from_separate = entry.amount - from_community
        pools["community"] -= from_community
        pools["separate"] -= from_separate
        rule = "family expenses are presumed paid with community money (See v. See (1966) 64 Cal.2d 778, from memory)"
        if entry.kind == "family_expense":
            spent += from_separate
        else:
            purchases.append(Drawn(entry, from_community, from_separate))
            rule = "direct tracing (In re Marriage of Mix (1975) 14 Cal.3d 604, from memory)"
        steps.append(
            Step(
                f"{entry.on} {entry.what or entry.kind.replace('_', ' ')}",
                f"community {money(from_community)}, separate {money(from_separate)}",
                _balances(pools),
                rule,
            )
        )
    cautions = [f"Tracing stopped: {stopped}. Ask for the missing record."] if stopped else []
    if spent:
        cautions.append(
            f"{money(spent)} of separate money paid family expenses; it is not repaid unless agreed (See, from memory)."
        )
    total = sum((drawn.separate for drawn in purchases), NOTHING)
    figure = Figure("separate money traced", total, "dollars", tuple(steps), (), tuple(cautions))
    return Traced(tuple(purchases), pools["community"], pools["separate"], spent, stopped, figure)


def _from_community(entry: Entry, pools: dict[str, Decimal]) -> Decimal:
    if entry.kind == "purchase" and entry.pool:
        return entry.amount if entry.pool == "community" else NOTHING
    return min(entry.amount, pools["community"])


def _balances(pools: dict[str, Decimal]) -> str:
    return f"community {money(pools['community'])}, separate {money(pools['separate'])}"


def _missing_month(earlier: date | None, now: date, seen: Collection[tuple[int, int]] | None) -> str:
    if seen is None:
        return ""
    year, month = (earlier.year, earlier.month) if earlier else (now.year, now.month)
    while (year, month) <= (now.year, now.month):
        if (year, month) not in seen:
            return f"{year}-{month:02d}"
        year, month = (year + 1, 1) if month == 12 else (year, month + 1)
    return ""


def from_facts(facts: Facts, key: str) -> Credits | None:
    """The § 2640 credits recorded for one asset; None if it has none, no value, or a negative value or lien."""
    asset = facts.assets[key]
    claims = [c for c in asset.separate_claims if c.basis == "contribution_2640" and c.amount is not None]
    owed = (asset.owing or NOTHING) + sum(
        (d.owing or NOTHING for d in facts.debts.values() if d.secured_by == key), NOTHING
    )
    if (
        not claims
        or asset.value is None
        or asset.value < 0
        or owed < 0
        or any((c.amount or NOTHING) < 0 for c in claims)
    ):
        return None
    return credits_2640(
        [Contribution(c.by, c.amount or NOTHING, waived=c.result == "waived") for c in claims],
        asset.value,
        owed,
        joint_title_on=asset.acquired_on if asset.titled == "both" else None,
    )
