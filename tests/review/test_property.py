"""Property, plans, notes, debts: the nearest facts that make a rule strike, and the nearest that do not."""

from __future__ import annotations

from typing import Any

import pytest
from review.cases import CHILD, DROP, clause, hits, paths, review, rules_of, struck, text

from msadraft.review import debts, notes, retirement
from msadraft.review import property as property_rules

HOME: dict[str, Any] = {
    "assets.home": {
        "kind": "real",
        "label": "the home",
        "titled": "both",
        "value": "800000.00",
        "goes_to": "petitioner",
        "real": {"plan": "buyout", "title_now": "joint_tenancy", "title_after": "sole", "legal_description": "Lot 1"},
    },
    "debts.loan": {
        "kind": "mortgage",
        "creditor": "Bank",
        "owing": "300000.00",
        "obligors": "both",
        "assigned_to": "petitioner",
        "secured_by": "home",
    },
}
DEFERRED: dict[str, Any] = {
    **HOME,
    "assets.home.goes_to": "co_own",
    "assets.home.real": {
        "plan": "deferred_sale",
        "occupant": "petitioner",
        "defer_until": "2031-06-30",
        "defer_ground": "child",
        "title_now": "joint_tenancy",
        "title_after": "common",
    },
}
RULES_OF_SALE: dict[str, Any] = {
    "assets.home.real.broker": {"pick": "each names one"},
    "assets.home.real.price": {"cuts": ["3 percent after 30 days"], "offer_rule": "any offer at the list price"},
    "assets.home.real.sale_costs": {"order_of_payment": ["the loan", "the rest in halves"]},
}
SALE: dict[str, Any] = {
    **HOME,
    "assets.home.goes_to": "sell",
    "assets.home.real": {"plan": "sell", "list_by": "2027-03-01"},
    "debts.loan.assigned_to": "from_sale",
    **RULES_OF_SALE,
}
SAVINGS: dict[str, Any] = {
    "assets.savings": {
        "kind": "account",
        "label": "the savings",
        "value": "1000.00",
        "goes_to": "petitioner",
        "institution": "Bank",
        "last_four": "1234",
    }
}
CAR: dict[str, Any] = {
    "assets.car": {"kind": "vehicle", "label": "the car", "value": "400.00", "goes_to": "respondent"}
}
LUMP: dict[str, Any] = {
    "equalization": {"mode": "lump", "payer": "petitioner", "amount": "300.00", "due_on": "2027-01-31"}
}
NOTE: dict[str, Any] = {
    "equalization": {
        "mode": "note",
        "payer": "petitioner",
        "amount": "300.00",
        "note": {
            "principal": "300.00",
            "rate": "5",
            "first_payment_on": "2027-01-01",
            "months": "12",
            "due_at_once": ["default"],
        },
    }
}
PLAN: dict[str, Any] = {
    "assets.plan": {
        "kind": "retirement",
        "label": "the plan",
        "value": "90000.00",
        "goes_to": "order",
        "retirement": {
            "type": "401k",
            "member": "petitioner",
            "method": "split_percent",
            "share_percent": "50",
            "balance_on": "2025-01-31",
            "gains": "with",
            "preparer": "an attorney for plan orders",
            "order_by": "2027-01-31",
            "survivor": {"before_benefits": "treated_as_surviving_spouse", "nonmember_share_to": "estate"},
        },
    }
}
PENSION: dict[str, Any] = {
    **PLAN,
    "assets.plan.retirement.type": "calpers",
    "assets.plan.retirement.method": "time_rule",
    "assets.plan.retirement.service_from": "2010-01-01",
    "assets.plan.retirement.community_service_months": "103",
    "assets.plan.retirement.survivor.after_benefits": "joint_and_survivor",
}
MILITARY: dict[str, Any] = {
    **PENSION,
    "assets.plan.retirement.type": "military",
    "assets.plan.retirement.military": {"high_three": "5000", "years": "14"},
    "assets.plan.retirement.survivor_benefit_plan": {"elected": "yes", "deemed_election_by": "respondent"},
}
KEPT: dict[str, Any] = {
    **PLAN,
    "assets.plan.goes_to": "petitioner",
    "assets.plan.retirement": {"type": "401k", "member": "petitioner", "method": "keep", "beneficiary_by_days": "30"},
}
CARD: dict[str, Any] = {
    "debts.card": {
        "kind": "card",
        "creditor": "Card Company",
        "owing": "500",
        "obligors": "both",
        "assigned_to": "respondent",
        "close_by": "2026-12-31",
    }
}
LINE: dict[str, Any] = {
    **HOME,
    "debts.line": {
        "kind": "equity_line",
        "owing": "5000",
        "obligors": "both",
        "assigned_to": "petitioner",
        "secured_by": "home",
    },
}
SHOP: dict[str, Any] = {
    "assets.shop": {
        "kind": "business",
        "label": "the shop",
        "value": "50000",
        "goes_to": "respondent",
        "business": {"value_method": "appraised"},
    }
}
STOCK: dict[str, Any] = {
    "assets.stock": {
        "kind": "stock_plan",
        "label": "the units",
        "goes_to": "split",
        "stock_plan": {"counts_as_income": "yes", "formula": "hug"},
    }
}
UNITS: dict[str, Any] = {
    **STOCK,
    "assets.stock.stock_plan": {
        "formula": "nelson",
        "grants": {
            "one": {
                "granted_on": "2018-01-01",
                "kind": "restricted_unit",
                "vests": [{"on": "2026-01-01", "units": "50"}],
            }
        },
    },
}
GRANTS = "assets.stock.stock_plan.grants"
JUNIPER: dict[str, Any] = {
    "children.juniper": {
        "name": {"first": "Juniper", "last": "Dunn"},
        "born_on": "2003-04-09",
        "full_time_student": "no",
        "lives_with": "petitioner",
        "incapacity": {"since": "2003-04-09"},
    }
}
CLAIM = "assets.home.separate_claims"
SET_OFF: dict[str, Any] = {
    "reimbursements.roof": {"kind": "other", "claimant": "respondent", "amount": "100", "result": "offset"}
}
BOAT: dict[str, Any] = {
    "assets.boat": {"kind": "other", "label": "the boat", "value": "5000", "goes_to": "respondent"},
    "equalization": {"mode": "other_asset", "payer": "petitioner", "amount": "5000", "from_asset": "boat"},
}


