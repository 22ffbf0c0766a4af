"""The nearest facts on both sides of a line in the figures: just below it, on it, just above it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from figures.parenting_case import CHILDREN, case
from figures.parenting_plans import WEEK_ONE, ZONE, plan_of
from figures.test_support_from_facts import CASE, SUPPORT, figures
from pyluach.dates import HebrewDate
from review.cases import facts

from msadraft.facts.load import read_text_case
from msadraft.facts.model import Facts
from msadraft.figures.amortization import NoteError, NoteSchedule, NoteTerms, equalizing_note, note_schedule
from msadraft.figures.case_dates import case_dates
from msadraft.figures.child_support import ChildTime, Run, guideline, income_share
from msadraft.figures.counting import court_holidays
from msadraft.figures.deadlines import deadline, first, off_holiday, period
from msadraft.figures.hardship import hardship
from msadraft.figures.health_premium import premium_test
from msadraft.figures.income_tax import Household
from msadraft.figures.ledger import ledger
from msadraft.figures.low_income import low_income, monthly_threshold
from msadraft.figures.marriage_length import NEAR_THE_LINE, marriage_length
from msadraft.figures.net_income import net_income
from msadraft.figures.parenting.clock import CalendarError, exchange_minute
from msadraft.figures.parenting.feasts import hebrew_new_year
from msadraft.figures.parenting.from_facts import read_plans, weekend_blocks
from msadraft.figures.parenting.holidays import FixedDay
from msadraft.figures.parenting.layers import Stay, settle
from msadraft.figures.parenting.measures import measure
from msadraft.figures.parenting.named_days import NAMED_DAYS
from msadraft.figures.parenting.pattern import Cycle, CycleBlock
from msadraft.figures.parenting.plan import Fault, Plan, Regular, SchoolHours, lay_out_days
from msadraft.figures.parenting.share import share
from msadraft.figures.parenting.summary import parenting_time
from msadraft.figures.procedure import later_paper, residence_met, status_from
from msadraft.figures.property.business import pereira
from msadraft.figures.property.characterisation import Acquisition, MarriageDays, characterise
from msadraft.figures.property.contributions import Contribution, credits_2640
from msadraft.figures.property.damages import Injury, injury
from msadraft.figures.property.education import SchoolPayment, education, presumption
from msadraft.figures.property.equalize import Side, buy_out, equalize
from msadraft.figures.property.pensions import from_facts as plan_of_facts
from msadraft.figures.property.pensions import frozen_military_pay, service_by_dates
from msadraft.figures.property.separate_home import SeparateHome, home_shares
from msadraft.figures.property.working import months_and_days, whole_months
from msadraft.figures.spousal_bonus import Band, bonus_worksheet
from msadraft.figures.spousal_rules import temporary_support
from msadraft.figures.spousal_steps import MonthlyStep, step_table
from msadraft.figures.support_amounts import SupportInputError, rounded, shared_out
from msadraft.figures.support_arrears import Dated, balance
from msadraft.figures.support_from_facts import filing_status

D = Decimal
DAY = date(2026, 11, 20)


# Property


@pytest.mark.parametrize(("value_now", "lost"), [("99999.99", True), ("100000.00", False), ("100000.50", False)])
def test_a_loss_is_said_from_the_first_cent(value_now: str, lost: bool) -> None:
    found = home_shares(SeparateHome(D(100000), D(0), D(5000), D(value_now), value_at_marriage=D(100000)))
    assert any("lost value" in caution for caution in found.figure.cautions) is lost


def test_the_other_reading_of_education_is_reduced_to_the_cent() -> None:
    """Fam. Code § 2641(c). Own arithmetic: nothing but 333.33 paid this year, no interest yet, less 12.5 percent."""
    paid = [SchoolPayment(2026, D("333.33"), date(2026, 6, 30))]
    found = education("petitioner", paid, date(2026, 6, 30), reduced_by_percent=D("12.5"), reason="benefited")
    assert found.total == found.total_other_reading == D("291.66")


@pytest.mark.parametrize(
    ("filed", "expected"),
    [(date(2026, 1, 1), "none"), (date(2025, 12, 31), "not_benefited"), (date(2026, 12, 31), "none"), (date(2027, 1, 1), "benefited")],
)  # fmt: skip
def test_a_year_on_the_line_of_ten_years_is_on_neither_side(filed: date, expected: str) -> None:
    """Fam. Code § 2641(c)(1); the payment is known by its year, 2016, alone."""
    assert presumption(SchoolPayment(2016, D(1)), filed) == expected


def test_half_a_percent_of_the_multiplier_is_shown() -> None:
    """10 U.S.C. § 1409(b): 2.5 percent for each year of service."""
    steps = frozen_military_pay(D(5000), 10, 0, D(60), decree_on=DAY).figure.steps
    assert steps[0].formula.startswith("2.5%")


def _split(amount: str) -> list[str]:
    asset = {"kind": "account", "label": "savings", "value": "1000.00", "character": "community"}
    data = {"assets": {"savings": {**asset, "goes_to": "split", "petitioner_amount": amount}}}
    return [c.says for c in ledger(facts(data)).cautions]


@pytest.mark.parametrize(("amount", "wrong"), [("0.00", False), ("0.50", False), ("1000.00", False), ("1000.01", True)])
def test_a_split_amount_may_be_nothing_or_all(amount: str, wrong: bool) -> None:
    assert any("not between" in text for text in _split(amount)) is wrong


@pytest.mark.parametrize("amount", ["0.00", "0.50"])
def test_a_small_claim_is_not_called_negative(amount: str) -> None:
    claim = {"by": "petitioner", "amount": amount, "basis": "contribution_2640", "result": "paid"}
    asset = {
        "kind": "account",
        "label": "savings",
        "value": "1000.00",
        "goes_to": "petitioner",
        "separate_claims": [claim],
    }
    assert not [c for c in ledger(facts({"assets": {"savings": asset}})).cautions if "negative" in c.says]


@pytest.mark.parametrize("rate", ["0", "1"])
def test_a_note_of_one_payment_clears(rate: str) -> None:
    assert note_schedule(NoteTerms(D("1234.56"), D(rate), 1)).clears


@pytest.mark.parametrize(("rate", "said"), [("0", False), ("1", True), ("5", True)])
def test_interest_before_signing_is_said_when_there_is_interest(rate: str, said: bool) -> None:
    plan = {"payer": "petitioner", "mode": "note", "amount": "12000.00"}
    note = {"principal": "12000.00", "rate": rate, "months": "12", "first_payment_on": "2026-12-01"}
    found = equalizing_note(facts({"equalization": {**plan, "note": note}}), DAY)
    assert isinstance(found, NoteSchedule)
    assert any("Interest runs from" in caution for caution in found.figure.cautions) is said


# Days


def test_one_event_is_compared_with_no_other() -> None:
    alone = status_from(served_on=date(2026, 1, 5))
    both = status_from(date(2026, 1, 5), date(2026, 2, 5))
    assert "First event" not in [step.what for step in alone.steps]
    assert [step.what for step in both.steps].count("First event") == 1
    one, two = deadline("status", date(2026, 1, 5), "service"), deadline("status", date(2026, 2, 5), "service")
    assert first((one,), "Sooner", "Fam. Code § 2339(a)").steps == one.steps
    assert first((one, two), "Sooner", "Fam. Code § 2339(a)").steps[-1].what == "Sooner"


@pytest.mark.parametrize(("length", "words"), [(1, "1 day"), (2, "2 days"), (30, "30 days")])
def test_one_day_is_singular(length: int, words: str) -> None:
    assert replace(period("response", DAY), length=length).words == words


def test_a_last_day_moves_on_by_one_section_and_back_by_another() -> None:
    """Code Civ. Proc. § 12a forward, § 12c backward. Friday 1 January 2027 is a holiday; Saturday 2 and Sunday 3 follow."""
    forward, back = off_holiday(date(2027, 1, 1), date(2027, 1, 4)), off_holiday(date(2027, 1, 1), date(2026, 12, 31))
    short = off_holiday(date(2027, 1, 3), date(2027, 1, 4))
    assert forward.source == short.source
    assert "12a" in forward.source
    assert "12c" in back.source


@pytest.mark.parametrize("dates", [{"served_on": "2026-01-20"}, {"appearance_on": "2026-01-20"}])
def test_service_or_appearance_alone_begins_the_six_months(dates: dict[str, str]) -> None:
    """Fam. Code § 2339(a): six months from service or appearance, whichever occurs first."""
    dropped = {f"case.{name}": None for name in ("served_on", "response_filed_on", "service_method")}
    status = case_dates(facts({**dropped, **{f"case.{name}": day for name, day in dates.items()}})).status_from
    assert status is not None
    assert status.value == date(2026, 7, 21)


# Support


@pytest.mark.parametrize(("ended", "status"), [("2025-12-31", "single"), ("2026-01-01", "separate")])
def test_who_is_single_at_the_close_of_the_year_was_so_all_year(ended: str, status: str) -> None:
    """I.R.C. § 7703(a)(1): the determination is made as of the close of the taxable year."""
    text = CASE.replace("path: response_filed", f"path: response_filed\n  status_ended_on: {ended}")
    assert filing_status(read_text_case(text).facts, "respondent", 2025, D(20)) == status


@pytest.mark.parametrize(
    ("born", "younger", "older"),
    [("2009-01-01", 1, 0), ("2008-12-31", 0, 1), ("2007-01-01", 0, 1), ("2006-12-31", 0, 0)],
)
def test_a_child_is_counted_once_by_age_at_the_end_of_the_year(born: str, younger: int, older: int) -> None:
    """I.R.C. § 24(c)(1), (h)(4): under 17; § 152(c)(3)(A)(i): a qualifying child is under 19. Ages on 31 December 2025."""
    text = CASE.replace("born_on: 2012-05-05", f"born_on: {born}")
    found = figures(text, petitioner_time={"eve": D(80), "lev": D(80)}).petitioner_estimate
    assert found is not None
    assert (found.household.children_under_17, found.household.older_children) == (1 + younger, older)


@pytest.mark.parametrize(
    ("outcome", "amount", "counts"),
    [("payable", "500.00", True), ("reserved", "500.00", False), ("payable", None, False)],
)
def test_only_spousal_support_that_is_payable_counts_for_added_costs(
    outcome: str, amount: str | None, counts: bool
) -> None:
    """Fam. Code § 4061(c): support that is paid is taken from one income and added to the other."""
    plan = f"outcome: {outcome}" + (f", amount: {amount}" if amount else "")
    found = figures(CASE + SUPPORT + f"spousal_support:\n  to_petitioner: {{{plan}}}\n").add_ons
    without = figures(CASE + SUPPORT).add_ons
    assert found is not None
    assert without is not None
    assert (found.respondent_percent != without.respondent_percent) is counts


def test_an_added_cost_of_nothing_is_no_mistake() -> None:
    found = figures(CASE + SUPPORT.replace("monthly_cost: 900.00", "monthly_cost: 0.00"))
    assert [cost.cost for cost in found.add_on_costs] == [0]


@pytest.mark.parametrize(("provider", "reasonable"), [("respondent", False), ("petitioner", True)])
def test_only_the_low_income_payer_is_spared_the_premium(provider: str, reasonable: bool) -> None:
    """Fam. Code § 3751(a)(2): not reasonable for an obligor entitled to the low-income adjustment; the other parent may insure."""
    text = (CASE + SUPPORT).replace("respondent_net: 5500.00", "respondent_net: 2000.00")
    text = text.replace(
        "{provider: respondent, child_premium: 400.01}", f"{{provider: {provider}, child_premium: 100.00}}"
    )
    found = figures(text)
    assert found.low_income is not None
    assert (found.low_income.qualifies, found.low_income.payer) == (True, "respondent")
    assert found.premium is not None
    assert found.premium.reasonable is reasonable


def test_the_share_of_income_is_kept_to_six_decimals() -> None:
    """Fam. Code § 4055(b)(3). Own arithmetic from the unrounded share: one third of the time gives a factor of 1 + 1/3."""
    run = Run(date(2026, 6, 1), D(8123), D(4456), (ChildTime("a", D(100) / 3),))
    found = guideline(run)
    exact = income_share(Fraction(8123 + 4456), run.day)
    assert found.income_share == rounded(exact, 6) != rounded(exact, 5)


@pytest.mark.parametrize(("given", "works"), [("0", False), ("0.01", True), ("1", True)])
def test_a_threshold_of_nothing_is_refused(given: str, works: bool) -> None:
    run = guideline(Run(date(2026, 6, 1), D(5000), D(2500), (ChildTime("a", D(20)),)))
    if works:
        assert monthly_threshold(run, D(given))[0] == Fraction(given)
    else:
        with pytest.raises(SupportInputError, match="above zero"):
            monthly_threshold(run, D(given))


def test_the_working_says_whether_refundable_credits_count() -> None:
    """Fam. Code § 4059(a) does not settle it."""
    household = Household(2025, "head_of_household", D(30000), children_under_17=1)
    for counted in (True, False):
        step = next(
            s
            for s in net_income(household, refundable_credits=counted).figure.steps
            if s.what == "Refundable federal credits"
        )
        assert step.formula.startswith("counted" if counted else "not counted")


@pytest.mark.parametrize(("cap", "reached"), [("4000", 20000), ("3999", 19995), ("4001", None)])
def test_a_cap_is_reached_where_the_last_band_ends(cap: str, reached: int | None) -> None:
    """Own arithmetic: 20 percent up to 20,000 and nothing above it comes to 4,000 at most."""
    assert bonus_worksheet([Band(D(0), D(20000), D(20))], D(cap)).cap_reached_at == reached


@pytest.mark.parametrize(("payer", "none_due"), [("3000", True), ("8000", False)])
def test_no_temporary_support_is_said_where_the_formula_is_not_above_zero(payer: str, none_due: bool) -> None:
    step = temporary_support("Santa Clara", D(payer), D(3000), DAY).steps[-1]
    assert ("no support" in step.result) is none_due


# Parenting time

WEEKENDS: dict[str, Any] = {"weeks": 2, "periods": [[1, "fri", "18:00", 1, "sun", "18:00"]]}


@pytest.mark.parametrize(
    ("credit", "basis"), [("calendar_parent", "cycle"), ("primary_parent", "two_years"), ("excluded", "two_years")]
)
def test_credited_school_hours_are_counted_on_the_calendar(credit: Any, basis: str) -> None:
    school = SchoolHours(credit, 8 * 60, 15 * 60, frozenset({4}), (), "petitioner")
    assert share(plan_of(WEEKENDS, school=school), "hours", 2027)[0].basis == basis
    assert share(plan_of(WEEKENDS), "hours", 2027)[0].basis == "cycle"


@pytest.mark.parametrize(
    ("unit", "words"), [("overnights", "of 731 nights"), ("days", "days of 24 hours"), ("hours", "hours")]
)
def test_the_working_names_its_measure(unit: Any, words: str) -> None:
    school = SchoolHours("excluded", 8 * 60, 15 * 60, frozenset({4}))
    step = share(plan_of(WEEKENDS, school=school), unit, 2027)[0].steps[0]
    assert words in step.formula
    assert ("nights" in step.formula) is (unit == "overnights")


def test_one_cycle_with_a_first_day_or_beside_another_is_not_the_only_schedule() -> None:
    cycle = Cycle(1, WEEK_ONE, ())
    assert Plan(ZONE, (Regular(cycle),), "petitioner").only_regular
    assert not Plan(ZONE, (Regular(cycle, first=date(2027, 1, 4)),), "petitioner").only_regular
    assert not Plan(ZONE, (Regular(cycle), Regular(cycle)), "petitioner").only_regular
    assert not plan_of({"weekends": [1], "periods": [[1, "fri", "18:00", 1, "sun", "18:00"]]}).only_regular


def test_a_weekend_that_begins_before_a_free_friday_is_not_lengthened() -> None:
    """The respondent's stay begins on Wednesday at 18:00, so a Friday without school has nothing to add."""
    weeks = {"weeks_in_cycle": "1", "blocks": [
        {"from_day": "wednesday", "to_day": "sunday", "parent": "respondent"}, {"from_day": "sunday", "to_day": "wednesday", "parent": "petitioner"}]}  # fmt: skip

    def hours(facts_of: Facts) -> Fraction:
        plan = read_plans(facts_of, CHILDREN).plans[0].plan
        assert plan is not None
        return measure(lay_out_days(plan, date(2027, 10, 4), date(2027, 10, 10)), plan).respondent.fraction()

    assert hours(case(dates_without_school=["2027-10-08"], **weeks)) == hours(case(**weeks)) == Fraction(96, 168)


