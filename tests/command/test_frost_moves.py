"""Another frost date: what moves adds up, nothing is dropped in silence, and writing touches one value only."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from calgen.command.load import desk_of
from calgen.command.moves import moves

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from calgen.schedule.model import Job

    Run = Callable[..., tuple[int, str, str]]


def planned(data: bytes, path: Path) -> tuple[Job, ...]:
    desk = desk_of(data, path)
    return desk.schedule(desk.site.chart_starts).jobs


@pytest.mark.parametrize(("old", "new"), [
    (b"22 April", b"9 May"), (b"22 April", b"25 March"), (b"4 November", b"12 October"),
    (b"4 November", b"18 December"),
])
def test_every_job_is_the_same_or_moved_or_gone(plot: Path, old: bytes, new: bytes) -> None:
    data = plot.read_bytes()
    before, after = desk_of(data, plot), desk_of(data.replace(old, new), plot)
    was, now = planned(data, plot), planned(data.replace(old, new), plot)
    lines = moves(before, after)
    told = {word: [line for line in lines if line.startswith(f"{word}: ")] for word in ("moved", "gone", "new", "done")}
    assert sum(map(len, told.values())) == len(lines)
    assert told["moved"]
    same = {(job.bed, job.kind, job.plants, job.on, job.latest) for job in was} \
        & {(job.bed, job.kind, job.plants, job.on, job.latest) for job in now}
    assert len(same) + len(told["moved"]) + len(told["done"]) + len(told["gone"]) == len(was)
    assert len(same) + len(told["moved"]) + len(told["done"]) + len(told["new"]) == len(now)
    titles = [job.title for job in now]
    for line in told["gone"]:
        title, _, why = line.removeprefix("gone: ").partition("; ")
        assert title.rpartition(" (")[0] in [job.title for job in was]
        assert why.startswith(("instead: ", "it falls outside", "no longer safe", "no longer needed", "it goes with "))
        if why.startswith("instead: "):
            assert any(entry in why for entry in titles)


def test_the_same_date_moves_nothing(plot: Path, calgen: Run) -> None:
    status, out, _ = calgen("frost", str(plot), "--last", "22 April")
    assert status == 0
    assert out.splitlines()[0] == "nothing moves"


def test_without_write_nothing_is_written(plot: Path, calgen: Run) -> None:
    before = plot.read_bytes()
    status, out, _ = calgen("frost", "plot.yaml", "--last", "9 May", "--first", "1 October")
    assert status == 0
    assert "nothing was written" in out
    assert "window" in out
    assert plot.read_bytes() == before
    assert [path.name for path in plot.parent.iterdir()] == ["plot.yaml"]


@pytest.mark.parametrize("form", ["lf", "crlf", "bom"])
def test_writing_changes_one_value_and_builds(plot: Path, calgen: Run, form: str) -> None:
    text = plot.read_bytes()
    text = {"lf": text, "crlf": text.replace(b"\n", b"\r\n"), "bom": b"\xef\xbb\xbf" + text}[form]
    plot.write_bytes(text)
    plot.chmod(0o640)
    assert calgen("build", "plot.yaml", "--today", "2026-09-01")[0] == 0
    status, out, _ = calgen("frost", "plot.yaml", "--last", " 9  May ", "--write", "--today", "2026-09-02")
    assert status == 0
    assert plot.read_bytes() == text.replace(b"22 April", b"9 May")
    assert plot.stat().st_mode & 0o777 == 0o640
    assert "last frost: 22 April -> 9 May" in out.splitlines()
    assert (plot.parent / "output/plot/changes.txt").read_text("utf-8").startswith(
        "2026-09-02\nlast frost: 22 April -> 9 May\n  moved: ")


@pytest.mark.parametrize(("words", "told"), [
    (("--last", "31 April"), '--last: "31 April"'),
    (("--first", "x: 1"), '--first: "x: 1"'),
    (("--last", "9 October"), "is no spring day"),
])
def test_a_date_that_cannot_be_is_refused(plot: Path, calgen: Run, words: tuple[str, str], told: str) -> None:
    before = plot.read_bytes()
    status, _, err = calgen("frost", "plot.yaml", *words, "--write")
    assert status == 1
    assert told in err
    assert plot.read_bytes() == before
    assert not (plot.parent / "output").exists()


def test_neither_date_is_wrong_use(plot: Path, calgen: Run) -> None:
    assert calgen("frost", "plot.yaml")[0] == 2


def test_frost_free_places_have_no_value_to_change(plot: Path, calgen: Run) -> None:
    text = plot.read_text("utf-8")
    start, end = text.index("frost:"), text.index("winter-low")
    plot.write_text(text[:start] + "frost: none\n" + text[end:].replace("winter-low: -6\n", ""), "utf-8")
    status, _, err = calgen("frost", "plot.yaml", "--last", "9 May")
    assert status == 1
    assert '"last" is missing; add it by hand first' in err
