"""What holds for every garden, date and bed."""

from __future__ import annotations

from datetime import date, timedelta

from calgen.knowledge.read import read_knowledge
from calgen.planner.choice.attain import attained
from calgen.planner.choice.rank import rank
from calgen.site.model import PURPOSES
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

COVERS = sorted(read_knowledge().covers)
CROPS = sorted(read_knowledge().crops)
PLACES = st.sampled_from([
    {"latitude": 52.5}, {"latitude": 44.0, "last": "05-05", "first": "10-01", "winter_low": -28.0, "warmest": 22.0},
    {"latitude": 33.0, "last": "03-20", "first": "11-15", "winter_low": -6.0, "warmest": 27.0},
    {"latitude": 25.0, "last": None, "first": None, "winter_low": 4.0, "warmest": 28.0},
    {"latitude": -41.0, "last": "10-15", "first": "05-10", "winter_low": -4.0, "warmest": 17.0},
])
SLOTS = st.fixed_dictionaries({
    "free": st.dates(date(2026, 1, 1), date(2026, 12, 31)),
    "needs": st.lists(st.sampled_from(PURPOSES), max_size=3, unique=True),
    "next_crop": st.none() | st.sampled_from(CROPS),
    "before": st.lists(st.sampled_from(CROPS), max_size=2),
    "soil": st.lists(st.sampled_from(["clay", "sand", "compacted", "wet", "acid"]), max_size=2, unique=True),
})
FEW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def _story(story):
    free = story["free"]
    start = free + timedelta(200) if story["next_crop"] else None
    return free, {**{key: value for key, value in story.items() if key != "free"}, "start": start}


@FEW
@given(place=PLACES, story=SLOTS)
def test_scores_are_within_bounds_and_every_cover_is_once_an_option_or_rejected(garden, place, story):
    free, rest = _story(story)
    ranking = garden(**place).rank(free, **rest)
    singles = [option.ids[0] for option in ranking.options if len(option.ids) == 1]
    rejected = [entry.covers[0] for entry in ranking.rejected if len(entry.covers) == 1]
    assert sorted(singles + rejected) == COVERS
    assert all(0 <= option.score <= 100 for option in ranking.options)
    assert [option.score for option in ranking.options] == sorted((option.score for option in ranking.options),
                                                                  reverse=True)
    assert all(entry.reasons for entry in ranking.rejected)
    for option in ranking.options:
        assert option.sow_first <= option.sow <= option.sow_last
        assert free <= option.sow
        assert option.ending.first <= option.ending.best <= option.ending.last
        assert option.sow < option.ending.last
        assert all(grams > 0 for grams in option.seed_g.values())
        assert option.reasons


@FEW
@given(place=PLACES, cover=st.sampled_from(COVERS), sow=st.dates(date(2026, 1, 1), date(2026, 12, 20)),
       later=st.integers(1, 60), grown=st.integers(60, 250))
def test_a_later_sowing_never_covers_more_ground(garden, place, cover, sow, later, grown):
    """Within one growing year and cut on one day."""
    climate, plant = garden(**place).climate(), read_knowledge().covers[cover]
    end = sow + timedelta(grown)
    after = sow + timedelta(later)
    if climate.season_at(sow) != climate.season_at(after):
        return
    first, second = attained(plant, climate, sow, end), attained(plant, climate, after, max(end, after))
    assert second.ground_cover_winter <= first.ground_cover_winter + 1e-9
    assert second.root_cm <= first.root_cm + 1e-9 or first.kill_chance > second.kill_chance


@FEW
@given(place=PLACES, story=SLOTS, shuffle=st.randoms(use_true_random=False))
def test_the_order_of_covers_does_not_matter(garden, place, story, shuffle):
    free, rest = _story(story)
    spot = garden(**place)
    slot, knowledge = spot.slot(free, **rest), read_knowledge()
    covers = list(knowledge.covers.items())
    shuffle.shuffle(covers)
    mixed = replace(knowledge, covers=dict(covers), mixtures=tuple(reversed(knowledge.mixtures)))
    assert rank(slot, spot.climate(), mixed) == rank(slot, spot.climate(), knowledge)
