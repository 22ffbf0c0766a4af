"""How many random cases a test tries: few in the default run, many where MSADRAFT_THOROUGH=1 asks for them."""

from __future__ import annotations

import os


def examples(quick: int, thorough: int) -> int:
    """The number of cases for this run."""
    return thorough if os.environ.get("MSADRAFT_THOROUGH") == "1" else quick
