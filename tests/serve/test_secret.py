"""The address book: made once, kept private, renewed on request."""

from __future__ import annotations

import json
import os
import stat
from typing import TYPE_CHECKING

import pytest
from calgen.serve.secret import FILE, ServeError, site_secrets

if TYPE_CHECKING:
    from pathlib import Path


def test_a_secret_is_128_random_bits_for_each_site(tmp_path: Path) -> None:
    found = site_secrets(tmp_path, ["a", "b"])
    assert len(set(found.values())) == 2
    assert all(len(secret) == 22 and secret.replace("-", "").replace("_", "").isalnum() for secret in found.values())
    assert site_secrets(tmp_path / "", ["a", "b"]) == found


def test_it_stays_when_other_sites_come_and_go(tmp_path: Path) -> None:
    first = site_secrets(tmp_path, ["a"])["a"]
    both = site_secrets(tmp_path, ["b", "a"])
    assert both["a"] == first
    assert site_secrets(tmp_path, ["b"]) == {"b": both["b"]}


def test_renewing_changes_only_the_sites_named(tmp_path: Path) -> None:
    before = site_secrets(tmp_path, ["a", "b"])
    after = site_secrets(tmp_path, ["a"], renew=True)
    assert after["a"] != before["a"]
    assert site_secrets(tmp_path, ["a", "b"]) == {"a": after["a"], "b": before["b"]}


@pytest.mark.skipif(os.name != "posix", reason="Windows has no such modes")
def test_only_the_grower_can_read_the_book(tmp_path: Path) -> None:
    for renew in (False, True):
        site_secrets(tmp_path, ["a"], renew)
        assert stat.S_IMODE((tmp_path / FILE).stat().st_mode) == 0o600


@pytest.mark.parametrize("text", ["", "[]", "{", '{"a": 1}', '{"a": "short"}', '{"a": "../../../../../../../etc"}',
                                  '{"a": "AAAAAAAAAAAAAAAAAAAAAA", "b": "AAAAAAAAAAAAAAAAAAAAAA"}', "\xff"])
def test_a_broken_book_is_told_and_not_overwritten(tmp_path: Path, text: str) -> None:
    (tmp_path / FILE).write_text(text, "latin-1")
    with pytest.raises(ServeError, match="is broken; delete it and start again"):
        site_secrets(tmp_path, ["a"])
    assert (tmp_path / FILE).read_text("latin-1") == text


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(ServeError, match="cannot be read or written"):
        site_secrets(tmp_path / "nowhere", ["a"])


def test_the_book_is_plain_to_read(tmp_path: Path) -> None:
    found = site_secrets(tmp_path, ["süd"])
    assert json.loads((tmp_path / FILE).read_text()) == found
