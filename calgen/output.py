"""Writing a set of files so that the old set or the new one is whole, whatever goes wrong on the way.

Every file is written beside its place first and made durable; then a list of moves, and only then are they moved into
place, plan.json last. A failure before the end puts everything back. When the program is killed between two moves its
guard makes the rest of them. A machine that loses power there, or a program killed where there is no guard, leaves
files of both builds; the list is then still there, and ``settle`` makes the rest before a build or ``serve`` reads.

The whole folder is not swapped in one move: what the grower saves there meanwhile would be lost, and programs that look
into it (web servers, containers, terminals) would go on showing the old one.
"""

from __future__ import annotations

import errno
import os
import re
import shutil
from contextlib import ExitStack, contextmanager, suppress
from threading import Lock
from typing import TYPE_CHECKING, Final

from calgen.guard import guarded
from calgen.lock import WAIT_S, Busy, locked
from calgen.plainfile import NotPlainError, opened
from calgen.schedule.memory import ALL
from calgen.schedule.model import KINDS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

FEEDS: Final = "feeds"
LAST: Final = "plan.json"
TILES: Final = "wall-chart-tiles.pdf"
LOCK: Final = ".calgen-lock"
NEW: Final = ".calgen-new"
OLD: Final = ".calgen-old"
MOVES: Final = ".calgen-moves"
PUT: Final = "put"
DROP: Final = "drop"
MOVING: Final = Lock()
"""Held between the first move and the last by the thread that makes them; who ends the process from another waits."""
FEED_NAMES: Final = tuple(f"{FEEDS}/{name}.ics" for name in (ALL, *KINDS, "import"))
_NAME: Final = re.compile(rf"({FEEDS}/)?[A-Za-z0-9][A-Za-z0-9._-]*")
_NO_LINKS: Final = {errno.EPERM, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK, errno.EACCES, errno.EXDEV}
_NO_SPACE: Final = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
_NO_LEAVE: Final = {errno.EACCES, errno.EPERM, errno.EROFS}


class OutputError(Exception):
    """The files could not be written; what was there is whole unless the message says otherwise."""


class OvertakenError(OutputError):
    """Another build has written since this one read; nothing was written."""


def write_all(
    folder: Path, files: Mapping[str, bytes], expected: Mapping[str, bytes | None] | None = None
) -> list[str]:
    """Make a folder hold these files; feeds and chart pieces of calgen's that are not among them are removed.

    Only files whose bytes differ are touched. Two builds at once do not mix: the later one waits.

    Args:
        folder: made when it is not there.
        files: bytes by name; a name is a plain file name, or one in ``feeds/``.
        expected: what files held (None: were not there) when this build read them; when one no longer does, another
            build came between and nothing is written.

    Returns:
        Names of the files written, in that order.

    Raises:
        OutputError: with a message for the grower; the folder is as it was.
        ValueError: when a name would leave the folder.
    """
    for name in files:
        if not _NAME.fullmatch(name):
            raise ValueError(f"{name!r} is no name for an output file")
    order = sorted(files, key=lambda name: name == LAST)
    if (folder / FEEDS).is_symlink():
        raise OutputError(f"{folder / FEEDS} is a link that leads elsewhere; the output is as it was: remove it, "
                          "then build again")
    stuck: list[str] = []
    with _told(folder, stuck):
        if not (_different(folder, files, order) or _gone(folder, files) or _leftovers(folder) or _cut_off(folder)):
            if (folder / LOCK).exists():  # of a build killed at its very end; one still at work keeps its own
                with suppress(OSError, Busy), locked(folder / LOCK, wait_s=0):
                    pass
            return []
        folder.mkdir(parents=True, exist_ok=True)
        with _alone(folder):
            _finish(folder)
            for name, data in (expected or {}).items():
                if _content(folder / name) != data:
                    raise OvertakenError(f"another build has just written to {folder}; this one wrote nothing: "
                                      "build again")
            different, gone = _different(folder, files, order), _gone(folder, files)
            if any(name.startswith(FEEDS) for name in different):
                (folder / FEEDS).mkdir(exist_ok=True)
            _exchange(folder, {name: files[name] for name in different}, gone, stuck)
            return different


def settle(folder: Path, wait_s: float = WAIT_S) -> None:
    """Finish the moves of a build that was cut off between them, so that the folder holds one set before it is read.

    Args:
        folder: of a site.
        wait_s: for a build that is still at them. [s]

    Raises:
        OutputError: with a message for the grower.
    """
    with _told(folder):
        if _cut_off(folder):
            with _alone(folder, wait_s):
                _finish(folder)


def held(path: Path) -> bytes | None:
    """What a file of the output folder holds; None when it is not there.

    Raises:
        OutputError: it cannot be read, with a message for the grower.
    """
    try:
        return _content(path)
    except OSError as error:
        raise OutputError(f"cannot read {path} ({error.strerror or error}); the output is as it was: move it away, "
                          "or choose another folder with --out") from error


@contextmanager
def _alone(folder: Path, wait_s: float = WAIT_S) -> Iterator[None]:
    """No other build writes while the block runs; killed in it, the guard ends it."""
    def end() -> None:
        _finish(folder)
        _discard(folder / LOCK)

    with locked(folder / LOCK, wait_s), guarded(end):
        yield


