"""The state of one walk along a bed's order, and how what is planned there gives way to what the grower did."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from calgen.planner.model import Finding, Piece, Reason

if TYPE_CHECKING:
    from datetime import date

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Knowledge, Mulch
    from calgen.planner.model import Choice, Fact, Timed
    from calgen.planner.rankings import Rankings
    from calgen.planner.stand import Stand
    from calgen.site.model import Bed, Site, Step

YEAR = timedelta(365)
ENDINGS = ("clear", "cut-down")
BEGUN = ("sown", "planted", "laid")


class Walk(Struct):
    """What has been planned so far for a bed, and when its ground is free. The main lane's pieces meet end to end."""

    site: Site
    bed: Bed
    rankings: Rankings
    start: date
    end: date
    pieces: list[Piece] = field(default_factory=list)
    tasks: list[Timed] = field(default_factory=list)
    choices: list[Choice] = field(default_factory=list)
    notes: list[Finding] = field(default_factory=list)
    free: date | None = None
    standing: list[Stand] = field(default_factory=list)
    history: list[tuple[int, tuple[str, ...]]] = field(default_factory=list)
    companion: Choice | None = None

    def note(self, step: Step, key: str, **facts: Fact) -> None:
        """Something to tell the grower about a step."""
        self.notes.append(Finding(step.place, self.bed.name, Reason(f"note-{key}", facts, good=False)))

    @property
    def climate(self) -> Climate:
        """The site's climate."""
        return self.rankings.climate

    @property
    def knowledge(self) -> Knowledge:
        """All crops and covers."""
        return self.rankings.knowledge

    @property
    def ground_free(self) -> date:
        """When the ground is free: after what stands there, or from the first day of the chart."""
        return self.free or self.start

    def mulch(self, material: str) -> Mulch:
        """A mulch as deep as it lies here: on pots no more than the rim holds."""
        found = self.knowledge.mulches[material]
        if not self.bed.size.pots:
            return found
        depth, room = found.depth_mm, self.knowledge.practice["pot-mulch-mm"]
        return replace(found, depth_mm=depth.with_ends(min(depth.low, room.low), min(depth.high, room.high)))

    def wait_for_chart(self, step: Step) -> None:
        """Ground that was free before the chart begins stays bare till then, unless the grower dated what follows.

        Nothing can be planned for the past.
        """
        if self.free and self.free < self.start and not any(getattr(step, name, None) for name in BEGUN):
            self.pieces.append(Piece("bare", (), self.free, self.start, "main", step))
            self.free = self.start

    def stands_on(self) -> bool:
        """Whether a perennial that nothing follows holds the bed beyond the chart; its piece then ends years later.

        Rhubarb or strawberries are not gone when they have been gathered once. An end that the grower gave holds.
        """
        last = self.standing[-1] if self.standing else None
        if last is None or not last.crop.perennial or last.end_fixed:
            return False
        to = last.end
        while to <= self.end:
            to += YEAR
        self.pieces = [replace(piece, to=to) if piece.to == last.end and piece.plants == (last.crop.id,) else piece
                       for piece in self.pieces]
        self.standing, self.free = [replace(last, end=to)], to
        return True

    def give_way(self, day: date) -> tuple[str, ...]:
        """What is planned so far ends on a day at the latest; what would only begin then falls out of the plan.

        Returns:
            The crops and covers that fall out.
        """
        gone = [piece for piece in self.pieces if piece.start >= day]
        self.pieces = [replace(piece, to=min(piece.to, day), killed_from=min(piece.killed_from, day)
                               if piece.killed_from else None) for piece in self.pieces if piece.start < day]
        kept = {piece.plants for piece in self.pieces}
        out = {piece.plants for piece in gone if piece.kind in ("crop", "cover") and piece.plants not in kept}
        self.tasks = [_by(timed, day) for timed in self.tasks
                      if timed.plants not in out and (timed.best < day or timed.kind in ENDINGS)]
        self.choices = [choice for choice in self.choices if choice.chosen is None or choice.chosen.sow < day]
        self.history = [(year, plants) for year, plants in self.history if plants not in out or year < day.year]
        self.standing = [replace(stand, end=min(stand.end, day), end_first=min(stand.end_first, day))
                         for stand in self.standing if stand.start.best < day]
        if self.companion and self.companion.chosen and self.companion.chosen.sow >= day:
            self.companion = None
        self.free = day
        return tuple(plant for plants in sorted(out) for plant in plants)


def _by(timed: Timed, day: date) -> Timed:
    """The task with its window cut to a day."""
    if timed.last <= day:
        return timed
    best = min(timed.best, day)
    return replace(timed, first=min(timed.first, best), best=best, last=day)
