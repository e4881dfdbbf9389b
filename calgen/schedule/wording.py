"""Sentences for people: a wording file's templates filled with facts, dates and numbers in the language's own form.

A template names its facts in braces: ``Sow {covers} – {bed}``. How a fact is shown follows from its name:

    ending        shown as                          example (metric / us)
    date, or a date itself                          12 October
    crop, covers, plants, next, standing, other     names of plants
    _mm, _cm      length                            15 mm / 0.6 in
    _m2           area                              7.2 m² / 78 sq ft
    _g            mass                              18 g / 0.6 oz
    _litres       volume                            540 l / 19 cu ft
    _c            temperature                       −4 °C / 25 °F
    _kg_ha        mass for a bed's area             3 g/m² / 1 oz/100 sq ft (10 kg/ha = 1 g/m²)
    _t_ha         mass for a bed's area             0.4 kg/m² / 8 lb/100 sq ft (10 t/ha = 1 kg/m²)
    _share        share of one                      60 %
    _chance       chance                            about 3 in 10
    _h            hours                             10.2 h
"""

from __future__ import annotations

import re
import string
from datetime import date
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct, field

from calgen.schedule.locale import known_locale, locale_of
from calgen.site.convert import one_line

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.knowledge.model import Knowledge, Names
    from calgen.planner.model import Fact, Reason

PLANT_FACTS: Final = frozenset({"crop", "crops", "cover", "covers", "plant", "plants", "next", "standing", "other",
                                "wanted", "before", "host", "member", "members", "later"})
LITTLE_SHARE: Final = 0.33
MINUS: Final = "\u2212"
LITRES_IN_GALLON: Final = 3.785411784
"""The US gallon of 231 cubic inches."""
_FORMATTER: Final = string.Formatter()


class Template(Struct, frozen=True):
    """A sentence with facts in braces, and the facts it names."""

    text: str
    facts: frozenset[str]


def template(text: str) -> Template:
    """The template of a text as written.

    Raises:
        ValueError: a brace is not closed, or something other than a plain fact name stands in braces.
    """
    names = set()
    text = one_line(text)
    try:
        for _, name, spec, conversion in _FORMATTER.parse(text):
            if name is None:
                continue
            if not name.replace("_", "").isalnum() or not name or name[0].isdigit() or spec or conversion:
                raise ValueError(f"has {{{name}}}; only the name of a fact can stand in braces")
            names.add(name)
    except ValueError as error:
        known = str(error).startswith("has {")
        raise ValueError(str(error) if known else "has a brace that is not closed; write {{ for a brace") from None
    return Template(text, frozenset(names))


@lru_cache(maxsize=512)
def _sentence(text: str) -> re.Pattern[str]:
    """The pattern of a sentence with facts, each fact as short as may be."""
    parts = (f"(?P<{part}>.+?)" if index % 2 else re.escape(part)
             for index, part in enumerate(re.split(r"\{(\w+)\}", text)))
    return re.compile("".join(parts))


class Wording(Struct, frozen=True):
    """All texts of one language, and the forms of its dates and numbers.

    ``jobs`` holds title, text and how by job and variant (``sow-cover.title``); ``reasons`` one sentence a key.
    ``told`` are sentences that climate and knowledge bring along in English; ``told_english`` the same in English, by
    which they are known. ``fixed`` holds each renderer's own words by the name of its section.
    """

    language: str
    jobs: Mapping[str, Template]
    reasons: Mapping[str, Template]
    words: Mapping[str, Template]
    plants: Mapping[str, str]
    short_plants: Mapping[str, str] = field(default_factory=dict)
    plant_codes: Mapping[str, str] = field(default_factory=dict)
    told: Mapping[str, Template] = field(default_factory=dict)
    told_english: Mapping[str, Template] = field(default_factory=dict)
    fixed: Mapping[str, Any] = field(default_factory=dict)

    def short_plant(self, plant: str, names: Names) -> str:
        """A plant's name for narrow bars in this language; the full one where the wording has no short one."""
        return self.short_plants.get(plant) or self.plants.get(plant) or names.short

    def said(self, english: str) -> str:
        """A sentence of climate or knowledge in this language; as it is where the wording does not have it."""
        for key, known in self.told_english.items():
            if found := _sentence(known.text).fullmatch(english):
                return self.told[key].text.format_map({name: self.said(part)
                                                       for name, part in found.groupdict().items()})
        return english

    def plant(self, plant: str, knowledge: Knowledge) -> str:
        """A plant's or mulch's name in this language."""
        if plant in self.plants:
            return self.plants[plant]
        found = knowledge.crops.get(plant) or knowledge.covers.get(plant) or knowledge.mulches.get(plant)
        return found.names.name if found else plant.replace("-", " ")

    def word(self, key: str) -> str:
        """A word or phrase without facts."""
        return self.words[key].text


