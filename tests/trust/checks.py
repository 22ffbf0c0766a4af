"""What must hold of every case. Each check is a function of what it looks at alone and yields what is wrong, a line each.

A check works its answer out again from the facts, or from the bytes of the document, and not with the code that it checks.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any, Protocol
from zoneinfo import ZoneInfo

from pydantic import BaseModel
from support.strategies import NAMES, WORDS
from support.text_checks import faults, lines

from msadraft.agreement.numbering import Numbering
from msadraft.facts.model import Facts
from msadraft.facts.paths import UnknownPathError, field_at, get
from msadraft.tree import Agreement, Text, inlines, walk
from trust.word_lists import Line, Paper

CENT = Decimal("0.01")
ROLES = ("petitioner", "respondent")
SHARED = ("community", "quasi_community", "mixed")
AMOUNT = re.compile(r"\$(\d[\d,]*(?:\.\d+)?)")
Problems = Iterator[str]


# References and numbers


def references_true(paper: Paper) -> Problems:
    """Every reference shows the number of the paragraph that its bookmark stands in, whole, and each bookmark exists."""
    places = paper.by_bookmark()
    for line in paper.lines:
        chain: list[tuple[str, str]] = []
        for piece in (*line.pieces, ""):
            if not isinstance(piece, str):
                chain.append(piece)
                continue
            if chain:
                yield from _chain(chain, places, line)
            chain = []


def _chain(chain: list[tuple[str, str]], places: Mapping[str, Line], line: Line) -> Problems:
    where = f"in “{line.text[:60]}”"
    for mark, shown in chain:
        if mark not in places:
            yield f"a reference points to {mark}, which is nowhere, {where}"
            return
        label = places[mark].label.removesuffix(".")
        if shown != label:
            yield f"a reference shows {shown!r}, but {mark} has the number {label!r}, {where}"
    whole = "".join(shown for _, shown in chain)
    if whole != places[chain[-1][0]].full:
        yield f"a reference reads {whole!r}, but its paragraph is {places[chain[-1][0]].full!r}, {where}"


class Row(Protocol):
    """A row of the paragraph map."""

    @property
    def id(self) -> str:
        """The paragraph's id."""

    @property
    def number(self) -> str:
        """Its number."""

    @property
    def bookmark(self) -> str:
        """Its bookmark."""

    @property
    def pointer(self) -> str:
        """The words that point to it."""


def map_true(paper: Paper, rows: Sequence[Row]) -> Problems:
    """The map has each numbered paragraph of the document once, with the number that the document shows; pointers say it."""
    places = paper.by_bookmark()
    carried = {node: (mark, number) for node, mark, number in paper.carried}
    seen: set[str] = set()
    for row in rows:
        if row.bookmark in seen:
            yield f"the map has {row.id} twice"
        seen.add(row.bookmark)
        line = places.get(row.bookmark)
        if line is None:
            yield f"the map has {row.id}, which is not in the document"
        elif row.number != line.full:
            yield f"the map gives {row.id} the number {row.number!r}; the document shows {line.full!r}"
        if carried.get(row.id, ("", ""))[0] != row.bookmark:
            yield f"the map inside the document has another bookmark for {row.id}"
        if row.pointer and not _names(row.pointer, row.number):
            yield f"the pointer to {row.id} does not name {row.number!r}: {row.pointer!r}"
    for node, mark, number in paper.carried:
        if mark not in places:
            yield f"the map inside the document names {node}, which is not in it"
        elif number != places[mark].full:
            yield f"the map inside the document gives {node} the number {number!r}; it shows {places[mark].full!r}"
    for line in paper.lines:
        if (
            line.label
            and not line.label.startswith(("Article", "Exhibit"))
            and not line.style.endswith("Heading")
            and line.style != "Heading1"
        ):
            if not line.bookmarks:
                yield f"a numbered paragraph has no bookmark: {line.label} {line.text[:50]}"
            elif not seen.intersection(line.bookmarks):
                yield f"the map leaves out {line.full} {line.text[:50]!r}"


