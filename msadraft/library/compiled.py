"""Compiled clauses, kept between runs in the user's cache folder, as Python keeps compiled modules.

Compiling two hundred templates takes most of a cold start. The store is one file per versions of Python, Jinja2
and this program; an entry is found by the digest of its source, so an edited clause is simply compiled again.
A store that is missing, damaged, or that somebody else could have written is passed over.
"""

from __future__ import annotations

import hashlib
import marshal
import os
import stat
import sys
from contextlib import suppress
from importlib.metadata import version
from pathlib import Path
from types import CodeType
from typing import Any

from jinja2 import Environment, Template, nodes
from jinja2.environment import TemplateExpression

import msadraft


class CompiledStore:
    """Templates and conditions of one environment, compiled once and kept."""

    def __init__(self, environment: Environment, file: Path | None = None) -> None:
        """Open the store; `file` defaults to the user's cache folder."""
        self.environment = environment
        self.file = file if file is not None else cache_file()
        self.code: dict[bytes, CodeType] = _read(self.file)
        self.fresh = False
        self.made: dict[bytes, Any] = {}

    def template(self, source: str) -> Template:
        """The template of a clause's text."""
        key = hashlib.sha256(b"t" + source.encode()).digest()
        if key not in self.made:
            self.made[key] = self._load(key, lambda: self.environment.compile(source))
        found: Template = self.made[key]
        return found

    def expression(self, source: str) -> TemplateExpression:
        """A condition, as `Environment.compile_expression` gives it."""
        key = hashlib.sha256(b"e" + source.encode()).digest()
        if key not in self.made:
            self.made[key] = TemplateExpression(
                self._load(key, lambda: self._condition(source)), undefined_to_none=False
            )
        found: TemplateExpression = self.made[key]
        return found

    def _condition(self, source: str) -> CodeType:
        parsed = self.environment.parse("{{ " + source + "\n}}")
        printed = parsed.body[0]
        assert isinstance(printed, nodes.Output)
        if len(parsed.body) != 1 or len(printed.nodes) != 1:
            raise ValueError(f"{source!r} is not one expression")
        assign = nodes.Assign(nodes.Name("result", "store", lineno=1), printed.nodes[0], lineno=1)
        return self.environment.compile(nodes.Template([assign], lineno=1))

    def _load(self, key: bytes, compile_it: Any) -> Template:
        code = self.code.get(key)
        if code is None:
            code = self.code[key] = compile_it()
            self.fresh = True
        return Template.from_code(self.environment, code, self.environment.make_globals(None))

    def keep(self) -> None:
        """Write the store if anything new was compiled. A folder that cannot be written is no error."""
        if not self.fresh:
            return
        self.fresh = False
        part = self.file.with_name(f".{self.file.name}.{os.getpid()}.part")
        try:
            self.file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            with open(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
                file.write(marshal.dumps(self.code))
            part.replace(self.file)
        except OSError:
            with suppress(OSError):
                part.unlink()


def cache_file() -> Path:
    """Where compiled clauses of these versions are kept."""
    name = f"clauses-{msadraft.__version__}-{version('jinja2')}-{sys.implementation.cache_tag}.bin"
    if os.name == "nt":
        base = Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local"))
    else:
        base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    return base / "msadraft" / name


def _read(file: Path) -> dict[bytes, CodeType]:
    try:
        if not _only_ours(file) or not _only_ours(file.parent):
            return {}
        found = marshal.loads(file.read_bytes())
    except (OSError, ValueError, EOFError, TypeError):
        return {}
    good = isinstance(found, dict) and all(isinstance(k, bytes) and isinstance(v, CodeType) for k, v in found.items())
    return found if good else {}


def _only_ours(path: Path) -> bool:
    """Whether nobody but this user could have written a file: compiled code is run, so its origin matters."""
    if os.name == "nt":
        return True
    info = path.stat()
    return info.st_uid == os.getuid() and not info.st_mode & (stat.S_IWGRP | stat.S_IWOTH)
