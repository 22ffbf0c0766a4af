"""Notes, interest and present value against worked examples and an independent library."""

from __future__ import annotations

import warnings
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from figures.rows import table
from hypothesis import given
from hypothesis import strategies as st
from support.scenarios import facts_file

from msadraft.facts.load import read_case
from msadraft.figures.amortization import (
    Instalment,
    NoteError,
    NoteSchedule,
    NoteTerms,
    equalizing_note,
    instalment_interest,
    level_payment,
    note_schedule,
    periods_between,
    present_value,
    present_value_of_level,
)
from msadraft.figures.figure import Figure

SIGNING = date(2026, 11, 24)
MONEY = st.decimals(1, 2_000_000, places=2)
RATES = st.decimals(0, 15, places=3)
MONTHS = st.integers(1, 360)


@pytest.mark.parametrize("row", table("spousal_support.yaml", "notes"))
def test_note(row: dict[str, Any]) -> None:
    terms = NoteTerms(row["principal"], row["rate"], int(row["months"]), date(2027, 1, 1))
    assert level_payment(terms.principal, terms.rate, terms.months).quantize(Decimal("0.000001")) == row["raw"]
    schedule = note_schedule(terms)
    assert (schedule.payment, schedule.last, schedule.interest, schedule.total) == (
        row["payment"], row["last"], row["interest"], row["total"],
    )  # fmt: skip
    assert schedule.clears
    assert len(schedule.instalments) == row["months"]
    assert schedule.figure.value == row["payment"]
    assert schedule.figure.cautions == ()


@pytest.mark.parametrize("row", table("spousal_support.yaml", "unpaid_judgment"))
def test_interest_on_an_unpaid_judgment(row: dict[str, Any]) -> None:
    due = date(2026, 3, 2)
    assert (
        instalment_interest([(due, row["principal"])], row["rate"], due + timedelta(days=int(row["days"])))
        == row["interest"]
    )


@pytest.mark.parametrize("row", table("spousal_support.yaml", "level_value"))
def test_level_value(row: dict[str, Any]) -> None:
    assert present_value_of_level(row["payment"], row["rate"], int(row["months"]), row["at_end"]) == row["worth"]


def test_each_instalment_bears_interest_from_its_own_day() -> None:
    """Code Civ. Proc. § 685.020(b); own arithmetic: 1,000 for 59 days and for 28 days at 10 percent; nothing on what is not due."""
    owed = [(date(2026, 1, 1), Decimal(1000)), (date(2026, 2, 1), Decimal(1000)), (date(2026, 9, 1), Decimal(1000))]
    assert instalment_interest(owed, Decimal(10), date(2026, 3, 1)) == Decimal("23.84")


def test_balloon_stays_after_the_level_payments() -> None:
    """Own arithmetic: 36 payments on 50,000 at 6 percent that leave 40,000; interest alone on a balloon of the whole sum."""
    schedule = note_schedule(NoteTerms(Decimal(50000), Decimal(6), 36, balloon=Decimal(40000)))
    assert schedule.clears
    assert abs(schedule.last - schedule.payment - 40000) < Decimal("0.25")
    interest_only = note_schedule(NoteTerms(Decimal(50000), Decimal(6), 12, balloon=Decimal(50000)))
    assert interest_only.payment == Decimal("250.00")
    assert interest_only.last == Decimal("50250.00")
    assert interest_only.clears


def test_payment_that_does_not_fit_is_named() -> None:
    low = note_schedule(NoteTerms(Decimal(36000), Decimal(5), 36, payment=Decimal(900)))
    assert not low.clears
    assert "leave" in low.figure.cautions[0]
    high = note_schedule(NoteTerms(Decimal(36000), Decimal(5), 36, payment=Decimal(2000)))
    assert not high.clears
    assert len(high.instalments) == 19
    assert "payment 19" in high.figure.cautions[0]


