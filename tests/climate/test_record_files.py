"""Daily records as people and weather services write them, and every way they come broken.

A record is written out here from a made-up climate (a cosine with a little noise), not from any station.
"""

from __future__ import annotations

import gzip
import random
from datetime import date, timedelta
from math import cos, pi
from typing import TYPE_CHECKING

import pytest
from calgen.climate.read import read_record
from calgen.problems import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path


def days(years: int = 8, south: bool = False) -> list[tuple[date, float, float]]:
    """Date, lowest, highest from 1 January 2001, in tenths of °C."""
    noise = random.Random(1)
    found = []
    day = date(2001, 1, 1)
    while day.year < 2001 + years:
        phase = 2 * pi * ((day - date(day.year, 1, 1)).days - 200) / 365
        mean = 10 + (-10 if south else 10) * cos(phase) + noise.gauss(0, 3)
        found.append((day, round(mean - 5, 1), round(mean + 5, 1)))
        day += timedelta(1)
    return found


def plain(rows: Iterable[tuple[date, float, float]], header: str = "date,tmin,tmax") -> list[str]:
    return [header, *(f"{day},{low},{high}" for day, low, high in rows)]


def written(folder: Path, lines: Iterable[str], name: str = "nights.csv") -> Path:
    path = folder / name
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def refusal(path: Path) -> list[str]:
    """The lines a user sees, with the file's name alone."""
    with pytest.raises(InputError) as caught:
        read_record(path, "nights.csv")
    return [str(problem) for problem in caught.value.problems]


def temperatures(record) -> list[tuple[float | None, float | None]]:
    return [pair for year in record.years for pair in zip(year.tmin_c, year.tmax_c, strict=True)]


EXPECTED = [(low, high) for _, low, high in days()]
HIGHEST = max(high for _, high in EXPECTED)


@pytest.mark.parametrize("lines", [
    plain(days()),
    plain(days(), "date,tmin_c,tmax_c"),
    plain(days(), "Date, TMIN, TMAX"),
    plain(reversed(days())),
    ["tmax,site,date,tmin", *(f"{high},home,{day},{low}" for day, low, high in days())],
    ["date;tmin;tmax", *(f"{day};{low};{high}".replace(".", ",") for day, low, high in days())],
    ["date\ttmin\ttmax", *(f"{day}\t{low}\t{high}" for day, low, high in days())],
    ['"date","tmin","tmax"', *(f'"{day:%Y%m%d}","{low}","{high}"' for day, low, high in days()), ""],
], ids=["tmin", "tmin_c", "capitals", "backwards", "other columns", "semicolons", "tabs", "quoted"])
def test_plain_shapes(tmp_path, lines):
    """The same days however they are laid out."""
    record = read_record(written(tmp_path, lines))
    assert temperatures(record) == EXPECTED
    assert [year.year for year in record.years] == list(range(2001, 2009))


def test_byte_order_mark_and_windows_lines(tmp_path):
    """As spreadsheet programs save it."""
    path = tmp_path / "nights.csv"
    path.write_bytes(b"\xef\xbb\xbf" + "\r\n".join(plain(days())).encode())
    assert temperatures(read_record(path)) == EXPECTED


def test_fahrenheit_by_name(tmp_path):
    """Columns named tmin_f and tmax_f are converted: 28 °F is -2.2 °C."""
    rows = [(day, round(1.8 * low + 32), round(1.8 * high + 32)) for day, low, high in days()]
    record = read_record(written(tmp_path, plain(rows, "date,tmin_f,tmax_f")))
    assert {low for low, _ in temperatures(record)} & {-2.2}
    assert all(abs(one - other) <= 0.35 for pair, other_pair in zip(temperatures(record), EXPECTED, strict=True)
               for one, other in zip(pair, other_pair, strict=True))


def long_lines(rows) -> list[str]:
    """NOAA GHCN-Daily by-station shape: one line an element, the elements one after another."""
    header = "ID,DATE,ELEMENT,VALUE,MFLAG,QFLAG,SFLAG,OBSTIME"
    return [header,
            *(f"USW00099999,{day:%Y%m%d},TMAX,{round(10 * high)},,,0,2400" for day, _, high in rows),
            *(f"USW00099999,{day:%Y%m%d},TMIN,{round(10 * low)},,,0,2400" for day, low, _ in rows),
            *(f"USW00099999,{day:%Y%m%d},PRCP,25,T,,0,2400" for day, _, _ in rows)]


