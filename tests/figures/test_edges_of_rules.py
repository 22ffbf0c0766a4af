"""The facts on both sides of a rule's line, further: which way a rule goes, and that it goes that way only."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from figures.test_support_from_facts import CASE, SUPPORT, figures, named
from review.cases import facts

from msadraft.facts.load import read_text_case
from msadraft.figures.case_dates import case_dates
from msadraft.figures.child_support import child_factor, multiple_words
from msadraft.figures.compute import compute
from msadraft.figures.deadlines import deadline
from msadraft.figures.income_tax import Household, payroll
from msadraft.figures.ledger import ledger
from msadraft.figures.marriage_length import case_marriage_length
from msadraft.figures.property.characterisation import (
    Acquisition,
    Characterised,
    MarriageDays,
    WrittenAgreement,
    characterise,
)
from msadraft.figures.property.contributions import Contribution, Entry, credits_2640, trace
from msadraft.figures.property.contributions import from_facts as credits_of
from msadraft.figures.property.damages import Injury, injury
from msadraft.figures.property.education import SchoolPayment, education
from msadraft.figures.property.equalize import Side, equalize
from msadraft.figures.property.pensions import formula_benefit, frozen_military_pay
from msadraft.figures.property.pensions import from_facts as plan_of_facts
from msadraft.figures.property.separate_home import Improvement, Refinance, SeparateHome, home_shares
from msadraft.figures.property.working import InputError, divide
from msadraft.figures.spousal_bonus import Band, bonus_worksheet
from msadraft.figures.spousal_steps import MonthlyStep, cover_table, step_table
from msadraft.figures.support_amounts import SupportInputError
from msadraft.figures.support_arrears import Dated, balance
from msadraft.figures.support_from_facts import filing_status

D = Decimal


@pytest.mark.parametrize(("separated", "long"), [("2026-06-17", False), ("2026-06-18", True), ("2026-06-19", True)])
def test_ten_years_from_wedding_to_separation_are_a_long_marriage(separated: str, long: bool) -> None:
    """Fam. Code § 4336(b): ten years or more."""
    case = facts({"marriage.married_on": "2016-06-18", "marriage.separated_on": separated})
    assert compute(case).long_marriage is long


def test_the_length_of_a_marriage_after_a_partnership_names_the_day_of_registration() -> None:
    """Fam. Code § 297.5; without a partnership there is no such day to name."""
    registered = case_marriage_length(facts({"marriage.partnership_registered_on": "2010-01-04"}))
    plain = case_marriage_length(facts())
    used = [f.facts if hasattr(f, "facts") else f.figure.facts for f in (registered, plain)]
    assert ["marriage.partnership_registered_on" in paths for paths in used] == [True, False]


@pytest.mark.parametrize(("start", "end", "shorter"), [
    (date(2026, 8, 31), date(2027, 2, 28), True), (date(2026, 2, 28), date(2026, 8, 28), False),
    (date(2027, 8, 31), date(2028, 2, 29), True),
])  # fmt: skip
def test_a_period_of_months_that_ends_in_a_shorter_month_says_so(start: date, end: date, shorter: bool) -> None:
    """Fam. Code § 299(a): six months; the last day of the month counts (common practice)."""
    found = deadline("partnership_termination", start, "notice of termination")
    assert found.counted_on == end
    assert any(step.what == "Shorter month" for step in found.steps) is shorter


def test_a_period_of_days_never_ends_in_a_shorter_month() -> None:
    found = deadline("response", date(2026, 8, 30), "service")
    assert not any(step.what == "Shorter month" for step in found.steps)


@pytest.mark.parametrize(("changes", "counted"), [
    ({}, True), ({"case.path": "joint_petition", "case.service_method": "joint_filing"}, False),
    ({"case.service_method": "appearance"}, False), ({"case.path": "joint_petition", "case.service_method": "personal"}, False),
])  # fmt: skip
def test_thirty_days_run_only_where_a_petition_was_served(changes: dict[str, str], counted: bool) -> None:
    """Fam. Code § 2020; § 2331(b) for a joint petition."""
    served = {"case.path": "response_filed", "case.service_method": "personal", "case.served_on": "2026-01-05"}
    assert (case_dates(facts(served, changes)).response_due is not None) is counted


# Support


def test_a_year_of_interest_on_unpaid_support_is_ten_percent() -> None:
    """Code Civ. Proc. § 685.010(a): 10 percent a year; a year is 365 days (common practice)."""
    found = balance([Dated(date(2025, 1, 1), D("1000.00"))], [], date(2026, 1, 1))
    assert found.interest == D("100.00")


@pytest.mark.parametrize(("percent", "fits"), [("0", True), ("100", True), ("-0.01", False), ("100.01", False)])
def test_a_band_takes_from_nothing_to_all(percent: str, fits: bool) -> None:
    bands = [Band(D(0), None, D(percent))]
    if fits:
        assert bonus_worksheet(bands).rows
    else:
        with pytest.raises(SupportInputError, match="not a percentage"):
            bonus_worksheet(bands)


@pytest.mark.parametrize(("years", "agreed"), [("every", "claims"), ("even", "no"), ("odd", "claims")])
def test_the_year_decides_who_claims_a_child(years: str, agreed: str) -> None:
    """The case is of 2025, an odd year; what is agreed goes before the time. The child goes into the tax of who claims it."""
    text = CASE.replace(
        "  gross_monthly_income: 8000.00\n  net_monthly_income: 5500.00", "  gross_monthly_income: 8000.00"
    )
    taxes = "taxes:\n  dependents:\n" + "".join(
        f"    - {{child: {key}, claimant: respondent, years: {years}}}\n" for key in ("eve", "lev")
    )
    without = named(
        figures(text + SUPPORT.replace(", respondent_net: 5500.00", "")), "Net disposable income of the respondent"
    )
    found = named(
        figures(text + SUPPORT.replace(", respondent_net: 5500.00", "") + taxes),
        "Net disposable income of the respondent",
    )
    assert without.value is not None
    assert (found.value != without.value) is (agreed == "claims")


@pytest.mark.parametrize(("day", "said"), [("2025-12-31", True), ("2026-01-01", False), ("2026-06-01", False)])
def test_spousal_support_has_a_tax_effect_in_agreements_before_2026(day: str, said: bool) -> None:
    """Stats. 2025, ch. 231 (SB 711): California follows the federal rule for agreements executed from 1 January 2026."""
    text = CASE.replace("signing_on: 2025-11-20", f"signing_on: {day}") + SUPPORT
    spousal = "spousal_support:\n  to_petitioner: {outcome: payable, amount: 300.00}\n"
    found = figures(text + spousal)
    assert any("tax effect" in caution for figure in found.figures for caution in figure.cautions) is said


def test_a_premium_is_tested_only_if_a_parent_pays_it_and_its_amount_is_known() -> None:
    """Fam. Code § 3751(a)(2): the cost to the parent who provides."""
    assert any(f.name.startswith("Children's health premium") for f in figures(CASE + SUPPORT).figures)
    for provider in ("{provider: both, child_premium: 400.01}", "{provider: respondent}"):
        found = figures(CASE + SUPPORT.replace("{provider: respondent, child_premium: 400.01}", provider))
        assert not any(f.name.startswith("Children's health premium") for f in found.figures)


@pytest.mark.parametrize(("born", "counts"), [("2007-03-05", True), ("2006-03-05", False)])
def test_an_older_child_counts_for_tax_until_nineteen(born: str, counts: bool) -> None:
    """I.R.C. § 152(c)(3)(A): under 19 at the end of the year; the tax year is 2025."""
    text = CASE.replace(
        "  gross_monthly_income: 8000.00\n  net_monthly_income: 5500.00", "  gross_monthly_income: 8000.00"
    )
    text = text.replace("born_on: 2012-05-05", f"born_on: {born}") + SUPPORT.replace(", respondent_net: 5500.00", "")
    claim = "taxes:\n  dependents:\n    - {child: eve, claimant: respondent, years: every}\n"
    other = claim.replace("claimant: respondent", "claimant: petitioner")
    nets = [named(figures(text + taxes), "Net disposable income of the respondent").value for taxes in (claim, other)]
    assert None not in nets
    assert (nets[0] != nets[1]) is counts


@pytest.mark.parametrize(("amount", "years"), [("0.01", 1), ("0.10", 1), ("20.00", 2)])
def test_cover_is_asked_for_as_long_as_a_cent_is_unpaid(amount: str, years: int) -> None:
    """Fam. Code § 4360. A day more than a year leaves a day's part, which is a cent only of a larger sum."""
    steps = [MonthlyStep(date(2027, 1, 1), date(2028, 1, 31), D(amount))]
    assert len(cover_table(step_table(steps)).rows) == 2
    steps = [MonthlyStep(date(2027, 1, 1), date(2028, 1, 1), D(amount))]
    assert len(cover_table(step_table(steps)).rows) == years


