"""Runs a site through builds, a diary entry and questions, and prints a digest of every byte that came of it.

    python tests/life_of_a_site.py SITE.yaml FOLDER

The digests are a JSON object by name: each output file after each build, the diary, and what was printed. Two runs are
the same wherever they ran when they print the same. Only calgen and what it needs must be installed.
"""

from __future__ import annotations

import contextlib
import io
import json
import locale
import os
import sys
from hashlib import sha256
from pathlib import Path

from calgen.cli import main


def lived(site: Path, folder: Path) -> dict[str, str]:
    """The digests by name; ``folder`` is made, and holds a copy of the site file and the outputs."""
    folder.mkdir(parents=True)
    copy = folder / site.name
    copy.write_bytes(site.read_bytes())
    out = folder / "output"
    digests = {}
    for number, words in enumerate((
        ("build", str(copy), "--out", str(out), "--today", "2026-09-01", "--tile", "A4"),
        ("done", str(copy), "1", "looked", "--on", "2026-09-02", "--note", "Blätter über Nacht – naß"),
        ("build", str(copy), "--out", str(out), "--today", "2026-11-20", "--tile", "A4"),
        ("jobs", str(copy), "--from", "2026-09-01", "--to", "2027-08-31"),
        ("when", str(copy), "tomato", "winter rye"),
        ("why", str(copy), "1", "--json"),
        ("frost", str(copy), "--out", str(out), "--last", "9 May", "--today", "2026-11-20"),
    )):
        told = io.StringIO()
        with contextlib.redirect_stdout(told), contextlib.redirect_stderr(told):
            status = main(list(words))
        said = told.getvalue().replace(str(folder), "FOLDER")
        digests[f"{number} {words[0]}"] = f"{status} {sha256(said.encode()).hexdigest()}"
        for path in sorted(folder.rglob("*")):
            if path.is_file() and not path.name.startswith("."):
                name = path.relative_to(folder).as_posix()
                digests[f"{number} {words[0]}: {name}"] = sha256(path.read_bytes()).hexdigest()
    return digests


if __name__ == "__main__":
    if os.environ.get("TAKE_LOCALE"):
        locale.setlocale(locale.LC_ALL, "")  # as a program does that calls calgen from inside
    print(json.dumps(lived(Path(sys.argv[1]).absolute(), Path(sys.argv[2]).absolute())))
