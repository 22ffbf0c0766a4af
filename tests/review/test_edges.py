"""The nearest facts on both sides of a line, and orders of entries, that the tables of the other files leave out."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from review.cases import CHILD, DROP, clause, hits, paper, paths, review
from review.test_child_support import BELOW, add_on, inputs
from review.test_general import ANN, COLE, change, claims
from review.test_identity import notices
from review.test_property import BOAT, HOME, KEPT
from review.test_route import SUMMARY
from review.test_spousal_support import PAID, TO
from support.effort import examples
from support.strategies import cases

from msadraft.agreement.numbering import number
from msadraft.facts.model import Facts
from msadraft.figures.compute import compute
from msadraft.review.base import RULES, Review
from msadraft.review.choices import has_clause
from msadraft.review.grid import WEEK, Grid, Piece

NET = "net_monthly_income"
SHARED = {"rule": "regular_schedule"}


def holidays(**entries: dict[str, str]) -> dict[str, Any]:
    return {"parenting.holidays": entries}


@pytest.mark.parametrize("first", [SHARED, {"rule": "halves", "first_half_even": "petitioner"}, {"starts": "Friday"}])
def test_a_holiday_after_one_that_needs_nothing_is_still_looked_at(first: dict[str, str]) -> None:
    wrong = {"rule": "petitioner_even", "odd_years": "petitioner"}
    assert "parenting.holidays.second.odd_years" in paths(
        "custody.holiday_double", CHILD, holidays(first=first, second=wrong)
    )
    half = {"even_years": "petitioner"}
    assert "parenting.holidays.second.odd_years" in paths(
        "custody.holiday_gap", CHILD, holidays(first=first, second=half)
    )


@pytest.mark.parametrize(
    ("one", "two", "same"),
    [("Lake Day", "lake day", True), ("Lake Day", "Hill Day", False), ("Lake Day", None, False), (None, None, False)],
)
def test_holidays_without_dates_are_the_same_by_their_title(one: str | None, two: str | None, same: bool) -> None:
    entries = {
        key: {"rule": rule, **({"title": title} if title else {})}
        for key, title, rule in (("first", one, "petitioner_even"), ("second", two, "petitioner_odd"))
    }
    assert paths("custody.holiday_double", CHILD, holidays(**entries)) == (
        ["parenting.holidays.second"] if same else []
    )


def test_a_break_without_dates_names_both_years() -> None:
    window = {"dates": [{"starts_on": "2026-04-02", "ends_on": "2026-04-11"}], "from_time": "15:00", "to_time": "18:00"}
    given = holidays(spring={"rule": "petitioner_even", "window": window})  # type: ignore[dict-item]
    (found,) = hits("custody.holiday_not_placed", review(CHILD, given))
    assert "2027 and 2028" in found.detail


def test_a_point_of_a_cycle_names_its_week() -> None:
    one, two = (Grid("parenting.blocks", weeks, (), (), ()) for weeks in (1, 2))
    assert (two.when(0), two.when(WEEK), two.when(2 * WEEK)) == (
        "Monday 00:00 of week 1",
        "Monday 00:00 of week 2",
        "Monday 00:00 of week 1",
    )
    assert one.when(WEEK - 1) == "Sunday 23:59"


# Fam. Code § 2400(a)(7), (b): the community estate, and the separate estate of each, below the amount; the amount from memory


@pytest.mark.parametrize("character", ["community", "separate_petitioner", "separate_respondent"])
@pytest.mark.parametrize(("value", "small"), [("24999.99", True), ("25000.00", False), ("25000.01", False)])
def test_each_estate_has_to_be_below_the_amount(character: str, value: str, small: bool) -> None:
    asset = {"kind": "account", "label": "savings", "value": value, "goes_to": "split", "character": character}
    assert paths("path.summary_possible", SUMMARY, {"assets.savings": asset}) == (
        ["marriage.separated_on"] if small else []
    )


# Fam. Code § 2320(a): six months in the state and three in the county, of one spouse


@pytest.mark.parametrize(
    ("who", "state", "county", "enough"),
    [
        ("petitioner", "6", "3", True), ("petitioner", "5", "3", False), ("petitioner", "6", "2", False),
        ("respondent", "6", "3", True), ("respondent", "5", "5", False), ("respondent", "6", "2", False),
    ],
)  # fmt: skip
def test_one_spouse_has_to_have_lived_long_enough_in_both(who: str, state: str, county: str, enough: bool) -> None:
    lived = {"case.residence": {f"{who}_months_in_state": state, f"{who}_months_in_county": county}}
    assert paths("path.residence", lived) == ([] if enough else ["case.residence"])


# Support


@pytest.mark.parametrize(
    ("run", "petitioner", "respondent", "struck"),
    [
        ({}, "2000.00", "8000.00", True),
        ({}, "5000.00", "5000.00", False),
        ({}, "5000.00", DROP, False),
        ({}, DROP, "5000.00", False),
        ({}, "0.00", "0.00", False),
        (inputs(petitioner_net="0", respondent_net="5000"), "5000.00", "5000.00", True),  # the run says: nothing
        (inputs(petitioner_net="5000", respondent_net="5000"), "2000.00", "8000.00", False),
    ],
)
def test_the_share_of_income_is_that_of_the_run_or_else_of_the_parties(
    run: dict[str, Any], petitioner: Any, respondent: Any, struck: bool
) -> None:
    """Fam. Code § 4061: shares of added costs follow net incomes."""
    nets = {f"petitioner.{NET}": petitioner, f"respondent.{NET}": respondent}
    found = paths("child_support.equal_addon", CHILD, add_on("health", "50"), nets, run)
    assert found == (["child_support.add_ons.0.petitioner_percent"] if struck else [])


@pytest.mark.parametrize(
    "more",
    [
        {"child_support.mode": "guideline"}, {"child_support.mode": "above", "child_support.amount": DROP},
        {"child_support.mode": "zero"}, {"child_support.mode": "reserved"},
    ],
)  # fmt: skip
def test_no_side_of_guideline_where_none_is_claimed(more: dict[str, Any]) -> None:
    assert paths("child_support.wrong_side", BELOW, {"child_support.amount": "500.00"}, more) == []


@pytest.mark.parametrize("role", ["petitioner", "respondent"])
def test_support_that_ends_and_has_an_amount_is_seen_for_each_spouse(role: str) -> None:
    other = "respondent" if role == "petitioner" else "petitioner"
    given = {f"spousal_support.to_{role}": {"outcome": "waived", "amount": "5.00"}}
    assert paths("filing.support_contradiction", given, {f"spousal_support.to_{other}.outcome": "payable"}) == [
        f"spousal_support.to_{role}.amount"
    ]


@pytest.mark.parametrize("entries", [(ANN, COLE), (COLE, ANN), (COLE, COLE, ANN), (ANN, ANN, COLE)])
def test_the_second_claim_to_a_child_is_named_whoever_comes_first(entries: tuple[dict[str, str], ...]) -> None:
    """26 U.S.C. § 152: one return claims a child."""
    assert paths("tax.both_claim", CHILD, claims(*entries)) == [f"taxes.dependents.{len(entries) - 1}"]


# Property


@pytest.mark.parametrize(("day", "struck"), [("2026-11-19", True), ("2026-11-20", True), ("2026-11-21", False)])
def test_a_refinance_comes_after_the_day_of_signing(day: str, struck: bool) -> None:
    found = paths("property.refi_order", HOME, {"assets.home.real.refinance_by": day})
    assert found == (["assets.home.real.refinance_by"] if struck else [])


def test_a_name_begins_a_sentence_and_keeps_every_letter() -> None:
    asset = {"assets.boat": {"kind": "other", "label": "sloop Ada", "value": "10.00"}}
    debt = {"debts.bank": {"kind": "card", "creditor": "first Bank", "owing": "10.00"}}
    assert [hit.detail for hit in hits("property.unassigned", review(asset))] == ["Sloop Ada."]
    assert [hit.detail.partition(".")[0] for hit in hits("debt.unassigned", review(debt))] == ["First Bank"]


# The paper


def test_a_clause_is_found_for_its_record_or_at_all() -> None:
    repeated = review(HOME, chosen=(clause("property.home.buyout", key="home"),))
    assert has_clause(repeated, "property.home.buyout")
    assert has_clause(repeated, "property.home.buyout", "home")
    assert not has_clause(repeated, "property.home.buyout", "cabin")
    single = review(HOME, chosen=(clause("property.unequal"),))
    assert has_clause(single, "property.unequal", "home")
    assert not has_clause(single, "property.home.buyout", "home")


def test_every_record_of_a_clause_is_looked_at() -> None:
    """Only a support that has an end needs the clause that ends the court's power; the first of two has none."""
    both = (clause("spousal_support.term", key="petitioner"), clause("spousal_support.term", key="respondent"))
    plans = {
        f"spousal_support.to_{role}": {"outcome": "payable", "amount": "500.00"}
        for role in ("petitioner", "respondent")
    }
    ends = {"spousal_support.to_respondent.ends_on": "2030-01-01"}
    found = [hit.detail for hit in hits("general.pulled_in", review(plans, ends, chosen=both))]
    assert [text for text in found if "jurisdiction_end" in text] == ["spousal_support.jurisdiction_end (respondent)."]


