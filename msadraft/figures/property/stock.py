"""Stock options and units: the community part of each tranche by one of two time fractions.

Hug counts from the first day of work, for grants that reward past work or won the employee over; Nelson counts from
the day of grant, for grants that look ahead. Which one fits is for the parties or the court.
Sources: In re Marriage of Hug (1984) 154 Cal.App.3d 780; In re Marriage of Nelson (1986) 177 Cal.App.3d 150.
"""

from __future__ import annotations

from collections.abc import Sequence
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
    ONE,
    days,
    divide,
    not_negative,
    number,
    other,
    percent,
    percent_of,
    places,
    require,
    whole_months,
)

Formula = Literal["hug", "nelson"]
SOURCES = {
    "hug": "In re Marriage of Hug (1984) 154 Cal.App.3d 780",
    "nelson": "In re Marriage of Nelson (1986) 177 Cal.App.3d 150",
}
UNIT_PLACES = 4


@dataclass(frozen=True, slots=True)
class Tranche:
    """Units that become exercisable, or vest, on one day."""

    granted_on: date
    exercisable_on: date
    units: Decimal
    name: str = ""


def fraction(
    start: date,
    exercisable_on: date,
    married_on: date,
    separated_on: date,
    convention: Literal["days", "months"] = "days",
) -> Decimal:
    """Time from `start` to the exercisable day that lies between marriage and separation, over all of it; 0 to 1.

    Where work or grant began in the marriage, this is the published fraction. Time before the marriage is the
    holder's own. Months are completed months; they lose the days over, so days are the usual choice.

    Raises:
        InputError: the units become exercisable before `start`, or the separation lies before the marriage.
    """
    require(start <= exercisable_on, f"exercisable on {exercisable_on}, before the count begins on {start}")
    require(married_on <= separated_on, f"the separation ({separated_on}) lies before the marriage ({married_on})")
    count = days if convention == "days" else whole_months
    whole = count(start, exercisable_on)
    first, last = max(start, married_on), min(exercisable_on, separated_on)
    if whole == 0:
        return ONE if married_on <= exercisable_on <= separated_on else Decimal(0)
    return min(ONE, Decimal(count(first, last)) / whole) if last > first else Decimal(0)


@dataclass(frozen=True, slots=True)
class TrancheShare:
    """One tranche divided. `community + separate == units`; `to_holder + to_other == units`."""

    tranche: Tranche
    fraction: Decimal
    community: Decimal
    separate: Decimal
    to_holder: Decimal
    to_other: Decimal

    @property
    def percent(self) -> Decimal:
        """The community fraction as a percentage with four decimals."""
        return percent_of(self.fraction)


@dataclass(frozen=True, slots=True)
class StockShares:
    """All tranches divided, and their sums."""

    shares: tuple[TrancheShare, ...]
    community: Decimal
    separate: Decimal
    to_holder: Decimal
    to_other: Decimal
    figure: Figure


def stock_shares(
    tranches: Sequence[Tranche],
    formula: Formula,
    married_on: date,
    separated_on: date,
    *,
    hired_on: date | None = None,
    convention: Literal["days", "months"] = "days",
    unit_places: int = UNIT_PLACES,
) -> StockShares:
    """Divide tranches by a formula. Units are rounded to `unit_places`, half up; the separate part is the remainder.

    Raises:
        InputError: Hug without the first day of work, dates out of order, negative units.
    """
    require(formula != "hug" or hired_on is not None, "the Hug formula needs the first day of work")
    shares: list[TrancheShare] = []
    steps: list[Step] = []
    cautions = [
        f"Counted by {convention}." + (" Days beyond a completed month are lost." if convention == "months" else "")
    ]
    for index, tranche in enumerate(tranches, 1):
        name = tranche.name or f"tranche {index}"
        not_negative(**{f"units_of_{name.replace(' ', '_')}": tranche.units})
        start = hired_on if formula == "hug" and hired_on else tranche.granted_on
        part = fraction(start, tranche.exercisable_on, married_on, separated_on, convention)
        if tranche.granted_on > separated_on:
            cautions.append(
                f"{name.capitalize()} was granted after the separation; on its facts it may be wholly separate (Nelson)."
            )
        shares.append(_divided(tranche, part, unit_places))
        steps.append(
            Step(
                name,
                f"{start} to {tranche.exercisable_on}, {number(tranche.units)} units × {percent(part)}",
                f"{number(shares[-1].community)} community",
                SOURCES[formula],
            )
        )
    return _summed(shares, steps, cautions)