def dated(acquired_on: Any, **more: Any) -> dict[str, Any]:
    """The respondent's car, acquired on a day, with other facts changed."""
    given = {"acquired_on": acquired_on, "titled": "respondent", **more}
    return {**CAR, **{f"assets.car.{name}": value for name, value in given.items()}}


def term(body: str) -> dict[str, Any]:
    return {"case.special_terms": [{"part": "property", "heading": "Term", "body": body}]}


TABLE: list[tuple[str, list[dict[str, Any]], list[str]]] = [
    # Fam. Code §§ 2550, 2556
    ("property.unassigned", [SAVINGS], []),
    ("property.unassigned", [SAVINGS, {"assets.savings.goes_to": DROP}], ["assets.savings.goes_to"]),
    ("property.unassigned", [SAVINGS, {"assets.savings.goes_to": DROP, "assets.savings.character": "separate_petitioner"}], []),
    ("property.unassigned", [{"assets.cat": {"kind": "animal", "label": "the cat"}}], ["assets.cat.goes_to"]),
    ("property.unassigned", [{"assets.cat": {"kind": "animal", "label": "the cat", "animal": {"owner": "petitioner"}}}], []),
    # One thing, one award
    ("property.twice", [SAVINGS, HOME, PLAN], []),
    ("property.twice", [SAVINGS, {"assets.fund": {**SAVINGS["assets.savings"], "label": "the fund"}}], ["assets.fund"]),
    ("property.twice", [SAVINGS, {"assets.fund": {**SAVINGS["assets.savings"], "last_four": "9999"}}], []),
    ("property.twice", [CARD, {"debts.card.last_four": "1", "debts.other": {"kind": "card", "creditor": "Card company", "last_four": "1"}}], ["debts.other"]),
    ("property.twice", [CAR, {"assets.car.vehicle.vin_last_six": "123456", "assets.van": {"kind": "vehicle", "label": "the van", "vehicle": {"vin_last_six": "123456"}}}], ["assets.van"]),
    ("property.twice", [SAVINGS, {"assets.savings.goes_to": "split", "assets.savings.petitioner_percent": "50", "assets.savings.petitioner_amount": "1"}], ["assets.savings.petitioner_amount"]),
    ("property.twice", [SAVINGS, {"assets.savings.goes_to": "split", "assets.savings.petitioner_amount": "1000.01"}], ["assets.savings.petitioner_amount"]),
    ("property.twice", [SAVINGS, {"assets.savings.goes_to": "split", "assets.savings.petitioner_amount": "1000.00"}], []),
    ("property.twice", [{"assets.cat": {"kind": "animal", "label": "the cat", "goes_to": "respondent", "animal": {"owner": "petitioner"}}}], ["assets.cat.animal.owner"]),
    ("property.twice", [HOME, {"assets.home.goes_to": "sell"}], ["assets.home.real.plan"]),
    ("property.twice", [HOME, {"assets.home.real.plan": "sell"}], ["assets.home.real.plan"]),
    ("property.twice", [SALE], []),
    ("property.twice", [SALE, {"assets.home.petitioner_percent": "50", "assets.home.real.petitioner_percent_of_proceeds": "60"}], ["assets.home.real.petitioner_percent_of_proceeds"]),
    ("property.twice", [PLAN, {"assets.plan.retirement.share_sum": "45000"}], ["assets.plan.retirement.share_sum"]),
    # Fam. Code § 2550: over one dollar apart, and nothing said
    ("property.unequal_unsaid", [SAVINGS, CAR], ["equalization.mode"]),
    ("property.unequal_unsaid", [SAVINGS, CAR, {"assets.savings.value": "401.00"}], []),
    ("property.unequal_unsaid", [SAVINGS, CAR, {"assets.savings.value": "401.01"}], ["equalization.mode"]),
    ("property.unequal_unsaid", [SAVINGS, CAR, {"equalization.unequal": "yes"}], []),
    ("property.unequal_unsaid", [SAVINGS, CAR, {"assets.car.goes_to": DROP}], []),
    ("property.unequal_unsaid", [SAVINGS, CAR, LUMP], []),
    # (1,000 - 400) / 2 = 300, due from the petitioner
    ("property.equal_sum", [SAVINGS, CAR, LUMP], []),
    ("property.equal_sum", [SAVINGS, CAR, LUMP, {"equalization.amount": "300.02"}], ["equalization.amount"]),
    ("property.equal_sum", [SAVINGS, CAR, LUMP, {"equalization.payer": "respondent"}], ["equalization.payer"]),
    ("property.equal_sum", [SAVINGS, CAR, LUMP, {"equalization.amount": "250", "equalization.unequal": "yes"}], []),
    ("property.equal_sum", [SAVINGS, CAR, NOTE], []),
    ("property.equal_sum", [SAVINGS, CAR, NOTE, {"equalization.mode": "lump_and_note", "equalization.lump_amount": "100"}], ["equalization.lump_amount"]),
    ("property.equal_sum", [SAVINGS, CAR, NOTE, {"equalization.note.principal": "299.99"}], ["equalization.note.principal"]),
    ("property.equal_sum", [SAVINGS, CAR, NOTE, {"equalization.mode": "lump_and_note", "equalization.lump_amount": "100", "equalization.note.principal": "200"}], []),
    ("property.equal_sum", [SAVINGS, CAR], []),
    # A sum that is set off is owed whole: 300 + 100 of the petitioner's own debt to the respondent
    ("property.equal_sum", [SAVINGS, CAR, LUMP, SET_OFF], ["equalization.amount"]),
    ("property.equal_sum", [SAVINGS, CAR, LUMP, SET_OFF, {"equalization.amount": "400"}], []),
    ("property.unequal_unsaid", [SAVINGS, CAR, {"assets.savings.value": "401"}, SET_OFF], ["equalization.mode"]),
    # Fam. Code § 2622(b): nothing is halved by formula where debts exceed property
    ("property.equal_sum", [CARD, LUMP], []),
    ("property.unequal_unsaid", [CARD], []),
    ("property.negative", [CARD], ["equalization.unequal"]),
    ("property.negative", [CARD, {"debts.card.assigned_to": "split"}], []),
    ("property.negative", [CARD, {"equalization.unequal": "yes"}], []),
    ("property.negative", [CARD, SAVINGS], []),
    # An item that moves in place of money
    ("property.offset_value", [BOAT], []),
    ("property.offset_value", [BOAT, {"equalization.amount": "4998.99"}], ["equalization.amount"]),
    ("property.offset_value", [BOAT, {"assets.boat.owing": "2000"}], ["equalization.amount"]),
    ("property.offset_value", [BOAT, {"equalization.amount": "4000", "equalization.unequal": "yes"}], []),
    ("property.offset_value", [BOAT, {"equalization.amount": "4000", "equalization.mode": "retirement"}], []),
    # What the ledger cannot settle, once each
    ("property.sums", [SAVINGS, CAR], []),
    ("property.sums", [SAVINGS, {"assets.savings.value": "-1"}], ["assets.savings.value"]),
    ("property.sums", [HOME, {"assets.home.owing": "300000"}], ["assets.home.owing"]),
    ("property.sums", [{"debts.school": {"kind": "student_loan", "owing": "9000", "education_of": "petitioner", "assigned_to": "respondent"}}], ["debts.school.assigned_to"]),
    ("property.sums", [HOME, {CLAIM: [{"by": "petitioner", "amount": "500000.01", "basis": "contribution_2640", "result": "paid"}]}], []),
    ("property.sums", [HOME, {CLAIM: [{"by": "respondent", "amount": "1", "basis": "tracing"}]}], []),
    ("property.sums", [HOME, {CLAIM: [{"by": "respondent", "amount": "1", "basis": "tracing", "result": "reserved"}]}], [f"{CLAIM}.0.result"]),
    ("property.sums", [HOME, {"debts.loan.assigned_to": "respondent"}], []),
    ("property.sums", [SAVINGS, {"assets.savings.goes_to": "split", "assets.savings.petitioner_percent": "50", "assets.savings.petitioner_amount": "1"}], []),
    ("property.sums", [SAVINGS, CAR, NOTE, {"equalization.note.principal": "299.99"}], []),
    # Fam. Code §§ 760, 770, 771, 2581: married 2016-06-18, separated 2025-01-31
    ("property.character_dates", [dated("2018-03-01")], []),
    ("property.character_dates", [dated("2016-06-17")], ["assets.car.character"]),
    ("property.character_dates", [dated("2016-06-17", titled=DROP)], ["assets.car.character"]),
    ("property.character_dates", [dated("2016-06-17", character="separate_respondent")], []),
    ("property.character_dates", [dated("2025-02-01")], ["assets.car.character"]),
    ("property.character_dates", [dated("2025-01-31")], []),
    ("property.character_dates", [dated("2018-03-01", titled="both", character="separate_respondent")], ["assets.car.character"]),
    ("property.character_dates", [dated("2016-06-17", character="mixed")], []),
    ("property.character_dates", [dated(DROP, character="separate_respondent")], []),
    ("property.character_dates", [dated("2018-03-01", character="separate_respondent")], []),
    ("property.character_ground", [dated("2018-03-01", character="separate_respondent")], ["assets.car.character"]),
    ("property.character_ground", [dated("2018-03-01", character="separate_petitioner")], []),
    ("property.character_ground", [dated("2018-03-01")], []),
    ("property.character_ground", [dated(DROP, character="separate_respondent")], []),
    # A plan beside an award that counts it in another way
    ("property.plan", [HOME, PLAN], []),
    ("property.plan", [SALE], []),
    ("property.plan", [SALE, {"assets.home.goes_to": "split"}], ["assets.home.goes_to"]),
    ("property.plan", [DEFERRED], []),
    ("property.plan", [DEFERRED, {"assets.home.goes_to": "reserved"}], ["assets.home.real.plan"]),
    ("property.plan", [DEFERRED, {"assets.home.real.plan": "co_own", "assets.home.goes_to": "sell"}], ["assets.home.goes_to"]),
    ("property.plan", [PLAN, {"assets.plan.goes_to": "petitioner"}], ["assets.plan.goes_to"]),
    ("property.plan", [PLAN, {"assets.plan.goes_to": "respondent"}], []),
    ("property.plan", [KEPT], []),
    ("property.unequal_reason", [{"equalization.unequal": "yes"}], ["equalization.unequal_reason"]),
    ("property.unequal_reason", [{"equalization.unequal": "yes", "equalization.unequal_reason": "a gift"}], []),
    # A joint loan on a home that one party keeps
    ("property.refi_order", [HOME, {"assets.home.real.refinance_by": "2027-05-31"}], []),
    ("property.refi_order", [HOME, {"assets.home.real.refinance_by": "2020-05-31"}], ["assets.home.real.refinance_by"]),
    (
        "property.refi_order",
        [HOME, {"assets.home.real.refinance_by": "2027-05-31", "assets.home.real.fallback": "sell", "assets.home.real.list_by": "2027-05-30"}],
        ["assets.home.real.list_by"],
    ),
    ("property.negative_amount", [HOME], []),
    ("property.negative_amount", [HOME, {"assets.home.value": "-1.00"}], ["assets.home.value"]),
    ("property.negative_amount", [HOME, {"debts.loan.owing": "-1.00"}], ["debts.loan.owing"]),
    ("property.refi_date", [HOME], ["assets.home.real.refinance_by"]),
    ("property.refi_date", [HOME, {"assets.home.real.refinance_by": "2027-05-31"}], []),
    ("property.refi_date", [HOME, {"debts.loan.obligors": "petitioner"}], []),
    ("property.refi_date", [HOME, {"debts.loan": DROP, "assets.home.owing": "1000"}], ["assets.home.real.refinance_by"]),
    ("property.refi_date", [HOME, {"assets.home.real.use": "lease"}], []),
    ("property.refi_date", [DEFERRED], []),
    ("property.refi_fallback", [HOME], ["assets.home.real.fallback"]),
    ("property.refi_fallback", [HOME, {"assets.home.real.fallback": "sell"}], []),
    ("property.refi_fallback", [HOME, {"debts.loan.obligors": "petitioner"}], []),
    ("property.refi_fallback", [HOME, {"debts.loan.obligors": "petitioner", "assets.home.real.refinance_by": "2027-05-31"}], ["assets.home.real.fallback"]),
    ("property.deed_first", [HOME, LUMP, {"assets.home.real.deed_on": "signing"}], ["assets.home.real.deed_on"]),
    ("property.deed_first", [HOME, LUMP, {"assets.home.real.deed_on": "closing"}], []),
    ("property.deed_first", [HOME, LUMP, {"assets.home.real.deed_on": "signing", "equalization.security": {"kind": "deed_of_trust", "asset": "home"}}], []),
    ("property.deed_first", [HOME, LUMP, {"assets.home.real.deed_on": "signing", "equalization.payer": "respondent"}], []),
    ("property.deed_first", [HOME, LUMP], ["assets.home.real.deed_on"]),
    ("property.deed_first", [HOME, LUMP, {"assets.home.transfer_by": "2027-01-31"}], []),
    ("property.deed_first", [HOME, NOTE, {"assets.home.transfer_by": "2026-12-31"}], ["assets.home.real.deed_on"]),
    ("property.deed_first", [HOME, {"assets.home.outside_equalization": "yes", "assets.home.real.buyout_price": "9", "assets.home.real.deed_on": "signing"}], ["assets.home.real.deed_on"]),
    # What a sale needs
    ("property.sale_rules", [SALE], []),
    ("property.sale_rules", [SALE, {"assets.home.real.list_by": DROP}], ["assets.home.real.list_by"]),
    ("property.sale_rules", [SALE, {"assets.home.real.broker": {"fee_percent": "5"}}], ["assets.home.real.broker"]),
    ("property.sale_rules", [SALE, {"assets.home.real.price.cuts": []}], ["assets.home.real.price.cuts"]),
    ("property.sale_rules", [SALE, {"assets.home.real.price.offer_rule": DROP}], ["assets.home.real.price.offer_rule"]),
    ("property.sale_rules", [SALE, {"assets.home.real.sale_costs": DROP}], ["assets.home.real.sale_costs.order_of_payment"]),
    ("property.sale_rules", [DEFERRED, RULES_OF_SALE], []),
    ("property.sale_rules", [HOME], []),
    ("property.sale_rules", [HOME, {"assets.home.real.fallback": "sell"}], ["assets.home.real.broker"]),
    ("property.defer_end", [DEFERRED], []),
    ("property.defer_end", [DEFERRED, {"assets.home.real.defer_until": DROP}], ["assets.home.real.defer_until"]),
    ("property.defer_end", [DEFERRED, {"assets.home.real.defer_until": DROP, "assets.home.real.defer_events": ["child_ends"]}], []),
    # Fam. Code §§ 3800, 3910: a minor, or an adult child who cannot earn
    ("property.defer_child", [DEFERRED], ["assets.home.real.defer_ground"]),
    ("property.defer_child", [DEFERRED, JUNIPER], []),
    ("property.defer_child", [DEFERRED, JUNIPER, {"children.juniper.lives_with": "respondent"}], ["assets.home.real.defer_ground"]),
    ("property.defer_child", [DEFERRED, JUNIPER, {"children.juniper.incapacity": DROP}], ["assets.home.real.defer_ground"]),
    ("property.defer_child", [DEFERRED, CHILD, {"children.may.lives_with": "both"}], []),
    ("property.defer_child", [DEFERRED, CHILD, {"parenting.primary_home": "petitioner"}], []),
    ("property.defer_child", [DEFERRED, {"assets.home.real.defer_ground": "contract"}], []),
    ("property.defer_3808", [DEFERRED], ["assets.home.real.changed_facts_rule"]),
    ("property.defer_3808", [DEFERRED, {"assets.home.real.changed_facts_rule": "presumption_kept"}], ["assets.home.real.changed_facts_rule"]),
    ("property.defer_3808", [DEFERRED, {"assets.home.real.changed_facts_rule": "presumption_waived"}], []),
    ("property.defer_3808", [DEFERRED, {"assets.home.real.defer_ground": "contract"}], []),
    # Prob. Code § 5042
    ("property.jt_left", [DEFERRED], []),
    ("property.jt_left", [DEFERRED, {"assets.home.real.title_after": "joint_tenancy"}], ["assets.home.real.title_after"]),
    ("property.jt_left", [DEFERRED, {"assets.home.real.title_after": DROP}], ["assets.home.real.title_after"]),
    ("property.jt_left", [HOME, {"assets.home.real.title_after": DROP}], []),
    ("property.equity_line", [LINE], ["assets.home.real.equity_line_frozen"]),
    ("property.equity_line", [LINE, {"assets.home.real.equity_line_frozen": "no"}], ["assets.home.real.equity_line_frozen"]),
    ("property.equity_line", [LINE, {"assets.home.real.equity_line_frozen": "yes"}], []),
    ("property.equity_line", [LINE, {"debts.line.obligors": "petitioner"}], []),
    ("property.equity_line", [LINE, {"debts.line.secured_by": DROP}], ["debts.line.close_by"]),
    ("property.equity_line", [LINE, {"debts.line.secured_by": DROP, "debts.line.close_by": "2026-12-31"}], []),
    ("property.legal_desc", [HOME], []),
    ("property.legal_desc", [HOME, {"assets.home.real.legal_description": DROP}], ["assets.home.real.legal_description"]),
    ("property.legal_desc", [DEFERRED], ["assets.home.real.legal_description"]),
    ("property.legal_desc", [SALE], []),
    ("property.legal_desc", [HOME, {"assets.home.real.legal_description": DROP, "assets.home.real.use": "lease"}], []),
    # Rev. & Tax. Code § 11927: a deed between the parties
    ("property.transfer_recital", [HOME], ["assets.home.papers"]),
    ("property.transfer_recital", [DEFERRED], ["assets.home.papers"]),
    ("property.transfer_recital", [SALE, {"assets.home.papers": ["deed"]}], []),
    ("property.transfer_recital", [HOME, {"assets.home.real.title_now": "sole"}], []),
    ("property.transfer_recital", [HOME, {"assets.home.real.title_now": "sole", "assets.home.papers": ["deed"]}], ["assets.home.papers"]),
    ("property.transfer_recital", [HOME, {"assets.home.character": "separate_petitioner"}], []),
    # Fam. Code § 2640(b): no more than the net value, here 500,000
    ("property.sp_over", [HOME, {CLAIM: [{"by": "petitioner", "amount": "500000.01", "basis": "contribution_2640", "result": "paid"}]}], [f"{CLAIM}.0.amount"]),
    ("property.sp_over", [HOME, {CLAIM: [{"by": "petitioner", "amount": "500000.00", "basis": "contribution_2640", "result": "paid"}]}], []),
    ("property.sp_over", [HOME, {CLAIM: [{"by": "petitioner", "amount": "500000.01", "basis": "contribution_2640", "result": "waived"}]}], []),
    ("property.sp_over", [HOME, {CLAIM: [{"by": "petitioner", "amount": "500000.01", "basis": "tracing", "result": "paid"}]}], []),
    ("property.sp_silent", [HOME, {CLAIM: [{"by": "petitioner", "amount": "1", "basis": "tracing"}]}], [f"{CLAIM}.0.result"]),
    ("property.sp_silent", [HOME, {CLAIM: [{"by": "petitioner", "amount": "1", "basis": "tracing", "result": "waived"}]}], []),
    ("property.post_sep", [DEFERRED], ["assets.home.real.occupant"]),
    ("property.post_sep", [DEFERRED, {"reimbursements.use": {"kind": "exclusive_use", "asset": "home", "result": "waived"}}], []),
    ("property.post_sep", [DEFERRED, {"reimbursements.use": {"kind": "exclusive_use", "asset": "home"}}], ["reimbursements.use.result"]),
    ("property.post_sep", [DEFERRED, {"reimbursements.other": {"kind": "other", "asset": "home", "result": "waived"}}], ["assets.home.real.occupant"]),
    ("property.post_sep", [DEFERRED, {"assets.home.real.credits": [{"kind": "loan", "to": "petitioner"}]}], []),
    ("property.post_sep", [HOME], []),
    ("property.biz_value", [SHOP], []),
    ("property.biz_value", [SHOP, {"assets.shop.business": {}}], ["assets.shop.business.value_method"]),
    ("property.biz_value", [SHOP, {"assets.shop.value": DROP}], ["assets.shop.value"]),
    ("property.biz_value", [SHOP, {"assets.shop.value": DROP, "assets.shop.business.value_waived": "yes"}], []),
    ("property.biz_value", [SHOP, {"assets.shop.value": DROP, "petitioner.representation": "attorney"}], ["assets.shop.value"]),
    ("property.biz_value", [SHOP, {"assets.shop.value": DROP, "petitioner.representation": "attorney", "respondent.representation": "limited_scope"}], []),
    ("property.licence", [SHOP, {"assets.shop.business.entity": "professional", "assets.shop.goes_to": "co_own"}], ["assets.shop.goes_to"]),
    ("property.licence", [SHOP, {"assets.shop.business.entity": "professional"}], []),
    ("property.licence", [SHOP, {"assets.shop.goes_to": "co_own"}], []),
    ("property.stock_twice", [STOCK], ["assets.stock.stock_plan.counts_as_income"]),
    ("property.stock_twice", [STOCK, {"assets.stock.goes_to": "petitioner"}], []),
    ("property.stock_twice", [STOCK, {"assets.stock.stock_plan.counts_as_income": "no"}], []),
    ("property.stock_days", [UNITS], []),
    ("property.stock_days", [UNITS, {f"{GRANTS}.one.vests": []}], [f"{GRANTS}.one.vests"]),
    ("property.stock_days", [UNITS, {GRANTS: {}}], [GRANTS]),
    ("property.stock_days", [UNITS, {f"{GRANTS}.one.granted_on": "2027-01-01"}], [f"{GRANTS}.one.granted_on"]),
    ("property.stock_days", [UNITS, {"assets.stock.stock_plan.formula": "hug"}], ["assets.stock.stock_plan.hired_on"]),
    ("property.stock_days", [UNITS, {"assets.stock.stock_plan.formula": "hug", "assets.stock.stock_plan.hired_on": "2014-05-01"}], []),
    ("property.stock_days", [UNITS, {"assets.stock.stock_plan.formula": "all_community", GRANTS: {}}], []),
    ("property.secret_key", [term("The password is tulip77.")], ["case.special_terms.0.body"]),
    ("property.secret_key", [term("Seed phrase: apple bell cart door east farm")], ["case.special_terms.0.body"]),
    ("property.secret_key", [term("Each shall change every password. A password is nobody's business.")], []),
    ("property.secret_key", [{"assets.coin": {"kind": "crypto", "label": "coins", "crypto": {"transfer_rule": f"key 0{'a1' * 31}f"}}}], ["assets.coin.crypto.transfer_rule"]),
    # Notes
    ("note.terms", [NOTE], []),
    ("note.terms", [NOTE, {"equalization.note": DROP}], ["equalization.note"]),
    ("note.terms", [NOTE, {"equalization.note.rate": DROP, "equalization.note.due_at_once": ["sale"]}], ["equalization.note.rate", "equalization.note.due_at_once"]),
    ("note.terms", [NOTE, {"equalization.note.months": DROP, "equalization.note.first_payment_on": DROP, "equalization.note.principal": DROP}], ["equalization.note.principal", "equalization.note.first_payment_on", "equalization.note.months"]),
    ("note.terms", [LUMP], []),
    # 300 dollars at 5 percent over 12 months are 25.68 a month
    ("note.terms", [NOTE, {"equalization.note.payment": "25.68"}], []),
    ("note.terms", [NOTE, {"equalization.note.payment": "20"}], ["equalization.note.payment"]),
    ("note.terms", [NOTE, {"equalization.note.payment": "60"}], ["equalization.note.payment"]),
    ("note.terms", [NOTE, {"equalization.note.payment": "1"}], ["equalization.note.payment"]),
    ("note.terms", [NOTE, {"equalization.note.balloon": "300.01"}], ["equalization.note"]),
    # Cal. Const. art. XV, § 1: ten percent
    ("note.rate", [NOTE, {"equalization.note.rate": "10"}], []),
    ("note.rate", [NOTE, {"equalization.note.rate": "10.01"}], ["equalization.note.rate"]),
    ("note.rate", [LUMP], []),
    ("note.unsecured", [NOTE, {"equalization.note.principal": "10000.01"}], ["equalization.security"]),
    ("note.unsecured", [NOTE, {"equalization.note.principal": "10000.00"}], []),
    ("note.unsecured", [NOTE, {"equalization.note.principal": "10000.01", "equalization.security": {"kind": "other"}}], []),
    # Retirement plans: Fam. Code § 2610
    ("retirement.no_order", [PLAN], []),
    ("retirement.no_order", [PLAN, {"assets.plan.retirement.preparer": DROP}], ["assets.plan.retirement.preparer"]),
    ("retirement.no_order", [PLAN, {"assets.plan.retirement.order_by": DROP}], ["assets.plan.retirement.order_by"]),
    ("retirement.no_order", [PLAN, {"assets.plan.retirement.order_by": DROP, "assets.plan.retirement.order_status": "filed"}], []),
    ("retirement.no_order", [PLAN, {"assets.plan.retirement.order_by": DROP, "assets.plan.retirement.order_status": "draft"}], ["assets.plan.retirement.order_by"]),
    ("retirement.no_order", [PLAN, {"assets.plan.retirement.order_by": DROP, "assets.plan.retirement.type": "sep_ira"}], []),
    ("retirement.no_order", [KEPT], []),
    ("retirement.partial_no_order", [KEPT], []),
    ("retirement.partial_no_order", [KEPT, {"assets.plan.goes_to": "respondent"}], ["assets.plan.retirement.method"]),
    ("retirement.partial_no_order", [KEPT, {"assets.plan.goes_to": "split"}], ["assets.plan.retirement.method"]),
    ("retirement.partial_no_order", [PLAN, {"assets.plan.retirement.method": DROP}], ["assets.plan.retirement.method"]),
    ("retirement.partial_no_order", [PLAN], []),
    ("retirement.gains", [PLAN], []),
    ("retirement.gains", [PLAN, {"assets.plan.retirement.gains": DROP}], ["assets.plan.retirement.gains"]),
    ("retirement.gains", [PENSION, {"assets.plan.retirement.gains": DROP}], []),
    ("retirement.date", [PLAN], []),
    ("retirement.date", [PLAN, {"assets.plan.retirement.balance_on": DROP}], ["assets.plan.retirement.balance_on"]),
    ("retirement.date", [PENSION, {"assets.plan.retirement.balance_on": DROP}], []),
    ("retirement.date", [KEPT], []),
    ("retirement.service", [PENSION], []),
    ("retirement.service", [PENSION, {"assets.plan.retirement.service_from": DROP}], ["assets.plan.retirement.service_from"]),
    ("retirement.service", [PENSION, {"assets.plan.retirement.community_service_months": DROP}], ["assets.plan.retirement.community_service_months"]),
    ("retirement.service", [PENSION, {"assets.plan.retirement.service_from": DROP, "assets.plan.retirement.method": "split_sum"}], []),
    ("retirement.service", [MILITARY, {"assets.plan.retirement.service_from": DROP}], []),
    ("retirement.service", [PLAN], []),
    ("retirement.service", [PENSION, {"assets.plan.retirement.total_service_months": "103"}], []),
    ("retirement.service", [PENSION, {"assets.plan.retirement.total_service_months": "102.99"}], ["assets.plan.retirement.community_service_months"]),
    # From the wedding on 18 June 2016 to 31 January 2025 are 103 months and 13 days
    ("retirement.service_dates", [PENSION], []),
    ("retirement.service_dates", [PENSION, {"assets.plan.retirement.community_service_months": "102.4"}], ["assets.plan.retirement.community_service_months"]),
    ("retirement.service_dates", [PENSION, {"assets.plan.retirement.community_service_months": "104.4"}], []),
    ("retirement.service_dates", [PENSION, {"assets.plan.retirement.community_service_months": "90", "assets.plan.retirement.service_from": DROP}], []),
    ("retirement.survivor", [PLAN], []),
    ("retirement.survivor", [PLAN, {"assets.plan.retirement.survivor": DROP}], ["assets.plan.retirement.survivor"]),
    ("retirement.survivor", [PLAN, {"assets.plan.retirement.survivor": DROP, "assets.plan.retirement.type": "ira"}], []),
    ("retirement.survivor", [PENSION, {"assets.plan.retirement.survivor.after_benefits": DROP}], ["assets.plan.retirement.survivor.after_benefits"]),
    ("retirement.survivor", [PENSION, {"assets.plan.retirement.survivor.before_benefits": DROP}], ["assets.plan.retirement.survivor.before_benefits"]),
    ("retirement.survivor", [PENSION, {"assets.plan.retirement.survivor.before_benefits": DROP, "assets.plan.retirement.pay_status": "in_pay"}], []),
    ("retirement.survivor", [MILITARY, {"assets.plan.retirement.survivor": DROP}], []),
    ("retirement.survivor", [MILITARY, {"assets.plan.retirement.survivor_benefit_plan": DROP}], ["assets.plan.retirement.survivor_benefit_plan.elected"]),
    ("retirement.wrong_order", [PLAN, {"assets.plan.papers": ["plan_order"]}], []),
    ("retirement.wrong_order", [PLAN, {"assets.plan.papers": ["plan_order"], "assets.plan.retirement.type": "ira"}], ["assets.plan.papers"]),
    ("retirement.wrong_order", [PENSION, {"assets.plan.retirement.preparer": "a QDRO attorney"}], ["assets.plan.retirement.preparer"]),
    ("retirement.wrong_order", [PLAN, {"assets.plan.retirement.preparer": "a QDRO attorney"}], []),
    ("retirement.joinder", [PENSION], ["assets.plan.retirement.joined"]),
    ("retirement.joinder", [PENSION, {"assets.plan.retirement.joined": "yes"}], []),
    ("retirement.joinder", [PENSION, {"case.joined_plans": ["plan"]}], []),
    ("retirement.joinder", [PENSION, {"case.status_mode": "not_ended"}], []),
    ("retirement.joinder", [PENSION, {"assets.plan.retirement.type": "federal_civil"}], []),
    ("retirement.military_data", [MILITARY], []),
    ("retirement.military_data", [MILITARY, {"assets.plan.retirement.military.high_three": DROP}], ["assets.plan.retirement.military.high_three"]),
    ("retirement.military_data", [MILITARY, {"assets.plan.retirement.military": {"retired": "yes"}}], []),
    ("retirement.military_data", [MILITARY, {"assets.plan.retirement.military": DROP}], ["assets.plan.retirement.military.high_three", "assets.plan.retirement.military.years"]),
    ("retirement.sbp", [MILITARY], []),
    ("retirement.sbp", [MILITARY, {"assets.plan.retirement.survivor_benefit_plan.deemed_election_by": DROP}], ["assets.plan.retirement.survivor_benefit_plan.deemed_election_by"]),
    ("retirement.sbp", [MILITARY, {"assets.plan.retirement.survivor_benefit_plan": {"elected": "no"}}], []),
    # Howell v. Howell
    ("retirement.va_indemnity", [term("Cole shall reimburse Ann for retired pay that is waived for disability pay.")], ["case.special_terms.0.body"]),
    ("retirement.va_indemnity", [term("Cole shall not reimburse Ann for retired pay that is waived for disability pay.")], []),
    ("retirement.va_indemnity", [term("Cole shall reimburse Ann for the fence.")], []),
    ("retirement.beneficiary", [KEPT], []),
    ("retirement.beneficiary", [KEPT, {"assets.plan.retirement.beneficiary_by_days": DROP}], ["assets.plan.retirement.beneficiary_by_days"]),
    ("retirement.beneficiary", [KEPT, {"assets.plan.retirement.beneficiary_by_days": DROP, "estate.kept_designations": [{"asset": "plan"}]}], []),
    ("retirement.pretax", [KEPT, SAVINGS], ["assets.plan.value"]),
    ("retirement.pretax", [KEPT, {"assets.plan.retirement.type": "roth_ira"}], []),
    ("retirement.pretax", [KEPT, {"assets.two": {**PLAN["assets.plan"], "goes_to": "respondent", "retirement": {"type": "403b", "member": "respondent", "method": "keep"}}}], []),
    ("retirement.pretax", [PLAN], []),
    # Debts
    ("debt.unassigned", [CARD], []),
    ("debt.unassigned", [CARD, {"debts.card.assigned_to": DROP}], ["debts.card.assigned_to"]),
    ("debt.unassigned", [CARD, {"debts.card.assigned_to": DROP, "debts.card.character": "separate_respondent"}], []),
    ("debt.collateral", [HOME], []),
    ("debt.collateral", [HOME, {"debts.loan.assigned_to": "respondent"}], ["debts.loan.assigned_to"]),
    ("debt.collateral", [DEFERRED, {"debts.loan.assigned_to": "respondent"}], []),
    ("debt.open_joint", [CARD], []),
    ("debt.open_joint", [CARD, {"debts.card.close_by": DROP, "debts.card.pay_by": "2026-12-31"}], ["debts.card.close_by"]),
    ("debt.open_joint", [CARD, {"debts.card.close_by": DROP, "debts.card.obligors": "respondent"}], []),
    ("debt.set_off", [term("Cole may set off the debt against child support.")], ["case.special_terms.0.body"]),
    ("debt.set_off", [term("The debt may never be set off against child support.")], []),
    ("debt.set_off", [term("Cole may set off the debt against the note.")], []),
    # With no paper there is no warning; see below for a paper that warns
    ("debt.creditor", [CARD], ["debts.card.obligors"]),
    ("debt.creditor", [CARD, {"debts.card.obligors": "respondent"}], []),
    ("debt.creditor", [CARD, {"debts.card.assigned_to": "split"}], []),
]  # fmt: skip


