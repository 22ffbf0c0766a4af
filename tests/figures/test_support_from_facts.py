"""Child support figures of whole cases: which facts count, what is missing, and that nothing falls over."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from support.effort import examples
from support.strategies import cases

from msadraft.facts.load import read_text_case
from msadraft.facts.model import Facts
from msadraft.figures.compute import signing_day
from msadraft.figures.figure import Figure
from msadraft.figures.support_amounts import ESTIMATE
from msadraft.figures.support_from_facts import ChildSupportFigures, child_support_figures, filing_status

CASE = """\
case:
  county: Kern
  path: response_filed
  served_on: 2025-01-10
  signing_on: 2025-11-20
petitioner:
  name: {first: Ada, last: Reyes}
  gross_monthly_income: 5000.00
respondent:
  name: {first: Ben, last: Reyes}
  gross_monthly_income: 8000.00
  net_monthly_income: 5500.00
marriage:
  married_on: 2010-05-01
  separated_on: 2024-01-01
children:
  eve: {name: {first: Eve, last: Reyes}, born_on: 2012-05-05}
  lev: {name: {first: Lev, last: Reyes}, born_on: 2016-05-05}
"""
SUPPORT = """\
child_support:
  mode: guideline
  payer: respondent
  amount: 1872.00
  starts_on: 2025-12-01
  guideline_inputs: {petitioner_net: 2500.00, respondent_net: 5500.00, respondent_time_percent: 20}
  per_child: [{child: lev, amount: 1170.00}, {child: eve, amount: 702.00}]
  add_ons:
    - {kind: child_care, petitioner_percent: 50, basis: equal, monthly_cost: 900.00}
  insurance: {provider: respondent, child_premium: 400.01}
  arrears: {as_of: 2025-11-01, principal: 3650.00}
