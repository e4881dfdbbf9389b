"""What an entry's uid, revision and stamp do from build to build, and what is told of a change."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from typing import TYPE_CHECKING, Any
from uuid import UUID

import pytest
from calgen.render.plan_json import plan_json, read_plan_json
from calgen.schedule.change import Changes, InputChange
from calgen.schedule.entry import calendar_days, monday
from calgen.schedule.memory import Previous, last_call_uid, remembered
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.schedule.model import Job, Schedule

FIRST = datetime(2026, 9, 1, tzinfo=UTC)
SAT = date(2026, 9, 26)


def left_behind(year: Schedule) -> Previous:
    return read_plan_json(plan_json(year), "plan.json")


def at(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC)


class Garden:
    """Builds one schedule after another, each from what the last one left behind."""

    def __init__(self, new_schedule: Callable[..., Schedule]) -> None:
        self.new_schedule = new_schedule
        self.previous: Previous | None = None
        self.changes = Changes()

    def build(self, day: date, *jobs: Job, wording: str = "", **other: Any) -> dict[str, Job]:
        year, self.changes = remembered(
            self.new_schedule(*jobs, made=day, **other), self.previous, at(day), wording)
        self.previous = left_behind(year)
        return {job.key: job for job in year.jobs}


@pytest.fixture
def plot(new_schedule: Callable[..., Schedule]) -> Garden:
    return Garden(new_schedule)


def test_the_first_build_stamps_everything_with_the_day_it_was_made(plot: Garden, new_job: Callable[..., Job]) -> None:
    sow = plot.build(date(2026, 9, 1), new_job("a", SAT))["a"]
    assert (sow.revision, sow.changed) == (0, FIRST)
    assert plot.changes == Changes(first_build=True)
    assert not plot.changes


def test_the_first_build_does_not_look_at_the_clock(garden: Schedule) -> None:
    late = datetime(2026, 9, 1, 23, 59, 59, 5, tzinfo=timezone(timedelta(hours=-9)))
    assert remembered(garden, None, FIRST) == remembered(garden, None, late)


def test_uids_are_uuids_of_the_key_and_survive_other_names(plot: Garden, new_job: Callable[..., Job]) -> None:
    """RFC 7986 section 5.3: a UID gives nothing away; RFC 5545 section 3.8.4.7: it persists."""
    first = plot.build(date(2026, 9, 1), new_job("a", SAT), new_job("b", SAT))
    later = plot.build(date(2026, 9, 2), new_job("b", SAT), new_job("a", SAT + timedelta(7), bed="Terrace", title="X"),
                       site="Another name", stem="another-file")
    assert [later[key].uid for key in "ab"] == [first[key].uid for key in "ab"]
    assert len({UUID(job.uid) for job in first.values()} | {UUID(last_call_uid(job)) for job in first.values()}) == 4


def test_two_sites_have_different_uids(new_schedule: Callable[..., Schedule], new_job: Callable[..., Job]) -> None:
    jobs = (new_job("a", SAT),)
    uids = {remembered(new_schedule(*jobs, **names), None, FIRST)[0].jobs[0].uid
            for names in ({}, {"site": "Elm Hill"}, {"stem": "other"})}
    assert len(uids) == 3


@pytest.mark.parametrize("edit", [
    {"bed": "x"}, {"kind": "drill"}, {"on": SAT + timedelta(1)}, {"first": SAT - timedelta(1)},
    {"last": SAT + timedelta(2)}, {"latest": SAT + timedelta(30)}, {"title": "x"}, {"text": "x"}, {"why": "x"},
    {"next_step": "x"}, {"how": "x"}, {"caution": "x"}, {"quantity": "x"}, {"last_call": True}, {"done": True},
])
def test_each_thing_an_entry_shows_moves_its_stamp(
    plot: Garden, new_job: Callable[..., Job], edit: dict[str, Any],
) -> None:
    plot.build(date(2026, 9, 1), new_job("a", SAT), new_job("b", SAT))
    later = plot.build(date(2026, 9, 8), replace(new_job("a", SAT), **edit), new_job("b", SAT))
    assert (later["a"].revision, later["a"].changed) == (1, at(date(2026, 9, 8)))
    assert (later["b"].revision, later["b"].changed) == (0, FIRST)


def test_what_an_entry_does_not_show_moves_nothing(plot: Garden, new_job: Callable[..., Job]) -> None:
    first = plot.build(date(2026, 9, 1), new_job("a", SAT))
    later = plot.build(date(2026, 9, 8), new_job("a", SAT, slack_days=3))
    assert (later["a"].revision, later["a"].changed) == (first["a"].revision, first["a"].changed)


@pytest.mark.parametrize("edit", [{"wording": "other"}, {"reminders": "both"}, {"language": "de"}])
def test_what_shapes_all_entries_moves_all_stamps(
    plot: Garden, new_job: Callable[..., Job], edit: dict[str, Any],
) -> None:
    plot.build(date(2026, 9, 1), new_job("a", SAT))
    assert plot.build(date(2026, 9, 8), new_job("a", SAT), **edit)["a"].revision == 1


def test_an_edit_undone_goes_forward(plot: Garden, new_job: Callable[..., Job]) -> None:
    plot.build(date(2026, 9, 1), new_job("a", SAT))
    plot.build(date(2026, 9, 8), new_job("a", SAT + timedelta(7)))
    back = plot.build(date(2026, 9, 9), new_job("a", SAT))["a"]
    assert (back.revision, back.changed) == (2, at(date(2026, 9, 9)))


def test_builds_on_one_day_or_an_earlier_one_still_go_forward(plot: Garden, new_job: Callable[..., Job]) -> None:
    stamps = []
    for day, title in ((1, "a"), (1, "b"), (1, "a"), (20, "b"), (5, "a"), (5, "b")):
        job = plot.build(date(2026, 9, day), new_job("a", SAT, title=title))["a"]
        stamps.append((job.revision, job.changed))
    second = timedelta(seconds=1)
    assert [stamp - FIRST for _, stamp in stamps] == [
        timedelta(0), second, 2 * second, timedelta(19), timedelta(19) + second, timedelta(19) + 2 * second]
    assert [revision for revision, _ in stamps] == [0, 1, 2, 3, 4, 5]


def test_a_job_that_left_and_returns_goes_on_counting(plot: Garden, new_job: Callable[..., Job]) -> None:
    """A reader that saw revision 1 before must not take the returned entry for an older one (RFC 5546 2.1.5)."""
    plot.build(date(2026, 9, 1), new_job("a", SAT, title="x"))
    plot.build(date(2026, 9, 2), new_job("a", SAT))
    assert plot.build(date(2026, 9, 3)) == {}
    plot.build(date(2026, 9, 4))
    back = plot.build(date(2026, 9, 4), new_job("a", SAT))["a"]
    assert (back.revision, back.changed) == (2, at(date(2026, 9, 4)))


def test_a_job_to_come_that_left_is_dropped_a_past_one_is_kept(plot: Garden, new_job: Callable[..., Job]) -> None:
    """Readers drop what a feed no longer holds: a season's past jobs would vanish from the phone."""
    plot.build(date(2026, 9, 1), new_job("past", SAT), new_job("coming", SAT + timedelta(7)))
    later = plot.build(date(2026, 9, 27))
    assert list(later) == ["past"]
    assert later["past"].kept
    assert (later["past"].revision, later["past"].changed) == (0, FIRST)
    assert [change.title for change in plot.changes.gone] == ["Sow rye – Long bed"]
    assert list(plot.build(date(2026, 9, 28))) == ["past"]
    assert plot.changes.gone == ()


