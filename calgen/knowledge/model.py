"""Crops and covers as plain objects; every number is a ``Quantity`` that knows its unit and where it comes from.

Crops, covers and knowledge are keys of caches and so compared by identity.

Weeks relative to a frost date: negative before it, positive after it. ``None`` means that nothing is known or that
the matter does not apply.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

from msgspec import Struct
from msgspec.structs import replace

from calgen.problems import Place

if TYPE_CHECKING:
    from collections.abc import Mapping

Mark = Literal["published", "memory", "judgement"]
Method = Literal["direct", "transplant", "plant"]
Hardiness = Literal["hardy", "half-hardy", "tender", "very-tender"]
CropSeason = Literal["spring", "summer", "autumn", "overwinter"]
Preparing = Literal["strip-lower-leaves"]
Piece = Literal["sets", "tubers", "cloves", "crowns", "slips", "plants", "roots"]
Lifting = Literal["roots", "bulbs", "potatoes"]
Feeding = Literal["heavy", "medium", "light", "fixer"]
Stage = Literal["vegetative", "flowering", "mature"]
Relation = Literal["before", "after", "among", "rotation", "always"]

NOWHERE: Final = Place("")


class Source(Struct, frozen=True):
    """A publication (or ``own``): who, what, when, where; ``seen`` says whether it was read or recalled."""

    id: str
    title: str
    author: str
    year: str | None
    reference: str | None
    seen: Literal["read", "memory", "mixed", "own"]
    note: str | None = None


class Quantity(Struct, frozen=True):
    """A sourced number or range, made by ``quantity_of``. A single number has ``low == mid == high``."""

    low: float
    mid: float
    high: float
    unit: str
    sources: tuple[str, ...]
    mark: Mark
    at: str | None = None
    why: str | None = None
    quoted: str | None = None
    place: Place = NOWHERE

    def with_ends(self, low: float, high: float) -> Quantity:
        """The same with another range."""
        return replace(self, low=low, mid=(low + high) / 2, high=high)


def quantity_of(low: float, high: float, unit: str, sources: tuple[str, ...], mark: Mark, *, at: str | None = None,
                why: str | None = None, quoted: str | None = None, place: Place = NOWHERE) -> Quantity:
    """The quantity with the middle of its range."""
    return Quantity(low, (low + high) / 2, high, unit, sources, mark, at, why, quoted, place)


class Words(Struct, frozen=True):
    """A sourced statement in words."""

    text: str
    sources: tuple[str, ...]
    mark: Mark


class Names(Struct, frozen=True):
    """A plant's names: ``name`` as in a sentence, ``short`` for narrow bars, ``code`` of 2-3 letters."""

    id: str
    name: str
    short: str
    code: str
    botanical: str
    also: tuple[str, ...] = ()


class Undersow(Struct, frozen=True):
    """Whether and when a cover may be sown under this standing crop; days after its sowing or planting.

    ``before`` is what is done to the crop first, with its sources.
    """

    possible: bool
    from_days: Quantity | None
    note: str
    sources: tuple[str, ...]
    before: Preparing | None = None
    before_sources: tuple[str, ...] = ()


class Crop(Struct, frozen=True, eq=False):
    """A vegetable.

    ``spring`` gives, by method, weeks relative to the average last frost [from, to]; ``autumn_latest`` weeks before
    the average first frost of the last sowing or planting; ``overwinter`` weeks relative to the first frost for
    sowings that stand through winter. ``maturity_days`` counts from ``counted_from``. ``soil_min_c`` is the soil from
    which sowing or planting out is practical; ``damage_c`` the night that spoils the crop, ``kill_c`` the night that
    kills a hardened plant; ``save_seed_days`` from the first harvest to ripe seed. ``main_season`` is the season of the
    starts that most growers choose because of the harvest they are for, where that is not the soonest; ``piece`` what
    is planted where it is not seed or plants.
    ``lifted`` crops are harvested whole from the ground: roots, tubers, bulbs; ``lifting`` tells what is done
    then: bulbs are dried with their tops, potatoes kept dark and rid of blighted tops.
    """

    names: Names
    family: str
    rotation_group: str
    feeding: Feeding
    hardiness: Hardiness
    methods: tuple[Method, ...]
    seed_size: Literal["small", "large", "sets"]
    spring: Mapping[Method, Quantity]
    autumn_latest: Mapping[Method, Quantity]
    overwinter: Mapping[Method, Quantity]
    stands_winter: bool
    perennial: bool
    indoors_weeks: Quantity | None
    maturity_days: Quantity
    counted_from: Literal["sowing", "transplanting", "planting"]
    harvest_days: Quantity
    maturity_dd: Quantity | None
    base_c: Quantity
    cap_c: Quantity | None
    germination_min_c: Quantity | None
    germination_best_c: Quantity | None
    germination_max_c: Quantity | None
    heat_limit_c: Quantity | None
    damage_c: Quantity | None
    in_row_cm: Quantity
    rows_cm: Quantity
    depth_mm: Quantity | None
    gap_years: Quantity | None
    disease_gap_years: Quantity | None
    gap_reason: str | None
    undersow: Undersow
    save_seed_days: Quantity | None
    notes: tuple[Words, ...]
    cautions: tuple[Words, ...]
    place: Place = Place("")
    soil_min_c: Quantity | None = None
    kill_c: Quantity | None = None
    succession_days: Quantity | None = None
    lifted: bool = False
    main_season: CropSeason | None = None
    piece: Piece = "sets"
    lifting: Lifting = "roots"

    @property
    def id(self) -> str:
        """The plant id."""
        return self.names.id


