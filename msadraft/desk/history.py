"""The rounds of the case: drafting the next one, its files, and what changed between two of them."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from msadraft.desk import fresh, handing_in, handing_out
from msadraft.desk.redline import redline, without_empty_sections
from msadraft.library.replaced import replacement_report
from msadraft.rounds.compare import compare
from msadraft.rounds.disk import rounds_in
from msadraft.rounds.errors import RoundError
from msadraft.rounds.read import Version, manifest_of, read_round
from msadraft.rounds.report import change_files
from msadraft.rounds.store import current_round, write_round

if TYPE_CHECKING:
    from msadraft.desk.pages import Desk

FILES = {
    "agreement.docx": "Agreement",
    "agreement.html": "Agreement, as a page",
    "agreement.txt": "Agreement, plain text",
    "paragraph-map.xlsx": "Paragraph map, workbook",
    "paragraph-map.docx": "Paragraph map, to print",
    "paragraph-map.csv": "Paragraph map, CSV",
    "review.md": "Review notes",
    "facts.yaml": "Facts of this round",
    "wording.yaml": "Negotiated wording",
}
"""What a person looks for first; the other files of a round follow."""


def routes(desk: Desk) -> list[BaseRoute]:
    """The addresses of the rounds, the edited document and the packet."""
    here = History(desk)
    return [
        Route("/rounds", desk.answering(here.rounds), methods=["GET"]),
        Route("/rounds", desk.answering(here.draft), methods=["POST"]),
        Route("/rounds/{number:int}/read/{name}", desk.answering(here.read), methods=["GET"]),
        Route("/rounds/{number:int}/{name}", desk.answering(here.file), methods=["GET"]),
        Route("/changes", desk.answering(here.changes), methods=["GET"]),
        Route("/changes/{old:int}/{new:int}/{name}", desk.answering(here.change_paper), methods=["GET"]),
        *handing_in.routes(desk),
        *handing_out.routes(desk),
    ]


class History:
    """The pages of the rounds."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    def rounds(self, request: Request, sent: dict[str, str], **said: Any) -> Response:
        """Every round, and the way to the next one."""
        fresh.look(self.desk.case)
        case = self.desk.case
        numbers = rounds_in(case.folder)
        stands = current_round(case.drafted, case.folder) if case.drafted and not fresh.blocked(case) else None
        given = {"lines": (), "refused": "", **said}
        return self.desk.page(
            "rounds.html", request, rounds=[_entry(case.folder, n) for n in reversed(numbers)], stands=stands,
            blocked=fresh.blocked(case), stops=len(case.drafted.stops) if case.drafted else 0, **given,
        )  # fmt: skip

    def draft(self, request: Request, sent: dict[str, str]) -> Response:
        """Draft the next round, as `msadraft draft` does."""
        found = fresh.drafted(self.desk.case)
        if sent.get("final") and found.stops:
            refused = f"Not written: {len(found.stops)} {'findings stop' if len(found.stops) > 1 else 'finding stops'} signing."
            return self.rounds(request, sent, refused=refused)
        try:
            written = write_round(found, self.desk.case.folder)
        except RoundError as error:
            return self.rounds(request, sent, refused=str(error))
        mark = found.stamp(written.label).mark
        told = f"{mark} is drafted." if written.fresh else f"Nothing changed since {mark}; this round stands."
        return self.rounds(request, sent, lines=(told, *written.said, *replacement_report(found.library)))

    def read(self, request: Request, sent: dict[str, str]) -> Response:
        """A paper of a round in a frame of its own."""
        number, name = request.path_params["number"], request.path_params["name"]
        round_file(self.desk.case.folder, number, name)
        return self.desk.page(
            "reading.html", request, heading=f"Round {number}: {FILES.get(name, name)}", back="/rounds",
            back_name="Rounds", source=f"/rounds/{number}/{name}?show=1", file=f"/rounds/{number}/{name}",
        )  # fmt: skip

    def file(self, request: Request, sent: dict[str, str]) -> Response:
        """A file of a round, to save or to show."""
        number, name = request.path_params["number"], request.path_params["name"]
        data = round_file(self.desk.case.folder, number, name)
        return fresh.file(data, f"round-{number:02d}-{name}", show=request.query_params.get("show") == "1")

    def changes(self, request: Request, sent: dict[str, str]) -> Response:
        """What changed between two rounds, with the redline."""
        numbers = rounds_in(self.desk.case.folder)
        if len(numbers) < 2:
            return self.desk.page("changes.html", request, numbers=numbers, old=0, new=0, found=None)
        new = _number(request.query_params.get("new"), numbers[-1])
        older = [n for n in numbers if n < new]
        old = _number(request.query_params.get("old"), older[-1] if older else numbers[0])
        before, after = self._versions(old, new)
        found = compare(before, after)
        whole = request.query_params.get("whole") == "1"
        paragraphs = [p for p in redline(before, after, found) if whole or p.how != "same" or p.section]
        if not whole:
            paragraphs = without_empty_sections(paragraphs)
        library = self.desk.case.drafted.library.clauses if self.desk.case.drafted else {}
        return self.desk.page(
            "changes.html", request, numbers=numbers, old=old, new=new, found=found, paragraphs=paragraphs, whole=whole,
            why={c.id: c for c in library.values()}, papers=_papers(before),
        )  # fmt: skip

    def change_paper(self, request: Request, sent: dict[str, str]) -> Response:
        """One of the papers that `msadraft compare` writes."""
        before, after = self._versions(request.path_params["old"], request.path_params["new"])
        found = compare(before, after)
        name = request.path_params["name"]
        if name not in _papers(before):
            raise RoundError(f"There is no paper {name} for these rounds.")
        data = change_files(before, after, changes=found)[name]
        show = request.query_params.get("show") == "1"
        return fresh.file(data, f"round-{request.path_params['new']:02d}-{name}", show=show)

    def _versions(self, old: int, new: int) -> tuple[Version, Version]:
        numbers = rounds_in(self.desk.case.folder)
        for n in (old, new):
            if n not in numbers:
                raise RoundError(f"There is no round {n}.")
        if old == new:
            raise RoundError(f"Round {old} cannot be compared with itself; choose two rounds.")
        before, after = (read_round(self.desk.case.folder / "rounds" / f"{n:02d}") for n in (old, new))
        return before, after


