"""Text as typed -> numbers, dates, sizes. Each converter raises ``ValueError`` with the end of a sentence."""

from __future__ import annotations

import difflib
import re
from calendar import monthrange
from datetime import date
from typing import TYPE_CHECKING, Final

from calgen.site.model import WEEKDAYS, MonthDay, Size

if TYPE_CHECKING:
    from collections.abc import Callable

_NUMBER: Final = r"[-+]?[0-9]{1,6}(?:\.[0-9]{1,6})?"
_MONTHS: Final = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
                  "november", "december")
_ISO: Final = re.compile(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})")
_NUMBERS: Final = re.compile(r"([0-9]{1,2})([/.])([0-9]{1,2})\2([0-9]{4})")
_DAY_FIRST: Final = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?\.?\s+([A-Za-z]+)\.?(?:,?\s+([0-9]{4}))?")
_MONTH_FIRST: Final = re.compile(r"([A-Za-z]+)\.?\s+([0-9]{1,2})(?:st|nd|rd|th)?(?:,?\s+([0-9]{4}))?")
_AMBIGUOUS: Final = re.compile(r"[0-9]{1,4}[/.][0-9]{1,2}(?:[/.][0-9]{1,4})?\.?")
_METRES: Final = {"m": 1.0, "cm": 0.01, "ft": 0.3048, "in": 0.0254}
_AREA: Final = {"m2": 1.0, "m²": 1.0, "sqm": 1.0, "sq m": 1.0, "ft2": 0.09290304, "ft²": 0.09290304,
                "sq ft": 0.09290304, "sqft": 0.09290304}
_LITRES: Final = {"l": 1.0, "litre": 1.0, "litres": 1.0, "liters": 1.0, "gal": 3.785411784}
_GRAMS: Final = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
_POT_DEPTH_OF_WIDTH: Final = 0.85
FIRST_YEAR, LAST_YEAR = 1950, 2150


def _one_line(text: str) -> str:
    """Single spaces between words: patterns then have one way to match them, however many were typed."""
    return " ".join(text.split())


def plain_number(text: str) -> float:
    """A decimal number; a minus sign may be the typographic one."""
    tidy = _one_line(text).replace("−", "-")
    if not re.fullmatch(_NUMBER, tidy):
        raise ValueError("is not a number" + _number_hint(tidy))
    return float(tidy)


def _number_hint(text: str) -> str:
    if re.fullmatch(r"[-+]?[0-9]+,[0-9]+.*", text):
        return f"; write a point, as in {text.replace(',', '.', 1)}"
    if re.fullmatch(_NUMBER + r"\s*°?F", text):
        return "; write degrees Celsius: (F − 32) / 1.8"
    if re.fullmatch(_NUMBER + r"\s*°?\s*[NSns]", text):
        return "; write the number alone, south with a minus"
    return ""


def number(low: float, high: float, unit: str) -> Callable[[str], float]:
    """A converter for numbers within bounds; the unit may be written behind the number."""
    def convert(text: str) -> float:
        bare = re.sub(r"\s*(°|deg|degrees)?\s*(C|°C|days?|d)?\s*$", "", _one_line(text)) if unit else text
        value = plain_number(bare)
        if not low <= value <= high:
            raise ValueError(f"is out of range ({low:g} to {high:g} {unit})".rstrip(" )") + ")")
        return value
    return convert


def whole_number(low: int, high: int) -> Callable[[str], int]:
    """A converter for whole numbers within bounds."""
    def convert(text: str) -> int:
        if not re.fullmatch(r"[0-9]{1,6}", text.strip()):
            raise ValueError("is not a whole number")
        value = int(text)
        if not low <= value <= high:
            raise ValueError(f"is out of range ({low} to {high})")
        return value
    return convert


def yes_no(text: str) -> bool:
    """yes or no, in those words or as true and false."""
    answers = {"yes": True, "true": True, "no": False, "false": False}
    if _one_line(text).lower() not in answers:
        raise ValueError("is neither yes nor no")
    return answers[_one_line(text).lower()]


def one_of(*words: str) -> Callable[[str], str]:
    """A converter that knows only these words, whatever their case."""
    known = {word.casefold(): word for word in words}
    def convert(text: str) -> str:
        found = known.get(text.strip().casefold().replace("_", "-"))
        if found is None and "," in text:
            raise ValueError("is more than one; write a list in brackets, as in [one, two]")
        near = difflib.get_close_matches(text.strip().casefold(), known, 1, 0.75) if found is None else []
        if near:
            raise ValueError(f'is not known here; did you mean "{known[near[0]]}"?')
        if found is None:
            raise ValueError(f"is not known here; write {', '.join(words[:-1])} or {words[-1]}")
        return found
    return convert


