"""Values read back from words: every filter has its inverse, and nothing is read that would be shown otherwise."""

from __future__ import annotations

from datetime import date, time
from decimal import Decimal
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.scenarios import drafted

from msadraft.facts.load import CaseFile, read_text_case
from msadraft.facts.model import Facts
from msadraft.facts.paths import get
from msadraft.library import wording
from msadraft.rounds.intake import values
from msadraft.rounds.intake.save import changed_facts
from msadraft.rounds.intake.values import plain_spaces, read_back

MONEY = st.decimals(Decimal("0"), Decimal("9999999.99"), places=2)


@pytest.fixture(scope="module")
def case() -> CaseFile:
    return drafted("dunmarsh", 3).case


@pytest.fixture(scope="module")
def facts(case: CaseFile) -> Facts:
    return case.facts


@given(MONEY)
def test_money(amount: Decimal) -> None:
    assert values.read_money(wording.money(amount)) == amount
    words = wording.money_words(amount)
    assert values._read_money_words("", words) == amount


@given(st.integers(0, 10**9 - 1))
def test_number_words(n: int) -> None:
    assert values.read_number_words(wording.number_words(n)) == n


@given(st.dates(date(1900, 1, 1), date(2100, 1, 1)))
def test_days(day: date) -> None:
    assert values.read_day(plain_spaces(wording.day(day))) == day
    assert values.read_day(day.isoformat()) == day
    assert values.read_day(f"{day.month}/{day.day}/{day.year}") == day


@given(st.times().map(lambda t: t.replace(second=0, microsecond=0)))
def test_clock(clock: time) -> None:
    assert values.read_clock(plain_spaces(wording.clock(clock))) == clock


@given(st.decimals(Decimal(0), Decimal(100), places=2))
def test_percent(percent: Decimal) -> None:
    assert values.read_percent(wording.percent(percent)) == percent


@pytest.mark.parametrize(
    ("path", "old", "new", "written"),
    [
        ("petitioner.gross_monthly_income", "as it is", "$1,900", "1900.00"),
        ("child_support.starts_on", "December\u00a01, 2026", "Jan. 5, 2027", "2027-01-05"),
        ("parenting.vacation.notice_days", "45\u00a0days", "60 days", "60"),
        ("parenting.vacation.notice_days", "45\u00a0days", "ten days", "10"),
        ("parenting.handover_time", "10:00\u00a0a.m.", "noon", "12:00"),
        ("parenting.transport.petitioner_percent", "50%", "40%", "40"),
        ("child_support.payer", "Aurelio", "Philippa", "petitioner"),
        ("child_support.payer", "Aurelio’s", "Philippa's", "petitioner"),
        ("respondent.name.full", "Aurelio Trask-Benning", "Aurelio Trask-Bening", "Trask-Bening"),
    ],
)
def test_read_back(facts: Facts, path: str, old: str, new: str, written: str) -> None:
    value = get(facts, path) if not path.endswith(".full") else None
    if isinstance(value, Decimal) and path.endswith("income"):
        old = wording.money(value)
    elif isinstance(value, time):
        old = wording.clock(value)
    found = read_back(facts, path, old, new)
    assert found is not None
    assert found.written == written


@pytest.mark.parametrize(
    ("path", "old", "new"),
    [
        ("child_support.amount", "as it is", "a fair amount"),
        ("child_support.amount", "$9.99", "$1,900.00"),  # the place does not show the present value as any filter would
        ("child_support.starts_on", "December 1, 2026", "the first of May"),
        ("child_support.starts_on", "December 1, 2026", "February 30, 2027"),
        ("parenting.vacation.notice_days", "45 days", "six weeks"),
        ("parenting.transport.petitioner_percent", "50%", "350%"),
        ("figures.marriage.months", "103 months", "104 months"),
        ("child_support.payer", "Aurelio", "Wren"),
        ("no.such.path", "a", "b"),
        ("child_support.amount", "as it is", ""),
    ],
)
def test_what_cannot_be_told_for_sure_is_not_read(facts: Facts, path: str, old: str, new: str) -> None:
    if old == "as it is":
        old = wording.money(facts.child_support.amount)  # type: ignore[union-attr, arg-type]
    assert read_back(facts, path, old, new) is None


def test_words_and_figures_that_disagree_go_by_the_one_that_was_changed(facts: Facts) -> None:
    old = wording.money_words(facts.child_support.amount)  # type: ignore[union-attr, arg-type]
    amount = facts.child_support.amount  # type: ignore[union-attr]
    figure = wording.money(amount)  # type: ignore[arg-type]
    words = old.partition(" (")[0]
    by_figure = read_back(facts, "child_support.amount", old, old.replace(figure, "$1,512.00"))
    by_words = read_back(facts, "child_support.amount", old, old.replace(words, "one thousand five dollars"))
    assert by_figure is not None
    assert by_words is not None
    assert (by_figure.written, by_words.written) == ("1512.00", "1005.00")
    assert read_back(facts, "child_support.amount", old, "one thousand dollars ($1,100.00)") is None


def _case(text: str) -> CaseFile:
    return read_text_case(text)


def test_facts_are_changed_in_place_and_new_ones_put_into_their_group(case: CaseFile) -> None:
    base = case.text
    for path, written in {
        "child_support.amount": "2010.00",
        "petitioner.name.middle": 'Ann: "Nan" #1',
        "petitioner.attorney.firm": "Lee, Park {LLP}",
        "parenting.vacation.notice_days": "50",
        "case.branch": "Hall of Justice",
    }.items():
        text = changed_facts(case, {path: written})
        lost = [line for line in base.splitlines() if line not in text.splitlines()]
        assert len(lost) <= 1, path
        assert [c for c in base.splitlines() if c.strip().startswith("#")] == [
            c for c in text.splitlines() if c.strip().startswith("#")
        ]
        value = get(_case(text).facts, path)
        assert str(value) in (written, written.rstrip("0").rstrip(".")) or f"{value}" == written


def test_every_way_a_value_can_stand_in_the_file_is_kept() -> None:
    text = (
        "# head\na: {x: 1, y: 'two', z: [p, q]}  # flow\nb:\n  - name: first  # one\n    note: \"quoted\"\n"
        "  - name: second\n    long: >-\n      many words\n      in lines\n    last: end\n\n# tail\nc:\nd: plain words # after\n"
    )
    fake = SimpleNamespace(text=text, path=SimpleNamespace(name="case.yaml"), place=lambda path: None)
    changes = {
        "a.x": "5", "a.y": "it's", "a.z.1": "r, s", "b.0.note": "new \"words\"", "b.1.long": "short", "b.1.new": "v",
        "c.deep.er": "w", "d": "other: words", "a.w": "9",
    }  # fmt: skip
    made = changed_facts(fake, changes)  # type: ignore[arg-type]
    assert made == (
        '# head\na: {x: 5, y: \'it\'\'s\', z: [p, "r, s"], w: 9}  # flow\nb:\n  - name: first  # one\n    note: "new \\"words\\""\n'
        "  - name: second\n    long: short\n    last: end\n    new: v\n\n# tail\nc:\n  deep:\n    er: w\n"
        'd: "other: words" # after\n'
    )
