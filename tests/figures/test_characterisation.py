"""Whose an asset or a debt is: each ordered test by a case of its own, with its section."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from review.cases import facts

from msadraft.figures.property.characterisation import (
    Acquisition,
    DebtIncurred,
    MarriageDays,
    WrittenAgreement,
    asset_character,
    characterise,
    debt_rule,
)
from msadraft.figures.property.working import InputError

MARRIED, APART = date(2010, 6, 1), date(2022, 3, 15)
DAYS = MarriageDays(MARRIED, APART)
BEFORE, DURING, AFTER = date(2008, 1, 1), date(2015, 1, 1), date(2023, 1, 1)


def writing(**more: Any) -> WrittenAgreement:
    return WrittenAgreement(**{"makes_it": "separate_respondent", "signed_on": DURING, "kind": "transmutation", **more})


CASES: list[tuple[str, Acquisition, str | None, str]] = [
    # (what, how it was acquired, character, section of the deciding test)
    ("owned before", Acquisition(BEFORE, by="petitioner"), "separate_petitioner", "770(a)(1)"),
    ("owned before, by title", Acquisition(BEFORE, title="respondent"), "separate_respondent", "770(a)(1)"),
    (
        "owned before, community paid in",
        Acquisition(BEFORE, by="petitioner", community_money_or_effort=True, kind="real"),
        "mixed",
        "770(a)(1)",
    ),
    ("owned before, nobody recorded", Acquisition(BEFORE), None, ""),
    ("bought in marriage", Acquisition(DURING, source="purchase"), "community", "760"),
    (
        "bought in marriage in one name",
        Acquisition(DURING, source="purchase", by="petitioner", title="petitioner"),
        "community",
        "760",
    ),
    ("bought on the wedding day", Acquisition(MARRIED, by="petitioner"), "community", "760"),
    (
        "earned the day before the wedding",
        Acquisition(MARRIED - timedelta(days=1), by="petitioner"),
        "separate_petitioner",
        "770(a)(1)",
    ),
    ("acquired on the day of separation", Acquisition(APART, by="petitioner"), "community", "760"),
    (
        "earned the day after",
        Acquisition(APART + timedelta(days=1), source="earnings", by="respondent"),
        "separate_respondent",
        "771",
    ),
    ("in another state", Acquisition(DURING, in_california=False), "quasi_community", "125"),
    ("gift", Acquisition(DURING, source="gift", by="respondent"), "separate_respondent", "770(a)(2)"),
    (
        "inheritance",
        Acquisition(DURING, source="inheritance", by="petitioner", title="petitioner"),
        "separate_petitioner",
        "770(a)(2)",
    ),
    ("gift to both", Acquisition(DURING, source="gift"), "community", "760"),
    (
        "inherited money in joint title",
        Acquisition(DURING, source="inheritance", by="petitioner", title="joint"),
        "community",
        "2581",
    ),
    (
        "owned before, then joint title",
        Acquisition(BEFORE, by="petitioner", title="joint", joint_title_on=DURING),
        "community",
        "2581",
    ),
    ("joint title before the marriage", Acquisition(BEFORE, title="joint"), "separate_of_both", "2650"),
    (
        "joint title that says separate",
        Acquisition(DURING, by="petitioner", title="joint", title_statement=True),
        "separate_petitioner",
        "2581(a)",
    ),
    (
        "rents of separate property",
        Acquisition(DURING, source="separate_income", by="petitioner"),
        "separate_petitioner",
        "770(a)(3)",
    ),
    ("traced", Acquisition(DURING, source="purchase", traced_to="petitioner"), "separate_petitioner", "760, 770(a)(3)"),
    ("traced, but joint title", Acquisition(DURING, title="joint", traced_to="petitioner"), "community", "2581"),
    (
        "premarital agreement",
        Acquisition(DURING, agreement=writing(kind="premarital", signed_on=BEFORE)),
        "separate_respondent",
        "1500",
    ),
    ("declared change", Acquisition(DURING, title="joint", agreement=writing()), "separate_respondent", "852(a)"),
    ("change without a declaration", Acquisition(DURING, agreement=writing(express=False)), "community", "760"),
    ("change not joined by the loser", Acquisition(DURING, agreement=writing(loser_joined=False)), "community", "760"),
    (
        "injury before the marriage",
        Acquisition(BEFORE, "injury_damages", "petitioner"),
        "separate_petitioner",
        "770(a)(1)",
    ),
    ("injury in the marriage", Acquisition(DURING, "injury_damages", "petitioner"), "community", "780"),
    ("injury while apart", Acquisition(AFTER, "injury_damages", "petitioner"), "separate_petitioner", "781(a)"),
    (
        "injury by the spouse",
        Acquisition(DURING, "injury_damages", "respondent", against_other_spouse=True),
        "separate_respondent",
        "781(c)",
    ),
    ("no day", Acquisition(None, by="petitioner"), None, ""),
]


@pytest.mark.parametrize(("what", "asset", "character", "section"), CASES, ids=[case[0] for case in CASES])
def test_the_first_answer_decides(what: str, asset: Acquisition, character: str | None, section: str) -> None:
    found = characterise(asset, DAYS)
    assert found.character == character
    deciding = [test for test in found.tests if test.decides]
    if character is None:
        assert deciding == []
        assert found.cautions
    else:
        assert len(deciding) == 1
        assert deciding[0] is found.tests[-1] or character == "mixed"
        assert section in deciding[0].source
    assert found.figure("it").value == character


def test_after_a_legal_separation_earnings_are_separate() -> None:  # Fam. Code § 772
    days = MarriageDays(MARRIED, None, date(2020, 1, 1))
    found = characterise(Acquisition(AFTER, source="earnings", by="petitioner"), days)
    assert (found.character, found.tests[-1].source) == ("separate_petitioner", "Fam. Code § 772")


def test_old_dates_give_a_caution() -> None:
    days = MarriageDays(date(1965, 1, 1), date(2020, 1, 1))
    joint = characterise(Acquisition(date(1980, 1, 1), title="joint"), days)
    assert any("Fabian" in caution for caution in joint.cautions)
    alone = characterise(Acquisition(date(1970, 1, 1), title="petitioner"), days)
    assert (alone.character, any("803" in caution for caution in alone.cautions)) == ("community", True)
    oral = characterise(
        Acquisition(date(1970, 1, 1), agreement=writing(signed_on=date(1984, 12, 31), express=False)), days
    )
    assert (oral.character, "852(e)" in oral.tests[-1].source) == ("separate_respondent", True)
    assert any("very day" in caution for caution in characterise(Acquisition(APART), DAYS).cautions)


@pytest.mark.parametrize(
    ("kind", "method"),
    [
        ("real", "principal_apportionment"), ("retirement", "time_rule"), ("account", "account_tracing"), ("stock_plan", "unit_fraction"),
        ("business", "business_growth"), ("other", "tracing"),
    ],
)  # fmt: skip
def test_a_mixed_asset_has_one_method(kind: str, method: str) -> None:
    assert (
        characterise(Acquisition(BEFORE, by="petitioner", community_money_or_effort=True, kind=kind), DAYS).method
        == method
    )


def test_methods_of_assets_that_are_not_mixed() -> None:
    assert characterise(Acquisition(BEFORE, by="petitioner"), DAYS).method == "confirm"
    assert characterise(Acquisition(DURING, title="joint", kind="real"), DAYS).method == "contributions"
    assert characterise(Acquisition(DURING, kind="real"), DAYS).method == "equal_division"


def test_a_person_may_decide_otherwise_with_a_reason() -> None:
    found = characterise(
        Acquisition(DURING), DAYS, "separate_petitioner", "bought with the inheritance, see the bank letters"
    )
    assert (found.character, found.by_the_tests, found.method) == ("separate_petitioner", "community", "confirm")
    assert "inheritance" in found.decided_by_hand


DEBTS: list[tuple[str, DebtIncurred, str | None, str | None, str]] = [
    ("before the marriage", DebtIncurred(BEFORE, "petitioner"), "separate_petitioner", "petitioner", "2621"),
    ("in the marriage", DebtIncurred(DURING, "petitioner"), "community", None, "2622(a)"),
    (
        "not for the community",
        DebtIncurred(DURING, "respondent", for_community=False),
        "separate_respondent",
        "respondent",
        "2625",
    ),
    ("necessaries after separation", DebtIncurred(AFTER, "respondent", necessaries=True), None, None, "2623(a)"),
    ("other debts after separation", DebtIncurred(AFTER, "respondent"), "separate_respondent", "respondent", "2623(b)"),
    (
        "after judgment",
        DebtIncurred(AFTER, "petitioner", necessaries=True, judgment_on=APART),
        "separate_petitioner",
        "petitioner",
        "2624",
    ),
    (
        "education",
        DebtIncurred(DURING, "petitioner", education_of="respondent"),
        "separate_respondent",
        "respondent",
        "2641",
    ),
    ("no day", DebtIncurred(None, "petitioner"), None, None, "903"),
    ("nobody", DebtIncurred(BEFORE, None), None, None, "2621"),
    ("nobody after separation", DebtIncurred(AFTER, None), None, None, "2623"),
]


@pytest.mark.parametrize(("what", "debt", "character", "to", "section"), DEBTS, ids=[debt[0] for debt in DEBTS])
def test_debts(what: str, debt: DebtIncurred, character: str | None, to: str | None, section: str) -> None:
    found = debt_rule(debt, DAYS)
    assert (found.character, found.assigned_to) == (character, to)
    assert section in found.source


SWAP: dict[Any, Any] = {
    "petitioner": "respondent", "respondent": "petitioner", "separate_petitioner": "separate_respondent", "separate_respondent": "separate_petitioner",
}  # fmt: skip


@given(
    st.none() | st.dates(date(2000, 1, 1), date(2026, 1, 1)),
    st.sampled_from([None, "earnings", "purchase", "gift", "inheritance", "separate_income"]),
    st.sampled_from([None, "petitioner", "respondent"]),
    st.sampled_from([None, "petitioner", "respondent", "joint", "other"]),
    st.sampled_from([None, "petitioner", "respondent"]),
    st.booleans(),
)
def test_swapping_the_parties_swaps_the_character(
    day: date | None, source: Any, by: Any, title: Any, traced: Any, mixed: bool
) -> None:
    found = characterise(Acquisition(day, source, by, title, traced_to=traced, community_money_or_effort=mixed), DAYS)
    swapped = characterise(
        Acquisition(
            day,
            source,
            SWAP.get(by, by),
            SWAP.get(title, title),
            traced_to=SWAP.get(traced, traced),
            community_money_or_effort=mixed,
        ),
        DAYS,
    )
    assert SWAP.get(found.character, found.character) == swapped.character
    assert (found.method, len(found.tests)) == (swapped.method, len(swapped.tests))


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: MarriageDays(MARRIED, BEFORE), "lies before the marriage"),
        (lambda: characterise(Acquisition(DURING), DAYS, "community", " "), "needs a reason"),
        (
            lambda: characterise(Acquisition(DURING, title="joint", joint_title_on=BEFORE), DAYS),
            "before the acquisition",
        ),
        (lambda: characterise(Acquisition(DURING, "injury_damages"), DAYS), "spouse who was hurt"),
        (
            lambda: characterise(Acquisition(DURING, agreement=writing(kind="premarital")), DAYS),
            "record it as a transmutation",
        ),
    ],
)
def test_contradictions_are_named(ask: Any, says: str) -> None:
    with pytest.raises(InputError, match=says):
        ask()


def test_a_stated_character_is_compared_with_day_and_title() -> None:
    def figure(**more: Any) -> Any:
        found = asset_character(facts({"assets": {"a": {"kind": "real", "label": "the cabin", **more}}}), "a")
        return found.figure if found else None

    agreeing = figure(acquired_on="2018-05-05", titled="both")
    assert (agreeing.value, [c for c in agreeing.cautions if "alone" in c]) == ("community", [])
    differing = figure(acquired_on="2018-05-05", titled="both", character="separate_petitioner")
    assert any("stated as the petitioner's separate property" in caution for caution in differing.cautions)
    early = figure(acquired_on="2010-05-05", titled="petitioner")
    assert any("make it the petitioner's separate property" in caution for caution in early.cautions)
    assert "assets.a.acquired_on" in early.facts
    assert (
        asset_character(
            facts({"marriage.separated_on": "2001-01-01", "assets": {"a": {"kind": "other", "label": "x"}}}), "a"
        )
        is None
    )
