"""Rubbish for a running ``calgen serve``: ``python -m tests.fuzz.served --count 20000 --seed 1``.

What must be true: nothing on standard error; no answer from 500 on but 501 (a coding that is not spoken) and 503 (half
a feed lies there); a whole request is answered in time; an answer of 200 or 206 is a file of the site whose secret was
asked for, with its type; no secret is told that was not sent, nothing outside the folder, nothing written; other
clients wait no more than two seconds all the while; memory, open files and threads stay as they were.
"""

from __future__ import annotations

import argparse
import http.client
import re
import shutil
import signal
import socket
import struct
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Self
from urllib.parse import unquote_to_bytes

import psutil
from calgen.cli import main as calgen
from calgen.serve.answer import TYPES
from tests.fuzz.kinds import BARE_PLOT
from tests.fuzz.requests import Sent, sent

if TYPE_CHECKING:
    from collections.abc import Iterator

LIMIT_S = 2.0
ANSWERED = {200, 206, 304, 308, 400, 404, 405, 412, 413, 416, 431, 501, 503}
CANARY = b"%PDF-1.7 not for you"
HEAD = re.compile(rb"HTTP/1\.[01] (\d{3}) [^\r\n]*\r\n((?:[!-~]+: [^\r\n]*\r\n)*)\r\n")
RESET = struct.pack("ii", 1, 0)


def lay(folder: Path) -> Path:
    """An output folder with two built sites, half a feed, a link that leads out, and a file beside them.

    Returns:
        The output folder within this one.
    """
    out = folder / "output"
    for name in ("plot", "other"):
        site = folder / f"{name}.yaml"
        site.write_bytes(BARE_PLOT.replace(b"site: Plot", f"site: {name}".encode()))
        assert calgen(["build", str(site), "--out", str(out), "--today", "2026-09-02"]) == 0
        (out / name / "feeds/half.ics").write_bytes(b"BEGIN:VCALENDAR\r\n")
        (out / name / "leads-out.pdf").symlink_to(out / "canary.pdf")
    (out / "canary.pdf").write_bytes(CANARY)
    return out


@dataclass
class Server:
    """A server of its own process, what it told, and what it must never tell."""

    out: Path
    process: subprocess.Popen[str] = field(init=False)
    port: int = field(init=False)
    secrets: dict[str, str] = field(init=False, default_factory=dict)
    files: dict[str, dict[str, bytes]] = field(init=False)
    errors: Path = field(init=False)

    def __enter__(self) -> Self:
        self.errors = self.out.parent / "errors.txt"
        with self.errors.open("wb") as errors:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "calgen", "serve", "--port", "0", "--out", str(self.out)],
                stdout=subprocess.PIPE, stderr=errors, stdin=subprocess.DEVNULL, text=True, encoding="utf-8")
        assert self.process.stdout
        text = "".join(iter(self._line, ""))
        for site, port, secret in re.findall(r"(?m)^(\w+)\n  page +http://127\.0\.0\.1:(\d+)/([\w-]{22})/$", text):
            self.secrets[site], self.port = secret, int(port)
        assert len(self.secrets) == 2, text
        self.files = {site: {path.relative_to(self.out / site).as_posix(): path.read_bytes()
                             for path in (self.out / site).rglob("*") if path.is_file() and not path.is_symlink()}
                      for site in self.secrets}
        return self

    def __exit__(self, *_: object) -> None:
        self.process.kill()
        self.process.communicate()

    def _line(self) -> str:
        assert self.process.stdout
        line = self.process.stdout.readline()
        return "" if "Stop with Ctrl+C" in line else line

    def connected(self, patience_s: float = LIMIT_S) -> socket.socket:
        """A connection of one client."""
        return socket.create_connection(("127.0.0.1", self.port), timeout=patience_s)

    def good(self) -> float:
        """How long a calendar program waits for its feed. [s]"""
        begun = time.monotonic()
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10 * LIMIT_S)
        try:
            connection.request("GET", f"/{self.secrets['plot']}/feeds/all.ics")
            answer = connection.getresponse()
            assert (answer.status, answer.read()) == (200, self.files["plot"]["feeds/all.ics"])
        finally:
            connection.close()
        return time.monotonic() - begun

    def tags(self) -> tuple[str, ...]:
        """Entity tags of two files."""
        found = []
        for name in ("feeds/all.ics", "wall-chart.pdf"):
            connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=LIMIT_S)
            connection.request("HEAD", f"/{self.secrets['plot']}/{name}")
            found.append(connection.getresponse().headers["ETag"])
            connection.close()
        return tuple(found)

    def weight(self) -> tuple[int, int, int]:
        """Memory [bytes], open files and threads."""
        process = psutil.Process(self.process.pid)
        return process.memory_info().rss, process.num_fds(), process.num_threads()