@contextmanager
def _told(folder: Path, stuck: Sequence[str] = ()) -> Iterator[None]:
    """Turns what the system says into words for the grower."""
    try:
        yield
    except Busy:
        raise OutputError(
            f"another build is writing to {folder}; this one wrote nothing: wait until it has ended, then build again"
        ) from None
    except OSError as error:
        raise OutputError(_message(folder, error, stuck)) from error


def _exchange(folder: Path, new: Mapping[str, bytes], gone: list[str], stuck: list[str]) -> None:
    """Put new files in place and take gone ones away, or neither; names that could not be put back go to ``stuck``."""
    moves = [*(name for name in new if name != LAST), *gone, *(name for name in new if name == LAST)]
    with ExitStack() as undo:
        for name, data in new.items():
            undo.callback(_discard, _beside(folder, name, NEW))
            _write(_beside(folder, name, NEW), data, like=folder / name)
        for name in moves:
            undo.callback(_discard, _beside(folder, name, OLD))
            _keep(folder / name, _beside(folder, name, OLD))
        undo.callback(_discard, folder / MOVES)
        _list(folder, {name: PUT if name in new else DROP for name in moves})
        try:
            with MOVING:
                for name in moves:
                    undo.callback(_put_back, folder / name, _beside(folder, name, OLD), stuck)
                    if name in new:
                        os.replace(_beside(folder, name, NEW), folder / name)
                    else:
                        os.unlink(folder / name)
        except BaseException:
            with suppress(OSError):  # before anything is put back: moves half undone are not to be finished
                _discard(folder / MOVES)
            raise
        undo.pop_all()
    with suppress(OSError):
        _finish(folder)


def _list(folder: Path, moves: Mapping[str, str]) -> None:
    """Write down the moves that are to come, whole or not at all; every file they need is on the disk by now."""
    fresh = _beside(folder, MOVES, NEW)
    try:
        _write(fresh, "".join(f"{how} {name}\n" for name, how in moves.items()).encode(), like=fresh)
        for part in {(folder / name).parent for name in moves}:
            make_durable(part)
        os.replace(fresh, folder / MOVES)
        make_durable(folder)
    finally:
        _discard(fresh)


def _finish(folder: Path) -> None:
    """Make the moves still open on the list, then take away the list and what lies beside the files."""
    lines = (_content(folder / MOVES) or b"").decode("ascii", "replace").splitlines()
    moves = {name: how for how, _, name in (line.partition(" ") for line in lines) if _NAME.fullmatch(name)}
    for name, how in moves.items():
        if how == DROP:
            _discard(folder / name)
        elif (fresh := _beside(folder, name, NEW)).exists():
            os.replace(fresh, folder / name)
    for part in {(folder / name).parent for name in moves}:
        make_durable(part)
    _discard(folder / MOVES)
    for left in _leftovers(folder):
        _discard(left)


def _beside(folder: Path, name: str, ending: str) -> Path:
    path = folder / name
    return path.with_name(f".{path.name}{ending}")


def _content(path: Path) -> bytes | None:
    try:
        with opened(path) as file:
            return file.read()
    except (FileNotFoundError, NotADirectoryError):
        return None


def _different(folder: Path, files: Mapping[str, bytes], order: list[str]) -> list[str]:
    return [name for name in order if _content(folder / name) != files[name]]


def _gone(folder: Path, files: Mapping[str, bytes]) -> list[str]:
    if not any(name.startswith(FEEDS) for name in files):
        return []
    return [name for name in (*FEED_NAMES, TILES) if name not in files and (folder / name).is_file()]


def _write(path: Path, data: bytes, like: Path) -> None:
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    with os.fdopen(descriptor, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    if like.exists():
        with suppress(OSError):
            shutil.copymode(like, path)


def _keep(path: Path, old: Path) -> None:
    """A second name for what is there now; a copy where the disk knows no second names."""
    with suppress(FileNotFoundError):
        try:
            os.link(path, old)
        except OSError as error:
            if error.errno not in _NO_LINKS:
                raise
            shutil.copy2(path, old)


def _put_back(path: Path, old: Path, stuck: list[str]) -> None:
    try:
        if old.exists():
            os.replace(old, path)
        else:
            _discard(path)
    except OSError:
        stuck.append(path.name)


def _discard(path: Path) -> None:
    path.unlink(missing_ok=True)


def make_durable(folder: Path) -> None:
    """Have the system write down which names a folder holds.

    Windows cannot open folders and some network disks cannot make them durable: then it does so in time.
    """
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def _cut_off(folder: Path) -> bool:
    """Whether a build left moves to be made."""
    return (folder / MOVES).is_file()


def _leftovers(folder: Path) -> list[Path]:
    """What a build left lying that was cut off."""
    return [path for part in (folder, folder / FEEDS) for end in (NEW, OLD) for path in part.glob(f".*{end}")]


def _message(folder: Path, error: OSError, stuck: Sequence[str]) -> str:
    place = error.filename2 or error.filename or folder
    left = f"these could not be put back: {', '.join(stuck)}; build again" if stuck else "the output is as it was"
    if error.errno in _NO_SPACE:
        return f"no room left to write to {folder}; {left}: make room on the disk, then build again"
    if error.errno in _NO_LEAVE:
        return f"not allowed to write {place}; {left}: close programs that show it, or choose another folder with --out"
    if isinstance(error, FileExistsError | NotADirectoryError | IsADirectoryError | NotPlainError):
        return f"{place} is in the way; {left}: move it away, or choose another folder with --out"
    return f"cannot write {place} ({error.strerror or error}); {left}"
