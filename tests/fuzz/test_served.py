"""A few hundred clients that send rubbish, the same each time; ``python -m tests.fuzz.served`` sends thousands."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest

pytest.importorskip("waitress", reason="the serve extra is not installed")
pytest.importorskip("psutil", reason="comes with the cluster extra")

from tests.fuzz.served import Server, crowd, crowds, lay, one

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

pytestmark = pytest.mark.skipif(os.name == "nt", reason="needs links and counts of open files")


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    with Server(lay(tmp_path_factory.mktemp("served"))) as running:
        yield running


def files(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_rubbish_is_refused_in_few_words_and_changes_nothing(server: Server) -> None:
    tags, before, ended = server.tags(), files(server.out), 0
    for number in range(400):
        what, answer, found = one(server, f"test/{number}", tags)
        assert not found, f"{number}: {what}: {found}"
        ended += b"\r\n\r\n" in answer
    assert ended > 200
    assert files(server.out) == before


@pytest.mark.parametrize("name", ["half a request", "a chunk", "hundred charts"])
def test_a_crowd_that_never_ends_keeps_nobody_waiting(server: Server, name: str) -> None:
    """Twice: the second crowd comes while the server still holds the first."""
    for _ in range(2):
        assert crowd(server, 250, crowds(server)[name])


def test_memory_does_not_grow_with_requests(server: Server) -> None:
    """Connections hold cycles; left to the collector's rest that suits a build, each would keep 5 KiB."""
    for _ in range(300):
        server.good()
    before = server.weight()
    for _ in range(1200):
        server.good()
    after = server.weight()
    assert after[0] - before[0] < 3 << 20
    assert after[1] <= before[1] + 1  # one may still be closing
    assert after[2] == before[2]
