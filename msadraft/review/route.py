"""Rules about the route to judgment, marital status, the list of issues, and disclosure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import NamedTuple

from msadraft.facts.case import Issue, Relief
from msadraft.facts.property import Asset
from msadraft.figures.marriage_length import SUMMARY_LONGEST_MONTHS
from msadraft.review.base import Hit, Review, rule
from msadraft.review.belongings import INDIVIDUAL_ACCOUNTS
from msadraft.review.common import (
    ROLES,
    counting,
    custody_decided,
    has_attorney,
    is_reserved,
    parties,
    signing_day,
    support_to,
    supported,
)

WAITING = {
    "ledger.form_mismatch": "the worksheets of the judgment packet: what is to be set on each form item",
    "path.joint_motion": "a fact that says a request for order or a separate pleading is planned",
    "status.cover_lost": "a fact that says one spouse is covered by the other's health plan",
    "disclosure.schedule_gap": "the items of each party's schedule of assets and debts",
}
"""Rules that cannot be decided yet, and what each waits for."""

SUMMARY_LARGEST_DEBTS = Decimal("4000.00")
SUMMARY_LARGEST_ASSETS = Decimal("25000.00")
"""Fam. Code § 2400(a)(6), (7) before the adjustment of (b), which raises them (memory); cars do not count."""

CHILD_SUPPORT = tuple(f"child_support.{mode}" for mode in ("guideline", "above", "below", "zero"))
SPOUSAL_SUPPORT = tuple(
    f"spousal_support.{outcome}"
    for outcome in ("term", "open_ended", "nominal", "stepdown", "lump_sum", "buyout", "reserved", "waived")
)
NEAR_YEAR_END = timedelta(days=45)
INCOME_DECLARATION_DAYS = timedelta(days=90)


# The list of issues


class _Issue(NamedTuple):
    """One issue that the paper must decide or keep open: where it is decided, and by which clauses."""

    name: str
    path: str
    raised: bool
    clauses: tuple[str, ...]
    reserved_as: tuple[Issue, ...] = ()


def _issues(review: Review) -> Iterator[_Issue]:
    facts = review.facts
    case = facts.case
    ends_status = case.proceeding == "dissolution" and case.status_mode not in ("already_ended", "not_ended")
    yield _Issue("marital status", "case.status_mode", ends_status, ("juris.status_date", "juris.bifurcated_status"))
    plan, raised = facts.parenting, custody_decided(review)
    legal = ("custody.legal.joint", "custody.legal.sole")
    yield _Issue("legal custody", "parenting.legal_custody", raised and plan.legal_custody is not None, legal)
    physical = raised and plan.physical_custody is not None
    yield _Issue("physical custody", "parenting.physical_custody", physical, ("custody.physical",))
    schedule = raised and (plan.pattern is not None or bool(plan.groups))
    yield _Issue("parenting time", "parenting.pattern", schedule, ("custody.schedule.",))
    mode = facts.child_support.mode if supported(review) else None
    yield _Issue("child support", "child_support.mode", mode not in (None, "reserved"), CHILD_SUPPORT)
    for role in ROLES:
        decided = support_to(facts, role).outcome is not None
        path = f"spousal_support.to_{role}.outcome"
        yield _Issue(f"spousal support to the {role}", path, decided, tuple(f"{id}:{role}" for id in SPOUSAL_SUPPORT))
    owned = review.figures.has_community_property
    yield _Issue("property", "assets", owned, ("property.",), ("property",))
    yield _Issue("debts", "debts", bool(facts.debts), ("debt.",), ("debts",))
    yield _Issue("fees and costs", "fees.plan", facts.fees.plan is not None, ("fees.allocation",), ("fees",))
    for role, one in parties(facts):
        yield _Issue("former name", f"{role}.restore_name", one.restore_name is not None, ("name.restore",))
    asked = "other" in case.petition_relief and not facts.child_support.adult
    yield _Issue("other relief asked for", "case.special_terms", asked, ("special_terms",), ("other",))


def _answered(review: Review, issue: _Issue) -> bool:
    if is_reserved(review.facts, *issue.reserved_as):
        return True
    if issue.clauses == ("special_terms",):
        return any(entry.endswith(".special_terms") for entry in review.present)
    return any(entry.startswith(name) for entry in review.present for name in issue.clauses)


@rule(
    "ledger.issue_open",
    "stop",
    message="This issue was raised, but the agreement neither decides it nor keeps it open:",
    why="A judgment by agreement must dispose of every matter on which the court is asked to rule, or reserve it",
    source="Cal. Rules of Court, rules 5.401(c), 5.411(b)",
    mend="Decide it, or list it under case.reserved_issues.",
)
def issue_open(review: Review) -> Iterator[Hit]:
    for issue in _issues(review):
        if issue.raised and not _answered(review, issue):
            yield Hit(issue.path, f"{issue.name}.")


# The default route


def _relief_given(review: Review) -> Iterator[tuple[str, tuple[Relief, ...], str]]:
    """What the agreement orders, the relief of the petition that covers it (any one), and what it is called."""
    facts = review.facts
    if custody_decided(review) and facts.parenting.legal_custody:
        yield "parenting.legal_custody", ("custody", "visitation"), "custody and parenting time"
    if supported(review) and facts.child_support.mode not in (None, "reserved"):
        # The petition form says in print that support of the children may be ordered (FL-100, from memory).
        yield "child_support.mode", ("child_support", "custody", "visitation"), "child support"
    for n, _ in enumerate(facts.child_support.adult):
        yield f"child_support.adult.{n}.amount", ("child_support", "other"), "support for an adult child"
    for role in ROLES:
        path, outcome = f"spousal_support.to_{role}.outcome", support_to(facts, role).outcome
        if outcome in ("payable", "nominal"):
            asked: Relief = "spousal_support_to_petitioner" if role == "petitioner" else "spousal_support_to_respondent"
            yield path, (asked,), f"spousal support to the {role}"
        elif outcome in ("terminated", "waived"):
            end: Relief = (
                "end_spousal_support_to_petitioner" if role == "petitioner" else "end_spousal_support_to_respondent"
            )
            yield path, (end,), f"an end to spousal support for the {role}"
    figures = review.figures
    if figures.has_community_property:
        yield "assets" if facts.assets else "debts", ("divide_property",), "a division of property and debts"
    if figures.separate_of_petitioner.keys or figures.separate_of_respondent.keys:
        yield "assets", ("confirm_separate_property",), "a confirmation of separate property"
    if facts.fees.plan == "contribution":
        yield "fees.plan", ("fees",), "a contribution to fees"


@rule(
    "path.default_exceeds",
    "stop",
    message="In a default case the judgment cannot give what the petition did not ask for.",
    why="The respondent stayed away on the strength of what the petition said",
    source="Code Civ. Proc. § 580; Burtnett v. King (1949) 33 Cal.2d 805; In re Marriage of Lippel (1990) 51 Cal.3d 1160 (memory)",
    mend="Amend the petition and serve it again, or have the respondent appear (case.path: appearance_waiver); then bring case.petition_relief up to date.",
)
def default_exceeds(review: Review) -> Iterator[Hit]:
    if not review.figures.default_path:
        return
    asked = review.facts.case.petition_relief
    for path, covering, name in _relief_given(review):
        if not any(entry in asked for entry in covering):
            yield Hit(
                path, f"The {'judgment would give' if review.figures.true_default else 'agreement gives'} {name}."
            )


@rule(
    "path.default_asset_unlisted",
    "stop",
    message="This item was never listed in the petition papers that were served on the respondent:",
    why="A default judgment may divide only what the respondent was told would be divided",
    source="In re Marriage of Andresen (1994) 28 Cal.App.4th 873; In re Marriage of Eustice (2015) 242 Cal.App.4th 1291",
    mend="Amend the petition and serve it again, or have the respondent appear; then list the item under case.petition_assets_listed or case.petition_debts_listed.",
)
def default_asset_unlisted(review: Review) -> Iterator[Hit]:
    facts = review.facts
    if not review.figures.default_path:
        return
    for key, asset in facts.assets.items():
        awarded = asset.goes_to not in (None, "reserved", "child") or asset.character.startswith("separate")
        if awarded and key not in facts.case.petition_assets_listed:
            yield Hit(f"assets.{key}.goes_to", f"{asset.label}.")
    for key, debt in facts.debts.items():
        if debt.assigned_to and key not in facts.case.petition_debts_listed:
            yield Hit(f"debts.{key}.assigned_to", f"{debt.label or debt.creditor or key}.")


@rule(
    "path.default_early",
    "stop",
    message="Default was taken before the time to respond ran out.",
    why="The respondent has 30 full days from completed service, and longer if the last of them is a court holiday",
    source="Fam. Code § 2020; Code Civ. Proc. § 412.20 (memory)",
    mend="Correct case.served_on or case.default_entered_on; if both are right, a new default is needed.",
)
def default_early(review: Review) -> Iterator[Hit]:
    entered, first = review.facts.case.default_entered_on, review.figures.earliest_default_on
    if review.figures.default_path and entered and first and entered < first:
        yield Hit(
            "case.default_entered_on",
            f"Entered {entered}; the first day was {first}.{counting(review.figures.dates.default_from)}",
        )


@rule(
    "path.default_not_notarised",
    "stop",
    message="The spouse who did not respond must sign before a notary.",
    why="The clerk cannot otherwise know that the absent spouse really agreed",
    source="Fam. Code § 2338.5(a); form FL-182",
    mend="Arrange a notary for the respondent and set respondent.notarized to yes, or have the respondent appear.",
)
def default_not_notarised(review: Review) -> Iterator[Hit]:
    if review.figures.default_path and not review.facts.respondent.notarized:
        yield Hit("respondent.notarized")


@rule(
    "path.default_missing_income",
    "stop",
    message="A default request in a case about support or fees needs the petitioner's income declaration.",
    why="The request for default is not complete without it where the petition demands support, costs or fees",
    source="Cal. Rules of Court, rule 5.402(a)",
    mend="Complete an Income and Expense Declaration (FL-150) and give its date.",
)
def default_missing_income(review: Review) -> Iterator[Hit]:
    money: tuple[Relief, ...] = (
        "child_support", "spousal_support_to_petitioner", "spousal_support_to_respondent", "fees",
    )  # fmt: skip
    facts = review.facts
    asked = any(entry in facts.case.petition_relief for entry in money)
    if review.figures.default_path and asked and not facts.petitioner.disclosure.income_declaration_on:
        yield Hit("petitioner.disclosure.income_declaration_on")


@rule(
    "path.default_disclosure_shortcut",
    "stop",
    message="Final disclosure was skipped by the petitioner alone, but a judgment on an agreement is not a plain default.",
    why="The petitioner's own waiver of final disclosure serves only a default judgment without an agreement",
    source="Fam. Code §§ 2101(b) (memory), 2105, 2110",
    mend="Let both parties serve final disclosure, or both sign the waiver (FL-144).",
)
def default_disclosure_shortcut(review: Review) -> Iterator[Hit]:
    if review.figures.default_path and _only_petitioner_waives(review):
        yield Hit("respondent.disclosure.final_waived")


def _only_petitioner_waives(review: Review) -> bool:
    mine, theirs = review.facts.petitioner.disclosure, review.facts.respondent.disclosure
    return mine.final_waived is not None and theirs.final_waived is None and theirs.final_served_on is None


@rule(
    "path.default_service_member",
    "stop",
    message="A default against a member of the armed forces in active service needs federal protections first.",
    why="The court must appoint an attorney and may have to wait before it enters a judgment",
    source="50 U.S.C. § 3931 (memory); form FL-165",
    mend="Have the respondent appear (FL-130 with FL-130(A)), or take advice before going on.",
)
def default_service_member(review: Review) -> Iterator[Hit]:
    if review.figures.default_path and review.facts.respondent.military == "active":
        yield Hit("respondent.military")


# Other routes


@rule(
    "path.no_appearance",
    "stop",
    message="The respondent has not come into the case yet.",
    why="An uncontested judgment rests on a response, or on an appearance with its waivers",
    source="Cal. Rules of Court, rule 5.401; forms FL-130, FL-182",
    mend="Give the day on which the response or the appearance was filed, or choose another case.path.",
)
def no_appearance(review: Review) -> Iterator[Hit]:
    case = review.facts.case
    if case.path in ("response_filed", "appearance_waiver") and not (case.response_filed_on or case.appearance_on):
        yield Hit("case.response_filed_on" if case.path == "response_filed" else "case.appearance_on")


@rule(
    "path.summary_possible",
    "note",
    message="These spouses may qualify for the shorter summary process.",
    why="It needs fewer papers, if both also give up spousal support and meet every other condition on the filing day",
    source="Fam. Code § 2400 (amounts from memory, before their adjustment)",
    mend="Nothing to change; compare the conditions and the current limits in the court's summary dissolution booklet (FL-810).",
)
def summary_possible(review: Review) -> Iterator[Hit]:
    facts, figures = review.facts, review.figures
    if facts.case.proceeding != "dissolution" or figures.children_of_both.keys:
        return
    if figures.marriage.months > SUMMARY_LONGEST_MONTHS:
        return
    if figures.marriage.months == SUMMARY_LONGEST_MONTHS and figures.marriage.days:
        return
    if any(a.kind == "real" and not (a.real and a.real.use == "lease") for a in facts.assets.values()):
        return
    owned = {"community": Decimal(0), "petitioner": Decimal(0), "respondent": Decimal(0)}
    for asset in facts.assets.values():
        if asset.kind in ("vehicle", "animal", "household"):
            continue
        if asset.value is None:
            return
        owned[asset.character.removeprefix("separate_") if asset.character.startswith("separate") else "community"] += (
            asset.value - (asset.owing or 0)
        )
    debts = [
        d for d in facts.debts.values() if d.kind != "auto" and not _before(d.incurred_on, figures.marriage_starts_on)
    ]
    if any(d.owing is None for d in debts) or sum((d.owing or 0 for d in debts), Decimal(0)) > SUMMARY_LARGEST_DEBTS:
        return
    if max(owned.values()) < SUMMARY_LARGEST_ASSETS:
        yield Hit("marriage.separated_on")


def _before(day: date | None, limit: date) -> bool:
    return day is not None and day < limit


@rule(
    "path.local_notary",
    "stop",
    message="This county wants notarized or court-witnessed signatures from a spouse without an attorney.",
    why="The packet comes back if the signature is not acknowledged as the local rule asks",
    source="local rule, such as Santa Clara County Superior Court, Local Family Rule 8 B(3)",
    mend="Arrange a notary, or sign in court, and set notarized to yes; if the county does not ask for it, take notary out of case.local_requirements.",
)
def local_notary(review: Review) -> Iterator[Hit]:
    facts = review.facts
    if "notary" not in facts.case.local_requirements:
        return
    for role, one in parties(facts):
        refused = one.notarized is False or (one.signed_on is not None and not one.notarized)
        by_other_rule = review.figures.default_path and role == "respondent"
        if refused and not has_attorney(one) and not by_other_rule:
            yield Hit(f"{role}.notarized")


@rule(
    "path.separation_status",
    "stop",
    message="A legal separation does not end the marriage, but the agreement sets an end of marital status.",
    why="The judgment of legal separation leaves the parties married",
    source="Fam. Code § 2310 (memory)",
    mend="Set case.status_mode to not_ended and take the status date out, or change case.proceeding.",
)
def separation_status(review: Review) -> Iterator[Hit]:
    case = review.facts.case
    if case.proceeding != "legal_separation":
        return
    if case.status_on or case.status_ended_on:
        yield Hit("case.status_on" if case.status_on else "case.status_ended_on")
    elif case.status_mode in ("on_date", "earliest", "already_ended") or "juris.status_date" in review.present:
        yield Hit("case.status_mode")


@rule(
    "path.residence",
    "stop",
    message="No spouse is known to have met the residence rule when the petition was filed.",
    why="A California court can end a marriage only if one spouse lived six months in the state and three in the county",
    source="Fam. Code § 2320 (memory)",
    mend="Complete case.residence; if neither spouse met it, choose legal separation until one does.",
)
def residence(review: Review) -> Iterator[Hit]:
    case = review.facts.case
    # Partners who registered in California may always ask its courts (Fam. Code § 299(d), memory).
    if case.proceeding != "dissolution" or case.relationship == "partnership":
        return
    lived = case.residence
    if lived is None:
        yield Hit("case.residence")
        return
    months = (
        (lived.petitioner_months_in_state, lived.petitioner_months_in_county),
        (lived.respondent_months_in_state, lived.respondent_months_in_county),
    )
    if not any((state or 0) >= 6 and (county or 0) >= 3 for state, county in months):
        yield Hit("case.residence")


@rule(
    "path.other_court",
    "stop",
    message="Another court may already control custody; this agreement may not be able to.",
    why="A juvenile, probate or out-of-state custody case can take priority over the family court",
    source="Fam. Code § 3426; Welf. & Inst. Code § 304 (memory)",
    mend="Ask that court first; leave custody open (case.reserved_issues) until it has let go, or take the case out once it has ended.",
)
def other_court(review: Review) -> Iterator[Hit]:
    if not custody_decided(review):
        return
    for n, other in enumerate(review.facts.case.other_cases):
        if other.kind in ("dependency", "guardianship", "other_state"):
            yield Hit(f"case.other_cases.{n}.kind", f"It is a {other.kind.replace('_', '-')} case.")


# Marital status


@rule(
    "status.too_early",
    "stop",
    message="The date chosen for the end of marital status is before the law allows.",
    why="Six months must run from service or appearance, or from the filing of a joint petition",
    source="Fam. Code §§ 2339(a) (memory), 2342.5",
    mend="Choose that day or a later one, or set case.status_mode to earliest.",
)
def status_too_early(review: Review) -> Iterator[Hit]:
    chosen, first = review.facts.case.status_on, review.figures.earliest_status_on
    if chosen and first and chosen < first:
        yield Hit(
            "case.status_on",
            f"{chosen} is chosen; the first possible day is {first}.{counting(review.figures.dates.status_from)}",
        )


@rule(
    "status.past_date",
    "stop",
    message="The date chosen for the end of marital status has already gone by.",
    why="A court does not end status for a day before its judgment, save in the rare case of a late entry",
    source="Fam. Code §§ 2339, 2346 (memory)",
    mend="Choose a day after signing, or set case.status_mode to on_entry.",
)
def status_past_date(review: Review) -> Iterator[Hit]:
    case = review.facts.case
    if case.status_on and case.signing_on and case.status_on < case.signing_on:
        yield Hit("case.status_on", f"{case.status_on} is before the planned signing on {case.signing_on}.")


@rule(
    "status.year_end",
    "note",
    message="The choice between this year and the next changes the tax filing status for the whole year.",
    why="Whoever is married on 31 December counts as married for that tax year",
    source="26 U.S.C. § 7703 (memory)",
    mend="Nothing need change; look at both years' taxes and at health cover before the date is fixed.",
)
def year_end(review: Review) -> Iterator[Hit]:
    case = review.facts.case
    if case.proceeding != "dissolution" or case.status_mode not in ("on_date", "earliest"):
        return
    day = case.status_on if case.status_mode == "on_date" else review.figures.earliest_status_on
    if day is None:
        return
    ends = (date(day.year - 1, 12, 31), date(day.year, 12, 31))
    if any(abs(day - end) <= NEAR_YEAR_END for end in ends):
        yield Hit("case.status_on" if case.status_mode == "on_date" else "case.status_mode", f"Status would end {day}.")


@rule(
    "status.bifurcated_plan",
    "stop",
    message="Status would end while this pension is unprotected:",
    why="If the member dies after status has ended and before the plan is divided, the other spouse's share can be lost",
    source="Fam. Code § 2337(d); form FL-348",
    mend="Join the plan (case.joined_plans), have an order accepted, or add retirement to case.bifurcation_terms.",
)
def bifurcated_plan(review: Review) -> Iterator[Hit]:
    case = review.facts.case
    early = bool(case.bifurcation_terms) or "juris.bifurcated_status" in review.present
    if not early or "retirement" in case.bifurcation_terms:
        return
    for key in review.figures.divided_plans.keys:
        asset = review.facts.assets[key]
        if not _plan_protected(key, asset, case.joined_plans):
            yield Hit(f"assets.{key}.retirement.joined", f"{asset.label}.")


def _plan_protected(key: str, asset: Asset, joined: tuple[str, ...]) -> bool:
    plan = asset.retirement
    if plan is None or plan.type in INDIVIDUAL_ACCOUNTS:
        return True
    return bool(plan.joined) or key in joined or plan.order_status in ("qualified", "filed")


# Disclosure


@rule(
    "disclosure.preliminary_missing",
    "stop",
    message="Each spouse must have served preliminary disclosure, and no day is given for this one.",
    why="It cannot be given up by agreement, and a judgment without it can be set aside",
    source="Fam. Code §§ 2104, 2107, 2122(f); form FL-182",
    mend="Serve the preliminary declaration (FL-140 and its papers), file FL-141, and give the day.",
)
def preliminary_missing(review: Review) -> Iterator[Hit]:
    published = review.facts.case.service_method in ("publication", "posting")
    for role, one in parties(review.facts):
        # Fam. Code § 2110: in a default without agreement only the petitioner's, and none after publication or posting.
        if review.figures.true_default and (role == "respondent" or published):
            continue
        if not one.disclosure.preliminary_served_on:
            yield Hit(f"{role}.disclosure.preliminary_served_on", f"It is the {role}'s.")


@rule(
    "disclosure.final_gap",
    "stop",
    message="Final disclosure is missing and not validly waived.",
    why="The court may not enter a judgment on property or support without it, or a waiver signed by both",
    source="Fam. Code §§ 2105, 2106 (2106 memory); form FL-182",
    mend="Give the day of service, or record the waiver (final_waived) and the day on which it was signed.",
)
def final_gap(review: Review) -> Iterator[Hit]:
    for role, one in parties(review.facts):
        given = one.disclosure
        waiver_due = given.final_waived is not None and one.signed_on is not None and not given.final_waived.signed_on
        if given.final_served_on:
            continue
        if given.final_waived is None and not (role == "respondent" and _shortcut_speaks(review)):
            yield Hit(f"{role}.disclosure.final_served_on", f"It is the {role}'s.")
        elif waiver_due:
            yield Hit(f"{role}.disclosure.final_waived.signed_on", f"The {role} signed the agreement, not the waiver.")


def _shortcut_speaks(review: Review) -> bool:
    return review.figures.default_path and _only_petitioner_waives(review)


@rule(
    "disclosure.one_sided_waiver",
    "stop",
    message="Final disclosure is waived by one party only.",
    why="The waiver works only if both sign it under penalty of perjury",
    source="Fam. Code § 2105(d) (memory); form FL-144",
    mend="Record the other party's waiver, or let both serve final disclosure.",
)
def one_sided_waiver(review: Review) -> Iterator[Hit]:
    waiving = [role for role, one in parties(review.facts) if one.disclosure.final_waived is not None]
    if len(waiving) == 1 and not _shortcut_speaks(review):
        yield Hit(f"{waiving[0]}.disclosure.final_waived", f"Only the {waiving[0]} waives.")


@rule(
    "disclosure.after_signing",
    "warn",
    message="Disclosure should come before or with signing, not after.",
    why="Who signs first and learns later has a ground to set the agreement aside",
    source="Fam. Code § 2105(a)",
    mend="Correct the day, or sign again after disclosure.",
)
def after_signing(review: Review) -> Iterator[Hit]:
    for role, one in parties(review.facts):
        if one.signed_on is None:
            continue
        given = one.disclosure
        days = {
            "preliminary_served_on": given.preliminary_served_on,
            "final_served_on": given.final_served_on,
            "final_waived.signed_on": given.final_waived.signed_on if given.final_waived else None,
        }
        for name, day in days.items():
            if day and day > one.signed_on:
                yield Hit(f"{role}.disclosure.{name}", f"{day} is after the {role} signed on {one.signed_on}.")


@rule(
    "disclosure.income_stale",
    "warn",
    message="Support or fees are in issue, and this party's income declaration is missing or out of date.",
    why="An income declaration counts as current for three months, if nothing has changed",
    source="Cal. Rules of Court, rule 5.260(a)(3) (memory); form FL-141",
    mend="Complete a new Income and Expense Declaration (FL-150) and give its date.",
)
def income_stale(review: Review) -> Iterator[Hit]:
    if not _money_in_issue(review):
        return
    for role, one in parties(review.facts):
        if review.figures.true_default and role == "respondent":
            continue
        made, signing = one.disclosure.income_declaration_on, signing_day(review.facts, role)
        path = f"{role}.disclosure.income_declaration_on"
        if made is None:
            by_other_rule = review.figures.default_path and role == "petitioner"
            if not by_other_rule:
                yield Hit(path, f"No day is given for the {role}'s.")
        elif signing and signing - made > INCOME_DECLARATION_DAYS:
            yield Hit(path, f"The {role}'s is of {made}, {(signing - made).days} days before signing.")


def _money_in_issue(review: Review) -> bool:
    facts = review.facts
    spousal = any(support_to(facts, role).outcome in ("payable", "nominal", "reserved") for role in ROLES)
    return bool(supported(review)) or bool(facts.child_support.adult) or spousal or facts.fees.plan == "contribution"


@rule(
    "disclosure.no_values",
    "warn",
    message="A value was left out, and a spouse without an attorney cannot tell whether the split is equal:",
    why="An agreement made without knowing what there is can be set aside",
    source="Fam. Code §§ 2550, 2122(e), (f)",
    mend="Give a value and how it is known, or record why both accept the gap.",
)
def no_values(review: Review) -> Iterator[Hit]:
    if all(has_attorney(one) for _, one in parties(review.facts)):
        return
    for key, asset in review.facts.assets.items():
        if asset.value_basis == "none" and not asset.character.startswith("separate"):
            yield Hit(f"assets.{key}.value_basis", f"{asset.label}.")
