"""Rules about who the people are, the order of dates, and what must not be readable in a filed paper."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from functools import lru_cache
from itertools import pairwise

from msadraft.attachments.mail import postal_part
from msadraft.facts.people import Party
from msadraft.facts.scalars import read_text
from msadraft.review.base import Hit, Review, rule
from msadraft.review.common import last_signing_day, parties
from msadraft.tree import Text, inlines

WAITING = {
    "identity.name_mismatch": "the names as they stand in the caption of the petition",
    "identity.separation_conflict": "the separation dates stated in the petition and in the disclosure papers",
    "identity.child_missing": "the children named in the petition",
}
"""Rules that cannot be decided yet, and what each waits for."""

TEN_YEARS = range(117, 123)
"""Whole months of marriage that are near enough to ten years to look again."""

HIDDEN_WITH_ADDRESS = ("address", "email", "phone", "employer")
"""Facts of a party that lead to the home, and are hidden with the address."""


@rule(
    "identity.ten_year_edge",
    "warn",
    message="The separation date decides whether this counts as a long marriage; confirm it.",
    why="From ten years on the court keeps its power over spousal support unless the agreement ends it",
    source="Fam. Code § 4336(b)",
    mend="Compare marriage.separated_on with the petition and the facts; record what it rests on.",
)
def ten_year_edge(review: Review) -> Iterator[Hit]:
    length = review.figures.marriage
    if length.months in TEN_YEARS:
        yield Hit("marriage.separated_on", f"The marriage lasted {length.months} months and {length.days} days.")


@rule(
    "identity.date_order",
    "stop",
    message="Dates are out of order.",
    why="A paper that contradicts itself comes back, and a wrong date moves deadlines and property",
    source="logic; Fam. Code § 2339 (memory) for status",
    mend="Correct one of the two dates.",
)
def date_order(review: Review) -> Iterator[Hit]:
    facts = review.facts
    case, marriage = facts.case, facts.marriage
    filed, signing = case.petition_filed_on, last_signing_day(facts)
    pairs: list[tuple[str, str, date | None, str, date | None]] = [
        ("marriage.separated_on", "the separation", marriage.separated_on, "the wedding or registration", review.figures.marriage_starts_on),
        ("case.petition_filed_on", "the petition", filed, "the wedding or registration", review.figures.marriage_starts_on),
        ("case.served_on", "service", case.served_on, "the petition", filed),
        ("case.response_filed_on", "the response", case.response_filed_on, "the petition", filed),
        ("case.appearance_on", "the appearance", case.appearance_on, "the petition", filed),
        ("case.default_entered_on", "default", case.default_entered_on, "the petition", filed),
        ("marriage.separated_on", "signing", signing, "the separation", marriage.separated_on),
    ]  # fmt: skip
    pairs += [
        (f"{role}.signed_on", f"the {role}'s signature", one.signed_on, "the petition", filed)
        for role, one in parties(facts)
    ]
    for path, later, second, earlier, first in pairs:
        if first and second and second < first:
            yield Hit(path, f"{later.capitalize()} ({second}) comes before {earlier} ({first}).")
    on_signature = case.effective_rule in ("last_signature", "split")
    for role, one in parties(facts):
        if on_signature and one.signed_on and case.status_on and case.status_on < one.signed_on:
            yield Hit(
                f"{role}.signed_on", f"The {role} signed on {one.signed_on}, after the status date {case.status_on}."
            )


@rule(
    "identity.parentage_open",
    "stop",
    message="A child born before the marriage needs a parentage finding.",
    why="The judgment must say how both spouses came to be the parents of a child whom the marriage does not cover",
    source="Fam. Code § 2330.1; forms FL-100 item 4, FL-170 item 9, FL-180 item 4i(2)",
    mend="Say how parentage is established (declaration, judgment or adoption), or ask for the finding in the petition and add other to case.petition_relief.",
)
def parentage_open(review: Review) -> Iterator[Hit]:
    facts = review.facts
    for key in review.figures.children_of_both.keys:
        child = facts.children[key]
        early = child.born_on is not None and child.born_on < review.figures.marriage_starts_on
        if child.parentage == "to_establish" and "other" not in facts.case.petition_relief:
            yield Hit(f"children.{key}.parentage", f"Nothing establishes it for {child.name.first}.")
        elif early and not child.before_marriage:
            yield Hit(
                f"children.{key}.before_marriage",
                f"{child.name.first} was born on {child.born_on}, before {review.figures.marriage_starts_on}.",
            )
        elif child.before_marriage and child.parentage == "marital":
            yield Hit(f"children.{key}.parentage", f"The marriage alone does not establish it for {child.name.first}.")


@rule(
    "identity.same_first_name",
    "stop",
    message="Both parties have the same first name, and the agreement calls them by it.",
    why="Nobody could tell who owes what to whom",
    source="logic",
    mend="Set case.party_labels to roles.",
)
def same_first_name(review: Review) -> Iterator[Hit]:
    names = [one.name.first.casefold().strip() for _, one in parties(review.facts)]
    if review.facts.case.party_labels == "given_names" and names[0] == names[1]:
        yield Hit("case.party_labels", f"{review.facts.petitioner.name.first}.")


@rule(
    "identity.notice_address",
    "warn",
    message="The address given for notices does not fit the way in which notice is given.",
    why="A notice that cannot be sent as the agreement says is no notice",
    source="common practice",
    mend="Give a mailing address or an email address to match, or change notices.methods.",
)
def notice_address(review: Review) -> Iterator[Hit]:
    notices = review.facts.notices
    for role, one in parties(review.facts):
        given = getattr(notices.addresses, f"to_{role}") if notices.addresses else None
        if given is None:
            continue
        by_email = "@" in given or (one.email is not None and not one.address_hidden)
        fits = {"email": by_email, "mail": bool(postal_part(given)), "personal": True}
        unfit = [method for method in notices.methods if not fits[method]]
        # Post that cannot be sent is a gap even beside email; a party without email may be reached by another way.
        if "mail" in unfit or (unfit and len(unfit) == len(notices.methods)):
            wanted = "mail" if "mail" in unfit else unfit[0]
            lacks = "a mailing" if wanted == "mail" else "an email"
            yield Hit(
                f"notices.addresses.to_{role}",
                f"Notice to the {role} may go by {wanted}, but {lacks} address is not given.",
            )


@rule(
    "identity.full_number",
    "stop",
    message="A full account or tax number is in the text.",
    why="Only the last four digits may appear in a filed paper",
    source="Cal. Rules of Court, rule 1.201 (memory)",
    mend="Keep the last four digits only.",
)
def full_number(review: Review) -> Iterator[Hit]:
    for block, piece in review.pieces:
        if isinstance(piece, Text) and _holds_full_number(piece.text):
            yield Hit(piece.source, f"Paragraph {review.numbering[block.id].full}.")


_DIGIT = re.compile(r"\d")


@lru_cache(maxsize=8192)  # most of a paper is the wording of the clauses, which comes again in every case
def _holds_full_number(text: str) -> bool:
    if not _DIGIT.search(text):
        return False
    try:
        read_text(text)
    except ValueError as error:
        return "account or Social Security number" in str(error)
    return False


@rule(
    "identity.safety_leak",
    "stop",
    message="The text shows how to find a party whose address is to stay hidden.",
    why="A filed paper can be read by anybody",
    source="Fam. Code § 3429; Gov. Code § 6205 et seq. (memory)",
    mend="Take it out of the term that prints it, or put a safe mailing address under notices.addresses.",
)
def safety_leak(review: Review) -> Iterator[Hit]:
    secrets: dict[str, str] = {}
    for role, one in parties(review.facts):
        if one.address_hidden:
            secrets |= {value.casefold(): path for path, value in _traces(role, one)}
    secrets |= {
        order.number.casefold(): f"case.protective_orders.{n}.number"
        for n, order in enumerate(review.facts.case.protective_orders)
        if order.number
    }
    if not secrets:
        return
    hidden = tuple(
        f"{role}.{name}" for role, one in parties(review.facts) if one.address_hidden for name in HIDDEN_WITH_ADDRESS
    )
    for block in review.blocks:
        said = review.words(block).casefold()
        found = {path for value, path in secrets.items() if value in said}
        found |= {p.source for p in inlines(block) if isinstance(p, Text) and p.text and p.source.startswith(hidden)}
        for path in sorted(found):
            yield Hit(path, f"Paragraph {review.numbering[block.id].full}.")


def _traces(role: str, one: Party) -> Iterator[tuple[str, str]]:
    """What leads to a hidden home, with its path; a city or state alone does not."""
    if one.address and one.address.street:
        yield f"{role}.address.street", one.address.street
    for name, value in (("email", one.email), ("phone", one.phone), ("employer", one.employer)):
        if value:
            yield f"{role}.{name}", value


@rule(
    "identity.born_later",
    "stop",
    message="A child is recorded as born after the day of signing.",
    why="Custody and support orders cover a child from birth; a birth date in the future is a slip",
    source="Fam. Code § 3901; logic",
    mend="Correct born_on, or leave it out and give due_on for a child who is not born yet.",
)
def born_later(review: Review) -> Iterator[Hit]:
    for key, child in review.facts.children.items():
        if child.born_on and child.born_on > review.figures.as_of:
            yield Hit(f"children.{key}.born_on", f"{child.name.first}.")


@rule(
    "identity.residence_overlap",
    "warn",
    message="A child's places of residence overlap.",
    why="The declaration about where the children lived decides which state's court has jurisdiction",
    source="Fam. Code § 3429(a)",
    mend="Let each stay end before the next begins; a child who lives in two homes has one line with both.",
)
def residence_overlap(review: Review) -> Iterator[Hit]:
    for key, child in review.facts.children.items():
        stays = [(n, stay) for n, stay in enumerate(child.residence_five_years) if stay.from_day]
        stays.sort(key=lambda entry: entry[1].from_day or date.min)
        for (_, earlier), (n, later) in pairwise(stays):
            if later.from_day and (earlier.to_day is None or later.from_day < earlier.to_day):
                yield Hit(f"children.{key}.residence_five_years.{n}.from_day", f"{child.name.first}.")