@pytest.mark.parametrize(("path", "new"), [("case.signing_on", "soon"), ("child_support.amount", "half of it")])
def test_an_offer_that_cannot_be_read_is_not_taken_for_merged(path: str, new: str) -> None:
    assert paths("negotiation.open_offer", CHILD, change(path, new)) == []


# An entry that gives no cause for a finding may not hide the next one


def look(case: Facts) -> set[tuple[str, str]]:
    """What all rules find in a case with an empty paper."""
    selection, agreement = paper()
    given = Review(case, compute(case), selection, agreement, number(agreement))
    return {(rule_id, hit.path) for rule_id, rule in RULES.items() for hit in rule.find(given)}


NAMES_THE_LATER = {"filing.listed_twice", "custody.holiday_double"}
"""Rules about a pair, of which they name the one that comes second."""


@given(cases())
@settings(max_examples=examples(25, 300), deadline=None, suppress_health_check=list(HealthCheck))
def test_findings_do_not_depend_on_the_order_of_the_records(case: Facts) -> None:
    def turned(records: Mapping[str, Any]) -> dict[str, Any]:
        return dict(reversed(records.items()))

    parenting = case.parenting.model_copy(update={"holidays": turned(case.parenting.holidays)})
    lists = {name: turned(getattr(case, name)) for name in ("assets", "debts", "children")}
    other = case.model_copy(update={"parenting": parenting, **lists})
    assert {hit for hit in look(case) ^ look(other) if hit[0] not in NAMES_THE_LATER} == set()