def test_a_job_under_way_that_left_is_dropped(plot: Garden, new_job: Callable[..., Job]) -> None:
    """Its bar runs from Saturday to Tuesday; on Tuesday it would still tell the grower to do it."""
    bar = new_job("a", SAT, last=SAT + timedelta(3))
    for day, there in ((SAT + timedelta(3), []), (SAT + timedelta(4), ["a"])):
        plot.previous = None
        plot.build(date(2026, 9, 1), bar)
        assert list(plot.build(day)) == there


def test_past_jobs_stay_through_the_next_season_and_then_go(plot: Garden, new_job: Callable[..., Job]) -> None:
    """The plan of each season starts in September; what was done in September 2026 goes with the third."""
    plot.build(date(2026, 9, 1), new_job("a", SAT))
    for start, there in ((date(2027, 9, 1), ["a"]), (date(2028, 9, 1), [])):
        assert list(plot.build(start, start=start, end=start.replace(year=start.year + 1))) == there
        assert plot.changes.gone == ()


def test_a_kept_job_that_the_plan_has_again_is_an_ordinary_one(plot: Garden, new_job: Callable[..., Job]) -> None:
    plot.build(date(2026, 9, 1), new_job("a", SAT))
    plot.build(date(2026, 10, 1))
    back = plot.build(date(2026, 10, 2), new_job("a", SAT, done=True))["a"]
    assert not back.kept
    assert back.revision == 1


def test_jobs_are_in_order_of_their_days_with_kept_ones_among_them(plot: Garden, new_job: Callable[..., Job]) -> None:
    plot.build(date(2026, 9, 1), new_job("a", SAT))
    assert list(plot.build(date(2026, 10, 1), new_job("c", date(2026, 10, 3)), new_job("b", date(2026, 9, 5)))) == [
        "b", "a", "c"]


def test_changes_are_told_with_both_days(plot: Garden, new_job: Callable[..., Job]) -> None:
    plot.build(date(2026, 9, 1), new_job("moved", SAT), new_job("gone", SAT), new_job("same", SAT),
               new_job("window", SAT), new_job("done", SAT), new_job("worded", SAT))
    plot.build(
        date(2026, 9, 2), new_job("moved", SAT + timedelta(7)), new_job("new", SAT), new_job("same", SAT),
        new_job("window", SAT, latest=SAT), new_job("done", date(2026, 9, 2), done=True),
        new_job("worded", SAT, why="x"),
        inputs={"frost": {"last": "9 May", "first": "19 October"}, "winter-low": -8},
    )
    changes = plot.changes
    assert [(c.on_before, c.on_after) for c in changes.moved] == [(SAT, SAT), (SAT, SAT + timedelta(7))]
    assert changes.moved[0].latest_before == SAT + timedelta(21)
    assert changes.moved[0].latest_after == SAT
    assert [(c.on_before, c.on_after) for c in changes.new] == [(None, SAT)]
    assert [(c.on_before, c.on_after) for c in changes.gone] == [(SAT, None)]
    assert [(c.on_before, c.on_after) for c in changes.done] == [(SAT, date(2026, 9, 2))]
    assert changes.inputs == (
        InputChange("caution", "1 in 5", ""),
        InputChange("frost: last", "28 April", "9 May"),
        InputChange("winter-low", "", "-8"),
    )


