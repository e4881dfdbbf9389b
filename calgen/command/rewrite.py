"""Rewrites one of the grower's own files, whole or not at all; two writers take turns."""

from __future__ import annotations

import os
import shutil
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

from calgen.lock import Busy, locked
from calgen.output import OutputError, make_durable
from calgen.plainfile import NotPlainError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@contextmanager
def turn(path: Path) -> Iterator[None]:
    """Hold the right to rewrite a file while the block runs.

    Raises:
        OutputError: another program is at it, or the folder cannot be written.
    """
    if not path.parent.is_dir():
        raise OutputError(f"the folder {path.parent} is not there; nothing was changed: check the name")
    try:
        with locked(path.with_name(f".{path.name}.calgen-lock")):
            yield
    except Busy:
        raise OutputError("another calgen is writing this file; nothing was changed: try again when it has ended") \
            from None
    except (IsADirectoryError, NotPlainError) as error:
        raise OutputError(
            f"{error.filename} is in the way; nothing was changed: move it away, then try again") from error
    except OSError as error:
        raise OutputError(f"{error.filename or path} cannot be written ({error.strerror}); nothing was changed: "
                          "make room or give leave to write there, then try again") from error


def replace_file(path: Path, data: bytes) -> None:
    """Put new content in place of a file's; a link is followed, its permissions are kept.

    Raises:
        OSError: the old content is untouched.
    """
    target = path.resolve()
    fresh = target.with_name(f".{target.name}.calgen-new")
    try:
        fresh.unlink(missing_ok=True)
        with fresh.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            with suppress(OSError):
                shutil.copymode(target, fresh)
        os.replace(fresh, target)
    except BaseException:
        with suppress(OSError):
            fresh.unlink(missing_ok=True)
        raise
    make_durable(target.parent)
