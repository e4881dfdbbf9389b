"""The year at level 1 against monthly normals of 51 US stations and 75 other places, and against four daily records.

Run it by itself for the tables: ``python tests/published/test_climate_year.py [places]``.

Each place is left out of the table of places while its own year is asked for; those marked held-out were never in it,
nor were the places of the records. ``before`` is the single cosine through the frost dates (M1; with the warmest month
M2), ``near`` has the longitude too. Degree days are Thom's, with the spread that the place's own normals give, so that
only the curves are compared; for the records they are sums of days. Sources: NOAA 1981-2010 normals; places outside
the US, and the winter lows, from memory; see the files. Frost dates marked rule rest on the same normals, and places
that have only these are not counted where autumn ends.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from statistics import fmean
from typing import TYPE_CHECKING, NamedTuple

import pytest
from calgen.climate.build import climate_of
from calgen.climate.cycle import most_likely_year
from calgen.climate.cycle_places import FIRST_FROST_TMIN, LAST_FROST_TMIN, PLACES
from calgen.climate.heat import sigma_from_amplitude, simple_average, thom
from calgen.climate.minimal import latitude_and_frost, latitude_frost_and_warmest_month
from calgen.climate.normals import daily_curve, month_means
from calgen.climate.record import days_of, latest_years, monthly_normals
from calgen.problems import Faults
from calgen.site.check import SITE_CHECKS
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from tests.climate.conftest import record, site
from tests.published.climate_year_table import SOUTHERN_SHIFT, Place, frost_tmin, places

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.climate.climate import Climate
    from calgen.climate.cycle import Year
    from calgen.climate.minimal import Curve

AUTUMN, SPRING = range(244, 366), range(60, 121)
"""1 September to 31 December, 1 March to 30 April; northern days."""
COOL_C = 5.0


class Known(NamedTuple):
    """What a grower gives besides latitude and frost dates."""

    warmest: bool
    low: bool

    def __str__(self) -> str:
        return {(False, False): "frost dates", (True, False): "+ warmest month", (False, True): "+ winter low",
                (True, True): "+ both"}[self]


KNOWN = [Known(False, False), Known(True, False), Known(False, True), Known(True, True)]


@dataclass(frozen=True)
class Off:
    """How far a year is off; heat in %, the rest in days and °C."""

    autumn_0: float
    autumn_4: float
    season: float
    spring_4: float
    cool_day: float | None
    coldest_c: float
    low_c: float | None


def group(place: Place) -> str:
    """US, maritime or continental, or held out."""
    if place.climate == "us":
        return "US"
    return place.climate if place.use == "fit" else f"{place.climate}, held out"


@cache
def compared() -> list[Place]:
    """Places with a frost-free season of 60 to 300 days."""
    return [place for place in places() if place.last is not None and place.first is not None
            and 60 <= place.first - place.last <= 300]


def before(place: Place, known: Known) -> Curve:
    """The single cosine."""
    if known.warmest:
        return latitude_frost_and_warmest_month(place.latitude_deg, place.last, place.first, max(place.tmean_c))
    return latitude_and_frost(place.latitude_deg, place.last, place.first)


@cache
def now(place: Place, known: Known) -> Year:
    """The most likely year without the place itself."""
    return _left_out(place, known, None)


@cache
def near(place: Place, known: Known) -> Year:
    """The same, the longitude known too."""
    return _left_out(place, known, place.longitude_deg)


def _left_out(place: Place, known: Known, longitude_deg: float | None) -> Year:
    return most_likely_year(place.latitude_deg, place.last, place.first, longitude_deg=longitude_deg,
                            places=[other for other in PLACES if other.name != place.name],
                            warmest_c=max(place.tmean_c) if known.warmest else None,
                            winter_low_c=place.winter_low_c if known.low else None)


def off(place: Place, year: Year | Curve) -> Off:
    """A year beside the curve through the place's normals."""
    low, high = daily_curve(place.tmin_c), daily_curve(place.tmax_c)
    true = [(one + other) / 2 for one, other in zip(low, high, strict=True)]
    found = [year.tmean(day) for day in range(1, 366)]
    amplitude = (max(low) - min(low)) / 2
    sigma = [sigma_from_amplitude(amplitude, day) for day in range(1, 366)]

    def heat(curve: list[float], days: range, base: float) -> float:
        return sum(thom([curve[(day - 1) % 365] for day in days], [sigma[(day - 1) % 365] for day in days], base))

    def more(days: range, base: float) -> float:
        return 100 * (heat(found, days, base) / heat(true, days, base) - 1)

    season = [(day - 1) % 365 for day in range(place.last, place.first + 1)]
    cool = [next((day for day in range(213, 400) if curve[(day - 1) % 365] < COOL_C), None) for curve in (found, true)]
    return Off(
        more(AUTUMN, 0.0), more(AUTUMN, 4.4),
        100 * (sum(max(0.0, found[day] - 4.4) for day in season) / sum(max(0.0, true[day] - 4.4) for day in season)
               - 1),
        more(SPRING, 4.4), None if None in cool or place.dates == "rule" else cool[0] - cool[1],
        min(month_means(found)) - min(place.tmean_c),
        year.winter_low_c - place.winter_low_c if hasattr(year, "winter_low_c") else None)


