"""Addresses of feeds from what the grower writes as feed-address."""

from __future__ import annotations

import pytest
from calgen.render.page.address import feed_url, is_home, is_secure, webcal

FOLDER = "https://plots.example.org/tern-hill"


@pytest.mark.parametrize("address", [
    FOLDER, f"{FOLDER}/", f"{FOLDER}/index.html", f"{FOLDER}/feeds", f"{FOLDER}/feeds/", f"{FOLDER}/feeds/all.ics",
    f" {FOLDER}/#beds ",
])
def test_the_folder_its_feeds_and_its_main_feed_mean_the_same(address: str) -> None:
    assert feed_url(address, "all.ics") == f"{FOLDER}/feeds/all.ics"
    assert feed_url(address, "sow.ics") == f"{FOLDER}/feeds/sow.ics"


def test_the_root_of_a_host_is_a_folder() -> None:
    assert feed_url("https://example.org", "all.ics") == "https://example.org/feeds/all.ics"


def test_a_feed_moved_elsewhere_is_all_jobs_and_tells_nothing_of_others() -> None:
    assert feed_url("https://example.org/calendar/plot.ics?key=7", "all.ics") == "https://example.org/calendar/plot.ics?key=7"
    assert feed_url("https://example.org/calendar/plot.ics?key=7", "sow.ics") is None


def test_feeds_that_lie_beside_a_main_feed_outside_a_feeds_folder_stay_beside_it() -> None:
    assert feed_url("https://example.org/x/all.ics", "sow.ics") == "https://example.org/x/sow.ics"


def test_a_port_and_a_key_in_the_address_are_kept() -> None:
    assert feed_url("http://192.168.1.5:8000/k3y/", "sow.ics") == "http://192.168.1.5:8000/k3y/feeds/sow.ics"
    assert feed_url(f"{FOLDER}/feeds/all.ics?key=7", "sow.ics") == f"{FOLDER}/feeds/sow.ics?key=7"


@pytest.mark.parametrize("address", [None, "", "javascript:alert(1)//x.ics", "ftp://example.org/", "https:///x", "https://[::1",
                                     "https://example.org:port/"])
def test_what_is_no_web_address_gives_none(address: str | None) -> None:
    assert feed_url(address, "all.ics") is None


@pytest.mark.parametrize("url", ["https://example.org/a/all.ics", "http://example.org/a/all.ics"])
def test_the_subscription_link_is_webcal_with_and_without_tls(url: str) -> None:
    """The scheme as registered with IANA (provisional, ``webcal``): the address with its scheme replaced."""
    assert webcal(url) == "webcal://example.org/a/all.ics"


@pytest.mark.parametrize(("url", "home"), [
    ("http://192.168.1.5:8000/", True),     # RFC 1918
    ("http://10.1.2.3/", True),             # RFC 1918
    ("http://127.0.0.1/", True),            # RFC 1122
    ("http://[fd00::1]/", True),            # RFC 4193
    ("http://[fe80::1]/", True),            # RFC 4291
    ("http://shed.local/", True),           # RFC 6762
    ("http://shed.home.arpa/", True),       # RFC 8375
    ("http://localhost:8000/", True),       # RFC 6761
    ("http://shed/", True),
    ("https://plots.example.org/", False),
    ("https://8.8.8.8/", False),
])
def test_addresses_that_only_the_home_network_reaches_are_known(url: str, home: bool) -> None:
    assert is_home(url) is home


def test_tls_is_told_from_the_scheme() -> None:
    assert is_secure(feed_url("HTTPS://example.org/", "all.ics") or "")
    assert not is_secure("http://example.org/feeds/all.ics")
