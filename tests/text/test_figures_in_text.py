"""Figures in the text of custody and child support: what the paper says is what was worked out."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

import pytest
from review.cases import CHILD, DROP, facts
from support.scenarios import drafted

from msadraft.agreement.assemble import assemble
from msadraft.agreement.numbering import dangling, number
from msadraft.figures.compute import compute
from msadraft.figures.parenting.from_facts import holders, holiday_title, read_plans
from msadraft.figures.parenting.plan import lay_out
from msadraft.library.load import read_library
from msadraft.library.select import select
from msadraft.review.base import Review
from msadraft.tree import Table

LIBRARY = read_library()
TWO: dict[str, Any] = {
    **CHILD,
    "children.al": {
        "name": {"first": "Al", "last": "Dunn"},
        "born_on": "2019-01-01",
        "habitual_country": "United States",
    },
}
# TN 10,000, so a share of 0.25 (Fam. Code § 4055(b)(3)); K = 0.25 × 1.40; 0.35 × (6,000 - 0.40 × 10,000) = 700.00
RUN = {
    "child_support.guideline_inputs": {
        "petitioner_net": "4000",
        "respondent_net": "6000",
        "respondent_time_percent": "40",
    }
}
SPLIT = [{"child": "al", "amount": "700"}, {"child": "may", "amount": "420"}]
HOLIDAYS: dict[str, Any] = {
    "mothers_day": {"rule": "petitioner_always", "window": {"named_day": "mothers_day", "from_time": "9:00", "to_time": "18:00"}},
    "thanksgiving": {
        "title": "Thanksgiving",
        "rule": "petitioner_odd",
        "window": {"named_day": "thanksgiving", "starts_days_before": "1", "ends_days_after": "3", "from_time": "15:00", "from_school": "yes", "to_time": "18:00"},
    },
    "winter_break": {
        "rule": "halves",
        "first_half_even": "petitioner",
        "window": {
            "dates": [{"starts_on": "2026-12-18", "ends_on": "2027-01-03"}],
            "from_time": "15:00", "to_time": "18:00", "halves_meet": {"at": "month_day", "month": "12", "day_of_month": "26"},
        },
    },
    "mays_birthday": {"rule": "petitioner_odd", "window": {"birthday_of": "may", "from_time": "15:00", "to_time": "19:00"}},
    "picnic": {"rule": "petitioner_even", "starts": "Saturday at noon", "ends": "Sunday at noon"},
}  # fmt: skip
FILLERS = {
    f"filler_{n}": {"rule": "petitioner_even", "window": {"month": "3", "day_of_month": str(n), "from_time": "9:00", "to_time": "18:00"}}
    for n in (1, 5)
}  # fmt: skip


def drawn(*overrides: Mapping[str, Any]) -> Review:
    """A small case, drafted with the whole library."""
    case = facts(*overrides)
    figures = compute(case)
    selection = select(LIBRARY, case, figures)
    agreement = assemble(LIBRARY, selection, case)
    numbering = number(agreement)
    assert dangling(agreement, numbering) == []
    return Review(case, figures, selection, agreement, numbering)


def scenario(name: str, n: int) -> Review:
    found = drafted(name, n)
    return Review(found.case.facts, found.figures, found.selection, found.agreement, found.numbering)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def rows(review: Review, clause: str, caption: str = "") -> dict[str, list[str]]:
    """The rows of a clause's table by their label, each as the texts of its cells."""
    found = {}
    for block in review.blocks:
        if (
            isinstance(block, Table)
            and block.clause == clause
            and plain(cell(review, block.caption)).startswith(caption)
        ):
            for row in (*block.rows, *((block.total,) if block.total else ())):
                found[row.id.rpartition("/")[2].removeprefix("row:")] = [cell(review, one) for one in row.cells]
    return found


def cell(review: Review, pieces: tuple[Any, ...]) -> str:
    return "".join(review._word(piece) for piece in pieces)


# Holidays


