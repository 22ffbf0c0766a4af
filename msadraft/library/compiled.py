"""Compiled clauses, kept between runs in the user's cache folder, as Python keeps compiled modules.

Compiling two hundred templates takes most of a cold start. The store is one file per versions of Python, Jinja2
and this program; an entry is found by the digest of its source, so an edited clause is simply compiled again.
Beside the compiled templates it holds the front matter of the clauses as plain data; its checks run every time.
A store that is missing, damaged, or that somebody else could have written is passed over.
"""

from __future__ import annotations

import hashlib
import marshal
import os
import stat
import sys
from collections.abc import Callable
from contextlib import suppress
from importlib.metadata import version
from pathlib import Path
from types import CodeType
from typing import Any, TypeVar

from jinja2 import Environment, Template, nodes
from jinja2.environment import TemplateExpression

import msadraft

Made = TypeVar("Made")
_DAMAGED = (ValueError, EOFError, TypeError)
"""What decoding a damaged entry raises."""
MOST_BYTES = 32_000_000
"""A store that has grown larger, with the many earlier wordings of edited clauses, is begun anew."""


class CompiledStore:
    """Templates and conditions of one environment, compiled once and kept; an entry is decoded when it is needed."""

    def __init__(self, environment: Environment, file: Path | None = None) -> None:
        """Open the store; `file` defaults to the user's cache folder."""
        self.environment = environment
        self.revision: bytes = getattr(environment, "compiled_as", "").encode()
        self.file = file if file is not None else cache_file()
        self.entries: dict[bytes, bytes] = _read(self.file)
        self.fresh = False
        self.made: dict[tuple[bytes, str], Any] = {}

    def template(self, source: str) -> Template:
        """The template of a clause's text."""
        return self._once(b"t", source, lambda: self._loaded(b"t", source, self.environment.compile))

    def expression(self, source: str) -> TemplateExpression:
        """A condition, as `Environment.compile_expression` gives it."""

        def load() -> TemplateExpression:
            return TemplateExpression(self._loaded(b"e", source, self._condition), undefined_to_none=False)

        return self._once(b"e", source, load)

    def data(self, source: str, read: Callable[[str], Any]) -> Any:
        """What `read` makes of a source: plain data of strings, numbers, lists and dictionaries."""
        return self._kept(b"d", source, read, object)

    def _condition(self, source: str) -> CodeType:
        parsed = self.environment.parse("{{ " + source + "\n}}")
        printed = parsed.body[0]
        assert isinstance(printed, nodes.Output)
        if len(parsed.body) != 1 or len(printed.nodes) != 1:
            raise ValueError(f"{source!r} is not one expression")
        assign = nodes.Assign(nodes.Name("result", "store", lineno=1), printed.nodes[0], lineno=1)
        return self.environment.compile(nodes.Template([assign], lineno=1))

    def _once(self, kind: bytes, source: str, load: Callable[[], Made]) -> Made:
        if (kind, source) not in self.made:
            self.made[kind, source] = load()
        found: Made = self.made[kind, source]
        return found

    def _loaded(self, kind: bytes, source: str, compile_it: Callable[[str], CodeType]) -> Template:
        code = self._kept(kind, source, compile_it, CodeType)
        return Template.from_code(self.environment, code, self.environment.globals)  # no template has names of its own

    def _kept(self, kind: bytes, source: str, make: Callable[[str], Any], wanted: type) -> Any:
        """The entry of a source; made, and kept where it can be, if there is none of the wanted type."""
        key = hashlib.sha256(self.revision + kind + source.encode(errors="surrogatepass")).digest()
        if key in self.entries:
            with suppress(*_DAMAGED):
                found = marshal.loads(self.entries[key])  # noqa: S302  (from a file that only we can write)
                if isinstance(found, wanted):
                    return found
        made = make(source)
        with suppress(ValueError):  # holds something else than plain data, such as a date
            self.entries[key] = marshal.dumps(made)
            self.fresh = True
        return made

    def keep(self) -> None:
        """Write the store if anything new was compiled. A folder that cannot be written is no error."""
        if not self.fresh:
            return
        self.fresh = False
        part = self.file.with_name(f".{self.file.name}.{os.getpid()}.part")
        try:
            self.file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            with open(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
                file.write(marshal.dumps(self.entries))
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


def _read(file: Path) -> dict[bytes, bytes]:
    try:
        if not _only_ours(file) or not _only_ours(file.parent) or file.stat().st_size > MOST_BYTES:
            return {}
        found = marshal.loads(file.read_bytes())  # noqa: S302  (asked just before: only we can write the file)
    except (OSError, *_DAMAGED):
        return {}
    good = isinstance(found, dict) and all(isinstance(k, bytes) and isinstance(v, bytes) for k, v in found.items())
    return found if good else {}


def _only_ours(path: Path) -> bool:
    """Whether nobody but this user could have written a file: compiled code is run, so its origin matters."""
    if os.name == "nt":
        return True
    info = path.stat()
    return info.st_uid == os.getuid() and not info.st_mode & (stat.S_IWGRP | stat.S_IWOTH)