def test_a_parent_who_is_never_without_the_children_has_no_time_away() -> None:
    plan = Plan(ZONE, (Regular(Cycle(1, WEEK_ONE, ())),), "petitioner")
    found = measure(lay_out_days(plan, date(2027, 1, 1), date(2027, 12, 31)), plan)
    assert found.petitioner.longest_away is None
    assert found.respondent.longest_away is not None
    assert found.respondent.longest_away.hours == 365 * 24


def test_the_phase_that_is_out_of_order_is_named() -> None:
    phases = [{"starts_on": day, "weeks_in_cycle": "1", "blocks": [{"from_day": "saturday", "to_day": "sunday", "parent": "respondent"}]} for day in ("2027-05-01", "2027-05-01")]  # fmt: skip
    found = parenting_time(case(pattern="stepup", blocks=[], phases=phases), CHILDREN, DAY)
    assert next(f.what for f in found.faults if f.path == "parenting.phases.1").startswith("Phase 2 ")


def test_a_thousand_hebrew_new_years_agree_with_an_independent_library() -> None:
    for year in range(5500, 6500):
        assert hebrew_new_year(year) == HebrewDate(year, 7, 1).to_pydate()


# Lines inside single computations


def test_no_months_before_the_beginning() -> None:
    late, early = date(2026, 3, 5), date(2026, 3, 4)
    assert (whole_months(late, early), months_and_days(late, early)) == (0, 0)
    assert (whole_months(early, early), months_and_days(early, early)) == (0, 0)


