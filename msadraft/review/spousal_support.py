"""Rules about spousal support: both directions, how it ends, whether it can change, security and tax."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal

from dateutil.relativedelta import relativedelta

from msadraft.facts.case import PriorOrder
from msadraft.facts.people import ViolenceConviction
from msadraft.facts.scalars import PartyRole
from msadraft.facts.support import SpousalSupport
from msadraft.figures.spousal_support import SpousalFigures
from msadraft.library.wording import join_and, money
from msadraft.review.base import Hit, Review, rule
from msadraft.review.common import ROLES, other, parties, party, support_to
from msadraft.review.own_words import denies, own_terms, pattern, sentences, speaks_of

STATUTORY_EVENTS = {
    "death_of_payer": "death of the payer",
    "death_of_payee": "death of the supported party",
    "remarriage": "remarriage of the supported party",
}
"""The events of Fam. Code § 4337."""

FIXED_AMOUNTS = ("nonmodifiable", "floor", "ceiling", "floor_and_ceiling")
LEAST_OF_TERM, MOST_OF_TERM = Decimal(40), Decimal(60)
"""Percent of the length of the marriage between which a term is near the usual half (Fam. Code § 4320(l); the bounds are our own)."""

NEW_CALIFORNIA_TAX_RULE = date(2026, 1, 1)
"""Instruments executed from this day on follow the federal rule in California too (SB 711, Stats. 2025, ch. 231)."""


def _path(role: PartyRole) -> str:
    return f"spousal_support.to_{role}"


def _each(review: Review) -> Iterator[tuple[PartyRole, str, SpousalSupport]]:
    """Both directions: the supported party, the path of the facts, and the facts."""
    return ((role, _path(role), support_to(review.facts, role)) for role in ROLES)


def runs(support: SpousalSupport) -> bool:
    """Whether support is paid month by month, and not only in one sum or by a trade."""
    if support.outcome == "nominal":
        return True
    one_time = support.lump_sum is not None or support.buy_out is not None
    return support.outcome == "payable" and (support.amount is not None or bool(support.steps) or not one_time)


def _given_up(support: SpousalSupport) -> bool:
    return support.outcome in ("waived", "terminated")


def _figures(review: Review, role: PartyRole) -> SpousalFigures:
    """The figures of support to one party."""
    return review.figures.support_of_petitioner if role == "petitioner" else review.figures.support_of_respondent


def _name(review: Review, role: PartyRole) -> str:
    return party(review.facts, role).name.first


def _begins(support: SpousalSupport) -> date | None:
    return support.starts_on or (support.steps[0].from_day if support.steps else None)


def _ends(support: SpousalSupport) -> date | None:
    return support.ends_on or (support.steps[-1].to_day if support.steps else None)


def _unaddressed(support: SpousalSupport) -> list[str]:
    """The statutory events that the facts neither keep nor give up."""
    named = (*support.end_events, *support.end_events_waived)
    return [words for event, words in STATUTORY_EVENTS.items() if event not in named]


def _is_fixed(support: SpousalSupport) -> bool:
    return support.amount_may_change in FIXED_AMOUNTS or support.term_may_change == "nonmodifiable"


# Each direction, and the court's power


@rule(
    "spousal_support.direction",
    "stop",
    message="Spousal support must be decided in both directions.",
    why="Every issue of the case must be decided or kept open; silence about one spouse is neither",
    source="Cal. Rules of Court, rule 5.411(b)",
    mend="Give the outcome: payable, nominal, reserved, terminated or waived.",
)
def direction(review: Review) -> Iterator[Hit]:
    for role, path, support in _each(review):
        if support.outcome is None:
            yield Hit(f"{path}.outcome", f"Nothing is said about support for {_name(review, role)}.")


@rule(
    "spousal_support.long_waiver_words",
    "stop",
    message="After a marriage this long, silence keeps the court's power over support; the paper must plainly say that it ends.",
    why="A waiver or a general release does not by itself end the power that the court keeps after a long marriage",
    source="Fam. Code § 4336(a); In re Marriage of Ostrander (1997) 53 Cal.App.4th 63",
    mend="Set ends_power_words: yes, if that is meant after advice; or outcome: reserved, if the power is to stay.",
)
def long_waiver_words(review: Review) -> Iterator[Hit]:
    for role, path, support in _each(review):
        if review.figures.long_marriage and _given_up(support) and not support.ends_power_words:
            yield Hit(f"{path}.ends_power_words", f"Support for {_name(review, role)} is {support.outcome}.")


@rule(
    "spousal_support.long_waiver_advice",
    "warn",
    message="Giving up support after a long marriage calls for separate advice.",
    why="The right cannot be brought back, and a waiver without advice is easier to set aside",
    source="Fam. Code § 4336; common practice",
    mend="Have this party advised, and fill in independent_advice; or record why not.",
)
def long_waiver_advice(review: Review) -> Iterator[Hit]:
    for role, _, support in _each(review):
        advice = party(review.facts, role).independent_advice
        if review.figures.long_marriage and _given_up(support) and not (advice and advice.had):
            yield Hit(f"{role}.independent_advice.had", f"{_name(review, role)} gives up support.")


@rule(
    "spousal_support.long_term_silent",
    "stop",
    message="An end date does not by itself end the court's power after a long marriage.",
    why="The parties must say what becomes of the power when the term ends",
    source="Fam. Code § 4336; In re Marriage of Ousterman (1996) 46 Cal.App.4th 1090",
    mend="Give power_after_term: ends, extendable_by_motion or kept.",
)
def long_term_silent(review: Review) -> Iterator[Hit]:
    for _, path, support in _each(review):
        bounded = support.outcome in ("payable", "nominal", "reserved") and _ends(support)
        if review.figures.long_marriage and bounded and support.power_after_term is None:
            yield Hit(f"{path}.power_after_term", f"The last day is {_ends(support)}.")


@rule(
    "spousal_support.juris_conflict",
    "stop",
    message="The term cannot be both fixed and extendable.",
    why="A term that no court may change cannot be extended on a motion",
    source="Fam. Code §§ 3591(c), 4335 (4335 memory)",
    mend="Set power_after_term: ends, or term_may_change: modifiable.",
)
def juris_conflict(review: Review) -> Iterator[Hit]:
    for _, path, support in _each(review):
        if support.power_after_term == "extendable_by_motion" and support.term_may_change == "nonmodifiable":
            yield Hit(f"{path}.power_after_term")


# How long, and what ends it


@rule(
    "spousal_support.no_end_date",
    "warn",
    message="Support is payable, but no end is stated.",
    why="Outside a long marriage, half of its length is the general guide; without an end the order runs on",
    source="Fam. Code §§ 4320(l), 4335 (4335 memory)",
    mend="Give ends_on; or record that an open end is meant.",
)
def no_end_date(review: Review) -> Iterator[Hit]:
    for _, path, support in _each(review):
        payable = support.outcome == "payable" and runs(support)
        if payable and not review.figures.long_marriage and _ends(support) is None:
            yield Hit(f"{path}.ends_on", f"The marriage lasted {review.figures.marriage.months} months.")


@rule(
    "spousal_support.no_end_events",
    "stop",
    message="What ends support is not listed.",
    why="Parties argue later whether silence gave up the events at which support ends by law",
    source="Fam. Code § 4337",
    mend="List them in end_events: [death_of_payer, death_of_payee, remarriage, partnership], and date if there is a term.",
)
def no_end_events(review: Review) -> Iterator[Hit]:
    for _, path, support in _each(review):
        if runs(support) and not support.end_events:
            yield Hit(f"{path}.end_events")


@rule(
    "spousal_support.partial_events",
    "stop",
    message="The list of what ends support leaves an event out, which can be read as giving it up.",
    why="Support ends on either party's death and on remarriage unless a writing says otherwise; a partial list is argued to say so",
    source="Fam. Code § 4337; In re Marriage of Kircher (2010) 189 Cal.App.4th 1105; In re Marriage of Martin (2019) 32 Cal.App.5th 1195",
    mend="Add it to end_events; or, if it is meant not to end support, to end_events_waived.",
)
def partial_events(review: Review) -> Iterator[Hit]:
    for _, path, support in _each(review):
        left_out = _unaddressed(support)
        if runs(support) and support.end_events and left_out:
            yield Hit(f"{path}.end_events", f"Left out: {join_and(left_out)}.")


@rule(
    "spousal_support.waived_event",
    "warn",
    message="Support goes on after an event that ends it by law.",
    why="Both parties should show by their initials that they know it",
    source="Fam. Code § 4337; In re Marriage of Thornton (2002) 95 Cal.App.4th 251",
    mend="Have both initial the paragraph and set end_events_waived_initialed: yes; or take the event out of end_events_waived.",
)
def waived_event(review: Review) -> Iterator[Hit]:
    for _, path, support in _each(review):
        waived = [STATUTORY_EVENTS[event] for event in support.end_events_waived if event in STATUTORY_EVENTS]
        if runs(support) and waived and not support.end_events_waived_initialed:
            yield Hit(f"{path}.end_events_waived", f"It does not end on: {join_and(waived)}.")


@rule(
    "spousal_support.step_gap",
    "stop",
    message="The steps of support do not fit together.",
    why="A month outside the table, or in it twice, cannot be collected without a quarrel",
    source="logic",
    mend="Let each step begin the day after the one before, the first on starts_on and the last end on ends_on.",
)
def step_gap(review: Review) -> Iterator[Hit]:
    for _, path, support in _each(review):
        if not support.steps:
            continue
        due = support.starts_on
        for n, step in enumerate(support.steps):
            if due and step.from_day != due:
                yield Hit(f"{path}.steps.{n}.from_day", f"Step {n + 1} begins on {step.from_day}; {due} was due.")
            due = step.to_day + timedelta(days=1)
        last = len(support.steps) - 1
        if support.ends_on and support.steps[last].to_day != support.ends_on:
            yield Hit(
                f"{path}.steps.{last}.to_day",
                f"The last step ends on {support.steps[last].to_day}, the term on {support.ends_on}.",
            )


@rule(
    "spousal_support.half_length",
    "note",
    message="The term is far from half the length of the marriage, and no reason is stated.",
    why="Half the length is a general guide, neither a cap nor a promise; a court asks why a term is far from it",
    source="Fam. Code § 4320(l)",
    mend="Give the reason in term_reason.",
)
def half_length(review: Review) -> Iterator[Hit]:
    for role, path, support in _each(review):
        found = _figures(review, role)
        share = found.term_share.value if found.term_share else None
        if review.figures.long_marriage or not runs(support) or support.term_reason or not isinstance(share, Decimal):
            continue
        if not LEAST_OF_TERM <= share <= MOST_OF_TERM:
            half = f" Half of the marriage would end on {found.half.last_day}." if found.half else ""
            yield Hit(f"{path}.term_reason", f"The term is {share:.0f} percent of the marriage.{half}")


@rule(
    "spousal_support.after_child",
    "warn",
    message="Nothing says what happens to spousal support when child support ends.",
    why="The end of child support otherwise opens six months in which either may ask for a change",
    source="Fam. Code § 4326",
    mend="Give after_child_support: no_change, step, review or statute.",
)
def after_child(review: Review) -> Iterator[Hit]:
    for _, path, support in _each(review):
        if runs(support) and review.figures.supported_children.keys and support.after_child_support is None:
            yield Hit(f"{path}.after_child_support")


# Whether it can change


@rule(
    "spousal_support.nonmod_vague",
    "stop",
    message="It is not clear which part of support is fixed.",
    why="Support stays open to change except as far as the writing specifically says; amount and length are two things",
    source="Fam. Code § 3591(c); Fukuzaki v. Superior Court (1981) 120 Cal.App.3d 454",
    mend="Say for the amount and for the length whether each may change, with the floor or ceiling in dollars.",
)
def nonmod_vague(review: Review) -> Iterator[Hit]:
    for _, path, support in _each(review):
        if not runs(support):
            continue
        if support.amount_may_change in FIXED_AMOUNTS and support.term_may_change is None:
            yield Hit(f"{path}.term_may_change", "The amount is fixed; the length is not spoken of.")
        if support.term_may_change == "nonmodifiable" and support.amount_may_change is None:
            yield Hit(f"{path}.amount_may_change", "The length is fixed; the amount is not spoken of.")
        if support.amount_may_change in ("floor", "floor_and_ceiling") and support.floor is None:
            yield Hit(f"{path}.floor", "The floor is not named.")
        if support.amount_may_change in ("ceiling", "floor_and_ceiling") and support.ceiling is None:
            yield Hit(f"{path}.ceiling", "The ceiling is not named.")


@rule(
    "spousal_support.nonmod_events",
    "warn",
    message="Fixed support still ends on death and remarriage unless the paper says otherwise, and it does not speak of each.",
    why="That nobody may change support is not the same as that it survives death or remarriage",
    source="Fam. Code § 4337; In re Marriage of Thornton (2002) 95 Cal.App.4th 251",
    mend="Name each event in end_events or in end_events_waived.",
)
def nonmod_events(review: Review) -> Iterator[Hit]:
    for _, path, support in _each(review):
        left_out = _unaddressed(support)
        if runs(support) and _is_fixed(support) and left_out:
            yield Hit(f"{path}.end_events", f"Not spoken of: {join_and(left_out)}.")


@rule(
    "spousal_support.nonmod_disaster",
    "warn",
    message="A fixed amount or floor binds even through disability or loss of work, and nothing shows that this was weighed.",
    why="Courts hold the payer to it even when the payer can no longer earn",
    source="In re Marriage of Hibbard (2013) 212 Cal.App.4th 1007",
    mend="Set hardship_exception: yes or no.",
)
def nonmod_disaster(review: Review) -> Iterator[Hit]:
    for _, path, support in _each(review):
        binds = support.amount_may_change in ("nonmodifiable", "floor", "floor_and_ceiling")
        if runs(support) and binds and support.hardship_exception is None:
            yield Hit(f"{path}.hardship_exception")


# Outcomes that do not fit the other facts


@rule(
    "spousal_support.nominal",
    "stop",
    message="A reservation and a nominal order are different things.",
    why="A reservation carries no amount; a nominal order needs one, and takes another box on the judgment form",
    source="Fam. Code § 4336; form FL-343",
    mend="For a nominal order give outcome: nominal and an amount; for a reservation take the amount out.",
)
def nominal(review: Review) -> Iterator[Hit]:
    for _, path, support in _each(review):
        if support.outcome == "reserved" and (support.amount is not None or support.steps):
            yield Hit(
                f"{path}.amount" if support.amount is not None else f"{path}.steps", "It is reserved, with an amount."
            )
        if support.outcome == "nominal" and support.amount is None:
            yield Hit(f"{path}.amount", "It is nominal, without an amount.")


@rule(
    "spousal_support.self_support_clash",
    "warn",
    message="The notice to become self-supporting does not fit what the facts say of this party's health.",
    why="The notice may be held against a party who cannot work",
    source="Fam. Code § 4330(b) (memory); In re Marriage of Gavron (1988) 203 Cal.App.3d 705 (memory)",
    mend="Set self_support.notice: no, or correct the health facts.",
)
def self_support_clash(review: Review) -> Iterator[Hit]:
    for role, path, support in _each(review):
        one = party(review.facts, role)
        unable = one.health_note is not None or bool({"ssi", "ssdi"} & set(one.benefits))
        if support.self_support and support.self_support.notice and unable:
            yield Hit(f"{path}.self_support.notice")


@rule(
    "spousal_support.dv_bar",
    "stop",
    message="The law bars, or presumes against, support from an injured spouse to the spouse who was convicted.",
    why="After a felony the court may not order it; after a misdemeanor the presumption must be overcome",
    source="Fam. Code §§ 4324.5, 4325",
    mend="Take the support out; or, where the law leaves room, say in conviction_rule how the presumption is met. See a lawyer.",
)
def dv_bar(review: Review) -> Iterator[Hit]:
    filed = review.facts.case.petition_filed_on
    for role, path, support in _each(review):
        conviction = party(review.facts, role).violence_conviction
        if conviction is None or conviction.against == role or support.outcome not in ("payable", "nominal"):
            continue
        recent = _within_five_years(conviction, filed)
        met = support.conviction_rule in ("rebutted", "waived")
        # After a felony the period also runs with custody, probation and parole, whose end is not among the facts.
        if (conviction.level == "felony" and (recent or not met)) or (
            conviction.level == "misdemeanor" and recent and not met
        ):
            yield Hit(f"{path}.outcome", f"{_name(review, role)} would receive support.")


def _within_five_years(conviction: ViolenceConviction, filed: date | None) -> bool:
    if conviction.convicted_on is None or filed is None:
        return True
    return conviction.convicted_on >= filed - relativedelta(years=5)


@rule(
    "spousal_support.sponsor",
    "warn",
    message="A sponsor's federal promise of support may outlive this waiver.",
    why="A sponsored immigrant can enforce the affidavit of support beside family law",
    source="In re Marriage of Kumar (2017) 13 Cal.App.5th 1072",
    mend="Have both advised on the affidavit; do not let the paper say that it ends.",
)
def sponsor(review: Review) -> Iterator[Hit]:
    for role, one in parties(review.facts):
        if one.sponsor_affidavit is None:
            continue
        sponsored = other(one.sponsor_affidavit.sponsor)
        if _given_up(support_to(review.facts, sponsored)):
            yield Hit(f"{role}.sponsor_affidavit", f"Support for {_name(review, sponsored)} is given up.")


@rule(
    "spousal_support.lopsided",
    "warn",
    message="A party who gives up support has less than a third of the other's income.",
    why="Check that the waiver is informed and freely given; such waivers are the ones later attacked",
    source="common practice; Fam. Code § 2122",
    mend="Have this party advised and give waiver_reason; or provide support.",
)
def lopsided(review: Review) -> Iterator[Hit]:
    for role, path, support in _each(review):
        mine = party(review.facts, role).gross_monthly_income
        theirs = party(review.facts, other(role)).gross_monthly_income
        if _given_up(support) and mine is not None and theirs is not None and mine * 3 < theirs:
            yield Hit(f"{path}.outcome", f"{money(mine)} a month beside {money(theirs)}.")


# Payment and security

_RECEIVED = pattern(r"\breceiv|\breceipt\b")


@rule(
    "spousal_support.buyout_order",
    "warn",
    message="Support is given up before what is given for it has been paid.",
    why="If the payment fails, the right is gone",
    source="common practice",
    mend="Put the payment under buy_out, whose paragraph ends the right on receipt; or pay it at signing.",
)
def buyout_order(review: Review) -> Iterator[Hit]:
    for _, path, support in _each(review):
        if not _given_up(support):
            continue
        if support.buy_out is None and support.lump_sum is not None:
            yield Hit(f"{path}.lump_sum", "The right ends when judgment is entered, whether or not the sum is paid.")
        said = review.text_of("spousal_support.buyout")
        if support.buy_out is not None and said and not _RECEIVED.search(said):
            yield Hit(f"{path}.buy_out", "The paragraph on the buy-out does not wait for receipt.")


@rule(
    "spousal_support.policy_short",
    "warn",
    message="The policy does not cover what is owed.",
    why="If the payer dies, the supported party receives no more than the policy pays",
    source="Fam. Code § 4360",
    mend="Raise policy.face, name a further security, or lower the amount that is to be secured.",
)
def policy_short(review: Review) -> Iterator[Hit]:
    for role, path, support in _each(review):
        cover = _figures(review, role).cover
        for n, security in enumerate(support.security):
            asset = review.facts.assets.get(security.policy or "")
            face = asset.policy.face if asset and asset.policy else None
            need = security.amount if security.amount is not None else cover.needed if cover else None
            if face is not None and need is not None and face < need:
                yield Hit(f"{path}.security.{n}.policy", f"It pays {money(face)}; {money(need)} is to be secured.")


@rule(
    "spousal_support.cover_short",
    "note",
    message="The life insurance agreed on is less than the support that is still to fall due at the start.",
    why="If the payer dies early, part of the support is secured by nothing but a claim against the estate",
    source="Fam. Code § 4360",
    mend="Nothing need change if that is meant; otherwise raise the amount of the security.",
)
def cover_short(review: Review) -> Iterator[Hit]:
    for role, path, support in _each(review):
        cover = _figures(review, role).cover
        insured = [(n, s.amount) for n, s in enumerate(support.security) if s.kind == "insurance"]
        amounts = [amount for _, amount in insured if amount is not None]
        if cover is None or not insured or len(amounts) < len(insured):
            continue
        agreed = sum(amounts, Decimal("0.00"))
        if agreed < cover.needed:
            yield Hit(
                f"{path}.security.{insured[0][0]}.amount",
                f"{money(agreed)} is agreed; {money(cover.needed)} is to fall due.",
            )


# Temporary orders and tax


def _temporary_orders(review: Review) -> list[tuple[str, PriorOrder]]:
    return [
        (f"case.prior_orders.{n}", order)
        for n, order in enumerate(review.facts.case.prior_orders)
        if order.subject == "spousal_support"
    ]


@rule(
    "spousal_support.temp_arrears",
    "warn",
    message="There is a temporary support order, and nothing says what becomes of unpaid support.",
    why="Words that give up or replace support are argued to cover what was already due",
    source="common practice",
    mend="Add arrears with its fate (pay, waive or reserve) to the direction that the order concerns, with principal 0.00 if nothing is owed.",
)
def temp_arrears(review: Review) -> Iterator[Hit]:
    orders = _temporary_orders(review)
    settled = any(s.arrears and s.arrears.fate for _, _, s in _each(review))
    if orders and not settled:
        open_at = [f"{path}.arrears.fate" for _, path, s in _each(review) if s.arrears]
        yield Hit(open_at[0] if open_at else orders[0][0])


_CREDITED = pattern(r"\bcounts toward\b|\bcredit|\bpaid twice\b")


@rule(
    "spousal_support.start_overlap",
    "warn",
    message="Support begins while a temporary order still runs, and nothing credits what is paid under that order.",
    why="Temporary support falls due until the judgment is entered, so one month may be payable twice",
    source="common practice",
    mend="Let starts_on fall in the month after signing, or let the paragraph on payment give credit.",
)
def start_overlap(review: Review) -> Iterator[Hit]:
    if not _temporary_orders(review) or _CREDITED.search(review.text_of("spousal_support.payment")):
        return
    as_of = review.figures.as_of
    for _, path, support in _each(review):
        starts = _begins(support)
        if runs(support) and starts and (starts.year, starts.month) <= (as_of.year, as_of.month):
            yield Hit(f"{path}.starts_on", f"It begins on {starts}; the planned signing is on {as_of}.")


@rule(
    "spousal_support.modify_opt",
    "warn",
    message="An older support order goes on in changed form, and no tax rule is chosen for it.",
    why="For an order of before 2026 the new California rule applies only if the change expressly says so",
    source="Franchise Tax Board, alimony page of January 7, 2026; SB 711 (Stats. 2025, ch. 231)",
    mend="Set tax_rule: earlier_order_kept or earlier_order_new_rule.",
)
def modify_opt(review: Review) -> Iterator[Hit]:
    older = [
        order
        for _, order in _temporary_orders(review)
        if order.fate in ("continues", "merges") and order.made_on and order.made_on < NEW_CALIFORNIA_TAX_RULE
    ]
    for _, path, support in _each(review):
        if older and review.figures.alimony_rules_match and runs(support) and support.tax_rule == "current":
            yield Hit(f"{path}.tax_rule", f"The order was made on {older[0].made_on}.")


_OLD_TAX = pattern(
    r"\bdeductible\b|\b(may|shall|can|will) deduct\b(?![^.]*\bfrom\b)|\btax deduction\b|\btaxable\b"
    r"|\breport\w*\b[^.]*\bas income\b|\binclud\w*\b[^.]*\bin (gross |taxable )?income\b"
)
_SUPPORT = pattern(r"\b(spousal|partner) support\b|\balimony\b|\bmaintenance\b")


@rule(
    "spousal_support.old_tax",
    "stop",
    message="The text treats support as deductible or as income.",
    why="In a new agreement it is neither, for federal tax and, from 2026 on, for California tax",
    source="Franchise Tax Board, alimony page of January 7, 2026; Pub. L. 115-97, § 11051 (memory)",
    mend="Take the words out; the paragraph on taxes states the rule.",
)
def old_tax(review: Review) -> Iterator[Hit]:
    current = []
    for role, path, support in _each(review):
        tax = _figures(review, role).tax
        neither = tax is not None and tax.federal == tax.california == "neither"
        if neither and support.outcome in ("payable", "nominal") and support.tax_rule == "current":
            current.append(path)
    if not current:
        return
    for path, sentence in own_terms(review.facts):
        if speaks_of(sentence, _OLD_TAX, _SUPPORT) and not denies(sentence):
            yield Hit(path)
    for block in review.blocks:
        if not block.clause.startswith("spousal_support.") or block.clause == "spousal_support.special_terms":
            continue
        if any(_OLD_TAX.search(sentence) and not denies(sentence) for sentence in sentences(review.words(block))):
            yield Hit(f"{current[0]}.tax_rule", f"Paragraph {review.numbering[block.id].full}.")
