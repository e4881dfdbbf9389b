"""The server's dealings with clients that say too much, too little or rubbish: one request a connection.

Waitress answers well-behaved clients. What it does not do: make room for new connections when clients that never finish
hold all of them; survive numbers and addresses that Python refuses to read; tell of a failure without the path, which
holds the secret.
"""

from __future__ import annotations

import logging
import socket
import sys
import time
from contextlib import suppress
from itertools import islice
from traceback import extract_tb
from typing import TYPE_CHECKING, Any, Final

from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser, ParsingError
from waitress.server import TcpWSGIServer

if TYPE_CHECKING:
    from collections.abc import Callable

MOST: Final = 60
"""Connections kept; one more, and the oldest that waits for its client is closed."""
GRACE_S: Final = 0.5
"""What a connection may take from its beginning, however many there are."""


class Parser(HTTPRequestParser):  # type: ignore[misc]
    """A request; what Python refuses to read of it is refused like all that breaks the rules."""

    path = ""

    def parse_header(self, header_plus: bytes) -> None:
        """Read the first line and the headers.

        Raises:
            ParsingError: they are none.
        """
        try:
            super().parse_header(header_plus)
        except (ParsingError, ValueError):  # a host in half brackets, a length of thousands of digits
            raise ParsingError("not by the rules of HTTP") from None
        finally:
            self.expect_continue = False  # nobody need send a body
        self.headers["CONNECTION"] = "close"
        self.connection_close = True


class Channel(HTTPChannel):  # type: ignore[misc]
    """A connection, for one request: who sends a hundred at once gets one answer, and none waits to be read."""

    parser_class = Parser


class Server(TcpWSGIServer):  # type: ignore[misc]
    """Takes connections from a socket that listens already."""

    channel_class = Channel

    def __init__(self, application: Callable[..., Any], listener: socket.socket, limits: dict[str, Any]) -> None:
        about = (listener.family, listener.type, listener.proto, listener.getsockname())
        super().__init__(application, _sock=listener, bind_socket=False, sockinfo=about, **limits)
        self.adj.asyncore_loop_timeout = GRACE_S  # a full house is looked over as often, though nobody says a word
        self.logger.handlers = [Brief()]
        self.logger.setLevel(logging.ERROR)
        self.logger.propagate = False

    def readable(self) -> bool:
        """Whether one more may come; asked before every look at the network."""
        before = time.time() - GRACE_S
        idle = (channel for channel in self.active_channels.values()  # the oldest come first
                if not channel.requests and channel.creation_time < before)
        for channel in islice(idle, max(0, len(self.active_channels) - MOST)):
            channel.will_close = True
            with suppress(OSError):  # wakes even one whose client reads nothing
                channel.socket.shutdown(socket.SHUT_RDWR)
        return bool(super().readable())


class Brief(logging.Handler):
    """Tells of a failure in one line, without what was asked for."""

    def emit(self, record: logging.LogRecord) -> None:
        """Print what failed and where."""
        kind, _, trace = record.exc_info or (None, None, None)
        what = kind.__name__ if kind else "in the server"
        where = [f", {place.name} line {place.lineno}" for place in extract_tb(trace)[-1:]]
        sys.stderr.write(f"a request failed ({what}{''.join(where)}); that is calgen's fault, please report it\n")
