"""Facts by path: privacy, description, value."""

from __future__ import annotations

from decimal import Decimal

import pytest
from facts.made_up import MINIMAL

from msadraft.facts.load import read_text_case
from msadraft.facts.paths import UnknownPathError, describe, field_at, get, leaf_paths, privacy_of


def test_every_fact_has_a_description_and_a_privacy_class() -> None:
    assert len(leaf_paths()) > 900
    assert len(set(leaf_paths())) == len(leaf_paths())
    for path in leaf_paths():
        assert privacy_of(path) in ("A", "B", "C", "D")
        assert len(describe(path)) >= 2
        assert field_at(path).shape.form == "value"
        assert field_at(path).shape.how_to_write


@pytest.mark.parametrize(
    ("path", "privacy"),
    [
        ("case.number", "A"),
        ("petitioner.email", "B"),
        ("children.wren.born_on", "C"),
        ("children.*.born_on", "C"),
        ("petitioner.tax_id_last_four", "D"),
        ("petitioner.address_hidden", "D"),
        ("case.protective_orders.0.kind", "D"),
        # Everything in a personal group is personal, whatever its own mark.
        ("child_support.insurance.provider", "B"),
        ("assets.home.separate_claims.0.note", "B"),
        ("spousal_support.to_petitioner.steps.0.amount", "A"),
    ],
)
def test_privacy(path: str, privacy: str) -> None:
    assert privacy_of(path) == privacy


def test_descriptions_give_the_unit_once() -> None:
    assert describe("child_support.amount") == "Base support (dollars a month)"
    assert describe("petitioner.gross_monthly_income") == "Gross income from all sources, dollars a month"
    assert describe("children.wren") == "One child"
    assert describe("notices.methods.0") == "How notice is given"


@pytest.mark.parametrize(
    "path", ["", "x", "case.", "case.x", "case.county.x", "notices.methods.mail", "child_support.per_child.a.child"]
)
def test_unknown_paths(path: str) -> None:
    with pytest.raises(UnknownPathError):
        field_at(path)


def test_get() -> None:
    facts = read_text_case(
        MINIMAL
        + "assets: {home: {kind: real, label: Home}}\n"
        + "spousal_support: {to_petitioner: {steps: [{from_day: 2025-01-01, to_day: 2025-12-31, amount: 900}]}}\n"
    ).facts
    assert get(facts, "spousal_support.to_petitioner.steps.0.amount") == Decimal("900.00")
    assert get(facts, "assets.home.label") == "Home"
    assert get(facts, "assets.home") is facts.assets["home"]
    assert get(facts, "parenting.summer.starts") is None
    for path in (
        "assets.boat.label",
        "spousal_support.to_petitioner.steps.1.amount",
        "assets.home.colour",
        "assets.*.label",
    ):
        with pytest.raises(UnknownPathError):
            get(facts, path)