@pytest.mark.parametrize(
    "review",
    [
        pytest.param(drawn(CHILD, {"parenting.holidays": HOLIDAYS}), id="in the paragraph"),
        pytest.param(drawn(CHILD, {"parenting.holidays": HOLIDAYS | FILLERS}), id="in the exhibit"),
        pytest.param(scenario("dunmarsh", 3), id="dunmarsh"),
    ],
)
def test_the_holiday_table_says_what_the_calendar_uses(review: Review) -> None:
    given, words = review.facts.parenting.holidays, review.figures.holiday_words
    table = rows(review, "exhibit.holidays" if len(given) > 6 else "custody.holidays")
    assert set(table) == set(given)
    assert len(words) >= 4
    names = {"petitioner": review.facts.petitioner.name.first, "respondent": review.facts.respondent.name.first}
    for key, of in words.items():
        holiday, (title, when, even, odd) = given[key], table[key]
        halves = f"; the halves meet at {of.midpoint}" if of.midpoint else ""
        assert title == holiday_title(key, holiday)
        assert when.partition(". ")[0] == f"From {of.starts} to {of.ends}{halves}".partition(". ")[0]
        assert when.startswith(f"From {of.starts} to {of.ends}{halves}")
        for holder, said in zip(holders(holiday), (even, odd), strict=True):
            if holder:
                assert said.startswith(f"First half: {names[holder]}" if of.midpoint else names[holder])


def test_a_holiday_without_a_window_keeps_its_own_words() -> None:
    table = rows(drawn(CHILD, {"parenting.holidays": HOLIDAYS}), "custody.holidays")
    assert table["picnic"][1] == "From Saturday at noon to Sunday at noon"
    assert plain(table["mays_birthday"][1]) == "From May’s birthday at 3:00 p.m. to 7:00 p.m. on the same day"


def test_the_order_of_holidays_is_that_of_the_calendar() -> None:
    review = drawn(CHILD, {"parenting.holidays": HOLIDAYS})
    said = review.text_of("custody.holidays")
    assert (
        "a special day (Mothers Day, Mays Birthday) comes before a holiday, and a holiday before a school break (Winter Break)."
        in said
    )
    plan = read_plans(review.facts, ("may",)).plans[0].plan
    assert plan is not None
    assert {h.key: h.strength for h in plan.holidays} == {
        key: strength for key, strength in review.figures.holiday_strengths.items() if key != "picnic"
    }


def test_summer_is_printed_from_its_window() -> None:
    window = {"dates": [{"starts_on": "2027-06-11", "ends_on": "2027-08-13"}], "from_time": "18:00", "to_time": "18:00"}
    review = drawn(CHILD, {"parenting.summer": {"window": window, "rule": "As the parents agree."}})
    assert "Summer runs from the day on which the summer break begins (June 11, 2027) at 6:00 p.m. to" in plain(
        review.text_of("custody.vacation")
    )


# Weekends and phases


@pytest.mark.parametrize(
    ("block", "words", "weekly"),
    [
        (("thursday", "18:00", "monday", "8:00"), "On each of those weekends, from the Thursday before at 6:00 p.m. to Monday", False),
        (("friday", "18:00", "sunday", "18:00"), "On each of those weekends, from Friday at 6:00 p.m. to Sunday", False),
        (("friday", "18:00", "monday", "8:00"), "On each of those weekends, from Friday at 6:00 p.m. to Monday", False),
        (("thursday", "15:00", "saturday", "00:00"), "Every week, from Thursday at 3:00 p.m. to Saturday", True),
        (("wednesday", "15:00", "thursday", "8:00"), "Every week, from Wednesday at 3:00 p.m. to Thursday", True),
    ],
)  # fmt: skip
def test_numbered_weekends_read_as_they_are_counted(block: tuple[str, str, str, str], words: str, weekly: bool) -> None:
    first, begins, last, ends = block
    review = drawn(CHILD, {
        "parenting.pattern": "numbered_weekends", "parenting.weekend_parent": "respondent",
        "parenting.weekend_numbers": ["1"], "parenting.weekend_counts_from": "first_friday",
        "parenting.blocks": [{"from_day": first, "from_time": begins, "to_day": last, "to_time": ends, "parent": "respondent"}],
    })  # fmt: skip
    assert words in plain(review.text_of("custody.schedule.weekends"))
    plan = read_plans(review.facts, ("may",)).plans[0].plan
    assert plan is not None
    zone = plan.zone
    timeline = lay_out(plan, zone.at(datetime(2027, 1, 1).date()), zone.at(datetime(2027, 12, 31).date()))
    stays = [stay for stay in timeline.whole if stay.parent == "respondent"]
    assert len(stays) > 45 if weekly else len(stays) == 12


