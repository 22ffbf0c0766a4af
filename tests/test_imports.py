"""Imports run one way: a room may use only rooms that stand earlier in the flow.

Every import counts, wherever it stands: at the top, inside a function, for the type checker alone, relative, of a room
as a whole, by `import_module` with a name written out, or of a public name through the package itself.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import msadraft

FLOW = (
    "tree", "facts", "law", "figures", "library", "agreement", "attachments", "review", "writers", "draft", "why", "rounds", "desk", "cli",
)  # fmt: skip
PACKAGE = Path(__file__).resolve().parents[1] / "msadraft"


def modules_used(source: str, package: str) -> Iterator[tuple[int, str]]:
    """Line and full name of every module of msadraft that a module imports. `package` is the package it stands in."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            above = package.split(".")[: len(package.split(".")) - node.level + 1] if node.level else []
            module = ".".join([*above, *([node.module] if node.module else [])])
            found = [f"{module}.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Call) and _is_import_call(node):
            found = [str(node.args[0].value)] if isinstance(node.args[0], ast.Constant) else ["msadraft.?"]
        else:
            continue
        yield from ((node.lineno, name) for name in found if name.split(".")[0] == "msadraft")


def _is_import_call(node: ast.Call) -> bool:
    called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    return called in ("import_module", "__import__") and bool(node.args)


def room_of(module: str) -> str | None:
    """The room of a module; of a public name of the package the room that it comes from; None for `msadraft` itself."""
    parts = module.split(".")
    if len(parts) == 1 or parts[1] in ("__version__", "*"):
        return None
    if len(parts) > 2 or parts[1] in FLOW:
        return parts[1]
    return room_of(msadraft._HOMES.get(parts[1], f"{module}.unknown"))


def faults(source: str, room: str, package: str) -> list[str]:
    """The imports that do not run toward an earlier room."""
    found = []
    for line, module in modules_used(source, package):
        other = room_of(module)
        if other is not None and (other not in FLOW or FLOW.index(other) > FLOW.index(room)):
            found.append(f"{line} {room} uses {module}")
    return found


def test_imports_run_only_toward_earlier_rooms() -> None:
    wrong, seen = [], 0
    for file in sorted(PACKAGE.rglob("*.py")):
        inside = file.relative_to(PACKAGE)
        room = inside.parts[0].removesuffix(".py")
        if room == "__init__":
            continue
        package = ".".join(("msadraft", *inside.parts[:-1]))
        source = file.read_text(encoding="utf-8")
        seen += len(list(modules_used(source, package)))
        wrong += [f"{inside}:{fault}" for fault in faults(source, room, package)]
    assert wrong == []
    assert seen > 500, "the walk finds imports at all"


def test_every_room_stands_in_the_flow() -> None:
    found = {
        p.name.removesuffix(".py") for p in PACKAGE.iterdir() if p.suffix == ".py" or (p / "__init__.py").is_file()
    }
    assert found - {"__init__"} == set(FLOW)


@pytest.mark.parametrize(
    "source",
    [
        "from msadraft.writers.docx import write_docx",
        "from msadraft import writers",
        "import msadraft.writers",
        "import msadraft.writers.docx as docx",
        "from .. import writers",
        "from ..writers import docx",
        "from ..writers.docx import write_docx",
        "from msadraft import write_docx",
        "def late():\n    from msadraft.writers.docx import write_docx",
        "def late():\n    import msadraft.writers",
        "if TYPE_CHECKING:\n    from msadraft.writers.stamp import Stamp",
        "import_module('msadraft.writers.docx')",
        "importlib.import_module('msadraft.writers')",
        "__import__('msadraft.writers')",
        "from msadraft.nowhere import thing",
        "importlib.import_module(name)",
    ],
)
def test_an_import_that_runs_forward_is_found_however_it_is_written(source: str) -> None:
    assert len(faults(source, "facts", "msadraft.facts")) == 1


@pytest.mark.parametrize(
    "source",
    [
        "from msadraft.facts.load import read_case",
        "from . import load",
        "from .load import read_case",
        "from .. import tree",
        "from msadraft import read_case",
        "import msadraft",
        "from msadraft import __version__",
        "import json, docx, writers",
        "from writers import docx",
    ],
)
def test_an_import_that_runs_back_or_leaves_the_package_is_none(source: str) -> None:
    assert faults(source, "facts", "msadraft.facts") == []
