"""Rules about child support."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal

from dateutil.relativedelta import relativedelta

from msadraft.figures.deviation import Deviation
from msadraft.review.base import Hit, Review, rule
from msadraft.review.common import (
    ROLES,
    child_support_decided,
    is_reserved,
    last_signing_day,
    minors,
    party,
    supported,
)
from msadraft.review.grid import regular_shares
from msadraft.review.time import calendar_shares
from msadraft.tree import Signature

WAITING = {
    "child_support.retro_overlap by month": "the amounts and credits of a temporary order",
}
"""Rules that are decided only in part, and what the rest waits for."""

ONE_DOLLAR = Decimal("1.00")
ONE_POINT = Decimal("1.00")
INCOME_GAP_POINTS = Decimal("10")
RUN_DAYS = timedelta(days=90)
NEAR_MAJORITY_MONTHS = 24

_FROZEN = re.compile(
    r"\b(waive[sd]?|giv(e|es|ing) up|release[sd]?|forgo(es)?)\b.{0,60}\bchild support\b"
    r"|\bchild support\b.{0,80}\b(waived|given up|non-?modifiable)\b"
    r"|\bchild support\b.{0,60}\b(may|shall|can|will) (not|never) be (changed|modified|increased|raised|reduced|lowered)\b",
    re.IGNORECASE | re.DOTALL,
)
_NOT_GIVEN_UP = re.compile(
    r"\b(neither|nothing|nor|no|not|never|cannot)\b.{0,60}\b(waive|giv|release|forgo)", re.IGNORECASE | re.DOTALL
)
_EIGHTEEN = re.compile(r"\b(18|eighteen)", re.IGNORECASE)
_SCHOOL = re.compile(r"\b(19|nineteen|graduat\w*|twelfth|12th|high school)", re.IGNORECASE)


# Whether and how much


@rule(
    "child_support.missing",
    "stop",
    message="Child support is not decided.",
    why="Both parents owe support, and the judgment must set it, set it at zero with reasons, or keep it open",
    source="Fam. Code §§ 4001, 4056 (memory); form FL-180 item 4k",
    mend="Choose child_support.mode.",
)
def missing(review: Review) -> Iterator[Hit]:
    facts = review.facts
    if supported(review) and facts.child_support.mode is None and not is_reserved(facts, "child_support"):
        yield Hit("child_support.mode")


@rule(
    "child_support.not_guideline",
    "stop",
    message="This is called guideline but is not the guideline amount.",
    why="The guideline is presumed right; another amount needs its own reasons, and below it five declarations",
    source="Fam. Code §§ 4055, 4056, 4065",
    mend="Set child_support.amount to the guideline, or choose mode above or below and give the reason.",
)
def not_guideline(review: Review) -> Iterator[Hit]:
    support = review.facts.child_support
    if not supported(review) or support.mode != "guideline":
        return
    recorded, own = support.guideline_amount, _own_comparison(review)
    if support.amount is not None and recorded is not None and abs(support.amount - recorded) > ONE_DOLLAR:
        yield Hit("child_support.amount", f"It is {support.amount}; the recorded run gives {recorded}.")
    elif own and own.standing != "at" and not own.rounding:
        found = review.figures.child_support.guideline
        gives = f"{found.amount} from the {found.payer}" if found and found.payer else "nothing in either direction"
        yield Hit(
            "child_support.amount",
            f"It is {support.amount}; the formula on the recorded incomes and shares of time gives {gives}.",
        )
    if (
        support.guideline_amount
        and support.payer
        and support.guideline_payer
        and support.payer != support.guideline_payer
    ):
        yield Hit("child_support.payer", f"By the recorded run the {support.guideline_payer} would pay.")


def _own_comparison(review: Review) -> Deviation | None:
    """The amount against the formula on the recorded incomes and shares of time; None unless those are recorded."""
    return review.figures.child_support.deviation if _inputs_recorded(review) else None


def _inputs_recorded(review: Review) -> bool:
    given = review.facts.child_support.guideline_inputs
    if given is None or given.petitioner_net is None or given.respondent_net is None:
        return False
    return given.petitioner_time_percent is not None or given.respondent_time_percent is not None


@rule(
    "child_support.run_differs",
    "warn",
    message="The recorded guideline amount does not follow from the recorded figures.",
    why="The worksheet prints these figures, and whoever checks them must come to the amount that the agreement states",
    source="Fam. Code §§ 4055, 4056(a); Cal. Rules of Court, rule 5.275",
    mend="Correct the incomes, the shares of time or guideline_amount, or record what else went into the run.",
)
def run_differs(review: Review) -> Iterator[Hit]:
    support, found = review.facts.child_support, review.figures.child_support.guideline
    if not child_support_decided(review) or not _inputs_recorded(review) or not found:
        return
    recorded, low = support.guideline_amount, review.figures.child_support.low_income
    if recorded is None:
        return
    adjusted = support.guideline_inputs and support.guideline_inputs.low_income_adjustment
    if adjusted and low and low.qualifies and low.lowest <= recorded <= low.highest:
        return
    signed = recorded if found.payer is None or support.guideline_payer in (None, found.payer) else -recorded
    if abs(signed - found.amount) >= ONE_DOLLAR:
        gives = f"{found.amount} from the {found.payer}" if found.payer else "nothing in either direction"
        yield Hit("child_support.guideline_amount", f"It is {recorded}; the formula gives {gives}.")


@rule(
    "child_support.wrong_side",
    "stop",
    message="The amount is not on the side of guideline that the agreement says.",
    why="Above guideline the court needs reasons; below it the five declarations as well",
    source="Fam. Code §§ 4056(a), 4065(a)",
    mend="Correct child_support.mode or child_support.amount.",
)
def wrong_side(review: Review) -> Iterator[Hit]:
    support = review.facts.child_support
    if not supported(review) or support.mode not in ("above", "below") or support.amount is None:
        return
    own = _own_comparison(review)
    if own is not None:
        differs, against = own.standing not in ("at", support.mode) and not own.rounding, own.figure.steps[0].result
    elif support.guideline_amount is not None and support.payer in (None, support.guideline_payer):
        side = "above" if support.amount > support.guideline_amount else "below"
        differs, against = (
            support.amount != support.guideline_amount and side != support.mode,
            str(support.guideline_amount),
        )
    else:
        return
    if differs:
        yield Hit(
            "child_support.mode", f"It says {support.mode}; {support.amount} is agreed, the guideline is {against}."
        )


@rule(
    "child_support.low_income",
    "note",
    message="The low-income adjustment of the guideline needs a look.",
    why="A payer with little income is presumed entitled to a lower order, and the court states why where it is not made",
    source="Fam. Code § 4055(b)(7)",
    mend="Set guideline_inputs.low_income_adjustment, choose an amount in the range, or give child_support.low_income_reason.",
)
def low_income(review: Review) -> Iterator[Hit]:
    support, low = review.facts.child_support, review.figures.child_support.low_income
    if not child_support_decided(review) or low is None:
        return
    taken = bool(support.guideline_inputs and support.guideline_inputs.low_income_adjustment)
    path = "child_support.guideline_inputs.low_income_adjustment"
    if taken and not low.qualifies:
        yield Hit(
            path, f"It was taken, but the {low.payer} has a net income of {low.payer_net}, not below {low.threshold}."
        )
    elif low.qualifies and not taken and support.low_income_reason is None:
        yield Hit(path, f"The order may lie between {low.lowest} and {low.highest} a month.")


@rule(
    "child_support.split_differs",
    "note",
    message="The part of this child is not the one that the guideline gives.",
    why="The youngest child has the one-child amount and each older child what is added, so that what is left is guideline again",
    source="Fam. Code § 4055(b)(8)",
    mend="Nothing need change if the parents mean it so; otherwise take the parts of the worksheet.",
)
def split_differs(review: Review) -> Iterator[Hit]:
    support, found = review.facts.child_support, review.figures.child_support.guideline
    if not child_support_decided(review) or support.mode != "guideline" or not found or len(found.shares) < 2:
        return
    if support.amount is None or abs(support.amount - found.amount) >= ONE_DOLLAR:
        return
    by_law = {share.key: share.amount for share in found.shares}
    for n, entry in enumerate(support.per_child):
        share = by_law.get(entry.child)
        if share is not None and abs(entry.amount - share) >= ONE_DOLLAR:
            name = review.facts.children[entry.child].name.first
            yield Hit(
                f"child_support.per_child.{n}.amount", f"{name}: {entry.amount} is agreed, {share} by the formula."
            )


@rule(
    "child_support.no_split",
    "warn",
    message="Give the amount for each child, so that support can fall as each child ages out.",
    why="One sum for several children does not fall by itself when the eldest ages out",
    source="Fam. Code § 4055(b)(8)",
    mend="List every supported child under child_support.per_child.",
)
def no_split(review: Review) -> Iterator[Hit]:
    support, children = review.facts.child_support, supported(review)
    if len(children) < 2 or support.mode not in ("guideline", "above", "below"):
        return
    named = {entry.child for entry in support.per_child}
    left_out = [child.name.first for key, child in children.items() if key not in named]
    if left_out:
        yield Hit("child_support.per_child", f"Missing: {', '.join(left_out)}.")


@rule(
    "child_support.time_mismatch",
    "warn",
    message="The support worksheet uses a different share of time from the parenting plan.",
    why="The share of time moves the guideline amount by hundreds of dollars",
    source="Fam. Code § 4055(b)(1)(D); form FL-342",
    mend="Run the guideline again with the share of the plan, or record why the approximate share differs.",
)
def time_mismatch(review: Review) -> Iterator[Hit]:
    inputs, plan = review.facts.child_support.guideline_inputs, review.facts.parenting
    if not child_support_decided(review) or inputs is None:
        return
    for role, given in zip(ROLES, (inputs.petitioner_time_percent, inputs.respondent_time_percent), strict=True):
        counted = {
            "the regular schedule": None if plan.summer or plan.phases else regular_shares(review.facts, role),
            "the calendar of two years": calendar_shares(review, role),
        }
        known = {name: shares for name, shares in counted.items() if shares}
        if given is None or not known:
            continue
        if all(abs(given - share) > ONE_POINT for shares in known.values() for share in shares):
            gives = "; ".join(
                f"{name} gives {hours:.2f} percent of the hours and {nights:.2f} percent of the nights"
                for name, (hours, nights) in known.items()
            )
            yield Hit(
                f"child_support.guideline_inputs.{role}_time_percent",
                f"The worksheet has {given} percent for the {role}; {gives}.",
            )


def _below_guideline(review: Review) -> bool:
    support = review.facts.child_support
    return bool(supported(review)) and (
        support.mode == "below" or (support.mode == "zero" and bool(support.guideline_amount))
    )


@rule(
    "child_support.below_declarations",
    "stop",
    message="Support under guideline needs five declarations from both parents, and this one is missing:",
    why="Without all five the court may not approve the amount",
    source="Fam. Code § 4065(a)",
    mend="Record the declaration under child_support.declarations, or agree on guideline support.",
)
def below_declarations(review: Review) -> Iterator[Hit]:
    if _below_guideline(review):
        yield from missing_declarations(review)


def missing_declarations(review: Review) -> Iterator[Hit]:
    """The declarations of Fam. Code § 4065(a) that are not recorded."""
    made = review.facts.child_support.declarations
    names = {
        "informed": "both know their rights about child support",
        "no_coercion": "both agree freely",
        "best_interests": "it is in the children's best interests",
        "needs_met": "the children's needs will be met",
        "not_assigned": "support is not assigned to the county, and no application for aid is pending",
    }
    if made is None:
        yield Hit("child_support.declarations", "none of the five is recorded.")
        return
    for name, says in names.items():
        if not getattr(made, name):
            yield Hit(f"child_support.declarations.{name}", f"{says}.")


@rule(
    "child_support.below_aid",
    "stop",
    message="Support cannot go under guideline while public aid is paid or asked for.",
    why="The right to support then belongs to the county, or may soon",
    source="Fam. Code § 4065(a)(5), (c)",
    mend="Agree on guideline support.",
)
def below_aid(review: Review) -> Iterator[Hit]:
    if _below_guideline(review) and review.facts.case.public_assistance in ("pending", "receiving"):
        yield Hit("child_support.mode", f"Public assistance: {review.facts.case.public_assistance}.")


@rule(
    "child_support.agency_sign",
    "stop",
    message="The local child support agency must sign, and there is no line for it.",
    why="Where the agency provides services, an agreement on child support is not valid without it",
    source="Fam. Code § 4065(c)",
    mend="Keep the clause sign.approval in the paper, or correct case.child_support_agency.",
)
def agency_sign(review: Review) -> Iterator[Hit]:
    if not supported(review) or not review.facts.case.child_support_agency:
        return
    lines = [block for block in review.blocks if isinstance(block, Signature)]
    if not any("child support agency" in review.words(line).casefold() for line in lines):
        yield Hit("case.child_support_agency")


@rule(
    "child_support.no_reason",
    "stop",
    message="Say why the amount departs from guideline.",
    why="The court must state the guideline amount, why the order differs, and why that serves the children",
    source="Fam. Code §§ 4056(a), 4057",
    mend="Give child_support.deviation_reason, and for other also deviation_note.",
)
def no_reason(review: Review) -> Iterator[Hit]:
    support = review.facts.child_support
    if not supported(review) or support.mode not in ("above", "below", "zero"):
        return
    if support.mode == "zero" and support.guideline_amount == 0:
        return
    if support.deviation_reason is None:
        yield Hit("child_support.deviation_reason")
    elif support.deviation_reason == "other" and support.deviation_note is None:
        yield Hit("child_support.deviation_note")


@rule(
    "child_support.frozen",
    "stop",
    message="Child support can always be changed by the court; this text gives it up or bars a change.",
    why="Parents cannot bargain away the court's power over support of a child",
    source="In re Marriage of Alter (2009) 171 Cal.App.4th 718; Fam. Code §§ 3580, 3585",
    mend="Take the words out.",
)
def frozen(review: Review) -> Iterator[Hit]:
    support = review.facts.child_support
    written = {f"case.special_terms.{n}.body": term.body for n, term in enumerate(review.facts.case.special_terms)}
    for name in ("deviation_note", "paid_instead", "seasonal"):
        written[f"child_support.{name}"] = getattr(support, name) or ""
    written["child_support.end.until"] = support.end.until or ""
    for path, words in written.items():
        for sentence in re.split(r"[.;]", words):
            said = _FROZEN.search(sentence)
            if said and not _NOT_GIVEN_UP.search(sentence):
                yield Hit(path, f'It says "{said.group()}".')


# How long


@rule(
    "child_support.end_rule",
    "stop",
    message="Support runs to graduation or 19 for a high-school student, but this end rule stops at 18.",
    why="The duty to support a full-time student does not end on the birthday in the last school year",
    source="Fam. Code § 3901",
    mend="Set child_support.end.kind to statutory, or name graduation and 19.",
)
def end_rule(review: Review) -> Iterator[Hit]:
    until = review.facts.child_support.end.until
    if not until or not _EIGHTEEN.search(until) or _SCHOOL.search(until):
        return
    figures = review.figures
    longer = [
        child.name.first
        for key, child in supported(review).items()
        if key in figures.support_ends_on and figures.support_ends_on[key] > figures.turns_18_on[key]
    ]
    if longer:
        yield Hit("child_support.end.until", f"It would end too soon for {', '.join(longer)}.")


@rule(
    "child_support.medical_excuse",
    "note",
    message="A medical excuse from full-time school may extend support.",
    why="A student who is not at school full-time for a medical reason, with a doctor's note, keeps support to graduation or 19",
    source="Fam. Code § 3901(a)(2)",
    mend="If a doctor excuses the child, set full_time_student to yes.",
)
def medical_excuse(review: Review) -> Iterator[Hit]:
    facts, ages = review.facts, review.figures.ages
    for key in review.figures.children_of_both.keys:
        child = facts.children[key]
        unwell = child.needs or child.incapacity or child.benefits
        if ages.get(key) in (17, 18) and not child.full_time_student and unwell and not child.married_or_emancipated:
            yield Hit(f"children.{key}.full_time_student", f"{child.name.first} is {ages[key]}.")


@rule(
    "child_support.incapacity",
    "warn",
    message="Decide now whether support for this child as an adult is reserved:",
    why="Parents owe support to an adult child who cannot earn a living; a silent judgment makes it a new fight",
    source="Fam. Code § 3910",
    mend="Add an entry under child_support.adult, or keep child support open under case.reserved_issues.",
)
def incapacity(review: Review) -> Iterator[Hit]:
    facts, figures = review.facts, review.figures
    planned = {entry.child for entry in facts.child_support.adult}
    if is_reserved(facts, "child_support"):
        return
    for key, child in minors(review).items():
        turns = figures.turns_18_on.get(key)
        soon = turns is not None and turns <= figures.as_of + relativedelta(months=NEAR_MAJORITY_MONTHS)
        if soon and (child.needs or child.benefits or child.incapacity) and key not in planned:
            yield Hit(f"children.{key}", f"{child.name.first} turns 18 on {turns}.")


@rule(
    "child_support.adult_benefits",
    "warn",
    message="Support paid directly may cut this adult child's means-tested benefits.",
    why="Money paid to the child, or to a parent for the child, counts as the child's income",
    source="Fam. Code § 3910(b) (Stats. 2024, ch. 25)",
    mend="Pay it to a special needs trust (to_trust: yes), after advice on benefits.",
)
def adult_benefits(review: Review) -> Iterator[Hit]:
    for n, entry in enumerate(review.facts.child_support.adult):
        child = review.facts.children[entry.child]
        if child.benefits and not entry.to_trust:
            yield Hit(f"child_support.adult.{n}.to_trust", f"It is for {child.name.first}.")


@rule(
    "child_support.college_open",
    "warn",
    message="This promise to pay for college has no limit, no end, or no word on change.",
    why="A promise that is silent on change may be changed by the court, and one without a cap has no limit",
    source="In re Marriage of Rosenfeld & Gross (2014) 225 Cal.App.4th 478",
    mend="Give yearly_cap, ends and modifiable.",
)
def college_open(review: Review) -> Iterator[Hit]:
    for n, entry in enumerate(review.facts.child_support.college):
        wanted = {"yearly_cap": entry.yearly_cap, "ends": entry.ends, "modifiable": entry.modifiable}
        for name, given in wanted.items():
            if given is None:
                yield Hit(f"child_support.college.{n}.{name}")


@rule(
    "child_support.review_phase",
    "note",
    message="Support should be looked at again when the schedule moves to its next phase.",
    why="The amount was figured on the first phase's share of time",
    source="Fam. Code § 4055",
    mend="Add time_change to child_support.change_triggers, or a day of review.",
)
def review_phase(review: Review) -> Iterator[Hit]:
    support = review.facts.child_support
    looked_at = support.review_on is not None or "time_change" in support.change_triggers
    if child_support_decided(review) and len(review.facts.parenting.phases) > 1 and not looked_at:
        yield Hit("child_support.review_on")


# Additional costs and insurance


@rule(
    "child_support.no_cover",
    "stop",
    message="Say who provides health insurance for the children.",
    why="An order for support must also deal with health cover",
    source="Fam. Code §§ 3750, 3751(a)(2)",
    mend="Give child_support.insurance; write neither if none is available now.",
)
def no_cover(review: Review) -> Iterator[Hit]:
    if child_support_decided(review) and review.facts.child_support.insurance is None:
        yield Hit("child_support.insurance")


@rule(
    "child_support.health_share",
    "stop",
    message="Uninsured health costs of the children must be shared.",
    why="The court must order this share in addition to the base amount",
    source="Fam. Code § 4062(a)(2)",
    mend="Add an entry of kind health with petitioner_percent under child_support.add_ons.",
)
def health_share(review: Review) -> Iterator[Hit]:
    if child_support_decided(review):
        yield from _without_share(review, "health", needed=True)


@rule(
    "child_support.childcare_share",
    "stop",
    message="Work-related child care must be shared.",
    why="Where it is incurred, the court must order this share in addition to the base amount",
    source="Fam. Code § 4062(a)(1)",
    mend="Give petitioner_percent for the child care.",
)
def childcare_share(review: Review) -> Iterator[Hit]:
    if child_support_decided(review):
        yield from _without_share(review, "child_care", needed=False)


def _without_share(review: Review, kind: str, *, needed: bool) -> Iterator[Hit]:
    entries = [(n, entry) for n, entry in enumerate(review.facts.child_support.add_ons) if entry.kind == kind]
    if not entries and needed:
        yield Hit("child_support.add_ons")
    by_income = review.figures.child_support.add_ons
    for n, entry in entries:
        worked_out = entry.basis == "net_income" and by_income is not None
        if entry.petitioner_percent is None and not worked_out:
            yield Hit(f"child_support.add_ons.{n}.petitioner_percent")


@rule(
    "child_support.addon_share",
    "warn",
    message="These shares are said to follow net incomes, but differ from the incomes given.",
    why="The law divides added costs by net incomes after spousal and base child support; the agreement says it does so too",
    source="Fam. Code § 4061",
    mend="Leave petitioner_percent out, so that the share is worked out, or set basis to agreed.",
)
def addon_share(review: Review) -> Iterator[Hit]:
    shares = review.figures.child_support.add_ons
    if not child_support_decided(review) or shares is None:
        return
    for n, entry in enumerate(review.facts.child_support.add_ons):
        given = entry.petitioner_percent
        if entry.basis != "net_income" or given is None or abs(given - shares.petitioner_percent) <= ONE_POINT:
            continue
        yield Hit(
            f"child_support.add_ons.{n}.petitioner_percent",
            f"{entry.kind.replace('_', ' ').capitalize()}: {given} percent is given for the petitioner; the adjusted net "
            f"incomes give {shares.petitioner_printed} percent.",
        )


@rule(
    "child_support.premium",
    "warn",
    message="The children's health insurance may not be of reasonable cost.",
    why="Cover that costs more than 5 percent of the insuring parent's gross income is not presumed reasonable",
    source="Fam. Code § 3751(a)(2)",
    mend="Look for a cheaper plan, let the other parent insure, or record why this cost is right.",
)
def premium(review: Review) -> Iterator[Hit]:
    test = review.figures.child_support.premium
    if child_support_decided(review) and test and not test.reasonable:
        low = test.cost <= test.limit
        why = "The payer is entitled to the low-income adjustment." if low else f"The limit is {test.limit} a month."
        yield Hit("child_support.insurance.child_premium", f"The children's part is {test.cost}. {why}")


@rule(
    "child_support.equal_addon",
    "note",
    message="Shares in proportion to income are the default now; confirm that equal shares are intended.",
    why="Since September 2024 these costs follow the parents' adjusted net incomes unless another division is asked for",
    source="Fam. Code § 4061",
    mend="Set the share by net income, or keep the equal share as a stated choice (basis: equal).",
)
def equal_addon(review: Review) -> Iterator[Hit]:
    share = _income_share(review)
    if not child_support_decided(review) or share is None or abs(2 * share - 100) <= INCOME_GAP_POINTS:
        return
    for n, entry in enumerate(review.facts.child_support.add_ons):
        if entry.petitioner_percent == 50:
            yield Hit(
                f"child_support.add_ons.{n}.petitioner_percent",
                f"{entry.kind.replace('_', ' ').capitalize()}: the petitioner has {share:.2f} percent of the two net incomes.",
            )


def _income_share(review: Review) -> Decimal | None:
    """The petitioner's part of both net incomes, in percent: those of the guideline run, else those of the parties."""
    inputs = review.facts.child_support.guideline_inputs
    of_run = (inputs.petitioner_net, inputs.respondent_net) if inputs else (None, None)
    mine, theirs = (
        party(review.facts, role).net_monthly_income if net is None else net  # a run may say that one has nothing
        for role, net in zip(ROLES, of_run, strict=True)
    )
    if mine is None or theirs is None or mine < 0 or theirs < 0 or mine + theirs == 0:
        return None
    return 100 * mine / (mine + theirs)