def test_a_phase_begins_by_age_and_ends_on_a_day() -> None:
    phases = [
        {"starts_on": "2026-12-01"},
        {"starts_on": "2027-06-01", "starts_at_months": "36", "ends_on": "2028-01-03"},
    ]
    text = plain(drawn(CHILD, {"parenting.phases": phases}).text_of("custody.schedule.phases"))
    assert "Phase 2 begins on June 1, 2027 or, if later, when the child is 36 months old." in text
    assert "It is complete on January 3, 2028." in text
    text = plain(drawn(CHILD, {"parenting.phases": [{"starts_at_months": "30"}]}).text_of("custody.schedule.phases"))
    assert "Phase 1 begins when the child is 30 months old." in text
    assert "2019" not in text


# Shares of time


def test_the_share_of_time_is_that_of_the_calendar_unless_a_run_is_recorded() -> None:
    # the week of the base case: 96 of 168 hours
    text = plain(drawn(CHILD).text_of("custody.physical"))
    assert (
        "Counted by hours, the regular schedule in this Article gives Ann 57.14% and Cole 42.86% of the time." in text
    )
    text = plain(drawn(CHILD, {"parenting.holidays": HOLIDAYS}).text_of("custody.physical"))
    time = drawn(CHILD, {"parenting.holidays": HOLIDAYS}).figures.parenting_time
    assert (
        f"the schedules in this Article give Ann {time.petitioner_percent}% and Cole {time.respondent_percent}%" in text
    )
    assert "on average over an even and an odd year. What has no dates yet is left out." in text
    text = plain(drawn(CHILD, RUN).text_of("custody.physical"))
    assert "Share of time" not in text


# Child support


@pytest.mark.parametrize("name", ["dunmarsh", "fennick"])
@pytest.mark.parametrize("n", [1, 2, 3])
def test_the_worksheet_of_a_scenario_shows_the_guideline_to_the_cent(name: str, n: int) -> None:
    review = scenario(name, n)
    found = review.figures.child_support.guideline
    assert found is not None
    table = rows(review, "exhibit.support_worksheet", "Working")
    assert list(table.values()) == [[s.what, s.formula, s.result] for s in found.figure.steps]
    assert list(table.values())[-1][2] == f"{found.payer}: {found.amount:,.2f}"


def test_the_worksheet_shows_formula_parts_and_shares() -> None:
    support = {
        "child_support.per_child": SPLIT,
        "child_support.amount": "1120",
        "child_support.guideline_amount": "1120",
    }
    review = drawn(TWO, RUN, support)
    text = review.text_of("exhibit.support_worksheet")
    assert list(rows(review, "exhibit.support_worksheet", "Working").values())[-1][2] == "respondent: 1,120.00"
    assert rows(review, "exhibit.support_worksheet", "Guideline") == {
        "al": ["Al", "$700.00"], "may": ["May", "$420.00"], "total": ["Total", "$1,120.00"],
    }  # fmt: skip
    # § 4061(d): 4,000 to 6,000 - 1,120 = 4,880
    assert "Ann bears 45.05% and Cole 54.95% of added costs" in text
    assert "rule 5.275" in text
    assert "The working above gives" not in text
    assert "____" not in text


def test_another_run_than_the_formula_is_shown_beside_it() -> None:
    text = drawn(CHILD, RUN, {"child_support.guideline_amount": "702.10"}).text_of("exhibit.support_worksheet")
    assert "The parties’ run gives $702.10 a month, payable by Cole. The working above gives $700.00 a month" in text


@pytest.mark.parametrize(
    "given",
    [
        {"child_support.guideline_inputs": {"petitioner_gross": "5000"}},
        {"child_support.guideline_inputs": {"petitioner_net": "4000", "respondent_time_percent": "40"}},
        {"child_support.guideline_inputs": {}},
    ],
)
def test_what_is_not_known_leaves_no_blank_but_points_to_the_certified_computation(given: dict[str, Any]) -> None:
    text = drawn(CHILD, given).text_of("exhibit.support_worksheet")
    assert "____" not in text
    assert "The certified computation that the parties attach shows them." in text
    assert "Higher earner" not in text


