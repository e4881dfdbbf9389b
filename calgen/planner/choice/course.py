"""A cover's life from its sowing, if nobody cuts it: emergence, flower, what winter does to it.

    quantity          unit
    degree days       °C·day above the cover's base
    establish share   what it has by winter of the warmth a safe stand needs [0-1]
    kill chance       chance that the winter kills it [0-1]
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from calgen.climate.days import day_of_year
from calgen.planner.choice.growth import growth_clock, long_day_clock

if TYPE_CHECKING:
    from calgen.climate.climate import Climate
    from calgen.climate.model import Season
    from calgen.knowledge.model import Cover, Stage
    from calgen.planner.model import Likelihood

LIKELY: Final = 0.75
UNLIKELY: Final = 0.25
"""Winter-kill is called likely from three winters in four, unlikely up to one in four. Judgement."""
LONG_DAY_H: Final = 12.0
"""Long-day covers are led to flower by days of 12 h and more. Judgement: cereals and clovers lie at 11-13 h (from
memory), phacelia at 13; with it rye flowers in mid May in Oregon, at the turn of May in New York and England."""
OPENING_DAY_H: Final = 11.0
"""From midwinter on nothing comes into flower before days of 11 h, early March at 50°. Judgement."""
FLOWER_DAYS_AT_C: Final = 18.0
"""Published days to flower are of summer sowings; taken as days of this mean temperature. Judgement."""
TENDER_YOUTH: Final = 0.3
"""A stand with no growth behind it dies at 0.7 of the published temperature (°C below zero): hardiness depends on
establishment (SARE rotation chapter: hairy vetch, a zone 4 plant, often dies in New York sown after 15 September).
The size is our judgement."""
EARLY_DEATH: Final = 0.75
"""Chance that a cover which flowered or grew tall before winter dies in it: legumes in flower and ryegrass above
200 mm "often" winter-kill (Penn State). The number is our judgement."""
EARLY_DEATH_DAYS: Final = 28
"""A stand sown so long before the last day that counts as too early takes the whole of that risk, straight from none;
so does one in a winter as cold as Pennsylvania's, with none where it never freezes hard. Judgement."""
FROST_THAT_TELLS_C: Final = -5.0
PENNSYLVANIA_LOW_C: Final = -15.0
SNOW_MEAN_C: Final = -3.0
"""Snow lies for most of the winter where the coldest month's mean is below about -3 °C (the boundary of snow climates
after Koeppen)."""
SNOW_SHELTER: Final = 2.0
MOST_SHELTER_C: Final = 8.0
SNOW_HARDY_C: Final = -20.0
"""Under snow the ground stays far warmer than the air; SARE puts hairy vetch at zone 4, colder than its bare kill
temperature, where snow lies. Two degrees for each of the coldest month's below that mean, eight at most, for what is
hardy enough to live till lasting snow: judgement, as snow comes some years and not others."""
FLOWERING_DAYS: Final = 21
SHORT_DAY_SHARE: Final = 0.5
"""Part of a long-day cover's heat to flower that may come in short days. Judgement: hairy vetch and rye sown in early
September flower in late May in the north-east of the US and in Britain alike."""
SPRING_KIND_SHARE: Final = 0.35
"""The same for kinds that need no winter, where they stand through one: oats sown in autumn come into ear in June in
Britain, after rye (common practice). The size is our judgement."""
LATE_SOWN_HEAT: Final = 0.8
"""Part of its heat to flower that a cover in its second season needs at least: late sowings make fewer leaves and
flower only days after early ones (common finding on winter cereals, from memory). Judgement."""
LONGEST_TO_FLOWER_DAYS: Final = 700


def likelihood(chance: float) -> Likelihood:
    """A chance in three words; never a promise."""
    if chance >= LIKELY:
        return "likely"
    return "unsure" if chance > UNLIKELY else "unlikely"


class Course(Struct, frozen=True):
    """What happens to a cover sown on a day. ``winter`` is midwinter; ``short_days``: it was sown in falling days;
    ``too_early``: how far it was sown before ``timely_from``, so that it grows tall or flowers before winter [0-1];
    ``kill_c``: the cold that kills it, as well established and as deep under snow as it is here [°C]."""

    sow: date
    season: Season
    emerges: date | None
    flowers: date | None
    winter: date
    degree_days_winter: float
    establish_share: float
    kill_chance: float
    killed: date | None
    too_early: float
    short_days: bool
    timely_from: date | None = None
    kill_c: float = 0.0

    @property
    def likelihood(self) -> Likelihood:
        """Winter-kill in words."""
        return likelihood(self.kill_chance)

    def stage(self, day: date) -> Stage:
        """How far it has grown on a day."""
        if self.flowers is None or day < self.flowers:
            return "vegetative"
        return "flowering" if day < self.flowers + timedelta(FLOWERING_DAYS) else "mature"