@pytest.mark.parametrize(("children", "factor"), [
    (1, "1"), (2, "1.6"), (3, "2"), (4, "2.3"), (5, "2.5"), (6, "2.625"), (7, "2.75"), (8, "2.813"), (9, "2.844"), (10, "2.86"),
])  # fmt: skip
def test_factors_are_printed_as_the_statute_prints_them(children: int, factor: str) -> None:
    """Fam. Code § 4055(b)(4)."""
    assert multiple_words(child_factor(children, date(2026, 6, 1))) == factor


def test_wages_and_earnings_together_owe_the_additional_tax() -> None:
    """I.R.C. §§ 1401(b)(2), 3101(b)(2): 0.9 percent above 200,000; own arithmetic, on 92.35 percent of the earnings."""
    found = payroll(Household(2026, "single", D(150000), self_employment=D(100000), age=40))
    assert found.additional_medicare == (D(150000) + D(92350) - D(200000)) * D("0.009")


@pytest.mark.parametrize(("separated", "status"), [("2025-06-30", "head_of_household"), ("2025-07-01", "separate")])
def test_a_married_parent_has_lived_apart_for_the_last_six_months(separated: str, status: str) -> None:
    """I.R.C. § 7703(b)(3): not a member of the household during the last six months of the year (from memory)."""
    text = CASE.replace("separated_on: 2024-01-01", f"separated_on: {separated}").replace(
        "  path:", "  status_mode: not_ended\n  path:"
    )
    assert filing_status(read_text_case(text).facts, "respondent", 2025, D(60)) == status


