"""Opens files that hold their bytes: a pipe would keep its reader waiting, and a device may never end."""

from __future__ import annotations

import errno
import os
from stat import S_ISDIR, S_ISREG
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path
    from typing import BinaryIO


class NotPlainError(OSError):
    """Something that is neither a file nor a folder stands there."""


def opened(path: Path) -> BinaryIO:
    """A plain file (or a link to one), open for reading.

    Raises:
        NotPlainError: it is a pipe, a device or a socket.
        OSError: it is a folder, is not there, or cannot be read.
    """
    hold_plain(os.stat(path).st_mode, path)
    return path.open("rb")


def hold_plain(mode: int, path: Path) -> None:
    """Refuse what is no plain file by its mode, as ``os.stat`` gives it.

    Raises:
        NotPlainError: it is a pipe, a device or a socket.
        IsADirectoryError: it is a folder.
    """
    if S_ISDIR(mode):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    if not S_ISREG(mode):
        raise NotPlainError(errno.EINVAL, "no plain file", str(path))