@pytest.mark.parametrize(
    ("value", "expected"), [("-0.5", "-0.5"), ("-0.004", "0"), ("-0.005", "-0.01"), ("-1.5", "-1.5")]
)
def test_a_small_amount_below_zero_keeps_its_sign(value: str, expected: str) -> None:
    assert rounded(D(value)) == D(expected)


@pytest.mark.parametrize(("value", "said"), [("99999.99", True), ("100000.00", False), ("100000.50", False)])
def test_more_owed_than_worth_is_said_from_the_first_cent(value: str, said: bool) -> None:
    assert any("More is owed" in caution for caution in buy_out(D(value), D(100000)).figure.cautions) is said


@pytest.mark.parametrize(("value", "short"), [("59999.99", True), ("60000.00", False)])
def test_a_value_that_just_covers_capital_and_return_is_enough(value: str, short: bool) -> None:
    """Beam v. Bank of America (1971) 6 Cal.3d 12. Own arithmetic: 50,000 with two years at ten percent."""
    found = pereira(D(50000), D(value), D(2), D("0.10"))
    assert any("does not reach" in caution for caution in found.figure.cautions) is short


@pytest.mark.parametrize("arose", [date(1990, 5, 5), date(1994, 1, 1), date(2015, 5, 5)])
def test_damages_of_any_year_leave_at_least_half(arose: date) -> None:
    """Fam. Code § 2603(b), in force since 1994 and taken for the days before it: at least half to the injured spouse."""
    found = injury(Injury("petitioner", D(1000), arose), MarriageDays(date(1985, 1, 1), date(2024, 1, 1)))
    assert (found.least, found.most) == (500, 1000)


