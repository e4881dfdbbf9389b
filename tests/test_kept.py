"""What is kept between runs is what was read, and damage to it costs nothing."""

import os
from pathlib import Path

import pytest
from calgen import kept as keeping
from calgen.command.load import PACKAGE, WORDING_MODULES, desk
from calgen.command.words import sections
from calgen.kept import keep, kept, kept_file, loaded
from calgen.knowledge.model import Knowledge
from calgen.knowledge.read import read_knowledge
from msgspec.json import encode

SITE = Path(__file__).parent.parent / "sites" / "withy-row.yaml"


def test_what_is_kept_is_what_was_read(tmp_path: Path) -> None:
    knowledge = read_knowledge()
    path = tmp_path / "knowledge-1.pickle"
    old = tmp_path / "knowledge-0.pickle"
    other = tmp_path / "locale-0.pickle"
    old.write_bytes(b"")
    other.write_bytes(b"")
    assert keep(path, knowledge) is knowledge
    found = loaded(path, Knowledge)
    assert found is not None
    assert encode(found) == encode(knowledge)
    assert not old.exists()
    assert other.exists()


def test_a_damaged_or_missing_file_is_read_anew(tmp_path: Path) -> None:
    assert loaded(tmp_path / "none.pickle", Knowledge) is None
    for damage in (b"", b"\x80", b"garbage", b"\x80\x05N."):
        (tmp_path / "odd.pickle").write_bytes(damage)
        assert loaded(tmp_path / "odd.pickle", Knowledge) is None


def test_where_nothing_can_be_written_nothing_is_kept(tmp_path: Path) -> None:
    (tmp_path / "in-the-way").write_text("")
    knowledge = read_knowledge()
    assert keep(tmp_path / "in-the-way" / "knowledge-1.pickle", knowledge) is knowledge


def test_it_is_made_once_and_again_when_a_file_has_changed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keeping, "FOLDER", tmp_path / "kept")
    data = tmp_path / "crop.yaml"
    data.write_text("id: a")
    made = []

    def make() -> str:
        made.append(data.read_text())
        return made[-1]

    assert [kept("crop", str, [data], make) for _ in range(2)] == ["id: a"] * 2
    assert made == ["id: a"]
    data.write_text("id: other")
    assert kept("crop", str, [data], make) == "id: other"
    assert [file.name for file in (tmp_path / "kept").iterdir()] == [kept_file("crop", [data]).name]


def test_time_size_and_version_make_another_file(tmp_path: Path) -> None:
    data = tmp_path / "crop.yaml"
    data.write_text("id: a")
    before = kept_file("crop", [data])
    assert kept_file("crop", [data], "2.18") != before
    os.utime(data, (1, 1))
    later = kept_file("crop", [data])
    assert later != before
    data.write_text("id: abc")
    os.utime(data, (1, 1))
    assert kept_file("crop", [data]) != later


def test_a_wording_depends_on_every_module_with_its_words() -> None:
    kinds = {read.args[0].__module__ for read in sections().values()}  # type: ignore[attr-defined]
    assert {f"{module.removeprefix('calgen.').replace('.', '/')}.py" for module in kinds} <= set(WORDING_MODULES)
    assert all((PACKAGE / module).is_file() for module in WORDING_MODULES)


def test_a_site_reads_the_same_wording_kept_or_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keeping, "FOLDER", tmp_path)
    from calgen.command import load

    found = []
    for _ in range(2):
        load._standard_wording.cache_clear()
        found.append(desk(SITE).wording)
    assert found[0] is not found[1]
    assert found[0] == found[1]