def test_without_a_recorded_run_the_facts_are_run() -> None:
    review = drawn(
        CHILD,
        {
            "petitioner.net_monthly_income": "4000",
            "respondent.net_monthly_income": "6000",
            "child_support.guideline_amount": DROP,
        },
    )
    found = review.figures.child_support.guideline
    assert found is not None
    # 72 of 168 hours with the respondent, not rounded: 0.25 × (1 + 3/7) × (6,000 - 3/7 × 10,000) = 612.24
    assert found.amount == Decimal("612.24")
    assert "The formula gives $612.24 a month, payable by Cole." in review.text_of("exhibit.support_worksheet")


def test_low_income_shows_a_range() -> None:
    poor = {
        "child_support.guideline_inputs": {
            "petitioner_net": "3000",
            "respondent_net": "2400",
            "petitioner_time_percent": "80",
        }
    }
    review = drawn(CHILD, poor)
    low = review.figures.child_support.low_income
    assert low is not None
    assert low.qualifies
    said = review.text_of("exhibit.support_worksheet")
    assert f"may then lie between ${low.lowest:,.2f} and ${low.highest:,.2f} a month" in said
    assert low.lowest < low.highest


@pytest.mark.parametrize(("kind", "clause"), [("health", "health"), ("child_care", "childcare"), ("travel", "other")])
def test_shares_by_net_income_are_worked_out_where_none_is_given(kind: str, clause: str) -> None:
    review = drawn(CHILD, RUN, {"child_support.add_ons": [{"kind": kind, "basis": "net_income"}]})
    # 4,000 to 6,000 - 700 = 5,300
    assert "Ann pays 43.01% and Cole pays 56.99%" in review.text_of(f"child_support.addons.{clause}")
    review = drawn(CHILD, {"child_support.add_ons": [{"kind": kind, "basis": "net_income"}]})
    assert "Ann pays ____ and Cole pays ____" in review.text_of(f"child_support.addons.{clause}")


def test_the_stages_of_support_add_up_what_is_left() -> None:
    support = {"child_support.per_child": SPLIT, "child_support.amount": "1120", "child_support.guideline_amount": "1120",
               "child_support.starts_on": "2026-12-01"}  # fmt: skip
    table = rows(drawn(TWO, RUN, support), "child_support.duration", "Expected")
    # May turns 18 in May 2035 and leaves 12th grade in June (from memory: Educ. Code § 48000(a))
    assert list(table.values()) == [
        ["December 2026", "Al, May", "$1,120.00", "$1,120.00"],
        ["June 2035", "Al", "$700.00", "$700.00"],
    ]
    table = rows(drawn(TWO, support), "child_support.duration", "Expected")
    assert [row[2:] for row in table.values()] == [["$1,120.00"], ["$700.00"]]
    assert rows(drawn(TWO, support, {"child_support.per_child": []}), "child_support.duration", "Expected") == {}
    extended = {"child_support.end": {"kind": "extended", "until": "age 21"}}
    assert rows(drawn(TWO, RUN, support, extended), "child_support.duration", "Expected") == {}


def test_premium_interest_and_ages() -> None:
    review = drawn(CHILD, {
        "respondent.gross_monthly_income": "8000", "respondent.born_on": "1984-11-21",
        "spousal_support.to_petitioner.outcome": "reserved",
        "child_support.insurance": {"provider": "respondent", "child_premium": "212"},
        "child_support.arrears": {"as_of": "2026-11-01", "principal": "7300", "interest": "50", "fate": "pay", "plan": "at once"},
    })  # fmt: skip
    # § 3751(a)(2): 5 percent of 8,000; Code Civ. Proc. § 685.010(a): 10 percent of 7,300 by 365
    assert "which now comes to $400.00 a month for Cole" in review.text_of("child_support.health_insurance")
    assert "On the principal stated above, that is $2.00 a day." in review.text_of("child_support.arrears_overpay")
    assert "Cole is now age 41." in review.text_of("recital.circumstances")
    assert "Ann is now age" not in review.text_of("recital.circumstances")
    assert not any("1984" in review.words(block) for block in review.blocks)
