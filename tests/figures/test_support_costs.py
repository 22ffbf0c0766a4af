"""Added costs, premium, duration and arrears (Fam. Code §§ 3751, 3901, 4055(b)(8), 4061-4063; Code Civ. Proc. §§ 685.010, 695.221)."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from figures.rows import table
from hypothesis import given
from hypothesis import strategies as st

from msadraft.figures.addons import (
    AddOnInput,
    Payment,
    add_on_shares,
    divide_cost,
    divide_cost_at,
    repayment_due,
    statement_due,
)
from msadraft.figures.child_support import ChildTime, Run, guideline
from msadraft.figures.health_premium import premium_test
from msadraft.figures.support_amounts import ESTIMATE, SupportInputError
from msadraft.figures.support_arrears import Dated, balance, daily_interest, interest
from msadraft.figures.support_duration import duration

FILE = "child_support.yaml"
DAY = date(2025, 6, 1)
MONEY = st.decimals(0, 20_000, places=2)


# Added costs


@pytest.mark.parametrize("row", table(FILE, "added_costs"))
def test_shares_by_adjusted_net_income(row: dict[str, Any]) -> None:
    spousal = (Payment("respondent", row["spousal"]),)
    shares = add_on_shares(AddOnInput(DAY, Decimal(2500), Decimal(5500), Payment("respondent", row["basic"]), spousal))
    assert (shares.respondent_adjusted, shares.petitioner_adjusted) == (row["payer_net"], row["other_net"])
    assert (shares.respondent_percent, shares.petitioner_percent) == (row["payer_percent"], row["other_percent"])
    parts = divide_cost(Decimal(900), shares)
    assert (parts.respondent, parts.petitioner) == (row["payer_part"], row["other_part"])


@given(MONEY, MONEY, MONEY, MONEY, MONEY)
def test_shares_and_costs_add_up_and_swap(
    mine: Decimal, theirs: Decimal, child: Decimal, spousal: Decimal, cost: Decimal
) -> None:
    case = AddOnInput(DAY, mine, theirs, Payment("respondent", child), (Payment("respondent", spousal),))
    swapped = AddOnInput(DAY, theirs, mine, Payment("petitioner", child), (Payment("petitioner", spousal),))
    if theirs - spousal - child < 0 or mine + theirs - child == 0:
        with pytest.raises(SupportInputError, match="no percentages"):
            add_on_shares(case)
        return
    one, two = add_on_shares(case), add_on_shares(swapped)
    assert one.petitioner_percent + one.respondent_percent == 100
    assert abs(one.petitioner_percent - two.respondent_percent) <= Decimal("0.0001")
    parts = divide_cost(cost, one)
    assert parts.petitioner + parts.respondent == cost
    assert abs(parts.petitioner - divide_cost(cost, two).respondent) <= Decimal("0.01")


@given(MONEY, st.decimals(0, 100, places=2))
def test_an_agreed_division_adds_up(cost: Decimal, percent: Decimal) -> None:
    parts = divide_cost_at(cost, percent)
    assert parts.petitioner + parts.respondent == cost


def test_support_received_does_not_raise_the_recipients_share() -> None:
    """Fam. Code § 4061(d)."""
    shares = add_on_shares(AddOnInput(DAY, Decimal(3000), Decimal(6000), Payment("respondent", Decimal(1000))))
    assert (shares.petitioner_adjusted, shares.respondent_adjusted) == (3000, 5000)


def test_the_parents_may_pay_each_other_in_different_directions() -> None:
    """The payer of child support can receive spousal support (Fam. Code § 4061(c), (d))."""
    shares = add_on_shares(
        AddOnInput(
            DAY,
            Decimal(3000),
            Decimal(6000),
            Payment("petitioner", Decimal(200)),
            (Payment("respondent", Decimal(1000)),),
        )
    )
    assert (shares.petitioner_adjusted, shares.respondent_adjusted) == (3800, 5000)


def test_the_default_division_changed_in_september_2024() -> None:
    """Fam. Code § 4061 (Stats. 2023, ch. 213, operative 1 September 2024)."""
    found = [
        add_on_shares(AddOnInput(day, Decimal(1), Decimal(2))).default for day in (date(2024, 8, 31), date(2024, 9, 1))
    ]
    assert found == ["equal", "net_income"]


def test_support_with_a_tax_effect_asks_for_new_nets() -> None:
    plain = AddOnInput(
        DAY, Decimal(3000), Decimal(6000), None, (Payment("respondent", Decimal(500)),), spousal_tax_effect=True
    )
    assert any("tax effect" in caution for caution in add_on_shares(plain).figure.cautions)
    again = AddOnInput(
        DAY, Decimal(3000), Decimal(6000), None, plain.spousal_support, True, (Decimal(3400), Decimal(5600))
    )
    assert add_on_shares(again).petitioner_adjusted == 3400
    assert not any("tax effect" in caution for caution in add_on_shares(again).figure.cautions)


def test_days_of_reimbursement() -> None:
    """Fam. Code § 4063(b): 90 days for the statement, 30 to repay unless agreed otherwise."""
    assert statement_due(date(2026, 1, 1)) == date(2026, 4, 1)
    assert repayment_due(date(2026, 1, 1)) == date(2026, 1, 31)
    assert repayment_due(date(2026, 1, 1), agreed_days=14) == date(2026, 1, 15)


# Premium


@pytest.mark.parametrize(
    ("cost", "low", "reasonable"),
    [("250.00", False, True), ("250.01", False, False), ("0.00", True, True), ("10.00", True, False)],
)
def test_reasonable_premium(cost: str, low: bool, reasonable: bool) -> None:
    """Fam. Code § 3751(a)(2): 5 percent of gross; never for a payer with the low-income adjustment, unless free."""
    found = premium_test(DAY, Decimal(5000), Decimal(cost), low_income=low)
    assert (found.reasonable, found.limit) == (reasonable, Decimal("250.00"))
    assert ESTIMATE in found.figure.cautions


# Duration


def three(day: date = DAY, percents: tuple[int, ...] = (20, 20, 20)) -> Run:
    return Run(day, Decimal(4000), Decimal(2000), tuple(ChildTime(f"c{n}", Decimal(p)) for n, p in enumerate(percents)))


ENDS = {"c0": date(2040, 6, 15), "c1": date(2035, 1, 10), "c2": date(2031, 6, 15)}


def test_support_steps_down_as_children_age_out() -> None:
    """Fam. Code § 4055(b)(8): three children 1,680.00, two 1,344.00, one 840.00 (nets 4,000 and 2,000, 20 percent)."""
    found = duration(
        DAY, ENDS, ("c0", "c1", "c2"), three(), {"c0": Decimal(800), "c1": Decimal(500), "c2": Decimal(300)}
    )
    assert [(s.from_day, s.guideline, s.agreed) for s in found.stages] == [
        (DAY, Decimal("1680.00"), Decimal(1600)),
        (date(2031, 6, 15), Decimal("1344.00"), Decimal(1300)),
        (date(2035, 1, 10), Decimal("840.00"), Decimal(800)),
    ]
    assert [s.to_day for s in found.stages] == [date(2031, 6, 14), date(2035, 1, 9), date(2040, 6, 14)]
    assert found.ends_on == date(2040, 6, 15)
    assert found.stages[1].left == ("c2",)


def test_with_different_time_the_average_of_the_rest_counts() -> None:
    """Fam. Code § 4055(b)(1)(D): once the eldest has left, only the others' time is averaged."""
    found = duration(DAY, ENDS, ("c0", "c1", "c2"), three(percents=(20, 20, 80)))
    assert [s.guideline for s in found.stages] == [
        guideline(three(percents=(40, 40, 40))).amount,
        Decimal("1344.00"),
        Decimal("840.00"),
    ]


