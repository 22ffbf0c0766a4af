"""How often a test does the same again: a few random cases, ways to look or edits in the usual run; many of them, or
all, where MSADRAFT_THOROUGH=1 asks for it."""

from __future__ import annotations

import os


def examples(quick: int, thorough: int) -> int:
    """The number of cases for this run."""
    return thorough if os.environ.get("MSADRAFT_THOROUGH") == "1" else quick
