"""Dates and numbers on paper, in the forms of the Unicode locale data for the schedule's language."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Literal

from msgspec.structs import replace

from calgen.render.day import days_of, in_form
from calgen.schedule.locale import locale_of

if TYPE_CHECKING:
    from babel import Locale

    from calgen.render.fonts.face import Typesetter
    from calgen.schedule.model import Schedule

Form = Literal["MMMd", "yMMMd", "MMMEd", "yMMMM"]


def _locale(schedule: Schedule) -> Locale:
    return locale_of(days_of(schedule).locale)


def day(value: date, schedule: Schedule, form: Form = "MMMd") -> str:
    """A date in one of Unicode's skeleton forms: ``MMMd`` 21 Apr, ``MMMEd`` Sat 21 Apr, ``yMMMM`` April 2027."""
    return in_form(value, form, days_of(schedule).locale)


def long_day(value: date, schedule: Schedule) -> str:
    """A date in full: ``19 August 2026``."""
    from babel.dates import format_date  # noqa: PLC0415  heavy

    return str(format_date(value, "long", locale=_locale(schedule)))


def interval(first: date, last: date, schedule: Schedule) -> str:
    """From one day to another: ``12–26 Oct``, ``25 Oct – 19 Feb``."""
    from babel.dates import format_interval  # noqa: PLC0415  heavy

    if first.year == last.year:
        return str(format_interval(first, last, "MMMd", locale=_locale(schedule)))
    return f"{day(first, schedule)} – {day(last, schedule)}"


def month_name(value: date, schedule: Schedule, width: Literal["wide", "abbreviated", "narrow"]) -> str:
    """The name of a month standing alone."""
    from babel.dates import get_month_names  # noqa: PLC0415  heavy

    return str(get_month_names(width, context="stand-alone", locale=_locale(schedule))[value.month])


def number(value: float, schedule: Schedule, digits: int = 1) -> str:
    """A number with up to so many decimals, with the language's own decimal sign."""
    from babel.numbers import format_decimal  # noqa: PLC0415  heavy

    return str(format_decimal(round(value, digits), format="#,##0." + "#" * digits, locale=_locale(schedule)))


def with_drawable_dates(schedule: Schedule, typesetter: Typesetter) -> Schedule:
    """The schedule, its language English when no font has the letters of its month and weekday names."""
    forms: tuple[Form, ...] = ("MMMd", "MMMEd", "yMMMM")
    days = [date(2027, month, month) for month in range(1, 13)]
    names = [day(value, schedule, form) for value in days for form in forms]
    names += [month_name(value, schedule, "wide") for value in days]
    missing = [typesetter.drawable(name, "-") for name in names if not typesetter.covers(name)]
    return replace(schedule, language="en") if missing else schedule
