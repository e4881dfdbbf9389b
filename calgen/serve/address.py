"""What to tell the grower: where the calendars are, for which devices, and what to do for the others."""

from __future__ import annotations

import io
import socket
from ipaddress import IPv6Address, ip_address
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from calgen.output import FEED_NAMES, FEEDS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

NOWHERE: Final = ("192.0.2.1", 9)
"""An address for documentation (RFC 5737) that nothing answers; naming it finds our own side of the way out."""
QUIET_ZONE: Final = 4
BRIGHT: Final = "\x1b[97;40m"
PLAIN: Final = "\x1b[0m"


class Address(Struct, frozen=True):
    """Where a site is to be found while the server runs."""

    site: str
    host: str
    port: int
    secret: str
    folder: Path

    @property
    def page(self) -> str:
        """The page's address."""
        return f"http://{self._authority}/{self.secret}/"

    @property
    def feed(self) -> str:
        """The feed of all jobs, to paste."""
        return f"{self.page}{FEEDS}/all.ics"

    @property
    def webcal(self) -> str:
        """The feed of all jobs as a link that opens a calendar program."""
        return f"webcal:{self.feed.partition(':')[2]}"

    @property
    def download(self) -> str:
        """The feed of all jobs as a file to import once."""
        return f"{self.page}{FEEDS}/import.ics?download"

    @property
    def _authority(self) -> str:
        try:
            bare = isinstance(ip_address(self.host), IPv6Address)
        except ValueError:
            bare = False
        return f"[{self.host}]:{self.port}" if bare else f"{self.host}:{self.port}"


def own_host() -> str:
    """This computer's address in its own network; nothing is sent to find it."""
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect(NOWHERE)
            host: str = probe.getsockname()[0]
    except OSError:
        return socket.gethostname()
    return host


def qr_lines(text: str, colour: bool) -> list[str]:
    """A QR code (ISO/IEC 18004, level M) as lines of half blocks, drawn light on dark.

    ``colour`` sets these two whatever colours the terminal has.
    """
    import segno  # noqa: PLC0415

    out = io.StringIO()
    segno.make(text, error="m", micro=False).terminal(out=out, compact=True, border=QUIET_ZONE)
    lines = out.getvalue().splitlines()
    return [f"{BRIGHT}{line}{PLAIN}" if colour else line for line in lines]


def told(addresses: list[Address], lan: bool, qr: bool, colour: bool) -> Iterator[str]:
    """Lines to print: each site's three forms, then who can reach them, and what the others can do."""
    for address in addresses:
        yield f"{address.site}"
        yield f"  page          {address.page}"
        yield f"  phone         {address.webcal}"
        yield f"  to paste      {address.feed}"
        yield f"  to import     {address.download}"
        if kinds := _kinds(address.folder):
            yield f"  one kind of job: instead of all.ics, {', '.join(kinds)}"
        if qr and lan:
            yield from qr_lines(address.webcal, colour)
        yield ""
    yield "Whoever knows an address can read the calendar. Start with --renew to make new ones."
    if lan:
        yield "Only devices in your own network reach these addresses, and only while this runs."
        yield "A phone may ask whether to go on without a secure connection; calendars often need alerts switched on."
    else:
        yield "Only this computer reaches these addresses. For the phones in your network, start with --lan."
    folder = addresses[0].folder if len(addresses) == 1 else addresses[0].folder.parent / "SITE"
    yield "Google Calendar, Outlook on the web and Nextcloud (as it comes) fetch from servers that cannot reach this:"
    yield f"  put the folder {folder} on any web host and subscribe to {FEEDS}/all.ics there,"
    yield "  or import the file into a new calendar of its own; when the plan changes, delete that and import again."
    yield "A calendar asks for changes when it likes: within a day or two. Stop with Ctrl+C."


def _kinds(folder: Path) -> list[str]:
    names = [name.removeprefix(f"{FEEDS}/") for name in FEED_NAMES if (folder / name).is_file()]
    return [name for name in names if name not in {"all.ics", "import.ics"}]