def name_text(text: str) -> str:
    """A name in any script: one line, not empty, at most 80 characters."""
    tidy = " ".join(text.split())
    if not tidy:
        raise ValueError("is empty")
    if len(tidy) > 80:
        raise ValueError("is longer than 80 characters; shorten it")
    return tidy


def one_line(text: str) -> str:
    """A text typed over several lines, or with tabs, in one line; blanks at its ends stay."""
    return re.sub(r"\s*[\n\t]\s*", " ", text.rstrip("\n\t")) if "\n" in text or "\t" in text else text


def language_code(text: str) -> str:
    """A language, or one as a region writes it: ``de``, ``de-at``."""
    tidy = text.strip().lower()
    if not (2 <= len(tidy) <= 12 and tidy.replace("-", "").isalpha()):
        raise ValueError("is no language code; write en or de")
    return tidy


def _month(word: str) -> int:
    if len(word) >= 3:
        for number_, name in enumerate(_MONTHS, 1):
            if name.startswith(word.lower()) or (word.lower() == "sept" and number_ == 9):
                return number_
    raise ValueError(f'has no month "{word}"; write it out, as in 28 April')


def _parts(text: str) -> tuple[int | None, int, int]:
    tidy = " ".join(text.split())
    iso = _ISO.fullmatch(tidy)
    if iso:
        iso_year, month, day = (int(part) for part in iso.groups())
        if not 1 <= month <= 12 or not 1 <= day <= monthrange(iso_year or 1, month)[1]:
            raise ValueError("is not a date")
        return iso_year, month, day
    numbers = _NUMBERS.fullmatch(tidy)
    if numbers:
        one, other, written_year = int(numbers[1]), int(numbers[3]), int(numbers[4])
        if max(one, other) <= 31 and min(one, other) <= 12 < max(one, other):
            month, day = min(one, other), max(one, other)
            if day > monthrange(written_year or 1, month)[1]:
                raise ValueError("is not a date")
            return written_year, month, day
    if _AMBIGUOUS.fullmatch(tidy):
        raise ValueError("can be read in two ways; write the month as a word, as in 28 April")
    found = _DAY_FIRST.fullmatch(tidy)
    if found:
        day_text, word, year_text = found.groups()
    else:
        found = _MONTH_FIRST.fullmatch(tidy)
        if not found:
            raise ValueError("is not a date; write 2026-10-19 or 19 October 2026")
        word, day_text, year_text = found.groups()
    month, day = _month(word), int(day_text)
    year = int(year_text) if year_text else None
    if not 1 <= day <= monthrange(year or 2000, month)[1]:
        raise ValueError("is not a date")
    return year, month, day


def day_month(text: str) -> MonthDay:
    """A day of the year: ``28 April``, ``April 28``; a year is let be (``2026-04-28``)."""
    _, month, day = _parts(text)
    return MonthDay(month, day)


def full_date(text: str) -> date:
    """A date with its year: ``2026-10-19``, ``19 October 2026``, ``October 19, 2026``."""
    year, month, day = _parts(text)
    if year is None:
        raise ValueError("has no year; write it, as in 2026-10-19")
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise ValueError(f"lies outside {FIRST_YEAR} to {LAST_YEAR}")
    return date(year, month, day)


def month_year(text: str) -> date:
    """The first day of a month: ``September 2026`` or ``2026-09``."""
    tidy = " ".join(text.split())
    found = re.fullmatch(r"([A-Za-z]+)\.?,? ([0-9]{4})", tidy)
    if found:
        month, year = _month(found[1]), int(found[2])
    else:
        iso = re.fullmatch(r"([0-9]{4})-([0-9]{2})(?:-01)?", tidy)
        if not iso or not 1 <= int(iso[2]) <= 12:
            raise ValueError("is not a month; write September 2026")
        year, month = int(iso[1]), int(iso[2])
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise ValueError(f"lies outside {FIRST_YEAR} to {LAST_YEAR}")
    return date(year, month, 1)


def weekday(text: str) -> int:
    """A day of the week, Monday 0: ``Sat`` or ``Saturday``."""
    names = {name.casefold(): index for index, name in enumerate(WEEKDAYS)}
    key = text.strip().casefold()
    full = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
    if key not in full and key[:3] != key:
        raise ValueError("is no day of the week; write Sat or Saturday")
    if key[:3] not in names:
        raise ValueError("is no day of the week; write Sat or Saturday")
    return names[key[:3]]


