"""Collects the observations of a record while it is read, and refuses what cannot be daily temperatures in °C.

A fault that any line may have is shown for the first few lines and counted for the rest.
"""

from __future__ import annotations

from datetime import date, timedelta
from statistics import median
from typing import TYPE_CHECKING, Final

from calgen.climate.model import DailyRecord, YearOfDays
from calgen.climate.record import RECENT_YEARS, cold_seasons, is_southern, latest_years, monthly_normals
from calgen.problems import Faults, Place, Problem

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.climate.columns import Columns

SHOWN: Final = 5
HOTTEST_C: Final = 57.0
COLDEST_C: Final = -90.0
"""Records of the Earth are 56.7 °C and -89.2 °C. Source: WMO World Weather and Climate Extremes Archive."""
FEWEST_SEASONS: Final = 5
FEW_SEASONS: Final = 15
"""Judgement: below five no spread can be told; at fifteen a 1-in-10 date rests on one or two years."""
FIRST_YEAR: Final = 1650
LONGEST_YEARS: Final = 550
"""No thermometer record is older (central England from 1659, from memory)."""
MOST_READINGS: Final = 250_000
"""Lines with temperatures. A line a day makes 201,000 in ``LONGEST_YEARS``; GHCN-Daily, which has two a day, goes back
some 260 years (from memory), 190,000."""
_BOTH_GIVEN: Final = 2


