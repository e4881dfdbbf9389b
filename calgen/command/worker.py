"""What a process that builds many sites does besides building: forgets each, and ends with the one that started it."""

from __future__ import annotations

import os
import signal
import sys
from threading import Thread

from calgen.guard import WAITING
from calgen.output import MOVING

_ABOUT_A_SITE = ("calgen.climate", "calgen.planner")


def forget() -> None:
    """Drop the answers that climate and planner keep about a site; kept for the next, memory would grow with each."""
    for name, module in list(sys.modules.items()):
        if name.startswith(_ABOUT_A_SITE):
            for value in list(vars(module).values()):
                if clear := getattr(value, "cache_clear", None):
                    clear()


def begin() -> None:
    """Leave stopping to the parent, and end when it is gone: nobody else would end a worker that waits for orders."""
    from multiprocessing import parent_process

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if parent := parent_process():
        watching = Thread(target=_end_with, args=(parent.sentinel,), daemon=True)
        WAITING.add(watching)
        watching.start()


def _end_with(sentinel: int) -> None:
    from multiprocessing.connection import wait  # what started this process has loaded it

    wait([sentinel])
    with MOVING:
        os._exit(1)  # as if it had been killed, but not between two moves: what is there is old or new, whole