class Speaker(Struct, frozen=True):
    """A wording at work for one site: its knowledge for names and its units."""

    wording: Wording
    knowledge: Knowledge
    units: str

    @property
    def locale(self) -> str:
        """The locale of dates and numbers."""
        return known_locale(self.wording.language, self.units)

    def day(self, day: date) -> str:
        """Day and month, as in ``12 October``."""
        return day_text(day, self.locale)

    def full_day(self, day: date) -> str:
        """Day, month and year."""
        return full_day_text(day, self.locale)

    def job(self, key: str, facts: Mapping[str, Fact]) -> str:
        """A text of a job, empty when the language has none under that key."""
        found = self.wording.jobs.get(key)
        return self._filled(found, facts) if found else ""

    def reason(self, reason: Reason) -> str:
        """The sentence of a reason; the halves of a key of two parts are joined by a semicolon.

        A purpose of which less than a third is given has a sentence of its own (``-little``), where there is one.
        """
        share = reason.facts.get("share")
        few = self.wording.reasons.get(f"{reason.key}-little")
        if few and isinstance(share, float) and share < LITTLE_SHARE:
            return self._filled(few, reason.facts)
        halves = [self.wording.reasons.get(part) or Template(part.replace("-", " "), frozenset())
                  for part in reason.key.split("|")]
        return self.wording.word("half-between").join(
            self._filled(half, reason.facts, capital=not index) for index, half in enumerate(halves))

    def bed_note(self, bed: str, reason: Reason) -> str:
        """A finding about a bed, with the bed's name; without one it is about the site."""
        if not bed:
            return self.reason(reason)
        return self.wording.words["bed-note"].text.format(bed=bed, text=self.reason(reason))

    def phrase(self, key: str, facts: Mapping[str, Fact] | None = None) -> str:
        """A phrase with facts."""
        return self._filled(self.wording.words[key], facts or {})

    def _filled(self, found: Template, facts: Mapping[str, Fact], *, capital: bool = True) -> str:
        shown = {name: self.shown(name, facts[name]) if name in facts else f"({name.replace('_', ' ')})"
                 for name in found.facts}
        for name, text in shown.items():
            number, _, unit = text.partition(" ")
            if name.startswith("low_") and unit and shown.get(f"high_{name[4:]}", "").endswith(f" {unit}"):
                shown[name] = number
        text = found.text.format_map(shown)
        return text[:1].upper() + text[1:] if capital else text

    def shown(self, name: str, fact: Fact) -> str:
        """A fact as text, by its kind and the ending of its name."""
        if isinstance(fact, date):
            return self.day(fact)
        if isinstance(fact, tuple):
            return self.listed(fact)
        if isinstance(fact, str):
            if name in PLANT_FACTS:
                return self.wording.plant(fact, self.knowledge)
            if name == "text":
                return self.wording.said(fact)
            return self.wording.words[f"fact-{fact}"].text if f"fact-{fact}" in self.wording.words and name != "bed" \
                else fact
        return self._number(name, float(fact))

    def listed(self, ids: tuple[str, ...]) -> str:
        """Plants joined as the language does."""
        names = [self.wording.plant(plant, self.knowledge) for plant in ids]
        if len(names) <= 1:
            return "".join(names)
        joined = self.wording.word("list-between").join(names[:-1])
        return f"{joined}{self.wording.word('list-last')}{names[-1]}"

    def _number(self, name: str, value: float) -> str:
        if name in ("year", "past"):
            return str(round(value))
        us = self.units == "us"
        for ending, show in _UNITS.items():
            if name.endswith(ending) or name == ending[1:]:
                return str(show(self, value, us))
        return self.plain(value, 0 if abs(value) >= 10 or value == int(value) else 1)

    def plain(self, value: float, places: int = 0) -> str:
        """A number in the language's form; what rounds to nothing has no minus. No line breaks behind a true minus."""
        return number_text(round(value, places) + 0.0, places, self.locale).replace("-", MINUS)

    def unit(self, value: float, places: int, unit: str) -> str:
        """A number with its unit."""
        return f"{self.plain(value, places)} {self.wording.word('unit-' + unit)}"

    def mass(self, grams: float, us: bool) -> str:
        """Grams, kilograms, ounces or pounds, to about two figures."""
        if us:
            ounces = grams / 28.349523125
            return self.unit(ounces / 16, 1, "lb") if ounces >= 16 else self.unit(ounces, 1 if ounces < 10 else 0, "oz")
        if grams >= 1000:
            return self.unit(grams / 1000, 1, "kg")
        return self.unit(grams, 1 if grams < 10 else 0, "g")

    def length(self, millimetres: float, us: bool) -> str:
        """Millimetres below 5 cm, else centimetres, as on a grower's rule; inches."""
        if us:
            inches = millimetres / 25.4
            return self.unit(inches, 1 if inches < 3 else 0, "in")
        tidy = tidy_mm(millimetres)
        return self.unit(tidy, 0, "mm") if tidy < 50 else self.unit(tidy / 10, 0, "cm")

    def volume(self, litres: float, us: bool) -> str:
        """Litres to two figures, or cubic feet."""
        if us:
            feet = litres / 28.316846592
            return self.unit(feet, 1 if feet < 10 else 0, "cuft")
        return self.unit(round(litres, -1) if litres >= 100 else litres, 0, "l")

    def pot(self, litres: float, us: bool) -> str:
        """What a pot holds, in litres or US gallons."""
        size, unit = (litres / LITRES_IN_GALLON, "gal") if us else (litres, "l")
        return self.unit(size, 0 if abs(size - round(size)) < 0.05 else 1, unit)

    def chance(self, share: float) -> str:
        """A chance in tenths, in words."""
        tenths = min(max(round(share * 10), 0), 10)
        if tenths in (0, 10):
            return self.wording.word("chance-none" if tenths == 0 else "chance-all")
        return self.wording.words["chance"].text.format(n=tenths)


