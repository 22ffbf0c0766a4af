"""msadraft drafts California marital settlement agreements from structured case facts.

It is a drafting aid for practitioners. It gives no legal advice.

The names in `__all__` are the public interface; `docs/api.md` shows them at work. Everything else may change without
notice. Each name is imported when it is first asked for, so that `import msadraft` costs next to nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = [
    "CaseFile",
    "Draft",
    "FactsError",
    "LawNotKnownError",
    "LibraryError",
    "RoundError",
    "WordingError",
    "all_figures",
    "case_packet",
    "compare_rounds",
    "compute",
    "draft_case",
    "explain",
    "law_in_force",
    "law_listing",
    "number",
    "packet_files",
    "read_case",
    "read_document",
    "read_library",
    "read_map",
    "save_taken_in",
    "take_in",
    "verify",
    "write_docx",
    "write_html",
    "write_map_csv",
    "write_map_docx",
    "write_map_json",
    "write_map_xlsx",
    "write_round",
    "write_text",
]

if TYPE_CHECKING:
    from msadraft.agreement.numbering import number
    from msadraft.draft import Draft
    from msadraft.draft import draft as draft_case
    from msadraft.facts.load import CaseFile, read_case
    from msadraft.facts.problems import FactsError
    from msadraft.figures.compute import compute
    from msadraft.figures.everything import all_figures
    from msadraft.law.listing import listing as law_listing
    from msadraft.law.parameters import LawNotKnownError
    from msadraft.law.parameters import law as law_in_force
    from msadraft.library.environment import WordingError
    from msadraft.library.load import LibraryError, read_library
    from msadraft.rounds.errors import RoundError
    from msadraft.rounds.intake.read import read_document
    from msadraft.rounds.intake.takein import save as save_taken_in
    from msadraft.rounds.intake.takein import take_in
    from msadraft.rounds.packet_files import case_packet, packet_files
    from msadraft.rounds.report import compare_rounds
    from msadraft.rounds.store import write_round
    from msadraft.rounds.verify import read_map, verify
    from msadraft.why import explain
    from msadraft.writers.docx import write_docx
    from msadraft.writers.html import write_html
    from msadraft.writers.paragraph_map import write_csv as write_map_csv
    from msadraft.writers.paragraph_map import write_json as write_map_json
    from msadraft.writers.paragraph_map import write_map_docx
    from msadraft.writers.paragraph_map import write_xlsx as write_map_xlsx
    from msadraft.writers.text import write_text

_HOMES = {
    "CaseFile": "msadraft.facts.load",
    "Draft": "msadraft.draft",
    "FactsError": "msadraft.facts.problems",
    "LawNotKnownError": "msadraft.law.parameters",
    "LibraryError": "msadraft.library.load",
    "RoundError": "msadraft.rounds.errors",
    "WordingError": "msadraft.library.environment",
    "all_figures": "msadraft.figures.everything",
    "case_packet": "msadraft.rounds.packet_files",
    "compare_rounds": "msadraft.rounds.report",
    "compute": "msadraft.figures.compute",
    "draft_case": "msadraft.draft",
    "explain": "msadraft.why",
    "law_in_force": "msadraft.law.parameters",
    "law_listing": "msadraft.law.listing",
    "number": "msadraft.agreement.numbering",
    "packet_files": "msadraft.rounds.packet_files",
    "read_case": "msadraft.facts.load",
    "read_document": "msadraft.rounds.intake.read",
    "read_library": "msadraft.library.load",
    "read_map": "msadraft.rounds.verify",
    "save_taken_in": "msadraft.rounds.intake.takein",
    "take_in": "msadraft.rounds.intake.takein",
    "verify": "msadraft.rounds.verify",
    "write_docx": "msadraft.writers.docx",
    "write_html": "msadraft.writers.html",
    "write_map_csv": "msadraft.writers.paragraph_map",
    "write_map_docx": "msadraft.writers.paragraph_map",
    "write_map_json": "msadraft.writers.paragraph_map",
    "write_map_xlsx": "msadraft.writers.paragraph_map",
    "write_round": "msadraft.rounds.store",
    "write_text": "msadraft.writers.text",
}
_NAMED_THERE = {
    "draft_case": "draft",
    "law_in_force": "law",
    "law_listing": "listing",
    "save_taken_in": "save",
    "write_map_csv": "write_csv",
    "write_map_json": "write_json",
    "write_map_xlsx": "write_xlsx",
}
"""Public names that differ from those in their modules. None may be the name of a module here: that would hide it."""


def __getattr__(name: str) -> Any:
    """Import each public name only when it is asked for, so that a cold command stays quick."""
    if name in _HOMES:
        from importlib import import_module

        return getattr(import_module(_HOMES[name]), _NAMED_THERE.get(name, name))
    raise AttributeError(f"msadraft has no {name}")


def __dir__() -> list[str]:
    """Give the public names too, though they are not imported yet."""
    return sorted({*globals(), *__all__})
