"""Notes and other sums paid over time: the level payment, the schedule to the cent, interest, and present value.

Interest on a note is one twelfth of the yearly rate on the balance before each payment, rounded to the cent each month,
halves up. The level payment is rounded to the cent; the last payment is whatever clears the balance. Rates are percent
a year as the facts give them (6 for six percent). All money is Decimal dollars.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Context, Decimal, localcontext

from msadraft.facts.model import Facts
from msadraft.figures.counting import add_months, counted, whole_months, written
from msadraft.figures.figure import Figure, Step
from msadraft.figures.support_amounts import dollars, rounded
from msadraft.law.parameters import LawNotKnownError, Version, law

NOTHING = Decimal("0.00")
CENT = Decimal("0.01")
LONGEST = 600
"""Most payments of a schedule: fifty years of months."""

_EXACT = Context(prec=40)
ACTUAL_DAYS = 365
"""Day count of simple interest: actual days over 365 (common practice)."""

CUSTOM = "common practice"
NOTE = "equalization.note"


class NoteError(ValueError):
    """Terms of a note that cannot be worked out. The message says which, and how to mend them."""


@dataclass(frozen=True, slots=True)
class NoteTerms:
    """Terms of a note in level monthly payments.

    `payment` and `balloon` are dollars; without a payment the one that amortises is taken. With a balloon the level
    payments leave that sum to be paid together with the last of them.
    """

    principal: Decimal
    rate: Decimal
    months: int
    first_payment_on: date | None = None
    payment: Decimal | None = None
    balloon: Decimal = NOTHING


@dataclass(frozen=True, slots=True)
class Instalment:
    """One payment of a schedule: `opening` + `interest` - `amount` = `balance`, to the cent."""

    number: int
    due_on: date | None
    opening: Decimal
    interest: Decimal
    principal: Decimal
    amount: Decimal
    balance: Decimal


@dataclass(frozen=True, slots=True)
class NoteSchedule:
    """A note paid off. The principal parts add up to the principal, the amounts to principal and interest.

    `last` is the last payment, balloon included. `clears` is False if the payment leaves more at the end than rounding
    explains, or if it ends the note early: the terms then contradict each other.
    """

    terms: NoteTerms
    payment: Decimal
    amortising: Decimal
    instalments: tuple[Instalment, ...]
    last: Decimal
    last_due_on: date | None
    interest: Decimal
    total: Decimal
    clears: bool
    figure: Figure

    @property
    def interest_from(self) -> date | None:
        """The day from which the note bears interest: one month before the first payment. None without a first payment day."""
        return add_months(self.terms.first_payment_on, -1) if self.terms.first_payment_on else None

    def balance_after(self, number: int) -> Decimal:
        """What is unpaid after so many payments."""
        if number <= 0:
            return self.terms.principal
        return self.instalments[min(number, len(self.instalments)) - 1].balance

    def balance_on(self, day: date) -> Decimal:
        """What is unpaid on a day once that day's payment is made. Only if the note has days."""
        if self.terms.first_payment_on is None:
            raise NoteError("the note has no first payment day, so its balance on a day is not known")
        return self.balance_after(sum(1 for row in self.instalments if row.due_on is not None and row.due_on <= day))


def level_payment(principal: Decimal, rate: Decimal, months: int, balloon: Decimal = NOTHING) -> Decimal:
    """The level payment at the end of each month that leaves `balloon` after the last; not rounded.

    (principal - balloon / (1 + i)^n) x i / (1 - (1 + i)^-n), with i a twelfth of the rate; without interest,
    (principal - balloon) / n.

    Raises:
        NoteError: a sum or rate is below zero, the number of payments is not 1 to 600, or the balloon exceeds the principal.
    """
    _check(principal, rate, months, balloon)
    with localcontext(_EXACT):
        if rate == 0:
            return (principal - balloon) / months
        monthly = rate / 1200
        growth = (1 + monthly) ** months
        return (principal - balloon / growth) * monthly / (1 - 1 / growth)


