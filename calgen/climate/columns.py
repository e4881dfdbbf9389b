"""Where date, lowest and highest temperature stand in the lines of a record, by its first line."""

from __future__ import annotations

import csv
import re
from datetime import date
from typing import TYPE_CHECKING, Final, Literal

from msgspec import Struct

from calgen.problems import Faults, Place

if TYPE_CHECKING:
    from collections.abc import Sequence

    from calgen.climate.observation import Observations

Shape = Literal["plain", "long", "wide"]
_DATE: Final = re.compile(r"(\d{4})-?(\d{2})-?(\d{2})")
_NUMBER: Final = re.compile(r"[+-]?\d+(\.\d*)?|[+-]?\.\d+")
_MISSING: Final = frozenset({"", "-", "--", "na", "n/a", "nan", "null", "none", "m", "-9999", "9999", "-999", "-99.9",
                             "-999.9", "-9999.0", "-999.0"})
_STATION: Final = re.compile(r"[A-Z]{2}[A-Z0-9_-]{9}")


class Columns(Struct, frozen=True):
    """The shape of a record and the positions of its fields in a line, counted from nought."""

    shape: Shape
    names: tuple[str, ...]
    date: int
    low: int
    high: int
    station: int | None = None
    latitude: int | None = None
    low_flags: int | None = None
    high_flags: int | None = None
    fahrenheit: bool = False
    headerless: bool = False

    def observe(self, row: Sequence[str], number: int, line: str, into: Observations, *, decimal_comma: bool) -> None:
        """Hand one line's temperatures to the observations, or report what is wrong with it.

        In the long shape ``low`` is the element's column and ``high`` its value's.
        """
        if len(row) <= max(self.date, self.low, self.high):
            into.fault("short", Place(into.name, number), f"has {len(row)} of {len(self.names)} fields")
            return
        if self.shape == "long" and row[self.low] not in ("TMIN", "TMAX"):
            return
        day = _day(row[self.date])
        if day is None:
            into.fault("date", Place(into.name, number, _column(line, row, self.date)),
                       f'"{row[self.date][:30]}" is not a date; write 2025-12-31')
            return
        if self.station is not None:
            into.station(row[self.station].strip(), Place(into.name, number))
        if self.shape == "long":
            low_at = high_at = self.high
            want_low, want_high = row[self.low] == "TMIN", row[self.low] == "TMAX"
        else:
            low_at, high_at, want_low, want_high = self.low, self.high, True, True
        temperatures: list[float | None] = [None, None]
        for kind, (want, at, flags) in enumerate(((want_low, low_at, self.low_flags),
                                                  (want_high, high_at, self.high_flags))):
            if not want or self._rejected(row, flags):
                continue
            text = row[at].strip()
            if decimal_comma:
                text = text.replace(",", ".")
            if text.lower() in _MISSING:
                continue
            if not _NUMBER.fullmatch(text):
                into.fault("number", Place(into.name, number, _column(line, row, at)),
                           f'"{row[at][:30]}" is no temperature; leave the field empty where nothing was observed')
                continue
            into.decimals = into.decimals or "." in text
            temperatures[kind] = float(text)
        if self.latitude is not None and _NUMBER.fullmatch(degrees := row[self.latitude].strip()):
            into.latitude_deg = float(degrees) if abs(float(degrees)) <= 90 else None
        into.add(day, temperatures[0], temperatures[1], number)

    def _rejected(self, row: Sequence[str], flags: int | None) -> bool:
        """Whether a quality check failed: the long shape's QFLAG, the second of the wide shape's attributes."""
        if flags is None or flags >= len(row):
            return False
        if self.shape == "long":
            return bool(row[flags].strip())
        marks = row[flags].split(",")
        return len(marks) > 1 and bool(marks[1].strip())


def columns_of(header: Sequence[str], name: str, number: int, faults: Faults) -> Columns | None:
    """The columns by the record's first line, or None after reporting what is wrong with it."""
    names = tuple(field.strip().lower().replace("-", "_").replace(" ", "_") for field in header)
    if not any(names):
        faults.add(Place(name), "", "the file is empty")
        return None
    found = _long(header, names) or _wide(names) or _plain(names)
    if found is None:
        faults.add(Place(name, number), "", _what_is_expected(header))
        return None
    twice = next((names[at] for at in (found.date, found.low, found.high)
                  if not found.headerless and names.count(names[at]) > 1), None)
    if twice:
        faults.add(Place(name, number), "", f'the column "{twice}" is given twice')
        return None
    return found


def _long(header: Sequence[str], names: tuple[str, ...]) -> Columns | None:
    if len(header) >= 6 and _STATION.fullmatch(header[0].strip()) and _day(header[1]) and len(header[2]) == 4:
        return Columns("long", names, 1, 2, 3, station=0, low_flags=5, high_flags=5, headerless=True)
    element, value, day = (_position(names, *wanted) for wanted in (
        ("element",), ("value", "data_value"), ("date", "year/month/day")))
    if element is None or value is None or day is None:
        return None
    flags = _position(names, "qflag", "q_flag")
    return Columns("long", names, day, element, value, low_flags=flags, high_flags=flags,
                   station=_position(names, "id", "station"))


def _wide(names: tuple[str, ...]) -> Columns | None:
    station, day, low, high = (_position(names, wanted) for wanted in ("station", "date", "tmin", "tmax"))
    if station is None or day is None or low is None or high is None:
        return None
    return Columns("wide", names, day, low, high, station=station, latitude=_position(names, "latitude"),
                   low_flags=_position(names, "tmin_attributes"), high_flags=_position(names, "tmax_attributes"))


def _plain(names: tuple[str, ...]) -> Columns | None:
    for unit in ("", "_c", "_f"):
        day, low, high = (_position(names, wanted) for wanted in ("date", "tmin" + unit, "tmax" + unit))
        if day is not None and low is not None and high is not None:
            return Columns("plain", names, day, low, high, fahrenheit=unit == "_f")
    return None


def _what_is_expected(header: Sequence[str]) -> str:
    if _day(header[0]):
        return "the first line holds data; put a line with date,tmin,tmax above it"
    found = ", ".join(field.strip()[:20] for field in header[:6]) + (", …" if len(header) > 6 else "")
    return (f"expected the columns date, tmin, tmax (°C; tmin_f, tmax_f for °F) or a NOAA GHCN-Daily file; "
            f"found {found}")


def _position(names: Sequence[str], *wanted: str) -> int | None:
    return next((names.index(one) for one in wanted if one in names), None)


def _day(text: str) -> date | None:
    match = _DATE.fullmatch(text.strip())
    if not match:
        return None
    try:
        return date(*(int(part) for part in match.groups()))
    except ValueError:
        return None


def _column(line: str, row: Sequence[str], position: int) -> int:
    """Column of a field in its line, counted from one; commas within quotes are the fields' own."""
    delimiter = ";" if ";" in line and len(next(csv.reader([line]), [])) < len(row) else "\t" if "\t" in line else ","
    column, quoted, seen = 1, False, 0
    for at, character in enumerate(line, 1):
        if seen == position:
            break
        quoted ^= character == '"'
        if character == delimiter and not quoted:
            seen += 1
            column = at + 1
    return column
