"""Property figures: what must hold whatever the numbers are, and input that cannot be computed with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from review.cases import facts
from support.effort import examples
from support.scenarios import facts_file
from support.strategies import cases

from msadraft.facts.load import read_case
from msadraft.facts.model import Facts
from msadraft.figures.property import characterisation, contributions, pensions, stock
from msadraft.figures.property.business import growth, pereira, van_camp
from msadraft.figures.property.characterisation import MarriageDays
from msadraft.figures.property.contributions import Contribution, Entry, credits_2640, follow_proceeds, trace
from msadraft.figures.property.damages import Injury, breach_remedy, check_award, injury
from msadraft.figures.property.education import SchoolPayment, education, presumption
from msadraft.figures.property.equalize import Side, buy_out, equalize
from msadraft.figures.property.interest import judgment_interest, present_value
from msadraft.figures.property.pensions import (
    Service,
    account_share,
    frozen_military_pay,
    plan_share,
    service_by_dates,
    time_rule,
)
from msadraft.figures.property.separate_home import (
    Improvement,
    Refinance,
    SeparateHome,
    by_payments,
    converted_credit,
    home_shares,
    purchase_shares,
)
from msadraft.figures.property.stock import Tranche, agreed_share, stock_shares
from msadraft.figures.property.use import Payment, Use, account
from msadraft.figures.property.working import CENT, InputError, cents, divide, halves, months_and_days, whole_months

MONEY = st.decimals(0, 2_000_000, places=2)
SMALL = st.decimals(0, 50_000, places=2)
PARTY = st.sampled_from(["petitioner", "respondent"])
OTHER = {"petitioner": "respondent", "respondent": "petitioner", None: None}
DAY = st.dates(date(1970, 1, 1), date(2026, 12, 31))
D = Decimal


# Dividing


@given(MONEY, st.lists(st.decimals(0, 1000, places=3), min_size=1, max_size=6))
def test_parts_add_up_and_keep_their_order(total: Decimal, weights: list[Decimal]) -> None:
    parts = divide(total, weights)
    assert sum(parts) == total
    assert all(part >= 0 for part in parts)
    for i, first in enumerate(weights):
        for j, second in enumerate(weights):
            if first > second and sum(weights):
                assert parts[i] >= parts[j]
    if sum(weights):
        assert all(
            abs(part - total * weight / sum(weights)) < CENT for part, weight in zip(parts, weights, strict=True)
        )


@given(MONEY, MONEY)
def test_a_divided_sum_does_not_depend_on_the_order(first: Decimal, second: Decimal) -> None:
    assume(first != second)
    one, two = divide(D("1000.01"), (first, second))
    assert divide(D("1000.01"), (second, first)) == (two, one)


@given(DAY, DAY)
def test_months_and_days_lie_between_completed_months(start: date, end: date) -> None:
    exact = months_and_days(start, end)
    assert whole_months(start, end) <= exact + 1  # a short month can complete a day earlier
    assert 0 <= exact - int(exact) < 1
    assert exact >= months_and_days(start, end - timedelta(days=1)) or start >= end


# Separate home


@st.composite
def homes(draw: st.DrawFn) -> SeparateHome:
    price = draw(st.decimals(1000, 2_000_000, places=2))
    down = draw(st.decimals(0, price, places=2))
    cuts = sorted(draw(st.lists(st.decimals(0, price - down, places=2), min_size=4, max_size=4)))
    paid = (cuts[0], cuts[1] - cuts[0], cuts[2] - cuts[1])
    refinance = None
    if draw(st.booleans()):
        payoff = draw(st.decimals(0, price - down - cuts[2], places=2))
        amount = payoff + draw(st.decimals(1, 500_000, places=2))
        refinance = Refinance(
            payoff,
            amount,
            draw(st.decimals(0, amount, places=2)),
            draw(st.sampled_from(["community", "separate", None])),
        )
    return SeparateHome(
        price, down, paid[1], draw(MONEY),
        principal_before=paid[0],
        principal_after=paid[2],
        value_at_marriage=draw(st.none() | MONEY),
        refinance=refinance,
        improvements=tuple(
            draw(st.lists(st.builds(Improvement, SMALL, st.sampled_from(["community", "separate"]), st.sampled_from(["repaid", "share"])), max_size=2))
        ),
        percent_places=draw(st.sampled_from([None, 2, 4])),
        owner=draw(PARTY),
    )  # fmt: skip


@given(homes())
def test_the_parts_of_a_home_make_its_equity(home: SeparateHome) -> None:
    found = home_shares(home)
    assert found.community + found.separate == found.equity == home.value_now - found.loan_balance
    assert found.owner_receives + found.other_receives == found.equity
    swapped = home_shares(replace(home, owner=OTHER[home.owner]))
    assert found.for_party("petitioner") == swapped.for_party("respondent")
    assert found.figure.value == found.community
    assert all(step.source for step in found.figure.steps)


@given(
    st.decimals(1000, 2_000_000, places=2),
    st.lists(st.decimals(0, 1, places=4), min_size=3, max_size=3),
    st.decimals(0, 1_000_000, places=2),
)
def test_more_community_principal_never_lowers_the_community_part(
    price: Decimal, parts: list[Decimal], growth_since: Decimal
) -> None:
    first, second, loan = sorted(cents(price * part) for part in parts)
    home = SeparateHome(price, price - loan, first, price + growth_since)
    assert home_shares(replace(home, principal_community=second)).community >= home_shares(home).community


def test_a_separate_refinance_goes_on_as_the_purchase_loan() -> None:
    base = SeparateHome(D(400000), D(100000), D(30000), D(700000), value_at_marriage=D(450000))
    on = SeparateHome(
        D(400000), D(100000), D(10000), D(700000), value_at_marriage=D(450000),
        refinance=Refinance(D(290000), D(290000), D(270000), "separate", paid_by_community=D(20000)),
    )  # fmt: skip
    assert home_shares(base).community == home_shares(on).community
    assert home_shares(base).equity == home_shares(on).equity


def test_a_community_refinance_leaves_its_loan_with_the_community() -> None:  # Branco (1996) 47 Cal.App.4th 1621
    home = SeparateHome(
        D(100000),
        D(20000),
        D(0),
        D(300000),
        value_at_marriage=D(100000),
        refinance=Refinance(D(80000), D(100000), D(50000), "community"),
    )
    found = home_shares(home)
    # 80,000 bought 80 percent; 80 percent of 200,000 growth; less 80/100 of the 50,000 unpaid.
    assert (found.community, found.separate, found.equity) == (D(200000), D(60000), D(260000))
    assert any("spent elsewhere" in caution for caution in found.figure.cautions)


def test_repaid_improvements_come_first_and_no_higher_than_their_value() -> None:
    plain = SeparateHome(D(100000), D(100000), D(0), D(200000))
    worth_less = replace(plain, improvements=(Improvement(D(30000), "community", value_added=D(10000)),))
    assert home_shares(plain).community == 0
    assert home_shares(worth_less).community == D(10000)
    assert home_shares(replace(plain, improvements=(Improvement(D(30000), "separate"),))).community == 0


def test_a_loss_of_value_is_shared_and_said() -> None:
    found = home_shares(SeparateHome(D(100000), D(0), D(50000), D(80000), value_at_marriage=D(100000)))
    assert (found.community, found.equity) == (D(40000), D(30000))
    assert {"lost value", "comes out negative"} <= {
        phrase for phrase in ("lost value", "comes out negative") if any(phrase in c for c in found.figure.cautions)
    }


def test_a_converted_home_carries_its_separate_part_as_a_credit() -> None:  # Fam. Code §§ 2581, 2640
    home = SeparateHome(D(100000), D(40000), D(6000), D(150000), value_at_marriage=D(100000))
    assert converted_credit(home) == home_shares(home).separate == D(87000)


# Contributions and tracing


@st.composite
def credit_lists(draw: st.DrawFn) -> list[Contribution]:
    kinds = st.sampled_from(["down_payment", "improvement", "principal", "interest", "taxes"])
    return draw(st.lists(st.builds(Contribution, PARTY, SMALL, kinds, st.booleans(), st.booleans()), max_size=5))


@given(credit_lists(), MONEY, MONEY)
def test_credits_and_the_rest_make_the_net_value(given_in: list[Contribution], value: Decimal, liens: Decimal) -> None:
    found = credits_2640(given_in, value, liens)
    assert sum(found.repaid) + found.left == found.net_value == max(D(0), value - liens)
    assert sum(found.shares) == found.net_value
    for contribution, amount in zip(given_in, found.repaid, strict=True):
        counts = contribution.traced and not contribution.waived and contribution.kind not in ("interest", "taxes")
        assert 0 <= amount <= (contribution.amount if counts else 0)
    swapped = credits_2640([replace(c, by=OTHER[c.by]) for c in given_in], value, liens)
    assert (found.to("petitioner"), found.left) == (swapped.to("respondent"), swapped.left)
    more = credits_2640(given_in, value + 1000, liens)
    assert all(b >= a - CENT for a, b in zip(found.repaid, more.repaid, strict=True))


def test_a_short_net_value_is_paid_out_to_the_cent() -> None:
    found = credits_2640(
        [Contribution(by, D(600)) for by in ("petitioner", "respondent", "petitioner")], D(1100), D(1000)
    )
    assert found.repaid == (D("33.34"), D("33.33"), D("33.33"))
    assert (found.short, found.left) == (True, D(0))


def test_money_in_the_others_separate_property_counts_since_2005() -> None:  # Fam. Code § 2640(c)
    for day, repaid in ((date(2004, 12, 31), 0), (date(2005, 1, 1), 5000)):
        found = credits_2640(
            [Contribution("petitioner", D(5000), "improvement", into="other_separate", paid_on=day)], D(9000), D(0)
        )
        assert found.to_petitioner == repaid
    with pytest.raises(InputError, match="needs the day"):
        credits_2640([Contribution("petitioner", D(5000), into="other_separate")], D(9000), D(0))


def test_untraced_money_is_not_repaid_and_said() -> None:
    found = credits_2640([Contribution("petitioner", D(5000), traced=False)], D(9000), D(0))
    assert (found.to_petitioner, found.left) == (0, D(9000))
    assert "not traced" in found.figure.cautions[0]


@given(
    SMALL,
    SMALL,
    st.lists(
        st.tuples(
            st.sampled_from(["deposit", "family_expense", "purchase"]),
            SMALL,
            st.sampled_from(["community", "separate"]),
        ),
        max_size=8,
    ),
)
def test_tracing_loses_no_cent(community: Decimal, separate: Decimal, moves: list[tuple[Any, Decimal, Any]]) -> None:
    entries = [
        Entry(date(2020, 1, 1) + timedelta(days=i), kind, amount, pool if kind == "deposit" else None)
        for i, (kind, amount, pool) in enumerate(moves)
    ]
    found = trace(community, separate, entries)
    assert found.community_left >= 0 <= found.separate_left
    seen = (
        entries
        if not found.stopped
        else entries[: next(i for i, e in enumerate(entries) if str(e.on) in found.stopped)]
    )
    came = community + separate + sum((e.amount for e in seen if e.kind == "deposit"), D(0))
    went = sum((e.amount for e in seen if e.kind != "deposit"), D(0))
    assert came - went == found.community_left + found.separate_left
    assert all(d.community + d.separate == d.entry.amount for d in found.purchases)


def test_tracing_stops_where_a_record_or_money_is_missing() -> None:
    entries = [
        Entry(date(2020, 1, 5), "purchase", D(50), what="car"),
        Entry(date(2020, 4, 5), "purchase", D(50), what="boat"),
    ]
    gap = trace(D(0), D(100), entries, months_seen={(2020, 1), (2020, 2), (2020, 4)})
    assert (gap.stopped, gap.separate_in_purchases) == ("no statement for 2020-03", D(50))
    short = trace(D(0), D(60), entries)
    assert "more than was there" in short.stopped
    assert "Tracing stopped" in short.figure.cautions[0]
    wrong_pool = trace(D(100), D(10), [Entry(date(2020, 1, 5), "purchase", D(50), "separate")])
    assert wrong_pool.stopped


def test_family_expenses_draw_community_money_first() -> None:
    found = trace(
        D(100),
        D(500),
        [Entry(date(2020, 1, 5), "family_expense", D(300)), Entry(date(2020, 1, 6), "purchase", D(250), "separate")],
    )
    assert (found.separate_spent_on_family, found.separate_in_purchases, found.separate_left) == (D(200), D(250), D(50))
    assert any("not repaid" in caution for caution in found.figure.cautions)


# Plans, units, businesses


@given(
    MONEY,
    st.decimals(0, 500, places=4),
    st.decimals("0.0001", 500, places=4),
    st.decimals(0, 500, places=4),
    st.decimals(0, 100, places=2),
)
def test_a_benefit_divides_without_loss(
    benefit: Decimal, before: Decimal, within: Decimal, after: Decimal, percent: Decimal
) -> None:
    found = time_rule(benefit, Service(before, within, after), other_percent=percent)
    assert found.to_member + found.to_other == benefit
    assert 0 <= found.to_other <= found.community <= benefit
    longer = time_rule(benefit, Service(before, within, after + 12), other_percent=percent)
    assert longer.to_other <= found.to_other


@given(st.lists(DAY, min_size=4, max_size=4))
def test_service_by_dates_never_exceeds_the_whole(given_days: list[date]) -> None:
    married, separated = sorted(given_days[:2])
    start, end = sorted(given_days[2:])
    for convention in ("whole_months", "months_and_days", "days"):
        found = service_by_dates(start, married, separated, end, convention)
        assert found.before_marriage >= 0
        assert found.in_marriage >= 0
        assert found.after_separation >= 0
        if convention == "days":
            assert found.denominator == (end - start).days


@given(
    st.lists(st.tuples(DAY, st.integers(0, 3000), st.decimals(0, 5000, places=4)), max_size=4),
    DAY,
    st.integers(0, 9000),
    st.sampled_from(["hug", "nelson"]),
)
def test_units_divide_without_loss(
    given_tranches: list[tuple[date, int, Decimal]], married: date, length: int, formula: Any
) -> None:
    tranches = [Tranche(granted, granted + timedelta(days=days), units) for granted, days, units in given_tranches]
    hired = min((t.granted_on for t in tranches), default=married)
    found = stock_shares(tranches, formula, married, married + timedelta(days=length), hired_on=hired)
    for share in found.shares:
        assert 0 <= share.fraction <= 1
        assert share.community + share.separate == share.tranche.units == share.to_holder + share.to_other
        assert 0 <= share.to_other <= share.to_holder
    assert found.community + found.separate == sum((t.units for t in tranches), D(0))


def test_units_outside_the_marriage_are_separate_and_within_it_community() -> None:
    married, separated = date(2010, 1, 1), date(2020, 1, 1)
    before, within, after = (Tranche(date(y, 1, 1), date(y + 2, 1, 1), D(100)) for y in (2006, 2012, 2021))
    found = stock_shares([before, within, after], "nelson", married, separated)
    assert [share.community for share in found.shares] == [0, 100, 0]
    assert any("granted after the separation" in caution for caution in found.figure.cautions)
    hired_before = stock_shares(
        [Tranche(date(2012, 1, 1), date(2020, 1, 1), D(100))], "hug", married, separated, hired_on=date(2000, 1, 1)
    )
    assert hired_before.community == D("49.9932")  # 3652 of 7305 days: work before the marriage is the holder's own


@given(MONEY, MONEY, st.decimals(0, 40, places=2), st.decimals(0, 1, places=3), SMALL, SMALL, SMALL)
def test_both_growth_approaches_make_the_value(
    capital: Decimal, value: Decimal, years: Decimal, rate: Decimal, pay: Decimal, drawn: Decimal, spent: Decimal
) -> None:
    for found in (pereira(capital, value, years, rate), van_camp(value, years, pay, drawn, spent)):
        assert found.community + found.separate == value
        assert 0 <= found.community <= value
    assert pereira(capital, value, years + 1, rate).community <= pereira(capital, value, years, rate).community


def test_family_expenses_can_use_up_the_community_part() -> None:  # In re Marriage of Frick (1986) 181 Cal.App.3d 997
    spent = pereira(D(131000), D(290000), D(0), D(0), fair_return=D(99850), expenses_beyond_income=D(60000))
    assert (spent.community, spent.separate) == (D(0), D(290000))
    some = pereira(D(131000), D(290000), D(0), D(0), fair_return=D(99850), expenses_beyond_income=D(9150))
    assert some.community == D(50000)


def test_growth_shows_both_approaches_with_the_laws_rate() -> None:  # Beam v. Bank of America (1971) 6 Cal.3d 12
    found = growth(
        D(100000),
        D(500000),
        date(2010, 1, 1),
        date(2019, 12, 30),
        reasonable_pay=D(90000),
        drawn=D(60000),
        family_expenses=D(10000),
    )
    assert (found.pereira.separate, found.pereira.community) == (D(170000), D(330000))
    assert found.van_camp.community == D(200000)
    assert found.difference == D(130000)


# After the separation, education, damages


@given(
    st.lists(
        st.builds(
            Payment,
            PARTY,
            SMALL,
            st.sampled_from(["separate", "community"]),
            st.sampled_from(["community", "own", "other"]),
            st.sampled_from([None, "agreed", "gift"]),
        ),
        max_size=4,
    ),
    st.lists(st.builds(Use, PARTY, SMALL, st.integers(0, 40).map(Decimal)), max_size=3),
)
def test_payments_and_use_swap_with_the_parties(payments: list[Payment], uses: list[Use]) -> None:
    found = account(payments, uses)
    swapped = account([replace(p, by=OTHER[p.by]) for p in payments], [replace(u, by=OTHER[u.by]) for u in uses])
    assert (found.due, found.payer, found.due_to) == (swapped.due, OTHER[swapped.payer], OTHER[swapped.due_to])
    assert found.charge_petitioner == swapped.charge_respondent
    # The same sums through the equalization give the same payment, an odd cent aside.
    side = {
        "petitioner": Side(D(0), charges=found.charge_petitioner, credits=found.credit_petitioner),
        "respondent": Side(D(0), charges=found.charge_respondent, credits=found.credit_respondent),
    }
    owed = "respondent" if found.direct > 0 else "petitioner"
    side[owed] = replace(side[owed], owed_whole=abs(found.direct))
    balance = equalize(side["petitioner"], side["respondent"])
    signed = balance.payment if balance.payer == "petitioner" else -balance.payment
    assert abs(signed - (found.due if found.payer == "petitioner" else -found.due)) <= CENT


def test_what_is_not_repaid_after_the_separation() -> None:  # Epstein (1979) 24 Cal.3d 76
    for payment in (
        Payment("petitioner", D(100), not_repaid="support"),
        Payment("petitioner", D(100), "community"),
        Payment("petitioner", D(100), whose_debt="own"),
    ):
        assert account([payment], []).due == 0
    assert account([Payment("petitioner", D(100))], []).due == D(50)
    assert account([Payment("petitioner", D(100), whose_debt="other")], []).due == D(100)
    own = account([Payment("petitioner", D(100), "community", "own")], [])
    assert (own.due, own.payer) == (D(50), "petitioner")
    credited = account([Payment("petitioner", D(100))], [Use("respondent", D(10), D(1))])
    assert any(
        "not charged for use" in caution for caution in credited.figure.cautions
    )  # Cooper (2016) 247 Cal.App.4th 983


@pytest.mark.parametrize(
    ("paid", "expected"),
    [
        (SchoolPayment(2016, D(1), date(2016, 3, 2)), "not_benefited"),
        (SchoolPayment(2016, D(1), date(2016, 3, 1)), "none"),  # exactly ten years
        (SchoolPayment(2016, D(1), date(2016, 2, 29)), "benefited"),
        (SchoolPayment(2016, D(1)), "none"),  # the year straddles the line
        (SchoolPayment(2017, D(1)), "not_benefited"),
        (SchoolPayment(2015, D(1)), "benefited"),
    ],
)
def test_presumptions_about_education(paid: SchoolPayment, expected: str) -> None:  # Fam. Code § 2641(c)(1)
    assert presumption(paid, date(2026, 3, 1)) == expected


@given(st.lists(st.builds(SchoolPayment, st.integers(2000, 2026), SMALL), max_size=4), st.decimals(0, 100, places=1))
def test_education_is_halved_once(payments: list[SchoolPayment], cut: Decimal) -> None:
    full = education("petitioner", payments, date(2026, 6, 30), rate=D("0.1"))
    assert full.total == sum((line.payment.amount + line.interest for line in full.lines), D(0))
    assert 0 <= full.total - 2 * full.half <= CENT
    less = education(
        "petitioner",
        payments,
        date(2026, 6, 30),
        rate=D("0.1"),
        reduced_by_percent=cut,
        reason="the community benefited",
    )
    assert less.total == full.total - cents(full.total * cut / 100)


DAYS = MarriageDays(date(2010, 1, 1), date(2024, 1, 1))


def test_damages_for_an_injury() -> None:  # Fam. Code §§ 780, 781, 2603
    after = injury(
        Injury("petitioner", D(100000), date(2024, 1, 2), paid_by_community=D(20000), paid_by_other=D(5000)), DAYS
    )
    assert (after.character, after.least, after.most, after.to_community, after.to_other) == (
        "separate_petitioner",
        D(75000),
        D(75000),
        D(20000),
        D(5000),
    )
    spouse = injury(
        Injury("petitioner", D(100000), date(2015, 1, 2), against_other_spouse=True, paid_by_community=D(20000)), DAYS
    )
    assert (spouse.character, spouse.least) == ("separate_petitioner", D(100000))
    mixed = injury(Injury("petitioner", D(100000), date(2015, 1, 2), commingled=True), DAYS)
    assert (mixed.least, mixed.most) == (D(50000), D(50000))
    usual = injury(Injury("respondent", D(100000), date(2015, 1, 2)), DAYS)
    assert (usual.usual, usual.least) == (D(100000), D(50000))
    with pytest.raises(InputError, match="outside"):
        check_award(usual, D("100000.01"))


# Equalization


SIDE = st.builds(Side, st.decimals(-100_000, 900_000, places=2), SMALL, SMALL, SMALL, SMALL, SMALL)


@given(SIDE, SIDE)
def test_equalization_swaps_and_equalizes(one: Side, two: Side) -> None:
    found, swapped = equalize(one, two), equalize(two, one)
    assert (found.payment, found.payer, found.negative) == (swapped.payment, OTHER[swapped.payer], swapped.negative)
    signed = found.payment if found.payer == "petitioner" else -found.payment
    if not found.negative:
        first = one.net + one.charges - one.credits - (signed - found.whole)
        second = two.net + two.charges - two.credits + (signed - found.whole)
        assert abs(first - second) <= CENT
    else:
        assert found.excess_debt == -(one.net + two.net)
        assert found.half_of_nets == 0


@given(MONEY, MONEY, st.decimals(0, 1, places=3))
def test_a_buy_out_pays_half_of_what_is_divided(value: Decimal, balance: Decimal, cost: Decimal) -> None:
    found = buy_out(value, balance, sale_cost_fraction=cost)
    assert abs(found.divisible - 2 * found.to_other) <= CENT
    assert found.new_loan == balance + found.to_other
    assert found.sale_to_other <= found.to_other
    assert halves(abs(found.equity))[0] == abs(found.to_other)


# Bad input

ONE_DAY = date(2020, 1, 1)
LATER = date(2021, 1, 1)
HOME = SeparateHome(D(100), D(20), D(10), D(300))
BAD: dict[str, tuple[Callable[[], Any], str]] = {
    "negative price": (lambda: home_shares(replace(HOME, value_now=D(-1))), "value now is -1"),
    "no price": (lambda: home_shares(replace(HOME, price=D(0), down=D(0), principal_community=D(0))), "price is missing"),
    "down payment above the price": (lambda: home_shares(replace(HOME, down=D(101))), "more than the price"),
    "interest counted as principal": (lambda: home_shares(replace(HOME, principal_community=D(81))), "count principal only"),
    "refinance pays off too much": (lambda: home_shares(replace(HOME, refinance=Refinance(D(71), D(90), D(90), "community"))), "only 70.00"),
    "refinance smaller than its payoff": (lambda: home_shares(replace(HOME, refinance=Refinance(D(50), D(40), D(40), "community"))), "cannot have paid off"),
    "refinance owes more than it was": (lambda: home_shares(replace(HOME, refinance=Refinance(D(50), D(60), D(61), "community"))), "more than the new loan"),
    "refinance of nothing": (lambda: home_shares(replace(HOME, refinance=Refinance(D(0), D(0), D(0), "community"))), "no amount"),
    "refinance paid down too far": (lambda: home_shares(replace(HOME, refinance=Refinance(D(50), D(60), D(60), "separate", D(1)))), "only 0.00"),
    "no value at separation": (lambda: home_shares(replace(HOME, growth_until="separation")), "value at separation"),
    "no value before the first money": (lambda: home_shares(replace(HOME, basis="value_at_first_contribution")), "first community money"),
    "payments of nothing": (lambda: by_payments(D(1), D(0), D(1)), "no payments"),
    "shares above the price": (lambda: purchase_shares(D(10), D(11), D(0), D(10)), "more than the price"),
    "negative lien": (lambda: credits_2640([], D(1), D(-1)), "liens is -1"),
    "uses above the proceeds": (lambda: follow_proceeds(D(1), D(10), [D(11)]), "more than the proceeds"),
    "entries out of order": (lambda: trace(D(9), D(9), [Entry(LATER, "purchase", D(1)), Entry(ONE_DAY, "purchase", D(1))]), "out of order"),
    "deposit of nobody": (lambda: trace(D(9), D(9), [Entry(ONE_DAY, "deposit", D(1))]), "whose money"),
    "no service": (lambda: time_rule(D(9), Service(D(0), D(0), D(0))), "no service"),
    "percentage above one hundred": (lambda: plan_share(D(9), D(101)), "above one hundred"),
    "service ends first": (lambda: service_by_dates(LATER, ONE_DAY, LATER, ONE_DAY), "before it begins"),
    "separated before the marriage": (lambda: service_by_dates(ONE_DAY, LATER, ONE_DAY, LATER), "before the marriage"),
    "twelve odd months": (lambda: frozen_military_pay(D(1), 1, 12, D(1), decree_on=LATER), "count them as a year"),
    "more months in marriage than served": (lambda: frozen_military_pay(D(1), 1, 0, D(13), decree_on=LATER), "more than the 12"),
    "account below zero": (lambda: account_share(pensions.AccountHistory(D(1), D(-2), D(0), D(0))), "negative"),
    "no first day of work": (lambda: stock_shares([], "hug", ONE_DAY, LATER), "first day of work"),
    "exercisable before the grant": (lambda: stock_shares([Tranche(LATER, ONE_DAY, D(1))], "nelson", ONE_DAY, LATER), "before the count begins"),
    "agreed above all": (lambda: agreed_share(Tranche(ONE_DAY, LATER, D(1)), D(101)), "above one hundred"),
    "growth backwards": (lambda: growth(D(1), D(1), LATER, ONE_DAY, reasonable_pay=D(0), drawn=D(0), family_expenses=D(0)), "before the start"),
    "negative payment": (lambda: account([Payment("petitioner", D(-1))], []), "payment 1 is -1"),
    "school paid after the division": (lambda: education("petitioner", [SchoolPayment(2022, D(1))], LATER), "after the division"),
    "school day in another year": (lambda: education("petitioner", [SchoolPayment(2019, D(1), ONE_DAY)], LATER), "is dated 2020-01-01"),
    "reduction without a reason": (lambda: education("petitioner", [], LATER, reduced_by_percent=D(10)), "needs a reason"),
    "negative damages": (lambda: injury(Injury("petitioner", D(-1), date(2015, 1, 1)), DAYS), "amount is -1"),
    "negative value of a hidden asset": (lambda: breach_remedy(None, D(-1), D(1), malice=False, day=LATER), "value at sale is -1"),
    "negative charge": (lambda: equalize(Side(D(1), charges=D(-1)), Side(D(1))), "petitioner charges is -1"),
    "credit above the equity": (lambda: buy_out(D(10), D(5), D(6)), "cut it to the equity"),
    "no number": (lambda: credits_2640([], D("NaN"), D(0)), "not a number"),
    "interest backwards": (lambda: judgment_interest(D(1), LATER, ONE_DAY), "before it begins"),
    "negative rate": (lambda: present_value(D(1), D(-1), D(1)), "rate is -1"),
    "nothing to divide by": (lambda: divide(D(1), []), "nothing to divide by"),
}  # fmt: skip


@pytest.mark.parametrize("what", BAD)
def test_bad_input_says_what_is_wrong(what: str) -> None:
    ask, says = BAD[what]
    with pytest.raises(InputError, match=says):
        ask()


# From the facts


def test_the_pension_of_a_scenario_agrees_with_its_dates() -> None:
    found = pensions.from_facts(read_case(facts_file("varnell", 3)).facts, "calpers")
    assert found is not None
    assert found.by_dates is not None
    assert found.by_dates.quantize(D("0.0001")) == found.stated == D("283.6452")  # 283 months and 20 of 31 days
    assert found.fraction is not None
    assert found.other_fraction is not None
    assert (found.fraction.quantize(D("0.00001")), found.other_fraction.quantize(D("0.00001"))) == (
        D("0.76661"),
        D("0.38330"),
    )
    assert (found.member, found.other) == ("petitioner", "respondent")
    assert [c for c in found.figure.cautions if "differ" in c] == []


def plan(**more: Any) -> Facts:
    return facts(
        {
            "assets": {
                "p": {
                    "kind": "retirement",
                    "label": "the plan",
                    "value": "100000",
                    "goes_to": "respondent",
                    "retirement": more,
                }
            }
        }
    )


def test_plans_read_from_the_facts() -> None:
    off = pensions.from_facts(
        plan(
            method="time_rule",
            type="military",
            service_from="2016-06-18",
            community_service_months="90",
            total_service_months="200",
        ),
        "p",
    )
    assert off is not None
    assert any("differ from 103.42" in c for c in off.figure.cautions)
    too_many = pensions.from_facts(
        plan(method="time_rule", community_service_months="201", total_service_months="200"), "p"
    )
    assert too_many is not None
    assert too_many.fraction is None
    assert any("More months" in c for c in too_many.figure.cautions)
    by_time = pensions.from_facts(
        plan(method="time_rule", type="401k", community_service_months="1", total_service_months="200"), "p"
    )
    assert by_time is not None
    assert any("traced" in c for c in by_time.figure.cautions)
    shared = pensions.from_facts(
        plan(method="split_percent", premarital_balance="20000", loan="10000", member="petitioner"), "p"
    )
    assert shared is not None
    assert (shared.other_amount, shared.other) == (D(35000), "respondent")
    added = pensions.from_facts(
        plan(method="split_percent", premarital_balance="20000", loan="10000", loan_added_back="yes"), "p"
    )
    assert added is not None
    assert added.other_amount == D(40000)


def test_units_read_from_the_facts() -> None:
    grant = {
        "granted_on": "2018-01-01",
        "kind": "restricted_unit",
        "vests": [{"on": "2020-01-01", "units": "100"}, {"on": "2028-01-01", "units": "100"}],
    }

    def units(**more: Any) -> Facts:
        return facts(
            {
                "assets": {
                    "s": {
                        "kind": "stock_plan",
                        "label": "the units",
                        "stock_plan": {"holder": "petitioner", "grants": {"one": grant}, **more},
                    }
                }
            }
        )

    nelson = stock.from_facts(units(formula="nelson"), "s")
    assert nelson is not None
    assert nelson.shares is not None
    assert [share.community for share in nelson.shares.shares] == [D(100), D("70.8379")]  # 2587 of 3652 days
    assert (nelson.holder, nelson.other) == ("petitioner", "respondent")
    hug = stock.from_facts(units(formula="hug"), "s")
    assert hug is not None
    assert (hug.shares, hug.missing) == (None, ("assets.s.stock_plan.hired_on",))
    hired = stock.from_facts(units(formula="hug", hired_on="2017-01-01"), "s")
    assert hired is not None
    assert hired.shares is not None
    agreed = stock.from_facts(units(formula="agreed_percent"), "s")
    assert agreed is not None
    assert agreed.missing == ("assets.s.stock_plan.grants.one.community_percent",)
    all_community = stock.from_facts(units(formula="all_community"), "s")
    assert all_community is not None
    assert all_community.shares is not None
    assert all_community.shares.community == D(200)
    assert stock.from_facts(units(), "s").missing == ("assets.s.stock_plan.formula",)


def test_credits_read_from_the_facts() -> None:
    found = contributions.from_facts(read_case(facts_file("dunmarsh", 3)).facts, "home")
    assert found is not None
    assert (found.to_petitioner, found.left) == (D(60000), D("365699.58"))


@settings(
    max_examples=examples(15, 40),
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(cases())
def test_no_facts_stop_the_readers(case: Facts) -> None:
    for key in case.assets:
        divided, credited = pensions.from_facts(case, key), contributions.from_facts(case, key)
        assert divided is None or divided.fraction is None or 0 <= divided.fraction <= 1
        assert credited is None or sum(credited.repaid) + credited.left == credited.net_value
        tested = characterisation.asset_character(case, key)
        assert tested is None or tested.figure.steps
        units = stock.from_facts(case, key)
        assert units is None or (units.shares is None) == bool(units.missing)
        if units and units.shares:
            assert units.shares.community + units.shares.separate == sum(
                (s.tranche.units for s in units.shares.shares), D(0)
            )