def note_schedule(terms: NoteTerms, facts: tuple[str, ...] = ()) -> NoteSchedule:
    """Work out every payment of a note; the last one clears the balance to the cent.

    Raises:
        NoteError: the terms cannot be worked out, or the payment does not cover a month's interest, so that the
            balance would grow.
    """
    exact = level_payment(terms.principal, terms.rate, terms.months, terms.balloon)
    amortising = rounded(exact)
    payment = amortising if terms.payment is None else terms.payment
    if payment < 0:
        raise NoteError(f"a payment of {dollars(payment)} is below zero")
    rows = _rows(terms, payment)
    total = sum((row.amount for row in rows), NOTHING)
    interest = sum((row.interest for row in rows), NOTHING)
    last = rows[-1]
    clears = len(rows) == terms.months and abs(last.amount - payment - terms.balloon) <= _drift(terms)
    steps = (
        Step(
            "Payment that pays off the note",
            _payment_formula(terms),
            f"{rounded(exact, 6):,f}, rounded {dollars(amortising)}",
            CUSTOM,
        ),
        Step(
            "Interest of the first month",
            f"{dollars(terms.principal)} x {terms.rate} / 1200",
            dollars(rows[0].interest),
            CUSTOM,
        ),
        Step(
            "Last payment", f"{dollars(last.opening)} + {dollars(last.interest)} interest", dollars(last.amount), CUSTOM
        ),
        Step(
            "Interest in all",
            f"{dollars(total)} paid - {dollars(terms.principal)} principal",
            dollars(interest),
            CUSTOM,
        ),
    )
    table = tuple(
        {
            "number": row.number, "due_on": row.due_on, "opening": row.opening, "interest": row.interest,
            "principal": row.principal, "amount": row.amount, "balance": row.balance,
        }
        for row in rows
    )  # fmt: skip
    figure = Figure(
        "note_schedule",
        amortising,
        "dollars a month",
        steps,
        facts,
        _cautions(terms, payment, amortising, rows, clears),
        table,
    )
    return NoteSchedule(
        terms, payment, amortising, tuple(rows), last.amount, last.due_on, interest, total, clears, figure
    )


def _rows(terms: NoteTerms, payment: Decimal) -> list[Instalment]:
    rows: list[Instalment] = []
    opening = terms.principal
    for number in range(1, terms.months + 1):
        interest = rounded(opening * terms.rate / 1200)
        clearing = opening + interest
        if number < terms.months and payment + CENT < interest:
            raise NoteError(
                f"payment {number} of {dollars(payment)} does not cover the month's interest of {dollars(interest)}, so the "
                "balance would grow; raise the payment or lower the rate"
            )
        amount = clearing if number == terms.months or payment >= clearing else payment
        due_on = add_months(terms.first_payment_on, number - 1) if terms.first_payment_on else None
        rows.append(Instalment(number, due_on, opening, interest, amount - interest, amount, clearing - amount))
        opening = clearing - amount
        if opening == 0:
            break
    return rows


def _drift(terms: NoteTerms) -> Decimal:
    """The most by which rounding the payment and each month's interest to the cent can move the last payment."""
    with localcontext(_EXACT):
        if terms.rate == 0:
            return CENT * terms.months
        monthly = terms.rate / 1200
        return CENT * (((1 + monthly) ** terms.months - 1) / monthly) + CENT


def _payment_formula(terms: NoteTerms) -> str:
    left = f" - {dollars(terms.balloon)} / (1 + i)^{terms.months}" if terms.balloon else ""
    if terms.rate == 0:
        return f"({dollars(terms.principal)}{f' - {dollars(terms.balloon)}' if terms.balloon else ''}) / {terms.months}"
    return f"({dollars(terms.principal)}{left}) x i / (1 - (1 + i)^-{terms.months}), i = {terms.rate} / 1200"


def _cautions(
    terms: NoteTerms, payment: Decimal, amortising: Decimal, rows: list[Instalment], clears: bool
) -> tuple[str, ...]:
    found = []
    if len(rows) < terms.months:
        found.append(f"Payments of {dollars(payment)} pay off the note with payment {len(rows)}, not {terms.months}.")
    elif not clears:
        found.append(
            f"Payments of {dollars(payment)} leave {dollars(rows[-1].amount)} for the last one; {dollars(amortising)} a month "
            "would pay off the note."
        )
    return tuple(found)


def _check(principal: Decimal, rate: Decimal, months: int, balloon: Decimal) -> None:
    if principal <= 0:
        raise NoteError(f"the principal of a note is above zero, not {dollars(principal)}")
    if rate < 0:
        raise NoteError(f"interest cannot be below zero, as {rate} percent is")
    if not 1 <= months <= LONGEST:
        raise NoteError(f"a note has 1 to {LONGEST} monthly payments, not {months}")
    if balloon < 0 or balloon > principal:
        raise NoteError(f"a balloon of {dollars(balloon)} does not fit a principal of {dollars(principal)}")


# Interest and present value


