"""Keeps what was read from calgen's own files, as Python keeps compiled modules: read once, then loaded much faster.

A file is named by a digest of what it was made from: the sizes and times of the files read and of calgen's own modules,
Python's version, and whatever else the maker names. When anything differs it is not found and all is read anew; where
nothing can be written all is read each time.
"""

from __future__ import annotations

import os
import pickle
import sys
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

T = TypeVar("T")
PACKAGE: Final = Path(__file__).parent
FOLDER: Final = PACKAGE / "__pycache__"


def kept(name: str, kind: type[T], made_from: Iterable[Path], make: Callable[[], T], version: str = "") -> T:
    """What was made before from these very files, else what ``make`` makes now, kept for the next run.

    Args:
        name: of the file it is kept in.
        kind: class of what is made; it can be pickled.
        made_from: files, modules among them, on whose sizes and times it depends.
        make: makes it; what it raises goes through, and nothing is kept.
        version: what else it depends on.
    """
    path = kept_file(name, made_from, version)
    found = loaded(path, kind)
    return keep(path, make()) if found is None else found


def kept_file(name: str, made_from: Iterable[Path], version: str = "") -> Path:
    """Where it is kept when made from these files."""
    digest = sha256(f"{sys.version}\0{version}".encode())
    for path in sorted(made_from):
        status = path.stat()
        digest.update(f"\0{path.name}\0{status.st_size}\0{status.st_mtime_ns}".encode())
    return FOLDER / f"{name}.{sys.implementation.cache_tag}-{digest.hexdigest()[:24]}.pickle"


def loaded(path: Path, kind: type[T]) -> T | None:
    """What is kept there, or None."""
    try:
        found = pickle.loads(path.read_bytes())  # noqa: S301  our own file, trusted like the compiled modules beside it
    except Exception:  # a damaged file may raise anything; all is read anew then
        return None
    return found if isinstance(found, kind) else None


def keep(path: Path, made: T) -> T:
    """Keep it for the next run, whole or not at all; older ones go."""
    fresh = path.with_name(f"{path.name}.{os.getpid()}")
    with suppress(OSError):
        path.parent.mkdir(exist_ok=True)
        try:
            fresh.write_bytes(pickle.dumps(made, pickle.HIGHEST_PROTOCOL))
            fresh.replace(path)
        finally:
            fresh.unlink(missing_ok=True)
        for old in path.parent.glob(f"{path.name.rpartition('-')[0]}-*.pickle*"):
            if old != path:
                old.unlink(missing_ok=True)
    return made
