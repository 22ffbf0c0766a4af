"""Damages for a personal injury, and the remedy for an asset that was hidden or wrongly transferred.

Sources: Fam. Code §§ 780, 781, 2603 (injury); § 1101(g), (h) (breach of the duty between spouses). Dollars.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from msadraft.facts.scalars import PartyRole
from msadraft.figures.figure import Figure, Step
from msadraft.figures.property.characterisation import SEPARATE, Acquisition, Character, MarriageDays, characterise
from msadraft.figures.property.working import HUNDRED, NOTHING, cents, money, not_negative, number, require
from msadraft.law.parameters import law


@dataclass(frozen=True, slots=True)
class Injury:
    """Money received for a personal injury.

    Attributes:
        amount: what was received, less liens of a health plan and the cost of recovery.
        arose_on: day on which the claim arose.
        commingled: mixed with other community money.
        paid_by_community: expenses of the injury that community money paid.
        paid_by_other: expenses of the injury that the other spouse's separate money paid.
    """

    injured: PartyRole
    amount: Decimal
    arose_on: date
    against_other_spouse: bool = False
    commingled: bool = False
    paid_by_community: Decimal = NOTHING
    paid_by_other: Decimal = NOTHING


@dataclass(frozen=True, slots=True)
class InjuryDivision:
    """The result: whose it is, the least and the most that the injured spouse may receive, what is reimbursed first."""

    injured: PartyRole
    amount: Decimal
    character: Character
    least: Decimal
    most: Decimal
    usual: Decimal
    to_community: Decimal
    to_other: Decimal
    figure: Figure


def injury(damages: Injury, days: MarriageDays) -> InjuryDivision:
    """Find the range within which the damages may be divided.

    Separate damages go to the injured spouse, less what is reimbursed out of them; community damages go to the
    injured spouse unless justice asks otherwise, and at least half; commingled ones are divided equally.

    Raises:
        InputError: a negative amount.
    """
    not_negative(
        amount=damages.amount, paid_by_community=damages.paid_by_community, paid_by_other=damages.paid_by_other
    )
    found = characterise(
        Acquisition(
            damages.arose_on,
            "injury_damages",
            damages.injured,
            commingled=damages.commingled,
            against_other_spouse=damages.against_other_spouse,
        ),
        days,
    )
    character: Character = found.character or "community"
    steps = [
        Step(t.question, t.answer, "decides" if t.decides else "goes on", t.source) for t in found.tests if t.decides
    ]
    to_community = to_other = NOTHING
    if character == SEPARATE[damages.injured]:
        if not damages.against_other_spouse:
            to_community = min(damages.amount, damages.paid_by_community)
            to_other = min(damages.amount - to_community, damages.paid_by_other)
        least = most = usual = damages.amount - to_community - to_other
        steps.append(
            Step(
                "Reimbursed out of it",
                f"{money(to_community)} to the community, {money(to_other)} to the other spouse",
                money(usual),
                "Fam. Code § 781(b)",
            )
        )
    elif damages.commingled:
        least = most = usual = cents(damages.amount / 2)
        steps.append(
            Step(
                "Commingled: divided equally",
                f"{money(damages.amount)} ÷ 2",
                money(least),
                "Fam. Code §§ 2550, 2603(a)",
            )
        )
    else:
        share = law(
            "property/injury_damages_least_share",
            damages.arose_on if damages.arose_on.year >= 1994 else date(1994, 1, 1),
        )
        least, most = cents(damages.amount * share.number / HUNDRED), damages.amount
        usual = most
        steps.append(
            Step(
                "Least share of the injured spouse",
                f"{money(damages.amount)} × {number(share.number)}%",
                money(least),
                share.source,
            )
        )
    figure = Figure("damages for an injury", usual, "dollars", tuple(steps), (), found.cautions)
    return InjuryDivision(
        damages.injured, damages.amount, character, least, most, usual, to_community, to_other, figure
    )


def check_award(division: InjuryDivision, to_injured: Decimal) -> None:
    """Check an award to the injured spouse against the range.

    Raises:
        InputError: it lies outside; the message names the range and the section.
    """
    require(
        division.least <= to_injured <= division.most,
        f"the injured spouse would receive {money(to_injured)}, outside {money(division.least)} to {money(division.most)} (Fam. Code § 2603(b))",
    )


@dataclass(frozen=True, slots=True)
class BreachRemedy:
    """What the wronged spouse receives of an asset: the value that counts, and the share of it. Fees come on top."""

    value: Decimal
    award: Decimal
    figure: Figure


def breach_remedy(
    at_breach: Decimal | None, at_sale: Decimal | None, at_award: Decimal, *, malice: bool, day: date
) -> BreachRemedy:
    """The remedy for an undisclosed or wrongly transferred asset: half of its highest value, or all of it.

    Args:
        malice: whether the breach meets Civ. Code § 3294 (malice, oppression, fraud).
        day: day of the award, for the dated share.
    """
    not_negative(value_at_breach=at_breach, value_at_sale=at_sale, value_at_award=at_award)
    value = max(v for v in (at_breach, at_sale, at_award) if v is not None)
    rows = law("property/undisclosed_asset_share", day).rows
    row = next(r for r in rows if r["breach"] == ("malice_oppression_fraud" if malice else "breach"))
    award = cents(value * row["percent"] / HUNDRED)
    given = ", ".join(money(v) for v in (at_breach, at_sale, at_award) if v is not None)
    steps = (
        Step("Highest value at breach, sale or award", given, money(value), "Fam. Code § 1101(g)"),
        Step("Award", f"{money(value)} × {number(row['percent'])}%", money(award), row["source"]),
    )
    return BreachRemedy(
        value,
        award,
        Figure(
            "remedy for a breach",
            award,
            "dollars",
            steps,
            (),
            ("Attorney fees and costs come on top (Fam. Code § 1101(g)).",),
        ),
    )
