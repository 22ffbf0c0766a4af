"""One writer at a time for a case: a lock of the operating system on a small file in the case folder.

The lock belongs to the process and goes with it, however it ends, so a lock is never stale and no clock is asked. The
file only says whose lock it is. It is taken away on release; whoever opened it before that sees that it is gone and
makes a new one.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from msadraft.rounds.errors import RoundError

LOCK_NAME = ".msadraft.lock"


class BusyError(RoundError):
    """Another process is writing there."""


_BUSY = (errno.EACCES, errno.EAGAIN, errno.EWOULDBLOCK, errno.EDEADLK)


@contextmanager
def writing(case_folder: Path) -> Iterator[None]:
    """Hold the case for writing.

    Raises:
        BusyError: another process holds it.
        RoundError: the folder or its disk cannot be locked.
    """
    path = case_folder / LOCK_NAME
    try:
        handle = _taken(path)
    except OSError as error:
        raise RoundError(
            f"{case_folder}: the case cannot be locked for writing ({error.strerror}). Check the rights of the folder; on a "
            "network drive that has no locks, work on a copy on this computer."
        ) from error
    try:
        yield
    finally:
        _release(path, handle)


def _taken(path: Path) -> int:
    while True:
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            _lock(handle)
        except OSError as error:
            owner = os.read(handle, 20).decode("ascii", "replace").strip() if os.name != "nt" else ""
            os.close(handle)
            if error.errno not in _BUSY:
                raise
            raise BusyError(
                f"{path.parent}: another msadraft{f' (process {owner})' if owner else ''} is writing to this folder. "
                "Wait until it is done, then try again."
            ) from None
        if _is_at(path, handle):
            with suppress(OSError):  # the number only says whose lock it is; a full disk must not stop it
                os.ftruncate(handle, 0)
                os.write(handle, f"{os.getpid()}\n".encode())
            return handle
        os.close(handle)


def _is_at(path: Path, handle: int) -> bool:
    """Say whether the open file is still the one at `path`: its last holder may have taken it away."""
    try:
        return os.path.samestat(os.stat(path), os.fstat(handle))
    except FileNotFoundError:
        return False


def _release(path: Path, handle: int) -> None:
    if os.name == "nt":
        os.close(handle)  # an open file cannot be deleted there; the empty lock file stays
        return
    with suppress(OSError):  # a lock file that stays holds nobody up
        os.unlink(path)
    with suppress(OSError):
        os.close(handle)


if os.name == "nt":
    import msvcrt

    def _lock(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
