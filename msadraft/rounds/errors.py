"""What can go wrong with the rounds of a case."""

from __future__ import annotations


class RoundError(Exception):
    """The round cannot be written or read; the message says why and what to do."""
