"""A disk that fails, or a machine that goes down, at a chosen call: every call to the disk of this process goes through here."""

from __future__ import annotations

import builtins
import errno
import io
import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from unittest import mock

CHANGING = ("open", "write", "fsync", "close", "mkdir", "rename", "replace", "unlink", "rmdir", "ftruncate", "link")
_MADE = os.O_CREAT | os.O_WRONLY | os.O_RDWR


class _Raw(io.RawIOBase):
    """A file opened for writing whose bytes go through `os.write`, where they can be stopped."""

    def __init__(self, handle: int) -> None:
        self.handle = handle

    def writable(self) -> bool:
        return True

    def fileno(self) -> int:
        return self.handle

    def write(self, data: Any) -> int:
        return os.write(self.handle, bytes(data))

    def close(self) -> None:
        if not self.closed:
            super().close()
            os.close(self.handle)


def _opened(real: Callable[..., Any]) -> Callable[..., Any]:
    """`open`, with files for writing as `_Raw`."""

    def call(
        file: Any,
        mode: str = "r",
        buffering: int = -1,
        encoding: Any = None,
        errors: Any = None,
        newline: Any = None,
        *more: Any,
        **options: Any,
    ) -> Any:
        if not set(mode) & set("wxa") or more or options or str(file).startswith("/dev"):
            return real(file, mode, buffering, encoding, errors, newline, *more, **options)
        flags = {"w": os.O_TRUNC, "x": os.O_EXCL, "a": os.O_APPEND}[(set(mode) & set("wxa")).pop()]
        handle = file if isinstance(file, int) else os.open(file, os.O_WRONLY | os.O_CREAT | flags, 0o666)
        out = io.BufferedWriter(_Raw(handle))
        return out if "b" in mode else io.TextIOWrapper(out, encoding or "utf-8", errors, newline)

    return call


class Disk:
    """Counts the calls, and lets one of them fail. `where` keeps the calls under one folder only."""

    def __init__(self, count: int, happens: Callable[[str, Any, tuple[Any, ...], dict[str, Any]], Any]) -> None:
        self.count, self.happens = count, happens
        self.seen = 0
        self.names: list[str] = []

    def wrapped(self, name: str, real: Any) -> Any:
        def call(*args: Any, **options: Any) -> Any:
            if name == "open" and not (args[1] if len(args) > 1 else options.get("flags", 0)) & _MADE:
                return real(*args, **options)
            self.seen += 1
            self.names.append(name)
            if self.seen == self.count:
                return self.happens(name, real, args, options)
            return real(*args, **options)

        return call

    @contextmanager
    def watched(self) -> Iterator[None]:
        calls = {name: self.wrapped(name, getattr(os, name)) for name in CHANGING}
        with (
            mock.patch.multiple(os, **calls),
            mock.patch.object(builtins, "open", _opened(builtins.open)),
            mock.patch.object(io, "open", _opened(io.open)),
        ):
            yield


def full(code: int) -> Callable[..., Any]:
    """The call fails with an error of the operating system; a write gets half of its bytes onto the disk first."""

    def happens(name: str, real: Any, args: tuple[Any, ...], options: dict[str, Any]) -> Any:
        if name == "write":
            real(args[0], bytes(args[1])[: len(args[1]) // 2])
        if name == "close":
            real(*args, **options)
        raise OSError(code, os.strerror(code))

    return happens


def fails_at(count: int, work: Callable[[], Any], code: int = errno.ENOSPC) -> tuple[Any, str]:
    """Do `work` while the `count`-th call fails. Gives its result, and the name of the call ("" if there were not so many)."""
    disk = Disk(count, full(code))
    with disk.watched():
        result = work()
    return result, disk.names[count - 1] if disk.seen >= count else ""


def killed_at(count: int, work: Callable[[], Any]) -> bool:
    """Do `work` in a child that is killed at its `count`-th call: within a write, before or right after another call."""
    child = os.fork()
    if child == 0:

        def happens(name: str, real: Any, args: tuple[Any, ...], options: dict[str, Any]) -> Any:
            try:
                if name == "write":
                    real(args[0], bytes(args[1])[: len(args[1]) // 2])
                elif count % 2:
                    real(*args, **options)
            finally:
                os.kill(os.getpid(), signal.SIGKILL)

        try:
            with Disk(count, happens).watched():
                work()
        except BaseException:
            os._exit(3)
        os._exit(0)
    status = os.waitpid(child, 0)[1]
    assert os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 0, "the child failed by itself"
    return os.WIFSIGNALED(status)


def calls_of(work: Callable[[], Any]) -> int:
    """How many calls `work` makes."""
    disk = Disk(0, full(0))
    with disk.watched():
        work()
    return disk.seen


def state(folder: Path) -> dict[str, bytes]:
    """Every file under a folder, by path."""
    return (
        {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}
        if folder.is_dir()
        else {}
    )
