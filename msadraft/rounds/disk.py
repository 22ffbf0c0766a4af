"""Files of a case on disk: private to their owner, whole or not there, and lasting where it matters."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from contextlib import ExitStack, suppress
from pathlib import Path

from msadraft.rounds.errors import RoundError
from msadraft.rounds.lock import BusyError, writing


def rounds_in(case_folder: Path) -> list[int]:
    """The numbers of the finished rounds of a case, in order."""
    folder = case_folder / "rounds"
    if not folder.is_dir():
        return []
    return sorted(int(p.name) for p in folder.iterdir() if p.is_dir() and re.fullmatch(r"\d{2,}", p.name))


def write_file(path: Path, data: bytes, durable: bool) -> None:
    """Write a file that only its owner can read; `durable` waits until it is on the disk."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | getattr(os, "O_BINARY", 0), 0o600)
    try:
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(handle, rest) :]
        if durable:
            os.fsync(handle)
    finally:
        os.close(handle)


def place_file(path: Path, data: bytes, aside: str = "", durable: bool = False) -> None:
    """Write a file aside, then give it its name in one step. `aside` tells writers apart that no lock keeps apart.

    `durable` waits until it is on the disk.

    Raises:
        OSError: it cannot be written; the earlier file, if there is one, stands, and nothing is left beside it.
    """
    part = path.with_name(f".{path.name}{aside}.part")
    try:
        write_file(part, data, durable)
        part.replace(path)
    except OSError:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise
    if durable:
        with suppress(OSError):  # the file is there; only a failing power supply could still take the new name away
            sync(path.parent)


def write_files(files: Mapping[str, bytes], out: Path) -> Path:
    """Write files into a folder, each by rename.

    Raises:
        RoundError: the folder cannot be written, or another process is writing to it.
    """
    try:
        out.mkdir(mode=0o700, parents=True, exist_ok=True)
        with ExitStack() as held:
            try:
                held.enter_context(writing(out))
            except BusyError:
                raise
            except RoundError:
                pass  # a disk without locks; two writers at once are rare enough there
            for name, data in files.items():
                place_file(out / name, data)
    except OSError as error:
        raise RoundError(f"{out}: cannot be written ({error.strerror}); choose another folder with --out") from error
    return out


def sync(folder: Path) -> None:
    """Make a rename durable; folders cannot be synced on Windows, where the rename alone must do."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