def test_a_build_without_a_difference_tells_of_none(plot: Garden, new_job: Callable[..., Job]) -> None:
    inputs = {"grew": {2025: ("cabbage", "leek")}, "normals": ((1.0, 2), (3, 4)), "day": SAT, "none": None}
    plot.build(date(2026, 9, 1), new_job("a", SAT), inputs=inputs)
    plot.build(date(2026, 9, 2), new_job("a", SAT), inputs=inputs)
    assert plot.changes == Changes()


def test_a_week_is_stamped_when_a_job_enters_leaves_or_moves_in_it(
    new_schedule: Callable[..., Schedule], new_job: Callable[..., Job],
) -> None:
    a, b = new_job("a", SAT), new_job("b", SAT)
    states = []
    previous = None
    for jobs in ((a, b), (a, b), (a, replace(b, on=SAT + timedelta(7))), (a, b), (a, replace(b, why="x"))):
        year, _ = remembered(new_schedule(*jobs, digest=True), previous, FIRST)
        previous = left_behind(year)
        states.append([(week.start, week.revision, len(week.jobs)) for week in year.memory.weeks])
    this, following = monday(SAT), monday(SAT + timedelta(7))
    assert states == [[(this, 0, 2)], [(this, 0, 2)], [(this, 1, 1), (following, 0, 1)], [(this, 2, 2)], [(this, 2, 2)]]


def test_a_feed_is_silent_from_the_day_it_lost_its_last_job_for_a_season(
    plot: Garden, new_job: Callable[..., Job],
) -> None:
    def silent() -> dict[str, date]:
        assert plot.previous is not None
        return dict(plot.previous.memory.silent)

    mulch, sow = new_job("m", date(2027, 5, 1), kind="mulch"), new_job("a", SAT)
    plot.build(date(2026, 9, 1), mulch, sow)
    assert silent() == {}
    for day in (2, 3):
        plot.build(date(2026, 9, day), sow)
        assert silent() == {"mulch": date(2026, 9, 2)}
    plot.build(date(2026, 9, 4), mulch, sow)
    assert silent() == {}
    plot.build(date(2026, 9, 5))
    assert silent() == {"mulch": date(2026, 9, 5), "sow": date(2026, 9, 5), "all": date(2026, 9, 5)}
    start = date(2028, 9, 1)
    plot.build(start, start=start, end=date(2029, 9, 1))
    assert silent() == {"all": date(2026, 9, 5)}


def test_stamps_of_what_left_are_forgotten_after_two_seasons(plot: Garden, new_job: Callable[..., Job]) -> None:
    plot.build(date(2026, 9, 1), new_job("a", SAT))
    uid = plot.previous.jobs[0].uid if plot.previous else ""
    for start, there in ((date(2026, 9, 2), True), (date(2028, 9, 1), True), (date(2029, 9, 1), False)):
        plot.build(start, start=start, end=start.replace(year=start.year + 1))
        assert plot.previous is not None
        assert (uid in plot.previous.memory.stamps) is there


def test_a_season_that_starts_on_29_february(plot: Garden, new_job: Callable[..., Job]) -> None:
    start = date(2028, 2, 29)
    plot.build(start, new_job("a", date(2028, 3, 4)), start=start, end=date(2029, 2, 28))
    assert list(plot.build(date(2028, 4, 1), start=start, end=date(2029, 2, 28))) == ["a"]


def test_a_key_given_twice_and_a_time_without_zone_are_refused(
    new_schedule: Callable[..., Schedule], new_job: Callable[..., Job],
) -> None:
    with pytest.raises(ValueError, match=r"share a key: \['a'\]"):
        remembered(new_schedule(new_job("a", SAT), new_job("a", SAT), new_job("b", SAT)), None, FIRST)
    with pytest.raises(ValueError, match="time zone"):
        remembered(new_schedule(), None, FIRST.replace(tzinfo=None))


def test_names_that_no_encoding_holds_still_get_uids(
    new_schedule: Callable[..., Schedule], new_job: Callable[..., Job],
) -> None:
    year, _ = remembered(new_schedule(new_job("\udce4", SAT, title="\ud800"), stem="\udcff"), None, FIRST)
    assert UUID(year.jobs[0].uid)


def test_a_done_job_stands_on_its_day(new_job: Callable[..., Job]) -> None:
    assert calendar_days(new_job("a", SAT, last=SAT + timedelta(3), done=True)) == (SAT, SAT)
