"""Rules of a default without agreement: the judgment gives what the petition asked for, and nothing that needs consent."""

from __future__ import annotations

from collections.abc import Iterator

from msadraft.library.wording import money
from msadraft.review.base import Hit, Review, rule
from msadraft.review.belongings import DOLLAR, all_assigned
from msadraft.review.common import ROLES, custody_decided, support_to, supported

PAPER_ROOMS = ("estate.", "negotiation.", "sign.", "tax.")
PAPER_RULES = frozenset((
    "wording.blank", "wording.reference", "general.pulled_in", "general.kept_designation", "general.merger",
    "general.mediation_words", "general.retain_request", "general.trade_unbundled", "general.advice_recital",
    "general.language", "general.capacity", "general.dv_release", "general.order_trade", "general.gag", "general.no_date",
    "general.placeholder", "general.product", "general.attorney_only", "filing.effective_day",
    "filing.waiver_requirements", "filing.waiver_paragraph", "filing.signature_line", "filing.judge_line",
    "filing.exhibit_unmentioned", "filing.custody_paragraph", "filing.support_declarations", "custody.findings",
    "custody.finality", "child_support.below_declarations", "path.default_not_notarised",
    "path.default_disclosure_shortcut", "path.local_notary", "disclosure.final_gap", "disclosure.one_sided_waiver",
    "disclosure.after_signing", "disclosure.no_values", "property.unequal_unsaid", "property.unequal_reason",
    "property.release_gap", "spousal_support.long_waiver_words", "spousal_support.long_waiver_advice",
))  # fmt: skip
"""Rules about the words, the signing or the trades of an agreement, and about disclosure that § 2110 does not ask for."""

WHY = "The respondent stayed away on the strength of what the petition said"
LAW = "Code Civ. Proc. § 580(a); In re Marriage of Lippel (1990) 51 Cal.3d 1160 (memory)"
MEND = "Amend the petition and serve it again, or drop the term; then bring case.petition_terms up to date."


def about_the_paper(rule_id: str) -> bool:
    """Whether a rule speaks of an agreement, so that it has nothing to say where there is none."""
    return rule_id in PAPER_RULES or rule_id.startswith(PAPER_ROOMS)


def _custody_kind(value: str | None) -> str | None:
    """The word of the petition for a kind of custody: joint, petitioner, respondent."""
    if value in ("joint", "joint_tiebreak", "nesting"):
        return "joint"
    return value.removeprefix("sole_") if value and value.startswith("sole_") else None


@rule(
    "path.default_terms",
    "stop",
    message="In a default without agreement this term goes beyond what the petition asked for:",
    why=WHY,
    source=LAW,
    mend=MEND,
)
def default_terms(review: Review) -> Iterator[Hit]:
    facts, asked = review.facts, review.facts.case.petition_terms
    if not review.figures.true_default:
        return
    if asked and custody_decided(review):
        plan = facts.parenting
        for kind, wanted, given in (
            ("legal", asked.legal_custody, _custody_kind(plan.legal_custody)),
            ("physical", asked.physical_custody, _custody_kind(plan.physical_custody)),
        ):
            if wanted and given and wanted != given:
                yield Hit(
                    f"parenting.{kind}_custody", f"{kind} custody is {given}, and the petition asked for {wanted}."
                )
    yield from _child_support(review)
    if not asked:
        return
    to_petitioner, limit = support_to(facts, "petitioner"), asked.support_to_petitioner_amount
    if limit is not None and to_petitioner.outcome in ("payable", "nominal"):
        amounts = (to_petitioner.amount, *(step.amount for step in to_petitioner.steps))
        for amount in amounts:
            if amount is not None and amount > limit:
                yield Hit(
                    "spousal_support.to_petitioner.amount",
                    f"spousal support of {money(amount)} a month, and the petition named {money(limit)}.",
                )
    if facts.fees.plan == "contribution":
        if asked.fees_payer and facts.fees.payer and facts.fees.payer != asked.fees_payer:
            yield Hit("fees.payer", f"the {facts.fees.payer} pays, and the petition named the {asked.fees_payer}.")
        if asked.fees_amount is not None and facts.fees.amount is not None and facts.fees.amount > asked.fees_amount:
            yield Hit("fees.amount", f"{money(facts.fees.amount)}, and the petition named {money(asked.fees_amount)}.")
    for key in asked.assets_to_respondent:
        asset = facts.assets[key]
        if asset.goes_to not in (None, "respondent", "reserved"):
            yield Hit(f"assets.{key}.goes_to", f"{asset.label} was proposed for the respondent.")
    for key in asked.debts_to_petitioner:
        debt = facts.debts[key]
        if debt.assigned_to not in (None, "petitioner"):
            yield Hit(
                f"debts.{key}.assigned_to", f"{debt.label or debt.creditor or key} was proposed for the petitioner."
            )