def _names(pointer: str, number: str) -> bool:
    """Whether a pointer holds a number as a whole: "4.3" is not in "4.31" and not in "4.3(a)"."""
    at = pointer.find(number)
    while at >= 0:
        before, after = pointer[at - 1 : at], pointer[at + len(number) : at + len(number) + 1]
        if not (before.isalnum() or before in (".", "(")) and not (after.isalnum() or after == "("):
            return True
        at = pointer.find(number, at + 1)
    return False


# Property


@dataclasses.dataclass
class Own:
    """What the facts say of one asset or debt, worked out here: cents as exact numbers."""

    value: Decimal
    owing: Decimal
    separate: tuple[Decimal, Decimal]
    petitioner: Decimal | None
    respondent: Decimal | None


def _separate(facts: Facts, key: str, equity: Decimal) -> list[tuple[str, Decimal, str | None]]:
    """The separate claims in an asset: whose, how much, what becomes of it. Given-up ones count for nothing."""
    asset = facts.assets[key]
    found = [
        (c.by, Decimal(0) if c.result == "waived" else max(Decimal(0), c.amount or Decimal(0)), c.result)
        for c in asset.separate_claims
    ]  # fmt: skip
    plan = asset.retirement
    if plan and plan.premarital_balance:
        titled = asset.titled if asset.titled in ROLES else "petitioner"
        found.append((plan.member or titled, max(Decimal(0), plan.premarital_balance), None))
    return found


def _secures(facts: Facts) -> dict[str, list[str]]:
    """The debts on each asset."""
    by_vehicle = {a.vehicle.loan: key for key, a in facts.assets.items() if a.vehicle and a.vehicle.loan}
    found: dict[str, list[str]] = {}
    for key, debt in facts.debts.items():
        asset = debt.secured_by or by_vehicle.get(key)
        if asset in facts.assets:
            found.setdefault(str(asset), []).append(key)
    return found


def ledger_closes(facts: Facts, ledger: Any) -> Problems:
    """Each asset and debt stands once in the ledger, its parts make its whole, the sums are those of the lines, and the
    computed payment leaves both with the same to the cent.
    """
    secures = _secures(facts)
    rows = [*ledger.lines, *ledger.confirmed, *ledger.disputed]
    named = [(line.kind, line.key) for line in rows]
    riding = {d for a, ds in secures.items() if not facts.assets[a].character.startswith("separate") for d in ds}
    wanted = [("asset", key) for key in facts.assets]
    wanted += [("debt", k) for k, d in facts.debts.items() if d.character.startswith("separate") or k not in riding]
    if sorted(named) != sorted(wanted):
        yield f"the ledger lists {sorted(named)}, the facts hold {sorted(wanted)}"
        return
    for line in rows:
        for problem in _line_closes(facts, line, secures, line in ledger.disputed):
            yield f"{line.kind} {line.key}: {problem}"
    counted = [line for line in ledger.lines if line.in_sum]
    mine = sum((line.to_petitioner for line in counted), Decimal(0))
    yours = sum((line.to_respondent for line in counted), Decimal(0))
    sums = (ledger.to_petitioner, ledger.to_respondent, ledger.total)
    if sums != (mine, yours, mine + yours):
        yield f"the sums are {sums}, the lines make {(mine, yours, mine + yours)}"
    if abs(ledger.half * 2 - ledger.total) > CENT:
        yield f"half of {ledger.total} is given as {ledger.half}"
    whole, loose = _owed_whole(facts, secures)
    paid = {"petitioner": ledger.equalization, "respondent": -ledger.equalization, None: Decimal(0)}[
        ledger.equalization_payer
    ]
    moved = paid - whole  # what the payment moves of the division itself
    if mine + yours < 0:
        if abs(moved) > loose:
            yield f"debts exceed property, yet {moved} is moved by formula"
    elif abs((mine - moved) - (yours + moved)) > CENT + 2 * loose:
        yield f"after the computed payment the petitioner has {mine - moved}, the respondent {yours + moved}"
    if ledger.equalization < 0 or (ledger.equalization == 0) != (ledger.equalization_payer is None):
        yield f"a payment of {ledger.equalization} from {ledger.equalization_payer}"
    if ledger.received_by_petitioner + ledger.received_by_respondent + ledger.third_party != ledger.gross:
        yield f"{ledger.received_by_petitioner} and {ledger.received_by_respondent} and {ledger.third_party} owed do not make {ledger.gross}"
    for sale in ledger.sales:
        out = sale.cost + sale.liens + sale.debts + sale.separate_petitioner + sale.separate_respondent
        if out + sale.to_petitioner + sale.to_respondent != sale.price:
            yield f"the sale of {sale.key} brings {sale.price}, its parts make {out + sale.to_petitioner + sale.to_respondent}"
    settled = ledger.settlement
    agreed = {"petitioner": settled.amount, "respondent": -settled.amount, None: Decimal(0)}[settled.payer] - whole
    if settled.payer is None:
        agreed = -whole
    if (
        settled.petitioner_after + settled.respondent_after != mine + yours
        or abs(settled.petitioner_after - (mine - agreed)) > loose
    ):
        yield f"after the agreed payment {settled.petitioner_after} and {settled.respondent_after} are given, not {mine - agreed} and {yours + agreed}"
    level = abs((mine - agreed) - (yours + agreed)) <= 2 * CENT
    if settled.equal != level and not loose:
        yield f"the agreed payment is called {'equal' if settled.equal else 'unequal'}, with {mine - agreed} and {yours + agreed}"


