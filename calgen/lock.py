"""A lock on a folder: one build at a time. The system lets go of it when the program ends, however it ends."""

from __future__ import annotations

import errno
import os
import sys
import time
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Final

from calgen.plainfile import hold_plain

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

WAIT_S: Final = 15.0
PAUSE_S: Final = 0.05
_TAKEN: Final = {errno.EACCES, errno.EAGAIN, errno.EDEADLK}


class Busy(Exception):
    """Another program holds the lock, and did not let go in time."""


@contextmanager
def locked(path: Path, wait_s: float = WAIT_S) -> Iterator[None]:
    """Hold the lock while the block runs. Its file is made for that and taken away at the end.

    Disks that know no locks are used without one.

    Raises:
        Busy: after ``wait_s`` seconds.
        OSError: the file cannot be opened, or is none.
    """
    descriptor = _held(path, time.monotonic() + wait_s)
    try:
        yield
    finally:
        try:
            with suppress(OSError):  # Windows removes no open file: there it stays
                os.unlink(path)
        finally:
            os.close(descriptor)


def _held(path: Path, until: float) -> int:
    """An open file whose lock is ours, and which still stands under its name: the holder before took his away."""
    while True:
        with suppress(FileNotFoundError):
            hold_plain(os.stat(path).st_mode, path)
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
        try:
            while not _taken(descriptor):
                if time.monotonic() >= until:
                    raise Busy(str(path))
                time.sleep(PAUSE_S)
            with suppress(FileNotFoundError):
                if os.path.samestat(os.fstat(descriptor), os.stat(path)):
                    return descriptor
        except BaseException:
            os.close(descriptor)
            raise
        os.close(descriptor)


def _taken(descriptor: int) -> bool:
    """Whether the lock is ours now."""
    try:
        if sys.platform == "win32":
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        return error.errno not in _TAKEN
    return True
