"""A site with the crops wanted written into the places that its orders leave open, and why each stands there."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from calgen.planner.crop_choice.assign import NONE, assigned
from calgen.planner.crop_choice.cover_room import CoverRoom
from calgen.planner.crop_choice.outline import Outlines
from calgen.planner.crop_choice.rules import RULES, Spot
from calgen.planner.model import BedOffer, CropChoice, CropOffer, Finding, LeftOver, Reason
from calgen.site.model import CoverStep, CropStep

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Knowledge
    from calgen.planner.crop_choice.assign import Picks
    from calgen.site.model import Bed, Site, Step, Wanted

ELSEWHERE_KEPT: Final = 3


class Chosen(Struct, frozen=True):
    """The site with its crops chosen; choices by bed; findings by bed; those that concern no bed; crops left over."""

    site: Site
    choices: Mapping[str, tuple[CropChoice, ...]]
    notes: Mapping[str, tuple[Finding, ...]]
    left: tuple[LeftOver, ...] = ()
    site_notes: tuple[Finding, ...] = ()


class _Weighed(Struct, frozen=True):
    """What a bed's picks are worth, place by place; None for an open place."""

    points: int
    places: tuple[CropOffer | None, ...]
    starts: tuple[date | None, ...]


class _Table:
    """The worth of picks in every bed that leaves a crop open, worked out once each."""

    def __init__(self, site: Site, wanted: Sequence[Wanted], climate: Climate, knowledge: Knowledge,
                 end: date) -> None:
        self.site, self.wanted, self.knowledge = site, wanted, knowledge
        self.beds = [bed for bed in site.beds if any(_is_open(step) for step in bed.order)]
        self.widths = [sum(_is_open(step) for step in bed.order) for bed in self.beds]
        self.outlines = Outlines(climate, knowledge, site.chart_starts)
        self.covers = CoverRoom(climate, knowledge)
        self.chart_end = end
        self._weighed: dict[tuple[int, Picks], _Weighed] = {}

    def worth(self, bed: int, picks: Picks) -> int | None:
        """What picks are worth in a bed; None where one of them cannot start."""
        found = self.weighed(bed, picks)
        return None if any(place and place.refused for place in found.places) else found.points

    def weighed(self, bed: int, picks: Picks) -> _Weighed:
        """The same place by place, with reasons."""
        key = (bed, picks)
        found = self._weighed.get(key)
        if found is None:
            found = self._weighed[key] = self._weigh(self.beds[bed], picks)
        return found

    def _weigh(self, bed: Bed, picks: Picks) -> _Weighed:
        order = filled(bed, [self.wanted[pick].plant if pick != NONE else "" for pick in picks])
        stood = self.outlines.of(order)
        without = self.outlines.of(step for step in order if not _is_chosen(step))
        missed = {id(one.step) for one in without if one.late or one.squeezes or one.start is None}
        places: list[CropOffer | None] = []
        starts: list[date | None] = []
        at = {id(one.step): index for index, one in enumerate(stood)}
        for step, written in zip(order, bed.order, strict=True):
            if not _is_open(written):
                continue
            if _is_open(step):
                places.append(None)
                starts.append(None)
                continue
            index = at[id(step)]
            one, after = stood[index], stood[index + 1:]
            if one.start is None:
                reason = Reason("crop-never", {"crop": one.crop.id, "free": one.free}, good=False, weight=-100)
                places.append(CropOffer(one.crop.id, 0, (reason,), refused=True))
                starts.append(None)
                continue
            spot = Spot(self.site, bed, one, stood[:index], after,
                        frozenset(number for number, later in enumerate(after) if id(later.step) in missed),
                        self.chart_end, self.knowledge, self.covers)
            reasons = tuple(reason for rule in RULES for reason in rule(spot))
            points = sum(int(reason.weight) for reason in reasons) + self._wish(one.crop.id)
            places.append(CropOffer(one.crop.id, points, reasons))
            starts.append(one.start.best)
        return _Weighed(sum(place.points for place in places if place), tuple(places), tuple(starts))

    def _wish(self, plant: str) -> int:
        """A crop wanted brings its points, the first of the list some more."""
        practice = self.knowledge.practice
        rank = next(number for number, one in enumerate(self.wanted) if one.plant == plant)
        earlier = 1 - rank / (len(self.wanted) - 1) if len(self.wanted) > 1 else 1.0
        return round(practice["crop-wanted"].mid) + round(practice["crop-order"].mid * earlier)


def _is_open(step: Step) -> bool:
    return isinstance(step, CropStep) and step.is_open


def _is_chosen(step: Step) -> bool:
    return isinstance(step, CropStep) and step.choose


def filled(bed: Bed, plants: Sequence[str]) -> tuple[Step, ...]:
    """The bed's order with plants in its open places, in turn; an empty name leaves one open."""
    names = iter(plants)
    return tuple(replace(step, plant=next(names)) if isinstance(step, CropStep) and step.is_open else step
                 for step in bed.order)