def _line_closes(facts: Facts, line: Any, secures: Mapping[str, list[str]], disputed: bool) -> Problems:
    if line.value - line.owing - line.separate != line.net:
        yield f"{line.value} less {line.owing} less {line.separate} is not {line.net}"
    if line.separate_petitioner + line.separate_respondent != line.separate:
        yield f"separate parts {line.separate_petitioner} and {line.separate_respondent} do not make {line.separate}"
    own = _own_debt(facts, line.key) if line.kind == "debt" else _own_asset(facts, line.key, secures)
    if (line.value, line.owing) != (own.value, own.owing):
        yield f"value {line.value} and owing {line.owing}; the facts make {own.value} and {own.owing}"
    if any(
        abs(a - b) > CENT
        for a, b in zip((line.separate_petitioner, line.separate_respondent), own.separate, strict=True)
    ):
        yield f"separate parts {line.separate_petitioner} and {line.separate_respondent}; the facts make {own.separate}"
    if own.petitioner is None:
        if (line.to_petitioner, line.to_respondent, line.in_sum) != (0, 0, False):
            yield f"it is not divided yet, but {line.to_petitioner} and {line.to_respondent} are counted"
        return
    if line.to_petitioner + line.to_respondent != line.net:
        yield f"{line.to_petitioner} and {line.to_respondent} do not make {line.net}"
    # Each separately rounded lien may leave an odd cent on either side.
    loose = CENT * (1 + len(secures.get(line.key, ()) if line.kind == "asset" else ()))
    if abs(line.to_petitioner - own.petitioner) > loose:
        yield f"the petitioner's part is {line.to_petitioner}; the facts make {own.petitioner}"
    if disputed and line.in_sum:
        yield "its character is disputed, but it is counted"


def _percent(goes: str | None, percent: Decimal | None) -> Fraction:
    fixed = {"petitioner": Fraction(1), "respondent": Fraction(0)}
    return fixed.get(goes or "", Fraction(Decimal(50) if percent is None else percent) / 100)