@pytest.mark.parametrize(("convention", "unit", "before"), [("days", "days", 366), ("months_and_days", "months", 12)])
def test_service_before_the_marriage_is_counted_in_the_unit_of_the_convention(
    convention: Any, unit: str, before: int
) -> None:
    """In re Marriage of Poppe (1979) 97 Cal.App.3d 1: one unit throughout. 2020 was a leap year."""
    days_of = (date(2020, 1, 1), date(2021, 1, 1), date(2022, 1, 1), date(2023, 1, 1))
    found = service_by_dates(*days_of, convention)
    assert (found.unit, found.before_marriage) == (unit, before)
    assert found.after_separation > 0


def test_a_share_of_a_plan_is_a_percentage_or_else_an_amount() -> None:
    def unit(**more: Any) -> str:
        asset = {
            "kind": "retirement",
            "label": "the plan",
            "value": "100000",
            "goes_to": "respondent",
            "retirement": more,
        }
        found = plan_of_facts(facts({"assets": {"p": asset}}), "p")
        assert found is not None
        return found.figure.unit

    assert unit(method="time_rule", community_service_months="90", total_service_months="200") == "percent"
    assert unit(method="split_percent", premarital_balance="20000", member="petitioner") in ("percent", "dollars")


@pytest.mark.parametrize(
    ("amounts", "named"),
    [((D(70000), D(0)), {"To the petitioner"}), ((D(70000), D(50000)), {"To the petitioner", "To the respondent"})],
)
def test_a_short_value_names_each_who_is_repaid(amounts: tuple[Decimal, Decimal], named: set[str]) -> None:
    """In re Marriage of Walrath (1998) 17 Cal.4th 907: in proportion where the value does not cover the credits."""
    paid = [
        Contribution(by, amount, "down_payment")
        for by, amount in zip(("petitioner", "respondent"), amounts, strict=True)
    ]  # type: ignore[arg-type]
    steps = credits_2640(paid, D(100000), D(40000)).figure.steps
    assert {step.what for step in steps if step.what.startswith("To the ")} == named


