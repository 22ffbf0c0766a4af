"""Property as a balance of two sides: the lines of the ledger sorted onto the sides where they count, and a drawing.

Nothing is worked out here: amounts, sums and the payment are those of the ledger.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from msadraft.facts.model import Facts
from msadraft.facts.scalars import PartyRole
from msadraft.figures.ledger import NOTHING, Adjustment, Ledger, Line, secured_debts
from msadraft.figures.property.working import other
from msadraft.review.base import Finding

PARTIES: tuple[PartyRole, PartyRole] = ("petitioner", "respondent")
AWARDS = {"assets": "goes_to", "debts": "assigned_to"}
"""The fact that says who receives an asset or pays a debt, by group of facts."""
HOW = {
    "whole": "", "percent": "split by percentage", "amount": "split by amount", "sale": "to be sold, or paid from a sale",
    "co_own": "owned together for now", "order": "divided by an order to the plan", "reserved": "left for the court",
    "child": "for a child", "kind": "divided in kind, left out of the sums",
    "education": "loan for a spouse's own education, assigned without offset (Fam. Code §§ 2627, 2641)",
    "confirmed": "separate property, confirmed to its owner", "disputed": "its character is disputed",
    "undecided": "nobody receives it yet",
}  # fmt: skip
"""The way in which a line is divided, in words."""
_REACH = 440
"""Length of the longer bar of the drawing, in its units."""


@dataclass(frozen=True, slots=True)
class Loan:
    """A debt that is counted with the asset that secures it."""

    path: str
    label: str
    owing: Decimal
    payer: str | None


@dataclass(frozen=True, slots=True)
class Row:
    """One asset or debt as it stands in one table. `moves` are the parties to whom it can be given whole from there."""

    path: str
    label: str
    kind: str
    amount: Decimal
    says: str
    moves: tuple[PartyRole, ...]
    loans: tuple[Loan, ...] = ()
    remarks: tuple[tuple[str, str], ...] = ()
    split: bool = False


@dataclass(frozen=True, slots=True)
class SideTable:
    """What one party receives: the rows, what assets and debts come to, and their sum as the ledger has it."""

    party: PartyRole
    rows: tuple[Row, ...]
    assets: Decimal
    debts: Decimal
    total: Decimal


@dataclass(frozen=True, slots=True)
class Bar:
    """One side of the drawing: its length from the middle, the part of it beyond half of the whole, and whether it is below zero."""

    party: PartyRole
    total: Decimal
    length: int
    beyond: int
    below_zero: bool


@dataclass(frozen=True, slots=True)
class Scale:
    """The drawing: both bars, where half of the whole lies (None where debts exceed assets), all in its units."""

    bars: tuple[Bar, Bar]
    half: int | None


@dataclass(frozen=True, slots=True)
class Balance:
    """Everything that the page shows beside the ledger's own sums."""

    sides: tuple[SideTable, SideTable]
    apart: tuple[Row, ...]
    confirmed: tuple[SideTable, SideTable]
    scale: Scale
    owed: tuple[tuple[Adjustment, str], ...]
    loose_cautions: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class _Reader:
    facts: Facts
    found: Ledger
    remarks: Mapping[str, tuple[tuple[str, str], ...]]
    loans: Mapping[str, tuple[Loan, ...]] = field(default_factory=dict)

    def side(self, party: PartyRole) -> SideTable:
        rows = []
        for line in self.found.counted:
            holder = self.holder(line)
            amount = _part(line, party)
            if holder in (party, "split") or (holder == other(party) and amount != 0):
                rows.append(self.row(line, amount, party, holder))
        return _table(party, rows, self.found.to_petitioner if party == "petitioner" else self.found.to_respondent)

    def holder(self, line: Line) -> str | None:
        if line.kind == "asset":
            return self.facts.assets[line.key].goes_to
        return self.facts.debts[line.key].assigned_to

    def row(self, line: Line, amount: Decimal, party: PartyRole, holder: str | None) -> Row:
        path = f"{line.kind}s.{line.key}"
        away = holder == other(party)
        loans = tuple(
            loan
            for loan in (self.loans.get(line.key, ()) if line.kind == "asset" else ())
            if loan.payer == party or (loan.payer not in PARTIES and not away)
        )
        if away:
            says = f"goes to the {holder}; this side pays what is owed on it"
        else:
            says = _joined(HOW[line.how], self.worth(line))
        moves = () if away else (other(party),)
        return Row(
            path, line.label, line.kind, amount, says, moves, loans, self.remarks_of(path, loans), holder == "split"
        )

    def remarks_of(self, path: str, loans: tuple[Loan, ...] = ()) -> tuple[tuple[str, str], ...]:
        """What is remarked about a row and the loans shown in it."""
        paths = (path, *(loan.path for loan in loans))
        return tuple(dict.fromkeys(one for each in paths for one in self.remarks.get(each, ())))

    def apart(self, line: Line) -> Row:
        path = f"{line.kind}s.{line.key}"
        moves: tuple[PartyRole, ...] = PARTIES if line.how in ("undecided", "reserved") else ()
        if line.how == "kind":
            moves = tuple(one for one in PARTIES if one != self.holder(line))
        says = _joined(HOW[line.how], self.receives(line), self.worth(line))
        loans = self.loans.get(line.key, ()) if line.kind == "asset" else ()
        return Row(path, line.label, line.kind, line.net, says, moves, loans, self.remarks_of(path, loans))

    def worth(self, line: Line) -> str:
        """How the net value of a line comes about, where it is not simply its value; or that no value is known."""
        if line.kind == "debt":
            return "no balance is given" if self.facts.debts[line.key].owing is None else ""
        if self.facts.assets[line.key].value is None:
            return "no value is given"
        parts = ((line.owing, "owing"), (line.separate, "separate"))
        less = [f"less {shown(amount)} {what}" for amount, what in parts if amount]
        return ", ".join([f"value {shown(line.value)}", *less]) if less else ""

    def receives(self, line: Line) -> str:
        sale = next((one for one in self.found.sales if line.kind == "asset" and one.key == line.key), None)
        if sale is not None:
            return (
                f"a sale at this value is expected to leave {shown(sale.to_petitioner)} to the petitioner and "
                f"{shown(sale.to_respondent)} to the respondent"
            )
        if line.how in ("kind", "education"):
            return f"{shown(line.to_petitioner)} to the petitioner, {shown(line.to_respondent)} to the respondent"
        return ""

    def own(self, party: PartyRole) -> SideTable:
        lines = [
            line
            for line in self.found.confirmed
            if (self.facts.assets if line.kind == "asset" else self.facts.debts)[line.key].character
            == f"separate_{party}"
        ]
        rows = [
            Row(path := f"{line.kind}s.{line.key}", line.label, line.kind, line.net, self.worth(line), (), (),
                self.remarks_of(path))
            for line in lines
        ]  # fmt: skip
        return _table(party, rows, sum((line.net for line in lines), NOTHING))