def _own_asset(facts: Facts, key: str, secures: Mapping[str, list[str]]) -> Own:
    asset = facts.assets[key]
    separate = asset.character.startswith("separate")
    loans = [facts.debts[name] for name in secures.get(key, [])]
    on_it = [
        d for d in loans if (d.character == asset.character if separate else not d.character.startswith("separate"))
    ]
    plan_loan = asset.retirement.loan if asset.retirement and asset.retirement.loan else Decimal(0)
    value = asset.value or Decimal(0)
    owing = (asset.owing or Decimal(0)) + plan_loan + sum((d.owing or Decimal(0) for d in on_it), Decimal(0))
    if separate:
        net = value - owing
        mine = net if asset.character.endswith("petitioner") else Decimal(0)
        return Own(value, owing, (Decimal(0), Decimal(0)), mine, net - mine)
    claims = _separate(facts, key, value - owing)
    claimed = sum((amount for _, amount, _ in claims), Decimal(0))
    covered = (
        Fraction(1)
        if claimed <= value - owing or claimed == 0
        else Fraction(max(Decimal(0), value - owing)) / Fraction(claimed)
    )
    parts = [sum((Fraction(a) * covered for who, a, _ in claims if who == role), Fraction(0)) for role in ROLES]
    both = (_decimal(parts[0]), _decimal(parts[1]))
    if asset.goes_to not in (*ROLES, "split"):
        return Own(value, owing, both, None, None)
    net = Fraction(value - owing) - sum(parts)
    part = _percent(asset.goes_to, asset.petitioner_percent)
    if asset.goes_to == "split" and asset.petitioner_amount is not None:
        mine = Fraction(asset.petitioner_amount)
    else:
        mine = net * part
        for debt in on_it:
            if debt.assigned_to in (*ROLES, "split"):
                mine += Fraction(debt.owing or 0) * (part - _percent(debt.assigned_to, debt.petitioner_percent))
    return Own(value, owing, both, _decimal(mine), _decimal(net - mine))


def _own_debt(facts: Facts, key: str) -> Own:
    debt = facts.debts[key]
    owing = debt.owing or Decimal(0)
    nothing = (Decimal(0), Decimal(0))
    if debt.character.startswith("separate"):
        mine = -owing if debt.character.endswith("petitioner") else Decimal(0)
        return Own(Decimal(0), owing, nothing, mine, -owing - mine)
    if debt.assigned_to not in (*ROLES, "split"):
        return Own(Decimal(0), owing, nothing, None, None)
    mine = _decimal(Fraction(-owing) * _percent(debt.assigned_to, debt.petitioner_percent))
    return Own(Decimal(0), owing, nothing, mine, -owing - mine)


def _decimal(part: Fraction) -> Decimal:
    return (Decimal(part.numerator) / Decimal(part.denominator)).quantize(Decimal("0.0001"))


def _owed_whole(facts: Facts, secures: Mapping[str, list[str]]) -> tuple[Decimal, Decimal]:
    """What the petitioner owes the respondent whole and sets off in the payment (below zero the other way), and by how
    much that may be off: a cent for each claim that is cut to the equity, in proportion to the others.
    """
    owed, loose = Decimal(0), Decimal(0)
    for key, asset in facts.assets.items():
        holder = asset.goes_to if asset.goes_to in ROLES else None
        if asset.character.startswith("separate"):
            holder = asset.character.removeprefix("separate_")
        own = _own_asset(facts, key, secures)
        claims = _separate(facts, key, own.value - own.owing)
        claimed, equity = sum((amount for _, amount, _ in claims), Decimal(0)), own.value - own.owing
        for who, amount, result in claims[: len(asset.separate_claims)]:
            if holder is None or who == holder or result != "offset" or not amount:
                continue
            part = amount
            if claimed > equity:
                part = _decimal(Fraction(amount) * Fraction(max(Decimal(0), equity)) / Fraction(claimed))
                loose += CENT
            owed += part if holder == "petitioner" else -part
    for back in facts.reimbursements.values():
        if back.claimant and back.amount and back.amount > 0 and back.result == "offset":
            owed += back.amount if back.claimant == "respondent" else -back.amount
    return owed, loose


EXPLAINED = (
    "property.unequal_unsaid", "property.equal_sum", "property.negative", "property.offset_value", "path.default_unequal",
    "property.unassigned",
)  # fmt: skip
"""Findings that say that the division is not equal, or not finished."""


