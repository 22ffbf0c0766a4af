"""Rules about taxes, fees, names, beneficiaries, general terms, signing and the negotiation.

Broken references, blanks and protected addresses in the drafted text are the rules of `msadraft.review.wording`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from msadraft.facts import scalars
from msadraft.facts.base import Record
from msadraft.facts.model import Facts
from msadraft.facts.money import Change, DependentClaim
from msadraft.facts.paths import UnknownPathError, field_at, get
from msadraft.facts.people import Party
from msadraft.facts.property import Asset
from msadraft.facts.scalars import PartyRole
from msadraft.library.wording import join_and
from msadraft.review.base import Hit, Review, rule
from msadraft.review.common import ROLES, is_reserved, other, parties, party, support_to, supported
from msadraft.review.grid import regular_shares
from msadraft.review.own_words import denies, own_terms, pattern, sentences, speaks_of
from msadraft.tree import Signature, Text

WAITING = {
    "general.no_date": "a list of every dated duty of the paper; until then sums of money and joint debts are checked",
    "general.product": "nothing that can be listed here: only trade marks and web addresses are found, bare brand names are not",
    "form.stale_map": "the paragraph map that was exported last, beside the present paper",
    "form.pages": "the number of pages, which is known only once the paper is laid out",
    "sign.changed": "the fingerprint of the text that a party signed",
    "negotiation.side_effect": "the draft as it was before the change, to compare the findings",
    "negotiation.silent_drop": "the paper of the last agreed round",
}
"""What cannot be decided yet, wholly or in part, and what it waits for."""

LARGE_GAIN = Decimal("50000.00")
"""From this value on, an untaxed gain is worth a word (our own bound); the gain itself is not among the facts."""

EQUAL_NIGHTS = Decimal("0.5")
"""Percentage points from the half within which nights count as equal: under two nights a year."""


# Taxes


def dependents_matrix(review: Review) -> Mapping[str, Mapping[int, tuple[int, ...]]]:
    """Who claims each child in each year: positions in taxes.dependents, by child and tax year.

    The years run from the first year of a claim for the child (the year of signing, where none is named) to the year in
    which the duty to support the child ends.
    """
    claims, this_year = review.facts.taxes.dependents, review.figures.as_of.year
    matrix: dict[str, dict[int, tuple[int, ...]]] = {}
    for key in supported(review):
        mine = [(n, claim) for n, claim in enumerate(claims) if claim.child == key]
        first = min((claim.from_year or this_year for _, claim in mine), default=this_year)
        last = review.figures.support_ends_on[key].year if key in review.figures.support_ends_on else first
        matrix[key] = {
            year: tuple(n for n, claim in mine if _covers(claim, year)) for year in range(first, max(first, last) + 1)
        }
    return matrix


def _covers(claim: DependentClaim, year: int) -> bool:
    begun = claim.from_year is None or claim.from_year <= year
    return begun and (claim.years == "every" or (claim.years == "even") == (year % 2 == 0))


@rule(
    "tax.both_claim",
    "stop",
    message="Both parents claim the same child in the same year.",
    why="Only one return can claim a child; both would be questioned",
    source="26 U.S.C. § 152",
    mend="Give each child and year to one parent: years: even for one and odd for the other, or every for one alone.",
)
def both_claim(review: Review) -> Iterator[Hit]:
    claims = review.facts.taxes.dependents
    for key, years in dependents_matrix(review).items():
        for year, found in years.items():
            claimants = {claims[n].claimant for n in found}
            if {"petitioner", "respondent"} <= claimants:
                second = next(n for n in found if claims[n].claimant != claims[found[0]].claimant)
                yield Hit(f"taxes.dependents.{second}", f"{review.facts.children[key].name.first}, first in {year}.")
                break


@rule(
    "tax.no_claim",
    "note",
    message="Nobody claims this child in some year.",
    why="The claim then falls to the parent whom the tax law names, and a credit may be lost",
    source="26 U.S.C. § 152",
    mend="Add an entry to taxes.dependents, if one is meant.",
)
def no_claim(review: Review) -> Iterator[Hit]:
    for key, years in dependents_matrix(review).items():
        open_years = [year for year, found in years.items() if not found]
        if open_years:
            yield Hit("taxes.dependents", f"{review.facts.children[key].name.first}, first in {open_years[0]}.")


def _nights_of(facts: Facts, role: PartyRole) -> Decimal | None:
    """A parent's part of the nights in percent: by the plan, else as the guideline run was fed; None if unknown."""
    shares = regular_shares(facts, role)
    if shares is not None:
        return shares[1]
    inputs = facts.child_support.guideline_inputs
    if inputs is None:
        return None
    return inputs.petitioner_time_percent if role == "petitioner" else inputs.respondent_time_percent


