"""An edited document that came back: what it changes, and which of its differences are taken in."""

from __future__ import annotations

import hashlib
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from msadraft.desk import fresh, paper
from msadraft.desk.redline import pieces
from msadraft.desk.uploads import bringing
from msadraft.draft import Draft
from msadraft.rounds.disk import rounds_in, write_files
from msadraft.rounds.errors import RoundError
from msadraft.rounds.intake.choose import KINDS, differences
from msadraft.rounds.intake.guard import MOST_FILE_BYTES, IntakeError
from msadraft.rounds.intake.read import Mode
from msadraft.rounds.intake.report import TakenIn, report_files
from msadraft.rounds.intake.takein import OtherDraftError, save, take_in
from msadraft.rounds.lock import writing
from msadraft.rounds.read import manifest_of

if TYPE_CHECKING:
    from msadraft.desk.pages import Desk

REPORTS = "takein"
"""Folder beside the case that keeps what was found in each document that was taken in."""


@dataclass(frozen=True)
class Held:
    """A document that waits for the decisions. Its bytes are in memory alone; its own name is used in messages only."""

    key: str
    content: bytes
    name: str
    mode: Mode
    facts: str
    wording: str


def routes(desk: Desk) -> list[BaseRoute]:
    """The addresses."""
    here = HandingIn(desk)
    return [
        Route("/takein", desk.answering(here.show), methods=["GET"]),
        Route("/takein", bringing(desk, "document", MOST_FILE_BYTES, here.bring), methods=["POST"]),
        Route("/takein/apply", desk.answering(here.apply), methods=["POST"]),
        Route("/takein/drop", desk.answering(here.drop), methods=["POST"]),
    ]


class HandingIn:
    """The page of an edited document; it holds one at a time."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.held: Held | None = None
        desk.templates.globals["pieces_of"] = pieces

    def show(self, request: Request, sent: dict[str, str]) -> Response:
        """The place to drop a document, or what was found in the one that waits."""
        fresh.look(self.desk.case)
        if self.held is None or fresh.blocked(self.desk.case):
            return self._page(request)
        return self._found(request)

    def bring(self, request: Request, sent: dict[str, str], content: bytes, name: str) -> Response:
        """Take a document, and show what was found in it."""
        mode: Mode = "reject" if sent.get("tracked") == "reject" else "accept"
        self.held = None
        if not content and not name:
            return self._page(request, refused="No document came along; choose the edited DOCX.")
        if len(content) > MOST_FILE_BYTES:
            most = MOST_FILE_BYTES // 2**20
            return self._page(
                request, refused=f"{name}: the file is larger than {most} MB; take pictures and other media out of it"
            )
        found = fresh.drafted(self.desk.case)
        key = hashlib.sha256(content).hexdigest()
        held = Held(key, content, name, mode, found.case.digest, found.negotiated.digest)
        try:
            taken = take_in(found, content, name, mode)
        except OtherDraftError as error:
            return self._page(request, refused=self._other(error, name))
        except IntakeError as error:
            return self._page(request, refused=str(error))
        self.held = held
        return self._found(request, taken)

    def _other(self, error: OtherDraftError, name: str) -> str:
        """Why a document of another draft is refused: that of another round, or of another case."""
        folder = self.desk.case.folder
        for number in rounds_in(folder):
            with suppress(RoundError):
                if manifest_of(folder / "rounds" / f"{number:02d}").get("mark") == error.mark:
                    return str(error)
        return (
            f"{name}: the document came from “{error.mark}”, and no round of this case has that mark. It belongs to another "
            "case, or to a round that is not kept here. Open the case that it belongs to and take it in there."
        )

    def drop(self, request: Request, sent: dict[str, str]) -> Response:
        """Put the document that waits away; nothing of it was written."""
        self.held = None
        return self._page(request)

    def apply(self, request: Request, sent: dict[str, str]) -> Response:
        """Write the differences that were accepted, and list the rest."""
        held = self.held
        if held is None or sent.get("document") != held.key:
            return self._page(request, refused="That document does not wait here any more; choose it again.")
        found = fresh.drafted(self.desk.case)
        if (found.case.digest, found.negotiated.digest) != (held.facts, held.wording):
            self.held = None
            return self._page(
                request, refused="The facts or the negotiated wording were changed after the document was read. Nothing was "
                "written; choose the document again.",
            )  # fmt: skip
        every = {one.key for one in differences(take_in(found, held.content, held.name, held.mode))}
        wanted = {value for name, value in sent.items() if name.startswith("take-")}
        try:
            taken = take_in(found, held.content, held.name, held.mode, leave=every - wanted)
            files = self._written(found, taken, held)
        except IntakeError as error:
            return self._found(request, refused=str(error), wanted=wanted)
        self.held = None
        self._reread()
        now = self.desk.case.drafted
        changes = paper.moved(found, now) if now is not None and now is not found else None
        return self._page(request, done={"files": files, "taken": taken, "changes": changes})

    def _written(self, found: Draft, taken: TakenIn, held: Held) -> list[str]:
        """The report first: whatever happens then, what was found in the document is kept."""
        folder = self.desk.case.folder
        reports = report_files(taken, held.content)
        with writing(folder), fresh.clearly():
            write_files(reports, fresh.own_folder(folder / REPORTS))
            written = save(found, taken)
        return [*(path.name for path in written), *(f"{REPORTS}/{name}" for name in reports)]

    def _reread(self) -> None:
        case = self.desk.case
        # The steps back hold the facts from before the document; going there would lose what was taken in.
        case.undo_steps, case.redo_steps = [], []
        fresh.again(case)

    def _page(self, request: Request, refused: str = "", done: Any = None) -> Response:
        return self.desk.page(
            "takein.html", request, blocked=fresh.blocked(self.desk.case), refused=refused, done=done, taken=None,
            most=MOST_FILE_BYTES,
        )  # fmt: skip

    def _found(
        self, request: Request, taken: TakenIn | None = None, refused: str = "", wanted: set[str] | None = None
    ) -> Response:
        held = self.held
        if held is None:
            raise RoundError("No document waits here; choose it again.")
        if taken is None:
            try:
                taken = take_in(fresh.drafted(self.desk.case), held.content, held.name, held.mode)
            except IntakeError as error:
                self.held = None
                return self._page(request, refused=str(error))
        found = differences(taken)
        groups = [(title, [one for one in found if one.kind == kind]) for kind, title in KINDS.items()]
        return self.desk.page(
            "takein.html", request, blocked="", refused=refused, done=None, taken=taken, held=held,
            groups=[(title, some) for title, some in groups if some], count=len(found),
            wanted={one.key for one in found} if wanted is None else wanted, most=MOST_FILE_BYTES,
        )  # fmt: skip