def unequal_said(facts: Facts, ledger: Any, findings: Iterable[str], assigned: bool) -> Problems:
    """A division that the agreed payment leaves unequal by more than a dollar is meant so, or a finding says it."""
    settled = ledger.settlement
    apart = abs(settled.petitioner_after - settled.respondent_after)
    if not assigned or facts.equalization.unequal or apart <= 1 or (facts.equalization.mode or "none") == "other_asset":
        return
    if facts.equalization.mode not in (None, "none") and facts.equalization.amount is None:
        return  # a blank in the paper, which is a finding of its own
    if not set(EXPLAINED) & set(findings):
        yield f"the sides end {apart} apart, nobody says that this is meant, and no finding says it"


def table_sums(paper: Paper) -> Problems:
    """The amounts printed in the property schedule add up, row by row and in its last row, as printed."""
    tables: dict[int, list[list[str]]] = {}
    rows: dict[int, list[str]] = {}
    for line in paper.lines:
        if line.table:
            if line.row not in rows:
                rows[line.row] = []
                tables.setdefault(line.table, []).append(rows[line.row])
            rows[line.row].append(line.text)
    for table in tables.values():
        if len(table[0]) != 7 or table[0][1:5] != ["Value", "Owing", "Separate part", "Net"]:
            continue
        total = [Decimal(0)] * 3
        for row in table[1:-1]:
            value, owing, separate, net, mine, yours = (_printed(cell) for cell in row[1:])
            if None not in (value, owing, separate, net) and value - owing - separate != net:  # type: ignore[operator]
                yield f"in the schedule {row[0]!r} reads {row[1:5]}"
            if mine is not None and yours is not None and net is not None:
                total = [total[0] + net, total[1] + mine, total[2] + yours]
                if mine + yours != net:
                    yield f"in the schedule {row[0]!r} reads {row[4:]}"
        last = [_printed(cell) for cell in table[-1][4:]]
        if last != total:
            yield f"the schedule ends in {table[-1][4:]}; its rows make {total}"


def _printed(cell: str) -> Decimal | None:
    found = re.fullmatch(r"(\()?\$([\d,]+\.\d\d)\)?", cell.strip())
    if not found:
        return None
    amount = Decimal(found[2].replace(",", ""))
    return -amount if found[1] else amount


# Parenting time


def calendar_whole(
    timeline: Any, measures: Any, first_day: date, last_day: date, zone: str, reported: Iterable[str]
) -> Problems:
    """Every minute of the span, and every night at 3:00, is with exactly one parent, or is reported as open.

    The hours of the span are counted here with the zone database alone.
    """
    info = ZoneInfo(zone)

    def instant(day: date, hour: int = 0) -> int:
        local = datetime(day.year, day.month, day.day, hour, tzinfo=info)
        return int((local.astimezone(UTC) - datetime(1970, 1, 1, tzinfo=UTC)).total_seconds()) // 60

    begin, end = instant(first_day), instant(last_day + timedelta(days=1))
    if (timeline.first, timeline.last) != (begin, end):
        yield f"the calendar runs from {timeline.first} to {timeline.last}, not from {begin} to {end}"
    pieces = sorted([(s.first, s.last, s.parent) for s in timeline.stays] + [(g[0], g[1], None) for g in timeline.gaps])
    at = begin
    for first, last, parent in pieces:
        if first != at:
            yield f"{'both parents have' if first < at else 'nobody has'} the time at minute {min(first, at)}, and no gap is reported"
            break
        if parent not in (*ROLES, None) or last <= first:
            yield f"a stay from {first} to {last} with {parent!r}"
        at = last
    else:
        if at != end:
            yield f"the calendar ends at minute {at}, not at {end}"
    if timeline.gaps and "gap" not in set(reported):
        yield "the calendar has open time, and no fault says so"
    nights = dict.fromkeys((*ROLES, None), 0)
    place = 0
    for day in (first_day + timedelta(days=n) for n in range((last_day - first_day).days + 1)):
        three = instant(day, 3)
        while place < len(pieces) - 1 and pieces[place][1] <= three:
            place += 1
        nights[pieces[place][2] if pieces and pieces[place][0] <= three < pieces[place][1] else None] += 1
    if sum(nights.values()) != (last_day - first_day).days + 1:
        yield f"{sum(nights.values())} nights in {(last_day - first_day).days + 1} days"
    if measures is not None:
        counted = (measures.petitioner.nights, measures.respondent.nights)
        if counted != (nights["petitioner"], nights["respondent"]):
            yield f"the figures count {counted} nights, the calendar has {nights}"
        if measures.minutes != end - begin:
            yield f"the figures lay out {measures.minutes} minutes of {end - begin}"