@pytest.mark.parametrize("sales", [1, 2])
def test_a_loose_debt_comes_out_of_the_only_sale_or_out_of_none(sales: int) -> None:
    assets = {
        f"a{n}": {"kind": "real", "label": f"lot {n}", "value": "1000.00", "goes_to": "sell", "real": {"plan": "sell"}}
        for n in range(sales)
    }
    debts = {"cards": {"kind": "card", "owing": "100.00", "assigned_to": "from_sale"}}
    found = ledger(facts({"assets": assets, "debts": debts})).sales
    assert [sale.debts for sale in found] == ([100] if sales == 1 else [0, 0])


@pytest.mark.parametrize(("months", "works"), [(0, False), (1, True), (600, True), (601, False)])
def test_a_note_has_one_to_six_hundred_payments(months: int, works: bool) -> None:
    if works:
        assert len(note_schedule(NoteTerms(D(100000), D(5), months)).instalments) == months
    else:
        with pytest.raises(NoteError, match="1 to 600"):
            note_schedule(NoteTerms(D(100000), D(5), months))


def test_cents_of_each_month_grow_with_interest_and_the_note_still_clears() -> None:
    """Own arithmetic: a third of a cent too much or too little, at ten percent over thirty years, moves the last payment by dollars."""
    found = note_schedule(NoteTerms(D(100000), D(10), 360))
    assert abs(found.last - found.payment) > D("3.60")
    assert found.clears


@pytest.mark.parametrize(("rate", "formula"), [("0", "(1,000.00) / 10"), ("5", "i = 5 / 1200")])
def test_the_formula_of_a_note_is_that_of_its_rate(rate: str, formula: str) -> None:
    assert formula in note_schedule(NoteTerms(D(1000), D(rate), 10)).figure.steps[0].formula


@pytest.mark.parametrize(("expenses", "capped"), [(D(50), False), (D(100000), True), (None, True)])
def test_a_hardship_deduction_is_the_lesser_of_expenses_and_cap(expenses: Decimal | None, capped: bool) -> None:
    """Fam. Code § 4071(a)(2): minimum reasonable living expenses; § 4071(b): no more than the support allocated to each child."""
    run = Run(date(2026, 6, 1), D(7000), D(3000), (ChildTime("a", D(20)),))
    found = hardship(run, "petitioner", 2, expenses)
    cap = hardship(run, "petitioner", 2).each
    assert (found.capped, found.each) == (capped, cap if capped else D(50))
    assert abs(found.total - 2 * found.each) <= D("0.01")
    assert found.guideline.run.petitioner_net < run.petitioner_net


@pytest.mark.parametrize(("cost", "reasonable"), [("0.00", True), ("0.50", False), ("1.00", False)])
def test_any_premium_is_too_much_for_a_low_income_payer(cost: str, reasonable: bool) -> None:
    """Fam. Code § 3751(a)(2)."""
    found = premium_test(DAY, D(4000), D(cost), low_income=True)
    assert found.reasonable is reasonable
    assert any("deemed not reasonable" in step.result for step in found.figure.steps) is not reasonable


@pytest.mark.parametrize(("net", "applies"), [(1500, True), (9000, False)])
def test_the_low_income_figure_is_an_amount_only_where_it_applies(net: int, applies: bool) -> None:
    """Fam. Code § 4055(b)(7)."""
    found = low_income(guideline(Run(date(2026, 6, 1), D(net), D(1000), (ChildTime("a", D(20)),))))
    assert found.qualifies is applies
    assert isinstance(found.figure.value, Decimal) is applies


def test_the_low_income_payer_may_be_either_parent() -> None:
    """Fam. Code § 3751(a)(2): it is the insuring parent who has to be the payer with the low income."""
    text = (CASE + SUPPORT).replace(
        "petitioner_net: 2500.00, respondent_net: 5500.00, respondent_time_percent: 20",
        "petitioner_net: 2000.00, respondent_net: 1500.00, respondent_time_percent: 90",
    )
    for provider, reasonable in (("petitioner", False), ("respondent", True)):
        given = text.replace(
            "{provider: respondent, child_premium: 400.01}", f"{{provider: {provider}, child_premium: 100.00}}"
        )
        found = figures(given.replace("payer: respondent", "payer: petitioner"))
        assert found.low_income is not None
        assert (found.low_income.qualifies, found.low_income.payer) == (True, "petitioner")
        assert found.premium is not None
        assert found.premium.reasonable is reasonable


def test_the_rate_of_arrears_is_shown_in_percent() -> None:
    """Code Civ. Proc. § 685.010(a): ten percent a year."""
    found = balance([Dated(date(2026, 1, 1), D(100))], [], date(2026, 2, 1))
    assert any(" × 10% × 31 / 365" in step.formula for step in found.figure.steps)


