"""A working that is plain arithmetic comes to the result that stands beside it, as a reader with a calculator would find."""

from __future__ import annotations

import ast
import operator
import re
from collections.abc import Iterable
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.effort import examples
from support.scenarios import ROUNDS, facts_file

from msadraft.facts.load import read_case
from msadraft.figures.amortization import NoteTerms, note_schedule
from msadraft.figures.child_support import ChildTime, Run, guideline
from msadraft.figures.compute import compute
from msadraft.figures.everything import all_figures
from msadraft.figures.figure import Figure, Step
from msadraft.figures.hardship import hardship
from msadraft.figures.low_income import low_income
from msadraft.figures.property.business import pereira
from msadraft.figures.property.characterisation import MarriageDays
from msadraft.figures.property.contributions import Contribution, credits_2640
from msadraft.figures.property.damages import Injury, injury
from msadraft.figures.property.equalize import Side, buy_out, equalize
from msadraft.figures.property.pensions import frozen_military_pay
from msadraft.figures.property.separate_home import SeparateHome, home_shares
from msadraft.figures.property.use import Payment, Use, account
from msadraft.figures.spousal_rules import temporary_support

D = Decimal
PLAIN = re.compile(r"[\d\s.,+\-−×x÷/()%^]+")
NUMBER = re.compile(r"-?[\d,]+(?:\.\d+)?%?")
SIGNS = {"−": "-", "×": "*", "x": "*", "÷": "/", "^": "**", ",": ""}
OPERATIONS = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}
DAY = date(2026, 11, 20)


def value_of(formula: str) -> Decimal:
    """Work out numbers, signs and brackets; a percentage is its hundredth part, and one in brackets at the end a remark."""
    text = "".join(SIGNS.get(sign, sign) for sign in re.sub(r"(?<=\d) \([\d.]+%\)$", "", formula))
    return _worked(ast.parse(re.sub(r"([\d.]+)%", r"(\1/100)", text).strip(), mode="eval").body)


def _worked(node: ast.expr) -> Decimal:
    if isinstance(node, ast.Constant):
        return Decimal(repr(node.value))
    if isinstance(node, ast.UnaryOp):
        return -_worked(node.operand)
    assert isinstance(node, ast.BinOp)
    found: Decimal = OPERATIONS[type(node.op)](_worked(node.left), _worked(node.right))
    return found


def is_plain(step: Step) -> bool:
    return bool(PLAIN.fullmatch(step.formula) and re.search(r"\d\)? [+\-−×x÷/] ", step.formula))


def check(figures: Iterable[Figure]) -> int:
    """Compare every plain working with its result, and say how many there were."""
    seen = 0
    for figure in figures:
        for step in filter(is_plain, figure.steps):
            shown = NUMBER.match(step.result)
            assert shown, f"{figure.name}: {step.what}: {step.result}"
            result = value_of(shown[0])
            found = -value_of(step.formula) if "of debt" in step.result else value_of(step.formula)
            # What stands in a working is rounded itself: half of the last place of the result, and of a percentage in it.
            places = Decimal(1).scaleb(-len(shown[0].rstrip("%").partition(".")[2]) - (2 if "%" in shown[0] else 0))
            slack = places + (abs(found) * D("0.0001") if "%" in step.formula or "/" in step.formula else 0)
            assert abs(found - result) <= slack, (
                f"{figure.name}: {step.what}: {step.formula} = {found}, not {step.result}"
            )
            seen += 1
    return seen


@pytest.mark.parametrize(
    ("formula", "value"),
    [
        ("(1,906.44 − -312.60) ÷ 2", "1109.52"),
        ("5% × 200.00", "10"),
        ("2 - 50.5%", "1.495"),
        ("1.5 ^ 2 x 2 / 4", "1.125"),
    ],
)
def test_the_calculator_counts_as_a_reader_does(formula: str, value: str) -> None:
    assert value_of(formula) == D(value)


def test_a_wrong_working_is_seen() -> None:
    assert check([Figure("right", D(2), "dollars", (Step("Half", "5.00 ÷ 2", "2.50", "own arithmetic"),))]) == 1
    with pytest.raises(AssertionError, match=r"not 2\.52"):
        check([Figure("wrong", D(2), "dollars", (Step("Half", "5.00 ÷ 2", "2.52", "own arithmetic"),))])


@pytest.mark.parametrize(("name", "n"), ROUNDS)
def test_the_workings_of_a_case(name: str, n: int) -> None:
    facts = read_case(facts_file(name, n)).facts
    assert check(figure for group in all_figures(facts, compute(facts)) for figure in group.figures)


MONEY = st.decimals(0, 900_000, places=2)
SMALL = st.decimals(0, 5_000, places=2)
SIDE = st.builds(Side, st.decimals(-100_000, 900_000, places=2), SMALL, SMALL, SMALL, SMALL, SMALL)
MANY = settings(max_examples=examples(40, 400), deadline=None)


@given(SIDE, SIDE)
@MANY
def test_the_workings_of_an_equalization(one: Side, two: Side) -> None:
    found = equalize(one, two)
    assert check([found.figure])
    assert abs(2 * found.assets_each - (one.awards + two.awards)) <= D("0.01")


@given(MONEY, MONEY, MONEY, st.decimals(0, 1, places=2))
@MANY
def test_the_workings_of_a_buy_out(value: Decimal, balance: Decimal, credit: Decimal, cost: Decimal) -> None:
    assert check([buy_out(value, balance, min(credit, max(D(0), value - balance)), cost).figure])


def test_the_workings_of_property_one_by_one() -> None:
    """Made-up sums; each figure has at least one working that is plain arithmetic."""
    marriage = MarriageDays(date(2010, 1, 1), date(2024, 1, 1))
    home = SeparateHome(D(100000), D(20000), D(5000), D(180000), value_at_marriage=D(120000))
    credits = [
        Contribution("petitioner", D(70000), "down_payment"),
        Contribution("respondent", D(50000), "down_payment"),
    ]
    for figure in (
        home_shares(home).figure,
        credits_2640(credits, D(100000), D(40000)).figure,
        credits_2640(credits, D(400000), D(40000)).figure,
        injury(Injury("petitioner", D("100000.01"), date(2015, 1, 2)), marriage).figure,
        injury(Injury("petitioner", D("100000.01"), date(2015, 1, 2), commingled=True), marriage).figure,
        frozen_military_pay(D("6123.45"), 17, 5, D(101), raises=D("0.083"), decree_on=DAY).figure,
        account([Payment("petitioner", D(1200))], [Use("respondent", D(900), D(7))]).figure,
        pereira(D(50000), D(200000), D(9), D("0.10")).figure,
    ):
        assert check([figure]), figure.name


def test_the_workings_of_support_one_by_one() -> None:
    run = Run(date(2026, 6, 1), D(7123), D(3456), (ChildTime("a", D(20)), ChildTime("b", D(20))))
    poor = Run(date(2026, 6, 1), D(2123), D(1456), (ChildTime("a", D(20)),))
    for figure in (
        guideline(run).figure,
        low_income(guideline(poor)).figure,
        hardship(run, "petitioner", 2).figure,
        note_schedule(NoteTerms(D("36254.79"), D(5), 36)).figure,
        temporary_support("Santa Clara", D(8000), D(3000), DAY, D(900), D(100)),
    ):
        assert check([figure]), figure.name
