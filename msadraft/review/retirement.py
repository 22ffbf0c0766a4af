"""Rules about retirement plans."""

from __future__ import annotations

from collections.abc import Iterator

from msadraft.facts.property import Asset, Retirement
from msadraft.figures.ledger import NOTHING
from msadraft.library.wording import join_and, money, trim
from msadraft.review.base import Hit, Review, rule
from msadraft.review.belongings import DOLLAR, INDIVIDUAL_ACCOUNTS, community, named
from msadraft.review.common import other
from msadraft.review.own_words import denies, own_terms, pattern, speaks_of

WAITING = {
    "retirement.sbp": "the day of the order that calls for survivor cover, from which the one year runs; "
    "until then only the duty to send the request is checked",
}
"""What cannot be decided yet, wholly or in part, and what it waits for."""

ACCOUNT_PLANS = ("401k", "403b", "457b", "tsp", "profit_sharing")
PENSIONS = ("pension_private", "calpers", "calstrs", "county_1937", "uc", "federal_civil", "judges")
JOINED_PLANS = ("calpers", "calstrs", "county_1937", "uc", "judges")
"""Plans of the state and of local bodies, which must be joined (form FL-318-INFO)."""

PUBLIC_PLANS = (*JOINED_PLANS, "federal_civil", "military", "tsp")
"""Plans that have an order of their own kind, and not a qualified domestic relations order."""


def _divided(review: Review) -> Iterator[tuple[str, str, Asset, Retirement]]:
    for key in review.figures.divided_plans.keys:
        asset = review.facts.assets[key]
        if asset.retirement:
            yield key, f"assets.{key}.retirement", asset, asset.retirement


@rule(
    "retirement.no_order",
    "stop",
    message="A divided plan needs an order, and the terms for it are missing.",
    why="A plan does not pay on the agreement alone",
    source="Fam. Code § 2610; 26 U.S.C. § 414(p) (memory)",
    mend="Give preparer and order_by; the court's power to make the order is kept by the paragraph on its continuing power.",
)
def no_order(review: Review) -> Iterator[Hit]:
    power_lost = bool(review.agreement.sections) and "general.enforcement_reserve" not in review.present
    for _, path, asset, plan in _divided(review):
        if plan.type in (*INDIVIDUAL_ACCOUNTS, "nonqualified") or plan.order_status in ("qualified", "filed"):
            continue
        missing = []
        if plan.preparer is None:
            missing.append(("preparer", "who prepares it"))
        if plan.order_by is None:
            missing.append(("order_by", "by when"))
        if power_lost:
            missing.append(("order_by", "the court's kept power"))
        if missing:
            yield Hit(f"{path}.{missing[0][0]}", f"{named(asset)} lacks: {join_and([words for _, words in missing])}.")


@rule(
    "retirement.partial_no_order",
    "stop",
    message="A plan is awarded away from its member, in part or in whole, and no order is named that carries this out.",
    why="A plan pays anybody but its member only on an order or transfer that it accepts",
    source="Fam. Code § 2610",
    mend="Give retirement.method and its share; or let the plan stay with its member.",
)
def partial_no_order(review: Review) -> Iterator[Hit]:
    for _, path, asset in community(review):
        plan = asset.retirement
        if plan is None or plan.method not in (None, "keep"):
            continue
        moved = plan.member is not None and asset.goes_to == other(plan.member)
        if moved or asset.goes_to in ("split", "order"):
            yield Hit(f"{path}.retirement.method", f"{named(asset)}: goes_to is {asset.goes_to}.")