@cache
def table(model: Callable[[Place, Known], Year | Curve], known: Known) -> dict[str, list[tuple[Place, Off]]]:
    """Errors by group."""
    found: dict[str, list[tuple[Place, Off]]] = {}
    for place in compared():
        found.setdefault(group(place), []).append((place, off(place, model(place, known))))
    return found


def mean_off(model: Callable[[Place, Known], Year | Curve], known: Known, groups: str, what: str) -> float:
    """Mean absolute error of a group of places, the held-out ones of its kind with it."""
    values = [getattr(errors, what) for name, rows in table(model, known).items() if name.startswith(groups)
              for _, errors in rows]
    return fmean(abs(value) for value in values if value is not None)


# Mean absolute error allowed, about a fifth above the measured one: group, what is known, degree days above 0 and
# 4.4 °C from September to December [%], from last to first frost [%], in March and April [%], day of 5 °C [days],
# coldest month [°C], winter low [°C]
ALLOWED = [
    ("US", KNOWN[0], 8.5, 10.0, 6.9, 21.0, 6.5, 2.7, 3.0),
    ("US", KNOWN[1], 8.0, 9.0, 2.5, 19.0, 6.8, 2.7, 3.0),
    ("US", KNOWN[3], 5.2, 6.2, 2.5, 13.0, 5.3, 1.5, None),
    ("maritime", KNOWN[0], 7.0, 11.0, 11.5, 20.0, 13.0, 1.6, 2.4),
    ("maritime", KNOWN[1], 7.2, 10.0, 3.7, 19.0, 13.5, 1.3, 2.0),
    ("maritime", KNOWN[3], 5.8, 8.3, 3.6, 15.5, 9.5, 1.0, None),
    ("continental", KNOWN[0], 10.0, 12.0, 10.0, 39.0, 10.0, 3.5, 3.6),
    ("continental", KNOWN[1], 10.3, 12.5, 3.0, 39.0, 9.0, 3.1, 3.2),
    ("continental", KNOWN[3], 7.0, 8.5, 3.0, 30.0, 6.0, 2.1, None),
]
# as ALLOWED, with the longitude
ALLOWED_NEAR = [
    ("US", KNOWN[0], 7.3, 8.0, 5.8, 17.0, 5.9, 2.1, 2.2),
    ("US", KNOWN[3], 5.0, 6.0, 2.0, 11.5, 5.3, 1.2, None),
    ("maritime", KNOWN[0], 6.0, 9.2, 10.0, 16.5, 11.5, 1.4, 1.8),
    ("maritime", KNOWN[3], 5.2, 7.7, 3.1, 13.5, 9.5, 1.0, None),
    ("continental", KNOWN[0], 9.4, 11.2, 8.6, 21.0, 7.6, 2.6, 2.8),
    ("continental", KNOWN[3], 6.9, 8.4, 2.8, 19.5, 5.8, 1.6, None),
]
MEASURES = ("autumn_0", "autumn_4", "season", "spring_4", "cool_day", "coldest_c", "low_c")


@pytest.mark.parametrize(("model", "row"), [*((now, row) for row in ALLOWED), *((near, row) for row in ALLOWED_NEAR)],
                         ids=lambda of: of.__name__ if callable(of) else f"{of[0]} {of[1]}")
def test_errors_are_as_stated(model, row):
    """Each measure of each group, with what the grower gives, without the longitude and with it."""
    groups, known, *allowed = row
    for what, most in zip(MEASURES, allowed, strict=True):
        if most is not None:
            assert mean_off(model, known, groups, what) < most, what


