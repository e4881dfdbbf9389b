"""Windows from latitude and frost dates alone against planting dates published for nine places.

Run it by itself for the tables: ``python tests/published/test_planting_windows.py [rows]``.

A published window is compared with the window of the same crop and method that fits it best. Publications divide the
year differently, so a window and the one that follows it without a gap may count as one, and season labels need not
agree (the share that does is printed). Dates are circular. Rows with a start or an end only have no overlap; a single
date must lie in the window; one month's list of what to plant says nothing about when planting begins or ends, so only
its overlap counts. Whole months are taken from first to last day, which makes errors up to a month too large.
"""

from __future__ import annotations

import csv
import sys
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from statistics import median, quantiles
from typing import TYPE_CHECKING

import pytest
from calgen.climate.build import climate_of
from calgen.knowledge.read import read_knowledge
from calgen.planner.crop_window import crop_windows
from calgen.problems import Place
from calgen.site.model import ClimateInput, Frost, MonthDay, Site

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from calgen.knowledge.model import Crop
    from calgen.planner.model import Window

TABLE = Path(__file__).with_name("planting-dates.csv")
YEAR = 365
A_DAY_IN_SUMMER = {False: date(2027, 7, 1), True: date(2026, 12, 25)}


@dataclass(frozen=True)
class Row:
    """One published line; days of the year."""

    place: str
    latitude_deg: float
    last_frost: MonthDay
    first_frost: MonthDay
    crop: str
    method: str
    season: str
    first: int | None
    last: int | None
    kind: str
    source: str
    aside: str

    def __str__(self) -> str:
        return f"{self.place}: {self.crop}, {self.method}, {self.season}"


@dataclass(frozen=True)
class Outcome:
    """How our window lies to a published one; errors in days, positive when ours is later."""

    row: Row
    ours: tuple[Window, ...]
    meets: bool | None
    start_error: int | None
    end_error: int | None


