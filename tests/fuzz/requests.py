"""What clients send that nobody should send: damaged paths, odd headers and methods, bytes that are no request at all.

Each comes with how its client behaves, and with the method when it is still a request (then it must be answered).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tests.fuzz.mutate import ODD, damaged

if TYPE_CHECKING:
    from random import Random

NAMES = ("", "index.html", "wall-chart.pdf", "sheets.pdf", "plan.json", "changes.txt", "feeds/all.ics", "feeds/sow.ics",
         "feeds/import.ics", "feeds/half.ics", "feeds", "feeds/", "leads-out.pdf", ".calgen-lock", ".calgen-moves",
         ".calgen-made", "feeds/.all.ics.calgen-new", "../canary.pdf", "../.calgen-addresses.json",
         "../other/index.html")
METHODS = ("POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "PROPFIND", "CONNECT", "get", "G", "X" * 300,
           "GET;", "É")
HOSTS = ("", "evil.example", "127.0.0.1:1", "[::1", "[v6.x]:80", "a" * 5000, "x\x00y", "x, y", "../..", "é", ":", "@")
TAGS = ("*", "", '"', '"x"', "W/", 'W/"', '"a", "b', "," * 900, '"' + "a" * 9000 + '"', "é", "\x7f", '"a",' * 2000)
DATES = ("", "rubbish", "Sat, 01 Jan 2000 00:00:00 GMT", "Sat, 01 Jan 0000 00:00:00 GMT", "0", "-1", "9" * 99,
         "Tue, 31 Dec 9999 23:59:60 GMT", "Mon, 01 Jan 2300 00:00:00 +9999", "1 Jan 70 0:0 -2500", "Thu, 99 Foo 12 1:1")
RANGES = ("bytes=0-0", "bytes=5-", "bytes=-5", "bytes=-0", "bytes=9-1", "bytes=0-1,2-3,4-5", "bytes=" + "0-," * 2000,
          "bytes=", "bytes", "lines=1-2", "bytes=-" + "9" * 5000, "bytes=" + "9" * 5000 + "-", "bytes=--1", "bytes=a-b",
          "bytes=0-" + "9" * 40, "=", "bytes=\xb2-\xb3", "bytes=1-1, 1-1", "bytes=+1-+2", "bytes=1_0-2_0")
LENGTHS = ("0", "-1", "5", "1023", "1024", "99999999", "9" * 5000, "0x10", "1_0", "\xb2", "", "1, 1", "+1", "1e3")
CODINGS = ("chunked", "chunked, chunked", "gzip", "identity", "chunked;x", "\x0bchunked", "x" * 300, ",", "CHUNKED")
CHUNKS = (b"0\r\n\r\n", b"5\r\nhello\r\n0\r\n\r\n", b"zz\r\n", b"5;" + b"e" * 9000 + b"\r\n", b"-1\r\n",
          b"0x5\r\nhello\r\n",
          b"f" * 400 + b"\r\n", b"5\nhello\n0\n\n", b"5\r\nhelloXX0\r\n\r\n", b"\r\n", b"0\r\nX: y\r\n\r\n",
          b"+5\r\nhello\r\n")
QUERIES = ("?", "?download", "?download=", "?download=..%2f..%2fx", "?" + "a=1&" * 900, "?%00", "?%ff=%zz", "?x#y",
           "#x",
           "?\u202e", "?download&download", "?[]=1", "?;", "?" + "%" * 300, "?d=" + "é" * 90)
STEPS = ("..", "../..", "%2e%2e", "%252e%252e", "..%2f", "%2e%2e%2f", "%2e%2e%5c", "..\\", "..;", "%c0%ae%c0%ae", "%00",
         ".", "/", "%2f", "//", "%0d%0aX-Bad:%201", "%0a", "~", "C:", "%u002e", "%ef%bc%8e%ef%bc%8e", "\u202e",
         "%e2%80%ae")
NO_REQUEST = (b"", b"\r\n" * 40, b"GET\r\n\r\n", b"GET /\r\n\r\n", b"GET / HTTP/9.9\r\n\r\n",
              b"\x16\x03\x01\x02\x00\x01" * 60, b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
              b"GET / HTTP/1.1\r\n" + b"\r\n" * 9, b" \r\n\r\n", b"\x00" * 900,
              b"A" * 60_000, b"GET /" + b"a" * 60_000 + b" HTTP/1.1\r\n\r\n", b":\r\n\r\n", b"GET  /  HTTP/1.1\r\n\r\n")


@dataclass(frozen=True, slots=True)
class Sent:
    """Pieces of bytes, sent one after another, and what the client does then.

    ``method`` is that of a whole request, which must be answered in time; empty where the bytes are none.
    ``client`` is ``polite`` (reads to the end), ``closing`` (says that no more comes), ``gone`` (hangs up without
    reading) or ``silent`` (waits without a word).
    """

    pieces: tuple[bytes, ...]
    client: str
    method: str = ""

    @property
    def data(self) -> bytes:
        """All bytes."""
        return b"".join(self.pieces)


def sent(chance: Random, secrets: tuple[str, ...], tags: tuple[str, ...]) -> Sent:
    """What one client sends.

    Args:
        chance: where all chance comes from; the same state gives the same bytes.
        secrets: those of the sites there are.
        tags: entity tags the server has given.
    """
    way = chance.random()
    if way < 0.7:
        return _request(chance, secrets, tags)
    whole = _request(chance, secrets, tags).data
    if way < 0.78:
        data = damaged(whole, chance, (whole,))
    elif way < 0.86:
        data = _broken(whole, chance)
    elif way < 0.9:
        data = chance.choice(NO_REQUEST)
    elif way < 0.93:
        data = chance.randbytes(chance.choice((1, 9, 300, 5000, 30_000)))
    elif way < 0.97:
        data = b"".join(_request(chance, secrets, tags).data.replace(b"Connection: close\r\n", b"")
                        for _ in range(chance.randint(2, 40)))
    else:
        data = _with_body(chance, secrets)
    return Sent(_pieces(data, chance), chance.choice(("closing", "closing", "gone", "silent")))


def _request(chance: Random, secrets: tuple[str, ...], tags: tuple[str, ...]) -> Sent:
    method = chance.choice(METHODS) if chance.random() < 0.12 else chance.choice(("GET", "GET", "GET", "GET", "HEAD"))
    target = _target(chance, secrets)
    lines = [f"{method} {target} HTTP/{'1.0' if chance.random() < 0.1 else '1.1'}",
             f"Host: {chance.choice(HOSTS) if chance.random() < 0.15 else '127.0.0.1'}"]
    for name, values in (("If-None-Match", (*TAGS, *tags)), ("If-Modified-Since", DATES), ("Range", RANGES),
                         ("If-Range", (*TAGS, *DATES, *tags)), ("If-Match", (*TAGS, *tags)),
                         ("If-Unmodified-Since", DATES), ("Accept-Encoding", ("gzip", "*;q=0", "é")),
                         ("Cookie", ("a" * 3000, "x=\x01")), ("X-Forwarded-Host", HOSTS), ("Forwarded", ("for=x",)),
                         ("X-Original-URL", ("/canary.pdf",)), ("Expect", ("100-continue", "x")),
                         ("Upgrade", ("h2c", "websocket")), ("X_Under", ("1",)), ("X-Odd", ODD)):
        lines += [f"{name}: {chance.choice(values)}" for _ in range(chance.choice((1, 1, 2)))
                  if chance.random() < 0.08]
    if chance.random() < 0.03:
        lines += [f"X-{number}: 1" for number in range(chance.choice((100, 1500, 4000)))]
    lines += ["Connection: close", "", ""]
    text = "\r\n".join(lines)
    data = text.encode("latin-1", "ignore") if chance.random() < 0.2 else text.encode("utf-8", "surrogatepass")
    plain = len(data) < 8000 and data.isascii() and text.replace("\r\n", "").isprintable() \
        and method.isalpha() and " " not in target
    return Sent(_pieces(data, chance), "gone" if chance.random() < 0.05 else "polite", method if plain else "")


def _target(chance: Random, secrets: tuple[str, ...]) -> str:
    secret = chance.choice(secrets)
    if chance.random() < 0.15:
        secret = chance.choice((secret[:-1], secret + "A", secret.swapcase(), secret[::-1], "A" * 22, "", ".", "..",
                                secret + "%00", "%20" + secret, secret + ".", "é" * 11, "*", "a" * 9000))
    target = f"/{secret}" if chance.random() < 0.05 else f"/{secret}/{chance.choice(NAMES)}"
    for _ in range(chance.choice((0, 0, 1, 1, 2, 3, 5))):
        target = chance.choice(_CHANGES)(target, chance)
    return target + (chance.choice(QUERIES) if chance.random() < 0.2 else "")


def _escaped(target: str, chance: Random) -> str:
    """A sign written in percent, once or twice."""
    at = chance.randrange(len(target)) if target else 0
    code = "".join(f"%{octet:02x}" for octet in target[at:at + 1].encode("utf-8", "surrogatepass"))
    return target[:at] + (code if chance.random() < 0.7 else code.replace("%", "%25")) + target[at + 1:]


def _stepped(target: str, chance: Random) -> str:
    """A step up, aside or nowhere between two parts."""
    parts = target.split("/")
    parts.insert(chance.randint(1, len(parts)), chance.choice(STEPS))
    return "/".join(parts)


def _put_in(target: str, chance: Random) -> str:
    """Something odd anywhere."""
    at = chance.randint(0, len(target))
    return target[:at] + chance.choice((*ODD, *STEPS)) + target[at:]


def _cut(target: str, chance: Random) -> str:
    at = chance.randint(0, len(target))
    return target[:at] + target[at + chance.randint(1, 6):]


def _long(target: str, chance: Random) -> str:
    return target + chance.choice(("a", "/", "../", "%2e", "é", "%")) * chance.choice((300, 3000, 30_000))


def _absolute(target: str, chance: Random) -> str:
    return chance.choice(("http://127.0.0.1", "http://evil.example", "//evil.example", "https://[::1", "http://x:y@z:0",
                          "file://", "http:", "javascript:", "\\\\evil", "///", "http://[v1.x]")) + target


_CHANGES = (_escaped, _escaped, _stepped, _stepped, _put_in, _cut, _absolute, _long)


def _broken(data: bytes, chance: Random) -> bytes:
    """A request whose lines, blanks or end are not as they must be."""
    at = chance.randrange(len(data))
    return chance.choice((
        data[:at], data.replace(b"\r\n", b"\n"), data.replace(b"\r\n", b"\r"), data.replace(b": ", b" : "),
        data.replace(b" ", b"\t"), data.replace(b"\r\n", b"\r\n ", 2), data.replace(b" HTTP/1.1", b""),
        data.replace(b"HTTP/1.1", b"HTTP/" + chance.choice((b"0.9", b"1", b"1.1.1", b"-1", b"x", b"9" * 5000))),
        data.replace(b"Host", b"Host\x00"), data[:at] + b"\x00" + data[at:], data[:at] + b"\n" + data[at:],
        data[:-2] + b"X: " + b"a" * chance.choice((9000, 70_000)), data[:-4], data[:at] + data[:at],
    ))


def _with_body(chance: Random, secrets: tuple[str, ...]) -> bytes:
    lines = [f"{chance.choice(('POST', 'GET', 'PUT'))} {_target(chance, secrets)} HTTP/1.1", "Host: x"]
    lines += [f"Content-Length: {chance.choice(LENGTHS)}"] * chance.choice((0, 1, 1, 2))
    lines += [f"Transfer-Encoding: {chance.choice(CODINGS)}"] * chance.choice((0, 0, 1, 2))
    lines += ["Expect: 100-continue"] * chance.choice((0, 0, 0, 1))
    body = b"".join(chance.choice(CHUNKS) for _ in range(chance.randint(0, 5))) + b"x" * chance.choice((0, 5, 2000))
    return "\r\n".join([*lines, "", ""]).encode("utf-8", "surrogatepass") + body


def _pieces(data: bytes, chance: Random) -> tuple[bytes, ...]:
    """The bytes as one, or in pieces as a slow network brings them."""
    if len(data) < 2 or chance.random() < 0.9:
        return (data,)
    cuts = sorted(chance.randrange(1, len(data)) for _ in range(chance.randint(1, 4)))
    return tuple(data[start:end] for start, end in zip((0, *cuts), (*cuts, len(data)), strict=True))