def exchange(server: Server, what: Sent) -> tuple[bytes, bool]:
    """What came back, and whether the server ended it within the limit."""
    data = bytearray()
    try:
        with server.connected() as client:
            for piece in what.pieces:
                client.sendall(piece)
            if what.client == "gone":
                client.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, RESET)
                return b"", True
            if what.client == "closing":
                client.shutdown(socket.SHUT_WR)
            if what.client == "silent":
                client.settimeout(0.02)
            while part := client.recv(65_536):
                data += part
    except TimeoutError:
        return bytes(data), what.client == "silent"
    except OSError:  # hung up on what is no request
        return bytes(data), not what.method
    return bytes(data), True


def odd(server: Server, what: Sent, answer: bytes, in_time: bool) -> Iterator[str]:
    """Everything that is not as it must be about an answer."""
    if not in_time:
        yield "not answered in time" if not answer else "cut off"
    asked = unquote_to_bytes(what.data)
    for secret in server.secrets.values():
        if secret.encode() in answer and secret.encode() not in asked:
            yield "tells a secret"
    if CANARY in answer or b"root:" in answer:
        yield "tells what lies outside"
    if b"Traceback" in answer or b"site-packages" in answer:
        yield "tells its insides"
    statuses = []
    rest = answer
    while rest:
        head = HEAD.match(rest)
        if head is None:
            yield f"no answer by the rules: {rest[:80]!r}"
            break
        status, headers = int(head[1]), dict(line.split(b": ", 1) for line in head[2].lower().split(b"\r\n") if line)
        rest = rest[head.end():]
        if status == 100:
            continue
        statuses.append(status)
        bare = status == 304 or what.method == "HEAD"
        body = b"" if bare else rest[:int(headers.get(b"content-length", b"0"))]
        if status not in ANSWERED:
            yield f"status {status}"
        if b"set-cookie" in headers or b"server" in headers or b"x-bad" in headers:
            yield "a header too many"
        if not bare and status in (200, 206) and body and not _is_file(server, asked, status, headers, body):
            yield f"status {status} with {body[:80]!r} as {headers.get(b'content-type')!r}"
        if not bare and status not in (200, 206) and len(body) > 400:
            yield f"status {status} with {len(body)} bytes"
        if not what.method:  # without knowing which was a HEAD, the ends of answers are not known
            break
        rest = b"" if bare else rest[len(body):]
    if what.method and what.client != "gone" and len(statuses) != 1:
        yield f"{len(statuses)} answers to one request"
    if what.method not in ("", "GET", "HEAD") and statuses and statuses[0] not in (400, 405, 431):
        yield f"status {statuses[0]} for {what.method}"


def _is_file(server: Server, asked: bytes, status: int, headers: dict[bytes, bytes], body: bytes) -> bool:
    kind = headers.get(b"content-type", b"").decode()
    return any(data == body if status == 200 else b"multipart" not in kind.encode() and body in data
               for site, secret in server.secrets.items() if secret.encode() in asked
               for name, data in server.files[site].items()
               if TYPES.get(Path(name).suffix) == kind and "half" not in name)


