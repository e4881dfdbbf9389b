"""When to sow, and the seed to have in hand, as tables."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from calgen.render.page.job_card import bed_link, fold, time
from calgen.render.page.markup import Html, capital, joined, plain_filled, tag

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.render.day import Days
    from calgen.render.page.words import PageWords
    from calgen.schedule.model import Schedule, SeedLine, WindowLine

GRAMS_IN_OUNCE: Final = 28.349523125  # international avoirdupois ounce, NIST Handbook 44, appendix C
OUNCES_IN_POUND: Final = 16


def window_tables(schedule: Schedule, days: Days, words: PageWords) -> Html:
    """Crops and covers apart, each in a fold: plant, how, first, best and last day, and why."""
    parts = []
    for kind, caption in (("crop", words.when_crops), ("cover", words.when_covers)):
        lines = [line for line in schedule.windows if line.kind == kind]
        if lines:
            rows = (_window(line, days, words) for line in lines)
            table = _table(caption, (words.plant, words.first, words.best, words.last, words.reason), rows)
            count = tag("span", plain_filled(words.when_count, count=str(len(lines))), class_="count")
            parts.append(fold(joined(caption, count), table))
    return joined(*parts)


def seed_table(schedule: Schedule, days: Days, words: PageWords) -> Html:
    """Plant, amount, day by which it is needed, beds."""
    rows = (_seed(line, schedule, days, words) for line in schedule.seeds)
    return _table(words.seed_caption, (words.plant, words.grams, words.by, words.where), rows)


def mass(grams: float, units: str, days: Days, words: PageWords) -> str:
    """Grams, kilograms, ounces or pounds, to about two figures."""
    if units == "us":
        ounces = grams / GRAMS_IN_OUNCE
        if ounces >= OUNCES_IN_POUND:
            return plain_filled(words.lb, number=days.number(ounces / OUNCES_IN_POUND, 1))
        return plain_filled(words.oz, number=days.number(ounces, 1 if ounces < 10 else 0))
    if grams >= 1000:
        return plain_filled(words.kg, number=days.number(grams / 1000, 1))
    return plain_filled(words.g, number=days.number(grams, 1 if grams < 10 else 0))


def _window(line: WindowLine, days: Days, words: PageWords) -> Html:
    season, method = words.seasons.get(line.season, line.season), words.methods.get(line.method, line.method)
    how = ", ".join(part for part in (season, method) if part)
    head = tag("th", tag("span", capital(line.label.name), dir="auto"), tag("span", how, class_="sub"), scope="row")
    return tag("tr", head, [tag("td", time(day, days.short(day))) for day in (line.first, line.best, line.last)],
               tag("td", line.why, dir="auto", class_="why"))


def _seed(line: SeedLine, schedule: Schedule, days: Days, words: PageWords) -> Html:
    amount = mass(line.grams, schedule.units, days, words) if line.grams > 0 else words.own_packet
    return tag("tr", tag("th", capital(line.label.name), scope="row", dir="auto"), tag("td", amount),
               tag("td", time(line.by, days.short(line.by))),
               tag("td", joined(*(bed_link(bed, schedule, words) for bed in line.beds), between=", ")))


def _table(caption: str, heads: Iterable[str], rows: Iterable[Html]) -> Html:
    return tag("div", tag("table", tag("caption", caption),
                          tag("thead", tag("tr", (tag("th", head, scope="col") for head in heads))),
                          tag("tbody", rows)),
               class_="table", role="region", tabindex=0, aria_label=caption)
