"""The sheet of property and debts: each line, the sums, and the payment that makes them equal."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from msadraft.facts.model import Facts
from msadraft.facts.property import Asset, Debt
from msadraft.figures.ledger import Ledger, Line, share
from msadraft.figures.support_amounts import rounded
from msadraft.writers.workbook.sheet import DRAFT, Sheet, in_cents

_HOW = {
    "whole": "to one party", "percent": "by percentage", "amount": "by amount", "sale": "from a sale", "co_own": "co-owned",
    "order": "by an order", "reserved": "reserved", "child": "for a child", "kind": "in kind, outside the sums",
    "education": "own education, outside the sums", "confirmed": "separate, confirmed", "disputed": "character disputed",
    "undecided": "not decided",
}  # fmt: skip


def property_sheet(sheet: Sheet, facts: Facts, found: Ledger) -> None:
    """Write every line of the ledger, the sums of those that count, and the equalization."""
    sheet.widths(44, 11, 15, 15, 15, 15, 13, 15, 16, 16, 11, 26)
    sheet.start("Property and debts: the division and the payment that makes it equal (Fam. Code § 2550)", DRAFT)
    sheet.head(
        "Asset or debt", "Kind", "Value (input)", "Owing (input)", "Separate part (input)", "Net = value - owing - separate",
        "Petitioner's percent (input)", "Paid for by the other side (input)", "To petitioner", "To respondent",
        "In the sums? (input)", "How it is divided",
    )  # fmt: skip
    sheet.sheet.freeze_panes(sheet.row - 1, 1)
    first = sheet.row
    for line in (*found.lines, *found.disputed, *found.confirmed):
        _property_line(sheet, facts, line)
    last = sheet.row - 1
    if last < first:
        sheet.text("A", "No asset and no debt is listed.")
        sheet.row += 1
        return
    counted = f"$K${first}:$K${last}"

    def total(column: str, of: Callable[[Line], Decimal]) -> str:
        value = sum((of(line) for line in found.counted), Decimal(0))
        cells = f'SUMIF({counted},"yes",${column}${first}:${column}${last})'
        formula = f"{in_cents(cells)}/100"
        return sheet.formula(column, formula, value, "total_money")

    for column in "BGHKL":
        sheet.text(column, "", "total_text")
    sheet.text("A", "Sums of what is in the sums", "total_text")
    total("C", lambda line: line.value)
    total("D", lambda line: line.owing)
    total("E", lambda line: line.separate)
    net = total("F", lambda line: line.net)
    petitioner = total("I", lambda line: line.to_petitioner)
    respondent = total("J", lambda line: line.to_respondent)
    sheet.row += 2
    _equalization(sheet, found, net, petitioner, respondent)


def _property_line(sheet: Sheet, facts: Facts, line: Line) -> None:
    sheet.text("A", line.label)
    sheet.text("B", line.kind)
    value = sheet.number("C", line.value, "input_money")
    owing = sheet.number("D", line.owing, "input_money")
    separate = sheet.number("E", line.separate, "input_money")
    net = sheet.formula("F", f"ROUND({value}-{owing}-{separate},2)", line.net)
    percent = _percent(facts, line)
    decided = percent is not None or line.how == "amount"
    other_side = line.to_petitioner - (share(line.net, percent) if percent is not None else Decimal(0))
    given = sheet.number("G", percent, "input_percent")
    moved = sheet.number("H", other_side if decided else None, "input_money")
    # The odd cent goes to the larger share, and of equal shares to the petitioner's.
    cents, rest = f"{in_cents(net)}*{given}/100", f"{in_cents(net)}*(100-{given})/100"
    part = f'IF({given}="",0,IF({given}>=50,ROUND({cents},0),{in_cents(net)}-ROUND({rest},0)))/100'
    mine = sheet.formula(
        "I",
        f'IF(AND({given}="",{moved}=""),"",ROUND({part}+{moved},2))',
        line.to_petitioner if decided else "",
    )
    sheet.formula("J", f'IF({mine}="","",ROUND({net}-{mine},2))', line.to_respondent if decided else "")
    sheet.choice("K", "yes" if line.in_sum else "no", ("yes", "no"))
    sheet.text("L", _HOW[line.how])
    sheet.row += 1


def _percent(facts: Facts, line: Line) -> Decimal | None:
    """The petitioner's percentage of a line; None where it is not divided, or by an amount."""
    item: Asset | Debt = facts.assets[line.key] if line.kind == "asset" else facts.debts[line.key]
    if line.how == "confirmed":
        return Decimal(100 if item.character == "separate_petitioner" else 0)
    to = item.goes_to if isinstance(item, Asset) else item.assigned_to
    if line.how == "amount" or to not in ("petitioner", "respondent", "split"):
        return None
    if to == "split":
        return Decimal(50) if item.petitioner_percent is None else item.petitioner_percent
    return Decimal(100 if to == "petitioner" else 0)


