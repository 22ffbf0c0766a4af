"""The tree and the figures as JSON: the same data that the other writers show, for programs."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from datetime import date, time
from decimal import Decimal
from typing import Any

from msadraft.agreement.numbering import Numbering
from msadraft.facts.view import Records
from msadraft.tree import (
    Agreement,
    Blank,
    Block,
    Caption,
    Inline,
    Paragraph,
    Plain,
    Reference,
    Row,
    Signature,
    Table,
    Text,
)


def write_json(data: Any) -> str:
    """Give JSON with a stable layout: two spaces, UTF-8, a final newline. Money as text, dates as ISO days."""
    return json.dumps(plain_data(data), ensure_ascii=False, indent=2) + "\n"


def write_lines(data: Mapping[str, Any], *long: str) -> str:
    """Give JSON with one line for each entry of the lists named: quick to write, and a change shows as a line."""
    encode = json.JSONEncoder(ensure_ascii=False).encode  # one for all lines: making it costs more than a line
    parts = [f"{json.dumps(k)}: {encode(v)}" for k, v in data.items() if k not in long]
    for name in long:
        entries = ",\n".join(map(encode, data[name]))
        parts.append(f"{json.dumps(name)}: [\n{entries}\n]")
    return "{" + ",\n".join(parts) + "}\n"


def plain_data(value: Any) -> Any:
    """Turn dataclasses, dates and money into plain JSON values."""
    if isinstance(value, Records):
        return list(value.keys)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain_data(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, dict):
        return {str(k): plain_data(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain_data(v) for v in value]
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, (date, time)):
        return value.isoformat()
    return value


def agreement_data(agreement: Agreement, numbering: Numbering, mark: str) -> dict[str, Any]:
    """The whole paper as data: sections, blocks, pieces with their sources, numbers."""
    return {
        "mark": mark,
        "title": agreement.title,
        "numbering": agreement.numbering,
        "layout": agreement.layout,
        "dated": agreement.dated,
        "initials": list(agreement.initials),
        "notes": list(agreement.notes),
        "caption": _caption(agreement.caption, numbering),
        "sections": [
            {
                "id": section.id,
                "kind": section.kind,
                "number": numbering[section.id].full,
                "heading": _pieces(section.heading, numbering),
                "blocks": [_block(block, numbering) for block in section.blocks],
            }
            for section in agreement.sections
        ],
    }


def _caption(caption: Caption, numbering: Numbering) -> dict[str, Any]:
    lines = ("county", "branch", "petitioner", "respondent", "case_number")
    return {
        **{name: _pieces(getattr(caption, name), numbering) for name in lines},
        "filers": [
            {"for_whom": filer.for_whom, "lines": [_pieces(line, numbering) for line in filer.lines]}
            for filer in caption.filers
        ],
    }


def _block(block: Block, numbering: Numbering) -> dict[str, Any]:
    common = {"id": block.id, "clause": block.clause, "kind": type(block).__name__.lower()}
    match block:
        case Paragraph():
            return {
                **common,
                "number": numbering[block.id].full,
                "level": block.level,
                "heading": _pieces(block.heading, numbering),
                "content": _pieces(block.content, numbering),
                "children": [_block(child, numbering) for child in block.children],
            }
        case Plain():
            return {**common, "set_as": block.kind, "content": _pieces(block.content, numbering)}
        case Table():
            return {
                **common,
                "caption": _pieces(block.caption, numbering),
                "header": [_pieces(cell, numbering) for cell in block.header],
                "align": list(block.align),
                "rows": [_row(row, numbering) for row in block.rows],
                "total": _row(block.total, numbering) if block.total else None,
            }
        case Signature():
            return {
                **common,
                "statement": _pieces(block.statement, numbering),
                "name": _pieces(block.name, numbering),
                "capacity": _pieces(block.capacity, numbering),
                "lines": list(block.lines),
            }


def _row(row: Row, numbering: Numbering) -> dict[str, Any]:
    return {"id": row.id, "cells": [_pieces(cell, numbering) for cell in row.cells]}


def _pieces(pieces: tuple[Inline, ...], numbering: Numbering) -> list[dict[str, str]]:
    return [_piece(piece, numbering) for piece in pieces]


def _piece(piece: Inline, numbering: Numbering) -> dict[str, str]:
    match piece:
        case Text():
            said = {"text": piece.text}
            if piece.source:
                said["source"] = piece.source
            if piece.bold or piece.italic:
                said["style"] = " ".join(name for name in ("bold", "italic") if getattr(piece, name))
            return said
        case Blank():
            return {"blank": piece.source}
        case Reference():
            return {
                "reference": piece.target,
                "number": numbering[piece.target].full if piece.target in numbering else "",
            }