def wide_lines(rows) -> list[str]:
    """NOAA GHCN-Daily access shape: quoted and padded, attributes beside each value."""
    header = '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","TMAX","TMAX_ATTRIBUTES","TMIN",' \
             '"TMIN_ATTRIBUTES"'
    return [header, *(f'"USW00099999","{day}","42.955","-87.9","204.2","SOMEWHERE, XX US",'
                      f'"{round(10 * high):5}",",,0","{round(10 * low):5}",",,0"' for day, low, high in rows)]


@pytest.mark.parametrize("lines", [
    long_lines(days()),
    long_lines(days())[1:],
    [long_lines(days())[0].replace("VALUE", "DATA_VALUE").replace("QFLAG", "Q_FLAG"), *long_lines(days())[1:]],
    wide_lines(days()),
], ids=["long", "long without a header", "long, newer names", "wide"])
def test_noaa_shapes(tmp_path, lines):
    """Tenths of °C in both published shapes."""
    assert temperatures(read_record(written(tmp_path, lines))) == EXPECTED


def test_noaa_latitude_is_kept(tmp_path):
    """The access files carry the place."""
    assert read_record(written(tmp_path, wide_lines(days()))).latitude_deg == 42.955


def test_gzip(tmp_path):
    """As NOAA packs its by-station files."""
    path = tmp_path / "nights.csv.gz"
    path.write_bytes(gzip.compress("\n".join(long_lines(days())).encode()))
    assert temperatures(read_record(path)) == EXPECTED


@pytest.mark.parametrize(("shape", "good", "bad"), [
    (long_lines, "USW00099999,20030701,TMIN,", "USW00099999,20030701,TMIN,-400,,I,0,2400"),
    (wide_lines, '"USW00099999","2003-07-01"', '"USW00099999","2003-07-01","42.9","-87.9","204","X","300",",,0",'
                                                '" -400",",I,0"'),
])
def test_values_that_failed_a_quality_check_are_dropped(tmp_path, shape, good, bad):
    """A July night of -40 °C with a quality flag leaves a gap, not a frost."""
    lines = [bad if line.startswith(good) else line for line in shape(days())]
    record = read_record(written(tmp_path, lines))
    assert record.years[2].tmin_c[181] is None
    assert any("missing on 1 day" in note.what for note in record.notes)


def changed(index: int, line: str) -> list[str]:
    lines = plain(days())
    lines[index] = line
    return lines


@pytest.mark.parametrize("latitude", ["52.5", " 52.5\x1e", "", "north", "91", "9" * 400, "nan", "-"])
def test_a_latitude_that_cannot_be_is_passed_over(tmp_path, latitude):
    """The access files of GHCN-Daily repeat it on every line; blanks of every sort are taken off."""
    lines = [line.replace('"42.955"', f'"{latitude}"') for line in wide_lines(days())]
    record = read_record(written(tmp_path, lines))
    assert record.latitude_deg == (52.5 if "52.5" in latitude else None)


