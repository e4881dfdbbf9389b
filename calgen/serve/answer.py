"""A request and its answer: read-only, known to the byte, nothing outside a site's folder."""

from __future__ import annotations

import hashlib
import hmac
import re
import time
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote

from werkzeug.wrappers import Request, Response

from calgen.output import FEEDS, OutputError, settle

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from pathlib import Path

TYPES: Final = {
    ".ics": "text/calendar; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".pdf": "application/pdf",
    ".json": "application/json",
    ".svg": "image/svg+xml",
    ".png": "image/png",
}
HEADERS: Final = {
    "Cache-Control": "no-cache",
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex",
    "X-Content-Type-Options": "nosniff",
    "Content-Security-Policy": "default-src 'self' 'unsafe-inline' data:; form-action 'none'; frame-ancestors 'none'",
}
METHODS: Final = ("GET", "HEAD")
START: Final = "index.html"
RETRY_S: Final = "60"
SETTLED_S: Final = 2.0
MOVES_S: Final = 0.5
"""What a build's moves may take before the files are given out as they are. [s]"""
_NAME: Final = re.compile(rf"(?:{FEEDS}/)?[A-Za-z0-9][A-Za-z0-9._-]{{0,99}}(\.[a-z]+)")


class _Unready(Exception):
    """The file is there, and must not be given out as it is."""


def answers(sites: Mapping[str, Path]) -> Callable[[dict[str, Any], Any], Iterable[bytes]]:
    """A WSGI application that answers for each site's folder under its secret; for everything else with 404."""

    @Request.application
    def application(request: Request) -> Response:
        response = _answer(request, sites)
        response.headers.extend(HEADERS)
        return response

    return application


def _answer(request: Request, sites: Mapping[str, Path]) -> Response:
    if request.method not in METHODS:
        return Response("only for reading\n", 405, {"Allow": ", ".join(METHODS)}, content_type="text/plain")
    secret, slash, name = request.path.removeprefix("/").partition("/")
    folder = _folder(secret, sites)
    if folder is None:
        return _nothing()
    if not slash:
        return Response("", 308, {"Location": f"{secret}/"}, content_type="text/plain")
    try:
        return _file(request, folder, name or START)
    except (FileNotFoundError, NotADirectoryError, IsADirectoryError):
        return _nothing()
    except (OSError, _Unready):
        return Response("being written; ask again\n", 503, {"Retry-After": RETRY_S}, content_type="text/plain")


def _folder(secret: str, sites: Mapping[str, Path]) -> Path | None:
    """The folder of a secret; the time this takes tells nothing about the secrets there are."""
    given, found = secret.encode("utf-8", "surrogatepass"), None
    for known, folder in sites.items():
        if hmac.compare_digest(known.encode(), given):
            found = folder
    return found


def _nothing() -> Response:
    return Response("not here\n", 404, content_type="text/plain")


def _file(request: Request, folder: Path, name: str) -> Response:
    """A file's bytes, read as a whole, so that a build in between cannot mix two."""
    match = _NAME.fullmatch(name)
    path = folder / name
    with suppress(OutputError):  # not to be written, or a build has stopped midway: every file by itself is whole
        settle(folder, MOVES_S)
    if match is None or match[1] not in TYPES or not path.resolve().is_relative_to(folder.resolve()):
        return _nothing()
    if not path.is_file():
        return _nothing()
    with path.open("rb") as file:
        data = file.read()
        changed = path.stat().st_mtime
    if match[1] == ".ics" and not _whole(data):
        raise _Unready
    response = Response(data, content_type=TYPES[match[1]])
    response.set_etag(hashlib.sha256(data).hexdigest()[:32])
    if changed < time.time() - SETTLED_S:
        response.last_modified = int(changed)  # type: ignore[assignment]
    if "download" in request.args:
        saved_as = quote(f"{folder.name}-{path.name}", safe="")
        response.headers["Content-Disposition"] = f"attachment; filename={path.name}; filename*=UTF-8''{saved_as}"
    if request.if_match.star_tag:  # RFC 9110 section 13.1.1: true of whatever is there; werkzeug takes it for false
        del request.environ["HTTP_IF_MATCH"]
    response.make_conditional(request, accept_ranges=True, complete_length=len(data))
    if response.status_code == 412:
        return Response("not the one asked for\n", 412, content_type="text/plain")
    return response


def _whole(feed: bytes) -> bool:
    """Whether a feed may be given out: readers take a half or an empty one for "everything is gone"."""
    return feed.startswith(b"BEGIN:VCALENDAR\r\n") and feed.endswith(b"END:VCALENDAR\r\n") and b"BEGIN:VEVENT" in feed
