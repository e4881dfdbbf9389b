"""Answers by the rules of HTTP (RFC 9110), and to requests nobody should get an answer to."""

from __future__ import annotations

import os
import re
from typing import TYPE_CHECKING, Any

import pytest
from calgen.lock import Busy
from calgen.output import write_all
from calgen.render.feed import feeds
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

pytest.importorskip("werkzeug", reason="the serve extra is not installed")

from calgen.serve.answer import answers
from werkzeug.test import Client, EnvironBuilder, run_wsgi_app
from werkzeug.wrappers import Response

if TYPE_CHECKING:
    from pathlib import Path

    from calgen.schedule.model import Schedule

SECRET = "AAAAAAAAAAAAAAAAAAAAAA"
OTHER = "BBBBBBBBBBBBBBBBBBBBBB"
PDF = b"%PDF-1.7\n" + bytes(range(256)) * 40
LONG_AGO = 1_700_000_000


@pytest.fixture
def folder(tmp_path: Path, garden_year: Schedule) -> Path:
    """The output folder of two sites, written long ago; a secret file lies beside them."""
    made = feeds(garden_year)
    for site in ("tern-hill", "elm-hill"):
        (tmp_path / site / "feeds").mkdir(parents=True)
        for name, data in {
            "index.html": f"<title>{site}</title>".encode(), "wall-chart.pdf": PDF, "plan.json": b"{}",
            **{f"feeds/{name}.ics": made[f"{name}.ics"] for name in ("all", "import", "sow", "mulch")},
        }.items():
            (tmp_path / site / name).write_bytes(data)
            os.utime(tmp_path / site / name, (LONG_AGO, LONG_AGO))
    (tmp_path / "secret.pdf").write_bytes(b"not for you")
    return tmp_path


@pytest.fixture
def client(folder: Path) -> Client:
    return Client(answers({SECRET: folder / "tern-hill", OTHER: folder / "elm-hill"}), Response)


def url(name: str) -> str:
    return f"/{SECRET}/{name}"


@pytest.mark.parametrize(("name", "kind"), [
    ("feeds/all.ics", "text/calendar; charset=utf-8"),
    ("feeds/import.ics", "text/calendar; charset=utf-8"),
    ("index.html", "text/html; charset=utf-8"),
    ("", "text/html; charset=utf-8"),
    ("wall-chart.pdf", "application/pdf"),
    ("plan.json", "application/json"),
])
def test_files_and_their_types(client: Client, folder: Path, name: str, kind: str) -> None:
    """RFC 5545 section 8.1: a calendar is text/calendar, with its charset."""
    response = client.get(url(name))
    assert response.status_code == 200
    assert response.headers["Content-Type"] == kind
    assert response.data == (folder / "tern-hill" / (name or "index.html")).read_bytes()
    assert int(response.headers["Content-Length"]) == len(response.data)


def test_every_site_answers_under_its_own_secret(client: Client) -> None:
    assert client.get(f"/{SECRET}/").text == "<title>tern-hill</title>"
    assert client.get(f"/{OTHER}/").text == "<title>elm-hill</title>"


def test_head_is_get_without_the_body(client: Client) -> None:
    """RFC 9110 section 9.3.2."""
    get, head = client.get(url("feeds/all.ics")), client.head(url("feeds/all.ics"))
    assert head.data == b""
    assert dict(head.headers) == dict(get.headers)


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS", "PROPFIND", "TRACE", "MKCOL"])
@pytest.mark.parametrize("path", ["/", url("feeds/all.ics"), "/nowhere"])
def test_everything_but_reading_is_405(client: Client, folder: Path, method: str, path: str) -> None:
    """RFC 9110 section 15.5.6: with the methods that are allowed; calendar programs probe with PROPFIND and OPTIONS."""
    before = (folder / "tern-hill/feeds/all.ics").read_bytes()
    response = client.open(path, method=method, data=b"x")
    assert response.status_code == 405
    assert response.headers["Allow"] == "GET, HEAD"
    assert (folder / "tern-hill/feeds/all.ics").read_bytes() == before


