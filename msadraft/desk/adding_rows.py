"""Rows of a spreadsheet for a list of facts: looked at first, then added as one step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import BaseRoute, Route

from msadraft.desk.rows import MOST_TEXT, Rows, RowsError, read_rows
from msadraft.desk.sheet_files import MOST_BYTES, SheetText, read_sheet
from msadraft.desk.uploads import bringing
from msadraft.facts.paths import field_at

if TYPE_CHECKING:
    from msadraft.desk.pages import Desk

MOST_SHOWN = 8
MOST_REMARKS = 20


@dataclass(frozen=True)
class Unfit:
    """A value of a row that cannot be read as its fact: where it stands, and what is wrong."""

    line: int
    title: str
    typed: str
    what: str
    mend: str


def routes(desk: Desk) -> list[BaseRoute]:
    """The addresses."""
    here = AddingRows(desk)
    return [
        Route("/rows", bringing(desk, "file", MOST_BYTES, here.look, most_text=4 * MOST_TEXT), methods=["POST"]),
        Route("/paste", desk.answering(here.add), methods=["POST"]),
    ]


class AddingRows:
    """What stands in the box for rows, and what would become of it."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    def look(self, request: Request, sent: dict[str, str], content: bytes, name: str) -> Response:
        """Show rows, typed or from a file, as they would be added."""
        path, text, said = sent.get("path", ""), sent.get("rows", ""), ""
        field_at(path)
        try:
            if content or name:
                if text.strip():
                    raise RowsError(
                        "There are rows in the box already. Add them or clear the box, then choose the file again."
                    )
                found: SheetText = read_sheet(content, name)
                text, said = found.text, found.said
            rows = self._rows(path, text)
        except RowsError as error:
            return self.desk.told(request, str(error))
        template = self.desk.templates.get_template("rows.html")
        unfit = self._unfit(path, rows)
        return HTMLResponse(
            template.render(
                path=path, text=text, said=said, rows=rows, unfit=unfit[:MOST_REMARKS], more=len(unfit[MOST_REMARKS:]),
                shown=MOST_SHOWN, titles=[self._title(path, name) for name in rows.columns],
            )
        )  # fmt: skip

    def add(self, request: Request, sent: dict[str, str]) -> Response:
        """Add the rows, as one step. A value that does not fit is kept with its entry."""
        path = sent.get("path", "")
        try:
            rows = self._rows(path, sent.get("rows", ""))
        except RowsError as error:
            return self.desk.told(request, str(error))
        self.desk.case.add_rows(path, rows.entries, rows.keys)
        return self.desk.go(f"/facts/{path}")

    def _rows(self, path: str, text: str) -> Rows:
        return read_rows(text.replace("\r\n", "\n"), path, self.desk.case.value(path) or {})

    def _unfit(self, path: str, rows: Rows) -> list[Unfit]:
        found = []
        for n, entry in enumerate(rows.entries):
            for name, typed in entry.items():
                kept = self.desk.case.objection(f"{path}.{rows.keys[n] if rows.keys else n}.{name}", typed)
                if kept is not None:
                    found.append(Unfit(rows.lines[n], self._title(path, name), typed, kept.what, kept.mend))
        return found

    def _title(self, path: str, name: str) -> str:
        return field_at(f"{path}.*.{name}").title if name else "Short name"
