"""Seed for late sowings is the same from the window at hand as from the site's windows."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from calgen.planner.choice.opening import lateness
from calgen.planner.cover_window import cover_windows, sowing_lateness


@pytest.mark.parametrize("cover", ["cereal-rye", "hairy-vetch", "white-clover", "buckwheat", "oats"])
def test_lateness_agrees_with_the_windows(maritime, knowledge, cover):
    climate, plant = maritime.climate(), knowledge.covers[cover]
    season = climate.season_at(climate.season_at(knowledge_day()).start)
    for window in cover_windows(plant, climate, season):
        for days in range(0, (window.last - window.first).days + 1, 9):
            day = window.first + timedelta(days)
            assert lateness(plant, window, day) == sowing_lateness(plant, climate, season, day)


def test_rye_takes_more_seed_when_late_as_cornell_prints(maritime, knowledge):
    """Cornell, rye: 60 lb/acre drilled on 15 September, 180 on 15 October; calgen goes to twice the rate at most."""
    rye = knowledge.covers["cereal-rye"]
    window = cover_windows(rye, maritime.climate(), maritime.climate().season_at(knowledge_day()))[-1]
    assert lateness(rye, window, window.best) == 1.0
    assert 1.5 <= lateness(rye, window, window.last) <= 3.0


def knowledge_day():
    from datetime import date

    return date(2026, 9, 1)


def test_winter_beans_are_best_sown_in_october_or_early_november_in_britain(maritime, knowledge):
    """common practice: winter field beans from mid October to early November; sown in September they grow too tall."""
    climate = maritime.climate()
    window = cover_windows(knowledge.covers["field-bean"], climate, climate.season_at(date(2026, 10, 1)))[-1]
    assert date(2026, 10, 8) <= window.best <= date(2026, 11, 10)
