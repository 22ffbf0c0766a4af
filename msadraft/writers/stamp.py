"""The mark that every written copy of one round carries."""

from __future__ import annotations

from dataclasses import dataclass

NOT_READY = "Draft. Points are still open in this paper: it is not ready to sign."


@dataclass(frozen=True, slots=True)
class Stamp:
    """What a copy says about itself.

    `mark` names the round and its content, for example "Round 3 · 7f3a91c2". While `ready` is False every page
    shows `not_ready_text`.
    """

    mark: str
    ready: bool
    not_ready_text: str = NOT_READY