def _parent_with_more_nights(facts: Facts) -> PartyRole | None:
    nights = _nights_of(facts, "petitioner")
    if nights is None:
        return facts.parenting.primary_home
    if abs(nights - 50) <= EQUAL_NIGHTS:
        return None
    return "petitioner" if nights > 50 else "respondent"


@rule(
    "tax.release",
    "stop",
    message="The parent with fewer nights claims a child, and no day is set for the signed release.",
    why="That parent's return needs the other parent's signed form; the judgment alone does not do",
    source="26 U.S.C. § 152(e); IRS Form 8332",
    mend="Give taxes.form_release.by, such as February 15.",
)
def release(review: Review) -> Iterator[Hit]:
    given = review.facts.taxes.form_release
    custodial = _parent_with_more_nights(review.facts)
    if custodial is None or (given and given.by):
        return
    for claim in review.facts.taxes.dependents:
        if claim.claimant == other(custodial) and claim.child in supported(review):
            yield Hit("taxes.form_release.by", f"It is needed for {review.facts.children[claim.child].name.first}.")
            return


@rule(
    "tax.nights_tie",
    "warn",
    message="The nights are equal, and nothing says which parent may then claim.",
    why="The tax law then looks to the higher adjusted gross income",
    source="Treas. Reg. § 1.152-4",
    mend="Give taxes.tie_break.",
)
def nights_tie(review: Review) -> Iterator[Hit]:
    nights = _nights_of(review.facts, "petitioner")
    tied = nights is not None and abs(nights - 50) <= EQUAL_NIGHTS
    if supported(review) and tied and review.facts.taxes.tie_break is None:
        yield Hit("taxes.tie_break")


@rule(
    "tax.joint_year",
    "stop",
    message="A joint return is promised for a year at whose end the parties are no longer married.",
    why="Marital status on 31 December decides for the whole year",
    source="26 U.S.C. § 7703 (memory)",
    mend="Set status: separate for that year, or choose a later day for the end of status.",
)
def joint_year(review: Review) -> Iterator[Hit]:
    ended = _known_status_day(review)
    for n, filing in enumerate(review.facts.taxes.filing):
        if filing.status == "joint" and ended and filing.year >= ended.year:
            yield Hit(f"taxes.filing.{n}.status", f"{filing.year}; status ends on {ended}.")


def _known_status_day(review: Review) -> date | None:
    """The day on which status ends, where it does not wait for the entry of judgment."""
    case = review.facts.case
    if case.status_mode == "earliest" and review.figures.earliest_status_on:
        return max(review.figures.earliest_status_on, review.figures.as_of)
    return review.figures.status_on


_INNOCENT = pattern(r"\binnocent[- ]spouse\b|\brelief from joint liability\b|\bsection 6015\b")
_GIVES_UP = pattern(r"\bwaiv|\bgives? up\b|\bgiving up\b|\breleas|\bforgo")


@rule(
    "tax.innocent_waiver",
    "stop",
    message="A term gives up relief from joint tax liability.",
    why="A spouse who did not know of an error needs that relief, and finds out years later",
    source="26 U.S.C. § 6015 (memory)",
    mend="Take the term out.",
)
def innocent_waiver(review: Review) -> Iterator[Hit]:
    for path, sentence in own_terms(review.facts):
        if speaks_of(sentence, _INNOCENT, _GIVES_UP) and not denies(sentence):
            yield Hit(path)