BROKEN = [
    ("empty", [""], ["nights.csv:1:1: the file is empty"]),
    ("header only", ["date,tmin,tmax"], ["nights.csv:1:1: holds no day below its first line"]),
    ("wrong columns", ["day,low,high", "2001-01-01,1,2"], [
        "nights.csv:1:1: expected the columns date, tmin, tmax (°C; tmin_f, tmax_f for °F) or a NOAA GHCN-Daily file; "
        "found day, low, high"]),
    ("no header", plain(days())[1:], [
        "nights.csv:1:1: the first line holds data; put a line with date,tmin,tmax above it"]),
    ("column twice", ["date,tmin,tmax,tmin", "2001-01-01,1,2,3"], [
        'nights.csv:1:1: the column "tmin" is given twice']),
    ("date", changed(2, "2/1/2001,1.0,2.0"), ['nights.csv:3:1: "2/1/2001" is not a date; write 2025-12-31']),
    ("impossible date", changed(60, "2001-02-30,1.0,2.0"), [
        'nights.csv:61:1: "2001-02-30" is not a date; write 2025-12-31']),
    ("words", changed(2, "2001-01-02,1.0,warm"), [
        'nights.csv:3:16: "warm" is no temperature; leave the field empty where nothing was observed']),
    ("short line", changed(2, "2001-01-02,1.0"), ["nights.csv:3:1: has 2 of 3 fields"]),
    ("one impossible value", changed(200, "2001-07-19,14.0,83.0"), [
        "nights.csv:201:1: 83 °C is no air temperature of this Earth; correct it or leave it empty"]),
    ("a day twice", [*plain(days()), "2001-01-05,0.0,9.9"], [
        "nights.csv:2924:1: 2001-01-05 is given twice (first on line 6) with other temperatures; delete one"]),
    ("Fahrenheit", plain((day, round(1.8 * low + 32), round(1.8 * high + 32)) for day, low, high in days()), [
        f"nights.csv:1:1: temperatures reach {1.8 * HIGHEST + 32:.0f}: this looks like °F; name the "
        "columns tmin_f and tmax_f, or convert to °C"]),
    ("tenths", plain((day, round(10 * low), round(10 * high)) for day, low, high in days()), [
        f"nights.csv:1:1: temperatures reach {10 * HIGHEST:.0f}: this looks like tenths of a degree; divide by 10"]),
    ("kelvin", plain((day, low + 273.2, high + 273.2) for day, low, high in days()), [
        "nights.csv:1:1: temperatures lie about 283: this looks like kelvin; take 273.15 off"]),
    ("swapped", plain((day, high, low) for day, low, high in days()), [
        "nights.csv:1:1: the lowest is above the highest on 2922 of 2922 days: the columns are swapped; change their "
        "names"]),
    ("partly swapped", plain((day, high, low) if day.month == 3 else (day, low, high) for day, low, high in days()), [
        "nights.csv:61:1: the lowest is above the highest here and on 247 other days; something is wrong with this "
        "record"]),
    ("too few years", plain(days(5)), [
        "nights.csv:1:1: holds 4 whole cold seasons (twelve months over a winter with at most 10 nights missing); 5 "
        "are needed"]),
    ("gappy", plain(row for row in days() if row[0].day % 2), [
        "nights.csv:1:1: holds 0 whole cold seasons (twelve months over a winter with at most 10 nights missing); 5 "
        "are needed"]),
    ("no highest", plain((day, low, "") for day, low, _ in days()), ["nights.csv:1:1: holds no highest ones"]),
    ("a slip in a year", [*plain(days()), "1001-01-05,0.0,9.9"], [
        "nights.csv:1:1: runs from 1001-01-05 to 2008-12-31; a date is wrong"]),
    ("an end of time", [*plain(days()), "9999-12-31,0.0,9.9"], [
        "nights.csv:1:1: runs from 2001-01-01 to 9999-12-31; a date is wrong"]),
    ("two stations", [*long_lines(days()), "USW00011111,20090101,TMIN,5,,,0,2400"], [
        "nights.csv:8768:1: belongs to station USW00011111, the lines above to USW00099999; keep one station in a "
        "file"]),
    ("access file in °F", [line.replace('"  ', '"') for line in wide_lines(
        (day, round(0.18 * low + 3.2, 1), round(0.18 * high + 3.2, 1)) for day, low, high in days())], [
        f"nights.csv:1:1: TMAX never passes {1.8 * HIGHEST + 32:.0f}: whole °F, not the tenths of °C of GHCN-Daily; "
        "ask for the file in metric units"]),
]


@pytest.mark.parametrize(("lines", "expected"), [case[1:] for case in BROKEN], ids=[case[0] for case in BROKEN])
def test_broken_records(tmp_path, lines, expected):
    """Every fault has its place and says what to do; nothing is computed from it."""
    assert refusal(written(tmp_path, lines)) == expected


def test_many_faulty_lines_are_counted(tmp_path):
    """The first five in full, then their number."""
    lines = ["date,tmin,tmax", *(f"{day},x,{high}" for day, _, high in days())]
    shown = refusal(written(tmp_path, lines))
    assert len(shown) == 6
    assert "nights.csv:1:1: 2917 more lines like these (no temperature)" in shown
    assert "nights.csv:4:12: \"x\" is no temperature; leave the field empty where nothing was observed" in shown


