"""The life of calendar entries under any sequence of edits: what must hold from each build to the next."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from calgen.render.feed import feeds
from calgen.render.plan_json import plan_json, read_plan_json
from calgen.schedule.memory import remembered
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from icalendar import Calendar

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.schedule.model import Job, Schedule

START = date(2026, 9, 1)
KEYS = st.sampled_from("abcd")
JOB = st.tuples(st.integers(0, 40), st.integers(0, 9), st.sampled_from(["Sow", "Mulch"]), st.booleans(), st.booleans())
BUILD = st.tuples(st.integers(0, 20), st.dictionaries(KEYS, JOB, max_size=4))

Seen = dict[str, tuple[bytes, int, datetime]]


def entries(feed: bytes) -> Seen:
    """Uid to what an entry holds beside its stamps, its revision, and its stamp."""
    found: Seen = {}
    for event in Calendar.from_ical(feed).walk("VEVENT"):
        revision, stamp = int(event.pop("SEQUENCE")), event.pop("DTSTAMP").dt
        assert event.pop("LAST-MODIFIED").dt == stamp
        description = str(event["DESCRIPTION"]).rsplit("\n", 1)[0]
        event["DESCRIPTION"] = description
        found[str(event["UID"])] = (event.to_ical(), revision, stamp)
    return found


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(builds=st.lists(BUILD, min_size=2, max_size=6), digest=st.booleans())
def test_the_life_of_an_entry(
    new_schedule: Callable[..., Schedule], new_job: Callable[..., Job],
    builds: list[tuple[int, dict[str, tuple[int, int, str, bool, bool]]]], digest: bool,
) -> None:
    previous = None
    uid_of_key: dict[str, str] = {}
    ever: dict[str, tuple[bytes, int, datetime]] = {}
    day = START
    before: tuple[Job, ...] = ()
    for later, plan in builds:
        day += timedelta(later)
        jobs = [
            new_job(key, START + timedelta(on), last=START + timedelta(on + length), title=f"{verb} {key}",
                    kind=verb.lower(), latest=START + timedelta(on + 2 * length), last_call=call, done=done)
            for key, (on, length, verb, call, done) in plan.items()
        ]
        now = datetime(day.year, day.month, day.day, tzinfo=UTC)
        year, _ = remembered(new_schedule(*jobs, made=day, digest=digest), previous, now)
        made, data = feeds(year), plan_json(year)

        assert feeds(year) == made
        again, changes = remembered(new_schedule(*jobs, made=day, digest=digest), read_plan_json(data, "p"), now)
        assert feeds(again) == made, "a second build of the same plan moves nothing"
        assert plan_json(again) == data
        assert not changes

        by_key = {job.key: job for job in year.jobs}
        for key, job in by_key.items():
            assert uid_of_key.setdefault(key, job.uid) == job.uid
        for job in before:
            past = (job.last if not job.done and job.last - job.on < timedelta(7) else job.on) < day
            assert (job.key in by_key) is (job.key in plan or past)

        for feed in made.values():
            for uid, (content, revision, stamp) in entries(feed).items():
                if uid in ever:
                    old_content, old_revision, old_stamp = ever[uid]
                    same = content == old_content
                    assert revision >= old_revision
                    assert stamp > old_stamp if revision > old_revision else stamp == old_stamp
                    assert same or revision > old_revision
                ever[uid] = (content, revision, stamp)
        previous, before = read_plan_json(data, "plan.json"), year.jobs