# Property

HOME = SeparateHome(
    D(100000),
    D(80000),
    D(10000),
    D(300000),
    owner="respondent",
    value_at_marriage=D(120000),
    value_at_separation=D(250000),
)


def test_growth_after_separation_is_worked_from_the_value_on_that_day() -> None:
    """One reading of In re Marriage of Branco (1996) 47 Cal.App.4th 1621; Moore and Marsden run growth to trial."""
    steps = home_shares(replace(HOME, growth_until="separation")).figure.steps
    (later,) = (step for step in steps if step.what == "Growth after separation, separate")
    assert (later.formula, later.result) == ("300,000.00 − 250,000.00", "50,000.00")


@pytest.mark.parametrize(("amount", "fits"), [("0.01", True), ("0.00", False)])
def test_a_refinance_has_an_amount(amount: str, fits: bool) -> None:
    home = replace(HOME, refinance=Refinance(D(0), D(amount), D(0), None))
    if fits:
        assert home_shares(home).equity
    else:
        with pytest.raises(InputError, match="the refinance has no amount"):
            home_shares(home)


def test_each_party_receives_the_own_part_of_the_home() -> None:
    found = home_shares(HOME)
    assert found.owner_receives > found.other_receives
    assert (found.for_party("respondent"), found.for_party("petitioner")) == (
        found.owner_receives,
        found.other_receives,
    )


def test_credits_of_both_parties_are_added_up() -> None:
    """Fam. Code § 2640(b)."""
    found = credits_2640([Contribution("petitioner", D(3000)), Contribution("respondent", D(2000))], D(50000), D(0))
    assert found.figure.value == D(5000)


