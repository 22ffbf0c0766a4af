"""The scenarios, round by round: outline, map and findings as recorded, and what must hold of each of them."""

from __future__ import annotations

import difflib

import pytest
from support.scenarios import EXPECTED, ROUNDS, drafted, expected_file

# What the demonstration cases are made to show: findings that each round must raise (people and facts are invented).
MUST_FIND = {
    ("marrowby", 1): {"property.unassigned", "debt.open_joint", "spousal_support.direction", "path.summary_possible"},
    ("marrowby", 2): {"property.unequal_unsaid", "path.summary_possible"},
    ("dunmarsh", 1): {
        "custody.holiday_gap", "custody.no_topics", "child_support.not_guideline", "child_support.equal_addon",
        "retirement.date", "retirement.no_order", "tax.both_claim",
    },
    ("dunmarsh", 2): {
        "property.refi_date", "property.refi_fallback", "spousal_support.no_end_events", "spousal_support.direction",
        "custody.no_fallback", "retirement.beneficiary",
    },
    ("varnell", 1): {
        "path.default_exceeds", "path.default_asset_unlisted", "path.default_not_notarised", "spousal_support.long_waiver_words",
        "spousal_support.direction", "property.sale_rules", "property.biz_value", "retirement.survivor", "retirement.service",
        "retirement.no_order",
    },
    ("varnell", 2): {
        "property.defer_end", "spousal_support.direction", "child_support.adult_benefits", "retirement.survivor", "property.equity_line",
    },
    ("fennick", 1): {"custody.dv_loose_plan", "child_support.below_declarations"},
    ("fennick", 2): {"custody.supervised_exit", "spousal_support.direction"},
}  # fmt: skip
AGREED = {
    "marrowby": {"path.summary_possible"},
    "dunmarsh": {"retirement.pretax", "property.transfer_recital", "debt.creditor"},
    "varnell": {"property.defer_3808", "retirement.pretax", "property.transfer_recital"},
}


@pytest.mark.parametrize(("name", "n"), ROUNDS)
@pytest.mark.parametrize("kind", EXPECTED)
def test_round_is_as_recorded(name: str, n: int, kind: str) -> None:
    recorded = expected_file(name, n, kind).read_text(encoding="utf-8")
    now = EXPECTED[kind](name, n)
    diff = "\n".join(difflib.unified_diff(recorded.splitlines(), now.splitlines(), "recorded", "now", lineterm="", n=1))
    assert now == recorded, f"{diff}\n(if this is meant: make accept, and read the diff)"


@pytest.mark.parametrize(("name", "n"), MUST_FIND)
def test_round_raises_the_findings_that_it_is_made_to_show(name: str, n: int) -> None:
    found = {f.id for f in drafted(name, n).findings}
    assert MUST_FIND[name, n] <= found, f"missing: {sorted(MUST_FIND[name, n] - found)}"


@pytest.mark.parametrize("name", AGREED)
def test_agreed_round_has_nothing_but_its_notes(name: str) -> None:
    findings = drafted(name, 3).findings
    assert [f for f in findings if f.severity != "note"] == []
    assert {f.id for f in findings} == AGREED[name]


def test_agreed_round_with_a_protective_order_can_be_signed() -> None:
    assert [f.id for f in drafted("fennick", 3).findings if f.severity == "stop"] == []
