"""The sheet of guideline child support: nets, times, bands, K, the amount and each child's part."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import Any

from msadraft.facts.model import Facts
from msadraft.figures.child_support import HALF, Guideline, child_factor, income_share
from msadraft.figures.compute import Figures
from msadraft.figures.low_income import ThresholdNeededError, low_income, monthly_threshold
from msadraft.figures.support_amounts import ESTIMATE, rounded
from msadraft.law.parameters import LawNotKnownError, law
from msadraft.writers.workbook.sheet import DRAFT, Sheet, in_cents

_NO_UPPER_END = 10**12


def child_support_sheet(sheet: Sheet, facts: Facts, figures: Figures) -> None:
    """Write the run of the formula; only a note where an input of it is missing."""
    sheet.widths(52, 17, 17, 17, 17, 17, 17, 17)
    sheet.start("Guideline child support (Fam. Code § 4055)", DRAFT, ESTIMATE)
    found = figures.child_support.guideline
    if found is None:
        sheet.text("A", "Not worked out: an input is missing. The reason stands in the working of the figures.")
        sheet.row += 1
        return
    run = found.run
    sheet.text("A", "Petitioner's net disposable income a month (input)")
    mine = sheet.number("B", run.petitioner_net, "input_money")
    sheet.row += 1
    sheet.text("A", "Respondent's net disposable income a month (input)")
    theirs = sheet.number("B", run.respondent_net, "input_money")
    sheet.row += 2
    sheet.head("Supported children, youngest first", "Percent of time with the petitioner (input)")
    top = sheet.row
    for child in run.children:
        sheet.text("A", facts.children[child.key].name.first)
        sheet.number("B", child.petitioner_percent, "input_percent")
        sheet.row += 1
    times = f"$B${top}:$B${sheet.row - 1}"
    sheet.row += 1
    total = Fraction(run.petitioner_net) + Fraction(run.respondent_net)
    sheet.text("A", "Net income of both (TN)")
    both = sheet.formula("B", f"{mine}+{theirs}", total)
    sheet.row += 2
    in_band = _bands(sheet, found, both, total)
    factors = _factors(sheet, found)
    amount = _formula(sheet, found, mine, theirs, times, both, in_band, factors)
    sheet.row += 1
    _each_child(sheet, found, [facts.children[child.key].name.first for child in run.children], top, factors, amount)


def _bands(sheet: Sheet, found: Guideline, both: str, total: Fraction) -> str:
    """The bands of § 4055(b)(3) in force, and the share of income that follows; gives the address of the share."""
    sheet.text(
        "A", f"Share of income for support: bands of Fam. Code § 4055(b)(3), {found.version.enacted_by}", "strong"
    )
    sheet.row += 1
    sheet.head(
        "Band of TN",
        "Above",
        "Up to",
        "Constant",
        "Plus TN divided by",
        "Plus TN divided into",
        "Share in it",
        "Applies",
    )
    top, below, in_use = sheet.row, 0, Fraction(0)
    rows = law("child_support/income_share", found.run.day).rows
    for n, band in enumerate(rows, 1):
        upper = Fraction(band["up_to"]) if "up_to" in band else Fraction(_NO_UPPER_END)
        constant = Fraction(band["constant"])
        divisor, dividend = (Fraction(band.get(name, 0)) for name in ("divisor", "dividend"))
        here = constant + (total / divisor if divisor else 0) + (dividend / total if dividend and total else 0)
        applies = (total > below if n > 1 else total >= 0) and total <= upper
        in_use = here if applies else in_use
        sheet.text("A", f"Band {n}" + ("" if "up_to" in band else ", without an upper end"))
        lower = sheet.number("B", below, "whole")
        up_to = sheet.number("C", upper, "whole")
        fixed = sheet.number("D", constant, "plain")
        parts = sheet.number("E", divisor or None, "plain"), sheet.number("F", dividend or None, "plain")
        sheet.formula(
            "G",
            f'{fixed}+IF({parts[0]}="",0,{both}/{parts[0]})+IF(OR({parts[1]}="",{both}=0),0,{parts[1]}/{both})',
            here,
            "exact",
        )
        above = ">=" if n == 1 else ">"
        sheet.formula("H", f"IF(AND({both}{above}{lower},{both}<={up_to}),1,0)", int(applies), "plain")
        below = int(upper)
        sheet.row += 1
    last = sheet.row - 1
    sheet.text("A", "Share of income for support")
    cell = sheet.formula("B", f"SUMPRODUCT($G${top}:$G${last},$H${top}:$H${last})", in_use, "exact")
    sheet.row += 2
    return cell


def _factors(sheet: Sheet, found: Guideline) -> str:
    """The multiples of § 4055(b)(4) for one child and more; gives their range."""
    sheet.text("A", "Multiple of the one-child amount: Fam. Code § 4055(b)(4)", "strong")
    sheet.row += 1
    sheet.head("Children", "Multiple", "More than for one child less")
    top, before = sheet.row, Fraction(0)
    for n in range(1, len(law("child_support/child_factor", found.run.day).value) + 1):
        factor = child_factor(n, found.run.day)
        sheet.number("A", n, "count")
        cell = sheet.number("B", factor, "plain")
        less = "0" if n == 1 else f"$B${sheet.row - 1}"
        sheet.formula("C", f"ROUND({cell}-{less},3)", factor - before, "plain")
        before = factor
        sheet.row += 1
    sheet.row += 1
    return f"$B${top}:$B${sheet.row - 2}"


def _formula(
    sheet: Sheet, found: Guideline, mine: str, theirs: str, times: str, both: str, in_band: str, factors: str
) -> str:
    run = found.run
    high = run.net(found.high_earner)
    percents = [Fraction(child.petitioner_percent) for child in run.children]
    mean = sum(percents, Fraction(0)) / len(percents)
    time = (mean if found.high_earner == "petitioner" else 100 - mean) / 100
    factor = 1 + time if time <= HALF else 2 - time
    total = Fraction(run.petitioner_net) + Fraction(run.respondent_net)
    k = factor * income_share(total, run.day)

    def step(label: str, formula: str, value: Any, style: str = "money") -> str:
        sheet.text("A", label)
        cell = sheet.formula("B", formula, value, style)
        sheet.row += 1
        return cell

    sheet.text("A", "CS = K × [HN - (H%)(TN)]", "strong")
    sheet.row += 1
    higher = step(
        "Who has the higher net income", f'IF({mine}>={theirs},"petitioner","respondent")', found.high_earner, "label"
    )
    net = step("Higher net income (HN)", f"MAX({mine},{theirs})", high)
    part = step(
        "Higher earner's share of time (H%), as a fraction",
        f'IF({higher}="petitioner",AVERAGE({times}),100-AVERAGE({times}))/100',
        time,
        "exact",
    )
    factored = step(
        "Factor for time: 1 + H% up to half, 2 - H% above it", f"IF({part}<=0.5,1+{part},2-{part})", factor, "exact"
    )
    k_cell = step("K = factor for time × share of income", f"{factored}*{in_band}", k, "exact")
    one = step("Support for one child (CS), not rounded", f"{k_cell}*({net}-{part}*{both})", found.exact_one_child)
    many = step("Number of children", f"COUNT({times})", len(run.children), "plain")
    whole = step(
        "For all children, not rounded (below zero: the lower earner pays)",
        f"{one}*INDEX({factors},{many})",
        found.exact_total,
    )
    amount = step("Guideline support a month", f"ROUND(ABS({whole}),2)", found.amount, "total_money")
    lower = f'IF({higher}="petitioner","respondent","petitioner")'
    payer = step(
        "Paid by",
        f'IF({amount}=0,"nobody",IF({whole}>0,{higher},{lower}))',
        found.payer or "nobody",
        "total_text",
    )
    _adjustment(sheet, step, found, mine, theirs, payer, whole, amount)
    return amount


def _adjustment(
    sheet: Sheet,
    step: Callable[..., str],
    found: Guideline,
    mine: str,
    theirs: str,
    payer: str,
    whole: str,
    amount: str,
) -> None:
    """The low-income adjustment of § 4055(b)(7), where the threshold of the day is known."""
    try:
        threshold, _ = monthly_threshold(found)
        low = low_income(found)
    except (ThresholdNeededError, LawNotKnownError):
        return
    sheet.row += 1
    sheet.text("A", "Low-income adjustment: Fam. Code § 4055(b)(7)", "strong")
    sheet.row += 1
    sheet.text("A", "Net income below which it is presumed (input)")
    limit = sheet.number("B", threshold, "input_money")
    sheet.row += 1
    net = step(
        "Payer's net income",
        f'IF({payer}="petitioner",{mine},IF({payer}="respondent",{theirs},0))',
        found.run.net(found.payer) if found.payer else 0,
    )
    applies = step(
        "Presumed?",
        f'IF(AND({payer}<>"nobody",{net}<{limit}),"yes","no")',
        "yes" if low and low.qualifies else "no",
        "label",
    )
    step(
        "Lowest amount of the range; the highest is the guideline",
        f'IF({applies}="yes",ROUND(ABS({whole})*{net}/{limit},2),{amount})',
        low.lowest if low else found.amount,
        "total_money",
    )


def _each_child(
    sheet: Sheet, found: Guideline, names: Sequence[str], first_child: int, factors: str, amount: str
) -> None:
    """Each child's part (§ 4055(b)(8)): cents by largest remainder, so that the parts make the whole."""
    times = f"$B${first_child}:$B${first_child + len(names) - 1}"
    sheet.text("A", "Support of each child: Fam. Code § 4055(b)(8); no division where their times differ", "strong")
    sheet.row += 1
    sheet.head("Child, youngest first", "Weight", "Exact cents", "Whole cents", "Remainder", "Odd cent", "Amount")
    count = len(found.run.children)
    top, last = sheet.row, sheet.row + count - 1
    weights = [
        child_factor(n, found.run.day) - (child_factor(n - 1, found.run.day) if n > 1 else 0)
        for n in range(1, count + 1)
    ]
    cents = Fraction(found.amount) * 100
    exact = [rounded(cents * weight / sum(weights), 6) for weight in weights]
    whole = [int(part) for part in exact]
    remainders = [part - floor for part, floor in zip(exact, whole, strict=True)]
    left = int(cents) - sum(whole)
    ranked = sorted(range(count), key=lambda n: (-remainders[n], n))
    for n, name in enumerate(names):
        row = sheet.row
        sheet.formula("A", f"$A${first_child + n}", name, "label")
        weight = sheet.formula("B", f"INDEX({factors.replace('B', 'C')},{n + 1})", weights[n], "plain")
        sheet.formula("C", f"ROUND({in_cents(amount)}*{weight}/SUM($B${top}:$B${last}),6)", exact[n], "exact")
        sheet.formula("D", f"INT($C{row})", whole[n], "plain")
        sheet.formula("E", f"ROUND($C{row}-$D{row},6)", remainders[n], "exact")
        before = f"COUNTIF($E${top}:$E${row - 1},$E{row})" if n else "0"
        rank = f'COUNTIF($E${top}:$E${last},">"&$E{row})+{before}'
        sheet.formula(
            "F", f"IF({rank}<{in_cents(amount)}-SUM($D${top}:$D${last}),1,0)", int(ranked.index(n) < left), "plain"
        )
        part = found.shares[n].amount if found.shares else ""
        sheet.formula(
            "G", f'IF(OR({amount}=0,MAX({times})<>MIN({times})),"",($D{row}+$F{row})/100)', part, "total_money"
        )
        sheet.row += 1