@pytest.mark.parametrize(("rule_id", "overrides", "expected"), TABLE)
def test_a_rule_strikes_where_it_should(rule_id: str, overrides: list[dict[str, Any]], expected: list[str]) -> None:
    assert paths(rule_id, *overrides) == expected


RELEASE = "Each party gives up every claim that arose from the marriage."
PAPERS: list[tuple[str, str, str, list[str]]] = [
    ("property.release_gap", "general.release", RELEASE, ["case.release_scope"]),
    ("property.release_gap", "general.release", f"{RELEASE} It does not reach an asset that was not disclosed.", []),
]


@pytest.mark.parametrize(("rule_id", "clause_id", "words", "expected"), PAPERS)
def test_a_rule_reads_the_paper(rule_id: str, clause_id: str, words: str, expected: list[str]) -> None:
    given = review(blocks={"article.general": (text(clause_id, words),)})
    assert [hit.path for hit in hits(rule_id, given)] == expected


def test_every_rule_is_seen_to_strike_and_to_keep_still() -> None:
    papers = [(rule_id, [], expected) for rule_id, _, _, expected in PAPERS]
    assert struck([*TABLE, *papers]) == rules_of(property_rules, retirement, notes, debts)


@pytest.mark.parametrize(
    ("overrides", "expected"),
    [
        ([CARD], []),
        ([CARD, {"debts.card.close_by": DROP}], ["debts.card.obligors"]),
        ([CARD, {"debts.card.close_by": DROP, "debts.card.pay_by": "2027-06-30"}], []),
        # The other party has left the home and still owes its loan, even with a day to refinance.
        ([HOME, {"debts.loan.pay_by": "2027-05-31"}], ["debts.loan.obligors"]),
        # Both still own the home that secures the loan.
        ([DEFERRED], []),
    ],
)
def test_a_creditor_is_named_where_the_paper_warns(overrides: list[dict[str, Any]], expected: list[str]) -> None:
    warning = text("debt.assigned", "This agreement does not bind creditors.", label="creditors")
    given = review(*overrides, blocks={"article.debts": (warning,)})
    assert [hit.path for hit in hits("debt.creditor", given)] == expected


