"""The dated result: what chart, sheets, feeds, page and plan.json all share. Texts are final words for people."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Literal

from msgspec import Struct, field

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date, datetime

Kind = Literal["order-seed", "sow", "undersow", "drill", "sow-indoors", "harden-off", "plant", "look", "top-up",
               "cut-down", "clear", "gather-seed", "mulch"]
KINDS: tuple[Kind, ...] = ("order-seed", "sow", "undersow", "drill", "sow-indoors", "harden-off", "plant", "look",
                           "top-up", "cut-down", "clear", "gather-seed", "mulch")


class Label(Struct, frozen=True):
    """A plant's names for bars and lists: full, short, and a code of two or three letters."""

    name: str
    short: str
    code: str


class Span(Struct, frozen=True):
    """What is in a bed from ``start`` to ``to`` (exclusive).

    ``does`` tells the kind of cover for hatching: grass, legume, brassica, other. ``companion`` marks a cover that
    grows with a crop. ``killed`` is how likely winter kills it, from about ``killed_from`` on.
    """

    kind: Literal["crop", "cover", "mulch", "bare"]
    plants: tuple[str, ...]
    label: Label
    start: date
    to: date
    lane: Literal["main", "under"] = "main"
    does: Literal["grass", "legume", "brassica", "other"] | None = None
    companion: bool = False
    killed: Literal["likely", "unsure", "unlikely"] | None = None
    killed_from: date | None = None


class Job(Struct, frozen=True):
    """One thing to do. ``on`` the recommended day (a garden day where the window allows), window [first, last].

    ``key`` is stable: independent of dates, names of people and order; ``uid`` is made from it. ``last_call`` marks
    jobs whose window frost closes. ``changed`` and ``revision`` are the memory of the feed. ``kept`` marks a past job
    that the plan no longer has: it stays in the feeds; sheets and chart leave it out.
    """

    key: str
    uid: str
    bed: str
    kind: Kind
    plants: tuple[str, ...]
    on: date
    first: date
    last: date
    latest: date
    slack_days: int
    title: str
    text: str
    why: str
    next_step: str = ""
    how: str = ""
    caution: str = ""
    seed_g: Mapping[str, float] = field(default_factory=dict)
    quantity: str = ""
    last_call: bool = False
    done: bool = False
    revision: int = 0
    changed: datetime | None = None
    kept: bool = False


class Week(Struct, frozen=True):
    """The jobs of the week from Monday ``start`` as one reminder; ``jobs`` are their uids, in order."""

    uid: str
    start: date
    jobs: tuple[str, ...]
    revision: int
    changed: datetime


class Stamp(Struct, frozen=True):
    """A calendar entry at its last build: digest of its content, how often that changed, and when last (UTC)."""

    content: str
    revision: int
    changed: datetime


class Memory(Struct, frozen=True):
    """What a build hands to the next one beside its jobs.

    ``plan`` is the id all uids come from. ``stamps`` hold every entry by uid, dropped ones too (with empty content), so
    that one that returns goes on counting. ``silent`` tells since when a feed that once had jobs has none; ``weeks``
    are the weekly reminders.
    """

    plan: str = ""
    stamps: Mapping[str, Stamp] = field(default_factory=dict)
    silent: Mapping[str, date] = field(default_factory=dict)
    weeks: tuple[Week, ...] = ()


class Band(Struct, frozen=True):
    """When a frost date falls, over years: early side of 8 in 10 and of the middle half, median, and the late sides."""

    p10: date
    p25: date
    p50: date
    p75: date
    p90: date


class Advice(Struct, frozen=True):
    """The reasons behind a cover in a bed, as paragraphs ready to print; ``years`` tell in how many it went well."""

    headline: str
    reasons: tuple[str, ...]
    runner_up: str
    rejected: tuple[str, ...]
    uncertain: tuple[str, ...]
    years: tuple[str, ...] = ()
    would_change: tuple[str, ...] = ()


class BedSchedule(Struct, frozen=True):
    """A bed: code and name, ground in words, spans in time order, advice for each cover slot, years of its crops."""

    name: str
    code: str
    ground: str
    spans: tuple[Span, ...]
    advice: tuple[Advice, ...] = ()
    cautions: tuple[str, ...] = ()
    years: tuple[str, ...] = ()


class SeedLine(Struct, frozen=True):
    """Seed to have in hand: plant, grams needed for all beds, beds, day by which it is needed, grams in the tin."""

    plant: str
    label: Label
    grams: float
    beds: tuple[str, ...]
    by: date
    in_hand_g: float = 0.0

    @property
    def to_order_g(self) -> float:
        """What the tin does not hold. [g]"""
        return round(max(0.0, self.grams - self.in_hand_g), 1)


class WindowLine(Struct, frozen=True):
    """A row of the site's when-to-sow table."""

    plant: str
    label: Label
    kind: Literal["crop", "cover"]
    season: str
    method: str
    first: date
    best: date
    last: date
    why: str


class Note(Struct, frozen=True):
    """A finding to tell the grower, with its place in words."""

    level: Literal["note", "error"]
    where: str
    text: str


class Schedule(Struct, frozen=True, dict=True):
    """A year from ``start`` to ``end`` (exclusive) at a site, ready to draw, print, publish.

    ``daylength_h`` holds pairs of day and hours, one a week. ``climate_words`` say what the dates rest on and their
    error.
    """

    site: str
    stem: str
    language: str
    units: Literal["metric", "us"]
    made: date
    start: date
    end: date
    beds: tuple[BedSchedule, ...]
    jobs: tuple[Job, ...]
    last_frosts: tuple[Band, ...]
    first_frosts: tuple[Band, ...]
    daylength_h: tuple[tuple[date, float], ...]
    ten_hour: tuple[date, ...]
    climate_words: tuple[str, ...]
    seeds: tuple[SeedLine, ...]
    windows: tuple[WindowLine, ...]
    notes: tuple[Note, ...]
    inputs: Mapping[str, object]
    reminders: Literal["none", "evening-before", "morning-of", "both"] = "evening-before"
    digest: bool = False
    feed_address: str | None = None
    memory: Memory = field(default_factory=Memory)

    def jobs_of(self, bed: BedSchedule) -> tuple[Job, ...]:
        """The jobs of a bed, in order."""
        return self._by_bed.get(bed.name, ())

    @cached_property
    def general_jobs(self) -> tuple[Job, ...]:
        """Jobs that belong to none of the beds, such as ordering seed for all of them, in order."""
        names = {bed.name for bed in self.beds}
        return tuple(job for job in self.jobs if job.bed not in names)

    @cached_property
    def _by_bed(self) -> Mapping[str, tuple[Job, ...]]:
        return jobs_by_bed(self.jobs)


def jobs_by_bed(jobs: Iterable[Job]) -> Mapping[str, tuple[Job, ...]]:
    """Jobs by their bed, in order: where beds are many, searching all jobs for each of them would take long."""
    found: dict[str, list[Job]] = {}
    for job in jobs:
        found.setdefault(job.bed, []).append(job)
    return {bed: tuple(its) for bed, its in found.items()}
