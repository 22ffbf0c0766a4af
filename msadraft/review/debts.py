"""Rules about debts."""

from __future__ import annotations

from collections.abc import Iterator

from msadraft.facts.property import Debt
from msadraft.review.base import Hit, Review, rule
from msadraft.review.belongings import debt_name, debts, keeper
from msadraft.review.common import ROLES
from msadraft.review.own_words import denies, own_terms, pattern, speaks_of


@rule(
    "debt.unassigned",
    "stop",
    message="This debt has no payer:",
    why="The court must confirm or assign every debt of the community",
    source="Fam. Code § 2551",
    mend="Give assigned_to: petitioner, respondent, split or from_sale.",
)
def debt_unassigned(review: Review) -> Iterator[Hit]:
    for key, path, debt in debts(review):
        if debt.assigned_to is None:
            yield Hit(f"{path}.assigned_to", f"{debt_name(key, debt)}.")


@rule(
    "debt.collateral",
    "warn",
    message="The party who pays this debt does not receive the property that secures it.",
    why="If the payments stop, the other party loses the property",
    source="common practice; Fam. Code § 916(a)(2)",
    mend="Assign the debt to the party who receives the property, or give security.",
)
def collateral(review: Review) -> Iterator[Hit]:
    for key, path, debt in debts(review):
        held = review.facts.assets.get(debt.secured_by or "")
        if held and debt.assigned_to in ROLES and keeper(held) not in (None, debt.assigned_to):
            yield Hit(f"{path}.assigned_to", f"{debt_name(key, debt)}; {held.label} goes to {held.goes_to}.")


@rule(
    "debt.open_joint",
    "warn",
    message="A joint card stays open, and new charges can still be made.",
    why="Both owe every new charge to the creditor, whoever makes it",
    source="common practice",
    mend="Give close_by.",
)
def open_joint(review: Review) -> Iterator[Hit]:
    for key, path, debt in debts(review):
        if debt.kind == "card" and debt.obligors == "both" and debt.close_by is None:
            yield Hit(f"{path}.close_by", f"{debt_name(key, debt)}.")


_SET_OFF = pattern(
    r"\bset[- ]?off\b|\boffset\b|\bdeduct\w* from\b|\btake\w* off\b|\bcredited against\b|\bwithhold\w* from\b"
)
_CHILD_SUPPORT = pattern(r"\bchild support\b")


@rule(
    "debt.set_off",
    "stop",
    message="A term lets a debt be set off against child support.",
    why="Child support belongs to the children's needs and cannot be reduced in this way",
    source="common practice; Fam. Code § 4065",
    mend="Take it out, or let the set-off reach property payments only.",
)
def set_off(review: Review) -> Iterator[Hit]:
    for path, sentence in own_terms(review.facts):
        if speaks_of(sentence, _SET_OFF, _CHILD_SUPPORT) and not denies(sentence):
            yield Hit(path)


_CREDITORS = pattern(r"\bcreditors?\b[^.]*\bnot bound\b|\bnot bind\b[^.]*\bcreditors?\b")


@rule(
    "debt.creditor",
    "note",
    message="The creditor is not bound by this agreement, and the other party goes on owing this debt to the creditor.",
    why="A spouse who signed for a debt stays liable to the creditor after the other takes it over",
    source="Fam. Code § 916(a)(1) (memory)",
    mend="Nothing need change if both know it; payment or a refinance at signing, or the creditor's written release, is safer.",
)
def creditor(review: Review) -> Iterator[Hit]:
    warned = _CREDITORS.search(review.text_of("debt.assigned")) is not None
    for key, path, debt in debts(review):
        joint = debt.obligors == "both" and debt.assigned_to in ROLES
        if joint and (not warned or _bound_without_the_property(review, debt)):
            yield Hit(f"{path}.obligors", f"{debt_name(key, debt)}.")


def _bound_without_the_property(review: Review, debt: Debt) -> bool:
    """Whether the other party keeps owing the debt for property that is no longer theirs, or with no day on which it ends."""
    held = review.facts.assets.get(debt.secured_by or "")
    if held:
        return keeper(held) == debt.assigned_to
    return debt.pay_by is None and debt.close_by is None