@pytest.mark.parametrize(
    ("rule_id", "overrides", "expected"),
    [
        (
            "disclosure.after_signing",
            [{"respondent.signed_on": "2026-10-04"}],
            ["respondent.disclosure.final_served_on"],
        ),
        (
            "filing.travel_conflict",
            [
                CHILD,
                {
                    "parenting.joint_topics": [
                        {"topic": "school", "rule": "either"},
                        {"topic": "passport", "rule": "both_consent"},
                    ],
                    "parenting.passports": {"renewal": "holder_alone"},
                },
            ],
            ["parenting.joint_topics.1.rule"],
        ),
        (
            "filing.real_property",
            [
                {
                    "assets.boat": {"kind": "other", "label": "boat"},
                    "assets.land": {"kind": "real", "label": "land", "real": {"address": "1 Elm Street"}},
                }
            ],
            ["assets.land.real.parcel_number"],
        ),
        (
            "property.refi_order",
            [
                {"assets.cabin": {**HOME["assets.home"], "label": "cabin"}},
                HOME,
                {"assets.home.real.refinance_by": "2020-05-31"},
            ],
            ["assets.home.real.refinance_by"],
        ),
        (
            "spousal_support.dv_bar",
            [
                {
                    "spousal_support.to_respondent": {"outcome": "payable", "amount": "900.00"},
                    "respondent.violence_conviction": {"level": "felony", "convicted_on": "2023-05-01"},
                }
            ],
            ["spousal_support.to_respondent.outcome"],
        ),
        (
            "spousal_support.step_gap",
            [
                {
                    "spousal_support.to_respondent": {
                        "outcome": "payable",
                        "starts_on": "2027-01-01",
                        "steps": [{"from_day": "2026-12-01", "to_day": "2028-11-30", "amount": "900"}],
                    }
                }
            ],
            ["spousal_support.to_respondent.steps.0.from_day"],
        ),
    ],
)
def test_the_second_of_two_is_looked_at(rule_id: str, overrides: list[dict[str, Any]], expected: list[str]) -> None:
    assert paths(rule_id, *overrides) == expected


