"""Cover windows from latitude and frost dates alone against published sowing dates.

Run it by itself for the tables: ``python tests/published/test_cover_windows.py [rows]``.

A published window is compared with the window of the same cover that fits it best. Rows with a last date only have no
overlap; for them the window whose end lies nearest counts. Dates are circular. Whole months are taken from their first
to their last day. The publications themselves differ: for one cover at one latitude by three weeks and more.
"""

from __future__ import annotations

import csv
import sys
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from statistics import median, quantiles
from typing import TYPE_CHECKING

import pytest
from calgen.climate.build import climate_of
from calgen.knowledge.read import read_knowledge
from calgen.planner.cover_window import cover_windows
from calgen.problems import Place
from calgen.site.model import ClimateInput, Frost, MonthDay, Site

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from calgen.knowledge.model import Cover
    from calgen.planner.model import Window

TABLE = Path(__file__).with_name("cover-windows.csv")
YEAR = 365


@dataclass(frozen=True)
class Row:
    """One published line; days of the year."""

    place: str
    latitude_deg: float
    last_frost: MonthDay
    first_frost: MonthDay
    cover: str
    first: int | None
    last: int | None
    source: str
    aside: str


@dataclass(frozen=True)
class Outcome:
    """How our window lies to a published one; errors in days, positive when ours is later."""

    row: Row
    ours: Window | None
    meets: bool | None
    start_error: int | None
    end_error: int | None


def rows() -> list[Row]:
    """All lines of the table, those set aside included."""
    lines = [line for line in TABLE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return [Row(line["place"], float(line["latitude"]), _month_day(line["last_frost"]),
                _month_day(line["first_frost"]), line["cover"], _day(line["from"]), _day(line["to"]), line["source"],
                line["aside"]) for line in csv.DictReader(lines)]


def outcomes(covers: Mapping[str, Cover], table: Iterable[Row]) -> Iterator[Outcome]:
    """Each line beside the window of ours that fits it best."""
    for row in table:
        climate = climate_of(_site(row))
        season = climate.season_at(date(2026, 12, 25) if row.latitude_deg < 0 else date(2027, 7, 1))
        yield _outcome(row, cover_windows(covers[row.cover], climate, season))


def _outcome(row: Row, windows: tuple[Window, ...]) -> Outcome:
    if not windows:
        return Outcome(row, None, False, None, None)
    printed = _days(row.first, row.last) if row.first is not None and row.last is not None else set()

    def fit(window: Window) -> tuple[float, int]:
        ours = _days(_number(window.first), _number(window.last))
        ends = ((window.first, row.first), (window.last, row.last))
        edges = [abs(_circular(_number(day), edge)) for day, edge in ends if edge is not None]
        return len(ours & printed) / len(ours | printed), -min(edges)

    best = max(windows, key=fit)
    start = None if row.first is None else _circular(_number(best.first), row.first)
    end = None if row.last is None else _circular(_number(best.last), row.last)
    meets = bool(_days(_number(best.first), _number(best.last)) & printed) if printed else None
    return Outcome(row, best, meets, start, end)


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


def _days(first: int, last: int) -> set[int]:
    return {(first + n) % YEAR for n in range((last - first) % YEAR + 1)}


def p90(values: Iterable[float]) -> float:
    """The value that nine in ten stay below."""
    listed = list(values)
    return quantiles(listed, n=10, method="inclusive")[-1] if len(listed) > 1 else listed[0]


def line(name: str, found: list[Outcome]) -> str:
    """One line of a table: how many meet, and the errors of both ends."""
    meets = [one.meets for one in found if one.meets is not None]
    cells = [f"{name[:40]:<40} {len(found):>4}", f"{sum(meets) / len(meets):>7.0%}" if meets else f"{'':>7}"]
    for errors in ([one.start_error for one in found], [one.end_error for one in found]):
        known = [error for error in errors if error is not None]
        cells.append(f"{median(map(abs, known)):>6.0f} {p90(map(abs, known)):>5.0f} {median(known):>+6.0f}"
                     if known else f"{'':>19}")
    return " ".join(cells)


def report(found: list[Outcome], by: Callable[[Outcome], str]) -> list[str]:
    """Lines by group, widest groups as they come, and all together."""
    groups: dict[str, list[Outcome]] = {}
    for one in found:
        groups.setdefault(by(one), []).append(one)
    head = f"{'':<40} {'rows':>4} {'overlap':>7} {'start: median p90 bias':>20} {'end: median p90 bias':>20}"
    return [head, *(line(name, group) for name, group in sorted(groups.items())), line("all", found)]


@pytest.fixture(scope="module")
def compared() -> list[Outcome]:
    return list(outcomes(read_knowledge().covers, (row for row in rows() if not row.aside)))


def test_few_rows_are_set_aside_and_each_says_why() -> None:
    aside = [row for row in rows() if row.aside]
    assert len(aside) <= 0.05 * len(rows())
    assert all(len(row.aside) > 20 for row in aside)


def test_nine_in_ten_windows_overlap_the_published_ones(compared: list[Outcome]) -> None:
    meets = [one.meets for one in compared if one.meets is not None]
    assert len(meets) >= 40
    assert sum(meets) / len(meets) >= 0.9


def test_the_last_safe_sowing_lies_within_nine_days_in_the_middle_case(compared: list[Outcome]) -> None:
    errors = [one.end_error for one in compared if one.end_error is not None]
    assert len(errors) >= 60
    assert median(map(abs, errors)) <= 9
    assert abs(median(errors)) <= 7, "nearly as often late as early"


def test_the_first_sowing_lies_within_three_weeks_in_the_middle_case(compared: list[Outcome]) -> None:
    errors = [one.start_error for one in compared if one.start_error is not None]
    assert median(map(abs, errors)) <= 21


def main(arguments: list[str]) -> None:
    """Print the tables."""
    knowledge = read_knowledge()
    found = list(outcomes(knowledge.covers, (row for row in rows() if not row.aside)))
    if "rows" in arguments:
        for one in found:
            mine = f"{one.ours.first:%m-%d} {one.ours.last:%m-%d} {one.ours.season}" if one.ours else "none"
            print(f"{one.row.place[:22]:<22} {one.row.cover:<20} {_shown(one.row.first)} {_shown(one.row.last)} | "
                  f"{mine:<24} {one.start_error!s:>5} {one.end_error!s:>5} {'' if one.meets is not False else 'NO'}")
    for by in (lambda one: one.row.place, lambda one: knowledge.covers[one.row.cover].kind,
               lambda one: one.row.cover):
        print(*report(found, by), sep="\n", end="\n\n")


def _shown(day: int | None) -> str:
    return f"{date.fromordinal(date(2027, 1, 1).toordinal() + day):%m-%d}" if day is not None else "  -  "


if __name__ == "__main__":
    main(sys.argv[1:])