def _equalization(sheet: Sheet, found: Ledger, net: str, petitioner: str, respondent: str) -> None:
    sheet.text("A", "Sums due whole, set off in the payment", "strong")
    sheet.row += 1
    sheet.head("What", "", "Amount (input)", "Owed by (input)", "From petitioner to respondent")
    top = sheet.row
    owed: list[tuple[str, Decimal, str]] = [(a.path, a.amount, a.debtor) for a in found.adjustments]
    for path, due_whole, debtor in owed or [("none", Decimal(0), "petitioner")]:
        sheet.text("A", path)
        given = sheet.number("C", due_whole, "input_money")
        by = sheet.choice("D", debtor, ("petitioner", "respondent"))
        signed = due_whole if debtor == "petitioner" else -due_whole
        sheet.formula("E", f'IF({by}="petitioner",{given},-{given})', signed)
        sheet.row += 1
    whole = sum((a if by == "petitioner" else -a for _, a, by in owed), Decimal(0))
    sheet.text("A", "All sums due whole", "total_text")
    all_whole = sheet.formula("E", f"ROUND(SUM($E${top}:$E${sheet.row - 1}),2)", whole, "total_money")
    sheet.row += 2

    sheet.text("A", "The payment that makes the division equal", "strong")
    sheet.row += 1
    difference = found.to_petitioner - found.to_respondent
    sheet.text("A", "Difference of the two sides")
    apart = sheet.formula("C", f"ROUND({petitioner}-{respondent},2)", difference)
    sheet.row += 1
    sheet.text("A", "Half of it; nothing where debts exceed assets (Fam. Code § 2622(b))")
    half = sheet.formula(
        "C", f"IF(OR({net}<0,ABS({in_cents(apart)})<=1),0,ROUND({in_cents(apart)}/2,0)/100)", _half(found, difference)
    )
    sheet.row += 1
    due = _half(found, difference) + whole
    sheet.text("A", "With the sums due whole (below zero: to the petitioner)")
    flow = sheet.formula("C", f"ROUND({half}+{all_whole},2)", due)
    sheet.row += 1
    sheet.text("A", "Equalizing payment", "strong")
    computed = sheet.formula("C", f"ABS({flow})", found.equalization, "total_money")
    sheet.row += 1
    sheet.text("A", "Paid by", "strong")
    computed_payer = sheet.formula("C", _who(flow), found.equalization_payer or "nobody", "total_text")
    sheet.row += 1
    sheet.text("A", "Debt beyond all assets, to be assigned as is just (Fam. Code § 2622(b))")
    sheet.formula("C", f"MAX(0,-{net})", found.excess_debt)
    sheet.row += 2

    agreed = found.settlement
    open_yet = agreed.mode is None
    follows = "; follows the computed one until something is typed in" if open_yet else ""
    sheet.text("A", "The payment that the parties agreed on", "strong")
    sheet.row += 1
    sheet.text("A", f"Amount (input{follows})")
    amount = (
        sheet.formula("C", computed, agreed.amount, "input_money")
        if open_yet
        else sheet.number("C", agreed.amount, "input_money")
    )
    sheet.row += 1
    sheet.text("A", f"Paid by (input{follows})")
    payer = (
        sheet.formula("C", computed_payer, agreed.payer or "nobody", "input_text")
        if open_yet
        else sheet.choice("C", agreed.payer or "nobody", ("petitioner", "respondent", "nobody"))
    )
    sheet.row += 1
    paid = agreed.amount if agreed.payer == "petitioner" else -agreed.amount if agreed.payer else Decimal(0)
    sheet.text("A", "From petitioner to respondent")
    moved = sheet.formula("C", f'IF({payer}="petitioner",{amount},IF({payer}="respondent",-{amount},0))', paid)
    sheet.row += 1
    sheet.text("A", "Petitioner's side after it")
    after = sheet.formula("C", f"ROUND({petitioner}-({moved}-{all_whole}),2)", agreed.petitioner_after)
    sheet.row += 1
    sheet.text("A", "Respondent's side after it")
    sheet.formula("C", f"ROUND({net}-{after},2)", agreed.respondent_after)
    sheet.row += 1
    sheet.text("A", "By how much the petitioner then has more than half (below zero: less)")
    sheet.formula("C", f"ROUND({after}-ROUND({in_cents(net)}/2,0)/100,2)", agreed.departure)
    sheet.row += 1


def _half(found: Ledger, difference: Decimal) -> Decimal:
    return Decimal(0) if found.negative or abs(difference) <= Decimal("0.01") else rounded(difference / 2)


def _who(flow: str) -> str:
    return f'IF({flow}>0,"petitioner",IF({flow}<0,"respondent","nobody"))'