@rule(
    "tax.gain",
    "note",
    message="This item may hold a large gain that was never taxed.",
    why="The party who receives it takes over its tax basis, so equal value is not equal after tax",
    source="26 U.S.C. § 1041 (memory)",
    mend="Look at the tax basis, and set unrealized_gain_noted: yes.",
)
def gain(review: Review) -> Iterator[Hit]:
    for line in review.figures.ledger.counted:
        asset = review.facts.assets.get(line.key) if line.kind == "asset" else None
        if asset and _may_hold_gain(asset) and line.value >= LARGE_GAIN and not asset.unrealized_gain_noted:
            yield Hit(f"assets.{line.key}.unrealized_gain_noted", f"It is {asset.label}.")


def _may_hold_gain(asset: Asset) -> bool:
    if asset.kind == "real":
        return asset.real is None or (asset.real.use != "lease" and asset.real.tax_basis_note is None)
    if asset.kind == "account":
        return asset.account is not None and asset.account.type == "brokerage"
    return asset.kind in ("business", "stock_plan", "crypto", "work")


# Fees, names, beneficiaries


@rule(
    "fees.silent",
    "stop",
    message="The petition asks for attorney fees, and the agreement neither decides them nor keeps them open.",
    why="Every issue of the case must be decided or kept open",
    source="Cal. Rules of Court, rule 5.411(b)",
    mend="Give fees.plan: own, contribution, from_joint or reserved.",
)
def fees_silent(review: Review) -> Iterator[Hit]:
    facts = review.facts
    if "fees" in facts.case.petition_relief and facts.fees.plan is None and not is_reserved(facts, "fees"):
        yield Hit("fees.plan")


@rule(
    "name.new",
    "warn",
    message="Only a birth name or another former name can be restored here.",
    why="A wholly new name needs a proceeding of its own",
    source="Fam. Code § 2080 (memory)",
    mend="Write the former name in full in restore_name, and list it in also_known_as if its first name differs.",
)
def name_new(review: Review) -> Iterator[Hit]:
    for role, one in parties(review.facts):
        doubt = _doubt_about_name(one)
        if doubt:
            yield Hit(f"{role}.restore_name", f"{one.restore_name} {doubt}.")


@rule(
    "name.legal_separation",
    "stop",
    message="A former name is to be restored, but a legal separation restores no name.",
    why="The court restores a name in a dissolution or nullity; spouses who are separated stay married",
    source="Fam. Code § 2080 (memory); form FL-180 item 4f",
    mend="Take restore_name out; the name can be changed in a proceeding of its own.",
)
def name_in_separation(review: Review) -> Iterator[Hit]:
    for role, one in parties(review.facts):
        if one.restore_name and review.facts.case.proceeding == "legal_separation":
            yield Hit(f"{role}.restore_name", f"{one.restore_name}.")


def _doubt_about_name(one: Party) -> str:
    """What speaks against a name being a former one; empty if nothing does."""
    wanted = " ".join((one.restore_name or "").split()).casefold()
    known = {name.casefold() for name in one.also_known_as}
    if not wanted:
        return ""
    if " " not in wanted:
        return "is not a full name"
    if wanted == one.name.full.casefold():
        return "is the present name"
    if not wanted.startswith(f"{one.name.first.casefold()} ") and wanted not in known:
        return "begins with another first name"
    return ""


_SPOUSE = pattern(r"\b(spouse|wife|husband|partner)\b")