@pytest.mark.parametrize(("manner", "moves"), [("mail_in_state", True), ("electronic", False)])
def test_a_later_paper_names_the_holiday_only_if_it_moves(manner: Any, moves: bool) -> None:
    """Code Civ. Proc. §§ 12a, 1013(a): 11 November 2026 + 5 days is Monday the 16th; from 13 October it is Tuesday the 17th."""
    start = date(2026, 10, 10) if moves else date(2026, 10, 12)
    steps = later_paper("amended_joint_response", start, "served", manner).steps
    assert ("Last day on a holiday" in [step.what for step in steps]) is moves


# Days of the calendar

SHARED_WITH_THE_COURTS = {
    "martin_luther_king_day": "Martin Luther King Jr. Day", "presidents_day": "Presidents' Day", "memorial_day": "Memorial Day",
    "labor_day": "Labor Day", "native_american_day": "Native American Day", "thanksgiving": "Thanksgiving Day",
}  # fmt: skip


@pytest.mark.parametrize("year", range(2024, 2036))
def test_days_known_by_name_fall_where_the_courts_close(year: int) -> None:
    """Code Civ. Proc. § 135 and Gov. Code § 6700 (from memory), as the courts' own list counts them."""
    closed = {name: day for day, name in court_holidays(year).items()}
    assert {key: NAMED_DAYS[key][1].days(year) for key in SHARED_WITH_THE_COURTS} == {
        key: (closed[name],) for key, name in SHARED_WITH_THE_COURTS.items()
    }


@pytest.mark.parametrize(
    ("key", "month", "day"),
    [
        ("new_years_day", 1, 1), ("lincoln_day", 2, 12), ("cesar_chavez_day", 3, 31), ("juneteenth", 6, 19), ("independence_day", 7, 4),
        ("halloween", 10, 31), ("veterans_day", 11, 11), ("christmas_eve", 12, 24), ("christmas_day", 12, 25), ("new_years_eve", 12, 31),
    ],
)  # fmt: skip
def test_fixed_days(key: Any, month: int, day: int) -> None:
    """Gov. Code § 6700, 5 U.S.C. § 6103(a); Halloween and the two eves by custom (from memory)."""
    assert NAMED_DAYS[key][1].days(2027) == (date(2027, month, day),)


@pytest.mark.parametrize(
    ("blocks", "found"),
    [
        ([{"from_day": "friday", "to_day": "sunday", "parent": "respondent"}], ("0",)),
        ([{"from_day": "friday", "to_day": "sunday", "parent": "respondent"}, {"from_day": "tuesday", "to_day": "thursday", "parent": "respondent"}], ("0",)),
        ([{"from_day": "thursday", "to_day": "friday", "parent": "respondent"}, {"from_day": "saturday", "to_day": "saturday", "from_time": "09:00", "to_time": "18:00", "parent": "respondent"}], ("1",)),
    ],
)  # fmt: skip
def test_blocks_of_a_weekend(blocks: list[dict[str, str]], found: tuple[str, ...]) -> None:
    assert weekend_blocks(case(blocks=blocks).parenting) == found


def test_a_week_without_a_number_of_weeks_repeats_every_week() -> None:
    """The blocks speak of week 1 alone, so no first week is needed."""
    blocks = [
        {"from_day": "friday", "to_day": "sunday", "parent": "respondent"},
        {"from_day": "sunday", "to_day": "friday", "parent": "petitioner"},
    ]
    read = read_plans(case(weeks_in_cycle=None, cycle_start=None, blocks=blocks), CHILDREN)
    assert [fault.kind for fault in read.faults] == []
    assert read.plans[0].plan is not None


@pytest.mark.parametrize(
    ("weeks", "starts", "wrong"), [("2", None, True), ("2", "2027-01-10", False), ("1", None, False)]
)
def test_a_phase_that_rotates_needs_its_first_day(weeks: str, starts: str | None, wrong: bool) -> None:
    phase = {
        "weeks_in_cycle": weeks,
        "blocks": [{"from_day": "saturday", "to_day": "sunday", "parent": "respondent"}],
        **({"starts_on": starts} if starts else {}),
    }
    found = parenting_time(case(pattern="stepup", blocks=[], phases=[phase]), CHILDREN, DAY).faults
    assert any("needs the day on which it begins" in fault.what for fault in found) is wrong


def test_a_free_monday_lengthens_the_last_stay_of_the_weekend() -> None:
    """The respondent has two days from 8:00 to 22:00, the nights are the petitioner's."""
    daily = [
        {"from_day": day, "to_day": day, "from_time": "08:00", "to_time": "22:00", "parent": "respondent"}
        for day in ("saturday", "sunday")
    ]
    plan = (
        read_plans(case(weeks_in_cycle="1", blocks=daily, dates_without_school=["2027-10-04"]), CHILDREN).plans[0].plan
    )
    assert plan is not None
    timeline = lay_out_days(plan, date(2027, 10, 1), date(2027, 10, 10))
    assert [timeline.parent_at(ZONE.at(date(2027, 10, 4), time(hour))) for hour in (12, 23)] == [
        "respondent",
        "petitioner",
    ]


