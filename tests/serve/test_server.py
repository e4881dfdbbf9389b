"""The server as it runs: a process of its own on loopback, with bad clients, many clients, and Ctrl+C."""

from __future__ import annotations

import http.client
import os
import re
import signal
import socket
import struct
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest
from calgen.output import write_all
from calgen.render.feed import feeds
from calgen.serve.secret import ServeError
from calgen.serve.server import serve

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from calgen.schedule.model import Schedule

pytest.importorskip("waitress", reason="the serve extra is not installed")

PROGRAM = """
import sys
from pathlib import Path
from calgen.serve.server import serve
serve(Path(sys.argv[1]), port=0, tell=lambda line: print(line, flush=True))
"""


def hear_ctrl_c() -> None:
    """Programs started in the background by a shell are deaf to it, and so are theirs."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@dataclass
class Server:
    process: subprocess.Popen[str]
    folder: Path
    port: int
    path: str

    def get(self, path: str | None = None, **headers: str) -> tuple[int, http.client.HTTPMessage, bytes]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)
        try:
            connection.request("GET", path or self.path, headers={k.replace("_", "-"): v for k, v in headers.items()})
            response = connection.getresponse()
            return response.status, response.headers, response.read()
        finally:
            connection.close()

    def raw(self, request: bytes) -> bytes:
        """What the server sends back to bytes that need not be a request."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=30) as connection:
            connection.sendall(request)
            with suppress(OSError):  # the server has closed it before
                connection.shutdown(socket.SHUT_WR)
            return connection.makefile("rb").read()


def quiet(server: Server) -> bool:
    """Stop the server: whether it had nothing to complain of."""
    server.process.send_signal(signal.SIGINT)
    return server.process.communicate(timeout=30)[1] == ""


def built(folder: Path, year: Schedule) -> None:
    write_all(folder / "tern-hill", {
        "index.html": b"<title>Tern Hill</title>", "plan.json": b"{}",
        **{f"feeds/{name}": data for name, data in feeds(year).items()}})


@pytest.fixture
def server(tmp_path: Path, garden_year: Schedule) -> Iterator[Server]:
    built(tmp_path, garden_year)
    process = subprocess.Popen([sys.executable, "-c", PROGRAM, str(tmp_path)], stdout=subprocess.PIPE,
                               stderr=subprocess.PIPE, stdin=subprocess.DEVNULL, text=True, encoding="utf-8",
                               preexec_fn=None if os.name == "nt" else hear_ctrl_c)
    try:
        assert process.stdout is not None
        lines = []
        for line in process.stdout:
            lines.append(line)
            if "Stop with Ctrl+C" in line:
                break
        found = re.search(r"http://127\.0\.0\.1:(\d+)(/[\w-]{22}/feeds/all\.ics)\n", "".join(lines))
        assert found, "".join(lines)
        yield Server(process, tmp_path, int(found[1]), found[2])
    finally:
        if process.poll() is None:
            process.kill()
        process.communicate()


