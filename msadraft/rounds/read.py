"""One version of a case as it can be compared: a finished round read back, or a draft that is not written yet.

A round is read from its own files alone: what it said then does not change with a later program or clause library. Its
files are checked against the manifest first.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from msadraft.agreement.numbering import Numbering, number
from msadraft.draft import Draft
from msadraft.facts.load import read_text_case
from msadraft.facts.model import Facts
from msadraft.facts.problems import FactsError
from msadraft.rounds.chosen import selection_data
from msadraft.rounds.errors import RoundError
from msadraft.tree import (
    Agreement,
    Blank,
    Block,
    Caption,
    Filer,
    Inline,
    Paragraph,
    Plain,
    Reference,
    Row,
    Section,
    Signature,
    Table,
    Text,
)

READ = ("facts.yaml", "agreement.json", "paragraph-map.json", "figures.json", "selection.json")


@dataclass(frozen=True)
class Version:
    """One version of a case.

    Attributes:
        label: "Round 2".
        mark: the label and the fingerprint of the content.
        ready: whether no finding stops signing.
        agreement: the tree.
        numbering: its numbers.
        facts: the facts; None if this version of the program cannot read the facts of that round.
        trouble: why it cannot.
        figures: the figures as plain data.
        chosen: the clauses that are in and out, with the facts that decided, as plain data.
        items: the form items of the paragraph map, as plain data.
        library: digest of the clause library.
        engine: version of the program that wrote it.
    """

    label: str
    mark: str
    ready: bool
    agreement: Agreement
    numbering: Numbering
    facts: Facts | None
    trouble: str
    figures: Mapping[str, Any]
    chosen: Mapping[str, Any]
    items: tuple[Mapping[str, Any], ...]
    library: str
    engine: str


def read_round(folder: Path) -> Version:
    """Read a finished round.

    Raises:
        RoundError: a file is missing, was changed after the round was written, or was written by an older program that
            did not keep it.
    """
    manifest = manifest_of(folder)
    files = {name: _checked(folder, name, manifest) for name in READ}
    text = files["facts.yaml"].decode()
    facts, trouble = None, ""
    try:
        facts = read_text_case(text, f"{folder.name}/facts.yaml").facts
    except FactsError as error:
        trouble = f"The facts of this round cannot be read by this version of the program: {str(error).splitlines()[0]}"
    data = json.loads(files["agreement.json"])
    agreement = tree_of(data)
    return Version(
        label=str(manifest["mark"]).split(" · ")[0],
        mark=manifest["mark"],
        ready=manifest["ready"],
        agreement=agreement,
        numbering=number(agreement),
        facts=facts,
        trouble=trouble,
        figures=json.loads(files["figures.json"]),
        chosen=json.loads(files["selection.json"]),
        items=tuple(json.loads(files["paragraph-map.json"])["items"]),
        library=manifest["clauses"],
        engine=manifest["engine"],
    )


def manifest_of(folder: Path) -> dict[str, Any]:
    """Give the manifest of a round.

    Raises:
        RoundError: there is none, or it is not one.
    """
    try:
        manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
        if not isinstance(manifest, dict) or not isinstance(manifest.get("files"), dict):
            raise ValueError
    except FileNotFoundError:
        raise RoundError(f"{folder}: there is no such round; `msadraft draft` writes the next one") from None
    except (OSError, ValueError):
        raise RoundError(
            f"{folder}: the manifest of this round cannot be read; restore the folder from a copy"
        ) from None
    return manifest


def _checked(folder: Path, name: str, manifest: Mapping[str, Any]) -> bytes:
    wanted = manifest["files"].get(name)
    if wanted is None:
        raise RoundError(
            f"{folder}: this round has no {name}, because an older version of the program wrote it; "
            "draft the case again and compare the new round"
        )
    try:
        content = (folder / name).read_bytes()
    except OSError as error:
        raise RoundError(
            f"{folder / name}: cannot be read ({error.strerror}); restore the folder from a copy"
        ) from error
    if hashlib.sha256(content).hexdigest() != wanted:
        raise RoundError(f"{folder / name}: was changed after the round was written; restore the folder from a copy")
    return content


def version_of(
    draft: Draft, label: str, figures: Mapping[str, Any], items: Iterable[Mapping[str, Any]], library: str, engine: str
) -> Version:
    """Give a draft as a version. `figures` and `items` are the plain data that its round will hold."""
    return Version(
        label,
        draft.stamp(label).mark,
        not draft.stops,
        draft.agreement,
        draft.numbering,
        draft.case.facts,
        "",
        figures,
        selection_data(draft.selection),
        tuple(items),
        library,
        engine,
    )


def tree_of(data: Mapping[str, Any]) -> Agreement:
    """Rebuild the tree from `agreement.json`."""
    caption = data["caption"]
    return Agreement(
        title=data["title"],
        caption=Caption(
            county=_pieces(caption["county"]),
            branch=_pieces(caption["branch"]),
            petitioner=_pieces(caption["petitioner"]),
            respondent=_pieces(caption["respondent"]),
            case_number=_pieces(caption["case_number"]),
            filers=tuple(
                Filer(tuple(_pieces(line) for line in filer["lines"]), filer["for_whom"]) for filer in caption["filers"]
            ),
        ),
        sections=tuple(
            Section(s["id"], s["kind"], _pieces(s["heading"]), tuple(_block(block) for block in s["blocks"]))
            for s in data["sections"]
        ),
        numbering=data["numbering"],
        layout=data["layout"],
        initials=(data["initials"][0], data["initials"][1]),
        dated=data["dated"],
        notes=tuple(data["notes"]),
    )


def _block(data: Mapping[str, Any]) -> Block:
    node, clause = data["id"], data["clause"]
    match data["kind"]:
        case "paragraph":
            children = tuple(_block(child) for child in data["children"])
            return Paragraph(node, clause, data["level"], _pieces(data["content"]), _pieces(data["heading"]), children)
        case "plain":
            return Plain(node, clause, _pieces(data["content"]), data["set_as"])
        case "table":
            return Table(
                node,
                clause,
                _pieces(data["caption"]),
                tuple(_pieces(cell) for cell in data["header"]),
                tuple(_row(row) for row in data["rows"]),
                tuple(data["align"]),
                _row(data["total"]) if data["total"] else None,
            )
        case "signature":
            return Signature(
                node,
                clause,
                _pieces(data["name"]),
                _pieces(data["capacity"]),
                _pieces(data["statement"]),
                tuple(data["lines"]),
            )
        case other:
            raise RoundError(f"agreement.json holds a {other!r}, which this version of the program does not know")


def _row(data: Mapping[str, Any]) -> Row:
    return Row(data["id"], tuple(_pieces(cell) for cell in data["cells"]))


def _pieces(data: Iterable[Mapping[str, str]]) -> tuple[Inline, ...]:
    return tuple(_piece(piece) for piece in data)


def _piece(data: Mapping[str, str]) -> Inline:
    if "reference" in data:
        return Reference(data["reference"])
    if "blank" in data:
        return Blank(data["blank"])
    style = data.get("style", "").split()
    return Text(data["text"], data.get("source", ""), "bold" in style, "italic" in style)