@rule(
    "estate.policy",
    "warn",
    message="A policy still names the other party, and nothing says that this is meant.",
    why="The law may cancel the designation, or the insurer may pay it all the same; neither should happen by chance",
    source="Prob. Code § 5040; Egelhoff v. Egelhoff (2001) 532 U.S. 141 (memory)",
    mend="Change the beneficiary, or list the policy in estate.kept_designations.",
)
def policy_beneficiary(review: Review) -> Iterator[Hit]:
    kept = {designation.asset for designation in review.facts.estate.kept_designations}
    for key, asset in review.facts.assets.items():
        policy = asset.policy
        if policy is None or policy.beneficiary is None or key in kept:
            continue
        owner = policy.owner or policy.insured
        names = [party(review.facts, role).name for role in ROLES if role != owner]
        said = policy.beneficiary.casefold()
        named = any(form.casefold() in said for name in names for form in (name.full, f"{name.first} {name.last}"))
        if named or _SPOUSE.search(said):
            yield Hit(f"assets.{key}.policy.beneficiary", f"{policy.beneficiary}, on {asset.label}.")


@rule(
    "estate.waiver_open",
    "warn",
    message="Nothing says whether the parties give up rights in each other's estate.",
    why="Until status ends, or after a legal separation, a spouse can inherit; silence leaves that to chance",
    source="Prob. Code §§ 140-147 (memory)",
    mend="Give estate.waiver: mutual, one_way or none.",
)
def waiver_open(review: Review) -> Iterator[Hit]:
    estate = review.facts.estate
    if estate.waiver is None:
        yield Hit("estate.waiver")
    elif estate.waiver == "one_way" and estate.waiving_party is None:
        yield Hit("estate.waiving_party", "Only one party gives them up; say which.")


# General terms


@rule(
    "general.merger",
    "warn",
    message="Nothing says whether the agreement merges into the judgment.",
    why="Merger decides whether a term is enforced as an order, as a contract, or as both",
    source="Flynn v. Flynn (1954) 42 Cal.2d 55 (memory)",
    mend="Give case.merger: merge_all, incorporate_no_merge or support_merges_only.",
)
def merger(review: Review) -> Iterator[Hit]:
    if review.facts.case.merger is None:
        yield Hit("case.merger")


@rule(
    "general.mediation_words",
    "stop",
    message="The agreement was mediated, and the parties have not said that it is binding and may be shown to a court.",
    why="Without these words it is confidential, and no court can read it",
    source="Evid. Code § 1123; Fair v. Bakhtiari (2006) 40 Cal.4th 189",
    mend="Set case.mediation_admissible: yes, if both want that.",
)
def mediation_words(review: Review) -> Iterator[Hit]:
    if review.facts.case.mediated and not review.facts.case.mediation_admissible:
        yield Hit("case.mediation_admissible")


_REQUEST = pattern(r"\b(ask|request|move)\w*\b[^.]*\bcourt\b")


@rule(
    "general.retain_request",
    "warn",
    message="The paper keeps the court's power to enforce, but does not ask the court itself for it.",
    why="The power is kept only if the parties ask the court while the case is open",
    source="Code Civ. Proc. § 664.6; Wackeen v. Malis (2002) 97 Cal.App.4th 429",
    mend="Put the request back into the paragraph on the court's continuing power.",
)
def retain_request(review: Review) -> Iterator[Hit]:
    said = review.text_of("general.enforcement_reserve")
    if said and not _REQUEST.search(said):
        yield Hit("")


_SEVERABLE = pattern(r"\bseverab|\b(cannot be enforced|unenforceable|invalid|void)\b")
_BUNDLED = pattern(r"\bstands? or falls?\b|\bfalls? together\b|\bgiven for each other\b|\bneed not be performed\b")


@rule(
    "general.trade_unbundled",
    "warn",
    message="The agreement rests on a trade, and a term keeps one half of it alive if the other falls.",
    why="Courts enforce the words as they stand",
    source="In re Marriage of Hibbard (2013) 212 Cal.App.4th 1007",
    mend="Take the term out, or list the trade in case.traded_terms and keep the paragraph on promises given for each other.",
)
def trade_unbundled(review: Review) -> Iterator[Hit]:
    facts = review.facts
    trades = ["equalization.unequal"] if facts.equalization.unequal else []
    trades += [f"spousal_support.to_{role}.buy_out" for role in ROLES if support_to(facts, role).buy_out]
    trades += ["case.traded_terms"] if facts.case.traded_terms else []
    if not trades:
        return
    said = review.text_of("general.construction")
    if said and _SEVERABLE.search(said) and not _BUNDLED.search(said):
        yield Hit(trades[0])
    for path, sentence in own_terms(facts):
        if path.startswith("case.special_terms") and _SEVERABLE.search(sentence) and not _BUNDLED.search(sentence):
            yield Hit(path)


