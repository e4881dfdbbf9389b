"""Every build tells what changed and why, keeps a list of it, and loses only that when plan.json is gone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from icalendar import Calendar

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime
    from pathlib import Path

    Run = Callable[..., tuple[int, str, str]]


def events(plot: Path) -> dict[str, tuple[int, datetime]]:
    """Revision and LAST-MODIFIED of every entry by UID (RFC 5545 sections 3.8.7.3 and 3.8.7.4)."""
    feed = Calendar.from_ical((plot.parent / "output/plot/feeds/all.ics").read_bytes())
    return {str(event["uid"]): (int(str(event["sequence"])), event.decoded("last-modified"))
            for event in feed.walk("VEVENT")}


def build(calgen: Run, day: str) -> str:
    status, out, err = calgen("build", "plot.yaml", "--today", day)
    assert (status, err) == (0, "")
    return out


def test_the_first_build_has_nothing_to_compare(plot: Path, calgen: Run) -> None:
    assert "moved" not in build(calgen, "2026-09-01")
    assert not (plot.parent / "output/plot/changes.txt").exists()


def test_reasons_come_first_and_the_list_grows(plot: Path, calgen: Run) -> None:
    build(calgen, "2026-09-01")
    text = plot.read_text("utf-8")
    plot.write_text(text.replace("22 April  ", "9 May").replace("crop: carrot", "crop: beetroot"), "utf-8")
    out = build(calgen, "2026-09-02")
    assert "last frost: 22 April -> 9 May" in out
    before = "leek planted 2026-06-20; cover; carrot"
    assert f"beds: Gate bed: order: {before} -> {before.replace('carrot', 'beetroot')}" in out
    assert "  gone: Sow carrot" in out
    assert "  new: Sow beetroot" in out
    listed = plot.parent / "output/plot/changes.txt"
    first = listed.read_bytes()
    assert first.startswith(b"2026-09-02\n")
    assert "nothing has changed" in build(calgen, "2026-09-02")
    assert listed.read_bytes() == first
    plot.write_text(text, "utf-8")
    build(calgen, "2026-09-03")
    assert listed.read_bytes().startswith(first + b"\n2026-09-03\n")


def test_an_input_that_moves_no_job_is_told_as_such(plot: Path, calgen: Run) -> None:
    build(calgen, "2026-09-01")
    plot.write_text(plot.read_text("utf-8").replace("2024: [carrot]", "2024: [parsnip]"), "utf-8")
    out = build(calgen, "2026-09-02")
    assert "beds: Long bed: grew: " in out
    assert "  no job moves" in out


def test_without_plan_json_no_revision_and_no_stamp_goes_backwards(plot: Path, calgen: Run) -> None:
    build(calgen, "2026-09-01")
    text = plot.read_text("utf-8")
    plot.write_text(text.replace("22 April  ", "9 May"), "utf-8")
    build(calgen, "2026-09-01")
    before = events(plot)
    assert max(revision for revision, _ in before.values()) == 1
    (plot.parent / "output/plot/plan.json").unlink()
    plot.write_text(text, "utf-8")
    out = build(calgen, "2026-09-01")
    assert "moved" not in out
    assert "plan.json: note: is not there; reminders go on from those in feeds/" in out
    after = events(plot)
    assert set(before) & set(after)
    for uid in set(before) & set(after):
        assert after[uid][0] > before[uid][0]
        assert after[uid][1] > before[uid][1]


def test_feeds_that_cannot_be_read_are_no_memory(plot: Path, calgen: Run) -> None:
    build(calgen, "2026-09-01")
    for feed in (plot.parent / "output/plot/feeds").glob("*.ics"):
        feed.write_bytes(b"BEGIN:VCALENDAR\xff\r\nnonsense")
    (plot.parent / "output/plot/plan.json").unlink()
    out = build(calgen, "2026-09-02")
    assert "files written" in out
    assert "plan.json: note: is not there; nor can a reminder in feeds/ be read: they begin anew" in out


@pytest.mark.parametrize("damage", [b"", b"{", b"[]", b"\xff\xfe", b'{"format": 2}'])
def test_a_damaged_plan_json_is_left_for_the_grower_to_mend(damage: bytes, plot: Path, calgen: Run) -> None:
    """It may be mended, or there may be a copy: it is not built over, and nothing else is either."""
    build(calgen, "2026-09-01")
    folder = plot.parent / "output/plot"
    (folder / "plan.json").write_bytes(damage)
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    status, out, err = calgen("build", "plot.yaml", "--today", "2026-09-02")
    assert (status, out) == (1, "")
    assert "delete the file and build again (only the history is lost" in err
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before
    (folder / "plan.json").unlink()
    assert "reminders go on from those in feeds/" in build(calgen, "2026-09-02")