def share_said(time: Any) -> Problems:
    """Both percentages of parenting time together make 100, and lie between 0 and 100."""
    mine, yours = time.petitioner_percent, time.respondent_percent
    if (mine is None) != (yours is None) or (mine is not None and (mine + yours != 100 or not 0 <= mine <= 100)):
        yield f"parenting time of {mine} and {yours} percent"


# Money


@lru_cache(maxsize=1)
def _wording_amounts() -> frozenset[Decimal]:
    from msadraft.library.load import read_library

    return frozenset(amount for clause in read_library().clauses.values() for amount in amounts_in(clause.body))


def amounts_in(text: str) -> list[Decimal]:
    """The amounts of money in a text."""
    return [Decimal(found.rstrip(",.").replace(",", "")) for found in AMOUNT.findall(text)]


def known_amounts(facts: Facts, figures: Any) -> set[Decimal]:
    """Every amount that the agreement may print: sums and words of the facts, figures with the steps of their working, and
    the sums that stand in the clauses' own wording.
    """
    found: set[Decimal] = set(_wording_amounts())
    _gather(facts, found, set())
    _gather(figures, found, set())
    return found


def _gather(value: Any, found: set[Decimal], seen: set[int]) -> None:
    kind = type(value)
    if kind is Decimal:
        found.add(abs(value))
    elif kind is str:
        if "$" in value:
            found.update(amounts_in(value))
    elif kind in (tuple, list, set, frozenset):
        for one in value:
            _gather(one, found, seen)
    elif kind is dict or isinstance(value, Mapping):
        for one in value.values():
            _gather(one, found, seen)
    elif isinstance(value, BaseModel) or dataclasses.is_dataclass(value):
        if id(value) in seen:
            return
        seen.add(id(value))
        names = _names_of(kind)
        for name in names:
            _gather(getattr(value, name, None), found, seen)
        for name, one in getattr(value, "__dict__", {}).items():
            if name not in names:
                _gather(one, found, seen)


@cache
def _names_of(kind: type) -> frozenset[str]:
    if issubclass(kind, BaseModel):
        return frozenset(kind.model_fields)
    return frozenset(f.name for f in dataclasses.fields(kind))


def money_known(texts: Iterable[str], known: set[Decimal]) -> Problems:
    """Every amount printed is one that the facts, the figures or the wording hold."""
    for text in texts:
        if "$" in text:
            for amount in amounts_in(text):
                if amount not in known:
                    yield f"${amount:,} is no fact, no figure and no sum of the wording: “{text[:110]}”"


def money_at_its_source(agreement: Agreement, facts: Facts, look_up: Callable[[str], Any]) -> Problems:
    """An amount that came from a fact or a figure is that fact or figure, to the cent."""
    for section in agreement.sections:
        for block in walk(section.blocks):
            for piece in inlines(block):
                if isinstance(piece, Text) and piece.source and "$" in piece.text:
                    yield from _at_source(piece, facts, look_up)


