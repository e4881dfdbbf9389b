"""Files made to do harm are refused in words, soon, and with exit status 1; what is hostile in a name stays a name."""

from __future__ import annotations

import gzip
import re
from typing import TYPE_CHECKING

import html5lib
import pytest
from calgen.cli import main
from icalendar import Calendar
from pypdf import PdfReader

if TYPE_CHECKING:
    from pathlib import Path

GOOD = """\
site: Rook Lane
latitude: 52.6
frost: {last: 22 April, first: 4 November}
chart-starts: September 2026
beds:
  Long bed: {size: 1 x 5 m, order: [{crop: lettuce, cleared: 2026-09-01}, {cover: cereal rye}, {crop: pea}]}
"""
LAUGHS = "".join(f"{chr(98 + n)}: &{chr(98 + n)} [{', '.join([f'*{chr(97 + n)}'] * 9)}]\n" for n in range(12))
HOSTILE = {
    "aliases": f"a: &a [x, x]\n{LAUGHS}{GOOD}",
    "nested lists": f"{GOOD}extra: {'[' * 20_000}{']' * 20_000}\n",
    "nested keys": GOOD + "".join(f"{' ' * depth}k{depth}:\n" for depth in range(2_000)),
    "ten megabytes": GOOD + "# grass\n" * 1_250_000,
    "ten megabytes in one text": GOOD.replace("Rook Lane", "a" * 10_000_000),
    "two megabytes of empty lines": GOOD.replace("site:", "\n" * 1_990_000 + "site"),
    "more values than a garden has": f"{GOOD}extra: [{'1,' * 200_000}]\n",
    "many values and a tab": f"{GOOD}extra: [{'1,' * 200_000}\t]\n",
    "many faults": GOOD + "".join(f"k{number}: 1\n" for number in range(50_000)),
    "many tabs": GOOD + "\tx\n" * 300_000,
    "many invisible characters": GOOD + "\x01\n" * 300_000,
    "many beds": GOOD + "".join(f"  B{number}: {{}}\n" for number in range(30_000)),
    "many steps": GOOD.replace("{crop: pea}", ", ".join(["{cover: choose}"] * 3_000)),
    "many covers": GOOD.replace("cereal rye", f"[{', '.join(['cereal rye'] * 30_000)}]"),
    "many unknown crops": GOOD.replace("{crop: pea}", ", ".join(["{crop: peat}"] * 20_000)),
    "an endless number": GOOD.replace("52.6", "9" * 50_000),
    "a number beyond all": GOOD.replace("52.6", "1e999"),
    "no number": GOOD.replace("52.6", ".nan"),
    "a tag that makes objects": GOOD.replace("Rook Lane", "!!python/object/apply:os.system [echo harm]"),
    "a text without end": GOOD.replace("Rook Lane", '"Rook'),
    "an area beyond all": GOOD.replace("1 x 5 m", "1e200 x 1e200 m"),
    "a year beyond all": GOOD.replace("September 2026", "September 99999"),
    "control characters": GOOD.replace("Rook Lane", "Rook\x1b[31mLane"),
    "characters that turn the line round": GOOD.replace("Rook Lane", "Rook\u202eLane"),
    "half a character": GOOD.replace("Rook Lane", '"Rook\\ud800"'),
    "a device as record": f"climate: {{record: /dev/zero}}\n{GOOD}",
    "a folder as record": f"climate: {{record: .}}\n{GOOD}",
    "a device as own plant": f"plants: [/dev/zero]\n{GOOD}",
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE.keys())
def test_a_hostile_file_is_refused_in_words(text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    site = tmp_path / "plot.yaml"
    site.write_text(text, "utf-8")
    assert main(["build", str(site), "--out", str(tmp_path / "output")]) == 1
    err = capsys.readouterr().err
    assert re.match(r"\S+:\d+:\d+: ", err)
    assert "Traceback" not in err
    assert len(err) < 40_000
    assert all(line.isprintable() for line in err.splitlines())
    assert not (tmp_path / "output").exists()


@pytest.mark.parametrize("name", ["a device as record", "a device as own plant"])
def test_a_device_holds_up_no_other_site(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where several are built, what they name is looked at beforehand, to pass over those that are unchanged."""
    (tmp_path / "plot.yaml").write_text(HOSTILE[name], "utf-8")
    (tmp_path / "other.yaml").write_text(GOOD, "utf-8")
    sites = [str(tmp_path / f"{stem}.yaml") for stem in ("plot", "other")]
    assert main(["build", *sites, "--out", str(tmp_path / "output"), "--style", "chart-a4"]) == 1
    assert "is no plain file" in capsys.readouterr().err
    assert sorted(path.name for path in (tmp_path / "output").iterdir()) == ["other"]


def test_a_hostile_file_name_is_told_in_printable_letters(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    site = tmp_path / "e\x1b[31m.yaml"
    site.write_text(GOOD, "utf-8")
    main(["build", str(site), "--out", str(tmp_path / "output"), "--today", "2026-09-01"])
    out, err = capsys.readouterr()
    assert all(line.isprintable() for line in (out + err).splitlines())


def test_a_packed_record_that_swells_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "nights.csv.gz").write_bytes(gzip.compress(b"0" * 50_000_000))
    site = tmp_path / "plot.yaml"
    site.write_text(f"climate: {{record: nights.csv.gz}}\n{GOOD}", "utf-8")
    assert main(["check", str(site)]) == 1
    assert "nights.csv.gz" in capsys.readouterr().err


NAMES = [
    "</script><script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "a\\nEND:VEVENT\\nBEGIN:VEVENT",
    "BEGIN:VEVENT", "(paren \\ ) Tj ET BT", "../../up", "C:\\con", "{plants} {0} %s", "=cmd|' /C calc'!A0",
    "&lt;b&gt;;,:", "{{7*7}}",
]


@pytest.mark.parametrize("name", NAMES)
def test_a_hostile_name_stays_a_name(name: str, tmp_path: Path) -> None:
    """In the feed, on the page, in the PDF and in the names of files."""
    site = tmp_path / "plot.yaml"
    quoted = name.replace("'", "''")
    text = GOOD.replace("Long bed", f"'{quoted}'")
    site.write_text(text, "utf-8")
    assert main(["build", str(site), "--out", str(tmp_path / "output"), "--today", "2026-09-01"]) == 0
    plain = tmp_path / "plain.yaml"
    plain.write_text(GOOD, "utf-8")
    assert main(["build", str(plain), "--out", str(tmp_path / "output"), "--today", "2026-09-01"]) == 0
    assert {path.name for path in tmp_path.iterdir()} == {"plot.yaml", "plain.yaml", "output"}
    made, usual = tmp_path / "output" / "plot", tmp_path / "output" / "plain"
    files = [{path.relative_to(folder) for path in folder.rglob("*")} for folder in (made, usual)]
    assert files[0] == files[1]

    feed, other = (Calendar.from_ical((folder / "feeds/all.ics").read_bytes()) for folder in (made, usual))
    assert len(feed.walk("VEVENT")) == len(other.walk("VEVENT"))
    assert any(name in str(event["SUMMARY"]) for event in feed.walk("VEVENT"))

    pages = [html5lib.parse((folder / "index.html").read_text("utf-8"), namespaceHTMLElements=False)
             for folder in (made, usual)]
    for tag in ("script", "img", "b", "iframe"):
        assert len(list(pages[0].iter(tag))) == len(list(pages[1].iter(tag)))
    assert not [one for one in pages[0].iter() if any(key.startswith("on") for key in one.attrib)]
    assert any(name in "".join(one.itertext()) for one in pages[0].iter("h3"))

    for document in ("wall-chart.pdf", "sheets.pdf"):
        assert len(PdfReader(made / document).pages) == len(PdfReader(usual / document).pages)