def test_twins_leave_together_and_an_unborn_child_stays() -> None:
    found = duration(DAY, {"c1": ENDS["c1"], "c2": ENDS["c1"]}, ("c0", "c1", "c2"), three())
    assert [s.children for s in found.stages] == [("c0", "c1", "c2"), ("c0",)]
    assert found.ends_on is None
    assert found.stages[-1].to_day is None
    assert any("not known is open" in caution for caution in found.figure.cautions)


def test_a_child_whose_support_ended_before_the_order_is_not_counted() -> None:
    found = duration(DAY, {**ENDS, "c2": DAY}, ("c0", "c1", "c2"), three())
    assert found.stages[0].children == ("c0", "c1")
    assert any("on or before the first day" in caution for caution in found.figure.cautions)
    with pytest.raises(SupportInputError, match="no supported child"):
        duration(DAY, {}, ())


@given(st.lists(st.dates(date(2025, 6, 2), date(2045, 1, 1)), min_size=1, max_size=8))
def test_stages_follow_each_other_and_lose_every_child_once(days: list[date]) -> None:
    keys = tuple(f"c{n}" for n in range(len(days)))
    found = duration(DAY, dict(zip(keys, days, strict=True)), keys)
    assert found.stages[0].from_day == DAY
    for before, after in zip(found.stages, found.stages[1:], strict=False):
        assert before.to_day is not None
        assert before.to_day + timedelta(days=1) == after.from_day
        assert set(before.children) - set(after.children) == set(after.left)
    assert found.ends_on == max(days)