def test_conditional_requests(client: Client) -> None:
    """RFC 9110 sections 13.1.2, 13.1.3, 13.2.2: the tag goes before the date; a 304 has no body and the tag again."""
    first = client.get(url("feeds/all.ics"))
    tag, date = first.headers["ETag"], first.headers["Last-Modified"]
    assert re.fullmatch(r'"[0-9a-f]{32}"', tag)
    assert date == "Tue, 14 Nov 2023 22:13:20 GMT"
    early = "Sat, 01 Jan 2000 00:00:00 GMT"
    for condition in ({"If-None-Match": tag}, {"If-None-Match": f'"other", W/{tag}'}, {"If-None-Match": "*"},
                      {"If-Modified-Since": date}, {"If-None-Match": tag, "If-Modified-Since": early}):
        again = client.get(url("feeds/all.ics"), headers=condition)
        assert (again.status_code, again.data, again.headers["ETag"]) == (304, b"", tag)
        assert again.headers["Cache-Control"] == "no-cache"
    for condition in ({"If-None-Match": '"other"'}, {"If-None-Match": '"other"', "If-Modified-Since": date},
                      {"If-Modified-Since": early}, {"If-Modified-Since": "rubbish"}):
        assert client.get(url("feeds/all.ics"), headers=condition).status_code == 200


def test_only_the_version_asked_for(client: Client) -> None:
    """RFC 9110 sections 13.1.1, 13.1.4: ``*`` is whatever is there; else 412, which does not carry the file."""
    tag = client.get(url("feeds/all.ics")).headers["ETag"]
    for held in ({"If-Match": tag}, {"If-Match": "*"}, {"If-Match": f'"other", {tag}'}):
        assert client.get(url("feeds/all.ics"), headers=held).status_code == 200
    for other in ("\"other\"", '"' + "a" * 9000 + '"'):
        response = client.get(url("feeds/all.ics"), headers={"If-Match": other})
        assert (response.status_code, response.data) == (412, b"not the one asked for\n")
        assert response.headers["Content-Type"] == "text/plain"


def test_the_tag_is_of_the_content_alone(client: Client, folder: Path) -> None:
    """Touched but equal is not new; edited within one second and of one length is."""
    path = folder / "tern-hill/feeds/all.ics"
    tag = client.get(url("feeds/all.ics")).headers["ETag"]
    os.utime(path)
    assert client.get(url("feeds/all.ics"), headers={"If-None-Match": tag}).status_code == 304
    data = path.read_bytes()
    path.write_bytes(data.replace(b"Plant tomato", b"Plant potato"))
    os.utime(path, (LONG_AGO, LONG_AGO))
    response = client.get(url("feeds/all.ics"), headers={"If-None-Match": tag})
    assert response.status_code == 200
    assert response.headers["ETag"] != tag


def test_no_date_is_given_that_a_second_build_could_share(client: Client, folder: Path) -> None:
    """RFC 9110 section 8.8.2.2: a date of this very second does not tell two contents apart."""
    os.utime(folder / "tern-hill/feeds/all.ics")
    assert "Last-Modified" not in client.get(url("feeds/all.ics")).headers


def test_a_new_build_is_served_at_once(client: Client, folder: Path, garden_year: Schedule) -> None:
    old = client.get(url("feeds/sow.ics"))
    write_all(folder / "tern-hill", {"feeds/sow.ics": old.data.replace(b"Sow rye", b"Sow oat"), "plan.json": b"{}"})
    new = client.get(url("feeds/sow.ics"), headers={"If-None-Match": old.headers["ETag"]})
    assert new.status_code == 200
    assert b"Sow oat" in new.data
    assert client.get(url("feeds/mulch.ics")).status_code == 404