def share(text: str) -> float:
    """A risk: ``1 in 5``, ``20 %`` or ``0.2``; between 1 in 100 and 1 in 2."""
    tidy = _one_line(text)
    odds = re.fullmatch(r"([0-9]{1,3})\s+in\s+([0-9]{1,3})", tidy)
    percent = re.fullmatch(r"([0-9]{1,2}(?:\.[0-9]+)?)\s*%", tidy)
    if odds and int(odds[2]):
        value = int(odds[1]) / int(odds[2])
    elif percent:
        value = float(percent[1]) / 100
    else:
        try:
            value = plain_number(tidy)
        except ValueError:
            raise ValueError("is not a risk; write 1 in 5") from None
    if not 0.01 <= value <= 0.5:
        raise ValueError("is out of range (1 in 100 to 1 in 2)")
    return value


def bed_size(text: str) -> Size:
    """Width by length: ``1.2 x 6 m``, ``4 x 20 ft``, ``120 cm x 6 m``. [m, m²]"""
    found = re.fullmatch(rf"({_NUMBER})\s*([a-z]+)?\s*[x×]\s*({_NUMBER})\s*([a-z]+)", _one_line(text).lower())
    if not found and re.fullmatch(rf"{_NUMBER}\s*[x×]\s*{_NUMBER}", _one_line(text).lower()):
        raise ValueError("has no unit; write 1.2 x 6 m or 4 x 20 ft")
    if not found or found[4] not in _METRES or (found[2] or found[4]) not in _METRES:
        raise ValueError("is not a size; write 1.2 x 6 m or 4 x 20 ft")
    width = plain_number(found[1]) * _METRES[found[2] or found[4]]
    length = plain_number(found[3]) * _METRES[found[4]]
    if not (0.1 <= width <= 200 and 0.1 <= length <= 500):
        raise ValueError("is out of range (0.1 to 500 m)")
    return Size(round(width * length, 4), max(width, length), min(width, length))


def bed_area(text: str) -> Size:
    """An area: ``7.2 m2``, ``80 sq ft``. [m²]"""
    found = re.fullmatch(rf"({_NUMBER})\s*([a-z²2 ]+)", _one_line(text).lower())
    if not found or found[2].strip() not in _AREA:
        raise ValueError("is not an area; write 7.2 m2 or 80 sq ft")
    area = plain_number(found[1]) * _AREA[found[2].strip()]
    if not 0.01 <= area <= 100_000:
        raise ValueError("is out of range (0.01 to 100000 m2)")
    return Size(area)


def pots(text: str) -> Size:
    """Number and volume: ``6 x 30 l``. Surface from the volume of a pot a little less deep than wide.

    A pot's surface in m² is ``π/4 · (4V / (π · 0.85))^(2/3)`` with V in m³ (depth 0.85 of the width: our judgement from
    ordinary nursery pots, whose depth runs from 0.8 to 0.95 of their width; the surface moves by 6 % within that).
    """
    found = re.fullmatch(rf"([0-9]{{1,4}})\s*[x×]\s*({_NUMBER})\s*([a-z]+)", _one_line(text).lower())
    if not found or found[3] not in _LITRES:
        raise ValueError("is not a number of pots; write 6 x 30 l")
    count, litres = int(found[1]), plain_number(found[2]) * _LITRES[found[3]]
    if not (1 <= count <= 5000 and 0.2 <= litres <= 2000):
        raise ValueError("is out of range (1 to 5000 pots of 0.2 to 2000 l)")
    width_m = (4 * litres / 1000 / (3.141592653589793 * _POT_DEPTH_OF_WIDTH)) ** (1 / 3)
    return Size(round(count * 3.141592653589793 / 4 * width_m**2, 4), pots=count, pot_litres=litres)


def seed_mass(text: str) -> float:
    """An amount of seed: ``120 g``, ``0.3 kg``, ``4 oz``, ``1 lb``. [g]"""
    found = re.fullmatch(rf"({_NUMBER})\s*([a-z]+)", _one_line(text).lower())
    if not found or found[2] not in _GRAMS:
        raise ValueError("is not an amount; write 120 g, 0.3 kg or 4 oz")
    grams = plain_number(found[1]) * _GRAMS[found[2]]
    if not 0 <= grams <= 100_000:
        raise ValueError("is out of range (0 to 100 kg)")
    return round(grams, 2)


def crop_and_beds(text: str) -> tuple[str, int]:
    """A crop's name and the number of beds: ``tomato 2 beds``, ``carrot 1 bed``, ``leek``."""
    found = re.fullmatch(r"(.*?\S)\s+([-+]?[0-9.]{1,9})(?:\s+beds?)?", " ".join(text.split()))
    if found:
        return found[1], bed_count(found[2])
    return name_text(text), 1


def bed_count(text: str) -> int:
    """A number of beds: ``2`` or ``2 beds``."""
    return whole_number(1, 1000)(re.sub(r"\s+beds?$", "", _one_line(text)))