def tidy_mm(millimetres: float) -> float:
    """A length as it can be told off by eye: to 5 mm from 15 mm on, to 5 cm from 40 cm on. [mm]"""
    step = 1 if millimetres < 15 else 5 if millimetres < 50 else 10 if millimetres < 400 else 50
    return round(millimetres / step) * step


def _temperature(speaker: Speaker, value: float, us: bool) -> str:
    return speaker.unit(value * 9 / 5 + 32, 0, "f") if us else speaker.unit(value, 0 if value == int(value) else 1, "c")


_UNITS: Final[Mapping[str, Any]] = {
    "_g_m2": lambda speaker, value, us: speaker.unit(value / 3.0515, 1, "oz100") if us
    else speaker.unit(value, 1 if value < 10 else 0, "gm2"),
    "_kg_ha": lambda speaker, value, us: speaker.unit(value / 30.515, 1, "oz100") if us
    else speaker.unit(value / 10, 1 if abs(value) < 100 else 0, "gm2"),
    "_t_ha": lambda speaker, value, us: speaker.unit(value * 2.04816, 0, "lb100") if us
    else speaker.unit(value / 10, 1, "kgm2"),
    "_mm": lambda speaker, value, us: speaker.length(value, us),
    "_cm": lambda speaker, value, us: speaker.length(value * 10, us),
    "_m2": lambda speaker, value, us: speaker.unit(value / 0.09290304, 0, "sqft") if us
    else speaker.unit(value, 1 if value < 20 else 0, "m2"),
    "pot_litres": lambda speaker, value, us: speaker.pot(value, us),
    "_litres": lambda speaker, value, us: speaker.volume(value, us),
    "_g": lambda speaker, value, us: speaker.mass(value, us),
    "_c": _temperature,
    "_share": lambda speaker, value, us: speaker.unit(round(value * 20) * 5, 0, "percent"),
    "_chance": lambda speaker, value, us: speaker.chance(value),
    "_h": lambda speaker, value, us: speaker.unit(value, 1, "h"),
}


@lru_cache(maxsize=4096)
def day_text(day: date, locale: str) -> str:
    """Day and month, as in ``12 October``; the day order is the language's."""
    from babel.dates import format_skeleton  # noqa: PLC0415  heavy

    return format_skeleton("MMMMd", day, locale=locale_of(locale))


@lru_cache(maxsize=4096)
def full_day_text(day: date, locale: str) -> str:
    """Day, month and year."""
    from babel.dates import format_date  # noqa: PLC0415  heavy

    return format_date(day, format="long", locale=locale_of(locale))


@lru_cache(maxsize=4096)
def number_text(value: float, places: int, locale: str) -> str:
    """A decimal number with the language's separator."""
    from babel.numbers import format_decimal  # noqa: PLC0415  heavy

    pattern = "#,##0" + ("." + "0" * places if places else "")
    return format_decimal(value, format=pattern, locale=locale_of(locale))
