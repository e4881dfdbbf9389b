"""A few hundred damaged inputs, the same each time; ``python -m tests.fuzz`` reads as many as one likes."""

from __future__ import annotations

import pytest
from tests.fuzz.__main__ import one
from tests.fuzz.kinds import kinds


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_a_damaged_file_is_taken_or_refused_in_printable_words(kind: str) -> None:
    found = [words for number in range(40) if (words := one(kind, f"test/{kind}/{number}")[2])]
    assert not found, found[0]


def test_strange_gardens_are_built_or_refused() -> None:
    found = [words for number in range(20) if (words := one("garden", f"test/garden/{number}")[2])]
    assert not found, found[0]