class SeedStep(Struct, frozen=True):
    """A published step of the seed rate by lateness: factor on the base rate from so many days after the best date."""

    from_days_late: float
    factor: float
    sources: tuple[str, ...]


class Cover(Struct, frozen=True, eq=False):
    """A cover crop.

    Degree days count above ``base_c`` from sowing. ``establish_dd`` must be reached before growth stops for a stand
    that covers the ground and stands the winter (or, for covers that winter kills, does its work first);
    ``survive_dd`` is the least for plants alive at all in spring. ``too_early_weeks``: sown more than this before the
    first frost it bolts, seeds or grows too tall for winter. ``ratings`` give the potential for a purpose, 0-4, at full
    growth. ``n_percent`` and ``c_to_n`` by stage. ``sow_soil_c`` is the soil from which sowing is worth it (germination
    begins lower); ``sow_below_c`` the daily mean in the warm half of the year above which it is not sown: it bolts,
    withers or comes up badly. ``frost_sown`` covers may be scattered on freezing and thawing ground at winter's end.
    """

    names: Names
    family: str
    kind: Literal["grass", "legume", "brassica", "other"]
    life: Literal["annual", "winter-annual", "biennial", "perennial"]
    seasons: tuple[Literal["spring", "summer", "late-summer", "autumn"], ...]
    fixes_nitrogen: bool
    seed_broadcast_g_m2: Quantity
    seed_drilled_g_m2: Quantity
    seed_steps: tuple[SeedStep, ...]
    depth_mm: Quantity
    seed_size: Literal["small", "large"]
    germination_min_c: Quantity
    germination_max_c: Quantity | None
    base_c: Quantity
    emergence_dd: Quantity
    establish_dd: Quantity
    survive_dd: Quantity
    full_cover_dd: Quantity
    flower_dd: Quantity | None
    days_to_flower: Quantity | None
    long_day_flowering: bool
    establish_weeks: Quantity | None
    too_early_weeks: Quantity | None
    kill_c: Quantity
    hurt_by_first_frost: bool
    biomass_t_ha: Quantity
    biomass_full_dd: Quantity
    n_total_kg_ha: Quantity
    n_percent: Mapping[Stage, Quantity]
    c_to_n: Mapping[Stage, Quantity]
    root_depth_cm: Quantity
    ratings: Mapping[str, Quantity]
    soil_fit: Mapping[str, Quantity]
    undersow_fit: Quantity
    between_rows_fit: Quantity
    pot_fit: Quantity
    ends: Mapping[str, Words]
    hand_ease: Quantity
    wait_weeks: Mapping[Literal["small-seed", "large-seed", "transplant"], Quantity]
    cut_stage: Words
    reseeds: Quantity
    notes: tuple[Words, ...]
    cautions: tuple[Words, ...]
    place: Place = Place("")
    sow_soil_c: Quantity | None = None
    sow_below_c: Quantity | None = None
    frost_sown: bool = False

    @property
    def id(self) -> str:
        """The plant id."""
        return self.names.id


class Mixture(Struct, frozen=True):
    """Covers that are sown together, each at a share of its full rate."""

    covers: tuple[str, ...]
    shares: tuple[Quantity, ...]
    why: Words


class Pairing(Struct, frozen=True, eq=False):
    """What speaks for or against a cover beside a crop: one row of ``pairings.yaml``.

    ``covers`` and ``crops`` are ids or words that mean several (``family Brassicaceae``, ``kind grass``, ``feeding
    heavy``); ``when`` tells where the cover stands to the crop, ``always`` that no crop matters. ``points`` are
    added to the score; None refuses the cover. ``key`` names the sentence in the wording file.
    """

    key: str
    covers: tuple[str, ...]
    crops: tuple[str, ...]
    when: tuple[Relation, ...]
    points: Quantity | None
    sources: tuple[str, ...]
    place: Place = Place("")


class Mulch(Struct, frozen=True):
    """A mulch: depth when laid loose, and what it does to nitrogen and seed sowing."""

    names: Names
    depth_mm: Quantity
    notes: tuple[Words, ...]


class Knowledge(Struct, frozen=True, eq=False):
    """All that is known, and the way to it by any name. Compared by identity.

    ``practice`` holds the sourced numbers of practice that belong to no plant (days until the look at a new sowing,
    weights of the choice, nitrogen rule, …) by key.
    """

    crops: Mapping[str, Crop]
    covers: Mapping[str, Cover]
    mixtures: tuple[Mixture, ...]
    mulches: Mapping[str, Mulch]
    practice: Mapping[str, Quantity]
    sources: Mapping[str, Source]
    by_name: Mapping[str, str]
    pairings: tuple[Pairing, ...] = ()

    def plant(self, name: str) -> Crop | Cover | None:
        """The crop or cover of an id, common name, synonym or botanical name, or None."""
        found = self.by_name.get(" ".join(name.casefold().replace("-", " ").replace("_", " ").split()))
        if found is None:
            return None
        return self.crops.get(found) or self.covers.get(found)
