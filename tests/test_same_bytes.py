"""The same input gives the same bytes, whatever process, locale, time zone, folder or Python it is built in.

`.ci/pythons` does the same over every Python that is installed.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
SITE = ROOT / "sites" / "withy-row.yaml"
# language, character map, and the name that the C library then knows; Turkish has a decimal comma, and i is not its I
LOCALES = {"decimal comma and Turkish letters": ("tr_TR", "UTF-8", "tr_TR.UTF-8"),
           "western letters only": ("de_DE", "ISO-8859-1", "de_DE.ISO-8859-1")}


def lived(folder: Path, worked_in: Path = ROOT, **other: str) -> dict[str, str]:
    """Digests of all that came of the site in a process of its own, with other environment variables."""
    kept = {name: value for name, value in os.environ.items()
            if name not in ("LANG", "LANGUAGE", "TZ") and not name.startswith(("LC_", "PYTHON"))}
    run = subprocess.run([sys.executable, ROOT / "tests" / "life_of_a_site.py", SITE, folder], cwd=worked_in,
                         env={**kept, "PYTHONPATH": str(ROOT), **other}, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    found: dict[str, str] = json.loads(run.stdout)
    return found


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    digests = lived(tmp_path_factory.mktemp("usual") / "life", LC_ALL="C.UTF-8", TZ="UTC", PYTHONHASHSEED="0")
    assert all(value[0] == "0" for name, value in digests.items() if ":" not in name), "a command failed"
    made = {Path(name.partition(": ")[2]).name for name in digests}
    assert {"wall-chart.pdf", "wall-chart-tiles.pdf", "sheets.pdf", "index.html", "plan.json", "all.ics",
            "changes.txt", "withy-row.diary.yaml"} <= made
    return digests


@pytest.mark.parametrize("other", [
    pytest.param({"PYTHONHASHSEED": "4294967295", "TZ": "XXX-14"}, id="other hashes, 14 h ahead of UTC"),
    pytest.param({"TZ": "XXX+12", "PYTHONOPTIMIZE": "2", "LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"},
                 id="12 h behind, optimised, a locale that knows ASCII only"),
])
def test_the_surroundings_do_not_show(usual: dict[str, str], other: dict[str, str], tmp_path: Path) -> None:
    place = tmp_path / "beds and pots"
    place.mkdir()
    assert lived(place / "life", worked_in=place, **other) == usual


@pytest.mark.skipif(shutil.which("localedef") is None, reason="localedef makes the locales; it is not installed")
@pytest.mark.parametrize("wanted", LOCALES.values(), ids=LOCALES.keys())
def test_the_locale_does_not_show(usual: dict[str, str], wanted: tuple[str, str, str], tmp_path: Path) -> None:
    language, letters, name = wanted
    made = subprocess.run(["localedef", "-c", "-i", language, "-f", letters, tmp_path / name], capture_output=True,
                          text=True, check=False)
    if not (tmp_path / name).is_dir():
        pytest.skip(f"no {name} to be had: {made.stderr.strip()}")
    taken = {"LOCPATH": str(tmp_path), "LC_ALL": name, "TAKE_LOCALE": "yes"}
    asked = "import locale; locale.setlocale(locale.LC_ALL, ''); print(locale.setlocale(locale.LC_ALL))"
    heard = subprocess.run([sys.executable, "-c", asked], env={**os.environ, **taken}, capture_output=True, text=True,
                           check=True)
    assert name in heard.stdout, "the locale was not taken; the test would test nothing"
    assert lived(tmp_path / "life", **taken) == usual
