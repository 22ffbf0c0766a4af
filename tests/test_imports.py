"""Imports run one way: a room may use only rooms that stand earlier in the flow."""

from __future__ import annotations

import ast
from pathlib import Path

FLOW = (
    "tree", "facts", "law", "figures", "library", "agreement", "attachments", "review", "writers", "draft", "why", "rounds", "desk", "cli",
)  # fmt: skip
PACKAGE = Path(__file__).resolve().parents[1] / "msadraft"


def test_imports_run_only_toward_earlier_rooms() -> None:
    wrong = []
    for file in sorted(PACKAGE.rglob("*.py")):
        room = file.relative_to(PACKAGE).parts[0].removesuffix(".py")
        if room == "__init__":
            continue
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            module = node.module if isinstance(node, ast.ImportFrom) else None
            if module and module.startswith("msadraft."):
                other = module.split(".")[1]
                if FLOW.index(other) > FLOW.index(room):
                    wrong.append(f"{file.relative_to(PACKAGE)}:{node.lineno} {room} uses {other}")
    assert wrong == []
