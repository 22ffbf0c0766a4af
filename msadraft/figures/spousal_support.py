"""Spousal support of one case, in one direction: every figure that its facts allow.

The parts are worked out in `marriage_length`, `spousal_steps`, `spousal_bonus`, `spousal_rules` and `amortization`; this
module takes the facts apart for them. What the facts do not say is None; what they say but cannot be worked out is a
figure without a value whose cautions say why.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from msadraft.facts.model import Facts
from msadraft.facts.scalars import PartyRole
from msadraft.facts.support import SpousalSupport
from msadraft.figures.counting import CountingError, written
from msadraft.figures.figure import Figure, Step
from msadraft.figures.marriage_length import HalfLength, MarriageLength, case_marriage_length, half_length
from msadraft.figures.spousal_bonus import Band, BonusWorksheet, bonus_worksheet
from msadraft.figures.spousal_rules import TaxTreatment, local_formula, tax_treatment, temporary_support
from msadraft.figures.spousal_steps import (
    CoverTable,
    MonthlyStep,
    PresentWorth,
    StepTable,
    cover_table,
    present_worth,
    step_table,
)
from msadraft.figures.support_amounts import SupportInputError, rounded
from msadraft.law.parameters import LawNotKnownError


@dataclass(frozen=True, slots=True)
class SpousalFigures:
    """The figures of support to one party.

    - `steps`: each step and the total, or the one step of a fixed term
    - `half`: half of the marriage's length as a term from the first payment; only for a marriage that is not long
    - `term_share`: the term as a percentage of the marriage's length
    - `bonus`: what is due on irregular income, by bands
    - `cover`: cover that secures what is unpaid, year by year
    - `worth`: present value of the support that a buy-out takes the place of, at the rate in the facts
    - `tax`: tax treatment by the day of signing
    - `temporary`: the formula of the county's own rule, if one is known; a note in the margin, no basis for a judgment
    - `unworked`: figures without a value, for facts that contradict each other
    """

    steps: StepTable | None = None
    half: HalfLength | None = None
    term_share: Figure | None = None
    bonus: BonusWorksheet | None = None
    cover: CoverTable | None = None
    worth: PresentWorth | None = None
    tax: TaxTreatment | None = None
    temporary: Figure | None = None
    unworked: tuple[Figure, ...] = ()

    @property
    def total(self) -> Decimal:
        """The sum of all steps; nothing where none is stated."""
        return self.steps.total if self.steps else Decimal("0.00")

    @property
    def all(self) -> tuple[Figure, ...]:
        """Every figure there is."""
        parts = (self.steps, self.half, self.bonus, self.cover, self.worth, self.tax)
        found = [part.figure for part in parts if part is not None]
        return (*found, *(figure for figure in (self.term_share, self.temporary) if figure), *self.unworked)


def term_share(marriage: MarriageLength, starts_on: date, ends_on: date, facts: tuple[str, ...] = ()) -> Figure:
    """A term of support as a percentage of the marriage's length, both in days; two decimals.

    Half is the general guide for a marriage that was not long (Fam. Code § 4320(l)).

    Raises:
        CountingError: the term ends before it begins, or the marriage has no day.
    """
    if ends_on < starts_on or marriage.days == 0:
        raise CountingError(
            "a share of the marriage's length needs a term that ends after it begins, and a marriage of at least a day"
        )
    days = (ends_on - starts_on).days + 1
    percent = rounded(Decimal(days) * 100 / marriage.days)
    steps = (
        Step("Days of the term", f"{written(starts_on)} through {written(ends_on)}", f"{days:,}", "both days counted"),
        Step(
            "Share of the marriage", f"{days:,} / {marriage.days:,} days", f"{percent} percent", "Fam. Code § 4320(l)"
        ),
    )
    return Figure("term_share", percent, "percent", steps, facts)


def executed_on(facts: Facts, day: date) -> date:
    """The day on which the agreement is executed: that of the later signature, or the planned day until both have signed."""
    first, second = facts.petitioner.signed_on, facts.respondent.signed_on
    return max(first, second) if first and second else day


def spousal_figures(facts: Facts, to: PartyRole, day: date) -> SpousalFigures:
    """Every figure of support to one party that the facts allow, as of the day of signing."""
    path = f"spousal_support.to_{to}"
    support = facts.spousal_support.to_petitioner if to == "petitioner" else facts.spousal_support.to_respondent
    work = _Work(facts, support, path, to, day)
    steps = work.steps()
    return SpousalFigures(
        steps=steps,
        half=work.half(),
        term_share=work.term_share(steps),
        bonus=work.bonus(),
        cover=work.cover(steps),
        worth=work.worth(steps),
        tax=work.tax(),
        temporary=work.temporary(),
        unworked=tuple(work.unworked),
    )


class _Work:
    """The facts of one direction, and the figures that could not be worked out."""

    def __init__(self, facts: Facts, support: SpousalSupport, path: str, to: PartyRole, day: date) -> None:
        self.facts, self.support, self.path, self.to, self.day = facts, support, path, to, day
        self.unworked: list[Figure] = []
        length = case_marriage_length(facts)
        self.marriage = length if isinstance(length, MarriageLength) else None

    def _fail(self, name: str, unit: str, paths: tuple[str, ...], error: Exception) -> None:
        self.unworked.append(Figure(name, None, unit, (), paths, (f"{error}.",)))

    def _paths(self, *names: str) -> tuple[str, ...]:
        return tuple(f"{self.path}.{name}" for name in names)

    def steps(self) -> StepTable | None:
        """The table of steps; a fixed term at one amount is a table of one step."""
        s = self.support
        if s.steps:
            steps = [MonthlyStep(step.from_day, step.to_day, step.amount) for step in s.steps]
            paths = tuple(f"{self.path}.steps.{n}" for n in range(len(steps)))
        elif s.amount is not None and s.starts_on and s.ends_on:
            steps = [MonthlyStep(s.starts_on, s.ends_on, s.amount)]
            paths = self._paths("amount", "starts_on", "ends_on")
        else:
            return None
        try:
            return step_table(steps, paths)
        except SupportInputError as error:
            self._fail("spousal_total", "dollars", paths, error)
            return None

    def half(self) -> HalfLength | None:
        """Half of the length, from the first payment on."""
        if self.marriage is None or self.marriage.long or self.support.starts_on is None:
            return None
        return half_length(
            self.marriage, self.support.starts_on, (*self.marriage.figure.facts, *self._paths("starts_on"))
        )

    def term_share(self, steps: StepTable | None) -> Figure | None:
        """The share of the marriage's length that the stated term has."""
        s = self.support
        if self.marriage is None or self.marriage.days == 0:
            return None
        starts = s.starts_on or (steps.starts_on if steps else None)
        ends = s.ends_on or (steps.ends_on if steps else None)
        if starts is None or ends is None:
            return None
        paths = self._paths(*("starts_on" if s.starts_on else "steps", "ends_on" if s.ends_on else "steps"))
        try:
            return term_share(self.marriage, starts, ends, tuple(dict.fromkeys(paths)))
        except CountingError as error:
            self._fail("term_share", "percent", paths, error)
            return None

    def bonus(self) -> BonusWorksheet | None:
        """The worksheet of irregular income."""
        extra = self.support.extra_income
        if extra is None or not extra.bands:
            return None
        bands = [Band(band.over, band.up_to, band.percent) for band in extra.bands]
        paths = self._paths(
            "extra_income.bands", *(("extra_income.yearly_cap",) if extra.yearly_cap is not None else ())
        )
        try:
            return bonus_worksheet(bands, extra.yearly_cap, facts=paths)
        except SupportInputError as error:
            self._fail("bonus_worksheet", "dollars a year", paths, error)
            return None

    def cover(self, steps: StepTable | None) -> CoverTable | None:
        """The cover needed; compared with the insurance agreed on, if there is any."""
        if steps is None or self.support.outcome != "payable":
            return None
        insured = [n for n, given in enumerate(self.support.security) if given.kind == "insurance"]
        amounts = [self.support.security[n].amount for n in insured]
        known = [amount for amount in amounts if amount is not None]
        secured = sum(known, Decimal("0.00")) if insured and len(known) == len(amounts) else None
        paths = (*steps.figure.facts, *(f"{self.path}.security.{n}.amount" for n in insured))
        return cover_table(steps, secured, facts=paths)

    def worth(self, steps: StepTable | None) -> PresentWorth | None:
        """The present value of the months that a buy-out takes the place of."""
        trade = self.support.buy_out
        if steps is None or trade is None or trade.rate is None:
            return None
        valued_on = min(trade.due_on or self.day, steps.starts_on)
        return present_worth(steps, trade.rate, valued_on, (*steps.figure.facts, *self._paths("buy_out.rate")))

    def tax(self) -> TaxTreatment | None:
        """The tax treatment, unless an older order is changed and keeps its own rule, whose day the facts do not give."""
        if self.support.outcome not in ("payable", "nominal") and self.support.lump_sum is None:
            return None
        if self.support.tax_rule == "earlier_order_kept":
            return None
        executed = executed_on(self.facts, self.day)
        signed = self.facts.petitioner.signed_on and self.facts.respondent.signed_on
        paths = ("petitioner.signed_on", "respondent.signed_on") if signed else ("case.signing_on",)
        try:
            return tax_treatment(
                executed, relationship=self.facts.case.relationship, facts=(*paths, *self._paths("tax_rule"))
            )
        except LawNotKnownError as error:
            self._fail("spousal_tax", "treatment", paths, error)
            return None

    def temporary(self) -> Figure | None:
        """The county's formula on both nets, less the child support that is paid."""
        petitioner, respondent = self.facts.petitioner.net_monthly_income, self.facts.respondent.net_monthly_income
        county = self.facts.case.county
        if self.support.outcome not in ("payable", "nominal") or petitioner is None or respondent is None:
            return None
        if local_formula(county, self.day) is None:
            return None
        payer, recipient = (respondent, petitioner) if self.to == "petitioner" else (petitioner, respondent)
        child = self.facts.child_support
        paid = child.amount if child.amount is not None and child.payer is not None else Decimal("0.00")
        by_payer, by_recipient = (Decimal("0.00"), paid) if child.payer == self.to else (paid, Decimal("0.00"))
        paths = (
            "petitioner.net_monthly_income",
            "respondent.net_monthly_income",
            "child_support.amount",
            "child_support.payer",
            "case.county",
        )
        try:
            return temporary_support(county, payer, recipient, self.day, by_payer, by_recipient, paths)
        except SupportInputError as error:
            self._fail("temporary_support", "dollars a month", paths, error)
            return None
