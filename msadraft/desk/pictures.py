"""Pages to look at: property as a balance of two sides, the parenting year as a calendar, support with its working."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from html import unescape
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import BaseRoute, Route

from msadraft.desk.balance import AWARDS, PARTIES, balance, shown, with_it
from msadraft.desk.guard import PAPER_POLICY
from msadraft.desk.pages import link
from msadraft.draft import Draft
from msadraft.facts.paths import field_at
from msadraft.facts.scalars import PartyRole
from msadraft.figures.figure import Figure
from msadraft.figures.parenting.clock import CalendarError
from msadraft.figures.support_amounts import ESTIMATE
from msadraft.review.base import Finding
from msadraft.writers.calendar.files import FAULT_WORDS, FIRST_YEAR, LAST_YEAR, CalendarFiles, calendar_files
from msadraft.writers.figures import title_of, value_of

if TYPE_CHECKING:
    from msadraft.desk.pages import Desk

_PICTURE = re.compile(r"parenting-time-(\d{4})(?:-(\d+))?\.svg")
_TYPES = {"svg": "image/svg+xml", "html": "text/html; charset=utf-8"}
_MEASURES = {"hours": "Hours", "overnights": "Overnights (3:00 a.m.)", "days": "Days of 24 hours"}


def routes(desk: Desk) -> list[BaseRoute]:
    """Their addresses."""
    desk.templates.filters.update(shown=shown, cell=_cell)
    pictures = Pictures(desk)
    return [
        Route("/balance", desk.answering(pictures.balance), methods=["GET"]),
        Route("/balance/move", desk.answering(pictures.move), methods=["POST"]),
        Route("/calendar", desk.answering(pictures.calendar), methods=["GET"]),
        Route("/calendar/{name}", desk.answering(pictures.calendar_file), methods=["GET"]),
        Route("/support", desk.answering(pictures.support), methods=["GET"]),
    ]


@dataclass(frozen=True)
class Picture:
    """The picture of one year: its address, the year, and what it says without looking."""

    address: str
    year: int
    says: str


@dataclass(frozen=True)
class Shown:
    """A figure as the page shows it, with the facts that it rests on: address, words and present text of each."""

    figure: Figure
    title: str
    value: str
    facts: tuple[tuple[str, str, str], ...]
    columns: tuple[str, ...]


class Pictures:
    """The three pages over one case."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.case = desk.case
        self._made: tuple[Draft, int | None, CalendarFiles] | None = None

    # Property --------------------------------------------------------------------------------------------------

    def balance(self, request: Request, sent: dict[str, str]) -> Response:
        """Both sides, what makes them equal, and what stands outside."""
        return self.desk.page("balance.html", request, **self._board(), swap=False, said="")

    def move(self, request: Request, sent: dict[str, str]) -> Response:
        """Give an asset or a debt to a party; what is owed on an asset goes along if the same party pays it now."""
        path, to = sent.get("path", ""), sent.get("to", "")
        group, _, key = path.partition(".")
        if group not in AWARDS or to not in PARTIES or not isinstance((self.case.value(group) or {}).get(key), dict):
            return self.desk.told(request, "This asset or debt is not in the facts any more; load the page again.", 404)
        drafted = self.case.drafted
        along = with_it(drafted.case.facts, drafted.figures.ledger, key) if drafted and group == "assets" else ()
        saved, step = "yes", f"to the other side {self.case.version}"
        said = f"{self._label(path)} is now with the {to}."
        for one in (path, *along):
            kept = self.case.put(f"{one}.{AWARDS[one.partition('.')[0]]}", to, step=step)
            if kept is not None:
                saved, said = "kept", f"Not moved. {kept.what} {kept.mend}"
                break
        else:
            if along:
                said += f" What is owed on it went along: {', '.join(self._label(one) for one in along)}."
        board = self._board()
        if board["drafted"] is not None and not board["stale"] and saved == "yes":
            said += f" {board['payment']}"
        template = self.desk.templates.get_template("balance.html")
        context = template.new_context({**board, **self.desk.standing(), "swap": True, "said": said})
        return HTMLResponse("".join(template.blocks["board"](context)), headers={"X-Saved": saved})

    def _label(self, path: str) -> str:
        found = self.case.value(path) or {}
        label = str(found.get("label") or found.get("creditor") or path.partition(".")[2])
        return label[:1].upper() + label[1:]

    def _board(self) -> dict[str, Any]:
        drafted = self.case.drafted
        given: dict[str, Any] = {"drafted": drafted, "stale": self._stale(), "link": link, "parties": PARTIES}
        if drafted is None:
            return given
        facts, found = drafted.case.facts, drafted.figures.ledger
        return {
            **given,
            "any": bool(found.lines or found.confirmed or found.disputed),
            "ledger": found,
            "names": self._names(drafted),
            "board": balance(facts, found, drafted.findings),
            "working": self._shown((found.figure,), with_facts=False)[0],
            "payment": _payment_words(found.equalization, found.equalization_payer, found.negative),
        }

    # Parenting time --------------------------------------------------------------------------------------------

    def calendar(self, request: Request, sent: dict[str, str]) -> Response:
        """The years as pictures, how the time falls and where that comes from, and the schedule as a table."""
        drafted = self.case.drafted
        year = _year(request.query_params.get("year", ""))
        given: dict[str, Any] = {
            "drafted": drafted,
            "stale": self._stale(),
            "link": link,
            "trouble": "",
            "children": False,
        }
        if drafted is not None and drafted.figures.minor_children.keys:
            given["children"] = True
            try:
                made = self._files(drafted, year)
                given.update(self._year_parts(drafted, made, year))
            except CalendarError as error:
                given["trouble"] = str(error)
        return self.desk.page("calendar.html", request, **given)

    def _year_parts(self, drafted: Draft, made: CalendarFiles, year: int | None) -> dict[str, Any]:
        time = drafted.figures.parenting_time
        query = f"?year={year}" if year else ""
        pictures = [
            Picture(f"/calendar/{name}{query}", int(match[1]), self._says(name, made))
            for name in made.files
            if (match := _PICTURE.fullmatch(name))
        ]
        tables = [figure for figure in time.figures if figure.table]
        first = year or time.first_year
        return {
            "names": self._names(drafted),
            "time": time,
            "measures": self._shown(tables),
            "shares": self._shown([figure for figure in time.figures if not figure.table]),
            "measure_words": _MEASURES,
            "made": made,
            "pictures_list": pictures,
            "schedules": [f"/calendar/{name}{query}" for name in made.files if name.endswith(".html")],
            "faults": [(FAULT_WORDS[fault.kind], fault.what, fault.path) for fault in made.faults],
            "earlier": first - 1 if first > FIRST_YEAR else None,
            "later": (year or first + 1) + 1 if (year or first + 1) < LAST_YEAR else None,
            "chosen": year,
        }

    def _says(self, name: str, made: CalendarFiles) -> str:
        """What a picture says of itself: its title and its sum of nights."""
        text = made.files[name].decode()
        return ". ".join(unescape(said) for said in re.findall(r'<(?:title id="title"|desc id="desc")>([^<]*)<', text))

    def calendar_file(self, request: Request, sent: dict[str, str]) -> Response:
        """A picture or the schedule, as the command for the calendar writes it, with a policy of its own."""
        drafted, name = self.case.drafted, str(request.path_params["name"])
        if drafted is None:
            return Response(status_code=404)
        try:
            made = self._files(drafted, _year(request.query_params.get("year", "")))
        except CalendarError as error:
            return Response(str(error), status_code=404, media_type="text/plain")
        kind = _TYPES.get(name.rpartition(".")[2])
        if name not in made.files or kind is None:
            return Response(status_code=404)
        return Response(made.files[name], headers={"content-type": kind, "content-security-policy": PAPER_POLICY})

    def _files(self, drafted: Draft, year: int | None) -> CalendarFiles:
        """The calendar files of a draft, kept until the next draft or another year."""
        if self._made is None or self._made[0] is not drafted or self._made[1] != year:
            made = calendar_files(drafted.case.facts, drafted.figures, (year,) if year else ())
            self._made = (drafted, year, made)
        return self._made[2]

    # Support ---------------------------------------------------------------------------------------------------

    def support(self, request: Request, sent: dict[str, str]) -> Response:
        """Child and spousal support, each figure with its steps and its facts."""
        drafted = self.case.drafted
        given: dict[str, Any] = {
            "drafted": drafted, "stale": self._stale(), "link": link, "caution": ESTIMATE, "parties": PARTIES,
        }  # fmt: skip
        if drafted is not None:
            given.update(self._support_parts(drafted))
        return self.desk.page("support.html", request, **given)

    def _support_parts(self, drafted: Draft) -> dict[str, Any]:
        facts, figures = drafted.case.facts, drafted.figures
        with_children = bool(figures.supported_children.keys)
        child = figures.child_support if with_children else None
        spousal = {
            party: self._shown(
                figures.support_of_petitioner.all if party == "petitioner" else figures.support_of_respondent.all
            )
            for party in PARTIES
        }
        agreed = {"petitioner": facts.spousal_support.to_petitioner, "respondent": facts.spousal_support.to_respondent}
        bars: list[tuple[str, Decimal, str]] = []
        if child is not None:
            amounts = (
                ("Petitioner's net income", child.petitioner_net, "petitioner"),
                ("Respondent's net income", child.respondent_net, "respondent"),
                ("Guideline child support", child.guideline.amount if child.guideline else None, "guideline"),
                ("Agreed child support", facts.child_support.amount, "agreed"),
            )
            bars = [(what, amount, kind) for what, amount, kind in amounts if amount is not None and amount >= 0]
        most = max((amount for _, amount, _ in bars), default=Decimal(0)) or Decimal(1)
        return {
            "names": self._names(drafted),
            "child": child,
            "agreed": facts.child_support,
            "child_figures": self._shown(child.figures) if child else (),
            "spousal": spousal,
            "spousal_agreed": agreed,
            "bars": [(what, amount, kind, round(amount * 560 / most)) for what, amount, kind in bars],
            "child_findings": _about(drafted.findings, "child_support"),
            "spousal_findings": _about(drafted.findings, "spousal_support"),
        }

    # Both ------------------------------------------------------------------------------------------------------

    def _stale(self) -> bool:
        """Whether the facts cannot be drafted now, so that the last draft is what can be shown."""
        return bool(self.case.problems or self.case.trouble)

    def _names(self, drafted: Draft) -> dict[PartyRole, str]:
        facts = drafted.case.facts
        return {"petitioner": facts.petitioner.name.first, "respondent": facts.respondent.name.first}

    def _shown(self, figures: Any, with_facts: bool = True) -> tuple[Shown, ...]:
        return tuple(
            Shown(
                figure,
                title_of(figure),
                value_of(figure),
                tuple((link(path), _fact_words(path), self.case.shown(path)) for path in figure.facts)
                if with_facts
                else (),
                tuple(key for key in figure.table[0] if any(row[key] is not None for row in figure.table))
                if figure.table
                else (),
            )
            for figure in figures
        )