class Observations:
    """Lowest and highest temperature by day, with the line each stood on."""

    def __init__(self, name: str, faults: Faults) -> None:
        self.name = name
        self.faults = faults
        self.decimals = False
        self.latitude_deg: float | None = None
        self._days: dict[date, tuple[float | None, float | None, int]] = {}
        self._station: str | None = None
        self._counts: dict[str, int] = {}
        self._readings = 0
        self._repeated = 0
        self._notes: list[Problem] = []

    def fault(self, kind: str, place: Place, what: str) -> None:
        """Report a fault of a line, the first few of its kind in full."""
        self._counts[kind] = self._counts.get(kind, 0) + 1
        if self._counts[kind] <= SHOWN:
            self.faults.add(place, "", what)

    def station(self, name: str, place: Place) -> None:
        """Note which station a line belongs to; one file holds one."""
        if self._station is None:
            self._station = name
        elif name != self._station:
            self.fault("station", place, f"belongs to station {name[:20]}, the lines above to {self._station[:20]}; "
                                         f"keep one station in a file")

    def add(self, day: date, low: float | None, high: float | None, line: int) -> None:
        """Add what a line says of a day; what another line said of it must not differ."""
        self._readings += 1
        if self._readings > MOST_READINGS:
            self.faults.add(Place(self.name, line), "", f"holds more than {MOST_READINGS:,} lines with temperatures: "
                                                        "more than any record; keep one station in a file")
            self.faults.stop_if_any()
        known_low, known_high, known_line = self._days.get(day, (None, None, line))
        for new, known in ((low, known_low), (high, known_high)):
            if new is not None and known is not None:
                self._repeated += 1
                if new != known:
                    self.fault("twice", Place(self.name, line),
                               f"{day} is given twice (first on line {known_line}) with other temperatures; "
                               f"delete one")
        self._days[day] = (known_low if low is None else low, known_high if high is None else high, known_line)

    def record(self, columns: Columns) -> DailyRecord:
        """Everything collected, as a record.

        Raises:
            InputError: a line was faulty, or the whole cannot be a daily record in °C of five cold seasons or more.
        """
        for kind, count in self._counts.items():
            if count > SHOWN:
                self.faults.add(Place(self.name), "", f"{count - SHOWN} more lines like these ({_KINDS[kind]})")
        self.faults.stop_if_any()
        self._scale(columns)
        for check in (self._any, self._possible, self._in_order, self._continuous):
            check()
            self.faults.stop_if_any()
        record = DailyRecord(self.name, self._years(), self.latitude_deg, ())
        self._long_enough(record)
        self.faults.stop_if_any()
        return DailyRecord(record.name, record.years, record.latitude_deg, tuple(self._notes))

    def _note(self, what: str, line: int = 1) -> None:
        self._notes.append(Problem(Place(self.name, line), "", what, "note"))

    def _scale(self, columns: Columns) -> None:
        if columns.shape == "plain" and not columns.fahrenheit:
            return
        if columns.shape == "plain":
            self._convert(lambda value: round((value - 32) / 1.8, 1))
        elif columns.shape == "long" or not self.decimals:
            highs = [high for _, high, _ in self._days.values() if high is not None]
            if columns.shape == "wide" and highs and max(highs) <= 134:
                self.faults.add(Place(self.name), "", f"TMAX never passes {max(highs):g}: whole °F, not the tenths of "
                                                      f"°C of GHCN-Daily; ask for the file in metric units")
                self.faults.stop_if_any()
            self._convert(lambda value: value / 10)

    def _convert(self, to_celsius: Callable[[float], float]) -> None:
        self._days = {day: (None if low is None else to_celsius(low), None if high is None else to_celsius(high), line)
                      for day, (low, high, line) in self._days.items()}

    def _any(self) -> None:
        lows = sum(low is not None for low, _, _ in self._days.values())
        highs = sum(high is not None for _, high, _ in self._days.values())
        if not lows or not highs:
            missing = "daily temperatures" if not lows and not highs else "lowest" if not lows else "highest"
            self.faults.add(Place(self.name), "", f"holds no {missing}{'' if not lows and not highs else ' ones'}")

    def _possible(self) -> None:
        values = [value for low, high, _ in self._days.values() for value in (low, high) if value is not None]
        odd = [(line, value) for low, high, line in self._days.values() for value in (low, high)
               if value is not None and not COLDEST_C <= value <= HOTTEST_C]
        if not odd:
            return
        if len(odd) > len(values) / 50:
            top, middle = max(values), median(values)
            if min(values) > 150 and top < 350:
                looks = f"temperatures lie about {middle:.0f}: this looks like kelvin; take 273.15 off"
            elif top <= 140:
                looks = (f"temperatures reach {top:g}: this looks like °F; name the columns tmin_f and tmax_f, "
                         f"or convert to °C")
            else:
                looks = f"temperatures reach {top:g}: this looks like tenths of a degree; divide by 10"
            self.faults.add(Place(self.name), "", looks)
            return
        for line, value in odd:
            self.fault("odd", Place(self.name, line), f"{value:g} °C is no air temperature of this Earth; "
                                                      f"correct it or leave it empty")

    def _in_order(self) -> None:
        both = [(day, low, high, line) for day, (low, high, line) in self._days.items()
                if low is not None and high is not None]
        wrong = [(day, line) for day, low, high, line in both if low > high]
        if not wrong:
            return
        if len(wrong) > len(both) / 2:
            self.faults.add(Place(self.name), "", "the lowest is above the highest on "
                            f"{len(wrong)} of {len(both)} days: the columns are swapped; change their names")
        elif len(wrong) > len(both) / 50:
            self.faults.add(Place(self.name, wrong[0][1]), "", "the lowest is above the highest here and on "
                            f"{len(wrong) - 1} other days; something is wrong with this record")
        else:
            for day, line in wrong:
                self._days[day] = (None, None, line)
            self._note(f"the lowest is above the highest on {_days(len(wrong))}; left out", wrong[0][1])

    def _continuous(self) -> None:
        first, last = min(self._days), max(self._days)
        if first.year < FIRST_YEAR or last.year > FIRST_YEAR + LONGEST_YEARS:
            self.faults.add(Place(self.name), "", f"runs from {first} to {last}; a date is wrong")
            return
        if self._repeated:
            self._note(f"{_days((self._repeated + 1) // _BOTH_GIVEN)} given twice, with the same temperatures")
        lows = sum(low is not None for low, _, _ in self._days.values())
        missing = (last - first).days + 1 - lows
        if missing:
            self._note(f"the lowest temperature is missing on {_days(missing)} between {first} and {last}")

    def _years(self) -> tuple[YearOfDays, ...]:
        years = []
        for year in range(min(self._days).year, max(self._days).year + 1):
            start, length = date(year, 1, 1), (date(year + 1, 1, 1) - date(year, 1, 1)).days
            pairs = [self._days.get(start + timedelta(n), (None, None, 0)) for n in range(length)]
            years.append(YearOfDays(year, tuple(low for low, _, _ in pairs), tuple(high for _, high, _ in pairs)))
        return tuple(years)

    def _long_enough(self, record: DailyRecord) -> None:
        try:
            monthly_normals(latest_years(record, RECENT_YEARS))
        except ValueError:
            self.faults.add(Place(self.name), "", f"a month has no day with both temperatures in the last "
                                                  f"{RECENT_YEARS} years of the record; whole years are needed")
            return
        seasons = len(cold_seasons(record, is_southern(record)))
        if seasons < FEWEST_SEASONS:
            self.faults.add(Place(self.name), "", f"holds {seasons} whole cold seasons (twelve months over a winter "
                            f"with at most 10 nights missing); {FEWEST_SEASONS} are needed")
        elif seasons < FEW_SEASONS:
            self._note(f"holds only {seasons} whole cold seasons: dates for rare frosts are rough")


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


_KINDS: Final = {"short": "too few fields", "date": "no date", "number": "no temperature", "station": "other station",
                 "twice": "given twice", "odd": "impossible temperature"}