# Payment and the run


@rule(
    "child_support.withholding",
    "warn",
    message="Withholding from wages is the rule; another way of paying, or a stay, needs a reason.",
    why="Every support order carries an assignment of earnings, and its service is stayed only for a reason or by written agreement",
    source="Fam. Code §§ 5230, 5260",
    mend="Give child_support.withholding_stay with its reason, or set method to withholding.",
)
def withholding(review: Review) -> Iterator[Hit]:
    support = review.facts.child_support
    if not child_support_decided(review) or not support.amount:
        return
    stay = support.withholding_stay
    reason = stay.reason if stay else None
    if stay and stay.wanted and reason is None:
        yield Hit("child_support.withholding_stay.reason")
    elif support.method not in (None, "withholding") and reason is None:
        yield Hit("child_support.method")


@rule(
    "child_support.stale_run",
    "warn",
    message="Run the support worksheet again.",
    why="Incomes, taxes and the minimum wage change; courts look for a recent run",
    source="common practice",
    mend="Run the guideline again and give child_support.guideline_on.",
)
def stale_run(review: Review) -> Iterator[Hit]:
    made, signing = review.facts.child_support.guideline_on, last_signing_day(review.facts)
    if child_support_decided(review) and made and signing and signing - made > RUN_DAYS:
        yield Hit("child_support.guideline_on", f"The run is of {made}, {(signing - made).days} days before signing.")