def with_crops(site: Site, climate: Climate, knowledge: Knowledge, end: date) -> Chosen:
    """The site with its open places filled from what is wanted, all beds together.

    A crop that the diary tells to stand in a place left to choose counts as one of those wanted. A place for which
    nothing is left becomes a cover, unless one stands beside it.

    Args:
        end: the day after the chart's last.
    """
    wanted = _still_wanted(site)
    table = _Table(site, wanted, climate, knowledge, end)
    if not table.beds:
        left = tuple(LeftOver(one.plant, one.beds, ()) for one in wanted if one.beds)
        return Chosen(site, {}, {}, left, tuple(_left_note(one, site) for one in left))
    picked = assigned(table.widths, [one.beds for one in wanted], table.worth)
    holding = [_beds_with(crop, picked, table) for crop in range(len(wanted))]
    best = [_best_beds(crop, picked, table) for crop in range(len(wanted))]
    choices = {bed.name: _choices(number, picked[number], holding, best, table)
               for number, bed in enumerate(table.beds)}
    beds, notes = [], {}
    for bed in site.beds:
        if bed.name not in choices:
            beds.append(bed)
            continue
        order = filled(bed, [choice.plant or "" for choice in choices[bed.name]])
        notes[bed.name] = tuple(Finding(choice.step.place, bed.name, Reason("note-no-crop-left", good=False))
                                for choice in choices[bed.name] if choice.plant is None)
        beds.append(replace(bed, order=closed(order)))
    left = tuple(LeftOver(one.plant, one.beds - len(holding[number]), best[number])
                 for number, one in enumerate(wanted) if one.beds > len(holding[number]))
    return Chosen(replace(site, beds=tuple(beds)), choices, notes, left, tuple(_left_note(one, site) for one in left))


def _still_wanted(site: Site) -> list[Wanted]:
    told = [step.plant for bed in site.beds for step in bed.order
            if isinstance(step, CropStep) and step.choose and step.plant]
    return [replace(one, beds=max(0, one.beds - told.count(one.plant))) for one in site.wanted]


def closed(order: Sequence[Step]) -> tuple[Step, ...]:
    """The order without open places: a cover takes each, where none stands beside it."""
    found: list[Step] = []
    for index, step in enumerate(order):
        if not _is_open(step):
            found.append(step)
            continue
        beside = (*found[-1:], *order[index + 1:index + 2])
        if not any(isinstance(other, CoverStep) for other in beside):
            found.append(CoverStep((), step.place))
    return tuple(found)


def _left_note(one: LeftOver, site: Site) -> Finding:
    place = next(wish.place for wish in site.wanted if wish.plant == one.plant)
    return Finding(place, "", Reason("note-crop-left", {"crop": one.plant, "beds": one.beds}, good=False))


def _choices(number: int, picks: Picks, holding: Sequence[tuple[str, ...]], best: Sequence[tuple[BedOffer, ...]],
             table: _Table) -> tuple[CropChoice, ...]:
    """The choices of one bed; for each crop the beds that hold it and the best of those that do not."""
    bed = table.beds[number]
    steps = [step for step in bed.order if _is_open(step)]
    found = table.weighed(number, picks)
    choices = []
    for place, (step, pick) in enumerate(zip(steps, picks, strict=True)):
        offers = []
        for crop, one in enumerate(table.wanted):
            if not one.beds:
                continue
            offer = table.weighed(number, _put(picks, place, crop)).places[place]
            assert offer is not None
            full = crop != pick and len(holding[crop]) >= one.beds
            offers.append(replace(offer, taken=holding[crop] if full else ()))
        offers.sort(key=lambda offer: (offer.refused, -offer.points))
        plant = table.wanted[pick].plant if pick != NONE else None
        choices.append(CropChoice(bed.name, step, plant, found.starts[place], tuple(offers),
                                  best[pick] if plant else ()))
    return tuple(choices)


def _put(picks: Picks, place: int, crop: int) -> Picks:
    return (*picks[:place], crop, *picks[place + 1:])


def _beds_with(crop: int, picked: Sequence[Picks], table: _Table) -> tuple[str, ...]:
    """The beds in which a crop stands, once for each place."""
    return tuple(table.beds[number].name for number, picks in enumerate(picked) for pick in picks if pick == crop)


def _best_beds(crop: int, picked: Sequence[Picks], table: _Table) -> tuple[BedOffer, ...]:
    """The beds in which a crop does not stand, by what it would be worth there with all else as it is."""
    found: list[BedOffer] = []
    for number, picks in enumerate(picked):
        if crop in picks:
            continue
        for place, pick in enumerate(picks):
            offer = table.weighed(number, _put(picks, place, crop)).places[place]
            if offer and not offer.refused:
                holds = table.wanted[pick].plant if pick != NONE else ""
                found.append(BedOffer(table.beds[number].name, offer.points, offer.reasons, holds))
    return tuple(sorted(found, key=lambda offer: -offer.points)[:ELSEWHERE_KEPT])
