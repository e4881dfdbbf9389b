"""Seed in hand and a limit of jobs a day, from site file to schedule."""

from __future__ import annotations

from collections import Counter
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from calgen.command.load import desk_of

if TYPE_CHECKING:
    from calgen.schedule.model import Schedule

SITE = """
site: Ash corner
latitude: 52.4
frost: {last: 28 April, first: 19 October}
winter-low: -8
chart-starts: September 2026
garden-days: [Sat]
@
beds:
"""
BED = """  Bed @:
    size: 2 x 10 m
    order:
      - crop: sweet corn
        sown: 2026-05-16
        cleared: 2026-09-@
      - cover: @
      - crop: courgette
"""


def made(more: str, beds: list[tuple[str, str]]) -> Schedule:
    """The schedule of beds that are cleared of corn on a day of September and sown to a cover."""
    text = SITE.replace("@", more)
    for number, (cleared, cover) in enumerate(beds, 1):
        bed = BED
        for word in (str(number), cleared, cover):
            bed = bed.replace("@", word, 1)
        text += bed
    return desk_of(text.encode(), Path("ash.yaml")).schedule(date(2026, 9, 1))


RYE = [("12", "cereal rye"), ("19", "cereal rye")]


def test_the_order_is_what_the_tin_lacks() -> None:
    all_new = made("", RYE)
    need = next(line.grams for line in all_new.seeds if line.plant == "cereal-rye")
    some = made("seed-in-hand: {rye: 0.3 kg}", RYE)
    line = next(line for line in some.seeds if line.plant == "cereal-rye")
    order = next(job for job in some.jobs if job.kind == "order-seed")
    assert line.grams == need
    assert line.in_hand_g == 300
    assert order.seed_g == {"cereal-rye": pytest.approx(need - 300)}
    assert "300 g" in order.text


def test_nothing_is_ordered_that_the_tin_holds() -> None:
    full = made("seed-in-hand: {rye: 11 lb}", RYE)
    assert not [job for job in full.jobs if job.kind == "order-seed"]
    assert next(line for line in full.seeds if line.plant == "cereal-rye").to_order_g == 0


def test_no_day_holds_more_jobs_than_can_be_done() -> None:
    beds = [(f"{day:02d}", "cereal rye") for day in (8, 9, 10, 11, 12)]
    free = made("", beds)
    bound = made("jobs-per-day: 3", beds)
    assert max(load(free).values()) > 3
    crowded = {day for day, count in load(bound).items() if count > 3}
    assert sum(load(bound).values()) == sum(load(free).values())
    assert too_many(bound) < too_many(free)
    assert all(any(str(day.day) in note.text for note in bound.notes) for day in crowded)


def test_a_beds_jobs_keep_their_order() -> None:
    beds = [(f"{day:02d}", "cereal rye") for day in (8, 9, 10, 11, 12)]
    for bed in ("Bed 1", "Bed 5"):
        kinds = [[job.kind for job in made(more, beds).jobs if job.bed == bed and job.kind != "mulch"]
                 for more in ("", "jobs-per-day: 2")]
        assert sorted(kinds[0]) == sorted(kinds[1])
        assert kinds[1].index("sow") < kinds[1].index("look") < kinds[1].index("cut-down")


def too_many(schedule: Schedule) -> int:
    """Jobs beyond three a day, over all days."""
    return sum(max(0, count - 3) for count in load(schedule).values())


def load(schedule: Schedule) -> Counter[date]:
    """Jobs by garden day, those left out that only replace another."""
    return Counter(job.on for job in schedule.jobs if job.bed and job.on.weekday() == 5 and not job.done
                   and job.kind != "mulch")