def test_what_a_build_left_between_two_moves_is_finished_before_it_is_served(client: Client, folder: Path) -> None:
    """As after a power cut: the new page was in place, the rest still to be moved. A phone sees one build."""
    site = folder / "tern-hill"
    new = {"feeds/sow.ics": (site / "feeds/sow.ics").read_bytes().replace(b"Sow rye", b"Sow oat"), "plan.json": b"{ }"}
    for name, data in new.items():
        (site / name).with_name(f".{(site / name).name}.calgen-new").write_bytes(data)
    (site / ".calgen-moves").write_text("put index.html\nput feeds/sow.ics\ndrop feeds/mulch.ics\nput plan.json\n")
    assert client.get(url("index.html")).status_code == 200
    assert {name: (site / name).read_bytes() for name in new} == new
    assert client.get(url("feeds/sow.ics")).data == new["feeds/sow.ics"]
    assert client.get(url("feeds/mulch.ics")).status_code == 404
    assert not list(site.rglob(".*"))


def test_moves_that_cannot_be_made_hold_up_no_file(client: Client, folder: Path) -> None:
    """Each by itself is whole. A folder in the way stands for one that may only be read."""
    site = folder / "tern-hill"
    (site / ".plan.json.calgen-new").write_bytes(b"{ }")
    (site / ".calgen-moves").write_text("put plan.json\n")
    (site / "plan.json").unlink()
    (site / "plan.json").mkdir()
    assert client.get(url("feeds/all.ics")).status_code == 200


