"""One rule applied to one case: conditions decided, texts filled in, and the facts that were read."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from jinja2 import TemplateError

from msadraft.agreement.numbering import Numbering
from msadraft.attachments.holidays import holidays_on
from msadraft.attachments.mail import mail
from msadraft.facts.paths import UnknownPathError, privacy_of
from msadraft.facts.view import Seen, View, path_of, plain
from msadraft.figures.dates import span
from msadraft.library import wording
from msadraft.library.environment import Pieces, SignHere, WordingError, holds, template
from msadraft.tree import Blank, Reference, Text

BLANK = "____"
CENT = Decimal("0.01")
_SPACES = re.compile(r"[ \t\u00a0]+")
_RECORDS = re.compile(r"^(children|assets|debts|reimbursements)\.[a-z][a-z0-9_-]*$")


@dataclass(frozen=True, slots=True)
class Written:
    """A text filled in. `missing` are the facts that are not known and stand as a blank line in it."""

    text: str
    missing: tuple[str, ...] = ()


@dataclass(slots=True)
class Reads:
    """The facts and figures read while one line was decided."""

    paths: list[str] = field(default_factory=list)

    @property
    def shown(self) -> tuple[str, ...]:
        """The paths that may be named on paper, in the order of reading: no whole records, nothing that bears on safety."""
        return tuple(dict.fromkeys(p for p in self.paths if p and not _RECORDS.match(p) and not _hidden(p)))


def _hidden(path: str) -> bool:
    if path.startswith("figures."):
        return path in ("figures.violence", "figures.abduction_risk")
    try:
        return privacy_of(path) == "D"
    except UnknownPathError:
        return True


@contextmanager
def reading(seen: Seen) -> Iterator[Reads]:
    """Keep what is read meanwhile."""
    kept, seen.values = seen.values, {}
    reads = Reads()
    try:
        yield reads
    finally:
        reads.paths = [*seen.values, *reads.paths]
        seen.values = kept


def decide(condition: str, names: dict[str, Any], where: str) -> bool:
    """Whether a condition of a rule holds.

    Raises:
        WordingError: it cannot be decided; the message says in which rule.
    """
    try:
        return holds(condition, names)
    except WordingError as error:
        raise WordingError(f"{where}: {error}") from error


def write(source: str, names: dict[str, Any], numbering: Numbering, reads: Reads, where: str) -> Written:
    """Fill in a text of a rule. Lines are kept, empty ones left out, spaces drawn together.

    Raises:
        WordingError: the text asks for something that does not work; the message says in which rule.
    """
    pieces = Pieces()
    try:
        raw = template(source).render({**names, "_pieces": pieces})
    except (TemplateError, AttributeError, KeyError, TypeError, WordingError) as error:
        raise WordingError(f"{where}: the text cannot be filled in: {error}") from error
    said: list[str] = []
    missing: list[str] = []
    for part in pieces.of(raw):
        match part:
            case str():
                said.append(part)
            case Text():
                said.append(part.text.replace("\n", " ") if part.source else part.text)
                reads.paths.append(part.source)
            case Blank():
                said.append(BLANK)
                missing.append(part.source)
                reads.paths.append(part.source)
            case Reference():
                said.append(numbering[part.target].full)
            case SignHere():
                raise WordingError(f"{where}: a place to sign has no place on a worksheet")
    lines = (_SPACES.sub(" ", line).strip() for line in "".join(said).split("\n"))
    return Written("\n".join(line for line in lines if line), tuple(dict.fromkeys(missing)))


def helpers(names: dict[str, Any]) -> dict[str, Any]:
    """The names that rules can use beside those of the clauses.

    Roles are words ("Petitioner"), sums are Decimal dollars; a sum with an unknown part is unknown.
    """
    parties: Sequence[View] = names["parties"]
    support_to: Callable[[Any], View] = names["support_to"]

    def with_outcome(*outcomes: str) -> list[View]:
        """The parties whose spousal support has one of these outcomes."""
        return [p for p in parties if support_to(p).outcome in outcomes]

    def roles(found: Sequence[Any]) -> str:
        """Parties or roles as words: "Petitioner and respondent"."""
        words = [str(plain(one)) if isinstance(plain(one), str) else path_of(one) for one in found]
        return wording.join_and(words).capitalize()

    def left_open(issue: str) -> bool:
        """Whether the facts leave an issue for later on purpose."""
        return any(reserved.issue == issue for reserved in names["case"].reserved_issues)

    def total(*amounts: Any) -> Decimal | None:
        """The sum of some amounts, each noted as read."""
        bare = [one._read() if isinstance(one, View) else one for one in amounts]
        return None if any(one is None for one in bare) else sum(bare, Decimal(0))

    def each_pay(monthly: Any, periods: int) -> Decimal | None:
        """A monthly sum for each of `periods` pay days of a year, to the nearest cent (half up)."""
        bare = plain(monthly)
        return None if bare is None else (bare * 12 / periods).quantize(CENT, ROUND_HALF_UP)

    def length(start: Any, end: Any) -> str:
        """Whole years and months between two days, as the forms ask for them."""
        gap = span(plain(start), plain(end))
        return f"{wording.count(gap.years, 'year')} and {wording.count(gap.months_over, 'month')}"

    def later(*days: Any) -> Any:
        """The latest of some days; None if one is not known."""
        bare = [plain(day) for day in days]
        return None if None in bare else max(bare)

    def mail_to(party: View, attorney: bool = True) -> str:
        """Where post for a party goes, on several lines; "" if no address that may be shown is known."""
        return "\n".join(mail(names, party, attorney).lines)

    def payor_of_children() -> str:
        """Who pays the child support that a withholding order carries: "petitioner", "respondent", or ""."""
        support = names["child_support"]
        ordered = support.amount and support.mode in ("guideline", "above", "below")
        return str(plain(support.payer)) if names["figures"].supported_children and ordered and support.payer else ""

    def month_of(payee: View) -> Any:
        """Spousal support for a party by the month: the amount, or that of the first step; an unknown fact is a blank."""
        terms = support_to(payee)
        return terms.amount if terms.amount or not terms.steps else next(iter(terms.steps)).amount

    def withheld_for(payee: View) -> bool:
        """Whether spousal support for a party is withheld from earnings. Unless the agreement pays it otherwise it is."""
        terms = support_to(payee)
        known = terms.outcome == "payable" and month_of(payee)
        return bool(known) and (not terms.method or terms.method == "withholding")

    def visiting() -> View:
        """The parent whose time a custody form describes: the weekend parent, else the one without the school home."""
        parenting = names["parenting"]
        if parenting.weekend_parent:
            return names["party_of"](parenting.weekend_parent)  # type: ignore[no-any-return]
        if parenting.primary_home:
            return names["other"](parenting.primary_home)  # type: ignore[no-any-return]
        return names["party_of"](parenting.weekend_parent)  # type: ignore[no-any-return]

    def group_home(child: View) -> View:
        """The main home of a child whose group has a schedule of its own."""
        for group in names["parenting"].groups:
            if child.key in group.children:
                return group.primary_home  # type: ignore[no-any-return]
        return names["parenting"].primary_home  # type: ignore[no-any-return]

    return {
        "with_outcome": with_outcome, "roles": roles, "left_open": left_open, "total": total, "each_pay": each_pay,
        "length": length, "later": later, "mail_to": mail_to, "visiting": visiting, "group_home": group_home,
        "holidays_on": lambda line: holidays_on(names["parenting"].holidays, line), "payor_of_children": payor_of_children,
        "month_of": month_of, "withheld_for": withheld_for,
        "packaging": "forms_only" if names["case"].path == "default" else names["case"].packaging,
        "declarant": names["respondent"] if names["case"].drafted_by == "respondent_counsel" and names["case"].path != "default" else names["petitioner"],
    }  # fmt: skip