@pytest.mark.parametrize("groups", ["US", "maritime", "continental"])
@pytest.mark.parametrize("known", KNOWN[:2], ids=str)
def test_nearer_than_a_single_cosine(groups, known):
    """With the same numbers: autumn, coldest month and the growing season itself. Autumns far from the sea and from
    America are no nearer with the warmest month (East Asia's fall faster, the Alps' too)."""
    for what in ("autumn_0", "autumn_4", "season", "coldest_c"):
        most = mean_off(before, known, groups, what)
        if (groups, known) == ("continental", KNOWN[1]) and what.startswith("autumn"):
            most *= 1.1
        assert mean_off(now, known, groups, what) < most, what


def months_off(model: Callable[[Place, Known], Year], known: Known) -> dict[str, float]:
    """Mean absolute error of the twelve monthly means by group. [°C]"""
    found: dict[str, list[float]] = {}
    for place in compared():
        year = model(place, known)
        means = month_means([year.tmean(day) for day in range(1, 366)])
        found.setdefault(group(place).split(",")[0], []).extend(
            abs(mean - true) for mean, true in zip(means, place.tmean_c, strict=True))
    return {name: fmean(errors) for name, errors in found.items()}


@pytest.mark.parametrize("known", KNOWN, ids=str)
def test_the_longitude_makes_months_surer_everywhere(known):
    """In every group, whatever else is known; a tenth and more where the winter low is not."""
    without, given = months_off(now, known), months_off(near, known)
    assert set(given) == {"US", "maritime", "continental"}
    for name, error in given.items():
        assert error < (1.0 if known.low else 0.9) * without[name], name


@pytest.mark.parametrize("known", KNOWN[:2], ids=str)
def test_the_winter_low_with_the_longitude_is_as_unsure_as_told(known):
    """Of all places three fifths within the told error, nine tenths within twice: a little surer than it is."""
    shares = [abs(year.winter_low_c - place.winter_low_c) / year.winter_low_error_c for place in compared()
              for year in [near(place, known)]]
    assert fmean(share < 1 for share in shares) > 0.6
    assert fmean(share < 2 for share in shares) > 0.9


@pytest.mark.parametrize(("name", "latitude", "longitude"), [
    ("milwaukee_wi_us", 42.955, -87.9), ("champion_ne_us", 40.4, -101.7), ("brussels_be", 50.8, 4.4),
    ("cordoba_southern", -31.4, -64.2)])
def test_the_longitude_brings_records_nearer(name, latitude, longitude):
    """Places that are not in the table: monthly means from three numbers and the longitude."""
    truth, _, _ = recorded(name, latitude)
    season = truth.season_at(date(2026, 6, 1))
    true = month_means(truth.tmean_c)
    off = [fmean(abs(mean - real) for mean, real in zip(month_means(climate_of(site(
        latitude, f"{season.last_frost:%m-%d}", f"{season.first_frost:%m-%d}", longitude=known)).tmean_c), true,
        strict=True)) for known in (None, longitude)]
    assert off[1] < off[0]
    assert off[1] < 1.7


def test_maritime_autumns_and_winters():
    """By the sea, with the winter low, half a single cosine's error in heat, two fifths in the coldest month."""
    for what, share in (("autumn_4", 0.5), ("coldest_c", 0.4)):
        assert mean_off(now, KNOWN[3], "maritime", what) < share * mean_off(before, KNOWN[1], "maritime", what)


@pytest.mark.parametrize("groups", ["US", "maritime", "continental"])
def test_without_bias(groups):
    """With the winter low and the warmest month no group comes out warm or cold by much; continental places by 6 %."""
    rows = [errors for name, found in table(now, KNOWN[3]).items() if name.startswith(groups) for _, errors in found]
    assert abs(fmean(errors.autumn_4 for errors in rows)) < 7
    assert abs(fmean(errors.season for errors in rows)) < 2
    assert abs(fmean(errors.coldest_c for errors in rows)) < 1.2


@pytest.mark.parametrize("known", KNOWN[:2], ids=str)
def test_the_winter_low_is_as_unsure_as_told(known):
    """Of all places two thirds within the told error, nineteen of twenty within twice."""
    shares = [abs(year.winter_low_c - place.winter_low_c) / year.winter_low_error_c for place in compared()
              for year in [now(place, known)]]
    assert fmean(share < 1 for share in shares) > 0.66
    assert fmean(share < 2 for share in shares) > 0.94


MIDLANDS = (4.0, 4.3, 6.2, 8.4, 11.4, 14.4, 16.6, 16.4, 14.0, 10.6, 7.0, 4.6)


def test_an_english_year():
    """English Midlands, from memory: within 0.8 °C in every month from five numbers, 1.7 °C without a
    winter low."""
    for low, most in ((-6.0, 0.8), (None, 1.7)):
        year = climate_of(site(52.6, "04-22", "11-04", warmest=16.9, winter_low=low))
        assert month_means(year.tmean_c) == pytest.approx(MIDLANDS, abs=most)
    assert -10 < climate_of(site(52.6, "04-22", "11-04", warmest=16.9)).winter_low_c < -6


