"""The terminal list of jobs, and its data."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from calgen.render.job_list import JobListWords, columns, due_jobs, job_data, job_list, still_open, wrapped
from hypothesis import example, given
from hypothesis import strategies as st
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.schedule.model import Job, Schedule

START, END = date(2026, 9, 1), date(2026, 10, 11)
TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Cf", "Zl", "Zp", "Co", "Cn"]),
                max_size=90)


def test_weeks_boxes_days_beds_seed_and_last_safe_day(garden: Schedule) -> None:
    assert job_list(garden, date(2026, 9, 20), date(2026, 10, 10)) == """\
Tern Hill plots: jobs from 20 September 2026 to 10 October 2026

Still open from before
  [ ] Sat 5 Sept   Undersow white clover – Under the apple; north, wet
                   Under the apple; north, wet · by Sat 26 Sept
  [ ] Sat 19 Sept  Drill field beans between leek rows – Bed 3
                   Long bed · by Sat 10 Oct

Week of 21 September 2026
  [ ] Sat 26 Sept  Sow rye and vetch – Long bed
                   Long bed · seed: 110 g rye, 36.5 g vetch · last safe day
                   Sat 17 Oct · frost ends the window
                   Take care: Vetch seed is not for eating; keep it from
                   children and animals.

Week of 5 October 2026
  [ ] Sat 10 Oct   Look over rye and vetch – Long bed
                   Long bed · by Sat 17 Oct
  [ ] Sat 10 Oct   Top up bare patches – Long bed
                   Long bed · by Sat 17 Oct"""


def test_done_jobs_are_ticked_and_dropped_ones_left_out(
        new_schedule: Callable[..., Schedule], new_job: Callable[..., Job]) -> None:
    text = job_list(new_schedule(new_job("a", START, title="Sow rye", done=True),
                                 new_job("b", START, title="Sow oats", kept=True)), START, END)
    assert "[x] Tue 1 Sept  Sow rye" in text
    assert "oats" not in text
    assert "last safe" not in text
    assert "· by" not in text


def test_both_ends_count_and_days_beyond_do_not(
        new_schedule: Callable[..., Schedule], new_job: Callable[..., Job]) -> None:
    days = [START - timedelta(1), START, END, END + timedelta(1)]
    plan = new_schedule(*(new_job(str(day), day, latest=day) for day in days))
    assert [job.on for job in due_jobs(plan, START, END)] == [START, END]
    assert still_open(plan, START) == ()


def test_a_late_job_is_open_until_its_last_safe_day(
        new_schedule: Callable[..., Schedule], new_job: Callable[..., Job]) -> None:
    plan = new_schedule(new_job("a", START, latest=START + timedelta(5)))
    assert len(still_open(plan, START + timedelta(5))) == 1
    assert still_open(plan, START + timedelta(6)) == ()
    assert still_open(plan, START) == ()


def test_no_jobs_is_said(new_schedule: Callable[..., Schedule]) -> None:
    assert job_list(new_schedule(), START, END).endswith("\n\nNo jobs in these days.")


def test_american_dates_come_with_us_units(garden: Schedule) -> None:
    text = job_list(replace(garden, units="us"), START, END)
    assert "jobs from September 1, 2026" in text
    assert "Sat, Sep 26" in text


def test_a_job_for_every_bed_says_so(new_schedule: Callable[..., Schedule], new_job: Callable[..., Job]) -> None:
    assert "all beds · by" in job_list(new_schedule(new_job("a", START, bed="")), START, END)


def test_other_words_can_be_given(garden: Schedule) -> None:
    text = job_list(replace(garden, language="de"), START, END, words=JobListWords(week="Woche vom {day}"))
    assert "Woche vom 21. September 2026" in text
    assert "Sa., 26. Sept." in text


def test_names_cannot_drive_the_terminal(new_schedule: Callable[..., Schedule], new_job: Callable[..., Job]) -> None:
    """ECMA-48 control sequences start with ESC or a C1 control; UAX 9 lists the controls that turn directions."""
    hostile = new_job("a", START, title="Sow\x1b[2J \x9b31m\r\nrye\u202e", bed="B\x07\u2066d")
    text = job_list(new_schedule(hostile), START, END)
    assert not {"\x1b", "\x9b", "\r", "\x07", "\u202e", "\u2066"} & set(text)
    assert "Sow [2J 31m rye" in text


@pytest.mark.parametrize("width", [24, 40, 56, 80, 100])
def test_no_line_is_wider_than_asked(garden: Schedule, width: int) -> None:
    """Widths by wcwidth, which terminals' own tables follow."""
    from wcwidth import wcswidth

    wide = replace(garden, site="菜园的年历" * 9, jobs=tuple(
        replace(job, title=f"{job.title} – 菜园菜园菜园 Größe حديقة", bed="北の畑" * 8) for job in garden.jobs))
    for line in job_list(wide, START, date(2027, 8, 31), width=width).split("\n"):
        assert wcswidth(line) <= width


@pytest.mark.parametrize(("text", "width"), [("rye", 3), ("菜園", 4), ("e\u0301", 1), ("ｱ", 1), ("Ａ", 2), ("", 0)])
def test_columns_follow_east_asian_width(text: str, width: int) -> None:
    """Unicode Standard Annex 11: wide and full-width characters take two columns, half-width ones one."""
    assert columns(text) == width


@example("\xa0", 8, 0)
@given(TEXTS, st.integers(8, 60), st.integers(0, 4))
def test_wrapping_loses_nothing_but_blanks_and_keeps_the_width(text: str, width: int, hang: int) -> None:
    lines = wrapped(text, width, " " * hang)
    assert "".join("".join(lines).split(" ")) == "".join(text.split(" "))
    assert all(columns(line) <= width for line in lines)


def test_a_long_word_is_not_broken_before_a_combining_mark() -> None:
    assert wrapped("e\u0301" * 10, 8) == ["e\u0301" * 8, "e\u0301" * 2]


def test_the_data_has_the_keys_of_plan_json(garden_year: Schedule) -> None:
    from calgen.render.plan_json import plan_json

    data = job_data(garden_year, date(2026, 9, 20), END)
    assert json.loads(json.dumps(data)) == data
    assert (data["format"], data["site"]) == (1, "Tern Hill plots")
    assert (data["from"], data["to"]) == ("2026-09-20", "2026-10-11")
    assert [job["on"] for job in data["open"]] == ["2026-09-05", "2026-09-19"]
    assert len(data["jobs"]) == 3
    stored = {job["uid"]: job for job in json.loads(plan_json(garden_year))["jobs"]}
    for job in data["jobs"]:
        same = {key: value for key, value in stored[job["uid"]].items() if key not in ("revision", "changed")}
        assert same.items() <= job.items()
    assert data["jobs"][0]["seed_g"] == {"rye": 110.0, "vetch": 36.5}
