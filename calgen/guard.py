"""A second process that ends what this one has begun, should it be killed in the middle: nothing can refuse a kill."""

from __future__ import annotations

import os
import signal
import sys
import threading
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Final, NoReturn

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

WAITING: Final[set[threading.Thread]] = set()
"""Threads that only wait, and hold nothing a copy of the process would wait for."""


@contextmanager
def guarded(finish: Callable[[], object]) -> Iterator[None]:
    """Run the block; if this process ends within it, however it ends, its guard calls ``finish``.

    The guard is a copy of this process that waits. What this one has locked stays locked until the guard has ended too.
    There is none on Windows, which knows no copies of a process; where other threads are at work, whose locks a copy
    would never see let go; nor where the system allows no more processes. Then the block just runs.
    """
    if sys.platform == "win32" or set(threading.enumerate()) - {threading.current_thread()} - WAITING:
        yield
        return
    here, there = os.pipe()
    signals = signal.pthread_sigmask(signal.SIG_BLOCK, signal.valid_signals())  # in the guard they stay blocked
    guard = 0
    try:
        with suppress(OSError):
            guard = os.fork()
            if not guard:
                _watch(here, there, finish)
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, signals)
        os.close(here)
    try:
        yield
    finally:
        with suppress(OSError):  # the guard was killed
            os.write(there, b"done")
        os.close(there)
        if guard:
            with suppress(ChildProcessError):
                os.waitpid(guard, 0)


def _watch(here: int, there: int, finish: Callable[[], object]) -> NoReturn:
    """The guard's life: the pipe ends without a word when nobody holds its other end any more."""
    try:
        os.setsid()  # what ends a whole terminal does not end the guard
        os.close(there)
        if not os.read(here, 1):
            finish()
    finally:
        os._exit(0)
