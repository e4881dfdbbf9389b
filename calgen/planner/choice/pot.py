"""What is other in pots: how a cover is ended, and the frost that kills it."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.knowledge.model import Cover, Knowledge


def regrows(cover: Cover) -> bool:
    """Whether it grows again from crown or creeping stem when cut before it has flowered."""
    return "cut-at-ground" not in cover.ends


def pot_way(covers: Iterable[Cover]) -> Literal["snip", "pull"]:
    """How covers in a pot are ended: by hand, as no tarp, scythe or roller will do there. Common practice."""
    return "pull" if any(regrows(cover) for cover in covers) else "snip"


@lru_cache(maxsize=256)
def potted(cover: Cover, knowledge: Knowledge) -> Cover:
    """The cover with the frost that kills it in a pot, where roots freeze from the side. [°C]

    Judgement: the practice numbers ``pot-hardiness-c`` and ``pot-freezes-c``.
    """
    milder, freezes = knowledge.practice["pot-hardiness-c"].mid, knowledge.practice["pot-freezes-c"].mid
    kill = cover.kill_c
    low, high = (min(end + milder, max(end, freezes)) for end in (kill.low, kill.high))
    return cover if (low, high) == (kill.low, kill.high) else replace(cover, kill_c=kill.with_ends(low, high))
