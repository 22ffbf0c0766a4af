"""The property ledger: the scenarios' sums, what must hold of any estate, and the hard cases one by one."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from review.cases import facts
from support.effort import examples
from support.scenarios import facts_file
from support.strategies import cases

from msadraft.facts.load import read_case
from msadraft.facts.model import Facts
from msadraft.figures.ledger import CENT, NOTHING, Ledger, Line, ledger, liens, separate_part, share

SUMS = [
    # (scenario, round, to petitioner, to respondent, equalization, payer); invented people, sums worked out by hand
    ("marrowby", 2, "1906.44", "-312.60", "1109.52", "petitioner"),
    ("marrowby", 3, "796.92", "796.92", "0.00", None),
    ("dunmarsh", 2, "420669.58", "258160.00", "81254.79", "petitioner"),
    ("dunmarsh", 3, "420669.58", "258160.00", "81254.79", "petitioner"),
    ("varnell", 2, "229300.00", "352260.00", "61480.00", "respondent"),
    ("varnell", 3, "229300.00", "352260.00", "61480.00", "respondent"),
    ("fennick", 2, "14656.44", "9126.44", "2765.00", "petitioner"),
    ("fennick", 3, "14656.44", "9126.44", "2765.00", "petitioner"),
]


@pytest.mark.parametrize(("name", "n", "petitioner", "respondent", "payment", "payer"), SUMS)
def test_scenario_sums(name: str, n: int, petitioner: str, respondent: str, payment: str, payer: str | None) -> None:
    found = ledger(read_case(facts_file(name, n)).facts)
    assert (found.to_petitioner, found.to_respondent) == (Decimal(petitioner), Decimal(respondent))
    assert (found.equalization, found.equalization_payer) == (Decimal(payment), payer)
    assert found.cautions == ()
    assert found.settlement.equal is (name != "marrowby" or n == 3)


@pytest.mark.parametrize(("name", "n"), [("dunmarsh", 3), ("varnell", 3)])
def test_the_agreed_payment_has_its_parts(name: str, n: int) -> None:
    settlement = ledger(read_case(facts_file(name, n)).facts).settlement
    assert settlement.at_once + settlement.by_note == settlement.amount
    assert (settlement.at_once, settlement.by_note) == {
        "dunmarsh": (Decimal("45000.00"), Decimal("36254.79")), "varnell": (NOTHING, Decimal("61480.00")),
    }[name]  # fmt: skip


# Any estate

MONEY = st.decimals(0, 900_000, places=2)
PERCENT = st.sampled_from([Decimal(p) for p in (0, 1, 25, 50, 60, 100)]) | st.decimals(0, 100, places=2)
PARTY = st.sampled_from(["petitioner", "respondent"])
CLAIM = st.fixed_dictionaries(
    {
        "by": PARTY,
        "amount": MONEY,
        "basis": st.just("contribution_2640"),
        "result": st.sampled_from([None, "paid", "offset", "waived", "reserved"]),
    }
)
ASSET = st.fixed_dictionaries(
    {
        "kind": st.just("other"),
        "label": st.just("a thing"),
        "value": MONEY,
        "goes_to": st.sampled_from(["petitioner", "respondent", "split", "sell", "co_own", "order", "reserved", None]),
        "petitioner_percent": PERCENT,
        "character": st.sampled_from(
            ["community", "quasi_community", "mixed", "separate_petitioner", "separate_respondent", "disputed"]
        ),
        "outside_equalization": st.booleans(),
        "separate_claims": st.lists(CLAIM, max_size=2).map(tuple),
    },
    optional={"owing": MONEY},
)
DEBT = st.fixed_dictionaries(
    {
        "kind": st.just("card"),
        "owing": MONEY,
        "assigned_to": st.sampled_from(["petitioner", "respondent", "split", "from_sale", None]),
        "petitioner_percent": PERCENT,
        "character": st.sampled_from(["community", "mixed", "separate_petitioner", "separate_respondent"]),
    },
    optional={"secured_by": st.sampled_from(["a0", "a1"]), "education_of": PARTY},
)
BACK = st.fixed_dictionaries(
    {
        "kind": st.just("other"),
        "claimant": PARTY,
        "amount": MONEY,
        "result": st.sampled_from(["paid", "offset", "waived"]),
    }
)


@st.composite
def estates(draw: st.DrawFn) -> dict[str, Any]:
    return {
        "assets": {f"a{i}": asset for i, asset in enumerate(draw(st.lists(ASSET, min_size=2, max_size=5)))},
        "debts": {f"d{i}": debt for i, debt in enumerate(draw(st.lists(DEBT, max_size=4)))},
        "reimbursements": {f"r{i}": back for i, back in enumerate(draw(st.lists(BACK, max_size=2)))},
    }


SWAPPED = {
    "petitioner": "respondent",
    "respondent": "petitioner",
    "separate_petitioner": "separate_respondent",
    "separate_respondent": "separate_petitioner",
}


def swap(data: Any, key: str = "") -> Any:
    if isinstance(data, dict):
        return {k: swap(v, k) for k, v in data.items()}
    if isinstance(data, tuple):
        return tuple(swap(v) for v in data)
    if key == "petitioner_percent":
        return 100 - data
    return SWAPPED.get(data, data) if isinstance(data, str) else data


def whole_of(found: Ledger) -> Decimal:
    return found.received_by_petitioner + found.received_by_respondent + found.third_party


@given(estates())
def test_both_sides_and_third_parties_make_the_whole(data: dict[str, Any]) -> None:
    found = ledger(facts(data))
    assert whole_of(found) == found.gross
    assert (
        found.to_petitioner + found.to_respondent == found.total == sum((line.net for line in found.counted), NOTHING)
    )
    for line in (*found.lines, *found.disputed):
        assert line.value - line.owing - line.separate == line.net
        assert line.separate_petitioner + line.separate_respondent == line.separate
        if line.in_sum:
            assert line.to_petitioner + line.to_respondent == line.net


@given(estates())
def test_every_item_stands_once(data: dict[str, Any]) -> None:
    case = facts(data)
    found = ledger(case)
    lines = [(line.kind, line.key) for line in (*found.lines, *found.confirmed, *found.disputed)]
    assert len(lines) == len(set(lines))
    assert {key for kind, key in lines if kind == "asset"} == set(case.assets)
    with_asset = {
        k
        for k, d in case.debts.items()
        if d.secured_by and not case.assets[d.secured_by].character.startswith("separate")
    }
    missing = set(case.debts) - {key for kind, key in lines if kind == "debt"}
    assert missing == {k for k in with_asset if not case.debts[k].character.startswith("separate")}


@given(estates())
def test_the_payment_makes_the_sides_equal(data: dict[str, Any]) -> None:
    found = ledger(facts(data))
    whole = sum((a.amount if a.debtor == "petitioner" else -a.amount for a in found.adjustments), NOTHING)
    moved = found.equalization if found.equalization_payer == "petitioner" else -found.equalization
    after = found.to_petitioner - (moved - whole), found.to_respondent + (moved - whole)
    assert sum(after) == found.total
    if found.negative:
        assert moved == whole
        assert found.excess_debt == -found.total
    else:
        assert abs(after[0] - after[1]) <= CENT
    assert found.settlement.petitioner_after + found.settlement.respondent_after == found.total
    assert (found.equalization_payer is None) == (found.equalization == 0)


@given(estates())
def test_swapping_the_parties_swaps_the_result(data: dict[str, Any]) -> None:
    found, swapped = ledger(facts(data)), ledger(facts(swap(data)))
    # Of two equal halves the petitioner's takes an odd cent, whoever that is; nothing else knows who is who.
    halved = sum(a["goes_to"] == "split" and a["petitioner_percent"] == 50 for a in data["assets"].values())
    halved += sum(d["petitioner_percent"] == 50 for d in data["debts"].values()) + len(data["debts"]) * halved
    assert (found.total, found.half, found.gross, found.negative) == (
        swapped.total,
        swapped.half,
        swapped.gross,
        swapped.negative,
    )
    assert abs(found.to_petitioner - swapped.to_respondent) <= halved * CENT
    if halved == 0:
        assert found.equalization == swapped.equalization
        assert found.equalization_payer == SWAPPED.get(swapped.equalization_payer or "")
        assert found.received_by_petitioner == swapped.received_by_respondent
        assert [(x.to_petitioner, x.separate_petitioner) for x in found.lines] == [
            (x.to_respondent, x.separate_respondent) for x in swapped.lines
        ]
        assert found.settlement.departure == -swapped.settlement.departure or found.negative or found.total % (2 * CENT)


@settings(
    max_examples=examples(25, 60),
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(cases())
def test_no_facts_stop_the_ledger(case: Facts) -> None:
    found = ledger(case)
    assert whole_of(found) == found.gross
    for sale in found.sales:
        assert sale.price == (
            sale.cost
            + sale.liens
            + sale.debts
            + sale.separate_petitioner
            + sale.separate_respondent
            + sale.to_petitioner
            + sale.to_respondent
        )


# One by one


def thing(**more: Any) -> dict[str, Any]:
    return {"kind": "other", "label": "the thing", **more}


def debt(**more: Any) -> dict[str, Any]:
    return {"kind": "other", "label": "the debt", **more}


def of(assets: dict[str, Any], debts: dict[str, Any] | None = None, **more: Any) -> Ledger:
    return ledger(facts({"assets": assets, "debts": debts or {}, **more}))


def line(found: Ledger, key: str) -> Line:
    (only,) = [x for x in (*found.lines, *found.confirmed, *found.disputed) if x.key == key]
    return only


def claim(by: str, amount: str, result: str = "offset") -> dict[str, str]:
    return {"by": by, "amount": amount, "basis": "contribution_2640", "result": result}


def estate(claim_by: str, result: str) -> Ledger:
    """A home with a loan and a credit, a car, an account, and what the other party receives."""
    return of(
        {
            "home": thing(value="820000", goes_to="petitioner", separate_claims=[claim(claim_by, "60000", result)]),
            "car": thing(value="18000", owing="9500", goes_to="petitioner"),
            "plan": thing(value="145000", goes_to="respondent"),
            "boat": thing(value="22000", goes_to="respondent"),
        },
        {
            "loan": debt(owing="410000", assigned_to="petitioner", secured_by="home"),
            "cards": debt(owing="14000", assigned_to="respondent"),
            "tax": debt(owing="6250", assigned_to="respondent"),
        },
    )


def test_a_separate_claim_of_the_one_who_keeps_the_asset_is_left_out() -> None:
    found = estate("petitioner", "offset")
    assert (found.equalization, found.equalization_payer, found.adjustments) == (Decimal("105875.00"), "petitioner", ())
    assert found.to_petitioner - found.equalization == found.half == Decimal("252625.00")
    assert found.received_by_petitioner == Decimal("312625.00")


def test_a_separate_claim_in_the_other_partys_asset_is_set_off_whole() -> None:  # Fam. Code § 2640
    found = estate("respondent", "offset")
    assert (found.equalization, found.equalization_payer) == (Decimal("165875.00"), "petitioner")
    assert [(a.amount, a.debtor, a.path) for a in found.adjustments] == [
        (Decimal(60000), "petitioner", "assets.home.separate_claims.0")
    ]
    assert found.awards_payment == Decimal("105875.00")
    assert found.settlement.equal
    assert (found.received_by_petitioner, found.received_by_respondent) == (Decimal("252625.00"), Decimal("312625.00"))


def test_a_separate_claim_paid_on_its_own_stays_out_of_the_equalization() -> None:
    found = estate("respondent", "paid")
    assert found.equalization == Decimal("105875.00")
    assert [(a.amount, a.creditor) for a in found.paid_apart] == [(Decimal(60000), "respondent")]


def test_a_claim_given_up_joins_what_is_divided() -> None:
    assert estate("respondent", "waived").equalization == Decimal("135875.00")


def test_a_claim_left_open_gives_a_caution() -> None:
    found = estate("respondent", "reserved")
    assert [c.path for c in found.cautions] == ["assets.home.separate_claims.0.result"]
    assert found.equalization == Decimal("105875.00")


def test_claims_above_the_net_value_are_honored_in_proportion() -> None:  # Walrath (1998) 17 Cal.4th 907
    found = of(
        {
            "home": thing(
                value="50000",
                goes_to="respondent",
                separate_claims=[claim("petitioner", "60000"), claim("respondent", "20000")],
            )
        }
    )
    home = line(found, "home")
    assert (home.separate_petitioner, home.separate_respondent, home.net) == (
        Decimal("37500.00"),
        Decimal("12500.00"),
        NOTHING,
    )
    assert (found.equalization, found.equalization_payer) == (Decimal("37500.00"), "respondent")
    assert [c.path for c in found.cautions] == ["assets.home.separate_claims"]


def test_nothing_is_honored_without_net_value() -> None:
    found = of(
        {
            "home": thing(
                value="50000", owing="55000", goes_to="respondent", separate_claims=[claim("petitioner", "60000")]
            )
        }
    )
    assert (line(found, "home").separate, line(found, "home").net, found.adjustments) == (NOTHING, Decimal(-5000), ())


def test_a_contribution_to_the_others_separate_property() -> None:  # Fam. Code § 2640(c)
    found = of(
        {"cabin": thing(value="90000", character="separate_respondent", separate_claims=[claim("petitioner", "15000")])}
    )
    assert line(found, "cabin").how == "confirmed"
    assert (found.equalization, found.equalization_payer, found.total) == (Decimal("15000.00"), "respondent", NOTHING)


def test_a_reimbursement_set_off_is_counted_once_and_whole() -> None:  # Fam. Code § 2626
    back = {"kind": "exclusive_use", "claimant": "respondent", "amount": "5250.00"}
    base = {"a": thing(value="358500", goes_to="petitioner"), "b": thing(value="146750", goes_to="respondent")}
    assert of(base, reimbursements={"use": {**back, "result": "offset"}}).equalization == Decimal("111125.00")
    apart = of(base, reimbursements={"use": {**back, "result": "paid"}})
    assert (apart.equalization, apart.paid_apart[0].amount) == (Decimal("105875.00"), Decimal("5250.00"))
    assert of(base, reimbursements={"use": {**back, "result": "waived"}}).equalization == Decimal("105875.00")
    assert (
        apart.received_by_respondent
        == of(base, reimbursements={"use": {**back, "result": "offset"}}).received_by_respondent
    )


def test_a_lien_counts_for_the_one_who_pays_it() -> None:
    assets = {"home": thing(value="500000", goes_to="petitioner"), "fund": thing(value="100000", goes_to="respondent")}
    found = of(assets, {"loan": debt(owing="200000", assigned_to="respondent", secured_by="home")})
    assert (found.to_petitioner, found.to_respondent) == (Decimal(500000), Decimal(-100000))
    assert found.equalization == Decimal("300000.00")
    assert [c.path for c in found.cautions] == ["debts.loan.assigned_to"]
    halved = of(assets, {"loan": debt(owing="200000", assigned_to="split", secured_by="home")})
    assert (halved.to_petitioner, halved.to_respondent) == (Decimal(400000), NOTHING)


def test_a_community_debt_on_a_separate_asset_is_a_line_of_its_own() -> None:
    found = of(
        {
            "cabin": thing(value="90000", character="separate_petitioner"),
            "fund": thing(value="50000", goes_to="respondent"),
        },
        {"loan": debt(owing="20000", assigned_to="petitioner", secured_by="cabin")},
    )
    assert (line(found, "cabin").net, line(found, "loan").to_petitioner, found.total) == (
        Decimal(90000),
        Decimal(-20000),
        Decimal(30000),
    )


def test_a_separate_debt_on_a_community_asset_does_not_lower_it() -> None:  # Fam. Code § 2625
    case = facts(
        {
            "assets": {"home": thing(value="500000", goes_to="petitioner")},
            "debts": {"old": debt(owing="30000", character="separate_petitioner", secured_by="home")},
        }
    )
    found = ledger(case)
    assert (line(found, "home").net, line(found, "old").how) == (Decimal(500000), "confirmed")
    assert liens("home", case.assets["home"], case) == NOTHING
    assert [c.path for c in found.cautions] == ["debts.old.secured_by"]


def test_a_loan_for_ones_own_education_is_not_offset() -> None:  # Fam. Code §§ 2627, 2641(b)(2)
    assets = {"fund": thing(value="50000", goes_to="respondent")}
    own = of(assets, {"school": debt(owing="20000", assigned_to="petitioner", education_of="petitioner")})
    assert (own.to_petitioner, line(own, "school").in_sum, own.equalization) == (NOTHING, False, Decimal("25000.00"))
    shared = of(assets, {"school": debt(owing="20000", assigned_to="split", education_of="petitioner")})
    assert (shared.to_petitioner, [c.path for c in shared.cautions]) == (Decimal(-10000), ["debts.school.assigned_to"])


def test_debts_above_assets_are_not_equalized_by_formula() -> (
    None
):  # Eastis (1975) 47 Cal.App.3d 459; Fam. Code § 2622(b)
    found = of(
        {"w": thing(value="3500", goes_to="petitioner"), "h": thing(value="1750", goes_to="respondent")},
        {"one": debt(owing="1000", assigned_to="petitioner"), "two": debt(owing="5450", assigned_to="respondent")},
    )
    assert (found.to_petitioner, found.to_respondent) == (Decimal(2500), Decimal(-3700))
    assert (found.negative, found.excess_debt, found.equalization, found.equalization_payer) == (
        True,
        Decimal(1200),
        NOTHING,
        None,
    )
    assert "2,625.00" in " ".join(step.result for step in found.figure.steps)


def test_an_unequal_division_shows_how_far_it_departs() -> None:
    assets = {"a": thing(value="100000", goes_to="petitioner"), "b": thing(value="40000", goes_to="respondent")}
    said = of(
        assets, equalization={"mode": "lump", "payer": "petitioner", "amount": "20000", "unequal": "yes"}
    ).settlement
    assert (said.departure, said.equal, said.deliberate) == (Decimal(10000), False, True)
    unsaid = of(assets, equalization={"mode": "none"}).settlement
    assert (unsaid.departure, unsaid.equal, unsaid.deliberate) == (Decimal(30000), False, False)
    wrong_way = of(assets, equalization={"mode": "lump", "payer": "respondent", "amount": "30000"}).settlement
    assert wrong_way.departure == Decimal(60000)


def test_the_parts_of_a_payment_must_make_it() -> None:
    assets = {"a": thing(value="100000", goes_to="petitioner")}
    note = {
        "mode": "lump_and_note",
        "payer": "petitioner",
        "amount": "50000",
        "lump_amount": "10000",
        "note": {"principal": "39000"},
    }
    assert [c.path for c in of(assets, equalization=note).cautions] == ["equalization.lump_amount"]
    alone = {"mode": "note", "payer": "petitioner", "amount": "50000", "note": {"principal": "49000"}}
    assert [c.path for c in of(assets, equalization=alone).cautions] == ["equalization.note.principal"]
    nobody = of(assets, equalization={"mode": "lump", "amount": "50000"})
    assert [c.path for c in nobody.cautions] == ["equalization.payer"]
    assert nobody.settlement.amount == NOTHING


def test_a_plan_that_pays_the_equalization() -> None:
    plan = {"kind": "retirement", "label": "the plan", "value": "60000", "goes_to": "petitioner"}
    pay = {"mode": "retirement", "payer": "petitioner", "amount": "30000", "from_asset": "plan"}
    found = of({"plan": plan}, equalization=pay)
    assert (found.settlement.by_transfer, found.settlement.equal, found.cautions) == (Decimal(30000), True, ())
    more = of({"plan": plan}, equalization={**pay, "amount": "70000"})
    assert [c.path for c in more.cautions] == ["equalization.from_asset"]
    twice = of(
        {"plan": {**plan, "goes_to": "respondent"}, "x": thing(value="1", goes_to="petitioner")}, equalization=pay
    )
    assert [c.path for c in twice.cautions] == ["assets.plan.goes_to"]


def test_a_sale_is_shared_after_everything_that_comes_first() -> None:
    home = {
        "kind": "real", "label": "the home", "value": "700000", "goes_to": "sell", "separate_claims": [claim("respondent", "50000", "paid")],
        "real": {"plan": "sell", "broker": {"fee_percent": "5"}, "petitioner_percent_of_proceeds": "60"},
    }  # fmt: skip
    found = of(
        {"home": home},
        {
            "loan": debt(owing="300000", secured_by="home", assigned_to="from_sale"),
            "cards": debt(owing="15000", assigned_to="from_sale"),
        },
    )
    (sale,) = found.sales
    assert (sale.cost, sale.liens, sale.debts, sale.separate_respondent) == (
        Decimal(35000),
        Decimal(300000),
        Decimal(15000),
        Decimal(50000),
    )
    assert (sale.to_petitioner, sale.to_respondent) == (Decimal(180000), Decimal(120000))
    assert (found.total, found.cautions) == (NOTHING, ())


def test_a_sale_that_does_not_cover_its_debts() -> None:
    found = of(
        {"home": thing(value="100", owing="150", goes_to="sell")}, {"cards": debt(owing="15", assigned_to="from_sale")}
    )
    assert (found.sales[0].to_petitioner, found.sales[0].to_respondent) == (Decimal("-32.50"), Decimal("-32.50"))
    assert [c.path for c in found.cautions] == ["assets.home"]


def test_a_debt_to_be_paid_from_no_sale() -> None:
    found = of({"fund": thing(value="100", goes_to="petitioner")}, {"cards": debt(owing="15", assigned_to="from_sale")})
    assert [c.path for c in found.cautions] == ["debts"]


@pytest.mark.parametrize(
    ("data", "path"),
    [
        ({"assets": {"a": thing(value="-1", goes_to="petitioner")}}, "assets.a.value"),
        ({"assets": {"a": thing(value="1", owing="-1", goes_to="petitioner")}}, "assets.a.owing"),
        ({"debts": {"d": debt(owing="-1", assigned_to="petitioner")}}, "debts.d.owing"),
        ({"assets": {"a": thing(value="10", goes_to="split", petitioner_amount="11")}}, "assets.a.petitioner_amount"),
        (
            {"assets": {"a": thing(value="10", goes_to="split", petitioner_amount="1", petitioner_percent="5")}},
            "assets.a.petitioner_percent",
        ),
        (
            {"assets": {"a": thing(value="10", goes_to="petitioner", separate_claims=[claim("petitioner", "-1")])}},
            "assets.a.separate_claims.0.amount",
        ),
        (
            {
                "assets": {"a": thing(value="10", owing="2", goes_to="petitioner")},
                "debts": {"d": debt(owing="2", secured_by="a", assigned_to="petitioner")},
            },
            "assets.a.owing",
        ),
        (
            {"reimbursements": {"r": {"kind": "other", "claimant": "petitioner", "amount": "-1", "result": "offset"}}},
            "reimbursements.r.amount",
        ),
        (
            {
                "assets": {
                    "a": {
                        "kind": "retirement",
                        "label": "x",
                        "value": "9",
                        "goes_to": "petitioner",
                        "retirement": {"premarital_balance": "4"},
                    }
                }
            },
            "assets.a.retirement.member",
        ),
    ],
)
def test_bad_facts_give_a_caution_and_never_stop(data: dict[str, Any], path: str) -> None:
    found = ledger(facts(data))
    assert [c.path for c in found.cautions] == [path]
    assert found.cautions[0].says.endswith(".")
    assert whole_of(found) == found.gross


def test_one_contribution_in_two_places_gives_a_caution() -> None:
    found = of(
        {"home": thing(value="100", goes_to="petitioner", separate_claims=[claim("respondent", "40")])},
        reimbursements={
            "r": {
                "kind": "contribution_2640",
                "claimant": "respondent",
                "amount": "40",
                "result": "offset",
                "asset": "home",
            }
        },
    )
    assert [c.path for c in found.cautions] == ["reimbursements.r"]


def test_the_odd_cent() -> None:
    assert share(Decimal("0.01"), Decimal(50)) == Decimal("0.01")
    assert share(Decimal("0.01"), Decimal(49)) == NOTHING
    assert share(Decimal("0.05"), Decimal(10)) == NOTHING  # a tie goes to the larger share
    assert share(Decimal("0.05"), Decimal(90)) == Decimal("0.05")
    assert share(Decimal("-0.01"), Decimal(50)) == Decimal("-0.01")
    assert of({"a": thing(value="100.01", goes_to="split")}).equalization == NOTHING  # a single cent is not moved
    three = of({"a": thing(value="0.03", goes_to="petitioner")})
    assert (three.equalization, three.settlement.equal) == (Decimal("0.02"), True)


def test_separate_part_is_kept_for_other_rooms() -> None:
    case = facts(
        {
            "assets": {
                "a": thing(value="10", separate_claims=[claim("petitioner", "4"), claim("respondent", "3", "waived")])
            }
        }
    )
    assert separate_part(case.assets["a"], Decimal(10)) == Decimal(4)
    assert separate_part(case.assets["a"], Decimal(-10)) == NOTHING


def test_the_working_names_its_facts() -> None:
    found = estate("respondent", "offset").figure
    assert found.value == Decimal("165875.00")
    assert {"assets.home", "debts.cards", "assets.home.separate_claims.0"} <= set(found.facts)
    assert "debts.loan" not in found.facts  # counted with the home
    assert [row["item"] for row in found.table][:1] == ["the thing"]
    assert all(step.result for step in found.steps)