@lru_cache(maxsize=20_000)
def course(cover: Cover, climate: Climate, sow: date) -> Course:
    """The life of a cover sown on a day at a place."""
    season = climate.season_at(sow)
    base = cover.base_c.mid
    heat = climate.degree_days(sow, season.end, base, None)
    share = min(1.0, heat / cover.establish_dd.mid) if cover.establish_dd.mid > 0 else 1.0
    flowers = flowering(cover, climate, sow)
    timely = _timely_from(cover, season)
    too_early = min(1.0, max(0.0, (timely - sow).days / EARLY_DEATH_DAYS)) if timely else 0.0
    if flowers and cover.life == "winter-annual" and flowers < season.end:
        too_early = 1.0
    kill_c = cover.kill_c.mid * (1 - TENDER_YOUTH * (1 - share)) - snow_shelter_c(cover, climate)
    chance, killed = _winter(cover, climate, season, sow, kill_c, too_early)
    return Course(sow, season, climate.day_reached(sow, cover.emergence_dd.mid, base, 300), flowers,
                  season.end, heat, share, chance, killed, too_early, climate.shortening(sow), timely, kill_c)


def _timely_from(cover: Cover, season: Season) -> date | None:
    if season.first_frost is None or cover.too_early_weeks is None or cover.life != "winter-annual":
        return None
    return season.first_frost - timedelta(round(7 * cover.too_early_weeks.high))


def snow_shelter_c(cover: Cover, climate: Climate) -> float:
    """How much colder than the published temperature the air may be where snow lies over a hardy cover. [°C]"""
    if cover.kill_c.mid > SNOW_HARDY_C:
        return 0.0
    return min(MOST_SHELTER_C, max(0.0, SNOW_SHELTER * (SNOW_MEAN_C - climate.coldest_day_c)))


def flowering(cover: Cover, climate: Climate, sow: date) -> date | None:
    """The day a cover comes into flower; None if it does not within two years or nothing is known.

    A day-neutral cover flowers when its heat is reached, which counts less in short days as growth does. In a long-day
    cover the heat of short days counts for a part at most and the rest must come in long ones; what lives through
    winter, sown in falling days, waits for those of spring, so that the same sowing flowers in May or June after cold
    and mild winters alike. So does an annual that did not flower before midwinter.

    Error: about two weeks; the published degree days and days come from few places.
    """
    base = cover.base_c.mid
    if cover.flower_dd:
        heat = cover.flower_dd.mid
    elif cover.days_to_flower:
        heat = cover.days_to_flower.mid * (FLOWER_DAYS_AT_C - base)
    else:
        return None
    winter = climate.season_at(sow).end
    if not cover.long_day_flowering:
        return _after_the_dark(climate, growth_clock(climate, base).reached(sow, heat), winter)
    falling = climate.shortening(sow)
    if not (falling and cover.life != "annual"):
        soon = _in_long_days(cover, climate, sow, sow, heat, 1 - SHORT_DAY_SHARE, heat)
        if not falling or (soon and soon < winter):
            return soon
    share = SPRING_KIND_SHARE if cover.life == "annual" else SHORT_DAY_SHARE
    return _in_long_days(cover, climate, sow, winter, heat, 1 - share, LATE_SOWN_HEAT * heat)


def _after_the_dark(climate: Climate, day: date | None, winter: date) -> date | None:
    """The day itself, or, between midwinter and spring, the first that is long enough for buds to open."""
    if day is None or not winter <= day < winter + timedelta(120):
        return day
    opening = _buds_open(climate, winter)
    return max(day, opening) if opening else day


@lru_cache(maxsize=64)
def _buds_open(climate: Climate, winter: date) -> date | None:
    """The first day after midwinter that is long enough for buds to open; None where none is before summer."""
    return next((day for day in (winter + timedelta(n) for n in range(180))
                 if climate.daylengths_h[day_of_year(day) - 1] >= OPENING_DAY_H), None)


def _in_long_days(cover: Cover, climate: Climate, sow: date, since: date, heat: float, share: float,
                  least: float) -> date | None:
    """The day with the least heat [°C·day] since sowing and a share of the whole in long days since another day."""
    base = cover.base_c.mid
    warm = climate.day_reached(sow, least, base, LONGEST_TO_FLOWER_DAYS)
    light = long_day_clock(climate, base, LONG_DAY_H).reached(since, share * heat)
    return max(warm, light) if warm and light else None


def _winter(cover: Cover, climate: Climate, season: Season, sow: date, kill_c: float,
            too_early: float) -> tuple[float, date | None]:
    """Chance that winter kills the cover and the day it is then expected to."""
    if cover.hurt_by_first_frost:
        if season.first_frost is None:
            return climate.winter_kill_chance(cover.kill_c.mid), None
        return 1.0, max(season.first_frost, sow)
    chance = climate.winter_kill_chance(kill_c)
    severity = (FROST_THAT_TELLS_C - climate.winter_low_c) / (FROST_THAT_TELLS_C - PENNSYLVANIA_LOW_C)
    chance = max(chance, EARLY_DEATH * too_early * min(1.0, max(0.0, severity)))
    if chance <= UNLIKELY:
        return chance, None
    day = climate.first_frost(season, 0.5, round(kill_c, 1)) or season.end
    return chance, max(day, sow)
