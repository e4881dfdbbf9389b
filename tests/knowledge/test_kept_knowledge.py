"""Knowledge kept between runs is the knowledge that was read, and damage to it costs nothing."""

from pathlib import Path

from calgen.knowledge.kept import keep_knowledge, kept_file, kept_knowledge
from calgen.knowledge.read import read_knowledge
from msgspec.json import encode


def test_what_is_kept_is_what_was_read(tmp_path: Path) -> None:
    knowledge = read_knowledge()
    path = tmp_path / "knowledge-1.pickle"
    old = tmp_path / "knowledge-0.pickle"
    old.write_bytes(b"")
    assert keep_knowledge(path, knowledge) is knowledge
    found = kept_knowledge(path)
    assert found is not None
    assert encode(found) == encode(knowledge)
    assert not old.exists()


def test_a_damaged_or_missing_file_is_read_anew(tmp_path: Path) -> None:
    assert kept_knowledge(tmp_path / "none.pickle") is None
    for damage in (b"", b"\x80", b"garbage", b"\x80\x05N."):
        (tmp_path / "odd.pickle").write_bytes(damage)
        assert kept_knowledge(tmp_path / "odd.pickle") is None


def test_where_nothing_can_be_written_nothing_is_kept(tmp_path: Path) -> None:
    (tmp_path / "in-the-way").write_text("")
    knowledge = read_knowledge()
    assert keep_knowledge(tmp_path / "in-the-way" / "knowledge-1.pickle", knowledge) is knowledge


def test_a_changed_data_file_has_another_place(tmp_path: Path) -> None:
    data = tmp_path / "crop.yaml"
    data.write_text("id: a")
    before = kept_file([data])
    data.write_text("id: b")
    assert kept_file([data]) != before
