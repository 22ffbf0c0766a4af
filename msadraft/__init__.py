"""msadraft drafts California marital settlement agreements from structured case facts.

It is a drafting aid for practitioners. It gives no legal advice.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = ["draft", "read_case", "read_library", "write_docx", "write_html", "write_text"]

if TYPE_CHECKING:
    from msadraft.draft import draft
    from msadraft.facts.load import read_case
    from msadraft.library.load import read_library
    from msadraft.writers.docx import write_docx
    from msadraft.writers.html import write_html
    from msadraft.writers.text import write_text

_HOMES = {
    "draft": "msadraft.draft",
    "read_case": "msadraft.facts.load",
    "read_library": "msadraft.library.load",
    "write_docx": "msadraft.writers.docx",
    "write_html": "msadraft.writers.html",
    "write_text": "msadraft.writers.text",
}


def __getattr__(name: str) -> Any:
    """Import each public name only when it is asked for, so that a cold command stays quick."""
    if name in _HOMES:
        from importlib import import_module

        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"msadraft has no {name}")
