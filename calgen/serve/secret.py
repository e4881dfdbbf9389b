"""The secret part of each site's address: 128 random bits, kept beside the sites' folders and out of any of them.

The file lies in the output folder, not in a site's own: that one may be copied to a web host as it is. Whoever has an
address can read the site's calendar, so a new one can be made, and the old one then ends at once.
"""

from __future__ import annotations

import json
import os
import re
import secrets
from typing import TYPE_CHECKING, Final

from calgen.lock import Busy, locked
from calgen.output import LOCK
from calgen.plainfile import opened

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

FILE: Final = ".calgen-addresses.json"
OCTETS: Final = 16
_SECRET: Final = re.compile(r"[A-Za-z0-9_-]{22,64}")


class ServeError(Exception):
    """The server cannot start, with a message for the grower."""


def site_secrets(folder: Path, sites: Sequence[str], renew: bool = False) -> dict[str, str]:
    """The secret of each site; made for those that have none yet, and anew for all of them with ``renew``.

    Raises:
        ServeError: the address book is broken or cannot be written.
    """
    path = folder / FILE
    try:
        with locked(folder / LOCK):
            book = _book(path)
            new = {site: secrets.token_urlsafe(OCTETS) for site in sites if renew or site not in book}
            if new:
                _write(path, {**book, **new})
            return {site: {**book, **new}[site] for site in sites}
    except Busy:
        raise ServeError(f"a build is writing to {folder}; wait until it has ended, then start again") from None
    except OSError as error:
        raise ServeError(f"{error.filename or path}: cannot be read or written ({error.strerror or error})") from None


def _book(path: Path) -> dict[str, str]:
    try:
        with opened(path) as file:
            book = json.loads(file.read().decode("utf-8"))
    except FileNotFoundError:
        return {}
    except (ValueError, RecursionError):
        book = None
    if not isinstance(book, dict) or not all(
        isinstance(secret, str) and _SECRET.fullmatch(secret) for secret in book.values()
    ) or len(set(book.values())) < len(book):
        raise ServeError(f"{path}: is broken; delete it and start again (every site then gets a new address, "
                         "and calendars have to subscribe again)")
    return book


def _write(path: Path, book: dict[str, str]) -> None:
    """Only the grower may read it, from the moment it is there."""
    new = path.with_name(f"{path.name}.new")
    new.unlink(missing_ok=True)
    with os.fdopen(os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
        json.dump(book, file, ensure_ascii=True, indent=1, sort_keys=True)
        file.write("\n")
        file.flush()
        os.fsync(file.fileno())
    os.replace(new, path)
