"""The ranking of covers for one slot: every single cover and every known mixture, scored or rejected with reasons."""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from calgen.planner.choice.attain import attained, kept_covered
from calgen.planner.choice.case import Case, Dated
from calgen.planner.choice.course import course
from calgen.planner.choice.dated_rules import DATED_RULES, long_together
from calgen.planner.choice.ending import cut_short, ending
from calgen.planner.choice.mixture import named_mixture, together
from calgen.planner.choice.need import ground, hurry, needs
from calgen.planner.choice.opening import Opening, lateness, openings, span, spans, windows, windows_before
from calgen.planner.choice.pairing import neighbours
from calgen.planner.choice.pot import potted
from calgen.planner.choice.score import part_weights, parts, purpose_reasons, purposes, total
from calgen.planner.choice.seed import seed_grams
from calgen.planner.choice.setting_rules import SETTING_RULES
from calgen.planner.model import Option, Ranking, Reason, Rejected

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Cover, Knowledge, Mixture
    from calgen.planner.choice.case import Neighbours
    from calgen.planner.choice.need import Need
    from calgen.planner.choice.verdict import Verdict
    from calgen.planner.model import Fact, Slot
    from calgen.site.model import How, Purpose


class Table(Struct, frozen=True):
    """What is the same for every cover of a slot."""

    slot: Slot
    climate: Climate
    knowledge: Knowledge
    wants: tuple[Need, ...]
    longest_wait: timedelta
    weights: Mapping[str, float]
    neighbours: Mapping[How, Neighbours]
    days: Mapping[How, tuple[date, date]]
    soil: tuple[str, ...]
    hurry: float


class Trial(Struct, frozen=True):
    """A cover on a day and in a way in the slot.

    ``setting`` are the reasons that hold whatever the day, ``rules`` those and the day's; ``reached`` is how much it
    gives of each purpose [0-1].
    """

    dated: Dated
    opening: Opening
    setting: tuple[Reason, ...]
    rules: tuple[Reason, ...]
    reached: Mapping[Purpose, float]
    score: float

    def reasons(self, weights: Mapping[str, float]) -> tuple[Reason, ...]:
        """What it gives and what the rules say, the weightiest first."""
        told = (*purpose_reasons(self.dated, self.reached, weights["purpose"]), *self.rules)
        if not told:
            sources = self.dated.case.cover.full_cover_dd.sources
            return (Reason("nothing-against", {"covered_share": self.dated.kept}, sources),)
        return tuple(sorted(told, key=_weight_first))


def _weight_first(reason: Reason) -> tuple[float, str]:
    return -abs(reason.weight), reason.key


def rank(slot: Slot, climate: Climate, knowledge: Knowledge) -> Ranking:
    """Options best first, and the rejected. Every cover is once a single option or rejected; mixtures come besides.

    A cover or mixture that the grower named comes first if it passes; if not it is rejected and the others follow.
    Error: the score orders, it does not measure; two options within about five points are equals.
    """
    table = Table(slot, climate, knowledge, needs(slot, climate, knowledge), _longest_wait(slot, knowledge),
                  part_weights(slot, knowledge),
                  {how: neighbours(slot, how, knowledge) for how in slot.hows},
                  {how: span(slot, how) for how in slot.hows}, ground(slot),
                  hurry(slot, climate))
    options: list[Option] = []
    rejected: list[Rejected] = []
    placed: dict[str, Trial] = {}
    for cover in _covers(knowledge, in_pots=bool(slot.bed.size.pots)):
        found = _placed(table, cover)
        if isinstance(found, Trial):
            placed[cover.id] = found
            options.append(_option(table, found))
        else:
            rejected.append(Rejected((cover.id,), found))
    for mixture in _mixtures(slot, knowledge):
        mixed = _mixed(table, mixture, placed)
        if isinstance(mixed, Option):
            options.append(mixed)
        else:
            rejected.append(Rejected(mixture.covers, mixed))
    named = frozenset(slot.fixed)
    options.sort(key=lambda option: (frozenset(option.ids) != named, -option.score, option.ids))
    rejected.sort(key=lambda entry: (frozenset(entry.covers) != named, entry.covers))
    return Ranking(tuple(options), tuple(rejected))


@lru_cache(maxsize=8)
def _covers(knowledge: Knowledge, *, in_pots: bool) -> tuple[Cover, ...]:
    covers = sorted(knowledge.covers.values(), key=lambda cover: cover.id)
    return tuple(potted(cover, knowledge) for cover in covers) if in_pots else tuple(covers)


def _mixtures(slot: Slot, knowledge: Knowledge) -> tuple[Mixture, ...]:
    known = sorted(knowledge.mixtures, key=lambda mixture: mixture.covers)
    if len(slot.fixed) > 1 and not any(set(mixture.covers) == set(slot.fixed) for mixture in known):
        known.append(named_mixture(slot.fixed))
    return tuple(known)


