"""The packet of a case as files, and what changed in it since a round."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from msadraft.agreement.negotiated import read_wording
from msadraft.attachments.filing import filing_list
from msadraft.attachments.packet import AnswerChange, Packet, PacketError, changes, packet
from msadraft.attachments.summary import plain_summary
from msadraft.draft import Draft, draft
from msadraft.facts.load import read_case
from msadraft.review.checks import check_table, counts
from msadraft.rounds.errors import RoundError
from msadraft.rounds.read import manifest_of
from msadraft.writers import office
from msadraft.writers.data import write_lines
from msadraft.writers.docx import write_docx
from msadraft.writers.filing import check_rows, filing_rows, write_filing_html, write_rows_csv
from msadraft.writers.summary import write_summary_docx, write_summary_html
from msadraft.writers.worksheets import (
    docx_name,
    write_csv,
    write_packet_html,
    write_packet_json,
    write_worksheet_docx,
)


@dataclass(frozen=True)
class Since:
    """The answers that changed since a round.

    `mark` is the mark of that round. `remade` says that the clauses or the program changed since, so that the earlier
    packet was worked out with the present ones; "" if it was not.
    """

    mark: str
    changed: tuple[AnswerChange, ...]
    remade: str


def case_packet(found: Draft, label: str, pages: int | None = None) -> Packet:
    """Make the packet of a draft.

    Raises:
        RoundError: a fact about the forms cannot be used; the message has its file and line.
    """
    try:
        return packet(found, label, pages=pages)
    except PacketError as error:
        place = found.case.place(error.path)
        raise RoundError(f"{place.file}:{place.line}: {error.path}: {error}") from error


def counted_pages(found: Draft, label: str) -> int | None:
    """The pages of the printed agreement as LibreOffice lays it out; None if it is not there or fails, or there is none."""
    if found.figures.true_default or not office.available():
        return None
    with tempfile.TemporaryDirectory(prefix="msadraft-packet-") as folder:
        document = Path(folder) / "agreement.docx"
        document.write_bytes(write_docx(found.agreement, found.numbering, found.stamp(label)))
        try:
            return office.page_count(document)
        except office.OfficeError:
            return None


def packet_files(found: Draft, made: Packet, label: str) -> dict[str, bytes]:
    """All files of the packet, by name: worksheets (one page, a DOCX for each form, CSV, JSON), filing list, summary."""
    place, stamp = found.case.place, found.stamp(label)
    filing, checks = filing_list(found), check_table(found, made)
    listed, checked = filing_rows(filing), check_rows(checks)
    files = {
        "worksheets.html": write_packet_html(made, place).encode(),
        "worksheets.csv": write_csv(made),
        "worksheets.json": write_packet_json(made, place),
        "filing-list.html": write_filing_html(filing, checks, stamp).encode(),
        "filing-list.csv": write_rows_csv(made.mark, listed),
        "checks.csv": write_rows_csv(made.mark, checked),
        "filing-list.json": write_lines(
            {"mark": made.mark, "filing": listed, "checks": checked}, "filing", "checks"
        ).encode(),
    }
    if not found.figures.true_default:
        # The summary explains an agreement to those who sign it.
        summary = plain_summary(found, label)
        files["summary.html"] = write_summary_html(summary, stamp).encode()
        files["summary.docx"] = write_summary_docx(summary, stamp)
    return files | {docx_name(sheet): write_worksheet_docx(sheet, made) for sheet in made.worksheets}


def filing_data(found: Draft, made: Packet) -> dict[str, Any]:
    """The filing list and the checks before filing, as rows."""
    return {"filing": filing_rows(filing_list(found)), "checks": check_rows(check_table(found, made))}


def filing_lines(found: Draft, made: Packet) -> list[str]:
    """Where the case stands and how the checks before filing came out, as lines for a terminal."""
    checks = check_table(found, made)
    told = ", ".join(f"{n} {outcome.replace('_', ' ')}" for outcome, n in counts(checks).items() if n)
    return ["", filing_list(found).standing, f"Checks before filing: {told}."]


def changed_since(made: Packet, case_folder: Path, number: int, folders: Sequence[Path] = ()) -> Since:
    """Compare the packet with that of a finished round, worked out from the facts and wording kept there.

    Raises:
        RoundError: there is no such round, or its facts can no longer be read.
    """
    folder = case_folder / "rounds" / f"{number:02d}"
    manifest = manifest_of(folder)
    try:
        file = read_case(folder / "facts.yaml")
    except OSError as error:
        raise RoundError(f"{folder}: its facts cannot be read ({error.strerror})") from error
    own = [case_folder / name for name in file.facts.clauses]
    then = draft(file, *own, *folders, negotiated=read_wording(folder))
    label = f"Round {number}"
    mark = str(manifest.get("mark", label))
    remade = ""
    if then.stamp(label).mark != mark:
        remade = (
            f"Round {number} was drafted as {mark}; its facts give {then.stamp(label).mark} with the clauses and the program of "
            "today. The answers of that round are those of today's wording: check pointers against its own paper."
        )
    return Since(mark, changes(case_packet(then, label), made), remade)
