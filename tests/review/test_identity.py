"""People and dates: the nearest facts that make a rule strike, and the nearest that do not."""

from __future__ import annotations

from typing import Any

import pytest
from review.cases import CHILD, DROP, hits, paths, review, rules_of, struck, text

from msadraft.review import identity

HIDDEN: dict[str, Any] = {
    "petitioner.address_hidden": "yes",
    "petitioner.employer": "Tidewater Mill",
    "petitioner.email": "ann@barrow.example",
}


def notices(ways: str, address: str) -> dict[str, Any]:
    return {"notices": {"methods": ways.split(), "addresses": {"to_petitioner": address}}}


def stays(first_ends: str, second_begins: str) -> dict[str, Any]:
    """Two stays of one child, one after the other; an empty end is left out."""
    first = {"from_day": "2021-01-01", "place": "Hayward", **({"to_day": first_ends} if first_ends else {})}
    return {"children.may.residence_five_years": [first, {"from_day": second_begins, "place": "Reno"}]}


TABLE: list[tuple[str, list[dict[str, Any]], list[str]]] = [
    # from 18 June 2016: 117 months end on 18 March 2026, 123 months on 18 September 2026
    ("identity.born_later", [CHILD], []),
    ("identity.born_later", [CHILD, {"children.may.born_on": "2029-05-05"}], ["children.may.born_on"]),
    ("identity.residence_overlap", [CHILD, stays("2024-05-01", "2024-05-01")], []),
    (
        "identity.residence_overlap",
        [CHILD, stays("2024-05-02", "2024-05-01")],
        ["children.may.residence_five_years.1.from_day"],
    ),
    ("identity.residence_overlap", [CHILD, stays("", "2024-05-01")], ["children.may.residence_five_years.1.from_day"]),
    ("identity.ten_year_edge", [{"marriage.separated_on": "2026-03-17"}], []),
    ("identity.ten_year_edge", [{"marriage.separated_on": "2026-03-18"}], ["marriage.separated_on"]),
    ("identity.ten_year_edge", [{"marriage.separated_on": "2026-09-17"}], ["marriage.separated_on"]),
    ("identity.ten_year_edge", [{"marriage.separated_on": "2026-09-18"}], []),
    ("identity.date_order", [], []),
    ("identity.date_order", [{"marriage.separated_on": "2016-06-17"}], ["marriage.separated_on"]),
    ("identity.date_order", [{"marriage.separated_on": "2026-11-21"}], ["marriage.separated_on"]),
    ("identity.date_order", [{"case.served_on": "2026-01-11"}], ["case.served_on"]),
    ("identity.date_order", [{"case.response_filed_on": "2026-01-11"}], ["case.response_filed_on"]),
    ("identity.date_order", [{"case.petition_filed_on": "2016-06-17"}], ["case.petition_filed_on"]),
    ("identity.date_order", [{"respondent.signed_on": "2026-01-11"}], ["respondent.signed_on"]),
    (
        "identity.date_order",
        [{"case.status_on": "2026-11-19", "petitioner.signed_on": "2026-11-20"}],
        ["petitioner.signed_on"],
    ),
    (
        "identity.date_order",
        [{"case.status_on": "2026-11-19", "petitioner.signed_on": "2026-11-20", "case.effective_rule": "entry"}],
        [],
    ),
    # Fam. Code § 297.5: an earlier registration counts
    (
        "identity.date_order",
        [{"marriage.married_on": "2025-03-01", "marriage.partnership_registered_on": "2016-06-18"}],
        [],
    ),
    ("identity.parentage_open", [CHILD], []),
    ("identity.parentage_open", [CHILD, {"children.may.parentage": "to_establish"}], ["children.may.parentage"]),
    (
        "identity.parentage_open",
        [CHILD, {"children.may.parentage": "to_establish", "case.petition_relief": ["other"]}],
        [],
    ),
    ("identity.parentage_open", [CHILD, {"children.may.born_on": "2016-06-17"}], ["children.may.before_marriage"]),
    (
        "identity.parentage_open",
        [CHILD, {"children.may.born_on": "2016-06-17", "children.may.before_marriage": "yes"}],
        ["children.may.parentage"],
    ),
    (
        "identity.parentage_open",
        [
            CHILD,
            {
                "children.may.born_on": "2016-06-17",
                "children.may.before_marriage": "yes",
                "children.may.parentage": "declaration",
            },
        ],
        [],
    ),
    ("identity.parentage_open", [CHILD, {"children.may.parentage": "to_establish", "children.may.of_both": "no"}], []),
    ("identity.same_first_name", [], []),
    ("identity.same_first_name", [{"respondent.name.first": "ANN"}], ["case.party_labels"]),
    ("identity.same_first_name", [{"respondent.name.first": "Ann", "case.party_labels": "roles"}], []),
    ("identity.notice_address", [notices("mail", "1 Elm Street, Oakland, California 94601")], []),
    ("identity.notice_address", [notices("mail", "ann@barrow.example")], ["notices.addresses.to_petitioner"]),
    ("identity.notice_address", [notices("email", "ann@barrow.example")], []),
    # the clause offers post, and there is only an email address
    ("identity.notice_address", [notices("email mail", "ann@barrow.example")], ["notices.addresses.to_petitioner"]),
    ("identity.notice_address", [notices("email mail", "Post Office Box 7; email ann@barrow.example")], []),
    ("identity.notice_address", [notices("mail email", "Post Office Box 7, Oakland")], []),
    ("identity.notice_address", [notices("email", "1 Elm Street, Oakland")], ["notices.addresses.to_petitioner"]),
    (
        "identity.notice_address",
        [notices("email", "1 Elm Street, Oakland"), {"petitioner.email": "ann@barrow.example"}],
        [],
    ),
    (
        "identity.notice_address",
        [
            notices("email", "PO Box 7, Oakland"),
            {"petitioner.email": "ann@barrow.example", "petitioner.address_hidden": "yes"},
        ],
        ["notices.addresses.to_petitioner"],
    ),
]


