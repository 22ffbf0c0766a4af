"""Guideline child support against the statute's examples, worked rows, and what must hold for any case (Fam. Code § 4055)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from figures.rows import table
from hypothesis import given
from hypothesis import strategies as st

from msadraft.figures.child_support import (
    ChildTime,
    NoFormulaError,
    Run,
    child_factor,
    guideline,
    income_share,
    presumed_time,
    time_factor,
)
from msadraft.figures.deviation import deviation
from msadraft.figures.hardship import hardship
from msadraft.figures.low_income import ThresholdNeededError, low_income, monthly_threshold
from msadraft.figures.support_amounts import ESTIMATE, SupportInputError, rounded, shared_out
from msadraft.law.parameters import LawNotKnownError

FILE = "child_support.yaml"
OLD, NEW = date(2024, 8, 31), date(2024, 9, 1)
YEAR_2025 = date(2025, 6, 1)
NETS = st.decimals(0, 60_000, places=2)
PERCENTS = st.decimals(0, 100, places=2)
DAYS = st.sampled_from([OLD, NEW, YEAR_2025, date(2026, 11, 24)])


def run(high: Decimal | int, low: Decimal | int, percent: Decimal | int, children: int, day: date = YEAR_2025) -> Run:
    """A run in which the petitioner has the higher net and `percent` of the time with every child."""
    return Run(
        day, Decimal(high), Decimal(low), tuple(ChildTime(f"c{n}", Decimal(percent)) for n in range(int(children)))
    )


RUNS = st.builds(run, NETS, NETS, PERCENTS, st.integers(1, 10), DAYS)


# Rows


@pytest.mark.parametrize("row", table(FILE, "statute_examples"))
def test_the_printed_k(row: dict[str, Any]) -> None:
    found = guideline(run(row["total_net"], 0, row["percent"], 1, row["day"]))
    assert found.k == row["k"]
    assert rounded(found.k) == row["printed"]


@pytest.mark.parametrize("row", table(FILE, "bands"))
def test_each_band_runs_to_its_upper_figure(row: dict[str, Any]) -> None:
    assert rounded(income_share(Fraction(row["total_net"]), NEW), 6) == row["share"]


def test_cents_above_a_band_fall_into_the_next() -> None:
    assert income_share(Fraction("5000.01"), NEW) == Fraction(1, 4) != income_share(Fraction(5000), NEW)


@pytest.mark.parametrize("row", table(FILE, "formula"))
@pytest.mark.parametrize(("version", "day"), [("old", OLD), ("new", NEW)])
def test_the_formula(row: dict[str, Any], version: str, day: date) -> None:
    found = guideline(run(row["high_net"], row["low_net"], row["percent"], row["children"], day))
    assert found.total_net == row["total_net"]
    assert (found.k, found.one_child, found.signed_total) == tuple(
        row[f"{version}_{name}"] for name in ("k", "one", "total")
    )
    assert found.amount == abs(row[f"{version}_total"])
    assert found.payer == ("petitioner" if row[f"{version}_total"] > 0 else "respondent")


@pytest.mark.parametrize("row", table(FILE, "child_factors"))
def test_child_factors_and_increments(row: dict[str, Any]) -> None:
    n = int(row["children"])
    before = child_factor(n - 1, NEW) if n > 1 else Fraction(0)
    assert (child_factor(n, NEW), child_factor(n, OLD)) == (Fraction(row["factor"]),) * 2
    assert child_factor(n, NEW) - before == Fraction(row["share"])


@pytest.mark.parametrize("row", table(FILE, "each_child"))
def test_parts_of_the_children_from_the_youngest(row: dict[str, Any]) -> None:
    found = guideline(run(row["high_net"], row["low_net"], row["percent"], len(row["shares"])))
    assert [share.amount for share in found.shares] == row["shares"]
    assert found.amount == row["total"]


@pytest.mark.parametrize("row", table(FILE, "opinions"))
def test_opinions(row: dict[str, Any]) -> None:
    found = guideline(run(row["high_net"], row["low_net"], row["percent"], row["children"], OLD))
    assert found.amount == row["order"]
    assert found.amount * row["months"] == row["claim"]


@pytest.mark.parametrize("row", table(FILE, "not_reproduced"))
def test_an_opinion_that_no_single_time_reproduces(row: dict[str, Any]) -> None:
    def ours(low: Decimal, percent: Decimal) -> Decimal:
        return guideline(run(row["high_net"], low, percent, 2, OLD)).amount

    ends, nets = row["printed"], row["low_nets"]
    assert [ours(low, row["fits_first"]) for low in nets] == row["ours_at_first"] != ends
    fits = [
        [
            tenth
            for tenth in range(1001)
            if abs(ours(low, Decimal(tenth) / 10) - printed) < 5 and ours(low, Decimal(tenth) / 10)
        ]
        for low, printed in zip(nets, ends, strict=True)
    ]
    assert all(fits)
    assert not set(fits[0]) & set(fits[1]), row["why"]


@pytest.mark.parametrize("row", table(FILE, "slope"))
def test_one_percent_of_time(row: dict[str, Any]) -> None:
    first, second = (
        guideline(run(row["high_net"], row["low_net"], row[name], row["children"])).amount
        for name in ("from_percent", "to_percent")
    )
    assert first - second == row["falls_by"]


@pytest.mark.parametrize("row", table(FILE, "average_time"))
def test_different_time_is_averaged_and_not_allocated(row: dict[str, Any]) -> None:
    children = tuple(ChildTime(f"c{n}", percent) for n, percent in enumerate(row["percents"]))
    found = guideline(Run(NEW, Decimal(5000), Decimal(2000), children))
    assert found.high_earner_percent == row["average"]
    assert found.amount == guideline(run(5000, 2000, row["average"], len(children))).amount
    assert found.shares == ()
    assert found.shares_figure.value is None
    assert any("4057(b)(6)(A)" in caution for caution in found.figure.cautions)


@pytest.mark.parametrize("row", table(FILE, "minimum_wage"))
def test_monthly_minimum_wage(row: dict[str, Any]) -> None:
    month, step = monthly_threshold(guideline(run(1000, 0, 0, 1, row["day"])))
    assert rounded(month) == row["month"]
    assert str(row["hourly"]) in step.formula


@pytest.mark.parametrize("row", table(FILE, "low_income"))
def test_low_income_range(row: dict[str, Any]) -> None:
    low = low_income(guideline(run(row["high_net"], row["low_net"], row["percent"], row["children"])))
    assert low is not None
    assert low.qualifies
    assert (low.lowest, low.highest, low.reduction) == (row["lowest"], row["full"], row["reduction"])


@pytest.mark.parametrize("row", table(FILE, "half_of_income"))
def test_more_than_half_of_income(row: dict[str, Any]) -> None:
    found = guideline(run(row["net"], 0, 0, row["children"]))
    low = low_income(found)
    assert low is not None
    assert (found.one_child, found.amount, low.reduction, low.lowest) == (
        row["one"],
        row["full"],
        row["reduction"],
        row["lowest"],
    )
    assert low.beyond_half_from_lowest == row["beyond"]
    assert low.beyond_half_from_highest == row["full"] - row["net"] / 2


@pytest.mark.parametrize("row", table(FILE, "hardship"))
def test_hardship_cap(row: dict[str, Any]) -> None:
    before = run(row["payer_net"], row["other_net"], row["percent"], row["children"])
    found = hardship(before, "petitioner", int(row["hardship_children"]))
    assert (found.each, found.guideline.amount, found.capped) == (row["each"], row["support"], True)
    assert guideline(before).amount / row["children"] == row["one_pass"] > found.each


# What must hold for any case


@given(RUNS)
def test_swapping_the_parties_swaps_the_payer(case: Run) -> None:
    swapped = Run(
        case.day,
        case.respondent_net,
        case.petitioner_net,
        tuple(ChildTime(child.key, 100 - child.petitioner_percent) for child in case.children),
    )
    one, two = guideline(case), guideline(swapped)
    assert one.amount == two.amount
    assert {one.payer, two.payer} in ({"petitioner", "respondent"}, {None})
    assert one.shares == two.shares


@given(NETS, PERCENTS, st.integers(1, 10), DAYS)
def test_equal_nets_give_one_answer_for_either_label(net: Decimal, percent: Decimal, children: int, day: date) -> None:
    found = guideline(run(net, net, percent, children, day))
    share, time = income_share(2 * Fraction(net), day), Fraction(percent) / 100
    other = (
        share * time_factor(1 - time) * (Fraction(net) - (1 - time) * 2 * Fraction(net)) * child_factor(children, day)
    )
    assert found.exact_total == -other


@given(RUNS)
def test_the_parts_of_the_children_add_up(case: Run) -> None:
    found = guideline(case)
    assert sum(share.amount for share in found.shares) == found.amount
    amounts = [share.amount for share in found.shares]
    assert amounts == sorted(amounts, reverse=True)


@given(RUNS)
def test_without_the_eldest_the_rest_is_the_guideline_for_the_rest(case: Run) -> None:
    found = guideline(case)
    if len(case.children) > 1 and found.shares:
        rest = guideline(replace(case, children=case.children[:-1]))
        assert abs(found.amount - found.shares[-1].amount - rest.amount) <= Decimal("0.02")


@given(NETS, NETS, PERCENTS, PERCENTS, st.integers(1, 10), DAYS)
def test_more_time_never_raises_what_a_parent_pays(
    mine: Decimal, theirs: Decimal, one: Decimal, two: Decimal, children: int, day: date
) -> None:
    less, more = sorted((one, two))
    assert (
        guideline(run(mine, theirs, more, children, day)).from_petitioner
        <= guideline(run(mine, theirs, less, children, day)).from_petitioner
    )


@given(NETS, NETS, st.integers(1, 10), DAYS)
def test_all_the_time_with_the_higher_earner_leaves_the_lower_to_pay(
    one: Decimal, two: Decimal, children: int, day: date
) -> None:
    high, low = max(one, two), min(one, two)
    found = guideline(run(high, low, 100, children, day))
    total = Fraction(high) + Fraction(low)
    assert found.exact_one_child == -income_share(total, day) * Fraction(low)


@given(st.decimals(2501, 3333, places=2), st.decimals(2500, 3332, places=2), PERCENTS, st.integers(1, 10))
def test_both_versions_agree_between_5001_and_6666(one: Decimal, two: Decimal, percent: Decimal, children: int) -> None:
    case = run(one, two, percent, children, OLD)
    if one + two > 5001:
        assert guideline(case).exact_total == guideline(replace(case, day=NEW)).exact_total


@given(st.sampled_from([2900, 5000, 10000, 15000]), PERCENTS)
def test_a_cent_at_a_band_edge_moves_support_by_cents(edge: int, percent: Decimal) -> None:
    below = guideline(run(Decimal(edge) * 3 / 5, Decimal(edge) * 2 / 5, percent, 1))
    above = guideline(run(Decimal(edge) * 3 / 5 + Decimal("0.01"), Decimal(edge) * 2 / 5, percent, 1))
    assert abs(below.from_petitioner - above.from_petitioner) < Decimal(4)


@given(RUNS)
def test_the_low_end_is_the_share_of_income(case: Run) -> None:
    found = guideline(replace(case, day=YEAR_2025))
    low = low_income(found)
    if low is None:
        assert found.payer is None
        return
    net = case.petitioner_net if low.payer == "petitioner" else case.respondent_net
    assert low.qualifies == (net < Decimal(2860))
    assert low.lowest <= low.highest == found.amount
    if low.qualifies:
        assert low.lowest == rounded(abs(found.exact_total) * Fraction(net) / 2860)


@given(NETS, NETS, PERCENTS, st.integers(1, 10), st.integers(1, 8), st.sampled_from(["petitioner", "respondent"]))
def test_a_hardship_deduction_never_exceeds_its_cap(
    mine: Decimal, theirs: Decimal, percent: Decimal, children: int, others: int, party: Any
) -> None:
    case = run(mine, theirs, percent, children)
    found = hardship(case, party, others)
    assert found.each * others <= case.net(party) + Decimal("0.01") * others
    assert found.each <= rounded(abs(found.guideline.exact_total) / children) + Decimal("0.01") * (1 + others)


@given(st.decimals(0, 10**6, places=2), st.lists(st.integers(0, 1000), min_size=1, max_size=12))
def test_parts_add_up_to_the_whole(total: Decimal, weights: list[int]) -> None:
    if not any(weights):
        with pytest.raises(SupportInputError):
            shared_out(total, [Fraction(w) for w in weights])
        return
    parts = shared_out(total, [Fraction(w) for w in weights])
    assert sum(parts) == total
    assert all(part == 0 for part, weight in zip(parts, weights, strict=True) if weight == 0)
    assert all(abs(part - total * w / sum(weights)) < Decimal("0.01") for part, w in zip(parts, weights, strict=True))


# Low income and deviation at their edges


def test_the_low_income_test_is_strict() -> None:
    at, under = (low_income(guideline(run(net, 1000, 10, 1))) for net in (Decimal(2860), Decimal("2859.99")))
    assert at is not None
    assert under is not None
    assert (at.qualifies, under.qualifies) == (False, True)
    assert at.lowest == at.highest


def test_before_2024_the_threshold_must_be_given() -> None:
    found = guideline(run(1400, 500, 10, 1, OLD))
    with pytest.raises(ThresholdNeededError, match="give the amount"):
        low_income(found)
    low = low_income(found, Decimal("1837.00"))
    assert low is not None
    assert low.lowest == rounded(found.exact_total * Fraction(1400, 1837))
    assert low.beyond_half_from_lowest is None


def test_a_year_without_a_minimum_wage_asks_for_it() -> None:
    with pytest.raises(ThresholdNeededError, match="2027"):
        low_income(guideline(run(1400, 500, 10, 1, date(2027, 1, 1))))


def test_the_law_changes_on_1_september_2024() -> None:
    old, new = (guideline(run(8000, 4000, 35, 3, day)) for day in (OLD, NEW))
    assert (old.amount, new.amount) == (Decimal("1915.20"), Decimal("2307.65"))
    with pytest.raises(LawNotKnownError, match="2004-01-01"):
        guideline(run(8000, 4000, 35, 3, date(2003, 12, 31)))


@pytest.mark.parametrize(
    ("amount", "payer", "standing", "difference", "declarations"),
    [
        ("1872.00", "petitioner", "at", "0.00", False),
        ("1872.50", "petitioner", "above", "0.50", False),
        ("1871.01", "petitioner", "below", "-0.99", False),  # whole dollars: common practice
        ("1871.00", "petitioner", "below", "-1.00", True),
        ("1900.00", "petitioner", "above", "28.00", False),
        ("0.00", None, "below", "-1872.00", True),
        ("100.00", "respondent", "below", "-1972.00", True),
    ],
)
def test_an_agreed_amount_against_the_guideline(
    amount: str, payer: Any, standing: str, difference: str, declarations: bool
) -> None:
    """Fam. Code § 4065(a): below guideline needs five declarations; § 4056(a): any difference needs statements."""
    found = deviation(guideline(run(5500, 2500, 20, 2)), Decimal(amount), payer)
    assert (found.standing, found.difference, found.declarations_needed) == (
        standing,
        Decimal(difference),
        declarations,
    )
    assert found.findings_needed == (abs(found.difference) >= 1)


def test_an_amount_inside_the_low_income_range_is_guideline() -> None:
    """Fam. Code § 4055(b)(7): the order may stand anywhere in the range."""
    found = guideline(run(2000, 1500, 15, 1))
    low = low_income(found)
    assert deviation(found, Decimal("253.89"), "petitioner", low).standing == "at"
    assert deviation(found, Decimal("252.00"), "petitioner", low).declarations_needed
    assert deviation(found, Decimal("253.89"), "petitioner").standing == "below"


# Default, and what the statute gives no figure for


def test_time_of_a_parent_who_did_not_appear() -> None:
    """Fam. Code § 4055(b)(6): H% is 0 for a noncustodial high earner, 100 for a custodial one."""
    time = presumed_time(custodial="petitioner", moving="petitioner", absent="respondent")
    noncustodial_earns_more = Run(NEW, Decimal(2000), Decimal(4000), (ChildTime("c", time),))
    custodial_earns_more = Run(NEW, Decimal(4000), Decimal(2000), (ChildTime("c", time),))
    assert guideline(noncustodial_earns_more).high_earner_percent == 0
    assert guideline(custodial_earns_more).high_earner_percent == 100
    assert guideline(custodial_earns_more).signed_total == Decimal("-500.00")


@pytest.mark.parametrize(
    ("moving", "absent"), [("respondent", "petitioner"), ("petitioner", "petitioner"), ("respondent", "respondent")]
)
def test_the_default_rule_does_not_reach(moving: Any, absent: Any) -> None:
    with pytest.raises(NoFormulaError, match="give the percentage"):
        presumed_time(custodial="petitioner", moving=moving, absent=absent)


@pytest.mark.parametrize(
    ("case", "message"),
    [
        (run(1000, 500, 20, 11), "ends at 10 children"),
        (run(1000, 500, 20, 0), "no supported child"),
        (replace(run(1000, 500, 20, 1), parents=3), "4052.5"),
        (run(-1, 500, 20, 1), "below zero"),
        (run(1000, 500, 101, 1), "from 0 to 100"),
        (run(Decimal("NaN"), 500, 20, 1), "not a number"),
        (
            replace(run(1000, 500, 20, 1), children=(ChildTime("c", Decimal(1)), ChildTime("c", Decimal(1)))),
            "named twice",
        ),
    ],
)
def test_what_cannot_be_worked_out_says_why(case: Run, message: str) -> None:
    with pytest.raises(SupportInputError, match=message):
        guideline(case)


def test_no_income_gives_nothing() -> None:
    found = guideline(run(0, 0, 20, 2))
    assert (found.amount, found.payer, found.shares) == (Decimal("0.00"), None, ())
    assert low_income(found) is None


def test_every_figure_says_that_it_is_an_estimate() -> None:
    """Fam. Code § 3830; Cal. Rules of Court, rule 5.275."""
    found = guideline(run(2000, 1500, 15, 1))
    low = low_income(found)
    assert low is not None
    shown = [found.figure, found.shares_figure, low.figure, deviation(found, Decimal(1), "petitioner").figure]
    assert all(ESTIMATE in figure.cautions and all(step.source for step in figure.steps) for figure in shown)