def _payment_words(amount: Decimal, payer: PartyRole | None, negative: bool) -> str:
    if negative:
        return "Debts exceed assets, so no equal division follows from a formula (Fam. Code § 2622(b))."
    if payer is None:
        return "Both sides are equal; no payment is needed."
    return f"Equalizing payment: {shown(amount)} from the {payer}."


def _about(findings: tuple[Finding, ...], topic: str) -> list[Finding]:
    return [finding for finding in findings if finding.path.split(".")[0] == topic]


def _fact_words(path: str) -> str:
    """A path in words, without its topic: Inputs of the guideline run › Petitioner's net income."""
    parts = path.split(".")
    steps = [".".join(parts[: n + 1]) for n in range(len(parts))]
    said = [
        str(int(part) + 1) if part.isdecimal() else field_at(at).title for part, at in zip(parts, steps, strict=True)
    ]
    return " › ".join(said[-2:] if len(said) > 2 and not parts[-2].isdecimal() else said[-3:])


def _cell(value: object) -> str:
    """A value of a figure's table."""
    if value is None:
        return ""
    if isinstance(value, Decimal):
        return f"{value:,f}"
    if isinstance(value, (list, tuple)):
        return ", ".join(_cell(part) for part in value)
    return str(value)


def _year(typed: str) -> int | None:
    """The year that an address asks for; None for the years of the figures."""
    return int(typed) if re.fullmatch(r"[0-9]{4}", typed) else None
