"""Where the feeds are found: from the one address the grower gives to a link for each feed.

``feed-address`` is the address of the published folder (the one with ``index.html``), of its ``feeds`` folder, or of
``all.ics`` in it; all three mean the same. An address of another ``.ics`` file is taken for the feed of all jobs under
a name of the grower's own, and nothing is known of the feeds by kind.
"""

from __future__ import annotations

from ipaddress import ip_address
from typing import Final
from urllib.parse import SplitResult, urlsplit, urlunsplit

ALL: Final = "all.ics"
FOLDER: Final = "feeds"
_HOME_ENDINGS: Final = (".local", ".lan", ".home", ".internal", ".home.arpa", ".localhost")


def feed_url(address: str | None, file: str) -> str | None:
    """The full address of a feed, or None where none is known or ``address`` is no web address.

    Args:
        address: as in the site file.
        file: name of the feed's file, ``all.ics`` or ``<kind>.ics``.
    """
    found = _split(address)
    if found is None:
        return None
    path = found.path
    last = path.rsplit("/", 1)[-1]
    if last.lower().endswith(".ics"):
        if last != ALL:
            return _joined(found, path) if file == ALL else None
        folder = path[: -len(ALL)]
    else:
        if last.lower() in ("index.html", "index.htm"):
            path = path[: -len(last)]
        folder = path.rstrip("/") + "/"
        if not folder.endswith(f"/{FOLDER}/"):
            folder += f"{FOLDER}/"
    return _joined(found, folder + file)


def webcal(url: str) -> str:
    """The subscription link of a feed's address.

    Always ``webcal``, with TLS too: phones of one maker do not know ``webcals``, and hosts send http on to https.
    """
    return f"webcal:{url.partition(':')[2]}"


def is_secure(url: str) -> bool:
    """Whether the address asks for TLS."""
    return urlsplit(url).scheme == "https"


def is_home(url: str) -> bool:
    """Whether an address can only be reached within the grower's own network."""
    host = (urlsplit(url).hostname or "").rstrip(".").lower()
    try:
        return not ip_address(host).is_global
    except ValueError:
        return "." not in host or host.endswith(_HOME_ENDINGS)


def _split(address: str | None) -> SplitResult | None:
    try:
        found = urlsplit((address or "").strip())
        found.port  # noqa: B018  raises for a port that is no number
    except ValueError:
        return None
    return found if found.scheme in ("http", "https") and found.hostname else None


def _joined(found: SplitResult, path: str) -> str:
    return urlunsplit((found.scheme, found.netloc, path, found.query, ""))