def _divided(tranche: Tranche, part: Decimal, unit_places: int) -> TrancheShare:
    unit = ONE.scaleb(-unit_places)
    community = min(tranche.units, places(tranche.units * part, unit_places))
    to_other = divide(community, (ONE, ONE), unit)[1]
    return TrancheShare(tranche, part, community, tranche.units - community, tranche.units - to_other, to_other)


def agreed_share(tranche: Tranche, community_percent: Decimal, unit_places: int = UNIT_PLACES) -> TrancheShare:
    """Divide one tranche by a community percentage that the parties agreed on."""
    not_negative(units=tranche.units, community_percent=community_percent)
    require(community_percent <= HUNDRED, "a percentage is above one hundred")
    return _divided(tranche, community_percent / HUNDRED, unit_places)


def _summed(shares: list[TrancheShare], steps: list[Step], cautions: list[str]) -> StockShares:
    zero = Decimal(0)
    community = sum((s.community for s in shares), zero)
    separate = sum((s.separate for s in shares), zero)
    to_other = sum((s.to_other for s in shares), zero)
    figure = Figure("community units", community, "units", tuple(steps), (), tuple(cautions))
    return StockShares(tuple(shares), community, separate, sum((s.to_holder for s in shares), zero), to_other, figure)


@dataclass(frozen=True, slots=True)
class PlanUnits:
    """The units of one stock plan of the facts, and who holds them.

    `shares` is None if a fact is missing or comes in the wrong order of days; `missing` names those facts.
    """

    key: str
    holder: PartyRole | None
    other: PartyRole | None
    shares: StockShares | None
    missing: tuple[str, ...]


def from_facts(facts: Facts, key: str) -> PlanUnits | None:
    """Divide the units of one stock plan by the formula in the facts. None if the asset is not a stock plan."""
    plan = facts.assets[key].stock_plan
    if plan is None:
        return None
    hired_on = plan.hired_on
    path = f"assets.{key}.stock_plan"
    holder = plan.holder
    missing: list[str] = [] if plan.formula else [f"{path}.formula"]
    tranches = [
        (grant, Tranche(grant.granted_on, vest.on, vest.units, f"{name} of {vest.on}"))
        for name, grant in plan.grants.items()
        for vest in grant.vests
    ]
    missing += [f"{path}.grants.{name}.vests" for name, grant in plan.grants.items() if not grant.vests]
    missing += [
        f"{path}.grants.{t.name.split(' ')[0]}.granted_on" for g, t in tranches if g.granted_on > t.exercisable_on
    ]
    if plan.formula == "agreed_percent":
        missing += [
            f"{path}.grants.{name}.community_percent"
            for name, grant in plan.grants.items()
            if grant.community_percent is None
        ]
    period = marriage_days(facts)
    if period is None or period.separated_on is None:
        missing.append("marriage.separated_on")
    if plan.formula == "hug" and hired_on is None:
        missing.append(f"{path}.hired_on")
    if plan.formula == "hug" and hired_on and any(hired_on > t.exercisable_on for _, t in tranches):
        missing.append(f"{path}.hired_on")
    shares = None
    if not missing and period and period.separated_on:
        if plan.formula in ("hug", "nelson"):
            formula: Formula = "hug" if plan.formula == "hug" else "nelson"
            shares = stock_shares(
                [t for _, t in tranches], formula, period.married_on, period.separated_on, hired_on=hired_on
            )
        else:
            fixed = {"all_community": HUNDRED, "all_separate": Decimal(0)}
            divided = [
                agreed_share(t, fixed.get(plan.formula or "", g.community_percent or Decimal(0))) for g, t in tranches
            ]
            steps = [
                Step(
                    s.tranche.name,
                    f"{number(s.tranche.units)} units × {percent(s.fraction)}",
                    f"{number(s.community)} community",
                    "agreement of the parties",
                )
                for s in divided
            ]
            shares = _summed(divided, steps, [])
    return PlanUnits(key, holder, other(holder) if holder else None, shares, tuple(dict.fromkeys(missing)))
