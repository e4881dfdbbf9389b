"""A lock on a folder: one build at a time. The system lets go of it when the program ends, however it ends."""

from __future__ import annotations

import errno
import os
import sys
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final

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
    """Hold the lock while the block runs. The file stays: removing it would let two programs in.

    Disks that know no locks are used without one.

    Raises:
        Busy: after ``wait_s`` seconds.
        OSError: the file cannot be opened.
    """
    descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
    try:
        until = time.monotonic() + wait_s
        while not _taken(descriptor):
            if time.monotonic() >= until:
                raise Busy(str(path))
            time.sleep(PAUSE_S)
        yield
    finally:
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