def test_a_build_that_stands_still_between_two_moves_holds_up_nobody_for_long(
        client: Client, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As one that was put to sleep in its terminal: all four threads of the server would wait for it in turn."""
    site = folder / "tern-hill"
    (site / ".calgen-moves").write_text("put plan.json\n")
    asked = []

    def busy(path: Path, wait_s: float) -> None:
        asked.append((path.name, wait_s < 1))
        raise Busy

    monkeypatch.setattr("calgen.output.locked", busy)
    assert client.get(url("feeds/all.ics")).status_code == 200
    assert asked == [(".calgen-lock", True)]


def test_part_of_a_chart(client: Client) -> None:
    """RFC 9110 section 14: viewers fetch long documents in parts."""
    response = client.get(url("wall-chart.pdf"), headers={"Range": "bytes=9-18"})
    assert (response.status_code, response.data) == (206, PDF[9:19])
    assert response.headers["Content-Range"] == f"bytes 9-18/{len(PDF)}"
    assert client.get(url("wall-chart.pdf"), headers={"Range": f"bytes={len(PDF)}-"}).status_code == 416


@pytest.mark.parametrize("bad", [
    b"", b"<html>log in</html>", b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n", b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n",
])
def test_a_half_or_empty_feed_is_never_given_out(client: Client, folder: Path, bad: bytes) -> None:
    """Readers would take it for "everything is gone"; after a 503 (RFC 9110 15.6.4) they keep what they have."""
    (folder / "tern-hill/feeds/all.ics").write_bytes(bad)
    response = client.get(url("feeds/all.ics"))
    assert response.status_code == 503
    assert response.headers["Retry-After"] == "60"


def test_download_names_the_file_after_the_site(client: Client) -> None:
    response = client.get(url("feeds/import.ics?download"))
    disposition = response.headers["Content-Disposition"]
    assert disposition == "attachment; filename=import.ics; filename*=UTF-8''tern-hill-import.ics"
    assert "Content-Disposition" not in client.get(url("feeds/import.ics")).headers


def test_a_site_name_in_any_script_names_the_download(folder: Path) -> None:
    """RFC 6266 section 4.3: such a name goes into ``filename*``, percent-encoded."""
    odd = folder / 'gärten "süd"; x'
    (folder / "tern-hill").rename(odd)
    response = Client(answers({SECRET: odd}), Response).get(url("feeds/all.ics?download"))
    assert response.status_code == 200
    disposition = response.headers["Content-Disposition"]
    assert disposition.endswith("; filename*=UTF-8''g%C3%A4rten%20%22s%C3%BCd%22%3B%20x-all.ics")
    assert disposition.isascii()


def test_the_secret_without_a_slash_leads_to_the_page(client: Client) -> None:
    response = client.get(f"/{SECRET}", headers={"Host": "evil.example"})
    assert response.status_code == 308
    assert response.headers["Location"] == f"{SECRET}/"


@pytest.mark.parametrize("path", [
    "/", "", "/index.html", "/tern-hill/index.html", "/favicon.ico", "/robots.txt", f"/{SECRET[:-1]}/index.html",
    f"/{SECRET}A/index.html", f"/{SECRET.lower()}/index.html", f"//{SECRET}/index.html", "/é/index.html",
    "/%ff/index.html", "/.calgen-addresses.json", "/%00/index.html",
])
def test_without_the_secret_there_is_nothing(client: Client, path: str) -> None:
    response = client.get(path)
    assert (response.status_code, response.data) == (404, b"not here\n")


@pytest.mark.parametrize("name", [
    "../secret.pdf", "..%2fsecret.pdf", "%2e%2e/secret.pdf", "..%5csecret.pdf", "../elm-hill/index.html",
    "feeds/../../secret.pdf", "feeds/..%2f..%2fsecret.pdf", "/etc/passwd", "//etc/passwd", "%2fetc%2fpasswd",
    "feeds", "feeds/", ".calgen-lock", "feeds/.all.ics.calgen-new", "index.html/", "index.html%00.pdf", "plan.json%0a",
    "INDEX.HTML", "feeds//all.ics", "./index.html", "nothing.pdf", "feeds/nothing.ics", "index", "c:/x.pdf",
    "x" * 5000 + ".pdf", "index.html/../../secret.pdf", "Feeds/all.ics", "link.pdf", "feeds/link.ics", "folder.pdf",
    "notes.txt",
])
def test_nothing_but_the_files_of_the_site(client: Client, folder: Path, name: str) -> None:
    """Not its neighbours, hidden files, folders, or what a link leads to outside."""
    (folder / "tern-hill/link.pdf").symlink_to(folder / "secret.pdf")
    (folder / "tern-hill/feeds/link.ics").symlink_to(folder / "elm-hill/feeds/all.ics")
    (folder / "tern-hill/folder.pdf").mkdir()
    (folder / "tern-hill/notes.txt").write_text("mine")
    response = client.get(url(name))
    assert (response.status_code, response.data) == (404, b"not here\n")


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(path=st.one_of(st.text(max_size=60), st.lists(
    st.sampled_from(["..", ".", "/", "\\", "%", "feeds", "all.ics", "secret.pdf", "\0", "elm-hill", "index.html"]),
    max_size=8).map("".join)))
def test_no_path_leads_out(client: Client, path: str) -> None:
    known = {url(name) for name in ("", "index.html", "feeds/all.ics")}
    environ: dict[str, Any] = EnvironBuilder(method="GET").get_environ()
    environ["PATH_INFO"] = url(path).encode("utf-8", "surrogatepass").decode("latin-1")
    body, status, _ = run_wsgi_app(client.application, environ, buffered=True)
    assert status[:3] in {"200", "404"}
    assert status.startswith("404") or url(path) in known
    assert b"not for you" not in b"".join(body)


def test_answers_are_private(client: Client) -> None:
    """The address is the key: it must not leak to other sites, search engines or caches."""
    for path in (url("feeds/all.ics"), url(""), "/nowhere", f"/{SECRET}"):
        headers = client.get(path).headers
        assert headers["Referrer-Policy"] == "no-referrer"
        assert headers["X-Robots-Tag"] == "noindex"
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Cache-Control"] == "no-cache"
        assert "Set-Cookie" not in headers
