"""Dates as people write them in the grower's language, by the Unicode locale data in babel."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from datetime import date


@cache
def _locale(language: str, units: str) -> Any:
    from babel import Locale, UnknownLocaleError

    if language in ("", "en"):
        return Locale.parse("en_US" if units == "us" else "en_GB")
    try:
        return Locale.parse(language.replace("-", "_"))
    except (UnknownLocaleError, ValueError):
        return _locale("en", units)


Form = Literal["MMMd", "yMMMd", "MMMEd", "yMMMM"]


def day(value: date, language: str, units: str, form: Form = "MMMd") -> str:
    """A date in one of Unicode's skeleton forms: ``MMMd`` 21 Apr, ``MMMEd`` Sat 21 Apr, ``yMMMM`` April 2027."""
    from babel.dates import format_skeleton

    return str(format_skeleton(form, value, locale=_locale(language, units)))


def long_day(value: date, language: str, units: str) -> str:
    """A date in full: ``19 August 2026``."""
    from babel.dates import format_date

    return str(format_date(value, "long", locale=_locale(language, units)))


def interval(first: date, last: date, language: str, units: str) -> str:
    """From one day to another: ``12–26 Oct``, ``25 Oct – 19 Feb``."""
    from babel.dates import format_interval

    if first.year == last.year:
        return str(format_interval(first, last, "MMMd", locale=_locale(language, units)))
    return f"{day(first, language, units)} – {day(last, language, units)}"


def month_name(value: date, language: str, units: str, width: Literal["wide", "abbreviated", "narrow"]) -> str:
    """The name of a month standing alone."""
    from babel.dates import get_month_names

    return str(get_month_names(width, context="stand-alone", locale=_locale(language, units))[value.month])


def number(value: float, language: str, units: str, digits: int = 1) -> str:
    """A number with up to so many decimals, with the language's own decimal sign."""
    from babel.numbers import format_decimal

    return str(format_decimal(round(value, digits), format="#,##0." + "#" * digits, locale=_locale(language, units)))
