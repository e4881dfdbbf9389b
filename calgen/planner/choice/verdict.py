"""What a rule answers, and how it says it: a reason with points from the practice numbers, or a refusal."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from calgen.planner.model import Reason

if TYPE_CHECKING:
    from calgen.knowledge.model import Knowledge
    from calgen.planner.model import Fact

REFUSAL_POINTS: Final = -100.0


class Verdict(Struct, frozen=True):
    """A rule's answer: a reason, whose weight is in points, and whether it shuts the cover out."""

    reason: Reason
    refuses: bool = False


def said(knowledge: Knowledge, key: str, sources: tuple[str, ...] = (), part: float = 1.0, **facts: Fact) -> Verdict:
    """A verdict with the points that the practice numbers give this key, or a part of them [0-1]."""
    quantity = knowledge.practice[f"points-{key}"]
    points = quantity.mid if part >= 1 else quantity.mid * max(0.0, part)
    return Verdict(Reason(key, facts, _told(sources, quantity.sources), good=quantity.mid > 0, weight=points))


@lru_cache(maxsize=1024)
def _told(sources: tuple[str, ...], of_points: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*sources, *(source for source in of_points if source != "own"))))


def refused(key: str, sources: tuple[str, ...] = (), **facts: Fact) -> Verdict:
    """A verdict that shuts the cover out."""
    return Verdict(Reason(key, facts, sources, good=False, weight=REFUSAL_POINTS), refuses=True)
