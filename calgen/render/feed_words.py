"""The words and colours of a calendar feed: English by default, replaced as a whole for another language.

``{...}`` in a text is filled in by ``filled``; a name it does not know stays as it is.
"""

from __future__ import annotations

import hashlib
import re
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from msgspec import Struct, field
from msgspec.structs import astuple

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

LAYOUT: Final = 1
ALL_COLOUR: Final = ("teal", "#008080")
COLOURS: Final[Mapping[str, tuple[str, str]]] = MappingProxyType({
    "order-seed": ("slategray", "#708090"),
    "sow": ("seagreen", "#2E8B57"),
    "undersow": ("mediumaquamarine", "#66CDAA"),
    "drill": ("olivedrab", "#6B8E23"),
    "sow-indoors": ("mediumpurple", "#9370DB"),
    "harden-off": ("steelblue", "#4682B4"),
    "plant": ("forestgreen", "#228B22"),
    "look": ("darkkhaki", "#BDB76B"),
    "top-up": ("yellowgreen", "#9ACD32"),
    "cut-down": ("firebrick", "#B22222"),
    "clear": ("sienna", "#A0522D"),
    "gather-seed": ("goldenrod", "#DAA520"),
    "mulch": ("peru", "#CD853F"),
})
"""Colour names of CSS 3, as RFC 7986 section 5.9 asks, each with its RGB value for ``X-APPLE-CALENDAR-COLOR``."""

_KINDS: Final = {
    "order-seed": "Seed to order",
    "sow": "Sowing",
    "undersow": "Undersowing",
    "drill": "Drilling between rows",
    "sow-indoors": "Sowing indoors",
    "harden-off": "Hardening off",
    "plant": "Planting",
    "look": "Looking over",
    "top-up": "Topping up",
    "cut-down": "Cutting down",
    "clear": "Clearing",
    "gather-seed": "Gathering seed",
    "mulch": "Mulching",
}
_MONTHS: Final = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
                  "November", "December")


class FeedWords(Struct, frozen=True):
    """Texts of a feed. ``kinds`` name each kind of job: the category of its entries and the end of its feed's name."""

    kinds: Mapping[str, str] = field(default_factory=lambda: dict(_KINDS))
    all_jobs: str = "All jobs"
    calendar: str = "{site} – {feed}"
    about: str = "Jobs for each bed, with window and last safe day. A calendar program may need to be told to ring."
    quantity: str = "How much: {quantity}"
    how: str = "How: {how}"
    why: str = "Why then: {why}"
    window: str = "Window: {first} to {last}"
    last_safe: str = "Last safe day: {day}"
    latest: str = "By: {day}"
    next_step: str = "Next: {next}"
    caution: str = "Take care: {caution}"
    plan_of: str = "As planned on {day}"
    done: str = "Done: {title}"
    last_call: str = "Last call: {title}, by {day}"
    week: str = "Jobs of this week: {count}"
    week_line: str = "{day}: {title}"
    week_line_until: str = "{day}: {title} (last safe day {latest})"
    silent: str = "No jobs left: {feed}"
    silent_text: str = "The plan of {day} has none. This entry keeps the calendar alive until it has one again."
    day: str = "{day} {month} {year}"
    day_of_year: str = "{day} {month}"
    months: tuple[str, ...] = _MONTHS

    def of_day(self, day: date, known_year: int | None = None) -> str:
        """A date in words, without its year where that is known."""
        pattern = self.day_of_year if day.year == known_year else self.day
        return filled(pattern, day=str(day.day), month=self.months[day.month - 1], year=str(day.year))


ENGLISH: Final = FeedWords()


def filled(text: str, **parts: str) -> str:
    """The text with each ``{name}`` replaced by its part, in one pass."""
    return re.sub(r"\{(\w+)\}", lambda found: parts.get(found[1], found[0]), text)


def fingerprint(words: FeedWords = ENGLISH) -> str:
    """Digest of the words and of the layout of entries, for ``remembered``: new wording then gets new stamps."""
    kinds, *rest = astuple(words)
    return hashlib.sha256(repr((LAYOUT, sorted(kinds.items()), rest)).encode()).hexdigest()[:16]
