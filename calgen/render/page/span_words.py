"""Spans and frost bands in words: the text alternative of the year, and the list on each bed's card."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from calgen.render.page.markup import capital, plain_filled
from calgen.schedule.model import Label

if TYPE_CHECKING:
    from datetime import date

    from calgen.render.day import Days
    from calgen.render.page.words import PageWords
    from calgen.schedule.model import Band, BedSchedule, Schedule, Span


class SpanWords(Struct, frozen=True):
    """Says what stands where, when."""

    schedule: Schedule
    days: Days
    words: PageWords

    def look(self, span: Span) -> str:
        """The kind of thing a span is: the key of its tint and hatch."""
        return (span.does or "other") if span.kind == "cover" else span.kind

    def label(self, span: Span) -> Label:
        """The names of a span as they begin a line."""
        return Label(capital(span.label.name), capital(span.label.short), capital(span.label.code))

    def what(self, span: Span) -> str:
        """The plants and the kind of thing, once where they are the same."""
        kind, what = self.words.looks[self.look(span)], capital(span.label.name)
        if span.kind == "bare" or what.lower() == kind.lower():
            return what
        return plain_filled(self.words.span, what=what, kind=kind)

    def when(self, span: Span) -> str:
        """Its dates; with the year where they lie beyond the plan."""
        first, last = self._day(span.start), self._day(span.to)
        if span.start < self.schedule.start:
            return plain_filled(self.words.before, first=first, last=last)
        if span.to > self.schedule.end:
            return plain_filled(self.words.beyond, first=first, last=last)
        return plain_filled(self.words.from_to, first=first, last=last)

    def details(self, span: Span) -> tuple[str, ...]:
        """How it grows beside others, and what frost does to it."""
        found = []
        if span.companion:
            found.append(self.words.companion)
        elif span.lane == "under":
            found.append(self.words.under if span.kind == "cover" else self.words.beside)
        if span.killed == "likely":
            found.append(self._killed(span, self.words.killed_likely, self.words.killed_likely_undated))
        elif span.killed == "unsure":
            found.append(self._killed(span, self.words.killed_unsure, self.words.killed_unsure_undated))
        return tuple(found)

    def sentence(self, span: Span) -> str:
        """One span as one piece of text."""
        return "; ".join((f"{self.what(span)}, {self.when(span)}", *self.details(span)))

    def strip(self, bed: BedSchedule) -> str:
        """The text alternative of a bed's strip."""
        spans = ". ".join(self.sentence(span) for span in bed.spans)
        return plain_filled(self.words.strip, bed=bed.name, spans=f"{spans}." if spans else "")

    def bands(self) -> tuple[tuple[str, Band], ...]:
        """All frost bands, in time order, each with its name."""
        found = [(self.words.last_frost, band) for band in self.schedule.last_frosts]
        found += [(self.words.first_frost, band) for band in self.schedule.first_frosts]
        return tuple(sorted(found, key=lambda entry: entry[1].p50))

    def band(self, what: str, band: Band) -> str:
        """A frost band as a sentence."""
        return plain_filled(self.words.band_words, what=capital(what), first=self.days.day(band.p25),
                            last=self.days.day(band.p75), early=self.days.day(band.p10), late=self.days.day(band.p90),
                            middle=self.days.day(band.p50))

    def _day(self, day: date) -> str:
        inside = self.schedule.start <= day <= self.schedule.end
        return self.days.day(day) if inside else self.days.full(day)

    def _killed(self, span: Span, dated: str, undated: str) -> str:
        return plain_filled(dated, day=self._day(span.killed_from)) if span.killed_from else undated
