"""The figures of a daily record for people and for programs, with lines to paste into a site file."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

from calgen.climate.days import date_of
from calgen.climate.record import SOUTHERN_SHIFT_DAYS
from calgen.climate.summary import FrostRow, Span, Summary, summary

if TYPE_CHECKING:
    from calgen.climate.model import DailyRecord

_MONTHS: Final = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
                  "November", "December")
_COMMON_YEAR: Final = 2025
_PLOT_WIDTH: Final = 48
_MOST_WINTERS: Final = 0.5


def report_data(record: DailyRecord, latitude_deg: float | None = None) -> dict[str, Any]:
    """The figures as JSON-ready values (format 1).

    Dates of frost rows are MM-DD in the place's own calendar, means to the nearest day; ``days`` has them unrounded,
    counted from 1 January of the year of the growing season (below 1: before it, past 365: after New Year).
    ``recent`` repeats the figures for the last thirty years of a much longer record. ``site`` is YAML.

    Raises:
        InputError: the record's summer is that of the other half of the world.
    """
    figures = summary(record, latitude_deg)
    data = {
        "format": 1,
        "record": figures.name,
        "latitude": figures.latitude_deg,
        "south": figures.south,
        "years": [figures.first_year, figures.last_year],
        **_span_data(figures.whole, figures.south),
        "recent": None if figures.recent is figures.whole else _span_data(figures.recent, figures.south),
        "notes": [problem.what for problem in figures.notes],
        "site": site_lines(figures),
    }
    return data


def _span_data(span: Span, south: bool) -> dict[str, Any]:
    return {
        "seasons": [span.first_season, span.last_season],
        "frost": [_row_data(row, south) for row in span.frost],
        "normals": [{"month": month, "tmin_c": round(low, 2), "tmax_c": round(high, 2)}
                    for month, (low, high) in enumerate(span.normals_c, 1)],
        "warmest_month_c": round(span.warmest_month_c, 2),
        "winter_low": {"mean_c": round(span.winter_low_c, 2), "sd_c": round(span.winter_low_sd_c, 2),
                       "coldest_c": span.coldest_c},
        "degree_days": [{"base_c": row.base_c, "by_year": {str(year): round(heat) for year, heat in row.by_year}}
                        for row in span.heat],
    }


def _row_data(row: FrostRow, south: bool) -> dict[str, Any]:
    shift = SOUTHERN_SHIFT_DAYS if south else 0
    days = {"p10": row.p10, "p50": row.p50, "p90": row.p90, "mean": row.mean}
    return {
        "threshold_c": row.threshold_c,
        "season": row.season,
        **{name: None if day is None else f"{date_of(_COMMON_YEAR, round(day) + shift):%m-%d}"
           for name, day in days.items()},
        "sd": None if row.sd is None else round(row.sd, 1),
        "seasons": row.seasons,
        "with_frost": row.with_frost,
        "days": {name: None if day is None else round(day + shift, 1) for name, day in days.items()},
    }


def site_lines(figures: Summary) -> str:
    """YAML lines for a site file, from the recent figures."""
    span = figures.recent
    last, first = span.row("last-spring"), span.row("first-autumn")
    lines = [] if figures.latitude_deg is None else [f"latitude: {figures.latitude_deg:g}"]
    share = last.with_frost / last.seasons
    if last.p50 is None and share < _MOST_WINTERS and last.with_frost == 0:
        lines.append("frost: none")
    elif share < _MOST_WINTERS or last.p50 is None or first.p50 is None or last.sd is None or first.sd is None:
        return "\n".join([*lines, f"# frost in {last.with_frost} of {last.seasons} winters: the record knows the risk",
                          "climate:", f"  record: {json.dumps(figures.name)}"])
    else:
        spread = ((last.sd ** 2 + first.sd ** 2) / 2) ** 0.5
        lines += ["frost:", f"  last: {_day(last.p50, figures.south)}", f"  first: {_day(first.p50, figures.south)}",
                  f"  spread: {max(2, min(60, round(spread)))}"]
    lines += [f"winter-low: {span.winter_low_c:.1f}", f"warmest-month: {span.warmest_month_c:.1f}", "climate:",
              "  normals:"]
    lines += [f"    - [{low:.1f}, {high:.1f}]  # {month}"
              for month, (low, high) in zip(_MONTHS, span.normals_c, strict=True)]
    return "\n".join(lines)


def report_text(record: DailyRecord, latitude_deg: float | None = None) -> str:
    """The figures as text, with a small plot of the months, and lines to paste into a site file.

    Raises:
        InputError: the record's summer is that of the other half of the world.
    """
    figures = summary(record, latitude_deg)
    half = "southern" if figures.south else "northern"
    parts = [f"{figures.name}: {figures.first_year}-{figures.last_year}, {half} seasons"]
    parts += [f"note: {problem.what}" for problem in figures.notes]
    parts += ["", *_frost_lines(figures.whole, figures.south)]
    if figures.recent is not figures.whole:
        parts += ["", *_recent_lines(figures)]
    span = figures.recent
    parts += ["", f"Coldest night of a winter: {span.winter_low_c:.1f} °C on average (give or take "
                  f"{span.winter_low_sd_c:.1f}), {figures.whole.coldest_c:.1f} °C the lowest of the record."]
    parts += _heat_lines(span)
    parts += ["", f"Mean daily lowest and highest temperature, {_years(span)}:", *_month_lines(span)]
    advice = ["", "For the site file (or, for answers year by year, climate: {record: " + json.dumps(figures.name)
              + "}):", ""]
    return "\n".join([*parts, *advice, site_lines(figures)])


def _frost_lines(span: Span, south: bool) -> list[str]:
    lines = [f"Frost dates, {span.seasons} winters ({span.first_season}-{span.last_season}). Early and late: each in "
             f"1 year in 10 of those with such a night.", "",
             f"  {'night at or below':<20}{'winters':>9}   {'early':<9}{'middle':<9}{'late':<9}{'mean':<9}spread"]
    for season, title in (("last-spring", "last"), ("first-autumn", "first")):
        for row in (row for row in span.frost if row.season == season):
            early, late = (row.p90, row.p10) if season == "last-spring" else (row.p10, row.p90)
            words = [_short(day, south, row.with_frost) for day in (early, row.p50, late, row.mean)]
            spread = "" if row.sd is None else f"{row.sd:.0f} days"
            lines.append(f"  {f'{title} {row.threshold_c:g} °C':<20}{f'{row.with_frost} of {row.seasons}':>9}   "
                         + "".join(f"{word:<9}" for word in words) + spread)
    return [line.rstrip() for line in lines]


def _recent_lines(figures: Summary) -> list[str]:
    lines = []
    for season, name in (("last-spring", "last"), ("first-autumn", "first")):
        recent = next(row for row in figures.recent.frost if row.season == season)
        whole = next(row for row in figures.whole.frost if row.season == season)
        if recent.p50 is not None and whole.p50 is not None:
            moved = round(recent.p50 - whole.p50)
            words = "as in the whole record" if not moved else \
                f"{abs(moved)} day{'' if abs(moved) == 1 else 's'} {'later' if moved > 0 else 'earlier'}"
            lines.append(f"  {name} frost in the middle {_day(recent.p50, figures.south)}: {words}")
    return [f"The last {figures.recent.seasons} winters, used from here on:", *lines]


def _heat_lines(span: Span) -> list[str]:
    lines = []
    for row in span.heat:
        if len(row.by_year) > 1:
            ordered = sorted((heat, year) for year, heat in row.by_year)
            mean = sum(heat for heat, _ in ordered) / len(ordered)
            (low, low_year), (high, high_year) = ordered[0], ordered[-1]
            lines.append(f"Degree days above {row.base_c:g} °C in a year: {mean:.0f} on average, "
                         f"{low:.0f} ({low_year}) to {high:.0f} ({high_year}).")
    return lines


def _month_lines(span: Span) -> list[str]:
    lowest = 10 * int(min(low for low, _ in span.normals_c) // 10)
    highest = max(lowest + 10, -10 * int(-max(high for _, high in span.normals_c) // 10))

    def column(celsius: float) -> int:
        return round((celsius - lowest) / (highest - lowest) * _PLOT_WIDTH)

    scale = [" "] * (_PLOT_WIDTH + 4)
    for mark in range(lowest, highest + 1, 10):
        scale[column(mark):column(mark) + len(str(mark))] = str(mark)
    lines = [" " * 24 + "".join(scale).rstrip()]
    for month, (low, high) in zip(_MONTHS, span.normals_c, strict=True):
        bar = "".join("█" if column(low) <= at <= column(high) else "│" if at == column(0) and lowest <= 0 else " "
                      for at in range(_PLOT_WIDTH + 1))
        lines.append(f"  {month[:3]} {low:7.1f} {high:7.1f}   {bar.rstrip()}")
    return lines


def _years(span: Span) -> str:
    return f"{span.first_season}-{span.last_season}"


def _day(day: float, south: bool) -> str:
    found = date_of(_COMMON_YEAR, round(day) + (SOUTHERN_SHIFT_DAYS if south else 0))
    return f"{found.day} {_MONTHS[found.month - 1]}"


def _short(day: float | None, south: bool, with_frost: int) -> str:
    if day is None:
        return "rare" if with_frost else "none"
    number, month = _day(day, south).split()
    return f"{number} {month[:3]}"
