"""What would change the answer for a slot: one fact altered, the question asked again.

    fact              altered to
    day               the bed free one, two or three weeks earlier, or two weeks later
    tools             the other kind: a tiller for hand tools, hand tools for a tiller
    next crop         started four weeks later
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from calgen.planner.choice.rank import rank
from calgen.planner.model import Reason

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Knowledge
    from calgen.planner.model import Choice, Fact, Option, Slot

EARLIER_WEEKS: Final = (1, 2, 3)
MUCH_EARLIER_WEEKS: Final = (4, 6, 8)
"""For a bed that is to be mulched, where more than three weeks may be wanting."""
LATER: Final = timedelta(14)
MORE_TIME: Final = timedelta(28)


def changes(choice: Choice, climate: Climate, knowledge: Knowledge) -> tuple[Reason, ...]:
    """Reasons that each tell a fact and the cover that would be best if it were so; none where nothing changes.

    A cover that the grower named, one already sown and a companion are not questioned. An answer counts as changed
    where another cover leads by more points than ``what-if-lead`` (practice).
    """
    slot = choice.slot
    if slot.fixed or slot.fixed_sown or slot.companion:
        return ()
    return tuple(reason for found in (_earlier, _later, _other_tools, _more_time)
                 for reason in found(choice, climate, knowledge))


def _better(choice: Choice, slot: Slot, climate: Climate, knowledge: Knowledge) -> Option | None:
    """What would be taken in the altered slot, if it is something else."""
    options = rank(slot, climate, knowledge).options
    if not options:
        return None
    if choice.chosen is None:
        return options[0]
    lead = knowledge.practice["what-if-lead"].mid
    as_now = {choice.chosen.ids, choice.ranking.options[0].ids}
    kept = max((option.score for option in options if option.ids in as_now), default=0.0)
    return options[0] if options[0].score > kept + lead and options[0].ids not in as_now else None


def _freed(slot: Slot, day: date) -> Slot:
    return replace(slot, free_from=day, earliest_sow=day)


def _earlier(choice: Choice, climate: Climate, knowledge: Knowledge) -> Iterator[Reason]:
    """The latest day by which the bed would have to be free for another cover to be best."""
    slot = choice.slot
    if slot.hows != ("cleared",):
        return
    for weeks in (*EARLIER_WEEKS, *(() if choice.chosen else MUCH_EARLIER_WEEKS)):
        day = slot.free_from - timedelta(weeks=weeks)
        better = _better(choice, _freed(slot, day), climate, knowledge)
        if better:
            yield _reason("earlier", better, date=day)
            return


def _later(choice: Choice, climate: Climate, knowledge: Knowledge) -> Iterator[Reason]:
    slot, chosen = choice.slot, choice.chosen
    day = slot.free_from + LATER
    if slot.hows != ("cleared",) or chosen is None or (slot.next_start and day >= slot.next_start):
        return
    ranking = rank(_freed(slot, day), climate, knowledge)
    if not ranking.options:
        yield Reason("change-later-mulch", {"date": day})
    elif better := _better(choice, _freed(slot, day), climate, knowledge):
        yield _reason("later", better, date=day)


def _other_tools(choice: Choice, climate: Climate, knowledge: Knowledge) -> Iterator[Reason]:
    site = choice.slot.site
    other = replace(choice.slot, site=replace(site, tools="tiller" if site.tools == "hand" else "hand"))
    if choice.chosen and not choice.slot.bed.size.pots and (better := _better(choice, other, climate, knowledge)):
        yield _reason(other.site.tools, better)


def _more_time(choice: Choice, climate: Climate, knowledge: Knowledge) -> Iterator[Reason]:
    slot = choice.slot
    if slot.next_start is None or slot.next_crop is None or choice.chosen is None:
        return
    day = slot.next_start + MORE_TIME
    latest = max(day, slot.next_latest or day)
    better = _better(choice, replace(slot, next_start=day, next_latest=latest, until=max(slot.until, day)), climate,
                     knowledge)
    if better:
        yield _reason("more-time", better, crop=slot.next_crop.id, date=day)


def _reason(what: str, better: Option, **facts: Fact) -> Reason:
    return Reason(f"change-{what}", {**facts, "covers": better.ids})
