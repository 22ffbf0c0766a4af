"""The pages of the desk and the changes they send: each request is one call of the program's own functions."""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, unquote, urlencode, urlsplit

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles

from msadraft.desk import asks, paper
from msadraft.desk.guard import App, Guard
from msadraft.desk.open_case import ConflictError, Kept, OpenCase
from msadraft.desk.uploads import fields
from msadraft.facts.edit import EditError
from msadraft.facts.paths import UnknownPathError, field_at, words
from msadraft.facts.problems import FactsError
from msadraft.rounds.errors import RoundError
from msadraft.why import explain
from msadraft.writers.html import Unit

MOST_VIEWS = 24
STATIC = Path(__file__).parent / "static"


def desk_app(case: OpenCase, token: str, port: int) -> App:
    """The application: pages behind their guard."""
    desk = Desk(case)
    app = Starlette(routes=desk.routes(), exception_handlers={Exception: _failed})
    return Guard(app, token, port)


async def _failed(request: Request, error: Exception) -> Response:
    return PlainTextResponse("Something went wrong. Nothing that was typed is lost; load the page again.", 500)


Handler = Callable[[Request, dict[str, str]], Response]


@dataclass(frozen=True)
class View:
    """What one window shows: the pieces of the paper, and the notes beside its fields."""

    units: tuple[Unit, ...]
    notes: dict[str, tuple[Any, ...]]


