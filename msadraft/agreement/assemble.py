"""Assemble the chosen clauses into one tree."""

from __future__ import annotations

from typing import Any

from msadraft.agreement.body import read_body
from msadraft.facts.model import Facts
from msadraft.facts.people import Party
from msadraft.facts.view import View
from msadraft.library.bounds import RENDER_ERRORS
from msadraft.library.environment import Pieces, SignHere, WordingError, Words, store, template
from msadraft.library.load import Library
from msadraft.library.select import Chosen, Selection
from msadraft.tree import Agreement, Block, Caption, Filer, Inline, Section, Text


def assemble(library: Library, selection: Selection, facts: Facts) -> Agreement:
    """Build the agreement: sections in the order of the outline, empty ones dropped.

    Raises:
        WordingError: a clause's text cannot be rendered or read; the message names its file.
    """
    names = selection.names
    sections: list[Section] = []
    for section in library.sections:
        chosen = [c for c in selection.chosen if c.section == section.section]
        blocks = tuple(block for c in chosen for block in clause_blocks(c, names))
        if blocks:
            sections.append(
                Section(section.section, section.kind, _line(section.heading, names, section.section), blocks)
            )
    store().keep()
    case = facts.case
    return Agreement(
        title=title(facts),
        caption=_caption(facts, names),
        sections=tuple(sections),
        numbering=case.numbering,
        layout=case.layout,
        initials=(facts.petitioner.name.first, facts.respondent.name.first),
        dated=case.signing_on.isoformat() if case.signing_on else "",
    )


def title(facts: Facts) -> str:
    """What the paper is called."""
    word = "PARTNERSHIP" if facts.case.relationship == "partnership" else "MARITAL"
    return (
        f"{word} SETTLEMENT AGREEMENT"
        if facts.case.agreement_kind == "settlement_agreement"
        else "ATTACHMENT TO STIPULATED JUDGMENT"
    )


def clause_blocks(chosen: Chosen, names: dict[str, Any]) -> tuple[Block, ...]:
    """Render one clause instance into blocks."""
    clause = chosen.clause
    own = {**names, clause.item_name: chosen.item} if chosen.item is not None else names
    pieces = Pieces()
    try:
        text = template(clause.body).render({**own, "_pieces": pieces})
        heading = _line(clause.heading, own, clause.id)
        # an exhibit and its only clause share a name; the exhibit keeps it, its text stands one step below
        base = f"{chosen.id}/text" if chosen.id == chosen.section else chosen.id
        return read_body(text, pieces, clause.id, base, heading)
    except WordingError as error:
        raise WordingError(f"{clause.file}: {error}") from error
    except RENDER_ERRORS as error:
        line = getattr(error, "lineno", None)
        said = str(error) or type(error).__name__
        raise WordingError(f"{clause.file}:{line + clause.body_line if line else clause.body_line}: {said}") from error


def _line(source: str, names: dict[str, Any], where: str) -> tuple[Inline, ...]:
    """Render a heading."""
    pieces = Pieces()
    text = template(source).render({**names, "_pieces": pieces}) if "{" in source else source
    out: list[Inline] = []
    for part in pieces.of(text):
        if isinstance(part, SignHere):
            raise WordingError(f"{where}: a heading holds text only")
        out.append(Text(part) if isinstance(part, str) else part)
    return tuple(out)


def _caption(facts: Facts, names: dict[str, Any]) -> Caption:
    def line(source: str) -> tuple[Inline, ...]:
        return _line(source, names, "caption")

    filers = tuple(
        _filer(role, party, names)
        for role, party in (("petitioner", facts.petitioner), ("respondent", facts.respondent))
    )
    return Caption(
        county=line("{{ case.county }}"),
        branch=line("{{ case.branch }}") if facts.case.branch else (),
        petitioner=line("{{ petitioner.name.full }}"),
        respondent=line("{{ respondent.name.full }}"),
        case_number=line("{{ case.number }}"),
        filers=filers,
    )


def _filer(role: str, party: Party, names: dict[str, Any]) -> Filer:
    """The lines of rule 2.111(1): the attorney, or the party without one; a hidden address never prints."""
    view: View = names[role]

    def lines(*sources: str) -> tuple[tuple[Inline, ...], ...]:
        return tuple(_line(source, {**names, "party": view}, "caption") for source in sources)

    if party.attorney and party.representation == "attorney":
        given = [
            f"{{{{ party.attorney.{key} }}}}"
            for key in ("firm", "address", "phone", "email")
            if getattr(party.attorney, key)
        ]
        return Filer(
            lines("{{ party.attorney.name }} (State Bar No. {{ party.attorney.bar_number }})", *given),
            f"Attorney for {role.capitalize()}",
        )
    own = ["{{ party.name.full }}"]
    if party.address and not party.address_hidden:
        own.append(
            "{{ party.address.street }}, {{ party.address.city }}, {{ party.address.state }} {{ party.address.post_code }}"
        )
    if not party.address_hidden:
        own += [f"{{{{ party.{key} }}}}" for key in ("phone", "email") if getattr(party, key)]
    return Filer(lines(*own), f"{role.capitalize()}, self-represented")


__all__ = ["Words", "assemble", "clause_blocks", "title"]
