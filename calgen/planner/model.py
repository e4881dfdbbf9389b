"""What the planner hands on: windows, slots with ranked covers, timed steps, and reasons as data.

A ``Reason`` is a key and facts, no sentence: wording files turn it into words in the grower's language.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct, field

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from calgen.knowledge.model import Cover, Crop, Mixture
    from calgen.problems import Place
    from calgen.site.model import Bed, How, Purpose, Site, Step

    Fact = str | int | float | date | tuple[str, ...]

SeasonName = Literal["spring", "summer", "autumn", "overwinter"]
StartMethod = Literal["indoors", "direct", "transplant", "plant", "cover"]
Likelihood = Literal["likely", "unsure", "unlikely"]


class Reason(Struct, frozen=True):
    """One reason: the key of a sentence in the wording file, the facts it needs, and the sources behind it.

    A key of two parts, ``a|b``, is a sentence of two halves.
    ``weight`` sorts reasons within a list (points gained or lost); ``good`` tells whether it speaks for or against.
    """

    key: str
    facts: Mapping[str, Fact] = field(default_factory=dict)
    sources: tuple[str, ...] = ()
    good: bool = True
    weight: float = 0.0


class Finding(Struct, frozen=True):
    """Something to tell the grower that is no mistake: where in the site file, which bed, and what, as a reason."""

    place: Place
    bed: str
    reason: Reason


class Window(Struct, frozen=True):
    """When a plant can be started at a site: from, best and last day, and why the ends are where they are.

    ``main`` tells that these are the starts most growers choose, for the harvest that the crop is grown for.
    """

    plant: str
    kind: Literal["crop", "cover"]
    season: SeasonName
    method: StartMethod
    first: date
    best: date
    last: date
    why: Reason
    main: bool = False


class Slot(Struct, frozen=True):
    """The gap in a bed's order that a cover may fill, with all that bears on the choice.

    ``free_from`` is when the ground is (or will be) cleared; ``standing`` the crop still there before that, with
    ``standing_since`` its sowing or planting; ``next_start`` the day the next crop is to be sown or planted and
    ``next_latest`` the last day on which it still can; both None when nothing follows within the horizon.
    ``earliest_sow`` is the first day on which the grower can act. ``hows`` are the ways of sowing that are open.
    ``fixed`` are the covers the grower named (empty: choose).
    """

    site: Site
    bed: Bed
    earliest_sow: date
    free_from: date
    until: date
    standing: Crop | None
    standing_since: date | None
    before: tuple[Crop, ...]
    history: tuple[tuple[int, tuple[str, ...]], ...]
    next_crop: Crop | None
    next_method: Literal["direct", "transplant", "plant"] | None
    next_start: date | None
    next_latest: date | None
    later_crops: tuple[tuple[int, Crop], ...]
    hows: tuple[How, ...]
    fixed: tuple[str, ...] = ()
    fixed_sown: date | None = None
    companion: bool = False

    @property
    def needs(self) -> tuple[Purpose, ...]:
        """The bed's purposes, in order of weight."""
        return self.bed.needs

    @property
    def due(self) -> date:
        """The day by which the ground must be ready: of the next start, or the end of the slot."""
        return self.next_start or self.until


class Attained(Struct, frozen=True):
    """What a cover reaches at this site when sown on a day: estimates with their ranges.

    ``ground_cover_winter`` and ``ground_cover_end`` shares [0-1] when growth stops and at cutting; ``biomass_t_ha``
    dry matter at cutting [low, high]; ``nitrogen_kg_ha`` taken up or fixed [low, high]; ``pan_kg_ha`` plant-available
    nitrogen for the next crop [low, high]; ``root_cm`` depth reached. ``kill_chance`` that an ordinary winter kills it
    if it is left to; ``killed`` about when, None where it is not or is cut before; ``meets_winter`` whether it
    stands at midwinter.
    """

    emerges: date | None
    ground_cover_winter: float
    ground_cover_end: float
    biomass_t_ha: tuple[float, float]
    nitrogen_kg_ha: tuple[float, float]
    pan_kg_ha: tuple[float, float]
    c_to_n: tuple[float, float]
    root_cm: float
    flowers: date | None
    kill_chance: float
    degree_days_winter: float
    establish_share: float
    killed: date | None = None
    meets_winter: bool = True


class Ending(Struct, frozen=True):
    """How and when a cover is ended: the stage, the way, the window, and the wait before the next crop. [days]"""

    way: Literal["winter-kill", "cut-at-ground", "cut-at-flowering", "cut-young", "tarp", "snip", "pull",
                 "leave"]
    first: date
    best: date
    last: date
    wait_days: tuple[int, int]
    reasons: tuple[Reason, ...]