_ADVICE = pattern(
    r"\b(had|has had|received|has received|obtained|got|was given|been given)\b[^.]*\badvice\b|\badvised by\b|\bafter advice\b"
)


@rule(
    "general.advice_recital",
    "stop",
    message="The text says that a party had legal advice, and the facts say otherwise.",
    why="A false recital helps nobody, and is used to set the agreement aside",
    source="In re Marriage of Burkle (2006) 139 Cal.App.4th 712 (memory); Fam. Code § 2122",
    mend="Let the party be advised and set independent_advice.had: yes, or take the words out.",
)
def advice_recital(review: Review) -> Iterator[Hit]:
    for role, one in parties(review.facts):
        advice, path = one.independent_advice, f"{role}.independent_advice.had"
        convicted = party(review.facts, other(role)).violence_conviction is not None
        given_up = convicted and support_to(review.facts, other(role)).conviction_rule == "waived"
        if given_up and not (advice and advice.had):
            yield Hit(path, "The paper says that the benefit of a law is given up after advice.")
        if advice is None or advice.had is not False:
            continue
        if advice.by or advice.on:
            yield Hit(path, "It is no, but who gave it or when is filled in.")
        both = pattern(rf"\b({re.escape(one.name.first)}|{role}|each party|both parties|the parties)\b")
        for block in review.blocks:
            said = review.words(block)
            if _ADVICE.search(said) and any(speaks_of(s, _ADVICE, both) and not denies(s) for s in sentences(said)):
                yield Hit(path, f"Paragraph {review.numbering[block.id].full}.")


@rule(
    "general.language",
    "stop",
    message="A party reads another language than English, and no interpreter or translator is named.",
    why="A party is bound by what that party could understand",
    source="common practice; Fam. Code § 2122(e)",
    mend="Give interpreter with name, language and mode.",
)
def language(review: Review) -> Iterator[Hit]:
    for role, one in parties(review.facts):
        if one.language.casefold() != "english" and one.interpreter is None:
            yield Hit(f"{role}.interpreter", f"{one.name.first} reads {one.language}.")


@rule(
    "general.capacity",
    "stop",
    message="This party may need a guardian, or counsel, before signing.",
    why="An agreement of a party without capacity can be set aside",
    source="Fam. Code § 2122(d)",
    mend="See a lawyer about a guardian for this case; take capacity_issue out once it is settled.",
)
def capacity(review: Review) -> Iterator[Hit]:
    for role, one in parties(review.facts):
        if one.capacity_issue is not None:
            yield Hit(f"{role}.capacity_issue", f"It is {one.name.first}.")


@rule(
    "general.stay",
    "stop",
    message="A bankruptcy stay is in force, and the agreement divides property.",
    why="An act against property of the estate while the stay is in force is void",
    source="11 U.S.C. § 362 (memory)",
    mend="Have the stay lifted first, or wait until it ends; then set bankruptcy.stay: no.",
)
def stay(review: Review) -> Iterator[Hit]:
    for role, one in parties(review.facts):
        if one.bankruptcy and one.bankruptcy.stay and review.figures.has_community_property:
            yield Hit(f"{role}.bankruptcy.stay", f"It is {one.name.first}'s case.")


_RELEASE = pattern(r"\breleas|\bgives? up\b|\bwaiv")
_INJURY = pattern(r"\binjur|\btorts?\b|\bassault|\bbatter|\babuse\b")