# More lines


@pytest.mark.parametrize(("second", "small"), [("0.00", True), ("0.01", False)])
def test_debts_of_a_short_marriage_are_added_up(second: str, small: bool) -> None:
    """Fam. Code § 2400(a)(6): not more than the amount; the amount from memory."""
    debts = {"debts.card.owing": "4000.00", "debts.bank": {"kind": "card", "owing": second}}
    assert paths("path.summary_possible", SUMMARY, debts) == (["marriage.separated_on"] if small else [])


def test_each_kind_of_added_cost_answers_for_itself() -> None:
    """Fam. Code § 4062(a)(1), (2)."""
    entries = {
        "child_support.add_ons": [{"kind": "travel"}, {"kind": "child_care"}, {"kind": "health"}, {"kind": "activity"}]
    }
    assert paths("child_support.childcare_share", CHILD, entries) == ["child_support.add_ons.1.petitioner_percent"]
    assert paths("child_support.health_share", CHILD, entries) == ["child_support.add_ons.2.petitioner_percent"]


def test_the_first_year_that_nobody_claims_is_named() -> None:
    (found,) = hits("tax.no_claim", review(CHILD, claims({**ANN, "years": "even"})))
    first = review(CHILD).figures.as_of.year
    assert found.detail.endswith(f"first in {first if first % 2 else first + 1}.")


@pytest.mark.parametrize(("value", "struck"), [("0.99", []), ("1.00", []), ("1.01", ["assets.plan.value"])])
def test_money_before_tax_counts_from_more_than_a_dollar(value: str, struck: list[str]) -> None:
    assert paths("retirement.pretax", KEPT, {"assets.plan.value": value}) == struck


@pytest.mark.parametrize(
    ("amount", "struck"), [("4998.99", True), ("4999.00", False), ("5001.00", False), ("5001.01", True)]
)
def test_an_item_may_differ_from_the_payment_by_a_dollar(amount: str, struck: bool) -> None:
    assert bool(paths("property.offset_value", BOAT, {"equalization.amount": amount})) is struck


@pytest.mark.parametrize(
    ("ways", "address", "lacks"),
    [("mail", "ann@barrow.example", "a mailing"), ("email", "1 Elm Street, Oakland", "an email")],
)
def test_the_kind_of_address_that_is_lacking_is_named(ways: str, address: str, lacks: str) -> None:
    (found,) = hits("identity.notice_address", review(notices(ways, address)))
    assert f"but {lacks} address" in found.detail


@pytest.mark.parametrize(
    ("first", "last", "nights"),
    [
        (0, 3 * 60, 0),
        (0, 3 * 60 + 1, 1),
        (3 * 60, 24 * 60, 1),
        (3 * 60 + 1, 24 * 60, 0),
        (0, WEEK, 7),
        (18 * 60, 3 * 24 * 60, 2),
    ],
)
def test_a_night_belongs_to_who_has_three_in_the_morning(first: int, last: int, nights: int) -> None:
    """A stretch holds its first minute and not its last."""
    assert Piece(first, last, frozenset({"petitioner"}), ()).nights == nights