class Desk:
    """One case and the pages over it."""

    def __init__(self, case: OpenCase) -> None:
        self.case = case
        self.views: OrderedDict[str, View] = OrderedDict()
        self.said: tuple[int, str, str] | None = None
        self.templates = Environment(
            loader=PackageLoader("msadraft.desk"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
            lstrip_blocks=True,
        )  # fmt: skip
        self.templates.globals.update(
            anchor=asks.anchor,
            words=words,
            link=link,
            kind_of=lambda part: type(part).__name__,
            way_to=lambda path: asks.way_to(self.case, path),
            clause_says=self.clause_says,
        )

    def routes(self) -> list[BaseRoute]:
        """Every address of the desk."""
        from msadraft.desk import adding_rows, history, pictures

        get = {
            "/": self.start,
            "/facts/{path}": self.facts,
            "/fact": self.fact,
            "/findings": self.findings,
            "/agreement": self.agreement,
            "/why": self.why,
            "/moved": self.moved,
        }
        post = {
            "/put": self.put,
            "/add": self.add,
            "/copy": self.copy,
            "/remove": self.remove,
            "/move": self.move,
            "/rename": self.rename,
            "/undo": self.undo,
            "/redo": self.redo,
        }
        return [
            *(Route(path, self.answering(work), methods=["GET"]) for path, work in get.items()),
            *(Route(path, self.answering(work), methods=["POST"]) for path, work in post.items()),
            *adding_rows.routes(self),
            *pictures.routes(self),
            *history.routes(self),
            Mount("/static", StaticFiles(directory=STATIC)),
        ]

    def answering(self, work: Handler) -> Callable[[Request], Awaitable[Response]]:
        """Let a handler answer requests: one at a time, in a thread, its errors told to the person."""

        async def answer(request: Request) -> Response:
            sent = fields(await request.form()) if request.method == "POST" else {}
            return await self.answered(work, request, sent)

        return answer

    async def answered(self, work: Handler, request: Request, sent: dict[str, str]) -> Response:
        """Answer one request whose fields are read already."""
        return await run_in_threadpool(self._tried, work, request, sent)

    def _tried(self, work: Handler, request: Request, sent: dict[str, str]) -> Response:
        with self.case.lock:
            try:
                self.case.refresh()
                return work(request, sent)
            except (EditError, RoundError, FactsError) as error:
                return self.told(request, str(error))
            except UnknownPathError:
                return self.told(request, "There is no such fact any more; load the page again.", 404)

    # Pages -----------------------------------------------------------------------------------------------------

    def page(self, name: str, request: Request, **given: Any) -> HTMLResponse:
        """A whole page."""
        seen = given.pop("seen", None) or asks.sight(self.case)
        return HTMLResponse(
            self.templates.get_template(name).render(
                **given,
                **self.standing(),
                topics=asks.topics(self.case, seen),
                here=request.url.path,
                just_said=self._just_said(request),
            )
        )

    def standing(self) -> dict[str, Any]:
        """What the top of every page shows."""
        drafted = self.case.drafted
        needed = asks.needed(self.case)
        counts = (
            {s: sum(f.severity == s for f in drafted.findings) for s in ("stop", "warn", "note")} if drafted else {}
        )
        return {
            "case": self.case,
            "title": self.title(),
            "counts": counts,
            "missing": 0 if drafted and not self.case.problems else max(len(needed), len(self.case.problems)),
            "needed": needed,
            "kept_count": len(self.case.unfinished),
            "can_undo": bool(self.case.undo_steps),
            "can_redo": bool(self.case.redo_steps),
        }

    def title(self) -> str:
        """The case by its names, or by its folder."""
        names = [self.case.shown(f"{side}.name.last") for side in ("petitioner", "respondent")]
        return " and ".join(name for name in names if name) or self.case.file.parent.resolve().name

    def clause_says(self, node_id: str) -> str:
        """What the clause of a paragraph is for, in the words of the library; its id if the library has it no more."""
        clauses = self.case.library.clauses if self.case.library is not None else {}
        found = clauses.get(node_id.partition(":")[0])
        said = found.purpose if found is not None else node_id
        record = node_id.partition(":")[2]
        return f"{said} ({record.replace('_', ' ')})" if record and found is not None else said

    def told(self, request: Request, text: str, status: int = 200) -> Response:
        """Say something at the top of the page without changing it."""
        if "hx-request" in request.headers:
            html = self.templates.get_template("told.html").render(told=text)
            return HTMLResponse(html, headers={"HX-Reswap": "none"})
        response = self.page("message.html", request, told=text)
        response.status_code = status
        return response

    def start(self, request: Request, sent: dict[str, str]) -> Response:
        """The first page of the facts."""
        return RedirectResponse("/facts/case", 303)

    def facts(self, request: Request, sent: dict[str, str]) -> Response:
        """Questions of one place of the facts, beside the paper."""
        path = request.path_params["path"]
        seen = asks.sight(self.case)
        part = asks.page(self.case, path, seen)
        return self.page(
            "facts.html", request, seen=seen, part=part, path=path, trail=self._trail(path), **self._new_view(part)
        )

    def _trail(self, path: str) -> list[tuple[str, str]]:
        """The way from the topic down to a place, each step with what it is called."""
        parts = path.split(".")
        steps = [".".join(parts[: n + 1]) for n in range(len(parts))]
        return [(at, asks.called(self.case, at)) for at in steps]

    def fact(self, request: Request, sent: dict[str, str]) -> Response:
        """The field of one fact, wherever its page is."""
        path = request.query_params.get("path", "")
        field_at(path)
        return RedirectResponse(link(path), 303)

    def agreement(self, request: Request, sent: dict[str, str]) -> Response:
        """The paper alone, wide."""
        return self.page("agreement.html", request, **self._new_view(None))

    def findings(self, request: Request, sent: dict[str, str]) -> Response:
        """Everything that stops signing, then the rest; each leads to its field."""
        drafted = self.case.drafted
        found = drafted.findings if drafted and not self.case.problems else ()
        return self.page("findings.html", request, findings=found, problems=self.case.problems, link=link)

    def why(self, request: Request, sent: dict[str, str]) -> Response:
        """Why a paragraph is there: rule, facts, law, form items."""
        wanted, at = request.query_params.get("node", ""), request.query_params.get("at", "")
        answer = None
        if self.case.drafted:
            ids = {number.bookmark: number.id for number in self.case.drafted.numbering.by_id.values()}
            answer = explain(self.case.drafted, ids.get(at, wanted))
            answer = answer or explain(self.case.drafted, wanted)
        html = self.templates.get_template("why.html").render(answer=answer, wanted=wanted, link=link)
        return HTMLResponse(html)

    def moved(self, request: Request, sent: dict[str, str]) -> Response:
        """What the last change moved."""
        before, after = self.case.before, self.case.drafted
        changes = paper.moved(before, after) if before and after and before is not after else None
        return HTMLResponse(self.templates.get_template("moved.html").render(changes=changes, link=link))

    # Changes ---------------------------------------------------------------------------------------------------

    def put(self, request: Request, sent: dict[str, str]) -> Response:
        """Write one fact."""
        path = sent.get("path", "")
        typed = sent.get("value", "").replace("\r\n", "\n")
        try:
            kept = self.case.put(path, typed, sent.get("was"), sent.get("turn", ""))
        except ConflictError as conflict:
            html = self.templates.get_template("conflict.html").render(
                path=path, label=asks.called(self.case, path), mine=typed, theirs=conflict.now
            )
            return HTMLResponse(html, headers={"X-Saved": "conflict"})
        return self.after(sent.get("page", ""), kept, sent.get("view", ""))

    def after(self, page: str, kept: Kept | None = None, view: str = "") -> Response:
        """The pieces of the page that a change touches."""
        seen = asks.sight(self.case)
        part: Any = None
        if page:
            try:
                part = asks.page(self.case, page, seen)
            except UnknownPathError:
                part = None
        units = paper.units(self.case.drafted)
        shown = self.views.get(view)
        swaps = paper.swaps(shown.units if shown else (), units)
        notes = _notes(part)
        fresh = [q for q in _questions(part) if shown is None or shown.notes.get(q.path) != notes[q.path]]
        if view:
            self._keep_view(view, View(units, notes))
        html = self.templates.get_template("after.html").render(
            **self.standing(),
            topics=asks.topics(self.case, seen),
            here=f"/facts/{page.split('.')[0]}",
            questions=fresh,
            mattering=" ".join(_mattering(part)) if isinstance(part, asks.Group) else "",
            whole=swaps.whole,
            changed=self._safe(swaps.units),
            units=self._safe(units) if swaps.whole else (),
            units_shown=bool(units),
        )
        return HTMLResponse(html, headers={"X-Saved": "kept" if kept else "yes"})

    def again(self, request: Request, sent: dict[str, str]) -> Response:
        """Load the page that sent a change again."""
        return self.go(f"/facts/{sent.get('page') or 'case'}")

    def go(self, address: str) -> Response:
        """Send the browser to an address; the number makes it load the page even if only the place in it is new."""
        at, _, place = address.partition("#")
        sign = "&" if "?" in at else "?"
        to = f"{at}{sign}now={self.case.version}{'#' if place else ''}{place}"
        return Response(status_code=204, headers={"HX-Redirect": to})

    def add(self, request: Request, sent: dict[str, str]) -> Response:
        """Add an entry, and go to it."""
        path, key = sent.get("path", ""), sent.get("key", "").strip()
        if field_at(path).shape.form == "map":
            key = key or self._free_key(path)
            self.case.add(path, key)
            return self.go(f"/facts/{path}.{key}")
        count = len(self.case.value(path) or ())
        name, value = sent.get("first", ""), sent.get("value", "").strip()
        if not value:
            return self.told(request, f"Say first what it is: {field_at(f'{path}.*.{name}').title}.")
        self.case.add(path, "", {name: value})
        return self.go(f"/facts/{path}.{count}")

    def _free_key(self, path: str) -> str:
        taken = self.case.value(path) or {}
        name = path.rpartition(".")[2].rstrip("s")
        n = 1
        while f"{name}_{n}" in taken:
            n += 1
        return f"{name}_{n}"

    def copy(self, request: Request, sent: dict[str, str]) -> Response:
        """Copy an entry."""
        path = sent.get("path", "")
        group = path.rpartition(".")[0]
        is_map = field_at(group).shape.form == "map"
        self.case.copy(path, self._free_key(group) if is_map else "")
        return self.again(request, sent)

    def remove(self, request: Request, sent: dict[str, str]) -> Response:
        """Remove an entry or a group; undo brings it back."""
        self.case.take_away(sent.get("path", ""))
        return self.again(request, sent)

    def move(self, request: Request, sent: dict[str, str]) -> Response:
        """Move an entry among its like."""
        self.case.move(sent.get("path", ""), int(sent.get("to", "0")))
        return self.again(request, sent)

    def rename(self, request: Request, sent: dict[str, str]) -> Response:
        """Give an entry another short name."""
        path, key = sent.get("path", ""), sent.get("key", "").strip()
        self.case.rename(path, key)
        group = path.rpartition(".")[0]
        return self.go(f"/facts/{group}.{key}")

    def undo(self, request: Request, sent: dict[str, str]) -> Response:
        """One change back."""
        return self._stepped(request, self.case.undo(), "Undone")

    def redo(self, request: Request, sent: dict[str, str]) -> Response:
        """One change forward again."""
        return self._stepped(request, self.case.redo(), "Done again")

    def _stepped(self, request: Request, path: str | None, what: str) -> Response:
        """Show the page that is looked at anew, with what was undone; a page whose entry is gone gives way to its list."""
        if path is None:
            return Response(status_code=204)
        self.said = (self.case.version, what, path)
        seen = urlsplit(request.headers.get("hx-current-url", ""))
        at = seen.path if seen.path.startswith("/") and not seen.path.startswith("//") else "/"
        if at.startswith("/facts/"):
            at = f"/facts/{self._still_there(unquote(at.removeprefix('/facts/')))}"
        query = urlencode([(name, value) for name, value in parse_qsl(seen.query) if name != "now"])
        return self.go(f"{at}?{query}" if query else at)

    def _still_there(self, path: str) -> str:
        """A path of a page, or the list that held its entry if that is gone."""
        parts = path.split(".")
        for n in range(1, len(parts)):
            group = ".".join(parts[:n])
            try:
                shape = field_at(group).shape
            except UnknownPathError:
                return "case"
            if shape.form in ("map", "list"):
                found = self.case.value(group)
                there = (
                    parts[n] in found
                    if isinstance(found, dict)
                    else parts[n].isdecimal() and int(parts[n]) < len(found or ())
                )
                if not there:
                    return group
        return path

    def _just_said(self, request: Request) -> dict[str, str] | None:
        """What was undone just before this page was loaded, as long as nothing else was changed."""
        if (
            self.said is None
            or request.query_params.get("now") != str(self.said[0])
            or self.said[0] != self.case.version
        ):
            return None
        _, what, path = self.said
        shape = field_at(path).shape
        single = shape.form == "value" or (shape.item is not None and shape.item.form == "value")
        now = self.case.shown(path) if single else ""
        return {
            "what": what,
            "name": asks.way_to(self.case, path),
            "address": link(path),
            "now": f"{now[:60]}…" if len(now) > 60 else now,
        }

    def _new_view(self, part: Any) -> dict[str, Any]:
        """What a new page shows of the paper, remembered under a name of its own: two windows show two states."""
        name = secrets.token_urlsafe(8)
        units = paper.units(self.case.drafted)
        self._keep_view(name, View(units, _notes(part)))
        return {"units": self._safe(units), "view": name}

    def _keep_view(self, name: str, view: View) -> None:
        self.views[name] = view
        self.views.move_to_end(name)
        while len(self.views) > MOST_VIEWS:
            self.views.popitem(last=False)

    def _safe(self, found: tuple[Any, ...]) -> list[dict[str, Any]]:
        """Units for a template: their HTML was made and escaped by the writer."""
        return [{"id": u.id, "bookmark": u.bookmark, "number": u.number, "html": Markup(u.html)} for u in found]  # noqa: S704  (see above)


def _questions(part: Any) -> list[asks.Question]:
    if isinstance(part, asks.Group):
        return list(part.questions())
    return [part] if isinstance(part, asks.Question) else []


def _notes(part: Any) -> dict[str, tuple[Any, ...]]:
    """What stands beside each field of a page."""
    return {q.path: (q.kept, q.remarks) for q in _questions(part)}


def _mattering(part: asks.Group) -> list[str]:
    found = []
    for inner in part.parts:
        if inner.matters:
            found.append(inner.path)
        if isinstance(inner, asks.Group):
            found += _mattering(inner)
    return found


def link(path: str) -> str:
    """The address of the field of a fact: the page of its entry or topic, at the field."""
    parts = path.split(".")
    at = parts[0]
    for n in range(1, len(parts)):
        try:
            above = field_at(".".join(parts[:n])).shape
        except UnknownPathError:
            return f"/facts/{parts[0]}"
        if above.form in ("map", "list") and above.item is not None and above.item.form != "value":
            at = ".".join(parts[: n + 1])
    return f"/facts/{at}#{asks.anchor(path)}"
