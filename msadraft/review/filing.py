"""Checks before filing: what the clerk looks for and what the facts or the paper already tell."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from msadraft.attachments.mail import mail
from msadraft.facts.people import Party
from msadraft.facts.property import Asset
from msadraft.facts.scalars import PartyRole
from msadraft.facts.view import Seen, View
from msadraft.review.base import Hit, Review, rule
from msadraft.review.belongings import INDIVIDUAL_ACCOUNTS
from msadraft.review.child_support import missing_declarations
from msadraft.review.common import (
    ROLES,
    child_support_decided,
    custody_decided,
    minors,
    parties,
    party,
    support_to,
    supported,
    topics,
)
from msadraft.tree import Reference, Signature, inlines

RULE = {
    "JC-01": ("filing.case_number",),
    "JC-02": ("filing.service", "path.no_appearance"),
    "JC-09": ("filing.response_on_default",),
    "JC-12": ("filing.respondent_address",),
    "JC-14": ("filing.same_address",),
    "JC-24": ("filing.waiver_requirements", "filing.waiver_paragraph"),
    "JC-33": ("filing.signature_line", "sign.approval"),
    "JC-34": ("filing.judge_line",),
    "JC-40": ("filing.exhibit_unmentioned", "wording.reference"),
    "JC-43": ("filing.effective_day",),
    "JC-45": ("filing.custody_paragraph", "custody.findings", "custody.habitual_residence"),
    "JC-46": ("filing.child_details",),
    "JC-51": ("filing.travel_conflict",),
    "JC-53": ("filing.habitual_differs",),
    "JC-55": ("filing.support_declarations", "child_support.below_declarations"),
    "JC-56": ("filing.guideline_figure", "child_support.no_reason", "child_support.run_differs"),
    "JC-57": ("filing.aid_without_agency", "child_support.below_aid", "child_support.agency_sign"),
    "JC-65": ("filing.support_sum",),
    "JC-67": ("filing.support_contradiction",),
    "JC-71": ("filing.support_factors",),
    "JC-74": ("filing.stay_terms", "child_support.withholding"),
    "JC-75": ("filing.listed_twice", "property.unassigned", "debt.unassigned"),
    "JC-77": ("filing.nothing_to_divide",),
    "JC-78": ("filing.real_property", "property.legal_desc"),
    "JC-79": ("filing.plan_details", "retirement.no_order", "retirement.joinder"),
    "JC-80": ("filing.equalization_terms", "property.equal_sum"),
    "JC-82": ("filing.fees_outcome", "fees.silent"),
    "JC-84": ("filing.restored_name", "name.legal_separation"),
    "JC-86": ("filing.mailing_address",),
}
"""Checks with a rule of their own in this module, and the rules that help to decide them."""

COVERED = {
    "JC-03": ("path.default_early",),
    "JC-05": ("filing.service",),
    "JC-08": ("path.no_appearance",),
    "JC-11": ("path.default_service_member",),
    "JC-15": ("path.residence",),
    "JC-16": ("status.too_early",),
    "JC-18": ("identity.date_order",),
    "JC-20": ("disclosure.preliminary_missing",),
    "JC-21": ("disclosure.preliminary_missing",),
    "JC-22": ("disclosure.preliminary_missing",),
    "JC-23": ("disclosure.final_gap", "disclosure.one_sided_waiver"),
    "JC-27": ("disclosure.preliminary_missing",),
    "JC-29": ("disclosure.income_stale",),
    "JC-30": ("identity.full_number",),
    "JC-31": ("path.default_not_notarised", "general.pulled_in"),
    "JC-32": ("path.local_notary",),
    "JC-35": ("ledger.issue_open", "child_support.missing", "spousal_support.direction", "property.unassigned"),
    "JC-36": ("wording.blank", "general.placeholder"),
    "JC-39": (
        "path.default_exceeds",
        "path.default_asset_unlisted",
        "path.default_terms",
        "path.default_needs_agreement",
        "path.default_respondent_name",
    ),
    "JC-47": ("identity.parentage_open",),
    "JC-48": ("custody.dv_loose_plan", "custody.no_grid"),
    "JC-54": ("child_support.missing",),
    "JC-58": ("child_support.time_mismatch",),
    "JC-59": ("child_support.health_share", "child_support.childcare_share"),
    "JC-60": ("child_support.no_cover",),
    "JC-66": ("spousal_support.direction",),
    "JC-68": ("spousal_support.long_waiver_words", "spousal_support.long_waiver_advice"),
    "JC-70": ("spousal_support.waived_event",),
    "JC-76": ("property.unequal_unsaid", "path.default_unequal"),
    "JC-81": ("property.sale_rules",),
}
"""Checks that a rule of another module decides."""

WAITING = {
    "JC-04": "worksheet line: the server was an adult and not a party",
    "JC-06": "worksheet figure: the day on which jurisdiction was obtained, and which box says how",
    "JC-07": "the mailing day of the acknowledgment; worksheet line: service counts from its signing",
    "JC-10": "the reason for the statement on military service; worksheet line of FL-165",
    "JC-13": "worksheet line of FL-165: a written agreement takes the place of the financial forms",
    "JC-17": "worksheet line: the status date is the same on every form, or blank",
    "JC-19": "the kind of proceeding that the petition names; worksheet line",
    "JC-25": "worksheet figure: which box of FL-170 item 5 fits",
    "JC-26": "worksheet line: FL-141 item 4c stays empty",
    "JC-28": "worksheet line: disclosure papers stay out of the court file",
    "JC-37": "the pointers of the packet; the paragraph map is checked by its own tests",
    "JC-38": "the values on the forms; they come from the same facts",
    "JC-41": "the page count of the printed paper",
    "JC-42": "worksheet line: one signature place for the judge",
    "JC-44": "the day on which FL-105 was filed; worksheet line: it is still true",
    "JC-49": "worksheet line: FL-341 items 7 and 9b stay empty",
    "JC-50": "worksheet figure: FL-341(A) or (B) joins the packet",
    "JC-52": "worksheet line: certificate of parent education, by county",
    "JC-61": "worksheet line: FL-192 is attached",
    "JC-62": "worksheet line: FL-191 for each parent, outside the public file",
    "JC-63": "worksheet figure: FL-195 joins the packet",
    "JC-64": "a fact that says whether FL-350 is used beside the agreement",
    "JC-69": "worksheet line: FL-157 and FL-150 join a default without agreement",
    "JC-72": "worksheet line: FL-343 item 2, not item 1",
    "JC-73": "worksheet figure: FL-435 or FL-195",
    "JC-83": "worksheet: FL-344 never joins a judgment packet",
    "JC-85": "the planned day of signing FL-170; worksheet line",
    "JC-87": "worksheet line: copies, by county",
    "JC-88": "worksheet line: two stamped envelopes",
    "JC-89": "worksheet line: the extra envelope of a default",
    "JC-90": "worksheet line: the printing of each form and how sure it is",
    "JC-91": "worksheet line: local forms",
    "JC-92": "worksheet line: answer every listed defect of a returned packet",
    "JC-93": "worksheet line: no hearing unless one is asked for",
    "JC-94": "worksheet line: typed, or in blue or black ink",
}
"""Checks that belong to the packet worksheets, or that need a fact which is not recorded."""

UNITED_STATES = frozenset(("united states", "united states of america", "usa", "us"))


# Line-up of the file


@rule(
    "filing.case_number",
    "warn",
    message="The petition is filed, but the case number is missing.",
    why="Every form and the agreement must carry the same number",
    source="common practice",
    mend="Give case.number as the court assigned it.",
)
def case_number(review: Review) -> Iterator[Hit]:
    if review.facts.case.petition_filed_on and not review.facts.case.number:
        yield Hit("case.number")


@rule(
    "filing.service",
    "stop",
    message="No day is given on which the respondent was served or appeared.",
    why="The court needs power over the respondent, and the six months count from that day",
    source="forms FL-180 item 3, FL-182 items 2a, 3a, FL-117; Cal. Rules of Court, rule 5.407",
    mend="Give case.served_on (for service by mail with an acknowledgment: the day the respondent signed it) or case.appearance_on.",
)
def service(review: Review) -> Iterator[Hit]:
    case = review.facts.case
    if case.path in ("default", "default_with_agreement", "reserved_issues") and not (
        case.served_on or case.response_filed_on or case.appearance_on
    ):
        yield Hit("case.served_on")


@rule(
    "filing.response_on_default",
    "stop",
    message="A response or an appearance is on file, so the default route is closed.",
    why="Default is taken only against a respondent who did not come into the case",
    source="forms FL-165 item 1, FL-170 item 4b",
    mend="Set case.path to response_filed or appearance_waiver, or take out the day.",
)
def response_on_default(review: Review) -> Iterator[Hit]:
    case = review.facts.case
    if not review.figures.default_path:
        return
    if case.response_filed_on:
        yield Hit("case.response_filed_on", f"Response filed on {case.response_filed_on}.")
    if case.appearance_on:
        yield Hit("case.appearance_on", f"Appearance filed on {case.appearance_on}.")


def _mail_reaches(review: Review, role: PartyRole) -> bool:
    facts = View(review.facts, "", Seen(), lambda path: None)
    return bool(mail({"notices": facts.notices}, getattr(facts, role)).lines)


@rule(
    "filing.respondent_address",
    "stop",
    message="A request for default needs the respondent's last known mailing address.",
    why="Address unknown is accepted only after service by publication or posting",
    source="Cal. Rules of Court, rule 5.402(b); form FL-165",
    mend="Give respondent.address, or an address under notices.addresses.",
)
def respondent_address(review: Review) -> Iterator[Hit]:
    by_notice = review.facts.case.service_method in ("publication", "posting")
    if review.figures.default_path and not by_notice and not _mail_reaches(review, "respondent"):
        yield Hit("respondent.address")


@rule(
    "filing.mailing_address",
    "warn",
    message="The clerk needs an address for the notice of entry, and none is known for this party.",
    why="The court mails the notice of entry of judgment to both",
    source="forms FL-190, FL-182 items 2h, 3i",
    mend="Give the party's or the attorney's address, or for a hidden address a safe one under notices.addresses.",
)
def mailing_address(review: Review) -> Iterator[Hit]:
    for role in ROLES:
        by_other_rule = review.figures.default_path and role == "respondent"
        if not by_other_rule and not _mail_reaches(review, role):
            path = f"notices.addresses.to_{role}" if party(review.facts, role).address_hidden else f"{role}.address"
            yield Hit(path, f"It is the {role}.")


@rule(
    "filing.same_address",
    "warn",
    message="Both spouses have the same address in a default case.",
    why="The court may ask whether the respondent really got the papers",
    source="Santa Clara County Superior Court, Local Family Rule 8 B(2)",
    mend="If they share a home, file a declaration that says so; otherwise correct the address.",
)
def same_address(review: Review) -> Iterator[Hit]:
    places = [_plain_address(one) for _, one in parties(review.facts)]
    if review.figures.default_path and places[0] and places[0] == places[1]:
        yield Hit("respondent.address.street")


def _plain_address(one: Party) -> str:
    if one.address is None or not one.address.street:
        return ""
    return " ".join(
        f"{one.address.street} {one.address.city or ''}".casefold().replace(",", " ").replace(".", " ").split()
    )


@rule(
    "filing.effective_day",
    "warn",
    message="Say from when the agreement takes effect.",
    why="The forms cite the agreement by its date, and every count of days in it begins there",
    source="forms FL-345 item 5, FL-355 item 4a",
    mend="Choose case.effective_rule, and for a fixed date give case.effective_on.",
)
def effective_day(review: Review) -> Iterator[Hit]:
    case = review.facts.case
    if case.effective_rule is None:
        yield Hit("case.effective_rule")
    elif case.effective_rule == "fixed_date" and case.effective_on is None:
        yield Hit("case.effective_on")


# Disclosure waiver


@rule(
    "filing.waiver_requirements",
    "stop",
    message="Final disclosure is waived, but what the waiver must state is not yet true:",
    why="The waiver says under penalty of perjury that preliminary disclosure and current income declarations were exchanged",
    source="Fam. Code § 2105(d) (memory); form FL-144 item 2",
    mend="Complete that step first, or serve final disclosure instead.",
)
def waiver_requirements(review: Review) -> Iterator[Hit]:
    if not any(one.disclosure.final_waived for _, one in parties(review.facts)):
        return
    for role, one in parties(review.facts):
        given = one.disclosure
        path = f"{role}.disclosure"
        if not given.preliminary_served_on:
            yield Hit(f"{path}.preliminary_served_on", f"the {role}'s preliminary disclosure.")
        if not given.income_declaration_on:
            yield Hit(f"{path}.income_declaration_on", f"the {role}'s income declaration.")
        if given.final_waived and given.final_waived.under_penalty_of_perjury is False:
            yield Hit(f"{path}.final_waived.under_penalty_of_perjury", f"the {role} signs under penalty of perjury.")


@rule(
    "filing.waiver_paragraph",
    "stop",
    message="Final disclosure is waived by both, but no paragraph says so.",
    why="Without the clause or a separate form FL-144 the waiver is not in the file",
    source="Fam. Code § 2105(d) (memory); forms FL-144, FL-170 item 5d",
    mend="Keep the clause disclosure.waiver in the paper.",
)
def waiver_paragraph(review: Review) -> Iterator[Hit]:
    if all(one.disclosure.final_waived for _, one in parties(review.facts)) and "disclosure.waiver" not in topics(
        review
    ):
        yield Hit("petitioner.disclosure.final_waived")


# The paper


@rule(
    "filing.signature_line",
    "stop",
    message="The paper has no place for this party to sign:",
    why="Both parties must sign and date the agreement themselves",
    source="forms FL-182 items 2f, 3g; Code Civ. Proc. § 664.6(c)",
    mend="Keep the clause sign.signatures in the paper.",
)
def signature_line(review: Review) -> Iterator[Hit]:
    lines = [review.words(block) for block in review.blocks if isinstance(block, Signature)]
    for role, one in parties(review.facts):
        if not any(one.name.full in line for line in lines):
            yield Hit(f"{role}.name", f"the {role}.")


@rule(
    "filing.judge_line",
    "stop",
    message="A stipulated judgment needs the judge's line as the last signature place.",
    why="The parties' and attorneys' signatures must stand directly above the place for the judge",
    source="Cal. Rules of Court, rule 5.411(a)",
    mend="Keep the clause sign.judge after the other signatures, or set case.agreement_kind to settlement_agreement.",
)
def judge_line(review: Review) -> Iterator[Hit]:
    lines = [block for block in review.blocks if isinstance(block, Signature)]
    judges = [n for n, line in enumerate(lines) if "judicial officer" in review.words(line).casefold()]
    names = [n for n, line in enumerate(lines) if line.clause in ("sign.signatures", "sign.approval")]
    if review.facts.case.agreement_kind == "stipulated_judgment" and (not judges or any(n > judges[0] for n in names)):
        yield Hit("case.agreement_kind")


@rule(
    "filing.exhibit_unmentioned",
    "warn",
    message="No paragraph refers to this exhibit:",
    why="What the text does not mention may not be part of the agreement",
    source="form FL-180 items 4j to 4o; common practice",
    mend="Let a paragraph refer to the exhibit, or leave the exhibit out.",
)
def exhibit_unmentioned(review: Review) -> Iterator[Hit]:
    named = {p.target for block in review.blocks for p in inlines(block) if isinstance(p, Reference)}
    for section in review.agreement.sections:
        if section.kind == "exhibit" and section.id not in named:
            yield Hit("", f"{review.numbering[section.id].full}.")


# Children


@rule(
    "filing.custody_paragraph",
    "stop",
    message="No paragraph answers the custody findings that the judgment form relies on.",
    why="The form may rest on the agreement alone only if it states jurisdiction, notice, rights, penalties and habitual residence",
    source="form FL-180 item 4j(1); Fam. Code § 3048(a)",
    mend="Keep the clause custody.findings in the paper.",
)
def custody_paragraph(review: Review) -> Iterator[Hit]:
    if custody_decided(review) and "custody.findings" not in topics(review):
        yield Hit("parenting")


@rule(
    "filing.child_details",
    "stop",
    message="A child of the marriage is not fully covered.",
    why="The forms list each minor child by name and birth date, and each must stand in the schedule",
    source="forms FL-180 item 4i, FL-342 item 6a, FL-105",
    mend="Complete the child's facts, or add the child to a group.",
)
def child_details(review: Review) -> Iterator[Hit]:
    facts = review.facts
    for key in review.figures.children_of_both.keys:
        child = facts.children[key]
        if child.born_on is None and child.due_on is None:
            yield Hit(f"children.{key}.born_on", f"The birth date of {child.name.first} is missing.")
    groups = facts.parenting.groups
    grouped = {key for group in groups for key in group.children}
    for key, child in minors(review).items():
        if groups and key not in grouped and custody_decided(review):
            yield Hit("parenting.groups", f"{child.name.first} is in no group.")


@rule(
    "filing.habitual_differs",
    "warn",
    message="The habitual residence is not the United States for all children alike.",
    why="The short custody form cannot say this, so the agreement and FL-341 must",
    source="forms FL-341 item 3, FL-355 item 2",
    mend="Confirm each child's country, and do not use FL-355.",
)
def habitual_differs(review: Review) -> Iterator[Hit]:
    if not custody_decided(review):
        return
    for key, child in minors(review).items():
        country = (child.habitual_country or "United States").casefold().replace(".", "").removeprefix("the ").strip()
        if country not in UNITED_STATES:
            yield Hit(f"children.{key}.habitual_country", f"{child.name.first}: {child.habitual_country}.")


@rule(
    "filing.travel_conflict",
    "warn",
    message="The travel rules and the list of joint decisions contradict each other.",
    why="The forms repeat the travel terms in several places, and one answer must fit all",
    source="forms FL-341 item 11, FL-341(C), FL-341(E) item 2f",
    mend="Set the same rule in both places.",
)
def travel_conflict(review: Review) -> Iterator[Hit]:
    plan = review.facts.parenting
    if not custody_decided(review):
        return
    for n, topic in enumerate(plan.joint_topics):
        if topic.rule != "both_consent":
            continue
        travel = plan.travel
        if topic.topic == "travel" and travel and travel.abroad in ("free", "notice"):
            yield Hit(
                f"parenting.joint_topics.{n}.rule", "Both must consent to travel, yet travel abroad needs no consent."
            )
        if topic.topic == "passport" and plan.passports and plan.passports.renewal == "holder_alone":
            yield Hit(
                f"parenting.joint_topics.{n}.rule", "Both must consent to a passport, yet the holder renews alone."
            )


# Child support


@rule(
    "filing.support_declarations",
    "stop",
    message="The judgment form relies on declarations about child support, and this one is missing:",
    why="The form may rest on the agreement alone only if it carries the declarations",
    source="form FL-180 item 4k(1); Fam. Code § 4065(a)",
    mend="Record it under child_support.declarations, and keep the clause child_support.acknowledgments in the paper.",
)
def support_declarations(review: Review) -> Iterator[Hit]:
    if not child_support_decided(review):
        return
    if review.facts.child_support.mode in ("guideline", "above"):
        yield from missing_declarations(review)
    if "child-support.declarations" not in topics(review):
        yield Hit("child_support.declarations", "no paragraph answers it.")


@rule(
    "filing.guideline_figure",
    "stop",
    message="The guideline figure and who would pay it are needed even where the parents agree on another amount.",
    why="The court must compare, and must state the guideline when it departs from it",
    source="Fam. Code § 4056(a); forms FL-342 item 6e, FL-342(A), FL-350 item 8",
    mend="Run the guideline and give guideline_amount and guideline_payer.",
)
def guideline_figure(review: Review) -> Iterator[Hit]:
    support = review.facts.child_support
    if not child_support_decided(review):
        return
    if support.guideline_amount is None:
        found = review.figures.child_support.guideline
        own = f"On the facts given the formula comes to {found.amount} a month" if found else ""
        payer = f", from the {found.payer}" if found and found.payer else ""
        yield Hit("child_support.guideline_amount", f"{own}{payer}; compare a certified run." if own else "")
    elif support.guideline_amount > 0 and support.guideline_payer is None:
        yield Hit("child_support.guideline_payer")


@rule(
    "filing.aid_without_agency",
    "stop",
    message="Public aid is paid for the children, but no agency is in the case.",
    why="The right to support is assigned while aid is paid, and the agency must sign an agreement about it",
    source="Welf. & Inst. Code § 11477; Fam. Code § 4065(c); forms FL-350 items 17, 18, FL-170 item 7b",
    mend="Ask the local child support agency to join, and set case.child_support_agency to yes.",
)
def aid_without_agency(review: Review) -> Iterator[Hit]:
    case = review.facts.case
    if supported(review) and case.public_assistance == "receiving" and not case.child_support_agency:
        yield Hit("case.child_support_agency")


@rule(
    "filing.support_sum",
    "stop",
    message="The amounts for the children do not add up to the base support.",
    why="The form shows both, and the clerk adds",
    source="form FL-342 item 6",
    mend="Correct child_support.per_child or child_support.amount.",
)
def support_sum(review: Review) -> Iterator[Hit]:
    support = review.facts.child_support
    if not child_support_decided(review) or not support.per_child or support.amount is None:
        return
    total = sum((entry.amount for entry in support.per_child), Decimal(0))
    if total != support.amount:
        yield Hit("child_support.per_child", f"They add up to {total}; the base is {support.amount}.")


# Spousal support


@rule(
    "filing.support_contradiction",
    "stop",
    message="The facts on spousal support contradict each other.",
    why="The judgment form, its attachment and the declaration must say one thing for each spouse",
    source="forms FL-180 item 4l, FL-343 item 3, FL-170 item 8",
    mend="Keep one of the two.",
)
def support_contradiction(review: Review) -> Iterator[Hit]:
    facts = review.facts
    if all(support_to(facts, role).outcome == "payable" for role in ROLES):
        yield Hit("spousal_support.to_respondent.outcome", "Each spouse would pay the other.")
    for role in ROLES:
        support, path = support_to(facts, role), f"spousal_support.to_{role}"
        if support.outcome not in ("terminated", "waived", "reserved"):
            continue
        if support.amount:
            yield Hit(f"{path}.amount", f"Support for the {role} is {support.outcome}, yet an amount is given.")
        if support.steps:
            yield Hit(f"{path}.steps", f"Support for the {role} is {support.outcome}, yet steps are given.")


@rule(
    "filing.support_factors",
    "warn",
    message="No paragraph states the facts on which spousal support after this long marriage rests.",
    why="The court weighs the listed circumstances, and the forms ask where they are",
    source="Fam. Code §§ 4320, 4332; forms FL-343 item 2d, FL-170 item 8d",
    mend="Keep the clause spousal_support.findings in the paper.",
)
def support_factors(review: Review) -> Iterator[Hit]:
    decided = [role for role in ROLES if support_to(review.facts, role).outcome not in (None, "reserved")]
    if review.figures.long_marriage and decided and "spousal-support.factors" not in topics(review):
        yield Hit(f"spousal_support.to_{decided[0]}.findings")


@rule(
    "filing.stay_terms",
    "warn",
    message="A stay of withholding from wages needs its reason and another way of paying.",
    why="The assignment is stayed only for a reason or by written agreement on another way of paying",
    source="Fam. Code § 5260; form FL-343 item 5b",
    mend="Give the reason and the account, or leave withholding as it is.",
)
def stay_terms(review: Review) -> Iterator[Hit]:
    for role in ROLES:
        support = support_to(review.facts, role)
        stay, path = support.withholding_stay, f"spousal_support.to_{role}"
        if support.outcome not in ("payable", "nominal") or stay is None or not stay.wanted:
            continue
        if stay.reason is None:
            yield Hit(f"{path}.withholding_stay.reason", "No reason.")
        if stay.account is None and support.method not in ("transfer", "direct"):
            yield Hit(f"{path}.withholding_stay.account", "No other way of paying.")


# Property and fees


@rule(
    "filing.listed_twice",
    "warn",
    message="Two entries look like the same item:",
    why="An item that is divided twice, or in two ways, cannot be carried out",
    source="Cal. Rules of Court, rule 5.411(b); form FL-170 item 4a",
    mend="Keep one of them, or tell them apart by label or last_four.",
)
def listed_twice(review: Review) -> Iterator[Hit]:
    known: dict[tuple[str, ...], str] = {}
    entries: list[tuple[str, str, str, str | None, str | None]]
    entries = [(f"assets.{key}", a.kind, a.label, a.last_four, a.institution) for key, a in review.facts.assets.items()]
    entries += [
        (f"debts.{key}", d.kind, d.label or "", d.last_four, d.creditor) for key, d in review.facts.debts.items()
    ]
    for path, kind, label, last_four, firm in entries:
        group = path.split(".")[0]
        marks = [(group, "label", label.casefold())] if label else []
        if last_four:
            marks.append((group, f"number {kind}", f"{last_four.casefold()} {(firm or '').casefold()}"))
        twin = next((known[mark] for mark in marks if mark in known), None)
        if twin:
            yield Hit(path, f"{twin} and {path}.")
        known |= {mark: path for mark in marks if mark not in known}


@rule(
    "filing.nothing_to_divide",
    "warn",
    message="Where there is nothing to divide the paper must say so.",
    why="A form left empty looks unfinished; the words no property or no debts answer it",
    source="forms FL-345 items 1a, 2a, FL-180 item 4m(3), FL-170 item 4a",
    mend="Keep the clauses property.none and debt.none in the paper.",
)
def nothing_to_divide(review: Review) -> Iterator[Hit]:
    facts, answered = review.facts, topics(review)
    shared = [a for a in facts.assets.values() if not a.character.startswith("separate")]
    if not shared and not facts.household.lists and "property.none" not in answered:
        yield Hit("assets", "No property is listed.")
    if not facts.debts and "debts.general" not in answered:
        yield Hit("debts", "No debts are listed.")


@rule(
    "filing.real_property",
    "warn",
    message="Real property needs its address and parcel number.",
    why="The recorder and the form find the land by them",
    source="common practice; form FL-345",
    mend="Give address and parcel_number as on the tax bill.",
)
def real_property(review: Review) -> Iterator[Hit]:
    for key, asset in review.facts.assets.items():
        if asset.kind != "real" or (asset.real and asset.real.use in ("lease", "timeshare")):
            continue
        wanted = {
            "address": asset.real.address if asset.real else None,
            "parcel_number": asset.real.parcel_number if asset.real else None,
        }
        for name, given in wanted.items():
            if given is None:
                yield Hit(f"assets.{key}.real.{name}", f"{asset.label}: {name.replace('_', ' ')}.")


@rule(
    "filing.plan_details",
    "warn",
    message="A divided retirement plan lacks what its order and the forms ask for:",
    why="A plan acts only on its exact name, and the parties argue about the preparer's bill",
    source="forms FL-345 item 1e, FL-318-INFO, FL-348",
    mend="Complete the plan's facts.",
)
def plan_details(review: Review) -> Iterator[Hit]:
    for key in review.figures.divided_plans.keys:
        asset = review.facts.assets[key]
        for name, says in _plan_lacks(asset):
            yield Hit(f"assets.{key}.retirement.{name}", f"{asset.label}: {says}.")


def _plan_lacks(asset: Asset) -> Iterator[tuple[str, str]]:
    plan = asset.retirement
    if plan is None:
        return
    if plan.plan_name is None:
        yield "plan_name", "its exact name"
    if plan.type is None:
        yield "type", "its kind"
    if plan.type not in INDIVIDUAL_ACCOUNTS and plan.order_cost_petitioner_percent is None:
        yield "order_cost_petitioner_percent", "who pays for the order"


@rule(
    "filing.equalization_terms",
    "stop",
    message="The equalizing payment is not complete.",
    why="Without payer, sum and due date it cannot be enforced, and interest has no beginning",
    source="form FL-345 item 3",
    mend="Complete equalization.",
)
def equalization_terms(review: Review) -> Iterator[Hit]:
    due = review.facts.equalization
    if due.mode in (None, "none"):
        return
    if due.payer is None:
        yield Hit("equalization.payer", "No payer.")
    if due.amount is None:
        yield Hit("equalization.amount", "No sum.")
    if due.mode in ("lump", "lump_and_note") and due.due_on is None and due.due_event is None:
        yield Hit("equalization.due_on", "No day or event on which it is due.")
    if due.mode in ("note", "lump_and_note") and due.note is None:
        yield Hit("equalization.note", "No terms of the note.")
    if due.mode in ("retirement", "other_asset") and due.from_asset is None:
        yield Hit("equalization.from_asset", "No plan or asset from which it is paid.")


@rule(
    "filing.fees_outcome",
    "warn",
    message="Say who bears attorney fees and costs.",
    why="The judgment form asks for an answer, and silence invites a later motion",
    source="forms FL-180 item 4n, FL-346",
    mend="Choose fees.plan; for a contribution give payer, amount and due_on.",
)
def fees_outcome(review: Review) -> Iterator[Hit]:
    fees = review.facts.fees
    if fees.plan is None and "fees" not in review.facts.case.petition_relief:
        yield Hit("fees.plan")
    if fees.plan == "contribution":
        wanted = {"payer": fees.payer, "amount": fees.amount, "due_on": fees.due_on or fees.instalments}
        for name, given in wanted.items():
            if given is None:
                yield Hit(f"fees.{name}", f"Missing: {name.replace('_', ' ')}.")


@rule(
    "filing.restored_name",
    "warn",
    message="The former name to be restored needs another look.",
    why="Agencies change their records only to the full name that the judgment prints",
    source="Fam. Code § 2080; form FL-180 item 4f",
    mend="Write the former name in full: first, middle and last.",
)
def restored_name(review: Review) -> Iterator[Hit]:
    for role, one in parties(review.facts):
        if not one.restore_name:
            continue
        path = f"{role}.restore_name"
        if len(one.restore_name.split()) < 2:
            yield Hit(path, f"{one.restore_name} is only part of a name.")
        elif one.restore_name.casefold() == one.name.full.casefold():
            yield Hit(path, "It is the present name.")