@pytest.mark.parametrize(("rule_id", "overrides", "expected"), TABLE)
def test_a_rule_strikes_where_it_should(rule_id: str, overrides: list[dict[str, Any]], expected: list[str]) -> None:
    assert paths(rule_id, *overrides) == expected


def test_every_rule_is_seen_to_strike_and_to_keep_still() -> None:
    on_paper = {"identity.full_number", "identity.safety_leak"}
    assert struck(TABLE) | on_paper == rules_of(identity)


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("Social Security number 123-45-6789", True),
        ("card 4111 1111 1111 1111", True),
        ("account ending in 6789", False),
        ("$123,456,789.00", False),
        ("telephone (510) 555-0142", False),
    ],
)
def test_a_full_number_is_found_in_the_text(words: str, found: bool) -> None:
    given = review(blocks={"article.general": (text("general.entire", words, "case.special_terms.0.body"),)})
    assert [h.path for h in hits("identity.full_number", given)] == (["case.special_terms.0.body"] if found else [])


def test_years_in_neighbouring_cells_are_no_account_number() -> None:
    from msadraft.tree import Row, Table, Text

    years = tuple((Text(str(year)),) for year in range(2026, 2030))
    table = Table("t", "general.entire", (), (), (Row("r", years),), ("left",) * 4)
    assert hits("identity.full_number", review(blocks={"article.general": (table,)})) == []


@pytest.mark.parametrize(
    ("overrides", "words", "source", "expected"),
    [
        (HIDDEN, "The parties met at 1 ELM street.", "", ["petitioner.address.street"]),
        (HIDDEN, "Oakland", "petitioner.address.city", ["petitioner.address.city"]),
        (HIDDEN, "works for Tidewater Mill", "", ["petitioner.employer"]),
        (HIDDEN, "2 Oak Street", "respondent.address.street", []),
        ({}, "1 Elm Street", "petitioner.address.street", []),
        (
            {"case.protective_orders": [{"kind": "criminal", "number": "CR-77120"}]},
            "see case CR-77120",
            "",
            ["case.protective_orders.0.number"],
        ),
        ({"case.protective_orders": [{"kind": "criminal", "number": "CR-77120"}]}, "see case CR-77121", "", []),
        ({**HIDDEN, "petitioner.address": DROP, "petitioner.employer": DROP}, "1 Elm Street", "", []),
    ],
)
def test_a_hidden_home_is_found_in_the_text(
    overrides: dict[str, Any], words: str, source: str, expected: list[str]
) -> None:
    given = review(overrides, blocks={"article.general": (text("general.notices", words, source),)})
    assert [h.path for h in hits("identity.safety_leak", given)] == expected