# Arrears


@pytest.mark.parametrize("row", table(FILE, "arrears"))
def test_simple_interest(row: dict[str, Any]) -> None:
    assert (row["as_of"] - row["due"]).days == row["days"]
    found = balance([Dated(row["due"], row["amount"])], [], row["as_of"])
    assert (found.principal, found.interest) == (row["amount"], row["interest"])
    assert daily_interest(Decimal(3650), row["due"]) == Decimal("1.00")


def test_credits_go_to_the_month_then_the_oldest_principal_then_interest() -> None:
    """Code Civ. Proc. § 695.221."""
    owed = [Dated(date(2025, month, 1), Decimal("365.00")) for month in (1, 2, 3)]
    paid = [Dated(date(2025, 3, 1), Decimal("465.00"))]
    found = balance(owed, paid, date(2025, 3, 1))
    # March in full, 100 to January; interest to 1 March: January 59 days, February 28 days on 365.
    assert found.principal == Decimal("630.00")
    assert found.interest == Decimal("8.70")  # 365 x 0.10 x (59 + 28) / 365
    later = balance(owed, [*paid, Dated(date(2025, 3, 2), Decimal("640.00"))], date(2025, 3, 2))
    # One more day: 265 + 365 = 630 for one day is 0.1726; 640 pays 630 of principal and 8.87 of interest; 1.13 is left.
    assert (later.principal, later.interest, later.credit) == (Decimal("0.00"), Decimal("0.00"), Decimal("1.13"))


def test_money_paid_ahead_meets_the_next_installment() -> None:
    found = balance([Dated(date(2025, 2, 1), Decimal(300))], [Dated(date(2025, 1, 20), Decimal(100))], date(2025, 2, 1))
    assert (found.principal, found.credit) == (Decimal("200.00"), Decimal("0.00"))


ENTRIES = st.lists(st.builds(Dated, st.dates(date(2024, 1, 1), date(2027, 12, 31)), MONEY), max_size=20)


@given(ENTRIES, ENTRIES)
def test_no_cent_is_lost(owed: list[Dated], paid: list[Dated]) -> None:
    as_of = date(2028, 1, 1)
    none_paid = balance(owed, [], as_of)
    found = balance(owed, paid, as_of)
    billed, given_money = sum(entry.amount for entry in owed), sum(entry.amount for entry in paid)
    assert none_paid.principal == billed
    assert found.interest <= none_paid.interest
    # What was paid went to principal, interest or credit, so principal can fall by no more than was paid.
    assert billed - given_money <= found.principal <= billed
    assert found.credit == 0 or (found.principal, found.interest) == (0, 0)


@given(MONEY, st.dates(date(2020, 1, 1), date(2030, 1, 1)), st.integers(0, 4000), st.integers(0, 4000))
def test_interest_is_simple(principal: Decimal, start: date, first: int, second: int) -> None:
    middle, last = start + timedelta(days=first), start + timedelta(days=first + second)
    assert interest(principal, start, middle) + interest(principal, middle, last) == interest(principal, start, last)
