"""The property ledger: every asset and debt once, its net value, who receives it, and what makes the two sides equal.

Money in Decimal dollars and cents. A debt secured by an asset is counted with that asset. Splits are by largest
remainder, so that the two parts always add up to the whole; an odd cent goes to the larger share, and of two equal
shares to the petitioner's. Bad facts never stop the ledger: it computes as far as it can, and says what is wrong in
`Ledger.cautions`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Literal

from msadraft.facts.model import Facts
from msadraft.facts.property import Asset, Debt
from msadraft.facts.scalars import PartyRole
from msadraft.figures.figure import Figure
from msadraft.figures.property.equalize import Balance, Side, equalize
from msadraft.figures.property.working import CENT, HUNDRED, NOTHING, cents, divide, money, other

__all__ = [
    "CENT", "NOTHING", "Adjustment", "Caution", "Ledger", "Line", "Sale", "Settlement", "ledger", "liens", "secured_debts", "separate_part",
    "share",
]  # fmt: skip

SHARED = ("community", "quasi_community", "mixed")
OWNERS: dict[str, PartyRole] = {"separate_petitioner": "petitioner", "separate_respondent": "respondent"}
How = Literal[
    "whole",
    "percent",
    "amount",
    "sale",
    "co_own",
    "order",
    "reserved",
    "child",
    "kind",
    "education",
    "confirmed",
    "disputed",
    "undecided",
]


@dataclass(frozen=True, slots=True)
class Caution:
    """Something in the facts that the sums cannot settle: the path of the fact, and what to look at."""

    path: str
    says: str


@dataclass(frozen=True, slots=True)
class Line:
    """One asset or unsecured debt: what it is worth, and what each party receives of it.

    `net` is value less liens less separate part. `in_sum` is False for what the parties divide in kind or later
    (a sale, co-ownership, a plan order, a reserved item, a child's account), which the equalization leaves out.
    `how` says in which way it is divided; `value_on` is the day of its value or balance. A lien that is assigned to
    somebody else than the asset counts on the side of the one who pays it.
    """

    key: str
    kind: Literal["asset", "debt"]
    label: str
    value: Decimal
    owing: Decimal
    separate: Decimal
    net: Decimal
    to_petitioner: Decimal
    to_respondent: Decimal
    in_sum: bool
    how: How = "undecided"
    value_on: date | None = None
    separate_petitioner: Decimal = NOTHING
    separate_respondent: Decimal = NOTHING


@dataclass(frozen=True, slots=True)
class Adjustment:
    """A sum that one party owes the other whole, beside the division: a separate claim, or a reimbursement.

    `result` is "offset" if it is part of the equalization, "paid" if it is paid on its own. `asset` is the short name
    of the asset that it concerns.
    """

    path: str
    kind: Literal["separate_claim", "reimbursement"]
    amount: Decimal
    debtor: PartyRole
    creditor: PartyRole
    result: Literal["offset", "paid"]
    asset: str | None = None


@dataclass(frozen=True, slots=True)
class Sale:
    """What a planned sale is expected to bring at the value in the facts. It stands outside the sums.

    `cost + liens + debts + both separate parts + both shares == price`; shares below zero are a shortfall.
    """

    key: str
    price: Decimal
    cost: Decimal
    liens: Decimal
    debts: Decimal
    separate_petitioner: Decimal
    separate_respondent: Decimal
    to_petitioner: Decimal
    to_respondent: Decimal


@dataclass(frozen=True, slots=True)
class Settlement:
    """The payment that the parties agreed on, beside the one that would make the division equal.

    Attributes:
        amount: the agreed payment; the computed one while nothing is agreed.
        at_once, by_note, by_transfer: its parts in money, by note, and out of a plan or asset.
        petitioner_after, respondent_after: counted community property of each after the payment.
        departure: by how much the petitioner then has more than half (below zero: less).
        equal: whether that is nothing, give or take an odd cent.
        deliberate: whether the facts say that the parties mean an unequal division.
    """

    mode: str | None
    payer: PartyRole | None
    amount: Decimal
    at_once: Decimal
    by_note: Decimal
    by_transfer: Decimal
    petitioner_after: Decimal
    respondent_after: Decimal
    departure: Decimal
    equal: bool
    deliberate: bool

    @property
    def favors(self) -> PartyRole | None:
        """The party who then has more than half; None if neither has."""
        return None if self.equal else "petitioner" if self.departure > 0 else "respondent"

    @property
    def above_half(self) -> Decimal:
        """By how much that party has more than half."""
        return abs(self.departure)


@dataclass(frozen=True, slots=True)
class Ledger:
    """The community estate in cash terms, and what makes the two sides equal (Fam. Code § 2550).

    `to_petitioner` and `to_respondent` are counted net awards; `total` is their sum and `half` its half.
    `equalization` is the payment that makes the sides equal: half the difference of the net awards, with the sums
    that are set off (`adjustments`). Where debts exceed assets (`negative`) nothing is halved by formula, and
    `excess_debt` has to be assigned as is just (§ 2622(b)); only sums due whole remain in `equalization`.

    Attributes:
        confirmed: separate assets and debts, which are confirmed to their owner and not counted.
        disputed: assets whose character is disputed, not counted.
        adjustments: sums set off in the equalization; `paid_apart`: sums paid on their own.
        awards_payment: the equalization before adjustments; below zero it runs to the petitioner.
        gross: value of all counted assets; `third_party`: what is owed on counted assets and by counted debts.
        received_by_petitioner, received_by_respondent: what each ends with of the counted property after all
            payments, own separate part included: together with `third_party` they make `gross`.
        sales: expected results of planned sales, outside the sums.
        figure: the equalization with its working.
    """

    lines: tuple[Line, ...]
    to_petitioner: Decimal
    to_respondent: Decimal
    total: Decimal
    half: Decimal
    equalization: Decimal
    equalization_payer: PartyRole | None
    complete: bool
    confirmed: tuple[Line, ...]
    disputed: tuple[Line, ...]
    adjustments: tuple[Adjustment, ...]
    paid_apart: tuple[Adjustment, ...]
    awards_payment: Decimal
    negative: bool
    excess_debt: Decimal
    gross: Decimal
    third_party: Decimal
    received_by_petitioner: Decimal
    received_by_respondent: Decimal
    sales: tuple[Sale, ...]
    settlement: Settlement
    cautions: tuple[Caution, ...]
    figure: Figure

    @property
    def counted(self) -> tuple[Line, ...]:
        """The lines that are in the sums."""
        return tuple(line for line in self.lines if line.in_sum)


def share(amount: Decimal, percent: Decimal) -> Decimal:
    """`percent` of `amount`, to the cent; with its counterpart it makes the whole."""
    part = divide(abs(amount), (percent, HUNDRED - percent))[0]
    return part if amount >= 0 else -part


def liens(key: str, asset: Asset, facts: Facts) -> Decimal:
    """What is owed on an asset: its `owing`, the debts that it secures, and a plan loan.

    A separate debt that a community asset secures is not among them: its owner pays it without offset (Fam. Code § 2625).
    """
    return _liens(asset, secured_debts(facts).get(key, []))


def separate_part(asset: Asset, equity: Decimal) -> Decimal:
    """The part of an asset that is separate property and is honoured, never more than its net value (Fam. Code § 2640(b))."""
    return sum(_honoured(asset, equity), NOTHING)


def ledger(facts: Facts) -> Ledger:
    """Set up the ledger. `complete` is False while a value or an award that the sums need is missing."""
    cautions = list(_input_cautions(facts))
    secured = secured_debts(facts)
    # A community debt on a separate asset is a line of its own.
    riding = {
        key for asset, loans in secured.items() if facts.assets[asset].character not in OWNERS for key, _ in loans
    }
    lines = [
        *(
            _asset_line(key, asset, secured.get(key, []))
            for key, asset in facts.assets.items()
            if asset.character in SHARED
        ),
        *(
            _debt_line(key, debt)
            for key, debt in facts.debts.items()
            if debt.character not in OWNERS and key not in riding
        ),
    ]
    confirmed = [
        *(
            _owner_line(key, asset, secured.get(key, []))
            for key, asset in facts.assets.items()
            if asset.character in OWNERS
        ),
        *(_owner_debt(key, debt) for key, debt in facts.debts.items() if debt.character in OWNERS),
    ]
    disputed = [
        _asset_line(key, asset, secured.get(key, []), counts=False)
        for key, asset in facts.assets.items()
        if asset.character == "disputed"
    ]
    owed = tuple(_adjustments(facts, secured))
    offset, apart = tuple(a for a in owed if a.result == "offset"), tuple(a for a in owed if a.result == "paid")
    counted = [line for line in lines if line.in_sum]
    balance = equalize(_side(counted, offset, "petitioner"), _side(counted, offset, "respondent"))
    petitioner = sum((line.to_petitioner for line in counted), NOTHING)
    respondent = sum((line.to_respondent for line in counted), NOTHING)
    total = petitioner + respondent
    moved = _signed(balance.payment, balance.payer)
    claims = _owed_by_petitioner(a for a in offset if a.kind == "separate_claim")
    reimbursed = _owed_by_petitioner(a for a in apart if a.kind == "reimbursement")
    community_move = moved - claims + reimbursed
    return Ledger(
        lines=tuple(lines),
        to_petitioner=petitioner,
        to_respondent=respondent,
        total=total,
        half=cents(total / 2),
        equalization=balance.payment,
        equalization_payer=balance.payer,
        complete=_complete(facts),
        confirmed=tuple(confirmed),
        disputed=tuple(disputed),
        adjustments=offset,
        paid_apart=apart,
        awards_payment=balance.half_of_nets,
        negative=balance.negative,
        excess_debt=balance.excess_debt,
        gross=sum((line.value for line in counted), NOTHING),
        third_party=sum((line.owing for line in counted), NOTHING),
        received_by_petitioner=petitioner
        + sum((line.separate_petitioner for line in counted), NOTHING)
        - community_move,
        received_by_respondent=respondent
        + sum((line.separate_respondent for line in counted), NOTHING)
        + community_move,
        sales=tuple(_sales(facts, secured, riding, cautions)),
        settlement=_settlement(facts, petitioner, respondent, balance, _owed_by_petitioner(offset), counted, cautions),
        cautions=tuple(cautions),
        figure=_figure(balance, counted, offset),
    )


# Assets


_Loans = list[tuple[str, Debt]]


def secured_debts(facts: Facts) -> dict[str, _Loans]:
    """The debts that each asset secures: by the debt's own word, else by the vehicle that names its loan.

    Returns: for each short name of an asset, the debts with their short names, in the order of the facts. A debt that
        names no asset of the facts is not among them.
    """
    by_vehicle = {a.vehicle.loan: key for key, a in facts.assets.items() if a.vehicle and a.vehicle.loan}
    found: dict[str, _Loans] = {}
    for key, debt in facts.debts.items():
        asset = debt.secured_by or by_vehicle.get(key)
        if asset is not None and asset in facts.assets:
            found.setdefault(asset, []).append((key, debt))
    return found


def _liens(asset: Asset, loans: _Loans) -> Decimal:
    own = asset.character in OWNERS
    on_it = sum(
        (
            d.owing or NOTHING
            for _, d in loans
            if (d.character == asset.character if own else d.character not in OWNERS)
        ),
        NOTHING,
    )
    plan_loan = asset.retirement.loan if asset.retirement and asset.retirement.loan else NOTHING
    return (asset.owing or NOTHING) + on_it + plan_loan


def _claimants(asset: Asset) -> list[tuple[PartyRole, Decimal]]:
    """Every separate claim in order, then the premarital part of a plan: whose, and how much (nothing if given up)."""
    claims: list[tuple[PartyRole, Decimal]] = [
        (c.by, NOTHING if c.result == "waived" else max(NOTHING, c.amount or NOTHING)) for c in asset.separate_claims
    ]
    plan = asset.retirement
    if plan and plan.premarital_balance:
        owner = plan.member or (asset.titled if asset.titled in ("petitioner", "respondent") else None)
        claims.append((owner or "petitioner", max(NOTHING, plan.premarital_balance)))
    return claims


def _honoured(asset: Asset, equity: Decimal) -> tuple[Decimal, ...]:
    """What of each claim the equity covers, in proportion if it falls short (Walrath (1998) 17 Cal.4th 907)."""
    amounts = [amount for _, amount in _claimants(asset)]
    claimed = sum(amounts, NOTHING)
    if claimed == 0 or claimed <= equity:
        return tuple(amounts)
    return divide(max(NOTHING, equity), amounts)


def _asset_line(key: str, asset: Asset, loans: _Loans, counts: bool = True) -> Line:
    value, owing = asset.value or NOTHING, _liens(asset, loans)
    honoured = _honoured(asset, value - owing)
    parts: dict[PartyRole, Decimal] = {"petitioner": NOTHING, "respondent": NOTHING}
    for (party, _), amount in zip(_claimants(asset), honoured, strict=True):
        parts[party] += amount
    separate = parts["petitioner"] + parts["respondent"]
    net = value - owing - separate
    decided = asset.goes_to in ("petitioner", "respondent", "split")
    in_sum = counts and decided and not asset.outside_equalization
    petitioner = respondent = NOTHING
    if decided:
        petitioner = _petitioner_net(asset, net) + _paid_by_other(asset, loans)
        respondent = net - petitioner
    how = _how(asset) if counts else "disputed"
    return Line(
        key, "asset", asset.label, value, owing, separate, net, petitioner, respondent, in_sum, how, asset.value_on,
        parts["petitioner"], parts["respondent"],
    )  # fmt: skip


def _petitioner_net(asset: Asset, net: Decimal) -> Decimal:
    if asset.goes_to == "split" and asset.petitioner_amount is not None:
        return asset.petitioner_amount
    return share(net, _petitioner_percent(asset))


def _petitioner_percent(asset: Asset) -> Decimal:
    return {"petitioner": HUNDRED, "respondent": Decimal(0)}.get(
        asset.goes_to or "", _percent(asset.petitioner_percent)
    )


def _paid_by_other(asset: Asset, loans: _Loans) -> Decimal:
    """What the respondent pays of the petitioner's part of the liens, less what the petitioner pays of the respondent's."""
    if asset.goes_to == "split" and asset.petitioner_amount is not None:
        return NOTHING
    moved = NOTHING
    for _, debt in loans:
        owing = debt.owing or NOTHING
        if debt.character in OWNERS or debt.assigned_to not in ("petitioner", "respondent", "split"):
            continue
        moved += share(owing, _petitioner_percent(asset)) - share(owing, _debt_percent(debt))
    return moved


def _how(asset: Asset) -> How:
    if asset.goes_to in ("petitioner", "respondent", "split") and asset.outside_equalization:
        return "kind"
    if asset.goes_to == "split":
        return "percent" if asset.petitioner_amount is None else "amount"
    ways: dict[str, How] = {
        "petitioner": "whole", "respondent": "whole", "sell": "sale", "co_own": "co_own", "order": "order", "reserved": "reserved", "child": "child",
    }  # fmt: skip
    return ways.get(asset.goes_to or "", "undecided")


def _owner_line(key: str, asset: Asset, loans: _Loans) -> Line:
    """A separate asset, confirmed to its owner."""
    value, owing, owner = asset.value or NOTHING, _liens(asset, loans), OWNERS[asset.character]
    net = value - owing
    mine, yours = (net, NOTHING) if owner == "petitioner" else (NOTHING, net)
    return Line(key, "asset", asset.label, value, owing, NOTHING, net, mine, yours, False, "confirmed", asset.value_on)


# Debts


def _debt_percent(debt: Debt) -> Decimal:
    return {"petitioner": HUNDRED, "respondent": Decimal(0)}.get(
        debt.assigned_to or "", _percent(debt.petitioner_percent)
    )


def _debt_line(key: str, debt: Debt) -> Line:
    owing = debt.owing or NOTHING
    assigned = debt.assigned_to in ("petitioner", "respondent", "split")
    petitioner = share(owing, _debt_percent(debt)) if assigned else NOTHING
    respondent = owing - petitioner if assigned else NOTHING
    # A loan for a spouse's own education goes to that spouse without offset (Fam. Code §§ 2627, 2641(b)(2)).
    education = debt.education_of is not None and debt.education_of == debt.assigned_to
    ways: dict[str, How] = {"petitioner": "whole", "respondent": "whole", "split": "percent", "from_sale": "sale"}
    how: How = "education" if education else ways.get(debt.assigned_to or "", "undecided")
    return Line(
        key,
        "debt",
        _debt_label(key, debt),
        NOTHING,
        owing,
        NOTHING,
        -owing,
        -petitioner,
        -respondent,
        assigned and not education,
        how,
        debt.as_of,
    )


def _owner_debt(key: str, debt: Debt) -> Line:
    owing = debt.owing or NOTHING
    mine, yours = (-owing, NOTHING) if OWNERS[debt.character] == "petitioner" else (NOTHING, -owing)
    return Line(
        key,
        "debt",
        _debt_label(key, debt),
        NOTHING,
        owing,
        NOTHING,
        -owing,
        mine,
        yours,
        False,
        "confirmed",
        debt.as_of,
    )


def _debt_label(key: str, debt: Debt) -> str:
    return debt.label or debt.creditor or key


def _percent(given: Decimal | None) -> Decimal:
    return Decimal(50) if given is None else given


# Sums


def _side(counted: list[Line], offset: Iterable[Adjustment], party: PartyRole) -> Side:
    def received(kind: str) -> Decimal:
        return sum(
            (
                line.to_petitioner if party == "petitioner" else line.to_respondent
                for line in counted
                if line.kind == kind
            ),
            NOTHING,
        )

    awards, debts = received("asset"), -received("debt")
    if debts < 0:  # a balance entered with the wrong sign, which a caution names
        awards, debts = awards - debts, NOTHING
    owes = {
        kind: sum((a.amount for a in offset if a.debtor == party and a.kind == kind), NOTHING)
        for kind in ("separate_claim", "reimbursement")
    }
    return Side(awards, debts, separate_of_other=owes["separate_claim"], owed_whole=owes["reimbursement"])


def _signed(amount: Decimal, payer: PartyRole | None) -> Decimal:
    """An amount as it runs from the petitioner to the respondent; below zero the other way."""
    return amount if payer == "petitioner" else -amount


def _owed_by_petitioner(adjustments: Iterable[Adjustment]) -> Decimal:
    return sum((_signed(a.amount, a.debtor) for a in adjustments), NOTHING)


def _adjustments(facts: Facts, secured: Mapping[str, _Loans]) -> Iterable[Adjustment]:
    """Separate claims in what the other party receives, and reimbursements, as far as they are paid or set off."""
    for key, asset in facts.assets.items():
        holder = asset.goes_to if asset.goes_to in ("petitioner", "respondent") else None
        holder = OWNERS.get(asset.character, holder)
        honoured = _honoured(asset, (asset.value or NOTHING) - _liens(asset, secured.get(key, [])))
        for index, claim in enumerate(asset.separate_claims):
            amount = honoured[index]
            if holder and holder != claim.by and amount and claim.result in ("offset", "paid"):
                yield Adjustment(
                    f"assets.{key}.separate_claims.{index}",
                    "separate_claim",
                    amount,
                    holder,
                    claim.by,
                    claim.result,
                    key,
                )
    for key, back in facts.reimbursements.items():
        if back.claimant and back.amount and back.amount > 0 and back.result in ("offset", "paid"):
            yield Adjustment(
                f"reimbursements.{key}", "reimbursement", back.amount, other(back.claimant), back.claimant, back.result,
                back.asset,
            )  # fmt: skip


def _settlement(
    facts: Facts,
    petitioner: Decimal,
    respondent: Decimal,
    balance: Balance,
    whole: Decimal,
    counted: list[Line],
    cautions: list[Caution],
) -> Settlement:
    agreed = facts.equalization
    mode, amount, payer = agreed.mode, agreed.amount or NOTHING, agreed.payer
    if mode is None:
        amount, payer = balance.payment, balance.payer
    elif mode == "none":
        amount, payer = NOTHING, None
    elif payer is None or agreed.amount is None:
        amount, payer = NOTHING, None
        cautions.append(
            Caution(
                "equalization.amount" if agreed.amount is None else "equalization.payer",
                "Say who pays how much; until then no payment is counted.",
            )
        )
    note = agreed.note.principal if agreed.note and agreed.note.principal is not None else None
    at_once, by_note, by_transfer = amount, NOTHING, NOTHING
    if mode == "note":
        at_once, by_note = NOTHING, amount
        if note is not None and note != amount:
            cautions.append(
                Caution(
                    "equalization.note.principal", f"The note is for {money(note)}, but the payment is {money(amount)}."
                )
            )
    elif mode == "lump_and_note":
        at_once = agreed.lump_amount if agreed.lump_amount is not None else amount - (note or NOTHING)
        by_note = note if note is not None else amount - at_once
        if at_once + by_note != amount:
            cautions.append(
                Caution(
                    "equalization.lump_amount",
                    f"{money(at_once)} at once and {money(by_note)} by note do not make {money(amount)}.",
                )
            )
    elif mode in ("retirement", "other_asset"):
        at_once, by_transfer = NOTHING, amount
        _check_source(facts, amount, payer, counted, cautions)
    paid = _signed(amount, payer) if payer else NOTHING
    # What is due whole is no part of the division: it passes through the payment.
    after = petitioner - (paid - whole)
    half = (petitioner + respondent) / 2
    return Settlement(
        mode, payer, amount, at_once, by_note, by_transfer, after, petitioner + respondent - after, after - cents(half),
        abs(after - half) <= CENT, agreed.unequal,
    )  # fmt: skip


def _check_source(
    facts: Facts, amount: Decimal, payer: PartyRole | None, counted: list[Line], cautions: list[Caution]
) -> None:
    """Look at the plan or asset that pays the equalization."""
    key = facts.equalization.from_asset
    asset = facts.assets.get(key) if key else None
    if asset is None or payer is None:
        return
    if asset.value is not None and amount > asset.value - (asset.owing or NOTHING):
        cautions.append(
            Caution(
                "equalization.from_asset",
                f"The {asset.label} is worth less than the {money(amount)} that is to come out of it.",
            )
        )
    if asset.goes_to == other(payer) and any(line.key == key and line.kind == "asset" for line in counted):
        cautions.append(
            Caution(
                f"assets.{key}.goes_to",
                f"The {asset.label} is already counted on the side that it is to pay; it would count twice.",
            )
        )


def _figure(balance: Balance, counted: list[Line], offset: tuple[Adjustment, ...]) -> Figure:
    paths = tuple(f"{line.kind}s.{line.key}" for line in counted) + tuple(a.path for a in offset)
    return replace(balance.figure, facts=paths, table=tuple(_row(line) for line in counted))


def _row(line: Line) -> dict[str, object]:
    return {
        "item": line.label, "value": line.value, "owing": line.owing, "separate": line.separate, "net": line.net,
        "to_petitioner": line.to_petitioner, "to_respondent": line.to_respondent,
    }  # fmt: skip


# Sales


def _sales(facts: Facts, secured: Mapping[str, _Loans], riding: set[str], cautions: list[Caution]) -> Iterable[Sale]:
    """The expected result of each planned sale of a valued asset."""
    selling = [k for k, a in facts.assets.items() if a.character in SHARED and a.value is not None and _is_sold(a)]
    loose = [
        d
        for k, d in facts.debts.items()
        if d.assigned_to == "from_sale" and k not in riding and d.character not in OWNERS
    ]
    if loose and len(selling) != 1:
        says = "no sale is planned" if not selling else "several sales are planned"
        cautions.append(
            Caution("debts", f"A debt is to be paid from a sale, but {says}; say from which asset it is paid.")
        )
    for key in selling:
        asset = facts.assets[key]
        price = asset.value or NOTHING
        fee = (
            asset.real.broker.fee_percent
            if asset.real and asset.real.broker and asset.real.broker.fee_percent
            else Decimal(0)
        )
        cost = cents(price * fee / HUNDRED)
        owing = _liens(asset, secured.get(key, []))
        debts = sum((d.owing or NOTHING for d in loose), NOTHING) if len(selling) == 1 else NOTHING
        parts: dict[PartyRole, Decimal] = {"petitioner": NOTHING, "respondent": NOTHING}
        for (party, _), amount in zip(_claimants(asset), _honoured(asset, price - cost - owing), strict=True):
            parts[party] += amount
        rest = price - cost - owing - debts - parts["petitioner"] - parts["respondent"]
        stated = asset.real.petitioner_percent_of_proceeds if asset.real else None
        first = share(rest, _percent(stated if stated is not None else asset.petitioner_percent))
        yield Sale(key, price, cost, owing, debts, parts["petitioner"], parts["respondent"], first, rest - first)
        if rest < 0:
            cautions.append(
                Caution(
                    f"assets.{key}", f"A sale at this value falls short by {money(-rest)}; say who bears the shortfall."
                )
            )


def _is_sold(asset: Asset) -> bool:
    return asset.goes_to == "sell" or (
        asset.goes_to == "co_own" and asset.real is not None and asset.real.plan in ("sell", "deferred_sale")
    )


# What is missing or contradicts


def _input_cautions(facts: Facts) -> Iterable[Caution]:
    secured = secured_debts(facts)
    for key, asset in facts.assets.items():
        path = f"assets.{key}"
        if asset.value is not None and asset.value < 0:
            yield Caution(
                f"{path}.value", "The value is negative. Enter the value as zero or more, and what is owed as a debt."
            )
        if asset.owing is not None and asset.owing < 0:
            yield Caution(f"{path}.owing", "The amount owed is negative; enter it without a sign.")
        if asset.owing and any(d.owing for _, d in secured.get(key, [])):
            yield Caution(
                f"{path}.owing",
                "What is owed stands here and among the debts too; keep it in one place, or it counts twice.",
            )
        if asset.goes_to == "split" and asset.petitioner_amount is not None:
            net = (asset.value or NOTHING) - _liens(asset, secured.get(key, []))
            if asset.petitioner_amount < 0 or (
                asset.value is not None and asset.petitioner_amount > max(NOTHING, net - separate_part(asset, net))
            ):
                yield Caution(
                    f"{path}.petitioner_amount", "The petitioner's amount is not between nothing and the net value."
                )
            if asset.petitioner_percent is not None:
                yield Caution(
                    f"{path}.petitioner_percent", "Both an amount and a percentage are given; the amount counts."
                )
        yield from _claim_cautions(path, asset, secured.get(key, []))
        for loan, debt in secured.get(key, []):
            if debt.character in OWNERS and asset.character in SHARED:
                yield Caution(
                    f"debts.{loan}.secured_by",
                    "A separate debt is secured by a community asset; its owner pays it without offset (Fam. Code § 2625).",
                )
            elif (
                debt.assigned_to in ("petitioner", "respondent")
                and asset.goes_to in ("petitioner", "respondent")
                and debt.assigned_to != asset.goes_to
            ):
                yield Caution(
                    f"debts.{loan}.assigned_to",
                    "The asset goes to one party and its loan to the other; the lender can still look to the asset (Fam. Code § 916).",
                )
    for key, debt in facts.debts.items():
        if debt.owing is not None and debt.owing < 0:
            yield Caution(
                f"debts.{key}.owing", "The balance is negative; enter it without a sign, or list a credit as an asset."
            )
        if debt.education_of and debt.assigned_to not in (None, debt.education_of):
            yield Caution(
                f"debts.{key}.assigned_to",
                "A loan for education goes to the spouse who was educated, unless both agree otherwise in writing (Fam. Code § 2641).",
            )
    for key, claim in facts.reimbursements.items():
        if claim.amount is not None and claim.amount < 0:
            yield Caution(
                f"reimbursements.{key}.amount",
                "The amount is negative; enter it without a sign and change the claimant.",
            )
        same = facts.assets[claim.asset].separate_claims if claim.asset in facts.assets and claim.asset else ()
        if claim.kind == "contribution_2640" and any(c.by == claim.claimant and c.result != "waived" for c in same):
            yield Caution(
                f"reimbursements.{key}",
                "The same contribution may stand with the asset too; keep it in one place, or it counts twice.",
            )


def _claim_cautions(path: str, asset: Asset, loans: _Loans) -> Iterable[Caution]:
    claims = asset.separate_claims
    equity = (asset.value or NOTHING) - _liens(asset, loans)
    claimed = sum((amount for _, amount in _claimants(asset)), NOTHING)
    if asset.value is not None and claimed > max(NOTHING, equity):
        yield Caution(
            f"{path}.separate_claims",
            f"The claims of {money(claimed)} exceed the net value of {money(equity)}; each is honored in proportion (Fam. Code § 2640(b)).",
        )
    for index, claim in enumerate(claims):
        if claim.amount is not None and claim.amount < 0:
            yield Caution(f"{path}.separate_claims.{index}.amount", "The claim is negative and is not counted.")
        if claim.result in (None, "reserved") and asset.goes_to == other(claim.by) and claim.amount:
            yield Caution(
                f"{path}.separate_claims.{index}.result",
                "The claim lies in an asset of the other party and is not settled; the sums leave it out.",
            )
    plan = asset.retirement
    if plan and plan.premarital_balance and plan.member is None and asset.titled not in ("petitioner", "respondent"):
        yield Caution(f"{path}.retirement.member", "Say whose plan it is; its separate part belongs to the member.")


def _complete(facts: Facts) -> bool:
    assets = all(
        a.goes_to is not None
        and (
            a.value is not None
            or a.goes_to in ("order", "reserved", "child", "sell", "co_own")
            or a.outside_equalization
        )
        for a in facts.assets.values()
        if a.character in SHARED and a.kind not in ("animal", "household")
    )
    return assets and all(
        d.assigned_to is not None and d.owing is not None
        for d in facts.debts.values()
        if d.character in ("community", "mixed")
    )