def _child_support(review: Review) -> Iterator[Hit]:
    """More child support from the respondent than the sum or the guideline that was asked for."""
    support, asked = review.facts.child_support, review.facts.case.petition_terms
    if not supported(review) or support.payer == "petitioner" or support.amount is None:
        return
    named = asked.child_support_amount if asked else None
    if named is not None:
        if support.amount > named:
            yield Hit(
                "child_support.amount",
                f"child support of {money(support.amount)} a month, and the petition named {money(named)}.",
            )
    elif support.mode == "above":
        yield Hit("child_support.mode", "child support above the guideline, and the petition named no sum.")


def _consented(review: Review) -> Iterator[tuple[str, str, str]]:
    """Terms that only a written agreement can give: the fact, the term, the law."""
    facts = review.facts
    for role in ROLES:
        paid, path = support_to(facts, role), f"spousal_support.to_{role}"
        if paid.outcome in ("payable", "nominal"):
            if paid.end_events_waived or (paid.lump_sum and paid.lump_sum.survives):
                yield f"{path}.end_events_waived", "support that survives death or remarriage", "Fam. Code § 4337"
            if paid.amount_may_change not in (None, "modifiable") or paid.term_may_change == "nonmodifiable":
                yield f"{path}.amount_may_change", "support that no court may change", "Fam. Code § 3591(c) (memory)"
            if paid.buy_out:
                yield f"{path}.buy_out", "a trade in place of support", "Fam. Code § 3580 (memory)"
        if role == "respondent" and paid.outcome == "waived":
            says = (
                "a waiver of support by the respondent; an end of support can be ordered if the petition asked for it"
            )
            yield f"{path}.outcome", says, "Fam. Code § 4336; Code Civ. Proc. § 580(a)"
        if paid.withholding_stay and paid.withholding_stay.wanted:
            yield f"{path}.withholding_stay", "a stay of withholding by agreement", "Fam. Code § 5260(b)"
    support = facts.child_support
    if supported(review):
        if support.withholding_stay and support.withholding_stay.wanted:
            yield "child_support.withholding_stay", "a stay of withholding by agreement", "Fam. Code § 5260(b)"
        if support.mode in ("above", "below") and support.deviation_reason in (None, "agreement"):
            yield (
                "child_support.deviation_reason",
                "an amount off the guideline by agreement",
                "Fam. Code §§ 4057, 4065",
            )
        if support.end.kind == "extended":
            yield "child_support.end", "support past the age of the law", "Fam. Code § 3587 (memory)"
    if support.college:
        yield "child_support.college", "college costs", "Fam. Code § 3587 (memory)"
    for n, _ in enumerate(facts.case.special_terms):
        yield f"case.special_terms.{n}", "a term of the couple's own", "Code Civ. Proc. § 580(a)"
    if facts.case.traded_terms:
        yield "case.traded_terms", "promises given for each other", "Code Civ. Proc. § 580(a)"
    if facts.estate.waiver in ("mutual", "one_way"):
        yield "estate.waiver", "a waiver of the right to inherit", "Prob. Code § 142 (memory)"


@rule(
    "path.default_needs_agreement",
    "stop",
    message="Only a written agreement can give this, and there is none:",
    why="A court that enters default orders what the law lets it order without the other spouse's consent",
    source="Fam. Code §§ 3587, 3591, 4065, 4337, 5260; Code Civ. Proc. § 580(a) (3587, 3591 memory)",
    mend="Drop the term, or let both sign an agreement and set case.path to default_with_agreement.",
)
def default_needs_agreement(review: Review) -> Iterator[Hit]:
    if review.figures.true_default:
        for path, what, law in _consented(review):
            yield Hit(path, f"{what} ({law}).")


@rule(
    "path.default_respondent_name",
    "stop",
    message="The respondent has not asked for a former name, so the judgment cannot restore it.",
    why="A former name is restored on the request of the spouse who bore it",
    source="Fam. Code § 2080 (memory)",
    mend="Take respondent.restore_name out; the respondent can ask for it later.",
)
def default_respondent_name(review: Review) -> Iterator[Hit]:
    if review.figures.true_default and review.facts.respondent.restore_name:
        yield Hit("respondent.restore_name")


@rule(
    "path.default_unequal",
    "stop",
    message="Without an agreement the community estate is divided equally, and these awards are not equal.",
    why="The law divides community property equally unless the parties agree in writing on something else",
    source="Fam. Code §§ 2550, 2604 (2604 memory)",
    mend="Add an equalizing payment, change the awards, or ask for a small estate to go to one spouse where the other cannot be found (§ 2604).",
)
def default_unequal(review: Review) -> Iterator[Hit]:
    if not review.figures.true_default:
        return
    equal, ledger = review.facts.equalization, review.figures.ledger
    if equal.unequal:
        yield Hit("equalization.unequal", "The facts say that the split is meant to be unequal.")
    elif equal.mode in (None, "none") and ledger.equalization * 2 > DOLLAR and all_assigned(review):
        yield Hit(
            "equalization.mode",
            f"Petitioner receives {money(ledger.to_petitioner)} and respondent {money(ledger.to_respondent)} net; "
            f"{money(ledger.equalization)} is due from the {ledger.equalization_payer}.",
        )
