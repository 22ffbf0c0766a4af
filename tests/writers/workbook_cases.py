"""Invented cases that a workbook has to get right: odd cents, odd percentages, balloons, part months, different times."""

from __future__ import annotations

import random
from decimal import Decimal
from typing import Any

from msadraft.facts.model import Facts

BASE: dict[str, Any] = {
    "case": {"county": "Kern", "path": "response_filed", "signing_on": "2026-11-20"},
    "petitioner": {"name": {"first": "Ada", "last": "Reyes"}},
    "respondent": {"name": {"first": "Ben", "last": "Reyes"}},
    "marriage": {"married_on": "2010-05-01", "separated_on": "2024-01-01"},
}


def facts(**parts: Any) -> Facts:
    """The small case with other parts of the facts."""
    return Facts.model_validate({**BASE, **parts})


def account(label: str, value: object, **more: Any) -> dict[str, Any]:
    """An account with a value."""
    return {"kind": "account", "label": label, "value": str(value), **more}


def many_accounts(count: int, seed: int = 1) -> Facts:
    """So many accounts and debts with odd cents, awarded whole, by percentage or by an amount, some with a separate part."""
    pick = random.Random(seed)
    assets: dict[str, Any] = {}
    for n in range(count):
        value = Decimal(pick.randint(1, 9_999_999)) / 100
        to = pick.choice(("petitioner", "respondent", "split", "split"))
        more: dict[str, Any] = {"goes_to": to}
        if to == "split" and pick.random() < 0.2:
            more["petitioner_amount"] = str((value / 3).quantize(Decimal("0.01")))
        elif to == "split":
            more["petitioner_percent"] = pick.choice(("50", "33.33", "66.67", "12.5", "49.99"))
        if pick.random() < 0.2 and "petitioner_amount" not in more:
            claim = str((value / 7).quantize(Decimal("0.01")))
            more["separate_claims"] = [
                {"by": "petitioner", "amount": claim, "basis": "contribution_2640", "result": "offset"}
            ]
        assets[f"account_{n}"] = account(f"account {n}", value, **more)
    debts = {
        f"card_{n}": {
            "kind": "card", "creditor": f"bank {n}", "owing": str(Decimal(pick.randint(1, 999_999)) / 100),
            "assigned_to": "split", "petitioner_percent": pick.choice(("50", "40", "33.33")),
        }
        for n in range(count // 10)
    }  # fmt: skip
    return facts(assets=assets, debts=debts)


def note(**terms: str) -> Facts:
    """A case with a note."""
    assets = {"home": account("home savings", "100000.00", goes_to="petitioner")}
    return facts(
        assets=assets, equalization={"mode": "note", "payer": "petitioner", "amount": terms["principal"], "note": terms}
    )


def support(petitioner: str, respondent: str, percent: str, children: int = 2, signing_on: str = "2026-11-20") -> Facts:
    """A case with a run of the formula."""
    year = int(signing_on[:4]) - 5
    born = {
        f"child_{n}": {"name": {"first": f"Child {n}", "last": "Reyes"}, "born_on": f"{year - n}-03-{n:02d}"}
        for n in range(1, children + 1)
    }
    inputs = {"petitioner_net": petitioner, "respondent_net": respondent, "petitioner_time_percent": percent}
    case = {**BASE["case"], "signing_on": signing_on}
    return facts(case=case, children=born, child_support={"guideline_inputs": inputs})


def steps(*rows: tuple[str, str, str]) -> Facts:
    """A case with steps of spousal support to both."""
    table = [{"from_day": first, "to_day": last, "amount": amount} for first, last, amount in rows]
    return facts(
        spousal_support={side: {"outcome": "payable", "steps": table} for side in ("to_petitioner", "to_respondent")}
    )


CASES: dict[str, Facts] = {
    "accounts": many_accounts(120),
    "accounts again": many_accounts(60, seed=2),
    "one cent": facts(assets={"a": account("a", "100.01", goes_to="petitioner"), "b": account("b", "100.00", goes_to="respondent")}),
    "odd cent": facts(assets={"a": account("a", "0.05", goes_to="split", petitioner_percent="50")}),
    "loan paid by the other": facts(
        assets={"car": account("car", "20000.00", goes_to="petitioner")},
        debts={"loan": {"kind": "auto", "owing": "7000.01", "assigned_to": "respondent", "secured_by": "car"}},
    ),
    "debts exceed assets": facts(
        assets={"a": account("a", "100.00", goes_to="petitioner")},
        debts={"card": {"kind": "card", "owing": "501.00", "assigned_to": "respondent"}},
    ),
    "nothing": facts(),
    "separate and open": facts(
        assets={
            "mine": account("mine", "0.00", character="separate_respondent"),
            "open": account("open", "10.00"),
            "disputed": account("disputed", "77.77", character="disputed", goes_to="split"),
        }
    ),
    "reimbursement": facts(
        assets={"a": account("a", "1000.01", goes_to="petitioner")},
        reimbursements={"r": {"kind": "other", "claimant": "respondent", "amount": "333.33", "result": "offset"}},
    ),
    "unequal": facts(
        assets={"a": account("a", "1000.01", goes_to="petitioner")},
        equalization={"mode": "lump", "payer": "petitioner", "amount": "100.00"},
    ),
    "note": note(principal="36254.79", rate="5.00", months="36", first_payment_on="2027-07-01", payment="1086.59"),
    "note with balloon": note(principal="50000.00", rate="6.25", months="24", balloon="20000.00"),
    "note without interest": note(principal="1000.00", rate="0", months="7", first_payment_on="2027-01-31"),
    "note paid off early": note(principal="1000.00", rate="4.1", months="12", payment="300.00"),
    "long note": note(principal="250000.00", rate="7.125", months="360", first_payment_on="2028-02-29"),
    **{
        f"support {n}": support(*row)
        for n, row in enumerate(
            (
                ("5900.00", "8450.00", "64.29", 2), ("8450.00", "5900.00", "64.29", 3), ("2000.00", "900.00", "20", 1),
                ("0.00", "2900.00", "100", 4), ("7000.00", "7000.00", "50", 2), ("10000.00", "0.00", "0", 10),
                ("1500.00", "9000.00", "85.71", 5), ("0.00", "0.00", "50", 1), ("5000.00", "0.01", "51", 2),
                ("400.00", "400.00", "80", 2, "2012-06-01"), ("12000.00", "14000.00", "33.33", 3, "2012-06-01"),
            )
        )
    },
    "steps": steps(("2026-12-01", "2028-11-30", "3400.00"), ("2028-12-01", "2030-11-30", "2600.00")),
    "part months": steps(
        ("2026-01-15", "2026-01-20", "1000.00"), ("2026-02-10", "2026-02-28", "1000.00"), ("2026-03-01", "2026-03-30", "777.77"),
        ("2026-04-15", "2026-05-14", "900.00"), ("2026-06-02", "2028-02-29", "333.33"), ("2028-03-01", "2028-03-31", "0.05"),
    ),
}  # fmt: skip