@rule(
    "child_support.tax_setting",
    "stop",
    message="The worksheet uses the old tax rule for spousal support.",
    why="Under an agreement made now spousal support is neither deducted nor taxed, in California as in the United States",
    source="Franchise Tax Board, alimony page of 2026-01-07; Stats. 2025, ch. 231",
    mend="Run the guideline again without the deduction, and set alimony_deductible to no.",
)
def tax_setting(review: Review) -> Iterator[Hit]:
    inputs = review.facts.child_support.guideline_inputs
    rules = {review.facts.spousal_support.to_petitioner.tax_rule, review.facts.spousal_support.to_respondent.tax_rule}
    if (
        child_support_decided(review)
        and inputs
        and inputs.alimony_deductible
        and review.figures.alimony_rules_match
        and "earlier_order_kept" not in rules
    ):
        yield Hit("child_support.guideline_inputs.alimony_deductible")


@rule(
    "child_support.extra_undefined",
    "warn",
    message="Say which extra income counts, when it is paid and with what proof.",
    why="A share of an income that nobody defined is not enforceable",
    source="In re Marriage of Ostler & Smith (1990) 223 Cal.App.3d 33 (memory)",
    mend="Give kinds, settled or pay_within_days, and proof.",
)
def extra_undefined(review: Review) -> Iterator[Hit]:
    extra = review.facts.child_support.extra_income
    if not child_support_decided(review) or extra is None:
        return
    if not extra.kinds:
        yield Hit("child_support.extra_income.kinds", "No kind of income is named.")
    if extra.pay_within_days is None and extra.settled is None:
        yield Hit("child_support.extra_income.pay_within_days", "No time of payment.")
    if extra.proof is None:
        yield Hit("child_support.extra_income.proof", "No proof.")