@pytest.mark.parametrize(
    ("terms", "words"),
    [
        (NoteTerms(Decimal(0), Decimal(5), 36), "principal"),
        (NoteTerms(Decimal(100), Decimal(-1), 36), "interest"),
        (NoteTerms(Decimal(100), Decimal(5), 0), "1 to 600"),
        (NoteTerms(Decimal(100), Decimal(5), 601), "1 to 600"),
        (NoteTerms(Decimal(100), Decimal(5), 36, balloon=Decimal(101)), "balloon"),
        (NoteTerms(Decimal(36000), Decimal(12), 36, payment=Decimal(300)), "does not cover"),
        (NoteTerms(Decimal(36000), Decimal(12), 36, payment=Decimal(-1)), "below zero"),
    ],
)
def test_terms_that_cannot_be_worked_out(terms: NoteTerms, words: str) -> None:
    with pytest.raises(NoteError, match=words):
        note_schedule(terms)


def test_balance_on_a_day() -> None:
    """The first payment of the 60-month note of 61,480 at 6 percent takes off 1,188.58 - 307.40."""
    schedule = note_schedule(NoteTerms(Decimal(61480), Decimal(6), 60, date(2027, 1, 31)))
    assert schedule.balance_on(date(2027, 1, 30)) == Decimal("61480")
    assert schedule.balance_on(date(2027, 1, 31)) == Decimal("60598.82")
    assert [row.due_on for row in schedule.instalments[:3]] == [date(2027, 1, 31), date(2027, 2, 28), date(2027, 3, 31)]
    assert schedule.balance_on(date(2040, 1, 1)) == 0
    with pytest.raises(NoteError, match="first payment"):
        note_schedule(NoteTerms(Decimal(61480), Decimal(6), 60)).balance_on(date(2027, 1, 31))


# The notes of the invented cases


@pytest.mark.parametrize(
    ("case", "payment", "last_due"),
    [("dunmarsh", "1086.59", date(2030, 6, 1)), ("varnell", "1188.58", date(2031, 12, 1))],
)
def test_note_of_a_case(case: str, payment: str, last_due: date) -> None:
    schedule = equalizing_note(read_case(facts_file(case, 3)).facts, SIGNING)
    assert isinstance(schedule, NoteSchedule)
    assert schedule.payment == schedule.amortising == Decimal(payment)
    assert schedule.last_due_on == last_due
    assert schedule.clears
    assert "equalization.note.rate" in schedule.figure.facts


def test_case_without_a_note_has_no_schedule() -> None:
    assert equalizing_note(read_case(facts_file("marrowby", 3)).facts, SIGNING) is None


def _with_note(**terms: object) -> Any:
    facts = read_case(facts_file("varnell", 3)).facts
    assert facts.equalization.note is not None
    note = facts.equalization.note.model_copy(update=terms)
    return facts.model_copy(update={"equalization": facts.equalization.model_copy(update={"note": note})})


def test_incomplete_or_impossible_note_says_why() -> None:
    missing = equalizing_note(_with_note(rate=None), SIGNING)
    assert isinstance(missing, Figure)
    assert missing.value is None
    assert "rate" in missing.cautions[0]
    impossible = equalizing_note(_with_note(payment=Decimal(200)), SIGNING)
    assert isinstance(impossible, Figure)
    assert "does not cover" in impossible.cautions[0]


def test_rate_above_the_constitution_is_named() -> None:
    """Cal. Const. art. XV, § 1: ten percent."""
    schedule = equalizing_note(_with_note(rate=Decimal("10.01"), payment=None), SIGNING)
    assert isinstance(schedule, NoteSchedule)
    assert any("art. XV" in caution for caution in schedule.figure.cautions)
    at_limit = equalizing_note(_with_note(rate=Decimal("10.00"), payment=None), SIGNING)
    assert isinstance(at_limit, NoteSchedule)
    assert not any("art. XV" in caution for caution in at_limit.figure.cautions)


# What holds for every note


@given(MONEY, RATES, MONTHS)
def test_note_is_paid_off_to_the_cent(principal: Decimal, rate: Decimal, months: int) -> None:
    schedule = note_schedule(NoteTerms(principal, rate, months))
    assert sum(row.principal for row in schedule.instalments) == principal
    assert schedule.total == principal + schedule.interest == sum(row.amount for row in schedule.instalments)
    assert schedule.instalments[-1].balance == 0
    assert all(_adds_up(row) for row in schedule.instalments)
    assert schedule.last >= 0


