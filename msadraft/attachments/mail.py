"""Where post for a spouse goes: one answer for the worksheets, the envelopes and the checks before filing."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from msadraft.facts.view import View, path_of, plain

HIDDEN = "The address is kept out of every paper: write a safe mailing address by hand."
UNKNOWN = "No mailing address is known."
_EMAIL = re.compile(r"\b(?:e-?mail(?: address)?:?\s+)?\S+@\S+", re.IGNORECASE)
_LOOSE = re.compile(r"^(?:\W|\b(?:and|or|by|at)\b)+|(?:\W|\b(?:and|or|by|at)\b)+$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Mail:
    """The lines of a mailing address; if there are none, `why_blank` says why. An address kept hidden is never shown."""

    lines: tuple[str, ...]
    why_blank: str = ""


def postal_part(text: str) -> str:
    """The part of an address for notices that post can use: the text without email addresses; "" if nothing is left."""
    return _LOOSE.sub("", _EMAIL.sub("", text)) if "@" in text else text.strip()


def mail(names: Mapping[str, Any], party: View, attorney: bool = True) -> Mail:
    """Where post for a party goes.

    The attorney of record (unless the form wants the party's own address), else a postal address for notices, else the
    home unless it is hidden. Names and addresses are read as facts.

    Args:
        names: the names of the case, of which `notices` is read.
        party: the party.
        attorney: whether the attorney of record comes first.
    """
    role = path_of(party)
    if attorney and party.representation == "attorney" and party.attorney.address:
        head = (party.attorney.name, party.attorney.firm, f"Attorney for {role}", party.attorney.address)
        return Mail(tuple(str(plain(line)) for line in head if line))
    given = getattr(names["notices"].addresses, f"to_{role}")
    notices = postal_part(str(plain(given))) if given else ""
    if notices:
        return Mail((str(plain(party.name).full), notices))
    if party.address_hidden:
        return Mail((), HIDDEN)
    home = party.address
    if not (home.street and home.city):
        return Mail((), UNKNOWN)
    town = " ".join(str(plain(part)) for part in (home.state, home.post_code) if part)
    return Mail((str(plain(party.name).full), str(plain(home.street)), f"{plain(home.city)}, {town}".rstrip(", ")))
