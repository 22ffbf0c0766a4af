"""The figures as a workbook with live formulas, so that a value can be changed and the result be seen to move.

One sheet for each subject that the case has: property, note, child support, spousal support. Cells to change have a
thick frame, and the label or column beside them says "input"; everything else is a formula, whose result is stored
with it as the figures have it. Sums are worked out in whole cents, so that a spreadsheet rounds as the figures do. The
same facts give the same bytes. Text from the facts is always written as text, never as a formula.
"""

from __future__ import annotations

import io
from datetime import UTC, datetime

from msadraft.facts.model import Facts
from msadraft.figures.compute import Figures
from msadraft.writers.workbook.child_support import child_support_sheet
from msadraft.writers.workbook.note import note_sheet
from msadraft.writers.workbook.property import property_sheet
from msadraft.writers.workbook.sheet import DRAFT, INPUTS, Sheet, styles_of
from msadraft.writers.workbook.spousal_support import spousal_support_sheet

__all__ = ["DRAFT", "INPUTS", "write_workbook"]

_FIXED = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)


def write_workbook(facts: Facts, figures: Figures) -> bytes:
    """Write the workbook. A subject that the case does not have gets no sheet; property always has one."""
    from xlsxwriter.workbook import Workbook  # late: only this command needs it

    buffer = io.BytesIO()
    book = Workbook(buffer, {"in_memory": True})
    book.set_properties({"title": "Figures with live formulas", "comments": DRAFT, "created": _FIXED})
    styles = styles_of(book)
    property_sheet(Sheet(book, "Property", styles), facts, figures.ledger)
    if figures.note:
        note_sheet(Sheet(book, "Note", styles), figures.note)
    if figures.supported_children.keys:
        child_support_sheet(Sheet(book, "Child support", styles), facts, figures)
    tables = [
        (to, found.steps)
        for to, found in (("petitioner", figures.support_of_petitioner), ("respondent", figures.support_of_respondent))
        if found.steps
    ]
    if tables:
        spousal_support_sheet(Sheet(book, "Spousal support", styles), tables)
    book.close()
    return buffer.getvalue()