def test_it_tells_the_addresses_answers_and_stops_on_ctrl_c(server: Server) -> None:
    status, headers, body = server.get()
    assert (status, headers["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    assert body == (server.folder / "tern-hill/feeds/all.ics").read_bytes()
    assert "Server" not in headers
    assert server.get(If_None_Match=headers["ETag"])[0] == 304
    server.process.send_signal(signal.SIGINT)
    _, errors = server.process.communicate(timeout=30)
    assert server.process.returncode == 0
    assert errors == ""


def test_it_listens_on_loopback_alone(server: Server) -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(("192.0.2.1", 9))
        own = probe.getsockname()[0]
    if own.startswith("127."):
        pytest.skip("this computer is in no network")
    with pytest.raises(OSError, match="refused"):
        socket.create_connection((own, server.port), timeout=5)


RUBBISH = (
    b"", b"\r\n\r\n", b"GET\r\n\r\n", b"GET / HTTP/9.9\r\n\r\n", b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" * 20,
    b"GET /../../etc/passwd HTTP/1.1\r\nHost: x\r\n\r\n", b"GET http://evil.example/ HTTP/1.1\r\nHost: x\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: x\r\nX: " + b"a" * 40_000 + b"\r\n\r\n",
    b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 99999999\r\n\r\n" + b"a" * 2_000,
    b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: -1\r\n\r\n", b"GET / HTTP/1.1\r\nHost: x\r\n continued\r\n\r\n",
    b"POST / HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n", b"GET /%zz HTTP/1.1\r\nHost: x\r\n\r\n",
    b"GET /\xff\xfe HTTP/1.1\r\nHost: x\r\n\r\n", b"GET http://[::1/ HTTP/1.1\r\nHost: x\r\n\r\n",
    b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: " + b"9" * 5_000 + b"\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: x\r\nCookie: " + b"a" * 3_000 + b"\n\r\n\r\n",
)


def test_rubbish_gets_a_short_refusal_and_the_server_goes_on(server: Server) -> None:
    for request in RUBBISH:
        try:
            answer = server.raw(request)
        except ConnectionError:
            answer = b""
        assert answer == b"" or re.match(rb"HTTP/1\.[01] (4\d\d|501) ", answer), (request, answer)
        assert b"Traceback" not in answer
        assert b"root:" not in answer
        assert len(answer) < 1_000
        assert server.get()[0] == 200
    assert quiet(server)


def test_who_hangs_up_on_a_refusal_is_not_worth_a_word(server: Server) -> None:
    """The refusal of a request without a path found nobody to take it."""
    for _ in range(300):
        with socket.create_connection(("127.0.0.1", server.port), timeout=30) as connection:
            connection.sendall(b"GET http://[::1/ HTTP/1.1\r\n\r\n" * 9)
            connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    assert server.get()[0] == 200
    assert quiet(server)


def test_who_says_that_a_body_may_come_is_answered_without_it(server: Server) -> None:
    """RFC 9110 section 10.1.1: a server may leave the interim answer out when it can tell the final one."""
    with socket.create_connection(("127.0.0.1", server.port), timeout=10) as connection:
        connection.sendall(b"GET / HTTP/1.1\r\nHost: x\r\nExpect: 100-continue\r\n\r\n")
        assert connection.makefile("rb").read().startswith(b"HTTP/1.1 404 ")


def test_a_connection_is_for_one_request(server: Server) -> None:
    """RFC 9112 section 9.3.2: who sends more at once must be ready to ask again; section 9.6: and is told so."""
    request = f"GET {server.path} HTTP/1.1\r\nHost: x\r\n\r\n".encode()
    with socket.create_connection(("127.0.0.1", server.port), timeout=10) as connection:
        connection.sendall(request * 3)
        answer = connection.makefile("rb").read()
    assert answer.count(b"HTTP/1.1 200 OK") == 1
    assert b"\r\nConnection: close\r\n" in answer


@pytest.mark.parametrize("said", [b"", b"GET / HTTP/1.1\r\nX: ", b"POST / HTTP/1.1\r\nContent-Length: 9\r\n\r\nx"])
def test_a_crowd_that_never_ends_makes_room(server: Server, said: bytes) -> None:
    """More than the server holds. They come twice, and go on a letter at a time, which looks alive."""
    crowd: list[socket.socket] = []
    try:
        for _ in range(2):
            for _ in range(150):
                crowd.append(socket.create_connection(("127.0.0.1", server.port), timeout=30))
                crowd[-1].sendall(said)
            assert server.get()[0] == 200
            for connection in crowd:
                with suppress(OSError):  # the oldest are closed
                    connection.sendall(b"x")
    finally:
        for connection in crowd:
            connection.close()


def test_a_failure_is_told_without_the_address(capfd: pytest.CaptureFixture[str]) -> None:
    """The path holds the secret, and a terminal's lines may be sent to whoever helps."""
    from calgen.serve.patience import Server as Patient
    from calgen.serve.server import LIMITS

    def broken(environ: dict[str, object], start: object) -> list[bytes]:
        raise ZeroDivisionError(environ["PATH_INFO"])

    with socket.create_server(("127.0.0.1", 0)) as listener:
        running = Patient(broken, listener, LIMITS)
        threading.Thread(target=running.run, daemon=True).start()
        with socket.create_connection(listener.getsockname(), timeout=10) as connection:
            connection.sendall(b"GET /AAAAAAAAAAAAAAAAAAAAAA/ HTTP/1.1\r\n\r\n")
            answer = connection.makefile("rb").read()
        running.task_dispatcher.shutdown()
        running.close()
    assert answer.startswith(b"HTTP/1.1 500 ")
    told = capfd.readouterr().err
    assert re.fullmatch(r"a request failed \(ZeroDivisionError, broken line \d+\); that is calgen's fault, .*\n", told)


def test_slow_clients_do_not_keep_others_waiting(server: Server) -> None:
    slow = [socket.create_connection(("127.0.0.1", server.port), timeout=30) for _ in range(30)]
    try:
        for connection in slow:
            connection.sendall(b"GET / HTTP/1.1\r\nHost: x\r\nX: ")
        assert server.get()[0] == 200
    finally:
        for connection in slow:
            connection.close()


def test_builds_under_load_are_served_whole(server: Server, garden_year: Schedule) -> None:
    """400 requests of eight clients while the feed is replaced over and over: each answer is one of the two feeds."""
    path = server.folder / "tern-hill"
    one = (path / "feeds/all.ics").read_bytes()
    two = one.replace(b"Tern Hill", b"Turn Hill")
    built_all = threading.Event()

    def build() -> None:
        for number in range(40):
            write_all(path, {"feeds/all.ics": (two, one)[number % 2]})
        built_all.set()

    def ask(_: int) -> tuple[int, bytes]:
        status, _headers, body = server.get()
        return status, body

    builder = threading.Thread(target=build)
    builder.start()
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(ask, range(400)))
    builder.join()
    assert built_all.is_set()
    assert {status for status, _ in answers} == {200}
    assert {body for _, body in answers} <= {one, two}


def test_what_cannot_be_served_is_told(tmp_path: Path, garden_year: Schedule) -> None:
    with pytest.raises(ServeError, match=r"nothing has been built in .*; run: calgen build"):
        serve(tmp_path)
    with pytest.raises(ServeError, match="nothing has been built"):
        serve(tmp_path / "nowhere")
    built(tmp_path, garden_year)
    with pytest.raises(ServeError, match=r"elm has not been built in .* \(there are: tern-hill\)"):
        serve(tmp_path, ["elm"])
    with pytest.raises(ServeError, match=r"\.\./x has not been built"):
        serve(tmp_path, ["../x"])
    for host in ("0.0.0.0", "192.168.7.20", "shed.local", "::"):
        with pytest.raises(ServeError, match=f"{re.escape(host)} lets other devices in; add --lan"):
            serve(tmp_path, host=host)
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(ServeError, match=f"cannot listen on 127.0.0.1, port {port} .*choose another with --port"):
            serve(tmp_path, port=port)
    with pytest.raises(ServeError, match="99999 is no port"):
        serve(tmp_path, port=99_999)


def test_nothing_of_the_web_is_loaded_before_it_is_needed() -> None:
    code = "import sys, calgen.serve.server; print({'werkzeug', 'waitress', 'segno'} & set(sys.modules))"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "set()\n"
