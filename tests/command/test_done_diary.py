"""``calgen done``: a line in the diary, the bed planned again, and nothing lost to a second writer or a crash."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from datetime import date
from typing import TYPE_CHECKING

import pytest
from calgen.knowledge.names import plant_names
from calgen.knowledge.read import read_knowledge
from calgen.site.diary import read_diary
from calgen.site.read import read_site

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from calgen.site.model import Doing

    Run = Callable[..., tuple[int, str, str]]

WRITER = """
import sys
from datetime import date, timedelta
from pathlib import Path
from calgen.command.done import _append
from calgen.command.load import desk
from calgen.problems import Place
from calgen.site.model import Doing
path, name, count = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
found = desk(path)
print("ready", flush=True)
for number in range(count):
    doing = Doing(date(2026, 9, 1) + timedelta(number % 300), "Long bed", "looked", (), f"{name} {number}", Place(""))
    _append(path.with_name("plot.diary.yaml"), doing, found)
    print(number, flush=True)
"""


def diary(plot: Path) -> tuple[Doing, ...]:
    names = plant_names(read_knowledge())
    site = read_site(plot.read_bytes(), str(plot), names)
    path = plot.with_name("plot.diary.yaml")
    return read_diary(path.read_bytes(), str(path), site, names)


def writer(plot: Path, name: str, count: int) -> subprocess.Popen[str]:
    return subprocess.Popen([sys.executable, "-c", WRITER, str(plot), name, str(count)], stdout=subprocess.PIPE,
                            text=True, cwd=plot.parent)


def test_the_first_line_starts_the_file_and_later_ones_follow(plot: Path, calgen: Run) -> None:
    words = ("sow", "--on", "2026-09-03", "--note", "it's dry: rake # twice")
    assert calgen("done", "plot.yaml", "long bed", *words)[0] == 0
    status, out, _ = calgen("done", "plot.yaml", "1", "looked", "--on", "2026-09-14")
    assert status == 0
    assert "done: Look at" in out
    first, second = diary(plot)
    assert (first.on, first.bed, first.done) == (date(2026, 9, 3), "Long bed", "sown")
    assert first.note == "it's dry: rake # twice"
    assert (second.done, second.plants) == ("looked", first.plants)
    assert plot.with_name("plot.diary.yaml").read_text("utf-8").startswith("# What was really done.")


def test_what_the_grower_wrote_into_the_diary_stays(plot: Path, calgen: Run) -> None:
    own = b"# mine\r\ndiary:\r\n  - on: 2026-09-03\r\n    bed: Long bed   # mine\r\n    done: sown\r\n    plant: oats"
    plot.with_name("plot.diary.yaml").write_bytes(own)
    assert calgen("done", "plot.yaml", "Long bed", "looked", "--on", "2026-09-14")[0] == 0
    assert plot.with_name("plot.diary.yaml").read_bytes().startswith(own)
    assert [doing.done for doing in diary(plot)] == ["sown", "looked"]


@pytest.mark.parametrize(("words", "told"), [
    (("Lang bed", "sown"), 'did you mean "Long bed"?'),
    (("Long bed", "sawn"), 'did you mean "sown"?'),
    (("Long bed", "sown", "--plant", "otas"), "is no"),
    (("Long bed", "planted", "--plant", "pumpkin"), 'add "- crop: pumpkin" to it first'),
    (("Long bed", "gathered"), "gathered is not planned here; planned: "),
])
def test_what_is_not_known_is_refused_with_a_suggestion(plot: Path, calgen: Run, words: tuple[str, ...],
                                                        told: str) -> None:
    status, _, err = calgen("done", "plot.yaml", *words, "--on", "2026-09-03")
    assert status == 1
    assert told in err
    assert "Traceback" not in err
    assert not plot.with_name("plot.diary.yaml").exists()


def test_a_broken_diary_is_told_by_line_and_left_alone(plot: Path, calgen: Run) -> None:
    path = plot.with_name("plot.diary.yaml")
    path.write_text("diary:\n  - {on: 2026-09-03, bed: Long bed, done: sown, plant: otas}\n", "utf-8")
    before = path.read_bytes()
    for words in (("done", "plot.yaml", "Long bed", "looked"), ("build", "plot.yaml"), ("check", "plot.yaml")):
        status, _, err = calgen(*words)
        assert status == 1
        assert "plot.diary.yaml:2:" in err
    assert path.read_bytes() == before


def test_done_jobs_stay_in_the_feed_on_their_real_day(plot: Path, calgen: Run) -> None:
    """As calendar programs see it: the entry keeps its UID and moves (RFC 5545 section 3.8.4.7)."""
    from icalendar import Calendar

    def sowings() -> dict[str, tuple[date, int]]:
        feed = Calendar.from_ical((plot.parent / "output/plot/feeds/sow.ics").read_bytes())
        return {str(event["uid"]): (event.decoded("dtstart"), int(str(event["sequence"])))
                for event in feed.walk("VEVENT") if "Long bed" in str(event["location"])}

    assert calgen("build", "plot.yaml", "--today", "2026-09-01")[0] == 0
    before = sowings()
    assert calgen("done", "plot.yaml", "Long bed", "sown", "--on", "2026-09-08")[0] == 0
    status, out, _ = calgen("build", "plot.yaml", "--today", "2026-09-09")
    assert status == 0
    assert "  done: Sow " in out
    assert "diary: 2026-09-08, Long bed: sown " in out
    after = sowings()
    moved = [uid for uid, (day, _) in after.items() if day == date(2026, 9, 8)]
    assert len(moved) == 1
    assert moved[0] in before
    assert after[moved[0]][1] == before[moved[0]][1] + 1


def test_two_writers_at_once_lose_no_line(plot: Path) -> None:
    both = [writer(plot, name, 12) for name in ("ann", "bob")]
    assert [process.wait(60) for process in both] == [0, 0]
    for process in both:
        assert process.stdout
        process.stdout.close()
    notes = [doing.note for doing in diary(plot)]
    assert sorted(notes) == sorted(f"{name} {number}" for name in ("ann", "bob") for number in range(12))


@pytest.mark.skipif(os.name != "posix", reason="no SIGKILL")
def test_a_writer_killed_at_any_moment_leaves_whole_lines(plot: Path) -> None:
    told: list[str] = []
    for round_number, wait_s in enumerate((0.003, 0.011, 0.019, 0.031, 0.047)):
        process = writer(plot, f"round{round_number}", 10_000)
        assert process.stdout
        assert process.stdout.readline() == "ready\n"
        time.sleep(wait_s)
        process.send_signal(signal.SIGKILL)
        finished = process.stdout.read().splitlines()
        process.wait(10)
        process.stdout.close()
        told += [f"round{round_number} {number}" for number in finished]
        if plot.with_name("plot.diary.yaml").exists():
            notes = [doing.note for doing in diary(plot)]
            assert set(told) <= set(notes)
            assert len(notes) <= len(told) + round_number + 1
    last = writer(plot, "after", 1)
    assert last.wait(60) == 0
    assert last.stdout
    last.stdout.close()
    assert "after 0" in [doing.note for doing in diary(plot)]
    assert set(told) <= {doing.note for doing in diary(plot)}
