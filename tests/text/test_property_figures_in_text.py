"""Figures in the text of spousal support and property: what the paper says is what was worked out."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

import pytest
from review.cases import DROP, facts
from support.scenarios import drafted
from support.text_checks import faults, lines, shown

from msadraft.agreement.assemble import assemble
from msadraft.agreement.numbering import dangling, number
from msadraft.figures.compute import compute
from msadraft.library.load import read_library
from msadraft.library.select import select
from msadraft.tree import Agreement, Table

LIBRARY = read_library()
TO = "spousal_support.to_petitioner"
PAID: dict[str, Any] = {
    TO: {
        "outcome": "payable",
        "amount": "900.00",
        "starts_on": "2026-12-15",
        "ends_on": "2030-11-30",
        "end_events": ["death_of_payer", "death_of_payee", "remarriage", "date"],
    }
}
SPLIT: dict[str, Any] = {
    "assets.fund": {"kind": "account", "label": "the fund", "value": "1000.00", "goes_to": "petitioner"},
    "assets.car": {"kind": "vehicle", "label": "the car", "value": "400.00", "goes_to": "respondent"},
}
OWED: dict[str, Any] = {
    "reimbursements.roof": {
        "kind": "other", "claimant": "respondent", "amount": "100", "result": "offset", "asset": "car",
    },
    "reimbursements.tax": {"kind": "other", "claimant": "petitioner", "amount": "60", "result": "paid"},
}  # fmt: skip
NOTE: dict[str, Any] = {
    "equalization": {
        "mode": "note", "payer": "petitioner", "amount": "300.00",
        "note": {"principal": "300.00", "rate": "6", "first_payment_on": "2027-01-15", "months": "12"},
    }
}  # fmt: skip
PENSION: dict[str, Any] = {
    "assets.plan": {
        "kind": "retirement", "label": "the plan", "goes_to": "order",
        "retirement": {
            "plan_name": "Plan", "type": "calpers", "member": "petitioner", "method": "time_rule", "share_percent": "50",
            "service_from": "2010-01-01", "community_service_months": "100", "total_service_months": "300",
        },
    }
}  # fmt: skip
UNITS: dict[str, Any] = {
    "assets.stock": {
        "kind": "stock_plan", "label": "the units", "goes_to": "split", "petitioner_percent": "50",
        "stock_plan": {
            "holder": "petitioner", "formula": "nelson",
            "grants": {
                "one": {"granted_on": "2018-01-01", "kind": "option", "vests": [{"on": "2020-01-01", "units": "40"}, {"on": "2028-01-01", "units": "60"}]},
            },
        },
    }
}  # fmt: skip


class Paper:
    """The paper of a small case: the words of its paragraphs and the rows of its tables."""

    def __init__(self, *overrides: Mapping[str, Any]) -> None:
        case = facts(*overrides)
        self.figures = compute(case)
        selection = select(LIBRARY, case, self.figures)
        self.agreement: Agreement = assemble(LIBRARY, selection, case)
        self.numbering = number(self.agreement)
        assert dangling(self.agreement, self.numbering) == []
        assert [text for _, text in lines(self.agreement, self.numbering, own_words_only=True) if faults(text)] == []

    def says(self, block_id: str) -> str:
        """The words of one paragraph without its heading."""
        return [text for i, text in lines(self.agreement, self.numbering) if i == block_id][-1].replace("\u00a0", " ")

    def ids(self) -> set[str]:
        return {i for i, _ in lines(self.agreement, self.numbering)}

    def rows(self, caption: str) -> list[list[str]]:
        """The cells of the table with a caption, the total row last."""
        for section in self.agreement.sections:
            for block in section.blocks:
                if isinstance(block, Table) and shown(block.caption, self.numbering) == caption:
                    rows = (*block.rows, *((block.total,) if block.total else ()))
                    return [[shown(cell, self.numbering).replace("\u00a0", " ") for cell in row.cells] for row in rows]
        raise AssertionError(f"no table {caption!r}")


def dollars(text: str) -> Decimal:
    return Decimal(text.replace("$", "").replace(",", ""))


def test_the_note_prints_every_payment_and_clears() -> None:
    paper = Paper(SPLIT, NOTE)
    note = paper.figures.note
    assert note is not None
    *rows, total = paper.rows("Payments on the note")
    assert [row[1] for row in rows][:2] == ["January 15, 2027", "February 15, 2027"]
    assert [dollars(row[4]) for row in rows] == [row.amount for row in note.instalments]
    assert sum(dollars(row[3]) for row in rows) == Decimal("300.00") == dollars(total[3])
    assert sum(dollars(row[2]) for row in rows) == note.interest == dollars(total[2])
    assert rows[-1][5] == "$0.00"
    assert "Twelve monthly payments of $25.82" in paper.says(
        "exhibit.note/text/payments"
    )  # 300 x 0.005 / (1 - 1.005^-12)
    assert "The last payment, on December 15, 2027, is $25.83" in paper.says("exhibit.note/text/payments")
    # Interest of the first month is a twelfth of a year's, counted from a month before the first payment
    assert "from December 15, 2026, one month before the first payment" in paper.says("exhibit.note/text/rate")
    assert rows[0][2] == "$1.50"


@pytest.mark.parametrize(
    "change",
    [{"equalization.note.rate": DROP}, {"equalization.note.payment": "60"}, {"equalization.note.months": DROP}],
)
def test_a_note_that_does_not_work_out_prints_no_schedule(change: dict[str, Any]) -> None:
    assert "exhibit.note/text/schedule" not in Paper(SPLIT, NOTE, change).ids()


def test_notes_of_the_demonstration_cases_tie_out() -> None:
    for name in ("dunmarsh", "varnell"):
        note = drafted(name, 3).figures.note
        assert note is not None
        assert (note.clears, note.figure.cautions) == (True, ())


def test_parts_of_the_payment_follow_from_each_other() -> None:
    part = {
        "equalization.mode": "lump_and_note",
        "equalization.note.principal": "200",
        "equalization.due_on": "2027-01-31",
    }
    assert "one hundred dollars ($100.00)" in Paper(SPLIT, NOTE, part).says("property.equal.note/first")


def test_the_schedule_leads_from_the_totals_to_the_payment() -> None:
    paper = Paper(SPLIT, OWED, NOTE, {"equalization.amount": "400", "equalization.note.principal": "400"})
    assert paper.says("exhibit.property_schedule/text/set_off:0").startswith(
        "$100.00 that Ann owes Cole as a reimbursement"
    )
    assert paper.says("exhibit.property_schedule/text/apart:0").startswith("$60.00 that Cole owes Ann")
    assert "With the sums set off, a payment of $400.00 from Ann to Cole" in paper.says(
        "exhibit.property_schedule/text/sums"
    )
    after = paper.says("exhibit.property_schedule/text/after")
    assert "Ann then has $700.00 and Cole has $700.00 of what is counted, which is equal" in after


def test_an_unequal_payment_says_who_has_more() -> None:
    more = {"equalization.amount": "250", "equalization.note.principal": "250", "equalization.unequal": "yes"}
    paper = Paper(SPLIT, NOTE, more, {"equalization.unequal_reason": "a gift"})
    assert "so that Ann has $50.00 more than half" in paper.says("exhibit.property_schedule/text/after")
    assert "Ann then has $50.00 more than an equal half" in paper.says("property.unequal/after")


def test_debts_above_property_are_not_halved() -> None:
    card = {"debts.card": {"kind": "card", "creditor": "Bank", "owing": "2000", "assigned_to": "respondent"}}
    paper = Paper(SPLIT, card, {"equalization": {"mode": "none"}})
    assert "exceed the counted property by $600.00" in paper.says("exhibit.property_schedule/text/sums")
    assert "by $600.00" in paper.says("property.equal.none")


def test_a_plan_states_fraction_and_share() -> None:
    said = Paper(PENSION).says("property.retirement.public:plan/community")
    assert "the fraction is 33.3333%, and Cole’s share is 16.6667% of the allowance" in said
    open_count = Paper(PENSION, {"assets.plan.retirement.community_service_months": DROP})
    # 103 months and 13 of 31 days
    assert "103.4194 months by the dates" in open_count.says("property.retirement.public:plan/community")


def test_stock_prints_its_community_units() -> None:
    *rows, total = Paper(UNITS).rows("Community and separate units")
    assert [row[4] for row in rows] == ["40", "42.5027"]  # 2,587 of 3,652 days
    assert total[4:] == ["82.5027", "17.4973"]


def test_cover_falls_with_the_support() -> None:
    secured = {f"{TO}.security": [{"kind": "insurance", "amount": "43000", "until": "the end"}]}
    rows = Paper(PAID, secured).rows("Support to Ann still to fall due")
    # 17 of 31 days of December 2026, then 47 months
    assert rows[0] == ["December 15, 2026", "$42,793.55"]
    assert [row[1] for row in rows[1:]] == ["$31,500.00", "$20,700.00", "$9,900.00"]
    level = {f"{TO}.security": [{"kind": "insurance", "amount": "43000", "until": "the end", "declining": "no"}]}
    assert "spousal_support.security:petitioner/cover" not in Paper(PAID, level).ids()


def test_bonus_examples_follow_the_bands_and_the_cap() -> None:
    bands = [{"over": "0", "up_to": "10000", "percent": "10"}, {"over": "10000", "percent": "20"}]
    extra = {f"{TO}.extra_income": {"kinds": ["bonus"], "bands": bands, "yearly_cap": "5000"}}
    rows = Paper(PAID, extra).rows("Examples of added spousal support to Ann")
    assert ["$20,000.00", "$3,000.00", "$3,000.00"] in rows
    assert ["$60,000.00", "$11,000.00", "$5,000.00"] in rows


def test_a_buy_out_states_what_the_support_is_worth() -> None:
    trade = {
        f"{TO}.outcome": "waived", f"{TO}.starts_on": "2026-12-01", f"{TO}.ends_on": "2027-11-30",
        f"{TO}.buy_out": {"value": "10000", "rate": "0", "trade": "a boat", "due_on": "2026-12-01"},
    }  # fmt: skip
    assert "$10,800.00 in all" in Paper(PAID, trade).says("spousal_support.buyout:petitioner/value")


def test_half_of_the_length_is_shown_for_a_short_marriage_only() -> None:
    block = "spousal_support.findings/half:petitioner"
    # 103 months halved are 51 months and 15 days
    assert "would end on March 29, 2031" in Paper(PAID).says(block)
    assert block not in Paper(PAID, {"marriage.married_on": "2010-01-15"}).ids()


@pytest.mark.parametrize(("signing", "alike"), [("2026-01-01", True), ("2025-12-31", False), ("2018-12-31", False)])
def test_the_tax_rule_follows_the_day_of_signing(signing: str, alike: bool) -> None:
    """Pub. L. 115-97, § 11051; SB 711: until 2018 both let support be deducted, which is alike and no match."""
    assert compute(facts(PAID, {"case.signing_on": signing})).alimony_rules_match is alike


def test_a_note_paid_early_is_told_that_interest_starts_before_signing() -> None:
    found = compute(facts(SPLIT, NOTE, {"equalization.note.first_payment_on": "2026-12-01"})).note
    assert found is not None
    assert "19 days before the agreement is signed" in found.figure.cautions[0]


def test_a_row_without_a_value_shows_what_the_totals_count_of_it() -> None:
    """A debt on an item that has no value yet is in the totals, so its row says so; an item without a debt stays blank."""
    unvalued = {"kind": "vehicle", "label": "the van", "owing": "500.00", "goes_to": "respondent"}
    rows = Paper(SPLIT, {"assets.van": unvalued}).rows("Community property and debts")
    assert rows[2][1:] == ["____", "$500.00", "", "($500.00)", "$0.00", "($500.00)"]
    assert rows[-1][4:] == ["$900.00", "$1,000.00", "($100.00)"]
    rows = Paper(SPLIT, {"assets.van": unvalued, "assets.van.owing": DROP}).rows("Community property and debts")
    assert rows[2][1:] == ["____", "", "", "", "", ""]
    assert rows[-1][4:] == ["$1,400.00", "$1,000.00", "$400.00"]
