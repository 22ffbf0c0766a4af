"""Small cases for the tests of the review rules. All people in them are invented."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any

import msadraft.review.rules  # noqa: F401  (registers every rule)
from msadraft.agreement.numbering import number
from msadraft.facts.model import Facts
from msadraft.facts.view import Seen
from msadraft.figures.compute import compute
from msadraft.library.clause import Clause
from msadraft.library.select import Chosen, Selection
from msadraft.review.base import RULES, Hit, Review
from msadraft.tree import Agreement, Block, Caption, Paragraph, Section, Text

DROP = object()
"""As the value of an override: take the fact out."""

BASE: dict[str, Any] = {
    "case": {
        "county": "Alameda",
        "number": "26FL000001",
        "path": "response_filed",
        "petition_filed_on": "2026-01-12",
        "served_on": "2026-01-20",
        "service_method": "personal",
        "response_filed_on": "2026-02-10",
        "residence": {"petitioner_months_in_state": "60", "petitioner_months_in_county": "60"},
        "merger": "merge_all",
        "effective_rule": "last_signature",
        "public_assistance": "none",
        "child_support_agency": "no",
        "signing_on": "2026-11-20",
    },
    "petitioner": {
        "name": {"first": "Ann", "last": "Barrow"},
        "address": {"street": "1 Elm Street", "city": "Oakland", "state": "California", "post_code": "94601"},
        "representation": "none",
        "disclosure": {
            "preliminary_served_on": "2026-03-02",
            "final_served_on": "2026-10-05",
            "income_declaration_on": "2026-10-01",
        },
    },
    "respondent": {
        "name": {"first": "Cole", "last": "Dunn"},
        "address": {"street": "2 Oak Street", "city": "Hayward", "state": "California", "post_code": "94541"},
        "representation": "none",
        "disclosure": {
            "preliminary_served_on": "2026-03-09",
            "final_served_on": "2026-10-06",
            "income_declaration_on": "2026-10-01",
        },
    },
    "marriage": {"married_on": "2016-06-18", "separated_on": "2025-01-31"},
    "fees": {"plan": "own"},
}
"""A marriage of eight years, nothing owned, no children, both disclosures served."""

CHILD: dict[str, Any] = {
    "children.may": {
        "name": {"first": "May", "last": "Dunn"},
        "born_on": "2017-05-05",
        "habitual_country": "United States",
    },
    "parenting": {
        "legal_custody": "sole_petitioner",
        "physical_custody": "joint",
        "pattern": "custom_grid",
        "weeks_in_cycle": "1",
        "handover_time": "18:00",
        "blocks": [
            {"from_day": "monday", "to_day": "friday", "parent": "petitioner"},
            {"from_day": "friday", "to_day": "monday", "parent": "respondent"},
        ],
        "finality": "final",
        "jurisdiction_basis": "home_state",
        "notice_basis": "appeared",
    },
    "child_support": {
        "mode": "guideline",
        "payer": "respondent",
        "amount": "700.00",
        "guideline_amount": "700.00",
        "guideline_payer": "respondent",
        "guideline_on": "2026-11-02",
        "add_ons": [{"kind": "health", "petitioner_percent": "40"}],
        "insurance": {"provider": "respondent"},
        "method": "withholding",
        "declarations": {
            "informed": "yes",
            "no_coercion": "yes",
            "best_interests": "yes",
            "needs_met": "yes",
            "not_assigned": "yes",
        },
    },
}
"""One child of both, nine years old, with a complete plan and guideline support."""


def facts(*overrides: Mapping[str, Any]) -> Facts:
    """The base case with overrides by dotted path: `facts(CHILD, {"case.number": DROP, "parenting.blocks.0.week": "2"})`."""
    data = copy.deepcopy(BASE)
    for part in overrides:
        for path, value in part.items():
            _put(data, path, copy.deepcopy(value) if value is not DROP else value)
    return Facts.model_validate(data)


def _put(data: Any, path: str, value: Any) -> None:
    *above, last = path.split(".")
    for step in above:
        data = data[int(step)] if isinstance(data, list) else data.setdefault(step, {})
    if value is DROP:
        data.pop(last, None)
    elif isinstance(data, list):
        data[int(last) : int(last) + 1] = [value]
    else:
        data[last] = value


def paper(*chosen: Chosen, blocks: Mapping[str, tuple[Block, ...]] | None = None) -> tuple[Selection, Agreement]:
    """A hand-made paper: the clauses chosen, and blocks by section."""
    sections = tuple(
        Section(name, "exhibit" if name.startswith("exhibit.") else "article", (Text(name),), found)
        for name, found in (blocks or {}).items()
    )
    empty: tuple[Text, ...] = ()
    return (
        Selection(tuple(chosen), (), {}, Seen()),
        Agreement("Agreement", Caption(empty, empty, empty, empty, empty), sections),
    )


def clause(clause_id: str, section: str = "article.general", key: str = "", **more: Any) -> Chosen:
    """A clause that is in the paper; `key` is the short name of its record, where it repeats."""
    from msadraft.facts.view import View

    item = View({}, f"assets.{key}", Seen(), lambda path: None) if key else None
    return Chosen(Clause(id=clause_id, heading="Heading", purpose="for a test", **more), section, item, {})


def text(clause_id: str, words: str, source: str = "", label: str = "") -> Paragraph:
    """A paragraph of one piece of text."""
    return Paragraph(f"{clause_id}/{label}" if label else clause_id, clause_id, 1, (Text(words, source),))


def review(
    *overrides: Mapping[str, Any],
    chosen: tuple[Chosen, ...] = (),
    blocks: Mapping[str, tuple[Block, ...]] | None = None,
) -> Review:
    """What a rule looks at: the base case with overrides, and a hand-made paper (empty unless given)."""
    case = facts(*overrides)
    selection, agreement = paper(*chosen, blocks=blocks)
    return Review(case, compute(case), selection, agreement, number(agreement))


def hits(rule_id: str, given: Review) -> list[Hit]:
    """What one rule finds."""
    return list(RULES[rule_id].find(given))


def paths(rule_id: str, *overrides: Mapping[str, Any]) -> list[str]:
    """Where one rule strikes in the base case with overrides and an empty paper."""
    return [hit.path for hit in hits(rule_id, review(*overrides))]


def rules_of(*modules: object) -> set[str]:
    """The rules that stand in some modules."""
    names = {module.__name__ for module in modules}  # type: ignore[attr-defined]
    return {rule_id for rule_id, found in RULES.items() if found.find.__module__ in names}


def struck(table: list[tuple[str, list[dict[str, Any]], list[str]]]) -> set[str]:
    """The rules of which a table has both a case that strikes and one that does not."""
    return {r for r, _, found in table if found} & {r for r, _, found in table if not found}