@pytest.mark.parametrize("value", ["0.00", "0.01"])
def test_a_claim_in_a_thing_worth_nothing_is_still_worked_out(value: str) -> None:
    """Fam. Code § 2640(b): the credit shall not exceed the net value of the property."""
    claim = {"by": "petitioner", "amount": "500.00", "basis": "contribution_2640"}
    asset = {"kind": "vehicle", "label": "the van", "value": value, "separate_claims": [claim]}
    found = credits_of(facts({"assets": {"van": asset}}), "van")
    assert found is not None
    assert found.figure.value == D(value)


def _claims(claimed: str, owing: str) -> bool:
    claim = {"by": "petitioner", "amount": claimed, "basis": "contribution_2640", "result": "paid"}
    asset = {
        "kind": "vehicle", "label": "the van", "value": "10000.00", "owing": owing, "goes_to": "petitioner", "separate_claims": [claim]
    }  # fmt: skip
    return any("exceed the net value" in c.says for c in ledger(facts({"assets": {"van": asset}})).cautions)


def test_claims_are_set_against_the_value_less_the_loan() -> None:
    """Fam. Code § 2640(b)."""
    assert [_claims(*sums) for sums in (("6000.00", "4000.00"), ("6000.01", "4000.00"))] == [False, True]


def _sale(*sold: str) -> list[str]:
    assets = {
        key: {
            "kind": "vehicle",
            "label": f"the {key}",
            "value": "9000.00",
            "goes_to": "sell" if key in sold else "petitioner",
        }
        for key in ("van", "truck")
    }
    debts = {"card": {"kind": "card", "label": "the card", "owing": "900.00", "assigned_to": "from_sale"}}
    return [
        c.says
        for c in ledger(facts({"assets": assets, "debts": debts})).cautions
        if "is to be paid from a sale" in c.says
    ]


def test_a_debt_that_a_sale_pays_needs_one_sale() -> None:
    assert _sale("van") == []
    assert "no sale is planned" in _sale()[0]
    assert "several sales are planned" in _sale("van", "truck")[0]


def test_a_benefit_is_not_cut_unless_it_is_said() -> None:
    assert formula_benefit(D(5000), D("0.02"), D(20)) == D("2000.00")


@pytest.mark.parametrize("year", [1993, 1994, 2001])
def test_damages_from_before_the_code_are_divided_by_its_first_text(year: int) -> None:
    """Fam. Code § 2603, in force since 1994: at least half to the injured party."""
    found = injury(Injury("petitioner", D(1000), date(year, 6, 1)), MarriageDays(date(1985, 6, 1), None))
    assert found.least == D("500.00")


def _pension(status: str) -> list[str]:
    plan = {
        "member": "petitioner", "type": "pension_private", "method": "time_rule", "pay_status": status,
        "community_service_months": "90", "total_service_months": "200",
    }  # fmt: skip
    asset = {"kind": "retirement", "label": "the pension", "goes_to": "petitioner", "retirement": plan}
    found = plan_of_facts(facts({"assets": {"pension": asset}}), "pension")
    assert found is not None
    return [text for text in found.figure.cautions if "Service goes on" in text]


def test_service_that_goes_on_is_said() -> None:
    assert _pension("accruing")
    assert not _pension("in_pay")


def test_a_payment_without_a_day_is_cautioned_only_when_there_is_a_case_to_count_from() -> None:
    """Fam. Code § 2641(c)(1)."""
    paid = [SchoolPayment(2016, D(500))]
    said = [
        any(
            "enter its day" in text
            for text in education("petitioner", paid, date(2026, 6, 30), petition_filed_on=filed).figure.cautions
        )
        for filed in (None, date(2026, 2, 1), date(2030, 2, 1))
    ]
    assert said == [False, True, False]


def test_a_premarital_agreement_may_be_signed_on_the_wedding_day() -> None:
    """Fam. Code §§ 1610(a), 1613 (from memory): made between prospective spouses; a writing after the wedding is none."""
    wedding = date(2010, 6, 1)

    def asked(signed: date) -> Characterised:
        writing = WrittenAgreement("separate_petitioner", signed, "premarital")
        return characterise(Acquisition(date(2015, 1, 1), source="purchase", agreement=writing), MarriageDays(wedding))

    assert asked(wedding).character == "separate_petitioner"
    with pytest.raises(InputError, match="after the marriage"):
        asked(date(2010, 6, 2))