def one(server: Server, seed: str, tags: tuple[str, ...]) -> tuple[Sent, bytes, list[str]]:
    """One client, what it got, and what was found (nothing when all is well)."""
    what = sent(Random(seed), tuple(server.secrets.values()), tags)
    answer, in_time = exchange(server, what)
    found = list(odd(server, what, answer, in_time))
    if server.errors.stat().st_size:
        found.append(server.errors.read_text("utf-8", "replace")[-3000:])
        with server.errors.open("r+b") as errors:
            errors.truncate(0)
    return what, answer, found


def crowd(server: Server, count: int, said: bytes) -> float:
    """How long another client waits while so many say something and then no more, reading nothing. [s]"""
    clients = []
    try:
        for _ in range(count):
            with suppress(OSError):
                client = socket.socket()
                clients.append(client)
                client.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
                client.settimeout(0.2)
                client.connect(("127.0.0.1", server.port))
                client.sendall(said)
        return server.good()
    finally:
        for client in clients:
            client.close()


def crowds(server: Server) -> dict[str, bytes]:
    """What a crowd may say, by its name."""
    chart = f"GET /{server.secrets['plot']}/wall-chart.pdf HTTP/1.1\r\nHost: x\r\n\r\n".encode()
    return {"nothing": b"", "half a line": b"GET /a", "half a request": b"GET / HTTP/1.1\r\nX: ",
            "half a body": b"POST / HTTP/1.1\r\nContent-Length: 9\r\n\r\nx", "a chart": chart,
            "hundred charts": chart * 100, "a chunk": b"POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n5\r\nx"}


def watch(server: Server, ended: threading.Event, waited: list[float]) -> None:
    """Fetch a feed over and over, as another client."""
    while not ended.wait(0.05):
        try:
            waited.append(server.good())
        except (OSError, AssertionError, http.client.HTTPException) as error:
            waited.append(float("inf"))
            print(f"another client: {error!r}"[:300], file=sys.stderr, flush=True)


def main() -> int:
    """Run; exit status 1 when anything was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="calgen-fuzz-"))
    seen, statuses, waited, ended = Counter[str](), Counter[str](), list[float](), threading.Event()
    with Server(lay(folder)) as server:
        tags = server.tags()
        watcher = threading.Thread(target=watch, args=(server, ended, waited))
        watcher.start()
        try:
            before = server.weight()
            for number in range(args.count):
                if number == min(2000, args.count // 4):
                    before = server.weight()
                what, answer, found = one(server, f"{args.seed}/{number}", tags)
                statuses[answer[9:12].decode("ascii", "replace") or "none"] += 1
                for words in found:
                    seen[words[-200:]] += 1
                    if seen[words[-200:]] == 1:
                        print(f"{number}: {what.client}: {what.data[:300]!r}: {words}", file=sys.stderr, flush=True)
            for name, said in crowds(server).items():
                for many in (30, 90, 300):
                    if (wait := crowd(server, many, said)) > LIMIT_S:
                        seen[f"crowd of {many} saying {name}: another waits {wait:.1f} s"] += 1
        finally:
            ended.set()
            watcher.join()
        time.sleep(1)
        after = server.weight()
        server.process.send_signal(signal.SIGINT)
    print("first answers:", ", ".join(f"{count} x {status}" for status, count in statuses.most_common()))
    print(f"other clients: {len(waited)} feeds, longest wait {max(waited):.2f} s")
    print(f"memory {before[0] >> 10} -> {after[0] >> 10} KiB, files {before[1]} -> {after[1]}, "
          f"threads {before[2]} -> {after[2]}")
    if max(waited) > LIMIT_S:
        seen["another client waited"] += 1
    if after[0] - before[0] > 8 << 20 or after[1] > before[1] + 5 or after[2] > before[2]:
        seen["grows"] += 1
    for words, count in seen.most_common():
        print(f"{count} x {words}")
    shutil.rmtree(folder)
    return int(bool(seen))


if __name__ == "__main__":
    sys.exit(main())
