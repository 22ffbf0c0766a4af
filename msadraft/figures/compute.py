"""All figures of a case in one place: pure functions of the facts, seen by clauses and findings as `figures`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import TYPE_CHECKING

from msadraft.facts.model import Facts
from msadraft.facts.people import Child
from msadraft.facts.property import Asset, Debt
from msadraft.facts.view import Records
from msadraft.figures.dates import (
    Span,
    age,
    birthday,
    earliest_default,
    earliest_status,
    jurisdiction_day,
    span,
    support_end,
)
from msadraft.figures.ledger import Ledger, ledger
from msadraft.figures.marriage_length import marriage_start

if TYPE_CHECKING:
    from msadraft.figures.amortization import NoteSchedule
    from msadraft.figures.case_dates import CaseDates
    from msadraft.figures.figure import Figure
    from msadraft.figures.parenting.holidays import Strength
    from msadraft.figures.parenting.summary import ParentingTime
    from msadraft.figures.parenting.words import WindowWords
    from msadraft.figures.property.characterisation import AssetCharacter
    from msadraft.figures.property.contributions import Credits
    from msadraft.figures.property.pensions import PlanDivision
    from msadraft.figures.property.stock import PlanUnits
    from msadraft.figures.spousal_support import SpousalFigures
    from msadraft.figures.support_from_facts import ChildSupportFigures

LONG_MARRIAGE_MONTHS = 120


@dataclass(frozen=True)
class Figures:
    """What follows from the facts. Each name is one figure; see the functions that work them out.

    The fields are cheap and always there. The properties after them are worked out when they are first asked for.
    """

    facts: Facts = field(repr=False, compare=False)

    as_of: date
    marriage: Span
    marriage_starts_on: date
    long_marriage: bool
    half_length_months: Decimal
    minor_children: Records
    supported_children: Records
    adult_children: Records
    children_of_both: Records
    children_of_one: Records
    born_before_marriage: Records
    unborn_children: Records
    adult_children_in_need: Records
    ages: dict[str, int]
    party_ages: dict[str, int]
    turns_18_on: dict[str, date]
    support_ends_on: dict[str, date]
    default_path: bool
    true_default: bool
    joint_path: bool
    one_unrepresented: bool
    both_unrepresented: bool
    violence: bool
    abduction_risk: bool
    jurisdiction_on: date | None
    earliest_status_on: date | None
    earliest_default_on: date | None
    status_on: date | None
    ledger: Ledger
    awarded_to_petitioner: Records
    awarded_to_respondent: Records
    split_assets: Records
    sold_assets: Records
    later_assets: Records
    separate_of_petitioner: Records
    separate_of_respondent: Records
    homes: Records
    vehicles: Records
    accounts: Records
    retirement_plans: Records
    divided_plans: Records
    kept_plans: Records
    businesses: Records
    stock_plans: Records
    crypto: Records
    works: Records
    animals: Records
    policies: Records
    claims: Records
    child_accounts: Records
    debts_of_petitioner: Records
    debts_of_respondent: Records
    debts_split: Records
    debts_from_sale: Records
    separate_debts_of_petitioner: Records
    separate_debts_of_respondent: Records
    joint_debts: Records
    education_debts: Records
    has_community_property: bool
    has_real_property: bool

    @cached_property
    def child_support(self) -> ChildSupportFigures:
        """Guideline, add-ons, duration and the rest of child support.

        Times are those of the recorded run; if it has none they come unrounded from the parenting calendar.
        """
        from msadraft.figures.support_from_facts import child_support_figures

        recorded = self.facts.child_support.guideline_inputs
        by_run = recorded and (recorded.petitioner_time_percent, recorded.respondent_time_percent) != (None, None)
        shares: dict[str, Decimal] = {}
        for key in () if by_run else self.supported_children.keys:
            share = self.parenting_time.of_child(key)
            if share is not None:
                part = share.fraction("petitioner")
                shares[key] = Decimal(part.numerator) * 100 / Decimal(part.denominator)
        times = shares if len(shares) == len(self.supported_children.keys) else None
        return child_support_figures(
            self.facts, day=self.as_of, children=self.supported_children.keys, petitioner_time=times
        )

    @cached_property
    def parenting_time(self) -> ParentingTime:
        """Hours, overnights and days of each parent over two whole years, and what the calendar cannot place."""
        from msadraft.figures.parenting.summary import parenting_time

        return parenting_time(self.facts, self.minor_children.keys, self.as_of)

    @cached_property
    def holiday_words(self) -> dict[str, WindowWords]:
        """Beginning and end of each holiday in words, from the same data that the calendar uses."""
        from msadraft.figures.parenting.from_facts import holiday_words

        return holiday_words(self.facts)

    @cached_property
    def holiday_strengths(self) -> dict[str, Strength]:
        """How strong each holiday is against others of the same time, as the calendar takes it."""
        from msadraft.figures.parenting.from_facts import holiday_strengths

        return holiday_strengths(self.facts)

    @cached_property
    def weekend_blocks(self) -> tuple[str, ...]:
        """Positions of the blocks that belong to numbered weekends; the other blocks repeat every week."""
        from msadraft.figures.parenting.from_facts import weekend_blocks

        return weekend_blocks(self.facts.parenting)

    @cached_property
    def summer_words(self) -> WindowWords | None:
        """Beginning and end of summer in words."""
        from msadraft.figures.parenting.from_facts import summer_words

        return summer_words(self.facts)

    @cached_property
    def dates(self) -> CaseDates:
        """Procedural dates, each with its counting."""
        from msadraft.figures.case_dates import case_dates

        return case_dates(self.facts)

    @cached_property
    def support_of_petitioner(self) -> SpousalFigures:
        """Figures of support paid to the petitioner."""
        from msadraft.figures.spousal_support import spousal_figures

        return spousal_figures(self.facts, "petitioner", self.as_of)

    @cached_property
    def support_of_respondent(self) -> SpousalFigures:
        """Figures of support paid to the respondent."""
        from msadraft.figures.spousal_support import spousal_figures

        return spousal_figures(self.facts, "respondent", self.as_of)

    @cached_property
    def alimony_rules_match(self) -> bool:
        """Whether neither federal nor California law lets new spousal support be deducted, by the day of signing.

        False too for a day before the law data begin.
        """
        from msadraft.figures.spousal_rules import tax_treatment
        from msadraft.figures.spousal_support import executed_on
        from msadraft.law.parameters import LawNotKnownError

        try:
            found = tax_treatment(executed_on(self.facts, self.as_of))
        except LawNotKnownError:
            return False
        return found.alike and found.federal == "neither"

    @cached_property
    def note_or_why_not(self) -> NoteSchedule | Figure | None:
        """The payments of the equalizing note, or a figure whose cautions say why there are none; None without a note."""
        from msadraft.figures.amortization import equalizing_note

        return equalizing_note(self.facts, self.as_of)

    @cached_property
    def note(self) -> NoteSchedule | None:
        """The payments of the equalizing note; None if there is none, or its terms are incomplete or contradict each other."""
        from msadraft.figures.amortization import NoteSchedule

        found = self.note_or_why_not
        return found if isinstance(found, NoteSchedule) else None

    @cached_property
    def plan_divisions(self) -> dict[str, PlanDivision]:
        """How each retirement plan divides, as far as its facts say, by the asset's short name."""
        from msadraft.figures.property.pensions import from_facts

        return {key: found for key in self.facts.assets if (found := from_facts(self.facts, key))}

    @cached_property
    def stock_units(self) -> dict[str, PlanUnits]:
        """The community units of each stock plan, by the asset's short name."""
        from msadraft.figures.property.stock import from_facts

        return {key: found for key in self.facts.assets if (found := from_facts(self.facts, key))}

    @cached_property
    def contributions(self) -> dict[str, Credits]:
        """The separate contributions repaid out of each asset that has any, by its short name."""
        from msadraft.figures.property.contributions import from_facts

        return {key: found for key in self.facts.assets if (found := from_facts(self.facts, key))}

    @cached_property
    def characters(self) -> dict[str, AssetCharacter]:
        """Whose each asset is by its day, title and kind, by the asset's short name; empty if the marriage's days contradict."""
        from msadraft.figures.property.characterisation import asset_character

        return {key: found for key in self.facts.assets if (found := asset_character(self.facts, key))}