@pytest.mark.parametrize(("begins", "hours"), [("2027-03-10", 3 * 7), ("2027-03-12", 7), ("2027-03-15", 0)])
def test_only_days_of_the_term_are_days_of_school(begins: str, hours: int) -> None:
    school = {
        "credit": "primary_parent",
        "from_time": "08:00",
        "to_time": "15:00",
        "terms": [{"starts_on": begins, "ends_on": "2027-06-01"}],
    }
    week = {
        "weeks_in_cycle": "1",
        "blocks": [{"from_day": "monday", "to_week": "1", "to_day": "monday", "parent": "respondent"}],
    }
    plan = read_plans(case(school_time=school, **week), CHILDREN).plans[0].plan
    assert plan is not None
    assert measure(lay_out_days(plan, date(2027, 3, 1), date(2027, 3, 14)), plan).petitioner.minutes == hours * 60


def test_a_gap_names_both_its_ends_and_how_often_it_comes() -> None:
    def said(last: date) -> str:
        cycle = Cycle(1, WEEK_ONE, (CycleBlock(0, 6 * 24 * 60, "petitioner"),))
        (fault,) = (
            f for f in lay_out_days(Plan(ZONE, (Regular(cycle),)), date(2027, 1, 4), last).faults if f.kind == "gap"
        )
        return f"{fault.times}: {fault.what}"

    first = "Nobody has the children from Sunday 2027-01-10 00:00 to Monday 2027-01-11 00:00"
    assert said(date(2027, 1, 10)) == f"1: {first}."
    assert said(date(2027, 1, 17)) == f"2: {first} (and once more)."
    assert said(date(2027, 1, 24)) == f"3: {first} (and 2 more times)."
    assert Fault("gap", "parenting.blocks", "Once.").times == 1


def test_the_longest_time_away_is_shown_for_each_parent() -> None:
    steps = parenting_time(case(), CHILDREN, DAY).figures[-1].steps
    assert [step.what for step in steps if "Longest" in step.what] == [
        f"Longest time away from the {parent}" for parent in ("petitioner", "respondent")
    ]


def test_a_part_of_an_hour_is_shown_in_decimals() -> None:
    row = {"weeks": 1, "periods": [[1, "fri", "18:00", 1, "fri", "18:20"]]}
    step = share(plan_of(row), "hours", 2027)[0].steps[0]
    assert step.formula == "167.67 of 168 hours"


# A second round of single lines


def test_whole_and_part_months_of_a_step_are_told_apart() -> None:
    """Own arithmetic: 17 of 31 days of January, February and March whole, 14 of 30 days of April at 1,000."""
    table = step_table([MonthlyStep(date(2027, 1, 15), date(2027, 4, 14), D(1000))])
    assert [(row.full_months, row.part_days) for row in table.rows] == [(2, 31)]
    assert table.figure.steps[0].formula == "2 months x 1,000.00 and 31 days of part months"
    whole = step_table([MonthlyStep(date(2027, 1, 1), date(2027, 3, 31), D(1000))])
    assert [(row.full_months, row.part_days) for row in whole.rows] == [(3, 0)]
    assert whole.figure.steps[0].formula == "3 months x 1,000.00"
    ends_early = step_table([MonthlyStep(date(2027, 1, 1), date(2027, 1, 30), D(1000))])
    assert [(row.full_months, row.part_days) for row in ends_early.rows] == [(0, 30)]


@pytest.mark.parametrize(
    ("clock", "works"), [(time(0, 59), True), (time(1, 0), False), (time(2, 59), False), (time(3, 0), True)]
)
def test_no_exchange_in_the_hours_that_may_not_exist(clock: time, works: bool) -> None:
    """15 U.S.C. § 260a: the clocks change at 2:00; the hour from 1:00 comes twice in autumn."""
    if works:
        assert exchange_minute(clock) == clock.hour * 60 + clock.minute
    else:
        with pytest.raises(CalendarError, match="does not exist"):
            exchange_minute(clock)


@pytest.mark.parametrize(
    ("state", "county", "met"),
    [
        (date(2026, 1, 12), date(2026, 4, 12), True), (date(2026, 1, 13), date(2026, 4, 12), False),
        (date(2026, 1, 12), date(2026, 4, 13), False), (date(2026, 1, 11), date(2026, 4, 11), True),
    ],
)  # fmt: skip
def test_residence_before_filing(state: date, county: date, met: bool) -> None:
    """Fam. Code § 2320(a): six months in the state and three in the county next before the filing."""
    assert residence_met(state, county, date(2026, 7, 12)) is met


@pytest.mark.parametrize(("year", "day"), [(2028, (2, 29)), (2000, (2, 29)), (2100, (3, 1)), (2027, (3, 1))])
def test_the_29th_of_february_moves_on_in_a_common_year(year: int, day: tuple[int, int]) -> None:
    """Of the hundreds only those divisible by 400 are leap years (the calendar of 1582)."""
    assert FixedDay(2, 29).days(year) == (date(year, *day),)


@pytest.mark.parametrize(("owing", "said"), [("-0.01", True), ("0.00", False), ("0.50", False)])
def test_a_debt_is_called_negative_only_below_zero(owing: str, said: bool) -> None:
    found = ledger(facts({"debts": {"card": {"kind": "card", "owing": owing, "assigned_to": "petitioner"}}}))
    assert any("negative" in c.says for c in found.cautions) is said


@pytest.mark.parametrize(
    ("more", "how"),
    [({"petitioner_amount": "400.00"}, "amount"), ({"petitioner_percent": "40"}, "percent"), ({}, "percent")],
)
def test_how_an_asset_is_split_is_told(more: dict[str, str], how: str) -> None:
    asset = {"kind": "account", "label": "savings", "value": "1000.00", "goes_to": "split", **more}
    (line,) = ledger(facts({"assets": {"savings": asset}})).lines
    assert line.how == how