def instalment_interest(instalments: Sequence[tuple[date, Decimal]], rate: Decimal, until: date) -> Decimal:
    """Simple interest on unpaid instalments, each from its own due date to `until`, rounded once.

    Source: Code Civ. Proc. § 685.020(b). Instalments due later bear none.
    """
    with localcontext(_EXACT):
        owed = sum((amount * max(0, (until - due).days) for due, amount in instalments), Decimal(0))
        return rounded(owed * rate / (100 * ACTUAL_DAYS))


def periods_between(start: date, end: date) -> Decimal:
    """Months from one day to a later one: whole months, and the days left over as a part of the month they fall in."""
    whole = whole_months(start, end)
    reached, following = add_months(start, whole), add_months(start, whole + 1)
    with localcontext(_EXACT):
        return whole + Decimal((end - reached).days) / (following - reached).days


def present_value(payments: Sequence[tuple[date, Decimal]], rate: Decimal, valued_on: date) -> Decimal:
    """What dated payments are worth on a day, at a yearly rate compounded monthly; rounded once.

    A payment due on that day or before it counts at its face.

    Raises:
        NoteError: the rate is below zero.
    """
    if rate < 0:
        raise NoteError(f"a discount rate cannot be below zero, as {rate} percent is")
    with localcontext(_EXACT):
        growth = 1 + rate / 1200
        return rounded(
            sum((amount / growth ** periods_between(valued_on, due) for due, amount in payments), Decimal(0))
        )


def present_value_of_level(
    payment: Decimal, rate: Decimal, months: int, at_end: Decimal = NOTHING, due_at_start: bool = False
) -> Decimal:
    """What equal monthly payments, and a sum with the last of them, are worth today; compounded monthly, rounded once.

    Payments stand at the end of each month, or at its start.
    """
    if rate < 0 or months < 0:
        raise NoteError("neither the rate nor the number of months can be below zero")
    with localcontext(_EXACT):
        monthly = rate / 1200
        shift = 0 if due_at_start else 1
        worth = sum((payment / (1 + monthly) ** (n + shift) for n in range(months)), Decimal(0))
        return rounded(worth + at_end / (1 + monthly) ** months)


# From the facts of a case


def equalizing_note(facts: Facts, day: date) -> NoteSchedule | Figure | None:
    """The schedule of the note that pays the equalization; None if there is no note.

    A note whose terms are not complete, or contradict each other, gives a figure without value whose cautions say why.
    `day` is the day of signing: it decides which limit of interest applies.
    """
    note = facts.equalization.note
    if note is None:
        return None
    paths = tuple(
        f"{NOTE}.{name}"
        for name in ("principal", "rate", "months", "first_payment_on", "payment", "balloon")
        if getattr(note, name) is not None
    )
    if note.principal is None or note.rate is None or note.months is None:
        missing = ", ".join(name for name in ("principal", "rate", "months") if getattr(note, name) is None)
        paths = paths or (NOTE,)
        return Figure(
            "note_schedule", None, "dollars a month", (), paths, (f"The note cannot be worked out without {missing}.",)
        )
    terms = NoteTerms(
        note.principal, note.rate, note.months, note.first_payment_on, note.payment, note.balloon or NOTHING
    )
    try:
        schedule = note_schedule(terms, paths)
    except NoteError as error:
        return Figure("note_schedule", None, "dollars a month", (), paths, (f"{error}.",))
    extra = (*_rate_caution(note.rate, day), *_early_interest(schedule, day))
    figure = schedule.figure
    return replace(schedule, figure=replace(figure, cautions=(*figure.cautions, *extra)))


def rate_limit(day: date) -> Version | None:
    """The highest interest that may be agreed on a loan for personal use, on a day (Cal. Const. art. XV, § 1); None if not known."""
    try:
        return law("property/note_rate_limit", day)
    except LawNotKnownError:
        return None


def _rate_caution(rate: Decimal, day: date) -> tuple[str, ...]:
    limit = rate_limit(day)
    if limit is None:
        return ("No limit of interest is known for the day of signing; the rate was not compared with one.",)
    if rate <= limit.number:
        return ()
    return (
        f"{rate} percent is above the {limit.number} percent that may be agreed on a loan for personal use ({limit.source}).",
    )


def _early_interest(schedule: NoteSchedule, day: date) -> tuple[str, ...]:
    """Interest that would run before the agreement is signed, because the first payment is less than a month away."""
    starts = schedule.interest_from
    if starts is None or starts >= day or schedule.terms.rate == 0:
        return ()
    return (
        f"Interest runs from {written(starts)}, a month before the first payment, which is {counted((day - starts).days, 'day')} "
        "before the agreement is signed.",
    )
