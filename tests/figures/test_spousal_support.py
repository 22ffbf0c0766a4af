"""Figures of spousal support: steps and totals, bonus bands, cover, present value, tax, local formula, and whole cases."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from figures.rows import table
from hypothesis import given, settings
from hypothesis import strategies as st
from support.effort import examples
from support.scenarios import facts_file
from support.strategies import cases

from msadraft.facts.load import read_case
from msadraft.facts.model import Facts
from msadraft.figures.amortization import equalizing_note
from msadraft.figures.case_dates import case_dates
from msadraft.figures.compute import signing_day
from msadraft.figures.figure import Figure
from msadraft.figures.marriage_length import case_marriage_length, marriage_length
from msadraft.figures.spousal_bonus import Band, bonus_due, bonus_worksheet, settle_receipts
from msadraft.figures.spousal_rules import tax_treatment, temporary_support
from msadraft.figures.spousal_steps import MonthlyStep, cover_table, months_due, present_worth, step_table
from msadraft.figures.spousal_support import spousal_figures, term_share
from msadraft.figures.support_amounts import SupportInputError

MONEY = st.decimals(0, 50_000, places=2)
DAYS = st.dates(date(2024, 1, 1), date(2040, 12, 31))
VARNELL = (
    MonthlyStep(date(2026, 12, 1), date(2028, 11, 30), Decimal(3400)),
    MonthlyStep(date(2028, 12, 1), date(2030, 11, 30), Decimal(2600)),
    MonthlyStep(date(2030, 12, 1), date(2032, 11, 30), Decimal(1800)),
)


# Steps


def test_three_steps_of_two_years() -> None:
    """Own arithmetic: 24 x 3,400 + 24 x 2,600 + 24 x 1,800."""
    found = step_table(VARNELL)
    assert [row.total for row in found.rows] == [Decimal(81600), Decimal(62400), Decimal(43200)]
    assert found.total == found.figure.value == Decimal(187200)
    assert (found.starts_on, found.ends_on) == (date(2026, 12, 1), date(2032, 11, 30))
    assert (found.gaps, found.overlaps, found.figure.cautions) == ((), (), ())


def test_part_of_a_month_is_owed_by_the_day() -> None:
    """Own arithmetic: 17 of 31 days of January and 14 of 28 of February at 1,000."""
    due = months_due(MonthlyStep(date(2027, 1, 15), date(2027, 2, 14), Decimal(1000)))
    assert [month.amount for month in due] == [Decimal("548.39"), Decimal("500.00")]


def test_gap_and_overlap_are_named_and_not_mended() -> None:
    gap = step_table([VARNELL[0], VARNELL[2]])
    assert gap.gaps == ((date(2028, 12, 1), date(2030, 11, 30)),)
    assert "Nothing is stated" in gap.figure.cautions[0]
    twice = step_table([VARNELL[0], MonthlyStep(date(2028, 11, 1), date(2029, 1, 31), Decimal(100))])
    assert twice.overlaps == ((date(2028, 11, 1), date(2028, 11, 30)),)
    assert "Two amounts" in twice.figure.cautions[0]


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        ([], "no step"),
        ([MonthlyStep(date(2027, 2, 1), date(2027, 1, 31), Decimal(1))], "before it begins"),
        ([MonthlyStep(date(2027, 1, 1), date(2027, 1, 31), Decimal(-1))], "below zero"),
    ],
)
def test_steps_that_cannot_be_added_up(steps: list[MonthlyStep], words: str) -> None:
    with pytest.raises(SupportInputError, match=words):
        step_table(steps)


@given(st.lists(st.tuples(DAYS, st.integers(0, 3000), MONEY), min_size=1, max_size=4))
def test_totals_add_up(given_steps: list[tuple[date, int, Decimal]]) -> None:
    steps = [MonthlyStep(day, day + timedelta(days=length), amount) for day, length, amount in given_steps]
    found = step_table(steps)
    assert found.total == sum(row.total for row in found.rows) == sum(month.amount for month in found.months)
    for row in found.rows:
        assert row.full_months * row.amount <= row.total
    assert found.unpaid_from(found.starts_on) == found.total
    assert found.unpaid_from(found.ends_on + timedelta(days=1)) == 0


@given(DAYS, st.integers(1, 2000), MONEY)
def test_splitting_a_step_at_a_month_changes_no_total(day: date, length: int, amount: Decimal) -> None:
    first = day.replace(day=1)
    seam = date(first.year + 1, first.month, 1)
    last = seam + timedelta(days=length)
    whole = step_table([MonthlyStep(first, last, amount)])
    parts = step_table([MonthlyStep(first, seam - timedelta(days=1), amount), MonthlyStep(seam, last, amount)])
    assert whole.total == parts.total
    assert parts.gaps == parts.overlaps == ()


# Cover and present value


def test_cover_falls_each_year_with_what_is_unpaid() -> None:
    """Fam. Code § 4360; own arithmetic on the three steps."""
    cover = cover_table(step_table(VARNELL), Decimal(180000))
    assert [row.unpaid for row in cover.rows] == [187200, 146400, 105600, 74400, 43200, 21600]
    assert [row.from_day for row in cover.rows[:2]] == [date(2026, 12, 1), date(2027, 12, 1)]
    assert cover.needed == cover.figure.value == 187200
    assert "7,200.00 less" in cover.figure.cautions[0]
    assert cover_table(step_table(VARNELL), Decimal(190000)).figure.cautions == ()


@given(st.lists(st.tuples(st.integers(1, 36), MONEY), min_size=1, max_size=4), st.decimals(0, 12, places=2))
def test_cover_never_rises_and_present_value_never_exceeds_it(parts: list[tuple[int, Decimal]], rate: Decimal) -> None:
    steps, month = [], 0
    for length, amount in parts:
        first = date(2027 + month // 12, month % 12 + 1, 1)
        month += length
        steps.append(MonthlyStep(first, date(2027 + month // 12, month % 12 + 1, 1) - timedelta(days=1), amount))
    cover = cover_table(step_table(steps), rate=rate)
    unpaid = [row.unpaid for row in cover.rows]
    assert unpaid == sorted(unpaid, reverse=True)
    assert all(row.present_value is not None and row.present_value <= row.unpaid for row in cover.rows)


def test_present_worth_of_steps_agrees_with_numpy_financial() -> None:
    library = pytest.importorskip("numpy_financial", reason="numpy-financial is not installed; it is an optional check")
    worth = present_worth(step_table(VARNELL), Decimal("4.5"), date(2026, 12, 1))
    theirs = library.npv(0.045 / 12, [3400] * 24 + [2600] * 24 + [1800] * 24)
    assert float(worth.worth) == pytest.approx(theirs, abs=0.0051)
    assert worth.face == Decimal(187200)
    assert worth.discount == worth.face - worth.worth
    assert "remarriage" in worth.figure.cautions[0]


# Irregular income


@pytest.mark.parametrize("row", table("spousal_support.yaml", "percentages"))
def test_percentage_of_a_bonus(row: dict[str, Any]) -> None:
    due = [bonus_due(row["income"], [Band(Decimal(0), None, percent)]).due for percent in row["percents"]]
    assert due == row["due"]
    if "together" in row:
        assert sum(due) == row["together"] == row["income"] * row["share"] / 100
        assert sum(row["fixed"]) == row["fixed_together"]


BANDS = (
    Band(Decimal(0), Decimal(20000), Decimal(20)),
    Band(Decimal(20000), Decimal(60000), Decimal(15)),
    Band(Decimal(60000), None, Decimal("7.5")),
)


def test_worksheet_by_bands_with_a_cap() -> None:
    """Own arithmetic: 20 percent of 20,000, 15 of the next 40,000, 7.5 above; the cap of 11,500 is reached at 80,000."""
    sheet = bonus_worksheet(BANDS, Decimal(11500), [Decimal(n) for n in (10000, 20000, 50000, 60000, 80000, 100000)])
    assert [row.due for row in sheet.rows] == [2000, 4000, 8500, 10000, 11500, 11500]
    assert sheet.rows[-1].before_cap == 13000
    assert sheet.cap_reached_at == 80000
    assert [row.income for row in bonus_worksheet(BANDS).rows][:4] == [10000, 20000, 40000, 60000]


def test_gap_between_bands_is_named() -> None:
    sheet = bonus_worksheet([Band(Decimal(0), Decimal(100), Decimal(10)), Band(Decimal(200), None, Decimal(20))])
    assert "between 100.00 and 200.00" in sheet.figure.cautions[0]


@pytest.mark.parametrize(
    ("bands", "cap", "words"),
    [
        ([], None, "no band"),
        ([BANDS[1], BANDS[0]], None, "out of order"),
        ([BANDS[2], BANDS[2]], None, "overlaps"),
        ([Band(Decimal(5), Decimal(5), Decimal(10))], None, "no more than"),
        ([Band(Decimal(5), None, Decimal(101))], None, "percentage"),
        (list(BANDS), Decimal(-1), "cap"),
    ],
)
def test_bands_that_cannot_be_worked_with(bands: list[Band], cap: Decimal | None, words: str) -> None:
    with pytest.raises(SupportInputError, match=words):
        bonus_worksheet(bands, cap)


def test_negative_income_is_refused() -> None:
    with pytest.raises(SupportInputError, match="below zero"):
        bonus_due(Decimal(-1), BANDS)
    with pytest.raises(SupportInputError, match="2027-03-01"):
        settle_receipts([(date(2027, 3, 1), Decimal(-1))], BANDS)


CAPS = st.none() | MONEY


@given(MONEY, MONEY, CAPS)
def test_more_income_never_asks_less_and_parts_add_up(income: Decimal, more: Decimal, cap: Decimal | None) -> None:
    one, two = bonus_due(income, BANDS, cap), bonus_due(income + more, BANDS, cap)
    assert one.due <= two.due
    assert sum(one.by_band) == one.before_cap
    assert cap is None or one.due <= cap


@given(st.lists(st.tuples(st.dates(date(2027, 1, 1), date(2028, 12, 31)), MONEY), max_size=8), CAPS)
def test_receipts_of_a_year_add_up_to_the_year(receipts: list[tuple[date, Decimal]], cap: Decimal | None) -> None:
    found = settle_receipts(receipts, BANDS, cap)
    for year in (2027, 2028):
        income = sum((amount for day, amount in receipts if day.year == year), Decimal(0))
        assert sum(r.due for r in found if r.received_on.year == year) == bonus_due(income, BANDS, cap).due
    assert all(receipt.due >= 0 for receipt in found)


# Tax and local formula


@pytest.mark.parametrize("row", table("spousal_support.yaml", "tax"))
def test_tax_treatment(row: dict[str, Any]) -> None:
    found = tax_treatment(row["executed"], row.get("entered"))
    assert (found.federal, found.california) == (row["federal"], row["california"])
    assert any("tax adviser" in caution for caution in found.figure.cautions) is row["warned"]


def test_partners_are_told_that_the_federal_line_is_not_theirs() -> None:
    assert any(
        "domestic partners" in c for c in tax_treatment(date(2026, 11, 24), relationship="partnership").figure.cautions
    )


@pytest.mark.parametrize("row", table("spousal_support.yaml", "temporary"))
def test_temporary_support(row: dict[str, Any]) -> None:
    figure = temporary_support("Santa Clara", row["payer"], row["recipient"], date(2026, 11, 24), row["payer_child"])
    assert figure.value == row["amount"]
    assert "temporary orders only" in figure.cautions[0]


@pytest.mark.parametrize(
    ("county", "net", "words"), [("Alameda", "8000", "Alameda"), ("Santa Clara", "-1", "below zero")]
)
def test_no_formula_without_a_rule_of_court(county: str, net: str, words: str) -> None:
    with pytest.raises(SupportInputError, match=words):
        temporary_support(county, Decimal(net), Decimal(3000), date(2026, 11, 24))


@given(MONEY, MONEY, MONEY)
def test_more_net_of_the_payer_never_lowers_temporary_support(
    payer: Decimal, recipient: Decimal, more: Decimal
) -> None:
    def value(net: Decimal) -> Decimal:
        found = temporary_support("Santa Clara", net, recipient, date(2026, 11, 24)).value
        assert isinstance(found, Decimal)
        return found

    assert value(payer) <= value(payer + more)


# The term and the marriage


def test_term_as_a_share_of_the_marriage() -> None:
    """Own arithmetic: 1,461 days of 3,149 between 18 June 2016 and 31 January 2025."""
    figure = term_share(marriage_length(date(2016, 6, 18), date(2025, 1, 31)), date(2026, 12, 1), date(2030, 11, 30))
    assert figure.value == Decimal("46.40")


# Whole cases


def test_figures_of_the_case_with_steps() -> None:
    facts = read_case(facts_file("varnell", 3)).facts
    found = spousal_figures(facts, "petitioner", signing_day(facts))
    assert found.total == Decimal(187200)
    assert found.cover is not None
    assert found.cover.needed == Decimal(187200)
    assert found.cover.figure.cautions == ()
    assert found.half is None, "the marriage was long"
    assert found.tax is not None
    assert found.tax.alike
    assert found.unworked == ()
    assert spousal_figures(facts, "respondent", signing_day(facts)).all == ()


def test_figures_of_the_case_with_a_fixed_term() -> None:
    """Own arithmetic: 48 months at 750; half of 103 months from 1 December 2026 ends in the middle of March 2031."""
    facts = read_case(facts_file("dunmarsh", 3)).facts
    found = spousal_figures(facts, "petitioner", signing_day(facts))
    assert found.total == Decimal(36000)
    assert found.half is not None
    assert found.half.by_months_on == date(2031, 3, 16)
    assert found.term_share is not None
    assert found.term_share.value == Decimal("46.40")
    assert "spousal_support.to_petitioner.ends_on" in found.term_share.facts


def _changed(name: str, **update: object) -> Facts:
    facts = read_case(facts_file(name, 3)).facts
    support = facts.spousal_support.to_petitioner.model_copy(update=update)
    both = facts.spousal_support.model_copy(update={"to_petitioner": support})
    return facts.model_copy(update={"spousal_support": both})


def test_term_that_runs_backwards_is_a_figure_without_value() -> None:
    found = spousal_figures(_changed("dunmarsh", ends_on=date(2026, 1, 1)), "petitioner", date(2026, 11, 24))
    assert found.steps is None
    assert {figure.name for figure in found.unworked} == {"spousal_total", "term_share"}
    assert all(figure.value is None and figure.cautions for figure in found.unworked)


def test_separation_before_the_wedding_is_a_figure_without_value() -> None:
    facts = read_case(facts_file("dunmarsh", 3)).facts
    marriage = facts.marriage.model_copy(update={"separated_on": date(2010, 1, 1)})
    found = case_marriage_length(facts.model_copy(update={"marriage": marriage}))
    assert isinstance(found, Figure)
    assert "before the marriage" in found.cautions[0]


@pytest.mark.parametrize("name", ["marrowby", "dunmarsh", "varnell", "fennick"])
def test_dates_of_a_case(name: str) -> None:
    facts = read_case(facts_file(name, 3)).facts
    dates = case_dates(facts)
    assert dates.status_from is not None
    assert dates.trial_by is not None
    assert all(figure.value is None or figure.steps for figure in dates.all)
    if facts.case.path == "joint_petition":
        assert (dates.response_due, dates.default_from, dates.serve_by) == (None, None, None)
        assert dates.status_from.facts == ("case.petition_filed_on",)


@settings(max_examples=examples(15, 40), deadline=None)
@given(cases())
def test_any_case_has_figures_or_reasons(facts: Facts) -> None:
    day = signing_day(facts)
    found = [*case_dates(facts).all]
    for to in ("petitioner", "respondent"):
        found += spousal_figures(facts, to, day).all
    note = equalizing_note(facts, day)
    if note is not None:
        found.append(note if isinstance(note, Figure) else note.figure)
    for figure in found:
        assert figure.value is not None or figure.cautions, figure.name
        assert figure.facts, figure.name