def compute(facts: Facts) -> Figures:
    """Work out every figure of the case. Ages and ends of support are taken on the planned signing day.

    A case without a signing day is taken as of the later of the separation and the latest dated event of the
    case, so that nothing depends on the clock.
    """
    as_of = signing_day(facts)
    started = marriage_start(facts.marriage)
    length = span(started, facts.marriage.separated_on)
    children = facts.children
    of_both = {k: c for k, c in children.items() if c.of_both}
    minors = [k for k, c in of_both.items() if is_minor(c, as_of)]
    ends = {k: day for k, c in of_both.items() if (day := support_end(c))}
    supported = [
        k for k, c in of_both.items() if k in minors or (not c.married_or_emancipated and k in ends and as_of < ends[k])
    ]
    assets, debts = facts.assets, facts.debts
    community = {k: a for k, a in assets.items() if a.character not in ("separate_petitioner", "separate_respondent")}
    shared_debts = {k: d for k, d in debts.items() if d.character not in ("separate_petitioner", "separate_respondent")}

    def pick_assets(test: Callable[[Asset], bool]) -> Records:
        return Records("assets", tuple(k for k, a in community.items() if test(a)))

    def of_kind(kind: str) -> Records:
        return Records("assets", tuple(k for k, a in assets.items() if a.kind == kind))

    def pick_debts(test: Callable[[Debt], bool]) -> Records:
        return Records("debts", tuple(k for k, d in shared_debts.items() if test(d)))

    representation = [p.representation for p in (facts.petitioner, facts.respondent)]
    represented = [r in ("attorney", "limited_scope") for r in representation]
    return Figures(
        facts=facts,
        as_of=as_of,
        marriage=length,
        marriage_starts_on=started,
        long_marriage=length.months >= LONG_MARRIAGE_MONTHS,
        half_length_months=(Decimal(length.months) / 2),
        minor_children=Records("children", tuple(minors)),
        supported_children=Records("children", tuple(supported)),
        adult_children=Records("children", tuple(k for k, c in of_both.items() if k not in supported and c.born_on)),
        children_of_both=Records("children", tuple(of_both)),
        children_of_one=Records("children", tuple(k for k, c in children.items() if not c.of_both)),
        born_before_marriage=Records("children", tuple(k for k, c in of_both.items() if c.before_marriage)),
        unborn_children=Records("children", tuple(k for k, c in of_both.items() if not c.born_on and c.due_on)),
        adult_children_in_need=Records(
            "children", tuple(k for k, c in of_both.items() if c.incapacity and k not in minors)
        ),
        ages={k: age(c.born_on, as_of) for k, c in children.items() if c.born_on},
        party_ages={
            role: age(one.born_on, as_of)
            for role, one in (("petitioner", facts.petitioner), ("respondent", facts.respondent))
            if one.born_on
        },
        turns_18_on={k: birthday(c.born_on, 18) for k, c in children.items() if c.born_on},
        support_ends_on=ends,
        default_path=facts.case.path in ("default", "default_with_agreement"),
        true_default=facts.case.path == "default",
        joint_path=facts.case.path == "joint_petition",
        one_unrepresented=sum(represented) == 1,
        both_unrepresented=not any(represented),
        violence=has_violence(facts, as_of),
        abduction_risk=bool(facts.parenting.abduction_risk),
        jurisdiction_on=jurisdiction_day(facts.case),
        earliest_status_on=earliest_status(facts.case),
        earliest_default_on=earliest_default(facts.case),
        status_on=facts.case.status_on if facts.case.status_mode == "on_date" else facts.case.status_ended_on,
        ledger=ledger(facts),
        awarded_to_petitioner=pick_assets(lambda a: a.goes_to == "petitioner"),
        awarded_to_respondent=pick_assets(lambda a: a.goes_to == "respondent"),
        split_assets=pick_assets(lambda a: a.goes_to == "split"),
        sold_assets=pick_assets(lambda a: a.goes_to == "sell"),
        later_assets=pick_assets(lambda a: a.goes_to in ("co_own", "order", "reserved")),
        separate_of_petitioner=Records(
            "assets", tuple(k for k, a in assets.items() if a.character == "separate_petitioner")
        ),
        separate_of_respondent=Records(
            "assets", tuple(k for k, a in assets.items() if a.character == "separate_respondent")
        ),
        homes=of_kind("real"),
        vehicles=of_kind("vehicle"),
        accounts=Records("assets", tuple(k for k, a in assets.items() if a.kind == "account" and a.goes_to != "child")),
        retirement_plans=of_kind("retirement"),
        divided_plans=Records(
            "assets",
            tuple(
                k for k, a in assets.items() if a.retirement and a.retirement.method not in (None, "keep", "reserved")
            ),
        ),
        kept_plans=Records(
            "assets", tuple(k for k, a in assets.items() if a.retirement and a.retirement.method == "keep")
        ),
        businesses=of_kind("business"),
        stock_plans=of_kind("stock_plan"),
        crypto=of_kind("crypto"),
        works=of_kind("work"),
        animals=of_kind("animal"),
        policies=of_kind("policy"),
        claims=of_kind("claim"),
        child_accounts=Records(
            "assets", tuple(k for k, a in assets.items() if a.goes_to == "child" or (a.account and a.account.for_child))
        ),
        debts_of_petitioner=pick_debts(lambda d: d.assigned_to == "petitioner"),
        debts_of_respondent=pick_debts(lambda d: d.assigned_to == "respondent"),
        debts_split=pick_debts(lambda d: d.assigned_to == "split"),
        debts_from_sale=pick_debts(lambda d: d.assigned_to == "from_sale"),
        separate_debts_of_petitioner=Records(
            "debts", tuple(k for k, d in debts.items() if d.character == "separate_petitioner")
        ),
        separate_debts_of_respondent=Records(
            "debts", tuple(k for k, d in debts.items() if d.character == "separate_respondent")
        ),
        joint_debts=Records("debts", tuple(k for k, d in debts.items() if d.obligors == "both")),
        education_debts=Records("debts", tuple(k for k, d in debts.items() if d.education_of)),
        has_community_property=bool(community) or bool(shared_debts),
        has_real_property=any(a.kind == "real" for a in assets.values()),
    )


def signing_day(facts: Facts) -> date:
    """The day the case is taken as of: planned signing, else the latest dated event of the case."""
    if facts.case.signing_on:
        return facts.case.signing_on
    days = (
        facts.petitioner.signed_on,
        facts.respondent.signed_on,
        facts.case.petition_filed_on,
        facts.case.served_on,
        facts.case.response_filed_on,
    )
    return max(day for day in (*days, facts.marriage.separated_on) if day)


def is_minor(child: Child, day: date) -> bool:
    """Whether a child is under 18 on `day` and not emancipated (Fam. Code §§ 6500, 7002)."""
    return child.born_on is not None and day < birthday(child.born_on, 18) and not child.married_or_emancipated


def has_violence(facts: Facts, day: date) -> bool:
    """Whether anything points to violence in the family: an order in force or ended within five years, a conviction, safety terms.

    Five years: the period of Fam. Code § 3044.
    """
    five_years_ago = birthday(day, -5)
    orders = any(o.ends_on is None or o.ends_on >= five_years_ago for o in facts.case.protective_orders)
    convictions = any(p.violence_conviction for p in (facts.petitioner, facts.respondent))
    return orders or convictions or facts.parenting.violence_terms is not None
