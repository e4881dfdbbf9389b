"""Dates and numbers in the schedule's language, short enough for lists."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from msgspec import Struct

from calgen.schedule.locale import known_locale, locale_of
from calgen.schedule.wording import day_text, full_day_text, number_text

if TYPE_CHECKING:
    from datetime import date

    from calgen.schedule.model import Schedule


class Days(Struct, frozen=True):
    """How a locale writes days, months and numbers."""

    locale: str
    right_to_left: bool = False

    def day(self, day: date) -> str:
        """Day and month, as in ``5 September``."""
        return day_text(day, self.locale)

    def short(self, day: date) -> str:
        """Day and month, short, as in ``5 Sept``."""
        return in_form(day, "MMMd", self.locale)

    def full(self, day: date) -> str:
        """Day, month and year, as in ``5 September 2026``."""
        return full_day_text(day, self.locale)

    def weekday(self, day: date) -> str:
        """Weekday, day and month, all short, as in ``Sat 5 Sept``."""
        return in_form(day, "MMMEd", self.locale)

    def month(self, day: date) -> str:
        """A month's short name."""
        return in_form(day, "MMM", self.locale)

    def number(self, value: float, places: int = 0) -> str:
        """A decimal number."""
        return number_text(round(value, places), places, self.locale)


def days_of(schedule: Schedule) -> Days:
    """The days of a schedule's language and units."""
    return _days(schedule.language, schedule.units)


@lru_cache(maxsize=64)
def _days(language: str, units: str) -> Days:
    locale = known_locale(language, units)
    return Days(locale, locale_of(locale).character_order == "right-to-left")


@lru_cache(maxsize=4096)
def in_form(day: date, skeleton: str, locale: str) -> str:
    """A day in one of Unicode's skeleton forms."""
    from babel.dates import format_skeleton  # noqa: PLC0415  heavy

    return format_skeleton(skeleton, day, locale=locale_of(locale))
