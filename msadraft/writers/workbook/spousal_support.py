"""The sheet of spousal support: steps with their months and totals."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from msadraft.figures.spousal_steps import StepTable, StepTotal
from msadraft.figures.support_amounts import ESTIMATE
from msadraft.writers.workbook.sheet import DRAFT, Sheet, in_cents


def spousal_support_sheet(sheet: Sheet, tables: Sequence[tuple[str, StepTable]]) -> None:
    """Write a table of steps for each party who is paid."""
    sheet.widths(16, 16, 16, 14, 16, 16, 16)
    sheet.start(
        "Spousal support: steps, months and totals",
        DRAFT,
        ESTIMATE,
        "Part of a month counts by the day of its calendar month (common practice). Support may end sooner (Fam. Code § 4337).",
    )
    for to, table in tables:
        sheet.text("A", f"Paid to the {to}", "strong")
        sheet.row += 1
        sheet.head(
            "From (input)", "Through (input)", "A month (input)", "Full months", "Days of a part month at the start",
            "Days of a part month at the end", "Total",
        )  # fmt: skip
        top = sheet.row
        for step in table.rows:
            _step_row(sheet, step)
        last = sheet.row - 1
        sheet.text("A", "All steps", "total_text")
        for column in "BC":
            sheet.text(column, "", "total_text")
        months = sum(step.full_months for step in table.rows)
        sheet.formula("D", f"SUM($D${top}:$D${last})", months, "total_plain")
        for column, days in (("E", 0), ("F", 1)):
            value = sum(_part_days(step)[days] for step in table.rows)
            sheet.formula(column, f"SUM(${column}${top}:${column}${last})", value, "total_plain")
        sheet.formula("G", f"{in_cents(f'SUM($G${top}:$G${last})')}/100", table.total, "total_money")
        sheet.row += 2


def _step_row(sheet: Sheet, step: StepTotal) -> None:
    start, end = sheet.day("A", step.from_day), sheet.day("B", step.to_day)
    amount = sheet.number("C", step.amount, "input_money")
    first_full = f"IF(DAY({start})=1,{start},EOMONTH({start},0)+1)"
    last_full = f"IF(DAY({end}+1)=1,{end},EOMONTH({end},-1))"
    full = sheet.formula(
        "D",
        f"MAX(0,(YEAR({last_full})-YEAR({first_full}))*12+MONTH({last_full})-MONTH({first_full})+1)",
        step.full_months,
        "plain",
    )
    at_start, at_end = _part_days(step)
    head = sheet.formula("E", f"IF(DAY({start})=1,0,MIN(EOMONTH({start},0),{end})-{start}+1)", at_start, "plain")
    tail = sheet.formula(
        "F",
        f"IF(OR(DAY({end}+1)=1,AND(DAY({start})>1,EOMONTH({start},0)>={end})),0,DAY({end}))",
        at_end,
        "plain",
    )
    parts = "+".join(
        f"ROUND({in_cents(amount)}*{days}/DAY(EOMONTH({day},0)),0)/100" for days, day in ((head, start), (tail, end))
    )
    sheet.formula("G", f"ROUND({full}*{amount}+{parts},2)", step.total)
    sheet.row += 1


def _part_days(step: StepTotal) -> tuple[int, int]:
    """Days of the part month at the start and at the end of a step."""
    starts_whole = step.from_day.day == 1
    one_month = (step.from_day.year, step.from_day.month) == (step.to_day.year, step.to_day.month)
    if starts_whole:
        return 0, step.part_days
    if one_month:
        return step.part_days, 0
    month_after = date(step.from_day.year + step.from_day.month // 12, step.from_day.month % 12 + 1, 1)
    head = (month_after - step.from_day).days
    return head, step.part_days - head
