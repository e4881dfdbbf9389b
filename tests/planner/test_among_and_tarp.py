"""Starting among a crop that is finishing, and what lies under a tarp."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from calgen.command.load import desk_of

if TYPE_CHECKING:
    from calgen.schedule.model import Job, Schedule

PLOT = """\
site: Rook Lane
latitude: 52.4
frost: {last: 28 April, first: 19 October}
warmest-month: 16.8
winter-low: -8
chart-starts: July 2026
beds:
  Long bed:
    size: 1.2 x 6 m
    order:
"""


def made(*steps: str) -> Schedule:
    """The schedule of a bed with these steps."""
    text = PLOT + "".join(f"      - {{{step}}}\n" for step in steps)
    return desk_of(text.encode(), Path("plot.yaml")).schedule(date(2026, 7, 1))


def jobs(schedule: Schedule, kind: str) -> list[Job]:
    return [job for job in schedule.jobs if job.kind == kind]


@pytest.mark.parametrize("host", ["crop: runner bean, sown: 2026-05-20", "crop: tomato, planted: 2026-05-28"])
def test_onions_are_offered_among_a_crop_that_is_finishing(host: str) -> None:
    """Common practice: sets and cloves go in among beans whose pods are drying, the roots are left in."""
    notes = [note.text for note in made(host, "crop: onion sets").notes]
    assert any("Write among: yes" in note for note in notes)
    taken = made(host, "crop: onion sets, among: yes")
    assert not any("Write among" in note.text for note in taken.notes)


@pytest.mark.parametrize(("before", "after"), [
    ("crop: maincrop potato, planted: 2026-04-15", "crop: onion sets"),
    ("crop: runner bean, sown: 2026-05-20", "crop: onion sets, planted: 2026-10-20"),
    ("crop: runner bean, sown: 2026-05-20", "crop: spinach"),
])
def test_nothing_is_offered_among_roots_nor_for_a_day_of_the_growers_own(before: str, after: str) -> None:
    assert not any("Write among" in note.text for note in made(before, after).notes)


def test_a_tarp_is_lifted_after_three_to_four_weeks_before_the_next_crop() -> None:
    """Three to four weeks kill for sure, two nearly do: Practical Farmers of Iowa, tarping trial."""
    year = made("crop: lettuce, planted: 2026-06-01, cleared: 2026-09-05", "cover: cereal rye", "crop: pea")
    (cut,) = jobs(year, "cut-down")
    (lifted,) = [job for job in jobs(year, "look") if "tarp" in job.title]
    (sown,) = [job for job in jobs(year, "sow") if "pea" in job.plants]
    assert timedelta(19) <= lifted.on - cut.on <= timedelta(30)
    assert lifted.on <= sown.on


def test_a_tarp_is_lifted_weeks_after_the_growers_own_cutting() -> None:
    """Common practice: the weeks in the dark count from the day the tarp was laid, not from the day it was planned."""
    year = made("crop: lettuce, planted: 2026-06-01, cleared: 2026-09-05", "cover: cereal rye, cut: 2027-04-05",
                "crop: tomato")
    (cut,) = jobs(year, "cut-down")
    (lifted,) = [job for job in jobs(year, "look") if "tarp" in job.title]
    assert cut.on == date(2027, 4, 5)
    assert timedelta(19) <= lifted.on - cut.on <= timedelta(30)


def test_a_tarp_is_off_when_the_next_crop_goes_in() -> None:
    """Common practice: nothing is sown under a tarp, however late it was laid. Two weeks nearly kill (Practical
    Farmers of Iowa)."""
    year = made("crop: lettuce, planted: 2026-06-01, cleared: 2026-09-05", "cover: cereal rye, cut: 2027-03-10",
                "crop: pea, sown: 2027-03-26")
    (lifted,) = [job for job in jobs(year, "look") if "tarp" in job.title]
    assert date(2027, 3, 24) <= lifted.on <= date(2027, 3, 26)
    assert lifted.latest <= date(2027, 3, 26)


def test_nothing_stays_bare_when_the_order_ends() -> None:
    """Common practice: bare soil loses what it holds; where nothing is planned it is mulched until something is."""
    year = made("crop: lettuce, planted: 2026-06-01, cleared: 2026-09-05")
    (mulch,) = jobs(year, "mulch")
    assert date(2026, 9, 5) <= mulch.on <= date(2026, 9, 19)
    (clear,) = jobs(year, "clear")
    assert "mulch" in clear.text.lower()
    assert not [span for span in year.beds[0].spans if span.kind == "bare" and span.to > date(2026, 9, 25)]
    assert any("Nothing is planned from 5 September" in note.text for note in year.notes)


def test_a_last_fortnight_is_left_alone() -> None:
    year = made("crop: lettuce, planted: 2026-06-01, cleared: 2026-09-05", "cover: cereal rye",
                "crop: lettuce, planted: 2027-05-05, cleared: 2027-06-20")
    assert not [job for job in jobs(year, "mulch") if job.on > date(2027, 6, 1)]


def test_in_pots_nothing_is_drilled_between_rows() -> None:
    """Common practice: pots have no rows."""
    for crop in ("tomato, planted: 2026-05-28", "leek, planted: 2026-06-10", "kale, planted: 2026-06-05"):
        order = f"      - {{crop: {crop}}}\n      - cover: choose\n      - crop: tomato\n"
        text = PLOT.replace("size: 1.2 x 6 m", "pots: 6 x 40 l") + order
        year = desk_of(text.encode(), Path("plot.yaml")).schedule(date(2026, 7, 1))
        assert not jobs(year, "drill")
