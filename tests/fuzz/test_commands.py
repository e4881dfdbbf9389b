"""Some whole commands over damaged files, the same each time; ``python -m tests.fuzz.commands`` runs thousands."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tests.fuzz.commands import CASES, one

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize("kind", CASES)
def test_exit_status_and_words_agree_and_nothing_is_lost(kind: str, tmp_path: Path) -> None:
    for number in range(6):
        words, _, odd = one(kind, f"test/{kind}/{number}", tmp_path / str(number))
        assert not odd, f"{kind} {number}: {words}: {odd}"


def test_whole_processes_end_as_they_do_within_one(tmp_path: Path) -> None:
    for number, kind in enumerate(("site", "record", "plan")):
        within = one(kind, f"test/{kind}/{number}", tmp_path / kind)
        assert one(kind, f"test/{kind}/{number}", tmp_path / f"{kind}-2", processes=True) == within