def round_file(case_folder: Path, number: int, name: str) -> bytes:
    """Give a file that the manifest of a round lists, and no other.

    Raises:
        RoundError: there is no such round or file, or the file was changed after the round was written.
    """
    folder = case_folder / "rounds" / f"{number:02d}"
    if number not in rounds_in(case_folder) or folder.is_symlink():
        raise RoundError(f"There is no round {number}.")
    wanted = manifest_of(folder)["files"].get(name)
    path = folder / name
    if wanted is None or path.parent != folder or Path(name).name != name or path.is_symlink():
        raise RoundError(f"Round {number} has no file {name}.")
    try:
        data = path.read_bytes()
    except OSError as error:
        raise RoundError(
            f"Round {number}: {name} cannot be read ({error.strerror}); restore it from a copy."
        ) from error
    if hashlib.sha256(data).hexdigest() != wanted:
        raise RoundError(f"Round {number}: {name} was changed after the round was written; restore it from a copy.")
    return data


def _papers(before: Version) -> tuple[str, ...]:
    """The papers that show what changed since a round, by name."""
    name = before.label.rsplit(" ", 1)[-1].zfill(2)
    return (f"redline-from-{name}.docx", *(f"changes-from-{name}.{kind}" for kind in ("html", "md", "json")))


def _number(text: str | None, otherwise: int) -> int:
    return int(text) if text and text.isdecimal() and len(text) < 6 else otherwise


def _entry(case_folder: Path, number: int) -> dict[str, Any]:
    """A round as the list shows it; what cannot be read is said, and hides no other round."""
    try:
        manifest = manifest_of(case_folder / "rounds" / f"{number:02d}")
        names = [str(name) for name in manifest["files"]]
        figures = json.loads(round_file(case_folder, number, "figures.json"))
        as_of = str(figures.get("figures", {}).get("as_of", ""))
    except (RoundError, ValueError) as error:
        return {"number": number, "mark": "", "ready": False, "as_of": "", "files": [], "trouble": str(error)}
    first = [(name, title) for name, title in FILES.items() if name in names]
    papers = [(name, "Redline" if name.startswith("redline") else "Changes") for name in names if "-from-" in name]
    rest = [(name, name) for name in names if name not in FILES and "-from-" not in name]
    return {
        "number": number, "mark": str(manifest.get("mark", "")), "ready": bool(manifest.get("ready")), "as_of": as_of,
        "files": [*first[:1], *papers, *first[1:]], "rest": rest, "trouble": "",
    }  # fmt: skip