def test_another_federal_deduction_lowers_taxable_income() -> None:
    """I.R.C. § 63(a): taxable income is income less deductions. Own arithmetic: 22 percent of 1,000 at this income in 2025."""
    plain = Household(2025, "single", D(80000))
    less = net_income(replace(plain, other_federal_deduction=D(1000))).federal.before_credits
    assert net_income(plain).federal.before_credits - less == 220


@pytest.mark.parametrize(("year", "works"), [(2023, False), (2024, True), (2026, True), (2027, False)])
def test_years_of_the_tax_data(year: int, works: bool) -> None:
    if works:
        assert net_income(Household(year, "single", D(50000))).monthly > 0
    else:
        with pytest.raises(SupportInputError, match="2024 to 2026"):
            net_income(Household(year, "single", D(50000)))


@pytest.mark.parametrize(
    ("apart", "words"),
    [(date(2026, 6, 17), "1 day before"), (date(2026, 6, 18), "on the day of"), (date(2026, 6, 19), "1 day after")],
)
def test_a_separation_near_the_ten_year_line_is_told(apart: date, words: str) -> None:
    """Fam. Code § 4336(b): ten years from marriage to separation; how near is worth a look is this program's choice."""
    found = marriage_length(date(2016, 6, 18), apart)
    assert any(f"The separation is {words} the ten-year line" in caution for caution in found.figure.cautions)


def test_the_edge_of_near_the_line_is_near() -> None:
    on_the_edge = date(2026, 6, 18) + NEAR_THE_LINE
    assert marriage_length(date(2016, 6, 18), on_the_edge).look_again
    assert not marriage_length(date(2016, 6, 18), on_the_edge + date.resolution).look_again


def test_a_line_on_a_day_that_does_not_exist_names_it() -> None:
    cautions = marriage_length(date(2016, 2, 29), date(2025, 1, 31)).figure.cautions
    assert any("2026; the line was set on the last day" in caution for caution in cautions)


APART = date(2022, 3, 15)


@pytest.mark.parametrize(
    ("asset", "separation", "question", "answer"),
    [
        (Acquisition(None), APART, "gift", "the source is not known"),
        (Acquisition(date(2015, 1, 1), source="purchase"), APART, "gift", "no"),
        (Acquisition(None, title="joint"), APART, "joint form", "the day of the joint title is not known"),
        (Acquisition(None), APART, "joint form", "no joint title is recorded"),
        (Acquisition(None), APART, "after the separation", "the day is not known"),
        (Acquisition(date(2015, 1, 1)), None, "after the separation", "there is no separation"),
    ],
)
def test_why_a_test_of_character_does_not_decide(
    asset: Acquisition, separation: date | None, question: str, answer: str
) -> None:
    """Fam. Code §§ 770, 771, 2581."""
    asked = [
        test
        for test in characterise(asset, MarriageDays(date(2010, 6, 1), separation)).tests
        if question in test.question
    ]
    assert [(test.answer, test.decides) for test in asked] == [(answer, False)]


@pytest.mark.parametrize("total", ["-0.50", "-1.00", "-100.01", "0.50"])
def test_shares_of_a_negative_total_are_negative(total: str) -> None:
    parts = shared_out(D(total), [Fraction(1), Fraction(3)])
    assert sum(parts) == D(total)
    assert all((part < 0) is (D(total) < 0) for part in parts)


def test_a_payment_below_the_interest_is_refused_before_the_balance_grows() -> None:
    with pytest.raises(NoteError, match="payment 1 of"):
        note_schedule(NoteTerms(D(100000), D(6), 360, payment=D("499.98")))
    assert note_schedule(NoteTerms(D(100000), D(6), 360, payment=D("500.00"))).instalments[-1].opening == 100000


def test_stays_of_one_layer_leave_no_empty_time() -> None:
    one = Stay(0, 100, "petitioner", "regular", "")
    out, clashes = settle([one, one._replace(first=50, parent="respondent")])
    assert out == [one]
    assert [(clash.first, clash.last) for clash in clashes] == [(50, 100)]


def test_a_price_of_a_dollar_is_a_price() -> None:
    assert home_shares(SeparateHome(D(1), D(1), D(0), D(1), value_at_marriage=D(1))).equity == 1


def test_exchanges_in_a_year_are_counted_by_years_of_365_days_and_a_quarter() -> None:
    """Own arithmetic: 104 exchanges in 728 days are 52.2 in 365.25 days, to one decimal."""
    plan = plan_of({"weeks": 1, "periods": [[1, "fri", "18:00", 1, "sun", "18:00"]]})
    found = measure(lay_out_days(plan, date(2027, 1, 4), date(2028, 12, 31)), plan)
    assert (found.exchanges, found.exchanges_per_year) == (208, D("104.4"))


@pytest.mark.parametrize(("assets", "said"), [("100", True), ("300", False)])
def test_debts_above_assets_are_told(assets: str, said: bool) -> None:
    """Fam. Code § 2622(b)."""
    found = equalize(Side(D(assets)), Side(D(0), debts=D(200)))
    assert found.negative is said
    assert any("Debts exceed assets" in caution for caution in found.figure.cautions) is said
