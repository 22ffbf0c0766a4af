"""The JSON Schema of case.yaml, for editors that check and complete while one types.

It says what the models say, no more: types, allowed words, needed keys, meaning and privacy class. It takes values as an
editor's YAML 1.2 reader types them (an unquoted 94110 is a number there). What only the loader can see (a short name
that points to nothing, a number that looks like a full account number, duplicate keys) is the loader's to report.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

from msadraft.facts.base import Record
from msadraft.facts.model import Facts
from msadraft.facts.paths import Shape, fields_of
from msadraft.facts.scalars import KEY_PATTERN

DIALECT = "https://json-schema.org/draft/2020-12/schema"
FILE_NAME = "case.schema.json"


def _schema(shape: Shape, records: dict[str, dict[str, Any]]) -> dict[str, Any]:
    if shape.record is not None:
        name = shape.record.__name__
        if name not in records:
            records[name] = {}  # holds the place, and ends the descent should records ever nest in themselves
            records[name] = _record_schema(shape.record, records)
        return {"$ref": f"#/$defs/{name}"}
    if shape.item is not None:
        inner = _schema(shape.item, records)
        if shape.form == "list":
            return {"type": "array", "items": inner}
        return {"type": "object", "propertyNames": {"pattern": KEY_PATTERN}, "additionalProperties": inner}
    if shape.choices:
        # Words made of digits only, such as 2255, arrive as numbers unless they are quoted.
        numbers = [int(word) for word in shape.choices if word.isdecimal()]
        return {"enum": [*shape.choices, *numbers]}
    return dict(shape.schema or {})


def _or_empty(schema: dict[str, Any]) -> dict[str, Any]:
    """The same, or nothing: an empty key is a fact not given."""
    if "enum" in schema:
        return {**schema, "enum": [*schema["enum"], None]}
    if "type" in schema:
        types = schema["type"] if isinstance(schema["type"], list) else [schema["type"]]
        return {**schema, "type": [*types, "null"]}
    return {"anyOf": [*schema.get("anyOf", [schema]), {"type": "null"}]}


def _record_schema(record: type[Record], records: dict[str, dict[str, Any]]) -> dict[str, Any]:
    properties = {}
    for name, found in fields_of(record).items():
        schema = _schema(found.shape, records)
        says = f"{found.says} ({found.unit})" if found.unit and found.unit not in found.says else found.says
        made: dict[str, Any] = {
            **(schema if found.required else _or_empty(schema)),
            **({"title": found.title} if found.has_own_title else {}),
            "description": says,
            "x-privacy": found.privacy,
        }
        if not found.required and isinstance(found.default, (str, bool, int)):
            made["default"] = found.default
        properties[name] = made
    return {
        "type": "object",
        "description": (record.__doc__ or "").strip(),
        "properties": properties,
        "required": [name for name, found in fields_of(record).items() if found.required],
        "additionalProperties": False,
    }


def json_schema() -> dict[str, Any]:
    """The schema, as plain data in the order of the models."""
    records: dict[str, dict[str, Any]] = {}
    top = _record_schema(Facts, records)
    return {
        "$schema": DIALECT,
        "title": "Facts of a case (case.yaml)",
        **top,
        "$defs": dict(sorted(records.items())),
    }


def schema_text() -> str:
    """The schema as the text of a file."""
    return json.dumps(json_schema(), indent=2, ensure_ascii=False) + "\n"


def write_schema(path: str | os.PathLike[str]) -> None:
    """Write the schema to a file. Raises OSError if that is not possible."""
    Path(path).write_text(schema_text(), encoding="utf-8", newline="\n")