def test_a_plan_order_needs_the_courts_kept_power() -> None:
    words = {"article.general": (text("general.entire", "This is the whole agreement."),)}
    lost = review(PLAN, blocks=words)
    kept = review(PLAN, blocks=words, chosen=(clause("general.enforcement_reserve"),))
    assert [hit.path for hit in hits("retirement.no_order", lost)] == ["assets.plan.retirement.order_by"]
    assert hits("retirement.no_order", kept) == []


def test_an_unequal_split_is_told_in_dollars() -> None:
    (hit,) = hits("property.unequal_unsaid", review(SAVINGS, CAR))
    assert hit.detail == "Petitioner receives $1,000.00 and respondent $400.00 net; $300.00 is due from petitioner."


def test_what_has_no_value_is_named_beside_an_unequal_split() -> None:
    boat = {"assets.boat": {"kind": "other", "label": "the boat", "goes_to": "respondent"}}
    (hit,) = hits("property.unequal_unsaid", review(SAVINGS, CAR, boat))
    assert hit.detail.endswith("Counted at nothing, for want of a value: the boat.")


def test_a_sale_names_all_that_it_lacks() -> None:
    (hit,) = hits("property.sale_rules", review(SALE, {"assets.home.real": {"plan": "sell"}}))
    for words in ("a day to list it", "a broker", "price cuts", "an offer", "proceeds"):
        assert words in hit.detail


def test_a_secret_is_not_repeated() -> None:
    (hit,) = hits("property.secret_key", review(term("The password is tulip77.")))
    assert "tulip" not in hit.detail
