"""The packet: worksheets for the forms, the filing list, the checks before filing."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from msadraft.attachments.packet import BOXES, Packet
from msadraft.desk import fresh
from msadraft.draft import Draft
from msadraft.review.checks import ORDER, OUTCOMES
from msadraft.rounds.disk import rounds_in, write_files
from msadraft.rounds.errors import RoundError
from msadraft.rounds.packet_files import case_packet, changed_since, counted_pages, filing_data, packet_files
from msadraft.writers.worksheets import PACKAGINGS, QUIET, SEVERITIES, SURE, docx_name

if TYPE_CHECKING:
    from msadraft.desk.pages import Desk

FOLDER = "packet"
_OUTCOME_ORDER = {"open": 0, "eye": 1, "clear": 2, "not_here": 3}


@dataclass
class _Made:
    """The packet of one draft, and its files as soon as somebody asks for them."""

    draft: Draft
    label: str
    pages: int | None
    packet: Packet
    files: dict[str, bytes] = field(default_factory=dict)


def routes(desk: Desk) -> list[BaseRoute]:
    """The addresses."""
    here = HandingOut(desk)
    return [
        Route("/packet", desk.answering(here.show), methods=["GET"]),
        Route("/packet", desk.answering(here.write), methods=["POST"]),
        Route("/packet/read/{name}", desk.answering(here.read), methods=["GET"]),
        Route("/packet/{name}", desk.answering(here.file), methods=["GET"]),
    ]


class HandingOut:
    """The page of the packet."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.made: _Made | None = None

    def _packet(self, count: bool = False) -> _Made:
        """The packet of the draft as it is now; `count` lays the agreement out to count its pages."""
        found = fresh.drafted(self.desk.case)
        label = fresh.label(self.desk.case, found)
        made = self.made
        if made is None or made.draft is not found or made.label != label or (count and made.pages is None):
            with fresh.clearly():
                pages = counted_pages(found, label) if count else None
                made = self.made = _Made(found, label, pages, case_packet(found, label, pages))
        return made

    def _files(self, made: _Made) -> dict[str, bytes]:
        with fresh.clearly():
            made.files = made.files or packet_files(made.draft, made.packet, made.label)
        return made.files

    def show(self, request: Request, sent: dict[str, str], written: tuple[str, ...] = ()) -> Response:
        """Worksheets, filing list and checks."""
        case = self.desk.case
        fresh.look(case)
        why = fresh.blocked(case)
        if why:
            return self.desk.page("packet.html", request, blocked=why, packet=None)
        made = self._packet()
        with fresh.clearly():
            data = filing_data(made.draft, made.packet)
        numbers = rounds_in(case.folder)
        against = request.query_params.get("against", "")
        since = None
        if against.isdecimal():
            if int(against) not in numbers:
                raise RoundError(f"There is no round {against}.")
            with fresh.clearly():
                since = changed_since(made.packet, case.folder, int(against), case.firm_folders)
        return self.desk.page(
            "packet.html", request, blocked="", packet=made.packet, label=made.label, packaging=PACKAGINGS[made.packet.packaging],
            steps=[row for row in data["filing"] if row["kind"] == "step"],
            papers=[row for row in data["filing"] if row["kind"] == "paper"],
            envelopes=[row for row in data["filing"] if row["kind"] == "envelope"],
            checks=sorted(data["checks"], key=_urgent), outcomes=OUTCOMES, boxes=BOXES, severities=SEVERITIES, sure=SURE,
            quiet=QUIET, docx_name=docx_name, numbers=numbers, against=against, since=since,
            has_summary=not made.draft.figures.true_default, written=written,
        )  # fmt: skip

    def write(self, request: Request, sent: dict[str, str]) -> Response:
        """Write the files of the packet beside the case."""
        made = self._packet(count=True)
        folder = fresh.own_folder(self.desk.case.folder / FOLDER)
        files = self._files(made)
        write_files(files, folder)
        return self.show(request, sent, tuple(files))

    def read(self, request: Request, sent: dict[str, str]) -> Response:
        """A page of the packet in a frame of its own."""
        name = request.path_params["name"]
        if name not in self._files(self._packet()):
            raise RoundError(f"The packet has no file {name}.")
        return self.desk.page(
            "reading.html", request, heading=name, back="/packet", back_name="Packet",
            source=f"/packet/{name}?show=1", file=f"/packet/{name}",
        )  # fmt: skip

    def file(self, request: Request, sent: dict[str, str]) -> Response:
        """A file of the packet: made here, never read from a folder by its name."""
        name = request.path_params["name"]
        files = self._files(self._packet())
        if name not in files:
            raise RoundError(f"The packet has no file {name}.")
        return fresh.file(files[name], name, show=request.query_params.get("show") == "1")


def _urgent(row: dict[str, Any]) -> tuple[int, int]:
    """What stops filing first, then what is to be looked at."""
    return _OUTCOME_ORDER.get(row["outcome"], 9), ORDER.get(row["severity"], 9)
