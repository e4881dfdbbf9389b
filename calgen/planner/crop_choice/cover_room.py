"""Which covers could stand before a crop: a quick look, by windows and clashes only; the choice itself comes later."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from msgspec import Struct, field

from calgen.planner.choice.opening import windows
from calgen.planner.choice.pairing import rows_on

if TYPE_CHECKING:
    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Cover, Crop, Knowledge, Pairing
    from calgen.planner.crop_choice.outline import Stood


def clashes(cover: Cover, crop: Crop, knowledge: Knowledge) -> tuple[Pairing, ...]:
    """What speaks for or against a cover before a crop; a row without points refuses it."""
    return rows_on(cover, crop, "before", knowledge)


class CoverRoom(Struct):
    """Covers that fit between the day the ground is free and the next start, kept by day and crop."""

    climate: Climate
    knowledge: Knowledge
    _sowings: dict[date, tuple[tuple[Cover, date], ...]] = field(default_factory=dict)
    _suits: dict[tuple[str, str, str], bool] = field(default_factory=dict)

    def fitting(self, stood: Stood) -> tuple[str, ...]:
        """Ids of the covers that can be sown, grow long enough and clash with neither neighbour.

        Known error: neither the soil, the ending by hand nor what is attained is looked at.
        """
        start = stood.start
        if start is None:
            return ()
        least = timedelta(round(self.knowledge.practice["crop-cover-least-days"].mid))
        kind = "transplant" if start.method != "direct" else \
            "small-seed" if stood.crop.seed_size == "small" else "large-seed"
        return tuple(cover.id for cover, day in self._sown_from(stood.free)
                     if day + least + timedelta(round(cover.wait_weeks[kind].low * 7)) <= start.best  # type: ignore[index]
                     and self._suit(cover, stood.crop, "before")
                     and (stood.follows is None or self._suit(cover, stood.follows, "after")))

    def _suit(self, cover: Cover, crop: Crop, when: str) -> bool:
        key = (cover.id, crop.id, when)
        if key not in self._suits:
            self._suits[key] = all(row.points is not None for row in rows_on(
                cover, crop, "before" if when == "before" else "after", self.knowledge))
        return self._suits[key]

    def _sown_from(self, free: date) -> tuple[tuple[Cover, date], ...]:
        """Each cover that can be sown within the longest wait, with the first day."""
        if free not in self._sowings:
            last = free + timedelta(round(self.knowledge.practice["crop-cover-longest-wait-days"].mid))
            found = []
            for cover in sorted(self.knowledge.covers.values(), key=lambda cover: cover.id):
                days = [max(free, window.first) for window in windows(cover, self.climate, free, last)
                        if window.last >= free and window.first <= last]
                if days:
                    found.append((cover, min(days)))
            self._sowings[free] = tuple(found)
        return self._sowings[free]
