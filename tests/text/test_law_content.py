"""What the law says an order or a stipulation must contain, item by item, in the drafted text."""

from __future__ import annotations

import re

import pytest
from support.scenarios import drafted, facts_file

from msadraft.draft import draft
from msadraft.facts.load import read_text_case
from msadraft.review.base import Review

# Fam. Code § 3048(a): "every custody or visitation order shall contain all of the following" (1)-(5), in our words.
CUSTODY_ORDER = {
    "(1) the basis for the court's exercise of jurisdiction": r"home state",
    "(2) how notice and an opportunity to be heard were given": r"notice and .*(opportunity|chance) to be heard",
    "(3) a clear description of the custody and visitation rights of each party": r"(rights of (each|both) (party|parent)|each parent.s rights)",
    "(4) that a violation may bring civil or criminal penalties": r"civil or criminal penalties|civil penalties, criminal penalties",
    "(5) the country of habitual residence of the child": r"habitual(ly)? (residence|resid|live).*United States|United States.*habitual",
}
# Fam. Code § 4065(a): a stipulated agreement below guideline needs that the parties declare (1)-(5), in our words.
BELOW_GUIDELINE = {
    "(1) fully informed of their rights concerning child support": r"fully informed",
    "(2) agreed to without coercion or duress": r"coerc|duress",
    "(3) in the best interests of the children": r"best interests",
    "(4) the needs of the children will be adequately met": r"needs .*adequately met|adequately meet",
    "(5) the right to support has not been assigned and no public assistance application is pending": r"not been assigned",
}


@pytest.mark.parametrize("scenario", ["dunmarsh", "fennick"])
@pytest.mark.parametrize("item", CUSTODY_ORDER)
def test_custody_order_contains_what_section_3048_asks(scenario: str, item: str) -> None:
    found = drafted(scenario, 3)
    review = Review(found.case.facts, found.figures, found.selection, found.agreement, found.numbering)
    text = review.text_of("custody.findings")
    assert re.search(CUSTODY_ORDER[item], text, re.IGNORECASE | re.DOTALL), text


@pytest.mark.parametrize("item", BELOW_GUIDELINE)
def test_support_below_guideline_carries_the_declarations_of_section_4065(item: str) -> None:
    facts = facts_file("dunmarsh", 3).read_text(encoding="utf-8")
    facts = facts.replace("  mode: guideline\n", "  mode: below\n  deviation_reason: agreement\n")
    facts = re.sub(r"guideline_amount: [\d,.]+", "guideline_amount: 1,900.00", facts)
    found = draft(read_text_case(facts, "case.yaml"))
    review = Review(found.case.facts, found.figures, found.selection, found.agreement, found.numbering)
    text = "\n".join(review.text_of(c) for c in ("child_support.below", "child_support.acknowledgments"))
    assert re.search(BELOW_GUIDELINE[item], text, re.IGNORECASE | re.DOTALL), text