class Option(Struct, frozen=True):
    """One cover or mixture for a slot: dated, scored 0-100, with every reason."""

    covers: tuple[Cover, ...]
    mixture: Mixture | None
    how: How
    sow_first: date
    sow: date
    sow_last: date
    seed_g: Mapping[str, float]
    seed_factor: float
    attained: Attained
    ending: Ending
    next_start: date | None
    score: float
    reasons: tuple[Reason, ...]

    @property
    def ids(self) -> tuple[str, ...]:
        """The cover ids."""
        return tuple(cover.id for cover in self.covers)


class Rejected(Struct, frozen=True):
    """A cover or mixture that does not pass, and why."""

    covers: tuple[str, ...]
    reasons: tuple[Reason, ...]


class Ranking(Struct, frozen=True):
    """The answer for a slot: options by score, best first, and the rejected."""

    options: tuple[Option, ...]
    rejected: tuple[Rejected, ...]


class Timed(Struct, frozen=True):
    """A task of the plan with its window. ``slack`` is ``last - best``. Seed in grams by plant id."""

    kind: str
    plants: tuple[str, ...]
    first: date
    best: date
    last: date
    why: tuple[Reason, ...]
    facts: Mapping[str, Fact] = field(default_factory=dict)
    seed_g: Mapping[str, float] = field(default_factory=dict)
    frost_closes: bool = False
    done: bool = False


class Piece(Struct, frozen=True):
    """What is in the ground from one day to another (``to`` exclusive), in the main lane or under it."""

    kind: Literal["crop", "cover", "mulch", "bare"]
    plants: tuple[str, ...]
    start: date
    to: date
    lane: Literal["main", "under"] = "main"
    step: Step | None = None
    killed: Likelihood | None = None
    killed_from: date | None = None
    how: How | None = None


class Choice(Struct, frozen=True):
    """A slot with the ranking for it and what was taken: an option, or None when it came to mulch.

    ``years`` tell in how many years what was taken would have established, and died in winter. ``step`` is the step
    of the bed's order, None for a companion; ``preferred`` tells why the garden as a whole took a near-equal option.
    """

    slot: Slot
    ranking: Ranking
    chosen: Option | None
    tried: tuple[Reason, ...]
    years: tuple[Reason, ...] = ()
    step: Step | None = None
    preferred: tuple[Reason, ...] = ()


class CropOffer(Struct, frozen=True):
    """A crop wanted in a place left to choose: what it is worth there, and why. [points]

    ``refused`` tells that it cannot start there; ``taken`` that it is worth more in another bed, which has it.
    """

    plant: str
    points: int
    reasons: tuple[Reason, ...]
    refused: bool = False
    taken: tuple[str, ...] = ()


class BedOffer(Struct, frozen=True):
    """A bed that has a place left to choose, and what a crop would be worth there. [points]

    ``holds`` is the crop that stands in that place now, empty where none was left for it.
    """

    bed: str
    points: int
    reasons: tuple[Reason, ...]
    holds: str = ""


class CropChoice(Struct, frozen=True):
    """A place in an order left to choose: the crop put there and from when, or None where none was left for it.

    ``offers`` are all crops wanted, best here first, the one chosen among them; ``elsewhere`` the other beds for the
    one chosen, best first.
    """

    bed: str
    step: Step
    plant: str | None
    start: date | None
    offers: tuple[CropOffer, ...]
    elsewhere: tuple[BedOffer, ...] = ()


class LeftOver(Struct, frozen=True):
    """A crop wanted in more beds than were found for it, and the beds that would suit it, best first."""

    plant: str
    beds: int
    offers: tuple[BedOffer, ...]


class BedPlan(Struct, frozen=True):
    """A bed's year: pieces, tasks, choices, findings, and in how many years its tender crops would have met frost.

    ``crops`` are the places of its order that were left to choose.
    """

    bed: Bed
    pieces: tuple[Piece, ...]
    tasks: tuple[Timed, ...]
    choices: tuple[Choice, ...]
    notes: tuple[Finding, ...]
    years: tuple[Reason, ...] = ()
    crops: tuple[CropChoice, ...] = ()


class Plan(Struct, frozen=True):
    """All beds, from the first day of the chart to its last; ``left`` are crops wanted for which no bed was found.

    In ``site`` the crops left to choose are written into the orders.
    """

    site: Site
    start: date
    end: date
    beds: tuple[BedPlan, ...]
    notes: tuple[Finding, ...]
    left: tuple[LeftOver, ...] = ()
