"""What a crop is worth in a place of an order: one small rule a matter, each giving reasons with whole points.

The points are practice numbers (``crop-choice.yaml``), each with its why. Family gaps and lasting diseases: Iowa State
and University of Connecticut rotation pages, by way of each crop's own numbers. Dates count in few coarse steps, so
that the answer stays as it is when a frost date moves by some days.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from calgen.planner.crop_choice.cover_room import CoverRoom, clashes
from calgen.planner.crop_maturity import is_warm
from calgen.planner.model import Reason
from calgen.site.model import CoverStep

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import date

    from calgen.knowledge.model import Crop, Knowledge, Quantity
    from calgen.planner.crop_choice.outline import Stood
    from calgen.planner.model import Fact
    from calgen.site.model import Bed, Site

BARE_STEPS: Final = ((120, 1.0), (60, 0.5), (14, 0.2))
"""Days bare and the part of the points they cost."""
LEAFY: Final = ("lettuce-composite", "beet-spinach")
FEW_COVERS: Final = 2


class Spot(Struct, frozen=True):
    """A crop in a place left to choose, with the bed around it; ``after`` are the crops that follow it."""

    site: Site
    bed: Bed
    stood: Stood
    before: tuple[Stood, ...]
    after: tuple[Stood, ...]
    missed_without: frozenset[int]
    chart_end: date
    knowledge: Knowledge
    covers: CoverRoom

    @property
    def crop(self) -> Crop:
        """The crop that is weighed."""
        return self.stood.crop

    @property
    def ground(self) -> tuple[str, ...]:
        """What is said about the bed's soil."""
        return self.bed.soil

    def reason(self, key: str, share: float = 1.0, sources: tuple[str, ...] = (), **facts: Fact) -> Reason:
        """A reason with its points: those of the practice number of the same name, or a share of them."""
        points: Quantity = self.knowledge.practice[key]
        weight = _whole(points.mid * share)
        return Reason(key, {"crop": self.crop.id, **facts}, sources or points.sources, good=weight >= 0, weight=weight)


def _whole(points: float) -> int:
    """Whole points, halves away from nothing, so that a loss weighs as a gain."""
    return int(abs(points) + 0.5) * (1 if points >= 0 else -1)


def family(spot: Spot) -> Iterator[Reason]:
    """A relative before it within the gap of years, or within the life of a disease; years from leaving to coming."""
    crop, start = spot.crop, spot.stood.start
    if crop.gap_years is None or crop.perennial or start is None:
        return
    crops = spot.knowledge.crops
    gone = [(year, plant) for year, plants in spot.bed.grew for plant in plants if plant in crops]
    gone += [(earlier.end.year, earlier.crop.id) for earlier in spot.before if earlier.start]
    relatives = [(min(year, start.best.year), plant) for year, plant in gone
                 if crops[plant].rotation_group == crop.rotation_group]
    if not relatives:
        if gone:
            yield spot.reason("crop-rested")
        return
    past, other = max(relatives)
    years, low = start.best.year - past, crop.gap_years.low
    if years <= low:
        yield spot.reason("crop-family-soon", (low + 1 - years) / (low + 1), crop.gap_years.sources, other=other,
                          past=past, low=low, high=crop.gap_years.high)
    elif crop.disease_gap_years and years <= crop.disease_gap_years.low:
        disease = crop.disease_gap_years
        yield spot.reason("crop-disease-soon", (disease.low + 1 - years) / (disease.low + 1), disease.sources,
                          other=other, past=past, low=disease.low, text=crop.gap_reason or "")
    else:
        yield replace(spot.reason("crop-rested", other=other, past=past), key="crop-rested-since")


def family_after(spot: Spot) -> Iterator[Reason]:
    """A relative that the grower named follows within its gap. One that is left to choose weighs this itself."""
    for later in spot.after:
        gap = later.crop.gap_years
        if gap is None or later.crop.perennial or later.step.choose or later.start is None:
            continue
        years = max(0, later.start.best.year - spot.stood.end.year)
        if later.crop.rotation_group == spot.crop.rotation_group and years <= gap.low:
            yield Reason("crop-family-later", {"crop": spot.crop.id, "other": later.crop.id,
                                               "year": later.start.best.year, "low": gap.low},
                         gap.sources, good=False, weight=_whole(spot.knowledge.practice["crop-family-soon"].mid
                                                                * (gap.low + 1 - years) / (gap.low + 1)))


def feeding(spot: Spot) -> Iterator[Reason]:
    """Hungry crops after what leaves nitrogen, light feeders after hungry ones. PNW 636; common practice."""
    crop, previous, filling = spot.crop, spot.stood.follows, spot.stood.filling
    named = filling.covers if isinstance(filling, CoverStep) else ()
    legumes = tuple(cover for cover in named if spot.knowledge.covers[cover].fixes_nitrogen)
    if crop.feeding == "heavy":
        if legumes:
            yield spot.reason("crop-fed", plants=legumes)
        elif previous and previous.feeding == "fixer":
            yield spot.reason("crop-fed", plants=(previous.id,))
        elif previous and previous.feeding == "heavy" and not isinstance(filling, CoverStep):
            yield spot.reason("crop-heavy-after-heavy", other=previous.id)
    if crop.feeding == "light" and previous and previous.feeding == "heavy":
        yield spot.reason("crop-light-after-heavy", other=previous.id)


