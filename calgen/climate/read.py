"""Reads a daily temperature record: the only place of this stage that opens a file.

Three shapes are known by their first line:

    plain      a date and the lowest and highest temperature in columns named so; °C, or °F if the names say so
    GHCN long  station, date, element, value, flags: one line for each element, tenths of °C (NOAA by-station files)
    GHCN wide  STATION, DATE, ..., TMAX, TMIN with their attributes: one line a day, tenths of °C (NOAA access files)

Values that NOAA's quality checks flagged are dropped. Lines are read one by one.
"""

from __future__ import annotations

import csv
import gzip
import zlib
from typing import TYPE_CHECKING, Final, TextIO

from calgen.climate.columns import Columns, columns_of
from calgen.climate.observation import Observations
from calgen.plainfile import NotPlainError, opened
from calgen.problems import Faults, Place

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from calgen.climate.model import DailyRecord

LONGEST_LINE: Final = 100_000
"""NOAA's widest files have lines of some two thousand characters."""
MOST_LINES: Final = 1_000_000
"""260 years, the longest series of GHCN-Daily (from memory), with ten elements a day."""
MOST_CHARACTERS: Final = 64_000_000
"""260 years of lines of 670 characters."""


def read_record(path: Path, shown: str | None = None) -> DailyRecord:
    """The daily record in a file, plain or gzip-compressed.

    Args:
        path: the file.
        shown: its name for places in messages; the path by default.

    Raises:
        InputError: the file cannot be read, is none of the shapes, or holds what cannot be daily temperatures in °C.
    """
    name = shown or str(path)
    faults = Faults()
    try:
        with _opened(path) as stream:
            return _record(stream, name, faults)
    except NotPlainError:
        faults.add(Place(name), "", "is no plain file; name a file of daily temperatures")
    except FileNotFoundError:
        faults.add(Place(name), "", "there is no such file")
    except IsADirectoryError:
        faults.add(Place(name), "", "is a folder; name the file in it")
    except UnicodeDecodeError:
        faults.add(Place(name), "", "is not UTF-8 text; save the table as CSV in UTF-8")
    except (EOFError, zlib.error, gzip.BadGzipFile):
        faults.add(Place(name), "", "is packed, and cut off or damaged; fetch it again")
    except OSError as error:
        faults.add(Place(name), "", f"cannot be read ({error.strerror or error.__class__.__name__})")
    faults.stop_if_any()
    raise AssertionError


def _opened(path: Path) -> TextIO:
    with opened(path) as stream:
        packed = stream.read(2) == b"\x1f\x8b"
    if packed:
        return gzip.open(path, "rt", encoding="utf-8-sig", newline="")
    return path.open(encoding="utf-8-sig", newline="")


def _record(stream: TextIO, name: str, faults: Faults) -> DailyRecord:
    lines = _Lines(stream)
    columns: Columns | None = None
    observations = Observations(name, faults)
    try:
        header = next((line for line in lines if line.strip()), "")
        delimiter = ";" if header.count(";") > header.count(",") else "\t" if "\t" in header else ","
        columns = columns_of(next(csv.reader([header], delimiter=delimiter), []), name, lines.number, faults)
        if columns is None:
            faults.stop_if_any()
            raise AssertionError
        if columns.headerless:
            lines.again(header)
        first = lines.number
        rows = csv.reader(lines, delimiter=delimiter)
        for row in rows:
            if row and any(row):
                columns.observe(row, lines.number, lines.last, observations, decimal_comma=delimiter == ";")
        if lines.number == first and not columns.headerless:
            faults.add(Place(name, lines.number), "", "holds no day below its first line")
    except csv.Error as error:
        faults.add(Place(name, lines.number), "", f"cannot be read as CSV ({error})")
        faults.stop_if_any()
    assert columns is not None
    return observations.record(columns)


class _Lines:
    """The lines of a stream with the number and text of the last one given out."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream
        self.number = 0
        self.characters = 0
        self.last = ""
        self.put_back: str | None = None

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        line = self.put_back or self.stream.readline(LONGEST_LINE)
        self.put_back = None
        if not line:
            raise StopIteration
        self.number += 1
        self.characters += len(line)
        if len(line) == LONGEST_LINE:
            raise csv.Error(f"a line of {LONGEST_LINE:,} characters or more")
        if self.number > MOST_LINES or self.characters > MOST_CHARACTERS:
            raise csv.Error(f"more than {MOST_LINES:,} lines or {MOST_CHARACTERS // 1_000_000} million characters; "
                            "keep one station in a file")
        self.last = line
        return line

    def again(self, line: str) -> None:
        """Give out this line once more."""
        self.put_back = line
        self.number -= 1
