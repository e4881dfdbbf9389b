"""A missing program skips its test at home and fails it in CI."""

from __future__ import annotations

from typing import TYPE_CHECKING, NoReturn

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable


def test_a_missing_program_is_told(monkeypatch: pytest.MonkeyPatch, missing: Callable[[str], NoReturn]) -> None:
    monkeypatch.delenv("CI", raising=False)
    with pytest.raises(pytest.skip.Exception, match=r"the-program is not installed \(see \.ci/interop-packages\)"):
        missing("the-program")
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception, match="the-program is not installed"):
        missing("the-program")


def test_a_program_that_is_not_there_is_found_missing(
    monkeypatch: pytest.MonkeyPatch, program: Callable[[str], str], python_module: Callable[[str], None],
) -> None:
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception):
        program("no-such-program-anywhere")
    with pytest.raises(pytest.fail.Exception):
        python_module("no_such_module_anywhere")