def rows() -> list[Row]:
    """All lines of the table, those set aside included."""
    lines = [line for line in TABLE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return [Row(line["place"], float(line["latitude"]), _month_day(line["last_frost"]),
                _month_day(line["first_frost"]), line["crop"], line["method"], line["season"],
                _day(line["from"]), _day(line["to"]), line["kind"], line["source"], line["aside"])
            for line in csv.DictReader(lines)]


def outcomes(crops: Mapping[str, Crop], table: Iterable[Row]) -> Iterator[Outcome]:
    """Each line beside the window of ours that fits it best."""
    known: dict[tuple[str, str], tuple[Window, ...]] = {}
    for row in table:
        if (row.place, row.crop) not in known:
            climate = climate_of(_site(row))
            season = climate.season_at(A_DAY_IN_SUMMER[row.latitude_deg < 0])
            known[row.place, row.crop] = crop_windows(crops[row.crop], climate, season)
        yield _outcome(row, known[row.place, row.crop])


def _outcome(row: Row, windows: tuple[Window, ...]) -> Outcome:
    candidates = list(_candidates(row, windows))
    if not candidates:
        return Outcome(row, (), False, None, None)
    printed = _days(row.first or row.last, row.last or row.first)

    def fit(part: tuple[Window, ...]) -> tuple[float, int]:
        ours = _span(part)
        near = min(abs(_circular(day, edge)) for day in (min(printed), max(printed))
                   for edge in (_number(part[0].first), _number(part[-1].last)))
        return len(ours & printed) / len(ours | printed), -near

    best = max(candidates, key=fit)
    start = None if row.first is None else _circular(_number(best[0].first), row.first)
    end = None if row.last is None else _circular(_number(best[-1].last), row.last)
    meets: bool | None = bool(_span(best) & printed)
    if row.kind in ("start", "end"):
        meets = None
    elif row.kind == "month-list":
        start = end = None
    elif row.kind == "single-date":
        start = None
    return Outcome(row, best, meets, start, end)


def _candidates(row: Row, windows: tuple[Window, ...]) -> Iterator[tuple[Window, ...]]:
    methods = {window.method for window in windows} - {"indoors"} if row.method == "any" else {row.method}
    for method in sorted(methods):
        mine = [window for window in windows if window.method == method]
        for index, window in enumerate(mine):
            yield (window,)
            chain = [window]
            for after in mine[index + 1:]:
                if (after.first - chain[-1].last).days > 1:
                    break
                chain.append(after)
                yield tuple(chain)


def _site(row: Row) -> Site:
    place = Place("published")
    return Site(row.place, "published", place, row.latitude_deg, None, None,
                Frost(row.last_frost, row.first_frost, None, place), None, None, ClimateInput(), "loam", "hand",
                "metric", (5, 6), 0.2, date(2026, 9, 1), ())


def _month_day(text: str) -> MonthDay:
    return MonthDay(int(text[:2]), int(text[3:]))


def _day(text: str) -> int | None:
    return _number(date(2027, int(text[:2]), int(text[3:]))) if text else None


def _number(day: date) -> int:
    return (day - date(day.year, 1, 1)).days % YEAR


def _circular(ours: int, printed: int) -> int:
    return (ours - printed + YEAR // 2) % YEAR - YEAR // 2


def _days(first: int | None, last: int | None) -> frozenset[int]:
    assert first is not None
    assert last is not None
    return frozenset((first + n) % YEAR for n in range((last - first) % YEAR + 1))


def _span(part: tuple[Window, ...]) -> frozenset[int]:
    length = (part[-1].last - part[0].first).days
    return frozenset(_number(part[0].first + timedelta(n)) for n in range(min(length, YEAR - 1) + 1))


def summary(found: list[Outcome]) -> dict[str, float]:
    """Overlap share, and median and 90th percentile of the size of the error at each end. [days]"""
    meets = [outcome.meets for outcome in found if outcome.meets is not None]
    starts = [abs(outcome.start_error) for outcome in found if outcome.start_error is not None]
    ends = [abs(outcome.end_error) for outcome in found if outcome.end_error is not None]
    return {"rows": len(found), "overlap": sum(meets) / len(meets) if meets else float("nan"),
            "start median": median(starts) if starts else float("nan"), "start p90": _p90(starts),
            "end median": median(ends) if ends else float("nan"), "end p90": _p90(ends)}


def _p90(errors: list[int]) -> float:
    return quantiles(errors, n=10, method="inclusive")[-1] if len(errors) > 1 else float("nan")


@pytest.fixture(scope="module")
def compared() -> list[Outcome]:
    return list(outcomes(read_knowledge().crops, [row for row in rows() if not row.aside]))


def test_at_most_one_row_in_twenty_is_set_aside_and_each_says_why() -> None:
    aside = [row for row in rows() if row.aside]
    assert len(aside) <= 0.05 * len(rows())
    assert all(len(row.aside) > 30 for row in aside)


def test_windows_overlap_the_published_ones(compared: list[Outcome]) -> None:
    assert summary(compared)["overlap"] >= 0.9


def test_median_error_of_the_start_is_at_most_ten_days(compared: list[Outcome]) -> None:
    assert summary(compared)["start median"] <= 10
    assert summary(compared)["start p90"] <= 40


def test_median_error_of_the_end_is_at_most_twelve_days(compared: list[Outcome]) -> None:
    assert summary(compared)["end median"] <= 12
    assert summary(compared)["end p90"] <= 45


@pytest.mark.parametrize("season", ["spring", "autumn"])
def test_no_season_is_shifted_as_a_whole(compared: list[Outcome], season: str) -> None:
    """The middle of the signed errors stays within a week at both ends."""
    of_season = [outcome for outcome in compared if outcome.row.season == season]
    assert abs(median(o.start_error for o in of_season if o.start_error is not None)) <= 7
    assert abs(median(o.end_error for o in of_season if o.end_error is not None)) <= 7


@pytest.mark.parametrize("place", ["Stillwater OK", "Salt Lake City UT", "Springfield IL", "Macon GA", "Lincoln NE",
                                   "Fargo ND", "Santa Rosa CA"])
def test_every_american_place_is_met(compared: list[Outcome], place: str) -> None:
    """The climate model was fitted to the United States: there nine windows in ten must overlap."""
    of_place = [outcome for outcome in compared if outcome.row.place == place]
    met = [outcome.meets for outcome in of_place if outcome.meets is not None]
    assert all(outcome.ours for outcome in of_place) or sum(bool(o.ours) for o in of_place) >= 0.9 * len(of_place)
    assert not met or sum(met) >= 0.9 * len(met)


def main(show_rows: bool) -> None:
    """Print the comparison by season, crop group and place."""
    crops = read_knowledge().crops
    found = list(outcomes(crops, [row for row in rows() if not row.aside]))
    groups: dict[str, Callable[[Outcome], str]] = {
        "all": lambda outcome: "all", "season": lambda outcome: outcome.row.season,
        "hardiness": lambda outcome: crops[outcome.row.crop].hardiness,
        "rotation group": lambda outcome: crops[outcome.row.crop].rotation_group,
        "place": lambda outcome: outcome.row.place, "kind": lambda outcome: outcome.row.kind}
    for title, key in groups.items():
        print(f"\n{title:32} rows  overlap   start error median, p90   end error median, p90")
        for name in sorted({key(outcome) for outcome in found}):
            part = summary([outcome for outcome in found if key(outcome) == name])
            print(f"  {name:30} {part['rows']:4.0f}  {part['overlap']:7.0%}   {part['start median']:12.0f} "
                  f"{part['start p90']:8.0f}   {part['end median']:14.0f} {part['end p90']:8.0f}")
    labelled = [outcome for outcome in found if outcome.ours]
    same = sum(outcome.row.season in {window.season for window in outcome.ours} for outcome in labelled)
    aside = sum(bool(row.aside) for row in rows())
    print(f"\nseason labels that agree: {same / len(labelled):.0%}; set aside: {aside} rows")
    if show_rows:
        for outcome in found:
            ours = f"{outcome.ours[0].first:%m-%d} to {outcome.ours[-1].last:%m-%d}" if outcome.ours else "none"
            print(f"{outcome.row!s:70} ours {ours}  {'' if outcome.meets is not False else 'NO OVERLAP'} "
                  f"{outcome.start_error} {outcome.end_error}")


if __name__ == "__main__":
    main(show_rows="rows" in sys.argv[1:])
