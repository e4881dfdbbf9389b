"""Dates keep to their language, whatever languages were asked for before."""

import subprocess
import sys
from datetime import date

import pytest
from babel.dates import format_date, format_interval, format_skeleton, get_month_names
from babel.numbers import format_decimal
from calgen.schedule.locale import known_locale, locale_of

# Short names of September and the fifth of it. Source: CLDR 47, dates/calendars/gregorian.
SEPTEMBER = {"he": "ספט׳", "fr": "sept.", "de": "Sep", "en_GB": "Sept", "en_US": "Sep", "ar": "سبتمبر", "pl": "wrz"}
DAY = date(2026, 9, 5)


@pytest.mark.parametrize("locales", [tuple(SEPTEMBER), tuple(reversed(SEPTEMBER))], ids=["he first", "he last"])
def test_months_do_not_leak_between_languages(locales: tuple[str, ...]) -> None:
    code = ("import sys\nfrom babel.dates import get_month_names\nfrom calgen.schedule.locale import locale_of\n"
            "for name in sys.argv[1:]:\n"
            "    print(get_month_names('abbreviated', 'stand-alone', locale=locale_of(name))[9])")
    run = subprocess.run([sys.executable, "-X", "utf8", "-c", code, *locales], capture_output=True, check=True)
    assert run.stdout.decode("utf-8").split() == [SEPTEMBER[name] for name in locales]


@pytest.mark.parametrize("name", sorted(SEPTEMBER))
def test_a_locale_of_its_own_says_what_babel_says(name: str) -> None:
    own = locale_of(name)
    assert format_date(DAY, "long", locale=own) == format_date(DAY, "long", locale=name)
    assert format_skeleton("MMMMd", DAY, locale=own) == format_skeleton("MMMMd", DAY, locale=name)
    assert format_interval(DAY, date(2026, 9, 20), "MMMd", locale=own) == \
        format_interval(DAY, date(2026, 9, 20), "MMMd", locale=name)
    assert format_decimal(1234.5, locale=own) == format_decimal(1234.5, locale=name)
    assert get_month_names("wide", locale=own)[1] == get_month_names("wide", locale=name)[1]


def test_a_language_without_rules_gets_british_dates() -> None:
    assert known_locale("tlh", "us") == "en_GB"
    assert known_locale("x", "metric") == "en_GB"
    assert known_locale("de-at", "metric") == "de_AT"
    assert known_locale("en", "us") == "en_US"
    with pytest.raises(ValueError, match="tlh"):
        locale_of("tlh")
