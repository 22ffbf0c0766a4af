"""Rules about clauses that exclude each other, and clauses that need others beside them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from msadraft.library.select import Chosen
from msadraft.review.base import Hit, Review, rule
from msadraft.review.common import ROLES, custody_decided, support_to, supported

CHILD_SUPPORT = ("child_support.guideline", "child_support.above", "child_support.below", "child_support.zero")
SCHEDULES = tuple(
    f"custody.schedule.{pattern}" for pattern in ("equal", "weekends", "long_distance", "stepup", "by_agreement")
)
SPOUSAL_SUPPORT = (
    "spousal_support.term",
    "spousal_support.open_ended",
    "spousal_support.stepdown",
    "spousal_support.nominal",
)
PLANS_WITH_ORDER = tuple(f"property.retirement.{kind}" for kind in ("dc", "db", "public", "military", "in_pay"))


@dataclass(frozen=True, slots=True)
class Pull:
    """If one of `these` is in the paper (for a record), all of `those` must be in too (for that record, where they repeat).

    `path` is the fact that brought the first one in; `only_if` narrows it to some cases.
    """

    these: tuple[str, ...]
    those: tuple[str, ...]
    path: str
    only_if: Callable[[Review, str], bool] = lambda review, key: True


def _support_has_sum(review: Review, key: str) -> bool:
    return review.facts.child_support.mode in ("guideline", "above", "below") and review.facts.child_support.amount != 0


def _has_end_date(review: Review, key: str) -> bool:
    return any(role == key and support_to(review.facts, role).ends_on for role in ROLES)


def _supports_children(review: Review, key: str) -> bool:
    return bool(supported(review))


def _sells_if_refinance_fails(review: Review, key: str) -> bool:
    asset = review.facts.assets.get(key)
    return asset is not None and asset.real is not None and asset.real.fallback == "sell"


def _traded_for_property(review: Review, key: str) -> bool:
    buy_outs = [support_to(review.facts, role).buy_out for role in ROLES if role == key]
    return any(found and found.trade for found in buy_outs)


def _lease(review: Review, key: str) -> bool:
    asset = review.facts.assets.get(key)
    return asset is not None and asset.real is not None and asset.real.use == "lease"


PULLS = (
    Pull(
        CHILD_SUPPORT,
        (
            "child_support.acknowledgments", "child_support.addons.health", "child_support.addons.childcare",
            "child_support.health_insurance", "child_support.changes", "tax.dependents",
        ),
        "child_support.mode",
    ),
    Pull(CHILD_SUPPORT, ("child_support.duration", "child_support.payment"), "child_support.amount", _support_has_sum),
    Pull(
        ("custody.legal.joint",), ("custody.decision_process", "custody.health_education"), "parenting.legal_custody"
    ),
    Pull(
        SCHEDULES,
        (
            "custody.findings", "custody.physical", "custody.holidays", "custody.exchange", "custody.travel",
            "custody.relocation",
        ),
        "parenting.pattern",
    ),
    Pull(
        SPOUSAL_SUPPORT,
        (
            "spousal_support.end_events", "spousal_support.cohabitation", "spousal_support.payment",
            "spousal_support.tax", "spousal_support.findings",
        ),
        "spousal_support.to_{key}.outcome",
    ),
    Pull(
        SPOUSAL_SUPPORT, ("spousal_support.jurisdiction_end",), "spousal_support.to_{key}.ends_on", _has_end_date
    ),
    Pull(
        SPOUSAL_SUPPORT,
        ("spousal_support.after_child_support",),
        "spousal_support.to_{key}.after_child_support",
        _supports_children,
    ),
    Pull(
        ("spousal_support.buyout",), ("property.unequal",), "spousal_support.to_{key}.buy_out", _traded_for_property
    ),
    Pull(("property.home.buyout",), ("property.home.transfer",), "assets.{key}.real.plan", lambda r, k: not _lease(r, k)),
    Pull(
        ("property.home.buyout",), ("property.home.sale_rules",), "assets.{key}.real.fallback", _sells_if_refinance_fails
    ),
    Pull(
        ("property.home.deferred_sale",),
        ("property.home.sale_rules", "property.home.transfer", "tax.transfers"),
        "assets.{key}.real.plan",
    ),
    Pull(
        PLANS_WITH_ORDER,
        ("property.retirement.survivor", "property.retirement.order_mechanics", "general.enforcement_reserve"),
        "assets.{key}.retirement.method",
    ),
    Pull(("property.retirement.ira",), ("general.enforcement_reserve",), "assets.{key}.retirement.method"),
    Pull(
        ("property.equal.note",),
        ("exhibit.note", "general.bankruptcy", "estate.death_before_judgment"),
        "equalization.mode",
    ),
    Pull(("property.business",), ("debt.indemnity", "tax.audit"), "assets.{key}.kind"),
    Pull(("child_support.security",), ("estate.beneficiaries",), "child_support.security"),
    Pull(("spousal_support.security",), ("estate.beneficiaries",), "spousal_support.to_{key}.security"),
    Pull(("general.release",), ("property.omitted",), "assets"),
)  # fmt: skip
"""What must stand beside what. Sources: Fam. Code §§ 3048(a), 3083 (custody); 4062, 4065 (child support); 4335, 4337
(spousal support); 2610 (plans); 2556 (release); the rest is common practice."""


def _needed_by_facts(review: Review) -> Iterator[tuple[str, str, str]]:
    """Clauses that the case itself calls for: the clause, why, and the fact."""
    facts, figures = review.facts, review.figures
    if figures.long_marriage:
        yield "spousal_support.long_marriage", "a marriage of ten years or more", "marriage.separated_on"
    if figures.default_path:
        yield "juris.default_scope", "a default with an agreement", "case.path"
        yield "sign.notary", "a default with an agreement", "case.path"
    if figures.violence and custody_decided(review):
        yield "custody.safety", "domestic violence", "parenting.violence_terms"
    if figures.abduction_risk and custody_decided(review):
        yield "custody.abduction", "a risk of abduction", "parenting.abduction_steps"
    if facts.case.mediated:
        yield "general.mediation", "a mediated agreement", "case.mediated"


def has_clause(review: Review, clause_id: str, key: str = "") -> bool:
    """Whether a clause is in the paper; for one record, if the clause repeats over records."""
    found = [chosen for chosen in review.selection.chosen if chosen.clause.id == clause_id]
    if key and any(chosen.item is not None for chosen in found):
        return any(chosen.id == f"{clause_id}:{key}" for chosen in found)
    return bool(found)


def _key(chosen: Chosen) -> str:
    return chosen.id.removeprefix(chosen.clause.id).removeprefix(":")


@rule(
    "general.pulled_in",
    "warn",
    message="A clause that belongs beside the rest is not in the paper:",
    why="Each of the two alone leaves a gap that a court or the other party would have to fill",
    source="Fam. Code §§ 2556, 2610, 3048(a), 3083, 4062, 4065, 4335, 4337; common practice",
    mend="`msadraft clauses show` tells when the clause is taken; give the facts that it asks for, or mend the firm's own clause that took its place.",
)
def pulled_in(review: Review) -> Iterator[Hit]:
    for pull in PULLS:
        keys = [_key(c) for c in review.selection.chosen if c.clause.id in pull.these]
        for key in dict.fromkeys(keys):
            if not pull.only_if(review, key):
                continue
            for wanted in pull.those:
                if not has_clause(review, wanted, key):
                    yield Hit(pull.path.format(key=key), f"{wanted}{f' ({key})' if key else ''}.")
    for wanted, why, path in _needed_by_facts(review):
        if not has_clause(review, wanted):
            yield Hit(path, f"{wanted}, because of {why}.")


@rule(
    "general.kept_designation",
    "warn",
    message="A policy secures support but is not listed among the beneficiary designations that are kept.",
    why="The end of marriage revokes many designations of a former spouse, and the duty to change beneficiaries would undo the security",
    source="Prob. Code § 5040; Egelhoff v. Egelhoff (2001) 532 U.S. 141 (memory)",
    mend="Add the policy under estate.kept_designations.",
)
def kept_designation(review: Review) -> Iterator[Hit]:
    facts = review.facts
    kept = {entry.asset for entry in facts.estate.kept_designations}
    groups = {"child_support": facts.child_support.security}
    groups |= {f"spousal_support.to_{role}": support_to(facts, role).security for role in ROLES}
    for path, securities in groups.items():
        for n, security in enumerate(securities):
            if security.policy and security.policy not in kept:
                yield Hit(f"{path}.security.{n}.policy", f"It is {facts.assets[security.policy].label}.")


@rule(
    "general.two_choices",
    "stop",
    message="Two clauses that exclude each other are both in the paper:",
    why="The paper would decide one question in two ways",
    source="common practice",
    mend="Mend the condition of one of the two clauses; the library's own never meet.",
)
def two_choices(review: Review) -> Iterator[Hit]:
    seen: dict[tuple[str, str], Chosen] = {}
    for chosen in review.selection.chosen:
        if not chosen.clause.one_of:
            continue
        place = (chosen.clause.one_of, _key(chosen))
        if place in seen:
            yield Hit("clauses", f"{seen[place].id} and {chosen.id}.")
        else:
            seen[place] = chosen
