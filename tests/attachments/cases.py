"""Packets of the scenarios in every way of packaging, and with some facts changed."""

from __future__ import annotations

from functools import cache
from typing import Any

from attachments.changed import redraft
from msadraft.attachments.packet import Packet, packet
from msadraft.draft import Draft

MODES = ("agreement_only", "hybrid", "forms_only")


def changed(name: str, n: int = 3, **values: Any) -> Draft:
    """The draft of a round with some facts replaced: `case__packaging="hybrid"` is case.packaging."""
    return redraft(name, n, *((path.replace("__", "."), value) for path, value in values.items()))


@cache
def in_mode(name: str, n: int, mode: str) -> tuple[Draft, Packet]:
    """A round in one way of packaging, and its packet."""
    found = changed(name, n, case__packaging=mode)
    return found, packet(found, f"Round {n}")