@rule(
    "general.dv_release",
    "stop",
    message="There are signs of violence, and the release reaches claims for injury.",
    why="Such claims should not be given up without advice from a lawyer who knows them",
    source="common practice",
    mend="Leave claims for injury and abuse out of the release.",
)
def dv_release(review: Review) -> Iterator[Hit]:
    if not review.figures.violence:
        return
    said = review.text_of("general.release")
    if said and not _INJURY.search(said):
        yield Hit("case.release_scope", "The paragraph on the release does not leave them out.")
    for path, sentence in own_terms(review.facts):
        if speaks_of(sentence, _RELEASE, _INJURY) and not denies(sentence):
            yield Hit(path)


_PROTECTIVE_ORDER = pattern(r"\b(protective|restraining)\b[^.]*\border")
_ENDS_ORDER = pattern(
    r"\bdismiss|\bdrop|\bend(s|ed)?\b|\bterminat|\bwithdr|\bgives? up\b|\bvacat|\blift|\bset aside\b|\bdissol"
)
_LETS_LAPSE = pattern(r"\bnot (to )?(renew|extend|enforce)|\blet\w* [^.]*\b(lapse|expire)")


@rule(
    "general.order_trade",
    "stop",
    message="A term ends a protective order, or trades it for something.",
    why="Safety is for the court that made the order and cannot be bargained for",
    source="common practice",
    mend="Take the term out; a change of the order is asked for in its own case.",
)
def order_trade(review: Review) -> Iterator[Hit]:
    for path, sentence in own_terms(review.facts):
        traded = path.startswith("case.traded_terms")
        ended = _LETS_LAPSE.search(sentence) or (_ENDS_ORDER.search(sentence) and not denies(sentence))
        if _PROTECTIVE_ORDER.search(sentence) and (traded or ended):
            yield Hit(path)


_LISTENERS = (
    r"(police|law enforcement|sheriff|prosecutor|court|judge|child (welfare|protective)|doctor|physician|therapist"
    r"|tax (authorit|agenc)|agency)"
)
_REPORTS = pattern(rf"\b({_LISTENERS}|abuse|violence|crime|criminal|testif|subpoena)")
_TELLS = pattern(
    rf"\b(report|talk|speak|complain|disclos|discuss|reveal)\w*\b[^.]*\b(to|with)\b[^.]*\b{_LISTENERS}"
    rf"|\b(call|contact|tell|inform|notify)\w* (the |any |a )?{_LISTENERS}|\btestif|\breport\w*\b[^.]*\b(abuse|violence|crime)\b"
)
_FORBIDS = pattern(
    r"\b(shall|may|will|must) (not|never)\b|\bneither\b|\bno party\b|\bpromises? not to\b|\bagrees? not to\b"
)
_ALLOWS = pattern(r"\bexcept|\bdoes not (limit|apply|reach)|\bnothing\b|\bother than\b|\bunless\b")


@rule(
    "general.gag",
    "stop",
    message="A promise of privacy limits what a party may tell the police, a court, a doctor or an agency.",
    why="Such a limit is against public policy",
    source="public policy (memory)",
    mend="Say in confidentiality.covers what is private in money matters only, and leave reports free.",
)
def gag(review: Review) -> Iterator[Hit]:
    promise = review.facts.confidentiality
    if promise.wanted and promise.covers and _REPORTS.search(promise.covers) and not _ALLOWS.search(promise.covers):
        yield Hit("confidentiality.covers")
    said = review.text_of("general.privacy")
    if promise.wanted and said and not _REPORTS.search(said):
        yield Hit("confidentiality.wanted", "The paragraph on privacy does not leave reports free.")
    for path, sentence in own_terms(review.facts):
        if speaks_of(sentence, _TELLS, _FORBIDS) and not _ALLOWS.search(sentence):
            yield Hit(path)