def test_files_that_cannot_be_read(tmp_path):
    """No traceback for a missing file, a folder, other text or a broken archive."""
    assert refusal(tmp_path / "none.csv") == ["nights.csv:1:1: there is no such file"]
    assert refusal(tmp_path) == ["nights.csv:1:1: is a folder; name the file in it"]
    latin = tmp_path / "latin.csv"
    latin.write_bytes("date,tmin,tmax\n2001-01-01,1,2 °".encode("latin-1"))
    assert refusal(latin) == ["nights.csv:1:1: is not UTF-8 text; save the table as CSV in UTF-8"]
    packed = tmp_path / "cut.csv.gz"
    packed.write_bytes(gzip.compress("\n".join(plain(days())).encode())[:900])
    assert refusal(packed) == ["nights.csv:1:1: is packed, and cut off or damaged; fetch it again"]
    nul = tmp_path / "nul.csv"
    nul.write_bytes(b"date,tmin,tmax\n2001-01-01,1,2\x00\n")
    assert len(refusal(nul)) == 1


TOO_LARGE = {
    "short lines": (b"date,tmin,tmax\n" + b"\n" * 1_000_000,
                    "nights.csv:1000001:1: cannot be read as CSV (more than 1,000,000 lines or 64 million characters; "
                    "keep one station in a file)"),
    "long lines": (b"date,tmin,tmax\n" + (b"2001-01-01,1.0,2.0" + b" " * 90_000 + b"\n") * 720,
                   "nights.csv:712:1: cannot be read as CSV (more than 1,000,000 lines or 64 million characters; "
                   "keep one station in a file)"),
    "one day over and over": (b"date,tmin,tmax\n" + b"2001-01-01,1.0,2.0\n" * 250_001,
                              "nights.csv:250002:1: holds more than 250,000 lines with temperatures: more than any "
                              "record; keep one station in a file"),
    "one line": (b"date,tmin,tmax\n" + b"2" * 100_000,
                 "nights.csv:2:1: cannot be read as CSV (a line of 100,000 characters or more)"),
}


@pytest.mark.parametrize(("name", "packed"), [*((name, False) for name in TOO_LARGE), ("short lines", True)])
def test_more_than_any_record_holds_is_refused(tmp_path, name, packed):
    """Without reading it to its end, also where a small archive swells to it."""
    data, expected = TOO_LARGE[name]
    path = tmp_path / "nights.csv"
    path.write_bytes(gzip.compress(data, 1) if packed else data)
    assert refusal(path) == [expected]


NOTED = [
    ("gap", [line for line in plain(days()) if not line.startswith("2003-05-0")],
     "the lowest temperature is missing on 9 days between 2001-01-01 and 2008-12-31"),
    ("blank", [line if not line.startswith("2003-05-01") else "2003-05-01,,20.0" for line in plain(days())],
     "the lowest temperature is missing on 1 day between 2001-01-01 and 2008-12-31"),
    ("missing code", [line if not line.startswith("2003-05-01") else "2003-05-01,-99.9,20.0" for line in plain(days())],
     "the lowest temperature is missing on 1 day between 2001-01-01 and 2008-12-31"),
    ("same day twice", [*plain(days()), plain(days())[5]], "1 day given twice, with the same temperatures"),
    ("one day swapped", changed(100, "2001-04-10,15.0,5.0"), "the lowest is above the highest on 1 day; left out"),
    ("few years", plain(days()), "holds only 7 whole cold seasons: dates for rare frosts are rough"),
]


@pytest.mark.parametrize(("lines", "expected"), [case[1:] for case in NOTED], ids=[case[0] for case in NOTED])
def test_findings_that_do_not_stop(tmp_path, lines, expected):
    """Noted, and the rest of the record is used."""
    record = read_record(written(tmp_path, lines))
    assert expected in [note.what for note in record.notes]
    assert all(note.level == "note" for note in record.notes)


def test_real_records_read_whole(recorded):
    """Milwaukee has 87 years and eight months; its coldest night was -26 °F on 17 January 1982 (from memory)."""
    record = recorded("milwaukee_wi_us")
    assert (record.years[0].year, record.years[-1].year) == (1938, 2025)
    assert record.years[1982 - 1938].tmin_c[16] == -32.2
