"""Clauses that exclude each other, and clauses that need others beside them."""

from __future__ import annotations

from typing import Any

import pytest
from review.cases import CHILD, clause, hits, paths, review, rules_of

from msadraft.library.load import read_library
from msadraft.review import choices, route

HOME: dict[str, Any] = {
    "assets.home": {"kind": "real", "label": "the home", "real": {"plan": "buyout", "fallback": "sell"}}
}
POLICY: dict[str, Any] = {
    "assets.life": {"kind": "policy", "label": "the policy"},
    "spousal_support.to_petitioner.security": [{"kind": "insurance", "policy": "life"}],
}


def missing(*overrides: dict[str, Any], chosen: tuple[Any, ...]) -> list[tuple[str, str]]:
    return [(hit.path, hit.detail) for hit in hits("general.pulled_in", review(*overrides, chosen=chosen))]


@pytest.mark.parametrize(
    ("overrides", "chosen", "expected"),
    [
        ([], (), []),
        (
            [],
            (clause("custody.legal.joint"), clause("custody.decision_process")),
            [("parenting.legal_custody", "custody.health_education.")],
        ),
        (
            [],
            (clause("custody.legal.joint"), clause("custody.decision_process"), clause("custody.health_education")),
            [],
        ),
        (
            [HOME],
            (clause("property.home.buyout", key="home"), clause("property.home.transfer", key="cabin")),
            [
                ("assets.home.real.plan", "property.home.transfer (home)."),
                ("assets.home.real.fallback", "property.home.sale_rules (home)."),
            ],
        ),
        (
            [HOME, {"assets.home.real.fallback": "extend"}],
            (clause("property.home.buyout", key="home"), clause("property.home.transfer", key="home")),
            [],
        ),
        ([{"case.mediated": "yes"}], (), [("case.mediated", "general.mediation, because of a mediated agreement.")]),
        ([{"case.mediated": "yes"}], (clause("general.mediation"),), []),
        (
            [{"marriage.married_on": "2010-01-01"}],
            (),
            [("marriage.separated_on", "spousal_support.long_marriage, because of a marriage of ten years or more.")],
        ),
        (
            [{"case.path": "default_with_agreement"}],
            (clause("juris.default_scope"),),
            [("case.path", "sign.notary, because of a default with an agreement.")],
        ),
        (
            [CHILD, {"parenting.abduction_risk": ["threat"]}],
            (),
            [("parenting.abduction_steps", "custody.abduction, because of a risk of abduction.")],
        ),
        ([CHILD, {"parenting.violence_terms": {}}], (clause("custody.safety"),), []),
        ([], (clause("general.release"),), [("assets", "property.omitted.")]),
    ],
)
def test_a_missing_partner_is_named(
    overrides: list[dict[str, Any]], chosen: tuple[Any, ...], expected: list[tuple[str, str]]
) -> None:
    assert missing(*overrides, chosen=chosen) == expected


def test_support_with_an_end_date_needs_the_end_of_the_courts_power() -> None:
    chosen = (clause("spousal_support.term", key="petitioner"),)
    paths_found = [path for path, _ in missing({"spousal_support.to_petitioner.ends_on": "2030-01-01"}, chosen=chosen)]
    assert paths_found.count("spousal_support.to_petitioner.ends_on") == 1
    assert "spousal_support.to_petitioner.ends_on" not in [path for path, _ in missing(chosen=chosen)]


def test_child_support_of_zero_needs_no_payment_clause() -> None:
    chosen = (clause("child_support.zero"),)
    without = {detail for _, detail in missing(CHILD, {"child_support.mode": "zero"}, chosen=chosen)}
    with_sum = {detail for _, detail in missing(CHILD, chosen=(clause("child_support.guideline"),))}
    assert "child_support.payment." not in without
    assert with_sum - without == {"child_support.payment.", "child_support.duration."}


def test_two_clauses_of_one_group_are_a_stop() -> None:
    one = clause("custody.legal.joint", one_of="legal custody")
    two = clause("custody.legal.sole", one_of="legal custody")
    found = hits("general.two_choices", review(chosen=(one, two)))
    assert [hit.detail for hit in found] == ["custody.legal.joint and custody.legal.sole."]
    assert hits("general.two_choices", review(chosen=(one,))) == []


def test_a_choice_for_another_record_is_no_second_choice() -> None:
    one = clause("property.home.sale", key="home", one_of="plan of each home")
    two = clause("property.home.keep", key="cabin", one_of="plan of each home")
    assert hits("general.two_choices", review(chosen=(one, two))) == []


@pytest.mark.parametrize(
    ("overrides", "expected"),
    [
        ([POLICY], ["spousal_support.to_petitioner.security.0.policy"]),
        ([POLICY, {"estate.kept_designations": [{"asset": "life"}]}], []),
        ([POLICY, {"spousal_support.to_petitioner.security": [{"kind": "lien"}]}], []),
    ],
)
def test_a_policy_that_secures_support_is_kept(overrides: list[dict[str, Any]], expected: list[str]) -> None:
    assert paths("general.kept_designation", *overrides) == expected


def test_every_clause_that_a_rule_names_is_in_the_library() -> None:
    known = set(read_library().clauses)
    named = {name for pull in choices.PULLS for name in (*pull.these, *pull.those)}
    named |= {*route.CHILD_SUPPORT, *route.SPOUSAL_SUPPORT, "juris.status_date", "juris.bifurcated_status"}
    everything = review(
        CHILD,
        {
            "case.path": "default_with_agreement",
            "case.mediated": "yes",
            "marriage.married_on": "2010-01-01",
            "parenting.violence_terms": {},
            "parenting.abduction_risk": ["threat"],
        },
    )
    named |= {detail.split(",")[0] for detail in (hit.detail for hit in hits("general.pulled_in", everything))}
    assert len(named) > 60
    assert named <= known


def test_this_file_covers_the_module() -> None:
    assert rules_of(choices) == {"general.pulled_in", "general.kept_designation", "general.two_choices"}