def _placed(table: Table, cover: Cover) -> Trial | tuple[Reason, ...]:
    """The cover at its best, or why it does not pass."""
    best: Trial | None = None
    against: list[Reason] = []
    in_ground = table.slot.fixed_sown is not None and cover.id in table.slot.fixed
    for how in table.slot.hows:
        case = Case(cover, table.slot, how, table.climate, table.knowledge, table.wants, table.neighbours[how],
                    table.soil, table.hurry)
        verdicts: list[Verdict] = []
        for rule in SETTING_RULES:
            verdicts += rule(case)
        refusals = [verdict.reason for verdict in verdicts if verdict.refuses]
        if refusals and not in_ground:
            against += [reason for reason in refusals if reason not in against]
            continue
        said = tuple([verdict.reason for verdict in verdicts])
        stretches = spans(cover, table.slot, how, table.days[how])
        found = [placed for opening in openings(cover, table.climate, table.slot, how, stretches, table.longest_wait)
                 for placed in _tried(table, case, opening, said, in_ground)]
        if found:
            best = max([*found, *([best] if best else [])], key=lambda placed: placed.score)
        else:
            against += [reason for reason in _closed(table, cover, table.days[how], stretches) if reason not in against]
    if best and cover.id not in table.slot.fixed and best.score < table.knowledge.practice["choice-least-score"].mid:
        return _not_worth_it(best)
    return best or tuple(against)


def _tried(table: Table, case: Case, opening: Opening, setting: tuple[Reason, ...],
           in_ground: bool) -> Iterator[Trial]:
    """The cover on the first day of an opening, and on later ones while waiting may pay."""
    for day in opening.days:
        placed = _on(table, case, opening, day, setting, in_ground)
        if placed:
            yield placed
            if not _waiting_may_pay(placed):
                return


def _waiting_may_pay(placed: Trial) -> bool:
    """A later day only costs growth, but for what would flower or grow too tall before winter or smother its host."""
    life = placed.dated.life
    return (life.too_early > 0 or (life.flowers is not None and life.flowers < life.winter)
            or long_together(placed.dated) is not None)


def _not_worth_it(placed: Trial) -> tuple[Reason, ...]:
    """Could be sown, but would do next to nothing: then mulch serves the bed better."""
    against = sorted([reason for reason in placed.rules if reason.weight < 0], key=_weight_first)
    facts: dict[str, Fact] = {"date": placed.dated.sow, "covered_share": placed.dated.kept}
    why = Reason("not-worth-sowing", facts, good=False, weight=-100)
    return (why, *against)


def _longest_wait(slot: Slot, knowledge: Knowledge) -> timedelta:
    """How long the gap may wait for a cover; a companion leaves nothing bare and may wait a year."""
    if slot.companion:
        return timedelta(366)
    return timedelta(round(knowledge.practice["choice-longest-wait-days"].mid))


def _on(table: Table, case: Case, opening: Opening, day: date, setting: tuple[Reason, ...],
        in_ground: bool) -> Trial | None:
    """The cover sown on a day; what is in the ground already is planned on, whatever speaks against it."""
    slot = table.slot
    end = ending(case.cover, table.climate, slot, day, table.knowledge.practice)
    if end is None and in_ground:
        end = cut_short(case.cover, slot, day)
    if end is None:
        return None
    shade = slot.free_from if case.how != "cleared" else None
    stop = end.last if end.way == "winter-kill" else end.best
    got = attained(case.cover, table.climate, day, stop, shade)
    if got.root_cm > slot.bed.size.rooting_cm:
        got = replace(got, root_cm=slot.bed.size.rooting_cm)
    reasons = setting
    if got.emerges is None:
        if not in_ground:
            return None
        reasons = (*reasons, Reason("may-not-come-up", {"date": end.best}, case.cover.emergence_dd.sources, good=False,
                                    weight=-100))
    if in_ground and opening.window.why.key == "no-window-here":
        reasons = (*reasons, opening.window.why)
    since = max(slot.earliest_sow, slot.free_from) if case.how == "cleared" else \
        day if slot.companion else max(day, slot.free_from)
    until = min(slot.due, since + timedelta(240))
    kept = kept_covered(case.cover, table.climate, day, since, until, shade,
                        None if end.way == "winter-kill" else end.best)
    life = course(case.cover, table.climate, day)
    dated = Dated(case, day, life, end, got, _late_factor(case.cover, opening, day), kept, opening.window,
                  crosses=slot.due > life.season.end, safe_last=opening.safe_last)
    verdicts = [verdict for rule in DATED_RULES if (verdict := rule(dated)) is not None]
    if any(verdict.refuses for verdict in verdicts) and not in_ground:
        return None
    reached = purposes(dated)
    reasons = (*reasons, *(verdict.reason for verdict in verdicts))
    points = sum([reason.weight for reason in reasons])
    return Trial(dated, opening, setting, reasons, reached, total(parts(dated, reached), table.weights, points))