def _adds_up(row: Instalment) -> bool:
    return (
        row.opening + row.interest - row.amount == row.balance
        and row.interest + row.principal == row.amount
        and row.balance >= 0
    )


@given(MONEY, RATES, st.integers(1, 359))
def test_more_interest_or_fewer_months_never_lower_the_payment(principal: Decimal, rate: Decimal, months: int) -> None:
    payment = level_payment(principal, rate, months)
    assert level_payment(principal, rate + 1, months) > payment
    assert level_payment(principal, rate, months + 1) < payment


@given(st.dates(date(2020, 1, 1), date(2060, 1, 1)), st.integers(0, 12000), st.integers(1, 400))
def test_periods_grow_with_the_days(start: date, days: int, more: int) -> None:
    assert periods_between(start, start + timedelta(days=days)) < periods_between(
        start, start + timedelta(days=days + more)
    )


@given(st.lists(st.tuples(st.dates(date(2026, 1, 1), date(2050, 1, 1)), MONEY), max_size=12), RATES)
def test_present_value_never_exceeds_the_face(payments: list[tuple[date, Decimal]], rate: Decimal) -> None:
    face = sum((amount for _, amount in payments), Decimal(0))
    worth = present_value(payments, rate, date(2026, 1, 1))
    assert worth <= face
    assert present_value(payments, Decimal(0), date(2026, 1, 1)) == face


@given(st.integers(1, 240), RATES, MONEY)
def test_dated_and_level_present_values_agree(months: int, rate: Decimal, payment: Decimal) -> None:
    dated = [(date(2026 + (n // 12), n % 12 + 1, 1), payment) for n in range(months)]
    assert present_value(dated, rate, date(2026, 1, 1)) == present_value_of_level(
        payment, rate, months, due_at_start=True
    )


# An independent library, if it is there


@pytest.mark.parametrize(
    ("principal", "rate", "months"),
    [(50000, 6, 60), (25000, 7, 36), (120000, 5, 120), (24925.5, 10, 12), (61480, 6, 60), (900000, 3.125, 360)],
)
def test_level_payment_agrees_with_numpy_financial(principal: float, rate: float, months: int) -> None:
    library = pytest.importorskip("numpy_financial", reason="numpy-financial is not installed; it is an optional check")
    theirs = -library.pmt(rate / 1200, months, principal)
    assert float(level_payment(Decimal(str(principal)), Decimal(str(rate)), months)) == pytest.approx(theirs, rel=1e-12)
    balloon = -library.pmt(rate / 1200, months, principal, -principal / 2)
    ours = level_payment(Decimal(str(principal)), Decimal(str(rate)), months, Decimal(str(principal)) / 2)
    assert float(ours) == pytest.approx(balloon, rel=1e-12)


@pytest.mark.parametrize(
    ("payment", "rate", "months", "at_end"),
    [(500, 5, 36, 40000), (3400, 4.5, 24, 0), (1800, 0, 24, 0), (750, 7.25, 48, 10000)],
)
@pytest.mark.parametrize("when", ["end", "begin"])
def test_present_value_agrees_with_numpy_financial(
    payment: float, rate: float, months: int, at_end: float, when: str
) -> None:
    library = pytest.importorskip("numpy_financial", reason="numpy-financial is not installed; it is an optional check")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # the library divides by a rate of zero before it looks
        theirs = -library.pv(rate / 1200, months, payment, at_end, when=when)
    ours = present_value_of_level(Decimal(payment), Decimal(str(rate)), months, Decimal(at_end), when == "begin")
    assert float(ours) == pytest.approx(theirs, abs=0.0051)


def test_interest_of_each_month_agrees_with_numpy_financial() -> None:
    """To a cent or two: ours is rounded each month."""
    library = pytest.importorskip("numpy_financial", reason="numpy-financial is not installed; it is an optional check")
    schedule = note_schedule(NoteTerms(Decimal(61480), Decimal(6), 60))
    for row in schedule.instalments:
        assert float(row.interest) == pytest.approx(-float(library.ipmt(0.005, row.number, 60, 61480)), abs=0.011)