@pytest.mark.parametrize(("pattern", "struck"), [("223", False), ("2255", True), ("alternate_weeks", True)])
def test_the_longest_stretch_of_a_named_pattern_is_told(pattern: str, struck: bool) -> None:
    given = {"children.may.born_on": "2024-11-20", "parenting.blocks": [], "parenting.pattern": pattern}
    found = hits("custody.long_stretch_young", review(CHILD, given))
    assert [hit.detail.rpartition("up to ")[2] for hit in found] == (
        [f"{7 if pattern == 'alternate_weeks' else 5} nights."] if struck else []
    )


def test_only_the_children_who_are_away_too_long_are_named() -> None:
    """One child has a schedule of her own with shorter stretches."""
    two = {
        "children.al": {
            "name": {"first": "Al", "last": "Dunn"},
            "born_on": "2024-10-01",
            "habitual_country": "United States",
        }
    }
    days = ("monday", "wednesday", "friday", "sunday")
    short = [
        {"from_day": a, "to_day": b, "parent": p}
        for a, b, p in zip(days, (*days[1:], "monday"), ("petitioner", "respondent") * 2, strict=True)
    ]
    long = [
        {"from_day": "monday", "to_day": "saturday", "parent": "petitioner"},
        {"from_day": "saturday", "to_day": "monday", "parent": "respondent"},
    ]
    given = {
        "children.may.born_on": "2024-11-20",
        "parenting.blocks": long,
        "parenting.groups": [{"children": ["al"], "blocks": short}],
    }
    (found,) = hits("custody.long_stretch_young", review(CHILD, two, given))
    assert found.detail.startswith("May would")


@pytest.mark.parametrize("amount", ["1.00", "43199.98"])
def test_the_first_of_several_policies_is_named_where_cover_is_short(amount: str) -> None:
    """Own arithmetic: 48 months of 900.00 are 43,200.00."""
    half = str(Decimal(amount) / 2)
    insured = [
        {"kind": "bond", "amount": "9"},
        {"kind": "insurance", "amount": half},
        {"kind": "insurance", "amount": half},
    ]
    assert paths("spousal_support.cover_short", PAID, {f"{TO}.security": insured}) == [f"{TO}.security.1.amount"]


@pytest.mark.parametrize("trade", [None, "the savings account"])
def test_only_a_buy_out_against_property_needs_the_unequal_clause(trade: str | None) -> None:
    plan = {"outcome": "waived", "buy_out": {"trade": trade} if trade else {}}
    given = review({f"{TO}": plan}, chosen=(clause("spousal_support.buyout", key="petitioner"),))
    wanted = [hit.detail for hit in hits("general.pulled_in", given) if "property.unequal" in hit.detail]
    assert bool(wanted) is bool(trade)


@pytest.mark.parametrize(
    ("path", "role", "struck"),
    [
        ("default_with_agreement", "petitioner", False), ("default_with_agreement", "respondent", True),
        ("response_filed", "petitioner", True), ("response_filed", "respondent", True),
    ],
)  # fmt: skip
def test_a_missing_income_declaration_is_told_once(path: str, role: str, struck: bool) -> None:
    """On the default path the petitioner's has a rule of its own."""
    day = f"{role}.disclosure.income_declaration_on"
    assert (day in paths("disclosure.income_stale", CHILD, {"case.path": path, day: DROP})) is struck


def test_a_note_is_due_with_its_first_payment_and_a_lump_on_its_day() -> None:
    note = {"mode": "note", "payer": "petitioner", "amount": "5000", "note": {"first_payment_on": "2027-06-01"}}
    for equal, early in (
        (note, True),
        ({**note, "note": {"first_payment_on": "2026-12-01"}}, False),
        ({**note, "note": DROP}, True),
        ({"mode": "lump", "payer": "petitioner", "amount": "5000", "due_on": "2026-12-01"}, False),
    ):
        given = {key: value for key, value in equal.items() if value is not DROP}
        found = paths("property.deed_first", HOME, {"assets.home.real.deed_on": DROP, "equalization": given})
        assert found == (["assets.home.real.deed_on"] if early else []), equal