def time(spot: Spot) -> Iterator[Reason]:
    """Whether it can start in good time once the ground is free, and what the wait leaves bare."""
    stood, start = spot.stood, spot.stood.start
    assert start is not None
    if stood.late:
        yield spot.reason("crop-late", date=start.best)
    if start.best >= spot.chart_end:
        yield spot.reason("crop-after-chart", date=start.best)
    if stood.squeezes and stood.follows:
        yield spot.reason("crop-squeezes", standing=stood.follows.id, date=start.best)
    elif 0 <= (start.last - stood.free).days < spot.knowledge.practice["crop-tight-days"].mid:
        yield spot.reason("crop-tight", date=start.last, free=stood.free)
    if stood.filling is None:
        bare = (start.best - stood.free).days
        share = next((share for days, share in BARE_STEPS if bare > days), 0.0)
        if share:
            yield spot.reason("crop-waits-bare", share, date=stood.free, until=start.best)


def follows(spot: Spot) -> Iterator[Reason]:
    """What the grower named after it can still start."""
    for number, later in enumerate(spot.after):
        if not later.step.choose and (later.late or later.squeezes or later.start is None) \
                and number not in spot.missed_without:
            yield spot.reason("crop-blocks", other=later.crop.id)


def cover_before(spot: Spot) -> Iterator[Reason]:
    """A cover named before it that clashes, or how many could be sown where it is left to choose."""
    stood, filling, start = spot.stood, spot.stood.filling, spot.stood.start
    if not isinstance(filling, CoverStep) or start is None:
        return
    if filling.covers:
        for cover in filling.covers:
            for row in clashes(spot.knowledge.covers[cover], spot.crop, spot.knowledge):
                points = spot.knowledge.practice["crop-cover-clash"] if row.points is None else row.points
                yield Reason(row.key, {"crop": spot.crop.id, "when": "before"}, row.sources, good=points.mid > 0,
                             weight=_whole(points.mid))
        return
    fitting = spot.covers.fitting(stood)
    standing = filling.how in ("undersown", "between-rows") or (stood.follows and stood.follows.undersow.possible)
    if not fitting and not standing:
        yield spot.reason("crop-no-cover")
    elif fitting and len(fitting) <= FEW_COVERS:
        yield spot.reason("crop-few-covers", covers=fitting)
    legumes = tuple(cover for cover in fitting if spot.knowledge.covers[cover].fixes_nitrogen)
    if spot.crop.feeding == "heavy" and legumes:
        yield spot.reason("crop-cover-can-feed", covers=legumes[:2])


def room(spot: Spot) -> Iterator[Reason]:
    """Pots large and deep enough; a bed as wide as one plant."""
    size, crop, practice = spot.bed.size, spot.crop, spot.knowledge.practice
    if size.pots:
        needs = practice["crop-pot-litres-per-100-cm2"].mid * crop.in_row_cm.low**2 / 100
        if _is_root(crop):
            needs = max(needs, practice["crop-root-pot-litres"].mid)
        if size.pot_litres < needs:
            yield spot.reason("crop-pot-small", size_pot_litres=size.pot_litres, needs_pot_litres=needs)
    elif size.width_m and crop.in_row_cm.low > size.width_m * 100:
        yield spot.reason("crop-spreads", width_cm=size.width_m * 100, plant_cm=crop.in_row_cm.low)


def soil(spot: Spot) -> Iterator[Reason]:
    """Shade, compaction, wet, dry and acid ground. Common practice; clubroot: SRUC."""
    crop = spot.crop
    leafy = crop.rotation_group in LEAFY and not crop.lifted
    if "shaded" in spot.ground:
        if is_warm(crop):
            yield spot.reason("crop-shade")
        elif crop.lifted:
            yield spot.reason("crop-roots-in-shade")
        elif leafy:
            yield spot.reason("crop-bears-shade")
    if "compacted" in spot.ground and _is_root(crop):
        yield spot.reason("crop-compacted")
    if "wet" in spot.ground and crop.lifted:
        yield spot.reason("crop-wet")
    if "dry" in spot.ground and leafy:
        yield spot.reason("crop-dry")
    if "acid" in spot.ground and crop.rotation_group == "brassica":
        yield spot.reason("crop-acid")


def _is_root(crop: Crop) -> bool:
    """Whether it is grown for a root from seed where it stands; those fork and stay short where they cannot go down."""
    return crop.lifted and crop.methods[0] == "direct" and crop.rotation_group != "allium"


RULES: Final[tuple[Callable[[Spot], Iterator[Reason]], ...]] = (
    family, family_after, feeding, time, follows, cover_before, room, soil)
