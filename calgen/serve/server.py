"""Runs the server: loopback unless the grower says otherwise, few threads, short patience."""

from __future__ import annotations

import gc
import socket
import sys
from ipaddress import ip_address
from typing import TYPE_CHECKING, Any, Final

from calgen.output import LAST
from calgen.serve.address import Address, own_host, told
from calgen.serve.secret import ServeError, site_secrets

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

LOOPBACK: Final = "127.0.0.1"
EVERYWHERE: Final = "0.0.0.0"  # noqa: S104  only with --lan
PORT: Final = 8642
GARBAGE: Final = 1_000
"""Every so many objects the collector looks for cycles: connections hold some, and a server runs for months."""
LIMITS: Final[dict[str, Any]] = {
    "threads": 4,
    "backlog": 64,
    "connection_limit": 200,
    "channel_timeout": 20,
    "cleanup_interval": 5,
    "max_request_header_size": 16_384,
    "max_request_body_size": 1_024,
    "expose_tracebacks": False,
    "ident": "",
}
"""Idle connections end after 20 s, in a crowd at once; more than 200 at a time wait; a request larger than any
calendar's is refused."""


def serve(
    folder: Path,
    sites: Sequence[str] = (),
    host: str = LOOPBACK,
    port: int = PORT,
    lan: bool = False,
    renew: bool = False,
    tell: Callable[[str], object] = lambda line: None,
) -> None:
    """Hand out what was built until Ctrl+C.

    Args:
        folder: the output folder; every site's folder is one of its folders.
        sites: names of site files without ending; none for every site that was built.
        host: name or address to listen on.
        port: 0 for any that is free.
        lan: let other devices of the network in.
        renew: make new secret addresses; the old ones end.
        tell: prints a line.

    Raises:
        ServeError: with a message for the grower.
    """
    from calgen.serve.answer import answers  # noqa: PLC0415
    from calgen.serve.patience import Server  # noqa: PLC0415

    folders = _folders(folder, sites)
    bind = _bind(host, lan)
    with _listening(bind, port) as listener:
        secrets = site_secrets(folder, list(folders), renew)
        shown, port = own_host() if bind == EVERYWHERE else bind, listener.getsockname()[1]
        addresses = [Address(site, shown, port, secrets[site], path) for site, path in folders.items()]
        for line in told(addresses, lan, qr=_can_draw(), colour=sys.stdout.isatty()):
            tell(line)
        sys.stdout.flush()
        gc.set_threshold(GARBAGE)
        Server(answers({address.secret: address.folder for address in addresses}), listener, LIMITS).run()


def _listening(host: str, port: int) -> socket.socket:
    if port not in range(65_536):
        raise ServeError(f"{port} is no port; choose one from 1024 to 65535 with --port")
    try:
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        return socket.create_server((host, port), family=family)
    except OSError as error:
        why = error.strerror or error
        raise ServeError(f"cannot listen on {host}, port {port} ({why}); choose another with --port") from None


def _folders(folder: Path, sites: Sequence[str]) -> dict[str, Path]:
    built = {path.name: path for path in sorted(folder.glob("*")) if (path / LAST).is_file()}
    if not built:
        raise ServeError(f"nothing has been built in {folder}; run: calgen build SITE.yaml")
    for site in sites:
        if site not in built:
            raise ServeError(f"{site} has not been built in {folder} (there are: {', '.join(built)}); "
                             f"run: calgen build {site}.yaml")
    return {site: built[site] for site in sites} if sites else built


def _bind(host: str, lan: bool) -> str:
    if lan:
        return EVERYWHERE if host == LOOPBACK else host
    try:
        inside = ip_address(host).is_loopback
    except ValueError:
        inside = host == "localhost"
    if not inside:
        raise ServeError(f"{host} lets other devices in; add --lan if that is what you want")
    return host


def _can_draw() -> bool:
    try:
        "█▀▄".encode(sys.stdout.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True