# file, latitude, first and last day of its autumn and of the two months of spring
RECORDS = [("milwaukee_wi_us", 42.955), ("champion_ne_us", 40.4), ("brussels_be", 50.8), ("cordoba_southern", -31.4)]


@cache
def recorded(name: str, latitude: float) -> tuple[Climate, dict[tuple[int, int], float], float]:
    """The record's climate, its mean heat by month and base (tenths of °C), its warmest month."""
    recent = latest_years(record(name), 30)
    known = climate_of(site(latitude), record(name))
    starts = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365)
    days: dict[int, list[tuple[float, float]]] = {month: [] for month in range(12)}
    for _, index, low, high in days_of(recent):
        if low is not None and high is not None:
            days[next(month for month in range(12) if index < starts[month + 1])].append((low, high))
    heat = {(month, tenths): (starts[month + 1] - starts[month])
            * fmean(simple_average(low, high, tenths / 10) for low, high in found)
            for month, found in days.items() for tenths in (0, 44)}
    return known, heat, max(sum(month) / 2 for month in monthly_normals(recent))


def record_errors(name: str, latitude: float, known: Known) -> tuple[float, float, float, float]:
    """Autumn heat above 0 and 4.4 °C, heat in the two months of spring [%], coldest month [°C]."""
    truth, heat, warmest = recorded(name, latitude)
    season = truth.season_at(date(2026, 6, 1))
    guess = climate_of(site(latitude, f"{season.last_frost:%m-%d}", f"{season.first_frost:%m-%d}",
                            warmest=warmest if known.warmest else None,
                            winter_low=truth.winter_low_c if known.low else None))
    autumn, spring = ((9, 12), (3, 4)) if latitude > 0 else ((3, 6), (9, 10))
    found = []
    for (first, last), tenths in ((autumn, 0), (autumn, 44), (spring, 44)):
        true = sum(heat[month - 1, tenths] for month in range(first, last + 1))
        end = date(2026, last + 1, 1) if last < 12 else date(2027, 1, 1)
        found.append(100 * (guess.degree_days(date(2026, first, 1), end, tenths / 10) / true - 1))
    return found[0], found[1], found[2], min(month_means(guess.tmean_c)) - min(month_means(truth.tmean_c))


@pytest.mark.parametrize(("name", "latitude"), RECORDS)
def test_heat_of_records(name, latitude):
    """Four places that are not in the table, days counted: autumn within 7 % from five numbers, 13 % from three.

    Three numbers do not tell the lake's long season at Milwaukee from the sea's: its winter comes out 5 °C too warm.
    """
    both, none = (record_errors(name, latitude, known) for known in (KNOWN[3], KNOWN[0]))
    assert max(abs(both[0]), abs(both[1])) < 7
    assert abs(both[3]) < 3
    assert max(abs(none[0]), abs(none[1])) < 13
    assert abs(none[3]) < 6


def test_the_table_is_what_the_sources_give():
    """The shipped table row by row, and mean Tmin on frost dates."""
    fitted = [place for place in places() if place.use == "fit"]
    assert [place.name for place in PLACES] == [place.name for place in fitted]
    for shipped, place in zip(PLACES, fitted, strict=True):
        assert shipped.terms == pytest.approx(place.terms, abs=0.0051)
        assert (shipped.last_day, shipped.first_day) == place.season
        assert shipped.warmest_c == pytest.approx(max(place.tmean_c), abs=0.051)
    for shipped, found in zip((LAST_FROST_TMIN, FIRST_FROST_TMIN), frost_tmin(fitted), strict=True):
        assert (shipped.at_ten_c, shipped.by_mean, shipped.by_wave, shipped.by_range, shipped.error_c) == \
            pytest.approx(found, abs=0.0006)


LATITUDES = st.floats(-70, 70)
WARMEST = st.none() | st.floats(5, 33) | st.floats(9, 13)
LOWS = st.none() | st.floats(-70, 1) | st.floats(-2, 1)
LONGITUDES = st.none() | st.floats(-180, 180)


