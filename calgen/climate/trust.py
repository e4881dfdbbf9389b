"""How far the answers of a climate may be off, in a grower's words, and what would make them better.

The figures are the measured errors of the methods; their sources stand with the methods.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from calgen.climate.model import KnownError

if TYPE_CHECKING:
    from calgen.climate.model import FrostDate
    from calgen.climate.winter import WinterLow
    from calgen.site.model import Site

_FAR_MOVED_DAYS: Final = 10
_SOIL: Final = KnownError("soil temperature at sowing depth", "within 2 to 3 °C; bare soil in spring sun is warmer, "
                          "soil under mulch or a thick cover colder", "a soil thermometer")


def of_averages(site: Site, level: int, no_season: bool, winter_low: WinterLow) -> tuple[KnownError, ...]:
    """For frost dates given by the grower, at level 1 or 2."""
    errors = []
    if no_season:
        errors.append(KnownError("frost", "with these dates frost may come in any week of summer: there is no "
                                 "frost-free season to plan for", "frost dates from a daily record"))
    if level == 1:
        errors += _of_likely_year(site, no_season)
    else:
        errors.append(KnownError("warmth over a year (degree days)", "within 1 to 2 % of an average year",
                                 "a daily record, for single years"))
    frost = site.frost
    if frost is not None and frost.spread_days is None:
        errors.append(KnownError("how much frost dates vary from year to year", "guessed from the climate, within "
                                 "3 days; more by the sea", "frost: spread, in days, or a daily record"))
    errors.append(KnownError("dates of light and hard frosts other than 0 °C", "within 5 days in spring, 4 in autumn",
                             "a daily record"))
    return (*errors, *_of_winter_low(winter_low), _SOIL)


def _of_likely_year(site: Site, no_season: bool) -> list[KnownError]:
    """Measured by tests/published/test_climate_year.py."""
    if no_season:
        return [KnownError("warmth (degree days)", "hardly more than a guess", "twelve monthly means")]
    errors = []
    if site.warmest_month_c is None:
        errors.append(KnownError("warmth from last to first frost (degree days)", "about 8 %, in 9 of 10 places within "
                                 "16 %: frost dates hardly tell a cool summer from a hot one",
                                 "warmest-month: the mean temperature of the warmest month"))
    else:
        errors.append(KnownError("warmth from last to first frost (degree days)", "about 3 %, in 9 of 10 places within "
                                 "5 %; 4 % more for each degree the warmest month is out", "twelve monthly means"))
    near = site.longitude_deg is not None
    if site.winter_low_c is None:
        autumn = _share(7, 15) if near else _share(8, 18)
        spring = _share_where_snow_lies(15, 35) if near else _share_where_snow_lies(20, 45)
        cool = _within_days(6, 12) if near else _within_days(7, 14)
        coldest = "within 2 °C, in 9 of 10 places 3 °C" if near else \
            "within 2 °C, in 9 of 10 places 5 °C: winters by the sea come out a degree too cold, others too warm"
        remedy = "winter-low: the coldest night of an ordinary winter"
    else:
        autumn = _share(6, 14)
        spring = _share_where_snow_lies(13, 28) if near else _share_where_snow_lies(15, 35)
        cool = _within_days(5, 10) if near else _within_days(5, 12)
        coldest = "within 1 °C, in 9 of 10 places 3 °C"
        remedy = "twelve monthly means"
    where = remedy if near else "longitude: in degrees, west negative"
    errors += [KnownError("warmth in autumn, September to December", autumn, remedy),
               KnownError("the day on which autumn has cooled to 5 °C", cool, remedy),
               KnownError("warmth in early spring", spring, where),
               KnownError("mean of the coldest month", coldest, where)]
    return errors


def _share(middle: int, most: int) -> str:
    return f"about {middle} %, in 9 of 10 places within {most} %"


def _share_where_snow_lies(middle: int, most: int) -> str:
    return f"about {middle} %, where snow lies late up to {most} %"


def _within_days(middle: int, most: int) -> str:
    return f"within {middle} days, in 9 of 10 places {most}"


def of_record(site: Site, seasons: int, last: FrostDate | None, last_moved: float,
              first_moved: float) -> tuple[KnownError, ...]:
    """For a daily record of so many cold seasons; ``last`` is its last 0 °C frost before any move."""
    errors = []
    if last is not None and last.occurrence < 1:
        errors.append(KnownError("frost", f"it comes in about {10 * last.occurrence:.0f} of 10 winters; risks count "
                                 f"the winters without", None))
    if last is None:
        return (*errors, KnownError("frost", f"none in {seasons} winters", None), _SOIL)
    spread = last.sd_days
    errors.append(KnownError("frost dates", f"within about {max(1.0, spread / seasons ** 0.5):.0f} days for the "
                             f"average, {max(1.0, 1.7 * spread / seasons ** 0.5):.0f} for 1 year in 10, "
                             f"from {seasons} winters", None if seasons >= 20 else "a longer record"))
    if site.frost is not None and max(abs(last_moved), abs(first_moved)) > _FAR_MOVED_DAYS:
        errors.append(KnownError("frost dates", "your own average dates are used; the record's are "
                                 f"{_moved(last_moved)} in spring and {_moved(first_moved)} in autumn",
                                 "leave out frost: to use the record's"))
    return (*errors, _SOIL)


def _moved(days: float) -> str:
    if abs(days) < 1:
        return "the same"
    return f"{abs(days):.0f} days {'earlier' if days > 0 else 'later'}"


def without_dates(site: Site, level: int, winter_low: WinterLow, none_at_c: float | None) -> tuple[KnownError, ...]:
    """For places without frost dates, at level 1 or 2; ``none_at_c`` when the grower's word of no frost is taken."""
    errors = []
    if none_at_c is None:
        errors.append(KnownError("frost dates", "the monthly means speak of frost, so frost: none is not followed; "
                                 "dates are guessed from the means, within about 10 days",
                                 "frost: last and first, the average dates"))
    if level == 1:
        size = "about 1.5 °C through the year at sea level" if site.warmest_month_c is None else "about 1 °C"
        if site.warmest_month_c is None:
            size += "; 0.8 °C too warm for each 100 m above it"
        errors.append(KnownError("warmth, known from the latitude alone", size, "twelve monthly means"))
    return (*errors, *_of_winter_low(winter_low), _SOIL)


def _of_winter_low(winter_low: WinterLow) -> tuple[KnownError, ...]:
    if not winter_low.estimated:
        return ()
    return (KnownError("coldest night of an ordinary winter", f"guessed as {winter_low.mean_c:.0f} °C, within "
                       f"{winter_low.sd_c:.0f} °C in 2 of 3 winters; whether covers die in winter is unsure",
                       "winter-low: the coldest night of an ordinary winter"),)