def balance(facts: Facts, found: Ledger, findings: Iterable[Finding] = ()) -> Balance:
    """Sort the ledger onto the two sides, with what the review and the ledger remark about each asset and debt."""
    remarks, loose = _remarks(found, findings)
    reader = _Reader(facts, found, remarks, _loans(facts, found))
    apart = [line for line in found.lines if not line.in_sum] + list(found.disputed)
    return Balance(
        (reader.side("petitioner"), reader.side("respondent")),
        tuple(reader.apart(line) for line in apart),
        (reader.own("petitioner"), reader.own("respondent")),
        scale(found),
        tuple((one, "set off in the payment") for one in found.adjustments)
        + tuple((one, "paid on its own") for one in found.paid_apart),
        loose,
    )


def with_it(facts: Facts, found: Ledger, key: str) -> tuple[str, ...]:
    """The paths of the debts that go along when an asset goes to the other party: those it secures, paid by who has it."""
    holder = facts.assets[key].goes_to if key in facts.assets else None
    return tuple(loan.path for loan in _loans(facts, found).get(key, ()) if holder and loan.payer == holder)


def scale(found: Ledger) -> Scale:
    """Measure the drawing: the longer bar has the full length."""
    totals = (found.to_petitioner, found.to_respondent)
    half = None if found.negative else found.half
    most = max(*(abs(total) for total in totals), abs(half or NOTHING), Decimal(1))
    mark = None if half is None else round(half * _REACH / most)

    def bar(party: PartyRole, total: Decimal) -> Bar:
        length = round(abs(total) * _REACH / most)
        beyond = max(0, length - mark) if mark is not None and total > 0 else 0
        return Bar(party, total, length, beyond, total < 0)

    return Scale((bar("petitioner", totals[0]), bar("respondent", totals[1])), mark)


def shown(amount: Decimal) -> str:
    """An amount in dollars as the page writes it: $1,234.50, with a minus sign before one below zero."""
    return f"{'−' if amount < 0 else ''}${abs(amount):,.2f}"


def _part(line: Line, party: PartyRole) -> Decimal:
    return line.to_petitioner if party == "petitioner" else line.to_respondent


def _joined(*texts: str) -> str:
    return "; ".join(text for text in texts if text)


def _table(party: PartyRole, rows: list[Row], total: Decimal) -> SideTable:
    def summed(kind: str) -> Decimal:
        return sum((row.amount for row in rows if row.kind == kind), NOTHING)

    return SideTable(party, tuple(rows), summed("asset"), summed("debt"), total)


def _loans(facts: Facts, found: Ledger) -> dict[str, tuple[Loan, ...]]:
    """The shared debts that have no line of their own, by the asset with which the ledger counts them."""
    own_lines = {line.key for line in (*found.lines, *found.confirmed) if line.kind == "debt"}
    return {
        asset: tuple(
            Loan(f"debts.{key}", debt.label or debt.creditor or key, debt.owing or NOTHING, debt.assigned_to)
            for key, debt in debts
            if key not in own_lines
        )
        for asset, debts in secured_debts(facts).items()
    }


def _remarks(
    found: Ledger, findings: Iterable[Finding]
) -> tuple[dict[str, tuple[tuple[str, str], ...]], tuple[tuple[str, str], ...]]:
    """What is remarked about each asset and debt, with a word for how much it matters; and cautions about no single one."""
    signs = {"stop": "Stop", "warn": "Reason needed"}
    by_row: dict[str, tuple[tuple[str, str], ...]] = {}
    loose: list[tuple[str, str]] = []
    said = [
        (finding.path, signs[finding.severity], finding.message) for finding in findings if finding.severity in signs
    ]
    for path, sign, text in (*((one.path, "Look at this", one.says) for one in found.cautions), *said):
        parts = path.split(".")
        if parts[0] in AWARDS and len(parts) > 1:
            row = ".".join(parts[:2])
            by_row[row] = tuple(dict.fromkeys((*by_row.get(row, ()), (sign, text))))
        elif parts[0] in (*AWARDS, "equalization", "reimbursements"):
            loose.append((path, f"{sign}: {text}"))
    return by_row, tuple(dict.fromkeys(loose))