def accepted(latitude: float, last: int, days: int, warmest: float | None, low: float | None) -> bool:
    """Whether a site file with these may be built; what is wrong with the frost dates alone does not count."""
    faults = Faults()
    shift = SOUTHERN_SHIFT if latitude < 0 else 0
    frost = [f"{date(2001, 1, 1) + timedelta((day + shift - 1) % 365):%m-%d}" for day in (last, last + days)]
    for one in SITE_CHECKS:
        one(site(latitude, *frost, warmest=warmest, winter_low=low), faults)
    return not any(fault.where in ("winter-low", "warmest-month") for fault in faults.found)


@settings(max_examples=200, deadline=None)
@given(LATITUDES, st.integers(-65, 170), st.integers(14, 364), WARMEST, LOWS, LONGITUDES)
@example(41.62, 97, 165, 10.67, 0.88, None)
@example(41.12, 91, 96, 11.25, 1.0, None)
@example(40.17, 130, 100, 10.37, -0.95, None)
def test_a_day_is_a_small_step(latitude, last, days, warmest, low, longitude):
    """A frost date moved by a day moves no day of the year by more than 1.5 °C, nor does a tenth of a degree
    more of what else is known, wherever a site file is accepted. Steepest is the way from the sea to inland Alaska."""
    assume(accepted(latitude, last, days, warmest, low))
    known = {"warmest_c": warmest, "winter_low_c": low, "longitude_deg": longitude}
    year = most_likely_year(latitude, last, last + days, **known)
    moved = [most_likely_year(latitude, last + 1, last + days, **known),
             most_likely_year(latitude, last, last + days + 1, **known)]
    for day in range(1, 366, 14):
        assert all(abs(other.tmean(day) - year.tmean(day)) < 1.5 for other in moved)
        assert all(abs(other.tmin(day) - year.tmin(day)) < 1.5 for other in moved)
    finer = most_likely_year(latitude, last, last + days, warmest_c=None if warmest is None else warmest + 0.1,
                             winter_low_c=None if low is None else low + 0.1, longitude_deg=longitude)
    assert all(abs(finer.tmean(day) - year.tmean(day)) < 1.5 for day in range(1, 366, 14))


@settings(max_examples=80, deadline=None)
@given(LATITUDES, st.integers(-65, 170), st.integers(14, 364), WARMEST, LOWS, LONGITUDES)
def test_any_numbers_give_a_year(latitude, last, days, warmest, low, longitude):
    """One warm and one cold season, in bounds; the day's lowest below its highest."""
    assume(accepted(latitude, last, days, warmest, low))
    year = most_likely_year(latitude, last, last + days, warmest_c=warmest, winter_low_c=low, longitude_deg=longitude)
    means = [year.tmean(day) for day in range(1, 366)]
    assert -45 < min(means) < max(means) < 45
    assert all(1 < year.tmax(day) - year.tmin(day) < 40 for day in range(1, 366))


@pytest.mark.parametrize("known", KNOWN, ids=str)
def test_mean_lows_on_the_frost_dates(known):
    """At all compared places mean Tmin on the average frost dates is 2.5-8.5 °C, at nine in ten 3.5-7 °C.

    US 5.6 ± 1.3 °C on both (5,395 stations, own analysis of NOAA 1981-2010 normals), the Alps 3.5-3.9, the United
    Kingdom 3.1-4.3, Brussels 4.2-4.7 °C.
    """
    lows = []
    for place in compared():
        year = now(place, known)
        lows += [year.tmin(place.last), year.tmin(place.first)]
    assert min(lows) > 2.5
    assert max(lows) < 8.5
    assert fmean(3.5 <= low <= 7 for low in lows) > 0.9


def main() -> None:
    """Print the tables."""
    print("mean error | mean absolute error; degree days in %, days, °C\n")
    for known in KNOWN:
        models = [("before", before)] if not known.low else []
        for name, model in [*models, ("now", now), ("near", near)]:
            for key, rows in table(model, known).items():
                cells = []
                for what in MEASURES:
                    values = [getattr(errors, what) for _, errors in rows if getattr(errors, what) is not None]
                    if values:
                        cells.append(f"{what} {fmean(values):+5.1f} |{fmean(abs(value) for value in values):5.1f}")
                print(f"{known!s:16s}{name:7s}{key:23s}{len(rows):3d}  {'  '.join(cells)}")
                if "places" in sys.argv and name == "now":
                    for place, errors in rows:
                        print(f"    {place.name:28s}", errors)
    print("\nrecords: autumn above 0 and 4.4 °C, spring above 4.4 °C [%], coldest month [°C]")
    for name, latitude in RECORDS:
        for known in KNOWN:
            print(f"  {name:20s}{known!s:16s}", "  ".join(f"{value:+5.1f}" for value in
                                                         record_errors(name, latitude, known)))


if __name__ == "__main__":
    main()