def test_a_writing_that_the_loser_joined_changes_the_character() -> None:
    """Fam. Code § 852(a)."""
    joined = WrittenAgreement("separate_petitioner", date(2012, 1, 1), "transmutation")
    found = [
        characterise(
            Acquisition(date(2011, 1, 1), source="purchase", agreement=writing), MarriageDays(date(2010, 6, 1))
        ).character
        for writing in (joined, replace(joined, loser_joined=False))
    ]
    assert found == ["separate_petitioner", "community"]


def test_a_negative_sum_of_less_than_a_dollar_is_a_negative_sum() -> None:
    """Fam. Code § 2622(b): where debts exceed assets the court divides the excess as is just and equitable, not in half."""
    found = equalize(Side(D("100.00"), D("100.50")), Side(D(0)))
    assert any(step.what == "Debts exceed assets" for step in found.figure.steps)
    assert found.payment == 0


def test_tracing_misses_a_month_in_the_year_that_follows() -> None:
    entries = [
        Entry(date(2019, 12, 5), "purchase", D(50), what="car"),
        Entry(date(2020, 2, 5), "purchase", D(50), what="boat"),
    ]
    assert trace(D(0), D(100), entries, months_seen={(2019, 12), (2020, 2)}).stopped == "no statement for 2020-01"
    assert not trace(D(0), D(100), entries, months_seen={(2019, 12), (2020, 1), (2020, 2)}).stopped


def test_what_the_other_spouse_paid_comes_out_of_what_is_left() -> None:
    """Fam. Code § 2603; own arithmetic: 1,000 received, 700 repaid to the community, so 300 at most to the other spouse."""
    days = MarriageDays(date(2010, 6, 1), date(2020, 6, 1))
    found = injury(
        Injury("petitioner", D(1000), date(2021, 6, 1), paid_by_community=D(700), paid_by_other=D(500)), days
    )
    assert (found.to_community, found.to_other, found.least) == (D(700), D(300), D(0))


def test_a_sale_that_falls_short_by_a_cent_says_so() -> None:
    def said(owing: str) -> list[str]:
        van = {"kind": "vehicle", "label": "the van", "value": "9000.00", "owing": owing, "goes_to": "sell"}
        return [c.says for c in ledger(facts({"assets": {"van": van}})).cautions if "falls short by" in c.says]

    assert said("9000.00") == []
    assert "falls short by 0.01" in said("9000.01")[0]


def test_a_wrong_weight_is_named_by_its_place() -> None:
    with pytest.raises(InputError, match=r"weight.2"):
        divide(D(10), [D(1), D(-1)])


def test_three_short_credits_are_repaid_to_the_cent() -> None:
    """Fam. Code § 2640(b); the last takes what rounding leaves."""
    thirds = [
        Contribution("petitioner", D(100)),
        Contribution("respondent", D(100)),
        Contribution("petitioner", D(100)),
    ]
    found = credits_2640(thirds, D(100), D(0), percent_places=2)
    assert (found.to_petitioner, found.to_respondent) == (D("66.67"), D("33.33"))


def test_a_band_without_a_percentage_never_reaches_the_cap() -> None:
    free = Band(D(0), D(10000), D(0))
    assert bonus_worksheet([free, Band(D(10000), None, D(20))], D(1000)).cap_reached_at == D(15000)


def test_retired_pay_needs_a_month_of_service() -> None:
    """10 U.S.C. § 1408(a)(4)(B)."""
    assert frozen_military_pay(D(5000), 0, 1, D(1), decree_on=date(2026, 1, 5)).figure.steps
    with pytest.raises(InputError, match="there is no service to divide by"):
        frozen_military_pay(D(5000), 0, 0, D(0), decree_on=date(2026, 1, 5))


def test_improvements_of_both_kinds_come_off_the_growth() -> None:
    """In re Marriage of Moore (1980) 28 Cal.3d 366; the worked line says what was taken off."""
    home = replace(HOME, improvements=(Improvement(D(7000), "community", "share"), Improvement(D(2000), "community")))
    (shared,) = (step for step in home_shares(home).figure.steps if step.what == "Growth that is shared")
    assert "improvements 9,000.00" in shared.formula