def _late_factor(cover: Cover, opening: Opening, day: date) -> float:
    """Factor on the seed rate; behind the safe window it is that of the last published step."""
    if opening.safe_last and cover.seed_steps:
        return max(step.factor for step in cover.seed_steps)
    return lateness(cover, opening.window, day)


def _closed(table: Table, cover: Cover, days: tuple[date, date],
            stretches: tuple[tuple[date, date], ...]) -> tuple[Reason, ...]:
    """Why no day of the slot will do."""
    slot, climate = table.slot, table.climate
    first, last = days
    if slot.standing and first <= last and not stretches:
        return (Reason("host-too-weak", {"crop": slot.standing.id}, slot.standing.undersow.sources, good=False,
                       weight=-100),)
    first, last = stretches[0] if stretches else (first, last)
    if slot.fixed_sown:
        first = last = slot.fixed_sown
    if first > last:
        return (Reason("no-days", {"from": first, "to": last}, good=False, weight=-100),)
    found = windows(cover, climate, first, last)
    soon = first + table.longest_wait
    meeting = [window for window in found if window.first <= min(last, soon) and window.last >= first]
    if meeting:
        return (Reason("no-time", {"date": first, "due": slot.due}, cover.establish_dd.sources,
                       good=False, weight=-100),)
    earlier = [window for window in (*windows_before(cover, climate, first), *found) if window.last < first]
    later = [window for window in found if window.first > min(last, soon)]
    if earlier:
        return (Reason("window-closed", {"date": max(window.last for window in earlier)}, earlier[-1].why.sources,
                       good=False, weight=-100), earlier[-1].why)
    if later:
        return (Reason("window-not-open", {"date": min(window.first for window in later)}, later[0].why.sources,
                       good=False, weight=-100),)
    return (Reason("no-window-here", {}, cover.germination_min_c.sources, good=False, weight=-100),)


def _seed(table: Table, placed: Trial, share: float) -> float:
    factor = placed.dated.late * (table.knowledge.practice["companion-seed"].mid if table.slot.companion else 1.0)
    return round(seed_grams(placed.dated.case.cover, table.slot.bed.size.area_m2, placed.dated.case.how, factor,
                            share), 1)


def _option(table: Table, placed: Trial) -> Option:
    dated, slot = placed.dated, table.slot
    cover = dated.case.cover
    return Option((cover,), None, dated.case.how, placed.opening.first, dated.sow,
                  _sow_last(placed.opening.last, dated), {cover.id: _seed(table, placed, 1.0)}, dated.late,
                  dated.attained, dated.ending, slot.next_start, placed.score, placed.reasons(table.weights))


def _sow_last(last: date, dated: Dated) -> date:
    """The last day that still leaves five weeks' growth before the last cutting."""
    return max(dated.sow, min(last, dated.ending.last - timedelta(35)))


def _mixed(table: Table, mixture: Mixture, placed: Mapping[str, Trial]) -> Option | tuple[Reason, ...]:
    """The mixture as an option, on a day that suits every member, or why not."""
    members = [placed.get(cover) for cover in mixture.covers]
    if any(member is None for member in members):
        missing = tuple(cover for cover in mixture.covers if cover not in placed)
        return (Reason("member-refused", {"covers": missing}, good=False, weight=-100),)
    found = [member for member in members if member]
    if len({member.dated.case.how for member in found}) > 1:
        return (Reason("members-differ-in-way", {"covers": mixture.covers}, good=False, weight=-100),)
    first = max(member.opening.first for member in found)
    last = min(member.opening.last for member in found)
    if first > last:
        return (Reason("members-differ-in-season", {"covers": mixture.covers}, good=False, weight=-100),)
    day = min(last, max(first, *(member.dated.sow for member in found)))
    in_ground = table.slot.fixed_sown is not None and set(mixture.covers) <= set(table.slot.fixed)
    again = [member if day == member.dated.sow and not table.slot.fixed_sown else
             _on(table, member.dated.case, member.opening, day, member.setting, in_ground) for member in found]
    if any(member is None for member in again):
        return (Reason("members-differ-in-season", {"covers": mixture.covers}, good=False, weight=-100),)
    sown = [member for member in again if member]
    mix = together(mixture, [member.dated for member in sown], table.slot)
    weights = table.weights
    shares = mix.shares
    told = mix.reasons([member.reasons(weights) for member in sown], weights["purpose"], table.wants,
                       table.knowledge.practice["points-mixture-more-work"])
    points = sum(reason.weight for reason in told if not reason.key.startswith("gives-"))
    seed = {member.dated.case.cover.id: _seed(table, member, share.mid)
            for member, share in zip(sown, mixture.shares, strict=True)}
    return Option(tuple(member.dated.case.cover for member in sown), mixture, sown[0].dated.case.how, first, day,
                  max(day, min(last, mix.ending.last - timedelta(35))), seed,
                  max(member.dated.late for member in sown), mix.attained, mix.ending, table.slot.next_start,
                  total(shares, weights, points), told)