@rule(
    "general.no_date",
    "warn",
    message="This duty has no day on which it is due.",
    why="A duty without a day cannot be enforced",
    source="common practice",
    mend="Give the day, or the event with a last day.",
)
def no_date(review: Review) -> Iterator[Hit]:
    facts = review.facts
    equal = facts.equalization
    if equal.mode in ("lump", "lump_and_note") and equal.due_on is None:
        yield Hit(
            "equalization.due_on",
            "The equalizing payment has no last day." if equal.due_event else "The equalizing payment.",
        )
    if facts.fees.plan == "contribution" and facts.fees.due_on is None and facts.fees.instalments is None:
        yield Hit("fees.due_on", "The contribution to attorney fees.")
    for role in ROLES:
        support, path = support_to(facts, role), f"spousal_support.to_{role}"
        if support.lump_sum and support.lump_sum.due_on is None and support.lump_sum.instalments is None:
            yield Hit(f"{path}.lump_sum.due_on", "The sum of support.")
        if support.buy_out and support.buy_out.due_on is None:
            yield Hit(f"{path}.buy_out.due_on", "What is given in place of support.")
    for key, debt in facts.debts.items():
        dated = debt.pay_by or debt.pay_rule or debt.close_by
        if debt.obligors == "both" and debt.assigned_to in (*ROLES, "split") and not dated:
            yield Hit(f"debts.{key}.pay_by", f"The debt is {debt.label or debt.creditor or key}.")


_PLACEHOLDER = pattern(
    r"\[[^\]]*\]|_{3,}|\?{2,}|\bT\.?B\.?D\b\.?|\bto be filled in\b|\bto be (determined|decided)[.;]?$|\bx{3,}\b|\blorem\b"
)


@rule(
    "general.placeholder",
    "stop",
    message="A place to be filled in stands in the text.",
    why="A blank in a signed agreement leaves the term open",
    source="common practice",
    mend="Write what is meant, or take the fact out.",
)
def placeholder(review: Review) -> Iterator[Hit]:
    for path, text in review.own_words:
        found = _PLACEHOLDER.search(text)
        if found:
            yield Hit(path, f"It says {found.group()!r}.")


_BRAND = pattern(r"[®™]|\bhttps?://|\bwww\.|(?<![@\w.-])[\w-]+\.(com|app|io|net|org)\b")
_ORDER_TERMS = ("parenting.", "child_support.", "spousal_support.", "case.special_terms.", "case.traded_terms.")


@rule(
    "general.product",
    "warn",
    message="A trade mark or web address stands in a term that becomes an order.",
    why="Products change their names and terms, and an order should not depend on one",
    source="common practice",
    mend="Describe what the thing does, such as a shared calendar that keeps its history.",
)
def product(review: Review) -> Iterator[Hit]:
    for path, text in review.own_words:
        found = _BRAND.search(text) if path.startswith(_ORDER_TERMS) else None
        if found:
            yield Hit(path, f"It says {found.group()!r}.")


# Signing


def _signatures(review: Review) -> list[tuple[Signature, str]]:
    """Every place to sign, with the name under the line."""
    return [
        (block, "".join(piece.text for piece in block.name if isinstance(piece, Text)))
        for block in review.blocks
        if isinstance(block, Signature)
    ]


@rule(
    "general.attorney_only",
    "stop",
    message="There is no line on which this party signs in person.",
    why="In family cases an attorney's signature cannot stand in for the party's own",
    source="Code Civ. Proc. § 664.6(c)",
    mend="Put the party's own signature line back into the paper.",
)
def attorney_only(review: Review) -> Iterator[Hit]:
    lines = _signatures(review)
    for role, one in parties(review.facts):
        if lines and not any(name == one.name.full for _, name in lines):
            yield Hit(f"{role}.name", f"{one.name.full}.")


@rule(
    "sign.undated",
    "stop",
    message="A place to sign has no line for the date.",
    why="The order of signing and disclosure is shown by the dates",
    source="Cal. Rules of Court, rule 5.411",
    mend="Add a date line to the signature block of that clause.",
)
def undated(review: Review) -> Iterator[Hit]:
    for block, name in _signatures(review):
        if not any("date" in line.casefold() for line in block.lines):
            yield Hit("", f"It is the line of {name or block.id}.")


