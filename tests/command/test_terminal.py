"""A terminal that lacks a sign shows another that a grower reads the same way."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from calgen.cli import nearest_sign

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize(("sign", "shown"), [
    ("–", "-"), ("−", "-"), ("°", ""), ("²", "2"), ("×", "x"), ("é", "e"), ("½", "1/2"), ("漢", "?")])
def test_a_sign_has_a_nearest(sign: str, shown: str) -> None:
    assert f"a{sign}b".encode("ascii", "nearest-sign") == f"a{shown}b".encode()
    assert nearest_sign(UnicodeEncodeError("ascii", sign, 0, 1, "")) == (shown, 1)


def test_what_is_told_is_the_same_but_for_its_signs() -> None:
    told = {}
    for encoding in ("utf-8", "ascii"):
        command = [sys.executable, "-m", "calgen", "why", str(ROOT / "sites" / "withy-row.yaml"), "1"]
        done = subprocess.run(command, capture_output=True, cwd=ROOT, check=True,
                              env={**os.environ, "PYTHONIOENCODING": encoding, "LC_ALL": "C"})
        told[encoding] = done.stdout.decode(encoding)
    assert "m²" in told["utf-8"]
    assert told["ascii"] == told["utf-8"].encode("ascii", "nearest-sign").decode()