@rule(
    "child_support.retro_overlap",
    "warn",
    message="The same months may be ordered twice: by the temporary order, and by this one reaching back.",
    why="What was paid under the temporary order must count",
    source="Fam. Code §§ 3653, 4009",
    mend="Record what was paid under child_support.arrears, or begin after the temporary order ends.",
)
def retro_overlap(review: Review) -> Iterator[Hit]:
    support = review.facts.child_support
    temporary = [order for order in review.facts.case.prior_orders if order.subject == "child_support"]
    if child_support_decided(review) and support.retroactive_from and temporary and support.arrears is None:
        yield Hit("child_support.retroactive_from")


@rule(
    "child_support.time_sum",
    "stop",
    message="The shares of time in the guideline run do not add up to 100 percent.",
    why="The formula takes one parent's share of time; the other has the rest",
    source="Fam. Code § 4055(b)(1)(D)",
    mend="Correct petitioner_time_percent or respondent_time_percent.",
)
def time_sum(review: Review) -> Iterator[Hit]:
    inputs = review.facts.child_support.guideline_inputs
    if inputs is None or inputs.petitioner_time_percent is None or inputs.respondent_time_percent is None:
        return
    total = inputs.petitioner_time_percent + inputs.respondent_time_percent
    if abs(total - 100) > Decimal("0.01"):
        yield Hit("child_support.guideline_inputs.respondent_time_percent", f"They come to {total} percent.")