"""


def figures(text: str, **more: object) -> ChildSupportFigures:
    facts = read_text_case(text).facts
    return child_support_figures(facts, day=signing_day(facts), children=("eve", "lev"), **more)  # type: ignore[arg-type]


def named(found: ChildSupportFigures, name: str) -> Figure:
    return next(figure for figure in found.figures if figure.name.startswith(name))


def test_a_whole_case() -> None:
    """Fam. Code §§ 4055, 4061, 3751, 3901: the worked case of nets 5,500 and 2,500, 20 percent, two children."""
    found = figures(CASE + SUPPORT)
    assert found.guideline is not None
    assert found.add_ons is not None
    assert found.deviation is not None
    assert (found.guideline.amount, found.guideline.payer) == (Decimal("1872.00"), "respondent")
    assert [(s.key, s.amount) for s in found.guideline.shares] == [
        ("lev", Decimal("1170.00")),
        ("eve", Decimal("702.00")),
    ]
    assert found.deviation.standing == "at"
    assert found.add_ons.respondent_percent == Decimal("59.2037")
    cost = found.add_on_costs[0]
    assert cost.agreed is not None
    assert cost.by_income is not None
    assert (cost.agreed.petitioner, cost.by_income.petitioner) == (Decimal("450.00"), Decimal("367.17"))
    assert found.premium is not None
    assert not found.premium.reasonable
    assert found.duration is not None
    assert [(s.guideline, s.agreed) for s in found.duration.stages] == [(1872, 1872), (1170, 1170)]
    assert found.arrears_a_day == Decimal("1.00")
    assert "child_support.guideline_inputs.petitioner_net" in named(found, "Guideline").facts


def test_nets_of_the_run_go_before_those_of_the_parties_and_an_estimate_comes_last() -> None:
    run = figures(CASE + SUPPORT)
    assert (run.petitioner_net, run.respondent_net, run.petitioner_estimate) == (2500, 5500, None)
    plain = figures(CASE, petitioner_time={"eve": Decimal(80), "lev": Decimal(80)})
    assert plain.respondent_net == 5500
    estimate = plain.petitioner_estimate
    assert estimate is not None
    assert plain.petitioner_net == estimate.monthly
    assert (estimate.household.year, estimate.household.status, estimate.household.wages) == (
        2025,
        "head_of_household",
        60000,
    )
    assert estimate.household.children_under_17 == 2
    assert plain.guideline is not None
    assert "petitioner.gross_monthly_income" in named(plain, "Guideline").facts
    assert any("estimated" in caution for caution in named(plain, "Net disposable income of the petitioner").cautions)


def test_time_from_a_calendar_goes_before_the_recorded_one() -> None:
    found = figures(CASE + SUPPORT, petitioner_time={"eve": Decimal(60), "lev": Decimal(90)})
    assert found.guideline is not None
    assert found.guideline.high_earner_percent == 25
    assert found.guideline.shares == ()
    assert "parenting" in named(found, "Guideline").facts


@pytest.mark.parametrize(
    ("text", "name", "why"),
    [
        (CASE, "Guideline", "share of time with each parent is not given"),
        (
            CASE.replace("gross_monthly_income: 5000.00", "born_on: 1980-01-01"),
            "Net disposable income of the petitioner",
            "neither net nor gross",
        ),
        (
            CASE
            + SUPPORT.replace(
                "respondent_time_percent: 20", "respondent_time_percent: 20, petitioner_time_percent: 70"
            ),
            "Guideline",
            "do not add up",
        ),
        (CASE + SUPPORT.replace("petitioner_net: 2500.00", "petitioner_net: -1.00"), "Guideline", "below zero"),
        (CASE.replace("2025-11-20", "2027-02-01"), "Net disposable income of the petitioner", "2024 to 2026"),
        (CASE + SUPPORT.replace("  payer: respondent\n", ""), "Difference", "do not say who pays"),
    ],
)
def test_what_is_missing_is_said(text: str, name: str, why: str) -> None:
    figure = named(figures(text), name)
    assert figure.value is None
    assert why in figure.cautions[0]


def test_a_low_income_of_2027_asks_for_the_threshold() -> None:
    """Lab. Code § 1182.12(c): the wage of 2027 is announced in 2026 and is not in the data."""
    found = figures((CASE + SUPPORT).replace("2025-11-20", "2027-02-01"))
    assert found.guideline is not None
    assert found.low_income is None
    assert "minimum wage for 2027" in named(found, "Low-income").cautions[0]


def test_spousal_support_counts_for_added_costs_alone() -> None:
    """Fam. Code §§ 4058(a)(1), 4061(c): not in the formula, but in the division of added costs."""
    text = CASE + SUPPORT + "spousal_support:\n  to_petitioner: {outcome: payable, amount: 500.00}\n"
    found = figures(text)
    assert found.guideline is not None
    assert found.add_ons is not None
    assert found.guideline.amount == Decimal("1872.00")
    assert found.add_ons.respondent_percent == Decimal("51.0444")
    assert any("tax effect" in caution for caution in found.add_ons.figure.cautions)
    later = figures(text.replace("2025-11-20", "2026-01-01"))
    assert later.add_ons is not None
    assert not any("tax effect" in caution for caution in later.add_ons.figure.cautions)


@pytest.mark.parametrize(
    ("change", "party", "share", "status"),
    [
        (("", ""), "petitioner", 80, "head_of_household"),
        (("", ""), "respondent", 20, "single"),
        (("", ""), "petitioner", 50, "single"),
        (("served_on: 2025-01-10", "served_on: 2025-08-10"), "respondent", 20, "separate"),
        (("served_on: 2025-01-10", "served_on: 2025-08-10"), "petitioner", 80, "head_of_household"),
        (("separated_on: 2024-01-01", "separated_on: 2025-07-01"), "petitioner", 80, "head_of_household"),
        (("path: response_filed", "path: response_filed\n  status_mode: not_ended"), "respondent", 20, "separate"),
    ],
)
def test_filing_status(change: tuple[str, str], party: str, share: int, status: str) -> None:
    """Judged on 31 December (I.R.C. § 7703(a)); status can end six months and a day after service (Fam. Code § 2339)."""
    facts = read_text_case(CASE.replace(*change) if change[0] else CASE).facts
    assert filing_status(facts, party, 2025, Decimal(share)) == status  # type: ignore[arg-type]


def test_still_married_and_apart_for_less_than_six_months_is_not_head_of_household() -> None:
    text = CASE.replace("separated_on: 2024-01-01", "separated_on: 2025-07-01").replace("2025-01-10", "2025-08-10")
    assert filing_status(read_text_case(text).facts, "petitioner", 2025, Decimal(80)) == "separate"


def test_a_joint_return_of_both_cannot_be_told_apart() -> None:
    found = figures(CASE + "taxes: {filing: [{year: 2025, status: joint}]}\n")
    assert found.petitioner_net is None
    assert "file jointly" in named(found, "Net disposable income of the petitioner").cautions[0]


def test_no_child_no_figures() -> None:
    facts = read_text_case(CASE).facts
    found = child_support_figures(facts, day=date(2025, 1, 1), children=())
    assert (found.guideline, found.duration, found.figures) == (None, None, ())


@settings(max_examples=examples(15, 40), deadline=None, suppress_health_check=list(HealthCheck))
@given(cases())
def test_any_case_gives_figures_with_the_caution(facts: Facts) -> None:
    """Fam. Code § 3830; Cal. Rules of Court, rule 5.275: every support figure says that it is an estimate."""
    day, children = signing_day(facts), tuple(facts.children)
    found = child_support_figures(facts, day=day, children=children)
    assert found == child_support_figures(facts, day=day, children=tuple(reversed(children)))
    for figure in found.figures:
        assert ESTIMATE in figure.cautions
        assert figure.value is not None or len(figure.cautions) > 1 or figure.steps
    if found.guideline and found.guideline.shares:
        assert sum(share.amount for share in found.guideline.shares) == found.guideline.amount
    if found.add_ons:
        assert found.add_ons.petitioner_percent + found.add_ons.respondent_percent == 100
