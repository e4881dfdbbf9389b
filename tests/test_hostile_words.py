"""What is hostile in a grower's own wording or plants is refused, or stays text: in feed, page, PDF and terminal."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import html5lib
import pytest
import yaml
from calgen.cli import main
from icalendar import Calendar
from pypdf import PdfReader
from tests.fuzz.__main__ import unprintable
from tests.test_hostile_input import GOOD

if TYPE_CHECKING:
    from collections.abc import Callable

ROOT = Path(__file__).parents[1]
CROP = ROOT / "calgen/knowledge/data/crops/pea.yaml"
HOSTILE = {
    "markup": "</script><script>alert(1)</script><b>x</b>\"'><img src=x onerror=alert(1)><!--",
    "entries": "\nEND:VEVENT\nBEGIN:VEVENT\nUID:x\nSUMMARY:x",
    "operators of a PDF": ") Tj ET Q BT (x) Tj \\",
    "addresses": " `x` javascript:alert(1) https://x.example/<a>",
    "a table's formula": "\t=cmd|' /C calc'!A0",
    "a thousand letters": "x" * 1000,
}
REFUSED = {
    "{0.__class__}": "only the name of a fact can stand in braces",
    "{bed.__class__.__mro__}": "only the name of a fact can stand in braces",
    "{bed!r}": "only the name of a fact can stand in braces",
    "{bed:>999999999}": "only the name of a fact can stand in braces",
    "{bed[0]}": "only the name of a fact can stand in braces",
    "{}": "only the name of a fact can stand in braces",
    "{passwd}": "{passwd} is not known here",
    "{": "has a brace that is not closed",
    "\r": "holds the invisible character U+000D",
    "\x1b[31m": "holds the invisible character U+001B",
    "\x85": "holds the invisible character U+0085",
    "\x9b2J": "holds the invisible character U+009B",
    "\u2028": "holds the invisible character U+2028",
    "\u202e": "holds the invisible character U+202E",
    "\u2066": "holds the invisible character U+2066",
    "\ud800": "holds the invisible character U+D800",
}


def _english(change: Callable[[str], str]) -> str:
    """The English wording with each text changed, as JSON, which is YAML that says every character."""

    def changed(value: Any, section: str) -> Any:
        if isinstance(value, dict):
            return {str(key): changed(inner, section or str(key)) for key, inner in value.items()}
        if isinstance(value, list):
            return [changed(inner, section) for inner in value]
        return value if section in ("language", "plants") else change(str(value))

    text = (ROOT / "templates/wording-en.yaml").read_text("utf-8")
    return json.dumps({**changed(yaml.load(text, yaml.BaseLoader), ""), "language": "xx"})


def _pea(change: Callable[[str], str]) -> str:
    """The crop pea with every free text changed, as the grower's own."""

    def changed(value: Any, key: str) -> Any:
        if isinstance(value, dict):
            return {name: changed(inner, name) for name, inner in value.items()}
        if isinstance(value, list):
            return [changed(inner, key) for inner in value]
        return change(value) if key in ("name", "botanical", "also", "note", "text", "why", "at", "quoted") else value

    return json.dumps(changed(yaml.load(CROP.read_text("utf-8"), yaml.BaseLoader), ""))


def _files(folder: Path, wording: str | None, plant: str | None) -> list[str]:
    """A site that uses the wording and the plant; the words that name both on a command line."""
    (folder / "own").mkdir(parents=True)
    site = GOOD
    if wording:
        (folder / "own/wording-xx.yaml").write_text(wording, "utf-8")
        site += "language: xx\n"
    if plant:
        (folder / "own.yaml").write_text(plant, "utf-8")
        site += "plants: [own.yaml]\n"
    (folder / "plot.yaml").write_text(site, "utf-8")
    return [str(folder / "plot.yaml"), "--templates", str(folder / "own")]


def _built(words: list[str], folder: Path) -> Path:
    assert main(["build", *words, "--out", str(folder / "output"), "--today", "2026-09-01"]) == 0
    return folder / "output/plot"


def _marks(page: Path) -> dict[str, int]:
    """How many elements of each kind a page has, with those that run or fetch something told apart."""
    found: dict[str, int] = {}
    for one in html5lib.parse(page.read_text("utf-8"), namespaceHTMLElements=False).iter():
        loud = any(key.startswith("on") for key in one.attrib) or "javascript:" in one.attrib.get("href", "")
        sign = "loud" if loud else str(one.tag)
        found[sign] = found.get(sign, 0) + 1
    return found


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same site in the shipped words with the shipped pea."""
    folder = tmp_path_factory.mktemp("usual")
    return _built(_files(folder, None, None), folder)


@pytest.mark.parametrize("own", ["wording", "plant"])
@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_hostile_stays_text(own: str, name: str, usual: Path, tmp_path: Path,
                                    capsys: pytest.CaptureFixture[str]) -> None:
    bad = HOSTILE[name]
    if own == "plant":
        bad = bad[:60]  # names have eighty letters
    words = _files(tmp_path / "site", *((_english(lambda text: text + bad), None) if own == "wording" else
                                        (None, _pea(lambda text: text + bad))))
    made = _built(words, tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == {"site", "output"}
    for path in sorted(usual.rglob("*.ics")):
        feed, other_feed = (Calendar.from_ical((folder / path.relative_to(usual)).read_bytes())
                            for folder in (made, usual))
        assert [part.name for part in feed.walk()] == [part.name for part in other_feed.walk()]
    page, other = _marks(made / "index.html"), _marks(usual / "index.html")
    for mark in ("script", "style", "img", "b", "link", "loud", "form", "iframe"):
        assert page.get(mark, 0) == other.get(mark, 0)
    for document in ("wall-chart.pdf", "sheets.pdf"):
        for sheet in PdfReader(made / document).pages:
            assert "/Annots" not in sheet
    capsys.readouterr()
    for command in (["jobs", "--from", "2026-09-01", "--to", "2027-09-01"], ["why", "Long bed"], ["when", "pea"],
                    ["check", "--plan"], ["plants", "pea"]):
        if command[0] == "plants":
            main([*command, "--site", words[0]])
        else:
            main([command[0], words[0], *command[1:], *words[1:]])
        out, err = capsys.readouterr()
        assert not unprintable(out + err)


@pytest.mark.parametrize("bad", REFUSED, ids=ascii)
def test_what_cannot_stay_text_is_refused(bad: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In wordings; of plants the braces are no more than letters."""
    wording = _english(lambda text: text + bad if text == "Sow {covers} – {bed}" else text)
    words = _files(tmp_path / "wording", wording, None)
    assert main(["build", *words, "--out", str(tmp_path / "output")]) == 1
    assert REFUSED[bad] in capsys.readouterr().err
    if "invisible" in REFUSED[bad]:
        words = _files(tmp_path / "plant", None, _pea(lambda text: text + bad))
        assert main(["build", *words, "--out", str(tmp_path / "output")]) == 1
        assert REFUSED[bad] in capsys.readouterr().err
    assert not (tmp_path / "output").exists()
