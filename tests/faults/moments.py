"""Runs calgen in a process of its own and makes something happen at its n-th touch of the disk.

A touch is whatever changes a file or folder below a given one: opening for writing, each write, making durable,
linking, moving, removing, making a folder, setting permissions. A write that is hit gets half its bytes out first.
After the last touch nothing happens; ``Ended.touches`` tells how many there were.
"""

from __future__ import annotations

import builtins
import errno
import io
import os
import signal
import sys
import tempfile
import traceback
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

FULL = frozenset({"open", "write", "fsync", "link", "mkdir"})
"""What fails on a full disk; moving, removing and setting permissions need no room."""
ANY = FULL | {"replace", "unlink", "chmod"}
KILLED = -signal.SIGKILL


@dataclass(frozen=True)
class Ended:
    """How a run ended: exit status (negative: by that signal), what it printed, and the touches it came to."""

    status: int
    out: str
    err: str
    touches: int


@dataclass
class Moments:
    """Counts touches and lets ``act`` happen before the n-th (or, with ``lasting``, before it and all that follow).

    ``only`` names the sorts of touch that ``act`` is for; all are counted.
    """

    at: int
    act: Callable[[], None]
    below: Path
    only: frozenset[str] = ANY
    lasting: bool = False
    count: int = 0
    where: int = -1
    process: int = 0

    def touch(self, sort: str, path: Any = None) -> bool:
        """Count; True when it is this one's turn."""
        if os.getpid() != self.process:
            return False  # the guard's, which comes when all is over here
        if path is not None and not os.path.abspath(os.fsdecode(path)).startswith(f"{self.below}{os.sep}"):
            return False
        self.count += 1
        if self.where >= 0:
            os.pwrite(self.where, self.count.to_bytes(8, "little"), 0)
        return sort in self.only and (self.count == self.at or (self.lasting and self.count > self.at))

    def hit(self, sort: str, path: Any = None) -> None:
        """Count, and act when it is time."""
        if self.touch(sort, path):
            self.act()

    def install(self) -> None:
        """From now on the process's touches are counted. There is no way back: only for a process of its own."""
        self.process = os.getpid()
        for sort, names in {"replace": ("replace", "rename"), "unlink": ("unlink", "remove", "rmdir"),
                            "link": ("link",), "mkdir": ("mkdir",), "chmod": ("chmod",)}.items():
            for name in names:
                setattr(os, name, self._counted(sort, getattr(os, name)))
        real_fsync, real_open, plain_open, moments = os.fsync, os.open, io.open, self

        def fsync(descriptor: int) -> None:
            moments.hit("fsync")
            real_fsync(descriptor)

        def low_open(path: Any, flags: int, *more: Any, **named: Any) -> int:
            if flags & (os.O_WRONLY | os.O_RDWR):
                moments.hit("open", path)
            return real_open(path, flags, *more, **named)

        class Raw(io.FileIO):
            def write(self, data: Any) -> int:
                if not moments.touch("write"):
                    return super().write(data)
                half = super().write(memoryview(data).cast("B")[:len(data) // 2])
                moments.act()
                return half  # the system may write less than it is given; the rest comes next

        def high_open(file: Any, mode: str = "r", *more: Any, **named: Any) -> Any:
            if "b" not in mode or not set(mode) & set("wax+"):
                return plain_open(file, mode, *more, **named)
            if not isinstance(file, int):
                moments.hit("open", file)
            return io.BufferedWriter(Raw(file, mode.replace("b", "")))

        os.fsync, os.open, io.open, builtins.open = fsync, low_open, high_open, high_open  # type: ignore[assignment]

    def _counted(self, sort: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(path: Any, *more: Any, **named: Any) -> Any:
            self.hit(sort, path)
            return real(path, *more, **named)
        return call


def kill() -> None:
    """Ends this process as ``kill -9`` does."""
    os.kill(os.getpid(), signal.SIGKILL)


def failing(number: int) -> Callable[[], None]:
    """Something that fails with a system error, such as ``errno.ENOSPC``."""
    def fail() -> None:
        raise OSError(number, os.strerror(number))
    return fail


def run(words: Sequence[str], folder: Path, moments: Moments | None = None, limit_s: int = 120) -> Ended:
    """A command line, in a fork of this process, in a folder; with something that happens on the way.

    Forked, it has what this process has read and imported already: a run costs the work itself. Over when every process
    that it started is. A traceback is told as exit status 99; a run that hangs is ended after ``limit_s``.
    """
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err, tempfile.TemporaryFile() as touches:
        sys.stdout.flush()
        sys.stderr.flush()
        lives, held = os.pipe()
        child = os.fork()
        if not child:
            _be_calgen(words, folder, moments, (out.fileno(), err.fileno(), touches.fileno()), limit_s)
        _, ended = os.waitpid(child, 0)
        os.close(held)
        os.read(lives, 1)  # until nobody holds the other end
        os.close(lives)
        said = [_all(file.fileno()) for file in (out, err)]
        count = int.from_bytes(_all(touches.fileno()), "little")
    return Ended(os.waitstatus_to_exitcode(ended), said[0].decode(), said[1].decode(), count)


def _be_calgen(words: Sequence[str], folder: Path, moments: Moments | None, files: tuple[int, int, int],
               limit_s: int) -> None:
    from calgen.cli import main

    status = 99
    try:
        os.chdir(folder)
        os.dup2(files[0], 1)
        os.dup2(files[1], 2)
        sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115  for the rest of this process
        sys.stderr = open(2, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
        signal.alarm(limit_s)
        if moments:
            moments.where = files[2]
            moments.install()
        status = main(list(words))
    except BaseException:
        traceback.print_exc()
    finally:
        for stream in (sys.stdout, sys.stderr):
            try:
                stream.flush()
            except (OSError, ValueError):
                status = status or 120
        os._exit(status)


def _all(descriptor: int) -> bytes:
    os.lseek(descriptor, 0, os.SEEK_SET)
    return b"".join(iter(lambda: os.read(descriptor, 65536), b""))


ERRORS = {"full": (errno.ENOSPC, FULL), "read-only": (errno.EROFS, ANY), "refused": (errno.EACCES, ANY),
          "broken": (errno.EIO, ANY)}
"""What may go wrong with a disk: the error, and the touches it hits."""