@rule(
    "retirement.gains",
    "warn",
    message="Nothing says whether the share moves with the market until it is paid out.",
    why="Months pass between the day of measurement and the transfer",
    source="common practice",
    mend="Set gains: with or without.",
)
def gains(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        if plan.type in (*ACCOUNT_PLANS, *INDIVIDUAL_ACCOUNTS) and plan.gains is None:
            yield Hit(f"{path}.gains", f"{named(asset)}.")


@rule(
    "retirement.date",
    "stop",
    message="The day on which the share is measured is missing.",
    why="The balance of an account changes every day; an order without a day is refused",
    source="Fam. Code § 2552; common practice",
    mend="Give balance_on.",
)
def balance_date(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        if plan.type in (*ACCOUNT_PLANS, *INDIVIDUAL_ACCOUNTS) and plan.balance_on is None:
            yield Hit(f"{path}.balance_on", f"{named(asset)}.")


@rule(
    "retirement.service",
    "stop",
    message="The time rule needs the service of the member.",
    why="The community part of a pension is the service during the marriage over all service",
    source="In re Marriage of Brown (1976) 15 Cal.3d 838; In re Marriage of Judd (1977) 68 Cal.App.3d 515 (both memory)",
    mend="Give service_from and community_service_months from the plan's statement.",
)
def service(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        if plan.type not in (*PENSIONS, "military") or plan.method == "split_sum":
            continue
        if plan.service_from is None and plan.type != "military":
            yield Hit(f"{path}.service_from", f"{named(asset)}.")
        if plan.community_service_months is None:
            yield Hit(f"{path}.community_service_months", f"{named(asset)}.")
        elif plan.total_service_months is not None and plan.community_service_months > plan.total_service_months:
            yield Hit(
                f"{path}.community_service_months",
                f"{named(asset)}: more months in the marriage ({trim(plan.community_service_months)}) than in all "
                f"({trim(plan.total_service_months)}).",
            )


@rule(
    "retirement.service_dates",
    "warn",
    message="The months of service in the marriage differ from the dates.",
    why="The community fraction rests on them; part-time work and bought service credit may explain a difference",
    source="In re Marriage of Judd (1977) 68 Cal.App.3d 515 (memory); Fam. Code §§ 760, 771",
    mend="Ask the plan for its service credit and correct community_service_months or service_from; or record what explains it.",
)
def service_dates(review: Review) -> Iterator[Hit]:
    for key, path, asset, _ in _divided(review):
        found = review.figures.plan_divisions[key]
        if found.service_differs and found.stated is not None and found.months_by_dates is not None:
            yield Hit(
                f"{path}.community_service_months",
                f"{named(asset)}: {trim(found.stated)} months are stated, {trim(found.months_by_dates)} by the dates.",
            )


@rule(
    "retirement.survivor",
    "stop",
    message="Nothing says what becomes of the share if either party dies first.",
    why="Silence on death lets one party take all",
    source="Fam. Code § 2610(a)",
    mend="Give survivor with before_benefits, after_benefits and nonmember_share_to (for military pay: survivor_benefit_plan.elected).",
)
def survivor(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        missing = _missing_survivor_terms(plan)
        if missing:
            yield Hit(f"{path}.{missing[0]}", f"{named(asset)}.")


def _missing_survivor_terms(plan: Retirement) -> list[str]:
    """Paths under the plan of what is not said about death. Individual accounts are moved at once and need nothing."""
    if plan.type in INDIVIDUAL_ACCOUNTS:
        return []
    if plan.type == "military":
        chosen = plan.survivor_benefit_plan is not None and plan.survivor_benefit_plan.elected is not None
        return [] if chosen else ["survivor_benefit_plan.elected"]
    if plan.survivor is None:
        return ["survivor"]
    asked: dict[str, str | None] = {"nonmember_share_to": plan.survivor.nonmember_share_to}
    if plan.pay_status != "in_pay":
        asked["before_benefits"] = plan.survivor.before_benefits
    if plan.type not in ACCOUNT_PLANS:
        asked["after_benefits"] = plan.survivor.after_benefits
    return [f"survivor.{name}" for name, given in asked.items() if given is None]


_QUALIFIED_ORDER = pattern(r"\bQDRO\b|\bqualified domestic relations order\b")


@rule(
    "retirement.wrong_order",
    "warn",
    message="This plan is divided by another kind of paper than the facts name.",
    why="An individual account moves by its custodian's transfer, and a public plan has an order of its own kind; a wrong name is refused",
    source="26 U.S.C. § 408(d)(6) (memory); Fam. Code § 2610(a)(3)",
    mend="For an individual account take plan_order out of papers; for a public plan do not call the order a qualified one.",
)
def wrong_order(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        individual = plan.type in INDIVIDUAL_ACCOUNTS
        if individual and "plan_order" in asset.papers:
            yield Hit(f"{path.removesuffix('.retirement')}.papers", f"{named(asset)}.")
        elif (individual or plan.type in PUBLIC_PLANS) and _QUALIFIED_ORDER.search(plan.preparer or ""):
            yield Hit(f"{path}.preparer", f"{named(asset)}.")


@rule(
    "retirement.joinder",
    "warn",
    message="A public plan is divided and has not been joined to the case.",
    why="Until it is joined, an order does not bind it, and after status ends the share may be unprotected",
    source="Fam. Code § 2060 (memory); forms FL-318-INFO, FL-348",
    mend="Join the plan and name it in case.joined_plans, or set retirement.joined: yes.",
)
def joinder(review: Review) -> Iterator[Hit]:
    case = review.facts.case
    for key, path, asset, plan in _divided(review):
        joined = plan.joined or key in case.joined_plans
        if plan.type in JOINED_PLANS and not joined and case.status_mode != "not_ended":
            yield Hit(f"{path}.joined", f"{named(asset)}.")


@rule(
    "retirement.military_data",
    "stop",
    message="Military retired pay is divided before retirement, and pay data are missing.",
    why="The pay center refuses an order without them",
    source="10 U.S.C. § 1408 (memory)",
    mend="Give military.high_three and military.years as of the judgment; or military.retired: yes.",
)
def military_data(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        pay = plan.military
        if plan.type != "military" or (pay and pay.retired):
            continue
        if pay is None or pay.high_three is None:
            yield Hit(f"{path}.military.high_three", f"{named(asset)}.")
        if pay is None or pay.years is None:
            yield Hit(f"{path}.military.years", f"{named(asset)}.")


@rule(
    "retirement.sbp",
    "stop",
    message="Survivor cover is chosen, and nobody has the duty to ask for it within the year.",
    why="The request must reach the pay center within one year after the order that calls for it",
    source="10 U.S.C. § 1450(f)(3)",
    mend="Give survivor_benefit_plan.deemed_election_by.",
)
def sbp(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        cover = plan.survivor_benefit_plan
        if cover and cover.elected and cover.deemed_election_by is None:
            yield Hit(f"{path}.survivor_benefit_plan.deemed_election_by", f"{named(asset)}.")


_MAKE_WHOLE = pattern(
    r"\bindemnif|\bhold\w* .*harmless\b|\breimburs|\bcompensat|\bmake\w* (up|good|whole)\b|\bmakes? .* whole\b"
)
_DISABILITY = pattern(r"\bdisab|\bveterans\b|\bVA\b")
_RETIRED_PAY = pattern(r"\bretire|\bmilitary\b|\bpension\b|\bwaive")


@rule(
    "retirement.va_indemnity",
    "stop",
    message="A term promises to make up for retired pay that is given up for disability pay.",
    why="A state court cannot enforce such a promise",
    source="Howell v. Howell (2017) 581 U.S. 214 (memory)",
    mend="Take the term out; weigh the risk in the amount of support or the division instead.",
)
def va_indemnity(review: Review) -> Iterator[Hit]:
    for path, sentence in own_terms(review.facts):
        if speaks_of(sentence, _MAKE_WHOLE, _DISABILITY, _RETIRED_PAY) and not denies(sentence):
            yield Hit(path)


@rule(
    "retirement.beneficiary",
    "warn",
    message="A party keeps a plan, and no day is set to change its beneficiary.",
    why="A waiver in the agreement does not change the plan's form; the plan pays whoever is named there",
    source="Kennedy v. Plan Administrator for DuPont Savings and Investment Plan (2009) 555 U.S. 285",
    mend="Give beneficiary_by_days; or list the designation in estate.kept_designations.",
)
def beneficiary(review: Review) -> Iterator[Hit]:
    kept_on_purpose = {kept.asset for kept in review.facts.estate.kept_designations}
    for key in review.figures.kept_plans.keys:
        asset = review.facts.assets[key]
        if asset.retirement and asset.retirement.beneficiary_by_days is None and key not in kept_on_purpose:
            yield Hit(f"assets.{key}.retirement.beneficiary_by_days", f"{named(asset)}.")


@rule(
    "retirement.pretax",
    "note",
    message="Money before tax in this plan is set against other property at face.",
    why="It is taxed when it is paid out, so equal numbers are not equal after tax",
    source="In re Marriage of Fonstein (1976) 17 Cal.3d 738 (memory)",
    mend="Nothing need change if both know it; a tax adviser can say what the difference is.",
)
def pretax(review: Review) -> Iterator[Hit]:
    lines = [
        line
        for line in review.figures.ledger.counted
        if line.kind == "asset" and _is_pretax(review.facts.assets[line.key])
    ]
    petitioner = sum((line.to_petitioner for line in lines), NOTHING)
    respondent = sum((line.to_respondent for line in lines), NOTHING)
    if abs(petitioner - respondent) <= DOLLAR:
        return
    for line in lines:
        received = line.to_petitioner if petitioner > respondent else line.to_respondent
        if received > 0:
            asset = review.facts.assets[line.key]
            yield Hit(f"assets.{line.key}.value", f"{named(asset)}: {money(received)}.")


def _is_pretax(asset: Asset) -> bool:
    return asset.retirement is not None and asset.retirement.type != "roth_ira"