def _at_source(piece: Text, facts: Facts, look_up: Callable[[str], Any]) -> Problems:
    value = look_up(piece.source) if piece.source.startswith("figures.") else _fact(facts, piece.source)
    if isinstance(value, Decimal):
        shown = amounts_in(piece.text)
        if len(shown) != 1 or shown[0] != abs(value).quantize(CENT) or (value < 0) != piece.text.startswith("("):
            yield f"{piece.source} is {value}, but {piece.text!r} is printed"
        words = piece.text.partition(" ($")[0]
        if not piece.text.startswith(("$", "(")) and in_figures(words.lower()) != abs(value).quantize(CENT):
            yield f"{piece.source} is {value}, but in words {words!r}"
    elif (
        isinstance(value, str) and value.strip() != piece.text.strip() and not value.startswith(piece.text[:1].lower())
    ):
        yield f"{piece.source} reads {value!r}, but {piece.text!r} is printed"


def _fact(facts: Facts, path: str) -> Any:
    try:
        return get(facts, path)
    except UnknownPathError:
        return None


_ONES = dict(
    zip(
        [
            "zero",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ],
        range(20),
        strict=True,
    )
)
_TENS = dict(
    zip(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], range(20, 100, 10), strict=True)
)
_LARGE = {"thousand": 10**3, "million": 10**6, "billion": 10**9}


def in_figures(words: str) -> Decimal | None:
    """An amount in words as a number: "two thousand five dollars and ten cents" is 2005.10. None if it is not one."""
    dollars, _, cents = words.partition(" dollar")
    cents = cents.removeprefix("s").strip().removeprefix("and ").removesuffix("s").removesuffix(" cent")
    whole, small = _counted(dollars), _counted(cents) if cents else 0
    return None if whole is None or small is None else Decimal(whole) + Decimal(small) / 100


def _counted(words: str) -> int | None:
    total = group = 0
    for word in words.replace("-", " ").split():
        if word in _ONES or word in _TENS:
            group += _ONES.get(word, 0) + _TENS.get(word, 0)
        elif word == "hundred":
            group *= 100
        elif word in _LARGE:
            total, group = total + group * _LARGE[word], 0
        else:
            return None
    return total + group


# Text and bytes


@lru_cache(maxsize=40_000)
def _faults_of(text: str) -> tuple[str, ...]:
    return tuple(faults(text))


def text_clean(agreement: Agreement, numbering: Numbering) -> Problems:
    """The library's own words read clean with any fact in them: no value unfilled, no empty sentence, no doubled sign."""
    for node, text in lines(agreement, numbering, own_words_only=True):
        for fault in _faults_of(_without_hostile(text)):
            yield f"{node}: {fault}: {text[:120]!r}"
        if text.strip() == ".":
            yield f"{node}: an empty sentence: {text!r}"


def same_bytes(first: Mapping[str, str], again: Mapping[str, str]) -> Problems:
    """Digests of the files of one case, made twice."""
    for name in first.keys() | again.keys():
        if first.get(name) != again.get(name):
            yield f"{name} came out differently the second time"


def findings_have_places(findings: Iterable[Any]) -> Problems:
    """Each finding names a fact that can exist, and says what, why and how to mend it."""
    for found in findings:
        try:
            if found.path and not found.path.startswith("figures."):
                field_at(found.path)
        except UnknownPathError as error:
            yield f"{found.id}: {error}"
        for word in (found.message, found.why, found.mend):
            if not word.strip() or "None" in word.split() or "{" in word.replace("{{", ""):
                yield f"{found.id}: reads {word!r}"


def _without_hostile(text: str) -> str:
    """A text with a plain word for the facts that look like a template on purpose."""
    if "{{" not in text:
        return text
    for word in (*NAMES, *WORDS):
        if "{{" in word:
            text = text.replace(word, "X")
    return text


def worksheets_true(packet: Any, numbers: Mapping[str, str]) -> Problems:
    """Each pointer of a worksheet names the numbers of the paragraphs that it points to, and no others."""
    for sheet in packet.worksheets:
        for line in sheet.lines:
            where = f"{sheet.name} {line.item}"
            for node in line.ids:
                if node not in numbers:
                    yield f"{where} points to {node}, which is not in the paper"
            if "{{" in _without_hostile(line.answer) or "{%" in line.answer:
                yield f"{where}: unfilled answer {line.answer!r}"
