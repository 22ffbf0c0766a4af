"""Facts that only mean something together. A drawn case often takes one or two of these subjects, so that rare clauses and
the branches inside them come up again and again and in ever other surroundings.

A subject names facts and what each may be. `anew(0.7)` draws the fact from the model, each part of it that may be left out
with that chance.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any


@dataclass(frozen=True)
class Anew:
    """Draw this fact from the model."""

    depth: float


def anew(depth: float = 0.7) -> Anew:
    """Draw a fact from the model at a density."""
    return Anew(depth)


D = Decimal
PARTIES = ("petitioner", "respondent")
DIVIDING = ("split_percent", "split_sum", "time_rule", "separate_account", "separate_interest")
PLAN_TYPES = (
    "401k", "tsp", "pension_private", "calpers", "federal_civil", "military", "ira", "roth_ira", "sep_ira", "nonqualified", "uc",
)  # fmt: skip
CHILD = {"name": {"first": "Ada", "last": "Reyes"}, "born_on": date(2017, 4, 9)}
Theme = dict[str, tuple[Any, ...]]

THEMES: dict[str, Theme] = {
    "a plan that is divided": {
        "assets.plan_a.label": ("Ana's plan",), "assets.plan_a.kind": ("retirement",), "assets.plan_a.retirement": (anew(0.8),),
        "assets.plan_a.retirement.type": PLAN_TYPES, "assets.plan_a.retirement.method": DIVIDING,
        "assets.plan_a.retirement.member": PARTIES,
        "assets.plan_a.retirement.pay_status": ("accruing", "deferred", "in_pay"),
        "assets.plan_a.retirement.community_service_months": (D(96), D(120), "(gone)"),
        "assets.plan_a.retirement.total_service_months": (D(240), D(360), "(gone)"),
        "assets.plan_a.retirement.share_percent": (D(50), D("33.33"), "(gone)"),
        "assets.plan_a.retirement.order_cost_petitioner_percent": (D(0), D(50), D(100)),
        "assets.plan_a.retirement.survivor": (anew(1),),
        "assets.plan_a.retirement.survivor.cost_petitioner_percent": (D(0), D(50), D(100)),
        "assets.plan_a.character": ("community", "mixed"), "assets.plan_a.goes_to": ("order", "split", "petitioner", "respondent"),
    },
    "retired pay of the services": {
        "assets.plan_b.label": ("Ben's retired pay",), "assets.plan_b.kind": ("retirement",), "assets.plan_b.retirement": (anew(0.9),),
        "assets.plan_b.retirement.type": ("military",), "assets.plan_b.retirement.method": DIVIDING,
        "assets.plan_b.retirement.member": PARTIES, "assets.plan_b.retirement.military": (anew(0.8),),
        "assets.plan_b.retirement.military.overlap_years": (D(4), D(12), "(gone)"),
        "assets.plan_b.retirement.survivor_benefit_plan": (anew(0.8),),
        "assets.plan_b.retirement.survivor_benefit_plan.premium_petitioner_percent": (D(0), D(50), D(100), "(gone)"),
        "respondent.military": ("active", "reserve", "retired"), "assets.plan_b.goes_to": ("order",),
    },
    "support in one sum": {
        "spousal_support.to_petitioner": (anew(0.5),), "spousal_support.to_petitioner.outcome": ("payable",),
        "spousal_support.to_petitioner.lump_sum": (anew(0.7),), "spousal_support.to_petitioner.buy_out": ("(gone)",),
        "spousal_support.to_petitioner.amount": ("(gone)",), "spousal_support.to_petitioner.steps": ("(gone)",),
    },
    "support by steps": {
        "spousal_support.to_respondent": (anew(0.5),), "spousal_support.to_respondent.outcome": ("payable",),
        "spousal_support.to_respondent.steps": (
            ({"from_day": date(2026, 9, 1), "to_day": date(2027, 8, 31), "amount": D(2000)},
             {"from_day": date(2027, 9, 1), "to_day": date(2028, 8, 31), "amount": D(900)}), anew(1),
        ),
        "spousal_support.to_respondent.buy_out": ("(gone)", anew(0.8)), "spousal_support.to_respondent.amount": ("(gone)",),
        "spousal_support.to_respondent.after_child_support": ("no_change", "step", "review", "statute"),
    },
    "support for a fixed term or an open one": {
        "spousal_support.to_petitioner": (anew(0.7),), "spousal_support.to_petitioner.outcome": ("payable", "nominal"),
        "spousal_support.to_petitioner.amount": (D("1850.00"),), "spousal_support.to_petitioner.steps": ("(gone)",),
        "spousal_support.to_petitioner.buy_out": ("(gone)", anew(0.7)), "spousal_support.to_petitioner.lump_sum": ("(gone)", anew(0.8)),
        "spousal_support.to_petitioner.ends_on": ("(gone)", date(2030, 6, 30)),
        "marriage.married_on": (date(2009, 6, 15), date(2018, 1, 1), date(2012, 2, 29)),
    },
    "no support": {
        "spousal_support.to_petitioner": (anew(0.4),), "spousal_support.to_petitioner.outcome": ("terminated", "waived", "reserved"),
        "spousal_support.to_respondent": (anew(0.4),), "spousal_support.to_respondent.outcome": ("terminated", "waived", "reserved"),
        "marriage.married_on": (date(2009, 6, 15), date(2020, 1, 1)),
    },
    "support from bonus": {
        "spousal_support.to_petitioner.outcome": ("payable",), "spousal_support.to_petitioner.amount": (D("1200.00"),),
        "spousal_support.to_petitioner.extra_income": (anew(0.9),), "child_support.extra_income": (anew(0.9), "(gone)"),
        "spousal_support.to_petitioner.security": (anew(0.9),),
        "petitioner.gross_monthly_income": (D("6500.00"),), "respondent.gross_monthly_income": (D("11000.00"),),
    },
    "a conviction": {
        "petitioner.violence_conviction": (anew(0.9),), "petitioner.violence_conviction.against": ("respondent",),
        "spousal_support.to_petitioner.conviction_rule": ("applied", "rebutted", "waived"),
        "spousal_support.to_petitioner.outcome": ("payable", "waived", "terminated"), "spousal_support.to_petitioner.amount": (D("300.00"),),
    },
    "no child support for now": {
        "children.ada": (CHILD,), "child_support": (anew(0.5),), "child_support.mode": ("zero", "reserved"),
        "child_support.guideline_amount": (D(0), D("412.00"), "(gone)"), "case.other_cases": (anew(0.9), ({"kind": "agency"},)),
        "case.reserved_issues": (({"issue": "child_support", "until": "the review day.", "note": "Bonus income is open."},), anew(0.8)),
        "child_support.deviation_note": ("The time is shared equally.", "the time is shared equally"),
    },
    "child support": {
        "children.ada": (CHILD,), "children.ben": ({**CHILD, "born_on": date(2010, 9, 1)}, "(gone)"), "child_support": (anew(0.6),),
        "child_support.mode": ("guideline", "above", "below"), "child_support.payer": PARTIES,
        "child_support.amount": (D("875.00"),), "child_support.guideline_amount": (D("760.00"), D(0), "(gone)"),
        "child_support.guideline_payer": PARTIES, "child_support.add_ons": (anew(0.7),),
        "child_support.withholding_stay": (anew(0.9), "(gone)"), "child_support.due_note": ("On the tenth.", "on the tenth"),
        "child_support.guideline_inputs": (anew(0.9), "(gone)"),
    },
    "costs of the children": {
        "children.ada": (CHILD,), "child_support.add_ons": (anew(0.7),), "child_support.add_ons.0.kind": ("child_care", "health"),
        "child_support.add_ons.0.basis": ("net_income", "equal", "agreed"), "child_support.add_ons.0.petitioner_percent": ("(gone)", D(40)),
        "child_support.add_ons.0.note": ("Therapy is one of them.", "therapy too"),
        "petitioner.net_monthly_income": (D("5000.00"),), "respondent.net_monthly_income": (D("7000.00"),),
        "child_support.guideline_inputs": (anew(0.9),), "child_support.mode": ("guideline",),
    },
    "time by agreement": {
        "children.ada": (CHILD,), "parenting.pattern": ("by_agreement",), "parenting.blocks": (anew(0.8), "(gone)"),
        "parenting.weeks_in_cycle": (1, 2, "(gone)"), "parenting.handover_time": (anew(),), "parenting.primary_home": (*PARTIES, "(gone)"),
        "parenting.abduction_risk": ("(gone)",), "parenting.violence_terms": ("(gone)",), "case.protective_orders": ("(gone)",),
        "petitioner.violence_conviction": ("(gone)",), "respondent.violence_conviction": ("(gone)",),
    },
    "a plan for the children": {
        "children.ada": (CHILD,), "parenting": (anew(0.45),), "parenting.pattern": (anew(),), "parenting.cycle_start": (date(2026, 9, 7),),
        "parenting.blocks": (
            ({"from_day": "friday", "to_day": "sunday", "parent": "petitioner"}, {"from_day": "sunday", "to_day": "friday", "parent": "respondent"}),
            ({"from_day": "friday", "to_week": 2, "to_day": "friday", "parent": "petitioner"},
             {"week": 2, "from_day": "friday", "to_week": 1, "to_day": "friday", "parent": "respondent"}), anew(0.8),
        ),
        "parenting.weeks_in_cycle": (1, 2), "parenting.handover_time": (anew(),), "parenting.holidays.one": (anew(0.8),),
        "parenting.holidays.two": (anew(0.5),), "parenting.weekend_numbers": ((1, 3), (2, 4, 5)),
    },
    "children apart": {
        "children.ada": (CHILD,), "children.ben": ({**CHILD, "name": {"first": "Ben", "last": "Reyes"}},),
        "children.cleo": ({**CHILD, "name": {"first": "Cleo", "last": "Reyes"}}, "(gone)"),
        "parenting.groups": (
            ({"children": ["ada"], "primary_home": "petitioner"}, {"children": ["ben"], "primary_home": "respondent"}),
            ({"children": ["ada"]}, {"children": ["ben"]}, {"children": ["cleo"]}), anew(0.9),
        ),
        "parenting.physical_custody": ("per_group", "joint"), "parenting.pattern": (anew(),),
    },
    "safety": {
        "children.ada": (CHILD,), "parenting.violence_terms": (anew(0.8),), "case.protective_orders": (anew(0.8), "(gone)"),
        "parenting.supervision": (anew(0.8), "(gone)"), "parenting.abduction_risk": (anew(), "(gone)"),
        "parenting.abduction_steps": (anew(),), "parenting.substance": (anew(0.8),), "petitioner.address_hidden": (True, False),
    },
    "holidays told exactly": {
        "children.ada": (CHILD,), "parenting.holidays.one": (anew(0.6),), "parenting.holidays.one.rule": ("halves", "split_day"),
        "parenting.holidays.one.window": (anew(0.4),), "parenting.holidays.one.window.halves_meet": (anew(0.8),),
        "parenting.holidays.one.window.named_day": ("thanksgiving", "christmas_day"), "parenting.holidays.one.window.ends_days_after": (4, 9),
        "parenting.holidays.one.starts": ("(gone)",), "parenting.holidays.one.ends": ("(gone)",),
        "parenting.holidays.one.midpoint": ("(gone)", "noon on the middle day"), "parenting.handover_time": (anew(),),
        "parenting.pattern": ("alternate_weeks", "2255"), "parenting.summer": (anew(0.7), "(gone)"), "parenting.vacation": (anew(0.7), "(gone)"),
    },
    "a home": {
        "assets.home.label": ("the home on Elm Street",), "assets.home.kind": ("real",), "assets.home.real": (anew(0.6),),
        "assets.home.real.plan": ("buyout", "sell", "deferred_sale", "co_own", "keep", "(gone)"),
        "assets.home.real.defer_events": (anew(), ("child_ends", "move"), "(gone)"), "assets.home.character": ("community", "mixed"),
        "assets.home.goes_to": (*PARTIES, "sell", "co_own", "split", "(gone)"), "assets.home.value": (D("640000.00"), "(gone)"),
        "assets.home.separate_claims": (anew(0.8), "(gone)"),
        "debts.mortgage": ({"kind": "mortgage", "owing": D("210000.00"), "secured_by": "home"}, anew(0.6)),
        "petitioner.address_hidden": (True, False),
    },
    "other land": {
        "assets.cabin.label": ("the cabin",), "assets.cabin.kind": ("real",), "assets.cabin.real": (anew(0.6),), "assets.cabin.transfer_by": (anew(), "(gone)"),
        "assets.cabin.real.use": ("second_home", "rental", "lease", "land", "timeshare", "business"), "assets.cabin.real.plan": ("keep", "(gone)"),
        "assets.cabin.real.address": (anew(), "(gone)"), "assets.cabin.real.parcel_number": (anew(), "(gone)"),
    },
    "equal shares": {
        "assets.car.label": ("the car",), "assets.car.kind": ("vehicle",), "assets.car.value": (D("10000.00"),), "assets.car.goes_to": PARTIES,
        "assets.fund.label": ("the fund",), "assets.fund.kind": ("account",), "assets.fund.value": (D("10000.00"), D("60000.00")), "assets.fund.goes_to": PARTIES,
        "equalization": (anew(0.6), "(gone)"), "equalization.mode": ("none", "lump", "note", "lump_and_note", "retirement", "other_asset"),
        "equalization.payer": PARTIES, "equalization.amount": (D("25000.00"), "(gone)"),
    },
    "a note": {
        "equalization.mode": ("note", "lump_and_note"), "equalization.payer": PARTIES, "equalization.amount": (D("30000.00"),),
        "equalization.lump_amount": (D("6000.00"), "(gone)"),
        "equalization.note": ({"principal": D("30000.00"), "rate": D(5), "first_payment_on": date(2027, 1, 1), "months": 24}, anew(0.8)),
        "equalization.note.principal": (D("30000.00"), D("24000.00")), "equalization.security": (anew(0.8), "(gone)"),
    },
    "equalizing from a plan": {
        "assets.plan_a.label": ("Ana's plan",), "assets.plan_a.kind": ("retirement",), "assets.plan_a.retirement": (anew(0.7),),
        "assets.plan_a.value": (D("90000.00"),), "assets.plan_a.goes_to": PARTIES, "equalization.mode": ("retirement", "other_asset"),
        "equalization.from_asset": ("plan_a",), "equalization.payer": PARTIES, "equalization.amount": (D("12000.00"),),
    },
    "only a claim to set off": {
        "assets": ({"car": {"kind": "vehicle", "label": "the car", "value": D("9000.00"), "goes_to": "petitioner"}},),
        "debts": ({"card": {"kind": "card", "creditor": "a bank", "owing": D("20000.00"), "assigned_to": "respondent"}}, {}),
        "reimbursements": ({"one": {"kind": "separate_debt", "claimant": "petitioner", "amount": D("4500.00"), "result": "offset"}},
                           {"one": {"kind": "exclusive_use", "claimant": "respondent", "amount": D("800.00"), "result": "paid", "asset": "car"}}),
        "equalization": (anew(0.5), "(gone)"),
    },
    "stock of an employer": {
        "assets.options.label": ("the options",), "assets.options.kind": ("stock_plan",), "assets.options.stock_plan": (anew(0.8),),
        "assets.options.stock_plan.holder": PARTIES, "assets.options.goes_to": (*PARTIES, "split"), "assets.options.value": (D("40000.00"), "(gone)"),
        "assets.options.stock_plan.grants": ({"first": {"granted_on": date(2022, 3, 1), "kind": "option", "units": D(1000),
                                              "vests": [{"on": date(2023, 3, 1), "units": D(500)}, {"on": date(2027, 3, 1), "units": D(500)}]}},),
        "assets.options.stock_plan.hired_on": (date(2021, 5, 1),),
    },
    "a business": {
        "assets.shop.label": ("the shop",), "assets.shop.kind": ("business",), "assets.shop.business": (anew(0.8),), "assets.shop.goes_to": (*PARTIES, "sell", "co_own"),
        "assets.novel.label": ("the novel",), "assets.novel.kind": ("work",), "assets.novel.work": (anew(0.8),), "assets.novel.goes_to": (*PARTIES, "co_own", "split"),
    },
    "default": {
        "case.path": ("default_with_agreement", "default"), "case.default_entered_on": (anew(), "(gone)"), "case.petition_relief": (anew(),),
        "case.petition_terms": (anew(0.6), "(gone)"), "case.response_filed_on": ("(gone)",), "case.service_method": (anew(),),
        "case.packaging": (anew(),), "respondent.notarized": (True, False), "respondent.notary_state": ("California", "Nevada"),
    },
    "other routes": {
        "case.path": ("appearance_waiver", "joint_petition", "reserved_issues", "response_filed"), "case.proceeding": ("legal_separation", "nullity", "dissolution"),
        "case.relationship": ("marriage", "partnership", "both"), "marriage.partnership_registered_on": (anew(), "(gone)"),
        "case.status_mode": (anew(),), "case.bifurcation_terms": (anew(), "(gone)"), "case.agreement_kind": (anew(),), "case.packaging": (anew(),),
        "case.residence": (anew(0.8),),
    },
    "people": {
        "petitioner": (anew(0.6),), "respondent": (anew(0.6),), "petitioner.representation": ("attorney", "limited_scope", "none"),
        "respondent.representation": ("attorney", "limited_scope", "none"), "petitioner.interpreter": (anew(0.9), "(gone)"),
        "petitioner.bankruptcy": (anew(0.8), "(gone)"), "petitioner.notarized": (True,), "petitioner.notary_state": ("California", "Nevada"),
        "case.drafted_by": (anew(),), "case.preparer_block": (anew(0.8), "(gone)"), "case.local_requirements": (anew(),),
    },
    "disclosures": {
        "petitioner.disclosure": (anew(0.7),), "respondent.disclosure": (anew(0.7),), "case.joined_plans": (anew(), "(gone)"),
        "petitioner.signed_on": (date(2026, 7, 1), "(gone)"), "respondent.signed_on": (date(2026, 7, 2), "(gone)"), "case.signing_on": (date(2026, 7, 1), "(gone)"),
    },
    "debts": {
        "debts.card": (anew(0.7),), "debts.loan": (anew(0.7),), "debts.loan.kind": ("student_loan", "family", "tax"), "debts.card.assigned_to": (*PARTIES, "split", "from_sale", "(gone)"),
        "debts.loan.education_of": (*PARTIES, "(gone)"), "reimbursements.one": (anew(0.8),), "reimbursements.one.kind": ("education_2641", "exclusive_use", "other"),
        "case.reserved_issues": (({"issue": "debts", "until": "the loan is paid.", "note": "Who pays."},), anew(0.8), "(gone)"),
        "debts.loan.creditor": (anew(),), "debts.card.obligors": ("both", "petitioner"),
    },
    "taxes": {
        "taxes": (anew(0.7),), "children.ada": (CHILD,), "fees": (anew(0.7),), "estate": (anew(0.7),), "confidentiality": (anew(0.7),),
        "case.reserved_issues": (({"issue": "fees", "until": "then.", "note": "Costs are open."},), anew(0.8), "(gone)"), "disputes": (anew(0.8),), "notices": (anew(0.8),),
    },
    "a few plain words": {
        "case.special_terms": (anew(0.9),), "case.traded_terms": (anew(0.9),), "case.reserved_issues": (anew(0.8),), "case.mediated": (True, False),
        "case.release_scope": (anew(),), "case.release_unknown_claims": (True, False), "case.merger": (anew(),), "case.effective_rule": (anew(),),
    },
}  # fmt: skip
