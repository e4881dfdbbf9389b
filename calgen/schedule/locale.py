"""Locales for dates and numbers, each with data of its own.

Babel (2.18 at least) puts what it looks up for one locale into data that it shares with others: after Hebrew, short
month names of French come out in Hebrew. A locale that works on a copy leaves the shared data as it came.
"""

from __future__ import annotations

from copy import deepcopy
from functools import cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from calgen.kept import kept

if TYPE_CHECKING:
    from babel import Locale
    from babel.localedata import LocaleDataDict

NOT_ASKED: Final = frozenset({"languages", "scripts", "territories", "variants", "currency_names", "unit_patterns",
                              "currency_names_plural", "currency_symbols", "compound_unit_patterns", "time_zones",
                              "meta_zones"})
"""Large parts of a locale that calgen never asks for; they are left out."""


@lru_cache(maxsize=32)
def locale_of(identifier: str) -> Locale:
    """The locale of an identifier such as ``de_AT``, to hand to Babel's functions.

    Raises:
        ValueError: it is no identifier, or Babel has no such locale (``babel.UnknownLocaleError`` is one).
    """
    from babel import Locale, UnknownLocaleError  # noqa: PLC0415  heavy

    class OwnLocale(Locale):
        """A locale on a copy of its data."""

        @cached_property
        def _data(self) -> LocaleDataDict:
            return _copied(str(self))

    try:
        parsed = Locale.parse(identifier)
    except UnknownLocaleError as error:
        raise ValueError(str(error)) from None
    return OwnLocale(parsed.language, parsed.territory, parsed.script, parsed.variant, parsed.modifier)


def _copied(identifier: str) -> LocaleDataDict:
    from babel import __version__, localedata  # noqa: PLC0415  heavy

    def copied() -> LocaleDataDict:
        name = identifier if localedata.exists(identifier) else identifier.partition("@")[0]
        return localedata.LocaleDataDict({key: deepcopy(part) for key, part in localedata.load(name).items()
                                          if key not in NOT_ASKED})

    return kept(f"locale-{identifier}", localedata.LocaleDataDict, [Path(__file__)], copied, __version__)


def known_locale(language: str, units: str) -> str:
    """The identifier of a language's locale; plain ``en`` is British with metric units and American with US ones.

    A language without known rules gets the British forms.
    """
    if language == "en":
        return "en_US" if units == "us" else "en_GB"
    try:
        return str(locale_of(language.replace("-", "_")))
    except ValueError:
        return "en_GB"