@rule(
    "sign.approval",
    "stop",
    message="A party has an attorney of record, and the attorney's approval line is missing.",
    why="The court wants the attorney's signature on a stipulated judgment and its agreement",
    source="Cal. Rules of Court, rule 5.411(a)",
    mend="Give the attorney's name, and keep the paragraph on approval in the paper.",
)
def approval(review: Review) -> Iterator[Hit]:
    lines = _signatures(review)
    for role, one in parties(review.facts):
        if one.representation != "attorney":
            continue
        name = one.attorney.name if one.attorney else None
        if name is None or (lines and not any(found == name for _, found in lines)):
            yield Hit(f"{role}.attorney.name", f"{one.name.first}'s attorney.")


PREPARER_DETAILS = ("name", "address", "phone", "registration", "county", "expires_on")


@rule(
    "sign.preparer",
    "stop",
    message="A legal document assistant prepares the paper, and the assistant's details are not complete.",
    why="They must stand on every paper that the assistant prepares",
    source="Bus. & Prof. Code § 6408",
    mend="Fill in case.preparer_block.",
)
def preparer(review: Review) -> Iterator[Hit]:
    case = review.facts.case
    if case.drafted_by != "document_assistant":
        return
    missing = [name for name in PREPARER_DETAILS if getattr(case.preparer_block, name, None) is None]
    if missing:
        yield Hit(
            f"case.preparer_block.{missing[0]}", f"Missing: {join_and([name.replace('_', ' ') for name in missing])}."
        )


@rule(
    "sign.early",
    "warn",
    message="A party signed before both sides' disclosures were there.",
    why="Disclosure comes before or with signing; an agreement signed without it is easier to set aside",
    source="Fam. Code § 2105",
    mend="Sign again after the disclosures, or correct the days.",
)
def early(review: Review) -> Iterator[Hit]:
    for role, one in parties(review.facts):
        late = [
            f"{whose.name.first}'s {what} disclosure"
            for _, whose in parties(review.facts)
            for what, days in _disclosure_days(whose).items()
            if one.signed_on and not any(day and day <= one.signed_on for day in days)
        ]
        if late:
            yield Hit(f"{role}.signed_on", f"Not there on {one.signed_on}: {join_and(late)}.")


def _disclosure_days(one: Party) -> Mapping[str, tuple[date | None, ...]]:
    """The days on any of which a disclosure was served, excused, or given up in the form of the law."""
    given = one.disclosure
    waived = given.final_waived.signed_on if given.final_waived else None
    return {
        "first": (given.preliminary_served_on, given.preliminary_excused_on),
        "final": (given.final_served_on, given.final_excused_on, waived),
    }


# The negotiation


@rule(
    "negotiation.open_offer",
    "stop",
    message="The paper holds a change that the other side has not accepted.",
    why="What only one side wants must not be printed in a paper to be signed",
    source="common practice",
    mend="Set the change's status to accepted once it is, or put the old value back.",
)
def open_offer(review: Review) -> Iterator[Hit]:
    changes = review.facts.negotiation.changes
    agreed = {(change.path, change.new) for change in changes if change.status == "accepted"}
    for n, change in enumerate(changes):
        if change.status != "accepted" and (change.path, change.new) not in agreed and _is_merged(review.facts, change):
            yield Hit(
                f"negotiation.changes.{n}.status", f"{change.path}, {change.status} by {change.by or 'one side'}."
            )


def _is_merged(facts: Facts, change: Change) -> bool:
    """Whether the fact now holds what the change wants. Groups of facts cannot be compared: if given, they count as merged."""
    try:
        value, field = get(facts, change.path), field_at(change.path)
    except UnknownPathError:
        return False
    if change.new is None or value is None:
        return change.new is None and value is None
    if isinstance(value, tuple) and not any(isinstance(item, Record) for item in value):
        wanted = [part.strip() for part in change.new.strip("[]").split(",")]
        return wanted == [str(item) for item in value]
    if field.shape.form != "value":
        return True
    return bool(_read(field.shape.reader, change.new) == value)


def _read(reader: str, text: str) -> Any:
    """A written value as its fact would hold it; the text itself where that fails."""
    if reader == "choice":
        return text
    try:
        return getattr(scalars, f"read_{reader}")(text)
    except ValueError:
        return text
