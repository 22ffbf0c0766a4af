"""The sheet of the equalizing note: its terms, and every payment."""

from __future__ import annotations

from decimal import Decimal

from msadraft.figures.amortization import LONGEST, NoteSchedule
from msadraft.writers.workbook.sheet import DRAFT, Sheet, in_cents, serial

_LEAST_NOTE_ROWS = 120


def note_sheet(sheet: Sheet, found: NoteSchedule) -> None:
    """Write the terms, the level payment and a row for each payment, with rows to spare for a longer term."""
    terms = found.terms
    sheet.widths(50, 16, 16, 16, 16, 16, 16)
    sheet.start(
        "The equalizing note: every payment, the last one adjusted",
        DRAFT,
        "Interest is a twelfth of the yearly rate on the balance before each payment, rounded to the cent (common practice).",
    )

    def given(label: str, value: Decimal | int | None, style: str) -> str:
        sheet.text("A", f"{label} (input)")
        cell = sheet.number("B", value, f"input_{style}")
        sheet.row += 1
        return cell

    principal = given("Principal", terms.principal, "money")
    rate = given("Rate, percent a year", terms.rate, "percent")
    months = given("Monthly payments", terms.months, "plain")
    first_on = given("First payment on", serial(terms.first_payment_on) if terms.first_payment_on else None, "day")
    agreed = given("Agreed payment, empty for the one that pays off", terms.payment, "money")
    balloon = given("Balloon with the last payment", terms.balloon, "money")
    monthly = f"({rate}/1200)"
    sheet.text("A", "Payment that pays off the note")
    level = sheet.formula(
        "B",
        f"IF({rate}=0,ROUND(({principal}-{balloon})/{months},2),ROUND(({principal}-{balloon}/(1+{monthly})^{months})"
        f"*{monthly}/(1-(1+{monthly})^-{months}),2))",
        found.amortising,
    )
    sheet.row += 1
    sheet.text("A", "Payment in use")
    payment = sheet.formula("B", f'IF({agreed}="",{level},{agreed})', found.payment)
    sheet.row += 2
    rows = min(LONGEST, max(terms.months, _LEAST_NOTE_ROWS))
    top = sheet.row + 6
    last = top + rows - 1
    for label, column, value in (
        ("Total of all payments", "F", found.total),
        ("Interest in all", "D", found.interest),
        ("Principal repaid", "E", terms.principal),
    ):
        sheet.text("A", label)
        sheet.formula("B", f"{in_cents(f'SUM(${column}${top}:${column}${last})')}/100", value, "total_money")
        sheet.row += 1
    sheet.text("A", "Last payment")
    sheet.formula("B", f"INDEX($F${top}:$F${last},COUNT($F${top}:$F${last}))", found.last, "total_money")
    sheet.row += 1
    sheet.text("A", f"Rows for {rows} payments")
    sheet.formula("B", f'IF({months}>{rows},"not enough: copy the last row down","enough")', "enough", "label")
    sheet.row += 1
    sheet.head("Payment", "Due on", "Balance before", "Interest", "Principal", "Payment", "Balance")
    for n in range(rows):
        _payment(sheet, n, found, (principal, rate, months, first_on, payment))
    sheet.sheet.freeze_panes(top - 1, 0)


def _payment(sheet: Sheet, n: int, found: NoteSchedule, inputs: tuple[str, ...]) -> None:
    """One payment; empty cells once the note is paid off."""
    principal, rate, months, first_on, payment = inputs
    paid = found.instalments[n] if n < len(found.instalments) else None
    row = sheet.row
    live, opening, above = f"$A{row}", f"$C{row}", f"$G{row - 1}"
    clearing = f"ROUND({opening}+$D{row},2)"
    goes_on = "1" if n == 0 else f'IF(OR({n + 1}>{months},{above}="",{above}=0),"",{n + 1})'
    due_on = (paid.due_on or "") if paid else ""
    sheet.formula("A", goes_on, paid.number if paid else "", "count")
    sheet.formula("B", f'IF(OR({live}="",{first_on}=""),"",EDATE({first_on},{n}))', due_on, "day")
    for column, formula, value in (
        ("C", principal if n == 0 else above, paid.opening if paid else ""),
        ("D", f"ROUND({in_cents(opening)}*{rate}/1200,0)/100", paid.interest if paid else ""),
        ("E", f"ROUND($F{row}-$D{row},2)", paid.principal if paid else ""),
        ("F", f"IF(OR({live}={months},{payment}>={clearing}),{clearing},{payment})", paid.amount if paid else ""),
        ("G", f"ROUND({clearing}-$F{row},2)", paid.balance if paid else ""),
    ):
        sheet.formula(column, f'IF({live}="","",{formula})', value)
    sheet.row += 1
